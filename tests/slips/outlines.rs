//! Clean shapes at their size, before they are turned and moved.

use std::f64::consts::{FRAC_PI_2, PI, TAU};
use std::sync::LazyLock;

use crate::common::draw::Outline;
use crate::common::shapes::{Corner, Random, disc, slot};
use crate::common::truth::outline;
use crate::common::{file, table};

use super::clearance::clearance;
use super::exact::{Ring, edges, length};
use super::plan::TOLERANCE;

/// A clean shape.
#[derive(Clone, Debug)]
pub struct Shape {
    pub name: String,
    pub rings: Vec<Ring>,
}

/// The shapes of shared/check-values that are made of lines and arcs.
pub static PUBLISHED: LazyLock<Vec<Shape>> = LazyLock::new(|| {
    let mut shapes = Vec::new();
    for row in table("shared/check-values/closed_forms.csv") {
        if let Outline::Loops(rings) = outline(&serde_json::from_str(&row["outline"]).expect("an outline")) {
            shapes.push(Shape { name: row["id"].clone(), rings });
        }
    }
    for line in file("shared/check-values/rolled_outlines.jsonl").lines() {
        let json: serde_json::Value = serde_json::from_str(line).expect("JSON");
        if let Outline::Loops(rings) = outline(&json) {
            shapes.push(Shape { name: json["id"].as_str().expect("a name").to_owned(), rings });
        }
    }
    shapes
});

/// Shapes without small features: their shortest edge, and the least distance of edges that do not meet.
const SHORTEST: f64 = 10.0 * TOLERANCE;
const CLEAR: f64 = 5.0 * TOLERANCE;

/// Walls in shapes with small features: what lies nearer than the tolerance could as well be one line drawn twice.
const APART: f64 = 1.05 * TOLERANCE;

/// A length of between 1 mm and 1 m, each decade as often.
fn size(random: &mut Random, largest: f64) -> f64 {
    random.within(0.0, largest.ln()).exp()
}

/// A shape without small features, in millimetres.
pub fn plain(random: &mut Random) -> Shape {
    let shape = any(random);
    let wanted = size(random, 1000.0) / extent(&shape.rings);
    let shortest = all_lengths(&shape.rings).fold(f64::INFINITY, f64::min);
    let clear = CLEAR / clearance(&shape.rings);
    scaled(shape, wanted.max(SHORTEST / shortest).max(clear))
}

/// A shape with features about as small as what is joined: from `least` times the tolerance to five times that. Slots
/// are no narrower than the tolerance.
pub fn small(random: &mut Random, least: f64) -> Shape {
    if random.below(4) == 0 {
        let shape = any(random);
        let shortest = all_lengths(&shape.rings).fold(f64::INFINITY, f64::min);
        let wanted = size(random, 5.0) / extent(&shape.rings);
        let clear = APART / clearance(&shape.rings);
        return scaled(shape, wanted.max(TOLERANCE * least / shortest).max(clear));
    }
    let width = size(random, 1000.0);
    let height = width * random.within(0.2, 1.0);
    let feature = TOLERANCE * random.within(least.ln(), 5.0_f64.ln()).exp();
    let gap = APART * random.within(0.0, 5.0_f64.ln()).exp();
    let deep = height * random.within(0.1, 0.6);
    let at = width * random.within(0.2, 0.8);
    let (w, h, f) = (width, height, feature);
    let plate = vec![[0.0, 0.0, 0.0], [w, 0.0, 0.0], [w, h, 0.0], [0.0, h, 0.0]];
    let (name, rings) = match random.below(7) {
        0 => {
            let level = h * random.within(0.2, 0.8);
            let mut ring = plate;
            ring.splice(2..3, [[w, level, 0.0], [w + f, level, 0.0], [w + f, h, 0.0]]);
            (format!("step {f:.4}"), vec![ring])
        }
        1 => {
            let mut ring = plate;
            ring.splice(2..3, [[w, h - f * random.within(0.5, 1.0), 0.0], [w - f, h, 0.0]]);
            (format!("chamfer {f:.4}"), vec![ring])
        }
        2 => {
            let all = random.below(2) == 0;
            let corners: Vec<Corner> = plate
                .iter()
                .enumerate()
                .map(|(k, c)| [c[0], c[1], if all || k == 1 { f } else { 0.0 }])
                .collect();
            (format!("fillet {f:.4}"), vec![filleted(&corners)])
        }
        3 => {
            let mut ring = plate;
            ring.splice(
                3..3,
                [[at + gap, h, 0.0], [at + gap, h - deep, 0.0], [at, h - deep, 0.0], [at, h, 0.0]],
            );
            (format!("slot {gap:.4}"), vec![ring])
        }
        4 => {
            let mut ring = plate;
            ring.splice(
                3..3,
                [[at + gap, h, 0.0], [at + gap, h + deep, 0.0], [at, h + deep, 0.0], [at, h, 0.0]],
            );
            (format!("tab {gap:.4}"), vec![ring])
        }
        5 => {
            let (x, y, half) = (at, 0.5 * h, 0.5 * deep);
            let hole = vec![
                [x, y - half, 0.0],
                [x + gap, y - half, 0.0],
                [x + gap, y + half, 0.0],
                [x, y + half, 0.0],
            ];
            (format!("slit {gap:.4}"), vec![plate, hole])
        }
        _ => {
            let long = (0.5 * deep).max(3.0 * gap);
            (
                format!("round slit {gap:.4}"),
                vec![plate, turned_about(&slot(0.0, 0.0, long, gap), 0.5, [at, 0.5 * h])],
            )
        }
    };
    Shape { name, rings }
}

