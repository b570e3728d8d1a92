//! Rings that meet: cut where they meet, each piece judged by what lies on its two sides, and the pieces between solid
//! and void linked into new rings. Curves are cut but never replaced by chords, so the result is as exact as they are.

use std::cell::LazyCell;

use super::locate::Rings;
use super::meetings::Meetings;
use super::noded::{Cuts, Noded, Walk};
use super::{Part, Region};
use crate::geometry::{Curve, Point, in_order};
use crate::outline::graph::{Graph, GraphEdge, Step};
use crate::outline::rotation::Rotation;
use crate::outline::{Ring, linked};

/// Rings resolved into a region.
pub(super) struct Arranged {
    pub region: Region,
    /// How many rings each ring lies in.
    pub depths: Vec<usize>,
    /// Where outlines of one depth overlap.
    pub overlaps: Vec<Overlap>,
}

/// A place where two outlines of one depth share an area.
pub(super) struct Overlap {
    pub point: Point,
    /// The two outlines, as indices.
    pub rings: [usize; 2],
}

/// The rings do not resolve at this tolerance; somewhere near this point.
pub(super) struct Unresolved {
    pub near: Point,
}

/// What a ring does to the area inside it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Role {
    /// Its nesting depth among the rings of the same body decides: solid, hole, solid. The bodies are united.
    Solid(u32),
    /// The same for one of several bodies that are cut away.
    Other(u32),
    /// It is cut from whatever solid it lies over.
    Void,
}

/// Resolves rings that meet at `meetings`, found with the same `tolerance`.
pub(super) fn arrange(
    rings: &[&Ring],
    roles: &[Role],
    meetings: &mut Meetings,
    tolerance: f64,
) -> Result<Arranged, Unresolved> {
    /// A place computed on two curves, or at the end of one, lies within so many tolerances of itself: one node.
    const ONE_NODE: f64 = 2.0;
    let located = Rings::new(rings);
    let cuts = Cuts::of(rings, meetings, tolerance);
    meetings.let_go_of_cuts();
    let graph = Noded::of(cuts, ONE_NODE * tolerance, ONE_EDGE * tolerance);
    let sizes = sizes(rings, meetings);
    let depths = depths(rings, roles, &located, graph.cuts(), &sizes, tolerance);
    let sidedness = Sidedness { rings: &located, roles, depths: &depths, tolerance };
    let chains = graph.chains();
    let judged = |judge: Judge| -> Result<Arranged, Unresolved> {
        let mut overlaps = Vec::new();
        let mut boundary: Vec<GraphEdge> = Vec::new();
        for chain in chains.each() {
            let Some(sides) = sidedness.sides(&graph, chain, judge)? else { continue };
            overlaps.extend(sides.overlap);
            if sides.left == sides.right {
                continue;
            }
            for walk in chain {
                // Solid to the left, as along an anticlockwise ring.
                let curve = graph.curve(walk.piece());
                let curve = if walk.is_forward() == sides.left { curve } else { curve.reversed() };
                boundary.push(GraphEdge::new(curve, graph.ring(walk.piece()) as u32, false));
            }
        }
        let boundary = Graph::weld(boundary, tolerance);
        let loops = loops(&boundary, rings, tolerance)?;
        Ok(Arranged { region: nested(loops)?, depths: depths.clone(), overlaps })
    };
    judged(Judge::Middles).or_else(|_| judged(Judge::Clearest))
}

/// Where along a chain it is judged what lies on its two sides.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Judge {
    /// At the middles of its longest pieces: quick, and nearly always right.
    Middles,
    /// At the place of its longest piece that other curves keep furthest from: of curves that part slowly from where they
    /// touch, what is aside of one lies beyond the other near the touch.
    Clearest,
}

/// Pieces within so many tolerances of each other, both ends of which are one node, are one piece: either may have been moved
/// by two.
const ONE_EDGE: f64 = 4.0;

/// The area of each ring; that of its box where it crosses itself, since what it runs round clockwise counts negative.
fn sizes(rings: &[&Ring], meetings: &Meetings) -> Vec<f64> {
    let size = |(k, ring): (usize, &&Ring)| match meetings.crosses_itself(k) {
        true => ring.bounds().width() * ring.bounds().height(),
        false => ring.area(),
    };
    rings.iter().enumerate().map(size).collect()
}

