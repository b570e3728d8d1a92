//! SVG being written: the one file of pictures that writes markup. Names of elements and attributes are words of this
//! program; whatever is given as a value or as words stays text.

use std::fmt::{self, Display, Write};

use super::style;
use crate::sheet::letters::is_unfit;

/// Elements in their order, each of them complete.
pub(super) struct Svg {
    text: String,
    /// What stands behind each element.
    end: &'static str,
}

impl Svg {
    /// No elements yet; each will have a line of its own.
    pub(super) fn new() -> Svg {
        Svg { text: String::new(), end: "\n" }
    }

    /// Begins an element; it is there when its content is given.
    pub(super) fn element(&mut self, name: &'static str) -> Element<'_> {
        self.text.push('<');
        self.text.push_str(name);
        Element { svg: self, name }
    }

    /// Adds elements without words, in lines where these are.
    pub(super) fn add(&mut self, elements: &Svg) {
        if self.end.is_empty() {
            self.text.extend(elements.text.split('\n'));
        } else {
            self.text.push_str(&elements.text);
        }
    }

    /// All of it, for a file or a page.
    pub(super) fn into_string(self) -> String {
        self.text
    }
}

/// An element whose attributes are being written.
#[must_use = "an element is there when its content is given"]
pub(super) struct Element<'a> {
    svg: &'a mut Svg,
    name: &'static str,
}

impl Element<'_> {
    /// Adds an attribute.
    pub(super) fn with(self, name: &'static str, value: impl Display) -> Self {
        let text = &mut self.svg.text;
        text.push(' ');
        text.push_str(name);
        text.push_str("=\"");
        // Writing to memory does not fail.
        let _ = write!(Escaping(text), "{value}");
        text.push('"');
        self
    }

    /// Adds an attribute that not every element of its kind has.
    pub(super) fn maybe(self, name: &'static str, value: Option<impl Display>) -> Self {
        match value {
            Some(value) => self.with(name, value),
            None => self,
        }
    }

    /// Has nothing within.
    pub(super) fn empty(self) {
        self.svg.text.push_str("/>");
        self.svg.text.push_str(self.svg.end);
    }

    /// Has these words within.
    pub(super) fn words(self, words: &str) {
        self.svg.text.push('>');
        let _ = Escaping(&mut self.svg.text).write_str(words);
        self.close();
    }

    /// Has the rules of a picture that stands alone within, which have no references: the one text that is not escaped.
    pub(super) fn rules(self) {
        self.svg.text.push_str(">\n");
        self.svg.text.push_str(&style::alone());
        self.close();
    }

    /// Has elements within, each on a line of its own.
    pub(super) fn lines(self, write: impl FnOnce(&mut Svg)) {
        self.svg.text.push_str(">\n");
        write(self.svg);
        self.close();
    }

    /// Has elements within, all on one line.
    pub(super) fn row(self, write: impl FnOnce(&mut Svg)) {
        self.svg.text.push('>');
        let end = std::mem::take(&mut self.svg.end);
        write(self.svg);
        self.svg.end = end;
        self.close();
    }

    fn close(self) {
        let text = &mut self.svg.text;
        text.push_str("</");
        text.push_str(self.name);
        text.push('>');
        text.push_str(self.svg.end);
    }
}

/// Writes text for an element's content or an attribute between quotation marks: what would be markup as references, and
/// what no picture may hold as replacement characters.
struct Escaping<'a>(&'a mut String);

impl Write for Escaping<'_> {
    fn write_str(&mut self, text: &str) -> fmt::Result {
        // Long paths are plain throughout.
        if text.bytes().fold(true, |plain, byte| plain & is_plain(byte)) {
            self.0.push_str(text);
            return Ok(());
        }
        let mut rest = text;
        while let Some((at, letter)) = rest.char_indices().find(|(_, letter)| reference(*letter).is_some()) {
            let (before, from) = rest.split_at(at);
            self.0.push_str(before);
            self.0.push_str(reference(letter).unwrap_or_default());
            rest = from.strip_prefix(letter).unwrap_or_default();
        }
        self.0.push_str(rest);
        Ok(())
    }
}

/// Whether a byte is a letter that stands for itself.
fn is_plain(byte: u8) -> bool {
    matches!(byte, b' '..=b'~') & !matches!(byte, b'&' | b'<' | b'>' | b'"' | b'\'')
}

/// What stands in the place of a letter that can't stand for itself.
fn reference(letter: char) -> Option<&'static str> {
    match letter {
        '&' => Some("&amp;"),
        '<' => Some("&lt;"),
        '>' => Some("&gt;"),
        '"' => Some("&quot;"),
        '\'' => Some("&#39;"),
        unfit if is_unfit(unfit) => Some("\u{fffd}"),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_and_words_stay_text() {
        let hostile = "]]></text><a href=\"x\">&'\u{1}\u{202e}平";
        let safe = "]]&gt;&lt;/text&gt;&lt;a href=&quot;x&quot;&gt;&amp;&#39;\u{fffd}\u{fffd}平";
        let mut svg = Svg::new();
        svg.element("text").with("class", hostile).maybe("id", None::<&str>).words(hostile);
        assert_eq!(svg.into_string(), format!("<text class=\"{safe}\">{safe}</text>\n"));
    }

    #[test]
    fn elements_within_others() {
        let mut dot = Svg::new();
        dot.element("path").with("d", "M0 0Z").empty();
        let mut svg = Svg::new();
        svg.element("g").with("opacity", 0.5).lines(|svg| {
            svg.add(&dot);
            svg.element("defs").row(|svg| {
                svg.add(&dot);
                svg.add(&dot);
            });
        });
        let dot = "<path d=\"M0 0Z\"/>";
        assert_eq!(svg.into_string(), format!("<g opacity=\"0.5\">\n{dot}\n<defs>{dot}{dot}</defs>\n</g>\n"));
    }
}
