//! The formats of the schedule: one fixture has the same figures in all of them, names that would break an output break
//! none, and the file's ending says what is written.

use crate::common;
use crate::run;
use crate::workbook;

use std::collections::BTreeMap;

use common::draw::{drawing, lwpolyline};
use run::{Folder, fixture, rows};
use serde_json::Value;

/// The output of the program as bytes, for what is no text.
fn bytes(folder: &Folder, arguments: &[&str]) -> Vec<u8> {
    let output = folder.command(arguments).output().unwrap();
    assert!(output.status.code().is_some_and(|code| code < 2), "{arguments:?}: {output:?}");
    output.stdout
}

fn json(text: &str) -> Value {
    serde_json::from_str(text).unwrap_or_else(|e| panic!("{e}: {text}"))
}

/// Arguments of schedules with every kind of column, findings and failures among them.
fn schedules() -> Vec<Vec<String>> {
    let of = |arguments: &[&str], drawings: &[&str]| {
        let mut all: Vec<String> = arguments.iter().map(|a| (*a).to_owned()).collect();
        all.extend(drawings.iter().map(|name| fixture(name)));
        all
    };
    vec![
        of(&["schedule"], &["gantry-end-plate.dxf"]),
        of(&["schedule", "--units", "in", "--digits", "full"], &["gantry-end-plate.dxf", "rail-clamp.dxf"]),
        of(
            &["schedule", "--per", "part", "--thickness", "12mm", "--density", "7850"],
            &["gantry-end-plate.dxf"],
        ),
        of(
            &["schedule", "--digits", "3", "--hidden"],
            &["layer-states.dxf", "unitless.dxf", "bad-numbers.dxf"],
        ),
        of(&["schedule", "--job"], &["crane-runway.toml"]),
    ]
}

/// The CSV and the same schedule in another format.
fn both(folder: &Folder, arguments: &[String], format: &str) -> (Vec<BTreeMap<String, String>>, Vec<u8>) {
    let mut plain: Vec<&str> = arguments.iter().map(String::as_str).collect();
    let csv = String::from_utf8(bytes(folder, &plain)).unwrap();
    plain.splice(1..1, ["--format", format]);
    (rows(&csv), bytes(folder, &plain))
}

/// A cell of the CSV as a number; `None` for text and empty cells.
fn figure(cell: &str) -> Option<f64> {
    cell.parse().ok()
}

/// Columns that hold text, whatever it looks like.
const TEXTS: [&str; 7] = ["drawing", "section", "layer", "status", "label", "drawing_unit", "findings"];

fn assert_same(row: &BTreeMap<String, String>, object: &Value) {
    // All findings in one text have a key of their own.
    assert_eq!(object.as_object().unwrap().len(), row.len() + 1);
    assert_eq!(object["findings_text"].as_str().unwrap_or_default(), row["findings"]);
    for (heading, cell) in row {
        let value = &object[heading.as_str()];
        if heading == "findings" {
            let all = value.as_array().unwrap();
            assert_eq!(all.is_empty(), cell.is_empty());
            for finding in all {
                assert!(cell.contains(finding["message"].as_str().unwrap()), "{cell}: {finding}");
                assert!(cell.contains(finding["hint"].as_str().unwrap_or_default()), "{cell}: {finding}");
            }
        } else if cell.is_empty() {
            assert_eq!(*value, Value::Null, "{heading}");
        } else if TEXTS.contains(&heading.as_str()) {
            assert_eq!(value.as_str(), Some(cell.as_str()), "{heading}");
        } else {
            assert!(figure(cell).is_some(), "{heading}: {cell}");
            assert_eq!(value.as_f64(), figure(cell), "{heading}");
        }
    }
}

