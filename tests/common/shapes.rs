//! Seeded random outlines, the dresses they are drawn in, and moments about a common point.

use std::f64::consts::{PI, TAU};

use tracearm::geometry::{Affine, Curve, Point, Span};
use tracearm::outline::{Origin, Ring};
use tracearm::region::{Part, Region, Resolved, resolve};
use tracearm::section::Section;

/// A corner of a closed outline: x, y and the bulge of the edge that begins there.
pub type Corner = [f64; 3];

/// Random numbers that are the same on every machine (SplitMix64).
pub struct Random(pub u64);

impl Random {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// Evenly between two numbers.
    pub fn within(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * ((self.next() >> 11) as f64 / (1_u64 << 53) as f64)
    }

    /// A whole number from 0 to below `count`.
    pub fn below(&mut self, count: usize) -> usize {
        ((self.next() >> 33) as usize) % count
    }

    /// A whole number of units between two, both included.
    pub fn whole(&mut self, low: i32, high: i32) -> f64 {
        f64::from(low) + self.below((high - low + 1) as usize) as f64
    }
}

/// The bulge of a quarter circle.
pub fn quarter() -> f64 {
    (PI / 8.0).tan()
}

pub fn disc(x: f64, y: f64, radius: f64) -> Vec<Corner> {
    vec![[x - radius, y, 1.0], [x + radius, y, 1.0]]
}

pub fn rectangle(x: f64, y: f64, width: f64, height: f64) -> Vec<Corner> {
    vec![[x, y, 0.0], [x + width, y, 0.0], [x + width, y + height, 0.0], [x, y + height, 0.0]]
}

/// A rectangle whose corners are rounded by `radius`.
pub fn rounded(x: f64, y: f64, width: f64, height: f64, radius: f64) -> Vec<Corner> {
    let (r, q) = (radius, quarter());
    let (right, top) = (x + width, y + height);
    vec![
        [x + r, y, 0.0],
        [right - r, y, q],
        [right, y + r, 0.0],
        [right, top - r, q],
        [right - r, top, 0.0],
        [x + r, top, q],
        [x, top - r, 0.0],
        [x, y + r, q],
    ]
}

/// An obround along x of overall length and width about (x, y).
pub fn slot(x: f64, y: f64, length: f64, width: f64) -> Vec<Corner> {
    let (a, r) = (0.5 * (length - width), 0.5 * width);
    vec![[x - a, y - r, 0.0], [x + a, y - r, 1.0], [x + a, y + r, 0.0], [x - a, y + r, 1.0]]
}

/// An I-profile with root fillets, lower left corner of its box at (x, y).
pub fn filleted_i(x: f64, y: f64, [b, h, web, flange, r]: [f64; 5]) -> Vec<Corner> {
    let (left, right) = (x + 0.5 * (b - web), x + 0.5 * (b + web));
    let (low, high, top, q) = (y + flange, y + h - flange, y + h, quarter());
    vec![
        [x, y, 0.0],
        [x + b, y, 0.0],
        [x + b, low, 0.0],
        [right + r, low, -q],
        [right, low + r, 0.0],
        [right, high - r, -q],
        [right + r, high, 0.0],
        [x + b, high, 0.0],
        [x + b, top, 0.0],
        [x, top, 0.0],
        [x, high, 0.0],
        [left - r, high, -q],
        [left, high - r, 0.0],
        [left, low + r, -q],
        [left - r, low, 0.0],
        [x, low, 0.0],
    ]
}

/// The corners turned about the origin by `angle` radians and then moved.
pub fn turned(corners: &[Corner], angle: f64, [dx, dy]: [f64; 2]) -> Vec<Corner> {
    let (sine, cosine) = angle.sin_cos();
    corners.iter().map(|[x, y, b]| [cosine * x - sine * y + dx, sine * x + cosine * y + dy, *b]).collect()
}

