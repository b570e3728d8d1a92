//! Loose pieces joined into rings: ends find their partners, ends that lie on another piece cut it, and the blocks of the
//! graph that comes of it are the outlines. No curve is ever moved: what hangs over is cut off, a gap is closed by a
//! straight link.

use std::collections::{BTreeMap, BTreeSet};

use super::contact::{Ends, Owned, cut_at_crossings, cut_at_ends};
use super::graph::{Block, Blocks, Face, Graph, GraphEdge, Step};
use super::joint::{Piece, Slip, Swept, joined, linked};
use super::repeated::in_place_order;
use super::ring::{Origin, PackedOrigin, Ring, closes, sort_by_place};
use super::weld::{SPECK, Welded, weld};
use super::{Branching, InputPath, Joining, Outline};
use super::{gap, open};
use crate::finding::{Code, Finding, Severity, Value};
use crate::geometry::near::near_pairs;
use crate::geometry::{Bounds, Budget, Curve, Point, contacts_within};

/// Joins `drawn` into rings and open chains. Where nothing closes and nothing is beside, lines are cut where they cross. Where
/// all paths are closed by their own nature, none is kept but as a ring.
pub(super) fn join(
    drawn: impl IntoIterator<Item = InputPath>,
    joining: Joining,
    all_closed: bool,
) -> Outline {
    let tolerance = joining.tolerance;
    let mut outline = Outline::default();
    let mut loose: Vec<GraphEdge> = Vec::new();
    let mut closed: Vec<Owned> = Vec::new();
    let mut origins: Vec<PackedOrigin> = Vec::new();
    for (index, entity) in drawn.into_iter().enumerate() {
        let index = index as u32;
        if all_closed {
            if is_usable(&entity, &mut outline) {
                push_closed(&mut outline, entity.curves, entity.origin, tolerance);
            }
            continue;
        }
        origins.push(PackedOrigin::new(entity.origin));
        if !is_usable(&entity, &mut outline) {
            continue;
        }
        if entity.closed || entity.curves[0].start() == entity.curves[entity.curves.len() - 1].end() {
            closed.push((index, entity.curves));
        } else {
            loose.extend(entity.curves.into_iter().map(|curve| GraphEdge::new(curve, index, false)));
        }
    }
    if !loose.is_empty() {
        join_loose(&origins, loose, &mut closed, joining, &mut outline);
    }
    outline.rings.reserve(closed.len());
    for (index, curves) in closed {
        push_closed(&mut outline, curves, origins[index as usize].origin(), tolerance);
    }
    sort_by_place(&mut outline.rings);
    outline
}

/// Adds what closes by its own nature.
fn push_closed(outline: &mut Outline, curves: Vec<Curve>, origin: Origin, tolerance: f64) {
    if closes(&curves) {
        push_ring(outline, (curves, Vec::new()), origin);
    } else {
        let pieces = curves.into_iter().map(Piece::from).collect();
        push_ring(outline, joined(pieces, tolerance), origin);
    }
}

/// Whether the entity's curves can be used; a finding says so where not.
fn is_usable(entity: &InputPath, outline: &mut Outline) -> bool {
    let at = |finding: Finding| finding.in_file(entity.origin.position).on_entity(entity.origin.handle);
    if !entity.curves.iter().all(Curve::is_sound) {
        outline.findings.push(at(Finding::of(Code::EntityNotFinite)));
        return false;
    }
    if entity.curves.is_empty() {
        outline.similar.push(at(Finding::of(Code::EntityWithoutLength)));
        return false;
    }
    true
}

fn push_ring(outline: &mut Outline, (curves, slips): (Vec<Curve>, Vec<Slip>), origin: Origin) {
    let at = |finding: Finding| finding.in_file(origin.position).on_entity(origin.handle);
    let start = curves[0].start();
    match Ring::with_slips(curves, slips, origin).filter(Ring::goes_round_something) {
        Some(ring) => outline.rings.push(ring),
        None => outline.similar.push(at(Finding::of(Code::OutlineWithoutArea).at(start))),
    }
}

