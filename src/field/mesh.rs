//! Triangles with their neighbours.

use super::boundary::{Boundary, Piece};
use super::element::{Arch, ENDS, Shape};
use super::triangulate::{Triangles, triangulate};
use super::{MeshTrouble, Trouble};
use crate::geometry::Point;
use crate::region::Part;

/// Triangles of one part: with four and a half unknowns each, and about 2 kB in all, they keep within 80 MB.
pub(super) const MOST_TRIANGLES: usize = 20_000;

/// What lies on the other side of an edge.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Beyond {
    /// A triangle.
    Triangle(u32),
    /// Nothing: it is a piece of the boundary, of which it has the direction.
    Piece(u32),
    /// A triangle of another body, across a piece of what bounds both; the piece has this edge's direction where this is its
    /// left side.
    Across { other: u32, piece: u32, is_left: bool },
}

impl Beyond {
    /// The triangle across.
    pub fn triangle(self) -> Option<u32> {
        match self {
            Beyond::Triangle(other) | Beyond::Across { other, .. } => Some(other),
            Beyond::Piece(_) => None,
        }
    }

    /// The piece that the edge follows.
    pub fn piece(self) -> Option<u32> {
        match self {
            Beyond::Piece(piece) | Beyond::Across { piece, .. } => Some(piece),
            Beyond::Triangle(_) => None,
        }
    }

    /// Triangle `t` lies across.
    pub fn is_triangle(self, t: usize) -> bool {
        self.triangle() == Some(t as u32)
    }

    /// The same with another triangle across.
    pub fn with_triangle(self, t: usize) -> Beyond {
        match self {
            Beyond::Across { piece, is_left, .. } => Beyond::Across { other: t as u32, piece, is_left },
            _ => Beyond::Triangle(t as u32),
        }
    }
}

/// A triangle by its corners, anticlockwise.
#[derive(Clone, Copy, Debug)]
pub(super) struct Triangle {
    pub corners: [u32; 3],
    /// Across the edge opposite each corner.
    pub beyond: [Beyond; 3],
    /// Which of the materials.
    pub material: u32,
}

/// What counts of a material: its moduli over those of the material that constants refer to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Moduli {
    pub elastic: f64,
    pub shear: f64,
}

impl Moduli {
    /// Those of the material that constants refer to.
    pub const REFERENCE: Moduli = Moduli { elastic: 1.0, shear: 1.0 };
}

/// The mesh of one part.
#[derive(Clone, Debug)]
pub(super) struct Mesh {
    pub boundary: Boundary,
    /// Where corners are. A corner in which parts of the solid touch without an edge between them is there once for each.
    pub corners: Vec<Point>,
    pub triangles: Vec<Triangle>,
    pub materials: Vec<Moduli>,
    /// For each ring of the boundary, the lowest of those that it touches in a corner, itself among them.
    pub joined: Vec<u32>,
    /// How many bodies it has that hang together by edges.
    pub bodies: usize,
}

impl Mesh {
    /// The first mesh of a part moved by −`centre` and divided by `size`.
    pub fn of(part: &Part, centre: Point, size: f64) -> Result<Mesh, MeshTrouble> {
        Mesh::within(Boundary::of(part, centre, size)?, vec![Moduli::REFERENCE])
    }

    /// The first mesh within a boundary.
    pub fn within(mut boundary: Boundary, materials: Vec<Moduli>) -> Result<Mesh, MeshTrouble> {
        let found = triangulate(&mut boundary)?;
        if found.triangles.len() > MOST_TRIANGLES {
            return Err(MeshTrouble::new(Trouble::TooMany, boundary.corners[0]));
        }
        let joined = joined_rings(&boundary);
        let triangles = neighbours(&boundary, &found)?;
        let mut mesh = Mesh { boundary, corners: found.corners, triangles, materials, joined, bodies: 0 };
        mesh.part_pinches();
        mesh.bodies = mesh.count_bodies();
        mesh.mend()?;
        Ok(mesh)
    }

