//! The smallest rectangle of any direction around a region: the stock that a plate is cut from.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use crate::geometry::{Bounds, Curve, Point};
use crate::outline::flatten;
use crate::region::{Region, convex_hull};

/// The rectangle of least area that holds a region, turned freely. No allowance for the cut is added.
///
/// Length and width are the extents of the curves themselves along and across its direction, right to rounding
/// (1e-12 of the size, as long as the coordinates are no larger than about 1e3 times the size), so that the rectangle
/// holds every curve. Its direction: where straight edges or corners decide, the least area is that of one
/// edge of the convex hull, and all of them are tried. Where curves decide, the best 64 directions of a hull of chords
/// are polished on the curves until only rounding is left; the area is then the least there is, to rounding, unless more
/// than 64 directions are alike within the error of the chords, and even then it is at most
/// 2e-6·size·(1/length + 1/width) of itself larger.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StockRectangle {
    /// The longer side, in length.
    pub length: f64,
    /// The shorter side, in length.
    pub width: f64,
    /// From +x anticlockwise to the longer side, in radians within (−π/2, π/2]. Where several rectangles are equally
    /// small: 0 or π/2 if an upright one is among them, else along the longest straight edge. Within (−π/4, π/4] for
    /// a square.
    pub angle: f64,
    /// Its middle, in drawing coordinates.
    pub center: Point,
}

/// The chords of the hull keep within this share of the size of the curves: some 1,500 chords for a disc.
const CHORDS: f64 = 1e-6;

/// So many directions are polished; a shape that is not nearly round has a handful.
const POLISHED: usize = 64;

/// Areas that differ by less than this share are equal: a few hundred times the rounding of an extent near the origin.
const EQUAL: f64 = 1e-13;

/// Directions nearer than this (radians) are one: opposite sides of a rectangle are parallel but for rounding.
const PARALLEL: f64 = 1e-9;

/// Beyond this size products of coordinates may overflow.
const LARGEST: f64 = 1e140;

impl StockRectangle {
    /// The smallest rectangle around `region`; `None` where it has no parts or is too large or too small to be
    /// measured.
    pub fn around(region: &Region) -> Option<StockRectangle> {
        let bounds = region.bounds();
        let size = bounds.size();
        if !(size > LARGEST.recip() && bounds.reach() < LARGEST) {
            return None;
        }
        if let Some(square) = around_disc(region) {
            return Some(square);
        }
        let origin = bounds.center();
        let cover = Cover::of(region, origin, CHORDS * size);
        let equal = 1.0 + EQUAL * (bounds.reach() / size).max(1.0);
        let best = cover.smallest(equal);
        let (mut along, mut across) = (best.along, best.across);
        let mut direction = best.direction;
        let middle = |(low, high): (f64, f64)| 0.5 * (low + high);
        let center = origin + direction * middle(along) + direction.quarter_turned() * middle(across);
        let span = |(low, high): (f64, f64)| high - low;
        let (first, second) = (span(along), span(across));
        let square = first <= second * equal && second <= first * equal;
        let steeper =
            half_turn(direction.angle()).abs() > half_turn(direction.quarter_turned().angle()).abs();
        if second > first && !square || square && steeper {
            direction = direction.quarter_turned();
            (along, across) = (across, along);
        }
        let (length, width) = (span(along).max(span(across)), span(along).min(span(across)));
        Some(StockRectangle { length, width, angle: half_turn(direction.angle()), center })
    }

    /// Length × width.
    pub fn area(&self) -> f64 {
        self.length * self.width
    }
}

/// Around a disc drawn as one circle, which needs no search: bores and round bars come by the thousand.
fn around_disc(region: &Region) -> Option<StockRectangle> {
    let [part] = region.parts.as_slice() else { return None };
    match part.edge.curves()[..] {
        [Curve::Arc(arc)] if part.edge.gap() == 0.0 => {
            let side = 2.0 * arc.radius;
            Some(StockRectangle { length: side, width: side, angle: 0.0, center: arc.center })
        }
        _ => None,
    }
}

/// The direction of a line, which is the same half a turn on, within (−π/2, π/2].
fn half_turn(angle: f64) -> f64 {
    let mut angle = angle;
    if angle > FRAC_PI_2 {
        angle -= PI;
    }
    // What is upright but for rounding is upright one way, not the other.
    if angle <= EQUAL - FRAC_PI_2 { (angle + PI).min(FRAC_PI_2) } else { angle }
}

/// What a rectangle must hold: the corners of the hull of the chords, and the curves between them.
struct Cover {
    corners: Vec<Point>,
    /// Anticlockwise turn from the first edge of the hull to each edge, rising.
    turns: Vec<f64>,
    curved: Vec<Bent>,
    /// No point is farther than this from the origin.
    reach: f64,
}

/// A curve that is not straight, and its box, which tells of most curves that they do not reach far enough.
struct Bent {
    curve: Curve,
    bounds: Bounds,
}

