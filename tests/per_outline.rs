//! Each outer outline as a section: plates nested on a sheet, which share cut edges.

use crate::run;

use std::collections::BTreeMap;

use run::{Folder, Run, rows};

fn rectangle(layer: &str, [x0, x1, y0, y1]: [i32; 4]) -> String {
    let corners = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)];
    format!("0\nLWPOLYLINE\n8\n{layer}\n90\n4\n70\n1\n")
        + &corners.map(|(x, y)| format!("10\n{x}\n20\n{y}\n")).concat()
}

fn text(layer: &str, x: i32, y: i32, words: &str) -> String {
    format!("0\nTEXT\n8\n{layer}\n10\n{x}\n20\n{y}\n40\n5\n1\n{words}\n")
}

fn drawing(entities: &[String]) -> String {
    let head = "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n";
    head.to_owned() + &entities.concat() + "0\nENDSEC\n0\nEOF\n"
}

/// Three plates on a sheet: two share 60 of an upright edge, the third shares 40 of the second's upper edge and stands
/// beside a fourth that touches nothing. The first has a hole, the third a hole with a slug in it.
fn nest() -> String {
    let plates = [
        rectangle("NEST", [0, 100, 0, 60]),
        rectangle("NEST", [20, 40, 20, 40]),
        rectangle("NEST", [100, 180, 0, 60]),
        rectangle("NEST", [140, 240, 60, 150]),
        rectangle("NEST", [160, 220, 80, 130]),
        rectangle("NEST", [180, 200, 90, 110]),
        rectangle("NEST", [300, 340, 0, 25]),
    ];
    drawing(&[&plates[..], &[text("NOTES", 60, 50, "A1"), text("NOTES", 150, 30, "B2")]].concat())
}

fn measure(drawing: &str, more: &[&str]) -> (Run, Vec<BTreeMap<String, String>>) {
    let folder = Folder::with(&[("nest.dxf", drawing)]);
    let run = folder.run(&[&["schedule", "nest.dxf"], more].concat());
    let found = rows(&run.out);
    (run, found)
}

fn column(rows: &[BTreeMap<String, String>], heading: &str) -> Vec<String> {
    rows.iter().map(|row| row[heading].clone()).collect()
}

#[test]
fn each_outline_has_a_row() {
    let (run, found) = measure(&nest(), &["--per", "outline"]);
    assert_eq!(run.code, 0, "{}", run.err);
    assert_eq!(column(&found, "section"), ["NEST#1", "NEST#2", "NEST#3", "NEST#4", "NEST#5"]);
    assert_eq!(column(&found, "area_mm2"), ["5600", "4800", "6000", "400", "1000"]);
    assert_eq!(column(&found, "holes"), ["1", "0", "1", "0", "0"]);
    assert_eq!(column(&found, "perimeter_mm"), ["400", "280", "600", "80", "130"]);
    assert_eq!(column(&found, "label")[..2], ["A1", "B2"]);
    assert!(column(&found, "status").iter().all(|status| status == "ok"));
    // As parts the three that touch are one.
    let (_, parts) = measure(&nest(), &["--per", "part"]);
    assert_eq!(column(&parts, "area_mm2"), ["16400", "400", "1000"]);
}

#[test]
fn edges_that_are_shared() {
    let (run, found) = measure(&nest(), &["--per", "outline", "--thickness", "8"]);
    assert_eq!(run.code, 0, "{}", run.err);
    assert_eq!(column(&found, "cut_length_mm"), ["400", "280", "600", "80", "130"]);
    assert_eq!(column(&found, "pierces"), ["2", "1", "2", "1", "1"]);
    let told = column(&found, "findings");
    assert!(
        told[0].contains("60 mm of its edge is shared with NEST#2; it is in the cut length of each of them"),
        "{}",
        told[0]
    );
    assert!(told[1].contains("100 mm of its edge is shared with NEST#1, NEST#3"), "{}", told[1]);
    assert!(told[2].contains("40 mm of its edge is shared with NEST#2") && !told[4].contains("shared"));
    let (_, found) = measure(&nest(), &["--per", "outline", "--thickness", "8", "--common-cuts"]);
    // 1,490 of edges less the 100 that two share.
    assert_eq!(column(&found, "cut_length_mm"), ["400", "220", "560", "80", "130"]);
    assert!(column(&found, "findings")[1].contains("60 mm of that is counted with plates before it"));
    // In other rows the cut between plates is no edge, which they say.
    for per in ["layer", "part", "drawing"] {
        let (run, found) = measure(&nest(), &["--per", per, "--thickness", "8"]);
        assert_eq!(run.code, 0);
        let told = &found[0]["findings"];
        assert!(
            told.contains("100 mm of cut between them is not in the cut length")
                && told.contains("--per outline"),
            "{told}"
        );
    }
    let (run, _) = measure(&nest(), &["--per", "part", "--thickness", "8", "--common-cuts"]);
    assert!(run.code == 2 && run.err.contains("--per outline"), "{}", run.err);
}

