//! Meshes made finer until the bounds of the torsion constant are as near to each other as is wanted.

use std::collections::{BTreeMap, BTreeSet};

use super::corners::{Reentrant, reentrant};
use super::drawn::Drawn;
use super::fields::Fields;
use super::figures::{Figures, Share, add_bending, figures};
use super::mesh::{Mesh, Triangle};
use super::{FieldOptions, MeshTrouble, Trouble};

/// Meshes in a row at the most.
const ROUNDS: usize = 24;

/// The triangles that carry this share of what is unknown are halved.
const CARRIED: f64 = 0.7;

/// The same for bending at the most, and at the least: no more than brings it to where it is settled.
const CARRIED_BENDING: f64 = 0.9;
const LEAST_CARRIED_BENDING: f64 = 0.3;

/// Triangles that a mesh has in the end, at the least, where it is told how much of the whole each may leave unknown.
const FEWEST: usize = 60;

/// Figures are compared with those of a mesh that has less than this share of the triangles.
const COARSER: f64 = 0.7;

/// Figures of bending that change by less than so many tolerances from a coarser mesh are settled.
const SETTLED: f64 = 3.0;

/// The same for what jumps between triangles tell, which is some five times as much as figures change.
const SETTLED_JUMPS: f64 = 7.0;

/// Meshes of more triangles are not made finer for the largest stress alone.
const LARGE: usize = 4_000;

/// Further meshes at the most for the largest stress, which is known less well than what is integrated.
const ROUNDS_FOR_STRESS: usize = 6;

/// How well the largest stress is to be known: so many times as badly as the torsion constant, but no worse than this share.
const STRESS: f64 = 10.0;
const STRESS_AT_WORST: f64 = 0.02;

/// From one mesh to the next it may change so many times as much where both fields agree on it.
const STRESS_CHANGE: f64 = 3.0;

/// Where triangles are halved for it, this share of how badly it may be known is to be left: what two halvings leave is often
/// more than the third power of the size tells.
const STRESS_LEFT: f64 = 0.25;

/// Halvings in one round of what does not know the largest stress well.
const MOST_LEVELS_FOR_STRESS: f64 = 4.0;

/// Halvings in one round of what lies at a re-entrant corner.
const MOST_LEVELS: f64 = 6.0;

/// What is known of one part in the end.
#[derive(Debug)]
pub(super) struct Solved {
    pub figures: Figures,
    /// Those of the last mesh that was a good deal coarser.
    pub before: Figures,
    /// Those of the mesh before, coarser or not.
    pub last: Figures,
    pub bodies: usize,
    /// What the tips that were cut off may add to the torsion constant.
    pub tips: f64,
    pub corners: Vec<Reentrant>,
    pub unknowns: usize,
    /// The bounds are as near to each other as wanted.
    pub is_reached: bool,
    /// It has materials of different shear moduli.
    pub is_mixed: bool,
    /// What pictures show of the last mesh, where that is asked for.
    pub drawn: Option<Drawn>,
}

