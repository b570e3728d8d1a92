//! Triangles with cubic fields: shape functions, quadrature, and the map from the reference triangle, whose edges along
//! the boundary are cubic arches over their chords.

use std::sync::LazyLock;

use crate::geometry::Point;

/// Places of a cubic triangle: three corners, two on each edge, one in the middle.
///
/// Edge i lies opposite corner i and runs from corner i + 1 to corner i + 2; its places are 3 + 2i, the one near its
/// start, and 4 + 2i.
pub(super) const PLACES: usize = 10;
/// The place in the middle, which no other triangle knows.
pub(super) const MIDDLE: usize = 9;
/// The places that are shared with others.
pub(super) const SHARED: usize = 9;

/// The corners at the start and the end of each edge.
pub(super) const ENDS: [[usize; 2]; 3] = [[1, 2], [2, 0], [0, 1]];

/// The values of the ten shape functions at barycentric coordinates `at`.
pub(super) fn shape(at: [f64; 3]) -> [f64; PLACES] {
    let mut values = [0.0; PLACES];
    for (corner, l) in at.into_iter().enumerate() {
        values[corner] = 0.5 * l * (3.0 * l - 1.0) * (3.0 * l - 2.0);
    }
    for (edge, [s, e]) in ENDS.into_iter().enumerate() {
        let product = 4.5 * at[s] * at[e];
        values[3 + 2 * edge] = product * (3.0 * at[s] - 1.0);
        values[4 + 2 * edge] = product * (3.0 * at[e] - 1.0);
    }
    values[MIDDLE] = 27.0 * at[0] * at[1] * at[2];
    values
}

/// Their derivatives by the second and the third barycentric coordinate, the first being 1 less these two.
pub(super) fn slopes(at: [f64; 3]) -> [[f64; 2]; PLACES] {
    let mut by = [[0.0; 3]; PLACES];
    for (corner, l) in at.into_iter().enumerate() {
        by[corner][corner] = 0.5 * (27.0 * l * l - 18.0 * l + 2.0);
    }
    for (edge, [s, e]) in ENDS.into_iter().enumerate() {
        by[3 + 2 * edge][s] = 4.5 * at[e] * (6.0 * at[s] - 1.0);
        by[3 + 2 * edge][e] = 4.5 * at[s] * (3.0 * at[s] - 1.0);
        by[4 + 2 * edge][e] = 4.5 * at[s] * (6.0 * at[e] - 1.0);
        by[4 + 2 * edge][s] = 4.5 * at[e] * (3.0 * at[e] - 1.0);
    }
    by[MIDDLE] = [27.0 * at[1] * at[2], 27.0 * at[0] * at[2], 27.0 * at[0] * at[1]];
    by.map(|[a, b, c]| [b - a, c - a])
}

/// A place in the reference triangle with what the shape functions are there.
#[derive(Clone, Debug)]
pub(super) struct Sample {
    /// Barycentric coordinates.
    pub at: [f64; 3],
    /// Its share of the reference triangle's area, ½.
    pub weight: f64,
    pub shape: [f64; PLACES],
    pub slopes: [[f64; 2]; PLACES],
}

impl Sample {
    pub fn at(at: [f64; 3], weight: f64) -> Sample {
        Sample { at, weight, shape: shape(at), slopes: slopes(at) }
    }
}

/// Places and weights of Gauss and Legendre on [0, 1].
pub(super) fn gauss(count: usize) -> Vec<(f64, f64)> {
    let n = count as f64;
    (0..count)
        .map(|k| {
            // Newton's steps from Tricomi's estimate of the zeros of the Legendre polynomial.
            let mut x = (std::f64::consts::PI * (k as f64 + 0.75) / (n + 0.5)).cos();
            let mut slope = 1.0;
            for _ in 0..20 {
                let (mut before, mut value) = (1.0, x);
                for j in 2..=count {
                    let j = j as f64;
                    (before, value) = (value, ((2.0 * j - 1.0) * x * value - (j - 1.0) * before) / j);
                }
                slope = n * (x * value - before) / (x * x - 1.0);
                x -= value / slope;
            }
            (0.5 * (1.0 - x), 1.0 / ((1.0 - x * x) * slope * slope))
        })
        .collect()
}

