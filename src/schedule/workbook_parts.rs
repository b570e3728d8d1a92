//! The parts of a workbook, looked through before anything is made of them: a few bytes of a ZIP can unpack to more than any
//! memory holds. The one file that names `zip`.

use std::io::{Cursor, Read};

use zip::{ZipArchive, ZipWriter};

use crate::finding::{Code, Finding};

/// Texts that cells share: more than sheets with a million rows have in earnest.
const MOST_STRINGS: usize = 4_000_000;

/// Bytes between one tag and the next: many times the text that a cell can hold (32,767 letters).
const LONGEST_TEXT: usize = 1 << 20;

/// The same in what says which sheets there are, of which parts are remembered for each sheet.
const LONGEST_OF_STRUCTURE: usize = 16 << 10;

/// Bytes of that.
const LARGEST_STRUCTURE: u64 = 1 << 20;

/// Letters of a column and digits of a row: AAA and 1048576 are the last ones of spreadsheets.
const LETTERS: usize = 3;
const DIGITS: usize = 7;

/// The part that says where the others stand.
const ROOT: &str = "_rels/.rels";

/// What to say of a workbook that can't be read.
pub(super) fn damaged(error: impl ToString) -> Finding {
    Finding::of(Code::WorkbookDamaged).with("error", error.to_string())
}

/// A workbook with the same sheets that has nothing but cells: no pictures, no notes, and no formats, of which each cell could
/// have a copy of any size. Its parts unpack to at most so many bytes in all, and no place of a cell is beyond what can be.
pub(super) fn cells_alone(bytes: &[u8], most_unpacked: u64) -> Result<Vec<u8>, Finding> {
    let mut archive = ZipArchive::new(Cursor::new(bytes)).map_err(damaged)?;
    let mut copy = ZipWriter::new(Cursor::new(Vec::new()));
    let (mut unpacked, mut packed, mut is_workbook) = (0, 0, false);
    for index in 0..archive.len() {
        let kind = {
            let part = archive.by_index_raw(index).map_err(damaged)?;
            let name = part.name().map_err(damaged)?.replace('\\', "/").to_ascii_lowercase();
            let Some(kind) = Kind::of(&name) else { continue };
            if part.encrypted() {
                return Err(Finding::of(Code::WorkbookEncrypted));
            }
            // Parts that lie over one another would be copied once for each.
            packed += part.compressed_size();
            if packed > bytes.len() as u64 {
                return Err(damaged("parts of it overlap"));
            }
            is_workbook |= name == ROOT;
            kind
        };
        let part = archive.by_index(index).map_err(damaged)?;
        unpacked += looked_through(part, kind, most_unpacked - unpacked, most_unpacked)?;
        copy.raw_copy_file(archive.by_index_raw(index).map_err(damaged)?).map_err(damaged)?;
    }
    if !is_workbook {
        return Err(damaged("it is a ZIP file that holds no workbook"));
    }
    Ok(copy.finish().map_err(damaged)?.into_inner())
}

/// What a part is.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Kind {
    /// It says which sheets there are and where they stand.
    Structure,
    /// Cells, or texts of cells.
    Cells,
}

impl Kind {
    /// The kind of a part with this name in small letters; `None` for what is not read.
    fn of(name: &str) -> Option<Kind> {
        /// Folders and files of what is no cell.
        const OTHERS: [&str; 9] = [
            "theme/",
            "docprops/",
            "customxml/",
            "drawings/",
            "charts/",
            "pivot",
            "comments",
            "calcchain",
            "styles",
        ];
        let file = name.rsplit('/').next().unwrap_or_default();
        if name == ROOT || file.ends_with(".xml.rels") && !name.contains("sheets/_rels/") {
            return Some(Kind::Structure);
        }
        if !file.ends_with(".xml") || OTHERS.iter().any(|other| name.contains(other)) {
            return None;
        }
        Some(if file.starts_with("workbook") { Kind::Structure } else { Kind::Cells })
    }
}