fn any(random: &mut Random) -> Shape {
    let named = |name: &str, rings: Vec<Ring>| Shape { name: name.to_owned(), rings };
    match random.below(9) {
        0 | 1 => PUBLISHED[random.below(PUBLISHED.len())].clone(),
        2 => named("plate with holes", plate(random)),
        3 => named("slotted profile", slotted_profile(random)),
        4 => named("triangle", vec![triangle(random)]),
        5 => named("rounded rectangle", {
            let h = random.within(10.0, 100.0);
            let r = random.within(0.05, 0.49) * h;
            vec![filleted(&[[0.0, 0.0, r], [100.0, 0.0, r], [100.0, h, r], [0.0, h, r]])]
        }),
        6 => named("star of arcs", vec![star(random)]),
        _ => angular(random),
    }
}

/// Angles, channels, tees, brackets: sharp, with root fillets, or rounded all over.
fn angular(random: &mut Random) -> Shape {
    let (b, h, t) = (random.within(60.0, 120.0), random.within(60.0, 120.0), random.within(4.0, 14.0));
    let s = random.within(4.0, 14.0);
    let (name, corners): (&str, Vec<[f64; 2]>) = match random.below(5) {
        0 => ("angle", vec![[0.0, 0.0], [b, 0.0], [b, t], [s, t], [s, h], [0.0, h]]),
        1 => {
            let inner = [[b - s, h], [b - s, t], [s, t], [s, h]];
            let mut all = vec![[0.0, 0.0], [b, 0.0], [b, h]];
            all.extend(inner);
            all.push([0.0, h]);
            ("channel", all)
        }
        2 => {
            let (l, r) = (0.5 * (b - s), 0.5 * (b + s));
            (
                "tee",
                vec![[l, 0.0], [r, 0.0], [r, h - t], [b, h - t], [b, h], [0.0, h], [0.0, h - t], [l, h - t]],
            )
        }
        3 => ("zed", vec![[-b, 0.0], [s, 0.0], [s, h - t], [b, h - t], [b, h], [0.0, h], [0.0, t], [-b, t]]),
        _ => (
            "bracket",
            vec![[0.0, 0.0], [b, 0.0], [b, 2.0 * t], [b - t, 2.5 * t], [0.4 * b, 2.5 * t], [s, h], [0.0, h]],
        ),
    };
    let radius = 0.45 * s.min(t) * random.within(0.3, 1.0);
    let mode = random.below(3);
    let corners: Vec<Corner> = corners
        .iter()
        .enumerate()
        .map(|(k, c)| {
            let n = corners.len();
            let (before, after) = (corners[(k + n - 1) % n], corners[(k + 1) % n]);
            let root = cross(sub(*c, before), sub(after, *c)) < 0.0;
            [c[0], c[1], if mode == 2 || (mode == 1 && root) { radius } else { 0.0 }]
        })
        .collect();
    Shape {
        name: format!("{name} {}", ["sharp", "filleted", "rounded"][mode]),
        rings: vec![filleted(&corners)],
    }
}

/// One corner of 5° to 40°, one more of any angle.
fn triangle(random: &mut Random) -> Ring {
    let (apex, other) =
        (random.within(5.0, 40.0_f64).to_radians(), random.within(20.0, 120.0_f64).to_radians());
    // Law of sines: the side from the apex along the base's other leg.
    let leg = 100.0 * other.sin() / (apex + other).sin();
    let radius = if random.below(3) == 0 { 1.0 } else { 0.0 };
    filleted(&[[0.0, 0.0, 0.0], [100.0, 0.0, radius], [leg * apex.cos(), leg * apex.sin(), 0.0]])
}

fn plate(random: &mut Random) -> Vec<Ring> {
    let (w, h) = (100.0, random.within(40.0, 100.0));
    let r = if random.below(2) == 0 { 0.0 } else { random.within(2.0, 8.0) };
    let mut rings = vec![filleted(&[[0.0, 0.0, r], [w, 0.0, r], [w, h, r], [0.0, h, r]])];
    let (across, up) = (1 + random.below(4), 1 + random.below(2));
    let (px, py) = (w / across as f64, h / up as f64);
    for k in 0..across * up {
        let (x, y) = (px * ((k % across) as f64 + 0.5), py * ((k / across) as f64 + 0.5));
        let r = random.within(0.15, 0.3) * px.min(py);
        rings.push(match random.below(4) {
            0 => disc(x, y, r),
            1 => {
                let first = random.within(0.0, TAU);
                let corner = |k: usize| {
                    let (sine, cosine) = (first + TAU / 3.0 * k as f64).sin_cos();
                    [x + r * cosine, y + r * sine, (TAU / 12.0).tan()]
                };
                (0..3).map(corner).collect()
            }
            2 => {
                let angle = random.within(0.0, PI);
                turned_about(&slot(0.0, 0.0, 2.0 * r, random.within(0.4, 1.2) * r), angle, [x, y])
            }
            _ => {
                let (a, q) = (0.6 * r, 0.25 * r);
                filleted(&[[x - a, y - a, q], [x + a, y - a, q], [x + a, y + a, q], [x - a, y + a, q]])
            }
        });
    }
    rings
}

