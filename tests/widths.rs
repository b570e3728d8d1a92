//! Polylines with a width as the bands that they are, and hatches that nothing else bounds, on the command line. Areas by hand;
//! of random bands by shapely, in tests/second_opinion/bands.jsonl.

use crate::common;
use crate::run;

use std::collections::BTreeMap;
use std::f64::consts::PI;

use common::file;
use run::{Folder, fixture, rows};
use tracearm::drawing::Drawing;
use tracearm::measure::{self, Options, Status, Widths};

/// Rows by section.
fn measured(arguments: &[&str]) -> BTreeMap<String, BTreeMap<String, String>> {
    let folder = Folder::with(&[]);
    let run = folder.run(&[&["schedule", "--digits", "full"], arguments].concat());
    assert_eq!(run.code, 0, "{}", run.err);
    rows(&run.out).into_iter().map(|row| (row["section"].clone(), row)).collect()
}

/// Areas, parts and holes of all sections.
fn holds(arguments: &[&str], expected: &[(&str, f64, &str, &str)]) {
    let rows = measured(arguments);
    assert_eq!(rows.len(), expected.len(), "{:?}", rows.keys());
    for (section, area, parts, holes) in expected {
        let row = &rows[*section];
        let got: f64 = row["area_mm2"].parse().unwrap();
        // Spirals are drawn to 1e-10.
        let near = if *section == "HORN" { 1e-10 } else { 1e-12 };
        assert!((got / area - 1.0).abs() < near, "{section}: {got}, must be {area}");
        assert_eq!((row["parts"].as_str(), row["holes"].as_str()), (*parts, *holes), "{section}");
    }
}

const FRAME: f64 = 65.0 * 40.0 - 55.0 * 30.0;
/// Two legs of 38 and 28, mitred at one width of 4.
const ELL: f64 = 4.0 * (38.0 + 28.0);

#[test]
fn open_polylines_with_a_width_are_bands() {
    // At 20° the corner is cut off: two bands of 50 by 3, less the kite that both cover inside, and the triangle outside.
    let half = 10_f64.to_radians();
    let barb = 300.0 - 2.25 / half.tan() + 0.5 * 2.25 * (2.0 * half).sin();
    holds(
        &["--widths", "solid", &fixture("wide-open.dxf")],
        &[
            ("STRIP", 50.0 * 6.0, "1", "0"),
            ("TAPER", 50.0 * 7.0, "1", "0"),
            ("WEDGE", 50.0 * 5.0, "1", "0"),
            ("ELL", ELL, "1", "0"),
            ("BEND", PI / 4.0 * (54.0 * 54.0 - 46.0 * 46.0), "1", "0"),
            // ½∫((40+h)² − (40−h)²) dφ over 120°, h growing evenly from 3 to 9.
            ("HORN", 80.0 * 6.0 * 2.0 * PI / 3.0, "1", "0"),
            // Five legs, four of them counted to the corners, less the square where it crosses itself.
            ("LOOP", 10.0 * (100.0 + 50.0 + 50.0 + 100.0) - 100.0, "1", "1"),
            ("BARB", barb, "1", "0"),
        ],
    );
}

#[test]
fn closed_polylines_with_a_width_are_rings() {
    let drawing = fixture("wide-closed.dxf");
    let plain = 44.0 * 21.0;
    holds(
        &["--widths", "solid", &drawing],
        &[
            ("FRAME", FRAME, "1", "1"),
            ("RING", PI * (26.0 * 26.0 - 14.0 * 14.0), "1", "1"),
            ("DOT", PI * 100.0, "1", "0"),
            ("SLOT", 7.0 * (60.0 + 24.0 * PI), "1", "1"),
            ("FILLED", 70.0 * 18.0, "1", "0"),
            ("PLAIN", plain, "1", "0"),
        ],
    );
    let centre_lines = [
        ("FRAME", 60.0 * 35.0, "1", "0"),
        ("RING", PI * 400.0, "1", "0"),
        ("DOT", PI * 25.0, "1", "0"),
        ("SLOT", 30.0 * 24.0 + 144.0 * PI, "1", "0"),
        ("FILLED", 60.0 * 8.0, "1", "0"),
        ("PLAIN", plain, "1", "0"),
    ];
    holds(&[&drawing], &centre_lines);
    holds(&["--widths", "centre-line", &drawing], &centre_lines);
    let rows = measured(&[&drawing]);
    for (section, areas) in [("FRAME", ["2100 mm²", "950 mm²"]), ("RING", ["1256.637", "1507.964"])] {
        let row = &rows[section];
        assert_eq!(row["status"], "warning");
        for part in [&areas[..], &["--widths solid", "handle"]].concat() {
            assert!(row["findings"].contains(part), "{part} in {}", row["findings"]);
        }
    }
    // The layer without a width says nothing of the others.
    assert_eq!((rows["PLAIN"]["status"].as_str(), rows["PLAIN"]["findings"].as_str()), ("ok", ""));
    let solid = measured(&["--widths", "solid", &drawing]);
    assert!(solid.values().all(|row| row["status"] == "ok" && row["findings"].is_empty()));
}

