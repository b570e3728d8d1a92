//! Sections composed as a job file says: bodies of one or several materials, voids, stated axes.

mod bodies;
mod overlap;
mod shear;

use std::collections::BTreeMap;
use std::sync::Arc;

use bodies::{Body, Taken};
pub(super) use shear::Shear;
use shear::shear_ratios;

use super::job::{Job, JobSection};
use super::memory::over_memory;
use super::plausible;
use super::remarks::{holes_of_other_layers, measured_layers, name_layers, reading_findings, wide_join};
use super::widths::{is_wide, said};
use super::{
    Mass, MaterialBody, MeasuredSection, Measurement, NotMeasured, Options, Traced, Widths, drawing_unit,
    nearly_closed, row_findings, slips,
};
use crate::drawing::{Drawing, Entity, LayerIndex};
use crate::finding::{Code, Finding, Severity, Value};
use crate::geometry::{Bounds, Point};
use crate::outline::Ring;
use crate::region::{self, Piece, Region};
use crate::section::{SecondMoments, Section, WeightedRegion};

/// A closed outline of a section, and what it is made of.
#[derive(Clone, Debug)]
pub struct MeasuredPiece {
    /// The outline.
    pub piece: Piece,
    /// `None` where no material is named: a section may have a million outlines.
    of: Option<Arc<Material>>,
}

/// A material of a composed section.
#[derive(Debug)]
struct Material {
    name: String,
    ratio: f64,
}

impl MeasuredPiece {
    /// Name of the material; empty where none is named.
    pub fn material(&self) -> &str {
        self.of.as_ref().map_or("", |of| &of.name)
    }

    /// Modulus of the material over that of the reference material; 1 where there is one material.
    pub fn ratio(&self) -> f64 {
        self.of.as_ref().map_or(1.0, |of| of.ratio)
    }
}

impl From<Piece> for MeasuredPiece {
    fn from(piece: Piece) -> MeasuredPiece {
        MeasuredPiece { piece, of: None }
    }
}

/// Second moments about axes that a job states.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub struct Stated {
    /// The point that the axes run through, in the drawing's units.
    pub point: Point,
    /// From +x anticlockwise to the first axis, in degrees.
    pub angle: f64,
    /// About those axes.
    pub moments: SecondMoments,
}

/// Measures one section of a job. `name` is the path of the drawing, for the row.
pub fn section(
    name: &str,
    drawing: &Drawing,
    job: &Job,
    spec: &JobSection,
    options: &Options,
) -> Measurement {
    let drawing_unit = drawing_unit(drawing, options.drawing_unit);
    let unit = drawing_unit.unit;
    let tolerance = options.join_mm / unit.millimetres();
    let Taken { bodies, voids, layers, findings } = Taken::of(drawing, job, spec, options);
    let mut composer = Composer {
        findings: reading_findings(drawing, &layers),
        pieces: Vec::new(),
        regions: Vec::new(),
        bodies: Vec::new(),
        shear: Shear::default(),
        linear_mass: Some(0.0),
    };
    composer.findings.extend(findings);
    let trace = |entities: &[&Entity]| match over_memory(drawing, entities) {
        Some(finding) => Traced::failed(finding),
        None => Traced::of(entities, tolerance, options.hatches, options.widths),
    };
    let entities: Vec<&Entity> = bodies.iter().flat_map(|body| body.entities.iter().copied()).collect();
    composer.findings.extend(wide_join(&entities, options, tolerance));
    let wide: Vec<&Entity> = bodies.iter().flat_map(|body| &body.entities).chain(&voids).copied().collect();
    let wide: Vec<&Entity> = wide.into_iter().filter(|e| is_wide(e)).collect();
    let trace_voids =
        |entities: &[&Entity]| Traced::voids(entities, tolerance, options.hatches, options.widths);
    let void_layers = by_layer(drawing, &voids, trace_voids);
    let voids = trace_voids(&voids);
    let bodies: Vec<(Vec<TracedLayer>, Body)> =
        bodies.into_iter().map(|body| (traced_layers(drawing, &body.entities, trace), body)).collect();
    composer.findings.extend(without_effect(&bodies, &void_layers));
    let properties = composer.compose(drawing, bodies, voids, job, (unit.millimetres(), tolerance));
    if options.widths == Widths::CentreLine && !wide.is_empty() {
        let solid = Options { widths: Widths::Solid, ..options.clone() };
        let area = |properties: Option<&Section>| properties.map(|p| p.area);
        let bands = area(section(name, drawing, job, spec, &solid).properties());
        composer.findings.extend(said(drawing, &wide, (area(properties.as_ref()), bands)));
    }
    let rings = composer.pieces.iter().map(|piece| &piece.piece.ring);
    let layers = measured_layers(&layers, &entities, rings, tolerance);
    let names: Vec<&str> = layers.iter().map(|l| drawing.layer(*l).name.as_str()).collect();
    let extent = properties.as_ref().map_or(Bounds::EMPTY, |section| section.extent);
    if properties.is_some() {
        composer.findings.extend(plausible::size(&extent, unit));
    }
    let several = composer.regions.len() > 1 || composer.regions.iter().any(|part| part.ratio != 1.0);
    let regions = if several && options.field.is_some() { composer.regions.clone() } else { Vec::new() };
    let measured = Measurement {
        drawing: name.to_owned(),
        section: spec.name.clone(),
        layer: names.join("+"),
        label: None,
        unit,
        unit_source: Some(drawing_unit.source),
        mass: composer.linear_mass.map_or(Mass::Unknown, Mass::PerLength),
        result: properties.map_or(Err(NotMeasured::default()), |properties| {
            let stated = stated(&properties, spec);
            let parts = composer.regions.into_iter().flat_map(|part| part.region.parts).collect();
            let whole = MeasuredSection::new(properties, Region { parts });
            Ok(MeasuredSection { stated, bodies: composer.bodies, ..whole })
        }),
        pieces: composer.pieces,
        findings: row_findings(drawing_unit, &extent, composer.findings),
    };
    let measured = match options.thickness_mm {
        Some(thickness) => measured.as_plate(thickness),
        None => measured,
    };
    match &options.field {
        Some(options) if several => measured.with_field_of(&regions, &composer.shear, options),
        Some(options) => measured.with_field(options),
        None => measured,
    }
}

