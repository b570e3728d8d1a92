//! The tables of a ledger, read and written in transactions of a moment each.

use std::collections::BTreeSet;
use std::io;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use rusqlite::types::Value;
use rusqlite::{Connection, params, params_from_iter};

use super::seal::of_measuring;
use super::stored::{COPY_SECTIONS, Content, INSERT_SECTION, StoredSection, layers_to_store, section_seal};
use super::{Id, LedgerError, Moved, Stamp, schema};
use crate::library::measured::LedgerRecord;
use crate::library::{Change, DrawingRows};
use crate::paths;
use crate::schedule::{ColumnKey, Digits, messages_to_store};

/// A transaction ends after this time, or when the run does.
const MOMENT: Duration = Duration::from_millis(250);

pub(super) struct Database {
    pub(super) path: PathBuf,
    pub(super) connection: Connection,
    /// Number of the run that is going on, and of its version and options.
    pub(super) run: i64,
    pub(super) setting: i64,
    /// The version and options of the setting, which what is returned must have been measured with.
    pub(super) setting_text: String,
    /// Number of the measuring that was written last.
    last_measuring: i64,
    /// Since when a transaction is open.
    pub(super) open: Option<Instant>,
    /// Drawings whose measuring is not as it was written, and counts as unknown.
    pub(super) distrusted: BTreeSet<i64>,
    /// What is damaged, where the file was found so while the run goes on: nothing more is asked of it then.
    pub(super) broken: Option<String>,
    /// Why it could not be read or written while the run goes on: nothing more is asked of it then either.
    pub(super) trouble: Option<LedgerError>,
}

impl Database {
    /// The database behind a connection, in which no run has begun.
    pub(super) fn over(path: &Path, connection: Connection) -> Database {
        Database {
            path: path.to_owned(),
            connection,
            run: 0,
            setting: 0,
            setting_text: String::new(),
            last_measuring: 0,
            open: None,
            distrusted: BTreeSet::new(),
            broken: None,
            trouble: None,
        }
    }

    /// Begins a run; whether nothing was measured in this way before.
    pub(super) fn begin(&mut self, version: &str, options: &str) -> rusqlite::Result<bool> {
        self.transact()?;
        self.setting_text = format!("{version}\n{options}");
        self.connection.execute(
            "INSERT INTO settings (version, options) VALUES (?1, ?2) ON CONFLICT DO NOTHING",
            [version, options],
        )?;
        self.setting = self.connection.query_row(
            "SELECT id FROM settings WHERE version = ?1 AND options = ?2",
            [version, options],
            |row| row.get(0),
        )?;
        self.last_measuring =
            self.connection.query_row("SELECT coalesce(max(id), 0) FROM measurings", [], |row| row.get(0))?;
        let is_new: bool = self.connection.query_row(
            "SELECT NOT EXISTS (SELECT 1 FROM measurings WHERE setting = ?1)",
            [self.setting],
            |row| row.get(0),
        )?;
        self.connection.execute(
            "INSERT INTO runs (began, setting) VALUES (strftime('%Y-%m-%dT%H:%M:%SZ', 'now'), ?1)",
            [self.setting],
        )?;
        self.run = self.connection.last_insert_rowid();
        if is_new {
            for (name, _) in schema::DIGEST_INDICES {
                self.connection.execute_batch(&format!("DROP INDEX IF EXISTS {name}"))?;
            }
        }
        self.commit()?;
        if !is_new {
            // A run that measured everything may have been stopped.
            self.index_digests()?;
        }
        Ok(is_new)
    }

    /// Makes the indices by digests that are not there, while no transaction is open: all digests are sorted for it, in a
    /// file that the system has room for, or in memory where it has none.
    fn index_digests(&self) -> rusqlite::Result<()> {
        let make = || {
            let statement = |(name, of)| format!("CREATE INDEX IF NOT EXISTS {name} ON {of}");
            schema::DIGEST_INDICES
                .map(statement)
                .iter()
                .try_for_each(|one| self.connection.execute_batch(one))
        };
        self.connection.pragma_update(None, "temp_store", "FILE")?;
        let made = make();
        self.connection.pragma_update(None, "temp_store", "MEMORY")?;
        made.or_else(|_| make())
    }

