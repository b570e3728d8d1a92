//! Hatches that are left out beside other outlines: whether these bound what the hatches fill.

use super::traced::{Hatches, Traced, origin, trace};
use crate::drawing::Entity;
use crate::finding::{Code, Finding, Value};
use crate::outline::{Origin, Ring};
use crate::region::{self, Region};

/// Hatches that fill more beyond other outlines than this share of the area with them are no repetition of these. Less
/// comes of boundaries that were written with chords for arcs: those of 5° are off by 1.3e-3 of a disc, and of a plate
/// with such holes by less.
const BEYOND: f64 = 1e-3;

/// What is left out.
#[derive(Default)]
pub(super) struct LeftOut {
    count: usize,
    /// Area that the outlines bound on layers where hatches fill more than that, and how much more.
    bounded: f64,
    beyond: f64,
    /// Whether it is so could not be told of some.
    untold: bool,
    /// The first of those hatches.
    first: Option<Origin>,
}

impl LeftOut {
    /// The hatches of one layer, and the other outlines beside which they are left out, if that is the reason.
    pub fn add(&mut self, hatches: &[&Entity], beside: Option<&Traced>, tolerance: f64) {
        self.count += hatches.len();
        let Some(beside) = beside else { return };
        let bodies: Vec<Vec<Ring>> = hatches.iter().map(|hatch| trace(&[hatch], tolerance).rings).collect();
        let solids = beside.solids();
        // Where this fails there are no figures either, and a failure says so.
        let Some(bounded) = area(&solids, tolerance) else { return };
        let filled = bodies.iter().map(Vec::as_slice).filter(|rings| !rings.is_empty());
        let all: Vec<&[Ring]> = solids.into_iter().chain(filled).collect();
        match area(&all, tolerance) {
            Some(together) if together - bounded <= BEYOND * together => return,
            Some(together) => {
                self.bounded += bounded;
                self.beyond += together - bounded;
            }
            None => self.untold = true,
        }
        let first = hatches.iter().map(|hatch| origin(hatch)).min_by_key(|origin| origin.position);
        self.first = self.first.into_iter().chain(first).min_by_key(|origin| origin.position);
    }

    /// What is to be said of them.
    pub fn finding(&self, hatches: Hatches) -> Option<Finding> {
        if self.count == 0 {
            return None;
        }
        let finding = |code| Finding::of(code).with("count", self.count);
        if hatches == Hatches::Ignore {
            return Some(finding(Code::HatchesIgnored));
        }
        let Some(first) = self.first else { return Some(finding(Code::HatchesBeside)) };
        let finding = if self.beyond > 0.0 {
            finding(Code::HatchesFillMore)
                .with("bounded", Value::Area(self.bounded))
                .with("beyond", Value::Area(self.beyond))
        } else {
            finding(Code::HatchesUnclear)
        };
        Some(finding.in_file(first.position).on_entity(first.handle))
    }
}

/// The area of all bodies together, where it can be told.
fn area(solids: &[&[Ring]], tolerance: f64) -> Option<f64> {
    region::resolve_bodies(solids, &[], &[], tolerance).region.as_ref().map(area_of)
}

/// The area of a region.
pub(super) fn area_of(region: &Region) -> f64 {
    region.rings().map(|(sign, ring)| sign * ring.area()).sum()
}
