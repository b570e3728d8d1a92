//! Two curves that follow on each other: whether their joint is all that they have in common.
//!
//! Own work, from the second place where a line and a circle meet, and the line of centres of two circles.

use super::arc::Arc;
use super::curve::Curve;
use super::point::Point;

/// Two lines or arcs that have one end in common, to the last bit, and nothing else within the tolerance, as far as can be
/// told at once; false where it takes a closer look. `a` ends where `b` begins, or they meet at their other ends.
pub(crate) fn meet_at_joint_alone(a: &Curve, b: &Curve, tolerance: f64) -> bool {
    let (joint, far_a, far_b) = match (a.end() == b.start(), a.start() == b.end()) {
        (true, false) => (a.end(), a.start(), b.end()),
        (false, true) => (a.start(), a.end(), b.start()),
        _ => return false,
    };
    /// What is not nearer than so many tolerances to all of a line or circle does not lie on it, whatever the rounding.
    const APART: f64 = 2.0;
    /// Circles touch at their joint where it lies beside the line of their centres by no more than this share of the
    /// tolerance: they meet again twice as far off, mirrored in that line.
    const BESIDE: f64 = 0.25;
    let apart = APART * tolerance;
    let off_line = |unit: Point, place: Point| unit.cross(place - joint).abs() > apart;
    let off_circle =
        |circle: &Arc, place: Point| (place.distance(circle.center) - circle.radius).abs() > apart;
    match (a, b) {
        (Curve::Line(_), Curve::Line(_)) => {
            let (along, next) = (far_a - joint, far_b - joint);
            along.cross(next) != 0.0 || along.dot(next) < 0.0
        }
        (Curve::Line(_), Curve::Arc(arc)) | (Curve::Arc(arc), Curve::Line(_)) => {
            let (end_of_line, end_of_arc) =
                if matches!(a, Curve::Line(_)) { (far_a, far_b) } else { (far_b, far_a) };
            let length = joint.distance(end_of_line);
            let unit = (end_of_line - joint) * length.recip();
            // The line meets the circle at the joint and this far on: not at all where it leads out of the circle or
            // touches it, and not where it ends before.
            let second = 2.0 * unit.dot(arc.center - joint);
            (second <= tolerance || second >= length + apart)
                && off_circle(arc, end_of_line)
                && off_line(unit, end_of_arc)
        }
        (Curve::Arc(p), Curve::Arc(q)) => {
            // Circles that touch at the joint meet nowhere else.
            let between = q.center - p.center;
            let beside = between.cross(joint - p.center).abs();
            beside <= BESIDE * tolerance * between.length() && off_circle(p, far_b) && off_circle(q, far_a)
        }
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::super::meet::contacts;
    use super::*;

    /// Where a joint is all that two curves have in common, the search finds nothing beside it, which it knows of the
    /// corners and fillets that outlines are made of, but not of curves that meet again.
    #[test]
    fn joints_are_told_from_curves_that_meet_again() {
        let tolerance = 1e-7;
        let joint = Point::new(40.0, -15.0);
        let to = |angle: f64, length: f64| Curve::line(joint, joint + Point::at_angle(angle) * length);
        // An arc that ends at the joint: its centre lies in this direction from there.
        let from = |angle: f64, radius: f64, sweep: f64| {
            let center = joint + Point::at_angle(angle) * radius;
            let start = center + Point::at_angle(angle + std::f64::consts::PI - sweep) * radius;
            Curve::Arc(Arc {
                start,
                end: joint,
                ..Arc::new(center, radius, angle + std::f64::consts::PI - sweep, sweep)
            })
        };
        let (mut apart, mut again) = (0, 0);
        for a in 0..24 {
            for (radius, sweep) in [(12.0, 1.6), (12.0, -0.4), (30.0, 4.9), (7.0, -2.9)] {
                let arc = from(f64::from(a) * 0.262, radius, sweep);
                let others = [
                    to(0.0, 25.0),
                    to(2.1, 9.0),
                    from(1.0, 20.0, 2.5).reversed(),
                    from(1.0, 12.0, -0.9).reversed(),
                ];
                for other in &others {
                    let beside = contacts(&arc, other, tolerance)
                        .unwrap()
                        .iter()
                        .filter(|c| c.a != 1.0 || c.b != 0.0)
                        .count();
                    let alone = meet_at_joint_alone(&arc, other, tolerance);
                    assert!(!alone || beside == 0, "{a} {radius} {sweep} {other:?}");
                    apart += usize::from(alone);
                    again += usize::from(beside > 0);
                }
            }
        }
        assert!(apart > 60 && again > 20, "{apart} told, {again} meet again");
        // A fillet between two lines at a right angle.
        let fillet = from(std::f64::consts::FRAC_PI_2, 12.0, std::f64::consts::FRAC_PI_2);
        assert!(meet_at_joint_alone(&fillet, &to(0.0, 25.0), tolerance));
    }
}
