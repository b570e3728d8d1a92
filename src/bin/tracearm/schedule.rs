//! `tracearm schedule`: many drawings, one schedule.

mod written;

use std::fs::File;
use std::io;
use std::path::Path;
use std::sync::{Arc, PoisonError};
use std::time::Duration;

use tracearm::library::{
    self, Concurrency, DrawingRows, JobSections, Ledger, RunError, Source, Sources, Task, Unmatched,
};
use tracearm::measure::{Message, Options};
use tracearm::paths;
use tracearm::schedule::{
    ColumnChoice, ColumnChoiceError, DecimalMark, Format, Group, PIECE_COLUMNS, Row, Style,
};

use super::Completion;
use super::args::ScheduleArguments;
use super::files::{self, Output};
use super::job::JobFile;
use super::measuring::{Measuring, settings, unmatched_messages};
use super::output::tell;
use super::pending_file::PendingFile;
use super::progress::Progress;
use super::{advice, apart, form, terminal};
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
    let job = arguments.job.as_deref().map(|path| JobFile::read(path, &arguments.drawings)).transpose()?;
    let outputs = outputs(arguments, job.as_ref())?;
    let format = form::chosen(arguments.format, arguments.output.as_deref(), terminal::width_of_output())?;
    let mut measuring = Measuring::of(&arguments.measuring, job.as_ref().map(JobFile::job))?;
    measuring.style.choice = columns(arguments.columns.as_deref(), measuring.style)?;
    measuring.style.decimal = arguments.decimal.into();
    if measuring.style.decimal == DecimalMark::Comma && format != Format::Csv && arguments.pieces.is_none() {
        return Err("--decimal comma is for CSV: other formats have a decimal mark of their own".to_owned());
    }
    let (output, pieces) = (arguments.output.as_deref(), arguments.pieces.as_deref());
    let totals = arguments.totals.as_deref();
    let settings = settings(&arguments.measuring, &measuring, job.as_ref());
    let job = job.map(|job| Arc::new(job.sections));
    let jobs = arguments.jobs.map_or_else(library::cores, usize::from);
    let task = Task::with(|t| {
        t.options = measuring.options.clone();
        t.reading = measuring.reading.clone();
        t.style = measuring.style;
        t.pieces = pieces.is_some();
        t.job.clone_from(&job);
        // What is read from a pipe can't be read once more.
        let can_be_read_again = arguments.job.as_ref().is_none_or(|job| job.is_file());
        let by_itself = arguments.ledger.is_some() && can_be_read_again;
        t.apart = by_itself.then(|| apart::by_this_program(arguments.time_limit));
    });
    if let Some(drawing) = &arguments.apart {
        return apart::measure(drawing, &task).map(|()| Completion::Done);
    }
    let ledger = match &arguments.ledger {
        None => None,
        Some(path) => Some(begun(path, &settings, arguments.wait)?),
    };
    let sources = sources(arguments, job.as_deref())?;
    let mut written = Written::open(measuring.style, format, output, pieces, totals)?;
    let concurrency = Concurrency::with(|c| {
        c.jobs = jobs;
        c.time_limit = arguments.time_limit;
    });
    let more = arguments.files_from.is_some();
    let of_job = |job: &JobSections| job.drawings().into_iter().map(Path::to_owned).collect();
    let watched = job.as_deref().map_or_else(|| arguments.drawings.clone(), of_job);
    let mut progress =
        Progress::begin(&watched, more, written.shows_rows_at_once(), arguments.report.is_some());
    // Who asks for one drawing reads all that is to be said of it.
    progress.tell_everything(arguments.verbose || (!more && watched.len() == 1 && !watched[0].is_dir()));
    let mut unmatched = Unmatched::new();
    let mut of_job = job.as_deref().map(|job| OfJob::of(job, measuring.style));
    let take = |drawings: Vec<DrawingRows>| {
        progress.done(&drawings);
        if let Some(of_job) = &mut of_job {
            drawings.into_iter().for_each(|measured| of_job.take(measured));
            return Ok(());
        }
        for measured in drawings.into_iter().filter(|drawing| !drawing.is_repeated()) {
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
    let mut failed = progress.has_failures();
    if let Some(mut of_job) = of_job {
        failed |= of_job.tell(&measuring.options);
        let pushed = written.push(of_job.rows, &of_job.pieces, false);
        if pushed.is_err() && written.reader_has_gone() {
            return Ok(Completion::Done);
        }
        pushed?;
    }
    unmatched_messages(&unmatched).for_each(|message| tell(&message));
    let unmatched = unmatched.findings();
    written.warn(&unmatched);
    failed |= !unmatched.is_empty();
    let finished = written.finish(more);
    match ledger.map(Ledger::finish) {
        None => {}
        Some(Ok(end)) => {
            end.damages.iter().for_each(|damage| tell(&format!("tracearm: {damage}")));
            progress.report_mut().end(&end);
        }
        // What was written stands.
        Some(Err(error)) => {
            let stands = if finished.is_ok() { "the schedule is complete, but " } else { "" };
            tell(&format!("tracearm: {stands}{error}"));
            failed = true;
        }
    }
    if let Some(path) = &arguments.report {
        let report = || {
            let mut file = PendingFile::create(path)?;
            progress.report().write_csv(&mut file)?;
            file.keep()
        };
        if let Err(error) = report() {
            tell(&format!("tracearm: cannot write the report to {}: {error}", paths::text(path)));
            failed = true;
        }
    }
    progress.finish(arguments.summary);
    finished?;
    Ok(if failed { Completion::Partly } else { Completion::Done })
}

/// The ledger with a run begun in it; one that is in use is waited for if `wait`.
fn begun(path: &Path, settings: &str, wait: bool) -> Result<Ledger, String> {
    /// Nobody who waits minutes minds so little.
    const PAUSE: Duration = Duration::from_millis(200);
    let mut told = false;
    loop {
        match Ledger::begin(path, env!("CARGO_PKG_VERSION"), settings) {
            Ok(ledger) => return Ok(ledger),
            Err(error) if wait && error.is_in_use() => {
                if !told {
                    tell(&format!(
                        "tracearm: waiting for another run to finish with the ledger {}",
                        paths::text(path)
                    ));
                    told = true;
                }
                std::thread::sleep(PAUSE);
            }
            Err(error) => return Err(error.to_string()),
        }
    }
}

/// The columns that are chosen; an error where a name chooses none that the schedule has.
fn columns(list: Option<&str>, style: Style) -> Result<Option<ColumnChoice>, String> {
    let Some(list) = list else { return Ok(None) };
    let choice = ColumnChoice::of_style(list, style).map_err(|error| match error {
        ColumnChoiceError::NotInStyle(name, Group::Label) => {
            format!("--columns: “{name}” exists only with --per part or --per outline")
        }
        ColumnChoiceError::NotInStyle(name, Group::Plate) => {
            format!("--columns: “{name}” exists only with --thickness")
        }
        ColumnChoiceError::NotInStyle(name, Group::Field) => {
            format!("--columns: “{name}” exists only with --field")
        }
        other => format!("--columns: {other}"),
    });
    choice.map(Some)
}

/// The files that are written; an error says why they can't be.
fn outputs(arguments: &ScheduleArguments, job: Option<&JobFile>) -> Result<Vec<Output>, String> {
    let outputs: Vec<Output> = [
        ("-o", "the schedule", "plates.csv", &arguments.output),
        ("--pieces", "the pieces", "pieces.csv", &arguments.pieces),
        ("--totals", "the totals", "totals.csv", &arguments.totals),
        ("--report", "the report", "report.csv", &arguments.report),
        ("--ledger", "the ledger", "shop.ledger", &arguments.ledger),
    ]
    .into_iter()
    .filter_map(|(option, holds, such_as, path)| Some(Output::new(option, holds, such_as, path.as_deref()?)))
    .chain(arguments.ledger.iter().flat_map(|ledger| files::beside_ledger(ledger)))
    .collect();
    let mut inputs = files::read(&arguments.drawings, job);
    let list = arguments.files_from.as_ref().filter(|path| path.as_path() != Path::new("-"));
    inputs.extend(list.map(|path| ("the list of drawings", path.clone())));
    files::refuse(&outputs, &inputs)?;
    for (option, what, path) in [
        ("--pieces", "pieces are", &arguments.pieces),
        ("--totals", "totals are", &arguments.totals),
        ("--report", "report is", &arguments.report),
    ] {
        if let Some(path) = path.as_deref().filter(|path| !form::is_csv(path)) {
            return Err(format!(
                "the {what} written as CSV, which the ending of {} does not say: name a .csv file after {option}",
                paths::text(&path)
            ));
        }
    }
    Ok(outputs)
}

/// The drawings that are asked for: those of a job as it names them.
fn sources(
    arguments: &ScheduleArguments,
    job: Option<&JobSections>,
) -> Result<Box<dyn Iterator<Item = Source> + Send>, String> {
    if let Some(job) = job {
        let drawings: Vec<Source> = job.drawings().into_iter().map(|path| Ok(path.to_owned())).collect();
        return Ok(Box::new(drawings.into_iter()));
    }
    let drawings = arguments.drawings.clone();
    Ok(Box::new(match arguments.files_from.as_deref() {
        None => Sources::of(drawings),
        Some(path) if path == Path::new("-") => Sources::with_list(drawings, io::stdin()),
        Some(path) => {
            let why = |messages: &str| {
                format!("cannot read the list of drawings {}: {messages}", paths::text(&path))
            };
            if path.is_dir() {
                return Err(why("it is a folder: to measure its drawings, name it without --files-from"));
            }
            let list = File::open(path).map_err(|error| why(&error.to_string()))?;
            Sources::with_list(drawings, list)
        }
    }))
}

/// What is measured of a job, which is written in the order of its sections.
struct OfJob<'a> {
    job: &'a JobSections,
    style: Style,
    rows: Vec<Row>,
    pieces: Vec<Vec<String>>,
}

impl OfJob<'_> {
    fn of(job: &JobSections, style: Style) -> OfJob<'_> {
        OfJob { job, style, rows: Vec::new(), pieces: Vec::new() }
    }

    fn take(&mut self, measured: DrawingRows) {
        self.rows.extend(measured.rows);
        self.pieces.extend(measured.pieces);
    }

    /// Adds the sections that have no drawing, which is told, and puts all into their order. Whether there are such.
    fn tell(&mut self, options: &Options) -> bool {
        let without = self.job.without_drawing();
        for section in &without {
            tell(&Message::not_measured(section, options).words(advice::of));
        }
        self.rows.extend(Row::all(&without, self.style));
        self.rows.sort_by_key(|row| self.job.place(row.section()));
        let section = PIECE_COLUMNS.iter().position(|column| column.key == "section").unwrap_or_default();
        let name = |cells: &Vec<String>| cells.get(section).map_or(usize::MAX, |name| self.job.place(name));
        self.pieces.sort_by_key(name);
        !without.is_empty()
    }
}
