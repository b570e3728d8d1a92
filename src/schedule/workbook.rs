//! The schedule as a workbook (XLSX). The one file that names `rust_xlsxwriter`.

use std::collections::BTreeMap;
use std::io::{self, Write};

use rust_xlsxwriter::{
    Color, DocProperties, ExcelDateTime, Format, FormatAlign, FormatBorder, Note, Workbook, Worksheet,
    XlsxError,
};

use super::cell::Part;
use super::row::place;
use super::{CAUTION, ColumnKey, Quantity, Row, Style, Totals};
use crate::finding::Severity;
use crate::measure::Status;

/// Rows of a worksheet below its headings (ECMA-376 worksheets as spreadsheets read them: 1,048,576 in all).
const MOST_ROWS: usize = 1_048_575;

/// UTF-16 units of a cell's text, the limit of spreadsheets.
const LONGEST_TEXT: usize = 32_767;

/// Findings that the cell of a section shows: spreadsheets take some 250 lines in a cell. All stand in their own sheet.
const MOST_IN_CELL: usize = 100;

/// Columns that stay in sight: up to the section.
const FROZEN_COLUMNS: u16 = place(ColumnKey::Section) as u16 + 1;

/// Widest column that holds a name, in characters.
const WIDEST_NAME: usize = 48;

/// Width of columns that hold sentences, in characters.
const SENTENCES: u16 = 90;

/// Writes the workbook: the schedule, what its columns are, and the findings one by one.
pub(super) fn write(sections: &[Row], style: Style, out: &mut impl Write) -> io::Result<()> {
    let bytes = workbook(sections, style, MOST_ROWS)?;
    out.write_all(&bytes)?;
    out.flush()
}

fn workbook(sections: &[Row], style: Style, most_rows: usize) -> io::Result<Vec<u8>> {
    if sections.len() > most_rows {
        return Err(io::Error::other(format!(
            "a worksheet has room for {most_rows} sections, and these are {}: write them as .csv, or fewer drawings into each \
             workbook",
            sections.len()
        )));
    }
    let mut workbook = Workbook::new();
    let mut fill = || -> Result<Vec<u8>, XlsxError> {
        // The same sections are the same bytes, whenever they are written.
        let date = ExcelDateTime::from_ymd(2000, 1, 1)?;
        let properties = DocProperties::new()
            .set_title("Schedule of sections")
            .set_comment(CAUTION)
            .set_creation_datetime(&date);
        workbook.set_properties(&properties);
        schedule_sheet(workbook.add_worksheet(), sections, style)?;
        columns_sheet(workbook.add_worksheet(), style)?;
        findings_sheet(workbook.add_worksheet(), sections, style, most_rows)?;
        totals_sheet(workbook.add_worksheet(), sections, style)?;
        workbook.save_to_buffer()
    };
    fill().map_err(|error| io::Error::other(error.to_string()))
}

fn schedule_sheet(sheet: &mut Worksheet, sections: &[Row], style: Style) -> Result<(), XlsxError> {
    sheet.set_name("Schedule")?;
    let mut numbers = NumberFormats::default();
    let (mut last_row, mut last_column) = (0, 0);
    for (c, (at, column)) in (0_u16..).zip(style.written()) {
        last_column = c;
        let heading = column.heading(style.units());
        text(sheet, 0, c, &heading, &heading_format())?;
        let unit =
            column.quantity.unit_text(style.units()).map_or(String::new(), |unit| format!("unit: {unit}\n"));
        let note = Note::new(format!("{unit}{}", column.definition)).add_author_prefix(false).set_width(320);
        sheet.insert_note(0, c, &note)?;
        // The arrow of the filter takes the room of three characters.
        let mut widest = heading.chars().count() + 3;
        for (r, section) in (1_u32..).zip(sections) {
            last_row = r;
            if column.holds_findings() {
                text(sheet, r, c, &findings_in_cell(section, style), &sentence_format())?;
                continue;
            }
            match section.cells.get(at) {
                None | Some(Part::Empty) => {}
                Some(Part::Text(words)) if column.key == ColumnKey::Status => {
                    text(sheet, r, c, words, &status_format(section.status))?;
                }
                Some(Part::Text(words)) => {
                    widest = widest.max(words.chars().count().min(WIDEST_NAME));
                    text(sheet, r, c, words, &name_format())?;
                }
                Some(Part::Number(figure)) => {
                    // Separators of thousands take a third more at most.
                    widest = widest.max(figure.len() + figure.len() / 3);
                    match figure.parse::<f64>() {
                        Ok(value) if value.is_finite() => {
                            sheet.write_number_with_format(r, c, value, numbers.of(figure))?;
                        }
                        _ => text(sheet, r, c, figure, &name_format())?,
                    }
                }
            }
        }
        sheet.set_column_width(
            c,
            if column.holds_findings() { f64::from(SENTENCES) } else { widest as f64 },
        )?;
    }
    sheet.set_freeze_panes(1, FROZEN_COLUMNS)?;
    sheet.autofilter(0, 0, last_row, last_column)?;
    for_print(sheet)
}

