//! What can be asked of the reading.

use super::limits::Limits;

/// What of a drawing is read.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Space {
    /// Model space, where things are drawn as a rule.
    #[default]
    Model,
    /// The sheet layout that was on screen when the drawing was saved. Other layouts are not read: each is a sheet of
    /// its own.
    Paper,
}

/// How a drawing is read.
#[derive(Clone, Debug, Default)]
#[non_exhaustive]
pub struct ReadOptions {
    /// What of it is read.
    pub space: Space,
    /// How much of it is read at most.
    pub limits: Limits,
}

impl ReadOptions {
    /// The default options with what `change` sets.
    pub fn with(change: impl FnOnce(&mut ReadOptions)) -> ReadOptions {
        let mut options = ReadOptions::default();
        change(&mut options);
        options
    }
}
