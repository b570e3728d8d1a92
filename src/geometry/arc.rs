//! Arcs of circles and ellipses.
//!
//! s − sin s by its Taylor series where the difference cancels.

use std::f64::consts::{PI, TAU};

use super::curve::Curve;
use super::parameters::{Parameters, SmallVec};
use super::point::Point;

/// A circular arc; a full circle where the sweep is ±2π.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub struct Arc {
    /// Where it begins.
    pub start: Point,
    /// Where it ends.
    pub end: Point,
    /// Centre of the circle.
    pub center: Point,
    /// Radius, above 0.
    pub radius: f64,
    /// Direction from the centre to the start, radians anticlockwise from +x.
    pub start_angle: f64,
    /// Turning from start to end in radians, anticlockwise positive, within ±2π.
    pub sweep: f64,
}

/// An arc of an ellipse: centre + u·cos φ + v·sin φ, with conjugate half-diameters u and v (they need not be at
/// right angles); a full ellipse where the sweep is ±2π.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub struct EllipseArc {
    /// Where it begins.
    pub start: Point,
    /// Where it ends.
    pub end: Point,
    /// Centre of the ellipse.
    pub center: Point,
    /// Half-diameter to the point of parameter φ = 0.
    pub u: Point,
    /// Half-diameter to the point of parameter φ = π/2.
    pub v: Point,
    /// φ at the start, radians.
    pub start_parameter: f64,
    /// Growth of φ from start to end, radians, within ±2π.
    pub sweep: f64,
}

impl Arc {
    /// The arc about `center` that begins at `start_angle` and turns by `sweep` (radians).
    pub fn new(center: Point, radius: f64, start_angle: f64, sweep: f64) -> Arc {
        let on_circle = |angle: f64| center + Point::at_angle(angle) * radius;
        let start = on_circle(start_angle);
        let end = if sweep.abs() >= TAU { start } else { on_circle(start_angle + sweep) };
        Arc { start, end, center, radius, start_angle, sweep: sweep.clamp(-TAU, TAU) }
    }

    /// The full circle, anticlockwise from its rightmost point.
    pub fn circle(center: Point, radius: f64) -> Arc {
        let start = center + Point::new(1.0, 0.0) * radius;
        Arc { start, end: start, center, radius, start_angle: 0.0, sweep: TAU }
    }

    pub(super) fn at(&self, t: f64) -> Point {
        // From the start along the chord rather than from the centre: a flat arc of a huge circle keeps its digits.
        let half = 0.5 * self.sweep * t;
        self.start
            + Point::at_angle(self.start_angle + half).quarter_turned() * (2.0 * self.radius * half.sin())
    }

    /// How far it has turned, in its own direction, when it reaches `angle`: within [0, 2π).
    pub(super) fn turn_to(&self, angle: f64) -> f64 {
        let turn = if self.sweep > 0.0 { angle - self.start_angle } else { self.start_angle - angle };
        turn.rem_euclid(TAU)
    }

    #[inline]
    pub(super) fn turning(&self) -> Turning {
        let Arc { start, center, radius, start_angle: first, sweep, .. } = *self;
        Turning { start, center, u: Point::new(radius, 0.0), v: Point::new(0.0, radius), first, sweep }
    }

    /// The direction from the centre to the point at t, as an angle.
    pub fn angle_at(&self, t: f64) -> f64 {
        self.start_angle + self.sweep * t
    }
}

impl EllipseArc {
    /// The arc about `center` that begins at parameter `start_parameter` and grows by `sweep` (radians).
    pub fn new(center: Point, u: Point, v: Point, start_parameter: f64, sweep: f64) -> EllipseArc {
        let at = |phi: f64| center + u * phi.cos() + v * phi.sin();
        let start = at(start_parameter);
        let end = if sweep.abs() >= TAU { start } else { at(start_parameter + sweep) };
        EllipseArc { start, end, center, u, v, start_parameter, sweep: sweep.clamp(-TAU, TAU) }
    }

    pub(super) fn at(&self, t: f64) -> Point {
        let half = 0.5 * self.sweep * t;
        let (sine, cosine) = (self.start_parameter + half).sin_cos();
        self.start + (self.v * cosine - self.u * sine) * (2.0 * half.sin())
    }

    #[inline]
    pub(super) fn turning(&self) -> Turning {
        let EllipseArc { start, center, u, v, start_parameter: first, sweep, .. } = *self;
        Turning { start, center, u, v, first, sweep }
    }

    pub(super) fn derivative(&self, t: f64) -> Point {
        let (sine, cosine) = (self.start_parameter + self.sweep * t).sin_cos();
        (self.v * cosine - self.u * sine) * self.sweep
    }
}