/// A layer of a body, or several that only together close, with its outlines.
struct TracedLayer {
    name: String,
    traced: Traced,
}

/// Each layer by itself.
fn by_layer(
    drawing: &Drawing,
    entities: &[&Entity],
    trace: impl Fn(&[&Entity]) -> Traced,
) -> Vec<TracedLayer> {
    let mut layers: BTreeMap<LayerIndex, Vec<&Entity>> = BTreeMap::new();
    for entity in entities {
        layers.entry(entity.layer).or_default().push(entity);
    }
    let traced = |(layer, entities): (LayerIndex, Vec<&Entity>)| TracedLayer {
        name: drawing.layer(layer).name.clone(),
        traced: trace(&entities),
    };
    layers.into_iter().map(traced).collect()
}

/// The layers of a body, each traced by itself, so that outlines on different layers are not taken for holes in each other;
/// all together where outlines close only so.
fn traced_layers(
    drawing: &Drawing,
    entities: &[&Entity],
    trace: impl Fn(&[&Entity]) -> Traced,
) -> Vec<TracedLayer> {
    let layers = by_layer(drawing, entities, &trace);
    let has_open = |layer: &&TracedLayer| !layer.traced.open.is_empty() || !layer.traced.findings.is_empty();
    if layers.iter().filter(has_open).count() > 1 {
        let together = trace(entities);
        let alone: usize = layers.iter().map(|layer| layer.traced.all_rings().count()).sum();
        if together.all_rings().count() > alone {
            let names: Vec<&str> = layers.iter().map(|layer| layer.name.as_str()).collect();
            return vec![TracedLayer { name: names.join("+"), traced: together }];
        }
    }
    layers
}

/// What to say of layers that are named and have no effect: nothing on them closes, or what is cut out lies elsewhere.
fn without_effect(bodies: &[(Vec<TracedLayer>, Body)], voids: &[TracedLayer]) -> Vec<Finding> {
    let solid = || bodies.iter().flat_map(|(layers, _)| layers);
    let boxes: Vec<Bounds> =
        solid().flat_map(|layer| layer.traced.all_rings()).map(|ring| ring.bounds()).collect();
    let open = solid().chain(voids).filter(|layer| layer.traced.is_empty());
    let meets = |layer: &&TracedLayer| {
        layer.traced.all_rings().any(|ring| boxes.iter().any(|b| b.meets(&ring.bounds())))
    };
    let elsewhere = voids.iter().filter(|layer| !layer.traced.is_empty() && !meets(layer));
    let finding =
        |code: Code, layer: &TracedLayer| Finding::of(code).with("layer", Value::Layer(layer.name.clone()));
    let open = open.map(|layer| finding(Code::NamedLayerOpen, layer));
    open.chain(elsewhere.map(|layer| finding(Code::VoidElsewhere, layer))).collect()
}