#[test]
fn old_polylines_and_those_in_blocks_keep_their_widths() {
    holds(
        &["--widths", "solid", &fixture("wide-r12.dxf")],
        &[
            ("FRAME", FRAME, "1", "1"),
            ("ELL", ELL, "1", "0"),
            // 10 to 6 along 20, the default of 4 along 30, 8 to 2 along 20.
            ("STEP", 20.0 * 8.0 + 30.0 * 4.0 + 20.0 * 5.0, "1", "0"),
        ],
    );
    // A quarter disc of radius 50 as wide as 8 all round: outside to radius 54 with strips of 4, inside what lies within
    // radius 46 and 4 away from both straight edges.
    let strip = 0.5 * (4.0 * (46_f64 * 46.0 - 16.0).sqrt() + 46.0 * 46.0 * (4.0_f64 / 46.0).asin());
    let below =
        PI / 4.0 * 54.0 * 54.0 + 2.0 * 54.0 * 4.0 + 16.0 - (PI / 4.0 * 46.0 * 46.0 - 2.0 * strip + 16.0);
    holds(
        &["--widths", "solid", &fixture("wide-in-block.dxf")],
        &[
            ("MIRRORED", 2.25 * FRAME, "1", "1"),
            // Squeezed as a whole: by 2 along and by a half across.
            ("SQUEEZED", FRAME, "1", "1"),
            ("BELOW", below, "1", "1"),
        ],
    );
}

#[test]
fn a_layer_of_bands_alone_is_named_with_what_to_do() {
    let folder = Folder::with(&[]);
    let drawing = fixture("wide-partly.dxf");
    let run = folder.run(&["schedule", "--verbose", &drawing, &fixture("wide-r12.dxf")]);
    assert_eq!(run.code, 0, "{}", run.err);
    let messages: Vec<&str> = run.err.lines().filter(|line| line.contains("layer ELL: ")).collect();
    let [messages] = messages[..] else { panic!("{}", run.err) };
    for part in ["264 mm²", "--widths solid", "line "] {
        assert!(messages.contains(part), "{part} in {messages}");
    }
    let rows = measured(&[&drawing]);
    // A width on a part of its length alone is told and leaves the centre line.
    assert!(rows["PLATE"]["findings"].contains("on only part of its length"));
    assert_eq!(rows["PLATE"]["status"], "ok");
    assert_eq!(rows["TRACK"]["status"], "warning");
    let hole = PI * 81.0;
    let solid = ["--widths", "solid", &drawing];
    holds(&solid, &[("PLATE", 60.0 * 35.0, "1", "0"), ("TRACK", 80.0 * 6.0 + hole, "2", "0")]);
    assert_eq!(measured(&solid)["PLATE"]["status"], "warning");
}

