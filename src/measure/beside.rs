//! Closed outlines on other layers that lie in a section: holes, perhaps, on a layer that nobody named.

use std::collections::{BTreeMap, BTreeSet};

use super::solid::{Lying, Solid};
use super::traced::Traced;
use crate::drawing::{Entity, EntityKind, LayerIndex};
use crate::finding::{Code, Finding, Position, Severity, Value};
use crate::geometry::Bounds;
use crate::geometry::near::Grid;
use crate::outline::Ring;
use crate::region::{self, Part, Region};

/// Holes leave more than they take: outlines that take up a larger share of a section are rather a part of its own.
const HALF: f64 = 0.5;

/// Outlines of so many layers in a section are reported layer by layer. Of more, the section may be a frame around a drawing
/// or a layer of a plan, or a plate whose holes have a layer for each diameter.
const MOST_LAYERS: usize = 3;

/// The closed outlines of the layers of a drawing that show.
pub(super) struct Beside {
    layers: Vec<Other>,
    rings: Vec<Ring>,
    /// For each ring the layer, as an index.
    of: Vec<usize>,
    /// For each ring whether it goes round several of other layers that lie beside one another: then it is the outline of
    /// a part, or a frame, and not that of a hole. A countersink goes round no more than its hole.
    is_part: Vec<bool>,
    /// For each ring whether it lies in a section that is no frame, or across or along the edge of one.
    placed: Vec<bool>,
    /// For each layer the number of those that do not.
    unplaced: Vec<usize>,
    grid: Grid,
    bounds: Bounds,
    /// The joining tolerance in drawing units.
    join: f64,
}

struct Other {
    index: LayerIndex,
    name: String,
    count: usize,
}

/// What lies in one row's section.
#[derive(Clone, Debug, Default)]
pub(super) struct Found {
    by_layer: BTreeMap<usize, Outlines>,
    /// The section goes round a whole drawing, or is a layer of a plan.
    is_frame: bool,
}

/// Outlines as indices.
#[derive(Clone, Debug, Default)]
struct Outlines {
    within: Vec<usize>,
    across: Vec<usize>,
}

impl Outlines {
    fn all(&self) -> impl Iterator<Item = usize> + '_ {
        self.within.iter().chain(&self.across).copied()
    }
}

impl Found {
    fn all(&self) -> impl Iterator<Item = usize> + '_ {
        self.by_layer.values().flat_map(Outlines::all)
    }
}

/// The outlines of a layer that could be those of holes, each once: what is filled is material.
pub(super) fn outlines(traced: &Traced, entities: &[&Entity]) -> Vec<Ring> {
    let filled = |e: &&&Entity| {
        matches!(e.kind, EntityKind::Hatch | EntityKind::Mpolygon | EntityKind::Solid | EntityKind::Trace)
    };
    let filled: BTreeSet<Option<Position>> =
        entities.iter().filter(filled).map(|e| Some(e.position())).collect();
    let mut rings: Vec<Ring> =
        traced.all_rings().filter(|ring| !filled.contains(&ring.origin().position)).cloned().collect();
    rings.sort_by(Ring::by_place);
    region::distinct(&rings).into_iter().cloned().collect()
}

impl Beside {
    /// The outlines of layers, each with its name; ends within `join` (drawing units) were joined.
    pub fn of(layers: impl IntoIterator<Item = (LayerIndex, String, Vec<Ring>)>, join: f64) -> Beside {
        let mut beside = Beside {
            layers: Vec::new(),
            rings: Vec::new(),
            of: Vec::new(),
            is_part: Vec::new(),
            placed: Vec::new(),
            unplaced: Vec::new(),
            grid: Grid::over(&[], 0.0),
            bounds: Bounds::EMPTY,
            join,
        };
        for (index, name, rings) in layers {
            beside.of.extend(std::iter::repeat_n(beside.layers.len(), rings.len()));
            beside.unplaced.push(rings.len());
            beside.layers.push(Other { index, name, count: rings.len() });
            beside.rings.extend(rings);
        }
        let boxes: Vec<Bounds> = beside.rings.iter().map(|ring| ring.bounds()).collect();
        beside.placed = vec![false; boxes.len()];
        beside.grid = Grid::over(&boxes, 0.0);
        beside.bounds = boxes.iter().fold(Bounds::EMPTY, |all, b| all.union(*b));
        beside.is_part = beside.parts();
        beside
    }

