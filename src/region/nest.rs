//! Rings inside rings.
//!
//! A ring's depth is the number of rings around one of its points, as they do not meet.

use std::collections::BTreeMap;

use super::copies::{apart, identical};
use super::{Part, Region};
use crate::geometry::near::Grid;
use crate::geometry::{Bounds, Point};
use crate::outline::Ring;

/// Copies of an outline that differ by less than this share of its size are one outline: a copy that went through
/// a file with six decimals is not a second plate.
const IDENTICAL: f64 = 1e-6;

/// Copies further apart than that, but within the joining tolerance and this share of the size, are one outline that was
/// retraced; rings that are small beside the tolerance are not taken for each other.
const RETRACED: f64 = 1e-3;

/// A ring that repeats another.
pub(super) struct Repeat<'a> {
    pub ring: &'a Ring,
    /// How far it lies from the other; 0 where that is rounding.
    pub apart: f64,
}

/// The rings without repetitions, and those left out for repeating one, no further from it than `join`.
pub(super) fn distinct(rings: &[Ring], join: f64) -> (Vec<&Ring>, Vec<Repeat<'_>>) {
    /// So many slices have numbers of four bytes.
    const SLICES: f64 = 4e9;
    let all = rings.iter().fold(Bounds::EMPTY, |all, ring| all.union(ring.bounds()));
    // Slices across the longer side.
    let stands = all.height() > all.width();
    let place = |ring: &Ring| {
        let (Point { x, y }, origin) = (ring.bounds().min, all.min);
        if stands { (y - origin.y, x) } else { (x - origin.x, y) }
    };
    // Copies begin in one slice along, or in two that follow on each other: half a slice is as far as copies lie apart.
    let widest = rings.iter().map(|ring| copies_within(ring.bounds().size(), join)).fold(0.0, f64::max);
    let slice = (2.0 * widest).max(all.width().max(all.height()) / SLICES);
    let entry = |(ring, k): (&Ring, u32)| {
        let (along, across) = place(ring);
        ((along / slice) as u32, k, across)
    };
    let mut order: Vec<(u32, u32, f64)> = Vec::with_capacity(rings.len());
    order.extend(rings.iter().zip(0..).map(entry));
    order.sort_unstable_by(|a, b| a.0.cmp(&b.0).then(a.2.total_cmp(&b.2)).then(a.1.cmp(&b.1)));
    // How far rings lie from those that they repeat, which are few as a rule.
    let mut repeats: BTreeMap<usize, f64> = BTreeMap::new();
    // The first in the next slice that is not too far down across.
    let mut beyond = 0;
    for (k, &(here, i, across)) in order.iter().enumerate() {
        let i = i as usize;
        let ring = &rings[i];
        let size = ring.bounds().size();
        let near = copies_within(size, join);
        let next = here + 1;
        let is_before = |(there, _, beside): &(u32, u32, f64)| {
            *there <= here || *there == next && *beside < across - widest
        };
        while order.get(beyond).is_some_and(is_before) {
            beyond += 1;
        }
        let from = |first: usize, slice: u32| {
            let reached =
                move |(there, _, beside): &&(u32, u32, f64)| *there == slice && *beside <= across + near;
            order[first..].iter().take_while(reached)
        };
        let candidates = from(k + 1, here).chain(from(beyond, next));
        for &(_, j, _) in candidates.filter(|(_, _, beside)| *beside >= across - near) {
            let j = j as usize;
            if !repeats.is_empty() && (repeats.contains_key(&i) || repeats.contains_key(&j)) {
                continue;
            }
            if identical(ring, &rings[j], IDENTICAL * size) {
                repeats.insert(i.max(j), 0.0);
            } else if identical(ring, &rings[j], near) {
                repeats.insert(i.max(j), apart(ring, &rings[j], IDENTICAL * size, near));
            }
        }
    }
    let distinct = rings.iter().enumerate().filter(|(k, _)| !repeats.contains_key(k)).map(|(_, ring)| ring);
    (
        distinct.collect(),
        repeats.iter().map(|(k, apart)| Repeat { ring: &rings[*k], apart: *apart }).collect(),
    )
}

/// Where rings begin along the longer side of all of them: holes in one column begin at one x, and all would be compared
/// with all.
fn place_along<'a>(rings: impl Iterator<Item = &'a Ring>) -> fn(&Ring) -> f64 {
    let all = rings.fold(Bounds::EMPTY, |all, ring| all.union(ring.bounds()));
    if all.height() > all.width() { |ring| ring.bounds().min.y } else { |ring| ring.bounds().min.x }
}

/// How near copies of an outline of this size lie to it, where ends within `join` are joined.
pub(crate) fn copies_within(size: f64, join: f64) -> f64 {
    (IDENTICAL * size).max(join.min(RETRACED * size))
}

