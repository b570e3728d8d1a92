//! Torsion, warping and shear constants against closed forms, against laws, and over random sections.

#[path = "field/comparison.rs"]
pub mod comparison;
#[path = "field/shapes.rs"]
pub mod shapes;

use std::collections::BTreeMap;
use std::time::{Duration, Instant};

use crate::common;
use crate::slips;
use common::shapes::Random;
use common::table;
use comparison::{are_of_one_section, compare_with_row};
use serde_json::Value;
use shapes::{
    arc_strip, channel, circle, ellipse, field, mapped, profile_i, random, rectangle, region, ring, star,
};
use tracearm::drawing::Drawing;
use tracearm::field::{FieldOptions, FieldProperties, TorsionalStress};
use tracearm::geometry::{Affine, Point};
use tracearm::measure::{self, Options};
use tracearm::region::{Region, resolve};
use tracearm::section::Section;

type Row = BTreeMap<String, String>;

fn parameter(row: &Row, name: &str) -> Option<f64> {
    let all: Value = serde_json::from_str(&row["params"]).expect("parameters");
    all[name].as_f64()
}

/// The shape of a row of shared/check-values/torsion.csv; thin walls so many times as thin as it says.
fn drawn(row: &Row, thinner: f64) -> Region {
    let p = |name: &str| parameter(row, name).unwrap_or_else(|| panic!("{}: no {name}", row["id"]));
    region(&match row["kind"].as_str() {
        "rectangle" => vec![rectangle(3.0, -5.0, 3.0 + p("a"), p("b") - 5.0)],
        "circle" => vec![circle(7.0, 11.0, p("r"))],
        "ring" => vec![circle(7.0, 11.0, p("outer")), circle(7.0, 11.0, p("inner"))],
        "ellipse" => vec![ellipse(p("a"), p("b"))],
        "hollow ellipse" => vec![ellipse(p("a"), p("b")), ellipse(p("q") * p("a"), p("q") * p("b"))],
        "triangle" => {
            vec![ring(&[[0.0; 3], [p("a"), 0.0, 0.0], [0.5 * p("a"), 0.75_f64.sqrt() * p("a"), 0.0]])]
        }
        "semicircle" => vec![ring(&[[p("r"), 0.0, 1.0], [-p("r"), 0.0, 0.0]])],
        "sector" => {
            let (r, angle) = (p("r"), p("angle_deg").to_radians());
            vec![ring(&[[0.0; 3], [r, 0.0, (0.25 * angle).tan()], [r * angle.cos(), r * angle.sin(), 0.0]])]
        }
        "I" => vec![profile_i(p("h"), p("b"), p("web"), p("flange"), p("radius"))],
        "channel" => vec![channel(p("h"), p("b"), p("web"), p("flange"), p("radius"))],
        // From here on by the middles of the walls, the web's at x = 0 or the foot's at y = 0.
        "thin channel" => {
            let t = p("t") / thinner;
            let (h, b) = (p("h_mid") + t, p("b_mid") + 0.5 * t);
            let moved = Affine::translation(Point::new(-0.5 * t, 0.0));
            vec![mapped(&channel(h, b, t, t, 0.0), &moved)]
        }
        "thin lipped channel" => {
            let t = p("t") / thinner;
            let (h, b, lip) = (p("h_mid"), p("b_mid"), p("lip"));
            let g = 0.5 * t;
            vec![ring(&[
                [-g, -g, 0.0],
                [b + g, -g, 0.0],
                [b + g, lip, 0.0],
                [b - g, lip, 0.0],
                [b - g, g, 0.0],
                [g, g, 0.0],
                [g, h - g, 0.0],
                [b - g, h - g, 0.0],
                [b - g, h - lip, 0.0],
                [b + g, h - lip, 0.0],
                [b + g, h + g, 0.0],
                [-g, h + g, 0.0],
            ])]
        }
        "thin I" => {
            let [foot, head, web] = ["t_bot", "t_top", "tw"].map(|name| p(name) / thinner);
            let (a, b, w, h) = (0.5 * p("b_bot"), 0.5 * p("b_top"), 0.5 * web, p("h_mid"));
            vec![ring(&[
                [-a, -0.5 * foot, 0.0],
                [a, -0.5 * foot, 0.0],
                [a, 0.5 * foot, 0.0],
                [w, 0.5 * foot, 0.0],
                [w, h - 0.5 * head, 0.0],
                [b, h - 0.5 * head, 0.0],
                [b, h + 0.5 * head, 0.0],
                [-b, h + 0.5 * head, 0.0],
                [-b, h - 0.5 * head, 0.0],
                [-w, h - 0.5 * head, 0.0],
                [-w, 0.5 * foot, 0.0],
                [-a, 0.5 * foot, 0.0],
            ])]
        }
        "thin arc" => vec![arc_strip(p("r_mid"), p("t") / thinner, p("half_angle_deg").to_radians())],
        other => panic!("{other}"),
    })
}

