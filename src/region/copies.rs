//! Rings that are copies of each other: whether they are, and how far apart.
//!
//! Every point is looked at, not samples alone: pieces of curves are halved until what [`Curve::apart_at_most`] proves of
//! each, or a sample, settles the matter (branch and bound; own work).

use std::borrow::Cow;

use super::locate::Located;
use crate::geometry::{Curve, Point};
use crate::outline::Ring;

/// How near a largest distance is reported, as a share of itself: copies may be further apart than a tolerance by this share
/// of it.
const ACCURACY: f64 = 1e-3;

/// Every point of either ring has one of the other within `tolerance`.
pub(super) fn identical(a: &Ring, b: &Ring, tolerance: f64) -> bool {
    let (p, q) = (a.bounds(), b.bounds());
    let near = |x: f64, y: f64| (x - y).abs() <= tolerance;
    if !near(p.min.x, q.min.x)
        || !near(p.min.y, q.min.y)
        || !near(p.max.x, q.max.x)
        || !near(p.max.y, q.max.y)
    {
        return false;
    }
    a.curves() == b.curves() || farthest(a, b, tolerance, tolerance).is_some()
}

/// How far the rings are from each other where they are farthest (drawing units), to a thousandth of it, where that is more
/// than `least`. They are identical within `near`.
pub(super) fn apart(a: &Ring, b: &Ring, least: f64, near: f64) -> f64 {
    farthest(a, b, least, 2.0 * near).unwrap_or(near)
}

/// The largest distance of a point of either ring from the other, to [`ACCURACY`] of itself where it is more than `least`;
/// `None` where it is more than `reach`.
fn farthest(a: &Ring, b: &Ring, least: f64, reach: f64) -> Option<f64> {
    let (at_a, at_b) = (Located::new(a), Located::new(b));
    let mut search =
        Search { reach, farthest: least, left: MOST + MOST_EACH * (a.curves().len() + b.curves().len()) };
    let ways = [(a, &at_b), (b, &at_a)];
    // Places at once tell nearly all pairs apart that are not alike.
    for (ring, other) in ways {
        for curve in &ring.curves() {
            search.sample(curve.start(), other)?;
            search.sample(curve.at(0.5), other)?;
        }
    }
    for (ring, other) in ways {
        for (curve, bounds) in ring.curves().iter().zip(&ring.boxes()) {
            // Where the other ring goes from curve to curve, this one is cut, but for its ends.
            let mut cuts = vec![0.0, 1.0];
            for k in other.reaching(bounds.grown(reach)) {
                let joint = other.ring.curves()[k].start();
                if joint.distance(curve.start()) > reach && joint.distance(curve.end()) > reach {
                    cuts.push(curve.nearest(joint));
                }
            }
            cuts.sort_by(f64::total_cmp);
            cuts.dedup();
            for part in cuts.windows(2) {
                search.piece(curve, (part[0], part[1]), other)?;
            }
        }
    }
    Some(search.farthest)
}

/// Pieces that a comparison may take, beyond which two rings are no copies: a full circle beside its copy takes seven,
/// beside four cubics some ten times as many.
const MOST: usize = 20_000;
/// And so many for each curve.
const MOST_EACH: usize = 200;

struct Search {
    reach: f64,
    /// The largest distance so far.
    farthest: f64,
    /// How many more pieces may be looked at.
    left: usize,
}

impl Search {
    /// The curve of the other ring that is nearest to a place, and the parameter there; `None` beyond reach.
    fn sample<'a>(&mut self, place: Point, other: &Located<'a>) -> Option<(Cow<'a, Curve>, f64)> {
        let nearest = |k: usize| {
            let curve = other.ring.curves().take(k);
            let t = curve.nearest(place);
            (curve.at(t).distance(place), curve, t)
        };
        let (distance, curve, t) =
            other.near(place, self.reach).map(nearest).min_by(|a, b| a.0.total_cmp(&b.0))?;
        if distance > self.reach {
            return None;
        }
        self.farthest = self.farthest.max(distance);
        Some((curve, t))
    }

    /// Looks at all points of a part of a curve; `None` where one lies beyond reach.
    fn piece(&mut self, curve: &Curve, part: (f64, f64), other: &Located) -> Option<()> {
        let mut waiting = vec![part];
        while let Some((from, to)) = waiting.pop() {
            self.left = self.left.checked_sub(1)?;
            let middle = 0.5 * (from + to);
            let (beside, at_middle) = self.sample(curve.at(middle), other)?;
            let along = |t: f64| beside.nearest_beside(curve.at(t), at_middle);
            let enough = self.farthest * (1.0 + ACCURACY);
            let settled = curve.apart_from_circle(&beside) <= enough
                || curve.apart_at_most((from, to), &beside, (along(from), along(to))) <= enough
                || curve.apart_at_most((from, to), &beside, (at_middle, at_middle)) <= enough
                // A piece that can't be halved any more is its sample.
                || middle <= from
                || middle >= to;
            if !settled {
                waiting.extend([(middle, to), (from, middle)]);
            }
        }
        Some(())
    }
}

