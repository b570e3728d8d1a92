//! Files that are damaged or end too early: where reading goes on, and what is told.

use super::Reader;
use crate::drawing::error::{ReadError, ReadErrorKind};
use crate::drawing::limits::Limit;
use crate::drawing::pairs::{Damage, Ending};
use crate::finding::{Finding, Position};

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
        let cost = match (self.cut_entity.take(), self.section.as_str()) {
            (Some((name, first)), _) => {
                self.orphans = name == "POLYLINE" || self.orphans && name == "VERTEX";
                format!("the {name} that begins in {first} is left out")
            }
            (None, "HEADER") => {
                "the header does not say all that it should, perhaps not the unit of the drawing".to_owned()
            }
            (None, "TABLES") => {
                "an entry of a table is left out, so that a layer may be off or frozen unseen".to_owned()
            }
            (None, "") => "what stands there is left out".to_owned(),
            (None, section) => format!("what stands there in the {section} section is left out"),
        };
        if self.section.is_empty() {
            self.found_section = resumed.section;
        }
        let Damage { what, position } = damage;
        // The pair that reading goes on with is still to come.
        let next = self.pairs.position();
        self.findings.damage(
            Finding::warning(format!("{what} in {position}: {cost}, and reading goes on in {next}"))
                .in_file(position)
                .hint("part of the drawing may be missing or not as drawn: copy or export the file again"),
        );
        true
    }

    /// Passes over a section whose name is not known.
    pub(super) fn skip_nameless(&mut self, begin: Position) {
        self.findings.push(
            Finding::warning(format!(
                "the section that begins in {begin} has no name: nothing in it is read"
            ))
            .in_file(begin)
            .hint("copy or export the file again"),
        );
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
        let place = match (&self.cut_entity, self.section.as_str()) {
            (Some((name, first)), _) => {
                format!("inside the {name} that begins in {first}, which is left out")
            }
            (None, "") => "after a section, without the mark that ends a drawing (EOF)".to_owned(),
            (None, section) => format!("inside the {section} section"),
        };
        let message = match self.last_damage.take() {
            Some(damage) => {
                position = damage.position;
                format!("{} in {position}: nothing is read from there on, {place}", damage.what)
            }
            None => format!("the file ends at {position}, {place}"),
        };
        self.findings.push(
            Finding::warning(message)
                .in_file(position)
                .hint("part of the drawing may be missing: copy or export the file again"),
        );
        Ok(())
    }
}

fn no_drawing(damage: Option<Damage>, reached: Position, empty: bool) -> ReadError {
    const HINT: &str =
        "check that it is a DXF, and not another file with its ending; export it again as DXF text";
    match damage {
        Some(Damage { what, position }) => {
            ReadError::new(ReadErrorKind::NotDxf, format!("this is no DXF: {what}"), HINT).in_file(position)
        }
        _ if empty => ReadError::new(
            ReadErrorKind::Empty,
            "the file is empty",
            "check that the export or the download went through",
        ),
        _ => ReadError::new(ReadErrorKind::NotDxf, "this is no DXF: it holds no section", HINT)
            .in_file(reached),
    }
}
