//! The pairs of a DXF: a group code, then its value. In a text each stands on a line of its own; in a binary drawing
//! the code says of which type the value is. The rest of the reader knows neither form: it asks for a number, a whole
//! number, a handle or text.

mod binary;
mod text;

use std::cell::RefCell;
use std::io::{self, Read};
use std::ops::Range;

use super::error::ReadError;
use super::limits::{Limit, Limits};
use super::number;
use super::sniff;
use crate::finding::Position;

/// Large enough that the cost of a read is nothing beside the work on what it brings, small enough for a cache.
const BUFFER: usize = 256 * 1024;

/// Most drawings are small, and a library holds many: a buffer is no larger than this before more is there to be read.
const FIRST_BUFFER: usize = 48 * 1024;

thread_local! {
    /// The buffer of the drawing that this thread read before; of its bytes none is looked at.
    static SPARE: RefCell<Vec<u8>> = const { RefCell::new(Vec::new()) };
}

impl Drop for Pairs<'_> {
    fn drop(&mut self) {
        if self.buffer.len() <= BUFFER {
            // A thread that is on its way out keeps none.
            let _ = SPARE.try_with(|spare| spare.replace(std::mem::take(&mut self.buffer)));
        }
    }
}

/// Why there is no next pair.
#[derive(Debug)]
pub(super) enum Ending {
    /// The source is at its end.
    Source,
    /// The source can't be understood here; [`Pairs::resume`] may find where it can again.
    Damage(Damage),
    /// The source could not be read on.
    Failed(io::Error),
    /// A limit is gone over.
    OverLimit(ReadError),
}

/// Something stands where a group code or the name of an entity should.
#[derive(Clone, Debug)]
pub(super) struct Damage {
    /// For the beginning of a sentence, such as `“x” where a group code should stand`.
    pub what: String,
    pub position: Position,
}

/// How reading goes on after damage.
#[derive(Debug)]
pub(super) struct Resumed {
    /// The name of a section, among what was passed over.
    pub section: Option<String>,
}

/// Sections of a drawing.
const SECTIONS: [&[u8]; 8] =
    [b"HEADER", b"CLASSES", b"TABLES", b"BLOCKS", b"ENTITIES", b"OBJECTS", b"THUMBNAILIMAGE", b"ACDSDATA"];

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
            Value::Real(value) => Some(value).filter(|value| is_plausible(*value)),
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

/// The value of a pair of code 0 names something: it has a letter and is no number. Where a line is lost or doubled,
/// codes and values change places, and a value 0 comes to stand before a code.
fn is_name(value: &[u8]) -> bool {
    let value = value.trim_ascii();
    value.iter().any(|byte| byte.is_ascii_alphabetic() || *byte >= 0x80) && number::real(value).is_none()
}

/// A name as writers write those of entities, tables and sections.
fn is_plain_name(word: &[u8]) -> bool {
    (2..=64).contains(&word.len())
        && word.iter().all(|byte| byte.is_ascii_uppercase() || byte.is_ascii_digit() || *byte == b'_')
        && word.iter().any(u8::is_ascii_uppercase)
}

/// The first bytes of a text, for a message.
fn shown(bytes: &[u8]) -> String {
    String::from_utf8_lossy(&bytes[..bytes.len().min(40)]).escape_debug().to_string()
}

/// No drawing holds a smaller number but 0: what rounding leaves of a product of three is some 1e-50.
const SMALLEST: f64 = 1e-60;

/// No drawing holds a larger number: what stands for “anything” in headers is 1e20.
const LARGEST: f64 = 1e60;

/// A number of a binary drawing may be meant. Where a byte is lost, eight bytes that begin one too late or too early give
/// numbers of any size.
#[inline]
fn is_plausible(value: f64) -> bool {
    value == 0.0 || (SMALLEST..=LARGEST).contains(&value.abs())
}

/// How a drawing is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum PairEncoding {
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
    /// The word that was found after damage, kept apart from the buffer.
    Word,
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
    form: PairEncoding,
    /// Lines of a text end with CR alone; otherwise with LF, or CR and LF.
    line_end: u8,
    /// Lines of a text used so far.
    lines: u64,
    code: i32,
    /// Where the present pair begins in the buffer.
    pair: usize,
    value: Range<usize>,
    typed: Typed,
    word: Vec<u8>,
    held: bool,
    ending: Option<Ending>,
    limits: Limits,
}

enum Step {
    Pair,
    /// More bytes are needed.
    Short,
    Over,
}

