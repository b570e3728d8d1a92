//! One drawing file, read and measured, with what there is to tell of it.

use std::borrow::Cow;
use std::io::Read;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;

use super::LayerByLayer;
use super::digest::Digesting;
use super::report::NO_DRAWING;
use super::{Failure, JobSections, SourceError};
use crate::drawing::{Drawing, ReadError, ReadErrorKind, ReadOptions};
use crate::finding::{Code, Finding, Severity, Value};
use crate::measure::{self, MeasuredDrawing, Measurement, Message, Options, Status};
use crate::paths;

/// What came of a drawing file.
#[derive(Debug)]
#[must_use]
#[non_exhaustive]
pub struct DrawingFile<T> {
    /// What is kept of the sections that were measured; of a drawing that could not be read, of one that says why.
    pub sections: Vec<T>,
    /// What failed and what gave no row.
    pub messages: Vec<Message>,
    /// The kinds of failures.
    pub failures: Vec<Failure>,
    /// Names of the layers; `None` where the drawing could not be read.
    pub layers: Option<Vec<String>>,
    /// SHA-256 of all bytes in hexadecimal digits, where it was asked for and they could be read.
    pub sha256: Option<String>,
}

impl<T> DrawingFile<T> {
    /// Reads and measures a drawing; what `keep` gives of a section is kept, and all else of it is let go at once. A fault of
    /// the program costs this drawing alone.
    pub fn measured(
        path: &Path,
        options: &Options,
        reading: &ReadOptions,
        digest: bool,
        keep: impl Fn(Measurement) -> T,
    ) -> DrawingFile<T> {
        let name = paths::text(path).into_owned();
        let failed = |failure, finding| DrawingFile::failed(&name, failure, finding, &keep);
        DrawingFile::read_and(path, reading, digest, failed, |drawing| {
            DrawingFile::of_drawing(&name, drawing, options, &keep)
        })
    }

    /// Reads a drawing and measures what a job takes from it. A section that can't be measured says why, and so does each
    /// where the drawing can't be read.
    pub fn of_job(
        path: &Path,
        job: &JobSections,
        options: &Options,
        reading: &ReadOptions,
        digest: bool,
        keep: impl Fn(Measurement) -> T,
    ) -> DrawingFile<T> {
        let name = paths::text(path).into_owned();
        let failed =
            |failure, finding| DrawingFile::each_failed(path, job, failure, &finding, options, &keep);
        DrawingFile::read_and(path, reading, digest, failed, |drawing| {
            let sections = job.of_drawing(path);
            let sections =
                sections.map(|section| measure::section(&name, &drawing, job.job(), section, options));
            let layers = drawing.layers.iter().map(|layer| layer.name.clone()).collect();
            DrawingFile::composed(sections, Some(layers), Failure::Section, options, &keep)
        })
    }

    /// The sections of a job, those that failed with a message; `failure` is of which kind that is.
    fn composed(
        sections: impl Iterator<Item = Measurement>,
        layers: Option<Vec<String>>,
        failure: Failure,
        options: &Options,
        keep: impl Fn(Measurement) -> T,
    ) -> DrawingFile<T> {
        let mut messages = Vec::new();
        let sections: Vec<T> = sections
            .map(|section| {
                if section.status() == Status::Failed {
                    messages.push(Message::not_measured(&section, options));
                }
                keep(section)
            })
            .collect();
        let failures = messages.first().map(|_| failure).into_iter().chain(over_memory(&messages)).collect();
        DrawingFile { sections, messages, failures, layers, sha256: None }
    }

    /// Each section that a job takes from a drawing, failed for one reason.
    fn each_failed(
        path: &Path,
        job: &JobSections,
        failure: Failure,
        finding: &Finding,
        options: &Options,
        keep: impl Fn(Measurement) -> T,
    ) -> DrawingFile<T> {
        let name = paths::text(path).into_owned();
        let sections = job.of_drawing(path).map(|section| {
            let mut failed = Measurement::failed(&name, finding.clone());
            failed.section.clone_from(&section.name);
            failed
        });
        DrawingFile::composed(sections, None, failure, options, keep)
    }

