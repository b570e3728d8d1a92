//! Open chains: what closes no outline, and how near its ends come to each other.

use super::ring::Origin;
use crate::geometry::{Curve, Point};

/// Pieces joined end to end that close no outline.
#[derive(Clone, Debug)]
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

/// Fills in what each chain has to do with the others, and sorts them; what the nearly closed outlines are made of.
pub(super) fn compare(chains: Vec<OpenChain>) -> (Vec<OpenChain>, Vec<Loop>) {
    let mut order: Vec<usize> = (0..chains.len()).collect();
    order.sort_by(|i, j| {
        let (a, b) = (&chains[*i], &chains[*j]);
        let key = |c: &OpenChain| (c.start.x.min(c.end.x), c.start.y.min(c.end.y));
        let (p, q) = (key(a), key(b));
        p.0.total_cmp(&q.0).then(p.1.total_cmp(&q.1)).then(a.length.total_cmp(&b.length)).then(i.cmp(j))
    });
    let mut chains: Vec<OpenChain> = order.iter().map(|k| chains[*k].clone()).collect();
    // End 2k is the start of chain k, end 2k + 1 its end.
    let ends: Vec<Point> = chains.iter().flat_map(|c| [c.start, c.end]).collect();
    let nearest = nearest_others(&ends);
    for (k, chain) in chains.iter_mut().enumerate() {
        let told = |found: Option<(usize, f64)>| found.map(|(other, distance)| (ends[other], distance));
        chain.nearest_to_start = told(nearest[2 * k]);
        chain.nearest_to_end = told(nearest[2 * k + 1]);
    }
    let mut loops = mark_nearly_closed(&mut chains, &nearest);
    loops.iter_mut().flatten().for_each(|(chain, _)| *chain = order[*chain]);
    (chains, loops)
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

/// For each point the nearest other one. Points are swept along the longer side of their box, so rows and columns
/// of a drawing don't have to be compared one with all.
fn nearest_others(points: &[Point]) -> Vec<Option<(usize, f64)>> {
    let bounds = crate::geometry::Bounds::around(points.iter().copied());
    let along = |p: Point| if bounds.width() >= bounds.height() { (p.x, p.y) } else { (p.y, p.x) };
    let mut order: Vec<usize> = (0..points.len()).collect();
    order.sort_by(|i, j| {
        let (a, b) = (along(points[*i]), along(points[*j]));
        a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)).then(i.cmp(j))
    });
    let mut nearest = vec![None; points.len()];
    for (place, &index) in order.iter().enumerate() {
        let here = points[index];
        let mut best: Option<(usize, f64)> = None;
        let mut scan = |others: &mut dyn Iterator<Item = &usize>| {
            for &other in others {
                let ahead = (along(points[other]).0 - along(here).0).abs();
                if best.is_some_and(|(_, distance)| ahead > distance) {
                    break;
                }
                let distance = here.distance(points[other]);
                if best.is_none_or(|(known, least)| distance < least || (distance == least && other < known))
                {
                    best = Some((other, distance));
                }
            }
        };
        scan(&mut order[place + 1..].iter());
        scan(&mut order[..place].iter().rev());
        nearest[index] = best;
    }
    nearest
}
