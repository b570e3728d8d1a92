//! Where curves meet: crossings, touches, ends that lie on another curve.
//!
//! Lines and arcs in closed form (Cramer's rule; the line of centres of two circles), other curves in `halving`.

use std::cell::LazyCell;
use std::f64::consts::TAU;
use std::fmt;

use super::arc::Arc;
use super::budget::{Budget, SEARCH, search_of};
use super::curve::{Curve, Line};
use super::halving::by_halving;
use super::point::Point;

/// A place where two curves meet within a tolerance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Contact {
    /// Parameter on the first curve.
    pub a: f64,
    /// Parameter on the second curve.
    pub b: f64,
    /// The place, on the first curve.
    pub point: Point,
}

/// All places where `a` and `b` come within `tolerance` of each other, as single places: crossings, touches and
/// ends of one on the other, in rising order on `a`. Where the two run along each other only the ends of the
/// common stretch are given.
///
/// # Errors
/// Where they run near each other over and over the search ends after some seconds at the most. What it has found then may
/// not be all.
pub fn contacts(a: &Curve, b: &Curve, tolerance: f64) -> Result<Vec<Contact>, IncompleteContacts> {
    let mut budget = Budget::for_one_pair();
    let found = contacts_within(a, b, tolerance, &mut budget);
    if budget.is_spent() { Err(IncompleteContacts { found }) } else { Ok(found) }
}

/// Two curves run near each other over and over, so that the search for all places where they meet was given up.
#[derive(Clone, Debug, PartialEq)]
pub struct IncompleteContacts {
    /// Those that were found, perhaps not all.
    pub found: Vec<Contact>,
}

impl fmt::Display for IncompleteContacts {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("the curves run so near to each other that not all places where they meet could be found")
    }
}

impl std::error::Error for IncompleteContacts {}

/// As [`contacts`], for as long as the budget is not spent; if it is in the end, some may be missing.
pub(crate) fn contacts_within(a: &Curve, b: &Curve, tolerance: f64, budget: &mut Budget) -> Vec<Contact> {
    if budget.is_spent() {
        return Vec::new();
    }
    let mut found = Vec::new();
    // Ends first: of several contacts at one place the one at an end is kept.
    for (t, end) in [(0.0, b.start()), (1.0, b.end())] {
        if let Some(s) = a.passes(end, tolerance) {
            found.push(Contact { a: s, b: t, point: a.at(s) });
        }
    }
    for (s, end) in [(0.0, a.start()), (1.0, a.end())] {
        if let Some(t) = b.passes(end, tolerance) {
            found.push(Contact { a: s, b: t, point: end });
        }
    }
    match (a, b) {
        (Curve::Line(p), Curve::Line(q)) => line_line(p, q, tolerance, &mut found),
        (Curve::Line(p), Curve::Arc(q)) => line_arc(p, q, tolerance, &mut |s, t| (s, t), &mut found),
        (Curve::Arc(p), Curve::Line(q)) => line_arc(q, p, tolerance, &mut |s, t| (t, s), &mut found),
        (Curve::Arc(p), Curve::Arc(q)) => arc_arc(p, q, tolerance, &mut found),
        _ => {
            // Each end that lies on the other curve is sought several times, and then what lies between the ends.
            if budget.spend(SEARCH * (3 + 4 * found.len())) {
                // What is nearest on the second curve is asked over and over.
                if a.has_closed_forms() {
                    let mut others = Vec::new();
                    by_halving(b, a, tolerance, budget, &mut others);
                    found.extend(others.iter().map(|c| Contact { a: c.b, b: c.a, point: a.at(c.b) }));
                } else {
                    by_halving(a, b, tolerance, budget, &mut found);
                }
            }
        }
    }
    merged(found, a, b, tolerance, budget)
}

