//! What happened to a section, and to its values.

use std::borrow::Cow;

/// What happened to a section.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ChangeKind {
    /// It is in the later schedule alone.
    Added,
    /// It is in the former schedule alone.
    Gone,
    /// A value of it is another.
    Changed,
    /// It is in one schedule alone, because the other could not measure its drawing or its layer.
    NotCompared,
}

impl ChangeKind {
    /// `added`, `gone`, `changed` or `not compared`.
    pub fn word(self) -> &'static str {
        match self {
            ChangeKind::Added => "added",
            ChangeKind::Gone => "gone",
            ChangeKind::Changed => "changed",
            ChangeKind::NotCompared => "not compared",
        }
    }
}

/// A section that was added, is gone or could not be compared, or one value of a section that changed.
#[derive(Clone, Debug, PartialEq)]
pub struct Change<'a> {
    /// What happened.
    pub kind: ChangeKind,
    /// Path of the drawing, as the later schedule has it; of what stands in the former one alone as that has it.
    pub drawing: &'a str,
    /// Name of the section.
    pub section: &'a str,
    /// Which of several rows with these names it is, from 1; `None` where both schedules have one at the most.
    pub number: Option<usize>,
    /// The value that changed; `None` where the section is in one schedule alone.
    pub value: Option<ValueChange<'a>>,
}

/// A section that differs, whatever and how much of it.
#[derive(Clone, Debug, PartialEq)]
pub struct SectionChange<'a> {
    /// What happened, with the value that changed most in per cent: of several the first, and where none has per cent (texts,
    /// empty cells, what was 0) the first of all.
    pub most: Change<'a>,
    /// How many of its values changed; 0 where it is in one schedule alone.
    pub values: usize,
}

/// A value that changed.
#[derive(Clone, Debug, PartialEq)]
pub struct ValueChange<'a> {
    /// Heading of its column in the former schedule, with the unit of all figures here.
    pub column: &'a str,
    /// The former value, as it stands in its schedule.
    pub before: &'a str,
    /// The later value: as it stands in its schedule, or converted where that has another unit.
    pub after: Cow<'a, str>,
    /// Later − former; of angles the shortest way, since an axis turned by 180° is the same axis. `None` for text, and
    /// where one of them is empty.
    pub difference: Option<f64>,
    /// The difference in per cent of the former value; `None` where that is 0 too.
    pub per_cent: Option<f64>,
    /// By how much it may have changed; `None` for text, where one of them is empty, and where a share alone is stated
    /// and the former value is 0.
    pub allowed: Option<f64>,
}
