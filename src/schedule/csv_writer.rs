//! The schedule as CSV. This file and `csv_reader.rs` alone name the csv crate.

use std::io::{self, Write};

use super::cell::Cell;
use super::{Quantity, Style, Value};
use crate::drawing::LengthUnit;
use crate::measure::Measurement;

/// A CSV schedule being written: the header first, then a row for each measurement.
pub struct CsvSchedule<W: Write> {
    writer: csv::Writer<W>,
    style: Style,
}

impl<W: Write> CsvSchedule<W> {
    /// Writes the header.
    pub fn begin(out: W, style: Style) -> io::Result<CsvSchedule<W>> {
        let mut writer = csv::Writer::from_writer(out);
        writer.write_record(style.columns().map(|c| c.heading(style.unit))).map_err(into_io)?;
        Ok(CsvSchedule { writer, style })
    }

    /// Writes a row.
    pub fn push(&mut self, measurement: &Measurement) -> io::Result<()> {
        let unit = measurement.unit;
        let cells = self.style.columns().map(|c| cell(c.value(measurement), c.quantity, unit, self.style));
        self.writer.write_record(cells).map_err(into_io)
    }

    /// Writes what is still held back.
    pub fn finish(mut self) -> io::Result<()> {
        self.writer.flush()
    }
}

/// Writes a table of cells under its headings.
pub(crate) fn write_table(
    headings: impl Iterator<Item = String>,
    rows: impl Iterator<Item = Vec<String>>,
    out: impl Write,
) -> io::Result<()> {
    let mut writer = csv::Writer::from_writer(out);
    writer.write_record(headings).map_err(into_io)?;
    for row in rows {
        writer.write_record(row).map_err(into_io)?;
    }
    writer.flush()
}

/// A value as the text of a cell; `unit` is that of the drawing.
pub(super) fn cell(value: Value, quantity: Quantity, unit: LengthUnit, style: Style) -> String {
    match Cell::of(value, quantity, unit, style) {
        Cell::Empty => String::new(),
        Cell::Text(text) => harmless(text),
        Cell::Number(figure) => figure,
    }
}

/// Text that a spreadsheet would run as a formula, behind an apostrophe that makes it text (common practice).
pub(crate) fn harmless(text: String) -> String {
    if text.starts_with(['=', '+', '-', '@', '\t', '\r']) { format!("'{text}") } else { text }
}

/// The text that [`harmless`] was given.
pub(crate) fn as_given(text: &str) -> &str {
    match text.strip_prefix('\'') {
        Some(rest) if rest.starts_with(['=', '+', '-', '@', '\t', '\r']) => rest,
        _ => text,
    }
}

fn into_io(error: csv::Error) -> io::Error {
    match error.into_kind() {
        csv::ErrorKind::Io(error) => error,
        other => io::Error::other(format!("{other:?}")),
    }
}

/// Writes a whole schedule.
pub fn write(measurements: &[Measurement], style: Style, out: impl Write) -> io::Result<()> {
    let mut schedule = CsvSchedule::begin(out, style)?;
    for measurement in measurements {
        schedule.push(measurement)?;
    }
    schedule.finish()
}
