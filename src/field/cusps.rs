//! Tips in which two curves touch with solid between them, as beside a hole that touches the edge.
//!
//! No triangle fits into such a tip. It is cut off where it is still some hundred and fifty times as long as wide; what that
//! changes in the area is counted with the errors. A tip so thin bears no torsion: of the width w it has w³/3 for each unit
//! of its length.

use super::boundary::{Boundary, Piece};
use crate::geometry::{Curve, Line, Point};

/// A tip is cut off where its width is this share of its length.
const BLUNT: f64 = 1.0 / 150.0;

/// Directions that differ by less (radians) are one.
const TANGENT: f64 = 2e-3;

/// No tip is cut off further from its end than this share of the curves there.
const MOST: f64 = 0.45;

/// Cuts off all tips.
pub(super) fn blunt(boundary: &mut Boundary) {
    let mut at: Vec<Vec<usize>> = vec![Vec::new(); boundary.corners.len()];
    // Between two bodies there is no tip: one goes on where the other ends.
    for (index, piece) in boundary.pieces.iter().enumerate().filter(|(_, piece)| !boundary.is_shared(piece)) {
        at[piece.start as usize].push(index);
        at[piece.end as usize].push(index);
    }
    for corner in 0..at.len() as u32 {
        let around = &at[corner as usize];
        let leaving: Vec<usize> =
            around.iter().copied().filter(|p| boundary.pieces[*p].start == corner).collect();
        let arriving: Vec<usize> =
            around.iter().copied().filter(|p| boundary.pieces[*p].end == corner).collect();
        for leaves in leaving {
            let partner = arriving
                .iter()
                .copied()
                .filter(|arrives| *arrives != leaves && is_tip(boundary, leaves, *arrives))
                .min_by(|a, b| {
                    let gap = |p: &usize| reach(boundary, leaves, *p).map_or(f64::INFINITY, |(_, gap)| gap);
                    gap(a).total_cmp(&gap(b))
                });
            if let Some(arrives) = partner {
                cut_off(boundary, leaves, arrives);
            }
        }
    }
}

/// The point of a piece at a distance from its start, or from its end, and its parameter there.
fn at_distance(boundary: &Boundary, piece: &Piece, from_start: bool, distance: f64) -> (f64, Point) {
    let curve = &boundary.curves[piece.curve as usize];
    let tip = boundary.corners[if from_start { piece.start } else { piece.end } as usize];
    let (mut near, mut far) = if from_start { (piece.from, piece.to) } else { (piece.to, piece.from) };
    for _ in 0..60 {
        let middle = 0.5 * (near + far);
        if curve.at(middle).distance(tip) < distance { near = middle } else { far = middle }
    }
    (near, curve.at(near))
}

/// How far two pieces of a tip can be followed, and how far they are apart there, to the left of the one that leaves.
fn reach(boundary: &Boundary, leaves: usize, arrives: usize) -> Option<(f64, f64)> {
    let (a, b) = (&boundary.pieces[leaves], &boundary.pieces[arrives]);
    let most = MOST * boundary.length(a).min(boundary.length(b));
    let gap = gap(boundary, a, b, most);
    (most > 0.0).then_some((most, gap))
}

/// How far the arriving piece lies to the left of the leaving one at a distance from their common corner.
fn gap(boundary: &Boundary, leaves: &Piece, arrives: &Piece, distance: f64) -> f64 {
    let tip = boundary.corners[leaves.start as usize];
    let (_, p) = at_distance(boundary, leaves, true, distance);
    let (_, q) = at_distance(boundary, arrives, false, distance);
    (p - tip).cross(q - tip) / distance
}

/// The pieces leave a corner in one direction, with solid between them.
fn is_tip(boundary: &Boundary, leaves: usize, arrives: usize) -> bool {
    let [away, _] = boundary.directions(&boundary.pieces[leaves]);
    let [_, towards] = boundary.directions(&boundary.pieces[arrives]);
    let back = -towards;
    let is_tangent = away.dot(back) > 0.0 && away.cross(back).abs() < TANGENT;
    is_tangent && reach(boundary, leaves, arrives).is_some_and(|(_, gap)| gap > 0.0)
}

/// Begins one piece and ends the other before the tip, with a straight piece between them.
fn cut_off(boundary: &mut Boundary, leaves: usize, arrives: usize) {
    let (a, b) = (boundary.pieces[leaves].clone(), boundary.pieces[arrives].clone());
    let Some((most, _)) = reach(boundary, leaves, arrives) else { return };
    // The tip grows wider with the distance, so that halving finds where it is wide enough.
    let (mut near, mut far) = (0.0, most);
    for _ in 0..40 {
        let middle = 0.5 * (near + far);
        if gap(boundary, &a, &b, middle) < BLUNT * middle { near = middle } else { far = middle }
    }
    let (from, start) = at_distance(boundary, &a, true, far);
    let (to, end) = at_distance(boundary, &b, false, far);
    // Where its width grows as the square of the distance, the tip bears a 21st of this.
    boundary.tips += far * start.distance(end).powi(3);
    let corner = boundary.corners.len() as u32;
    boundary.corners.extend([start, end]);
    boundary.pieces[leaves] = boundary.piece(a.curve, [from, a.to], [corner, a.end]);
    boundary.pieces[arrives] = boundary.piece(b.curve, [b.from, to], [b.start, corner + 1]);
    let line = boundary.curves.len() as u32;
    boundary.curves.push(Curve::Line(Line { start: end, end: start }));
    boundary.ring_of.push(boundary.ring_of[a.curve as usize]);
    boundary.sides_of.push(boundary.sides_of[a.curve as usize]);
    let closing = boundary.piece(line, [0.0, 1.0], [corner + 1, corner]);
    boundary.pieces.push(closing);
}
