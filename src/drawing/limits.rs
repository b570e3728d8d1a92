//! How much of a drawing is read. A drawing that goes over a limit is not read at all: figures without a part of it
//! would be wrong.

use std::fmt;

use super::error::ReadError;
use crate::finding::{Code, Finding, Value};

/// Plans of a whole works are some 100 MB; a larger file than this is no drawing of parts, and a source without an end
/// must end somewhere.
const FILE_SIZE: u64 = 2 << 30;

/// A longer line is no text that a drawing holds (bulk data is written in lines of some 250 digits): memory is not
/// grown for it beyond this.
const LINE_LENGTH: u64 = 16 << 20;

/// A large plan has some thousand layers; each takes memory of its own and may become a row of the schedule.
const LAYERS: u64 = 100_000;

/// A traced contour has some 100,000 vertices; five million take some 200 MB.
const VERTICES: u64 = 5_000_000;

/// A drawing of a perforated plate has some 100,000 pieces; an array of 32,767 by 32,767 holes has 10⁹, which no memory
/// holds.
const PIECES: u64 = 2_000_000;

/// Assemblies are drawn some five deep.
const NESTING: u64 = 64;

/// As much memory as there is: who reads drawings of others knows what may be spent on one.
const MEMORY: u64 = u64::MAX;

/// Blocks within blocks are expanded one within the other, which takes room on the stack: deeper than this is never
/// read, whatever is asked for.
pub(super) const DEEPEST_NESTING: u64 = 1000;

/// How much of a drawing is read; beyond one of these limits it is refused, with an error that names the limit.
///
/// ```
/// use tracearm::drawing::{Drawing, ReadOptions};
///
/// let options = ReadOptions::with(|options| options.limits.vertices = 3);
/// let text = "0\nSECTION\n2\nENTITIES\n0\nLWPOLYLINE\n10\n0\n20\n0\n10\n4\n20\n0\n10\n4\n20\n3\n10\n0\n20\n3\n\
///             0\nENDSEC\n0\nEOF\n";
/// let error = Drawing::read_with(text.as_bytes(), &options).unwrap_err();
/// assert!(error.to_string().contains("over the limit of 3 vertices"));
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub struct Limits {
    /// Bytes of the file; 2 GiB unless set otherwise.
    pub file_size: u64,
    /// Bytes of one line of a text, or of one string of a binary drawing; 16 MiB unless set otherwise.
    pub line_length: u64,
    /// Layers, those that only entities name among them; 100,000 unless set otherwise.
    pub layers: u64,
    /// Vertices or points of one entity; 5,000,000 unless set otherwise.
    pub vertices: u64,
    /// Points, lines, arcs and spans that all block references together put into the drawing; 2,000,000 unless set
    /// otherwise.
    pub pieces: u64,
    /// Blocks within each other; 64 unless set otherwise, and never more than 1,000.
    pub nesting: u64,
    /// Bytes of memory that the drawing may take, read and measured; no limit unless set. They are counted in large: entities
    /// as they are read, and what their outlines will take from their number, so that it is about so much.
    pub memory: u64,
}

impl Limits {
    /// The default limits with what `change` sets.
    pub fn with(change: impl FnOnce(&mut Limits)) -> Limits {
        let mut limits = Limits::default();
        change(&mut limits);
        limits
    }
}

impl Default for Limits {
    fn default() -> Limits {
        Limits {
            file_size: FILE_SIZE,
            line_length: LINE_LENGTH,
            layers: LAYERS,
            vertices: VERTICES,
            pieces: PIECES,
            nesting: NESTING,
            memory: MEMORY,
        }
    }
}

/// Words that set no limit.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum UnknownLimit {
    /// There is no limit of this name.
    Name(String),
    /// This is no number that a limit can be set to.
    Number {
        /// As it was given.
        number: String,
        /// The limit is one of bytes.
        of_bytes: bool,
    },
}

