//! A cell as every format writes it: converted and rounded once, so that all of them have the same figures.

#[cfg(feature = "ledger")]
use std::fmt::Write as _;

use super::{Quantity, Style, Value};
use crate::drawing::LengthUnit;

/// A cell of a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Part<'a> {
    /// Not known.
    Empty,
    /// Words.
    Text(&'a str),
    /// A number or count, in digits.
    Number(&'a str),
}

/// The cells of a row, in one piece of memory: there are many rows.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Cells {
    text: String,
    /// Where each ends, and what it is.
    ends: Vec<(usize, CellKind)>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum CellKind {
    Empty,
    Text,
    Number,
}

impl Cells {
    /// No cells yet, with room for so many and so many bytes of text.
    pub(super) fn with_room(cells: usize, bytes: usize) -> Cells {
        Cells { text: String::with_capacity(bytes), ends: Vec::with_capacity(cells) }
    }

    /// Adds a value in the unit and with the digits of the schedule; `unit` is that of the drawing.
    pub(super) fn push_value(&mut self, value: Value, quantity: Quantity, unit: LengthUnit, style: Style) {
        let kind = match value {
            Value::Empty => CellKind::Empty,
            Value::Text(text) if text.is_empty() => CellKind::Empty,
            Value::Text(text) => {
                self.text.push_str(&text);
                CellKind::Text
            }
            Value::Count(count) => {
                self.text.push_str(&count.to_string());
                CellKind::Number
            }
            Value::Number { value, scale, place_in } => {
                let factor = quantity.factor(unit, style.units());
                let size = place_in.map(|size| size * factor);
                style.digits.push(value * factor, scale * factor, size, &mut self.text);
                CellKind::Number
            }
        };
        self.ends.push((self.text.len(), kind));
    }

    pub(super) fn push(&mut self, part: Part) {
        let (text, kind) = match part {
            Part::Empty => ("", CellKind::Empty),
            Part::Text(text) => (text, CellKind::Text),
            Part::Number(figure) => (figure, CellKind::Number),
        };
        self.text.push_str(text);
        self.ends.push((self.text.len(), kind));
    }

    pub(super) fn get(&self, at: usize) -> Option<Part<'_>> {
        let (end, kind) = *self.ends.get(at)?;
        let begin = at.checked_sub(1).and_then(|before| self.ends.get(before)).map_or(0, |(end, _)| *end);
        let text = self.text.get(begin..end)?;
        Some(match kind {
            CellKind::Empty => Part::Empty,
            CellKind::Text => Part::Text(text),
            CellKind::Number => Part::Number(text),
        })
    }

    /// Bytes that they take up in memory.
    pub(super) fn weight(&self) -> usize {
        self.text.len() + self.ends.len() * size_of::<(usize, CellKind)>()
    }
}

/// Cells as text, for a ledger.
#[cfg(feature = "ledger")]
impl Cells {
    pub(super) fn iter(&self) -> impl Iterator<Item = Part<'_>> {
        (0..self.ends.len()).map_while(|at| self.get(at))
    }

    /// A word, and behind it the cells from `first` on as text, to be kept: `-` for an empty one, else `t` or `n`, the bytes
    /// of the text, a colon and the text.
    pub(super) fn stored(&self, word: &str, first: usize) -> String {
        let mut stored = String::with_capacity(word.len() + self.text.len() + 4 * self.ends.len());
        stored.push_str(word);
        for part in self.iter().skip(first) {
            let (letter, text) = match part {
                Part::Empty => {
                    stored.push('-');
                    continue;
                }
                Part::Text(text) => ('t', text),
                Part::Number(figure) => ('n', figure),
            };
            stored.push(letter);
            // Writing to a string can't fail.
            let _ = write!(stored, "{}:", text.len());
            stored.push_str(text);
        }
        stored
    }

    /// The cells that were stored, behind those that are there; `None` for other text.
    pub(super) fn push_stored(&mut self, stored: &str) -> Option<()> {
        let bytes = stored.as_bytes();
        let mut at = 0;
        while let Some(letter) = bytes.get(at) {
            at += 1;
            if *letter == b'-' {
                self.push(Part::Empty);
                continue;
            }
            let mut length: usize = 0;
            let digits = at;
            while let Some(digit @ b'0'..=b'9') = bytes.get(at) {
                length = length.checked_mul(10)?.checked_add(usize::from(digit - b'0'))?;
                at += 1;
            }
            if at == digits || bytes.get(at) != Some(&b':') {
                return None;
            }
            let end = (at + 1).checked_add(length)?;
            let text = stored.get(at + 1..end)?;
            self.push(match letter {
                b't' => Part::Text(text),
                b'n' => Part::Number(text),
                _ => return None,
            });
            at = end;
        }
        Some(())
    }
}

#[cfg(all(test, feature = "ledger"))]
mod tests {
    use super::*;

    #[test]
    fn cells_come_back_as_they_were() {
        let parts =
            [Part::Text("a.dxf"), Part::Empty, Part::Number("-1.5e-7"), Part::Text("-3:t é\n"), Part::Empty];
        let mut cells = Cells::default();
        parts.iter().for_each(|part| cells.push(*part));
        assert_eq!(cells.iter().collect::<Vec<_>>(), parts);
        assert_eq!((cells.get(2), cells.get(5)), (Some(Part::Number("-1.5e-7")), None));
        let mut read = Cells::default();
        assert_eq!(read.push_stored(&cells.stored("", 0)), Some(()));
        assert_eq!(read, cells);
        assert_eq!(cells.stored("ok", 1), format!("ok{}", &cells.stored("", 0)["t5:a.dxf".len()..]));
        for broken in ["t5:abc", "x1:a", "t:a", "t-1:a", "t1a", "t99999999999999999999:a", "é"] {
            assert_eq!(Cells::default().push_stored(broken), None, "{broken}");
        }
    }
}
