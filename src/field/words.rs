//! Tolerances and Poisson ratios as people write them: numbers within what can be asked for.

use std::fmt;
use std::str::FromStr;

use super::{COARSEST_TOLERANCE, FINEST_TOLERANCE, LARGEST_POISSON};

/// How near to each other the bounds of a torsion constant are to come, as a share of it: from [`FINEST_TOLERANCE`] to
/// [`COARSEST_TOLERANCE`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tolerance(f64);

/// A Poisson ratio, from 0 to 0.5.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PoissonRatio(f64);

/// Text that is no number within what can be asked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OutOfRange {
    least: f64,
    most: f64,
}

impl fmt::Display for OutOfRange {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        // A ten-millionth reads better as 1e-7, half as 0.5.
        match self.least > 0.0 && self.least < 1e-3 {
            true => write!(out, "use a number from {:e} to {}", self.least, self.most),
            false => write!(out, "use a number from {} to {}", self.least, self.most),
        }
    }
}

impl std::error::Error for OutOfRange {}

fn number(text: &str, least: f64, most: f64) -> Result<f64, OutOfRange> {
    let number = text.trim().parse::<f64>().ok();
    number.filter(|number| (least..=most).contains(number)).ok_or(OutOfRange { least, most })
}

impl Tolerance {
    /// As a share.
    pub fn share(self) -> f64 {
        self.0
    }
}

impl PoissonRatio {
    /// As a number.
    pub fn number(self) -> f64 {
        self.0
    }
}

impl FromStr for Tolerance {
    type Err = OutOfRange;

    fn from_str(text: &str) -> Result<Tolerance, OutOfRange> {
        number(text, FINEST_TOLERANCE, COARSEST_TOLERANCE).map(Tolerance)
    }
}

impl FromStr for PoissonRatio {
    type Err = OutOfRange;

    fn from_str(text: &str) -> Result<PoissonRatio, OutOfRange> {
        number(text, 0.0, LARGEST_POISSON).map(PoissonRatio)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_in_range_are_taken() {
        assert_eq!("1e-4".parse::<Tolerance>().map(Tolerance::share), Ok(1e-4));
        assert_eq!(" 0.3 ".parse::<PoissonRatio>().map(PoissonRatio::number), Ok(0.3));
        assert_eq!("0".parse::<PoissonRatio>().map(PoissonRatio::number), Ok(0.0));
    }

    #[test]
    fn others_are_told_what_is_taken() {
        for text in ["0", "1", "-1e-3", "nan", "1e-9", "", "fine"] {
            let error = text.parse::<Tolerance>().expect_err(text);
            assert_eq!(error.to_string(), "use a number from 1e-7 to 0.01");
        }
        for text in ["-0.1", "0.6", "nan", "", "steel"] {
            let error = text.parse::<PoissonRatio>().expect_err(text);
            assert_eq!(error.to_string(), "use a number from 0 to 0.5");
        }
    }
}
