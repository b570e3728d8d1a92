//! From pieces of the boundary to triangles. The one place that knows the crate `spade`.

use std::collections::BTreeMap;

use spade::handles::FixedVertexHandle;
use spade::{AngleLimit, ConstrainedDelaunayTriangulation, Point2, RefinementParameters, Triangulation as _};

use super::boundary::{Boundary, MOST_PIECES, NOTHING, Piece};
use super::element::Arch;
use super::{MeshTrouble, Trouble};
use crate::geometry::Point;

type Delaunay = ConstrainedDelaunayTriangulation<Point2<f64>>;

/// Triangles are to have no angle below this (degrees), where corners of the outline let them. Thin strips do well with
/// triangles of any such shape; more would be many more of them.
const LEAST_ANGLE: f64 = 14.0;

/// A piece of the boundary is halved where the triangle on it has an angle opposite it whose cosine is less: 125°.
const WIDE_COSINE: f64 = -0.57;

/// A corner may not lie nearer to a curved piece's chord than so many times the height of the arch there.
const CLEARANCE: f64 = 2.5;

/// Arches flatter than this share of their chords are not halved for that: in the tip of a cusp it would have no end.
const FLATTEST: f64 = 1e-4;

/// Rounds in which pieces are halved.
const ROUNDS: usize = 60;

/// Corners at a sharper angle than this (its cosine; 45°) are approached in steps of powers of 2, so that pieces on both
/// sides become equally long and do not halve each other without end.
const ACUTE_COSINE: f64 = 0.707;

/// Triangles by their corners, anticlockwise, each with its material.
pub(super) struct Triangles {
    pub corners: Vec<Point>,
    pub triangles: Vec<[u32; 3]>,
    pub materials: Vec<u32>,
}

/// Halves pieces of the boundary until triangles of a fair shape fit to them, and fills the inside with triangles.
pub(super) fn triangulate(boundary: &mut Boundary) -> Result<Triangles, MeshTrouble> {
    for _ in 0..ROUNDS {
        let delaunay = load(boundary)?;
        let mut cuts = wanted_cuts(boundary, &delaunay, WIDE_COSINE);
        if cuts.is_empty() {
            let delaunay = refined(boundary, delaunay);
            // Corners inside may lie too near to arches.
            cuts = wanted_cuts(boundary, &delaunay, -1.0);
            if cuts.is_empty() {
                return solid(boundary, &delaunay);
            }
        }
        if boundary.pieces.len() + cuts.len() > MOST_PIECES {
            let at = boundary.corners[boundary.pieces[cuts[0]].start as usize];
            return Err(MeshTrouble::new(Trouble::TooMany, at));
        }
        let acute = acute_corners(boundary);
        for piece in cuts {
            let part = part_to_cut(boundary, piece, &acute);
            boundary.cut(piece, part);
        }
    }
    let delaunay = refined(boundary, load(boundary)?);
    solid(boundary, &delaunay)
}

/// The triangulation of the corners along the pieces, as far as these do not cross.
fn load(boundary: &Boundary) -> Result<Delaunay, MeshTrouble> {
    /// The crate refuses coordinates that are nearer to 0 than its own limit.
    const NOUGHT: f64 = 1e-40;
    let clean = |v: f64| if v.abs() < NOUGHT { 0.0 } else { v };
    let corners: Vec<Point2<f64>> =
        boundary.corners.iter().map(|p| Point2::new(clean(p.x), clean(p.y))).collect();
    let count = corners.len();
    let edges = boundary.pieces.iter().map(|p| [p.start as usize, p.end as usize]).collect();
    let delaunay = Delaunay::try_bulk_load_cdt(corners, edges, |_| ());
    match delaunay {
        // Corners that became one have other numbers than here.
        Ok(delaunay) if delaunay.num_vertices() == count => Ok(delaunay),
        _ => Err(MeshTrouble::new(Trouble::Crossing, boundary.corners.first().copied().unwrap_or_default())),
    }
}

fn handle(corner: u32) -> FixedVertexHandle {
    FixedVertexHandle::from_index(corner as usize)
}

