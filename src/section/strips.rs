//! The independent check: the section cut into upright strips, and again into flat ones.
//!
//! At each station the curves' heights are solved for, sorted into pairs from below (in, out, in, out …), and the
//! strip between each pair is integrated. Nothing here uses a parameter derivative, a direction of travel or the
//! nesting of rings, which the boundary integrals rest on; agreement of the two is evidence for both.
//!
//! Closed forms on straight and round stretches, Gauss-Legendre quadrature on others; parities of ranks by words of bits.

use std::ops::Range;

use super::bands;
use super::integrals::Moments;
use super::local_boundary::LocalBoundary;
use crate::geometry::integral::PANEL_TURN;
use crate::geometry::near::Grid;
use crate::geometry::{Bounds, Curve, Point, Stations, quadrature};

/// A stretch of a curve with one height at each station.
pub(super) struct Stretch<'a> {
    curve: &'a Curve,
    /// Parameters between which x runs one way.
    from: f64,
    to: f64,
    pub left: f64,
    pub right: f64,
    lowest: f64,
    highest: f64,
    ordinate: Ordinate,
}

/// How the height at a station is solved for.
enum Ordinate {
    /// y = y₀ + slope·(x − x₀).
    Straight { x: f64, y: f64, slope: f64 },
    /// A branch of the ellipse: x = cx + a·sin ψ, y = cy + b·sin ψ ± h·cos ψ.
    Round { center: Point, reach: f64, lean: f64, height: f64 },
    /// Solved along the curve.
    Free,
}

/// Area and moments about the origin of what curves of a boundary bound, by upright strips.
pub(super) fn upright(boundary: &LocalBoundary, curves: Range<usize>) -> Moments {
    let Some(kept) = boundary.kept() else { return bands::upright(boundary) };
    let stretches = stretches(&kept[curves]);
    let tops = tops(&stretches, ALL);
    let mut sum = Moments::default();
    for (stretch, top) in stretches.iter().zip(tops) {
        sum += stretch.strips(top);
    }
    sum
}

/// Area and moments about the origin of what curves of a boundary bound, by flat strips, from the boundary turned by a
/// quarter turn anticlockwise: there they stand upright.
pub(super) fn flat(quarter_turned: &LocalBoundary, curves: Range<usize>) -> Moments {
    // Three more quarter turns come back to the page as it was.
    upright(quarter_turned, curves).quarter_turned().quarter_turned().quarter_turned()
}

/// The leftmost place where the strips take a stretch for the top of the section and the direction in which its ring runs says
/// that it is the bottom, or the other way round; `None` where there is none, or the curves are not kept.
pub(super) fn first_contradiction(boundary: &LocalBoundary) -> Option<Point> {
    let (mut stretches, mut directed) = (Vec::new(), Vec::new());
    let mut width = Width::default();
    for (sign, curves) in boundary.kept_rings()? {
        for curve in curves {
            each_stretch(curve, &mut width, |stretch| {
                // Anticlockwise around what is solid, the top is travelled from right to left.
                let leftwards = curve.at(stretch.to).x < curve.at(stretch.from).x;
                directed.push(leftwards == (sign > 0.0));
                stretches.push(stretch);
            });
        }
    }
    let narrow = width.narrow();
    stretches.iter_mut().for_each(|stretch| stretch.straighten(narrow));
    let tops = tops(&stretches, ALL);
    let contradicting =
        stretches.iter().zip(tops.iter().zip(&directed)).filter(|(_, (top, other))| top != other);
    let first = contradicting.map(|(stretch, _)| stretch).min_by(|a, b| a.left.total_cmp(&b.left))?;
    let ends = [first.curve.at(first.from), first.curve.at(first.to)];
    ends.into_iter().min_by(|a, b| a.x.total_cmp(&b.x))
}

/// From the leftmost to the rightmost place of some curves.
#[derive(Clone, Copy)]
pub(super) struct Width {
    pub left: f64,
    pub right: f64,
}

impl Default for Width {
    /// Of no curves.
    fn default() -> Width {
        Width { left: f64::INFINITY, right: f64::NEG_INFINITY }
    }
}

