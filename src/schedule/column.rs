//! What a column is.

use std::fmt;

use super::columns::ALL;
pub use super::columns::ColumnKey;
use crate::measure::Measurement;

/// What a column holds, and so which unit it has.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Quantity {
    /// Words.
    Text,
    /// A whole number.
    Count,
    /// A length to this power.
    Length(i32),
    /// An angle in degrees.
    Degrees,
    /// Mass per length, always kg/m.
    MassPerLength,
    /// Mass, always kg.
    Mass,
    /// A number without unit.
    Ratio,
}

/// A cell before it is written.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// Words.
    Text(String),
    /// A whole number.
    Count(usize),
    /// A number in the drawing's unit, with the scale of which it is a part: below a 1e-12 share of that it is rounding.
    Number {
        /// The value.
        value: f64,
        /// Its natural scale, never negative; 0 where every digit counts.
        scale: f64,
        /// The size of what it is a place in, which its digits go by; `None` for what is no place.
        place_in: Option<f64>,
    },
    /// Not known.
    Empty,
}

impl Value {
    /// A number times a factor, with these digits; `None` for what is no number.
    #[cfg(any(feature = "sheet", feature = "mark"))]
    pub(crate) fn text(&self, factor: f64, digits: super::Digits) -> Option<String> {
        let Value::Number { value, scale, place_in } = self else { return None };
        Some(match place_in {
            Some(size) => digits.place(value * factor, scale * factor, size * factor),
            None => digits.text(value * factor, scale * factor),
        })
    }
}

/// Which schedules have a column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum Group {
    /// Every schedule.
    Common,
    /// Those in which each part has a row, which is named by what is written in the drawing; empty where nothing is
    /// written in the part or beside it.
    Label,
    /// Those of plates; empty in the rows of sections that could not be measured.
    Plate,
    /// Those of a job that states axes of its own for a section; empty in the rows of sections without such axes.
    Stated,
    /// Those with torsion, warping and shear constants; empty in the rows of sections that have none.
    Field,
}

impl Group {
    /// The columns of the group in their order.
    pub fn columns(self) -> impl Iterator<Item = &'static Column> {
        Column::ALL.iter().filter(move |column| column.group == self)
    }
}

/// A column of the schedule.
pub struct Column {
    /// Which column it is.
    pub key: ColumnKey,
    /// What it holds.
    pub quantity: Quantity,
    /// Definition.
    pub definition: &'static str,
    /// Which schedules have it.
    pub group: Group,
    pub(super) value: fn(&Measurement) -> Value,
}

impl fmt::Debug for Column {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_tuple("Column").field(&self.key).finish()
    }
}

impl Column {
    /// Every column that a schedule can have: those of every schedule first, and each group in its order.
    pub const ALL: &'static [Column] = &ALL;

    /// The column's value for a measurement.
    pub fn value(&self, measurement: &Measurement) -> Value {
        (self.value)(measurement)
    }

    /// Whether the column holds the findings, which some formats write as a list of their own.
    pub(super) fn holds_findings(&self) -> bool {
        self.key == ColumnKey::Findings
    }
}

impl ColumnKey {
    /// The column with this name, in any letter case.
    pub fn from_name(name: &str) -> Option<ColumnKey> {
        ColumnKey::ALL.iter().copied().find(|key| key.name().eq_ignore_ascii_case(name))
    }
}

impl ColumnKey {
    /// Whether the figures are places in the drawing, whose digits go by the size of the section.
    #[cfg(any(test, feature = "ledger"))]
    pub(crate) fn is_place(self) -> bool {
        use ColumnKey as K;
        matches!(
            self,
            K::XMin
                | K::XMax
                | K::YMin
                | K::YMax
                | K::CentroidX
                | K::CentroidY
                | K::PlasticAxisY
                | K::PlasticAxisX
                | K::BalanceX
                | K::BalanceY
                | K::StatedPointX
                | K::StatedPointY
        )
    }
}

impl fmt::Display for ColumnKey {
    /// The [name](ColumnKey::name).
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.name())
    }
}

/// Makes the keys of a table of the lines that name and define its columns.
macro_rules! keys {
    ($(#[$about:meta])* $keys:ident { $($key:ident: $name:literal, $definition:literal;)* }) => {
        $(#[$about])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        #[non_exhaustive]
        pub enum $keys {
            $(#[doc = $definition] $key,)*
        }

        impl $keys {
            /// All of them, in the order of the columns.
            pub const ALL: &'static [$keys] = &[$($keys::$key,)*];

            /// The column's name, the same in every version.
            pub const fn name(self) -> &'static str {
                match self {
                    $($keys::$key => $name,)*
                }
            }

            /// What it holds.
            pub const fn definition(self) -> &'static str {
                match self {
                    $($keys::$key => $definition,)*
                }
            }
        }
    };
}
pub(crate) use keys;

/// Makes the keys and the table of columns of the same lines, so that each key has its column.
macro_rules! columns {
    ($($group:ident {
        $($key:ident: $name:literal, $quantity:expr, $definition:literal, $value:expr;)*
    })*) => {
        super::column::keys! {
            /// Which column of a schedule, whatever its unit: `second_moment_x`.
            ColumnKey { $($($key: $name, $definition;)*)* }
        }

        impl ColumnKey {
            /// The column.
            pub fn column(self) -> &'static Column {
                // The table has a line for each key, in the order of the keys.
                &ALL[self as usize]
            }
        }

        pub(super) static ALL: [Column; ColumnKey::ALL.len()] = [$($(Column {
            key: ColumnKey::$key,
            quantity: $quantity,
            definition: $definition,
            group: Group::$group,
            value: $value,
        },)*)*];
    };
}
pub(super) use columns;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_names_and_columns_belong_together() {
        for column in Column::ALL {
            let key = column.key;
            assert!(std::ptr::eq(key.column(), column), "{key}");
            assert_eq!(
                ColumnKey::from_name(&key.name().to_ascii_uppercase()),
                Some(key),
                "no name stands twice"
            );
        }
        assert_eq!(ColumnKey::from_name("aera"), None);
    }

    /// What says which columns are places agrees with the figures that they give.
    #[test]
    fn places_are_known_by_their_columns() {
        let corners = "10\n20\n20\n30\n10\n140\n20\n30\n10\n140\n20\n95\n";
        let text = format!(
            "0\nSECTION\n2\nENTITIES\n0\nLWPOLYLINE\n8\nLUG\n90\n3\n70\n1\n{corners}0\nENDSEC\n0\nEOF\n"
        );
        let drawing = crate::drawing::Drawing::read(text.as_bytes()).unwrap();
        let options = crate::measure::Options::with(|options| options.thickness_mm = Some(8.0));
        let measured = crate::measure::drawing("a.dxf", &drawing, &options).measurements;
        let mut places = 0;
        for column in Column::ALL {
            if let Value::Number { place_in, .. } = column.value(&measured[0]) {
                assert_eq!(place_in.is_some(), column.key.is_place(), "{}", column.key);
                places += usize::from(place_in.is_some());
            }
        }
        assert_eq!(places, 10);
    }
}
