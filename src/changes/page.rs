//! Changes as a table to read.

use std::io::{self, Write};

use super::compare::{Change, Changes};
use super::table::ChangeColumn as C;
use crate::schedule::{filled, pushed_right, shown, width};

/// Longer cells push what follows them aside rather than all others.
const WIDEST: usize = 40;

/// A column of the table.
struct PageColumn {
    column: C,
    heading: &'static str,
    figures: bool,
    room: usize,
}

/// Writes a line for each section that was added or is gone and for each value that changed, with their cells under one
/// another, and a line that counts them. Names of any kind stay within their lines.
///
/// # Errors
///
/// Those of the writer.
pub fn write_page(changes: &Changes, mut out: impl Write) -> io::Result<()> {
    let numbered = changes.iter().any(|change| change.number.is_some());
    let drawings = !changes.of_one_drawing();
    let mut columns: Vec<PageColumn> = C::ALL
        .iter()
        .filter(|column| match column {
            C::Drawing => drawings,
            C::Number => numbered,
            // It stands in the file.
            C::Allowed => false,
            _ => true,
        })
        .map(|column| {
            let heading = if *column == C::DifferencePercent { "in %" } else { column.name() };
            let figures =
                matches!(column, C::Number | C::Before | C::After | C::Difference | C::DifferencePercent);
            PageColumn { column: *column, heading, figures, room: width(heading) }
        })
        .collect();
    // As they may stand on a terminal.
    let cell = |column: &PageColumn, change: &Change| shown(&column.column.cell(change));
    for change in changes.iter() {
        for column in &mut columns {
            column.room = column.room.max(width(&cell(column, &change)).min(WIDEST));
        }
    }
    if !changes.is_empty() {
        line(&columns, |column| column.heading.to_owned(), &mut out)?;
        for change in changes.iter() {
            line(&columns, |column| cell(column, &change), &mut out)?;
        }
        writeln!(out)?;
    }
    let changed = changes.changed_values();
    let values = match changed {
        0 => String::new(),
        1 => " (1 value)".to_owned(),
        _ => format!(" ({changed} values)"),
    };
    writeln!(
        out,
        "{} added, {} gone, {} changed{values}, {} unchanged",
        changes.added(),
        changes.gone(),
        changes.changed_sections(),
        changes.unchanged()
    )?;
    out.flush()
}

fn line(
    columns: &[PageColumn],
    cell: impl Fn(&PageColumn) -> String,
    out: &mut impl Write,
) -> io::Result<()> {
    let cells: Vec<String> = columns
        .iter()
        .map(|column| {
            let text = cell(column);
            if column.figures { pushed_right(&text, column.room) } else { filled(&text, column.room) }
        })
        .collect();
    writeln!(out, "{}", cells.join("  ").trim_end())
}

#[cfg(test)]
mod tests {
    use super::super::{By, DEFAULT_WITHIN, Rows, compare};
    use super::*;
    use crate::check::Within;

    fn page(before: &[(&str, &str, [&str; 2])], after: &[(&str, &str, [&str; 2])]) -> String {
        let headings = ["area_mm2", "status"];
        let (before, after) =
            (Rows::of(&headings, before.iter().copied()), Rows::of(&headings, after.iter().copied()));
        let within = Within::with_default(DEFAULT_WITHIN, &[]);
        let changes = compare(&before, &after, By::default(), &within).expect("a comparison");
        let mut text = Vec::new();
        write_page(&changes, &mut text).expect("writing to memory");
        String::from_utf8(text).expect("text")
    }

    #[test]
    fn columns_under_one_another() {
        let before = [("a.dxf", "PLATE 12", ["1000", "ok"]), ("a.dxf", "LUG", ["5", "ok"])];
        let after = [("a.dxf", "PLATE 12", ["980.5", "warning"]), ("a.dxf", "鋼板", ["5", "ok"])];
        assert_eq!(
            page(&before, &after),
            "change   section   column    before    after  difference   in %\n\
             added    鋼板\n\
             gone     LUG\n\
             changed  PLATE 12  area_mm2    1000    980.5       -19.5  -1.95\n\
             changed  PLATE 12  status        ok  warning\n\
             \n1 added, 1 gone, 1 changed (2 values), 0 unchanged\n"
        );
        assert_eq!(page(&before, &before), "0 added, 0 gone, 0 changed, 2 unchanged\n");
    }

    #[test]
    fn names_that_would_break_a_table() {
        let long = "x".repeat(300);
        let before = [("a.dxf", "LUG", ["1", "ok"])];
        let after = [
            ("a.dxf", "LUG", ["1", "ok"]),
            ("b.dxf", "A\u{1b}[2J\nB\u{202e}C", ["1", "ok"]),
            ("b.dxf", &long, ["1", ""]),
        ];
        let page = page(&before, &after);
        assert!(page.contains("A\\u{1b}[2J\\nB\\u{202e}C") && page.contains(&long), "{page}");
        assert_eq!(page.lines().count(), 5, "{page}");
        assert!(page.starts_with("change  drawing  section"), "{page}");
    }
}
