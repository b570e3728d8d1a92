//! What a ledger knows of a drawing.

use std::path::Path;

use rusqlite::params;

use super::{BEHIND_NAME, Id, Ledger, LedgerError, READ, Stamp};
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
        self.with(|book| {
            let mut drawing = book.connection.prepare_cached(
                "SELECT d.id, m.id, m.size, m.modified, m.changed, m.looked, m.sha256, m.failures, m.told, m.layers
                 FROM drawings d JOIN measurings m ON m.id = d.current
                 WHERE d.path = ?1 AND m.setting = ?2 AND m.sha256 IS NOT NULL",
            )?;
            let mut drawing = drawing.query(params![path, book.setting])?;
            let Some(row) = drawing.next()? else { return Ok(None) };
            let mut kept = Kept {
                id: Id { drawing: row.get(0)?, measuring: row.get(1)? },
                stamp: Stamp {
                    size: row.get(2)?,
                    modified: row.get(3)?,
                    changed: row.get(4)?,
                    looked: row.get(5)?,
                },
                sha256: row.get(6)?,
                failures: row.get(7)?,
                told: row.get(8)?,
                layers: row.get(9)?,
                sections: Vec::new(),
            };
            let mut sections = book
                .connection
                .prepare_cached("SELECT cells, findings FROM sections WHERE measuring = ?1 ORDER BY number")?;
            let mut sections = sections.query([kept.id.measuring])?;
            while let Some(row) = sections.next()? {
                kept.sections.push((row.get(0)?, row.get(1)?));
            }
            Ok(Some(kept))
        })
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
