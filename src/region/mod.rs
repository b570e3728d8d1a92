//! Regions: which rings bound solid and which bound holes.

mod arrange;
mod copies;
mod locate;
mod meetings;
mod nest;
mod noded;
mod polygons;
mod shape;
mod signature;

use std::collections::{BTreeMap, BTreeSet, HashMap, HashSet};

use crate::finding::{Code, Finding, Value};
use crate::geometry::near::Grid;
use crate::geometry::{Bounds, Budget, Point, noding_tolerance};
use crate::outline::Ring;
use arrange::Role;
pub(crate) use locate::Rings;
pub(crate) use nest::copies_within;
pub(crate) use polygons::convex_hull;

/// A connected solid: an outer edge and the holes in it.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct Part {
    /// Outer edge.
    pub edge: Ring,
    /// Holes, none inside another.
    pub holes: Vec<Ring>,
}

impl Part {
    /// The part within `edge` and outside `holes`, which must lie within it, each outside the others.
    pub fn new(edge: Ring, holes: Vec<Ring>) -> Part {
        Part { edge, holes }
    }
}

/// The solid that the rings of an outline bound: parts that do not overlap, though they may touch in points.
#[derive(Clone, Debug)]
#[must_use]
#[non_exhaustive]
pub struct Region {
    /// The parts from left to right.
    pub parts: Vec<Part>,
}

impl Region {
    /// The region of these parts, which must not overlap.
    pub fn new(parts: Vec<Part>) -> Region {
        Region { parts }
    }
}

/// One closed outline of a region, as drawn.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct Piece {
    /// The outline.
    pub ring: Ring,
    /// It adds to the solid; otherwise it takes away from it.
    pub solid: bool,
}

/// A region, if there is one, and what its reader must know.
#[derive(Clone, Debug)]
#[must_use]
#[non_exhaustive]
pub struct Resolved {
    /// The outlines that it is made of, each once, without those that repeat another.
    pub pieces: Vec<Piece>,
    /// The region; `None` where there is none, which is told by a failure among the findings.
    pub region: Option<Region>,
    /// What the reader must know.
    pub findings: Vec<Finding>,
    /// The outlines of one depth that cross others, of which the region is the union.
    pub crossing: Vec<Ring>,
}

impl Region {
    /// Every ring with its sign: 1 around solid, −1 around a hole.
    pub fn rings(&self) -> impl Iterator<Item = (f64, &Ring)> {
        self.parts.iter().flat_map(|part| {
            std::iter::once((1.0, &part.edge)).chain(part.holes.iter().map(|hole| (-1.0, hole)))
        })
    }

    /// Its rings as pieces: what is solid is to be solid, or a void.
    fn pieces(&self, solid: bool) -> Vec<Piece> {
        self.rings().map(|(sign, ring)| Piece { ring: ring.clone(), solid: (sign > 0.0) == solid }).collect()
    }

    /// The box around the region.
    pub fn bounds(&self) -> Bounds {
        self.parts.iter().fold(Bounds::EMPTY, |all, part| all.union(part.edge.bounds()))
    }

    /// The part that a drawn ring belongs to: the innermost one whose edge runs round it or along it, wholly or in part.
    pub fn part_of(&self, ring: &Ring) -> Option<usize> {
        self.parts_of([ring]).pop().flatten()
    }

