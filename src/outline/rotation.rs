//! The order in which the edges of a plane graph leave each node.
//!
//! By direction, and by curvature where directions are one; own work.

use std::f64::consts::{PI, TAU};

use super::graph::{Graph, Step};
use super::repeated::by_place;
use crate::geometry::{Bounds, Point};

/// The order of directions around each node.
pub(crate) struct Rotation {
    /// Both directions of each edge; a step and its way back stand side by side.
    pub steps: Vec<Step>,
    /// The steps that leave each node, anticlockwise.
    leaving: Vec<Leaving>,
    /// Where each step stands in `leaving`.
    place: Vec<usize>,
}

/// Node, angle, curvature and number of a step.
type Leaving = (u32, f64, f64, usize);

impl Rotation {
    pub fn of(graph: &Graph, edges: &[u32]) -> Rotation {
        let steps: Vec<Step> =
            edges.iter().flat_map(|&edge| [true, false].map(|forward| Step { edge, forward })).collect();
        // Anticlockwise by direction, then by curvature.
        let mut leaving: Vec<Leaving> = steps
            .iter()
            .enumerate()
            .map(|(index, step)| {
                let (angle, curvature) = departure(graph, *step);
                (graph.tail(*step), angle, curvature, index)
            })
            .collect();
        sort(&mut leaving, graph, &steps);
        settle_tangents(&mut leaving, graph, &steps);
        let mut place = vec![0_usize; steps.len()];
        for (k, entry) in leaving.iter().enumerate() {
            place[entry.3] = k;
        }
        Rotation { steps, leaving, place }
    }

    /// As [`of`](Rotation::of), but by the direction in which the place that far along each edge is seen from the middle of the
    /// node: where the ends of a node lie apart, edges leave them in one direction beside each other.
    pub fn seen_from_nodes(graph: &Graph, edges: &[u32], far: f64) -> Rotation {
        let mut rotation = Rotation::of(graph, edges);
        let mut around = vec![Bounds::EMPTY; graph.nodes];
        for step in &rotation.steps {
            let node = &mut around[graph.tail(*step) as usize];
            *node = node.with(begins(graph, *step));
        }
        for (node, angle, curvature, index) in &mut rotation.leaving {
            let step = rotation.steps[*index];
            let curve = &graph.edges[step.edge as usize].curve;
            let share = (far / curve.length()).min(1.0);
            let place = curve.at(if step.forward { share } else { 1.0 - share });
            (*angle, *curvature) = ((place - around[*node as usize].center()).angle(), 0.0);
        }
        sort(&mut rotation.leaving, graph, &rotation.steps);
        for (k, entry) in rotation.leaving.iter().enumerate() {
            rotation.place[entry.3] = k;
        }
        rotation
    }

    /// Number of nodes that steps leave.
    pub fn nodes(&self) -> usize {
        let changes = self.leaving.windows(2).filter(|pair| pair[0].0 != pair[1].0).count();
        changes + usize::from(!self.leaving.is_empty())
    }

    /// The step that goes on from `index` with the same face on its left: arriving, it leaves by the first direction
    /// clockwise of the way back.
    pub fn next(&self, index: usize) -> usize {
        let back = self.place[index ^ 1];
        let node = self.leaving[back].0;
        if back > 0 && self.leaving[back - 1].0 == node {
            return self.leaving[back - 1].3;
        }
        let mut last = back;
        while last + 1 < self.leaving.len() && self.leaving[last + 1].0 == node {
            last += 1;
        }
        self.leaving[last].3
    }
}

/// Direction and curvature with which a step leaves its tail.
fn departure(graph: &Graph, step: Step) -> (f64, f64) {
    let curve = &graph.edges[step.edge as usize].curve;
    let (direction, curvature) = if step.forward {
        (curve.tangent(0.0), curve.curvature(0.0))
    } else {
        (-curve.tangent(1.0), -curve.curvature(1.0))
    };
    // Straight to the left is one direction, whichever sign rounding gives its height.
    let angle = direction.angle();
    (if angle < TANGENT - PI { angle + TAU } else { angle }, curvature)
}

/// Where a step begins.
fn begins(graph: &Graph, step: Step) -> Point {
    let curve = &graph.edges[step.edge as usize].curve;
    if step.forward { curve.start() } else { curve.end() }
}

/// Sorts steps by node, angle and curvature; the rest does not depend on the order of the edges.
fn sort(leaving: &mut [Leaving], graph: &Graph, steps: &[Step]) {
    let curve = |entry: &Leaving| &graph.edges[steps[entry.3].edge as usize].curve;
    leaving.sort_unstable_by(|x, y| {
        (x.0.cmp(&y.0).then(x.1.total_cmp(&y.1)).then(x.2.total_cmp(&y.2)))
            .then_with(|| by_place(curve(x), curve(y)))
            .then(x.3.cmp(&y.3))
    });
}

/// Directions nearer to each other than this (radians) are tangent, and their curvatures tell their order.
const TANGENT: f64 = 1e-6;

/// Within each run of steps that leave a node in one direction, orders them by curvature; what is bent alike, by how far to
/// the left it begins: ends that are one node need not be one place.
fn settle_tangents(leaving: &mut [Leaving], graph: &Graph, steps: &[Step]) {
    let mut first = 0;
    while first < leaving.len() {
        let mut last = first + 1;
        while last < leaving.len()
            && leaving[last].0 == leaving[first].0
            && leaving[last].1 - leaving[last - 1].1 <= TANGENT
        {
            last += 1;
        }
        if last - first > 1 {
            let direction = Point::at_angle(leaving[first].1);
            let from = |entry: &Leaving| begins(graph, steps[entry.3]);
            let leftmost = leaving[first..last].iter().map(from).min_by(Point::by_place);
            let origin = leftmost.unwrap_or(Point::ORIGIN);
            // Within one direction curvature comes first, then the side.
            for entry in &mut leaving[first..last] {
                entry.1 = entry.2;
                entry.2 = direction.cross(begins(graph, steps[entry.3]) - origin);
            }
            sort(&mut leaving[first..last], graph, steps);
        }
        first = last;
    }
}