#[test]
fn bands_with_parts_voids_hatches_and_jobs() {
    let lwpolyline = |layer: &str, width: f64, corners: &[(f64, f64)]| {
        let points: String = corners.iter().map(|(x, y)| format!("10\n{x}\n20\n{y}\n")).collect();
        format!("0\nLWPOLYLINE\n8\n{layer}\n90\n{}\n70\n1\n43\n{width}\n{points}", corners.len())
    };
    let rectangle = |x: f64, y: f64, w: f64, h: f64| [(x, y), (x + w, y), (x + w, y + h), (x, y + h)];
    let body = lwpolyline("PLATE", 0.0, &rectangle(10.0, 20.0, 200.0, 100.0))
        + &lwpolyline("CUT", 4.0, &rectangle(40.0, 50.0, 60.0, 30.0))
        + &lwpolyline("RAIL", 6.0, &rectangle(300.0, 20.0, 50.0, 40.0))
        + "0\nCIRCLE\n8\nRAIL\n10\n400\n20\n50\n40\n7\n";
    let text = format!(
        "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n{body}0\nENDSEC\n0\nEOF\n"
    );
    let folder = Folder::with(&[("plate.dxf", &text)]);
    let job = "[[section]]\nname = \"ALL\"\nsolid = [\"PLATE\", \"RAIL\"]\nvoid = [\"CUT\"]\n";
    folder.write("job.toml", job);
    let areas = |arguments: &[&str]| -> BTreeMap<String, (f64, String, String)> {
        let run = folder.run(&[&["schedule", "--digits", "full"], arguments, &["plate.dxf"]].concat());
        assert_eq!(run.code, 0, "{}", run.err);
        let row = |row: BTreeMap<String, String>| {
            let area: f64 = row["area_mm2"].parse().unwrap();
            (row["section"].clone(), (area, row["status"].clone(), row["findings"].clone()))
        };
        rows(&run.out).into_iter().map(row).collect()
    };
    let near = |got: f64, wanted: f64| assert!((got / wanted - 1.0).abs() < 1e-12, "{got} {wanted}");
    let (plate, disc) = (20_000.0, 49.0 * PI);
    // Band of a rectangle: its sides times the width.
    let (cut, rail) = (4.0 * 180.0, 6.0 * 180.0);
    let parts = areas(&["--per", "part", "--widths", "solid", "--layers", "RAIL"]);
    near(parts["RAIL#1"].0, rail);
    near(parts["RAIL#2"].0, disc);
    // Cut by the band alone, what lies within it stays.
    let solid = areas(&["--void-layers", "CUT", "--widths", "solid"]);
    near(solid["PLATE"].0, plate - cut);
    assert_eq!(solid["PLATE"].1, "ok");
    let lines = areas(&["--void-layers", "CUT"]);
    near(lines["PLATE"].0, plate - 1800.0);
    assert!(lines["PLATE"].1 == "warning" && lines["PLATE"].2.contains("19280 mm²"), "{}", lines["PLATE"].2);
    assert!(lines["RAIL"].2.contains("a polyline with a width"));
    let whole = areas(&["--per", "drawing", "--widths", "solid", "--skip", "CUT"]);
    near(whole["plate"].0, plate + rail + disc);
    let job = areas(&["--job", "job.toml", "--widths", "solid"]);
    near(job["ALL"].0, plate - cut + rail + disc);
    let job = areas(&["--job", "job.toml"]);
    near(job["ALL"].0, plate - 1800.0 + 2000.0 + disc);
    assert!(
        job["ALL"].1 == "warning" && job["ALL"].2.contains("2 polylines with a width"),
        "{}",
        job["ALL"].2
    );
}

#[test]
fn another_value_is_refused_and_others_take_the_option() {
    let folder = Folder::with(&[]);
    let drawing = fixture("wide-closed.dxf");
    let run = folder.run(&["schedule", "--widths", "wide", &drawing]);
    assert!(run.code == 2 && run.err.contains("centre-line") && run.err.contains("solid"), "{}", run.err);
    let shown = |arguments: &[&str]| folder.run(&[&["inspect", &drawing], arguments].concat()).out;
    let (lines, solid) = (shown(&["--layers", "FRAME"]), shown(&["--layers", "FRAME", "--widths", "solid"]));
    assert!(lines.contains("--widths solid") && lines.contains("closed outlines: 1"), "{lines}");
    assert!(!solid.contains("--widths") && solid.contains("closed outlines: 2"), "{solid}");
    for (arguments, written) in
        [(&["sheet", "-o", "frame.html"][..], "frame.html"), (&["mark", "-o", "marked.dxf"], "marked.dxf")]
    {
        let run = folder.run(&[arguments, &["--layers", "FRAME", "--widths", "solid", &drawing]].concat());
        assert_eq!(run.code, 0, "{}", run.err);
        assert!(!folder.read(written).is_empty());
    }
    assert!(folder.read("frame.html").contains("polylines with a width are solid bands of that width"));
    // A ledger that was filled with centre lines measures anew.
    for (widths, area) in [("centre-line", 2100.0), ("solid", FRAME)] {
        let run = folder.run(&[
            "schedule",
            "--ledger",
            "shop.ledger",
            "--digits",
            "full",
            "--layers",
            "FRAME",
            "--widths",
            widths,
            &drawing,
        ]);
        let got: f64 = rows(&run.out)[0]["area_mm2"].parse().unwrap();
        assert!((got / area - 1.0).abs() < 1e-12, "{got}");
    }
}

