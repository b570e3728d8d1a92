//! Binary drawings: a first line, then group codes of one or two bytes, each with a value of the type that it stands
//! for. Numbers have their low byte first, text ends with a zero.

use memchr::{memchr, memmem};

use super::{Ending, Pairs, Resumed, Step, Typed, is_name, is_plain_name, shown};
use crate::drawing::error::ReadError;
use crate::drawing::number;
use crate::finding::{Code, Finding, Position};

/// What a binary drawing begins with, followed by CR, LF, Ctrl-Z and a zero.
const SENTINEL: &[u8] = b"AutoCAD Binary DXF";

/// Type of a value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Type {
    Text,
    /// Text: the hexadecimal digits of a handle.
    Handle,
    Real,
    Byte,
    Short,
    Long,
    VeryLong,
    /// A byte that gives a length, then as many bytes.
    Chunk,
    /// No drawing has this group code.
    Impossible,
}

/// Highest group code, and the number of codes from 0.
const HIGHEST: usize = 1071;
const CODES: usize = HIGHEST + 1;

/// The type that each group code stands for: as the sources of two libraries that read binary drawings, `dxf`
/// (`expected_type.rs`) and `ezdxf` (`lldxf/types.py`), have it. Codes that both leave open are impossible.
/// They differ on 290 to 299 in drawings of R12 and before (two bytes by `dxf`, one by `ezdxf`), which have no such codes.
static TYPES: [Type; CODES] = types();

const fn types() -> [Type; CODES] {
    let mut types = [Type::Impossible; CODES];
    let ranges = [
        (0, 9, Type::Text),
        (10, 59, Type::Real),
        (60, 79, Type::Short),
        (90, 99, Type::Long),
        (100, 109, Type::Text),
        (110, 149, Type::Real),
        (160, 169, Type::VeryLong),
        (170, 179, Type::Short),
        (210, 239, Type::Real),
        (270, 289, Type::Short),
        (290, 299, Type::Byte),
        (300, 309, Type::Text),
        (310, 319, Type::Chunk),
        (320, 369, Type::Handle),
        (370, 389, Type::Short),
        (390, 399, Type::Handle),
        (400, 409, Type::Short),
        (410, 419, Type::Text),
        (420, 429, Type::Long),
        (430, 439, Type::Text),
        (440, 459, Type::Long),
        (460, 469, Type::Real),
        (470, 479, Type::Text),
        (480, 481, Type::Handle),
        (999, 1003, Type::Text),
        (1004, 1004, Type::Chunk),
        (1005, 1005, Type::Handle),
        (1006, 1009, Type::Text),
        (1010, 1059, Type::Real),
        (1060, 1070, Type::Short),
        (1071, 1071, Type::Long),
    ];
    let mut i = 0;
    while i < ranges.len() {
        let (first, last, kind) = ranges[i];
        let mut code = first;
        while code <= last {
            types[code] = kind;
            code += 1;
        }
        i += 1;
    }
    types
}

/// How long the first line of a binary drawing is; an error where it is damaged. `None` for another kind of file.
pub(super) fn sentinel(head: &[u8]) -> Option<Result<usize, ReadError>> {
    let rest = head.strip_prefix(SENTINEL)?;
    // A CR is lost or doubled where the file was copied as a text.
    let ends = rest.iter().take_while(|byte| matches!(byte, b'\r' | b'\n')).count();
    Some(match &rest[ends..] {
        [0x1a, 0, ..] if (1..=3).contains(&ends) => Ok(SENTINEL.len() + ends + 2),
        _ => Err(ReadError::of(Finding::of(Code::BinaryDamaged))),
    })
}

/// Group codes take two bytes (from R13) and not one (R12 and before): told by what follows the word that begins a
/// section, which is the group code 2 of its name.
pub(super) fn has_wide_codes(head: &[u8]) -> bool {
    const WORD: &[u8] = b"SECTION\0\x02";
    match memmem::find(head, WORD) {
        Some(place) => head.get(place + WORD.len()) == Some(&0),
        // Something long stands before the first section, a comment as a rule: after a code of one byte comes its text
        // at once, and 255 announces a longer code.
        None => !matches!(head, [0, b'!'..=b'~', ..] | [255, ..]),
    }
}

