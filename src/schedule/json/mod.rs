//! The schedule as JSON: one document, or an object on each line. With what a drawing holds, the one place that names
//! `serde_json`.

#[cfg(feature = "ledger")]
mod as_finding;
mod finding;
mod read;
#[cfg(feature = "ledger")]
mod stored;

pub(crate) use read::as_csv;
use std::fmt::Write as _;

use std::io::{self, Write};

use serde_json::{Value, json};

use super::cell::Part;
use super::{CAUTION, Column, Quantity, Row, Style, Totals};
use finding::findings;
#[cfg(feature = "ledger")]
pub(crate) use stored::{
    StoredRow, messages_to_store, stored_messages, stored_row, stored_texts, texts_to_store,
};

/// The version of the document's structure, which `shared/schedule.schema.json` describes. It rises when a key goes or
/// changes its meaning.
const SCHEMA_VERSION: u32 = 1;

/// Sections being written, as one document or as a line each.
pub(super) enum JsonRows<W: Write> {
    Document(Box<JsonDocument<W>>),
    Lines(W),
}

impl<W: Write> JsonRows<W> {
    /// Begins a document.
    pub(super) fn document(out: W, style: Style) -> io::Result<JsonRows<W>> {
        Ok(JsonRows::Document(Box::new(JsonDocument::begin(out, style)?)))
    }

    /// Lines, before which nothing stands.
    pub(super) fn lines(out: W) -> JsonRows<W> {
        JsonRows::Lines(out)
    }

    /// Writes a section.
    pub(super) fn push(&mut self, row: &Row, style: Style) -> io::Result<()> {
        match self {
            JsonRows::Document(document) => document.push(row, style),
            JsonRows::Lines(out) => writeln!(out, "{}", section(row, style)),
        }
    }

    /// Writes what stands behind the sections.
    pub(super) fn finish(self) -> io::Result<W> {
        match self {
            JsonRows::Document(document) => document.finish(),
            JsonRows::Lines(out) => Ok(out),
        }
    }
}

/// A document being written: what holds for all, the columns, and each section on a line.
pub(super) struct JsonDocument<W: Write> {
    out: W,
    empty: bool,
    totals: Totals,
}

impl<W: Write> JsonDocument<W> {
    /// Writes what stands before the sections.
    fn begin(mut out: W, style: Style) -> io::Result<JsonDocument<W>> {
        let head = [
            ("schema_version", json!(SCHEMA_VERSION)),
            ("tracearm_version", json!(env!("CARGO_PKG_VERSION"))),
            ("unit", json!(style.unit.symbol())),
            ("mass_unit", json!(style.mass_unit.symbol())),
            ("caution", json!(CAUTION)),
        ];
        out.write_all(b"{\n")?;
        for (key, value) in head {
            writeln!(out, "  \"{key}\": {value},")?;
        }
        out.write_all(b"  \"columns\": [")?;
        for (k, (_, column)) in style.written().into_iter().enumerate() {
            write!(
                out,
                "{}\n    {}",
                if k > 0 { "," } else { "" },
                on_one_line(&definition(column, style).to_string())
            )?;
        }
        out.write_all(b"\n  ],\n  \"sections\": [")?;
        Ok(JsonDocument { out, empty: true, totals: Totals::of(style) })
    }

    /// Writes a section.
    fn push(&mut self, row: &Row, style: Style) -> io::Result<()> {
        write!(self.out, "{}\n    {}", if self.empty { "" } else { "," }, section(row, style))?;
        self.empty = false;
        self.totals.add(row);
        Ok(())
    }

    /// Writes what stands behind the sections: the totals.
    fn finish(mut self) -> io::Result<W> {
        self.out.write_all(b"\n  ],\n  \"totals\": [")?;
        let headings = self.totals.headings();
        for (k, (word, figures)) in self.totals.lines().enumerate() {
            let figures = figures.iter().map(|figure| match figure.as_str() {
                "" => "null",
                figure => number(figure),
            });
            let cells = [format!("\"{word}\"")].into_iter().chain(figures.map(str::to_owned));
            let pairs = headings.iter().zip(cells).map(|(heading, cell)| format!("\"{heading}\":{cell}"));
            let pairs: Vec<String> = pairs.collect();
            write!(self.out, "{}\n    {{{}}}", if k > 0 { "," } else { "" }, pairs.join(","))?;
        }
        self.out.write_all(b"\n  ]\n}\n")?;
        Ok(self.out)
    }
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
        "key": column.key.name(),
        "heading": column.heading(style.units()),
        "holds": holds,
        "unit": column.quantity.unit_text(style.units()),
        "definition": column.definition,
    })
}

/// A section by the headings of the columns, on one line. Its numbers have the digits of every other format.
fn section(row: &Row, style: Style) -> String {
    let mut object = String::from("{");
    for (at, column) in style.written() {
        let cell = row.cells.get(at).unwrap_or(Part::Empty);
        let value = match cell {
            _ if column.holds_findings() => on_one_line(&findings(&row.findings, style.advice)),
            Part::Empty => "null".to_owned(),
            Part::Text(text) => on_one_line(&json!(text).to_string()),
            Part::Number(figure) => number(figure).to_owned(),
        };
        let before = if object.len() > 1 { "," } else { "" };
        // Writing to a string can't fail.
        let _ = write!(object, "{before}\"{}\":{value}", column.heading(style.units()));
        if column.holds_findings() {
            let words = match cell {
                Part::Text(text) => on_one_line(&json!(text).to_string()),
                _ => "null".to_owned(),
            };
            let _ = write!(object, ",\"{FINDINGS_TEXT}\":{words}");
        }
    }
    object.push('}');
    object
}

/// The key of the findings as the CSV has them, in one text.
const FINDINGS_TEXT: &str = "findings_text";

/// The digits as a number of JSON, which has none for what is not finite: it is not known.
fn number(figure: &str) -> &str {
    if figure.parse::<f64>().is_ok_and(f64::is_finite) { figure } else { "null" }
}

/// The text of a value on one line for every reader: some take characters beyond ASCII for ends of lines, terminals take others
/// for orders. They can stand in strings alone, so that escaping them changes no value.
fn on_one_line(text: &str) -> String {
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

    #[test]
    fn digits_become_numbers() {
        for figure in ["19431700", "-0.00123457", "1.5e-16", "1e300", "0.1234567890123456"] {
            let value: Value = serde_json::from_str(number(figure)).unwrap();
            assert_eq!((number(figure), value.as_f64()), (figure, figure.parse().ok()));
        }
        assert_eq!((number("inf"), number("NaN")), ("null", "null"));
    }

    #[test]
    fn no_line_ends_within_a_value() {
        let value = json!({"layer": "A\u{85}B\u{2028}C\u{9b}31m\u{202e}\n\u{1b}مقطع"});
        let text = on_one_line(&value.to_string());
        assert!(text.chars().all(|c| !c.is_control() && !('\u{2028}'..='\u{202e}').contains(&c)), "{text}");
        assert_eq!(serde_json::from_str::<Value>(&text).unwrap(), value);
    }

    #[test]
    fn nothing_measured_is_a_document_too() {
        let mut text = Vec::new();
        JsonDocument::begin(&mut text, Style::default()).unwrap().finish().unwrap();
        let value: Value = serde_json::from_slice(&text).unwrap();
        assert_eq!(value["sections"], json!([]));
        assert_eq!(value["columns"].as_array().unwrap().len(), Style::default().columns().count());
    }
}