    /// The drawings that runs died of, with these that the last one has left; they stand in the ledger before anything else is
    /// done.
    pub(super) fn suspects(&mut self, left: Vec<String>) -> rusqlite::Result<BTreeSet<String>> {
        self.transact()?;
        for path in left {
            self.connection.execute("INSERT INTO suspects VALUES (?1) ON CONFLICT DO NOTHING", [path])?;
        }
        self.commit()?;
        let mut found = self.connection.prepare("SELECT path FROM suspects")?;
        found.query_map([], |row| row.get(0))?.collect()
    }

    pub(super) fn transact(&mut self) -> rusqlite::Result<()> {
        if self.open.is_none() {
            self.connection.execute_batch("BEGIN")?;
            self.open = Some(Instant::now());
        }
        Ok(())
    }

    pub(super) fn commit(&mut self) -> rusqlite::Result<()> {
        if self.open.take().is_some() {
            self.connection.execute_batch("COMMIT")?;
        }
        Ok(())
    }

    /// Takes back what was written since the last commit: some of it is not whole.
    pub(super) fn roll_back(&mut self) {
        if self.open.take().is_some() {
            // Some errors take it back by themselves.
            let _ = self.connection.execute_batch("ROLLBACK");
        }
    }

    pub(super) fn commit_after_a_moment(&mut self) -> rusqlite::Result<()> {
        if self.open.is_some_and(|since| since.elapsed() > MOMENT) { self.commit() } else { Ok(()) }
    }

    /// Marks the drawings that were not met and are no longer there, and the end of the run. Gives the paths of those, and
    /// which of them are at another path now.
    pub(super) fn finish(&mut self) -> rusqlite::Result<(Vec<String>, Vec<Moved>)> {
        self.commit()?;
        self.index_digests()?;
        self.transact()?;
        let mut unmet: Vec<(i64, String)> = Vec::new();
        {
            let mut found = self.connection.prepare(
                "SELECT id, path FROM drawings WHERE last_run <> ?1 AND vanished_run IS NULL ORDER BY path",
            )?;
            let mut rows = found.query([self.run])?;
            while let Some(row) = rows.next()? {
                let path: String = row.get(1)?;
                let gone = std::fs::metadata(paths::of_text(&path));
                let kinds = [io::ErrorKind::NotFound, io::ErrorKind::NotADirectory];
                if gone.is_err_and(|error| kinds.contains(&error.kind())) {
                    unmet.push((row.get(0)?, path));
                }
            }
        }
        let (mut vanished, mut moved): (Vec<String>, Vec<Moved>) = (Vec::new(), Vec::new());
        let mut taken = BTreeSet::new();
        for (id, path) in unmet {
            self.connection
                .prepare_cached("UPDATE drawings SET vanished_run = ?1 WHERE id = ?2")?
                .execute([self.run, id])?;
            match self.new_with_bytes_of(id)?.into_iter().find(|place| !taken.contains(place)) {
                Some(place) => {
                    taken.insert(place.clone());
                    moved.push(Moved { from: path, to: place });
                }
                None => vanished.push(path),
            }
        }
        self.connection.execute(
            "UPDATE runs SET ended = strftime('%Y-%m-%dT%H:%M:%SZ', 'now') WHERE id = ?1",
            [self.run],
        )?;
        self.commit()?;
        Ok((vanished, moved))
    }

    /// The paths of drawings with the bytes of this one that were met in this run for the first time.
    fn new_with_bytes_of(&self, id: i64) -> rusqlite::Result<Vec<String>> {
        let mut found = self.connection.prepare_cached(
            "SELECT d.path FROM drawings old
             JOIN measurings was ON was.id = old.current
             JOIN measurings now ON now.sha256 = was.sha256 AND now.run = ?2
             JOIN drawings d ON d.current = now.id
             WHERE old.id = ?1 AND NOT EXISTS (SELECT 1 FROM measurings o WHERE o.drawing = d.id AND o.run < ?2)
             ORDER BY d.path",
        )?;
        found.query_map([id, self.run], |row| row.get(0))?.collect()
    }