#[test]
fn json_has_the_figures_of_the_csv() {
    let folder = Folder::with(&[]);
    for arguments in schedules() {
        let (csv, text) = both(&folder, &arguments, "json");
        let document = json(std::str::from_utf8(&text).unwrap());
        let sections = document["sections"].as_array().unwrap();
        assert!(sections.len() == csv.len() && !csv.is_empty(), "{arguments:?}");
        csv.iter().zip(sections).for_each(|(row, section)| assert_same(row, section));
        assert_eq!(document["schema_version"], 1);
        assert_eq!(document["tracearm_version"], env!("CARGO_PKG_VERSION"));
        assert!(document["caution"].as_str().unwrap().contains("licensed engineer"));
        let headings: Vec<&str> =
            document["columns"].as_array().unwrap().iter().map(|c| c["heading"].as_str().unwrap()).collect();
        let keys = sections[0].as_object().unwrap().keys().filter(|key| *key != "findings_text");
        assert_eq!(headings, keys.collect::<Vec<_>>());
        // The lines of the other form are the same objects.
        let (_, lines) = both(&folder, &arguments, "jsonl");
        let lines: Vec<Value> = std::str::from_utf8(&lines).unwrap().lines().map(json).collect();
        assert_eq!(lines, *sections);
    }
}

#[test]
fn a_workbook_has_the_figures_of_the_csv() {
    let folder = Folder::with(&[]);
    for arguments in schedules() {
        let (csv, book) = both(&folder, &arguments, "xlsx");
        assert_eq!(workbook::sheets(&book), ["Schedule", "Columns", "Findings", "Totals"]);
        let cells = workbook::cells(&book, 1);
        let headings: Vec<&String> = cells.range((0, 0)..(1, 0)).map(|(_, heading)| heading).collect();
        assert_eq!(headings.len(), csv[0].len());
        for (r, row) in csv.iter().enumerate() {
            for (c, heading) in headings.iter().enumerate() {
                let (want, got) = (&row[*heading], cells.get(&(r + 1, c)));
                if want.is_empty() {
                    assert_eq!(got, None, "{heading}");
                } else if *heading == "findings" {
                    assert_eq!(got.unwrap().replace('\n', " | "), *want);
                } else if TEXTS.contains(&heading.as_str()) {
                    assert_eq!(got, Some(want));
                } else {
                    assert_eq!(got.and_then(|text| figure(text)), figure(want), "{heading}");
                    assert!(figure(want).is_some(), "{heading}");
                }
            }
        }
        // The last column of the columns' sheet defines each; each finding has a row.
        let defined = workbook::cells(&book, 2);
        assert!(defined[&(0, 0)].contains("licensed engineer"));
        let keys: Vec<&String> = (3..3 + headings.len()).map(|r| &defined[&(r, 1)]).collect();
        assert!(keys == headings && (3..3 + headings.len()).all(|r| defined.contains_key(&(r, 3))));
        let messages = workbook::cells(&book, 3);
        let messages: Vec<&String> = (1..).map_while(|r| messages.get(&(r, 3))).collect();
        let all: String = csv.iter().map(|row| row["findings"].as_str()).collect();
        assert_eq!(messages.is_empty(), all.is_empty());
        assert!(messages.iter().all(|message| all.contains(message.as_str())));
        // Headings carry their definitions, headings and names stay in sight, and rows can be filtered.
        assert!(workbook::part(&book, "xl/comments1.xml").contains("∬(y−centroid_y)² dA"));
        let sheet = workbook::part(&book, "xl/worksheets/sheet1.xml");
        assert!(sheet.contains("xSplit=\"2\" ySplit=\"1\"") && sheet.contains("<autoFilter "), "{sheet}");
    }
}

#[test]
fn the_same_schedule_is_the_same_bytes() {
    let folder = Folder::with(&[]);
    for format in ["csv", "json", "jsonl", "xlsx", "table"] {
        let arguments =
            ["schedule", "--format", format, &fixture("rail-clamp.dxf"), &fixture("gantry-end-plate.dxf")];
        let first = bytes(&folder, &arguments);
        assert!(!first.is_empty() && first == bytes(&folder, &arguments), "{format}");
    }
    let book = bytes(&folder, &["schedule", "--format", "xlsx", &fixture("gantry-end-plate.dxf")]);
    assert!(workbook::part(&book, "docProps/core.xml").contains("2000-01-01T"));
}

/// The figures of a section in the order of the columns, from all groups of a table whose rows have numbers.
fn table_figures(text: &str, number: usize, names: &str) -> Vec<String> {
    let begin = format!("{number}  {names}");
    let lines = text.lines().take_while(|line| !line.starts_with("In full") && !line.starts_with("Findings"));
    let rows = lines.filter_map(|line| line.strip_prefix(begin.as_str())?.strip_prefix("  "));
    rows.flat_map(str::split_whitespace).map(str::to_owned).collect()
}

