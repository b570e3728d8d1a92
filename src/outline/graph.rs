//! Pieces that meet in nodes, as a plane graph: which of them close rings, and which close nothing.
//!
//! Blocks by depth-first search with low points (Hopcroft and Tarjan 1973), faces by turning at each node to the next edge of
//! its rotation, plane or not by Euler's formula.

use super::joint::Piece;
use super::rotation::Rotation;
use super::sets::Sets;
use crate::geometry::buckets::Buckets;
use crate::geometry::near::near_pairs;
use crate::geometry::{Bounds, Curve, Point};

/// A piece of the drawing from node to node.
#[derive(Clone, Debug)]
pub(crate) struct GraphEdge {
    pub curve: Curve,
    pub from: u32,
    pub to: u32,
    /// The entity or ring that the piece belongs to, as an index.
    pub owner: u32,
    /// Part of an outline that closes by itself: it takes part only where a loose end lies on it.
    pub closed: bool,
    /// Length of the curve as it was drawn, where this is a part of it.
    pub drawn_length: Option<f64>,
    /// How far repetitions of the piece that were left out lie from it.
    pub spread: f64,
}

impl GraphEdge {
    /// A piece whose nodes are not known yet.
    pub fn new(curve: Curve, owner: u32, closed: bool) -> GraphEdge {
        GraphEdge { curve, from: 0, to: 0, owner, closed, drawn_length: None, spread: 0.0 }
    }

    /// Length of the curve as it was drawn.
    pub fn drawn_length(&self) -> f64 {
        self.drawn_length.unwrap_or_else(|| self.curve.length())
    }
}

/// A directed walk along an edge.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Step {
    pub edge: u32,
    pub forward: bool,
}

/// What a block of edges (any two of them lie on a common ring) comes to.
pub(crate) struct Block {
    /// The walk around the outside of the block.
    pub outside: Vec<Step>,
    /// Areas of the faces inside, when the block branches: one for each.
    pub faces: Vec<Face>,
    /// The faces are as many as those of a plane graph (Euler), and the outside goes round all of it. Otherwise ends were
    /// joined in another order than the pieces leave them, and the outside can't be told.
    pub is_plane: bool,
}

/// Blocks as lists of edges, each with what it comes to: `None` for an edge that lies on no ring.
pub(crate) type Blocks = Vec<(Vec<u32>, Option<Block>)>;

impl Block {
    /// It is more than one ring.
    pub fn branches(&self) -> bool {
        !self.faces.is_empty() || !self.is_plane
    }
}

pub(crate) struct Face {
    pub area: f64,
    /// The walk around it.
    pub walk: Vec<Step>,
    /// No edge of the face lies on the outside of the block.
    pub enclosed: bool,
}

pub(crate) struct Graph {
    pub edges: Vec<GraphEdge>,
    pub nodes: usize,
}

impl Graph {
    /// The graph of the pieces, whose ends are one node where distances within `tolerance` chain them.
    pub fn weld(mut edges: Vec<GraphEdge>, tolerance: f64) -> Graph {
        let (places, place_of) = places(&edges);
        let boxes: Vec<Bounds> = places.iter().map(|place| Bounds::EMPTY.with(*place)).collect();
        let mut sets = Sets::new(places.len());
        near_pairs(&boxes, tolerance, |i, j| {
            if places[i].distance(places[j]) <= tolerance {
                sets.unite(i as u32, j as u32);
            }
        });
        let mut node_of_root = vec![u32::MAX; places.len()];
        let mut nodes = 0;
        let mut node = |place: u32| {
            let slot = &mut node_of_root[sets.root(place) as usize];
            if *slot == u32::MAX {
                *slot = nodes;
                nodes += 1;
            }
            *slot
        };
        for (index, edge) in edges.iter_mut().enumerate() {
            edge.from = node(place_of[2 * index]);
            edge.to = node(place_of[2 * index + 1]);
        }
        Graph { edges, nodes: nodes as usize }
    }

    /// For each edge, whether its connected piece has a free end or a branch.
    pub fn unfinished(&self) -> Vec<bool> {
        let degrees = self.degrees();
        let mut sets = Sets::new(degrees.len());
        for edge in &self.edges {
            sets.unite(edge.from, edge.to);
        }
        let mut unfinished = vec![false; degrees.len()];
        for (node, degree) in degrees.iter().enumerate() {
            if *degree != 2 && *degree != 0 {
                unfinished[sets.root(node as u32) as usize] = true;
            }
        }
        self.edges.iter().map(|e| unfinished[sets.root(e.from) as usize]).collect()
    }

