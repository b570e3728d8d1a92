//! The solid of a section, to be asked where outlines of other layers lie.

use std::borrow::Cow;

use crate::geometry::near::Grid;
use crate::geometry::{Bounds, Budget, Curve, Point, contacts_within};
use crate::outline::Ring;
use crate::region::{Region, Rings};

/// How an outline lies that is not part of a section.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Lying {
    /// Beside the solid, in one of its holes, or around it; it may touch the edge.
    Outside,
    /// Along the edge and nowhere else: a copy of it.
    Along,
    /// In the solid of this part; it may touch the edge.
    Within(usize),
    /// Partly in the solid, first of all of this part, and partly not.
    Across(usize),
}

/// The edges of a region, sorted by place, so that each outline is held against few of them.
pub(super) struct Solid<'a> {
    /// Each curve by the number of its ring and its own number there.
    curves: Vec<(u32, u32)>,
    /// All edges and holes, each edge before its holes, and for each its part.
    rings: Rings<'a>,
    of: Vec<usize>,
    boxes: Vec<Bounds>,
    grid: Grid,
    bounds: Bounds,
    tolerance: f64,
    budget: Budget,
}

impl<'a> Solid<'a> {
    /// The solid of `region`; what comes within `tolerance` (drawing units) of its edges lies on them.
    pub fn of(region: &'a Region, tolerance: f64) -> Solid<'a> {
        let rings: Vec<&Ring> = region.rings().map(|(_, ring)| ring).collect();
        let parts = region.parts.iter().enumerate();
        let of = parts.flat_map(|(k, part)| std::iter::repeat_n(k, 1 + part.holes.len())).collect();
        let numbered = rings.iter().zip(0..);
        let curves: Vec<(u32, u32)> =
            numbered.flat_map(|(ring, r)| (0..ring.curves().len() as u32).map(move |k| (r, k))).collect();
        let boxes: Vec<Bounds> = rings.iter().flat_map(|ring| ring.boxes()).map(Cow::into_owned).collect();
        let grid = Grid::over(&boxes, tolerance);
        let budget = Budget::for_curves(curves.len());
        Solid {
            curves,
            rings: Rings::new(&rings),
            of,
            boxes,
            grid,
            bounds: region.bounds(),
            tolerance,
            budget,
        }
    }

    /// How `ring` lies. An outline whose crossings would take too long to find is judged by those that were found.
    pub fn lying(&mut self, ring: &Ring) -> Lying {
        let (mut within, mut outside) = (None, false);
        let mut meets = false;
        for (curve, bounds) in ring.curves().iter().zip(&ring.boxes()) {
            let mut cuts = self.cuts(curve, bounds);
            if cuts.is_empty() {
                continue;
            }
            meets = true;
            cuts.extend([0.0, 1.0]);
            cuts.sort_by(f64::total_cmp);
            for pair in cuts.windows(2).filter(|pair| pair[0] < pair[1]) {
                let point = curve.at(0.5 * (pair[0] + pair[1]));
                if self.is_on_edge(point) {
                    continue;
                }
                match self.part_at(point) {
                    Some(part) => within = within.or(Some(part)),
                    None => outside = true,
                }
                if let (Some(part), true) = (within, outside) {
                    return Lying::Across(part);
                }
            }
        }
        if !meets {
            // It lies as any of its points does.
            within = self.part_at(ring.curves()[0].at(0.5));
            outside = within.is_none();
        }
        match within {
            Some(part) => Lying::Within(part),
            None if outside => Lying::Outside,
            None => Lying::Along,
        }
    }

    /// Where on `curve` an edge meets it.
    fn cuts(&mut self, curve: &Curve, bounds: &Bounds) -> Vec<f64> {
        let mut cuts = Vec::new();
        let reach = bounds.grown(self.tolerance);
        if !reach.meets(&self.bounds) {
            return cuts;
        }
        for k in self.grid.within(bounds) {
            if reach.meets(&self.boxes[k]) {
                let contacts = contacts_within(curve, &self.curve(k), self.tolerance, &mut self.budget);
                cuts.extend(contacts.iter().map(|contact| contact.a));
            }
        }
        cuts
    }

    fn curve(&self, number: usize) -> Cow<'a, Curve> {
        let (ring, curve) = self.curves[number];
        self.rings.located[ring as usize].ring.curves().take(curve as usize)
    }

    fn is_on_edge(&self, point: Point) -> bool {
        self.grid.around(point).any(|k| {
            self.boxes[k].grown(self.tolerance).contains_point(point)
                && self.curve(k).distance(point) <= self.tolerance
        })
    }

