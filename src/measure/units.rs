//! The unit of a drawing's coordinates, and what is to be said where its header does not name it.

use crate::drawing::{Drawing, LengthUnit, Units};
use crate::finding::{Finding, short};
use crate::geometry::Bounds;

/// How the unit of a drawing's coordinates is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum UnitSource {
    /// Whoever measures states it.
    Stated,
    /// $INSUNITS names it.
    Insunits,
    /// The drawing was set up for metric units ($MEASUREMENT 1): millimetres.
    Measurement,
    /// Nothing names it that can be relied on: millimetres.
    Assumed,
}

/// The unit of a drawing's coordinates.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DrawingUnit {
    /// The unit.
    pub unit: LengthUnit,
    /// How it is known.
    pub source: UnitSource,
    header: Units,
}

/// The unit of the drawing's coordinates: what is stated, else what $INSUNITS names, else millimetres. $MEASUREMENT 0
/// (imperial) is no sign of inches: programs write it into metric drawings too, which it would make 645 times too large.
pub fn drawing_unit(drawing: &Drawing, stated: Option<LengthUnit>) -> DrawingUnit {
    let header = drawing.units;
    let (unit, source) = match (stated, header.unit, header.measurement) {
        (Some(unit), ..) => (unit, UnitSource::Stated),
        (_, Some(unit), _) => (unit, UnitSource::Insunits),
        (.., Some(1)) => (LengthUnit::Millimetre, UnitSource::Measurement),
        _ => (LengthUnit::Millimetre, UnitSource::Assumed),
    };
    DrawingUnit { unit, source, header }
}

impl DrawingUnit {
    /// What is to be said of it beside the figures of what lies within `extent` (drawing coordinates): where the drawing
    /// may be in inches, its size in both readings shows which is right. Nothing where the unit is stated or named.
    pub fn finding(&self, extent: &Bounds) -> Option<Finding> {
        let why = match self.header.insunits {
            _ if matches!(self.source, UnitSource::Stated | UnitSource::Insunits) => return None,
            None => "the drawing names no unit".to_owned(),
            Some(0) => "the drawing says that it has no unit ($INSUNITS 0)".to_owned(),
            Some(code) => format!("the drawing's unit is not known ($INSUNITS {code})"),
        };
        let hint = "state --drawing-units if that is wrong";
        Some(match self.header.measurement {
            Some(0) => {
                let size = if extent.is_empty() {
                    String::new()
                } else {
                    let size = |unit| size(extent, unit);
                    format!(
                        ", so that this measures {}; if inches, {}",
                        size(self.unit),
                        size(LengthUnit::Inch)
                    )
                };
                let so = "and was set up for inches ($MEASUREMENT 0), as many metric drawings are";
                Finding::warning(format!("{why} {so}: millimetres are assumed{size}"))
                    .hint("state --drawing-units mm or --drawing-units in")
            }
            Some(1) => {
                let so = "but was set up for metric units ($MEASUREMENT 1): millimetres are assumed";
                Finding::note(format!("{why} {so}")).hint(hint)
            }
            _ => Finding::note(format!("{why}: millimetres are assumed")).hint(hint),
        })
    }
}

/// Width and height in the metric unit in which the larger is easiest to read: `438 x 419 mm`, `11.1 x 10.6 m`.
fn size(extent: &Bounds, unit: LengthUnit) -> String {
    /// Each unit up to ten thousand of it: plates are given in millimetres to beyond their longest.
    const UNITS: [(&str, f64); 3] = [("mm", 1.0), ("m", 1e3), ("km", 1e6)];
    const MOST: f64 = 1e4;
    let larger = extent.size() * unit.millimetres();
    let fits = UNITS.iter().find(|(_, millimetres)| larger < MOST * millimetres);
    let (symbol, millimetres) = fits.unwrap_or(&UNITS[UNITS.len() - 1]);
    let figure = |length: f64| short(rounded(length * unit.millimetres() / millimetres));
    format!("{} x {} {symbol}", figure(extent.width()), figure(extent.height()))
}

