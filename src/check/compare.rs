//! What is expected against what was measured.

use std::collections::BTreeMap;

use super::alike::between;
use super::expected::{Expected, ExpectedColumn};
use super::names::{Names, placed, twice, written};
use super::within::Within;
use crate::finding::{self, Code, Finding, Position};
use crate::measure::{Measurement, Status};
use crate::schedule::{Column, ColumnKey, Group, Quantity, Value, is_rounding};

/// A cell of the table beside what was found.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Figure<'a> {
    /// Line of the table in which its row begins.
    pub line: u64,
    /// Path of the drawing as it was given.
    pub drawing: &'a str,
    /// Name of the section.
    pub section: &'a str,
    /// Heading of the column, with its unit.
    pub column: &'a str,
    /// What is expected, as it stands in the table.
    pub expected: &'a str,
    /// What was found.
    pub found: Found,
    /// Found − expected, in the column's unit; of angles the shortest way, since an axis turned by 180° is the same axis.
    /// `None` for text and where nothing was found.
    pub difference: Option<f64>,
    /// The difference in per cent of the expected value; `None` where that is 0 too.
    pub per_cent: Option<f64>,
    /// By how much it may differ, in the column's unit; `None` for text, and where a share alone is stated and 0 is
    /// expected.
    pub allowed: Option<f64>,
    /// Whether it is what is expected.
    pub pass: bool,
    /// Why it was not compared; empty where it was.
    pub remark: &'static str,
}

/// What was found for an expected cell.
#[derive(Clone, Debug, PartialEq)]
pub enum Found {
    /// The section has no such figure.
    Nothing,
    /// Words.
    Text(String),
    /// A figure in the column's unit.
    Number(f64),
}

/// What came of a comparison.
#[derive(Clone, Debug)]
#[must_use]
pub struct Comparison<'a> {
    /// What the reader must know: a failure is something expected that could not be compared.
    pub findings: Vec<Finding>,
    /// How many sections something was expected of.
    pub sections: usize,
    /// How many were measured and have no row in the table.
    pub unexpected: usize,
    expected: &'a Expected,
    within: Within,
    /// The rows that belong to a section, with it. Figures are made of them when they are asked for: there may be a million.
    rows: Vec<(usize, &'a Measurement)>,
    figures: usize,
    passed: usize,
    compared: usize,
}

impl<'a> Comparison<'a> {
    /// Every expected cell that has a section, in the order of the table.
    pub fn figures(&self) -> impl Iterator<Item = Figure<'a>> + '_ {
        self.rows.iter().flat_map(|(row, section)| {
            of_row(self.expected, *row, section, &self.within).filter_map(Result::ok)
        })
    }

    /// How many these are.
    pub fn count(&self) -> usize {
        self.figures
    }

    /// How many figures are what is expected.
    pub fn passed(&self) -> usize {
        self.passed
    }

    /// How many figures were found, and so compared.
    pub fn compared(&self) -> usize {
        self.compared
    }

    /// Takes the figures of a row.
    fn take(
        &mut self,
        row: usize,
        section: &'a Measurement,
        without_tolerance: &mut BTreeMap<&'static str, u64>,
    ) {
        let line = self.expected.rows.line(row);
        let before = self.figures;
        for (column, figure) in
            columns_of(self.expected, row).zip(of_row(self.expected, row, section, &self.within))
        {
            match figure {
                Ok(figure) => {
                    if figure.allowed.is_none() && figure.difference.is_some() && !figure.pass {
                        without_tolerance.entry(column.column.key.name()).or_insert(line);
                    }
                    self.figures += 1;
                    self.passed += usize::from(figure.pass);
                    self.compared += usize::from(figure.found != Found::Nothing);
                }
                Err(finding) => self.findings.push(finding.in_file(Position::Line(line))),
            }
        }
        if self.figures == before {
            return;
        }
        self.rows.push((row, section));
        self.sections += 1;
        if section.status() == Status::Failed {
            let finding = placed(Finding::of(Code::SectionNotMeasured), section);
            self.findings.push(finding.in_file(Position::Line(line)));
        }
    }
}

