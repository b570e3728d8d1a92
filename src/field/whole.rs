//! The constants of a whole section: each of its parts is meshed and solved by itself, and what comes of them is put together in
//! drawing units.

use super::adapt::{self, Solved};
use super::figures::Figures;
use super::mesh::{Mesh, Moduli};
use super::{
    Estimated, EstimatedPlace, FieldBody, FieldError, FieldErrorKind, FieldOptions, FieldPicture,
    FieldProperties, Monosymmetry, ShearAreas, TorsionConstant, TorsionalStress, bodies, corners,
};
use crate::geometry::Point;
use crate::outline::Ring;
use crate::region::{Part, Region};
use crate::section::Section;

/// So many times the change from the mesh before the last to the last is the estimate of error: towards re-entrant corners
/// the change from one mesh to the next falls slowly.
const CHANGE: f64 = 2.0;

/// This share of the gap between the bounds is added to the estimates, as a share of what they are estimates of: symmetry may
/// hide what is unknown from a comparison of meshes.
const UNSEEN: f64 = 0.01;

/// What arches leave beside the curves may change a figure by so many times the share by which it changes the torsion constant.
const BESIDE: f64 = 3.0;

/// The constants of a region of no more parts than are allowed.
pub(super) fn solved(
    region: &Region,
    section: &Section,
    options: &FieldOptions,
) -> Result<FieldProperties, FieldError> {
    let mut parts = Vec::with_capacity(region.parts.len());
    for part in &region.parts {
        let bounds = part.edge.bounds();
        let (centre, size) = (bounds.center(), bounds.size());
        if !(size > 0.0 && size.is_finite() && centre.is_finite()) {
            return Err(FieldError::new(FieldErrorKind::OutOfRange, None));
        }
        let found = Mesh::of(part, centre, size)
            .and_then(|mesh| adapt::solve(mesh, options))
            .map_err(|trouble| trouble.at(centre, size))?;
        parts.push(Local { solved: found, centre, size });
    }
    let areas = [section.area; 2];
    combine(&parts, section, areas, options.tolerance)
}

/// The constants of bodies, all that touch on one mesh.
pub(super) fn solved_bodies(
    bodies: &[FieldBody<'_>],
    section: &Section,
    options: &FieldOptions,
) -> Result<FieldProperties, FieldError> {
    let materials: Vec<Moduli> =
        bodies.iter().map(|body| Moduli { elastic: body.elastic, shear: body.shear }).collect();
    let mut parts = Vec::new();
    for bodies::Joined { boundary, centre, size } in bodies::joined(bodies)? {
        let found = Mesh::within(boundary, materials.clone())
            .and_then(|mesh| adapt::solve(mesh, options))
            .map_err(|trouble| trouble.at(centre, size))?;
        parts.push(Local { solved: found, centre, size });
    }
    let area = |part: &Part| part.edge.area() - part.holes.iter().map(Ring::area).sum::<f64>();
    let covered = bodies.iter().flat_map(|body| &body.region.parts).map(area).sum();
    combine(&parts, section, [section.area, covered], options.tolerance)
}

/// A part as it was solved, moved by −`centre` and divided by `size`.
struct Local {
    solved: Solved,
    centre: Point,
    size: f64,
}

/// The figures of all parts, in drawing units; `areas` is what meshes must come to, transformed and covered.
fn combine(
    parts: &[Local],
    section: &Section,
    areas: [f64; 2],
    tolerance: f64,
) -> Result<FieldProperties, FieldError> {
    /// Rounding of what is integrated and solved, as a share of a figure's natural scale.
    const ROUNDING: f64 = 2e-9;
    /// Share of the area that arches may leave beside the curves, and tips may take.
    const AREA: f64 = 1e-3;
    let mut torsion = TorsionConstant { value: 0.0, lower: 0.0, upper: 0.0 };
    let mut meshed = [0.0; 2];
    for Local { solved, size, .. } in parts {
        let figures = &solved.figures;
        let fourth = size.powi(4);
        let allowance = figures.beside + solved.tips + ROUNDING * figures.upper;
        torsion.lower += (figures.lower.min(figures.upper) - allowance) * fourth;
        torsion.upper += (figures.upper.max(figures.lower) + allowance) * fourth;
        meshed[0] += figures.area * size * size;
        meshed[1] += figures.covered * size * size;
    }
    torsion.value = 0.5 * (torsion.lower + torsion.upper);
    // A mesh that covers something else is none of this section.
    let off = |(meshed, area): (f64, &f64)| (meshed - area).abs() / area;
    if meshed.into_iter().zip(&areas).map(off).any(|off| off.is_nan() || off > AREA) {
        return Err(FieldError::new(FieldErrorKind::Unmeshed, Some(section.centroid)));
    }
    let bodies: usize = parts.iter().map(|part| part.solved.bodies).sum();
    let mut properties = FieldProperties {
        torsion,
        stress: stress(parts, &torsion),
        warping: None,
        shear_centre: None,
        shear_areas: None,
        monosymmetry: None,
        bodies,
        unknowns: parts.iter().map(|part| part.solved.unknowns).sum(),
        // Tips that were cut off may have moved the bounds apart.
        is_within_tolerance: parts.iter().all(|part| part.solved.is_reached)
            && torsion.upper - torsion.lower <= tolerance * torsion.value,
        picture: picture(parts),
    };
    if let [part] = parts
        && bodies == 1
    {
        of_one_body(&mut properties, part, section, ROUNDING);
    }
    if !properties.check() {
        return Err(FieldError::new(FieldErrorKind::OutOfRange, None));
    }
    Ok(properties)
}

/// What pictures show, where it was kept of all parts.
fn picture(parts: &[Local]) -> Option<FieldPicture> {
    parts.iter().all(|part| part.solved.drawn.is_some()).then_some(())?;
    FieldPicture::of(
        parts.iter().filter_map(|part| Some((part.solved.drawn.as_ref()?, part.centre, part.size))),
    )
}

/// The largest stress of all parts.
fn stress(parts: &[Local], torsion: &TorsionConstant) -> TorsionalStress {
    if parts.iter().any(|part| part.solved.is_mixed) {
        return TorsionalStress::OfMaterials;
    }
    let corners: usize = parts.iter().map(|part| part.solved.corners.len()).sum();
    let place = |part: &Local, at: Point| at * part.size + part.centre;
    let sharpest = parts
        .iter()
        .filter_map(|part| {
            corners::sharpest(&part.solved.corners).map(|corner| (corner.angle, place(part, corner.at)))
        })
        .max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.x.total_cmp(&a.1.x)).then(b.1.y.total_cmp(&a.1.y)));
    if let Some((_, at)) = sharpest {
        return TorsionalStress::Unbounded { at, corners };
    }
    let largest = parts
        .iter()
        .max_by(|a, b| (a.solved.figures.stress * a.size).total_cmp(&(b.solved.figures.stress * b.size)));
    let Some(part) = largest else {
        return TorsionalStress::Largest { per_torque: Estimated::default(), at: Point::ORIGIN };
    };
    let (now, before) = (&part.solved.figures, &part.solved.last);
    let value = now.stress * part.size / torsion.value;
    // Both fields may be off to the same side.
    let change = (now.stress - before.stress).abs() + now.stress_apart;
    let change = CHANGE * change * part.size / torsion.value;
    let error = change + value * torsion.error() / torsion.value;
    TorsionalStress::Largest { per_torque: Estimated { value, error }, at: place(part, now.stress_at) }
}

