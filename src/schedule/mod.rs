//! The schedule: one row for each section.

mod cell;
mod choice;
mod column;
mod columns;
mod csv_reader;
mod csv_writer;
mod format;
#[cfg(feature = "json")]
mod json;
mod number;
mod pieces;
mod row;
mod shown;
mod table;
mod table_file;
mod totals;
#[cfg(feature = "workbook")]
mod workbook;
#[cfg(feature = "workbook")]
mod workbook_parts;
#[cfg(feature = "workbook")]
mod workbook_reader;
mod writer;

pub use choice::{ColumnChoice, ColumnChoiceError};
pub(crate) use column::keys;
pub use column::{Column, ColumnKey, Group, Quantity, Value};
pub(crate) use csv_reader::TextRows;
pub(crate) use csv_writer::{as_given, harmless, write_table};
pub use format::{Format, UnknownFormat};
#[cfg(feature = "ledger")]
pub(crate) use json::{
    StoredRow, messages_to_store, stored_messages, stored_row, stored_texts, texts_to_store,
};
pub(crate) use number::is_rounding;
pub use number::{Digits, UnknownDigits};
pub use pieces::{
    PIECE_COLUMNS, PieceColumn, PieceRow, PieceTable, cells as piece_cells, write as write_pieces,
};
#[cfg(feature = "library")]
pub(crate) use row::settled_figures;
pub use row::{Row, exact_figures};
pub(crate) use shown::{filled, pushed_right, shown, width};
pub(crate) use table_file::csv_of;
pub use totals::Totals;
pub use writer::{Schedule, write, write_csv};

use crate::drawing::LengthUnit;
use crate::finding::{Advice, Code};
use crate::unit::{MassUnit, Units};
use crate::words::{UnknownWord, chosen};
use std::str::FromStr;

/// The caution that goes with every figure.
pub const CAUTION: &str = "All figures are geometry of the drawing as drawn. Whether a section is fit for its purpose is \
                           decided by the codes that apply where it is built and by a licensed engineer.";

/// What goes with torsion, warping and shear constants beside it.
pub const FIELD_CAUTION: &str = "Torsion, warping and shear constants are those of elastic theory for a straight bar with the \
                                 same section all along. They say nothing about yielding, buckling, welds or the places where \
                                 loads and supports act.";

/// How a schedule is written.
#[derive(Clone, Copy, Debug)]
#[non_exhaustive]
pub struct Style {
    /// Unit of length of all figures.
    pub unit: LengthUnit,
    /// Unit of masses and masses per length.
    pub mass_unit: MassUnit,
    /// Digits of all figures.
    pub digits: Digits,
    /// The columns of [`Group::Label`] follow those of every schedule.
    pub labels: bool,
    /// Those of [`Group::Plate`] follow.
    pub plates: bool,
    /// Those of [`Group::Stated`] follow.
    pub stated: bool,
    /// Those of [`Group::Field`] follow.
    pub field: bool,
    /// The columns that are written, of those; `None` for all.
    pub choice: Option<ColumnChoice>,
    /// What stands between the whole and its decimals in CSV.
    pub decimal: DecimalMark,
    /// What to try next, in the words of whoever writes the schedule.
    pub advice: Advice,
}

/// What stands before the decimals of a number in CSV, and between its cells.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum DecimalMark {
    /// `1.5`, with commas between cells.
    #[default]
    Point,
    /// `1,5`, with semicolons between cells and a byte order mark before all, as spreadsheets of most of Europe want it.
    Comma,
}

