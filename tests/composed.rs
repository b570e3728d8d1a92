//! Sections composed by a job: transformed sections, voids, stated axes; and the pieces they are made of.

use std::fmt::Write;

use tracearm::drawing::{Drawing, LengthUnit};
use tracearm::finding::Code;
use tracearm::measure::{self, Job, Measurement, Options, Per};
use tracearm::schedule::{Digits, Style, write_pieces};

/// Closed rectangles (x from, x to, y from, y to) on layers, as DXF text in inches or millimetres.
fn drawing(insunits: i32, rectangles: &[(&str, [f64; 4])]) -> Drawing {
    let mut text =
        format!("0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1027\n9\n$INSUNITS\n70\n{insunits}\n0\nENDSEC\n");
    text.push_str("0\nSECTION\n2\nENTITIES\n");
    for (layer, [x0, x1, y0, y1]) in rectangles {
        write!(text, "0\nLWPOLYLINE\n8\n{layer}\n90\n4\n70\n1\n").unwrap();
        for (x, y) in [(x0, y0), (x1, y0), (x1, y1), (x0, y1)] {
            write!(text, "10\n{x}\n20\n{y}\n").unwrap();
        }
    }
    text.push_str("0\nENDSEC\n0\nEOF\n");
    Drawing::read(text.as_bytes()).unwrap()
}

fn measured(drawing: &Drawing, job: &str) -> Measurement {
    let job = Job::read(job).unwrap();
    measure::section("test.dxf", drawing, &job, &job.sections[0], &Options::default())
}

fn near(found: f64, expected: f64, share: f64) {
    assert!((found - expected).abs() <= share * expected.abs(), "{found} for {expected}");
}

/// Pieces as columns of numbers by heading.
fn pieces(measurement: &Measurement, unit: LengthUnit) -> Vec<csv::StringRecord> {
    let mut text = Vec::new();
    let style = Style::with(|s| {
        s.unit = unit;
        s.digits = Digits::FULL;
    });
    write_pieces(std::slice::from_ref(measurement), style, &mut text).unwrap();
    let mut reader = csv::Reader::from_reader(text.as_slice());
    let mut rows = vec![reader.headers().unwrap().clone()];
    rows.extend(reader.records().map(Result::unwrap));
    rows
}

fn sum(rows: &[csv::StringRecord], heading: &str) -> f64 {
    let column = rows[0].iter().position(|h| h == heading).unwrap();
    rows[1..].iter().map(|row| row[column].parse::<f64>().unwrap()).sum()
}

/// Gere & Goodno, Mechanics of Materials, composite beam of wood 4 in × 6 in with a steel plate 4 in × 0.5 in at its
/// bottom, moduli 1500 and 30 000 ksi (from memory): neutral axis 5.031 in below the top, second moment of the section
/// transformed to wood 231.3 in⁴.
#[test]
fn wood_with_a_steel_plate() {
    let drawing = drawing(1, &[("WOOD", [0.0, 4.0, 0.5, 6.5]), ("PLATE", [0.0, 4.0, 0.0, 0.5])]);
    // Only the ratio of the moduli counts: ksi here.
    let row = measured(
        &drawing,
        r#"
        [materials.wood]
        modulus = 1500
        [materials.plate]
        modulus = 30000
        [[section]]
        name = "beam"
        solid = ["WOOD", "PLATE"]
        materials = { WOOD = "wood", PLATE = "plate" }
        "#,
    );
    let section = row.properties().unwrap();
    near(6.5 - section.centroid.y, 5.031, 0.0005 / 5.031);
    near(section.second_moments.x, 231.3, 0.05 / 231.3);
    // The same by hand: areas 24 and 20 × 2 at 3.5 and 0.25 above the bottom.
    let (wood, plate) = (24.0, 20.0 * 2.0);
    let centroid = (wood * 3.5 + plate * 0.25) / (wood + plate);
    let about =
        |area: f64, height: f64, y: f64| area * height * height / 12.0 + area * (y - centroid).powi(2);
    near(section.area, wood + plate, 1e-13);
    near(section.centroid.y, centroid, 1e-13);
    near(section.second_moments.x, about(wood, 6.0, 3.5) + about(plate, 0.5, 0.25), 1e-12);
    assert!(section.plastic.is_none() && section.plastic_principal.is_none());
    assert_eq!(row.mass_per_length(), None, "no densities were given");
    assert!(
        row.findings.iter().any(|f| f.code == Code::Transformed && f.message().contains("wood 1, plate 20"))
    );
    // At the lowest fibre of the wood, 0.5 in up, stresses follow its own modulus; in the plate they are 20 times higher.
    let rows = pieces(&row, LengthUnit::Inch);
    let bottom = rows[0].iter().position(|h| h == "elastic_modulus_x_bottom_in3").unwrap();
    let of =
        |material: &str| -> f64 { rows.iter().find(|r| &r[4] == material).unwrap()[bottom].parse().unwrap() };
    near(of("wood"), section.second_moments.x / (centroid - 0.5), 1e-12);
    near(of("plate"), section.second_moments.x / (20.0 * centroid), 1e-12);
}

