//! From fields to figures, in the mesh's own unit: integrals of the fields, and what each triangle leaves unknown.

use super::element::{EDGE_PLACES, ENDS, FLOW_PLACES, FLOWS, PLACES, Placed, REFERENCE, Sample};
use super::fields::{ALONG_X, ALONG_Y, Fields, STRESS, WARPING};
use super::mesh::{Beyond, Mesh};
use crate::geometry::Point;

/// The figures of one mesh, from its origin and in its unit; moduli are those over the reference.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Figures {
    pub area: f64,
    /// What the mesh covers, whatever it is made of.
    pub covered: f64,
    /// Bounds of the torsion constant of the shape as it is meshed.
    pub lower: f64,
    pub upper: f64,
    /// The integral over the triangles that `upper` − `lower` must equal.
    pub gap: f64,
    /// What the torsion constant can differ by since arches are not the curves themselves.
    pub beside: f64,
    /// ∫x(x² + y²) and ∫y(x² + y²) from the centroid.
    pub third: Point,
    /// From the centroid.
    pub shear_centre: Point,
    pub warping: f64,
    /// Reciprocals of shear areas: along x, along y, and mixed.
    pub shear_x: f64,
    pub shear_y: f64,
    pub shear_xy: f64,
    /// By what share shear areas are too large, as the jumps of the fields tell.
    pub bending: f64,
    /// The largest stress |∇φ| of the torsion problem, halfway between what both fields say, by how much it may be
    /// more there or elsewhere, and where.
    pub stress: f64,
    pub stress_apart: f64,
    pub stress_at: Point,
}

/// What a triangle leaves unknown.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Share {
    /// Its share of the gap between the bounds.
    pub gap: f64,
    /// The larger stress that one of the fields says on its edges along the boundary, and by how much both differ there
    /// from their mean.
    pub stress: f64,
    pub stress_apart: f64,
    /// By how much the fields of bending fail to be smooth across its edges, as a share of the energy of each.
    pub bending: f64,
}

/// An arch that waves about its curve changes the stress on it by this many times its mean distance from the curve over its
/// length: the slope of such waves is 32 times that, and up to twice as much was seen on circles and ellipses.
const WAVES: f64 = 96.0;

