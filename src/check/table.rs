//! A comparison as CSV.

use std::io::{self, Write};

use super::compare::{Figure, Found};
use crate::schedule::{Digits, harmless, write_table};

/// The columns of a comparison, in their order, with what they hold.
pub const CHECK_COLUMNS: [(&str, &str); 10] = [
    ("drawing", "path of the drawing as it was given"),
    ("section", "name of the section"),
    ("column", "heading of the column, with the unit of the figures"),
    ("expected", "the expected value, as it stands in the table"),
    ("found", "the value of the section; empty where it has none"),
    ("difference", "found − expected; of angles the shortest way"),
    ("difference_percent", "the difference in per cent of the expected value"),
    ("allowed", "the difference that is allowed; empty for text"),
    ("result", "pass | fail"),
    ("remark", "why nothing was found"),
];

/// Digits of differences: what is off is seen by the first of them.
const DIFFERENCE: Digits = Digits::Significant(3);

/// The cells of a figure under [`CHECK_COLUMNS`].
pub fn cells(figure: &Figure, digits: Digits) -> [String; 10] {
    let number = |value: Option<f64>, digits: Digits| value.map_or(String::new(), |v| digits.text(v, 0.0));
    let found = match &figure.found {
        Found::Nothing => String::new(),
        Found::Text(text) => text.clone(),
        Found::Number(value) => number(Some(*value), digits),
    };
    [
        figure.drawing.clone(),
        figure.section.clone(),
        figure.column.clone(),
        figure.expected.clone(),
        found,
        number(figure.difference, DIFFERENCE),
        number(figure.per_cent, DIFFERENCE),
        number(figure.allowed, digits),
        if figure.pass { "pass" } else { "fail" }.to_owned(),
        figure.remark.clone(),
    ]
}

/// Writes figures as CSV, in the order that they are given in.
///
/// # Errors
///
/// Those of the writer.
pub fn write_csv(figures: &[Figure], digits: Digits, out: impl Write) -> io::Result<()> {
    let rows = figures.iter().map(|figure| {
        // Numbers begin with signs too; all else is text that a spreadsheet might run.
        cells(figure, digits)
            .into_iter()
            .map(|cell| if cell.parse::<f64>().is_ok() { cell } else { harmless(cell) })
            .collect()
    });
    write_table(CHECK_COLUMNS.iter().map(|(heading, _)| (*heading).to_owned()), rows, out)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_stays_text() {
        let figure = Figure {
            line: 2,
            drawing: "=a.dxf".to_owned(),
            section: "@LUG, \"left\"".to_owned(),
            column: "product_moment_xy_mm4".to_owned(),
            expected: "-5".to_owned(),
            found: Found::Number(-5.5),
            difference: Some(-0.5),
            per_cent: Some(-10.0),
            allowed: Some(0.025),
            pass: false,
            remark: String::new(),
        };
        let mut text = Vec::new();
        write_csv(&[figure], Digits::default(), &mut text).expect("writing to memory");
        assert_eq!(
            String::from_utf8(text).expect("text"),
            "drawing,section,column,expected,found,difference,difference_percent,allowed,result,remark\n\
             '=a.dxf,\"'@LUG, \"\"left\"\"\",product_moment_xy_mm4,-5,-5.5,-0.5,-10,0.025,fail,\n"
        );
    }
}
