//! The header: version, code page and units. Everything else in it is passed over.

use std::fmt;

use super::pairs::Pairs;
use super::text::Encoder;
use super::units::Units;
use crate::unit::LengthUnit;

/// How a drawing is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Encoding {
    /// As text.
    Text,
    /// In the binary form of DXF.
    Binary,
}

impl fmt::Display for Encoding {
    /// `text` or `binary`
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Encoding::Text => "text",
            Encoding::Binary => "binary",
        })
    }
}

/// The version of DXF that a drawing was written in, as $ACADVER says.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Version {
    code: Option<String>,
}

const RELEASES: [(&str, &str); 15] = [
    ("AC1002", "R2.5"),
    ("AC1003", "R2.6"),
    ("AC1004", "R9"),
    ("AC1006", "R10"),
    ("AC1009", "R12"),
    ("AC1012", "R13"),
    ("AC1013", "R13"),
    ("AC1014", "R14"),
    ("AC1015", "R2000"),
    ("AC1018", "R2004"),
    ("AC1021", "R2007"),
    ("AC1024", "R2010"),
    ("AC1027", "R2013"),
    ("AC1032", "R2018"),
    ("AC2.10", "R2.10"),
];

impl Version {
    /// $ACADVER as written, such as `AC1027`; `None` where the header has none.
    pub fn code(&self) -> Option<&str> {
        self.code.as_deref()
    }

    /// The release that first wrote this version, such as `R2013`; `None` where it is not known.
    pub fn release(&self) -> Option<&'static str> {
        let code = self.code()?;
        RELEASES.iter().find(|row| row.0.eq_ignore_ascii_case(code)).map(|row| row.1)
    }

    /// Strings are written in UTF-8: from R2007 (AC1021).
    pub(super) fn is_unicode(&self) -> bool {
        let number = self.code().and_then(|code| code.get(2..)).and_then(|digits| digits.parse::<u32>().ok());
        number.is_some_and(|number| number >= 1021)
    }
}

impl fmt::Display for Version {
    /// `R2013 (AC1027)`
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match (self.code(), self.release()) {
            (Some(code), Some(release)) => write!(f, "{release} ({code})"),
            (Some(code), None) => write!(f, "unknown version ({code})"),
            (None, _) => f.write_str("R12 or older (no version given)"),
        }
    }
}

/// What is kept of the header.
#[derive(Clone, Debug, Default)]
pub(super) struct Header {
    pub version: Version,
    pub code_page: Option<String>,
    pub units: Units,
}

impl Header {
    /// Reads variables up to the next pair of code 0, which is left to be read again, or up to damage. A variable counts
    /// when the next begins: one that is damaged says nothing.
    pub fn read(&mut self, pairs: &mut Pairs) {
        #[derive(Clone, Copy)]
        enum Variable {
            Version,
            CodePage,
            Insunits,
            Measurement,
            Other,
        }
        const KEPT: [(&[u8], Variable); 4] = [
            (b"$ACADVER", Variable::Version),
            (b"$DWGCODEPAGE", Variable::CodePage),
            (b"$INSUNITS", Variable::Insunits),
            (b"$MEASUREMENT", Variable::Measurement),
        ];
        let mut variable = Variable::Other;
        let mut read = self.clone();
        while pairs.advance() {
            let value = pairs.text().trim_ascii();
            match (pairs.code(), variable) {
                (0, _) => {
                    *self = read;
                    return pairs.hold();
                }
                (9, _) => {
                    // Of the others, some hundred, nothing is kept.
                    if !matches!(variable, Variable::Other) {
                        self.clone_from(&read);
                    }
                    let kept = KEPT.iter().find(|(name, _)| name.eq_ignore_ascii_case(value));
                    variable = kept.map_or(Variable::Other, |(_, variable)| *variable);
                }
                (1, Variable::Version) => read.version.code = word(value),
                (3, Variable::CodePage) => read.code_page = word(value),
                (70, Variable::Insunits) => {
                    read.units.insunits = pairs.whole();
                    read.units.unit = read.units.insunits.and_then(LengthUnit::from_insunits);
                }
                (70, Variable::Measurement) => read.units.measurement = pairs.whole(),
                _ => {}
            }
        }
    }

    /// How the drawing's strings are written.
    pub fn encoder(&self) -> Encoder {
        Encoder::new(self.code_page.as_deref(), self.version.is_unicode())
    }
}

/// A short name; anything longer than a name can be is kept short.
fn word(value: &[u8]) -> Option<String> {
    let text = String::from_utf8_lossy(&value[..value.len().min(64)]).into_owned();
    (!text.is_empty()).then_some(text)
}
