//! What was measured, remembered in an SQLite file. With its schema the one place that names rusqlite.
//!
//! Every drawing that is done is written at once, in transactions of a moment each, so that a run that ends at any moment
//! - also by `kill -9` or a full disk - loses no more than that moment, which the next run measures again.

mod lookup;
mod schema;
mod stamp;
#[cfg(test)]
mod tests;

use std::fmt;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

use rusqlite::types::Value;
use rusqlite::{Connection, ErrorCode, OpenFlags, params, params_from_iter};

use super::DrawingRows;
use super::measured::EVERY_COLUMN;
use crate::schedule::{ColumnKey, Quantity, StoredRow, messages_to_store, texts_to_store};
use lookup::Ahead;
pub(super) use lookup::Known;
pub(super) use stamp::Stamp;

/// A transaction ends after this time, or when the run does.
const MOMENT: Duration = Duration::from_millis(250);

/// Why a ledger could not be read or written.
#[derive(Debug)]
pub struct LedgerError {
    path: PathBuf,
    what: String,
    hint: &'static str,
    source: Option<Box<rusqlite::Error>>,
}

impl fmt::Debug for Ledger {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Ledger").finish_non_exhaustive()
    }
}

impl fmt::Display for LedgerError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "the ledger {}: {}: {}", self.path.display(), self.what, self.hint)
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
}

struct Database {
    path: PathBuf,
    connection: Connection,
    /// Number of the run that is going on, and of its version and options.
    run: i64,
    setting: i64,
    /// Since when a transaction is open.
    open: Option<Instant>,
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
    /// Where the file is no ledger of this version, is in use, or can't be read or written.
    pub fn begin(path: &Path, version: &str, options: &str) -> Result<Ledger, LedgerError> {
        let connection = open(path, OpenFlags::default())?;
        let mut database = Database { path: path.to_owned(), connection, run: 0, setting: 0, open: None };
        database.prepare()?;
        database.begin(version, options).map_err(|error| ledger_error(path, error))?;
        Ok(Ledger { database: Arc::new(Mutex::new(database)), ahead: Arc::default() })
    }

    fn database(&self) -> MutexGuard<'_, Database> {
        // Whoever panicked under the lock left a transaction, which stands or falls as a whole.
        self.database.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn with<T>(&self, work: impl FnOnce(&mut Database) -> rusqlite::Result<T>) -> Result<T, LedgerError> {
        let mut database = self.database();
        work(&mut database).map_err(|error| ledger_error(&database.path, error))
    }

