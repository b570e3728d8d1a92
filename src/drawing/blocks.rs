//! Blocks, and the entities that references to them put into the drawing.

use std::collections::HashMap;

use super::entities::{Insert, Lettering, MultilineStyles, RawShape, Remarked, Remarks};
use super::entity::{Entity, EntityKind, Packed};
use super::error::ReadError;
use super::findings::{Findings, Oddity, Spot};
use super::lettering::{self, Text};
use super::limits::{Limit, Limits};
use super::pairs::Pairs;
use super::passed_over::{KindName, Passed, Reason, Tally};
use super::plane::{Map3, OnEdge, Point3, View};
use super::tables::{LayerIndex, Layers};
use super::text::Encoder;
use crate::finding::{Code, Finding, Value};
use crate::geometry::Point;
use crate::unit::LengthUnit;

/// One thing in a block, or in model space.
pub(super) enum Item {
    Entity(Sketch),
    Reference(Reference),
    Passed(Passed),
    /// Passed over, but read for what is written.
    Written(Passed, bool, Box<Lettering>),
    /// Passed over for a bad value.
    Faulty(Passed, Box<Faulty>),
}

/// An entity with a bad value: its kind as the file names it, and what is wrong with it.
pub(super) struct Faulty {
    pub entity: String,
    pub what: String,
}

/// An entity before it is put into the drawing plane.
pub(super) struct Sketch {
    pub kind: EntityKind,
    pub spot: Spot,
    pub invisible: bool,
    pub normal: Point3,
    pub drawn: RawShape,
    pub remarks: Remarks,
}

impl Sketch {
    /// Puts the caps of its style on a multiline.
    pub fn cap(&mut self, styles: &MultilineStyles) {
        if let RawShape::Multiline(multiline) = &self.drawn {
            let (drawn, known) = multiline.capped(styles, self.normal);
            (self.drawn, self.remarks.no_style) = (drawn, !known);
        }
    }
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
    /// Units of blocks, as far as the BLOCK_RECORD table names any.
    units: HashMap<String, LengthUnit>,
}

/// Where expanded entities go.
pub(super) struct Sink<'a> {
    pub layers: &'a Layers,
    pub entities: &'a mut Vec<Entity>,
    pub texts: &'a mut Vec<Text>,
    pub tally: &'a mut Tally,
    pub findings: &'a mut Findings,
    pub remarked: &'a mut Remarked,
    /// Layer 0, where anything is on it.
    pub layer_zero: Option<LayerIndex>,
    /// The drawing's unit, where its header names one.
    pub unit: Option<LengthUnit>,
    pub insert_kind: KindName,
    pub kind_names: &'a [KindName],
    pub limits: &'a Limits,
    /// Pieces that may still be put into the drawing.
    pub left: u64,
    /// Bytes of memory that may still be taken.
    pub memory_left: u64,
}

/// Bytes that each point, line, arc or span of an entity takes beside the entity: two coordinates and a bulge.
pub(super) const PER_PIECE: u64 = 24;

impl Item {
    /// How many points, lines, arcs or spans it has, or as many as what is written takes.
    pub fn size(&self) -> u64 {
        match self {
            Item::Entity(sketch) => sketch.drawn.size(),
            Item::Written(_, _, lettering) => lettering.bytes.len() as u64 / PER_PIECE,
            _ => 0,
        }
    }
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

    /// Puts caps on the multilines in all blocks.
    pub fn cap(&mut self, styles: &MultilineStyles) {
        for item in self.list.iter_mut().flat_map(|block| &mut block.items) {
            if let Item::Entity(sketch) = item {
                sketch.cap(styles);
            }
        }
    }

    /// Reads an entry of the BLOCK_RECORD table up to the next pair of code 0, which is left to be read again.
    pub fn read_record(&mut self, pairs: &mut Pairs, encoder: &Encoder) {
        let (mut name, mut unit) = (None, None);
        while pairs.advance() {
            match pairs.code() {
                0 => {
                    pairs.hold();
                    break;
                }
                2 => name = Some(encoder.decode(pairs.text()).to_lowercase()),
                70 => unit = pairs.whole().and_then(LengthUnit::from_insunits),
                _ => {}
            }
        }
        if let (Some(name), Some(unit)) = (name, unit) {
            self.units.entry(name).or_insert(unit);
        }
    }

