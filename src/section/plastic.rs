//! Equal-area axes and plastic moduli.
//!
//! The level by Newton's method within a shrinking bracket; areas and first moments below it by Green's theorem.

use super::integrals::Moments;
use super::local_boundary::LocalBoundary;
use crate::geometry::{Curve, Point, Segment};

/// The equal-area axis parallel to x, and the plastic modulus about it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct EqualArea {
    /// y of the axis.
    pub level: f64,
    /// ∬|y − level| dA: the first moments of both halves about the axis.
    pub modulus: f64,
    /// The axis lies in a gap between parts: any level between these halves the area; `level` is the middle.
    pub gap: Option<(f64, f64)>,
    /// Smallest and largest y of the solid.
    pub extent: (f64, f64),
}

/// The direction in which heights are measured.
const UP: Point = Point::new(0.0, 1.0);

/// A stretch of a curve along which y rises or falls.
struct Stretch<'a> {
    curve: &'a Curve,
    sign: f64,
    from: f64,
    to: f64,
    first: Point,
    last: Point,
    low: f64,
    high: f64,
    /// −∫y dx.
    under: f64,
}

impl Stretch<'_> {
    /// x at the end less x at the start.
    fn run(&self) -> f64 {
        self.last.x - self.first.x
    }

    /// The part of it below a level that it crosses, and how far the rest runs along x.
    fn below(&self, level: f64) -> (Cut, f64) {
        let cut = self.curve.parameter_where(UP, level, self.from, self.to);
        let at = self.curve.at(cut);
        if self.first.y < self.last.y {
            (((self.from, self.first), (cut, at)), self.last.x - at.x)
        } else {
            (((cut, at), (self.to, self.last)), at.x - self.first.x)
        }
    }
}

/// Part of a curve: its ends with their parameters.
type Cut = ((f64, Point), (f64, Point));

/// The axis parallel to x that halves the area of the boundary, whose moments about its origin are `moments`.
pub(super) fn equal_area(boundary: &LocalBoundary, moments: &Moments) -> EqualArea {
    let mut stretches = Vec::with_capacity(2 * boundary.curves().len());
    let mut parts = Vec::new();
    for (sign, curves) in boundary.rings() {
        let (mut lowest, mut highest) = (f64::INFINITY, f64::NEG_INFINITY);
        for curve in curves {
            curve.each_monotone(UP, |(from, first), (to, last)| {
                let (low, high) = (first.y.min(last.y), first.y.max(last.y));
                let under = under(curve, (from, first), (to, last));
                stretches.push(Stretch { curve, sign, from, to, first, last, low, high, under });
                (lowest, highest) = (lowest.min(low), highest.max(high));
            });
        }
        if sign > 0.0 {
            parts.push((lowest, highest));
        }
    }
    let extent = parts
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |all, part| (part.0.min(all.0), part.1.max(all.1)));
    let gaps = gaps(parts);
    let (level, gap) = match gap_at_half(&gaps, &stretches, moments.area) {
        Some((low, high)) => (0.5 * (low + high), Some((low, high))),
        None => (halving_level(&stretches, moments.area, moments.centroid().y, extent), None),
    };
    // What lies above has the whole's first moment about the level less that of what lies below, which is negative.
    let whole = moments.first_y - moments.area * level;
    EqualArea { level, modulus: whole + 2.0 * first_moment_below(&stretches, level), gap, extent }
}

/// Area below a level, −∮min(y, level) dx, and the width of the solid there, which is its derivative.
#[derive(Clone, Copy, Default)]
struct Below {
    area: f64,
    width: f64,
}

impl Below {
    fn add(&mut self, s: &Stretch, level: f64) {
        if s.high <= level {
            self.area += s.sign * s.under;
        } else if s.low >= level {
            self.area -= s.sign * level * s.run();
            self.width -= s.sign * s.run();
        } else {
            let ((from, to), rest) = s.below(level);
            self.area += s.sign * (under(s.curve, from, to) - level * rest);
            self.width -= s.sign * rest;
        }
    }
}

fn below(stretches: &[Stretch], level: f64) -> f64 {
    let mut below = Below::default();
    stretches.iter().for_each(|s| below.add(s, level));
    below.area
}

