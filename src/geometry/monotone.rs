//! How far a curve reaches in a direction: where it is outermost, where it crosses a level, and the parts between along
//! which it rises or falls.
//!
//! Closed forms by inverse trigonometric functions for arcs, zeros of polynomials for spans.

use std::f64::consts::TAU;

use super::arc::{circle_crossings, turning_parameters, turning_places};
use super::curve::Curve;
use super::parameters::{Parameters, Stations};
use super::point::{Bounds, Point};

impl Curve {
    /// Parameters strictly within (0, 1), rising, where the curve runs at right angles to `direction`: the only
    /// places beside the ends where direction·p can be largest or smallest.
    pub fn extremes(&self, direction: Point) -> Parameters {
        match self {
            Curve::Line(_) => Parameters::new(),
            Curve::Arc(c) => turning_parameters(direction.angle(), c.start_angle, c.sweep),
            Curve::Ellipse(c) => {
                // direction·p = direction·c + A cos φ + B sin φ is extreme at φ = atan2(B, A) and half a turn on.
                let (a, b) = (direction.dot(c.u), direction.dot(c.v));
                if a == 0.0 && b == 0.0 {
                    return Parameters::new();
                }
                turning_parameters(b.atan2(a), c.start_parameter, c.sweep)
            }
            Curve::Span(c) => c.extremes(direction).into(),
        }
    }

    /// Parameters within [0, 1], rising, where the curve crosses or touches the line normal·p = level.
    pub fn crossings(&self, normal: Point, level: f64) -> Parameters {
        match self {
            Curve::Line(c) => {
                let (first, last) = (normal.dot(c.start) - level, normal.dot(c.end) - level);
                if first == last {
                    return Parameters::new();
                }
                let t = first / (first - last);
                if (0.0..=1.0).contains(&t) { Parameters::from_slice(&[t]) } else { Parameters::new() }
            }
            Curve::Arc(c) => {
                let size = normal.length();
                let cosine = (level - normal.dot(c.center)) / (size * c.radius);
                circle_crossings(cosine, normal.angle(), c.start_angle, c.sweep)
            }
            Curve::Ellipse(c) => {
                let (a, b) = (normal.dot(c.u), normal.dot(c.v));
                let amplitude = a.hypot(b);
                if amplitude == 0.0 {
                    return Parameters::new();
                }
                let cosine = (level - normal.dot(c.center)) / amplitude;
                circle_crossings(cosine, b.atan2(a), c.start_parameter, c.sweep)
            }
            Curve::Span(c) => c.crossings(normal, level).into(),
        }
    }

    /// The parameter between `low` and `high`, where direction·p rises or falls all along, at which it is `level`; the
    /// nearer end where it reaches that level nowhere.
    pub(crate) fn parameter_where(&self, direction: Point, level: f64, low: f64, high: f64) -> f64 {
        let height = |t: f64| direction.dot(self.at(t)) - level;
        match self {
            Curve::Line(c) => {
                let (first, last) = (direction.dot(c.start), direction.dot(c.end));
                ((level - first) / (last - first)).clamp(low, high)
            }
            Curve::Span(c) => {
                let (at_low, at_high) = (height(low), height(high));
                if at_low * at_high >= 0.0 {
                    return if at_low.abs() <= at_high.abs() { low } else { high };
                }
                c.bracketed(direction, level, (low, high), (at_low, at_high))
            }
            _ => {
                let crossings = self.crossings(direction, level);
                if let Some(t) = crossings.into_iter().find(|t| *t >= low && *t <= high) {
                    return t;
                }
                if height(low).abs() <= height(high).abs() { low } else { high }
            }
        }
    }

    /// Smallest and largest direction·p over the curve, from its own extremes and not its vertices alone.
    pub fn extent(&self, direction: Point) -> (f64, f64) {
        let (first, last) = (direction.dot(self.start()), direction.dot(self.end()));
        let ends = (first.min(last), first.max(last));
        if let Curve::Line(_) = self {
            return ends;
        }
        self.extremes(direction).into_iter().fold(ends, |(low, high), t| {
            let value = direction.dot(self.at(t));
            (low.min(value), high.max(value))
        })
    }

    /// The smallest box around the curve.
    pub fn bounds(&self) -> Bounds {
        match self {
            Curve::Line(c) => return Bounds::EMPTY.with(c.start).with(c.end),
            Curve::Arc(c) if c.sweep.abs() >= TAU => {
                let reach = Point::new(c.radius, c.radius);
                return Bounds { min: c.center - reach, max: c.center + reach }.with(c.start);
            }
            _ => {}
        }
        let mut bounds = Bounds::EMPTY.with(self.start()).with(self.end());
        for direction in [Point::new(1.0, 0.0), Point::new(0.0, 1.0)] {
            self.each_extreme(direction, |_, place| bounds = bounds.with(place));
        }
        bounds
    }

    /// The parameters 0 = t₀ < t₁ < … = 1 between which direction·p rises or falls all along.
    pub fn monotone_parts(&self, direction: Point) -> Parameters {
        let mut parts = Parameters::new();
        parts.push(0.0);
        parts.extend(self.extremes(direction));
        parts.push(1.0);
        parts
    }

    /// The points at the parameters where monotone parts begin and end.
    pub(crate) fn monotone_stations(&self, direction: Point) -> Stations {
        let mut stations = Stations::new();
        stations.push((0.0, self.start()));
        self.each_extreme(direction, |t, place| stations.push((t, place)));
        stations.push((1.0, self.end()));
        stations
    }

    /// Calls `visit` with each of the [`extremes`](Curve::extremes) and its place. The direction is a unit vector.
    #[inline]
    fn each_extreme(&self, direction: Point, mut visit: impl FnMut(f64, Point)) {
        /// An arc that turns farther has its centre near it, and places found from there have all their digits.
        const ROUND: f64 = 0.5;
        match self {
            Curve::Line(_) => {}
            Curve::Arc(c) if c.sweep.abs() > ROUND => {
                for (t, ahead) in turning_places(direction.angle(), c.start_angle, c.sweep) {
                    let out = if ahead { c.radius } else { -c.radius };
                    visit(t, c.center + direction * out);
                }
            }
            other => other.extremes(direction).into_iter().for_each(|t| visit(t, other.at(t))),
        }
    }

    /// Calls `visit` with the ends of each part along which direction·p rises or falls, each with its parameter.
    #[inline]
    pub(crate) fn each_monotone(&self, direction: Point, mut visit: impl FnMut((f64, Point), (f64, Point))) {
        let mut first = (0.0, self.start());
        self.each_extreme(direction, |t, place| {
            visit(first, (t, place));
            first = (t, place);
        });
        visit(first, (1.0, self.end()));
    }
}