    pub fn degrees(&self) -> Vec<u32> {
        let mut degrees = vec![0_u32; self.nodes];
        for edge in &self.edges {
            degrees[edge.from as usize] += 1;
            degrees[edge.to as usize] += 1;
        }
        degrees
    }

    /// For each node those of `edges` that meet there, in their order (a loop twice).
    fn incidence(&self, edges: impl Iterator<Item = u32> + Clone) -> Buckets {
        Buckets::new(self.nodes, |enter| {
            for index in edges.clone() {
                let edge = &self.edges[index as usize];
                enter(edge.from as usize, index);
                enter(edge.to as usize, index);
            }
        })
    }

    /// The blocks of the graph as lists of edges; a block of one edge that is no loop closes nothing. By a depth-first
    /// search with low points (Hopcroft and Tarjan 1973), on a stack of its own so that long chains can't overflow.
    pub fn blocks(&self) -> Vec<Vec<u32>> {
        const UNSEEN: u32 = u32::MAX;
        let meeting = self.incidence(0..self.edges.len() as u32);
        let mut found_at = vec![UNSEEN; self.nodes];
        let mut low = vec![0_u32; self.nodes];
        // How many of the edges at each node were gone along.
        let mut gone = vec![0_usize; self.nodes];
        let mut edge_seen = vec![false; self.edges.len()];
        let (mut blocks, mut edge_stack, mut time) = (Vec::new(), Vec::<u32>::new(), 0_u32);
        // (node, edge that led here, height of the edge stack before that edge)
        let mut path: Vec<(u32, usize)> = Vec::new();
        for root in 0..self.nodes as u32 {
            if found_at[root as usize] != UNSEEN || meeting.members(root as usize).is_empty() {
                continue;
            }
            found_at[root as usize] = time;
            low[root as usize] = time;
            time += 1;
            path.push((root, 0));
            while let Some(&(node, height)) = path.last() {
                let at = node as usize;
                if let Some(&edge) = meeting.members(at).get(gone[at]) {
                    gone[at] += 1;
                    if std::mem::replace(&mut edge_seen[edge as usize], true) {
                        continue;
                    }
                    let GraphEdge { from, to, .. } = self.edges[edge as usize];
                    if from == to {
                        blocks.push(vec![edge]);
                        continue;
                    }
                    let other = if from == node { to } else { from };
                    if found_at[other as usize] == UNSEEN {
                        found_at[other as usize] = time;
                        low[other as usize] = time;
                        time += 1;
                        path.push((other, edge_stack.len()));
                        edge_stack.push(edge);
                    } else {
                        edge_stack.push(edge);
                        low[at] = low[at].min(found_at[other as usize]);
                    }
                    continue;
                }
                path.pop();
                if let Some(&(parent, _)) = path.last() {
                    let above = parent as usize;
                    low[above] = low[above].min(low[at]);
                    if low[at] >= found_at[above] {
                        let mut block = edge_stack.split_off(height);
                        block.sort_unstable();
                        blocks.push(block);
                    }
                }
            }
        }
        blocks
    }

    pub fn tail(&self, step: Step) -> u32 {
        let edge = &self.edges[step.edge as usize];
        if step.forward { edge.from } else { edge.to }
    }

    pub fn head(&self, step: Step) -> u32 {
        self.tail(Step { forward: !step.forward, ..step })
    }

    /// The curve of a step in the direction of travel.
    pub fn curve(&self, step: Step) -> Curve {
        let curve = &self.edges[step.edge as usize].curve;
        if step.forward { curve.clone() } else { curve.reversed() }
    }

    /// The curve of a step with what is known of how it was drawn.
    pub fn piece(&self, step: Step) -> Piece {
        let GraphEdge { drawn_length, spread, .. } = self.edges[step.edge as usize];
        Piece { drawn_length, spread, ..Piece::from(self.curve(step)) }
    }

