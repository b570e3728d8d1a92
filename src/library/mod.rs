//! Whole libraries of drawings: found, measured on all cores, in a fixed order, and remembered.
//!
//! [`Sources`] gives the drawings, [`run`] measures them in threads and hands the results on in the order of the sources,
//! [`DrawingRows`] is what remains of a drawing then, and a [`Ledger`] remembers it, so that a later run measures only what
//! changed and a run that was stopped at any moment goes on where it stopped.
//!
//! ```no_run
//! use tracearm::library::{self, Concurrency, Sources, Task};
//! use tracearm::schedule::{Format, Schedule};
//!
//! let task = Task::default();
//! let mut schedule = Schedule::begin(task.style, Format::Csv, std::io::stdout())?;
//! let sources = Sources::of(vec!["drawings".into()]);
//! let concurrency = Concurrency::with(|c| c.jobs = library::cores());
//! library::run(sources, task, concurrency, None, |drawings| {
//!     let mut rows = drawings.into_iter().flat_map(|measured| measured.rows);
//!     rows.try_for_each(|row| schedule.push(row)).map_err(Into::into)
//! })?;
//! schedule.finish()?;
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

#[cfg(feature = "ledger")]
mod apart;
mod digest;
mod drawing_file;
mod failure;
mod job_sections;
mod layer_by_layer;
#[cfg(feature = "ledger")]
mod ledger;
mod machine;
mod measured;
#[cfg(not(feature = "ledger"))]
mod no_ledger;
mod pool;
#[cfg(feature = "ledger")]
mod remembering;
mod report;
mod run;
mod run_end;
mod sources;
mod time_limit;
mod unmatched;

#[cfg(feature = "ledger")]
pub use apart::Apart;
pub use digest::sha256;
pub use drawing_file::{DrawingFile, unmatched};
pub use failure::Failure;
pub use job_sections::JobSections;
pub use layer_by_layer::LayerByLayer;
#[cfg(feature = "ledger")]
pub use ledger::{Ledger, LedgerError};
pub use machine::memory_for_one;
pub use measured::{Change, DrawingRows, Task};
#[cfg(not(feature = "ledger"))]
pub use no_ledger::{Ledger, LedgerError};
pub use pool::{Concurrency, MOST_HELD};
pub use report::{Report, ReportColumn};
pub use run::{RunError, cores, run};
pub use run_end::{Moved, RunEnd};
pub use sources::{Source, SourceError, Sources, is_dxf};
pub use time_limit::{TimeLimit, TimeLimitError};
pub use unmatched::Unmatched;
