//! How far a piece of a curve lies from a piece of another at most.
//!
//! Both pieces are written as rational Bézier curves of one parameter, which lines, arcs, ellipse arcs and spans all are
//! exactly. What the one is off the other at one parameter is then a rational Bézier curve itself, and never longer than its
//! longest control vector (the convex hull property). Own work; the direction of a rational curve lies between those of the
//! legs of its control polygon, which is proved where it is used.

use std::f64::consts::TAU;

use super::bernstein::binomials;
use super::curve::Curve;
use super::parameters::SmallVec;
use super::point::Point;

/// Control points with their weights; room for cubics, which need no memory of their own.
type Controls = SmallVec<[(Point, f64); 4]>;

/// A part of an arc that turns further than this to either side of its middle (radians) is not written as one rational
/// quadratic: beyond a quarter of a turn in all its control point runs away.
const WIDEST: f64 = 0.8;

impl Curve {
    /// The part from parameter `from` to `to`, which may be the smaller, as a rational Bézier curve; `None` where an arc
    /// turns too far for that.
    fn controls(&self, (from, to): (f64, f64)) -> Option<Controls> {
        let (start, end) = (self.at(from), self.at(to));
        if let Curve::Span(span) = self {
            let part = span.between(from.min(to), from.max(to));
            let weight = |k: usize| part.weights().map_or(1.0, |weights| weights[k]);
            let mut controls: Controls =
                part.points().iter().enumerate().map(|(k, p)| (*p, weight(k))).collect();
            if from > to {
                controls.reverse();
            }
            return Some(controls);
        }
        let Some(turning) = self.turning() else {
            return Some(Controls::from_slice(&[(start, 1.0), (end, 1.0)]));
        };
        let half = 0.5 * turning.sweep * (to - from);
        if half.abs() > WIDEST {
            return None;
        }
        // The tangents of both ends meet on the line from the centre through the middle of the part.
        let (sine, cosine) = half.sin_cos();
        let out = turning.out(0.5 * (from + to)) * (sine * sine / cosine);
        Some(Controls::from_slice(&[(start, 1.0), (start.towards(end, 0.5) + out, cosine), (end, 1.0)]))
    }

    /// A distance (drawing units) within which every point of the part of this curve from one parameter to another has a
    /// point of the part of `other`, which may be told backwards. It is no more than what the parts are really apart, and
    /// what is of second order in how far they turn. Infinite where an arc turns too far.
    pub(crate) fn apart_at_most(&self, part: (f64, f64), other: &Curve, of_other: (f64, f64)) -> f64 {
        let (Some(p), Some(q)) = (self.controls(part), other.controls(of_other)) else {
            return f64::INFINITY;
        };
        let off = differences(&p, &q);
        let at_one_parameter = off.iter().map(|d| d.length()).fold(0.0, f64::max);
        at_one_parameter.min(across(&p, &q, &off))
    }

    /// How far the part of this curve lies to the left of the part of `other` (drawing units; to its right below 0): two bounds
    /// that no point goes beyond, about as far apart as the heights themselves are and what is of second order in how far the
    /// parts turn. The part of `other` may be told backwards; left is left of its own direction all the same. `None` where the
    /// two do not both run on along its chord, or an arc turns too far.
    pub(crate) fn left_of(
        &self,
        part: (f64, f64),
        other: &Curve,
        of_other: (f64, f64),
    ) -> Option<(f64, f64)> {
        let (p, q) = (self.controls(part)?, other.controls(of_other)?);
        let off = differences(&p, &q);
        let (along, steepest) = running_on(&p, &q)?;
        let astray = steepest * off.iter().map(|d| along.dot(*d).abs()).fold(0.0, f64::max);
        let heights = off.iter().map(|d| along.cross(*d));
        let (low, high) =
            heights.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), h| (low.min(h), high.max(h)));
        let (low, high) = (low - astray, high + astray);
        Some(if of_other.0 <= of_other.1 { (low, high) } else { (-high, -low) })
    }

    /// A distance within which every point of an arc has a point of `other`, where that is a full circle; infinite for others.
    pub(crate) fn apart_from_circle(&self, other: &Curve) -> f64 {
        match (self, other) {
            (Curve::Arc(p), Curve::Arc(q)) if q.sweep.abs() >= TAU => {
                p.center.distance(q.center) + (p.radius - q.radius).abs()
            }
            _ => f64::INFINITY,
        }
    }
}

