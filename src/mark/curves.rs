//! Outlines as entities: the curves that were measured.

use std::f64::consts::TAU;

use dxf::LwPolylineVertex;
use dxf::entities::{Circle, Ellipse, EntityType, Line, LwPolyline, Spline};

use super::{add, point};
use crate::geometry::{Curve, EllipseArc, Span};
use crate::outline::Ring;

/// A ring of lines and arcs is one polyline; with other curves each is an entity of its own.
pub(super) fn add_ring(drawing: &mut dxf::Drawing, layer: &str, ring: &Ring) {
    let curves = ring.curves();
    if let [Curve::Arc(arc)] = curves[..] {
        let circle = Circle { center: point(arc.center), radius: arc.radius, ..Circle::default() };
        return add(drawing, layer, EntityType::Circle(circle));
    }
    if curves.iter().all(|curve| matches!(curve, Curve::Line(_) | Curve::Arc(_))) {
        let vertices = curves.iter().map(|curve| {
            let bulge = match curve {
                Curve::Arc(arc) => (0.25 * arc.sweep).tan(),
                _ => 0.0,
            };
            let start = curve.start();
            LwPolylineVertex { x: start.x, y: start.y, bulge, ..LwPolylineVertex::default() }
        });
        let mut polyline = LwPolyline { vertices: vertices.collect(), ..LwPolyline::default() };
        polyline.set_is_closed(true);
        return add(drawing, layer, EntityType::LwPolyline(polyline));
    }
    for curve in &curves {
        add(drawing, layer, entity(curve));
    }
}

fn entity(curve: &Curve) -> EntityType {
    match curve {
        Curve::Line(line) => EntityType::Line(Line::new(point(line.start), point(line.end))),
        Curve::Arc(arc) => {
            let mut polyline = LwPolyline::default();
            let bulges = [(arc.start, (0.25 * arc.sweep).tan()), (arc.end, 0.0)];
            polyline.vertices = bulges
                .map(|(p, bulge)| LwPolylineVertex { x: p.x, y: p.y, bulge, ..LwPolylineVertex::default() })
                .to_vec();
            EntityType::LwPolyline(polyline)
        }
        Curve::Ellipse(arc) => EntityType::Ellipse(ellipse(arc)),
        Curve::Span(span) => EntityType::Spline(spline(span)),
    }
}

/// An ellipse arc by its axes: half-diameters u and v need not be at right angles.
fn ellipse(arc: &EllipseArc) -> Ellipse {
    let (u, v) = (arc.u, arc.v);
    // |u cos φ + v sin φ| is largest at φ = turn.
    let turn = 0.5 * (2.0 * u.dot(v)).atan2(u.dot(u) - v.dot(v));
    let (sine, cosine) = turn.sin_cos();
    let (major, minor) = (u * cosine + v * sine, v * cosine - u * sine);
    let ratio = (minor.length() / major.length()).min(1.0);
    // DXF turns anticlockwise from the major axis.
    let side = major.cross(minor).signum();
    let at = |parameter: f64| side * (parameter - turn);
    let (first, last) = (at(arc.start_parameter), at(arc.start_parameter + arc.sweep));
    let (start, end) = if first < last { (first, last) } else { (last, first) };
    let turns = (start / TAU).floor() * TAU;
    Ellipse {
        center: point(arc.center),
        major_axis: dxf::Vector::new(major.x, major.y, 0.0),
        minor_axis_ratio: ratio,
        start_parameter: start - turns,
        end_parameter: end - turns,
        ..Ellipse::default()
    }
}

/// A Bézier span as a spline without inner knots.
fn spline(span: &Span) -> Spline {
    /// Flags of SPLINE: planar, rational.
    const PLANAR: i32 = 8;
    const RATIONAL: i32 = 4;
    let order = span.degree() + 1;
    let mut knots = vec![0.0; order];
    knots.extend(vec![1.0; order]);
    let mut spline = Spline {
        degree_of_curve: span.degree() as i32,
        flags: PLANAR,
        knot_values: knots,
        control_points: span.points().iter().copied().map(point).collect(),
        ..Spline::default()
    };
    if let Some(weights) = span.weights() {
        spline.flags |= RATIONAL;
        spline.weight_values = weights.to_vec();
    }
    spline
}
