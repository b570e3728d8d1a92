//! Torsion, warping and shear constants of sections of several materials against closed forms, limits and another program.

use crate::common;
use crate::field::comparison::{are_of_one_section, compare_with_row};
use crate::field::shapes;
use common::table;
use shapes::{circle, mapped, rectangle, region, ring};
use tracearm::field::{FieldBody, FieldErrorKind, FieldOptions, FieldProperties, TorsionalStress};
use tracearm::geometry::{Affine, Point};
use tracearm::region::Region;
use tracearm::section::{Section, WeightedRegion};

/// A body: where it is, and its elastic and shear modulus over those of the reference.
type Body = (Region, f64, f64);

/// The constants of bodies, which must be sound, with their transformed section.
fn field(bodies: &[Body], tolerance: f64, poisson: f64) -> (FieldProperties, Section) {
    let weighted: Vec<WeightedRegion> = bodies
        .iter()
        .map(|(region, ratio, _)| WeightedRegion { ratio: *ratio, region: region.clone() })
        .collect();
    let section = Section::transformed(&weighted).expect("a section");
    let taken: Vec<FieldBody<'_>> = bodies
        .iter()
        .map(|(region, elastic, shear)| FieldBody { region, elastic: *elastic, shear: *shear })
        .collect();
    let field = FieldProperties::of_bodies(&taken, &section, &FieldOptions::new(tolerance, poisson))
        .unwrap_or_else(|error| panic!("{error}"));
    assert!(field.check(), "{field:?}");
    (field, section)
}

fn block(corners: [f64; 4], elastic: f64, shear: f64) -> Body {
    let [x, y, to_x, to_y] = corners;
    (region(&[rectangle(x, y, to_x, to_y)]), elastic, shear)
}

/// The torsion constant of two blocks beside each other, `a` wide with the shear moduli `g`, both of the height b. With k = nπ/b for odd
/// n, the stress function is gᵢ(b²/4 − y²) in the middle of each, less what its sides take off; in either block the terms cosh kx and
/// sinh kx let it vanish at the outer side and be the same, with the same slope over g, where both meet (Saint-Venant's problem in
/// the manner of Muskhelishvili, Some Basic Problems of the Mathematical Theory of Elasticity, chapter 24; series worked out anew).
fn series(b: f64, a: [f64; 2], g: [f64; 2]) -> f64 {
    let mut sum = 0.0;
    for n in (1..4_000).step_by(2) {
        let k = f64::from(n) * std::f64::consts::PI / b;
        let halves = a.map(|a| (0.5 * k * a).tanh());
        let stiff: f64 = (0..2).map(|i| 1.0 / (g[i] * (k * a[i]).tanh())).sum();
        let common = (halves[0] + halves[1]) / stiff;
        let of = |i: usize| g[i] * a[i] + (common - 2.0 * g[i]) * halves[i] / k;
        sum += 32.0 / (b * k.powi(4)) * (of(0) + of(1));
    }
    sum
}

#[test]
fn two_blocks_of_unequal_shear_moduli_have_the_torsion_constant_of_a_series() {
    // The series gives what shared/check-values/torsion.csv has of one block of 100 by 20.
    assert!((series(20.0, [30.0, 70.0], [1.0, 1.0]) / 233_053.403_350_391 - 1.0).abs() < 1e-9);
    for (b, a, g) in [
        (20.0, [30.0, 70.0], [1.0, 0.2]),
        (60.0, [40.0, 25.0], [1.0, 7.5]),
        (50.0, [5.0, 80.0], [30.0, 1.0]),
        (80.0, [30.0, 30.0], [1.0, 0.01]),
    ] {
        let expected = series(b, a, g);
        for tolerance in [1e-2, 1e-3, 1e-4, 1e-5] {
            let bodies = [
                block([7.0 - a[0], 3.0, 7.0, 3.0 + b], 1.0, g[0]),
                block([7.0, 3.0, 7.0 + a[1], 3.0 + b], 1.0, g[1]),
            ];
            let (field, _) = field(&bodies, tolerance, 0.0);
            let torsion = field.torsion;
            assert!(
                torsion.lower <= expected && expected <= torsion.upper,
                "{a:?} {g:?} at {tolerance}: {torsion:?}, not {expected}"
            );
            assert!(torsion.upper - torsion.lower <= tolerance * torsion.value, "{torsion:?}");
            assert_eq!(field.bodies, 1);
            assert_eq!(field.stress, TorsionalStress::OfMaterials);
        }
    }
}

