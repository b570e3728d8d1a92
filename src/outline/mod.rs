//! Outlines: closed entities and loose pieces become closed rings of exact curves.

mod contact;
mod flatten;
mod gap;
pub(crate) mod graph;
mod join;
mod joint;
mod open;
mod repeated;
mod ring;
pub(crate) mod rotation;
mod sets;
mod weld;

pub(crate) use flatten::chord_ends;
pub use flatten::flatten;
pub(crate) use joint::linked;
pub use joint::{Slip, Swept};
pub use open::{NEARLY_CLOSED, OpenChain};
pub use ring::{Origin, Ring};
pub(crate) use sets::Sets;

use crate::finding::{self, Finding};
use crate::geometry::Curve;

/// One drawn entity, as curves in drawing units.
#[derive(Clone, Debug)]
pub struct Drawn {
    /// Its curves in order, each beginning where the one before ends.
    pub curves: Vec<Curve>,
    /// It closes by its own nature: a circle, a closed polyline.
    pub closed: bool,
    /// Where it stands in the file.
    pub origin: Origin,
}

/// What the drawn entities come to.
#[derive(Clone, Debug, Default)]
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
    similar: Vec<(Similar, Finding)>,
}

/// Kinds of finding that come in numbers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Similar {
    WithoutLength,
    WithoutArea,
    Branching,
}

impl Similar {
    const ALL: [Similar; 3] = [Similar::WithoutLength, Similar::WithoutArea, Similar::Branching];

    fn more(self, count: usize) -> String {
        match self {
            Similar::WithoutLength => format!("{count} more entities without length were left out"),
            Similar::WithoutArea => {
                format!("{count} more closed outlines that enclose no area were left out")
            }
            Similar::Branching => format!("lines branch in {count} more outlines, taken as solid likewise"),
        }
    }
}

/// Joins drawn entities into closed rings. Ends within `tolerance` (drawing units) of each other, or of another
/// piece, are joined; a gap is closed by a straight link, and no curve is moved.
///
/// Open chains and what else a reader must know stand in [`Outline::findings`].
pub fn trace(drawn: &[Drawn], tolerance: f64) -> Outline {
    told(join::join(drawn, tolerance, true))
}

/// As [`trace`], beside closed outlines that are not among `drawn`: lines that merely cross close nothing then.
pub(crate) fn trace_beside_others(drawn: &[Drawn], tolerance: f64) -> Outline {
    told(join::join(drawn, tolerance, false))
}

/// The outline with its findings gathered.
fn told(mut outline: Outline) -> Outline {
    let mut told = std::mem::take(&mut outline.findings);
    for kind in Similar::ALL {
        told.extend(few(kind, &outline.similar));
    }
    outline.similar.clear();
    if outline.repeated > 0 {
        let pieces = if outline.repeated == 1 { "piece was" } else { "pieces were" };
        told.push(Finding::note(format!(
            "{} loose {pieces} drawn more than once and counted once",
            outline.repeated
        )));
    }
    told.extend(open_findings(&outline.open));
    outline.findings = told;
    outline
}

/// The gravest findings of a kind, and a count of the others with the weight of the gravest among them.
fn few(kind: Similar, similar: &[(Similar, Finding)]) -> Vec<Finding> {
    /// More of a kind are counted, not listed.
    const LISTED: usize = 3;
    let mut told: Vec<Finding> = similar.iter().filter(|(k, _)| *k == kind).map(|(_, f)| f.clone()).collect();
    told.sort_by_key(|f| std::cmp::Reverse(f.severity));
    let rest = told.split_off(told.len().min(LISTED));
    if let Some(next) = rest.first() {
        told.push(Finding::new(next.severity, kind.more(rest.len())));
    }
    told
}

/// Findings on open chains: each nearly closed outline by itself, other chains in sum.
fn open_findings(open: &[OpenChain]) -> Vec<Finding> {
    /// More open outlines than this on one layer are counted, not listed.
    const LISTED: usize = 5;
    let mut told = Vec::new();
    let nearly: Vec<&OpenChain> = open.iter().filter(|c| c.nearly_closed).collect();
    for chain in nearly.iter().take(LISTED) {
        told.push(
            Finding::warning(format!(
                "an outline is not closed: {} long, its open ends at {} and {} are {} from the next end \
                 (drawing units)",
                finding::short(chain.length),
                finding::coordinates(chain.start),
                finding::coordinates(chain.end),
                finding::short(chain.gap)
            ))
            .in_file(chain.origin.position)
            .on_entity(chain.origin.handle)
            .hint(format!(
                "close it in the drawing, or join it with --join above {} drawing units",
                finding::short(chain.gap)
            )),
        );
    }
    if nearly.len() > LISTED {
        told.push(Finding::warning(format!("{} more outlines are not closed", nearly.len() - LISTED)));
    }
    let others: Vec<&OpenChain> = open.iter().filter(|c| !c.nearly_closed).collect();
    let Some(longest) = others.iter().max_by(|a, b| a.length.total_cmp(&b.length)) else {
        return told;
    };
    let count = others.len();
    let chains = if count == 1 {
        "1 open chain of pieces closes".to_owned()
    } else {
        format!("{count} open chains of pieces close")
    };
    let message = format!(
        "{chains} nothing and {} left out; the longest, {} long, runs from {} to {} (drawing units)",
        if count == 1 { "was" } else { "were" },
        finding::short(longest.length),
        finding::coordinates(longest.start),
        finding::coordinates(longest.end)
    );
    // Straight lines are centre lines as a rule; bent chains may be an outline with an edge missing.
    let bent = others.iter().any(|c| c.pieces > 1 && !c.straight);
    told.push(if bent {
        Finding::warning(message).hint("if it is part of an outline, draw the missing edge")
    } else {
        Finding::note(message)
    });
    told
}
