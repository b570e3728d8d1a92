//! Boundary integrals: area, first and second moments by Green's theorem, on the curves themselves.

use std::ops::AddAssign;

use crate::geometry::{Curve, Point, Segment};

/// Area and moments about the axes in which they were integrated.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Moments {
    /// ∬dA.
    pub area: f64,
    /// ∬x dA.
    pub first_x: f64,
    /// ∬y dA.
    pub first_y: f64,
    /// ∬x² dA.
    pub xx: f64,
    /// ∬y² dA.
    pub yy: f64,
    /// ∬xy dA.
    pub xy: f64,
}

impl Moments {
    fn of_segment(segment: &Segment) -> Moments {
        let (xx, yy, xy) = segment.second_moments();
        let first = segment.first_moment();
        let about_center = Moments { area: segment.area(), first_x: first.x, first_y: first.y, xx, yy, xy };
        about_center.about(-segment.center)
    }

    /// The moments about axes through `place`, parallel to those of these moments.
    pub(super) fn about(&self, place: Point) -> Moments {
        let (x, y) = (place.x, place.y);
        Moments {
            area: self.area,
            first_x: self.first_x - x * self.area,
            first_y: self.first_y - y * self.area,
            xx: self.xx - x * (2.0 * self.first_x - x * self.area),
            yy: self.yy - y * (2.0 * self.first_y - y * self.area),
            xy: self.xy - x * self.first_y - y * (self.first_x - x * self.area),
        }
    }

    pub(super) fn is_finite(&self) -> bool {
        [self.area, self.first_x, self.first_y, self.xx, self.yy, self.xy].iter().all(|m| m.is_finite())
    }

    /// The moments of the section turned by a quarter turn anticlockwise: x' = −y, y' = x.
    pub(super) fn quarter_turned(&self) -> Moments {
        Moments {
            area: self.area,
            first_x: -self.first_y,
            first_y: self.first_x,
            xx: self.yy,
            yy: self.xx,
            xy: -self.xy,
        }
    }

    /// The moments times `factor`.
    pub fn scaled(self, factor: f64) -> Moments {
        Moments {
            area: self.area * factor,
            first_x: self.first_x * factor,
            first_y: self.first_y * factor,
            xx: self.xx * factor,
            yy: self.yy * factor,
            xy: self.xy * factor,
        }
    }

    /// ∬x dA / ∬dA, ∬y dA / ∬dA.
    pub fn centroid(&self) -> Point {
        Point::new(self.first_x / self.area, self.first_y / self.area)
    }
}

impl AddAssign for Moments {
    fn add_assign(&mut self, other: Moments) {
        self.area += other.area;
        self.first_x += other.first_x;
        self.first_y += other.first_y;
        self.xx += other.xx;
        self.yy += other.yy;
        self.xy += other.xy;
    }
}

/// The curve's share of the boundary integrals: for a monomial f of degree k, ∬f dA = ∮ f·(x dy − y dx)/(k + 2).
/// Lines and arcs that turn far in closed form; flat arcs and polynomial spans by Gauss-Legendre panels that are exact to
/// rounding; rational and high spans by adaptive panels.
pub(crate) fn curve_moments(curve: &Curve) -> Moments {
    /// An arc that turns at least as far is its chord and its segment, in closed form. Of a flatter one the segment is
    /// a sliver far from its centre, which takes its digits; such an arc is integrated along itself.
    const ROUND: f64 = 1.5;
    if let Some(segment) = curve.segment(0.0, 1.0).filter(|s| s.turn() >= ROUND) {
        let mut sum = triangle(curve.start(), curve.end());
        sum += Moments::of_segment(&segment);
        return sum;
    }
    let swept = |p: Point, d: Point| {
        let turn = p.cross(d);
        [
            turn / 2.0,
            p.x * turn / 3.0,
            p.y * turn / 3.0,
            p.x * p.x * turn / 4.0,
            p.y * p.y * turn / 4.0,
            p.x * p.y * turn / 4.0,
        ]
    };
    match curve {
        Curve::Line(line) => triangle(line.start, line.end),
        other => {
            let [area, first_x, first_y, xx, yy, xy] = other.integral(0.0, 1.0, 4, swept);
            Moments { area, first_x, first_y, xx, yy, xy }
        }
    }
}

/// The triangle between the origin and a chord.
fn triangle(a: Point, b: Point) -> Moments {
    let turn = a.cross(b);
    Moments {
        area: turn / 2.0,
        first_x: turn * (a.x + b.x) / 6.0,
        first_y: turn * (a.y + b.y) / 6.0,
        xx: turn * (a.x * a.x + a.x * b.x + b.x * b.x) / 12.0,
        yy: turn * (a.y * a.y + a.y * b.y + b.y * b.y) / 12.0,
        xy: turn * (2.0 * a.x * a.y + a.x * b.y + b.x * a.y + 2.0 * b.x * b.y) / 24.0,
    }
}
