//! Open chains: what closes no outline, and how near its ends come to each other.

use rstar::RTree;
use rstar::primitives::GeomWithData;

use super::ring::Origin;
use crate::geometry::{Curve, Point, in_order};

/// Pieces joined end to end that close no outline.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct OpenChain {
    /// One end.
    pub start: Point,
    /// The other end.
    pub end: Point,
    /// Length along the pieces, in drawing units.
    pub length: f64,
    /// Number of curves.
    pub pieces: usize,
    /// All pieces lie on one straight line.
    pub straight: bool,
    /// The nearest other open end to `start`, its own other end included, with the distance.
    pub nearest_to_start: Option<(Point, f64)>,
    /// The nearest other open end to `end`.
    pub nearest_to_end: Option<(Point, f64)>,
    /// An outline with gaps: alone, or with other chains that follow it end to end, it would close if gaps that
    /// come to [`NEARLY_CLOSED`] of the length at most were closed.
    pub nearly_closed: bool,
    /// The largest of those gaps; the distance between the chain's own ends where it is not nearly closed.
    pub gap: f64,
    /// Where it was drawn.
    pub origin: Origin,
}

impl OpenChain {
    /// The gaps at its ends: from the start, and from the end, to the nearest other end, with the distance.
    pub(super) fn gaps(&self) -> impl Iterator<Item = (Point, Point, f64)> {
        let start = self.nearest_to_start.map(|(other, gap)| (self.start, other, gap));
        let end = self.nearest_to_end.map(|(other, gap)| (self.end, other, gap));
        start.into_iter().chain(end)
    }
}

/// Gaps up to this share of the length of an outline are taken for a slip of drafting.
pub const NEARLY_CLOSED: f64 = 0.02;

/// A chain from `start` to `end`, not yet compared with the others.
pub(super) fn describe(start: Point, end: Point, curves: &[&Curve], origin: Origin) -> OpenChain {
    /// Pieces that leave the line between the chain's ends by less than this share of its length are straight.
    const STRAIGHT: f64 = 1e-6;
    let length: f64 = curves.iter().map(|c| c.length()).sum();
    let across = (end - start).quarter_turned();
    let straight = curves.iter().all(|c| {
        matches!(c, Curve::Line(_))
            && across.dot(c.start() - start).abs() <= STRAIGHT * length * across.length()
            && across.dot(c.end() - start).abs() <= STRAIGHT * length * across.length()
    });
    OpenChain {
        start,
        end,
        length,
        pieces: curves.len(),
        straight,
        nearest_to_start: None,
        nearest_to_end: None,
        nearly_closed: false,
        gap: start.distance(end),
        origin,
    }
}

/// A nearly closed outline: the chains that it is made of in order, as given to [`compare`], and whether each runs from its
/// start to its end.
pub(super) type Loop = Vec<(usize, bool)>;

/// Fills in what each chain has to do with the others, and sorts them; which of those given each is, and what the nearly
/// closed outlines are made of.
pub(super) fn compare(chains: Vec<OpenChain>) -> (Vec<OpenChain>, Vec<usize>, Vec<Loop>) {
    let order = in_order(chains.len(), &|i, j| {
        let (a, b) = (&chains[i], &chains[j]);
        let corner = |c: &OpenChain| Point::new(c.start.x.min(c.end.x), c.start.y.min(c.end.y));
        corner(a).by_place(&corner(b)).then(a.length.total_cmp(&b.length))
    });
    let mut chains: Vec<OpenChain> = order.iter().map(|k| chains[*k].clone()).collect();
    // End 2k is the start of chain k, end 2k + 1 its end.
    let ends: Vec<Point> = chains.iter().flat_map(|c| [c.start, c.end]).collect();
    let nearest = nearest_others(&ends);
    for (k, chain) in chains.iter_mut().enumerate() {
        let messages = |found: Option<(usize, f64)>| found.map(|(other, distance)| (ends[other], distance));
        chain.nearest_to_start = messages(nearest[2 * k]);
        chain.nearest_to_end = messages(nearest[2 * k + 1]);
    }
    let mut loops = mark_nearly_closed(&mut chains, &nearest);
    loops.iter_mut().flatten().for_each(|(chain, _)| *chain = order[*chain]);
    (chains, order, loops)
}

/// Pairs of points that are nearest to each other, each once, with their distances.
pub(super) fn nearest_pairs(points: &[Point]) -> Vec<(usize, usize, f64)> {
    let nearest = nearest_others(points);
    let partner =
        |k: usize| nearest[k].filter(|(other, _)| nearest[*other].is_some_and(|(back, _)| back == k));
    (0..points.len())
        .filter_map(|k| partner(k).filter(|(other, _)| k < *other).map(|(other, gap)| (k, other, gap)))
        .collect()
}

