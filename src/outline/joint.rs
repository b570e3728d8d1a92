//! Where one piece of an outline ends and the next begins: what hangs over is cut off, what is still apart is linked.

use super::ring::closes;
use super::weld::SPECK;
use crate::geometry::{Bounds, Budget, Curve, Line, Point, contacts_within, noding_tolerance};

/// A joint whose two ends did not lie on each other in the drawing; or a face so narrow that it may be a slot whose mouth was
/// closed, as wide as `apart`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slip {
    /// Where the outline passes it now.
    pub place: Point,
    /// Distance of the two ends as drawn, in drawing units.
    pub apart: f64,
    /// Length of the straight link that closes what was left of it.
    pub gap: f64,
    /// Length of the longest piece that was cut off because it ran past the joint.
    pub overhang: f64,
    /// The two pieces, either of which may be off by `apart` at this joint.
    pub pieces: [Swept; 2],
}

/// A piece of an outline that may be off at one end, and not at the other: the area that it sweeps is half the distance
/// at that end times its length.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Swept {
    /// Length of the piece as drawn, in drawing units.
    pub length: f64,
    /// The end that may be off.
    pub joint: Point,
    /// The other end, where the piece is a straight line drawn as a whole.
    pub far: Option<Point>,
    /// The box around the piece.
    pub around: Bounds,
}

impl Slip {
    /// What it can change in the enclosed area at most, in drawing units squared: what both pieces sweep, and `apart`
    /// squared at the corner.
    pub fn area(&self) -> f64 {
        let [a, b] = self.pieces;
        0.5 * self.apart * (a.length + b.length) + self.apart * self.apart
    }

    /// What it can change in the second moment of area about an axis at most, in drawing units to the fourth: the axis runs
    /// through `origin` at right angles to the unit vector `across`.
    pub fn second_moment(&self, origin: Point, across: Point) -> f64 {
        let away = |place: Point| (place - origin).dot(across).abs() + self.apart;
        let swept = |piece: &Swept| match piece.far {
            // ∫(1 − u)(d₀(1 − u) + d₁u)² du
            Some(far) => {
                let (near, far) = (away(piece.joint), away(far));
                near * near / 4.0 + near * far / 6.0 + far * far / 12.0
            }
            None => {
                let Bounds { min, max } = piece.around;
                let corners = [min, max, Point::new(min.x, max.y), Point::new(max.x, min.y)];
                0.5 * corners.map(away).into_iter().fold(0.0, f64::max).powi(2)
            }
        };
        let corner = away(self.place).powi(2) * self.apart * self.apart;
        self.pieces.iter().map(|piece| self.apart * piece.length * swept(piece)).sum::<f64>() + corner
    }
}

/// A curve of an outline, before it is joined to its neighbours.
#[derive(Clone, Debug)]
pub(crate) struct Piece {
    pub curve: Curve,
    /// Length of the curve as drawn, where this is a part of it.
    pub drawn_length: Option<f64>,
    /// How far repetitions of the piece that were left out lie from it.
    pub spread: f64,
    /// How far what hung over its end was cut off before.
    pub overhang: f64,
}

impl From<Curve> for Piece {
    fn from(curve: Curve) -> Piece {
        Piece { curve, drawn_length: None, spread: 0.0, overhang: 0.0 }
    }
}

impl Piece {
    fn drawn_length(&self) -> f64 {
        self.drawn_length.unwrap_or_else(|| self.curve.length())
    }

    /// What it sweeps where it is off at its end, or at its start.
    fn swept(&self, at_end: bool) -> Swept {
        let (start, end) = (self.curve.start(), self.curve.end());
        let (joint, far) = if at_end { (end, start) } else { (start, end) };
        let whole = self.drawn_length.is_none() && matches!(self.curve, Curve::Line(_));
        Swept { length: self.drawn_length(), joint, far: whole.then_some(far), around: self.curve.bounds() }
    }