    /// Which rings go round two or more of other layers that go round none themselves.
    fn parts(&self) -> Vec<bool> {
        let all: Vec<&Ring> = self.rings.iter().collect();
        let mut goes_round = vec![false; all.len()];
        nested(&all, |outer, _, is_so| {
            goes_round[outer] = goes_round[outer] || is_so();
            false
        });
        let mut several = vec![0_usize; all.len()];
        nested(&all, |outer, within, is_so| {
            if !goes_round[within] && self.of[outer] != self.of[within] && several[outer] < 2 && is_so() {
                several[outer] += 1;
            }
            false
        });
        several.into_iter().map(|count| count > 1).collect()
    }

    /// What of layers other than its `own` lies in a region: for each of its parts, or for all of them together.
    pub fn look(&mut self, region: &Region, own: &[LayerIndex], per_part: bool) -> Vec<Found> {
        let mut found = vec![Found::default(); if per_part { region.parts.len() } else { 1 }];
        let mut candidates: Vec<usize> = Vec::new();
        for bounds in region.parts.iter().map(|part| part.edge.bounds()) {
            let meets = |k: &usize| self.rings[*k].bounds().meets(&bounds);
            // The grid has the other large outlines in each cell of a large one.
            let is_large =
                2.0 * bounds.width() > self.bounds.width() && 2.0 * bounds.height() > self.bounds.height();
            if is_large {
                candidates.extend((0..self.rings.len()).filter(meets));
            } else {
                candidates.extend(self.grid.within(&bounds).into_iter().filter(meets));
            }
        }
        candidates.retain(|k| !own.contains(&self.layers[self.of[*k]].index));
        // What tells a frame goes first.
        candidates.sort_unstable_by_key(|k| (!self.is_part[*k], *k));
        candidates.dedup();
        if candidates.is_empty() {
            return found;
        }
        // Copies of its own edges and holes are nothing that was forgotten.
        let mut solid = Solid::of(region, region::copies_within(region.bounds().size(), self.join));
        let mut no_hole = false;
        for k in candidates {
            let lying = solid.lying(&self.rings[k]);
            // A copy of the edge is reported no more than the edge itself.
            if lying == Lying::Along {
                self.place(k);
            }
            let (Lying::Within(part) | Lying::Across(part)) = lying else { continue };
            let row = if per_part { part } else { 0 };
            let outlines = found[row].by_layer.entry(self.of[k]).or_default();
            if matches!(lying, Lying::Within(_)) {
                outlines.within.push(k);
            } else {
                outlines.across.push(k);
            }
            // Nothing more is to be said of a frame, which may go round very many.
            no_hole |= self.is_part[k] || matches!(lying, Lying::Across(_));
            if no_hole && !per_part && found[0].by_layer.len() > MOST_LAYERS {
                found[0].is_frame = true;
                return found;
            }
        }
        for (row, found) in found.iter_mut().enumerate() {
            let parts = if per_part { &region.parts[row..=row] } else { &region.parts };
            found.is_frame = self.is_frame(found)
                || found.by_layer.len() > MOST_LAYERS && self.area(found.all()) >= HALF * area(parts);
        }
        found.iter().filter(|row| !row.is_frame).flat_map(Found::all).for_each(|k| self.place(k));
        found
    }

    /// Takes note that an outline lies in a section.
    fn place(&mut self, ring: usize) {
        if !std::mem::replace(&mut self.placed[ring], true) {
            self.unplaced[self.of[ring]] -= 1;
        }
    }

    /// In a section with outlines of many layers there is one that can't be that of a hole.
    fn is_frame(&self, found: &Found) -> bool {
        let is_no_hole = |outlines: &Outlines| {
            !outlines.across.is_empty() || outlines.within.iter().any(|k| self.is_part[*k])
        };
        found.by_layer.len() > MOST_LAYERS && found.by_layer.values().any(is_no_hole)
    }

    /// Outlines of a layer lie in the sections of these rows, and others of that layer in none that was looked into.
    pub fn is_undecided(&self, found: &[Found]) -> bool {
        let rows = found.iter().filter(|row| !row.is_frame);
        rows.flat_map(|row| row.by_layer.keys()).any(|layer| !self.is_placed(*layer))
    }