/// How deep each ring lies in the others, voids apart: the longest chain of rings around each other and around it. Of
/// two lapped plates of one depth a hole in the lap lies one deep, for they are one body. Rings that cross do not lie
/// in each other.
fn depths(
    rings: &[&Ring],
    roles: &[Role],
    located: &Rings,
    cuts: &Cuts,
    sizes: &[f64],
    tolerance: f64,
) -> Vec<usize> {
    let around: Vec<Vec<usize>> = (0..rings.len())
        .map(|inner| {
            // They are many where rings meet often, and most rings lie near no larger one.
            let points = LazyCell::new(|| cuts.middles(inner).collect::<Vec<Point>>());
            let lies_in = |outer: usize| {
                let smaller = (sizes[inner], outer) < (sizes[outer], inner);
                let other = &located.located[outer];
                outer != inner
                    && roles[outer] == roles[inner]
                    && smaller
                    && rings[outer].bounds().grown(tolerance).contains(&rings[inner].bounds())
                    && points.iter().all(|p| other.winding(*p) != 0 || other.is_on(*p, ONE_EDGE * tolerance))
            };
            let Some(first) = cuts.middles(inner).next() else { return Vec::new() };
            located.near_within(first, tolerance).into_iter().filter(|outer| lies_in(*outer)).collect()
        })
        .collect();
    // Whatever lies around a ring is larger, or as large and earlier in the list.
    let order = in_order(rings.len(), &|i, j| sizes[j].total_cmp(&sizes[i]));
    let mut depths = vec![0; rings.len()];
    for inner in order {
        depths[inner] = around[inner].iter().map(|outer| depths[*outer] + 1).max().unwrap_or(0);
    }
    depths
}

/// Tells solid from void.
struct Sidedness<'a> {
    rings: &'a Rings<'a>,
    roles: &'a [Role],
    depths: &'a [usize],
    tolerance: f64,
}

/// What lies on both sides of a chain.
struct SolidSides {
    left: bool,
    right: bool,
    overlap: Option<Overlap>,
}

/// A long piece of a chain.
struct Longest {
    length: f64,
    curve: Curve,
    walk: Walk,
}

impl Sidedness<'_> {
    /// Solid where the deepest ring of a body around the point has even depth, unless a void or another body lies
    /// there.
    fn is_solid(&self, around: &[usize]) -> bool {
        let filled = |role: Role| {
            let deepest = around.iter().filter(|r| self.roles[**r] == role).map(|r| self.depths[*r]).max();
            deepest.is_some_and(|depth| depth.is_multiple_of(2))
        };
        let mut solid = false;
        for role in around.iter().map(|r| self.roles[*r]) {
            match role {
                Role::Solid(_) => solid = solid || filled(role),
                Role::Other(_) if filled(role) => return false,
                Role::Other(_) => {}
                Role::Void => return false,
            }
        }
        solid
    }

    /// What lies on both sides of a chain, told at two of its places, which must agree, or at the clearest. `None` for a
    /// chain too short to have sides.
    fn sides(&self, graph: &Noded, chain: &[Walk], judge: Judge) -> Result<Option<SolidSides>, Unresolved> {
        /// So many tolerances are clear of the curves that were welded, and near enough that nothing else lies between.
        const ASIDE: f64 = 8.0;
        let aside = ASIDE * self.tolerance;
        let length =
            |curve: &Curve| curve.start().distance(curve.at(0.5)) + curve.at(0.5).distance(curve.end());
        // The two longest, the first of several that are as long.
        let (mut first, mut second): (Option<Longest>, Option<Longest>) = (None, None);
        for walk in chain {
            let curve = graph.curve(walk.piece());
            let found = Longest { length: length(&curve), curve, walk: *walk };
            let is_longer = |than: &Option<Longest>| {
                than.as_ref().is_none_or(|than| found.length.total_cmp(&than.length).is_gt())
            };
            if is_longer(&first) {
                second = first.replace(found);
            } else if is_longer(&second) {
                second = Some(found);
            }
        }
        let Some(first) = first.filter(|first| first.length > aside) else { return Ok(None) };
        let mut sides: Option<SolidSides> = None;
        let samples = match judge {
            Judge::Middles => {
                [Some((&first, 0.5)), Some(second.as_ref().map_or((&first, 0.31), |second| (second, 0.5)))]
            }
            Judge::Clearest => [Some((&first, self.clearest(&first.curve, aside))), None],
        };
        for (piece, t) in samples.into_iter().flatten() {
            let point = piece.curve.at(t);
            let direction = piece.curve.derivative(t);
            let speed = direction.length();
            if speed == 0.0 {
                continue;
            }
            let turn = if piece.walk.is_forward() { 1.0 } else { -1.0 };
            let aside = direction.quarter_turned() * (turn * aside / speed);
            let left: Vec<usize> = self.rings.around(point + aside).collect();
            let right: Vec<usize> = self.rings.around(point - aside).collect();
            let (is_left, is_right) = (self.is_solid(&left), self.is_solid(&right));
            if sides.as_ref().is_some_and(|v| (v.left, v.right) != (is_left, is_right)) {
                return Err(Unresolved { near: point });
            }
            if sides.is_none() {
                let owner = graph.ring(piece.walk.piece());
                let shares = |other: &&usize| {
                    right.contains(other)
                        && self.roles[**other] == self.roles[owner]
                        && self.depths[**other] == self.depths[owner]
                };
                let is_solid = matches!(self.roles[owner], Role::Solid(_));
                let other = left.iter().find(shares).filter(|_| is_solid);
                let overlap = other.map(|other| Overlap { point, rings: [owner, *other] });
                sides = Some(SolidSides { left: is_left, right: is_right, overlap });
            }
        }
        Ok(sides)
    }
}

