//! Workbooks read back by `tracearm check` and `tracearm compare`: those that the program wrote, those that a spreadsheet program
//! saved again, and those that nothing can be made of.

use crate::common;
use crate::run;
use crate::workbook;

use common::draw::{drawing, lwpolyline};
use run::{Folder, Run, fixture};
use workbook::{part, workbook_of, zipped};

fn ring(layer: &str, x: f64, y: f64, w: f64, h: f64) -> String {
    lwpolyline(layer, &[[x, y, 0.0], [x + w, y, 0.0], [x + w, y + h, 0.0], [x, y + h, 0.0]])
}

/// A lug of 40 × 25 and a web of 30 × 60 mm.
fn frame() -> String {
    drawing(4, "", &(ring("LUG", 10.0, 5.0, 40.0, 25.0) + &ring("WEB", 100.0, 0.0, 30.0, 60.0)))
}

const TABLE: &str = "drawing,section,layer,area_mm2,parts\na.dxf,007,=LUG,1000,1\na.dxf,WEB,WEB,1800.5,2\n";

/// The table as this workbook, compared.
fn compare(bytes: &[u8], more: &[&str]) -> Run {
    let folder = Folder::with(&[("before.csv", TABLE)]);
    folder.write("after.xlsx", bytes);
    folder.run(&[&["compare", "before.csv", "after.xlsx"], more].concat())
}

/// Cells of a row, each with its place, type and inner elements.
fn row(number: usize, cells: &[(&str, &str, &str)]) -> String {
    let cells: String = cells
        .iter()
        .map(|(column, kind, inner)| format!("<c r=\"{column}{number}\" s=\"1\"{kind}>{inner}</c>"))
        .collect();
    format!("<row r=\"{number}\" spans=\"1:5\">{cells}</row>")
}

const SHARED: &str = " t=\"s\"";
const INLINE: &str = " t=\"inlineStr\"";
const FORMULA: &str = " t=\"str\"";

/// A sheet of these headings, and the rows of the table below them.
fn sheet(second: &str) -> String {
    let heading = |text: &str| format!("<is><t>{text}</t></is>");
    let headings = ["parts", "area_mm2", "section", "drawing", "layer"].map(heading);
    let places = ["B", "C", "D", "E", "F"];
    let headings: Vec<(&str, &str, &str)> =
        places.iter().zip(&headings).map(|(place, text)| (*place, INLINE, text.as_str())).collect();
    let first = [
        ("B", " t=\"n\"", "<v>1</v>"),
        ("C", "", "<f>2*500</f><v>1000</v>"),
        ("D", SHARED, "<v>1</v>"),
        ("E", SHARED, "<v>0</v>"),
        ("F", FORMULA, "<f>\"=LUG\"</f><v>=LUG</v>"),
    ];
    row(1, &headings) + &row(2, &first) + second
}

fn second_row(area: &str) -> String {
    let cells = [
        ("B", "", "<v>2.0</v>"),
        ("C", "", area),
        ("D", SHARED, "<v>2</v>"),
        ("E", SHARED, "<v>0</v>"),
        ("F", SHARED, "<v>2</v>"),
    ];
    row(5, &cells)
}

const STRINGS: &str = "<sst uniqueCount=\"3\"><si><t>a.dxf</t></si><si><t>007</t></si>\
                       <si><r><t>W</t></r><r><rPr><b/></rPr><t>EB</t></r></si></sst>";

