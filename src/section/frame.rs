//! The boundary of a region in a frame of its own: near the origin, so that no digits are lost to where it was
//! drawn, and turned as an axis needs it.

use super::integrals::{Moments, curve_moments};
use crate::geometry::{Affine, Bounds, Curve, Point};
use crate::outline::Ring;
use crate::region::Region;

/// A ring with its sign: 1 around solid, −1 around a hole, times the weight of the material. Curves run anticlockwise.
#[derive(Clone, Debug)]
pub(super) struct Loop {
    pub sign: f64,
    pub curves: Vec<Curve>,
}

#[derive(Clone, Debug)]
pub(super) struct Frame {
    pub loops: Vec<Loop>,
}

impl Frame {
    /// The region moved so that `origin` is the origin, each ring weighted.
    pub fn about(region: &Region, origin: Point, weight: f64) -> Frame {
        let mut frame = Frame { loops: Vec::new() };
        for (sign, ring) in region.rings() {
            frame.push(sign * weight, ring, origin);
        }
        frame
    }

    /// One ring moved so that `origin` is the origin.
    pub fn about_ring(ring: &Ring, origin: Point) -> Frame {
        let mut frame = Frame { loops: Vec::new() };
        frame.push(1.0, ring, origin);
        frame
    }

    fn push(&mut self, sign: f64, ring: &Ring, origin: Point) {
        let curves = ring.curves().iter().map(|c| c.translated(-origin)).collect();
        self.loops.push(Loop { sign, curves });
    }

    /// The frame under a map that keeps orientation.
    pub fn transformed(&self, map: &Affine) -> Frame {
        let loops = self
            .loops
            .iter()
            .map(|l| Loop { sign: l.sign, curves: l.curves.iter().map(|c| c.transformed(map)).collect() })
            .collect();
        Frame { loops }
    }

    /// The frame turned by a quarter turn, so that what ran along x runs along y.
    pub fn quarter_turned(&self) -> Frame {
        self.transformed(&Affine { xx: 0.0, xy: -1.0, yx: 1.0, yy: 0.0, offset: Point::ORIGIN })
    }

    /// All curves with their signs.
    pub fn curves(&self) -> impl Iterator<Item = (f64, &Curve)> {
        self.loops.iter().flat_map(|l| l.curves.iter().map(|c| (l.sign, c)))
    }

    /// Boundary integrals about the origin of the frame.
    pub fn moments(&self) -> Moments {
        let mut sum = Moments::default();
        for (sign, curve) in self.curves() {
            sum += curve_moments(curve).scaled(sign);
        }
        sum
    }

    /// The box around the solid, from the curves' own extremes.
    pub fn bounds(&self) -> Bounds {
        self.curves().fold(Bounds::EMPTY, |all, (_, curve)| all.union(curve.bounds()))
    }

    /// The extents in y of the separate solid parts.
    pub fn parts_along_y(&self) -> Vec<(f64, f64)> {
        let up = Point::new(0.0, 1.0);
        self.loops
            .iter()
            .filter(|l| l.sign > 0.0)
            .map(|l| {
                l.curves
                    .iter()
                    .map(|c| c.extent(up))
                    .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), (a, b)| (low.min(a), high.max(b)))
            })
            .collect()
    }
}
