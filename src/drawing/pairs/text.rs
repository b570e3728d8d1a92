//! Text: a line with a group code, then a line with its value.

use std::ops::Range;

use memchr::memchr;

use super::{Ending, Pairs, Resumed, SECTIONS, Step, Typed, is_name, is_plain_name, shown};
use crate::finding::Position;

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

    #[inline(always)]
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
                        if self.may_have_slipped() {
                            let what = "an empty line where a group code should stand".to_owned();
                            return self.damaged(what, Position::Line(self.lines + 1));
                        }
                        self.lines += 1;
                        self.start += length + 1;
                        continue;
                    }
                    match line_code(line) {
                        LineCode::Code(number) => code = number,
                        LineCode::Padding => {
                            self.lines += 1;
                            self.ending = Some(Ending::Source);
                            return Step::Over;
                        }
                        LineCode::None => {
                            let what = no_code(line);
                            return self.damaged(what, Position::Line(self.lines + 1));
                        }
                    }
                    length + 1
                }
            };
            let rest = &bytes[value_start..];
            let (length, used) = match line_length(self.line_end, rest) {
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
            if length as u64 > self.limits.line_length {
                return self.line_too_long();
            }
            if code == 0 && !is_name(&self.buffer[start..end]) {
                let what = format!(
                    "“{}” where the name of an entity or a section should stand",
                    shown(&self.buffer[start..end])
                );
                // Reading may go on with this line: a code 0 that stands where a value should.
                self.lines += 1;
                self.start = start;
                return self.damaged(what, Position::Line(self.lines + 1));
            }
            self.code = code;
            self.pair = self.start;
            (self.typed, self.value) = (Typed::Text, start..end);
            self.start += value_start + used;
            self.lines += 2;
            return Step::Pair;
        }
    }

    /// The source ended within a line that should hold a group code.
    fn last_line(&mut self) -> Step {
        let line = self.buffer[self.start..self.end].trim_ascii();
        if let LineCode::None = line_code(line) {
            let what = no_code(line);
            return self.damaged(what, Position::Line(self.lines + 1));
        }
        self.lines += u64::from(!line.is_empty());
        self.start = self.end;
        self.ending = Some(Ending::Source);
        Step::Over
    }

    /// An empty line stands where a group code should. By itself it is harmless. But where a line was lost before, codes
    /// and values have changed places, and an empty value would put them right again unseen: then the value before it is
    /// a group code.
    #[cold]
    fn may_have_slipped(&self) -> bool {
        let value = self.buffer.get(self.value.clone()).unwrap_or_default().trim_ascii();
        let digits = !value.is_empty() && value.len() <= 4 && value.iter().all(u8::is_ascii_digit);
        self.lines > 0 && digits
    }

    /// The next line without blanks around, and where it begins; `None` at the end of the source.
    fn next_line(&mut self) -> Option<Range<usize>> {
        loop {
            if self.ending.is_some() {
                return None;
            }
            let bytes = &self.buffer[self.start..self.end];
            let (length, used) = match memchr(self.line_end, bytes) {
                Some(length) => (length, length + 1),
                None if self.drained && !bytes.is_empty() => (bytes.len(), bytes.len()),
                None if self.drained => {
                    self.ending = Some(Ending::Source);
                    return None;
                }
                None => {
                    self.pair = self.start;
                    self.fill();
                    continue;
                }
            };
            let line = &bytes[..length];
            let blanks = line.len() - line.trim_ascii_start().len();
            let start = self.start + blanks;
            let range = start..start + line.trim_ascii().len();
            self.pair = self.start;
            self.start += used;
            self.lines += 1;
            return Some(range);
        }
    }

    #[cold]
    pub(super) fn resume_text(&mut self, in_header: bool) -> Option<Resumed> {
        #[derive(Clone, Copy, PartialEq)]
        enum Before {
            Zero,
            Nine,
            Section,
            Other,
        }
        let before_line = |line: &[u8]| match line {
            b"0" => Before::Zero,
            b"9" => Before::Nine,
            b"SECTION" => Before::Section,
            _ => Before::Other,
        };
        // The line before may be the code that belongs to this one, taken for a value.
        let last = self.buffer.get(self.value.clone()).unwrap_or_default().trim_ascii();
        let mut before = if self.lines > 0 { before_line(last) } else { Before::Other };
        let mut taken_for_value = true;
        let mut section = None;
        loop {
            let range = self.next_line()?;
            let line = &self.buffer[range];
            let here = before_line(line);
            if SECTIONS.contains(&line) {
                section = Some(String::from_utf8_lossy(line).into_owned());
            }
            match before {
                Before::Zero if is_plain_name(line) => {
                    self.word = line.to_vec();
                    let lines = self.lines;
                    if !taken_for_value || self.begins_entity() {
                        self.lines = lines;
                        return Some(self.found(0, section));
                    }
                }
                Before::Nine if in_header && line.len() > 1 && line[0] == b'$' => {
                    self.word = line.to_vec();
                    return Some(self.found(9, section));
                }
                Before::Section if line == b"2" => {
                    self.word = b"SECTION".to_vec();
                    // This line is read again, as a code.
                    self.start = self.pair;
                    self.lines -= 1;
                    return Some(self.found(0, section));
                }
                _ => {}
            }
            (before, taken_for_value) = (here, false);
        }
    }

    fn found(&mut self, code: i32, section: Option<String>) -> Resumed {
        (self.code, self.typed, self.held) = (code, Typed::Word, true);
        Resumed { section }
    }

    /// The next line is a group code that stands at the beginning of an entity, a table or a section; it is read again.
    /// A lost line may have brought a value 0 and the name of a layer together, and that layer may be called LINE.
    fn begins_entity(&mut self) -> bool {
        const FIRST: [&[u8]; 9] = [b"0", b"2", b"5", b"8", b"100", b"102", b"105", b"330", b"999"];
        let Some(range) = self.next_line() else {
            // The end is met again by whoever reads on.
            self.ending = self.ending.take().filter(|ending| !matches!(ending, Ending::Source));
            return false;
        };
        let begins = FIRST.contains(&&self.buffer[range]);
        self.start = self.pair;
        self.lines -= 1;
        begins
    }
}

