//! Why there is no section.

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
    /// What to try next.
    pub fn hint(&self) -> &'static str {
        match self {
            SectionError::NoArea => "draw it as a closed shape with an inside",
            SectionError::OutOfRange => "check the drawing's scale and units",
            SectionError::Contradiction => {
                "look for outlines that cross; if there are none, report the drawing as a defect"
            }
        }
    }
}

impl std::fmt::Display for SectionError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            SectionError::NoArea => "the outline encloses no area",
            SectionError::OutOfRange => "the outline is too large or too small to be measured",
            SectionError::Contradiction => {
                "boundary integrals and strips give different figures, so none are given"
            }
        })
    }
}

impl std::error::Error for SectionError {}
