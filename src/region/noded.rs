//! Rings cut where they meet, as a graph in little memory: an outline that crosses itself some millions of times has twice as
//! many pieces, and each is no more than its place on its curve and its two nodes until its course is asked for.
//!
//! Nodes by distances among points of one cell and its neighbours; own work.

use std::borrow::Cow;

use super::meetings::Meetings;
use crate::geometry::buckets::Buckets;
use crate::geometry::near::near_cells;
use crate::geometry::{Curve, Point};
use crate::outline::{Ring, SPECK, Sets, by_place};

/// A piece of a curve from node to node.
#[derive(Clone, Copy)]
struct Piece {
    /// Its curve, among those of all rings.
    curve: u32,
    /// Its number along the curve.
    number: u32,
    from: u32,
    to: u32,
}

/// A directed walk along a piece.
#[derive(Clone, Copy)]
pub(super) struct Walk(u32);

impl Walk {
    fn new(piece: u32, forward: bool) -> Walk {
        Walk(piece << 1 | u32::from(forward))
    }

    pub fn piece(self) -> usize {
        (self.0 >> 1) as usize
    }

    pub fn is_forward(self) -> bool {
        self.0 & 1 == 1
    }

    fn back(self) -> Walk {
        Walk(self.0 ^ 1)
    }
}

/// The curves cut at the places where they meet, as a graph without repetitions.
pub(super) struct Noded<'a> {
    cuts: Cuts<'a>,
    pieces: Vec<Piece>,
    nodes: usize,
}

/// Where the curves of rings are cut.
pub(super) struct Cuts<'a> {
    rings: &'a [&'a Ring],
    /// For each curve its ring and its number there.
    curves: Vec<(u32, u32)>,
    /// For each ring its first curve, and the number of all.
    first_curves: Vec<u32>,
    /// For each curve its first parameter among all, and the number of all.
    starts: Vec<u32>,
    /// Parameters within (0, 1), rising along each curve.
    parameters: Vec<f64>,
}