    /// The triangle as a shape.
    pub fn shape(&self, t: usize) -> Shape {
        let triangle = &self.triangles[t];
        let arches = triangle.beyond.map(|beyond| match beyond {
            Beyond::Piece(piece) | Beyond::Across { piece, is_left: true, .. } => {
                self.boundary.pieces[piece as usize].arch
            }
            Beyond::Across { piece, .. } => self.boundary.pieces[piece as usize].arch.reversed(),
            Beyond::Triangle(_) => Arch::default(),
        });
        Shape::new(triangle.corners.map(|corner| self.corners[corner as usize]), arches)
    }

    /// The pieces that a triangle's edges follow.
    pub fn pieces_of(&self, t: usize) -> impl Iterator<Item = (usize, &Piece)> {
        let along = |(edge, beyond): (usize, &Beyond)| {
            beyond.piece().map(|piece| (edge, &self.boundary.pieces[piece as usize]))
        };
        self.triangles[t].beyond.iter().enumerate().filter_map(along)
    }

    /// The moduli of a triangle's material.
    pub fn moduli(&self, t: usize) -> Moduli {
        self.materials[self.triangles[t].material as usize]
    }

    /// Materials of different shear moduli are among those of its triangles.
    pub fn is_mixed(&self) -> bool {
        let first = self.moduli(0).shear;
        (0..self.triangles.len()).any(|t| self.moduli(t).shear != first)
    }

    /// The middle of each triangle's corners.
    pub fn centres(&self) -> Vec<Point> {
        let centre = |triangle: &Triangle| {
            let [a, b, c] = triangle.corners.map(|corner| self.corners[corner as usize]);
            (a + b + c) * (1.0 / 3.0)
        };
        self.triangles.iter().map(centre).collect()
    }

    /// The triangles beside each, `none` where there is none.
    pub fn neighbours(&self, none: u32) -> Vec<[u32; 3]> {
        let across = |beyond: Beyond| beyond.triangle().unwrap_or(none);
        self.triangles.iter().map(|triangle| triangle.beyond.map(across)).collect()
    }

    /// Gives each body that touches another in a corner a corner of its own there.
    fn part_pinches(&mut self) {
        let mut around: Vec<Vec<u32>> = vec![Vec::new(); self.corners.len()];
        for (t, triangle) in self.triangles.iter().enumerate() {
            triangle.corners.iter().for_each(|corner| around[*corner as usize].push(t as u32));
        }
        for (corner, around) in around.iter().enumerate() {
            let mut left: Vec<u32> = around.clone();
            let mut fans = 0;
            while let Some(first) = left.pop() {
                let mut fan = vec![first];
                let mut done = 0;
                while done < fan.len() {
                    let triangle = &self.triangles[fan[done] as usize];
                    done += 1;
                    for (edge, beyond) in triangle.beyond.iter().enumerate() {
                        let Some(other) = beyond.triangle() else { continue };
                        let holds = ENDS[edge].iter().any(|end| triangle.corners[*end] as usize == corner);
                        if holds && let Some(place) = left.iter().position(|t| *t == other) {
                            fan.push(left.swap_remove(place));
                        }
                    }
                }
                fans += 1;
                if fans > 1 {
                    let own = self.corners.len() as u32;
                    self.corners.push(self.corners[corner]);
                    for t in fan {
                        let corners = &mut self.triangles[t as usize].corners;
                        corners.iter_mut().filter(|c| **c as usize == corner).for_each(|c| *c = own);
                    }
                }
            }
        }
    }

    /// How many bodies hang together by edges.
    fn count_bodies(&self) -> usize {
        self.body_of().iter().max().map_or(0, |most| *most as usize + 1)
    }

