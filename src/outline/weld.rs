//! Which ends of loose pieces are one node. The tolerance is the largest gap that may be closed, not a radius within which
//! all is one: ends find their partners nearest pairs first, and an end that has its partner needs no other.

use std::collections::HashMap;

use super::graph::{Graph, GraphEdge, places};
use super::sets::Sets;
use crate::geometry::near::near_pairs_while;
use crate::geometry::{Bounds, Point, noding_tolerance};

/// A piece up to this many tolerances long whose two ends meet is a speck between others, and no outline by itself.
pub(crate) const SPECK: f64 = 4.0;

/// Nodes no further apart than this many times the gap that was closed within one of them are one: where four ends of two
/// corners lie about as near to each other as to their partners, which of them belong together can't be told.
const ALIKE: f64 = 3.0;

/// Pieces with their nodes, and what there is to tell of how these were found.
pub(super) struct Welded {
    pub graph: Graph,
    /// A place where ends could have been joined in another way, and the number of such places.
    pub choice: Option<(Point, usize)>,
    /// A place where so many ends lie so near to each other that all of them are one node.
    pub crowd: Option<Point>,
}

/// Two places within the tolerance of each other.
struct Pair {
    distance: f64,
    a: u32,
    b: u32,
}

/// Finds the nodes of `edges`.
///
/// 1. Ends that differ by rounding are one node.
/// 2. Of the ends that have no partner then, the two nearest within `tolerance` are one node, then the next two.
/// 3. An end that is left over joins the nearest node.
/// 4. Nodes about as near to each other as the ends within them are one, unless a piece runs from one to the other.
///
/// The outcome does not depend on the order of the edges.
pub(super) fn weld(edges: Vec<GraphEdge>, tolerance: f64) -> Welded {
    let (places, place_of) = places(&edges);
    let boxes: Vec<Bounds> = places.iter().map(|place| Bounds::EMPTY.with(*place)).collect();
    let mut nodes = Nodes::new(&edges, places.len(), &place_of);
    let mut crowd = None;
    let mut choice = None;
    match pairs(&places, &boxes, tolerance) {
        Ok(pairs) => {
            let rounding = noding_tolerance(&Bounds::around(places.iter().copied())).min(tolerance);
            choice = nodes.pair(&pairs, &edges, &place_of, rounding, tolerance).map(|(k, n)| (places[k], n));
        }
        Err(place) => {
            crowd = Some(place);
            nodes.unite_cells(&places, tolerance);
        }
    }
    let graph = nodes.graph(edges, &place_of);
    Welded { graph, choice, crowd }
}

/// All pairs of places within `tolerance`, nearest first; a place among too many of them where there are.
fn pairs(places: &[Point], boxes: &[Bounds], tolerance: f64) -> Result<Vec<Pair>, Point> {
    /// A crowd has more pairs than this and so many for each place: 2,000 ends in one spot still find partners.
    const AT_ALL: usize = 2_000_000;
    const EACH: usize = 16;
    let most = AT_ALL + EACH * places.len();
    let mut pairs: Vec<Pair> = Vec::new();
    let mut last = 0;
    let whole = near_pairs_while(boxes, tolerance, |i, j| {
        last = i;
        let distance = places[i].distance(places[j]);
        if distance <= tolerance {
            pairs.push(Pair { distance, a: i.min(j) as u32, b: i.max(j) as u32 });
        }
        pairs.len() <= most
    });
    if !whole {
        return Err(places[last]);
    }
    // Places are sorted by their coordinates, so ties are settled by where they lie.
    pairs.sort_by(|p, q| p.distance.total_cmp(&q.distance).then(p.a.cmp(&q.a)).then(p.b.cmp(&q.b)));
    Ok(pairs)
}

/// Places that become nodes.
struct Nodes {
    sets: Sets,
    /// Of each node, by its first place: the number of ends that meet there.
    ends: Vec<u32>,
    /// Of a node with one end, that end.
    only: Vec<u32>,
    /// The largest gap closed within the node.
    gap: Vec<f64>,
}

impl Nodes {
    fn new(edges: &[GraphEdge], places: usize, place_of: &[u32]) -> Nodes {
        let mut nodes = Nodes {
            sets: Sets::new(places),
            ends: vec![0; places],
            only: vec![u32::MAX; places],
            gap: vec![0.0; places],
        };
        for end in 0..2 * edges.len() as u32 {
            nodes.ends[place_of[end as usize] as usize] += 1;
            nodes.only[place_of[end as usize] as usize] = end;
        }
        nodes
    }

