//! What is to be said beside a row: of its layers, of what was passed over, of what else lies on them.

use std::collections::{BTreeMap, BTreeSet};

use super::traced::drawn;
use super::widths::is_wide;
use super::{DEFAULT_JOIN_MM, Options};
use crate::drawing::{Drawing, Entity, Layer, LayerIndex, Reason};
use crate::finding::{Code, Finding, Position, Value};
use crate::geometry::Bounds;
use crate::outline::Ring;
use crate::region::{self, Piece};

/// Names the layers of outlines that cross, where they are several.
pub(super) fn name_layers(resolved: &mut region::Resolved, drawing: &Drawing, entities: &[&Entity]) {
    let positions: BTreeSet<Position> =
        resolved.crossing.iter().filter_map(|ring| ring.origin().position).collect();
    let of_crossing = entities.iter().filter(|entity| positions.contains(&entity.position()));
    let layers: BTreeSet<&str> =
        of_crossing.map(|entity| drawing.layer(entity.layer).name.as_str()).collect();
    if layers.len() < 2 {
        return;
    }
    let names = layers.into_iter().collect::<Vec<_>>().join(", ");
    for finding in resolved.findings.iter_mut().filter(|finding| finding.code == Code::OutlinesCross) {
        *finding = finding.clone().with("layers", names.as_str());
    }
}

/// The layers, of several, on which something is drawn that bounds one of the pieces; all of them where there is none.
pub(super) fn measured_layers<'a>(
    layers: &[LayerIndex],
    entities: &[&Entity],
    pieces: impl IntoIterator<Item = &'a Ring>,
    tolerance: f64,
) -> Vec<LayerIndex> {
    /// Outlines are cut and joined within some tolerances of what is drawn.
    const NEAR: f64 = 4.0;
    let rings: Vec<&Ring> = pieces.into_iter().collect();
    if layers.len() < 2 || rings.is_empty() {
        return layers.to_vec();
    }
    let near = NEAR * tolerance;
    let located = region::Rings::new(&rings);
    let bounds_one = |entity: &&&Entity| {
        entity.kind.is_body()
            || is_wide(entity)
            || drawn(entity).flat_map(|path| path.curves).any(|curve| {
                let place = curve.at(0.5);
                located.near_within(place, near).iter().any(|ring| located.located[*ring].is_on(place, near))
            })
    };
    let mut found: BTreeSet<LayerIndex> = BTreeSet::new();
    for entity in entities {
        if !found.contains(&entity.layer) && bounds_one(&entity) {
            found.insert(entity.layer);
        }
    }
    let measured: Vec<LayerIndex> = layers.iter().copied().filter(|layer| found.contains(layer)).collect();
    if measured.is_empty() { layers.to_vec() } else { measured }
}

/// What to say of layers of which nothing is solid, but outlines are holes in the solid of others.
pub(super) fn holes_of_other_layers(
    pieces: &[Piece],
    drawing: &Drawing,
    entities: &[&Entity],
) -> Vec<Finding> {
    let first = entities.first().map(|entity| entity.layer);
    if entities.iter().all(|entity| Some(entity.layer) == first) {
        return Vec::new();
    }
    let layer_at: BTreeMap<Position, LayerIndex> = entities.iter().map(|e| (e.position(), e.layer)).collect();
    let mut holes: BTreeMap<LayerIndex, (usize, f64)> = BTreeMap::new();
    let mut solid: BTreeSet<LayerIndex> = BTreeSet::new();
    for piece in pieces {
        let Some(layer) = piece.ring.origin().position.and_then(|at| layer_at.get(&at)) else { continue };
        if piece.solid {
            solid.insert(*layer);
        } else {
            let (count, area) = holes.entry(*layer).or_default();
            (*count, *area) = (*count + 1, *area + piece.ring.area());
        }
    }
    let others = holes.into_iter().filter(|(layer, _)| !solid.contains(layer));
    let finding = |(layer, (count, area)): (LayerIndex, (usize, f64))| {
        Finding::of(Code::HolesOfOtherLayer)
            .with("count", count)
            .with("layer", Value::Layer(drawing.layer(layer).name.clone()))
            .with("area", Value::Area(area))
    };
    others.map(finding).collect()
}

/// What to say of a joining tolerance that was stated, where it is large beside what is drawn.
pub(super) fn wide_join(entities: &[&Entity], options: &Options, tolerance: f64) -> Option<Finding> {
    /// A gap of this share of a part is no slip of drafting.
    const WIDE: f64 = 0.01;
    if options.join_mm <= DEFAULT_JOIN_MM {
        return None;
    }
    let size = entities.iter().fold(Bounds::EMPTY, |all, entity| all.union(entity.shape.bounds())).size();
    (tolerance > WIDE * size).then(|| {
        Finding::of(Code::JoinWide).with("join", Value::Length(tolerance)).with("size", Value::Length(size))
    })
}

/// What the reading of the drawing found that concerns these layers: damage, what was passed over.
pub(super) fn reading_findings(drawing: &Drawing, layers: &[LayerIndex]) -> Vec<Finding> {
    let mut findings: Vec<Finding> = Vec::new();
    let concerns =
        |name: &String| layers.iter().any(|l| drawing.layer(*l).name.to_lowercase() == name.to_lowercase());
    let row_findings = drawing.findings.iter().filter(|f| f.place.layer.as_ref().is_none_or(concerns));
    findings.extend(row_findings.cloned());
    for layer in layers.iter().map(|l| drawing.layer(*l)).filter(|layer| !layer.is_plotted()) {
        findings.push(not_plotted(layer, layers.len() > 1));
    }
    for passed in &drawing.passed_over {
        if !passed.layer.is_some_and(|layer| layers.contains(&layer)) {
            continue;
        }
        match passed.reason {
            // Each of these has a finding of its own, which says what it holds.
            Reason::NotReadYet if matches!(passed.kind.as_str(), "REGION" | "BODY") => {}
            Reason::NotReadYet | Reason::TiltedPlane => {
                let finding = Finding::of(Code::EntitiesPassedOver)
                    .with("entity", passed.kind.as_str())
                    .with("count", passed.count)
                    .with("reason", passed.reason.to_string());
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
    let code = if beside_others { Code::LayerNotPlottedBeside } else { Code::LayerNotPlotted };
    Finding::of(code).with("layer", Value::Layer(layer.name.clone()))
}
