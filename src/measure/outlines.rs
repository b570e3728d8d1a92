//! Each outer outline as a section of its own, and the edges that outlines share.

use crate::geometry::Bounds;
use crate::geometry::near::near_pairs;
use crate::outline::Ring;
use crate::region::{Part, Piece, Region, resolve_bodies};

/// An outer outline with the holes in it, as drawn, and what it bounds.
pub(super) struct OuterOutline {
    pub pieces: Vec<Piece>,
    pub region: Region,
}

/// The outer outlines among the pieces of a region, each with the holes that lie in it, less the voids; from left to right.
/// Those of which nothing is left, or that can't be resolved by themselves, are left out.
pub(super) fn outer_outlines(pieces: &[Piece], voids: &[Ring], tolerance: f64) -> Vec<OuterOutline> {
    let (outer, holes): (Vec<&Piece>, Vec<&Piece>) = pieces.iter().partition(|piece| piece.solid);
    let mut of_outer: Vec<Vec<Piece>> = outer.iter().map(|piece| vec![(*piece).clone()]).collect();
    for hole in holes {
        let around = (0..outer.len()).filter(|k| lies_in(&hole.ring, &outer[*k].ring));
        let smallest = around.min_by(|a, b| outer[*a].ring.area().total_cmp(&outer[*b].ring.area()));
        if let Some(owner) = smallest {
            of_outer[owner].push(hole.clone());
        }
    }
    let resolved = of_outer.into_iter().filter_map(|pieces| {
        let rings: Vec<Ring> = pieces.iter().map(|piece| piece.ring.clone()).collect();
        let near = pieces[0].ring.bounds().grown(tolerance);
        let voids: Vec<Ring> = voids.iter().filter(|void| void.bounds().meets(&near)).cloned().collect();
        let region = resolve_bodies(&[&rings], &[], &voids, tolerance).region?;
        Some(OuterOutline { pieces, region })
    });
    let mut found: Vec<OuterOutline> = resolved.collect();
    found.sort_by(|a, b| a.pieces[0].ring.by_place(&b.pieces[0].ring));
    found
}

/// Most of a hole's curves lie in the outline.
fn lies_in(hole: &Ring, outer: &Ring) -> bool {
    let inside = hole.curves().iter().filter(|curve| outer.contains(curve.at(0.5))).count();
    outer.bounds().grown(outer.gap()).contains(hole.bounds()) && 2 * inside > hole.curves().len()
}

/// Two outlines, as indices, that share so much of their edges.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct SharedEdge {
    pub of: [usize; 2],
    pub length: f64,
}

/// The edges that outlines share without overlapping: half of what their union lacks of the edges of both.
pub(super) fn shared_edges(outlines: &[OuterOutline], tolerance: f64) -> Vec<SharedEdge> {
    /// Outlines that overlap by more than this share of the smaller have no edge in common that is cut once.
    const ROUNDING: f64 = 1e-9;
    /// What is shorter than so many tolerances is a corner that touches.
    const CORNER: f64 = 8.0;
    let boxes: Vec<Bounds> = outlines.iter().map(|outline| outline.region.bounds()).collect();
    let rings: Vec<Vec<Ring>> = outlines
        .iter()
        .map(|outline| outline.region.rings().map(|(_, ring)| ring.clone()).collect())
        .collect();
    let mut found = Vec::new();
    near_pairs(&boxes, tolerance, |i, j| {
        let Some(union) = resolve_bodies(&[&rings[i], &rings[j]], &[], &[], tolerance).region else { return };
        let (a, b) = (&outlines[i].region, &outlines[j].region);
        let overlap = area(a) + area(b) - area(&union);
        let length = 0.5 * (perimeter(a) + perimeter(b) - perimeter(&union));
        if overlap <= ROUNDING * area(a).min(area(b)) && length > CORNER * tolerance {
            found.push(SharedEdge { of: [i.min(j), i.max(j)], length });
        }
    });
    found.sort_by_key(|edge| edge.of);
    found
}

fn area(region: &Region) -> f64 {
    region.rings().map(|(sign, ring)| sign * ring.area()).sum()
}

fn perimeter(region: &Region) -> f64 {
    region.rings().map(|(_, ring)| ring.length()).sum()
}

/// All parts of outer outlines as one region, in which they may touch and overlap, and the pieces of each part.
pub(super) fn side_by_side(outlines: &[OuterOutline]) -> (Region, Vec<Vec<Piece>>) {
    let parts = outlines.iter().flat_map(|outline| {
        outline.region.parts.iter().map(|part: &Part| (part.clone(), outline.pieces.clone()))
    });
    let (parts, pieces) = parts.unzip();
    (Region::new(parts), pieces)
}
