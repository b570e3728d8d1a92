//! The rows of a schedule, whatever they were read from.

use std::collections::{BTreeSet, HashMap};

use super::findings::{Findings, in_line};
use crate::check::TableError;
use crate::check::{
    MOST_COLUMNS, PEOPLES_COLUMNS, by_heading, miscounted, not_compared, text_of, unknown, without_commas,
};
use crate::finding::{Code, Finding, Position, Severity, Value};
use crate::schedule::{Column, ColumnKey, Quantity, TextRows, as_given, csv_of};
use crate::unit::Units;

/// The rows of a schedule: the drawing and the section that name each, and the cells of any of the schedule's columns
/// in any unit.
///
/// A schedule in CSV is read by [`Rows::read`]; what was kept in another way comes in by [`Rows::of`], or by
/// [`Rows::under`] and [`Rows::push`] where reading may fail on the way. Texts are kept together, so that rows take
/// little more memory than their letters.
#[derive(Debug)]
pub struct Rows {
    pub(super) columns: Vec<RowColumn>,
    /// Which of the cells that are given belong to `columns`, in their order.
    kept: Vec<bool>,
    /// The paths of the drawings, each once, in the order in which they come.
    pub(super) drawings: Vec<String>,
    numbers: HashMap<String, usize>,
    rows: Vec<Row>,
    /// Section and cells of each row behind one another, and where each of these texts ends.
    text: String,
    ends: Vec<usize>,
    findings: Findings,
}

/// A column that can be compared.
pub(super) struct RowColumn {
    /// Its heading, as the schedule has it.
    pub heading: String,
    /// What it holds.
    pub column: &'static Column,
    /// Unit of length of its figures.
    pub unit: Units,
}

impl std::fmt::Debug for RowColumn {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.heading)
    }
}

#[derive(Debug)]
struct Row {
    drawing: usize,
    line: Option<u64>,
}

impl Rows {
    /// Bytes of the largest schedule that is read as CSV: a million rows with every column.
    pub const LARGEST: usize = 512 << 20;

    /// Reads a schedule from the bytes of a CSV file, a workbook (.xlsx) or JSON: a column `section`, perhaps a column `drawing`, and any other
    /// columns of a schedule in any order and unit. Text that a schedule wrote behind an apostrophe, so that no
    /// spreadsheet runs it, loses that.
    ///
    /// # Errors
    ///
    /// An error that says why nothing can be compared with it. What concerns a column or a row alone is among the
    /// [`findings`](Rows::findings).
    pub fn read(bytes: &[u8]) -> Result<Rows, TableError> {
        let csv = csv_of(bytes, Rows::LARGEST)?;
        let text = text_of(csv.as_deref().unwrap_or(bytes), Rows::LARGEST)?;
        let (headings, mut reading) = TextRows::of(text).map_err(TableError::unreadable)?;
        if headings.len() > MOST_COLUMNS {
            return Err(Finding::of(Code::TableTooWide).with("limit", MOST_COLUMNS).into());
        }
        if let Some(finding) = without_commas(&headings) {
            return Err(finding.into());
        }
        let stands =
            |key: ColumnKey| headings.iter().position(|heading| heading.eq_ignore_ascii_case(key.name()));
        let (drawing, Some(section)) = (stands(ColumnKey::Drawing), stands(ColumnKey::Section)) else {
            return Err(Finding::of(Code::ScheduleWithoutSections).in_file(Position::Line(1)).into());
        };
        let mut rows = Rows::headed(&headings, Some(1));
        while let Some((line, cells)) = reading.next_row().map_err(TableError::unreadable)? {
            if cells.len() != headings.len() {
                rows.findings.push(miscounted(line, cells.len(), headings.len()));
                continue;
            }
            let cell = |at: usize| cells.get(at).map_or("", |cell| as_given(cell));
            let drawing = drawing.map_or("", cell);
            rows.take(Some(line), drawing, cell(section), cells.iter().copied(), as_given);
        }
        Ok(rows)
    }

    /// No rows yet, under these headings: those of a schedule with the unit of their figures, in any order, such as
    /// `area_mm2`, `principal_angle_deg`, `status`. A heading that is none of the schedule's is named among the
    /// findings, and its cells are passed over; so are those of columns `drawing` and `section`, which are given by
    /// themselves, and of columns that are never compared (`findings`, `strip_check`) or are for people (`source`,
    /// `note`). Where a heading stands twice the first one counts.
    pub fn under(headings: &[impl AsRef<str>]) -> Rows {
        Rows::headed(headings, None)
    }

    /// No rows yet, under headings in a line of a file.
    fn headed(headings: &[impl AsRef<str>], line: Option<u64>) -> Rows {
        let mut rows = Rows {
            columns: Vec::new(),
            kept: Vec::new(),
            drawings: Vec::new(),
            numbers: HashMap::new(),
            rows: Vec::new(),
            text: String::new(),
            ends: Vec::new(),
            findings: Findings::default(),
        };
        let mut seen = BTreeSet::new();
        for heading in headings {
            let column = rows.column(heading.as_ref().trim(), line, &mut seen);
            rows.kept.push(column.is_some());
            rows.columns.extend(column);
        }
        rows
    }

