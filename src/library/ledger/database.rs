//! The tables of a ledger, read and written in transactions of a moment each.

use std::collections::BTreeSet;
use std::io;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use rusqlite::types::Value;
use rusqlite::{Connection, params, params_from_iter};

use super::seal::{Seal, of_measuring};
use super::{Stamp, schema};
use crate::library::DrawingRows;
use crate::library::measured::{EVERY_COLUMN, Figures};
use crate::paths;
use crate::schedule::{ColumnKey, Quantity, Row, StoredRow, messages_to_store, texts_to_store};

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
    /// Since when a transaction is open.
    pub(super) open: Option<Instant>,
    /// Drawings whose measuring is not as it was written, and counts as unknown.
    pub(super) distrusted: BTreeSet<i64>,
    /// What is damaged, where the file was found so while the run goes on: nothing more is asked of it then.
    pub(super) broken: Option<String>,
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
            open: None,
            distrusted: BTreeSet::new(),
            broken: None,
        }
    }

    /// Begins a run.
    pub(super) fn begin(&mut self, version: &str, options: &str) -> rusqlite::Result<()> {
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
        self.connection.execute(
            "INSERT INTO runs (began, setting) VALUES (strftime('%Y-%m-%dT%H:%M:%SZ', 'now'), ?1)",
            [self.setting],
        )?;
        self.run = self.connection.last_insert_rowid();
        self.commit()
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

    pub(super) fn commit_after_a_moment(&mut self) -> rusqlite::Result<()> {
        if self.open.is_some_and(|since| since.elapsed() > MOMENT) { self.commit() } else { Ok(()) }
    }

    /// Marks the drawings that were not met and are no longer there, and the end of the run; gives how many those are.
    pub(super) fn finish(&mut self) -> rusqlite::Result<usize> {
        self.transact()?;
        let mut unmet: Vec<i64> = Vec::new();
        {
            let mut found = self.connection.prepare(
                "SELECT id, path FROM drawings WHERE last_run <> ?1 AND vanished_run IS NULL ORDER BY id",
            )?;
            let mut rows = found.query([self.run])?;
            while let Some(row) = rows.next()? {
                let path: String = row.get(1)?;
                let gone = std::fs::metadata(paths::of_text(&path));
                if gone.is_err_and(|error| error.kind() == io::ErrorKind::NotFound) {
                    unmet.push(row.get(0)?);
                }
            }
        }
        for id in &unmet {
            self.connection
                .prepare_cached("UPDATE drawings SET vanished_run = ?1 WHERE id = ?2")?
                .execute([self.run, *id])?;
        }
        self.connection.execute(
            "UPDATE runs SET ended = strftime('%Y-%m-%dT%H:%M:%SZ', 'now') WHERE id = ?1",
            [self.run],
        )?;
        self.commit()?;
        Ok(unmet.len())
    }

    /// Remembers a drawing that was measured.
    pub(super) fn record(&self, path: &str, stamp: &Stamp, measured: &DrawingRows) -> rusqlite::Result<()> {
        let connection = &self.connection;
        let for_ledger = measured.for_ledger.clone().unwrap_or_default();
        let drawing: i64 = connection
            .prepare_cached(
                "INSERT INTO drawings (path, current, last_run) VALUES (?1, NULL, ?2)
                 ON CONFLICT (path) DO UPDATE SET last_run = ?2, vanished_run = NULL RETURNING id",
            )?
            .query_row(params![path, self.run], |row| row.get(0))?;
        // What may pass the next time is not known by its bytes.
        let known = !measured.failures.iter().any(|failure| failure.may_pass());
        let sha256 = for_ledger.sha256.as_deref().filter(|_| known);
        let failures: String = measured.failures.iter().map(|failure| failure.letter()).collect();
        let (messages, layers) = (messages_to_store(&measured.messages), layers_to_store(measured));
        let sections: Vec<StoredSection> = (measured.rows.iter().zip(&for_ledger.figures))
            .map(|(row, figures)| StoredSection::of(row, figures))
            .collect();
        let content = Content {
            setting: &self.setting_text,
            sha256: sha256.unwrap_or_default(),
            failures: &failures,
            messages: &messages,
            layers: &layers,
        };
        let content = content.seal(sections.iter().map(|s| (&*s.cells, &*s.findings, &*s.seal)));
        connection
            .prepare_cached(
                "INSERT INTO measurings
                 (drawing, run, setting, size, modified, changed, looked, sha256, failures, messages, layers, content, seal)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13)",
            )?
            .execute(params![
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
        let measuring = connection.last_insert_rowid();
        connection
            .prepare_cached("UPDATE drawings SET current = ?1 WHERE id = ?2")?
            .execute([measuring, drawing])?;
        let mut insert = connection.prepare_cached(&insert_section())?;
        for (number, section) in (1_i64..).zip(sections) {
            let key = [Value::Integer(measuring), Value::Integer(number)];
            let rest = [section.seal, section.cells, section.findings].map(Value::Text);
            insert.execute(params_from_iter(key.into_iter().chain(section.values).chain(rest)))?;
        }
        Ok(())
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
            let text = |value: &Value| match value {
                Value::Text(text) => text.clone(),
                Value::Integer(number) => number.to_string(),
                Value::Real(number) => format!("{number:?}"),
                Value::Null | Value::Blob(_) => String::new(),
            };
            let cells: Vec<String> = values.iter().skip(2).map(text).collect();
            take(&row.get::<_, String>(0)?, &text(&row.get(1)?), &cells);
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

/// What a section is kept as.
struct StoredSection {
    /// The digests and the columns.
    values: Vec<Value>,
    seal: String,
    cells: String,
    findings: String,
}

impl StoredSection {
    fn of(row: &Row, figures: &Figures) -> StoredSection {
        let text = |text: &str| if text.is_empty() { Value::Null } else { Value::Text(text.to_owned()) };
        let digests = [&figures.outline, &figures.shape];
        let mut values: Vec<Value> =
            digests.into_iter().map(|digest| digest.clone().map_or(Value::Null, Value::Text)).collect();
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
                    // SQLite keeps no NaN.
                    (_, Some(figure)) if figure.is_nan() => Value::Null,
                    // Nor a zero with a sign, which the seal would miss.
                    (_, Some(figure)) => Value::Real(*figure + 0.0),
                },
            });
        }
        let StoredRow { cells, findings } = StoredRow::of(row);
        StoredSection { seal: section_seal(&values), values, cells, findings }
    }
}