    fn reversed(self) -> Piece {
        Piece { curve: self.curve.reversed(), ..self }
    }
}

/// The curves with straight links wherever one does not begin exactly where the one before ends.
pub(crate) fn linked(curves: Vec<Curve>) -> Vec<Curve> {
    if closes(&curves) {
        return curves;
    }
    let mut result = Vec::with_capacity(curves.len() + 1);
    let mut at = curves[curves.len() - 1].end();
    for curve in curves {
        if at != curve.start() {
            result.push(Curve::line(at, curve.start()));
        }
        at = curve.end();
        result.push(curve);
    }
    result
}

/// The pieces of a closed outline, in order, as a ring of curves that follow on each other, and the slips on it.
///
/// Where two neighbours cross or pass each other within `tolerance` they are cut at the crossing, else the one whose
/// inside is nearest to the other's end is cut there; what is still apart is closed by a straight link.
pub(super) fn joined(mut pieces: Vec<Piece>, tolerance: f64) -> (Vec<Curve>, Vec<Slip>) {
    let count = pieces.len();
    let spread = pieces.iter().any(|piece| piece.spread > 0.0 || piece.overhang > 0.0);
    let exact = (0..count).all(|k| pieces[k].curve.end() == pieces[(k + 1) % count].curve.start());
    if exact && !spread {
        return (pieces.into_iter().map(|piece| piece.curve).collect(), Vec::new());
    }
    let bounds = Bounds::around(pieces.iter().map(|piece| piece.curve.start()));
    let rounding = noding_tolerance(&bounds);
    pieces = in_order(pieces, bounds.center());
    let mut slips = Vec::new();
    let mut budget = Budget::for_curves(count);
    for k in 0..count {
        let next = (k + 1) % count;
        let spread = pieces[k].spread;
        if spread > rounding {
            slips.push(Slip {
                place: pieces[k].curve.at(0.5),
                apart: spread,
                gap: 0.0,
                overhang: 0.0,
                pieces: [pieces[k].swept(false), pieces[k].swept(true)],
            });
        }
        let before = pieces[k].curve.end().distance(pieces[next].curve.start());
        let stub = pieces[k].overhang;
        let joint = Joint {
            a: &pieces[k].curve,
            b: &pieces[next].curve,
            before,
            tolerance,
            rounding,
            alone: count == 2,
        };
        if stub <= rounding && joint.is_clean() {
            if before > 0.0 && count > 1 {
                // A link as short as rounding may cross what it links.
                let (a, b) = (pieces[k].curve.clone(), pieces[next].curve.clone());
                (pieces[k].curve, pieces[next].curve) = meeting(a, b, rounding);
            }
            continue;
        }
        let mut overhang = stub;
        // Told only of what is more than rounding.
        let is_slip = before > rounding || stub > rounding;
        let swept = is_slip.then(|| [pieces[k].swept(true), pieces[next].swept(false)]);
        // A curve that is its own neighbour is not cut.
        let cut = if count > 1 && !joint.is_clean() { joint.cut(&mut budget) } else { None };
        if let Some((s, t)) = cut {
            let (a, b) = (&pieces[k].curve, &pieces[next].curve);
            overhang = overhang.max(length_between(a, s, 1.0)).max(length_between(b, 0.0, t));
            let (a, b) = (a.between(0.0, s), b.between(t, 1.0));
            let (a, b) = meeting(a, b, rounding);
            (pieces[k].curve, pieces[next].curve) = (a, b);
        }
        let Some(swept) = swept else { continue };
        let (end, start) = (pieces[k].curve.end(), pieces[next].curve.start());
        let apart = before.max(stub);
        slips.push(Slip {
            place: end.towards(start, 0.5),
            apart,
            gap: end.distance(start),
            overhang,
            pieces: swept,
        });
    }
    (linked(pieces.into_iter().map(|piece| piece.curve).collect()), slips)
}

