//! Files that are damaged or end too early: where reading goes on, and what is reported.

use super::Reader;
use crate::drawing::error::ReadError;
use crate::drawing::limits::Limit;
use crate::drawing::pairs::{Damage, Ending};
use crate::finding::{Code, Finding, Position};

impl Reader<'_> {
    /// Moves to the next pair; after damage, to that with which reading goes on.
    pub(super) fn advance(&mut self) -> bool {
        while !self.pairs.advance() {
            if !self.recover() {
                return false;
            }
        }
        true
    }

    /// As [`Reader::advance`], to the next pair of code 0.
    pub(super) fn advance_to_zero(&mut self) -> bool {
        while !self.pairs.advance_to_zero() {
            if !self.recover() {
                return false;
            }
        }
        true
    }

    /// Goes on after damage, and tells what it costs; false where reading does not go on.
    #[cold]
    fn recover(&mut self) -> bool {
        let Some(damage) = self.pairs.damage() else { return false };
        if self.sections == 0 && self.first_damage.is_none() {
            self.first_damage = Some(damage.clone());
        }
        let Some(resumed) = self.pairs.resume(self.section == "HEADER") else {
            self.last_damage = Some(damage);
            return false;
        };
        let (finding, section) = match (self.cut_entity.take(), self.section.as_str()) {
            (Some((name, first)), _) => {
                self.orphans = name == "POLYLINE" || self.orphans && name == "VERTEX";
                (Finding::of(Code::DamagedEntity).with("entity", name).with("begin", first), None)
            }
            (None, "HEADER") => (Finding::of(Code::DamagedHeader), None),
            (None, "TABLES") => (Finding::of(Code::DamagedTable), None),
            (None, section) => {
                (Finding::of(Code::DamagedPlace), Some(section).filter(|name| !name.is_empty()))
            }
        };
        let finding = finding.with_some("section", section);
        if self.section.is_empty() {
            self.found_section = resumed.section;
        }
        let Damage { what, position } = damage;
        // The pair that reading goes on with is still to come.
        let next = self.pairs.position();
        let finding = finding.with("what", what).with("damaged", position).with("next", next);
        self.findings.damage(finding.in_file(position));
        true
    }

    /// Passes over a section whose name is not known.
    pub(super) fn skip_nameless(&mut self, begin: Position) {
        self.findings.push(Finding::of(Code::SectionWithoutName).with("begin", begin).in_file(begin));
        self.section = "nameless".to_owned();
        self.skip_section();
    }

    /// Tells apart a file that is no drawing, one that could not be read on, and one that ends too early.
    pub(super) fn check_ending(&mut self) -> Result<(), ReadError> {
        let mut position = self.pairs.reached();
        match self.pairs.ending() {
            Some(Ending::Failed(error)) => return Err(ReadError::reading(error, Some(position))),
            // What is no drawing is better named so than by its long lines.
            Some(Ending::OverLimit(error)) if self.sections > 0 || self.first_damage.is_none() => {
                return Err(error);
            }
            _ => {}
        }
        if self.sections == 0 {
            return Err(no_drawing(self.first_damage.take(), position, self.empty));
        }
        if self.layers.too_many {
            return Err(self.pairs.limits().exceeded(Limit::Layers, "the number of layers"));
        }
        if self.complete {
            return Ok(());
        }
        let finding = Finding::of(Code::FileEndsEarly);
        let finding = match (self.cut_entity.take(), self.section.as_str()) {
            (Some((name, first)), _) => finding.with("entity", name).with("begin", first),
            (None, "") => finding,
            (None, section) => finding.with("section", section),
        };
        let finding = match self.last_damage.take() {
            Some(damage) => {
                position = damage.position;
                finding.with("what", damage.what).with("damaged", position)
            }
            None => finding.with("end", position),
        };
        self.findings.push(finding.in_file(position));
        Ok(())
    }
}

fn no_drawing(damage: Option<Damage>, reached: Position, empty: bool) -> ReadError {
    match damage {
        Some(Damage { what, position }) => {
            ReadError::of(Finding::of(Code::FileIsNoDxf).with("what", what)).in_file(position)
        }
        _ if empty => ReadError::of(Finding::of(Code::FileEmpty)),
        _ => ReadError::of(Finding::of(Code::FileIsNoDxf)).in_file(reached),
    }
}