    /// Reads a drawing, and takes what `measure` makes of it; `failed` is what comes of it where that can't be.
    fn read_and(
        path: &Path,
        reading: &ReadOptions,
        digest: bool,
        failed: impl Fn(Failure, Finding) -> DrawingFile<T>,
        measure: impl FnOnce(Drawing) -> DrawingFile<T>,
    ) -> DrawingFile<T> {
        let work = || {
            let mut sha256 = None;
            let read = if digest {
                open_with_digest(path, reading, &mut sha256)
            } else {
                Drawing::open_with(path, reading)
            };
            let file = match read {
                Ok(drawing) => measure(drawing),
                Err(error) => failed(refusal(&error), error.finding().clone()),
            };
            DrawingFile { sha256, ..file }
        };
        DrawingFile::guarded(work, &failed)
    }

    /// What the work gives; where the program fails in it, a drawing that failed.
    fn guarded(
        work: impl FnOnce() -> DrawingFile<T>,
        failed: impl Fn(Failure, Finding) -> DrawingFile<T>,
    ) -> DrawingFile<T> {
        // Nothing that a measurement changes outlives it.
        catch_unwind(AssertUnwindSafe(work)).unwrap_or_else(|panic| {
            let what = panic.downcast_ref::<String>().map(String::as_str);
            let what = what.or(panic.downcast_ref::<&str>().copied()).unwrap_or("no message");
            let finding = Finding::of(Code::ProgramFailed).with("what", what);
            failed(Failure::Program, finding)
        })
    }

    /// A drawing whose measuring took longer than it may, with the sections that a job takes from it, if there is one.
    pub fn over_time(
        path: &Path,
        limit: std::time::Duration,
        job: Option<&JobSections>,
        options: &Options,
        keep: impl Fn(Measurement) -> T,
    ) -> DrawingFile<T> {
        let finding = Finding::of(Code::OverTime).with("seconds", Value::Number(limit.as_secs_f64()));
        DrawingFile::not_measured(path, Failure::OverTime, finding, job, options, keep)
    }

    /// A drawing whose measuring ended the process that it was done in, in this way.
    pub fn died(
        path: &Path,
        how: &str,
        job: Option<&JobSections>,
        options: &Options,
        keep: impl Fn(Measurement) -> T,
    ) -> DrawingFile<T> {
        let finding = Finding::of(Code::ProgramDied).with("how", how);
        DrawingFile::not_measured(path, Failure::Program, finding, job, options, keep)
    }

    fn not_measured(
        path: &Path,
        failure: Failure,
        finding: Finding,
        job: Option<&JobSections>,
        options: &Options,
        keep: impl Fn(Measurement) -> T,
    ) -> DrawingFile<T> {
        match job {
            Some(job) => DrawingFile::each_failed(path, job, failure, &finding, options, keep),
            None => DrawingFile::failed(&paths::text(path), failure, finding, keep),
        }
    }

    /// Where no drawing is to be measured, for this reason.
    pub fn without_drawing(why: &SourceError) -> DrawingFile<T> {
        match why {
            SourceError::Repeated { path, first } => {
                let finding = Finding::of(Code::DrawingRepeated).with("first", &*paths::text(&first));
                let message = Message::of(&paths::text(&path), finding);
                DrawingFile { failures: Vec::new(), ..DrawingFile::without(message) }
            }
            other => DrawingFile::missing(other.to_string()),
        }
    }

    fn missing(what: String) -> DrawingFile<T> {
        DrawingFile::without(Message::of(NO_DRAWING, Finding::of(Code::SourceMissing).with("what", what)))
    }

