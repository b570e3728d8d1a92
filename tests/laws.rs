//! Laws that hold for every section, over random outlines: star-shaped rings of lines and arcs, some with a hole.
//! The laws are common knowledge of mechanics and need no source.

use crate::common;

use std::f64::consts::{PI, TAU};

use common::draw::{Dress, Outline, Vertex, draw, drawing, loose_edges, lwpolyline, shuffled};
use common::seed::{properties, with_seed};
use common::truth::{Truth, compare, power, scaled_and_moved};
use common::{Row, columns, figure, only_row, schedule};
use proptest::prelude::*;
use tracearm::measure::Options;

/// Both sides of a law are measured, each good to a few units in the twelfth place.
const AGREE: f64 = 1e-10;

/// A star-shaped ring about `center`: `corners` are (share of an even step off the even direction, radius, bulge).
fn star(center: [f64; 2], corners: &[(f64, f64, f64)], squash: f64, turn: f64) -> Vec<Vertex> {
    let (sine, cosine) = turn.sin_cos();
    let step = TAU / corners.len() as f64;
    let corner = |(i, (off, radius, bulge)): (usize, &(f64, f64, f64))| {
        let angle = step * (i as f64 + off);
        let (x, y) = (radius * angle.cos(), squash * radius * angle.sin());
        [center[0] + cosine * x - sine * y, center[1] + sine * x + cosine * y, *bulge]
    };
    corners.iter().enumerate().map(corner).collect()
}

/// Corners within a quarter step of their even directions and bulges up to 0.1: no two edges can meet.
fn corners(low: f64, high: f64) -> impl Strategy<Value = Vec<(f64, f64, f64)>> {
    let bulge = prop_oneof![2 => Just(0.0), 3 => -0.1..0.1];
    prop::collection::vec((-0.25..0.25, low..high, bulge), 5..9)
}

prop_compose! {
    /// Centre, ring.
    fn solid()(
        x in -300.0..300.0, y in -300.0..300.0, outer in corners(60.0, 100.0), squash in 0.7..1.0, turn in 0.0..TAU,
    ) -> ([f64; 2], Vec<Vertex>) {
        ([x, y], star([x, y], &outer, squash, turn))
    }
}

prop_compose! {
    fn holed()(
        (center, ring) in solid(), inner in corners(6.0, 14.0), turn in 0.0..TAU, has_hole in any::<bool>(),
    ) -> Outline {
        let mut loops = vec![ring];
        if has_hole {
            loops.push(star(center, &inner, 1.0, turn));
        }
        Outline::Loops(loops)
    }
}

fn measured(outline: &Outline) -> Row {
    only_row(&format!("{outline:?}"), &draw(outline, Dress::Closed))
}

/// The figures of a row that `compare` knows.
fn figures(row: &Row) -> Truth {
    let dimensional =
        columns().into_iter().filter(|(key, unit)| !unit.is_empty() && key != "mass_per_length");
    dimensional.map(|(key, _)| (key.clone(), figure(row, &key))).collect()
}

/// The outline with each corner mapped and each bulge multiplied by `sign`.
fn changed(outline: &Outline, sign: f64, map: impl Fn(f64, f64) -> [f64; 2]) -> Outline {
    let Outline::Loops(loops) = outline else { panic!("loops only") };
    let corner = |v: &Vertex| {
        let [x, y] = map(v[0], v[1]);
        [x, y, sign * v[2]]
    };
    Outline::Loops(loops.iter().map(|l| l.iter().map(corner).collect()).collect())
}

/// Swaps two figures.
fn swap(truth: &mut Truth, a: &str, b: &str) {
    let (x, y) = (truth[a], truth[b]);
    truth.insert(a.to_owned(), y);
    truth.insert(b.to_owned(), x);
}

fn negate(truth: &mut Truth, key: &str) {
    let value = -truth[key];
    truth.insert(key.to_owned(), value);
}

/// An angle in degrees brought into (−90, 90].
fn axis_angle(degrees: f64) -> f64 {
    let turned = degrees.rem_euclid(180.0);
    if turned > 90.0 { turned - 180.0 } else { turned }
}

fn near(a: f64, b: f64, scale: f64) -> bool {
    (a - b).abs() <= AGREE * scale.abs()
}

