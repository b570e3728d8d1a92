//! From pairs to a drawing: sections, blocks and entities.

mod damage;
mod remarks;
mod waiting;

use super::Drawing;
use super::blocks::{Block, Blocks, Faulty, Item, PER_PIECE, Reference, Sink, Sketch};
use super::entities::{self, MultilineStyles, RawShape, Refusal, Remarked, Remarks, Scratch};
use super::entity::{Entity, EntityKind};
use super::error::ReadError;
use super::findings::{Findings, Spot};
use super::groups::{Common, Fault, Groups};
use super::header::{Encoding, Header};
use super::lettering::Text;
use super::limits::Limit;
use super::options::{ReadOptions, Space};
use super::pairs::{Damage, Pairs};
use super::passed_over::{KindName, Reason, Tally, reason_for_kind};
use super::plane::Map3;
use super::tables::Layers;
use crate::finding::Position;

/// Kinds in the order of their numbers.
const KINDS: [EntityKind; 15] = [
    EntityKind::Line,
    EntityKind::Arc,
    EntityKind::Circle,
    EntityKind::Ellipse,
    EntityKind::LwPolyline,
    EntityKind::Polyline,
    EntityKind::Spline,
    EntityKind::Solid,
    EntityKind::Trace,
    EntityKind::Face,
    EntityKind::Mline,
    EntityKind::Hatch,
    EntityKind::Mpolygon,
    EntityKind::Region,
    EntityKind::Body,
];

pub(super) struct Reader<'s> {
    pairs: Pairs<'s>,
    space: Space,
    header: Header,
    layers: Layers,
    blocks: Blocks,
    entities: Vec<Entity>,
    texts: Vec<Text>,
    /// What in model space waits for the end of the file: references to blocks, multilines. Each with the number of
    /// entities before it.
    waiting: Vec<(usize, Item)>,
    multiline_styles: MultilineStyles,
    tally: Tally,
    kind_names: Vec<KindName>,
    insert_kind: KindName,
    findings: Findings,
    scratch: Scratch,
    remarked: Remarked,
    sections: u64,
    /// Not even a pair has been found.
    empty: bool,
    has_entities: bool,
    complete: bool,
    /// The section that is being read; empty outside sections.
    section: String,
    /// The entity or block that the file ends in, or is damaged in, if it is.
    cut_entity: Option<(String, Position)>,
    /// What is damaged before the first section, which is likely no drawing.
    first_damage: Option<Damage>,
    /// What is damaged, where reading does not go on.
    last_damage: Option<Damage>,
    /// The name of the section that reading goes on in after damage outside sections.
    found_section: Option<String>,
    /// A POLYLINE is damaged: the vertices that follow belong to it.
    orphans: bool,
    /// Bytes that may still be taken.
    memory_left: u64,
}

