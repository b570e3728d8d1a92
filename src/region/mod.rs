//! Regions: which rings bound solid and which bound holes.

mod conflict;
mod nest;

use crate::finding::{self, Finding};
use crate::geometry::Bounds;
use crate::outline::Ring;

/// A connected solid: an outer edge and the holes in it.
#[derive(Clone, Debug)]
pub struct Part {
    /// Outer edge.
    pub edge: Ring,
    /// Holes, none inside another.
    pub holes: Vec<Ring>,
}

/// The solid that the rings of an outline bound: parts that neither cross nor touch.
#[derive(Clone, Debug)]
pub struct Region {
    /// The parts from left to right.
    pub parts: Vec<Part>,
}

/// A region, if there is one, and what its reader must know.
#[derive(Clone, Debug)]
pub struct Resolved {
    /// The region; `None` where rings cross or touch, which is told by a failure among the findings.
    pub region: Option<Region>,
    /// What the reader must know.
    pub findings: Vec<Finding>,
}

impl Region {
    /// Every ring with its sign: 1 around solid, −1 around a hole.
    pub fn rings(&self) -> impl Iterator<Item = (f64, &Ring)> {
        self.parts.iter().flat_map(|part| {
            std::iter::once((1.0, &part.edge)).chain(part.holes.iter().map(|hole| (-1.0, hole)))
        })
    }

    /// The box around the region.
    pub fn bounds(&self) -> Bounds {
        self.parts.iter().fold(Bounds::EMPTY, |all, part| all.union(*part.edge.bounds()))
    }

    /// Each part as a region of its own.
    pub fn split(self) -> impl Iterator<Item = Region> {
        self.parts.into_iter().map(|part| Region { parts: vec![part] })
    }

    /// Every hole lies within the box of its part's edge, and every ring is sound.
    pub fn check(&self) -> bool {
        self.parts.iter().all(|part| {
            part.edge.check()
                && part.holes.iter().all(|h| h.check() && part.edge.bounds().contains(h.bounds()))
        })
    }
}

/// Two curves nearer to each other than this touch: 1e-9 of the size of the drawing, and no less than eight units in
/// the last place of its coordinates, below which computed places are rounding.
pub(crate) fn noding_tolerance(bounds: &Bounds) -> f64 {
    (1e-9 * bounds.size()).max(8.0 * f64::EPSILON * bounds.reach())
}

/// The region that `rings` bound: rings inside rings alternate solid, hole, solid. A ring drawn more than once
/// counts once. Rings that cross or touch another, or themselves, give no region but a failure that says where.
pub fn resolve(rings: &[Ring]) -> Resolved {
    let mut findings = Vec::new();
    let bounds = rings.iter().fold(Bounds::EMPTY, |all, ring| all.union(*ring.bounds()));
    let (rings, repeated) = nest::distinct(rings);
    if let Some(first) = repeated.first() {
        let count = if repeated.len() == 1 {
            "a closed outline is drawn twice".to_owned()
        } else {
            format!("{} closed outlines are drawn again", repeated.len())
        };
        findings.push(
            Finding::note(format!("{count} and counted once"))
                .at(first.curves()[0].start())
                .on_line(first.origin().line)
                .on_entity(first.origin().handle),
        );
    }
    let tolerance = noding_tolerance(&bounds);
    let conflicts = conflict::conflicts(&rings, tolerance);
    if let Some(first) = conflicts.first() {
        let (what, hint) = if first.same_ring {
            ("a closed outline crosses or touches itself", "redraw it as outlines that do not cross")
        } else {
            (
                "closed outlines cross or touch",
                "join them into one outline, or put them on layers of their own",
            )
        };
        let more = match conflicts.len() {
            1 => String::new(),
            2 => format!(" and at {}", finding::coordinates(conflicts[1].point)),
            count => {
                format!(", at {} and at {} more places", finding::coordinates(conflicts[1].point), count - 2)
            }
        };
        findings.push(
            Finding::failure(format!("{what} at {}{more}", finding::coordinates(first.point)))
                .on_line(first.origin.line)
                .on_entity(first.origin.handle)
                .hint(hint),
        );
        return Resolved { region: None, findings };
    }
    Resolved { region: Some(nest::nest(rings)), findings }
}