fn rows() -> Vec<Row> {
    table("shared/check-values/torsion.csv")
}

fn number(row: &Row, column: &str) -> Option<f64> {
    row[column].parse().ok()
}

fn is_thin(row: &Row) -> bool {
    row["kind"].starts_with("thin")
}

#[test]
fn torsion_constants_of_closed_forms_lie_between_their_bounds() {
    let mut held = 0;
    for row in rows() {
        let Some(constant) = number(&row, "torsion_constant") else { continue };
        for tolerance in [1e-2, 1e-3, 1e-4, 1e-5] {
            let field = field(&drawn(&row, 1.0), tolerance, 0.0);
            let torsion = field.torsion;
            // Half a digit of what is printed, where that is rounded.
            let printed = row["torsion_constant"].split_once('.').map_or(0, |(_, decimals)| decimals.len());
            let rounded = 0.5 * 10_f64.powi(-(printed as i32));
            assert!(
                torsion.lower - rounded <= constant && constant <= torsion.upper + rounded,
                "{} at {tolerance}: {torsion:?}, not {constant}",
                row["id"]
            );
            assert!(torsion.upper - torsion.lower <= tolerance * torsion.value, "{}: {torsion:?}", row["id"]);
            assert!(field.is_within_tolerance);
            held += 1;
        }
    }
    assert_eq!(held, 4 * 16);
}

#[test]
fn the_largest_stress_is_that_of_closed_forms() {
    let mut held = 0;
    for row in rows() {
        let Some(modulus) = number(&row, "torsion_modulus") else { continue };
        for tolerance in [1e-3, 1e-4, 1e-5] {
            let field = field(&drawn(&row, 1.0), tolerance, 0.0);
            let TorsionalStress::Largest { per_torque, .. } = field.stress else {
                panic!("{} has no sharp corner", row["id"]);
            };
            let off = (per_torque.value * modulus - 1.0).abs();
            assert!(off <= 10.0 * tolerance, "{} at {tolerance}: {off}", row["id"]);
            assert!(
                off * per_torque.value <= per_torque.error,
                "{} at {tolerance}: {off:e}, {per_torque:?}",
                row["id"]
            );
            held += 1;
        }
    }
    assert_eq!(held, 3 * 11);
}

#[test]
fn shear_factors_are_those_of_closed_forms() {
    for row in rows().iter().filter(|row| !row["shear_factor"].is_empty()) {
        let factor = number(row, "shear_factor").expect("a number");
        let shape = drawn(row, 1.0);
        let field = field(&shape, 1e-3, parameter(row, "poisson").unwrap_or(0.0));
        let area = Section::of(&shape).expect("a section").area;
        let areas = field.shear_areas.expect("one body");
        for figure in [areas.x, areas.y, areas.axis_1, areas.axis_2] {
            let got = figure.value / area;
            assert!((got - factor).abs() < 1e-4, "{}: {got}, not {factor}", row["id"]);
            assert!((figure.value - factor * area).abs() <= figure.error.max(1e-9 * area), "{figure:?}");
        }
    }
}

