//! The mesh and the stress function as lines, for pictures.

use std::collections::BTreeMap;

use super::FieldPicture;
use super::element::{ENDS, shape as values_at};
use super::fields::{Fields, STRESS};
use super::mesh::Mesh;
use crate::geometry::Point;

/// Steps between 0 and the largest value of the stress function; a contour line follows each value between them.
const STEPS: usize = 10;

/// Meshes of more triangles are not drawn: their edges could not be told apart.
const MOST_TRIANGLES: usize = 3_000;

/// Triangles are cut into so many pieces along each edge, fewer where there are more than a picture shows.
const PIECES: usize = 6;

/// Small triangles that contour lines are looked for in, at the most as far as each triangle's own pieces let it.
const MOST_SMALL: usize = 60_000;

/// Ends of stretches of contour lines nearer to each other than this share of the size are one.
const ONE_END: f64 = 1e-7;

/// What a picture shows of one part, as it is solved; and the largest value of its stress function.
#[derive(Clone, Debug)]
pub(super) struct Drawn {
    edges: Vec<[Point; 2]>,
    /// The corners of small triangles with the values there.
    small: Vec<[(Point, f64); 3]>,
    triangles: usize,
    largest: f64,
}

impl Drawn {
    pub fn of(mesh: &Mesh, fields: &Fields) -> Drawn {
        let triangles = mesh.triangles.len();
        let mut edges = Vec::new();
        for (t, triangle) in mesh.triangles.iter().enumerate().filter(|_| triangles <= MOST_TRIANGLES) {
            for (edge, beyond) in triangle.beyond.iter().enumerate() {
                // Each edge once.
                if beyond.triangle().is_some_and(|other| (other as usize) < t) {
                    let [s, e] = ENDS[edge].map(|end| triangle.corners[end] as usize);
                    edges.push([mesh.corners[s], mesh.corners[e]]);
                }
            }
        }
        let fitting = |pieces: &usize| triangles * pieces * pieces <= MOST_SMALL;
        let pieces = (1..=PIECES).rev().find(fitting).unwrap_or(1);
        let mut small = Vec::with_capacity(triangles * pieces * pieces);
        let mut largest: f64 = 0.0;
        for (t, values) in fields.values.iter().enumerate() {
            let shape = mesh.shape(t);
            let at = |i: usize, j: usize| {
                let step = |k: usize| k as f64 / pieces as f64;
                let place = [step(pieces - i - j), step(i), step(j)];
                let value = values_at(place).iter().zip(&values[STRESS]).map(|(n, v)| n * v).sum::<f64>();
                (shape.placed(place).point, value)
            };
            for i in 0..pieces {
                for j in 0..pieces - i {
                    let corners = [at(i, j), at(i + 1, j), at(i, j + 1)];
                    largest = corners.iter().fold(largest, |most, corner| most.max(corner.1));
                    small.push(corners);
                    if i + j + 1 < pieces {
                        small.push([at(i + 1, j), at(i + 1, j + 1), at(i, j + 1)]);
                    }
                }
            }
        }
        Drawn { edges, small, triangles, largest }
    }

    /// Stretches of contour lines in which the stress function has the `value`.
    fn stretches(&self, value: f64) -> Vec<[Point; 2]> {
        let mut stretches = Vec::new();
        for corners in &self.small {
            let mut ends = Vec::new();
            for (a, b) in [(0, 1), (1, 2), (2, 0)] {
                let ((p, from), (q, to)) = (corners[a], corners[b]);
                // Half-open, so that a corner of that very value counts once.
                if (from <= value) != (to <= value) {
                    ends.push(p.towards(q, (value - from) / (to - from)));
                }
            }
            if let [a, b] = ends[..] {
                stretches.push([a, b]);
            }
        }
        stretches
    }
}

impl FieldPicture {
    /// Of parts, each with its middle and its size.
    pub(super) fn of<'a>(
        parts: impl Iterator<Item = (&'a Drawn, Point, f64)> + Clone,
    ) -> Option<FieldPicture> {
        let mut picture = FieldPicture::default();
        let largest = parts.clone().map(|(drawn, _, size)| drawn.largest * size * size).fold(0.0, f64::max);
        for (drawn, centre, size) in parts {
            let place = |p: Point| p * size + centre;
            picture.triangles += drawn.triangles;
            picture.edges.extend(drawn.edges.iter().map(|edge| edge.map(place)));
            for step in 1..STEPS {
                let value = largest * step as f64 / STEPS as f64 / (size * size);
                let chains = chained(&drawn.stretches(value));
                picture
                    .contours
                    .extend(chains.into_iter().map(|chain| chain.into_iter().map(place).collect()));
            }
        }
        if picture.triangles > MOST_TRIANGLES {
            picture.edges.clear();
        }
        (picture.triangles > 0).then_some(picture)
    }
}

/// Stretches joined end to end.
fn chained(stretches: &[[Point; 2]]) -> Vec<Vec<Point>> {
    let key = |p: Point| ((p.x / ONE_END).round() as i64, (p.y / ONE_END).round() as i64);
    let mut at: BTreeMap<(i64, i64), Vec<usize>> = BTreeMap::new();
    for (index, stretch) in stretches.iter().enumerate() {
        stretch.iter().for_each(|end| at.entry(key(*end)).or_default().push(index));
    }
    let mut is_used = vec![false; stretches.len()];
    let mut chains = Vec::new();
    // Those that begin at a free end first, then what goes round.
    let has_free_end = |stretch: &[Point; 2]| {
        stretch.iter().any(|end| at.get(&key(*end)).is_none_or(|here| here.len() == 1))
    };
    let (open, round): (Vec<usize>, Vec<usize>) =
        (0..stretches.len()).partition(|index| has_free_end(&stretches[*index]));
    for first in open.into_iter().chain(round) {
        if std::mem::replace(&mut is_used[first], true) {
            continue;
        }
        let [a, b] = stretches[first];
        let mut chain =
            if at.get(&key(b)).is_some_and(|here| here.len() == 1) { vec![b, a] } else { vec![a, b] };
        while let Some(end) = chain.last().copied() {
            let here = at.get(&key(end)).map_or(&[][..], Vec::as_slice);
            let Some(next) = here.iter().copied().find(|next| !is_used[*next]) else { break };
            is_used[next] = true;
            let [a, b] = stretches[next];
            chain.push(if key(a) == key(end) { b } else { a });
        }
        chains.push(chain);
    }
    chains
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stretches_become_chains() {
        let p = |x: f64, y: f64| Point::new(x, y);
        let open = [[p(1.0, 0.0), p(2.0, 0.0)], [p(0.0, 0.0), p(1.0, 0.0)], [p(3.0, 0.0), p(2.0, 0.0)]];
        let chains = chained(&open);
        assert_eq!(chains.len(), 1);
        assert_eq!(chains[0].len(), 4);
        assert!((chains[0][0].x - chains[0][3].x).abs() == 3.0);
        let round = [[p(0.0, 0.0), p(1.0, 0.0)], [p(0.0, 1.0), p(0.0, 0.0)], [p(1.0, 0.0), p(0.0, 1.0)]];
        let chains = chained(&round);
        assert_eq!(chains.len(), 1);
        assert_eq!(chains[0].first(), chains[0].last());
    }
}
