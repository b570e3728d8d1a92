//! A ledger being opened: locked, checked, made where there is none, and set aside where it is damaged.

use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::config::DbConfig;
use rusqlite::{Connection, ErrorCode, OpenFlags};

use super::{Database, LedgerError, schema};
use crate::paths;

/// What SQLite writes beside a database while it is open.
const BESIDE: [&str; 3] = ["-wal", "-shm", "-journal"];

/// Opens a file. SQLite takes some names for something else than a file, but no whole path.
pub(super) fn open(path: &Path, flags: OpenFlags) -> Result<Connection, LedgerError> {
    if path.exists() && !path.is_file() {
        let what = if path.is_dir() { "it is a folder" } else { "it is a pipe or a device" };
        return Err(error(path, what, "name a file"));
    }
    let whole = std::path::absolute(path).unwrap_or_else(|_| path.to_owned());
    Connection::open_with_flags(whole, flags).map_err(|error| ledger_error(path, error))
}

/// Opens a ledger to be written, or makes one. One that is damaged is set aside, and another takes its place: the words say
/// so then.
pub(super) fn open_to_write(path: &Path) -> Result<(Database, Option<String>), LedgerError> {
    // So many tries at most, for others may be quicker each time.
    for _ in 0..3 {
        let failed = match Database::prepared(path) {
            Ok(database) => return Ok((database, None)),
            Err(error) if error.is_damage() && is_ledger(path) => error,
            Err(error) => return Err(error),
        };
        let Some(aside) = set_aside(path) else { return Err(failed) };
        let words = damaged(path, &failed.what, &aside);
        if let Ok(database) = Database::prepared(path) {
            return Ok((database, Some(words)));
        }
    }
    Database::prepared(path).map(|database| (database, None))
}

/// What is said of a ledger that was set aside.
pub(super) fn damaged(path: &Path, what: &str, aside: &Path) -> String {
    format!(
        "the ledger {} is damaged ({what}): it is kept as {}, and everything is measured once more",
        paths::text(path),
        paths::text(aside)
    )
}

/// Whether a file is a ledger by its first bytes, whatever else of it can be read: an SQLite database that has our mark (SQLite's
/// documentation of its file format, section 1.3: the application's number stands at byte 68).
fn is_ledger(path: &Path) -> bool {
    use std::io::Read;
    let mut head = [0; 72];
    let read = std::fs::File::open(path).and_then(|mut file| file.read_exact(&mut head));
    let application = i64::from(u32::from_be_bytes([head[68], head[69], head[70], head[71]]));
    read.is_ok() && super::Ledger::is_database(&head) && application == schema::APPLICATION
}

/// Gives a ledger, and what SQLite has beside it, another name, never that of another file; `None` where that can't be.
pub(super) fn set_aside(path: &Path) -> Option<PathBuf> {
    /// Whoever has so many damaged ledgers has another trouble.
    const MOST: u32 = 1000;
    let with = |path: &Path, ending: &str| {
        let mut name = path.as_os_str().to_owned();
        name.push(ending);
        PathBuf::from(name)
    };
    let numbered = |k: u32| match k {
        1 => with(path, ".damaged"),
        _ => with(path, &format!(".damaged-{k}")),
    };
    let aside = (1..=MOST).map(numbered).find(|aside| !aside.exists())?;
    std::fs::rename(path, &aside).ok()?;
    for ending in BESIDE {
        // What is not there need not go.
        let _ = std::fs::rename(with(path, ending), with(&aside, ending));
    }
    Some(aside)
}

impl Database {
    /// The ledger at this path, locked and checked; a new one where there is no file.
    fn prepared(path: &Path) -> Result<Database, LedgerError> {
        /// Of two runs that begin together each may hold what the other needs: both let go and try again, so often, the one
        /// sooner than the other.
        const TRIES: u32 = 12;
        let mut wait = Duration::from_millis(3 + u64::from(std::process::id() % 23));
        for attempt in 1.. {
            let database = Database::over(path, open(path, OpenFlags::default())?);
            match database.prepare() {
                Ok(()) => return Ok(database),
                Err(error) if error.is_in_use() && attempt < TRIES => drop(database),
                Err(error) => return Err(error),
            }
            std::thread::sleep(wait);
            wait = wait * 5 / 4;
        }
        Err(error(path, "it cannot be opened", "name another file"))
    }

    /// Locks the file, and makes the tables in a new one.
    fn prepare(&self) -> Result<(), LedgerError> {
        if self.lock()? {
            self.make_tables()?;
        }
        self.check()
    }

