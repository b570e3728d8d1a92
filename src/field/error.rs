//! Why a section has no fields.

use std::fmt;

use crate::geometry::Point;

/// Why a section has no fields.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum FieldErrorKind {
    /// The tolerance or the Poisson ratio is out of range.
    Options,
    /// Its outlines run so near to each other that triangles do not fit between them.
    Unmeshed,
    /// It would take more triangles or parts than are allowed.
    TooLarge,
    /// Its figures are beyond what numbers hold.
    OutOfRange,
    /// The library was built without its feature `field`.
    NotBuiltIn,
}

/// Why a section has no fields, and where.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FieldError {
    kind: FieldErrorKind,
    at: Option<Point>,
}

impl FieldError {
    pub(super) fn new(kind: FieldErrorKind, at: Option<Point>) -> FieldError {
        FieldError { kind, at }
    }

    /// What went wrong.
    pub fn kind(&self) -> FieldErrorKind {
        self.kind
    }

    /// Where, in drawing coordinates.
    pub fn at(&self) -> Option<Point> {
        self.at
    }
}

impl fmt::Display for FieldError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(match self.kind {
            FieldErrorKind::Options => "the tolerance or the Poisson ratio is out of range",
            FieldErrorKind::Unmeshed => "outlines run too near to each other to be filled with triangles",
            FieldErrorKind::TooLarge => "the section would take too many triangles",
            FieldErrorKind::NotBuiltIn => "the library was built without its feature field",
            FieldErrorKind::OutOfRange => "the figures are beyond what numbers hold",
        })?;
        match self.at {
            Some(at) => write!(out, " near ({}, {})", at.x, at.y),
            None => Ok(()),
        }
    }
}

impl std::error::Error for FieldError {}

/// What a mesh cannot do.
#[cfg(feature = "field")]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Trouble {
    /// Pieces of the boundary cross each other or lie on each other.
    Crossing,
    /// A triangle is turned inside out, or rounding has spoiled the equations.
    Unsound,
    /// There would be too many of them.
    TooMany,
}

/// What a mesh cannot do, and where on its own page.
#[cfg(feature = "field")]
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct MeshTrouble {
    pub trouble: Trouble,
    place: Point,
}

#[cfg(feature = "field")]
impl MeshTrouble {
    pub fn new(trouble: Trouble, place: Point) -> MeshTrouble {
        MeshTrouble { trouble, place }
    }

    /// In drawing coordinates, of a part that was moved by −`centre` and divided by `size`.
    pub fn at(self, centre: Point, size: f64) -> FieldError {
        let kind = match self.trouble {
            Trouble::TooMany => FieldErrorKind::TooLarge,
            Trouble::Crossing | Trouble::Unsound => FieldErrorKind::Unmeshed,
        };
        FieldError::new(kind, Some(self.place * size + centre))
    }
}