/// The sums of the schedule, which stand apart from its rows so that whoever sums these counts nothing twice.
fn totals_sheet(sheet: &mut Worksheet, sections: &[Row], style: Style) -> Result<(), XlsxError> {
    sheet.set_name("Totals")?;
    let mut totals = Totals::of(style);
    sections.iter().for_each(|row| totals.add(row));
    let written = totals.headings();
    headings(sheet, 0, &written.iter().map(String::as_str).collect::<Vec<_>>())?;
    let mut numbers = NumberFormats::default();
    for (r, (word, figures)) in (1_u32..).zip(totals.lines()) {
        text(sheet, r, 0, word, &name_format())?;
        for (c, figure) in (1_u16..).zip(&figures) {
            if let Some(value) = figure.parse::<f64>().ok().filter(|value| value.is_finite()) {
                sheet.write_number_with_format(r, c, value, numbers.of(figure))?;
            }
        }
    }
    for (c, heading) in (0_u16..).zip(&written) {
        sheet.set_column_width(c, heading.chars().count().max(14) as f64)?;
    }
    sheet.set_freeze_panes(1, 1)?;
    for_print(sheet)
}

fn columns_sheet(sheet: &mut Worksheet, style: Style) -> Result<(), XlsxError> {
    sheet.set_name("Columns")?;
    text(sheet, 0, 0, CAUTION, &Format::new().set_bold())?;
    headings(sheet, 2, &["key", "heading", "unit", "definition"])?;
    for (r, column) in (3_u32..).zip(style.written().into_iter().map(|(_, column)| column)) {
        let unit = match column.quantity {
            Quantity::Count => Some("count".to_owned()),
            quantity => quantity.unit_text(style.units()),
        };
        text(sheet, r, 0, column.key.name(), &name_format())?;
        text(sheet, r, 1, &column.heading(style.units()), &name_format())?;
        text(sheet, r, 2, &unit.unwrap_or_default(), &name_format())?;
        text(sheet, r, 3, column.definition, &sentence_format())?;
    }
    for (c, width) in [(0, 28.0), (1, 32.0), (2, 10.0), (3, f64::from(SENTENCES))] {
        sheet.set_column_width(c, width)?;
    }
    for_print(sheet)
}

