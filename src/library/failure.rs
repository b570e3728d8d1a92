//! Why something was not measured.

/// Kinds of failures, as a summary counts them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Failure {
    /// The drawing could not be found, opened or read.
    NotRead,
    /// What was read is no DXF drawing, or goes over a limit.
    Refused,
    /// Nothing in the drawing could be measured.
    NoSection,
    /// A section has no figures.
    Section,
    /// A layer has no row because what is drawn on it is damaged.
    Layer,
    /// The measuring took longer than it may.
    OverTime,
    /// It takes more memory than it may.
    Memory,
    /// The program itself failed.
    Program,
}

impl Failure {
    /// All of them.
    pub const ALL: [Failure; 8] = [
        Failure::NotRead,
        Failure::Refused,
        Failure::NoSection,
        Failure::Section,
        Failure::Layer,
        Failure::OverTime,
        Failure::Memory,
        Failure::Program,
    ];

    /// In words, of so many drawings.
    pub fn words(self) -> &'static str {
        match self {
            Failure::NotRead => "could not be read",
            Failure::Refused => "no DXF drawing, or over a limit",
            Failure::NoSection => "without a section",
            Failure::Section => "with a section that was not measured",
            Failure::Layer => "with a damaged layer",
            Failure::OverTime => "over the time limit",
            Failure::Memory => "over the limit on memory",
            Failure::Program => "failed by a fault of the program",
        }
    }

    /// Whether the same bytes may be measured the next time, so that there is no use in remembering it.
    pub fn may_pass(self) -> bool {
        matches!(self, Failure::NotRead | Failure::OverTime | Failure::Memory)
    }

    /// One letter that stands for it.
    #[cfg(feature = "ledger")]
    pub(super) fn letter(self) -> char {
        match self {
            Failure::NotRead => 'r',
            Failure::Refused => 'x',
            Failure::NoSection => 'n',
            Failure::Section => 's',
            Failure::Layer => 'l',
            Failure::OverTime => 't',
            Failure::Memory => 'm',
            Failure::Program => 'p',
        }
    }
}

#[cfg(all(test, feature = "ledger"))]
mod tests {
    use super::Failure;
    use std::collections::BTreeSet;

    #[test]
    fn letters_and_words_differ() {
        let letters: BTreeSet<char> = Failure::ALL.iter().map(|f| f.letter()).collect();
        let words: BTreeSet<&str> = Failure::ALL.iter().map(|f| f.words()).collect();
        assert_eq!((letters.len(), words.len()), (8, 8));
    }
}