/// Every fixture in several units and digits, each schedule as CSV and as a workbook: nothing has changed, and they hold the
/// drawings alike.
#[test]
fn a_workbook_is_its_table() {
    let fixtures = fixture("");
    for more in [
        &["--units", "mm"][..],
        &["--units", "in", "--digits", "full"],
        &["--digits", "full", "--per", "part", "--thickness", "12mm", "--density", "7850"],
    ] {
        let folder = Folder::with(&[]);
        for name in ["a.csv", "a.xlsx"] {
            let run = folder.run(&[&["schedule", &fixtures, "-o", name], more].concat());
            assert!(run.code <= 1, "{}", run.err);
        }
        for pair in [["a.csv", "a.xlsx"], ["a.xlsx", "a.csv"]] {
            let run = folder.run(&["compare", pair[0], pair[1], "--within", "0%"]);
            assert_eq!((run.code, run.err.as_str()), (0, ""), "{more:?} {pair:?}: {}", run.out);
            assert!(run.out.starts_with("0 added, 0 gone, 0 changed, "), "{}", run.out);
        }
        if more != ["--units", "mm"] {
            continue;
        }
        let check = |table: &str| folder.run(&[&["check", &fixtures, "--against", table], more].concat());
        let (csv, xlsx) = (check("a.csv"), check("a.xlsx"));
        assert!(csv.code == xlsx.code && csv.out == xlsx.out && csv.out.contains(" within; "), "{more:?}");
        assert!(csv.err.replace("a.csv", "a.xlsx") == xlsx.err, "{more:?}");
    }
}

/// Names that look like numbers, formulas, markup and escapes stay the texts that they are.
#[test]
fn names_stay_text() {
    let names =
        ["007", "1e5", "1,5", "-5", "=A1", "'=A1", "TRUE", "#N/A", "_x0041_", "<r>a</r>", "a & b", "ß鋼"];
    let rings: String =
        (0..).zip(names).map(|(k, name)| ring(name, f64::from(k) * 100.0, 0.0, 40.0, 25.0)).collect();
    let folder = Folder::with(&[("frame.dxf", &drawing(4, "", &rings))]);
    for name in ["a.csv", "a.xlsx"] {
        assert_eq!(folder.run(&["schedule", "frame.dxf", "-o", name]).code, 0);
    }
    let run = folder.run(&["compare", "a.csv", "a.xlsx"]);
    assert_eq!((run.code, run.err.as_str()), (0, ""), "{}", run.out);
    assert_eq!(run.out, format!("0 added, 0 gone, 0 changed, {} unchanged\n", names.len()));
    let check = |table: &str| folder.run(&["check", "frame.dxf", "--against", table]);
    let (csv, xlsx) = (check("a.csv"), check("a.xlsx"));
    assert!(csv.code == xlsx.code && csv.out == xlsx.out && csv.out.contains("-5"), "{}", xlsx.err);
}

#[test]
fn saved_again_by_a_spreadsheet_program() {
    let notes = row(1, &[("A", INLINE, "<is><t>notes</t></is>")]);
    let table = sheet(&second_row("<v>1800.5</v>"));
    // The table stands in the sheet of its name, and in the one that has the headings where there is none.
    for sheets in [
        &[("Notes", notes.as_str()), ("Schedule", &table)][..],
        &[("schedule", &table), ("Notes", &notes)],
        &[("Notes", &notes), ("Sheet2", &table), ("Empty", "")],
    ] {
        let run = compare(&workbook_of(sheets, STRINGS), &[]);
        assert_eq!((run.code, run.err.as_str()), (0, ""), "{}", run.out);
        assert_eq!(run.out, "0 added, 0 gone, 0 changed, 2 unchanged\n");
    }
    // All digits of a figure, and the row in which it stands.
    let run = compare(
        &workbook_of(&[("Schedule", &sheet(&second_row("<v>1.8005000000000001E3</v>")))], STRINGS),
        &["--within", "0%"],
    );
    assert_eq!((run.code, run.err.as_str()), (0, ""), "{}", run.out);
    let run = compare(&workbook_of(&[("Schedule", &sheet(&second_row("<v>1801</v>")))], STRINGS), &["--all"]);
    assert!(run.code == 1 && run.out.contains("changed  WEB      area_mm2  1800.5   1801"), "{}", run.out);
    for (area, part) in [
        ("<f>900*2</f>", "“=900*2” in the column area_mm2 of section “WEB” of “a.dxf” is not a number"),
        ("<f t=\"shared\" si=\"0\"/>", "“=” in the column area_mm2"),
    ] {
        let run = compare(&workbook_of(&[("Schedule", &sheet(&second_row(area)))], STRINGS), &[]);
        assert!(run.code == 1 && run.err.contains(part) && run.err.contains("line 5"), "{}", run.err);
    }
    // A remark beside the table has no heading, and hides no row.
    let beside = second_row("<v>1800.5</v>")
        .replace("</row>", "<c r=\"H5\" t=\"inlineStr\"><is><t>see me</t></is></c></row>");
    let run = compare(&workbook_of(&[("Schedule", &sheet(&beside))], STRINGS), &[]);
    assert!(run.out.contains("2 unchanged") && run.err.contains("has no heading"), "{}{}", run.out, run.err);
}

