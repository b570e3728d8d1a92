//! Where rings meet: each other, or themselves beside their joints.
//!
//! Pairs of near boxes from a grid, contacts from [`contacts_within`]; what belongs to a joint is own work.

use crate::geometry::near::near_pairs;
use crate::geometry::{Bounds, Budget, Contact, Curve, Point, contacts_within, meet_at_joint_alone};
use crate::outline::Ring;

/// The places where curves of an outline meet: no more of them than is needed to cut the curves there, since an outline that is
/// retraced over and over has millions.
#[derive(Debug, Default)]
pub(super) struct Meetings {
    /// Two curves, among those of all rings, and the parameter on each, in lists of [`LISTED`].
    listed: Vec<Vec<(u32, u32, f64, f64)>>,
    /// For each ring whether it meets itself, slips of drafting aside.
    crosses_itself: Vec<bool>,
    /// How often rings do.
    own: usize,
    /// Where the lowest leftmost of these places is, and the ring.
    first_own: Option<(Point, usize)>,
}

/// Why places were not sought to the end, and a place near which that was so.
#[derive(Debug)]
pub(super) enum GivenUp {
    /// They cost too much, or are too many.
    Budget(Point),
    /// They take too much memory.
    Memory(Point),
}

/// Places in one list: lists that grow would have to be copied.
const LISTED: usize = 1 << 14;

impl Meetings {
    fn add(&mut self, (a, b): (u32, u32), contact: &Contact) {
        match self.listed.last_mut() {
            Some(list) if list.len() < LISTED => list.push((a, b, contact.a, contact.b)),
            last => {
                // The first list is as long as it needs to be.
                let mut list = Vec::with_capacity(if last.is_some() { LISTED } else { 1 });
                list.push((a, b, contact.a, contact.b));
                self.listed.push(list);
            }
        }
    }

    /// A ring meets itself.
    fn add_own(&mut self, ring: usize, place: Point) {
        self.crosses_itself[ring] = true;
        self.own += 1;
        if self.first_own.is_none_or(|(first, _)| place.by_place(&first).is_lt()) {
            self.first_own = Some((place, ring));
        }
    }

    /// Number of places.
    fn len(&self) -> usize {
        self.listed.last().map_or(0, |last| (self.listed.len() - 1) * LISTED + last.len())
    }

    /// No curves meet.
    pub fn is_empty(&self) -> bool {
        self.listed.is_empty()
    }

    /// Each curve that is cut, among those of all rings, with the parameter.
    pub fn cuts(&self) -> impl Iterator<Item = (u32, f64)> + '_ {
        self.listed.iter().flatten().flat_map(|(a, b, s, t)| [(*a, *s), (*b, *t)])
    }

    /// The ring meets itself, slips of drafting aside.
    pub fn crosses_itself(&self, ring: usize) -> bool {
        self.crosses_itself[ring]
    }

    /// How often rings meet themselves, and where and which of them the lowest leftmost time; slips of drafting aside.
    pub fn own(&self) -> Option<(usize, Point, usize)> {
        self.first_own.map(|(place, ring)| (self.own, place, ring))
    }

    /// Lets go of where curves are cut.
    pub fn let_go_of_cuts(&mut self) {
        self.listed = Vec::new();
    }
}

