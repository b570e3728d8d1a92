//! `tracearm compare`: what changed between two schedules.

use std::path::Path;

use tracearm::changes::{Changes, DEFAULT_WITHIN, Detail, Rows, Side, compare, write_csv, write_page};
use tracearm::check::Within;
use tracearm::finding::{Finding, Severity};
use tracearm::library::{Ledger, is_dxf};
use tracearm::paths;
use tracearm::schedule::{ColumnChoice, ColumnKey};

use super::advice;
use super::args::CompareArguments;
use super::files::{self, Output};
use super::output::{clean, streamed_to_stdout, tell};
use super::pending_file::PendingFile;
use super::reading::read_at_most;
use super::{Completion, form};

/// Runs the command.
pub fn run(arguments: &CompareArguments) -> Completion {
    compared(arguments).unwrap_or_else(|message| {
        tell(&clean(&format!("tracearm: {message}")));
        Completion::Nothing
    })
}

/// The error is why nothing was compared.
fn compared(arguments: &CompareArguments) -> Result<Completion, String> {
    let (before, after) = (&arguments.before, &arguments.after);
    if let Some(output) = &arguments.output {
        may_be_written(output, [before, after])?;
    }
    let choice = arguments.columns.as_deref().map(ColumnChoice::of).transpose();
    let choice = choice.map_err(|error| format!("--columns: {error}"))?;
    let former = rows(before)?;
    let later = rows(after)?;
    let name = |side| match side {
        Side::Before => paths::text(&before).into_owned(),
        Side::After => paths::text(&after).into_owned(),
        Side::Both => format!("{} and {}", paths::text(&before), paths::text(&after)),
    };
    let within = Within::with_default(DEFAULT_WITHIN, &arguments.within);
    let changes =
        compare(&former, &later, arguments.by.into(), &within, choice.as_ref()).map_err(|message| {
            format!("nothing was compared: {}: {}", name(message.side), message.finding.words(advice::of))
        })?;
    let mut all = true;
    let own = [(Side::Before, former.findings()), (Side::After, later.findings())];
    let own = own.iter().flat_map(|(side, findings)| findings.iter().map(|finding| (*side, finding)));
    for (side, finding) in
        own.chain(changes.findings().iter().map(|message| (message.side, &message.finding)))
    {
        tell(&clean(&format!("{}: {}", name(side), in_words(finding))));
        all &= finding.severity < Severity::Failure;
    }
    for name in arguments.columns.iter().flat_map(|list| names_nothing(list, &changes)) {
        tell(&clean(&format!(
            "tracearm: --columns {name} was not compared: no column of this name that can be compared is in both schedules"
        )));
        all = false;
    }
    if let Some(path) = &arguments.output {
        let written = PendingFile::create(path).and_then(|mut file| {
            write_csv(&changes, &mut file)?;
            file.keep()
        });
        written.map_err(|error| format!("cannot write the changes to {}: {error}", paths::text(&path)))?;
    }
    let detail = if arguments.all { Detail::Values } else { Detail::Sections };
    streamed_to_stdout(|out| write_page(&changes, detail, out))
        .map_err(|error| format!("cannot write the changes to standard output: {error}"))?;
    Ok(if all && changes.is_empty() { Completion::Done } else { Completion::Partly })
}

/// The names of a list of columns that name none that is compared. Drawings and sections tell rows apart.
fn names_nothing<'l>(list: &'l str, changes: &Changes) -> Vec<&'l str> {
    let is_asked_in_vain = |name: &&str| {
        let keys = ColumnChoice::of(name).map(|choice| choice.keys().to_vec()).unwrap_or_default();
        let tells_apart = |key: &ColumnKey| matches!(key, ColumnKey::Drawing | ColumnKey::Section);
        !keys.iter().any(|key| tells_apart(key) || changes.compares(*key))
    };
    list.split(',').map(str::trim).filter(|name| !name.is_empty()).filter(is_asked_in_vain).collect()
}

/// Refuses names for the result that would cost a file.
fn may_be_written(output: &Path, schedules: [&Path; 2]) -> Result<(), String> {
    let shown = paths::text(&output);
    if form::is_other_than_csv(output) {
        return Err(format!("changes are written as CSV: give -o a name that ends in .csv, not {shown}"));
    }
    files::refuse(
        &[Output::new("-o", "the changes", "changes.csv", output)],
        &schedules.map(|schedule| ("the schedule", schedule.to_owned())),
    )
}

/// The rows of a schedule, in whatever form it is kept.
fn rows(path: &Path) -> Result<Rows, String> {
    let shown = paths::text(&path);
    if is_dxf(path) {
        return Err(format!(
            "{shown} is a drawing, but compare takes schedules: write its schedule with tracearm schedule -o NAME.csv {shown}"
        ));
    }
    let bytes = read_at_most(path, Rows::LARGEST).map_err(|error| format!("cannot read {shown}: {error}"))?;
    if Ledger::is_database(&bytes) {
        let mut rows = Rows::under(&Ledger::headings());
        Ledger::read(path, |drawing, section, cells| rows.push(drawing, section, cells))
            .map_err(|error| error.to_string())?;
        return Ok(rows);
    }
    Rows::read(&bytes)
        .map_err(|error| format!("nothing was compared: {shown}: {}", error.finding().words(advice::of)))
}

/// A finding with how much it matters, where it is not what the command was run for.
fn in_words(finding: &Finding) -> String {
    match finding.severity {
        Severity::Failure => finding.words(advice::of),
        severity => format!("{}: {}", severity.word(), finding.words(advice::of)),
    }
}
