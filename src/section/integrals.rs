//! Boundary integrals: area, first and second moments by Green's theorem, on the curves themselves.

use std::ops::AddAssign;

use crate::geometry::{Curve, Point};

/// Area and moments about the axes of the frame in which they were integrated.
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
    fn from_array([area, first_x, first_y, xx, yy, xy]: [f64; 6]) -> Moments {
        Moments { area, first_x, first_y, xx, yy, xy }
    }

    pub(super) fn is_finite(&self) -> bool {
        [self.area, self.first_x, self.first_y, self.xx, self.yy, self.xy].iter().all(|m| m.is_finite())
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
/// Lines in closed form; arcs, ellipse arcs and polynomial spans by Gauss-Legendre panels that are exact to rounding;
/// rational and high spans by adaptive panels.
pub(crate) fn curve_moments(curve: &Curve) -> Moments {
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
    Moments::from_array(match curve {
        Curve::Line(line) => {
            let (a, b) = (line.start, line.end);
            let turn = a.cross(b);
            [
                turn / 2.0,
                turn * (a.x + b.x) / 6.0,
                turn * (a.y + b.y) / 6.0,
                turn * (a.x * a.x + a.x * b.x + b.x * b.x) / 12.0,
                turn * (a.y * a.y + a.y * b.y + b.y * b.y) / 12.0,
                turn * (2.0 * a.x * a.y + a.x * b.y + b.x * a.y + 2.0 * b.x * b.y) / 24.0,
            ]
        }
        other => other.integral(0.0, 1.0, 4, swept),
    })
}
