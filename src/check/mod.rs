//! Sections held against expected values: a library of shapes against the tables that it was drawn from.
//!
//! [`Expected`] is a table with any of the schedule's columns, [`Within`] says how far a figure may be off, and
//! [`compare`] gives a [`Figure`] for each cell that something is expected of.

mod compare;
mod expected;
mod names;
mod table;
mod table_error;
mod within;

pub(crate) use compare::between_axes;
pub use compare::{Comparison, Figure, Found, compare};
pub use expected::{Expected, PEOPLES_COLUMNS};
pub(crate) use expected::{MOST_COLUMNS, first_of, miscounted, text_of, unknown, without_commas};
pub use table::{CheckColumn, write_csv};
pub use table_error::TableError;
pub use within::{DEFAULT_WITHIN, Tolerance, Within};

use crate::schedule::{Column, ColumnKey};
use crate::unit::Units;

/// Columns of the schedule that are not held against anything, and why.
const NOT_COMPARED: &[(ColumnKey, &str)] = &[
    (ColumnKey::Findings, "its words may change from one version to the next"),
    (ColumnKey::StripCheck, "it is the rounding of this run alone"),
];

/// Why a column is not held against anything; `None` where it is.
pub(crate) fn not_compared(key: ColumnKey) -> Option<&'static str> {
    NOT_COMPARED.iter().find(|(not, _)| *not == key).map(|(_, why)| *why)
}

/// The column with this heading, in any letter case, and the units that the heading names; millimetres and kilograms where
/// it names none.
pub(crate) fn by_heading(heading: &str) -> Option<(&'static Column, Units)> {
    Column::ALL.iter().find_map(|column| {
        let named = Units::OF_HEADINGS
            .into_iter()
            .find(|unit| column.heading(*unit).eq_ignore_ascii_case(heading))?;
        Some((column, named))
    })
}