/// Holds sections against a table. A row belongs to the section that has its name (and its layer, where that column is
/// filled in, and a drawing whose path ends in its `drawing`); names are compared letter by letter, without blanks around
/// them. A row that fits no section or several, and a section that several rows fit, is not compared but told.
pub fn compare<'a>(
    expected: &'a Expected,
    measurements: &'a [Measurement],
    within: &Within,
) -> Comparison<'a> {
    // Drawings that could not be read have rows without a section.
    let sections: Vec<&Measurement> = measurements.iter().filter(|m| !m.section.is_empty()).collect();
    let mut comparison = Comparison {
        findings: expected.findings.clone(),
        sections: 0,
        unexpected: 0,
        expected,
        within: within.clone(),
        rows: Vec::new(),
        figures: 0,
        passed: 0,
        compared: 0,
    };
    let mut names = Names::of(expected, &sections);
    let mut rows_of: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    let mut section_of: Vec<Option<usize>> = Vec::new();
    let mut without_section = 0;
    for row in 0..expected.rows.len() {
        match names.section(expected, row, &sections, without_section < SOUGHT) {
            Ok(section) => {
                rows_of.entry(section).or_default().push(row);
                section_of.push(Some(section));
            }
            Err(finding) => {
                section_of.push(None);
                without_section += 1;
                comparison.findings.push(finding.in_file(Position::Line(expected.rows.line(row))));
            }
        }
    }
    drop(names);
    for (section, rows) in rows_of.iter().filter(|(_, rows)| rows.len() > 1) {
        comparison.findings.extend(twice(expected, rows, sections.get(*section)));
    }
    let mut without_tolerance = BTreeMap::new();
    for (row, section) in section_of.iter().enumerate() {
        let alone = section.filter(|s| rows_of.get(s).is_some_and(|rows| rows.len() == 1));
        if let Some(section) = alone.and_then(|index| sections.get(index)) {
            comparison.take(row, section, &mut without_tolerance);
        }
    }
    for (key, line) in without_tolerance {
        comparison
            .findings
            .push(Finding::of(Code::ShareOfNought).with("column", key).in_file(Position::Line(line)));
    }
    comparison.unexpected = (0..sections.len()).filter(|index| !rows_of.contains_key(index)).count();
    comparison
}

/// The columns in which something is expected of a row.
fn columns_of(expected: &Expected, row: usize) -> impl Iterator<Item = &ExpectedColumn> {
    expected.columns.iter().filter(move |column| !expected.rows.cell(row, column.at).is_empty())
}

/// What is expected of a row beside what was found; errors where a cell can't be understood.
fn of_row<'a>(
    expected: &'a Expected,
    row: usize,
    section: &'a Measurement,
    within: &Within,
) -> impl Iterator<Item = Result<Figure<'a>, Box<Finding>>> {
    columns_of(expected, row).map(move |column| {
        figure(expected.rows.line(row), column, expected.rows.cell(row, column.at), section, within)
    })
}

/// Rows without a section for which the name that was meant is sought; of more, a list of names helps no one.
const SOUGHT: usize = 100;

/// An expected cell beside what was found; an error where the cell can't be understood.
fn figure<'a>(
    line: u64,
    column: &'a ExpectedColumn,
    cell: &'a str,
    section: &'a Measurement,
    within: &Within,
) -> Result<Figure<'a>, Box<Finding>> {
    let figure = Figure {
        line,
        drawing: &section.drawing,
        section: &section.section,
        column: &column.heading,
        expected: cell,
        found: Found::Nothing,
        difference: None,
        per_cent: None,
        allowed: None,
        pass: false,
        remark: "",
    };
    let quantity = column.column.quantity;
    let value = column.column.value(section);
    if quantity == Quantity::Text {
        return Ok(match value {
            Value::Text(text) => {
                let pass = written(&text).any(|w| w == cell);
                Figure { found: Found::Text(text), pass, ..figure }
            }
            _ => Figure { remark: why_empty(column.column, section), ..figure },
        });
    }
    let expected = match cell.parse::<f64>() {
        Ok(expected) if expected.is_finite() => expected,
        _ => {
            return Err(Finding::of(Code::CellNoNumber)
                .with("cell", finding::Value::Name(cell.to_owned()))
                .with("column", column.heading.as_str())
                .into());
        }
    };
    let (found, allowed) = match value {
        Value::Count(count) => (count as f64, Some(0.0)),
        Value::Number { value, scale, .. } => {
            // As the schedule has it: what is rounding beside its natural scale is 0.
            let found = if is_rounding(value, scale) {
                0.0
            } else {
                value * quantity.factor(section.unit, column.unit)
            };
            (found, within.allowed(column.column, column.unit, expected))
        }
        Value::Text(_) | Value::Empty => {
            return Ok(Figure { remark: why_empty(column.column, section), ..figure });
        }
    };
    let difference = between(quantity, expected, found);
    let per_cent = if expected == 0.0 {
        (difference == 0.0).then_some(0.0)
    } else {
        Some(100.0 * (difference / expected.abs()))
    };
    Ok(Figure {
        found: Found::Number(found),
        difference: Some(difference),
        per_cent,
        allowed,
        pass: difference.abs() <= allowed.unwrap_or(0.0),
        ..figure
    })
}

