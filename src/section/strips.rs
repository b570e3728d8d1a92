//! The independent check: the section cut into upright strips, and again into flat ones.
//!
//! At each station the curves' heights are solved for, sorted into pairs from below (in, out, in, out …), and the
//! strip between each pair is integrated. Nothing here uses a parameter derivative, a direction of travel or the
//! nesting of rings, which the boundary integrals rest on; agreement of the two is evidence for both.
//!
//! Closed forms on straight and round stretches, Gauss-Legendre quadrature on others.

use std::ops::Range;

use super::bands;
use super::integrals::Moments;
use super::local_boundary::LocalBoundary;
use super::tops::{ALL, tops};
use crate::geometry::integral::PANEL_TURN;
use crate::geometry::{Curve, Point, Stations, quadrature};

/// A stretch of a curve with one height at each station.
pub(super) struct Stretch<'a> {
    curve: &'a Curve,
    /// Parameters between which x runs one way.
    from: f64,
    to: f64,
    pub left: f64,
    pub right: f64,
    pub lowest: f64,
    pub highest: f64,
    ordinate: Ordinate,
}

/// How the height at a station is solved for.
enum Ordinate {
    /// y = y₀ + slope·(x − x₀).
    Straight { x: f64, y: f64, slope: f64 },
    /// A branch of the ellipse: x = cx + a·sin ψ, y = cy + b·sin ψ ± h·cos ψ.
    Round { center: Point, reach: f64, lean: f64, height: f64 },
    /// Solved along the curve.
    Free,
}

/// Area and moments about the origin of what curves of a boundary bound, by upright strips.
pub(super) fn upright(boundary: &LocalBoundary, curves: Range<usize>) -> Moments {
    let Some(kept) = boundary.kept() else { return bands::upright(boundary) };
    let stretches = stretches(&kept[curves]);
    let tops = tops(&stretches, ALL);
    let mut sum = Moments::default();
    for (stretch, top) in stretches.iter().zip(tops) {
        sum += stretch.strips(top);
    }
    sum
}

/// Area and moments about the origin of what curves of a boundary bound, by flat strips, from the boundary turned by a
/// quarter turn anticlockwise: there they stand upright.
pub(super) fn flat(quarter_turned: &LocalBoundary, curves: Range<usize>) -> Moments {
    // Three more quarter turns come back to the page as it was.
    upright(quarter_turned, curves).quarter_turned().quarter_turned().quarter_turned()
}

/// The leftmost place where the strips take a stretch for the top of the section and the direction in which its ring runs says
/// that it is the bottom, or the other way round; `None` where there is none, or the curves are not kept.
pub(super) fn first_contradiction(boundary: &LocalBoundary) -> Option<Point> {
    let (mut stretches, mut directed) = (Vec::new(), Vec::new());
    let mut width = Width::default();
    for (sign, curves) in boundary.kept_rings()? {
        for curve in curves {
            each_stretch(curve, &mut width, |stretch| {
                // Anticlockwise around what is solid, the top is travelled from right to left.
                let leftwards = curve.at(stretch.to).x < curve.at(stretch.from).x;
                directed.push(leftwards == (sign > 0.0));
                stretches.push(stretch);
            });
        }
    }
    let narrow = width.narrow();
    stretches.iter_mut().for_each(|stretch| stretch.straighten(narrow));
    let tops = tops(&stretches, ALL);
    let contradicting =
        stretches.iter().zip(tops.iter().zip(&directed)).filter(|(_, (top, other))| top != other);
    let first = contradicting.map(|(stretch, _)| stretch).min_by(|a, b| a.left.total_cmp(&b.left))?;
    let ends = [first.curve.at(first.from), first.curve.at(first.to)];
    ends.into_iter().min_by(|a, b| a.x.total_cmp(&b.x))
}

/// From the leftmost to the rightmost place of some curves.
#[derive(Clone, Copy)]
pub(super) struct Width {
    pub left: f64,
    pub right: f64,
}

impl Default for Width {
    /// Of no curves.
    fn default() -> Width {
        Width { left: f64::INFINITY, right: f64::NEG_INFINITY }
    }
}

impl Width {
    #[inline]
    pub fn add(&mut self, x: f64) {
        (self.left, self.right) = (self.left.min(x), self.right.max(x));
    }

    /// Stretches that are no wider are straight.
    pub fn narrow(self) -> f64 {
        /// A stretch narrower than this share of the section is taken as straight: what it adds is rounding, and so would
        /// be the heights solved for on it.
        const NARROW: f64 = 1e-12;
        NARROW * (self.right - self.left)
    }
}