impl Width {
    #[inline]
    pub fn add(&mut self, x: f64) {
        (self.left, self.right) = (self.left.min(x), self.right.max(x));
    }

    /// Stretches that are no wider are straight.
    pub fn narrow(self) -> f64 {
        /// A stretch narrower than this share of the section is taken as straight: what it adds is rounding, and so would
        /// be the heights solved for on it.
        const NARROW: f64 = 1e-12;
        NARROW * (self.right - self.left)
    }
}

/// Calls `visit` with the stretches of a curve, one after the other, and adds its places to `width`.
#[inline]
pub(super) fn each_stretch<'a>(curve: &'a Curve, width: &mut Width, mut visit: impl FnMut(Stretch<'a>)) {
    let heights = match curve {
        Curve::Line(_) => Stations::new(),
        other => other.monotone_stations(Point::new(0.0, 1.0)),
    };
    each_course(curve, width, |mut stretch| {
        for (t, place) in &heights {
            if stretch.from < *t && *t < stretch.to {
                stretch.lowest = stretch.lowest.min(place.y);
                stretch.highest = stretch.highest.max(place.y);
            }
        }
        visit(stretch);
    });
}

/// The same, where nobody asks how low and how high they go between their ends.
#[inline]
pub(super) fn each_course<'a>(curve: &'a Curve, width: &mut Width, mut visit: impl FnMut(Stretch<'a>)) {
    curve.each_monotone(Point::new(1.0, 0.0), |(from, a), (to, b)| {
        width.add(a.x);
        width.add(b.x);
        if a.x == b.x {
            return;
        }
        visit(Stretch {
            curve,
            from,
            to,
            left: a.x.min(b.x),
            right: a.x.max(b.x),
            lowest: a.y.min(b.y),
            highest: a.y.max(b.y),
            ordinate: Ordinate::of(curve, from, to),
        });
    });
}

pub(super) fn stretches(curves: &[Curve]) -> Vec<Stretch<'_>> {
    let mut found = Vec::with_capacity(2 * curves.len());
    let mut width = Width::default();
    for curve in curves {
        each_stretch(curve, &mut width, |stretch| found.push(stretch));
    }
    let narrow = width.narrow();
    found.iter_mut().for_each(|stretch| stretch.straighten(narrow));
    found
}

impl Ordinate {
    fn of(curve: &Curve, from: f64, to: f64) -> Ordinate {
        if let Curve::Line(line) = curve {
            let along = line.end - line.start;
            return Ordinate::Straight { x: line.start.x, y: line.start.y, slope: along.y / along.x };
        }
        if let Curve::Arc(arc) = curve {
            // As below, where u and v lie along x and y.
            let height = arc.radius * arc.radius / arc.radius;
            let branch = arc.angle_at(0.5 * (from + to)).sin().signum();
            return Ordinate::Round {
                center: arc.center,
                reach: arc.radius,
                lean: 0.0,
                height: height * branch,
            };
        }
        let Some(turning) = curve.turning() else { return Ordinate::Free };
        let middle = turning.angle(0.5 * (from + to));
        let (center, u, v) = (turning.center, turning.u, turning.v);
        // x = cx + a·sin(φ + δ): turn the parameter so that x alone is a sine.
        let reach = u.x.hypot(v.x);
        if reach == 0.0 {
            return Ordinate::Free;
        }
        let delta = u.x.atan2(v.x);
        // y = cy + u.y·cos φ + v.y·sin φ with φ = ψ − δ.
        let lean = (u.y * u.x + v.y * v.x) / reach;
        let height = u.cross(v) / reach;
        // cos ψ is positive on one branch and negative on the other.
        let branch = (middle + delta).cos().signum();
        Ordinate::Round { center, reach, lean, height: -height * branch }
    }
}