#[cfg(test)]
mod tests {
    use std::f64::consts::{FRAC_PI_2, TAU};

    use super::*;
    use crate::geometry::{Arc, EllipseArc, Span};
    use crate::outline::Origin;

    fn ring(curves: Vec<Curve>) -> Ring {
        Ring::new(curves, Origin::default()).expect("a ring")
    }

    /// The outline begun at another joint and run the other way; [`Ring::new`] turns it back, so what is compared is what
    /// drawings give.
    fn turned(curves: &[Curve], first: usize) -> Vec<Curve> {
        let mut curves = curves.to_vec();
        curves.rotate_left(first);
        curves.iter().rev().map(Curve::reversed).collect()
    }

    const CENTER: Point = Point::new(1330.0, -470.0);

    fn circle() -> Ring {
        ring(vec![Curve::Arc(Arc::circle(CENTER, 100.0))])
    }

    fn quarter_arcs(first: f64) -> Vec<Curve> {
        let joint = |k: u32| CENTER + Point::at_angle(first + f64::from(k % 4) * FRAC_PI_2) * 100.0;
        (0..4)
            .map(|k| {
                let arc = Arc::new(CENTER, 100.0, first + f64::from(k) * FRAC_PI_2, FRAC_PI_2);
                Curve::Arc(Arc { start: joint(k), end: joint(k + 1), ..arc })
            })
            .collect()
    }

    /// The usual imitation of a circle, 2.73e-4 of the radius beyond it between joints and middles.
    fn four_cubics() -> Vec<Curve> {
        let kappa = 0.5522847498;
        let out = |k: u32| Point::at_angle(f64::from(k % 4) * FRAC_PI_2) * 100.0;
        (0..4)
            .map(|k| {
                let (a, b) = (out(k), out(k + 1));
                let points = vec![a, a + a.quarter_turned() * kappa, b - b.quarter_turned() * kappa, b];
                let points = points.into_iter().map(|p| CENTER + p).collect();
                Curve::from(Span::polynomial(points).expect("a span"))
            })
            .collect()
    }

    #[test]
    fn four_cubics_are_not_the_circle_that_they_imitate() {
        let (circle, cubics) = (circle(), ring(four_cubics()));
        let size = circle.bounds().size();
        // The largest distance by calculus on the quarter: 2.7253e-4 of the radius.
        let largest = 0.027253;
        for (a, b) in [(&circle, &cubics), (&cubics, &circle)] {
            assert!(!identical(a, b, 1e-6 * size));
            assert!(!identical(a, b, 0.99 * largest) && identical(a, b, 1.01 * largest));
            let found = apart(a, b, 1e-6 * size, 0.1);
            assert!((found / largest - 1.0).abs() < 2e-3, "{found}");
        }
        assert!(identical(&cubics, &ring(turned(&four_cubics(), 3)), 1e-6 * size));
    }

    #[test]
    fn a_circle_is_its_quarters_wherever_they_begin() {
        let circle = circle();
        for first in [0.0, 0.7, -2.9] {
            let quarters = quarter_arcs(first);
            for curves in [quarters.clone(), turned(&quarters, 1), turned(&quarters, 2)] {
                let quarters = ring(curves);
                assert!(identical(&circle, &quarters, 1e-9) && identical(&quarters, &circle, 1e-9));
            }
            // The same from another start, and clockwise.
            let other = ring(vec![Curve::Arc(Arc::new(CENTER, 100.0, first, -TAU))]);
            assert!(identical(&circle, &other, 1e-9) && identical(&other, &circle, 1e-9));
        }
        // One of the four is replaced by its chord's neighbours: a flat in the circle that no joint and no middle shows.
        let mut flat = quarter_arcs(0.0);
        let arc = |from: f64, to: f64| Curve::Arc(Arc::new(CENTER, 100.0, from, to - from));
        let (low, high) = (arc(0.0, 0.2), arc(0.21, FRAC_PI_2));
        flat.splice(0..1, [low.clone(), Curve::line(low.end(), high.start()), high]);
        let joined = (0..flat.len()).map(|k| match &flat[k] {
            Curve::Arc(a) => Curve::Arc(Arc { end: flat[(k + 1) % flat.len()].start(), ..*a }),
            other => other.clone(),
        });
        let flat = ring(joined.collect());
        // The sagitta of a chord of 0.01 radians: r(1 − cos 0.005).
        let sagitta = 100.0 * (1.0 - 0.005_f64.cos());
        assert!(!identical(&circle, &flat, 0.99 * sagitta) && identical(&circle, &flat, 1.01 * sagitta));
    }

