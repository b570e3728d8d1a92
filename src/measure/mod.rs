//! All stages for one drawing: from its layers to measured sections.

mod band;
mod choice;
mod compose;
mod filled;
mod job;
mod label;
mod length;
mod nearly_closed;
mod plate;
mod slips;
mod stock;
mod traced;
mod widths;

use std::collections::BTreeMap;

pub use choice::{LayerChoice, PatternError, Patterns};
pub use compose::{MeasuredPiece, Stated, section};
pub use job::{Job, JobError, JobSection, Material, Materials};
pub use length::Length;
pub use plate::Plate;
pub use stock::StockRectangle;
pub use traced::{Hatches, Traced, drawn};
pub use widths::{Widths, centre_line_finding};

use crate::drawing::{Drawing, Entity, Layer, LayerIndex, LengthUnit, Reason, Text};
use crate::finding::{Finding, Severity};
use crate::geometry::Bounds;
use crate::outline::Ring;
use crate::region::{self, Part, Piece, Region};
use crate::section::Section;

/// What makes one section.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Per {
    /// All that is drawn on a layer.
    #[default]
    Layer,
    /// Each connected solid on a layer.
    Part,
    /// All that is drawn on the chosen layers together.
    Drawing,
}

/// How a drawing is measured.
#[derive(Clone, Debug)]
pub struct Options {
    /// What makes one section.
    pub per: Per,
    /// Which layers are measured.
    pub layers: LayerChoice,
    /// Layers whose closed outlines are cut from every section that they lie over.
    pub void_layers: Patterns,
    /// What hatches count for.
    pub hatches: Hatches,
    /// What polylines with a width count for.
    pub widths: Widths,
    /// Unit of the drawing's coordinates; `None` to believe the header.
    pub drawing_unit: Option<LengthUnit>,
    /// Ends nearer to each other than this are joined, in millimetres.
    pub join_mm: f64,
    /// Density in kg/m³, where masses are wanted.
    pub density: Option<f64>,
    /// Thickness in millimetres, where sections are flat plates cut from sheet.
    pub thickness_mm: Option<f64>,
}

/// The joining tolerance when none is asked for, in millimetres: well above the rounding of drawing programs, well
/// below what a cutting machine makes.
pub const DEFAULT_JOIN_MM: f64 = 0.01;

impl Default for Options {
    fn default() -> Options {
        Options {
            per: Per::Layer,
            layers: LayerChoice::default(),
            void_layers: Patterns::default(),
            hatches: Hatches::default(),
            widths: Widths::default(),
            drawing_unit: None,
            join_mm: DEFAULT_JOIN_MM,
            density: None,
            thickness_mm: None,
        }
    }
}

/// How far a row can be trusted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Status {
    /// Measured; findings, if any, are notes.
    Ok,
    /// Measured, but something about the drawing may not be what was meant.
    Warning,
    /// Not measured.
    Failed,
}

impl Status {
    /// `ok`, `warning` or `failed`.
    pub fn word(self) -> &'static str {
        match self {
            Status::Ok => "ok",
            Status::Warning => "warning",
            Status::Failed => "failed",
        }
    }
}

/// A section of a drawing, measured or not, with its findings.
#[derive(Clone, Debug)]
pub struct Measurement {
    /// Path of the drawing as it was given.
    pub drawing: String,
    /// Name of the section.
    pub section: String,
    /// Layer, several joined by `+`.
    pub layer: String,
    /// What is written in a part or beside it, where each part is a section; `None` where nothing is.
    pub label: Option<String>,
    /// Unit of the drawing's coordinates, in which the properties are.
    pub unit: LengthUnit,
    /// Density in kg/m³, where one was given.
    pub density: Option<f64>,
    /// Mass per length in kg/m of a section of several materials, in place of the density.
    pub linear_mass: Option<f64>,
    /// Second moments about stated axes, where a job states any.
    pub stated: Option<Stated>,
    /// The properties; `None` where there are none, and a finding says why.
    pub properties: Option<Section>,
    /// The region that they belong to.
    pub region: Option<Region>,
    /// What the section is as a plate, where a thickness was given and there are properties.
    pub plate: Option<Plate>,
    /// The closed outlines that the region is made of, with their materials where there are several.
    pub pieces: Vec<MeasuredPiece>,
    /// What the reader must know.
    pub findings: Vec<Finding>,
}

