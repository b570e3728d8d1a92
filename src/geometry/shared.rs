//! Where two curves have more in common than places: stretches along which they run, and reaches of touches of high order,
//! from which they part slowly. Own work.

use super::budget::{Budget, search_of};
use super::curve::Curve;
use super::meet::Contact;
use super::point::Point;

/// Parts of two curves that run along each other.
#[derive(Clone, Copy, Debug)]
pub(super) struct Shared {
    /// Parameters on the first curve, rising.
    pub a: (f64, f64),
    /// Parameters on the second curve, rising.
    pub b: (f64, f64),
}

impl Shared {
    fn new(a: &Curve, b: &Curve, (low, high): (f64, f64)) -> Shared {
        let middle = b.nearest(a.at(0.5 * (low + high)));
        let (s, t) = (b.nearest_beside(a.at(low), middle), b.nearest_beside(a.at(high), middle));
        Shared { a: (low, high), b: (s.min(t), s.max(t)) }
    }

    /// Both pieces belong to it.
    pub fn holds(&self, s: (f64, f64), t: (f64, f64)) -> bool {
        self.a.0 <= s.0 && s.1 <= self.a.1 && self.b.0 <= t.0 && t.1 <= self.b.1
    }
}

/// Curves that keep within so many tolerances of each other run along each other: what is compared down to the last is one
/// place within as many.
const ALONG: f64 = 2.0;

/// The stretches that the curves share: between two neighbouring ends of one on the other they run along each other.
pub(super) fn stretches(a: &Curve, b: &Curve, tolerance: f64, budget: &mut Budget) -> Vec<Shared> {
    /// A stretch no longer than so many tolerances is a place.
    const STRETCH: f64 = 4.0;
    // Both ends of each are sought on the other.
    if !budget.spend(2 * (search_of(a) + search_of(b))) {
        return Vec::new();
    }
    let mut on_a: Vec<f64> =
        [b.start(), b.end()].into_iter().filter_map(|end| a.passes(end, tolerance)).collect();
    for (s, end) in [(0.0, a.start()), (1.0, a.end())] {
        if b.passes(end, tolerance).is_some() {
            on_a.push(s);
        }
    }
    on_a.sort_by(f64::total_cmp);
    let near = |s: f64| b.distance(a.at(s)) <= tolerance;
    on_a.windows(2)
        .map(|pair| (pair[0], pair[1]))
        .filter(|(low, high)| a.at(*low).distance(a.at(*high)) > STRETCH * tolerance)
        .filter(|(low, high)| [0.25, 0.5, 0.75].iter().all(|share| near(low + (high - low) * share)))
        .filter(|part| keeps_near(a, b, *part, ALONG * tolerance, budget))
        .map(|part| Shared::new(a, b, part))
        .collect()
}

/// A part of the first curve is nowhere further than that from the second, which is proved of its pieces.
fn keeps_near(a: &Curve, b: &Curve, part: (f64, f64), within: f64, budget: &mut Budget) -> bool {
    /// Parts of one curve take one piece, or some where arcs turn far; curves a hair apart some hundred.
    const PIECES: usize = 500;
    let mut waiting = vec![part];
    for _ in 0..PIECES {
        let Some((low, high)) = waiting.pop() else { return true };
        let middle = 0.5 * (low + high);
        if !budget.spend(3 * search_of(b)) {
            return false;
        }
        let beside = b.nearest(a.at(middle));
        if b.at(beside).distance(a.at(middle)) > within {
            return false;
        }
        let along = |t: f64| b.nearest_beside(a.at(t), beside);
        if a.apart_at_most((low, high), b, (along(low), along(high))) > within {
            waiting.extend([(middle, high), (low, middle)]);
        }
    }
    false
}

/// The reaches, beside those known, of touches near the given parameters of the first curve: parts along which the curves run, from where one is
/// clear of the other on to where it is again, and cross once at the most. With each the place where they touch or cross,
/// unless that is an end of one of them, which is known.
pub(super) fn reaches(
    a: &Curve,
    b: &Curve,
    seeds: impl Iterator<Item = f64>,
    (tolerance, touch_reach): (f64, f64),
    known: &[Shared],
    budget: &mut Budget,
) -> Vec<(Shared, Option<Contact>)> {
    /// Curves that share more places than these do not just touch.
    const MOST: usize = 16;
    let mut found: Vec<(Shared, Option<Contact>)> = Vec::new();
    for seed in seeds {
        let mut shared = found.iter().map(|(place, _)| place).chain(known);
        if shared.any(|place| place.a.0 <= seed && seed <= place.a.1) {
            continue;
        }
        if found.len() + known.len() >= MOST {
            break;
        }
        found.extend(reach(a, b, seed, (tolerance, touch_reach), budget));
    }
    found
}

