//! Sections composed as a job file says: bodies of one or several materials, voids, stated axes.

use std::collections::BTreeMap;

use super::job::{Job, JobSection};
use super::rows::reading_findings;
use super::widths::{is_wide, said};
use super::{Measurement, Options, Traced, Widths, drawing_unit, nearly_closed, slips, told};
use crate::drawing::{Drawing, Entity, LayerIndex};
use crate::finding::{Finding, Severity};
use crate::geometry::{Bounds, Point};
use crate::outline::Ring;
use crate::region::{self, Piece, Region};
use crate::section::{SecondMoments, Section};

/// A closed outline of a section, and what it is made of.
#[derive(Clone, Debug)]
pub struct MeasuredPiece {
    /// The outline.
    pub piece: Piece,
    /// Name of the material; empty where none is named.
    pub material: String,
    /// Modulus of the material over that of the reference material; 1 where there is one material.
    pub ratio: f64,
}

impl From<Piece> for MeasuredPiece {
    fn from(piece: Piece) -> MeasuredPiece {
        MeasuredPiece { piece, material: String::new(), ratio: 1.0 }
    }
}

/// Second moments about axes that a job states.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stated {
    /// The point that the axes run through, in the drawing's units.
    pub point: Point,
    /// From +x anticlockwise to the first axis, in degrees.
    pub angle: f64,
    /// About those axes.
    pub moments: SecondMoments,
}

/// The layers of one material.
struct Body<'a> {
    material: Option<String>,
    density: Option<f64>,
    modulus: Option<f64>,
    entities: Vec<&'a Entity>,
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
    let mut layers: Vec<LayerIndex> = Vec::new();
    let mut bodies: BTreeMap<usize, Body> = BTreeMap::new();
    let mut voids: Vec<&Entity> = Vec::new();
    for entity in &drawing.entities {
        let layer = drawing.layer(entity.layer);
        if !options.layers.hidden() && (entity.hidden || layer.is_hidden()) {
            continue;
        }
        if spec.void.match_any(&layer.name) {
            voids.push(entity);
            continue;
        }
        let Some(rank) = spec.solid_rank(&layer.name) else { continue };
        if !layers.contains(&entity.layer) {
            layers.push(entity.layer);
        }
        let material = spec.material_of(&layer.name);
        // Layers of one material are one body, ranked by the first of them.
        let same = bodies.iter().find(|(_, body)| body.material.as_deref() == material).map(|(k, _)| *k);
        let key = same.map_or(rank, |k| k.min(rank));
        if let Some(body) = same.filter(|k| *k != key).and_then(|k| bodies.remove(&k)) {
            bodies.insert(key, body);
        }
        let known = material.and_then(|m| job.materials.get(m)).unwrap_or_default();
        let body = bodies.entry(key).or_insert_with(|| Body {
            material: material.map(str::to_owned),
            density: known.density.or(spec.density).or(options.density),
            modulus: known.modulus,
            entities: Vec::new(),
        });
        body.entities.push(entity);
    }
    layers.sort_by_key(|l| drawing.layer(*l).name.to_lowercase());
    let names: Vec<&str> = layers.iter().map(|l| drawing.layer(*l).name.as_str()).collect();
    let mut composer = Composer {
        findings: reading_findings(drawing, &layers),
        pieces: Vec::new(),
        regions: Vec::new(),
        linear_mass: Some(0.0),
    };
    let trace = |entities: &[&Entity]| Traced::of(entities, tolerance, options.hatches, options.widths);
    let wide: Vec<&Entity> = bodies.values().flat_map(|body| &body.entities).chain(&voids).copied().collect();
    let wide: Vec<&Entity> = wide.into_iter().filter(|e| is_wide(e)).collect();
    let voids = Traced::voids(&voids, tolerance, options.hatches, options.widths);
    let bodies = bodies.into_values().map(|body| (trace(&body.entities), body)).collect();
    let properties = composer.compose(drawing, bodies, voids, job, (unit.millimetres(), tolerance));
    if options.widths == Widths::CentreLine && !wide.is_empty() {
        let solid = Options { widths: Widths::Solid, ..options.clone() };
        let area = |properties: Option<&Section>| properties.map(|p| p.area);
        let bands = area(section(name, drawing, job, spec, &solid).properties.as_ref());
        composer.findings.extend(said(drawing, &wide, (area(properties.as_ref()), bands)));
    }
    let stated = properties.as_ref().and_then(|p| stated(p, spec));
    let extent = properties.as_ref().map_or(Bounds::EMPTY, |section| section.extent);
    let measured = Measurement {
        drawing: name.to_owned(),
        section: spec.name.clone(),
        layer: names.join("+"),
        label: None,
        unit,
        density: None,
        plate: None,
        linear_mass: properties.as_ref().and(composer.linear_mass),
        stated,
        region: properties.as_ref().map(|_| Region {
            parts: composer.regions.into_iter().flat_map(|(_, region)| region.parts).collect(),
        }),
        properties,
        pieces: composer.pieces,
        findings: told(drawing_unit, &extent, composer.findings),
    };
    match options.thickness_mm {
        Some(thickness) => measured.as_plate(thickness),
        None => measured,
    }
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

