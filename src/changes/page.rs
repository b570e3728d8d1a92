//! Changes as a table to read.

use std::io::{self, Write};

use super::change::SectionChange;
use super::compare::Changes;
use super::table::ChangeColumn as C;
use crate::check::Lines;

/// How much of what changed stands in a table to read.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Detail {
    /// A line for each section, with the value that changed most and how many did.
    #[default]
    Sections,
    /// A line for each value.
    Values,
}

impl Detail {
    /// What stands on the lines.
    fn lines<'c>(self, changes: &'c Changes<'c>) -> Box<dyn Iterator<Item = SectionChange<'c>> + 'c> {
        match self {
            Detail::Sections => Box::new(changes.sections()),
            Detail::Values => Box::new(changes.iter().map(|most| SectionChange { most, values: 1 })),
        }
    }
}

/// A column of the table.
struct PageColumn {
    /// `None` for how many values changed.
    column: Option<C>,
    heading: &'static str,
    figures: bool,
}

impl PageColumn {
    fn of(column: C) -> PageColumn {
        let heading = if column == C::DifferencePercent { "in %" } else { column.name() };
        let figures =
            matches!(column, C::Number | C::Before | C::After | C::Difference | C::DifferencePercent);
        PageColumn { column: Some(column), heading, figures }
    }

    fn values() -> PageColumn {
        PageColumn { column: None, heading: "values", figures: true }
    }

    fn cell(&self, line: &SectionChange) -> String {
        match self.column {
            Some(column) => column.cell(&line.most),
            None if line.values == 0 => String::new(),
            None => line.values.to_string(),
        }
    }
}

/// Writes a line for each section that differs, or for each value that changed, with their cells under one another, and a line
/// that counts them. Names of any kind stay within their lines.
///
/// # Errors
///
/// Those of the writer.
pub fn write_page(changes: &Changes, detail: Detail, mut out: impl Write) -> io::Result<()> {
    let numbered = changes.sections().any(|line| line.most.number.is_some());
    let drawings = !changes.of_one_drawing();
    let all = C::ALL.iter().filter(|column| match column {
        C::Drawing => drawings,
        C::Number => numbered,
        C::Difference => detail == Detail::Values,
        // It stands in the file.
        C::Allowed => false,
        _ => true,
    });
    let mut columns: Vec<PageColumn> = all.map(|column| PageColumn::of(*column)).collect();
    if detail == Detail::Sections {
        columns.push(PageColumn::values());
    }
    let mut lines = Lines::under(columns.iter().map(|column| (column.heading, column.figures)));
    let cells =
        |line: &SectionChange| columns.iter().map(|column| column.cell(line)).collect::<Vec<String>>();
    detail.lines(changes).for_each(|line| lines.widen(&cells(&line)));
    if !changes.is_empty() {
        lines.write_headings(&mut out)?;
        for line in detail.lines(changes) {
            lines.write(&cells(&line), &mut out)?;
        }
        writeln!(out)?;
    }
    let changed = changes.changed_values();
    let values = match changed {
        0 => String::new(),
        1 => " (1 value)".to_owned(),
        _ => format!(" ({changed} values)"),
    };
    let not_compared = match changes.not_compared() {
        0 => String::new(),
        count => format!(", {count} not compared"),
    };
    writeln!(
        out,
        "{} added, {} gone, {} changed{values}, {} unchanged{not_compared}",
        changes.added(),
        changes.gone(),
        changes.changed_sections(),
        changes.unchanged()
    )?;
    out.flush()
}

#[cfg(test)]
mod tests {
    use super::super::{By, DEFAULT_WITHIN, Rows, compare};
    use super::*;
    use crate::check::Within;

