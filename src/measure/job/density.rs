//! Densities as people write them: a number, with a unit or without.

use std::fmt;
use std::str::FromStr;

/// A density.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Density(f64);

impl Density {
    /// In kg/m³.
    pub fn kilograms(self) -> f64 {
        self.0
    }
}

/// Text that is no density.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum DensityError {
    /// It does not begin with a number above 0.
    NoNumber,
    /// What stands behind the number is no unit of density.
    Unit(String),
}

impl fmt::Display for DensityError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let unit = match self {
            DensityError::NoNumber => {
                return f.write_str("use a number above 0, in kg/m³ or with a unit, such as 490lb/ft3");
            }
            DensityError::Unit(unit) => unit.escape_debug(),
        };
        write!(f, "“{unit}” is no unit of density: use kg/m3, g/cm3, t/m3, lb/ft3 or lb/in3")
    }
}

impl std::error::Error for DensityError {}

/// Kilograms in a pound, metres in a foot and in an inch: exact (international yard and pound agreement, 1959).
const POUND: f64 = 0.453_592_37;
const FOOT: f64 = 0.3048;
const INCH: f64 = 0.0254;

impl FromStr for Density {
    type Err = DensityError;

    fn from_str(text: &str) -> Result<Density, DensityError> {
        let text = text.trim();
        let is_unit = |letter: char| letter.is_alphabetic() && !matches!(letter, 'e' | 'E');
        let (number, unit) = text.split_at(text.find(is_unit).unwrap_or(text.len()));
        let value: f64 = number.trim().parse().map_err(|_| DensityError::NoNumber)?;
        let unit = unit.trim().to_lowercase().replace('³', "3").replace('^', "");
        let factor = match unit.as_str() {
            "" | "kg/m3" => 1.0,
            "g/cm3" | "t/m3" | "kg/dm3" | "kg/l" => 1e3,
            "lb/ft3" | "pcf" => POUND / (FOOT * FOOT * FOOT),
            "lb/in3" => POUND / (INCH * INCH * INCH),
            _ => return Err(DensityError::Unit(unit)),
        };
        Density::new(value * factor).ok_or(DensityError::NoNumber)
    }
}

impl Density {
    pub(super) fn new(kilograms: f64) -> Option<Density> {
        (kilograms.is_finite() && kilograms > 0.0).then_some(Density(kilograms))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn densities() {
        let kilograms = |text: &str| text.parse::<Density>().map(Density::kilograms);
        assert_eq!(kilograms("7850"), Ok(7850.0));
        assert_eq!(kilograms("7.85 g/cm³"), Ok(7850.0));
        assert_eq!(kilograms("7.85e0t/m^3"), Ok(7850.0));
        // NIST SP 811, appendix B.8: 1 lb/ft³ = 16.018 46 kg/m³, 1 lb/in³ = 27 679.90 kg/m³.
        assert!(kilograms("490 lb/ft3").is_ok_and(|d| (d / 490.0 - 16.018_46).abs() < 5e-6));
        assert!(kilograms("1lb/in3").is_ok_and(|d| (d - 27_679.90).abs() < 5e-3));
        for text in ["-7850", "0", "steel", "", "nan"] {
            assert_eq!(kilograms(text), Err(DensityError::NoNumber), "{text}");
        }
        assert!(matches!(kilograms("7850 kg"), Err(DensityError::Unit(_))));
    }
}
