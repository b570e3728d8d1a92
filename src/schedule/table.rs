//! The schedule as a table to read, and the findings below: a few sections upright, more of them with a row each, in groups
//! of columns under one another, as wide as the terminal.

mod upright;

use std::io::{self, Write};

use super::cell::Part;
use super::shown::{cut, filled, pushed_right, shown, width, wrapped};
use super::{Column, ColumnKey, Row, Style, Totals};

/// Narrower than this a table is no help; lines are this long then.
const NARROWEST: usize = 40;

/// Columns of space between two columns of the table.
const GAP: usize = 2;

/// A heading is broken into lines no narrower than this, so that it stays readable.
const HEADING: usize = 9;

/// The caution in one line.
const CAUTION: &str = "Geometry of the drawing as drawn: local codes and a licensed engineer decide.";

/// Writes the table in lines of at most `line` columns.
pub(super) fn write(sections: &[Row], style: Style, line: usize, out: &mut impl Write) -> io::Result<()> {
    let mut page = Page { line: line.max(NARROWEST), text: String::new() };
    if sections.is_empty() {
        page.paragraph("No sections.", 0);
    } else {
        let whose = Whose::of(sections);
        if let Some(above) = &whose.above {
            page.paragraph(above, 0);
            page.paragraph("", 0);
        }
        let mut cuts = Vec::new();
        if sections.len() <= upright::MOST {
            upright::table(&mut page, sections, style, &whose, &mut cuts);
        } else {
            table(&mut page, sections, style, &whose, &mut cuts);
        }
        write_cuts(&mut page, &mut cuts);
        // Of one the total is the row itself.
        if sections.len() > 1 {
            let mut totals = Totals::of(style);
            sections.iter().for_each(|row| totals.add(row));
            page.paragraph("", 0);
            page.paragraph(&format!("total: {}", totals.sentence()), 0);
        }
        findings(&mut page, sections, style);
    }
    page.paragraph("", 0);
    page.paragraph(CAUTION, 0);
    out.write_all(page.text.as_bytes())?;
    out.flush()
}

/// Lines being written.
struct Page {
    line: usize,
    text: String,
}

impl Page {
    /// Writes one line as it is.
    fn line(&mut self, text: &str) {
        self.text.push_str(text.trim_end());
        self.text.push('\n');
    }

    /// Writes text in as many lines as it needs, all of them indented.
    fn paragraph(&mut self, text: &str, indent: usize) {
        for line in wrapped(text, self.line - indent) {
            self.line(&format!("{}{line}", " ".repeat(indent)));
        }
    }
}

/// A column of the table: everything in it is as wide as the column.
struct Block {
    heading: Vec<String>,
    unit: String,
    cells: Vec<String>,
    width: usize,
}

/// Text that stands in the table in part only: its row, the name of its column and all of it.
struct Cut {
    row: usize,
    key: ColumnKey,
    text: String,
}

fn table(page: &mut Page, sections: &[Row], style: Style, whose: &Whose, cuts: &mut Vec<Cut>) {
    let left = left_blocks(page, sections, whose, cuts);
    let left_width: usize = left.iter().map(|block| block.width + GAP).sum();
    let room = page.line.saturating_sub(left_width);
    let blocks: Vec<Block> = style
        .written()
        .into_iter()
        .filter_map(|(k, column)| block(k, column, sections, style, room, cuts))
        .collect();
    let mut rest = blocks.as_slice();
    while !rest.is_empty() {
        // As many columns as fit, and never none.
        let mut used = left_width;
        let fitting = rest
            .iter()
            .take_while(|block| {
                used += block.width + GAP;
                used - GAP <= page.line
            })
            .count();
        let (group, others) = rest.split_at(fitting.max(1));
        write_group(page, left.iter().chain(group), sections.len());
        rest = others;
        if !rest.is_empty() {
            page.paragraph("", 0);
        }
    }
}

