//! LWPOLYLINE, and POLYLINE with its VERTEX entities.

use super::{RawShape, Refusal};
use crate::drawing::groups::{Common, Fault, Groups, stop_at_vertices};
use crate::drawing::pairs::Pairs;
use crate::drawing::passed_over::Reason;
use crate::drawing::plane::Point3;
use crate::drawing::shape::{Polyline, Shape};
use crate::drawing::widths::EdgeWidths;
use crate::geometry::Point;

/// Bits of group 70.
const CLOSED: i64 = 1;
const SPATIAL: i64 = 8;
const MESH: i64 = 16 | 64;
/// Of a vertex: a control point of the frame that a spline curve was fitted to.
const FRAME_POINT: i64 = 16;

/// What is collected of one polyline, in room that is used again.
#[derive(Default)]
pub(super) struct Collected {
    flags: i64,
    elevation: f64,
    points: Vec<Point>,
    bulges: Vec<f64>,
    spatial: Vec<Point3>,
    /// Width at the start and the end of the edge that follows each vertex, up to the last one that has any.
    widths: Vec<[f64; 2]>,
    /// What vertices have that say nothing of a width: groups 40 and 41 of a POLYLINE, 43 of an LWPOLYLINE.
    usual_widths: [f64; 2],
}

impl Collected {
    fn clear(&mut self) {
        (self.flags, self.elevation) = (0, 0.0);
        self.points.clear();
        self.bulges.clear();
        self.spatial.clear();
        self.widths.clear();
        self.usual_widths = [0.0; 2];
    }

    /// The edge that follows the last vertex is so wide at its start (0) or its end (1).
    fn set_width(&mut self, end: usize, width: f64) {
        if width > 0.0 && !self.points.is_empty() {
            self.widths.resize(self.points.len(), [0.0; 2]);
            if let Some(last) = self.widths.last_mut() {
                last[end] = width;
            }
        }
    }

    /// The widths of the edges.
    fn widths(&self) -> Option<Box<EdgeWidths>> {
        if self.widths.is_empty() {
            return None;
        }
        let mut widths = self.widths.clone();
        widths.resize(self.points.len(), [0.0; 2]);
        widths.truncate(self.points.len() - usize::from(self.flags & CLOSED == 0));
        EdgeWidths::of(&widths)
    }

    fn drawn(&self) -> RawShape {
        let bulges = self.bulges.iter().any(|bulge| *bulge != 0.0).then(|| self.bulges.as_slice().into());
        let vertices = self.points.as_slice().into();
        let (widths, closed) = (self.widths(), self.flags & CLOSED != 0);
        let shape = Shape::Polyline(Polyline { vertices, bulges, widths, closed });
        RawShape::Flat { shape, elevation: self.elevation }
    }
}

/// LWPOLYLINE: all vertices within one entity. A vertex begins with its x.
///
/// The DXF reference says of the constant width (43) that it is not used beside those of vertices (40, 41), and of these
/// that they are not used beside it. A constant width above 0 counts here: one of 0 is what writers fill in.
pub(super) fn light(groups: &mut Groups, collected: &mut Collected) -> Result<RawShape, Fault> {
    collected.clear();
    let no_y = |count: usize| Fault::new(format!("no y (group 20) for vertex {count}"));
    let mut half = false;
    while let Some(group) = groups.next() {
        match group.code {
            10 => {
                if half {
                    return Err(no_y(collected.points.len()));
                }
                half = true;
                collected.points.push(Point::new(group.real()?, 0.0));
                collected.bulges.push(0.0);
            }
            20 => {
                let y = group.real()?;
                if let Some(last) = collected.points.last_mut() {
                    last.y = y;
                }
                half = false;
            }
            42 => {
                let bulge = group.real()?;
                if let Some(last) = collected.bulges.last_mut() {
                    *last = bulge;
                }
            }
            40 | 41 => collected.set_width(usize::from(group.code == 41), group.real()?),
            43 => collected.usual_widths = [group.real()?; 2],
            38 => collected.elevation = group.real()?,
            70 => collected.flags = group.whole()?,
            _ => {}
        }
    }
    if half {
        return Err(no_y(collected.points.len()));
    }
    if collected.points.is_empty() {
        return Err(Fault::new("no vertices"));
    }
    if collected.usual_widths[0] > 0.0 {
        collected.widths.clear();
        collected.widths.resize(collected.points.len(), collected.usual_widths);
    }
    Ok(collected.drawn())
}

