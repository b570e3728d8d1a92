//! What can be asked of the reading.

use std::str::FromStr;

use super::limits::Limits;
use crate::words::{UnknownWord, chosen};

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

impl Space {
    /// Each with the word for it.
    pub const WORDS: [(&'static str, Space); 2] = [("model", Space::Model), ("paper", Space::Paper)];
}

impl FromStr for Space {
    type Err = UnknownWord;

    /// One of its words, in any letter case.
    fn from_str(word: &str) -> Result<Space, UnknownWord> {
        chosen(word, &Space::WORDS)
    }
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
