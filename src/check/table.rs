//! A comparison as CSV.

use std::io::{self, Write};

use super::alike::{DIFFERENCE, write_cells};
use super::compare::{Figure, Found};
use crate::schedule::Digits;

crate::schedule::keys! {
    /// The columns of a comparison.
    CheckColumn {
        Drawing: "drawing", "path of the drawing as it was given";
        Section: "section", "name of the section";
        Column: "column", "heading of the column, with the unit of the figures";
        Expected: "expected", "the expected value, as it stands in the table";
        Found: "found", "the value of the section; empty where it has none";
        Difference: "difference", "found − expected; of angles the shortest way";
        DifferencePercent: "difference_percent", "the difference in per cent of the expected value";
        Allowed: "allowed", "the difference that is allowed; empty for text";
        Result: "result", "pass | fail";
        Remark: "remark", "why nothing was found";
    }
}

impl CheckColumn {
    /// The cell of a figure in this column.
    pub fn cell(self, figure: &Figure, digits: Digits) -> String {
        let number =
            |value: Option<f64>, digits: Digits| value.map_or(String::new(), |v| digits.text(v, 0.0));
        match self {
            CheckColumn::Drawing => figure.drawing.to_owned(),
            CheckColumn::Section => figure.section.to_owned(),
            CheckColumn::Column => figure.column.to_owned(),
            CheckColumn::Expected => figure.expected.to_owned(),
            CheckColumn::Found => match &figure.found {
                Found::Nothing => String::new(),
                Found::Text(text) => text.clone(),
                Found::Number(value) => number(Some(*value), digits),
            },
            CheckColumn::Difference => number(figure.difference, DIFFERENCE),
            CheckColumn::DifferencePercent => number(figure.per_cent, DIFFERENCE),
            CheckColumn::Allowed => number(figure.allowed, digits),
            CheckColumn::Result => if figure.pass { "pass" } else { "fail" }.to_owned(),
            CheckColumn::Remark => figure.remark.to_owned(),
        }
    }
}

/// Writes figures as CSV, in the order that they are given in.
///
/// # Errors
///
/// Those of the writer.
pub fn write_csv<'a>(
    figures: impl Iterator<Item = Figure<'a>>,
    digits: Digits,
    out: impl Write,
) -> io::Result<()> {
    let rows =
        figures.map(|figure| CheckColumn::ALL.iter().map(|column| column.cell(&figure, digits)).collect());
    write_cells(CheckColumn::ALL.iter().map(|column| column.name()), rows, out)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_stays_text() {
        let figure = Figure {
            line: 2,
            drawing: "=a.dxf",
            section: "@LUG, \"left\"",
            column: "product_moment_xy_mm4",
            expected: "-5",
            found: Found::Number(-5.5),
            difference: Some(-0.5),
            per_cent: Some(-10.0),
            allowed: Some(0.025),
            pass: false,
            remark: "",
        };
        let mut text = Vec::new();
        write_csv([figure].into_iter(), Digits::default(), &mut text).expect("writing to memory");
        assert_eq!(
            String::from_utf8(text).expect("text"),
            "drawing,section,column,expected,found,difference,difference_percent,allowed,result,remark\n\
             '=a.dxf,\"'@LUG, \"\"left\"\"\",product_moment_xy_mm4,-5,-5.5,-0.5,-10,0.025,fail,\n"
        );
    }
}