/// Adds rings whose pieces are not joined yet.
fn push_joined(outline: &mut Outline, rings: Vec<Walked>, tolerance: f64) {
    for Walked { pieces, origin, slots } in rings {
        let (curves, mut slips) = joined(pieces, tolerance);
        slips.extend(slots);
        push_ring(outline, (curves, slips), origin);
    }
}

/// A ring of the graph.
struct Walked {
    pieces: Vec<Piece>,
    origin: Origin,
    /// Faces within it that may be slots.
    slots: Vec<Slip>,
}

fn join_loose(
    origins: &[PackedOrigin],
    pieces: Vec<GraphEdge>,
    closed: &mut Vec<Owned>,
    joining: Joining,
    outline: &mut Outline,
) {
    let tolerance = joining.tolerance;
    let Welded { mut graph, choice, crowd } = weld(pieces, tolerance);
    outline.findings.extend(choice.map(|(place, count)| choice_finding(place, count)));
    outline.findings.extend(crowd.map(crowd_finding));
    outline.repeated += graph.drop_repeated(tolerance, ALONGSIDE);
    let mut blocks = graph.traced();
    (graph, blocks) = join_retraced(graph, blocks, tolerance, &mut outline.repeated);
    // Ends without a partner first; those that have one only where something stays open without.
    for kind in [Ends::free, Ends::unfinished] {
        let ends = kind(&graph);
        if blocks.iter().all(|(_, traced)| traced.is_some()) || !ends.any() {
            break;
        }
        graph = cut_at_ends(graph, closed, &ends, tolerance);
        outline.repeated += graph.drop_repeated(tolerance, ALONGSIDE);
        blocks = graph.traced();
        (graph, blocks) = join_retraced(graph, blocks, tolerance, &mut outline.repeated);
    }
    let (crossed, is_cut, given_up) = cut_at_crossings(graph, &blocks, tolerance);
    graph = crossed;
    outline.findings.extend(given_up.map(|place| crossings_finding(place).weighing(Severity::Note)));
    if is_cut {
        outline.repeated += graph.drop_repeated(tolerance, ALONGSIDE);
        blocks = graph.traced();
    }
    /// So many tolerances from a node what leaves it lies clear of the gaps in it.
    const FAR: f64 = 16.0;
    // Where pieces about as short as the gaps leave no order of what meets there, they are left out.
    let is_tangled = |traced: &Option<Block>| traced.as_ref().is_some_and(|traced| !traced.is_plane);
    let tangled = blocks.iter().filter(|(_, traced)| is_tangled(traced));
    let tangled: Vec<u32> = tangled.flat_map(|(block, _)| block).copied().collect();
    if !tangled.is_empty() {
        graph = graph.contracted(&tangled, SPECK * tolerance);
        outline.repeated += graph.drop_repeated(tolerance, ALONGSIDE);
        blocks = graph.traced();
        for (block, traced) in blocks.iter_mut().filter(|(_, traced)| is_tangled(traced)) {
            let again = graph.outline_from_afar(block, FAR * tolerance);
            if again.is_plane {
                *traced = Some(again);
            }
        }
    }
    let (rings, left_over) = close(&graph, blocks, origins, joining, outline);
    push_joined(outline, rings, tolerance);
    if !joining.beside_others && outline.rings.is_empty() && closed.is_empty() && left_over.len() > 2 {
        close_where_lines_cross(&graph, &left_over, origins, joining, outline);
    } else {
        set_open_chains(outline, &graph, &left_over, origins);
    }
}