impl Bent {
    /// No point of the curve lies farther in `direction` than this.
    fn reach(&self, direction: Point) -> f64 {
        let Bounds { min, max } = self.bounds;
        (direction.x * min.x).max(direction.x * max.x) + (direction.y * min.y).max(direction.y * max.y)
    }
}

/// The extents in one direction and across it.
#[derive(Clone, Copy)]
struct Extents {
    direction: Point,
    along: (f64, f64),
    across: (f64, f64),
    /// Derivative of the area by the angle of the direction.
    slope: f64,
    /// Length of the straight edge along which the direction was taken; 0 where there is none.
    edge: f64,
}

impl Extents {
    fn area(&self) -> f64 {
        (self.along.1 - self.along.0) * (self.across.1 - self.across.0)
    }
}

impl Cover {
    /// The outer edges of `region` with `origin` as the origin; holes lie within.
    fn of(region: &Region, origin: Point, tolerance: f64) -> Cover {
        let mut points = Vec::new();
        let mut curved = Vec::new();
        for part in &region.parts {
            points.extend(flatten(&part.edge, tolerance).into_iter().map(|p| p - origin));
            let curves = part.edge.curves();
            let curves = curves.iter().filter(|c| !matches!(c, Curve::Line(_)));
            curved
                .extend(curves.map(|c| c.translated(-origin)).map(|c| Bent { bounds: c.bounds(), curve: c }));
        }
        let corners = convex_hull(&points);
        let mut turns = Vec::with_capacity(corners.len());
        let mut turned = 0.0;
        for k in 0..corners.len() {
            if k > 0 {
                let (before, edge) = (edge(&corners, k - 1), edge(&corners, k));
                turned += before.cross(edge).atan2(before.dot(edge)).max(0.0);
            }
            turns.push(turned);
        }
        let far = corners.iter().map(|p| p.length()).fold(0.0, f64::max);
        Cover { corners, turns, curved, reach: far + tolerance }
    }

    /// The corner that lies farthest in `direction`.
    fn farthest_corner(&self, direction: Point) -> Point {
        let count = self.corners.len();
        if count < 2 {
            return self.corners.first().copied().unwrap_or_default();
        }
        let (first, forward) = (edge(&self.corners, 0), direction.quarter_turned());
        let turn = first.cross(forward).atan2(first.dot(forward)).rem_euclid(TAU);
        let mut k = self.turns.partition_point(|t| *t < turn) % count;
        // Sums of turns are rounded: the neighbours have the last word.
        let height = |k: usize| direction.dot(self.corners[k]);
        for step in [1, count - 1] {
            while height((k + step) % count) > height(k) {
                k = (k + step) % count;
            }
        }
        self.corners[k]
    }

    /// The point of the corners and of `curves` that lies farthest in `direction`.
    fn farthest(&self, direction: Point, curves: &[&Bent]) -> Point {
        curves.iter().fold(self.farthest_corner(direction), |farthest, bent| {
            if bent.reach(direction) <= direction.dot(farthest) {
                return farthest;
            }
            farther(farthest, farthest_inside(&bent.curve, direction), direction)
        })
    }

    /// The extents with `direction` to the right.
    fn extents(&self, direction: Point, curves: &[&Bent]) -> Extents {
        let up = direction.quarter_turned();
        let (right, left) = (self.farthest(direction, curves), self.farthest(-direction, curves));
        let (top, bottom) = (self.farthest(up, curves), self.farthest(-up, curves));
        let along = (direction.dot(left), direction.dot(right));
        let across = (up.dot(bottom), up.dot(top));
        // Turning the page moves it under the points that touch the sides.
        let slope =
            up.dot(right - left) * (across.1 - across.0) - (along.1 - along.0) * direction.dot(top - bottom);
        Extents { direction, along, across, slope, edge: 0.0 }
    }