impl Sidedness<'_> {
    /// The parameter of the place on a piece that other curves keep furthest from, as far as it matters a step aside of it.
    fn clearest(&self, piece: &Curve, aside: f64) -> f64 {
        const PLACES: u32 = 24;
        let near = piece.bounds().grown(2.0 * aside);
        let others = self.rings.located.iter().filter(|located| located.ring.bounds().meets(&near));
        let mut curves: Vec<(usize, usize)> = Vec::new();
        let others: Vec<_> = others.collect();
        for (k, located) in others.iter().enumerate() {
            curves.extend(located.reaching(near).map(|curve| (k, curve)));
        }
        curves.sort_unstable();
        curves.dedup();
        let parameters: Vec<f64> = (1..PLACES).map(|k| f64::from(k) / f64::from(PLACES)).collect();
        let mut clear = vec![2.0 * aside; parameters.len()];
        for (k, curve) in curves {
            let curve = others[k].ring.curves().take(curve);
            let apart: Vec<f64> = parameters.iter().map(|t| curve.distance(piece.at(*t))).collect();
            // Along the piece itself, and others that it stands for, there is no other side.
            if apart.iter().any(|d| *d > ONE_EDGE * self.tolerance) {
                clear.iter_mut().zip(apart).for_each(|(clear, apart)| *clear = clear.min(apart));
            }
        }
        // Of places that are equally clear the one nearest to the middle.
        let order = (0..parameters.len()).min_by(|i, j| {
            let off = |k: usize| (parameters[k] - 0.5).abs();
            clear[*j].total_cmp(&clear[*i]).then(off(*i).total_cmp(&off(*j)))
        });
        order.map_or(0.5, |k| parameters[k])
    }
}

