//! Which layers are measured. The one file that names globset.

use globset::{GlobBuilder, GlobMatcher};

use crate::drawing::Layer;

/// A choice of layers by patterns and by their state.
#[derive(Clone, Debug, Default)]
pub struct LayerChoice {
    keep: Patterns,
    skip: Patterns,
    hidden: bool,
}

/// Patterns for layer names: `*` stands for any characters, `?` for one, `[ab]` for one of several; case does not
/// matter, as in DXF.
#[derive(Clone, Debug, Default)]
pub struct Patterns(Vec<Pattern>);

#[derive(Clone, Debug)]
struct Pattern {
    text: String,
    matcher: GlobMatcher,
}

/// A pattern that can't be understood.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PatternError(String);

impl std::fmt::Display for PatternError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for PatternError {}

impl Pattern {
    fn new(text: &str) -> Result<Pattern, PatternError> {
        let glob = GlobBuilder::new(text)
            .case_insensitive(true)
            .build()
            .map_err(|error| PatternError(format!("the pattern “{text}” can't be used: {}", error.kind())))?;
        Ok(Pattern { text: text.to_owned(), matcher: glob.compile_matcher() })
    }

    /// It matches, or is the name itself: a layer may be called “PLATE [1]”.
    fn matches(&self, name: &str) -> bool {
        self.matcher.is_match(name) || self.is(name)
    }

    /// It is the name itself, in any letter case.
    fn is(&self, name: &str) -> bool {
        self.text.to_lowercase() == name.to_lowercase()
    }
}

impl Patterns {
    /// The patterns, if all of them can be understood.
    ///
    /// # Errors
    /// Where a text is no pattern.
    pub fn new(texts: &[String]) -> Result<Patterns, PatternError> {
        Ok(Patterns(texts.iter().map(|t| Pattern::new(t)).collect::<Result<_, _>>()?))
    }

    /// There is no pattern.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// One of the patterns matches.
    pub fn match_any(&self, name: &str) -> bool {
        self.0.iter().any(|p| p.matches(name))
    }

    /// One of the patterns is the name itself, without wild cards.
    pub(super) fn name(&self, name: &str) -> bool {
        self.0.iter().any(|p| p.is(name))
    }

    /// The patterns that none of `names` matches.
    pub fn unmatched<'a>(&self, names: impl Iterator<Item = &'a str> + Clone) -> Vec<&str> {
        let matched = |pattern: &Pattern| names.clone().any(|name| pattern.matches(name));
        self.0.iter().filter(|pattern| !matched(pattern)).map(|pattern| pattern.text.as_str()).collect()
    }
}

impl LayerChoice {
    /// Layers whose names match one of `keep` (all when it is empty) and none of `skip`; layers that are off or
    /// frozen only when `hidden` is set.
    ///
    /// # Errors
    /// Where a text is no pattern.
    pub fn new(keep: &[String], skip: &[String], hidden: bool) -> Result<LayerChoice, PatternError> {
        Ok(LayerChoice { keep: Patterns::new(keep)?, skip: Patterns::new(skip)?, hidden })
    }

    /// Layers and entities that are hidden are measured too.
    pub fn hidden(&self) -> bool {
        self.hidden
    }

    /// The patterns choose the layer, whatever its state.
    pub fn names(&self, name: &str) -> bool {
        (self.keep.0.is_empty() || self.keep.match_any(name)) && !self.skip.match_any(name)
    }

    /// The patterns leave the layer out by name.
    pub fn skips(&self, name: &str) -> bool {
        self.skip.match_any(name)
    }

    /// The layer is measured.
    pub fn takes(&self, layer: &Layer) -> bool {
        (self.hidden || !layer.is_hidden()) && self.names(&layer.name)
    }

    /// The patterns that none of `names` matches.
    pub fn unmatched<'a>(&self, names: impl Iterator<Item = &'a str> + Clone) -> Vec<&str> {
        let mut unmatched = self.keep.unmatched(names.clone());
        unmatched.extend(self.skip.unmatched(names));
        unmatched
    }
}