    /// Notes that drawings are as they were measured then.
    pub(super) fn seen(&self, ids: &[Id]) -> Result<(), LedgerError> {
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
        })
    }

    /// Notes how a drawing looks now that has the bytes which were measured then.
    pub(super) fn restamped(&self, id: Id, stamp: &Stamp) -> Result<(), LedgerError> {
        self.with(|database| {
            database.transact()?;
            database
                .connection
                .prepare_cached(
                    "UPDATE measurings SET modified = ?1, changed = ?2, looked = ?3 WHERE id = ?4",
                )?
                .execute(params![stamp.modified, stamp.changed, stamp.looked, id.measuring])?;
            database.commit_after_a_moment()
        })
    }

    /// Remembers the drawing at this path that was measured.
    pub(super) fn record(
        &self,
        path: &Path,
        stamp: &Stamp,
        measured: &DrawingRows,
    ) -> Result<(), LedgerError> {
        self.with(|database| {
            database.transact()?;
            database.record(&path.display().to_string(), stamp, measured)?;
            database.commit_after_a_moment()
        })
    }

    /// Ends a run that came to its end: drawings that were not met and are no longer there are marked as vanished. Gives
    /// how many those are.
    ///
    /// # Errors
    /// Where the ledger can't be written.
    pub fn finish(self) -> Result<usize, LedgerError> {
        self.with(|database| {
            database.transact()?;
            let mut unmet: Vec<i64> = Vec::new();
            {
                let mut found = database.connection.prepare(
                    "SELECT id, path FROM drawings WHERE last_run <> ?1 AND vanished_run IS NULL ORDER BY id",
                )?;
                let mut rows = found.query([database.run])?;
                while let Some(row) = rows.next()? {
                    let path: String = row.get(1)?;
                    let gone = std::fs::metadata(&path);
                    if gone.is_err_and(|error| error.kind() == io::ErrorKind::NotFound) {
                        unmet.push(row.get(0)?);
                    }
                }
            }
            for id in &unmet {
                database
                    .connection
                    .prepare_cached("UPDATE drawings SET vanished_run = ?1 WHERE id = ?2")?
                    .execute([database.run, *id])?;
            }
            database.connection.execute(
                "UPDATE runs SET ended = strftime('%Y-%m-%dT%H:%M:%SZ', 'now') WHERE id = ?1",
                [database.run],
            )?;
            database.commit()?;
            Ok(unmet.len())
        })
    }

    /// The headings of what [`read`](Ledger::read) gives: those of a schedule in millimetres.
    pub fn headings() -> Vec<String> {
        schema::columns().map(|column| column.heading(EVERY_COLUMN.unit)).collect()
    }

    /// Gives the sections of all drawings that have not vanished, by path and number: the path, the name of the section,
    /// and a cell for each of the [`headings`](Ledger::headings), figures with all their digits, empty where nothing is
    /// known.
    ///
    /// # Errors
    /// Where the file is no ledger of this version, is in use, or can't be read.
    pub fn read(path: &Path, mut take: impl FnMut(&str, &str, &[String])) -> Result<(), LedgerError> {
        // What is to be read is not made.
        let connection = open(path, OpenFlags::default() & !OpenFlags::SQLITE_OPEN_CREATE)?;
        let database = Database { path: path.to_owned(), connection, run: 0, setting: 0, open: None };
        if database.lock()? {
            return Err(database.error("it is empty", "name a ledger that a run has filled"));
        }
        database.check()?;
        database.current(&mut take).map_err(|error| ledger_error(path, error))
    }

    /// Whether a file is an SQLite database, as every ledger is: it begins as the format says (SQLite's documentation of
    /// its file format, section 1.3).
    pub fn is_database(begin: &[u8]) -> bool {
        begin.starts_with(b"SQLite format 3\0")
    }
}

impl Database {
    /// Locks the file, and makes the tables in a new one.
    fn prepare(&self) -> Result<(), LedgerError> {
        if self.lock()? {
            self.make_tables()?;
        }
        self.check()
    }

    /// Locks the file; whether there is nothing in it.
    fn lock(&self) -> Result<bool, LedgerError> {
        let sql = |error: rusqlite::Error| ledger_error(&self.path, error);
        // A run that goes on for hours is not waited for.
        self.connection.busy_timeout(Duration::ZERO).map_err(sql)?;
        self.connection.pragma_update(None, "locking_mode", "EXCLUSIVE").map_err(sql)?;
        let asked = "SELECT count(*) = 0 FROM sqlite_schema";
        self.connection.query_row(asked, [], |row| row.get(0)).map_err(sql)
    }

    fn make_tables(&self) -> Result<(), LedgerError> {
        let sql = |error: rusqlite::Error| ledger_error(&self.path, error);
        // Sections are long: several stand on a page of this size, and there are fewer pages to be asked for.
        self.connection.pragma_update(None, "page_size", 16_384).map_err(sql)?;
        // What a crash leaves of a run is whole with either; this one does not wait for the disk.
        self.connection.pragma_update(None, "journal_mode", "WAL").map_err(sql)?;
        let all = format!("BEGIN IMMEDIATE; {} COMMIT;", schema::statements());
        self.connection.execute_batch(&all).map_err(sql)
    }

    /// Sets what every connection needs, and makes sure that the tables are those of a ledger of this version.
    fn check(&self) -> Result<(), LedgerError> {
        let sql = |error: rusqlite::Error| ledger_error(&self.path, error);
        self.connection.pragma_update(None, "synchronous", "NORMAL").map_err(sql)?;
        // What a statement needs beside the tables is little.
        self.connection.pragma_update(None, "temp_store", "MEMORY").map_err(sql)?;
        let number = |name: &str| -> Result<i64, LedgerError> {
            self.connection.pragma_query_value(None, name, |row| row.get(0)).map_err(sql)
        };
        if number("application_id")? != schema::APPLICATION {
            return Err(self.error("it is another program's database", "name another file"));
        }
        if number("user_version")? != schema::VERSION {
            return Err(self.error(
                "it is of another version of tracearm",
                "name a new file; everything is measured once more then",
            ));
        }
        Ok(())
    }

