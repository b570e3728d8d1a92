//! What the commands that measure have in common.

mod many;

use std::io::Read;
use std::path::Path;

use tracearm::drawing::{Drawing, LengthUnit, ReadError, ReadOptions};
use tracearm::field::FieldOptions;
use tracearm::finding::{Code, Finding, Severity};
use tracearm::library::Unmatched;
use tracearm::measure::{self, Job, JobSection, MeasuredDrawing, Measurement, Message, Options, Patterns};
use tracearm::paths;
use tracearm::schedule::Style;
use tracearm::sheet::Unmeasured;
use tracearm::unit::MassUnit;

use crate::advice;
use crate::args::{MeasuringArguments, PerArgument, ReadingArguments};
use crate::job::JobFile;
use crate::output::tell;
use crate::reading::{layer_choice, no_such_layer, read_options};
use clap::ValueEnum as _;

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
        let label_layers = Patterns::new(&arguments.label_layers).map_err(|error| error.to_string())?;
        if !label_layers.is_empty() && !matches!(arguments.per, PerArgument::Part | PerArgument::Outline) {
            return Err("--label-layers works only with --per part or --per outline".to_owned());
        }
        let unit = arguments.units.or(job.and_then(|j| j.units)).unwrap_or(LengthUnit::Millimetre);
        let join = arguments.reading.join.or(job.and_then(|j| j.join));
        if arguments.common_cuts && !matches!(arguments.per, PerArgument::Outline) {
            return Err(
                "--common-cuts works only with --per outline: otherwise plates that share an edge are one part"
                    .to_owned(),
            );
        }
        let options = Options::with(|o| {
            o.per = arguments.per.into();
            o.layers = layers;
            o.void_layers = void_layers;
            o.label_layers = label_layers;
            o.hatches = arguments.reading.hatches.into();
            o.widths = arguments.reading.widths.into();
            o.drawing_unit = arguments.reading.drawing_units;
            o.join_mm = join.map_or(measure::DEFAULT_JOIN_MM, |l| l.millimetres(unit));
            o.density = arguments.density;
            o.common_cuts = arguments.common_cuts;
            o.thickness_mm = arguments.thickness.map(|l| l.millimetres(unit));
            o.field =
                arguments.field.then(|| FieldOptions::new(arguments.field_tolerance, arguments.poisson));
        });
        let style = Style::with(|s| {
            s.unit = unit;
            s.mass_unit = arguments.mass_units;
            s.digits = arguments.digits;
            s.labels = options.per.is_labelled();
            s.plates = arguments.thickness.is_some();
            s.field = arguments.field;
            s.stated =
                job.is_some_and(|j| j.sections.iter().any(|s| s.about.is_some() || s.turned.is_some()));
            s.advice = advice::of;
        });
        Ok(Measuring { options, style, reading: read_options(&arguments.reading) })
    }
}

/// Names the patterns that match no layer of any drawing.
pub fn unmatched_messages(unmatched: &Unmatched) -> impl Iterator<Item = String> {
    unmatched.patterns().map(|pattern| no_such_layer(pattern, unmatched.names()))
}

/// Everything that decides what stands in a row, on the command line and in a job, in words.
pub fn settings(arguments: &MeasuringArguments, measuring: &Measuring, job: Option<&JobFile>) -> String {
    // Named one by one, so that none is forgotten.
    let MeasuringArguments {
        units: _,
        mass_units,
        per,
        void_layers,
        label_layers,
        density,
        thickness,
        common_cuts,
        field,
        field_tolerance,
        poisson,
        digits,
        reading,
    } = arguments;
    let ReadingArguments { drawing_units, layers, skip, space, limits, hatches, widths, hidden, join } =
        reading;
    let mut words = vec![format!("units {}", measuring.style.unit.symbol())];
    let mut add = |name: &str, value: Option<String>| {
        words.extend(value.map(|value| format!("{name} {value}")));
    };
    add("digits", Some(format!("{digits:?}")));
    add("masses", (*mass_units != MassUnit::Kilogram).then(|| mass_units.symbol().to_owned()));
    add("per", per.to_possible_value().map(|value| value.get_name().to_owned()));
    add("void-layers", (!void_layers.is_empty()).then(|| format!("{void_layers:?}")));
    add("label-layers", (!label_layers.is_empty()).then(|| format!("{label_layers:?}")));
    add("density", density.map(|density| format!("{density:?}")));
    add("thickness", thickness.and(measuring.options.thickness_mm).map(|mm| format!("{mm:?} mm")));
    add("field", field.then(|| format!("{field_tolerance:?} {poisson:?}")));
    add("common-cuts", common_cuts.then(|| "once".to_owned()));
    add("drawing-units", drawing_units.map(|unit| unit.symbol().to_owned()));
    add("layers", (!layers.is_empty()).then(|| format!("{layers:?}")));
    add("skip", (!skip.is_empty()).then(|| format!("{skip:?}")));
    add("space", space.to_possible_value().map(|value| value.get_name().to_owned()));
    // What is refused for want of memory is not remembered.
    let limits: Vec<_> = limits.iter().filter(|(name, _)| name != "memory").collect();
    add("limits", (!limits.is_empty()).then(|| format!("{limits:?}")));
    add("hatches", hatches.to_possible_value().map(|value| value.get_name().to_owned()));
    add("widths", widths.to_possible_value().map(|value| value.get_name().to_owned()));
    add("hidden", hidden.then(|| "measured".to_owned()));
    add("join", join.map(|_| format!("{:?} mm", measuring.options.join_mm)));
    add("job", job.map(JobFile::setting));
    words.join(", ")
}

