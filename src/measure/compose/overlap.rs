//! How the bodies of a composed section lie to each other: where they overlap, and whether they touch.

use crate::finding::{Code, Finding, Severity, Value};
use crate::geometry::near::Grid;
use crate::geometry::{Bounds, Curve};
use crate::measure::filled::area_of;
use crate::outline::Ring;
use crate::region::{Region, resolve_bodies};

/// A body as it was drawn.
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
        if !bounds.fold(Bounds::EMPTY, |all, ring| all.union(*ring.bounds())).meets(&near) {
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

/// What is to be said of bodies of which some touch none of the others: the narrowest gap between them.
pub(super) fn gap(bodies: &[(&str, &Region)], tolerance: f64) -> Option<Finding> {
    // The bodies that hang together with the first, and those that are left.
    let (mut joined, mut apart): (Vec<usize>, Vec<usize>) = (vec![0], (1..bodies.len()).collect());
    loop {
        let pairs = joined.iter().flat_map(|i| apart.iter().map(move |j| (*i, *j)));
        let (gap, i, j) = pairs
            .map(|(i, j)| (between(bodies[i].1, bodies[j].1, tolerance), i, j))
            .min_by(|a, b| a.0.total_cmp(&b.0))?;
        if gap > tolerance {
            let finding = Finding::of(Code::BodiesApart)
                .with("layers", bodies[i].0)
                .with("others", bodies[j].0)
                .with("gap", Value::Length(gap));
            return Some(finding);
        }
        apart.retain(|body| *body != j);
        joined.push(j);
    }
}

/// The narrowest gap between the edges of two regions; not sought on where it is within the tolerance.
fn between(a: &Region, b: &Region, tolerance: f64) -> f64 {
    let curves = |region: &'_ Region| -> Vec<Curve> {
        region.rings().flat_map(|(_, ring)| ring.curves().iter().cloned()).collect()
    };
    let (first, second) = (curves(a), curves(b));
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
