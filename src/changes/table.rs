//! Changes as CSV.

use std::io::{self, Write};

use super::change::{Change, ValueChange};
use super::compare::Changes;
use crate::check::{DIFFERENCE, write_cells};

crate::schedule::keys! {
    /// The columns of changes.
    ChangeColumn {
        Change: "change", "added | gone | changed | not compared";
        Drawing: "drawing", "path of the drawing, as the later schedule has it; of what stands in the former one alone as that has it";
        Section: "section", "name of the section";
        Number: "number", "which of several sections with these names, from 1; empty where there is one";
        Column: "column", "heading of the column in the former schedule, with the unit of all figures in this row";
        Before: "before", "the former value, as it stands in its schedule";
        After: "after", "the later value, converted where its schedule has another unit";
        Difference: "difference", "after − before; of angles the shortest way";
        DifferencePercent: "difference_percent", "the difference in per cent of the former value";
        Allowed: "allowed", "the difference that is allowed; empty for text and for empty cells";
    }
}

impl ChangeColumn {
    /// The cell of a change in this column.
    pub fn cell(self, change: &Change) -> String {
        let of_value = |text: fn(&ValueChange) -> String| change.value.as_ref().map_or(String::new(), text);
        let number = |number: fn(&ValueChange) -> Option<f64>| {
            let number = change.value.as_ref().and_then(number);
            number.map_or(String::new(), |number| DIFFERENCE.text(number, 0.0))
        };
        match self {
            ChangeColumn::Change => change.kind.word().to_owned(),
            ChangeColumn::Drawing => change.drawing.to_owned(),
            ChangeColumn::Section => change.section.to_owned(),
            ChangeColumn::Number => change.number.map_or(String::new(), |number| number.to_string()),
            ChangeColumn::Column => of_value(|value| value.column.to_owned()),
            ChangeColumn::Before => of_value(|value| value.before.to_owned()),
            ChangeColumn::After => of_value(|value| value.after.to_string()),
            ChangeColumn::Difference => number(|value| value.difference),
            ChangeColumn::DifferencePercent => number(|value| value.per_cent),
            ChangeColumn::Allowed => number(|value| value.allowed),
        }
    }
}

/// Writes all changes as CSV.
///
/// # Errors
///
/// Those of the writer.
pub fn write_csv(changes: &Changes, out: impl Write) -> io::Result<()> {
    let rows =
        changes.iter().map(|change| ChangeColumn::ALL.iter().map(|column| column.cell(&change)).collect());
    write_cells(ChangeColumn::ALL.iter().map(|column| column.name()), rows, out)
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
        let changes = compare(&before, &after, By::default(), &within, None).expect("a comparison");
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
