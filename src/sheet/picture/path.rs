//! Outlines as SVG paths.

use std::fmt::Write;

use super::scale::Scale;
use crate::geometry::{Bounds, Curve, Point};
use crate::outline::{self, Ring};
use crate::region::Region;

/// A picture holds about this many pieces of path at most; what has more is drawn coarsely. 12,000 pieces are some
/// 200 kB, and a printed picture shows no more.
pub(super) const MOST_PIECES: usize = 12_000;

/// Chords keep this near (px) to the curves that SVG has no kind for.
const CHORDS: f64 = 0.02;
/// An arc that rises less than this (px) over its chord, or an ellipse this thin, has no round path.
const FLAT: f64 = 0.005;
/// Corners nearer to each other than this (px) are one where an outline is drawn coarsely.
const COARSE: f64 = 0.5;

/// The outlines of a region as path data.
#[derive(Default)]
pub(super) struct Outlines {
    /// The outer edges.
    pub(super) edges: String,
    /// The holes; empty where there are none.
    pub(super) holes: String,
    /// They are drawn to within half a px alone.
    pub(super) coarse: bool,
    /// So many outlines are too small or too many to be drawn.
    pub(super) left_out: usize,
}

impl Outlines {
    /// The outlines of `region` at `scale`.
    pub(super) fn of(region: &Region, scale: &Scale) -> Outlines {
        Outlines::within(region, scale, MOST_PIECES)
    }

    fn within(region: &Region, scale: &Scale, most: usize) -> Outlines {
        if let Some(exact) = Outlines::exact(region, scale, most) {
            exact
        } else {
            Outlines::coarse(region, scale, most)
        }
    }

    fn exact(region: &Region, scale: &Scale, most: usize) -> Option<Outlines> {
        let count: usize = region.rings().map(|(_, ring)| ring.curves().len()).sum();
        if count > most {
            return None;
        }
        let (mut edges, mut holes) = (Path::default(), Path::default());
        for (sign, ring) in region.rings() {
            let path = if sign > 0.0 { &mut edges } else { &mut holes };
            path.ring(ring, scale);
            if edges.pieces + holes.pieces > most {
                return None;
            }
        }
        Some(Outlines { edges: edges.data, holes: holes.data, coarse: false, left_out: 0 })
    }

    fn coarse(region: &Region, scale: &Scale, most: usize) -> Outlines {
        let size = |ring: &Ring| (ring.bounds().width() * scale.x).max(ring.bounds().height() * scale.y);
        let mut rings: Vec<(f64, f64, &Ring)> =
            region.rings().map(|(sign, ring)| (size(ring), sign, ring)).collect();
        // Large ones first; the sort is stable.
        rings.sort_by(|a, b| b.0.total_cmp(&a.0));
        let (mut edges, mut holes, mut left_out) = (Path::default(), Path::default(), 0);
        for (size, sign, ring) in rings {
            if size < COARSE || edges.pieces + holes.pieces >= most {
                left_out += 1;
                continue;
            }
            let path = if sign > 0.0 { &mut edges } else { &mut holes };
            path.polygon(&corners(ring, scale));
        }
        Outlines { edges: edges.data, holes: holes.data, coarse: true, left_out }
    }
}

/// Corners of a ring no nearer to each other than is seen.
fn corners(ring: &Ring, scale: &Scale) -> Vec<Point> {
    let mut kept: Vec<Point> = Vec::new();
    let mut keep = |point: Point| {
        if kept.last().is_none_or(|last| last.distance(point) >= COARSE) {
            kept.push(point);
        }
    };
    for (curve, bounds) in ring.curves().iter().zip(&ring.boxes()) {
        keep(scale.point(curve.start()));
        if (bounds.width() * scale.x).max(bounds.height() * scale.y) > COARSE {
            outline::chord_ends(&scale.curve(curve), 0.5 * COARSE).into_iter().for_each(&mut keep);
        }
    }
    kept
}

/// Path data being written.
#[derive(Default)]
pub(super) struct Path {
    pub(super) data: String,
    pub(super) pieces: usize,
    at: String,
}

impl Path {
    /// Goes to a point without a line.
    pub(super) fn go(&mut self, point: Point) {
        self.at = pair(point);
        self.push(format!("M{}", self.at));
    }

    /// A straight line to a point; none where it ends in the same hundredth of a px.
    pub(super) fn line(&mut self, point: Point) {
        let to = pair(point);
        if to != self.at {
            self.push(format!("L{to}"));
            self.at = to;
        }
    }

    /// Closes the ring.
    pub(super) fn close(&mut self) {
        self.data.push('Z');
    }

