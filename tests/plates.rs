//! `tracearm schedule --thickness`: the columns of plates, from the command to its text, by hand.

use std::collections::BTreeMap;
use std::f64::consts::PI;
use std::process::{Command, Output};

use tracearm::drawing::LengthUnit;
use tracearm::schedule::Group;

/// A schedule read back: the header and the rows by column.
struct Schedule {
    header: Vec<String>,
    rows: Vec<BTreeMap<String, String>>,
}

impl Schedule {
    fn row(&self, section: &str) -> &BTreeMap<String, String> {
        let found = self.rows.iter().find(|row| row["section"] == section);
        found.unwrap_or_else(|| panic!("no row of {section}"))
    }

    fn figure(&self, section: &str, column: &str) -> f64 {
        let cell = &self.row(section)[column];
        cell.parse().unwrap_or_else(|_| panic!("{column} of {section} is {cell:?}"))
    }

    fn assert_figures(&self, section: &str, figures: &[(&str, f64)]) {
        for (column, expected) in figures {
            let got = self.figure(section, column);
            let off = (got - expected).abs();
            assert!(off <= 1e-12 * expected.abs().max(1.0), "{column} of {section}: {got}, not {expected}");
        }
    }
}

fn tracearm(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_tracearm"))
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .arg("schedule")
        .args(arguments)
        .output()
        .unwrap()
}

fn parsed(output: &Output) -> Schedule {
    let mut reader = csv::Reader::from_reader(output.stdout.as_slice());
    let header = reader.headers().unwrap().iter().map(str::to_owned).collect();
    Schedule { header, rows: reader.deserialize().map(Result::unwrap).collect() }
}

fn schedule(arguments: &[&str]) -> Schedule {
    let output = tracearm(arguments);
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    parsed(&output)
}

fn headings(unit: LengthUnit) -> Vec<String> {
    Group::Common.columns().chain(Group::Plate.columns()).map(|c| c.heading(unit)).collect()
}

const END_PLATE: &str = "fixtures/gantry-end-plate.dxf";

/// The end plate, from the measures in its drawing: a rectangle less two chamfers of 30 and two corners of radius 24, six
/// holes of 22, two slots of 50 by 22.
fn end_plate_area() -> f64 {
    240.0 * 420.0
        - 30.0 * 30.0
        - 2.0 * 576.0 * (1.0 - PI / 4.0)
        - 6.0 * PI * 121.0
        - 2.0 * (28.0 * 22.0 + PI * 121.0)
}

#[test]
fn plates_by_hand() {
    let plates = schedule(&["--thickness", "12mm", "--density", "7850", "--digits", "full", END_PLATE]);
    assert_eq!(plates.header, headings(LengthUnit::Millimetre));
    assert_eq!(
        plates.header[Group::Common.columns().count()..],
        [
            "thickness_mm",
            "mass_kg",
            "cut_length_mm",
            "pierces",
            "stock_length_mm",
            "stock_width_mm",
            "stock_angle_deg",
            "balance_x_mm",
            "balance_y_mm",
            "outer_perimeter_mm",
            "inner_perimeter_mm"
        ]
    );
    let area = end_plate_area();
    // Bottom, two corners, sides, chamfers, top; holes; slots.
    let edge = 192.0 + 24.0 * PI + 2.0 * 366.0 + 60.0 * 2.0_f64.sqrt() + 180.0;
    let cuts = edge + 6.0 * 22.0 * PI + 2.0 * (56.0 + 22.0 * PI);
    // First moment about the bottom edge, y = 80: chamfers with their centroids 10 below the top, corners by the square
    // less the quarter disc (centroid 4r/3π from its centre), holes and slots.
    let quarter = 144.0 * PI;
    let corner = 576.0 * 12.0 - quarter * (24.0 - 32.0 / PI);
    let hole = 121.0 * PI;
    let first = 240.0 * 420.0 * 210.0
        - 900.0 * 410.0
        - 2.0 * corner
        - 2.0 * hole * (50.0 + 170.0 + 265.0)
        - 2.0 * (28.0 * 22.0 + hole) * 360.0;
    plates.assert_figures(
        "PLATE",
        &[
            ("thickness_mm", 12.0),
            ("mass_kg", area * 12.0 * 7850.0 * 1e-9),
            ("cut_length_mm", cuts),
            ("outer_perimeter_mm", edge),
            ("inner_perimeter_mm", cuts - edge),
            ("pierces", 9.0),
            ("stock_length_mm", 420.0),
            ("stock_width_mm", 240.0),
            ("stock_angle_deg", 90.0),
            ("balance_x_mm", 240.0),
            ("balance_y_mm", 80.0 + first / area),
        ],
    );
    let stiffener = 90.0 * 300.0 - PI * 625.0 / 2.0;
    plates.assert_figures(
        "WEB STIFFENER",
        &[
            ("mass_kg", stiffener * 12.0 * 7850.0 * 1e-9),
            ("pierces", 1.0),
            ("stock_length_mm", 300.0),
            ("stock_width_mm", 90.0),
            ("stock_angle_deg", 90.0),
        ],
    );
    // The hollowed edge lies within the hull. Upright 200 × 210 = 42000; along the slanted edge, by projection of the five
    // corners on (−175, 185) and (185, 175), 73850·41375/64850 = 47116.
    plates.assert_figures(
        "GUSSET",
        &[("pierces", 2.0), ("stock_length_mm", 210.0), ("stock_width_mm", 200.0), ("stock_angle_deg", 90.0)],
    );
}