/// Calls `visit` with the stretches of a curve, one after the other, and adds its places to `width`.
#[inline]
pub(super) fn each_stretch<'a>(curve: &'a Curve, width: &mut Width, mut visit: impl FnMut(Stretch<'a>)) {
    let heights = match curve {
        Curve::Line(_) => Stations::new(),
        other => other.monotone_stations(Point::new(0.0, 1.0)),
    };
    each_course(curve, width, |mut stretch| {
        for (t, place) in &heights {
            if stretch.from < *t && *t < stretch.to {
                stretch.lowest = stretch.lowest.min(place.y);
                stretch.highest = stretch.highest.max(place.y);
            }
        }
        visit(stretch);
    });
}

/// The same, where nobody asks how low and how high they go between their ends.
#[inline]
pub(super) fn each_course<'a>(curve: &'a Curve, width: &mut Width, mut visit: impl FnMut(Stretch<'a>)) {
    curve.each_monotone(Point::new(1.0, 0.0), |(from, a), (to, b)| {
        width.add(a.x);
        width.add(b.x);
        if a.x == b.x {
            return;
        }
        visit(Stretch {
            curve,
            from,
            to,
            left: a.x.min(b.x),
            right: a.x.max(b.x),
            lowest: a.y.min(b.y),
            highest: a.y.max(b.y),
            ordinate: Ordinate::of(curve, from, to),
        });
    });
}

pub(super) fn stretches(curves: &[Curve]) -> Vec<Stretch<'_>> {
    let mut found = Vec::with_capacity(2 * curves.len());
    let mut width = Width::default();
    for curve in curves {
        each_stretch(curve, &mut width, |stretch| found.push(stretch));
    }
    let narrow = width.narrow();
    found.iter_mut().for_each(|stretch| stretch.straighten(narrow));
    found
}

impl Ordinate {
    fn of(curve: &Curve, from: f64, to: f64) -> Ordinate {
        if let Curve::Line(line) = curve {
            let along = line.end - line.start;
            return Ordinate::Straight { x: line.start.x, y: line.start.y, slope: along.y / along.x };
        }
        if let Curve::Arc(arc) = curve {
            // As below, where u and v lie along x and y.
            let height = arc.radius * arc.radius / arc.radius;
            let branch = arc.angle_at(0.5 * (from + to)).sin().signum();
            return Ordinate::Round {
                center: arc.center,
                reach: arc.radius,
                lean: 0.0,
                height: height * branch,
            };
        }
        let Some(turning) = curve.turning() else { return Ordinate::Free };
        let middle = turning.angle(0.5 * (from + to));
        let (center, u, v) = (turning.center, turning.u, turning.v);
        // x = cx + a·sin(φ + δ): turn the parameter so that x alone is a sine.
        let reach = u.x.hypot(v.x);
        if reach == 0.0 {
            return Ordinate::Free;
        }
        let delta = u.x.atan2(v.x);
        // y = cy + u.y·cos φ + v.y·sin φ with φ = ψ − δ.
        let lean = (u.y * u.x + v.y * v.x) / reach;
        let height = u.cross(v) / reach;
        // cos ψ is positive on one branch and negative on the other.
        let branch = (middle + delta).cos().signum();
        Ordinate::Round { center, reach, lean, height: -height * branch }
    }
}

impl Stretch<'_> {
    /// Makes it straight where it is not wider than `narrow`.
    pub fn straighten(&mut self, narrow: f64) {
        if self.right - self.left <= narrow {
            let (a, b) = (self.curve.at(self.from), self.curve.at(self.to));
            self.ordinate = Ordinate::Straight { x: a.x, y: a.y, slope: (b.y - a.y) / (b.x - a.x) };
        }
    }

    /// Area and moments of the strips between the x axis and this stretch, as the top or as the bottom of what they cut.
    pub fn strips(&self, top: bool) -> Moments {
        self.below().scaled(if top { 1.0 } else { -1.0 })
    }

    /// The height at station `x`.
    pub fn height(&self, x: f64) -> f64 {
        match &self.ordinate {
            Ordinate::Straight { x: x0, y, slope } => y + slope * (x - x0),
            Ordinate::Round { center, reach, lean, height } => {
                let out = x - center.x;
                let cosine = ((reach - out) * (reach + out)).max(0.0).sqrt() / reach;
                center.y + lean * out / reach + height * cosine
            }
            Ordinate::Free => {
                let t = self.curve.parameter_where(Point::new(1.0, 0.0), x, self.from, self.to);
                self.curve.at(t).y
            }
        }
    }

    /// The strips between the x axis and this stretch.
    fn below(&self) -> Moments {
        let strip = |x: f64, width: f64| {
            let y = self.height(x);
            [
                width * y,
                width * x * y,
                width * y * y / 2.0,
                width * x * x * y,
                width * y * y * y / 3.0,
                width * x * y * y / 2.0,
            ]
        };
        let sums = match &self.ordinate {
            Ordinate::Straight { x, y, slope } => {
                let (left, right) = (self.left, self.right);
                straight_strips((left, y + slope * (left - x)), (right, y + slope * (right - x)))
            }
            Ordinate::Round { center, reach, lean, height } => {
                let sine = |x: f64| ((x - center.x) / reach).clamp(-1.0, 1.0);
                let (first, last) = (Turned::to(sine(self.left)), Turned::to(sine(self.right)));
                if last.angle - first.angle <= PANEL_TURN {
                    // Stations at x = cx + a·sin ψ crowd where the curve stands upright.
                    let station = |sine: f64, cosine: f64| strip(center.x + reach * sine, reach * cosine);
                    quadrature::turning(station, first.angle, last.angle, 1)
                } else {
                    round_strips(*center, *reach, (*lean, *height), first, last)
                }
            }
            // The same crowding towards both ends, where a span may stand upright.
            Ordinate::Free => {
                let (middle, half) = (0.5 * (self.left + self.right), 0.5 * (self.right - self.left));
                let station = |theta: f64| {
                    let (sine, cosine) = theta.sin_cos();
                    strip(middle - half * cosine, half * sine)
                };
                quadrature::adaptive(station, 0.0, std::f64::consts::PI)
            }
        };
        let [area, first_x, first_y, xx, yy, xy] = sums;
        Moments { area, first_x, first_y, xx, yy, xy }
    }
}

