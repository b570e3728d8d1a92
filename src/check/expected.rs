//! The table of what is expected.

use std::collections::BTreeSet;

use super::nearest::nearest;
use super::{NOT_COMPARED, UNITS, all_columns, by_heading};
use crate::drawing::LengthUnit;
use crate::finding::{Finding, Position};
use crate::schedule::{Column, read_table};

/// Columns that are for people: where a figure comes from, what to know of it. They are not compared.
pub const PEOPLES_COLUMNS: [&str; 2] = ["source", "note"];

/// More columns than every column of the schedule in every unit.
pub(crate) const MOST_COLUMNS: usize = 1000;

/// A table of expected values: any of the schedule's columns, in any unit.
#[derive(Debug)]
pub struct Expected {
    pub(super) columns: Vec<ExpectedColumn>,
    /// Where the columns that name sections stand.
    pub(super) drawing: Option<usize>,
    pub(super) section: Option<usize>,
    pub(super) layer: Option<usize>,
    /// Line and cells of each row, as many as there are headings.
    pub(super) rows: Vec<(u64, Vec<String>)>,
    pub(super) findings: Vec<Finding>,
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
    pub unit: LengthUnit,
}

impl std::fmt::Debug for ExpectedColumn {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.heading)
    }
}

impl Expected {
    /// Bytes of the largest table that is read: thousands of sections with every column.
    pub const LARGEST: usize = 16 << 20;

    /// Reads a table from the bytes of a CSV file.
    ///
    /// # Errors
    ///
    /// A finding that says why nothing can be compared with the table. What concerns a column or a row alone is among the
    /// findings of the comparison.
    pub fn read(bytes: &[u8]) -> Result<Expected, Box<Finding>> {
        let text = text_of(bytes, Expected::LARGEST)?;
        let table = read_table(text)
            .map_err(|error| {
                Finding::failure(format!("the table can't be read: {error}")).hint("save it as CSV again")
            })
            .map_err(Box::new)?;
        if table.headings.len() > MOST_COLUMNS {
            return Err(Finding::failure(format!("the table has more than {MOST_COLUMNS} columns"))
                .hint("take out those that are not columns of the schedule")
                .into());
        }
        if let Some(finding) = without_commas(&table.headings) {
            return Err(finding.into());
        }
        let mut expected = Expected {
            columns: Vec::new(),
            drawing: None,
            section: None,
            layer: None,
            rows: Vec::new(),
            findings: Vec::new(),
        };
        expected.take_headings(&table.headings);
        if expected.section.is_none() && expected.layer.is_none() {
            return Err(Finding::failure("the table has no column that names the sections")
                .in_file(Position::Line(1))
                .hint("give it a column section, or layer, with the names that tracearm schedule writes")
                .into());
        }
        if expected.columns.is_empty() {
            let unknown: String = expected.findings.iter().take(3).map(|f| format!("; {f}")).collect();
            return Err(Finding::failure(format!("the table has no column that can be compared{unknown}"))
                .in_file(Position::Line(1))
                .hint("name its columns as tracearm schedule does, such as area_mm2 or area_cm2")
                .into());
        }
        for (line, cells) in table.rows {
            if cells.len() == table.headings.len() {
                expected.rows.push((line, cells));
                continue;
            }
            let count = |n: usize| if n == 1 { "1 cell".to_owned() } else { format!("{n} cells") };
            expected.findings.push(
                Finding::failure(format!(
                    "the row has {} under {} headings, so it was not compared",
                    count(cells.len()),
                    table.headings.len()
                ))
                .in_file(Position::Line(line))
                .hint("put quotation marks around a cell that holds a comma, and write no comma in a number"),
            );
        }
        if expected.rows.is_empty() {
            return Err(Finding::failure("the table has no row that can be compared")
                .hint("write a row for each section under the headings")
                .into());
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
                self.tell(
                    Finding::failure(format!(
                        "the column {heading} stands twice, and the first one was compared"
                    ))
                    .hint("take one of them out"),
                );
                continue;
            }
            match heading.as_str() {
                "drawing" => self.drawing = Some(at),
                "section" => self.section = Some(at),
                "layer" => self.layer = Some(at),
                _ => match by_heading(&heading) {
                    None => self.tell(unknown(written)),
                    Some((column, unit)) => {
                        if let Some((key, why)) = NOT_COMPARED.into_iter().find(|(key, _)| *key == column.key)
                        {
                            self.tell(Finding::note(format!("the column {key} is not compared: {why}")));
                            continue;
                        }
                        self.columns.push(ExpectedColumn { at, heading, column, unit });
                    }
                },
            }
        }
    }

    fn tell(&mut self, finding: Finding) {
        self.findings.push(finding.in_file(Position::Line(1)));
    }
}

