//! What a ledger keeps of a measuring: its sections as rows of a table, and the seals over them.

use std::sync::LazyLock;

use rusqlite::types::Value;

use super::schema;
use super::seal::Seal;
use crate::library::DrawingRows;
use crate::library::measured::{EVERY_COLUMN, Figures};
use crate::schedule::{Column, ColumnKey, Quantity, Row, StoredRow, texts_to_store};

/// What a section is kept as: the values of [`INSERT_SECTION`].
pub(super) struct StoredSection(pub Vec<Value>);

/// So many of them stand before the digests: the measuring and the number.
const KEY: usize = 2;

impl StoredSection {
    pub fn of(measuring: i64, number: i64, row: &Row, figures: Figures) -> StoredSection {
        let text = |text: &str| if text.is_empty() { Value::Null } else { Value::Text(text.to_owned()) };
        let digest = |digest: Option<String>| digest.map_or(Value::Null, Value::Text);
        let mut values = Vec::with_capacity(Column::ALL.len() + 8);
        values.extend([Value::Integer(measuring), Value::Integer(number)]);
        values.extend([digest(figures.outline), digest(figures.shape)]);
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
        let seal = section_seal(values.get(KEY..).unwrap_or_default());
        let StoredRow { cells, findings } = StoredRow::of(row);
        values.extend([seal, cells, findings].map(Value::Text));
        StoredSection(values)
    }

    /// What the seal of its measuring is made of: its cells, findings and own seal.
    pub fn sealed(&self) -> (&str, &str, &str) {
        match self.0.as_slice() {
            [.., Value::Text(seal), Value::Text(cells), Value::Text(findings)] => (cells, findings, seal),
            _ => ("", "", ""),
        }
    }
}

pub(super) fn section_seal(values: &[Value]) -> String {
    let mut seal = Seal::with_room(values.len());
    values.iter().for_each(|value| {
        seal.value(value);
    });
    seal.digits()
}

/// The statement that keeps a section.
pub(super) static INSERT_SECTION: LazyLock<String> = LazyLock::new(|| {
    let keys: Vec<&str> = schema::columns().map(|column| column.key.name()).collect();
    let places: Vec<String> = (1..=keys.len() + 7).map(|k| format!("?{k}")).collect();
    format!(
        "INSERT INTO sections (measuring, number, outline, shape, {}, seal, cells, findings) VALUES ({})",
        keys.join(", "),
        places.join(", ")
    )
});

/// The statement that copies the sections of a measuring for another.
pub(super) static COPY_SECTIONS: LazyLock<String> = LazyLock::new(|| {
    let keys: Vec<&str> = schema::columns().map(|column| column.key.name()).collect();
    let keys = format!("number, outline, shape, {}, seal, cells, findings", keys.join(", "));
    format!(
        "INSERT INTO sections (measuring, {keys}) SELECT ?1, {keys} FROM sections WHERE measuring = ?2 ORDER BY number"
    )
});

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
    pub fn seal<'a>(&self, sections: impl Iterator<Item = (&'a str, &'a str, &'a str)>) -> String {
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
pub(super) fn layers_to_store(measured: &DrawingRows) -> String {
    let mut texts = vec![if measured.read { READ.to_owned() } else { "not read".to_owned() }];
    texts.extend(measured.unmatched.iter().cloned());
    texts.push(String::new());
    texts.extend(measured.layers.iter().cloned());
    texts_to_store(&texts)
}
