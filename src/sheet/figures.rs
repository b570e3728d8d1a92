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

/// Shorter numbers than of so many digits are read at a glance.
const SHORT: usize = 4;

/// A number in groups of three digits: sign, groups, and what stands behind them.
fn groups(text: &str) -> (&'static str, Vec<&str>, &str) {
    let (sign, text) = match text.strip_prefix('-') {
        Some(rest) => ("−", rest),
        None => ("", text),
    };
    let digits = text.find(|c: char| !c.is_ascii_digit()).unwrap_or(text.len());
    let (whole, rest) = text.split_at(digits);
    if whole.len() <= SHORT {
        return (sign, vec![whole], rest);
    }
    let first = (whole.len() - 1) % 3 + 1;
    let mut groups = vec![&whole[..first]];
    groups.extend((first..whole.len()).step_by(3).map(|at| &whole[at..at + 3]));
    (sign, groups, rest)
}

/// A number with its digits in groups of three, which are set apart but copied as one number, and with the sign of minus.
pub(super) fn grouped(text: &str) -> Markup {
    let (sign, groups, rest) = groups(text);
    html! {
        (sign)
        @for (k, group) in groups.iter().enumerate() {
            @if k == 0 { (group) } @else { span class="g" { (group) } }
        }
        (rest.replace('-', "−"))
    }
}

/// The same as plain text, for pictures: narrow spaces that do not break stand between the groups.
pub(super) fn grouped_text(text: &str) -> String {
    let (sign, groups, rest) = groups(text);
    format!("{sign}{}{}", groups.join("\u{202f}"), rest.replace('-', "−"))
}

/// A sentence of figures with all of them in groups.
pub(super) fn grouped_words(text: &str) -> String {
    let is_figure = |letter: char| letter.is_ascii_digit() || letter == '.';
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(at) = rest.find(|letter: char| letter.is_ascii_digit()) {
        let (before, from) = rest.split_at(at);
        let (figure, behind) = from.split_at(from.find(|letter| !is_figure(letter)).unwrap_or(from.len()));
        out.push_str(before);
        out.push_str(&grouped_text(figure));
        rest = behind;
    }
    out.push_str(rest);
    out
}

/// A sentence with the sign of minus before numbers; names, which stand between quotation marks, stay as they are.
pub(super) fn with_minus(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let (mut before, mut quoted) = (' ', false);
    let mut letters = text.chars().peekable();
    while let Some(letter) = letters.next() {
        quoted = letter == '“' || (quoted && letter != '”');
        let is_minus = letter == '-'
            && !quoted
            && matches!(before, ' ' | '(' | ',')
            && letters.peek().is_some_and(char::is_ascii_digit);
        out.push(if is_minus { '−' } else { letter });
        before = letter;
    }
    out
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

/// The unit of a quantity and its power, apart; `None` for what has none.
pub(super) fn unit_parts(quantity: Quantity, units: Units) -> Option<(String, i32)> {
    match quantity {
        Quantity::Text | Quantity::Count | Quantity::Ratio => None,
        Quantity::Length(power) => Some((units.length.symbol().to_owned(), power)),
        Quantity::Degrees => Some(("°".to_owned(), 1)),
        Quantity::MassPerLength | Quantity::Mass => quantity.unit_text(units).map(|unit| (unit, 1)),
    }
}

/// A power of a length.
pub(super) fn length_markup(unit: LengthUnit, power: i32) -> Markup {
    html! { (unit.symbol()) @if power != 1 { sup { (power) } } }
}

/// The head of a column of figures: what they are, and below it their unit.
pub(super) fn column_head(what: &Markup, unit: LengthUnit, power: i32) -> Markup {
    html! { th scope="col" class="n" { (what) " " br; (unit_below(unit, power)) } }
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
        assert_eq!(grouped("1.5e-16"), "1.5e−16");
        assert_eq!(grouped_text("-1234567.5"), "−1\u{202f}234\u{202f}567.5");
        assert_eq!(grouped_text("1234"), "1234");
        assert_eq!(grouped_words("area 114068.5 mm², 3 of 12"), "area 114\u{202f}068.5 mm², 3 of 12");
        assert_eq!(with_minus("at (-3,-4.5) of “A -5”: -1"), "at (−3,−4.5) of “A -5”: −1");
        assert_eq!(grouped("12345<b>"), "12<span class=\"g\">345</span>&lt;b&gt;");
    }
}