#[test]
fn checked_against_a_workbook() {
    let folder = Folder::with(&[("frame.dxf", &frame())]);
    let cells = |section: &str, area: &str| {
        [("A", INLINE, format!("<is><t>{section}</t></is>")), ("B", "", format!("<v>{area}</v>"))]
    };
    let row = |number: usize, cells: [(&str, &str, String); 2]| {
        let [(a, b, c), (d, e, f)] = &cells;
        row(number, &[(a, b, c), (d, e, f)])
    };
    let mut head = cells("section", "");
    head[1] = ("B", INLINE, "<is><t>area_cm2</t></is>".to_owned());
    let table = row(1, head) + &row(2, cells("LUG", "10")) + &row(3, cells("WEBB", "18"));
    // The name of a file does not say what it is.
    folder.write("expected.csv", workbook_of(&[("Sheet1", &table)], ""));
    let run = folder.run(&["check", "frame.dxf", "--against", "expected.csv"]);
    assert_eq!(run.code, 1);
    assert!(run.out.contains("1 of 1 figure within"), "{}{}", run.out, run.err);
    assert!(run.err.contains("the nearest is “WEB”") && run.err.contains("line 3"), "{}", run.err);
}

/// One clear sentence, and what to try next.
fn refused(bytes: &[u8], part: &str, hint: &str) {
    let run = compare(bytes, &[]);
    assert_eq!((run.code, run.out.as_str()), (2, ""), "{part}: {}", run.err);
    assert!(run.err.contains(part) && run.err.contains(hint), "{}", run.err);
    assert!(run.err.contains("after.xlsx") && run.err.lines().count() == 1, "{}", run.err);
    let folder = Folder::with(&[("frame.dxf", &frame())]);
    folder.write("after.xlsx", bytes);
    let run = folder.run(&["check", "frame.dxf", "--against", "after.xlsx"]);
    assert_eq!((run.code, run.out.as_str()), (2, ""), "{part}: {}", run.err);
    assert!(run.err.contains("after.xlsx") && run.err.contains(hint), "{}", run.err);
}

