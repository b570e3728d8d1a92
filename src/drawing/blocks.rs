//! Blocks, and the entities that references to them put into the drawing.

use std::collections::HashMap;

use super::entities::{Drawn, Insert, Remarked, Remarks};
use super::entity::{Entity, Kind};
use super::findings::{Findings, Oddity, Spot};
use super::passed_over::{KindName, Passed, Reason, Tally};
use super::plane::{Map3, OnEdge, Point3, View};
use super::tables::{LayerIndex, Layers};

/// Points, lines, arcs and spans that block references may put into one drawing. A drawing of a perforated plate has
/// some 100,000; an array of 32,767 by 32,767 holes has 10⁹, which no memory holds.
pub(super) const MOST_PIECES: u64 = 2_000_000;

/// Blocks within blocks. Assemblies are drawn some five deep; deeper than this is no drawing, and would go on the
/// stack.
pub(super) const DEEPEST_NESTING: u32 = 64;

/// One thing in a block, or in model space.
pub(super) enum Item {
    Entity(Sketch),
    Reference(Reference),
    Passed(Passed),
    /// Passed over for a bad value, with the message for the finding.
    Faulty(Passed, Box<str>),
}

/// An entity before it is put into the drawing plane.
pub(super) struct Sketch {
    pub kind: Kind,
    pub spot: Spot,
    pub invisible: bool,
    pub normal: Point3,
    pub drawn: Drawn,
    pub remarks: Remarks,
}

/// A reference to a block.
pub(super) struct Reference {
    pub spot: Spot,
    pub invisible: bool,
    pub insert: Insert,
    /// Set by [`Blocks::resolve`].
    target: Target,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Target {
    Unresolved,
    Block(usize),
    Dropped(Reason),
}

impl Reference {
    pub fn new(spot: Spot, invisible: bool, insert: Insert) -> Reference {
        Reference { spot, invisible, insert, target: Target::Unresolved }
    }
}

#[derive(Default)]
pub(super) struct Block {
    pub name: String,
    pub base: Point3,
    pub items: Vec<Item>,
    /// Its content is another drawing file.
    pub external: bool,
    cost: u64,
    height: u32,
}

/// The blocks of a drawing, by name; letter case makes no difference.
#[derive(Default)]
pub(super) struct Blocks {
    list: Vec<Block>,
    by_name: HashMap<String, usize>,
}

/// Where expanded entities go.
pub(super) struct Sink<'a> {
    pub layers: &'a Layers,
    pub entities: &'a mut Vec<Entity>,
    pub tally: &'a mut Tally,
    pub findings: &'a mut Findings,
    pub remarked: &'a mut Remarked,
    /// Layer 0, where anything is on it.
    pub layer_zero: Option<LayerIndex>,
    pub insert_kind: KindName,
    pub kind_names: &'a [KindName],
    /// Pieces that may still be put into the drawing.
    pub left: u64,
}

impl Blocks {
    /// Keeps a block; the first of several with one name counts.
    pub fn add(&mut self, block: Block) {
        let key = block.name.to_lowercase();
        if let std::collections::hash_map::Entry::Vacant(entry) = self.by_name.entry(key) {
            entry.insert(self.list.len());
            self.list.push(block);
        }
    }

    fn target(&self, reference: &Reference, layers: &Layers) -> Target {
        let name = layers.encoder.decode(&reference.insert.name).to_lowercase();
        match self.by_name.get(&name) {
            None => Target::Dropped(Reason::MissingBlock),
            Some(i) if self.list[*i].external && self.list[*i].items.is_empty() => {
                Target::Dropped(Reason::ExternalDrawing)
            }
            Some(i) => Target::Block(*i),
        }
    }

