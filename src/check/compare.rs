//! What is expected against what was measured.

use std::collections::{BTreeMap, BTreeSet};

use super::expected::{Expected, ExpectedColumn};
use super::nearest::nearest;
use super::within::Within;
use crate::finding::{Finding, Position};
use crate::measure::{Measurement, Status};
use crate::schedule::{Column, Quantity, Value, harmless, is_rounding};

/// A cell of the table beside what was found.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure {
    /// Line of the table in which its row begins.
    pub line: u64,
    /// Path of the drawing as it was given.
    pub drawing: String,
    /// Name of the section.
    pub section: String,
    /// Heading of the column, with its unit.
    pub column: String,
    /// What is expected, as it stands in the table.
    pub expected: String,
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
    pub remark: String,
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
#[derive(Clone, Debug, Default)]
pub struct Comparison {
    /// Every expected cell that has a section, in the order of the table.
    pub figures: Vec<Figure>,
    /// What the reader must know: a failure is something expected that could not be compared.
    pub findings: Vec<Finding>,
    /// How many sections something was expected of.
    pub sections: usize,
    /// How many were measured and have no row in the table.
    pub unexpected: usize,
}

impl Comparison {
    /// How many figures are what is expected.
    pub fn passed(&self) -> usize {
        self.figures.iter().filter(|figure| figure.pass).count()
    }

    /// How many figures were found, and so compared.
    pub fn compared(&self) -> usize {
        self.figures.iter().filter(|figure| figure.found != Found::Nothing).count()
    }
}

/// Holds sections against a table. A row belongs to the section that has its name (and its layer, where that column is
/// filled in, and a drawing whose path ends in its `drawing`); names are compared letter by letter, without blanks around
/// them. A row that fits no section or several, and a section that several rows fit, is not compared but told.
pub fn compare(expected: &Expected, measurements: &[Measurement], within: &Within) -> Comparison {
    // Drawings that could not be read have rows without a section.
    let sections: Vec<&Measurement> = measurements.iter().filter(|m| !m.section.is_empty()).collect();
    let mut comparison = Comparison { findings: expected.findings.clone(), ..Comparison::default() };
    let names = Names::of(expected, &sections);
    let mut rows_of: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    let mut section_of: Vec<Option<usize>> = Vec::new();
    let mut without_section = 0;
    for (row, (line, cells)) in expected.rows.iter().enumerate() {
        match names.section(expected, cells, &sections, without_section < SOUGHT) {
            Ok(section) => {
                rows_of.entry(section).or_default().push(row);
                section_of.push(Some(section));
            }
            Err(finding) => {
                section_of.push(None);
                without_section += 1;
                comparison.findings.push(finding.in_file(Position::Line(*line)));
            }
        }
    }
    for (section, rows) in rows_of.iter().filter(|(_, rows)| rows.len() > 1) {
        comparison.findings.extend(twice(expected, rows, sections.get(*section)));
    }
    let mut without_tolerance = BTreeMap::new();
    for ((line, cells), section) in expected.rows.iter().zip(&section_of) {
        let Some(index) = section.filter(|s| rows_of.get(s).is_some_and(|rows| rows.len() == 1)) else {
            continue;
        };
        let Some(section) = sections.get(index) else { continue };
        let before = comparison.figures.len();
        for column in &expected.columns {
            let Some(cell) = cells.get(column.at).filter(|cell| !cell.is_empty()) else { continue };
            match figure(*line, column, cell, section, within) {
                Ok(figure) => {
                    if figure.allowed.is_none() && figure.difference.is_some() && !figure.pass {
                        without_tolerance.entry(column.column.key).or_insert(*line);
                    }
                    comparison.figures.push(figure);
                }
                Err(finding) => comparison.findings.push(finding.in_file(Position::Line(*line))),
            }
        }
        if comparison.figures.len() == before {
            continue;
        }
        comparison.sections += 1;
        if section.status() == Status::Failed {
            comparison.findings.push(
                Finding::failure(format!("{} was not measured, so its figures are missing", place(section)))
                    .in_file(Position::Line(*line))
                    .hint("tracearm inspect shows what the drawing holds and where its ends are open"),
            );
        }
    }
    for (key, line) in without_tolerance {
        comparison.findings.push(
            Finding::failure(format!("a share of an expected 0 is 0: {key} was held against 0 itself"))
                .in_file(Position::Line(line))
                .hint(format!("say how far it may be off in its unit, such as --within {key}=0.1")),
        );
    }
    comparison.unexpected = (0..sections.len()).filter(|index| !rows_of.contains_key(index)).count();
    comparison
}