impl<'a> Cuts<'a> {
    /// The curves of rings that meet at `meetings`, cut there.
    pub fn of(rings: &'a [&'a Ring], meetings: &Meetings, tolerance: f64) -> Cuts<'a> {
        let mut curves = Vec::new();
        let mut first_curves = vec![0];
        for (ring, r) in rings.iter().zip(0..) {
            curves.extend(ring.curves().iter().zip(0..).map(|(_, c)| (r, c)));
            first_curves.push(curves.len() as u32);
        }
        let mut starts = vec![0_u32; curves.len() + 2];
        for (curve, _) in meetings.cuts() {
            starts[curve as usize + 2] += 1;
        }
        for k in 1..=curves.len() {
            starts[k + 1] += starts[k];
        }
        let mut parameters = vec![0.0; starts[curves.len() + 1] as usize];
        for (curve, parameter) in meetings.cuts() {
            let next = &mut starts[curve as usize + 1];
            parameters[*next as usize] = parameter;
            *next += 1;
        }
        starts.pop();
        let mut cuts = Cuts { rings, curves, first_curves, starts, parameters };
        cuts.settle(tolerance);
        cuts
    }

    /// Sorts the parameters of each curve, and leaves one for each place inside it.
    fn settle(&mut self, tolerance: f64) {
        let mut kept = 0;
        for k in 0..self.curves.len() {
            let (first, last) = (self.starts[k] as usize, self.starts[k + 1] as usize);
            self.starts[k] = kept as u32;
            if first == last {
                continue;
            }
            let (r, c) = self.curves[k];
            let curve = self.rings[r as usize].curves().take(c as usize);
            let found = &mut self.parameters[first..last];
            found.sort_unstable_by(f64::total_cmp);
            let mut before = None;
            for at in first..last {
                let t = self.parameters[at];
                let repeats = |b: &f64| curve.at(t).distance(curve.at(*b)) <= tolerance && t - *b < 0.5;
                if before.as_ref().is_some_and(repeats) {
                    continue;
                }
                before = Some(t);
                let place = curve.at(t);
                let is_inside = t > 0.0
                    && t < 1.0
                    && (place.distance(curve.start()) > tolerance || t > 0.5)
                    && (place.distance(curve.end()) > tolerance || t < 0.5);
                if is_inside {
                    self.parameters[kept] = t;
                    kept += 1;
                }
            }
        }
        self.starts[self.curves.len()] = kept as u32;
        self.parameters.truncate(kept);
    }

    fn parameters_of(&self, curve: usize) -> &[f64] {
        &self.parameters[self.starts[curve] as usize..self.starts[curve + 1] as usize]
    }

    fn curve(&self, curve: usize) -> Cow<'a, Curve> {
        let (ring, number) = self.curves[curve];
        self.rings[ring as usize].curves().take(number as usize)
    }

    /// Number of pieces.
    fn count(&self) -> usize {
        self.curves.len() + self.parameters.len()
    }

    /// The piece of a number along a curve.
    fn piece(&self, curve: usize, number: usize) -> Curve {
        let parameters = self.parameters_of(curve);
        let from = number.checked_sub(1).map_or(0.0, |before| parameters[before]);
        let to = parameters.get(number).copied().unwrap_or(1.0);
        self.curve(curve).between(from, to)
    }

    /// The middles of all pieces of a ring, also of those that repeat another ring's.
    pub fn middles(&self, ring: usize) -> impl Iterator<Item = Point> + '_ {
        (self.first_curves[ring] as usize..self.first_curves[ring + 1] as usize).flat_map(move |curve| {
            (0..=self.parameters_of(curve).len()).map(move |number| self.piece(curve, number).at(0.5))
        })
    }

    /// Where each piece begins; it ends where the next of its ring does.
    fn points(&self) -> Vec<Point> {
        let mut points = Vec::with_capacity(self.count());
        for k in 0..self.curves.len() {
            let curve = self.curve(k);
            points.push(curve.start());
            points.extend(self.parameters_of(k).iter().map(|t| curve.at(*t)));
        }
        points
    }

    /// The pieces with their nodes, ends within `apart` of each other being one, and the number of nodes.
    fn pieces(&self, apart: f64) -> (Vec<Piece>, usize) {
        let points = self.points();
        let mut sets = Sets::new(points.len());
        near_cells(&points, apart, |i, j| {
            if points[i as usize].distance(points[j as usize]) <= apart {
                sets.unite(i, j);
            }
        });
        drop(points);
        let mut node_of = vec![u32::MAX; self.count()];
        let mut nodes = 0;
        let mut node = |point: u32| {
            let slot = &mut node_of[sets.root(point) as usize];
            if *slot == u32::MAX {
                *slot = nodes;
                nodes += 1;
            }
            *slot
        };
        let mut pieces = Vec::with_capacity(self.count());
        let mut first = 0;
        for ring in 0..self.rings.len() {
            let begin = first;
            let curves = self.first_curves[ring]..self.first_curves[ring + 1];
            let end = begin + self.starts[curves.end as usize] - self.starts[curves.start as usize]
                + (curves.end - curves.start);
            for curve in curves {
                let count = self.parameters_of(curve as usize).len() as u32 + 1;
                for number in 0..count {
                    let from = node(first);
                    first += 1;
                    let to = node(if first == end { begin } else { first });
                    pieces.push(Piece { curve, number, from, to });
                }
            }
        }
        (pieces, nodes as usize)
    }
}

impl<'a> Noded<'a> {
    /// The pieces of `cuts`, ends within `node` of each other being one node, without those that keep within `edge` of
    /// another between the same two nodes, and without specks.
    pub fn of(cuts: Cuts<'a>, node: f64, edge: f64) -> Noded<'a> {
        let (pieces, nodes) = cuts.pieces(node);
        let mut noded = Noded { cuts, pieces, nodes };
        noded.drop_repeated(edge);
        noded
    }

    pub fn cuts(&self) -> &Cuts<'a> {
        &self.cuts
    }

