//! How far a figure may be off.

use std::collections::BTreeMap;
use std::str::FromStr;

use super::alike::{by_heading, not_compared};
use crate::finding::nearest;
use crate::schedule::{Column, ColumnKey, Quantity};
use crate::unit::Units;

/// The share of the expected value that a figure may be off where nothing else is said: what half a unit in the last of
/// three printed digits is at the most.
pub const DEFAULT_WITHIN: f64 = 0.005;

/// One statement of how far figures may be off: `0.5%`, `area=0.1%`, `principal_angle=0.05`, `area_cm2=0.5`.
#[derive(Clone, Debug, PartialEq)]
pub struct Tolerance {
    /// `None` for all.
    column: Option<ColumnKey>,
    amount: Amount,
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Amount {
    /// Share of the expected value.
    Share(f64),
    /// In the unit of the column as the heading has it, or in powers of this one.
    Absolute(f64, Option<Units>),
}

impl FromStr for Tolerance {
    type Err = String;

    fn from_str(text: &str) -> Result<Tolerance, String> {
        let Some((name, stated)) = text.split_once('=') else {
            return match amount(text)? {
                amount @ Amount::Share(_) => Ok(Tolerance { column: None, amount }),
                Amount::Absolute(..) => Err(format!(
                    "a number without % is in the unit of one column: write {0}% for all, or COLUMN={0}",
                    text.trim()
                )),
            };
        };
        let name = name.trim();
        let (column, unit) = named(name)?;
        let amount = match amount(stated)? {
            Amount::Absolute(value, _) => Amount::Absolute(value, unit),
            share => share,
        };
        Ok(Tolerance { column: Some(column.key), amount })
    }
}

/// The column of a key or a heading, and the unit that the heading names.
fn named(name: &str) -> Result<(&'static Column, Option<Units>), String> {
    let by_key = ColumnKey::from_name(name).map(|key| (key.column(), None));
    let found = by_key.or_else(|| by_heading(name).map(|(column, unit)| (column, Some(unit))));
    let Some((column, unit)) = found else {
        let meant = nearest(name, Column::ALL.iter().map(|c| c.key.name()));
        let hint = meant.map_or("use the names of the schedule's columns, such as area".to_owned(), |m| {
            format!("perhaps {m} is meant")
        });
        return Err(format!("there is no column “{}”: {hint}", name.escape_debug()));
    };
    if let Some(why) = not_compared(column.key) {
        return Err(format!("{} is not compared: {why}", column.key));
    }
    match column.quantity {
        Quantity::Text | Quantity::Count => {
            Err(format!("{} is compared exactly: leave its tolerance out", column.key))
        }
        _ => Ok((column, unit)),
    }
}

fn amount(text: &str) -> Result<Amount, String> {
    let text = text.trim();
    let (number, per_cent) = match text.strip_suffix('%') {
        Some(number) => (number.trim_end(), true),
        None => (text, false),
    };
    match number.parse::<f64>() {
        Ok(value) if value.is_finite() && value >= 0.0 => {
            Ok(if per_cent { Amount::Share(value / 100.0) } else { Amount::Absolute(value, None) })
        }
        _ => Err("use a number of 0 or more, such as 0.5%, area=0.1% or principal_angle=0.05".to_owned()),
    }
}

/// How far the figures of each column may be off.
#[derive(Clone, Debug, PartialEq)]
pub struct Within {
    general: f64,
    columns: BTreeMap<ColumnKey, OfColumn>,
}

#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct OfColumn {
    share: Option<f64>,
    absolute: Option<(f64, Option<Units>)>,
}

impl Default for Within {
    /// [`DEFAULT_WITHIN`] for all columns.
    fn default() -> Within {
        Within { general: DEFAULT_WITHIN, columns: BTreeMap::new() }
    }
}

impl Within {
    /// All that was stated; of two statements of the same kind for the same column the last one counts.
    pub fn new(stated: &[Tolerance]) -> Within {
        Within::with_default(DEFAULT_WITHIN, stated)
    }