#[test]
fn shear_centres_are_those_of_closed_forms() {
    for row in rows().iter().filter(|row| !is_thin(row) && !row["shear_centre"].is_empty()) {
        let expected = number(row, "shear_centre").expect("a number");
        let shape = drawn(row, 1.0);
        let centre = field(&shape, 1e-3, 0.0).shear_centre.expect("one body");
        // The channel's lies outside, to the left of its web; the half circle's above its diameter.
        let got = if row["kind"] == "channel" { -centre.at.x } else { centre.at.y };
        assert!((got - expected).abs() < 1e-3 * shape.bounds().size(), "{}: {centre:?}", row["id"]);
        assert!((got - expected).abs() <= centre.error, "{}: {centre:?}", row["id"]);
    }
}

#[test]
fn warping_constants_and_shear_centres_come_to_those_of_thin_walls() {
    for row in rows().iter().filter(|row| is_thin(row)) {
        let (warping, centre) = (
            number(row, "warping_constant").expect("a number"),
            number(row, "shear_centre").expect("a number"),
        );
        let off = |thinner: f64| {
            let shape = drawn(row, thinner);
            let field = field(&shape, 1e-3, 0.0);
            let place = field.shear_centre.expect("one body").at;
            let place = match row["kind"].as_str() {
                "thin I" => place.y,
                "thin arc" => place.x,
                _ => -place.x,
            };
            // The sectorial constant grows with the thickness alone.
            let warping = field.warping.expect("one body").value * thinner / warping - 1.0;
            [warping.abs(), (place - centre).abs() / shape.bounds().size()]
        };
        let (thick, thin) = (off(4.0), off(40.0));
        for (name, (thick, thin)) in ["warping", "centre"].into_iter().zip(thick.into_iter().zip(thin)) {
            assert!(thin < 1e-3, "{} {name}: {thin:e}", row["id"]);
            assert!(thin < 0.5 * thick || thin < 2e-5, "{} {name}: {thick:e} {thin:e}", row["id"]);
        }
    }
}

#[test]
fn warping_constants_are_those_of_another_program() {
    for row in rows().iter().filter(|row| !is_thin(row) && !row["warping_constant"].is_empty()) {
        let expected = number(row, "warping_constant").expect("a number");
        let warping = field(&drawn(row, 1.0), 1e-3, 0.0).warping.expect("one body");
        assert!((warping.value / expected - 1.0).abs() < 1e-4, "{}: {warping:?}", row["id"]);
    }
}

/// Six sections without closed form, three of them with holes, by scikit-fem (tests/second_opinion/torsion.py), whose figures are
/// good to 1e-5, at Poisson's ratio 0.3.
#[test]
fn constants_are_those_of_scikit_fem() {
    let shapes = [
        ("angle 100x75x10", vec![rectangle(0.0, 0.0, 10.0, 100.0), rectangle(10.0, 0.0, 75.0, 10.0)]),
        ("tee 120x90x8x14", vec![rectangle(0.0, 0.0, 120.0, 14.0), rectangle(50.0, 14.0, 58.0, 90.0)]),
        (
            "channel of unequal flanges",
            vec![
                rectangle(0.0, 0.0, 8.0, 160.0),
                rectangle(8.0, 0.0, 90.0, 12.0),
                rectangle(8.0, 150.0, 60.0, 160.0),
            ],
        ),
        ("box of unequal walls", vec![rectangle(0.0, 0.0, 100.0, 80.0), rectangle(5.0, 8.0, 90.0, 68.0)]),
        (
            "box of two cells",
            vec![
                rectangle(0.0, 0.0, 150.0, 80.0),
                rectangle(6.0, 10.0, 60.0, 72.0),
                rectangle(68.0, 10.0, 138.0, 72.0),
            ],
        ),
        ("ring of an eccentric hole", vec![circle(0.0, 0.0, 50.0), circle(15.0, 0.0, 25.0)]),
    ];
    let stored = table("tests/second_opinion/torsion.csv");
    assert_eq!(stored.len(), shapes.len());
    for ((name, rings), row) in shapes.into_iter().zip(&stored) {
        assert_eq!(row["section"], name);
        let shape = region(&rings);
        for tolerance in [1e-3, 1e-4] {
            compare_with_row(name, row, &field(&shape, tolerance, 0.3), 1e-6, 1.0);
        }
    }
}

