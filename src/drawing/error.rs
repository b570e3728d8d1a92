//! Why a drawing could not be read at all.

use std::error::Error;
use std::fmt;
use std::io;
use std::path::Path;

/// What kept a drawing from being read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum ReadErrorKind {
    /// The file could not be opened or read.
    Io,
    /// The file holds nothing.
    Empty,
    /// A DXF in the binary form.
    Binary,
    /// A DWG drawing.
    Dwg,
    /// Text in UTF-16 or UTF-32.
    WideText,
    /// Another kind of file, known by its first bytes.
    OtherFormat,
    /// Not group codes and values in turn, or none of the sections of a drawing.
    NotDxf,
}

/// A drawing that could not be read: what is wrong, where, and what to try next.
#[derive(Debug)]
pub struct ReadError {
    kind: ReadErrorKind,
    message: String,
    hint: &'static str,
    line: Option<u64>,
    source: Option<io::Error>,
}

impl ReadError {
    pub(super) fn new(kind: ReadErrorKind, message: impl Into<String>, hint: &'static str) -> ReadError {
        ReadError { kind, message: message.into(), hint, line: None, source: None }
    }

    pub(super) fn on_line(mut self, line: u64) -> ReadError {
        self.line = Some(line);
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

    pub(super) fn reading(error: io::Error, line: u64) -> ReadError {
        let hint = "check that the path names a file, not a folder, and that its disk is still there";
        let message = format!("cannot read on: {error}");
        ReadError { source: Some(error), ..ReadError::new(ReadErrorKind::Io, message, hint) }.on_line(line)
    }

    /// What kept the drawing from being read.
    pub fn kind(&self) -> ReadErrorKind {
        self.kind
    }

    /// Line of the file, from 1, where it has one.
    pub fn line(&self) -> Option<u64> {
        self.line
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
        match self.line {
            Some(line) => write!(f, " (line {line})"),
            None => Ok(()),
        }
    }
}

impl Error for ReadError {
    fn source(&self) -> Option<&(dyn Error + 'static)> {
        self.source.as_ref().map(|error| error as &(dyn Error + 'static))
    }
}
