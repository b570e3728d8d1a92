//! The program as people run it: exit codes, files, messages, options. Figures are held against closed forms.

use crate::common;
use crate::run;

use std::f64::consts::PI;

use common::draw::{circle, drawing, loose_edges, lwpolyline};
use run::{Folder, fixture, rows};
use tracearm::drawing::LengthUnit;
use tracearm::schedule::{Group, Quantity};

/// Figures of simple shapes are good to a few units in the last place.
const EXACT: f64 = 1e-12;

fn close(got: &str, want: f64) {
    let got: f64 = got.parse().unwrap_or_else(|_| panic!("no figure: {got:?}"));
    assert!((got - want).abs() <= EXACT * want.abs(), "{got} for {want}");
}

/// A plate of 120 × 50 from (20, 10) with an opening of 30 × 20 from (40, 20).
fn plate(layer: &str) -> String {
    let ring = |x: f64, y: f64, w: f64, h: f64| {
        lwpolyline(layer, &[[x, y, 0.0], [x + w, y, 0.0], [x + w, y + h, 0.0], [x, y + h, 0.0]])
    };
    ring(20.0, 10.0, 120.0, 50.0) + &ring(40.0, 20.0, 30.0, 20.0)
}

const PLATE_AREA: f64 = 120.0 * 50.0 - 30.0 * 20.0;

fn millimetres(entities: &str) -> String {
    drawing(4, "", entities)
}

/// Two solids apart from each other: 40 × 30 on the left, 25 × 60 on the right, drawn right first.
fn pair(layer: &str) -> String {
    lwpolyline(layer, &[[90.0, 5.0, 0.0], [115.0, 5.0, 0.0], [115.0, 65.0, 0.0], [90.0, 65.0, 0.0]])
        + &lwpolyline(layer, &[[10.0, 0.0, 0.0], [50.0, 0.0, 0.0], [50.0, 30.0, 0.0], [10.0, 30.0, 0.0]])
}

#[test]
fn everything_measured() {
    let folder = Folder::with(&[("plate.dxf", &millimetres(&plate("PLATE")))]);
    let run = folder.run(&["schedule", "--digits", "full", "plate.dxf"]);
    assert_eq!((run.code, run.err.as_str()), (0, ""));
    let rows = rows(&run.out);
    assert_eq!(rows.len(), 1);
    let row = &rows[0];
    assert_eq!((row["drawing"].as_str(), row["section"].as_str()), ("plate.dxf", "PLATE"));
    assert_eq!((row["status"].as_str(), row["parts"].as_str(), row["holes"].as_str()), ("ok", "1", "1"));
    close(&row["area_mm2"], PLATE_AREA);
    close(&row["perimeter_mm"], 2.0 * (120.0 + 50.0) + 2.0 * (30.0 + 20.0));
    let centroid_x = (6000.0 * 80.0 - 600.0 * 55.0) / PLATE_AREA;
    let centroid_y = (6000.0 * 35.0 - 600.0 * 30.0) / PLATE_AREA;
    close(&row["centroid_x_mm"], centroid_x);
    close(&row["centroid_y_mm"], centroid_y);
    // b·h³/12 and parallel axes, the opening taken off.
    let about_x = 120.0 * 50_f64.powi(3) / 12.0 + 6000.0 * (35.0 - centroid_y).powi(2)
        - 30.0 * 20_f64.powi(3) / 12.0
        - 600.0 * (30.0 - centroid_y).powi(2);
    close(&row["second_moment_x_mm4"], about_x);
    close(&row["elastic_modulus_x_top_mm3"], about_x / (60.0 - centroid_y));
    assert_eq!(row["mass_per_length_kg_per_m"], "");
    assert_eq!(row["findings"], "");
}

#[test]
fn missing_files() {
    let folder = Folder::with(&[]);
    for command in ["schedule", "inspect"] {
        let run = folder.run(&[command, "nowhere.dxf"]);
        assert_eq!((run.code, run.out.as_str()), (2, ""), "{command}");
        assert!(run.err.contains("nowhere.dxf") && run.err.contains("check the spelling"), "{}", run.err);
    }
}