    type Row<'a> = (&'a str, &'a str, [&'a str; 2]);

    fn page(before: &[Row], after: &[Row], detail: Detail) -> String {
        let headings = ["area_mm2", "perimeter_mm"];
        let [before, after] = [before, after].map(|rows| Rows::of(&headings, rows.iter().copied()));

        let within = Within::with_default(DEFAULT_WITHIN, &[]);
        let changes = compare(&before, &after, By::default(), &within, None).expect("a comparison");
        let mut text = Vec::new();
        write_page(&changes, detail, &mut text).expect("writing to memory");
        String::from_utf8(text).expect("text")
    }

    #[test]
    fn columns_under_one_another() {
        let before = [("a.dxf", "PLATE 12", ["1000", "130"]), ("a.dxf", "LUG", ["5", "9"])];
        let after = [("a.dxf", "PLATE 12", ["980.5", "128"]), ("a.dxf", "鋼板", ["5", "9"])];
        assert_eq!(
            page(&before, &after, Detail::Values),
            "change   section   column        before  after  difference   in %\n\
             added    鋼板\n\
             gone     LUG\n\
             changed  PLATE 12  area_mm2        1000  980.5       -19.5  -1.95\n\
             changed  PLATE 12  perimeter_mm     130    128          -2  -1.54\n\
             \n1 added, 1 gone, 1 changed (2 values), 0 unchanged\n"
        );
        assert_eq!(
            page(&before, &after, Detail::Sections),
            "change   section   column    before  after   in %  values\n\
             added    鋼板\n\
             gone     LUG\n\
             changed  PLATE 12  area_mm2    1000  980.5  -1.95       2\n\
             \n1 added, 1 gone, 1 changed (2 values), 0 unchanged\n"
        );
        for detail in [Detail::Sections, Detail::Values] {
            assert_eq!(page(&before, &before, detail), "0 added, 0 gone, 0 changed, 2 unchanged\n");
        }
    }

    #[test]
    fn what_changed_most() {
        // Of two that changed alike the first; what was 0 or empty has no per cent; without any the first of all.
        let before = [("a.dxf", "A", ["0", "100"]), ("a.dxf", "B", ["10", "10"]), ("a.dxf", "C", ["0", ""])];
        let after = [("a.dxf", "A", ["9", "101"]), ("a.dxf", "B", ["11", "9"]), ("a.dxf", "C", ["1", "2"])];
        let page = page(&before, &after, Detail::Sections);
        let lines: Vec<Vec<&str>> = page.lines().map(|line| line.split_whitespace().collect()).collect();
        assert_eq!(lines[1], ["changed", "A", "perimeter_mm", "100", "101", "1", "2"], "{page}");
        assert_eq!(lines[2], ["changed", "B", "area_mm2", "10", "11", "10", "2"], "{page}");
        assert_eq!(lines[3], ["changed", "C", "area_mm2", "0", "1", "2"], "{page}");
    }

    #[test]
    fn what_could_not_be_compared() {
        let before = [("a.dxf", "A", ["1", "1"]), ("b.dxf", "B", ["1", "1"])];
        let after = [("a.dxf", "", ["", ""]), ("b.dxf", "B", ["1", "1"])];
        for detail in [Detail::Sections, Detail::Values] {
            let page = page(&before, &after, detail);
            let lines: Vec<&str> = page.lines().collect();
            assert!(lines[1].starts_with("not compared  a.dxf    A"), "{page}");
            assert_eq!(lines[3], "0 added, 0 gone, 0 changed, 1 unchanged, 1 not compared");
        }
    }

    #[test]
    fn names_that_would_break_a_table() {
        let long = "x".repeat(300);
        let before = [("a.dxf", "LUG", ["1", "2"])];
        let after = [
            ("a.dxf", "LUG", ["1", "2"]),
            ("b.dxf", "A\u{1b}[2J\nB\u{202e}C", ["1", "2"]),
            ("b.dxf", &long, ["1", ""]),
        ];
        let page = page(&before, &after, Detail::Sections);
        assert!(page.contains("A\\u{1b}[2J\\nB\\u{202e}C") && page.contains(&long), "{page}");
        assert_eq!(page.lines().count(), 5, "{page}");
        assert!(page.starts_with("change  drawing  section"), "{page}");
    }
}
