//! What can hardly be meant: densities, moduli and sizes beyond any that a shop works with, and what was probably meant.

use crate::finding::{Code, Finding, Value};
use crate::geometry::Bounds;
use crate::unit::LengthUnit;

/// Densities in kg/m³ from light foam to beyond the heaviest metal (osmium, 22,600).
const DENSITIES: std::ops::RangeInclusive<f64> = 100.0..=25_000.0;

/// Moduli in N/mm² below this are no structural material's; what is stated in kN/mm² lies below it, steel (210) too.
const LEAST_MODULUS: f64 = 250.0;

/// Sections in millimetres from a tenth of a millimetre to a hundred metres.
const SIZES: std::ops::RangeInclusive<f64> = 0.1..=100_000.0;

/// What to say of a density in kg/m³.
pub(super) fn density(density: f64) -> Option<Finding> {
    /// Above this a number of grams for a cubic centimetre would be beyond any material; kilonewtons go up to 220.
    const MOST_GRAMS: f64 = 22.6;
    const STANDARD_GRAVITY: f64 = 9.806_65;
    if DENSITIES.contains(&density) {
        return None;
    }
    let (unit, meant) = match density {
        d if d <= MOST_GRAMS => ("g/cm³", d * 1e3),
        d if d < 230.0 => ("kN/m³", d * 1e3 / STANDARD_GRAVITY),
        d => ("g/m³", d * 1e-3),
    };
    let is_meant = DENSITIES.contains(&meant);
    Some(
        Finding::of(Code::DensityImplausible)
            .with("density", Value::Number(density))
            .with_some("unit_meant", is_meant.then(|| Value::from(unit)))
            .with_some("meant", is_meant.then_some(Value::Number(meant))),
    )
}

/// What to say of a modulus of elasticity in N/mm².
pub(super) fn modulus(material: &str, modulus: f64) -> Option<Finding> {
    (modulus < LEAST_MODULUS).then(|| {
        Finding::of(Code::ModulusImplausible)
            .with("material", Value::Name(material.to_owned()))
            .with("modulus", Value::Number(modulus))
            .with("meant", Value::Number(modulus * 1e3))
    })
}

/// What to say of the size of a section, whose extent is in this unit.
pub(super) fn size(extent: &Bounds, unit: LengthUnit) -> Option<Finding> {
    let size = extent.size();
    if extent.is_empty() || SIZES.contains(&(size * unit.millimetres())) {
        return None;
    }
    let both = |unit: LengthUnit| {
        Value::Size([extent.width(), extent.height()].map(|length| length * unit.millimetres()))
    };
    /// The units that drawings are made in, the commonest first; sections of theirs are a millimetre to ten metres large.
    const UNITS: [LengthUnit; 5] = [
        LengthUnit::Millimetre,
        LengthUnit::Inch,
        LengthUnit::Metre,
        LengthUnit::Centimetre,
        LengthUnit::Foot,
    ];
    let is_usual = |other: &&LengthUnit| (1.0..=10_000.0).contains(&(size * other.millimetres()));
    let meant = UNITS.iter().find(is_usual);
    Some(
        Finding::of(Code::SizeImplausible)
            .with("size", both(unit))
            .with_some("unit_meant", meant.map(|meant| Value::from(meant.plural())))
            .with_some("size_meant", meant.map(|meant| both(*meant))),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Point;

    #[test]
    fn densities() {
        let meant = |d: f64| density(d).map(|finding| finding.message());
        assert!(meant(7850.0).is_none() && meant(100.0).is_none() && meant(25_000.0).is_none());
        assert!(meant(7.85).is_some_and(|words| words.contains("7.85 g/cm³ would be 7850 kg/m³")));
        assert!(meant(78.5).is_some_and(|words| words.contains("78.5 kN/m³ would be 8004")));
        assert!(meant(7_850_000.0).is_some_and(|words| words.contains("g/m³ would be 7850 kg/m³")));
        assert!(meant(1e-3).is_some_and(|words| !words.contains("would be")));
    }

    #[test]
    fn moduli() {
        assert!(modulus("steel", 210_000.0).is_none());
        assert!(modulus("steel", 210.0).is_some_and(|f| f.message().contains("210000 N/mm²")));
    }

    #[test]
    fn sizes() {
        let words = |width: f64, unit: LengthUnit| {
            let extent = Bounds { min: Point::ORIGIN, max: Point::new(width, 0.5 * width) };
            size(&extent, unit).map(|finding| finding.message())
        };
        assert!(words(300.0, LengthUnit::Millimetre).is_none() && words(99.0, LengthUnit::Metre).is_none());
        assert!(
            words(300.0, LengthUnit::Metre)
                .is_some_and(|w| w.contains("drawn in millimetres it would be 300 x 150 mm"))
        );
        assert!(
            words(0.03, LengthUnit::Millimetre)
                .is_some_and(|w| w.contains("drawn in metres it would be 30 x 15 mm"))
        );
    }
}