/// Rows without a section for which the name that was meant is sought; of more, a list of names helps no one.
const SOUGHT: usize = 100;

/// The sections by the name that the table gives them.
struct Names {
    by_name: BTreeMap<String, Vec<usize>>,
}

impl Names {
    fn of(expected: &Expected, sections: &[&Measurement]) -> Names {
        let mut by_name: BTreeMap<String, Vec<usize>> = BTreeMap::new();
        for (index, section) in sections.iter().enumerate() {
            // The layer names what the section's own column leaves open.
            for name in [&section.section, &section.layer].into_iter().take(match expected.section {
                Some(_) if expected.layer.is_none() => 1,
                _ => 2,
            }) {
                for written in written(name) {
                    let indices = by_name.entry(written).or_default();
                    if indices.last() != Some(&index) {
                        indices.push(index);
                    }
                }
            }
        }
        Names { by_name }
    }

    /// The one section that a row belongs to; an error may say which name was meant, if `seek`.
    fn section(
        &self,
        expected: &Expected,
        cells: &[String],
        sections: &[&Measurement],
        seek: bool,
    ) -> Result<usize, Box<Finding>> {
        let cell = |at: Option<usize>| at.and_then(|at| cells.get(at)).map_or("", String::as_str);
        let (name, layer, drawing) = (cell(expected.section), cell(expected.layer), cell(expected.drawing));
        let wanted = if name.is_empty() { layer } else { name };
        if wanted.is_empty() {
            return Err(Finding::failure("the row names no section, so it was not compared")
                .hint("write the section's name into it, as tracearm schedule has it")
                .into());
        }
        let fits = |index: &usize| {
            sections.get(*index).is_some_and(|section| {
                (name.is_empty() || written(&section.section).any(|w| w == name))
                    && (layer.is_empty() || written(&section.layer).any(|w| w == layer))
                    && (drawing.is_empty() || ends_in(&section.drawing, drawing))
            })
        };
        let fitting: Vec<usize> =
            self.by_name.get(wanted).into_iter().flatten().copied().filter(|index| fits(index)).collect();
        let mut what = format!("“{}”", wanted.escape_debug());
        if !name.is_empty() && !layer.is_empty() {
            what = format!("{what} of layer “{}”", layer.escape_debug());
        }
        if !drawing.is_empty() {
            what = format!("{what} in a drawing “{}”", drawing.escape_debug());
        }
        match fitting.as_slice() {
            [one] => Ok(*one),
            [] => Err(Finding::failure(format!("there is no section {what}, so the row was not compared"))
                .hint(if seek { self.instead(wanted, sections) } else { String::new() })
                .into()),
            [first, second, ..] => {
                let drawing_of = |index: &usize| sections.get(*index).map_or("", |s| s.drawing.as_str());
                let (a, b) = (drawing_of(first), drawing_of(second));
                let places = if a == b {
                    format!("in “{}” alone", a.escape_debug())
                } else {
                    format!("in “{}” and “{}”", a.escape_debug(), b.escape_debug())
                };
                Err(Finding::failure(format!(
                    "{} sections are {what}, {places}, so the row was not compared",
                    fitting.len()
                ))
                .hint(
                    "tell them apart: a column section, and a column drawing with as much of the path as it takes",
                ).into())
            }
        }
    }