    /// For each of several drawn rings, the part that it belongs to.
    pub(crate) fn parts_of<'a>(&self, rings: impl IntoIterator<Item = &'a Ring>) -> Vec<Option<usize>> {
        /// A ring follows an edge of the region within so many tolerances: rings are welded to each other within some.
        const FOLLOWS: f64 = 8.0;
        let near = noding_tolerance(&self.bounds()) * FOLLOWS;
        let touches = |ring: &Ring, edge: &Ring| {
            let around = edge.bounds().grown(near);
            ring.curves()
                .iter()
                .flat_map(|c| [c.start(), c.at(0.5)])
                .filter(|point| around.contains_point(*point))
                .any(|point| edge.contains(point) || edge.curves().iter().any(|c| c.distance(point) <= near))
        };
        let boxes: Vec<Bounds> = self.parts.iter().map(|part| part.edge.bounds()).collect();
        let grid = Grid::over(&boxes, near);
        // Outlines that meet none are edges and holes as they were drawn.
        let mut as_drawn: HashMap<usize, usize> = HashMap::new();
        for (k, part) in self.parts.iter().enumerate() {
            as_drawn.extend(std::iter::once(&part.edge).chain(&part.holes).map(|ring| (ring.identity(), k)));
        }
        let part_of = |ring: &Ring| {
            as_drawn.get(&ring.identity()).copied().or_else(|| {
                grid.within(&ring.bounds())
                    .into_iter()
                    .filter(|k| boxes[*k].grown(near).meets(&ring.bounds()))
                    .filter(|k| touches(ring, &self.parts[*k].edge))
                    .min_by(|a, b| self.parts[*a].edge.area().total_cmp(&self.parts[*b].edge.area()))
            })
        };
        rings.into_iter().map(part_of).collect()
    }

    /// Each part as a region of its own.
    pub fn split(self) -> impl Iterator<Item = Region> {
        self.parts.into_iter().map(|part| Region { parts: vec![part] })
    }

    /// Every hole lies within the box of its part's edge, and every ring is sound. A hole that touches the edge may lie
    /// beyond it by as much as curves that are taken to touch may lie apart.
    pub fn check(&self) -> bool {
        /// Places up to twice the tolerance apart are one, and curves twice as far.
        const APART: f64 = 4.0;
        let apart = APART * COARSEST * self.bounds().size();
        self.parts.iter().all(|part| {
            let edge = part.edge.bounds().grown(apart);
            part.edge.check() && part.holes.iter().all(|h| h.check() && edge.contains(&h.bounds()))
        })
    }
}

/// Where rings do not resolve at the noding tolerance they are tried again with ten times that, up to this share of the
/// size: outlines that run within it of each other are taken to touch.
const COARSEST: f64 = 1e-6;

/// The region that `rings` bound.
///
/// Rings inside rings alternate solid, hole, solid. Rings of one depth that cross or touch are one body: their union.
/// So the region is (union of depth 0) − (union of depth 1) + (union of depth 2) … A ring drawn more than once counts
/// once; a ring that crosses itself is solid wherever it goes round at all. `voids` are cut from whatever solid they
/// lie over, also across an edge.
///
/// The result is bounded by the rings' own curves, cut where they meet.
pub fn resolve(rings: &[Ring], voids: &[Ring]) -> Resolved {
    resolve_bodies(&[rings], &[], voids, 0.0)
}

/// As [`resolve`], for a solid of several bodies, each nested by itself: it is their union, less whatever one of
/// `others`, by the same rules, is solid. A ring that keeps within the distance `join` (drawing units) of another is that
/// ring drawn again, and rings that do not resolve otherwise are taken to touch within it.
pub fn resolve_bodies(bodies: &[&[Ring]], others: &[&[Ring]], voids: &[Ring], join: f64) -> Resolved {
    resolve_within(bodies, others, voids, join, u64::MAX)
}

/// As [`resolve_bodies`], in about so many bytes of memory at the most.
pub(crate) fn resolve_within(
    bodies: &[&[Ring]],
    others: &[&[Ring]],
    voids: &[Ring],
    join: f64,
    memory: u64,
) -> Resolved {
    resolve_and(bodies, others, voids, join, memory, shared_area)
}

/// How much area the rings that overlap share, as far as it is known.
type SharedArea = fn(&BTreeMap<usize, BTreeSet<usize>>, &[Role], &[&Ring], f64) -> Option<f64>;