/// Links ends that are nearest to each other, and marks the chains that closed loops are made of that way.
fn mark_nearly_closed(chains: &mut [OpenChain], nearest: &[Option<(usize, f64)>]) -> Vec<Loop> {
    let mut loops = Vec::new();
    let partner: Vec<Option<(usize, f64)>> = (0..nearest.len())
        .map(|end| nearest[end].filter(|(other, _)| nearest[*other].is_some_and(|(back, _)| back == end)))
        .collect();
    let mut seen = vec![false; chains.len()];
    for first in 0..chains.len() {
        if seen[first] {
            continue;
        }
        let (mut members, mut gaps, mut largest, mut length, mut pieces) = (Vec::new(), 0.0, 0.0_f64, 0.0, 0);
        let mut leave = 2 * first + 1;
        let closed = loop {
            let chain = leave / 2;
            if std::mem::replace(&mut seen[chain], true) {
                break chain == first;
            }
            members.push((chain, leave % 2 == 1));
            length += chains[chain].length;
            pieces += chains[chain].pieces;
            let Some((arrive, gap)) = partner[leave] else { break false };
            gaps += gap;
            largest = largest.max(gap);
            leave = arrive ^ 1;
        };
        if !closed {
            // Other walks may still begin further along the same row of chains.
            members.iter().skip(1).for_each(|(m, _)| seen[*m] = false);
            continue;
        }
        let outline_like =
            pieces >= 2 && members.iter().any(|(m, _)| !chains[*m].straight || members.len() > 2);
        if outline_like && gaps <= NEARLY_CLOSED * length {
            for (member, _) in &members {
                chains[*member].nearly_closed = true;
                chains[*member].gap = largest;
            }
            loops.push(members);
        }
    }
    loops
}

/// For each point the nearest other one; of several as near, the first.
fn nearest_others(points: &[Point]) -> Vec<Option<(usize, f64)>> {
    // Points at one place are nearest to each other, and however many they are, the place is looked at once.
    let order = in_order(points.len(), &|i, j| points[i].by_place(&points[j]));
    let heaps: Vec<&[usize]> = order.chunk_by(|i, j| points[*i] == points[*j]).collect();
    let place = |heap: usize| points[heaps[heap][0]];
    let indexed = (0..heaps.len()).map(|heap| GeomWithData::new([place(heap).x, place(heap).y], heap));
    let tree: RTree<GeomWithData<[f64; 2], usize>> = RTree::bulk_load(indexed.collect());
    let nearest_to = |heap: usize| {
        let here = place(heap);
        let mut best: Option<(usize, f64)> = None;
        for other in tree.nearest_neighbor_iter(&[here.x, here.y]).map(|found| found.data) {
            if other == heap {
                continue;
            }
            let (first, distance) = (heaps[other][0], here.distance(place(other)));
            match best {
                Some((_, least)) if distance > least => break,
                Some((known, _)) if known < first => {}
                _ => best = Some((first, distance)),
            }
        }
        best
    };
    let mut nearest = vec![None; points.len()];
    for (heap, members) in heaps.iter().enumerate() {
        match members {
            [one] => nearest[*one] = nearest_to(heap),
            [first, second, ..] => {
                members
                    .iter()
                    .for_each(|k| nearest[*k] = Some((if k == first { *second } else { *first }, 0.0)));
            }
            [] => {}
        }
    }
    nearest
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_nearest_is_that_of_a_full_comparison() {
        let mut state = 11_u64;
        let mut random = || {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (state >> 33) as f64 % 40.0
        };
        // A coarse lattice: many as near as the nearest, and many at one place.
        let points: Vec<Point> = (0..300)
            .map(|k| Point::new(random() * if k < 150 { 1.0 } else { 1e6 }, random() - 7.5))
            .collect();
        let found = nearest_others(&points);
        for (k, point) in points.iter().enumerate() {
            let others = (0..points.len()).filter(|other| *other != k);
            let nearest = others.map(|other| (other, point.distance(points[other])));
            let expected = nearest.min_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)));
            assert_eq!(found[k], expected);
        }
        assert_eq!(nearest_others(&points[..1]), [None]);
    }

    /// One compared with all of its column, 200,000 ends would take the better part of an hour.
    #[test]
    fn two_distant_columns_of_ends() {
        let points: Vec<Point> =
            (0..200_000).map(|k| Point::new(f64::from(k % 2) * 1e6, f64::from(k / 2) * 3.0)).collect();
        let found = nearest_others(&points);
        assert!(found.iter().all(|nearest| nearest.is_some_and(|(_, distance)| distance == 3.0)));
        let heap = nearest_others(&vec![Point::new(5.0, 7.0); 200_000]);
        assert!(heap[0] == Some((1, 0.0)) && heap[1..].iter().all(|nearest| *nearest == Some((0, 0.0))));
    }
}
