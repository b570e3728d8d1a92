//! The table of what is expected.

use std::collections::BTreeSet;

use super::alike::{
    MOST_COLUMNS, PEOPLES_COLUMNS, by_heading, first_of, miscounted, not_compared, text_of, unknown,
    without_commas,
};
use super::table_error::TableError;
use crate::finding::{Code, Finding, Position};
use crate::schedule::{Column, ColumnKey, TextRows, csv_of};
use crate::unit::Units;

/// A table of expected values: any of the schedule's columns, in any unit.
#[derive(Debug)]
pub struct Expected {
    pub(super) columns: Vec<ExpectedColumn>,
    /// Where the columns that name sections stand.
    pub(super) drawing: Option<usize>,
    pub(super) section: Option<usize>,
    pub(super) layer: Option<usize>,
    pub(super) rows: ExpectedRows,
    pub(super) findings: Vec<Finding>,
}

/// Rows of as many cells as there are headings, in one piece of memory.
#[derive(Debug, Default)]
pub(super) struct ExpectedRows {
    text: String,
    /// Where each cell ends; a table is far from so many bytes that this is too short.
    ends: Vec<u32>,
    lines: Vec<u64>,
    /// Which columns are kept, the cells of others being empty.
    kept: Vec<bool>,
}

impl ExpectedRows {
    fn push(&mut self, line: u64, cells: &[&str]) {
        self.lines.push(line);
        for (cell, kept) in cells.iter().zip(&self.kept) {
            self.text.push_str(if *kept { cell } else { "" });
            self.ends.push(u32::try_from(self.text.len()).unwrap_or(u32::MAX));
        }
    }

    /// How many there are.
    pub fn len(&self) -> usize {
        self.lines.len()
    }

    /// The line of the table in which a row begins.
    pub fn line(&self, row: usize) -> u64 {
        self.lines.get(row).copied().unwrap_or_default()
    }

    /// The cell of a row in a column of the table.
    pub fn cell(&self, row: usize, at: usize) -> &str {
        let index = row * self.kept.len() + at;
        let begin = index.checked_sub(1).map_or(Some(0), |before| self.ends.get(before).copied());
        let place = begin.zip(self.ends.get(index).copied());
        place.and_then(|(begin, end)| self.text.get(begin as usize..end as usize)).unwrap_or_default()
    }
}

/// A column that is compared.
pub(super) struct ExpectedColumn {
    /// Where it stands in the table.
    pub at: usize,
    /// Its heading, as the schedule has it.
    pub heading: String,
    /// What it holds.
    pub column: &'static Column,
    /// Unit of length of its figures.
    pub unit: Units,
}

impl std::fmt::Debug for ExpectedColumn {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.heading)
    }
}

impl Expected {
    /// Bytes of the largest table that is read: thousands of sections with every column.
    pub const LARGEST: usize = 16 << 20;

    /// Reads a table from the bytes of a CSV file, a workbook (.xlsx), or a schedule as JSON.
    ///
    /// # Errors
    ///
    /// An error that says why nothing can be compared with the table. What concerns a column or a row alone is among the
    /// findings of the comparison.
    pub fn read(bytes: &[u8]) -> Result<Expected, TableError> {
        let csv = csv_of(bytes, Expected::LARGEST)?;
        let text = text_of(csv.as_deref().unwrap_or(bytes), Expected::LARGEST)?;
        let (headings, mut reading) = TextRows::of(text).map_err(TableError::unreadable)?;
        if headings.len() > MOST_COLUMNS {
            return Err(Finding::of(Code::TableTooWide).with("limit", MOST_COLUMNS).into());
        }
        if let Some(finding) = without_commas(&headings) {
            return Err(finding.into());
        }
        let mut expected = Expected {
            columns: Vec::new(),
            drawing: None,
            section: None,
            layer: None,
            rows: ExpectedRows::default(),
            findings: Vec::new(),
        };
        expected.take_headings(&headings);
        if expected.section.is_none() && expected.layer.is_none() {
            return Err(Finding::of(Code::TableWithoutNames).in_file(Position::Line(1)).into());
        }
        if expected.columns.is_empty() {
            let finding =
                Finding::of(Code::TableWithoutFigures).with_some("first", first_of(&expected.findings));
            return Err(finding.in_file(Position::Line(1)).into());
        }
        let names = [expected.drawing, expected.section, expected.layer].into_iter().flatten();
        let used: BTreeSet<usize> = names.chain(expected.columns.iter().map(|column| column.at)).collect();
        expected.rows.kept = (0..headings.len()).map(|at| used.contains(&at)).collect();
        // No more than the table itself has, and nothing is copied as they grow.
        expected.rows.text.reserve_exact(text.len());
        let lines = text.bytes().filter(|byte| *byte == b'\n').count();
        expected.rows.ends.reserve_exact(lines.min(text.len() / headings.len().max(1) + 1) * headings.len());
        while let Some((line, cells)) = reading.next_row().map_err(TableError::unreadable)? {
            if cells.len() == headings.len() {
                expected.rows.push(line, &cells);
                continue;
            }
            expected.findings.push(miscounted(line, cells.len(), headings.len()));
        }
        if expected.rows.len() == 0 {
            return Err(Finding::of(Code::TableWithoutRows).into());
        }
        Ok(expected)
    }