    /// For each triangle the body that it is of.
    pub fn body_of(&self) -> Vec<u32> {
        let mut body_of = vec![u32::MAX; self.triangles.len()];
        let mut bodies = 0;
        for first in 0..self.triangles.len() {
            if body_of[first] != u32::MAX {
                continue;
            }
            let mut next = vec![first];
            body_of[first] = bodies;
            while let Some(t) = next.pop() {
                for beyond in self.triangles[t].beyond {
                    if let Some(other) = beyond.triangle()
                        && body_of[other as usize] == u32::MAX
                    {
                        body_of[other as usize] = bodies;
                        next.push(other as usize);
                    }
                }
            }
            bodies += 1;
        }
        body_of
    }

    /// Neighbours are each other's, pieces lie under the edges that say so, and no triangle is turned inside out.
    #[cfg(test)]
    pub fn check(&self) -> bool {
        self.triangles.iter().enumerate().all(|(t, triangle)| {
            let edges = triangle.beyond.iter().enumerate().all(|(edge, beyond)| {
                let [s, e] = ENDS[edge].map(|end| triangle.corners[end]);
                match beyond {
                    Beyond::Piece(piece) => {
                        let piece = &self.boundary.pieces[*piece as usize];
                        let place = |c: u32| self.boundary.corners[c as usize];
                        place(piece.start) == self.corners[s as usize]
                            && place(piece.end) == self.corners[e as usize]
                    }
                    Beyond::Triangle(other) | Beyond::Across { other, .. } => {
                        let other = &self.triangles[*other as usize];
                        let along = beyond.piece().is_none_or(|piece| {
                            let piece = &self.boundary.pieces[piece as usize];
                            let is_left = matches!(beyond, Beyond::Across { is_left: true, .. });
                            let ends = if is_left { [s, e] } else { [e, s] };
                            let places = [piece.start, piece.end].map(|c| self.boundary.corners[c as usize]);
                            places == ends.map(|c| self.corners[c as usize])
                        });
                        along
                            && (0..3).any(|theirs| {
                                other.beyond[theirs].is_triangle(t)
                                    && other.beyond[theirs].piece() == beyond.piece()
                                    && ENDS[theirs].map(|end| other.corners[end]) == [e, s]
                            })
                    }
                }
            });
            edges && self.shape(t).is_sound()
        })
    }
}

/// For each ring the lowest one that it touches, directly or through others.
fn joined_rings(boundary: &Boundary) -> Vec<u32> {
    let mut joined: Vec<u32> = (0..boundary.rings as u32).collect();
    let root = |joined: &[u32], mut ring: u32| {
        while joined[ring as usize] != ring {
            ring = joined[ring as usize];
        }
        ring
    };
    let mut ring_at = vec![u32::MAX; boundary.corners.len()];
    for piece in boundary.pieces.iter().filter(|piece| !boundary.is_shared(piece)) {
        let ring = boundary.ring_of[piece.curve as usize];
        for corner in [piece.start, piece.end] {
            let known = &mut ring_at[corner as usize];
            if *known == u32::MAX {
                *known = ring;
            }
            let (a, b) = (root(&joined, *known), root(&joined, ring));
            joined[a.max(b) as usize] = a.min(b);
        }
    }
    (0..joined.len() as u32).map(|ring| root(&joined, ring)).collect()
}

