//! Outlines: closed entities and loose pieces become closed rings of exact curves.

mod contact;
mod flatten;
mod gap;
pub(crate) mod graph;
mod join;
mod joint;
mod open;
mod per_curve;
mod repeated;
mod ring;
pub(crate) mod rotation;
mod sets;
mod weld;
mod winding;

#[cfg(feature = "sheet")]
pub(crate) use flatten::chord_ends;
pub use flatten::flatten;
pub(crate) use joint::linked;
pub use joint::{Slip, Swept};
pub use open::{NEARLY_CLOSED, OpenChain};
pub use per_curve::{EachCurve, PerCurve};
pub(crate) use repeated::by_place;
pub use ring::{Origin, Ring};
pub(crate) use sets::Sets;
pub(crate) use weld::SPECK;
pub(crate) use winding::Rays;

use std::collections::HashSet;

use crate::finding::{Code, Finding, Value};
use crate::geometry::{Curve, Point};

/// One drawn entity, as curves in drawing units.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct InputPath {
    /// Its curves in order, each beginning where the one before ends.
    pub curves: Vec<Curve>,
    /// It closes by its own nature: a circle, a closed polyline.
    pub closed: bool,
    /// Where it stands in the file.
    pub origin: Origin,
}

impl InputPath {
    /// The curves of an entity in order, each beginning where the one before ends.
    pub fn new(curves: Vec<Curve>, closed: bool, origin: Origin) -> InputPath {
        InputPath { curves, closed, origin }
    }
}

/// What the drawn entities come to.
#[derive(Clone, Debug, Default)]
#[must_use]
#[non_exhaustive]
pub struct Outline {
    /// Closed rings, in an order that does not depend on the order of drawing.
    pub rings: Vec<Ring>,
    /// Chains that close nothing.
    pub open: Vec<OpenChain>,
    /// What the nearly closed among them would be with their gaps closed.
    pub nearly_closed: Vec<Ring>,
    /// Number of pieces left out because they repeat another piece, or a part of one.
    pub repeated: usize,
    /// What the reader must know.
    pub findings: Vec<Finding>,
    /// What may be found many times on one layer, and is then told a few times with a count.
    similar: Vec<Finding>,
}

/// Kinds of finding that come in numbers, the last code of each for a count of those that are not listed.
const SIMILAR: [&[Code]; 4] = [
    &[Code::EntityWithoutLength],
    &[Code::OutlineWithoutArea],
    &[Code::LinesBranchInside, Code::LinesBranch],
    &[Code::FacesInside, Code::Faces],
];

/// What an outline is whose lines branch.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) enum Branching {
    /// One solid, with the lines in it as joints.
    #[default]
    Joined,
    /// An outline for each face: plates that share a cut.
    Apart,
}

/// Joins drawn entities into closed rings. Ends within `tolerance` (drawing units) of each other, or of another
/// piece, are joined; a gap is closed by a straight link, and no curve is moved.
///
/// Open chains and what else a reader must know stand in [`Outline::findings`].
pub fn trace(drawn: &[InputPath], tolerance: f64) -> Outline {
    let all_closed = drawn.iter().all(|path| path.closed);
    trace_each(drawn.iter().cloned(), Joining { tolerance, ..Joining::default() }, all_closed)
}

/// How pieces are joined.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Joining {
    /// How near to each other ends are one (drawing units).
    pub tolerance: f64,
    /// There are closed outlines that are not among the pieces: lines that merely cross close nothing then.
    pub beside_others: bool,
    pub branching: Branching,
}

/// As [`trace`], in this way, of paths that are made one by one. Paths that are all `closed` are kept as rings alone.
pub(crate) fn trace_each(
    drawn: impl IntoIterator<Item = InputPath>,
    joining: Joining,
    all_closed: bool,
) -> Outline {
    gathered(join::join(drawn, joining, all_closed), joining.tolerance)
}

/// The outline with its findings gathered.
fn gathered(mut outline: Outline, tolerance: f64) -> Outline {
    let mut gathered = std::mem::take(&mut outline.findings);
    for kind in SIMILAR {
        gathered.extend(few(kind, &outline.similar));
    }
    outline.similar.clear();
    if outline.repeated > 0 {
        gathered.push(Finding::of(Code::PiecesRepeated).with("count", outline.repeated));
    }
    gathered.extend(open_findings(&outline.open, tolerance));
    outline.findings = gathered;
    outline
}

/// The gravest findings of a kind, and a count of the others with the weight of the gravest among them.
fn few(kind: &[Code], similar: &[Finding]) -> Vec<Finding> {
    /// More of a kind are counted, not listed.
    const LISTED: usize = 3;
    let mut gathered: Vec<Finding> =
        similar.iter().filter(|finding| kind.contains(&finding.code)).cloned().collect();
    gathered.sort_by_key(|finding| std::cmp::Reverse(finding.severity));
    let rest = gathered.split_off(gathered.len().min(LISTED));
    if let (Some(next), Some(code)) = (rest.first(), kind.last()) {
        gathered.push(Finding::of(*code).with("more", rest.len()).weighing(next.severity));
    }
    gathered
}

/// Findings on open chains: each gap of nearly closed outlines by itself, other chains in sum.
fn open_findings(open: &[OpenChain], tolerance: f64) -> Vec<Finding> {
    /// More gaps than this on one layer are counted, not listed.
    const LISTED: usize = 5;
    let mut gathered = Vec::new();
    let nearly = open.iter().filter(|c| c.nearly_closed);
    let mut gaps = Vec::new();
    let mut seen = HashSet::new();
    for chain in nearly {
        for (from, to, gap) in chain.gaps() {
            // Both chains that a gap lies between have it, one of them the other way round.
            let key = |a: Point, b: Point| [a.x, a.y, b.x, b.y].map(f64::to_bits);
            if !seen.contains(&key(to, from)) && seen.insert(key(from, to)) {
                gaps.push((from, to, gap, chain));
            }
        }
    }
    // Where an edge runs past a corner three ends are joined, and each is the nearest to another: what is open lies elsewhere.
    if gaps.iter().any(|(.., gap, _)| *gap > tolerance) {
        gaps.retain(|(.., gap, _)| *gap > tolerance);
    }
    for (start, end, gap, chain) in gaps.iter().take(LISTED) {
        gathered.push(
            Finding::of(Code::OutlineNotClosed)
                .with("length", Value::Length(chain.length))
                .with("start", *start)
                .with("end", *end)
                .with("gap", Value::Length(*gap))
                .with("join", Value::Length(chain.gap))
                .in_file(chain.origin.position)
                .on_entity(chain.origin.handle),
        );
    }
    if gaps.len() > LISTED {
        gathered.push(Finding::of(Code::OutlineNotClosed).with("more", gaps.len() - LISTED));
    }
    let others: Vec<&OpenChain> = open.iter().filter(|c| !c.nearly_closed).collect();
    let Some(longest) = others.iter().max_by(|a, b| a.length.total_cmp(&b.length)) else {
        return gathered;
    };
    // Straight lines are centre lines as a rule; bent chains may be an outline with an edge missing.
    let bent = others.iter().any(|c| c.pieces > 1 && !c.straight);
    gathered.push(
        Finding::of(if bent { Code::BentChainsOpen } else { Code::ChainsOpen })
            .with("count", others.len())
            .with("length", Value::Length(longest.length))
            .with("start", longest.start)
            .with("end", longest.end),
    );
    gathered
}