/// Solves what `mesh` fills and makes it finer until the bounds differ by no more than `tolerance` of their
/// mean and the other figures by no more than that from one mesh to the next.
pub(super) fn solve(mut mesh: Mesh, options: &FieldOptions) -> Result<Solved, MeshTrouble> {
    let FieldOptions { tolerance, poisson, picture } = *options;
    let is_mixed = mesh.is_mixed();
    let bodies = mesh.bodies;
    let mut history: Vec<(usize, Figures)> = Vec::new();
    let mut most_unknowns = 0;
    let mut for_stress = 0;
    for round in 0.. {
        let trouble = MeshTrouble::new(Trouble::Unsound, mesh.corners[0]);
        let fields = Fields::of(&mesh, poisson).map_err(|_| trouble)?;
        let (mut figures, mut shares) = figures(&mesh, &fields);
        if bodies == 1 {
            add_bending(&mesh, &fields, &mut figures, &mut shares);
        }
        most_unknowns = fields.unknowns.max(most_unknowns);
        // What was integrated over each triangle and what comes of whole fields are one figure, or the solution is none.
        let mean = 0.5 * (figures.lower + figures.upper);
        if !is_sound(&figures, mean) {
            return Err(trouble);
        }
        let corners = reentrant(&mesh);
        let within = figures.upper - figures.lower + 2.0 * figures.beside <= tolerance * mean;
        // A mesh that is hardly finer than the one before would show no change.
        let coarser = |most: f64| {
            let found = history.iter().rev().find(|(count, _)| (*count as f64) < most * shares.len() as f64);
            found.map(|(_, figures)| *figures)
        };
        let before = coarser(COARSER);
        let last = history.last().map(|(_, figures)| *figures);
        let settled = before.is_some_and(|before| bodies > 1 || is_settled(&before, &figures, tolerance));
        let tips = mesh.boundary.tips;
        let drawn = picture.then(|| Drawn::of(&mesh, &fields));
        let solved = |is_reached, before: Figures| Solved {
            figures,
            before,
            last: last.unwrap_or(before),
            bodies,
            tips,
            corners: corners.clone(),
            unknowns: most_unknowns,
            is_reached,
            is_mixed,
            drawn: drawn.clone(),
        };
        let is_known = is_mixed
            || !corners.is_empty()
            || last.is_some_and(|before| stress_is_known(&before, &figures, tolerance));
        for_stress += usize::from(within && settled);
        if within && settled && (is_known || for_stress > ROUNDS_FOR_STRESS || shares.len() > LARGE) {
            return Ok(solved(true, before.unwrap_or(figures)));
        }
        // One mesh serves all that is asked for, so that few meshes are needed.
        let mut levels = vec![0; shares.len()];
        let mut ask = |asked: Vec<u8>| {
            levels.iter_mut().zip(asked).for_each(|(level, asked)| *level = asked.max(*level));
        };
        if !within {
            ask(levels_for_torsion(&mesh, &shares, &corners, tolerance * mean));
        }
        let allowed = SETTLED_JUMPS * tolerance;
        if bodies == 1 && (figures.bending > allowed || within && !settled) {
            ask(levels_for_bending(&mesh, &shares, &corners, figures.bending, allowed));
        }
        // A first mesh that is coarse tells little of where the stress is largest.
        if !is_known && (round > 0 || within) {
            ask(levels_for_stress(&shares, &figures, tolerance));
        }
        if levels.iter().all(|level| *level == 0) {
            levels.fill(1);
        }
        let sharp: BTreeSet<u32> = corners.iter().map(|corner| corner.corner).collect();
        // Stress is largest at such corners, and at the boundary where there are none.
        let touches = |triangle: &Triangle| match sharp.is_empty() {
            true => triangle.beyond.iter().any(|beyond| beyond.triangle().is_none()),
            false => triangle.corners.iter().any(|corner| sharp.contains(corner)),
        };
        let refined = mesh.refine(&levels, &touches);
        match refined {
            Ok(()) if round < ROUNDS => {}
            // The last figures stand, with what their bounds say; without any to compare them with there are none.
            refined => {
                let first = history.first().map(|(_, figures)| *figures);
                return match (before.or(first), refined) {
                    (Some(before), _) => Ok(solved(within, before)),
                    (None, Err(error)) => Err(error),
                    (None, Ok(())) => Err(trouble),
                };
            }
        }
        history.push((shares.len(), figures));
    }
    Err(MeshTrouble::new(Trouble::Unsound, mesh.corners[0]))
}

/// Both bounds are numbers, the right way round, and their difference is what was integrated by itself.
fn is_sound(figures: &Figures, mean: f64) -> bool {
    /// Rounding of sums and of the solution, as a share of the torsion constant.
    const ROUNDING: f64 = 1e-9;
    let apart = figures.upper - figures.lower;
    mean > 0.0
        && mean.is_finite()
        && apart > -ROUNDING * mean
        && (apart - figures.gap).abs() <= ROUNDING * mean + 1e-3 * figures.gap
        && figures.area > 0.0
        && figures.stress.is_finite()
}

/// The figures of bending and the shear centre have changed by little since the mesh before.
fn is_settled(before: &Figures, now: &Figures, tolerance: f64) -> bool {
    let allowed = SETTLED * tolerance;
    let near = |a: f64, b: f64, scale: f64| (a - b).abs() <= allowed * scale.abs();
    let mean = 0.5 * (now.shear_x + now.shear_y);
    now.bending <= SETTLED_JUMPS * tolerance
        && near(before.shear_x, now.shear_x, now.shear_x)
        && near(before.shear_y, now.shear_y, now.shear_y)
        && near(before.shear_xy, now.shear_xy, mean)
        && before.shear_centre.distance(now.shear_centre) <= allowed * now.area.sqrt()
}

