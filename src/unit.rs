//! Units of length.

use std::fmt;
use std::str::FromStr;

/// A unit of length that $INSUNITS can name.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs, reason = "The names say it all")]
pub enum LengthUnit {
    Inch,
    Foot,
    Mile,
    Millimetre,
    Centimetre,
    Metre,
    Kilometre,
    Microinch,
    Mil,
    Yard,
    Angstrom,
    Nanometre,
    Micrometre,
    Decimetre,
    Decametre,
    Hectometre,
    Gigametre,
    AstronomicalUnit,
    LightYear,
    Parsec,
    UsSurveyFoot,
    UsSurveyInch,
    UsSurveyYard,
    UsSurveyMile,
}

/// 1200/3937 m by definition (US survey foot), in millimetres.
const US_SURVEY_FOOT: f64 = 1_200_000.0 / 3937.0;

/// $INSUNITS code, unit, millimetres, symbol, name. The inch is 25.4 mm exactly (international yard and pound,
/// 1959); the light year is the Julian year of 365.25 days at 299 792 458 m/s; the astronomical unit is
/// 149 597 870 700 m (IAU 2012 B2); the parsec is 648000/π of it (IAU 2015 B2).
const TABLE: [(i64, LengthUnit, f64, &str, &str); 24] = [
    (1, LengthUnit::Inch, 25.4, "in", "inch"),
    (2, LengthUnit::Foot, 304.8, "ft", "foot"),
    (3, LengthUnit::Mile, 1_609_344.0, "mi", "mile"),
    (4, LengthUnit::Millimetre, 1.0, "mm", "millimetre"),
    (5, LengthUnit::Centimetre, 10.0, "cm", "centimetre"),
    (6, LengthUnit::Metre, 1000.0, "m", "metre"),
    (7, LengthUnit::Kilometre, 1e6, "km", "kilometre"),
    (8, LengthUnit::Microinch, 25.4e-6, "µin", "microinch"),
    (9, LengthUnit::Mil, 0.0254, "mil", "mil"),
    (10, LengthUnit::Yard, 914.4, "yd", "yard"),
    (11, LengthUnit::Angstrom, 1e-7, "Å", "angstrom"),
    (12, LengthUnit::Nanometre, 1e-6, "nm", "nanometre"),
    (13, LengthUnit::Micrometre, 1e-3, "µm", "micrometre"),
    (14, LengthUnit::Decimetre, 100.0, "dm", "decimetre"),
    (15, LengthUnit::Decametre, 1e4, "dam", "decametre"),
    (16, LengthUnit::Hectometre, 1e5, "hm", "hectometre"),
    (17, LengthUnit::Gigametre, 1e12, "Gm", "gigametre"),
    (18, LengthUnit::AstronomicalUnit, 149_597_870_700_000.0, "au", "astronomical unit"),
    (19, LengthUnit::LightYear, 9_460_730_472_580_800_000.0, "ly", "light year"),
    (20, LengthUnit::Parsec, 149_597_870_700_000.0 * 648_000.0 / std::f64::consts::PI, "pc", "parsec"),
    (21, LengthUnit::UsSurveyFoot, US_SURVEY_FOOT, "ftUS", "US survey foot"),
    (22, LengthUnit::UsSurveyInch, US_SURVEY_FOOT / 12.0, "inUS", "US survey inch"),
    (23, LengthUnit::UsSurveyYard, US_SURVEY_FOOT * 3.0, "ydUS", "US survey yard"),
    (24, LengthUnit::UsSurveyMile, US_SURVEY_FOOT * 5280.0, "miUS", "US survey mile"),
];

impl LengthUnit {
    /// The unit that a value of $INSUNITS names; `None` for 0 (unitless) and unknown codes.
    pub fn from_insunits(code: i64) -> Option<LengthUnit> {
        TABLE.iter().find(|row| row.0 == code).map(|row| row.1)
    }