fn findings_sheet(
    sheet: &mut Worksheet,
    sections: &[Row],
    style: Style,
    most_rows: usize,
) -> Result<(), XlsxError> {
    sheet.set_name("Findings")?;
    headings(sheet, 0, &["drawing", "section", "severity", "message", "place", "hint", "code"])?;
    let all = sections.iter().flat_map(|m| m.findings.iter().map(move |finding| (m, finding)));
    let count = all.clone().count();
    // The last row is kept for what there is no row for.
    let shown = if count > most_rows { most_rows - 1 } else { count };
    let mut last_row = 0;
    for (r, (section, finding)) in (1_u32..).zip(all.take(shown)) {
        last_row = r;
        text(sheet, r, 0, section.drawing(), &name_format())?;
        text(sheet, r, 1, section.section(), &name_format())?;
        text(sheet, r, 2, finding.severity.word(), &severity_format(finding.severity))?;
        text(sheet, r, 3, &finding.message(), &sentence_format())?;
        text(sheet, r, 4, &finding.place.to_string(), &sentence_format())?;
        text(sheet, r, 5, &finding.hint(style.advice), &sentence_format())?;
        text(sheet, r, 6, finding.code.name(), &name_format())?;
    }
    if shown < count {
        let messages =
            format!("{} more findings have no room here: they stand in the schedule as .csv", count - shown);
        last_row += 1;
        text(sheet, last_row, 3, &messages, &sentence_format())?;
    }
    for (c, width) in [(0, 40.0), (1, 28.0), (2, 11.0), (3, 70.0), (4, 32.0), (5, 70.0), (6, 24.0)] {
        sheet.set_column_width(c, width)?;
    }
    sheet.set_freeze_panes(1, 0)?;
    sheet.autofilter(0, 0, last_row, 6)?;
    for_print(sheet)
}

/// Each finding on a line of its own.
fn findings_in_cell(section: &Row, style: Style) -> String {
    let all = &section.findings;
    let mut lines: Vec<String> =
        all.iter().take(MOST_IN_CELL).map(|finding| finding.words(style.advice)).collect();
    if all.len() > lines.len() {
        lines.push(format!("and {} more: see the sheet Findings", all.len() - lines.len()));
    }
    lines.join("\n")
}

fn headings(sheet: &mut Worksheet, row: u32, words: &[&str]) -> Result<(), XlsxError> {
    for (c, word) in (0_u16..).zip(words) {
        text(sheet, row, c, word, &heading_format())?;
    }
    Ok(())
}

fn for_print(sheet: &mut Worksheet) -> Result<(), XlsxError> {
    sheet.set_landscape().set_repeat_rows(0, 0)?.set_footer("&L&A&RPage &P of &N");
    Ok(())
}

/// Writes text that stays text, whatever it begins with; an empty one leaves the cell empty.
fn text(sheet: &mut Worksheet, row: u32, column: u16, words: &str, format: &Format) -> Result<(), XlsxError> {
    if !words.is_empty() {
        sheet.write_string_with_format(row, column, fitting(words), format)?;
    }
    Ok(())
}

/// Text as a cell can hold it; where it had to be cut it says so.
fn fitting(words: &str) -> String {
    let units: usize = words.chars().map(char::len_utf16).sum();
    if units > LONGEST_TEXT {
        let messages =
            format!(" … (cut: {} characters are too long for a cell; see .csv)", words.chars().count());
        let mut room = LONGEST_TEXT - messages.encode_utf16().count();
        let kept: String = words
            .chars()
            .take_while(|letter| {
                let fits = letter.len_utf16() <= room;
                room = room.saturating_sub(letter.len_utf16());
                fits
            })
            .collect();
        return kept + &messages;
    }
    // The writer of workbooks takes text between these marks for formatted text that it need not escape.
    if words.starts_with("<r>") && words.ends_with("</r>") { format!("{words} ") } else { words.to_owned() }
}

/// Formats of numbers that show the digits of the schedule, no more and no fewer.
#[derive(Default)]
struct NumberFormats(BTreeMap<String, Format>);

impl NumberFormats {
    /// The format for a figure.
    fn of(&mut self, figure: &str) -> &Format {
        let pattern = pattern(figure);
        self.0
            .entry(pattern)
            .or_insert_with_key(|pattern| Format::new().set_num_format(pattern).set_align(FormatAlign::Top))
    }
}

/// The pattern of a spreadsheet that shows a figure with the decimals that it has, thousands apart.
fn pattern(figure: &str) -> String {
    match figure.split_once('e') {
        Some((mantissa, _)) => with_decimals("0", mantissa) + "E+00",
        None => with_decimals("#,##0", figure),
    }
}

