//! SPLINE.

use super::{Drawn, Remarks};
use crate::drawing::groups::{Fault, Groups};
use crate::drawing::plane::Point3;
use crate::drawing::spline::{Nurbs, Spans};

/// Points that arrive as one group for each coordinate.
#[derive(Default)]
struct Points {
    list: Vec<Point3>,
    /// A point has its x and not yet its y.
    half: bool,
}

impl Points {
    fn put(&mut self, axis: usize, value: f64, name: &str) -> Result<(), Fault> {
        if axis == 0 {
            self.whole(name)?;
            self.list.push([value, 0.0, 0.0]);
            self.half = true;
        } else if let Some(last) = self.list.last_mut() {
            last[axis] = value;
            self.half &= axis != 1;
        }
        Ok(())
    }

    /// The last point has its y.
    fn whole(&self, name: &str) -> Result<(), Fault> {
        if self.half { Err(Fault::new(format!("no y for {name} {}", self.list.len()))) } else { Ok(()) }
    }
}

/// Control points, knots and weights in world coordinates; or fit points alone.
pub(super) fn spline(groups: &mut Groups, remarks: &mut Remarks) -> Result<Drawn, Fault> {
    const CONTROL: &str = "control point";
    const FIT: &str = "fit point";
    let (mut control, mut fit) = (Points::default(), Points::default());
    let (mut knots, mut weights) = (Vec::new(), Vec::new());
    let mut tangents: [Option<Point3>; 2] = [None; 2];
    let (mut flags, mut degree) = (0, 3);
    while let Some(group) = groups.next() {
        match group.code {
            70 => flags = group.whole()?,
            71 => degree = group.whole()?,
            40 => knots.push(group.real()?),
            41 => weights.push(group.real()?),
            10 | 20 | 30 => control.put((group.code / 10 - 1) as usize, group.real()?, CONTROL)?,
            11 | 21 | 31 => fit.put((group.code / 10 - 1) as usize, group.real()?, FIT)?,
            12 | 22 | 32 | 13 | 23 | 33 => {
                let (end, axis) = ((group.code % 10 - 2) as usize, (group.code / 10 - 1) as usize);
                tangents[end].get_or_insert([0.0; 3])[axis] = group.real()?;
            }
            _ => {}
        }
    }
    control.whole(CONTROL)?;
    fit.whole(FIT)?;
    let (closed, periodic) = (flags & 1 != 0, flags & 2 != 0);
    if control.list.is_empty() {
        remarks.fitted = true;
        let spans = Spans::through(fit.list, tangents, closed);
        return spans.map(Drawn::Spans).ok_or_else(|| Fault::new("no two points that differ"));
    }
    let degree = usize::try_from(degree).map_err(|_| Fault::new(format!("degree {degree}")))?;
    let nurbs = Nurbs { degree, knots, points: control.list, weights, periodic: closed || periodic };
    nurbs.spans().map(Drawn::Spans).map_err(Fault::new)
}