/// Six sections have a row each, three stand upright; both have the figures of the CSV.
#[test]
fn a_table_has_the_figures_of_the_csv() {
    let drawing = std::fs::read(fixture("gantry-end-plate.dxf")).unwrap();
    let folder = Folder::with(&[]);
    folder.write("a.dxf", &drawing);
    folder.write("b.dxf", &drawing);
    let elsewhere = ["drawing", "section", "layer", "findings"];
    for digits in ["6", "full"] {
        let run = |more: &[&str]| {
            let arguments = [&["schedule", "--digits", digits], more].concat();
            String::from_utf8(bytes(&folder, &arguments)).unwrap()
        };
        let csv = run(&["a.dxf", "b.dxf"]);
        let order: Vec<&str> = csv.lines().next().unwrap().split(',').collect();
        let table = run(&["a.dxf", "b.dxf", "--format", "table"]);
        for (k, row) in rows(&csv).iter().enumerate() {
            let want: Vec<&str> = order
                .iter()
                .filter(|heading| !elsewhere.contains(heading))
                .flat_map(|heading| row[*heading].split_whitespace())
                .collect();
            assert!(want.len() > 35);
            let names = format!("{:7}  {:13}", row["drawing"], row["section"]);
            assert_eq!(table_figures(&table, k + 1, &names), want, "{table}");
        }
        let upright = run(&["a.dxf", "--format", "table"]);
        let three = &rows(&csv)[..3];
        for heading in order.iter().filter(|heading| !elsewhere.contains(heading)) {
            let want: Vec<&str> = three.iter().flat_map(|row| row[*heading].split_whitespace()).collect();
            let has = |line: &str| line.split_whitespace().collect::<Vec<_>>().ends_with(&want);
            // Of many digits two sections stand side by side and the third below.
            let parts = [&want[..want.len() / 3 * 2], &want[want.len() / 3 * 2..]];
            let in_parts = parts.iter().all(|part| {
                upright.lines().any(|line| line.split_whitespace().collect::<Vec<_>>().ends_with(part))
            });
            assert!(upright.lines().any(has) || in_parts, "{heading} {want:?}: {upright}");
        }
        assert!(upright.lines().all(|line| line.chars().count() <= 80), "{upright}");
    }
}

/// Layer names that a drawing may hold, with what of them can't stand in an output as it is.
fn hostile() -> Vec<String> {
    [
        "<script>alert(\"1\")</script>&amp;<!-- ]]>",
        "<r><t>PLATE</t></r>",
        "=cmd|' /C calc'!A0",
        "+1+1,\"quoted\"; 'x'",
        "@SUM(1+1)*cmd",
        "_x0041_ and _x001B_",
        "مقطع عرضي 12",
        "鋼板 H-200×100",
        "A\u{1b}[31mRED\u{7}\u{8}",
        "B\u{202e}gnp.exe\u{2028}C",
        "  spaces  inside  ",
        "null",
        "12.5",
    ]
    .iter()
    .map(|name| (*name).to_owned())
    .chain([format!("{} THE END", "LONG NAME ".repeat(30))])
    .collect()
}

