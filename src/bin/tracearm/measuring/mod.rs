//! What the commands that measure have in common.

mod many;

use std::fs::File;
use std::io::Read;
use std::path::Path;

use tracearm::drawing::{Drawing, LengthUnit, ReadOptions};
use tracearm::measure::{self, Job, Measurement, Options, Patterns, Per};
use tracearm::schedule::Style;

use crate::args::MeasuringArguments;
use crate::output::tell;
use crate::reading::{layer_choice, no_such_layer, read_options};

pub use many::Run;

/// How a drawing is read and measured, and how its figures are written.
pub struct Measuring {
    pub options: Options,
    pub style: Style,
    pub reading: ReadOptions,
}

impl Measuring {
    /// As the arguments ask, or a job where they ask nothing.
    pub fn of(arguments: &MeasuringArguments, job: Option<&Job>) -> Result<Measuring, String> {
        let layers = layer_choice(&arguments.reading)?;
        let void_layers = Patterns::new(&arguments.void_layers).map_err(|error| error.to_string())?;
        let unit = arguments.units.or(job.and_then(|j| j.units)).unwrap_or(LengthUnit::Millimetre);
        let join = arguments.reading.join.or(job.and_then(|j| j.join));
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
        let style = Style {
            unit,
            digits: arguments.digits,
            labels: options.per == Per::Part,
            plates: arguments.thickness.is_some(),
            stated: job.is_some_and(|j| j.sections.iter().any(|s| s.about.is_some() || s.turned.is_some())),
        };
        Ok(Measuring { options, style, reading: read_options(&arguments.reading) })
    }
}

/// One drawing, read and measured.
pub struct Measured {
    pub name: String,
    pub bytes: Vec<u8>,
    pub drawing: Drawing,
    pub sections: Vec<Measurement>,
    /// A section was not measured, which was told.
    pub failed: bool,
}

/// Reads and measures a drawing, and chooses among its sections.
pub fn one_drawing(path: &Path, section: Option<&str>, measuring: &Measuring) -> Result<Measured, String> {
    let name = path.display().to_string();
    // One byte more than may be, so that what is too large is refused as such.
    let most = measuring.reading.limits.file_size.saturating_add(1);
    let mut bytes = Vec::new();
    File::open(path)
        .and_then(|file| file.take(most).read_to_end(&mut bytes))
        .map_err(|error| format!("{name} cannot be read: {error}: check the path and its permissions"))?;
    let drawing = Drawing::read_with(&bytes[..], &measuring.reading)
        .map_err(|error| format!("{name}: {error}: {}", error.hint()))?;
    let layers: Vec<&str> = drawing.layers.iter().map(|layer| layer.name.as_str()).collect();
    let Options { layers: chosen, void_layers, .. } = &measuring.options;
    for pattern in chosen
        .unmatched(layers.iter().copied())
        .into_iter()
        .chain(void_layers.unmatched(layers.iter().copied()))
    {
        tell(&no_such_layer(pattern, layers.iter().copied()));
    }
    let mut sections = measure::drawing(&name, &drawing, &measuring.options).measurements;
    if sections.is_empty() {
        return Err(format!(
            "{name}: no section found; tracearm inspect shows what the drawing holds and where its ends are open"
        ));
    }
    if let Some(wanted) = section {
        let names: Vec<String> = sections.iter().map(|m| m.section.clone()).collect();
        // Names may differ in letter case alone: one that is the same letter by letter goes first.
        if names.iter().any(|name| name == wanted) {
            sections.retain(|m| m.section == wanted);
        } else {
            sections.retain(|m| m.section.to_lowercase() == wanted.to_lowercase());
        }
        if sections.is_empty() {
            return Err(format!("{name} has no section “{wanted}”; there are: {}", names.join(", ")));
        }
    }
    let unmeasured = sections.iter().filter(|m| m.properties.is_none());
    for section in unmeasured.clone() {
        let why: Vec<String> = section.findings.iter().map(ToString::to_string).collect();
        tell(&format!("{name}: section {}: not measured: {}", section.section, why.join(" | ")));
    }
    let failed = unmeasured.count() > 0;
    Ok(Measured { name, bytes, drawing, sections, failed })
}