    fn error(&self, what: &str, hint: &'static str) -> LedgerError {
        LedgerError { path: self.path.clone(), what: what.to_owned(), hint, source: None }
    }

    /// Begins a run.
    fn begin(&mut self, version: &str, options: &str) -> rusqlite::Result<()> {
        self.transact()?;
        self.connection.execute(
            "INSERT INTO settings (version, options) VALUES (?1, ?2) ON CONFLICT DO NOTHING",
            [version, options],
        )?;
        self.setting = self.connection.query_row(
            "SELECT id FROM settings WHERE version = ?1 AND options = ?2",
            [version, options],
            |row| row.get(0),
        )?;
        self.connection.execute(
            "INSERT INTO runs (began, setting) VALUES (strftime('%Y-%m-%dT%H:%M:%SZ', 'now'), ?1)",
            [self.setting],
        )?;
        self.run = self.connection.last_insert_rowid();
        self.commit()
    }

    fn transact(&mut self) -> rusqlite::Result<()> {
        if self.open.is_none() {
            self.connection.execute_batch("BEGIN")?;
            self.open = Some(Instant::now());
        }
        Ok(())
    }

    fn commit(&mut self) -> rusqlite::Result<()> {
        if self.open.take().is_some() {
            self.connection.execute_batch("COMMIT")?;
        }
        Ok(())
    }

    fn commit_after_a_moment(&mut self) -> rusqlite::Result<()> {
        if self.open.is_some_and(|since| since.elapsed() > MOMENT) { self.commit() } else { Ok(()) }
    }

    fn record(&self, path: &str, stamp: &Stamp, measured: &DrawingRows) -> rusqlite::Result<()> {
        let connection = &self.connection;
        let for_ledger = measured.for_ledger.clone().unwrap_or_default();
        connection
            .prepare_cached(
                "INSERT INTO drawings (path, current, last_run) VALUES (?1, NULL, ?2)
                 ON CONFLICT (path) DO UPDATE SET last_run = ?2, vanished_run = NULL",
            )?
            .execute(params![path, self.run])?;
        let drawing: i64 = connection
            .prepare_cached("SELECT id FROM drawings WHERE path = ?1")?
            .query_row([path], |row| row.get(0))?;
        // What may pass the next time is not known by its bytes.
        let known = !measured.failures.iter().any(|failure| failure.may_pass());
        connection
            .prepare_cached(
                "INSERT INTO measurings
                 (drawing, run, setting, size, modified, changed, looked, sha256, failures, messages, layers)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11)",
            )?
            .execute(params![
                drawing,
                self.run,
                self.setting,
                stamp.size,
                stamp.modified,
                stamp.changed,
                stamp.looked,
                for_ledger.sha256.as_deref().filter(|_| known),
                measured.failures.iter().map(|failure| failure.letter()).collect::<String>(),
                messages_to_store(&measured.messages),
                layers_to_store(measured),
            ])?;
        let measuring = connection.last_insert_rowid();
        connection
            .prepare_cached("UPDATE drawings SET current = ?1 WHERE id = ?2")?
            .execute([measuring, drawing])?;
        let columns = schema::columns().count();
        let places: Vec<String> = (1..=columns + 5).map(|k| format!("?{k}")).collect();
        let keys: Vec<&str> = schema::columns().map(|column| column.key.name()).collect();
        let insert = format!(
            "INSERT INTO sections (measuring, number, outline, {}, cells, findings) VALUES ({})",
            keys.join(", "),
            places.join(", ")
        );
        let mut insert = connection.prepare_cached(&insert)?;
        for (number, (row, figures)) in (1_i64..).zip(measured.rows.iter().zip(&for_ledger.figures)) {
            let stored = StoredRow::of(row);
            let text = |text: &str| if text.is_empty() { Value::Null } else { Value::Text(text.to_owned()) };
            let mut values = vec![Value::Integer(measuring), Value::Integer(number)];
            values.push(figures.outline.clone().map_or(Value::Null, Value::Text));
            for (column, exact) in EVERY_COLUMN.columns().zip(&figures.exact) {
                values.push(match column.key {
                    ColumnKey::Drawing | ColumnKey::Findings => continue,
                    ColumnKey::Section => text(row.section()),
                    ColumnKey::Layer => text(row.layer()),
                    ColumnKey::Status => text(row.status().word()),
                    ColumnKey::Label => text(figures.label.as_deref().unwrap_or_default()),
                    ColumnKey::DrawingUnit => text(figures.drawing_unit.as_deref().unwrap_or_default()),
                    _ => match (column.quantity, exact) {
                        (_, None) => Value::Null,
                        // A count is a whole number below 2^53.
                        (Quantity::Count, Some(count)) => Value::Integer(*count as i64),
                        (_, Some(figure)) => Value::Real(*figure),
                    },
                });
            }
            values.extend([Value::Text(stored.cells), Value::Text(stored.findings)]);
            insert.execute(params_from_iter(values))?;
        }
        Ok(())
    }

    fn current(&self, take: &mut impl FnMut(&str, &str, &[String])) -> rusqlite::Result<()> {
        let keys: Vec<&'static str> = schema::columns().map(|column| column.key.name()).collect();
        let mut found = self.connection.prepare(&format!(
            "SELECT d.path, s.section, {} FROM drawings d JOIN sections s ON s.measuring = d.current
             WHERE d.vanished_run IS NULL ORDER BY d.path, s.number",
            keys.iter().map(|key| format!("s.{key}")).collect::<Vec<_>>().join(", ")
        ))?;
        let mut rows = found.query([])?;
        while let Some(row) = rows.next()? {
            let text = |at: usize| {
                Ok(match row.get::<_, Value>(at)? {
                    Value::Text(text) => text,
                    Value::Integer(number) => number.to_string(),
                    Value::Real(number) => format!("{number:?}"),
                    Value::Null | Value::Blob(_) => String::new(),
                })
            };
            let cells: Vec<String> = (2..keys.len() + 2).map(text).collect::<rusqlite::Result<_>>()?;
            take(&text(0)?, &text(1)?, &cells);
        }
        Ok(())
    }
}

