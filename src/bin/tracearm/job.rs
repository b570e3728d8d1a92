//! The sections of a job file.

use std::path::{Path, PathBuf};

use tracearm::drawing::{Drawing, ReadOptions};
use tracearm::finding::Finding;
use tracearm::measure::{self, Job, Measurement, Options};

/// Reads a job file.
pub fn read(path: &Path) -> Result<Job, String> {
    let text = std::fs::read_to_string(path)
        .map_err(|error| format!("cannot read the job {}: {error}", path.display()))?;
    Job::read(&text).map_err(|error| format!("{}: {error}", path.display()))
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
            let beside = |drawing: &PathBuf| path.parent().unwrap_or(Path::new("")).join(drawing);
            let named = section.drawing.as_ref().or(job.drawing.as_ref()).map(beside);
            let failed = |name: &str, finding: Finding| Measurement {
                section: section.name.clone(),
                ..Measurement::failed(name, finding)
            };
            let file = match (given, named) {
                ([one], _) => one.clone(),
                ([], Some(named)) => named,
                ([], None) => {
                    let finding = Finding::failure("the job names no drawing for this section")
                        .hint("write drawing = \"….dxf\" into it, or name a drawing on the command line");
                    return failed(&path.display().to_string(), finding);
                }
                _ => {
                    let finding =
                        Finding::failure("a job takes one drawing from the command line, not several")
                            .hint("let each section name its own with drawing = \"….dxf\"");
                    return failed(&path.display().to_string(), finding);
                }
            };
            let name = file.display().to_string();
            let current = match open.take() {
                Some(current) if current.0 == file => current,
                _ => {
                    let read = Drawing::open_with(&file, reading)
                        .map_err(|error| Finding::failure(error.to_string()).hint(error.hint()));
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
