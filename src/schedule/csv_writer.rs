//! The schedule as CSV. This file and `csv_reader.rs` alone name the csv crate.

use std::borrow::Cow;
use std::io::{self, Write};

use super::cell::{Cells, Part};
use super::{Column, DecimalMark, Quantity, Row, Style, Value};
use crate::drawing::LengthUnit;

/// A CSV schedule being written: the header first, then its rows.
pub(super) struct CsvRows<W: Write> {
    writer: csv::Writer<W>,
    /// Where the cells of each column stand in a row.
    places: Vec<usize>,
    decimal: DecimalMark,
}

/// A writer of CSV with this decimal mark.
fn writer_of<W: Write>(decimal: DecimalMark, mut out: W) -> io::Result<csv::Writer<W>> {
    let between = match decimal {
        DecimalMark::Point => b',',
        DecimalMark::Comma => {
            // Spreadsheets take text without it for a page of their own.
            out.write_all("\u{feff}".as_bytes())?;
            b';'
        }
    };
    Ok(csv::WriterBuilder::new().delimiter(between).from_writer(out))
}

/// A number as it is written with this decimal mark.
pub(super) fn figure(text: &str, decimal: DecimalMark) -> Cow<'_, str> {
    match decimal {
        DecimalMark::Point => Cow::Borrowed(text),
        DecimalMark::Comma => Cow::Owned(text.replace('.', ",")),
    }
}

impl<W: Write> CsvRows<W> {
    /// Writes the header.
    pub(super) fn begin(out: W, style: Style) -> io::Result<CsvRows<W>> {
        let mut writer = writer_of(style.decimal, out)?;
        let (places, columns): (Vec<usize>, Vec<&Column>) = style.written().into_iter().unzip();
        writer.write_record(columns.into_iter().map(|c| c.heading(style.units()))).map_err(into_io)?;
        Ok(CsvRows { writer, places, decimal: style.decimal })
    }

    /// Writes a row.
    pub(super) fn push(&mut self, row: &Row) -> io::Result<()> {
        for at in &self.places {
            let text = match row.cells.get(*at).unwrap_or(Part::Empty) {
                Part::Empty => Cow::Borrowed(""),
                Part::Text(text) => made_harmless(text),
                Part::Number(text) => figure(text, self.decimal),
            };
            self.writer.write_field(text.as_bytes()).map_err(into_io)?;
        }
        self.writer.write_record(None::<&[u8]>).map_err(into_io)
    }

    /// Writes what is still held back, and hands the output back.
    pub(super) fn finish(self) -> io::Result<W> {
        self.writer.into_inner().map_err(|error| io::Error::new(error.error().kind(), error.to_string()))
    }
}

/// A table of texts being written.
pub(crate) struct TableWriter<W: Write>(csv::Writer<W>);

impl<W: Write> TableWriter<W> {
    /// Writes the headings.
    pub(crate) fn begin(
        headings: impl Iterator<Item = String>,
        decimal: DecimalMark,
        out: W,
    ) -> io::Result<TableWriter<W>> {
        let mut writer = writer_of(decimal, out)?;
        writer.write_record(headings).map_err(into_io)?;
        Ok(TableWriter(writer))
    }

    /// Writes a row.
    pub(crate) fn push(&mut self, row: &[String]) -> io::Result<()> {
        self.0.write_record(row).map_err(into_io)
    }

    /// Writes what is still held back, and hands the output back.
    pub(crate) fn finish(self) -> io::Result<W> {
        self.0.into_inner().map_err(|error| io::Error::new(error.error().kind(), error.to_string()))
    }
}

/// Writes one line of cells, as many as there are.
#[cfg(feature = "workbook")]
pub(super) fn push_line(cells: &[String], out: &mut Vec<u8>) {
    /// A line needs no more at a time.
    const ROOM: usize = 1 << 10;
    let mut writer = csv::WriterBuilder::new().buffer_capacity(ROOM).from_writer(out);
    // Writing to memory can't fail.
    let _ = writer.write_record(cells).and_then(|()| writer.flush().map_err(Into::into));
}

/// Writes a table of cells under its headings.
pub(crate) fn write_table(
    headings: impl Iterator<Item = String>,
    rows: impl Iterator<Item = Vec<String>>,
    out: impl Write,
) -> io::Result<()> {
    let mut table = TableWriter::begin(headings, DecimalMark::Point, out)?;
    for row in rows {
        table.push(&row)?;
    }
    table.finish()?.flush()
}

/// A value as the text of a cell; `unit` is that of the drawing.
pub(super) fn cell(value: Value, quantity: Quantity, unit: LengthUnit, style: Style) -> String {
    let mut cells = Cells::default();
    cells.push_value(value, quantity, unit, style);
    match cells.get(0) {
        None | Some(Part::Empty) => String::new(),
        Some(Part::Text(text)) => made_harmless(text).into_owned(),
        Some(Part::Number(text)) => figure(text, style.decimal).into_owned(),
    }
}

/// Text that a spreadsheet would run as a formula, behind an apostrophe that makes it text (common practice). Text that
/// looks as if that had been done has one more, so that [`as_given`] gives every text back.
pub(crate) fn harmless(text: String) -> String {
    made_harmless(&text).into_owned()
}

fn made_harmless(text: &str) -> Cow<'_, str> {
    if looks_like_formula(text.trim_start_matches('\'')) {
        Cow::Owned(format!("'{text}"))
    } else {
        Cow::Borrowed(text)
    }
}

/// The text that [`harmless`] was given.
pub(crate) fn as_given(text: &str) -> &str {
    match text.strip_prefix('\'') {
        Some(rest) if looks_like_formula(rest.trim_start_matches('\'')) => rest,
        _ => text,
    }
}

fn looks_like_formula(text: &str) -> bool {
    text.starts_with(['=', '+', '-', '@', '\t', '\r'])
}

fn into_io(error: csv::Error) -> io::Error {
    match error.into_kind() {
        csv::ErrorKind::Io(error) => error,
        other => io::Error::other(format!("{other:?}")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_text_is_given_back() {
        for text in
            ["=A1", "'=A1", "''=A1", "'-", "+1", "@x", "\t", "'", "''", "'plate'", "plate", "", "=", "a'=b"]
        {
            let written = harmless(text.to_owned());
            assert_eq!(as_given(&written), text);
            assert!(!looks_like_formula(&written));
        }
        assert_eq!(
            (harmless("=A1".to_owned()), harmless("'=A1".to_owned())),
            ("'=A1".into(), "''=A1".into())
        );
        assert_eq!(harmless("'plate'".to_owned()), "'plate'");
    }
}
