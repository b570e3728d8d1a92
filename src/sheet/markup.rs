//! Text within HTML, SVG and MathML.

/// Text for an element's content or an attribute between quotation marks: what would be markup is written as references,
/// and what no XML document may hold as a replacement character.
pub(crate) fn escaped(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            '\'' => safe.push_str("&#39;"),
            '\t' | '\n' => safe.push(letter),
            // Control characters, and what can't be a character at all.
            '\0'..='\u{1f}' | '\u{7f}'..='\u{9f}' | '\u{fffe}' | '\u{ffff}' => safe.push('\u{fffd}'),
            // Marks that change the direction of what follows would reach beyond the text itself.
            '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' => safe.push('\u{fffd}'),
            _ => safe.push(letter),
        }
    }
    safe
}

#[cfg(test)]
mod tests {
    use super::escaped;

    #[test]
    fn nothing_stays_markup() {
        assert_eq!(escaped("<a href=\"x\">&'"), "&lt;a href=&quot;x&quot;&gt;&amp;&#39;");
        assert_eq!(escaped("A\u{1}B\u{202e}C\u{ffff}"), "A\u{fffd}B\u{fffd}C\u{fffd}");
        assert_eq!(escaped("Größe 平 مقطع"), "Größe 平 مقطع");
    }
}
