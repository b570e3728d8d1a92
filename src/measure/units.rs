//! The unit of a drawing's coordinates, and what is to be said where its header does not name it.

use crate::drawing::{Drawing, LengthUnit, Units};
use crate::finding::{Code, Finding, Value};
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

impl UnitSource {
    /// `stated`, `header` or `assumed`.
    pub fn word(self) -> &'static str {
        match self {
            UnitSource::Stated => "stated",
            UnitSource::Insunits | UnitSource::Measurement => "header",
            UnitSource::Assumed => "assumed",
        }
    }
}

impl DrawingUnit {
    /// What is to be said of it beside the figures of what lies within `extent` (drawing coordinates): where the drawing
    /// may be in inches, its size in both readings shows which is right. Nothing where the unit is stated or named.
    pub fn finding(&self, extent: &Bounds) -> Option<Finding> {
        if matches!(self.source, UnitSource::Stated | UnitSource::Insunits) {
            return None;
        }
        let finding = |code| match self.header.insunits {
            None => Finding::of(code),
            Some(0) => Finding::of(code).with("unitless", 0_u64),
            Some(insunits) => Finding::of(code).with("unknown", insunits.to_string()),
        };
        Some(match self.header.measurement {
            Some(0) if extent.is_empty() => finding(Code::UnitPerhapsInches),
            Some(0) => finding(Code::UnitPerhapsInches)
                .with("size", size(extent, self.unit))
                .with("size_in_inches", size(extent, LengthUnit::Inch)),
            Some(1) => finding(Code::UnitMetric),
            _ => finding(Code::UnitAssumed),
        })
    }
}

/// Width and height in millimetres of what is drawn in this unit.
fn size(extent: &Bounds, unit: LengthUnit) -> Value {
    Value::Size([extent.width(), extent.height()].map(|length| length * unit.millimetres()))
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
            [LengthUnit::Millimetre, LengthUnit::Inch].map(|unit| size(&extent, unit).to_string())
        };
        assert_eq!(both(438.2, 419.0), ["438 x 419 mm", "11.1 x 10.6 m"]);
        assert_eq!(both(5.75, 4.0), ["5.75 x 4 mm", "146 x 102 mm"]);
        assert_eq!(both(2440.4, 1220.0), ["2440 x 1220 mm", "62 x 31 m"]);
        assert_eq!(both(393.0, 393.8), ["393 x 394 mm", "9.98 x 10 m"]);
        assert_eq!(both(0.0625, 0.5), ["0.0625 x 0.5 mm", "1.59 x 12.7 mm"]);
        assert_eq!(both(2e6, 300.0), ["2000 x 0.3 m", "50.8 x 0.00762 km"]);
        assert_eq!(both(1e15, 1e15)[1], "25400000000 x 25400000000 km");
        let speck = Bounds { min: Point::ORIGIN, max: Point::new(1e-30, 2e-9) };
        assert_eq!(size(&speck, LengthUnit::Millimetre).to_string(), "1.000e-30 x 2.000e-9 mm");
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
        let messages = finding.to_string();
        for part in ["names no unit", "$MEASUREMENT 0", "20 x 35 mm; if inches, 508 x 889 mm: state whether"]
        {
            assert!(messages.contains(part), "{messages}");
        }
        // A row without an outline has no size.
        let messages = unit.finding(&Bounds::EMPTY).expect("a finding").to_string();
        assert!(messages.contains("millimetres are assumed: state"), "{messages}");
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
            let messages = finding.to_string();
            assert!(
                messages.contains("millimetres are assumed") && !messages.contains("inches"),
                "{messages}"
            );
        }
    }
}