/// Pieces of branching blocks that were drawn again a hair apart are the same pieces: as different ones they would go round
/// slivers. What does not branch closes as it is drawn, however narrow.
fn join_retraced(graph: Graph, blocks: Blocks, tolerance: f64, repeated: &mut usize) -> (Graph, Blocks) {
    let branching = blocks.iter().filter(|(_, traced)| traced.as_ref().is_some_and(Block::branches));
    let pieces: Vec<u32> = branching.flat_map(|(block, _)| block).copied().collect();
    if pieces.is_empty() {
        return (graph, blocks);
    }
    let (mut graph, found) = graph.with_retraced_joined(&pieces, tolerance);
    if !found {
        return (graph, blocks);
    }
    *repeated += graph.drop_repeated(tolerance, ALONGSIDE);
    let blocks = graph.traced();
    (graph, blocks)
}

/// Of two pieces nearer to each other than this share of their length neither bounds anything with the other: two halves
/// of a small circle lie a good half of their length apart.
const ALONGSIDE: f64 = 0.25;

fn choice_finding(place: Point, count: usize) -> Finding {
    Finding::of(Code::EndsAsNear).with("count", count).at(place)
}

fn crossings_finding(place: Point) -> Finding {
    Finding::of(Code::CrossingsNotSought).at(place)
}

fn crowd_finding(place: Point) -> Finding {
    Finding::of(Code::EndsCrowded).at(place)
}

/// The rings that the graph closes, each with its origin, and the edges left over.
fn close(
    graph: &Graph,
    blocks: Blocks,
    origins: &[PackedOrigin],
    joining: Joining,
    outline: &mut Outline,
) -> (Vec<Walked>, Vec<u32>) {
    let (mut rings, mut left_over) = (Vec::new(), Vec::new());
    for (block, traced) in blocks {
        let Some(traced) = traced else {
            left_over.extend(block);
            continue;
        };
        let origin = origin_of(graph, &traced.outside, origins);
        let is_apart = joining.branching == Branching::Apart && traced.is_plane && !traced.faces.is_empty();
        if !traced.is_plane {
            outline.findings.push(tangled(origin, place_of(graph, &traced.outside)));
        }
        if !traced.faces.is_empty() {
            let place = place_of(graph, &traced.outside);
            outline.similar.push(branching(&traced.faces, is_apart, origin, place));
        }
        let walks = match is_apart {
            true => traced.faces.into_iter().map(|face| (face.walk, Vec::new())).collect(),
            false => {
                let slots = traced.faces.iter().filter_map(|face| slot(graph, face, joining.tolerance));
                vec![(traced.outside, slots.collect())]
            }
        };
        for (walk, slots) in walks {
            let pieces = walk.iter().map(|step| graph.piece(*step)).collect();
            let origin = origin_of(graph, &walk, origins);
            rings.push((Walked { pieces, origin, slots }, walk));
        }
    }
    left_over.sort_unstable();
    let overhangs = overhangs(graph, &mut left_over, joining.tolerance);
    let rings = rings
        .into_iter()
        .map(|(mut ring, walk)| {
            for (piece, step) in ring.pieces.iter_mut().zip(&walk) {
                piece.overhang = overhangs.get(&graph.head(*step)).copied().unwrap_or_default();
            }
            ring
        })
        .collect();
    (rings, left_over)
}

/// A face that is taken as solid may be a slot where it is so narrow that what runs past the corners of its mouth closes it:
/// its area is in doubt, as where an end is off by its width.
fn slot(graph: &Graph, face: &Face, tolerance: f64) -> Option<Slip> {
    /// What runs past on both sides and the gap that is closed between, each up to the tolerance.
    const WIDEST: f64 = 3.0;
    let curves = || face.walk.iter().map(|step| &graph.edges[step.edge as usize].curve);
    let side = 0.5 * curves().map(Curve::length).sum::<f64>();
    let width = face.area.abs() / side;
    let place = place_of(graph, &face.walk);
    let around = curves().fold(Bounds::EMPTY, |all, curve| all.union(curve.bounds()));
    let swept = Swept { length: side, joint: place, far: None, around };
    let is_narrow = width > 0.0 && width <= WIDEST * tolerance;
    is_narrow.then_some(Slip { place, apart: width, gap: 0.0, overhang: 0.0, pieces: [swept; 2] })
}