/// A square with a slot that widens inside in each side, its corners rounded by small arcs.
fn slotted_profile(random: &mut Random) -> Vec<Ring> {
    let (outer, inner) = (random.within(0.3, 0.9), random.within(0.3, 0.9));
    let (mouth, deep) = (random.within(6.0, 9.0), random.within(10.0, 11.5));
    let (l, r) = (20.0 - 0.5 * mouth, 20.0 + 0.5 * mouth);
    let side = [
        [0.0, 0.0, 1.5],
        [l, 0.0, outer],
        [l, 2.0, outer],
        [10.0, 2.0, inner],
        [10.0, 6.0, inner],
        [15.0, deep, inner],
        [25.0, deep, inner],
        [30.0, 6.0, inner],
        [30.0, 2.0, inner],
        [r, 2.0, outer],
        [r, 0.0, outer],
    ];
    let mut corners = Vec::new();
    for quarter in 0..4 {
        let (sine, cosine) = (FRAC_PI_2 * f64::from(quarter)).sin_cos();
        for [x, y, radius] in side {
            let (x, y) = (x - 20.0, y - 20.0);
            corners.push([cosine * x - sine * y, sine * x + cosine * y, radius]);
        }
    }
    vec![filleted(&corners), disc(0.0, 0.0, random.within(2.0, 4.0))]
}

/// Corners joined by lines and arcs that meet at angles.
fn star(random: &mut Random) -> Ring {
    let count = 4 + random.below(8);
    (0..count)
        .map(|k| {
            let angle = TAU * (k as f64 + random.within(-0.2, 0.2)) / count as f64;
            let out = random.within(50.0, 100.0);
            let bulge = match random.below(3) {
                0 => 0.0,
                1 => random.within(0.05, 0.12),
                _ => -random.within(0.05, 0.06),
            };
            [out * angle.cos(), out * angle.sin(), bulge]
        })
        .collect()
}

/// A polygon of [x, y, radius] with its corners rounded by tangent arcs, no more than its edges have room for.
fn filleted(corners: &[Corner]) -> Ring {
    let n = corners.len();
    let at = |k: usize| [corners[k % n][0], corners[k % n][1]];
    let mut ring = Vec::new();
    for (k, [_, _, radius]) in corners.iter().enumerate() {
        let (before, here, after) = (at(k + n - 1), at(k), at(k + 1));
        let (arrive, leave) = (sub(here, before), sub(after, here));
        let (a, l) = (arrive[0].hypot(arrive[1]), leave[0].hypot(leave[1]));
        let turn = cross(arrive, leave).atan2(arrive[0] * leave[0] + arrive[1] * leave[1]);
        let back = (radius * (0.5 * turn).tan().abs()).min(0.49 * a.min(l));
        if back == 0.0 {
            ring.push([here[0], here[1], 0.0]);
            continue;
        }
        let bulge = (0.25 * turn).tan();
        ring.push([here[0] - back * arrive[0] / a, here[1] - back * arrive[1] / a, bulge]);
        ring.push([here[0] + back * leave[0] / l, here[1] + back * leave[1] / l, 0.0]);
    }
    ring
}

fn turned_about(ring: &[Corner], angle: f64, place: [f64; 2]) -> Ring {
    crate::common::shapes::turned(ring, angle, place)
}

fn scaled(shape: Shape, scale: f64) -> Shape {
    let corner = |c: &Corner| [scale * c[0], scale * c[1], c[2]];
    Shape { rings: shape.rings.iter().map(|ring| ring.iter().map(corner).collect()).collect(), ..shape }
}

fn all_lengths(rings: &[Ring]) -> impl Iterator<Item = f64> {
    rings.iter().flat_map(|ring| edges(ring)).map(|(a, b)| length(a, b))
}

/// The larger side of the box of all corners.
fn extent(rings: &[Ring]) -> f64 {
    let side = |k: usize| {
        let all = || rings.iter().flatten().map(|c| c[k]);
        all().fold(f64::NEG_INFINITY, f64::max) - all().fold(f64::INFINITY, f64::min)
    };
    side(0).max(side(1))
}

fn sub(a: [f64; 2], b: [f64; 2]) -> [f64; 2] {
    [a[0] - b[0], a[1] - b[1]]
}

fn cross(a: [f64; 2], b: [f64; 2]) -> f64 {
    a[0] * b[1] - a[1] * b[0]
}