#[test]
fn folders_without_drawings() {
    let folder = Folder::with(&[("empty/notes.txt", "cut two off")]);
    let run = folder.run(&["schedule", "empty"]);
    assert_eq!((run.code, run.out.as_str()), (2, ""));
    assert!(run.err.contains("empty: no drawings") && run.err.contains(".dxf"), "{}", run.err);
    let run = folder.run(&["inspect", "empty"]);
    assert_eq!(run.code, 2);
    assert!(run.err.contains("name one drawing"), "{}", run.err);
}

#[test]
fn files_that_are_no_drawings() {
    let folder = Folder::with(&[("document.dxf", "%PDF-1.7\n"), ("empty.dxf", "")]);
    let list = fixture("not-a-drawing.dxf");
    for (name, word) in [("document.dxf", "PDF"), ("empty.dxf", "empty"), (list.as_str(), "no DXF")] {
        for command in ["schedule", "inspect"] {
            let run = folder.run(&[command, name]);
            assert_eq!((run.code, run.out.as_str()), (2, ""), "{command} {name}");
            assert!(run.err.contains(word) && run.err.contains("export"), "{}", run.err);
        }
    }
}

#[test]
fn truncated_drawings() {
    let folder = Folder::with(&[]);
    // What came before the end is measured, with a warning.
    let run = folder.run(&["schedule", &fixture("truncated.dxf")]);
    assert_eq!(run.code, 0, "{}", run.err);
    let found = rows(&run.out);
    assert_eq!(found[0]["status"], "warning");
    assert!(found[0]["findings"].contains("ends at line"), "{}", found[0]["findings"]);
    // The end comes before anything could be measured.
    let whole = millimetres(&plate("PLATE"));
    let cut = &whole[..whole.find("LWPOLYLINE").unwrap() + 40];
    let folder = Folder::with(&[("cut.dxf", cut)]);
    let run = folder.run(&["schedule", "cut.dxf"]);
    assert_eq!((run.code, rows(&run.out)[0]["status"].as_str()), (1, "failed"));
    assert!(rows(&run.out)[0]["findings"].contains("the file ends at line"), "{}", run.out);
    assert!(run.err.contains("the file ends at line") && run.err.contains("export"), "{}", run.err);
}

#[test]
fn drawings_without_closed_outlines() {
    let folder = Folder::with(&[]);
    let path = fixture("no-outlines.dxf");
    let run = folder.run(&["schedule", &path]);
    let found = rows(&run.out);
    assert_eq!((run.code, found.len(), found[0]["status"].as_str()), (1, 1, "failed"));
    assert!(
        found[0]["findings"].contains("no section found") && found[0]["findings"].contains("GRID (3 open")
    );
    assert!(run.err.contains("GRID") && run.err.contains("tracearm inspect"), "{}", run.err);
    assert_eq!(folder.run(&["inspect", &path]).code, 0);
}

#[test]
fn unknown_words() {
    let folder = Folder::with(&[("plate.dxf", &millimetres(&plate("PLATE")))]);
    for (arguments, words) in [
        (["--units", "furlong"], ["furlong", "mm, cm, m, in or ft"]),
        (["--drawing-units", "furlong"], ["furlong", "mm, cm, m, in or ft"]),
        (["--join", "wide"], ["wide", "0.05mm"]),
        (["--join", "1furlong"], ["furlong", "mm, cm, m, in or ft"]),
        (["--digits", "99"], ["99", "1 to 17"]),
        (["--density", "-1"], ["-1", "above 0"]),
        (["--per", "sheet"], ["sheet", "drawing"]),
        (["--layers", "["], ["[", "pattern"]),
    ] {
        let option = format!("{}={}", arguments[0], arguments[1]);
        let run = folder.run(&["schedule", &option, "plate.dxf"]);
        assert_eq!((run.code, run.out.as_str()), (2, ""), "{arguments:?}");
        assert!(words.iter().all(|word| run.err.contains(word)), "{arguments:?}: {}", run.err);
    }
    assert_eq!(folder.run(&[]).code, 2);
    assert_eq!(folder.run(&["schedule"]).code, 2);
    assert_eq!(folder.run(&["measure", "plate.dxf"]).code, 2);
}