impl Measurement {
    /// A drawing that could not be measured at all.
    pub fn failed(drawing: &str, finding: Finding) -> Measurement {
        Measurement {
            drawing: drawing.to_owned(),
            section: String::new(),
            layer: String::new(),
            label: None,
            unit: LengthUnit::Millimetre,
            density: None,
            linear_mass: None,
            stated: None,
            properties: None,
            region: None,
            pieces: Vec::new(),
            plate: None,
            findings: vec![Finding { severity: Severity::Failure, ..finding }],
        }
    }

    /// Failed without properties, warning with a finding of that weight, else ok.
    pub fn status(&self) -> Status {
        if self.properties.is_none() {
            Status::Failed
        } else if self.findings.iter().any(|f| f.severity >= Severity::Warning) {
            Status::Warning
        } else {
            Status::Ok
        }
    }

    /// Area times density, in kg/m, summed where materials differ; `None` without a density or an area.
    pub fn mass_per_length(&self) -> Option<f64> {
        if self.linear_mass.is_some() {
            return self.linear_mass;
        }
        let metres = self.unit.millimetres() * 1e-3;
        Some(self.properties.as_ref()?.area * metres * metres * self.density?)
    }

    /// The measurement with its section taken as a flat plate of the given thickness in millimetres.
    pub fn as_plate(self, thickness_mm: f64) -> Measurement {
        let thickness = thickness_mm / self.unit.millimetres();
        let plate = match (&self.region, &self.properties) {
            (Some(region), Some(section)) => Plate::of(region, section, thickness),
            _ => None,
        };
        Measurement { plate, ..self }
    }

    /// Mass of the plate in kg: area × thickness × density; `None` without a thickness, a density or an area.
    pub fn mass(&self) -> Option<f64> {
        let metres = self.unit.millimetres() * 1e-3;
        Some(self.mass_per_length()? * (self.plate.as_ref()?.thickness * metres))
    }
}

/// What came of a drawing.
#[derive(Clone, Debug, Default)]
pub struct Outcome {
    /// The sections, layers by name.
    pub measurements: Vec<Measurement>,
    /// Layers that hold something, but neither a closed outline nor a nearly closed one.
    pub without_outline: Vec<Bare>,
    /// Layers that hold something and were left out because they are off or frozen.
    pub hidden: Vec<String>,
}

/// A layer, or a drawing, without an outline that could be measured.
#[derive(Clone, Debug)]
pub struct Bare {
    /// Name of the layer or the drawing.
    pub name: String,
    /// Number of open chains on it.
    pub open: usize,
    /// What the reading found wrong on it, which may be why, and in a note what else there is to measure.
    pub findings: Vec<Finding>,
}

/// The unit of the drawing's coordinates, and a finding where its header does not name it: $INSUNITS counts, else
/// $MEASUREMENT tells inches from millimetres, else millimetres are assumed.
pub fn drawing_unit(drawing: &Drawing, stated: Option<LengthUnit>) -> (LengthUnit, Option<Finding>) {
    if let Some(unit) = stated.or(drawing.units.unit) {
        return (unit, None);
    }
    let why = match drawing.units.insunits {
        None => "the drawing names no unit".to_owned(),
        Some(0) => "the drawing says that it has no unit ($INSUNITS 0)".to_owned(),
        Some(code) => format!("the drawing's unit is not known ($INSUNITS {code})"),
    };
    let (unit, finding) = match drawing.units.measurement {
        // Writers that fill in defaults leave $MEASUREMENT imperial in metric drawings too.
        Some(0) => {
            let so = "but was set up for inches ($MEASUREMENT 0): inches are assumed";
            (LengthUnit::Inch, Finding::warning(format!("{why} {so}")))
        }
        Some(1) => {
            let so = "but was set up for metric units ($MEASUREMENT 1): millimetres are assumed";
            (LengthUnit::Millimetre, Finding::note(format!("{why} {so}")))
        }
        _ => (LengthUnit::Millimetre, Finding::note(format!("{why}: millimetres are assumed"))),
    };
    (unit, Some(finding.hint("state --drawing-units if that is wrong")))
}