/// The same bodies, in which a ring that repeats one of an earlier body, no further from it than `join`, is that ring, to the
/// last digit; and those that did so beyond rounding.
pub(super) fn aligned<'a>(
    mut bodies: Vec<Vec<&'a Ring>>,
    join: f64,
) -> (Vec<Vec<&'a Ring>>, Vec<Repeat<'a>>) {
    let mut repeats = Vec::new();
    if bodies.len() < 2 {
        return (bodies, repeats);
    }
    let mut all: Vec<(usize, &Ring)> =
        bodies.iter().enumerate().flat_map(|(k, body)| body.iter().map(move |ring| (k, *ring))).collect();
    let place = place_along(bodies.iter().flatten().copied());
    // Earlier bodies stay before later ones where the places are equal.
    all.sort_by(|a, b| place(a.1).total_cmp(&place(b.1)));
    for (k, body) in bodies.iter_mut().enumerate().skip(1) {
        for ring in body {
            let size = ring.bounds().size();
            let (here, tolerance) = (place(ring), copies_within(size, join));
            let first = all.partition_point(|(_, other)| place(other) < here - tolerance);
            let near = all[first..].iter().take_while(|(_, other)| place(other) <= here + tolerance);
            let same =
                near.filter(|(body, _)| *body < k).find(|(_, other)| identical(ring, other, tolerance));
            let Some((_, other)) = same else { continue };
            if !identical(ring, other, IDENTICAL * size) {
                repeats.push(Repeat { ring, apart: apart(ring, other, IDENTICAL * size, tolerance) });
            }
            *ring = other;
        }
    }
    (bodies, repeats)
}

/// The parts that rings bound which neither cross nor touch, and the nesting depth of each ring.
pub(super) fn nest(rings: &[&Ring]) -> (Region, Vec<usize>) {
    if let [ring] = rings {
        let part = Part { edge: (*ring).clone(), holes: Vec::new() };
        return (Region { parts: vec![part] }, vec![0]);
    }
    let boxes: Vec<Bounds> = rings.iter().map(|r| r.bounds()).collect();
    let grid = Grid::over(&boxes, 0.0);
    // The rings around each, one list after the other, and where each list ends.
    let (mut around, mut ends): (Vec<u32>, Vec<u32>) = (Vec::new(), Vec::with_capacity(rings.len()));
    for (index, ring) in rings.iter().enumerate() {
        // Rings do not touch, so any point of the ring tells for all of it.
        let point = ring.curves()[0].at(0.5);
        let outer = grid.around(point).filter(|&other| {
            other != index && boxes[other].contains(&boxes[index]) && rings[other].contains(point)
        });
        around.extend(outer.map(|outer| outer as u32));
        ends.push(around.len() as u32);
    }
    drop((grid, boxes));
    let around_of = |index: usize| {
        let start = index.checked_sub(1).map_or(0, |before| ends[before]);
        &around[start as usize..ends[index] as usize]
    };
    let depth = |index: usize| around_of(index).len();
    let is_edge = |index: &usize| depth(*index).is_multiple_of(2);
    let mut parts: Vec<Part> = Vec::with_capacity((0..rings.len()).filter(is_edge).count());
    let mut part_of = vec![u32::MAX; rings.len()];
    for index in (0..rings.len()).filter(is_edge) {
        part_of[index] = parts.len() as u32;
        parts.push(Part { edge: rings[index].clone(), holes: Vec::new() });
    }
    for index in (0..rings.len()).filter(|index| !is_edge(index)) {
        // The ring next around a hole is the one that itself lies in the most rings.
        if let Some(&owner) = around_of(index).iter().max_by_key(|ring| depth(**ring as usize)) {
            parts[part_of[owner as usize] as usize].holes.push(rings[index].clone());
        }
    }
    (Region { parts }, (0..rings.len()).map(depth).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Arc, Curve};
    use crate::outline::Origin;

    /// Holes in rows and columns, each third drawn twice, a little apart in all directions: every copy is found, wherever one
    /// slice ends and the next begins, and nothing else.
    #[test]
    fn each_copy_is_found_and_nothing_else() {
        let join = 0.01;
        let circle = |x: f64, y: f64, radius: f64| {
            let arc = Curve::Arc(Arc::circle(Point::new(x, y), radius));
            Ring::new(vec![arc], Origin::default()).expect("a ring")
        };
        for (columns, rows) in [(70, 11), (11, 70), (300, 2), (1, 400)] {
            // The frame is large, so that its copies, and slices, are wide.
            let frame = f64::from(columns.max(rows)) * 12.0;
            let mut rings =
                vec![circle(frame, frame, 2.0 * frame), circle(frame + 0.009, frame, 2.0 * frame)];
            let mut copies = 1;
            for k in 0..columns * rows {
                let (column, row) = (f64::from(k % columns), f64::from(k / columns));
                // Columns that are even, and some that are not.
                let x = 12.0 * column + if k % 5 == 0 { 0.0037 * row } else { 0.0 };
                let radius = 2.0 + f64::from(k % 7) * 0.4;
                let hole = circle(x, 12.0 * row, radius);
                let near = copies_within(hole.bounds().size(), join);
                rings.push(hole);
                if k % 3 == 0 {
                    let away = Point::at_angle(f64::from(k)) * (0.9 * near);
                    rings.insert(rings.len() / 2, circle(x + away.x, 12.0 * row + away.y, radius));
                    copies += 1;
                }
            }
            // As large, and too far away.
            rings.extend([circle(-50.0, 0.0, 3.0), circle(-50.0 + 2.0 * join, 0.0, 3.0)]);
            let (kept, repeats) = distinct(&rings, join);
            assert_eq!((kept.len() + copies, repeats.len()), (rings.len(), copies), "{columns} x {rows}");
            assert!(repeats.iter().all(|repeat| repeat.apart <= 1.001 * join));
            assert!(repeats.iter().filter(|repeat| repeat.apart > 0.0).count() + 1 >= copies);
        }
    }
}
