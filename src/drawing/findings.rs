//! Collects what the reader of a drawing must know, with a limit on what is told one by one.

use std::collections::{BTreeMap, HashSet};

use super::entity::Kind;
use super::tables::{LayerIndex, Layers};
use crate::finding::{Finding, Position};

/// Entities with bad values that are told one by one: enough to see what is wrong with the writer of the file, and a
/// file of nothing else stays readable.
const TOLD: u64 = 100;

/// Damaged places that are told one by one: as many as someone may mend by hand.
const DAMAGES_TOLD: u64 = 20;

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
    fn finding(self, kind: Kind, count: u64) -> Finding {
        let (one, many, hint) = match self {
            Oddity::Tilted => (
                "does not lie parallel to the drawing plane and is measured as seen from above",
                "do not lie parallel to the drawing plane and are measured as seen from above",
                "turn them into the drawing plane and export again",
            ),
            Oddity::NegativeRadius => (
                "has a negative radius, which is measured without its sign",
                "have negative radii, which are measured without their signs",
                "draw them again with the radius that is meant, and export again",
            ),
            Oddity::NoStyle => (
                "is drawn without caps: its style is not in the drawing",
                "are drawn without caps: their style is not in the drawing",
                "close their ends with lines, or export again with the multiline styles",
            ),
        };
        let message = if count == 1 { format!("{kind} {one}") } else { format!("{count} {kind} {many}") };
        Finding::warning(message).hint(hint)
    }
}

/// Findings of one drawing.
#[derive(Default)]
pub(super) struct Findings {
    list: Vec<Finding>,
    damages: u64,
    bad_entities: u64,
    /// Where those that were told begin.
    told_positions: HashSet<Position>,
    told: HashSet<String>,
    /// What is odd, by layer and kind: the first of them, and how many.
    odd: BTreeMap<(LayerIndex, Kind, Oddity), (Spot, u64)>,
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
        if self.damages <= DAMAGES_TOLD {
            self.list.push(finding);
        }
    }

    /// About an entity that is left out for a bad value. One of a block is told once, and beyond the limit counted as
    /// often as it is inserted.
    pub fn bad_entity(&mut self, layers: &Layers, spot: Spot, message: &str) {
        if self.told_positions.contains(&spot.position) {
            return;
        }
        self.bad_entities += 1;
        if self.bad_entities <= TOLD {
            self.told_positions.insert(spot.position);
            let finding = Finding::warning(message).hint(
                "correct it where it was drawn, or delete it there if it draws nothing, and export again",
            );
            self.list.push(placed(finding, layers, spot));
        }
    }

    /// About a block reference; the same message is told once.
    pub fn once(&mut self, layers: &Layers, spot: Spot, message: String, hint: &str) {
        if self.told.len() < TOLD as usize && self.told.insert(message.clone()) {
            self.list.push(placed(Finding::warning(message).hint(hint), layers, spot));
        }
    }

    /// About an entity that is measured, told once for each kind and layer.
    #[cold]
    pub fn oddity(&mut self, oddity: Oddity, kind: Kind, spot: Spot) {
        self.odd.entry((spot.layer, kind, oddity)).or_insert((spot, 0)).1 += 1;
    }

    /// All of them, in the order of the file; those without a place in it come last.
    pub fn finished(mut self, layers: &Layers) -> Vec<Finding> {
        for ((_, kind, oddity), (spot, count)) in std::mem::take(&mut self.odd) {
            self.list.push(placed(oddity.finding(kind, count), layers, spot));
        }
        if self.damages > DAMAGES_TOLD {
            let more = self.damages - DAMAGES_TOLD;
            self.list.push(
                Finding::warning(format!(
                    "{more} more places of the file are damaged, and what stands there is left out"
                ))
                .hint("copy or export the file again"),
            );
        }
        if self.bad_entities > TOLD {
            let more = self.bad_entities - TOLD;
            self.list.push(
                Finding::warning(format!("{more} more entities hold bad values and are left out"))
                    .hint("see what is passed over, by kind and layer"),
            );
        }
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
