//! Equal-area axes and plastic moduli.

use super::frame::Frame;
use crate::geometry::{Curve, Point};

/// The equal-area axis parallel to x, and the plastic modulus about it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct EqualArea {
    /// y of the axis.
    pub level: f64,
    /// ∬|y − level| dA: the first moments of both halves about the axis.
    pub modulus: f64,
    /// The axis lies in a gap between parts: any level between these halves the area; `level` is the middle.
    pub gap: Option<(f64, f64)>,
}

/// The direction in which heights are measured.
const UP: Point = Point::new(0.0, 1.0);

/// A stretch of a curve along which y rises or falls.
struct Stretch<'a> {
    curve: &'a Curve,
    sign: f64,
    from: f64,
    to: f64,
    low: f64,
    high: f64,
    /// x at the end less x at the start.
    run: f64,
    /// −∫y dx.
    below: f64,
}

/// The axis parallel to x that halves the area of the frame.
pub(super) fn equal_area(frame: &Frame, area: f64, start: f64) -> EqualArea {
    let mut stretches = Vec::new();
    for (sign, curve) in frame.curves() {
        for ends in curve.monotone_stations(UP).windows(2) {
            let ((from, a), (to, b)) = (ends[0], ends[1]);
            stretches.push(Stretch {
                curve,
                sign,
                from,
                to,
                low: a.y.min(b.y),
                high: a.y.max(b.y),
                run: b.x - a.x,
                below: under(curve, (from, a), (to, b)),
            });
        }
    }
    let (level, gap) = match gap_at_half(frame, &stretches, area) {
        Some((low, high)) => (0.5 * (low + high), Some((low, high))),
        None => (halving_level(&stretches, area, start), None),
    };
    EqualArea { level, modulus: modulus_about(&stretches, level), gap }
}

/// Area below `level`, −∮min(y, level) dx, and the width of the solid there, which is its derivative.
fn below(stretches: &[Stretch], level: f64) -> (f64, f64) {
    let (mut area, mut width) = (0.0, 0.0);
    for s in stretches {
        if s.high <= level {
            area += s.sign * s.below;
        } else if s.low >= level {
            area -= s.sign * level * s.run;
            width -= s.sign * s.run;
        } else {
            let cut = s.curve.parameter_where(UP, level, s.from, s.to);
            let (first, at, last) = (s.curve.at(s.from), s.curve.at(cut), s.curve.at(s.to));
            let (part, rest) = if first.y < last.y {
                (under(s.curve, (s.from, first), (cut, at)), last.x - at.x)
            } else {
                (under(s.curve, (cut, at), (s.to, last)), at.x - first.x)
            };
            area += s.sign * (part - level * rest);
            width -= s.sign * rest;
        }
    }
    (area, width)
}

/// −∫y dx along the curve from parameter `from`, at `a`, to `to`, at `b`.
fn under(curve: &Curve, (from, a): (f64, Point), (to, b): (f64, Point)) -> f64 {
    let chord = -0.5 * (a.y + b.y) * (b.x - a.x);
    match curve {
        Curve::Line(_) => chord,
        Curve::Span(_) => curve.integral(from, to, 2, |p, d| [-p.y * d.x])[0],
        Curve::Arc(_) | Curve::Ellipse(_) => chord + curve.segment(from, to).unwrap_or(0.0),
    }
}

/// ∫(y − level)² dx along the curve from parameter `from` to `to`.
fn squares(curve: &Curve, from: f64, to: f64, level: f64) -> f64 {
    if let Curve::Line(_) = curve {
        // The square of what changes evenly.
        let (a, b) = (curve.at(from), curve.at(to));
        let (first, last) = (a.y - level, b.y - level);
        return (first * first + first * last + last * last) / 3.0 * (b.x - a.x);
    }
    curve.integral(from, to, 3, |p, d| [(p.y - level).powi(2) * d.x])[0]
}

/// A gap between parts, along y, that has half of the area below it: the lowest one.
fn gap_at_half(frame: &Frame, stretches: &[Stretch], area: f64) -> Option<(f64, f64)> {
    /// Both sides of a gap are halves when they agree to this share of the area: the rounding of their sums.
    const HALVES: f64 = 1e-12;
    let excess = |level: f64| 2.0 * below(stretches, level).0 - area;
    lowest_within(&gaps(frame.parts_along_y()), HALVES * area, excess)
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

/// The level with half the area below it: Newton's method (the width is the derivative) inside a shrinking bracket. Where
/// the width jumps, its steps can swing to and fro between two levels for ever: a step that is not half as long as the
/// one before it is not taken, and the bracket is halved instead.
fn halving_level(stretches: &[Stretch], area: f64, start: f64) -> f64 {
    let (mut low, mut high) = stretches
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), s| (low.min(s.low), high.max(s.high)));
    let settled = SETTLED * (high - low);
    let mut level = start.max(low).min(high);
    let mut step = f64::INFINITY;
    // Every round halves the step or the bracket, which neither can be as often as this.
    for _ in 0..200 {
        let (part, width) = below(stretches, level);
        let excess = part - 0.5 * area;
        if excess == 0.0 {
            break;
        }
        if excess > 0.0 {
            high = level;
        } else {
            low = level;
        }
        let newton = level - excess / width;
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
    }
    level
}

/// ∬|y − level| dA = −∮(y − level)|y − level|/2 dx.
fn modulus_about(stretches: &[Stretch], level: f64) -> f64 {
    let mut sum = 0.0;
    for s in stretches {
        let whole = || squares(s.curve, s.from, s.to, level);
        sum += s.sign
            * if s.low >= level {
                -whole()
            } else if s.high <= level {
                whole()
            } else {
                let cut = s.curve.parameter_where(UP, level, s.from, s.to);
                let (first, last) =
                    (squares(s.curve, s.from, cut, level), squares(s.curve, cut, s.to, level));
                if s.curve.at(s.from).y < level { first - last } else { last - first }
            };
    }
    0.5 * sum
}

#[cfg(test)]
mod tests {
    use std::cell::Cell;

    use super::*;
    use crate::geometry::Arc;
    use crate::section::frame::Loop;

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
        let plastic = row.properties.unwrap().plastic.unwrap();
        assert!((plastic.level_x - 20221.561).abs() < 5e-3, "{}", plastic.level_x);
        assert!((plastic.upright / 5_208_255.0 - 1.0).abs() < 1e-4, "{}", plastic.upright);
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
        let disc = |y: f64, radius: f64| Loop {
            sign: 1.0,
            curves: vec![Curve::Arc(Arc::circle(Point::new(7.0 * y.sin(), y), radius))],
        };
        // 60 discs below and 15 of twice the radius above, in no order of height.
        let mut loops: Vec<Loop> = (0..60).map(|k| disc(f64::from(k * 37 % 60) * 5.0 - 211.0, 2.0)).collect();
        loops.splice(20..20, (0..15).map(|k| disc(f64::from(k * 7 % 15) * 9.0 + 97.0, 4.0)));
        let even = Frame { loops };
        let found = equal_area(&even, even.moments().area, 0.0);
        let (low, high) = found.gap.expect("a gap");
        assert!((low - 86.0).abs() < 1e-12 && (high - 93.0).abs() < 1e-12, "{low} to {high}");
        assert!((found.level - 89.5).abs() < 1e-12);
        let mut odd = even;
        odd.loops.push(disc(-300.0, 1.0));
        assert_eq!(equal_area(&odd, odd.moments().area, 0.0).gap, None);
    }
}
