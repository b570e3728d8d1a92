//! What tells one plate from another that may lie turned or on its other side: the same bytes for the same shape.
//!
//! The region is laid with its centroid in the origin and one of its farthest corners on the x axis, as drawn and
//! mirrored; of all that this gives, the bytes that come first are kept. Own work.

use std::cmp::Ordering;

use super::Region;
use super::signature::{PART, Scratch, WrittenPart, WrittenRegion, WrittenRing, holes_bytes, parts_bytes};
use crate::geometry::Point;

/// Coordinates of shapes that differ by less than this (mm) are usually the same: files that are written with six
/// decimals are turned with an error of a thousandth of it.
const GRID: f64 = 1e-3;

/// So many edges are written at most to find the bytes that come first: more would keep whoever asks waiting.
const MOST_WRITTEN: usize = 2_000_000;

impl Region {
    /// Bytes that are the same for the same shape, wherever it lies, turned by any angle or mirrored; the order, direction
    /// and pieces in which it is drawn are no part of it, as in the [`signature`](Region::signature). `centroid` is that
    /// of the region, `millimetres` the length of a drawing unit.
    ///
    /// Coordinates count to a thousandth of a millimetre. What differs by less has the same bytes nearly always, not always:
    /// it may lie on both sides of a step. `None` for shapes with very many corners that lie equally far from the centroid,
    /// such as a circle of thousands of chords.
    pub fn shape(&self, centroid: Point, millimetres: f64) -> Option<Vec<u8>> {
        self.written(millimetres).shape(centroid)
    }
}

impl WrittenRegion {
    /// The region's [`shape`](Region::shape); `centroid` is where that lies in the drawing.
    pub(crate) fn shape(&self, centroid: Point) -> Option<Vec<u8>> {
        let as_drawn = Side { parts: &self.parts, center: (centroid - self.corner) * self.millimetres };
        let axes = as_drawn.farthest();
        if 2 * axes.len().max(1) * as_drawn.corners().count() > MOST_WRITTEN {
            return None;
        }
        let behind: Vec<WrittenPart> = self.parts.iter().map(mirrored).collect();
        let behind = Side { parts: &behind, center: Point::new(-as_drawn.center.x, as_drawn.center.y) };
        let seen = |side, axes: Vec<Point>| axes.into_iter().map(move |axis| Seen { side, axis });
        let bytes = first_bytes(seen(as_drawn, axes).chain(seen(behind, behind.farthest())));
        (!bytes.is_empty()).then_some(bytes)
    }
}

/// A part seen from behind: left is right.
fn mirrored((edge, holes): &WrittenPart) -> WrittenPart {
    (edge.mirrored(), holes.iter().map(WrittenRing::mirrored).collect())
}

/// A region seen from one side, and where its centroid lies.
#[derive(Clone, Copy)]
struct Side<'a> {
    parts: &'a [WrittenPart],
    center: Point,
}

impl Side<'_> {
    /// The corners of all rings, from the centroid.
    fn corners(self) -> impl Iterator<Item = Point> {
        let rings = self.parts.iter().flat_map(|(edge, holes)| std::iter::once(edge).chain(holes));
        rings.flat_map(WrittenRing::corners).map(move |corner| corner - self.center)
    }

    /// The directions of the corners that lie farthest from the centroid; that of the x axis where none lies beside it.
    fn farthest(self) -> Vec<Point> {
        let most = self.corners().map(Point::length).fold(0.0, f64::max);
        if most < GRID {
            return vec![Point::new(1.0, 0.0)];
        }
        let far = self.corners().filter(|corner| corner.length() > most - GRID);
        far.map(|corner| corner * (1.0 / corner.length())).collect()
    }
}

/// A side with this direction along the x axis.
#[derive(Clone, Copy)]
struct Seen<'a> {
    side: Side<'a>,
    axis: Point,
}

impl Seen<'_> {
    /// Where a point lies then, from the centroid.
    fn placed(self) -> impl Fn(Point) -> Point {
        move |p: Point| {
            let p = p - self.side.center;
            Point::new(self.axis.dot(p), self.axis.cross(p))
        }
    }
}

