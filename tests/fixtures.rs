//! The drawings in fixtures/: what each must come to. Figures come from tests/second_opinion/values.csv (40-digit
//! integrals of the ideal shapes) and from the arithmetic below, never from earlier output of the program.

mod common;

use std::collections::{BTreeMap, BTreeSet};
use std::f64::consts::PI;

use common::truth::{compare, second_opinion};
use common::{Row, figure, file, schedule};
use tracearm::drawing::Drawing;
use tracearm::measure::{self, LayerChoice, Options};

/// A section that a drawing must show: name, status, words that its findings must hold.
type Section = (&'static str, &'static str, &'static [&'static str]);

const OK: &str = "ok";
const WARNING: &str = "warning";
const FAILED: &str = "failed";

/// Every fixture that can be read, with the rows it must give, in order.
const DRAWINGS: &[(&str, &[Section])] = &[
    ("arcs-past-zero.dxf", &[("SEGMENT", OK, &[]), ("WASHER", OK, &[])]),
    ("bad-numbers.dxf", &[("PLATE", WARNING, &["1e400", "CIRCLE", "PLATE"])]),
    ("base-plate.dxf", &[("BASE PLATE", OK, &[])]),
    ("block-array.dxf", &[("GRATING", OK, &[])]),
    ("block-layer-zero.dxf", &[("RIB", OK, &[]), ("SHELF", OK, &[])]),
    ("block-mirrored.dxf", &[("PLATE", OK, &[])]),
    ("block-nested.dxf", &[("PLATE", OK, &[])]),
    ("block-unequal-scale.dxf", &[("PLATE", OK, &[])]),
    (
        "centre-lines.dxf",
        &[("BASE PLATE", OK, &["open chains", "395,-40", "605,-40"]), ("GUSSET", WARNING, &["open chain"])],
    ),
    ("bow-tie.dxf", &[("BOW TIE", WARNING, &["crosses or touches itself", "71.428571,44.285714"])]),
    ("clamp-beside-plate.dxf", &[("PLATE", WARNING, &["not closed", "20,40.8", "20,40 ", "0.8", "--join"])]),
    ("codepage-1252.dxf", &[("Träger Ø 50", OK, &[])]),
    // Without a job the voids are a layer like others.
    ("crane-runway.dxf", &[("DECK", OK, &[]), ("GIRDER", OK, &[]), ("HOLES", OK, &[])]),
    (
        "crossing-outlines.dxf",
        &[
            ("EDGE HOLE", WARNING, &["cross", "336,37", "--void-layers"]),
            ("LAPPED PLATES", WARNING, &["cross", "counted once", "--void-layers"]),
        ],
    ),
    (
        "drawn-twice.dxf",
        &[("CLOSED", OK, &["drawn twice", "counted once"]), ("LOOSE", OK, &["4", "counted once"])],
    ),
    ("escaped-layer.dxf", &[("板-Ø 20", OK, &[])]),
    ("far-from-origin.dxf", &[("BRACKET", OK, &[])]),
    (
        "formula-layers.dxf",
        &[("'+plate", OK, &[]), ("'-plate", OK, &[]), ("'=SUM(A1)", OK, &[]), ("'@plate", OK, &[])],
    ),
    ("full-edge-contact.dxf", &[("PLATES", OK, &[])]),
    ("gantry-end-plate.dxf", &[("GUSSET", OK, &[]), ("PLATE", OK, &[]), ("WEB STIFFENER", OK, &[])]),
    (
        "hair-gaps.dxf",
        &[("GAP", OK, &[]), ("GAP TURNED", OK, &[]), ("LAP", OK, &[]), ("LAP TURNED", OK, &[])],
    ),
    ("half-ellipse.dxf", &[("COVER", OK, &[]), ("PORTHOLE", OK, &[])]),
    ("hinge-lug.dxf", &[("LUG", OK, &[])]),
    ("hole-in-lap.dxf", &[("LAP", WARNING, &["cross", "counted once"])]),
    (
        "imperial.dxf",
        &[("PLATE", WARNING, &["no unit", "$MEASUREMENT 0", "millimetres are assumed", "--drawing-units"])],
    ),
    ("inches.dxf", &[("PLATE", OK, &[])]),
    ("islands.dxf", &[("GAUGE", OK, &[])]),
    ("jib-bracket.dxf", &[("JIB BRACKET", OK, &["gap", "0.00"])]),
    ("layer-states.dxf", &[("Defpoints", OK, &[]), ("NO PLOT", OK, &[]), ("SHOWN", OK, &[])]),
    ("line-ends-cr.dxf", &[("BASE PLATE", OK, &[])]),
    ("line-ends-crlf.dxf", &[("BASE PLATE", OK, &[])]),
    ("metres.dxf", &[("PLATE", OK, &[])]),
    ("mirrored-plane.dxf", &[("CLOSED", OK, &[]), ("LOOSE", OK, &[])]),
    ("no-outlines.dxf", &[]),
    ("overlapping-lines.dxf", &[("PACKER", OK, &["counted once"])]),
    ("paper-space.dxf", &[("GUSSET", OK, &[])]),
    ("polyline-3d.dxf", &[("COVER", OK, &[])]),
    ("r12-curve-fit.dxf", &[("COVER", OK, &["millimetres are assumed"])]),
    ("r12-polyline.dxf", &[("BRACKET", OK, &["millimetres are assumed"])]),
    ("r12-spline-fit.dxf", &[("COVER", OK, &["millimetres are assumed"])]),
    (
        "rail-clamp.dxf",
        &[
            ("CLAMP", FAILED, &["not closed", "200,40.8", "200,40 ", "0.8", "--join"]),
            ("CLAMP POLYLINE", FAILED, &["not closed", "300,40.6", "0.6", "--join"]),
        ],
    ),
    (
        "reader-blocks-r12.dxf",
        &[("Plate", WARNING, &["open chain"]), ("Ribs", OK, &["millimetres are assumed"])],
    ),
    ("reader-kinds.dxf", &[("Plate", WARNING, &["counted once", "open chains"])]),
    ("shared-circle.dxf", &[("SEAT", OK, &[])]),
    ("shared-line.dxf", &[("PLATES", OK, &["lines branch", "5850, 3282.5", "joints"])]),
    ("solid-trace.dxf", &[("SHIM", OK, &[]), ("STRIP", OK, &[]), ("WEDGE", OK, &[])]),
    ("spline-circle.dxf", &[("SEAL", OK, &[])]),
    ("spline-fit-points.dxf", &[("CAM", OK, &["fit points only"])]),
    ("spline-periodic.dxf", &[("CAM", OK, &[])]),
    ("split-jaws.dxf", &[("JAWS", OK, &["gap between parts", "30", "52"])]),
    ("tee-contact.dxf", &[("TEE", OK, &["lines branch", "2240, 1120", "joints"])]),
    (
        "tilted-plane.dxf",
        &[
            (
                "CHUTE",
                WARNING,
                &[
                    "POLYLINE does not lie parallel",
                    "as seen from above",
                    "LINE was left out: stands upright",
                ],
            ),
            ("FLANGE", WARNING, &["CIRCLE does not lie parallel", "as seen from above"]),
            ("FLAP", WARNING, &["LWPOLYLINE does not lie parallel", "as seen from above"]),
        ],
    ),
    ("tee-contact-far.dxf", &[("AT 13", OK, &[]), ("AT 61", OK, &[]), ("FAR", OK, &[])]),
    ("touching-outlines.dxf", &[("GIRDER", OK, &[]), ("TANGENT HOLE", OK, &[])]),
    ("truncated.dxf", &[("PLATE", WARNING, &["end"])]),
    ("unitless.dxf", &[("GUSSET", OK, &["$INSUNITS 0", "millimetres are assumed", "--drawing-units"])]),
    ("utf8-layers.dxf", &[("Schweißnaht", OK, &[]), ("α-girder", OK, &[]), ("板", OK, &[])]),
    ("window-frame.dxf", &[("FRAME", OK, &[])]),
    ("zero-length-edges.dxf", &[("PLATE", OK, &[])]),
    ("bad-header.dxf", &[("PLATE", OK, &[])]),
    ("block-array-too-large.dxf", &[("PLATE", WARNING, &["HOLE", "2000000", "left out"])]),
    ("block-external.dxf", &[("PLATE", WARNING, &["GRID", "another drawing file"])]),
    ("block-mirrored-plane.dxf", &[("PLATE", OK, &[])]),
    ("block-missing.dxf", &[("PLATE", WARNING, &["no block “HOLE 22”"])]),
    ("block-within-itself.dxf", &[("PLATE", WARNING, &["“PLATE” contains itself"])]),
    ("byte-order-mark.dxf", &[("Träger", OK, &[])]),
    ("codepage-932.dxf", &[("表U+00D8", OK, &[])]),
    ("comments-and-blanks.dxf", &[("PLATE", OK, &[])]),
    ("counts-that-lie.dxf", &[("CAM", OK, &[]), ("PLATE", OK, &[])]),
    ("ellipse-mirrored.dxf", &[("CAP", OK, &[]), ("LID", OK, &[])]),
    ("escaped-multibyte.dxf", &[("板 t9", OK, &[])]),
    ("handles.dxf", &[("PLATE", OK, &[]), ("RIB", OK, &[])]),
    ("invisible.dxf", &[("PLATE", OK, &[])]),
    ("layer-case.dxf", &[("Flange", OK, &[])]),
    ("mesh-beside-plate.dxf", &[("PLATE", OK, &[])]),
    ("mirrored-solid.dxf", &[("SHIM", OK, &[]), ("STRIP", OK, &[])]),
    ("negative-radius.dxf", &[("PLATE", WARNING, &["negative radius"])]),
    ("no-end-mark.dxf", &[("PLATE", WARNING, &["EOF"])]),
    ("numbers-in-odd-dress.dxf", &[("PLATE", OK, &[])]),
    ("numbers-out-of-range.dxf", &[("PLATE", OK, &[])]),
    ("repeated-sections.dxf", &[("PLATE", OK, &[])]),
    ("spline-unclamped.dxf", &[("FAIRING", OK, &[])]),
    ("zero-size.dxf", &[("PLATE", WARNING, &["a radius of 0", "without length"])]),
];