/// Products of Gauss places, squeezed into the triangle: exact for polynomials up to the degree 2·count − 2.
fn squeezed(count: usize) -> Vec<Sample> {
    let line = gauss(count);
    let mut samples = Vec::with_capacity(count * count);
    for (u, wu) in &line {
        for (v, wv) in &line {
            samples.push(Sample::at([1.0 - u, u * (1.0 - v), u * v], wu * wv * u));
        }
    }
    samples
}

/// Six places, exact for polynomials up to the degree 4: squares of gradients of cubic fields are of that degree (Dunavant,
/// High degree efficient symmetrical Gaussian quadrature rules for the triangle, 1985).
fn six() -> Vec<Sample> {
    /// For three places each: two of the barycentric coordinates, and the weight as a share of the triangle.
    const ORBITS: [(f64, f64); 2] = [
        (0.445_948_490_915_964_9, 0.223_381_589_678_011_47),
        (0.091_576_213_509_770_74, 0.109_951_743_655_321_87),
    ];
    let places = |(a, weight): (f64, f64)| {
        let rest = 1.0 - 2.0 * a;
        [[rest, a, a], [a, rest, a], [a, a, rest]].map(|at| Sample::at(at, 0.5 * weight))
    };
    ORBITS.into_iter().flat_map(places).collect()
}

/// What all triangles share.
#[derive(Debug)]
pub(super) struct Reference {
    /// For triangles with straight edges: exact for squares of gradients.
    straight: Vec<Sample>,
    /// ∫NᵢNⱼ.
    mass: [[f64; PLACES]; PLACES],
    /// For others, whose integrands are no polynomials.
    curved: Vec<Sample>,
    /// ∫∇N∇N by the two reference directions: both along the first, mixed, both along the second.
    stiffness: [[[f64; PLACES]; PLACES]; 3],
    /// Along each edge: places for the largest stress.
    pub edges: [Vec<Sample>; 3],
    /// Along each edge: places for squares of flows across it.
    pub flows: [Vec<Sample>; 3],
}

/// Places along an edge for integrals.
pub(super) const ALONG: usize = 6;

/// These places as shares of the edge, and their weights. The stress is looked at there too.
pub(super) static EDGE_PLACES: LazyLock<Vec<(f64, f64)>> = LazyLock::new(|| gauss(ALONG));

/// The same for squares of flows across straight edges, which are of the degree 4.
pub(super) const FLOWS: usize = 3;
pub(super) static FLOW_PLACES: LazyLock<Vec<(f64, f64)>> = LazyLock::new(|| gauss(FLOWS));

/// Computed once.
pub(super) static REFERENCE: LazyLock<Reference> = LazyLock::new(|| {
    let straight = six();
    let (mut stiffness, mut mass) = ([[[0.0; PLACES]; PLACES]; 3], [[0.0; PLACES]; PLACES]);
    for sample in squeezed(4) {
        let Sample { weight, shape, slopes, .. } = sample;
        for (i, a) in slopes.iter().enumerate() {
            for (j, b) in slopes.iter().enumerate() {
                let terms = [a[0] * b[0], a[0] * b[1] + a[1] * b[0], a[1] * b[1]];
                stiffness.iter_mut().zip(terms).for_each(|(sum, term)| sum[i][j] += weight * term);
                mass[i][j] += weight * shape[i] * shape[j];
            }
        }
    }
    let along = |[s, e]: [usize; 2], part: f64| {
        let mut at = [0.0; 3];
        (at[s], at[e]) = (1.0 - part, part);
        Sample::at(at, 0.0)
    };
    let edges = ENDS.map(|ends| {
        let places = EDGE_PLACES.iter().map(|(part, _)| *part).chain([0.0, 0.5, 1.0]);
        places.map(|part| along(ends, part)).collect()
    });
    let flows = ENDS.map(|ends| FLOW_PLACES.iter().map(|(part, _)| along(ends, *part)).collect());
    Reference { straight, mass, curved: squeezed(6), stiffness, edges, flows }
});

/// An edge as an arch over its chord: s(1 − s)(start·(1 − s) + end·s) above it at the part s of the way.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Arch {
    pub start: f64,
    pub end: f64,
}

impl Arch {
    /// How high it is at the part `s` of the way.
    pub fn height(self, s: f64) -> f64 {
        s * (1.0 - s) * (self.start * (1.0 - s) + self.end * s)
    }