    /// The column of a heading, where it is one that can be compared.
    fn column(&mut self, written: &str, line: Option<u64>, seen: &mut BTreeSet<String>) -> Option<RowColumn> {
        let heading = written.to_ascii_lowercase();
        if PEOPLES_COLUMNS.contains(&heading.as_str()) {
            return None;
        }
        let known = by_heading(&heading);
        if !heading.is_empty() && !seen.insert(heading.clone()) {
            let finding = Finding::of(Code::ColumnTwice).with("column", heading);
            // What is a column of theirs is not missed.
            let is_compared = known.is_some_and(|(column, _)| not_compared(column.key).is_none());
            let finding = if is_compared { finding } else { finding.weighing(Severity::Warning) };
            self.findings.push(in_line(finding, line));
            return None;
        }
        let Some((column, unit)) = known else {
            // Whoever compares two schedules may have columns of their own in them.
            self.findings.push(in_line(unknown(written).weighing(Severity::Warning), line));
            return None;
        };
        let names = matches!(column.key, ColumnKey::Drawing | ColumnKey::Section);
        (!names && not_compared(column.key).is_none()).then_some(RowColumn { heading, column, unit })
    }

    /// Rows that were kept in another way than as CSV: the headings as [`Rows::under`] has them, and for each row the
    /// path of its drawing, the name of its section and its cells, as [`Rows::push`] has them.
    pub fn of<D, S, C, T>(headings: &[impl AsRef<str>], rows: impl IntoIterator<Item = (D, S, C)>) -> Rows
    where
        D: AsRef<str>,
        S: AsRef<str>,
        C: AsRef<[T]>,
        T: AsRef<str>,
    {
        let mut taken = Rows::under(headings);
        for (drawing, section, cells) in rows {
            taken.push(drawing.as_ref(), section.as_ref(), cells.as_ref());
        }
        taken
    }

    /// Takes a row: the path of its drawing (empty where it is not known), the name of its section, and a cell for each
    /// heading in their order, numbers as a schedule writes them (`1234.5`), empty where nothing is known. Blanks around
    /// them don't count. A row that has another number of cells, or names neither drawing nor section, is not taken but
    /// named among the findings.
    pub fn push<T: AsRef<str>>(&mut self, drawing: &str, section: &str, cells: &[T]) {
        if cells.len() != self.kept.len() {
            self.findings.push(
                Finding::of(Code::CellsMiscounted)
                    .with("section", Value::Name(section.to_owned()))
                    .with("drawing", Value::Name(drawing.to_owned()))
                    .with("cells", cells.len())
                    .with("headings", self.kept.len()),
            );
            return;
        }
        self.take(None, drawing, section, cells.iter().map(AsRef::as_ref), |text| text);
    }

