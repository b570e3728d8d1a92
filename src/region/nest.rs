//! Rings inside rings.
//!
//! A ring's depth is the number of rings around one of its points, as they do not meet.

use super::copies::{apart, identical};
use super::{Part, Region};
use crate::geometry::Bounds;
use crate::geometry::near::Grid;
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
    let place = place_along(rings.iter());
    let mut order: Vec<usize> = (0..rings.len()).collect();
    order.sort_by(|i, j| place(&rings[*i]).total_cmp(&place(&rings[*j])).then(i.cmp(j)));
    let mut repeats: Vec<Option<f64>> = vec![None; rings.len()];
    for (k, &i) in order.iter().enumerate() {
        let ring = &rings[i];
        let size = ring.bounds().size();
        let near = copies_within(size, join);
        for &j in &order[k + 1..] {
            if place(&rings[j]) > place(ring) + near {
                break;
            }
            if repeats[i].is_some() || repeats[j].is_some() {
                continue;
            }
            if identical(ring, &rings[j], IDENTICAL * size) {
                repeats[i.max(j)] = Some(0.0);
            } else if identical(ring, &rings[j], near) {
                repeats[i.max(j)] = Some(apart(ring, &rings[j], IDENTICAL * size, near));
            }
        }
    }
    let distinct = rings.iter().zip(&repeats).filter(|(_, r)| r.is_none()).map(|(ring, _)| ring).collect();
    let repeat = |(ring, apart): (_, &Option<f64>)| apart.map(|apart| Repeat { ring, apart });
    (distinct, rings.iter().zip(&repeats).filter_map(repeat).collect())
}

/// Where rings begin along the longer side of all of them: holes in one column begin at one x, and all would be compared
/// with all.
fn place_along<'a>(rings: impl Iterator<Item = &'a Ring>) -> fn(&Ring) -> f64 {
    let all = rings.fold(Bounds::EMPTY, |all, ring| all.union(*ring.bounds()));
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
    let boxes: Vec<Bounds> = rings.iter().map(|r| *r.bounds()).collect();
    let grid = Grid::over(&boxes, 0.0);
    let around: Vec<Vec<usize>> = rings
        .iter()
        .enumerate()
        .map(|(index, ring)| {
            // Rings do not touch, so any point of the ring tells for all of it.
            let point = ring.curves()[0].at(0.5);
            grid.around(point)
                .filter(|&other| {
                    other != index && boxes[other].contains(&boxes[index]) && rings[other].contains(point)
                })
                .collect()
        })
        .collect();
    let mut parts: Vec<Part> = Vec::new();
    let mut part_of = vec![usize::MAX; rings.len()];
    for (index, outer) in around.iter().enumerate() {
        if outer.len().is_multiple_of(2) {
            part_of[index] = parts.len();
            parts.push(Part { edge: rings[index].clone(), holes: Vec::new() });
        }
    }
    for (index, outer) in around.iter().enumerate() {
        if outer.len().is_multiple_of(2) {
            continue;
        }
        // The ring next around a hole is the one that itself lies in the most rings.
        if let Some(&owner) = outer.iter().max_by_key(|ring| around[**ring].len()) {
            parts[part_of[owner]].holes.push(rings[index].clone());
        }
    }
    (Region { parts }, around.iter().map(Vec::len).collect())
}
