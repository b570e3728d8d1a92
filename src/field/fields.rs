//! The fields over one mesh: the warping function, the stress function, and the two fields of bending with shear.
//!
//! With x and y from the centroid, Ixx = ∫y², Iyy = ∫x², Ixy = ∫xy, and K = ∫∇N·∇N:
//!
//! - warping ω: Kω = ∫(y N,x − x N,y), held at one place of each body;
//! - stress function φ: Kφ = ∫2N, 0 along the edge, one value along each hole, whose load is twice the hole's area;
//! - bending along x, Ψ, and along y, Φ, for a Poisson ratio ν:
//!   KΨ = ∫(ν/2)∇N·d + 2(1 + ν)N(Ixx x − Ixy y), KΦ = ∫(ν/2)∇N·h + 2(1 + ν)N(Iyy y − Ixy x), with r = x² − y², q = 2xy,
//!   d = (Ixx r − Ixy q, Ixy r + Ixx q), h = (−Ixy r + Iyy q, −Iyy r − Ixy q)
//!   (Pilkey, Analysis and Design of Elastic Beams, 2002).
//!
//! Where there are several materials, with the elastic modulus e and the shear modulus g over those of the reference: x and y are
//! from the centroid of e, and Ixx, Iyy and Ixy are of e; Kω = ∫g(y N,x − x N,y) and KΨ, KΦ with K = ∫g∇N·∇N, g before d and h, and
//! e before x and y: bending stresses are as the elastic modulus, and what keeps them in balance flows as the shear modulus lets
//! it. The stress function has K = ∫∇N·∇N/g.

use super::dissection::Dissection;
use super::element::{ENDS, MIDDLE, PLACES, SHARED};
use super::mesh::{Beyond, Mesh};
use super::solver::{Factors, HELD, NotDefinite, Pieces};
use crate::geometry::Point;

/// The fields in the order in which their values stand.
pub(super) const WARPING: usize = 0;
pub(super) const ALONG_X: usize = 1;
pub(super) const ALONG_Y: usize = 2;
pub(super) const STRESS: usize = 3;
const FIELDS: usize = 4;

/// Integrals over the meshed shape, from its own centroid but for the first two, of the elastic modulus over that of the
/// reference.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Moments {
    pub area: f64,
    pub centroid: Point,
    /// ∫y², ∫x², ∫xy.
    pub xx: f64,
    pub yy: f64,
    pub xy: f64,
    /// ∫x(x² + y²), ∫y(x² + y²).
    pub third: Point,
}

impl Moments {
    fn of(mesh: &Mesh) -> Moments {
        let shapes: Vec<_> =
            (0..mesh.triangles.len()).map(|t| (mesh.shape(t), mesh.moduli(t).elastic)).collect();
        let about = |origin: Point| {
            let mut sums = [0.0; 8];
            for (shape, elastic) in &shapes {
                for sample in shape.samples() {
                    let placed = shape.placed(sample.at);
                    let weight = sample.weight * placed.stretch * *elastic;
                    let Point { x, y } = placed.point - origin;
                    let square = x * x + y * y;
                    let terms = [1.0, x, y, y * y, x * x, x * y, x * square, y * square];
                    sums.iter_mut().zip(terms).for_each(|(sum, term)| *sum += weight * term);
                }
            }
            sums
        };
        // The centroid first: it is not known yet.
        let mut first = [0.0; 3];
        for (shape, elastic) in &shapes {
            for sample in shape.samples() {
                let placed = shape.placed(sample.at);
                let weight = sample.weight * placed.stretch * *elastic;
                first[0] += weight;
                first[1] += weight * placed.point.x;
                first[2] += weight * placed.point.y;
            }
        }
        let [area, x, y] = first;
        let centroid = Point::new(x / area, y / area);
        let [area, _, _, xx, yy, xy, by_x, by_y] = about(centroid);
        Moments { area, centroid, xx, yy, xy, third: Point::new(by_x, by_y) }
    }

    /// Ixx·Iyy − Ixy².
    pub fn determinant(&self) -> f64 {
        self.xx * self.yy - self.xy * self.xy
    }
}

/// The solved fields.
#[derive(Debug)]
pub(super) struct Fields {
    pub moments: Moments,
    /// For each triangle the values of each field at its places.
    pub values: Vec<[[f64; PLACES]; FIELDS]>,
    pub poisson: f64,
    pub unknowns: usize,
}

/// A triangle's equations without the place in its middle.
struct Condensed {
    matrix: [[f64; SHARED]; SHARED],
    /// The middle's row, over its diagonal.
    middle: [f64; SHARED],
    /// Its loads, over its diagonal.
    loads: [f64; FIELDS],
    /// What its matrix counts: the shear modulus over that of the reference.
    shear: f64,
}