    fn unite(&mut self, a: u32, b: u32, gap: f64) {
        let (a, b) = (self.sets.root(a), self.sets.root(b));
        if a == b {
            return;
        }
        let ends = self.ends[a as usize] + self.ends[b as usize];
        let gap = gap.max(self.gap[a as usize]).max(self.gap[b as usize]);
        self.sets.unite(a, b);
        let root = self.sets.root(a) as usize;
        (self.ends[root], self.gap[root]) = (ends, gap);
    }

    fn is_free(&self, root: u32) -> bool {
        self.ends[root as usize] == 1
    }

    /// Finds partners; a place where something else would have been as good, and the number of such places.
    fn pair(
        &mut self,
        pairs: &[Pair],
        edges: &[GraphEdge],
        place_of: &[u32],
        rounding: f64,
        tolerance: f64,
    ) -> Option<(usize, usize)> {
        let rounded = pairs.partition_point(|pair| pair.distance <= rounding);
        for pair in &pairs[..rounded] {
            self.unite(pair.a, pair.b, 0.0);
        }
        let pairs = &pairs[rounded..];
        if pairs.is_empty() {
            return None;
        }
        let is_speck = |end: u32, other: u32| {
            end / 2 == other / 2 && edges[(end / 2) as usize].curve.length() <= SPECK * tolerance
        };
        for pair in pairs {
            let (a, b) = (self.sets.root(pair.a), self.sets.root(pair.b));
            let both_free = a != b && self.is_free(a) && self.is_free(b);
            if both_free && !is_speck(self.only[a as usize], self.only[b as usize]) {
                self.unite(a, b, pair.distance);
            }
        }
        for pair in pairs {
            let (a, b) = (self.sets.root(pair.a), self.sets.root(pair.b));
            if a != b && self.is_free(a) != self.is_free(b) {
                self.unite(a, b, pair.distance);
            }
        }
        self.unite_alike(pairs, edges, place_of, tolerance)
    }

    fn unite_alike(
        &mut self,
        pairs: &[Pair],
        edges: &[GraphEdge],
        place_of: &[u32],
        tolerance: f64,
    ) -> Option<(usize, usize)> {
        // From each place with an end of a short piece to the places of its other ends.
        let mut short: HashMap<u32, Vec<u32>> = HashMap::new();
        for (index, ends) in place_of.chunks_exact(2).enumerate() {
            if edges[index].curve.start().distance(edges[index].curve.end()) <= SPECK * tolerance {
                for (from, to) in [(ends[0], ends[1]), (ends[1], ends[0])] {
                    short.entry(self.sets.root(from)).or_default().push(to);
                }
            }
        }
        /// So many places with a choice are enough to tell of, and to spend time on.
        const CHOICES: usize = 10_000;
        let mut choice: Option<(usize, usize)> = None;
        for pair in pairs {
            if choice.is_some_and(|(_, count)| count >= CHOICES) {
                break;
            }
            let (a, b) = (self.sets.root(pair.a), self.sets.root(pair.b));
            let gap = self.gap[a as usize].max(self.gap[b as usize]);
            if a == b || self.is_free(a) || self.is_free(b) || pair.distance > ALIKE * gap {
                continue;
            }
            let others = short.get(&a).map_or(&[][..], Vec::as_slice);
            if others.iter().any(|other| self.sets.root(*other) == b) {
                let (first, count) = choice.unwrap_or((pair.a as usize, 0));
                choice = Some((first.min(pair.a as usize), count + 1));
                continue;
            }
            let mut joined = short.remove(&a).unwrap_or_default();
            joined.extend(short.remove(&b).unwrap_or_default());
            self.unite(a, b, pair.distance);
            if !joined.is_empty() {
                short.insert(self.sets.root(a), joined);
            }
        }
        choice
    }

    /// All places within one square as wide as the tolerance are one node: for crowds, where no partners can be told.
    fn unite_cells(&mut self, places: &[Point], tolerance: f64) {
        let mut first_in: HashMap<(i64, i64), u32> = HashMap::new();
        for (index, place) in places.iter().enumerate() {
            let cell = |x: f64| (x / tolerance).floor() as i64;
            let first = *first_in.entry((cell(place.x), cell(place.y))).or_insert(index as u32);
            self.unite(first, index as u32, 0.0);
        }
    }

