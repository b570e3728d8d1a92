//! Shapes as regions, and random ones.

use std::f64::consts::{PI, TAU};

use tracearm::field::{FieldOptions, FieldProperties};
use tracearm::geometry::{Affine, Curve, Point};
use tracearm::outline::{Origin, Ring};
use tracearm::region::{Region, resolve};
use tracearm::section::Section;

use crate::common::shapes::Random;

/// A ring of corners with bulges.
pub fn ring(corners: &[[f64; 3]]) -> Ring {
    try_ring(corners).expect("a closed ring")
}

fn try_ring(corners: &[[f64; 3]]) -> Option<Ring> {
    let curve = |k: usize| {
        let ([x, y, bulge], [to_x, to_y, _]) = (corners[k], corners[(k + 1) % corners.len()]);
        Curve::from_bulge(Point::new(x, y), Point::new(to_x, to_y), bulge)
    };
    Ring::new((0..corners.len()).map(curve).collect(), Origin::default())
}

pub fn circle(x: f64, y: f64, r: f64) -> Ring {
    ring(&[[x + r, y, 1.0], [x - r, y, 1.0]])
}

pub fn rectangle(x: f64, y: f64, to_x: f64, to_y: f64) -> Ring {
    ring(&[[x, y, 0.0], [to_x, y, 0.0], [to_x, to_y, 0.0], [x, to_y, 0.0]])
}

pub fn mapped(ring: &Ring, map: &Affine) -> Ring {
    let curves = ring.curves().iter().map(|curve| curve.transformed(map)).collect();
    Ring::new(curves, Origin::default()).expect("a closed ring")
}

pub fn ellipse(a: f64, b: f64) -> Ring {
    mapped(&circle(0.0, 0.0, 1.0), &Affine { xx: a, xy: 0.0, yx: 0.0, yy: b, offset: Point::ORIGIN })
}

/// The region of rings that are nested or touch.
pub fn region(rings: &[Ring]) -> Region {
    resolve(rings, &[]).region.expect("a region")
}

/// The constants of a region, which must be sound.
pub fn field(region: &Region, tolerance: f64, poisson: f64) -> FieldProperties {
    let section = Section::of(region).expect("a section");
    let field = FieldProperties::of(region, &section, &FieldOptions::new(tolerance, poisson))
        .unwrap_or_else(|error| panic!("{error}"));
    assert!(field.check(), "{field:?}");
    field
}

const QUARTER: f64 = 0.414_213_562_373_095_03;

/// An I, its middle at x = 0, its foot at y = 0.
pub fn profile_i(h: f64, b: f64, web: f64, flange: f64, r: f64) -> Ring {
    let (w, b) = (0.5 * web, 0.5 * b);
    let mut right = vec![[b, 0.0, 0.0], [b, flange, 0.0]];
    let mut left = vec![[-b, h, 0.0], [-b, h - flange, 0.0]];
    if r > 0.0 {
        right.extend([
            [w + r, flange, -QUARTER],
            [w, flange + r, 0.0],
            [w, h - flange - r, -QUARTER],
            [w + r, h - flange, 0.0],
        ]);
        left.extend([
            [-w - r, h - flange, -QUARTER],
            [-w, h - flange - r, 0.0],
            [-w, flange + r, -QUARTER],
            [-w - r, flange, 0.0],
        ]);
    } else {
        right.extend([[w, flange, 0.0], [w, h - flange, 0.0]]);
        left.extend([[-w, h - flange, 0.0], [-w, flange, 0.0]]);
    }
    right.extend([[b, h - flange, 0.0], [b, h, 0.0]]);
    left.extend([[-b, flange, 0.0], [-b, 0.0, 0.0]]);
    right.extend(left);
    ring(&right)
}

/// A channel, its web's back at x = 0, its foot at y = 0.
pub fn channel(h: f64, b: f64, web: f64, flange: f64, r: f64) -> Ring {
    let mut corners = vec![[0.0, 0.0, 0.0], [b, 0.0, 0.0], [b, flange, 0.0]];
    if r > 0.0 {
        corners.extend([
            [web + r, flange, -QUARTER],
            [web, flange + r, 0.0],
            [web, h - flange - r, -QUARTER],
            [web + r, h - flange, 0.0],
        ]);
    } else {
        corners.extend([[web, flange, 0.0], [web, h - flange, 0.0]]);
    }
    corners.extend([[b, h - flange, 0.0], [b, h, 0.0], [0.0, h, 0.0]]);
    ring(&corners)
}

/// A strip along part of a circle about the origin, to both sides of +x.
pub fn arc_strip(r: f64, t: f64, half_angle: f64) -> Ring {
    let (outer, inner) = (r + 0.5 * t, r - 0.5 * t);
    let (s, c) = half_angle.sin_cos();
    // In four pieces each, so that no bulge is large.
    let bulge = (half_angle / 8.0).tan();
    let mut corners = Vec::new();
    for k in 0..4 {
        let (s, c) = (-half_angle + 0.5 * half_angle * f64::from(k)).sin_cos();
        corners.push([outer * c, outer * s, bulge]);
    }
    corners.push([outer * c, outer * s, 0.0]);
    for k in 0..4 {
        let (s, c) = (half_angle - 0.5 * half_angle * f64::from(k)).sin_cos();
        corners.push([inner * c, inner * s, -bulge]);
    }
    corners.push([inner * c, -inner * s, 0.0]);
    ring(&corners)
}

