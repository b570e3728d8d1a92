//! Sections held against expected values: a library of shapes against the tables that it was drawn from.
//!
//! [`Expected`] is a table with any of the schedule's columns, [`Within`] says how far a figure may be off, and
//! [`compare`] gives a [`Figure`] for each cell that something is expected of.

mod compare;
mod expected;
mod names;
mod nearest;
mod table;
mod within;

pub(crate) use compare::between_axes;
pub use compare::{Comparison, Figure, Found, compare};
pub use expected::{Expected, PEOPLES_COLUMNS};
pub(crate) use expected::{MOST_COLUMNS, text_of, unknown, without_commas};
pub use table::{CHECK_COLUMNS, cells, write_csv};
pub use within::{DEFAULT_WITHIN, Tolerance, Within};

use crate::drawing::LengthUnit;
use crate::schedule::{Column, Digits, Style};

/// The units that a heading can have.
const UNITS: [LengthUnit; 5] =
    [LengthUnit::Millimetre, LengthUnit::Centimetre, LengthUnit::Metre, LengthUnit::Inch, LengthUnit::Foot];

/// Columns of the schedule that are not held against anything, and why.
pub(crate) const NOT_COMPARED: [(&str, &str); 2] = [
    ("findings", "its words may change from one version to the next"),
    ("strip_check", "it is the rounding of this run alone"),
];

/// Every column that a schedule can have.
fn all_columns() -> impl Iterator<Item = &'static Column> {
    let style = Style {
        unit: LengthUnit::Millimetre,
        digits: Digits::Full,
        labels: true,
        plates: true,
        stated: true,
    };
    style.columns()
}

/// The column with this heading, in any letter case, and the unit of length that the heading names; millimetres where
/// it names none.
pub(crate) fn by_heading(heading: &str) -> Option<(&'static Column, LengthUnit)> {
    all_columns().find_map(|column| {
        let named = UNITS.into_iter().find(|unit| column.heading(*unit).eq_ignore_ascii_case(heading))?;
        Some((column, named))
    })
}
