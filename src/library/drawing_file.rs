//! One drawing file, read and measured, with what there is to tell of it.

use std::fs::File;
use std::io::Read;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;

use super::Failure;
use super::digest::Digesting;
use crate::drawing::{Drawing, ReadError, ReadErrorKind, ReadOptions};
use crate::finding::{Finding, Severity};
use crate::measure::{self, Measurement, Options, Outcome, Per, Status};

/// What came of a drawing file.
#[derive(Debug)]
pub struct DrawingFile<T> {
    /// What is kept of the sections that were measured; of a drawing that could not be read, of one that says why.
    pub sections: Vec<T>,
    /// What failed and what gave no row, in words, each with the name of the drawing.
    pub told: Vec<String>,
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
        let name = path.display().to_string();
        let work = || {
            let mut sha256 = None;
            let read = if digest {
                open_with_digest(path, reading, &mut sha256)
            } else {
                Drawing::open_with(path, reading)
            };
            let file = match read {
                Ok(drawing) => DrawingFile::of(&name, &drawing, options, &keep),
                Err(error) => DrawingFile::refused(&name, &error, &keep),
            };
            DrawingFile { sha256, ..file }
        };
        DrawingFile::guarded(&name, work, &keep)
    }

    /// What the work gives; where the program fails in it, a drawing that failed.
    fn guarded(
        name: &str,
        work: impl FnOnce() -> DrawingFile<T>,
        keep: impl Fn(Measurement) -> T,
    ) -> DrawingFile<T> {
        // Nothing that a measurement changes outlives it.
        catch_unwind(AssertUnwindSafe(work)).unwrap_or_else(|panic| {
            let what = panic.downcast_ref::<String>().map(String::as_str);
            let what = what.or(panic.downcast_ref::<&str>().copied()).unwrap_or("no message");
            let finding = Finding::failure(format!("the program failed: {what}"))
                .hint("this is a fault of tracearm: please report it with the drawing");
            DrawingFile::failed(name, Failure::Program, finding, keep)
        })
    }

    /// A drawing whose measuring took longer than it may.
    pub fn over_time(
        path: &Path,
        limit: std::time::Duration,
        keep: impl Fn(Measurement) -> T,
    ) -> DrawingFile<T> {
        let finding = Finding::failure(format!("measuring took longer than {} s", limit.as_secs_f64()))
            .hint("measure it by itself, or with a longer --time-limit");
        DrawingFile::failed(&path.display().to_string(), Failure::OverTime, finding, keep)
    }

    /// Where no drawing is, in words.
    pub fn missing(told: String) -> DrawingFile<T> {
        DrawingFile {
            sections: Vec::new(),
            told: vec![told],
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
        let told = if finding.hint.is_empty() {
            format!("{name}: {}", finding.message)
        } else {
            format!("{name}: {}: {}", finding.message, finding.hint)
        };
        DrawingFile {
            sections: vec![keep(Measurement::failed(name, finding))],
            failures: vec![failure],
            ..DrawingFile::missing(told)
        }
    }

    fn refused(name: &str, error: &ReadError, keep: impl Fn(Measurement) -> T) -> DrawingFile<T> {
        let failure = if error.kind() == ReadErrorKind::Io { Failure::NotRead } else { Failure::Refused };
        DrawingFile::failed(name, failure, Finding::failure(error.to_string()).hint(error.hint()), keep)
    }

    /// Measures a drawing that was read. `name` is its path as it was given.
    fn of(
        name: &str,
        drawing: &Drawing,
        options: &Options,
        keep: impl Fn(Measurement) -> T,
    ) -> DrawingFile<T> {
        let (mut sections, mut failed) = (Vec::new(), Vec::new());
        let outcome = measure::each_section(name, drawing, options, &mut |section| {
            if section.status() == Status::Failed {
                failed.push(not_measured(&section, options));
            }
            sections.push(keep(section));
        });
        let mut file = DrawingFile {
            layers: Some(drawing.layers.iter().map(|layer| layer.name.clone()).collect()),
            sections,
            told: Vec::new(),
            failures: failed.first().map(|_| Failure::Section).into_iter().collect(),
            sha256: None,
        };
        file.tell_layers(name, drawing, &outcome);
        file.told.append(&mut failed);
        file.failures.sort_unstable();
        file.failures.dedup();
        file
    }

    /// Names what gave no row.
    fn tell_layers(&mut self, name: &str, drawing: &Drawing, measured: &Outcome) {
        let bare: Vec<String> = measured
            .without_outline
            .iter()
            .map(|bare| match bare.open {
                0 => bare.name.clone(),
                1 => format!("{} (1 open chain)", bare.name),
                open => format!("{} ({open} open chains)", bare.name),
            })
            .collect();
        if !bare.is_empty() {
            self.told.push(format!("{name}: no closed outline on layer {}", bare.join(", ")));
        }
        for bare in &measured.without_outline {
            for finding in &bare.findings {
                if finding.severity >= Severity::Warning {
                    self.failures.push(Failure::Layer);
                }
                self.told.push(format!("{name}: layer {}: {finding}", bare.name));
            }
        }
        if !measured.hidden.is_empty() {
            self.told.push(format!(
                "{name}: left out because off or frozen: layer {} (--hidden measures them too)",
                measured.hidden.join(", ")
            ));
        }
        if self.sections.is_empty() {
            self.failures.push(Failure::NoSection);
            let why = if drawing.entities.is_empty() {
                "the drawing holds nothing that draws an outline"
            } else if !measured.without_outline.is_empty() {
                "no section found; tracearm inspect shows what the drawing holds and where its ends are open"
            } else {
                "no section found: nothing that shows is on the layers chosen; see --layers, --skip and --hidden"
            };
            self.told.push(format!("{name}: {why}"));
            // There is no row to carry what was found in reading; what concerns one layer is told above.
            for finding in
                drawing.findings.iter().filter(|f| f.place.layer.is_none() && f.severity >= Severity::Warning)
            {
                self.told.push(format!("{name}: {finding}"));
            }
        }
    }
}

