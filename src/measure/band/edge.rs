//! One edge of a polyline with a width: its two sides, and what it fills.

use std::f64::consts::PI;

use crate::geometry::{Arc, Curve, Point, Span};

/// The sides of an edge, as indices.
pub(super) const LEFT: usize = 0;
pub(super) const RIGHT: usize = 1;

/// An inner side that comes nearer to the centre of its arc than this share of the radius runs through it: dots are drawn
/// as two half circles whose width is their diameter, to the decimals of the drawing.
const CENTRE: f64 = 1e-9;

/// The sides of an arc whose width grows are spirals, drawn by polynomials of degree 7 that have their places and first
/// three derivatives at both ends. Of a spiral of radius r that turns by 2q they leave r·q⁸/8! at most: turning no
/// further than this (radians), less than 1e-10 of the radius.
const TAPER_TURN: f64 = 0.4;

/// An edge: its centre line with half the width at both ends.
pub(super) struct BandEdge {
    pub path: Curve,
    half: [f64; 2],
    /// The left and the right side, from start to end; `None` where the inner side of an arc would run through its
    /// centre or beyond.
    pub sides: Option<[Vec<Curve>; 2]>,
}

impl BandEdge {
    pub fn new(path: Curve, width: [f64; 2]) -> BandEdge {
        let mut edge = BandEdge { path, half: width.map(|w| 0.5 * w), sides: None };
        edge.sides = edge.sides_drawn();
        edge
    }

    fn sides_drawn(&self) -> Option<[Vec<Curve>; 2]> {
        let sides = match &self.path {
            Curve::Arc(arc) => {
                if self.half.iter().any(|half| arc.radius - half <= CENTRE * arc.radius) {
                    return None;
                }
                let (outer, inner) = (self.outer(arc, [0.0, 1.0]), self.inner(arc, [0.0, 1.0]));
                // The centre of an anticlockwise arc lies on its left.
                if arc.sweep > 0.0 { [inner, outer] } else { [outer, inner] }
            }
            _ => [LEFT, RIGHT].map(|side| vec![Curve::line(self.corner(0, side), self.corner(1, side))]),
        };
        // Ends to the last bit where others expect them.
        Some([LEFT, RIGHT].map(|side| {
            let (start, end) = (Cut::at(self.corner(0, side)), Cut::at(self.corner(1, side)));
            trimmed(&sides[side], Some(&start), Some(&end)).unwrap_or_default()
        }))
    }

    /// Where it begins (0) or ends (1).
    pub fn vertex(&self, end: usize) -> Point {
        if end == 0 { self.path.start() } else { self.path.end() }
    }

    /// Half the width where it begins (0) or ends (1).
    pub fn half(&self, end: usize) -> f64 {
        self.half[end]
    }

    /// Where a side begins (0) or ends (1): at right angles to the centre line.
    pub fn corner(&self, end: usize, side: usize) -> Point {
        let left = self.path.tangent(end as f64).quarter_turned();
        let half = if side == LEFT { self.half[end] } else { -self.half[end] };
        self.vertex(end) + left * half
    }

    /// The point lies beside the centre line, between the ends and within half the width but for rounding.
    pub fn covers(&self, point: Point) -> bool {
        /// Share of half the width that is rounding.
        const ROUNDING: f64 = 1e-12;
        let t = self.path.nearest(point);
        let half = self.half[0] + (self.half[1] - self.half[0]) * t;
        let (out, along) = (point - self.path.at(t), self.path.tangent(t));
        let beyond = match t {
            0.0 => -out.dot(along),
            1.0 => out.dot(along),
            _ => 0.0,
        };
        beyond <= half * ROUNDING && out.length() <= half * (1.0 + ROUNDING)
    }

    fn outer(&self, arc: &Arc, part: [f64; 2]) -> Vec<Curve> {
        beside(arc, self.half, part)
    }

    fn inner(&self, arc: &Arc, part: [f64; 2]) -> Vec<Curve> {
        beside(arc, self.half.map(|half| -half), part)
    }

    /// Rings that together fill all that a pen as wide as the edge, held at right angles to it, runs over. They pass
    /// through the vertices, where others join them.
    pub fn fills(&self) -> Vec<Vec<Curve>> {
        let Some([left, right]) = &self.sides else { return self.fans() };
        let mut ring = right.clone();
        ring.extend(links(&[self.corner(1, RIGHT), self.vertex(1), self.corner(1, LEFT)]));
        ring.extend(left.iter().rev().map(Curve::reversed));
        ring.extend(links(&[self.corner(0, LEFT), self.vertex(0), self.corner(0, RIGHT)]));
        vec![ring]
    }