/// Control vectors of p(t) − q(t). Over a common denominator it is Σ wᵢvⱼBᵢBⱼ(pᵢ − qⱼ) / Σ wᵢvⱼBᵢBⱼ, so each of its values
/// is a mean of these with weights above 0.
fn differences(p: &Controls, q: &Controls) -> SmallVec<[Point; 7]> {
    let (of_p, of_q) = (binomials(p.len() - 1), binomials(q.len() - 1));
    (0..p.len() + q.len() - 1)
        .map(|k| {
            let (mut sum, mut whole) = (Point::ORIGIN, 0.0);
            for i in (k + 1).saturating_sub(q.len())..=k.min(p.len() - 1) {
                let ((a, w), (b, v)) = (p[i], q[k - i]);
                let share = of_p[i] * of_q[k - i] * w * v;
                sum += (a - b) * share;
                whole += share;
            }
            sum * whole.recip()
        })
        .collect()
}

/// How far p lies from q at most, `off` being the control vectors of their difference, where both run on along the chord
/// of q all the way; infinite elsewhere.
///
/// Seen with the chord to the right, the point p(t) and the point of q above or below it are apart by the height of
/// p(t) − q(t), and by what q rises between q(t) and that point. A point beyond the ends of q is beyond them by no more than
/// the ends of p are.
fn across(p: &Controls, q: &Controls, off: &[Point]) -> f64 {
    let Some((along, steepest)) = running_on(p, q) else { return f64::INFINITY };
    let most = |part: fn(Point, Point) -> f64| off.iter().map(|d| part(along, *d).abs()).fold(0.0, f64::max);
    let beyond = along.dot(off[0]).abs().max(along.dot(off[off.len() - 1]).abs());
    (most(Point::cross) + steepest * most(Point::dot)).hypot(beyond)
}

/// The direction of the chord of q, and how steeply q rises or falls from it at most, where both p and q run on along it all
/// the way.
fn running_on(p: &Controls, q: &Controls) -> Option<(Point, f64)> {
    let chord = q[q.len() - 1].0 - q[0].0;
    let along = chord * chord.length().recip();
    // With Bᵢ Bernstein's polynomials, BᵢBⱼ' − Bᵢ'Bⱼ = BᵢBⱼ(j − i) / t(1 − t) is above 0 for i < j, and the derivative of a
    // rational curve is the sum of wᵢwⱼ(pⱼ − pᵢ) times that over the square of its denominator: a sum of legs of its control
    // polygon with factors above 0.
    let steepest = |controls: &Controls| {
        let legs = controls.windows(2).map(|pair| pair[1].0 - pair[0].0);
        legs.filter(|leg| *leg != Point::ORIGIN).try_fold(0.0_f64, |steepest, leg| {
            let on = along.dot(leg);
            (on > 0.0).then(|| steepest.max(along.cross(leg).abs() / on))
        })
    };
    steepest(p)?;
    Some((along, steepest(q)?))
}

#[cfg(test)]
mod tests {
    use std::f64::consts::FRAC_PI_2;

    use super::super::{Arc, EllipseArc, Span};
    use super::*;