    /// Takes a row of as many cells as there are headings; `plain` is what becomes of cells of text.
    fn take<'c>(
        &mut self,
        line: Option<u64>,
        drawing: &str,
        section: &str,
        cells: impl Iterator<Item = &'c str>,
        plain: fn(&str) -> &str,
    ) {
        let (drawing, section) = (drawing.trim(), section.trim());
        if drawing.is_empty() && section.is_empty() {
            self.findings.push(in_line(Finding::of(Code::RowWithoutName), line));
            return;
        }
        let drawing = match self.numbers.get(drawing) {
            Some(number) => *number,
            None => {
                let number = self.drawings.len();
                self.drawings.push(drawing.to_owned());
                self.numbers.insert(drawing.to_owned(), number);
                number
            }
        };
        self.rows.push(Row { drawing, line });
        self.text.push_str(section);
        self.ends.push(self.text.len());
        let kept = self.kept.iter().zip(cells).filter(|(kept, _)| **kept).map(|(_, cell)| cell.trim());
        for (column, cell) in self.columns.iter().zip(kept) {
            let cell = if column.column.quantity == Quantity::Text { plain(cell) } else { cell };
            self.text.push_str(cell);
            self.ends.push(self.text.len());
        }
    }

    /// What the reader must know of the schedule by itself: a failure is a row that could not be taken, a warning a
    /// column that is not compared.
    pub fn findings(&self) -> Vec<Finding> {
        self.findings.all()
    }

    /// How many rows there are.
    pub fn len(&self) -> usize {
        self.rows.len()
    }

    /// Whether there is no row.
    pub fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }

    /// Whether any row says which drawing it is of.
    pub(super) fn names_drawings(&self) -> bool {
        self.drawings.iter().any(|drawing| !drawing.is_empty())
    }

    /// The line of the file that a row begins in, where it comes from one.
    pub(super) fn line(&self, row: usize) -> Option<u64> {
        self.rows.get(row).and_then(|row| row.line)
    }

    /// Which of the drawings a row is of.
    pub(super) fn drawing_number(&self, row: usize) -> usize {
        self.rows.get(row).map_or(0, |row| row.drawing)
    }

    pub(super) fn drawing(&self, row: usize) -> &str {
        self.drawings.get(self.drawing_number(row)).map_or("", String::as_str)
    }

    pub(super) fn section(&self, row: usize) -> &str {
        self.text_at(row, 0)
    }

    /// The columns that can be compared.
    pub(super) fn columns(&self) -> &[RowColumn] {
        &self.columns
    }

    /// The cell of a row under one of the columns.
    pub(super) fn cell(&self, row: usize, column: usize) -> &str {
        self.text_at(row, column + 1)
    }

    fn text_at(&self, row: usize, at: usize) -> &str {
        let index = row * (self.columns.len() + 1) + at;
        let begin = index.checked_sub(1).map_or(Some(0), |before| self.ends.get(before).copied());
        let end = self.ends.get(index).copied();
        begin.zip(end).and_then(|(begin, end)| self.text.get(begin..end)).unwrap_or_default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn messages(rows: &Rows) -> Vec<String> {
        rows.findings().iter().map(ToString::to_string).collect()
    }

    #[test]
    fn any_columns_in_any_order() {
        let rows = Rows::read(
            b"parts,Section,source,AREA_cm2,findings,drawing,aera_mm2,strip_check,area_cm2,layer\n\
              1,'-WEB, by hand,12.5 ,none,lib/a.dxf,7,1e-16,13,\"'=A, B\"\n\
              ,,,,,lib/b.dxf,,,,\n",
        )
        .expect("a schedule");
        let headings: Vec<&str> = rows.columns.iter().map(|c| c.heading.as_str()).collect();
        assert_eq!(headings, ["parts", "area_cm2", "layer"]);
        assert_eq!(rows.columns[1].unit.length, crate::drawing::LengthUnit::Centimetre);
        assert_eq!(
            (rows.len(), rows.section(0), rows.drawing(0), rows.line(0)),
            (2, "-WEB", "lib/a.dxf", Some(2))
        );
        assert_eq!([rows.cell(0, 0), rows.cell(0, 1), rows.cell(0, 2)], ["1", "12.5", "=A, B"]);
        assert_eq!((rows.section(1), rows.drawing(1), rows.cell(1, 2)), ("", "lib/b.dxf", ""));
        let messages = messages(&rows);
        assert_eq!(messages.len(), 2, "{messages:?}");
        assert!(
            messages[0].contains("nearest is area_mm2") && messages[1].contains("area_cm2 appears twice"),
            "{messages:?}"
        );
        let severities: Vec<Severity> = rows.findings().iter().map(|finding| finding.severity).collect();
        assert_eq!(severities, [Severity::Warning, Severity::Failure]);
    }

    #[test]
    fn rows_from_elsewhere() {
        let rows = Rows::of(
            &["area_mm2", "section", "status"],
            [
                ("a.dxf", " LUG ", vec!["1000", "LUG", "ok"]),
                ("a.dxf", "'=WEB", vec!["1800", "WEB", "ok"]),
                ("a.dxf", "CAP", vec!["1800"]),
                ("", "", vec!["1", "", ""]),
            ],
        );
        assert_eq!((rows.len(), rows.section(0), rows.section(1)), (2, "LUG", "'=WEB"));
        assert_eq!([rows.cell(1, 0), rows.cell(1, 1)], ["1800", "ok"]);
        let messages = messages(&rows);
        assert!(messages[0].contains("“CAP” of “a.dxf” has 1 cell under 3 headings"), "{messages:?}");
        assert!(messages.len() == 2 && messages[1].contains("names no section"), "{messages:?}");
        assert!(!messages.concat().contains("line"), "there is no file: {messages:?}");
    }

    #[test]
    fn rows_that_do_not_fit() {
        let rows = Rows::read(b"section,area_mm2\nLUG,1,943\n,7\nWEB,1800\n").expect("a schedule");
        assert_eq!((rows.len(), rows.line(0)), (1, Some(4)));
        let messages = messages(&rows);
        assert!(
            messages[0].contains("3 cells under 2 headings") && messages[0].contains("line 2"),
            "{messages:?}"
        );
        assert!(messages[1].contains("names no section") && messages[1].contains("line 3"), "{messages:?}");
    }

    #[test]
    fn what_is_no_schedule() {
        for (bytes, part) in [
            (&b""[..], "no column section"),
            (b"  0\nSECTION\n", "no column section"),
            (b"[{\"section\": \"LUG\"}]", "no column section"),
            (b"section\tarea_mm2\nLUG\t1\n", "commas"),
            (
                b"PK\x03\x04\xff\xfe",
                if cfg!(feature = "workbook") { "the workbook can't be read" } else { "built without" },
            ),
        ] {
            let messages = Rows::read(bytes).expect_err(part).to_string();
            assert!(messages.contains(part), "{messages}");
        }
        let wide = vec![b','; MOST_COLUMNS];
        assert!(Rows::read(&wide).expect_err("too wide").to_string().contains("1000 columns"));
    }
}
