//! All stages for one drawing: from its layers to measured sections.

mod band;
mod beside;
mod by_layer;
mod choice;
mod closing_side;
mod compose;
mod drawn;
mod fields;
mod filled;
mod groups;
mod islands;
mod job;
mod label;
mod length;
mod memory;
mod message;
mod nearly_closed;
mod outlines;
mod plate;
mod plausible;
mod remarks;
mod rows;
mod slips;
mod solid;
mod stock;
mod traced;
mod units;
mod widths;

pub use by_layer::Progress;
pub(crate) use by_layer::{ByLayer, Source};
pub use choice::{LayerChoice, PatternError, Patterns};
pub use compose::{MeasuredPiece, Stated, section};
pub(crate) use groups::Layers;
#[cfg(feature = "job-files")]
pub use job::JobError;
pub use job::{Density, DensityError, Job, JobSection, Material, Materials};
pub use length::{Length, LengthError};
pub use message::Message;
pub use plate::Plate;
pub use stock::StockRectangle;
pub use traced::{Hatches, Traced, drawn};
pub use units::{DrawingUnit, UnitSource, drawing_unit};
pub use widths::{Widths, centre_line_finding};

use crate::drawing::{Drawing, LengthUnit, Text};
use crate::field::{FieldOptions, FieldProperties};
use crate::finding::{Finding, Severity};
use crate::geometry::Bounds;
use crate::region::{Part, Region};
use crate::section::Section;
use crate::words::{UnknownWord, chosen};
use std::str::FromStr;

/// What makes one section.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Per {
    /// All that is drawn on a layer.
    #[default]
    Layer,
    /// Each connected solid on a layer.
    Part,
    /// Each outer outline on a layer with the holes in it, whether or not it touches others.
    Outline,
    /// All that is drawn on the chosen layers together.
    Drawing,
}

impl Per {
    /// Sections are named by what is written in the drawing too.
    pub fn is_labelled(self) -> bool {
        matches!(self, Per::Part | Per::Outline)
    }
}