/// A void that cuts a plate in two leaves two; one that overlaps another is measured whole, with what is said of crossing.
#[test]
fn voids_and_overlaps() {
    let slot = [rectangle("SLOTS", [40, 60, -10, 70])];
    let plates = [rectangle("NEST", [0, 100, 0, 60]), rectangle("NEST", [100, 180, 0, 60])];
    let (_, found) = measure(
        &drawing(&[&plates[..], &slot].concat()),
        &["--per", "outline", "--layers", "NEST", "--void-layers", "SLOTS"],
    );
    assert_eq!(column(&found, "area_mm2"), ["2400", "2400", "4800"]);
    let lapped = [rectangle("NEST", [0, 100, 0, 60]), rectangle("NEST", [90, 180, 20, 50])];
    let (run, found) = measure(&drawing(&lapped), &["--per", "outline", "--thickness", "8"]);
    assert_eq!((run.code, column(&found, "area_mm2")), (0, vec!["6000".to_owned(), "2700".to_owned()]));
    assert!(
        found.iter().all(|row| row["findings"].contains("closed outlines cross")
            && !row["findings"].contains("of its edge"))
    );
}

/// A single outline gives the same row whatever a section is, but for its name.
#[test]
fn one_outline_is_one_section() {
    let plate = drawing(&[rectangle("NEST", [0, 100, 0, 60]), rectangle("NEST", [20, 40, 20, 40])]);
    let strip = |mut row: BTreeMap<String, String>| {
        row.remove("section");
        row.remove("label");
        row
    };
    let (_, layer) = measure(&plate, &["--thickness", "8", "--digits", "full"]);
    let (_, outline) = measure(&plate, &["--per", "outline", "--thickness", "8", "--digits", "full"]);
    assert_eq!(strip(layer[0].clone()), strip(outline[0].clone()));
}

/// Totals by status, which add what the rows say; with figures that not every row has left empty.
#[test]
fn totals_of_a_nest() {
    let folder = Folder::with(&[("nest.dxf", &nest()), ("bad.dxf", "no drawing\n")]);
    let arguments =
        ["--per", "outline", "--thickness", "8", "--density", "7850", "--totals", "t.csv", "-o", "s.csv"];
    let run = folder.run(&[&["schedule", "nest.dxf", "bad.dxf"], &arguments[..]].concat());
    assert_eq!(run.code, 1, "{}", run.err);
    let (totals, found) = (rows(&folder.read("t.csv")), rows(&folder.read("s.csv")));
    assert_eq!(column(&totals, "status"), ["ok", "warning", "failed", "all"]);
    assert_eq!(column(&totals, "sections"), ["5", "0", "1", "6"]);
    let measured: Vec<_> = found.iter().filter(|row| row["status"] == "ok").collect();
    for heading in [
        "area_mm2",
        "perimeter_mm",
        "outer_perimeter_mm",
        "inner_perimeter_mm",
        "cut_length_mm",
        "mass_kg",
        "pierces",
        "holes",
    ] {
        let sum: f64 = measured.iter().map(|row| row[heading].parse::<f64>().expect("a figure")).sum();
        let total: f64 = totals[3][heading].parse().expect("a figure");
        assert!((total - sum).abs() <= 1e-6 * sum, "{heading}: {total} {sum}");
        assert_eq!((totals[2][heading].as_str(), totals[1][heading].as_str()), ("", "0"), "{heading}");
    }
    for row in &measured {
        let figure = |heading: &str| row[heading].parse::<f64>().expect("a figure");
        let both = figure("outer_perimeter_mm") + figure("inner_perimeter_mm");
        assert!((both - figure("perimeter_mm")).abs() < 1e-3, "{row:?}");
        assert_eq!(figure("inner_perimeter_mm") > 0.0, row["holes"] != "0");
    }
    // The same in JSON.
    let json = [&["schedule", "nest.dxf", "bad.dxf", "--format", "json"], &arguments[..6]].concat();
    let document: serde_json::Value = serde_json::from_str(&folder.run(&json).out).expect("JSON");
    for (line, of) in totals.iter().zip(document["totals"].as_array().expect("totals")) {
        for (heading, cell) in line {
            let found = &of[heading];
            let text = found.as_str().map_or_else(|| found.to_string(), str::to_owned);
            assert_eq!(text.replace("null", ""), *cell, "{heading}");
        }
    }
    let run =
        folder.run(&["schedule", "nest.dxf", "--per", "outline", "--totals", "t.csv", "--format", "table"]);
    assert!(
        run.out.contains("total: 5 sections (5 ok): parts 5, holes 2, area 17800 mm², perimeter 1490 mm"),
        "{}",
        run.out
    );
    assert!(rows(&folder.read("t.csv"))[3]["mass_per_length_kg_per_m"].is_empty());
    for (arguments, words) in
        [(["--totals", "nest.dxf"], "is the drawing"), (["--totals", "t.json"], "after --totals")]
    {
        let run = folder.run(&[&["schedule", "nest.dxf"], &arguments[..]].concat());
        assert!(run.code == 2 && run.err.contains(words), "{}", run.err);
    }
    let run = folder.run(&[
        "schedule",
        "nest.dxf",
        "--totals",
        "t.csv",
        "--decimal",
        "comma",
        "--per",
        "outline",
        "--thickness",
        "7.5",
    ]);
    assert!(run.code == 0 && folder.read("t.csv").starts_with("\u{feff}status;sections;"), "{}", run.err);
}

