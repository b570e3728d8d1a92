//! Loose pieces joined into rings: ends are welded, ends that lie on another piece cut it, and the blocks of the
//! graph that comes of it are the outlines. No curve is ever moved: a gap is closed by a straight link.

use std::collections::BTreeSet;

use super::graph::{Edge, Face, Graph, Step};
use super::open::{self, OpenChain};
use super::ring::{Origin, Ring};
use super::{Drawn, Outline, Similar};
use crate::finding::{self, Finding};
use crate::geometry::near::{Grid, near_pairs};
use crate::geometry::{Bounds, Curve, Effort, Point, contacts_within};

/// Joins `drawn` into rings and open chains.
pub(super) fn join(drawn: &[Drawn], tolerance: f64) -> Outline {
    let mut outline = Outline::default();
    let mut loose: Vec<Edge> = Vec::new();
    let mut closed: Vec<(u32, Vec<Curve>)> = Vec::new();
    for (index, entity) in drawn.iter().enumerate() {
        let index = index as u32;
        if !is_usable(entity, &mut outline) {
            continue;
        }
        if closes_alone(entity, tolerance) {
            closed.push((index, entity.curves.clone()));
        } else {
            loose.extend(entity.curves.iter().map(|curve| Edge::new(curve.clone(), index, false)));
        }
    }
    if !loose.is_empty() {
        join_loose(drawn, loose, &mut closed, tolerance, &mut outline);
    }
    for (index, curves) in closed {
        let origin = drawn[index as usize].origin;
        push_ring(&mut outline, linked(curves), origin);
    }
    outline.rings.sort_by(Ring::by_place);
    outline
}

/// Whether the entity's curves can be used; a finding says so where not.
fn is_usable(entity: &Drawn, outline: &mut Outline) -> bool {
    let at = |finding: Finding| finding.in_file(entity.origin.position).on_entity(entity.origin.handle);
    if !entity.curves.iter().all(Curve::is_sound) {
        outline
            .findings
            .push(at(Finding::warning("an entity with coordinates that are no numbers was left out")
                .hint("redraw it")));
        return false;
    }
    if entity.curves.is_empty() {
        let finding = at(Finding::note("an entity without length was left out"));
        outline.similar.push((Similar::WithoutLength, finding));
        return false;
    }
    true
}

fn closes_alone(entity: &Drawn, tolerance: f64) -> bool {
    let curves = &entity.curves;
    let gap = curves[0].start().distance(curves[curves.len() - 1].end());
    // A piece hardly longer than the tolerance is a speck between two others, not an outline.
    entity.closed || (gap <= tolerance && curves.iter().map(Curve::length).sum::<f64>() > 4.0 * tolerance)
}

/// The curves with straight links wherever one does not begin exactly where the one before ends.
pub(crate) fn linked(curves: Vec<Curve>) -> (Vec<Curve>, f64, Point) {
    let closes = curves[curves.len() - 1].end() == curves[0].start();
    if closes && curves.windows(2).all(|pair| pair[0].end() == pair[1].start()) {
        return (curves, 0.0, Point::ORIGIN);
    }
    let mut result = Vec::with_capacity(curves.len() + 1);
    let (mut largest, mut place) = (0.0_f64, Point::ORIGIN);
    let mut at = curves[curves.len() - 1].end();
    for curve in curves {
        let start = curve.start();
        if at != start {
            let gap = at.distance(start);
            if gap > largest {
                (largest, place) = (gap, start);
            }
            result.push(Curve::line(at, start));
        }
        at = curve.end();
        result.push(curve);
    }
    (result, largest, place)
}

fn push_ring(outline: &mut Outline, (curves, gap, place): (Vec<Curve>, f64, Point), origin: Origin) {
    /// An outline whose area is below this share of its size squared encloses nothing but rounding.
    const NO_AREA: f64 = 1e-12;
    let at = |finding: Finding| finding.in_file(origin.position).on_entity(origin.handle);
    let start = curves[0].start();
    match Ring::new(curves, origin) {
        Some(ring) if ring.area() > NO_AREA * ring.bounds().size() * ring.bounds().size() => {
            if gap > outline.largest_gap {
                (outline.largest_gap, outline.gap_place) = (gap, place);
            }
            outline.rings.push(ring.with_gap(gap));
        }
        _ => {
            let finding =
                at(Finding::warning("a closed outline that encloses no area was left out").at(start));
            outline.similar.push((Similar::WithoutArea, finding));
        }
    }
}

