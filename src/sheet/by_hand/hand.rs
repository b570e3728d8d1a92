//! Reckoning as it is done by hand: every value is rounded to the digits that are written, and what follows is reckoned
//! from the written values.

use crate::schedule::{Digits, Style};
use crate::sheet::figures::grouped;
use crate::sheet::markup::{Markup, html};

/// With how many digits is reckoned.
#[derive(Clone, Copy)]
pub(super) struct Hand {
    pub style: Style,
    digits: Digits,
    count: u8,
    /// Size of the section in the sheet's unit, which tells a value from rounding.
    size: f64,
}

/// The most digits that are worth writing: 64 bits hold no more.
pub(super) const MOST: u8 = 15;

impl Hand {
    /// Reckoning with so many digits.
    pub(super) fn new(style: Style, digits: u8, size: f64) -> Hand {
        Hand { style, digits: Digits::significant(digits).unwrap_or_default(), count: digits, size }
    }

    /// How many digits the results of a style have.
    pub(super) fn wanted(style: Style) -> u8 {
        (1..=MOST).find(|count| Digits::significant(*count) == Some(style.digits)).unwrap_or(MOST)
    }

    fn scale(&self, power: i32) -> f64 {
        if power == 0 { 0.0 } else { self.size.powi(power) }
    }

    /// The value as it is written, a power of length.
    ///
    /// Whole numbers have all their digits: zeros in place of the last ones would be taken for figures.
    pub(super) fn text(&self, value: f64, power: i32) -> String {
        let whole = value.abs().max(1.0).log10().floor() as u8 + 1;
        let digits = if whole > self.count { Digits::significant(whole.min(MOST)) } else { None };
        digits.unwrap_or(self.digits).text(value, self.scale(power))
    }

    /// What the written value is.
    pub(super) fn value(&self, value: f64, power: i32) -> f64 {
        self.text(value, power).parse().unwrap_or(value)
    }

    /// A place in the drawing as it is written, with as many digits as its distance from the origin takes.
    pub(super) fn place(&self, value: f64) -> String {
        self.digits.place(value, self.size.max(value.abs()), self.size)
    }

    /// A difference of places as it is written; 0 where they differ by the rounding of their digits.
    pub(super) fn difference(&self, a: f64, b: f64) -> f64 {
        let difference = self.value(a - b, 1);
        if difference.abs() <= self.rounding() * self.size { 0.0 } else { difference }
    }

    /// A sum as it is written; 0 where its terms cancel but for the rounding of their digits.
    pub(super) fn sum(&self, terms: impl Iterator<Item = f64>, power: i32) -> f64 {
        let (mut sum, mut size) = (0.0, 0.0);
        terms.for_each(|term| {
            sum += term;
            size += term.abs();
        });
        if f64::abs(sum) <= self.rounding() * size { 0.0 } else { self.value(sum, power) }
    }

    /// What the last digits of two figures differ by at most, as a share.
    fn rounding(&self) -> f64 {
        2.0 * 10_f64.powi(1 - i32::from(self.count))
    }

    /// The value in groups of digits, with a sign of minus.
    pub(super) fn show(&self, value: f64, power: i32) -> Markup {
        grouped(&self.text(value, power))
    }

    /// A cell of a table.
    pub(super) fn cell(&self, value: f64, power: i32) -> Markup {
        html! { td class="n" { (self.show(value, power)) } }
    }

    /// The value within a formula: in brackets where it is negative.
    pub(super) fn operand(&self, value: f64, power: i32) -> Markup {
        if value < 0.0 {
            html! { "(" (self.show(value, power)) ")" }
        } else {
            self.show(value, power)
        }
    }
}

/// A step of the reckoning: `name = letters = numbers = value unit`.
pub(super) struct Step {
    pub name: Markup,
    pub letters: Markup,
    pub numbers: Markup,
    pub value: Markup,
    pub unit: Markup,
    /// What is said behind the value.
    pub note: Markup,
}

impl Step {
    pub(super) fn line(&self) -> Markup {
        html! {
            p class="step" {
                (self.name) " = " (self.letters) " = " span class="numbers" { (self.numbers) } " = "
                span class="value" { b { (self.value) } " " (self.unit) } (self.note)
            }
        }
    }
}

/// A letter with what stands below it.
pub(super) fn letter(name: &str, below: &str) -> Markup {
    html! { i { (name) } @if !below.is_empty() { sub { (below) } } }
}
