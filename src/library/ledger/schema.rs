//! The tables of a ledger.

use super::super::measured::EVERY_COLUMN;
use crate::schedule::{Column, ColumnKey, Quantity};

/// Rises when a table changes.
pub(super) const VERSION: i64 = 5;

/// What marks a file as a ledger, "trac" in ASCII.
pub(super) const APPLICATION: i64 = 0x7472_6163;

/// Columns of the sections that a ledger has names or figures of.
pub(super) fn columns() -> impl Iterator<Item = &'static Column> {
    EVERY_COLUMN.columns().filter(|column| !matches!(column.key, ColumnKey::Drawing | ColumnKey::Findings))
}

/// Indices by digests. A digest stands anywhere in them, so that a run which measures everything would write all of their pages
/// over and over: it leaves them away until its end.
pub(super) const DIGEST_INDICES: [(&str, &str); 3] = [
    ("measurings_by_digest", "measurings (sha256) WHERE sha256 IS NOT NULL"),
    ("sections_by_outline", "sections (outline) WHERE outline IS NOT NULL"),
    ("sections_by_shape", "sections (shape) WHERE shape IS NOT NULL"),
];

/// The statements that make all tables and views.
pub(super) fn statements() -> String {
    let figures: Vec<String> = columns()
        .map(|column| {
            let kind = match column.quantity {
                Quantity::Text => "TEXT",
                Quantity::Count => "INTEGER",
                _ => "REAL",
            };
            format!("    {} {kind}", column.key)
        })
        .collect();
    let figures = figures.join(",\n");
    let keys: Vec<String> = columns().map(|column| format!("sections.{}", column.key)).collect();
    let keys = keys.join(", ");
    format!(
        "
CREATE TABLE runs (
    id INTEGER PRIMARY KEY,
    began TEXT NOT NULL,
    ended TEXT,
    setting INTEGER NOT NULL REFERENCES settings
);
CREATE TABLE settings (
    id INTEGER PRIMARY KEY,
    version TEXT NOT NULL,
    options TEXT NOT NULL,
    UNIQUE (version, options)
);
CREATE TABLE drawings (
    id INTEGER PRIMARY KEY,
    path TEXT NOT NULL UNIQUE,
    current INTEGER REFERENCES measurings,
    last_run INTEGER NOT NULL REFERENCES runs,
    vanished_run INTEGER REFERENCES runs
);
CREATE TABLE measurings (
    id INTEGER PRIMARY KEY,
    drawing INTEGER NOT NULL REFERENCES drawings,
    run INTEGER NOT NULL REFERENCES runs,
    setting INTEGER NOT NULL REFERENCES settings,
    size INTEGER NOT NULL,
    modified INTEGER NOT NULL,
    changed INTEGER NOT NULL,
    looked INTEGER NOT NULL,
    sha256 TEXT,
    failures TEXT NOT NULL,
    messages TEXT NOT NULL,
    layers TEXT NOT NULL,
    content TEXT NOT NULL,
    seal TEXT NOT NULL
);
CREATE TABLE suspects (
    path TEXT PRIMARY KEY
) WITHOUT ROWID;
CREATE INDEX measurings_of_drawings ON measurings (drawing, run);
CREATE TABLE sections (
    measuring INTEGER NOT NULL REFERENCES measurings,
    number INTEGER NOT NULL,
    outline TEXT,
    shape TEXT,
{figures},
    seal TEXT NOT NULL,
    cells TEXT NOT NULL,
    findings TEXT NOT NULL,
    PRIMARY KEY (measuring, number)
) WITHOUT ROWID;
CREATE VIEW current_sections AS
    SELECT drawings.path AS drawing, {keys}, sections.outline, sections.shape, measurings.sha256, measurings.run
    FROM drawings
    JOIN measurings ON measurings.id = drawings.current
    JOIN sections ON sections.measuring = measurings.id
    WHERE drawings.vanished_run IS NULL;
CREATE VIEW current_findings AS
    SELECT drawings.path AS drawing, sections.section, sections.layer,
        json_extract(finding.value, '$.code') AS code,
        json_extract(finding.value, '$.severity') AS severity,
        json_extract(finding.value, '$.message') AS message,
        json_extract(finding.value, '$.hint') AS hint,
        json_extract(finding.value, '$.place.line') AS line,
        json_extract(finding.value, '$.place.handle') AS handle
    FROM drawings
    JOIN sections ON sections.measuring = drawings.current
    JOIN json_each(sections.findings) AS finding
    WHERE drawings.vanished_run IS NULL;
PRAGMA application_id = {APPLICATION};
PRAGMA user_version = {VERSION};
"
    )
}