/// −∫y dx along the curve from parameter `from`, at `a`, to `to`, at `b`.
fn under(curve: &Curve, (from, a): (f64, Point), (to, b): (f64, Point)) -> f64 {
    let chord = -0.5 * (a.y + b.y) * (b.x - a.x);
    match curve {
        Curve::Line(_) => chord,
        Curve::Span(_) => curve.integral(from, to, 2, |p, d| [-p.y * d.x])[0],
        Curve::Arc(_) | Curve::Ellipse(_) => chord + curve.segment(from, to).map_or(0.0, |s| s.area()),
    }
}

/// ½∫(y − level)² dx along the curve from parameter `from`, at `a`, to `to`, at `b`.
fn half_squares(curve: &Curve, (from, a): (f64, Point), (to, b): (f64, Point), level: f64) -> f64 {
    let (first, last) = (a.y - level, b.y - level);
    // Along the chord: the square of what changes evenly.
    let chord = (first * first + first * last + last * last) / 6.0 * (b.x - a.x);
    match curve {
        Curve::Line(_) => chord,
        Curve::Span(_) => curve.integral(from, to, 3, |p, d| [0.5 * (p.y - level).powi(2) * d.x])[0],
        // Around the segment ½∮(y − level)² dx is −∬(y − level) dA.
        Curve::Arc(_) | Curve::Ellipse(_) => {
            let beyond = |s: Segment| s.first_moment().y + (s.center.y - level) * s.area();
            chord - curve.segment(from, to).map_or(0.0, beyond)
        }
    }
}

/// A gap between parts, along y, that has half of the area below it: the lowest one.
fn gap_at_half(gaps: &[(f64, f64)], stretches: &[Stretch], area: f64) -> Option<(f64, f64)> {
    /// Both sides of a gap are halves when they agree to this share of the area: the rounding of their sums.
    const HALVES: f64 = 1e-12;
    let excess = |level: f64| 2.0 * below(stretches, level) - area;
    lowest_within(gaps, HALVES * area, excess)
}

/// The lowest gap at whose middle the excess is 0 within `slack`. As the excess grows from gap to gap, a few of many
/// thousands are asked.
fn lowest_within(gaps: &[(f64, f64)], slack: f64, excess: impl Fn(f64) -> f64) -> Option<(f64, f64)> {
    let at_middle = |(low, high): (f64, f64)| excess(0.5 * (low + high));
    let first = gaps.partition_point(|gap| at_middle(*gap) < -slack);
    gaps.get(first).copied().filter(|gap| at_middle(*gap) <= slack)
}

/// What lies between stretches of a line and in none of them, rising.
fn gaps(mut stretches: Vec<(f64, f64)>) -> Vec<(f64, f64)> {
    stretches.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut gaps = Vec::new();
    let mut stretches = stretches.into_iter();
    let Some((_, mut reach)) = stretches.next() else { return gaps };
    for (low, high) in stretches {
        if low > reach {
            gaps.push((reach, low));
        }
        reach = reach.max(high);
    }
    gaps
}

/// Steps shorter than this share of the section are the rounding of the sums that they come from.
const SETTLED: f64 = 1e-14;

/// The level with half the area below it: Newton's method (the width is the derivative) inside a shrinking bracket, which
/// is the extent of the solid at first. Where the width jumps, its steps can swing to and fro between two levels for ever:
/// a step that is not half as long as the one before it is not taken, and the bracket is halved instead.
fn halving_level(stretches: &[Stretch], area: f64, start: f64, (mut low, mut high): (f64, f64)) -> f64 {
    let settled = SETTLED * (high - low);
    let mut level = start.max(low).min(high);
    let mut step = f64::INFINITY;
    // Stretches that reach into the bracket; what those below it and those above it come to is known.
    let mut open: Vec<&Stretch> = stretches.iter().collect();
    let (mut under, mut run) = (0.0, 0.0);
    // Every round halves the step or the bracket, which neither can be as often as this.
    for _ in 0..200 {
        let mut below = Below { area: under - level * run, width: -run };
        open.iter().for_each(|s| below.add(s, level));
        let excess = below.area - 0.5 * area;
        if excess == 0.0 {
            break;
        }
        if excess > 0.0 {
            high = level;
        } else {
            low = level;
        }
        let newton = level - excess / below.width;
        let inside = newton > low && newton < high;
        let length = (newton - level).abs();
        if length <= settled {
            return if inside { newton } else { level };
        }
        let next = if inside && length < 0.5 * step { newton } else { 0.5 * (low + high) };
        step = (next - level).abs();
        level = next;
        if high - low <= settled {
            break;
        }
        open.retain(|s| {
            if s.high <= low {
                under += s.sign * s.under;
            } else if s.low >= high {
                run += s.sign * s.run();
            }
            s.high > low && s.low < high
        });
    }
    level
}

