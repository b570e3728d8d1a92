//! Ends that lie on the inside of another piece: the piece is cut there, and the cut is the end's node.

use std::collections::BTreeMap;

use super::graph::{Block, Blocks, Graph, GraphEdge};
use super::repeated::in_place_order;
use super::sets::Sets;
use super::weld::SPECK;
use crate::geometry::near::{Grid, near_pairs, near_pairs_while};
use crate::geometry::{Bounds, Budget, Curve, Line, Point, contacts_within, noding_tolerance};

/// The curves of an outline that closes by itself, and the entity that they belong to.
pub(super) type Owned = (u32, Vec<Curve>);

/// Which ends are looked at: for each edge its start and its end.
pub(super) struct Ends(Vec<[bool; 2]>);

impl Ends {
    /// Ends that no other piece meets.
    pub fn free(graph: &Graph) -> Ends {
        let degrees = graph.degrees();
        let free = |node: u32| degrees[node as usize] == 1;
        Ends(graph.edges.iter().map(|edge| [free(edge.from), free(edge.to)]).collect())
    }

    /// All ends of connected pieces that have a free end or a branch.
    pub fn unfinished(graph: &Graph) -> Ends {
        Ends(graph.unfinished().into_iter().map(|unfinished| [unfinished; 2]).collect())
    }

    /// There are any.
    pub fn any(&self) -> bool {
        self.0.iter().flatten().any(|end| *end)
    }
}

/// Where on a piece an end lies.
#[derive(Clone, Copy)]
enum OnPiece {
    /// Inside it, at this parameter.
    Inside(f64),
    /// At its start or end.
    End(bool),
}

/// Cuts pieces where one of `ends` lies on them, within `tolerance`; outlines that close by themselves are taken from
/// `closed` where an end lies on them.
pub(super) fn cut_at_ends(graph: Graph, closed: &mut Vec<Owned>, ends: &Ends, tolerance: f64) -> Graph {
    let Graph { edges: mut pieces, mut nodes } = graph;
    let loose = pieces.len();
    let mut first_of = Vec::with_capacity(closed.len());
    for (owner, curves) in closed.iter() {
        first_of.push(pieces.len());
        let (first, count) = (nodes as u32, curves.len() as u32);
        pieces.extend(curves.iter().zip(0..).map(|(curve, k)| GraphEdge {
            from: first + k,
            to: first + (k + 1) % count,
            ..GraphEdge::new(curve.clone(), *owner, true)
        }));
        nodes += curves.len();
    }
    let mut contacts = contacts(&pieces[..loose], &pieces, ends, tolerance);
    let mut cuts = Cuts::new(nodes);
    for (one, other) in overshoots(&contacts, &pieces, nodes, tolerance) {
        for (node, target) in [one, other] {
            contacts.remove(&(target, node));
        }
        cuts.sets.unite(one.0, other.0);
    }
    let mut touched = vec![false; closed.len()];
    let ring_of = |target: usize| first_of.partition_point(|first| *first <= target) - 1;
    for (target, _) in contacts.keys().filter(|(target, _)| *target >= loose) {
        touched[ring_of(*target)] = true;
    }
    for ((target, node), (_, place)) in contacts {
        match place {
            OnPiece::Inside(parameter) => cuts.at(target, parameter, node),
            OnPiece::End(true) => cuts.sets.unite(node, pieces[target].from),
            OnPiece::End(false) => cuts.sets.unite(node, pieces[target].to),
        }
    }
    let graph = cuts.apply(pieces, |index| index < loose || touched[ring_of(index)]);
    let mut is_touched = touched.into_iter();
    closed.retain(|_| !is_touched.next().unwrap_or(false));
    graph
}

