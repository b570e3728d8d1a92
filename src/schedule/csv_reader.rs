//! Tables that others wrote as CSV.

use std::io;

/// A table as text: its headings, and its rows with the line of the file that each begins in.
pub(crate) struct TextTable {
    /// The headings as written, without blanks around them.
    pub headings: Vec<String>,
    /// Line and cells of each row; a row may have more or fewer cells than there are headings.
    pub rows: Vec<(u64, Vec<String>)>,
}

/// Reads CSV: commas between cells, quotation marks around cells that hold commas, the headings first. Cells lose the
/// blanks around them, and rows of empty cells alone are left out.
pub(crate) fn read_table(text: &str) -> io::Result<TextTable> {
    // What spreadsheets put before UTF-8.
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut reader =
        csv::ReaderBuilder::new().flexible(true).trim(csv::Trim::All).from_reader(text.as_bytes());
    let headings = reader.headers().map_err(io::Error::from)?.iter().map(str::to_owned).collect();
    let mut rows = Vec::new();
    // The crate's own count stops short of the second half of \r\n and of empty lines.
    let (mut line, mut counted) = (1, 0);
    for record in reader.records() {
        let record = record.map_err(io::Error::from)?;
        let at = record.position().map_or(0, |position| position.byte() as usize);
        let ends = text.as_bytes().iter().skip(at).take_while(|byte| matches!(byte, b'\r' | b'\n')).count();
        let before = text.as_bytes().get(counted..at + ends).unwrap_or_default();
        line += before.iter().filter(|byte| **byte == b'\n').count() as u64;
        counted = at + ends;
        if record.iter().all(str::is_empty) {
            continue;
        }
        rows.push((line, record.iter().map(str::to_owned).collect()));
    }
    Ok(TextTable { headings, rows })
}

#[cfg(test)]
mod tests {
    use super::read_table;

    #[test]
    fn what_spreadsheets_write() {
        let table = read_table(
            "\u{feff}section, area_mm2\r\n\"LUG, left\", 12 \r\n,\r\n\"two\nlines\",3,4\r\n\r\nX\r\n",
        )
        .expect("a table");
        assert_eq!(table.headings, ["section", "area_mm2"]);
        let rows: Vec<(u64, Vec<&str>)> = table
            .rows
            .iter()
            .map(|(line, cells)| (*line, cells.iter().map(String::as_str).collect()))
            .collect();
        assert_eq!(rows, [(2, vec!["LUG, left", "12"]), (4, vec!["two\nlines", "3", "4"]), (7, vec!["X"])]);
        assert!(read_table("").expect("a table").headings.is_empty());
    }
}