    #[test]
    fn more_vertices_make_no_other_polyline() {
        let corners = [(0.0, 0.0), (90.0, 4.0), (84.0, 63.0), (40.0, 55.0), (-7.0, 71.0)];
        let at = |k: usize| Point::new(corners[k % 5].0 + 1e4, corners[k % 5].1 - 3e3);
        let few: Vec<Curve> = (0..5).map(|k| Curve::line(at(k), at(k + 1))).collect();
        let more = |aside: f64| -> Vec<Curve> {
            let places: Vec<Point> = (0..5)
                .flat_map(|k| {
                    let across = (at(k + 1) - at(k)).quarter_turned();
                    let off = across * (aside / across.length());
                    let middle = at(k).towards(at(k + 1), 0.3171) + off;
                    [at(k), middle, at(k).towards(at(k + 1), 0.77)]
                })
                .collect();
            (0..places.len()).map(|k| Curve::line(places[k], places[(k + 1) % places.len()])).collect()
        };
        let drawn = ring(few.clone());
        for other in [more(0.0), turned(&more(0.0), 4), turned(&few, 2)] {
            let other = ring(other);
            assert!(identical(&drawn, &other, 1e-9) && identical(&other, &drawn, 1e-9));
        }
        // A vertex between the samples of the longer edges lies aside.
        for aside in [0.002, -0.002] {
            let other = ring(more(aside));
            for (a, b) in [(&drawn, &other), (&other, &drawn)] {
                assert!(!identical(a, b, 0.0019) && identical(a, b, 0.0021));
                assert!((apart(a, b, 1e-6, 0.01) - 0.002).abs() < 2e-6);
            }
        }
    }

    #[test]
    fn an_ellipse_that_is_nearly_a_circle() {
        let circle = circle();
        for difference in [1e-4, 1e-2] {
            let (u, v) = (Point::new(100.0 + difference, 0.0), Point::new(0.0, 100.0 - 0.3 * difference));
            let ellipse = EllipseArc::new(CENTER, u, v, 0.4, TAU);
            let ellipse = ring(vec![Curve::from(ellipse)]);
            for (a, b) in [(&circle, &ellipse), (&ellipse, &circle)] {
                assert!(!identical(a, b, 0.99 * difference) && identical(a, b, 1.01 * difference));
                let found = apart(a, b, 0.1 * difference, 3.0 * difference);
                assert!((found / difference - 1.0).abs() < 2e-3, "{found}");
            }
        }
    }

    #[test]
    fn a_bump_that_no_sample_meets() {
        // A tooth of 0.5 in one long edge, which starts and middles of all curves of the plain one pass by.
        let corners = [(0.0, 0.0), (200.0, 0.0), (200.0, 80.0), (0.0, 80.0)];
        let at = |k: usize| Point::new(corners[k % 4].0, corners[k % 4].1);
        let plain = ring((0..4).map(|k| Curve::line(at(k), at(k + 1))).collect());
        let tooth =
            [(0.0, 0.0), (61.0, 0.0), (61.5, 0.5), (62.0, 0.0), (200.0, 0.0), (200.0, 80.0), (0.0, 80.0)];
        let to = |k: usize| Point::new(tooth[k % 7].0, tooth[k % 7].1);
        let toothed = ring((0..7).map(|k| Curve::line(to(k), to(k + 1))).collect());
        assert!(!identical(&plain, &toothed, 0.49) && identical(&plain, &toothed, 0.51));
    }

    /// Offset along both axes: the farthest points of a circle lie where the offset points.
    #[test]
    fn moved_copies_are_as_far_apart_as_they_were_moved() {
        let by = Point::new(0.003, -0.0041);
        for curves in [quarter_arcs(0.3), four_cubics()] {
            let moved = ring(curves.iter().map(|c| c.translated(by)).collect());
            let found = apart(&ring(curves), &moved, 1e-4, 0.01);
            assert!((found / by.length() - 1.0).abs() < 2e-3, "{found}");
        }
    }
}