#[test]
fn shapes_without_size() {
    let folder = Folder::with(&[]);
    let run = folder.run(&["schedule", &fixture("zero-size.dxf")]);
    // The layer without a row held something that could not be drawn.
    assert_eq!(run.code, 1, "{}", run.err);
    let found = rows(&run.out);
    let messages: Vec<(&str, &str)> =
        found.iter().map(|row| (row["section"].as_str(), row["status"].as_str())).collect();
    assert_eq!(messages, [("PLATE", "warning")]);
    assert!(run.err.contains("no closed outline on layer NOTHING"), "{}", run.err);
    assert!(run.err.contains("a radius of 0"), "{}", run.err);
    let run = folder.run(&["schedule", "--layers", "NOTHING", &fixture("zero-size.dxf")]);
    assert_eq!((run.code, rows(&run.out)[0]["status"].as_str()), (1, "failed"));
    assert!(rows(&run.out)[0]["findings"].contains("a radius of 0"), "{}", run.out);
}

#[test]
fn a_pattern_that_matches_nothing() {
    let folder = Folder::with(&[("plate.dxf", &millimetres(&(plate("PLATE") + &pair("SHIMS"))))]);
    let run = folder.run(&["schedule", "--layers", "PLAET*", "plate.dxf"]);
    let found = rows(&run.out);
    assert_eq!((run.code, found[0]["status"].as_str()), (1, "failed"));
    assert!(found[0]["findings"].contains("no layer matches the pattern “PLAET*”; perhaps PLATE is meant"));
    assert!(
        ["PLAET*", "PLATE", "SHIMS", "--layers"].iter().all(|word| run.err.contains(word)),
        "{}",
        run.err
    );
    // Beside one that matches it is told, and the rest is measured.
    let run = folder.run(&["schedule", "--layers", "plate", "--skip", "SHMIS", "plate.dxf"]);
    let found = rows(&run.out);
    assert_eq!((run.code, found.len(), found[0]["status"].as_str()), (1, 1, "warning"));
    assert!(found[0]["findings"].contains("no layer matches the pattern “SHMIS”; perhaps SHIMS is meant"));
    assert!(run.err.contains("SHMIS") && run.err.contains("SHIMS"), "{}", run.err);
    let run = folder.run(&["inspect", "--layers", "PLAET*", "plate.dxf"]);
    assert_eq!(run.code, 1);
    assert!(run.err.contains("PLAET*") && run.err.contains("SHIMS"), "{}", run.err);
}

#[test]
fn a_bad_drawing_costs_only_itself() {
    let good = millimetres(&plate("PLATE"));
    let folder = Folder::with(&[("a.dxf", &good), ("b.dxf", "no drawing\n"), ("c.dxf", &good)]);
    let run = folder.run(&["schedule", "a.dxf", "b.dxf", "gone.dxf", "c.dxf"]);
    assert_eq!(run.code, 1);
    let found = rows(&run.out);
    let messages: Vec<(&str, &str)> =
        found.iter().map(|row| (row["drawing"].as_str(), row["status"].as_str())).collect();
    assert_eq!(messages, [("a.dxf", "ok"), ("b.dxf", "failed"), ("gone.dxf", "failed"), ("c.dxf", "ok")]);
    assert!(run.err.contains("b.dxf") && run.err.contains("gone.dxf") && !run.err.contains("a.dxf:"));
    // A failed row has no figures, not even 0, and says why.
    for row in [&found[1], &found[2]] {
        for (column, cell) in row.iter() {
            let named = ["drawing", "status", "findings"].contains(&column.as_str());
            assert_eq!(cell.is_empty(), !named, "{column}: {cell}");
        }
    }
}

#[test]
fn a_section_that_fails() {
    let folder = Folder::with(&[("plate.dxf", &millimetres(&plate("PLATE")))]);
    let run = folder.run(&["schedule", "plate.dxf", &fixture("rail-clamp.dxf")]);
    assert_eq!(run.code, 1);
    let found = rows(&run.out);
    let statuses: Vec<&str> = found.iter().map(|row| row["status"].as_str()).collect();
    assert_eq!(statuses, ["ok", "failed", "failed"]);
    assert!(
        found[1..].iter().all(|row| row["area_mm2"].is_empty() && row["findings"].contains("not closed"))
    );
    assert!(run.err.contains("layer CLAMP: not measured") && run.err.contains("(200, 40.8)"), "{}", run.err);
}

