//! What tells one section from another: its outline, wherever it lies and in whatever order it was drawn.
//!
//! Coordinates in steps of a grid, begun at the corner whose bytes come first; own work.

use std::ops::Range;

use super::{Part, Region};
use crate::geometry::{Curve, Point};
use crate::outline::Ring;

/// Coordinates of outlines that differ by less than this (mm) are usually the same.
const GRID: f64 = 1e-4;

/// Where between two steps of the grid coordinates are told apart: at no fraction that people draw with, so that
/// rounding carries no drawn coordinate over it.
const BORDER: f64 = std::f64::consts::FRAC_1_PI;

impl Region {
    /// Bytes that are the same for the same outlines: moved, drawn in another order, from another corner, in the other
    /// direction, in another unit, or with straight edges and arcs in more pieces. Turned, mirrored or changed outlines
    /// have others. `millimetres` is the length of a drawing unit.
    ///
    /// Coordinates count to a ten-thousandth of a millimetre, from the lower left corner of the box around the region.
    /// What differs by less has the same bytes nearly always, not always: it may lie on both sides of a step.
    pub fn signature(&self, millimetres: f64) -> Vec<u8> {
        self.written(millimetres).signature()
    }

    /// Its outlines as they are written.
    pub(crate) fn written(&self, millimetres: f64) -> WrittenRegion {
        let corner = self.bounds().min;
        let local = |p: Point| (p - corner) * millimetres;
        let ring = |ring: &Ring| WrittenRing::of(&ring.curves(), local, millimetres);
        let part = |part: &Part| (ring(&part.edge), part.holes.iter().map(ring).collect());
        WrittenRegion { corner, millimetres, parts: self.parts.iter().map(part).collect() }
    }
}

/// The outlines of a region as they are written: in millimetres from the lower left corner of the box around it.
pub(crate) struct WrittenRegion {
    pub(super) corner: Point,
    pub(super) millimetres: f64,
    pub(super) parts: Vec<WrittenPart>,
}

/// The outer edge of a part and its holes.
pub(super) type WrittenPart = (WrittenRing, Vec<WrittenRing>);

impl WrittenRegion {
    /// The region's [`signature`](Region::signature).
    pub(crate) fn signature(&self) -> Vec<u8> {
        let mut bytes = Vec::new();
        parts_bytes(&self.parts, &|p| p, GRID, &mut Scratch::default(), &mut bytes);
        bytes
    }
}

/// Adds the bytes of parts, in an order of their own: those of each one's outer edge and of its holes.
pub(super) fn parts_bytes(
    parts: &[WrittenPart],
    local: &impl Fn(Point) -> Point,
    grid: f64,
    scratch: &mut Scratch,
    bytes: &mut Vec<u8>,
) {
    if let [(edge, holes)] = parts {
        bytes.extend_from_slice(PART);
        edge.bytes(local, grid, scratch, bytes);
        holes_bytes(holes, local, grid, scratch, bytes);
        return;
    }
    let parts = parts.iter().map(|part| {
        let mut bytes = Vec::new();
        parts_bytes(std::slice::from_ref(part), local, grid, scratch, &mut bytes);
        bytes
    });
    let mut parts: Vec<Vec<u8>> = parts.collect();
    parts.sort_unstable();
    parts.iter().for_each(|part| bytes.extend_from_slice(part));
}

/// What the bytes of a part begin with.
pub(super) const PART: &[u8] = b"part";

/// Adds the bytes of holes, in an order of their own.
pub(super) fn holes_bytes(
    holes: &[WrittenRing],
    local: &impl Fn(Point) -> Point,
    grid: f64,
    scratch: &mut Scratch,
    bytes: &mut Vec<u8>,
) {
    if let [hole] = holes {
        hole.bytes(local, grid, scratch, bytes);
        return;
    }
    let mut written = std::mem::take(&mut scratch.holes);
    written.clear();
    let mut ranges: Vec<Range<usize>> = Vec::with_capacity(holes.len());
    for hole in holes {
        let start = written.len();
        hole.bytes(local, grid, scratch, &mut written);
        ranges.push(start..written.len());
    }
    let of = |range: &Range<usize>| written.get(range.clone()).unwrap_or_default();
    ranges.sort_unstable_by(|a, b| of(a).cmp(of(b)));
    ranges.iter().for_each(|range| bytes.extend_from_slice(of(range)));
    scratch.holes = written;
}

/// Room for what is written on the way, kept from one ring to the next.
#[derive(Default)]
pub(super) struct Scratch {
    /// The edges of a ring, one behind the other, and where each ends.
    edges: Vec<u8>,
    ends: Vec<usize>,
    holes: Vec<u8>,
}