/// Takes what runs past a joint by no more than the tolerance from the edges that are left over; the length of the longest
/// at each node.
fn overhangs(graph: &Graph, left_over: &mut Vec<u32>, tolerance: f64) -> BTreeMap<u32, f64> {
    let mut found: BTreeMap<u32, f64> = BTreeMap::new();
    if left_over.is_empty() {
        return found;
    }
    let degrees = graph.degrees();
    left_over.retain(|index| {
        let edge = &graph.edges[*index as usize];
        let length = edge.curve.length();
        let ends = (degrees[edge.from as usize], degrees[edge.to as usize]);
        let node = match ends {
            (1, other) if other > 2 => edge.to,
            (other, 1) if other > 2 => edge.from,
            _ => return true,
        };
        if length > tolerance {
            return true;
        }
        let longest = found.entry(node).or_default();
        *longest = longest.max(length);
        false
    });
    found
}

fn tangled(origin: Origin, place: Point) -> Finding {
    Finding::of(Code::OutlineTangled).at(place).in_file(origin.position).on_entity(origin.handle)
}

/// The lowest leftmost node of a walk.
fn place_of(graph: &Graph, walk: &[Step]) -> Point {
    let starts = walk.iter().map(|step| graph.curve(*step).start());
    starts.min_by(Point::by_place).unwrap_or(Point::ORIGIN)
}

/// Where the first drawn piece of a walk stands.
fn origin_of(graph: &Graph, walk: &[Step], origins: &[PackedOrigin]) -> Origin {
    walk.iter()
        .map(|step| origins[graph.edges[step.edge as usize].owner as usize].origin())
        .min_by_key(|origin| origin.position)
        .unwrap_or_default()
}

fn branching(faces: &[Face], is_apart: bool, origin: Origin, place: Point) -> Finding {
    let areas = |faces: &mut dyn Iterator<Item = &Face>| {
        let mut areas: Vec<f64> = faces.map(|face| face.area).collect();
        areas.sort_by(|a, b| b.total_cmp(a));
        areas
    };
    let all = areas(&mut faces.iter());
    let inside = areas(&mut faces.iter().filter(|face| face.enclosed));
    let code = match (is_apart, inside.is_empty()) {
        (false, true) => Code::LinesBranch,
        (false, false) => Code::LinesBranchInside,
        (true, true) => Code::Faces,
        (true, false) => Code::FacesInside,
    };
    let mut finding = Finding::of(code).with("faces", all.len()).with("areas", Value::Areas(all));
    if !inside.is_empty() {
        finding = finding.with("inside", inside.len()).with("inside_areas", Value::Areas(inside));
    }
    finding.at(place).in_file(origin.position)
}