impl DecimalMark {
    /// Each with the word for it.
    pub const WORDS: [(&'static str, DecimalMark); 2] =
        [("point", DecimalMark::Point), ("comma", DecimalMark::Comma)];
}

impl FromStr for DecimalMark {
    type Err = UnknownWord;

    /// One of its words, in any letter case.
    fn from_str(word: &str) -> Result<DecimalMark, UnknownWord> {
        chosen(word, &DecimalMark::WORDS)
    }
}

impl Style {
    /// The default style with what `change` sets.
    pub fn with(change: impl FnOnce(&mut Style)) -> Style {
        let mut style = Style::default();
        change(&mut style);
        style
    }

    /// The units of all figures.
    pub fn units(self) -> Units {
        Units::of(self.unit, self.mass_unit)
    }

    /// The columns of a schedule in this style, in their order.
    pub fn columns(self) -> impl Iterator<Item = &'static Column> {
        Column::ALL.iter().filter(move |column| match column.group {
            Group::Common => true,
            Group::Label => self.labels,
            Group::Plate => self.plates,
            Group::Stated => self.stated,
            Group::Field => self.field,
        })
    }

    /// The columns that are written, in their order, each with its place among all [`columns`](Style::columns) of the style. One
    /// that the style does not have is left out.
    pub(crate) fn written(self) -> Vec<(usize, &'static Column)> {
        let all = self.columns().enumerate();
        match self.choice {
            None => all.collect(),
            Some(choice) => {
                let all: Vec<(usize, &'static Column)> = all.collect();
                let of_key = |key: &ColumnKey| all.iter().find(|(_, column)| column.key == *key).copied();
                choice.keys().iter().filter_map(of_key).collect()
            }
        }
    }
}

impl Default for Style {
    /// Millimetres, six digits, the columns of every schedule alone.
    fn default() -> Style {
        let (unit, digits) = (LengthUnit::Millimetre, Digits::default());
        Style {
            unit,
            mass_unit: MassUnit::Kilogram,
            digits,
            labels: false,
            plates: false,
            stated: false,
            field: false,
            choice: None,
            decimal: DecimalMark::Point,
            advice: Code::advice,
        }
    }
}

impl Quantity {
    /// The unit as the end of a column's name: `mm4`, `deg`, `kg_per_m`; `None` for what has no unit.
    pub fn suffix(self, units: impl Into<Units>) -> Option<String> {
        let Units { length: unit, mass } = units.into();
        match self {
            Quantity::Text | Quantity::Count | Quantity::Ratio => None,
            Quantity::Length(1) => Some(unit.symbol().to_owned()),
            Quantity::Length(power) if power < 0 => Some(format!("per_{}{}", unit.symbol(), -power)),
            Quantity::Length(power) => Some(format!("{}{power}", unit.symbol())),
            Quantity::Degrees => Some("deg".to_owned()),
            Quantity::MassPerLength => Some(format!("{mass}_per_{}", mass.per_length())),
            Quantity::Mass => Some(mass.symbol().to_owned()),
        }
    }

    /// The unit as people read it: `mm⁴`, `degrees`, `kg/m`; `None` for what has no unit.
    pub fn unit_text(self, units: impl Into<Units>) -> Option<String> {
        let Units { length, mass } = units.into();
        let symbol = length.symbol();
        match self {
            Quantity::Text | Quantity::Count | Quantity::Ratio => None,
            Quantity::Length(1) => Some(symbol.to_owned()),
            Quantity::Length(2) => Some(format!("{symbol}²")),
            Quantity::Length(3) => Some(format!("{symbol}³")),
            Quantity::Length(4) => Some(format!("{symbol}⁴")),
            Quantity::Length(6) => Some(format!("{symbol}⁶")),
            Quantity::Length(-3) => Some(format!("1/{symbol}³")),
            Quantity::Length(power) => Some(format!("{symbol}^{power}")),
            Quantity::Degrees => Some("degrees".to_owned()),
            Quantity::MassPerLength => Some(format!("{mass}/{}", mass.per_length())),
            Quantity::Mass => Some(mass.symbol().to_owned()),
        }
    }

    /// The factor from a figure in `from` to one in `to`.
    pub fn factor(self, from: impl Into<Units>, to: impl Into<Units>) -> f64 {
        let (from, to) = (from.into(), to.into());
        let mass = from.mass.kilograms() / to.mass.kilograms();
        match self {
            Quantity::Length(power) if from.length != to.length => {
                (from.length.millimetres() / to.length.millimetres()).powi(power)
            }
            Quantity::Mass if from.mass != to.mass => mass,
            Quantity::MassPerLength if from.mass != to.mass => {
                mass * to.mass.per_length().millimetres() / from.mass.per_length().millimetres()
            }
            _ => 1.0,
        }
    }
}

impl Column {
    /// The column's name with its unit: `second_moment_x_mm4`.
    pub fn heading(&self, units: impl Into<Units>) -> String {
        heading(self.key.name(), self.quantity, units)
    }
}

/// A column's name with its unit.
fn heading(key: &str, quantity: Quantity, units: impl Into<Units>) -> String {
    match quantity.suffix(units) {
        Some(suffix) => format!("{key}_{suffix}"),
        None => key.to_owned(),
    }
}
