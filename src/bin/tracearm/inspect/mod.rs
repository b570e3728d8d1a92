//! `tracearm inspect`: what a drawing holds, before anything is measured.

mod json;
mod text;

use std::collections::BTreeMap;

use tracearm::drawing::{Drawing, Entity, Layer, LengthUnit};
use tracearm::finding::Finding;
use tracearm::geometry::Bounds;
use tracearm::measure::{self, Measurement, Message, Options, Traced, UnitSource, Widths};
use tracearm::outline::{Ring, Slip};
use tracearm::paths;

use super::Completion;
use super::args::InspectArguments;
use super::output::{tell, to_stdout};
use super::reading::{layer_choice, no_such_layer, read_options};
use crate::advice;
use crate::job::JobFile;

/// What is shown of a drawing.
struct Report<'a> {
    name: &'a str,
    drawing: &'a Drawing,
    /// Unit of the drawing's coordinates.
    drawing_unit: LengthUnit,
    /// Where that unit comes from.
    unit_source: UnitSource,
    /// Unit of the lengths shown.
    unit: LengthUnit,
    /// The layers chosen, by name.
    layers: Vec<LayerReport<'a>>,
    /// On the drawing as a whole.
    findings: Vec<Finding>,
    /// What a job composes of the layers.
    sections: Vec<Measurement>,
}

/// What is shown of a layer.
struct LayerReport<'a> {
    layer: &'a Layer,
    /// Entities by kind.
    kinds: BTreeMap<&'static str, usize>,
    /// A schedule measures it.
    measured: bool,
    /// Entities that do not show.
    invisible: usize,
    /// Outlines and open ends; findings with the unit of the drawing.
    traced: Traced,
    /// Whether each outline bounds solid or a hole, where that can be told.
    solid_or_hole: Vec<Option<bool>>,
}

impl Report<'_> {
    /// Lengths of the drawing times this are those shown.
    fn factor(&self) -> f64 {
        self.drawing_unit.millimetres() / self.unit.millimetres()
    }
}

/// The joints whose ends did not lie on each other, the widest first.
fn widest_slips(traced: &Traced) -> Vec<&Slip> {
    let mut slips: Vec<&Slip> = traced.all_rings().flat_map(Ring::slips).collect();
    slips.sort_by(|a, b| {
        let place = a.place.x.total_cmp(&b.place.x).then(a.place.y.total_cmp(&b.place.y));
        b.apart.total_cmp(&a.apart).then(place)
    });
    slips
}

/// Runs the command.
pub fn run(arguments: &InspectArguments) -> Completion {
    match report(arguments) {
        Ok((text, all_fit)) => match to_stdout(text.as_bytes()) {
            Ok(()) if all_fit => Completion::Done,
            Ok(()) => Completion::Partly,
            Err(error) => nothing(&format!("tracearm: cannot write: {error}")),
        },
        Err(message) => nothing(&message),
    }
}

fn nothing(message: &str) -> Completion {
    tell(message);
    Completion::Nothing
}

