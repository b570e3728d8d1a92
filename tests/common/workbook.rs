//! A workbook read back: texts and numbers of its cells, by a reader of ZIP and one of XML.
#![allow(dead_code, reason = "every test file uses a part of it")]

use std::collections::BTreeMap;
use std::io::{Cursor, Read, Write};

/// The cells of a sheet by row and column from 0, as text; numbers as they are written.
pub type Cells = BTreeMap<(usize, usize), String>;

/// A part of the workbook.
pub fn part(bytes: &[u8], name: &str) -> String {
    let mut archive = zip::ZipArchive::new(Cursor::new(bytes)).unwrap();
    let mut text = String::new();
    archive.by_name(name).unwrap_or_else(|e| panic!("{name}: {e}")).read_to_string(&mut text).unwrap();
    text
}

/// The names of its sheets in their order.
pub fn sheets(bytes: &[u8]) -> Vec<String> {
    let text = part(bytes, "xl/workbook.xml");
    let document = roxmltree::Document::parse(&text).unwrap();
    let sheets = document.descendants().filter(|node| node.has_tag_name_here("sheet"));
    sheets.map(|node| node.attribute("name").unwrap().to_owned()).collect()
}

/// The cells of the sheet with this number, from 1.
pub fn cells(bytes: &[u8], sheet: usize) -> Cells {
    let strings = part(bytes, "xl/sharedStrings.xml");
    let strings = roxmltree::Document::parse(&strings).unwrap();
    let strings: Vec<String> = strings
        .descendants()
        .filter(|node| node.has_tag_name_here("si"))
        .map(|si| {
            let texts = si.descendants().filter(|node| node.has_tag_name_here("t"));
            unescaped(&texts.filter_map(|t| t.text()).collect::<String>())
        })
        .collect();
    let text = part(bytes, &format!("xl/worksheets/sheet{sheet}.xml"));
    let document = roxmltree::Document::parse(&text).unwrap();
    assert!(!document.descendants().any(|node| node.has_tag_name_here("f")), "no formulas");
    let mut cells = Cells::new();
    for cell in document.descendants().filter(|node| node.has_tag_name_here("c")) {
        let Some(value) = cell.children().find(|node| node.has_tag_name_here("v")) else { continue };
        let value = value.text().unwrap();
        let value = match cell.attribute("t") {
            Some("s") => strings[value.parse::<usize>().unwrap()].clone(),
            None => value.to_owned(),
            other => panic!("a cell of type {other:?}"),
        };
        cells.insert(place(cell.attribute("r").unwrap()), value);
    }
    cells
}

/// `AB12` as row 11, column 27.
fn place(name: &str) -> (usize, usize) {
    let letters = name.bytes().take_while(u8::is_ascii_uppercase);
    let column = letters.fold(0, |sum, letter| sum * 26 + usize::from(letter - b'A') + 1);
    let row: usize = name.trim_start_matches(|c: char| c.is_ascii_uppercase()).parse().unwrap();
    (row - 1, column - 1)
}

/// `_x001B_` as the character that it stands for.
fn unescaped(text: &str) -> String {
    let mut out = String::new();
    let mut rest = text;
    while let Some(at) = rest.find("_x") {
        let code = rest.get(at + 2..at + 6).filter(|_| rest[at..].get(6..7) == Some("_"));
        match code.and_then(|code| u32::from_str_radix(code, 16).ok()).and_then(char::from_u32) {
            Some(letter) => {
                out += &rest[..at];
                out.push(letter);
                rest = &rest[at + 7..];
            }
            None => {
                out += &rest[..at + 2];
                rest = &rest[at + 2..];
            }
        }
    }
    out + rest
}

trait Here {
    fn has_tag_name_here(&self, name: &str) -> bool;
}

impl Here for roxmltree::Node<'_, '_> {
    /// The name without its namespace.
    fn has_tag_name_here(&self, name: &str) -> bool {
        self.tag_name().name() == name
    }
}

/// A ZIP of these parts.
pub fn zipped(parts: &[(&str, &str)]) -> Vec<u8> {
    let mut archive = zip::ZipWriter::new(Cursor::new(Vec::new()));
    for (name, text) in parts {
        archive.start_file(*name, zip::write::SimpleFileOptions::default()).unwrap();
        archive.write_all(text.as_bytes()).unwrap();
    }
    archive.finish().unwrap().into_inner()
}

/// A workbook as other programs write it: the sheets with their names and what stands in their `sheetData`, and the texts that
/// cells share.
pub fn workbook_of(sheets: &[(&str, &str)], strings: &str) -> Vec<u8> {
    const ROOM: &str = "http://schemas.openxmlformats.org/spreadsheetml/2006/main";
    const RELATION: &str = "http://schemas.openxmlformats.org/officeDocument/2006/relationships";
    const PACKAGE: &str = "http://schemas.openxmlformats.org/package/2006/relationships";
    let (mut named, mut relations) = (String::new(), String::new());
    let mut parts: Vec<(String, String)> = Vec::new();
    for (k, (name, data)) in sheets.iter().enumerate() {
        named += &format!("<sheet name=\"{name}\" sheetId=\"{}\" r:id=\"rId{k}\"/>", k + 1);
        relations += &format!(
            "<Relationship Id=\"rId{k}\" Type=\"{RELATION}/worksheet\" Target=\"worksheets/sheet{k}.xml\"/>"
        );
        parts.push((
            format!("xl/worksheets/sheet{k}.xml"),
            format!(
                "<?xml version=\"1.0\" encoding=\"UTF-8\" standalone=\"yes\"?>\n\
                 <worksheet xmlns=\"{ROOM}\"><sheetData>{data}</sheetData></worksheet>"
            ),
        ));
    }
    parts.push((
        "_rels/.rels".to_owned(),
        format!(
            "<Relationships xmlns=\"{PACKAGE}\"><Relationship Id=\"rId1\" Type=\"{RELATION}/officeDocument\" \
             Target=\"xl/workbook.xml\"/></Relationships>"
        ),
    ));
    parts.push((
        "xl/_rels/workbook.xml.rels".to_owned(),
        format!("<Relationships xmlns=\"{PACKAGE}\">{relations}</Relationships>"),
    ));
    parts.push((
        "xl/workbook.xml".to_owned(),
        format!("<workbook xmlns=\"{ROOM}\" xmlns:r=\"{RELATION}\"><sheets>{named}</sheets></workbook>"),
    ));
    // Every number is a date: what formats say of a cell does not change its figure.
    parts.push((
        "xl/styles.xml".to_owned(),
        format!("<styleSheet xmlns=\"{ROOM}\"><cellXfs count=\"2\"><xf numFmtId=\"14\"/><xf numFmtId=\"14\"/></cellXfs></styleSheet>"),
    ));
    if !strings.is_empty() {
        parts.push(("xl/sharedStrings.xml".to_owned(), strings.to_owned()));
    }
    let parts: Vec<(&str, &str)> = parts.iter().map(|(name, text)| (name.as_str(), text.as_str())).collect();
    zipped(&parts)
}
