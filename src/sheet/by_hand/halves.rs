//! Both sides of an equal-area axis: what each piece has on either, how far from the axis.

use super::hand::{Hand, letter};
use super::pieces::Sums;
use crate::geometry::{Affine, Curve, Point};
use crate::outline::Ring;
use crate::section;
use crate::sheet::figures::column_head;
use crate::sheet::markup::{Markup, html};
use crate::sheet::wide;

/// A piece has less than this share of its area beyond the axis: it only touches it.
const TOUCHES: f64 = 1e-12;

/// An equal-area axis, in the sheet's unit and seen from the sheet's corner.
pub(super) struct Axis<'a> {
    /// What it is parallel to: `x`, `y`, `1` or `2`.
    pub name: &'a str,
    /// By how much (radians) the page is turned so that distances from the axis are measured upwards.
    pub turn: f64,
    /// Where it lies on the turned page, from the corner.
    pub level: f64,
    /// Area of the section, and ∬(distance) dA of its upper and of its lower half.
    pub area: f64,
    pub firsts: [f64; 2],
}

/// What lies on one side of the axis, as it is written.
#[derive(Clone, Copy, Default)]
struct Side {
    area: f64,
    distance: f64,
    first: f64,
}

impl Side {
    /// From the area and its first moment about the axis.
    fn of(area: f64, first: f64, hand: &Hand) -> Side {
        // The distance is that of what lies there, not of its area as it is written.
        let distance = if area == 0.0 { 0.0 } else { hand.value(first / area, 1) };
        let area = hand.value(area, 2);
        Side { area, distance, first: hand.value(area * distance, 3) }
    }
}

/// The sides of each piece, and their sums.
pub(super) struct Halves {
    rows: Vec<(Markup, [Side; 2])>,
    /// Sums of the areas and of the first moments, above and below.
    pub areas: [f64; 2],
    pub firsts: [f64; 2],
}

impl Halves {
    pub(super) fn of(sums: &Sums, axis: &Axis, corner: Point, factor: f64, hand: &Hand) -> Halves {
        let mut rest = [(axis.area / 2.0, axis.firsts[0]), (axis.area / 2.0, axis.firsts[1])];
        let level = hand.value(axis.level, 1);
        let mut rows: Vec<(Markup, [Side; 2])> = Vec::with_capacity(sums.lines.len());
        for line in &sums.lines {
            if line.outlines.is_empty() {
                let sides = rest.map(|(area, first)| Side::of(area, first, hand));
                rows.push((line.name.clone(), sides));
                continue;
            }
            // Cut where the level is written, so that the parts follow from it.
            let exact = sides(&line.outlines, axis.turn, level, corner, factor);
            for (rest, (area, first)) in rest.iter_mut().zip(exact) {
                rest.0 -= area;
                rest.1 -= first;
            }
            let whole = (exact[0].0 + exact[1].0).abs();
            let touches = exact.map(|(area, _)| area.abs() <= TOUCHES * whole);
            let at = Affine::rotation(axis.turn).point(line.centroid).y;
            // What lies on one side alone has the area and the centroid that are written already.
            let written = |side: usize| {
                let distance = hand.difference(at, level) * if side == 0 { 1.0 } else { -1.0 };
                let area = line.area[0];
                Side { area, distance, first: hand.value(area * distance, 3) }
            };
            let sides = match touches {
                [false, true] => [written(0), Side::default()],
                [true, false] => [Side::default(), written(1)],
                _ => {
                    let mut sides = exact.map(|(area, first)| Side::of(area, first, hand));
                    // Together they are the area as it is written, in whose rounding the larger one has its share.
                    let (larger, other) = if exact[0].0.abs() < exact[1].0.abs() { (1, 0) } else { (0, 1) };
                    sides[larger].area = hand.value(line.area[0] - sides[other].area, 2);
                    sides[larger].first = hand.value(sides[larger].area * sides[larger].distance, 3);
                    sides
                }
            };
            rows.push((line.name.clone(), sides));
        }
        let sum = |side: usize, of: fn(&Side) -> f64, power: i32| {
            hand.sum(rows.iter().map(|(_, sides)| of(&sides[side])), power)
        };
        let areas = [0, 1].map(|side| sum(side, |side| side.area, 2));
        let firsts = [0, 1].map(|side| sum(side, |side| side.first, 3));
        Halves { rows, areas, firsts }
    }

    /// The rows of an axis, which lies as `place` says.
    pub(super) fn rows(&self, axis: &Axis, place: &Markup, hand: &Hand) -> Markup {
        let sides = match axis.name {
            "x" | "1" => "1 above, 2 below",
            _ => "1 right, 2 left",
        };
        let cells = |side: &Side| {
            html! {
                @if side.area == 0.0 { @for _ in 0..3 { td class="n" { "–" } } }
                @else { (hand.cell(side.area, 2)) (hand.cell(side.distance, 1)) (hand.cell(side.first, 3)) }
            }
        };
        html! {
            tbody {
                tr class="axis" {
                    th colspan="7" scope="rowgroup" {
                        (letter("W", &format!("pl,{}", axis.name))) ": " (place) "; " (sides)
                    }
                }
                @for (name, sides) in &self.rows {
                    tr { th scope="row" { (name) } @for side in sides { (cells(side)) } }
                }
                tr class="sum" {
                    th scope="row" { "Sum" }
                    @for side in [0, 1] {
                        (hand.cell(self.areas[side], 2)) td {} (hand.cell(self.firsts[side], 3))
                    }
                }
            }
        }
    }
}

/// The table of both sides of each axis, whose rows these are.
pub(super) fn table(axes: &[Markup], hand: &Hand) -> Markup {
    let head = |what: &Markup, power: i32| column_head(what, hand.style.unit, power);
    wide(
        "Both sides of each equal-area axis",
        &html! {
            table class="figures cut" {
                caption { "Plastic moduli: what each piece has on both sides of each equal-area axis, " i { "a" } " from it" }
                thead {
                    tr {
                        th scope="col" { "Piece" }
                        @for side in ["1", "2"] {
                            @let (area, distance) = (letter("A", side), letter("a", side));
                            (head(&area, 2)) (head(&distance, 1)) (head(&html! { (area) "·" (distance) }, 3))
                        }
                    }
                }
                @for axis in axes { (axis) }
            }
        },
    )
}

/// Area, and ∬(distance) dA, of outlines above the axis and below it.
fn sides(outlines: &[(f64, &Ring)], turn: f64, level: f64, corner: Point, factor: f64) -> [(f64, f64); 2] {
    let turn = Affine::rotation(turn);
    let level = level / factor;
    let mut sides = [(0.0, 0.0); 2];
    for (weight, ring) in outlines {
        let curves: Vec<Curve> =
            ring.curves().iter().map(|curve| curve.translated(-corner).transformed(&turn)).collect();
        let (below, first_below) = section::part_below(&curves, level);
        let (mut area, mut first) = (0.0, 0.0);
        for curve in &curves {
            let moments = section::curve_moments(curve);
            area += moments.area;
            first += moments.first_y;
        }
        // ∬(y − level) dA of the whole is that above less that below.
        let above = (area - below, first - level * area + first_below);
        for (side, (area, first)) in sides.iter_mut().zip([above, (below, first_below)]) {
            side.0 += weight * area * factor.powi(2);
            side.1 += weight * first * factor.powi(3);
        }
    }
    sides
}
