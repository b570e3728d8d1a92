//! Values of cells, as Python sees them.

use pyo3::prelude::*;
use pyo3::types::{PyFloat, PyString};
use tracearm::schedule::Quantity;

/// A cell: `None` where it is not known, else a text, a whole number or a number with all its digits.
pub fn cell(
    py: Python<'_>,
    quantity: Quantity,
    text: Option<&str>,
    exact: Option<f64>,
) -> PyResult<Option<Py<PyAny>>> {
    let value = match quantity {
        Quantity::Text => text.map(|text| PyString::new(py, text).into_any().unbind()),
        Quantity::Count => match exact {
            Some(count) => Some((count as u64).into_pyobject(py)?.into_any().unbind()),
            None => None,
        },
        _ => exact.map(|number| PyFloat::new(py, number).into_any().unbind()),
    };
    Ok(value)
}
