//! `tracearm schedule`: many drawings, one schedule.

use std::io;

use tracearm::drawing::{Drawing, LengthUnit, ReadOptions};
use tracearm::finding::{Finding, Severity};
use tracearm::measure::{self, Measurement, Options, Outcome as Measured, Patterns, Per, Status};
use tracearm::schedule::{self, Format, Style, write_pieces};

use super::Outcome;
use super::args::ScheduleArguments;
use super::output::{PendingFile, tell, to_stdout};
use super::reading::{layer_choice, no_such_layer, read_options};
use super::{form, job, sources, terminal};

/// Runs the command.
pub fn run(arguments: &ScheduleArguments) -> Outcome {
    let layers = match layer_choice(&arguments.reading) {
        Ok(layers) => layers,
        Err(message) => {
            tell(&format!("tracearm: {message}"));
            return Outcome::Nothing;
        }
    };
    let void_layers = match Patterns::new(&arguments.void_layers) {
        Ok(patterns) => patterns,
        Err(error) => {
            tell(&format!("tracearm: {error}"));
            return Outcome::Nothing;
        }
    };
    if let Some(output) = arguments.output.as_deref().filter(|path| sources::is_dxf(path)) {
        // `-o` without a name takes the first drawing for one.
        tell(&format!(
            "tracearm: {} is the name of a drawing, which the schedule would replace: name a .csv file after -o",
            output.display()
        ));
        return Outcome::Nothing;
    }
    let format =
        match form::chosen(arguments.format, arguments.output.as_deref(), terminal::width_of_output()) {
            Ok(format) => format,
            Err(message) => {
                tell(&format!("tracearm: {message}"));
                return Outcome::Nothing;
            }
        };
    if let Some(pieces) = arguments.pieces.as_deref().filter(|path| form::is_other_than_csv(path)) {
        tell(&format!(
            "tracearm: the pieces are written as CSV, which the ending of {} does not say: name a .csv file after --pieces",
            pieces.display()
        ));
        return Outcome::Nothing;
    }
    if arguments.pieces.is_some() && arguments.pieces == arguments.output {
        tell("tracearm: the schedule and the pieces can't be one file: name another after --pieces");
        return Outcome::Nothing;
    }
    let job = match arguments.job.as_deref().map(job::read).transpose() {
        Ok(job) => job,
        Err(message) => {
            tell(&format!("tracearm: {message}"));
            return Outcome::Nothing;
        }
    };
    // What the command line says goes before what the job says.
    let unit = arguments.units.or(job.as_ref().and_then(|j| j.units)).unwrap_or(LengthUnit::Millimetre);
    let join = arguments.reading.join.or(job.as_ref().and_then(|j| j.join));
    let options = Options {
        per: arguments.per.into(),
        layers,
        void_layers,
        hatches: arguments.reading.hatches.into(),
        drawing_unit: arguments.reading.drawing_units,
        join_mm: join.map_or(measure::DEFAULT_JOIN_MM, |l| l.millimetres(unit)),
        density: arguments.density,
        thickness_mm: arguments.thickness.map(|l| l.millimetres(unit)),
    };
    let mut run = Run {
        options: &options,
        reading: read_options(&arguments.reading),
        rows: Vec::new(),
        layer_names: Vec::new(),
        read: 0,
        failed: false,
    };
    match (&job, arguments.job.as_deref()) {
        (Some(job), Some(path)) => {
            for row in job::measure(job, path, &arguments.drawings, &options, &run.reading) {
                run.add(row);
            }
        }
        _ => {
            for source in sources::drawings(&arguments.drawings) {
                run.take(source);
            }
            run.tell_unmatched();
        }
    }
    if run.rows.iter().all(|row| row.section.is_empty()) {
        tell("tracearm: nothing was measured, so no schedule was written");
        return Outcome::Nothing;
    }
    let style = Style {
        unit,
        digits: arguments.digits,
        labels: options.per == Per::Part,
        plates: arguments.thickness.is_some(),
        stated: job.is_some_and(|j| j.sections.iter().any(|s| s.about.is_some() || s.turned.is_some())),
    };
    if let Some(path) = &arguments.pieces {
        let written = PendingFile::create(path).and_then(|mut file| {
            write_pieces(&run.rows, style, &mut file)?;
            file.keep()
        });
        if let Err(error) = written {
            tell(&format!("tracearm: cannot write the pieces to {}: {error}", path.display()));
            return Outcome::Nothing;
        }
    }
    if let Err(error) = write(&run.rows, style, format, arguments) {
        let place =
            arguments.output.as_ref().map_or("standard output".to_owned(), |p| p.display().to_string());
        tell(&format!("tracearm: cannot write the schedule to {place}: {error}"));
        return Outcome::Nothing;
    }
    if run.failed { Outcome::Partly } else { Outcome::Done }
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

/// The measuring of many drawings, which tells what fails.
pub(super) struct Run<'a> {
    pub(super) options: &'a Options,
    pub(super) reading: ReadOptions,
    pub(super) rows: Vec<Measurement>,
    pub(super) layer_names: Vec<String>,
    pub(super) read: usize,
    pub(super) failed: bool,
}

impl Run<'_> {
    /// Measures a drawing.
    pub(super) fn take(&mut self, source: sources::Source) {
        let path = match source {
            Ok(path) => path,
            Err(message) => {
                tell(&format!("tracearm: {message}"));
                self.failed = true;
                return;
            }
        };
        let name = path.display().to_string();
        let drawing = match Drawing::open_with(&path, &self.reading) {
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
        let measured = measure::drawing(&name, &drawing, self.options);
        self.tell_layers(&name, &drawing, &measured);
        for row in measured.measurements {
            self.add(row);
        }
    }

    /// Adds a row, and names it where it failed.
    pub(super) fn add(&mut self, row: Measurement) {
        if row.status() == Status::Failed {
            self.failed = true;
            let why: Vec<String> = row.findings.iter().map(ToString::to_string).collect();
            let what =
                if self.options.per == Per::Layer && row.section == row.layer { "layer" } else { "section" };
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
    pub(super) fn tell_unmatched(&mut self) {
        if self.read == 0 {
            return;
        }
        let names = self.layer_names.iter().map(String::as_str);
        let mut unmatched = self.options.layers.unmatched(names.clone());
        unmatched.extend(self.options.void_layers.unmatched(names));
        if unmatched.is_empty() {
            return;
        }
        for pattern in unmatched {
            tell(&no_such_layer(pattern, self.layer_names.iter().map(String::as_str)));
        }
    }
}