/// All places where curves of two rings, or two curves of one ring beside their common joint, come within the
/// tolerance of each other. Where that costs more than the budget, or the places are too many, a place near
/// which it was given up.
pub(super) fn meetings(
    rings: &[&Ring],
    tolerance: f64,
    memory: u64,
    budget: &mut Budget,
) -> Result<Meetings, GivenUp> {
    /// Bytes that a place takes until the pieces that it makes of two curves are linked, as a lattice of 600 bars took them.
    const PER_PLACE: u64 = 600;
    /// Places beyond this number and so many for each curve are an outline retraced over and over: a lattice of 1,000
    /// bars across 1,000 others, of 8,000 edges, has four million.
    const MOST: usize = 4_000_000;
    const MOST_EACH: usize = 100;
    let count = rings.iter().map(|ring| ring.curves().len()).sum();
    let mut boxes: Vec<Bounds> = Vec::with_capacity(count);
    rings.iter().for_each(|ring| boxes.extend_from_slice(&ring.boxes()));
    // Rings of one curve each have its number.
    let places: Option<Vec<(u32, u32)>> = (rings.len() < count).then(|| {
        let mut places = Vec::with_capacity(count);
        for (ring, r) in rings.iter().zip(0..) {
            places.extend((0..ring.curves().len() as u32).map(|c| (r, c)));
        }
        places
    });
    let place = |k: usize| match &places {
        Some(places) => (places[k].0 as usize, places[k].1 as usize),
        None => (k, 0),
    };
    let most = MOST + MOST_EACH * boxes.len();
    let in_memory = usize::try_from(memory / PER_PLACE).unwrap_or(usize::MAX);
    let mut found = Meetings { crosses_itself: vec![false; rings.len()], ..Meetings::default() };
    let mut given_up = None;
    near_pairs(&boxes, tolerance, |i, j| {
        if given_up.is_some() {
            return;
        }
        let (a, b) = (place(i), place(j));
        let curves = (i as u32, j as u32);
        if a.0 == b.0 {
            for (contact, is_slip) in within_ring(rings[a.0], a.1, b.1, tolerance, budget) {
                found.add(curves, &contact);
                if !is_slip {
                    found.add_own(a.0, contact.point);
                }
            }
        } else {
            let (first, second) = (rings[a.0].curves(), rings[b.0].curves());
            let contacts = contacts_within(&first[a.1], &second[b.1], tolerance, budget);
            contacts.iter().for_each(|contact| found.add(curves, contact));
        }
        let near = || rings[b.0].curves()[b.1].start();
        if budget.is_spent() || found.len() > most {
            given_up = Some(GivenUp::Budget(near()));
        } else if found.len() > in_memory {
            given_up = Some(GivenUp::Memory(near()));
        }
    });
    given_up.map_or(Ok(found), Err)
}

/// Neighbours that leave their joint almost tangentially, with coordinates rounded in the drawing, may cross again
/// a hair beside it. While they keep within this share of the ring's size of each other that loop is a sliver whose
/// area lies below 1e-9 of the ring's.
const NEIGHBOUR_SLIVER: f64 = 1e-6;

/// Contacts of two curves of one ring that are not their joint, and whether the loop between is a slip of drafting.
fn within_ring(
    ring: &Ring,
    index_a: usize,
    index_b: usize,
    tolerance: f64,
    budget: &mut Budget,
) -> Vec<(Contact, bool)> {
    // Specks of rounding are no curves, and what they stand between are neighbours.
    let (curves, boxes) = (ring.curves(), ring.boxes());
    let is_speck = |index: usize| boxes[index].size() <= tolerance;
    if is_speck(index_a) || is_speck(index_b) {
        return Vec::new();
    }
    let count = curves.len();
    let next = |index: usize| {
        let mut next = (index + 1) % count;
        while next != index && is_speck(next) {
            next = (next + 1) % count;
        }
        next
    };
    let (first, second) = (&curves[index_a], &curves[index_b]);
    // Which end of the first curve joins which end of the second.
    let joints =
        [(next(index_a) == index_b).then_some((1.0, 0.0)), (next(index_b) == index_a).then_some((0.0, 1.0))];
    if joints.iter().flatten().count() == 1 && meet_at_joint_alone(first, second, tolerance) {
        return Vec::new();
    }
    let sliver = NEIGHBOUR_SLIVER * ring.bounds().size();
    /// Around a gap that was closed a ring may cross itself within the gap, as places are known: both ends of the loop are off
    /// by as much as two of them.
    const LOOP: f64 = 4.0;
    let slip = LOOP * (tolerance + ring.gap());
    let speck = LOOP * tolerance;
    contacts_within(first, second, tolerance, budget)
        .into_iter()
        .filter_map(|contact| {
            let (a, b) = ((index_a, contact.a), (index_b, contact.b));
            let is_joint =
                joints.iter().flatten().any(|j| belongs_to_joint(&contact, *j, first, second, sliver));
            let way =
                if is_joint { 0.0 } else { way_along(ring, a, b, slip).min(way_along(ring, b, a, slip)) };
            (way > speck).then_some((contact, way <= slip))
        })
        .collect()
}

