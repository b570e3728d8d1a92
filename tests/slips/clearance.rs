//! How near the edges of a clean outline come to each other where they do not meet.

use crate::common::shapes::Corner;

use super::exact::{Ring, circle, edges};
use super::stroke::{Place, Side, Stroke, distance};

/// The least distance of nine places along each edge from the edges that have no corner in common with it; infinite
/// where every edge meets every other.
pub fn clearance(rings: &[Ring]) -> f64 {
    let all: Vec<(usize, usize, Corner, Corner)> = rings
        .iter()
        .enumerate()
        .flat_map(|(ring, corners)| edges(corners).enumerate().map(move |(k, (a, b))| (ring, k, a, b)))
        .collect();
    let mut least = f64::INFINITY;
    for &(ring, k, a, b) in &all {
        let places = along(a, b);
        for &(other, j, c, d) in &all {
            let n = rings[ring].len();
            let meet = ring == other && (j == k || (j + 1) % n == k || (k + 1) % n == j);
            if !meet {
                least = places.iter().map(|p| to_edge(*p, c, d)).fold(least, f64::min);
            }
        }
    }
    least
}

fn along(a: Corner, b: Corner) -> Vec<Place> {
    let at = |t: f64| match Stroke::between(a, b) {
        Stroke::Line { from, to } => [from[0] + t * (to[0] - from[0]), from[1] + t * (to[1] - from[1])],
        Stroke::Arc { center, radius, from, to } => {
            Stroke::Arc { center, radius, from: from + t * (to - from), to }.place(Side::Start)
        }
    };
    (0..9).map(|k| at(f64::from(k) / 8.0)).collect()
}

fn to_edge(place: Place, a: Corner, b: Corner) -> f64 {
    let [x, y] = place;
    let to_ends = distance(place, [a[0], a[1]]).min(distance(place, [b[0], b[1]]));
    match circle(a, b) {
        None => {
            let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
            let t = ((x - a[0]) * dx + (y - a[1]) * dy) / (dx * dx + dy * dy);
            distance(place, [a[0] + t.clamp(0.0, 1.0) * dx, a[1] + t.clamp(0.0, 1.0) * dy])
        }
        Some(circle) => {
            let [cx, cy] = circle.center;
            let begin = (a[1] - cy).atan2(a[0] - cx);
            let turn = circle.sweep.signum() * ((y - cy).atan2(x - cx) - begin);
            if turn.rem_euclid(std::f64::consts::TAU) <= circle.sweep.abs() {
                (distance(place, circle.center) - circle.radius).abs()
            } else {
                to_ends
            }
        }
    }
}
