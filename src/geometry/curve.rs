//! The curves that bound a section: line, circular arc, ellipse arc and rational spline span.
//!
//! Every curve runs from t = 0 to t = 1 and knows its two end points exactly as they were given, so that pieces
//! which share a drawn point share it to the last bit.
//!
//! Arcs are evaluated from their start along a chord (2r sin half the turn), areas swept by Green's theorem.

use std::f64::consts::PI;

use super::arc::{Arc, EllipseArc};
use super::point::{Affine, Point};
use super::quadrature;
use super::span::Span;

/// A directed curve with parameter t in [0, 1].
#[derive(Clone, Debug, PartialEq)]
pub enum Curve {
    /// Straight.
    Line(Line),
    /// Part of a circle, or all of it.
    Arc(Arc),
    /// Part of an ellipse, or all of it; in a box, since it is the largest kind and a rare one.
    Ellipse(Box<EllipseArc>),
    /// A Bézier span, polynomial or rational.
    Span(Span),
}

/// The straight line from `start` to `end`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Line {
    /// Where it begins.
    pub start: Point,
    /// Where it ends.
    pub end: Point,
}

impl Line {
    fn at(&self, t: f64) -> Point {
        self.start.towards(self.end, t)
    }
}

impl From<Line> for Curve {
    fn from(line: Line) -> Curve {
        Curve::Line(line)
    }
}

impl From<Arc> for Curve {
    fn from(arc: Arc) -> Curve {
        Curve::Arc(arc)
    }
}

impl From<EllipseArc> for Curve {
    fn from(arc: EllipseArc) -> Curve {
        Curve::Ellipse(Box::new(arc))
    }
}

impl From<Span> for Curve {
    fn from(span: Span) -> Curve {
        Curve::Span(span)
    }
}

impl Curve {
    /// The straight line from `start` to `end`.
    pub fn line(start: Point, end: Point) -> Curve {
        Curve::Line(Line { start, end })
    }

    /// The polyline edge from `start` to `end` with a bulge: the tangent of a quarter of the included angle,
    /// positive when the arc turns anticlockwise (the DXF convention). A bulge too small to lift the arc off
    /// its chord gives a line.
    pub fn from_bulge(start: Point, end: Point, bulge: f64) -> Curve {
        /// Below this the arc rises less than 5e-13 of its chord above it: under the rounding of coordinates.
        const FLAT_BULGE: f64 = 1e-12;
        let chord = end - start;
        let length = chord.length();
        if bulge.abs() < FLAT_BULGE || length == 0.0 {
            return Curve::line(start, end);
        }
        let sweep = 4.0 * bulge.atan();
        // Radius and rise from the bulge itself; sin and tan of the sweep lose digits near a full turn.
        let radius = 0.25 * length * (bulge.abs() + bulge.abs().recip());
        let rise = 0.25 * length * (bulge.recip() - bulge);
        let center = start.towards(end, 0.5) + chord.quarter_turned() * (rise / length);
        let start_angle = chord.angle() - 0.5 * sweep - 0.5 * PI * bulge.signum();
        Curve::Arc(Arc { start, end, center, radius, start_angle, sweep })
    }

    /// Where the curve begins.
    pub fn start(&self) -> Point {
        match self {
            Curve::Line(c) => c.start,
            Curve::Arc(c) => c.start,
            Curve::Ellipse(c) => c.start,
            Curve::Span(c) => c.start(),
        }
    }

    /// Where the curve ends.
    pub fn end(&self) -> Point {
        match self {
            Curve::Line(c) => c.end,
            Curve::Arc(c) => c.end,
            Curve::Ellipse(c) => c.end,
            Curve::Span(c) => c.end(),
        }
    }

    /// Lines and circular arcs, whose nearest points need no search.
    pub(super) fn has_closed_forms(&self) -> bool {
        matches!(self, Curve::Line(_) | Curve::Arc(_))
    }

    /// The curve begins where it ends, to the last bit.
    pub fn is_closed(&self) -> bool {
        self.start() == self.end()
    }

    /// The point at parameter `t`; exactly `start` and `end` at 0 and 1.
    pub fn at(&self, t: f64) -> Point {
        if t == 0.0 {
            return self.start();
        }
        if t == 1.0 {
            return self.end();
        }
        match self {
            Curve::Line(c) => c.at(t),
            Curve::Arc(c) => c.at(t),
            Curve::Ellipse(c) => c.at(t),
            Curve::Span(c) => c.at(t),
        }
    }