#[test]
fn the_columns_before_stay_as_they_are() {
    let without = tracearm(&["--density", "7850", END_PLATE]);
    let with = tracearm(&["--density", "7850", "--thickness", "5mm", END_PLATE]);
    let (without, with) = (parsed(&without), parsed(&with));
    assert_eq!(without.header, headings(LengthUnit::Millimetre)[..Group::Common.columns().count()]);
    assert_eq!(without.rows.len(), 3);
    for (short, long) in without.rows.iter().zip(&with.rows) {
        assert!(short.iter().all(|(column, cell)| long[column] == *cell));
        assert_eq!(long.len(), short.len() + Group::Plate.columns().count());
    }
}

#[test]
fn without_a_density_there_is_no_mass() {
    let plates = schedule(&["--thickness", "12mm", END_PLATE]);
    for row in &plates.rows {
        assert_eq!(row["mass_kg"], "");
        assert_eq!(row["thickness_mm"], "12");
        assert!(!row["cut_length_mm"].is_empty());
    }
}

#[test]
fn other_units() {
    // A bare length is in the unit of the schedule.
    for thickness in ["0.5", "0.5in", "12.7 mm", "0.0127m"] {
        let plates = schedule(&[
            "--units",
            "in",
            "--thickness",
            thickness,
            "--density",
            "7850",
            "--digits",
            "full",
            END_PLATE,
        ]);
        assert_eq!(plates.header, headings(LengthUnit::Inch));
        plates.assert_figures(
            "PLATE",
            &[
                ("thickness_in", 0.5),
                ("mass_kg", end_plate_area() * 12.7 * 7850.0 * 1e-9),
                ("stock_length_in", 420.0 / 25.4),
                ("stock_width_in", 240.0 / 25.4),
                ("stock_angle_deg", 90.0),
                ("balance_x_in", 240.0 / 25.4),
            ],
        );
    }
    // A drawing in inches.
    let inches =
        schedule(&["--thickness", "6mm", "--digits", "full", "--density", "2700", "fixtures/inches.dxf"]);
    let area = inches.figure("PLATE", "area_mm2");
    inches.assert_figures("PLATE", &[("thickness_mm", 6.0), ("mass_kg", area * 6.0 * 2700.0 * 1e-9)]);
}

#[test]
fn parts_have_rectangles_of_their_own() {
    let drawing = "fixtures/split-jaws.dxf";
    let parts = schedule(&["--thickness", "8mm", "--per", "part", "--digits", "full", drawing]);
    // From left to right: 48 × 15, 36 × 20.
    let sides = |section: &str| ["stock_length_mm", "stock_width_mm"].map(|c| parts.figure(section, c));
    assert_eq!(parts.rows.len(), 2);
    let mut all = [sides("JAWS#1"), sides("JAWS#2")];
    all.sort_by(|a, b| a[0].total_cmp(&b[0]));
    assert_eq!(all, [[36.0, 20.0], [48.0, 15.0]]);
    // Both from one piece: 48 wide, from 10 to 67.
    let both = schedule(&["--thickness", "8mm", "--digits", "full", drawing]);
    both.assert_figures("JAWS", &[("stock_length_mm", 57.0), ("stock_width_mm", 48.0), ("pierces", 2.0)]);
}

#[test]
fn failed_rows_have_no_figures() {
    let output = tracearm(&["--thickness", "8mm", "--density", "7850", "fixtures/rail-clamp.dxf", END_PLATE]);
    assert_eq!(output.status.code(), Some(1));
    let plates = parsed(&output);
    let failed: Vec<_> = plates.rows.iter().filter(|row| row["status"] == "failed").collect();
    assert!(!failed.is_empty() && failed.len() < plates.rows.len());
    for row in &plates.rows {
        for column in &plates.header[Group::Common.columns().count()..] {
            assert_eq!(row[column].is_empty(), row["status"] == "failed", "{column} of {}", row["section"]);
        }
    }
}

#[test]
fn what_is_no_thickness_is_refused() {
    for thickness in ["0", "-3mm", "thick", "12 furlong", "nan", "inf"] {
        let output = tracearm(&[&format!("--thickness={thickness}"), END_PLATE]);
        assert_eq!(output.status.code(), Some(2), "{thickness}");
        assert!(output.stdout.is_empty());
        assert!(String::from_utf8_lossy(&output.stderr).contains("--thickness"), "{thickness}");
    }
}