    fn without(message: Message) -> DrawingFile<T> {
        DrawingFile {
            sections: Vec::new(),
            messages: vec![message],
            failures: vec![Failure::NotRead],
            layers: None,
            sha256: None,
        }
    }

    fn failed(
        name: &str,
        failure: Failure,
        finding: Finding,
        keep: impl Fn(Measurement) -> T,
    ) -> DrawingFile<T> {
        let message = Message::of(name, finding.clone());
        DrawingFile {
            sections: vec![keep(Measurement::failed(name, finding))],
            failures: vec![failure],
            ..DrawingFile::without(message)
        }
    }

    /// Measures a drawing that was read. `name` is its path as it was given. A fault of the program is the caller's.
    pub fn of_drawing(
        name: &str,
        drawing: Drawing,
        options: &Options,
        keep: impl Fn(Measurement) -> T,
    ) -> DrawingFile<T> {
        let mut layers = LayerByLayer::begin(name, drawing, Cow::Borrowed(options));
        while layers.go_on(&keep) {}
        layers.finish(&keep)
    }

    /// Names what gave no row; where there is none at all, for this reason.
    pub(super) fn tell_layers(
        &mut self,
        name: &str,
        drawing: &Drawing,
        measured: &MeasuredDrawing,
        reason: Code,
    ) {
        let is_routine = measured.without_outline.iter().all(|layer| layer.open == 0);
        let without_outline = layers_without_outline(measured).map(|finding| Message::of(name, finding));
        self.messages.extend(without_outline.map(|message| Message { is_routine, ..message }));
        for unclosed in &measured.without_outline {
            for finding in &unclosed.findings {
                if finding.severity >= Severity::Warning {
                    self.failures.push(Failure::Layer);
                }
                self.messages.push(Message::of(name, finding.clone()).about(&unclosed.name, true));
            }
        }
        self.messages.extend(layers_hidden(measured).map(|finding| Message::of(name, finding)));
        if self.sections.is_empty() {
            self.failures.push(Failure::NoSection);
            self.messages.push(Message::of(name, Finding::of(reason)));
            // What concerns one layer is reported above.
            for finding in
                drawing.findings.iter().filter(|f| f.place.layer.is_none() && f.severity >= Severity::Warning)
            {
                self.messages.push(Message::of(name, finding.clone()));
            }
        }
    }
}

/// The row of a drawing in which nothing can be measured, with the reasons.
pub(super) fn without_sections(
    name: &str,
    drawing: &Drawing,
    options: &Options,
    measured: &MeasuredDrawing,
    reason: Code,
) -> Measurement {
    let unit = measure::drawing_unit(drawing, options.drawing_unit);
    let mut row = Measurement::failed(name, Finding::of(reason));
    (row.unit, row.unit_source) = (unit.unit, Some(unit.source));
    row.findings.extend(layers_without_outline(measured));
    row.findings.extend(layers_hidden(measured));
    row.findings.extend(measured.without_outline.iter().flat_map(|layer| layer.findings.iter().cloned()));
    let general = |f: &&Finding| f.place.layer.is_none() && f.severity >= Severity::Warning;
    row.findings.extend(drawing.findings.iter().filter(general).cloned());
    row.findings = row.findings.into_iter().map(|finding| finding.in_unit(unit.unit)).collect();
    row
}

/// Why a drawing has no section.
pub(super) fn reason(draws_nothing: bool, measured: &MeasuredDrawing) -> Code {
    if draws_nothing {
        Code::NothingDrawn
    } else if !measured.without_outline.is_empty() {
        Code::NoSection
    } else {
        Code::NothingChosen
    }
}

fn layers_without_outline(measured: &MeasuredDrawing) -> Option<Finding> {
    let with_chains = measured.without_outline.iter().map(|unclosed| match unclosed.open {
        0 => unclosed.name.clone(),
        1 => format!("{} (1 open chain)", unclosed.name),
        open => format!("{} ({open} open chains)", unclosed.name),
    });
    let layers: Vec<String> = with_chains.collect();
    (!layers.is_empty()).then(|| Finding::of(Code::LayersWithoutOutline).with("layers", layers.join(", ")))
}