/// Why a section may have no such figure.
fn why_empty(column: &Column, section: &Measurement) -> &'static str {
    if section.properties().is_none() {
        return "the section was not measured";
    }
    match column.key {
        ColumnKey::MassPerLength => "empty without a density",
        ColumnKey::Mass => "empty without a thickness and a density",
        ColumnKey::Label => "no label: parts have one where something is written in them",
        _ if column.group == Group::Field && section.field().is_none() => {
            "empty without torsion and shear constants"
        }
        _ if column.group == Group::Stated => "empty where no axes are stated",
        _ if column.group == Group::Plate && section.plate().is_none() => "empty without a thickness",
        _ => "the section has no such figure",
    }
}

#[cfg(test)]
mod tests {
    use super::super::within::Tolerance;
    use super::*;
    use crate::drawing::Drawing;
    use crate::measure::{self, Options};

    /// A plate of 40 × 25 from (10, 5) on layer LUG, and one of 30 × 60 from (100, 0) on layer -WEB.
    fn sections(drawing: &str) -> Vec<Measurement> {
        let ring = |layer: &str, x: f64, y: f64, w: f64, h: f64| {
            let corners: String = [(x, y), (x + w, y), (x + w, y + h), (x, y + h)]
                .iter()
                .map(|(x, y)| format!("10\n{x}\n20\n{y}\n"))
                .collect();
            format!("0\nLWPOLYLINE\n8\n{layer}\n90\n4\n70\n1\n{corners}")
        };
        let dxf = format!(
            "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n{}{}0\nENDSEC\n0\nEOF\n",
            ring("LUG", 10.0, 5.0, 40.0, 25.0),
            ring("-WEB", 100.0, 0.0, 30.0, 60.0),
        );
        let read = Drawing::read(dxf.as_bytes()).expect("a drawing");
        measure::drawing(drawing, &read, &Options::default()).measurements
    }