/// Where blocks branch, edges that cross without a node are cut at the crossing, so that what lies within can be told. The
/// second value is a place where that was given up, because edges run along each other over and over.
pub(super) fn cut_at_crossings(
    graph: Graph,
    blocks: &Blocks,
    tolerance: f64,
) -> (Graph, bool, Option<Point>) {
    /// Pairs of edges that are looked at, and so many for each edge: a second or two. A lattice of 2,000 lines has two
    /// million.
    const PAIRS: usize = 10_000_000;
    const EACH: usize = 100;
    let mut of_branching = vec![false; graph.edges.len()];
    for (block, traced) in blocks {
        if traced.as_ref().is_some_and(Block::branches) {
            block.iter().for_each(|edge| of_branching[*edge as usize] = true);
        }
    }
    if !of_branching.contains(&true) {
        return (graph, false, None);
    }
    let box_of =
        |(edge, wanted): (&GraphEdge, &bool)| if *wanted { edge.curve.bounds() } else { Bounds::EMPTY };
    let boxes: Vec<Bounds> = graph.edges.iter().zip(&of_branching).map(box_of).collect();
    let rounding = noding_tolerance(&boxes.iter().fold(Bounds::EMPTY, |all, b| all.union(*b)));
    let mut budget = Budget::for_curves(boxes.len());
    let mut cuts = Cuts::new(graph.nodes);
    let mut places: Vec<(Point, u32)> = Vec::new();
    let (mut pairs, most) = (0, PAIRS + EACH * boxes.len());
    let whole = near_pairs_while(&boxes, rounding, |i, j| {
        pairs += 1;
        if keep_apart(&graph.edges[i].curve, &graph.edges[j].curve, rounding) {
            return pairs < most;
        }
        let (i, j) = in_place_order(i, j, |k| &graph.edges[k].curve);
        let (a, b) = (&graph.edges[i], &graph.edges[j]);
        for contact in contacts_within(&a.curve, &b.curve, rounding, &mut budget) {
            // What neighbours have in common about their joint is seen to where they are joined; where they part slowly
            // they touch for a while.
            let is_end = |t: f64| t == 0.0 || t == 1.0;
            let inside = !is_end(contact.a) && !is_end(contact.b);
            let about = |node: u32, end: f64| {
                let between = a.curve.at(0.5 * (end + contact.a));
                [b.from, b.to].contains(&node)
                    && (a.curve.at(end).distance(contact.point) <= SPECK * tolerance
                        || inside && b.curve.distance(between) <= TOUCHING * rounding)
            };
            if about(a.from, 0.0) || about(a.to, 1.0) {
                continue;
            }
            let end_of = |edge: &GraphEdge, t: f64| match t {
                0.0 => Some(edge.from),
                1.0 => Some(edge.to),
                _ => None,
            };
            let (at_a, at_b) = (end_of(a, contact.a), end_of(b, contact.b));
            let node = at_a.or(at_b).unwrap_or_else(|| cuts.node());
            match (at_a, at_b) {
                (Some(one), Some(other)) => cuts.sets.unite(one, other),
                (Some(_), None) => cuts.at(j, contact.b, node),
                (None, Some(_)) => cuts.at(i, contact.a, node),
                (None, None) => {
                    cuts.at(i, contact.a, node);
                    cuts.at(j, contact.b, node);
                }
            }
            places.push((contact.point, node));
        }
        pairs < most && places.len() < most && !budget.is_spent()
    });
    if !whole {
        let place = graph.edges.iter().zip(&of_branching).find(|(_, of)| **of).map(|(e, _)| e.curve.start());
        return (graph, false, place);
    }
    if places.is_empty() {
        return (graph, false, None);
    }
    /// Several edges that cross at one place have one node there: each pair finds it within two roundings.
    const ONE_NODE: f64 = 4.0;
    let boxes: Vec<Bounds> = places.iter().map(|(place, _)| Bounds::EMPTY.with(*place)).collect();
    near_pairs(&boxes, ONE_NODE * rounding, |i, j| cuts.sets.unite(places[i].1, places[j].1));
    (cuts.apply(graph.edges, |_| true), true, None)
}

/// Neighbours between whose joint and a contact there is no more than so many roundings part there slowly: both places are
/// known to one.
const TOUCHING: f64 = 2.0;

/// Two straight lines of which one lies on one side of the other: most of the lines of a hatch whose boxes overlap.
fn keep_apart(a: &Curve, b: &Curve, tolerance: f64) -> bool {
    let (Curve::Line(a), Curve::Line(b)) = (a, b) else { return false };
    /// What is further from a line than so many tolerances does not touch it, whatever the rounding.
    const APART: f64 = 2.0;
    let one_side = |a: &Line, b: &Line| {
        let along = a.end - a.start;
        let (first, last) = (along.cross(b.start - a.start), along.cross(b.end - a.start));
        let near = APART * tolerance * along.length();
        first.min(last) > near || first.max(last) < -near
    };
    one_side(a, b) || one_side(b, a)
}

/// Places where pieces are to be cut, and which nodes are one.
struct Cuts {
    sets: Sets,
    nodes: usize,
    /// Piece, parameter and node.
    at: Vec<(usize, f64, u32)>,
}

impl Cuts {
    fn new(nodes: usize) -> Cuts {
        Cuts { sets: Sets::new(nodes), nodes, at: Vec::new() }
    }

    /// A new node.
    fn node(&mut self) -> u32 {
        self.nodes += 1;
        self.sets.grow(self.nodes);
        self.nodes as u32 - 1
    }

    fn at(&mut self, piece: usize, parameter: f64, node: u32) {
        self.at.push((piece, parameter, node));
    }