/// A ring of lines and arcs round a point, which may cross itself.
pub fn star(random: &mut Random, x: f64, y: f64, radius: f64) -> Ring {
    loop {
        let count = 3 + random.below(8);
        let corners: Vec<[f64; 3]> = (0..count)
            .map(|k| {
                let angle = TAU * (k as f64 + random.within(0.0, 0.8)) / count as f64;
                let r = radius * random.within(0.2, 1.0);
                let bulge = if random.below(2) == 0 { 0.0 } else { random.within(-0.3, 0.4) };
                [x + r * angle.cos(), y + r * angle.sin(), bulge]
            })
            .collect();
        if let Some(ring) = try_ring(&corners) {
            return ring;
        }
    }
}

/// Random outlines and voids: overlapping, thin-walled to 1:1000, with holes that all but touch or touch, of touching plates.
pub fn random(seed: u64) -> (Vec<Ring>, Vec<Ring>) {
    let random = &mut Random(seed.wrapping_mul(1_000_003));
    let (mut rings, mut voids) = (Vec::new(), Vec::new());
    match random.below(8) {
        0 => {
            for _ in 0..1 + random.below(6) {
                let (x, y) = (random.within(-50.0, 50.0), random.within(-50.0, 50.0));
                rings.push(rectangle(x, y, x + random.within(1.0, 100.0), y + random.within(1.0, 100.0)));
            }
        }
        1 => {
            let t = 100.0 * 10_f64.powf(-random.within(1.0, 3.0));
            let (w, h) = (random.within(50.0, 150.0), random.within(50.0, 150.0));
            rings.push(rectangle(0.0, 0.0, w, h));
            rings.push(rectangle(t, t * random.within(0.5, 2.0), w - t, h - t));
            if random.below(2) == 0 {
                voids.push(rectangle(0.5 * w, -1.0, 0.5 * w + 0.3 * t, 2.0 * t + 1.0));
            }
        }
        2 => {
            rings.push(rectangle(0.0, 0.0, 200.0, 100.0));
            let r = random.within(5.0, 30.0);
            let gap = r * 10_f64.powf(-random.within(0.5, 5.0));
            rings.push(circle(50.0, 50.0, r));
            rings.push(circle(50.0 + 2.0 * r + gap, 50.0, r));
            if random.below(2) == 0 {
                rings.push(circle(50.0, 100.0 - r - gap, 0.3 * r));
            }
            if random.below(3) == 0 {
                rings.push(circle(170.0, 100.0 - r - gap, r));
            }
        }
        3 => {
            for _ in 0..1 + random.below(5) {
                let (x, y) = (random.within(-50.0, 50.0), random.within(-50.0, 50.0));
                let radius = random.within(5.0, 60.0);
                rings.push(star(random, x, y, radius));
            }
        }
        4 => {
            let r = random.within(20.0, 80.0);
            let t = r * 10_f64.powf(-random.within(0.2, 3.0));
            rings.push(circle(0.0, 0.0, r));
            rings.push(circle(random.within(-0.5, 0.5) * t, 0.0, r - t));
            if random.below(2) == 0 {
                let turn = Affine::rotation(random.within(0.0, 3.0));
                voids.push(mapped(&rectangle(r - 2.0 * t, -0.1 * t, r + t, 0.1 * t), &turn));
            }
        }
        5 => {
            for _ in 0..2 + random.below(6) {
                let (x, y) = (random.within(-50.0, 50.0), random.within(-50.0, 50.0));
                rings.push(circle(x, y, random.within(5.0, 40.0)));
            }
            for _ in 0..random.below(4) {
                let (x, y) = (random.within(-50.0, 50.0), random.within(-50.0, 50.0));
                voids.push(circle(x, y, random.within(2.0, 20.0)));
            }
        }
        6 => {
            let mut x = 0.0;
            for _ in 0..2 + random.below(4) {
                let (w, h) = (random.within(1.0, 40.0), random.within(5.0, 80.0));
                let y = if random.below(2) == 0 { 0.0 } else { random.within(-20.0, 20.0) };
                rings.push(rectangle(x, y, x + w, y + h));
                x += w;
            }
            if random.below(2) == 0 {
                voids.push(circle(random.within(0.0, x), random.within(0.0, 40.0), random.within(1.0, 10.0)));
            }
        }
        _ => {
            let r = random.within(20.0, 60.0);
            rings.push(circle(0.0, 0.0, r));
            let q = r * random.within(0.1, 0.95);
            rings.push(circle(r - q, 0.0, q));
            if random.below(2) == 0 {
                rings.push(circle(-0.95 * r, 0.0, 0.05 * r));
            }
        }
    }
    if random.below(2) == 0 {
        let turn = Affine::rotation(random.within(0.0, 2.0 * PI));
        rings = rings.iter().map(|ring| mapped(ring, &turn)).collect();
        voids = voids.iter().map(|ring| mapped(ring, &turn)).collect();
    }
    (rings, voids)
}
