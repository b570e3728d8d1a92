//! The stretches of a boundary along which y rises or falls: kept as they are where they are few, otherwise in as little
//! memory as tells which of them a level crosses.

use super::local_boundary::{LocalBoundary, Told};
use super::plastic::under;
use crate::geometry::{Curve, Point};

/// The direction in which heights are measured.
const UP: Point = Point::new(0.0, 1.0);

/// A stretch of a curve along which y rises or falls.
pub(super) struct Stretch<'a> {
    pub curve: &'a Curve,
    pub from: f64,
    pub to: f64,
    pub first: Point,
    pub last: Point,
}

/// Part of a curve: its ends with their parameters.
pub(super) type Cut = ((f64, Point), (f64, Point));

impl Stretch<'_> {
    pub fn low(&self) -> f64 {
        self.first.y.min(self.last.y)
    }

    pub fn high(&self) -> f64 {
        self.first.y.max(self.last.y)
    }

    /// x at the end less x at the start.
    fn run(&self) -> f64 {
        self.last.x - self.first.x
    }

    /// −∫y dx.
    fn under(&self) -> f64 {
        under(self.curve, (self.from, self.first), (self.to, self.last))
    }

    /// The part of it below a level that it crosses, and how far the rest runs along x.
    pub fn below(&self, level: f64) -> (Cut, f64) {
        let cut = self.curve.parameter_where(UP, level, self.from, self.to);
        let at = self.curve.at(cut);
        if self.first.y < self.last.y {
            (((self.from, self.first), (cut, at)), self.last.x - at.x)
        } else {
            (((cut, at), (self.to, self.last)), at.x - self.first.x)
        }
    }
}

/// Calls `visit` with the stretches of a curve, one after the other.
#[inline]
pub(super) fn each_stretch<'a>(curve: &'a Curve, mut visit: impl FnMut(Stretch<'a>)) {
    curve.each_monotone(UP, |(from, first), (to, last)| visit(Stretch { curve, from, to, first, last }));
}

/// All stretches of a boundary, by number.
pub(super) trait Stretches {
    /// How many there are.
    fn count(&self) -> usize;
    /// No point of it is higher than the level.
    fn is_under(&self, number: usize, level: f64) -> bool;
    /// No point of it is lower than the level.
    fn is_over(&self, number: usize, level: f64) -> bool;
    /// The sign of its ring.
    fn sign(&self, number: usize) -> f64;
    /// −∫y dx.
    fn under(&self, number: usize) -> f64;
    /// x at its end less x at its start.
    fn run(&self, number: usize) -> f64;
    /// Looks at one of them.
    fn with<T>(&self, number: usize, look: impl FnOnce(&Stretch) -> T) -> T;
    /// Calls `visit` with each of them and its sign.
    fn each(&self, visit: impl FnMut(f64, &Stretch));
}

/// A stretch with what is asked of it over and over.
pub(super) struct Kept<'a> {
    stretch: Stretch<'a>,
    sign: f64,
    low: f64,
    high: f64,
    under: f64,
}

impl<'a> Kept<'a> {
    pub fn of(stretch: Stretch<'a>, sign: f64) -> Kept<'a> {
        let (low, high, under) = (stretch.low(), stretch.high(), stretch.under());
        Kept { stretch, sign, low, high, under }
    }
}

impl Stretches for [Kept<'_>] {
    fn count(&self) -> usize {
        self.len()
    }

    #[inline]
    fn is_under(&self, number: usize, level: f64) -> bool {
        self[number].high <= level
    }

    #[inline]
    fn is_over(&self, number: usize, level: f64) -> bool {
        self[number].low >= level
    }

    #[inline]
    fn sign(&self, number: usize) -> f64 {
        self[number].sign
    }

    #[inline]
    fn under(&self, number: usize) -> f64 {
        self[number].under
    }

    #[inline]
    fn run(&self, number: usize) -> f64 {
        self[number].stretch.run()
    }

    #[inline]
    fn with<T>(&self, number: usize, look: impl FnOnce(&Stretch) -> T) -> T {
        look(&self[number].stretch)
    }

    #[inline]
    fn each(&self, mut visit: impl FnMut(f64, &Stretch)) {
        self.iter().for_each(|kept| visit(kept.sign, &kept.stretch));
    }
}

/// Stretches of which the boundary has the curves.
pub(super) struct Packed<'a, 'b> {
    boundary: &'b LocalBoundary<'a>,
    /// In lists of [`LISTED`]: one list of all would have to be copied as it grows, and leave a hole of its size behind.
    lists: Vec<Vec<Words>>,
    count: usize,
    /// The sign of solid rings.
    solid: f64,
}

/// Stretches in one list: 14 KiB, which allocators have a size for.
const LISTED: usize = 512;

/// A stretch in 28 bytes, of which no part needs to begin at a multiple of eight: lowest and highest y rounded outwards to
/// half of their digits, −∫y dx and the run along x in two words each, and twice the number of its curve, and one more on
/// the ring of a hole.
type Words = [u32; 7];

fn halves(number: f64) -> [u32; 2] {
    let bits = number.to_bits();
    [bits as u32, (bits >> 32) as u32]
}

fn whole(low: u32, high: u32) -> f64 {
    f64::from_bits(u64::from(high) << 32 | u64::from(low))
}

impl<'a, 'b> Packed<'a, 'b> {
    pub fn of(boundary: &'b LocalBoundary<'a>) -> Packed<'a, 'b> {
        let mut packed = Packed { boundary, lists: Vec::new(), count: 0, solid: 1.0 };
        boundary.each(|told, curve| each_stretch(curve, |stretch| packed.push(told, &stretch)));
        packed
    }