    /// The part in whose solid `point` lies: its edge goes round it, and none of its holes does.
    fn part_at(&self, point: Point) -> Option<usize> {
        let around: Vec<usize> = self.rings.around(point).collect();
        let holes = |part: usize| around.iter().filter(|k| self.of[**k] == part).count() - 1;
        let edges = around.iter().filter(|k| **k == 0 || self.of[**k - 1] != self.of[**k]);
        edges.map(|k| self.of[*k]).find(|part| holes(*part) == 0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Affine, Arc};
    use crate::outline::Origin;
    use crate::region;

    fn ring(curves: Vec<Curve>, map: &Affine) -> Ring {
        let curves = curves.iter().map(|curve| curve.transformed(map)).collect();
        Ring::new(curves, Origin::default()).expect("a ring")
    }

    fn polygon(corners: &[(f64, f64)], map: &Affine) -> Ring {
        let at = |k: usize| Point::new(corners[k % corners.len()].0, corners[k % corners.len()].1);
        ring((0..corners.len()).map(|k| Curve::line(at(k), at(k + 1))).collect(), map)
    }

    fn rectangle(x: f64, y: f64, width: f64, height: f64, map: &Affine) -> Ring {
        polygon(&[(x, y), (x + width, y), (x + width, y + height), (x, y + height)], map)
    }

    fn disc(x: f64, y: f64, radius: f64, map: &Affine) -> Ring {
        ring(vec![Arc::circle(Point::new(x, y), radius).into()], map)
    }

    /// A plate with a round and a square hole, an island in the square one, and a second plate; upright and turned,
    /// near the origin and far from it.
    #[test]
    fn where_outlines_lie() {
        let turned = Affine::rotation(0.7).then(&Affine::translation(Point::new(5e4, -8e3)));
        for map in [&Affine::IDENTITY, &turned] {
            let rings = [
                rectangle(10.0, 20.0, 200.0, 120.0, map),
                disc(60.0, 60.0, 15.0, map),
                rectangle(110.0, 40.0, 80.0, 70.0, map),
                disc(150.0, 75.0, 20.0, map),
                rectangle(300.0, 20.0, 50.0, 40.0, map),
            ];
            let region = region::resolve(&rings, &[]).region.expect("a region");
            let part = |inner: &Ring| region.part_of(inner).expect("a part");
            let (plate, island, second) = (part(&rings[0]), part(&rings[3]), part(&rings[4]));
            let mut solid = Solid::of(&region, 1e-6 * region.bounds().size());
            let cases = [
                ("in the plate", disc(30.0, 120.0, 8.0, map), Lying::Within(plate)),
                ("in the island", rectangle(140.0, 70.0, 11.0, 6.0, map), Lying::Within(island)),
                ("in the second plate", disc(325.0, 37.0, 6.0, map), Lying::Within(second)),
                ("in the round hole", disc(60.0, 60.0, 9.0, map), Lying::Outside),
                ("in the square hole, beside the island", disc(120.0, 50.0, 6.0, map), Lying::Outside),
                ("around the round hole", disc(60.0, 60.0, 19.0, map), Lying::Within(plate)),
                ("across the edge", disc(210.0, 90.0, 7.0, map), Lying::Across(plate)),
                ("across a hole", disc(75.0, 60.0, 5.0, map), Lying::Across(plate)),
                (
                    "through the plate, its corners outside",
                    rectangle(96.0, 0.0, 7.0, 300.0, map),
                    Lying::Across(plate),
                ),
                ("touching the edge from within", disc(18.0, 100.0, 8.0, map), Lying::Within(plate)),
                ("touching the edge from without", disc(2.0, 100.0, 8.0, map), Lying::Outside),
                (
                    "along part of the edge within",
                    rectangle(10.0, 60.0, 20.0, 30.0, map),
                    Lying::Within(plate),
                ),
                ("along part of the edge without", rectangle(-10.0, 60.0, 20.0, 30.0, map), Lying::Outside),
                ("a copy of the edge", rectangle(10.0, 20.0, 200.0, 120.0, map), Lying::Along),
                ("a copy of a hole, a hair larger", disc(60.0, 60.0, 15.000_01, map), Lying::Along),
                ("a copy of the island", disc(150.0, 75.0, 20.0, map), Lying::Along),
                ("around everything", rectangle(0.0, 0.0, 400.0, 200.0, map), Lying::Outside),
                ("beside everything", disc(260.0, 80.0, 12.0, map), Lying::Outside),
            ];
            for (words, ring, lying) in cases {
                assert_eq!(solid.lying(&ring), lying, "{words}");
            }
        }
    }

    /// A strip too thin for points here and there on the outline that it crosses.
    #[test]
    fn a_thin_strip_is_not_missed() {
        let strip = rectangle(-500.0, 31.0, 1000.0, 0.2, &Affine::IDENTITY);
        let region = region::resolve(&[strip], &[]).region.expect("a region");
        let mut solid = Solid::of(&region, 1e-3);
        assert_eq!(solid.lying(&disc(40.0, 0.0, 70.0, &Affine::IDENTITY)), Lying::Across(0));
        assert_eq!(solid.lying(&disc(40.0, -40.0, 70.0, &Affine::IDENTITY)), Lying::Outside);
    }
}
