//! Lengths as people write them: a number, with a unit or without.

use std::fmt;
use std::str::FromStr;

use crate::unit::{LengthUnit, UnknownUnit};

/// A length as written, such as `0.05mm`, `0.002 in` or `2`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Length {
    value: f64,
    unit: Option<LengthUnit>,
}

impl Length {
    /// In millimetres; a bare number is in `bare`.
    pub fn millimetres(self, bare: LengthUnit) -> f64 {
        self.value * self.unit.unwrap_or(bare).millimetres()
    }

    /// The same length, where it is one that something can be thick by.
    ///
    /// # Errors
    /// Where it is 0.
    pub fn above_zero(self) -> Result<Length, LengthError> {
        if self.value > 0.0 { Ok(self) } else { Err(LengthError::Zero) }
    }
}

/// Text that is no length.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum LengthError {
    /// It does not begin with a number.
    NoNumber,
    /// The number is below 0, or not finite.
    Negative,
    /// The number is 0 where that makes nothing.
    Zero,
    /// What stands behind the number is no unit.
    Unit(UnknownUnit),
}

impl fmt::Display for LengthError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            LengthError::NoNumber => {
                f.write_str("use a number with a unit, such as 0.05mm, 1/16in or 3'-6 1/2\"")
            }
            LengthError::Negative => f.write_str("use a length of 0 or more"),
            LengthError::Zero => f.write_str("use a length above 0"),
            LengthError::Unit(unit) => unit.fmt(f),
        }
    }
}

impl std::error::Error for LengthError {}

impl FromStr for Length {
    type Err = LengthError;

    fn from_str(text: &str) -> Result<Length, LengthError> {
        let text = text.trim().replace(['′', '’'], "'").replace(['″', '”'], "\"");
        let text = with_marks(&text).unwrap_or(text);
        if text.contains(['\'', '"']) {
            return Ok(Length { value: feet_and_inches(&text)?, unit: Some(LengthUnit::Inch) });
        }
        let split = text.find(|c: char| c.is_alphabetic() && c != 'e' && c != 'E').unwrap_or(text.len());
        let (number, unit) = text.split_at(split);
        let value = number_with_fraction(number).ok_or(LengthError::NoNumber)?;
        if !value.is_finite() || value < 0.0 {
            return Err(LengthError::Negative);
        }
        let unit = match unit.trim() {
            "" => None,
            word => Some(word.parse::<LengthUnit>().map_err(LengthError::Unit)?),
        };
        Ok(Length { value, unit })
    }
}

/// A number as workshops write it: `2.5`, `1/2`, `6 1/2`, `6-1/2`.
fn number_with_fraction(text: &str) -> Option<f64> {
    let text = text.trim();
    if let Ok(value) = text.parse::<f64>() {
        return Some(value);
    }
    let (whole, fraction) = text.split_once([' ', '-']).unwrap_or(("0", text));
    let (above, below) = fraction.split_once('/')?;
    let count = |digits: &str| digits.trim().parse::<u32>().ok();
    let below = count(below).filter(|below| *below > 0)?;
    Some(f64::from(count(whole)?) + f64::from(count(above)?) / f64::from(below))
}

/// `3ft 6in` with the marks of feet and inches.
fn with_marks(text: &str) -> Option<String> {
    let lower = text.to_lowercase();
    let (feet, inches) = lower.split_once("ft")?;
    let inches = inches.trim().strip_suffix("in")?;
    Some(format!("{feet}'{inches}\""))
}

/// Feet and inches in inches: `3'`, `6 1/2"`, `3'-6 1/2"`.
fn feet_and_inches(text: &str) -> Result<f64, LengthError> {
    const INCHES_IN_A_FOOT: f64 = 12.0;
    let (feet, inches) = text.split_once('\'').unwrap_or(("0", text));
    let inches = inches.trim().trim_start_matches('-').trim();
    let inches = match inches.strip_suffix('"') {
        Some(inches) => number_with_fraction(inches),
        None => inches.is_empty().then_some(0.0),
    };
    let value = number_with_fraction(feet).zip(inches).map(|(feet, inches)| feet * INCHES_IN_A_FOOT + inches);
    match value.ok_or(LengthError::NoNumber)? {
        value if value.is_finite() && value >= 0.0 => Ok(value),
        _ => Err(LengthError::Negative),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths() {
        let mm = |text: &str| text.parse::<Length>().map(|l| l.millimetres(LengthUnit::Inch));
        assert_eq!(mm("0.05mm"), Ok(0.05));
        assert_eq!(mm("1 in"), Ok(25.4));
        assert_eq!(mm("2"), Ok(50.8));
        assert_eq!(mm("1e-2 mm"), Ok(0.01));
        for (text, inches) in [
            ("1/2in", 0.5),
            ("1/2\"", 0.5),
            ("6 1/2 in", 6.5),
            ("6-1/2", 6.5),
            ("3'-6 1/2\"", 42.5),
            ("3' 6\"", 42.0),
            ("3ft 6in", 42.0),
            ("3 ft 6 1/2 in", 42.5),
            ("3'", 36.0),
            ("3′ 6″", 42.0),
            ("2.5\"", 2.5),
        ] {
            assert_eq!(mm(text), Ok(inches * 25.4), "{text}");
        }
        for text in ["1/0in", "'", "\"", "3'6", "1/2/3 in", "a' 6\"", "-1'", "1/-2 in"] {
            assert!(mm(text).is_err(), "{text}");
        }
        assert!(mm("1 furlong").is_err() && mm("-1").is_err() && mm("nan").is_err() && mm("").is_err());
    }
}
