//! Bézier spans, polynomial and rational: what splines are made of.

use super::bernstein;
use super::point::Point;

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
    /// above 0. Equal weights give the polynomial span.
    pub fn rational(points: Vec<Point>, weights: Vec<f64>) -> Option<Span> {
        if points.len() < 2 || points.len() != weights.len() || weights.iter().any(|w| *w <= 0.0) {
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
