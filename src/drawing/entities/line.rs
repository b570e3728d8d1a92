//! LINE.

use super::RawShape;
use crate::drawing::groups::{Fault, Groups, required};

/// Two points in space.
#[inline]
pub(super) fn line(groups: &mut Groups) -> Result<RawShape, Fault> {
    let [mut x1, mut y1, mut x2, mut y2] = [None; 4];
    let [mut z1, mut z2] = [0.0; 2];
    while let Some(group) = groups.next() {
        match group.code {
            10 => x1 = Some(group.real()?),
            20 => y1 = Some(group.real()?),
            30 => z1 = group.real()?,
            11 => x2 = Some(group.real()?),
            21 => y2 = Some(group.real()?),
            31 => z2 = group.real()?,
            _ => {}
        }
    }
    Ok(RawShape::Line([
        [required(x1, "x of the start (group 10)")?, required(y1, "y of the start (group 20)")?, z1],
        [required(x2, "x of the end (group 11)")?, required(y2, "y of the end (group 21)")?, z2],
    ]))
}