/// The equations of all triangles with one list of unknowns.
struct Equations<'a> {
    condensed: &'a [Condensed],
    unknowns: &'a [[u32; SHARED]],
    /// For each number of a place the unknown that it is.
    unknown_of: Vec<u32>,
    /// The equations are those of the stress function, for which softer is more.
    is_stress: bool,
}

impl Pieces<SHARED> for Equations<'_> {
    fn unknowns(&self, t: usize) -> [u32; SHARED] {
        self.unknowns[t].map(|number| self.unknown_of[number as usize])
    }

    fn matrix(&self, t: usize) -> &[[f64; SHARED]; SHARED] {
        &self.condensed[t].matrix
    }

    fn scale(&self, t: usize) -> f64 {
        let shear = self.condensed[t].shear;
        if self.is_stress { shear.recip() } else { shear }
    }
}

impl Fields {
    /// Solves all fields of a mesh; those of bending only where it is of one body.
    pub fn of(mesh: &Mesh, poisson: f64) -> Result<Fields, NotDefinite> {
        let moments = Moments::of(mesh);
        let (places, count) = number(mesh);
        let mut condensed = Vec::with_capacity(mesh.triangles.len());
        let mut sides = vec![[0.0; 3]; count];
        let mut stress_loads = vec![0.0; count];
        for (t, places) in places.iter().enumerate() {
            let (piece, loads) = condense(mesh, t, &moments, poisson);
            condensed.push(piece);
            for (place, number) in places.iter().enumerate() {
                let side = &mut sides[*number as usize];
                (0..3).for_each(|field| side[field] += loads[place][field]);
                stress_loads[*number as usize] += loads[place][STRESS];
            }
        }
        let dissection = Dissection::of(&mesh.centres(), &mesh.neighbours(HELD));
        let mut equations = Equations {
            condensed: &condensed,
            unknowns: &places,
            unknown_of: (0..count as u32).collect(),
            is_stress: false,
        };

        // A body's warping is known but for a constant.
        let mut is_held = vec![false; mesh.bodies];
        for (places, body) in places.iter().zip(mesh.body_of()) {
            if !std::mem::replace(&mut is_held[body as usize], true) {
                equations.unknown_of[places[0] as usize] = HELD;
                sides[places[0] as usize] = [0.0; 3];
            }
        }
        let factors = Factors::of(&dissection, count, &equations)?;
        factors.solve(&mut sides);
        drop(factors);

        equations.unknown_of = (0..count as u32).collect();
        equations.is_stress = true;
        let unknowns = count + mesh.boundary.rings;
        for (places, triangle) in places.iter().zip(&mesh.triangles) {
            for (edge, beyond) in triangle.beyond.iter().enumerate() {
                let Beyond::Piece(piece) = beyond else { continue };
                let piece = &mesh.boundary.pieces[*piece as usize];
                let ring = mesh.joined[mesh.boundary.ring_of[piece.curve as usize] as usize];
                let unknown = if ring == 0 { HELD } else { count as u32 + ring };
                let [s, e] = ENDS[edge];
                for place in [s, e, 3 + 2 * edge, 4 + 2 * edge] {
                    equations.unknown_of[places[place] as usize] = unknown;
                }
            }
        }
        let mut stress = vec![[0.0]; unknowns];
        for (load, unknown) in stress_loads.iter().zip(&equations.unknown_of) {
            if *unknown != HELD {
                stress[*unknown as usize][0] += load;
            }
        }
        for (ring, area) in enclosed(mesh).into_iter().enumerate().skip(1) {
            let joined = mesh.joined[ring];
            if joined != 0 {
                stress[count + joined as usize][0] += 2.0 * area;
            }
        }
        Factors::of(&dissection, unknowns, &equations)?.solve(&mut stress);

        let value_of = |number: u32| match equations.unknown_of[number as usize] {
            HELD => 0.0,
            unknown => stress[unknown as usize][0],
        };
        let values = places.iter().zip(&condensed).map(|(places, piece)| {
            let mut values = [[0.0; PLACES]; FIELDS];
            for (place, number) in places.iter().enumerate() {
                (0..3).for_each(|field| values[field][place] = sides[*number as usize][field]);
                values[STRESS][place] = value_of(*number);
            }
            for (field, values) in values.iter_mut().enumerate() {
                let known: f64 =
                    piece.middle.iter().zip(&*values).map(|(factor, value)| factor * value).sum();
                values[MIDDLE] = piece.loads[field] - known;
            }
            values
        });
        Ok(Fields { moments, values: values.collect(), poisson, unknowns: count + mesh.triangles.len() })
    }

    /// Vectors whose shear flow is to be subtracted from the gradients of Ψ and Φ: (ν/2)d and (ν/2)h.
    pub fn poisson_terms(&self, Point { x, y }: Point) -> [Point; 2] {
        poisson_terms(&self.moments, self.poisson, x, y)
    }
}

