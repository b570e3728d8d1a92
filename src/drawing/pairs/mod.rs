//! The pairs of a DXF: a group code, then its value. In a text each stands on a line of its own; in a binary drawing
//! the code says of which type the value is. The rest of the reader knows neither form: it asks for a number, a whole
//! number, a handle or text.

mod binary;
mod text;

use std::io::{self, Read};
use std::ops::Range;

use super::error::ReadError;
use super::number;
use super::sniff;
use crate::finding::Position;

/// Large enough that the cost of a read is nothing beside the work on what it brings, small enough for a cache.
const BUFFER: usize = 256 * 1024;

/// A longer line is no text that a drawing holds (bulk data is written in lines of some 250 digits): memory is not
/// grown for it beyond this.
const LONGEST_LINE: usize = 16 * 1024 * 1024;

/// Why the pairs ended.
#[derive(Debug)]
pub(super) enum Ending {
    /// With the last pair of the source.
    Source,
    /// Something else stands where a group code or a value should.
    Damage(String),
    /// The source could not be read on.
    Failed(io::Error),
}

/// The value of a pair.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Value<'a> {
    /// What a line of a text holds; text of a binary drawing.
    Text(&'a [u8]),
    /// A number of a binary drawing.
    Real(f64),
    /// A whole number of a binary drawing.
    Whole(i64),
    /// Data of a binary drawing that mean nothing here.
    Chunk,
}

impl<'a> Value<'a> {
    /// The value as a number; never one that is not finite.
    #[inline]
    pub fn real(self) -> Option<f64> {
        match self {
            Value::Text(bytes) => number::real(bytes),
            Value::Real(value) => Some(value).filter(|value| value.is_finite()),
            Value::Whole(value) => Some(value as f64),
            Value::Chunk => None,
        }
    }

    /// The value as a whole number.
    #[inline]
    pub fn whole(self) -> Option<i64> {
        match self {
            Value::Text(bytes) => number::whole(bytes),
            Value::Real(value) => number::whole_of(value),
            Value::Whole(value) => Some(value),
            Value::Chunk => None,
        }
    }

    /// The value as a handle.
    #[inline]
    pub fn handle(self) -> Option<u64> {
        number::handle(self.text())
    }

    /// The bytes of a text as they are written; none of a number that is written as such.
    #[inline]
    pub fn text(self) -> &'a [u8] {
        match self {
            Value::Text(bytes) => bytes,
            _ => b"",
        }
    }

    /// As it can be shown in a message.
    pub fn shown(self) -> String {
        match self {
            Value::Text(bytes) => shown(bytes),
            Value::Real(value) => value.to_string(),
            Value::Whole(value) => value.to_string(),
            Value::Chunk => "binary data".to_owned(),
        }
    }
}

/// The first bytes of a text, for a message.
fn shown(bytes: &[u8]) -> String {
    String::from_utf8_lossy(&bytes[..bytes.len().min(40)]).escape_debug().to_string()
}

/// How a drawing is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Form {
    Text,
    /// With group codes of two bytes (from R13), or of one byte (R12 and before).
    Binary {
        wide: bool,
    },
}

/// How the value of a pair of a binary drawing is kept; one of a text is always text.
#[derive(Clone, Copy, Debug)]
enum Typed {
    Text,
    Real(f64),
    Whole(i64),
    Chunk,
}

/// Reads pairs one after the other into one reused buffer.
pub(super) struct Pairs<'s> {
    source: &'s mut dyn Read,
    buffer: Vec<u8>,
    /// Bytes read and not yet used: `start..end` of the buffer.
    start: usize,
    end: usize,
    drained: bool,
    /// Bytes of the source before those in the buffer.
    before: u64,
    form: Form,
    /// Lines of a text end with CR alone; otherwise with LF, or CR and LF.
    line_end: u8,
    /// Lines of a text used so far.
    lines: u64,
    code: i32,
    /// Where the present pair begins in the buffer.
    pair: usize,
    value: Range<usize>,
    typed: Typed,
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
    /// Reads the beginning of `source`, tells its form, and refuses what is plainly no DXF.
    pub fn new(source: &'s mut dyn Read) -> Result<Pairs<'s>, ReadError> {
        let mut pairs = Pairs {
            source,
            buffer: vec![0; BUFFER],
            start: 0,
            end: 0,
            drained: false,
            before: 0,
            form: Form::Text,
            line_end: b'\n',
            lines: 0,
            code: 0,
            pair: 0,
            value: 0..0,
            typed: Typed::Text,
            held: false,
            ending: None,
        };
        /// As much as tells the kind of file, how its first line ends, and how long its group codes are.
        const HEAD: usize = 512;
        while pairs.end < HEAD && !pairs.drained {
            pairs.fill();
        }
        if let Some(Ending::Failed(error)) = pairs.ending.take() {
            return Err(ReadError::reading(error, None));
        }
        let head = &pairs.buffer[..pairs.end];
        if let Some(error) = sniff::refused(head) {
            return Err(error);
        }
        match binary::sentinel(head) {
            Some(Ok(length)) => {
                pairs.form = Form::Binary { wide: binary::has_wide_codes(&head[length..]) };
                (pairs.start, pairs.pair) = (length, length);
            }
            Some(Err(error)) => return Err(error),
            None => pairs.begin_text(),
        }
        Ok(pairs)
    }

    /// The drawing is in the binary form.
    pub fn is_binary(&self) -> bool {
        self.form != Form::Text
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
            let step = match self.form {
                Form::Text => self.text_step(),
                Form::Binary { wide } => self.binary_step(wide),
            };
            match step {
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

    /// Value of the present pair.
    #[inline]
    pub fn value(&self) -> Value<'_> {
        match self.typed {
            Typed::Text => Value::Text(&self.buffer[self.value.clone()]),
            Typed::Real(value) => Value::Real(value),
            Typed::Whole(value) => Value::Whole(value),
            Typed::Chunk => Value::Chunk,
        }
    }

    /// The present value as a number.
    pub fn real(&self) -> Option<f64> {
        self.value().real()
    }

    /// The present value as a whole number.
    pub fn whole(&self) -> Option<i64> {
        self.value().whole()
    }

    /// The present value as a handle.
    pub fn handle(&self) -> Option<u64> {
        self.value().handle()
    }

    /// The present value as text.
    #[inline]
    pub fn text(&self) -> &[u8] {
        self.value().text()
    }

    /// Where the present pair begins.
    #[inline]
    pub fn position(&self) -> Position {
        match self.form {
            Form::Text => Position::Line(self.lines.saturating_sub(1)),
            Form::Binary { .. } => Position::Byte(self.before + self.pair as u64),
        }
    }

    /// How far the source is used: its last line, or the bytes before what comes next.
    pub fn reached(&self) -> Position {
        match self.form {
            Form::Text => Position::Line(self.lines),
            Form::Binary { .. } => Position::Byte(self.before + self.start as u64),
        }
    }

    /// Why `advance` gave false.
    pub fn ending(&mut self) -> Option<Ending> {
        self.ending.take()
    }

    /// Brings more bytes behind the unused ones.
    #[cold]
    fn fill(&mut self) {
        // The pair before stays at hand: what is damaged may begin in it.
        let used = self.pair.min(self.start);
        if used > 0 {
            self.buffer.copy_within(used..self.end, 0);
            self.before += used as u64;
            (self.pair, self.start, self.end) = (self.pair - used, self.start - used, self.end - used);
        }
        if self.end == self.buffer.len() {
            if self.buffer.len() >= LONGEST_LINE {
                self.drained = true;
                self.end = self.start;
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
