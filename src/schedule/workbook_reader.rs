//! A schedule that was written as a workbook, read back as the table that it is. The one file that names `calamine`.

use std::collections::BTreeSet;
use std::io::Cursor;

use calamine::{DataRef, Reader, SheetType, Xlsx, XlsxCellReader, XlsxError, XlsxFormulaMetadata};

use super::csv_writer::{harmless, push_line};
use super::table_file::{is_compound, is_zip};
use super::workbook_parts::{cells_alone, damaged};
use super::{ColumnKey, Digits, Quantity};
use crate::finding::{Code, Finding};

/// How many times as many bytes as a table of CSV its workbook may unpack to: tags stand around each cell.
const UNPACKED: u64 = 8;

/// The sheet that schedules are written to.
const SCHEDULE: &str = "Schedule";

/// The table of a workbook (.xlsx) as CSV of at most `largest` bytes with the same cells, each row in the line of its number;
/// `None` where the bytes are no workbook. Findings, which are never compared, are left out.
///
/// The table stands in the sheet `Schedule`, else in the first whose first row has a heading that names sections. A formula
/// counts as its value; one that nobody has worked out yet stays a formula, so that it is told and not taken for an empty
/// cell.
///
/// # Errors
///
/// What to say of a workbook that can't be read.
pub(crate) fn as_csv(bytes: &[u8], largest: usize) -> Result<Option<Vec<u8>>, Finding> {
    if is_compound(bytes) {
        return Err(Finding::of(Code::WorkbookEncrypted));
    }
    if !is_zip(bytes) {
        return Ok(None);
    }
    if bytes.len() > largest {
        return Err(too_large(largest));
    }
    let cells = cells_alone(bytes, UNPACKED * largest as u64)?;
    let mut workbook: Xlsx<_> = Xlsx::new(Cursor::new(cells)).map_err(unreadable)?;
    let sheet = schedule_sheet(&mut workbook)?;
    let mut table = Table::read(&mut workbook, &sheet, BTreeSet::new(), largest)?;
    if !table.beside.is_empty() {
        // What stands under no heading makes a column too, with an empty one.
        table = Table::read(&mut workbook, &sheet, table.beside, largest)?;
    }
    Ok(Some(table.csv))
}

fn too_large(largest: usize) -> Finding {
    Finding::of(Code::TableTooLarge).with("limit", largest >> 20)
}

fn unreadable(error: XlsxError) -> Finding {
    match error {
        XlsxError::Password => Finding::of(Code::WorkbookEncrypted),
        error => damaged(error),
    }
}

type Sheets = Xlsx<Cursor<Vec<u8>>>;

/// The name of the sheet that holds the table.
fn schedule_sheet(workbook: &mut Sheets) -> Result<String, Finding> {
    let sheets = workbook.sheets_metadata().iter().filter(|sheet| sheet.typ == SheetType::WorkSheet);
    let mut names: Vec<String> = sheets.map(|sheet| sheet.name.clone()).collect();
    names.sort_by_key(|name| !name.eq_ignore_ascii_case(SCHEDULE));
    for name in names {
        let first = SheetRows::of(workbook, &name)?.next_row()?;
        let names_sections = |(_, text): &(usize, Cell)| {
            let heading = ColumnKey::from_name(text.words().trim());
            matches!(heading, Some(ColumnKey::Section | ColumnKey::Layer))
        };
        if first.is_some_and(|(_, cells)| cells.iter().any(names_sections)) {
            return Ok(name);
        }
    }
    Err(Finding::of(Code::WorkbookWithoutSchedule))
}

/// What stands in a cell.
enum Cell {
    Words(String),
    /// A figure, or what is told as it stands.
    Plain(String),
}