impl Stretch<'_> {
    /// Makes it straight where it is not wider than `narrow`.
    pub fn straighten(&mut self, narrow: f64) {
        if self.right - self.left <= narrow {
            let (a, b) = (self.curve.at(self.from), self.curve.at(self.to));
            self.ordinate = Ordinate::Straight { x: a.x, y: a.y, slope: (b.y - a.y) / (b.x - a.x) };
        }
    }

    /// Area and moments of the strips between the x axis and this stretch, as the top or as the bottom of what they cut.
    pub fn strips(&self, top: bool) -> Moments {
        self.below().scaled(if top { 1.0 } else { -1.0 })
    }

    /// The height at station `x`.
    pub fn height(&self, x: f64) -> f64 {
        match &self.ordinate {
            Ordinate::Straight { x: x0, y, slope } => y + slope * (x - x0),
            Ordinate::Round { center, reach, lean, height } => {
                let out = x - center.x;
                let cosine = ((reach - out) * (reach + out)).max(0.0).sqrt() / reach;
                center.y + lean * out / reach + height * cosine
            }
            Ordinate::Free => {
                let t = self.curve.parameter_where(Point::new(1.0, 0.0), x, self.from, self.to);
                self.curve.at(t).y
            }
        }
    }

    /// The strips between the x axis and this stretch.
    fn below(&self) -> Moments {
        let strip = |x: f64, width: f64| {
            let y = self.height(x);
            [
                width * y,
                width * x * y,
                width * y * y / 2.0,
                width * x * x * y,
                width * y * y * y / 3.0,
                width * x * y * y / 2.0,
            ]
        };
        let sums = match &self.ordinate {
            Ordinate::Straight { x, y, slope } => {
                let (left, right) = (self.left, self.right);
                straight_strips((left, y + slope * (left - x)), (right, y + slope * (right - x)))
            }
            Ordinate::Round { center, reach, lean, height } => {
                let sine = |x: f64| ((x - center.x) / reach).clamp(-1.0, 1.0);
                let (first, last) = (Turned::to(sine(self.left)), Turned::to(sine(self.right)));
                if last.angle - first.angle <= PANEL_TURN {
                    // Stations at x = cx + a·sin ψ crowd where the curve stands upright.
                    let station = |sine: f64, cosine: f64| strip(center.x + reach * sine, reach * cosine);
                    quadrature::turning(station, first.angle, last.angle, 1)
                } else {
                    round_strips(*center, *reach, (*lean, *height), first, last)
                }
            }
            // The same crowding towards both ends, where a span may stand upright.
            Ordinate::Free => {
                let (middle, half) = (0.5 * (self.left + self.right), 0.5 * (self.right - self.left));
                let station = |theta: f64| {
                    let (sine, cosine) = theta.sin_cos();
                    strip(middle - half * cosine, half * sine)
                };
                quadrature::adaptive(station, 0.0, std::f64::consts::PI)
            }
        };
        let [area, first_x, first_y, xx, yy, xy] = sums;
        Moments { area, first_x, first_y, xx, yy, xy }
    }
}

/// The strips between the x axis and the straight line from one point to another, right of it.
fn straight_strips((left, a): (f64, f64), (right, b): (f64, f64)) -> [f64; 6] {
    let width = right - left;
    // Means of x and of products of what changes evenly, over the width.
    let x = 0.5 * (left + right);
    let (y, yy) = (0.5 * (a + b), (a * a + a * b + b * b) / 3.0);
    let lean = width * (b - a) / 12.0;
    [
        width * y,
        width * (x * y + lean),
        width * yy / 2.0,
        width * (x * x * y + 2.0 * x * lean + width * width * y / 12.0),
        width * (a + b) * (a * a + b * b) / 12.0,
        width * (x * yy / 2.0 + y * lean),
    ]
}

/// An angle ψ from −90° to 90° with its sine and cosine.
#[derive(Clone, Copy)]
struct Turned {
    angle: f64,
    sine: f64,
    cosine: f64,
}

impl Turned {
    fn to(sine: f64) -> Turned {
        Turned { angle: sine.asin(), sine, cosine: ((1.0 - sine) * (1.0 + sine)).sqrt() }
    }

