//! `tracearm schedule`: many drawings, one schedule.

mod written;

use std::fs::File;
use std::io;
use std::path::Path;
use std::sync::PoisonError;

use tracearm::library::{self, Concurrency, DrawingRows, Ledger, RunError, Sources, Task};
use tracearm::measure::Job;
use tracearm::schedule::{ColumnChoice, ColumnKey, DecimalMark, Format, Group, Row, Style, piece_cells};

use super::Completion;
use super::args::ScheduleArguments;
use super::files::{self, Output};
use super::measuring::{Measuring, Run, Unmatched, settings};
use super::output::tell;
use super::progress::Progress;
use super::{form, job, terminal};
use written::Written;

/// Runs the command.
pub fn run(arguments: &ScheduleArguments) -> Completion {
    schedule(arguments).unwrap_or_else(|message| {
        tell(&format!("tracearm: {message}"));
        Completion::Nothing
    })
}

/// The error is why no schedule was written.
fn schedule(arguments: &ScheduleArguments) -> Result<Completion, String> {
    let job = arguments.job.as_deref().map(job::read).transpose()?;
    let outputs = outputs(arguments, job.as_ref())?;
    let format = form::chosen(arguments.format, arguments.output.as_deref(), terminal::width_of_output())?;
    let mut measuring = Measuring::of(&arguments.measuring, job.as_ref())?;
    measuring.style.choice = columns(arguments.columns.as_deref(), measuring.style)?;
    measuring.style.decimal = arguments.decimal.into();
    if measuring.style.decimal == DecimalMark::Comma && format != Format::Csv && arguments.pieces.is_none() {
        return Err("--decimal comma is for CSV: other formats have a decimal mark of their own".to_owned());
    }
    let (output, pieces) = (arguments.output.as_deref(), arguments.pieces.as_deref());
    let totals = arguments.totals.as_deref();
    if let Some(job) = job.as_ref().zip(arguments.job.as_deref()) {
        let run = Run::of(&measuring, &arguments.drawings, Some(job));
        let mut written = Written::open(measuring.style, format, output, pieces, totals)?;
        for row in &run.rows {
            written.push(vec![Row::of(row, measuring.style)], &piece_cells(row, measuring.style), false)?;
        }
        written.finish(false)?;
        return Ok(if run.failed { Completion::Partly } else { Completion::Done });
    }
    let ledger = match &arguments.ledger {
        None => None,
        Some(path) => {
            let settings = settings(&arguments.measuring, &measuring);
            Some(
                Ledger::begin(path, env!("CARGO_PKG_VERSION"), &settings)
                    .map_err(|error| error.to_string())?,
            )
        }
    };
    let sources = sources(arguments)?;
    let mut written = Written::open(measuring.style, format, output, pieces, totals)?;
    let task = Task::with(|t| {
        t.options = measuring.options.clone();
        t.reading = measuring.reading.clone();
        t.style = measuring.style;
        t.pieces = pieces.is_some();
    });
    let jobs = arguments.jobs.map_or_else(library::cores, usize::from);
    let concurrency = Concurrency::with(|c| {
        c.jobs = jobs;
        c.time_limit = arguments.time_limit;
    });
    let more = arguments.files_from.is_some();
    let mut progress = Progress::begin(&arguments.drawings, more, written.shows_rows_at_once());
    let mut unmatched = Unmatched::new();
    let take = |drawings: Vec<DrawingRows>| {
        progress.done(&drawings);
        for measured in drawings {
            if measured.read {
                unmatched.take(&measured.unmatched, measured.layers.iter().map(String::as_str));
            }
            written.wait(unmatched.is_open());
            let written = written.push(measured.rows, &measured.pieces, measured.read);
            written.map_err(|message| RunError::Io(io::Error::other(message)))?;
        }
        Ok(())
    };
    let (sources, clash) = files::watched(sources, &outputs);
    let ended = library::run(sources, task, concurrency, ledger.clone(), take);
    if let Err(error) = ended {
        if written.reader_has_gone() {
            return Ok(Completion::Done);
        }
        return Err(error.to_string());
    }
    if let Some(clash) = clash.lock().unwrap_or_else(PoisonError::into_inner).take() {
        return Err(clash);
    }
    unmatched.messages().for_each(|message| tell(&message));
    let unmatched = unmatched.findings();
    written.warn(&unmatched);
    let failed = progress.has_failures() || !unmatched.is_empty();
    let finished = written.finish(more);
    let vanished = ledger.map_or(Ok(0), Ledger::finish).map_err(|error| error.to_string())?;
    progress.finish(vanished, arguments.summary);
    finished?;
    Ok(if failed { Completion::Partly } else { Completion::Done })
}

