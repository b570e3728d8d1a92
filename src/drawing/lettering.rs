//! What a reader sees of TEXT and MTEXT: their formatting codes resolved or taken away.

use super::tables::LayerIndex;
use crate::geometry::Point;

/// Something written in the drawing: TEXT, MTEXT, or an attribute of a block reference.
#[derive(Clone, Debug, PartialEq)]
pub struct Text {
    /// What is written, in one line.
    pub content: String,
    /// The point that it hangs on, in drawing units.
    pub place: Point,
    /// Its layer; for one on layer 0 of a block, the layer of the block reference.
    pub layer: LayerIndex,
    /// It does not show, whatever its own layer.
    pub hidden: bool,
}

/// The text of a TEXT or an attribute: `%%d`, `%%p` and `%%c` are signs, `%%nnn` a character by its number, other `%%`
/// codes switch lines over and under the text.
pub(super) fn plain(text: &str) -> String {
    let mut result = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(at) = rest.find("%%") {
        result.push_str(&rest[..at]);
        rest = &rest[at + 2..];
        let digits = rest.bytes().take(3).take_while(u8::is_ascii_digit).count();
        if digits == 3 {
            result.extend(rest[..3].parse().ok().and_then(char::from_u32));
            rest = &rest[3..];
            continue;
        }
        let Some(code) = rest.chars().next() else { break };
        match code.to_ascii_lowercase() {
            'd' => result.push('°'),
            'p' => result.push('±'),
            'c' => result.push('Ø'),
            '%' => result.push('%'),
            'u' | 'o' | 'k' => {}
            _ => {
                result.push_str("%%");
                continue;
            }
        }
        rest = &rest[code.len_utf8()..];
    }
    result.push_str(rest);
    in_one_line(&result)
}

/// The text of an MTEXT: codes with a value (`\H2.5;`) and switches (`\L`) are taken away with the braces around them,
/// `\P` and `\~` are blanks, and the halves of a stacked fraction are joined by `/`.
pub(super) fn formatted(text: &str) -> String {
    let mut result = String::with_capacity(text.len());
    let mut characters = text.chars();
    while let Some(c) = characters.next() {
        match c {
            '{' | '}' => {}
            '\\' => match characters.next() {
                Some('P' | 'N' | 'X' | '~') => result.push(' '),
                Some('L' | 'l' | 'O' | 'o' | 'K' | 'k') => {}
                Some('S') => {
                    let stacked = characters.by_ref().take_while(|c| *c != ';');
                    result.extend(stacked.map(|c| if matches!(c, '^' | '#') { '/' } else { c }));
                }
                Some('A' | 'C' | 'c' | 'F' | 'f' | 'H' | 'p' | 'Q' | 'T' | 'W') => {
                    characters.by_ref().take_while(|c| *c != ';').for_each(drop);
                }
                Some(plain) => result.push(plain),
                None => {}
            },
            plain => result.push(plain),
        }
    }
    plain(&result)
}

/// White space of any kind and length is one blank.
fn in_one_line(text: &str) -> String {
    let words = text.split(|c: char| c.is_whitespace() || c.is_control()).filter(|word| !word.is_empty());
    words.collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_of_text() {
        assert_eq!(plain("PL 12 %%c18 45%%D %%p0.5"), "PL 12 Ø18 45° ±0.5");
        assert_eq!(plain("%%uP7%%u 100%%% %%176 %%z 5%"), "P7 100% ° %%z 5%");
        assert_eq!(plain(" two\tblanks  \n"), "two blanks");
        assert_eq!(plain("%%"), "");
    }

    #[test]
    fn codes_of_formatted_text() {
        assert_eq!(formatted(r"{\fArial|b1|i0;\H2.5x;P7}\PPL\~12"), "P7 PL 12");
        assert_eq!(formatted(r"\LG3\l \S1/2; \S3^4; \A1;a\\b\{c\}"), r"G3 1/2 3/4 a\b{c}");
        assert_eq!(formatted(r"\H2.5"), "");
        assert_eq!(formatted("%%c20\\"), "Ø20");
    }
}
