//! Strips of a boundary of very many curves, band by band: what passes a station lies in the station's band.
//!
//! Bands by quantiles of the middles of curves; within each the stretches are counted as those of a small section.

use std::collections::HashSet;
use std::ops::RangeInclusive;

use super::integrals::Moments;
use super::local_boundary::LocalBoundary;
use super::strips::{Stretch, Width, each_course, each_stretch};
use super::tops::{Judged, tops};
use crate::geometry::buckets::Buckets;
use crate::geometry::{Bounds, Curve, Point};

/// About this many curves share a band: what is made of them stays near the processor.
const CURVES: usize = if cfg!(test) { 32 } else { 2048 };

/// Area and moments about the origin of what all curves of a boundary bound, by upright strips.
pub(super) fn upright(boundary: &LocalBoundary) -> Moments {
    let bands = Bands::over(boundary);
    let tops = Tops::of(boundary, &bands);
    // In the order of the curves, so that the sum does not depend on the bands.
    let mut sum = Moments::default();
    boundary.each(|told, curve| {
        let mut number = 0;
        each_course(curve, &mut Width::default(), |mut stretch| {
            stretch.straighten(bands.narrow);
            sum += stretch.strips(tops.is_top(told.curve, number));
            number += 1;
        });
    });
    sum
}

/// Upright bands, and which curves reach each.
struct Bands {
    /// Where all but the first begin, rising.
    starts: Vec<f64>,
    curves: Buckets,
    /// Stretches that are no wider are straight.
    narrow: f64,
}

impl Bands {
    fn over(boundary: &LocalBoundary) -> Bands {
        // From where to where each curve reaches, rounded outwards.
        let mut reaches: Vec<[f32; 2]> = Vec::with_capacity(boundary.len());
        let mut width = Width::default();
        boundary.each(|_, curve| {
            let Bounds { min: Point { x: left, .. }, max: Point { x: right, .. } } = curve.bounds();
            width.add(left);
            width.add(right);
            reaches.push([(left as f32).next_down(), (right as f32).next_up()]);
        });
        let mut count = boundary.len().div_ceil(CURVES);
        let starts = loop {
            let starts = starts(&reaches, count);
            // Curves that reach many bands would be made for each of them.
            let entries: usize = reaches.iter().map(|reach| bands_of(&starts, *reach).count()).sum();
            if count == 1 || entries <= 2 * reaches.len() {
                break starts;
            }
            count /= 2;
        };
        let curves = Buckets::new(starts.len() + 1, |enter| {
            for (reach, curve) in reaches.iter().zip(0..) {
                bands_of(&starts, *reach).for_each(|band| enter(band, curve));
            }
        });
        Bands { starts, curves, narrow: width.narrow() }
    }

    /// From where to where a band reaches.
    fn reach(&self, band: usize) -> Judged {
        let start = |k: usize| self.starts.get(k).copied();
        let first = band.checked_sub(1).and_then(start).unwrap_or(f64::NEG_INFINITY);
        (first, start(band).unwrap_or(f64::INFINITY))
    }
}

/// The bands that a curve reaches.
fn bands_of(starts: &[f64], [left, right]: [f32; 2]) -> RangeInclusive<usize> {
    let band = |x: f32| starts.partition_point(|start| *start <= f64::from(x));
    band(left)..=band(right)
}

/// Where bands begin so that about as many curves have their middles in each; fewer where many lie above each other.
fn starts(reaches: &[[f32; 2]], bands: usize) -> Vec<f64> {
    /// Of so many curves for each band the middles are looked at.
    const SAMPLES: usize = 64;
    let step = (reaches.len() / (bands * SAMPLES)).max(1);
    let middle = |[left, right]: &[f32; 2]| 0.5 * (f64::from(*left) + f64::from(*right));
    let mut middles: Vec<f64> = reaches.iter().step_by(step).map(middle).collect();
    middles.sort_unstable_by(f64::total_cmp);
    let mut starts: Vec<f64> =
        (1..bands).filter_map(|k| middles.get(k * middles.len() / bands)).copied().collect();
    starts.dedup();
    starts
}

/// Which stretches are the tops of strips, by curve and by number along the curve.
struct Tops {
    /// For each curve a bit for each of its first stretches.
    first: Vec<u8>,
    /// Those beyond.
    more: HashSet<(u32, u32)>,
}

impl Tops {
    fn of(boundary: &LocalBoundary, bands: &Bands) -> Tops {
        let mut found = Tops { first: vec![0; boundary.len()], more: HashSet::new() };
        for band in 0..bands.curves.count() {
            let members = bands.curves.members(band);
            let curves: Vec<Curve> =
                members.iter().map(|k| boundary.curve(*k as usize).into_owned()).collect();
            let mut stretches: Vec<Stretch> = Vec::with_capacity(3 * curves.len());
            let mut places: Vec<(u32, u32)> = Vec::with_capacity(3 * curves.len());
            for (curve, member) in curves.iter().zip(members) {
                let mut number = 0;
                each_stretch(curve, &mut Width::default(), |mut stretch| {
                    stretch.straighten(bands.narrow);
                    stretches.push(stretch);
                    places.push((*member, number));
                    number += 1;
                });
            }
            // In other bands something that passes a station may be missing.
            let tops = tops(&stretches, bands.reach(band));
            for ((curve, number), _) in places.into_iter().zip(tops).filter(|(_, is_top)| *is_top) {
                found.set(curve, number);
            }
        }
        found
    }

    fn set(&mut self, curve: u32, number: u32) {
        match 1_u8.checked_shl(number) {
            Some(bit) => self.first[curve as usize] |= bit,
            None => _ = self.more.insert((curve, number)),
        }
    }

    fn is_top(&self, curve: usize, number: u32) -> bool {
        match 1_u8.checked_shl(number) {
            Some(bit) => self.first[curve] & bit != 0,
            None => self.more.contains(&(curve as u32, number)),
        }
    }
}