    /// As [`BandEdge::fills`], for an arc whose inner side runs through the centre: where the pen reaches beyond it, a
    /// sector to the outer side and one that the pen's inner end draws on the other side of the centre.
    fn fans(&self) -> Vec<Vec<Curve>> {
        let Curve::Arc(arc) = &self.path else { return Vec::new() };
        let left_over = |t: f64| arc.radius - (self.half[0] + (self.half[1] - self.half[0]) * t);
        let at_centre = (arc.radius - self.half[0]) / (self.half[1] - self.half[0]);
        let parts = if at_centre > 0.0 && at_centre < 1.0 {
            vec![[0.0, at_centre], [at_centre, 1.0]]
        } else {
            vec![[0.0, 1.0]]
        };
        let mut fans = Vec::new();
        for part in parts {
            let beyond = left_over(0.5 * (part[0] + part[1])) / arc.radius;
            let (outer, inner) = (self.outer(arc, part), self.inner(arc, part));
            let spoke = |t: f64, from: Point, to: Point| match t {
                0.0 => links(&[from, self.vertex(0), to]),
                1.0 => links(&[from, self.vertex(1), to]),
                _ => links(&[from, to]),
            };
            let sector = |around: &[Curve], from: Point, to: Point, back: &[Curve]| {
                let (start, end) = (around[0].start(), around[around.len() - 1].end());
                let mut ring = around.to_vec();
                ring.extend(spoke(part[1], end, from));
                ring.extend(back.iter().rev().map(Curve::reversed));
                ring.extend(spoke(part[0], to, start));
                ring
            };
            if beyond > CENTRE {
                let (start, end) = (inner[0].start(), inner[inner.len() - 1].end());
                fans.push(sector(&outer, end, start, &inner));
                continue;
            }
            fans.push(sector(&outer, arc.center, arc.center, &[]));
            if beyond < -CENTRE {
                let (start, end) = (inner[0].start(), inner[inner.len() - 1].end());
                let mut ring = inner;
                ring.extend(links(&[end, arc.center, start]));
                fans.push(ring);
            }
        }
        fans
    }
}

/// The curve beside an arc, at a distance outwards that grows evenly along the arc, between two of the arc's parameters.
fn beside(arc: &Arc, out: [f64; 2], part: [f64; 2]) -> Vec<Curve> {
    let path = Curve::Arc(*arc);
    let outwards = |t: f64| out[0] + (out[1] - out[0]) * t;
    // From the arc's own points, so that flat arcs of huge circles keep their digits.
    let at = |t: f64| path.at(t) + Point::at_angle(arc.angle_at(t)) * outwards(t);
    let sweep = arc.sweep * (part[1] - part[0]);
    if out[0] == out[1] {
        let radius = arc.radius + out[0];
        let start_angle = arc.angle_at(part[0]) + if radius < 0.0 { PI } else { 0.0 };
        let [start, end] = part.map(at);
        return vec![Curve::Arc(Arc {
            start,
            end,
            center: arc.center,
            radius: radius.abs(),
            start_angle,
            sweep,
        })];
    }
    let count = (sweep.abs() / TAPER_TURN).ceil().max(1.0);
    let growth = (out[1] - out[0]) / arc.sweep;
    let (step, turn) = ((part[1] - part[0]) / count, sweep / count);
    // Control points from an end inwards: place and three derivatives, by the angle, of (radius + outwards)·(cos, sin).
    let half = |t: f64, turn: f64| {
        let (along, radius) = (Point::at_angle(arc.angle_at(t)), arc.radius + outwards(t));
        let across = along.quarter_turned();
        let first = (along * growth + across * radius) * turn;
        let second = (across * (2.0 * growth) - along * radius) * turn.powi(2);
        let third = (along * (-3.0 * growth) - across * radius) * turn.powi(3);
        let p = at(t);
        let q = p + first * (1.0 / 7.0);
        let r = q * 2.0 - p + second * (1.0 / 42.0);
        let s = r * 3.0 - q * 3.0 + p + third * (1.0 / 210.0);
        [p, q, r, s]
    };
    (0..count as usize)
        .filter_map(|k| {
            let from = part[0] + step * k as f64;
            let to = if k + 1 == count as usize { part[1] } else { part[0] + step * (k + 1) as f64 };
            let ([a, b, c, d], [h, g, f, e]) = (half(from, turn), half(to, -turn));
            Span::polynomial(vec![a, b, c, d, e, f, g, h]).map(Curve::from)
        })
        .collect()
}

/// Straight lines from point to point, without those that have no length.
pub(super) fn links(points: &[Point]) -> Vec<Curve> {
    points.windows(2).filter(|pair| pair[0] != pair[1]).map(|pair| Curve::line(pair[0], pair[1])).collect()
}

/// Where a side is cut off.
#[derive(Clone, Copy, Debug)]
pub(super) struct Cut {
    pub point: Point,
    /// The parameter of that place on the first or last curve; `None` where the end itself is moved there, along the
    /// curve and by next to nothing.
    pub parameter: Option<f64>,
}

impl Cut {
    pub fn at(point: Point) -> Cut {
        Cut { point, parameter: None }
    }
}