properties! { "LAWS_SEED", 0x5ec7, 60;
    /// A figure moved keeps everything but its place.
    #[test]
    fn moved(outline in holed(), dx in -500.0..500.0, dy in -500.0..500.0) {
        let truth = scaled_and_moved(&figures(&measured(&outline)), 1.0, [dx, dy]);
        let row = measured(&changed(&outline, 1.0, |x, y| [x + dx, y + dy]));
        compare("moved", &row, &truth, AGREE);
    }

    /// A figure k times as large: area k², moduli k³, second moments k⁴, lengths k.
    #[test]
    fn scaled(outline in holed(), k in 0.02..40.0) {
        let truth = scaled_and_moved(&figures(&measured(&outline)), k, [0.0, 0.0]);
        let row = measured(&changed(&outline, 1.0, |x, y| [k * x, k * y]));
        prop_assert_eq!((power("area"), power("plastic_modulus_1"), power("second_moment_x")), (2, 3, 4));
        compare("scaled", &row, &truth, AGREE);
    }

    /// Mirrored in the y axis: the product moment and the principal angle change sign, left and right change places.
    #[test]
    fn mirrored(outline in holed()) {
        let mut truth = figures(&measured(&outline));
        for key in ["product_moment_xy", "centroid_x", "x_min", "x_max", "plastic_axis_x"] {
            negate(&mut truth, key);
        }
        let angle = axis_angle(-truth["principal_angle"]);
        truth.insert("principal_angle".to_owned(), angle);
        swap(&mut truth, "x_min", "x_max");
        swap(&mut truth, "elastic_modulus_y_left", "elastic_modulus_y_right");
        // Axis 1 keeps its top; with it to the right, left and right change places.
        swap(&mut truth, "elastic_modulus_2_left", "elastic_modulus_2_right");
        compare("mirrored", &measured(&changed(&outline, -1.0, |x, y| [-x, y])), &truth, AGREE);
    }

    /// A quarter turn anticlockwise swaps the second moments about x and y and flips the product moment.
    #[test]
    fn turned_by_a_quarter(outline in holed()) {
        let mut truth = figures(&measured(&outline));
        for (x, y) in [
            ("second_moment_x", "second_moment_y"),
            ("gyration_x", "gyration_y"),
            ("plastic_modulus_x", "plastic_modulus_y"),
            ("plastic_axis_x", "plastic_axis_y"),
            ("centroid_x", "centroid_y"),
            ("x_min", "y_min"),
            ("x_max", "y_max"),
        ] {
            swap(&mut truth, x, y);
        }
        // (x, y) goes to (−y, x): what was the right is the top, what was the top is the left.
        for key in ["product_moment_xy", "centroid_x", "x_min", "x_max", "plastic_axis_x"] {
            negate(&mut truth, key);
        }
        swap(&mut truth, "x_min", "x_max");
        let [top, bottom, left, right] =
            ["x_top", "x_bottom", "y_left", "y_right"].map(|side| truth[&format!("elastic_modulus_{side}")]);
        for (side, value) in [("x_top", right), ("x_bottom", left), ("y_left", top), ("y_right", bottom)] {
            truth.insert(format!("elastic_modulus_{side}"), value);
        }
        let before = truth["principal_angle"];
        let angle = axis_angle(before + 90.0);
        truth.insert("principal_angle".to_owned(), angle);
        if angle != before + 90.0 {
            swap(&mut truth, "elastic_modulus_1_top", "elastic_modulus_1_bottom");
            swap(&mut truth, "elastic_modulus_2_left", "elastic_modulus_2_right");
        }
        compare("turned", &measured(&changed(&outline, 1.0, |x, y| [-y, x])), &truth, AGREE);
    }

    /// Turned by any angle: invariants stay, the tensor turns, the principal axes turn along.
    #[test]
    fn turned(outline in holed(), angle in -PI..PI) {
        let before = figures(&measured(&outline));
        let (sine, cosine) = angle.sin_cos();
        let row = measured(&changed(&outline, 1.0, |x, y| [cosine * x - sine * y, sine * x + cosine * y]));
        let after = figures(&row);
        let tensor = |t: &Truth| (t["second_moment_x"], t["second_moment_y"], t["product_moment_xy"]);
        let ((ix, iy, ixy), (jx, jy, jxy)) = (tensor(&before), tensor(&after));
        prop_assert!(near(ix + iy, jx + jy, ix + iy));
        prop_assert!(near(ix * iy - ixy * ixy, jx * jy - jxy * jxy, ix * iy));
        let (sine2, cosine2) = (2.0 * angle).sin_cos();
        prop_assert!(near(jx, 0.5 * (ix + iy) + 0.5 * (ix - iy) * cosine2 + ixy * sine2, ix + iy));
        prop_assert!(near(jxy, 0.5 * (iy - ix) * sine2 + ixy * cosine2, ix + iy));
        let (cx, cy) = (before["centroid_x"], before["centroid_y"]);
        prop_assert!(near(after["centroid_x"], cosine * cx - sine * cy, 300.0));
        prop_assert!(near(after["centroid_y"], sine * cx + cosine * cy, 300.0));
        let softness = before["second_moment_1"] / (before["second_moment_1"] - before["second_moment_2"]);
        for key in ["area", "perimeter", "second_moment_1", "second_moment_2", "gyration_1", "gyration_2"] {
            prop_assert!(near(before[key], after[key], before[key]), "{}", key);
        }
        for key in ["plastic_modulus_1", "plastic_modulus_2"] {
            prop_assert!(near(before[key], after[key], before[key] * softness), "{}", key);
        }
        let turn = axis_angle(after["principal_angle"] - before["principal_angle"] - angle.to_degrees());
        prop_assert!(turn.to_radians().abs() <= AGREE * softness, "principal axes off by {}°", turn);
    }

    /// Two halves sum back to the whole: areas, first moments, second moments about common axes.
    #[test]
    fn split_in_two((center, ring) in solid(), first in 0_usize..20, second in 0_usize..20) {
        let n = ring.len();
        let first = first % n;
        // At least one corner between the two cuts on either side.
        let second = (first + 2 + second % (n - 3)) % n;
        let part = |from: usize, to: usize| {
            let count = (to + n - from) % n;
            let mut corners: Vec<Vertex> = (0..=count).map(|k| ring[(from + k) % n]).collect();
            corners[count][2] = 0.0;
            corners.push([center[0], center[1], 0.0]);
            figures(&measured(&Outline::Loops(vec![corners])))
        };
        let halves = [part(first, second), part(second, first)];
        let whole = figures(&measured(&Outline::Loops(vec![ring])));
        // About the axes through `center`, by the parallel-axis theorem.
        let about = |t: &Truth| {
            let (a, x, y) = (t["area"], t["centroid_x"] - center[0], t["centroid_y"] - center[1]);
            [
                a,
                a * x,
                a * y,
                t["second_moment_x"] + a * y * y,
                t["second_moment_y"] + a * x * x,
                t["product_moment_xy"] + a * x * y,
            ]
        };
        let (sum, parts) = (about(&whole), halves.map(|h| about(&h)));
        let scales = [sum[0], sum[0] * 100.0, sum[0] * 100.0, sum[3], sum[4], sum[3] + sum[4]];
        for k in 0..6 {
            prop_assert!(near(sum[k], parts[0][k] + parts[1][k], scales[k]), "quantity {}", k);
        }
    }

    /// Two equal bodies side by side: I = 2 (Ic + A d²), the parallel-axis theorem.
    #[test]
    fn parallel_axes((_, ring) in solid(), dx in 210.0..600.0, dy in -600.0..600.0) {
        let one = figures(&measured(&Outline::Loops(vec![ring.clone()])));
        let copy = ring.iter().map(|v| [v[0] + dx, v[1] + dy, v[2]]).collect();
        let row = measured(&Outline::Loops(vec![ring, copy]));
        prop_assert_eq!(row["parts"].as_str(), "2");
        let both = figures(&row);
        let a = one["area"];
        prop_assert!(near(both["area"], 2.0 * a, a));
        let [x, y, xy] = [0.25 * dy * dy, 0.25 * dx * dx, 0.25 * dx * dy].map(|d| 2.0 * a * d);
        let scale = x + y;
        prop_assert!(near(both["second_moment_x"], 2.0 * one["second_moment_x"] + x, scale));
        prop_assert!(near(both["second_moment_y"], 2.0 * one["second_moment_y"] + y, scale));
        prop_assert!(near(both["product_moment_xy"], 2.0 * one["product_moment_xy"] + xy, scale));
    }

    /// Rings drawn the other way round, and from another corner, are the same section.
    #[test]
    fn reversed(outline in holed(), start in 0_usize..20) {
        let Outline::Loops(loops) = &outline else { panic!("loops only") };
        let back = |ring: &Vec<Vertex>| -> Vec<Vertex> {
            let n = ring.len();
            // Edge k runs from corner k; backwards, the edge from corner k is the one that ended there.
            let mut back: Vec<Vertex> =
                (0..n).rev().map(|k| [ring[k][0], ring[k][1], -ring[(k + n - 1) % n][2]]).collect();
            back.rotate_left(start % n);
            back
        };
        let row = measured(&Outline::Loops(loops.iter().map(back).collect()));
        compare("reversed", &row, &figures(&measured(&outline)), 1e-12);
    }

    /// The order in which entities are drawn does not change a byte of the schedule.
    #[test]
    fn reordered(outline in holed()) {
        let Outline::Loops(loops) = &outline else { panic!("loops only") };
        let closed: Vec<String> = loops.iter().map(|l| lwpolyline("A", l)).collect();
        let loose: Vec<String> = loops.iter().flat_map(|l| loose_edges("B", l)).collect();
        let written = [closed.clone(), loose.clone()].concat();
        let reversed: Vec<String> = written.iter().rev().cloned().collect();
        let rows = [written.concat(), reversed.concat(), shuffled(written)]
            .map(|entities| schedule("order", drawing(4, "", &entities).as_bytes(), &Options::default()));
        prop_assert_eq!(rows[0].len(), 2);
        for other in &rows[1..] {
            for (a, b) in rows[0].iter().zip(other) {
                for (key, text) in a {
                    prop_assert_eq!(text, &b[key], "{} of layer {}", key, &a["layer"]);
                }
            }
        }
    }

    /// A section yields before it is all plastic: every plastic modulus is at least the smaller elastic one.
    #[test]
    fn plastic_is_no_less_than_elastic(outline in holed()) {
        let t = figures(&measured(&outline));
        for (axis, sides) in [("x", ["top", "bottom"]), ("y", ["left", "right"]), ("1", ["top", "bottom"]), ("2", ["left", "right"])] {
            let elastic = sides.map(|side| t[&format!("elastic_modulus_{axis}_{side}")]);
            let plastic = t[&format!("plastic_modulus_{axis}")];
            prop_assert!(plastic >= elastic[0].min(elastic[1]), "axis {}: {} < {:?}", axis, plastic, elastic);
        }
    }
}
