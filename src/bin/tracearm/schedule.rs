//! `tracearm schedule`: many drawings, one schedule.

use std::io;

use tracearm::measure::Measurement;
use tracearm::schedule::{self, Format, Style, write_pieces};

use super::Outcome;
use super::args::ScheduleArguments;
use super::measuring::{Measuring, Run};
use super::output::{PendingFile, tell, to_stdout};
use super::{form, job, sources, terminal};

/// Runs the command.
pub fn run(arguments: &ScheduleArguments) -> Outcome {
    schedule(arguments).unwrap_or_else(|message| {
        tell(&format!("tracearm: {message}"));
        Outcome::Nothing
    })
}

/// The error is why no schedule was written.
fn schedule(arguments: &ScheduleArguments) -> Result<Outcome, String> {
    if let Some(output) = arguments.output.as_deref().filter(|path| sources::is_dxf(path)) {
        // `-o` without a name takes the first drawing for one.
        return Err(format!(
            "{} is the name of a drawing, which the schedule would replace: name a .csv file after -o",
            output.display()
        ));
    }
    let format = form::chosen(arguments.format, arguments.output.as_deref(), terminal::width_of_output())?;
    if let Some(pieces) = arguments.pieces.as_deref().filter(|path| form::is_other_than_csv(path)) {
        return Err(format!(
            "the pieces are written as CSV, which the ending of {} does not say: name a .csv file after --pieces",
            pieces.display()
        ));
    }
    if arguments.pieces.is_some() && arguments.pieces == arguments.output {
        return Err("the schedule and the pieces can't be one file: name another after --pieces".to_owned());
    }
    let job = arguments.job.as_deref().map(job::read).transpose()?;
    let measuring = Measuring::of(&arguments.measuring, job.as_ref())?;
    let style = measuring.style;
    let run = Run::of(&measuring, &arguments.drawings, job.as_ref().zip(arguments.job.as_deref()));
    if run.rows.iter().all(|row| row.section.is_empty()) {
        return Err("nothing was measured, so no schedule was written".to_owned());
    }
    if let Some(path) = &arguments.pieces {
        let written = PendingFile::create(path).and_then(|mut file| {
            write_pieces(&run.rows, style, &mut file)?;
            file.keep()
        });
        written.map_err(|error| format!("cannot write the pieces to {}: {error}", path.display()))?;
    }
    write(&run.rows, style, format, arguments).map_err(|error| {
        let place =
            arguments.output.as_ref().map_or("standard output".to_owned(), |p| p.display().to_string());
        format!("cannot write the schedule to {place}: {error}")
    })?;
    Ok(if run.failed { Outcome::Partly } else { Outcome::Done })
}

fn write(
    rows: &[Measurement],
    style: Style,
    format: Format,
    arguments: &ScheduleArguments,
) -> io::Result<()> {
    match &arguments.output {
        None => {
            let mut text = Vec::new();
            schedule::write(rows, style, format, &mut text)?;
            to_stdout(&text)
        }
        Some(path) => {
            let mut file = PendingFile::create(path)?;
            schedule::write(rows, style, format, &mut file)?;
            file.keep()
        }
    }
}