impl Per {
    /// Each with the word for it.
    pub const WORDS: [(&'static str, Per); 4] =
        [("layer", Per::Layer), ("part", Per::Part), ("outline", Per::Outline), ("drawing", Per::Drawing)];
}

impl FromStr for Per {
    type Err = UnknownWord;

    /// One of its words, in any letter case.
    fn from_str(word: &str) -> Result<Per, UnknownWord> {
        chosen(word, &Per::WORDS)
    }
}

/// How a drawing is measured.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct Options {
    /// What makes one section.
    pub per: Per,
    /// Which layers are measured.
    pub layers: LayerChoice,
    /// Layers whose closed outlines are cut from every section that they lie over.
    pub void_layers: Patterns,
    /// Layers on whose texts alone parts and outlines are named by; all where there is no pattern.
    pub label_layers: Patterns,
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
    /// Torsion, warping and shear constants, where they are wanted.
    pub field: Option<FieldOptions>,
    /// Where each outline is a section, an edge that two of them share is in the cut length of the first alone.
    pub common_cuts: bool,
}

/// The joining tolerance when none is asked for, in millimetres: well above the rounding of drawing programs, well
/// below what a cutting machine makes.
pub const DEFAULT_JOIN_MM: f64 = 0.01;

impl Options {
    /// The default options with what `change` sets.
    pub fn with(change: impl FnOnce(&mut Options)) -> Options {
        let mut options = Options::default();
        change(&mut options);
        options
    }
}

impl Default for Options {
    fn default() -> Options {
        Options {
            per: Per::Layer,
            layers: LayerChoice::default(),
            void_layers: Patterns::default(),
            label_layers: Patterns::default(),
            hatches: Hatches::default(),
            widths: Widths::default(),
            drawing_unit: None,
            join_mm: DEFAULT_JOIN_MM,
            density: None,
            thickness_mm: None,
            field: None,
            common_cuts: false,
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

/// From what the mass of a section is known.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Mass {
    /// It is not known.
    #[default]
    Unknown,
    /// From a density in kg/m³.
    Density(f64),
    /// Mass per length in kg/m, summed over several materials.
    PerLength(f64),
}

/// A section that was measured, in the drawing's unit.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct MeasuredSection {
    /// Its properties.
    pub properties: Section,
    /// The region that they belong to.
    pub region: Region,
    /// What it is as a plate, where a thickness was given.
    pub plate: Option<Plate>,
    /// Second moments about stated axes, where a job states any.
    pub stated: Option<Stated>,
    /// Torsion, warping and shear constants, where they were asked for and there are any.
    pub field: Option<Box<FieldProperties>>,
    /// What is of each material, where materials of different moduli are transformed to one; empty elsewhere.
    pub bodies: Vec<MaterialBody>,
}

/// What of a section is of one material.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct MaterialBody {
    /// Name of the material.
    pub material: String,
    /// Its modulus over that of the reference material.
    pub ratio: f64,
    /// Its properties by itself, not transformed.
    pub properties: Section,
    /// Its region.
    pub region: Region,
}

/// A section that was not measured; the findings beside it say why.
#[derive(Clone, Debug, Default)]
#[non_exhaustive]
pub struct NotMeasured {
    /// The region that the outlines resolve to, where they do and it has no properties even so.
    pub region: Option<Region>,
}

impl MeasuredSection {
    pub(crate) fn new(properties: Section, region: Region) -> MeasuredSection {
        MeasuredSection { properties, region, plate: None, stated: None, field: None, bodies: Vec::new() }
    }
}

/// A section of a drawing, measured or not, with its findings.
#[derive(Clone, Debug)]
#[must_use]
#[non_exhaustive]
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
    /// How that unit is known; `None` where the drawing could not be read.
    pub unit_source: Option<UnitSource>,
    /// From what its mass is known.
    pub mass: Mass,
    /// What was measured; where nothing was, a finding says why.
    pub result: Result<MeasuredSection, NotMeasured>,
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
            unit_source: None,
            mass: Mass::Unknown,
            result: Err(NotMeasured::default()),
            pieces: Vec::new(),
            findings: vec![finding.weighing(Severity::Failure)],
        }
    }

    /// Failed without properties, warning with a finding of that weight, else ok.
    pub fn status(&self) -> Status {
        if self.result.is_err() {
            Status::Failed
        } else if self.findings.iter().any(|f| f.severity >= Severity::Warning) {
            Status::Warning
        } else {
            Status::Ok
        }
    }

    /// The properties; `None` where it was not measured.
    pub fn properties(&self) -> Option<&Section> {
        self.result.as_ref().ok().map(|section| &section.properties)
    }

    /// The region that the outlines resolve to; `None` where they don't.
    pub fn region(&self) -> Option<&Region> {
        match &self.result {
            Ok(section) => Some(&section.region),
            Err(NotMeasured { region }) => region.as_ref(),
        }
    }

    /// What it is as a plate, where a thickness was given and it was measured.
    pub fn plate(&self) -> Option<&Plate> {
        self.result.as_ref().ok()?.plate.as_ref()
    }

    /// Torsion, warping and shear constants, where they were asked for and there are any.
    pub fn field(&self) -> Option<&FieldProperties> {
        self.result.as_ref().ok()?.field.as_deref()
    }

    /// Second moments about stated axes, where a job states any and it was measured.
    pub fn stated(&self) -> Option<&Stated> {
        self.result.as_ref().ok()?.stated.as_ref()
    }

    /// Area times density, in kg/m, summed where materials differ; `None` without a density or an area.
    pub fn mass_per_length(&self) -> Option<f64> {
        let metres = self.unit.millimetres() * 1e-3;
        match (self.mass, self.properties()) {
            (Mass::PerLength(mass), Some(_)) => Some(mass),
            (Mass::Density(density), Some(section)) => Some(section.area * metres * metres * density),
            _ => None,
        }
    }

    /// The measurement with its section taken as a flat plate of the given thickness in millimetres.
    pub fn as_plate(mut self, thickness_mm: f64) -> Measurement {
        let thickness = thickness_mm / self.unit.millimetres();
        if let Ok(section) = &mut self.result {
            section.plate = Plate::of(&section.region, &section.properties, thickness);
        }
        self
    }

    /// The measurement of a plate of which so much of the edge is cut with others.
    fn cut_with_others(mut self, length: f64) -> Measurement {
        if let Some(plate) = self.result.as_mut().ok().and_then(|section| section.plate.as_mut()) {
            plate.cut_length -= length;
        }
        self
    }

    /// Mass of the plate in kg: area × thickness × density; `None` without a thickness, a density or an area.
    pub fn mass(&self) -> Option<f64> {
        let metres = self.unit.millimetres() * 1e-3;
        Some(self.mass_per_length()? * (self.plate()?.thickness * metres))
    }
}

