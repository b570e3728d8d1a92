//! Formulas as MathML Core, which browsers set without help.

use super::figures::grouped_text;
use super::markup::{Markup, html};

/// A sign that is not seen: what stands before and after it is multiplied.
const TIMES: &str = "\u{2062}";

/// A formula in a line of text, from what stands within.
pub(super) fn inline(content: &Markup) -> Markup {
    html! { math { (content) } }
}

/// The same with fractions in full size.
pub(super) fn large(content: &Markup) -> Markup {
    html! { math displaystyle="true" { (content) } }
}

/// A letter for a quantity.
pub(super) fn letter(name: &str) -> Markup {
    html! { mi { (name) } }
}

/// A letter with what stands below its right: `I` and `x`. Without that, the letter alone.
pub(super) fn sub(name: &str, below: &str) -> Markup {
    if below.is_empty() {
        letter(name)
    } else {
        html! { msub { (letter(name)) mtext { (below) } } }
    }
}

/// A number as text; a minus stands before it as a sign.
pub(super) fn number(text: &str) -> Markup {
    match text.strip_prefix('-') {
        Some(rest) => html! { mrow { mo { "−" } (number(rest)) } },
        None => match text.split_once('e') {
            // 1.5e-16 as 1.5·10⁻¹⁶.
            Some((mantissa, exponent)) => html! {
                mrow { mn { (grouped_text(mantissa)) } mo { "·" } msup { mn { "10" } mrow { (number(exponent)) } } }
            },
            None => html! { mn { (grouped_text(text)) } },
        },
    }
}

/// slope·variable + offset, both as text: `0.5 x − 30`; terms of 0 are left out.
pub(super) fn linear(slope: &str, variable: &str, offset: &str) -> Markup {
    let times = |slope: &str| match slope {
        "1" => letter(variable),
        "-1" => html! { mo { "−" } (letter(variable)) },
        slope => html! { (number(slope)) mo { (TIMES) } (letter(variable)) },
    };
    match (slope, offset) {
        ("0", offset) => number(offset),
        (slope, "0") => times(slope),
        (slope, offset) => match offset.strip_prefix('-') {
            Some(positive) => html! { (times(slope)) mo { "−" } (number(positive)) },
            None => html! { (times(slope)) mo { "+" } (number(offset)) },
        },
    }
}

/// One over a whole number.
pub(super) fn part(of: u32) -> Markup {
    html! { mfrac { mn { "1" } mn { (of) } } }
}

/// A fraction.
pub(super) fn fraction(above: &Markup, below: &Markup) -> Markup {
    html! { mfrac { mrow { (above) } mrow { (below) } } }
}

/// The square of a letter with what stands below its right.
pub(super) fn square(name: &str, below: &str) -> Markup {
    match below {
        "" => html! { msup { (letter(name)) mn { "2" } } },
        below => html! { msubsup { (letter(name)) mtext { (below) } mn { "2" } } },
    }
}

/// A small step of a quantity: d and its letter.
pub(super) fn step(name: &str) -> Markup {
    html! { (letter("d")) (letter(name)) }
}

/// x′ dy′ − y′ dx′: twice what the line from the corner sweeps over.
pub(super) fn sweep() -> Markup {
    html! { (letter("x′")) (step("y′")) mo { "−" } (letter("y′")) (step("x′")) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_as_they_are_written_by_hand() {
        let linear =
            |slope: &str, variable: &str, offset: &str| linear(slope, variable, offset).into_string();
        assert_eq!(linear("0", "x", "-3"), "<mrow><mo>−</mo><mn>3</mn></mrow>");
        assert_eq!(linear("1", "x", "0"), "<mi>x</mi>");
        assert_eq!(linear("-1", "x", "2"), "<mo>−</mo><mi>x</mi><mo>+</mo><mn>2</mn>");
        assert_eq!(linear("0.5", "y", "-30"), "<mn>0.5</mn><mo>\u{2062}</mo><mi>y</mi><mo>−</mo><mn>30</mn>");
    }
}
