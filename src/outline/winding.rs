//! How often curves go round a point: the one rule by which all of the program tells inside from outside.
//!
//! The winding number by a ray and half-open heights, of curves cut where they rise or fall all along.

use crate::geometry::{Bounds, Curve, Point};

/// Rays that run across the longer side of a box, so that they meet few of the curves in it: up where it is wider than
/// high, otherwise to the right.
#[derive(Clone, Copy)]
pub(crate) struct Rays {
    upwards: bool,
}

impl Rays {
    /// The rays across what `bounds` is around.
    pub fn across(bounds: &Bounds) -> Rays {
        Rays { upwards: bounds.width() > bounds.height() }
    }

    /// Rays run up; otherwise to the right.
    pub fn run_up(self) -> bool {
        self.upwards
    }

    /// How far along the rays a point lies, and at what height across them: x and y, or on the page turned by a
    /// quarter clockwise, so that rays upwards run to the right.
    pub fn seen(self, point: Point) -> (f64, f64) {
        if self.upwards { (point.y, -point.x) } else { (point.x, point.y) }
    }

    /// How often closed curves go round `point`, anticlockwise positive: what the ray from there crosses from its right to
    /// its left less what it crosses the other way. Curves that the ray does not meet may be missing.
    ///
    /// A curve crosses the ray where one of its ends is higher than the ray and the other is not, and so counts in one of
    /// two curves that meet at that height. On the curve itself the point may come out either way, but always the same.
    pub fn winding<'a>(self, curves: impl Iterator<Item = (&'a Curve, &'a Bounds)>, point: Point) -> i32 {
        let direction = if self.upwards { Point::new(-1.0, 0.0) } else { Point::new(0.0, 1.0) };
        let (along, height) = self.seen(point);
        let mut winding = 0;
        for (curve, bounds) in curves {
            let ((from, one), (to, other)) = (self.seen(bounds.min), self.seen(bounds.max));
            if to < along || one.max(other) < height || one.min(other) > height {
                continue;
            }
            let crosses = |from: Point, to: Point| {
                i32::from(self.seen(to).1 > height) - i32::from(self.seen(from).1 > height)
            };
            if from > along || matches!(curve, Curve::Line(_)) && from >= along {
                // All of it lies ahead, so only the heights of its ends count.
                winding += crosses(curve.start(), curve.end());
                continue;
            }
            if let Curve::Line(line) = curve {
                // One part, without a list of parts.
                let crossing = crosses(line.start, line.end);
                if crossing != 0 {
                    let t = curve.parameter_where(direction, height, 0.0, 1.0);
                    if self.seen(curve.at(t)).0 > along {
                        winding += crossing;
                    }
                }
                continue;
            }
            for part in curve.monotone_parts(direction).windows(2) {
                let crossing = crosses(curve.at(part[0]), curve.at(part[1]));
                if crossing != 0 {
                    let t = curve.parameter_where(direction, height, part[0], part[1]);
                    if self.seen(curve.at(t)).0 > along {
                        winding += crossing;
                    }
                }
            }
        }
        winding
    }
}