/// The groups of POLYLINE itself; what is drawn follows in its vertices.
pub(super) fn header(groups: &mut Groups, collected: &mut Collected) -> Result<RawShape, Fault> {
    collected.clear();
    while let Some(group) = groups.next() {
        match group.code {
            // 38 is the elevation in drawings before R11.
            30 | 38 => collected.elevation = group.real()?,
            40 | 41 => collected.usual_widths[usize::from(group.code == 41)] = group.real()?,
            70 => collected.flags = group.whole()?,
            _ => {}
        }
    }
    Ok(collected.drawn())
}

/// The VERTEX entities up to SEQEND, or up to whatever else follows; `None` where the file ends or is damaged
/// among them.
pub(super) fn vertices(
    pairs: &mut Pairs,
    header: &Common,
    collected: &mut Collected,
) -> Option<Result<RawShape, Refusal>> {
    let mut fault = None;
    loop {
        if !pairs.advance() {
            return None;
        }
        let name = pairs.text().trim_ascii();
        if name.eq_ignore_ascii_case(b"SEQEND") {
            let mut groups = Groups::new(pairs, None);
            groups.finish();
            break;
        }
        if !name.eq_ignore_ascii_case(b"VERTEX") {
            pairs.hold();
            break;
        }
        if collected.spatial.len() as u64 >= pairs.limits().vertices {
            stop_at_vertices(pairs, header);
            return None;
        }
        let mut groups = Groups::new(pairs, None);
        let read = vertex(&mut groups, collected);
        groups.finish();
        if groups.cut {
            return None;
        }
        fault = fault.or(read.err());
    }
    if collected.flags & MESH != 0 {
        return Some(Err(Refusal::Reason(Reason::NotOutline)));
    }
    if let Some(fault) = fault {
        return Some(Err(fault.into()));
    }
    let spatial = collected.flags & SPATIAL != 0;
    if collected.spatial.is_empty() {
        return Some(Err(Fault::new("no vertices").into()));
    }
    if spatial {
        let closed = collected.flags & CLOSED != 0;
        return Some(Ok(RawShape::Polyline { vertices: collected.spatial.clone(), closed }));
    }
    Some(Ok(collected.drawn()))
}

fn vertex(groups: &mut Groups, collected: &mut Collected) -> Result<(), Fault> {
    let (mut place, mut bulge, mut flags) = ([None; 3], 0.0, 0);
    let mut widths = collected.usual_widths;
    while let Some(group) = groups.next() {
        match group.code {
            10 | 20 | 30 => place[(group.code / 10 - 1) as usize] = Some(group.real()?),
            40 | 41 => widths[usize::from(group.code == 41)] = group.real()?,
            42 => bulge = group.real()?,
            70 => flags = group.whole()?,
            _ => {}
        }
    }
    if flags & FRAME_POINT != 0 || collected.flags & MESH != 0 {
        return Ok(());
    }
    let [Some(x), Some(y), z] = place else {
        let count = collected.spatial.len() + 1;
        return Err(Fault::new(format!("no x or no y (groups 10, 20) for vertex {count}")));
    };
    collected.points.push(Point::new(x, y));
    collected.bulges.push(bulge);
    collected.spatial.push([x, y, z.unwrap_or(0.0)]);
    for (end, width) in widths.into_iter().enumerate() {
        collected.set_width(end, width);
    }
    Ok(())
}
