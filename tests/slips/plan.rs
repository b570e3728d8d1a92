//! What is drawn: a clean shape at its place, and how its pieces slip.

use std::f64::consts::TAU;

use crate::common::shapes::{Random, turned};

use super::class::Class;
use super::exact::{Ring, edges, length};
use super::outlines::{Shape, plain, small};
use super::slipping::Slipping;
use super::stroke::{Stroke, rounded};

/// The joining tolerance that the drawings are made for, in millimetres: the default of the program.
pub const TOLERANCE: f64 = tracearm::measure::DEFAULT_JOIN_MM;

/// What to draw.
pub struct Plan {
    pub class: Class,
    pub shape: String,
    /// The clean outline where it is drawn.
    pub rings: Vec<Ring>,
    pub strokes: Vec<Stroke>,
    /// Decimals of all lengths that are written; `None` for all digits.
    pub decimals: Option<usize>,
    /// The slips in words.
    pub slips: Vec<String>,
}

/// The drawing with this number.
pub fn plan(seed: u64) -> Plan {
    let class = Class::of_seed(seed);
    let mut random = Random(seed);
    // Some shapes have no arcs or no lines to slip.
    loop {
        let mut shape = match class {
            Class::CleanSmall => small(&mut random, 0.2),
            Class::Small => small(&mut random, 1.0),
            _ => plain(&mut random),
        };
        let decimals = decimals(&mut random, class, &shape);
        place(&mut random, &mut shape);
        if class == Class::Cut || class.has_all() {
            cut(&mut random, &mut shape.rings, if class == Class::Cut { 0.5 } else { 0.1 });
        }
        // What is rounded here is rounded for all pieces of a joint and would leave no trace: it is the clean shape.
        for corner in shape.rings.iter_mut().flatten() {
            (corner[0], corner[1]) = (rounded(corner[0], decimals), rounded(corner[1], decimals));
        }
        if shape.rings.iter().flat_map(|r| edges(r)).any(|(a, b)| length(a, b) == 0.0) {
            continue;
        }
        let mut slipping = Slipping::new(random, class, &shape, decimals);
        slipping.slip();
        if class.is_clean() || class == Class::Rounded || !slipping.slips.is_empty() {
            return Plan {
                class,
                shape: shape.name,
                rings: shape.rings,
                decimals,
                strokes: slipping.strokes(),
                slips: slipping.slips,
            };
        }
        random = slipping.random;
    }
}

/// How coordinates are written. What is clean must stay so: arcs in it are written with all digits.
fn decimals(random: &mut Random, class: Class, shape: &Shape) -> Option<usize> {
    let straight = shape.rings.iter().flatten().all(|corner| corner[2] == 0.0);
    let choice: &[Option<usize>] = match class {
        Class::Clean | Class::CleanSmall if straight => &[None, Some(6), Some(8)],
        Class::Clean | Class::CleanSmall => &[None],
        Class::Rounded => &[Some(3), Some(4)],
        Class::Small => &[None, Some(4), Some(6)],
        _ => &[None, None, None, Some(3), Some(4), Some(6)],
    };
    choice[random.below(choice.len())]
}

/// Turned by any angle, one in four by quarters, and moved off the origin.
fn place(random: &mut Random, shape: &mut Shape) {
    let quarters = random.below(4);
    let angle = random.within(0.0, TAU);
    let offset = [random.within(-1000.0, 1000.0), random.within(-1000.0, 1000.0)];
    for ring in &mut shape.rings {
        *ring = match quarters {
            0 => {
                let turn = |c: &[f64; 3]| match (angle / TAU * 4.0) as usize {
                    0 => *c,
                    1 => [-c[1], c[0], c[2]],
                    2 => [-c[0], -c[1], c[2]],
                    _ => [c[1], -c[0], c[2]],
                };
                ring.iter().map(turn).map(|c| [c[0] + offset[0], c[1] + offset[1], c[2]]).collect()
            }
            _ => turned(ring, angle, offset),
        };
    }
}

/// Puts a corner into straight edges that are long enough, where they are drawn in two.
fn cut(random: &mut Random, rings: &mut [Ring], share: f64) {
    for ring in rings {
        let mut with_cuts = Ring::new();
        for (a, b) in edges(ring) {
            with_cuts.push(a);
            if a[2] == 0.0 && length(a, b) > LONG && random.within(0.0, 1.0) < share {
                let t = random.within(0.2, 0.8);
                with_cuts.push([a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1]), 0.0]);
            }
        }
        *ring = with_cuts;
    }
}

/// Edges longer than this are cut in two or drawn in two strokes.
pub const LONG: f64 = 20.0 * TOLERANCE;