/// Circles about one middle twist as one: the torsion stiffness is the sum of those of all rings.
#[test]
fn rings_about_one_middle_are_as_stiff_as_all_together() {
    let disc = |r: f64| region(&[circle(7.0, 11.0, r)]);
    let rim = |outer: f64, inner: f64| region(&[circle(7.0, 11.0, outer), circle(7.0, 11.0, inner)]);
    let polar = |r: f64| 0.5 * std::f64::consts::PI * r.powi(4);
    let bodies = [(disc(20.0), 1.0, 1.0), (rim(35.0, 20.0), 0.3, 0.4), (rim(40.0, 35.0), 3.0, 2.5)];
    let expected = polar(20.0) + 0.4 * (polar(35.0) - polar(20.0)) + 2.5 * (polar(40.0) - polar(35.0));
    for tolerance in [1e-2, 1e-3, 1e-4, 1e-5] {
        let (field, _) = field(&bodies, tolerance, 0.0);
        let torsion = field.torsion;
        assert!(
            torsion.lower <= expected && expected <= torsion.upper,
            "at {tolerance}: {torsion:?}, not {expected}"
        );
        assert!(torsion.upper - torsion.lower <= tolerance * torsion.value, "{torsion:?}");
        let centre = field.shear_centre.expect("one body");
        assert!(centre.at.distance(Point::new(7.0, 11.0)) <= centre.error + 1e-6, "{centre:?}");
        let warping = field.warping.expect("one body");
        assert!(warping.value <= warping.error);
    }
}

/// A core that bears next to nothing leaves a tube; one that is stiff beyond measure lies in nothing.
#[test]
fn soft_cores_are_holes_in_the_end() {
    let frame = |x: f64| region(&[rectangle(0.0, 0.0, 100.0, 80.0), rectangle(x, 8.0, 90.0, 68.0)]);
    let core = region(&[rectangle(5.0, 8.0, 90.0, 68.0)]);
    let (hollow, _) = field(&[(frame(5.0), 1.0, 1.0)], 1e-4, 0.0);
    let mut last = f64::INFINITY;
    for soft in [1e-1, 1e-2, 1e-4] {
        let (filled, _) = field(&[(frame(5.0), 1.0, 1.0), (core.clone(), soft, soft)], 1e-4, 0.0);
        let more = filled.torsion.value / hollow.torsion.value - 1.0;
        assert!(more > -1e-4 && more < last, "{soft}: {more}");
        last = more;
    }
    assert!(last < 2e-4, "{last}");
}