#[test]
fn layers_chosen() {
    let folder = Folder::with(&[(
        "plate.dxf",
        &millimetres(&(plate("Plate 1") + &plate("Plate 2") + &pair("SHIMS"))),
    )]);
    let sections = |arguments: &[&str]| {
        let run = folder.run(&[&["schedule", "plate.dxf"], arguments].concat());
        assert_eq!(run.code, 0, "{}", run.err);
        rows(&run.out).into_iter().map(|row| row["section"].clone()).collect::<Vec<_>>()
    };
    assert_eq!(sections(&[]), ["Plate 1", "Plate 2", "SHIMS"]);
    assert_eq!(sections(&["--layers", "plate*"]), ["Plate 1", "Plate 2"]);
    assert_eq!(sections(&["--layers", "plate [2-9]", "--layers", "sh?ms"]), ["Plate 2", "SHIMS"]);
    assert_eq!(sections(&["--skip", "plate*"]), ["SHIMS"]);
    assert_eq!(sections(&["--layers", "plate*", "--skip", "*1"]), ["Plate 2"]);
}

#[test]
fn hidden_layers() {
    let folder = Folder::with(&[]);
    let path = fixture("layer-states.dxf");
    let run = folder.run(&["schedule", &path]);
    let shown: Vec<String> = rows(&run.out).into_iter().map(|row| row["layer"].clone()).collect();
    assert!(!shown.contains(&"OFF".to_owned()) && !shown.contains(&"FROZEN".to_owned()));
    assert!(["OFF", "FROZEN", "--hidden"].iter().all(|word| run.err.contains(word)), "{}", run.err);
    let run = folder.run(&["schedule", "--hidden", &path]);
    let all: Vec<String> = rows(&run.out).into_iter().map(|row| row["layer"].clone()).collect();
    assert_eq!(all.len(), shown.len() + 2);
    assert!(all.contains(&"OFF".to_owned()) && all.contains(&"FROZEN".to_owned()));
    let run = folder.run(&["schedule", "--layers", "OFF", &path]);
    assert_eq!((run.code, rows(&run.out)[0]["status"].as_str()), (1, "failed"));
    assert!(run.err.contains("--hidden"), "{}", run.err);
}

#[test]
fn void_layers() {
    // A slot of 16 wide that runs 12 into the plate across its upper edge, and one that lies beside the plate.
    let slot = |x: f64, y: f64| {
        let corners = [[x, y, 0.0], [x + 16.0, y, 0.0], [x + 16.0, y + 30.0, 0.0], [x, y + 30.0, 0.0]];
        lwpolyline("SLOTS", &corners)
    };
    let entities = plate("PLATE") + &slot(100.0, 48.0) + &slot(300.0, 10.0);
    let folder = Folder::with(&[("plate.dxf", &millimetres(&entities))]);
    let run = folder.run(&["schedule", "--void-layers", "slot*", "plate.dxf"]);
    let found = rows(&run.out);
    assert_eq!((run.code, found.len()), (0, 1), "{}", run.err);
    assert_eq!((found[0]["section"].as_str(), found[0]["parts"].as_str()), ("PLATE", "1"));
    close(&found[0]["area_mm2"], PLATE_AREA - 16.0 * 12.0);
    close(&found[0]["perimeter_mm"], 2.0 * (120.0 + 50.0) + 2.0 * (30.0 + 20.0) + 2.0 * 12.0);
    let run = folder.run(&["schedule", "--void-layers", "SLTOS", "plate.dxf"]);
    assert_eq!(rows(&run.out).len(), 2);
    assert!(run.err.contains("SLTOS") && run.err.contains("SLOTS"), "{}", run.err);
}

#[test]
fn one_row_for_each_part() {
    let folder = Folder::with(&[("shims.dxf", &millimetres(&pair("SHIMS")))]);
    let whole = rows(&folder.run(&["schedule", "shims.dxf"]).out);
    assert_eq!((whole.len(), whole[0]["parts"].as_str()), (1, "2"));
    close(&whole[0]["area_mm2"], 40.0 * 30.0 + 25.0 * 60.0);
    let parts = rows(&folder.run(&["schedule", "--per", "part", "shims.dxf"]).out);
    let names: Vec<&str> = parts.iter().map(|row| row["section"].as_str()).collect();
    assert_eq!(names, ["SHIMS#1", "SHIMS#2"]);
    assert!(parts.iter().all(|row| row["layer"] == "SHIMS"));
    // From left to right, whatever the order of drawing.
    close(&parts[0]["area_mm2"], 40.0 * 30.0);
    close(&parts[1]["area_mm2"], 25.0 * 60.0);
    close(&parts[0]["centroid_x_mm"], 30.0);
}

