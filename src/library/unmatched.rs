//! Patterns for layers that match none: probably slips of spelling.

use std::collections::BTreeSet;

use crate::finding::{self, Code, Finding, Value};

/// The patterns that have matched no layer so far, and what layers there are.
#[derive(Clone, Debug, Default)]
pub struct Unmatched {
    /// `None` until a drawing was read.
    patterns: Option<Vec<String>>,
    names: BTreeSet<String>,
}

impl Unmatched {
    /// More names don't help to see a slip of spelling; one more shows that there are more.
    const MOST_NAMES: usize = 13;

    /// Before any drawing was read.
    pub fn new() -> Unmatched {
        Unmatched::default()
    }

    /// Takes note of a drawing: the patterns that match none of its layers, and the names of these.
    pub fn take<'a>(&mut self, of_this: &[String], layers: impl Iterator<Item = &'a str>) {
        match &mut self.patterns {
            None => self.patterns = Some(of_this.to_vec()),
            Some(patterns) => patterns.retain(|pattern| of_this.contains(pattern)),
        }
        if self.patterns.as_ref().is_some_and(Vec::is_empty) {
            return;
        }
        for name in layers {
            self.names.insert(name.to_owned());
            if self.names.len() > Unmatched::MOST_NAMES {
                self.names.pop_last();
            }
        }
    }

    /// A pattern matched no layer so far, and may still match one of a later drawing.
    pub fn is_open(&self) -> bool {
        self.patterns.as_ref().is_none_or(|patterns| !patterns.is_empty())
    }

    /// The patterns that match no layer of any drawing.
    pub fn patterns(&self) -> impl Iterator<Item = &str> {
        self.patterns.iter().flatten().map(String::as_str)
    }

    /// The first names of layers, in their order.
    pub fn names(&self) -> impl Iterator<Item = &str> + Clone {
        self.names.iter().map(String::as_str)
    }

    /// What is to be said in the rows, which the patterns that match no layer of any drawing would have changed.
    pub fn findings(&self) -> Vec<Finding> {
        self.patterns().map(|pattern| Unmatched::finding(pattern, self.names())).collect()
    }

    /// That a pattern matches none of these layers.
    pub fn finding<'a>(pattern: &str, layers: impl Iterator<Item = &'a str>) -> Finding {
        let near = finding::nearest(pattern, layers);
        Finding::of(Code::PatternUnmatched)
            .with("pattern", Value::Name(pattern.to_owned()))
            .with_some("near", near.map(|near| Value::Layer(near.to_owned())))
    }
}

#[cfg(test)]
mod tests {
    use super::Unmatched;

    #[test]
    fn a_pattern_is_told_once_no_drawing_has_its_layer() {
        let mut unmatched = Unmatched::new();
        assert!(unmatched.is_open() && unmatched.findings().is_empty());
        unmatched.take(&["PLATTE".to_owned(), "WEB".to_owned()], ["GUSSET", "PLATE"].into_iter());
        unmatched.take(&["PLATTE".to_owned()], ["WEB"].into_iter());
        assert_eq!(unmatched.patterns().collect::<Vec<_>>(), ["PLATTE"]);
        let findings = unmatched.findings();
        assert!(findings.len() == 1 && findings[0].to_string().contains("PLATE"), "{findings:?}");
        unmatched.take(&[], ["PLATTE"].into_iter());
        assert!(!unmatched.is_open() && unmatched.findings().is_empty());
    }
}
