//! What sections held against a table and two schedules held against each other have alike: the headings that are
//! understood, differences, and how the result is written.

mod headings;
mod lines;

pub use headings::PEOPLES_COLUMNS;
pub(crate) use headings::{
    MOST_COLUMNS, by_heading, first_of, miscounted, not_compared, text_of, unknown, without_commas,
};
pub(crate) use lines::Lines;

use std::io::{self, Write};

use crate::schedule::{Digits, Quantity, harmless, write_table};

/// Digits of differences: what is off, or changed, is seen by the first of them.
pub(crate) const DIFFERENCE: Digits = Digits::rounded::<3>();

/// From one figure to another; of angles the shortest way.
pub(crate) fn between(quantity: Quantity, from: f64, to: f64) -> f64 {
    match quantity {
        Quantity::Degrees => between_axes(from, to),
        _ => to - from,
    }
}

/// From one direction of an axis to another in degrees, the shortest way: in [−90, 90).
fn between_axes(from: f64, to: f64) -> f64 {
    let difference = to - from;
    if difference.abs() < 90.0 { difference } else { (difference + 90.0).rem_euclid(180.0) - 90.0 }
}

/// Writes cells as CSV under headings: numbers as they are, since they begin with signs too, and all else as text that no
/// spreadsheet runs.
///
/// # Errors
/// Those of `out`.
pub(crate) fn write_cells(
    headings: impl Iterator<Item = &'static str>,
    rows: impl Iterator<Item = Vec<String>>,
    out: impl Write,
) -> io::Result<()> {
    let plain = |cell: String| if cell.parse::<f64>().is_ok() { cell } else { harmless(cell) };
    write_table(headings.map(str::to_owned), rows.map(|cells| cells.into_iter().map(plain).collect()), out)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn angles_of_axes() {
        for (from, to, way) in [
            (89.5, -89.0, 1.5),
            (-89.0, 89.5, -1.5),
            (10.0, 12.0, 2.0),
            (0.0, 180.0, 0.0),
            (45.0, 405.0, 0.0),
        ] {
            assert!((between(Quantity::Degrees, from, to) - way).abs() < 1e-12, "{from} {to}");
        }
        assert_eq!(between(Quantity::Length(1), 89.5, -89.0), -178.5);
    }
}