/// A corner and the edge from there to the next.
#[derive(Clone, Copy)]
struct Step {
    from: Point,
    edge: SignatureEdge,
}

#[derive(Clone, Copy)]
enum SignatureEdge {
    Line,
    Arc {
        center: Point,
        radius: f64,
        start_angle: f64,
        sweep: f64,
    },
    /// Three points along it.
    Other([Point; 3]),
}

/// An edge as it is written: where it begins, and what it is.
#[derive(Clone, Copy)]
pub(super) struct WrittenEdge {
    from: Point,
    course: Course,
}

/// How an edge runs, with points along it.
#[derive(Clone, Copy)]
enum Course {
    Line,
    Arc(Point),
    Other([Point; 3]),
}

/// A ring as it is written.
pub(super) enum WrittenRing {
    /// One circle: where it begins is no part of it.
    Circle(Point, f64),
    Edges(Vec<WrittenEdge>),
}

impl WrittenRing {
    /// The boundary that the curves are, with each point placed by `local`, which keeps angles, and lengths times `scale`.
    pub(super) fn of(curves: &[Curve], local: impl Fn(Point) -> Point, scale: f64) -> WrittenRing {
        let steps: Vec<Step> = curves
            .iter()
            .map(|curve| Step {
                from: local(curve.start()),
                edge: match curve {
                    Curve::Line(_) => SignatureEdge::Line,
                    Curve::Arc(arc) => SignatureEdge::Arc {
                        center: local(arc.center),
                        radius: arc.radius * scale,
                        start_angle: arc.start_angle,
                        sweep: arc.sweep,
                    },
                    other => SignatureEdge::Other([0.25, 0.5, 0.75].map(|t| local(other.at(t)))),
                },
            })
            .collect();
        if let Some(steps) = joined(steps) {
            return WrittenRing::Edges(steps.iter().map(WrittenEdge::of).collect());
        }
        match curves.first() {
            Some(Curve::Arc(arc)) => WrittenRing::Circle(local(arc.center), arc.radius * scale),
            _ => WrittenRing::Edges(Vec::new()),
        }
    }

    /// Adds the bytes of the ring with each point placed by `local`, in steps of a grid of this width.
    pub(super) fn bytes(
        &self,
        local: &impl Fn(Point) -> Point,
        grid: f64,
        scratch: &mut Scratch,
        bytes: &mut Vec<u8>,
    ) {
        bytes.extend_from_slice(b"ring");
        let write = |bytes: &mut Vec<u8>, point: Point| {
            let point = local(point);
            let ([x, y], mut both) = ([point.x, point.y].map(|along| stepped(along, grid)), [0; 16]);
            both[..8].copy_from_slice(&x.to_le_bytes());
            both[8..].copy_from_slice(&y.to_le_bytes());
            bytes.extend_from_slice(&both);
        };
        let edges = match self {
            WrittenRing::Circle(center, radius) => {
                bytes.push(b'C');
                write(bytes, *center);
                bytes.extend_from_slice(&stepped(*radius, grid).to_le_bytes());
                return;
            }
            WrittenRing::Edges(edges) => edges,
        };
        let Scratch { edges: all, ends, .. } = scratch;
        all.clear();
        ends.clear();
        for edge in edges {
            write(all, edge.from);
            let points: &[Point] = match &edge.course {
                Course::Line => &[],
                Course::Arc(middle) => std::slice::from_ref(middle),
                Course::Other(points) => points,
            };
            all.push(match edge.course {
                Course::Line => b'L',
                Course::Arc(_) => b'A',
                Course::Other(_) => b'O',
            });
            points.iter().for_each(|point| write(all, *point));
            ends.push(all.len());
        }
        let begin = |k: usize| k.checked_sub(1).and_then(|before| ends.get(before)).copied().unwrap_or(0);
        let written = |k: usize| all.get(begin(k)..begin(k + 1)).unwrap_or_default();
        let n = ends.len();
        let from = |first: usize| (first..n).chain(0..first).map(written);
        // The corner whose bytes come first is the first one; where two are alike, what comes behind them tells.
        let order = |a: usize, b: usize| written(a).cmp(written(b)).then_with(|| from(a).cmp(from(b)));
        let first = (0..n).min_by(|a, b| order(*a, *b)).unwrap_or(0);
        let (before, behind) = all.split_at_checked(begin(first)).unwrap_or_default();
        bytes.extend_from_slice(behind);
        bytes.extend_from_slice(before);
    }

