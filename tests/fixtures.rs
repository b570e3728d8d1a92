//! The drawings in fixtures/: what each must come to. Figures come from tests/second_opinion/values.csv (40-digit
//! integrals of the ideal shapes) and from the arithmetic below, never from earlier output of the program.

use crate::common;
#[path = "fixtures/drawings.rs"]
mod drawings;

use std::collections::{BTreeMap, BTreeSet};
use std::f64::consts::PI;

use common::truth::{compare, second_opinion};
use common::{Row, figure, file, schedule};
use drawings::{DRAWINGS, FAILED};
use tracearm::drawing::Drawing;
use tracearm::measure::{self, LayerChoice, Options};

/// Fixtures that are no drawing.
const UNREADABLE: [(&str, &[&str]); 5] = [
    ("block-array-too-large.dxf", &["HOLE", "limit of 2000000 pieces"]),
    ("native-drawing.dxf", &["DWG", "AC1027"]),
    ("not-a-drawing.dxf", &["DXF"]),
    ("picture.dxf", &["PNG"]),
    ("utf-16.dxf", &["UTF-16"]),
];

fn bytes(name: &str) -> Vec<u8> {
    let path = format!("{}/fixtures/{name}", env!("CARGO_MANIFEST_DIR"));
    std::fs::read(&path).unwrap_or_else(|e| panic!("{path}: {e}"))
}

fn rows(name: &str) -> Vec<Row> {
    schedule(name, &bytes(name), &Options::default())
}

/// A row of a fixture by its section.
fn row(name: &str, section: &str) -> Row {
    let found = rows(name).into_iter().find(|row| row["section"] == section);
    found.unwrap_or_else(|| panic!("{name}: no row {section}"))
}

