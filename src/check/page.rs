//! A comparison as a table to read.

use std::io::{self, Write};

use super::CheckColumn as C;
use super::alike::Lines;
use super::compare::{Comparison, Figure};
use crate::schedule::Digits;

/// Writes a line for each figure, what is outside first, then what is within, each in the order of the table, and a line that
/// counts them. Names of any kind stay within their lines.
///
/// # Errors
///
/// Those of the writer.
pub fn write_page(comparison: &Comparison, digits: Digits, mut out: impl Write) -> io::Result<()> {
    let mut drawings = comparison.figures().map(|figure| figure.drawing);
    let first = drawings.next();
    let several = drawings.any(|drawing| Some(drawing) != first);
    let all = [
        C::Result,
        C::Drawing,
        C::Section,
        C::Column,
        C::Expected,
        C::Found,
        C::Difference,
        C::DifferencePercent,
        C::Allowed,
        C::Remark,
    ];
    let columns: Vec<C> = all.into_iter().filter(|column| several || *column != C::Drawing).collect();
    let heading = |column: &C| if *column == C::DifferencePercent { "in %" } else { column.name() };
    let is_figure = |column: &C| {
        matches!(column, C::Expected | C::Found | C::Difference | C::DifferencePercent | C::Allowed)
    };
    let cells =
        |figure: &Figure| columns.iter().map(|column| column.cell(figure, digits)).collect::<Vec<String>>();
    let mut lines = Lines::under(columns.iter().map(|column| (heading(column), is_figure(column))));
    comparison.figures().for_each(|figure| lines.widen(&cells(&figure)));
    lines.write_headings(&mut out)?;
    for within in [false, true] {
        for figure in comparison.figures().filter(|figure| figure.pass == within) {
            lines.write(&cells(&figure), &mut out)?;
        }
    }
    let sections = counted(comparison.sections, "section");
    let figures = counted(comparison.count(), "figure");
    write!(out, "\n{} of {figures} within; {sections}", comparison.passed())?;
    if comparison.unexpected > 0 {
        write!(out, ", and {} without expected values", counted(comparison.unexpected, "more section"))?;
    }
    writeln!(out)?;
    out.flush()
}

fn counted(count: usize, what: &str) -> String {
    format!("{count} {what}{}", if count == 1 { "" } else { "s" })
}