/// A side from one cut to the other; `None` where nothing is left between them.
pub(super) fn trimmed(side: &[Curve], start: Option<&Cut>, end: Option<&Cut>) -> Option<Vec<Curve>> {
    let mut curves = side.to_vec();
    let from = start.and_then(|cut| cut.parameter).unwrap_or(0.0);
    let to = end.and_then(|cut| cut.parameter).unwrap_or(1.0);
    if let [curve] = &mut curves[..] {
        if from >= to {
            return None;
        }
        *curve = curve.between(from, to);
    } else {
        if from >= 1.0 || to <= 0.0 {
            return None;
        }
        let first = curves.first_mut()?;
        *first = first.between(from, 1.0);
        let last = curves.last_mut()?;
        *last = last.between(0.0, to);
    }
    if let Some(cut) = start {
        let first = curves.first_mut()?;
        *first = begun_at(first, cut.point);
    }
    if let Some(cut) = end {
        let last = curves.last_mut()?;
        *last = begun_at(&last.reversed(), cut.point).reversed();
    }
    Some(curves)
}

/// The curve, its start moved along it to a point next to it.
fn begun_at(curve: &Curve, start: Point) -> Curve {
    match curve {
        Curve::Arc(arc) => {
            let turn = (start - arc.start).dot(curve.tangent(0.0)) / arc.radius * arc.sweep.signum();
            let (start_angle, sweep) = (arc.start_angle + turn, arc.sweep - turn);
            Curve::Arc(Arc { start, start_angle, sweep, ..*arc })
        }
        Curve::Span(span) => {
            let points = std::iter::once(start).chain(span.points().iter().skip(1).copied()).collect();
            Span::polynomial(points).map_or_else(|| curve.clone(), Curve::from)
        }
        other => Curve::line(start, other.end()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sides_of_an_arc_are_arcs_about_its_centre() {
        // A quarter of a circle of radius 50 about (10, 20), anticlockwise.
        let arc = Arc::new(Point::new(10.0, 20.0), 50.0, 0.0, 0.5 * PI);
        let [left, right] = BandEdge::new(arc.into(), [12.0; 2]).sides.expect("sides");
        let ([Curve::Arc(inner)], [Curve::Arc(outer)]) = (&left[..], &right[..]) else { panic!("no arcs") };
        assert_eq!((inner.radius, outer.radius), (44.0, 56.0));
        assert!(outer.start.distance(Point::new(66.0, 20.0)) < 1e-13);
        assert!(inner.end.distance(Point::new(10.0, 64.0)) < 1e-13);
    }

    #[test]
    fn sides_of_a_tapered_arc_keep_their_distance() {
        for sweep in [2.9, -4.0] {
            let arc = Arc::new(Point::new(-7.0, 3.0), 40.0, 0.8, sweep);
            let [left, right] = BandEdge::new(arc.into(), [10.0, 25.0]).sides.expect("sides");
            for (side, sign) in [(left, -1.0), (right, 1.0)] {
                let count = side.len() as f64;
                for (k, curve) in side.iter().enumerate() {
                    for share in [0.0, 0.13, 0.5, 0.77, 1.0] {
                        // Places run along the spiral evenly to the polynomials' accuracy.
                        let t = (k as f64 + share) / count;
                        let half = 5.0 + 7.5 * t;
                        let radius = 40.0 + sign * sweep.signum() * half;
                        let place = arc.center + Point::at_angle(arc.angle_at(t)) * radius;
                        assert!(curve.at(share).distance(place) < 1e-10 * radius, "{sweep} {sign} {t}");
                    }
                }
            }
        }
    }

    fn area(ring: &[Curve]) -> f64 {
        ring.iter().map(|curve| curve.swept_area(Point::new(3.0, 4.0))).sum()
    }

    #[test]
    fn a_pen_that_reaches_beyond_the_centre_draws_two_sectors() {
        let arc = |sweep: f64| Arc::new(Point::new(30.0, 10.0), 8.0, 0.4, sweep);
        let filled = |width: [f64; 2], sweep: f64| -> Vec<f64> {
            let edge = BandEdge::new(arc(sweep).into(), width);
            assert!(edge.sides.is_none());
            edge.fills().iter().map(|ring| area(ring).abs()).collect()
        };
        let sector = |radius: f64| 0.5 * radius * radius * 2.1;
        for (got, wanted) in [
            (filled([16.0; 2], 2.1), vec![sector(16.0)]),
            (filled([26.0; 2], -2.1), vec![sector(21.0), sector(5.0)]),
        ] {
            assert_eq!(got.len(), wanted.len());
            assert!(got.iter().zip(&wanted).all(|(a, b)| (a / b - 1.0).abs() < 1e-13), "{got:?} {wanted:?}");
        }
        // Half the width grows from 4 to 12 along 2.1 radians: it is 8 in the middle. ½∫(8+h)² dφ outside, and inside
        // ½∫(8−h)² dφ less in the first half, more in the second.
        let [ring, outer, beyond] = filled([8.0, 24.0], 2.1)[..] else { panic!("three parts") };
        let integral = |from: f64, to: f64| (to.powi(3) - from.powi(3)) / 3.0 * 2.1 / (2.0 * 8.0);
        for (got, wanted) in [
            (ring, integral(12.0, 16.0) - integral(0.0, 4.0)),
            (outer, integral(16.0, 20.0)),
            (beyond, integral(0.0, 4.0)),
        ] {
            assert!((got / wanted - 1.0).abs() < 1e-9, "{got} {wanted}");
        }
    }
}