    /// The pieces cut, without those that are not wanted, as a graph.
    fn apply(mut self, pieces: Vec<GraphEdge>, wanted: impl Fn(usize) -> bool) -> Graph {
        self.at.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)).then(a.2.cmp(&b.2)));
        let ends = pieces.iter().flat_map(|piece| [piece.curve.start(), piece.curve.end()]);
        let rounding = noding_tolerance(&Bounds::around(ends));
        let mut result = Vec::with_capacity(pieces.len() + self.at.len());
        let mut cuts = self.at.iter().peekable();
        for (index, piece) in pieces.into_iter().enumerate() {
            let (mut parameters, mut stops): (Vec<f64>, Vec<u32>) = (Vec::new(), Vec::new());
            while let Some((_, parameter, node)) = cuts.next_if(|(target, _, _)| *target == index) {
                let here = piece.curve.at(*parameter);
                match (parameters.last(), stops.last()) {
                    (Some(last), Some(stop)) if piece.curve.at(*last).distance(here) <= rounding => {
                        self.sets.unite(*stop, *node);
                    }
                    _ => {
                        parameters.push(*parameter);
                        stops.push(*node);
                    }
                }
            }
            if !wanted(index) {
                continue;
            }
            if parameters.is_empty() {
                result.push(piece);
                continue;
            }
            let drawn_length = Some(piece.drawn_length());
            let mut from = piece.from;
            stops.push(piece.to);
            for (curve, to) in piece.curve.cut_at(&parameters).into_iter().zip(stops) {
                result.push(GraphEdge { curve, from, to, drawn_length, ..piece });
                from = to;
            }
        }
        let mut node_of = vec![u32::MAX; self.nodes];
        let mut count = 0;
        for edge in &mut result {
            for node in [&mut edge.from, &mut edge.to] {
                let slot = &mut node_of[self.sets.root(*node) as usize];
                if *slot == u32::MAX {
                    *slot = count;
                    count += 1;
                }
                *node = *slot;
            }
        }
        Graph { edges: result, nodes: count as usize }
    }
}

/// Pairs of pieces that both run past the place where they meet, so far that their ends are further apart than the
/// tolerance: each end, as its node and the piece that it lies on. Each must find the other: a piece so short that its
/// other end is nearer to the place does not run past it.
fn overshoots(
    contacts: &Contacts,
    pieces: &[GraphEdge],
    nodes: usize,
    tolerance: f64,
) -> Vec<((u32, usize), (u32, usize))> {
    const NONE: u32 = u32::MAX;
    const SEVERAL: u32 = u32::MAX - 1;
    // The one piece that ends at a node.
    let mut only = vec![NONE; nodes];
    for (index, piece) in pieces.iter().enumerate() {
        for node in [piece.from, piece.to] {
            let slot = &mut only[node as usize];
            *slot = if *slot == NONE { index as u32 } else { SEVERAL };
        }
    }
    // The end with which a piece runs past a place on it, where nothing else ends there.
    let past = |target: usize, place: &OnPiece| {
        let GraphEdge { curve, from, to, closed, .. } = &pieces[target];
        let OnPiece::Inside(parameter) = place else { return None };
        let here = curve.at(*parameter);
        let (node, distance) = [(*from, curve.start()), (*to, curve.end())]
            .map(|(node, end)| (node, end.distance(here)))
            .into_iter()
            .min_by(|a, b| a.1.total_cmp(&b.1))?;
        let is_past = !closed && distance <= SPECK * tolerance && only[node as usize] == target as u32;
        is_past.then_some(node)
    };
    let mut found = Vec::new();
    for ((target, node), (_, place)) in contacts {
        let piece = only[*node as usize];
        if piece >= SEVERAL {
            continue;
        }
        let Some(other) = past(*target, place).filter(|other| node < other) else { continue };
        let back = contacts.get(&(piece as usize, other));
        if back.and_then(|(_, place)| past(piece as usize, place)) == Some(*node) {
            found.push(((*node, *target), (other, piece as usize)));
        }
    }
    found
}

/// For each piece and each node of an end that lies on it, the nearest place and its distance.
type Contacts = BTreeMap<(usize, u32), (f64, OnPiece)>;

/// For each piece and each node of an end that lies on it, the nearest place and its distance. That of an end within the
/// tolerance of the piece's own is reported where the piece closes by itself; others have found each other before.
fn contacts(loose: &[GraphEdge], pieces: &[GraphEdge], ends: &Ends, tolerance: f64) -> Contacts {
    let boxes: Vec<Bounds> = pieces.iter().map(|p| p.curve.bounds()).collect();
    let grid = Grid::over(&boxes, tolerance);
    let mut found = Contacts::new();
    let mut look = |index: usize, end: Point, node: u32| {
        for target in grid.around(end) {
            let piece = &pieces[target];
            if target == index || !boxes[target].grown(tolerance).contains_point(end) {
                continue;
            }
            let parameter = piece.curve.nearest(end);
            let distance = piece.curve.at(parameter).distance(end);
            if distance > tolerance {
                continue;
            }
            let at_end = [(true, piece.curve.start()), (false, piece.curve.end())]
                .into_iter()
                .find(|(_, p)| p.distance(end) <= tolerance);
            let place = match at_end {
                Some((start, _)) if piece.closed => OnPiece::End(start),
                Some(_) => continue,
                None => OnPiece::Inside(parameter),
            };
            let nearest = found.entry((target, node)).or_insert((f64::INFINITY, place));
            if distance < nearest.0 {
                *nearest = (distance, place);
            }
        }
    };
    for (index, (edge, [start, end])) in loose.iter().zip(&ends.0).enumerate() {
        if *start {
            look(index, edge.curve.start(), edge.from);
        }
        if *end {
            look(index, edge.curve.end(), edge.to);
        }
    }
    found
}
