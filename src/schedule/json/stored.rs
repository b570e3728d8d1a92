//! Rows as text, for a ledger to keep them in.

use serde_json::{Value, json};

use super::super::cell::{Cells, Part};
use super::super::{COLUMNS, Row};
use super::finding;
use crate::finding::{Finding, Place, Position, Severity};
use crate::geometry::Point;
use crate::measure::Status;

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
        let mut cells = Cells::default();
        row.cells.iter().skip(1).for_each(|part| cells.push(part));
        StoredRow {
            cells: format!("{}{}", row.status.word(), cells.stored()),
            findings: row.findings.iter().map(finding).collect::<Value>().to_string(),
        }
    }
}

/// The row that was stored as [`StoredRow`], of a drawing with this path now; `None` for other text.
pub(crate) fn stored_row(cells: &str, findings: &str, drawing: &str) -> Option<Row> {
    let (status, stored) = [Status::Ok, Status::Warning, Status::Failed]
        .into_iter()
        .find_map(|status| Some((status, cells.strip_prefix(status.word())?)))?;
    let mut cells = Cells::with_room(COLUMNS.len(), drawing.len() + stored.len());
    cells.push(if drawing.is_empty() { Part::Empty } else { Part::Text(drawing) });
    cells.push_stored(stored)?;
    let findings = if findings == "[]" {
        Vec::new()
    } else {
        let all: Vec<Value> = serde_json::from_str(findings).ok()?;
        all.iter().map(as_finding).collect::<Option<_>>()?
    };
    Some(Row { cells, findings, status })
}

/// The finding that an object stands for.
fn as_finding(value: &Value) -> Option<Finding> {
    let severity = value.get("severity")?.as_str()?;
    let severity = [Severity::Note, Severity::Warning, Severity::Failure]
        .into_iter()
        .find(|known| known.word() == severity)?;
    let place = value.get("place")?;
    let number = |key: &str| place.get(key).and_then(Value::as_u64);
    let coordinate = |k: usize| place.get("point")?.get(k)?.as_f64();
    let handle = place.get("handle").and_then(Value::as_str);
    Some(Finding {
        severity,
        message: value.get("message")?.as_str()?.to_owned(),
        place: Place {
            position: number("line").map(Position::Line).or(number("byte").map(Position::Byte)),
            layer: place.get("layer").and_then(Value::as_str).map(str::to_owned),
            handle: handle.and_then(|digits| u64::from_str_radix(digits, 16).ok()),
            point: coordinate(0).zip(coordinate(1)).map(|(x, y)| Point::new(x, y)),
        },
        hint: value.get("hint")?.as_str().unwrap_or_default().to_owned(),
    })
}

/// Texts as one text.
pub(crate) fn texts_to_store(texts: &[String]) -> String {
    json!(texts).to_string()
}

/// The texts that were stored; `None` for other text.
pub(crate) fn stored_texts(text: &str) -> Option<Vec<String>> {
    serde_json::from_str(text).ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::Drawing;
    use crate::measure::{self, Measurement, Options};
    use crate::schedule::{Digits, Style};

    #[test]
    fn rows_come_back_as_they_were() {
        let mut count = 0;
        for name in ["rail-clamp.dxf", "gantry-end-plate.dxf", "formula-layers.dxf", "bow-tie.dxf"] {
            let bytes = std::fs::read(format!("{}/fixtures/{name}", env!("CARGO_MANIFEST_DIR"))).unwrap();
            let drawing = Drawing::read(bytes.as_slice()).unwrap();
            let mut measured = measure::drawing(name, &drawing, &Options::default()).measurements;
            let odd = Finding::warning("a \u{202e}name\n\"quoted\"")
                .hint("=1+1")
                .at(Point::new(0.1 + 0.2, -1e-300));
            measured.push(Measurement::failed(name, odd.in_file(Position::Byte(7)).on_entity(Some(0xABC))));
            for digits in [Digits::default(), Digits::Full] {
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
