//! Equal-area axes and plastic moduli.
//!
//! The level by Newton's method within a shrinking bracket; areas and first moments below it by Green's theorem.

use super::integrals::Moments;
use super::local_boundary::LocalBoundary;
use super::stretches::{Kept, Packed, Stretch, Stretches};
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

/// The axis parallel to x that halves the area of the boundary, whose moments about its origin are `moments`.
pub(super) fn equal_area(boundary: &LocalBoundary, moments: &Moments) -> EqualArea {
    const NOTHING: (f64, f64) = (f64::INFINITY, f64::NEG_INFINITY);
    // The lowest and the highest place of each part.
    let mut parts: Vec<(f64, f64)> = Vec::new();
    if let Some(rings) = boundary.kept_rings() {
        let mut kept = Kept::default();
        for (sign, curves) in rings {
            let reach = kept.push(sign, curves);
            if sign > 0.0 {
                parts.push(reach);
            }
        }
        let (extent, gaps) = extent_and_gaps(parts);
        return equal_area_of(&kept, extent, &gaps, moments);
    }
    // What tells the gaps is let go of before the stretches are listed.
    let mut last_part = None;
    boundary.each_of_sign(
        |sign| sign > 0.0,
        |told, curve| {
            if last_part != Some(told.ring) {
                last_part = Some(told.ring);
                parts.push(NOTHING);
            }
            if let Some(part) = parts.last_mut() {
                let bounds = curve.bounds();
                *part = (part.0.min(bounds.min.y), part.1.max(bounds.max.y));
            }
        },
    );
    let (extent, gaps) = extent_and_gaps(parts);
    equal_area_of(&Packed::of(boundary), extent, &gaps, moments)
}

/// From the lowest to the highest place of all parts, and what lies between them.
fn extent_and_gaps(parts: Vec<(f64, f64)>) -> ((f64, f64), Vec<(f64, f64)>) {
    let extent = parts
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |all, part| (part.0.min(all.0), part.1.max(all.1)));
    (extent, gaps(parts))
}

fn equal_area_of(
    stretches: &impl Stretches,
    extent: (f64, f64),
    gaps: &[(f64, f64)],
    moments: &Moments,
) -> EqualArea {
    let (level, gap) = match gap_at_half(gaps, stretches, moments.area) {
        Some((low, high)) => (0.5 * (low + high), Some((low, high))),
        None => (halving_level(stretches, moments.area, moments.centroid().y, extent), None),
    };
    // What lies above has the whole's first moment about the level less that of what lies below, which is negative.
    let whole = moments.first_y - moments.area * level;
    EqualArea { level, modulus: whole + 2.0 * first_moment_below(stretches, level), gap, extent }
}

/// Area below a level, −∮min(y, level) dx, and the width of the solid there, which is its derivative.
#[derive(Clone, Copy, Default)]
struct Below {
    area: f64,
    width: f64,
}

impl Below {
    #[inline]
    fn add(&mut self, stretches: &impl Stretches, number: usize, level: f64) {
        let sign = stretches.sign(number);
        if stretches.is_under(number, level) {
            self.area += sign * stretches.under(number);
        } else if stretches.is_over(number, level) {
            self.add_above(sign * stretches.run(number), level);
        } else {
            stretches.each_of(number, |stretch| self.add_crossed(sign, stretch, level));
        }
    }

    /// Adds what runs along x above the level: below it lies what is between that and the level.
    #[inline]
    fn add_above(&mut self, run: f64, level: f64) {
        self.area -= level * run;
        self.width -= run;
    }

    /// Adds a stretch of a curve that the level crosses.
    #[inline]
    fn add_crossed(&mut self, sign: f64, stretch: &Stretch, level: f64) {
        if stretch.high() <= level {
            self.area += sign * stretch.under();
        } else if stretch.low() >= level {
            self.add_above(sign * stretch.run(), level);
        } else {
            let ((from, to), rest) = stretch.below(level);
            self.area += sign * (under(stretch.curve, from, to) - level * rest);
            self.width -= sign * rest;
        }
    }
}