fn section_seal(values: &[Value]) -> String {
    let mut seal = Seal::default();
    values.iter().for_each(|value| {
        seal.value(value);
    });
    seal.digits()
}

/// The statement that keeps a section.
fn insert_section() -> String {
    let keys: Vec<&str> = schema::columns().map(|column| column.key.name()).collect();
    let places: Vec<String> = (1..=keys.len() + 7).map(|k| format!("?{k}")).collect();
    format!(
        "INSERT INTO sections (measuring, number, outline, shape, {}, seal, cells, findings) VALUES ({})",
        keys.join(", "),
        places.join(", ")
    )
}

/// What is kept of a measuring beside its sections, as far as it is returned.
pub(super) struct Content<'a> {
    pub setting: &'a str,
    pub sha256: &'a str,
    pub failures: &'a str,
    pub messages: &'a str,
    pub layers: &'a str,
}

impl Content<'_> {
    /// The seal of it and of its sections: their cells, findings and seals.
    pub(super) fn seal<'a>(&self, sections: impl Iterator<Item = (&'a str, &'a str, &'a str)>) -> String {
        let mut seal = Seal::default();
        for text in [self.setting, self.sha256, self.failures, self.messages, self.layers] {
            seal.text(text);
        }
        for (cells, findings, of_figures) in sections {
            seal.text(cells).text(findings).text(of_figures);
        }
        seal.digits()
    }
}

/// Marks a drawing that could be read.
pub(super) const READ: &str = "read";

/// Whether the drawing was read, the patterns without a layer and, behind an empty text, the names of its layers.
fn layers_to_store(measured: &DrawingRows) -> String {
    let mut texts = vec![if measured.read { READ.to_owned() } else { "not read".to_owned() }];
    texts.extend(measured.unmatched.iter().cloned());
    texts.push(String::new());
    texts.extend(measured.layers.iter().cloned());
    texts_to_store(&texts)
}