fn write_group<'a>(page: &mut Page, blocks: impl Iterator<Item = &'a Block>, rows: usize) {
    let blocks: Vec<&Block> = blocks.collect();
    let gap = " ".repeat(GAP);
    let join = |cells: Vec<&str>| cells.join(&gap);
    let tallest = blocks.iter().map(|block| block.heading.len()).max().unwrap_or(0);
    for k in 0..tallest {
        // Headings stand on their last line.
        let cells = blocks.iter().map(|block| {
            let above = tallest - block.heading.len();
            let line = k.checked_sub(above).and_then(|k| block.heading.get(k));
            line.map_or_else(|| " ".repeat(block.width), Clone::clone)
        });
        page.line(&cells.collect::<Vec<_>>().join(&gap));
    }
    if blocks.iter().any(|block| !block.unit.trim().is_empty()) {
        page.line(&join(blocks.iter().map(|block| block.unit.as_str()).collect()));
    }
    let rules = blocks.iter().map(|block| "─".repeat(block.width));
    page.line(&rules.collect::<Vec<_>>().join(&gap));
    for row in 0..rows {
        page.line(&join(
            blocks.iter().filter_map(|block| block.cells.get(row)).map(String::as_str).collect(),
        ));
    }
}

/// Of which drawings the sections are, as far as one line above the table can say it.
struct Whose {
    /// All are of one drawing.
    is_one: bool,
    /// Which drawing that is, or which folder all drawings lie in.
    above: Option<String>,
    /// How much of each path that line says.
    said: usize,
}

impl Whose {
    fn of(sections: &[Row]) -> Whose {
        let first = sections.first().map_or("", |row| row.drawing());
        if sections.iter().all(|row| row.drawing() == first) {
            let above = Some(format!("drawing: {}", shown(first)));
            return Whose { is_one: true, above, said: first.len() };
        }
        let folder = folder_of_all(sections);
        let above = (!folder.is_empty()).then(|| format!("drawings in {}", shown(folder)));
        Whose { is_one: false, above, said: folder.len() }
    }

    /// What is still to be said of the path of a section's drawing.
    fn path<'r>(&self, row: &'r Row) -> &'r str {
        row.drawing().get(self.said..).unwrap_or_default()
    }
}

/// The columns that each group repeats: number, drawing, section.
fn left_blocks(page: &Page, sections: &[Row], whose: &Whose, cuts: &mut Vec<Cut>) -> Vec<Block> {
    let numbers: Vec<String> = (1..=sections.len()).map(|number| number.to_string()).collect();
    let room = numbers.iter().map(String::len).max().unwrap_or(1);
    let cells = numbers.iter().map(|number| pushed_right(number, room)).collect();
    let mut blocks =
        vec![Block { heading: vec![" ".repeat(room)], unit: " ".repeat(room), cells, width: room }];
    if !whose.is_one {
        let paths = sections.iter().map(|row| whose.path(row));
        blocks.push(name_block(ColumnKey::Drawing, paths, page.line / 5, cuts));
    }
    let room = if whose.is_one { page.line / 3 } else { page.line / 5 };
    blocks.push(name_block(ColumnKey::Section, sections.iter().map(|m| m.section()), room, cuts));
    blocks
}

/// What the paths of all drawings begin with, up to the end of a folder's name.
fn folder_of_all(sections: &[Row]) -> &str {
    let mut paths = sections.iter().map(|m| m.drawing());
    let first = paths.next().unwrap_or_default();
    let common = paths.fold(first.len(), |common, path| {
        first.bytes().zip(path.bytes()).take(common).take_while(|(a, b)| a == b).count()
    });
    // A separator is one byte, so that what ends behind it are whole characters.
    let begin = first.as_bytes().get(..common).unwrap_or_default();
    let folder = begin.iter().rposition(|byte| matches!(byte, b'/' | b'\\')).map_or(0, |at| at + 1);
    first.get(..folder).unwrap_or_default()
}

/// A column of text, no wider than `room`.
fn name_block<'a>(
    key: ColumnKey,
    texts: impl Iterator<Item = &'a str>,
    room: usize,
    cuts: &mut Vec<Cut>,
) -> Block {
    let room = room.max(HEADING);
    let short: Vec<String> = texts
        .enumerate()
        .map(|(row, text)| {
            let whole = shown(text);
            let short = cut(&whole, room);
            if short != whole {
                cuts.push(Cut { row, key, text: whole });
            }
            short
        })
        .collect();
    let room = short.iter().map(|text| width(text)).chain([key.name().len()]).max().unwrap_or(0);
    Block {
        heading: vec![filled(key.name(), room)],
        unit: " ".repeat(room),
        cells: short.iter().map(|text| filled(text, room)).collect(),
        width: room,
    }
}

