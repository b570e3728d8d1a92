//! The figures of a section in words, with their units and letters, for whoever shows them in another form than the sheet.

use super::results::Figures;
use crate::measure::Measurement;
use crate::schedule::{ColumnKey, Style};

/// A figure of a section as it stands on the sheet.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Figure {
    /// Its column in the schedule.
    pub column: ColumnKey,
    /// What it is, in words.
    pub words: &'static str,
    /// Its value as the schedule writes it; of a place that differs from 0 by rounding alone, 0.
    pub value: String,
    /// Its unit and the power of that; `None` where it has none.
    pub unit: Option<(String, i32)>,
    /// Its letter on the sheet and in the pictures; `None` where it has none, as with the others.
    pub letter: Option<Letter>,
    /// Its letter in EN 1993-1-1.
    pub european: Option<Letter>,
    /// Its letter in the American steel manual.
    pub american: Option<Letter>,
    /// It is the lesser of two elastic moduli about one axis.
    pub is_least: bool,
}

/// A letter, and what stands below it.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub struct Letter {
    /// The letter.
    pub name: &'static str,
    /// What stands below it; empty where nothing does.
    pub below: String,
}

/// The figures of a section that are known, in the order of the schedule; none of a section that was not measured.
pub fn figures(measurement: &Measurement, style: Style) -> Vec<Figure> {
    match measurement.properties() {
        Some(_) => Figures::of(measurement, style).list(),
        None => Vec::new(),
    }
}

/// What the letters of a section mean and where they are from, in words.
pub fn about_letters(measurement: &Measurement, style: Style) -> String {
    Figures::of(measurement, style).notes_text()
}