    /// Locks the file; whether there is nothing in it.
    pub(super) fn lock(&self) -> Result<bool, LedgerError> {
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

    /// Sets what every connection needs, and makes sure that the tables are those of a ledger of this version and whole.
    pub(super) fn check(&self) -> Result<(), LedgerError> {
        let sql = |error: rusqlite::Error| ledger_error(&self.path, error);
        self.connection.pragma_update(None, "synchronous", "NORMAL").map_err(sql)?;
        // To look up what each row refers to costs a part of each insert, and seals tell what is not as it was written.
        self.connection.pragma_update(None, "foreign_keys", "OFF").map_err(sql)?;
        // What a statement needs beside the tables is little.
        self.connection.pragma_update(None, "temp_store", "MEMORY").map_err(sql)?;
        // Else a statement is prepared anew for each path that is looked for.
        self.connection.set_db_config(DbConfig::SQLITE_DBCONFIG_ENABLE_QPSG, true).map_err(sql)?;
        let number = |name: &str| -> Result<i64, LedgerError> {
            self.connection.pragma_query_value(None, name, |row| row.get(0)).map_err(sql)
        };
        if number("application_id")? != schema::APPLICATION {
            return Err(error(&self.path, "it is a database of another program", "name another file"));
        }
        if number("user_version")? != schema::VERSION {
            return Err(error(
                &self.path,
                "it was written by another version of tracearm",
                "name a new file; everything is then measured once more",
            ));
        }
        // Whether pages and indices hang together; what stands in the rows is sealed.
        let found: String =
            self.connection.query_row("PRAGMA integrity_check(1)", [], |row| row.get(0)).map_err(sql)?;
        if found != "ok" {
            return Err(LedgerError { damage: true, ..error(&self.path, &found, DAMAGED) });
        }
        Ok(())
    }
}

const DAMAGED: &str = "name another file; everything is then measured once more";

pub(super) fn error(path: &Path, what: &str, hint: &'static str) -> LedgerError {
    LedgerError {
        path: path.to_owned(),
        // SQLite names the only database that there is first.
        what: what.trim().trim_start_matches("*** in database main ***").trim().replace('\n', " "),
        hint,
        in_use: false,
        damage: false,
        source: None,
    }
}

/// Whether an error means that the file is damaged, and not that something else stands in the way.
pub(super) fn is_damage(error: &rusqlite::Error) -> bool {
    use rusqlite::Error;
    match error {
        Error::SqliteFailure(failure, _) => {
            matches!(failure.code, ErrorCode::DatabaseCorrupt | ErrorCode::NotADatabase)
        }
        Error::FromSqlConversionFailure(..)
        | Error::IntegralValueOutOfRange(..)
        | Error::InvalidColumnType(..)
        | Error::Utf8Error(..)
        | Error::QueryReturnedNoRows => true,
        _ => false,
    }
}

/// An error in the words of those who run the program.
pub(super) fn ledger_error(path: &Path, source: rusqlite::Error) -> LedgerError {
    let code = source.sqlite_error_code();
    let (what, hint) = match code {
        Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => (
            "another run or another program is using it".to_owned(),
            "wait until it has ended, or name another file",
        ),
        Some(ErrorCode::DiskFull) => (
            "there is no room left on its disk".to_owned(),
            "make room and run the same command again; what is in the ledger stays",
        ),
        Some(ErrorCode::NotADatabase) => {
            ("it is a file of another kind".to_owned(), "name a new file, or a ledger")
        }
        Some(ErrorCode::CannotOpen) => ("it cannot be opened".to_owned(), why_not_opened(path)),
        Some(ErrorCode::ReadOnly | ErrorCode::PermissionDenied) => {
            ("it cannot be written".to_owned(), "check its permissions and those of its folder")
        }
        _ if is_damage(&source) => (source.to_string(), DAMAGED),
        _ => (source.to_string(), "run the same command again; what is in the ledger stays"),
    };
    LedgerError {
        in_use: matches!(code, Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked)),
        damage: is_damage(&source),
        source: Some(Box::new(source)),
        ..error(path, &what, hint)
    }
}

/// What stands in the way of a file that can't be opened.
fn why_not_opened(path: &Path) -> &'static str {
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    if !folder.exists() {
        "there is no such folder: make it first, or name another"
    } else if path.exists() {
        "check its permissions and those of its folder"
    } else {
        "nothing can be written into its folder: check its permissions, or name another"
    }
}
