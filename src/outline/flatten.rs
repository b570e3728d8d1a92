//! Curves as chords, for whoever needs polygons. The one file that names lyon_geom.
//!
//! The parameters of chord ends are lyon_geom's; other spans are halved (own work).

use lyon_geom as lyon;

use super::ring::Ring;
use crate::geometry::{Curve, Point};

/// The ring as a polygon whose chords keep within `tolerance` (drawing units) of the curves. The first point is not
/// repeated at the end. Section properties never use this: they integrate the curves themselves.
pub fn flatten(ring: &Ring, tolerance: f64) -> Vec<Point> {
    let mut points = Vec::new();
    for curve in &ring.curves() {
        points.push(curve.start());
        chords(curve, tolerance, &mut |t| points.push(curve.at(t)));
    }
    points
}

/// The ends of chords that keep within `tolerance` of a curve, without its start and with its end.
#[cfg(feature = "sheet")]
pub(crate) fn chord_ends(curve: &Curve, tolerance: f64) -> Vec<Point> {
    let mut points = Vec::new();
    chords(curve, tolerance, &mut |t| points.push(curve.at(t)));
    points.push(curve.end());
    points
}

/// Calls `inner` with the rising parameters of the inner chord ends.
fn chords(curve: &Curve, tolerance: f64, inner: &mut dyn FnMut(f64)) {
    let at = |p: Point| lyon::point(p.x, p.y);
    match curve {
        Curve::Line(_) => {}
        Curve::Arc(c) => {
            let arc = lyon::Arc {
                center: at(c.center),
                radii: lyon::vector(c.radius, c.radius),
                start_angle: lyon::Angle::radians(c.start_angle),
                sweep_angle: lyon::Angle::radians(c.sweep),
                x_rotation: lyon::Angle::zero(),
            };
            arc.for_each_flattened_with_t(tolerance, &mut |_, t| within(t.end, inner));
        }
        Curve::Ellipse(c) => {
            // The number of chords that the circle around it needs is enough for the ellipse.
            let arc = lyon::Arc {
                center: at(c.center),
                radii: lyon::vector(1.0, 1.0) * c.u.length().hypot(c.v.length()),
                start_angle: lyon::Angle::radians(c.start_parameter),
                sweep_angle: lyon::Angle::radians(c.sweep),
                x_rotation: lyon::Angle::zero(),
            };
            arc.for_each_flattened_with_t(tolerance, &mut |_, t| within(t.end, inner));
        }
        Curve::Span(c) => match (c.points(), c.weights()) {
            (&[a, b, c, d], None) => {
                let cubic = lyon::CubicBezierSegment { from: at(a), ctrl1: at(b), ctrl2: at(c), to: at(d) };
                cubic.for_each_flattened_with_t(tolerance, &mut |_, t| within(t.end, inner));
            }
            (&[a, b, c], None) => {
                let quadratic = lyon::QuadraticBezierSegment { from: at(a), ctrl: at(b), to: at(c) };
                quadratic.for_each_flattened_with_t(tolerance, &mut |_, t| within(t.end, inner));
            }
            _ => halved(curve, (0.0, 1.0), tolerance, 0, inner),
        },
    }
}

fn within(t: f64, inner: &mut dyn FnMut(f64)) {
    if t > 0.0 && t < 1.0 {
        inner(t);
    }
}

/// Spans that lyon_geom has no kind for: halved until the chord is near at its quarters.
fn halved(curve: &Curve, (low, high): (f64, f64), tolerance: f64, depth: u32, inner: &mut dyn FnMut(f64)) {
    /// 2¹⁶ chords a span are past any tolerance that is a length.
    const DEEPEST: u32 = 16;
    let chord = Curve::line(curve.at(low), curve.at(high));
    let near = [0.25, 0.5, 0.75]
        .iter()
        .all(|share| chord.distance(curve.at(low + (high - low) * share)) <= tolerance);
    if depth >= DEEPEST || (near && depth > 0) {
        within(high, inner);
        return;
    }
    let middle = 0.5 * (low + high);
    halved(curve, (low, middle), tolerance, depth + 1, inner);
    halved(curve, (middle, high), tolerance, depth + 1, inner);
}