#[test]
fn a_hatch_that_nothing_else_bounds_is_a_warning() {
    let drawing = fixture("hatch-beside-hole.dxf");
    let row = &measured(&[&drawing])["PLATE"];
    assert_eq!(row["status"], "warning");
    for part in ["530.929158 mm²", "hatches fill 17069.070842 mm² more", "--hatches use", "handle"] {
        assert!(row["findings"].contains(part), "{part} in {}", row["findings"]);
    }
    let used = &measured(&["--hatches", "use", &drawing])["PLATE"];
    assert_eq!((used["status"].as_str(), used["area_mm2"].as_str()), ("ok", "17600"));
    let ignored = &measured(&["--hatches", "ignore", &drawing])["PLATE"];
    assert_eq!(ignored["status"], "ok");
    // One that repeats what outlines bound is a note; one in the opening of a frame is none.
    let rows = measured(&[&fixture("hatch-repeats-outlines.dxf")]);
    assert_eq!((rows["WALL"]["status"].as_str(), rows["FRAME"]["status"].as_str()), ("ok", "warning"));
    assert!(rows["FRAME"]["findings"].contains("enclose 4500 mm², and hatches fill 1200 mm² more"));
    let together = measured(&["--per", "drawing", &fixture("hatch-repeats-outlines.dxf")]);
    let row = &together["hatch-repeats-outlines"];
    assert!(row["status"] == "warning" && row["findings"].contains("2 hatches were left out"), "{row:?}");
}

#[test]
fn lines_that_only_cross_close_nothing_beside_a_band() {
    let line = |x0: f64, y0: f64, x1: f64, y1: f64| {
        format!("0\nLINE\n8\nA\n10\n{x0}\n20\n{y0}\n11\n{x1}\n21\n{y1}\n")
    };
    let crossing = line(0.0, 10.0, 100.0, 10.0)
        + &line(0.0, 60.0, 100.0, 60.0)
        + &line(20.0, 0.0, 20.0, 80.0)
        + &line(70.0, 0.0, 70.0, 80.0);
    let band = "0\nLWPOLYLINE\n8\nA\n43\n5\n10\n200\n20\n10\n10\n240\n20\n10\n";
    let area = |body: String| {
        let text = format!("0\nSECTION\n2\nENTITIES\n{body}0\nENDSEC\n0\nEOF\n");
        let drawing = Drawing::read(text.as_bytes()).expect("a drawing");
        let options = Options::with(|o| o.widths = Widths::Solid);
        measure::drawing("crossing", &drawing, &options).measurements[0].properties().map(|p| p.area)
    };
    assert_eq!(area(crossing.clone()).map(f64::round), Some(2500.0));
    assert_eq!(area(crossing + band).map(f64::round), Some(200.0));
}

/// Bands that shapely made.
#[test]
fn random_bands_against_another_library() {
    let mut compared = 0;
    for line in file("tests/second_opinion/bands.jsonl").lines() {
        let band: serde_json::Value = serde_json::from_str(line).unwrap();
        let number = |key: &str| band[key].as_f64().unwrap();
        let mut text = String::from("0\nSECTION\n2\nENTITIES\n0\nLWPOLYLINE\n8\nBAND\n");
        text += &format!("70\n{}\n43\n{}\n", u8::from(band["closed"].as_bool().unwrap()), number("width"));
        for vertex in band["vertices"].as_array().unwrap() {
            text += &format!("10\n{}\n20\n{}\n42\n{}\n", vertex[0], vertex[1], vertex[2]);
        }
        text += "0\nENDSEC\n0\nEOF\n";
        let drawing = Drawing::read(text.as_bytes()).expect("a drawing");
        let options = Options::with(|o| o.widths = Widths::Solid);
        let outcome = measure::drawing("band", &drawing, &options);
        let row = &outcome.measurements[0];
        let section = row.properties().expect("a section");
        // Arcs are cut into chords there, and places are rounded to 1e-9.
        let near = if band["arcs"].as_bool().unwrap() { 1e-6 } else { 1e-9 };
        let size = section.extent.size();
        for (what, got, wanted, scale) in [
            ("area", section.area, number("area"), section.area),
            ("perimeter", section.perimeter, number("perimeter"), section.perimeter),
            ("centroid x", section.centroid.x, number("centroid_x"), size),
            ("centroid y", section.centroid.y, number("centroid_y"), size),
        ] {
            assert!((got - wanted).abs() <= near * scale, "{}: {what} {got}, not {wanted}", band["id"]);
        }
        assert_eq!(section.parts as u64, band["parts"].as_u64().unwrap(), "{}", band["id"]);
        assert_eq!(section.holes as u64, band["holes"].as_u64().unwrap(), "{}", band["id"]);
        assert_ne!(row.status(), Status::Failed);
        compared += 1;
    }
    assert_eq!(compared, 60);
}
