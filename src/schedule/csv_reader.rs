//! Tables that others wrote as CSV.

use std::borrow::Cow;
use std::io;

use super::{ColumnKey, DecimalMark, Quantity};

/// CSV read row by row: commas between cells, quotation marks around cells that hold commas, the headings first. Cells
/// lose the blanks around them, and rows of empty cells alone are left out.
pub(crate) struct TextRows<'t> {
    text: &'t str,
    reader: csv::Reader<&'t [u8]>,
    record: csv::StringRecord,
    line: u64,
    counted: usize,
    decimal: DecimalMark,
    /// Columns of words, in which a comma is one.
    words: Vec<bool>,
}

impl<'t> TextRows<'t> {
    /// The headings, without blanks around them, and what follows.
    pub fn of(text: &'t str) -> io::Result<(Vec<String>, TextRows<'t>)> {
        // What spreadsheets put before UTF-8.
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        let decimal = decimal_of(text);
        let between = if decimal == DecimalMark::Comma { b';' } else { b',' };
        let mut reader = csv::ReaderBuilder::new()
            .delimiter(between)
            .flexible(true)
            .trim(csv::Trim::Headers)
            .from_reader(text.as_bytes());
        let headings: Vec<String> =
            reader.headers().map_err(io::Error::from)?.iter().map(str::to_owned).collect();
        let holds_words = |heading: &String| {
            ColumnKey::from_name(heading).is_some_and(|key| key.column().quantity == Quantity::Text)
        };
        let words = headings.iter().map(holds_words).collect();
        Ok((
            headings,
            TextRows { text, reader, record: csv::StringRecord::new(), line: 1, counted: 0, decimal, words },
        ))
    }

    /// The next row: the line of the file that it begins in, and its cells, which may be more or fewer than there are
    /// headings. `None` behind the last one.
    pub fn next_row(&mut self) -> io::Result<Option<(u64, Vec<&str>)>> {
        loop {
            if !self.reader.read_record(&mut self.record).map_err(io::Error::from)? {
                return Ok(None);
            }
            // The crate's own count stops short of the second half of \r\n and of empty lines.
            let bytes = self.text.as_bytes();
            let at = self.record.position().map_or(0, |position| position.byte() as usize);
            let ends = bytes.iter().skip(at).take_while(|byte| matches!(byte, b'\r' | b'\n')).count();
            let before = bytes.get(self.counted..at + ends).unwrap_or_default();
            self.line += before.iter().filter(|byte| **byte == b'\n').count() as u64;
            self.counted = at + ends;
            if !self.record.iter().all(|cell| cell.trim().is_empty()) {
                break;
            }
        }
        if self.decimal == DecimalMark::Comma {
            let cells = self.record.iter().enumerate().map(|(at, cell)| match self.words.get(at) {
                Some(true) => Cow::Borrowed(cell.trim()),
                _ => with_point(cell.trim()),
            });
            self.record = cells.collect();
        }
        Ok(Some((self.line, self.record.iter().map(str::trim).collect())))
    }
}

/// How the table is written, which its headings show: more semicolons than commas between them, where commas are decimal marks.
fn decimal_of(text: &str) -> DecimalMark {
    let headings = text.lines().next().unwrap_or_default();
    let count = |mark: char| headings.matches(mark).count();
    if count(';') > count(',') { DecimalMark::Comma } else { DecimalMark::Point }
}

/// A number with a point for its decimal comma; other cells as they are.
fn with_point(cell: &str) -> Cow<'_, str> {
    let pointed = cell.replacen(',', ".", 1);
    if cell.contains(',') && pointed.parse::<f64>().is_ok() {
        Cow::Owned(pointed)
    } else {
        Cow::Borrowed(cell)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    type Rows = Vec<(u64, Vec<String>)>;

    fn read_table(text: &str) -> (Vec<String>, Rows) {
        let (headings, mut reading) = TextRows::of(text).expect("a table");
        let mut rows = Vec::new();
        while let Some((line, cells)) = reading.next_row().expect("a row") {
            rows.push((line, cells.into_iter().map(str::to_owned).collect()));
        }
        (headings, rows)
    }

    #[test]
    fn what_spreadsheets_write() {
        let (headings, rows) = read_table(
            "\u{feff}section, area_mm2\r\n\"LUG, left\", 12 \r\n,\r\n\"two\nlines\",3,4\r\n\r\nX\r\n",
        );
        assert_eq!(headings, ["section", "area_mm2"]);
        let rows: Vec<(u64, Vec<&str>)> =
            rows.iter().map(|(line, cells)| (*line, cells.iter().map(String::as_str).collect())).collect();
        assert_eq!(rows, [(2, vec!["LUG, left", "12"]), (4, vec!["two\nlines", "3", "4"]), (7, vec!["X"])]);
        assert!(read_table("").0.is_empty());
    }
}