    /// dp/dt at parameter `t`.
    pub fn derivative(&self, t: f64) -> Point {
        match self {
            Curve::Line(c) => c.end - c.start,
            Curve::Arc(c) => Point::at_angle(c.angle_at(t)).quarter_turned() * (c.radius * c.sweep),
            Curve::Ellipse(c) => c.derivative(t),
            Curve::Span(c) => c.value_and_derivative(t).1,
        }
    }

    /// The point and dp/dt at parameter `t`.
    pub(super) fn at_with_derivative(&self, t: f64) -> (Point, Point) {
        match self {
            // Both come from the same steps.
            Curve::Span(c) if 0.0 < t && t < 1.0 => c.value_and_derivative(t),
            other => (other.at(t), other.derivative(t)),
        }
    }

    /// Direction of travel at `t` as a unit vector. Where the derivative of a span vanishes, at control points that
    /// coincide, it is that in which the span leaves the place. Zero for a curve without length.
    pub fn tangent(&self, t: f64) -> Point {
        if let Curve::Span(span) = self {
            return span.tangent(t);
        }
        let derivative = self.derivative(t);
        let length = derivative.length();
        if length > 0.0 { derivative * length.recip() } else { Point::ORIGIN }
    }

    /// Signed curvature at `t`: positive where the curve turns anticlockwise, 0 for a curve without length. Infinite where
    /// a span begins or ends with control points that coincide and leaves its tangent faster than any circle.
    pub fn curvature(&self, t: f64) -> f64 {
        match self {
            Curve::Line(_) => 0.0,
            Curve::Arc(c) => c.sweep.signum() / c.radius,
            Curve::Ellipse(c) => {
                let (first, speed) = (c.derivative(t), c.derivative(t).length());
                // The second derivative by φ is −(u cos φ + v sin φ), by t that times sweep².
                let (sine, cosine) = (c.start_parameter + c.sweep * t).sin_cos();
                let second = -(c.u * cosine + c.v * sine) * (c.sweep * c.sweep);
                if speed > 0.0 { first.cross(second) / speed.powi(3) } else { 0.0 }
            }
            Curve::Span(span) => span.curvature(t),
        }
    }

    /// The same curve travelled the other way.
    pub fn reversed(&self) -> Curve {
        match self {
            Curve::Line(c) => Curve::line(c.end, c.start),
            Curve::Arc(c) => Curve::Arc(Arc {
                start: c.end,
                end: c.start,
                start_angle: c.start_angle + c.sweep,
                sweep: -c.sweep,
                ..*c
            }),
            Curve::Ellipse(c) => Curve::from(EllipseArc {
                start: c.end,
                end: c.start,
                start_parameter: c.start_parameter + c.sweep,
                sweep: -c.sweep,
                ..**c
            }),
            Curve::Span(c) => Curve::Span(Span {
                points: c.points.iter().rev().copied().collect(),
                weights: c.weights.as_ref().map(|w| w.iter().rev().copied().collect()),
            }),
        }
    }

    /// The part from parameter `t0` to `t1`, in the curve's own direction (0 <= t0 < t1 <= 1). Ends that are the
    /// curve's own stay exact.
    pub fn between(&self, t0: f64, t1: f64) -> Curve {
        if t0 <= 0.0 && t1 >= 1.0 {
            return self.clone();
        }
        let (start, end) = (self.at(t0), self.at(t1));
        match self {
            Curve::Line(_) => Curve::line(start, end),
            Curve::Arc(c) => {
                Curve::Arc(Arc { start, end, start_angle: c.angle_at(t0), sweep: c.sweep * (t1 - t0), ..*c })
            }
            Curve::Ellipse(c) => Curve::from(EllipseArc {
                start,
                end,
                start_parameter: c.start_parameter + c.sweep * t0,
                sweep: c.sweep * (t1 - t0),
                ..**c
            }),
            Curve::Span(c) => {
                let mut part = c.between(t0.max(0.0), t1.min(1.0));
                let last = part.points.len() - 1;
                (part.points[0], part.points[last]) = (start, end);
                Curve::Span(part)
            }
        }
    }

    /// The curve cut at the given parameters, which must rise within (0, 1).
    pub fn cut_at(&self, parameters: &[f64]) -> Vec<Curve> {
        let mut pieces = Vec::with_capacity(parameters.len() + 1);
        let mut from = 0.0;
        for &t in parameters.iter().chain(&[1.0]) {
            pieces.push(self.between(from, t));
            from = t;
        }
        pieces
    }

