//! What the reader of a result must know: findings travel with the result they concern.

use std::fmt;

use crate::geometry::Point;

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
    /// A line of a text, from 1; 0 where there is no file.
    Line(u64),
    /// Bytes before the place in a binary drawing.
    Byte(u64),
}

impl Default for Position {
    /// Of what comes from no file.
    fn default() -> Position {
        Position::Line(0)
    }
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

/// One thing that the reader of a result must know: what, where, and what to try next.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// How much it matters.
    pub severity: Severity,
    /// What was found, in one sentence without a full stop.
    pub message: String,
    /// Where.
    pub place: Place,
    /// What to try next; may be empty.
    pub hint: String,
}

/// The words that stand for the unit of the drawing where it is not known.
pub const DRAWING_UNITS: &str = "drawing units";

impl Finding {
    /// A finding without place or hint.
    pub fn new(severity: Severity, message: impl Into<String>) -> Finding {
        Finding { severity, message: message.into(), place: Place::default(), hint: String::new() }
    }

    /// A note.
    pub fn note(message: impl Into<String>) -> Finding {
        Finding::new(Severity::Note, message)
    }

    /// A warning.
    pub fn warning(message: impl Into<String>) -> Finding {
        Finding::new(Severity::Warning, message)
    }

    /// A failure.
    pub fn failure(message: impl Into<String>) -> Finding {
        Finding::new(Severity::Failure, message)
    }

    /// The same finding with a hint at what to try next.
    pub fn hint(mut self, hint: impl Into<String>) -> Finding {
        self.hint = hint.into();
        self
    }

    /// The same finding with the unit of its lengths named. Stages that know curves but no units write lengths in
    /// [`DRAWING_UNITS`].
    pub fn in_unit(mut self, symbol: &str) -> Finding {
        for text in [&mut self.message, &mut self.hint] {
            if text.contains(DRAWING_UNITS) {
                *text = text.replace(DRAWING_UNITS, symbol);
            }
        }
        self
    }

    /// The same finding at a point of the drawing.
    pub fn at(mut self, point: Point) -> Finding {
        self.place.point = Some(point);
        self
    }

    /// The same finding at a line or byte of the file.
    pub fn in_file(mut self, position: Position) -> Finding {
        self.place.position = Some(position);
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
}

impl fmt::Display for Finding {
    /// `message (line 12, layer A, handle 1F, at 10,20): hint`
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.message)?;
        if self.place != Place::default() {
            write!(f, " ({})", self.place)?;
        }
        if !self.hint.is_empty() {
            write!(f, ": {}", self.hint)?;
        }
        Ok(())
    }
}

/// A place as people read it on a drawing: `x,y` with at most six decimals.
pub fn coordinates(point: Point) -> String {
    format!("{},{}", short(point.x), short(point.y))
}

/// A length as people read it: at most six decimals, without trailing zeros.
pub fn short(value: f64) -> String {
    if value != 0.0 && !(1e-6..1e12).contains(&value.abs()) {
        return format!("{value:.3e}");
    }
    let text = format!("{value:.6}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}
