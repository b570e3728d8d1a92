//! `tracearm check`: sections against expected values.

use std::collections::BTreeSet;

use tracearm::check::{CheckColumn, Comparison, Expected, Figure, Within, compare, write_csv};
use tracearm::finding::Severity;
use tracearm::measure::Status;
use tracearm::schedule::Digits;

use CheckColumn as C;

use super::Completion;
use super::advice;
use super::args::CheckArguments;
use super::files::{self, Output};
use super::job;
use super::measuring::{Measuring, Run};
use super::output::{clean, tell, to_stdout};
use super::pending_file::PendingFile;
use super::reading::read_at_most;

/// Runs the command.
pub fn run(arguments: &CheckArguments) -> Completion {
    check(arguments).unwrap_or_else(|message| {
        tell(&format!("tracearm: {message}"));
        Completion::Nothing
    })
}

/// The error is why nothing was compared.
fn check(arguments: &CheckArguments) -> Result<Completion, String> {
    let table = arguments.against.display();
    let job = arguments.job.as_deref().map(job::read).transpose()?;
    let outputs: Vec<Output> =
        arguments.output.iter().map(|path| Output::new("-o", "the result", "result.csv", path)).collect();
    let mut inputs = files::read(&arguments.drawings, job.as_ref().zip(arguments.job.as_deref()));
    inputs.push(("the table of expected values", arguments.against.clone()));
    files::refuse(&outputs, &inputs)?;
    let bytes = read_at_most(&arguments.against, Expected::LARGEST)
        .map_err(|error| format!("cannot read {table}: {error}"))?;
    let expected = Expected::read(&bytes)
        .map_err(|error| clean(&format!("{table}: {}", error.finding().words(advice::of))))?;
    let measuring = Measuring::of(&arguments.measuring, job.as_ref())?;
    let run = Run::of(&measuring, &arguments.drawings, job.as_ref().zip(arguments.job.as_deref()));
    let comparison = compare(&expected, &run.rows, &Within::new(&arguments.within));
    tell_findings(&table.to_string(), &comparison);
    tell_warnings(&run, &comparison);
    if comparison.compared() == 0 {
        return Err(format!("nothing was compared: no section has a figure that {table} expects"));
    }
    if let Some(path) = &arguments.output {
        let written = PendingFile::create(path).and_then(|mut file| {
            write_csv(&comparison.figures, measuring.style.digits, &mut file)?;
            file.keep()
        });
        written.map_err(|error| format!("cannot write the result to {}: {error}", path.display()))?;
    }
    to_stdout(page(&comparison, measuring.style.digits).as_bytes())
        .map_err(|error| format!("cannot write the result to standard output: {error}"))?;
    let as_expected = comparison.passed() == comparison.figures.len()
        && comparison.findings.iter().all(|finding| finding.severity < Severity::Failure);
    Ok(if as_expected && !run.failed { Completion::Done } else { Completion::Partly })
}

/// Names what could not be compared.
fn tell_findings(table: &str, comparison: &Comparison) {
    /// More of a kind don't help to see what is wrong with the table.
    const SHOWN: usize = 100;
    for finding in comparison.findings.iter().take(SHOWN) {
        tell(&clean(&format!("{table}: {}", finding.words(advice::of))));
    }
    if let Some(more @ 1..) = comparison.findings.len().checked_sub(SHOWN) {
        tell(&clean(&format!("{table}: {more} more of these")));
    }
}

/// Names what may not be what was meant in the sections that were compared.
fn tell_warnings(run: &Run, comparison: &Comparison) {
    let compared: BTreeSet<(&str, &str)> =
        comparison.figures.iter().map(|figure| (figure.drawing.as_str(), figure.section.as_str())).collect();
    for row in run.rows.iter().filter(|row| row.status() == Status::Warning) {
        if compared.contains(&(row.drawing.as_str(), row.section.as_str())) {
            for finding in row.findings.iter().filter(|finding| finding.severity == Severity::Warning) {
                let words = finding.words(advice::of);
                tell(&clean(&format!("{}: section {}: warning: {words}", row.drawing, row.section)));
            }
        }
    }
}

/// The result for people: what is outside first, then what is within, each in the order of the table.
fn page(comparison: &Comparison, digits: Digits) -> String {
    let figures = &comparison.figures;
    let (outside, within): (Vec<&Figure>, Vec<&Figure>) = figures.iter().partition(|figure| !figure.pass);
    let mut drawings = figures.iter().map(|figure| figure.drawing.as_str());
    let first = drawings.next();
    let several = drawings.any(|drawing| Some(drawing) != first);
    let names: &[CheckColumn] =
        if several { &[C::Result, C::Drawing, C::Section] } else { &[C::Result, C::Section] };
    let figures_of = [C::Column, C::Expected, C::Found, C::Difference, C::DifferencePercent, C::Allowed];
    let columns = || names.iter().copied().chain(figures_of).chain([C::Remark]);
    let heading = |column: C| if column == C::DifferencePercent { "in %" } else { column.name() };
    let mut rows: Vec<Vec<String>> = vec![columns().map(|column| heading(column).to_owned()).collect()];
    rows.extend(
        outside
            .into_iter()
            .chain(within)
            .map(|figure| columns().map(|column| clean(&column.cell(figure, digits))).collect()),
    );
    // The column's name is words too.
    let mut text = aligned(&rows, names.len() + 1);
    let total = figures.len();
    let sections = counted(comparison.sections, "section");
    text += &format!("\n{} of {} within; {sections}", comparison.passed(), counted(total, "figure"));
    if comparison.unexpected > 0 {
        text += &format!(", and {} without expected values", counted(comparison.unexpected, "more section"));
    }
    text.push('\n');
    text
}

fn counted(count: usize, what: &str) -> String {
    format!("{count} {what}{}", if count == 1 { "" } else { "s" })
}

/// Rows as lines with their cells under one another: words to the left, and from `first_number` on figures to the right,
/// up to the remark at the end.
fn aligned(rows: &[Vec<String>], first_number: usize) -> String {
    /// Longer cells push what follows them aside rather than all others.
    const WIDEST: usize = 40;
    let columns = rows.first().map_or(0, Vec::len);
    let mut widths = vec![0; columns];
    for row in rows {
        for (width, cell) in widths.iter_mut().zip(row) {
            *width = cell.chars().count().min(WIDEST).max(*width);
        }
    }
    let mut text = String::new();
    for row in rows {
        let cells: Vec<String> = row
            .iter()
            .zip(&widths)
            .enumerate()
            .map(|(at, (cell, width))| {
                let width = *width;
                if at >= first_number && at + 1 < columns {
                    format!("{cell:>width$}")
                } else {
                    format!("{cell:width$}")
                }
            })
            .collect();
        text += cells.join("  ").trim_end();
        text.push('\n');
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_under_one_another() {
        let rows = [
            ["result", "section", "found", ""],
            ["pass", "LUG", "1.5", ""],
            ["fail", "PLATE 12", "", "none"],
        ]
        .map(|row| row.map(str::to_owned).to_vec());
        assert_eq!(
            aligned(&rows, 2),
            "result  section   found\npass    LUG         1.5\nfail    PLATE 12         none\n"
        );
    }
}