impl Cell {
    /// The cell of a value; `None` for an empty one.
    fn of(value: DataRef, formula: Option<XlsxFormulaMetadata>) -> Option<Cell> {
        let cell = match value {
            DataRef::String(words) => Cell::Words(words),
            DataRef::SharedString(words) => Cell::Words(words.to_owned()),
            DataRef::Float(number) => Cell::Plain(Digits::FULL.text(number, 0.0)),
            DataRef::Int(number) => Cell::Plain(number.to_string()),
            DataRef::Bool(true) => Cell::Words("TRUE".to_owned()),
            DataRef::Bool(false) => Cell::Words("FALSE".to_owned()),
            DataRef::DateTime(date) => Cell::Plain(Digits::FULL.text(date.as_f64(), 0.0)),
            DataRef::DateTimeIso(words) | DataRef::DurationIso(words) => Cell::Words(words),
            DataRef::Error(error) => Cell::Plain(error.to_string()),
            DataRef::Empty => match formula? {
                XlsxFormulaMetadata::Normal { formula } | XlsxFormulaMetadata::Shared { formula, .. } => {
                    Cell::Plain(format!("={formula}"))
                }
                _ => Cell::Plain("=".to_owned()),
            },
        };
        Some(cell).filter(|cell| !cell.words().trim().is_empty())
    }

    fn into_words(self) -> String {
        match self {
            Cell::Words(text) | Cell::Plain(text) => text,
        }
    }

    fn words(&self) -> &str {
        match self {
            Cell::Words(text) | Cell::Plain(text) => text,
        }
    }
}

/// A row of a sheet: its number from 0, and its cells with their columns.
type SheetRow = (u32, Vec<(usize, Cell)>);

/// A cell with its row and column.
type Placed = (u32, (usize, Cell));

/// The rows of a sheet that are not empty.
struct SheetRows<'w> {
    cells: XlsxCellReader<'w, Cursor<Vec<u8>>>,
    /// The first cell of the row that comes.
    ahead: Option<Placed>,
    /// The place that was read last.
    last: Option<(u32, u32)>,
    /// What stands behind the last cell is none of the sheet's.
    ended: bool,
}

impl<'w> SheetRows<'w> {
    fn of(workbook: &'w mut Sheets, sheet: &str) -> Result<SheetRows<'w>, Finding> {
        let cells = workbook.worksheet_cells_reader(sheet).map_err(unreadable)?;
        Ok(SheetRows { cells, ahead: None, last: None, ended: false })
    }

    /// The next cell that is not empty, with its row and column from 0.
    fn next_cell(&mut self) -> Result<Option<Placed>, Finding> {
        while !self.ended {
            let Some(record) = self.cells.next_cell_with_formula_metadata().map_err(unreadable)? else {
                self.ended = true;
                break;
            };
            if self.last.is_some_and(|last| record.pos <= last) {
                return Err(damaged("its cells are out of order"));
            }
            self.last = Some(record.pos);
            let (row, column) = record.pos;
            if let Some(cell) = Cell::of(record.value, record.formula) {
                return Ok(Some((row, (column as usize, cell))));
            }
        }
        Ok(None)
    }

    /// The next row that is not empty.
    fn next_row(&mut self) -> Result<Option<SheetRow>, Finding> {
        let first = match self.ahead.take() {
            None => self.next_cell()?,
            ahead => ahead,
        };
        let Some((row, first)) = first else { return Ok(None) };
        let mut cells = vec![first];
        while let Some((of_row, cell)) = self.next_cell()? {
            if of_row != row {
                self.ahead = Some((of_row, cell));
                break;
            }
            cells.push(cell);
        }
        Ok(Some((row, cells)))
    }
}

/// The table as CSV.
struct Table {
    csv: Vec<u8>,
    lines: u32,
    /// The columns of the sheet that are written, in their order, and what is written of each.
    columns: Vec<(usize, Written)>,
    /// Other columns in which something stands.
    beside: BTreeSet<usize>,
}

/// What is written of a column.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Written {
    Figures,
    Words,
    Nothing,
}