/// A hole in a corner or at a side of its plate is a hole, wherever that is.
#[test]
fn holes_that_touch_their_outline() {
    for hole in [
        [0, 40, 0, 30],
        [60, 100, 0, 30],
        [60, 100, 20, 50],
        [0, 40, 20, 50],
        [0, 40, 0, 50],
        [30, 60, 0, 50],
        [0, 100, 10, 20],
    ] {
        let text = drawing(&[rectangle("P", [0, 100, 0, 50]), rectangle("P", hole)]);
        let [_, layer] = ["layer", "outline"].map(|per| measure(&text, &["--per", per]).1);
        let whole: f64 = layer.iter().map(|row| row["area_mm2"].parse::<f64>().expect("an area")).sum();
        let wanted = 5000.0 - f64::from((hole[1] - hole[0]) * (hole[3] - hole[2]));
        assert!((whole - wanted).abs() < 1e-9, "{hole:?}: {whole}");
    }
    for (x, y) in [(10, 20), (50, 20), (30, 10), (30, 30)] {
        let circle = format!("0\nCIRCLE\n8\nP\n10\n{x}\n20\n{y}\n40\n10\n");
        let (_, found) = measure(&drawing(&[rectangle("P", [0, 60, 0, 40]), circle]), &["--per", "outline"]);
        let area: f64 = found[0]["area_mm2"].parse().expect("an area");
        assert!(
            found.len() == 1 && (area - (2400.0 - 100.0 * std::f64::consts::PI)).abs() < 0.01,
            "{x} {y}: {area}"
        );
    }
}

