//! Which stretches are the tops of strips, counted from below at a station of each.
//!
//! Parities of ranks by words of bits.

use super::strips::Stretch;
use crate::geometry::near::Grid;
use crate::geometry::{Bounds, Point};

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
    use super::super::strips::stretches;
    use super::*;
    use crate::geometry::{Arc, Curve};

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