#[test]
fn what_is_no_schedule() {
    let good = sheet(&second_row("<v>5</v>"));
    let whole = workbook_of(&[("Schedule", &good)], STRINGS);
    let headings = "no sheet of the workbook has a heading section or layer";
    refused(&workbook_of(&[("Schedule", "")], ""), headings, "first row of a sheet");
    let notes = row(1, &[("A", INLINE, "<is><t>notes</t></is>")]);
    refused(&workbook_of(&[("Schedule", &notes), ("Other", &notes)], ""), headings, "first row of a sheet");
    let again = "save it again as .xlsx or as CSV";
    refused(&whole[..whole.len() / 2], "the workbook can't be read", again);
    refused(&zipped(&[("content.xml", "<a/>"), ("mimetype", "x")]), "holds no workbook", again);
    refused(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1 and more", "protected by a password", "without a password");
    for (what, with) in [
        ("uniqueCount=\"3\"", "uniqueCount=\"99999999999999\""),
        ("r=\"C5\"", "r=\"C99999999999\""),
        ("r=\"C5\"", "r=\"ABCDEFGHIJK5\""),
        ("r=\"C5\"", "r=\"C4\""),
        ("<row r=\"5\"", "<row r=\"4294967298\""),
        ("<v>2</v>", "<v>2000</v>"),
        ("</row>", "</raw>"),
    ] {
        let (sheet, strings) = (good.replace(what, with), STRINGS.replace(what, with));
        assert!(sheet != good || strings != STRINGS, "{what}");
        let bytes = workbook_of(&[("Schedule", &sheet)], &strings);
        if what != "</row>" {
            refused(&bytes, "the workbook can't be read", again);
        } else {
            assert!(compare(&bytes, &[]).code <= 2);
        }
    }
}

/// Little that unpacks to much is refused before it fills the memory.
#[test]
fn what_unpacks_to_too_much() {
    let many = |text: &str, bytes: usize| text.repeat(bytes / text.len());
    let good = sheet(&second_row("<v>5</v>"));
    let blanks = format!("<row r=\"1\">{}", many(" ", 300 << 20));
    let bytes = workbook_of(&[("Schedule", &blanks)], "");
    assert!(bytes.len() < 1 << 20);
    refused(&bytes, "stand between two tags", "as CSV");
    let strings = format!("<sst>{}</sst>", many("<si/>", 30 << 20));
    refused(&workbook_of(&[("Schedule", &good)], &strings), "unpacks to more than", "as CSV");
    // Not more than a table of expected values may be.
    let rows = format!("{good}{}", many("<row><c/></row>", 140 << 20));
    let folder = Folder::with(&[("frame.dxf", &frame())]);
    folder.write("expected.xlsx", workbook_of(&[("Schedule", &rows)], STRINGS));
    let run = folder.run(&["check", "frame.dxf", "--against", "expected.xlsx"]);
    assert!(run.code == 2 && run.err.contains("unpacks to more than 128 MiB"), "{}", run.err);
    let far = second_row("<v>5</v>").replace('5', "1048576");
    let run = compare(&workbook_of(&[("Schedule", &(good.clone() + &far))], STRINGS), &[]);
    assert_eq!(run.code, 1, "{}", run.err);
}

/// Whatever stands in its parts, a workbook is read or refused, and the program ends by itself.
#[test]
fn any_damage() {
    let folder = Folder::with(&[("frame.dxf", &frame()), ("before.csv", TABLE)]);
    folder.run(&["schedule", "frame.dxf", "-o", "a.xlsx"]);
    let own = std::fs::read(folder.path().join("a.xlsx")).unwrap();
    let names = [
        "_rels/.rels",
        "xl/_rels/workbook.xml.rels",
        "xl/workbook.xml",
        "xl/sharedStrings.xml",
        "xl/worksheets/sheet1.xml",
    ];
    let parts = names.map(|name| part(&own, name));
    let mut state = 17_u64;
    let mut below = move |limit: usize| {
        state = state.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
        (state >> 33) as usize % limit
    };
    let mut seen = [0; 3];
    for round in 0..150 {
        let bytes = if round % 3 == 0 {
            let mut bytes = own.clone();
            for _ in 0..=below(3) {
                let at = below(bytes.len());
                bytes[at] = below(256) as u8;
            }
            bytes
        } else {
            let mut parts = parts.clone();
            let which = below(parts.len());
            let mut text = parts[which].clone().into_bytes();
            for _ in 0..=below(3) {
                let at = below(text.len());
                let piece = [&b"9"[..], b"<", b">", b"\"", b"0", b"Z", b"/", b"=\"", b"-", b" "];
                let piece = piece[below(piece.len())];
                text.splice(at..(at + piece.len()).min(text.len()), piece.iter().copied());
            }
            parts[which] = String::from_utf8(text).unwrap_or_default();
            let parts: Vec<(&str, &str)> =
                names.iter().zip(&parts).map(|(name, text)| (*name, text.as_str())).collect();
            zipped(&parts)
        };
        folder.write("b.xlsx", &bytes);
        let run = folder.run(&["compare", "a.xlsx", "b.xlsx"]);
        assert!(!run.err.contains("panicked"), "{round}: {}", run.err);
        assert!(run.code < 2 || run.err.lines().count() == 1, "{round}: {}", run.err);
        seen[usize::try_from(run.code).unwrap()] += 1;
    }
    assert!(seen.iter().all(|count| *count > 0), "{seen:?}");
}