/// Segui, Steel Design, example 9.1 (from memory): a W16×36 under a concrete slab 87 in wide and 5 in thick, modular
/// ratio 8: the neutral axis of the section transformed to steel lies 4.20 in below the top of the slab, its second moment
/// is 1530 in⁴. The shape is the one of shared/check-values, whose printed values the handbook tests hold.
#[test]
fn steel_beam_with_a_concrete_slab() {
    let outlines = std::fs::read_to_string(concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/shared/check-values/rolled_outlines.jsonl"
    ))
    .unwrap();
    let beam = outlines.lines().find(|line| line.contains("\"W16X36\"")).unwrap();
    let beam: serde_json::Value = serde_json::from_str(beam).unwrap();
    let loop_of_beam = beam["loops"][0].as_array().unwrap();
    let vertex = |v: &serde_json::Value, k: usize| v[k].as_f64().unwrap();
    let top = loop_of_beam.iter().map(|v| vertex(v, 1)).fold(f64::NEG_INFINITY, f64::max);
    let mut text =
        String::from("0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n1\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n");
    write!(text, "0\nLWPOLYLINE\n8\nBEAM\n90\n{}\n70\n1\n", loop_of_beam.len()).unwrap();
    for v in loop_of_beam {
        write!(text, "10\n{}\n20\n{}\n42\n{}\n", vertex(v, 0), vertex(v, 1) - top, vertex(v, 2)).unwrap();
    }
    text.push_str("0\nLWPOLYLINE\n8\nSLAB\n90\n4\n70\n1\n");
    for (x, y) in [(-43.5, 0.0), (43.5, 0.0), (43.5, 5.0), (-43.5, 5.0)] {
        write!(text, "10\n{x}\n20\n{y}\n").unwrap();
    }
    text.push_str("0\nENDSEC\n0\nEOF\n");
    let row = measured(
        &Drawing::read(text.as_bytes()).unwrap(),
        r#"
        [materials.slab]
        modulus = 26250
        [[section]]
        name = "composite beam"
        solid = ["BEAM", "SLAB"]
        materials = { BEAM = "steel", SLAB = "slab" }
        "#,
    );
    let section = row.properties().unwrap();
    // Printed to three digits; the handbook's slab and beam meet in the top flange.
    near(5.0 - section.centroid.y, 4.20, 0.005 / 4.20 + 1e-3);
    near(section.second_moments.x, 1530.0, 5.0 / 1530.0);
}

/// A steel box whose inside is filled, drawn as a solid that overlaps it: the body named first is kept whole.
#[test]
fn bodies_that_overlap_are_counted_once() {
    let drawing = drawing(
        4,
        &[
            ("BOX", [10.0, 110.0, 20.0, 180.0]),
            ("BOX", [20.0, 100.0, 30.0, 170.0]),
            ("FILL", [10.0, 110.0, 20.0, 180.0]),
        ],
    );
    let row = measured(
        &drawing,
        r#"
        [[section]]
        name = "filled box"
        solid = ["BOX", "FILL"]
        materials = { BOX = "steel", FILL = "C30/37" }
        "#,
    );
    let section = row.properties().unwrap();
    let (whole, inside) = (100.0 * 160.0, 80.0 * 140.0);
    let ratio = 33_000.0 / 210_000.0;
    near(section.area, whole - inside + ratio * inside, 1e-12);
    let cube = |b: f64, h: f64| b * h * h * h / 12.0;
    let box_alone = cube(100.0, 160.0) - cube(80.0, 140.0);
    near(section.second_moments.x, box_alone + ratio * cube(80.0, 140.0), 1e-12);
    near(row.mass_per_length().unwrap(), ((whole - inside) * 7850.0 + inside * 2500.0) * 1e-6, 1e-12);
    assert_eq!((section.parts, section.holes), (2, 1));
}

