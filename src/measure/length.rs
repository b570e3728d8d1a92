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
}

/// Text that is no length.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum LengthError {
    /// It does not begin with a number.
    NoNumber,
    /// The number is below 0, or not finite.
    Negative,
    /// What stands behind the number is no unit.
    Unit(UnknownUnit),
}

impl fmt::Display for LengthError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            LengthError::NoNumber => f.write_str("use a number with a unit, such as 0.05mm or 0.002in"),
            LengthError::Negative => f.write_str("use a length of 0 or more"),
            LengthError::Unit(unit) => unit.fmt(f),
        }
    }
}

impl std::error::Error for LengthError {}

impl FromStr for Length {
    type Err = LengthError;

    fn from_str(text: &str) -> Result<Length, LengthError> {
        let text = text.trim();
        let split = text.find(|c: char| c.is_alphabetic() && c != 'e' && c != 'E').unwrap_or(text.len());
        let (number, unit) = text.split_at(split);
        let value: f64 = number.trim().parse().map_err(|_| LengthError::NoNumber)?;
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
        assert!(mm("1 furlong").is_err() && mm("-1").is_err() && mm("nan").is_err() && mm("").is_err());
    }
}