/// One contact for each place; ends snap to the parameters 0 and 1.
fn merged(found: Vec<Contact>, a: &Curve, b: &Curve, tolerance: f64, budget: &mut Budget) -> Vec<Contact> {
    /// So many comparisons of places take the time of one of pieces.
    const PLACES: usize = 64;
    /// Contacts no further apart than so many tolerances are one place: each is known to one.
    const ONE_PLACE: f64 = 2.0;
    // Asked for only where there is more than one contact.
    let touch_reach = LazyCell::new(|| touch_reach(a, b, tolerance));
    let snapped = |curve: &Curve, t: f64, point: Point| {
        if point.distance(curve.start()) <= tolerance && t < 0.5 {
            0.0
        } else if point.distance(curve.end()) <= tolerance && t >= 0.5 {
            1.0
        } else {
            t
        }
    };
    let mut kept: Vec<Contact> = Vec::with_capacity(found.len());
    for contact in found {
        let contact = Contact {
            a: snapped(a, contact.a, contact.point),
            b: snapped(b, contact.b, contact.point),
            ..contact
        };
        // On a closed curve start and end are one place; on an open one a place passed twice is two contacts.
        let same = |curve: &Curve, s: f64, t: f64| (s - t).abs() < 0.5 || curve.is_closed();
        if !budget.spend(kept.len() / PLACES) {
            break;
        }
        let known = kept.iter().any(|k| {
            let apart = k.point.distance(contact.point);
            let one_place =
                apart <= ONE_PLACE * tolerance && same(a, k.a, contact.a) && same(b, k.b, contact.b);
            one_place || (apart <= *touch_reach && is_one_touch(k, &contact, a, b, tolerance, budget))
        });
        if !known {
            kept.push(contact);
        }
    }
    kept.sort_by(|x, y| x.a.total_cmp(&y.a).then(x.b.total_cmp(&y.b)));
    kept
}

/// Curves that touch stay within the tolerance of each other for about this far.
pub(super) fn touch_reach(a: &Curve, b: &Curve, tolerance: f64) -> f64 {
    /// A circle and a line that touch part by the tolerance at the square root of the circle's diameter times that; flatter
    /// curves stay together for longer.
    const REACH: f64 = 4.0;
    REACH * (tolerance * a.bounds().size().min(b.bounds().size())).sqrt()
}

/// Two contacts between which the curves stay within the tolerance of each other are one touch, found twice; ends
/// are told apart all the same.
fn is_one_touch(
    known: &Contact,
    other: &Contact,
    a: &Curve,
    b: &Curve,
    tolerance: f64,
    budget: &mut Budget,
) -> bool {
    let is_end = |t: f64| t == 0.0 || t == 1.0;
    if is_end(other.a) || is_end(other.b) {
        return false;
    }
    let middle = a.at(0.5 * (known.a + other.a));
    middle.distance(known.point) <= known.point.distance(other.point)
        && budget.spend(search_of(b))
        && b.distance(middle) <= tolerance
}

fn line_line(p: &Line, q: &Line, tolerance: f64, found: &mut Vec<Contact>) {
    let (along, across, between) = (p.end - p.start, q.end - q.start, q.start - p.start);
    let turn = along.cross(across);
    // Lines that part by no more than the tolerance run along each other, and their ends say where; the place where
    // rounding lets them cross would be anywhere.
    if turn.abs() <= tolerance * along.length().max(across.length()) {
        return;
    }
    let (s, t) = (between.cross(across) / turn, between.cross(along) / turn);
    let within = |t: f64, length: f64| t * length >= -tolerance && (t - 1.0) * length <= tolerance;
    if within(s, along.length()) && within(t, across.length()) {
        let s = s.clamp(0.0, 1.0);
        found.push(Contact { a: s, b: t.clamp(0.0, 1.0), point: p.start.towards(p.end, s) });
    }
}

/// The parameter of an arc at the point `out` from its centre, when that is on the arc within the tolerance.
fn arc_parameter(arc: &Arc, out: Point, tolerance: f64) -> Option<f64> {
    let (turn, whole) = (arc.turn_to(out.angle()), arc.sweep.abs());
    let slack = tolerance / arc.radius;
    if turn <= whole {
        Some(turn / whole)
    } else if turn - whole <= slack {
        Some(1.0)
    } else if TAU - turn <= slack {
        Some(0.0)
    } else {
        None
    }
}

fn line_arc(
    line: &Line,
    arc: &Arc,
    tolerance: f64,
    order: &mut dyn FnMut(f64, f64) -> (f64, f64),
    found: &mut Vec<Contact>,
) {
    let along = line.end - line.start;
    let length = along.length();
    if length == 0.0 {
        return;
    }
    let unit = along * length.recip();
    let to_center = arc.center - line.start;
    let (foot, height) = (to_center.dot(unit), unit.cross(to_center));
    let over = height.abs() - arc.radius;
    if over > tolerance {
        return;
    }
    // A tangent is one touch: the two crossings it may have lie within the tolerance of each other's arc.
    let half = if over >= -tolerance {
        0.0
    } else {
        ((arc.radius - height) * (arc.radius + height)).max(0.0).sqrt()
    };
    let sides: &[f64] = if half == 0.0 { &[0.0] } else { &[-1.0, 1.0] };
    for side in sides {
        let distance = foot + half * side;
        if distance < -tolerance || distance > length + tolerance {
            continue;
        }
        let s = (distance / length).clamp(0.0, 1.0);
        let point = line.start.towards(line.end, s);
        if let Some(t) = arc_parameter(arc, line.start + unit * distance - arc.center, tolerance) {
            let (a, b) = order(s, t);
            found.push(Contact { a, b, point });
        }
    }
}