/// The text of a table of at most so many bytes.
///
/// # Errors
///
/// A finding that says why it can't be read.
pub(crate) fn text_of(bytes: &[u8], largest: usize) -> Result<&str, Box<Finding>> {
    if bytes.len() > largest {
        return Err(Finding::failure(format!("the table is larger than {} MiB", largest >> 20))
            .hint("split it, and take each part by itself")
            .into());
    }
    std::str::from_utf8(bytes).map_err(|error| {
        let line = bytes.iter().take(error.valid_up_to()).filter(|byte| **byte == b'\n').count();
        Finding::failure("the table is not text in UTF-8")
            .in_file(Position::Line(line as u64 + 1))
            .hint("save it as CSV in UTF-8")
            .into()
    })
}

/// What to say of a table whose columns are separated by something else than commas.
pub(crate) fn without_commas(headings: &[String]) -> Option<Finding> {
    match headings {
        [only] if only.contains([';', '\t']) => Some(
            Finding::failure("the columns are not separated by commas")
                .in_file(Position::Line(1))
                .hint("save the table as CSV with commas between the columns and points in the numbers"),
        ),
        _ => None,
    }
}

/// What to say of a heading that is none of the schedule's.
pub(crate) fn unknown(written: &str) -> Finding {
    if written.is_empty() {
        return Finding::failure("a column has no heading, so it was not compared")
            .hint("name it, or take it out");
    }
    let finding =
        Finding::failure(format!("there is no column “{}”, so it was not compared", written.escape_debug()));
    if let Some(column) = all_columns().find(|column| column.key.eq_ignore_ascii_case(written)) {
        let mut headings: Vec<String> = UNITS.iter().map(|unit| column.heading(*unit)).collect();
        headings.dedup();
        return finding.hint(format!("a heading names its unit: {}", headings.join(", ")));
    }
    let headings: BTreeSet<String> =
        all_columns().flat_map(|column| UNITS.map(|unit| column.heading(unit))).collect();
    finding.hint(match nearest(written, headings.iter().map(String::as_str)) {
        Some(meant) => format!("the nearest is {meant}"),
        None => format!(
            "the columns are those of tracearm schedule; what is for people stands in columns {}",
            PEOPLES_COLUMNS.join(" and ")
        ),
    })
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
        assert_eq!(table.columns[1].unit, LengthUnit::Inch);
        assert_eq!((table.section, table.layer, table.drawing), (Some(0), None, None));
        let told: Vec<String> = table.findings.iter().map(ToString::to_string).collect();
        let parts = [
            "nearest is area_mm2",
            "area_mm2, area_cm2, area_m2, area_in2, area_ft2",
            "names its unit: principal_angle_deg",
            "“colour”",
            "findings is not compared",
            "stands twice",
            "no heading",
        ];
        assert_eq!(told.len(), parts.len(), "{told:#?}");
        for (finding, part) in told.iter().zip(parts) {
            assert!(finding.contains(part) && finding.contains("line 1"), "{finding}");
        }
    }

    #[test]
    fn rows_that_do_not_fit() {
        let table = read("section,area_mm2\nLUG,1,943\nPLATE,12\n");
        assert_eq!(table.rows.len(), 1);
        let told = table.findings[0].to_string();
        assert!(told.contains("3 cells under 2 headings") && told.contains("line 2"), "{told}");
    }

    #[test]
    fn tables_that_can_not_be_used() {
        for (bytes, part) in [
            (&b""[..], "no column that names"),
            (b"drawing,area_mm2\na.dxf,1\n", "no column that names"),
            (b"section,colour\nLUG,red\n", "“colour”"),
            (b"section;area_mm2\nLUG;1\n", "commas"),
            (b"section,area_mm2\n,\n", "no row"),
            (b"section,area_mm2\nL\xfcG,1\n", "UTF-8"),
        ] {
            let told = Expected::read(bytes).expect_err(part).to_string();
            assert!(told.contains(part), "{told}");
        }
        let large = vec![b','; Expected::LARGEST + 1];
        assert!(Expected::read(&large).expect_err("too large").message.contains("16 MiB"));
        let wide = vec![b','; MOST_COLUMNS];
        assert!(Expected::read(&wide).expect_err("too wide").message.contains("1000 columns"));
    }
}
