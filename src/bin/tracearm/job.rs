//! The sections of a job file.

use std::path::{Path, PathBuf};

use tracearm::drawing::{Drawing, ReadOptions};
use tracearm::finding::{Code, Finding};
use tracearm::measure::{self, Job, JobSection, Measurement, Options};

/// Reads a job file.
pub fn read(path: &Path) -> Result<Job, String> {
    let text = std::fs::read_to_string(path)
        .map_err(|error| format!("cannot read the job {}: {error}", path.display()))?;
    Job::read(&text).map_err(|error| format!("{}: {error}", path.display()))
}

/// The drawing of a section, which stands beside the job.
pub fn drawing_of_section(job: &Job, section: &JobSection, path: &Path) -> Option<PathBuf> {
    let named = section.drawing.as_ref().or(job.drawing.as_ref());
    named.map(|drawing| path.parent().unwrap_or(Path::new("")).join(drawing))
}

/// The drawing of a job whose sections are taken together: its own, else that of its first section.
pub fn drawing_of(job: &Job, path: &Path) -> Result<PathBuf, String> {
    let first = job.sections.first().and_then(|section| drawing_of_section(job, section, path));
    let own = job.drawing.as_ref().map(|drawing| path.parent().unwrap_or(Path::new("")).join(drawing));
    own.or(first).ok_or_else(|| {
        let shown = path.display();
        format!("{shown} names no drawing: write drawing = \"….dxf\" into it, or name a drawing on the command line")
    })
}

/// Measures the sections of a job in their order. A single drawing in `given` takes the place of the job's own.
pub fn measure(
    job: &Job,
    path: &Path,
    given: &[PathBuf],
    options: &Options,
    reading: &ReadOptions,
) -> Vec<Measurement> {
    let mut open: Option<(PathBuf, Result<Drawing, Finding>)> = None;
    job.sections
        .iter()
        .map(|section| {
            let named = drawing_of_section(job, section, path);
            let failed = |name: &str, finding: Finding| {
                let mut row = Measurement::failed(name, finding);
                row.section = section.name.clone();
                row
            };
            let file = match (given, named) {
                ([one], _) => one.clone(),
                ([], Some(named)) => named,
                ([], None) => {
                    return failed(&path.display().to_string(), Finding::of(Code::JobWithoutDrawing));
                }
                _ => {
                    return failed(&path.display().to_string(), Finding::of(Code::JobOfOneDrawing));
                }
            };
            let name = file.display().to_string();
            let current = match open.take() {
                Some(current) if current.0 == file => current,
                _ => {
                    let read = Drawing::open_with(&file, reading).map_err(|error| error.finding().clone());
                    (file, read)
                }
            };
            let row = match &current.1 {
                Ok(drawing) => measure::section(&name, drawing, job, section, options),
                Err(finding) => failed(&name, finding.clone()),
            };
            open = Some(current);
            row
        })
        .collect()
}