/// Measures a drawing. `name` is the path as it was given, for the rows.
pub fn drawing(name: &str, drawing: &Drawing, options: &Options) -> Outcome {
    let mut measurements = Vec::new();
    let outcome = each_section(name, drawing, options, &mut |section| measurements.push(section));
    Outcome { measurements, ..outcome }
}

/// Measures a drawing and hands its sections on one by one, so that who keeps little of them needs little memory for large
/// drawings; the outcome has none. Parts come when all are known, since their labels are chosen among them.
pub fn each_section(
    name: &str,
    drawing: &Drawing,
    options: &Options,
    take: &mut dyn FnMut(Measurement),
) -> Outcome {
    if options.per != Per::Part {
        return sections(name, drawing, options, take);
    }
    let mut parts = Vec::new();
    let outcome = sections(name, drawing, options, &mut |part| parts.push(part));
    label(&mut parts, drawing, &options.layers);
    parts.into_iter().for_each(take);
    outcome
}

fn sections(name: &str, drawing: &Drawing, options: &Options, take: &mut dyn FnMut(Measurement)) -> Outcome {
    let (unit, assumed) = drawing_unit(drawing, options.drawing_unit);
    let tolerance = options.join_mm / unit.millimetres();
    let mut outcome = Outcome::default();
    let mut by_layer: BTreeMap<LayerOrder, Vec<&Entity>> = BTreeMap::new();
    let mut hidden: BTreeMap<LayerOrder, ()> = BTreeMap::new();
    let mut voids: Vec<&Entity> = Vec::new();
    for entity in &drawing.entities {
        let layer = drawing.layer(entity.layer);
        let is_void = options.void_layers.match_any(&layer.name);
        if !is_void && !options.layers.names(&layer.name) {
            continue;
        }
        if !options.layers.hidden() && (entity.hidden || layer.is_hidden()) {
            if layer.is_hidden() {
                hidden.insert(LayerOrder::of(&layer.name, entity.layer), ());
            }
            continue;
        }
        if is_void {
            voids.push(entity);
        } else {
            by_layer.entry(LayerOrder::of(&layer.name, entity.layer)).or_default().push(entity);
        }
    }
    // Layers with nothing but what is passed over are named too.
    for passed in &drawing.passed_over {
        let Some(index) = passed.layer else { continue };
        let layer = drawing.layer(index);
        let named = options.layers.takes(layer) && !options.void_layers.match_any(&layer.name);
        if named && !matches!(passed.reason, Reason::PaperSpace | Reason::ModelSpace) {
            by_layer.entry(LayerOrder::of(&layer.name, index)).or_default();
        }
    }
    outcome.hidden = hidden.keys().map(|layer| drawing.layer(layer.index).name.clone()).collect();
    let trace = |entities: &[&Entity]| {
        let mut traced = Traced::of(entities, tolerance, options.hatches, options.widths);
        if options.widths == Widths::CentreLine {
            let said = centre_line_finding(drawing, entities, &voids, tolerance, options.hatches);
            traced.findings.extend(said);
        }
        traced
    };
    let cut = Traced::voids(&voids, tolerance, options.hatches, options.widths);
    let assumed = assumed.as_ref();
    let mut rows = Rows { name, drawing, options, unit, tolerance, assumed, voids: cut, outcome, take };
    if options.per == Per::Drawing {
        let all: Vec<&Entity> = by_layer.values().flatten().copied().collect();
        let layers: Vec<LayerIndex> =
            by_layer.iter().filter(|(_, e)| !e.is_empty()).map(|(layer, _)| layer.index).collect();
        rows.push(&stem(name), &layers, trace(&all));
    } else {
        for (layer, entities) in by_layer {
            rows.push(&drawing.layer(layer.index).name, &[layer.index], trace(&entities));
        }
    }
    rows.outcome
}

