//! Bézier spans, polynomial and rational: what splines are made of.
//!
//! De Casteljau's algorithm in homogeneous coordinates; length by adaptive Gauss-Legendre quadrature of the speed, held
//! between chord and control polygon. The curvature where control points coincide is own work.

use std::borrow::Cow;

use super::bernstein;
use super::point::{Bounds, Point};
use super::quadrature;

/// A Bézier span: Σ Bᵢⁿ(t) wᵢ Pᵢ / Σ Bᵢⁿ(t) wᵢ.
#[derive(Clone, Debug, PartialEq)]
pub struct Span {
    pub(super) points: Box<[Point]>,
    pub(super) weights: Option<Box<[f64]>>,
}

impl Span {
    /// A polynomial span of degree `points.len() - 1`. `None` without at least two points.
    pub fn polynomial(points: Vec<Point>) -> Option<Span> {
        (points.len() >= 2).then(|| Span { points: points.into(), weights: None })
    }

    /// A rational span. `None` unless there are two points or more, as many weights, and all weights are
    /// finite and above 0. Equal weights give the polynomial span.
    pub fn rational(points: Vec<Point>, weights: Vec<f64>) -> Option<Span> {
        if points.len() < 2
            || points.len() != weights.len()
            || weights.iter().any(|w| !(*w > 0.0 && w.is_finite()))
        {
            return None;
        }
        let weights = if weights.iter().all(|w| *w == weights[0]) { None } else { Some(weights.into()) };
        Some(Span { points: points.into(), weights })
    }

    /// Control points, first and last on the curve.
    pub fn points(&self) -> &[Point] {
        &self.points
    }

    /// Weights of the control points; `None` where all are equal (a polynomial span).
    pub fn weights(&self) -> Option<&[f64]> {
        self.weights.as_deref()
    }

    /// Degree of the polynomials.
    pub fn degree(&self) -> usize {
        self.points.len() - 1
    }

    pub(super) fn start(&self) -> Point {
        self.points[0]
    }

    pub(super) fn end(&self) -> Point {
        self.points[self.points.len() - 1]
    }

    pub(super) fn at(&self, t: f64) -> Point {
        if t <= 0.0 {
            return self.start();
        }
        if t >= 1.0 {
            return self.end();
        }
        self.value_and_derivative(t).0
    }

    pub(super) fn value_and_derivative(&self, t: f64) -> (Point, Point) {
        let coordinates = |axis: fn(&Point) -> f64| -> (f64, f64) {
            match &self.weights {
                None => bernstein::value_and_slope(self.points.iter().map(axis), t),
                Some(w) => {
                    bernstein::value_and_slope(self.points.iter().zip(w.iter()).map(|(p, w)| axis(p) * w), t)
                }
            }
        };
        let ((x, dx), (y, dy)) = (coordinates(|p| p.x), coordinates(|p| p.y));
        match &self.weights {
            None => (Point::new(x, y), Point::new(dx, dy)),
            Some(weights) => {
                let (w, dw) = bernstein::value_and_slope(weights.iter().copied(), t);
                let (x, y) = (x / w, y / w);
                (Point::new(x, y), Point::new((dx - x * dw) / w, (dy - y * dw) / w))
            }
        }
    }

    /// Direction of travel at `t` as a unit vector; zero for a span without length.
    pub(super) fn tangent(&self, t: f64) -> Point {
        let derivative = self.value_and_derivative(t).1;
        let length = derivative.length();
        if length > self.degree() as f64 * self.rounding() {
            return derivative * length.recip();
        }
        let (part, is_reversed) = self.leaving(t);
        let along = part.direction().map_or(Point::ORIGIN, |(along, _)| along);
        if is_reversed { -along } else { along }
    }

    /// Signed curvature at `t`, positive where the span turns anticlockwise.
    pub(super) fn curvature(&self, t: f64) -> f64 {
        let (part, is_reversed) = self.leaving(t);
        if is_reversed { -part.start_curvature() } else { part.start_curvature() }
    }

