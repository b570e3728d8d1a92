//! Formulas as MathML Core, which browsers set without help.

use super::markup::escaped;

/// A formula in a line of text, from what stands within.
pub(super) fn inline(content: &str) -> String {
    format!("<math>{content}</math>")
}

/// The same with fractions in full size.
pub(super) fn large(content: &str) -> String {
    format!("<math displaystyle=\"true\">{content}</math>")
}

/// A letter for a quantity.
pub(super) fn letter(name: &str) -> String {
    format!("<mi>{}</mi>", escaped(name))
}

/// A letter with what stands below its right: `I` and `x`. Without that, the letter alone.
pub(super) fn sub(name: &str, below: &str) -> String {
    if below.is_empty() {
        letter(name)
    } else {
        format!("<msub>{}<mtext>{}</mtext></msub>", letter(name), escaped(below))
    }
}

/// A sign between two others.
pub(super) fn operator(sign: &str) -> String {
    format!("<mo>{}</mo>", escaped(sign))
}

/// A number as text; a minus stands before it as a sign.
pub(super) fn number(text: &str) -> String {
    match text.strip_prefix('-') {
        Some(rest) => format!("<mrow><mo>−</mo>{}</mrow>", number(rest)),
        None => match text.split_once('e') {
            // 1.5e-16 as 1.5·10⁻¹⁶.
            Some((mantissa, exponent)) => format!(
                "<mrow><mn>{}</mn><mo>·</mo><msup><mn>10</mn><mrow>{}</mrow></msup></mrow>",
                escaped(mantissa),
                number(exponent)
            ),
            None => format!("<mn>{}</mn>", escaped(text)),
        },
    }
}

/// slope·variable + offset, both as text: `0.5 x − 30`; terms of 0 are left out.
pub(super) fn linear(slope: &str, variable: &str, offset: &str) -> String {
    let times = |slope: &str| match slope {
        "1" => letter(variable),
        "-1" => format!("{}{}", operator("−"), letter(variable)),
        slope => format!("{}<mo>&#x2062;</mo>{}", number(slope), letter(variable)),
    };
    match (slope, offset) {
        ("0", offset) => number(offset),
        (slope, "0") => times(slope),
        (slope, offset) => match offset.strip_prefix('-') {
            Some(positive) => format!("{}<mo>−</mo>{}", times(slope), number(positive)),
            None => format!("{}<mo>+</mo>{}", times(slope), number(offset)),
        },
    }
}

/// One over a whole number.
pub(super) fn part(of: u32) -> String {
    format!("<mfrac><mn>1</mn><mn>{of}</mn></mfrac>")
}

/// A fraction.
pub(super) fn fraction(above: &str, below: &str) -> String {
    format!("<mfrac><mrow>{above}</mrow><mrow>{below}</mrow></mfrac>")
}

/// The square of a letter with what stands below its right.
pub(super) fn square(name: &str, below: &str) -> String {
    match below {
        "" => format!("<msup>{}<mn>2</mn></msup>", letter(name)),
        below => format!("<msubsup>{}<mtext>{}</mtext><mn>2</mn></msubsup>", letter(name), escaped(below)),
    }
}

/// x dy − y dx: twice what the line from the corner sweeps over.
pub(super) fn sweep() -> String {
    let d = |name: &str| format!("<mi>d</mi>{}", letter(name));
    format!("{}{}<mo>−</mo>{}{}", letter("x"), d("y"), letter("y"), d("x"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_as_they_are_written_by_hand() {
        assert_eq!(linear("0", "x", "-3"), "<mrow><mo>−</mo><mn>3</mn></mrow>");
        assert_eq!(linear("1", "x", "0"), "<mi>x</mi>");
        assert_eq!(linear("-1", "x", "2"), "<mo>−</mo><mi>x</mi><mo>+</mo><mn>2</mn>");
        assert_eq!(linear("0.5", "y", "-30"), "<mn>0.5</mn><mo>&#x2062;</mo><mi>y</mi><mo>−</mo><mn>30</mn>");
    }
}