    /// The drawing at this path; one that was not there yet is written with the number of the measuring that is to come.
    fn met(&self, path: &str, measuring: i64) -> rusqlite::Result<Met> {
        let connection = &self.connection;
        // As it is in a first run, for all drawings.
        let is_new = connection
            .prepare_cached(
                "INSERT INTO drawings (path, current, last_run) VALUES (?1, ?2, ?3) ON CONFLICT (path) DO NOTHING",
            )?
            .execute(params![path, measuring, self.run])?
            > 0;
        if is_new {
            return Ok(Met { drawing: connection.last_insert_rowid(), is_new, last: None });
        }
        connection
            .prepare_cached("SELECT id, current FROM drawings WHERE path = ?1")?
            .query_row([path], |row| Ok(Met { drawing: row.get(0)?, is_new, last: row.get(1)? }))
    }

    /// What became of a drawing since its last measuring, if it has one: its bytes tell, or its size and time where they are
    /// not known.
    fn change_since(
        &self,
        last: Option<i64>,
        sha256: Option<&str>,
        stamp: &Stamp,
    ) -> rusqlite::Result<Change> {
        let Some(last) = last else { return Ok(Change::New) };
        let (before, size, modified): (Option<String>, i64, i64) = self
            .connection
            .prepare_cached("SELECT sha256, size, modified FROM measurings WHERE id = ?1")?
            .query_row([last], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)))?;
        let is_same = match (sha256, &before) {
            (Some(now), Some(before)) => now == before,
            _ => (size, modified) == (stamp.size, stamp.modified),
        };
        Ok(if is_same { Change::Unchanged } else { Change::Changed })
    }

    /// Makes this measuring that of a drawing that was there before.
    fn make_current(&self, drawing: i64, measuring: i64) -> rusqlite::Result<()> {
        self.connection
            .prepare_cached(
                "UPDATE drawings SET current = ?1, last_run = ?2, vanished_run = NULL WHERE id = ?3",
            )?
            .execute([measuring, self.run, drawing])?;
        Ok(())
    }

    /// The number of the measuring that is written next.
    fn next_measuring(&mut self) -> i64 {
        self.last_measuring += 1;
        self.last_measuring
    }

    /// Remembers of the drawing at this path what is known of another with the same bytes.
    pub(super) fn copied(&mut self, id: Id, path: &str, stamp: &Stamp) -> rusqlite::Result<Change> {
        let measuring = self.next_measuring();
        let connection = &self.connection;
        let Met { drawing, is_new, last } = self.met(path, measuring)?;
        let (content, sha256): (String, Option<String>) = connection
            .prepare_cached("SELECT content, sha256 FROM measurings WHERE id = ?1")?
            .query_row([id.measuring], |row| Ok((row.get(0)?, row.get(1)?)))?;
        let change = self.change_since(last, sha256.as_deref(), stamp)?;
        connection
            .prepare_cached(
                "INSERT INTO measurings
                 (id, drawing, run, setting, size, modified, changed, looked, sha256, failures, messages, layers, content,
                     seal)
                 SELECT ?1, ?2, ?3, setting, ?4, ?5, ?6, ?7, sha256, failures, messages, layers, content, ?8
                 FROM measurings WHERE id = ?9",
            )?
            .execute(params![
                measuring,
                drawing,
                self.run,
                stamp.size,
                stamp.modified,
                stamp.changed,
                stamp.looked,
                of_measuring(path, stamp, &content),
                id.measuring,
            ])?;
        connection.prepare_cached(&COPY_SECTIONS)?.execute([measuring, id.measuring])?;
        if !is_new {
            self.make_current(drawing, measuring)?;
        }
        Ok(change)
    }

    /// Remembers a drawing that was measured; what became of it since it was measured last.
    pub(super) fn record(
        &mut self,
        path: &str,
        stamp: &Stamp,
        measured: &DrawingRows,
        record: LedgerRecord,
    ) -> rusqlite::Result<Change> {
        let measuring = self.next_measuring();
        let connection = &self.connection;
        let Met { drawing, is_new, last } = self.met(path, measuring)?;
        // What may pass the next time is not known by its bytes.
        let known = !measured.failures.iter().any(|failure| failure.may_pass());
        let sha256 = record.sha256.as_deref().filter(|_| known);
        let change = self.change_since(last, sha256, stamp)?;
        let failures: String = measured.failures.iter().map(|failure| failure.letter()).collect();
        let (messages, layers) = (messages_to_store(&measured.messages), layers_to_store(measured));
        let sections: Vec<StoredSection> = (measured.rows.iter().zip(record.figures).zip(1..))
            .map(|((row, figures), number)| StoredSection::of(measuring, number, row, figures))
            .collect();
        let content = Content {
            setting: &self.setting_text,
            sha256: sha256.unwrap_or_default(),
            failures: &failures,
            messages: &messages,
            layers: &layers,
        };
        let content = content.seal(sections.iter().map(StoredSection::sealed));
        connection
            .prepare_cached(
                "INSERT INTO measurings
                 (id, drawing, run, setting, size, modified, changed, looked, sha256, failures, messages, layers, content,
                     seal)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14)",
            )?
            .execute(params![
                measuring,
                drawing,
                self.run,
                self.setting,
                stamp.size,
                stamp.modified,
                stamp.changed,
                stamp.looked,
                sha256,
                failures,
                messages,
                layers,
                content,
                of_measuring(path, stamp, &content),
            ])?;
        let mut insert = connection.prepare_cached(&INSERT_SECTION)?;
        for section in sections {
            insert.execute(params_from_iter(section.0))?;
        }
        if !is_new {
            self.make_current(drawing, measuring)?;
        }
        Ok(change)
    }

    /// The sections that were measured last, in the order of their drawings; a failure where one is not as it was written.
    pub(super) fn current(&self, take: &mut impl FnMut(&str, &str, &[String])) -> rusqlite::Result<()> {
        let keys: Vec<&'static str> = schema::columns().map(|column| column.key.name()).collect();
        let mut found = self.connection.prepare(&format!(
            "SELECT d.path, s.section, s.seal, s.outline, s.shape, {} FROM drawings d JOIN sections s ON s.measuring = d.current
             WHERE d.vanished_run IS NULL ORDER BY d.path, s.number",
            keys.iter().map(|key| format!("s.{key}")).collect::<Vec<_>>().join(", ")
        ))?;
        let mut rows = found.query([])?;
        while let Some(row) = rows.next()? {
            let values: Vec<Value> =
                (3..keys.len() + 5).map(|at| row.get(at)).collect::<rusqlite::Result<_>>()?;
            if section_seal(&values) != row.get::<_, String>(2)? {
                // As what can't be read as what it must be.
                return Err(rusqlite::Error::QueryReturnedNoRows);
            }
            // Behind the two digests.
            let figures = values.get(2..).unwrap_or_default();
            let size = size_of_section(figures);
            let cells: Vec<String> =
                schema::columns().zip(figures).map(|(column, value)| cell(column.key, value, size)).collect();
            let section = row.get::<_, Option<String>>(1)?.unwrap_or_default();
            take(&row.get::<_, String>(0)?, &section, &cells);
        }
        Ok(())
    }
}