/// The report as text, and whether every pattern fits a layer and every section of a job was measured; the error is a message.
fn report(arguments: &InspectArguments) -> Result<(String, bool), String> {
    let reading = &arguments.reading;
    let layers = layer_choice(reading).map_err(|message| format!("tracearm: {message}"))?;
    let job = arguments.job.as_deref().map(|path| JobFile::read(path, arguments.drawing.as_slice()));
    let job = job.transpose().map_err(|message| format!("tracearm: {message}"))?;
    let path = match (&arguments.drawing, &job) {
        (None, Some(job)) => job.drawing().map_err(|message| format!("tracearm: {message}"))?,
        (given, _) => given.clone().unwrap_or_default(),
    };
    let name = paths::text(&path).into_owned();
    if path.is_dir() {
        return Err(format!("{name}: this is a folder: name one drawing"));
    }
    let drawing = Drawing::open_with(&path, &read_options(reading))
        .map_err(|error| Message::of(&name, error.finding().clone()).words(advice::of))?;
    let known = measure::drawing_unit(&drawing, reading.drawing_units);
    let drawing_unit = known.unit;
    let of_job = job.as_ref().map(JobFile::job);
    let unit = arguments.units.or(of_job.and_then(|job| job.units)).unwrap_or(drawing_unit);
    let join = reading.join.or(of_job.and_then(|job| job.join));
    let join_mm = join.map_or(measure::DEFAULT_JOIN_MM, |l| l.millimetres(unit));
    let tolerance = join_mm / drawing_unit.millimetres();
    let (hatches, widths) = (reading.hatches.into(), reading.widths.into());
    let mut order: Vec<usize> = (0..drawing.layers.len()).collect();
    order.retain(|i| layers.names(&drawing.layers[*i].name));
    order.sort_by_cached_key(|i| (drawing.layers[*i].name.to_lowercase(), *i));
    let mut entities: Vec<Vec<&Entity>> = vec![Vec::new(); drawing.layers.len()];
    for entity in &drawing.entities {
        entities[entity.layer.index()].push(entity);
    }
    let shown = |entity: &&Entity| layers.hidden() || !entity.hidden;
    let layer_report = |index: usize| {
        let (layer, entities) = (&drawing.layers[index], &entities[index]);
        let mut kinds: BTreeMap<&str, usize> = BTreeMap::new();
        for entity in entities {
            *kinds.entry(entity.kind.name()).or_default() += 1;
        }
        let shown: Vec<&Entity> = entities.iter().copied().filter(shown).collect();
        let mut traced = Traced::of(&shown, tolerance, hatches, widths);
        if widths == Widths::CentreLine {
            let area = traced.area(&Traced::default(), tolerance);
            let said = measure::centre_line_finding(&drawing, &shown, &[], tolerance, hatches, area);
            traced.findings.extend(said);
        }
        // The lengths in findings are those of the drawing, whatever unit is shown.
        let findings = std::mem::take(&mut traced.findings);
        traced.findings = findings.into_iter().map(|f| f.in_unit(drawing_unit)).collect();
        let measured = layers.takes(layer);
        let solid_or_hole = traced.solid_or_hole(tolerance);
        LayerReport { layer, kinds, measured, invisible: entities.len() - shown.len(), traced, solid_or_hole }
    };
    let drawn = order.iter().filter(|i| layers.takes(&drawing.layers[**i])).flat_map(|i| &entities[*i]);
    let extent =
        drawn.copied().filter(shown).fold(Bounds::EMPTY, |all, entity| all.union(entity.shape.bounds()));
    let options = Options::with(|o| {
        (o.hatches, o.widths) = (hatches, widths);
        o.drawing_unit = reading.drawing_units;
        o.join_mm = join_mm;
    });
    let composed = |job: &JobFile| -> Vec<Measurement> {
        let sections = job.sections.of_drawing(&path);
        sections.map(|section| measure::section(&name, &drawing, job.job(), section, &options)).collect()
    };
    let sections = job.as_ref().map(composed).unwrap_or_default();
    let all_measured = sections.iter().all(|section| section.properties().is_some());
    let report = Report {
        name: &name,
        drawing: &drawing,
        drawing_unit,
        unit_source: known.source,
        unit,
        layers: order.into_iter().map(layer_report).collect(),
        findings: known.finding(&extent).into_iter().chain(drawing.findings.iter().cloned()).collect(),
        sections,
    };
    let names = drawing.layers.iter().map(|l| l.name.as_str());
    let unmatched = layers.unmatched(names.clone());
    unmatched.iter().for_each(|pattern| tell(&no_such_layer(pattern, names.clone())));
    let text = if arguments.json { json::write(&report) } else { text::write(&report, arguments.all) };
    Ok((text, unmatched.is_empty() && all_measured))
}