/// How many bytes stand before the end of the line. Most values are shorter than a call of `memchr` is worth: eight
/// bytes are looked through at once, each as a part of one number.
#[inline(always)]
fn line_length(line_end: u8, bytes: &[u8]) -> Option<usize> {
    const ONES: u64 = 0x0101_0101_0101_0101;
    if let Some(eight) = bytes.first_chunk() {
        // Parts that are the end of a line are 0 now; taking 1 from each sets the high bit of the lowest 0.
        let parts = u64::from_le_bytes(*eight) ^ (ONES * u64::from(line_end));
        let ends = parts.wrapping_sub(ONES) & !parts & (ONES << 7);
        if ends != 0 {
            return Some(ends.trailing_zeros() as usize / 8);
        }
    }
    memchr(line_end, bytes)
}

/// What a trimmed line that is not just digits says where a group code should stand.
enum LineCode {
    Code(i32),
    /// Nothing, Ctrl-Z, or zeros: the padding that old systems left behind the text.
    Padding,
    None,
}

fn line_code(line: &[u8]) -> LineCode {
    if line.first() == Some(&0x1a) || line.iter().all(|byte| *byte == 0) {
        return LineCode::Padding;
    }
    let code = std::str::from_utf8(line).ok().and_then(|text| text.parse::<i32>().ok());
    code.filter(|code| (-9999..=99999).contains(code)).map_or(LineCode::None, LineCode::Code)
}

fn no_code(line: &[u8]) -> String {
    format!("“{}” where a group code should stand", shown(line))
}

#[cfg(test)]
mod tests {
    use std::io::{self, Read};

    use super::*;
    use crate::drawing::limits::Limits;
    use crate::drawing::pairs::BUFFER;

    fn line_of(position: Position) -> u64 {
        let Position::Line(line) = position else { panic!("{position} in a text") };
        line
    }

    fn all(text: &[u8]) -> (Vec<(i32, String, u64)>, String) {
        let mut source = text;
        let mut pairs = Pairs::new(&mut source, &Limits::default()).unwrap();
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
        let mut pairs = Pairs::new(&mut source, &Limits::default()).unwrap();
        assert!(pairs.advance());
        assert!(!pairs.advance());
        let damage = pairs.damage().unwrap();
        assert!(damage.what.contains("rubbish") && damage.position == Position::Line(3), "{damage:?}");
        assert!(pairs.resume(false).is_none());
        assert!(matches!(pairs.ending(), Some(Ending::Source)));
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
        let mut pairs = Pairs::new(&mut source, &Limits::default()).unwrap();
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
