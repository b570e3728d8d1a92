//! What a ledger knows of a drawing.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::PoisonError;

use rusqlite::{ToSql, params};

use super::seal::of_measuring;
use super::stored::{Content, READ};
use super::{Database, Id, Ledger, Stamp};
use crate::library::{DrawingRows, Failure};
use crate::paths;
use crate::schedule::{stored_messages, stored_row, stored_texts};

/// What a ledger knows of a drawing.
pub(in super::super) enum Known {
    /// It was measured in the same way and has not changed since.
    Unchanged(Id, DrawingRows),
    /// It was measured in the same way; only its digest, which was this, can tell whether it has changed.
    PerhapsChanged(Id, DrawingRows, String),
    /// It must be measured.
    Unknown,
}

/// What stands in a ledger of a drawing.
struct StoredMeasuring {
    id: Id,
    stamp: Stamp,
    sha256: String,
    failures: String,
    messages: String,
    layers: String,
    /// Cells and findings of each section.
    sections: Vec<(String, String)>,
}

impl Ledger {
    /// What is known of the drawing at this path, given as `name`.
    pub(in super::super) fn known(&self, path: &Path, name: &Path, stamp: &Stamp) -> Known {
        if self.is_new {
            return Known::Unknown;
        }
        let Some(stored) = self.stored(path).filter(|stored| stored.stamp.size == stamp.size) else {
            return Known::Unknown;
        };
        // Understood when the ledger is free again for others.
        match stored.remembered(name) {
            None => Known::Unknown,
            Some(measured) if stamp.proves_unchanged_since(&stored.stamp) => {
                Known::Unchanged(stored.id, measured)
            }
            Some(measured) => Known::PerhapsChanged(stored.id, measured, stored.sha256),
        }
    }

    /// What is known, by the SHA-256 of its bytes, of a drawing that is at another path now, which is `name`.
    pub(in super::super) fn known_by_digest(&self, digest: &str, name: &Path) -> Option<(Id, DrawingRows)> {
        let stored = self.with(|database| database.stored_with(digest))?;
        Some((stored.id, stored.remembered(name)?))
    }

    fn stored(&self, path: &Path) -> Option<StoredMeasuring> {
        let path = paths::text(&path).into_owned();
        let mut ahead = self.ahead.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(stored) = ahead.stored.remove(&path) {
            ahead.hits += 1;
            return Some(stored);
        }
        let many = ahead.many(&path);
        let found = self.with(|database| database.stored_from(&path, many));
        if 2 * found.len() < many {
            // Those that follow are not known either, or were measured in another way.
            ahead.many = 0;
        }
        ahead.stored.extend(found);
        ahead.stored.remove(&path)
    }
}

/// What was read ahead: drawings are asked for by and large in the order of their paths, and to ask for many at once costs
/// little more than to ask for one.
#[derive(Default)]
pub(super) struct Ahead {
    stored: BTreeMap<String, StoredMeasuring>,
    /// How many were read the last time, and how many of those that were read ahead have been asked for since.
    many: usize,
    hits: usize,
}

impl Ahead {
    /// How many to read now from this path on: more where most that were read were asked for too, else one. Those before
    /// it were passed over.
    fn many(&mut self, path: &str) -> usize {
        const MOST: usize = 256;
        let most_were_asked_for = 2 * (self.hits + 1) >= self.many;
        self.many = if most_were_asked_for { (4 * self.many).clamp(1, MOST) } else { 1 };
        self.hits = 0;
        self.stored = self.stored.split_off(path);
        if self.stored.len() > 2 * MOST {
            self.stored.clear();
        }
        self.many
    }
}

impl Database {
    /// What stands of the drawing with this path and of those that follow it, so many at the most.
    fn stored_from(&mut self, path: &str, many: usize) -> rusqlite::Result<Vec<(String, StoredMeasuring)>> {
        let setting = self.setting;
        self.stored_by(
            "(SELECT * FROM drawings WHERE path >= ?1 ORDER BY path LIMIT ?3) d JOIN measurings m ON m.id = d.current
             WHERE m.setting = ?2 AND m.sha256 IS NOT NULL ORDER BY d.path",
            params![path, setting, many as i64],
        )
    }

    /// What stands of the first drawing whose bytes have this digest.
    fn stored_with(&mut self, digest: &str) -> rusqlite::Result<Option<StoredMeasuring>> {
        let setting = self.setting;
        let found = self.stored_by(
            "measurings m JOIN drawings d ON d.current = m.id WHERE m.sha256 = ?1 AND m.setting = ?2 ORDER BY m.id LIMIT 1",
            params![digest, setting],
        )?;
        Ok(found.into_iter().next().map(|(_, stored)| stored))
    }

