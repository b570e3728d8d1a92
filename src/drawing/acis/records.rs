//! From the text of a body to its records: a name, references to others, numbers and words, up to `#`.

use std::ops::Range;

use super::Problem;
use crate::drawing::number;
use crate::drawing::plane::Point3;

/// From this version on the text begins with three lines that are no records; before it with one. (From memory.)
const THREE_LINES: i64 = 200;

/// From this version on a record has a number of its own and a reference to its history after the attributes.
const NUMBERED: i64 = 700;

/// Versions of which anything is known.
const KNOWN: Range<i64> = 100..30_000;

/// The records of one body.
pub(super) struct Records<'t> {
    version: i64,
    tokens: Vec<&'t [u8]>,
    list: Vec<Range<usize>>,
}

/// One record.
#[derive(Clone, Copy)]
pub(super) struct Record<'r> {
    /// Its place among the records, from 0: what references name.
    pub index: usize,
    /// Its kind, such as `plane-surface`.
    pub name: &'r [u8],
    fields: &'r [&'r [u8]],
    count: usize,
}

impl<'t> Records<'t> {
    /// Takes the text apart.
    pub fn of(text: &'t [u8]) -> Result<Records<'t>, Problem> {
        let first_line = text.split(|byte| *byte == b'\n').next().unwrap_or_default();
        let version = tokens(first_line).next().and_then(number::whole).unwrap_or(0);
        if !KNOWN.contains(&version) {
            let shown = String::from_utf8_lossy(&first_line[..first_line.len().min(40)]);
            return Err(Problem::Damaged(format!(
                "the text of its body begins with “{}”, which is no known version",
                shown.escape_debug()
            )));
        }
        let header = if version < THREE_LINES { 1 } else { 3 };
        let mut rest = text;
        for _ in 0..header {
            let end = rest.iter().position(|byte| *byte == b'\n').map_or(rest.len(), |end| end + 1);
            rest = &rest[end..];
        }
        let mut records = Records { version, tokens: Vec::new(), list: Vec::new() };
        records.fill(rest)?;
        Ok(records)
    }

    fn fill(&mut self, text: &'t [u8]) -> Result<(), Problem> {
        let mut start = 0;
        for token in tokens(text) {
            if token == b"#" {
                let index = self.list.len();
                let mut first = start;
                if let Some(number) = self.tokens.get(start).and_then(|token| sequence(token)) {
                    if number != index as i64 {
                        let message = format!("record {index} of its body is numbered {number}");
                        return Err(Problem::Damaged(message));
                    }
                    first += 1;
                }
                if first >= self.tokens.len() {
                    return Err(Problem::Damaged(format!("record {index} of its body is empty")));
                }
                self.list.push(first..self.tokens.len());
                start = self.tokens.len();
            } else if start == self.tokens.len() && is_end(token) {
                return Ok(());
            } else {
                self.tokens.push(token);
            }
        }
        if start < self.tokens.len() {
            let message = format!("the text of its body ends within record {}", self.list.len());
            return Err(Problem::Damaged(message));
        }
        Ok(())
    }

    /// All records, in order.
    pub fn iter(&self) -> impl Iterator<Item = Record<'_>> {
        (0..self.list.len()).filter_map(|index| self.get(index))
    }

    /// How many.
    pub fn count(&self) -> usize {
        self.list.len()
    }

