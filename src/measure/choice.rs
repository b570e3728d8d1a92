//! Which layers are measured. The one file that names globset.

use globset::{GlobBuilder, GlobMatcher};

use crate::drawing::Layer;

/// A choice of layers by patterns and by their state.
#[derive(Clone, Debug, Default)]
pub struct LayerChoice {
    keep: Vec<Pattern>,
    skip: Vec<Pattern>,
    hidden: bool,
}

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

    fn matches(&self, name: &str) -> bool {
        self.matcher.is_match(name)
    }
}

impl LayerChoice {
    /// Layers whose names match one of `keep` (all when it is empty) and none of `skip`; layers that are off or
    /// frozen only when `hidden` is set. `*` stands for any characters, `?` for one, `[ab]` for one of several; case
    /// does not matter, as in DXF.
    pub fn new(keep: &[String], skip: &[String], hidden: bool) -> Result<LayerChoice, PatternError> {
        let patterns = |texts: &[String]| texts.iter().map(|t| Pattern::new(t)).collect::<Result<_, _>>();
        Ok(LayerChoice { keep: patterns(keep)?, skip: patterns(skip)?, hidden })
    }

    /// Layers and entities that are hidden are measured too.
    pub fn hidden(&self) -> bool {
        self.hidden
    }

    /// The patterns choose the layer, whatever its state.
    pub fn names(&self, name: &str) -> bool {
        (self.keep.is_empty() || self.keep.iter().any(|p| p.matches(name)))
            && !self.skip.iter().any(|p| p.matches(name))
    }

    /// The layer is measured.
    pub fn takes(&self, layer: &Layer) -> bool {
        (self.hidden || !layer.is_hidden()) && self.names(&layer.name)
    }

    /// The patterns that none of `names` matches.
    pub fn unmatched<'a>(&self, names: impl Iterator<Item = &'a str> + Clone) -> Vec<&str> {
        self.keep
            .iter()
            .chain(&self.skip)
            .filter(|pattern| !names.clone().any(|name| pattern.matches(name)))
            .map(|pattern| pattern.text.as_str())
            .collect()
    }
}