    /// The integrals from 0 to ψ of sⁱ·cʲ·c dψ, s and c being sine and cosine, by i and j: 00, 10, 20, 30, 01, 11, 21, 02,
    /// 12, 03.
    fn integrals(self) -> [f64; 10] {
        let Turned { angle, sine: s, cosine: c } = self;
        let (ss, cc) = (s * s, c * c);
        // sin 2ψ and sin 4ψ.
        let double = 2.0 * s * c;
        let fourfold = 2.0 * double * (cc - ss);
        [
            s,
            ss / 2.0,
            s * ss / 3.0,
            ss * ss / 4.0,
            angle / 2.0 + double / 4.0,
            -c * cc / 3.0,
            angle / 8.0 - fourfold / 32.0,
            s - s * ss / 3.0,
            -cc * cc / 4.0,
            0.375 * angle + double / 4.0 + fourfold / 32.0,
        ]
    }
}

/// The strips between the x axis and a round stretch, x = cx + a·s and y = cy + b·s + h·c, in closed form. Of a short
/// stretch the differences would take the digits.
fn round_strips(
    center: Point,
    reach: f64,
    (lean, height): (f64, f64),
    first: Turned,
    last: Turned,
) -> [f64; 6] {
    let mut integrals = last.integrals();
    integrals.iter_mut().zip(first.integrals()).for_each(|(last, first)| *last -= first);
    let [one, s, ss, sss, c, sc, ssc, cc, scc, ccc] = integrals;
    let (x, y, a, b, h) = (center.x, center.y, reach, lean, height);
    // ∫y, ∫sy and ∫ssy, then ∫y², ∫sy² and ∫y³, all times c dψ.
    let (y_1, y_s, y_ss) = (y * one + b * s + h * c, y * s + b * ss + h * sc, y * ss + b * sss + h * ssc);
    let y_c = y * c + b * sc + h * cc;
    let yy = y * y_1 + b * y_s + h * y_c;
    let y_sc = y * sc + b * ssc + h * scc;
    let yy_s = y * y_s + b * y_ss + h * y_sc;
    let yy_c = y * y_c + b * y_sc + h * (y * cc + b * scc + h * ccc);
    let yyy = y * yy + b * yy_s + h * yy_c;
    [
        a * y_1,
        a * (x * y_1 + a * y_s),
        a * yy / 2.0,
        a * (x * x * y_1 + 2.0 * x * a * y_s + a * a * y_ss),
        a * yyy / 3.0,
        a * (x * yy + a * yy_s) / 2.0,
    ]
}

/// So few stretches are counted one by one where they pass a station: a grid of their boxes takes longer.
const FEW: usize = 400;

/// From where to where stations are judged, from the first to before the second.
pub(super) type Judged = (f64, f64);

/// Every station.
pub(super) const ALL: Judged = (f64::NEG_INFINITY, f64::INFINITY);

/// For each stretch whether it is the top of a strip: an odd number of stretches lie below it at its station. False for those
/// whose station is not judged.
pub(super) fn tops(stretches: &[Stretch], judged: Judged) -> Vec<bool> {
    if stretches.len() <= FEW { tops_of_few(stretches, judged) } else { tops_of_many(stretches, judged) }
}

/// Where along a stretch it is judged: off the middle, where drawings with symmetry have holes that touch edges.
const OFF_MIDDLE: f64 = 0.4693;

/// The station at which a stretch is judged.
fn station(stretch: &Stretch) -> f64 {
    stretch.left + OFF_MIDDLE * (stretch.right - stretch.left)
}

/// The numbers of stretches in the order of a place along x or y, those at one place as they are numbered.
fn in_order(places: impl Iterator<Item = f64>) -> Vec<(f64, u32)> {
    // As whole numbers, which sorting compares without a branch: the bits of a place so that they rise as it does, then its number.
    const SIGN: u64 = 1 << 63;
    let rising = |bits: u64| if bits & SIGN == 0 { bits | SIGN } else { !bits };
    let place = |rising: u64| f64::from_bits(if rising & SIGN == 0 { !rising } else { rising & !SIGN });
    let mut order: Vec<u128> = places
        .zip(0_u32..)
        .map(|(place, k)| u128::from(rising(place.to_bits())) << 32 | u128::from(k))
        .collect();
    order.sort_unstable();
    order.into_iter().map(|key| (place((key >> 32) as u64), key as u32)).collect()
}

/// The stretches whose stations are judged, in the order of those.
fn stations(stretches: &[Stretch], (from, to): Judged) -> Vec<(f64, u32)> {
    let mut order = in_order(stretches.iter().map(station));
    order.retain(|(x, _)| from <= *x && *x < to);
    order
}