    /// The record that references name by `index`.
    pub fn get(&self, index: usize) -> Option<Record<'_>> {
        let tokens = self.tokens.get(self.list.get(index)?.clone())?;
        let (name, mut fields) = tokens.split_first()?;
        // The attributes; then, in newer versions, a number and, but for transforms, a reference to the history.
        fields = fields.get(1..).unwrap_or_default();
        if self.version >= NUMBERED {
            fields = fields.get(1..).unwrap_or_default();
            if fields.first().is_some_and(|field| field.starts_with(b"$")) {
                fields = &fields[1..];
            }
        }
        Some(Record { index, name, fields, count: self.list.len() })
    }

    /// The first reference of `record` to one of a kind.
    pub fn first(&self, record: Record<'_>, kind: &str) -> Result<Option<Record<'_>>, Problem> {
        for i in 0..record.fields.len() {
            if record.is_reference(i)
                && let Some(target) = record.reference(i)?
                && let Some(found) = self.get(target)
                && found.is(kind)
            {
                return Ok(Some(found));
            }
        }
        Ok(None)
    }

    /// The record that field `i` refers to, which must be of a kind; `None` for the reference to nothing.
    pub fn target(&self, record: Record<'_>, i: usize, kind: &str) -> Result<Option<Record<'_>>, Problem> {
        let Some(target) = record.reference(i)? else { return Ok(None) };
        match self.get(target) {
            Some(found) if found.is(kind) => Ok(Some(found)),
            _ => Err(record.damaged(&format!("${target} is no {kind}"))),
        }
    }
}

impl Record<'_> {
    /// It is of this kind, or of one derived from it (`tedge-edge` is an edge).
    pub fn is(&self, kind: &str) -> bool {
        self.name.strip_suffix(kind.as_bytes()).is_some_and(|rest| rest.is_empty() || rest.ends_with(b"-"))
    }

    pub fn shown(&self) -> String {
        let name = &self.name[..self.name.len().min(40)];
        format!("{} (record {})", String::from_utf8_lossy(name).escape_debug(), self.index)
    }

    /// It is not as it must be.
    pub fn damaged(&self, what: &str) -> Problem {
        Problem::Damaged(format!("{what} in the {} of its body", self.shown()))
    }

    /// It holds what is not read.
    pub fn not_read(&self, what: &str) -> Problem {
        Problem::NotRead(format!("{what}: {} of its body", self.shown()))
    }

    /// Field `i` as it is written; empty past the end.
    pub fn word(&self, i: usize) -> &[u8] {
        self.fields.get(i).copied().unwrap_or_default()
    }

    pub fn len(&self) -> usize {
        self.fields.len()
    }

    pub fn is_reference(&self, i: usize) -> bool {
        self.word(i).starts_with(b"$")
    }

    /// The record that field `i` refers to; `None` for the reference to nothing.
    pub fn reference(&self, i: usize) -> Result<Option<usize>, Problem> {
        let number = self.word(i).strip_prefix(b"$").and_then(number::whole);
        match number {
            Some(-1) => Ok(None),
            Some(index) if (0..self.count as i64).contains(&index) => Ok(Some(index as usize)),
            Some(index) => Err(self.damaged(&format!("${index} refers to no record"))),
            None => Err(self.damaged(&format!("“{}” where a reference should stand", self.quoted(i)))),
        }
    }

    pub fn real(&self, i: usize) -> Result<f64, Problem> {
        number::real(self.word(i))
            .ok_or_else(|| self.damaged(&format!("“{}” where a number should stand", self.quoted(i))))
    }

    pub fn whole(&self, i: usize) -> Result<i64, Problem> {
        number::whole(self.word(i))
            .ok_or_else(|| self.damaged(&format!("“{}” where a whole number should stand", self.quoted(i))))
    }

    /// Three numbers from field `i` on.
    pub fn point(&self, i: usize) -> Result<Point3, Problem> {
        Ok([self.real(i)?, self.real(i + 1)?, self.real(i + 2)?])
    }

    /// Whether field `i` says "reversed"; written as 1 and 0 in old versions (from memory).
    pub fn is_reversed(&self, i: usize) -> Result<bool, Problem> {
        match self.word(i) {
            b"forward" | b"0" => Ok(false),
            b"reversed" | b"1" => Ok(true),
            _ => Err(self.damaged(&format!("“{}” where a sense should stand", self.quoted(i)))),
        }
    }

    fn quoted(&self, i: usize) -> String {
        let word = self.word(i);
        String::from_utf8_lossy(&word[..word.len().min(40)]).escape_debug().to_string()
    }
}

