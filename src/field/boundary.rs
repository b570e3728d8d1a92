//! The boundary of a part as the mesh follows it: pieces of its curves, each an arch over its chord.

use std::collections::BTreeMap;

use super::cusps;
use super::element::{Arch, EDGE_PLACES};
use super::{MeshTrouble, Trouble};
use crate::geometry::{Affine, Curve, Point};
use crate::region::Part;

/// A piece turns by no more than this (radians) in the first mesh: 45°. A cubic arch over so much of a circle keeps within
/// 6e-4 of its radius of it, now inside, now outside; halved, within 4e-5.
const TURN: f64 = std::f64::consts::FRAC_PI_4;

/// Ends of curves nearer to each other than this share of the part's size are one corner of the mesh.
const ONE_CORNER: f64 = 4e-9;

/// Pieces of one part. The shape's mesh has 4 to 8 triangles for each; far more of them take minutes.
pub(super) const MOST_PIECES: usize = 12_000;

/// What lies beside a curve where no material does.
pub(super) const NOTHING: u32 = u32::MAX;

/// Part of a curve between two corners of the mesh, with the solid to its left.
#[derive(Clone, Debug)]
pub(super) struct Piece {
    /// Which of the boundary's curves.
    pub curve: u32,
    /// Its parameters where the piece begins and ends.
    pub from: f64,
    pub to: f64,
    /// Corners of the mesh.
    pub start: u32,
    pub end: u32,
    /// How the mesh follows it.
    pub arch: Arch,
    /// How far the curve lies to the left of the arch, as the mean over the piece: with its sign, and without.
    pub beside: f64,
    pub apart: f64,
}

/// The curves of one part, near the origin and of a size near 1.
#[derive(Clone, Debug, Default)]
pub(super) struct Boundary {
    pub curves: Vec<Curve>,
    /// For each curve the ring that it is of: 0 is the edge, others are holes.
    pub ring_of: Vec<u32>,
    /// For each curve the material to its left and to its right, [`NOTHING`] where there is none.
    pub sides_of: Vec<[u32; 2]>,
    pub rings: usize,
    pub corners: Vec<Point>,
    pub pieces: Vec<Piece>,
    /// What the tips that are cut off may add to the torsion constant.
    pub tips: f64,
}

impl Boundary {
    /// Of a part moved by −`centre` and divided by `size`.
    pub fn of(part: &Part, centre: Point, size: f64) -> Result<Boundary, MeshTrouble> {
        let map = Affine { xx: 1.0 / size, xy: 0.0, yx: 0.0, yy: 1.0 / size, offset: Point::ORIGIN };
        let mut boundary = Boundary { rings: 1 + part.holes.len(), ..Boundary::default() };
        let mut known = Known::default();
        for (number, ring) in std::iter::once(&part.edge).chain(&part.holes).enumerate() {
            let mut curves: Vec<Curve> =
                ring.curves().iter().map(|c| c.translated(-centre).transformed(&map)).collect();
            // The solid is to lie to the left of holes' curves too.
            if number > 0 {
                curves = curves.iter().rev().map(Curve::reversed).collect();
            }
            // Three pieces at the least go round something.
            let least = match curves.len() {
                1 => 3,
                2 => 2,
                _ => 1,
            };
            for curve in curves {
                let ends = [curve.start(), curve.end()];
                let ends = ends.map(|end| known.corner(&mut boundary.corners, end, ONE_CORNER));
                boundary.add(curve, ends, number as u32, [0, NOTHING], least)?;
            }
        }
        cusps::blunt(&mut boundary);
        Ok(boundary)
    }

    /// Adds a curve between two corners, in `least` pieces at the least.
    pub fn add(
        &mut self,
        curve: Curve,
        [mut start, end]: [u32; 2],
        ring: u32,
        sides: [u32; 2],
        least: usize,
    ) -> Result<(), MeshTrouble> {
        self.ring_of.push(ring);
        self.sides_of.push(sides);
        let turns = turn(&curve, 0.0, 1.0) / TURN;
        if turns.is_nan() || turns >= MOST_PIECES as f64 {
            return Err(MeshTrouble::new(Trouble::TooMany, curve.start()));
        }
        let count = ((turns - 1e-9).ceil() as usize).max(least);
        let index = self.curves.len() as u32;
        self.curves.push(curve);
        // A curve whose ends are one corner and that does not go round anything is shorter than that.
        if start == end && count == 1 {
            return Ok(());
        }
        for k in 0..count {
            let (from, to) = (k as f64 / count as f64, (k + 1) as f64 / count as f64);
            let next = if k + 1 == count {
                end
            } else {
                self.corners.push(self.curves[index as usize].at(to));
                self.corners.len() as u32 - 1
            };
            let piece = self.piece(index, [from, to], [start, next]);
            self.pieces.push(piece);
            start = next;
        }
        match self.pieces.len() > MOST_PIECES {
            true => Err(MeshTrouble::new(Trouble::TooMany, self.corners[start as usize])),
            false => Ok(()),
        }
    }

    /// Material lies on both sides of a piece.
    pub fn is_shared(&self, piece: &Piece) -> bool {
        self.sides_of[piece.curve as usize][1] != NOTHING
    }

    /// The piece of a curve between two parameters and corners.
    pub fn piece(&self, curve: u32, [from, to]: [f64; 2], [start, end]: [u32; 2]) -> Piece {
        let mut piece = Piece { curve, from, to, start, end, arch: Arch::default(), beside: 0.0, apart: 0.0 };
        if !matches!(self.curves[curve as usize], Curve::Line(_)) {
            piece.arch = self.arch(&piece);
            self.judge(&mut piece);
        }
        piece
    }