    /// Finds the block of every reference in a block, drops those that lead back to a block they stand in or beyond the
    /// limits, and counts what each block costs. Without recursion: files nest as deep as they like.
    pub fn resolve(&mut self, layers: &Layers) {
        #[derive(Clone, Copy, PartialEq)]
        enum State {
            New,
            Open,
            Done,
        }
        let mut states = vec![State::New; self.list.len()];
        for root in 0..self.list.len() {
            let mut stack = vec![(root, 0)];
            while let Some((block, item)) = stack.pop() {
                if states[block] == State::Done {
                    continue;
                }
                states[block] = State::Open;
                let Some(Item::Reference(reference)) = self.list[block].items.get(item) else {
                    if item < self.list[block].items.len() {
                        stack.push((block, item + 1));
                    } else {
                        self.count(block);
                        states[block] = State::Done;
                    }
                    continue;
                };
                let mut target = self.target(reference, layers);
                if let Target::Block(inner) = target {
                    match states[inner] {
                        State::New => {
                            stack.push((block, item));
                            stack.push((inner, 0));
                            continue;
                        }
                        State::Open => target = Target::Dropped(Reason::WithinItself),
                        State::Done => target = self.within_limits(inner, &reference.insert),
                    }
                }
                if let Some(Item::Reference(reference)) = self.list[block].items.get_mut(item) {
                    reference.target = target;
                }
                stack.push((block, item + 1));
            }
        }
    }

    fn within_limits(&self, block: usize, insert: &Insert) -> Target {
        let Block { height, .. } = self.list[block];
        if height >= DEEPEST_NESTING || self.cost(block, insert) > MOST_PIECES {
            return Target::Dropped(Reason::OverLimit);
        }
        Target::Block(block)
    }

    fn cost(&self, block: usize, insert: &Insert) -> u64 {
        self.list[block].cost.saturating_mul(insert.columns.saturating_mul(insert.rows))
    }

    /// Cost and height of a block whose references are all resolved.
    fn count(&mut self, block: usize) {
        let (mut cost, mut height) = (0_u64, 0);
        for item in &self.list[block].items {
            let one = match item {
                Item::Entity(sketch) => sketch.drawn.size(),
                Item::Passed(_) | Item::Faulty(..) => 1,
                Item::Reference(reference) => match reference.target {
                    Target::Block(inner) => {
                        height = height.max(self.list[inner].height + 1);
                        self.cost(inner, &reference.insert)
                    }
                    _ => 1,
                },
            };
            cost = cost.saturating_add(one);
        }
        (self.list[block].cost, self.list[block].height) = (cost, height);
    }

    /// Puts what a reference in model space shows into the drawing.
    pub fn expand(&self, mut reference: Reference, sink: &mut Sink) {
        reference.target = match self.target(&reference, sink.layers) {
            Target::Block(block) => self.within_limits(block, &reference.insert),
            other => other,
        };
        if let Target::Block(block) = reference.target {
            let cost = self.cost(block, &reference.insert);
            if cost > sink.left {
                reference.target = Target::Dropped(Reason::OverLimit);
            } else {
                sink.left -= cost;
            }
        }
        self.put(&reference, &Map3::IDENTITY, reference.spot.layer, reference.invisible, sink);
    }

    fn put(&self, reference: &Reference, outer: &Map3, layer: LayerIndex, hidden: bool, sink: &mut Sink) {
        let block = match reference.target {
            Target::Block(index) => &self.list[index],
            Target::Dropped(reason) => return self.drop(reference, reason, layer, sink),
            Target::Unresolved => return,
        };
        if block.cost == 0 {
            return;
        }
        let frozen = sink.layers.list.get(layer.index()).is_some_and(|layer| layer.frozen);
        let hidden = hidden || frozen;
        let on_layer = |own: LayerIndex, sink: &Sink| if Some(own) == sink.layer_zero { layer } else { own };
        for row in 0..reference.insert.rows {
            for column in 0..reference.insert.columns {
                let map = reference.insert.map(block.base, column, row).then(outer);
                for item in &block.items {
                    match item {
                        Item::Entity(sketch) => {
                            let layer = on_layer(sketch.spot.layer, sink);
                            let Sketch { kind, spot, normal, invisible, remarks, ref drawn } = *sketch;
                            let hidden = hidden || invisible;
                            sink.place(kind, spot, normal, hidden, drawn.clone(), remarks, &map, layer);
                        }
                        Item::Reference(inner) => {
                            let layer = on_layer(inner.spot.layer, sink);
                            self.put(inner, &map, layer, hidden || inner.invisible, sink);
                        }
                        Item::Passed(passed) => {
                            let layer = on_layer(passed.layer, sink);
                            sink.tally.add(&Passed { layer, ..*passed });
                        }
                        Item::Faulty(passed, message) => {
                            let passed = Passed { layer: on_layer(passed.layer, sink), ..*passed };
                            sink.faulty(&passed, message);
                        }
                    }
                }
            }
        }
    }

