//! Where a point lies with regard to rings.

use crate::geometry::near::Grid;
use crate::geometry::{Bounds, Curve, Point};
use crate::outline::Ring;

/// A ring whose curves are sorted into slabs across its longer side, so that a ray across it meets few of them.
pub(crate) struct Located<'a> {
    pub ring: &'a Ring,
    /// The ring is wider than it is high: rays run up and slabs stand upright; otherwise rays run to the right.
    upright: bool,
    /// For each slab where its curves begin in `members`, and the end.
    starts: Vec<u32>,
    members: Vec<u32>,
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
        let upright = bounds.width() > bounds.height();
        let (low, size) =
            if upright { (-bounds.max.x, bounds.width()) } else { (bounds.min.y, bounds.height()) };
        let mut located = Located {
            ring,
            upright,
            starts: vec![0; count + 1],
            members: Vec::new(),
            low,
            per_slab: size / count as f64,
        };
        let ranges: Vec<(usize, usize)> = ring.boxes().iter().map(|b| located.slabs(b)).collect();
        for &(first, last) in &ranges {
            (first..=last).for_each(|slab| located.starts[slab + 1] += 1);
        }
        for slab in 0..count {
            located.starts[slab + 1] += located.starts[slab];
        }
        let mut next = located.starts.clone();
        located.members = vec![0; located.starts[count] as usize];
        for (index, &(first, last)) in ranges.iter().enumerate() {
            for place in &mut next[first..=last] {
                located.members[*place as usize] = index as u32;
                *place += 1;
            }
        }
        located
    }

    /// How far along the rays a point lies, and at what height across them: x and y, or on the page turned by a
    /// quarter clockwise, so that rays upwards run to the right.
    fn seen(&self, point: Point) -> (f64, f64) {
        if self.upright { (point.y, -point.x) } else { (point.x, point.y) }
    }

    fn slab(&self, height: f64) -> usize {
        let slab = (height - self.low) / self.per_slab;
        if slab > 0.0 { (slab as usize).min(self.starts.len() - 2) } else { 0 }
    }

    /// The first and the last slab that a box reaches.
    fn slabs(&self, bounds: &Bounds) -> (usize, usize) {
        let (a, b) = (self.slab(self.seen(bounds.min).1), self.slab(self.seen(bounds.max).1));
        (a.min(b), a.max(b))
    }

    /// The curves of the slabs from `first` to `last`.
    fn members(&self, first: usize, last: usize) -> &[u32] {
        &self.members[self.starts[first] as usize..self.starts[last + 1] as usize]
    }

    /// How often the ring goes round `point`, anticlockwise positive: what a ray crosses from its right to its left
    /// less what it crosses the other way.
    pub fn winding(&self, point: Point) -> i32 {
        if !self.ring.bounds().contains_point(point) {
            return 0;
        }
        let direction = if self.upright { Point::new(-1.0, 0.0) } else { Point::new(0.0, 1.0) };
        let (along, height) = self.seen(point);
        let mut winding = 0;
        let slab = self.slab(height);
        for &index in self.members(slab, slab) {
            let (curve, bounds) = (&self.ring.curves()[index as usize], &self.ring.boxes()[index as usize]);
            let ((from, one), (to, other)) = (self.seen(bounds.min), self.seen(bounds.max));
            if to < along || one.max(other) < height || one.min(other) > height {
                continue;
            }
            let crosses = |from: Point, to: Point| {
                i32::from(self.seen(to).1 > height) - i32::from(self.seen(from).1 > height)
            };
            if from > along || matches!(curve, Curve::Line(_)) && from >= along {
                // All of it lies ahead, so only the heights of its ends count.
                winding += crosses(curve.start(), curve.end());
                continue;
            }
            for part in curve.monotone_parts(direction).windows(2) {
                let crossing = crosses(curve.at(part[0]), curve.at(part[1]));
                if crossing != 0 {
                    let t = curve.parameter_where(direction, height, part[0], part[1]);
                    if self.seen(curve.at(t)).0 > along {
                        winding += crossing;
                    }
                }
            }
        }
        winding
    }

    /// `point` lies within `tolerance` of the ring itself.
    pub fn is_on(&self, point: Point, tolerance: f64) -> bool {
        let height = self.seen(point).1;
        let (low, high) = (self.slab(height - tolerance), self.slab(height + tolerance));
        self.members(low, high).iter().any(|&index| {
            self.ring.boxes()[index as usize].grown(tolerance).contains_point(point)
                && self.ring.curves()[index as usize].distance(point) <= tolerance
        })
    }
}

/// All rings of an outline, to be asked which of them hold a point.
pub(crate) struct Rings<'a> {
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
        self.grid.around(point)
    }

    /// The rings that go round `point`.
    pub fn around(&self, point: Point) -> impl Iterator<Item = usize> + '_ {
        self.near(point).filter(move |ring| self.located[*ring].winding(point) != 0)
    }
}