    /// The ring with left and right exchanged, travelled in the other direction, so that what it goes round is on the same
    /// side as before.
    pub(super) fn mirrored(&self) -> WrittenRing {
        let mirrored = |point: Point| Point::new(-point.x, point.y);
        match self {
            WrittenRing::Circle(center, radius) => WrittenRing::Circle(mirrored(*center), *radius),
            WrittenRing::Edges(edges) => {
                // Each edge begins where it ended, which is where the next began.
                let ends = edges.iter().cycle().skip(1).map(|next| mirrored(next.from));
                let back = edges.iter().zip(ends).map(|(edge, from)| WrittenEdge {
                    from,
                    course: match edge.course {
                        Course::Line => Course::Line,
                        Course::Arc(middle) => Course::Arc(mirrored(middle)),
                        Course::Other([a, b, c]) => Course::Other([c, b, a].map(mirrored)),
                    },
                });
                let mut back: Vec<WrittenEdge> = back.collect();
                back.reverse();
                WrittenRing::Edges(back)
            }
        }
    }

    /// The corners of the ring; the centre of a circle.
    pub(super) fn corners(&self) -> impl Iterator<Item = Point> {
        let (center, edges): (_, &[WrittenEdge]) = match self {
            WrittenRing::Circle(center, _) => (Some(*center), &[]),
            WrittenRing::Edges(edges) => (None, edges),
        };
        center.into_iter().chain(edges.iter().map(|edge| edge.from))
    }
}

impl WrittenEdge {
    fn of(step: &Step) -> WrittenEdge {
        let course = match step.edge {
            SignatureEdge::Line => Course::Line,
            SignatureEdge::Arc { center, radius, start_angle, sweep } => {
                Course::Arc(center + Point::at_angle(start_angle + 0.5 * sweep) * radius)
            }
            SignatureEdge::Other(points) => Course::Other(points),
        };
        WrittenEdge { from: step.from, course }
    }
}

/// The edges with those that go on in the same line or circle joined; `None` where all are one circle.
fn joined(steps: Vec<Step>) -> Option<Vec<Step>> {
    let n = steps.len();
    // Begins where one edge does not go on in the next, if there is such a corner.
    let goes_on = |k: usize| match (steps.get((k + n - 1) % n), steps.get(k), steps.get((k + 1) % n)) {
        (Some(before), Some(step), Some(after)) => continues(before, step, after.from),
        _ => false,
    };
    let first = (0..n).find(|k| !goes_on(*k));
    let Some(first) = first else {
        return if steps.iter().all(|step| matches!(step.edge, SignatureEdge::Arc { .. })) {
            None
        } else {
            Some(steps)
        };
    };
    let mut out: Vec<Step> = Vec::with_capacity(n);
    for k in (0..n).map(|k| (first + k) % n) {
        let (Some(step), Some(after)) = (steps.get(k), steps.get((k + 1) % n)) else { continue };
        match out.last_mut() {
            Some(last) if continues(last, step, after.from) => {
                if let (SignatureEdge::Arc { sweep, .. }, SignatureEdge::Arc { sweep: more, .. }) =
                    (&mut last.edge, step.edge)
                {
                    *sweep += more;
                }
            }
            _ => out.push(*step),
        }
    }
    Some(out)
}

/// Whether an edge that ends at `to` goes on in the line or circle of the edge before it.
fn continues(before: &Step, step: &Step, to: Point) -> bool {
    match (before.edge, step.edge) {
        (SignatureEdge::Line, SignatureEdge::Line) => {
            let (first, all) = (step.from - before.from, to - before.from);
            let length = all.length();
            length > 0.0
                && (first.cross(all) / length).abs() < GRID
                && first.dot(all) > 0.0
                && first.dot(all) < length * length
        }
        (
            SignatureEdge::Arc { center, radius, sweep, .. },
            SignatureEdge::Arc { center: other, radius: same, sweep: more, .. },
        ) => center.distance(other) < GRID && (radius - same).abs() < GRID && (sweep > 0.0) == (more > 0.0),
        _ => false,
    }
}