fn tops_of_few(stretches: &[Stretch], judged: Judged) -> Vec<bool> {
    let mut entering = in_order(stretches.iter().map(|stretch| stretch.left)).into_iter().peekable();
    // Stretches that begin at the station or left of it, less those that were seen to end there, each with where it ends
    // and how low and high it goes: they are looked at over and over.
    let mut passing: Vec<(u32, [f64; 3])> = Vec::new();
    let mut tops = vec![false; stretches.len()];
    for (x, index) in stations(stretches, judged) {
        while let Some((_, next)) = entering.next_if(|(left, _)| *left <= x) {
            let stretch = &stretches[next as usize];
            passing.push((next, [stretch.right, stretch.lowest, stretch.highest]));
        }
        let y = stretches[index as usize].height(x);
        let mut below = 0;
        // Half-open, so that two stretches which follow on each other at this very station count as one.
        passing.retain(|&(k, [right, lowest, highest])| {
            let passes = x < right;
            if passes && lowest < y && k != index {
                below += usize::from(highest < y || stretches[k as usize].height(x) < y);
            }
            passes
        });
        tops[index as usize] = below % 2 == 1;
    }
    tops
}

fn tops_of_many(stretches: &[Stretch], (from, to): Judged) -> Vec<bool> {
    // Beyond the stations that are judged no box is looked for, and the grid is made for what lies between.
    let boxes: Vec<Bounds> = stretches
        .iter()
        .map(|s| Bounds {
            min: Point::new(s.left.max(from), s.lowest),
            max: Point::new(s.right.min(to), s.highest),
        })
        .collect();
    let grid = Grid::over(&boxes, 0.0);
    let highest = in_order(stretches.iter().map(|s| s.highest));
    let mut ranks = vec![0_u32; stretches.len()];
    highest.iter().zip(0..).for_each(|((_, k), rank)| ranks[*k as usize] = rank);
    // Which of the stretches that pass the station are all below a height.
    let mut passing = Parities::new(stretches.len());
    let mut tops = vec![false; stretches.len()];
    let mut entering = in_order(stretches.iter().map(|s| s.left)).into_iter().peekable();
    let mut leaving = in_order(stretches.iter().map(|s| s.right)).into_iter().peekable();
    for (x, index) in stations(stretches, (from, to)) {
        let index = index as usize;
        let stretch = &stretches[index];
        // Half-open, so that two stretches which follow on each other at this very station count as one.
        while let Some((_, next)) = entering.next_if(|(left, _)| *left <= x) {
            passing.turn(ranks[next as usize]);
        }
        while let Some((_, next)) = leaving.next_if(|(right, _)| *right <= x) {
            passing.turn(ranks[next as usize]);
        }
        let y = stretch.height(x);
        // Itself is not below itself, whatever rounding says.
        let below = passing.is_odd_before(lower(&highest, ranks[index], y)) != (stretch.highest < y);
        let beside = grid
            .around(Point::new(x, y))
            .filter(|i| *i != index)
            .map(|i| &stretches[i])
            .filter(|other| other.left <= x && x < other.right && other.lowest < y && y <= other.highest)
            .filter(|other| other.height(x) < y)
            .count();
        tops[index] = below != (beside % 2 == 1);
    }
    tops
}

/// How many of the heights, which rise, are lower than `height`, which is sought from a near one on.
fn lower(heights: &[(f64, u32)], near: u32, height: f64) -> u32 {
    let is_lower = |(other, _): &(f64, u32)| *other < height;
    let (mut low, mut high) = (near as usize, near as usize);
    let mut step = 1;
    while high < heights.len() && is_lower(&heights[high]) {
        low = high + 1;
        high = (high + step).min(heights.len());
        step *= 2;
    }
    while low > 0 && !is_lower(&heights[low - 1]) {
        high = low - 1;
        low = low.saturating_sub(step);
        step *= 2;
    }
    (low + heights[low..high].partition_point(is_lower)) as u32
}

/// Whether each number is in or out, and whether the number of those that are in before another is odd: bits, and for each word of
/// them the bit of its own parity.
struct Parities {
    bits: Vec<u64>,
    words: Vec<u64>,
}

