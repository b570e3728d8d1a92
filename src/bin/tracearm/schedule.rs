//! `tracearm schedule`: many drawings, one schedule.

mod written;

use std::fs::File;
use std::io;
use std::path::Path;

use tracearm::library::{self, Concurrency, DrawingRows, Ledger, RunError, Sources, Task, is_dxf};
use tracearm::schedule::{Row, piece_cells};

use super::Completion;
use super::args::ScheduleArguments;
use super::measuring::{Measuring, Run, Unmatched, settings};
use super::output::{same_file, tell};
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
    refuse_outputs(arguments)?;
    let format = form::chosen(arguments.format, arguments.output.as_deref(), terminal::width_of_output())?;
    let job = arguments.job.as_deref().map(job::read).transpose()?;
    let measuring = Measuring::of(&arguments.measuring, job.as_ref())?;
    let (output, pieces) = (arguments.output.as_deref(), arguments.pieces.as_deref());
    if let Some(job) = job.as_ref().zip(arguments.job.as_deref()) {
        let run = Run::of(&measuring, &arguments.drawings, Some(job));
        let mut written = Written::open(measuring.style, format, output, pieces)?;
        for row in &run.rows {
            written.push(vec![Row::of(row, measuring.style)], &piece_cells(row, measuring.style))?;
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
    let mut written = Written::open(measuring.style, format, output, pieces)?;
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
            let written = written.push(measured.rows, &measured.pieces);
            written.map_err(|message| RunError::Io(io::Error::other(message)))?;
        }
        Ok(())
    };
    let ended = library::run(sources, task, concurrency, ledger.clone(), take);
    if let Err(error) = ended {
        if written.reader_has_gone() {
            return Ok(Completion::Done);
        }
        return Err(error.to_string());
    }
    unmatched.messages().for_each(|message| tell(&message));
    let failed = progress.has_failures();
    let finished = written.finish(more);
    let vanished = ledger.map_or(Ok(0), Ledger::finish).map_err(|error| error.to_string())?;
    progress.finish(vanished, arguments.summary);
    finished?;
    Ok(if failed { Completion::Partly } else { Completion::Done })
}

/// Says why the outputs that were asked for can't be written.
fn refuse_outputs(arguments: &ScheduleArguments) -> Result<(), String> {
    if let Some(output) = arguments.output.as_deref().filter(|path| is_dxf(path)) {
        // `-o` without a name takes the first drawing for one.
        return Err(format!(
            "{} is the name of a drawing, which the schedule would replace: name a .csv file after -o",
            output.display()
        ));
    }
    if let Some(pieces) = arguments.pieces.as_deref().filter(|path| form::is_other_than_csv(path)) {
        return Err(format!(
            "the pieces are written as CSV, which the ending of {} does not say: name a .csv file after --pieces",
            pieces.display()
        ));
    }
    let is_output = |path: &Path| arguments.output.as_deref().is_some_and(|output| same_file(output, path));
    if arguments.pieces.as_deref().is_some_and(is_output) {
        return Err("the schedule and the pieces can't be one file: name another after --pieces".to_owned());
    }
    if let Some(ledger) = arguments.ledger.as_deref()
        && (is_dxf(ledger) || is_output(ledger))
    {
        return Err(format!(
            "{} can't be the ledger: name a file of its own, such as shop.ledger",
            ledger.display()
        ));
    }
    Ok(())
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