/// Unpacks a part to see what is in it: how many bytes that are.
fn looked_through(mut part: impl Read, kind: Kind, room: u64, limit: u64) -> Result<u64, Finding> {
    let (room, limit, longest) = match kind {
        Kind::Structure => (room.min(LARGEST_STRUCTURE), LARGEST_STRUCTURE, LONGEST_OF_STRUCTURE),
        Kind::Cells => (room, limit, LONGEST_TEXT),
    };
    let too_large = || Finding::of(Code::WorkbookTooLarge).with("limit", limit >> 20);
    let mut pieces = Pieces { piece: Vec::new(), strings: 0 };
    let mut bytes = [0; 16 << 10];
    let mut unpacked = 0;
    loop {
        let count = part.read(&mut bytes).map_err(damaged)?;
        let Some(read) = bytes.get(..count).filter(|read| !read.is_empty()) else { break };
        unpacked += count as u64;
        if unpacked > room {
            return Err(too_large());
        }
        let mut rest = read;
        while let Some(at) = rest.iter().position(|byte| *byte == b'<') {
            let (piece, behind) = rest.split_at(at);
            pieces.piece.extend_from_slice(piece);
            pieces.end()?;
            rest = behind.get(1..).unwrap_or_default();
        }
        pieces.piece.extend_from_slice(rest);
        if pieces.piece.len() > longest {
            return Err(damaged(format!("more than {} KiB stand between two tags", longest >> 10)));
        }
        if pieces.strings > MOST_STRINGS {
            return Err(too_large());
        }
    }
    pieces.end()?;
    Ok(unpacked)
}

/// A part taken apart at its tags.
struct Pieces {
    /// A tag without its first bracket, and the text behind it.
    piece: Vec<u8>,
    strings: usize,
}

impl Pieces {
    /// Judges a piece that has ended.
    fn end(&mut self) -> Result<(), Finding> {
        let is_good = match std::str::from_utf8(&self.piece) {
            // In text of other encodings nothing stands where it seems to.
            Ok(text) => !text.contains('\0') && judge(text, &mut self.strings),
            Err(_) => false,
        };
        self.piece.clear();
        if is_good { Ok(()) } else { Err(damaged("a part of it is no text of a workbook in UTF-8")) }
    }
}

/// Whether a tag is what it may be, and the text behind it; counts the texts of cells.
fn judge(piece: &str, strings: &mut usize) -> bool {
    let end = piece.find(|c: char| c.is_ascii_whitespace() || matches!(c, '/' | '>'));
    let (tag, rest) = piece.split_at(end.unwrap_or(piece.len()));
    let mut values = Attributes(rest);
    match tag.rsplit(':').next().unwrap_or_default() {
        "c" | "row" => values.all(|(key, place)| key != "r" || is_place(place)),
        "dimension" => values.all(|(key, area)| key != "ref" || is_area(area)),
        "sst" => values.all(|(key, count)| {
            key != "uniqueCount" || count.parse::<usize>().is_ok_and(|count| count <= MOST_STRINGS)
        }),
        "si" => {
            *strings += 1;
            true
        }
        "?xml" => values.all(|(key, name)| key != "encoding" || name.eq_ignore_ascii_case("utf-8")),
        _ => true,
    }
}

/// The attributes of a tag, up to the first that is none.
struct Attributes<'t>(&'t str);

impl<'t> Iterator for Attributes<'t> {
    type Item = (&'t str, &'t str);

    fn next(&mut self) -> Option<(&'t str, &'t str)> {
        let (key, behind) = self.0.split_once('=')?;
        let behind = behind.trim_ascii_start();
        let quote = behind.chars().next().filter(|quote| matches!(quote, '"' | '\''))?;
        let (value, rest) = behind.get(1..)?.split_once(quote)?;
        self.0 = rest;
        Some((key.trim_ascii(), value))
    }
}

/// Whether text is a place of a sheet, such as `AB12`, or a row.
fn is_place(text: &str) -> bool {
    place(text).is_some()
}