    /// Which of repetitions stays does not depend on the order of the rings.
    fn drop_repeated(&mut self, tolerance: f64) {
        let key = |piece: &Piece| (piece.from.min(piece.to), piece.from.max(piece.to));
        let lower = Buckets::new(self.nodes, |enter| {
            self.pieces.iter().zip(0..).for_each(|(piece, k)| enter(key(piece).0 as usize, k));
        });
        let curve = |k: u32| self.curve(k as usize);
        let is_speck = |k: u32| {
            let piece = &self.pieces[k as usize];
            piece.from == piece.to && curve(k).length() <= SPECK * tolerance
        };
        let mut left_out = Vec::new();
        let (mut rest, mut group): (Vec<u32>, Vec<u32>) = (Vec::new(), Vec::new());
        for node in 0..lower.count() {
            rest.clear();
            rest.extend_from_slice(lower.members(node));
            rest.sort_by_key(|k| key(&self.pieces[*k as usize]).1);
            let alike = |a: &u32, b: &u32| key(&self.pieces[*a as usize]) == key(&self.pieces[*b as usize]);
            for pieces in rest.chunk_by(alike) {
                if let [one] = pieces {
                    left_out.extend(is_speck(*one).then_some(*one));
                    continue;
                }
                group.clear();
                group.extend_from_slice(pieces);
                group.sort_by(|a, b| by_place(&curve(*a), &curve(*b)).then(a.cmp(b)));
                let mut kept: Vec<Curve> = Vec::new();
                for (n, k) in group.iter().enumerate() {
                    let own = curve(*k);
                    let repeats = |other: &Curve| {
                        let places = [0.25, 0.5, 0.75].iter();
                        places.map(|t| other.distance(own.at(*t))).fold(0.0, f64::max) <= tolerance
                    };
                    if is_speck(*k) || n > 0 && kept.iter().any(repeats) {
                        left_out.push(*k);
                    } else {
                        kept.push(own);
                    }
                }
            }
        }
        left_out.sort_unstable();
        let mut left_out = left_out.into_iter().peekable();
        let mut number = 0..;
        self.pieces.retain(|_| left_out.next_if_eq(&number.next().unwrap_or_default()).is_none());
    }

    /// The course of a piece.
    pub fn curve(&self, piece: usize) -> Curve {
        let Piece { curve, number, .. } = self.pieces[piece];
        self.cuts.piece(curve as usize, number as usize)
    }

    /// The ring that a piece belongs to.
    pub fn ring(&self, piece: usize) -> usize {
        self.cuts.curves[self.pieces[piece].curve as usize].0 as usize
    }

    fn head(&self, walk: Walk) -> u32 {
        let Piece { from, to, .. } = self.pieces[walk.piece()];
        if walk.is_forward() { to } else { from }
    }

    /// The maximal chains of the pieces, each through nodes where just two of them meet.
    pub fn chains(&self) -> Chains {
        let meeting = Buckets::new(self.nodes, |enter| {
            for (piece, k) in self.pieces.iter().zip(0..) {
                enter(piece.from as usize, k);
                enter(piece.to as usize, k);
            }
        });
        let mut used = vec![false; self.pieces.len()];
        let mut chains = Chains { walks: Vec::with_capacity(self.pieces.len()), ends: Vec::new() };
        for seed in 0..self.pieces.len() as u32 {
            if std::mem::replace(&mut used[seed as usize], true) {
                continue;
            }
            let mut walk_on = |mut walk: Walk, walks: &mut Vec<Walk>| {
                loop {
                    let node = self.head(walk);
                    let [one, two] = *meeting.members(node as usize) else { break };
                    let piece = if one as usize == walk.piece() { two } else { one };
                    if std::mem::replace(&mut used[piece as usize], true) {
                        break;
                    }
                    walk = Walk::new(piece, self.pieces[piece as usize].from == node);
                    walks.push(walk);
                }
            };
            let seed = Walk::new(seed, true);
            // What goes on from the end of the seed is found first, and stands behind what leads to its start.
            let mut onwards = Vec::new();
            walk_on(seed, &mut onwards);
            let first = chains.walks.len();
            walk_on(seed.back(), &mut chains.walks);
            chains.walks[first..].reverse();
            chains.walks[first..].iter_mut().for_each(|walk| *walk = walk.back());
            chains.walks.push(seed);
            chains.walks.extend(onwards);
            chains.ends.push(chains.walks.len() as u32);
        }
        chains
    }
}

/// Chains of pieces, one after the other.
pub(super) struct Chains {
    walks: Vec<Walk>,
    /// One past the last walk of each.
    ends: Vec<u32>,
}

impl Chains {
    pub fn each(&self) -> impl Iterator<Item = &[Walk]> {
        let starts = std::iter::once(0).chain(self.ends.iter().copied());
        starts.zip(&self.ends).map(|(start, end)| &self.walks[start as usize..*end as usize])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// An outline that crosses itself three million times has six million of these.
    #[test]
    fn pieces_are_small() {
        assert_eq!((size_of::<Piece>(), size_of::<Walk>()), (16, 4));
    }
}