/// The pieces to be halved: those that are crossed, those whose arch comes near a corner, and those that are long for the
/// triangle on them.
fn wanted_cuts(boundary: &Boundary, delaunay: &Delaunay, wide: f64) -> Vec<usize> {
    let mut crossed = Vec::new();
    let mut cuts = Vec::new();
    let ends = |piece: &Piece| (piece.start.min(piece.end), piece.start.max(piece.end));
    let mut between = BTreeMap::new();
    for piece in &boundary.pieces {
        *between.entry(ends(piece)).or_insert(0_usize) += 1;
    }
    for (index, piece) in boundary.pieces.iter().enumerate() {
        // A line and an arc between the same corners have one chord.
        if between.get(&ends(piece)).is_some_and(|count| *count > 1) {
            crossed.push(index);
            continue;
        }
        let edge = delaunay
            .get_edge_from_neighbors(handle(piece.start), handle(piece.end))
            .filter(|edge| edge.is_constraint_edge());
        let Some(edge) = edge else {
            crossed.push(index);
            continue;
        };
        let (start, end) = (boundary.corners[piece.start as usize], boundary.corners[piece.end as usize]);
        let chord = end - start;
        let square = chord.dot(chord);
        let is_shared = boundary.is_shared(piece);
        let is_tight = [edge, edge.rev()].into_iter().enumerate().any(|(side, edge)| {
            // There is solid to the left, and to the right of what two bodies share.
            let is_solid = side == 0 || is_shared;
            let Some(face) = edge.face().as_inner() else { return false };
            let Some(apex) = face
                .vertices()
                .into_iter()
                .find(|v| ![piece.start, piece.end].contains(&(v.fix().index() as u32)))
            else {
                return false;
            };
            let apex = Point::new(apex.position().x, apex.position().y);
            let (a, b) = (start - apex, end - apex);
            let is_wide = is_solid && a.dot(b) < wide * a.length() * b.length();
            let part = (apex - start).dot(chord) / square;
            let height = chord.cross(apex - start) / square.sqrt();
            let arch = piece.arch.height(part.clamp(0.0, 1.0));
            // Within the solid the arch may not turn the triangle on it inside out, wherever the corner opposite lies.
            let most = 0.125 * (piece.arch.start + piece.arch.end);
            let reaches = most.abs() > FLATTEST * square.sqrt()
                && height * most > 0.0
                && match is_solid {
                    true => height.abs() < CLEARANCE * most.abs(),
                    false => part > 0.0 && part < 1.0 && height.abs() < CLEARANCE * arch.abs(),
                };
            let is_steep = match side {
                0 => is_steep(piece.arch, chord, [start, end], apex),
                _ => is_solid && is_steep(piece.arch.reversed(), -chord, [end, start], apex),
            };
            is_wide || reaches || is_steep
        });
        if is_tight {
            cuts.push(index);
        }
    }
    if crossed.is_empty() {
        return cuts;
    }
    // What is crossed is a curved chord or is crossed by one: curved pieces near it are halved.
    let near = |index: &usize| {
        let piece = &boundary.pieces[*index];
        let bulge = 2.0 * piece.arch.start.abs().max(piece.arch.end.abs());
        !piece.arch.is_flat()
            && crossed.iter().any(|other| *other == *index || chords_near(boundary, *index, *other, bulge))
    };
    let curved: Vec<usize> = (0..boundary.pieces.len()).filter(near).collect();
    if curved.is_empty() { crossed } else { curved }
}

/// An arch leaves an end of its chord more steeply than the triangle on it lets it.
fn is_steep(arch: Arch, chord: Point, ends: [Point; 2], apex: Point) -> bool {
    /// The side of the triangle is to be steeper than the arch by this factor.
    const STEEPER: f64 = 1.5;
    let length = chord.length();
    let steep = |rise: f64, along: Point, end: Point| {
        let side = apex - end;
        let (across, ahead) = (chord.cross(side) / length, along.dot(side) / length);
        rise > FLATTEST * length && ahead > 0.0 && across * length < STEEPER * rise * ahead
    };
    steep(arch.start, chord, ends[0]) || steep(arch.end, -chord, ends[1])
}

/// The boxes of two chords are within `reach` of each other.
fn chords_near(boundary: &Boundary, a: usize, b: usize, reach: f64) -> bool {
    let bounds = |index: usize| {
        let piece = &boundary.pieces[index];
        crate::geometry::Bounds::around([
            boundary.corners[piece.start as usize],
            boundary.corners[piece.end as usize],
        ])
    };
    bounds(a).grown(reach).meets(&bounds(b))
}

