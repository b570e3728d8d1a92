//! What was measured, remembered in an SQLite file. With its schema the one place that names rusqlite.
//!
//! Every drawing that is done is written at once, in transactions of a moment each, so that a run that ends at any moment
//! - also by `kill -9` or a full disk - loses no more than that moment, which the next run measures again.

mod database;
mod in_work;
mod lookup;
mod opening;
mod schema;
mod seal;
mod stamp;
mod stored;
#[cfg(test)]
mod tests;

use std::collections::BTreeSet;
use std::fmt;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use rusqlite::{Connection, OpenFlags, params};

use super::measured::EVERY_COLUMN;
use super::{Change, DrawingRows, Moved, RunEnd};
use crate::paths;
use database::Database;
use in_work::InWork;
use lookup::Ahead;
pub(super) use lookup::Known;
pub(super) use stamp::Stamp;

/// Why a ledger could not be read or written.
#[derive(Debug)]
pub struct LedgerError {
    path: PathBuf,
    what: String,
    hint: &'static str,
    in_use: bool,
    damage: bool,
    source: Option<Box<rusqlite::Error>>,
}

impl LedgerError {
    /// Another run or another program is using it: it may be free later.
    pub fn is_in_use(&self) -> bool {
        self.in_use
    }

    /// The file is damaged.
    fn is_damage(&self) -> bool {
        self.damage
    }
}

impl fmt::Debug for Ledger {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Ledger").finish_non_exhaustive()
    }
}

impl fmt::Display for LedgerError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "the ledger {}: {}: {}", paths::text(&self.path), self.what, self.hint)
    }
}

impl std::error::Error for LedgerError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        self.source.as_deref().map(|error| error as &(dyn std::error::Error + 'static))
    }
}

/// A ledger that is open; nobody else can read or write it meanwhile. Clones are the same ledger.
#[derive(Clone)]
pub struct Ledger {
    database: Arc<Mutex<Database>>,
    ahead: Arc<Mutex<Ahead>>,
    /// Nothing was measured in the same way when the run began: nothing need be looked for.
    is_new: bool,
    /// Drawings that an earlier run died of, and those that are being measured now.
    suspects: Arc<BTreeSet<String>>,
    in_work: Arc<InWork>,
    /// What was said when it was opened.
    opened: Option<String>,
}

/// The numbers of a drawing and of its measuring.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Id {
    drawing: i64,
    measuring: i64,
}

impl Ledger {
    /// Opens a ledger, or makes one where there is no file, and begins a run: drawings measured by this `version` of the
    /// program with these `options`, which are everything that decides what stands in a row, count as known.
    ///
    /// # Errors
    /// Where the file is no ledger of this version, is in use, or can't be read or written. One that is damaged is set aside
    /// under another name, and a new one takes its place.
    pub fn begin(path: &Path, version: &str, options: &str) -> Result<Ledger, LedgerError> {
        let (mut database, opened) = opening::open_to_write(path)?;
        let is_new = database.begin(version, options).map_err(|error| opening::ledger_error(path, error))?;
        let (in_work, left) = InWork::beside(path);
        let suspects = database.suspects(left).map_err(|error| opening::ledger_error(path, error))?;
        Ok(Ledger {
            database: Arc::new(Mutex::new(database)),
            ahead: Arc::default(),
            is_new,
            suspects: Arc::new(suspects),
            in_work: Arc::new(in_work),
            opened,
        })
    }

    fn database(&self) -> MutexGuard<'_, Database> {
        // Whoever panicked under the lock left a transaction, which stands or falls as a whole.
        self.database.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// What the work gives. Neither damage that shows nor a disk that is full ends a run: the ledger is left alone from then
    /// on, and knows nothing.
    fn with<T: Default>(&self, work: impl FnOnce(&mut Database) -> rusqlite::Result<T>) -> T {
        let mut database = self.database();
        if database.broken.is_some() || database.trouble.is_some() {
            return T::default();
        }
        let done = work(&mut database);
        if done.is_err() {
            database.roll_back();
        }
        match done {
            Ok(done) => return done,
            Err(error) if opening::is_damage(&error) => database.broken = Some(error.to_string()),
            Err(error) => database.trouble = Some(opening::ledger_error(&database.path, error)),
        }
        T::default()
    }

    /// Whether an earlier run died while it measured the drawing at this path.
    pub(super) fn is_suspect(&self, path: &Path) -> bool {
        !self.suspects.is_empty() && self.suspects.contains(&*paths::text(path))
    }

    /// Nothing was measured in the same way when the run began.
    pub(super) fn is_new(&self) -> bool {
        self.is_new
    }

    /// What notes the drawings that are being measured.
    pub(super) fn in_work(&self) -> &InWork {
        &self.in_work
    }

    /// Ends a transaction that has been open for a moment, and takes away notes of drawings that are done: nobody knows how
    /// long the next drawing takes.
    pub(super) fn settle(&self) {
        self.in_work.settle();
        self.with(Database::commit_after_a_moment);
    }

