//! Changes as CSV.

use std::io::{self, Write};

use super::compare::{Change, Changes};
use crate::schedule::{Digits, harmless, write_table};

/// The columns of changes, in their order, with what they hold.
pub const CHANGE_COLUMNS: [(&str, &str); 10] = [
    ("change", "added | gone | changed"),
    (
        "drawing",
        "path of the drawing, as the later schedule has it; of what is gone as the former one has it",
    ),
    ("section", "name of the section"),
    ("number", "which of several sections with these names, from 1; empty where there is one"),
    ("column", "heading of the column in the former schedule, with the unit of all figures in this row"),
    ("before", "the former value, as it stands in its schedule"),
    ("after", "the later value, converted where its schedule has another unit"),
    ("difference", "after − before; of angles the shortest way"),
    ("difference_percent", "the difference in per cent of the former value"),
    ("allowed", "the difference that is allowed; empty for text and for empty cells"),
];

/// Digits of differences: what changed is seen by the first of them.
const DIFFERENCE: Digits = Digits::Significant(3);

/// The cells of a change under [`CHANGE_COLUMNS`].
pub(super) fn cells(change: &Change) -> [String; 10] {
    let number = |value: Option<f64>, digits: Digits| value.map_or(String::new(), |v| digits.text(v, 0.0));
    let value = change.value.as_ref();
    [
        change.kind.word().to_owned(),
        change.drawing.to_owned(),
        change.section.to_owned(),
        change.number.map_or(String::new(), |number| number.to_string()),
        value.map_or(String::new(), |value| value.column.to_owned()),
        value.map_or(String::new(), |value| value.before.to_owned()),
        value.map_or(String::new(), |value| value.after.to_string()),
        number(value.and_then(|value| value.difference), DIFFERENCE),
        number(value.and_then(|value| value.per_cent), DIFFERENCE),
        number(value.and_then(|value| value.allowed), DIFFERENCE),
    ]
}

/// Writes all changes as CSV.
///
/// # Errors
///
/// Those of the writer.
pub fn write_csv(changes: &Changes, out: impl Write) -> io::Result<()> {
    let rows = changes.iter().map(|change| {
        // Numbers begin with signs too; all else is text that a spreadsheet might run.
        cells(&change)
            .into_iter()
            .map(|cell| if cell.parse::<f64>().is_ok() { cell } else { harmless(cell) })
            .collect()
    });
    write_table(CHANGE_COLUMNS.iter().map(|(heading, _)| (*heading).to_owned()), rows, out)
}

#[cfg(test)]
mod tests {
    use super::super::{By, DEFAULT_WITHIN, Rows, compare};
    use super::*;
    use crate::check::Within;

    #[test]
    fn text_stays_text() {
        let before = Rows::of(
            &["area_in2", "layer"],
            [("=a.dxf", "@LUG, \"left\"", ["1", "-A"]), ("=a.dxf", "GONE", ["1", ""])],
        );
        let after = Rows::of(
            &["area_mm2", "layer"],
            [("=a.dxf", "@LUG, \"left\"", ["-700", "+B"]), ("=a.dxf", "=NEW", ["1", ""])],
        );
        let within = Within::with_default(DEFAULT_WITHIN, &[]);
        let changes = compare(&before, &after, By::default(), &within).expect("a comparison");
        let mut text = Vec::new();
        write_csv(&changes, &mut text).expect("writing to memory");
        // −700 / 645.16 = −1.08500…
        assert_eq!(
            String::from_utf8(text).expect("text"),
            "change,drawing,section,number,column,before,after,difference,difference_percent,allowed\n\
             added,'=a.dxf,'=NEW,,,,,,,\n\
             gone,'=a.dxf,GONE,,,,,,,\n\
             changed,'=a.dxf,\"'@LUG, \"\"left\"\"\",,area_in2,1,-1.08500217000434,-2.09,-209,0.00002\n\
             changed,'=a.dxf,\"'@LUG, \"\"left\"\"\",,layer,'-A,'+B,,,\n"
        );
    }
}