    /// The cubic through the curve at the places of Lobatto's rule: what it lies beside the curve comes out even.
    fn arch(&self, piece: &Piece) -> Arch {
        /// ½(1 ∓ 1/√5)
        const PLACES: [f64; 2] = [0.276_393_202_250_021, 0.723_606_797_749_979];
        let [(_, low), (_, high)] = PLACES.map(|s| self.above(piece, s));
        // s(1 − s) is ⅕ at both.
        let slope = 5.0 * (high - low) / (PLACES[1] - PLACES[0]);
        let start = 5.0 * low - slope * PLACES[0];
        Arch { start, end: start + slope }
    }

    /// How far the curve lies beside the arch.
    fn judge(&self, piece: &mut Piece) {
        (piece.beside, piece.apart) = (0.0, 0.0);
        for (s, weight) in EDGE_PLACES.iter() {
            let beside = self.above(piece, *s).1 - piece.arch.height(*s);
            piece.beside += weight * beside;
            piece.apart += weight * beside.abs();
        }
    }

    /// The piece straightened: what it leaves beside it counts as such.
    pub fn straighten(&self, piece: &mut Piece) {
        piece.arch = Arch::default();
        self.judge(piece);
    }

    /// The parameter of the curve that lies beside the part `s` of the piece's chord, and how far to the left it lies.
    pub fn above(&self, piece: &Piece, s: f64) -> (f64, f64) {
        let curve = &self.curves[piece.curve as usize];
        let (start, end) = (self.corners[piece.start as usize], self.corners[piece.end as usize]);
        let chord = end - start;
        let square = chord.dot(chord);
        let length = square.sqrt();
        if length.is_nan() || length <= 0.0 {
            return (0.5 * (piece.from + piece.to), 0.0);
        }
        let along = |t: f64| (curve.at(t) - start).dot(chord) / square - s;
        let (mut low, mut high) = (piece.from, piece.to);
        let mut t = low + (high - low) * s;
        for _ in 0..60 {
            let off = along(t);
            if off > 0.0 {
                high = t;
            } else {
                low = t;
            }
            if off.abs() < 1e-14 || high - low <= f64::EPSILON * high.abs() {
                break;
            }
            let slope = curve.derivative(t).dot(chord) / square;
            let next = t - off / slope;
            t = if next > low && next < high { next } else { 0.5 * (low + high) };
        }
        (t, chord.cross(curve.at(t) - start) / length)
    }

    /// Cuts piece `index` above the part `s` of its chord; the second half comes last.
    pub fn cut(&mut self, index: usize, s: f64) -> u32 {
        let old = self.pieces[index].clone();
        let (at, _) = self.above(&old, s);
        let corner = self.corners.len() as u32;
        let place = match &self.curves[old.curve as usize] {
            // Exactly between its ends as they lie in the mesh.
            Curve::Line(_) => self.corners[old.start as usize].towards(self.corners[old.end as usize], s),
            curve => curve.at(at),
        };
        self.corners.push(place);
        self.pieces[index] = self.piece(old.curve, [old.from, at], [old.start, corner]);
        let second = self.piece(old.curve, [at, old.to], [corner, old.end]);
        self.pieces.push(second);
        corner
    }

    /// How far a piece is long, straight from end to end.
    pub fn length(&self, piece: &Piece) -> f64 {
        self.corners[piece.start as usize].distance(self.corners[piece.end as usize])
    }

    /// The directions in which a piece leaves its start and reaches its end.
    pub fn directions(&self, piece: &Piece) -> [Point; 2] {
        let curve = &self.curves[piece.curve as usize];
        [curve.tangent(piece.from), curve.tangent(piece.to)]
    }
}

/// Corners by where they are.
#[derive(Debug, Default)]
pub(super) struct Known(BTreeMap<(i64, i64), Vec<u32>>);

impl Known {
    /// The corner at a place, an earlier one where one is within `reach`, which is the same for all.
    pub fn corner(&mut self, corners: &mut Vec<Point>, at: Point, reach: f64) -> u32 {
        let cell = |v: f64| (v / reach).floor() as i64;
        let (x, y) = (cell(at.x), cell(at.y));
        for i in x - 1..=x + 1 {
            for j in y - 1..=y + 1 {
                for corner in self.0.get(&(i, j)).into_iter().flatten() {
                    if corners[*corner as usize].distance(at) <= reach {
                        return *corner;
                    }
                }
            }
        }
        let corner = corners.len() as u32;
        corners.push(at);
        self.0.entry((x, y)).or_default().push(corner);
        corner
    }
}

/// By how much (radians) a curve turns between two parameters, one way or the other.
fn turn(curve: &Curve, from: f64, to: f64) -> f64 {
    /// Places where the direction of an ellipse or a span is looked at.
    const LOOKS: usize = 16;
    match curve {
        Curve::Line(_) => 0.0,
        Curve::Arc(arc) => (arc.sweep * (to - from)).abs(),
        Curve::Ellipse(_) | Curve::Span(_) => {
            let direction = |k: usize| curve.tangent(from + (to - from) * k as f64 / LOOKS as f64);
            (0..LOOKS)
                .map(|k| {
                    let (a, b) = (direction(k), direction(k + 1));
                    a.cross(b).atan2(a.dot(b)).abs()
                })
                .sum()
        }
    }
}