/// How many times each triangle is to be halved for the bounds of the torsion constant.
fn levels_for_torsion(mesh: &Mesh, shares: &[Share], corners: &[Reentrant], wanted: f64) -> Vec<u8> {
    let angle_at: BTreeMap<u32, f64> = corners.iter().map(|c| (c.corner, c.angle)).collect();
    let mut order: Vec<usize> = (0..shares.len()).collect();
    order.sort_by(|a, b| shares[*b].gap.total_cmp(&shares[*a].gap).then(a.cmp(b)));
    let total: f64 = shares.iter().map(|share| share.gap).sum();
    let even = 0.5 * wanted / shares.len().max(FEWEST) as f64;
    let mut levels = vec![0; shares.len()];
    let mut carried = 0.0;
    for t in order {
        if carried > CARRIED * total {
            break;
        }
        let gap = shares[t].gap;
        carried += gap;
        let angle =
            mesh.triangles[t].corners.iter().filter_map(|c| angle_at.get(c)).fold(0.0, |a: f64, b| a.max(*b));
        levels[t] = if angle > 0.0 {
            // Stress grows as r^(π/angle − 1), so that what is unknown falls by 2^(−π/angle) with each halving.
            let rate = std::f64::consts::PI / angle;
            ((gap / even).log2() / rate).clamp(1.0, MOST_LEVELS).round() as u8
        } else if gap > 60.0 * even {
            2
        } else {
            1
        };
    }
    levels
}

/// Both fields agree on the largest stress, and it is no other than on the mesh before.
fn stress_is_known(before: &Figures, now: &Figures, tolerance: f64) -> bool {
    let allowed = (STRESS * tolerance).min(STRESS_AT_WORST) * now.stress;
    now.stress_apart <= allowed && (before.stress - now.stress).abs() <= STRESS_CHANGE * allowed
}

/// Halves what may have the largest stress and does not know it well.
fn levels_for_stress(shares: &[Share], figures: &Figures, tolerance: f64) -> Vec<u8> {
    let allowed = (STRESS * tolerance).min(STRESS_AT_WORST) * figures.stress;
    let may_be_largest = |share: &Share| share.stress + share.stress_apart > figures.stress - allowed;
    let levels: Vec<u8> = shares
        .iter()
        .map(|share| match may_be_largest(share) && share.stress_apart > STRESS_LEFT * allowed {
            // The stress of cubic fields is off by the third power of the size of triangles, which two halvings make half.
            true => {
                let wanted = (share.stress_apart / (STRESS_LEFT * allowed)).log2() * (2.0 / 3.0);
                wanted.ceil().clamp(1.0, MOST_LEVELS_FOR_STRESS) as u8
            }
            false => 0,
        })
        .collect();
    match levels.iter().all(|level| *level == 0) {
        // It changed from the mesh before though both fields agree on either: one more mesh shows whether it settles.
        true => shares.iter().map(|share| u8::from(may_be_largest(share))).collect(),
        false => levels,
    }
}

/// Halves the triangles that carry most of what the fields of bending leave unknown, the worst twice. It is `unknown` in all,
/// and may be `allowed`.
fn levels_for_bending(
    mesh: &Mesh,
    shares: &[Share],
    corners: &[Reentrant],
    unknown: f64,
    allowed: f64,
) -> Vec<u8> {
    /// So many times as bad as the average.
    const WORST: f64 = 10.0;
    /// Halved triangles leave so much less unknown.
    const GAIN: f64 = 0.875;
    // Half of what is allowed is to be left.
    let wanted = (1.0 - 0.5 * allowed / unknown) / GAIN;
    let carry = if wanted.is_nan() { 0.0 } else { wanted }.clamp(LEAST_CARRIED_BENDING, CARRIED_BENDING);
    let sharp: BTreeSet<u32> = corners.iter().map(|corner| corner.corner).collect();
    let mut order: Vec<usize> = (0..shares.len()).collect();
    order.sort_by(|a, b| shares[*b].bending.total_cmp(&shares[*a].bending).then(a.cmp(b)));
    let total: f64 = shares.iter().map(|share| share.bending).sum();
    let mut levels = vec![0; shares.len()];
    let mut carried = 0.0;
    for t in order {
        if carried > carry * total {
            break;
        }
        let bending = shares[t].bending;
        carried += bending;
        let is_worst = bending * shares.len() as f64 > WORST * total;
        let is_sharp = mesh.triangles[t].corners.iter().any(|corner| sharp.contains(corner));
        levels[t] = 1 + u8::from(is_worst) + 2 * u8::from(is_worst && is_sharp);
    }
    levels
}