impl Parities {
    fn new(count: usize) -> Parities {
        let words = count / 64 + 1;
        Parities { bits: vec![0; words], words: vec![0; words / 64 + 1] }
    }

    /// Takes a number in, or out.
    #[inline]
    fn turn(&mut self, number: u32) {
        let word = number as usize / 64;
        self.bits[word] ^= 1 << (number % 64);
        self.words[word / 64] ^= 1 << (word % 64);
    }

    #[inline]
    fn is_odd_before(&self, number: u32) -> bool {
        let word = number as usize / 64;
        let before = |bits: u64, count: usize| bits & !(u64::MAX << count);
        let own = before(self.bits[word], number as usize % 64);
        let words = before(self.words[word / 64], word % 64);
        let all = self.words[..word / 64].iter().fold(own ^ words, |all, words| all ^ words);
        all.count_ones() % 2 == 1
    }
}

#[cfg(test)]
mod tests {
    use super::super::local_boundary::LocalBoundary;
    use super::*;
    use crate::geometry::Arc;

    #[test]
    fn parities_and_ranks_are_those_of_counting() {
        let mut state = 7_u64;
        let mut random = |below: usize| {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (state >> 33) as usize % below
        };
        for count in [1, 63, 64, 65, 4096, 9001] {
            let (mut parities, mut are_in) = (Parities::new(count), vec![false; count]);
            let heights: Vec<(f64, u32)> = in_order((0..count).map(|_| random(count) as f64 - 30.5));
            assert!(heights.is_sorted_by(|(a, k), (b, l)| a < b || a == b && k < l));
            for _ in 0..300 {
                let number = random(count);
                parities.turn(number as u32);
                are_in[number] = !are_in[number];
                // All of them is one more than there are.
                let before = random(count + 1);
                let odd = are_in[..before].iter().filter(|is_in| **is_in).count() % 2 == 1;
                assert_eq!(parities.is_odd_before(before as u32), odd, "{before} of {count}");
                let height = random(2 * count) as f64 - 31.0;
                let expected = heights.iter().filter(|(other, _)| *other < height).count();
                assert_eq!(lower(&heights, random(count) as u32, height) as usize, expected);
            }
        }
        // Places below 0, and both zeros.
        let order = in_order([0.0, -3.5, 1e-300, -1e300, -0.0, 7.0].into_iter());
        assert_eq!(order.iter().map(|(_, k)| *k).collect::<Vec<u32>>(), [3, 1, 4, 0, 2, 5]);
        assert_eq!((order[0].0, order[4].0), (-1e300, 1e-300));
    }

    #[test]
    fn few_and_many_are_counted_alike() {
        // Discs in rings of two discs, some over others' edges, at no even distances.
        let disc = |k: u32, radius: f64| {
            let at = Point::new(
                9.7 * f64::from(k * 7 % 10) - 31.0,
                8.3 * f64::from(k / 3) + 0.9 * f64::from(k % 4),
            );
            Curve::Arc(Arc::circle(at, radius))
        };
        let mut boundary = LocalBoundary::new();
        (0..18)
            .flat_map(|k| [disc(k, 5.0), disc(k, 2.25 + 0.13 * f64::from(k))])
            .for_each(|disc| boundary.push(1.0, [disc]));
        for boundary in [&boundary, &boundary.quarter_turned()] {
            let stretches = stretches(boundary.kept().expect("curves"));
            assert!(stretches.len() > 60);
            let few = tops_of_few(&stretches, ALL);
            assert_eq!(few, tops_of_many(&stretches, ALL));
            assert!(few.contains(&true) && few.contains(&false));
            // What is judged between two places is what all are there.
            let between = (-13.0, 31.5);
            let judged = |stretch: &Stretch| (between.0..between.1).contains(&station(stretch));
            let there: Vec<bool> = stretches.iter().zip(&few).map(|(s, top)| *top && judged(s)).collect();
            assert!(there.contains(&true) && there != few);
            assert_eq!(tops_of_few(&stretches, between), there);
            assert_eq!(tops_of_many(&stretches, between), there);
        }
    }
}