fn with_decimals(whole: &str, figure: &str) -> String {
    /// Spreadsheets take no more.
    const MOST_DECIMALS: usize = 30;
    match figure.split_once('.') {
        Some((_, decimals)) => format!("{whole}.{}", "0".repeat(decimals.len().min(MOST_DECIMALS))),
        None => whole.to_owned(),
    }
}

fn heading_format() -> Format {
    Format::new()
        .set_bold()
        .set_background_color(Color::RGB(0xE4_E9_EE))
        .set_border_bottom(FormatBorder::Thin)
        .set_align(FormatAlign::Top)
}

fn name_format() -> Format {
    Format::new().set_align(FormatAlign::Top)
}

fn sentence_format() -> Format {
    Format::new().set_align(FormatAlign::Top).set_text_wrap()
}

fn status_format(status: Status) -> Format {
    match status {
        Status::Ok => name_format(),
        Status::Warning => warning_format(),
        Status::Failed => failure_format(),
    }
}

fn severity_format(severity: Severity) -> Format {
    match severity {
        Severity::Note => name_format(),
        Severity::Warning => warning_format(),
        Severity::Failure => failure_format(),
    }
}

/// Dark on light: it can be read where no colours are seen.
fn warning_format() -> Format {
    name_format().set_background_color(Color::RGB(0xFF_E9_A8)).set_font_color(Color::RGB(0x5C_45_00))
}

fn failure_format() -> Format {
    name_format()
        .set_bold()
        .set_background_color(Color::RGB(0xFF_D0_CC))
        .set_font_color(Color::RGB(0x7A_12_0C))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::{Code, Finding};
    use crate::measure::Measurement;

    #[test]
    fn patterns_show_the_digits_that_there_are() {
        for (figure, want) in [
            ("240", "#,##0"),
            ("627.843", "#,##0.000"),
            ("-0.00123457", "#,##0.00000000"),
            ("4.01959e-16", "0.00000E+00"),
            ("2e20", "0E+00"),
        ] {
            assert_eq!(pattern(figure), want, "{figure}");
        }
        assert_eq!(pattern(&format!("0.{}", "1".repeat(90))).len(), "#,##0.".len() + 30);
    }

    #[test]
    fn long_texts_say_that_they_are_cut() {
        let long = "a𝔸".repeat(20_000);
        let cut = fitting(&long);
        let units = cut.encode_utf16().count();
        assert!(units == LONGEST_TEXT || units == LONGEST_TEXT - 1, "{units}");
        assert!(
            cut.starts_with("a𝔸a𝔸") && cut.contains("cut: 40000 characters"),
            "{}",
            &cut[cut.len() - 90..]
        );
        let just = "é".repeat(LONGEST_TEXT);
        assert_eq!(fitting(&just), just);
        assert_eq!(fitting("<r>PLATE</r>"), "<r>PLATE</r> ");
    }

    #[test]
    fn more_sections_than_rows_are_refused() {
        let rows: Vec<Row> = (0..4)
            .map(|k| Measurement::failed(&format!("{k}.dxf"), Finding::of(Code::FileEmpty)))
            .map(|failed| Row::of(&failed, Style::default()))
            .collect();
        assert!(workbook(&rows, Style::default(), 4).is_ok());
        let messages = workbook(&rows, Style::default(), 3).unwrap_err().to_string();
        assert!(messages.contains("3 sections") && messages.contains(".csv"), "{messages}");
    }

    #[test]
    fn many_findings_in_a_cell_are_counted() {
        let mut row = Row::of(&Measurement::failed("a.dxf", Finding::of(Code::FileEmpty)), Style::default());
        row.findings = vec![Finding::of(Code::PiecesRepeated); MOST_IN_CELL + 7];
        let messages = findings_in_cell(&row, Style::default());
        assert_eq!(messages.lines().count(), MOST_IN_CELL + 1);
        assert!(messages.ends_with("and 7 more: see the sheet Findings"), "{messages}");
        // More findings than rows: what is left out is counted.
        assert!(workbook(&[row], Style::default(), 5).is_ok());
    }
}
