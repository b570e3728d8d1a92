//! Figures as the schedule writes them, and their units.

use super::markup::{Markup, html};
use crate::drawing::LengthUnit;
use crate::measure::Measurement;
use crate::schedule::{Column, Quantity, Style, Value};
use crate::unit::Units;

/// The cell of a schedule as text; empty where the figure is not known.
pub(super) fn cell(column: &Column, measurement: &Measurement, style: Style) -> String {
    match column.value(measurement) {
        Value::Empty => String::new(),
        Value::Text(text) => text,
        Value::Count(count) => count.to_string(),
        number @ Value::Number { .. } => {
            let factor = column.quantity.factor(measurement.unit, style.units());
            number.text(factor, style.digits).unwrap_or_default()
        }
    }
}

/// A number with its digits in groups of three, which are set apart but copied as one number, and with the sign of minus.
pub(super) fn grouped(text: &str) -> Markup {
    /// Shorter numbers are read at a glance.
    const SHORT: usize = 4;
    let (sign, text) = match text.strip_prefix('-') {
        Some(rest) => ("−", rest),
        None => ("", text),
    };
    let digits = text.find(|c: char| !c.is_ascii_digit()).unwrap_or(text.len());
    let (whole, rest) = text.split_at(digits);
    if whole.len() <= SHORT {
        return html! { (sign) (text) };
    }
    let first = (whole.len() - 1) % 3 + 1;
    html! {
        (sign) (&whole[..first])
        @for at in (first..whole.len()).step_by(3) { span class="g" { (&whole[at..at + 3]) } }
        (rest)
    }
}

/// The unit of a quantity; `None` for what has none.
pub(super) fn unit_markup(quantity: Quantity, units: Units) -> Option<Markup> {
    match quantity {
        Quantity::Text | Quantity::Count | Quantity::Ratio => None,
        Quantity::Length(power) => Some(length_markup(units.length, power)),
        Quantity::Degrees => Some(html! { "°" }),
        Quantity::MassPerLength | Quantity::Mass => quantity.unit_text(units).map(|unit| html! { (unit) }),
    }
}

/// A power of a length.
pub(super) fn length_markup(unit: LengthUnit, power: i32) -> Markup {
    html! { (unit.symbol()) @if power != 1 { sup { (power) } } }
}

/// The unit of a column, in small letters.
pub(super) fn unit_below(unit: LengthUnit, power: i32) -> Markup {
    html! { span class="unit" { (length_markup(unit, power)) } }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn groups_of_three() {
        let grouped = |text: &str| grouped(text).into_string();
        assert_eq!(grouped("1234"), "1234");
        assert_eq!(grouped("-1234567.5"), "−1<span class=\"g\">234</span><span class=\"g\">567</span>.5");
        assert_eq!(grouped("123456"), "123<span class=\"g\">456</span>");
        assert_eq!(grouped("1.5e-16"), "1.5e-16");
        assert_eq!(grouped("12345<b>"), "12<span class=\"g\">345</span>&lt;b&gt;");
    }
}
