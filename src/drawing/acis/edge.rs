//! An edge of a body: from vertex to vertex along a straight line, an ellipse or a spline.

use std::f64::consts::TAU;

use super::Problem;
use super::records::{Record, Records};
use super::spline_curve;
use crate::drawing::plane::{Map3, Point3, cross, difference, dot, length, sum, times, unit};
use crate::drawing::spline::Spans;

/// The ends of an edge lie on its curve, and the ends of two edges on each other, within this share of the largest
/// coordinate: the modeller that makes such bodies takes what is nearer than 1e-6 for one point.
const ON_CURVE: f64 = 1e-6;

/// The parameters that an edge states and those of its vertices agree within this, in radians.
const PARAMETER: f64 = 1e-5;

/// What an edge follows.
#[derive(Clone, Debug)]
pub(super) enum Path {
    Line,
    /// centre + u·cos φ + v·sin φ, with conjugate half-diameters u and v: a circle, an ellipse or an arc of one.
    Ellipse {
        center: Point3,
        u: Point3,
        v: Point3,
        start_parameter: f64,
        sweep: f64,
    },
    Spans(Spans),
}

/// An edge in space, directed.
#[derive(Clone, Debug)]
pub(super) struct BodyEdge {
    pub start: Point3,
    pub end: Point3,
    pub path: Path,
}

/// Tells points that are meant to be one.
#[derive(Clone, Copy)]
pub(super) struct Near(f64);

impl Near {
    pub fn of(edge: &BodyEdge) -> Near {
        let around = match &edge.path {
            Path::Line | Path::Spans(_) => [edge.start, edge.end, edge.end],
            Path::Ellipse { center, u, v, .. } => [*center, *u, *v],
        };
        let points = around.into_iter().chain([edge.start, edge.end]);
        Near(points.flatten().fold(0.0, |reach: f64, x| reach.max(x.abs())))
    }

    pub fn holds(self, a: Point3, b: Point3) -> bool {
        length(difference(a, b)) <= ON_CURVE * self.0
    }
}

/// What an edge says of its ends.
struct Ends {
    /// One vertex is both: the edge is closed.
    closed: bool,
    /// Stated parameters, in the direction of the edge; versions before 500 have none.
    parameters: Option<[f64; 2]>,
    reversed: bool,
}

impl BodyEdge {
    /// `None` for a vertex that stands alone, without a curve.
    pub fn read(records: &Records, record: Record<'_>) -> Result<Option<BodyEdge>, Problem> {
        let mut field = 0;
        let mut vertices = [None; 2];
        let mut parameters = [None; 2];
        for (vertex, parameter) in vertices.iter_mut().zip(&mut parameters) {
            *vertex = records.target(record, field, "vertex")?;
            field += 1;
            if !record.is_reference(field) {
                *parameter = Some(record.real(field)?);
                field += 1;
            }
        }
        // A reference back to a coedge, and the curve.
        record.reference(field)?;
        let curve = records.target(record, field + 1, "curve")?;
        let reversed = record.is_reversed(field + 2)?;
        let [Some(first), Some(last)] = vertices else {
            return Err(record.not_read("an edge without a vertex"));
        };
        let closed = first.index == last.index;
        let [start, end] = [position(records, first)?, position(records, last)?];
        let parameters = match parameters {
            [Some(first), Some(last)] => Some([first, last]),
            _ => None,
        };
        let ends = Ends { closed, parameters, reversed };
        let Some(curve) = curve else {
            if closed {
                return Ok(None);
            }
            return Err(record.damaged("no curve"));
        };
        let path = match curve.name {
            b"straight-curve" if closed => {
                return Err(record.damaged("a straight line back to its own start"));
            }
            b"straight-curve" => Path::Line,
            b"ellipse-curve" => ellipse(record, curve, start, end, &ends)?,
            b"intcurve-curve" => {
                let (spans, against) = spline_curve::spans(curve, ends.parameters, reversed)?;
                Path::Spans(if against { spans.reversed() } else { spans })
            }
            _ => return Err(curve.not_read("an edge along a curve of this kind")),
        };
        let mut edge = BodyEdge { start, end, path };
        if let Path::Spans(spans) = &edge.path {
            let (near, [first, last]) = (Near::of(&edge), spans.ends());
            if !near.holds(first, start) || !near.holds(last, end) {
                return Err(record.not_read("an edge whose ends are not those of its spline"));
            }
            edge.begin_at(start);
            edge.end_at(end);
        }
        Ok(Some(edge))
    }