/// The block of a column; `None` for what stands on the left or below the table, tells nothing new, or is empty in every
/// row.
fn block(
    at: usize,
    column: &Column,
    sections: &[Row],
    style: Style,
    room: usize,
    cuts: &mut Vec<Cut>,
) -> Option<Block> {
    if matches!(column.key, ColumnKey::Drawing | ColumnKey::Section) || column.holds_findings() {
        return None;
    }
    if column.key == ColumnKey::Layer && sections.iter().all(|m| m.layer() == m.section()) {
        return None;
    }
    let cells: Vec<Part> = sections.iter().filter_map(|row| row.cells.get(at)).collect();
    if cells.iter().any(|cell| matches!(cell, Part::Text(_))) {
        let texts = cells.iter().map(|cell| match cell {
            Part::Text(text) | Part::Number(text) => *text,
            Part::Empty => "",
        });
        return Some(name_block(column.key, texts, room / 2, cuts));
    }
    let figures: Vec<&str> = cells
        .iter()
        .map(|cell| match cell {
            Part::Number(figure) => *figure,
            _ => "",
        })
        .collect();
    if figures.iter().all(|figure| figure.is_empty()) {
        return None;
    }
    Some(figure_block(column, &figures, style, room))
}

/// A column of figures, with their decimal points under one another where there is room for that.
fn figure_block(column: &Column, figures: &[&str], style: Style, room: usize) -> Block {
    let unit = column.quantity.unit_text(style.units()).unwrap_or_default();
    let split = |figure: &str| figure.find(['.', 'e']).unwrap_or(figure.len());
    let decimals = figures.iter().map(|figure| figure.len() - split(figure)).max().unwrap_or(0);
    let at_points: Vec<String> = figures
        .iter()
        .map(|figure| format!("{figure}{}", " ".repeat(decimals - (figure.len() - split(figure)))))
        .collect();
    let widest = |texts: &mut dyn Iterator<Item = usize>| texts.max().unwrap_or(0);
    let aligned = widest(&mut at_points.iter().map(String::len));
    let cells: Vec<String> =
        if aligned <= room { at_points } else { figures.iter().map(|figure| (*figure).to_owned()).collect() };
    let body = widest(&mut cells.iter().map(String::len)).max(width(&unit));
    let longest = widest(&mut column.key.name().split('_').map(str::len));
    let heading = wrapped(&column.key.name().replace('_', " "), body.max(longest).max(HEADING));
    let all = body.max(widest(&mut heading.iter().map(|line| width(line))));
    Block {
        heading: heading.iter().map(|line| pushed_right(line, all)).collect(),
        unit: pushed_right(&unit, all),
        cells: cells.iter().map(|cell| pushed_right(cell, all)).collect(),
        width: all,
    }
}

/// Nothing is lost where it was cut: all of it stands below.
fn write_cuts(page: &mut Page, cuts: &mut [Cut]) {
    if cuts.is_empty() {
        return;
    }
    cuts.sort_by_key(|cut| cut.row);
    page.paragraph("", 0);
    page.paragraph("In full, where … stands above:", 0);
    for cut in cuts {
        let row = cut.row + 1;
        page.paragraph(&format!("{row} {}: {}", cut.key, cut.text), 2);
    }
}