/// Nothing closed: tries again with the pieces cut where they cross, as of lines that run past their corners.
fn close_where_lines_cross(
    graph: &Graph,
    left_over: &[u32],
    origins: &[PackedOrigin],
    joining: Joining,
    outline: &mut Outline,
) {
    let tolerance = joining.tolerance;
    let curves: Vec<&Curve> = left_over.iter().map(|e| &graph.edges[*e as usize].curve).collect();
    let boxes: Vec<Bounds> = curves.iter().map(|c| c.bounds()).collect();
    let mut cuts: Vec<Vec<f64>> = vec![Vec::new(); curves.len()];
    let mut budget = Budget::for_curves(curves.len());
    near_pairs(&boxes, tolerance, |i, j| {
        let (i, j) = in_place_order(i, j, |k| curves[k]);
        for contact in contacts_within(curves[i], curves[j], tolerance, &mut budget) {
            cuts[i].push(contact.a);
            cuts[j].push(contact.b);
        }
    });
    if budget.is_spent() {
        outline.findings.push(crossings_finding(curves[0].start()));
        set_open_chains(outline, graph, left_over, origins);
        return;
    }
    let mut pieces = Vec::new();
    for ((curve, edge), mut parameters) in curves.iter().zip(left_over).zip(cuts) {
        parameters.sort_by(f64::total_cmp);
        parameters.retain(|t| {
            let place = curve.at(*t);
            place.distance(curve.start()) > tolerance && place.distance(curve.end()) > tolerance
        });
        parameters.dedup_by(|a, b| curve.at(*a).distance(curve.at(*b)) <= tolerance);
        let owner = graph.edges[*edge as usize].owner;
        let drawn_length = Some(curve.length());
        let parts = curve.cut_at(&parameters).into_iter();
        pieces.extend(parts.map(|curve| GraphEdge { drawn_length, ..GraphEdge::new(curve, owner, false) }));
    }
    let mut crossed = Graph::weld(pieces, tolerance);
    outline.repeated += crossed.drop_repeated(tolerance, ALONGSIDE);
    let mut attempt = Outline::default();
    let blocks = crossed.traced();
    let (rings, still_open) = close(&crossed, blocks, origins, joining, &mut attempt);
    if rings.is_empty() {
        set_open_chains(outline, graph, left_over, origins);
        return;
    }
    outline.findings.push(Finding::of(Code::ClosedAtCrossings).at(rings[0].pieces[0].curve.start()));
    outline.findings.append(&mut attempt.findings);
    outline.similar.append(&mut attempt.similar);
    push_joined(outline, rings, tolerance);
    set_open_chains(outline, &crossed, &still_open, origins);
    // The stubs beyond the corners are told by the finding above.
    outline.open.retain(|chain| chain.nearly_closed);
}

/// Describes the chains that close nothing, and what the nearly closed ones would be.
fn set_open_chains(outline: &mut Outline, graph: &Graph, left_over: &[u32], origins: &[PackedOrigin]) {
    let mut walks = graph.chains(left_over);
    for walk in &mut walks {
        // Told from left to right, whichever of their pieces was drawn first.
        let (start, end) = graph.ends(walk);
        if end.by_place(&start).is_lt() {
            walk.reverse();
            walk.iter_mut().for_each(|step| step.forward = !step.forward);
        }
    }
    let chains = walks
        .iter()
        .map(|walk| {
            let (start, end) = graph.ends(walk);
            let curves: Vec<&Curve> = walk.iter().map(|s| &graph.edges[s.edge as usize].curve).collect();
            let origin = origin_of(graph, walk, origins);
            open::describe(start, end, &curves, origin)
        })
        .collect();
    let (open, order, loops) = open::compare(chains);
    outline.open = open;
    let walked = |(walk, forward): &(usize, bool)| -> Vec<Curve> {
        let curves = walks[*walk].iter().map(|step| graph.curve(*step));
        if *forward { curves.collect() } else { curves.rev().map(|curve| curve.reversed()).collect() }
    };
    outline.nearly_closed = loops
        .iter()
        .filter_map(|members| {
            let origin = members.first().map(|(walk, _)| origin_of(graph, &walks[*walk], origins));
            Ring::new(linked(members.iter().flat_map(walked).collect()), origin.unwrap_or_default())
        })
        .collect();
    let known: BTreeSet<u32> =
        loops.iter().flatten().flat_map(|(walk, _)| &walks[*walk]).map(|step| step.edge).collect();
    for nearly in gap::nearly_closed(graph, left_over) {
        if nearly.open.is_subset(&known) {
            continue;
        }
        for (chain, walk) in outline.open.iter_mut().zip(&order) {
            if walks[*walk].iter().all(|step| nearly.open.contains(&step.edge)) {
                (chain.nearly_closed, chain.gap) = (true, nearly.gap);
            }
        }
        let origin = origin_of(graph, &nearly.walk, origins);
        let curves = nearly.walk.iter().map(|step| graph.curve(*step)).collect();
        outline.nearly_closed.extend(Ring::new(linked(curves), origin));
    }
    outline.nearly_closed.sort_by(Ring::by_place);
}
