//! What the reader of a result must know: findings travel with the result they concern.
//!
//! A finding is a fact: a [`Code`], a [`Severity`], a [`Place`] and values. Its sentence is made of these where it is
//! shown, and so is what to try next, in the words of whoever shows it ([`Advice`]).

mod code;
mod example;
mod nearest;
mod options;
mod sentence;
mod value;

pub use code::{Code, UnknownCode};
pub use nearest::nearest;
pub use options::advice_with_options;
pub use value::{Value, coordinates, short};

use std::fmt;

use crate::geometry::Point;
use crate::unit::LengthUnit;

/// How much a finding matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// Good to know; the figures stand.
    Note,
    /// The figures stand for what was measured, but something near them may not be what was meant.
    Warning,
    /// There is no figure.
    Failure,
}

impl Severity {
    /// `note`, `warning` or `failure`.
    pub fn word(self) -> &'static str {
        match self {
            Severity::Note => "note",
            Severity::Warning => "warning",
            Severity::Failure => "failure",
        }
    }
}

/// A place in a drawing file: a line of a text, a byte of a binary drawing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Position {
    /// A line of a text, from 1.
    Line(u64),
    /// Bytes before the place in a binary drawing.
    Byte(u64),
}

impl fmt::Display for Position {
    /// `line 12`, `byte 345`
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Position::Line(line) => write!(f, "line {line}"),
            Position::Byte(byte) => write!(f, "byte {byte}"),
        }
    }
}

/// Where in the drawing a finding belongs; every part that is not known is `None`.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Place {
    /// Line or byte of the drawing file.
    pub position: Option<Position>,
    /// Layer name.
    pub layer: Option<String>,
    /// Entity handle.
    pub handle: Option<u64>,
    /// Drawing coordinates, in drawing units.
    pub point: Option<Point>,
}

impl fmt::Display for Place {
    /// `line 12, layer A, handle 1F, at 10,20`; nothing where nothing is known.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut parts = Vec::new();
        if let Some(position) = self.position {
            parts.push(position.to_string());
        }
        if let Some(layer) = &self.layer {
            parts.push(format!("layer {layer}"));
        }
        if let Some(handle) = self.handle {
            parts.push(format!("handle {handle:X}"));
        }
        if let Some(point) = self.point {
            parts.push(format!("at {}", coordinates(point)));
        }
        f.write_str(&parts.join(", "))
    }
}

/// What to try next, in the words of whoever shows findings: a sentence for a code, written as those of [`Code`] are;
/// `None` for nothing. [`Code::advice`] is the advice for whoever has a drawing program at hand.
pub type Advice = fn(Code) -> Option<&'static str>;

/// One thing that the reader of a result must know: what, where, and the values that belong to it.
#[derive(Clone, Debug, PartialEq)]
#[must_use]
#[non_exhaustive]
pub struct Finding {
    /// What was found.
    pub code: Code,
    /// How much it matters.
    pub severity: Severity,
    /// Where.
    pub place: Place,
    unit: Option<LengthUnit>,
    values: Vec<(&'static str, Value)>,
}

impl Finding {
    /// A finding without place and values.
    pub fn of(code: Code) -> Finding {
        Finding { code, severity: code.severity(), place: Place::default(), unit: None, values: Vec::new() }
    }

    /// The same finding with a value that its sentence names.
    pub fn with(mut self, key: &'static str, value: impl Into<Value>) -> Finding {
        let value = value.into();
        let keys = self.code.keys();
        debug_assert!(
            keys.contains(&(key, value.kind())),
            "{}: no {key} that is a {}",
            self.code,
            value.kind()
        );
        // In the order in which the sentence names them, whoever finds them in which order.
        let order = |key: &str| keys.iter().position(|(own, _)| *own == key);
        let place = self.values.partition_point(|(own, _)| order(own) < order(key));
        self.values.insert(place, (key, value));
        self
    }

    /// The same finding with a value where there is one.
    pub fn with_some(self, key: &'static str, value: Option<impl Into<Value>>) -> Finding {
        match value {
            Some(value) => self.with(key, value),
            None => self,
        }
    }

    /// The same finding with another weight than is usual.
    pub fn weighing(self, severity: Severity) -> Finding {
        Finding { severity, ..self }
    }

    /// The same finding with the unit of its lengths and areas, which those who know curves alone leave open.
    pub fn in_unit(self, unit: LengthUnit) -> Finding {
        Finding { unit: Some(unit), ..self }
    }

    /// The same finding at a point of the drawing.
    pub fn at(mut self, point: Point) -> Finding {
        self.place.point = Some(point);
        self
    }

    /// The same finding at a line or byte of the file, where that is known.
    pub fn in_file(mut self, position: impl Into<Option<Position>>) -> Finding {
        self.place.position = position.into();
        self
    }

    /// The same finding on a layer.
    pub fn on_layer(mut self, layer: impl Into<String>) -> Finding {
        self.place.layer = Some(layer.into());
        self
    }

    /// The same finding on the entity with this handle, where it has one.
    pub fn on_entity(mut self, handle: Option<u64>) -> Finding {
        self.place.handle = handle;
        self
    }

    /// The unit of its lengths and areas; `None` where it is not known, or there are none.
    pub fn unit(&self) -> Option<LengthUnit> {
        self.unit
    }

    /// Its values with their keys, in the order in which the sentence names them.
    pub fn values(&self) -> &[(&'static str, Value)] {
        &self.values
    }

    /// The value of a key.
    pub fn value(&self, key: &str) -> Option<&Value> {
        self.values.iter().find(|(own, _)| *own == key).map(|(_, value)| value)
    }

    /// Whether all values are there that its sentence needs.
    pub fn is_complete(&self) -> bool {
        sentence::is_whole(self.code.sentence(), self)
    }

    /// What was found, in one sentence without a full stop.
    pub fn message(&self) -> String {
        sentence::of(self.code.sentence(), self)
    }

    /// What to try next; empty where nothing needs to be done.
    pub fn hint(&self, advice: Advice) -> String {
        advice(self.code).map_or_else(String::new, |advice| sentence::of(advice, self))
    }

    /// `message (line 12, layer A, handle 1F, at 10,20): hint`
    pub fn words(&self, advice: Advice) -> String {
        let mut words = self.message();
        if self.place != Place::default() {
            words.push_str(&format!(" ({})", self.place));
        }
        let hint = self.hint(advice);
        if !hint.is_empty() {
            words.push_str(": ");
            words.push_str(&hint);
        }
        words
    }

    /// Bytes that it takes up in memory, about.
    pub(crate) fn weight(&self) -> usize {
        let texts = self.values.iter().map(|(_, value)| match value {
            Value::Text(text) | Value::Name(text) | Value::Layer(text) => text.len(),
            Value::Areas(areas) => size_of_val(areas.as_slice()),
            _ => 0,
        });
        size_of::<Finding>() + self.values.len() * size_of::<(&str, Value)>() + texts.sum::<usize>()
    }
}

impl Code {
    /// The keys of the values that its findings can have, each with the kind of the value.
    pub fn keys(self) -> Vec<(&'static str, &'static str)> {
        let mut keys = sentence::keys(self.sentence());
        let more = sentence::keys(self.advice().unwrap_or_default());
        keys.extend(more.into_iter().filter(|key| !keys.contains(key)).collect::<Vec<_>>());
        keys
    }
}

impl fmt::Display for Finding {
    /// [`Finding::words`] with the advice for whoever has a drawing program at hand.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.words(Code::advice))
    }
}