fn join_loose(
    drawn: &[Drawn],
    pieces: Vec<Edge>,
    closed: &mut Vec<(u32, Vec<Curve>)>,
    tolerance: f64,
    outline: &mut Outline,
) {
    let mut graph = Graph::weld(pieces, tolerance);
    outline.repeated += graph.drop_repeated(tolerance);
    let unfinished = graph.unfinished();
    if unfinished.iter().any(|u| *u) {
        // Outlines that close by themselves join in where a loose end lies on them.
        let mut pieces = graph.edges;
        for (index, curves) in std::mem::take(closed) {
            pieces.extend(curves.into_iter().map(|curve| Edge::new(curve, index, true)));
        }
        let cuts = ends_on_pieces(&pieces, &unfinished, tolerance);
        let touched: BTreeSet<u32> = cuts.iter().map(|c| pieces[c.piece].owner).collect();
        let mut kept = Vec::with_capacity(pieces.len() + cuts.len());
        let mut cuts = cuts.into_iter().peekable();
        for (index, piece) in pieces.into_iter().enumerate() {
            let mut parameters = Vec::new();
            while let Some(cut) = cuts.next_if(|c| c.piece == index) {
                parameters.push(cut.parameter);
            }
            if piece.closed && !touched.contains(&piece.owner) {
                match closed.last_mut() {
                    Some((owner, curves)) if *owner == piece.owner => curves.push(piece.curve),
                    _ => closed.push((piece.owner, vec![piece.curve])),
                }
                continue;
            }
            parameters.retain(|t| *t > 0.0 && *t < 1.0);
            for curve in piece.curve.cut_at(&parameters) {
                kept.push(Edge { curve, ..piece });
            }
        }
        graph = Graph::weld(kept, tolerance);
        outline.repeated += graph.drop_repeated(tolerance);
    }
    let (rings, left_over) = close(&graph, drawn, outline);
    for (curves, origin) in rings {
        push_ring(outline, linked(curves), origin);
    }
    if outline.rings.is_empty() && closed.is_empty() && left_over.len() > 2 {
        close_at_crossings(&graph, &left_over, drawn, tolerance, outline);
    } else {
        outline.open = open_chains(&graph, &left_over, drawn);
    }
}

/// A place where the end of one piece lies on another.
struct Cut {
    piece: usize,
    parameter: f64,
}

/// Where ends of unfinished pieces lie on other pieces, sorted by piece and parameter. A contact with an end is
/// told as parameter 0 or 1: there is nothing to cut, but the two belong together.
fn ends_on_pieces(pieces: &[Edge], unfinished: &[bool], tolerance: f64) -> Vec<Cut> {
    let boxes: Vec<Bounds> = pieces.iter().map(|p| p.curve.bounds()).collect();
    let grid = Grid::over(&boxes, tolerance);
    let mut cuts = Vec::new();
    for (index, (edge, unfinished)) in pieces.iter().zip(unfinished).enumerate() {
        if !unfinished {
            continue;
        }
        for end in [edge.curve.start(), edge.curve.end()] {
            for &target in grid.around(end) {
                let target = target as usize;
                if target == index || !boxes[target].grown(tolerance).contains_point(end) {
                    continue;
                }
                let curve = &pieces[target].curve;
                let parameter = curve.nearest(end);
                if curve.at(parameter).distance(end) > tolerance {
                    continue;
                }
                let at_end = [(0.0, curve.start()), (1.0, curve.end())]
                    .into_iter()
                    .find(|(_, p)| p.distance(end) <= tolerance);
                match at_end {
                    Some((t, _)) if pieces[target].closed => cuts.push(Cut { piece: target, parameter: t }),
                    Some(_) => {}
                    None => cuts.push(Cut { piece: target, parameter }),
                }
            }
        }
    }
    cuts.sort_by(|a, b| a.piece.cmp(&b.piece).then(a.parameter.total_cmp(&b.parameter)));
    // Several ends at one place cut once.
    cuts.dedup_by(|later, earlier| {
        later.piece == earlier.piece && {
            let curve = &pieces[later.piece].curve;
            curve.at(later.parameter).distance(curve.at(earlier.parameter)) <= tolerance
        }
    });
    cuts
}

/// The rings that the graph closes, each with its origin, and the edges left over.
fn close(graph: &Graph, drawn: &[Drawn], outline: &mut Outline) -> (Vec<(Vec<Curve>, Origin)>, Vec<u32>) {
    let (mut rings, mut left_over) = (Vec::new(), Vec::new());
    for block in graph.blocks() {
        let edge = &graph.edges[block[0] as usize];
        if block.len() == 1 && edge.from != edge.to {
            left_over.push(block[0]);
            continue;
        }
        let traced = graph.outline(&block);
        let origin = origin_of(graph, &traced.outside, drawn);
        let curves: Vec<Curve> = traced.outside.iter().map(|step| graph.curve(*step)).collect();
        if !traced.faces.is_empty() {
            let finding = branching(&traced.faces, origin, curves[0].start());
            outline.similar.push((Similar::Branching, finding));
        }
        rings.push((curves, origin));
    }
    left_over.sort_unstable();
    (rings, left_over)
}