impl Pairs<'_> {
    #[inline]
    pub(super) fn binary_step(&mut self, wide: bool) -> Step {
        let bytes = &self.buffer[self.start..self.end];
        let (code, head) = match (wide, bytes) {
            (true, [low, high, ..]) => (u16::from_le_bytes([*low, *high]), 2),
            (false, [255, low, high, ..]) => (u16::from_le_bytes([*low, *high]), 3),
            (false, [255, ..]) => return self.short(),
            (false, [code, ..]) => (u16::from(*code), 1),
            _ => return self.short(),
        };
        let rest = &bytes[head..];
        let kind = TYPES.get(usize::from(code)).copied().unwrap_or(Type::Impossible);
        let mut value = 0..0;
        let (typed, used) = match kind {
            Type::Text | Type::Handle => {
                let Some(length) = memchr(0, rest) else { return self.short() };
                if length as u64 > self.limits.line_length {
                    return self.line_too_long();
                }
                let text = &rest[..length];
                let (sound, what) = match (code, kind) {
                    (0, _) => (is_text(text) && is_name(text), "the name of an entity or a section"),
                    (_, Type::Handle) => (number::handle(text).is_some(), "a handle"),
                    _ => (is_text(text), "a text"),
                };
                if !sound {
                    let what = format!("“{}” where {what} should stand", shown(text));
                    return self.damaged(what, Position::Byte(self.before + self.start as u64));
                }
                let start = self.start + head;
                value = start..start + length;
                (Typed::Text, length + 1)
            }
            Type::Real => {
                let Some(bytes) = rest.first_chunk() else { return self.short() };
                (Typed::Real(f64::from_le_bytes(*bytes)), 8)
            }
            Type::Byte => {
                let Some(byte) = rest.first() else { return self.short() };
                (Typed::Whole(i64::from(*byte)), 1)
            }
            Type::Short => {
                let Some(bytes) = rest.first_chunk() else { return self.short() };
                (Typed::Whole(i64::from(i16::from_le_bytes(*bytes))), 2)
            }
            Type::Long => {
                let Some(bytes) = rest.first_chunk() else { return self.short() };
                (Typed::Whole(i64::from(i32::from_le_bytes(*bytes))), 4)
            }
            Type::VeryLong => {
                let Some(bytes) = rest.first_chunk() else { return self.short() };
                (Typed::Whole(i64::from_le_bytes(*bytes)), 8)
            }
            Type::Chunk => {
                let Some(length) = rest.first().map(|length| usize::from(*length)) else {
                    return self.short();
                };
                if rest.len() <= length {
                    return self.short();
                }
                (Typed::Chunk, 1 + length)
            }
            Type::Impossible => {
                let what = format!("group code {code}, which no drawing has, stands");
                return self.damaged(what, Position::Byte(self.before + self.start as u64));
            }
        };
        if let Typed::Whole(value) = typed
            && is_absurd(code, value, wide)
        {
            let what = format!("{value} for group {code}");
            return self.damaged(what, Position::Byte(self.before + self.start as u64));
        }
        self.code = i32::from(code);
        self.pair = self.start;
        (self.typed, self.value) = (typed, value);
        self.start += head + used;
        Step::Pair
    }

    /// The bytes at hand hold no whole pair.
    #[cold]
    fn short(&mut self) -> Step {
        if !self.drained {
            return Step::Short;
        }
        self.start = self.end;
        self.ending = Some(Ending::Source);
        Step::Over
    }

    #[cold]
    pub(super) fn resume_binary(&mut self, wide: bool, in_header: bool) -> Option<Resumed> {
        // The pair before may have swallowed the beginning of the next.
        self.start = (self.pair + 1).min(self.end);
        loop {
            let bytes = &self.buffer[self.start..self.end];
            let (place, found) = next_place(bytes, wide, in_header);
            self.start += place;
            self.pair = self.start;
            if let Some((code, word)) = found {
                let start = self.start + if wide { 2 } else { 1 };
                (self.code, self.typed) = (code, Typed::Text);
                self.value = start..start + word;
                self.start += (start - self.start) + word + 1;
                self.held = true;
                return Some(Resumed { section: None });
            }
            if self.drained {
                self.start = self.end;
                self.ending = Some(Ending::Source);
                return None;
            }
            self.fill();
            if self.ending.is_some() {
                return None;
            }
        }
    }
}

/// Where the code 0 is followed by a name, or 9 in the header by that of a variable: the place, the code and the
/// length of the name. Without one, up to where the bytes need not be looked at again.
fn next_place(bytes: &[u8], wide: bool, in_header: bool) -> (usize, Option<(i32, usize)>) {
    /// With the shortest names, such as ARC, letters that are codes and zeros are taken for names no more.
    const SHORTEST: usize = 3;
    const LONGEST: usize = 64;
    let head = if wide { 2 } else { 1 };
    for place in 0..bytes.len() {
        let code = match bytes[place] {
            0 => 0,
            9 if in_header => 9,
            _ => continue,
        };
        if wide && bytes.get(place + 1).is_some_and(|high| *high != 0) {
            continue;
        }
        let rest = bytes.get(place + head..).unwrap_or_default();
        let Some(length) = rest.iter().take(LONGEST + 1).position(|byte| *byte == 0) else {
            if rest.len() <= LONGEST {
                // The name may go on behind these bytes.
                return (place, None);
            }
            continue;
        };
        let word = &rest[..length];
        let named = match code {
            0 => is_plain_name(word),
            _ => word.strip_prefix(b"$").is_some_and(is_plain_name),
        };
        if length >= SHORTEST && named {
            return (place, Some((code, length)));
        }
    }
    (bytes.len(), None)
}

/// A whole number that no drawing holds. Where a byte is lost, the codes of one byte do not tell it: a number takes the next
/// code for its high byte, and a name that lost its code 0 is taken for codes and numbers.
#[inline]
fn is_absurd(code: u16, value: i64, wide: bool) -> bool {
    /// Visibility, colours, and flags of 0 or 1: colours go up to 257.
    const SMALL: i64 = 1000;
    /// Drawings with codes of one byte hold no such group at all, but for copies of newer ones.
    const HIGH_BYTE: i64 = 1 << 24;
    let letters = || value as u64 >> 16 == 0 && value.to_le_bytes()[..2].iter().all(u8::is_ascii_uppercase);
    match code {
        60..=67 if value.abs() > SMALL => true,
        65..=79 => !wide && letters(),
        90..=99 => !wide && value.abs() >= HIGH_BYTE,
        _ => false,
    }
}

/// Texts of drawings hold no control characters: they are written as `^J` and the like.
#[inline]
fn is_text(bytes: &[u8]) -> bool {
    bytes.iter().all(|byte| *byte >= b' ' || matches!(byte, b'\t' | b'\n' | b'\r'))
}
