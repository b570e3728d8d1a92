//! Figures as the schedule writes them, and their units.

use crate::drawing::LengthUnit;
use crate::measure::Measurement;
use crate::schedule::{Column, Quantity, Style, Value};

/// The cell of a schedule as text; empty where the figure is not known.
pub(super) fn cell(column: &Column, measurement: &Measurement, style: Style) -> String {
    match column.value(measurement) {
        Value::Empty => String::new(),
        Value::Text(text) => text,
        Value::Count(count) => count.to_string(),
        number @ Value::Number { .. } => {
            let factor = column.quantity.factor(measurement.unit, style.unit);
            number.text(factor, style.digits).unwrap_or_default()
        }
    }
}

/// A number with its digits in groups of three, which are set apart but copied as one number.
pub(super) fn grouped(text: &str) -> String {
    /// Shorter numbers are read at a glance.
    const SHORT: usize = 4;
    let digits = text.find(|c: char| c != '-' && !c.is_ascii_digit()).unwrap_or(text.len());
    let (whole, rest) = text.split_at(digits);
    let (sign, whole) = match whole.strip_prefix('-') {
        Some(whole) => ("-", whole),
        None => ("", whole),
    };
    if whole.len() <= SHORT {
        return text.to_owned();
    }
    let mut out = sign.to_owned();
    let first = (whole.len() - 1) % 3 + 1;
    out.push_str(&whole[..first]);
    let mut at = first;
    while at < whole.len() {
        out.push_str(&format!("<span class=\"g\">{}</span>", &whole[at..at + 3]));
        at += 3;
    }
    out.push_str(rest);
    out
}

/// The unit of a quantity; empty for what has none.
pub(super) fn unit_markup(quantity: Quantity, unit: LengthUnit) -> String {
    match quantity {
        Quantity::Text | Quantity::Count | Quantity::Ratio => String::new(),
        Quantity::Length(power) => length_markup(unit, power),
        Quantity::Degrees => "°".to_owned(),
        Quantity::MassPerLength => "kg/m".to_owned(),
        Quantity::Mass => "kg".to_owned(),
    }
}

/// A power of a length.
pub(super) fn length_markup(unit: LengthUnit, power: i32) -> String {
    if power == 1 { unit.symbol().to_owned() } else { format!("{}<sup>{power}</sup>", unit.symbol()) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn groups_of_three() {
        assert_eq!(grouped("1234"), "1234");
        assert_eq!(grouped("-1234567.5"), "-1<span class=\"g\">234</span><span class=\"g\">567</span>.5");
        assert_eq!(grouped("123456"), "123<span class=\"g\">456</span>");
        assert_eq!(grouped("1.5e-16"), "1.5e-16");
    }
}