/// ∬(level − y) dA of what lies below the level: ½∮(y − level)² dx there.
fn first_moment_below(stretches: &[Stretch], level: f64) -> f64 {
    let mut sum = 0.0;
    for s in stretches {
        if s.high <= level {
            sum += s.sign * half_squares(s.curve, (s.from, s.first), (s.to, s.last), level);
        } else if s.low < level {
            let ((from, to), _) = s.below(level);
            sum += s.sign * half_squares(s.curve, from, to, level);
        }
    }
    sum
}

#[cfg(test)]
mod tests {
    use std::cell::Cell;

    use super::*;
    use crate::geometry::Arc;

    /// Newton's steps swing to and fro between 68.6 and 97.5 below the centroid here. The level and the modulus were found
    /// by bisection of the polygon with 64 chords for each circle (shapely 2.2), which is good to 1e-4; the two levels give
    /// 0.5 % more.
    #[test]
    fn steps_do_not_swing_for_ever() {
        let drawn =
            std::fs::read(concat!(env!("CARGO_MANIFEST_DIR"), "/fixtures/corner-bracket.dxf")).unwrap();
        let drawing = crate::drawing::Drawing::read(drawn.as_slice()).unwrap();
        let options = crate::measure::Options::default();
        let row = crate::measure::drawing("a", &drawing, &options).measurements.remove(0);
        let plastic = row.properties().unwrap().plastic.unwrap();
        assert!((plastic.neutral_x - 20221.561).abs() < 5e-3, "{}", plastic.neutral_x);
        assert!((plastic.about_y / 5_208_255.0 - 1.0).abs() < 1e-4, "{}", plastic.about_y);
    }

    #[test]
    fn of_many_gaps_few_are_asked() {
        let gaps: Vec<(f64, f64)> = (1..40_000).map(|k| (f64::from(k), f64::from(k) + 0.5)).collect();
        let asked = Cell::new(0);
        let excess = |half: f64| {
            let asked = &asked;
            move |level: f64| {
                asked.set(asked.get() + 1);
                level.floor() - half
            }
        };
        assert_eq!(lowest_within(&gaps, 0.1, excess(31_007.0)), Some((31_007.0, 31_007.5)));
        assert_eq!(lowest_within(&gaps, 0.1, excess(31_007.5)), None);
        assert_eq!(lowest_within(&gaps, 0.1, excess(50_000.0)), None);
        assert!(asked.get() <= 3 * 18, "{} of {}", asked.get(), gaps.len());
    }

    #[test]
    fn the_gap_between_two_halves_of_many_parts() {
        let disc = |y: f64, radius: f64| Curve::Arc(Arc::circle(Point::new(7.0 * y.sin(), y), radius));
        // 60 discs below and 15 of twice the radius above, in no order of height.
        let mut discs: Vec<Curve> =
            (0..60).map(|k| disc(f64::from(k * 37 % 60) * 5.0 - 211.0, 2.0)).collect();
        discs.splice(20..20, (0..15).map(|k| disc(f64::from(k * 7 % 15) * 9.0 + 97.0, 4.0)));
        let mut even = LocalBoundary::default();
        discs.into_iter().for_each(|disc| even.push(1.0, [disc]));
        let found = equal_area(&even, &even.moments());
        let (low, high) = found.gap.expect("a gap");
        assert!((low - 86.0).abs() < 1e-12 && (high - 93.0).abs() < 1e-12, "{low} to {high}");
        assert!((found.level - 89.5).abs() < 1e-12);
        let mut odd = even;
        odd.push(1.0, [disc(-300.0, 1.0)]);
        assert_eq!(equal_area(&odd, &odd.moments()).gap, None);
    }
}
