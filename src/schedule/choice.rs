//! Which columns are written, and in which order.

use std::fmt;

use super::{Column, ColumnKey, Group, Style};
use crate::finding::nearest;
use crate::measure::Patterns;
use crate::unit::Units;

const ALL: usize = ColumnKey::ALL.len();

/// The columns that a schedule is written with, in their order.
#[derive(Clone, Copy, PartialEq, Eq)]
pub struct ColumnChoice {
    keys: [ColumnKey; ALL],
    count: usize,
}

/// Words that choose no column.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum ColumnChoiceError {
    /// No column and no group has this name; perhaps the other is meant.
    Unknown(String, Option<&'static str>),
    /// No name was given.
    Nothing,
    /// The schedule has no column of this name: only others have this group.
    NotInStyle(String, Group),
}

impl fmt::Display for ColumnChoiceError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            ColumnChoiceError::Nothing => f.write_str("name at least one column, such as area"),
            ColumnChoiceError::NotInStyle(name, group) => {
                let why = match group {
                    Group::Label => "where parts or outlines are sections",
                    Group::Plate => "for plates with a thickness",
                    Group::Field => "with torsion, warping and shear constants",
                    Group::Common | Group::Stated => "for a job with axes of its own",
                };
                write!(f, "the column “{}” exists only {why}", name.escape_debug())
            }
            ColumnChoiceError::Unknown(name, near) => {
                write!(f, "there is no column “{}”", name.escape_debug())?;
                match near {
                    Some(near) => write!(f, "; perhaps {near} is meant"),
                    None => f.write_str(": use the names of the schedule without their units, such as area"),
                }
            }
        }
    }
}

impl std::error::Error for ColumnChoiceError {}

impl ColumnChoice {
    /// The columns of a list with commas: names without units (`area`), patterns (`*_modulus_x*`), and groups, which are the
    /// first words of names (`plastic`, `centroid`), `plate`, `stated` and `field`. A column that is named twice stands at its first
    /// place.
    ///
    /// # Errors
    /// Where a name is none of these.
    pub fn of(list: &str) -> Result<ColumnChoice, ColumnChoiceError> {
        let mut choice = ColumnChoice { keys: [ColumnKey::Drawing; ALL], count: 0 };
        for name in list.split(',').map(str::trim).filter(|name| !name.is_empty()) {
            let mut found = false;
            for column in Column::ALL.iter().filter(|column| fits(column, name)) {
                found = true;
                choice.add(column.key);
            }
            if !found {
                let names = ColumnKey::ALL.iter().map(|key| key.name());
                return Err(ColumnChoiceError::Unknown(name.to_owned(), nearest(name, names)));
            }
        }
        if choice.count == 0 { Err(ColumnChoiceError::Nothing) } else { Ok(choice) }
    }

    /// The same for a schedule in this style, with none that it does not have.
    ///
    /// # Errors
    /// Where a name is none of these, or chooses columns of another style alone.
    pub fn of_style(list: &str, style: Style) -> Result<ColumnChoice, ColumnChoiceError> {
        let choice = ColumnChoice::of(list)?;
        for name in list.split(',').map(str::trim).filter(|name| !name.is_empty()) {
            let of_name = ColumnChoice::of(name)?;
            let has = |key: &ColumnKey| style.columns().any(|column| column.key == *key);
            if let Some(missing) = of_name.keys().first().filter(|_| !of_name.keys().iter().any(has)) {
                return Err(ColumnChoiceError::NotInStyle(name.to_owned(), missing.column().group));
            }
        }
        Ok(choice)
    }

    /// The columns in their order.
    pub fn keys(&self) -> &[ColumnKey] {
        &self.keys[..self.count]
    }

    fn add(&mut self, key: ColumnKey) {
        if !self.keys().contains(&key) {
            self.keys[self.count] = key;
            self.count += 1;
        }
    }
}

impl fmt::Debug for ColumnChoice {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_tuple("ColumnChoice").field(&self.keys()).finish()
    }
}

/// Whether a name, a pattern or a group names the column.
fn fits(column: &Column, name: &str) -> bool {
    let (name, key) = (name.to_lowercase(), column.key.name());
    if ColumnKey::from_name(&name).is_some() {
        return key == name;
    }
    // With the unit that stands in the heading it is the same column.
    if Units::OF_HEADINGS.iter().any(|unit| column.heading(*unit).eq_ignore_ascii_case(&name)) {
        return true;
    }
    if name.contains(['*', '?', '[']) {
        return Patterns::new(&[name]).is_ok_and(|patterns| patterns.match_any(key));
    }
    match name.as_str() {
        "plate" => column.group == Group::Plate,
        "stated" => column.group == Group::Stated,
        "field" => column.group == Group::Field,
        _ => key.strip_prefix(name.as_str()).is_some_and(|rest| rest.starts_with('_')),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(list: &str) -> Vec<&'static str> {
        ColumnChoice::of(list).expect("columns").keys().iter().map(|key| key.name()).collect()
    }

    #[test]
    fn names_patterns_and_groups() {
        assert_eq!(names("area, section"), ["area", "section"]);
        assert_eq!(names("area_cm2"), ["area"]);
        assert_eq!(names("Area,area,a*ea"), ["area"]);
        assert_eq!(names("centroid"), ["centroid_x", "centroid_y"]);
        assert_eq!(names("plastic").len(), 6);
        assert_eq!(
            names("second_moment_?,mass"),
            ["second_moment_x", "second_moment_y", "second_moment_1", "second_moment_2", "mass"]
        );
        assert_eq!(names("plate").len(), Group::Plate.columns().count());
        assert_eq!(names("field").len(), Group::Field.columns().count());
        assert_eq!(names("*").len(), ALL);
    }

    #[test]
    fn what_is_no_column() {
        let error = |list: &str| ColumnChoice::of(list).expect_err("no column").to_string();
        assert!(error("aera").contains("perhaps area is meant"));
        assert!(error("colour").contains("without their units") && error(" , ").contains("at least one"));
        assert!(error("z*").contains("“z*”"));
    }

    #[test]
    fn what_the_style_does_not_have() {
        let error = |list: &str| ColumnChoice::of_style(list, Style::default()).expect_err("not there");
        let of = |name: &str, group| ColumnChoiceError::NotInStyle(name.to_owned(), group);
        assert_eq!(error("area,mass,cut_length"), of("mass", Group::Plate));
        assert_eq!(error("label"), of("label", Group::Label));
        assert!(ColumnChoice::of_style("mass*", Style::default()).is_ok(), "mass_per_length is there");
        let plates = Style::with(|s| s.plates = true);
        assert!(ColumnChoice::of_style("area,cut_length", plates).is_ok());
    }
}
