//! Why a drawing could not be read at all.

use std::error::Error;
use std::fmt;
use std::io;
use std::path::Path;

use crate::finding::Position;

/// What kept a drawing from being read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum ReadErrorKind {
    /// The file could not be opened or read.
    Io,
    /// The file holds nothing.
    Empty,
    /// A binary DXF whose first line is damaged.
    Binary,
    /// A DWG drawing.
    Dwg,
    /// Text in UTF-16 or UTF-32.
    WideText,
    /// Another kind of file, known by its first bytes.
    OtherFormat,
    /// Not group codes and values in turn, or none of the sections of a drawing.
    NotDxf,
    /// It goes over one of the [`Limits`](super::Limits).
    OverLimit,
}

/// A drawing that could not be read: what is wrong, where, and what to try next.
#[derive(Debug)]
pub struct ReadError {
    kind: ReadErrorKind,
    message: String,
    hint: &'static str,
    position: Option<Position>,
    source: Option<io::Error>,
}

impl ReadError {
    pub(super) fn new(kind: ReadErrorKind, message: impl Into<String>, hint: &'static str) -> ReadError {
        ReadError { kind, message: message.into(), hint, position: None, source: None }
    }

    pub(super) fn in_file(mut self, position: Position) -> ReadError {
        self.position = Some(position);
        self
    }

    pub(super) fn opening(path: &Path, error: io::Error) -> ReadError {
        let hint = match error.kind() {
            io::ErrorKind::NotFound => "check the spelling of the path, and the folder it starts from",
            io::ErrorKind::PermissionDenied => {
                "ask for the right to read it, or copy it to a folder of your own"
            }
            _ => "check that the path names a file that can be read",
        };
        let message = format!("cannot open {}: {error}", path.display());
        ReadError { source: Some(error), ..ReadError::new(ReadErrorKind::Io, message, hint) }
    }

    pub(super) fn reading(error: io::Error, position: Option<Position>) -> ReadError {
        let hint = "check that the path names a file, not a folder, and that its disk is still there";
        let message = format!("cannot read on: {error}");
        ReadError { source: Some(error), position, ..ReadError::new(ReadErrorKind::Io, message, hint) }
    }

    /// What kept the drawing from being read.
    pub fn kind(&self) -> ReadErrorKind {
        self.kind
    }

    /// Where in the file, where it has a place there.
    pub fn position(&self) -> Option<Position> {
        self.position
    }

    /// What to try next.
    pub fn hint(&self) -> &str {
        self.hint
    }
}

impl fmt::Display for ReadError {
    /// What is wrong and where, without the hint.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)?;
        match self.position {
            Some(position) => write!(f, " ({position})"),
            None => Ok(()),
        }
    }
}

impl Error for ReadError {
    fn source(&self) -> Option<&(dyn Error + 'static)> {
        self.source.as_ref().map(|error| error as &(dyn Error + 'static))
    }
}
