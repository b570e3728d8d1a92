//! Rows as text, for a ledger to keep them in.

use std::fmt::Write as _;

use serde_json::{Value, json};

use super::super::cell::{Cells, Part};
use super::super::row::place;
use super::super::{Column, ColumnKey, Row};
use super::as_finding::as_findings;
use super::finding::{findings, or_null, text};
use crate::finding::Code;
use crate::measure::{Message, Status};

/// The path of the drawing stands before all that is stored.
const DRAWING: usize = place(ColumnKey::Drawing);
const _: () = assert!(DRAWING == 0);

/// A row as text; its findings as the JSON of schedules has them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct StoredRow {
    /// The word of the status, then the cells without the path of the drawing, as [`Cells::stored`] has them.
    pub(crate) cells: String,
    /// A list of objects.
    pub(crate) findings: String,
}

impl StoredRow {
    /// The text of a row.
    pub(crate) fn of(row: &Row) -> StoredRow {
        StoredRow {
            cells: row.cells.stored(row.status.word(), DRAWING + 1),
            findings: findings(&row.findings, Code::advice),
        }
    }
}

/// The row that was stored as [`StoredRow`], of a drawing with this path now; `None` for other text.
pub(crate) fn stored_row(cells: &str, findings: &str, drawing: &str) -> Option<Row> {
    let (status, stored) = [Status::Ok, Status::Warning, Status::Failed]
        .into_iter()
        .find_map(|status| Some((status, cells.strip_prefix(status.word())?)))?;
    let mut cells = Cells::with_room(Column::ALL.len(), drawing.len() + stored.len());
    cells.push(if drawing.is_empty() { Part::Empty } else { Part::Text(drawing) });
    cells.push_stored(stored)?;
    let findings =
        if findings == "[]" { Vec::new() } else { as_findings(&serde_json::from_str(findings).ok()?)? };
    Some(Row { cells, findings, status })
}

/// Texts as one text.
pub(crate) fn texts_to_store(texts: &[String]) -> String {
    json!(texts).to_string()
}

/// The texts that were stored; `None` for other text.
pub(crate) fn stored_texts(text: &str) -> Option<Vec<String>> {
    serde_json::from_str(text).ok()
}

/// What is to be reported of a drawing as one text, without the drawing's path.
pub(crate) fn messages_to_store(messages: &[Message]) -> String {
    let mut out = String::from("[");
    for (k, message) in messages.iter().enumerate() {
        out.push_str(if k > 0 { ",{\"section\":" } else { "{\"section\":" });
        or_null(&mut out, message.section.as_deref(), text);
        let flags = [
            ("is_layer", message.is_layer),
            ("not_measured", message.not_measured),
            ("is_routine", message.is_routine),
        ];
        for (key, flag) in flags {
            // Writing to a string can't fail.
            let _ = write!(out, ",\"{key}\":{flag}");
        }
        out.push_str(",\"findings\":");
        out.push_str(&findings(&message.findings, Code::advice));
        out.push('}');
    }
    out.push(']');
    out
}

/// The messages that were stored, of a drawing with this path now; `None` for other text.
pub(crate) fn stored_messages(text: &str, drawing: &str) -> Option<Vec<Message>> {
    let message = |object: &Value| {
        let flag = |key: &str| object.get(key)?.as_bool();
        let section = object.get("section")?.as_str().map(str::to_owned);
        let findings = as_findings(object.get("findings")?)?;
        Some(Message {
            drawing: drawing.to_owned(),
            section,
            is_layer: flag("is_layer")?,
            not_measured: flag("not_measured")?,
            is_routine: flag("is_routine")?,
            findings,
        })
    };
    serde_json::from_str::<Value>(text).ok()?.as_array()?.iter().map(message).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::Drawing;
    use crate::finding::{Finding, Position};
    use crate::geometry::Point;
    use crate::measure::{self, Measurement, Options};
    use crate::schedule::{Digits, Style};

    #[test]
    fn rows_come_back_as_they_were() {
        let mut count = 0;
        for name in ["rail-clamp.dxf", "gantry-end-plate.dxf", "formula-layers.dxf", "bow-tie.dxf"] {
            let bytes = std::fs::read(format!("{}/fixtures/{name}", env!("CARGO_MANIFEST_DIR"))).unwrap();
            let drawing = Drawing::read(bytes.as_slice()).unwrap();
            let mut measured = measure::drawing(name, &drawing, &Options::default()).measurements;
            let odd = Finding::of(Code::SourceMissing)
                .with("what", "a \u{202e}name\n\"quoted\"")
                .at(Point::new(0.1 + 0.2, -1e-300));
            measured.push(Measurement::failed(name, odd.in_file(Position::Byte(7)).on_entity(Some(0xABC))));
            for digits in [Digits::default(), Digits::FULL] {
                let style = Style { digits, ..Style::default() };
                for row in Row::all(&measured, style) {
                    let stored = StoredRow::of(&row);
                    assert_eq!(stored_row(&stored.cells, &stored.findings, name).as_ref(), Some(&row));
                    count += 1;
                }
            }
        }
        assert!(count > 15, "{count}");
        assert_eq!(stored_row("okx1:a", "[]", "a.dxf"), None);
    }

    #[test]
    fn texts_come_back_as_they_were() {
        let texts = ["a\nb", "", "\u{1}\"é"].map(str::to_owned);
        assert_eq!(stored_texts(&texts_to_store(&texts)).as_deref(), Some(&texts[..]));
        assert_eq!(stored_texts("nonsense"), None);
    }
}
