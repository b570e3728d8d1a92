//! Collects what the reader of a drawing must know, with a limit on what is reported one by one.

use std::collections::{BTreeMap, HashSet};

use super::entity::EntityKind;
use super::passed_over::Reason;
use super::tables::{LayerIndex, Layers};
use crate::finding::{Code, Finding, Position};

/// Entities with bad values that are reported one by one: enough to see what is wrong with the writer of the file, and a
/// file of nothing else stays readable.
const LISTED: u64 = 100;

/// Damaged places that are reported one by one: as many as someone may mend by hand.
const DAMAGES_LISTED: u64 = 20;

/// What is odd about an entity that is measured all the same.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Oddity {
    /// It does not lie parallel to the drawing plane.
    Tilted,
    /// It is a circle with a radius below 0.
    NegativeRadius,
    /// It is a multiline whose style is missing.
    NoStyle,
}

impl Oddity {
    fn finding(self, kind: EntityKind, count: u64) -> Finding {
        let code = match self {
            Oddity::Tilted => Code::EntityTilted,
            Oddity::NegativeRadius => Code::RadiusNegative,
            Oddity::NoStyle => Code::MultilineStyleMissing,
        };
        Finding::of(code).with("entity", kind.to_string()).with("count", count)
    }
}

/// Findings of one drawing.
#[derive(Default)]
pub(super) struct Findings {
    list: Vec<Finding>,
    damages: u64,
    bad_entities: u64,
    /// Where those that were reported begin.
    listed_positions: HashSet<Position>,
    listed: HashSet<String>,
    /// What is odd, by layer and kind: the first of them, and how many.
    odd: BTreeMap<(LayerIndex, EntityKind, Oddity), (Spot, u64)>,
}

/// Where a finding about an entity belongs.
#[derive(Clone, Copy)]
pub(super) struct Spot {
    pub position: Position,
    pub layer: LayerIndex,
    pub handle: Option<u64>,
}

impl Findings {
    pub fn push(&mut self, finding: Finding) {
        self.list.push(finding);
    }

    /// About a damaged place of the file.
    pub fn damage(&mut self, finding: Finding) {
        self.damages += 1;
        if self.damages <= DAMAGES_LISTED {
            self.list.push(finding);
        }
    }

    /// About an entity that is left out for a bad value, or because it holds what is not read. One of a block is told
    /// once, and beyond the limit counted as often as it is inserted.
    pub fn bad_entity(&mut self, layers: &Layers, spot: Spot, reason: Reason, entity: &str, what: &str) {
        if self.listed_positions.contains(&spot.position) {
            return;
        }
        self.bad_entities += 1;
        if self.bad_entities <= LISTED {
            self.listed_positions.insert(spot.position);
            let code = match reason {
                Reason::NotReadYet => Code::EntityNotRead,
                _ => Code::EntityBad,
            };
            self.list.push(placed(
                Finding::of(code).with("entity", entity).with("reason", what),
                layers,
                spot,
            ));
        }
    }

    /// About a block reference; the same of the same block is reported once.
    pub fn once(&mut self, layers: &Layers, spot: Spot, finding: Finding) {
        if self.listed.len() < LISTED as usize && self.listed.insert(finding.message()) {
            self.list.push(placed(finding, layers, spot));
        }
    }

    /// About an entity that is measured, told once for each kind and layer.
    #[cold]
    pub fn oddity(&mut self, oddity: Oddity, kind: EntityKind, spot: Spot) {
        self.odd.entry((spot.layer, kind, oddity)).or_insert((spot, 0)).1 += 1;
    }

    /// All of them, in the order of the file; those without a place in it come last.
    pub fn finished(mut self, layers: &Layers) -> Vec<Finding> {
        for ((_, kind, oddity), (spot, count)) in std::mem::take(&mut self.odd) {
            self.list.push(placed(oddity.finding(kind, count), layers, spot));
        }
        let more = |code, all: u64, listed| {
            all.checked_sub(listed).filter(|more| *more > 0).map(|more| Finding::of(code).with("count", more))
        };
        self.list.extend(more(Code::MoreDamaged, self.damages, DAMAGES_LISTED));
        self.list.extend(more(Code::MoreEntitiesBad, self.bad_entities, LISTED));
        let last = Position::Byte(u64::MAX);
        self.list.sort_by_key(|finding| finding.place.position.unwrap_or(last));
        self.list
    }
}

fn placed(finding: Finding, layers: &Layers, spot: Spot) -> Finding {
    let finding = finding.in_file(spot.position).on_entity(spot.handle);
    match layers.list.get(spot.layer.index()) {
        Some(layer) => finding.on_layer(layer.name.clone()),
        None => finding,
    }
}
