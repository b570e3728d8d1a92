//! What a ledger finds at the end of a run.

/// What the end of a run comes to.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[non_exhaustive]
pub struct RunEnd {
    /// Paths of drawings that are no longer there.
    pub vanished: Vec<String>,
    /// Drawings that are at another path than before.
    pub moved: Vec<Moved>,
    /// What was found damaged, and what became of it, in a sentence each.
    pub damages: Vec<String>,
}

/// A drawing that is no longer at its path, and one with the same bytes that is new at another.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub struct Moved {
    /// Where it was.
    pub from: String,
    /// Where it is.
    pub to: String,
}