/// The triangles with what lies across their edges.
fn neighbours(boundary: &Boundary, found: &Triangles) -> Result<Vec<Triangle>, MeshTrouble> {
    let Triangles { triangles, materials, .. } = found;
    // Directed edges in order, each with its triangle and place; the same list serves for looking up.
    let mut edges = Vec::with_capacity(3 * triangles.len());
    for (t, corners) in triangles.iter().enumerate() {
        for (edge, [s, e]) in ENDS.into_iter().enumerate() {
            edges.push((corners[s], corners[e], t as u32, edge));
        }
    }
    edges.sort_unstable();
    let mut pieces: Vec<(u32, u32, u32)> =
        boundary.pieces.iter().zip(0..).map(|(piece, k)| (piece.start, piece.end, k)).collect();
    pieces.sort_unstable();
    let trouble = |corner: u32| {
        let at = boundary.corners.get(corner as usize).copied().unwrap_or_default();
        MeshTrouble::new(Trouble::Crossing, at)
    };
    let mut result = Vec::with_capacity(triangles.len());
    let mut used = 0;
    let piece_from = |start: u32, end: u32| {
        let place = pieces.partition_point(|p| (p.0, p.1) < (start, end));
        pieces.get(place).filter(|p| (p.0, p.1) == (start, end)).map(|p| p.2)
    };
    let is_shared = |piece: &u32| boundary.is_shared(&boundary.pieces[*piece as usize]);
    for (corners, material) in triangles.iter().zip(materials) {
        let mut beyond = [Beyond::Piece(u32::MAX); 3];
        for (edge, [s, e]) in ENDS.into_iter().enumerate() {
            let (start, end) = (corners[s], corners[e]);
            let piece = piece_from(start, end);
            used += usize::from(piece.is_some());
            if let Some(piece) = piece.filter(|piece| !is_shared(piece)) {
                beyond[edge] = Beyond::Piece(piece);
                continue;
            }
            let other = edges.partition_point(|p| (p.0, p.1) < (end, start));
            let other =
                edges.get(other).filter(|p| (p.0, p.1) == (end, start)).ok_or_else(|| trouble(start))?.2;
            let along = piece.or_else(|| piece_from(end, start).filter(is_shared));
            beyond[edge] = match along {
                Some(along) => Beyond::Across { other, piece: along, is_left: piece.is_some() },
                None => Beyond::Triangle(other),
            };
        }
        result.push(Triangle { corners: *corners, beyond, material: *material });
    }
    match used == boundary.pieces.len() {
        true => Ok(result),
        false => Err(trouble(0)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Curve;
    use crate::outline::{Origin, Ring};

    fn ring(corners: &[[f64; 3]]) -> Ring {
        let curve = |k: usize| {
            let ([x, y, bulge], [to_x, to_y, _]) = (corners[k], corners[(k + 1) % corners.len()]);
            Curve::from_bulge(Point::new(x, y), Point::new(to_x, to_y), bulge)
        };
        Ring::new((0..corners.len()).map(curve).collect(), Origin::default()).expect("a closed ring")
    }

    #[test]
    fn meshes_stay_whole_as_they_are_refined() {
        let edge = ring(&[[0.0, 0.0, 0.0], [1.0, 0.0, 0.3], [0.9, 0.6, 0.0], [0.1, 0.7, -0.2]]);
        let hole = ring(&[[0.6, 0.3, 1.0], [0.4, 0.3, 1.0]]);
        let part = Part::new(edge, vec![hole]);
        let mut mesh = Mesh::of(&part, Point::ORIGIN, 1.0).expect("a mesh");
        assert!(mesh.check() && mesh.bodies == 1);
        for round in 0..5_usize {
            let levels: Vec<u8> = (0..mesh.triangles.len()).map(|t| ((t + round) % 3) as u8).collect();
            mesh.refine(&levels, &|triangle| triangle.corners.contains(&0)).expect("room");
            assert!(mesh.check(), "after round {round}");
        }
    }

    #[test]
    fn bodies_that_touch_in_a_corner_are_two() {
        // A bow tie, as one ring that comes to its middle twice.
        let bow = ring(&[
            [0.0, 0.0, 0.0],
            [0.5, 0.25, 0.0],
            [1.0, 0.0, 0.0],
            [1.0, 0.5, 0.0],
            [0.5, 0.25, 0.0],
            [0.0, 0.5, 0.0],
        ]);
        let mesh = Mesh::of(&Part::new(bow, Vec::new()), Point::ORIGIN, 1.0).expect("a mesh");
        assert!(mesh.check() && mesh.bodies == 2);
    }
}
