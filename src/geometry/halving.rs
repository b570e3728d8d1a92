//! Contacts of curves for which there is no closed form: ellipse arcs and spans, with each other and with lines and
//! arcs.

use super::curve::Curve;
use super::effort::{Effort, POLISH, search_of};
use super::meet::{Contact, touch_reach};
use super::point::{Bounds, Point};

/// Two pieces this many times halved are compared no further.
const DEEPEST: u32 = 100;
/// Pieces that together turn less than this (radians) from their chords bend gently enough to be judged by them.
const STRAIGHT: f64 = 0.5;
/// Comparisons spent on one pair of curves; two curves that run along each other would take them without end.
const COMPARISONS: usize = 20_000;

struct Halving<'a> {
    a: &'a Curve,
    b: &'a Curve,
    tolerance: f64,
    touch_reach: f64,
    /// Touches that are known from the ends: where, and the parameter on the first curve.
    touches: Vec<(Point, f64)>,
    left: usize,
    effort: &'a mut Effort,
    found: Vec<Contact>,
}

/// The places where an end of one curve touches the other, along its direction: a smooth joint, a fillet that runs out.
fn tangent_ends(a: &Curve, b: &Curve, tolerance: f64, touch_reach: f64) -> Vec<(Point, f64)> {
    // Two curves that touch at a smaller angle than this meet again within the reach of the touch, if at all.
    let angle = touch_reach / a.bounds().size().min(b.bounds().size());
    let mut places = Vec::new();
    for (curve, other) in [(a, b), (b, a)] {
        for (end, t) in [(curve.start(), 0.0), (curve.end(), 1.0)] {
            let Some(s) = other.passes(end, tolerance) else { continue };
            let along = other.derivative(s);
            if curve.tangent(t).cross(along).abs() <= angle * along.length() {
                places.push((end, a.nearest(end)));
            }
        }
    }
    places
}

/// Contacts of any two curves: pieces that rise or fall all along (their box is that of their ends) are halved
/// while their boxes meet, then polished by Newton's method.
pub(super) fn by_halving(
    a: &Curve,
    b: &Curve,
    tolerance: f64,
    effort: &mut Effort,
    found: &mut Vec<Contact>,
) {
    if runs_along(a, b, tolerance) {
        return;
    }
    let touch_reach = touch_reach(a, b, tolerance);
    let touches = tangent_ends(a, b, tolerance, touch_reach);
    let (left, found_here) = (COMPARISONS, Vec::new());
    let mut search = Halving { a, b, tolerance, touch_reach, touches, left, effort, found: found_here };
    let (parts_a, parts_b) = (monotone_parts(a), monotone_parts(b));
    for s in parts_a.windows(2) {
        for t in parts_b.windows(2) {
            search.halve((s[0], s[1]), (t[0], t[1]), 0);
        }
    }
    found.extend(search.found);
}

/// Parameters from 0 to 1 between which the curve rises or falls in both x and y.
fn monotone_parts(curve: &Curve) -> Vec<f64> {
    let mut parts: Vec<f64> = vec![0.0, 1.0];
    parts.extend(curve.extremes(Point::new(1.0, 0.0)));
    parts.extend(curve.extremes(Point::new(0.0, 1.0)));
    parts.sort_by(f64::total_cmp);
    parts.dedup();
    parts
}

/// The two share a stretch: between two neighbouring ends of one on the other they stay within the tolerance.
fn runs_along(a: &Curve, b: &Curve, tolerance: f64) -> bool {
    let mut on_a: Vec<f64> =
        [b.start(), b.end()].into_iter().filter_map(|end| a.passes(end, tolerance)).collect();
    for (s, end) in [(0.0, a.start()), (1.0, a.end())] {
        if b.passes(end, tolerance).is_some() {
            on_a.push(s);
        }
    }
    on_a.sort_by(f64::total_cmp);
    on_a.windows(2).any(|pair| {
        a.at(pair[0]).distance(a.at(pair[1])) > 4.0 * tolerance
            && [0.25, 0.5, 0.75]
                .iter()
                .all(|share| b.distance(a.at(pair[0] + (pair[1] - pair[0]) * share)) <= tolerance)
    })
}