/// The larger of width and height of a section that is kept with these figures; 0 where that is not known.
fn size_of_section(figures: &[Value]) -> f64 {
    let figure = |key: ColumnKey| {
        let at = schema::columns().position(|column| column.key == key)?;
        match figures.get(at) {
            Some(Value::Real(figure)) => Some(*figure),
            _ => None,
        }
    };
    let length = |from, to| figure(to).zip(figure(from)).map_or(0.0, |(to, from)| to - from);
    length(ColumnKey::XMin, ColumnKey::XMax).max(length(ColumnKey::YMin, ColumnKey::YMax))
}

/// A value as a schedule has it, of a section of this size.
fn cell(key: ColumnKey, value: &Value, size: f64) -> String {
    let digits = Digits::default();
    match value {
        Value::Text(text) => text.clone(),
        Value::Integer(count) => count.to_string(),
        Value::Real(figure) if key.is_place() => digits.place(*figure, 0.0, size),
        Value::Real(figure) => digits.text(*figure, 0.0),
        Value::Null | Value::Blob(_) => String::new(),
    }
}

impl Drop for Database {
    fn drop(&mut self) {
        // What is done stays done when a run is ended early. Where that fails it is measured again.
        let _ = self.commit();
    }
}

/// A drawing that is met in a run.
struct Met {
    drawing: i64,
    is_new: bool,
    /// Its last measuring.
    last: Option<i64>,
}
