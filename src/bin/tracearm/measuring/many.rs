//! Sections held in memory: those of a few drawings, or of a job.

use std::path::PathBuf;

use tracearm::library::{self, DrawingFile, Sources, Unmatched};
use tracearm::measure::{Measurement, Message, Status};

use super::{Measuring, unmatched_messages};
use crate::advice;
use crate::job::JobFile;
use crate::output::tell;

/// The measuring of drawings one after the other, which tells what fails.
pub struct Run {
    /// What was measured, and what was not with the reason.
    pub rows: Vec<Measurement>,
    /// Something failed, which was reported.
    pub failed: bool,
}

impl Run {
    /// Measures drawings, and those in folders; or what a job asks for. `kept` is what is kept of each section.
    pub fn of(
        measuring: &Measuring,
        drawings: &[PathBuf],
        job: Option<&JobFile>,
        kept: fn(Measurement) -> Measurement,
    ) -> Run {
        let mut run = Run { rows: Vec::new(), failed: false };
        if let Some(job) = job {
            run.rows = job.sections.without_drawing();
            for path in job.sections.drawings() {
                let (options, reading) = (&measuring.options, &measuring.reading);
                let file = DrawingFile::of_job(path, &job.sections, options, reading, false, kept);
                run.rows.extend(file.sections);
            }
            run.rows.sort_by_key(|row| job.sections.place(&row.section));
            for row in run.rows.iter().filter(|row| row.status() == Status::Failed) {
                run.failed = true;
                tell(&Message::not_measured(row, &measuring.options).words(advice::of));
            }
            return run;
        }
        let mut unmatched = Unmatched::new();
        for source in Sources::of(drawings.to_vec()) {
            let file = match source {
                Ok(path) => DrawingFile::measured(&path, &measuring.options, &measuring.reading, false, kept),
                Err(error) => DrawingFile::without_drawing(&error),
            };
            file.messages.iter().for_each(|message| tell(&message.words(advice::of)));
            run.failed |= !file.failures.is_empty();
            if let Some(layers) = &file.layers {
                let of_this = library::unmatched(layers, &measuring.options);
                unmatched.take(&of_this, layers.iter().map(String::as_str));
            }
            run.rows.extend(file.sections);
        }
        unmatched_messages(&unmatched).for_each(|message| tell(&message));
        let findings = unmatched.findings();
        run.failed |= !findings.is_empty();
        run.rows.iter_mut().for_each(|row| row.findings.extend(findings.iter().cloned()));
        run
    }
}