/// Whether text is a place or two, the second neither above nor before the first: `A1:AB12`.
fn is_area(text: &str) -> bool {
    match text.split_once(':') {
        None => is_place(text),
        Some((first, last)) => match (place(first), place(last)) {
            (Some((column, row)), Some((last_column, last_row))) => column <= last_column && row <= last_row,
            _ => false,
        },
    }
}

/// The column, 0 where none is named, and the row, both from 1.
fn place(text: &str) -> Option<(u32, u32)> {
    let letters = text.bytes().take_while(u8::is_ascii_alphabetic).count();
    let (column, row) = text.split_at_checked(letters)?;
    let is_row = (1..=DIGITS).contains(&row.len()) && row.bytes().all(|byte| byte.is_ascii_digit());
    if letters > LETTERS || !is_row {
        return None;
    }
    let letter = |byte: u8| u32::from(byte.to_ascii_uppercase() - b'A') + 1;
    let column = column.bytes().fold(0, |sum, byte| 26 * sum + letter(byte));
    Some((column, row.parse().ok().filter(|row| *row > 0)?))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_of_cells() {
        assert_eq!([place("A1"), place("ab12"), place("7")], [Some((1, 1)), Some((28, 12)), Some((0, 7))]);
        for text in ["", "A", "A0", "AAAA1", "A12345678", "1A", "A1B", "Ä1", "A-1"] {
            assert_eq!(place(text), None, "{text}");
        }
        assert!(is_area("A1:B2") && is_area("C3") && is_area("A1:A1"));
        assert!(!is_area("B1:A2") && !is_area("A2:B1") && !is_area("A1:B2:C3") && !is_area(":"));
    }

    #[test]
    fn attributes_of_tags() {
        let found: Vec<(&str, &str)> = Attributes(" r = \"A1\"\n t='s' x=\"a=b\">text").collect();
        assert_eq!(found, [("r", "A1"), ("t", "s"), ("x", "a=b")]);
    }

    fn part(text: &str) -> Result<u64, Finding> {
        looked_through(text.as_bytes(), Kind::Cells, 1 << 21, 1 << 21)
    }

    #[test]
    fn parts_that_can_not_be() {
        assert_eq!(part("<sheetData><x:c r=\"A1\" s=\"1\"><v>5</v></x:c></sheetData>"), Ok(55));
        for text in [
            "<c r=\"A99999999999\"/>",
            "<x:c s='1' r = 'ABCDEFGH1'/>",
            "<row r=\"4294967297\">",
            "<dimension ref=\"B2:A1\"/>",
            "<sst uniqueCount=\"99999999999\">",
            "<?xml version=\"1.0\" encoding=\"UTF-16\"?>",
            "<\0c\0>\0",
        ] {
            assert_eq!(part(text).map_err(|error| error.code), Err(Code::WorkbookDamaged), "{text}");
        }
        let long = format!("<v>{}", " ".repeat(LONGEST_TEXT + 20_000));
        assert_eq!(part(&long).map_err(|error| error.code), Err(Code::WorkbookDamaged));
        let large = "<v>1</v>".repeat(300_000);
        assert_eq!(part(&large).map_err(|error| error.code), Err(Code::WorkbookTooLarge));
    }

    #[test]
    fn parts_that_are_read() {
        for name in ["xl/worksheets/sheet1.xml", "xl/sharedstrings.xml", "sheets/a.xml"] {
            assert!(Kind::of(name) == Some(Kind::Cells), "{name}");
        }
        for name in ["_rels/.rels", "xl/_rels/workbook.xml.rels", "xl/workbook.xml"] {
            assert!(Kind::of(name) == Some(Kind::Structure), "{name}");
        }
        for name in ["xl/styles.xml", "xl/comments1.xml", "xl/worksheets/_rels/sheet1.xml.rels", "xl/a.bin"] {
            assert!(Kind::of(name).is_none(), "{name}");
        }
    }
}
