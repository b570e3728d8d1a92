//! NURBS to Bézier spans.

use super::plane::{OnEdge, Point3, View, seen_from_above};
use super::shape::{Chain, Shape};
use crate::geometry::{Bounds, Curve, Point, Span};

/// A control point with its weight: (w·x, w·y, w·z, w).
type Weighted = [f64; 4];

/// Spans of higher degree are no spline that a drawing program draws (they stop at about 11), and cost grows with
/// the cube.
pub(super) const HIGHEST_DEGREE: usize = 25;

/// Ends nearer to each other than this share of the spline's size are one point: they differ by rounding only.
const CLOSURE: f64 = 1e-9;

/// Control points whose weights are further apart than this leave no digit of the others.
const WEIGHTS: f64 = 1e15;

/// A spline as a drawing gives it.
#[derive(Clone, Debug, Default)]
pub(super) struct Nurbs {
    pub degree: usize,
    pub knots: Vec<f64>,
    pub points: Vec<Point3>,
    /// As many as points, or none where all are 1.
    pub weights: Vec<f64>,
    /// Closed smoothly: where knots are missing, the points are to be repeated.
    pub periodic: bool,
}

/// Bézier spans in space, one after the other.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Spans {
    /// Control points for each span: degree + 1.
    pub(super) order: usize,
    pub(super) points: Vec<Point3>,
    /// As many as points, or none where all are 1.
    pub(super) weights: Vec<f64>,
}

impl Nurbs {
    /// The spans between the knots of the spline's own domain, from the knot of index degree to that of index n. The
    /// error says what is wrong with the spline.
    pub fn spans(self) -> Result<Spans, String> {
        self.spans_within(f64::NEG_INFINITY, f64::INFINITY)
    }

    /// Those of its spans, or parts of them, that lie between two parameters.
    pub fn spans_within(mut self, from: f64, to: f64) -> Result<Spans, String> {
        let p = self.degree;
        if p == 0 || p > HIGHEST_DEGREE {
            return Err(format!("degree {p}, which is not within 1 to {HIGHEST_DEGREE}"));
        }
        if !self.weights.is_empty() && self.weights.len() != self.points.len() {
            return Err(format!("{} weights for {} control points", self.weights.len(), self.points.len()));
        }
        if let Some(weight) = self.weights.iter().find(|w| **w <= 0.0) {
            return Err(format!("a weight of {weight}"));
        }
        let (least, most) =
            self.weights.iter().fold((f64::INFINITY, 0.0_f64), |(l, m), w| (l.min(*w), m.max(*w)));
        if most > WEIGHTS * least {
            return Err(format!(
                "weights from {least} to {most}, which are too far apart for numbers to hold"
            ));
        }
        if self.knots.is_empty() {
            self.supply_knots();
        }
        let n = self.points.len();
        if n <= p {
            return Err(format!("{n} control points for degree {p}"));
        }
        if self.knots.len() != n + p + 1 {
            return Err(format!("{} knots for {n} control points of degree {p}", self.knots.len()));
        }
        if self.knots.windows(2).any(|pair| pair[1] < pair[0]) {
            return Err("knots that decrease".to_owned());
        }
        let weighted: Vec<Weighted> = (0..n)
            .map(|i| {
                let w = self.weights.get(i).copied().unwrap_or(1.0);
                let [x, y, z] = self.points[i];
                [w * x, w * y, w * z, w]
            })
            .collect();
        let mut spans = Spans { order: p + 1, points: Vec::new(), weights: Vec::new() };
        for k in p..n {
            let (low, high) = (self.knots[k].max(from), self.knots[k + 1].min(to));
            if low < high {
                for j in 0..=p {
                    let [x, y, z, w] =
                        blossom(&weighted, &self.knots, p, k, |r| if r < j { high } else { low });
                    spans.points.push([x / w, y / w, z / w]);
                    if !self.weights.is_empty() {
                        spans.weights.push(w);
                    }
                }
            }
        }
        if spans.points.is_empty() {
            return Err("knots that are all equal".to_owned());
        }
        spans.join_ends()?;
        Ok(spans)
    }

    /// Evenly spaced knots: held at the ends, or running around where the spline closes smoothly.
    fn supply_knots(&mut self) {
        let p = self.degree;
        if self.periodic && self.points.len() > 1 {
            if self.points.first() == self.points.last() {
                self.points.pop();
                self.weights.pop();
            }
            let n = self.points.len();
            for i in 0..p {
                self.points.push(self.points[i % n]);
                if !self.weights.is_empty() {
                    self.weights.push(self.weights[i % n]);
                }
            }
            self.knots = (0..self.points.len() + p + 1).map(|i| i as f64).collect();
            return;
        }
        let n = self.points.len();
        if n > p {
            self.knots = (0..n + p + 1).map(|i| i.clamp(p, n) as f64 - p as f64).collect();
        }
    }
}