/// The step of the grid that a length (mm) lies on.
fn stepped(length: f64, grid: f64) -> i64 {
    let steps = length / grid + (1.0 - BORDER);
    // A float as an integer stops at the largest there is, and is cut off towards zero.
    let whole = steps as i64;
    whole - i64::from(steps < whole as f64)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Affine, Arc};
    use crate::outline::Origin;
    use crate::region::Part;
    use std::f64::consts::{FRAC_PI_2, PI, TAU};

    fn at(x: f64, y: f64) -> Point {
        Point::new(x, y)
    }

    fn ring(curves: Vec<Curve>) -> Ring {
        Ring::new(curves, Origin::default()).unwrap()
    }

    fn polygon(corners: &[Point]) -> Vec<Curve> {
        let next = corners.iter().cycle().skip(1);
        corners.iter().zip(next).map(|(a, b)| Curve::line(*a, *b)).collect()
    }

    /// A gusset with a rounded corner, its edges from the k-th on.
    fn gusset(k: usize) -> Vec<Curve> {
        let arc = Curve::from(Arc::new(at(100.0, 50.0), 20.0, 0.0, FRAC_PI_2));
        let mut curves = vec![
            Curve::line(at(0.0, 0.0), at(120.0, 0.0)),
            Curve::line(at(120.0, 0.0), at(120.0, 50.0)),
            arc,
            Curve::line(at(100.0, 70.0), at(0.0, 0.0)),
        ];
        curves.rotate_left(k);
        curves
    }

    fn holes() -> Vec<Ring> {
        vec![
            ring(vec![Curve::from(Arc::circle(at(90.0, 30.0), 5.5))]),
            ring(vec![Curve::from(Arc::circle(at(60.0, 20.0), 4.25))]),
        ]
    }

    fn of(curves: Vec<Curve>, holes: Vec<Ring>, map: &Affine) -> Vec<u8> {
        let moved = |curves: &[Curve]| ring(curves.iter().map(|c| c.transformed(map)).collect());
        let holes = holes.iter().map(|hole| moved(&hole.curves())).collect();
        let part = Part { edge: moved(&curves), holes };
        Region { parts: vec![part] }.signature(1.0)
    }

    #[test]
    fn place_order_and_pieces_do_not_matter() {
        let same = of(gusset(0), holes(), &Affine::scaling(1.0, 1.0));
        for k in 0..4 {
            let mut holes = holes();
            holes.reverse();
            for vector in [at(0.0, 0.0), at(1234.567, -87.3), at(-1e6, 1e6 + 1.0 / 3.0)] {
                assert!(of(gusset(k), holes.clone(), &Affine::translation(vector)) == same, "{k} {vector:?}");
            }
        }
        let mut pieces = gusset(0);
        pieces.splice(
            0..1,
            [Curve::line(at(0.0, 0.0), at(33.3, 0.0)), Curve::line(at(33.3, 0.0), at(120.0, 0.0))],
        );
        let (low, high) = (
            Arc::new(at(100.0, 50.0), 20.0, 0.0, 0.4),
            Arc::new(at(100.0, 50.0), 20.0, 0.4, FRAC_PI_2 - 0.4),
        );
        let arc = pieces.iter().position(|c| matches!(c, Curve::Arc(_))).unwrap();
        pieces.splice(arc..=arc, [Curve::from(low), Curve::from(high)]);
        pieces.rotate_left(1);
        let half = |from: f64| Curve::from(Arc::new(at(90.0, 30.0), 5.5, from, PI));
        let mut round = holes();
        round[0] = ring(vec![half(0.3), half(0.3 + PI)]);
        assert!(of(pieces, round, &Affine::translation(at(7.0, 9.0))) == same);
        // A circle from another place on it.
        let turned =
            vec![ring(vec![Curve::from(Arc::new(at(90.0, 30.0), 5.5, 2.0, TAU))]), holes().remove(1)];
        assert!(of(gusset(2), turned, &Affine::scaling(1.0, 1.0)) == same);
    }

    #[test]
    fn units_do_not_matter() {
        let inches = polygon(&[at(0.0, 0.0), at(4.0, 0.0), at(4.0, 2.375), at(0.03125, 2.0)]);
        let map = Affine::scaling(25.4, 25.4);
        let drawn = Region { parts: vec![Part { edge: ring(inches.clone()), holes: Vec::new() }] };
        assert!(drawn.signature(25.4) == of(inches, Vec::new(), &map));
    }

    #[test]
    fn what_differs_differs() {
        let plain = Affine::scaling(1.0, 1.0);
        let mut all = vec![of(gusset(0), holes(), &plain)];
        all.push(of(gusset(0), Vec::new(), &plain));
        all.push(of(gusset(0), holes(), &Affine::scaling(1.0001, 1.0001)));
        all.push(of(gusset(0), holes(), &Affine::rotation(FRAC_PI_2)));
        let mut nearer = holes();
        nearer[1] = ring(vec![Curve::from(Arc::circle(at(60.001, 20.0), 4.25))]);
        all.push(of(gusset(0), nearer, &plain));
        // A chord in place of the arc.
        let corners = [at(0.0, 0.0), at(120.0, 0.0), at(120.0, 50.0), at(100.0, 70.0)];
        all.push(of(polygon(&corners), holes(), &plain));
        let count = all.len();
        all.sort_unstable();
        all.dedup();
        assert_eq!(all.len(), count);
    }
}
