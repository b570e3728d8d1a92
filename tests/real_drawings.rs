//! Drawings made by others, against values that another reader and another geometry library gave for them.
//!
//! They are not part of the project: TRACEARM_DRAWINGS names their folder, with its reference.csv. Without it the
//! test says so and passes.

use std::path::Path;

use serde::Deserialize;
use tracearm::drawing::Drawing;
use tracearm::measure::{self, LayerChoice, Options, Status};

#[derive(Deserialize)]
struct Reference {
    file: String,
    layer: String,
    confidence: String,
    other_types: String,
    area: Option<f64>,
    centroid_x: Option<f64>,
    centroid_y: Option<f64>,
    second_moment_x: Option<f64>,
    second_moment_y: Option<f64>,
    product_moment_xy: Option<f64>,
}

/// Rows where the reference means something else, with the reason. A row that comes to agree must leave this list.
const OTHERWISE: [(&str, &str, &str); 3] = [
    (
        "c-colors.dxf",
        "0",
        "the reference leaves what a block holds on layer 0 there, not on the layer of its insert",
    ),
    ("c-colors.dxf", "BLUE", "as for layer 0: the inserts on this layer bring more outlines"),
    ("c-colors.dxf", "RED", "as for layer 0: the inserts on this layer bring more outlines"),
];

/// The reference flattened its curves to 2e-6 of each curve's size.
const REFERENCE_ACCURACY: f64 = 3e-5;

#[test]
fn layers_agree_with_the_reference() {
    let Ok(folder) = std::env::var("TRACEARM_DRAWINGS") else {
        println!("TRACEARM_DRAWINGS is not set: real drawings are not compared");
        return;
    };
    let folder = Path::new(&folder);
    let mut table = csv::Reader::from_path(folder.join("reference.csv")).unwrap();
    // The reference takes hidden layers too.
    let options = Options::with(|o| o.layers = LayerChoice::new(&[], &[], true).unwrap());
    let (mut compared, mut wrong) = (0, Vec::new());
    let (mut ambiguous, mut measured_ambiguous) = (0, 0);
    for row in table.deserialize::<Reference>() {
        let row = row.unwrap();
        let drawing = match Drawing::open(folder.join(&row.file)) {
            Ok(drawing) => drawing,
            Err(error) => {
                if row.area.is_some() {
                    wrong.push(format!("{} {}: {error}", row.file, row.layer));
                }
                continue;
            }
        };
        let outcome = measure::drawing(&row.file, &drawing, &options);
        let found = outcome.measurements.iter().find(|m| m.layer.to_lowercase() == row.layer.to_lowercase());
        let messages = || {
            found.map_or_else(String::new, |m| {
                m.findings.iter().map(ToString::to_string).collect::<Vec<_>>().join(" | ")
            })
        };
        let trusted = row.confidence == "closed" || row.confidence == "chained";
        if !trusted || !row.other_types.is_empty() {
            ambiguous += 1;
            if let Some(m) = found.filter(|m| m.status() != Status::Failed) {
                measured_ambiguous += 1;
                println!(
                    "not compared: {} {} ({} {}): {:?} {}",
                    row.file,
                    row.layer,
                    row.confidence,
                    row.other_types,
                    m.properties().map(|p| p.area),
                    messages()
                );
            }
            continue;
        }
        if OTHERWISE.iter().any(|(file, layer, _)| (*file, *layer) == (&row.file, &row.layer)) {
            let area = found.and_then(|m| m.properties()).map(|p| p.area);
            let expected = row.area.unwrap();
            if area.is_some_and(|area| (area - expected).abs() <= REFERENCE_ACCURACY * expected) {
                wrong.push(format!("{} {}: agrees now; take it off the list", row.file, row.layer));
            }
            continue;
        }
        compared += 1;
        let Some(section) = found.and_then(|m| m.properties()) else {
            wrong.push(format!("{} {}: not measured: {}", row.file, row.layer, messages()));
            continue;
        };
        let value = |cell: Option<f64>| cell.unwrap();
        let size = section.extent.size();
        let polar = section.second_moments.x + section.second_moments.y;
        for (name, found, expected, scale) in [
            ("area", section.area, value(row.area), section.area),
            ("centroid x", section.centroid.x, value(row.centroid_x), size),
            ("centroid y", section.centroid.y, value(row.centroid_y), size),
            (
                "second moment x",
                section.second_moments.x,
                value(row.second_moment_x),
                section.second_moments.x,
            ),
            (
                "second moment y",
                section.second_moments.y,
                value(row.second_moment_y),
                section.second_moments.y,
            ),
            ("product moment", section.second_moments.xy, value(row.product_moment_xy), polar),
        ] {
            if (found - expected).abs() > REFERENCE_ACCURACY * scale {
                wrong.push(format!(
                    "{} {}: {name} {found} for {expected} {}",
                    row.file,
                    row.layer,
                    messages()
                ));
            }
        }
        // Strips and boundary integrals differ where ends overlap by less than the joining tolerance.
        if section.strip_check > 1e-8 && !messages().contains("gaps between ends") {
            wrong.push(format!("{} {}: strip check {}", row.file, row.layer, section.strip_check));
        }
    }
    println!(
        "{compared} layers compared, {ambiguous} without reference, {measured_ambiguous} of them measured"
    );
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(compared >= 35, "only {compared} layers compared");
}