    /// A closed polygon.
    pub(super) fn polygon(&mut self, corners: &[Point]) {
        let Some((first, rest)) = corners.split_first() else { return };
        self.go(*first);
        rest.iter().for_each(|corner| self.line(*corner));
        self.close();
    }

    fn push(&mut self, piece: String) {
        self.data.push_str(&piece);
        self.pieces += 1;
    }

    fn ring(&mut self, ring: &Ring, scale: &Scale) {
        for (k, curve) in ring.curves().iter().enumerate() {
            let curve = scale.curve(curve);
            if k == 0 {
                self.go(curve.start());
            }
            self.curve(&curve);
        }
        self.close();
    }

    /// A curve in the picture's coordinates, from where the one before has ended.
    pub(super) fn curve(&mut self, curve: &Curve) {
        match curve {
            Curve::Line(line) => self.line(line.end),
            Curve::Arc(arc) => {
                if arc.radius * (1.0 - (0.5 * arc.sweep.abs()).min(std::f64::consts::PI).cos()) < FLAT {
                    return self.line(arc.end);
                }
                self.turns(curve, arc.sweep, (arc.radius, arc.radius, 0.0), arc.sweep > 0.0);
            }
            Curve::Ellipse(arc) => {
                let (long, short, angle) = half_axes(arc.u, arc.v);
                if short < FLAT {
                    return self.chords(curve);
                }
                let clockwise = arc.u.cross(arc.v) * arc.sweep > 0.0;
                self.turns(curve, arc.sweep, (long, short, angle), clockwise);
            }
            Curve::Span(span) => match (span.points(), span.weights()) {
                (&[_, end], None) => self.line(end),
                (&[_, control, end], None) => self.bezier('Q', &[control, end]),
                (&[_, first, second, end], None) => self.bezier('C', &[first, second, end]),
                _ => self.chords(curve),
            },
        }
    }

    /// Arcs of no more than a third of a turn: a hundredth of a px more or less at their ends moves their middle no more
    /// than that.
    fn turns(&mut self, curve: &Curve, sweep: f64, (long, short, angle): (f64, f64, f64), clockwise: bool) {
        let count = (sweep.abs() / (std::f64::consts::TAU / 3.0) - 1e-9).ceil().clamp(1.0, 3.0) as u32;
        for k in 1..=count {
            let end = if k == count { curve.end() } else { curve.at(f64::from(k) / f64::from(count)) };
            let to = pair(end);
            if to == self.at {
                continue;
            }
            let (long, short, angle) = (number(long), number(short), number(angle.to_degrees()));
            self.push(format!("A{long} {short} {angle} 0 {} {to}", u8::from(clockwise)));
            self.at = to;
        }
    }

    fn bezier(&mut self, letter: char, points: &[Point]) {
        let words: Vec<String> = points.iter().map(|p| pair(*p)).collect();
        if words.iter().all(|word| *word == self.at) {
            return;
        }
        self.push(format!("{letter}{}", words.join(" ")));
        self.at = words.last().cloned().unwrap_or_default();
    }

    fn chords(&mut self, curve: &Curve) {
        outline::chord_ends(curve, CHORDS).into_iter().for_each(|point| self.line(point));
    }
}

/// Half axes of the ellipse with conjugate half-diameters `u` and `v`, and the direction of the longer one in radians.
fn half_axes(u: Point, v: Point) -> (f64, f64, f64) {
    let (sum, difference) = (u.dot(u) + v.dot(v), u.dot(u) - v.dot(v));
    let long = (0.5 * (sum + difference.hypot(2.0 * u.dot(v)))).sqrt();
    let short = if long > 0.0 { u.cross(v).abs() / long } else { 0.0 };
    let (xx, yy, xy) = (u.x * u.x + v.x * v.x, u.y * u.y + v.y * v.y, u.x * u.y + v.x * v.y);
    (long, short, 0.5 * (2.0 * xy).atan2(xx - yy))
}

/// A coordinate to a hundredth of a px.
pub(super) fn number(value: f64) -> String {
    let rounded = (value * 100.0).round() / 100.0;
    // −0 + 0 is 0; what is no number has no place in a picture.
    if rounded.is_finite() { format!("{}", rounded + 0.0) } else { "0".to_owned() }
}

/// Both coordinates of a point.
pub(super) fn pair(point: Point) -> String {
    let mut text = number(point.x);
    let _ = write!(text, " {}", number(point.y));
    text
}

