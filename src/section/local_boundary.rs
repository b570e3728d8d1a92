//! The boundary of a region in coordinates of its own: near the origin, so that no digits are lost to where it was
//! drawn, and turned as an axis needs it.

use super::integrals::{Moments, curve_moments};
use crate::geometry::{Affine, Bounds, Curve, Point};
use crate::outline::Ring;
use crate::region::Region;

/// The curves of all rings, one ring after the other; each runs anticlockwise.
#[derive(Clone, Debug, Default)]
pub(super) struct LocalBoundary {
    curves: Vec<Curve>,
    rings: Vec<Signed>,
}

/// A ring with its sign: 1 around solid, −1 around a hole, times the weight of the material.
#[derive(Clone, Copy, Debug)]
struct Signed {
    sign: f64,
    /// One past the last of its curves.
    end: usize,
}

impl LocalBoundary {
    /// The region moved so that `origin` is the origin, each ring weighted.
    pub fn about(region: &Region, origin: Point, weight: f64) -> LocalBoundary {
        let mut boundary = LocalBoundary::default();
        boundary.add(region, origin, weight);
        boundary
    }

    /// Adds a region, moved so that `origin` is the origin, each ring weighted.
    pub fn add(&mut self, region: &Region, origin: Point, weight: f64) {
        self.curves.reserve(region.rings().map(|(_, ring)| ring.curves().len()).sum());
        for (sign, ring) in region.rings() {
            self.push(sign * weight, ring.curves().iter().map(|c| c.translated(-origin)));
        }
    }

    /// One ring moved so that `origin` is the origin.
    pub fn about_ring(ring: &Ring, origin: Point) -> LocalBoundary {
        let mut boundary = LocalBoundary::default();
        boundary.push(1.0, ring.curves().iter().map(|c| c.translated(-origin)));
        boundary
    }

    /// Adds a ring.
    pub fn push(&mut self, sign: f64, curves: impl IntoIterator<Item = Curve>) {
        self.curves.extend(curves);
        self.rings.push(Signed { sign, end: self.curves.len() });
    }

    /// The boundary under a map that keeps orientation.
    pub fn transformed(&self, map: &Affine) -> LocalBoundary {
        LocalBoundary {
            curves: self.curves.iter().map(|c| c.transformed(map)).collect(),
            rings: self.rings.clone(),
        }
    }

    /// The boundary turned by a quarter turn: what ran along x runs along y, x' = −y and y' = x.
    pub fn quarter_turned(&self) -> LocalBoundary {
        LocalBoundary {
            curves: self.curves.iter().map(Curve::quarter_turned).collect(),
            rings: self.rings.clone(),
        }
    }

    /// All curves.
    pub fn curves(&self) -> &[Curve] {
        &self.curves
    }

    /// Each ring's curves with its sign.
    pub fn rings(&self) -> impl Iterator<Item = (f64, &[Curve])> {
        let starts = std::iter::once(0).chain(self.rings.iter().map(|ring| ring.end));
        starts.zip(&self.rings).map(|(start, ring)| (ring.sign, &self.curves[start..ring.end]))
    }

    /// Boundary integrals about its origin.
    pub fn moments(&self) -> Moments {
        let mut sum = Moments::default();
        for (sign, curves) in self.rings() {
            for curve in curves {
                sum += curve_moments(curve).scaled(sign);
            }
        }
        sum
    }

    /// The box around the solid, from the curves' own extremes.
    pub fn bounds(&self) -> Bounds {
        self.curves.iter().fold(Bounds::EMPTY, |all, curve| all.union(curve.bounds()))
    }
}