/// To three digits, or to a whole number where it has more.
fn rounded(value: f64) -> f64 {
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
    use crate::finding::Severity;
    use crate::geometry::Point;

    fn extent(width: f64, height: f64) -> Bounds {
        let corner = Point::new(-120.0, 35.5);
        Bounds { min: corner, max: corner + Point::new(width, height) }
    }

    #[test]
    fn sizes_are_easy_to_read() {
        let both = |width: f64, height: f64| {
            let extent = extent(width, height);
            [size(&extent, LengthUnit::Millimetre), size(&extent, LengthUnit::Inch)]
        };
        assert_eq!(both(438.2, 419.0), ["438 x 419 mm", "11.1 x 10.6 m"]);
        assert_eq!(both(5.75, 4.0), ["5.75 x 4 mm", "146 x 102 mm"]);
        assert_eq!(both(2440.4, 1220.0), ["2440 x 1220 mm", "62 x 31 m"]);
        assert_eq!(both(393.0, 393.8), ["393 x 394 mm", "9.98 x 10 m"]);
        assert_eq!(both(0.0625, 0.5), ["0.0625 x 0.5 mm", "1.59 x 12.7 mm"]);
        assert_eq!(both(2e6, 300.0), ["2000 x 0.3 m", "50.8 x 0.00762 km"]);
        assert_eq!(both(1e15, 1e15)[1], "25400000000 x 25400000000 km");
        let speck = Bounds { min: Point::ORIGIN, max: Point::new(1e-30, 2e-9) };
        assert_eq!(size(&speck, LengthUnit::Millimetre), "1.000e-30 x 2.000e-9 mm");
    }

    /// A drawing with these variables in its header.
    fn drawing(insunits: Option<i64>, measurement: Option<i64>) -> Drawing {
        let mut text = "0\nSECTION\n2\nHEADER\n".to_owned();
        for (name, value) in [("$INSUNITS", insunits), ("$MEASUREMENT", measurement)] {
            text.extend(value.map(|value| format!("9\n{name}\n70\n{value}\n")));
        }
        text.push_str("0\nENDSEC\n0\nSECTION\n2\nENTITIES\n0\nENDSEC\n0\nEOF\n");
        Drawing::read(text.as_bytes()).expect("a drawing")
    }

    #[test]
    fn imperial_settings_are_no_sign_of_inches() {
        let unit = drawing_unit(&drawing(None, Some(0)), None);
        assert_eq!((unit.unit, unit.source), (LengthUnit::Millimetre, UnitSource::Assumed));
        let finding = unit.finding(&extent(20.0, 35.0)).expect("a finding");
        assert_eq!(finding.severity, Severity::Warning);
        let told = finding.to_string();
        for part in [
            "names no unit",
            "$MEASUREMENT 0",
            "20 x 35 mm; if inches, 508 x 889 mm: state --drawing-units mm or --drawing-units in",
        ] {
            assert!(told.contains(part), "{told}");
        }
        // A row without an outline has no size.
        let told = unit.finding(&Bounds::EMPTY).expect("a finding").to_string();
        assert!(told.contains("millimetres are assumed: state"), "{told}");
        let stated = drawing_unit(&drawing(None, Some(0)), Some(LengthUnit::Inch));
        assert_eq!((stated.unit, stated.source), (LengthUnit::Inch, UnitSource::Stated));
        assert_eq!(stated.finding(&extent(1.0, 1.0)), None);
    }

    #[test]
    fn other_headers_are_told_in_a_note_or_not_at_all() {
        let named = drawing_unit(&drawing(Some(1), Some(1)), None);
        assert_eq!((named.unit, named.source), (LengthUnit::Inch, UnitSource::Insunits));
        assert_eq!(named.finding(&extent(1.0, 1.0)), None);
        for (insunits, measurement, source) in [
            (None, None, UnitSource::Assumed),
            (Some(0), Some(1), UnitSource::Measurement),
            (Some(99), Some(7), UnitSource::Assumed),
        ] {
            let unit = drawing_unit(&drawing(insunits, measurement), None);
            assert_eq!((unit.unit, unit.source), (LengthUnit::Millimetre, source));
            let finding = unit.finding(&extent(20.0, 35.0)).expect("a finding");
            assert_eq!(finding.severity, Severity::Note);
            let told = finding.to_string();
            assert!(told.contains("millimetres are assumed") && !told.contains("inches"), "{told}");
        }
    }
}
