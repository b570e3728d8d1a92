//! Numbers as DXF writes them, to the last bit.

/// Powers of ten that f64 holds exactly.
const TENS: [f64; 23] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18,
    1e19, 1e20, 1e21, 1e22,
];

/// Integers up to this are exact in f64.
const EXACT: u64 = 1 << 53;

/// The number on a value line: digits with at most one point, a sign and an exponent (`+10.`, `1.0E+002`),
/// blanks around. `None` for anything else (`10,5`, `nan`, an empty line) and for a number beyond f64.
#[inline]
pub(super) fn real(bytes: &[u8]) -> Option<f64> {
    let bytes = bytes.trim_ascii();
    let (negative, digits) = match bytes.first()? {
        b'-' => (true, &bytes[1..]),
        b'+' => (false, &bytes[1..]),
        _ => (false, bytes),
    };
    if let Some(value) = plain(digits) {
        return Some(if negative { -value } else { value });
    }
    let mut mantissa: u64 = 0;
    let mut exponent: i32 = 0;
    let (mut any, mut point, mut many) = (false, false, false);
    let mut rest = digits;
    while let [byte, tail @ ..] = rest {
        match byte {
            b'0'..=b'9' => {
                any = true;
                if mantissa < EXACT {
                    mantissa = mantissa * 10 + u64::from(byte - b'0');
                    exponent -= i32::from(point);
                } else {
                    many = true;
                }
            }
            b'.' if !point => point = true,
            b'e' | b'E' => {
                exponent = exponent.saturating_add(power(tail)?);
                break;
            }
            _ => return None,
        }
        rest = tail;
    }
    if !any {
        return None;
    }
    if many || mantissa > EXACT || !(-22..=22).contains(&exponent) {
        return slow(bytes);
    }
    // Both are exact, so the one rounding of the product or quotient gives the nearest f64.
    let value = mantissa as f64;
    let value = if exponent < 0 { value / TENS[-exponent as usize] } else { value * TENS[exponent as usize] };
    Some(if negative { -value } else { value })
}

/// The number of digits with at most one point, as nearly all are: none where there is anything else, and where it takes
/// more than one rounding to its f64.
#[inline]
fn plain(bytes: &[u8]) -> Option<f64> {
    /// So many digits fit into 64 bits.
    const MOST: usize = 19;
    let mut mantissa: u64 = 0;
    let mut at = 0;
    let mut take = |at: &mut usize| {
        while let Some(digit @ 0..=9) = bytes.get(*at).map(|byte| byte.wrapping_sub(b'0')) {
            mantissa = mantissa.wrapping_mul(10).wrapping_add(u64::from(digit));
            *at += 1;
        }
    };
    take(&mut at);
    let (mut digits, mut decimals) = (at, 0);
    if bytes.get(at) == Some(&b'.') {
        at += 1;
        take(&mut at);
        decimals = at - digits - 1;
        digits += decimals;
    }
    let exact = at == bytes.len() && (1..=MOST).contains(&digits) && mantissa <= EXACT;
    // Both are exact, so the one rounding of the quotient gives the nearest f64.
    exact.then(|| mantissa as f64 / TENS[decimals])
}

/// The exponent after the letter: a sign and at least one digit.
fn power(bytes: &[u8]) -> Option<i32> {
    let (negative, digits) = match bytes.first()? {
        b'-' => (true, &bytes[1..]),
        b'+' => (false, &bytes[1..]),
        _ => (false, bytes),
    };
    if digits.is_empty() || !digits.iter().all(u8::is_ascii_digit) {
        return None;
    }
    let size = digits
        .iter()
        .fold(0_i32, |sum, digit| sum.saturating_mul(10).saturating_add(i32::from(digit - b'0')));
    // Far beyond f64 either way; small enough to add to.
    let size = size.min(1_000_000);
    Some(if negative { -size } else { size })
}

/// Of digits, sign, point and exponent only, as checked before.
#[cold]
fn slow(bytes: &[u8]) -> Option<f64> {
    std::str::from_utf8(bytes).ok()?.parse().ok().filter(|value: &f64| value.is_finite())
}

/// A whole number; one written with a point (`1.0`) is one too.
#[inline]
pub(super) fn whole(bytes: &[u8]) -> Option<i64> {
    whole_of(real(bytes)?)
}

/// The whole number that a number is.
#[inline]
pub(super) fn whole_of(value: f64) -> Option<i64> {
    (value.fract() == 0.0 && value.abs() < EXACT as f64).then_some(value as i64)
}

/// A handle: up to sixteen hexadecimal digits.
#[inline]
pub(super) fn handle(bytes: &[u8]) -> Option<u64> {
    let bytes = bytes.trim_ascii();
    if bytes.is_empty() || bytes.len() > 16 {
        return None;
    }
    bytes.iter().try_fold(0, |sum, byte| Some((sum << 4) | u64::from((*byte as char).to_digit(16)?)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::seed::{properties, with_seed};

    #[test]
    fn forms_that_writers_use() {
        let cases = [
            ("+10.", 10.0),
            ("  -3.25  ", -3.25),
            ("1.0E+002", 100.0),
            ("1e-3", 0.001),
            (".5", 0.5),
            ("-.5", -0.5),
            ("0.1", 0.1),
            ("1.7976931348623157e308", f64::MAX),
            ("5e-324", 5e-324),
            ("1e-999", 0.0),
            ("0.30000000000000004", 0.300_000_000_000_000_04),
            ("12345678901234567890.5", 12_345_678_901_234_567_890.5),
            ("9007199254740993", 9_007_199_254_740_992.0),
            ("0000000000000000000000001.5", 1.5),
            ("0.00000000000000000000000000015", 1.5e-28),
        ];
        for (text, expected) in cases {
            assert_eq!(real(text.as_bytes()).map(f64::to_bits), Some(f64::to_bits(expected)), "{text}");
        }
    }

    #[test]
    fn what_is_no_number() {
        for text in [
            "", " ", "10,5", "nan", "inf", "-1.#IND", "1e400", "-1e309", "1.0D1", "1e", "1e+", ".", "-", "+",
            "e5", "1 2", "1.2.3", "0x10", "--1", "1e5.0", "\u{661}",
        ] {
            assert_eq!(real(text.as_bytes()), None, "{text}");
        }
    }

    #[test]
    fn whole_numbers_and_handles() {
        assert_eq!(whole(b" 1.0 "), Some(1));
        assert_eq!(whole(b"-62"), Some(-62));
        assert_eq!(whole(b"1.5"), None);
        assert_eq!(handle(b"1aF"), Some(0x1AF));
        assert_eq!(handle(b""), None);
        assert_eq!(handle(b"xyz"), None);
    }

    properties! { "DRAWING_SEED", 1975, 256;
        #[test]
        fn every_number_as_the_standard_library_reads_it(value in proptest::num::f64::NORMAL, digits in 0_usize..20) {
            for text in [format!("{value:e}"), format!("{value}"), format!("{value:.digits$}")] {
                let expected: f64 = text.parse().unwrap();
                proptest::prop_assert_eq!(real(text.as_bytes()), Some(expected).filter(|v| v.is_finite()));
            }
        }

        #[test]
        fn any_bytes(bytes in proptest::collection::vec(proptest::num::u8::ANY, 0..12)) {
            if let Some(value) = real(&bytes) {
                let expected: f64 = std::str::from_utf8(bytes.trim_ascii()).unwrap().parse().unwrap();
                proptest::prop_assert_eq!(value, expected);
            }
        }
    }
}