impl Table {
    /// Reads a sheet as a table of the columns that have headings and of these others.
    fn read(
        workbook: &mut Sheets,
        sheet: &str,
        others: BTreeSet<usize>,
        largest: usize,
    ) -> Result<Table, Finding> {
        let mut table = Table { csv: Vec::new(), lines: 0, columns: Vec::new(), beside: BTreeSet::new() };
        let mut rows = SheetRows::of(workbook, sheet)?;
        if let Some((row, headings)) = rows.next_row()? {
            let written = |heading: &Cell| match ColumnKey::from_name(heading.words().trim()) {
                Some(ColumnKey::Findings) => Written::Nothing,
                Some(key) if key.column().quantity == Quantity::Text => Written::Words,
                _ => Written::Figures,
            };
            table.columns = headings.iter().map(|(at, heading)| (*at, written(heading))).collect();
            table.columns.extend(others.into_iter().map(|at| (at, Written::Figures)));
            table.columns.sort_by_key(|(at, _)| *at);
            table.take(row, headings, |_, heading| heading.into_words());
        }
        while let Some((row, cells)) = rows.next_row()? {
            table.take(row, cells, |written, cell| match (written, cell) {
                (Written::Nothing, _) => String::new(),
                (Written::Words, Cell::Words(words)) => harmless(words),
                (_, cell) => cell.into_words(),
            });
            if table.csv.len() > largest {
                return Err(too_large(largest));
            }
        }
        Ok(table)
    }

    /// Takes a row, of whose cells `text` says what is written.
    fn take(&mut self, row: u32, cells: Vec<(usize, Cell)>, text: impl Fn(Written, Cell) -> String) {
        let mut line = vec![String::new(); self.columns.len()];
        for (at, cell) in cells {
            let place = self.columns.binary_search_by_key(&at, |(column, _)| *column);
            match place.ok().and_then(|place| line.get_mut(place).zip(self.columns.get(place))) {
                Some((written, (_, column))) => *written = text(*column, cell),
                None => {
                    self.beside.insert(at);
                }
            }
        }
        self.push(row, &line);
    }

    /// Writes a line where the row of this number belongs.
    fn push(&mut self, row: u32, line: &[String]) {
        self.csv.extend((self.lines..row).map(|_| b'\n'));
        self.lines = row.saturating_add(1);
        push_line(line, &mut self.csv);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_of_cells() {
        let text = |value, formula| Cell::of(value, formula).map(|cell| cell.words().to_owned());
        let formula = || Some(XlsxFormulaMetadata::Normal { formula: "2*A1".to_owned() });
        assert_eq!(text(DataRef::Float(19_431_700.0), None).as_deref(), Some("19431700"));
        assert_eq!(text(DataRef::Float(0.1 + 0.2), None).as_deref(), Some("0.30000000000000004"));
        assert_eq!(text(DataRef::Float(5.0), formula()).as_deref(), Some("5"));
        assert_eq!(text(DataRef::SharedString("007"), None).as_deref(), Some("007"));
        assert_eq!(text(DataRef::Empty, formula()).as_deref(), Some("=2*A1"));
        assert_eq!((text(DataRef::Empty, None), text(DataRef::String(" ".to_owned()), None)), (None, None));
    }

    #[test]
    fn what_is_no_workbook() {
        let code = |bytes: &[u8]| as_csv(bytes, 1 << 20).map_err(|finding| finding.code);
        assert_eq!(code(b"section,area_mm2\n"), Ok(None));
        assert_eq!(code(b"PK\x03\x04\xff\xfe"), Err(Code::WorkbookDamaged));
        assert_eq!(code(b"PK\x05\x06"), Err(Code::WorkbookDamaged));
        assert_eq!(code(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1\0\0"), Err(Code::WorkbookEncrypted));
        assert_eq!(as_csv(b"PK\x03\x04", 2).map_err(|finding| finding.code), Err(Code::TableTooLarge));
    }
}