/// As [`resolve_bodies`]; what it says of overlaps has the area that `shared` gives.
fn resolve_and(
    bodies: &[&[Ring]],
    others: &[&[Ring]],
    voids: &[Ring],
    join: f64,
    memory: u64,
    shared_area: SharedArea,
) -> Resolved {
    let mut findings = Vec::new();
    let others: Vec<Vec<&Ring>> = others.iter().map(|body| nest::distinct(body, join).0).collect();
    let (bodies, repeated): (Vec<_>, Vec<_>) = bodies.iter().map(|body| nest::distinct(body, join)).unzip();
    let (bodies, of_others) = nest::aligned(bodies, join);
    let everything = bodies.iter().flatten().copied().chain(voids).chain(others.iter().flatten().copied());
    let bounds = everything.fold(Bounds::EMPTY, |all, ring| all.union(ring.bounds()));
    findings.extend(repeated_finding(&repeated.into_iter().flatten().chain(of_others).collect::<Vec<_>>()));
    let (voids, _) = nest::distinct(voids, join);
    fn each(lists: &[Vec<&Ring>], role: impl Fn(u32) -> Role) -> Vec<Role> {
        let mut roles = Vec::with_capacity(lists.iter().map(Vec::len).sum());
        lists.iter().zip(0..).for_each(|(list, k)| roles.extend(std::iter::repeat_n(role(k), list.len())));
        roles
    }
    let mut roles = each(&bodies, Role::Solid);
    roles.extend(each(&others, Role::Other));
    roles.extend(std::iter::repeat_n(Role::Void, voids.len()));
    let is_one_body = bodies.len() == 1;
    // Of nearly all drawings the first list has all, and may be long.
    let mut lists = bodies.into_iter().chain(others).chain([voids]).filter(|list| !list.is_empty());
    let mut all = lists.next().unwrap_or_default();
    lists.for_each(|list| all.extend(list));
    let pieces = |depths: &[usize]| -> Vec<Piece> {
        let solid = |k: usize| matches!(roles[k], Role::Solid(_)) && depths[k].is_multiple_of(2);
        let mut pieces: Vec<Piece> = Vec::with_capacity(all.len());
        let mut messages: HashSet<(usize, bool)> = HashSet::new();
        for (k, ring) in all.iter().enumerate().filter(|(k, _)| !matches!(roles[*k], Role::Other(_))) {
            // Of a ring that bounds several bodies one is reported.
            if is_one_body || messages.insert((ring.identity(), solid(k))) {
                pieces.push(Piece { ring: (*ring).clone(), solid: solid(k) });
            }
        }
        pieces
    };
    let mut tolerance = noding_tolerance(&bounds);
    let mut trouble = None;
    let mut budget = Budget::for_curves(all.iter().map(|ring| ring.curves().len()).sum());
    loop {
        let mut meetings = match meetings::meetings(&all, tolerance, memory, &mut budget) {
            Ok(meetings) => meetings,
            Err(given_up) => {
                findings.push(match given_up {
                    meetings::GivenUp::Budget(near) => unresolved_finding(near),
                    meetings::GivenUp::Memory(near) => {
                        Finding::of(Code::MemoryToMeasure).with("left", Value::megabytes(memory)).at(near)
                    }
                });
                return Resolved { pieces: Vec::new(), region: None, findings, crossing: Vec::new() };
            }
        };
        if meetings.is_empty() && roles.iter().all(|r| *r == Role::Solid(0)) {
            let (region, depths) = nest::nest(&all);
            findings.extend(islands_finding(&all, &roles, &depths));
            return Resolved {
                pieces: pieces(&depths),
                region: Some(region),
                findings,
                crossing: Vec::new(),
            };
        }
        let crossing = (0..all.len()).filter(|k| meetings.crosses_itself(*k));
        let crossing: HashSet<usize> = crossing.map(|k| all[k].identity()).collect();
        match arrange::arrange(&all, &roles, &mut meetings, tolerance) {
            Ok(arranged) => {
                let overlapping = overlapping(&arranged.overlaps, &arranged.depths);
                let is_simple = |k: &usize| !crossing.contains(&all[*k].identity());
                let shared = match overlapping.values().flatten().all(is_simple) {
                    true => shared_area(&overlapping, &roles, &all, join),
                    // What a ring that crosses itself goes round clockwise counts negative in its area.
                    false => None,
                };
                findings.extend(overlap_finding(&arranged.overlaps, &all, shared));
                let overlapping = overlapping.values().flatten().map(|k| all[*k].clone()).collect();
                findings.extend(islands_finding(&all, &roles, &arranged.depths));
                findings.extend(own_finding(&all, &meetings));
                if let Some(near) = trouble {
                    findings.push(nearness_finding(near, tolerance, &arranged.region));
                }
                let pieces = pieces(&arranged.depths);
                let pieces = match all.len() {
                    1 if !crossing.is_empty() => arranged.region.pieces(true),
                    _ => simple(pieces, &crossing),
                };
                let region = Some(arranged.region).filter(|region| !region.parts.is_empty());
                findings.extend(region.is_none().then(|| Finding::of(Code::NothingLeft)));
                return Resolved { pieces, region, findings, crossing: overlapping };
            }
            Err(unresolved) => {
                trouble = trouble.or(Some(unresolved.near));
                tolerance *= 10.0;
                if tolerance > join.max(COARSEST * bounds.size()) {
                    findings.push(unresolved_finding(unresolved.near));
                    return Resolved { pieces: Vec::new(), region: None, findings, crossing: Vec::new() };
                }
            }
        }
    }
}