/// What to tell of a section that failed.
pub fn not_measured(row: &Measurement, options: &Options) -> String {
    let why: Vec<String> = row.findings.iter().map(ToString::to_string).collect();
    let what = if options.per == Per::Layer && row.section == row.layer { "layer" } else { "section" };
    format!("{}: {what} {}: not measured: {}", row.drawing, row.section, why.join(" | "))
}

/// The patterns of the options that match none of these layers.
pub fn unmatched(layers: &[String], options: &Options) -> Vec<String> {
    let names = layers.iter().map(String::as_str);
    let chosen = options.layers.unmatched(names.clone());
    let void = options.void_layers.unmatched(names);
    chosen.into_iter().chain(void).map(str::to_owned).collect()
}

/// Reads a drawing and takes the digest of its bytes on the way.
fn open_with_digest(
    path: &Path,
    reading: &ReadOptions,
    sha256: &mut Option<String>,
) -> Result<Drawing, ReadError> {
    let file = match File::open(path) {
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
        for (message, work) in faults {
            let file = DrawingFile::guarded("shop/lug.dxf", work, |row| row);
            assert_eq!(file.failures, [Failure::Program]);
            let [row] = file.sections.as_slice() else { panic!("{:?}", file.sections) };
            assert_eq!((row.drawing.as_str(), row.status()), ("shop/lug.dxf", Status::Failed));
            assert!(row.properties.is_none() && file.layers.is_none() && file.sha256.is_none());
            let [told] = file.told.as_slice() else { panic!("{:?}", file.told) };
            for text in [told, &row.findings[0].to_string()] {
                assert!(text.contains(message) && text.contains("please report it"), "{text}");
            }
            assert!(told.starts_with("shop/lug.dxf: the program failed: "), "{told}");
        }
        let fine =
            DrawingFile::guarded("a.dxf", || DrawingFile::missing("b.dxf: gone".to_owned()), |row| row);
        assert_eq!((fine.told, fine.failures), (vec!["b.dxf: gone".to_owned()], vec![Failure::NotRead]));
    }
}
