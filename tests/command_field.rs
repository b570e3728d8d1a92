//! `tracearm schedule --field`: the columns of torsion, warping and shear constants, from the command to its text.

use crate::run;

use run::Folder;
use tracearm::drawing::LengthUnit;
use tracearm::schedule::Group;

/// A layer with rectangles (x, y, to x, to y).
fn rectangles(layer: &str, all: &[[f64; 4]]) -> String {
    let one = |[x, y, to_x, to_y]: &[f64; 4]| {
        let corners = [[x, y], [to_x, y], [to_x, to_y], [x, to_y]];
        let corners: String = corners.iter().map(|[x, y]| format!("10\n{x}\n20\n{y}\n")).collect();
        format!("0\nLWPOLYLINE\n8\n{layer}\n90\n4\n70\n1\n{corners}")
    };
    all.iter().map(one).collect()
}

fn drawing(entities: &str) -> String {
    let head = "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n";
    format!("{head}{entities}0\nENDSEC\n0\nEOF\n")
}

/// The rows of a schedule by section, and its headings.
fn schedule(folder: &Folder, arguments: &[&str]) -> (Vec<String>, Vec<Vec<String>>) {
    let run = folder.run(&[&["schedule", "--format", "csv"], arguments].concat());
    assert_eq!(run.code, 0, "{}", run.err);
    let mut reader = csv::ReaderBuilder::new().has_headers(false).from_reader(run.out.as_bytes());
    let mut rows = reader.records().map(|row| row.unwrap().iter().map(str::to_owned).collect::<Vec<_>>());
    (rows.next().expect("headings"), rows.collect())
}

#[test]
fn the_columns_follow_the_others() {
    let flat = rectangles("FLAT", &[[10.0, 5.0, 110.0, 25.0]]);
    let apart = rectangles("PAIR", &[[200.0, 0.0, 300.0, 20.0], [200.0, 40.0, 300.0, 60.0]]);
    let folder = Folder::with(&[("a.dxf", &drawing(&(flat + &apart)))]);
    let (short, _) = schedule(&folder, &["a.dxf"]);
    let (headings, rows) = schedule(&folder, &["--field", "--field-tolerance", "1e-5", "a.dxf"]);
    let of_fields: Vec<String> = Group::Field.columns().map(|c| c.heading(LengthUnit::Millimetre)).collect();
    assert_eq!(headings, [short, of_fields].concat());

    let cell = |row: &[String], name: &str| {
        row[headings.iter().position(|h| h == name).unwrap_or_else(|| panic!("no {name}"))].clone()
    };
    let figure = |row: &[String], name: &str| cell(row, name).parse::<f64>().expect(name);
    let near = |got: f64, expected: f64, within: f64| {
        assert!((got / expected - 1.0).abs() < within, "{got}, not {expected}");
    };
    // The series of Timoshenko & Goodier for 100 × 20, as in shared/check-values/torsion.csv.
    let (constant, modulus) = (233_053.403_350_391, 11_660.008_174_987_4);
    let flat = &rows[0];
    near(figure(flat, "torsion_constant_mm4"), constant, 1e-5);
    assert!(figure(flat, "torsion_constant_lower_mm4") <= constant);
    assert!(figure(flat, "torsion_constant_upper_mm4") >= constant);
    near(figure(flat, "torsion_stress_per_mm3"), 1.0 / modulus, 1e-4);
    near(figure(flat, "shear_area_x_mm2"), 2000.0 * 5.0 / 6.0, 1e-5);
    near(figure(flat, "shear_area_2_mm2"), 2000.0 * 5.0 / 6.0, 1e-5);
    near(figure(flat, "shear_centre_x_mm"), 60.0, 1e-5);
    near(figure(flat, "shear_centre_y_mm"), 15.0, 1e-5);
    assert_eq!(cell(flat, "shear_centre_from_centroid_x_mm"), "0");
    assert_eq!((cell(flat, "sharp_corners"), cell(flat, "findings")), ("0".to_owned(), String::new()));

    let pair = &rows[1];
    near(figure(pair, "torsion_constant_mm4"), 2.0 * constant, 1e-5);
    for column in ["shear_centre_x_mm", "warping_constant_mm6", "shear_area_1_mm2", "monosymmetry_2_mm"] {
        assert_eq!(cell(pair, column), "", "{column}");
    }
    assert!(cell(pair, "findings").contains("the section is in 2 separate bodies"));
    assert_eq!(cell(pair, "status"), "ok");
}