    /// The same with another share for all columns of which nothing is stated.
    pub fn with_default(general: f64, stated: &[Tolerance]) -> Within {
        let mut within = Within { general, columns: BTreeMap::new() };
        for tolerance in stated {
            match (tolerance.column, tolerance.amount) {
                (None, Amount::Share(share)) => within.general = share,
                // What has no column is a share.
                (None, Amount::Absolute(..)) => {}
                (Some(key), Amount::Share(share)) => {
                    within.columns.entry(key).or_default().share = Some(share);
                }
                (Some(key), Amount::Absolute(value, unit)) => {
                    within.columns.entry(key).or_default().absolute = Some((value, unit));
                }
            }
        }
        within
    }

    /// By how much a figure may differ from the expected one, in the column's unit with lengths in `unit`. The column's
    /// own tolerances take the place of the general one; where it has a share and an absolute one, the larger counts.
    /// `None` where a share alone is stated and 0 is expected.
    pub fn allowed(&self, column: &Column, unit: Units, expected: f64) -> Option<f64> {
        let own = self.columns.get(&column.key).copied();
        let OfColumn { share, absolute } =
            own.unwrap_or(OfColumn { share: Some(self.general), absolute: None });
        let share = share.filter(|_| expected != 0.0).map(|share| share * expected.abs());
        let absolute = absolute.map(|(value, of)| value * column.quantity.factor(of.unwrap_or(unit), unit));
        match (share, absolute) {
            (Some(a), Some(b)) => Some(a.max(b)),
            (share, absolute) => share.or(absolute),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn within(stated: &[&str]) -> Within {
        let stated: Vec<Tolerance> = stated.iter().map(|text| text.parse().expect("a tolerance")).collect();
        Within::new(&stated)
    }

    fn allowed(within: &Within, heading: &str, expected: f64) -> Option<f64> {
        let (column, unit) = by_heading(heading).expect("a column");
        within.allowed(column, unit, expected)
    }

    #[test]
    fn shares_and_amounts() {
        assert_eq!(allowed(&within(&[]), "area_mm2", -200.0), Some(1.0));
        assert_eq!(allowed(&within(&["2%"]), "area_mm2", 200.0), Some(4.0));
        let stated = within(&["2%", "area=1 %", "principal_angle=0.25"]);
        assert_eq!(allowed(&stated, "area_mm2", 200.0), Some(2.0));
        assert_eq!(allowed(&stated, "perimeter_mm", 200.0), Some(4.0));
        assert_eq!(allowed(&stated, "principal_angle_deg", 0.0), Some(0.25));
        assert_eq!(allowed(&stated, "principal_angle_deg", 80.0), Some(0.25));
        assert_eq!(allowed(&stated, "centroid_x_mm", 0.0), None);
        // The larger of a column's own two counts.
        let both = within(&["area=1%", "area=3"]);
        assert_eq!(allowed(&both, "area_mm2", 200.0), Some(3.0));
        assert_eq!(allowed(&both, "area_mm2", 400.0), Some(4.0));
        // Another share where nothing is stated.
        let stated = Within::with_default(0.1, &["perimeter=1%".parse().expect("a tolerance")]);
        assert_eq!(allowed(&stated, "area_mm2", 200.0), Some(20.0));
        assert_eq!(allowed(&stated, "perimeter_mm", 200.0), Some(2.0));
        // A heading's unit is kept: 0.5 cm² are 50 mm².
        assert_eq!(allowed(&within(&["area_cm2=0.5"]), "area_mm2", 200.0), Some(50.0));
        assert_eq!(allowed(&within(&["area=0.5"]), "area_mm2", 200.0), Some(0.5));
        assert_eq!(allowed(&within(&["1%", "3%"]), "area_mm2", 200.0), Some(6.0));
    }

    #[test]
    fn what_can_not_be_meant() {
        for (text, part) in [
            ("0.5", "0.5%"),
            ("area=-1%", "0 or more"),
            ("nan%", "0 or more"),
            ("area=1e999", "0 or more"),
            ("aera=1%", "perhaps area is meant"),
            ("parts=1", "exactly"),
            ("status=1%", "exactly"),
            ("strip_check=1%", "rounding"),
            ("%", "0 or more"),
        ] {
            let messages = text.parse::<Tolerance>().expect_err(text);
            assert!(messages.contains(part), "{text}: {messages}");
        }
    }
}