/// Names parts by what is written in the drawing, on whatever layer that shows.
fn label(measurements: &mut [Measurement], drawing: &Drawing, layers: &LayerChoice) {
    let shows = |text: &&Text| {
        let layer = drawing.layer(text.layer);
        !layers.skips(&layer.name) && (layers.hidden() || !(text.hidden || layer.is_hidden()))
    };
    let texts: Vec<&Text> = drawing.texts.iter().filter(shows).collect();
    let part = |m: &Measurement| m.region.as_ref().and_then(|region| region.parts.first()).cloned();
    let parts: Vec<(usize, Part)> =
        measurements.iter().enumerate().filter_map(|(k, m)| Some((k, part(m)?))).collect();
    let borrowed: Vec<&Part> = parts.iter().map(|(_, part)| part).collect();
    let labels = label::labels(&borrowed, &texts);
    for ((k, _), label) in parts.iter().zip(labels) {
        measurements[*k].label = label;
    }
}

/// Layers sort by name, without regard to case first.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord)]
struct LayerOrder {
    lower: String,
    name: String,
    index: LayerIndex,
}

impl LayerOrder {
    fn of(name: &str, index: LayerIndex) -> LayerOrder {
        LayerOrder { lower: name.to_lowercase(), name: name.to_owned(), index }
    }
}

/// The file name without folders and ending.
fn stem(path: &str) -> String {
    std::path::Path::new(path)
        .file_stem()
        .map_or_else(|| path.to_owned(), |s| s.to_string_lossy().into_owned())
}

/// The rows of one drawing, and what they share.
struct Rows<'a> {
    name: &'a str,
    drawing: &'a Drawing,
    options: &'a Options,
    unit: LengthUnit,
    /// Joining tolerance in drawing units.
    tolerance: f64,
    assumed: Option<&'a Finding>,
    voids: Traced,
    outcome: Outcome,
    take: &'a mut dyn FnMut(Measurement),
}

impl Rows<'_> {
    /// Measures one traced outline and adds its rows, or names it among those without an outline.
    fn push(&mut self, section: &str, layers: &[LayerIndex], mut traced: Traced) {
        let mut findings: Vec<Finding> = self.assumed.cloned().into_iter().collect();
        findings.extend(reading_findings(self.drawing, layers));
        let measurable = !traced.is_empty();
        let broken = traced.findings.iter().any(|finding| finding.severity == Severity::Failure);
        if !measurable && !broken && !traced.open.iter().any(|chain| chain.nearly_closed) {
            // What concerns the whole drawing stands on other rows; open chains are counted.
            findings.retain(|f| f.severity >= Severity::Warning && f.place.layer.is_some());
            let said = traced.findings.into_iter().filter(|f| f.place.layer.is_some());
            findings.extend(said.map(|f| f.in_unit(self.unit.symbol())));
            self.outcome.without_outline.push(Bare {
                name: section.to_owned(),
                open: traced.open.len(),
                findings,
            });
            return;
        }
        if !measurable {
            traced.findings.iter_mut().for_each(fail);
        }
        findings.append(&mut traced.findings);
        findings.extend(nearly_closed::deciding(&traced, &self.voids));
        // Where the outline itself can't be told there are no figures.
        if !measurable || findings.iter().any(|finding| finding.severity == Severity::Failure) {
            self.add(section, layers, None, Vec::new(), findings);
            return;
        }
        let bounds = traced.all_rings().fold(Bounds::EMPTY, |all, ring| all.union(*ring.bounds()));
        let voids: Vec<Ring> =
            self.voids.all_rings().filter(|v| v.bounds().meets(&bounds)).cloned().collect();
        findings.extend(self.voids.findings.iter().cloned());
        let resolved = region::resolve_bodies(&traced.solids(), &[], &voids, self.tolerance);
        findings.extend(resolved.findings);
        if resolved.region.is_none() {
            findings.extend(slips::without_figures(traced.all_rings(), self.tolerance));
        }
        match resolved.region {
            Some(region) if self.options.per == Per::Part => {
                let mut pieces: Vec<Vec<Piece>> = vec![Vec::new(); region.parts.len()];
                let parts = region.parts_of(resolved.pieces.iter().map(|piece| &piece.ring));
                for (piece, part) in resolved.pieces.into_iter().zip(parts) {
                    if let Some(part) = part {
                        pieces[part].push(piece);
                    }
                }
                for (k, (part, pieces)) in region.split().zip(pieces).enumerate() {
                    let name = format!("{section}#{}", k + 1);
                    self.add(&name, layers, Some(part), pieces, findings.clone());
                }
            }
            region => self.add(section, layers, region, resolved.pieces, findings),
        }
    }

    /// Adds a row.
    fn add(
        &mut self,
        section: &str,
        layers: &[LayerIndex],
        region: Option<Region>,
        pieces: Vec<Piece>,
        mut findings: Vec<Finding>,
    ) {
        let properties = region.as_ref().and_then(|region| match Section::of(region) {
            Ok(properties) => {
                findings.extend(properties.findings.iter().cloned());
                let rings = pieces.iter().map(|piece| (1.0, &piece.ring));
                findings.extend(slips::finding(rings, &properties, self.tolerance));
                Some(properties)
            }
            Err(error) => {
                findings.push(Finding::failure(error.to_string()).hint(error.hint()));
                let rings = pieces.iter().map(|piece| &piece.ring);
                findings.extend(slips::without_figures(rings, self.tolerance));
                None
            }
        });
        let names: Vec<&str> = layers.iter().map(|l| self.drawing.layer(*l).name.as_str()).collect();
        let measured = Measurement {
            drawing: self.name.to_owned(),
            section: section.to_owned(),
            layer: names.join("+"),
            label: None,
            unit: self.unit,
            density: self.options.density,
            linear_mass: None,
            stated: None,
            properties,
            region,
            pieces: pieces.into_iter().map(MeasuredPiece::from).collect(),
            plate: None,
            findings: findings.into_iter().map(|f| f.in_unit(self.unit.symbol())).collect(),
        };
        (self.take)(match self.options.thickness_mm {
            Some(thickness) => measured.as_plate(thickness),
            None => measured,
        });
    }
}

