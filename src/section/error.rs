//! Why there is no section.

use crate::finding::{Code, Finding};

/// Why there is no section.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum SectionError {
    /// The region has no area.
    NoArea,
    /// A figure is too large or too small for a 64-bit number.
    OutOfRange,
    /// Boundary integrals and strips contradict each other.
    Contradiction,
}

impl SectionError {
    /// The same as a finding.
    pub fn finding(self) -> Finding {
        Finding::of(match self {
            SectionError::NoArea => Code::NoArea,
            SectionError::OutOfRange => Code::OutOfRange,
            SectionError::Contradiction => Code::StripsContradict,
        })
    }
}

impl std::fmt::Display for SectionError {
    /// The message of the finding.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.finding().message())
    }
}

impl std::error::Error for SectionError {}