    /// The same seen from the other side, where the edge runs the other way.
    pub fn reversed(self) -> Arch {
        Arch { start: -self.end, end: -self.start }
    }

    pub fn is_flat(self) -> bool {
        self == Arch::default()
    }
}

/// A triangle as it lies on the page.
#[derive(Clone, Debug)]
pub(super) struct Shape {
    corners: [Point; 3],
    /// For each edge its arch, to the left of the way from its start to its end, which is inwards.
    arches: [Arch; 3],
    /// Unit vectors at right angles to the chords, to the left.
    normals: [Point; 3],
    is_curved: bool,
}

/// What the map is at one place: where it leads, and how reference directions come to lie.
#[derive(Clone, Copy, Debug)]
pub(super) struct Placed {
    pub point: Point,
    /// The gradients of both reference coordinates.
    by: [Point; 2],
    /// Twice the area by which a piece of the reference triangle is multiplied, over its own area.
    pub stretch: f64,
}

impl Placed {
    /// The gradient on the page of what has these slopes in the reference triangle.
    pub fn gradient(&self, slopes: [f64; 2]) -> Point {
        self.by[0] * slopes[0] + self.by[1] * slopes[1]
    }
}

impl Shape {
    pub fn new(corners: [Point; 3], arches: [Arch; 3]) -> Shape {
        let is_curved = arches.iter().any(|arch| !arch.is_flat());
        let normal = |[s, e]: [usize; 2]| {
            let chord = corners[e] - corners[s];
            chord.quarter_turned() * chord.length().recip()
        };
        // Of straight edges they are not asked for.
        let normals = if is_curved { ENDS.map(normal) } else { [Point::ORIGIN; 3] };
        Shape { corners, arches, normals, is_curved }
    }