    /// What stands of drawings `d` and their measurings `m`, with their paths; `from` is the end of the statement.
    fn stored_by(
        &mut self,
        from: &str,
        parameters: &[&dyn ToSql],
    ) -> rusqlite::Result<Vec<(String, StoredMeasuring)>> {
        /// Drawings of very many sections are read one by one.
        const MOST_BYTES: usize = 1 << 20;
        let mut drawings = self.connection.prepare_cached(&format!(
            "SELECT d.path, d.id, m.id, m.size, m.modified, m.changed, m.looked, m.sha256, m.failures, m.messages, m.layers,
                 m.content, m.seal FROM {from}"
        ))?;
        let mut sections = self.connection.prepare_cached(
            "SELECT cells, findings, seal FROM sections WHERE measuring = ?1 ORDER BY number",
        )?;
        let mut drawings = drawings.query(parameters)?;
        let (mut found, mut bytes, mut distrusted) = (Vec::new(), 0, Vec::new());
        while let Some(row) = drawings.next()? {
            let read = || -> rusqlite::Result<(String, StoredMeasuring, [String; 2])> {
                let stored = StoredMeasuring {
                    id: Id { drawing: row.get(1)?, measuring: row.get(2)? },
                    stamp: Stamp {
                        size: row.get(3)?,
                        modified: row.get(4)?,
                        changed: row.get(5)?,
                        looked: row.get(6)?,
                    },
                    sha256: row.get(7)?,
                    failures: row.get(8)?,
                    messages: row.get(9)?,
                    layers: row.get(10)?,
                    sections: Vec::new(),
                };
                Ok((row.get(0)?, stored, [row.get(11)?, row.get(12)?]))
            };
            // A row that can't be read as what it must be is damaged; what stands in others need not be.
            let Ok((path, mut stored, seals)) = read() else {
                // Its number may be what is damaged: then it is not counted.
                distrusted.extend(row.get::<_, i64>(1).ok());
                continue;
            };
            let mut of_this = sections.query([stored.id.measuring])?;
            let mut of_figures = Vec::new();
            let mut is_whole = true;
            while let Some(section) = of_this.next()? {
                let read: rusqlite::Result<[String; 3]> =
                    (|| Ok([section.get(0)?, section.get(1)?, section.get(2)?]))();
                let Ok([cells, findings, seal]) = read else {
                    is_whole = false;
                    break;
                };
                bytes += cells.len() + findings.len();
                stored.sections.push((cells, findings));
                of_figures.push(seal);
            }
            if is_whole && stored.is_as_written(&path, &self.setting_text, &of_figures, &seals) {
                found.push((path, stored));
            } else {
                distrusted.push(stored.id.drawing);
            }
            if bytes > MOST_BYTES {
                break;
            }
        }
        self.distrusted.extend(distrusted);
        Ok(found)
    }
}

impl StoredMeasuring {
    /// Whether the seals are those of what stands here, for the drawing at this path.
    fn is_as_written(&self, path: &str, setting: &str, of_figures: &[String], seals: &[String; 2]) -> bool {
        let content = Content {
            setting,
            sha256: &self.sha256,
            failures: &self.failures,
            messages: &self.messages,
            layers: &self.layers,
        };
        let sections = self.sections.iter().zip(of_figures);
        let content =
            content.seal(sections.map(|((cells, findings), seal)| (&**cells, &**findings, &**seal)));
        seals == &[content.clone(), of_measuring(path, &self.stamp, &content)]
    }

    /// What was measured then, of a drawing that is given as `name` now; `None` where it can't be understood.
    fn remembered(&self, name: &Path) -> Option<DrawingRows> {
        let name = paths::text(&name).into_owned();
        let rows = self.sections.iter().map(|(cells, findings)| stored_row(cells, findings, &name));
        let rows = rows.collect::<Option<Vec<_>>>()?;
        let mut layers = stored_texts(&self.layers)?;
        let read = layers.first().is_some_and(|read| read == READ);
        let unmatched_end = layers.iter().position(|text| text.is_empty()).unwrap_or(layers.len());
        let names = layers.split_off(unmatched_end);
        Some(DrawingRows {
            rows,
            messages: stored_messages(&self.messages, &name)?,
            failures: Failure::ALL.into_iter().filter(|f| self.failures.contains(f.letter())).collect(),
            read,
            unmatched: layers.into_iter().skip(1).collect(),
            layers: names.into_iter().skip(1).collect(),
            remembered: true,
            ..DrawingRows::default()
        })
    }
}