#[test]
fn one_row_for_the_drawing() {
    let folder = Folder::with(&[(
        "girder.dxf",
        &millimetres(&(pair("FLANGES") + &circle_on("BAR", 70.0, -40.0, 9.0))),
    )]);
    let found = rows(&folder.run(&["schedule", "--per", "drawing", "--digits", "full", "girder.dxf"]).out);
    assert_eq!(found.len(), 1);
    assert_eq!((found[0]["section"].as_str(), found[0]["layer"].as_str()), ("girder", "BAR+FLANGES"));
    assert_eq!(found[0]["parts"], "3");
    close(&found[0]["area_mm2"], 40.0 * 30.0 + 25.0 * 60.0 + 81.0 * PI);
}

fn circle_on(layer: &str, x: f64, y: f64, radius: f64) -> String {
    lwpolyline(layer, &circle(x, y, radius))
}

#[test]
fn units_of_the_schedule() {
    let folder = Folder::with(&[("plate.dxf", &millimetres(&plate("PLATE")))]);
    let figures = |unit: &str| {
        let run =
            folder.run(&["schedule", "--digits", "full", "--density", "7850", "--units", unit, "plate.dxf"]);
        assert_eq!(run.code, 0, "{}", run.err);
        rows(&run.out).remove(0)
    };
    let (mm, inches) = (figures("mm"), figures("in"));
    let mut compared = 0;
    for column in Group::Common.columns() {
        let factor = match column.quantity {
            Quantity::Length(power) => 25.4_f64.powi(power),
            Quantity::Text | Quantity::Count => continue,
            _ => 1.0,
        };
        let in_inches = &inches[&column.heading(LengthUnit::Inch)];
        let in_mm: f64 = mm[&column.heading(LengthUnit::Millimetre)].parse().unwrap();
        close(in_inches, in_mm / factor);
        compared += 1;
    }
    assert_eq!(compared, 34);
    close(
        &inches["second_moment_y_in4"],
        mm["second_moment_y_mm4"].parse::<f64>().unwrap() / 25.4_f64.powi(4),
    );
    close(&figures("m")["area_m2"], PLATE_AREA * 1e-6);
    close(&figures("cm")["area_cm2"], PLATE_AREA * 1e-2);
    close(&figures("ft")["area_ft2"], PLATE_AREA / (304.8 * 304.8));
}

#[test]
fn units_of_the_drawing() {
    let folder = Folder::with(&[
        ("inches.dxf", &drawing(1, "", &plate("PLATE"))),
        ("none.dxf", &drawing(0, "", &plate("PLATE"))),
    ]);
    let row = |arguments: &[&str]| {
        let run = folder.run(&[&["schedule", "--digits", "full"], arguments].concat());
        assert_eq!(run.code, 0, "{}", run.err);
        rows(&run.out).remove(0)
    };
    close(&row(&["inches.dxf"])["area_mm2"], PLATE_AREA * 25.4 * 25.4);
    // The option stands above the header.
    close(&row(&["--drawing-units", "cm", "inches.dxf"])["area_mm2"], PLATE_AREA * 100.0);
    let assumed = row(&["none.dxf"]);
    close(&assumed["area_mm2"], PLATE_AREA);
    assert!(assumed["findings"].contains("millimetres are assumed"), "{}", assumed["findings"]);
    let stated = row(&["--drawing-units", "m", "none.dxf"]);
    close(&stated["area_mm2"], PLATE_AREA * 1e6);
    assert!(!stated["findings"].contains("assumed") && stated["findings"].contains("measures 120 x 50 m"));
}