    /// Controls as a span give the points of the curve.
    #[test]
    fn every_curve_is_a_rational_curve() {
        let at = Point::new;
        let (u, v) = (at(5.0, 1.0), at(-2.0, 3.0));
        let points = vec![at(3.0, 1.0), at(7.0, 4.0), at(7.0, -2.0)];
        for curve in [
            Curve::line(at(2.0, 1.0), at(-7.0, 4.0)),
            Curve::Arc(Arc::new(at(3.0, 9.0), 2.5, 1.0, -1.5)),
            Curve::from(EllipseArc::new(at(3.0, 9.0), u, v, 0.4, 1.5)),
            Curve::from(Span::rational(points.clone(), vec![1.0, 4.0, 2.0]).expect("a span")),
            Curve::from(Span::polynomial(points).expect("a span")),
        ] {
            for (from, to) in [(0.0, 1.0), (0.2, 0.9), (0.9, 0.2)] {
                let controls = curve.controls((from, to)).expect("a rational curve");
                let (points, weights) = controls.into_iter().unzip();
                let span = Curve::from(Span::rational(points, weights).expect("a span"));
                for k in 0..=10 {
                    let place = span.at(f64::from(k) / 10.0);
                    assert!(curve.distance(place) < 1e-13, "{curve:?} {from} {to} {k}");
                }
                assert!(span.start().distance(curve.at(from)) < 1e-13);
                assert!(span.end().distance(curve.at(to)) < 1e-13);
            }
        }
        assert_eq!(Curve::Arc(Arc::circle(at(0.0, 0.0), 1.0)).controls((0.0, 0.3)), None);
    }

    #[test]
    fn no_point_is_further_off_than_what_is_told() {
        let at = Point::new;
        let quarter = Curve::Arc(Arc::new(at(0.0, 0.0), 100.0, 0.0, FRAC_PI_2));
        let k = 55.22847498;
        let cubic = vec![at(100.0, 0.0), at(100.0, k), at(k, 100.0), at(0.0, 100.0)];
        let cubic = Curve::from(Span::polynomial(cubic).expect("a span"));
        let (wide, high) = (at(103.0, 0.0), at(0.0, 99.0));
        let ellipse = Curve::from(EllipseArc::new(at(0.0, 0.0), wide, high, 0.0, FRAC_PI_2));
        for (a, b) in [(&quarter, &cubic), (&quarter, &ellipse), (&cubic, &ellipse)] {
            for (a, b) in [(a, b), (b, a)] {
                for parts in [1, 4, 32] {
                    let (mut messages, mut really) = (0.0_f64, 0.0_f64);
                    for part in 0..parts {
                        let (from, to) =
                            (f64::from(part) / f64::from(parts), f64::from(part + 1) / f64::from(parts));
                        let of_other = (b.nearest(a.at(from)), b.nearest(a.at(to)));
                        let most = a.apart_at_most((from, to), b, of_other);
                        for n in 0..=50 {
                            let here = b.distance(a.at(from + (to - from) * f64::from(n) / 50.0));
                            assert!(here <= most + 1e-12, "{part} of {parts}: {here} {most}");
                            really = really.max(here);
                        }
                        messages = messages.max(most);
                    }
                    // In more parts it is nearer to what is true.
                    assert!(parts < 32 || messages < 1.01 * really + 1e-6, "{parts}: {messages} {really}");
                    let backwards = a.apart_at_most((1.0, 0.0), b, (1.0, 0.0));
                    let forwards = a.apart_at_most((0.0, 1.0), b, (0.0, 1.0));
                    assert!((backwards - forwards).abs() < 1e-9);
                }
            }
        }
        let whole = Curve::Arc(Arc::new(at(0.0, 0.0), 100.0, 0.3, TAU));
        let moved = quarter.translated(at(0.03, -0.04));
        assert!((moved.apart_from_circle(&whole) - 0.05).abs() < 1e-12);
        assert!(
            whole.apart_from_circle(&quarter).is_infinite() && cubic.apart_from_circle(&whole).is_infinite()
        );
        assert!(whole.apart_at_most((0.0, 1.0), &whole, (0.0, 1.0)).is_infinite());
        let (from, to) = (whole.nearest(quarter.at(0.1)), whole.nearest(quarter.at(0.9)));
        assert!(from > to || quarter.apart_at_most((0.1, 0.9), &whole, (from, to)) < 1e-12);
    }
}
