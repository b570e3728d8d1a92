//! Many drawings, or the sections of a job, measured one after the other.

use std::path::{Path, PathBuf};

use tracearm::drawing::Drawing;
use tracearm::finding::{Finding, Severity};
use tracearm::measure::{self, Job, Measurement, Outcome as Measured, Per, Status};

use super::Measuring;
use crate::output::tell;
use crate::reading::no_such_layer;
use crate::{job, sources};

/// The measuring of many drawings, which tells what fails.
pub struct Run<'a> {
    measuring: &'a Measuring,
    /// What was measured, and what was not with the reason.
    pub rows: Vec<Measurement>,
    layer_names: Vec<String>,
    read: usize,
    /// Something failed, which was told.
    pub failed: bool,
}

impl<'a> Run<'a> {
    /// Measures drawings, and those in folders; or what a job asks for, with the job's path.
    pub fn of(measuring: &'a Measuring, drawings: &[PathBuf], job: Option<(&Job, &Path)>) -> Run<'a> {
        let mut run = Run { measuring, rows: Vec::new(), layer_names: Vec::new(), read: 0, failed: false };
        match job {
            Some((job, path)) => {
                for row in job::measure(job, path, drawings, &measuring.options, &measuring.reading) {
                    run.add(row);
                }
            }
            None => {
                for source in sources::drawings(drawings) {
                    run.take(source);
                }
                run.tell_unmatched();
            }
        }
        run
    }

    /// Measures a drawing.
    fn take(&mut self, source: sources::Source) {
        let path = match source {
            Ok(path) => path,
            Err(message) => {
                tell(&format!("tracearm: {message}"));
                self.failed = true;
                return;
            }
        };
        let name = path.display().to_string();
        let drawing = match Drawing::open_with(&path, &self.measuring.reading) {
            Ok(drawing) => drawing,
            Err(error) => {
                tell(&format!("{name}: {error}: {}", error.hint()));
                self.failed = true;
                let finding = Finding::failure(error.to_string()).hint(error.hint());
                self.rows.push(Measurement::failed(&name, finding));
                return;
            }
        };
        self.read += 1;
        self.layer_names.extend(drawing.layers.iter().map(|l| l.name.clone()));
        let measured = measure::drawing(&name, &drawing, &self.measuring.options);
        self.tell_layers(&name, &drawing, &measured);
        for row in measured.measurements {
            self.add(row);
        }
    }

    /// Adds a row, and names it where it failed.
    fn add(&mut self, row: Measurement) {
        if row.status() == Status::Failed {
            self.failed = true;
            let why: Vec<String> = row.findings.iter().map(ToString::to_string).collect();
            let what = if self.measuring.options.per == Per::Layer && row.section == row.layer {
                "layer"
            } else {
                "section"
            };
            tell(&format!("{}: {what} {}: not measured: {}", row.drawing, row.section, why.join(" | ")));
        }
        self.rows.push(row);
    }

    /// Names what gave no row.
    fn tell_layers(&mut self, name: &str, drawing: &Drawing, measured: &Measured) {
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
            tell(&format!("{name}: no closed outline on layer {}", bare.join(", ")));
        }
        for bare in &measured.without_outline {
            for finding in &bare.findings {
                self.failed = true;
                tell(&format!("{name}: layer {}: {finding}", bare.name));
            }
        }
        if !measured.hidden.is_empty() {
            tell(&format!(
                "{name}: left out because off or frozen: layer {} (--hidden measures them too)",
                measured.hidden.join(", ")
            ));
        }
        if measured.measurements.is_empty() {
            self.failed = true;
            let why = if drawing.entities.is_empty() {
                "the drawing holds nothing that draws an outline"
            } else if !measured.without_outline.is_empty() {
                "no section found; tracearm inspect shows what the drawing holds and where its ends are open"
            } else {
                "no section found: nothing that shows is on the layers chosen; see --layers, --skip and --hidden"
            };
            tell(&format!("{name}: {why}"));
            // There is no row to carry what was found in reading; what concerns one layer is told above.
            for finding in
                drawing.findings.iter().filter(|f| f.place.layer.is_none() && f.severity >= Severity::Warning)
            {
                tell(&format!("{name}: {finding}"));
            }
        }
    }

    /// Names the patterns that match no layer of any drawing.
    fn tell_unmatched(&mut self) {
        if self.read == 0 {
            return;
        }
        let names = self.layer_names.iter().map(String::as_str);
        let mut unmatched = self.measuring.options.layers.unmatched(names.clone());
        unmatched.extend(self.measuring.options.void_layers.unmatched(names));
        if unmatched.is_empty() {
            return;
        }
        for pattern in unmatched {
            tell(&no_such_layer(pattern, self.layer_names.iter().map(String::as_str)));
        }
    }
}