/// What the reading of the drawing found that concerns these layers: damage, what was passed over.
fn reading_findings(drawing: &Drawing, layers: &[LayerIndex]) -> Vec<Finding> {
    let mut findings: Vec<Finding> = Vec::new();
    let concerns =
        |name: &String| layers.iter().any(|l| drawing.layer(*l).name.to_lowercase() == name.to_lowercase());
    let told = drawing.findings.iter().filter(|f| f.place.layer.as_ref().is_none_or(concerns));
    findings.extend(told.cloned());
    for layer in layers.iter().map(|l| drawing.layer(*l)).filter(|layer| !layer.is_plotted()) {
        findings.push(not_plotted(layer, layers.len() > 1));
    }
    for passed in &drawing.passed_over {
        if !passed.layer.is_some_and(|layer| layers.contains(&layer)) {
            continue;
        }
        let text = format!(
            "{} {} left out: {}",
            passed.kind,
            if passed.count == 1 { "was".to_owned() } else { format!("({} of them) were", passed.count) },
            passed.reason
        );
        match passed.reason {
            // Each of these has a finding of its own, which says what it holds.
            Reason::NotReadYet if matches!(passed.kind.as_str(), "REGION" | "BODY") => {}
            Reason::NotReadYet | Reason::TiltedPlane => {
                let finding = Finding::warning(text);
                findings.push(match passed.places.first() {
                    Some(first) => finding.in_file(first.position).on_entity(first.handle),
                    None => finding,
                });
            }
            _ => {}
        }
    }
    findings
}

/// A layer that is drawn and not plotted holds construction as a rule; beside others it may spoil the figures.
fn not_plotted(layer: &Layer, beside_others: bool) -> Finding {
    let message = format!("layer {} is not plotted, and counts like any other", layer.name);
    if beside_others {
        Finding::warning(message).hint("leave it out with --skip if it holds construction lines only")
    } else {
        Finding::note(message)
    }
}

/// Open ends alone on a layer are why it has no figures.
fn fail(finding: &mut Finding) {
    if finding.severity == Severity::Warning {
        finding.severity = Severity::Failure;
    }
}