    fn row(self) -> &'static (i64, LengthUnit, f64, &'static str, &'static str) {
        // The table's rows stand in the order of the kinds, which a test below holds.
        &TABLE[self as usize]
    }

    /// The unit with this symbol; `None` for other text.
    pub fn from_symbol(symbol: &str) -> Option<LengthUnit> {
        TABLE.iter().find(|row| row.3 == symbol).map(|row| row.1)
    }

    /// Its value in $INSUNITS.
    pub fn insunits(self) -> i64 {
        self.row().0
    }

    /// Its length in millimetres: exact, or the nearest f64.
    pub fn millimetres(self) -> f64 {
        self.row().2
    }

    /// Its symbol, such as `mm` or `in`.
    pub fn symbol(self) -> &'static str {
        self.row().3
    }

    /// Its name in the singular, such as `millimetre`.
    pub fn name(self) -> &'static str {
        self.row().4
    }

    /// Its name in the plural, such as `millimetres` or `inches`: a symbol such as `in` reads ill in a sentence.
    pub fn plural(self) -> String {
        let name = self.name();
        if name.ends_with("inch") {
            format!("{name}es")
        } else if name.ends_with("foot") {
            name.replace("foot", "feet")
        } else {
            format!("{name}s")
        }
    }
}

impl fmt::Display for LengthUnit {
    /// The symbol.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.symbol())
    }
}

/// A unit of mass.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum MassUnit {
    /// Kilograms; masses per length are kilograms per metre.
    #[default]
    Kilogram,
    /// Pounds (avoirdupois); masses per length are pounds per foot.
    Pound,
}

impl MassUnit {
    /// Its mass in kilograms, exact (international yard and pound, 1959).
    pub fn kilograms(self) -> f64 {
        match self {
            MassUnit::Kilogram => 1.0,
            MassUnit::Pound => 0.453_592_37,
        }
    }

    /// Its symbol: `kg` or `lb`.
    pub fn symbol(self) -> &'static str {
        match self {
            MassUnit::Kilogram => "kg",
            MassUnit::Pound => "lb",
        }
    }

    /// The length that masses per length go by: a metre or a foot.
    pub fn per_length(self) -> LengthUnit {
        match self {
            MassUnit::Kilogram => LengthUnit::Metre,
            MassUnit::Pound => LengthUnit::Foot,
        }
    }
}

impl fmt::Display for MassUnit {
    /// The symbol.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.symbol())
    }
}

impl FromStr for MassUnit {
    type Err = UnknownMassUnit;

    fn from_str(text: &str) -> Result<MassUnit, UnknownMassUnit> {
        match text.trim().to_lowercase().as_str() {
            "kg" => Ok(MassUnit::Kilogram),
            "lb" | "lbs" => Ok(MassUnit::Pound),
            _ => Err(UnknownMassUnit(text.to_owned())),
        }
    }
}

/// A word that is no unit of mass that can be asked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnknownMassUnit(String);

impl fmt::Display for UnknownMassUnit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "unknown unit of mass “{}”: use kg or lb", self.0.escape_debug())
    }
}

impl std::error::Error for UnknownMassUnit {}

/// The units of all figures of a schedule.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[non_exhaustive]
pub struct Units {
    /// Unit of lengths, areas, moments and moduli.
    pub length: LengthUnit,
    /// Unit of masses and masses per length.
    pub mass: MassUnit,
}

impl Units {
    /// Units that headings of schedules can name: each unit of length, and each unit of mass with one of them.
    pub(crate) const OF_HEADINGS: [Units; 6] = {
        const fn with(length: LengthUnit, mass: MassUnit) -> Units {
            Units { length, mass }
        }
        let (kilogram, pound) = (MassUnit::Kilogram, MassUnit::Pound);
        [
            with(LengthUnit::Millimetre, kilogram),
            with(LengthUnit::Centimetre, kilogram),
            with(LengthUnit::Metre, kilogram),
            with(LengthUnit::Inch, kilogram),
            with(LengthUnit::Foot, kilogram),
            with(LengthUnit::Millimetre, pound),
        ]
    };