    /// The extents of least area. Areas within the factor `equal` are equal.
    fn smallest(&self, equal: f64) -> Extents {
        let curves: Vec<&Bent> = self.curved.iter().collect();
        let upright = self.extents(Point::new(1.0, 0.0), &curves);
        let mut found = vec![upright];
        let mut least = upright.area();
        let mut edges: Vec<(Extents, f64)> = Vec::with_capacity(self.corners.len());
        for k in 0..self.corners.len() {
            let along = edge(&self.corners, k);
            let length = along.length();
            if length > 0.0 {
                // No curve yet: the hull of the chords lies within the curves, so that this area is a lower bound.
                let extents = self.extents(along * length.recip(), &[]);
                edges.push((Extents { edge: length, ..extents }, quarter(along.angle())));
            }
        }
        let mut angles: Vec<f64> = edges.iter().map(|(_, angle)| *angle).collect();
        angles.sort_by(f64::total_cmp);
        angles.dedup_by(|next, kept| *next - *kept < PARALLEL);
        edges.sort_by(|(a, p), (b, q)| a.area().total_cmp(&b.area()).then(p.total_cmp(q)));
        let mut polished = 0;
        for (lower, angle) in edges {
            if lower.area() > least * equal {
                break;
            }
            if curves.is_empty() {
                least = least.min(lower.area());
                found.push(lower);
                continue;
            }
            if polished == POLISHED {
                break;
            }
            polished += 1;
            let exact = self.extents(lower.direction, &curves);
            // The edge of the hull lies along the lower side. A chord has its curve below it.
            let straight = lower.across.0 - exact.across.0 <= (equal - 1.0) * self.reach;
            let bent = self.polished(neighbours(&angles, angle), &curves, equal);
            if straight || bent.is_none() {
                found.push(Extents { edge: if straight { lower.edge } else { 0.0 }, ..exact });
            }
            found.extend(bent);
            least = found.iter().map(Extents::area).fold(least, f64::min);
        }
        let rank = |e: &Extents| (e.edge, -half_turn(e.direction.angle()).abs());
        found
            .iter()
            .filter(|e| e.area() <= least * equal)
            .max_by(|a, b| {
                let (p, q) = (rank(a), rank(b));
                p.0.total_cmp(&q.0).then(p.1.total_cmp(&q.1))
            })
            .filter(|_| upright.area() > least * equal)
            .copied()
            .unwrap_or(upright)
    }

    /// The extents at an angle between two at which the area is least within them: where its slope turns from falling
    /// to rising. `None` where it does not.
    fn polished(&self, (low, high): (f64, f64), curves: &[&Bent], equal: f64) -> Option<Extents> {
        let (middle, half) = (0.5 * (low + high), 0.5 * (high - low));
        let direction = Point::at_angle(middle);
        let sides = [direction, direction.quarter_turned(), -direction, -direction.quarter_turned()];
        // A point of a curve moves by no more than reach × half against the side when the page turns by half, and so
        // does the side.
        let margin = 2.0 * self.reach * half;
        let levels = sides.map(|side| side.dot(self.farthest_corner(side)) - margin);
        let reaches = |bent: &Bent, side: Point, level: f64| {
            bent.reach(side) >= level && bent.curve.extent(side).1 >= level
        };
        let can_touch =
            |bent: &&&Bent| sides.iter().zip(&levels).any(|(side, level)| reaches(bent, *side, *level));
        let near: Vec<&Bent> = curves.iter().filter(can_touch).copied().collect();
        if near.is_empty() {
            return None;
        }
        let (mut low, mut high) = (low, high);
        let at = |angle: f64| self.extents(Point::at_angle(angle), &near);
        if !(at(low).slope < 0.0 && at(high).slope > 0.0) {
            return None;
        }
        loop {
            let middle = 0.5 * (low + high);
            let extents = at(middle);
            // A slope that is rounding says nothing more, and the halves can't be told apart.
            let flat = extents.slope.abs() <= (equal - 1.0) * extents.area();
            if flat || high - low <= f64::EPSILON {
                return Some(extents);
            }
            if extents.slope < 0.0 {
                low = middle;
            } else {
                high = middle;
            }
        }
    }
}

fn edge(corners: &[Point], k: usize) -> Point {
    corners[(k + 1) % corners.len()] - corners[k]
}

fn farther(a: Point, b: Option<Point>, direction: Point) -> Point {
    match b {
        Some(b) if direction.dot(b) > direction.dot(a) => b,
        _ => a,
    }
}

/// The farthest of the points of a curve at which it runs across `direction`; its ends are corners or within the hull.
fn farthest_inside(curve: &Curve, direction: Point) -> Option<Point> {
    curve.extremes(direction).into_iter().map(|t| curve.at(t)).reduce(|a, b| farther(a, Some(b), direction))
}

/// The direction of a rectangle, which is the same a quarter turn on, within [0, π/2).
fn quarter(angle: f64) -> f64 {
    let reduced = angle.rem_euclid(FRAC_PI_2);
    if FRAC_PI_2 - reduced < PARALLEL { 0.0 } else { reduced }
}

/// The angles next but one to `angle` on either side, going round by quarter turns: the curves' least area may lie a
/// chord further on than that of the chords.
fn neighbours(angles: &[f64], angle: f64) -> (f64, f64) {
    const NEXT_BUT_ONE: usize = 2;
    let count = angles.len();
    let k = angles.partition_point(|a| *a <= angle + PARALLEL).saturating_sub(1);
    // An angle of the list by its place on the whole circle, and no more than a quarter turn away.
    let place = |k: usize| angles[k % count] + FRAC_PI_2 * (k / count) as f64;
    let here = k + 2 * count;
    let (low, high) = (place(here - NEXT_BUT_ONE) - PI, place(here + NEXT_BUT_ONE) - PI);
    (low.max(angle - FRAC_PI_2), high.min(angle + FRAC_PI_2))
}
