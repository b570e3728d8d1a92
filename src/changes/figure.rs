//! One cell of a schedule beside the same one of another.

use super::findings::Side;
use super::rows::RowColumn;
use crate::check::{Within, between};
use crate::schedule::Quantity;

/// A column of the former schedule beside the same one of the later, perhaps in another unit.
pub(super) struct Shared<'a> {
    /// Where it stands in the former schedule, and in the later one.
    pub at: [usize; 2],
    pub before: &'a RowColumn,
    pub after: &'a RowColumn,
}

/// By how much two cells differ; `None` in all of it where one of them is empty or they are text.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Difference {
    /// The later figure in the unit of the former.
    pub after: Option<f64>,
    /// Later − former; of angles the shortest way.
    pub difference: Option<f64>,
    /// In per cent of the former figure.
    pub per_cent: Option<f64>,
    /// What would be allowed; also `None` where that is a share and the former figure is 0.
    pub allowed: Option<f64>,
}

impl Shared<'_> {
    /// Whether both columns have their figures in the same unit.
    pub fn same_unit(&self) -> bool {
        self.before.heading == self.after.heading
    }

    /// By how much two cells differ, `None` where that is within the tolerance; an error where one of them should be a
    /// number and is none.
    pub fn differ(&self, before: &str, after: &str, within: &Within) -> Result<Option<Difference>, Side> {
        if before == after && (before.is_empty() || self.same_unit()) {
            return Ok(None);
        }
        let quantity = self.before.column.quantity;
        if before.is_empty() || after.is_empty() || quantity == Quantity::Text {
            return Ok(Some(Difference::default()));
        }
        let number = |cell: &str, factor: f64, side| match cell.parse::<f64>() {
            Ok(number) if (number * factor).is_finite() => Ok(number * factor),
            _ => Err(side),
        };
        let before = number(before, 1.0, Side::Before)?;
        let factor = quantity.factor(self.after.unit, self.before.unit);
        let after = number(after, factor, Side::After)?;
        let difference = between(quantity, before, after);
        let allowed = match quantity {
            Quantity::Count => Some(0.0),
            _ => within.allowed(self.before.column, self.before.unit, before),
        };
        if difference.abs() <= allowed.unwrap_or(0.0) {
            return Ok(None);
        }
        let per_cent = 100.0 * (difference / before.abs());
        Ok(Some(Difference {
            after: Some(after),
            difference: Some(difference).filter(|value| value.is_finite()),
            per_cent: Some(per_cent).filter(|value| value.is_finite()),
            allowed,
        }))
    }
}

#[cfg(test)]
mod tests {
    use super::super::{DEFAULT_WITHIN, Rows};
    use super::*;
    use crate::schedule::Digits;

    fn differ(headings: [&str; 2], cells: [&str; 2], within: &[&str]) -> Result<Option<Difference>, Side> {
        let [before, after] = headings.map(|heading| Rows::under(&[heading]));
        let shared = Shared { at: [0, 0], before: &before.columns[0], after: &after.columns[0] };
        let stated: Vec<_> = within.iter().map(|text| text.parse().expect("a tolerance")).collect();
        shared.differ(cells[0], cells[1], &Within::with_default(DEFAULT_WITHIN, &stated))
    }

    fn same(headings: [&str; 2], cells: [&str; 2], within: &[&str]) -> bool {
        differ(headings, cells, within).expect("numbers").is_none()
    }

    #[test]
    fn figures_in_one_unit() {
        let area = ["area_mm2"; 2];
        assert!(same(area, ["1000", "1000.0"], &[]) && same(area, ["0", "-0"], &[]));
        assert!(same(area, ["100000", "100001"], &[]) && !same(area, ["100000", "100003"], &[]));
        assert!(same(area, ["1000", "1009"], &["1%"]) && !same(area, ["1000", "1011"], &["1%"]));
        let found = differ(area, ["-1000", "-980"], &[]).expect("numbers").expect("a difference");
        assert_eq!((found.after, found.difference, found.per_cent), (Some(-980.0), Some(20.0), Some(2.0)));
        assert!((found.allowed.expect("a share") - 0.02).abs() < 1e-12);
        // Of 0 no share can be taken.
        let found = differ(["centroid_x_mm"; 2], ["0", "1e-9"], &[]).expect("numbers").expect("a difference");
        assert_eq!((found.per_cent, found.allowed), (None, None));
        assert!(same(["centroid_x_mm"; 2], ["0", "0.2"], &["centroid_x=0.25"]));
        assert!(!same(["parts"; 2], ["1", "2"], &["90%"]));
    }

    #[test]
    fn figures_in_two_units() {
        let units = ["second_moment_x_mm4", "second_moment_x_in4"];
        // 416231.4256 mm⁴ are 1 in⁴.
        assert!(same(units, ["416231", "1"], &[]) && !same(units, ["416231", "1.0001"], &[]));
        assert!(!same(units, ["1", "1"], &[]), "the same figure in another unit is another");
        assert!(same(units, ["0", "0"], &[]) && same(units, ["", ""], &[]));
        let found = differ(["perimeter_cm", "perimeter_in"], ["2", "1"], &[]).expect("numbers");
        assert!((found.expect("a difference").after.expect("a figure") - 2.54).abs() < 1e-15);
    }

    /// What rounding to six digits in two units does is never a change: every figure is rounded in both and compared.
    #[test]
    fn rounding_is_no_change() {
        let (from, to) = (crate::drawing::LengthUnit::Millimetre, crate::drawing::LengthUnit::Inch);
        let mut widest = 0.0_f64;
        for k in 0..20_000 {
            let value = 1.0 + f64::from(k) * 0.000_457;
            let factor = Quantity::Length(3).factor(from, to);
            let texts = [value, value * factor].map(|value| Digits::default().text(value, 0.0));
            let headings = ["plastic_modulus_x_mm3", "plastic_modulus_x_in3"];
            assert!(same(headings, [&texts[0], &texts[1]], &[]), "{texts:?}");
            let [a, b] = texts.map(|text| text.parse::<f64>().expect("a number"));
            widest = widest.max((b / factor - a).abs() / a);
        }
        assert!(widest > 0.7e-5 && widest < 1.01e-5, "{widest}");
    }

    #[test]
    fn angles_go_the_shortest_way() {
        let angle = ["principal_angle_deg"; 2];
        assert!(same(angle, ["89.9999", "-89.9999"], &[]));
        let found = differ(angle, ["80", "-80"], &[]).expect("numbers").expect("a difference");
        assert_eq!((found.difference, found.per_cent), (Some(20.0), Some(25.0)));
    }

    #[test]
    fn words_and_empty_cells() {
        assert!(same(["status"; 2], ["ok", "ok"], &[]) && !same(["status"; 2], ["ok", "OK"], &[]));
        for cells in [["", "7"], ["7", ""]] {
            assert_eq!(differ(["mass_kg"; 2], cells, &["100%"]), Ok(Some(Difference::default())));
        }
    }

    #[test]
    fn what_is_no_number() {
        assert!(same(["area_mm2"; 2], ["n/a", "n/a"], &[]), "nothing changed");
        assert_eq!(differ(["area_mm2"; 2], ["1,5", "2"], &[]), Err(Side::Before));
        assert_eq!(differ(["area_mm2"; 2], ["1", "inf"], &[]), Err(Side::After));
        assert_eq!(differ(["area_mm2", "area_m2"], ["1", "1e305"], &[]), Err(Side::After));
    }
}
