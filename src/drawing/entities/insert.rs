//! INSERT: a reference to a block.

use crate::drawing::groups::{Fault, Groups, required};
use crate::drawing::plane::{Axes, Map3, Point3};

/// A block put somewhere, once or in rows and columns.
#[derive(Clone, Debug)]
pub(in crate::drawing) struct Insert {
    /// The block's name as the file writes it.
    pub name: Vec<u8>,
    position: Point3,
    scale: Point3,
    /// Degrees.
    rotation: f64,
    pub columns: u64,
    pub rows: u64,
    spacing: [f64; 2],
    pub normal: Point3,
}

pub(super) fn insert(groups: &mut Groups) -> Result<Insert, Fault> {
    let mut name = None;
    let (mut place, mut scale, mut rotation) = ([None; 3], [1.0; 3], 0.0);
    let (mut counts, mut spacing) = ([1; 2], [0.0; 2]);
    while let Some(group) = groups.next() {
        match group.code {
            2 => name = Some(group.text().trim_ascii().to_vec()),
            10 | 20 | 30 => place[(group.code / 10 - 1) as usize] = Some(group.real()?),
            41..=43 => scale[(group.code - 41) as usize] = group.real()?,
            44 | 45 => spacing[(group.code - 44) as usize] = group.real()?,
            50 => rotation = group.real()?,
            70 | 71 => counts[(group.code - 70) as usize] = group.whole()?,
            _ => {}
        }
    }
    if scale[0] == 0.0 || scale[1] == 0.0 {
        return Err(Fault::new(format!("a scale of {} by {}", scale[0], scale[1])));
    }
    // Heights don't matter to what is seen from above, and some writers leave their scale at 0.
    if scale[2] == 0.0 {
        scale[2] = 1.0;
    }
    let count = |count: i64| u64::try_from(count).unwrap_or(1).max(1);
    Ok(Insert {
        name: name.ok_or_else(|| Fault::new("no name of a block (group 2)"))?,
        position: [
            required(place[0], "x of the insertion (group 10)")?,
            required(place[1], "y of the insertion (group 20)")?,
            place[2].unwrap_or(0.0),
        ],
        scale,
        rotation,
        columns: count(counts[0]),
        rows: count(counts[1]),
        spacing,
        normal: groups.common.normal,
    })
}

impl Insert {
    /// It shows the block in the size in which it was drawn.
    pub fn is_full_size(&self) -> bool {
        self.scale[0].abs() == 1.0 && self.scale[1].abs() == 1.0
    }

    /// The map from the block's coordinates to those around this reference, for one place of the array: less the
    /// base point, scaled, turned, moved, and all that in the reference's own plane. The spacing of rows and
    /// columns is turned but not scaled.
    pub fn map(&self, base: Point3, column: u64, row: u64) -> Map3 {
        let (sine, cosine) = sin_cos_degrees(self.rotation);
        let [sx, sy, sz] = self.scale;
        let (across, up) = (self.spacing[0] * column as f64, self.spacing[1] * row as f64);
        let [x, y, z] = self.position;
        let axes =
            Axes { x: [sx * cosine, sx * sine, 0.0], y: [-sy * sine, sy * cosine, 0.0], z: [0.0, 0.0, sz] };
        let place = [x + across * cosine - up * sine, y + across * sine + up * cosine, z];
        let own = Map3 { axes, offset: place };
        let from_base = Map3 { axes: Axes::WORLD, offset: base.map(|x| -x) };
        from_base.then(&own).then(&Map3 { axes: Axes::of_normal(self.normal), offset: [0.0; 3] })
    }
}

/// Sine and cosine, exact for whole quarter turns: most references are turned by those.
pub(super) fn sin_cos_degrees(degrees: f64) -> (f64, f64) {
    match degrees.rem_euclid(360.0) {
        0.0 => (0.0, 1.0),
        90.0 => (1.0, 0.0),
        180.0 => (0.0, -1.0),
        270.0 => (-1.0, 0.0),
        turned => turned.to_radians().sin_cos(),
    }
}
