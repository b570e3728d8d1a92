//! The schedule as JSON: one document, or an object on each line. With what a drawing holds, the one place that names
//! `serde_json`.

use std::fmt::Write as _;
use std::io::{self, Write};

use serde_json::{Map, Number, Value, json};

use super::cell::Cell;
use super::{CAUTION, Column, Quantity, Style};
use crate::finding::{Finding, Position};
use crate::measure::Measurement;

/// The version of the document's structure, which `shared/schedule.schema.json` describes. It rises when a key goes or
/// changes its meaning.
const SCHEMA_VERSION: u32 = 1;

/// Writes one document: what holds for all, the columns, and each section on a line.
pub(super) fn write_document(
    measurements: &[Measurement],
    style: Style,
    mut out: impl Write,
) -> io::Result<()> {
    let head = [
        ("schema_version", json!(SCHEMA_VERSION)),
        ("tracearm_version", json!(env!("CARGO_PKG_VERSION"))),
        ("unit", json!(style.unit.symbol())),
        ("caution", json!(CAUTION)),
    ];
    out.write_all(b"{\n")?;
    for (key, value) in head {
        writeln!(out, "  \"{key}\": {value},")?;
    }
    write_list(&mut out, "columns", style.columns().map(|column| definition(column, style)))?;
    out.write_all(b",\n")?;
    write_list(&mut out, "sections", measurements.iter().map(|m| section(m, style)))?;
    out.write_all(b"\n}\n")?;
    out.flush()
}

/// Writes a list under its key, an item on each line.
fn write_list(out: &mut impl Write, key: &str, items: impl Iterator<Item = Value>) -> io::Result<()> {
    write!(out, "  \"{key}\": [")?;
    for (k, item) in items.enumerate() {
        write!(out, "{}\n    {}", if k > 0 { "," } else { "" }, on_one_line(&item))?;
    }
    out.write_all(b"\n  ]")
}

/// Writes an object on a line for each section.
pub(super) fn write_lines(measurements: &[Measurement], style: Style, mut out: impl Write) -> io::Result<()> {
    for measurement in measurements {
        writeln!(out, "{}", on_one_line(&section(measurement, style)))?;
    }
    out.flush()
}

/// What a column is.
fn definition(column: &Column, style: Style) -> Value {
    let holds = match column.quantity {
        _ if column.holds_findings() => "findings",
        Quantity::Text => "text",
        Quantity::Count => "count",
        _ => "number",
    };
    json!({
        "key": column.key,
        "heading": column.heading(style.unit),
        "holds": holds,
        "unit": column.quantity.unit_text(style.unit),
        "definition": column.definition,
    })
}

/// A section by the headings of the columns.
fn section(measurement: &Measurement, style: Style) -> Value {
    let mut object = Map::new();
    for column in style.columns() {
        let value = if column.holds_findings() {
            measurement.findings.iter().map(finding).collect()
        } else {
            match Cell::of(column.value(measurement), column.quantity, measurement.unit, style) {
                Cell::Empty => Value::Null,
                Cell::Text(text) => Value::String(text),
                Cell::Number(figure) => number(&figure),
            }
        };
        object.insert(column.heading(style.unit), value);
    }
    Value::Object(object)
}

/// The number that these digits are. JSON has none for what is not finite: it is not known.
fn number(figure: &str) -> Value {
    match figure.parse::<i64>() {
        Ok(whole) => Value::from(whole),
        Err(_) => figure.parse().ok().and_then(Number::from_f64).map_or(Value::Null, Value::Number),
    }
}

fn finding(finding: &Finding) -> Value {
    let place = &finding.place;
    let (line, byte) = match place.position {
        // Line 0 stands for no file.
        None | Some(Position::Line(0)) => (None, None),
        Some(Position::Line(line)) => (Some(line), None),
        Some(Position::Byte(byte)) => (None, Some(byte)),
    };
    json!({
        "severity": finding.severity.word(),
        "message": finding.message,
        "hint": Some(&finding.hint).filter(|hint| !hint.is_empty()),
        "place": {
            "line": line,
            "byte": byte,
            "layer": place.layer,
            "handle": place.handle.map(|handle| format!("{handle:X}")),
            "point": place.point.map(|point| [point.x, point.y]),
        },
    })
}

/// The value on one line for every reader: some take characters beyond ASCII for ends of lines, terminals take others
/// for orders. They can stand in strings alone, so that escaping them changes no value.
fn on_one_line(value: &Value) -> String {
    let text = value.to_string();
    let mut safe = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '\u{7f}'..='\u{9f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}' => {
                // Writing to a string can't fail.
                let _ = write!(safe, "\\u{:04x}", u32::from(letter));
            }
            _ => safe.push(letter),
        }
    }
    safe
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Point;

    #[test]
    fn digits_become_numbers() {
        assert_eq!(number("19431700").to_string(), "19431700");
        assert_eq!(number("-0.00123457").to_string(), "-0.00123457");
        assert_eq!(number("1.5e-16").as_f64(), Some(1.5e-16));
        assert_eq!(number("1e300").as_f64(), Some(1e300));
        assert_eq!(number("inf"), Value::Null);
    }

    #[test]
    fn places_are_known_or_null() {
        let told = Finding::warning("a gap").in_file(Position::Byte(7)).on_entity(Some(0x1f));
        let value = finding(&told.at(Point::new(10.5, -20.0)));
        assert_eq!(value["place"]["byte"], 7);
        assert_eq!(value["place"]["handle"], "1F");
        assert_eq!(value["place"]["point"], json!([10.5, -20.0]));
        for key in ["line", "layer"] {
            assert_eq!(value["place"].get(key), Some(&Value::Null), "{key}");
        }
        assert_eq!(value["hint"], Value::Null);
        let nowhere = finding(&Finding::note("x").in_file(Position::Line(0)));
        assert_eq!(nowhere["place"]["line"], Value::Null);
    }

    #[test]
    fn no_line_ends_within_a_value() {
        let value = json!({"layer": "A\u{85}B\u{2028}C\u{9b}31m\u{202e}\n\u{1b}مقطع"});
        let text = on_one_line(&value);
        assert!(text.chars().all(|c| !c.is_control() && !('\u{2028}'..='\u{202e}').contains(&c)), "{text}");
        assert_eq!(serde_json::from_str::<Value>(&text).unwrap(), value);
    }

    #[test]
    fn nothing_measured_is_a_document_too() {
        let mut text = Vec::new();
        write_document(&[], Style::default(), &mut text).unwrap();
        let value: Value = serde_json::from_slice(&text).unwrap();
        assert_eq!(value["sections"], json!([]));
        assert_eq!(value["columns"].as_array().unwrap().len(), Style::default().columns().count());
    }
}
