//! A schedule being written, row by row.

use std::io::{self, Write};

use super::csv_writer::CsvRows;
#[cfg(feature = "json")]
use super::json::JsonRows;
#[cfg(feature = "workbook")]
use super::workbook;
use super::{Format, Row, Style, table};
use crate::measure::Measurement;

/// A schedule being written in any format. CSV, JSON and lines of JSON are written as the rows come; a table and a
/// workbook hold them all, since the widths of their columns depend on every row.
pub struct Schedule<W: Write> {
    style: Style,
    output: Output<W>,
}

impl<W: Write> std::fmt::Debug for Schedule<W> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Schedule").finish_non_exhaustive()
    }
}

enum Output<W: Write> {
    Csv(Box<CsvRows<W>>),
    #[cfg(feature = "json")]
    Json(JsonRows<W>),
    Held {
        rows: Vec<Row>,
        out: W,
        write: fn(&[Row], Style, usize, &mut W) -> io::Result<()>,
        width: usize,
    },
}

impl<W: Write> Schedule<W> {
    /// Begins a schedule: writes what stands before the rows.
    ///
    /// # Errors
    /// Those of `out`; [`Unsupported`](io::ErrorKind::Unsupported) where the format is not [built in](Format::is_built_in).
    pub fn begin(style: Style, format: Format, out: W) -> io::Result<Schedule<W>> {
        let held = |out, write, width| Output::Held { rows: Vec::new(), out, write, width };
        let output = match format {
            Format::Csv => Output::Csv(Box::new(CsvRows::begin(out, style)?)),
            #[cfg(feature = "json")]
            Format::Json => Output::Json(JsonRows::document(out, style)?),
            #[cfg(feature = "json")]
            Format::JsonLines => Output::Json(JsonRows::lines(out)),
            #[cfg(feature = "workbook")]
            Format::Workbook => held(out, |rows, style, _, out| workbook::write(rows, style, out), 0),
            Format::Table { width } => held(out, table::write, width),
            #[cfg(not(all(feature = "json", feature = "workbook")))]
            _ => return Err(format.not_built_in()),
        };
        Ok(Schedule { style, output })
    }

    /// Adds a row, which must be in the schedule's own style.
    ///
    /// # Errors
    /// Those of the output.
    pub fn push(&mut self, row: Row) -> io::Result<()> {
        match &mut self.output {
            Output::Csv(csv) => csv.push(&row),
            #[cfg(feature = "json")]
            Output::Json(json) => json.push(&row, self.style),
            Output::Held { rows, .. } => {
                rows.push(row);
                Ok(())
            }
        }
    }

    /// Writes what still stands out and hands the output back.
    ///
    /// # Errors
    /// Those of the output, and more sections than a worksheet has rows for.
    pub fn finish(self) -> io::Result<W> {
        let mut out = match self.output {
            Output::Csv(csv) => csv.finish()?,
            #[cfg(feature = "json")]
            Output::Json(json) => json.finish()?,
            Output::Held { rows, mut out, write, width } => {
                write(&rows, self.style, width, &mut out)?;
                out
            }
        };
        out.flush()?;
        Ok(out)
    }
}

/// Writes a whole schedule. The same measurements, style and format give the same bytes.
///
/// # Errors
/// Those of [`Schedule::begin`] and of `out`, and more sections than a worksheet has rows for.
pub fn write(measurements: &[Measurement], style: Style, format: Format, out: impl Write) -> io::Result<()> {
    let mut schedule = Schedule::begin(style, format, out)?;
    for measurement in measurements {
        schedule.push(Row::of(measurement, style))?;
    }
    schedule.finish().map(drop)
}

/// Writes a whole schedule as CSV.
///
/// # Errors
/// Those of `out`.
pub fn write_csv(measurements: &[Measurement], style: Style, out: impl Write) -> io::Result<()> {
    write(measurements, style, Format::Csv, out)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_format_that_is_not_built_in_is_told() {
        for format in
            [Format::Csv, Format::Json, Format::JsonLines, Format::Workbook, Format::Table { width: 80 }]
        {
            let begun = Schedule::begin(Style::default(), format, Vec::new());
            assert_eq!(begun.is_ok(), format.is_built_in(), "{format:?}");
            if let Err(error) = begun {
                assert_eq!(error.kind(), io::ErrorKind::Unsupported);
                assert!(error.to_string().contains("feature"), "{error}");
            }
        }
    }
}