/// Fixtures that are no drawing.
const UNREADABLE: [(&str, &[&str]); 4] = [
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
        let hidden =
            Options { layers: LayerChoice::new(&[], &[], true).expect("no patterns"), ..Options::default() };
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
    assert_eq!((sections, compared), (63, 63 * 33), "sections and figures compared");
}

/// Areas, parts and holes from the measures in the drawings, by hand.
#[test]
fn figures_by_hand() {
    let cases: [(&str, &str, f64, &str, &str); 21] = [
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
        ("truncated.dxf", "PLATE", 150.0 * 80.0 - 324.0 * (4.0 - PI), "1", "0"),
    ];
    for (name, section, area, parts, holes) in cases {
        let row = row(name, section);
        let got = figure(&row, "area");
        assert!((got / area - 1.0).abs() < 1e-12, "{name}, {section}: area {got}, by hand {area}");
        assert_eq!((row["parts"].as_str(), row["holes"].as_str()), (parts, holes), "{name}, {section}");
    }
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
    let with =
        schedule("invisible.dxf", &bytes("invisible.dxf"), &Options { layers: hidden, ..Options::default() });
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
    assert!((row.properties.as_ref().expect("a section").area - 9.0 * 2400.0).abs() < 1e-9);
    let told: Vec<String> = row.findings.iter().map(ToString::to_string).collect();
    assert_eq!(told.iter().filter(|f| f.starts_with("lines branch: 2 faces")).count(), 3, "{told:?}");
    assert!(told.iter().any(|f| f.starts_with("lines branch in 6 more outlines")), "{told:?}");
    assert!(told.iter().any(|f| f.starts_with("6 more entities without length")), "{told:?}");
}
