//! Figures that do not come from this program, and the comparison of a row with them.

use std::collections::BTreeMap;

use super::draw::{Outline, Piece, control_points};
use super::{Row, figure, table};

/// What a section must come to, by column key: millimetres and degrees.
pub type Truth = BTreeMap<String, f64>;

/// The rows of tests/second_opinion/values.csv for a source, by section: computed in 40-digit arithmetic by
/// tests/second_opinion/exact.py, which shares nothing with the program.
pub fn second_opinion(source: &str) -> BTreeMap<String, Truth> {
    table("tests/second_opinion/values.csv")
        .into_iter()
        .filter(|row| row["source"] == source)
        .map(|row| {
            let section = row["section"].clone();
            let figures = row.into_iter().filter(|(key, _)| key != "source" && key != "section");
            (section, figures.map(|(key, text)| (key, text.parse().expect("a figure"))).collect())
        })
        .collect()
}

/// The same figure drawn `scale` times as large and then moved.
pub fn scaled_and_moved(truth: &Truth, scale: f64, offset: [f64; 2]) -> Truth {
    truth
        .iter()
        .map(|(key, value)| (key.clone(), value * scale.powi(power(key)) + shift(key, offset)))
        .collect()
}

/// The power of a length that a column has.
pub fn power(key: &str) -> i32 {
    match key {
        "area" => 2,
        "principal_angle" => 0,
        _ if key.contains("modulus") => 3,
        _ if key.contains("moment") => 4,
        _ => 1,
    }
}

fn shift(key: &str, [dx, dy]: [f64; 2]) -> f64 {
    match key {
        "centroid_x" | "x_min" | "x_max" | "plastic_axis_x" => dx,
        "centroid_y" | "y_min" | "y_max" | "plastic_axis_y" => dy,
        _ => 0.0,
    }
}

/// Two second moments that differ by less than this share count as equal (definition of `principal_angle` in
/// shared/schedule-columns.csv).
const EQUAL: f64 = 1e-9;

/// Holds every figure of `truth` against the row and gives the number of figures compared.
///
/// `tolerance` is relative to the figure itself; for places to the size of the section, for the product moment to the
/// larger principal second moment. The direction of the principal axes, and what is measured along them, is as much
/// less certain as the two second moments are near to each other; where they are equal within the tolerance there
/// is no direction, and nothing about the principal axes but their second moments is compared.
pub fn compare(what: &str, row: &Row, truth: &Truth, tolerance: f64) -> usize {
    let size = (truth["x_max"] - truth["x_min"]).max(truth["y_max"] - truth["y_min"]);
    let (i_1, i_2) = (truth["second_moment_1"], truth["second_moment_2"]);
    let equal = i_1 - i_2 <= EQUAL * i_1;
    // Rounding of coordinates far from the origin makes unequal what is drawn equal.
    let directed = !equal || tolerance <= EQUAL;
    let softness = if equal { 1.0 } else { i_1 / (i_1 - i_2) };
    let got_angle = figure(row, "principal_angle");
    assert!(got_angle > -90.0 && got_angle <= 90.0, "{what}: principal_angle {got_angle}");
    // Axis 1 at −90° + ε and at 90° is the same line run the other way: top and bottom, left and right change places.
    let flipped = (got_angle - truth["principal_angle"]).abs() > 90.0;
    let mut compared = 0;
    for (key, want) in truth {
        let mut key = key.as_str();
        let along_principal =
            key == "principal_angle" || key.contains("modulus_1") || key.contains("modulus_2");
        if along_principal && !directed {
            continue;
        }
        if flipped {
            key = match key {
                "elastic_modulus_1_top" => "elastic_modulus_1_bottom",
                "elastic_modulus_1_bottom" => "elastic_modulus_1_top",
                "elastic_modulus_2_left" => "elastic_modulus_2_right",
                "elastic_modulus_2_right" => "elastic_modulus_2_left",
                other => other,
            };
        }
        let got = figure(row, key);
        let (difference, scale) = match key {
            "principal_angle" => {
                let turn = (got - want).rem_euclid(180.0);
                (turn.min(180.0 - turn).to_radians(), softness)
            }
            "product_moment_xy" => (got - want, i_1),
            _ if power(key) == 1 && !key.starts_with("gyration") && key != "perimeter" => (got - want, size),
            _ if along_principal => (got - want, want.abs() * softness),
            _ => (got - want, want.abs()),
        };
        assert!(
            difference.abs() <= tolerance * scale,
            "{what}: {key} is {got:e}, must be {want:e}: off by {:.2e} of its scale",
            difference.abs() / scale
        );
        compared += 1;
    }
    let strips = figure(row, "strip_check");
    assert!(strips <= STRIPS_AGREE, "{what}: strip_check {strips:e}");
    compared + 1
}

/// How far strips and boundary integrals may differ.
pub const STRIPS_AGREE: f64 = 1e-8;

/// The outline of a published shape from its JSON: `bulge_loops` or `pieces`, or the loops alone.
pub fn outline(json: &serde_json::Value) -> Outline {
    let numbers = |v: &serde_json::Value| -> Vec<f64> {
        v.as_array().expect("an array").iter().map(|n| n.as_f64().expect("a number")).collect()
    };
    let point = |v: &serde_json::Value| -> [f64; 2] { numbers(v).try_into().expect("x and y") };
    let array = |v: &serde_json::Value| v.as_array().expect("an array").clone();
    let Some(rings) = json.get("pieces") else {
        let loops = json.get("bulge_loops").or(json.get("loops")).expect("loops");
        let vertex = |v: &serde_json::Value| -> [f64; 3] { numbers(v).try_into().expect("x, y, bulge") };
        return Outline::Loops(array(loops).iter().map(|l| array(l).iter().map(vertex).collect()).collect());
    };
    let piece = |v: &serde_json::Value| {
        if let Some(line) = v.get("line") {
            return Piece::Line(point(&line[0]), point(&line[1]));
        }
        if let Some(poly) = v.get("poly") {
            assert_eq!(numbers(&poly["t"]), [0.0, 1.0], "t runs from 0 to 1");
            return Piece::Bezier(control_points(&numbers(&poly["X"]), &numbers(&poly["Y"])));
        }
        let e = &v["ellipse"];
        let value = |key: &str| e[key].as_f64().expect("a number");
        Piece::Ellipse {
            center: point(&e["c"]),
            major: [value("a"), 0.0],
            ratio: value("b") / value("a"),
            t0: value("t0"),
            t1: value("t1"),
        }
    };
    Outline::Pieces(array(rings).iter().map(|ring| array(ring).iter().map(piece).collect()).collect())
}
