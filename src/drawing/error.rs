//! Why a drawing could not be read at all.

use std::error::Error;
use std::fmt;
use std::io;
use std::path::Path;

use crate::finding::{Code, Finding, Position};
use crate::paths;

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
    finding: Box<Finding>,
    source: Option<io::Error>,
}

impl ReadError {
    pub(super) fn of(finding: Finding) -> ReadError {
        ReadError { finding: Box::new(finding), source: None }
    }

    pub(super) fn in_file(mut self, position: Position) -> ReadError {
        self.finding.place.position = Some(position);
        self
    }

    pub(super) fn opening(path: &Path, error: io::Error) -> ReadError {
        /// Of Windows: a file or a part of it is shared with nobody.
        const IN_USE: [i32; 2] = [32, 33];
        let in_use = cfg!(windows) && error.raw_os_error().is_some_and(|code| IN_USE.contains(&code));
        let code = match error.kind() {
            _ if in_use => Code::FileInUse,
            io::ErrorKind::NotFound => Code::FileMissing,
            io::ErrorKind::PermissionDenied => Code::FileForbidden,
            _ => Code::FileNotOpened,
        };
        let finding = Finding::of(code).with("path", paths::text(&path).into_owned());
        let finding = match code {
            Code::FileMissing => finding,
            _ => finding.with("error", error.to_string()),
        };
        ReadError { source: Some(error), ..ReadError::of(finding) }
    }

    pub(super) fn reading(error: io::Error, position: Option<Position>) -> ReadError {
        let mut finding = Finding::of(Code::FileNotReadOn).with("error", error.to_string());
        finding.place.position = position;
        ReadError { source: Some(error), ..ReadError::of(finding) }
    }

    /// What kept the drawing from being read.
    pub fn kind(&self) -> ReadErrorKind {
        match self.finding.code {
            Code::FileEmpty => ReadErrorKind::Empty,
            Code::BinaryDamaged => ReadErrorKind::Binary,
            Code::FileIsDwg => ReadErrorKind::Dwg,
            Code::FileIsWideText => ReadErrorKind::WideText,
            Code::FileIsOther => ReadErrorKind::OtherFormat,
            Code::FileIsNoDxf => ReadErrorKind::NotDxf,
            Code::FileTooLarge
            | Code::LineTooLong
            | Code::TooManyLayers
            | Code::TooManyVertices
            | Code::TooManyPieces
            | Code::NestingTooDeep
            | Code::MemoryToRead => ReadErrorKind::OverLimit,
            _ => ReadErrorKind::Io,
        }
    }

    /// Where in the file, where it has a place there.
    pub fn position(&self) -> Option<Position> {
        self.finding.place.position
    }

    /// The same as a finding.
    pub fn finding(&self) -> &Finding {
        &self.finding
    }
}

impl fmt::Display for ReadError {
    /// What is wrong, where, and what to try next.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.finding.fmt(f)
    }
}

impl Error for ReadError {
    fn source(&self) -> Option<&(dyn Error + 'static)> {
        self.source.as_ref().map(|error| error as &(dyn Error + 'static))
    }
}
