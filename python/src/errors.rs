//! What goes wrong, as the exceptions of `tracearm/errors.py`.

use pyo3::prelude::*;
use tracearm::drawing::{ReadError, ReadErrorKind};
use tracearm::finding::{Code, Finding, advice_with_options};

use crate::findings;

/// A class of `tracearm.errors` with these arguments.
fn of_class(py: Python, class: &str, message: String, finding: Option<&Finding>) -> PyErr {
    let raised = || {
        let class = py.import("tracearm.errors")?.getattr(class)?;
        let finding = finding.map(|finding| findings::Finding::of(finding, advice_with_options));
        class.call1((message, finding))
    };
    match raised() {
        Ok(exception) => PyErr::from_value(exception),
        Err(error) => error,
    }
}

/// An option that can't be had: which, and what is right.
pub fn options(py: Python, message: String) -> PyErr {
    of_class(py, "OptionsError", message, None)
}

/// A name that is no option.
pub fn unknown_option(py: Python, message: String) -> PyErr {
    of_class(py, "UnknownOption", message, None)
}

/// A drawing that can't be read.
pub fn reading(py: Python, name: &str, error: &ReadError) -> PyErr {
    let finding = error.finding();
    let class = match error.kind() {
        ReadErrorKind::Io if finding.code == Code::FileMissing => "DrawingMissing",
        ReadErrorKind::Io => "CannotRead",
        ReadErrorKind::OverLimit => "OverLimit",
        _ => "NotADrawing",
    };
    of_class(py, class, format!("{name}: {}", finding.words(advice_with_options)), Some(finding))
}

/// A fault of the program.
pub fn fault(py: Python, what: &str) -> PyErr {
    let finding = Finding::of(Code::ProgramFailed).with("what", what);
    of_class(py, "ProgramFault", finding.words(advice_with_options), Some(&finding))
}

/// What the system does not let happen.
pub fn of_system(py: Python, message: String) -> PyErr {
    of_class(py, "CannotRead", message, None)
}
