//! Contacts of curves for which there is no closed form: ellipse arcs and spans, with each other and with lines and
//! arcs.
//!
//! Own work: pieces that rise or fall all along are halved while their boxes meet, crossings polished by Newton's method,
//! touches found by bisection of the angle between the curves.

use super::budget::{Budget, POLISH, search_of};
use super::curve::Curve;
use super::meet::{Contact, touch_reach};
use super::point::{Bounds, Point};
use super::shared::{Shared, reaches, stretches};

/// Two pieces this many times halved are compared no further.
const DEEPEST: u32 = 100;
/// Pieces that together turn less than this (radians) from their chords bend gently enough to be judged by them.
const STRAIGHT: f64 = 0.5;
/// Comparisons spent on one pair of curves; two curves that run near each other would take them without end.
const COMPARISONS: usize = 20_000;
/// Comparisons after which the reaches of touches are measured and left out. Curves that cross, or touch as circles and lines
/// do, take some hundred.
const BEFORE_REACHES: usize = 4_000;

struct Halving<'a> {
    a: &'a Curve,
    b: &'a Curve,
    tolerance: f64,
    touch_reach: f64,
    /// Touches that are known from the ends: where, and the parameter on the first curve.
    touches: Vec<(Point, f64)>,
    left: usize,
    /// Where on the first curve no comparisons were left.
    given_up: Option<f64>,
    budget: &'a mut Budget,
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
/// while their boxes meet, then polished by Newton's method. Where that takes too long the budget is spent: some contacts may
/// be missing.
pub(super) fn by_halving(
    a: &Curve,
    b: &Curve,
    tolerance: f64,
    budget: &mut Budget,
    found: &mut Vec<Contact>,
) {
    let touch_reach = touch_reach(a, b, tolerance);
    let touches = tangent_ends(a, b, tolerance, touch_reach);
    // Where they run along each other the ends of the stretch are all there is to find.
    let mut shared = stretches(a, b, tolerance, budget);
    let mut most = BEFORE_REACHES;
    loop {
        let mut search = Halving {
            a,
            b,
            tolerance,
            touch_reach,
            touches: touches.clone(),
            left: most,
            given_up: None,
            budget: &mut *budget,
            found: Vec::new(),
        };
        search.halve_all(&shared);
        let (given_up, found_here) = (search.given_up, search.found);
        if given_up.is_none() || most == COMPARISONS || budget.is_spent() {
            found.extend(found_here);
            if given_up.is_some() {
                budget.give_up();
            }
            return;
        }
        // What takes so many comparisons is a touch of high order, as a rule, from which the curves part slowly.
        let known = touches.iter().map(|(_, s)| *s).chain(found_here.iter().map(|contact| contact.a));
        let reaches = reaches(a, b, known.chain(given_up), (tolerance, touch_reach), &shared, budget);
        if reaches.is_empty() {
            most = COMPARISONS;
        }
        for (place, contact) in reaches {
            shared.push(place);
            found.extend(contact);
        }
    }
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

impl Halving<'_> {
    /// Compares all pieces, but those that share a place with each other.
    fn halve_all(&mut self, shared: &[Shared]) {
        let cut = |mut parts: Vec<f64>, ends: fn(&Shared) -> (f64, f64)| {
            parts.extend(shared.iter().map(ends).flat_map(|(low, high)| [low, high]));
            parts.sort_by(f64::total_cmp);
            parts.dedup();
            parts
        };
        let parts_a = cut(monotone_parts(self.a), |place| place.a);
        let parts_b = cut(monotone_parts(self.b), |place| place.b);
        for s in parts_a.windows(2) {
            for t in parts_b.windows(2) {
                let (s, t) = ((s[0], s[1]), (t[0], t[1]));
                if !shared.iter().any(|place| place.holds(s, t)) {
                    self.halve(s, t, 0);
                }
            }
        }
    }

    fn halve(&mut self, s: (f64, f64), t: (f64, f64), depth: u32) {
        if self.left == 0 {
            self.given_up.get_or_insert(0.5 * (s.0 + s.1));
            return;
        }
        if !self.budget.spend(1) {
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
            /// Middles of two pieces as small as the tolerance that meet are no further apart than so many.
            const MET: f64 = 2.0;
            let (s, t) = (0.5 * (s.0 + s.1), 0.5 * (t.0 + t.1));
            let point = self.a.at(s);
            if point.distance(self.b.at(t)) <= MET * self.tolerance {
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
        /// The parameter of a touch is found to this: the distance changes by its square.
        const FINEST: f64 = 1e-12;
        if !self.budget.spend(2 * search_of(self.b)) {
            return true;
        }
        let turn = |x: f64| self.a.derivative(x).cross(self.b.derivative(self.b.nearest(self.a.at(x))));
        let (at_low, at_high) = (turn(low), turn(high));
        if at_low * at_high > 0.0 {
            return false;
        }
        if !self.budget.spend(HALVINGS * search_of(self.b)) {
            return true;
        }
        while high - low > FINEST {
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
        /// Between the three places where it is looked at a piece may turn a little more.
        const MORE: f64 = 1.5;
        let angle = chord_a.cross(chord_b).abs().atan2(chord_a.dot(chord_b).abs());
        angle > MORE * (turn_a + turn_b) && turn_a + turn_b < STRAIGHT
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
        /// What is further off than so many tolerances does not touch, whatever the rounding.
        const APART: f64 = 2.0;
        let length = chord_a.length();
        if turn_a + turn_b >= STRAIGHT || length == 0.0 {
            return false;
        }
        let off = chord_a.cross(from_b - from_a) / length;
        let off_end = chord_a.cross(from_b + chord_b - from_a) / length;
        let rise = length * turn_a.tan() + chord_b.length() * turn_b.tan();
        off * off_end > 0.0 && off.abs().min(off_end.abs()) > rise + APART * self.tolerance
    }

    /// Newton on a(s) = b(t). True when the matter of these two pieces is settled.
    fn polish(&mut self, s: (f64, f64), t: (f64, f64)) -> bool {
        const STEPS: usize = 20;
        /// Newton doubles the digits with each step: after one that is this share of the tolerance only rounding moves.
        const SETTLED: f64 = 1e-3;
        if !self.budget.spend(POLISH) {
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
            let was_near = std::mem::replace(&mut converged, moved <= SETTLED * self.tolerance);
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
