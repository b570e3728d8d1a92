//! What a piece is, where there is a formula for it.

use std::f64::consts::{PI, TAU};

use crate::geometry::{Curve, Point};
use crate::outline::Ring;

/// A shape with a formula, in the sheet's unit and measured from the sheet's corner.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(in crate::sheet) enum Shape {
    /// Upright: lower left corner, width and height.
    Rectangle(Point, f64, f64),
    /// Centre and diameter.
    Circle(Point, f64),
    /// Centre, outer and inner diameter.
    Ring(Point, f64, f64),
    /// Between an arc and its chord: centre of the arc, radius, how far the arc turns, and the direction from the centre to
    /// its middle, both in degrees.
    Segment(Point, f64, f64, f64),
    /// With legs along x and y: where they meet, and the signed lengths of the legs from there.
    RightTriangle(Point, f64, f64),
}

/// Lines off x or y by less than this share of the size run along it.
const SQUARE: f64 = 1e-9;

impl Shape {
    /// The shape of a ring; `None` where it has none of these.
    pub(in crate::sheet) fn of(ring: &Ring, corner: Point, factor: f64) -> Option<Shape> {
        let place = |p: Point| (p - corner) * factor;
        let curves = ring.curves();
        if let Some(Curve::Arc(first)) = curves.first() {
            let mut sweep = 0.0;
            let near = SQUARE * first.radius;
            for curve in &curves {
                let Curve::Arc(arc) = curve else { return segment_at(&curves, place, factor) };
                if arc.center.distance(first.center) > near || (arc.radius - first.radius).abs() > near {
                    return None;
                }
                sweep += arc.sweep;
            }
            let round = (sweep.abs() - TAU).abs() < SQUARE;
            return round.then(|| Shape::Circle(place(first.center), 2.0 * first.radius * factor));
        }
        if let Some(segment) = segment_at(&curves, place, factor) {
            return Some(segment);
        }
        if !curves.iter().all(|curve| matches!(curve, Curve::Line(_))) {
            return None;
        }
        let corners: Vec<Point> = curves.iter().map(|curve| place(curve.start())).collect();
        let size = ring.bounds().size() * factor;
        let same = |a: f64, b: f64| (a - b).abs() <= SQUARE * size;
        let along_axes = |a: Point, b: Point| same(a.x, b.x) != same(a.y, b.y);
        match *corners.as_slice() {
            [a, b, c, d] => {
                let square = along_axes(a, b) && along_axes(b, c) && along_axes(c, d) && along_axes(d, a);
                let low = Point::new(a.x.min(c.x), a.y.min(c.y));
                square.then(|| Shape::Rectangle(low, (a.x - c.x).abs(), (a.y - c.y).abs()))
            }
            [a, b, c] => [(a, b, c), (b, c, a), (c, a, b)].into_iter().find_map(|(at, p, q)| {
                match (same(at.y, p.y) && same(at.x, q.x), same(at.x, p.x) && same(at.y, q.y)) {
                    (true, _) => Some(Shape::RightTriangle(at, p.x - at.x, q.y - at.y)),
                    (_, true) => Some(Shape::RightTriangle(at, q.x - at.x, p.y - at.y)),
                    _ => None,
                }
            }),
            _ => None,
        }
    }

    /// The ring of two circles about one centre, the second of which is cut out of the first.
    pub(super) fn ring(outer: Shape, inner: Shape) -> Option<Shape> {
        let (Shape::Circle(center, outer), Shape::Circle(other, inner)) = (outer, inner) else { return None };
        let is_one = center.distance(other) <= SQUARE * outer && inner < outer;
        is_one.then_some(Shape::Ring(center, outer, inner))
    }

    /// The same with its measures as they are written: lengths, and angles in degrees.
    pub(super) fn written(self, length: impl Fn(f64) -> f64, degrees: impl Fn(f64) -> f64) -> Shape {
        let point = |p: Point| Point::new(length(p.x), length(p.y));
        match self {
            Shape::Rectangle(at, b, h) => Shape::Rectangle(point(at), length(b), length(h)),
            Shape::Circle(at, d) => Shape::Circle(point(at), length(d)),
            Shape::Ring(at, outer, inner) => Shape::Ring(point(at), length(outer), length(inner)),
            Shape::Segment(at, r, turn, towards) => {
                Shape::Segment(point(at), length(r), degrees(turn), degrees(towards))
            }
            Shape::RightTriangle(at, b, h) => Shape::RightTriangle(point(at), length(b), length(h)),
        }
    }