    fn take_headings(&mut self, headings: &[String]) {
        let mut seen = BTreeSet::new();
        for (at, written) in headings.iter().enumerate() {
            let heading = written.to_ascii_lowercase();
            if PEOPLES_COLUMNS.contains(&heading.as_str()) {
                continue;
            }
            if !heading.is_empty() && !seen.insert(heading.clone()) {
                self.tell(Finding::of(Code::ColumnTwice).with("column", heading));
                continue;
            }
            let Some((column, unit)) = by_heading(&heading) else {
                self.tell(unknown(written));
                continue;
            };
            match (column.key, not_compared(column.key)) {
                (ColumnKey::Drawing, _) => self.drawing = Some(at),
                (ColumnKey::Section, _) => self.section = Some(at),
                (ColumnKey::Layer, _) => self.layer = Some(at),
                (key, Some(why)) => {
                    self.tell(
                        Finding::of(Code::ColumnNotCompared).with("column", key.name()).with("why", why),
                    );
                }
                (_, None) => self.columns.push(ExpectedColumn { at, heading, column, unit }),
            }
        }
    }

    fn tell(&mut self, finding: Finding) {
        self.findings.push(finding.in_file(Position::Line(1)));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Expected {
        Expected::read(text.as_bytes()).expect("a table")
    }

    #[test]
    fn headings() {
        let table = read(
            "Section,source,AREA_cm2,second_moment_x_in4,parts,aera_mm2,area,principal_angle,colour,findings,\
             area_cm2,\nLUG,,,,,,,,,,,\nLUG,book,1,2,3,,,,,,,\n",
        );
        let headings: Vec<&str> = table.columns.iter().map(|c| c.heading.as_str()).collect();
        assert_eq!(headings, ["area_cm2", "second_moment_x_in4", "parts"]);
        assert_eq!(table.columns[1].unit.length, crate::drawing::LengthUnit::Inch);
        assert_eq!((table.section, table.layer, table.drawing), (Some(0), None, None));
        let messages: Vec<String> = table.findings.iter().map(ToString::to_string).collect();
        let parts = [
            "nearest is area_mm2",
            "area_mm2, area_cm2, area_m2, area_in2, area_ft2",
            "names its unit: principal_angle_deg",
            "“colour”",
            "findings is not compared",
            "appears twice",
            "no heading",
        ];
        assert_eq!(messages.len(), parts.len(), "{messages:#?}");
        for (finding, part) in messages.iter().zip(parts) {
            assert!(finding.contains(part) && finding.contains("line 1"), "{finding}");
        }
    }

    #[test]
    fn rows_that_do_not_fit() {
        let table = read("section,area_mm2\nLUG,1,943\nPLATE,12\n");
        assert_eq!(table.rows.len(), 1);
        let messages = table.findings[0].to_string();
        assert!(messages.contains("3 cells under 2 headings") && messages.contains("line 2"), "{messages}");
    }

    #[test]
    fn tables_that_can_not_be_used() {
        for (bytes, part) in [
            (&b""[..], "no column that names"),
            (b"drawing,area_mm2\na.dxf,1\n", "no column that names"),
            (b"section,colour\nLUG,red\n", "“colour”"),
            (b"section\tarea_mm2\nLUG\t1\n", "commas"),
            (b"section,area_mm2\n,\n", "no row"),
            (b"section,area_mm2\nL\xfcG,1\n", "UTF-8"),
        ] {
            let messages = Expected::read(bytes).expect_err(part).to_string();
            assert!(messages.contains(part), "{messages}");
        }
        let large = vec![b','; Expected::LARGEST + 1];
        assert!(Expected::read(&large).expect_err("too large").to_string().contains("16 MiB"));
        let wide = vec![b','; MOST_COLUMNS];
        assert!(Expected::read(&wide).expect_err("too wide").to_string().contains("1000 columns"));
    }
}
