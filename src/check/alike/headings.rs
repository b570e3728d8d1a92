//! Headings and rows of tables that people made or a schedule is.

use std::collections::BTreeSet;

use super::super::table_error::TableError;
use crate::finding::{Code, Finding, Position, Value, nearest};
use crate::schedule::{Column, ColumnKey};
use crate::unit::Units;

/// Columns that are for people: where a figure comes from, what to know of it. They are not compared.
pub const PEOPLES_COLUMNS: &[&str] = &["source", "note"];

/// More columns than every column of the schedule in every unit.
pub(crate) const MOST_COLUMNS: usize = 1000;

/// Columns of the schedule that are not held against anything, and why.
const NOT_COMPARED: &[(ColumnKey, &str)] = &[
    (ColumnKey::Findings, "its words may change from one version to the next"),
    (ColumnKey::StripCheck, "it is the rounding of this run alone"),
];

/// Why a column is not held against anything; `None` where it is.
pub(crate) fn not_compared(key: ColumnKey) -> Option<&'static str> {
    NOT_COMPARED.iter().find(|(not, _)| *not == key).map(|(_, why)| *why)
}

/// The column with this heading, in any letter case, and the units that the heading names; millimetres and kilograms where
/// it names none.
pub(crate) fn by_heading(heading: &str) -> Option<(&'static Column, Units)> {
    Column::ALL.iter().find_map(|column| {
        let named = Units::OF_HEADINGS
            .into_iter()
            .find(|unit| column.heading(*unit).eq_ignore_ascii_case(heading))?;
        Some((column, named))
    })
}

/// The text of a table of at most so many bytes.
///
/// # Errors
///
/// An error that says why it can't be read.
pub(crate) fn text_of(bytes: &[u8], largest: usize) -> Result<&str, TableError> {
    if bytes.len() > largest {
        return Err(Finding::of(Code::TableTooLarge).with("limit", largest >> 20).into());
    }
    std::str::from_utf8(bytes).map_err(|error| {
        let line = bytes.iter().take(error.valid_up_to()).filter(|byte| **byte == b'\n').count();
        Finding::of(Code::TableNotUtf8).in_file(Position::Line(line as u64 + 1)).into()
    })
}

/// What to say of a table whose columns are separated by something else than commas.
pub(crate) fn without_commas(headings: &[String]) -> Option<Finding> {
    match headings {
        [only] if only.contains('\t') => {
            Some(Finding::of(Code::TableWithoutCommas).in_file(Position::Line(1)))
        }
        _ => None,
    }
}

/// What to say of a row that has another number of cells than there are headings.
pub(crate) fn miscounted(line: u64, cells: usize, headings: usize) -> Finding {
    let finding = Finding::of(Code::RowMiscounted).with("cells", cells).with("headings", headings);
    finding.in_file(Position::Line(line))
}

/// The first few findings in words, behind another.
pub(crate) fn first_of(findings: &[Finding]) -> Option<String> {
    let words: String = findings.iter().take(3).map(|finding| format!("; {finding}")).collect();
    Some(words).filter(|words| !words.is_empty())
}

/// What to say of a heading that is none of the schedule's.
pub(crate) fn unknown(written: &str) -> Finding {
    if written.is_empty() {
        return Finding::of(Code::ColumnWithoutHeading);
    }
    let finding = Finding::of(Code::ColumnUnknown).with("column", Value::Name(written.to_owned()));
    if let Some(key) = ColumnKey::from_name(written) {
        let mut headings: Vec<String> =
            Units::OF_HEADINGS.iter().map(|unit| key.column().heading(*unit)).collect();
        let mut seen = BTreeSet::new();
        headings.retain(|heading| seen.insert(heading.clone()));
        return finding.with("headings", headings.join(", "));
    }
    let headings: BTreeSet<String> =
        Column::ALL.iter().flat_map(|column| Units::OF_HEADINGS.map(|unit| column.heading(unit))).collect();
    finding.with_some("nearest", nearest(written, headings.iter().map(String::as_str)))
}