    /// The part that leaves the place at `t` along the longer way, and whether it runs against the span.
    fn leaving(&self, t: f64) -> (Cow<'_, Span>, bool) {
        if t <= 0.0 {
            (Cow::Borrowed(self), false)
        } else if t < 0.5 {
            (Cow::Owned(self.between(t, 1.0)), false)
        } else {
            let part = if t >= 1.0 { self.clone() } else { self.between(0.0, t) };
            (Cow::Owned(part.reversed()), true)
        }
    }

    fn reversed(mut self) -> Span {
        self.points.reverse();
        self.weights.iter_mut().for_each(|weights| weights.reverse());
        self
    }

    /// The direction in which the span leaves its start, and the number of the first control point that does not
    /// coincide with it.
    fn direction(&self) -> Option<(Point, usize)> {
        let from_start = |k: usize| self.points[k] - self.start();
        let beside = self.rounding();
        let first = (1..self.points.len()).find(|k| from_start(*k).length() > beside)?;
        Some((from_start(first) * from_start(first).length().recip(), first))
    }

    /// Control points nearer to each other than this coincide but for rounding.
    fn rounding(&self) -> f64 {
        /// Share of the size of the control polygon.
        const COINCIDE: f64 = 1e-9;
        COINCIDE * Bounds::around(self.points.iter().copied()).size()
    }

    /// Signed curvature at the start. Along its direction the span begins as a tᵏ, k being the number of the first control
    /// point away from the start, and beside it as h tʲ: y = h (x/a)^(j/k), a parabola where j = 2k.
    fn start_curvature(&self) -> f64 {
        let Some((along, k)) = self.direction() else { return 0.0 };
        let beside = |j: usize| along.cross(self.points[j] - self.start());
        let rounding = self.rounding();
        let last = (2 * k).min(self.degree());
        if let Some(j) = (k + 1..last.min(2 * k - 1) + 1).find(|j| beside(*j).abs() > rounding) {
            return f64::INFINITY.copysign(beside(j));
        }
        if last < 2 * k {
            return 0.0;
        }
        let choose = |j: usize| (0..j).map(|i| (self.degree() - i) as f64 / (i + 1) as f64).product::<f64>();
        let weight = |j: usize| self.weights.as_ref().map_or(1.0, |weights| weights[j] / weights[0]);
        let a = choose(k) * weight(k) * along.dot(self.points[k] - self.start());
        2.0 * choose(2 * k) * weight(2 * k) * beside(2 * k) / (a * a)
    }

    /// Bernstein coefficients of w·(normal·p − level), whose zeros are where the span crosses that line.
    fn height_over(&self, normal: Point, level: f64) -> Vec<f64> {
        match &self.weights {
            None => self.points.iter().map(|p| normal.dot(*p) - level).collect(),
            Some(w) => self.points.iter().zip(w.iter()).map(|(p, w)| w * (normal.dot(*p) - level)).collect(),
        }
    }

    /// Parameters within [0, 1] where normal·p = level, rising.
    pub(super) fn crossings(&self, normal: Point, level: f64) -> Vec<f64> {
        bernstein::roots_with_ends(&self.height_over(normal, level))
    }

    /// Parameters within (0, 1) where the span runs at right angles to `direction`.
    pub(super) fn extremes(&self, direction: Point) -> Vec<f64> {
        let height = self.height_over(direction, 0.0);
        let slope = match &self.weights {
            None => bernstein::derivative(&height),
            Some(w) => bernstein::subtracted(
                &bernstein::product(&bernstein::derivative(&height), w),
                &bernstein::product(&height, &bernstein::derivative(w)),
            ),
        };
        bernstein::roots(&slope)
    }

    /// The parameter between two of differing sign at which direction·p is `level`: Newton's method kept within a
    /// shrinking bracket.
    pub(super) fn bracketed(
        &self,
        direction: Point,
        level: f64,
        range: (f64, f64),
        heights: (f64, f64),
    ) -> f64 {
        let ((mut low, mut high), rising) = (range, heights.1 > heights.0);
        let mut t = low + (high - low) * heights.0 / (heights.0 - heights.1);
        for _ in 0..100 {
            let (point, derivative) = self.value_and_derivative(t);
            let height = direction.dot(point) - level;
            if height == 0.0 {
                break;
            }
            if (height > 0.0) == rising {
                high = t;
            } else {
                low = t;
            }
            let newton = t - height / direction.dot(derivative);
            let next = if newton > low && newton < high { newton } else { 0.5 * (low + high) };
            let step = (next - t).abs();
            t = next;
            if step <= f64::EPSILON || high - low <= f64::EPSILON {
                break;
            }
        }
        t
    }