#[test]
fn hostile_names_break_no_format() {
    let entities: String = hostile()
        .iter()
        .enumerate()
        .map(|(k, name)| {
            let x = 20.0 + 150.0 * k as f64;
            lwpolyline(name, &[[x, 10.0, 0.0], [x + 120.0, 10.0, 0.0], [x, 60.0, 0.0]])
        })
        .collect();
    let folder = Folder::with(&[("=1+1 & <names>.dxf", &drawing(4, "", &entities))]);
    let run = |format: &str| bytes(&folder, &["schedule", "--format", format, "=1+1 & <names>.dxf"]);

    // The CSV is the reference for what the reader of drawings makes of the names; formulas stand behind an apostrophe.
    let csv = rows(&String::from_utf8(run("csv")).unwrap());
    let plain = |cell: &str| match cell.strip_prefix('\'') {
        Some(text) if text.starts_with(['=', '+', '-', '@', '\t', '\r']) => text.to_owned(),
        _ => cell.to_owned(),
    };
    let names: Vec<String> = csv.iter().map(|row| plain(&row["section"])).collect();
    assert_eq!(names.len(), hostile().len());
    for part in ["<script>", "=cmd", "مقطع", "鋼板", "THE END", "@SUM", "_x0041_", "<r><t>PLATE</t></r>"]
    {
        assert!(names.iter().any(|name| name.contains(part)), "{part}: {names:?}");
    }
    assert!(csv.iter().all(|row| !row["section"].starts_with(['=', '+', '@'])));

    // JSON has each name as it is, and neither form sends orders to a terminal.
    let document = String::from_utf8(run("json")).unwrap();
    let lines = String::from_utf8(run("jsonl")).unwrap();
    for text in [&document, &lines] {
        assert!(
            !text.contains(|c: char| (c.is_control() && c != '\n') || ('\u{2028}'..='\u{202e}').contains(&c))
        );
    }
    let of = |section: &Value| section["section"].as_str().unwrap().to_owned();
    assert_eq!(json(&document)["sections"].as_array().unwrap().iter().map(of).collect::<Vec<_>>(), names);
    assert_eq!(lines.lines().map(|line| of(&json(line))).collect::<Vec<_>>(), names);

    // The workbook is sound XML with the same texts, none of them a formula.
    let book = run("xlsx");
    let cells = workbook::cells(&book, 1);
    for (r, name) in names.iter().enumerate() {
        assert_eq!(cells[&(r + 1, 0)], "=1+1 & <names>.dxf");
        // Text that the writer of workbooks would take for formatted text has a space behind it.
        assert_eq!(
            cells[&(r + 1, 1)].strip_suffix(' ').unwrap_or(&cells[&(r + 1, 1)]),
            name.trim_end_matches(' ')
        );
    }

    // The table keeps its columns, and what is cut stands below.
    let table = String::from_utf8(run("table")).unwrap();
    assert!(
        !table.contains(|c: char| (c.is_control() && c != '\n') || ('\u{2028}'..='\u{202e}').contains(&c))
    );
    let words = table.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("THE END") && words.contains("<script>") && words.contains("鋼板"), "{table}");
    assert_eq!(words.matches(" ok 1 0 3000").count(), names.len(), "{table}");
}

#[test]
fn the_ending_says_the_format() {
    let folder = Folder::with(&[]);
    let path = fixture("gantry-end-plate.dxf");
    for (name, format) in
        [("a.csv", "csv"), ("a.JSON", "json"), ("a.jsonl", "jsonl"), ("a.xlsx", "xlsx"), ("a.txt", "table")]
    {
        let run = folder.run(&["schedule", "-o", name, &path]);
        assert_eq!((run.code, run.out.as_str(), run.err.as_str()), (0, "", ""), "{name}");
        let written = std::fs::read(folder.path().join(name)).unwrap();
        assert_eq!(written, bytes(&folder, &["schedule", "--format", format, &path]), "{name}");
    }
    assert_eq!(folder.names(), ["a.JSON", "a.csv", "a.jsonl", "a.txt", "a.xlsx"]);
}

#[test]
fn other_endings_need_a_format() {
    let folder = Folder::with(&[("plates.docx", "older\n")]);
    let path = fixture("gantry-end-plate.dxf");
    for name in ["plates.docx", "plates"] {
        let run = folder.run(&["schedule", "-o", name, &path]);
        assert_eq!((run.code, run.out.as_str()), (2, ""), "{name}");
        for words in [name, ".csv", ".xlsx", "--format"] {
            assert!(run.err.contains(words), "{}", run.err);
        }
    }
    assert_eq!(folder.names(), ["plates.docx"]);
    assert_eq!(folder.read("plates.docx"), "older\n");
    assert_eq!(folder.run(&["schedule", "-o", "plates", "--format", "csv", &path]).code, 0);
    assert_eq!(rows(&folder.read("plates")).len(), 3);
    let run = folder.run(&["schedule", "--format", "yaml", &path]);
    assert!(run.code == 2 && run.err.contains("csv, json, jsonl, xlsx or table"), "{}", run.err);
    // The pieces are CSV alone.
    let run = folder.run(&["schedule", "--pieces", "pieces.xlsx", &path]);
    assert!(run.code == 2 && run.err.contains("pieces.xlsx") && run.err.contains(".csv"), "{}", run.err);
    assert_eq!(folder.names(), ["plates", "plates.docx"]);
}

