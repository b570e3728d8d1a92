//! Figures of a picture as the schedule writes them.

use crate::drawing::LengthUnit;
use crate::measure::Measurement;
use crate::schedule::{ColumnKey, Digits, Quantity, Style, Value};
use crate::sheet::figures::grouped_text;

/// Figures of a measurement as text.
pub(super) struct Words<'a> {
    measurement: &'a Measurement,
    style: &'a Style,
}

impl<'a> Words<'a> {
    pub(super) fn of(measurement: &'a Measurement, style: &'a Style) -> Words<'a> {
        Words { measurement, style }
    }

    pub(super) fn unit(&self) -> LengthUnit {
        self.style.unit
    }

    /// From the drawing's unit to that of the figures.
    pub(super) fn factor(&self) -> f64 {
        Quantity::Length(1).factor(self.measurement.unit, self.style.units())
    }

    /// A column's figure with its unit; `None` where it is not known.
    pub(super) fn column(&self, key: ColumnKey) -> Option<String> {
        self.rounded(key, self.style.digits)
    }

    /// The same with so many digits.
    pub(super) fn rounded(&self, key: ColumnKey, digits: Digits) -> Option<String> {
        let column = key.column();
        match column.value(self.measurement) {
            Value::Empty => None,
            Value::Text(text) => Some(text),
            Value::Count(count) => Some(grouped_text(&count.to_string())),
            number @ Value::Number { .. } => {
                let factor = column.quantity.factor(self.measurement.unit, self.style.units());
                Some(self.with_unit(number.text(factor, digits)?, column.quantity))
            }
        }
    }

    /// A length in drawing units.
    pub(super) fn length(&self, length: f64) -> String {
        self.number(length * self.factor(), 0.0, Quantity::Length(1))
    }

    /// The same without its unit.
    pub(super) fn bare_length(&self, length: f64) -> String {
        grouped_text(&self.style.digits.text(length * self.factor(), 0.0))
    }

    /// An area in drawing units squared.
    pub(super) fn area(&self, area: f64) -> String {
        let factor = Quantity::Length(2).factor(self.measurement.unit, self.style.units());
        self.number(area * factor, 0.0, Quantity::Length(2))
    }

    /// A length in the unit of the figures.
    pub(super) fn stated_length(&self, length: f64) -> String {
        self.number(length, 0.0, Quantity::Length(1))
    }

    fn number(&self, value: f64, scale: f64, quantity: Quantity) -> String {
        self.with_unit(self.style.digits.text(value, scale), quantity)
    }

    fn with_unit(&self, text: String, quantity: Quantity) -> String {
        let text = grouped_text(&text);
        match quantity {
            Quantity::Degrees => format!("{text}°"),
            Quantity::Length(1) => format!("{text} {}", self.unit()),
            Quantity::Length(2) => format!("{text} {}²", self.unit()),
            _ => text,
        }
    }
}
