//! Bodies of several materials that touch: one boundary for all that hang together, in which what two of them share is there once.

use std::collections::BTreeMap;

use super::boundary::{Boundary, Known, MOST_PIECES, NOTHING};
use super::{FieldBody, FieldError, FieldErrorKind, Trouble};
use crate::geometry::{Affine, Bounds, Curve, Point};

/// Corners and edges of two bodies nearer to each other than this share of the section's size are one.
const ONE_EDGE: f64 = 1e-7;

/// Corners that are tried on curves at the most.
const MOST_TRIALS: usize = 40_000_000;

/// Bodies that hang together by edges, moved by −`centre` and divided by `size`.
pub(super) struct Joined {
    pub boundary: Boundary,
    pub centre: Point,
    pub size: f64,
}

/// A stretch of a curve between two corners, with a part of a body to its left.
struct Stretch {
    curve: Curve,
    ends: [u32; 2],
    part: usize,
    /// The part to its right, where there is one.
    beyond: Option<usize>,
}

/// The bodies, those that touch along edges together.
pub(super) fn joined(bodies: &[FieldBody<'_>]) -> Result<Vec<Joined>, FieldError> {
    let bounds = bodies.iter().fold(Bounds::EMPTY, |all, body| all.union(body.region.bounds()));
    let (centre, size) = (bounds.center(), bounds.size());
    if !(size > 0.0 && size.is_finite() && centre.is_finite()) {
        return Err(FieldError::new(FieldErrorKind::OutOfRange, None));
    }
    let mut corners = Vec::new();
    let (mut stretches, material_of) = curves(bodies, centre, size, &mut corners);
    let curves: usize = stretches.len();
    if curves > MOST_PIECES || curves.saturating_mul(corners.len()) > MOST_TRIALS {
        return Err(FieldError::new(FieldErrorKind::TooLarge, None));
    }
    cut_at_corners(&mut stretches, &corners);
    share(&mut stretches);
    let mut group_of = Groups::of(material_of.len());
    for stretch in &stretches {
        if let Some(beyond) = stretch.beyond {
            group_of.join(stretch.part, beyond);
        }
    }
    let mut groups: BTreeMap<usize, Vec<Stretch>> = BTreeMap::new();
    for stretch in stretches {
        groups.entry(group_of.first(stretch.part)).or_default().push(stretch);
    }
    let back = |p: Point| p * size + centre;
    groups
        .into_values()
        .map(|stretches| {
            let bounds = stretches.iter().fold(Bounds::EMPTY, |all, s| all.union(s.curve.bounds()));
            let (own_centre, own_size) = (bounds.center(), bounds.size());
            let boundary = boundary(&stretches, &corners, &material_of, own_centre, own_size)
                .map_err(|trouble| trouble.at(back(own_centre), size * own_size))?;
            Ok(Joined { boundary, centre: back(own_centre), size: size * own_size })
        })
        .collect()
}

/// The curves of all parts with the solid to their left, and the material of each part.
fn curves(
    bodies: &[FieldBody<'_>],
    centre: Point,
    size: f64,
    corners: &mut Vec<Point>,
) -> (Vec<Stretch>, Vec<u32>) {
    let map = Affine { xx: 1.0 / size, xy: 0.0, yx: 0.0, yy: 1.0 / size, offset: Point::ORIGIN };
    let mut known = Known::default();
    let (mut stretches, mut material_of) = (Vec::new(), Vec::new());
    for (material, body) in (0..).zip(bodies) {
        for part in &body.region.parts {
            let number = material_of.len();
            material_of.push(material);
            for (place, ring) in std::iter::once(&part.edge).chain(&part.holes).enumerate() {
                for curve in &ring.curves() {
                    let curve = curve.translated(-centre).transformed(&map);
                    let curve = if place > 0 { curve.reversed() } else { curve };
                    let ends = [curve.start(), curve.end()].map(|end| known.corner(corners, end, ONE_EDGE));
                    stretches.push(Stretch { curve, ends, part: number, beyond: None });
                }
            }
        }
    }
    (stretches, material_of)
}

/// Cuts curves where corners of others lie on them.
fn cut_at_corners(stretches: &mut Vec<Stretch>, corners: &[Point]) {
    let mut cut = Vec::with_capacity(stretches.len());
    for stretch in stretches.drain(..) {
        let bounds = stretch.curve.bounds().grown(ONE_EDGE);
        let on_it = |corner: &u32| {
            let at = corners[*corner as usize];
            if stretch.ends.contains(corner) || !bounds.meets(&Bounds::around([at])) {
                return None;
            }
            let parameter = stretch.curve.nearest(at);
            let is_within = parameter > 0.0 && parameter < 1.0;
            (is_within && stretch.curve.at(parameter).distance(at) <= ONE_EDGE)
                .then_some((parameter, *corner))
        };
        let mut places: Vec<(f64, u32)> =
            (0..corners.len() as u32).filter_map(|corner| on_it(&corner)).collect();
        places.sort_by(|a, b| a.0.total_cmp(&b.0));
        places.dedup_by(|a, b| a.0 <= b.0);
        let (mut from, mut start) = (0.0, stretch.ends[0]);
        for (to, end) in places.into_iter().chain([(1.0, stretch.ends[1])]) {
            let curve = stretch.curve.between(from, to);
            cut.push(Stretch { curve, ends: [start, end], part: stretch.part, beyond: None });
            (from, start) = (to, end);
        }
    }
    *stretches = cut;
}

/// Of two stretches that are one, each with a part on its side, leaves the first, with both parts.
fn share(stretches: &mut Vec<Stretch>) {
    let mut by_ends: BTreeMap<[u32; 2], Vec<usize>> = BTreeMap::new();
    let mut is_second = vec![false; stretches.len()];
    for index in 0..stretches.len() {
        let Stretch { curve, ends: [start, end], part, .. } = &stretches[index];
        let (middle, along) = (curve.at(0.5), curve.tangent(0.5));
        let others = by_ends.get(&[*end, *start]).into_iter().flatten().copied();
        let is_same = |other: &usize| {
            let other = &stretches[*other];
            let nearest = other.curve.nearest(middle);
            other.part != *part
                && other.beyond.is_none()
                && other.curve.at(nearest).distance(middle) <= ONE_EDGE
                && other.curve.tangent(nearest).dot(along) < 0.0
        };
        let part = *part;
        match others.into_iter().find(is_same) {
            Some(first) => {
                stretches[first].beyond = Some(part);
                is_second[index] = true;
            }
            None => by_ends.entry([*start, *end]).or_default().push(index),
        }
    }
    let mut is_second = is_second.into_iter();
    stretches.retain(|_| !is_second.next().unwrap_or(false));
}

/// The boundary of stretches that hang together.
fn boundary(
    stretches: &[Stretch],
    corners: &[Point],
    material_of: &[u32],
    centre: Point,
    size: f64,
) -> Result<Boundary, super::MeshTrouble> {
    let map = Affine { xx: 1.0 / size, xy: 0.0, yx: 0.0, yy: 1.0 / size, offset: Point::ORIGIN };
    let mut boundary = Boundary::default();
    let mut number_of: BTreeMap<u32, u32> = BTreeMap::new();
    let mut ends = Vec::with_capacity(stretches.len());
    for stretch in stretches {
        ends.push(stretch.ends.map(|corner| {
            *number_of.entry(corner).or_insert_with(|| {
                boundary.corners.push((corners[corner as usize] - centre) * size.recip());
                boundary.corners.len() as u32 - 1
            })
        }));
    }
    // What has nothing beyond it bounds all bodies together, or a hole that they leave: rings by the corners they share.
    let is_free = |stretch: &Stretch| stretch.beyond.is_none();
    let mut rings = Groups::of(boundary.corners.len());
    let free = || ends.iter().zip(stretches).filter(|(_, stretch)| is_free(stretch));
    free().for_each(|([start, end], _)| rings.join(*start as usize, *end as usize));
    // The one that reaches furthest to the left is the edge.
    let left = |stretch: &Stretch| stretch.curve.bounds().min.x;
    let edge = free().min_by(|a, b| left(a.1).total_cmp(&left(b.1)));
    let Some(edge) = edge.map(|(ends, _)| rings.first(ends[0] as usize)) else {
        return Err(super::MeshTrouble::new(Trouble::Crossing, Point::ORIGIN));
    };
    let mut ring_numbers = BTreeMap::from([(edge, 0_u32)]);
    for (ends, _) in free() {
        let next = ring_numbers.len() as u32;
        ring_numbers.entry(rings.first(ends[0] as usize)).or_insert(next);
    }
    boundary.rings = ring_numbers.len();
    for (ends, stretch) in ends.iter().zip(stretches) {
        let sides = [Some(stretch.part), stretch.beyond].map(|part| part.map_or(NOTHING, |p| material_of[p]));
        let ring = if is_free(stretch) { ring_numbers[&rings.first(ends[0] as usize)] } else { NOTHING };
        let least = if ends[0] == ends[1] { 3 } else { 1 };
        boundary.add(stretch.curve.translated(-centre).transformed(&map), *ends, ring, sides, least)?;
    }
    super::cusps::blunt(&mut boundary);
    Ok(boundary)
}

/// Things that come together, two by two.
struct Groups(Vec<usize>);

impl Groups {
    fn of(count: usize) -> Groups {
        Groups((0..count).collect())
    }

    /// The first of those that a thing came together with.
    fn first(&mut self, mut thing: usize) -> usize {
        while self.0[thing] != thing {
            self.0[thing] = self.0[self.0[thing]];
            thing = self.0[thing];
        }
        thing
    }

    fn join(&mut self, a: usize, b: usize) {
        let (a, b) = (self.first(a), self.first(b));
        self.0[a.max(b)] = a.min(b);
    }
}
