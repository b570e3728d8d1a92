//! Where a point lies with regard to rings.
//!
//! The winding number by a ray, whose candidates come from slabs across it (buckets by counting).

use crate::geometry::buckets::Buckets;
use crate::geometry::near::Grid;
use crate::geometry::{Bounds, Point};
use crate::outline::{Rays, Ring};

/// A ring whose curves are sorted into slabs across its longer side, so that a ray across it meets few of them.
pub(crate) struct Located<'a> {
    pub ring: &'a Ring,
    rays: Rays,
    /// The curves that reach each slab: slabs stand upright where rays run up.
    slabs: Buckets,
    low: f64,
    per_slab: f64,
}

/// The slab of `count` that a height lies in; beyond them the nearest.
fn slab(height: f64, low: f64, per_slab: f64, count: usize) -> usize {
    let slab = (height - low) / per_slab;
    if slab > 0.0 { (slab as usize).min(count - 1) } else { 0 }
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
        let rays = Rays::across(&bounds);
        let (low, size) =
            if rays.run_up() { (-bounds.max.x, bounds.width()) } else { (bounds.min.y, bounds.height()) };
        let per_slab = size / count as f64;
        let slabs = Buckets::new(count, |enter| {
            for (bounds, index) in ring.boxes().iter().zip(0..) {
                let at = |corner: Point| slab(rays.seen(corner).1, low, per_slab, count);
                let (a, b) = (at(bounds.min), at(bounds.max));
                (a.min(b)..=a.max(b)).for_each(|slab| enter(slab, index));
            }
        });
        Located { ring, rays, slabs, low, per_slab }
    }

    fn slab(&self, point: Point) -> usize {
        slab(self.rays.seen(point).1, self.low, self.per_slab, self.slabs.count())
    }

    /// How often the ring goes round `point`, anticlockwise positive.
    pub fn winding(&self, point: Point) -> i32 {
        if !self.ring.bounds().contains_point(point) {
            return 0;
        }
        let members = self.slabs.members(self.slab(point)).iter().map(|k| *k as usize);
        let (curves, boxes) = (self.ring.curves(), self.ring.boxes());
        self.rays.winding(members.map(|k| (&curves[k], &boxes[k])), point)
    }

    /// The curves whose boxes `point` is in or no further than `tolerance` from.
    pub fn near(&self, point: Point, tolerance: f64) -> impl Iterator<Item = usize> + '_ {
        self.reaching(Bounds::EMPTY.with(point).grown(tolerance))
    }

    /// The curves whose boxes meet `area`; one may be told several times.
    pub fn reaching(&self, area: Bounds) -> impl Iterator<Item = usize> + '_ {
        let (a, b) = (self.slab(area.min), self.slab(area.max));
        let boxes = self.ring.boxes();
        let meets = move |k: &usize| boxes[*k].meets(&area);
        self.slabs.members_of(a.min(b), a.max(b)).iter().map(|k| *k as usize).filter(meets)
    }

    /// `point` lies within `tolerance` of the ring itself.
    pub fn is_on(&self, point: Point, tolerance: f64) -> bool {
        let curves = self.ring.curves();
        self.near(point, tolerance).any(|k| curves[k].distance(point) <= tolerance)
    }
}

/// All rings of an outline, to be asked which of them hold a point.
pub(crate) struct Rings<'a> {
    pub located: Vec<Located<'a>>,
    grid: Grid,
}

impl<'a> Rings<'a> {
    pub fn new(rings: &[&'a Ring]) -> Rings<'a> {
        let boxes: Vec<Bounds> = rings.iter().map(|r| r.bounds()).collect();
        Rings { located: rings.iter().map(|r| Located::new(r)).collect(), grid: Grid::over(&boxes, 0.0) }
    }

    /// The rings whose boxes may hold `point`.
    pub fn near(&self, point: Point) -> impl Iterator<Item = usize> + '_ {
        self.grid.around(point)
    }

    /// The rings whose boxes `point` may be in or no further than `tolerance` from.
    pub fn near_within(&self, point: Point, tolerance: f64) -> Vec<usize> {
        self.grid.within(&Bounds::EMPTY.with(point).grown(tolerance))
    }

    /// The rings that go round `point`.
    pub fn around(&self, point: Point) -> impl Iterator<Item = usize> + '_ {
        self.near(point).filter(move |ring| self.located[*ring].winding(point) != 0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Arc, Curve};
    use crate::outline::Origin;

    /// A ring answers alike whether its curves are sorted or not, also for points on it and at the heights of its corners.
    #[test]
    fn sorted_or_not_points_are_inside_by_one_rule() {
        let at = |x: i32, y: i32| Point::new(f64::from(x), f64::from(y));
        // A battlement of teeth that lean, lying and standing; a dome.
        let mut places = vec![at(0, 6), at(0, 0), at(48, 0), at(48, 6)];
        places.extend((0..48).rev().map(|k| at(k, if k % 4 < 2 { 6 } else { 3 + k % 2 })));
        let curves: Vec<Curve> = places.windows(2).map(|p| Curve::line(p[0], p[1])).collect();
        let lying = Ring::new(curves.clone(), Origin::default());
        let standing = Ring::new(curves.iter().map(Curve::quarter_turned).collect(), Origin::default());
        let half = Arc::new(at(5, 0), 4.0, 0.0, std::f64::consts::PI);
        let half = Curve::Arc(Arc { start: at(9, 0), end: at(1, 0), ..half });
        let dome = Ring::new(vec![half, Curve::line(at(1, 0), at(9, 0))], Origin::default());
        for ring in [lying, standing, dome] {
            let ring = ring.expect("a ring");
            let located = Located::new(&ring);
            let mut inside = 0;
            for x in -100..=100 {
                for y in -20..=100 {
                    let point = Point::new(0.5 * f64::from(x), 0.5 * f64::from(y));
                    assert_eq!(ring.contains(point), located.winding(point) != 0, "{point:?}");
                    inside += usize::from(ring.contains(point));
                }
            }
            assert!(inside > 60, "{inside}");
        }
    }
}