/// A part of a circle or an ellipse as both are seen alike: the point at t is center + u·cos φ + v·sin φ with
/// φ = first + sweep·t.
pub(crate) struct Turning {
    /// Where it begins, to the last bit.
    pub start: Point,
    pub center: Point,
    pub u: Point,
    pub v: Point,
    /// φ at the start.
    pub first: f64,
    /// Growth of φ from start to end.
    pub sweep: f64,
}

impl Turning {
    /// φ at parameter `t`.
    pub fn angle(&self, t: f64) -> f64 {
        self.first + self.sweep * t
    }

    /// From the centre to the point at parameter `t`.
    pub(super) fn out(&self, t: f64) -> Point {
        let (sine, cosine) = self.angle(t).sin_cos();
        self.u * cosine + self.v * sine
    }
}

impl Curve {
    /// An arc or an ellipse arc as a part of an ellipse; `None` for lines and spans.
    #[inline]
    pub(crate) fn turning(&self) -> Option<Turning> {
        match self {
            Curve::Arc(c) => Some(c.turning()),
            Curve::Ellipse(c) => Some(c.turning()),
            Curve::Line(_) | Curve::Span(_) => None,
        }
    }
}

/// s − sin s, given both; by its series where the difference would cancel: the area of a circular segment is r²/2 of it.
pub(super) fn turn_beyond_sine(s: f64, sine: f64) -> f64 {
    /// Of a larger angle (radians) the difference loses no more than two digits, and the series would be long.
    const CANCELS: f64 = 0.5;
    if s.abs() > CANCELS {
        return s - sine;
    }
    /// Terms below this share of the sum change no digit of it.
    const NOTHING: f64 = 0.1 * f64::EPSILON;
    let square = s * s;
    let mut term = s * square / 6.0;
    let (mut sum, mut k) = (term, 4.0);
    while term.abs() > NOTHING * sum.abs() {
        term *= -square / (k * (k + 1.0));
        sum += term;
        k += 2.0;
    }
    sum
}

/// Parameters strictly inside an arc from `start` turning by `sweep` at which its angle is `angle` or half a turn
/// beyond, rising.
pub(super) fn turning_parameters(angle: f64, start: f64, sweep: f64) -> Parameters {
    turning_places(angle, start, sweep).into_iter().map(|(t, _)| t).collect()
}

/// The same, each with whether its angle is `angle` and not half a turn beyond.
pub(super) fn turning_places(angle: f64, start: f64, sweep: f64) -> SmallVec<[(f64, bool); 4]> {
    /// A full turn has two half turns begun before it, within it and, by rounding, at either end of it. A count, and
    /// not the end of the arc, ends the search: angles that are no numbers never come to the end.
    const HALF_TURNS: u32 = 5;
    let mut found = SmallVec::new();
    let (low, high) = if sweep > 0.0 { (start, start + sweep) } else { (start + sweep, start) };
    let first = ((low - angle) / PI).floor();
    // Of angles so large that this is not their number there is no fraction left either.
    let is_ahead = |k: u32| (first as i64).wrapping_add(k.into()) & 1 == 0;
    for k in 0..HALF_TURNS {
        let value = angle + (first + f64::from(k)) * PI;
        if value >= high {
            break;
        }
        let t = (value - start) / sweep;
        if value > low && t > 0.0 && t < 1.0 {
            found.push((t, is_ahead(k)));
        }
    }
    if sweep < 0.0 {
        found.reverse();
    }
    found
}

/// Parameters within an arc at which cos(angle − axis) = `cosine`, rising.
pub(super) fn circle_crossings(cosine: f64, axis: f64, start: f64, sweep: f64) -> Parameters {
    if !(-1.0..=1.0).contains(&cosine) {
        return Parameters::new();
    }
    /// A crossing at the very start may come out before it by this share of the arc: rounding of angles.
    const BEFORE_START: f64 = 1e-15;
    let half = cosine.acos();
    let mut found = Parameters::new();
    for angle in [axis - half, axis + half] {
        let along =
            if sweep > 0.0 { (angle - start).rem_euclid(TAU) } else { (start - angle).rem_euclid(TAU) };
        // A crossing at the very start may come out a rounding short of a full turn.
        for turn in [along, along - TAU] {
            let t = turn / sweep.abs();
            if (-BEFORE_START..=1.0).contains(&t) {
                found.push(t.max(0.0));
            }
        }
    }
    found.sort_by(f64::total_cmp);
    found.dedup();
    found
}
