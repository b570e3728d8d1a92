//! Findings, as Python sees them.

use pyo3::prelude::*;
use pyo3::types::PyDict;
use tracearm::drawing::LengthUnit;
use tracearm::finding::{self, Advice, Position, Value};

/// What the reader of a result must know: a fact, where it is, and what to try next.
#[pyclass(frozen, get_all, module = "tracearm")]
#[derive(Clone, Debug)]
pub struct Finding {
    /// What kind of finding it is, such as ``"outline-not-closed"``; ``shared/findings.csv`` of the project lists all.
    code: String,
    /// ``"note"`` (good to know), ``"warning"`` (the figures stand, but something may not be what was meant) or ``"failure"``
    /// (there are no figures).
    severity: String,
    /// What was found.
    message: String,
    /// What to try next, with the options of the command (``--join`` is ``join=`` here); ``""`` where there is nothing to try.
    hint: String,
    /// Where, in words; ``""`` where it has no place.
    place: String,
    /// The layer that it is on, or ``None``.
    layer: Option<String>,
    /// The line of a text drawing, or ``None``.
    line: Option<u64>,
    /// The byte of a binary drawing, or ``None``.
    byte: Option<u64>,
    /// The handle of the entity in hexadecimal digits, or ``None``.
    handle: Option<String>,
    /// The point (x, y) in the coordinates of the drawing, or ``None``.
    point: Option<(f64, f64)>,
    /// The unit of the lengths and areas among ``values``, which is the drawing's own, or ``None``.
    unit: Option<String>,
    /// All of it in one text, as the schedule has it.
    text: String,
    /// The facts of the message by their names: texts, numbers, lengths and areas in ``unit``, points (x, y).
    values: Values,
}

impl Finding {
    /// With what to try next in these words.
    pub fn of(finding: &finding::Finding, advice: Advice) -> Finding {
        let place = &finding.place;
        let (line, byte) = match place.position {
            None => (None, None),
            Some(Position::Line(line)) => (Some(line), None),
            Some(Position::Byte(byte)) => (None, Some(byte)),
        };
        Finding {
            code: finding.code.name().to_owned(),
            severity: finding.severity.word().to_owned(),
            message: finding.message(),
            hint: finding.hint(advice),
            place: place.to_string(),
            layer: place.layer.clone(),
            line,
            byte,
            handle: place.handle.map(|handle| format!("{handle:X}")),
            point: place.point.map(|point| (point.x, point.y)),
            unit: finding.unit().map(|unit| LengthUnit::symbol(unit).to_owned()),
            text: finding.words(advice),
            values: Values(finding.values().to_vec()),
        }
    }
}

#[pymethods]
impl Finding {
    fn __str__(&self) -> &str {
        &self.text
    }

    fn __repr__(&self) -> String {
        format!("<Finding {} {}: {}>", self.severity, self.code, self.text)
    }
}

/// The values of a finding by their names.
#[derive(Clone, Debug)]
struct Values(Vec<(&'static str, Value)>);

impl<'py> IntoPyObject<'py> for Values {
    type Target = PyDict;
    type Output = Bound<'py, PyDict>;
    type Error = PyErr;

    fn into_pyobject(self, py: Python<'py>) -> PyResult<Bound<'py, PyDict>> {
        let values = PyDict::new(py);
        for (key, value) in self.0 {
            match value {
                Value::Text(text) | Value::Name(text) | Value::Layer(text) => values.set_item(key, text)?,
                Value::Count(count) => values.set_item(key, count)?,
                Value::Number(number)
                | Value::Ratio(number)
                | Value::Share(number)
                | Value::Bound(number)
                | Value::Length(number)
                | Value::Area(number) => values.set_item(key, number)?,
                Value::Areas(areas) => values.set_item(key, areas)?,
                Value::Size([width, height]) => values.set_item(key, (width, height))?,
                Value::Point(point) => values.set_item(key, (point.x, point.y))?,
                Value::Position(Position::Line(place) | Position::Byte(place)) => {
                    values.set_item(key, place)?;
                }
                other => values.set_item(key, other.to_string())?,
            }
        }
        Ok(values)
    }
}