/// The second moments about the axes that the job states, if it states any.
fn stated(properties: &Section, spec: &JobSection) -> Option<Stated> {
    if spec.about.is_none() && spec.turned.is_none() {
        return None;
    }
    let point = spec.about.unwrap_or(properties.centroid);
    let angle = spec.turned.unwrap_or(0.0);
    let moved = properties.second_moments.about(properties.centroid - point, properties.area);
    Some(Stated { point, angle, moments: moved.turned(angle.to_radians()) })
}

/// The least elastic moduli of a transformed section for stresses in one of its materials: at the outermost fibres of that.
fn least_moduli(material: &str, part: &WeightedRegion, section: &Section) -> Finding {
    let (bounds, centroid) = (part.region.bounds(), section.centroid);
    let farthest = |low: f64, high: f64, at: f64| (high - at).abs().max((low - at).abs());
    let least = |second_moment: f64, distance: f64| {
        let modulus = second_moment / (part.ratio * distance);
        // As many digits as a drawing is good for.
        let unit = 10_f64.powf(modulus.abs().log10().floor() - 5.0);
        Value::Number(if unit.is_normal() { (modulus / unit).round() * unit } else { modulus })
    };
    let i = &section.second_moments;
    Finding::of(Code::LeastModuli)
        .with("material", Value::Name(material.to_owned()))
        .with("about_x", least(i.x, farthest(bounds.min.y, bounds.max.y, centroid.y)))
        .with("about_y", least(i.y, farthest(bounds.min.x, bounds.max.x, centroid.x)))
}

/// The layers of a body on which something closes.
fn layers_of(layers: &[TracedLayer]) -> Vec<overlap::Solid<'_>> {
    let closed = layers.iter().filter(|layer| !layer.traced.is_empty());
    closed.map(|layer| overlap::Solid { layers: &layer.name, rings: layer.traced.solids() }).collect()
}

struct Composer {
    findings: Vec<Finding>,
    pieces: Vec<MeasuredPiece>,
    regions: Vec<WeightedRegion>,
    bodies: Vec<MaterialBody>,
    shear: Shear,
    linear_mass: Option<f64>,
}

impl Composer {
    fn fail(&mut self, finding: Finding) -> Option<Section> {
        self.findings.push(finding.weighing(Severity::Failure));
        None
    }

