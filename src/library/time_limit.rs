//! Times as people write them: a number, with a unit or without.

use std::fmt;
use std::str::FromStr;
use std::time::Duration;

/// How long a drawing may take: `30s`, `2min`, `1h`, or a bare number of seconds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TimeLimit(Duration);

impl TimeLimit {
    /// As a duration, never 0.
    pub fn duration(self) -> Duration {
        self.0
    }
}

/// Text that is no time limit.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum TimeLimitError {
    /// What stands behind the number is no unit of time.
    Unit,
    /// It does not begin with a number above 0, or the time is longer than any.
    NoTime,
}

impl fmt::Display for TimeLimitError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            TimeLimitError::Unit => "use a number with s, min or h",
            TimeLimitError::NoTime => "use a time above 0, such as 30s or 2min",
        })
    }
}

impl std::error::Error for TimeLimitError {}

impl FromStr for TimeLimit {
    type Err = TimeLimitError;

    fn from_str(text: &str) -> Result<TimeLimit, TimeLimitError> {
        let number = text.trim_end_matches(|c: char| c.is_ascii_alphabetic());
        let seconds = match text.get(number.len()..).unwrap_or_default().trim() {
            "" | "s" => 1.0,
            "min" => 60.0,
            "h" => 3600.0,
            _ => return Err(TimeLimitError::Unit),
        };
        let time =
            number.trim().parse::<f64>().ok().and_then(|n| Duration::try_from_secs_f64(n * seconds).ok());
        time.filter(|time| !time.is_zero()).map(TimeLimit).ok_or(TimeLimitError::NoTime)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_have_units() {
        let time = |text: &str| text.parse().map(TimeLimit::duration);
        assert_eq!(time("30s"), Ok(Duration::from_secs(30)));
        assert_eq!(time("0.5"), Ok(Duration::from_millis(500)));
        assert_eq!(time("2 min"), Ok(Duration::from_secs(120)));
        assert_eq!(time("1h"), Ok(Duration::from_secs(3600)));
        for text in ["0", "-1s", "2 days", "s", "", "nan", "inf", "1e300h"] {
            assert!(time(text).is_err(), "{text}");
        }
    }
}
