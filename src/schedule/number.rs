//! Numbers as text.

use std::fmt::{self, Write};
use std::str::FromStr;

/// How many digits a number is written with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Digits(Option<u8>);

impl Digits {
    /// As many as bring back the same 64-bit number.
    pub const FULL: Digits = Digits(None);

    /// Six: more than any drawing is good for.
    pub const SIX: Digits = Digits(Some(6));

    /// Rounded to so many significant digits, 1 to 17; `None` for another count.
    pub const fn significant(count: u8) -> Option<Digits> {
        match count {
            1..=17 => Some(Digits(Some(count))),
            _ => None,
        }
    }

    /// Digits that are known to be from 1 to 17 where the program is built.
    pub(crate) const fn rounded<const COUNT: u8>() -> Digits {
        const { assert!(1 <= COUNT && COUNT <= 17) };
        Digits(Some(COUNT))
    }
}

impl Default for Digits {
    fn default() -> Digits {
        Digits::SIX
    }
}

/// Text that is no count of digits.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnknownDigits(String);

impl fmt::Display for UnknownDigits {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let digits = self.0.escape_debug();
        write!(
            f,
            "“{digits}” is no count of digits: use a number of significant digits from 1 to 17, or full"
        )
    }
}

impl std::error::Error for UnknownDigits {}

impl FromStr for Digits {
    type Err = UnknownDigits;

    /// `full`, or a number from 1 to 17.
    fn from_str(text: &str) -> Result<Digits, UnknownDigits> {
        if text.eq_ignore_ascii_case("full") {
            return Ok(Digits::FULL);
        }
        text.parse().ok().and_then(Digits::significant).ok_or_else(|| UnknownDigits(text.to_owned()))
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
        let mut text = String::new();
        self.push(value, scale, None, &mut text);
        text
    }

    /// A place in what has this size, as text: off by no more than the size times 10 to the minus digits, however far from the
    /// origin it lies.
    pub fn place(self, value: f64, scale: f64, size: f64) -> String {
        let mut text = String::new();
        self.push(value, scale, Some(size), &mut text);
        text
    }

    /// As many digits as a place in what has this size takes, to be off by half a unit of its last digit at most.
    fn of_place(digits: u8, value: f64, size: f64) -> usize {
        /// More are not in 64 bits.
        const MOST: f64 = 17.0;
        let first = value.abs().log10().floor();
        let needed = (first + 1.0 + f64::from(digits) - (2.0 * size).log10()).ceil();
        // A size of 0 and what is no number need no more.
        if needed > f64::from(digits) { needed.min(MOST) as usize } else { usize::from(digits) }
    }

    /// Adds the number as text to what is there; `size` is that of what it is a place in.
    pub(super) fn push(self, value: f64, scale: f64, size: Option<f64>, text: &mut String) {
        match self.0 {
            None => {
                let start = text.len();
                push_formatted(text, format_args!("{value:?}"));
                if text[start..].ends_with(".0") {
                    text.truncate(text.len() - 2);
                }
            }
            Some(_) if is_rounding(value, scale) => text.push('0'),
            Some(digits) => {
                let place = |size: f64| Digits::of_place(digits, value, size);
                push_significant(value, size.filter(|s| *s > 0.0).map_or(usize::from(digits), place), text);
            }
        }
    }
}

fn push_formatted(text: &mut String, arguments: fmt::Arguments) {
    // Writing to a string can't fail.
    let _ = text.write_fmt(arguments);
}

/// Powers of ten from here to there are written as plain digits.
const PLAIN: std::ops::Range<i32> = -5..15;

fn push_significant(value: f64, digits: usize, text: &mut String) {
    if let Some((integer, exponent)) = rounded(value.abs(), digits) {
        return push_plain(value < 0.0, integer, exponent, text);
    }
    let start = text.len();
    push_formatted(text, format_args!("{value:.*e}", digits - 1));
    // A sign, a digit and perhaps a point with more of them, `e` and the power of ten of the first digit.
    let Some((mantissa, exponent)) = text[start..].split_once('e') else { return };
    let Ok(exponent) = exponent.parse::<i32>() else { return };
    if PLAIN.contains(&exponent) {
        let digits = mantissa.bytes().filter(u8::is_ascii_digit);
        let integer = digits.fold(0, |integer, digit| 10 * integer + u64::from(digit - b'0'));
        text.truncate(start);
        return push_plain(value < 0.0, integer, exponent, text);
    }
    let mantissa =
        if mantissa.contains('.') { mantissa.trim_end_matches('0').trim_end_matches('.') } else { mantissa };
    let keep = start + mantissa.len();
    text.truncate(keep);
    push_formatted(text, format_args!("e{exponent}"));
}

