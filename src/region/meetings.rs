//! Where rings meet: each other, or themselves beside their joints.
//!
//! Pairs of near boxes from a grid, contacts from [`contacts_within`]; what belongs to a joint is own work.

use crate::geometry::near::near_pairs;
use crate::geometry::{Bounds, Budget, Contact, Curve, Point, contacts_within, meet_at_joint_alone};
use crate::outline::Ring;

/// A place where two curves of an outline meet.
#[derive(Clone, Copy, Debug)]
pub(super) struct Meeting {
    /// Ring and curve, as indices, of the first.
    pub a: (usize, usize),
    /// Ring and curve of the second.
    pub b: (usize, usize),
    pub contact: Contact,
    /// A loop no larger than the gaps that were closed in the ring, which meets itself there.
    pub is_slip: bool,
}

impl Meeting {
    /// A ring meets itself.
    pub fn is_own(&self) -> bool {
        self.a.0 == self.b.0
    }
}

/// All places where curves of two rings, or two curves of one ring beside their common joint, come within the
/// tolerance of each other. Where that costs more than the budget, or the places are too many, a place near
/// which it was given up.
pub(super) fn meetings(rings: &[&Ring], tolerance: f64, budget: &mut Budget) -> Result<Vec<Meeting>, Point> {
    /// Places beyond this number and so many for each curve are an outline retraced over and over: a lattice of 1,000
    /// bars across 1,000 others, of 8,000 edges, has four million.
    const MOST: usize = 4_000_000;
    const MOST_EACH: usize = 100;
    let count = rings.iter().map(|ring| ring.curves().len()).sum();
    let mut boxes: Vec<Bounds> = Vec::with_capacity(count);
    let mut place: Vec<(usize, usize)> = Vec::with_capacity(count);
    for (r, ring) in rings.iter().enumerate() {
        boxes.extend_from_slice(ring.boxes());
        place.extend((0..ring.curves().len()).map(|c| (r, c)));
    }
    let most = MOST + MOST_EACH * boxes.len();
    let mut found = Vec::new();
    let mut given_up = None;
    near_pairs(&boxes, tolerance, |i, j| {
        if given_up.is_some() {
            return;
        }
        let (a, b) = (place[i], place[j]);
        let (first, second) = (&rings[a.0].curves()[a.1], &rings[b.0].curves()[b.1]);
        if a.0 == b.0 {
            let contacts = within_ring(rings[a.0], a.1, b.1, tolerance, budget);
            found.extend(contacts.into_iter().map(|(contact, is_slip)| Meeting { a, b, contact, is_slip }));
        } else {
            let contacts = contacts_within(first, second, tolerance, budget);
            found.extend(contacts.into_iter().map(|contact| Meeting { a, b, contact, is_slip: false }));
        }
        if budget.is_spent() || found.len() > most {
            given_up = Some(second.start());
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
    let is_speck = |index: usize| ring.boxes()[index].size() <= tolerance;
    if is_speck(index_a) || is_speck(index_b) {
        return Vec::new();
    }
    let count = ring.curves().len();
    let next = |index: usize| {
        let mut next = (index + 1) % count;
        while next != index && is_speck(next) {
            next = (next + 1) % count;
        }
        next
    };
    let (first, second) = (&ring.curves()[index_a], &ring.curves()[index_b]);
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
        assert!(meetings(&[&ring], 1e-9 * 80.0, &mut budget).is_ok_and(|found| found.is_empty()));
        assert!(!budget.is_spent());
    }

    #[test]
    fn an_outline_retraced_over_and_over_is_given_up() {
        for hair in [1e-7, 3e-9] {
            let ring = laps(60, hair);
            let mut budget = Budget::for_curves(ring.curves().len());
            let near = meetings(&[&ring], 1e-9 * 80.0, &mut budget).expect_err("given up");
            assert!(budget.is_spent() && (near.length() - 40.0).abs() < 1.0, "{near:?}");
            let resolved = resolve(&[ring], &[]);
            assert!(resolved.region.is_none());
            assert!(resolved.findings.iter().any(|f| f.message().contains("so near to each other")));
        }
    }
}