impl fmt::Display for UnknownLimit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            UnknownLimit::Name(name) => {
                let names = Limits::NAMES.join(", ");
                write!(f, "there is no limit “{}”; the limits are: {names}", name.escape_debug())
            }
            UnknownLimit::Number { number, of_bytes } => {
                let what = if *of_bytes { "whole number of bytes, KB, MB or GB" } else { "whole number" };
                write!(f, "“{}” is not a {what}", number.escape_debug())
            }
        }
    }
}

impl std::error::Error for UnknownLimit {}

/// One of the limits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Limit {
    FileSize,
    LineLength,
    Layers,
    Vertices,
    Pieces,
    Nesting,
    Memory,
}

impl Limits {
    /// The names of the limits, as [`Limits::set`] takes them.
    pub const NAMES: [&'static str; 7] =
        ["file-size", "line-length", "layers", "vertices", "pieces", "nesting", "memory"];

    /// Sets the limit of this name; false where there is none.
    pub fn set(&mut self, name: &str, value: u64) -> bool {
        let limit = match name {
            "file-size" => &mut self.file_size,
            "line-length" => &mut self.line_length,
            "layers" => &mut self.layers,
            "vertices" => &mut self.vertices,
            "pieces" => &mut self.pieces,
            "nesting" => &mut self.nesting,
            "memory" => &mut self.memory,
            _ => return false,
        };
        *limit = value;
        true
    }

    /// Sets the limit of this name to a number in words; those of bytes may have KB, MB or GB, such as `4GB`.
    ///
    /// # Errors
    /// Where there is no such limit or no such number.
    pub fn set_text(&mut self, name: &str, number: &str) -> Result<u64, UnknownLimit> {
        let of_bytes = matches!(name, "memory" | "file-size");
        let (digits, unit) = match of_bytes {
            true => number.split_at(number.trim_end_matches(char::is_alphabetic).len()),
            false => (number, ""),
        };
        let times: Option<u64> = match unit.to_ascii_uppercase().as_str() {
            "" | "B" => Some(1),
            "KB" => Some(1_000),
            "MB" => Some(1_000_000),
            "GB" => Some(1_000_000_000),
            _ => None,
        };
        let digits = digits.trim().parse::<u64>().ok();
        let value = digits.zip(times).and_then(|(number, times)| number.checked_mul(times));
        let value = value.ok_or_else(|| UnknownLimit::Number { number: number.to_owned(), of_bytes })?;
        if !self.set(name, value) {
            return Err(UnknownLimit::Name(name.to_owned()));
        }
        Ok(value)
    }

    pub(super) fn value(&self, limit: Limit) -> u64 {
        match limit {
            Limit::FileSize => self.file_size,
            Limit::LineLength => self.line_length,
            Limit::Layers => self.layers,
            Limit::Vertices => self.vertices,
            Limit::Pieces => self.pieces,
            Limit::Nesting => self.nesting.min(DEEPEST_NESTING),
            Limit::Memory => self.memory,
        }
    }

    /// The error for a drawing that goes over a limit; `what` says in the middle of a sentence what does.
    #[cold]
    pub(super) fn exceeded(&self, limit: Limit, what: &str) -> ReadError {
        let code = match limit {
            Limit::FileSize => Code::FileTooLarge,
            Limit::LineLength => Code::LineTooLong,
            Limit::Layers => Code::TooManyLayers,
            Limit::Vertices => Code::TooManyVertices,
            Limit::Pieces => Code::TooManyPieces,
            Limit::Nesting => Code::NestingTooDeep,
            Limit::Memory => Code::MemoryToRead,
        };
        let value = match limit {
            Limit::Memory => Value::megabytes(self.memory),
            other => Value::Count(self.value(other)),
        };
        ReadError::of(Finding::of(code).with("what", what).with("limit", value))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_limit_is_set_by_its_name() {
        let mut limits = Limits::default();
        for (value, name) in Limits::NAMES.into_iter().enumerate() {
            assert!(limits.set(name, value as u64));
        }
        let Limits { file_size, line_length, layers, vertices, pieces, nesting, memory } = limits;
        assert_eq!(
            [file_size, line_length, layers, vertices, pieces, nesting, memory],
            [0, 1, 2, 3, 4, 5, 6]
        );
        assert!(!limits.set("colours", 7));
    }
}