    /// Where the places for integrals are.
    pub fn samples(&self) -> &'static [Sample] {
        if self.is_curved { &REFERENCE.curved } else { &REFERENCE.straight }
    }

    /// The map at barycentric coordinates.
    #[inline]
    pub fn placed(&self, at: [f64; 3]) -> Placed {
        let [a, b, c] = self.corners;
        let (mut first, mut second) = (b - a, c - a);
        let mut point = a + first * at[1] + second * at[2];
        if self.is_curved {
            for (edge, arch) in self.arches.iter().enumerate().filter(|(_, arch)| !arch.is_flat()) {
                let [s, e] = ENDS[edge];
                let (p, q) = (at[s], at[e]);
                let rise = arch.start * p + arch.end * q;
                let mut by = [0.0; 3];
                by[s] = q * rise + p * q * arch.start;
                by[e] = p * rise + p * q * arch.end;
                let normal = self.normals[edge];
                point += normal * (p * q * rise);
                first += normal * (by[1] - by[0]);
                second += normal * (by[2] - by[0]);
            }
        }
        let stretch = first.cross(second);
        let inverse = stretch.recip();
        let by = [Point::new(second.y, -second.x) * inverse, Point::new(-first.y, first.x) * inverse];
        Placed { point, by, stretch }
    }

    /// No part of the triangle is turned inside out, nor nearly so.
    pub fn is_sound(&self) -> bool {
        /// How much of the area of the straight triangle must be left everywhere.
        const LEFT: f64 = 0.05;
        let [a, b, c] = self.corners;
        let straight = (b - a).cross(c - a);
        if !(straight > 0.0 && straight.is_finite()) {
            return false;
        }
        if !self.is_curved {
            return true;
        }
        // No arch bends a side of the reference triangle by more than two and a half times its larger height: where that is
        // little, nothing needs looking at.
        let bend: f64 = self.arches.iter().map(|arch| 2.5 * arch.start.abs().max(arch.end.abs())).sum();
        if straight - bend * ((b - a).length() + (c - a).length() + bend) > LEFT * straight {
            return true;
        }
        let corners = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
        let reference = &REFERENCE;
        let places = reference.curved.iter().chain(reference.edges.iter().flatten()).map(|sample| sample.at);
        places.chain(corners).all(|at| self.placed(at).stretch > LEFT * straight)
    }

    /// ∫∇Nᵢ·∇Nⱼ.
    pub fn stiffness(&self) -> [[f64; PLACES]; PLACES] {
        let mut sum = [[0.0; PLACES]; PLACES];
        if self.is_curved {
            for sample in self.samples() {
                let placed = self.placed(sample.at);
                let weight = sample.weight * placed.stretch;
                // By coordinates, and whole rows, which takes less than half the time that half the rows take.
                let (mut x, mut y) = ([0.0; PLACES], [0.0; PLACES]);
                for (place, slopes) in sample.slopes.iter().enumerate() {
                    Point { x: x[place], y: y[place] } = placed.gradient(*slopes);
                }
                for (i, row) in sum.iter_mut().enumerate() {
                    let (a, b) = (weight * x[i], weight * y[i]);
                    (0..PLACES).for_each(|j| row[j] += a * x[j] + b * y[j]);
                }
            }
            return sum;
        }
        let Placed { by: [p, q], stretch, .. } = self.placed([1.0, 0.0, 0.0]);
        let [both_first, mixed, both_second] = [p.dot(p), p.dot(q), q.dot(q)].map(|v| v * stretch);
        let [a, b, c] = &REFERENCE.stiffness;
        for (i, row) in sum.iter_mut().enumerate() {
            for (j, value) in row.iter_mut().enumerate() {
                *value = both_first * a[i][j] + mixed * b[i][j] + both_second * c[i][j];
            }
        }
        sum
    }

    /// The integral of the square of what has these values.
    pub fn integral_of_square(&self, values: &[f64; PLACES]) -> f64 {
        let product = |row: &[f64; PLACES]| row.iter().zip(values).map(|(a, b)| a * b).sum::<f64>();
        if self.is_curved {
            let part = |sample: &Sample| {
                sample.weight * self.placed(sample.at).stretch * product(&sample.shape).powi(2)
            };
            return self.samples().iter().map(part).sum();
        }
        let stretch = self.placed([1.0, 0.0, 0.0]).stretch;
        stretch * REFERENCE.mass.iter().zip(values).map(|(row, value)| value * product(row)).sum::<f64>()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shape_functions_are_one_at_their_place_and_nought_at_the_others() {
        let mut places = vec![[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
        for [s, e] in ENDS {
            for part in [1.0 / 3.0, 2.0 / 3.0] {
                let mut at = [0.0; 3];
                (at[s], at[e]) = (1.0 - part, part);
                places.push(at);
            }
        }
        places.push([1.0 / 3.0; 3]);
        for (k, at) in places.iter().enumerate() {
            for (j, value) in shape(*at).into_iter().enumerate() {
                assert!((value - f64::from(u8::from(j == k))).abs() < 1e-14, "{j} at {k}: {value}");
            }
        }
    }

    #[test]
    fn slopes_are_those_of_the_shape_functions() {
        let (at, step) = ([0.2, 0.5, 0.3], 1e-6);
        let given = slopes(at);
        for (direction, change) in [[-1.0, 1.0, 0.0], [-1.0, 0.0, 1.0]].into_iter().enumerate() {
            let moved = |sign: f64| shape([0, 1, 2].map(|k| at[k] + sign * step * change[k]));
            let (after, before) = (moved(1.0), moved(-1.0));
            for k in 0..PLACES {
                let difference = (after[k] - before[k]) / (2.0 * step);
                assert!((difference - given[k][direction]).abs() < 1e-8);
            }
        }
    }

    #[test]
    fn quadrature_is_exact_to_its_degree() {
        // ∫ b⁴c⁶ over the reference triangle is 4!·6!/12!.
        let sum: f64 = REFERENCE.curved.iter().map(|s| s.weight * s.at[1].powi(4) * s.at[2].powi(6)).sum();
        let exact = 24.0 * 720.0 / 479_001_600.0;
        assert!((sum / exact - 1.0).abs() < 1e-12, "{sum} {exact}");
        // ∫ b²c² is 2!·2!/6!, ∫ a b³ is 3!/6!.
        for (powers, exact) in [([0, 2, 2], 4.0 / 720.0), ([1, 3, 0], 6.0 / 720.0), ([4, 0, 0], 24.0 / 720.0)]
        {
            let term = |s: &Sample| s.weight * (0..3).map(|k| s.at[k].powi(powers[k])).product::<f64>();
            let sum: f64 = REFERENCE.straight.iter().map(term).sum();
            assert!((sum / exact - 1.0_f64).abs() < 1e-14, "{powers:?}: {sum} {exact}");
        }
    }
}