/// The strips between the x axis and the straight line from one point to another, right of it.
fn straight_strips((left, a): (f64, f64), (right, b): (f64, f64)) -> [f64; 6] {
    let width = right - left;
    // Means of x and of products of what changes evenly, over the width.
    let x = 0.5 * (left + right);
    let (y, yy) = (0.5 * (a + b), (a * a + a * b + b * b) / 3.0);
    let lean = width * (b - a) / 12.0;
    [
        width * y,
        width * (x * y + lean),
        width * yy / 2.0,
        width * (x * x * y + 2.0 * x * lean + width * width * y / 12.0),
        width * (a + b) * (a * a + b * b) / 12.0,
        width * (x * yy / 2.0 + y * lean),
    ]
}

/// An angle ψ from −90° to 90° with its sine and cosine.
#[derive(Clone, Copy)]
struct Turned {
    angle: f64,
    sine: f64,
    cosine: f64,
}

impl Turned {
    fn to(sine: f64) -> Turned {
        Turned { angle: sine.asin(), sine, cosine: ((1.0 - sine) * (1.0 + sine)).sqrt() }
    }

    /// The integrals from 0 to ψ of sⁱ·cʲ·c dψ, s and c being sine and cosine, by i and j: 00, 10, 20, 30, 01, 11, 21, 02,
    /// 12, 03.
    fn integrals(self) -> [f64; 10] {
        let Turned { angle, sine: s, cosine: c } = self;
        let (ss, cc) = (s * s, c * c);
        // sin 2ψ and sin 4ψ.
        let double = 2.0 * s * c;
        let fourfold = 2.0 * double * (cc - ss);
        [
            s,
            ss / 2.0,
            s * ss / 3.0,
            ss * ss / 4.0,
            angle / 2.0 + double / 4.0,
            -c * cc / 3.0,
            angle / 8.0 - fourfold / 32.0,
            s - s * ss / 3.0,
            -cc * cc / 4.0,
            0.375 * angle + double / 4.0 + fourfold / 32.0,
        ]
    }
}

/// The strips between the x axis and a round stretch, x = cx + a·s and y = cy + b·s + h·c, in closed form. Of a short
/// stretch the differences would take the digits.
fn round_strips(
    center: Point,
    reach: f64,
    (lean, height): (f64, f64),
    first: Turned,
    last: Turned,
) -> [f64; 6] {
    let mut integrals = last.integrals();
    integrals.iter_mut().zip(first.integrals()).for_each(|(last, first)| *last -= first);
    let [one, s, ss, sss, c, sc, ssc, cc, scc, ccc] = integrals;
    let (x, y, a, b, h) = (center.x, center.y, reach, lean, height);
    // ∫y, ∫sy and ∫ssy, then ∫y², ∫sy² and ∫y³, all times c dψ.
    let (y_1, y_s, y_ss) = (y * one + b * s + h * c, y * s + b * ss + h * sc, y * ss + b * sss + h * ssc);
    let y_c = y * c + b * sc + h * cc;
    let yy = y * y_1 + b * y_s + h * y_c;
    let y_sc = y * sc + b * ssc + h * scc;
    let yy_s = y * y_s + b * y_ss + h * y_sc;
    let yy_c = y * y_c + b * y_sc + h * (y * cc + b * scc + h * ccc);
    let yyy = y * yy + b * yy_s + h * yy_c;
    [
        a * y_1,
        a * (x * y_1 + a * y_s),
        a * yy / 2.0,
        a * (x * x * y_1 + 2.0 * x * a * y_s + a * a * y_ss),
        a * yyy / 3.0,
        a * (x * yy + a * yy_s) / 2.0,
    ]
}