/// The bending stress of layers one above the other is in balance with a shear stress that depends on the height alone: of a block b wide with
/// the first moment S above, it is V·S/(I·b), so that the shear area is I²·b / ∫S²/g.
#[test]
fn layers_have_the_shear_area_of_their_shear_stress() {
    let (b, layers) = (50.0, [(0.0, 30.0, 1.0, 1.0), (30.0, 42.0, 5.0, 3.0), (42.0, 80.0, 0.4, 0.7)]);
    let bodies: Vec<Body> =
        layers.iter().map(|(y, to, e, g)| block([-20.0, *y, b - 20.0, *to], *e, *g)).collect();
    let (field, section) = field(&bodies, 1e-4, 0.0);
    let (cy, second) = (section.centroid.y, section.second_moments.x);
    let above = |y: f64| -> f64 {
        layers
            .iter()
            .map(|(low, high, e, _)| {
                let low = low.max(y).min(*high);
                0.5 * e * b * ((high - cy).powi(2) - (low - cy).powi(2))
            })
            .sum()
    };
    // S is a square of y in each layer: Simpson's rule with many steps is all but exact for S².
    let energy: f64 = layers
        .iter()
        .map(|(low, high, _, g)| {
            let steps = 2_000;
            let step = (high - low) / f64::from(steps);
            let value = |k: i32| above(low + step * f64::from(k)).powi(2) / g;
            (0..steps / 2).map(|k| value(2 * k) + 4.0 * value(2 * k + 1) + value(2 * k + 2)).sum::<f64>()
                * step
                / 3.0
        })
        .sum();
    let expected = second * second * b / energy;
    let got = field.shear_areas.expect("one body").y;
    assert!((got.value / expected - 1.0).abs() < 1e-5, "{got:?}, not {expected}");
    assert!((got.value - expected).abs() <= got.error + 1e-9 * expected, "{got:?}, not {expected}");
    let centre = field.shear_centre.expect("one body");
    assert!((centre.at.x - (0.5 * b - 20.0)).abs() <= centre.error, "{centre:?}");
}

/// As scikit-fem has them (tests/second_opinion/torsion.py, as sections of one material at Poisson's ratio 0.3): bodies of equal moduli are
/// one section, and all moduli twice as large make it twice as stiff.
#[test]
fn bodies_of_equal_moduli_are_one_section() {
    let pieces = [
        ("angle 100x75x10", vec![[0.0, 0.0, 10.0, 100.0], [10.0, 0.0, 75.0, 10.0]]),
        ("tee 120x90x8x14", vec![[0.0, 0.0, 120.0, 14.0], [50.0, 14.0, 58.0, 90.0]]),
        (
            "box of unequal walls",
            vec![
                [0.0, 0.0, 100.0, 8.0],
                [0.0, 68.0, 100.0, 80.0],
                [0.0, 8.0, 5.0, 68.0],
                [90.0, 8.0, 100.0, 68.0],
            ],
        ),
    ];
    let stored = table("tests/second_opinion/torsion.csv");
    for (name, blocks) in pieces {
        let row = stored.iter().find(|row| row["section"] == name).expect(name);
        for times in [1.0, 2.0] {
            let bodies: Vec<Body> = blocks.iter().map(|corners| block(*corners, times, times)).collect();
            compare_with_row(name, row, &field(&bodies, 1e-4, 0.3).0, 1e-5, times);
            let (one, _) = field(&bodies, 1e-4, 0.3);
            assert_ne!(one.stress, TorsionalStress::OfMaterials);
        }
    }
}

/// Sections of several materials by scikit-fem (tests/second_opinion/torsion_of_materials.py).
#[test]
fn constants_of_materials_are_those_of_scikit_fem() {
    let (steel, deck, light) = ([1.0, 1.0], [0.157_143, 0.170_238], [0.333_333, 0.30]);
    let sections = [
        (
            "tee with deck",
            vec![
                ([50.0, 0.0, 58.0, 76.0], steel),
                ([0.0, 76.0, 120.0, 90.0], steel),
                ([-40.0, 90.0, 190.0, 150.0], deck),
            ],
        ),
        (
            "filled box of unequal walls",
            vec![
                ([0.0, 0.0, 100.0, 8.0], steel),
                ([0.0, 68.0, 100.0, 80.0], steel),
                ([0.0, 8.0, 5.0, 68.0], steel),
                ([90.0, 8.0, 100.0, 68.0], steel),
                ([5.0, 8.0, 90.0, 68.0], deck),
            ],
        ),
        (
            "box of two materials",
            vec![
                ([0.0, 0.0, 100.0, 8.0], steel),
                ([0.0, 68.0, 100.0, 80.0], steel),
                ([0.0, 8.0, 5.0, 68.0], light),
                ([90.0, 8.0, 100.0, 68.0], light),
            ],
        ),
    ];
    let stored = table("tests/second_opinion/torsion_of_materials.csv");
    assert_eq!(stored.len(), sections.len());
    for ((name, blocks), row) in sections.into_iter().zip(&stored) {
        assert_eq!(row["section"], name);
        let bodies: Vec<Body> = blocks.iter().map(|(corners, [e, g])| block(*corners, *e, *g)).collect();
        for tolerance in [1e-3, 1e-4] {
            compare_with_row(name, row, &field(&bodies, tolerance, 0.0).0, 1e-5, 1.0);
        }
    }
}

