//! One function for each kind of entity: from its groups to what it draws in its own coordinates.

mod arc;
mod edge;
mod hatch;
mod insert;
mod line;
mod multiline;
mod polyline;
mod solid;
mod spline;
mod text;

pub(super) use insert::Insert;
pub(super) use multiline::{Multiline, MultilineStyles};
pub(super) use text::Lettering;

use super::acis;
use super::entity::EntityKind;
use super::groups::{Common, Fault, Groups};
use super::pairs::Pairs;
use super::passed_over::Reason;
use super::plane::{Map3, OnEdge, Plane, Point3, View, seen_from_above};
use super::shape::{Polyline, Shape};
use super::spline::Spans;

/// What an entity draws, before it is put into the drawing plane.
#[derive(Clone, Debug)]
pub(super) enum RawShape {
    /// In a plane parallel to the entity's own x and y.
    Flat { shape: Shape, elevation: f64 },
    /// From point to point in space.
    Line([Point3; 2]),
    /// From vertex to vertex in space.
    Polyline { vertices: Vec<Point3>, closed: bool },
    /// Spline spans in space.
    Spans(Spans),
    /// In a plane of its own, whatever the entity's plane.
    InPlane { shape: Shape, plane: Plane },
    /// Several of these, drawn by one entity.
    Several(Vec<RawShape>),
    /// Parallel lines whose style is yet to be found; without it they have no caps.
    Multiline(Box<Multiline>),
}

impl RawShape {
    /// How it looks from above once moved by `map`.
    #[inline]
    pub fn placed(self, normal: Point3, map: &Map3) -> Result<View<Shape>, OnEdge> {
        match self {
            RawShape::Flat { shape, elevation } => {
                let view = map.flattened(&Plane { normal, elevation })?;
                Ok(view.map(|seen| shape.transformed(&seen)))
            }
            RawShape::Line(ends) => {
                let [a, b] = if *map == Map3::IDENTITY { ends } else { ends.map(|p| map.point(p)) };
                // Most lines are level: they need no more than this.
                let tilted = a[2] != b[2] && seen_from_above(&[a, b], false)?.tilted;
                let [start, end] = [a, b].map(|p| crate::geometry::Point::new(p[0], p[1]));
                Ok(View { seen: Shape::Line { start, end }, tilted })
            }
            RawShape::Polyline { vertices, closed } => {
                let vertices: Vec<Point3> = vertices.iter().map(|p| map.point(*p)).collect();
                let is_ring = closed || vertices.first() == vertices.last();
                let view = seen_from_above(&vertices, is_ring)?;
                Ok(view.map(|seen| {
                    let vertices = seen.into();
                    Shape::Polyline(Polyline { vertices, bulges: None, widths: None, closed })
                }))
            }
            RawShape::Spans(spans) if *map == Map3::IDENTITY => spans.seen_from_above(),
            RawShape::Spans(spans) => spans.moved(|p| map.point(p)).seen_from_above(),
            RawShape::InPlane { shape, plane } => {
                let view = map.flattened(&plane)?;
                Ok(view.map(|seen| shape.transformed(&seen)))
            }
            RawShape::Several(all) => {
                let mut tilted = false;
                let mut shapes = Vec::with_capacity(all.len());
                for one in all {
                    let view = one.placed(normal, map)?;
                    tilted |= view.tilted;
                    shapes.push(view.seen);
                }
                Ok(View { seen: Shape::Several(shapes.into()), tilted })
            }
            RawShape::Multiline(multiline) => multiline.into_lines().placed(normal, map),
        }
    }

    /// How many points, lines, arcs or spans: what it costs to draw it once more.
    pub fn size(&self) -> u64 {
        match self {
            RawShape::Flat { shape, .. } | RawShape::InPlane { shape, .. } => shape.pieces(),
            RawShape::Polyline { vertices, .. } => vertices.len().max(1) as u64,
            RawShape::Spans(spans) => spans.size(),
            RawShape::Several(all) => all.iter().map(RawShape::size).sum(),
            RawShape::Multiline(multiline) => multiline.size(),
            RawShape::Line(_) => 1,
        }
    }
}

/// Why an entity draws nothing.
pub(super) enum Refusal {
    Fault(Fault),
    Reason(Reason),
}

impl From<Fault> for Refusal {
    fn from(fault: Fault) -> Refusal {
        Refusal::Fault(fault)
    }
}

/// What is worth a note about an entity that is drawn.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Remarks {
    /// A spline has fit points only.
    pub fitted: bool,
    /// A circle's radius is negative.
    pub negative_radius: bool,
    /// A multiline may have caps, but its style is not in the drawing.
    pub no_style: bool,
}

/// How many entities of a drawing have each remark.
#[derive(Default)]
pub(super) struct Remarked {
    pub fitted: u64,
}

impl Remarked {
    #[inline]
    pub fn add(&mut self, remarks: Remarks) {
        self.fitted += u64::from(remarks.fitted);
    }
}

/// Room that is used again for one polyline after the other.
#[derive(Default)]
pub(super) struct Scratch {
    polyline: polyline::Collected,
}

/// Reads an entity from its groups; a POLYLINE's vertices are read afterwards by [`vertices`].
#[inline]
pub(super) fn drawn(
    kind: EntityKind,
    groups: &mut Groups,
    scratch: &mut Scratch,
    remarks: &mut Remarks,
) -> Result<RawShape, Fault> {
    match kind {
        EntityKind::Line => line::line(groups),
        EntityKind::Arc => arc::arc(groups),
        EntityKind::Circle => arc::circle(groups, remarks),
        EntityKind::Ellipse => arc::ellipse(groups),
        EntityKind::LwPolyline => polyline::light(groups, &mut scratch.polyline),
        EntityKind::Polyline => polyline::header(groups, &mut scratch.polyline),
        EntityKind::Spline => spline::spline(groups, remarks),
        EntityKind::Solid | EntityKind::Trace => solid::solid(groups),
        EntityKind::Face => solid::face(groups),
        EntityKind::Mline => multiline::multiline(groups),
        EntityKind::Hatch => hatch::hatch(groups, remarks),
        EntityKind::Mpolygon => hatch::mpolygon(groups, remarks),
        EntityKind::Region | EntityKind::Body => acis::body(groups),
    }
}

/// The vertices that follow a POLYLINE; `None` where the file ends or is damaged among them.
pub(super) fn vertices(
    pairs: &mut Pairs,
    header: &Common,
    scratch: &mut Scratch,
) -> Option<Result<RawShape, Refusal>> {
    polyline::vertices(pairs, header, &mut scratch.polyline)
}

/// Reads a block reference.
pub(super) fn insert(groups: &mut Groups) -> Result<Insert, Fault> {
    insert::insert(groups)
}

/// Reads something written; `None` for what does not show.
pub(super) fn text(groups: &mut Groups, name: &str) -> Option<Lettering> {
    text::text(groups, name)
}
