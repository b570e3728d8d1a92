//! What hatches, sheet layouts and limits come to on the command line, on drawings in fixtures/. Areas by hand.

use crate::run;

use std::collections::BTreeMap;
use std::f64::consts::PI;

use run::{Folder, fixture, rows};

/// Areas by section.
fn areas(arguments: &[&str]) -> BTreeMap<String, f64> {
    let folder = Folder::with(&[]);
    let run = folder.run(&[&["schedule", "--digits", "full"], arguments].concat());
    assert_eq!(run.code, 0, "{}", run.err);
    let row = |row: BTreeMap<String, String>| (row["section"].clone(), row["area_mm2"].parse().unwrap());
    rows(&run.out).into_iter().map(row).collect()
}

fn holds(areas: &BTreeMap<String, f64>, expected: &[(&str, f64)]) {
    assert_eq!(areas.len(), expected.len(), "{areas:?}");
    for (section, area) in expected {
        let got = areas[*section];
        assert!((got / area - 1.0).abs() < 1e-12, "{section}: {got}, must be {area}");
    }
}

#[test]
fn hatches_count_where_there_is_no_other_outline_everywhere_or_not_at_all() {
    let drawing = fixture("hatch-repeats-outlines.dxf");
    // The slot is 60 by 24 over all, with round ends.
    let wall = 130.0 * 85.0 - (36.0 * 24.0 + 144.0 * PI);
    let (frame, fill) = (110.0 * 70.0 - 80.0 * 40.0, 30.0 * 40.0);
    let core = 55.0 * 25.0;
    holds(&areas(&[&drawing]), &[("WALL", wall), ("FRAME", frame), ("CORE", core)]);
    let all = [("WALL", wall), ("FRAME", frame + fill), ("CORE", core)];
    holds(&areas(&["--hatches", "use", &drawing]), &all);
    holds(&areas(&["--hatches", "ignore", &drawing]), &[("WALL", wall), ("FRAME", frame)]);
    // All layers together: each by the same rule, and their union.
    let together = [("hatch-repeats-outlines", wall + frame + core)];
    holds(&areas(&["--per", "drawing", &drawing]), &together);
    let parts = areas(&["--per", "part", "--hatches", "use", &drawing]);
    holds(&parts, &[("WALL#1", wall), ("FRAME#1", frame + fill), ("CORE#1", core)]);
}

#[test]
fn pieces_name_an_outline_that_a_hatch_repeats_once() {
    let folder = Folder::with(&[]);
    let drawing = fixture("hatch-repeats-outlines.dxf");
    let run = folder.run(&["schedule", "--hatches", "use", "--pieces", "pieces.csv", &drawing]);
    assert_eq!(run.code, 0, "{}", run.err);
    let pieces = rows(&folder.read("pieces.csv"));
    let of = |section: &str| pieces.iter().filter(|row| row["section"] == section).count();
    assert_eq!([of("WALL"), of("FRAME"), of("CORE")], [2, 3, 1]);
}

#[test]
fn a_sheet_layout_is_read_where_it_is_asked_for() {
    let drawing = fixture("sheet-layout.dxf");
    assert_eq!(areas(&[&drawing]).keys().collect::<Vec<_>>(), ["PLATE"]);
    holds(&areas(&["--space", "paper", &drawing]), &[("DETAIL", 64.0 * PI)]);
}

#[test]
fn parts_are_named_by_what_is_written() {
    let folder = Folder::with(&[]);
    let run = folder.run(&["schedule", "--per", "part", &fixture("labels.dxf")]);
    let labels: Vec<String> = rows(&run.out).iter().map(|row| row["label"].clone()).collect();
    assert_eq!(labels, ["P1 Ø12", "P2 PL 10", "P3"]);
}

#[test]
fn a_drawing_over_a_limit_costs_only_itself() {
    let folder = Folder::with(&[]);
    let (large, plain) = (fixture("block-array-too-large.dxf"), fixture("block-array.dxf"));
    let run = folder.run(&["schedule", &large, &plain]);
    assert_eq!(run.code, 1);
    let rows_of = rows(&run.out);
    assert_eq!(rows_of[0]["status"], "failed");
    for part in ["HOLE", "pieces", "--limit pieces=NUMBER"] {
        assert!(rows_of[0]["findings"].contains(part), "{part} in {}", rows_of[0]["findings"]);
    }
    assert!(rows_of[1..].iter().all(|row| row["status"] == "ok"));
    // A limit that is set lower holds too.
    let run = folder.run(&["schedule", "--limit", "pieces=3", &plain]);
    assert_eq!(run.code, 2, "{}", run.err);
    assert!(run.err.contains("limit of 3 pieces"), "{}", run.err);
    let run = folder.run(&["schedule", "--limit", "colours=3", &plain]);
    assert!(run.code == 2 && run.err.contains("nesting"), "{}", run.err);
}

#[test]
fn what_is_passed_over_is_listed_in_full_and_for_machines() {
    let folder = Folder::with(&[]);
    let drawing = fixture("labels.dxf");
    let short = folder.run(&["inspect", &drawing]).out;
    assert!(short.contains("2 TEXT on layer MARKS: draws no outline (first line "), "{short}");
    let full = folder.run(&["inspect", "--all", &drawing]).out;
    assert!(full.lines().filter(|line| line.starts_with("    line ")).count() >= 2, "{full}");
    let json: serde_json::Value =
        serde_json::from_str(&folder.run(&["inspect", "--json", &drawing]).out).unwrap();
    let passed = json["passed_over"].as_array().unwrap();
    let text = passed.iter().find(|row| row["kind"] == "TEXT").unwrap();
    assert_eq!((&text["layer"], &text["count"]), (&"MARKS".into(), &2.into()));
    let handles: Vec<&str> =
        text["places"].as_array().unwrap().iter().map(|p| p["handle"].as_str().unwrap()).collect();
    assert!(handles.len() == 2 && handles[0] != handles[1], "{handles:?}");
    assert!(text["places"][0]["line"].as_u64().unwrap() > 0);
    assert_eq!(json["texts"][0]["text"], "P1 Ø12");
    assert_eq!((&json["form"], &json["drawing_unit"]), (&"text".into(), &"mm".into()));
    let cut = json["layers"].as_array().unwrap().iter().find(|l| l["name"] == "CUT").unwrap();
    assert_eq!(cut["closed_outlines"].as_array().unwrap().len(), 3);
    assert_eq!(cut["entities"]["LWPOLYLINE"], 3);
}
