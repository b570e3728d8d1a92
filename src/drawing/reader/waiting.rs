//! What waits for the end of the file: references to blocks, which may stand before them, and multilines, whose styles
//! stand behind them.

use super::Reader;
use crate::drawing::blocks::{Item, Sink, Sketch};
use crate::drawing::error::ReadError;
use crate::drawing::plane::Map3;
use crate::finding::{Code, Finding};

impl Reader<'_> {
    /// Reads what drawing needs of the OBJECTS section: the styles of multilines, and whether references to blocks are
    /// clipped (SPATIAL_FILTER), which they are not here.
    pub(super) fn objects(&mut self) {
        let mut is_clipped = false;
        while self.pairs.advance_to_zero() {
            let name = self.pairs.text().trim_ascii();
            if name.eq_ignore_ascii_case(b"MLINESTYLE") {
                self.multiline_styles.read_entry(&mut self.pairs);
            } else if name.eq_ignore_ascii_case(b"SPATIAL_FILTER") {
                if !std::mem::replace(&mut is_clipped, true) {
                    self.findings.push(Finding::of(Code::BlockClipped).in_file(self.pairs.position()));
                }
            } else if self.ends_section() {
                return;
            }
        }
    }

    /// Puts what waited where it stands among the entities.
    pub(super) fn draw_waiting(&mut self) -> Result<(), ReadError> {
        if self.waiting.is_empty() {
            return Ok(());
        }
        let layer_zero = self.layers.zero();
        self.blocks.cap(&self.multiline_styles);
        self.blocks.resolve(&self.layers);
        let own = std::mem::take(&mut self.entities);
        let mut entities = Vec::with_capacity(own.len());
        let mut own = own.into_iter();
        let mut taken = 0;
        let mut sink = Sink {
            layers: &self.layers,
            entities: &mut entities,
            texts: &mut self.texts,
            tally: &mut self.tally,
            findings: &mut self.findings,
            remarked: &mut self.remarked,
            layer_zero,
            unit: self.header.units.unit,
            insert_kind: self.insert_kind,
            kind_names: &self.kind_names,
            limits: self.pairs.limits(),
            left: self.pairs.limits().pieces,
            memory_left: self.memory_left,
        };
        for (before, item) in std::mem::take(&mut self.waiting) {
            sink.entities.extend(own.by_ref().take(before - taken));
            taken = before;
            match item {
                Item::Reference(reference) => self.blocks.expand(reference, &mut sink)?,
                Item::Entity(mut sketch) => {
                    sketch.cap(&self.multiline_styles);
                    let Sketch { kind, spot, invisible, normal, drawn, remarks } = sketch;
                    sink.place(kind, spot, normal, invisible, drawn, remarks, &Map3::IDENTITY, spot.layer);
                }
                Item::Passed(_) | Item::Written(..) | Item::Faulty(..) => {}
            }
        }
        self.memory_left = sink.memory_left;
        entities.extend(own);
        self.entities = entities;
        Ok(())
    }
}