/// A part of the first curve stays as near to the second as `within`, and of what is further off it than the tolerance no
/// more than one piece lies to its left and one to its right. That is proved of its pieces, one after another.
fn changes_side_once(
    a: &Curve,
    b: &Curve,
    (low, high): (f64, f64),
    (tolerance, within): (f64, f64),
    budget: &mut Budget,
) -> bool {
    /// A touch takes some dozen.
    const PIECES: usize = 500;
    let (mut waiting, mut side, mut changes) = (vec![(low, high)], 0.0, 0);
    for _ in 0..PIECES {
        let Some((low, high)) = waiting.pop() else { return changes <= 1 };
        let middle = 0.5 * (low + high);
        if !budget.spend(3 * search_of(b)) {
            return false;
        }
        let beside = b.nearest(a.at(middle));
        let along = |s: f64| b.nearest_beside(a.at(s), beside);
        let (right, left) = a
            .left_of((low, high), b, (along(low), along(high)))
            .unwrap_or((f64::NEG_INFINITY, f64::INFINITY));
        if right < -within || left > within || (right < -tolerance && left > tolerance) {
            waiting.extend([(middle, high), (low, middle)]);
            continue;
        }
        let here = f64::from(left > tolerance) - f64::from(right < -tolerance);
        changes += usize::from(side * here < 0.0);
        side = if here == 0.0 { side } else { here };
    }
    false
}