    /// What to do where no section fits.
    fn instead(&self, wanted: &str, sections: &[&Measurement]) -> String {
        /// More names don't help to see a slip of spelling.
        const SHOWN: usize = 12;
        if let Some(there) = self.by_name.get(wanted).and_then(|indices| indices.first())
            && let Some(section) = sections.get(*there)
        {
            return format!("there is one as {}", place(section));
        }
        if let Some(meant) = nearest(wanted, self.by_name.keys().map(String::as_str)) {
            return format!("the nearest is “{}”", meant.escape_debug());
        }
        let names: BTreeSet<&str> = sections.iter().map(|section| section.section.as_str()).collect();
        let shown: Vec<String> =
            names.iter().take(SHOWN).map(|name| name.escape_debug().to_string()).collect();
        let more = if names.len() > SHOWN { ", …" } else { "" };
        format!("the sections are: {}{more}", shown.join(", "))
    }
}

/// A name as a table may have it: as it is, and as a schedule writes it.
fn written(name: &str) -> impl Iterator<Item = String> {
    let name = name.trim();
    let safe = harmless(name.to_owned());
    [name.to_owned()].into_iter().chain((safe != name).then_some(safe))
}

/// Whether a path ends in these parts, each whole: `frames/a.dxf` in `/shop/frames/a.dxf`. Both kinds of slash part.
fn ends_in(path: &str, end: &str) -> bool {
    let mut parts = path.rsplit(['/', '\\']).filter(|part| !part.is_empty() && *part != ".");
    let mut wanted = end.rsplit(['/', '\\']).filter(|part| !part.is_empty() && *part != ".").peekable();
    wanted.peek().is_some() && wanted.all(|part| parts.next() == Some(part))
}

/// A section in words.
fn place(section: &Measurement) -> String {
    format!("section “{}” of “{}”", section.section.escape_debug(), section.drawing.escape_debug())
}

/// What to say of a section that several rows fit.
fn twice(expected: &Expected, rows: &[usize], section: Option<&&Measurement>) -> Option<Finding> {
    /// More lines don't help to find the rows.
    const SHOWN: usize = 6;
    let lines: Vec<u64> =
        rows.iter().filter_map(|row| expected.rows.get(*row)).map(|(line, _)| *line).collect();
    let shown: Vec<String> = lines.iter().take(SHOWN).map(u64::to_string).collect();
    let more = if lines.len() > SHOWN { ", …" } else { "" };
    let finding = Finding::failure(format!(
        "{} has several rows (lines {}{more}), so none was compared",
        place(section?),
        shown.join(", ")
    ));
    Some(finding.hint("leave one of them, or tell them apart by their drawings"))
}

