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
    #[inline]
    pub fn low(&self) -> f64 {
        self.first.y.min(self.last.y)
    }

    #[inline]
    pub fn high(&self) -> f64 {
        self.first.y.max(self.last.y)
    }

    /// x at the end less x at the start.
    #[inline]
    pub fn run(&self) -> f64 {
        self.last.x - self.first.x
    }

    /// −∫y dx.
    #[inline]
    pub fn under(&self) -> f64 {
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

/// All curves of a boundary with their stretches, by number.
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
    /// Calls `visit` with its stretches.
    fn each_of(&self, number: usize, visit: impl FnMut(&Stretch));
    /// Calls `visit` with each stretch of all and its sign.
    fn each(&self, visit: impl FnMut(f64, &Stretch));
}

/// Curves with all of their stretches, and with what is asked of them over and over.
#[derive(Default)]
pub(super) struct Kept<'a> {
    curves: Vec<KeptCurve<'a>>,
    /// The stretches of curves that have several, behind the first of each.
    more: Vec<Stretch<'a>>,
}

struct KeptCurve<'a> {
    first: Stretch<'a>,
    /// One past the last of those that it has more.
    more_end: usize,
    sign: f64,
    low: f64,
    high: f64,
    under: f64,
    run: f64,
}

impl<'a> Kept<'a> {
    /// Adds the curves of a ring; from where to where it reaches.
    pub fn push(&mut self, sign: f64, ring: &'a [Curve]) -> (f64, f64) {
        self.curves.reserve(ring.len());
        let (mut lowest, mut highest) = (f64::INFINITY, f64::NEG_INFINITY);
        for curve in ring {
            let mut first = None;
            let Whole { low, high, under, run } = Whole::of(curve, |stretch| match &first {
                None => first = Some(stretch),
                Some(_) => self.more.push(stretch),
            });
            (lowest, highest) = (lowest.min(low), highest.max(high));
            // Every curve has one.
            if let Some(first) = first {
                let more_end = self.more.len();
                self.curves.push(KeptCurve { first, more_end, sign, low, high, under, run });
            }
        }
        (lowest, highest)
    }

    #[inline]
    fn more_of(&self, number: usize) -> &[Stretch<'a>] {
        let begin = number.checked_sub(1).map_or(0, |before| self.curves[before].more_end);
        &self.more[begin..self.curves[number].more_end]
    }
}

impl Stretches for Kept<'_> {
    fn count(&self) -> usize {
        self.curves.len()
    }

    #[inline]
    fn is_under(&self, number: usize, level: f64) -> bool {
        self.curves[number].high <= level
    }

    #[inline]
    fn is_over(&self, number: usize, level: f64) -> bool {
        self.curves[number].low >= level
    }

    #[inline]
    fn sign(&self, number: usize) -> f64 {
        self.curves[number].sign
    }

    #[inline]
    fn under(&self, number: usize) -> f64 {
        self.curves[number].under
    }

    #[inline]
    fn run(&self, number: usize) -> f64 {
        self.curves[number].run
    }

    #[inline]
    fn each_of(&self, number: usize, mut visit: impl FnMut(&Stretch)) {
        visit(&self.curves[number].first);
        self.more_of(number).iter().for_each(visit);
    }

    #[inline]
    fn each(&self, mut visit: impl FnMut(f64, &Stretch)) {
        for (number, curve) in self.curves.iter().enumerate() {
            visit(curve.sign, &curve.first);
            self.more_of(number).iter().for_each(|stretch| visit(curve.sign, stretch));
        }
    }
}

/// All stretches of a curve together.
struct Whole {
    low: f64,
    high: f64,
    under: f64,
    run: f64,
}

impl Whole {
    /// Of a curve; `visit` is called with each of its stretches.
    #[inline]
    fn of<'a>(curve: &'a Curve, mut visit: impl FnMut(Stretch<'a>)) -> Whole {
        let mut whole = Whole { low: f64::INFINITY, high: f64::NEG_INFINITY, under: 0.0, run: 0.0 };
        each_stretch(curve, |stretch| {
            (whole.low, whole.high) = (whole.low.min(stretch.low()), whole.high.max(stretch.high()));
            whole.under += stretch.under();
            whole.run += stretch.run();
            visit(stretch);
        });
        whole
    }
}

/// The curves of a boundary, each with as much of its stretches as tells whether a level crosses it and what it comes to
/// where none does.
pub(super) struct Packed<'a, 'b> {
    boundary: &'b LocalBoundary<'a>,
    /// In lists of [`LISTED`]: one list of all would have to be copied as it grows, and leave a hole of its size behind.
    lists: Vec<Vec<Words>>,
    count: usize,
    /// The sign of solid rings.
    solid: f64,
}

/// Curves in one list: 14 KiB, which allocators have a size for.
const LISTED: usize = 512;

/// A curve in 28 bytes, of which no part needs to begin at a multiple of eight: lowest and highest y rounded outwards to
/// half of their digits, −∫y dx and the run along x in two words each, and 1 on the ring of a hole.
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
        boundary.each(|told, curve| packed.push(told, curve));
        packed
    }

    fn push(&mut self, told: Told, curve: &Curve) {
        let Whole { low, high, under, run } = Whole::of(curve, |_| {});
        let (mut rounded_low, mut rounded_high) = (low as f32, high as f32);
        if f64::from(rounded_low) > low {
            rounded_low = rounded_low.next_down();
        }
        if f64::from(rounded_high) < high {
            rounded_high = rounded_high.next_up();
        }
        let ([a, b], [c, d]) = (halves(under), halves(run));
        self.solid = told.sign.abs();
        let words = [rounded_low.to_bits(), rounded_high.to_bits(), a, b, c, d, u32::from(told.sign < 0.0)];
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

    /// The same to the last digit.
    fn exact_reach(&self, number: usize) -> (f64, f64) {
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        self.each_of(number, |stretch| (low, high) = (low.min(stretch.low()), high.max(stretch.high())));
        (low, high)
    }
}

impl Stretches for Packed<'_, '_> {
    fn count(&self) -> usize {
        self.count
    }

    #[inline]
    fn is_under(&self, number: usize, level: f64) -> bool {
        let (low, high) = self.reach(number);
        high <= level || low <= level && self.exact_reach(number).1 <= level
    }

    #[inline]
    fn is_over(&self, number: usize, level: f64) -> bool {
        let (low, high) = self.reach(number);
        low >= level || high >= level && self.exact_reach(number).0 >= level
    }

    #[inline]
    fn sign(&self, number: usize) -> f64 {
        if self.words(number)[6] == 1 { -self.solid } else { self.solid }
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

    fn each_of(&self, number: usize, mut visit: impl FnMut(&Stretch)) {
        each_stretch(&self.boundary.curve(number), |stretch| visit(&stretch));
    }

    fn each(&self, mut visit: impl FnMut(f64, &Stretch)) {
        self.boundary.each(|told, curve| each_stretch(curve, |stretch| visit(told.sign, &stretch)));
    }
}
