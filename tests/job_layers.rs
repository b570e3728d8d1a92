//! Which layers a job takes, of which material, and what it says of names, hidden layers, overlaps and gaps.

use std::fmt::Write;

use tracearm::drawing::Drawing;
use tracearm::finding::{Code, Finding, Severity, Value};
use tracearm::measure::{self, Job, Measurement, Options, Status};

/// Closed rectangles (x from, x to, y from, y to) on layers, in millimetres; `hidden` are layers that are off (a negative
/// colour) or frozen (flag 1).
fn drawing(rectangles: &[(&str, [i32; 4])], hidden: &[(&str, i32, i32)]) -> Drawing {
    let mut text =
        String::from("0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nTABLES\n");
    text.push_str("0\nTABLE\n2\nLAYER\n");
    for (name, flags, color) in hidden {
        write!(text, "0\nLAYER\n2\n{name}\n70\n{flags}\n62\n{color}\n").expect("text");
    }
    text.push_str("0\nENDTAB\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n");
    for (layer, [x0, x1, y0, y1]) in rectangles {
        write!(text, "0\nLWPOLYLINE\n8\n{layer}\n90\n4\n70\n1\n").expect("text");
        for (x, y) in [(x0, y0), (x1, y0), (x1, y1), (x0, y1)] {
            write!(text, "10\n{x}\n20\n{y}\n").expect("text");
        }
    }
    text.push_str("0\nENDSEC\n0\nEOF\n");
    Drawing::read(text.as_bytes()).expect("a drawing")
}

fn measured(drawing: &Drawing, section: &str) -> Measurement {
    let job = Job::read(&format!("[[section]]\nname = \"beam\"\n{section}")).expect("a job");
    measure::section("beam.dxf", drawing, &job, &job.sections[0], &Options::default())
}

fn found(row: &Measurement, code: Code) -> Vec<&Finding> {
    row.findings.iter().filter(|finding| finding.code == code).collect()
}

fn value<'a>(finding: &'a Finding, key: &str) -> &'a Value {
    finding.values().iter().find(|(own, _)| *own == key).map(|(_, value)| value).expect("a value")
}

fn text(finding: &Finding, key: &str) -> String {
    value(finding, key).to_string()
}

fn area(row: &Measurement) -> f64 {
    row.properties().unwrap_or_else(|| panic!("{:?}", row.findings)).area
}

const STEEL: (&str, [i32; 4]) = ("BEAM STEEL", [0, 200, 0, 400]);
const CONCRETE: (&str, [i32; 4]) = ("BEAM CONC", [0, 200, 400, 900]);
const MATERIALS: &str = "materials = { \"BEAM STEEL\" = \"steel\", \"BEAM CONC\" = \"C30/37\" }";

/// One pattern over two materials gives each layer its own, whatever the order of the drawing.
#[test]
fn a_pattern_over_layers_of_two_materials() {
    let to_concrete = 100_000.0 + 80_000.0 * 210.0 / 33.0;
    let to_steel = 80_000.0 + 100_000.0 * 33.0 / 210.0;
    for rectangles in [[STEEL, CONCRETE], [CONCRETE, STEEL]] {
        let drawing = drawing(&rectangles, &[]);
        for (solid, wanted) in [
            // The reference is the material of the first layer: within a pattern the first by its name.
            ("solid = [\"BEAM*\"]", to_concrete),
            ("solid = [\"BEAM STEEL\", \"BEAM CONC\"]", to_steel),
            ("solid = [\"BEAM CONC\", \"BEAM*\"]", to_concrete),
            ("solid = [\"*S*L\", \"*\"]", to_steel),
        ] {
            let row = measured(&drawing, &format!("{solid}\n{MATERIALS}"));
            assert!((area(&row) - wanted).abs() < 1e-9 * wanted, "{solid}: {} {wanted}", area(&row));
            assert_eq!((row.layer.as_str(), row.pieces.len()), ("BEAM CONC+BEAM STEEL", 2));
            let mass = row.mass_per_length().expect("densities");
            assert!((mass - (0.08 * 7850.0 + 0.1 * 2500.0)).abs() < 1e-9, "{mass}");
        }
    }
}

/// A layer has the material that its name has before that of a pattern.
#[test]
fn a_name_goes_before_a_pattern() {
    let drawing = drawing(&[STEEL, CONCRETE], &[]);
    let materials = "materials = { \"BEAM*\" = \"C30/37\", \"beam steel\" = \"steel\" }";
    let row = measured(&drawing, &format!("solid = [\"BEAM STEEL\", \"BEAM*\"]\n{materials}"));
    assert!((area(&row) - (80_000.0 + 100_000.0 * 33.0 / 210.0)).abs() < 1e-6);
}

#[test]
fn names_that_no_layer_has() {
    let drawing = drawing(
        &[("PLATE 1", [0, 100, 0, 60]), ("PLATE 2", [0, 100, 60, 90]), ("HOLES", [10, 20, 10, 20])],
        &[],
    );
    for (section, key, name, near) in [
        ("solid = [\"PLATE\"]", "solid", "PLATE", Some("PLATE 1")),
        ("solid = [\"PLATE 1\", \"PLAET 2\"]", "solid", "PLAET 2", Some("PLATE 2")),
        ("solid = [\"PLATE*\"]\nvoid = [\"HOLE\"]", "void", "HOLE", Some("HOLES")),
        (
            "solid = [\"PLATE*\"]\nmaterial = \"steel\"\nmaterials = { \"SLAB*\" = \"C30/37\" }",
            "materials",
            "SLAB*",
            None,
        ),
    ] {
        let row = measured(&drawing, section);
        let unknown = found(&row, Code::JobLayerUnknown);
        assert_eq!((row.status(), unknown.len()), (Status::Failed, 1), "{section}: {:?}", row.findings);
        assert_eq!((text(unknown[0], "key"), text(unknown[0], "name")), (key.to_owned(), name.to_owned()));
        let meant = unknown[0].values().iter().find(|(key, _)| *key == "near");
        assert_eq!(meant.map(|(_, value)| value.to_string()).as_deref(), near, "{section}");
        if near.is_none() {
            assert_eq!(text(unknown[0], "layers"), "HOLES, PLATE 1, PLATE 2");
        }
    }
    let row = measured(&drawing, "solid = [\"PLATE*\"]\nvoid = [\"HOLES\"]");
    assert!((area(&row) - (9000.0 - 100.0)).abs() < 1e-9);
}

