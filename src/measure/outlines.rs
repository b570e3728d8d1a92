//! Each outer outline as a section of its own, and the edges that outlines share.

use crate::geometry::near::{Grid, near_pairs};
use crate::geometry::{Bounds, Curve, Point};
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
        let around = (0..outer.len()).filter(|k| lies_in(&hole.ring, &outer[*k].ring, tolerance));
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

/// A hole lies in the outline: of the places on it that do not lie on the outline itself, most do.
fn lies_in(hole: &Ring, outer: &Ring, tolerance: f64) -> bool {
    const SHARES: [f64; 3] = [0.271, 0.5, 0.683];
    if !outer.bounds().grown(tolerance).contains(&hole.bounds()) || hole.area() > outer.area() {
        return false;
    }
    let on_outer = |place: Point| {
        let near = Bounds::EMPTY.with(place).grown(tolerance);
        let (curves, boxes) = (outer.curves(), outer.boxes());
        let mut near = curves.iter().zip(&boxes).filter(|(_, bounds)| bounds.meets(&near));
        near.any(|(curve, _)| curve.distance(place) <= tolerance)
    };
    let curves = hole.curves();
    let places = curves.iter().flat_map(|curve| SHARES.map(|share| curve.at(share)));
    let places: Vec<Point> = places.filter(|place| !on_outer(*place)).collect();
    let inside = places.iter().filter(|place| outer.contains(**place)).count();
    2 * inside >= places.len()
}

/// Two outlines, as indices, that share so much of their edges.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct SharedEdge {
    pub of: [usize; 2],
    pub length: f64,
}

/// The edges that outlines share: along which the edge of the one runs within the tolerance of the edge of the other, with
/// the solid of each on its own side.
pub(super) fn shared_edges(outlines: &[OuterOutline], tolerance: f64) -> Vec<SharedEdge> {
    /// What is shorter than so many tolerances is a corner that touches.
    const CORNER: f64 = 8.0;
    let boxes: Vec<Bounds> = outlines.iter().map(|outline| outline.region.bounds()).collect();
    let edges: Vec<Edges> = outlines.iter().map(|outline| Edges::of(&outline.region, tolerance)).collect();
    let mut found = Vec::new();
    near_pairs(&boxes, tolerance, |i, j| {
        let length = edges[i].along(&edges[j], tolerance);
        if length > CORNER * tolerance {
            found.push(SharedEdge { of: [i.min(j), i.max(j)], length });
        }
    });
    found.sort_by_key(|edge| edge.of);
    found
}

/// The edges of a region with the solid on their left.
struct Edges {
    curves: Vec<Curve>,
    boxes: Vec<Bounds>,
    grid: Grid,
}

impl Edges {
    fn of(region: &Region, tolerance: f64) -> Edges {
        let curves: Vec<Curve> = region
            .rings()
            .flat_map(|(sign, ring)| {
                ring.curves()
                    .into_iter()
                    .map(move |curve| if sign > 0.0 { curve.into_owned() } else { curve.reversed() })
            })
            .collect();
        let boxes: Vec<Bounds> = curves.iter().map(Curve::bounds).collect();
        let grid = Grid::over(&boxes, tolerance);
        Edges { curves, boxes, grid }
    }

    /// How far these edges run along others, backwards: between two neighbouring ends of either it is looked at in the middle.
    fn along(&self, other: &Edges, tolerance: f64) -> f64 {
        let mut length = 0.0;
        for (curve, bounds) in self.curves.iter().zip(&self.boxes) {
            let near = bounds.grown(tolerance);
            let others: Vec<&Curve> = other
                .grid
                .within(&near)
                .into_iter()
                .filter(|k| other.boxes[*k].meets(&near))
                .map(|k| &other.curves[k])
                .collect();
            let ends = others.iter().flat_map(|other| [other.start(), other.end()]);
            let mut cuts: Vec<f64> = ends
                .map(|end| (curve.nearest(end), end))
                .filter(|(t, end)| curve.at(*t).distance(*end) <= tolerance)
                .map(|(t, _)| t)
                .chain([0.0, 1.0])
                .collect();
            cuts.sort_by(f64::total_cmp);
            let runs_along = |low: f64, high: f64| {
                [0.27, 0.5, 0.73].iter().all(|share| {
                    let t = low + (high - low) * share;
                    let place = curve.at(t);
                    others.iter().any(|other| {
                        let on_other = other.nearest(place);
                        other.at(on_other).distance(place) <= tolerance
                            && other.tangent(on_other).dot(curve.tangent(t)) < 0.0
                    })
                })
            };
            let pieces = cuts.windows(2).filter(|pair| pair[0] < pair[1] && runs_along(pair[0], pair[1]));
            length += pieces.map(|pair| curve.between(pair[0], pair[1]).length()).sum::<f64>();
        }
        length
    }
}

/// All parts of outer outlines as one region, in which they may touch and overlap, and the pieces of each part.
pub(super) fn side_by_side(outlines: &[OuterOutline]) -> (Region, Vec<Vec<Piece>>) {
    let parts = outlines.iter().flat_map(|outline| {
        outline.region.parts.iter().map(|part: &Part| (part.clone(), outline.pieces.clone()))
    });
    let (parts, pieces) = parts.unzip();
    (Region::new(parts), pieces)
}
