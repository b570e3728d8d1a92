//! Edges of a hatch's boundary path: lines, arcs, ellipse arcs and splines, in the order in which they are travelled.

use std::f64::consts::TAU;

use super::Remarks;
use super::arc::{FULL_CIRCLE, is_full};
use super::insert::sin_cos_degrees;
use super::spline::Parts;
use crate::drawing::groups::{Fault, Group, required, required_of};
use crate::drawing::shape::{Chain, Shape};
use crate::geometry::{Arc, Curve, EllipseArc, Point, Span};

/// Ends of edges within this share of the largest coordinate of their path are one point: an arc's ends are worked
/// out from its angles, and come out that near.
const EDGES_MEET: f64 = 1e-13;

/// An edge as its groups give it.
pub(super) enum BoundaryEdge {
    Plain(Plain),
    Spline(Box<Parts>),
}

pub(super) struct Plain {
    kind: PlainKind,
    /// Where a line begins, or the centre.
    first: [Option<f64>; 2],
    /// Where a line ends, or the end of an ellipse's major half-axis, from its centre.
    second: [Option<f64>; 2],
    /// The radius, or the ratio of an ellipse's axes.
    size: Option<f64>,
    /// In degrees.
    angles: [Option<f64>; 2],
    clockwise: bool,
}

#[derive(Clone, Copy)]
enum PlainKind {
    Line,
    Arc,
    Ellipse,
}

impl BoundaryEdge {
    /// An edge of the kind that a group 72 says.
    pub fn of_kind(kind: i64) -> Result<BoundaryEdge, Fault> {
        let kind = match kind {
            1 => PlainKind::Line,
            2 => PlainKind::Arc,
            3 => PlainKind::Ellipse,
            4 => return Ok(BoundaryEdge::Spline(Box::new(Parts::new()))),
            other => {
                return Err(Fault::new(format!("an edge of kind {other} (group 72), which is not known")));
            }
        };
        Ok(BoundaryEdge::Plain(Plain {
            kind,
            first: [None; 2],
            second: [None; 2],
            size: None,
            angles: [None; 2],
            clockwise: false,
        }))
    }

    /// Takes one of its groups.
    pub fn put(&mut self, group: &Group) -> Result<(), Fault> {
        match self {
            BoundaryEdge::Plain(plain) => match group.code {
                10 | 20 => plain.first[(group.code / 10 - 1) as usize] = Some(group.real()?),
                11 | 21 => plain.second[(group.code / 10 - 1) as usize] = Some(group.real()?),
                40 => plain.size = Some(group.real()?),
                50 | 51 => plain.angles[(group.code - 50) as usize] = Some(group.real()?),
                73 => plain.clockwise = group.whole()? == 0,
                _ => {}
            },
            BoundaryEdge::Spline(parts) => match group.code {
                10..=13 | 20..=23 => parts.coordinate(group.code, group.real()?)?,
                40 => parts.knots.push(group.real()?),
                42 => parts.weights.push(group.real()?),
                74 => parts.periodic = group.whole()? != 0,
                94 => parts.degree = group.whole()?,
                _ => {}
            },
        }
        Ok(())
    }

    /// Its curves in travel order; none where it has no length.
    fn curves(self, remarks: &mut Remarks) -> Result<Vec<Curve>, Fault> {
        match self {
            BoundaryEdge::Plain(plain) => Ok(plain.curve()?.into_iter().collect()),
            BoundaryEdge::Spline(parts) => {
                let seen = parts.spans(remarks)?.seen_from_above();
                Ok(seen.map(|view| view.seen.curves()).unwrap_or_default())
            }
        }
    }
}

fn point(place: [Option<f64>; 2], what: &str, code: i32) -> Result<Point, Fault> {
    let x = required_of(place[0], || format!("x of {what} (group {code})"))?;
    Ok(Point::new(x, required_of(place[1], || format!("y of {what} (group {})", code + 10))?))
}

impl Plain {
    fn curve(&self) -> Result<Option<Curve>, Fault> {
        match self.kind {
            PlainKind::Line => {
                let start = point(self.first, "the start of an edge", 10)?;
                let end = point(self.second, "the end of an edge", 11)?;
                Ok((start != end).then(|| Curve::line(start, end)))
            }
            PlainKind::Arc => self.arc(),
            PlainKind::Ellipse => self.ellipse(),
        }
    }

    /// Start and turn in degrees, and whether it turns all the way round. Those of a clockwise arc count clockwise.
    fn angles(&self) -> Result<(f64, f64, bool), Fault> {
        let start = required(self.angles[0], "start angle of an edge (group 50)")?;
        let end = required(self.angles[1], "end angle of an edge (group 51)")?;
        let turn = (end - start).rem_euclid(360.0);
        Ok((start, turn, is_full(turn, 360.0, FULL_CIRCLE)))
    }