/// The pieces anticlockwise, from the one that begins lowest on the left, so that it makes no difference how the outline
/// was drawn.
fn in_order(mut pieces: Vec<Piece>, middle: Point) -> Vec<Piece> {
    let mut area = 0.0;
    let mut at = pieces[pieces.len() - 1].curve.end();
    for piece in &pieces {
        area += Curve::line(at, piece.curve.start()).swept_area(middle) + piece.curve.swept_area(middle);
        at = piece.curve.end();
    }
    if area < 0.0 {
        // What was cut off at the end of a piece stands before the next one now.
        let overhangs: Vec<f64> = pieces.iter().map(|piece| piece.overhang).collect();
        let count = pieces.len();
        pieces = pieces.into_iter().rev().map(Piece::reversed).collect();
        for (k, piece) in pieces.iter_mut().enumerate() {
            piece.overhang = overhangs[(2 * count - k - 2) % count];
        }
    }
    let first = (0..pieces.len())
        .min_by(|i, j| pieces[*i].curve.start().by_place(&pieces[*j].curve.start()))
        .unwrap_or(0);
    pieces.rotate_left(first);
    pieces
}

/// The end of one piece and the beginning of the next.
struct Joint<'a> {
    a: &'a Curve,
    b: &'a Curve,
    /// Distance of the two ends.
    before: f64,
    tolerance: f64,
    rounding: f64,
    /// The two make the whole outline, and meet at their other ends too.
    alone: bool,
}

impl Joint<'_> {
    /// The ends meet but for rounding, and the curves part at an angle: they do not cross again beside their joint.
    fn is_clean(&self) -> bool {
        /// The sine of an angle below which curves that meet may cross again nearby.
        const ALONG: f64 = 1e-3;
        self.before == 0.0
            || self.before <= self.rounding && self.a.tangent(1.0).cross(self.b.tangent(0.0)).abs() > ALONG
    }

    /// Where the first curve is to end and the second to begin; `None` where both stay whole.
    fn cut(&self, budget: &mut Budget) -> Option<(f64, f64)> {
        self.crossing(budget).or_else(|| self.nearest())
    }

    /// The crossing that leaves nothing of the loop between the ends.
    fn crossing(&self, budget: &mut Budget) -> Option<(f64, f64)> {
        contacts_within(self.a, self.b, self.rounding, budget)
            .into_iter()
            .map(|contact| (contact.a, contact.b))
            .filter(|(s, t)| *s > 0.0 && *t < 1.0 && (*s < 1.0 || *t > 0.0) && self.is_loop(*s, *t))
            .max_by(|p, q| self.cut_off(*p).total_cmp(&self.cut_off(*q)))
    }

    /// How much is cut off.
    fn cut_off(&self, (s, t): (f64, f64)) -> f64 {
        length_between(self.a, s, 1.0) + length_between(self.b, 0.0, t)
    }

    /// What lies beyond the places `s` and `t` belongs to the joint: it is short, or both pieces of it run within the
    /// tolerance of each other.
    fn is_loop(&self, s: f64, t: f64) -> bool {
        let short = SPECK * self.tolerance;
        let (over_a, over_b) = (length_between(self.a, s, 1.0), length_between(self.b, 0.0, t));
        if over_a <= short && over_b <= short {
            return true;
        }
        let shares = [0.25, 0.5, 0.75, 1.0];
        let near = |curve: &Curve, place: Point| curve.distance(place) <= self.tolerance;
        // A lens of two arcs is no slip.
        (!self.alone || (s > 0.5 && t < 0.5))
            && shares.iter().all(|share| near(self.b, self.a.at(s + (1.0 - s) * share)))
            && shares.iter().all(|share| near(self.a, self.b.at(t - t * share)))
    }

    /// The place inside one of the curves that is nearest to the end of the other.
    fn nearest(&self) -> Option<(f64, f64)> {
        let short = SPECK * self.tolerance;
        let on_b = self.b.nearest(self.a.end());
        let on_a = self.a.nearest(self.b.start());
        let to_b = (self.b.at(on_b).distance(self.a.end()), (1.0, on_b));
        let to_a = (self.a.at(on_a).distance(self.b.start()), (on_a, 0.0));
        [to_b, to_a]
            .into_iter()
            .filter(|(distance, (s, t))| {
                let inside = *s > 0.0 && *t < 1.0 && (*s < 1.0 || *t > 0.0);
                inside && self.before - distance > self.rounding && self.cut_off((*s, *t)) <= short
            })
            .min_by(|p, q| p.0.total_cmp(&q.0))
            .map(|(_, places)| places)
    }
}