/// The way along the ring from a place on one of its curves on to a place on another, as far as `enough`.
fn way_along(ring: &Ring, (from, t0): (usize, f64), (to, t1): (usize, f64), enough: f64) -> f64 {
    let curves = ring.curves();
    let straight = |curve: &Curve, low: f64, high: f64| curve.at(low).distance(curve.at(high));
    let mut way = straight(&curves[from], t0, 1.0);
    let mut index = (from + 1) % curves.len();
    while index != to && way <= enough {
        way += straight(&curves[index], 0.0, 1.0);
        index = (index + 1) % curves.len();
    }
    way + straight(&curves[to], 0.0, t1)
}

fn belongs_to_joint(contact: &Contact, joint: (f64, f64), a: &Curve, b: &Curve, sliver: f64) -> bool {
    if contact.a == joint.0 && contact.b == joint.1 {
        return true;
    }
    // The other joint of a ring of two curves is judged by itself.
    if (contact.a - joint.0).abs() > 0.5 || (contact.b - joint.1).abs() > 0.5 {
        return false;
    }
    [0.25, 0.5, 0.75].iter().all(|share| b.distance(a.at(joint.0 + (contact.a - joint.0) * share)) <= sliver)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Span;
    use crate::outline::Origin;
    use crate::region::resolve;

    /// A round outline of six cubic spans, drawn `laps` times over in one ring, each lap a hair within the one before.
    fn laps(laps: usize, hair: f64) -> Ring {
        let knot = |k: usize| {
            let lap = (k % (6 * laps)) / 6;
            let angle = std::f64::consts::FRAC_PI_3 * (k % 6) as f64 + 0.2;
            (Point::at_angle(angle), 40.0 - hair * lap as f64)
        };
        let curves = (0..6 * laps).map(|k| {
            let ((from, radius), (to, next)) = (knot(k), knot(k + 1));
            let (start, end) = (from * radius, to * next);
            let reach = 0.36 * radius;
            let controls =
                vec![start, start + from.quarter_turned() * reach, end - to.quarter_turned() * reach, end];
            Curve::from(Span::polynomial(controls).expect("four points"))
        });
        Ring::new(curves.collect(), Origin::default()).expect("a ring")
    }

    #[test]
    fn an_outline_costs_a_small_share_of_what_it_may() {
        let ring = laps(1, 0.0);
        let mut budget = Budget::of(6 * 300);
        assert!(meetings(&[&ring], 1e-9 * 80.0, u64::MAX, &mut budget).is_ok_and(|found| found.is_empty()));
        assert!(!budget.is_spent());
    }

    #[test]
    fn an_outline_retraced_over_and_over_is_given_up() {
        for hair in [1e-7, 3e-9] {
            let ring = laps(60, hair);
            let mut budget = Budget::for_curves(ring.curves().len());
            let given_up = meetings(&[&ring], 1e-9 * 80.0, u64::MAX, &mut budget).expect_err("given up");
            let GivenUp::Budget(near) = given_up else { panic!("{given_up:?}") };
            assert!(budget.is_spent() && (near.length() - 40.0).abs() < 1.0, "{near:?}");
            let resolved = resolve(&[ring], &[]);
            assert!(resolved.region.is_none());
            assert!(resolved.findings.iter().any(|f| f.message().contains("so close together")));
        }
    }
}
