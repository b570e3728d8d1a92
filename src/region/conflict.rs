//! Where rings cross or touch, or cross themselves.

use crate::geometry::near::near_pairs;
use crate::geometry::{Bounds, Contact, Curve, Point, contacts};
use crate::outline::{Origin, Ring};

/// A place where rings cross or touch.
pub(super) struct Conflict {
    pub point: Point,
    pub same_ring: bool,
    pub origin: Origin,
}

/// All places where two rings, or two curves of one ring beside their common joint, meet within the tolerance, from
/// left to right.
pub(super) fn conflicts(rings: &[&Ring], tolerance: f64) -> Vec<Conflict> {
    let mut boxes: Vec<Bounds> = Vec::new();
    let mut place: Vec<(u32, u32)> = Vec::new();
    for (r, ring) in rings.iter().enumerate() {
        boxes.extend_from_slice(ring.boxes());
        place.extend((0..ring.curves().len()).map(|c| (r as u32, c as u32)));
    }
    let mut found: Vec<Conflict> = Vec::new();
    near_pairs(&boxes, tolerance, |i, j| {
        let ((ring_a, index_a), (ring_b, index_b)) = (place[i], place[j]);
        let (a, b) = (rings[ring_a as usize], rings[ring_b as usize]);
        let (first, second) = (&a.curves()[index_a as usize], &b.curves()[index_b as usize]);
        let same_ring = ring_a == ring_b;
        let mut push = |contact: &Contact| {
            found.push(Conflict { point: contact.point, same_ring, origin: b.origin() });
        };
        if !same_ring {
            contacts(first, second, tolerance).iter().for_each(&mut push);
            return;
        }
        let count = a.curves().len() as u32;
        // Which end of the first curve joins which end of the second.
        let is_link = |index: u32| a.boxes()[index as usize].size() <= tolerance;
        if is_link(index_a) || is_link(index_b) {
            return;
        }
        let next = |index: u32| {
            let mut next = (index + 1) % count;
            while next != index && is_link(next) {
                next = (next + 1) % count;
            }
            next
        };
        let mut joints = Vec::with_capacity(2);
        if next(index_a) == index_b {
            joints.push((1.0, 0.0));
        }
        if next(index_b) == index_a {
            joints.push((0.0, 1.0));
        }
        if joints.len() == 1 && meet_at_joint_only(first, second) {
            return;
        }
        let sliver = NEIGHBOUR_SLIVER * a.bounds().size();
        // Around a gap that was closed, and around specks of rounding, a ring may cross itself within that gap.
        let speck = 4.0 * (tolerance + a.gap());
        contacts(first, second, tolerance)
            .iter()
            .filter(|contact| !joints.iter().any(|j| belongs_to_joint(contact, *j, first, second, sliver)))
            .filter(|contact| {
                let (from, to) = (index_a as usize, index_b as usize);
                way_along(a, (from, contact.a), (to, contact.b), speck) > speck
                    && way_along(a, (to, contact.b), (from, contact.a), speck) > speck
            })
            .for_each(&mut push);
    });
    found.sort_by(|p, q| p.point.x.total_cmp(&q.point.x).then(p.point.y.total_cmp(&q.point.y)));
    found.dedup_by(|p, q| p.point.distance(q.point) <= 2.0 * tolerance);
    found
}

/// Neighbours that leave their joint almost tangentially, with coordinates rounded in the drawing, may cross again
/// a hair beside it. While they keep within this share of the ring's size of each other that loop is a sliver whose
/// area lies below 1e-9 of the ring's.
const NEIGHBOUR_SLIVER: f64 = 1e-6;

/// Two lines that are not parallel have one point in common.
fn meet_at_joint_only(a: &Curve, b: &Curve) -> bool {
    match (a, b) {
        (Curve::Line(a), Curve::Line(b)) => {
            let (along, next) = (a.end - a.start, b.end - b.start);
            along.cross(next) != 0.0 || along.dot(next) > 0.0
        }
        _ => false,
    }
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
