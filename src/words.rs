//! Words that choose one of a few, as the command line and all others who take options in words spell them.

use std::fmt;

use crate::finding::nearest;

/// A word that chooses none of those there are.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnknownWord {
    word: String,
    known: Vec<&'static str>,
}

impl fmt::Display for UnknownWord {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let known = self.known.join(", ");
        write!(f, "there is no “{}”; use one of these: {known}", self.word.escape_debug())?;
        match nearest(&self.word, self.known.iter().copied()) {
            Some(near) => write!(f, "; perhaps {near} is meant"),
            None => Ok(()),
        }
    }
}

impl std::error::Error for UnknownWord {}

/// What the word stands for among these, in any letter case.
pub(crate) fn chosen<T: Copy>(word: &str, all: &[(&'static str, T)]) -> Result<T, UnknownWord> {
    let found = all.iter().find(|(known, _)| known.eq_ignore_ascii_case(word.trim()));
    found.map(|(_, value)| *value).ok_or_else(|| UnknownWord {
        word: word.to_owned(),
        known: all.iter().map(|(known, _)| *known).collect(),
    })
}

#[cfg(test)]
mod tests {
    use crate::drawing::Space;
    use crate::measure::{Hatches, Per, Widths};
    use crate::schedule::DecimalMark;

    #[test]
    fn words_choose_and_slips_are_told() {
        assert_eq!("Part".parse(), Ok(Per::Part));
        assert_eq!(" only-where-no-other".parse(), Ok(Hatches::WhereNoOther));
        let message = "layers".parse::<Per>().expect_err("no such word").to_string();
        assert!(
            message.contains("layer, part, outline, drawing") && message.ends_with("perhaps layer is meant")
        );
        let message = "colour".parse::<Per>().expect_err("no such word").to_string();
        assert!(!message.contains("perhaps"), "{message}");
    }

    #[test]
    fn what_nobody_asks_for_is_among_the_words() {
        assert!(Per::WORDS.iter().any(|(_, per)| *per == Per::default()));
        assert!(Hatches::WORDS.iter().any(|(_, hatches)| *hatches == Hatches::default()));
        assert!(Widths::WORDS.iter().any(|(_, widths)| *widths == Widths::default()));
        assert!(Space::WORDS.iter().any(|(_, space)| *space == Space::default()));
        assert!(DecimalMark::WORDS.iter().any(|(_, mark)| *mark == DecimalMark::default()));
    }
}