/// What ends the records.
fn is_end(token: &[u8]) -> bool {
    token.starts_with(b"End-of-") || token.starts_with(b"Begin-of-")
}

/// The number that some writers put before a record, with a minus sign.
fn sequence(token: &[u8]) -> Option<i64> {
    token.strip_prefix(b"-").filter(|digits| digits.iter().all(u8::is_ascii_digit)).and_then(number::whole)
}

/// What stands between blanks. Of a text of given length (`@7 unknown`) only the length is given, so that blanks and
/// marks within it mean nothing.
fn tokens(text: &[u8]) -> impl Iterator<Item = &[u8]> {
    let mut rest = text;
    std::iter::from_fn(move || {
        rest = rest.trim_ascii_start();
        if rest.is_empty() {
            return None;
        }
        let end = rest.iter().position(u8::is_ascii_whitespace).unwrap_or(rest.len());
        let (token, after) = rest.split_at(end);
        rest = after;
        if let Some(length) = token.strip_prefix(b"@").and_then(number::whole)
            && let Some(past) =
                usize::try_from(length).ok().and_then(|length| rest.get(length.checked_add(1)?..))
            && past.first().is_none_or(u8::is_ascii_whitespace)
        {
            rest = past;
        }
        Some(token)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn problem(text: &str) -> String {
        match Records::of(text.as_bytes()) {
            Ok(_) => String::new(),
            Err(Problem::Damaged(message) | Problem::NotRead(message)) => message,
        }
    }

    #[test]
    fn texts_of_given_length_hide_what_is_in_them() {
        let found: Vec<&[u8]> = tokens(b"name @9 a # $7 @2 12 #").collect();
        assert_eq!(found, [&b"name"[..], b"@9", b"12", b"#"]);
        // A length that fits nothing is a word like any other.
        let found: Vec<&[u8]> = tokens(b"@3 abcd @99 e").collect();
        assert_eq!(found, [&b"@3"[..], b"abcd", b"@99", b"e"]);
    }

    #[test]
    fn records_with_and_without_numbers() {
        for text in [
            "106 2 1 0\nbody $-1 $1 $-1 $-1 #\nlump $-1 $-1 $-1 $0\n#\n",
            "400 0 1 0\nmaker\n1 1e-6 1e-10\n-0 body $-1 $1 $-1 $-1 #\n-1 lump $-1 $-1 $-1 $0 #\nEnd-of-ACIS-data x",
            "700 0 1 0\nmaker\n1 1e-6 1e-10\nbody $-1 -1 $-1 $1 $-1 $-1 #\nlump $-1 -1 $-1 $-1 $-1 $0 #\n",
        ] {
            let records = Records::of(text.as_bytes()).ok().unwrap();
            assert_eq!(records.count(), 2, "{text}");
            let (body, lump) = (records.get(0).unwrap(), records.get(1).unwrap());
            assert_eq!(body.reference(0), Ok(Some(1)));
            assert_eq!(lump.reference(2), Ok(Some(0)));
            assert!(lump.reference(3).is_err());
        }
    }

    #[test]
    fn damage_is_named() {
        assert!(problem("7 0 1 0\n").contains("no known version"));
        assert!(problem("400 0\nm\n1\n-1 body $-1 #").contains("record 0 of its body is numbered 1"));
        assert!(problem("400 0\nm\n1\nbody $-1 #\n#").contains("record 1 of its body is empty"));
        assert!(problem("400 0\nm\n1\nbody $-1").contains("ends within record 0"));
        let text = b"400 0\nm\n1\nbody $-1 $7 x $-2 #";
        let records = Records::of(text).ok().unwrap();
        let body = records.get(0).unwrap();
        for i in 0..4 {
            assert!(
                matches!(body.reference(i), Err(Problem::Damaged(text)) if text.contains("body (record 0)"))
            );
        }
        assert!(body.real(1).is_err() && body.is_reversed(1).is_err() && body.point(1).is_err());
    }
}
