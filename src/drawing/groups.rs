//! The groups of one entity, up to the next group of code 0: what all entities share is taken here, and what belongs
//! to other programs is passed over.

use super::limits::Limit;
use super::pairs::{Pairs, Value};
use super::passed_over::Reason;
use super::plane::{Point3, UP};
use super::tables::{LayerIndex, Layers};
use crate::finding::Position;

/// A value that an entity can't be drawn with.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Fault {
    /// What was found, for the middle of a sentence.
    pub message: String,
    /// Where its value stands in the file; `None` where a value is missing.
    pub position: Option<Position>,
    /// What the entity is passed over for.
    pub reason: Reason,
}

impl Fault {
    pub fn new(message: impl Into<String>) -> Fault {
        Fault { message: message.into(), position: None, reason: Reason::BadValue }
    }
}

/// One group of an entity.
pub(super) struct Group<'a> {
    pub code: i32,
    value: Value<'a>,
    position: Position,
}

impl<'a> Group<'a> {
    #[inline]
    fn of(pairs: &'a Pairs) -> Group<'a> {
        Group { code: pairs.code(), value: pairs.value(), position: pairs.position() }
    }

    /// The value as a number.
    #[inline]
    pub fn real(&self) -> Result<f64, Fault> {
        self.value.real().ok_or_else(|| self.fault("is not a number"))
    }

    /// The value as a whole number.
    #[inline]
    pub fn whole(&self) -> Result<i64, Fault> {
        self.value.whole().ok_or_else(|| self.fault("is not a whole number"))
    }

    /// The value as text.
    #[inline]
    pub fn text(&self) -> &'a [u8] {
        self.value.text()
    }

    #[cold]
    fn fault(&self, what: &str) -> Fault {
        let message = format!("“{}” for group {} {what}", self.value.shown(), self.code);
        Fault { position: Some(value_position(self.position)), ..Fault::new(message) }
    }
}

/// Where the value of a group stands: in a text on the next line, in a binary drawing behind the code.
fn value_position(group: Position) -> Position {
    match group {
        Position::Line(line) => Position::Line(line + 1),
        Position::Byte(_) => group,
    }
}

/// What all entities share.
#[derive(Clone, Debug)]
pub(super) struct Common {
    /// Where the entity begins.
    pub position: Position,
    pub handle: Option<u64>,
    pub layer: Option<LayerIndex>,
    pub paper: bool,
    pub invisible: bool,
    /// Extrusion direction.
    pub normal: Point3,
    pub fault: Option<Fault>,
}

/// Goes through the groups of one entity.
pub(super) struct Groups<'a, 's> {
    pairs: &'a mut Pairs<'s>,
    layers: Option<&'a mut Layers>,
    pub common: Common,
    /// Within `102 {…` to `102 }`.
    braced: bool,
    /// After a group 101: an object of another kind stands within the entity.
    embedded: bool,
    /// The file ended, or is damaged, before the next group of code 0.
    pub cut: bool,
    over: bool,
    /// Groups that may begin a point.
    points: u64,
}

impl<'a, 's> Groups<'a, 's> {
    /// The groups after the present pair, which begins the entity.
    pub fn new(pairs: &'a mut Pairs<'s>, layers: Option<&'a mut Layers>) -> Groups<'a, 's> {
        let common = Common {
            position: pairs.position(),
            handle: None,
            layer: None,
            paper: false,
            invisible: false,
            normal: UP,
            fault: None,
        };
        Groups { pairs, layers, common, braced: false, embedded: false, cut: false, over: false, points: 0 }
    }

    /// The next group that is the entity's own.
    #[inline]
    pub fn next(&mut self) -> Option<Group<'_>> {
        if self.over {
            return None;
        }
        loop {
            if !self.pairs.advance_often() {
                (self.cut, self.over) = (true, true);
                return None;
            }
            let code = self.pairs.code();
            if code == 0 {
                self.pairs.hold();
                self.over = true;
                return None;
            }
            if self.own(code) {
                break;
            }
        }
        Some(Group::of(self.pairs))
    }

    /// Passes over the rest of the entity, keeping what all entities share.
    pub fn finish(&mut self) {
        while self.next().is_some() {}
    }

    /// The pair is the entity's own; what all entities share is kept here.
    #[inline]
    fn own(&mut self, code: i32) -> bool {
        match code {
            10 | 11 if !self.braced && !self.embedded => {
                self.points += 1;
                if self.points > self.pairs.limits().vertices {
                    self.too_many_points();
                }
                true
            }
            10..=59 | 66 | 68..=78 if !self.braced && !self.embedded => true,
            _ => self.shared(code),
        }
    }

    #[cold]
    fn too_many_points(&mut self) {
        stop_at_vertices(self.pairs, &self.common);
    }

    fn shared(&mut self, code: i32) -> bool {
        match code {
            102 => self.braced = self.pairs.text().trim_ascii_start().first() == Some(&b'{'),
            101 => self.embedded = true,
            999.. => {}
            _ if self.braced || self.embedded => {}
            5 => self.common.handle = self.pairs.handle(),
            8 => {
                if let Some(layers) = self.layers.as_mut() {
                    self.common.layer = Some(layers.named(self.pairs.text()));
                    if layers.too_many {
                        let error = self.pairs.limits().exceeded(Limit::Layers, "the number of layers");
                        self.pairs.stop(error.in_file(self.pairs.position()));
                    }
                }
            }
            60 => self.common.invisible = self.pairs.whole().is_some_and(|flag| flag != 0),
            67 => self.common.paper = self.pairs.whole().is_some_and(|flag| flag != 0),
            210 | 220 | 230 => {
                let group = Group::of(self.pairs);
                match group.real() {
                    Ok(x) => self.common.normal[(code - 210) as usize / 10] = x,
                    Err(fault) => self.common.fault = Some(fault),
                }
            }
            _ => return true,
        }
        false
    }
}

/// Ends reading: the entity has more vertices than may be.
#[cold]
pub(super) fn stop_at_vertices(pairs: &mut Pairs, entity: &Common) {
    let handle = entity.handle.map_or_else(String::new, |handle| format!(" with handle {handle:X}"));
    let error = pairs.limits().exceeded(Limit::Vertices, &format!("the entity{handle}"));
    pairs.stop(error.in_file(entity.position));
}

/// A coordinate that must be there, of which the name takes work.
pub(super) fn required_of(value: Option<f64>, name: impl FnOnce() -> String) -> Result<f64, Fault> {
    value.ok_or_else(|| Fault::new(format!("no {}", name())))
}

/// A coordinate that must be there.
pub(super) fn required(value: Option<f64>, name: &str) -> Result<f64, Fault> {
    value.ok_or_else(|| Fault::new(format!("no {name}")))
}