/// An expected cell beside what was found; an error where the cell can't be understood.
fn figure(
    line: u64,
    column: &ExpectedColumn,
    cell: &str,
    section: &Measurement,
    within: &Within,
) -> Result<Figure, Box<Finding>> {
    let figure = Figure {
        line,
        drawing: section.drawing.clone(),
        section: section.section.clone(),
        column: column.heading.clone(),
        expected: cell.to_owned(),
        found: Found::Nothing,
        difference: None,
        per_cent: None,
        allowed: None,
        pass: false,
        remark: String::new(),
    };
    let quantity = column.column.quantity;
    let value = column.column.value(section);
    if quantity == Quantity::Text {
        return Ok(match value {
            Value::Text(text) => {
                let pass = written(&text).any(|w| w == cell);
                Figure { found: Found::Text(text), pass, ..figure }
            }
            _ => Figure { remark: why_empty(column.column, section).to_owned(), ..figure },
        });
    }
    let expected = match cell.parse::<f64>() {
        Ok(expected) if expected.is_finite() => expected,
        _ => {
            return Err(Finding::failure(format!(
                "“{}” in the column {} is no number, so it was not compared",
                cell.escape_debug(),
                column.heading
            ))
            .hint("write the number alone, with a point and without commas; its unit stands in the heading")
            .into());
        }
    };
    let (found, allowed) = match value {
        Value::Count(count) => (count as f64, Some(0.0)),
        Value::Number { value, scale } => {
            // As the schedule has it: what is rounding beside its natural scale is 0.
            let found = if is_rounding(value, scale) {
                0.0
            } else {
                value * quantity.factor(section.unit, column.unit)
            };
            (found, within.allowed(column.column, column.unit, expected))
        }
        Value::Text(_) | Value::Empty => {
            return Ok(Figure { remark: why_empty(column.column, section).to_owned(), ..figure });
        }
    };
    let difference = match quantity {
        Quantity::Degrees => between_axes(expected, found),
        _ => found - expected,
    };
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

/// From one direction of an axis to another in degrees, the shortest way: in [−90, 90).
fn between_axes(from: f64, to: f64) -> f64 {
    let difference = to - from;
    if difference.abs() < 90.0 { difference } else { (difference + 90.0).rem_euclid(180.0) - 90.0 }
}

/// Why a section may have no such figure.
fn why_empty(column: &Column, section: &Measurement) -> &'static str {
    if section.properties.is_none() {
        return "the section was not measured";
    }
    match column.key {
        "mass_per_length" => "empty without --density",
        "mass" => "empty without --thickness and --density",
        "label" => "no label: they come with --per part, where something is written",
        key if key.starts_with("stated_") => "empty where --job states no axes",
        _ if section.plate.is_none()
            && crate::schedule::PLATE_COLUMNS.iter().any(|c| c.key == column.key) =>
        {
            "empty without --thickness"
        }
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

    fn against(table: &str, measured: &[Measurement], within: &[&str]) -> Comparison {
        let within: Vec<Tolerance> = within.iter().map(|text| text.parse().expect("a tolerance")).collect();
        compare(&Expected::read(table.as_bytes()).expect("a table"), measured, &Within::new(&within))
    }

    fn told(comparison: &Comparison) -> Vec<String> {
        comparison.findings.iter().map(ToString::to_string).collect()
    }

    fn passes(comparison: &Comparison) -> Vec<bool> {
        comparison.figures.iter().map(|figure| figure.pass).collect()
    }

    #[test]
    fn figures_in_their_units() {
        // 40·25 = 1000 mm² = 10 cm²; 40·25³/12 = 52083.3 mm⁴ = 5.20833 cm⁴ = 0.125132 in⁴.
        let table = "section,area_cm2,second_moment_x_cm4,second_moment_x_in4,parts,status,mass_per_length_kg_per_m\n\
                     LUG,10.04,5.25,0.1251,1,ok,\n-WEB,18,,,2,warning,3\n";
        let comparison = against(table, &sections("a.dxf"), &[]);
        assert_eq!(told(&comparison), [""; 0]);
        let pass = [true, false, true, true, true, true, false, false, false];
        assert_eq!(passes(&comparison), pass);
        assert_eq!((comparison.passed(), comparison.compared(), comparison.sections), (5, 8, 2));
        let second = &comparison.figures[1];
        assert_eq!((second.column.as_str(), second.expected.as_str()), ("second_moment_x_cm4", "5.25"));
        assert!((second.difference.unwrap() - (62.5 / 12.0 - 5.25)).abs() < 1e-12);
        assert!((second.per_cent.unwrap() + 100.0 * (5.25 - 62.5 / 12.0) / 5.25).abs() < 1e-9);
        assert!((second.allowed.unwrap() - 0.02625).abs() < 1e-15);
        assert_eq!(comparison.figures[8].remark, "empty without --density");
        assert_eq!(comparison.figures[8].found, Found::Nothing);
        // A hundredth off is enough with a tolerance of its own.
        assert!(against(table, &sections("a.dxf"), &["second_moment_x=1%"]).figures[1].pass);
        assert!(!against(table, &sections("a.dxf"), &["area_mm2=3"]).figures[0].pass);
        assert!(against(table, &sections("a.dxf"), &["area_mm2=4.0001"]).figures[0].pass);
    }

    #[test]
    fn an_expected_nought() {
        let table = "section,product_moment_xy_mm4,centroid_x_mm\nLUG,0,0\n";
        let comparison = against(table, &sections("a.dxf"), &[]);
        // The product moment is 0 but for rounding; the centroid lies at 30.
        assert_eq!(passes(&comparison), [true, false]);
        assert_eq!(comparison.figures[0].found, Found::Number(0.0));
        assert_eq!((comparison.figures[1].per_cent, comparison.figures[1].allowed), (None, None));
        let told = told(&comparison);
        assert!(told.len() == 1 && told[0].contains("--within centroid_x=0.1"), "{told:?}");
        let wide = against(table, &sections("a.dxf"), &["centroid_x=30.5"]);
        assert!(wide.findings.is_empty() && wide.figures[1].pass);
    }

    #[test]
    fn angles_of_axes() {
        for (from, to, way) in [
            (89.5, -89.0, 1.5),
            (-89.0, 89.5, -1.5),
            (10.0, 12.0, 2.0),
            (0.0, 180.0, 0.0),
            (45.0, 405.0, 0.0),
        ] {
            assert!((between_axes(from, to) - way).abs() < 1e-12, "{from} {to}");
        }
        // The web stands upright: its axis 1 runs along x, at 0 or at 180 degrees.
        let comparison = against(
            "section,principal_angle_deg\n-WEB,179.9\nLUG,0.5\n",
            &sections("a.dxf"),
            &["principal_angle=0.2"],
        );
        assert_eq!(passes(&comparison), [true, false]);
        assert!((comparison.figures[0].difference.unwrap() - 0.1).abs() < 1e-9);
    }

    #[test]
    fn rows_and_sections() {
        let mut measured = sections("lib/a.dxf");
        measured.extend(sections("lib/b.dxf"));
        let table = "drawing,section,area_mm2\na.dxf,LUG,1000\nlib\\b.dxf,LUG,1000\n./lib/a.dxf,'-WEB,1800\n\
                     c.dxf,LUG,1000\n,LUG,1000\nb.dxf,LUGG,1000\nb.dxf,-WEB,1\nb.dxf,-WEB,2\nxa.dxf,LUG,1\n,,7\n";
        let comparison = against(table, &measured, &[]);
        assert_eq!(passes(&comparison), [true, true, true]);
        let told = told(&comparison);
        let parts = [
            ("line 5", "there is one as section “LUG” of “lib/a.dxf”"),
            ("line 6", "2 sections are “LUG”, in “lib/a.dxf” and “lib/b.dxf”"),
            ("line 7", "the nearest is “LUG”"),
            ("line 10", "no section “LUG”"),
            ("line 11", "names no section"),
            ("lines 8, 9", "has several rows"),
        ];
        assert_eq!(told.len(), parts.len(), "{told:#?}");
        for (finding, (line, part)) in told.iter().zip(parts) {
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
        let sought = comparison.findings.iter().filter(|finding| finding.hint.contains("“LUG”")).count();
        assert_eq!((comparison.findings.len(), sought), (SOUGHT + 50, SOUGHT));
    }

    #[test]
    fn what_is_no_number() {
        let table = "section,area_mm2,perimeter_mm,parts\nLUG,\"1,000\",130 mm,inf\n-WEB,nan,,1.0\n";
        let comparison = against(table, &sections("a.dxf"), &[]);
        assert_eq!(passes(&comparison), [true]);
        assert_eq!(comparison.findings.len(), 4);
        assert!(told(&comparison)[0].contains("“1,000” in the column area_mm2 is no number"));
    }

    #[test]
    fn sections_that_failed() {
        let failed = Measurement {
            section: "LUG".to_owned(),
            layer: "LUG".to_owned(),
            ..Measurement::failed("a.dxf", Finding::failure("open"))
        };
        let comparison = against("section,area_mm2,status\nLUG,1000,failed\n", &[failed], &[]);
        assert_eq!(passes(&comparison), [false, true]);
        assert_eq!(comparison.figures[0].remark, "the section was not measured");
        assert!(told(&comparison)[0].contains("was not measured"), "{:?}", comparison.findings);
    }

    #[test]
    fn ends_of_paths() {
        assert!(ends_in("/shop/lib/a.dxf", "lib/a.dxf") && ends_in("a.dxf", "./a.dxf"));
        assert!(ends_in("C:\\lib\\a.dxf", "lib/a.dxf"));
        assert!(!ends_in("/shop/lib/a.dxf", "b/a.dxf") && !ends_in("ba.dxf", "a.dxf"));
        assert!(!ends_in("a.dxf", "lib/a.dxf") && !ends_in("a.dxf", "/"));
    }
}