    fn drop(&self, reference: &Reference, reason: Reason, layer: LayerIndex, sink: &mut Sink) {
        let spot = Spot { layer, ..reference.spot };
        let name = sink.layers.encoder.decode(&reference.insert.name);
        let name = name.escape_debug();
        let (message, hint) = match reason {
            Reason::MissingBlock => (
                format!("the drawing has no block “{name}”, so what refers to it is left out"),
                "export the drawing again with its blocks, or explode the references before exporting",
            ),
            Reason::ExternalDrawing => (
                format!("block “{name}” is another drawing file, which is not opened"),
                "bind the external reference where it was drawn, or measure that file too",
            ),
            Reason::WithinItself => (
                format!("block “{name}” contains itself, so that reference is left out"),
                "redefine the block where it was drawn",
            ),
            _ => (
                format!(
                    "references to block “{name}” are left out: more than {MOST_PIECES} pieces in all blocks \
                     or more than {DEEPEST_NESTING} blocks within each other"
                ),
                "explode or thin out the blocks and arrays that the outline needs, and export again",
            ),
        };
        sink.findings.once(sink.layers, spot, message, hint);
        sink.tally.add(&spot.passed(sink.insert_kind, reason));
    }
}

impl Spot {
    pub fn of(passed: &Passed) -> Spot {
        Spot { line: passed.line, layer: passed.layer, handle: passed.handle }
    }

    pub fn passed(self, kind: KindName, reason: Reason) -> Passed {
        Passed { kind, layer: self.layer, reason, handle: self.handle, line: self.line }
    }
}

impl Sink<'_> {
    /// Passes over an entity with a bad value, and tells it once, however often its block is inserted.
    fn faulty(&mut self, passed: &Passed, message: &str) {
        self.tally.add(passed);
        self.findings.bad_entity(self.layers, Spot::of(passed), message);
    }

    /// Puts one entity into the drawing plane, or passes it over.
    #[inline]
    #[allow(clippy::too_many_arguments)] // On the path of every entity; a struct would be moved for each.
    pub fn place(
        &mut self,
        kind: Kind,
        spot: Spot,
        normal: Point3,
        hidden: bool,
        drawn: Drawn,
        remarks: Remarks,
        map: &Map3,
        layer: LayerIndex,
    ) {
        let spot = Spot { layer, ..spot };
        match drawn.placed(normal, map) {
            Ok(View { seen: shape, tilted }) if shape.is_in_range() => {
                if tilted {
                    self.findings.oddity(Oddity::Tilted, kind, spot);
                }
                if remarks.negative_radius {
                    self.findings.oddity(Oddity::NegativeRadius, kind, spot);
                }
                self.remarked.add(remarks);
                self.entities.push(Entity {
                    kind,
                    layer,
                    handle: spot.handle.and_then(std::num::NonZeroU64::new),
                    line: u32::try_from(spot.line).unwrap_or(u32::MAX),
                    hidden,
                    shape,
                });
            }
            Ok(_) => {
                let message = format!(
                    "{kind} left out: its coordinates go beyond 1e15, where numbers hold no shape any more"
                );
                self.findings.bad_entity(self.layers, spot, &message);
                self.pass(spot, kind, Reason::BadValue);
            }
            Err(OnEdge) => self.pass(spot, kind, Reason::TiltedPlane),
        }
    }

    fn pass(&mut self, spot: Spot, kind: Kind, reason: Reason) {
        if let Some(name) = self.kind_names.get(kind as usize) {
            self.tally.add(&spot.passed(*name, reason));
        }
    }
}