/// Parallel axes and turned axes (common practice).
#[test]
fn moments_about_stated_axes() {
    let drawing = drawing(4, &[("PLATE", [100.0, 160.0, -20.0, 70.0]), ("HOLES", [90.0, 120.0, 0.0, 30.0])]);
    let row = measured(
        &drawing,
        r#"
        [[section]]
        name = "notched"
        solid = ["PLATE"]
        void = ["HOLES"]
        material = "steel"
        about = [100, -20]
        turned = 90
        "#,
    );
    let section = row.properties().unwrap();
    near(section.area, 60.0 * 90.0 - 20.0 * 30.0, 1e-12);
    let stated = row.stated().unwrap();
    // About its own corner: bh³/3 less what the notch, 20 × 30 and 20 above the corner, takes away; turned by a quarter
    // turn x and y change places.
    let strip = |b: f64, low: f64, high: f64| b * (high.powi(3) - low.powi(3)) / 3.0;
    near(stated.moments.y, strip(60.0, 0.0, 90.0) - strip(20.0, 20.0, 50.0), 1e-12);
    near(stated.moments.x, strip(90.0, 0.0, 60.0) - strip(30.0, 0.0, 20.0), 1e-12);
    let product = (60.0_f64.powi(2) / 2.0) * (90.0_f64.powi(2) / 2.0)
        - (20.0_f64.powi(2) / 2.0) * (50.0 * 50.0 - 20.0 * 20.0) / 2.0;
    near(stated.moments.xy, -product, 1e-12);
}

/// The columns of pieces can be added up to the section.
#[test]
fn pieces_sum_to_the_section() {
    let drawing = drawing(
        4,
        &[
            ("A", [0.0, 120.0, 0.0, 80.0]),
            ("A", [10.0, 40.0, 10.0, 60.0]),
            ("A", [60.0, 90.0, 20.0, 35.0]),
            ("A", [200.0, 230.0, -50.0, 90.0]),
        ],
    );
    let outcome = measure::drawing("test.dxf", &drawing, &Options::default());
    let row = &outcome.measurements[0];
    let section = row.properties().unwrap();
    let rows = pieces(row, LengthUnit::Millimetre);
    assert_eq!(rows.len(), 5);
    near(sum(&rows, "area_mm2"), section.area, 1e-12);
    let composed = |own: &str, transfer: &str| sum(&rows, own) + sum(&rows, transfer);
    near(composed("second_moment_x_mm4", "transfer_x_mm4"), section.second_moments.x, 1e-12);
    near(composed("second_moment_y_mm4", "transfer_y_mm4"), section.second_moments.y, 1e-12);
    let scale = section.second_moments.x + section.second_moments.y;
    let product = composed("product_moment_xy_mm4", "transfer_xy_mm4");
    assert!((product - section.second_moments.xy).abs() <= 1e-12 * scale);
    assert!(sum(&rows, "first_moment_x_mm3").abs() <= 1e-9 * section.area * 100.0);
    assert!(sum(&rows, "shared_area_mm2").abs() <= 1e-9);
}

/// Two plates that lap by 20 × 30: the shared area is stated.
#[test]
fn shared_area_is_stated() {
    let drawing = drawing(4, &[("A", [0.0, 100.0, 0.0, 30.0]), ("A", [80.0, 200.0, 0.0, 50.0])]);
    let outcome = measure::drawing("test.dxf", &drawing, &Options::default());
    let rows = pieces(&outcome.measurements[0], LengthUnit::Millimetre);
    near(sum(&rows[..2], "shared_area_mm2"), 600.0, 1e-12);
}

#[test]
fn what_a_job_can_not_measure_says_so() {
    let drawing = drawing(4, &[("PLATE", [0.0, 10.0, 0.0, 20.0]), ("RIB", [0.0, 10.0, 20.0, 30.0])]);
    let messages = |job: &str| {
        let row = measured(&drawing, job);
        assert!(row.properties().is_none());
        row.findings.iter().map(ToString::to_string).collect::<String>()
    };
    let text = messages("[[section]]\nname = \"a\"\nsolid = [\"WEB\"]");
    assert!(text.contains("PLATE, RIB"), "{text}");
    let text = messages(
        "[[section]]\nname = \"a\"\nsolid = [\"PLATE\", \"RIB\"]\nmaterials = { PLATE = \"steel\", RIB = \"mortar\" }",
    );
    assert!(text.contains("mortar") && text.contains("no modulus"), "{text}");
    let text = messages(
        "[[section]]\nname = \"a\"\nsolid = [\"PLATE\", \"RIB\"]\nmaterials = { PLATE = \"steel\" }",
    );
    assert!(text.contains("no material"), "{text}");
}

/// An island in the opening of a frame: each part has its own pieces.
#[test]
fn pieces_of_parts() {
    let drawing = drawing(
        4,
        &[
            ("A", [0.0, 100.0, 0.0, 80.0]),
            ("A", [10.0, 90.0, 10.0, 70.0]),
            ("A", [30.0, 60.0, 20.0, 45.0]),
            ("A", [40.0, 50.0, 25.0, 30.0]),
        ],
    );
    let options = Options::with(|o| o.per = Per::Part);
    let outcome = measure::drawing("test.dxf", &drawing, &options);
    assert_eq!(outcome.measurements.len(), 2);
    for row in &outcome.measurements {
        let rows = pieces(row, LengthUnit::Millimetre);
        assert_eq!(rows.len(), 3);
        near(sum(&rows, "area_mm2"), row.properties().unwrap().area, 1e-12);
    }
}