/// What came of a drawing.
#[derive(Clone, Debug, Default)]
#[must_use]
#[non_exhaustive]
pub struct MeasuredDrawing {
    /// The sections, layers by name.
    pub measurements: Vec<Measurement>,
    /// Layers that hold something, but neither a closed outline nor a nearly closed one.
    pub without_outline: Vec<LayerWithoutOutline>,
    /// Layers that hold something and were left out because they are off or frozen.
    pub hidden: Vec<String>,
}

/// A layer, or a drawing, without an outline that could be measured.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct LayerWithoutOutline {
    /// Name of the layer or the drawing.
    pub name: String,
    /// Number of open chains on it.
    pub open: usize,
    /// What the reading found wrong on it, which may be why, and in a note what else there is to measure.
    pub findings: Vec<Finding>,
}

/// Measures a drawing. `name` is the path as it was given, for the rows.
pub fn drawing(name: &str, drawing: &Drawing, options: &Options) -> MeasuredDrawing {
    let mut measurements = Vec::new();
    let measured_drawing = each_section(name, drawing, options, &mut |section| measurements.push(section));
    MeasuredDrawing { measurements, ..measured_drawing }
}

/// Measures a drawing and hands its sections on one by one, so that who keeps little of them needs little memory for large
/// drawings; the outcome has none. Parts come when all are known, since their labels are chosen among them.
pub fn each_section(
    name: &str,
    drawing: &Drawing,
    options: &Options,
    take: &mut dyn FnMut(Measurement),
) -> MeasuredDrawing {
    let source = Source { name, drawing, options };
    let mut layers = ByLayer::of(source, Layers::of(drawing, options));
    while layers.go_on(source, take) {}
    layers.finish(source, take)
}

/// The findings of a row as they are reported: what is to be said of the drawing's unit and of what lies within `extent`, lengths
/// with that unit, and the reasons why there is no figure before all others.
fn row_findings(unit: DrawingUnit, extent: &Bounds, findings: Vec<Finding>) -> Vec<Finding> {
    let all = unit.finding(extent).into_iter().chain(findings);
    let mut row_findings: Vec<Finding> = all.map(|finding| finding.in_unit(unit.unit)).collect();
    row_findings.sort_by_key(|finding| finding.severity != Severity::Failure);
    row_findings
}

/// Names parts by what is written in the drawing, on whatever layer that shows.
fn label(measurements: &mut [Measurement], drawing: &Drawing, options: &Options) {
    let Options { layers, label_layers, .. } = options;
    let shows = |text: &&Text| {
        let layer = drawing.layer(text.layer);
        (label_layers.is_empty() || label_layers.match_any(&layer.name))
            && !layers.skips(&layer.name)
            && (layers.hidden() || !(text.hidden || layer.is_hidden()))
    };
    let texts: Vec<&Text> = drawing.texts.iter().filter(shows).collect();
    let part = |m: &Measurement| m.region().and_then(|region| region.parts.first()).cloned();
    let parts: Vec<(usize, Part)> =
        measurements.iter().enumerate().filter_map(|(k, m)| Some((k, part(m)?))).collect();
    let borrowed: Vec<&Part> = parts.iter().map(|(_, part)| part).collect();
    let labels = label::labels(&borrowed, &texts);
    for ((k, _), label) in parts.iter().zip(labels) {
        measurements[*k].label = label;
    }
}
