//! Text: a line with a group code, then a line with its value.

use memchr::memchr;

use super::{Ending, Pairs, Step, shown};

impl Pairs<'_> {
    /// Passes over a byte-order mark, and tells how lines end.
    pub(super) fn begin_text(&mut self) {
        if self.buffer[..self.end].starts_with(b"\xef\xbb\xbf") {
            self.start = 3;
        }
        let head = &self.buffer[self.start..self.end];
        if let Some(first) = head.iter().position(|b| matches!(b, b'\r' | b'\n'))
            && head[first] == b'\r'
            && !matches!(head.get(first + 1), Some(b'\n' | b'\r'))
        {
            self.line_end = b'\r';
        }
    }

    #[inline]
    pub(super) fn text_step(&mut self) -> Step {
        loop {
            let bytes = &self.buffer[self.start..self.end];
            // The group code: blanks, a sign, digits, blanks.
            let mut i = 0;
            while matches!(bytes.get(i), Some(b' ' | b'\t')) {
                i += 1;
            }
            let digits = i;
            let mut code: i32 = 0;
            while let Some(digit @ b'0'..=b'9') = bytes.get(i) {
                if i - digits == 6 {
                    break;
                }
                code = code * 10 + i32::from(digit - b'0');
                i += 1;
            }
            let plain = i > digits;
            if bytes.get(i) == Some(&b'\r') && self.line_end == b'\n' && bytes.get(i + 1) == Some(&b'\n') {
                i += 1;
            }
            let value_start = match bytes.get(i) {
                Some(b) if plain && *b == self.line_end => i + 1,
                _ => {
                    // Something else than the plain form: take the whole line.
                    let Some(length) = memchr(self.line_end, bytes) else {
                        if !self.drained {
                            return Step::Short;
                        }
                        return self.last_line();
                    };
                    let line = bytes[..length].trim_ascii();
                    if line.is_empty() {
                        self.lines += 1;
                        self.start += length + 1;
                        continue;
                    }
                    match plain_code(line) {
                        Ok(number) => code = number,
                        Err(ending) => {
                            self.lines += 1;
                            self.ending = Some(ending);
                            return Step::Over;
                        }
                    }
                    length + 1
                }
            };
            let rest = &bytes[value_start..];
            let (length, used) = match memchr(self.line_end, rest) {
                Some(length) => (length, length + 1),
                None if !self.drained => return Step::Short,
                None => {
                    if rest.trim_ascii().is_empty() {
                        self.lines += 1;
                        self.ending = Some(Ending::Source);
                        return Step::Over;
                    }
                    (rest.len(), rest.len())
                }
            };
            let start = self.start + value_start;
            let mut end = start + length;
            while end > start && self.buffer[end - 1] == b'\r' {
                end -= 1;
            }
            self.code = code;
            self.pair = self.start;
            self.value = start..end;
            self.start += value_start + used;
            self.lines += 2;
            return Step::Pair;
        }
    }

    /// The source ended within a line that should hold a group code.
    fn last_line(&mut self) -> Step {
        let line = self.buffer[self.start..self.end].trim_ascii();
        let mut ending = Ending::Source;
        if !line.is_empty() {
            self.lines += 1;
            if let Err(other) = plain_code(line) {
                ending = other;
            }
        }
        self.start = self.end;
        self.ending = Some(ending);
        Step::Over
    }
}

/// The group code on a trimmed line that is not just digits.
fn plain_code(line: &[u8]) -> Result<i32, Ending> {
    // Ctrl-Z or zeros: the padding that old systems left behind the text.
    if line[0] == 0x1a || line.iter().all(|b| *b == 0) {
        return Err(Ending::Source);
    }
    let code = std::str::from_utf8(line).ok().and_then(|text| text.parse::<i32>().ok());
    code.filter(|code| (-9999..=99999).contains(code))
        .ok_or_else(|| Ending::Damage(format!("“{}” where a group code should stand", shown(line))))
}

#[cfg(test)]
mod tests {
    use std::io::{self, Read};

    use super::*;
    use crate::drawing::pairs::BUFFER;
    use crate::finding::Position;

    fn line_of(position: Position) -> u64 {
        let Position::Line(line) = position else { panic!("{position} in a text") };
        line
    }

    fn all(text: &[u8]) -> (Vec<(i32, String, u64)>, String) {
        let mut source = text;
        let mut pairs = Pairs::new(&mut source).unwrap();
        let mut found = Vec::new();
        while pairs.advance() {
            found.push((
                pairs.code(),
                String::from_utf8_lossy(pairs.text()).into_owned(),
                line_of(pairs.position()),
            ));
        }
        (found, format!("{:?}", pairs.ending()))
    }

    #[test]
    fn line_ends_of_every_kind() {
        let expected = vec![(0, "LINE".to_owned(), 1), (10, " 1.5".to_owned(), 3), (1, String::new(), 5)];
        for line_end in ["\n", "\r\n", "\r"] {
            let text = ["  0", "LINE", " 10", " 1.5", "1", "", ""].join(line_end);
            assert_eq!(all(text.as_bytes()).0, expected, "{line_end:?}");
        }
    }

    #[test]
    fn blank_lines_between_pairs_are_counted_and_passed_over() {
        let (found, _) = all(b"0\nLINE\n\n \n8\nA\n");
        assert_eq!(found[1], (8, "A".to_owned(), 5));
    }

    #[test]
    fn last_value_without_line_end() {
        let (found, ending) = all(b"0\nSECTION\n0\nEOF");
        assert_eq!(found[1].1, "EOF");
        assert_eq!(ending, "Some(Source)");
    }

    #[test]
    fn ctrl_z_ends_the_text() {
        let (found, ending) = all(b"0\nEOF\n\x1a\0\0\0");
        assert_eq!((found.len(), ending.as_str()), (1, "Some(Source)"));
    }

    #[test]
    fn rubbish_for_a_code_is_named_with_its_line() {
        let mut source = &b"0\nEOF\nrubbish\nmore\n"[..];
        let mut pairs = Pairs::new(&mut source).unwrap();
        assert!(pairs.advance());
        assert!(!pairs.advance());
        assert_eq!(pairs.reached(), Position::Line(3));
        assert!(matches!(pairs.ending(), Some(Ending::Damage(text)) if text.contains("rubbish")));
    }

    #[test]
    fn a_source_that_gives_one_byte_at_a_time() {
        struct Drops<'a>(&'a [u8]);
        impl Read for Drops<'_> {
            fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
                let count = buffer.len().min(self.0.len()).min(1);
                buffer[..count].copy_from_slice(&self.0[..count]);
                self.0 = &self.0[count..];
                Ok(count)
            }
        }
        let text: String = (0..300).map(|i| format!("{i}\r\nvalue {i}\r\n")).collect();
        let mut source = Drops(text.as_bytes());
        let mut pairs = Pairs::new(&mut source).unwrap();
        for i in 0..300 {
            assert!(pairs.advance());
            assert_eq!((pairs.code(), pairs.text()), (i, format!("value {i}").as_bytes()));
        }
        assert!(!pairs.advance());
    }

    #[test]
    fn a_line_longer_than_the_buffer() {
        let long = "x".repeat(3 * BUFFER);
        let (found, _) = all(format!("1\n{long}\n0\nEOF\n").as_bytes());
        assert_eq!((found[0].1.len(), found[1].1.as_str()), (long.len(), "EOF"));
    }
}