/// A tube of the radius r and the thin wall t has 2πr³t; slit open it has 2πrt³/3, warps by (2π³/3 − 4π)tr⁵, and its shear
/// centre lies at 2r from its middle (Timoshenko & Gere, from memory).
#[test]
fn a_slit_tube_is_no_tube() {
    use std::f64::consts::PI;
    let (r, t, slit) = (100.0, 0.5, 0.01);
    let tube = [circle(0.0, 0.0, r + 0.5 * t), circle(0.0, 0.0, r - 0.5 * t)];
    let closed = field(&region(&tube), 1e-4, 0.0);
    let slit = rectangle(-r - t, -0.5 * slit, -r + t, 0.5 * slit);
    let open = field(&resolve(&tube, &[slit]).region.expect("a region"), 1e-4, 0.0);
    let near = |got: f64, expected: f64, within: f64| {
        assert!((got / expected - 1.0).abs() < within, "{got}, not {expected}");
    };
    near(closed.torsion.value, 2.0 * PI * r.powi(3) * t, 1e-4);
    near(open.torsion.value, 2.0 * PI * r * t.powi(3) / 3.0, 3e-3);
    near(open.warping.expect("one body").value, (2.0 * PI.powi(3) / 3.0 - 4.0 * PI) * t * r.powi(5), 1e-3);
    near(open.shear_centre.expect("one body").at.x, 2.0 * r, 1e-3);
    let centre = closed.shear_centre.expect("one body");
    assert!(centre.at.x.abs() < 1e-3 && centre.at.y.abs() < 1e-3);
}

/// The constants of a section and of the same moved, turned, mirrored and scaled.
#[test]
fn constants_do_not_depend_on_how_a_section_lies() {
    let tolerance = 1e-4;
    for seed in 0..12 {
        let random = &mut Random((40_000 + seed) * 1_000_003);
        let outline = star(random, 0.0, 0.0, 40.0);
        let shape = resolve(&[outline.clone(), circle(200.0, 0.0, 1.0)], &[]).region.expect("a region");
        // The largest part alone is of one body.
        let shape = shape.split().max_by(|a, b| a.parts[0].edge.area().total_cmp(&b.parts[0].edge.area()));
        let shape = shape.expect("a part");
        let (turn, scale) = (random.within(-3.0, 3.0), random.within(0.1, 7.0));
        let (s, c) = turn.sin_cos();
        let mirror = if seed % 2 == 0 { 1.0 } else { -1.0 };
        let map = Affine {
            xx: scale * c,
            xy: -scale * s * mirror,
            yx: scale * s,
            yy: scale * c * mirror,
            offset: Point::new(random.within(-500.0, 500.0), random.within(-500.0, 500.0)),
        };
        let rings: Vec<_> = shape.rings().map(|(_, ring)| mapped(ring, &map)).collect();
        let (a, b) = (field(&shape, tolerance, 0.3), field(&region(&rings), tolerance, 0.3));
        are_of_one_section(&format!("seed {seed}"), &a, &b, &map, scale);
    }
}