/// The polar form of the polynomial piece on [knots[k], knots[k + 1]] at the arguments `at(0..degree)`, by de Boor's
/// scheme. No denominator is 0, since each holds that interval.
fn blossom(points: &[Weighted], knots: &[f64], p: usize, k: usize, at: impl Fn(usize) -> f64) -> Weighted {
    let mut d = [[0.0; 4]; HIGHEST_DEGREE + 1];
    d[..=p].copy_from_slice(&points[k - p..=k]);
    for r in 1..=p {
        let t = at(r - 1);
        for j in (r..=p).rev() {
            let i = k - p + j;
            let share = (t - knots[i]) / (knots[i + p - r + 1] - knots[i]);
            let before = d[j - 1];
            d[j].iter_mut().zip(before).for_each(|(d, before)| *d = (1.0 - share) * before + share * *d);
        }
    }
    d[p]
}

impl Spans {
    /// Each span begins exactly where the one before it ends. They differ by rounding; only where a knot is
    /// repeated more often than the degree can there be a gap.
    fn join_ends(&mut self) -> Result<(), String> {
        let size = self.points.iter().map(|point| distance(self.points[0], *point)).fold(0.0, f64::max);
        for i in (self.order..self.points.len()).step_by(self.order) {
            let gap = distance(self.points[i - 1], self.points[i]);
            if gap > CLOSURE * size {
                return Err(format!("a gap of {gap} within, at a repeated knot"));
            }
            self.points[i] = self.points[i - 1];
        }
        Ok(())
    }

    /// How many spans.
    pub fn size(&self) -> u64 {
        (self.points.len() / self.order) as u64
    }

    /// The control points.
    pub fn points(&self) -> &[Point3] {
        &self.points
    }

    /// Where they begin and end.
    pub fn ends(&self) -> [Point3; 2] {
        let end = |point: Option<&Point3>| point.copied().unwrap_or([0.0; 3]);
        [end(self.points.first()), end(self.points.last())]
    }

    /// Begins and ends them exactly at points that differ by rounding.
    pub fn set_ends(&mut self, start: Point3, end: Point3) {
        self.points.first_mut().into_iter().for_each(|point| *point = start);
        self.points.last_mut().into_iter().for_each(|point| *point = end);
    }

    /// The same spans travelled the other way.
    pub fn reversed(mut self) -> Spans {
        self.points.reverse();
        self.weights.reverse();
        self
    }

    /// Moves every control point.
    pub fn moved(mut self, map: impl Fn(Point3) -> Point3) -> Spans {
        self.points.iter_mut().for_each(|point| *point = map(*point));
        self
    }

    /// The spans seen from above as one chain.
    pub fn seen_from_above(&self) -> Result<View<Shape>, OnEdge> {
        let reach = self.points.iter().map(|point| distance(self.points[0], *point)).fold(0.0, f64::max);
        let is_ring =
            self.points.last().is_some_and(|last| distance(self.points[0], *last) <= CLOSURE * reach);
        let View { seen: mut points, tilted } = seen_from_above(&self.points, is_ring)?;
        let size = Bounds::around(points.iter().copied()).size();
        let last = points.len() - 1;
        let closed = points[0].distance(points[last]) <= CLOSURE * size;
        if closed {
            points[last] = points[0];
        }
        let spans = points.chunks_exact(self.order).enumerate();
        let curves: Box<[Curve]> = spans.filter_map(|(i, span)| self.curve(i, span)).collect();
        let chain = Chain { closed: closed && !curves.is_empty(), curves, polyline: false, wide: None };
        Ok(View { seen: Shape::Chain(Box::new(chain)), tilted })
    }

    /// A span as a curve; `None` for one without length.
    fn curve(&self, i: usize, points: &[Point]) -> Option<Curve> {
        if points.iter().all(|point| *point == points[0]) {
            return None;
        }
        if let [start, end] = points {
            return Some(Curve::line(*start, *end));
        }
        let weights = self.weights.get(i * self.order..(i + 1) * self.order);
        let span = match weights {
            None => Span::polynomial(points.to_vec()),
            Some(weights) => Span::rational(points.to_vec(), weights.to_vec()),
        };
        span.map(Curve::Span)
    }
}