/// The boundary as simple loops with their signed areas.
fn loops(boundary: &Graph, rings: &[&Ring], tolerance: f64) -> Result<Vec<(f64, Ring)>, Unresolved> {
    let all: Vec<u32> = (0..boundary.edges.len() as u32).collect();
    let rotation = Rotation::of(boundary, &all);
    let mut done = vec![false; boundary.edges.len()];
    let mut found = Vec::new();
    for first in 0..boundary.edges.len() {
        if done[first] {
            continue;
        }
        let (mut walk, mut index) = (Vec::new(), 2 * first);
        loop {
            let step = rotation.steps[index];
            let near = boundary.edges[step.edge as usize].curve.start();
            // Around every node solid and void alternate; where they don't, something was judged wrong.
            if !step.forward || (done[step.edge as usize] && index != 2 * first) {
                return Err(Unresolved { near });
            }
            if std::mem::replace(&mut done[step.edge as usize], true) {
                break;
            }
            walk.push(step);
            index = rotation.next(index);
        }
        for part in simple_parts(boundary, walk) {
            let area = boundary.walked_area(&part);
            let curves: Vec<Curve> = part.iter().map(|s| boundary.curve(*s)).collect();
            let length: f64 = curves.iter().map(Curve::length).sum();
            // What is thinner than the tolerance is rounding between curves that were taken for one.
            if area.abs() <= tolerance * length {
                continue;
            }
            let origin = part
                .iter()
                .map(|s| rings[boundary.edges[s.edge as usize].owner as usize].origin())
                .min_by_key(|o| o.position)
                .unwrap_or_default();
            let near = curves[0].start();
            match Ring::new(linked(curves), origin) {
                Some(ring) => found.push((area, ring)),
                None => return Err(Unresolved { near }),
            }
        }
    }
    Ok(found)
}

/// A closed walk split where it passes a node again.
fn simple_parts(graph: &Graph, walk: Vec<Step>) -> Vec<Vec<Step>> {
    let mut parts = Vec::new();
    let mut open: Vec<Step> = Vec::new();
    let mut seen: std::collections::HashMap<u32, usize> = std::collections::HashMap::new();
    for step in walk {
        let node = graph.tail(step);
        if let Some(&at) = seen.get(&node) {
            let part = open.split_off(at);
            for inner in &part {
                seen.remove(&graph.tail(*inner));
            }
            parts.push(part);
        }
        seen.insert(node, open.len());
        open.push(step);
    }
    parts.push(open);
    parts
}

/// Loops as parts: those of positive area are edges, the others holes of the smallest edge around them, which each must have.
fn nested(loops: Vec<(f64, Ring)>) -> Result<Region, Unresolved> {
    let (mut edges, holes): (Vec<_>, Vec<_>) = loops.into_iter().partition(|l| l.0 > 0.0);
    edges.sort_by(|a, b| a.1.by_place(&b.1));
    let edges: Vec<Ring> = edges.into_iter().map(|l| l.1).collect();
    let mut holes_of: Vec<Vec<Ring>> = vec![Vec::new(); edges.len()];
    let borrowed: Vec<&Ring> = edges.iter().collect();
    let located = Rings::new(&borrowed);
    for (_, hole) in holes {
        let samples = samples(&hole);
        let owner = located
            .near(samples[0])
            .filter(|e| holds(&located, *e, &samples))
            .min_by(|a, b| edges[*a].area().total_cmp(&edges[*b].area()));
        match owner {
            Some(owner) => holes_of[owner].push(hole),
            None => return Err(Unresolved { near: samples[0] }),
        }
    }
    let parts = edges
        .into_iter()
        .zip(holes_of)
        .map(|(edge, mut holes)| {
            holes.sort_by(Ring::by_place);
            Part { edge, holes }
        })
        .collect();
    Ok(Region { parts })
}

/// Places on the longest curves of a hole, away from where it may touch the edge around it: at nodes, and in the middle of
/// what is drawn with symmetry. Links between places of one node are specks, which lie on the edge itself.
fn samples(hole: &Ring) -> Vec<Point> {
    const LONGEST: usize = 3;
    const SHARES: [f64; 2] = [0.271, 0.683];
    let length = |curve: &Curve| {
        let middle = curve.at(0.5);
        curve.start().distance(middle) + middle.distance(curve.end())
    };
    let curves = hole.curves();
    let mut longest: Vec<(f64, &Curve)> = curves.iter().map(|curve| (length(curve), curve)).collect();
    longest.sort_by(|a, b| b.0.total_cmp(&a.0));
    let curves = longest.iter().take(LONGEST);
    curves.flat_map(|(_, curve)| SHARES.map(|share| curve.at(share))).collect()
}

/// The hole, which may touch the edge in places, lies inside it: most of its samples do.
fn holds(located: &Rings, edge: usize, samples: &[Point]) -> bool {
    let inside = samples.iter().filter(|place| located.located[edge].winding(**place) != 0).count();
    2 * inside > samples.len()
}