fn arc_arc(p: &Arc, q: &Arc, tolerance: f64, found: &mut Vec<Contact>) {
    let between = q.center - p.center;
    let distance = between.length();
    // Circles about one centre either coincide (the ends are all there is to say) or never meet.
    if distance <= tolerance && (p.radius - q.radius).abs() <= tolerance {
        return;
    }
    if distance == 0.0 {
        return;
    }
    let (sum, difference) = (p.radius + q.radius, (p.radius - q.radius).abs());
    if distance > sum + tolerance || distance < difference - tolerance {
        return;
    }
    let unit = between * distance.recip();
    // Along the line of centres: (d² + r² − R²)/2d, written so that it keeps its digits.
    let foot = 0.5 * (distance + (p.radius - q.radius) * (p.radius + q.radius) / distance);
    let tangent = distance >= sum - tolerance || distance <= difference + tolerance;
    let half = if tangent { 0.0 } else { ((p.radius - foot) * (p.radius + foot)).max(0.0).sqrt() };
    let sides: &[f64] = if half == 0.0 { &[0.0] } else { &[-1.0, 1.0] };
    for side in sides {
        let out = if half == 0.0 {
            unit * (p.radius * foot.signum())
        } else {
            unit * foot + unit.quarter_turned() * (half * side)
        };
        let point = p.center + out;
        if let (Some(a), Some(b)) =
            (arc_parameter(p, out, tolerance), arc_parameter(q, point - q.center, tolerance))
        {
            found.push(Contact { a, b, point });
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::arc::EllipseArc;
    use super::super::span::Span;
    use super::*;

    fn places(a: &Curve, b: &Curve) -> Vec<Point> {
        contacts(a, b, 1e-9).unwrap().iter().map(|c| c.point).collect()
    }

    fn assert_places(found: &[Point], expected: &[(f64, f64)]) {
        assert_eq!(found.len(), expected.len(), "{found:?} for {expected:?}");
        for expected in expected {
            let expected = Point::new(expected.0, expected.1);
            assert!(found.iter().any(|p| p.distance(expected) < 1e-8), "{expected:?} is not in {found:?}");
        }
    }

    #[test]
    fn lines_cross_touch_and_overlap() {
        let base = Curve::line(Point::new(0.0, 0.0), Point::new(10.0, 0.0));
        let line = |a: (f64, f64), b: (f64, f64)| Curve::line(Point::new(a.0, a.1), Point::new(b.0, b.1));
        assert_places(&places(&base, &line((3.0, -1.0), (3.0, 2.0))), &[(3.0, 0.0)]);
        assert_places(&places(&base, &line((3.0, 0.0), (7.0, 2.0))), &[(3.0, 0.0)]);
        assert_places(&places(&base, &line((4.0, 0.0), (15.0, 0.0))), &[(4.0, 0.0), (10.0, 0.0)]);
        assert!(places(&base, &line((3.0, 1e-6), (7.0, 2.0))).is_empty());
        // Collinear but for rounding: the ends alone, not a crossing somewhere between them.
        let along = line((-1.0, 1e-15), (11.0, -1e-15));
        assert_places(&places(&base, &along), &[(0.0, 0.0), (10.0, 0.0)]);
        assert_places(&places(&base, &base.reversed()), &[(0.0, 0.0), (10.0, 0.0)]);
    }

    #[test]
    fn lines_and_arcs() {
        let circle = Curve::Arc(Arc::circle(Point::new(5.0, 1.0), 5.0));
        let line = |a: (f64, f64), b: (f64, f64)| Curve::line(Point::new(a.0, a.1), Point::new(b.0, b.1));
        assert_places(&places(&circle, &line((-10.0, 1.0), (20.0, 1.0))), &[(0.0, 1.0), (10.0, 1.0)]);
        assert_places(&places(&line((-10.0, -4.0), (20.0, -4.0)), &circle), &[(5.0, -4.0)]);
        let quarter = Curve::Arc(Arc::new(Point::new(5.0, 1.0), 5.0, 0.0, 1.5));
        assert_places(&places(&quarter, &line((-10.0, 4.0), (20.0, 4.0))), &[(9.0, 4.0)]);
    }

    #[test]
    fn arcs_and_arcs() {
        let circle = |x: f64, y: f64, r: f64| Curve::Arc(Arc::circle(Point::new(x, y), r));
        assert_places(&places(&circle(0.0, 0.0, 5.0), &circle(6.0, 0.0, 5.0)), &[(3.0, 4.0), (3.0, -4.0)]);
        assert_places(&places(&circle(0.0, 0.0, 5.0), &circle(8.0, 0.0, 3.0)), &[(5.0, 0.0)]);
        assert_places(&places(&circle(0.0, 0.0, 5.0), &circle(0.0, -2.0, 3.0)), &[(0.0, -5.0)]);
        assert!(places(&circle(0.0, 0.0, 5.0), &circle(0.5, 0.0, 3.0)).is_empty());
    }

    #[test]
    fn spans_of_a_smooth_outline_meet_at_their_joint() {
        let span = |points: [(f64, f64); 4]| {
            Curve::from(Span::polynomial(points.map(|p| Point::new(p.0, p.1)).to_vec()).unwrap())
        };
        let first = span([(0.0, 0.0), (3.0, -1.0), (6.0, 2.0), (7.0, 5.0)]);
        let second = span([(7.0, 5.0), (8.0, 8.0), (5.0, 11.0), (2.0, 10.0)]);
        assert_places(&places(&first, &second), &[(7.0, 5.0)]);
        // Joined smoothly and crossing elsewhere.
        let back = span([(7.0, 5.0), (9.0, 11.0), (-4.0, 4.0), (4.0, -2.0)]);
        let found = contacts(&first, &back, 1e-9).unwrap();
        assert_eq!(found.len(), 2, "{found:?}");
        assert!(found.iter().all(|c| first.at(c.a).distance(back.at(c.b)) < 1e-9));
    }

    #[test]
    fn spans_that_cross_just_beside_an_end() {
        let span = |points: [(f64, f64); 4]| {
            Curve::from(Span::polynomial(points.map(|p| Point::new(p.0, p.1)).to_vec()).unwrap())
        };
        // The second begins 0.003 off the first and crosses it at once.
        let first = span([
            (195.53689749958764, -4.906431678594913),
            (202.93535502734883, -10.635453378001083),
            (220.69148994961645, -5.7114665169917735),
            (228.00654740385392, -2.278210488697612),
        ]);
        let second = span([
            (226.10432494203928, -3.1050265870109133),
            (234.04114328769205, -6.7630134651798635),
            (247.62005653537713, -11.889140602928121),
            (253.16940345868178, -6.4372708052779135),
        ]);
        assert_eq!(contacts(&first, &second, 1e-9).unwrap().len(), 1);
        assert_eq!(contacts(&second, &first, 1e-9).unwrap().len(), 1);
    }

    #[test]
    fn ellipses_and_spans() {
        let ellipse =
            Curve::from(EllipseArc::new(Point::ORIGIN, Point::new(5.0, 0.0), Point::new(0.0, 3.0), 0.0, TAU));
        let vertical = Curve::line(Point::new(4.0, -10.0), Point::new(4.0, 10.0));
        assert_places(&places(&ellipse, &vertical), &[(4.0, 1.8), (4.0, -1.8)]);
        let tangent = Curve::line(Point::new(-10.0, 3.0), Point::new(10.0, 3.0));
        assert_places(&places(&tangent, &ellipse), &[(0.0, 3.0)]);
        // x = t, y = t² against y = 1/4.
        let parabola = Curve::Span(
            Span::polynomial(vec![Point::new(-1.0, 1.0), Point::new(0.0, -1.0), Point::new(1.0, 1.0)])
                .unwrap(),
        );
        let level = Curve::line(Point::new(-2.0, 0.25), Point::new(2.0, 0.25));
        assert_places(&places(&parabola, &level), &[(-0.5, 0.25), (0.5, 0.25)]);
        let circle = Curve::Arc(Arc::circle(Point::ORIGIN, 3.0));
        assert_places(&places(&circle, &ellipse), &[(0.0, 3.0), (0.0, -3.0)]);
        assert!(contacts(&ellipse, &ellipse.between(0.1, 0.4), 1e-9).unwrap().len() == 2);
    }
}
