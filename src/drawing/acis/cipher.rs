//! The lines of a body's text, and the substitution that hides them.

use super::Problem;

/// A region of a thousand edges has some 500 kB of text; one of many times that is no outline of a section.
const LONGEST_TEXT: usize = 16 * 1024 * 1024;

/// The text of one body as its entity holds it.
#[derive(Default)]
pub(super) struct Text {
    bytes: Vec<u8>,
    too_long: bool,
}

impl Text {
    /// A new line (group 1).
    pub fn line(&mut self, value: &[u8]) {
        if !self.bytes.is_empty() {
            self.more(b"\n");
        }
        self.more(value);
    }

    /// The last line goes on (group 3).
    pub fn more(&mut self, value: &[u8]) {
        self.too_long |= self.bytes.len() + value.len() > LONGEST_TEXT;
        if !self.too_long {
            self.bytes.extend_from_slice(value);
        }
    }

    /// The text in the clear. It begins with a number, by which clear text is told from hidden.
    pub fn plain(self) -> Result<Vec<u8>, Problem> {
        if self.too_long {
            return Err(Problem::NotRead(format!("its body has more than {LONGEST_TEXT} bytes of text")));
        }
        match self.bytes.trim_ascii_start().first() {
            None => Err(Problem::NotRead(
                "it holds no text of its body: from R2013 on it is kept as a binary body, which is not read"
                    .to_owned(),
            )),
            Some(b'0'..=b'9') => Ok(self.bytes),
            Some(first) if hidden(*first).is_ascii_digit() => Ok(clear(&self.bytes)),
            Some(_) => Err(Problem::Damaged(
                "the text of its body does not begin with the number of a version".to_owned(),
            )),
        }
    }
}

/// The substitution: 159 less the code. It is its own inverse.
fn hidden(byte: u8) -> u8 {
    if byte.is_ascii_graphic() { 159 - byte } else { byte }
}

/// Each byte substituted. A caret stands for A and is written with a blank after it, since a caret alone would hide
/// the byte behind it in DXF.
fn clear(bytes: &[u8]) -> Vec<u8> {
    let mut plain = Vec::with_capacity(bytes.len());
    let mut rest = bytes.iter().peekable();
    while let Some(byte) = rest.next() {
        plain.push(hidden(*byte));
        if *byte == b'^' {
            rest.next_if_eq(&&b' ');
        }
    }
    plain
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_as_a_drawing_has_them() {
        let mut text = Text::default();
        // Hidden by ezdxf 1.4.
        for line in [r"koo o n o ", r"=0;& {n rn {rn #@_|", r"Z1;r09r^ \VLr;>+>"] {
            text.line(line.as_bytes());
        }
        assert_eq!(text.plain().unwrap(), b"400 0 1 0 \nbody $1 -1 $-1 |_@#\nEnd-of-ACIS-data");
    }

    #[test]
    fn a_caret_and_its_blank_may_stand_in_two_groups() {
        let mut text = Text::default();
        text.line(b"koo ^");
        text.more(b"  n");
        assert_eq!(text.plain().unwrap(), b"400 A 1");
    }

    #[test]
    fn clear_text_stays_and_what_is_neither_is_named() {
        let plain = |bytes: &[u8]| {
            let mut text = Text::default();
            text.line(bytes);
            text.plain()
        };
        assert_eq!(plain(b"700 0 1 0"), Ok(b"700 0 1 0".to_vec()));
        assert!(matches!(plain(b"ACIS BinaryFile"), Err(Problem::Damaged(_))));
        assert!(matches!(plain(b""), Err(Problem::NotRead(text)) if text.contains("binary body")));
        let mut long = Text::default();
        long.line(&vec![b'k'; LONGEST_TEXT]);
        long.more(b"k");
        assert!(matches!(long.plain(), Err(Problem::NotRead(_))));
    }

    #[test]
    fn every_byte_comes_back() {
        for byte in 0..=255 {
            assert_eq!(hidden(hidden(byte)), byte);
        }
    }
}
