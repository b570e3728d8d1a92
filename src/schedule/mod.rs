//! The schedule: one row for each section.

mod columns;
mod csv_writer;
mod number;

pub use columns::{COLUMNS, Column, Quantity, Value};
pub use csv_writer::{CsvSchedule, write as write_csv};
pub use number::Digits;

use crate::drawing::LengthUnit;

/// How a schedule is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Style {
    /// Unit of length of all figures.
    pub unit: LengthUnit,
    /// Digits of all figures.
    pub digits: Digits,
}

impl Default for Style {
    /// Millimetres, six digits.
    fn default() -> Style {
        Style { unit: LengthUnit::Millimetre, digits: Digits::default() }
    }
}

impl Quantity {
    /// The unit as the end of a column's name: `mm4`, `deg`, `kg_per_m`; `None` for what has no unit.
    pub fn suffix(self, unit: LengthUnit) -> Option<String> {
        match self {
            Quantity::Text | Quantity::Count | Quantity::Ratio => None,
            Quantity::Length(1) => Some(unit.symbol().to_owned()),
            Quantity::Length(power) => Some(format!("{}{power}", unit.symbol())),
            Quantity::Degrees => Some("deg".to_owned()),
            Quantity::MassPerLength => Some("kg_per_m".to_owned()),
        }
    }

    /// The factor from a figure in `from` to one in `to`.
    pub fn factor(self, from: LengthUnit, to: LengthUnit) -> f64 {
        match self {
            Quantity::Length(power) if from != to => (from.millimetres() / to.millimetres()).powi(power),
            _ => 1.0,
        }
    }
}

impl Column {
    /// The column's name with its unit: `second_moment_x_mm4`.
    pub fn heading(&self, unit: LengthUnit) -> String {
        match self.quantity.suffix(unit) {
            Some(suffix) => format!("{}_{suffix}", self.key),
            None => self.key.to_owned(),
        }
    }
}