/// The figures, and what each triangle leaves unknown.
pub(super) fn figures(mesh: &Mesh, fields: &Fields) -> (Figures, Vec<Share>) {
    let moments = &fields.moments;
    let determinant = moments.determinant();
    let mut figures = Figures { area: moments.area, third: moments.third, ..Figures::default() };
    let mut shares = vec![Share::default(); mesh.triangles.len()];
    let (mut mean, mut by_x, mut by_y, mut square) = (0.0, 0.0, 0.0, 0.0);
    for (t, values) in fields.values.iter().enumerate() {
        let shape = mesh.shape(t);
        let moduli = mesh.moduli(t);
        for sample in shape.samples() {
            let placed = shape.placed(sample.at);
            let weight = sample.weight * placed.stretch;
            let from = placed.point - moments.centroid;
            figures.covered += weight;
            let warping = moduli.elastic * value(sample, &values[WARPING]);
            mean += weight * warping;
            by_x += weight * warping * from.x;
            by_y += weight * warping * from.y;
            let [twisted, stressed] = torsion(sample, &placed, from, values);
            figures.upper += weight * moduli.shear * twisted.dot(twisted);
            figures.lower += weight / moduli.shear * stressed.dot(stressed);
            let apart = twisted * moduli.shear - stressed;
            shares[t].gap += weight / moduli.shear * apart.dot(apart);
            let [d, h] = fields.poisson_terms(from);
            let along_x = gradient(sample, &placed, &values[ALONG_X]) - d;
            let along_y = gradient(sample, &placed, &values[ALONG_Y]) - h;
            figures.shear_x += weight * moduli.shear * along_x.dot(along_x);
            figures.shear_y += weight * moduli.shear * along_y.dot(along_y);
            figures.shear_xy += weight * moduli.shear * along_x.dot(along_y);
        }
        square += moduli.elastic * shape.integral_of_square(&values[WARPING]);
        figures.gap += shares[t].gap;
        for (edge, piece) in mesh.pieces_of(t) {
            let length = {
                let [s, e] = ENDS[edge].map(|c| mesh.corners[mesh.triangles[t].corners[c] as usize]);
                s.distance(e)
            };
            let waves = WAVES * piece.apart / length;
            let strip = strip(mesh, t, edge);
            let is_edge = !mesh.boundary.is_shared(piece);
            let mut beside = 0.0;
            let mut largest: f64 = 0.0;
            for (k, sample) in REFERENCE.edges[edge].iter().enumerate() {
                let placed = shape.placed(sample.at);
                let [twisted, stressed] = torsion(sample, &placed, placed.point - moments.centroid, values);
                let twisted = twisted * moduli.shear;
                let (a, b) = (twisted.length(), stressed.length());
                largest = largest.max(a.max(b));
                if let Some((_, weight)) = EDGE_PLACES.get(k) {
                    // By the square of the stress on it, a strip along the boundary adds to the torsion constant.
                    beside += weight * 0.5 * (a * a + b * b);
                }
                if !is_edge {
                    continue;
                }
                let apart = 0.5 * (twisted - stressed).length() + waves * a.max(b);
                shares[t].stress = shares[t].stress.max(a.max(b));
                shares[t].stress_apart = shares[t].stress_apart.max(apart);
                if 0.5 * (a + b) > figures.stress {
                    figures.stress = 0.5 * (a + b);
                    figures.stress_apart = apart;
                    figures.stress_at = placed.point;
                }
            }
            let allowance = strip
                * length
                * ((beside * piece.beside).abs() + (largest * largest - beside).abs() * piece.apart);
            figures.beside += allowance;
            shares[t].gap += 2.0 * allowance;
        }
    }
    let most = shares.iter().map(|share| share.stress).fold(0.0, f64::max);
    figures.stress_apart = figures.stress_apart.max(most - figures.stress);
    let energy = determinant * (2.0 * (1.0 + fields.poisson));
    let energy = energy * energy;
    figures.shear_x /= energy;
    figures.shear_y /= energy;
    figures.shear_xy /= energy;
    figures.shear_centre = Point::new(
        (moments.xy * by_x - moments.yy * by_y) / determinant,
        (moments.xx * by_x - moments.xy * by_y) / determinant,
    );
    // ∫(ω − mean − s_y·x + s_x·y)², where x and y are from the centroid.
    let Point { x, y } = figures.shear_centre;
    let about = y * y * moments.yy + x * x * moments.xx - 2.0 * x * y * moments.xy;
    figures.warping = (square - mean * mean / moments.area + about - 2.0 * (y * by_x - x * by_y)).max(0.0);
    (figures, shares)
}

/// What a strip along a piece is worth for each square of the stress beside it. Between two bodies it is of one material
/// or of the other: along it both are sheared alike, across it stressed alike, and either body answers for half.
fn strip(mesh: &Mesh, t: usize, edge: usize) -> f64 {
    let own = mesh.moduli(t).shear;
    match mesh.triangles[t].beyond[edge].triangle() {
        None => own.recip(),
        Some(other) => {
            let theirs = mesh.moduli(other as usize).shear;
            0.5 * (own - theirs).abs() * own.min(theirs).recip() / own
        }
    }
}

fn value(sample: &Sample, values: &[f64; PLACES]) -> f64 {
    sample.shape.iter().zip(values).map(|(shape, value)| shape * value).sum()
}

fn gradient(sample: &Sample, placed: &Placed, values: &[f64; PLACES]) -> Point {
    let mut slopes = [0.0; 2];
    for (own, value) in sample.slopes.iter().zip(values) {
        slopes[0] += own[0] * value;
        slopes[1] += own[1] * value;
    }
    placed.gradient(slopes)
}