    /// Counts what lies on sheet layouts other than the one on screen, which are kept as blocks.
    pub fn tally_layouts(&self, insert_kind: KindName, kind_names: &[KindName], tally: &mut Tally) {
        let is_layout = |block: &&Block| {
            let name = block.name.to_lowercase();
            name.starts_with("*paper_space") || name.starts_with("$paper_space")
        };
        for item in self.list.iter().filter(is_layout).flat_map(|block| &block.items) {
            let passed = match item {
                Item::Passed(passed) | Item::Written(passed, ..) | Item::Faulty(passed, _) => {
                    Some(Passed { reason: Reason::PaperSpace, ..*passed })
                }
                Item::Reference(reference) => Some(reference.spot.passed(insert_kind, Reason::PaperSpace)),
                Item::Entity(sketch) => kind_names
                    .get(sketch.kind as usize)
                    .map(|name| sketch.spot.passed(*name, Reason::PaperSpace)),
            };
            passed.iter().for_each(|passed| tally.add(passed));
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

    /// Finds the block of every reference in a block, drops those that lead back to a block they stand in, and
    /// counts what each block costs. Without recursion: files nest as deep as they like.
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
                        State::Done => {}
                    }
                }
                if let Some(Item::Reference(reference)) = self.list[block].items.get_mut(item) {
                    reference.target = target;
                }
                stack.push((block, item + 1));
            }
        }
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
                Item::Passed(_) | Item::Written(..) | Item::Faulty(..) => 1,
                Item::Reference(reference) => match reference.target {
                    Target::Block(inner) => {
                        height = height.max(self.list[inner].height.saturating_add(1));
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
    ///
    /// # Errors
    /// Where its blocks hold more, or stand deeper within each other, than the limits allow.
    pub fn expand(&self, mut reference: Reference, sink: &mut Sink) -> Result<(), ReadError> {
        reference.target = self.target(&reference, sink.layers);
        if let Target::Block(block) = reference.target {
            let height = u64::from(self.list[block].height);
            if height >= sink.limits.value(Limit::Nesting) {
                return Err(over_limit(&reference, Limit::Nesting, sink));
            }
            let cost = self.cost(block, &reference.insert);
            sink.left =
                sink.left.checked_sub(cost).ok_or_else(|| over_limit(&reference, Limit::Pieces, sink))?;
            // Each may be an entity of its own.
            let bytes = cost.saturating_mul(size_of::<Entity>() as u64);
            let left = sink.memory_left.checked_sub(bytes);
            sink.memory_left = left.ok_or_else(|| over_limit(&reference, Limit::Memory, sink))?;
        }
        self.put(&reference, &Map3::IDENTITY, reference.spot.layer, reference.invisible, sink);
        Ok(())
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
        self.check_unit(reference, block, sink);
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
                        Item::Written(passed, invisible, lettering) => {
                            let layer = on_layer(passed.layer, sink);
                            sink.write(&Passed { layer, ..*passed }, hidden || *invisible, lettering, &map);
                        }
                        Item::Faulty(passed, fault) => {
                            let passed = Passed { layer: on_layer(passed.layer, sink), ..*passed };
                            sink.faulty(&passed, fault);
                        }
                    }
                }
            }
        }
    }

    /// A block in another unit than the drawing's is scaled by the program that puts it there; one at full size was not.
    fn check_unit(&self, reference: &Reference, block: &Block, sink: &mut Sink) {
        let (Some(unit), true) = (sink.unit, reference.insert.is_full_size()) else { return };
        let own = self.units.get(&block.name.to_lowercase());
        let Some(own) = own.filter(|own| own.millimetres() != unit.millimetres()) else { return };
        let finding = Finding::of(Code::BlockUnitDiffers)
            .with("block", Value::Name(block.name.clone()))
            .with("block_unit", own.plural())
            .with("drawing_unit", unit.plural());
        sink.findings.once(sink.layers, reference.spot, finding);
    }

    fn drop(&self, reference: &Reference, reason: Reason, layer: LayerIndex, sink: &mut Sink) {
        let spot = Spot { layer, ..reference.spot };
        let name = sink.layers.encoder.decode(&reference.insert.name);
        let code = match reason {
            Reason::MissingBlock => Code::BlockMissing,
            Reason::ExternalDrawing => Code::BlockExternal,
            _ => Code::BlockWithinItself,
        };
        let finding = Finding::of(code).with("block", Value::Name(name));
        sink.findings.once(sink.layers, spot, finding);
        sink.tally.add(&spot.passed(sink.insert_kind, reason));
    }
}

