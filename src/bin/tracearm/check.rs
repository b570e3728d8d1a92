//! `tracearm check`: sections against expected values.

use std::collections::BTreeSet;
use std::path::Path;

use tracearm::check::{Comparison, Expected, Within, compare, write_csv, write_page};
use tracearm::finding::Severity;
use tracearm::measure::{Measurement, Status};
use tracearm::paths;
use tracearm::region::Region;

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
