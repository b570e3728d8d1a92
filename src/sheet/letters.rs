//! Letters that neither a page nor a picture may hold.

/// The letter, or a replacement character for one that no XML document may hold or that changes the direction of what
/// follows, beyond the text that it stands in.
fn fit(letter: char) -> char {
    if is_unfit(letter) { '\u{fffd}' } else { letter }
}

/// Whether a letter must be replaced.
pub(super) fn is_unfit(letter: char) -> bool {
    match letter {
        '\t' | '\n' => false,
        // Control characters, and what can't be a character at all.
        '\0'..='\u{1f}' | '\u{7f}'..='\u{9f}' | '\u{fffe}' | '\u{ffff}' => true,
        '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' => true,
        _ => false,
    }
}

/// The font that has the letters of a text, where not every machine has one; `None` where usual fonts do.
pub(super) fn font_for(text: &str) -> Option<&'static str> {
    text.chars().find_map(font)
}

/// The font of a letter, of the Noto family, which has one for each script.
pub(super) fn font(letter: char) -> Option<&'static str> {
    match letter {
        // Chinese, Japanese and Korean: radicals to compatibility ideographs, syllables, full widths, supplements.
        '\u{2e80}'..='\u{a4cf}' | '\u{ac00}'..='\u{d7af}' | '\u{f900}'..='\u{faff}' => Some("Noto Sans CJK"),
        '\u{ff00}'..='\u{ffef}' | '\u{20000}'..='\u{3134f}' => Some("Noto Sans CJK"),
        '\u{590}'..='\u{5ff}' => Some("Noto Sans Hebrew"),
        '\u{600}'..='\u{6ff}' | '\u{750}'..='\u{77f}' | '\u{8a0}'..='\u{8ff}' => Some("Noto Sans Arabic"),
        '\u{900}'..='\u{97f}' => Some("Noto Sans Devanagari"),
        '\u{e00}'..='\u{e7f}' => Some("Noto Sans Thai"),
        _ => None,
    }
}

/// The text with such letters replaced.
pub(super) fn fitted(text: String) -> String {
    if holds_unfit(&text) { text.chars().map(fit).collect() } else { text }
}

/// Whether a text holds such a letter. Hardly any does, and pages are long: their bytes are looked at many at once, which
/// takes a fifth of the time of going through the letters.
fn holds_unfit(text: &str) -> bool {
    const BLOCK: usize = 4096;
    let first = text.as_bytes();
    let (second, third) = (first.get(1..).unwrap_or_default(), first.get(2..).unwrap_or_default());
    let mut blocks = first.chunks(BLOCK).zip(second.chunks(BLOCK)).zip(third.chunks(BLOCK));
    let within = blocks.any(|((first, second), third)| {
        let places = first.iter().zip(second).zip(third);
        places.fold(false, |found, ((a, b), c)| found | begins_unfit(*a, *b, *c))
    });
    // The last two bytes have nothing behind them.
    within || text.chars().rev().take(2).any(is_unfit)
}

/// Whether such a letter begins with these bytes: [`is_unfit`] in UTF-8, without branches.
fn begins_unfit(first: u8, second: u8, third: u8) -> bool {
    (first < 0x20) & (first != b'\t') & (first != b'\n')
        | (first == 0x7f)
        | (first == 0xc2) & (second < 0xa0)
        | (first == 0xe2) & (second == 0x80) & (0xaa..=0xae).contains(&third)
        | (first == 0xe2) & (second == 0x81) & (0xa6..=0xa9).contains(&third)
        | (first == 0xef) & (second == 0xbf) & (third >= 0xbe)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_of_any_script_stay() {
        let fitted = |text: &str| fitted(text.to_owned());
        assert_eq!(fitted("A\u{1}B\u{202e}C\u{ffff}\r"), "A\u{fffd}B\u{fffd}C\u{fffd}\u{fffd}");
        assert_eq!(fitted("Größe 平 مقطع\u{2062}\n\t"), "Größe 平 مقطع\u{2062}\n\t");
    }

    #[test]
    fn letters_and_bytes_tell_the_same() {
        for letter in ('\0'..'\u{3000}').chain('\u{f000}'..'\u{10100}') {
            let long = format!("{}{letter}ab", "x".repeat(4095));
            for text in [format!("{letter}"), format!("ab{letter}"), format!("{letter}a"), long] {
                assert_eq!(holds_unfit(&text), is_unfit(letter), "{letter:?}");
            }
        }
    }
}