#[test]
fn more_material_never_has_a_lower_torsion_constant() {
    for seed in 0..20 {
        let random = &mut Random((70_000 + seed) * 1_000_003);
        let less = vec![star(random, 0.0, 0.0, 40.0)];
        let (x, y) = (random.within(-30.0, 30.0), random.within(-30.0, 30.0));
        let mut more = less.clone();
        more.push(star(random, x, y, 30.0));
        let (less, more) = (field(&region(&less), 1e-3, 0.0), field(&region(&more), 1e-3, 0.0));
        assert!(
            less.torsion.lower <= more.torsion.upper,
            "seed {seed}: {:?} {:?}",
            less.torsion,
            more.torsion
        );
    }
}

#[test]
fn touching_plates_are_one_piece() {
    let plates = [
        rectangle(0.0, 0.0, 100.0, 12.0),
        rectangle(46.0, 12.0, 54.0, 188.0),
        rectangle(0.0, 188.0, 100.0, 200.0),
    ];
    let whole = Affine::translation(Point::new(50.0, 0.0));
    let whole = field(&region(&[mapped(&profile_i(200.0, 100.0, 8.0, 12.0, 0.0), &whole)]), 1e-4, 0.0);
    let built = field(&region(&plates), 1e-4, 0.0);
    assert_eq!(built.bodies, 1);
    assert!(
        (whole.torsion.value - built.torsion.value).abs() <= whole.torsion.error() + built.torsion.error()
    );
    let (a, b) = (whole.warping.expect("one"), built.warping.expect("one"));
    assert!((a.value - b.value).abs() <= a.error + b.error);
}

#[test]
fn bodies_that_touch_in_a_point_are_twisted_each_by_itself() {
    let one = field(&region(&[rectangle(0.0, 0.0, 100.0, 20.0)]), 1e-4, 0.0);
    let apart = [rectangle(0.0, 0.0, 100.0, 20.0), rectangle(0.0, 30.0, 100.0, 50.0)];
    let touching = [rectangle(0.0, 0.0, 100.0, 20.0), rectangle(100.0, 20.0, 200.0, 40.0)];
    for pair in [apart, touching] {
        let both = field(&region(&pair), 1e-4, 0.0);
        assert_eq!(both.bodies, 2);
        assert!(
            (both.torsion.value - 2.0 * one.torsion.value).abs()
                <= both.torsion.error() + 2.0 * one.torsion.error()
        );
        assert!(both.shear_centre.is_none() && both.warping.is_none());
        assert!(both.shear_areas.is_none() && both.monosymmetry.is_none());
    }
}

/// A hole that touches the edge leaves the section open there, as one does that a thin slit joins to the outside.
#[test]
fn a_hole_that_touches_the_edge_is_no_closed_cell() {
    let plate = rectangle(0.0, 0.0, 100.0, 60.0);
    let near = field(&region(&[plate.clone(), circle(30.0, 20.5, 20.0)]), 1e-4, 0.0);
    let touching = field(&region(&[plate.clone(), circle(30.0, 20.0, 20.0)]), 1e-4, 0.0);
    let slit = rectangle(29.999, -1.0, 30.001, 1.0);
    let slit = resolve(&[plate, circle(30.0, 20.0, 20.0)], &[slit]).region.expect("a region");
    let slit = field(&slit, 1e-4, 0.0);
    assert_eq!((touching.bodies, slit.bodies), (1, 1));
    assert!((touching.torsion.value / slit.torsion.value - 1.0).abs() < 1e-3, "{touching:?} {slit:?}");
    assert!(near.torsion.lower > touching.torsion.upper);
}

#[test]
fn sharp_corners_have_no_bound() {
    let sharp = field(&region(&[channel(200.0, 75.0, 8.5, 11.5, 0.0)]), 1e-3, 0.0);
    let TorsionalStress::Unbounded { at, corners } = sharp.stress else { panic!("{sharp:?}") };
    assert!(at.distance(Point::new(8.5, 11.5)) < 1e-9 && corners == 2, "{at:?} {corners}");
    let filleted = field(&region(&[channel(200.0, 75.0, 8.5, 11.5, 11.5)]), 1e-3, 0.0);
    assert!(matches!(filleted.stress, TorsionalStress::Largest { .. }));
}