    /// Image under an affine map. A map that squeezes circles turns arcs into ellipse arcs.
    pub fn transformed(&self, map: &Affine) -> Curve {
        match self {
            Curve::Line(c) => Curve::line(map.point(c.start), map.point(c.end)),
            Curve::Arc(c) => match map.similarity() {
                Some(scale) => {
                    let turned = map.vector(Point::new(1.0, 0.0)).angle();
                    let mirror = map.determinant().signum();
                    Curve::Arc(Arc {
                        start: map.point(c.start),
                        end: map.point(c.end),
                        center: map.point(c.center),
                        radius: c.radius * scale,
                        start_angle: turned + mirror * c.start_angle,
                        sweep: mirror * c.sweep,
                    })
                }
                None => Curve::from(EllipseArc {
                    start: map.point(c.start),
                    end: map.point(c.end),
                    center: map.point(c.center),
                    u: map.vector(Point::new(c.radius, 0.0)),
                    v: map.vector(Point::new(0.0, c.radius)),
                    start_parameter: c.start_angle,
                    sweep: c.sweep,
                }),
            },
            Curve::Ellipse(c) => Curve::from(EllipseArc {
                start: map.point(c.start),
                end: map.point(c.end),
                center: map.point(c.center),
                u: map.vector(c.u),
                v: map.vector(c.v),
                ..**c
            }),
            Curve::Span(c) => Curve::Span(Span {
                points: c.points.iter().map(|p| map.point(*p)).collect(),
                weights: c.weights.clone(),
            }),
        }
    }

    /// The curve moved by `vector`.
    pub fn translated(&self, vector: Point) -> Curve {
        match self {
            Curve::Line(c) => Curve::line(c.start + vector, c.end + vector),
            Curve::Arc(c) => Curve::Arc(Arc {
                start: c.start + vector,
                end: c.end + vector,
                center: c.center + vector,
                ..*c
            }),
            other => other.transformed(&Affine::translation(vector)),
        }
    }

    /// The curve turned by a quarter turn anticlockwise about the origin; its points to the last bit.
    pub(crate) fn quarter_turned(&self) -> Curve {
        match self {
            Curve::Line(c) => Curve::line(c.start.quarter_turned(), c.end.quarter_turned()),
            Curve::Arc(c) => Curve::Arc(Arc {
                start: c.start.quarter_turned(),
                end: c.end.quarter_turned(),
                center: c.center.quarter_turned(),
                start_angle: c.start_angle + 0.5 * PI,
                ..*c
            }),
            other => {
                other.transformed(&Affine { xx: 0.0, xy: -1.0, yx: 1.0, yy: 0.0, offset: Point::ORIGIN })
            }
        }
    }

    /// Arc length. Exact for lines and circular arcs; for ellipse arcs and spans by adaptive Gauss-Legendre
    /// integration of the speed, to about 1e-12 of the length.
    pub fn length(&self) -> f64 {
        match self {
            Curve::Line(c) => c.start.distance(c.end),
            Curve::Arc(c) => c.radius * c.sweep.abs(),
            Curve::Ellipse(c) => quadrature::adaptive(|t| [c.derivative(t).length()], 0.0, 1.0)[0],
            Curve::Span(c) => c.length(),
        }
    }

    /// ½∫(x dy − y dx) along the curve with `origin` as the origin: the area swept by the line from there to the
    /// moving point, anticlockwise positive. Around a closed ring it is the enclosed area.
    pub fn swept_area(&self, origin: Point) -> f64 {
        let (start, end) = (self.start() - origin, self.end() - origin);
        let chord = 0.5 * start.cross(end);
        match self {
            Curve::Line(_) => chord,
            Curve::Span(_) => self.integral(0.0, 1.0, 2, |p, d| [0.5 * (p - origin).cross(d)])[0],
            Curve::Arc(_) | Curve::Ellipse(_) => chord + self.segment(0.0, 1.0).map_or(0.0, |s| s.area()),
        }
    }

    /// All numbers are finite and the curve has the parts that its kind needs.
    pub fn is_sound(&self) -> bool {
        match self {
            Curve::Line(c) => c.start.is_finite() && c.end.is_finite(),
            Curve::Arc(c) => {
                c.start.is_finite()
                    && c.end.is_finite()
                    && c.center.is_finite()
                    && c.radius.is_finite()
                    && c.radius > 0.0
                    && c.start_angle.is_finite()
                    && c.sweep.is_finite()
                    && c.sweep != 0.0
            }
            Curve::Ellipse(c) => {
                c.start.is_finite()
                    && c.end.is_finite()
                    && c.center.is_finite()
                    && c.u.is_finite()
                    && c.v.is_finite()
                    && c.start_parameter.is_finite()
                    && c.sweep.is_finite()
                    && c.sweep != 0.0
            }
            Curve::Span(c) => c.points.iter().all(|p| p.is_finite()),
        }
    }
}