/// The bytes that come first.
fn first_bytes<'a>(seen: impl Iterator<Item = Seen<'a>>) -> Vec<u8> {
    let mut scratch = Scratch::default();
    let first = least(seen, |seen, bytes| match seen.side.parts {
        // What is written first of one part is its edge, which leaves few to write the holes of.
        [(edge, _)] => {
            bytes.extend_from_slice(PART);
            edge.bytes(&seen.placed(), GRID, &mut scratch, bytes);
        }
        parts => parts_bytes(parts, &seen.placed(), GRID, &mut scratch, bytes),
    });
    let (mut bytes, alike) = first;
    let (behind, _) = least(alike.into_iter(), |seen, bytes| {
        if let [(_, holes)] = seen.side.parts {
            holes_bytes(holes, &seen.placed(), GRID, &mut scratch, bytes);
        }
    });
    bytes.extend(behind);
    bytes
}

/// The bytes that come first of all that are written, and all that have them.
fn least<'a>(
    seen: impl Iterator<Item = Seen<'a>>,
    mut write: impl FnMut(Seen<'a>, &mut Vec<u8>),
) -> (Vec<u8>, Vec<Seen<'a>>) {
    let (mut first, mut alike, mut bytes): (Vec<u8>, Vec<Seen<'a>>, _) = (Vec::new(), Vec::new(), Vec::new());
    for seen in seen {
        bytes.clear();
        write(seen, &mut bytes);
        let order = if alike.is_empty() { Ordering::Less } else { bytes.cmp(&first) };
        if order.is_lt() {
            std::mem::swap(&mut first, &mut bytes);
            alike.clear();
        }
        if order.is_le() {
            alike.push(seen);
        }
    }
    (first, alike)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Affine, Arc, Curve};
    use crate::outline::{Origin, Ring};
    use crate::region::Part;
    use std::f64::consts::{FRAC_PI_2, PI, TAU};

    fn at(x: f64, y: f64) -> Point {
        Point::new(x, y)
    }

    fn ring(curves: Vec<Curve>) -> Ring {
        Ring::new(curves, Origin::default()).unwrap()
    }

    fn polygon(corners: &[Point]) -> Vec<Curve> {
        let next = corners.iter().cycle().skip(1);
        corners.iter().zip(next).map(|(a, b)| Curve::line(*a, *b)).collect()
    }

    fn circle(x: f64, y: f64, radius: f64) -> Vec<Curve> {
        vec![Curve::from(Arc::circle(at(x, y), radius))]
    }

    /// A lug with a rounded corner, and holes.
    fn lug() -> Vec<Vec<Curve>> {
        let arc = Curve::from(Arc::new(at(100.0, 50.0), 20.0, 0.0, FRAC_PI_2));
        let edge = vec![
            Curve::line(at(0.0, 0.0), at(120.0, 0.0)),
            Curve::line(at(120.0, 0.0), at(120.0, 50.0)),
            arc,
            Curve::line(at(100.0, 70.0), at(0.0, 0.0)),
        ];
        vec![edge, circle(90.0, 30.0, 5.5), circle(60.0, 20.0, 4.25)]
    }

    fn of(rings: &[Vec<Curve>], map: &Affine, millimetres: f64) -> Option<Vec<u8>> {
        let moved = |curves: &Vec<Curve>| ring(curves.iter().map(|c| c.transformed(map)).collect());
        let mut rings = rings.iter().map(moved);
        let part = Part { edge: rings.next().unwrap(), holes: rings.collect() };
        let region = Region { parts: vec![part] };
        let section = crate::section::Section::of(&region).unwrap();
        region.shape(section.centroid, millimetres)
    }

    fn plain() -> Affine {
        Affine::scaling(1.0, 1.0)
    }

    #[test]
    fn place_angle_and_side_do_not_matter() {
        let same = of(&lug(), &plain(), 1.0);
        assert!(same.is_some());
        for k in 0..40 {
            let angle = f64::from(k) * 0.777;
            let side = if k % 2 == 0 { 1.0 } else { -1.0 };
            let map = Affine::scaling(side, 1.0)
                .then(&Affine::rotation(angle))
                .then(&Affine::translation(at(1e4 * angle, -3e3 + angle)));
            assert!(of(&lug(), &map, 1.0) == same, "{k}");
        }
        // The same in inches, with its edges in another order and one of them in two pieces.
        let mut rings = lug();
        rings[0].splice(
            0..1,
            [Curve::line(at(0.0, 0.0), at(31.0, 0.0)), Curve::line(at(31.0, 0.0), at(120.0, 0.0))],
        );
        rings[0].rotate_left(3);
        rings.swap(1, 2);
        let inches = Affine::scaling(1.0 / 25.4, 1.0 / 25.4).then(&Affine::rotation(PI / 7.0));
        assert!(of(&rings, &inches, 25.4) == same);
    }

    #[test]
    fn shapes_with_equally_far_corners() {
        let rectangle = polygon(&[at(0.0, 0.0), at(90.0, 0.0), at(90.0, 40.0), at(0.0, 40.0)]);
        // One hole off the middle: four places, of which two are those of the other side.
        let with_hole = |x: f64, y: f64| vec![rectangle.clone(), circle(x, y, 6.0)];
        let same = of(&with_hole(20.0, 10.0), &plain(), 1.0);
        for (x, y) in [(70.0, 10.0), (20.0, 30.0), (70.0, 30.0)] {
            assert!(of(&with_hole(x, y), &Affine::rotation(x), 1.0) == same, "{x} {y}");
        }
        assert!(of(&with_hole(20.0, 10.01), &plain(), 1.0) != same);
        // A flange: its bolts alone have a direction, and how two of them stand to each other counts.
        let flange = |angle: f64| {
            let bolt = |a: f64, r: f64| circle(80.0 * a.cos(), 80.0 * a.sin(), r);
            vec![circle(0.0, 0.0, 100.0), bolt(0.3, 9.0), bolt(0.3 + angle, 9.0), bolt(2.5, 9.0)]
        };
        let same = of(&flange(1.0), &plain(), 1.0);
        assert!(of(&flange(1.0), &Affine::scaling(1.0, -1.0).then(&Affine::rotation(1.1)), 1.0) == same);
        assert!(of(&flange(1.001), &plain(), 1.0) != same);
        // A ring has no direction at all.
        let pipe = [circle(5.0, 5.0, 30.0), circle(5.0, 5.0, 25.0)];
        let (left, right) = (at(-25.0, 5.0), at(35.0, 5.0));
        let halves = vec![Curve::from_bulge(left, right, 1.0), Curve::from_bulge(right, left, 1.0)];
        assert!(
            of(&pipe, &plain(), 1.0)
                == of(&[halves, pipe[1].clone()], &Affine::translation(at(70.0, -9.0)), 1.0)
        );
    }

    #[test]
    fn what_differs_differs() {
        let mut all = vec![of(&lug(), &plain(), 1.0), of(&lug()[..1], &plain(), 1.0)];
        all.push(of(&lug(), &Affine::scaling(1.0001, 1.0001), 1.0));
        let mut other = lug();
        other[2] = circle(60.0, 20.1, 4.25);
        all.push(of(&other, &plain(), 1.0));
        other[2] = circle(60.0, 20.0, 4.3);
        all.push(of(&other, &plain(), 1.0));
        let count = all.len();
        all.sort_unstable();
        all.dedup();
        assert_eq!(all.len(), count);
    }

    #[test]
    fn many_equal_corners_are_not_waited_for() {
        let round: Vec<Point> =
            (0..4000).map(|k| Point::at_angle(TAU * f64::from(k) / 4000.0) * 50.0).collect();
        assert_eq!(of(&[polygon(&round)], &plain(), 1.0), None);
        assert!(
            of(&[polygon(&round[..40].iter().map(|p| *p * 1.0).collect::<Vec<_>>())], &plain(), 1.0)
                .is_some()
        );
    }
}
