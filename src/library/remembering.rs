//! Many drawings measured in threads, with what a ledger remembers of them.

use std::io;
use std::path::{Path, PathBuf};

use super::digest::Digesting;
use super::ledger::{Id, Known, Ledger, Stamp};
use super::pool::{Concurrency, ResultSink, Work, ordered};
use super::run::{RunError, late};
use super::sources::Source;
use super::{Change, DrawingRows, Task};
use crate::measure::Per;

/// Measures drawings, as [`run`](super::run()) has it: what is remembered is not measured again, and what was measured is
/// remembered as soon as it is.
pub(super) fn run(
    sources: impl Iterator<Item = Source> + Send + 'static,
    task: Task,
    concurrency: Concurrency,
    ledger: Ledger,
    take: impl FnMut(Vec<DrawingRows>) -> Result<(), RunError>,
) -> Result<(), RunError> {
    let here = std::env::current_dir().unwrap_or_default();
    let work = Measuring { task, concurrency, ledger: ledger.clone(), here };
    let mut results = Results { ledger: ledger.clone(), seen: Vec::new(), take };
    let ended = ordered(sources, concurrency, work, &mut results);
    results.note_seen();
    // However it ends, it has not died.
    ledger.in_work().finish();
    ended
}

struct Measuring {
    task: Task,
    concurrency: Concurrency,
    ledger: Ledger,
    /// Where paths begin that do not begin at a root, asked for once.
    here: PathBuf,
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
}

impl Work<Source, Done> for Measuring {
    fn result(&self, source: &Source) -> Done {
        let path = match source {
            Ok(path) => path,
            Err(error) => {
                return Done { measured: DrawingRows::without(error, &self.task), note: Note::Nothing };
            }
        };
        self.remembered(path, &self.ledger)
    }

    fn late(&self, source: &Source) -> Done {
        Done { measured: late(source, self.concurrency, &self.task), note: Note::Nothing }
    }

    fn weight(&self, done: &Done) -> usize {
        done.measured.weight()
    }
}

impl Measuring {
    /// What the ledger remembers of a drawing, where that holds still; else it is measured.
    fn remembered(&self, path: &Path, ledger: &Ledger) -> Done {
        // Taken before the drawing is read: what changes it meanwhile shows the next time.
        let Some(stamp) = Stamp::of(path) else {
            return Done { measured: DrawingRows::drawing(path, &self.task, false), note: Note::Nothing };
        };
        let whole = std::path::absolute(self.here.join(path)).unwrap_or_else(|_| path.to_owned());
        match ledger.known(&whole, path, &stamp) {
            Known::Unchanged(id, measured) => return Done { measured, note: Note::Seen(id) },
            Known::PerhapsChanged(id, measured, sha256) => {
                let digest = std::fs::File::open(path).and_then(digest_of).ok();
                if digest.as_ref() == Some(&sha256) {
                    return Done { measured, note: Note::Restamped(id, whole, stamp) };
                }
                if let Some(copied) = self.copied(path, &whole, &stamp, digest, ledger) {
                    return copied;
                }
            }
            Known::Unknown if ledger.is_new() => {}
            Known::Unknown => {
                let digest = std::fs::File::open(path).and_then(digest_of).ok();
                if let Some(copied) = self.copied(path, &whole, &stamp, digest, ledger) {
                    return copied;
                }
            }
        }
        let measured = if ledger.is_suspect(&whole) {
            DrawingRows::apart(path, &self.task)
        } else {
            let _noted = ledger.in_work().note(&whole);
            DrawingRows::drawing(path, &self.task, true)
        };
        Done { measured, note: Note::DrawingRows(whole, stamp) }
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
    ) -> Option<Done> {
        // Of a job it is told by its path what is taken from a drawing, and some sections are named after the file.
        let by_name = self.task.options.per == Per::Drawing || self.task.job.is_some();
        let (id, measured) = ledger.known_by_digest(&digest.filter(|_| !by_name)?, path)?;
        Some(Done { measured, note: Note::Copied(id, whole.to_owned(), *stamp) })
    }
}

fn digest_of(file: std::fs::File) -> io::Result<String> {
    Digesting::new(file).finish()
}

struct Results<F> {
    ledger: Ledger,
    /// Drawings that are as they are remembered, which the ledger is not yet told.
    seen: Vec<Id>,
    take: F,
}

/// So many of them are reported at once.
const MOST_SEEN: usize = 1000;

impl<F> Results<F> {
    fn note_seen(&mut self) {
        let seen = std::mem::take(&mut self.seen);
        if !seen.is_empty() {
            self.ledger.seen(&seen);
        }
    }
}

impl<F: FnMut(Vec<DrawingRows>) -> Result<(), RunError>> ResultSink<Done, RunError> for Results<F> {
    fn arrived(&mut self, done: &mut Done) -> Result<(), RunError> {
        let ledger = &self.ledger;
        match std::mem::replace(&mut done.note, Note::Nothing) {
            Note::Nothing => {}
            Note::Seen(id) => {
                done.measured.change = Some(Change::Unchanged);
                self.seen.push(id);
            }
            Note::Restamped(id, path, stamp) => {
                ledger.restamped(id, &path, &stamp);
                done.measured.change = Some(Change::Unchanged);
                self.seen.push(id);
            }
            Note::Copied(id, path, stamp) => {
                done.measured.change = ledger.copied(id, &path, &stamp);
            }
            Note::DrawingRows(path, stamp) => {
                done.measured.change = ledger.record(&path, &stamp, &mut done.measured);
            }
        }
        // Nothing but the ledger wants it, and results may have to wait.
        done.measured.for_ledger = None;
        if self.seen.len() >= MOST_SEEN {
            self.note_seen();
        }
        Ok(())
    }

    fn waited(&mut self) -> Result<(), RunError> {
        self.ledger.settle();
        Ok(())
    }

    fn next(&mut self, done: Vec<Done>) -> Result<(), RunError> {
        (self.take)(done.into_iter().map(|done| done.measured).collect())
    }
}
