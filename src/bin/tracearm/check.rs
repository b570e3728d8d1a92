//! `tracearm check`: sections against expected values.

use std::collections::BTreeSet;
use std::io::{self, Write};
use std::path::Path;

use tracearm::check::{CheckColumn, Comparison, Expected, Figure, Within, compare, write_csv};
use tracearm::finding::Severity;
use tracearm::measure::{Measurement, Status};
use tracearm::paths;
use tracearm::region::Region;
use tracearm::schedule::Digits;

use CheckColumn as C;

use super::Completion;
use super::advice;
use super::args::CheckArguments;
use super::files::{self, Output};
use super::job::JobFile;
use super::measuring::{Measuring, Run};
use super::output::{clean, streamed_to_stdout, tell};
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
    let table = paths::text(&arguments.against);
    let job = arguments.job.as_deref().map(|path| JobFile::read(path, &arguments.drawings)).transpose()?;
    let outputs: Vec<Output> =
        arguments.output.iter().map(|path| Output::new("-o", "the result", "result.csv", path)).collect();
    let mut inputs = files::read(&arguments.drawings, job.as_ref());
    inputs.push(("the table of expected values", arguments.against.clone()));
    files::refuse(&outputs, &inputs)?;
    let expected = read(&arguments.against)?;
    let measuring = Measuring::of(&arguments.measuring, job.as_ref().map(JobFile::job))?;
    let run = Run::of(&measuring, &arguments.drawings, job.as_ref(), without_outlines);
    let comparison = compare(&expected, &run.rows, &Within::new(&arguments.within));
    tell_findings(&table, &comparison);
    tell_warnings(&run, &comparison);
    if comparison.compared() == 0 {
        return Err(format!("nothing was compared: no section has a figure that {table} expects"));
    }
    if let Some(path) = &arguments.output {
        let written = PendingFile::create(path).and_then(|mut file| {
            write_csv(comparison.figures(), measuring.style.digits, &mut file)?;
            file.keep()
        });
        written.map_err(|error| format!("cannot write the result to {}: {error}", paths::text(&path)))?;
    }
    streamed_to_stdout(|out| write_page(&comparison, measuring.style.digits, out))
        .map_err(|error| format!("cannot write the result to standard output: {error}"))?;
    let as_expected = comparison.passed() == comparison.count()
        && comparison.findings.iter().all(|finding| finding.severity < Severity::Failure);
    Ok(if as_expected && !run.failed { Completion::Done } else { Completion::Partly })
}

/// The table of expected values.
fn read(path: &Path) -> Result<Expected, String> {
    let table = paths::text(path);
    let bytes =
        read_at_most(path, Expected::LARGEST).map_err(|error| format!("cannot read {table}: {error}"))?;
    Expected::read(&bytes).map_err(|error| clean(&format!("{table}: {}", error.finding().words(advice::of))))
}

/// A section without its outlines, which are a large part of it and of which nothing is expected.
fn without_outlines(mut section: Measurement) -> Measurement {
    section.pieces = Vec::new();
    if let Ok(measured) = &mut section.result {
        measured.region = Region::new(Vec::new());
    }
    section
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
    let doubtful = || run.rows.iter().filter(|row| row.status() == Status::Warning);
    if doubtful().next().is_none() {
        return;
    }
    let compared: BTreeSet<(&str, &str)> =
        comparison.figures().map(|figure| (figure.drawing, figure.section)).collect();
    for row in doubtful() {
        if compared.contains(&(row.drawing.as_str(), row.section.as_str())) {
            for finding in row.findings.iter().filter(|finding| finding.severity == Severity::Warning) {
                let words = finding.words(advice::of);
                tell(&clean(&format!("{}: section {}: warning: {words}", row.drawing, row.section)));
            }
        }
    }
}

/// Longer cells push what follows them aside rather than all others.
const WIDEST: usize = 40;

/// Writes the result for people: what is outside first, then what is within, each in the order of the table.
fn write_page(comparison: &Comparison, digits: Digits, out: &mut dyn Write) -> io::Result<()> {
    let mut drawings = comparison.figures().map(|figure| figure.drawing);
    let first = drawings.next();
    let several = drawings.any(|drawing| Some(drawing) != first);
    let names: &[CheckColumn] =
        if several { &[C::Result, C::Drawing, C::Section] } else { &[C::Result, C::Section] };
    let figures_of = [C::Column, C::Expected, C::Found, C::Difference, C::DifferencePercent, C::Allowed];
    let columns: Vec<CheckColumn> = names.iter().copied().chain(figures_of).chain([C::Remark]).collect();
    let heading = |column: C| if column == C::DifferencePercent { "in %" } else { column.name() };
    let headings: Vec<String> = columns.iter().map(|column| heading(*column).to_owned()).collect();
    let cells = |figure: &Figure| -> Vec<String> {
        columns.iter().map(|column| clean(&column.cell(figure, digits))).collect()
    };
    let mut widths = vec![0; columns.len()];
    let mut widen = |row: &[String]| {
        for (width, cell) in widths.iter_mut().zip(row) {
            *width = cell.chars().count().min(WIDEST).max(*width);
        }
    };
    widen(&headings);
    comparison.figures().for_each(|figure| widen(&cells(&figure)));
    // The column's name is words too.
    let first_number = names.len() + 1;
    out.write_all(aligned(&headings, &widths, first_number).as_bytes())?;
    for within in [false, true] {
        for figure in comparison.figures().filter(|figure| figure.pass == within) {
            out.write_all(aligned(&cells(&figure), &widths, first_number).as_bytes())?;
        }
    }
    let sections = counted(comparison.sections, "section");
    let figures = counted(comparison.count(), "figure");
    write!(out, "\n{} of {figures} within; {sections}", comparison.passed())?;
    if comparison.unexpected > 0 {
        write!(out, ", and {} without expected values", counted(comparison.unexpected, "more section"))?;
    }
    writeln!(out)
}

fn counted(count: usize, what: &str) -> String {
    format!("{count} {what}{}", if count == 1 { "" } else { "s" })
}

/// A row as a line, its cells under those of others: words to the left, and from `first_number` on figures to the right, up to
/// the remark at the end.
fn aligned(row: &[String], widths: &[usize], first_number: usize) -> String {
    let cells: Vec<String> = row
        .iter()
        .zip(widths)
        .enumerate()
        .map(|(at, (cell, width))| {
            let width = *width;
            if at >= first_number && at + 1 < row.len() {
                format!("{cell:>width$}")
            } else {
                format!("{cell:width$}")
            }
        })
        .collect();
    let mut line = cells.join("  ");
    line.truncate(line.trim_end().len());
    line.push('\n');
    line
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
        let lines: String = rows.iter().map(|row| aligned(row, &[6, 8, 5, 4], 2)).collect();
        assert_eq!(
            lines,
            "result  section   found\npass    LUG         1.5\nfail    PLATE 12         none\n"
        );
    }
}