    /// Notes that drawings are as they were measured then.
    pub(super) fn seen(&self, ids: &[Id]) {
        let drawings: Vec<String> = ids.iter().map(|id| id.drawing.to_string()).collect();
        self.with(|database| {
            database.transact()?;
            database
                .connection
                .prepare_cached(
                    "UPDATE drawings SET last_run = ?1, vanished_run = NULL
                     WHERE id IN (SELECT value FROM json_each(?2))",
                )?
                .execute(params![database.run, format!("[{}]", drawings.join(","))])?;
            database.commit_after_a_moment()
        });
    }

    /// Notes how a drawing looks now that has the bytes which were measured then.
    pub(super) fn restamped(&self, id: Id, path: &Path, stamp: &Stamp) {
        self.with(|database| {
            database.transact()?;
            let connection = &database.connection;
            let content: String = connection
                .prepare_cached("SELECT content FROM measurings WHERE id = ?1")?
                .query_row([id.measuring], |row| row.get(0))?;
            let seal = seal::of_measuring(&paths::text(path), stamp, &content);
            connection
                .prepare_cached(
                    "UPDATE measurings SET modified = ?1, changed = ?2, looked = ?3, seal = ?4 WHERE id = ?5",
                )?
                .execute(params![stamp.modified, stamp.changed, stamp.looked, seal, id.measuring])?;
            database.commit_after_a_moment()
        });
    }

    /// Remembers the drawing at this path that was measured.
    pub(super) fn record(&self, path: &Path, stamp: &Stamp, measured: &mut DrawingRows) -> Option<Change> {
        let record = measured.for_ledger.take().unwrap_or_default();
        self.with(|database| {
            database.transact()?;
            let change = database.record(&paths::text(path), stamp, measured, record)?;
            if self.is_suspect(path) && !measured.has_died() {
                database.connection.execute("DELETE FROM suspects WHERE path = ?1", [&*paths::text(path)])?;
            }
            database.commit_after_a_moment()?;
            Ok(Some(change))
        })
    }

    /// Remembers of the drawing at this path what is known of another with the same bytes; what became of it.
    pub(super) fn copied(&self, id: Id, path: &Path, stamp: &Stamp) -> Option<Change> {
        self.with(|database| {
            database.transact()?;
            let change = database.copied(id, &paths::text(path), stamp)?;
            database.commit_after_a_moment()?;
            Ok(Some(change))
        })
    }

    /// Ends a run that came to its end: drawings that were not met and are no longer there are marked as vanished. A ledger
    /// that was found damaged on the way is set aside.
    ///
    /// # Errors
    /// Where the ledger can't be written, or could not since some moment of the run: what it has from before stays.
    pub fn finish(self) -> Result<RunEnd, LedgerError> {
        let (vanished, moved) = self.with(Database::finish);
        self.in_work.finish();
        if let Some(trouble) = self.database().trouble.take() {
            return Err(trouble);
        }
        let mut end = RunEnd { vanished, moved, damages: self.opened.iter().cloned().collect() };
        let mut database = self.database();
        let shown = paths::text(&database.path).into_owned();
        if let Some(what) = database.broken.clone() {
            // What is open can't be renamed everywhere.
            if let Ok(nowhere) = Connection::open_in_memory() {
                database.connection = nowhere;
            }
            end.damages.push(match opening::set_aside(&database.path) {
                Some(aside) => opening::damaged(&database.path, &what, &aside),
                None => format!("the ledger {shown} is damaged ({what}): name another file"),
            });
        } else if !database.distrusted.is_empty() {
            let drawings = match database.distrusted.len() {
                1 => "a drawing was damaged: it was".to_owned(),
                count => format!("{count} drawings was damaged: they were"),
            };
            end.damages.push(format!("the ledger {shown}: what it had of {drawings} measured once more"));
        }
        Ok(end)
    }

    /// The headings of what [`read`](Ledger::read) gives: those of a schedule in millimetres.
    pub fn headings() -> Vec<String> {
        schema::columns().map(|column| column.heading(EVERY_COLUMN.unit)).collect()
    }

    /// Gives the sections of all drawings that have not vanished, by path and number: the path, the name of the section,
    /// and a cell for each of the [`headings`](Ledger::headings), figures rounded to six digits as those of a schedule are,
    /// empty where nothing is known.
    ///
    /// # Errors
    /// Where the file is no ledger of this version, is in use, or can't be read.
    pub fn read(path: &Path, mut take: impl FnMut(&str, &str, &[String])) -> Result<(), LedgerError> {
        // What is to be read is not made.
        let connection = opening::open(path, OpenFlags::default() & !OpenFlags::SQLITE_OPEN_CREATE)?;
        let database = Database::over(path, connection);
        if database.lock()? {
            return Err(opening::error(path, "it is empty", "name a ledger that a run has filled"));
        }
        database.check()?;
        database.current(&mut take).map_err(|error| match error {
            rusqlite::Error::QueryReturnedNoRows => opening::error(
                path,
                "it is damaged: a section is not as it was written",
                "run the schedule with it once more, which measures anew what is damaged",
            ),
            error => opening::ledger_error(path, error),
        })
    }

    /// Whether a file is an SQLite database, as every ledger is: it begins as the format says (SQLite's documentation of
    /// its file format, section 1.3).
    pub fn is_database(begin: &[u8]) -> bool {
        begin.starts_with(b"SQLite format 3\0")
    }
}