#[test]
fn the_same_section_gives_the_same_bits() {
    let shape = region(&[rectangle(0.0, 0.0, 100.0, 60.0), circle(30.0, 25.0, 20.0)]);
    assert_eq!(field(&shape, 1e-4, 0.3), field(&shape, 1e-4, 0.3));
}

#[test]
fn options_out_of_range_are_refused() {
    let shape = region(&[rectangle(0.0, 0.0, 100.0, 60.0)]);
    let section = Section::of(&shape).expect("a section");
    for (tolerance, poisson) in
        [(0.0, 0.0), (f64::NAN, 0.0), (1.0, 0.0), (1e-3, -0.1), (1e-3, 0.51), (1e-3, f64::NAN)]
    {
        let options = FieldOptions::new(tolerance, poisson);
        assert!(FieldProperties::of(&shape, &section, &options).is_err(), "{options:?}");
    }
}

/// One of so many random sections is drawn with slips.
const OF_SLIPS: u64 = 6;

/// The section of random outlines and voids.
fn resolved(seed: u64) -> Option<(Region, Section)> {
    let (rings, voids) = random(seed);
    let shape = resolve(&rings, &voids).region?;
    let section = Section::of(&shape).ok()?;
    Some((shape, section))
}

/// That of loose lines and arcs with slips of drafting, joined as they are when a drawing is measured.
fn slipped(seed: u64) -> Option<(Region, Section)> {
    let drawing = Drawing::read(slips::dxf(seed).as_bytes()).expect("a drawing");
    let measured = measure::drawing("slips.dxf", &drawing, &Options::default());
    let row = measured.measurements.first()?;
    Some((row.region()?.clone(), row.properties()?.clone()))
}

/// Never a panic, never bounds the wrong way round, none longer than five seconds as built for release; tells how many could not be meshed.
fn try_random(seeds: std::ops::Range<u64>) {
    // The program as it is built for tests checks itself at every step.
    const LONGEST: Duration = Duration::from_secs(if cfg!(debug_assertions) { 30 } else { 5 });
    let (mut done, mut refused, mut coarse, mut slips, mut slowest) = (0, 0, 0, 0, (Duration::ZERO, 0));
    for seed in seeds {
        let is_slipped = seed % OF_SLIPS == 0;
        let shape = if is_slipped { slipped(seed) } else { resolved(seed) };
        let Some((shape, section)) = shape else { continue };
        slips += u32::from(is_slipped);
        let start = Instant::now();
        match FieldProperties::of(&shape, &section, &FieldOptions::new(1e-3, 0.3)) {
            Ok(field) => {
                assert!(field.check(), "seed {seed}: {field:?}");
                coarse += u32::from(!field.is_within_tolerance);
                done += 1;
            }
            Err(error) => {
                println!("seed {seed}: {error}");
                refused += 1;
            }
        }
        let taken = start.elapsed();
        slowest = slowest.max((taken, seed));
        assert!(taken < LONGEST, "seed {seed}: {taken:?}");
    }
    let (longest, seed) = slowest;
    println!(
        "{done} solved, {coarse} of them coarse, {refused} refused; {slips} with slips; the slowest, seed {seed}, took {longest:?}"
    );
    assert!(slips > 0 && done > 0);
    assert!(refused * 100 <= done, "more than one in a hundred is refused");
}

#[test]
fn random_sections_are_solved_or_refused() {
    try_random(0..200);
}

#[test]
#[ignore = "takes minutes"]
fn ten_thousand_random_sections_are_solved_or_refused() {
    try_random(0..10_000);
}