pub(super) fn distance(a: Point3, b: Point3) -> f64 {
    (b[0] - a[0]).hypot(b[1] - a[1]).hypot(b[2] - a[2])
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::FRAC_1_SQRT_2;

    fn flat(points: &[(f64, f64)]) -> Vec<Point3> {
        points.iter().map(|(x, y)| [*x, *y, 0.0]).collect()
    }

    fn curves(spans: &Spans) -> Vec<Curve> {
        spans.seen_from_above().unwrap().seen.curves()
    }

    #[test]
    fn a_circle_of_nine_points() {
        let square = [
            (5.0, 2.0),
            (5.0, 4.0),
            (3.0, 4.0),
            (1.0, 4.0),
            (1.0, 2.0),
            (1.0, 0.0),
            (3.0, 0.0),
            (5.0, 0.0),
            (5.0, 2.0),
        ];
        let weights = (0..9).map(|i| if i % 2 == 0 { 1.0 } else { FRAC_1_SQRT_2 }).collect();
        let knots = vec![0.0, 0.0, 0.0, 1.0, 1.0, 2.0, 2.0, 3.0, 3.0, 4.0, 4.0, 4.0];
        let nurbs = Nurbs { degree: 2, knots, points: flat(&square), weights, periodic: false };
        let spans = nurbs.spans().unwrap();
        let shape = spans.seen_from_above().unwrap().seen;
        assert!(shape.is_closed());
        assert_eq!(shape.curves().len(), 4);
        for curve in shape.curves() {
            for i in 0..=10 {
                let radius = curve.at(f64::from(i) / 10.0).distance(Point::new(3.0, 2.0));
                assert!((radius - 2.0).abs() < 1e-14);
            }
        }
    }

    /// The B-spline by the recursive definition of its basis functions, as an independent check.
    fn basis(knots: &[f64], i: usize, p: usize, t: f64) -> f64 {
        if p == 0 {
            return f64::from(u8::from(knots[i] <= t && t < knots[i + 1]));
        }
        let part = |share: f64, width: f64, rest: f64| if width == 0.0 { 0.0 } else { share / width * rest };
        part(t - knots[i], knots[i + p] - knots[i], basis(knots, i, p - 1, t))
            + part(knots[i + p + 1] - t, knots[i + p + 1] - knots[i + 1], basis(knots, i + 1, p - 1, t))
    }

    #[test]
    fn spans_follow_the_basis_functions() {
        let points =
            flat(&[(0.0, 0.0), (2.0, 5.0), (4.0, -1.0), (7.0, 3.0), (9.0, 9.0), (12.0, 1.0), (13.0, 4.0)]);
        let weights = vec![1.0, 0.7, 2.0, 1.3, 0.4, 1.0, 3.0];
        for knots in [
            vec![0.0, 0.0, 0.0, 0.0, 1.0, 1.5, 4.0, 6.0, 6.0, 6.0, 6.0],
            vec![-3.0, -1.0, -0.5, 0.0, 1.0, 1.5, 4.0, 6.0, 7.0, 9.0, 9.5],
            vec![0.0, 0.0, 0.0, 0.0, 2.0, 2.0, 2.0, 6.0, 6.0, 6.0, 6.0],
        ] {
            let nurbs = Nurbs {
                degree: 3,
                knots: knots.clone(),
                points: points.clone(),
                weights: weights.clone(),
                periodic: false,
            };
            let spans = curves(&nurbs.spans().unwrap());
            let breaks: Vec<usize> = (3..7).filter(|k| knots[*k] < knots[k + 1]).collect();
            assert_eq!(spans.len(), breaks.len());
            for (curve, k) in spans.iter().zip(breaks) {
                for share in [0.0, 0.2, 0.77] {
                    let t = knots[k] + share * (knots[k + 1] - knots[k]);
                    let mut sum = [0.0; 3];
                    for i in 0..7 {
                        let b = basis(&knots, i, 3, t) * weights[i];
                        sum = [sum[0] + b * points[i][0], sum[1] + b * points[i][1], sum[2] + b];
                    }
                    let expected = Point::new(sum[0] / sum[2], sum[1] / sum[2]);
                    assert!(curve.at(share).distance(expected) < 1e-13, "{t}");
                }
            }
        }
    }

    #[test]
    fn four_points_wrapped_around_close() {
        let points =
            flat(&[(0.0, 0.0), (4.0, 0.0), (4.0, 3.0), (0.0, 3.0), (0.0, 0.0), (4.0, 0.0), (4.0, 3.0)]);
        let knots: Vec<f64> = (-3..8).map(f64::from).collect();
        let wrapped = Nurbs { degree: 3, knots, points: points.clone(), ..Nurbs::default() }.spans().unwrap();
        let shape = wrapped.seen_from_above().unwrap().seen;
        assert!(shape.is_closed());
        assert_eq!(shape.curves().len(), 4);
        // The same without knots and without the repeated points.
        let bare = Nurbs { degree: 3, points: points[..4].to_vec(), periodic: true, ..Nurbs::default() };
        for (a, b) in curves(&bare.spans().unwrap()).iter().zip(shape.curves()) {
            assert!(a.at(0.4).distance(b.at(0.4)) < 1e-14);
        }
    }

    #[test]
    fn splines_that_make_no_sense_say_why() {
        let good = || Nurbs {
            degree: 3,
            points: flat(&[(0.0, 0.0), (1.0, 1.0), (2.0, 0.0), (3.0, 1.0)]),
            ..Nurbs::default()
        };
        assert!(good().spans().is_ok());
        let fault = |nurbs: Nurbs| nurbs.spans().unwrap_err();
        assert!(fault(Nurbs { degree: 0, ..good() }).contains("degree 0"));
        assert!(fault(Nurbs { degree: 1_000_000, ..good() }).contains("degree"));
        assert!(fault(Nurbs { degree: 4, ..good() }).contains("control points"));
        assert!(fault(Nurbs { knots: vec![0.0; 8], ..good() }).contains("equal"));
        assert!(fault(Nurbs { knots: vec![0.0; 5], ..good() }).contains("knots"));
        assert!(fault(Nurbs { weights: vec![1.0, 0.0, 1.0, 1.0], ..good() }).contains("weight"));
    }
}
