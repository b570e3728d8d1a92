//! From records to planar faces: body, lumps, shells, faces, loops, and edges in their order.

use super::Problem;
use super::edge::{BodyEdge, Near};
use super::records::{Record, Records};
use crate::drawing::plane::{Axes, Map3, Point3, cross, dot};

/// The determinant of a transform's matrix is that of a rotation, or that of its scale, within this: both are written
/// with all digits, or with six.
const DETERMINANT: f64 = 1e-4;

/// A face of a body, in a plane.
pub(super) struct Face {
    /// Direction at right angles to its plane; its sign and length mean nothing.
    pub normal: Point3,
    /// Its outer loop and those of its holes, in no order: edges one after the other, each beginning exactly where
    /// the one before it ends, and the last ending where the first begins.
    pub loops: Vec<Vec<BodyEdge>>,
}

/// The records that have been come by: none is to be met twice, so that no chain goes on for ever.
struct Met(Vec<bool>);

impl Met {
    fn mark(&mut self, record: Record<'_>) -> Result<(), Problem> {
        match self.0.get_mut(record.index) {
            Some(met) if !*met => {
                *met = true;
                Ok(())
            }
            _ => Err(record.damaged("a chain that comes back")),
        }
    }
}

/// The faces of all bodies in the text.
pub(super) fn faces(records: &Records) -> Result<Vec<Face>, Problem> {
    let mut met = Met(vec![false; records.count()]);
    let mut faces = Vec::new();
    for body in records.iter().filter(|record| record.name == b"body") {
        let map = match records.first(body, "transform")? {
            Some(transform) => map(transform)?,
            None => Map3::IDENTITY,
        };
        let mut lump = records.first(body, "lump")?;
        while let Some(present) = lump {
            met.mark(present)?;
            let mut shell = records.first(present, "shell")?;
            while let Some(present) = shell {
                met.mark(present)?;
                if let Some(subshell) = records.first(present, "subshell")? {
                    return Err(subshell.not_read("faces in a part of a shell"));
                }
                let mut next = records.first(present, "face")?;
                while let Some(present) = next {
                    met.mark(present)?;
                    faces.push(face(records, present, &map, &mut met)?);
                    next = records.target(present, 0, "face")?;
                }
                shell = records.target(present, 0, "shell")?;
            }
            lump = records.target(present, 0, "lump")?;
        }
    }
    if faces.is_empty() {
        return Err(Problem::NotRead("its body has no face".to_owned()));
    }
    Ok(faces)
}

/// The map that a transform gives: the images of the axes, the offset, a scale. Whether the matrix holds the scale
/// already is told by its determinant, since writers differ; the offset is not scaled (from memory).
fn map(record: Record<'_>) -> Result<Map3, Problem> {
    let [mut x, mut y, mut z] = [record.point(0)?, record.point(3)?, record.point(6)?];
    let (offset, scale) = (record.point(9)?, record.real(12)?);
    let determinant = dot(cross(x, y), z).abs();
    let (without, with) = ((determinant - 1.0).abs(), (determinant / scale.powi(3) - 1.0).abs());
    if scale > 0.0 && without <= DETERMINANT && without <= with {
        [x, y, z] = [x, y, z].map(|axis| axis.map(|x| x * scale));
    } else if !(scale > 0.0 && with <= DETERMINANT) {
        return Err(record.not_read("a transform whose matrix and scale do not fit each other"));
    }
    Ok(Map3 { axes: Axes { x, y, z }, offset })
}

fn face(records: &Records, record: Record<'_>, map: &Map3, met: &mut Met) -> Result<Face, Problem> {
    let Some(surface) = records.first(record, "surface")? else {
        return Err(record.damaged("no surface"));
    };
    if surface.name != b"plane-surface" {
        return Err(surface.not_read("a face that is not plane"));
    }
    let normal = surface.point(3)?;
    if normal == [0.0; 3] {
        return Err(surface.damaged("a normal without length"));
    }
    let axes = Axes::of_normal(normal);
    let normal = cross(map.vector(axes.x), map.vector(axes.y));
    let mut loops = Vec::new();
    let mut next = records.first(record, "loop")?;
    while let Some(present) = next {
        met.mark(present)?;
        let edges = edges(records, present, met)?;
        if !edges.is_empty() {
            loops.push(edges.into_iter().map(|edge| edge.moved(map)).collect());
        }
        next = records.target(present, 0, "loop")?;
    }
    if loops.is_empty() {
        return Err(record.not_read("a face without bounds"));
    }
    Ok(Face { normal, loops })
}

/// The edges of a loop, joined. One without a curve is a vertex that stands alone.
fn edges(records: &Records, record: Record<'_>, met: &mut Met) -> Result<Vec<BodyEdge>, Problem> {
    let Some(first) = records.first(record, "coedge")? else {
        return Err(record.damaged("no edges"));
    };
    let mut edges: Vec<BodyEdge> = Vec::new();
    let mut present = first;
    loop {
        met.mark(present)?;
        let reversed = sense(present)?;
        let Some(record) = records.first(present, "edge")? else {
            return Err(present.damaged("no edge"));
        };
        if let Some(edge) = BodyEdge::read(records, record)? {
            let edge = if reversed { edge.reversed() } else { edge };
            edges.push(edge);
        }
        match records.target(present, 0, "coedge")? {
            None => return Err(present.not_read("a loop that is not closed")),
            Some(next) if next.index == first.index => break,
            Some(next) => present = next,
        }
    }
    let count = edges.len();
    for i in 0..count {
        let end = edges[(i + count - 1) % count].end;
        let near = Near::of(&edges[i]);
        if !near.holds(edges[i].start, end) {
            return Err(record.damaged("edges that do not meet"));
        }
        edges[i].begin_at(end);
    }
    Ok(edges)
}

/// Whether a coedge runs against its edge: the word behind the reference to the edge.
fn sense(coedge: Record<'_>) -> Result<bool, Problem> {
    let word = (0..coedge.len()).find(|i| !coedge.is_reference(*i)).unwrap_or(coedge.len());
    coedge.is_reversed(word)
}
