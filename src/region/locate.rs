//! Where a point lies with regard to rings.

use crate::geometry::near::Grid;
use crate::geometry::{Bounds, Curve, Point};
use crate::outline::Ring;

const UP: Point = Point::new(0.0, 1.0);

/// A ring whose curves are sorted into level slabs, so that a ray to the right meets few of them.
pub(super) struct Located<'a> {
    pub ring: &'a Ring,
    slabs: Vec<Vec<u32>>,
    low: f64,
    per_slab: f64,
}

impl<'a> Located<'a> {
    pub fn new(ring: &'a Ring) -> Located<'a> {
        /// About this many curves share a slab of a long ring.
        const CURVES: usize = 4;
        /// A ring of few curves is quicker looked through.
        const FEW: usize = 16;
        let bounds = ring.bounds();
        let count =
            if ring.curves().len() <= FEW { 1 } else { (ring.curves().len() / CURVES).clamp(1, 1 << 16) };
        let per_slab = bounds.height() / count as f64;
        let mut located = Located { ring, slabs: vec![Vec::new(); count], low: bounds.min.y, per_slab };
        for (index, bounds) in ring.boxes().iter().enumerate() {
            for slab in located.slab(bounds.min.y)..=located.slab(bounds.max.y) {
                located.slabs[slab].push(index as u32);
            }
        }
        located
    }

    fn slab(&self, height: f64) -> usize {
        let slab = (height - self.low) / self.per_slab;
        if slab > 0.0 { (slab as usize).min(self.slabs.len() - 1) } else { 0 }
    }

    /// How often the ring goes round `point`, anticlockwise positive: what a ray to the right crosses upwards less what
    /// it crosses downwards.
    pub fn winding(&self, point: Point) -> i32 {
        if !self.ring.bounds().contains_point(point) {
            return 0;
        }
        let mut winding = 0;
        for &index in &self.slabs[self.slab(point.y)] {
            let (curve, bounds) = (&self.ring.curves()[index as usize], &self.ring.boxes()[index as usize]);
            if bounds.max.x < point.x || bounds.max.y < point.y || bounds.min.y > point.y {
                continue;
            }
            let crosses = |from: Point, to: Point| i32::from(to.y > point.y) - i32::from(from.y > point.y);
            if bounds.min.x > point.x || matches!(curve, Curve::Line(_)) && bounds.min.x >= point.x {
                // All of it lies to the right, so only the heights of its ends count.
                winding += crosses(curve.start(), curve.end());
                continue;
            }
            for part in curve.monotone_parts(UP).windows(2) {
                let crossing = crosses(curve.at(part[0]), curve.at(part[1]));
                if crossing != 0 {
                    let t = curve.parameter_where(UP, point.y, part[0], part[1]);
                    if curve.at(t).x > point.x {
                        winding += crossing;
                    }
                }
            }
        }
        winding
    }

    /// `point` lies within `tolerance` of the ring itself.
    pub fn is_on(&self, point: Point, tolerance: f64) -> bool {
        let (low, high) = (self.slab(point.y - tolerance), self.slab(point.y + tolerance));
        self.slabs[low..=high].iter().flatten().any(|&index| {
            self.ring.boxes()[index as usize].grown(tolerance).contains_point(point)
                && self.ring.curves()[index as usize].distance(point) <= tolerance
        })
    }
}

/// All rings of an outline, to be asked which of them hold a point.
pub(super) struct Rings<'a> {
    pub located: Vec<Located<'a>>,
    grid: Grid,
}

impl<'a> Rings<'a> {
    pub fn new(rings: &[&'a Ring]) -> Rings<'a> {
        let boxes: Vec<Bounds> = rings.iter().map(|r| *r.bounds()).collect();
        Rings { located: rings.iter().map(|r| Located::new(r)).collect(), grid: Grid::over(&boxes, 0.0) }
    }

    /// The rings whose boxes may hold `point`.
    pub fn near(&self, point: Point) -> impl Iterator<Item = usize> + '_ {
        self.grid.around(point).iter().map(|ring| *ring as usize)
    }

    /// The rings that go round `point`.
    pub fn around(&self, point: Point) -> impl Iterator<Item = usize> + '_ {
        self.near(point).filter(move |ring| self.located[*ring].winding(point) != 0)
    }
}
