//! The part of the Python package `tracearm` that reads and measures. What Python programs see of it stands in `tracearm/`
//! beside this folder; nothing else uses these items.

mod columns;
mod drawing;
mod errors;
mod findings;
mod interruptible;
mod options;
mod rows;
mod values;

use pyo3::pymodule;

#[pymodule]
mod _tracearm {
    #[pymodule_export]
    use crate::columns::Column;
    #[pymodule_export]
    use crate::drawing::{MeasuredDrawing, MeasuredSection, read};
    #[pymodule_export]
    use crate::findings::Finding;
    #[pymodule_export]
    use crate::options::Options;
    #[pymodule_export]
    use crate::rows::{MeasuredRows, schedule};

    /// The version of the library.
    #[pymodule_export]
    const VERSION: &str = env!("CARGO_PKG_VERSION");
    /// What goes with every figure.
    #[pymodule_export]
    const CAUTION: &str = tracearm::schedule::CAUTION;
}