    fn push(&mut self, told: Told, stretch: &Stretch) {
        let (low, high) = (stretch.low(), stretch.high());
        let (mut rounded_low, mut rounded_high) = (low as f32, high as f32);
        if f64::from(rounded_low) > low {
            rounded_low = rounded_low.next_down();
        }
        if f64::from(rounded_high) < high {
            rounded_high = rounded_high.next_up();
        }
        let ([a, b], [c, d]) = (halves(stretch.under()), halves(stretch.run()));
        self.solid = told.sign.abs();
        let curve = (told.curve as u32) << 1 | u32::from(told.sign < 0.0);
        let words = [rounded_low.to_bits(), rounded_high.to_bits(), a, b, c, d, curve];
        match self.lists.last_mut() {
            Some(list) if list.len() < LISTED => list.push(words),
            _ => {
                let mut list = Vec::with_capacity(LISTED);
                list.push(words);
                self.lists.push(list);
            }
        }
        self.count += 1;
    }

    #[inline]
    fn words(&self, number: usize) -> &Words {
        &self.lists[number / LISTED][number % LISTED]
    }

    /// The lowest and the highest place are no lower and no higher than these.
    #[inline]
    fn reach(&self, number: usize) -> (f64, f64) {
        let [low, high, ..] = *self.words(number);
        (f64::from(f32::from_bits(low)), f64::from(f32::from_bits(high)))
    }

    #[inline]
    fn curve(&self, number: usize) -> u32 {
        self.words(number)[6] >> 1
    }
}

impl Stretches for Packed<'_, '_> {
    fn count(&self) -> usize {
        self.count
    }

    #[inline]
    fn is_under(&self, number: usize, level: f64) -> bool {
        let (low, high) = self.reach(number);
        high <= level || low <= level && self.with(number, |stretch| stretch.high() <= level)
    }

    #[inline]
    fn is_over(&self, number: usize, level: f64) -> bool {
        let (low, high) = self.reach(number);
        low >= level || high >= level && self.with(number, |stretch| stretch.low() >= level)
    }

    #[inline]
    fn sign(&self, number: usize) -> f64 {
        if self.words(number)[6] & 1 == 1 { -self.solid } else { self.solid }
    }

    #[inline]
    fn under(&self, number: usize) -> f64 {
        let [_, _, low, high, ..] = *self.words(number);
        whole(low, high)
    }

    #[inline]
    fn run(&self, number: usize) -> f64 {
        let [.., low, high, _] = *self.words(number);
        whole(low, high)
    }

    fn with<T>(&self, number: usize, look: impl FnOnce(&Stretch) -> T) -> T {
        let of_curve = self.curve(number);
        let before = (0..number).rev().take_while(|k| self.curve(*k) == of_curve).count();
        let curve = self.boundary.curve(of_curve as usize);
        let (mut k, mut found) = (0, None);
        each_stretch(&curve, |stretch| {
            if k <= before {
                found = Some(stretch);
            }
            k += 1;
        });
        let (from, to) = ((0.0, curve.start()), (1.0, curve.end()));
        // There is one: the curve has as many stretches as when they were counted.
        let whole = Stretch { curve: &curve, from: from.0, to: to.0, first: from.1, last: to.1 };
        look(&found.unwrap_or(whole))
    }

    fn each(&self, mut visit: impl FnMut(f64, &Stretch)) {
        self.boundary.each(|told, curve| each_stretch(curve, |stretch| visit(told.sign, &stretch)));
    }
}