/// The rings without those that repeat another but for rounding.
pub(crate) fn distinct(rings: &[Ring]) -> Vec<&Ring> {
    nest::distinct(rings, 0.0).0
}

/// What a ring goes round that crosses itself is not what integrals along it give: it is reported as the pieces that it
/// resolves into.
fn simple(pieces: Vec<Piece>, crossing: &HashSet<usize>) -> Vec<Piece> {
    if crossing.is_empty() {
        return pieces;
    }
    let resolved = |piece: Piece| match crossing.contains(&piece.ring.identity()) {
        false => vec![piece],
        true => {
            let region = resolve(std::slice::from_ref(&piece.ring), &[]).region;
            region.map_or_else(|| vec![piece.clone()], |region| region.pieces(piece.solid))
        }
    };
    pieces.into_iter().flat_map(resolved).collect()
}

/// What is to be said where outlines are drawn more than once.
fn repeated_finding(repeated: &[nest::Repeat]) -> Option<Finding> {
    let first = repeated.first()?;
    // Beyond rounding it makes a difference which of them counts.
    let widest = repeated.iter().max_by(|p, q| p.apart.total_cmp(&q.apart)).filter(|r| r.apart > 0.0);
    let (shown, code) = match widest {
        Some(widest) => (widest, Code::OutlineRetraced),
        None => (first, Code::OutlineRepeated),
    };
    let mut finding = Finding::of(code).with("count", repeated.len());
    if let Some(widest) = widest {
        let area = repeated.iter().map(|r| r.apart * r.ring.length()).sum();
        finding = finding.with("apart", Value::Length(widest.apart)).with("area", Value::Area(area));
    }
    let origin = shown.ring.origin();
    Some(finding.at(shown.ring.curves()[0].start()).in_file(origin.position).on_entity(origin.handle))
}

/// What is to be said where outlines do not resolve.
fn unresolved_finding(near: Point) -> Finding {
    Finding::of(Code::OutlinesTooNear).at(near)
}

/// The rings that overlap others of the same depth, by depth.
fn overlapping(overlaps: &[arrange::Overlap], depths: &[usize]) -> BTreeMap<usize, BTreeSet<usize>> {
    let mut by_depth: BTreeMap<usize, BTreeSet<usize>> = BTreeMap::new();
    for ring in overlaps.iter().flat_map(|overlap| overlap.rings) {
        by_depth.entry(depths[ring]).or_default().insert(ring);
    }
    by_depth
}

/// How much area outlines of one depth share: what they come to one by one, less what they come to together. `None` where
/// they are many, or can't be resolved.
fn shared_area(
    overlapping: &BTreeMap<usize, BTreeSet<usize>>,
    roles: &[Role],
    all: &[&Ring],
    join: f64,
) -> Option<f64> {
    /// Of more it would cost too much for a remark.
    const MOST: usize = 100;
    let mut shared = 0.0;
    for depth in overlapping.values() {
        if depth.len() > MOST {
            return None;
        }
        // Outlines of several bodies do not overlap by this rule.
        let bodies: BTreeSet<Role> = depth.iter().map(|k| roles[*k]).collect();
        for body in bodies {
            let rings: Vec<Ring> =
                depth.iter().filter(|k| roles[**k] == body).map(|k| all[*k].clone()).collect();
            if rings.len() < 2 {
                continue;
            }
            // Each by itself: one that lies in another is no hole here. What they share is asked once, not of them again.
            let each: Vec<&[Ring]> = rings.iter().map(std::slice::from_ref).collect();
            let union = resolve_and(&each, &[], &[], join, u64::MAX, |_, _, _, _| None).region?;
            let area = |region: &Region| region.rings().map(|(sign, ring)| sign * ring.area()).sum::<f64>();
            shared += rings.iter().map(Ring::area).sum::<f64>() - area(&union);
        }
    }
    Some(shared).filter(|shared| *shared > 0.0)
}

/// What is to be said where outlines of one depth overlap.
fn overlap_finding(overlaps: &[arrange::Overlap], all: &[&Ring], shared: Option<f64>) -> Option<Finding> {
    let first = overlaps.iter().min_by(|p, q| p.point.by_place(&q.point))?;
    let origin = all[first.rings[0]].origin();
    Some(
        Finding::of(Code::OutlinesCross)
            .with_some("area", shared.map(Value::Area))
            .at(first.point)
            .in_file(origin.position)
            .on_entity(origin.handle),
    )
}

