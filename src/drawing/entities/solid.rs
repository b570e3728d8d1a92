//! SOLID, TRACE and 3DFACE.

use super::RawShape;
use crate::drawing::groups::{Fault, Groups, required_of};
use crate::drawing::shape::{Polyline, Shape};
use crate::geometry::Point;

/// Three or four corners, the third and fourth crossed; a triangle repeats its third corner or has no fourth.
pub(super) fn solid(groups: &mut Groups) -> Result<RawShape, Fault> {
    let mut corners = [[None; 2]; 4];
    let mut elevation = 0.0;
    while let Some(group) = groups.next() {
        match group.code {
            10..=13 => corners[(group.code - 10) as usize][0] = Some(group.real()?),
            20..=23 => corners[(group.code - 20) as usize][1] = Some(group.real()?),
            // 38 is the elevation in drawings before R11.
            30 | 38 => elevation = group.real()?,
            31..=33 => drop(group.real()?),
            _ => {}
        }
    }
    let corner = |i: usize| -> Result<Point, Fault> {
        let [x, y] = corners[i];
        Ok(Point::new(required_of(x, || name(i, "x", 10))?, required_of(y, || name(i, "y", 20))?))
    };
    let (first, second, third) = (corner(0)?, corner(1)?, corner(2)?);
    let fourth = if corners[3] == [None; 2] { third } else { corner(3)? };
    let mut vertices = vec![first, second, fourth, third];
    vertices.dedup();
    let shape =
        Shape::Polyline(Polyline { vertices: vertices.into(), bulges: None, widths: None, closed: true });
    Ok(RawShape::Flat { shape, elevation })
}

/// The name of a coordinate of a corner; its group code for the first corner is `code`.
fn name(corner: usize, axis: &str, code: usize) -> String {
    format!("{axis} of corner {} (group {})", corner + 1, code + corner)
}

/// Three or four corners in space, in the order of the edge; a triangle repeats its third corner or has no fourth.
pub(super) fn face(groups: &mut Groups) -> Result<RawShape, Fault> {
    let mut corners = [[None; 3]; 4];
    while let Some(group) = groups.next() {
        match group.code {
            10..=13 | 20..=23 | 30..=33 => {
                let (corner, axis) = ((group.code % 10) as usize, (group.code / 10 - 1) as usize);
                corners[corner][axis] = Some(group.real()?);
            }
            _ => {}
        }
    }
    let mut vertices = Vec::with_capacity(4);
    for (i, [x, y, z]) in corners.into_iter().enumerate() {
        if i == 3 && (x, y) == (None, None) {
            break;
        }
        let (x, y) = (required_of(x, || name(i, "x", 10))?, required_of(y, || name(i, "y", 20))?);
        let corner = [x, y, z.unwrap_or(0.0)];
        if vertices.last() != Some(&corner) {
            vertices.push(corner);
        }
    }
    Ok(RawShape::Polyline { vertices, closed: true })
}
