//! A cell as every format writes it: converted and rounded once, so that all of them have the same figures.

use super::{Quantity, Style, Value};
use crate::drawing::LengthUnit;

/// A value in the unit and with the digits of the schedule.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Cell {
    /// Not known.
    Empty,
    /// Words, never without a letter.
    Text(String),
    /// A number or count, in digits.
    Number(String),
}

impl Cell {
    /// The cell of a value; `unit` is that of the drawing.
    pub(super) fn of(value: Value, quantity: Quantity, unit: LengthUnit, style: Style) -> Cell {
        match value {
            Value::Empty => Cell::Empty,
            Value::Text(text) if text.is_empty() => Cell::Empty,
            Value::Text(text) => Cell::Text(text),
            Value::Count(count) => Cell::Number(count.to_string()),
            Value::Number { value, scale } => {
                let factor = quantity.factor(unit, style.unit);
                Cell::Number(style.digits.text(value * factor, scale * factor))
            }
        }
    }
}
