//! The pairs of a DXF text: a line with a group code, then a line with its value. The rest of the reader sees
//! only the code, the value's bytes and the line.

use std::io::{self, Read};
use std::ops::Range;

use memchr::memchr;

use super::error::ReadError;
use super::sniff;

/// Large enough that the cost of a read is nothing beside the work on what it brings, small enough for a cache.
const BUFFER: usize = 256 * 1024;

/// A longer line is no text that a drawing holds (bulk data is written in lines of some 250 digits): memory is not
/// grown for it beyond this.
const LONGEST_LINE: usize = 16 * 1024 * 1024;

/// Why the pairs ended.
#[derive(Debug)]
pub(super) enum Ending {
    /// With the last line of the source.
    Source,
    /// A line that should hold a group code holds something else; or a line is too long.
    Damage(String),
    /// The source could not be read on.
    Failed(io::Error),
}

/// Reads pairs one after the other into one reused buffer.
pub(super) struct Pairs<'s> {
    source: &'s mut dyn Read,
    buffer: Vec<u8>,
    /// Bytes read and not yet used: `start..end` of the buffer.
    start: usize,
    end: usize,
    drained: bool,
    /// Lines end with CR alone; otherwise with LF, or CR and LF.
    line_end: u8,
    /// Lines used so far.
    lines: u64,
    code: i32,
    value: Range<usize>,
    held: bool,
    ending: Option<Ending>,
}

enum Step {
    Pair,
    /// More bytes are needed.
    Short,
    Over,
}

impl<'s> Pairs<'s> {
    /// Reads the beginning of `source`, passes over a byte-order mark, and refuses what is plainly no DXF text.
    pub fn new(source: &'s mut dyn Read) -> Result<Pairs<'s>, ReadError> {
        let mut pairs = Pairs {
            source,
            buffer: vec![0; BUFFER],
            start: 0,
            end: 0,
            drained: false,
            line_end: b'\n',
            lines: 0,
            code: 0,
            value: 0..0,
            held: false,
            ending: None,
        };
        /// As much as tells the kind of file and how its first line ends.
        const HEAD: usize = 512;
        while pairs.end < HEAD && !pairs.drained {
            pairs.fill();
        }
        if let Some(Ending::Failed(error)) = pairs.ending.take() {
            return Err(ReadError::reading(error, 1));
        }
        if pairs.buffer[..pairs.end].starts_with(b"\xef\xbb\xbf") {
            pairs.start = 3;
        }
        let head = &pairs.buffer[pairs.start..pairs.end];
        if let Some(error) = sniff::refused(head) {
            return Err(error);
        }
        if let Some(first) = head.iter().position(|b| matches!(b, b'\r' | b'\n'))
            && head[first] == b'\r'
            && !matches!(head.get(first + 1), Some(b'\n' | b'\r'))
        {
            pairs.line_end = b'\r';
        }
        Ok(pairs)
    }

    /// Moves to the next pair; false when there is none.
    #[inline]
    pub fn advance(&mut self) -> bool {
        if self.held {
            self.held = false;
            return true;
        }
        if self.ending.is_some() {
            return false;
        }
        loop {
            match self.step() {
                Step::Pair => return true,
                Step::Over => return false,
                Step::Short => {
                    self.fill();
                    if self.ending.is_some() {
                        return false;
                    }
                }
            }
        }
    }

    /// The next call of `advance` gives the present pair once more.
    pub fn hold(&mut self) {
        self.held = true;
    }

    /// Group code of the present pair.
    #[inline]
    pub fn code(&self) -> i32 {
        self.code
    }

    /// Value of the present pair, as its line holds it.
    #[inline]
    pub fn value(&self) -> &[u8] {
        &self.buffer[self.value.clone()]
    }

    /// Line of the present pair's group code, from 1.
    #[inline]
    pub fn line(&self) -> u64 {
        self.lines.saturating_sub(1)
    }

    /// Lines used so far: the number of the last one.
    pub fn lines(&self) -> u64 {
        self.lines
    }

    /// Why `advance` gave false.
    pub fn ending(&mut self) -> Option<Ending> {
        self.ending.take()
    }

    #[inline]
    fn step(&mut self) -> Step {
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

    /// Brings more bytes behind the unused ones.
    #[cold]
    fn fill(&mut self) {
        if self.start > 0 {
            self.buffer.copy_within(self.start..self.end, 0);
            self.end -= self.start;
            self.start = 0;
        }
        if self.end == self.buffer.len() {
            if self.buffer.len() >= LONGEST_LINE {
                self.drained = true;
                self.end = 0;
                self.ending = Some(Ending::Damage(format!("a line longer than {LONGEST_LINE} bytes")));
                return;
            }
            let longer = self.buffer.len() * 2;
            self.buffer.resize(longer, 0);
        }
        loop {
            match self.source.read(&mut self.buffer[self.end..]) {
                Ok(0) => self.drained = true,
                Ok(count) => self.end += count.min(self.buffer.len() - self.end),
                Err(error) if error.kind() == io::ErrorKind::Interrupted => continue,
                Err(error) => {
                    self.drained = true;
                    self.end = self.start;
                    self.ending = Some(Ending::Failed(error));
                }
            }
            return;
        }
    }
}

/// The group code on a trimmed line that is not just digits.
fn plain_code(line: &[u8]) -> Result<i32, Ending> {
    // Ctrl-Z or zeros: the padding that old systems left behind the text.
    if line[0] == 0x1a || line.iter().all(|b| *b == 0) {
        return Err(Ending::Source);
    }
    let code = std::str::from_utf8(line).ok().and_then(|text| text.parse::<i32>().ok());
    code.filter(|code| (-9999..=99999).contains(code)).ok_or_else(|| {
        let shown = String::from_utf8_lossy(&line[..line.len().min(40)]);
        Ending::Damage(format!("“{}” where a group code should stand", shown.escape_debug()))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn all(text: &[u8]) -> (Vec<(i32, String, u64)>, String) {
        let mut source = text;
        let mut pairs = Pairs::new(&mut source).unwrap();
        let mut found = Vec::new();
        while pairs.advance() {
            found.push((pairs.code(), String::from_utf8_lossy(pairs.value()).into_owned(), pairs.line()));
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
        assert_eq!(pairs.lines(), 3);
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
            assert_eq!((pairs.code(), pairs.value()), (i, format!("value {i}").as_bytes()));
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