    /// Arc length: the integral of the speed, over pieces each of which is longer than its chord and shorter than its
    /// control polygon, and hardly turns. The speed may peak between the nodes of a panel, as it does where weights differ
    /// by orders of magnitude; such a piece is shorter than its chord, or leaves it far.
    pub(super) fn length(&self) -> f64 {
        /// A control polygon longer than this many chords is that of a piece that turns.
        const TURNS: f64 = 1.25;
        /// Share of the control polygon that is rounding where all weights are alike.
        const ROUNDING: f64 = 1e-13;
        /// For each unit of the ratio of weights two panels may differ by this much more.
        const NOISE: f64 = 1e-4;
        let polygon = |span: &Span| -> f64 { span.points.windows(2).map(|p| p[0].distance(p[1])).sum() };
        let whole = polygon(self);
        // Where a small weight is what large ones leave, so is the place.
        let weights = self.weights.as_deref().unwrap_or(&[1.0]).iter();
        let (least, most) = weights.fold((f64::INFINITY, 0.0_f64), |(l, m), w| (l.min(*w), m.max(*w)));
        let ratio = most / least;
        let rounding = ROUNDING * whole * ratio;
        let plausible = |a: f64, b: f64, [length]: [f64; 1]| {
            let part = self.between(a, b);
            let (chord, polygon) = (part.start().distance(part.end()), polygon(&part));
            polygon <= rounding
                || polygon <= TURNS * chord && chord - rounding <= length && length <= polygon + rounding
        };
        let speed = |t: f64| [self.value_and_derivative(t).1.length()];
        quadrature::adaptive_where(speed, 0.0, 1.0, [whole.max(NOISE * ratio * whole)], plausible)[0]
    }