impl Halving<'_> {
    fn halve(&mut self, s: (f64, f64), t: (f64, f64), depth: u32) {
        if self.left == 0 || !self.effort.spend(1) {
            return;
        }
        self.left -= 1;
        let (a0, a1, b0, b1) = (self.a.at(s.0), self.a.at(s.1), self.b.at(t.0), self.b.at(t.1));
        let (box_a, box_b) = (Bounds::around([a0, a1]), Bounds::around([b0, b1]));
        if !box_a.grown(self.tolerance).meets(&box_b) {
            return;
        }
        let (chord_a, chord_b) = (Self::chord(self.a, s), Self::chord(self.b, t));
        if self.side_by_side(a0, chord_a, b0, chord_b) {
            return;
        }
        if Self::single_crossing(chord_a, chord_b) && self.polish(s, t) {
            return;
        }
        if depth >= DEEPEST || box_a.size().max(box_b.size()) <= self.tolerance {
            let (s, t) = (0.5 * (s.0 + s.1), 0.5 * (t.0 + t.1));
            let point = self.a.at(s);
            if point.distance(self.b.at(t)) <= 2.0 * self.tolerance {
                self.record(s, t);
            }
            return;
        }
        if box_a.size().max(box_b.size()) <= self.touch_reach
            && (self.beside_a_touch(&box_a, &box_b) || self.touches(s))
        {
            return;
        }
        if box_a.size() >= box_b.size() {
            let middle = 0.5 * (s.0 + s.1);
            self.halve((s.0, middle), t, depth + 1);
            self.halve((middle, s.1), t, depth + 1);
        } else {
            let middle = 0.5 * (t.0 + t.1);
            self.halve(s, (t.0, middle), depth + 1);
            self.halve(s, (middle, t.1), depth + 1);
        }
    }

    /// Within reach of a touch that is known there is no other.
    fn beside_a_touch(&self, box_a: &Bounds, box_b: &Bounds) -> bool {
        let around = box_a.union(*box_b).grown(self.touch_reach);
        self.touches.iter().any(|(place, _)| around.contains_point(*place))
    }

    /// Looks for the place where the two run parallel, within these pieces or just beside them; records it when
    /// they are within the tolerance of each other there.
    fn touches(&mut self, s: (f64, f64)) -> bool {
        let width = s.1 - s.0;
        let (mut low, mut high) = ((s.0 - width).max(0.0), (s.1 + width).min(1.0));
        if self.touches.iter().any(|(_, known)| low <= *known && *known <= high) {
            return false;
        }
        /// As many searches as a bracket of at most the whole curve is halved.
        const HALVINGS: usize = 40;
        if !self.effort.spend(2 * search_of(self.b)) {
            return true;
        }
        let turn = |x: f64| self.a.derivative(x).cross(self.b.derivative(self.b.nearest(self.a.at(x))));
        let (at_low, at_high) = (turn(low), turn(high));
        if at_low * at_high > 0.0 {
            return false;
        }
        if !self.effort.spend(HALVINGS * search_of(self.b)) {
            return true;
        }
        while high - low > 1e-12 {
            let middle = 0.5 * (low + high);
            if (turn(middle) > 0.0) == (at_high > 0.0) {
                high = middle;
            } else {
                low = middle;
            }
            if middle == low && middle == high {
                break;
            }
        }
        let x = 0.5 * (low + high);
        let y = self.b.nearest(self.a.at(x));
        if self.a.at(x).distance(self.b.at(y)) > self.tolerance {
            return false;
        }
        self.record(x, y);
        true
    }

    /// The chord of a piece, and how far the piece turns from it at its ends and its middle.
    fn chord(curve: &Curve, (low, high): (f64, f64)) -> (Point, f64) {
        let chord = curve.at(high) - curve.at(low);
        let turn = |x: f64| {
            let direction = curve.derivative(x);
            chord.cross(direction).atan2(chord.dot(direction)).abs()
        };
        (chord, turn(low).max(turn(high)).max(turn(0.5 * (low + high))))
    }

    /// The directions that the two pieces take do not overlap, so they cross once at the most.
    fn single_crossing((chord_a, turn_a): (Point, f64), (chord_b, turn_b): (Point, f64)) -> bool {
        let angle = chord_a.cross(chord_b).abs().atan2(chord_a.dot(chord_b).abs());
        angle > 1.5 * (turn_a + turn_b) && turn_a + turn_b < STRAIGHT
    }

    /// One piece lies to one side of the other's chord, further off than both rise from their chords. The boxes of
    /// pieces that run askew side by side tell that only when they are cut very small.
    fn side_by_side(
        &self,
        from_a: Point,
        (chord_a, turn_a): (Point, f64),
        from_b: Point,
        (chord_b, turn_b): (Point, f64),
    ) -> bool {
        let length = chord_a.length();
        if turn_a + turn_b >= STRAIGHT || length == 0.0 {
            return false;
        }
        let off = chord_a.cross(from_b - from_a) / length;
        let off_end = chord_a.cross(from_b + chord_b - from_a) / length;
        let rise = length * turn_a.tan() + chord_b.length() * turn_b.tan();
        off * off_end > 0.0 && off.abs().min(off_end.abs()) > rise + 2.0 * self.tolerance
    }

    /// Newton on a(s) = b(t). True when the matter of these two pieces is settled.
    fn polish(&mut self, s: (f64, f64), t: (f64, f64)) -> bool {
        const STEPS: usize = 20;
        if !self.effort.spend(POLISH) {
            return true;
        }
        let (mut x, mut y) = (0.5 * (s.0 + s.1), 0.5 * (t.0 + t.1));
        let mut converged = false;
        for _ in 0..STEPS {
            let gap = self.b.at(y) - self.a.at(x);
            let (da, db) = (self.a.derivative(x), self.b.derivative(y));
            let turn = da.cross(db);
            if turn == 0.0 {
                return false;
            }
            let (step_x, step_y) = (gap.cross(db) / turn, gap.cross(da) / turn);
            // Beyond its ends a curve does not go on.
            (x, y) = ((x + step_x).clamp(0.0, 1.0), (y + step_y).clamp(0.0, 1.0));
            let moved = (step_x.abs() * da.length()).max(step_y.abs() * db.length());
            // Newton doubles the digits with each step: after one this small only rounding moves.
            let was_near = std::mem::replace(&mut converged, moved <= 1e-3 * self.tolerance);
            if was_near && converged {
                break;
            }
        }
        let slack = |curve: &Curve, part: (f64, f64)| {
            let speed = curve.derivative(0.5 * (part.0 + part.1)).length();
            if speed > 0.0 { self.tolerance / speed } else { 0.0 }
        };
        let inside = |x: f64, part: (f64, f64), slack: f64| x >= part.0 - slack && x <= part.1 + slack;
        if inside(x, s, slack(self.a, s)) && inside(y, t, slack(self.b, t)) {
            let meets = self.a.at(x).distance(self.b.at(y)) <= self.tolerance;
            if meets {
                self.record(x, y);
            }
            return meets;
        }
        // The curves cross once at most hereabouts, and that is beside these pieces. A crossing far from them tells
        // nothing: Newton may have run away from the one that is here.
        converged && inside(x, s, s.1 - s.0) && inside(y, t, t.1 - t.0)
    }

    fn record(&mut self, a: f64, b: f64) {
        let point = self.a.at(a);
        self.found.push(Contact { a, b, point });
    }
}