    /// A comparison that is kept beyond what it is made of.
    fn against(table: &str, measured: &[Measurement], within: &[&str]) -> Comparison<'static> {
        let expected = Box::leak(Box::new(Expected::read(table.as_bytes()).expect("a table")));
        let measured = Box::leak(measured.to_vec().into_boxed_slice());
        let within: Vec<Tolerance> = within.iter().map(|text| text.parse().expect("a tolerance")).collect();
        compare(expected, measured, &Within::new(&within))
    }

    fn messages(comparison: &Comparison) -> Vec<String> {
        comparison.findings.iter().map(ToString::to_string).collect()
    }

    fn figures(comparison: &Comparison<'static>) -> Vec<Figure<'static>> {
        comparison.figures().collect()
    }

    fn passes(comparison: &Comparison) -> Vec<bool> {
        comparison.figures().map(|figure| figure.pass).collect()
    }

    #[test]
    fn figures_in_their_units() {
        // 40·25 = 1000 mm² = 10 cm²; 40·25³/12 = 52083.3 mm⁴ = 5.20833 cm⁴ = 0.125132 in⁴.
        let table = "section,area_cm2,second_moment_x_cm4,second_moment_x_in4,parts,status,mass_per_length_kg_per_m\n\
                     LUG,10.04,5.25,0.1251,1,ok,\n-WEB,18,,,2,warning,3\n";
        let comparison = against(table, &sections("a.dxf"), &[]);
        assert_eq!(messages(&comparison), [""; 0]);
        let pass = [true, false, true, true, true, true, false, false, false];
        assert_eq!(passes(&comparison), pass);
        assert_eq!((comparison.passed(), comparison.compared(), comparison.sections), (5, 8, 2));
        let second = &figures(&comparison)[1];
        assert_eq!((second.column, second.expected), ("second_moment_x_cm4", "5.25"));
        assert!((second.difference.unwrap() - (62.5 / 12.0 - 5.25)).abs() < 1e-12);
        assert!((second.per_cent.unwrap() + 100.0 * (5.25 - 62.5 / 12.0) / 5.25).abs() < 1e-9);
        assert!((second.allowed.unwrap() - 0.02625).abs() < 1e-15);
        assert_eq!(figures(&comparison)[8].remark, "empty without a density");
        assert_eq!(figures(&comparison)[8].found, Found::Nothing);
        // A hundredth off is enough with a tolerance of its own.
        assert!(figures(&against(table, &sections("a.dxf"), &["second_moment_x=1%"]))[1].pass);
        assert!(!figures(&against(table, &sections("a.dxf"), &["area_mm2=3"]))[0].pass);
        assert!(figures(&against(table, &sections("a.dxf"), &["area_mm2=4.0001"]))[0].pass);
    }

    #[test]
    fn an_expected_nought() {
        let table = "section,product_moment_xy_mm4,centroid_x_mm\nLUG,0,0\n";
        let comparison = against(table, &sections("a.dxf"), &[]);
        // The product moment is 0 but for rounding; the centroid lies at 30.
        assert_eq!(passes(&comparison), [true, false]);
        assert_eq!(figures(&comparison)[0].found, Found::Number(0.0));
        assert_eq!((figures(&comparison)[1].per_cent, figures(&comparison)[1].allowed), (None, None));
        let messages = messages(&comparison);
        assert!(
            messages.len() == 1 && messages[0].contains("centroid_x was compared with 0"),
            "{messages:?}"
        );
        let wide = against(table, &sections("a.dxf"), &["centroid_x=30.5"]);
        assert!(wide.findings.is_empty() && figures(&wide)[1].pass);
    }

    #[test]
    fn angles_of_sections() {
        // The web stands upright: its axis 1 runs along x, at 0 or at 180 degrees.
        let comparison = against(
            "section,principal_angle_deg\n-WEB,179.9\nLUG,0.5\n",
            &sections("a.dxf"),
            &["principal_angle=0.2"],
        );
        assert_eq!(passes(&comparison), [true, false]);
        assert!((figures(&comparison)[0].difference.unwrap() - 0.1).abs() < 1e-9);
    }

    #[test]
    fn rows_and_sections() {
        let mut measured = sections("lib/a.dxf");
        measured.extend(sections("lib/b.dxf"));
        let table = "drawing,section,area_mm2\na.dxf,LUG,1000\nlib\\b.dxf,LUG,1000\n./lib/a.dxf,'-WEB,1800\n\
                     c.dxf,LUG,1000\n,LUG,1000\nb.dxf,LUGG,1000\nb.dxf,-WEB,1\nb.dxf,-WEB,2\nxa.dxf,LUG,1\n,,7\n";
        let comparison = against(table, &measured, &[]);
        assert_eq!(passes(&comparison), [true, true, true]);
        let messages = messages(&comparison);
        let parts = [
            ("line 5", "there is one as section “LUG” of “lib/a.dxf”"),
            ("line 6", "2 sections are “LUG”, in “lib/a.dxf” and “lib/b.dxf”"),
            ("line 7", "the nearest is “LUG”"),
            ("line 10", "no section “LUG”"),
            ("line 11", "names no section"),
            ("lines 8, 9", "has several rows"),
        ];
        assert_eq!(messages.len(), parts.len(), "{messages:#?}");
        for (finding, (line, part)) in messages.iter().zip(parts) {
            assert!(finding.contains(line) && finding.contains(part), "{finding}");
        }
        assert_eq!((comparison.sections, comparison.unexpected), (3, 0));
        // By layer, and by both.
        let by_layer = against("layer,area_mm2\nLUG,1000\n", &sections("a.dxf"), &[]);
        assert_eq!((passes(&by_layer), by_layer.unexpected), (vec![true], 1));
        let both = "section,layer,area_mm2\nLUG,-WEB,1000\nLUG,LUG,1000\n,-WEB,1800\n";
        let by_both = against(both, &sections("a.dxf"), &[]);
        assert_eq!((passes(&by_both), by_both.findings.len()), (vec![true, true], 1));
    }

    #[test]
    fn many_rows_without_sections() {
        let rows = "LUGG,1\n".repeat(SOUGHT + 50);
        let comparison = against(&format!("section,area_mm2\n{rows}"), &sections("a.dxf"), &[]);
        let sought =
            comparison.findings.iter().filter(|finding| finding.to_string().contains("“LUG”")).count();
        assert_eq!((comparison.findings.len(), sought), (SOUGHT + 50, SOUGHT));
    }

    #[test]
    fn what_is_no_number() {
        let table = "section,area_mm2,perimeter_mm,parts\nLUG,\"1,000\",130 mm,inf\n-WEB,nan,,1.0\n";
        let comparison = against(table, &sections("a.dxf"), &[]);
        assert_eq!(passes(&comparison), [true]);
        assert_eq!(comparison.findings.len(), 4);
        assert!(messages(&comparison)[0].contains("“1,000” in the column area_mm2 is not a number"));
    }

    #[test]
    fn sections_that_failed() {
        let failed = Measurement {
            section: "LUG".to_owned(),
            layer: "LUG".to_owned(),
            ..Measurement::failed("a.dxf", Finding::of(Code::OutlineNotClosed))
        };
        let comparison = against("section,area_mm2,status\nLUG,1000,failed\n", &[failed], &[]);
        assert_eq!(passes(&comparison), [false, true]);
        assert_eq!(figures(&comparison)[0].remark, "the section was not measured");
        assert!(messages(&comparison)[0].contains("was not measured"), "{:?}", comparison.findings);
    }
}