struct Composer {
    findings: Vec<Finding>,
    pieces: Vec<MeasuredPiece>,
    regions: Vec<(f64, Region)>,
    linear_mass: Option<f64>,
}

impl Composer {
    fn fail(&mut self, finding: Finding) -> Option<Section> {
        self.findings.push(Finding { severity: Severity::Failure, ..finding });
        None
    }

    fn compose(
        &mut self,
        drawing: &Drawing,
        bodies: Vec<(Traced, Body)>,
        voids: Traced,
        job: &Job,
        (millimetres, tolerance): (f64, f64),
    ) -> Option<Section> {
        let (mut outlines, bodies): (Vec<Traced>, Vec<Body>) = bodies.into_iter().unzip();
        self.findings.extend(voids.findings.iter().cloned());
        outlines.iter_mut().for_each(|traced| self.findings.append(&mut traced.findings));
        let deciding = outlines.iter().find_map(|traced| nearly_closed::deciding(traced, &voids));
        let broken = self.findings.iter().any(|finding| finding.severity == Severity::Failure);
        self.findings.extend(deciding.iter().cloned());
        if broken || deciding.is_some() {
            return None;
        }
        let voids: Vec<Ring> = voids.all_rings().cloned().collect();
        if outlines.iter().all(Traced::is_empty) {
            let mut there: Vec<&str> = drawing.layers.iter().map(|l| l.name.as_str()).collect();
            there.sort_unstable();
            let message = format!(
                "no closed outline on the layers of this section; the drawing has: {}",
                there.join(", ")
            );
            return self.fail(Finding::failure(message).hint("check solid in the job file"));
        }
        let ratios = match self.ratios(&bodies, job) {
            Ok(ratios) => ratios,
            Err(finding) => return self.fail(*finding),
        };
        let square_metres = (millimetres * 1e-3).powi(2);
        for (k, body) in bodies.iter().enumerate() {
            if outlines[k].is_empty() {
                continue;
            }
            let earlier: Vec<&[Ring]> = outlines[..k].iter().flat_map(Traced::solids).collect();
            let resolved = region::resolve_bodies(&outlines[k].solids(), &earlier, &voids, tolerance);
            self.findings.extend(resolved.findings);
            let region = resolved.region?;
            let area = match Section::of(&region) {
                Ok(alone) => alone.area,
                Err(error) => return self.fail(Finding::failure(error.to_string()).hint(error.hint())),
            };
            self.linear_mass =
                self.linear_mass.zip(body.density).map(|(sum, d)| sum + d * area * square_metres);
            let material = body.material.clone().unwrap_or_default();
            self.pieces.extend(resolved.pieces.into_iter().map(|piece| MeasuredPiece {
                piece,
                material: material.clone(),
                ratio: ratios[k],
            }));
            self.regions.push((ratios[k], region));
        }
        let parts: Vec<(f64, &Region)> =
            self.regions.iter().map(|(ratio, region)| (*ratio, region)).collect();
        let one_stiffness = ratios.iter().all(|r| *r == 1.0);
        let measured = if one_stiffness { Section::of_all(&parts) } else { Section::transformed(&parts) };
        match measured {
            Ok(section) => {
                self.findings.extend(section.findings.iter().cloned());
                let rings = self.pieces.iter().map(|piece| (piece.ratio, &piece.piece.ring));
                self.findings.extend(slips::finding(rings, &section, tolerance));
                Some(section)
            }
            Err(error) => self.fail(Finding::failure(error.to_string()).hint(error.hint())),
        }
    }

    /// The modular ratio of each body.
    fn ratios(&mut self, bodies: &[Body], job: &Job) -> Result<Vec<f64>, Box<Finding>> {
        let alike = bodies.iter().all(|b| b.modulus == bodies[0].modulus);
        if bodies.len() < 2 || (alike && job.reference.is_none()) {
            return Ok(vec![1.0; bodies.len()]);
        }
        let missing = |material: Option<&str>| {
            Box::new(
                Finding::failure(match material {
                    Some(name) => {
                        format!("the material “{name}” has no modulus, so the section can't be transformed")
                    }
                    None => "a layer of this section has no material beside layers that have one".to_owned(),
                })
                .hint("give every layer a material with a modulus in the job file"),
            )
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
        let told: Vec<String> = bodies
            .iter()
            .zip(&ratios)
            .map(|(b, r)| {
                format!("{} {}", b.material.as_deref().unwrap_or_default(), crate::finding::short(*r))
            })
            .collect();
        self.findings.push(Finding::note(format!(
            "transformed section, reference material {}; modular ratios: {}; plastic moduli are not given for it",
            reference.unwrap_or_default(),
            told.join(", ")
        )));
        Ok(ratios)
    }
}