fn below(stretches: &impl Stretches, level: f64) -> f64 {
    let mut below = Below::default();
    (0..stretches.count()).for_each(|k| below.add(stretches, k, level));
    below.area
}

/// −∫y dx along the curve from parameter `from`, at `a`, to `to`, at `b`.
#[inline]
pub(super) fn under(curve: &Curve, (from, a): (f64, Point), (to, b): (f64, Point)) -> f64 {
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
fn gap_at_half(gaps: &[(f64, f64)], stretches: &impl Stretches, area: f64) -> Option<(f64, f64)> {
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
    stretches.sort_unstable_by(|a, b| a.0.total_cmp(&b.0));
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
fn halving_level(stretches: &impl Stretches, area: f64, start: f64, (mut low, mut high): (f64, f64)) -> f64 {
    let settled = SETTLED * (high - low);
    let mut level = start.max(low).min(high);
    let mut step = f64::INFINITY;
    // Stretches that reach into the bracket, all at first; what those below it and those above it come to is known.
    let mut open: Option<Vec<u32>> = None;
    let (mut under, mut run) = (0.0, 0.0);
    // Every round halves the step or the bracket, which neither can be as often as this.
    for _ in 0..200 {
        let mut below = Below { area: under - level * run, width: -run };
        match &open {
            None => (0..stretches.count()).for_each(|k| below.add(stretches, k, level)),
            Some(open) => open.iter().for_each(|k| below.add(stretches, *k as usize, level)),
        }
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
        let stays_open = |number: &u32| {
            let k = *number as usize;
            if stretches.is_under(k, low) {
                under += stretches.sign(k) * stretches.under(k);
                return false;
            }
            if stretches.is_over(k, high) {
                run += stretches.sign(k) * stretches.run(k);
                return false;
            }
            true
        };
        match &mut open {
            None => open = Some((0..stretches.count() as u32).filter(stays_open).collect()),
            Some(open) => open.retain(stays_open),
        }
    }
    level
}

/// ∬(level − y) dA of what lies below the level: ½∮(y − level)² dx there.
fn first_moment_below(stretches: &impl Stretches, level: f64) -> f64 {
    let mut sum = 0.0;
    stretches.each(|sign, s| {
        if s.high() <= level {
            sum += sign * half_squares(s.curve, (s.from, s.first), (s.to, s.last), level);
        } else if s.low() < level {
            let ((from, to), _) = s.below(level);
            sum += sign * half_squares(s.curve, from, to, level);
        }
    });
    sum
}

/// What a closed ring, anticlockwise, has below a level: ∬dA and ∬(level − y) dA there.
#[cfg(feature = "sheet")]
pub(crate) fn part_below(curves: &[Curve], level: f64) -> (f64, f64) {
    let mut kept = Kept::default();
    kept.push(1.0, curves);
    (below(&kept, level), first_moment_below(&kept, level))
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

    /// A circle cut at half its radius above its centre: the part below is the disc less a segment of 120°, whose area is
    /// r²·(φ − sin φ)/2 and whose centroid lies 4·r·sin³(φ/2)/(3·(φ − sin φ)) from the centre (any table of areas).
    #[cfg(feature = "sheet")]
    #[test]
    fn a_ring_below_a_level() {
        let (radius, phi) = (20.0_f64, 2.0 * std::f64::consts::PI / 3.0);
        let circle = [Curve::Arc(Arc::circle(Point::new(7.0, -3.0), radius))];
        let (area, first) = part_below(&circle, -3.0 + 0.5 * radius);
        let disc = std::f64::consts::PI * radius * radius;
        let segment = radius * radius * (phi - phi.sin()) / 2.0;
        let out = 4.0 * radius * (phi / 2.0).sin().powi(3) / (3.0 * (phi - phi.sin()));
        assert!((area - (disc - segment)).abs() < 1e-12 * disc);
        let expected = disc * 0.5 * radius + segment * (out - 0.5 * radius);
        assert!((first - expected).abs() < 1e-12 * disc * radius, "{first} {expected}");
        assert_eq!(part_below(&circle, -30.0), (0.0, 0.0));
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
        let mut even = LocalBoundary::new();
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