fn poisson_terms(moments: &Moments, poisson: f64, x: f64, y: f64) -> [Point; 2] {
    let (r, q) = (x * x - y * y, 2.0 * x * y);
    let Moments { xx, yy, xy, .. } = moments;
    let half = 0.5 * poisson;
    [
        Point::new(xx * r - xy * q, xy * r + xx * q) * half,
        Point::new(-xy * r + yy * q, -yy * r - xy * q) * half,
    ]
}

/// The shared places of each triangle by number, and how many numbers there are.
fn number(mesh: &Mesh) -> (Vec<[u32; SHARED]>, usize) {
    let mut next = mesh.corners.len() as u32;
    let mut places = vec![[0; SHARED]; mesh.triangles.len()];
    for (t, triangle) in mesh.triangles.iter().enumerate() {
        places[t][..3].copy_from_slice(&triangle.corners);
        for (edge, beyond) in triangle.beyond.iter().enumerate() {
            match beyond {
                // The neighbour runs along the edge the other way.
                Beyond::Triangle(other) | Beyond::Across { other, .. } if (*other as usize) < t => {
                    let theirs = mesh.triangles[*other as usize].beyond.iter().position(|b| b.is_triangle(t));
                    let theirs = theirs.unwrap_or(0);
                    places[t][3 + 2 * edge] = places[*other as usize][4 + 2 * theirs];
                    places[t][4 + 2 * edge] = places[*other as usize][3 + 2 * theirs];
                }
                _ => {
                    places[t][3 + 2 * edge] = next;
                    places[t][4 + 2 * edge] = next + 1;
                    next += 2;
                }
            }
        }
    }
    (places, next as usize)
}

/// A triangle's equations and loads, with its middle eliminated.
fn condense(mesh: &Mesh, t: usize, moments: &Moments, poisson: f64) -> (Condensed, [[f64; FIELDS]; SHARED]) {
    let shape = mesh.shape(t);
    let full = shape.stiffness();
    let mut loads = [[0.0; FIELDS]; PLACES];
    let shear = if mesh.bodies == 1 { 2.0 * (1.0 + poisson) } else { 0.0 };
    let poisson = if mesh.bodies == 1 { poisson } else { 0.0 };
    let moduli = mesh.moduli(t);
    for sample in shape.samples() {
        let placed = shape.placed(sample.at);
        let weight = sample.weight * placed.stretch;
        let Point { x, y } = placed.point - moments.centroid;
        let [d, h] = poisson_terms(moments, poisson, x, y);
        let along_x = shear * moduli.elastic * (moments.xx * x - moments.xy * y);
        let along_y = shear * moduli.elastic * (moments.yy * y - moments.xy * x);
        for (place, load) in loads.iter_mut().enumerate() {
            let (value, gradient) = (sample.shape[place], placed.gradient(sample.slopes[place]));
            load[WARPING] += weight * moduli.shear * (y * gradient.x - x * gradient.y);
            load[STRESS] += weight * 2.0 * value;
            load[ALONG_X] += weight * (moduli.shear * gradient.dot(d) + value * along_x);
            load[ALONG_Y] += weight * (moduli.shear * gradient.dot(h) + value * along_y);
        }
    }
    let diagonal = full[MIDDLE][MIDDLE];
    let mut middle = [0.0; SHARED];
    middle.copy_from_slice(&full[MIDDLE][..SHARED]);
    middle.iter_mut().for_each(|factor| *factor /= diagonal);
    let own = loads[MIDDLE];
    let mut matrix = [[0.0; SHARED]; SHARED];
    let mut shared = [[0.0; FIELDS]; SHARED];
    for i in 0..SHARED {
        for j in 0..=i {
            matrix[i][j] = full[i][j] - full[MIDDLE][i] * middle[j];
        }
        for field in 0..FIELDS {
            shared[i][field] = loads[i][field] - middle[i] * own[field];
        }
    }
    let mut loads = own.map(|load| load / (diagonal * moduli.shear));
    loads[STRESS] = own[STRESS] / (diagonal / moduli.shear);
    (Condensed { matrix, middle, loads, shear: moduli.shear }, shared)
}

/// The area that the mesh leaves free within each ring; the edge's own is that of what it encloses.
fn enclosed(mesh: &Mesh) -> Vec<f64> {
    let mut areas = vec![0.0; mesh.boundary.rings];
    for triangle in &mesh.triangles {
        for (edge, beyond) in triangle.beyond.iter().enumerate() {
            let Beyond::Piece(piece) = beyond else { continue };
            let piece = &mesh.boundary.pieces[*piece as usize];
            let [start, end] = ENDS[edge].map(|c| mesh.corners[triangle.corners[c] as usize]);
            // An arch over a chord of the length l holds l·(start + end)/12 to the left of the chord.
            let under = start.distance(end) * (piece.arch.start + piece.arch.end) / 12.0;
            let ring = mesh.boundary.ring_of[piece.curve as usize] as usize;
            let sign = if ring == 0 { 1.0 } else { -1.0 };
            areas[ring] += sign * (0.5 * start.cross(end) - under);
        }
    }
    areas
}