/// The columns that are chosen; an error where a name chooses none that the schedule has.
fn columns(list: Option<&str>, style: Style) -> Result<Option<ColumnChoice>, String> {
    let Some(list) = list else { return Ok(None) };
    let choice = ColumnChoice::of(list).map_err(|error| format!("--columns: {error}"))?;
    for name in list.split(',').map(str::trim).filter(|name| !name.is_empty()) {
        let of_name = ColumnChoice::of(name).map_err(|error| format!("--columns: {error}"))?;
        let has = |key: &ColumnKey| style.columns().any(|column| column.key == *key);
        let Some(missing) = of_name.keys().first().filter(|_| !of_name.keys().iter().any(has)) else {
            continue;
        };
        let why = match missing.column().group {
            Group::Label => "is there with --per part and --per outline",
            Group::Plate => "is there with --thickness",
            _ => "is there for a job with axes of its own",
        };
        return Err(format!("--columns: “{name}” {why}"));
    }
    Ok(Some(choice))
}

/// The files that are written; an error says why they can't be.
fn outputs(arguments: &ScheduleArguments, job: Option<&Job>) -> Result<Vec<Output>, String> {
    let outputs: Vec<Output> = [
        ("-o", "the schedule", "plates.csv", &arguments.output),
        ("--pieces", "the pieces", "pieces.csv", &arguments.pieces),
        ("--totals", "the totals", "totals.csv", &arguments.totals),
        ("--ledger", "the ledger", "shop.ledger", &arguments.ledger),
    ]
    .into_iter()
    .filter_map(|(option, holds, such_as, path)| Some(Output::new(option, holds, such_as, path.as_deref()?)))
    .collect();
    let mut inputs = files::read(&arguments.drawings, job.zip(arguments.job.as_deref()));
    let list = arguments.files_from.as_ref().filter(|path| path.as_path() != Path::new("-"));
    inputs.extend(list.map(|path| ("the list of drawings", path.clone())));
    files::refuse(&outputs, &inputs)?;
    for (option, what, path) in
        [("--pieces", "pieces", &arguments.pieces), ("--totals", "totals", &arguments.totals)]
    {
        if let Some(path) = path.as_deref().filter(|path| !form::is_csv(path)) {
            return Err(format!(
                "the {what} are written as CSV, which the ending of {} does not say: name a .csv file after {option}",
                path.display()
            ));
        }
    }
    Ok(outputs)
}

/// The drawings that are asked for.
fn sources(arguments: &ScheduleArguments) -> Result<Sources, String> {
    let drawings = arguments.drawings.clone();
    Ok(match arguments.files_from.as_deref() {
        None => Sources::of(drawings),
        Some(path) if path == Path::new("-") => Sources::with_list(drawings, io::stdin()),
        Some(path) => {
            let why =
                |messages: &str| format!("cannot read the list of drawings {}: {messages}", path.display());
            if path.is_dir() {
                return Err(why("it is a folder: to measure its drawings, name it without --files-from"));
            }
            let list = File::open(path).map_err(|error| why(&error.to_string()))?;
            Sources::with_list(drawings, list)
        }
    })
}
