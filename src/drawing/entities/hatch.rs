//! HATCH and MPOLYGON: the paths that bound a filled area.

use super::edge::{BoundaryEdge, joined};
use super::{RawShape, Remarks};
use crate::drawing::groups::{Fault, Group, Groups};
use crate::drawing::shape::{Polyline, Shape};
use crate::geometry::{Affine, Point};

/// Bits of group 92.
const EXTERNAL: i64 = 1;
const POLYLINE: i64 = 2;
const TEXT_BOX: i64 = 8;
const OUTERMOST: i64 = 16;

/// Group 75: which paths bound the filling.
#[derive(Clone, Copy, PartialEq)]
enum Style {
    /// All, solid and hole by turns.
    Nested,
    /// From the outermost to the next ones inside.
    Outermost,
    /// Everything inside the external ones.
    Entire,
}

/// What a group means is told by where it stands: before, among or after the paths.
#[derive(PartialEq)]
enum Reading {
    Before,
    Paths,
    After,
}

struct Path {
    flags: i64,
    boundary: Boundary,
}

enum Boundary {
    Polyline(Vertices),
    Edges(Vec<BoundaryEdge>),
}

#[derive(Default)]
struct Vertices {
    points: Vec<Point>,
    bulges: Vec<f64>,
    closed: bool,
    /// The last vertex has no y yet.
    half: bool,
}

/// The paths that bound the filling of a HATCH.
pub(super) fn hatch(groups: &mut Groups, remarks: &mut Remarks) -> Result<RawShape, Fault> {
    let read = read(groups, false)?;
    drawn(read, remarks)
}

/// All paths of an MPOLYGON: they are polylines and closed, whatever their flags say.
pub(super) fn mpolygon(groups: &mut Groups, remarks: &mut Remarks) -> Result<RawShape, Fault> {
    let read = Filled { style: Style::Nested, ..read(groups, true)? };
    drawn(read, remarks)
}

struct Filled {
    paths: Vec<Path>,
    style: Style,
    elevation: f64,
    /// From where its paths are written to where they lie, for an MPOLYGON.
    offset: Point,
}

fn read(groups: &mut Groups, polygon: bool) -> Result<Filled, Fault> {
    let mut part = Reading::Before;
    let mut filled =
        Filled { paths: Vec::new(), style: Style::Nested, elevation: 0.0, offset: Point::ORIGIN };
    while let Some(group) = groups.next() {
        match (&part, group.code) {
            (Reading::Before, 30) => filled.elevation = group.real()?,
            (Reading::Before, 91) => part = Reading::Paths,
            (Reading::Paths, 92) => {
                let flags = group.whole()?;
                let boundary = if polygon || flags & POLYLINE != 0 {
                    Boundary::Polyline(Vertices { closed: polygon, ..Vertices::default() })
                } else {
                    Boundary::Edges(Vec::new())
                };
                filled.paths.push(Path { flags, boundary });
            }
            (_, 75) => {
                part = Reading::After;
                filled.style = match group.whole()? {
                    1 => Style::Outermost,
                    2 => Style::Entire,
                    _ => Style::Nested,
                };
            }
            // Pattern, seeds and gradient.
            (Reading::Paths, 76 | 78 | 98 | 450) => part = Reading::After,
            (Reading::Paths, _) => match filled.paths.last_mut().map(|path| &mut path.boundary) {
                Some(Boundary::Polyline(vertices)) => vertices.put(&group, polygon)?,
                Some(Boundary::Edges(edges)) => put(edges, &group)?,
                None => {}
            },
            (Reading::After, 11) if polygon => filled.offset.x = group.real()?,
            (Reading::After, 21) if polygon => filled.offset.y = group.real()?,
            _ => {}
        }
    }
    Ok(filled)
}

impl Vertices {
    fn put(&mut self, group: &Group, polygon: bool) -> Result<(), Fault> {
        match group.code {
            10 => {
                self.whole()?;
                self.points.push(Point::new(group.real()?, 0.0));
                self.bulges.push(0.0);
                self.half = true;
            }
            20 => {
                if let Some(last) = self.points.last_mut() {
                    last.y = group.real()?;
                }
                self.half = false;
            }
            42 => {
                let bulge = group.real()?;
                if let Some(last) = self.bulges.last_mut() {
                    *last = bulge;
                }
            }
            73 => self.closed = polygon || group.whole()? != 0,
            _ => {}
        }
        Ok(())
    }

    fn whole(&self) -> Result<(), Fault> {
        if self.half {
            return Err(Fault::new(format!("no y (group 20) for vertex {} of a path", self.points.len())));
        }
        Ok(())
    }

    fn shape(self) -> Result<Shape, Fault> {
        self.whole()?;
        let closed = self.closed || self.points.len() > 1 && self.points.first() == self.points.last();
        let bulges = self.bulges.iter().any(|bulge| *bulge != 0.0).then(|| self.bulges.into());
        Ok(Shape::Polyline(Polyline { vertices: self.points.into(), bulges, widths: None, closed }))
    }
}

/// Takes a group of a path of edges.
fn put(edges: &mut Vec<BoundaryEdge>, group: &Group) -> Result<(), Fault> {
    match (group.code, edges.last_mut()) {
        (72, _) => edges.push(BoundaryEdge::of_kind(group.whole()?)?),
        (_, Some(edge)) => edge.put(group)?,
        (10 | 20, None) => return Err(Fault::new("a path with coordinates before the kind of their edge")),
        _ => {}
    }
    Ok(())
}

impl Style {
    /// The paths that count in this style. A box around a text is none: it only keeps room free.
    fn counting(self, mut paths: Vec<Path>) -> Vec<Path> {
        let wanted = match self {
            Style::Nested => 0,
            Style::Outermost => EXTERNAL | OUTERMOST,
            Style::Entire => EXTERNAL,
        };
        paths.retain(|path| path.flags & TEXT_BOX == 0);
        // Where no path says so, the flags were not kept.
        if paths.iter().any(|path| path.flags & wanted != 0) {
            paths.retain(|path| path.flags & wanted != 0);
        }
        paths
    }
}

fn drawn(filled: Filled, remarks: &mut Remarks) -> Result<RawShape, Fault> {
    let mut shapes = Vec::new();
    for path in filled.style.counting(filled.paths) {
        match path.boundary {
            Boundary::Polyline(vertices) if vertices.points.is_empty() => {}
            Boundary::Polyline(vertices) => shapes.push(vertices.shape()?),
            Boundary::Edges(edges) => shapes.extend(joined(edges, remarks)?),
        }
    }
    if shapes.is_empty() {
        return Err(Fault::new("no path that bounds it"));
    }
    let mut shape = Shape::Several(shapes.into());
    if filled.offset != Point::ORIGIN {
        shape = shape.transformed(&Affine::translation(filled.offset));
    }
    Ok(RawShape::Flat { shape, elevation: filled.elevation })
}