/// What a section of one body has beside these.
fn of_one_body(properties: &mut FieldProperties, part: &Local, section: &Section, rounding: f64) {
    let Local { solved, size, .. } = part;
    let (now, before) = (&solved.figures, &solved.before);
    // By this share arches may change any figure.
    let gap = (now.upper - now.lower).max(0.0);
    let cut_off = (now.area * size * size - section.area).abs() / section.area;
    let beside = rounding + (BESIDE * now.beside + UNSEEN * gap) / now.upper + BESIDE * cut_off;
    let estimated = |value: f64, before: f64, scale: f64| Estimated {
        value,
        error: CHANGE * (value - before).abs() + beside * scale.abs().max(value.abs()),
    };
    let (square, sixth) = (size * size, size.powi(6));
    let axis_1 = Point::at_angle(section.principal.angle);
    let axis_2 = axis_1.quarter_turned();

    // Where a section hardly warps, as a circle, what is left is what the mesh leaves unknown of the warping function.
    properties.warping = Some(estimated(now.warping * sixth, before.warping * sixth, now.upper * sixth));

    let from_centroid = now.shear_centre * *size;
    let moved = CHANGE * before.shear_centre.distance(now.shear_centre) * size;
    // The error of the shear centre is a product of those of warping and of bending.
    let product = size * (gap * now.bending * now.shear_x.max(now.shear_y)).sqrt();
    let error = moved.max(product) + beside * size.max(from_centroid.length());
    properties.shear_centre =
        Some(EstimatedPlace { at: section.centroid + from_centroid, from_centroid, error });

    let area = |direction: Point| {
        let along = |figures: &Figures| {
            let Point { x, y } = direction;
            square / (x * x * figures.shear_x + y * y * figures.shear_y + 2.0 * x * y * figures.shear_xy)
        };
        let mut area = estimated(along(now), along(before), 0.0);
        area.error = area.error.max(now.bending * area.value);
        area
    };
    properties.shear_areas = Some(ShearAreas {
        x: area(Point::new(1.0, 0.0)),
        y: area(Point::new(0.0, 1.0)),
        axis_1: area(axis_1),
        axis_2: area(axis_2),
    });

    let third = now.third * size.powi(5);
    let constant = |along: Point, moment: f64| {
        let value = third.dot(along) / moment - 2.0 * from_centroid.dot(along);
        Estimated { value, error: 2.0 * error + beside * size }
    };
    properties.monosymmetry = Some(Monosymmetry {
        about_1: constant(axis_2, section.principal.i_1),
        about_2: constant(axis_1, section.principal.i_2),
    });
}
