//! SPLINE, and what a spline edge of a hatch has in common with it.

use super::{RawShape, Remarks};
use crate::drawing::groups::{Fault, Groups};
use crate::drawing::plane::Point3;
use crate::drawing::spline::{Nurbs, Spans};

/// Points that arrive as one group for each coordinate.
struct Points {
    list: Vec<Point3>,
    /// A point has its x and not yet its y.
    half: bool,
    /// What they are called.
    name: &'static str,
}

impl Points {
    fn named(name: &'static str) -> Points {
        Points { list: Vec::new(), half: false, name }
    }

    fn put(&mut self, axis: usize, value: f64) -> Result<(), Fault> {
        if axis == 0 {
            self.whole()?;
            self.list.push([value, 0.0, 0.0]);
            self.half = true;
        } else if let Some(last) = self.list.last_mut() {
            last[axis] = value;
            self.half &= axis != 1;
        }
        Ok(())
    }

    /// The last point has its y.
    fn whole(&self) -> Result<(), Fault> {
        if self.half {
            return Err(Fault::new(format!("no y for {} {}", self.name, self.list.len())));
        }
        Ok(())
    }
}

/// Control points, knots and weights; or fit points alone.
pub(super) struct Parts {
    control: Points,
    fit: Points,
    pub knots: Vec<f64>,
    pub weights: Vec<f64>,
    tangents: [Option<Point3>; 2],
    pub degree: i64,
    pub closed: bool,
    pub periodic: bool,
}

impl Parts {
    pub fn new() -> Parts {
        Parts {
            control: Points::named("control point"),
            fit: Points::named("fit point"),
            knots: Vec::new(),
            weights: Vec::new(),
            tangents: [None; 2],
            degree: 3,
            closed: false,
            periodic: false,
        }
    }

    /// A coordinate by its group: of a control point (10, 20, 30), a fit point (11, 21, 31), or the direction at the
    /// start (12, 22, 32) or the end (13, 23, 33). Others are passed over.
    pub fn coordinate(&mut self, code: i32, value: f64) -> Result<(), Fault> {
        let axis = (code / 10 - 1) as usize;
        match code {
            10 | 20 | 30 => self.control.put(axis, value),
            11 | 21 | 31 => self.fit.put(axis, value),
            12 | 22 | 32 | 13 | 23 | 33 => {
                let end = (code % 10 - 2) as usize;
                self.tangents[end].get_or_insert([0.0; 3])[axis] = value;
                Ok(())
            }
            _ => Ok(()),
        }
    }

    pub fn spans(self, remarks: &mut Remarks) -> Result<Spans, Fault> {
        self.control.whole()?;
        self.fit.whole()?;
        if self.control.list.is_empty() {
            remarks.fitted = true;
            let spans = Spans::through(self.fit.list, self.tangents, self.closed);
            return spans.ok_or_else(|| Fault::new("no two points that differ"));
        }
        let degree =
            usize::try_from(self.degree).map_err(|_| Fault::new(format!("degree {}", self.degree)))?;
        let nurbs = Nurbs {
            degree,
            knots: self.knots,
            points: self.control.list,
            weights: self.weights,
            periodic: self.closed || self.periodic,
        };
        nurbs.spans().map_err(Fault::new)
    }
}

/// In world coordinates.
pub(super) fn spline(groups: &mut Groups, remarks: &mut Remarks) -> Result<RawShape, Fault> {
    let mut parts = Parts::new();
    while let Some(group) = groups.next() {
        match group.code {
            70 => {
                let flags = group.whole()?;
                (parts.closed, parts.periodic) = (flags & 1 != 0, flags & 2 != 0);
            }
            71 => parts.degree = group.whole()?,
            40 => parts.knots.push(group.real()?),
            41 => parts.weights.push(group.real()?),
            10..=13 | 20..=23 | 30..=33 => parts.coordinate(group.code, group.real()?)?,
            _ => {}
        }
    }
    parts.spans(remarks).map(RawShape::Spans)
}