#[test]
fn failures_keep_their_exit_codes() {
    let folder = Folder::with(&[("bad.dxf", "no drawing\n")]);
    let path = fixture("gantry-end-plate.dxf");
    for format in ["csv", "json", "jsonl", "xlsx", "table"] {
        let name = format!("all.{format}");
        let arguments = ["schedule", "--format", format, "-o", &name];
        let run = folder.run(&[&arguments[..], &["bad.dxf"]].concat());
        assert_eq!(run.code, 2, "{format}");
        assert!(!folder.names().contains(&name), "{format}");
        let run = folder.run(&[&arguments[..], &["bad.dxf", &path]].concat());
        assert_eq!(run.code, 1, "{format}");
        assert!(folder.names().contains(&name), "{format}");
    }
    let messages = json(&folder.read("all.json"))["sections"][0].clone();
    assert_eq!(
        (messages["status"].as_str(), &messages["area_mm2"], &messages["section"]),
        (Some("failed"), &Value::Null, &Value::Null)
    );
    assert_eq!(messages["findings"][0]["severity"], "failure");
    let table = folder.read("all.table");
    assert!(table.contains("Findings\n  1 bad.dxf\n    failure: "), "{table}");
}

/// In the findings of a section that failed the reason stands first, wherever they are told.
#[test]
fn reasons_come_first() {
    // No unit; a layer that is not plotted; an outline that does not close.
    let text = "0\nSECTION\n2\nHEADER\n9\n$MEASUREMENT\n70\n0\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n\
        0\nLWPOLYLINE\n8\nDefpoints\n90\n4\n70\n0\n10\n20\n20\n30\n10\n140\n20\n30\n10\n140\n20\n95\n10\n20\n20\n30.8\n\
        0\nENDSEC\n0\nEOF\n";
    let folder = Folder::with(&[("open.dxf", text)]);
    let order = ["an outline is not closed", "names no unit", "is set not to plot"];
    let assert_order = |what: &str, messages: &str| {
        let places: Vec<Option<usize>> = order.iter().map(|words| messages.find(words)).collect();
        assert!(places.iter().all(Option::is_some) && places.is_sorted(), "{what}: {places:?} in {messages}");
    };
    for format in ["csv", "table", "json", "jsonl"] {
        let run = folder.run(&["schedule", "--format", format, "open.dxf"]);
        assert_eq!(run.code, 1, "{format}");
        assert_order(format, &run.out);
        assert_order("the message", &run.err);
    }
    let findings =
        json(&folder.run(&["schedule", "--format", "json", "open.dxf"]).out)["sections"][0]["findings"]
            .clone();
    let severities: Vec<&str> =
        findings.as_array().unwrap().iter().map(|finding| finding["severity"].as_str().unwrap()).collect();
    assert_eq!(severities, ["failure", "warning", "note"]);
    let book = bytes(&folder, &["schedule", "--format", "xlsx", "open.dxf"]);
    let schedule = workbook::cells(&book, 1);
    assert_order("the cell", schedule.values().find(|cell| cell.contains(order[0])).unwrap());
    let messages = workbook::cells(&book, 3);
    let column: Vec<&str> = (1..=3).map(|row| messages[&(row, 3)].as_str()).collect();
    assert_order("the sheet of findings", &column.join(" | "));
    let run = folder.run(&["sheet", "open.dxf", "-o", "open.html"]);
    assert_eq!(run.code, 1);
    assert_order("the message of sheet", &run.err);
    assert_order("the page", &folder.read("open.html"));
}