/// The findings of each section, below its number and names.
fn findings(page: &mut Page, sections: &[Row], style: Style) {
    if sections.iter().all(|m| m.findings.is_empty()) {
        return;
    }
    page.paragraph("", 0);
    page.paragraph("Findings", 0);
    for (k, section) in sections.iter().enumerate() {
        if section.findings.is_empty() {
            continue;
        }
        let names = [section.drawing(), section.section()].map(shown);
        let names: Vec<&str> = names.iter().map(String::as_str).filter(|name| !name.is_empty()).collect();
        let number = if sections.len() > 1 { format!("{} ", k + 1) } else { String::new() };
        page.paragraph(&format!("{number}{}", names.join(", ")), 2);
        for finding in &section.findings {
            let words = shown(&finding.words(style.advice));
            page.paragraph(&format!("{}: {words}", finding.severity.word()), 4);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::Drawing;
    use crate::finding::{Code, Finding};
    use crate::measure::{Measurement, Options, drawing as measured};

    /// Plates of 120 × 50 and 30 × 400 with these layer names, far from the origin.
    fn plates(name: &str, layers: &[&str]) -> Vec<Measurement> {
        let plate = |(k, layer): (usize, &&str)| {
            let (x, w, h) = if k % 2 == 0 { (2000.25, 120.0, 50.0) } else { (-7.5, 30.0, 400.0) };
            let corners = [(x, 10.0), (x + w, 10.0), (x + w, 10.0 + h), (x, 10.0 + h)];
            let corners: String = corners.iter().map(|(x, y)| format!("10\n{x}\n20\n{y}\n")).collect();
            format!("0\nLWPOLYLINE\n8\n{layer}\n90\n4\n70\n1\n{corners}")
        };
        let entities: String = layers.iter().enumerate().map(plate).collect();
        let text = format!(
            "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n{entities}0\nENDSEC\n0\nEOF\n"
        );
        let drawing = Drawing::read(text.as_bytes()).unwrap();
        measured(name, &drawing, &Options::default()).measurements
    }

    fn written(rows: &[Measurement], width: usize) -> String {
        let mut text = Vec::new();
        write(&Row::all(rows, Style::default()), Style::default(), width, &mut text).unwrap();
        String::from_utf8(text).unwrap()
    }

    #[test]
    fn no_line_is_wider_than_the_terminal() {
        let mut rows =
            plates("drawings/lugs/a.dxf", &["LUG", "鋼板 with a very long name indeed, for a plate"]);
        rows.extend(plates("drawings/lugs/of a name that is long/b.dxf", &["LUG"]));
        rows.push(Measurement::failed("drawings/c.dxf", Finding::of(Code::FileEmpty)));
        rows.extend(plates("drawings/d.dxf", &["WEB"]));
        for sections in 1..=rows.len() {
            for line in (0..220).chain([1000]) {
                let text = written(&rows[..sections], line);
                for shown in text.lines() {
                    assert!(width(shown) <= line.max(NARROWEST), "{line}: {shown}");
                }
            }
        }
    }

    #[test]
    fn columns_that_tell_nothing_are_left_out() {
        let text = written(&plates("a.dxf", &["LUG", "PLATE"]), 200);
        assert!(text.starts_with("drawing: a.dxf\n\n"), "{text}");
        for absent in ["layer", "mass", "Findings", "In full"] {
            assert!(!text.contains(absent), "{absent} in {text}");
        }
        assert!(text.contains("status") && text.contains("holes"), "{text}");
        assert!(text.trim_end().ends_with("a licensed engineer decide."), "{text}");
        assert!(written(&[], 80).contains("No sections."));
    }

    #[test]
    fn decimal_points_stand_under_one_another() {
        let text = written(&plates("a.dxf", &["LUG", "PLATE", "WEB", "CAP", "RIB"]), 200);
        let at: Vec<usize> = ["2060.25", "   7.5"]
            .iter()
            .map(|figure| {
                let line =
                    text.lines().find(|line| line.contains(figure)).unwrap_or_else(|| panic!("{text}"));
                line.find(figure).unwrap() + figure.find('.').unwrap()
            })
            .collect();
        assert_eq!(at[0], at[1], "{text}");
    }

    #[test]
    fn names_that_are_cut_stand_below() {
        let long = format!("{}end", "LIFTING LUG ".repeat(25));
        let mut rows = plates("yard/crane/a.dxf", &[&long]);
        rows.extend(plates("yard/crane/b.dxf", &["LUG"]));
        let text = written(&rows, 80);
        assert!(text.starts_with("drawings in yard/crane/\n"), "{text}");
        let below = text.split("In full").nth(1).unwrap_or_else(|| panic!("{text}"));
        let words: Vec<&str> = below.split_whitespace().collect();
        assert!(words.join(" ").contains(&format!("1 section: {long}")), "{below}");
    }
}
