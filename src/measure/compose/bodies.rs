//! The bodies of a section that a job composes: which layers are solid, of which material, and which are cut out.

use std::collections::BTreeSet;

use crate::drawing::{Drawing, Entity, Layer, LayerIndex};
use crate::finding::{Code, Finding, Value, nearest};
use crate::measure::Options;
use crate::measure::job::{Job, JobSection};

/// The layers of one material. Where bodies overlap, the first is kept whole.
pub(super) struct Body<'a> {
    pub material: Option<String>,
    pub density: Option<f64>,
    pub modulus: Option<f64>,
    pub shear_modulus: Option<f64>,
    /// The names of its layers, joined by `+`.
    pub layers: String,
    pub entities: Vec<&'a Entity>,
}

/// What a section takes from a drawing.
pub(super) struct Taken<'a> {
    /// The bodies, in the order in which `solid` names the first layer of each; of layers that one pattern names, in the
    /// order of their names.
    pub bodies: Vec<Body<'a>>,
    /// What is cut out.
    pub voids: Vec<&'a Entity>,
    /// The layers of the bodies, by name.
    pub layers: Vec<LayerIndex>,
    /// What is to be said of names, and of layers that are off or frozen.
    pub findings: Vec<Finding>,
}

/// What becomes of the entities of a layer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Use {
    No,
    Void,
    /// Of the body with this number.
    Body(usize),
}

impl<'a> Taken<'a> {
    pub fn of(drawing: &'a Drawing, job: &Job, section: &JobSection, options: &Options) -> Taken<'a> {
        let shown = |entity: &&Entity| options.layers.hidden() || !entity.hidden;
        let drawn: BTreeSet<LayerIndex> = drawing.entities.iter().filter(shown).map(|e| e.layer).collect();
        let mut findings = unknown_names(drawing, section);
        let (mut measured, mut left_out, mut bare) = (Vec::new(), Vec::new(), Vec::new());
        let mut twice = Vec::new();
        let mut uses = vec![Use::No; drawing.layers.len()];
        let mut solid: Vec<(usize, String, LayerIndex)> = Vec::new();
        for index in drawing.layer_indices() {
            let layer = drawing.layer(index);
            let name = layer.name.as_str();
            let is_void = section.is_void(name);
            if section.names_twice(name) {
                twice.push(name);
            }
            let rank = section.solid_rank(name).filter(|_| !is_void);
            if !is_void && rank.is_none() {
                continue;
            }
            if !drawn.contains(&index) {
                bare.extend(rank.filter(|_| section.names(name)).map(|_| name));
                continue;
            }
            if layer.is_hidden() && !options.layers.hidden() {
                if !section.names(name) {
                    left_out.push(name);
                    continue;
                }
                measured.push(name);
            }
            match rank {
                Some(rank) => solid.push((rank, name.to_lowercase(), index)),
                None => uses[index.index()] = Use::Void,
            }
        }
        findings.extend(listed(Code::LayersSolidAndVoid, twice));
        findings.extend(listed(Code::HiddenLayersNamed, measured));
        findings.extend(listed(Code::HiddenLayersByPattern, left_out));
        findings.extend(listed(Code::NamedLayersEmpty, bare));
        solid.sort();
        let mut bodies: Vec<Body> = Vec::new();
        for (_, _, index) in &solid {
            let name = &drawing.layer(*index).name;
            let material = section.material_of(name);
            let known = bodies.iter().position(|body| body.material.as_deref() == material);
            uses[index.index()] = Use::Body(known.unwrap_or(bodies.len()));
            match known {
                Some(known) => bodies[known].layers = format!("{}+{name}", bodies[known].layers),
                None => bodies.push(Body::of(name, material, job, section, options)),
            }
        }
        let mut voids = Vec::new();
        for entity in drawing.entities.iter().filter(shown) {
            match uses[entity.layer.index()] {
                Use::No => {}
                Use::Void => voids.push(entity),
                Use::Body(body) => bodies[body].entities.push(entity),
            }
        }
        findings.extend(densities_that_differ(&bodies, job, section, options));
        solid.sort_by(|a, b| a.1.cmp(&b.1));
        Taken { bodies, voids, layers: solid.into_iter().map(|(_, _, index)| index).collect(), findings }
    }
}

impl Body<'_> {
    fn of(layer: &str, material: Option<&str>, job: &Job, section: &JobSection, options: &Options) -> Self {
        let known = material.and_then(|m| job.materials.get(m)).unwrap_or_default();
        Body {
            material: material.map(str::to_owned),
            density: known.density.or(section.density).or(options.density),
            modulus: known.modulus,
            shear_modulus: known.shear_modulus,
            layers: layer.to_owned(),
            entities: Vec::new(),
        }
    }
}

/// A failure where a body has several densities: by its material, by the section, by whoever measures.
fn densities_that_differ(
    bodies: &[Body],
    job: &Job,
    section: &JobSection,
    options: &Options,
) -> Option<Finding> {
    bodies.iter().find_map(|body| {
        let material = body.material.as_deref().and_then(|name| job.materials.get(name));
        let stated = [material.and_then(|m| m.density), section.density, options.density];
        let mut densities = stated.into_iter().flatten();
        let first = densities.next()?;
        let other = densities.find(|other| *other != first)?;
        Some(
            Finding::of(Code::DensitiesDiffer)
                .with("layers", body.layers.as_str())
                .with("first", Value::Number(first))
                .with("other", Value::Number(other)),
        )
    })
}

/// A finding that lists layers, if there are any.
fn listed(code: Code, mut layers: Vec<&str>) -> Option<Finding> {
    layers.sort_by_key(|name| name.to_lowercase());
    (!layers.is_empty()).then(|| Finding::of(code).with("layers", layers.join(", ")))
}

/// A failure for each name of the section that no layer of the drawing has: what it names would be missing in the figures.
fn unknown_names(drawing: &Drawing, section: &JobSection) -> Vec<Finding> {
    /// So many layers are listed where none has a name near to the one that is missing.
    const LISTED: usize = 12;
    let mut layers: Vec<&str> = drawing.layers.iter().map(|layer: &Layer| layer.name.as_str()).collect();
    layers.sort_by_key(|name| name.to_lowercase());
    let shown = |layers: &[&str]| match layers.len() {
        0 => None,
        count if count > LISTED => {
            Some(format!("{} and {} more", layers[..LISTED].join(", "), count - LISTED))
        }
        _ => Some(layers.join(", ")),
    };
    let unknown = section.unmatched(layers.iter().copied());
    let finding = |(key, name): (&str, String)| {
        let near = nearest(&name, layers.iter().copied());
        Finding::of(Code::JobLayerUnknown)
            .with("name", Value::Name(name.clone()))
            .with("key", key)
            .with_some("near", near.map(|near| Value::Layer(near.to_owned())))
            .with_some("layers", shown(&layers).filter(|_| near.is_none()).map(Value::Text))
    };
    unknown.into_iter().map(finding).collect()
}
