//! Numbers as text.

use std::str::FromStr;

/// How many digits a number is written with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Digits {
    /// Rounded to this many significant digits, 1 to 17.
    Significant(u8),
    /// As many as bring back the same 64-bit number.
    Full,
}

impl Default for Digits {
    /// Six: more than any drawing is good for.
    fn default() -> Digits {
        Digits::Significant(6)
    }
}

impl FromStr for Digits {
    type Err = String;

    fn from_str(text: &str) -> Result<Digits, String> {
        if text.eq_ignore_ascii_case("full") {
            return Ok(Digits::Full);
        }
        match text.parse::<u8>() {
            Ok(digits @ 1..=17) => Ok(Digits::Significant(digits)),
            _ => Err("use a number of significant digits from 1 to 17, or full".to_owned()),
        }
    }
}

/// A value smaller than this share of its natural scale is the rounding of the sums it came from, and is written as 0
/// where digits are rounded.
const ROUNDING: f64 = 1e-12;

/// Whether a value is 0 beside its natural scale, but for rounding.
pub(crate) fn is_rounding(value: f64, scale: f64) -> bool {
    value == 0.0 || value.abs() <= ROUNDING * scale
}

impl Digits {
    /// The number as text: plain digits where they are not too many, without trailing zeros.
    pub fn text(self, value: f64, scale: f64) -> String {
        match self {
            Digits::Full => {
                let text = format!("{value:?}");
                text.strip_suffix(".0").unwrap_or(&text).to_owned()
            }
            Digits::Significant(digits) => {
                if is_rounding(value, scale) {
                    return "0".to_owned();
                }
                significant(value, usize::from(digits))
            }
        }
    }
}

fn significant(value: f64, digits: usize) -> String {
    /// Powers of ten from here to there are written as plain digits.
    const PLAIN: std::ops::Range<i32> = -5..15;
    let rounded = format!("{value:.*e}", digits - 1);
    let (mantissa, exponent) = rounded.split_once('e').unwrap_or((&rounded, "0"));
    let exponent: i32 = exponent.parse().unwrap_or(0);
    if !PLAIN.contains(&exponent) {
        let mantissa = if mantissa.contains('.') {
            mantissa.trim_end_matches('0').trim_end_matches('.')
        } else {
            mantissa
        };
        return format!("{mantissa}e{exponent}");
    }
    let decimals = (digits as i32 - 1 - exponent).max(0) as usize;
    let plain = format!("{:.*}", decimals, rounded.parse().unwrap_or(value));
    if plain.contains('.') { plain.trim_end_matches('0').trim_end_matches('.').to_owned() } else { plain }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn significant_digits() {
        let six = |value: f64| Digits::Significant(6).text(value, 0.0);
        assert_eq!(six(19_431_682.510835927), "19431700");
        assert_eq!(six(-0.001234567), "-0.00123457");
        assert_eq!(six(9600.0), "9600");
        assert_eq!(six(999_999.7), "1000000");
        assert_eq!(six(1.5e-16), "1.5e-16");
        assert_eq!(six(2.0e20), "2e20");
        assert_eq!(six(0.0), "0");
        assert_eq!(Digits::Significant(6).text(-3e-11, 100.0), "0");
        assert_eq!(Digits::Significant(1).text(0.0461, 0.0), "0.05");
    }

    #[test]
    fn full_digits_come_back() {
        for value in [2848.410657883071, 1e300, 1.0 / 3.0, -5e-324, 100.0] {
            assert_eq!(Digits::Full.text(value, 0.0).parse::<f64>().unwrap(), value);
        }
        assert_eq!(Digits::Full.text(100.0, 0.0), "100");
    }

    #[test]
    fn words() {
        assert_eq!("full".parse(), Ok(Digits::Full));
        assert_eq!("4".parse(), Ok(Digits::Significant(4)));
        assert!("0".parse::<Digits>().is_err() && "x".parse::<Digits>().is_err());
    }
}