#[test]
fn every_unit_has_the_same_constants() {
    let flat = drawing(&rectangles("FLAT", &[[0.0, 0.0, 254.0, 25.4]]));
    let folder = Folder::with(&[("a.dxf", &flat)]);
    let chosen = "torsion_constant,warping_constant,torsion_stress";
    let of = |unit: &str| {
        let arguments = ["--field", "--digits", "full", "--units", unit, "--columns", chosen, "a.dxf"];
        let (headings, rows) = schedule(&folder, &arguments);
        let figures: Vec<f64> = rows[0].iter().map(|cell| cell.parse().expect("a number")).collect();
        (headings, figures)
    };
    let ((_, mm), (headings, inch)) = (of("mm"), of("in"));
    assert_eq!(headings, ["torsion_constant_in4", "warping_constant_in6", "torsion_stress_per_in3"]);
    for ((mm, inch), power) in mm.iter().zip(&inch).zip([4, 6, -3]) {
        assert!((mm / (inch * 25.4_f64.powi(power)) - 1.0).abs() < 1e-12);
    }
}

#[test]
fn options_of_fields_are_checked() {
    let folder = Folder::with(&[("a.dxf", &drawing(&rectangles("FLAT", &[[0.0, 0.0, 10.0, 2.0]])))]);
    for arguments in [["--field-tolerance", "0.5"], ["--poisson", "0.7"], ["--columns", "torsion_constant"]] {
        let run = folder.run(&[&["schedule"], &arguments[..], &["a.dxf"]].concat());
        assert!(run.code != 0 && !run.err.is_empty(), "{arguments:?}");
    }
}

#[test]
fn a_marked_drawing_has_the_shear_centre() {
    let angle = rectangles("ANGLE", &[[0.0, 0.0, 10.0, 100.0], [10.0, 0.0, 75.0, 10.0]]);
    let folder = Folder::with(&[("a.dxf", &drawing(&angle))]);
    let run = folder.run(&["mark", "a.dxf", "-o", "plain.dxf"]);
    assert_eq!(run.code, 0, "{}", run.err);
    assert!(!folder.read("plain.dxf").contains("MARK-SHEAR-CENTRE"));
    let run = folder.run(&["mark", "--field", "a.dxf", "-o", "marked.dxf"]);
    assert_eq!(run.code, 0, "{}", run.err);
    // Pairs of group code and value; each line on the layer has its ends in groups 10 to 21.
    let text = folder.read("marked.dxf");
    let lines: Vec<&str> = text.lines().map(str::trim).collect();
    let groups: Vec<(&str, &str)> = lines.chunks_exact(2).map(|pair| (pair[0], pair[1])).collect();
    let strokes: Vec<[f64; 4]> = groups
        .split(|group| group.0 == "0")
        .filter(|entity| entity.contains(&("8", "MARK-SHEAR-CENTRE")))
        .map(|entity| {
            let value = |code: &str| entity.iter().find(|group| group.0 == code).expect(code).1;
            ["10", "20", "11", "21"].map(|code| value(code).parse().expect("a number"))
        })
        .collect();
    assert_eq!(strokes.len(), 2);
    // As scikit-fem has it (tests/second_opinion/torsion.csv).
    for stroke in strokes {
        let middle = [0.5 * (stroke[0] + stroke[2]), 0.5 * (stroke[1] + stroke[3])];
        assert!((middle[0] - 5.03855).abs() < 0.05 && (middle[1] - 5.81469).abs() < 0.05, "{middle:?}");
    }
}