/// The shear stress of a unit twist by the warping function and by the stress function.
fn torsion(sample: &Sample, placed: &Placed, from: Point, values: &[[f64; PLACES]; 4]) -> [Point; 2] {
    let warping = gradient(sample, placed, &values[WARPING]);
    let stress = gradient(sample, placed, &values[STRESS]);
    [warping + from.quarter_turned(), Point::new(stress.y, -stress.x)]
}

/// What the squares of jumps, summed, are worth as a share of the energy: on meshes of I, box, tube and plates with holes that were
/// made finer again and again, its error was 0.04 to 0.1 times them.
const JUMPS: f64 = 0.12;

/// Adds to each triangle's share how far the flow of the fields of bending jumps across its edges, and crosses the boundary:
/// the square over each edge, times its length.
pub(super) fn add_bending(mesh: &Mesh, fields: &Fields, figures: &mut Figures, shares: &mut [Share]) {
    let energy = fields.moments.determinant() * 2.0 * (1.0 + fields.poisson);
    let [by_x, by_y] = [figures.shear_x, figures.shear_y].map(|shear| (shear * energy * energy).recip());
    // The flow outwards at the places of each edge.
    let flow = |t: usize, edge: usize| -> [[f64; 2]; FLOWS] {
        let shape = mesh.shape(t);
        let [s, e] = ENDS[edge].map(|c| mesh.corners[mesh.triangles[t].corners[c] as usize]);
        let outwards = (s - e).quarter_turned() * s.distance(e).recip();
        let shear = mesh.moduli(t).shear;
        let at = |sample: &Sample| {
            let placed = shape.placed(sample.at);
            let [d, h] = fields.poisson_terms(placed.point - fields.moments.centroid);
            let values = &fields.values[t];
            let along_x = gradient(sample, &placed, &values[ALONG_X]) - d;
            let along_y = gradient(sample, &placed, &values[ALONG_Y]) - h;
            [shear * along_x.dot(outwards), shear * along_y.dot(outwards)]
        };
        let samples = &REFERENCE.flows[edge];
        std::array::from_fn(|k| at(&samples[k]))
    };
    for t in 0..mesh.triangles.len() {
        for (edge, beyond) in mesh.triangles[t].beyond.into_iter().enumerate() {
            let is_curved = |piece: u32| !mesh.boundary.pieces[piece as usize].arch.is_flat();
            let theirs = match beyond {
                // Each edge once, for both.
                Beyond::Triangle(other) | Beyond::Across { other, .. } if (other as usize) < t => continue,
                // The normal of a curved edge is not that of its chord.
                Beyond::Piece(piece) | Beyond::Across { piece, .. } if is_curved(piece) => continue,
                Beyond::Triangle(other) | Beyond::Across { other, .. } => {
                    let back = mesh.triangles[other as usize].beyond.iter().position(|b| b.is_triangle(t));
                    flow(other as usize, back.unwrap_or(0))
                }
                Beyond::Piece(_) => [[0.0; 2]; FLOWS],
            };
            let [s, e] = ENDS[edge].map(|c| mesh.corners[mesh.triangles[t].corners[c] as usize]);
            let length = s.distance(e);
            let mut sum = 0.0;
            for (k, own) in flow(t, edge).into_iter().enumerate() {
                // The neighbour runs along the edge the other way, and its outwards is inwards here.
                let other = theirs[FLOWS - 1 - k];
                let (x, y) = (own[0] + other[0], own[1] + other[1]);
                sum += FLOW_PLACES[k].1 * (x * x * by_x + y * y * by_y);
            }
            let sum = sum * length * length / mesh.moduli(t).shear;
            match beyond.triangle() {
                Some(other) => {
                    // What flows costs less where it is stiffer.
                    let sum = 0.5 * sum * (mesh.moduli(t).shear / mesh.moduli(other as usize).shear).max(1.0);
                    shares[t].bending += sum;
                    shares[other as usize].bending += sum;
                }
                None => shares[t].bending += sum,
            }
        }
    }
    figures.bending = JUMPS * shares.iter().map(|share| share.bending).sum::<f64>();
}