/// Plates turned, with coordinates rounded as drawings have them, share their edges all the same, arcs too.
#[test]
fn shared_edges_of_rounded_plates() {
    let turn = 17.3_f64.to_radians();
    let at = |x: f64, y: f64, decimals: usize| {
        let (s, c) = turn.sin_cos();
        format!("10\n{:.decimals$}\n20\n{:.decimals$}\n", x * c - y * s, x * s + y * c)
    };
    for decimals in [3, 4, 6, 8, 12] {
        let outline = |corners: &[(f64, f64, f64)]| {
            let vertices =
                corners.iter().map(|(x, y, bulge)| at(*x, *y, decimals) + &format!("42\n{bulge}\n"));
            format!("0\nLWPOLYLINE\n8\nP\n90\n{}\n70\n1\n", corners.len()) + &vertices.collect::<String>()
        };
        let left = outline(&[(0.0, 0.0, 0.0), (60.0, 0.0, 0.0), (60.0, 40.0, 0.0), (0.0, 40.0, 0.0)]);
        let right = outline(&[(60.0, 10.0, 0.0), (130.0, 10.0, 0.0), (130.0, 90.0, 0.0), (60.0, 90.0, 0.0)]);
        let text = drawing(&[left, right]);
        let (_, found) = measure(&text, &["--per", "outline", "--thickness", "5", "--common-cuts"]);
        let cut: f64 = found.iter().map(|row| row["cut_length_mm"].parse::<f64>().expect("a length")).sum();
        assert!((cut - (200.0 + 300.0 - 30.0)).abs() < 0.01, "{decimals}: {cut} {found:?}");
        // A half round plate in the bow of another.
        let bow = outline(&[
            (0.0, 0.0, 0.0),
            (20.0, 0.0, 1.0),
            (60.0, 0.0, 0.0),
            (80.0, 0.0, 0.0),
            (80.0, 50.0, 0.0),
            (0.0, 50.0, 0.0),
        ]);
        let bow = bow.replace("42\n1\n", "42\n-1\n");
        let round = outline(&[(20.0, 0.0, 0.0), (60.0, 0.0, 1.0)]);
        let (_, found) =
            measure(&drawing(&[bow, round]), &["--per", "outline", "--thickness", "5", "--common-cuts"]);
        let told = found.iter().filter(|row| row["findings"].contains("of its edge is shared")).count();
        assert_eq!(told, 2, "{decimals}: {found:?}");
    }
}

fn line(layer: &str, [x0, y0, x1, y1]: [i32; 4]) -> String {
    format!("0\nLINE\n8\n{layer}\n10\n{x0}\n20\n{y0}\n11\n{x1}\n21\n{y1}\n")
}

/// Plates drawn of loose lines, with the cut between two of them drawn once: each face is a plate.
#[test]
fn common_cuts_that_are_drawn_once() {
    // Three plates in a row, 60 high, with cuts at 100 and 180; one with a hole.
    let row = [[0, 0, 180, 0], [180, 0, 240, 0], [240, 0, 240, 60], [240, 60, 0, 60], [0, 60, 0, 0]];
    let lines: Vec<String> =
        row.iter().chain(&[[100, 0, 100, 60], [180, 60, 180, 0]]).map(|of| line("NEST", *of)).collect();
    let drawn = drawing(&[&lines[..], &[rectangle("NEST", [20, 40, 20, 40])]].concat());
    let plate = ["--thickness", "10", "--per", "outline"];
    let (run, found) = measure(&drawn, &plate);
    assert_eq!(run.code, 0, "{}", run.err);
    assert_eq!(column(&found, "area_mm2"), ["5600", "4800", "3600"]);
    assert_eq!(column(&found, "holes"), ["1", "0", "0"]);
    assert_eq!(column(&found, "cut_length_mm"), ["400", "280", "240"]);
    assert!(
        found[0]["findings"]
            .contains("3 faces with areas of 6000, 4800, 3600 mm² are each measured as an outline")
    );
    assert!(found[1]["findings"].contains("120"), "both edges are shared: {}", found[1]["findings"]);
    let (_, found) = measure(&drawn, &[&plate[..], &["--common-cuts"]].concat());
    assert_eq!(column(&found, "cut_length_mm"), ["400", "220", "180"]);
    // As one solid they are what they were.
    let (_, found) = measure(&drawn, &["--per", "part"]);
    assert_eq!(
        (column(&found, "area_mm2"), column(&found, "parts")),
        (vec!["14000".to_owned()], vec!["1".to_owned()])
    );
    assert!(found[0]["findings"].contains("taken as one solid"));
    // A plate with others all round it may be an opening, which is said.
    let grid: Vec<String> = (0..4)
        .flat_map(|k| [[30 * k, 0, 30 * k, 90], [0, 30 * k, 90, 30 * k]])
        .map(|of| line("NEST", of))
        .collect();
    let (run, found) = measure(&drawing(&grid), &["--per", "outline"]);
    assert_eq!((run.code, found.len()), (0, 9), "{}", run.err);
    assert!(column(&found, "area_mm2").iter().all(|area| area == "900"));
    assert!(
        found
            .iter()
            .all(|row| row["status"] == "warning"
                && row["findings"].contains("1 of them (900 mm²) lie inside"))
    );
}
