//! Text on a terminal: what it shows, how wide it is, where it is cut and wrapped. The one file that names
//! `unicode_width`.

use unicode_width::UnicodeWidthChar;

/// The width of a character in columns of a terminal: 0, 1 or 2. Where fonts differ, the narrow width.
fn width_of(letter: char) -> usize {
    letter.width().unwrap_or(0)
}

/// The width of text that [`shown`] gave.
pub(crate) fn width(text: &str) -> usize {
    if is_plain(text) { text.len() } else { text.chars().map(width_of).sum() }
}

/// Text as it may stand on a terminal: what would move the cursor, turn the direction of writing or not show at all is
/// written as an escape, such as `\n` or `\u{202e}`.
pub(crate) fn shown(text: &str) -> String {
    if is_plain(text) {
        return text.to_owned();
    }
    let mut safe = String::with_capacity(text.len());
    for letter in text.chars() {
        if letter.is_control() || is_order(letter) {
            safe.extend(letter.escape_default());
        } else {
            safe.push(letter);
        }
    }
    safe
}

/// Whether text is of plain letters, digits and signs alone, a byte and a column each: nearly all cells of long tables are.
fn is_plain(text: &str) -> bool {
    text.bytes().all(|byte| matches!(byte, b' '..=b'~'))
}

/// Characters that are orders rather than letters: directions of writing, ends of lines, marks without width that no
/// script needs. Joiners stay, since scripts need them.
fn is_order(letter: char) -> bool {
    matches!(letter,
        '\u{ad}' | '\u{61c}' | '\u{200b}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}'
        | '\u{2060}'..='\u{206f}' | '\u{feff}' | '\u{fff9}'..='\u{fffb}' | '\u{e0000}'..='\u{e007f}')
}

/// Whether text holds letters that run from right to left: Hebrew, Arabic and their neighbours.
fn runs_left(text: &str) -> bool {
    text.chars().any(|letter| {
        matches!(letter,
            '\u{590}'..='\u{8ff}' | '\u{fb1d}'..='\u{fdff}' | '\u{fe70}'..='\u{fefe}'
            | '\u{10800}'..='\u{10fff}' | '\u{1e800}'..='\u{1efff}')
    })
}

/// Text of at most `room` columns: where it is longer its middle gives way to “…”, since names differ at their ends.
pub(super) fn cut(text: &str, room: usize) -> String {
    if width(text) <= room {
        return text.to_owned();
    }
    let room = room.saturating_sub(1);
    let fitting = |letters: &mut dyn Iterator<Item = char>, room: usize| -> Vec<char> {
        let mut used = 0;
        letters
            .take_while(|letter| {
                used += width_of(*letter);
                used <= room
            })
            .collect()
    };
    let head = fitting(&mut text.chars(), room - room / 2);
    let mut tail = fitting(&mut text.chars().rev(), room / 2);
    tail.reverse();
    head.into_iter().chain(std::iter::once('…')).chain(tail).collect()
}

/// Text filled up on the right to `room` columns. What runs to the left ends with a mark that keeps the figures behind
/// it in their places.
pub(crate) fn filled(text: &str, room: usize) -> String {
    format!("{text}{}{}", mark(text), " ".repeat(room.saturating_sub(width(text))))
}

/// The mark behind text that runs to the left.
fn mark(text: &str) -> &'static str {
    if runs_left(text) { "\u{200e}" } else { "" }
}

/// Text filled up on the left, with the same mark.
pub(crate) fn pushed_right(text: &str, room: usize) -> String {
    format!("{}{text}{}", " ".repeat(room.saturating_sub(width(text))), mark(text))
}

/// Text in lines of at most `room` columns, broken at spaces, and within a word that is longer than a line.
pub(super) fn wrapped(text: &str, room: usize) -> Vec<String> {
    let room = room.max(2);
    let mut lines = vec![String::new()];
    let mut used = 0;
    for word in text.split(' ') {
        let needed = width(word);
        let begins = lines.last().is_some_and(String::is_empty);
        if !begins && used + 1 + needed > room {
            lines.push(String::new());
            used = 0;
        } else if !begins {
            push(&mut lines, " ");
            used += 1;
        }
        for letter in word.chars() {
            if used + width_of(letter) > room {
                lines.push(String::new());
                used = 0;
            }
            push(&mut lines, letter.encode_utf8(&mut [0; 4]));
            used += width_of(letter);
        }
    }
    lines
}

fn push(lines: &mut [String], text: &str) {
    if let Some(line) = lines.last_mut() {
        line.push_str(text);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_moves_the_cursor() {
        assert_eq!(shown("A\u{1b}[31m\tB\u{202e}C\u{9b}"), "A\\u{1b}[31m\\tB\\u{202e}C\\u{9b}");
        for text in ["Größe", "鋼板", "می\u{200c}خواهم", "<b>=1+2</b>"] {
            assert_eq!(shown(text), text);
        }
    }

    #[test]
    fn widths_are_those_of_terminals() {
        assert_eq!((width(" ~"), width("a\u{7f}"), shown("\u{7f}~ ").as_str()), (2, 1, "\\u{7f}~ "));
        assert_eq!((width("PLATE"), width("鋼板"), width("e\u{301}"), width("mm⁴")), (5, 4, 1, 3));
    }

    #[test]
    fn both_ends_of_a_name_stay() {
        assert_eq!(cut("gantry-end-plate.dxf", 20), "gantry-end-plate.dxf");
        assert_eq!(cut("gantry-end-plate.dxf", 12), "gantry…e.dxf");
        // Wide letters that don't fit leave a column free.
        assert_eq!(cut("鋼板鋼板鋼板", 8), "鋼板…板");
        for room in 0..9 {
            assert!(width(&cut("鋼板PLATE鋼板", room)) <= room.max(1));
        }
    }

    #[test]
    fn cells_are_filled() {
        assert_eq!(filled("鋼板", 6) + "|", "鋼板  |");
        assert_eq!(pushed_right("1.5", 5), "  1.5");
        let arabic = filled("مقطع", 6);
        assert!(arabic.ends_with("\u{200e}  ") && width(&arabic) == 6, "{arabic:?}");
        let arabic = pushed_right("مقطع", 6);
        assert!(
            arabic.starts_with("  ") && arabic.ends_with('\u{200e}') && width(&arabic) == 6,
            "{arabic:?}"
        );
    }

    #[test]
    fn lines_are_no_wider_than_asked() {
        assert_eq!(wrapped("one two  three", 9), ["one two ", "three"]);
        assert_eq!(wrapped("abcdefghij kl", 4), ["abcd", "efgh", "ij", "kl"]);
        assert_eq!(wrapped("", 4), [""]);
        let text = "a 鋼板鋼板鋼板鋼板 b".repeat(20);
        for room in 2..30 {
            let lines = wrapped(&text, room);
            assert!(lines.iter().all(|line| width(line) <= room), "{room}: {lines:?}");
            let letters = |text: &str| text.replace(' ', "");
            assert_eq!(letters(&lines.concat()), letters(&text));
        }
    }
}