/// The error for a reference in model space whose blocks go over a limit.
#[cold]
fn over_limit(reference: &Reference, limit: Limit, sink: &Sink) -> ReadError {
    let name = sink.layers.encoder.decode(&reference.insert.name);
    let mut what = format!("a reference to block “{}”", name.escape_debug());
    if let Some(layer) = sink.layers.list.get(reference.spot.layer.index()) {
        what.push_str(&format!(" on layer {}", layer.name));
    }
    if let Some(handle) = reference.spot.handle {
        what.push_str(&format!(" with handle {handle:X}"));
    }
    sink.limits.exceeded(limit, &what).in_file(reference.spot.position)
}

impl Spot {
    pub fn of(passed: &Passed) -> Spot {
        Spot { position: passed.position, layer: passed.layer, handle: passed.handle }
    }

    pub fn passed(self, kind: KindName, reason: Reason) -> Passed {
        Passed { kind, layer: self.layer, reason, handle: self.handle, position: self.position }
    }
}

impl Sink<'_> {
    /// Passes over an entity with a bad value, and tells it once, however often its block is inserted.
    pub fn faulty(&mut self, passed: &Passed, fault: &Faulty) {
        self.tally.add(passed);
        let Faulty { entity, what } = fault;
        self.findings.bad_entity(self.layers, Spot::of(passed), passed.reason, entity, what);
    }

    /// Keeps what is written, beside counting it among what is passed over.
    pub fn write(&mut self, passed: &Passed, hidden: bool, lettering: &Lettering, map: &Map3) {
        self.tally.add(passed);
        let [x, y, _] = map.point(lettering.place);
        let place = Point::new(x, y);
        let decoded = self.layers.encoder.decode(&lettering.bytes);
        let content =
            if lettering.formatted { lettering::formatted(&decoded) } else { lettering::plain(&decoded) };
        if place.is_finite() && !content.is_empty() {
            self.texts.push(Text { content, place, layer: passed.layer, hidden });
        }
    }

    /// Puts one entity into the drawing plane, or passes it over.
    #[inline]
    #[allow(
        clippy::too_many_arguments,
        reason = "On the path of every entity; a struct would be moved for each"
    )]
    pub fn place(
        &mut self,
        kind: EntityKind,
        spot: Spot,
        normal: Point3,
        hidden: bool,
        drawn: RawShape,
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
                if remarks.no_style {
                    self.findings.oddity(Oddity::NoStyle, kind, spot);
                }
                self.remarked.add(remarks);
                self.entities.push(Entity {
                    kind,
                    layer,
                    handle: spot.handle.and_then(std::num::NonZeroU64::new),
                    position: Packed::new(spot.position),
                    hidden,
                    shape,
                });
            }
            Ok(_) => {
                let what = "its coordinates go beyond 1e15, where numbers hold no shape any more";
                self.findings.bad_entity(self.layers, spot, Reason::BadValue, &kind.to_string(), what);
                self.pass(spot, kind, Reason::BadValue);
            }
            Err(OnEdge) => self.pass(spot, kind, Reason::TiltedPlane),
        }
    }

    fn pass(&mut self, spot: Spot, kind: EntityKind, reason: Reason) {
        if let Some(name) = self.kind_names.get(kind as usize) {
            self.tally.add(&spot.passed(*name, reason));
        }
    }
}
