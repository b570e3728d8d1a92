//! The point of a curve that is nearest to another.
//!
//! Of lines and arcs in closed form; of other curves from samples by Newton's method kept within a bracket, the derivative of
//! the slope by differences.

use super::curve::Curve;
use super::point::{Bounds, Point};

impl Curve {
    /// The parameter of the point of the curve that is nearest to `point`.
    pub fn nearest(&self, point: Point) -> f64 {
        match self {
            Curve::Line(c) => {
                let along = c.end - c.start;
                let square = along.dot(along);
                if square > 0.0 { ((point - c.start).dot(along) / square).clamp(0.0, 1.0) } else { 0.0 }
            }
            Curve::Arc(c) => {
                let out = point - c.center;
                let t = if out == Point::ORIGIN { 0.0 } else { c.turn_to(out.angle()) / c.sweep.abs() };
                if t <= 1.0 {
                    return t;
                }
                if point.distance(c.start) <= point.distance(c.end) { 0.0 } else { 1.0 }
            }
            other => nearest_by_search(other, point),
        }
    }

    /// The parameter of the nearest point; where a closed curve begins and ends there, the end on the side of `beside`.
    pub(crate) fn nearest_beside(&self, point: Point, beside: f64) -> f64 {
        let t = self.nearest(point);
        match self.is_closed() && (t - beside).abs() > 0.5 {
            true if t < 0.5 => 1.0,
            true => 0.0,
            false => t,
        }
    }

    /// The parameter at which the curve passes within `tolerance` of `point`, if it does.
    pub(super) fn passes(&self, point: Point, tolerance: f64) -> Option<f64> {
        /// What is further from a box or circle than so many tolerances is further than one from the curve, whatever the
        /// rounding.
        const ROOM: f64 = 2.0;
        // Curves that are joined, or drawn again, have their ends in common.
        if let Some(end) = [(0.0, self.start()), (1.0, self.end())].iter().find(|(_, end)| *end == point) {
            return Some(end.0);
        }
        // A box around the curve tells most points apart without a search.
        let around = match self {
            Curve::Line(c) => Some(Bounds::EMPTY.with(c.start).with(c.end)),
            Curve::Arc(c) if (point.distance(c.center) - c.radius).abs() > ROOM * tolerance => return None,
            Curve::Arc(_) => None,
            Curve::Ellipse(c) => {
                let (wide, high) = (c.u.x.hypot(c.v.x), c.u.y.hypot(c.v.y));
                let reach = Point::new(wide, high);
                Some(Bounds { min: c.center - reach, max: c.center + reach })
            }
            Curve::Span(c) => Some(Bounds::around(c.points().iter().copied())),
        };
        if around.is_some_and(|b| !b.grown(ROOM * tolerance).contains_point(point)) {
            return None;
        }
        let t = self.nearest(point);
        (self.at(t).distance(point) <= tolerance).then_some(t)
    }

    /// Distance from `point` to the curve.
    pub fn distance(&self, point: Point) -> f64 {
        self.at(self.nearest(point)).distance(point)
    }
}

fn nearest_by_search(curve: &Curve, point: Point) -> f64 {
    const SAMPLES: usize = 32;
    /// Brackets and steps of the parameter below this are rounding.
    const SETTLED: f64 = f64::EPSILON;
    /// The change of the slope is taken over this share of the bracket, about the square root of the rounding.
    const DIFFERENCE: f64 = 1e-7;
    /// But over no narrower bracket than this: parameters nearer to each other have no difference.
    const NARROWEST: f64 = 1e-9;
    let square = |t: f64| {
        let d = curve.at(t) - point;
        d.dot(d)
    };
    let step = 1.0 / SAMPLES as f64;
    let mut candidates: Vec<(f64, f64)> =
        (0..=SAMPLES).map(|k| k as f64 * step).map(|t| (square(t), t)).collect();
    candidates.sort_by(|x, y| x.0.total_cmp(&y.0));
    // The two best samples may lie in different valleys of the distance.
    candidates.truncate(3);
    let mut best = candidates[0];
    for (_, seed) in candidates {
        let (mut low, mut high) = ((seed - step).max(0.0), (seed + step).min(1.0));
        let slope = |t: f64| {
            let (at, derivative) = curve.at_with_derivative(t);
            (at - point).dot(derivative)
        };
        let mut t = seed;
        for _ in 0..60 {
            let here = slope(t);
            if here > 0.0 {
                high = t;
            } else {
                low = t;
            }
            if here == 0.0 || high - low <= 2.0 * SETTLED {
                break;
            }
            let delta = DIFFERENCE * (high - low).max(NARROWEST);
            let second = (slope(t + delta) - slope(t - delta)) / (2.0 * delta);
            let newton = t - here / second;
            let next = if newton > low && newton < high { newton } else { 0.5 * (low + high) };
            let moved = (next - t).abs();
            t = next;
            // Newton closes in from one side, so the bracket itself need not shrink to nothing.
            if moved <= SETTLED {
                break;
            }
        }
        for t in [t, low, high] {
            if square(t) < best.0 {
                best = (square(t), t);
            }
        }
    }
    best.1
}