/// One drawing, read and measured.
pub struct ChosenSections {
    pub name: String,
    pub bytes: Vec<u8>,
    pub drawing: Drawing,
    pub sections: Vec<Measurement>,
    /// Layers that hold no section, and those that don't show.
    pub unmeasured: Vec<Unmeasured>,
    /// A section or a layer that seems to be one was not measured, which was reported.
    pub failed: bool,
}

/// Reads and measures a drawing, or what a job with its path composes of it, and chooses among the sections.
pub fn one_drawing(
    given: Option<&Path>,
    job: Option<&JobFile>,
    section: Option<&str>,
    measuring: &Measuring,
) -> Result<ChosenSections, String> {
    let path = match (given, job) {
        (Some(given), _) => given.to_owned(),
        (None, Some(job)) => job.drawing()?,
        (None, None) => return Err("name a drawing, or a job with --job".to_owned()),
    };
    let path = path.as_path();
    let name = paths::text(&path).into_owned();
    // One byte more than may be, so that what is too large is refused as such.
    let most = measuring.reading.limits.file_size.saturating_add(1);
    let mut bytes = Vec::new();
    let refused = |error: ReadError| Message::of(&name, error.finding().clone()).words(advice::of);
    Drawing::file(path)
        .map_err(refused)?
        .take(most)
        .read_to_end(&mut bytes)
        .map_err(|error| format!("{name} cannot be read: {error}: check the path and its permissions"))?;
    let drawing = Drawing::read_with(&bytes[..], &measuring.reading).map_err(refused)?;
    let layers: Vec<&str> = drawing.layers.iter().map(|layer| layer.name.as_str()).collect();
    let Options { layers: chosen, void_layers, label_layers, .. } = &measuring.options;
    let mut unmatched = Vec::new();
    for pattern in chosen
        .unmatched(layers.iter().copied())
        .into_iter()
        .chain(void_layers.unmatched(layers.iter().copied()))
        .chain(label_layers.unmatched(layers.iter().copied()))
    {
        tell(&no_such_layer(pattern, layers.iter().copied()));
        unmatched.push(Unmatched::finding(pattern, layers.iter().copied()));
    }
    let mut beside = MeasuredDrawing::default();
    let mut sections = match job {
        Some(job) => {
            let own: Vec<&JobSection> = job.sections.of_drawing(path).collect();
            for section in &job.job().sections {
                if !own.iter().any(|of_this| of_this.name == section.name) {
                    tell(&format!(
                        "tracearm: section {} belongs to another drawing and was left out",
                        section.name
                    ));
                }
            }
            let measured = |section: &&JobSection| {
                measure::section(&name, &drawing, job.job(), section, &measuring.options)
            };
            own.iter().map(measured).collect()
        }
        None => {
            let mut measured = measure::drawing(&name, &drawing, &measuring.options);
            let sections = std::mem::take(&mut measured.measurements);
            beside = measured;
            sections
        }
    };
    sections.iter_mut().for_each(|section| section.findings.extend(unmatched.iter().cloned()));
    if sections.is_empty() {
        return Err(format!("{name}: {}", Finding::of(Code::NoSection).words(advice::of)));
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
            return Err(format!("{name} has no section “{wanted}”; its sections are: {}", names.join(", ")));
        }
    }
    let unmeasured = sections.iter().filter(|m| m.properties().is_none());
    for section in unmeasured.clone() {
        tell(&Message::not_measured(section, &measuring.options).words(advice::of));
    }
    let mut failed = unmeasured.count() > 0 || !unmatched.is_empty();
    // Who asks for one section is told of nothing else.
    if section.is_some() {
        beside = MeasuredDrawing::default();
    }
    for layer in &beside.without_outline {
        for finding in &layer.findings {
            failed |= finding.severity >= Severity::Warning;
            let message = Message::of(&name, finding.clone()).about(&layer.name, true);
            tell(&message.words(advice::of));
        }
    }
    Ok(ChosenSections { name, bytes, drawing, sections, unmeasured: Unmeasured::of(&beside), failed })
}
