//! Integrals along curves of what depends on the place alone.
//!
//! Gauss-Legendre quadrature: one panel where that is exact, panels of [`PANEL_TURN`] along arcs, adaptive ones elsewhere.

use super::arc::Turning;
use super::curve::Curve;
use super::point::Point;
use super::quadrature;

/// The largest turn over which one 8-point panel integrates harmonics of up to four times the angle to the last digit.
pub(crate) const PANEL_TURN: f64 = 0.8;

/// Number of equal panels for a turn, with harmonics of up to `harmonics` times the angle.
fn panels_for(turn: f64, harmonics: u32) -> usize {
    (turn.abs() * f64::from(harmonics) / 4.0 / PANEL_TURN).ceil().max(1.0) as usize
}

impl Curve {
    /// ∫f(p, dp) along the curve from parameter `from` to `to`, for f that is a polynomial in the point and linear in its
    /// motion, of total degree `degree`. Exact to rounding on lines, arcs, ellipse arcs, and on polynomial spans while the
    /// degree allows it; adaptive on other spans.
    pub(crate) fn integral<const N: usize>(
        &self,
        from: f64,
        to: f64,
        degree: u32,
        f: impl Fn(Point, Point) -> [f64; N],
    ) -> [f64; N] {
        match self {
            Curve::Line(c) => {
                let motion = c.end - c.start;
                quadrature::panels(|t| f(self.at(t), motion), from, to, 1)
            }
            Curve::Arc(c) => c.turning().integral(from, to, degree, f),
            Curve::Ellipse(c) => c.turning().integral(from, to, degree, f),
            Curve::Span(c) => {
                let integrand = |t: f64| {
                    let (p, d) = c.value_and_derivative(t);
                    f(p, d)
                };
                // The motion has one degree less than the point.
                if c.weights().is_none() && degree as usize * c.degree() <= quadrature::EXACT_DEGREE + 1 {
                    quadrature::panels(integrand, from, to, 1)
                } else {
                    quadrature::adaptive(integrand, from, to)
                }
            }
        }
    }
}

impl Turning {
    fn integral<const N: usize>(
        &self,
        from: f64,
        to: f64,
        degree: u32,
        f: impl Fn(Point, Point) -> [f64; N],
    ) -> [f64; N] {
        let (sine, cosine) = self.first.sin_cos();
        // By half of the angle turned: the point lies off the start along a chord whose direction is that of the middle of
        // the turn, so that a flat arc of a huge circle keeps its digits.
        let integrand = |half_sine: f64, half_cosine: f64| {
            let (s, c) = (sine * half_cosine + cosine * half_sine, cosine * half_cosine - sine * half_sine);
            let along = self.v * c - self.u * s;
            let (s, c) = (s * half_cosine + c * half_sine, c * half_cosine - s * half_sine);
            f(self.start + along * (2.0 * half_sine), (self.v * c - self.u * s) * 2.0)
        };
        let half = 0.5 * self.sweep;
        let count = panels_for(self.sweep * (to - from), degree);
        quadrature::turning(integrand, half * from, half * to, count)
    }
}
