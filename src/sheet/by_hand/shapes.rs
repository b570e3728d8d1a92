//! What a piece is, where there is a formula for it.

use std::f64::consts::{PI, TAU};

use crate::geometry::{Curve, Point};
use crate::outline::Ring;

/// A shape with a formula, in the sheet's unit and measured from the sheet's corner.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Shape {
    /// Upright: lower left corner, width and height.
    Rectangle(Point, f64, f64),
    /// Centre and diameter.
    Circle(Point, f64),
    /// With legs along x and y: where they meet, and the signed lengths of the legs from there.
    RightTriangle(Point, f64, f64),
}

/// Lines off x or y by less than this share of the size run along it.
const SQUARE: f64 = 1e-9;

impl Shape {
    /// The shape of a ring; `None` where it has none of these.
    pub(super) fn of(ring: &Ring, corner: Point, factor: f64) -> Option<Shape> {
        let place = |p: Point| (p - corner) * factor;
        let curves = ring.curves();
        if let Some(Curve::Arc(first)) = curves.first() {
            let mut sweep = 0.0;
            let near = SQUARE * first.radius;
            for curve in curves {
                let Curve::Arc(arc) = curve else { return None };
                if arc.center.distance(first.center) > near || (arc.radius - first.radius).abs() > near {
                    return None;
                }
                sweep += arc.sweep;
            }
            let round = (sweep.abs() - TAU).abs() < SQUARE;
            return round.then(|| Shape::Circle(place(first.center), 2.0 * first.radius * factor));
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

    /// The same with its measures as they are written.
    pub(super) fn written(self, length: impl Fn(f64) -> f64) -> Shape {
        let point = |p: Point| Point::new(length(p.x), length(p.y));
        match self {
            Shape::Rectangle(at, b, h) => Shape::Rectangle(point(at), length(b), length(h)),
            Shape::Circle(at, d) => Shape::Circle(point(at), length(d)),
            Shape::RightTriangle(at, b, h) => Shape::RightTriangle(point(at), length(b), length(h)),
        }
    }

    /// ∬dA.
    pub(super) fn area(self) -> f64 {
        match self {
            Shape::Rectangle(_, b, h) => b * h,
            Shape::Circle(_, d) => PI * d * d / 4.0,
            Shape::RightTriangle(_, b, h) => (b * h).abs() / 2.0,
        }
    }

    pub(super) fn centroid(self) -> Point {
        match self {
            Shape::Rectangle(at, b, h) => at + Point::new(b, h) * 0.5,
            Shape::Circle(at, _) => at,
            Shape::RightTriangle(at, b, h) => at + Point::new(b, h) * (1.0 / 3.0),
        }
    }

    /// About its own centroid: I_x, I_y, I_xy.
    pub(super) fn own(self) -> [f64; 3] {
        match self {
            Shape::Rectangle(_, b, h) => [b * h.powi(3) / 12.0, h * b.powi(3) / 12.0, 0.0],
            Shape::Circle(_, d) => [PI * d.powi(4) / 64.0, PI * d.powi(4) / 64.0, 0.0],
            Shape::RightTriangle(_, b, h) => {
                let (wide, high) = (b.abs(), h.abs());
                let sign = -(b * h).signum();
                [wide * high.powi(3) / 36.0, high * wide.powi(3) / 36.0, sign * (b * h).powi(2) / 72.0]
            }
        }
    }
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
        let circle = Curve::Arc(Arc::circle(Point::new(70.0, -3.0), 17.0));
        let rings = [
            polygon(&[(3.0, 5.0), (303.0, 5.0), (303.0, 30.0), (3.0, 30.0)]),
            polygon(&[(10.0, 20.0), (70.0, 20.0), (10.0, 65.0)]),
            polygon(&[(10.0, 20.0), (10.0, -25.0), (70.0, 20.0)]),
            Ring::new(vec![circle], Origin::default()).unwrap(),
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
}