/// However the section lies, and wherever the edges of its bodies are cut.
#[test]
fn constants_of_materials_do_not_depend_on_how_a_section_lies() {
    let rings = [
        // A round bar let into a plate, and a plate that covers part of its top.
        vec![
            ring(&[[0.0, 0.0, 0.0], [90.0, 0.0, 0.0], [90.0, 50.0, 0.0], [0.0, 50.0, 0.0]]),
            circle(30.0, 22.0, 15.0),
        ],
        vec![circle(30.0, 22.0, 15.0)],
        vec![rectangle(20.0, 50.0, 120.0, 62.0)],
    ];
    let moduli = [(1.0, 1.0), (4.0, 5.0), (0.5, 0.3)];
    let laid = |map: &Affine| -> Vec<Body> {
        let moved = |rings: &Vec<_>| region(&rings.iter().map(|ring| mapped(ring, map)).collect::<Vec<_>>());
        rings.iter().zip(moduli).map(|(rings, (e, g))| (moved(rings), e, g)).collect()
    };
    let (turn, scale) = (0.7_f64, 3.0);
    let (s, c) = turn.sin_cos();
    let map = Affine {
        xx: scale * c,
        xy: scale * s,
        yx: scale * s,
        yy: -scale * c,
        offset: Point::new(-40.0, 900.0),
    };
    let identity = Affine { xx: 1.0, xy: 0.0, yx: 0.0, yy: 1.0, offset: Point::ORIGIN };
    let ((a, _), (b, _)) = (field(&laid(&identity), 1e-4, 0.3), field(&laid(&map), 1e-4, 0.3));
    are_of_one_section("the plate with its bars", &a, &b, &map, scale);
}

#[test]
fn bodies_apart_are_twisted_each_by_itself() {
    let (one, _) = field(&[block([0.0, 0.0, 100.0, 20.0], 1.0, 1.0)], 1e-4, 0.0);
    let bodies = [block([0.0, 0.0, 100.0, 20.0], 1.0, 1.0), block([0.0, 30.0, 100.0, 50.0], 2.0, 3.0)];
    let (both, _) = field(&bodies, 1e-4, 0.0);
    assert_eq!(both.bodies, 2);
    assert!(
        (both.torsion.value - 4.0 * one.torsion.value).abs()
            <= both.torsion.error() + 4.0 * one.torsion.error()
    );
    assert!(both.shear_centre.is_none() && both.shear_areas.is_none() && both.warping.is_none());
}

#[test]
fn what_is_no_modulus_is_refused() {
    let refused = |bodies: &[Body]| {
        let weighted: Vec<WeightedRegion> =
            bodies.iter().map(|(region, ..)| WeightedRegion { ratio: 1.0, region: region.clone() }).collect();
        let section = Section::transformed(&weighted).expect("a section");
        let taken: Vec<FieldBody<'_>> = bodies
            .iter()
            .map(|(region, elastic, shear)| FieldBody { region, elastic: *elastic, shear: *shear })
            .collect();
        FieldProperties::of_bodies(&taken, &section, &FieldOptions::default())
            .expect_err("it is refused")
            .kind()
    };
    for modulus in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert_eq!(refused(&[block([0.0, 0.0, 9.0, 2.0], 1.0, modulus)]), FieldErrorKind::Options);
        assert_eq!(refused(&[block([0.0, 0.0, 9.0, 2.0], modulus, 1.0)]), FieldErrorKind::Options);
    }
}
