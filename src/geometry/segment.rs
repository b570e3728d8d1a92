//! Segments of circles and ellipses: what lies between a part of an arc and its chord.
//!
//! Closed forms of the unit circle, the sector less its triangle, carried over by the affine map to u and v.

use super::arc::{Turning, turn_beyond_sine};
use super::curve::Curve;
use super::point::Point;

/// The segment between a part of a circle or an ellipse, center + u·cos φ + v·sin φ, and the chord of that part. What it
/// has is positive where the part turns anticlockwise, negative where it turns clockwise; a full turn has no chord, and its
/// segment is all of the circle.
pub(crate) struct Segment {
    /// Centre of the circle or ellipse.
    pub center: Point,
    u: Point,
    v: Point,
    /// φ at the middle of the part.
    middle: f64,
    /// Half of the growth of φ, its sine and its cosine.
    half: f64,
    half_sine: f64,
    half_cosine: f64,
}

impl Curve {
    /// The segment of the part from parameter `from` to `to`; `None` for lines and spans.
    pub(crate) fn segment(&self, from: f64, to: f64) -> Option<Segment> {
        let turning = self.turning()?;
        let half = 0.5 * turning.sweep * (to - from);
        let (half_sine, half_cosine) = half.sin_cos();
        let middle = turning.angle(from) + half;
        let Turning { center, u, v, .. } = turning;
        Some(Segment { center, u, v, middle, half, half_sine, half_cosine })
    }
}

impl Segment {
    /// ∬dA, to the last digits also of a sliver.
    pub fn area(&self) -> f64 {
        let sine = 2.0 * self.half_sine * self.half_cosine;
        0.5 * self.u.cross(self.v) * turn_beyond_sine(2.0 * self.half, sine)
    }

    /// (∬x dA, ∬y dA) about the centre, to the last digits also of a sliver.
    pub fn first_moment(&self) -> Point {
        let (sine, cosine) = self.middle.sin_cos();
        let out = 2.0 / 3.0 * self.half_sine.powi(3) * self.u.cross(self.v);
        (self.u * cosine + self.v * sine) * out
    }

    /// (∬x² dA, ∬y² dA, ∬xy dA) about the centre.
    pub fn second_moments(&self) -> (f64, f64, f64) {
        let (s, c) = (self.half_sine, self.half_cosine);
        // On the unit circle, along and across the bisector: the sector less its triangle.
        let along = 0.25 * (self.half + s * c) - 0.5 * c * c * c * s;
        let across = 0.25 * (self.half - s * c) - s * s * s * c / 6.0;
        let (sine, cosine) = self.middle.sin_cos();
        let uu = along * cosine * cosine + across * sine * sine;
        let vv = along * sine * sine + across * cosine * cosine;
        let uv = (along - across) * sine * cosine;
        let stretch = self.u.cross(self.v);
        let (u, v) = (self.u, self.v);
        (
            stretch * (u.x * u.x * uu + 2.0 * u.x * v.x * uv + v.x * v.x * vv),
            stretch * (u.y * u.y * uu + 2.0 * u.y * v.y * uv + v.y * v.y * vv),
            stretch * (u.x * u.y * uu + (u.x * v.y + v.x * u.y) * uv + v.x * v.y * vv),
        )
    }

    /// How far the part turns, in parameters of the circle: radians.
    pub fn turn(&self) -> f64 {
        2.0 * self.half.abs()
    }
}

#[cfg(test)]
mod tests {
    use std::f64::consts::{FRAC_PI_2, PI, TAU};

    use super::super::arc::{Arc, EllipseArc};
    use super::*;

    fn close(found: f64, expected: f64) -> bool {
        (found - expected).abs() <= 1e-14 * expected.abs().max(1.0)
    }

    /// Circle and half circle: any table of section properties.
    #[test]
    fn a_circle_and_its_halves() {
        let circle = Curve::Arc(Arc::new(Point::new(3.0, -7.0), 2.0, 0.4, TAU));
        let whole = circle.segment(0.0, 1.0).unwrap();
        assert!(close(whole.area(), 4.0 * PI) && whole.first_moment().length() < 1e-14);
        let (xx, yy, xy) = whole.second_moments();
        assert!(close(xx, 4.0 * PI) && close(yy, 4.0 * PI) && xy.abs() < 1e-14);
        // The upper half of a circle of radius 2: centroid 4r/3π above the centre, π·r⁴/8 about the diameter.
        let upper = Curve::Arc(Arc::new(Point::ORIGIN, 2.0, 0.0, PI));
        for (curve, sign) in [(upper.clone(), 1.0), (upper.reversed(), -1.0)] {
            let half = curve.segment(0.0, 1.0).unwrap();
            assert!(close(half.area(), sign * 2.0 * PI));
            assert!(close(half.first_moment().y, sign * 2.0 * PI * 8.0 / (3.0 * PI)));
            let (xx, yy, xy) = half.second_moments();
            assert!(close(xx, sign * 2.0 * PI) && close(yy, sign * 2.0 * PI) && close(xy, 0.0));
        }
    }

    /// Both parts of a full turn, wherever it is cut, add up to all of it with the chord's triangles of no area; and an
    /// ellipse of half-diameters at an angle is the image of a circle.
    #[test]
    fn parts_of_an_ellipse_agree_with_integration() {
        let (u, v) = (Point::new(5.0, 1.0), Point::new(-2.0, 3.0));
        for (start, sweep) in [(0.3, 2.9), (-1.1, -2.2), (2.0, 4.4), (0.7, FRAC_PI_2)] {
            let arc = EllipseArc::new(Point::new(1.0, 4.0), u, v, start, sweep);
            let curve = Curve::from(arc);
            let segment = curve.segment(0.0, 1.0).unwrap();
            // Along the arc about the centre, and back along the chord.
            let chord = Curve::line(curve.end(), curve.start());
            let mut sums = [0.0; 6];
            for edge in [&curve, &chord] {
                let integral = edge.integral(0.0, 1.0, 4, |p, d| {
                    let p = p - arc.center;
                    let turn = p.cross(d);
                    [
                        turn / 2.0,
                        p.x * turn / 3.0,
                        p.y * turn / 3.0,
                        p.x * p.x * turn / 4.0,
                        p.y * p.y * turn / 4.0,
                        p.x * p.y * turn / 4.0,
                    ]
                });
                sums.iter_mut().zip(integral).for_each(|(sum, part)| *sum += part);
            }
            let (xx, yy, xy) = segment.second_moments();
            let first = segment.first_moment();
            for (found, expected) in [segment.area(), first.x, first.y, xx, yy, xy].into_iter().zip(sums) {
                assert!((found - expected).abs() < 1e-12 * 200.0, "{sweep}: {found} for {expected}");
            }
        }
    }
}