    /// The same pieces, but the two ends of each of `pieces` that is no longer than `short` are one node; those pieces are
    /// left out.
    pub fn contracted(self, pieces: &[u32], short: f64) -> Graph {
        let mut sets = Sets::new(self.nodes);
        let mut is_left_out = vec![false; self.edges.len()];
        for &index in pieces {
            let edge = &self.edges[index as usize];
            if edge.curve.length() <= short {
                sets.unite(edge.from, edge.to);
                is_left_out[index as usize] = true;
            }
        }
        let kept = self.edges.into_iter().zip(is_left_out).filter(|(_, left_out)| !left_out);
        let edges = kept
            .map(|(edge, _)| GraphEdge { from: sets.root(edge.from), to: sets.root(edge.to), ..edge })
            .collect();
        Graph { edges, nodes: self.nodes }
    }

    /// The blocks with what they come to: `None` for an edge that lies on no ring.
    pub fn traced(&self) -> Blocks {
        let trace = |block: Vec<u32>| {
            let edge = &self.edges[block[0] as usize];
            let closes = block.len() > 1 || edge.from == edge.to;
            let traced = closes.then(|| self.outline(&block));
            (block, traced)
        };
        self.blocks().into_iter().map(trace).collect()
    }

    /// The walk around the outside of a block that closes, and the faces inside it when it branches.
    pub fn outline(&self, block: &[u32]) -> Block {
        self.walked(Rotation::of(self, block))
    }

    /// The same, by where edges are so far from their nodes.
    pub fn outline_from_afar(&self, block: &[u32], far: f64) -> Block {
        self.walked(Rotation::seen_from_nodes(self, block, far))
    }

    /// What a block comes to whose edges leave each node in this order.
    fn walked(&self, rotation: Rotation) -> Block {
        /// How far pieces may run past the outside of their block, as a share of its size.
        const PAST: f64 = 0.02;
        let steps = &rotation.steps;
        let mut face_of = vec![usize::MAX; steps.len()];
        let mut walks: Vec<(Vec<Step>, f64)> = Vec::new();
        for first in 0..steps.len() {
            if face_of[first] != usize::MAX {
                continue;
            }
            let (mut walk, mut index) = (Vec::new(), first);
            while face_of[index] == usize::MAX {
                face_of[index] = walks.len();
                walk.push(steps[index]);
                index = rotation.next(index);
            }
            let area = self.walked_area(&walk);
            walks.push((walk, area));
        }
        let outer = (0..walks.len()).min_by(|i, j| walks[*i].1.total_cmp(&walks[*j].1)).unwrap_or(0);
        let around = |steps: &[Step]| {
            let boxes = steps.iter().map(|step| self.edges[step.edge as usize].curve.bounds());
            boxes.fold(Bounds::EMPTY, |all, b| all.union(b))
        };
        // Pieces that end on the outside may run past it a little.
        let goes_round = || {
            let all = around(steps);
            around(&walks[outer].0).grown(PAST * all.size()).contains(&all)
        };
        let is_plane =
            rotation.nodes() + walks.len() == steps.len() / 2 + 2 && (walks.len() == 2 || goes_round());
        let branches = walks.len() > 2;
        let faces = (0..walks.len())
            .filter(|face| branches && *face != outer)
            .map(|face| Face {
                area: walks[face].1,
                walk: std::mem::take(&mut walks[face].0),
                enclosed: (0..steps.len()).all(|s| face_of[s] != face || face_of[s ^ 1] != outer),
            })
            .collect();
        let outside = walks
            .swap_remove(outer)
            .0
            .into_iter()
            .rev()
            .map(|step| Step { forward: !step.forward, ..step })
            .collect();
        Block { outside, faces, is_plane }
    }

    /// The area that a closed walk goes round, anticlockwise positive; gaps at nodes are closed by straight links.
    pub fn walked_area(&self, walk: &[Step]) -> f64 {
        let Some(first) = walk.first() else { return 0.0 };
        let origin = self.curve(*first).start();
        let mut area = 0.0;
        let mut at = self.curve(walk[walk.len() - 1]).end();
        for step in walk {
            let curve = self.curve(*step);
            area += Curve::line(at, curve.start()).swept_area(origin) + curve.swept_area(origin);
            at = curve.end();
        }
        area
    }