impl<'s> Pairs<'s> {
    /// Reads the beginning of `source`, tells its form, and refuses what is plainly no DXF.
    pub fn new(source: &'s mut dyn Read, limits: &Limits) -> Result<Pairs<'s>, ReadError> {
        let mut pairs = Pairs {
            source,
            buffer: Some(SPARE.take())
                .filter(|spare| !spare.is_empty())
                .unwrap_or_else(|| vec![0; FIRST_BUFFER]),
            start: 0,
            end: 0,
            drained: false,
            before: 0,
            form: PairEncoding::Text,
            line_end: b'\n',
            lines: 0,
            code: 0,
            pair: 0,
            value: 0..0,
            typed: Typed::Text,
            word: Vec::new(),
            held: false,
            ending: None,
            limits: *limits,
        };
        /// As much as tells the kind of file, how its first line ends, and how long its group codes are.
        const HEAD: usize = 512;
        while pairs.end < HEAD && !pairs.drained {
            pairs.fill();
        }
        match pairs.ending.take() {
            Some(Ending::Failed(error)) => return Err(ReadError::reading(error, None)),
            Some(Ending::OverLimit(error)) => return Err(error),
            _ => {}
        }
        let head = &pairs.buffer[..pairs.end];
        if let Some(error) = sniff::refused(head) {
            return Err(error);
        }
        match binary::sentinel(head) {
            Some(Ok(length)) => {
                pairs.form = PairEncoding::Binary { wide: binary::has_wide_codes(&head[length..]) };
                (pairs.start, pairs.pair) = (length, length);
            }
            Some(Err(error)) => return Err(error),
            None => pairs.begin_text(),
        }
        Ok(pairs)
    }

    /// The drawing is in the binary form.
    pub fn is_binary(&self) -> bool {
        self.form != PairEncoding::Text
    }

    /// As [`Pairs::advance`], for the two callers that meet nearly all pairs.
    #[inline(always)]
    pub fn advance_often(&mut self) -> bool {
        if !self.held
            && self.ending.is_none()
            && self.form == PairEncoding::Text
            && matches!(self.text_step(), Step::Pair)
        {
            return true;
        }
        self.advance()
    }

    /// Moves to the next pair; false when there is none.
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
                PairEncoding::Text => self.text_step(),
                PairEncoding::Binary { wide } => self.binary_step(wide),
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

    /// Moves to the next pair of code 0; false when there is none.
    pub fn advance_to_zero(&mut self) -> bool {
        while self.advance_often() {
            if self.code == 0 {
                return true;
            }
        }
        false
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
            Typed::Word => Value::Text(&self.word),
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
            PairEncoding::Text => Position::Line(self.lines.saturating_sub(1)),
            PairEncoding::Binary { .. } => Position::Byte(self.before + self.pair as u64),
        }
    }

    /// How far the source is used: its last line, or the bytes before what comes next.
    pub fn reached(&self) -> Position {
        match self.form {
            PairEncoding::Text => Position::Line(self.lines),
            PairEncoding::Binary { .. } => Position::Byte(self.before + self.start as u64),
        }
    }

    pub fn limits(&self) -> &Limits {
        &self.limits
    }

    /// Ends reading with an error: a limit is gone over.
    #[cold]
    pub fn stop(&mut self, error: ReadError) {
        self.held = false;
        self.ending = Some(Ending::OverLimit(error));
    }

    /// Why `advance` gave false.
    pub fn ending(&mut self) -> Option<Ending> {
        self.ending.take()
    }

    /// What is damaged, where that is why `advance` gave false.
    pub fn damage(&mut self) -> Option<Damage> {
        match self.ending.take() {
            Some(Ending::Damage(damage)) => Some(damage),
            other => {
                self.ending = other;
                None
            }
        }
    }

    /// After damage: seeks the next place where the code 0 is followed by the name of an entity, a table or a section,
    /// or in the header the code 9 by the name of a variable. The next call of `advance` gives that pair. `None` where
    /// the source ends before one comes.
    #[cold]
    pub fn resume(&mut self, in_header: bool) -> Option<Resumed> {
        match self.form {
            PairEncoding::Text => self.resume_text(in_header),
            PairEncoding::Binary { wide } => self.resume_binary(wide, in_header),
        }
    }

    #[cold]
    fn damaged(&mut self, what: String, position: Position) -> Step {
        self.ending = Some(Ending::Damage(Damage { what, position }));
        Step::Over
    }

    #[cold]
    fn line_too_long(&mut self) -> Step {
        let (what, position) = match self.form {
            PairEncoding::Text => ("a line", Position::Line(self.lines + 1)),
            PairEncoding::Binary { .. } => ("a text", Position::Byte(self.before + self.start as u64)),
        };
        self.stop(self.limits.exceeded(Limit::LineLength, what).in_file(position));
        Step::Over
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
            self.value = self.value.start.saturating_sub(used)..self.value.end.saturating_sub(used);
        }
        if self.before > 0 && self.buffer.len() < BUFFER {
            self.buffer.resize(BUFFER, 0);
        }
        if self.end == self.buffer.len() {
            // What is unfinished is a code and a value: two lines at most.
            if (self.end - self.start) as u64 / 2 > self.limits.line_length {
                self.line_too_long();
                return;
            }
            let longer = self.buffer.len() * 2;
            self.buffer.resize(longer, 0);
        }
        loop {
            match self.source.read(&mut self.buffer[self.end..]) {
                Ok(0) => self.drained = true,
                Ok(count) => {
                    self.end += count.min(self.buffer.len() - self.end);
                    if self.before + self.end as u64 > self.limits.file_size {
                        self.stop(self.limits.exceeded(Limit::FileSize, "the file"));
                    }
                }
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
