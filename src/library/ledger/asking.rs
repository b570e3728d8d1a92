//! What a ledger knows of a drawing.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::PoisonError;

use rusqlite::params;

use super::{BEHIND_NAME, Book, Id, Ledger, LedgerError, READ, Stamp};
use crate::library::{Failure, Measured};
use crate::schedule::{stored_row, stored_texts};

/// What a ledger knows of a drawing.
pub(in super::super) enum Known {
    /// It was measured in the same way and has not changed since.
    Unchanged(Id, Measured),
    /// It was measured in the same way; only its digest, which was this, can tell whether it has changed.
    PerhapsChanged(Id, Measured, String),
    /// It must be measured.
    Unknown,
}

/// What stands in a ledger of a drawing.
struct Kept {
    id: Id,
    stamp: Stamp,
    sha256: String,
    failures: String,
    told: String,
    layers: String,
    /// Cells and findings of each section.
    sections: Vec<(String, String)>,
}

impl Ledger {
    /// What is known of the drawing at this path, given as `name`.
    pub(in super::super) fn known(
        &self,
        path: &Path,
        name: &Path,
        stamp: &Stamp,
    ) -> Result<Known, LedgerError> {
        let Some(kept) = self.kept(path)?.filter(|kept| kept.stamp.size == stamp.size) else {
            return Ok(Known::Unknown);
        };
        // Understood when the ledger is free again for others.
        Ok(match kept.remembered(name) {
            None => Known::Unknown,
            Some(measured) if stamp.proves_unchanged_since(&kept.stamp) => {
                Known::Unchanged(kept.id, measured)
            }
            Some(measured) => Known::PerhapsChanged(kept.id, measured, kept.sha256),
        })
    }

    fn kept(&self, path: &Path) -> Result<Option<Kept>, LedgerError> {
        let path = path.display().to_string();
        let mut ahead = self.ahead.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(kept) = ahead.kept.remove(&path) {
            ahead.hits += 1;
            return Ok(Some(kept));
        }
        let many = ahead.many(&path);
        let found = self.with(|book| book.kept_from(&path, many))?;
        if 2 * found.len() < many {
            // Those that follow are not known either, or were measured in another way.
            ahead.many = 0;
        }
        ahead.kept.extend(found);
        Ok(ahead.kept.remove(&path))
    }
}

/// What was read ahead: drawings are asked for by and large in the order of their paths, and to ask for many at once costs
/// little more than to ask for one.
#[derive(Default)]
pub(super) struct Ahead {
    kept: BTreeMap<String, Kept>,
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
        self.kept = self.kept.split_off(path);
        if self.kept.len() > 2 * MOST {
            self.kept.clear();
        }
        self.many
    }
}

impl Book {
    /// What stands of the drawing with this path and of those that follow it, so many at the most.
    fn kept_from(&self, path: &str, many: usize) -> rusqlite::Result<Vec<(String, Kept)>> {
        /// Drawings of very many sections are read one by one.
        const MOST_BYTES: usize = 1 << 20;
        let mut drawings = self.connection.prepare_cached(
            "SELECT d.path, d.id, m.id, m.size, m.modified, m.changed, m.looked, m.sha256, m.failures, m.told, m.layers
             FROM (SELECT * FROM drawings WHERE path >= ?1 ORDER BY path LIMIT ?3) d
             JOIN measurings m ON m.id = d.current
             WHERE m.setting = ?2 AND m.sha256 IS NOT NULL ORDER BY d.path",
        )?;
        let mut sections = self
            .connection
            .prepare_cached("SELECT cells, findings FROM sections WHERE measuring = ?1 ORDER BY number")?;
        let mut drawings = drawings.query(params![path, self.setting, many as i64])?;
        let (mut found, mut bytes) = (Vec::new(), 0);
        while let Some(row) = drawings.next()? {
            let mut kept = Kept {
                id: Id { drawing: row.get(1)?, measuring: row.get(2)? },
                stamp: Stamp {
                    size: row.get(3)?,
                    modified: row.get(4)?,
                    changed: row.get(5)?,
                    looked: row.get(6)?,
                },
                sha256: row.get(7)?,
                failures: row.get(8)?,
                told: row.get(9)?,
                layers: row.get(10)?,
                sections: Vec::new(),
            };
            let mut of_this = sections.query([kept.id.measuring])?;
            while let Some(section) = of_this.next()? {
                let (cells, findings): (String, String) = (section.get(0)?, section.get(1)?);
                bytes += cells.len() + findings.len();
                kept.sections.push((cells, findings));
            }
            found.push((row.get(0)?, kept));
            if bytes > MOST_BYTES {
                break;
            }
        }
        Ok(found)
    }
}

impl Kept {
    /// What was measured then, of a drawing that is given as `name` now; `None` where it can't be understood.
    fn remembered(&self, name: &Path) -> Option<Measured> {
        let name = name.display().to_string();
        let rows = self.sections.iter().map(|(cells, findings)| stored_row(cells, findings, &name));
        let rows = rows.collect::<Option<Vec<_>>>()?;
        let mut told = stored_texts(&self.told)?;
        told.iter_mut()
            .filter(|text| text.starts_with(BEHIND_NAME))
            .for_each(|text| text.insert_str(0, &name));
        let mut layers = stored_texts(&self.layers)?;
        let read = layers.first().is_some_and(|read| read == READ);
        let unmatched_end = layers.iter().position(|text| text.is_empty()).unwrap_or(layers.len());
        let names = layers.split_off(unmatched_end);
        Some(Measured {
            rows,
            told,
            failures: Failure::ALL.into_iter().filter(|f| self.failures.contains(f.letter())).collect(),
            read,
            unmatched: layers.into_iter().skip(1).collect(),
            layers: names.into_iter().skip(1).collect(),
            remembered: true,
            ..Measured::default()
        })
    }
}