fn reach(
    a: &Curve,
    b: &Curve,
    seed: f64,
    (tolerance, touch_reach): (f64, f64),
    budget: &mut Budget,
) -> Option<(Shared, Option<Contact>)> {
    /// Curves further apart than so many tolerances, where they part, are told apart as soon as pieces are about straight.
    const CLEAR: f64 = 4.0;
    /// Closer than this share of the tolerance it is not told which side of the other a curve is on.
    const SIDE: f64 = 0.125;
    /// Halvings of what lies between a place within and one beyond the reach.
    const HALVINGS: usize = 20;
    /// Places at which it is looked at from end to end.
    const PLACES: usize = 32;
    // Steps outwards, to and fro, that are doubled: no more than halvings.
    if !budget.spend((8 * HALVINGS + 2 * PLACES) * search_of(b)) {
        return None;
    }
    // How far the first curve lies to the left of the second.
    let off = |s: f64| {
        let place = a.at(s);
        let t = b.nearest(place);
        let off = place - b.at(t);
        off.length().copysign(b.tangent(t).cross(off))
    };
    let is_clear = |s: f64| off(s).abs() > CLEAR * tolerance;
    if is_clear(seed) {
        return None;
    }
    let first_step = (touch_reach / a.bounds().size()).max(f64::EPSILON);
    let end = |way: f64| {
        let (mut within, mut step) = (seed, first_step * way);
        for _ in 0..HALVINGS {
            let next = (within + step).clamp(0.0, 1.0);
            if is_clear(next) {
                let mut beyond = next;
                for _ in 0..HALVINGS {
                    let middle = 0.5 * (within + beyond);
                    if is_clear(middle) {
                        beyond = middle;
                    } else {
                        within = middle;
                    }
                }
                return within;
            }
            if next == within {
                break;
            }
            (within, step) = (next, 2.0 * step);
        }
        within
    };
    let (low, high) = (end(-1.0), end(1.0));
    let places: Vec<(f64, f64)> =
        (0..=PLACES).map(|k| low + (high - low) * k as f64 / PLACES as f64).map(|s| (s, off(s))).collect();
    let sides: Vec<(f64, f64)> =
        places.iter().copied().filter(|(_, off)| off.abs() > SIDE * tolerance).collect();
    if low >= high || !changes_side_once(a, b, (low, high), (tolerance, 2.0 * CLEAR * tolerance), budget) {
        return None;
    }
    let place = Shared::new(a, b, (low, high));
    let in_reach = |end: Point| a.passes(end, tolerance).is_some_and(|s| low <= s && s <= high);
    let has_end = (low == 0.0 && off(0.0).abs() <= tolerance)
        || (high == 1.0 && off(1.0).abs() <= tolerance)
        || in_reach(b.start())
        || in_reach(b.end());
    if has_end {
        return Some((place, None));
    }
    // Where they cross, if they do, otherwise where they are nearest.
    let crossing = sides.windows(2).find(|pair| pair[0].1 * pair[1].1 < 0.0);
    let (mut from, mut to) = match crossing {
        Some(pair) => (pair[0].0, pair[1].0),
        None => {
            let nearest = (0..=PLACES).min_by(|i, j| places[*i].1.abs().total_cmp(&places[*j].1.abs()))?;
            (places[nearest.saturating_sub(1)].0, places[(nearest + 1).min(PLACES)].0)
        }
    };
    let side = off(from);
    for _ in 0..HALVINGS {
        let third = (to - from) / 3.0;
        let (one, two) = (from + third, to - third);
        let is_before = match crossing {
            Some(_) => off(one) * side < 0.0,
            None => off(one).abs() < off(two).abs(),
        };
        if is_before {
            to = if crossing.is_some() { one } else { two };
        } else {
            from = one;
        }
    }
    let s = 0.5 * (from + to);
    let point = a.at(s);
    let meets = off(s).abs() <= tolerance;
    Some((place, meets.then(|| Contact { a: s, b: b.nearest(point), point })))
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use super::super::arc::Arc;
    use super::super::meet::contacts;
    use super::super::point::Affine;
    use super::super::span::Span;
    use super::*;

    fn span(points: &[(f64, f64)]) -> Curve {
        let points = points.iter().map(|(x, y)| Point::new(*x, *y)).collect();
        Curve::from(Span::polynomial(points).expect("a span"))
    }

    fn turned(curve: &Curve) -> Curve {
        curve.transformed(&Affine::rotation(0.4).then(&Affine::translation(Point::new(210.0, -35.0))))
    }

    /// Parts of one cubic that crosses itself: they share what both have of it, and cross where it does.
    #[test]
    fn cubics_that_share_a_stretch_and_cross_elsewhere() {
        let whole = turned(&span(&[(0.0, 0.0), (40.0, 30.0), (-20.0, 30.0), (20.0, 0.0)]));
        let (first, second) = (whole.between(0.0, 0.55), whole.between(0.45, 1.0));
        for (a, b) in [
            (first.clone(), second.clone()),
            (second.clone(), first.clone()),
            (first.reversed(), second.clone()),
            (second, first.reversed()),
        ] {
            let found = contacts(&a, &b, 1e-8).expect("all contacts");
            assert_eq!(found.len(), 3, "{found:?}");
            // It is symmetrical about x = 10, where it crosses itself: at t(1 − t) = 1/10, y = 90 t(1 − t).
            let crossing = turned(&Curve::line(Point::new(10.0, 9.0), Point::new(10.0, 9.0))).start();
            assert!(found.iter().any(|c| c.point.distance(crossing) < 1e-7), "{found:?} {crossing:?}");
            for end in [whole.at(0.45), whole.at(0.55)] {
                assert!(found.iter().any(|c| c.point.distance(end) < 1e-7), "{found:?} {end:?}");
            }
        }
    }

    /// Arcs of one circle that share both of their ends' surroundings, and lines of which one is a part of the other.
    #[test]
    fn arcs_and_lines_that_share_stretches() {
        let arc = |from: f64, sweep: f64| Curve::Arc(Arc::new(Point::new(70.0, 31.0), 25.0, from, sweep));
        for other in [arc(1.25 * PI, PI), arc(2.25 * PI, -PI)] {
            assert_eq!(contacts(&arc(0.0, 1.5 * PI), &other, 1e-8).expect("all contacts").len(), 4);
        }
        let line = Curve::line(Point::new(3.0, 4.0), Point::new(93.0, 47.0));
        assert_eq!(contacts(&line, &line.between(0.2, 0.7).reversed(), 1e-8).expect("all contacts").len(), 2);
    }

    /// y = 50 (x/80)ⁿ touches its tangent in one place, where it crosses it if n is odd, however slowly they part.
    #[test]
    fn touches_of_high_order_are_one_contact() {
        let straight = turned(&Curve::line(Point::new(-80.0, 0.0), Point::new(80.0, 0.0)));
        for order in 3..=6 {
            // The Bernstein coefficients of (2t − 1)ⁿ.
            let points: Vec<(f64, f64)> = (0..=order)
                .map(|k| {
                    let sign = if (order - k) % 2 == 0 { 1.0 } else { -1.0 };
                    (-80.0 + 160.0 * f64::from(k) / f64::from(order), 50.0 * sign)
                })
                .collect();
            let curve = turned(&span(&points));
            for (a, b) in [(&curve, &straight), (&straight, &curve)] {
                let found = contacts(a, b, 1.6e-7).expect("all contacts");
                assert_eq!(found.len(), 1, "{order}: {found:?}");
                let within = 80.0 * (1.6e-7_f64 / 50.0).powf(1.0 / f64::from(order));
                let middle = straight.at(0.5);
                assert!(found[0].point.distance(middle) < within, "{found:?}");
            }
        }
    }

    /// A cubic whose second weight pulls it down and back before it comes to where one would look: it lies along the line for
    /// the rest of its way, and crosses it twice at its beginning.
    #[test]
    fn a_reach_is_proved_between_the_places_that_are_looked_at() {
        let tolerance = 1e-4;
        let line = Curve::line(Point::new(-90.0, 0.0), Point::new(90.0, 0.0));
        let dips = |depth: f64| {
            let points = [(-80.0, 1.5 * tolerance), (-60.0, -depth), (-40.0, 1.5 * tolerance), (80.0, 0.0)];
            let points = points.iter().map(|(x, y)| Point::new(*x, *y)).collect();
            Curve::from(Span::rational(points, vec![1.0, 1e4, 1e7, 1e8]).expect("a span"))
        };
        let reach = |curve: &Curve| {
            let touch_reach = super::super::meet::touch_reach(curve, &line, tolerance);
            reach(curve, &line, 0.9, (tolerance, touch_reach), &mut Budget::for_one_pair())
        };
        assert!(reach(&dips(0.0)).is_some());
        let dip = dips(0.02);
        assert!((0..=32).all(|k| dip.at(f64::from(k) / 32.0).y.abs() < 8.0 * tolerance));
        assert_eq!(reach(&dip).map(|(place, _)| place.a), None);
        // It goes down through the line, and up again with its end.
        assert_eq!(contacts(&dip, &line, tolerance).map(|found| found.len()), Ok(2));
    }

    /// A cubic that swings to and fro within two tolerances of a line crosses it three times, and that is found.
    #[test]
    fn a_wave_within_two_tolerances() {
        let line = Curve::line(Point::new(0.0, 0.0), Point::new(90.0, 0.0));
        for tolerance in [1e-7, 1e-3] {
            let hair = 1.5 * tolerance;
            let wave = span(&[(0.0, -hair), (30.0, 5.0 * hair), (60.0, -5.0 * hair), (90.0, hair)]);
            let number = |a: &Curve, b: &Curve| contacts(a, b, tolerance).map(|found| found.len()).ok();
            assert_eq!((number(&wave, &line), number(&line, &wave)), (Some(3), Some(3)));
            // A hair further apart than the tolerance all along there is none.
            let bow = span(&[(0.0, 0.0), (30.0, 9.0), (60.0, 9.0), (90.0, 0.0)]);
            let above = bow.translated(Point::new(0.0, 1.7 * tolerance));
            assert_eq!(number(&bow, &above), Some(0));
        }
    }

    /// Bows that run two tolerances apart, which all comparisons are spent on, and cross twice further on: what is found is
    /// not all, and the answer says so.
    #[test]
    fn a_search_that_is_given_up_says_so() {
        let tolerance = 1e-4;
        let bow = |off: [f64; 10]| {
            let points: Vec<(f64, f64)> = (0..10)
                .map(|k| (10.0 * f64::from(k), 0.5 * f64::from(k * (9 - k)) + tolerance * off[k as usize]))
                .collect();
            span(&points)
        };
        let far = 1.97;
        let (one, other) = (bow([far, far, far, far, far, far, -9.0, far, far, far]), bow([0.0; 10]));
        for (a, b) in [(&one, &other), (&other, &one)] {
            assert!(contacts(a, b, tolerance).is_err());
        }
    }
}