/// Columns by name, pattern and group, in the order asked for, in every format; the figures are those of the whole schedule.
#[test]
fn columns_that_are_chosen() {
    let folder = Folder::with(&[]);
    let path = fixture("gantry-end-plate.dxf");
    let whole = rows(&folder.run(&["schedule", &path, "--thickness", "8"]).out);
    let run = |more: &[&str]| folder.run(&[&["schedule", path.as_str(), "--thickness", "8"], more].concat());
    let chosen = run(&["--columns", "cut_length,section,centroid,*_moment_?,section"]);
    assert_eq!(chosen.code, 0, "{}", chosen.err);
    let headings = "cut_length_mm,section,centroid_x_mm,centroid_y_mm,second_moment_x_mm4,second_moment_y_mm4,\
                    second_moment_1_mm4,second_moment_2_mm4";
    assert_eq!(chosen.out.lines().next(), Some(headings));
    for (row, full) in rows(&chosen.out).iter().zip(&whole) {
        assert!(row.len() == 8 && row.iter().all(|(heading, cell)| full[heading] == *cell));
    }
    let object = &json(&run(&["--columns", "area,section", "--format", "json"]).out)["sections"][0];
    assert_eq!(object.as_object().map(|object| object.len()), Some(2));
    assert_eq!(object["area_mm2"], 20395.4);
    let line = run(&["--columns", "area", "--format", "jsonl"]).out;
    assert_eq!(line.lines().next(), Some("{\"area_mm2\":20395.4}"));
    let table = run(&["--columns", "area,cut_length", "--format", "table"]).out;
    assert!(table.contains("length") && !table.contains("perimeter") && table.contains("GUSSET"), "{table}");
    for (list, words) in [
        ("aera", "perhaps area is meant"),
        ("colour", "no column “colour”"),
        (",", "at least one column"),
        ("section,stated", "a job with axes of its own"),
        ("label", "--per part or --per outline"),
    ] {
        let refused = run(&["--columns", list]);
        assert!(refused.code == 2 && refused.err.contains(words), "{list}: {}", refused.err);
    }
}

/// Semicolons and decimal commas, which check and compare read too.
#[test]
fn decimal_commas() {
    let folder = Folder::with(&[]);
    let path = fixture("gantry-end-plate.dxf");
    let write = |name: &str, mark: &str| {
        let run = folder.run(&["schedule", &path, "--decimal", mark, "--pieces", "pieces.csv", "-o", name]);
        assert_eq!(run.code, 0, "{}", run.err);
    };
    write("comma.csv", "comma");
    let text = folder.read("comma.csv");
    assert!(
        text.starts_with("\u{feff}drawing;section;")
            && text.contains(";20395,4;")
            && !text.contains("20395.4")
    );
    assert!(
        folder.read("pieces.csv").starts_with("\u{feff}drawing;")
            && !folder.read("pieces.csv").contains(".4;")
    );
    write("point.csv", "point");
    for files in [["comma.csv", "point.csv"], ["point.csv", "comma.csv"], ["comma.csv", "comma.csv"]] {
        let run = folder.run(&["compare", files[0], files[1]]);
        assert_eq!(run.code, 0, "{files:?}: {}{}", run.out, run.err);
    }
    let run = folder.run(&["check", &path, "--against", "comma.csv", "--within", "0.01%"]);
    assert_eq!(run.code, 0, "{}{}", run.out, run.err);
    // And the program's own JSON.
    for name in ["own.json", "own.jsonl"] {
        assert_eq!(folder.run(&["schedule", &path, "-o", name]).code, 0);
        for files in [[name, "point.csv"], ["comma.csv", name], [name, name]] {
            let run = folder.run(&["compare", files[0], files[1]]);
            assert_eq!(run.code, 0, "{files:?}: {}{}", run.out, run.err);
        }
        let run = folder.run(&["check", &path, "--against", name, "--within", "0.01%"]);
        assert_eq!(run.code, 0, "{}{}", run.out, run.err);
    }
    let run = folder.run(&["schedule", &path, "--decimal", "comma", "--format", "json"]);
    assert!(run.code == 2 && run.err.contains("for CSV"), "{}", run.err);
}

/// Names that look like numbers stay what they are where commas are decimal marks.
#[test]
fn names_like_numbers_with_decimal_commas() {
    let shape =
        |layer: &str, x: f64| lwpolyline(layer, &[[x, 0.0, 0.0], [x + 9.0, 1.0, 0.0], [x + 4.0, 7.0, 0.0]]);
    let text = drawing(4, "", &(shape("1,5", 0.0) + &shape("1.5", 20.0)));
    let folder = Folder::with(&[("names.dxf", &text)]);
    for (mark, name) in [("comma", "c.csv"), ("point", "p.csv")] {
        assert_eq!(folder.run(&["schedule", "names.dxf", "--decimal", mark, "-o", name]).code, 0);
    }
    for files in [["c.csv", "p.csv"], ["p.csv", "c.csv"]] {
        let run = folder.run(&["compare", files[0], files[1]]);
        assert_eq!(run.code, 0, "{}{}", run.out, run.err);
    }
    let run = folder.run(&["check", "names.dxf", "--against", "c.csv"]);
    assert_eq!(run.code, 0, "{}{}", run.out, run.err);
}