/// For each corner whether pieces meet there at an acute angle with solid between them.
fn acute_corners(boundary: &Boundary) -> Vec<bool> {
    let mut leaving = vec![Vec::new(); boundary.corners.len()];
    for piece in &boundary.pieces {
        let chord = boundary.corners[piece.end as usize] - boundary.corners[piece.start as usize];
        leaving[piece.start as usize].push(chord);
        leaving[piece.end as usize].push(-chord);
    }
    let is_acute = |directions: &Vec<Point>| {
        directions
            .iter()
            .enumerate()
            .any(|(k, a)| directions[..k].iter().any(|b| a.dot(*b) > ACUTE_COSINE * a.length() * b.length()))
    };
    leaving.iter().map(is_acute).collect()
}

/// Where a piece is cut: in its middle, but near acute corners at a power of 2 from them.
fn part_to_cut(boundary: &Boundary, index: usize, acute: &[bool]) -> f64 {
    let piece = &boundary.pieces[index];
    let is_acute = |corner: u32| acute.get(corner as usize).copied().unwrap_or(false);
    let length = boundary.length(piece);
    // The largest power of 2 that leaves a third at least on the other side.
    let step = |length: f64| 2.0_f64.powi((length * (2.0 / 3.0)).log2().floor() as i32);
    match (is_acute(piece.start), is_acute(piece.end)) {
        (true, false) => step(length) / length,
        (false, true) => 1.0 - step(length) / length,
        _ => 0.5,
    }
}

/// With corners inside until no triangle is too sharp.
fn refined(boundary: &Boundary, mut delaunay: Delaunay) -> Delaunay {
    let parameters = RefinementParameters::<f64>::new()
        // What lies within a body of another material would be taken for a hole of it.
        .exclude_outer_faces(!boundary.pieces.iter().any(|piece| boundary.is_shared(piece)))
        .keep_constraint_edges()
        .with_angle_limit(AngleLimit::from_deg(LEAST_ANGLE))
        .with_max_additional_vertices(4 * boundary.corners.len() + 100);
    delaunay.refine(parameters);
    delaunay
}

/// The triangles of the solid.
fn solid(boundary: &Boundary, delaunay: &Delaunay) -> Result<Triangles, MeshTrouble> {
    let trouble = |piece: usize| {
        let corner = boundary.corners[boundary.pieces[piece].start as usize];
        MeshTrouble::new(Trouble::Crossing, corner)
    };
    let corners = delaunay.vertices().map(|v| Point::new(v.position().x, v.position().y)).collect();
    // From the pieces, left of which the solid lies, to all triangles that no piece parts from them.
    let mut material_of = vec![NOTHING; delaunay.num_all_faces()];
    let mut is_outside = vec![false; delaunay.num_all_faces()];
    let mut next = Vec::new();
    for (index, piece) in boundary.pieces.iter().enumerate() {
        let edge = delaunay
            .get_edge_from_neighbors(handle(piece.start), handle(piece.end))
            .filter(|edge| edge.is_constraint_edge())
            .ok_or_else(|| trouble(index))?;
        for (edge, material) in [edge, edge.rev()].into_iter().zip(boundary.sides_of[piece.curve as usize]) {
            let face = edge.face();
            let known = &mut material_of[face.fix().index()];
            if material == NOTHING {
                is_outside[face.fix().index()] = true;
            } else if face.is_outer() || *known != NOTHING && *known != material {
                return Err(trouble(index));
            } else if std::mem::replace(known, material) == NOTHING {
                next.push(face.fix());
            }
        }
    }
    let (mut triangles, mut materials) = (Vec::new(), Vec::new());
    while let Some(face) = next.pop() {
        let Some(face) = delaunay.face(face).as_inner() else { return Err(trouble(0)) };
        let material = material_of[face.fix().index()];
        triangles.push(face.vertices().map(|v| v.fix().index() as u32));
        materials.push(material);
        for edge in face.adjacent_edges().into_iter().filter(|edge| !edge.is_constraint_edge()) {
            let other = edge.rev().face();
            match std::mem::replace(&mut material_of[other.fix().index()], material) {
                NOTHING => next.push(other.fix()),
                other if other != material => return Err(trouble(0)),
                _ => {}
            }
        }
    }
    // A hole that lies between an arc and its chord, or rings that contradict each other.
    if material_of.iter().zip(&is_outside).any(|(material, is_outside)| *material != NOTHING && *is_outside) {
        return Err(trouble(0));
    }
    Ok(Triangles { corners, triangles, materials })
}
