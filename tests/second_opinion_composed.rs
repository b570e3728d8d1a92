//! Sections of several layers and materials, with wild cards, voids and overlaps, against what shapely and numpy make of
//! them: tests/second_opinion/composed.jsonl, written by tests/second_opinion/composed.py.

use crate::common;

use std::fmt::Write;

use common::file;
use serde_json::Value as Json;
use tracearm::drawing::Drawing;
use tracearm::finding::{Code, Value};
use tracearm::measure::{self, Job, Measurement, Options};

/// The materials of the cases, as composed.py has them.
const MATERIALS: &str = "
[materials.S]\ndensity = 7850\nmodulus = 210000
[materials.C]\ndensity = 2500\nmodulus = 33000
[materials.A]\ndensity = 2700\nmodulus = 70000
[materials.W]\ndensity = 420\nmodulus = 11000
";

fn number(value: &Json) -> f64 {
    value.as_f64().expect("a number")
}

/// The outlines as closed polylines; where `backwards`, in the opposite order.
fn drawing(case: &Json, backwards: bool) -> Drawing {
    let layers = case["layers"].as_object().expect("layers");
    let outlines = layers.iter().flat_map(|(layer, polygons)| {
        polygons.as_array().expect("polygons").iter().map(move |polygon| (layer, polygon))
    });
    let mut outlines: Vec<(&String, &Json)> = outlines.collect();
    if backwards {
        outlines.reverse();
    }
    let mut text =
        String::from("0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n");
    for (layer, polygon) in outlines {
        let corners = polygon.as_array().expect("corners");
        write!(text, "0\nLWPOLYLINE\n8\n{layer}\n90\n{}\n70\n1\n", corners.len()).expect("text");
        for corner in corners {
            write!(text, "10\n{}\n20\n{}\n", number(&corner[0]), number(&corner[1])).expect("text");
        }
    }
    text.push_str("0\nENDSEC\n0\nEOF\n");
    Drawing::read(text.as_bytes()).expect("a drawing")
}

fn measured(case: &Json, backwards: bool) -> Measurement {
    let list = |key: &str| case[key].to_string();
    let materials: Vec<String> = (case["materials"].as_object().expect("materials").iter())
        .map(|(layer, material)| format!("\"{layer}\" = {material}"))
        .collect();
    let job = format!(
        "{MATERIALS}\n[[section]]\nname = {}\nsolid = {}\nvoid = {}\nmaterials = {{ {} }}\n",
        case["id"],
        list("solid"),
        list("void"),
        materials.join(", ")
    );
    let job = Job::read(&job).expect("a job");
    measure::section("composed.dxf", &drawing(case, backwards), &job, &job.sections[0], &Options::default())
}

/// The areas that bodies share, the largest first.
fn shared(row: &Measurement) -> Vec<f64> {
    let overlaps = row.findings.iter().filter(|finding| finding.code == Code::BodiesOverlap);
    let mut areas: Vec<f64> = overlaps
        .map(|finding| match finding.values().iter().find(|(key, _)| *key == "area") {
            Some((_, Value::Area(area))) => *area,
            other => panic!("{other:?}"),
        })
        .collect();
    areas.sort_by(|a, b| b.total_cmp(a));
    areas
}

#[test]
fn composed_sections_against_shapely_and_numpy() {
    let (mut compared, mut overlapping) = (0, 0);
    for line in file("tests/second_opinion/composed.jsonl").lines() {
        let case: Json = serde_json::from_str(line).expect("JSON");
        for backwards in [false, true] {
            let row = measured(&case, backwards);
            let what = format!("{} {backwards}: {:?}", case["id"], row.findings);
            let section = row.properties().unwrap_or_else(|| panic!("{what}"));
            let size = section.extent.size();
            let i = &section.second_moments;
            let polar = i.x + i.y;
            for (key, found, scale) in [
                ("area", section.area, section.area),
                ("centroid_x", section.centroid.x, size),
                ("centroid_y", section.centroid.y, size),
                ("second_moment_x", i.x, polar),
                ("second_moment_y", i.y, polar),
                ("product_moment_xy", i.xy, polar),
                (
                    "mass_per_length",
                    row.mass_per_length().expect("densities"),
                    number(&case["mass_per_length"]),
                ),
            ] {
                let off = (found - number(&case[key])).abs() / scale;
                assert!(off <= 1e-9, "{key}: off by {off:e}, {found} for {}: {what}", case[key]);
                compared += 1;
            }
            let wanted = case["shared"].as_array().expect("a list");
            let mut wanted: Vec<f64> = wanted.iter().map(|one| number(&one[2])).collect();
            wanted.sort_by(|a, b| b.total_cmp(a));
            let found = shared(&row);
            assert_eq!(found.len(), wanted.len(), "{what}");
            for (found, wanted) in found.iter().zip(&wanted) {
                assert!(
                    (found - wanted).abs() <= 1e-9 * section.area.max(*wanted),
                    "{found} {wanted}: {what}"
                );
                overlapping += 1;
            }
        }
    }
    assert!(compared == 40 * 2 * 7 && overlapping > 40, "{compared} {overlapping}");
}