    /// −1 where the angles count clockwise.
    fn sense(&self) -> f64 {
        if self.clockwise { -1.0 } else { 1.0 }
    }

    fn arc(&self) -> Result<Option<Curve>, Fault> {
        let center = point(self.first, "the centre of an edge", 10)?;
        let radius = required(self.size, "radius of an edge (group 40)")?;
        let (start, turn, full) = self.angles()?;
        if radius < 0.0 {
            return Err(Fault::new(format!("an edge with a radius of {radius}")));
        }
        let sweep = if full { TAU } else { turn.to_radians() };
        let sense = self.sense();
        let arc = Arc::new(center, radius, sense * start.to_radians(), sense * sweep);
        Ok((radius > 0.0).then_some(Curve::Arc(arc)))
    }

    /// The angles are directions from the centre, against the major axis, not parameters (as ezdxf 1.4 reads them).
    fn ellipse(&self) -> Result<Option<Curve>, Fault> {
        let center = point(self.first, "the centre of an edge", 10)?;
        let u = point(self.second, "the major axis of an edge", 11)?;
        let ratio = required(self.size, "ratio of the axes of an edge (group 40)")?;
        let (start, turn, full) = self.angles()?;
        if ratio <= 0.0 {
            return Err(Fault::new(format!("an edge with a ratio of axes of {ratio}")));
        }
        let parameter = |degrees: f64| {
            let (sine, cosine) = sin_cos_degrees(degrees);
            (sine / ratio).atan2(cosine)
        };
        let begin = parameter(start);
        let sweep = if full { TAU } else { (parameter(start + turn) - begin).rem_euclid(TAU) };
        let sense = self.sense();
        let arc = EllipseArc::new(center, u, u.quarter_turned() * ratio, sense * begin, sense * sweep);
        Ok((u != Point::ORIGIN).then_some(Curve::from(arc)))
    }
}

/// The edges of one path as closed chains, as far as each begins where the one before it ends; those that do not are
/// given one by one, to be joined like other loose pieces.
pub(super) fn joined(edges: Vec<BoundaryEdge>, remarks: &mut Remarks) -> Result<Vec<Shape>, Fault> {
    let mut pieces: Vec<Vec<Curve>> = Vec::with_capacity(edges.len());
    for edge in edges {
        let curves = edge.curves(remarks)?;
        if !curves.is_empty() {
            pieces.push(curves);
        }
    }
    let largest = |reach: f64, p: Point| reach.max(p.x.abs()).max(p.y.abs());
    let ends = pieces.iter().flatten().flat_map(|curve| [curve.start(), curve.end()]);
    let near = EDGES_MEET * ends.fold(0.0, largest);
    let mut shapes = Vec::new();
    let mut run: Vec<Vec<Curve>> = Vec::new();
    for mut piece in pieces {
        if let (Some(last), Some(first)) = (run.last().and_then(|p| p.last()), piece.first_mut()) {
            let end = last.end();
            if end.distance(first.start()) <= near {
                *first = beginning_at(first, end);
            } else {
                shapes.extend(run.drain(..).map(|loose| chain(loose, false)));
            }
        }
        run.push(piece);
        close(&mut run, near, &mut shapes);
    }
    shapes.extend(run.into_iter().map(|loose| chain(loose, false)));
    Ok(shapes)
}

/// Where the run ends as it begins, it is a closed chain, and another run begins.
fn close(run: &mut Vec<Vec<Curve>>, near: f64, shapes: &mut Vec<Shape>) {
    let Some(start) = run.first().and_then(|p| p.first()).map(Curve::start) else { return };
    let count: usize = run.iter().map(Vec::len).sum();
    let Some(last) = run.last_mut().and_then(|p| p.last_mut()) else { return };
    // One curve whose ends are near but not equal is a short one, not a ring.
    if last.end() != start && (count == 1 || last.end().distance(start) > near) {
        return;
    }
    *last = beginning_at(&last.reversed(), start).reversed();
    shapes.push(chain(run.drain(..).flatten().collect(), true));
}

fn chain(curves: Vec<Curve>, closed: bool) -> Shape {
    Shape::Chain(Box::new(Chain { curves: curves.into(), closed, polyline: false, wide: None }))
}

/// The curve with its first end put onto `start`, from which it differs by rounding.
fn beginning_at(curve: &Curve, start: Point) -> Curve {
    if curve.start() == start {
        return curve.clone();
    }
    match curve {
        Curve::Line(c) => Curve::line(start, c.end),
        Curve::Arc(c) => Curve::Arc(Arc { start, ..*c }),
        Curve::Ellipse(c) => Curve::from(EllipseArc { start, ..**c }),
        Curve::Span(c) => {
            let mut points = c.points().to_vec();
            points[0] = start;
            let span = match c.weights() {
                None => Span::polynomial(points),
                Some(weights) => Span::rational(points, weights.to_vec()),
            };
            span.map_or_else(|| curve.clone(), Curve::Span)
        }
    }
}