    fn graph(mut self, mut edges: Vec<GraphEdge>, place_of: &[u32]) -> Graph {
        let mut node_of = vec![u32::MAX; self.ends.len()];
        let mut count = 0;
        let mut node = |place: u32| {
            let slot = &mut node_of[self.sets.root(place) as usize];
            if *slot == u32::MAX {
                *slot = count;
                count += 1;
            }
            *slot
        };
        for (edge, ends) in edges.iter_mut().zip(place_of.chunks_exact(2)) {
            (edge.from, edge.to) = (node(ends[0]), node(ends[1]));
        }
        Graph { edges, nodes: count as usize }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Curve;

    /// From where to where a line runs.
    type Ends = ((f64, f64), (f64, f64));

    fn lines(ends: &[Ends]) -> Vec<GraphEdge> {
        let at = |p: (f64, f64)| Point::new(p.0, p.1);
        let line = |&(a, b): &Ends| GraphEdge::new(Curve::line(at(a), at(b)), 0, false);
        ends.iter().map(line).collect()
    }

    /// The node at each end, edge by edge.
    fn nodes(edges: Vec<GraphEdge>, tolerance: f64) -> Vec<(u32, u32)> {
        weld(edges, tolerance).graph.edges.iter().map(|edge| (edge.from, edge.to)).collect()
    }

    #[test]
    fn an_edge_shorter_than_the_tolerance_keeps_its_two_ends() {
        // A chamfer of 0.006 between two sides, each 0.001 away from it, with a tolerance of 0.01.
        let found = nodes(
            lines(&[
                ((0.0, 0.0), (40.0, 0.0)),
                ((40.001, 0.0), (40.006, 0.004)),
                ((40.006, 0.005), (40.006, 25.0)),
            ]),
            0.01,
        );
        assert_eq!(found[0].1, found[1].0);
        assert_eq!(found[1].1, found[2].0);
        assert_ne!(found[1].0, found[1].1);
    }

    #[test]
    fn a_slot_narrower_than_the_tolerance_stays_open() {
        // Its mouth is 0.005 wide, its ends meet the edge beside it exactly.
        let found = nodes(
            lines(&[
                ((0.0, 0.0), (20.0, 0.0)),
                ((20.0, 0.0), (20.0, -9.0)),
                ((20.005, -9.0), (20.005, 0.0)),
                ((20.005, 0.0), (50.0, 0.0)),
            ]),
            0.01,
        );
        assert_eq!(found[0].1, found[1].0);
        assert_eq!(found[2].1, found[3].0);
        assert_ne!(found[0].1, found[3].0);
    }

    #[test]
    fn four_ends_about_as_near_to_each_other_as_to_their_partners_are_one_node() {
        let found = nodes(
            lines(&[
                ((0.0, 0.0), (40.0, 0.0)),
                ((40.003, 0.001), (40.0, 30.0)),
                ((40.002, -0.003), (80.0, 0.0)),
                ((40.004, -0.001), (40.0, -30.0)),
            ]),
            0.01,
        );
        let node = found[0].1;
        assert!([found[1].0, found[2].0, found[3].0].iter().all(|other| *other == node), "{found:?}");
    }

    #[test]
    fn a_thousand_ends_in_one_spot_are_one_node_and_a_crowd_is_told() {
        let star = |count: u32, radius: f64| -> Vec<GraphEdge> {
            let spoke = |k: u32| {
                let direction =
                    Point::at_angle(0.1 + f64::from(k) * std::f64::consts::TAU / f64::from(count));
                let at = |r: f64| {
                    let place = direction * r;
                    (place.x + 3.0, place.y - 7.0)
                };
                (at(radius), at(50.0))
            };
            lines(&(0..count).map(spoke).collect::<Vec<_>>())
        };
        let thousand = weld(star(1000, 0.002), 0.01);
        assert!(thousand.crowd.is_none());
        let hub = thousand.graph.edges[0].from;
        assert!(thousand.graph.edges.iter().all(|edge| edge.from == hub && edge.to != hub));
        assert!(weld(star(6000, 0.002), 0.01).crowd.is_some());
    }

    #[test]
    fn ends_find_the_same_partners_in_any_order() {
        let ends = [
            ((0.0, 0.0), (40.0, 0.0)),
            ((40.003, 0.001), (40.0, 30.0)),
            ((40.006, 0.001), (80.0, 0.0)),
            ((40.009, 0.001), (40.0, -30.0)),
            ((40.0, 30.004), (0.0, 0.004)),
        ];
        let partners = |order: &[usize]| {
            let edges = lines(&order.iter().map(|k| ends[*k]).collect::<Vec<_>>());
            let found = nodes(edges, 0.01);
            let mut of = vec![(0, 0); ends.len()];
            order.iter().zip(found).for_each(|(k, nodes)| of[*k] = nodes);
            let flat: Vec<u32> = of.iter().flat_map(|(a, b)| [*a, *b]).collect();
            let same = |i: usize| flat.iter().map(|node| *node == flat[i]).collect::<Vec<bool>>();
            (0..flat.len()).map(same).collect::<Vec<_>>()
        };
        let first = partners(&[0, 1, 2, 3, 4]);
        assert_eq!(partners(&[4, 2, 0, 3, 1]), first);
        assert_eq!(partners(&[3, 1, 4, 0, 2]), first);
    }
}
