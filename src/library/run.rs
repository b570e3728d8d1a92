//! Many drawings measured in threads, with what is remembered of them.

use std::fmt;
use std::io;
use std::path::{Path, PathBuf};

use super::digest::Digesting;
use super::ledger::{Id, Known, Ledger, LedgerError, Stamp};
use super::pool::{Concurrency, ResultSink, Work, ordered};
use super::sources::Source;
use super::{Change, DrawingRows, Task};
use crate::measure::Per;

/// Why a run ended early. What was handed on until then stands.
#[derive(Debug)]
pub enum RunError {
    /// Results could not be taken, or the system has no more threads.
    Io(io::Error),
    /// The ledger could not be read or written.
    Ledger(LedgerError),
}

impl fmt::Display for RunError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            RunError::Io(error) => error.fmt(f),
            RunError::Ledger(error) => error.fmt(f),
        }
    }
}

impl std::error::Error for RunError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            RunError::Io(error) => error.source(),
            RunError::Ledger(error) => error.source(),
        }
    }
}

impl From<io::Error> for RunError {
    fn from(error: io::Error) -> RunError {
        RunError::Io(error)
    }
}

impl From<LedgerError> for RunError {
    fn from(error: LedgerError) -> RunError {
        RunError::Ledger(error)
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
/// Those of `take` and of the ledger, which end the run.
pub fn run(
    sources: impl Iterator<Item = Source> + Send + 'static,
    task: Task,
    concurrency: Concurrency,
    ledger: Option<Ledger>,
    take: impl FnMut(Vec<DrawingRows>) -> Result<(), RunError>,
) -> Result<(), RunError> {
    let work = Measuring { task, concurrency, ledger: ledger.clone() };
    let mut results = Results { ledger: ledger.clone(), seen: Vec::new(), take };
    let ended = ordered(sources, concurrency, work, &mut results).and_then(|()| results.note_seen());
    // However it ends, it has not died.
    if let Some(ledger) = &ledger {
        ledger.in_work().finish();
    }
    ended
}

struct Measuring {
    task: Task,
    concurrency: Concurrency,
    ledger: Option<Ledger>,
}

/// What remains of a drawing, and what the ledger is to be told of it.
struct Done {
    measured: DrawingRows,
    note: Note,
}

enum Note {
    Nothing,
    /// It is as it is remembered.
    Seen(Id),
    /// It was written anew, with the bytes that are remembered.
    Restamped(Id, PathBuf, Stamp),
    /// It has the bytes of another that is remembered: where it is, how it looks.
    Copied(Id, PathBuf, Stamp),
    /// It was measured: where it is, how it looked before.
    DrawingRows(PathBuf, Stamp),
    /// The ledger could not be asked.
    Trouble(LedgerError),
}

impl Work<Source, Done> for Measuring {
    fn result(&self, source: &Source) -> Done {
        let path = match source {
            Ok(path) => path,
            Err(error) => {
                return Done { measured: DrawingRows::without(error, &self.task), note: Note::Nothing };
            }
        };
        let Some(ledger) = &self.ledger else {
            return Done { measured: DrawingRows::drawing(path, &self.task, false), note: Note::Nothing };
        };
        self.remembered(path, ledger)
            .unwrap_or_else(|error| Done { measured: DrawingRows::default(), note: Note::Trouble(error) })
    }

    fn late(&self, source: &Source) -> Done {
        let path = source.as_deref().unwrap_or(Path::new(""));
        let limit = self.concurrency.time_limit.unwrap_or_default();
        Done { measured: DrawingRows::over_time(path, limit, &self.task), note: Note::Nothing }
    }

    fn weight(&self, done: &Done) -> usize {
        done.measured.weight()
    }
}

impl Measuring {
    /// What the ledger remembers of a drawing, where that holds still; else it is measured.
    fn remembered(&self, path: &Path, ledger: &Ledger) -> Result<Done, LedgerError> {
        // Taken before the drawing is read: what changes it meanwhile shows the next time.
        let Some(stamp) = Stamp::of(path) else {
            return Ok(Done { measured: DrawingRows::drawing(path, &self.task, false), note: Note::Nothing });
        };
        let whole = std::path::absolute(path).unwrap_or_else(|_| path.to_owned());
        match ledger.known(&whole, path, &stamp)? {
            Known::Unchanged(id, measured) => return Ok(Done { measured, note: Note::Seen(id) }),
            Known::PerhapsChanged(id, measured, sha256) => {
                let digest = std::fs::File::open(path).and_then(digest_of).ok();
                if digest.as_ref() == Some(&sha256) {
                    return Ok(Done { measured, note: Note::Restamped(id, whole, stamp) });
                }
                if let Some(copied) = self.copied(path, &whole, &stamp, digest, ledger)? {
                    return Ok(copied);
                }
            }
            Known::Unknown if ledger.is_new() => {}
            Known::Unknown => {
                let digest = std::fs::File::open(path).and_then(digest_of).ok();
                if let Some(copied) = self.copied(path, &whole, &stamp, digest, ledger)? {
                    return Ok(copied);
                }
            }
        }
        let measured = if ledger.is_suspect(&whole) {
            DrawingRows::apart(path, &self.task)
        } else {
            let _noted = ledger.in_work().note(&whole);
            DrawingRows::drawing(path, &self.task, true)
        };
        Ok(Done { measured, note: Note::DrawingRows(whole, stamp) })
    }
}

impl Measuring {
    /// What the ledger remembers of a drawing that was at another path, or is there too, with these bytes.
    fn copied(
        &self,
        path: &Path,
        whole: &Path,
        stamp: &Stamp,
        digest: Option<String>,
        ledger: &Ledger,
    ) -> Result<Option<Done>, LedgerError> {
        // Of a job it is told by its path what is taken from a drawing, and some sections are named after the file.
        let by_name = self.task.options.per == Per::Drawing || self.task.job.is_some();
        let Some(digest) = digest.filter(|_| !by_name) else { return Ok(None) };
        let known = ledger.known_by_digest(&digest, path)?;
        Ok(known.map(|(id, measured)| Done { measured, note: Note::Copied(id, whole.to_owned(), *stamp) }))
    }
}

fn digest_of(file: std::fs::File) -> io::Result<String> {
    Digesting::new(file).finish()
}

struct Results<F> {
    ledger: Option<Ledger>,
    /// Drawings that are as they are remembered, which the ledger is not yet told.
    seen: Vec<Id>,
    take: F,
}

/// So many of them are reported at once.
const MOST_SEEN: usize = 1000;

impl<F> Results<F> {
    fn note_seen(&mut self) -> Result<(), RunError> {
        let seen = std::mem::take(&mut self.seen);
        match &self.ledger {
            Some(ledger) if !seen.is_empty() => Ok(ledger.seen(&seen)?),
            _ => Ok(()),
        }
    }
}

impl<F: FnMut(Vec<DrawingRows>) -> Result<(), RunError>> ResultSink<Done, RunError> for Results<F> {
    fn arrived(&mut self, done: &mut Done) -> Result<(), RunError> {
        let Some(ledger) = &self.ledger else { return Ok(()) };
        match std::mem::replace(&mut done.note, Note::Nothing) {
            Note::Nothing => {}
            Note::Seen(id) => {
                done.measured.change = Some(Change::Unchanged);
                self.seen.push(id);
            }
            Note::Restamped(id, path, stamp) => {
                ledger.restamped(id, &path, &stamp)?;
                done.measured.change = Some(Change::Unchanged);
                self.seen.push(id);
            }
            Note::Copied(id, path, stamp) => {
                done.measured.change = ledger.copied(id, &path, &stamp)?;
            }
            Note::DrawingRows(path, stamp) => {
                done.measured.change = ledger.record(&path, &stamp, &done.measured)?;
            }
            Note::Trouble(error) => return Err(error.into()),
        }
        // Nothing but the ledger wants it, and results may have to wait.
        done.measured.for_ledger = None;
        if self.seen.len() < MOST_SEEN { Ok(()) } else { self.note_seen() }
    }

    fn waited(&mut self) -> Result<(), RunError> {
        match &self.ledger {
            Some(ledger) => Ok(ledger.settle()?),
            None => Ok(()),
        }
    }

    fn next(&mut self, done: Vec<Done>) -> Result<(), RunError> {
        (self.take)(done.into_iter().map(|done| done.measured).collect())
    }
}