    /// The maximal chains of the edges left over, each through nodes where just two of them meet.
    pub fn chains(&self, left_over: &[u32]) -> Vec<Vec<Step>> {
        let meeting = self.incidence(left_over.iter().copied());
        let mut used = vec![false; self.edges.len()];
        let mut chains = Vec::new();
        for &seed in left_over {
            if used[seed as usize] {
                continue;
            }
            used[seed as usize] = true;
            let mut walk = |mut step: Step| {
                let mut steps = Vec::new();
                loop {
                    let node = self.head(step);
                    let [one, two] = *meeting.members(node as usize) else { break };
                    let edge = if one == step.edge { two } else { one };
                    if std::mem::replace(&mut used[edge as usize], true) {
                        break;
                    }
                    step = Step { edge, forward: self.edges[edge as usize].from == node };
                    steps.push(step);
                }
                steps
            };
            let seed = Step { edge: seed, forward: true };
            let onwards = walk(seed);
            let backwards = walk(Step { forward: false, ..seed });
            let mut chain: Vec<Step> =
                backwards.into_iter().rev().map(|s| Step { forward: !s.forward, ..s }).collect();
            chain.push(seed);
            chain.extend(onwards);
            chains.push(chain);
        }
        chains
    }

    /// Where a walk begins and ends.
    pub fn ends(&self, walk: &[Step]) -> (Point, Point) {
        match (walk.first(), walk.last()) {
            (Some(first), Some(last)) => (self.curve(*first).start(), self.curve(*last).end()),
            _ => (Point::ORIGIN, Point::ORIGIN),
        }
    }
}

/// The distinct places of the ends, sorted, and for each end (two for each edge) its place.
pub(super) fn places(edges: &[GraphEdge]) -> (Vec<Point>, Vec<u32>) {
    let mut ends: Vec<(Point, u32)> = Vec::with_capacity(2 * edges.len());
    for (index, edge) in edges.iter().enumerate() {
        ends.push((edge.curve.start(), 2 * index as u32));
        ends.push((edge.curve.end(), 2 * index as u32 + 1));
    }
    ends.sort_by(|a, b| a.0.by_place(&b.0).then(a.1.cmp(&b.1)));
    let mut places: Vec<Point> = Vec::new();
    let mut place_of = vec![0_u32; ends.len()];
    for (point, end) in ends {
        if places.last() != Some(&point) {
            places.push(point);
        }
        place_of[end as usize] = places.len() as u32 - 1;
    }
    (places, place_of)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn graph(points: &[(f64, f64)], lines: &[(u32, u32)]) -> Graph {
        let at = |k: u32| Point::new(points[k as usize].0, points[k as usize].1);
        let edges =
            lines.iter().map(|&(from, to)| GraphEdge::new(Curve::line(at(from), at(to)), 0, false)).collect();
        Graph::weld(edges, 1e-9)
    }

    #[test]
    fn a_square_with_a_tail_is_a_block_and_a_bridge() {
        let graph = graph(
            &[(0.0, 0.0), (4.0, 0.0), (4.0, 3.0), (0.0, 3.0), (9.0, 3.0)],
            &[(0, 1), (2, 1), (2, 3), (3, 0), (2, 4)],
        );
        let blocks = graph.blocks();
        let ring = blocks.iter().find(|b| b.len() == 4).unwrap();
        assert_eq!(blocks.len(), 2);
        let outline = graph.outline(ring);
        assert!(outline.faces.is_empty());
        assert!((graph.walked_area(&outline.outside) - 12.0).abs() < 1e-14);
    }

    #[test]
    fn two_plates_with_a_shared_line_have_two_faces() {
        let graph = graph(
            &[(0.0, 0.0), (4.0, 0.0), (4.0, 3.0), (0.0, 3.0), (9.0, 0.0), (9.0, 3.0)],
            &[(0, 1), (2, 1), (2, 3), (3, 0), (1, 4), (4, 5), (5, 2)],
        );
        let blocks = graph.blocks();
        assert_eq!(blocks.len(), 1);
        let outline = graph.outline(&blocks[0]);
        let mut areas: Vec<f64> = outline.faces.iter().map(|f| f.area).collect();
        areas.sort_by(f64::total_cmp);
        assert!((areas[0] - 12.0).abs() < 1e-14 && (areas[1] - 15.0).abs() < 1e-14);
        assert!(outline.faces.iter().all(|f| !f.enclosed));
        assert!((graph.walked_area(&outline.outside) - 27.0).abs() < 1e-14);
        assert_eq!(outline.outside.len(), 6);
    }
}