#[test]
fn every_fixture_gives_the_rows_it_must() {
    let mut wrong = Vec::new();
    for (name, sections) in DRAWINGS {
        let rows = rows(name);
        let got: Vec<&str> = rows.iter().map(|row| row["section"].as_str()).collect();
        let want: Vec<&str> = sections.iter().map(|(section, _, _)| *section).collect();
        if got != want {
            wrong.push(format!("{name}: rows {got:?}, not {want:?}"));
            continue;
        }
        for (row, (section, status, words)) in rows.iter().zip(*sections) {
            let findings = &row["findings"];
            if row["status"] != *status {
                wrong.push(format!("{name}, {section}: {}, not {status}: {findings}", row["status"]));
            }
            for word in words.iter().filter(|word| !findings.contains(**word)) {
                wrong.push(format!("{name}, {section}: {word:?} is not in {findings:?}"));
            }
            if words.is_empty() && !findings.is_empty() {
                wrong.push(format!("{name}, {section}: nothing to be told, but {findings:?}"));
            }
            // What is not known is left empty, never 0.
            if *status == FAILED
                && !(row["area"].is_empty() && row["parts"].is_empty() && row["strip_check"].is_empty())
            {
                wrong.push(format!("{name}, {section}: figures in a failed row"));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn figures_agree_with_the_second_opinion() {
    let (mut sections, mut compared, mut wrong) = (0, 0, Vec::new());
    for (name, _) in DRAWINGS {
        let hidden = Options::with(|o| o.layers = LayerChoice::new(&[], &[], true).expect("no patterns"));
        let rows = schedule(name, &bytes(name), &hidden);
        for (section, truth) in second_opinion(name) {
            let named = |row: &&Row| row["section"].trim_start_matches('\'') == section;
            let Some(row) = rows.iter().find(named).filter(|row| !row["area"].is_empty()) else {
                wrong.push(format!("{name}: nothing measured for {section}"));
                continue;
            };
            // Coordinates near 1e6 mm are themselves rounded to 1e-10 mm.
            let tolerance = if *name == "far-from-origin.dxf" { 1e-7 } else { 1e-9 };
            let what = format!("{name}, {section}");
            match std::panic::catch_unwind(|| compare(&what, row, &truth, tolerance)) {
                Ok(count) => compared += count,
                Err(message) => wrong.push(message.downcast_ref::<String>().expect("a message").clone()),
            }
            sections += 1;
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    // A ratchet: a section or a column that drops out must be missed.
    assert_eq!((sections, compared), (135, 135 * 33), "sections and figures compared");
}

/// Areas, parts and holes from the measures in the drawings, by hand.
#[test]
fn figures_by_hand() {
    let bracket = 90.0 * 70.0 - 30.0 * 20.0 / 2.0 - 144.0 * PI;
    let lug = 60.0 * 45.0 - 144.0 * (4.0 - PI);
    let cases: [(&str, &str, f64, &str, &str); 51] = [
        ("bow-tie-even.dxf", "BOW TIE", 2.0 * 50.0 * 100.0 / 2.0 - 64.0 * PI, "2", "1"),
        // A slot of 0.006 by 11, a chamfer of 0.005 by 0.006, and a step of 0.004 that runs out over 20 mm.
        (
            "finer-than-joined.dxf",
            "PLATE",
            80.0 * 38.0 - 0.066 - 0.000015 + 0.004 * (20.0 + 0.004) / 2.0,
            "1",
            "0",
        ),
        ("line-across-branches.dxf", "LUG", 110.0 * 65.0, "1", "0"),
        ("overshooting-corners.dxf", "ONE CORNER", 100.0 * 60.0, "1", "0"),
        ("overshooting-corners.dxf", "ROUNDED", 92.0 * 50.0 - 144.0 * (1.0 - PI / 4.0), "1", "0"),
        // The outer one of the two counts.
        ("retraced-plate.dxf", "PLATE", 140.0 * 65.0 - 121.0 * PI, "1", "1"),
        ("binary-r12.dxf", "BRACKET", bracket, "1", "1"),
        ("binary-r12.dxf", "LUG", lug, "1", "0"),
        ("binary-r2000.dxf", "LUG", lug - 81.0 * PI, "1", "1"),
        ("damaged-binary-cut.dxf", "BRACKET", bracket, "1", "1"),
        ("damaged-endsec.dxf", "BRACKET", bracket, "1", "1"),
        ("damaged-slip.dxf", "BRACKET", bracket + lug, "2", "1"),
        ("damaged-tail.dxf", "BRACKET", bracket, "1", "1"),
        // Rectangle less two chamfers of 30 and two corners of radius 24, six holes of 22, two slots of 50 by 22.
        (
            "gantry-end-plate.dxf",
            "PLATE",
            240.0 * 420.0
                - 30.0 * 30.0
                - 2.0 * 576.0 * (1.0 - PI / 4.0)
                - 6.0 * PI * 121.0
                - 2.0 * (28.0 * 22.0 + PI * 121.0),
            "1",
            "8",
        ),
        ("gantry-end-plate.dxf", "WEB STIFFENER", 90.0 * 300.0 - 2.0 * PI * 625.0 / 4.0, "1", "0"),
        ("clamp-beside-plate.dxf", "PLATE", 120.0 * 75.0 - 225.0 * (4.0 - PI), "1", "0"),
        ("centre-lines.dxf", "BASE PLATE", 180.0 * 110.0 - PI * (81.0 + 81.0 + 256.0), "1", "3"),
        ("centre-lines.dxf", "GUSSET", 120.0 * 115.0 / 2.0, "1", "0"),
        ("overlapping-lines.dxf", "PACKER", 140.0 * 58.0, "1", "0"),
        ("tee-contact.dxf", "TEE", 160.0 * 14.0 + 10.0 * 112.0, "1", "0"),
        ("shared-line.dxf", "PLATES", 90.0 * 65.0 + 65.0 * (65.0 + 36.0) / 2.0, "1", "0"),
        (
            "islands.dxf",
            "GAUGE",
            260.0 * 180.0 - 400.0 * (4.0 - PI) - 190.0 * 130.0 + PI * (2500.0 - 900.0 + 144.0 + 121.0),
            "4",
            "2",
        ),
        ("split-jaws.dxf", "JAWS", 36.0 * 20.0 + 48.0 * 15.0, "2", "0"),
        ("spline-circle.dxf", "SEAL", PI * (3600.0 - 506.25), "1", "1"),
        // The major half-diameter is the hypotenuse of 78 and 31, of 9 and 22.
        ("half-ellipse.dxf", "PORTHOLE", PI * (0.6 * 7045.0 - 0.45 * 565.0), "1", "1"),
        ("block-array.dxf", "GRATING", 130.0 * 75.0 - 6.0 * PI * 64.0, "1", "6"),
        ("block-layer-zero.dxf", "SHELF", 60.0 * 35.0, "1", "0"),
        ("block-layer-zero.dxf", "RIB", 9.0 * 35.0, "1", "0"),
        ("solid-trace.dxf", "WEDGE", (60.0 * 60.0 - 11.0 * 12.0) / 2.0, "1", "0"),
        ("arcs-past-zero.dxf", "WASHER", PI * (1089.0 - 196.0), "1", "1"),
        // Of a tilted area the normal's share along z is seen from above: 6/7 of the circle, 0.8 of the rectangle with
        // a half circle. The 3D polyline's corners seen from above: half its diagonals' cross product.
        ("tilted-plane.dxf", "FLANGE", PI * 1225.0 * 6.0 / 7.0, "1", "0"),
        ("tilted-plane.dxf", "FLAP", 0.8 * (40.0 * 30.0 + PI * 225.0 / 2.0), "1", "0"),
        ("tilted-plane.dxf", "CHUTE", (105.0 * 55.0 + 85.0 * 105.0) / 2.0, "1", "0"),
        // Rounded rectangle less a slot.
        (
            "hatch-polylines.dxf",
            "COVER",
            140.0 * 84.0 - 289.0 * (4.0 - PI) - 34.0 * 18.0 - 81.0 * PI,
            "1",
            "1",
        ),
        ("hatch-edges.dxf", "LUG", 100.0 * 60.0 + PI * (450.0 - 72.0 - 169.0), "1", "1"),
        ("hatch-edges.dxf", "COVER", ellipse_cover(), "1", "1"),
        ("hatch-edges.dxf", "CAM", 30.0 * 30.0 * PI / 4.0 + under_the_cubic(), "1", "0"),
        ("hatch-styles.dxf", "NESTED", 150.0 * 90.0 - 110.0 * 70.0 + 41.0 * 37.0, "2", "1"),
        ("hatch-styles.dxf", "OUTERMOST", 150.0 * 90.0 - 110.0 * 70.0, "1", "1"),
        ("hatch-styles.dxf", "ENTIRE", 150.0 * 90.0, "1", "0"),
        ("hatch-mirrored-plane.dxf", "PLATE", block_plate(), "1", "1"),
        ("hatch-in-block.dxf", "PLATE", 1.3 * 0.8 * block_plate(), "1", "1"),
        ("mpolygon.dxf", "SHELF", 96.0 * 61.0 - 121.0 * (4.0 - PI) - 21.0 * 12.0 - 36.0 * PI, "1", "1"),
        // Lines at equal offsets on both sides of the vertices: width times their length, whatever the mitres.
        (
            "mline-closed.dxf",
            "BOX",
            14.0 * (145.0_f64.hypot(12.0)
                + 11.0_f64.hypot(82.0)
                + 131.0_f64.hypot(28.0)
                + 25.0_f64.hypot(98.0)),
            "1",
            "1",
        ),
        (
            "mline-caps.dxf",
            "LINK",
            18.0 * (70.0_f64.hypot(28.0) + 25.0_f64.hypot(62.0)) + 81.0 * PI,
            "1",
            "0",
        ),
        ("mline-caps.dxf", "SLEEVE", 8.0 * 50.0_f64.hypot(70.0) + PI * (81.0 - 25.0), "1", "1"),
        ("mline-break.dxf", "SPLIT RING", 10.0 * 2.0 * (140.0 + 90.0) - 10.0 * 18.0, "1", "0"),
        ("faces.dxf", "FLAP", 40.0 * 45.0, "1", "0"),
        ("truncated.dxf", "PLATE", 150.0 * 80.0 - 324.0 * (4.0 - PI), "1", "0"),
        // Rounded corners of radius 12, a round hole of 28, a slot of 50 by 22, and an elliptical hole whose longer
        // half-diameter is the hypotenuse of 10 and 4, the other half of it.
        (
            "region.dxf",
            "PLATE",
            150.0 * 90.0 - 144.0 * (4.0 - PI) - 196.0 * PI - (28.0 * 22.0 + 121.0 * PI) - 58.0 * PI,
            "1",
            "3",
        ),
        ("region.dxf", "LUGS", 40.0 * 18.0 + 36.0 * 21.0 / 2.0, "2", "0"),
    ];
    for (name, section, area, parts, holes) in cases {
        let row = row(name, section);
        let got = figure(&row, "area");
        assert!((got / area - 1.0).abs() < 1e-12, "{name}, {section}: area {got}, by hand {area}");
        assert_eq!((row["parts"].as_str(), row["holes"].as_str()), (parts, holes), "{name}, {section}");
    }
}

/// The block's plate: a quadrangle under the line from (86, 70) to (0, 52), its corner of radius 24, less a hole of
/// radius 10.
fn block_plate() -> f64 {
    110.0 * 46.0 + 24.0 * 24.0 * PI / 4.0 + 86.0 * (6.0 + 24.0) / 2.0 - 100.0 * PI
}

/// An ellipse of half-axes 65 and 39 between the directions −70° and 150° against its major axis, closed over a corner,
/// less an elliptical hole. Its sector is half the product of the axes times the growth of the parameter.
fn ellipse_cover() -> f64 {
    let parameter = |degrees: f64| (degrees.to_radians().sin() / 0.6).atan2(degrees.to_radians().cos());
    let (begin, end) = (parameter(-70.0), parameter(150.0));
    let sector = 0.5 * 65.0 * 39.0 * (end - begin);
    let at = |t: f64| {
        let (x, y) = (t.cos(), 0.6 * t.sin());
        (60.0 * x - 25.0 * y, 25.0 * x + 60.0 * y)
    };
    let ((x0, y0), (x1, y1), corner) = (at(begin), at(end), (195.0 - 260.0, -30.0 - 30.0));
    let beside = (x1 * corner.1 - corner.0 * y1 + corner.0 * y0 - x0 * corner.1) / 2.0;
    sector + beside - PI * 0.75 * 208.0
}

/// The cam without its quarter disc: to the right of x = 420 a strip below the disc, to the left what lies under the cubic from
/// (420, 80) to (350, 50), whose ∫y dx is a sum over pairs of its control points.
fn under_the_cubic() -> f64 {
    let points = [(420.0, 80.0), (385.0, 110.0), (371.0, 60.0), (350.0, 50.0)];
    // ∫ Bᵢ(t) B′ⱼ(t) dt of the cubic Bernstein polynomials, in twentieths.
    const WEIGHTS: [[f64; 4]; 4] =
        [[-10.0, 6.0, 3.0, 1.0], [-6.0, 0.0, 3.0, 3.0], [-3.0, -3.0, 0.0, 6.0], [-1.0, -3.0, -6.0, 10.0]];
    let mut area = 0.0;
    for (i, (_, y)) in points.iter().enumerate() {
        for (j, (x, _)) in points.iter().enumerate() {
            // The cubic runs to the left.
            area -= WEIGHTS[i][j] * y * x / 20.0;
        }
    }
    30.0 * 40.0 + area - 70.0 * 10.0
}

/// Outlines that cross, touch, or nearly so: areas by hand, and how near they must be.
#[test]
fn outlines_that_meet() {
    // Of a disc of radius 50 the cap beyond 30 from its centre.
    let cap = 2500.0 * (0.6_f64.acos() - 0.6 * 0.8);
    // What 1e-7 mm can matter along the 61 mm of the joint, and as much again for coordinates near 1e6 mm.
    let hair = 2e-8;
    let cases: [(&str, &str, f64, &str, &str, f64); 16] = [
        ("crossing-outlines.dxf", "EDGE HOLE", 90.0 * 60.0 + 98.0 * PI, "1", "0", 1e-12),
        // The lap is a quadrangle of 40 by 40, whose two sheared sides take off and add the same.
        (
            "crossing-outlines.dxf",
            "LAPPED PLATES",
            120.0 * 60.0 + 100.0 * 70.0 - 40.0 * 40.0,
            "1",
            "0",
            1e-12,
        ),
        ("touching-outlines.dxf", "GIRDER", 160.0 * 16.0 + 10.0 * 260.0 + 120.0 * 16.0, "1", "0", 1e-12),
        ("touching-outlines.dxf", "TANGENT HOLE", 90.0 * 60.0 - 196.0 * PI, "1", "1", 1e-12),
        ("full-edge-contact.dxf", "PLATES", 95.0 * 40.0, "1", "0", 1e-12),
        ("tee-contact-far.dxf", "AT 13", 90.0 * 35.0 + 61.0 * 20.0, "1", "0", 1e-12),
        ("tee-contact-far.dxf", "AT 61", 90.0 * 35.0 + 61.0 * 20.0, "1", "0", 1e-12),
        ("tee-contact-far.dxf", "FAR", 90.0 * 35.0 + 61.0 * 20.0, "1", "0", 1e-10),
        ("hair-gaps.dxf", "GAP", 90.0 * 35.0 + 61.0 * 20.0, "2", "0", 1e-12),
        ("hair-gaps.dxf", "GAP TURNED", 90.0 * 35.0 + 61.0 * 20.0, "2", "0", 1e-12),
        ("hair-gaps.dxf", "LAP", 90.0 * 35.0 + 61.0 * (20.0 - 1e-7), "1", "0", hair),
        ("hair-gaps.dxf", "LAP TURNED", 90.0 * 35.0 + 61.0 * (20.0 - 1e-7), "1", "0", hair),
        ("shared-circle.dxf", "SEAT", 140.0 * 105.0 + cap, "1", "0", 1e-12),
        // Two lobes that share a point are two parts. The lines 2x/3 and 80 − 8x/9 above the lower left corner cross at x = 360/7.
        ("bow-tie.dxf", "BOW TIE", 80.0 * 360.0 / 14.0 + 60.0 * 270.0 / 14.0, "2", "0", 1e-12),
        ("hole-in-lap.dxf", "LAP", 120.0 * 60.0 + 110.0 * 70.0 - 50.0 * 45.0 - 121.0 * PI, "1", "1", 1e-12),
        ("shared-line.dxf", "PLATES", 90.0 * 65.0 + 65.0 * (65.0 + 36.0) / 2.0, "1", "0", 1e-12),
    ];
    for (name, section, area, parts, holes, near) in cases {
        let row = row(name, section);
        let got = figure(&row, "area");
        assert!((got / area - 1.0).abs() < near, "{name}, {section}: area {got}, by hand {area}");
        assert_eq!((row["parts"].as_str(), row["holes"].as_str()), (parts, holes), "{name}, {section}");
        assert!(figure(&row, "strip_check") < 1e-8, "{name}, {section}");
    }
}

/// A circle through fit points may be any smooth curve; through points 10° apart it is a circle to about 1e-5.
#[test]
fn fit_points_give_the_curve_through_them() {
    let row = row("spline-fit-points.dxf", "CAM");
    let circle = PI * 48.0 * 48.0;
    assert!(
        (figure(&row, "area") / circle - 1.0).abs() < 1e-3,
        "area {}, of the circle {circle}",
        row["area"]
    );
    assert!(
        (figure(&row, "centroid_x") - 70.0).abs() < 0.05 && (figure(&row, "centroid_y") - 35.0).abs() < 0.05
    );
}

#[test]
fn layers_that_are_off_or_frozen_are_named() {
    let drawing = Drawing::read(bytes("layer-states.dxf").as_slice()).expect("a drawing");
    let outcome = measure::drawing("layer-states.dxf", &drawing, &Options::default());
    assert_eq!(outcome.hidden, ["FROZEN", "OFF"]);
}

#[test]
fn an_outline_marked_invisible_is_not_measured() {
    let row = row("invisible.dxf", "PLATE");
    assert_eq!(row["holes"], "0", "the invisible circle is no hole");
    let hidden = LayerChoice::new(&[], &[], true).expect("no patterns");
    let with = schedule("invisible.dxf", &bytes("invisible.dxf"), &Options::with(|o| o.layers = hidden));
    let lost = figure(&row, "area") - figure(&with[0], "area");
    assert_eq!(with[0]["holes"], "1");
    assert!((lost - PI * 64.0).abs() < 1e-9, "{lost}");
}

#[test]
fn layers_without_outline_are_named() {
    let drawing = Drawing::read(bytes("no-outlines.dxf").as_slice()).expect("a drawing");
    let outcome = measure::drawing("no-outlines.dxf", &drawing, &Options::default());
    let names: Vec<&str> = outcome.without_outline.iter().map(|bare| bare.name.as_str()).collect();
    assert_eq!(names, ["GRID", "NOTES"]);
    assert_eq!(outcome.without_outline[0].open, 3, "three open lines on GRID");
}

#[test]
fn what_is_no_drawing_says_so() {
    for (name, words) in UNREADABLE {
        let error = Drawing::read(bytes(name).as_slice()).expect_err(name).to_string();
        for word in words {
            assert!(error.contains(word), "{name}: {word:?} is not in {error:?}");
        }
    }
}

/// Every drawing in the folder is tested here and described in its README.
#[test]
fn no_fixture_is_left_out() {
    let folder = format!("{}/fixtures", env!("CARGO_MANIFEST_DIR"));
    let entries = std::fs::read_dir(folder).expect("the folder of fixtures");
    let names = entries.map(|entry| entry.expect("an entry").file_name().into_string().expect("UTF-8"));
    let drawings: BTreeSet<String> = names.filter(|name| name.ends_with(".dxf")).collect();
    let tested = DRAWINGS.iter().map(|(name, _)| *name).chain(UNREADABLE.iter().map(|(name, _)| *name));
    assert_eq!(drawings, tested.map(str::to_owned).collect::<BTreeSet<_>>());
    let readme = file("fixtures/README.md");
    let described: BTreeMap<&str, usize> = drawings
        .iter()
        .map(|name| (name.as_str(), readme.matches(&format!("| `{name}` |")).count()))
        .collect();
    assert!(described.values().all(|count| *count == 1), "{described:?}");
}

/// A long list of one finding would bury the others: three are told, the rest counted.
#[test]
fn findings_of_a_kind_are_told_a_few_times() {
    let mut text = String::from("0\nSECTION\n2\nENTITIES\n");
    let mut line = |x0: f64, y0: f64, x1: f64, y1: f64| {
        text.push_str(&format!("0\nLINE\n8\nGRID\n10\n{x0}\n20\n{y0}\n11\n{x1}\n21\n{y1}\n"));
    };
    for k in 0..9 {
        let x = 100.0 * f64::from(k);
        // Two plates that share one drawn line.
        line(x, 0.0, x + 60.0, 0.0);
        line(x + 60.0, 0.0, x + 60.0, 40.0);
        line(x + 60.0, 40.0, x, 40.0);
        line(x, 40.0, x, 0.0);
        line(x + 25.0, 0.0, x + 25.0, 40.0);
        line(x, 90.0, x, 90.0);
    }
    text.push_str("0\nENDSEC\n0\nEOF\n");
    let drawing = Drawing::read(text.as_bytes()).expect("a drawing");
    let outcome = measure::drawing("grid", &drawing, &Options::default());
    let row = &outcome.measurements[0];
    assert!((row.properties().expect("a section").area - 9.0 * 2400.0).abs() < 1e-9);
    let messages: Vec<String> = row.findings.iter().map(ToString::to_string).collect();
    assert_eq!(messages.iter().filter(|f| f.starts_with("lines branch: 2 faces")).count(), 3, "{messages:?}");
    assert!(messages.iter().any(|f| f.starts_with("lines branch in 6 more outlines")), "{messages:?}");
    assert!(messages.iter().any(|f| f.starts_with("6 more entities without length")), "{messages:?}");
}