impl Drop for Database {
    fn drop(&mut self) {
        // What is done stays done when a run is ended early. Where that fails it is measured again.
        let _ = self.commit();
    }
}

/// Marks a drawing that could be read.
const READ: &str = "read";

/// Whether the drawing was read, the patterns without a layer and, behind an empty text, the names of its layers.
fn layers_to_store(measured: &DrawingRows) -> String {
    let mut texts = vec![if measured.read { READ.to_owned() } else { "not read".to_owned() }];
    texts.extend(measured.unmatched.iter().cloned());
    texts.push(String::new());
    texts.extend(measured.layers.iter().cloned());
    texts_to_store(&texts)
}

/// Opens a file. SQLite takes some names for something else than a file, but no whole path.
fn open(path: &Path, flags: OpenFlags) -> Result<Connection, LedgerError> {
    let whole = std::path::absolute(path).unwrap_or_else(|_| path.to_owned());
    Connection::open_with_flags(whole, flags).map_err(|error| ledger_error(path, error))
}

/// An error in the words of those who run the program.
fn ledger_error(path: &Path, error: rusqlite::Error) -> LedgerError {
    let (what, hint) = match error.sqlite_error_code() {
        Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => (
            "another run or another program is using it".to_owned(),
            "wait until that has ended, or name another file",
        ),
        Some(ErrorCode::DiskFull) => (
            "there is no room left on its disk".to_owned(),
            "make room and run the same command again; what is in it stays",
        ),
        Some(ErrorCode::NotADatabase) => {
            ("it is a file of another kind".to_owned(), "name a new file, or a ledger")
        }
        Some(ErrorCode::CannotOpen) => {
            ("it cannot be opened".to_owned(), "check the path, its folder and its permissions")
        }
        Some(ErrorCode::ReadOnly | ErrorCode::PermissionDenied) => {
            ("it cannot be written".to_owned(), "check its permissions and those of its folder")
        }
        Some(ErrorCode::DatabaseCorrupt) => {
            (error.to_string(), "delete it; everything is measured once more then")
        }
        _ => (error.to_string(), "run the same command again; what is in it stays"),
    };
    LedgerError { path: path.to_owned(), what, hint, source: Some(Box::new(error)) }
}
