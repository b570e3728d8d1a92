//! ARC, CIRCLE and ELLIPSE.

use std::f64::consts::TAU;

use super::{RawShape, Remarks};
use crate::drawing::groups::{Fault, Groups, required};
use crate::drawing::plane::{Axes, Point3};
use crate::drawing::shape::Shape;
use crate::geometry::{EllipseArc, Point};

/// An arc whose ends are nearer than this, in degrees, is a full circle: an arc of nothing is never meant.
pub(super) const FULL_CIRCLE: f64 = 1e-9;

/// An ellipse arc whose ends are nearer than this, in radians, is a full ellipse: 2π is often written with six
/// decimals.
const FULL_ELLIPSE: f64 = 1e-6;

/// A turn, within 0 to `full`, that is nothing or all but nothing less than full.
pub(super) fn is_full(turn: f64, full: f64, near: f64) -> bool {
    turn < near || full - turn < near
}

struct Round {
    x: Option<f64>,
    y: Option<f64>,
    z: f64,
    radius: Option<f64>,
    angles: [Option<f64>; 2],
}

impl Round {
    fn read(groups: &mut Groups) -> Result<Round, Fault> {
        let mut round = Round { x: None, y: None, z: 0.0, radius: None, angles: [None; 2] };
        while let Some(group) = groups.next() {
            match group.code {
                10 => round.x = Some(group.real()?),
                20 => round.y = Some(group.real()?),
                // 38 is the elevation in drawings before R11.
                30 | 38 => round.z = group.real()?,
                40 => round.radius = Some(group.real()?),
                50 | 51 => round.angles[(group.code - 50) as usize] = Some(group.real()?),
                _ => {}
            }
        }
        Ok(round)
    }

    fn center(&self) -> Result<Point, Fault> {
        let x = required(self.x, "x of the centre (group 10)")?;
        Ok(Point::new(x, required(self.y, "y of the centre (group 20)")?))
    }

    fn radius(&self) -> Result<f64, Fault> {
        let radius = required(self.radius, "radius (group 40)")?;
        if radius <= 0.0 {
            return Err(Fault::new(format!("a radius of {radius}")));
        }
        Ok(radius)
    }
}

/// Anticlockwise in its own plane, angles in degrees.
pub(super) fn arc(groups: &mut Groups) -> Result<RawShape, Fault> {
    let round = Round::read(groups)?;
    let (center, radius) = (round.center()?, round.radius()?);
    let start = required(round.angles[0], "start angle (group 50)")?;
    let end = required(round.angles[1], "end angle (group 51)")?;
    let turn = (end - start).rem_euclid(360.0);
    let sweep = if is_full(turn, 360.0, FULL_CIRCLE) { TAU } else { turn.to_radians() };
    let shape = Shape::Arc { center, radius, start_angle: start.to_radians(), sweep };
    Ok(RawShape::Flat { shape, elevation: round.z })
}

/// A radius below 0 gives the same points as its size does: written by mirroring, and no doubt about what is meant. An
/// arc of one might run on either side.
pub(super) fn circle(groups: &mut Groups, remarks: &mut Remarks) -> Result<RawShape, Fault> {
    let mut round = Round::read(groups)?;
    remarks.negative_radius = round.radius.is_some_and(|radius| radius < 0.0);
    round.radius = round.radius.map(f64::abs);
    let shape = Shape::Circle { center: round.center()?, radius: round.radius()? };
    Ok(RawShape::Flat { shape, elevation: round.z })
}

/// Centre and major half-axis are in world coordinates; the minor one stands anticlockwise of it about the normal.
pub(super) fn ellipse(groups: &mut Groups) -> Result<RawShape, Fault> {
    let (mut center, mut major): ([Option<f64>; 3], Point3) = ([None, None, Some(0.0)], [0.0; 3]);
    let (mut ratio, mut start, mut end) = (None, 0.0, TAU);
    while let Some(group) = groups.next() {
        match group.code {
            10 | 20 | 30 => center[(group.code / 10 - 1) as usize] = Some(group.real()?),
            11 | 21 | 31 => major[(group.code / 10 - 1) as usize] = group.real()?,
            40 => ratio = Some(group.real()?),
            41 => start = group.real()?,
            42 => end = group.real()?,
            _ => {}
        }
    }
    let ratio = required(ratio, "ratio of the axes (group 40)")?;
    let x = required(center[0], "x of the centre (group 10)")?;
    let y = required(center[1], "y of the centre (group 20)")?;
    let axes = Axes::of_normal(groups.common.normal);
    let center = axes.in_own([x, y, center[2].unwrap_or(0.0)]);
    let major = axes.in_own(major);
    let u = Point::new(major[0], major[1]);
    if ratio <= 0.0 || u == Point::ORIGIN {
        return Err(Fault::new(format!("an axis of no length (major {}, ratio {ratio})", u.length())));
    }
    let turn = (end - start).rem_euclid(TAU);
    let sweep = if is_full(turn, TAU, FULL_ELLIPSE) { TAU } else { turn };
    let arc = EllipseArc::new(Point::new(center[0], center[1]), u, u.quarter_turned() * ratio, start, sweep);
    Ok(RawShape::Flat { shape: Shape::Ellipse(Box::new(arc)), elevation: center[2] })
}