/// A positive number rounded to so many digits, as a whole number of them and the power of ten of the first; `None` for
/// what is not written as plain digits, and where it takes more than one step with f64 to tell which way to round.
fn rounded(value: f64, digits: usize) -> Option<(u64, i32)> {
    /// Whole numbers of up to this many digits are far from where f64 has no halves.
    const MOST: usize = 9;
    if digits > MOST || !(1e-4..1e14).contains(&value) {
        return None;
    }
    let last = digits as i32 - 1;
    let ten = |power: i32| 10_u64.pow(power.unsigned_abs());
    let mut exponent = value.log10().floor() as i32;
    // Powers of ten up to 10^22 are exact, so that there is the one rounding of the product or quotient.
    let scaled = |exponent: i32| match last - exponent {
        up @ 0.. => value * ten(up) as f64,
        down => value / ten(down) as f64,
    };
    let mut number = scaled(exponent);
    if number < ten(last) as f64 {
        exponent -= 1;
        number = scaled(exponent);
    }
    let whole = number.floor();
    let rest = number - whole;
    if (rest - 0.5).abs() <= number * f64::EPSILON {
        return None;
    }
    let integer = whole as u64 + u64::from(rest > 0.5);
    Some(if integer >= ten(last + 1) { (integer / 10, exponent + 1) } else { (integer, exponent) })
}

/// Adds the digits of a whole number with a point where it belongs when the first stands for this power of ten.
fn push_plain(negative: bool, integer: u64, exponent: i32, text: &mut String) {
    if negative {
        text.push('-');
    }
    let mut digits = [b'0'; 20];
    let (mut first, mut rest) = (digits.len(), integer);
    while rest > 0 || first == digits.len() {
        first -= 1;
        digits[first] = b'0' + (rest % 10) as u8;
        rest /= 10;
    }
    let digits = &digits[first..];
    let significant = digits.len() - digits.iter().rev().take_while(|digit| **digit == b'0').count();
    let digit = |at: i32| {
        let known = usize::try_from(at).ok().filter(|at| *at < significant);
        char::from(known.map_or(b'0', |at| digits[at]))
    };
    // The digit of a power of ten stands as far behind the first one as its power is smaller.
    (0..=exponent.max(0)).rev().for_each(|power| text.push(digit(exponent - power)));
    let last = exponent - (significant as i32 - 1);
    if last < 0 {
        text.push('.');
        (last..0).rev().for_each(|power| text.push(digit(exponent - power)));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn significant_digits() {
        let six = |value: f64| Digits::significant(6).unwrap().text(value, 0.0);
        assert_eq!(six(19_431_682.510835927), "19431700");
        assert_eq!(six(-0.001234567), "-0.00123457");
        assert_eq!(six(9600.0), "9600");
        assert_eq!(six(999_999.7), "1000000");
        assert_eq!(six(1.5e-16), "1.5e-16");
        assert_eq!(six(2.0e20), "2e20");
        assert_eq!(six(0.0), "0");
        assert_eq!(Digits::significant(6).unwrap().text(-3e-11, 100.0), "0");
        assert_eq!(Digits::significant(1).unwrap().text(0.0461, 0.0), "0.05");
    }

    /// Against what the standard library makes of the number rounded before, with all digits that it has.
    #[test]
    fn digits_of_any_number_and_size() {
        let mut state = 11_u64;
        for _ in 0..20_000 {
            state = state.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
            let share = (state >> 11) as f64 / (1_u64 << 53) as f64;
            let power = (state >> 7) % 18;
            let value = (share - 0.5) * 10_f64.powi(power as i32 - 3);
            let digits = 1 + (state >> 3) % 15;
            let text = Digits::significant(digits as u8).unwrap().text(value, 0.0);
            let rounded: f64 = format!("{value:.*e}", digits as usize - 1).parse().unwrap();
            if (1e-5..1e15).contains(&rounded.abs()) {
                assert_eq!(text, format!("{rounded}"), "{value} to {digits}");
            }
        }
    }

    #[test]
    fn full_digits_come_back() {
        for value in [2848.410657883071, 1e300, 1.0 / 3.0, -5e-324, 100.0] {
            assert_eq!(Digits::FULL.text(value, 0.0).parse::<f64>().unwrap(), value);
        }
        assert_eq!(Digits::FULL.text(100.0, 0.0), "100");
    }

    #[test]
    fn words() {
        assert_eq!("full".parse(), Ok(Digits::FULL));
        assert_eq!("4".parse(), Ok(Digits::significant(4).unwrap()));
        assert!("0".parse::<Digits>().is_err() && "x".parse::<Digits>().is_err());
    }
}