/// Length of a part of a curve; of ellipse arcs and spans by chords, which is near enough to tell short from long.
fn length_between(curve: &Curve, from: f64, to: f64) -> f64 {
    const CHORDS: u32 = 8;
    match curve {
        Curve::Line(_) | Curve::Arc(_) => (to - from).abs() * curve.length(),
        _ => {
            let at = |k: u32| curve.at(from + (to - from) * f64::from(k) / f64::from(CHORDS));
            (0..CHORDS).map(|k| at(k).distance(at(k + 1))).sum()
        }
    }
}

/// Two curves cut at one place, which was computed on each of them: a line takes the place from the other curve.
fn meeting(mut a: Curve, mut b: Curve, rounding: f64) -> (Curve, Curve) {
    /// One place computed on two curves differs by no more than so many roundings.
    const ONE_PLACE: f64 = 2.0;
    let (end, start) = (a.end(), b.start());
    if end.distance(start) > ONE_PLACE * rounding {
        return (a, b);
    }
    let is_long = |line: &Line| line.start.distance(line.end) > 2.0 * ONE_PLACE * rounding;
    match (&mut a, &mut b) {
        (_, Curve::Line(line)) if is_long(line) => line.start = end,
        (Curve::Line(line), _) if is_long(line) => line.end = start,
        _ => {}
    }
    (a, b)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Arc;
    use crate::outline::{Origin, Ring};

    fn line(a: (f64, f64), b: (f64, f64)) -> Piece {
        Piece::from(Curve::line(Point::new(a.0, a.1), Point::new(b.0, b.1)))
    }

    fn ring(pieces: Vec<Piece>) -> (Ring, Vec<Slip>) {
        let (curves, slips) = joined(pieces, 0.01);
        (Ring::new(curves, Origin::default()).expect("a closed ring"), slips)
    }

    #[test]
    fn ends_that_differ_by_rounding_need_no_link() {
        // The arc begins and ends 3 nm beside the ends of the lines, which a link back to them would cross.
        let rise = 0.5_f64.atan();
        let turn = std::f64::consts::PI - 2.0 * rise;
        let arc = Curve::Arc(Arc::new(Point::new(2.0, 1.0), 5.0_f64.sqrt() + 3e-9, rise, turn));
        let (ring, slips) = ring(vec![
            line((4.0, -1.0), (4.0, 2.0)),
            Piece::from(arc),
            line((0.0, 2.0), (0.5, -1.0)),
            line((0.5, -1.0), (4.0, -1.0)),
        ]);
        assert_eq!((ring.curves().len(), slips.len()), (4, 0));
        // A segment of the circle on a trapezium.
        let area = 2.5 * (turn - turn.sin()) + 0.5 * (4.0 + 3.5) * 3.0;
        assert!((ring.area() - area).abs() < 1e-7, "{} and {area}", ring.area());
    }

    #[test]
    fn what_runs_past_a_corner_is_cut_off_at_the_crossing() {
        // 100 × 60, off the origin; both pieces of the lower right corner run past it.
        let (ring, slips) = ring(vec![
            line((20.0, 10.0), (120.004, 10.0)),
            line((120.0, 9.993), (120.0, 70.0)),
            line((120.0, 70.0), (20.0, 70.0)),
            line((20.0, 70.0), (20.0, 10.0)),
        ]);
        assert_eq!(ring.curves().len(), 4);
        assert!((ring.area() - 6000.0).abs() < 1e-9, "{}", ring.area());
        let [slip] = slips[..] else { panic!("{slips:?}") };
        assert!(slip.place.distance(Point::new(120.0, 10.0)) < 1e-9 && slip.gap == 0.0);
        assert!((slip.overhang - 0.007).abs() < 1e-9);
        assert!((slip.apart - 0.004_f64.hypot(0.007)).abs() < 1e-9);
        // Half the distance times 100 and 60.
        assert!((slip.area() - (0.5 * slip.apart * 160.011 + slip.apart.powi(2))).abs() < 1e-9);
    }

    #[test]
    fn ends_that_pass_each_other_side_by_side_are_linked_across() {
        // Two halves of the lower edge overlap by 0.006 and lie 0.002 apart.
        let (ring, slips) = ring(vec![
            line((20.0, 10.0), (70.006, 10.0)),
            line((70.0, 9.998), (120.0, 9.998)),
            line((120.0, 9.998), (120.0, 70.0)),
            line((120.0, 70.0), (20.0, 70.0)),
            line((20.0, 70.0), (20.0, 10.0)),
        ]);
        let [slip] = slips[..] else { panic!("{slips:?}") };
        assert!((slip.gap - 0.002).abs() < 1e-9 && (slip.overhang - 0.006).abs() < 1e-9, "{slip:?}");
        // No curve runs back.
        assert!(ring.curves().iter().take(3).all(|curve| curve.end().x >= curve.start().x));
        let exact = 6000.0 + 0.002 * 50.0;
        assert!((ring.area() - exact).abs() < slip.area(), "{}", ring.area());
    }

    #[test]
    fn an_arc_that_turns_too_far_is_cut_where_it_crosses_the_line_it_runs_into() {
        let quarter = std::f64::consts::FRAC_PI_2;
        // A plate of 80 × 50 with one corner rounded by 12; its arc turns 0.0006 too far, which takes it off its tangent.
        let arc = Curve::Arc(Arc::new(Point::new(68.0, 38.0), 12.0, -0.0004, quarter + 0.001));
        let (ring, slips) = ring(vec![
            line((0.0, 0.0), (80.0, 0.0)),
            line((80.0, 0.0), (80.0, 38.0)),
            Piece::from(arc),
            line((68.0, 50.0), (0.0, 50.0)),
            line((0.0, 50.0), (0.0, 0.0)),
        ]);
        assert_eq!(slips.len(), 2, "{slips:?}");
        let exact = 4000.0 - 144.0 * (1.0 - quarter / 2.0);
        let bound: f64 = slips.iter().map(Slip::area).sum();
        assert!((ring.area() - exact).abs() < 1e-4 && bound < 0.5, "{} for {exact}", ring.area());
        let own =
            crate::geometry::contacts(&ring.curves()[2], &ring.curves()[3], 1e-9).expect("all contacts");
        assert!(own.len() <= 1, "{own:?}");
    }

    #[test]
    fn it_makes_no_difference_how_the_outline_was_walked() {
        let pieces = vec![
            line((20.0, 10.0), (120.004, 10.0)),
            line((120.0, 9.993), (120.0, 69.996)),
            line((119.997, 70.0), (20.0, 70.0)),
            line((20.0, 70.0), (19.996, 10.003)),
        ];
        let curves = |pieces: Vec<Piece>| joined(pieces, 0.01).0;
        let first = curves(pieces.clone());
        let mut turned = pieces.clone();
        turned.rotate_left(2);
        assert_eq!(curves(turned), first);
        let back: Vec<Piece> = pieces.into_iter().rev().map(Piece::reversed).collect();
        assert_eq!(curves(back), first);
    }
}