/// What looks like a class of letters may be the name itself.
#[test]
fn names_with_brackets() {
    let drawing = drawing(&[("PLATE [1]", [0, 100, 0, 60]), ("PLATE 1", [200, 230, 0, 10])], &[]);
    let row = measured(&drawing, "solid = [\"PLATE [1]\"]");
    assert!(row.layer.contains("PLATE [1]"), "{}", row.layer);
}

#[test]
fn layers_that_are_off_or_frozen() {
    let hidden = [("WEB", 0, -7), ("HOLES", 1, 7), ("FLANGE", 0, 7)];
    let rectangles = [("WEB", [45, 55, 20, 200]), ("FLANGE", [0, 100, 0, 20]), ("HOLES", [10, 20, 5, 15])];
    let drawing = drawing(&rectangles, &hidden);
    let (flange, web, hole) = (2000.0, 1800.0, 100.0);
    let row = measured(&drawing, "solid = [\"WEB\", \"flange\"]\nvoid = [\"holes\"]");
    assert!((area(&row) - (flange + web - hole)).abs() < 1e-9);
    let named = found(&row, Code::HiddenLayersNamed);
    assert_eq!((named.len(), named[0].severity), (1, Severity::Note));
    assert_eq!((text(named[0], "layers"), row.status()), ("HOLES, WEB".to_owned(), Status::Ok));
    let row = measured(&drawing, "solid = [\"W*\", \"FLANGE\"]\nvoid = [\"HO*\"]");
    assert!((area(&row) - flange).abs() < 1e-9);
    let left_out = found(&row, Code::HiddenLayersByPattern);
    assert_eq!((left_out.len(), left_out[0].severity, row.status()), (1, Severity::Warning, Status::Warning));
    assert_eq!(text(left_out[0], "layers"), "HOLES, WEB");
}

#[test]
fn a_layer_on_which_nothing_is_drawn() {
    let drawing = drawing(&[("WEB", [45, 55, 20, 200])], &[("FLANGE", 0, 7)]);
    let row = measured(&drawing, "solid = [\"WEB\", \"FLANGE\"]");
    let empty = found(&row, Code::NamedLayersEmpty);
    assert_eq!((empty.len(), row.status(), row.layer.as_str()), (1, Status::Warning, "WEB"));
    // A pattern names no layer in particular.
    assert_eq!(measured(&drawing, "solid = [\"*\"]").status(), Status::Ok);
}

#[test]
fn a_body_within_one_that_is_named_before_it() {
    let drawing = drawing(&[("CONC", [0, 300, 0, 300]), ("STEEL", [120, 180, 100, 200])], &[]);
    let materials = "materials = { CONC = \"C30/37\", STEEL = \"steel\" }";
    let row = measured(&drawing, &format!("solid = [\"CONC\", \"STEEL\"]\n{materials}"));
    let within = found(&row, Code::BodyWithinOthers);
    assert_eq!((within.len(), row.status()), (1, Status::Failed), "{:?}", row.findings);
    assert_eq!(
        (text(within[0], "layers"), text(within[0], "others")),
        ("STEEL".to_owned(), "CONC".to_owned())
    );
    // Steel named first is cut out of the concrete, which is meant.
    let row = measured(&drawing, &format!("solid = [\"STEEL\", \"CONC\"]\n{materials}"));
    assert!((area(&row) - (6000.0 + 84_000.0 * 33.0 / 210.0)).abs() < 1e-8);
    let overlap = found(&row, Code::BodiesOverlap);
    assert_eq!((overlap.len(), overlap[0].severity, row.status()), (1, Severity::Note, Status::Ok));
    assert_eq!(value(overlap[0], "area"), &Value::Area(6000.0));
}

#[test]
fn bodies_that_overlap_and_bodies_that_do_not_touch() {
    let materials = "materials = { SLAB = \"C30/37\", BEAM = \"steel\" }";
    let rows = |low: i32| {
        let drawing = drawing(&[("BEAM", [45, 55, 0, 200]), ("SLAB", [0, 100, low, low + 50])], &[]);
        measured(&drawing, &format!("solid = [\"BEAM\", \"SLAB\"]\n{materials}"))
    };
    let row = rows(180);
    let overlap = found(&row, Code::BodiesOverlap);
    assert_eq!((overlap.len(), overlap[0].severity, row.status()), (1, Severity::Warning, Status::Warning));
    assert_eq!(value(overlap[0], "area"), &Value::Area(200.0));
    assert_eq!(
        (text(overlap[0], "layers"), text(overlap[0], "others")),
        ("SLAB".to_owned(), "BEAM".to_owned())
    );
    let row = rows(200);
    assert!(found(&row, Code::BodiesOverlap).is_empty() && found(&row, Code::BodiesApart).is_empty());
    let row = rows(203);
    let apart = found(&row, Code::BodiesApart);
    assert_eq!((apart.len(), row.status()), (1, Status::Ok));
    assert_eq!(value(apart[0], "gap"), &Value::Length(3.0));
}
