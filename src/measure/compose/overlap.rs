//! How the bodies of a composed section lie to each other: where they overlap, and whether they touch.

use std::borrow::Cow;

use crate::finding::{Code, Finding, Severity, Value};
use crate::geometry::near::Grid;
use crate::geometry::{Bounds, Curve};
use crate::measure::filled::area_of;
use crate::outline::Ring;
use crate::region::{Region, resolve_bodies};

/// A body, or a layer of one, as it was drawn.
pub(super) struct Solid<'a> {
    /// Names of its layers.
    pub layers: &'a str,
    pub rings: Vec<&'a [Ring]>,
}

/// What is to be said of a body that is cut by those before it: how much of its area goes to which. `alone` is what it would
/// fill by itself.
pub(super) fn overlaps(
    body: &Solid,
    earlier: &[Solid],
    voids: &[Ring],
    alone: &Region,
    tolerance: f64,
) -> Vec<Finding> {
    /// What is less than this share of a body is rounding along edges that touch.
    const ROUNDING: f64 = 1e-9;
    let whole = area_of(alone);
    let near = alone.bounds().grown(tolerance);
    let mut findings = Vec::new();
    for other in earlier {
        let bounds = other.rings.iter().flat_map(|rings| rings.iter());
        if !bounds.fold(Bounds::EMPTY, |all, ring| all.union(ring.bounds())).meets(&near) {
            continue;
        }
        let left = resolve_bodies(&body.rings, &other.rings, voids, tolerance).region;
        let shared = whole - left.as_ref().map_or(0.0, area_of);
        if shared <= ROUNDING * whole {
            continue;
        }
        let of_other =
            resolve_bodies(&other.rings, &[], voids, tolerance).region.as_ref().map_or(0.0, area_of);
        let is_within = shared >= of_other * (1.0 - ROUNDING);
        let finding = Finding::of(Code::BodiesOverlap)
            .with("layers", body.layers)
            .with("others", other.layers)
            .with("area", Value::Area(shared));
        // Steel within concrete is meant; bodies of which each reaches beyond the other may not be.
        findings.push(if is_within { finding.weighing(Severity::Note) } else { finding });
    }
    findings
}

/// What is to be said of layers of one body that overlap: what they share counts once.
pub(super) fn of_layers(layers: &[Solid], voids: &[Ring], tolerance: f64) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (k, layer) in layers.iter().enumerate().skip(1) {
        if let Some(alone) = resolve_bodies(&layer.rings, &[], voids, tolerance).region {
            let shared = overlaps(layer, &layers[..k], voids, &alone, tolerance);
            findings.extend(shared.into_iter().map(|finding| {
                finding
                    .values()
                    .iter()
                    .fold(Finding::of(Code::LayersOverlap), |new, (key, value)| new.with(key, value.clone()))
            }));
        }
    }
    findings
}

/// What is to be said of layers of which some touch none of the others: the narrowest gap between them.
pub(super) fn gap(layers: &[Solid], tolerance: f64) -> Option<Finding> {
    // Those that hang together with the first, and those that are left.
    let (mut joined, mut apart): (Vec<usize>, Vec<usize>) = (vec![0], (1..layers.len()).collect());
    while !apart.is_empty() {
        let pairs = joined.iter().flat_map(|i| apart.iter().map(move |j| (*i, *j)));
        let (gap, i, j) = pairs
            .map(|(i, j)| (between(&layers[i], &layers[j], tolerance), i, j))
            .min_by(|a, b| a.0.total_cmp(&b.0))?;
        if gap > tolerance {
            let finding = Finding::of(Code::BodiesApart)
                .with("layers", layers[i].layers)
                .with("others", layers[j].layers)
                .with("gap", Value::Length(gap));
            return Some(finding);
        }
        apart.retain(|layer| *layer != j);
        joined.push(j);
    }
    None
}

/// The narrowest gap between two layers, 0 where the one lies in the other; not sought on where it is within the tolerance.
fn between(a: &Solid, b: &Solid, tolerance: f64) -> f64 {
    let rings = |solid: &Solid| -> Vec<Ring> { solid.rings.iter().flat_map(|r| r.iter().cloned()).collect() };
    let (of_a, of_b) = (rings(a), rings(b));
    // Solid, hole, solid: what an odd number of rings goes round.
    let lies_in = |inner: &[Ring], outer: &[Ring]| {
        inner.iter().any(|ring| {
            let place = ring.curves()[0].at(0.5);
            outer.iter().filter(|other| other.contains(place)).count() % 2 == 1
        })
    };
    if lies_in(&of_a, &of_b) || lies_in(&of_b, &of_a) {
        return 0.0;
    }
    let curves = |rings: &[Ring]| -> Vec<Curve> {
        rings.iter().flat_map(|ring| ring.curves()).map(Cow::into_owned).collect()
    };
    let (first, second) = (curves(&of_a), curves(&of_b));
    let boxes: Vec<Bounds> = second.iter().map(Curve::bounds).collect();
    let grid = Grid::over(&boxes, tolerance);
    let mut narrowest = f64::INFINITY;
    for curve in &first {
        let bounds = curve.bounds();
        let reach = 0.5 * bounds.size();
        // What lies near the middle of the curve may be nearer to its ends.
        grid.outwards(bounds.center(), |k| {
            if narrowest > tolerance && box_gap(&bounds, &boxes[k]) < narrowest {
                narrowest = narrowest.min(apart(curve, &second[k]));
            }
            if narrowest <= tolerance { 0.0 } else { narrowest + reach }
        });
    }
    narrowest
}

/// How far two boxes are apart.
fn box_gap(a: &Bounds, b: &Bounds) -> f64 {
    let beyond = |low: f64, high: f64| (low - high).max(0.0);
    let across = beyond(a.min.x, b.max.x).max(beyond(b.min.x, a.max.x));
    let up = beyond(a.min.y, b.max.y).max(beyond(b.min.y, a.max.y));
    across.hypot(up)
}

/// How far two curves are apart: from some places of the one to the nearest of the other and back, until that settles.
fn apart(a: &Curve, b: &Curve) -> f64 {
    const SEEDS: [f64; 5] = [0.0, 0.25, 0.5, 0.75, 1.0];
    const STEPS: usize = 64;
    let settle = |seed: f64| {
        let (mut place, mut narrowest) = (a.at(seed), f64::INFINITY);
        for _ in 0..STEPS {
            let on_b = b.at(b.nearest(place));
            place = a.at(a.nearest(on_b));
            let gap = place.distance(on_b);
            if gap >= narrowest {
                break;
            }
            narrowest = gap;
        }
        narrowest
    };
    SEEDS.into_iter().map(settle).fold(f64::INFINITY, f64::min)
}
