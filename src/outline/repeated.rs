//! Pieces that are drawn more than once.

use std::cmp::Ordering;
use std::collections::BTreeSet;

use super::graph::{Graph, GraphEdge};
use super::sets::Sets;
use super::weld::SPECK;
use crate::geometry::near::near_pairs;
use crate::geometry::{Bounds, Curve, Point, in_order};

impl Graph {
    /// Drops all but one of the pieces that run between the same nodes through the same places, and the specks whose
    /// two ends are one node. Which of them stays does not depend on their order. Two pieces that nothing else meets are
    /// no repetitions where they are further apart than the share `alongside` of their length. Returns how many were.
    pub fn drop_repeated(&mut self, tolerance: f64, alongside: f64) -> usize {
        let key = |e: &GraphEdge| (e.from.min(e.to), e.from.max(e.to));
        let between = |a: &GraphEdge, b: &GraphEdge| key(a).cmp(&key(b));
        let order = in_order(self.edges.len(), &|i, j| {
            let (a, b) = (&self.edges[i], &self.edges[j]);
            let length = || a.drawn_length.unwrap_or(0.0).total_cmp(&b.drawn_length.unwrap_or(0.0));
            between(a, b).then_with(|| by_place(&a.curve, &b.curve)).then_with(length)
        });
        let degrees = self.degrees();
        let mut keep = vec![true; self.edges.len()];
        let (mut repeated, mut first) = (0, 0);
        for k in 0..order.len() {
            let edge = &self.edges[order[k]];
            if between(edge, &self.edges[order[first]]).is_ne() {
                first = k;
            }
            if edge.from == edge.to && edge.curve.length() <= SPECK * tolerance {
                keep[order[k]] = false;
                continue;
            }
            if first == k {
                continue;
            }
            let alone = degrees[edge.from as usize] == 2 && degrees[edge.to as usize] == 2;
            let near = if alone { tolerance.min(alongside * edge.curve.length()) } else { tolerance };
            let apart = |other: &GraphEdge| {
                let places = [0.25, 0.5, 0.75].iter();
                places.map(|t| other.curve.distance(edge.curve.at(*t))).fold(0.0, f64::max)
            };
            let known = (first..k).filter(|j| keep[order[*j]]).find_map(|j| {
                let apart = apart(&self.edges[order[j]]);
                (apart <= near).then_some((order[j], apart))
            });
            if let Some((kept, apart)) = known {
                keep[order[k]] = false;
                repeated += 1;
                self.edges[kept].spread = self.edges[kept].spread.max(apart);
            }
        }
        let mut flags = keep.iter();
        self.edges.retain(|_| *flags.next().unwrap_or(&true));
        repeated
    }

    /// The same pieces, but where two of `pieces` run from end to end within the tolerance of each other their ends are one
    /// node, so that the one repeats the other; whether there are such. Where something is drawn from one to the other end
    /// they are two sides of a slot.
    pub fn with_retraced_joined(self, pieces: &[u32], tolerance: f64) -> (Graph, bool) {
        let short = SPECK * tolerance;
        let key = |a: u32, b: u32| (a.min(b), a.max(b));
        let bridged: BTreeSet<(u32, u32)> =
            self.edges.iter().filter(|e| e.curve.length() <= short).map(|e| key(e.from, e.to)).collect();
        let mut wanted: Vec<&GraphEdge> = pieces.iter().map(|index| &self.edges[*index as usize]).collect();
        wanted.retain(|edge| edge.curve.length() > short);
        let boxes: Vec<Bounds> = wanted.iter().map(|edge| edge.curve.bounds()).collect();
        let mut sets = Sets::new(self.nodes);
        let mut found = false;
        near_pairs(&boxes, tolerance, |i, j| {
            let (i, j) = in_place_order(i, j, |k| &wanted[k].curve);
            let (a, b) = (wanted[i], wanted[j]);
            let near = |p: Point, q: Point| p.distance(q) <= tolerance;
            let ends = if near(a.curve.start(), b.curve.start()) && near(a.curve.end(), b.curve.end()) {
                [(a.from, b.from), (a.to, b.to)]
            } else if near(a.curve.start(), b.curve.end()) && near(a.curve.end(), b.curve.start()) {
                [(a.from, b.to), (a.to, b.from)]
            } else {
                return;
            };
            let is_slot =
                ends.iter().any(|(one, other)| one != other && bridged.contains(&key(*one, *other)));
            let runs_along =
                || [0.25, 0.5, 0.75].iter().all(|t| b.curve.distance(a.curve.at(*t)) <= tolerance);
            if ends.iter().all(|(one, other)| one == other) || is_slot || !runs_along() {
                return;
            }
            ends.iter().for_each(|(one, other)| sets.unite(*one, *other));
            found = true;
        });
        let edges = self.edges.into_iter();
        let edges = edges
            .map(|edge| GraphEdge { from: sets.root(edge.from), to: sets.root(edge.to), ..edge })
            .collect();
        (Graph { edges, nodes: self.nodes }, found)
    }
}

/// Two curves in an order that tells nothing of that of the drawing: not all that is asked of two of them is the same the
/// other way round.
pub(super) fn in_place_order<'a>(i: usize, j: usize, curve: impl Fn(usize) -> &'a Curve) -> (usize, usize) {
    if by_place(curve(i), curve(j)).is_gt() { (j, i) } else { (i, j) }
}

/// By where curves run, in whichever direction.
pub(crate) fn by_place(a: &Curve, b: &Curve) -> Ordering {
    let ends = |curve: &Curve| {
        let (start, end) = (curve.start(), curve.end());
        if start.by_place(&end).is_gt() { (end, start) } else { (start, end) }
    };
    let ((a0, a1), (b0, b1)) = (ends(a), ends(b));
    a0.by_place(&b0).then(a1.by_place(&b1)).then_with(|| a.at(0.5).by_place(&b.at(0.5)))
}