    /// These units.
    pub fn of(length: LengthUnit, mass: MassUnit) -> Units {
        Units { length, mass }
    }
}

impl From<LengthUnit> for Units {
    /// This unit of length, with kilograms.
    fn from(length: LengthUnit) -> Units {
        Units::of(length, MassUnit::Kilogram)
    }
}

/// A word that is no unit of length that can be asked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnknownUnit(String);

impl fmt::Display for UnknownUnit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "unknown unit “{}”: use mm, cm, m, in or ft", self.0.escape_debug())
    }
}

impl std::error::Error for UnknownUnit {}

impl FromStr for LengthUnit {
    type Err = UnknownUnit;

    /// `mm`, `cm`, `m`, `in` or `ft`, or their names in the singular or plural, in any letter case.
    fn from_str(text: &str) -> Result<LengthUnit, UnknownUnit> {
        Ok(match text.trim().to_lowercase().as_str() {
            "mm" | "millimetre" | "millimetres" | "millimeter" | "millimeters" => LengthUnit::Millimetre,
            "cm" | "centimetre" | "centimetres" | "centimeter" | "centimeters" => LengthUnit::Centimetre,
            "m" | "metre" | "metres" | "meter" | "meters" => LengthUnit::Metre,
            "in" | "inch" | "inches" => LengthUnit::Inch,
            "ft" | "foot" | "feet" => LengthUnit::Foot,
            _ => return Err(UnknownUnit(text.to_owned())),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_stands_in_the_order_of_the_kinds() {
        for row in &TABLE {
            assert_eq!(row.1.row(), row);
            assert_eq!(LengthUnit::from_insunits(row.0), Some(row.1));
            assert_eq!(LengthUnit::from_symbol(row.3), Some(row.1));
        }
        assert_eq!(LengthUnit::from_insunits(0), None);
        assert_eq!(LengthUnit::from_insunits(25), None);
    }

    #[test]
    fn lengths() {
        // The international yard is 0.9144 m exactly (1959). In tenths of a millimetre, which are whole numbers: 12
        // inches as a product of f64 are 304.79999999999995.
        let tenths = |unit: LengthUnit| (unit.millimetres() * 10.0) as u64;
        assert_eq!(LengthUnit::Inch.millimetres(), 25.4);
        assert_eq!(LengthUnit::Foot.millimetres(), 304.8);
        assert_eq!(LengthUnit::Yard.millimetres(), 914.4);
        assert_eq!(LengthUnit::Mile.millimetres(), 1_609_344.0);
        assert_eq!(tenths(LengthUnit::Foot), 12 * tenths(LengthUnit::Inch));
        assert_eq!(tenths(LengthUnit::Yard), 3 * tenths(LengthUnit::Foot));
        assert_eq!(tenths(LengthUnit::Mile), 5280 * tenths(LengthUnit::Foot));
        // 3.085677581e16 m (IAU 2015 B2 note 4, rounded).
        assert!((LengthUnit::Parsec.millimetres() / 3.085_677_581e19 - 1.0).abs() < 1e-9);
        // 0.3048006 m (NIST SP 811, appendix B.6, rounded).
        assert!((LengthUnit::UsSurveyFoot.millimetres() / 304.8006 - 1.0).abs() < 1e-7);
    }

    #[test]
    fn words() {
        assert_eq!("MM".parse(), Ok(LengthUnit::Millimetre));
        assert_eq!("feet".parse(), Ok(LengthUnit::Foot));
        let error = "furlong".parse::<LengthUnit>().unwrap_err().to_string();
        assert!(error.contains("furlong") && error.contains("mm, cm, m, in or ft"));
    }
}