#[test]
fn digits() {
    let folder = Folder::with(&[("bar.dxf", &millimetres(&circle_on("BAR", 31.0, -12.0, 7.0)))]);
    let row = |digits: &str| rows(&folder.run(&["schedule", "--digits", digits, "bar.dxf"]).out).remove(0);
    // 49π = 153.938…, 14π = 43.982…, 7⁴π/4 = 1885.740….
    let three = row("3");
    assert_eq!(three["area_mm2"], "154");
    assert_eq!(three["perimeter_mm"], "44");
    assert_eq!(three["second_moment_x_mm4"], "1890");
    let full = row("full");
    close(&full["area_mm2"], 49.0 * PI);
    close(&full["perimeter_mm"], 14.0 * PI);
    assert_eq!(rows(&folder.run(&["schedule", "bar.dxf"]).out)[0]["area_mm2"], "153.938");
}

#[test]
fn density() {
    let folder = Folder::with(&[("plate.dxf", &drawing(1, "", &plate("PLATE")))]);
    for unit in ["mm", "in"] {
        let run =
            folder.run(&["schedule", "--digits", "full", "--density", "7850", "--units", unit, "plate.dxf"]);
        close(&rows(&run.out)[0]["mass_per_length_kg_per_m"], PLATE_AREA * 0.0254 * 0.0254 * 7850.0);
    }
}

#[test]
fn the_joining_tolerance() {
    let folder = Folder::with(&[]);
    let path = fixture("rail-clamp.dxf");
    // Gaps of 0.8 mm and 0.6 mm.
    let statuses = |arguments: &[&str]| {
        let run = folder.run(&[&["schedule", path.as_str()], arguments].concat());
        let found: Vec<String> = rows(&run.out).iter().map(|row| row["status"].clone()).collect();
        (run.code, found)
    };
    let words = |words: [&str; 2]| words.map(str::to_owned).to_vec();
    assert_eq!(statuses(&[]), (1, words(["failed", "failed"])));
    // Gaps that wide may change the area by more than 0.1 %.
    assert_eq!(statuses(&["--join", "0.7mm"]), (1, words(["failed", "warning"])));
    assert_eq!(statuses(&["--join", "0.9mm"]), (0, words(["warning", "warning"])));
    assert_eq!(statuses(&["--join", "0.9"]), (0, words(["warning", "warning"])));
    // A bare number is in the unit of the schedule: 0.03 in is 0.762 mm.
    assert_eq!(statuses(&["--units", "in", "--join", "0.03"]), (1, words(["failed", "warning"])));
    let run = folder.run(&["schedule", &path]);
    assert!(
        ["(200, 40)", "(200, 40.8)", "--join 1mm", "--join 0.8mm"].iter().all(|word| run.err.contains(word)),
        "{}",
        run.err
    );
}

#[test]
fn folders_are_walked() {
    let good = millimetres(&plate("PLATE"));
    let folder = Folder::with(&[
        ("job/b.dxf", &good),
        ("job/A.DXF", &good),
        ("job/deep/er/c.Dxf", &good),
        ("job/notes.txt", "no drawing"),
    ]);
    let run = folder.run(&["schedule", "job"]);
    assert_eq!((run.code, run.err.as_str()), (0, ""));
    let drawings: Vec<String> = rows(&run.out).iter().map(|row| row["drawing"].replace('\\', "/")).collect();
    assert_eq!(drawings, ["job/A.DXF", "job/b.dxf", "job/deep/er/c.Dxf"]);
    assert_eq!(folder.run(&["schedule", "job"]).out, run.out, "the same bytes again");
}

#[test]
fn loose_lines_are_a_plate_too() {
    let vertices = [[20.0, 10.0, 0.0], [140.0, 10.0, 0.0], [140.0, 60.0, 0.0], [20.0, 60.0, 0.0]];
    let folder = Folder::with(&[("loose.dxf", &millimetres(&loose_edges("PLATE", &vertices).concat()))]);
    let run = folder.run(&["schedule", "loose.dxf"]);
    assert_eq!(run.code, 0);
    close(&rows(&run.out)[0]["area_mm2"], 6000.0);
}

#[test]
fn formulas_are_harmless() {
    let run = Folder::with(&[]).run(&["schedule", &fixture("formula-layers.dxf")]);
    assert_eq!(run.code, 0);
    let found = rows(&run.out);
    assert_eq!(found.len(), 4);
    for row in &found {
        for (column, cell) in row.iter() {
            let number = cell.parse::<f64>().is_ok();
            assert!(number || !cell.starts_with(['=', '+', '-', '@']), "{column}: {cell}");
        }
    }
    assert!(found.iter().any(|row| row["section"] == "'=SUM(A1)"));
}
