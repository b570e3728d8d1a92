//! The boundary of a region in coordinates of its own: near the origin, so that no digits are lost to where it was
//! drawn, and turned as an axis needs it.

use std::borrow::Cow;
use std::rc::Rc;

use super::integrals::{Moments, curve_moments};
use crate::geometry::{Affine, Bounds, Curve, Point};
use crate::outline::Ring;
use crate::region::Region;

/// Of more curves none is kept: each is moved and turned as often as it is asked for, which takes less time than reading so
/// many from memory over and over.
pub(super) const MOST_KEPT: usize = 100_000;

/// The curves of all rings, one ring after the other; each runs anticlockwise.
#[derive(Clone, Debug)]
pub(super) struct LocalBoundary<'a>(Held<'a>);

#[derive(Clone, Debug)]
enum Held<'a> {
    /// The curves as they are measured.
    Kept { curves: Vec<Curve>, rings: Vec<Signed> },
    /// The curves as drawn, and how they are moved and turned.
    Drawn { drawn: Drawn<'a>, turns: Vec<Turn> },
}

/// A ring with its sign: 1 around solid, −1 around a hole, times the weight of the material.
#[derive(Clone, Copy, Debug)]
struct Signed {
    sign: f64,
    /// One past the last of its curves.
    end: usize,
}

#[derive(Clone, Debug)]
struct Drawn<'a> {
    region: &'a Region,
    weight: f64,
    /// What becomes the origin.
    origin: Point,
    listed: Rc<Listed<'a>>,
}

/// The curves of all rings by number, in little memory where most rings are circles.
#[derive(Debug)]
struct Listed<'a> {
    rings: Vec<&'a Ring>,
    /// The number of the first curve of each ring; `None` where each has one.
    firsts: Option<Vec<u32>>,
    count: usize,
}

impl<'a> Listed<'a> {
    /// The curves of a region, which are so many.
    fn of(region: &'a Region, count: usize) -> Listed<'a> {
        // Collected without a count they would be copied as their list grows.
        let mut rings = Vec::with_capacity(region.rings().count());
        rings.extend(region.rings().map(|(_, ring)| ring));
        let firsts = (rings.len() < count).then(|| {
            let mut next = 0;
            let first = |ring: &&Ring| {
                let first = next;
                next += ring.curves().len() as u32;
                first
            };
            rings.iter().map(first).collect()
        });
        Listed { rings, firsts, count }
    }

    fn curve(&self, number: usize) -> Cow<'a, Curve> {
        let Some(firsts) = &self.firsts else { return self.rings[number].curves().take(0) };
        let ring = firsts.partition_point(|first| *first as usize <= number) - 1;
        self.rings[ring].curves().take(number - firsts[ring] as usize)
    }
}

/// What is done to the curves of a boundary near the origin, one after the other.
#[derive(Clone, Copy, Debug)]
enum Turn {
    By(Affine),
    Quarter,
}

impl Turn {
    fn of(self, curve: &Curve) -> Curve {
        match self {
            Turn::By(map) => curve.transformed(&map),
            Turn::Quarter => curve.quarter_turned(),
        }
    }
}

/// Which curve of a boundary is told.
#[derive(Clone, Copy, Debug)]
pub(super) struct Told {
    /// The sign of its ring.
    pub sign: f64,
    /// The number of its ring.
    pub ring: usize,
    /// Its own number.
    pub curve: usize,
}

