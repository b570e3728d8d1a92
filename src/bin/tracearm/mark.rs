//! `tracearm mark`: a drawing of what was measured, to lay over the original.

use std::io::Write;
use std::path::Path;

use tracearm::drawing::Drawing;
use tracearm::library::is_dxf;
use tracearm::mark;
use tracearm::paths;

use super::Completion;
use super::args::MarkArguments;
use super::files::{self, Output};
use super::job::JobFile;
use super::measuring::{Measuring, one_drawing};
use super::output::tell;
use super::pending_file::PendingFile;
use super::sheet::today;

/// Runs the command.
pub fn run(arguments: &MarkArguments) -> Completion {
    match marked(arguments) {
        Ok(outcome) => outcome,
        Err(message) => {
            tell(&format!("tracearm: {message}"));
            Completion::Nothing
        }
    }
}

/// A drawing of what was measured, which may be replaced by another.
fn is_ours(path: &Path) -> bool {
    Drawing::open(path).is_ok_and(|drawing| mark::is_marked(&drawing))
}

fn marked(arguments: &MarkArguments) -> Result<Completion, String> {
    let output = &arguments.output;
    if !is_dxf(output) {
        return Err(format!("{} must end in .dxf: a marked drawing is written as DXF", paths::text(&output)));
    }
    let job =
        arguments.job.as_deref().map(|path| JobFile::read(path, arguments.drawing.as_slice())).transpose()?;
    let to = Output::new("-o", "the marked drawing", "marked.dxf", output);
    for (what, input) in files::read(arguments.drawing.as_slice(), job.as_ref()) {
        to.clash(what, &input).map_or(Ok(()), Err)?;
    }
    if !arguments.overwrite && output.exists() && !is_ours(output) {
        return Err(format!(
            "{} already exists and was not written by tracearm mark: name another file, or replace it with --overwrite",
            paths::text(&output)
        ));
    }
    let measuring = Measuring::of(&arguments.measuring, job.as_ref().map(JobFile::job))?;
    let given = arguments.drawing.as_deref();
    let measured = one_drawing(given, job.as_ref(), arguments.section.as_deref(), &measuring)?;
    if !mark::has_marks(&measured.sections) {
        return Err(format!("{}: nothing was measured, so nothing was marked", measured.name));
    }
    let date = arguments.date.clone().unwrap_or_else(today);
    let write = || {
        let text = mark::dxf_dated(&measured.sections, measuring.style, &date)?;
        let mut file = PendingFile::create(output)?;
        file.write_all(&text)?;
        file.keep()
    };
    write().map_err(|error| format!("cannot write {}: {error}", paths::text(&output)))?;
    Ok(if measured.failed { Completion::Partly } else { Completion::Done })
}