/// A star-shaped outline of straight edges or arcs that does not cross itself.
pub fn star(random: &mut Random, x: f64, y: f64, size: f64, arcs: bool) -> Vec<Corner> {
    let count = 4 + random.below(8);
    let first = random.within(0.0, TAU);
    let place = |k: usize, out: f64, jitter: f64| {
        let angle = first + TAU * (k as f64 + jitter) / count as f64;
        [x + out * angle.cos(), y + out * angle.sin()]
    };
    (0..count)
        .map(|k| {
            let (out, jitter) = (size * random.within(0.5, 1.0), random.within(-0.2, 0.2));
            let [px, py] = place(k, out, jitter);
            // Arcs as flat as these keep within their sector.
            let bulge = if arcs && random.below(2) == 0 { random.within(-0.06, 0.12) } else { 0.0 };
            [px, py, bulge]
        })
        .collect()
}

/// A shape in general position, near the middle of a field 100 wide.
pub fn general(random: &mut Random) -> Vec<Corner> {
    let (x, y) = (random.within(20.0, 80.0), random.within(-10.0, 50.0));
    let angle = random.within(-PI, PI);
    let shape = match random.below(6) {
        0 => disc(0.0, 0.0, random.within(4.0, 30.0)),
        1 => slot(0.0, 0.0, random.within(25.0, 70.0), random.within(4.0, 24.0)),
        2 => {
            let (w, h) = (random.within(10.0, 60.0), random.within(10.0, 40.0));
            rounded(-0.4 * w, -0.6 * h, w, h, random.within(0.5, 4.9))
        }
        3 => filleted_i(-20.0, -25.0, [random.within(30.0, 50.0), random.within(40.0, 60.0), 4.0, 5.5, 6.0]),
        4 => rectangle(-20.0, -9.0, random.within(5.0, 70.0), random.within(3.0, 40.0)),
        _ => {
            let size = random.within(10.0, 40.0);
            star(random, 0.0, 0.0, size, true)
        }
    };
    turned(&shape, angle, [x, y])
}

/// A shape on whole coordinates, so that edges are shared, circles coincide and tangents touch.
pub fn on_lattice(random: &mut Random) -> Vec<Corner> {
    let (x, y) = (5.0 * random.whole(0, 12), 5.0 * random.whole(-3, 7));
    match random.below(5) {
        0 => disc(x, y, 5.0 * random.whole(1, 5)),
        1 => slot(x, y, 10.0 * random.whole(3, 6), 10.0 * random.whole(1, 2)),
        2 => rounded(x, y, 5.0 * random.whole(3, 8), 5.0 * random.whole(3, 6), 5.0),
        3 => filleted_i(x, y, [35.0, 45.0, 5.0, 5.0, 5.0]),
        _ => rectangle(x, y, 5.0 * random.whole(1, 9), 5.0 * random.whole(1, 6)),
    }
}

/// What an outline of lines and arcs is drawn with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Curves {
    /// As it is; under an unequal map arcs become ellipse arcs.
    Arcs,
    /// Arcs as rational quadratic spans, which are the same circles.
    Rational,
}

/// The outline under a map.
pub fn ring(corners: &[Corner], curves: Curves, map: &Affine) -> Ring {
    let mut pieces = Vec::new();
    for (k, [x, y, bulge]) in corners.iter().enumerate() {
        let [to_x, to_y, _] = corners[(k + 1) % corners.len()];
        let curve = Curve::from_bulge(Point::new(*x, *y), Point::new(to_x, to_y), *bulge);
        match (&curve, curves) {
            (Curve::Arc(_), Curves::Rational) => pieces.extend(rational(&curve)),
            _ => pieces.push(curve),
        }
    }
    closed(pieces.iter().map(|c| c.transformed(map)).collect())
}

/// The ring of curves that close.
pub fn closed(curves: Vec<Curve>) -> Ring {
    Ring::new(curves, Origin::default()).expect("a closed outline")
}