    /// ∬dA.
    pub(super) fn area(self) -> f64 {
        match self {
            Shape::Rectangle(_, b, h) => b * h,
            Shape::Circle(_, d) => PI * d * d / 4.0,
            Shape::Ring(_, outer, inner) => PI * (outer * outer - inner * inner) / 4.0,
            Shape::Segment(_, r, turn, _) => r * r * turned_beyond_sine(turn) / 2.0,
            Shape::RightTriangle(_, b, h) => (b * h).abs() / 2.0,
        }
    }

    pub(super) fn centroid(self) -> Point {
        match self {
            Shape::Rectangle(at, b, h) => at + Point::new(b, h) * 0.5,
            Shape::Circle(at, _) | Shape::Ring(at, ..) => at,
            Shape::Segment(at, r, turn, towards) => {
                at + Point::at_angle(towards.to_radians()) * (r * segment_distance(turn))
            }
            Shape::RightTriangle(at, b, h) => at + Point::new(b, h) * (1.0 / 3.0),
        }
    }

    /// About its own centroid: I_x, I_y, I_xy.
    pub(super) fn own(self) -> [f64; 3] {
        match self {
            Shape::Rectangle(_, b, h) => [b * h.powi(3) / 12.0, h * b.powi(3) / 12.0, 0.0],
            Shape::Circle(_, d) => [PI * d.powi(4) / 64.0, PI * d.powi(4) / 64.0, 0.0],
            Shape::Ring(_, outer, inner) => {
                let about_any = PI * (outer.powi(4) - inner.powi(4)) / 64.0;
                [about_any, about_any, 0.0]
            }
            Shape::Segment(_, r, turn, towards) => {
                let (across, along) = segment_moments(r, turn);
                let (sine, cosine) = towards.to_radians().sin_cos();
                [
                    across * sine * sine + along * cosine * cosine,
                    across * cosine * cosine + along * sine * sine,
                    (across - along) * sine * cosine,
                ]
            }
            Shape::RightTriangle(_, b, h) => {
                let (wide, high) = (b.abs(), h.abs());
                let sign = -(b * h).signum();
                [wide * high.powi(3) / 36.0, high * wide.powi(3) / 36.0, sign * (b * h).powi(2) / 72.0]
            }
        }
    }
}

/// The segment that one straight line and arcs of one circle bound.
fn segment_at(curves: &[Curve], place: impl Fn(Point) -> Point, factor: f64) -> Option<Shape> {
    let chords = curves.iter().filter(|curve| matches!(curve, Curve::Line(_))).count();
    let mut arcs = curves.iter().filter_map(|curve| match curve {
        Curve::Arc(arc) => Some(arc),
        _ => None,
    });
    let first = arcs.next()?;
    if chords != 1 || curves.len() < 2 {
        return None;
    }
    let near = SQUARE * first.radius;
    let mut turn = first.sweep;
    let mut count = 1;
    for arc in arcs {
        let is_same = arc.center.distance(first.center) <= near && (arc.radius - first.radius).abs() <= near;
        if !is_same || arc.sweep.signum() != first.sweep.signum() {
            return None;
        }
        turn += arc.sweep;
        count += 1;
    }
    // Outlines run anticlockwise, and so does the arc of a segment; an arc that bends inwards bounds none.
    if count + chords != curves.len() || !(turn > 0.0 && turn < TAU) {
        return None;
    }
    let chord = curves.iter().position(|curve| matches!(curve, Curve::Line(_)))?;
    let start = curves.get((chord + 1) % curves.len())?.start();
    let towards = ((start - first.center).angle() + turn / 2.0).to_degrees();
    let towards = towards - 360.0 * (towards / 360.0).round();
    Some(Shape::Segment(place(first.center), first.radius * factor, turn.to_degrees(), towards))
}

/// φ − sin φ of an angle in degrees.
fn turned_beyond_sine(degrees: f64) -> f64 {
    let angle = degrees.to_radians();
    angle - angle.sin()
}