/// The box around a ring in the picture.
pub(super) fn ring_box(ring: &Ring, scale: &Scale) -> Bounds {
    Bounds::EMPTY.with(scale.point(ring.bounds().min)).with(scale.point(ring.bounds().max))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Arc, EllipseArc, Span};
    use crate::outline::Origin;
    use crate::region::Part;

    fn region(curves: Vec<Curve>) -> Region {
        let edge = Ring::new(curves, Origin::default()).expect("a ring");
        Region { parts: vec![Part { edge, holes: Vec::new() }] }
    }

    fn at(x: f64, y: f64) -> Point {
        Point::new(x, y)
    }

    /// Path data of one ring that is drawn to scale, 4 px to a unit.
    fn data(curves: Vec<Curve>) -> String {
        let region = region(curves);
        let outlines = Outlines::of(&region, &Scale::fit(&region.bounds()).expect("a scale"));
        assert!(!outlines.coarse && outlines.holes.is_empty());
        outlines.edges
    }

    #[test]
    fn lines_arcs_and_spans_keep_their_kind() {
        // 110 by 85 units: 4 px each. The right side is half a circle of 10 about (100, ...).
        let (a, b, c, d) = (at(5.0, 7.0), at(105.0, 7.0), at(105.0, 27.0), at(5.0, 92.0));
        let half = Arc {
            start: b,
            end: c,
            center: at(105.0, 17.0),
            radius: 10.0,
            start_angle: -0.5 * std::f64::consts::PI,
            sweep: std::f64::consts::PI,
        };
        let curve = |points: Vec<Point>| Curve::from(Span::polynomial(points).expect("a span"));
        let text = data(vec![
            Curve::line(a, b),
            Curve::from(half),
            curve(vec![c, at(60.0, 27.0), at(50.0, 50.0), d]),
            curve(vec![d, at(5.0, 50.0), a]),
        ]);
        assert_eq!(
            text,
            "M0 340L400 340A40 40 0 0 0 440 300A40 40 0 0 0 400 260C220 260 180 168 0 0Q0 168 0 340Z"
        );
    }

    #[test]
    fn a_circle_is_three_arcs_and_keeps_its_size_when_stretched() {
        let text = data(vec![Curve::from(Arc::circle(at(1e6, -1e6), 85.0))]);
        assert_eq!(text.matches("A170 170 0 0 0").count(), 3);
        // u and v of an ellipse turned by 30°, 40 by 10, given by conjugate half-diameters.
        let turned = Point::at_angle(std::f64::consts::FRAC_PI_6);
        let (u, v) = (turned * 40.0, turned.quarter_turned() * 10.0);
        let slanted = (u + v) * std::f64::consts::FRAC_1_SQRT_2;
        let other = (v - u) * std::f64::consts::FRAC_1_SQRT_2;
        let (long, short, angle) = half_axes(slanted, other);
        assert!((long - 40.0).abs() < 1e-9 && (short - 10.0).abs() < 1e-9);
        assert!((angle - std::f64::consts::FRAC_PI_6).abs() < 1e-9);
        let ellipse = EllipseArc::new(at(9.0, 3.0), slanted, other, 0.3, std::f64::consts::TAU);
        assert_eq!(data(vec![Curve::from(ellipse)]).matches('A').count(), 3);
    }

    #[test]
    fn rational_spans_are_chords() {
        let span = Span::rational(vec![at(0.0, 0.0), at(90.0, 0.0), at(90.0, 70.0)], vec![1.0, 0.5, 1.0]);
        let (span, back) = (Curve::from(span.expect("a span")), Curve::line(at(90.0, 70.0), at(0.0, 0.0)));
        let text = data(vec![span, back]);
        assert!(text.matches('L').count() > 10 && !text.contains('A'));
    }

    #[test]
    fn many_pieces_are_drawn_coarsely() {
        let wave = |k: u32| {
            let angle = std::f64::consts::TAU * f64::from(k % 4000) / 4000.0;
            at(300.0, 20.0) + Point::at_angle(angle) * (50.0 + f64::from(k % 2) * 1e-4)
        };
        let ragged = region((0..4000).map(|k| Curve::line(wave(k), wave(k + 1))).collect());
        let scale = Scale::fit(&ragged.bounds()).expect("a scale");
        assert!(!Outlines::within(&ragged, &scale, 4001).coarse);
        let coarse = Outlines::within(&ragged, &scale, 3000);
        assert!(coarse.coarse && coarse.left_out == 0);
        // 1068 px round, at least half a px each.
        assert!((1000..2200).contains(&coarse.edges.matches('L').count()));
        assert_eq!(coarse.edges.matches('Z').count(), 1);
        let none = Outlines::within(&ragged, &scale, 0);
        assert_eq!(none.left_out, 1);
    }

    #[test]
    fn numbers() {
        assert_eq!([1.005, -0.001, 2.5, f64::NAN].map(number), ["1", "0", "2.5", "0"].map(str::to_owned));
    }
}