    fn compose(
        &mut self,
        drawing: &Drawing,
        bodies: Vec<(Vec<TracedLayer>, Body)>,
        voids: Traced,
        job: &Job,
        (millimetres, tolerance): (f64, f64),
    ) -> Option<Section> {
        let (mut outlines, bodies): (Vec<Vec<TracedLayer>>, Vec<Body>) = bodies.into_iter().unzip();
        self.findings.extend(voids.findings.iter().cloned());
        let layers = || outlines.iter().flatten();
        let deciding = layers().find_map(|layer| nearly_closed::deciding(&layer.traced, &voids));
        outlines.iter_mut().flatten().for_each(|layer| self.findings.append(&mut layer.traced.findings));
        let broken = self.findings.iter().any(|finding| finding.severity == Severity::Failure);
        self.findings.extend(deciding.iter().cloned());
        if broken || deciding.is_some() {
            return None;
        }
        let voids: Vec<Ring> = voids.all_rings().cloned().collect();
        if outlines.iter().flatten().all(|layer| layer.traced.is_empty()) {
            let mut there: Vec<&str> = drawing.layers.iter().map(|l| l.name.as_str()).collect();
            there.sort_unstable();
            return self.fail(Finding::of(Code::SectionWithoutOutline).with("layers", there.join(", ")));
        }
        self.findings.extend(bodies.iter().filter_map(|body| body.density).filter_map(plausible::density));
        let moduli = bodies.iter().filter_map(|body| Some((body.material.as_deref()?, body.modulus?)));
        self.findings.extend(moduli.filter_map(|(name, modulus)| plausible::modulus(name, modulus)));
        let ratios = match self.ratios(&bodies, job) {
            Ok(ratios) => ratios,
            Err(finding) => return self.fail(*finding),
        };
        let shear = shear_ratios(&bodies, &ratios, job);
        let transforms = ratios.iter().any(|ratio| *ratio != ratios[0]);
        let square_metres = (millimetres * 1e-3).powi(2);
        let solids: Vec<overlap::Solid> = (bodies.iter().zip(&outlines))
            .map(|(body, layers)| overlap::Solid {
                layers: &body.layers,
                rings: layers.iter().flat_map(|layer| layer.traced.solids()).collect(),
            })
            .collect();
        let mut materials: Vec<String> = Vec::new();
        for (k, body) in bodies.iter().enumerate() {
            if solids[k].rings.is_empty() {
                continue;
            }
            let (earlier, solid) = (&solids[..k], &solids[k]);
            let others: Vec<&[Ring]> = earlier.iter().flat_map(|other| other.rings.iter().copied()).collect();
            let bounds = solid.rings.iter().flat_map(|rings| rings.iter());
            let bounds = bounds.fold(Bounds::EMPTY, |all, ring| all.union(ring.bounds()));
            let voids: Vec<Ring> =
                voids.iter().filter(|void| void.bounds().meets(&bounds)).cloned().collect();
            let memory = drawing.memory_left;
            let mut resolved = region::resolve_within(&solid.rings, &others, &voids, tolerance, memory);
            name_layers(&mut resolved, drawing, &body.entities);
            if !others.is_empty() {
                let alone = region::resolve_bodies(&solid.rings, &[], &voids, tolerance).region;
                if let (Some(alone), None) = (&alone, &resolved.region) {
                    let names: Vec<&str> = earlier.iter().map(|other| other.layers).collect();
                    return self.fail(
                        Finding::of(Code::BodyWithinOthers)
                            .with("layers", solid.layers)
                            .with("others", names.join(", "))
                            .at(alone.bounds().center()),
                    );
                }
                let overlaps =
                    alone.map(|alone| overlap::overlaps(solid, earlier, &voids, &alone, tolerance));
                self.findings.extend(overlaps.into_iter().flatten());
            }
            self.findings.extend(overlap::of_layers(&layers_of(&outlines[k]), &voids, tolerance));
            self.findings.extend(resolved.findings);
            self.findings.extend(holes_of_other_layers(&resolved.pieces, drawing, &body.entities));
            let region = resolved.region?;
            let alone = match Section::of(&region) {
                Ok(alone) => alone,
                Err(error) => return self.fail(error.finding()),
            };
            let area = alone.area;
            self.linear_mass =
                self.linear_mass.zip(body.density).map(|(sum, d)| sum + d * area * square_metres);
            let material = body.material.clone().unwrap_or_default();
            let of = Arc::new(Material { name: material.clone(), ratio: ratios[k] });
            let pieces = resolved.pieces.into_iter();
            self.pieces.extend(pieces.map(|piece| MeasuredPiece { piece, of: Some(of.clone()) }));
            if transforms {
                self.bodies.push(MaterialBody {
                    material: material.clone(),
                    ratio: ratios[k],
                    properties: alone,
                    region: region.clone(),
                });
            }
            self.regions.push(WeightedRegion { ratio: ratios[k], region });
            self.shear.push(&shear, k);
            materials.push(material);
        }
        let layers: Vec<overlap::Solid> = outlines.iter().flat_map(|layers| layers_of(layers)).collect();
        self.findings.extend(overlap::gap(&layers, tolerance));
        match Section::transformed(&self.regions) {
            Ok(section) => {
                self.findings.extend(section.findings.iter().cloned());
                let rings = self.pieces.iter().map(|piece| (piece.ratio(), &piece.piece.ring));
                self.findings.extend(slips::finding(rings, &section, tolerance));
                if transforms {
                    let materials = materials.iter().zip(&self.regions);
                    self.findings.extend(materials.map(|(name, part)| least_moduli(name, part, &section)));
                }
                Some(section)
            }
            Err(error) => self.fail(error.finding()),
        }
    }

    /// The modular ratio of each body.
    fn ratios(&mut self, bodies: &[Body], job: &Job) -> Result<Vec<f64>, Box<Finding>> {
        let alike = bodies.iter().all(|b| b.modulus == bodies[0].modulus);
        if bodies.len() < 2 || (alike && job.reference.is_none()) {
            return Ok(vec![1.0; bodies.len()]);
        }
        let missing = |material: Option<&str>| {
            Box::new(match material {
                Some(name) => {
                    Finding::of(Code::ModulusMissing).with("material", Value::Name(name.to_owned()))
                }
                None => Finding::of(Code::MaterialMissing),
            })
        };
        let reference = job.reference.as_deref().or(bodies[0].material.as_deref());
        let modulus = reference
            .and_then(|name| job.materials.get(name))
            .and_then(|m| m.modulus)
            .ok_or_else(|| missing(reference))?;
        let ratios: Vec<f64> = bodies
            .iter()
            .map(|body| body.modulus.map(|m| m / modulus).ok_or_else(|| missing(body.material.as_deref())))
            .collect::<Result<_, _>>()?;
        let row_findings: Vec<String> = bodies
            .iter()
            .zip(&ratios)
            .map(|(b, r)| {
                format!("{} {}", b.material.as_deref().unwrap_or_default(), crate::finding::short(*r))
            })
            .collect();
        self.findings.push(
            Finding::of(Code::Transformed)
                .with("material", reference.unwrap_or_default())
                .with("ratios", row_findings.join(", ")),
        );
        Ok(ratios)
    }
}
