//! Corners of the outline as the solid has them.

use super::element::ENDS;
use super::mesh::{Beyond, Mesh};
use crate::geometry::Point;

/// A corner whose solid angle is larger than half a turn by more than this (radians, half a degree) is re-entrant. Below it
/// the stress grows so slowly towards the corner, by 2 % for each factor of a thousand, that it is a slip of drafting in
/// what was meant to be smooth.
pub(super) const SHARP: f64 = 0.0087;

/// A corner of the mesh in which the stress of torsion is unbounded.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Reentrant {
    /// Its number in the mesh.
    pub corner: u32,
    pub at: Point,
    /// The angle (radians) that the solid takes up around it.
    pub angle: f64,
}

/// The re-entrant corners of a mesh.
pub(super) fn reentrant(mesh: &Mesh) -> Vec<Reentrant> {
    const NONE: Point = Point::ORIGIN;
    let mut leaving = vec![NONE; mesh.corners.len()];
    let mut arriving = vec![NONE; mesh.corners.len()];
    let mut taken_up = vec![0.0; mesh.corners.len()];
    for triangle in &mesh.triangles {
        for (corner, ends) in ENDS.into_iter().enumerate() {
            let [s, e] = ends.map(|c| triangle.corners[c]);
            let own = triangle.corners[corner];
            let place = mesh.corners[own as usize];
            let (a, b) = (mesh.corners[s as usize] - place, mesh.corners[e as usize] - place);
            taken_up[own as usize] += a.cross(b).atan2(a.dot(b));
            if let Beyond::Piece(piece) = triangle.beyond[corner] {
                let [leaves, arrives] = mesh.boundary.directions(&mesh.boundary.pieces[piece as usize]);
                leaving[s as usize] = leaves;
                arriving[e as usize] = arrives;
            }
        }
    }
    let mut found = Vec::new();
    for (corner, (leaves, arrives)) in leaving.iter().zip(&arriving).enumerate() {
        if *leaves == NONE || *arrives == NONE {
            continue;
        }
        let turn = arrives.cross(*leaves).atan2(arrives.dot(*leaves));
        let mut angle = std::f64::consts::PI - turn;
        // Turned right round the solid is a tip, or all but a slit: the triangles tell.
        if angle < 1.0 && taken_up[corner] > std::f64::consts::PI {
            angle += std::f64::consts::TAU;
        } else if angle > 5.3 && taken_up[corner] < std::f64::consts::PI {
            angle -= std::f64::consts::TAU;
        }
        if angle > std::f64::consts::PI + SHARP {
            found.push(Reentrant { corner: corner as u32, at: mesh.corners[corner], angle });
        }
    }
    found
}

/// The corner to name: the sharpest, of equally sharp ones that furthest to the left, then the lowest.
pub(super) fn sharpest(corners: &[Reentrant]) -> Option<Reentrant> {
    /// Angles (radians) and places nearer to each other than this are the same.
    const SAME: f64 = 1e-6;
    let step = |v: f64| (v / SAME).round();
    corners.iter().copied().min_by(|a, b| {
        step(b.angle)
            .total_cmp(&step(a.angle))
            .then(step(a.at.x).total_cmp(&step(b.at.x)))
            .then(step(a.at.y).total_cmp(&step(b.at.y)))
    })
}