    /// The part from parameter `t0` to `t1` (t0 < t1), by de Casteljau in homogeneous coordinates.
    pub(super) fn between(&self, t0: f64, t1: f64) -> Span {
        let cut = |values: Vec<f64>| bernstein::restricted(&values, t0, t1);
        let weights = self.weights.as_ref().map(|w| cut(w.to_vec()));
        let axis = |axis: fn(&Point) -> f64| match (&self.weights, &weights) {
            (Some(old), Some(new)) => {
                let homogeneous = cut(self.points.iter().zip(old.iter()).map(|(p, w)| axis(p) * w).collect());
                homogeneous.iter().zip(new).map(|(v, w)| v / w).collect()
            }
            _ => cut(self.points.iter().map(axis).collect()),
        };
        let points = axis(|p| p.x).into_iter().zip(axis(|p| p.y)).map(|(x, y)| Point::new(x, y)).collect();
        Span { points, weights: weights.map(Vec::into_boxed_slice) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn conic(weight: f64) -> Span {
        let points = vec![Point::new(3.0, 1.0), Point::new(7.0, 4.0), Point::new(7.0, -2.0)];
        Span::rational(points, vec![1.0, weight, 1.0]).expect("a span")
    }

    #[test]
    fn weights_that_are_no_numbers_make_no_span() {
        let points = || vec![Point::new(3.0, 1.0), Point::new(7.0, 4.0), Point::new(7.0, -2.0)];
        for weight in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 0.0, -1.0] {
            assert_eq!(Span::rational(points(), vec![1.0, weight, 1.0]), None);
        }
    }

    #[test]
    fn curvatures_of_circles_and_of_control_points_that_coincide() {
        // A quarter of a circle of radius 5, and any part of it.
        let quarter = [(8.0, 1.0), (8.0, 6.0), (3.0, 6.0)].map(|(x, y)| Point::new(x, y));
        let quarter = Span::rational(quarter.to_vec(), vec![1.0, 0.5_f64.sqrt(), 1.0]).expect("a span");
        for t in [0.0, 0.1, 0.5, 0.77, 1.0] {
            assert!((quarter.curvature(t) - 0.2).abs() < 1e-13, "{t}: {}", quarter.curvature(t));
            assert!((quarter.clone().reversed().curvature(1.0 - t) + 0.2).abs() < 1e-13);
            let out = (quarter.at(t) - Point::new(3.0, 1.0)) * 0.2;
            assert!((quarter.tangent(t) - out.quarter_turned()).length() < 1e-13);
        }
        let span = |points: &[(f64, f64)]| {
            Span::polynomial(points.iter().map(|(x, y)| Point::new(*x, *y)).collect()).expect("a span")
        };
        // (3t², t³) and (3t², -t³) from 7,7 on; y = 2x² as (6t², 72t⁴); a straight line.
        let up = span(&[(7.0, 7.0), (7.0, 7.0), (8.0, 7.0), (10.0, 8.0)]);
        assert_eq!((up.tangent(0.0), up.curvature(0.0)), (Point::new(1.0, 0.0), f64::INFINITY));
        let down = span(&[(7.0, 7.0), (7.0, 7.0), (8.0, 7.0), (10.0, 6.0)]).reversed();
        assert_eq!((down.tangent(1.0), down.curvature(1.0)), (Point::new(-1.0, 0.0), f64::INFINITY));
        let even = span(&[(7.0, 7.0), (7.0, 7.0), (8.0, 7.0), (10.0, 7.0), (13.0, 79.0)]);
        assert_eq!((even.tangent(0.0), even.curvature(0.0)), (Point::new(1.0, 0.0), 4.0));
        let line = span(&[(7.0, 7.0), (7.0, 7.0), (8.0, 9.0), (8.0, 9.0)]);
        assert!(line.curvature(0.0) == 0.0 && line.curvature(1.0) == 0.0);
        let nothing = span(&[(7.0, 7.0), (7.0, 7.0), (7.0, 7.0)]);
        assert_eq!((nothing.tangent(0.0), nothing.curvature(1.0)), (Point::ORIGIN, 0.0));
    }

    /// The larger its weight, the nearer a conic runs to its control polygon, 5 + 6 long: its speed peaks at both ends.
    /// Beside it stands the sum over parts that halve towards the ends, so that in none of them it peaks.
    #[test]
    fn the_length_of_a_span_whose_speed_peaks() {
        for weight in [1.0, 30.0, 1e4, 1e7, 1e10] {
            let span = conic(weight);
            let near_start = (1..50).rev().map(|k| 0.5_f64.powi(k));
            let near_end = (2..50).map(|k| 1.0 - 0.5_f64.powi(k));
            let places: Vec<f64> = [0.0].into_iter().chain(near_start).chain(near_end).chain([1.0]).collect();
            let speed = |t: f64| [span.value_and_derivative(t).1.length()];
            let parts: f64 = places.windows(2).map(|t| quadrature::panels(speed, t[0], t[1], 32)[0]).sum();
            let length = span.length();
            // The value near the far end is what weights as large leave of it.
            assert!((length / parts - 1.0).abs() < 1e-11 + 1e-15 * weight, "{weight}: {length} {parts}");
        }
        assert!((conic(1e10).length() / 11.0 - 1.0).abs() < 1e-4);
    }

    #[test]
    fn the_length_of_a_cusp_and_of_a_line_run_twice() {
        // y² = x³ from (1, −1) to (1, 1): 2 (13 √13 − 8) / 27 by calculus.
        let third = 1.0 / 3.0;
        let cusp = [(1.0, -1.0), (-third, 1.0), (-third, -1.0), (1.0, 1.0)].map(|(x, y)| Point::new(x, y));
        let cusp = Span::polynomial(cusp.to_vec()).expect("a span").length();
        let exact = 2.0 * (13.0 * 13.0_f64.sqrt() - 8.0) / 27.0;
        assert!((cusp / exact - 1.0).abs() < 1e-11, "{cusp} {exact}");
        // x = 2t(1 − t) goes to ½ and back.
        let back = [(0.0, 0.0), (1.0, 0.0), (0.0, 0.0)].map(|(x, y)| Point::new(x, y));
        assert!((Span::polynomial(back.to_vec()).expect("a span").length() - 1.0).abs() < 1e-11);
    }
}