/// What is to be said of outlines in holes, which are solid again.
fn islands_finding(all: &[&Ring], roles: &[Role], depths: &[usize]) -> Option<Finding> {
    let is_island =
        |k: &usize| matches!(roles[*k], Role::Solid(_)) && depths[*k] >= 2 && depths[*k].is_multiple_of(2);
    let islands: Vec<&&Ring> = (0..all.len()).filter(is_island).map(|k| &all[k]).collect();
    let first = islands.iter().min_by(|a, b| a.by_place(b))?;
    let origin = first.origin();
    Some(
        Finding::of(Code::SolidsInHoles)
            .with("count", islands.len())
            .with("area", Value::Area(islands.iter().map(|ring| ring.area()).sum()))
            .at(first.curves()[0].start())
            .in_file(origin.position)
            .on_entity(origin.handle),
    )
}

/// What is to be said where an outline meets itself.
fn own_finding(rings: &[&Ring], meetings: &meetings::Meetings) -> Option<Finding> {
    let (count, place, ring) = meetings.own()?;
    let origin = rings[ring].origin();
    Some(
        Finding::of(Code::OutlineMeetsItself)
            .with("place", place)
            .with_some("more", Some(count - 1).filter(|more| *more > 0))
            .in_file(origin.position)
            .on_entity(origin.handle),
    )
}

/// What is to be said where outlines resolved only when those that nearly touch were taken to touch.
fn nearness_finding(near: Point, tolerance: f64, region: &Region) -> Finding {
    let length: f64 = region.rings().map(|(_, ring)| ring.length()).sum();
    Finding::of(Code::OutlinesNear)
        .with("within", Value::Length(tolerance))
        .with("area", Value::Area(tolerance * length))
        .at(near)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Curve;
    use crate::outline::Origin;

    fn polygon(corners: &[(f64, f64)]) -> Ring {
        let at = |k: usize| Point::new(corners[k % corners.len()].0, corners[k % corners.len()].1);
        let edges = (0..corners.len()).map(|k| Curve::line(at(k), at(k + 1))).collect();
        Ring::new(edges, Origin::default()).expect("a ring")
    }

    #[test]
    fn a_hole_that_touches_its_edge_may_lie_a_rounding_beyond_it() {
        let plate = polygon(&[(70.0, -30.0), (330.0, -30.0), (330.0, 150.0), (70.0, 150.0)]);
        let hole = |low: f64| polygon(&[(95.0, 40.0), (180.0, low), (285.0, 60.0), (190.0, 125.0)]);
        let resolved = resolve(&[plate.clone(), hole(-30.0 - 1e-12)], &[]).region.expect("a region");
        assert_eq!(resolved.parts.iter().map(|part| part.holes.len()).sum::<usize>(), 1);
        assert!(resolved.check());
        let beyond = Region { parts: vec![Part { edge: plate, holes: vec![hole(-30.1)] }] };
        assert!(!beyond.check());
    }

    #[test]
    fn drawn_rings_belong_to_the_part_around_them() {
        let square = |x: f64, y: f64, side: f64| {
            polygon(&[(x, y), (x + side, y), (x + side, y + side), (x, y + side)])
        };
        // Plates in a row, each with a hole; the third has an islet in its hole.
        let mut rings: Vec<Ring> = (0..40).map(|k| square(50.0 * f64::from(k) + 3.0, 7.0, 40.0)).collect();
        rings.extend((0..40).map(|k| square(50.0 * f64::from(k) + 8.0, 12.0, 20.0)));
        rings.push(square(112.0, 16.0, 5.0));
        let region = resolve(&rings, &[]).region.expect("a region");
        let parts = region.parts_of(&rings);
        for (k, part) in parts.iter().enumerate().take(80) {
            assert_eq!(region.parts[part.expect("a part")].edge.bounds().min.x, rings[k % 40].bounds().min.x);
        }
        assert_eq!(region.parts[parts[80].expect("a part")].edge.area(), 25.0);
        // The same rings drawn again are others, which are found by where they lie.
        let again: Vec<Ring> =
            rings.iter().map(|r| square(r.bounds().min.x, r.bounds().min.y, r.bounds().width())).collect();
        assert_eq!(region.parts_of(&again), parts);
        assert_eq!(region.part_of(&square(-90.0, 0.0, 20.0)), None);
    }
}