/// Where the first drawn piece of a walk stands.
fn origin_of(graph: &Graph, walk: &[Step], drawn: &[Drawn]) -> Origin {
    walk.iter()
        .map(|step| drawn[graph.edges[step.edge as usize].owner as usize].origin)
        .min_by_key(|origin| origin.position)
        .unwrap_or_default()
}

fn branching(faces: &[Face], origin: Origin, place: Point) -> Finding {
    let list = |faces: &[&Face]| {
        const SHOWN: usize = 6;
        let mut areas: Vec<f64> = faces.iter().map(|f| f.area).collect();
        areas.sort_by(|a, b| b.total_cmp(a));
        let mut text: Vec<String> = areas.iter().take(SHOWN).map(|a| finding::short(*a)).collect();
        if areas.len() > SHOWN {
            text.push(format!("and {} more", areas.len() - SHOWN));
        }
        text.join(", ")
    };
    let all: Vec<&Face> = faces.iter().collect();
    let enclosed: Vec<&Face> = faces.iter().filter(|f| f.enclosed).collect();
    let message = format!(
        "lines branch: {} faces of area {} (drawing units²) are taken as one solid, the lines between them as joints",
        faces.len(),
        list(&all)
    );
    let finding = if enclosed.is_empty() {
        Finding::note(message)
    } else {
        Finding::warning(format!(
            "{message}; {} of them (area {}) lie inside",
            enclosed.len(),
            list(&enclosed)
        ))
        .hint("if one is an opening, draw it as a closed outline of its own that no line joins to the edge")
    };
    finding.at(place).in_file(origin.position)
}

/// Nothing closed: tries again with the pieces cut where they cross, as of lines that run past their corners.
fn close_at_crossings(
    graph: &Graph,
    left_over: &[u32],
    drawn: &[Drawn],
    tolerance: f64,
    outline: &mut Outline,
) {
    let curves: Vec<&Curve> = left_over.iter().map(|e| &graph.edges[*e as usize].curve).collect();
    let boxes: Vec<Bounds> = curves.iter().map(|c| c.bounds()).collect();
    let mut cuts: Vec<Vec<f64>> = vec![Vec::new(); curves.len()];
    let mut effort = Effort::for_curves(curves.len());
    near_pairs(&boxes, tolerance, |i, j| {
        for contact in contacts_within(curves[i], curves[j], tolerance, &mut effort) {
            cuts[i].push(contact.a);
            cuts[j].push(contact.b);
        }
    });
    if effort.is_spent() {
        outline.findings.push(
            Finding::warning(
                "open curves run along each other over and over: where they cross was not sought",
            )
            .at(curves[0].start())
            .hint("draw the outline once, closed"),
        );
        outline.open = open_chains(graph, left_over, drawn);
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
        pieces.extend(curve.cut_at(&parameters).into_iter().map(|curve| Edge::new(curve, owner, false)));
    }
    let mut crossed = Graph::weld(pieces, tolerance);
    outline.repeated += crossed.drop_repeated(tolerance);
    let mut attempt = Outline::default();
    let (rings, still_open) = close(&crossed, drawn, &mut attempt);
    if rings.is_empty() {
        outline.open = open_chains(graph, left_over, drawn);
        return;
    }
    outline.findings.push(
        Finding::warning(
            "the outline closes only where lines cross; what runs past the crossings was cut off",
        )
        .at(rings[0].0[0].start())
        .hint("trim the lines at the corners"),
    );
    outline.findings.append(&mut attempt.findings);
    outline.similar.append(&mut attempt.similar);
    for (curves, origin) in rings {
        push_ring(outline, linked(curves), origin);
    }
    outline.open = open_chains(&crossed, &still_open, drawn);
    // The stubs beyond the corners are told by the finding above.
    outline.open.retain(|chain| chain.nearly_closed);
}

fn open_chains(graph: &Graph, left_over: &[u32], drawn: &[Drawn]) -> Vec<OpenChain> {
    let chains = graph
        .chains(left_over)
        .iter()
        .map(|walk| {
            let (start, end) = graph.ends(walk);
            let curves: Vec<&Curve> = walk.iter().map(|s| &graph.edges[s.edge as usize].curve).collect();
            let origin = origin_of(graph, walk, drawn);
            open::describe(start, end, &curves, origin)
        })
        .collect();
    open::compare(chains)
}
