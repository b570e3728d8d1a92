//! The faces of a body as outlines in one plane.

use super::Problem;
use super::edge::{BodyEdge, Path};
use super::faces::Face;
use crate::drawing::entities::RawShape;
use crate::drawing::plane::{Axes, FLATNESS, Plane, Point3, UP, difference, dot, length, sum};
use crate::drawing::shape::{Chain, Polyline, Shape};
use crate::geometry::{Affine, Arc, Curve, Point};

/// The loops of all faces, in their common plane.
pub(super) fn drawn(faces: &[Face]) -> Result<RawShape, Problem> {
    let empty = || Problem::NotRead("its body has no face".to_owned());
    let first = faces.first().ok_or_else(empty)?;
    // In a level plane the coordinates stay as they are, whichever way it faces.
    let normal = match first.normal {
        [x, y, _] if x == 0.0 && y == 0.0 => UP,
        normal => normal,
    };
    let axes = Axes::of_normal(normal);
    let loops = || faces.iter().flat_map(|face| &face.loops);
    let origin = loops().flatten().next().ok_or_else(empty)?.start;
    let (mut height, mut size) = (0.0_f64, 0.0_f64);
    for edge in loops().flatten() {
        each_point(edge, |point| {
            let from = difference(point, origin);
            height = height.max(dot(axes.z, from).abs());
            size = size.max(length(from));
        });
    }
    if height > FLATNESS * size {
        let message = "the faces of its body lie in several planes: it is a solid, not an outline";
        return Err(Problem::NotRead(message.to_owned()));
    }
    let mut shapes = Vec::new();
    for edges in loops() {
        shapes.extend(shape(edges, axes)?);
    }
    let shape = match <[Shape; 1]>::try_from(shapes) {
        Ok([one]) => one,
        Err(shapes) if shapes.is_empty() => return Err(empty()),
        Err(shapes) => Shape::Several(shapes.into()),
    };
    Ok(RawShape::InPlane { shape, plane: Plane { normal, elevation: dot(axes.z, origin) } })
}

fn each_point(edge: &BodyEdge, mut look: impl FnMut(Point3)) {
    look(edge.start);
    look(edge.end);
    match &edge.path {
        Path::Line => {}
        Path::Ellipse { center, u, v, .. } => {
            [*center, sum(*center, *u), sum(*center, *v)].into_iter().for_each(look);
        }
        Path::Spans(spans) => spans.points().iter().for_each(|point| look(*point)),
    }
}

/// A loop as one closed shape in the plane of `axes`; `None` where nothing in it has length.
fn shape(edges: &[BodyEdge], axes: Axes) -> Result<Option<Shape>, Problem> {
    let own = |point: Point3| {
        let [x, y, _] = axes.in_own(point);
        Point::new(x, y)
    };
    if edges.iter().all(|edge| matches!(edge.path, Path::Line)) {
        let vertices = edges.iter().map(|edge| own(edge.start)).collect();
        return Ok(Some(Shape::Polyline(Polyline { vertices, bulges: None, widths: None, closed: true })));
    }
    let mut curves = Vec::new();
    for edge in edges {
        let (start, end) = (own(edge.start), own(edge.end));
        match &edge.path {
            Path::Line if start == end => {}
            Path::Line => curves.push(Curve::line(start, end)),
            Path::Ellipse { center, u, v, start_parameter, sweep } => {
                let (u, v) = (own(*u), own(*v));
                let map = Affine { xx: u.x, xy: v.x, yx: u.y, yy: v.y, offset: own(*center) };
                let unit = Curve::Arc(Arc::new(Point::ORIGIN, 1.0, *start_parameter, *sweep));
                curves.push(match unit.transformed(&map) {
                    Curve::Arc(arc) => Curve::Arc(Arc { start, end, ..arc }),
                    Curve::Ellipse(mut arc) => {
                        (arc.start, arc.end) = (start, end);
                        Curve::Ellipse(arc)
                    }
                    other => other,
                });
            }
            Path::Spans(spans) => {
                let flat = spans.clone().moved(|point| {
                    let [x, y, _] = axes.in_own(point);
                    [x, y, 0.0]
                });
                let view = flat.seen_from_above().map_err(|_| {
                    Problem::NotRead("an edge of its body can't be seen in the plane of its face".to_owned())
                })?;
                curves.extend(view.seen.curves());
            }
        }
    }
    Ok(match curves.as_slice() {
        [] => None,
        [Curve::Arc(arc)] => Some(Shape::Circle { center: arc.center, radius: arc.radius }),
        [Curve::Ellipse(arc)] => Some(Shape::Ellipse(arc.clone())),
        _ => Some(Shape::Chain(Box::new(Chain {
            curves: curves.into(),
            closed: true,
            polyline: false,
            wide: None,
        }))),
    })
}
