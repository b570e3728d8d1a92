//! Why there is no section.

use crate::finding::{Code, Finding, Value};
use crate::geometry::Point;

/// Why there is no section.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum SectionError {
    /// The region has no area.
    NoArea,
    /// A figure is too large or too small for a 64-bit number.
    OutOfRange,
    /// Boundary integrals and strips contradict each other.
    Contradiction {
        /// Where they first do, as far as that can be told.
        first: Option<Station>,
    },
}

/// Where strips that go over a section first come to something else than the boundary integrals.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub struct Station {
    /// The strips are flat, and go over the section from below; else they are upright, and go from the left.
    pub is_flat: bool,
    /// A point of the outline there, drawing coordinates.
    pub point: Point,
}

impl SectionError {
    /// The same as a finding.
    pub fn finding(self) -> Finding {
        match self {
            SectionError::NoArea => Finding::of(Code::NoArea),
            SectionError::OutOfRange => Finding::of(Code::OutOfRange),
            SectionError::Contradiction { first: None } => Finding::of(Code::StripsContradict),
            SectionError::Contradiction { first: Some(Station { is_flat, point }) } => {
                Finding::of(Code::StripsContradict)
                    .with("axis", if is_flat { "y" } else { "x" })
                    .with("station", Value::Length(if is_flat { point.y } else { point.x }))
                    .at(point)
            }
        }
    }
}

impl std::fmt::Display for SectionError {
    /// The message of the finding.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.finding().message())
    }
}

impl std::error::Error for SectionError {}