/// From the centre to the centroid of a segment of radius 1.
fn segment_distance(degrees: f64) -> f64 {
    4.0 * (degrees.to_radians() / 2.0).sin().powi(3) / (3.0 * turned_beyond_sine(degrees))
}

/// Of a segment about axes through its centroid: ∬u² dA and ∬v² dA, u from its chord towards the middle of the arc.
fn segment_moments(r: f64, degrees: f64) -> (f64, f64) {
    let angle = degrees.to_radians();
    let (sine, cosine) = (angle / 2.0).sin_cos();
    let fourth = r.powi(4);
    let area = r * r * turned_beyond_sine(degrees) / 2.0;
    let out = r * segment_distance(degrees);
    let across = fourth * ((angle + angle.sin()) / 8.0 - cosine.powi(3) * sine / 2.0) - area * out * out;
    let along = fourth * (turned_beyond_sine(degrees) / 8.0 - sine.powi(3) * cosine / 6.0);
    (across, along)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Arc;
    use crate::outline::Origin;
    use crate::section::Enclosed;

    #[test]
    fn formulas_give_what_integrals_give() {
        let polygon = |corners: &[(f64, f64)]| {
            let points: Vec<Point> = corners.iter().map(|(x, y)| Point::new(*x, *y)).collect();
            let ends = points.iter().zip(points.iter().cycle().skip(1));
            Ring::new(ends.map(|(a, b)| Curve::line(*a, *b)).collect(), Origin::default()).unwrap()
        };
        let segment = |center: Point, radius: f64, from: f64, turn: f64| {
            let arc = Arc::new(center, radius, from.to_radians(), turn.to_radians());
            let chord = Curve::line(arc.end, arc.start);
            Ring::new(vec![chord, Curve::Arc(arc)], Origin::default()).unwrap()
        };
        let circle = Curve::Arc(Arc::circle(Point::new(70.0, -3.0), 17.0));
        let rings = [
            polygon(&[(3.0, 5.0), (303.0, 5.0), (303.0, 30.0), (3.0, 30.0)]),
            polygon(&[(10.0, 20.0), (70.0, 20.0), (10.0, 65.0)]),
            polygon(&[(10.0, 20.0), (10.0, -25.0), (70.0, 20.0)]),
            Ring::new(vec![circle], Origin::default()).unwrap(),
            segment(Point::new(-4.0, 9.0), 40.0, 35.0, 100.0),
            segment(Point::new(31.0, -2.0), 25.0, -160.0, 290.0),
            segment(Point::new(0.0, 5.0), 12.5, -90.0, 180.0),
        ];
        for ring in rings {
            let shape = Shape::of(&ring, Point::ORIGIN, 1.0).unwrap();
            let truth = Enclosed::by(&ring);
            let own = truth.second_moments;
            let truth = [truth.area, truth.centroid.x, truth.centroid.y, own.x, own.y, own.xy];
            let [x, y, xy] = shape.own();
            let found = [shape.area(), shape.centroid().x, shape.centroid().y, x, y, xy];
            for (found, truth) in found.iter().zip(truth) {
                assert!(
                    (found - truth).abs() <= 1e-9 * truth.abs().max(1e-3 * own.x),
                    "{shape:?}: {found} {truth}"
                );
            }
        }
        assert_eq!(
            Shape::of(&polygon(&[(0.0, 0.0), (9.0, 1.0), (9.0, 8.0), (0.0, 7.0)]), Point::ORIGIN, 1.0),
            None
        );
    }
    /// A tube ⌀60/44: π·(60⁴ − 44⁴)/64 about every axis (any table of section properties).
    #[test]
    fn a_ring_is_one_shape() {
        let circle = |x: f64, d: f64| Shape::Circle(Point::new(x, 7.0), d);
        let ring = Shape::ring(circle(3.0, 60.0), circle(3.0, 44.0)).unwrap();
        assert!((ring.area() - 1_306.902_543_893).abs() < 1e-6, "{}", ring.area());
        let [x, y, xy] = ring.own();
        assert!((x - 452_188.280_187).abs() < 1e-5 && x == y && xy == 0.0, "{x}");
        assert_eq!(Shape::ring(circle(3.0, 60.0), circle(3.1, 44.0)), None);
        assert_eq!(Shape::ring(circle(3.0, 44.0), circle(3.0, 60.0)), None);
    }
}