impl<'a> LocalBoundary<'a> {
    /// No boundary yet.
    pub fn new() -> LocalBoundary<'a> {
        LocalBoundary(Held::Kept { curves: Vec::new(), rings: Vec::new() })
    }

    /// The regions moved so that `origin` is the origin, each ring weighted; of no more than `most` curves all are kept.
    pub fn of(regions: &[(f64, &'a Region)], origin: Point, most: usize) -> LocalBoundary<'a> {
        if let [(weight, region)] = *regions {
            let count = region.rings().map(|(_, ring)| ring.curves().len()).sum();
            if count > most && u32::try_from(2 * count).is_ok() {
                let drawn = Drawn { region, weight, origin, listed: Rc::new(Listed::of(region, count)) };
                return LocalBoundary(Held::Drawn { drawn, turns: Vec::new() });
            }
        }
        let mut boundary = LocalBoundary::new();
        regions.iter().for_each(|(weight, region)| boundary.add(region, origin, *weight));
        boundary
    }

    /// The region moved so that `origin` is the origin.
    pub fn about(region: &Region, origin: Point) -> LocalBoundary<'a> {
        let mut boundary = LocalBoundary::new();
        boundary.add(region, origin, 1.0);
        boundary
    }

    /// Adds a region, moved so that `origin` is the origin, each ring weighted.
    fn add(&mut self, region: &Region, origin: Point, weight: f64) {
        if let Held::Kept { curves, .. } = &mut self.0 {
            curves.reserve(region.rings().map(|(_, ring)| ring.curves().len()).sum());
        }
        for (sign, ring) in region.rings() {
            self.push(sign * weight, ring.curves().iter().map(|c| c.translated(-origin)));
        }
    }

    /// One ring moved so that `origin` is the origin.
    pub fn about_ring(ring: &Ring, origin: Point) -> LocalBoundary<'a> {
        let mut boundary = LocalBoundary::new();
        boundary.push(1.0, ring.curves().iter().map(|c| c.translated(-origin)));
        boundary
    }

    /// Adds a ring to curves that are kept.
    pub fn push(&mut self, sign: f64, ring: impl IntoIterator<Item = Curve>) {
        if let Held::Kept { curves, rings } = &mut self.0 {
            curves.extend(ring);
            rings.push(Signed { sign, end: curves.len() });
        }
    }

    /// The boundary under a map that keeps orientation.
    pub fn transformed(&self, map: &Affine) -> LocalBoundary<'a> {
        self.turned(Turn::By(*map))
    }

    /// The boundary turned by a quarter turn: what ran along x runs along y, x' = −y and y' = x.
    pub fn quarter_turned(&self) -> LocalBoundary<'a> {
        self.turned(Turn::Quarter)
    }

    fn turned(&self, turn: Turn) -> LocalBoundary<'a> {
        LocalBoundary(match &self.0 {
            Held::Kept { curves, rings } => {
                Held::Kept { curves: curves.iter().map(|c| turn.of(c)).collect(), rings: rings.clone() }
            }
            Held::Drawn { drawn, turns } => Held::Drawn {
                drawn: drawn.clone(),
                turns: turns.iter().copied().chain(std::iter::once(turn)).collect(),
            },
        })
    }

    /// All curves, where they are kept.
    pub fn kept(&self) -> Option<&[Curve]> {
        match &self.0 {
            Held::Kept { curves, .. } => Some(curves),
            Held::Drawn { .. } => None,
        }
    }

    /// Each ring's curves with its sign, where they are kept.
    pub fn kept_rings(&self) -> Option<impl Iterator<Item = (f64, &[Curve])>> {
        let Held::Kept { curves, rings } = &self.0 else { return None };
        let starts = std::iter::once(0).chain(rings.iter().map(|ring| ring.end));
        Some(starts.zip(rings).map(|(start, ring)| (ring.sign, &curves[start..ring.end])))
    }

    /// Number of curves.
    pub fn len(&self) -> usize {
        match &self.0 {
            Held::Kept { curves, .. } => curves.len(),
            Held::Drawn { drawn, .. } => drawn.listed.count,
        }
    }

    /// The curve of a number.
    pub fn curve(&self, number: usize) -> Cow<'_, Curve> {
        match &self.0 {
            Held::Kept { curves, .. } => Cow::Borrowed(&curves[number]),
            Held::Drawn { drawn, turns } => {
                Cow::Owned(seen(&drawn.listed.curve(number), drawn.origin, turns))
            }
        }
    }

    /// Calls `visit` with all curves, one ring after the other.
    pub fn each(&self, visit: impl FnMut(Told, &Curve)) {
        self.each_of_sign(|_| true, visit);
    }

    /// Calls `visit` with the curves of the rings whose signs are wanted, one ring after the other.
    pub fn each_of_sign(&self, is_wanted: impl Fn(f64) -> bool, mut visit: impl FnMut(Told, &Curve)) {
        match &self.0 {
            Held::Kept { curves, rings } => {
                let mut start = 0;
                for (ring, Signed { sign, end }) in rings.iter().copied().enumerate() {
                    for (curve, number) in curves[start..end].iter().zip(start..).filter(|_| is_wanted(sign))
                    {
                        visit(Told { sign, ring, curve: number }, curve);
                    }
                    start = end;
                }
            }
            Held::Drawn { drawn, turns } => {
                let mut number = 0;
                for (ring, (sign, drawn_ring)) in drawn.region.rings().enumerate() {
                    let (sign, first) = (sign * drawn.weight, number);
                    let curves = drawn_ring.curves();
                    number += curves.len();
                    if !is_wanted(sign) {
                        continue;
                    }
                    for (curve, number) in curves.iter().zip(first..) {
                        visit(Told { sign, ring, curve: number }, &seen(curve, drawn.origin, turns));
                    }
                }
            }
        }
    }

    /// Boundary integrals about its origin.
    pub fn moments(&self) -> Moments {
        let mut sum = Moments::default();
        self.each(|told, curve| sum += curve_moments(curve).scaled(told.sign));
        sum
    }

    /// The box around the solid, from the curves' own extremes.
    pub fn bounds(&self) -> Bounds {
        let mut bounds = Bounds::EMPTY;
        self.each(|_, curve| bounds = bounds.union(curve.bounds()));
        bounds
    }
}

/// A drawn curve with `origin` as the origin, turned.
fn seen(drawn: &Curve, origin: Point, turns: &[Turn]) -> Curve {
    turns.iter().fold(drawn.translated(-origin), |curve, turn| turn.of(&curve))
}