/// A circular arc as rational quadratic spans of at most a third of a turn.
fn rational(arc: &Curve) -> Vec<Curve> {
    let Curve::Arc(c) = arc else { return vec![arc.clone()] };
    let count = (c.sweep.abs() / (TAU / 3.0)).ceil() as usize;
    let cuts: Vec<f64> = (1..count).map(|k| k as f64 / count as f64).collect();
    let part = |piece: Curve| {
        let Curve::Arc(a) = &piece else { return piece };
        let half = 0.5 * a.sweep;
        let apex = a.center + Point::at_angle(a.start_angle + half) * (a.radius / half.cos());
        Span::rational(vec![a.start, apex, a.end], vec![1.0, half.cos(), 1.0]).expect("a sound span").into()
    };
    arc.cut_at(&cuts).into_iter().map(part).collect()
}

/// A closed smooth outline of cubic spans about (x, y).
pub fn bezier(random: &mut Random, x: f64, y: f64, size: f64, map: &Affine) -> Ring {
    let count = 3 + random.below(4);
    let first = random.within(0.0, TAU);
    let knots: Vec<(Point, Point)> = (0..count)
        .map(|k| {
            let angle = first + TAU * (k as f64 + random.within(-0.15, 0.15)) / count as f64;
            let out = Point::at_angle(angle);
            let place = Point::new(x, y) + out * (size * random.within(0.55, 1.0));
            let lean = random.within(-0.3, 0.3);
            let along = Point::at_angle(angle + 0.5 * PI + lean);
            (place, along * (size * 1.6 / count as f64 * random.within(0.7, 1.0)))
        })
        .collect();
    let spans = (0..count).map(|k| {
        let ((from, leave), (to, arrive)) = (knots[k], knots[(k + 1) % count]);
        let points = vec![from, from + leave, to - arrive, to];
        Curve::from(Span::polynomial(points).expect("a sound span")).transformed(map)
    });
    closed(spans.collect())
}

/// ∬(1, x, y, x², y², xy) dA about a point.
pub type Sums = [f64; 6];

/// Of a section, by the parallel-axis theorem (common practice).
pub fn sums(section: &Section, about: Point) -> Sums {
    let (a, d, i) = (section.area, section.centroid - about, &section.second_moments);
    [a, a * d.x, a * d.y, i.y + a * d.x * d.x, i.x + a * d.y * d.y, i.xy + a * d.x * d.y]
}

/// Of what one ring encloses.
pub fn ring_sums(ring: &Ring, about: Point) -> Sums {
    let region = Region::new(vec![Part::new(ring.clone(), Vec::new())]);
    Section::of(&region).map_or([0.0; 6], |section| sums(&section, about))
}

/// The largest difference of two sections, each figure by its natural scale: area by area, first moments by area times
/// size, second moments by area times the square of size.
pub fn difference(a: &Sums, b: &Sums, area: f64, size: f64) -> f64 {
    let powers = [0, 1, 1, 2, 2, 2];
    (0..6).map(|k| (a[k] - b[k]).abs() / (area * size.powi(powers[k]))).fold(0.0, f64::max)
}

/// How a set of rings was resolved.
pub enum Outcome {
    /// A section, and whether nothing was taken to touch that does not.
    Section(Box<Section>, bool),
    /// The voids leave nothing.
    Nothing,
    /// Solid and void could not be told apart.
    Unresolved(String),
}

pub fn outcome(rings: &[Ring], voids: &[Ring]) -> Outcome {
    let Resolved { region, findings, .. } = resolve(rings, voids);
    let said: Vec<String> = findings.iter().map(ToString::to_string).collect();
    match region {
        Some(region) => {
            assert!(region.check(), "rings of the region are not sound: {said:?}");
            match Section::of(&region) {
                Ok(section) => {
                    let certified = !said.iter().any(|s| s.contains("are taken to touch"));
                    Outcome::Section(Box::new(section), certified)
                }
                Err(error) => Outcome::Unresolved(format!("no section: {error}")),
            }
        }
        None if said.iter().any(|s| s.contains("nothing is left")) => Outcome::Nothing,
        None => Outcome::Unresolved(said.join("; ")),
    }
}
