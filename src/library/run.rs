//! Many drawings measured in threads.

use std::fmt;
use std::io;
use std::path::Path;

use super::pool::{Concurrency, ResultSink, Work, ordered};
use super::sources::Source;
use super::{DrawingRows, Ledger, Task};

/// Why a run ended early. What was handed on until then stands.
#[derive(Debug)]
#[non_exhaustive]
pub enum RunError {
    /// Results could not be taken, or the system has no more threads.
    Io(io::Error),
}

impl fmt::Display for RunError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            RunError::Io(error) => error.fmt(f),
        }
    }
}

impl std::error::Error for RunError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            RunError::Io(error) => error.source(),
        }
    }
}

impl From<io::Error> for RunError {
    fn from(error: io::Error) -> RunError {
        RunError::Io(error)
    }
}

/// Threads that this machine runs at the same time.
pub fn cores() -> usize {
    std::thread::available_parallelism().map_or(1, Into::into)
}

/// Measures drawings, so many at the same time, and hands what remains of each on, in the order of the sources; memory holds what is in
/// flight alone. With a ledger, what is remembered is not measured again, and what was measured is remembered as soon as
/// it is; `take` is called for both, with as many as there are, and so with several where drawings are small.
///
/// A drawing that can't be read, that takes too long, or that the program fails on costs itself alone: it has a row that
/// says why.
///
/// # Errors
/// Those of `take`, which end the run. A ledger that can no longer be read or written ends none: nothing more is remembered,
/// and [`Ledger::finish`] says why.
pub fn run(
    sources: impl Iterator<Item = Source> + Send + 'static,
    task: Task,
    concurrency: Concurrency,
    ledger: Option<Ledger>,
    take: impl FnMut(Vec<DrawingRows>) -> Result<(), RunError>,
) -> Result<(), RunError> {
    match ledger {
        None => ordered(sources, concurrency, Measuring { task, concurrency }, &mut Results { take }),
        #[cfg(feature = "ledger")]
        Some(ledger) => super::remembering::run(sources, task, concurrency, ledger, take),
        #[cfg(not(feature = "ledger"))]
        Some(none) => match none {},
    }
}

/// Measuring of which nothing is remembered.
struct Measuring {
    task: Task,
    concurrency: Concurrency,
}

impl Work<Source, DrawingRows> for Measuring {
    fn result(&self, source: &Source) -> DrawingRows {
        match source {
            Ok(path) => DrawingRows::drawing(path, &self.task, false),
            Err(error) => DrawingRows::without(error, &self.task),
        }
    }

    fn late(&self, source: &Source) -> DrawingRows {
        late(source, self.concurrency, &self.task)
    }

    fn weight(&self, measured: &DrawingRows) -> usize {
        measured.weight()
    }
}

/// What remains of a drawing that took too long.
pub(super) fn late(source: &Source, concurrency: Concurrency, task: &Task) -> DrawingRows {
    let path = source.as_deref().unwrap_or(Path::new(""));
    DrawingRows::over_time(path, concurrency.time_limit.unwrap_or_default(), task)
}

struct Results<F> {
    take: F,
}

impl<F: FnMut(Vec<DrawingRows>) -> Result<(), RunError>> ResultSink<DrawingRows, RunError> for Results<F> {
    fn arrived(&mut self, measured: &mut DrawingRows) -> Result<(), RunError> {
        // Nobody wants it but a ledger, and results may have to wait.
        measured.for_ledger = None;
        Ok(())
    }

    fn next(&mut self, measured: Vec<DrawingRows>) -> Result<(), RunError> {
        (self.take)(measured)
    }
}
