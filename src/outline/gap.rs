//! Outlines that would close if gaps were closed, told from the graph of all pieces.

use std::collections::BTreeSet;

use super::graph::{Graph, GraphEdge, Step};
use super::open;
use super::sets::Sets;
use crate::geometry::{Curve, Point};

/// An outline that would close if gaps were closed.
pub(super) struct NearlyClosed {
    /// Its edges in order; between some of them are the gaps.
    pub walk: Vec<Step>,
    /// Those of them that close nothing by themselves.
    pub open: BTreeSet<u32>,
    /// The largest gap.
    pub gap: f64,
}

/// Outlines that would close if free ends nearest to each other were joined, also where other edges meet them: where a piece
/// runs past its corner, or another outline lies beside them.
pub(super) fn nearly_closed(graph: &Graph, left_over: &[u32]) -> Vec<NearlyClosed> {
    let degrees = graph.degrees();
    let ends = |edge: &GraphEdge| [(edge.from, edge.curve.start()), (edge.to, edge.curve.end())];
    let free: Vec<(u32, Point)> = left_over
        .iter()
        .flat_map(|edge| ends(&graph.edges[*edge as usize]))
        .filter(|(node, _)| degrees[*node as usize] == 1)
        .collect();
    let places: Vec<Point> = free.iter().map(|(_, place)| *place).collect();
    let pairs = open::nearest_pairs(&places);
    if pairs.is_empty() {
        return Vec::new();
    }
    // What hangs together with a gap; all else is as it was.
    let mut sets = Sets::new(graph.nodes);
    graph.edges.iter().for_each(|edge| sets.unite(edge.from, edge.to));
    let beside_gaps: BTreeSet<u32> = pairs
        .iter()
        .flat_map(|(one, other, _)| [free[*one].0, free[*other].0])
        .map(|node| sets.root(node))
        .collect();
    let of: Vec<u32> = (0..graph.edges.len() as u32)
        .filter(|edge| beside_gaps.contains(&sets.root(graph.edges[*edge as usize].from)))
        .collect();
    let mut edges: Vec<GraphEdge> = of.iter().map(|edge| graph.edges[*edge as usize].clone()).collect();
    edges.extend(pairs.iter().map(|&(one, other, _)| {
        let line = Curve::line(places[one], places[other]);
        GraphEdge { from: free[one].0, to: free[other].0, ..GraphEdge::new(line, 0, false) }
    }));
    let closed = Graph { edges, nodes: graph.nodes };
    let is_open: BTreeSet<u32> = left_over.iter().copied().collect();
    let is_link = |edge: u32| edge as usize >= of.len();
    let length = |edge: u32| graph.edges[edge as usize].curve.length();
    let nearly = |block: Vec<u32>| {
        if block.len() < 2 || !block.iter().any(|edge| is_link(*edge)) {
            return None;
        }
        let (links, walk): (Vec<Step>, Vec<Step>) =
            closed.outline(&block).outside.into_iter().partition(|step| is_link(step.edge));
        let walk: Vec<Step> =
            walk.into_iter().map(|step| Step { edge: of[step.edge as usize], ..step }).collect();
        let open: BTreeSet<u32> =
            walk.iter().map(|step| step.edge).filter(|edge| is_open.contains(edge)).collect();
        let gaps = links.iter().map(|link| pairs[link.edge as usize - of.len()].2);
        let (all, gap) = gaps.fold((0.0, 0.0_f64), |(all, largest), gap| (all + gap, largest.max(gap)));
        let drawn: f64 = open.iter().map(|edge| length(*edge)).sum();
        // Two straight pieces go round nothing.
        let is_line = |step: &Step| matches!(graph.edges[step.edge as usize].curve, Curve::Line(_));
        let is_thin = walk.len() < 3 && walk.iter().all(is_line);
        (!links.is_empty() && all <= open::NEARLY_CLOSED * drawn && !is_thin).then_some(NearlyClosed {
            walk,
            open,
            gap,
        })
    };
    closed.blocks().into_iter().filter_map(nearly).collect()
}