impl<'s> Reader<'s> {
    pub fn new(pairs: Pairs<'s>, options: &ReadOptions) -> Reader<'s> {
        let mut tally = Tally::of_kinds(KINDS.iter().map(|kind| kind.name()));
        let kind_names = KINDS.iter().map(|kind| tally.kind(kind.name())).collect();
        let insert_kind = tally.kind("INSERT");
        let layers = Layers::new(pairs.limits().layers);
        let memory_left = pairs.limits().memory;
        Reader {
            pairs,
            space: options.space,
            header: Header::default(),
            layers,
            blocks: Blocks::default(),
            entities: Vec::new(),
            texts: Vec::new(),
            waiting: Vec::new(),
            multiline_styles: MultilineStyles::default(),
            tally,
            kind_names,
            insert_kind,
            findings: Findings::default(),
            scratch: Scratch::default(),
            remarked: Remarked::default(),
            sections: 0,
            empty: true,
            has_entities: false,
            complete: false,
            section: String::new(),
            cut_entity: None,
            first_damage: None,
            last_damage: None,
            found_section: None,
            orphans: false,
            memory_left,
        }
    }

    pub fn read(mut self) -> Result<Drawing, ReadError> {
        while self.advance() {
            self.empty = false;
            if let Some(name) = self.found_section.take() {
                self.pairs.hold();
                self.sections += 1;
                self.enter(name);
                continue;
            }
            if self.pairs.code() != 0 {
                continue;
            }
            match upper(self.pairs.text()).as_str() {
                "EOF" => {
                    self.complete = true;
                    break;
                }
                "SECTION" => self.section(),
                _ => {}
            }
        }
        self.finish()
    }

    fn section(&mut self) {
        self.sections += 1;
        let begin = self.pairs.position();
        match self.section_name() {
            Some(name) => self.enter(name),
            None => self.skip_nameless(begin),
        }
    }

    /// The name comes first; a section without one is passed over.
    fn section_name(&mut self) -> Option<String> {
        while self.pairs.advance() {
            match self.pairs.code() {
                2 => {
                    let name = upper(self.pairs.text());
                    if name.contains(|letter: char| letter.is_alphabetic()) {
                        return Some(name);
                    }
                    break;
                }
                0 => {
                    self.pairs.hold();
                    return None;
                }
                _ => {}
            }
        }
        // The name is damaged; it may stand among what is passed over.
        self.found_section = None;
        if self.advance() {
            self.pairs.hold();
        }
        self.found_section.take()
    }

    fn enter(&mut self, name: String) {
        self.section = name;
        match self.section.as_str() {
            "HEADER" => self.read_header(),
            "TABLES" => self.tables(),
            "BLOCKS" => self.read_blocks(),
            "ENTITIES" => {
                self.has_entities = true;
                self.read_entities();
            }
            "OBJECTS" => self.objects(),
            _ => self.skip_section(),
        }
    }

    fn read_header(&mut self) {
        loop {
            self.header.read(&mut self.pairs);
            if !self.advance() {
                break;
            }
            self.pairs.hold();
            if self.pairs.code() == 0 {
                break;
            }
        }
        self.layers.encoder = self.header.encoder();
        self.skip_section();
    }

    /// Is the present pair of code 0 the end of a section? What begins another, or ends the file, is left to be read
    /// again.
    fn ends_section(&mut self) -> bool {
        let value = self.pairs.text().trim_ascii();
        let over = if value.eq_ignore_ascii_case(b"ENDSEC") {
            true
        } else if value.eq_ignore_ascii_case(b"SECTION") || value.eq_ignore_ascii_case(b"EOF") {
            self.pairs.hold();
            true
        } else {
            false
        };
        if over {
            self.section.clear();
        }
        over
    }

    fn skip_section(&mut self) {
        while self.advance_to_zero() {
            if self.ends_section() {
                return;
            }
        }
    }

    fn tables(&mut self) {
        while self.advance_to_zero() {
            let name = self.pairs.text().trim_ascii();
            if name.eq_ignore_ascii_case(b"LAYER") {
                self.layers.read_entry(&mut self.pairs);
            } else if name.eq_ignore_ascii_case(b"BLOCK_RECORD") {
                self.blocks.read_record(&mut self.pairs, &self.layers.encoder);
            } else if self.ends_section() {
                return;
            }
        }
    }

    fn read_blocks(&mut self) {
        let mut open: Option<Block> = None;
        while self.advance_to_zero() {
            let value = self.pairs.text().trim_ascii();
            if value.eq_ignore_ascii_case(b"BLOCK") {
                // One whose beginning is damaged is left out as a whole: its name or base point is not known.
                let block = self.block_start();
                std::mem::replace(&mut open, block).into_iter().for_each(|block| self.blocks.add(block));
            } else if value.eq_ignore_ascii_case(b"ENDBLK") {
                open.take().into_iter().for_each(|block| self.blocks.add(block));
            } else if self.ends_section() {
                break;
            } else if let Some(block) = &mut open {
                // Sheet layouts are blocks too; within a block nothing else tells paper space apart.
                if let Some(item) = self.item(false) {
                    self.take_memory(size_of::<Item>() as u64 + item.size() * PER_PIECE);
                    block.items.push(item);
                }
            }
        }
        open.into_iter().for_each(|block| self.blocks.add(block));
    }

    /// What a block says of itself; `None` where the file ends or is damaged within.
    fn block_start(&mut self) -> Option<Block> {
        let begin = self.pairs.position();
        let mut block = Block::default();
        let mut braced = false;
        while self.pairs.advance() {
            let code = self.pairs.code();
            match code {
                0 => {
                    self.pairs.hold();
                    return Some(block);
                }
                102 => braced = self.pairs.text().trim_ascii_start().first() == Some(&b'{'),
                _ if braced => {}
                2 => block.name = self.layers.encoder.decode(self.pairs.text()),
                10 | 20 | 30 => block.base[(code / 10 - 1) as usize] = self.pairs.real().unwrap_or(0.0),
                70 => block.external = self.pairs.whole().is_some_and(|flags| flags & (4 | 8) != 0),
                _ => {}
            }
        }
        self.cut_entity = Some(("block".to_owned(), begin));
        None
    }

    fn read_entities(&mut self) {
        while self.advance_to_zero() {
            if self.ends_section() {
                return;
            }
            let Some(item) = self.item(true) else { continue };
            match &item {
                // It is counted only.
                Item::Passed(_) => {}
                _ => self.take_memory(size_of::<Entity>() as u64 + item.size() * PER_PIECE),
            }
            let waits = match &item {
                Item::Reference(_) => true,
                Item::Entity(sketch) => matches!(sketch.drawn, RawShape::Multiline(_)),
                _ => false,
            };
            if waits {
                self.waiting.push((self.entities.len(), item));
                continue;
            }
            let mut sink = Sink {
                layers: &self.layers,
                entities: &mut self.entities,
                texts: &mut self.texts,
                tally: &mut self.tally,
                findings: &mut self.findings,
                remarked: &mut self.remarked,
                layer_zero: None,
                unit: None,
                insert_kind: self.insert_kind,
                kind_names: &self.kind_names,
                limits: self.pairs.limits(),
                left: 0,
                memory_left: 0,
            };
            match item {
                Item::Entity(sketch) => {
                    let (layer, normal) = (sketch.spot.layer, sketch.normal);
                    let Sketch { kind, spot, invisible, drawn, remarks, .. } = sketch;
                    sink.place(kind, spot, normal, invisible, drawn, remarks, &Map3::IDENTITY, layer);
                }
                Item::Written(passed, invisible, lettering) => {
                    sink.write(&passed, invisible, &lettering, &Map3::IDENTITY);
                }
                Item::Passed(passed) => sink.tally.add(&passed),
                Item::Faulty(passed, fault) => sink.faulty(&passed, &fault),
                // It waits.
                Item::Reference(_) => {}
            }
        }
    }

    /// Counts memory that is taken; where there is not so much left, reading ends.
    fn take_memory(&mut self, bytes: u64) {
        match self.memory_left.checked_sub(bytes) {
            Some(left) => self.memory_left = left,
            None => {
                let error = self.pairs.limits().exceeded(Limit::Memory, "what is drawn");
                self.pairs.stop(error.in_file(self.pairs.position()));
            }
        }
    }

    /// Reads the entity that the present pair begins. `None` for what is part of others, and where the file
    /// ends or is damaged within.
    fn item(&mut self, by_itself: bool) -> Option<Item> {
        let name = self.pairs.text().trim_ascii();
        let kind = EntityKind::named(name).or_else(|| EntityKind::named(&name.to_ascii_uppercase()));
        let mut remarks = Remarks::default();
        let Some(kind) = kind else { return self.other(by_itself) };
        self.orphans = false;
        let mut groups = Groups::new(&mut self.pairs, Some(&mut self.layers));
        let mut drawn = entities::drawn(kind, &mut groups, &mut self.scratch, &mut remarks);
        groups.finish();
        let (cut, mut common) = (groups.cut, groups.common);
        let mut reason = None;
        let mut ended = cut;
        if kind == EntityKind::Polyline && !cut {
            match entities::vertices(&mut self.pairs, &common, &mut self.scratch) {
                None => ended = true,
                // A fault in the header stands before one in the vertices.
                Some(read) if drawn.is_ok() => match read {
                    Ok(full) => drawn = Ok(full),
                    Err(Refusal::Fault(fault)) => drawn = Err(fault),
                    Err(Refusal::Reason(other)) => reason = Some(other),
                },
                Some(_) => {}
            }
        }
        if ended {
            self.cut_entity = Some((kind.name().to_owned(), common.position));
            return None;
        }
        let name = self.kind_names[kind as usize];
        let spot = self.spot(&common);
        reason = self.elsewhere(by_itself, &common).or(reason);
        if let Some(reason) = reason {
            return Some(Item::Passed(spot.passed(name, reason)));
        }
        let fault = common.fault.take();
        match (drawn, fault) {
            (Ok(drawn), None) => {
                let (invisible, normal) = (common.invisible, common.normal);
                Some(Item::Entity(Sketch { kind, spot, invisible, normal, drawn, remarks }))
            }
            (Err(fault), _) | (Ok(_), Some(fault)) => Some(Self::faulty(kind.name(), name, spot, &fault)),
        }
    }

    /// An entity of a kind that draws no outline of its own: a block reference, or one that is passed over.
    fn other(&mut self, by_itself: bool) -> Option<Item> {
        let name = upper(self.pairs.text());
        let mut groups = Groups::new(&mut self.pairs, Some(&mut self.layers));
        let (mut insert, mut lettering) = (None, None);
        match name.as_str() {
            "INSERT" => insert = Some(entities::insert(&mut groups)),
            "TEXT" | "MTEXT" | "ATTRIB" => lettering = entities::text(&mut groups, &name),
            _ => {}
        }
        groups.finish();
        let (cut, mut common) = (groups.cut, groups.common);
        if cut {
            self.cut_entity = Some((name, common.position));
            return None;
        }
        self.orphans &= matches!(name.as_str(), "VERTEX" | "SEQEND");
        if self.orphans {
            return None;
        }
        // The ends of vertices, attributes and blocks are no entities.
        if matches!(name.as_str(), "SEQEND" | "ENDBLK") {
            return None;
        }
        let spot = self.spot(&common);
        let kind = self.tally.kind(&name);
        if let Some(reason) = self.elsewhere(by_itself, &common) {
            return Some(Item::Passed(spot.passed(kind, reason)));
        }
        let passed = spot.passed(kind, reason_for_kind(&name));
        if let Some(lettering) = lettering {
            return Some(Item::Written(passed, common.invisible, lettering.into()));
        }
        match insert {
            None => Some(Item::Passed(passed)),
            Some(insert) => match (insert, common.fault.take()) {
                (Ok(mut insert), None) => {
                    insert.normal = common.normal;
                    Some(Item::Reference(Reference::new(spot, common.invisible, insert)))
                }
                (Err(fault), _) | (Ok(_), Some(fault)) => Some(Self::faulty("INSERT", kind, spot, &fault)),
            },
        }
    }

    /// Why an entity that stands by itself is not read, if it belongs to the space that was not asked for. Within a
    /// block nothing tells the spaces apart.
    fn elsewhere(&self, by_itself: bool, common: &Common) -> Option<Reason> {
        match (self.space, common.paper) {
            _ if !by_itself => None,
            (Space::Model, true) => Some(Reason::PaperSpace),
            (Space::Paper, false) => Some(Reason::ModelSpace),
            _ => None,
        }
    }

    fn spot(&mut self, common: &Common) -> Spot {
        let layer = common.layer.unwrap_or_else(|| self.layers.named(b"0"));
        Spot { position: common.position, layer, handle: common.handle }
    }

    #[cold]
    fn faulty(name: &str, kind: KindName, spot: Spot, fault: &Fault) -> Item {
        let mut what = fault.message.clone();
        if let Some(position) = fault.position {
            what.push_str(&format!(" in {position}"));
        }
        let faulty = Faulty { entity: name.to_owned(), what };
        Item::Faulty(spot.passed(kind, fault.reason), Box::new(faulty))
    }

    fn finish(mut self) -> Result<Drawing, ReadError> {
        self.check_ending()?;
        self.draw_waiting()?;
        self.blocks.tally_layouts(self.insert_kind, &self.kind_names, &mut self.tally);
        self.remark();
        let findings = self.findings.finished(&self.layers);
        Ok(Drawing {
            form: if self.pairs.is_binary() { Encoding::Binary } else { Encoding::Text },
            version: self.header.version,
            units: self.header.units,
            code_page: self.header.code_page,
            passed_over: self.tally.sorted(&self.layers),
            layers: self.layers.list,
            entities: self.entities,
            texts: self.texts,
            findings,
            memory_left: self.memory_left,
        })
    }
}

/// A name as the file writes it, in capitals and without blanks around.
fn upper(value: &[u8]) -> String {
    /// No name that means something is longer.
    const LONGEST: usize = 255;
    let value = value.trim_ascii();
    let value = &value[..value.len().min(LONGEST)];
    match std::str::from_utf8(value) {
        Ok(name) if name.is_ascii() => name.to_ascii_uppercase(),
        _ => String::from_utf8_lossy(value).to_uppercase(),
    }
}