fn layers_hidden(measured: &MeasuredDrawing) -> Option<Finding> {
    let layers = &measured.hidden;
    (!layers.is_empty()).then(|| Finding::of(Code::LayersHidden).with("layers", layers.join(", ")))
}

/// The patterns of the options that match none of these layers.
pub fn unmatched(layers: &[String], options: &Options) -> Vec<String> {
    let names = layers.iter().map(String::as_str);
    let chosen = options.layers.unmatched(names.clone());
    let void = options.void_layers.unmatched(names.clone());
    let label = options.label_layers.unmatched(names);
    chosen.into_iter().chain(void).chain(label).map(str::to_owned).collect()
}

/// Whether memory is among what failed.
pub(super) fn over_memory(messages: &[Message]) -> Option<Failure> {
    let mut findings = messages.iter().flat_map(|message| &message.findings);
    findings.any(|finding| finding.code == Code::MemoryToMeasure).then_some(Failure::Memory)
}

/// Of which kind it is that a drawing can't be read.
fn refusal(error: &ReadError) -> Failure {
    match error.kind() {
        _ if error.finding().code == Code::MemoryToRead => Failure::Memory,
        ReadErrorKind::Io => Failure::NotRead,
        _ => Failure::Refused,
    }
}

/// Reads a drawing and takes the digest of its bytes on the way.
fn open_with_digest(
    path: &Path,
    reading: &ReadOptions,
    sha256: &mut Option<String>,
) -> Result<Drawing, ReadError> {
    let file = match Drawing::file(path) {
        Ok(file) if file.metadata().is_ok_and(|data| data.len() <= reading.limits.file_size) => file,
        // It is refused, with the reason.
        _ => return Drawing::open_with(path, reading),
    };
    let mut source = Digesting::new(file);
    let read = Drawing::read_with(&mut source as &mut dyn Read, reading);
    *sha256 = source.finish().ok();
    read
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fault_of_the_program_costs_one_drawing() {
        let texts = || -> Vec<String> { Vec::new() };
        type Work = Box<dyn FnOnce() -> DrawingFile<Measurement>>;
        let faults: [(&str, Work); 3] = [
            ("no such ring", Box::new(|| panic!("no such ring"))),
            ("out of bounds", Box::new(move || DrawingFile::missing(texts()[7].clone()))),
            ("no message", Box::new(|| std::panic::panic_any(7))),
        ];
        for (what, work) in faults {
            let failed = |failure, finding| DrawingFile::failed("shop/lug.dxf", failure, finding, |row| row);
            let file = DrawingFile::guarded(work, failed);
            assert_eq!(file.failures, [Failure::Program]);
            let [row] = file.sections.as_slice() else { panic!("{:?}", file.sections) };
            assert_eq!((row.drawing.as_str(), row.status()), ("shop/lug.dxf", Status::Failed));
            assert!(row.properties().is_none() && file.layers.is_none() && file.sha256.is_none());
            let [message] = file.messages.as_slice() else { panic!("{:?}", file.messages) };
            let messages = message.words(Code::advice);
            for text in [&messages, &row.findings[0].to_string()] {
                assert!(text.contains(what) && text.contains("please report it"), "{text}");
            }
            assert!(messages.starts_with("shop/lug.dxf: the program failed: "), "{messages}");
        }
        let fine: DrawingFile<Measurement> = DrawingFile::guarded(
            || DrawingFile::missing("b.dxf: gone".to_owned()),
            |failure, finding| DrawingFile::failed("a.dxf", failure, finding, |row| row),
        );
        assert_eq!(fine.messages[0].words(Code::advice), "tracearm: b.dxf: gone");
        assert_eq!(fine.failures, [Failure::NotRead]);
    }
}
