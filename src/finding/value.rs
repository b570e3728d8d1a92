//! The values of findings, and how people read them.

use std::fmt;

use super::Position;
use crate::geometry::Point;

/// A value of a finding.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum Value {
    /// Words: what was found in a file, an error of the system, a list of names.
    Text(String),
    /// A name as it was given, of a block, a section, a drawing, a column.
    Name(String),
    /// The name of a layer.
    Layer(String),
    /// A whole number.
    Count(u64),
    /// A number without unit.
    Number(f64),
    /// A relative difference.
    Ratio(f64),
    /// A share of a whole: 1 is all of it.
    Share(f64),
    /// A share that is not exceeded.
    Bound(f64),
    /// A length in the unit of the finding.
    Length(f64),
    /// An area in that unit, squared.
    Area(f64),
    /// Areas in that unit, squared, the largest first.
    Areas(Vec<f64>),
    /// A width and a height in millimetres.
    Size([f64; 2]),
    /// A place of the drawing in its coordinates.
    Point(Point),
    /// A place in the file.
    Position(Position),
}

impl Value {
    /// What kind of value it is, as sentences name it: `length`, `count`.
    pub fn kind(&self) -> &'static str {
        match self {
            Value::Text(_) => "text",
            Value::Name(_) => "name",
            Value::Layer(_) => "layer",
            Value::Count(_) => "count",
            Value::Number(_) => "number",
            Value::Ratio(_) => "ratio",
            Value::Share(_) => "share",
            Value::Bound(_) => "bound",
            Value::Length(_) => "length",
            Value::Area(_) => "area",
            Value::Areas(_) => "areas",
            Value::Size(_) => "size",
            Value::Point(_) => "point",
            Value::Position(_) => "position",
        }
    }
}

impl fmt::Display for Value {
    /// The value as people read it, without its unit.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Value::Text(text) | Value::Layer(text) => f.write_str(text),
            Value::Name(name) => name.escape_debug().fmt(f),
            Value::Count(count) => count.fmt(f),
            Value::Number(value) | Value::Length(value) | Value::Area(value) => f.write_str(&short(*value)),
            Value::Ratio(ratio) => write!(f, "{ratio:.1e}"),
            Value::Share(share) => f.write_str(&of_whole(*share)),
            Value::Bound(share) => f.write_str(&at_most(*share)),
            Value::Areas(areas) => f.write_str(&list(areas)),
            Value::Size(size) => f.write_str(&metric(*size)),
            Value::Point(point) => write!(f, "({}, {})", short(point.x), short(point.y)),
            Value::Position(position) => position.fmt(f),
        }
    }
}

impl Value {
    /// So many bytes, in megabytes: whole ones, or two digits of what is less than ten.
    pub(crate) fn megabytes(bytes: u64) -> Value {
        if bytes >= 10_000_000 {
            return Value::Number((bytes / 1_000_000) as f64);
        }
        let step = 10_u64.pow(bytes.checked_ilog10().unwrap_or(0).saturating_sub(1));
        Value::Number((bytes / step * step) as f64 / 1e6)
    }
}

impl From<&str> for Value {
    fn from(text: &str) -> Value {
        Value::Text(text.to_owned())
    }
}

impl From<String> for Value {
    fn from(text: String) -> Value {
        Value::Text(text)
    }
}

impl From<u64> for Value {
    fn from(count: u64) -> Value {
        Value::Count(count)
    }
}

impl From<usize> for Value {
    fn from(count: usize) -> Value {
        Value::Count(count as u64)
    }
}

impl From<Point> for Value {
    fn from(point: Point) -> Value {
        Value::Point(point)
    }
}

impl From<Position> for Value {
    fn from(position: Position) -> Value {
        Value::Position(position)
    }
}

/// A place as people read it on a drawing: `x,y` with at most six decimals.
pub fn coordinates(point: Point) -> String {
    format!("{},{}", short(point.x), short(point.y))
}

/// A length as people read it: at most six decimals, without trailing zeros.
pub fn short(value: f64) -> String {
    if value != 0.0 && !(1e-6..1e12).contains(&value.abs()) {
        return format!("{value:.3e}");
    }
    let text = format!("{value:.6}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

/// The first few of many.
fn list(areas: &[f64]) -> String {
    const SHOWN: usize = 6;
    let mut text: Vec<String> = areas.iter().take(SHOWN).map(|area| short(*area)).collect();
    if areas.len() > SHOWN {
        text.push(format!("and {} more", areas.len() - SHOWN));
    }
    text.join(", ")
}

/// A share in per cent.
fn of_whole(share: f64) -> String {
    let percent = 100.0 * share;
    match percent {
        p if p >= 10.0 => format!("{p:.0} %"),
        p if p >= 0.1 => format!("{p:.1} %"),
        _ => "less than 0.1 %".to_owned(),
    }
}

/// A share in per cent with two significant digits, rounded up, so that it stays a bound.
fn at_most(share: f64) -> String {
    let value = 100.0 * share;
    if !(value > 0.0 && value.is_finite()) {
        return if value == 0.0 { "0 %".to_owned() } else { "any %".to_owned() };
    }
    let step = 10_f64.powf(value.log10().floor() - 1.0);
    // A figure that is two digits but for rounding stays.
    let rounded = (value / step * (1.0 - 1e-12)).ceil() * step;
    if rounded < 1e-4 {
        return format!("{rounded:.1e} %");
    }
    let decimals = (1.0 - rounded.log10().floor()).max(0.0) as usize;
    format!("{rounded:.decimals$} %")
}

/// Width and height in the unit in which the larger is easiest to read: `438 x 419 mm`, `11.1 x 10.6 m`.
fn metric([width, height]: [f64; 2]) -> String {
    /// Each unit up to ten thousand of it: plates are given in millimetres to beyond their longest.
    const UNITS: [(&str, f64); 3] = [("mm", 1.0), ("m", 1e3), ("km", 1e6)];
    const MOST: f64 = 1e4;
    let fits = UNITS.iter().find(|(_, millimetres)| width.max(height) < MOST * millimetres);
    let (symbol, millimetres) = fits.unwrap_or(&UNITS[UNITS.len() - 1]);
    let figure = |length: f64| short(to_three_digits(length / millimetres));
    format!("{} x {} {symbol}", figure(width), figure(height))
}

/// To three digits, or to a whole number where it has more.
fn to_three_digits(value: f64) -> f64 {
    let digits = value.log10().floor();
    if !digits.is_finite() || digits >= 2.0 {
        return value.round();
    }
    let step = 10_f64.powf(2.0 - digits);
    (value * step).round() / step
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn megabytes_keep_two_digits_below_ten() {
        let shown = [0, 7, 1_000, 56_789, 999_999, 3_450_000, 10_900_000, 1_234_567_890];
        let shown = shown.map(|bytes| Value::megabytes(bytes).to_string());
        assert_eq!(shown, ["0", "0.000007", "0.001", "0.056", "0.99", "3.4", "10", "1234"]);
    }

    #[test]
    fn bounds_are_rounded_up_to_two_digits() {
        let shown: Vec<String> = [0.0, 1.234e-4, 0.002, 0.10001, 3.2, 4.1e-8, 9.96e-4].map(at_most).to_vec();
        assert_eq!(shown, ["0 %", "0.013 %", "0.20 %", "11 %", "320 %", "4.1e-6 %", "0.10 %"]);
    }
}