    /// The same edge travelled the other way.
    pub fn reversed(self) -> BodyEdge {
        let path = match self.path {
            Path::Line => Path::Line,
            Path::Ellipse { center, u, v, start_parameter, sweep } => {
                Path::Ellipse { center, u, v, start_parameter: start_parameter + sweep, sweep: -sweep }
            }
            Path::Spans(spans) => Path::Spans(spans.reversed()),
        };
        BodyEdge { start: self.end, end: self.start, path }
    }

    pub fn moved(self, map: &Map3) -> BodyEdge {
        let path = match self.path {
            Path::Line => Path::Line,
            Path::Ellipse { center, u, v, start_parameter, sweep } => {
                let (center, u, v) = (map.point(center), map.vector(u), map.vector(v));
                Path::Ellipse { center, u, v, start_parameter, sweep }
            }
            Path::Spans(spans) => Path::Spans(spans.moved(|point| map.point(point))),
        };
        BodyEdge { start: map.point(self.start), end: map.point(self.end), path }
    }

    /// Begins it exactly at a point that differs by rounding.
    pub fn begin_at(&mut self, start: Point3) {
        self.start = start;
        if let Path::Spans(spans) = &mut self.path {
            spans.set_ends(start, self.end);
        }
    }

    fn end_at(&mut self, end: Point3) {
        self.end = end;
        if let Path::Spans(spans) = &mut self.path {
            spans.set_ends(self.start, end);
        }
    }
}

fn position(records: &Records, vertex: Record<'_>) -> Result<Point3, Problem> {
    match records.first(vertex, "point")? {
        Some(point) => point.point(0),
        None => Err(vertex.damaged("no point")),
    }
}

/// Centre, normal, major half-diameter and ratio; the minor one stands anticlockwise of it about the normal, and the
/// parameter grows that way (from memory). Where the edge lies is told by its vertices; the parameters that it states
/// must agree with them.
fn ellipse(
    record: Record<'_>,
    curve: Record<'_>,
    start: Point3,
    end: Point3,
    ends: &Ends,
) -> Result<Path, Problem> {
    let (center, normal, u) = (curve.point(0)?, curve.point(3)?, curve.point(6)?);
    let ratio = curve.real(9)?;
    if length(normal) == 0.0 || length(u) == 0.0 || ratio == 0.0 {
        return Err(curve.damaged("an axis of no length"));
    }
    let v = times(cross(unit(normal), u), ratio);
    let parameter = |p: Point3| {
        let from = difference(p, center);
        (dot(from, v) / dot(v, v)).atan2(dot(from, u) / dot(u, u))
    };
    let [first, last] = [parameter(start), parameter(end)];
    let direction = if ends.reversed { -1.0 } else { 1.0 };
    let turn = (direction * (last - first)).rem_euclid(TAU);
    // Vertices of two records at one place leave open whether the edge is all of the ellipse or nothing.
    let nothing_or_all = turn < PARAMETER || TAU - turn < PARAMETER;
    let stated = ends.parameters.map(|[first, last]| last - first);
    let all = match stated {
        _ if ends.closed => true,
        Some(stated) => nothing_or_all && TAU - stated.abs() < PARAMETER,
        None if nothing_or_all => {
            return Err(record.not_read("an edge whose ends coincide without being one"));
        }
        None => false,
    };
    let turn = if all { TAU } else { turn };
    if let (Some(stated), Some([from, _])) = (stated, ends.parameters) {
        let apart = |a: f64, b: f64| {
            let apart = (a - b).rem_euclid(TAU);
            apart.min(TAU - apart)
        };
        // A reversed edge counts its parameters the other way.
        let begins = apart(from, first) < PARAMETER || ends.reversed && apart(-from, first) < PARAMETER;
        if !begins || (stated.abs() - turn).abs() > PARAMETER {
            return Err(record.not_read("an edge whose parameters are not those of its vertices"));
        }
    }
    let path = Path::Ellipse { center, u, v, start_parameter: first, sweep: direction * turn };
    let near = Near::of(&BodyEdge { start, end, path: path.clone() });
    for (point, parameter) in [(start, first), (end, last)] {
        let on = sum(center, sum(times(u, parameter.cos()), times(v, parameter.sin())));
        if !near.holds(on, point) {
            return Err(record.damaged("an end that is not on its ellipse"));
        }
    }
    Ok(path)
}