    /// All outlines of a layer lie in sections or across their edges.
    fn is_placed(&self, layer: usize) -> bool {
        self.unplaced[layer] == 0
    }

    /// What is to be said of what lies in the section of these parts, once all sections were looked into.
    pub fn findings(&self, found: &Found, parts: &[Part]) -> Vec<Finding> {
        if found.is_frame {
            return vec![Finding::of(Code::MayBeFrame).with("layers", MOST_LAYERS)];
        }
        if found.by_layer.len() > MOST_LAYERS {
            return self.finding(&found.by_layer, area(parts)).into_iter().collect();
        }
        let each = found.by_layer.iter();
        each.filter_map(|(layer, outlines)| {
            self.finding(&BTreeMap::from([(*layer, outlines.clone())]), area(parts))
        })
        .collect()
    }

    /// What is to be said of the outlines of one or several layers in a section of this area.
    fn finding(&self, by_layer: &BTreeMap<usize, Outlines>, area: f64) -> Option<Finding> {
        let within = by_layer.values().map(|outlines| outlines.within.len()).sum::<usize>();
        let rings = || by_layer.values().flat_map(Outlines::all);
        let total = rings().count();
        let share = self.area(rings()) / area;
        let are_like_holes = by_layer.keys().all(|layer| self.is_placed(*layer)) && share < HALF;
        // Plates that are drawn over one another cross each other's edges.
        if (within == 0 && !are_like_holes) || (within < total && share >= HALF) {
            return None;
        }
        let count: usize = by_layer.keys().map(|layer| self.layers[*layer].count).sum();
        let first = rings().min_by(|a, b| self.rings[*a].by_place(&self.rings[*b]))?;
        let names: Vec<&str> = by_layer.keys().map(|layer| self.layers[*layer].name.as_str()).collect();
        let layer = |at: usize| names.get(at).map(|name| Value::Layer((*name).to_owned()));
        let across = total - within;
        let is_warning = are_like_holes && within > 0;
        let ring = &self.rings[first];
        Some(
            Finding::of(Code::OtherOutlines)
                .with("count", total)
                .with_some("drawn", Some(count).filter(|count| *count != total))
                .with_some("layers", Some(names.len()).filter(|layers| *layers > 1))
                .with_some("layer", layer(0))
                .with_some("second_layer", layer(1))
                .with_some("within", Some(within).filter(|within| across > 0 && *within > 0))
                .with_some("across", Some(across).filter(|across| *across > 0))
                .with("share", Value::Share(share))
                .weighing(if is_warning { Severity::Warning } else { Severity::Note })
                .at(ring.curves()[0].start())
                .in_file(ring.origin().position)
                .on_layer(&self.layers[self.of[first]].name)
                .on_entity(ring.origin().handle),
        )
    }

    /// What outlines go round; what lies in another one of them counts once.
    fn area(&self, rings: impl Iterator<Item = usize>) -> f64 {
        let rings: Vec<&Ring> = rings.map(|k| &self.rings[k]).collect();
        let mut is_inner = vec![false; rings.len()];
        nested(&rings, |_, within, is_so| {
            is_inner[within] = is_inner[within] || is_so();
            is_inner[within]
        });
        rings.iter().zip(is_inner).filter(|(_, inner)| !inner).map(|(ring, _)| ring.area()).sum()
    }
}

/// Calls `visit` with the places of two rings of which the first may go round the second, and a question that tells
/// whether it does, until `visit` says that this is enough for the second. Of copies the first goes round the second.
fn nested(rings: &[&Ring], mut visit: impl FnMut(usize, usize, &dyn Fn() -> bool) -> bool) {
    let boxes: Vec<Bounds> = rings.iter().map(|ring| ring.bounds()).collect();
    let grid = Grid::over(&boxes, 0.0);
    for (within, ring) in rings.iter().enumerate() {
        let point = ring.curves()[0].at(0.5);
        for outer in grid.around(point) {
            let may = outer != within
                && boxes[outer].contains(&boxes[within])
                && (outer < within || boxes[outer] != boxes[within]);
            if may && visit(outer, within, &|| rings[outer].contains(point)) {
                break;
            }
        }
    }
}

/// The area of parts.
fn area(parts: &[Part]) -> f64 {
    parts.iter().map(|part| part.edge.area() - part.holes.iter().map(Ring::area).sum::<f64>()).sum()
}
