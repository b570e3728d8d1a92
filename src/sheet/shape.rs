//! Which kind of profile a section is, so that the letters of the codes can follow its flanges and legs.
//!
//! An upright line through a flange and not through the web meets the solid where the flange is; one through the web meets
//! it from top to bottom. Which of these lines stand where tells I, channel, tee, angle and hollow section apart, whatever
//! the roots and toes are like.

use crate::geometry::{Affine, Curve, Point};
use crate::outline;
use crate::region::Region;

/// A direction of the drawing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Along {
    /// To the right.
    X,
    /// Upwards.
    Y,
}

impl Along {
    fn other(self) -> Along {
        match self {
            Along::X => Along::Y,
            Along::Y => Along::X,
        }
    }
}

/// A kind of profile.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Profile {
    I,
    Channel,
    Tee,
    Angle,
    Hollow,
}

impl Profile {
    /// Its name within a sentence.
    pub(super) fn name(self) -> &'static str {
        match self {
            Profile::I => "an I section",
            Profile::Channel => "a channel",
            Profile::Tee => "a tee",
            Profile::Angle => "an angle",
            Profile::Hollow => "a rectangular hollow section",
        }
    }

    /// What its axis y-y of EN 1993-1-1 runs parallel to.
    pub(super) fn guide(self) -> &'static str {
        match self {
            Profile::I | Profile::Channel => "its flanges",
            Profile::Tee => "its flange",
            Profile::Angle => "its smaller leg",
            Profile::Hollow => "its shorter side",
        }
    }
}

/// How a section lies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Lie {
    /// A profile whose axis y-y of EN 1993-1-1 runs along x or y of the drawing.
    Square(Profile, Along),
    /// A profile that is turned: its y-y lies at this angle (radians) to x.
    Turned(Profile, f64),
    /// No profile that is known.
    Unknown,
}

/// So many lines are laid through the section.
const LINES: usize = 240;

/// Of these so many may meet it otherwise than its kind does, at rounded toes: one in so many.
const ODD: usize = 24;

/// Ends within this share of the height of the extent lie at its edge.
const AT_EDGE: f64 = 0.02;

/// A web or leg that takes more than this share of the width is none.
const WEB: f64 = 0.5;

/// Flanges that take more than this share of the height are none.
const FLANGES: f64 = 0.8;

/// A web with as many lines to its left as to its right stands in the middle: rounding may take so many.
const OFF_MIDDLE: usize = 2;

/// Directions nearer to each other than this (radians) are one.
const SAME_DIRECTION: f64 = 1e-6;

/// Outlines of more curves than this are not looked at: no profile has so many.
const MOST_CURVES: usize = 64;

/// Which profile a region is, and how it lies.
pub(super) fn lie(region: &Region) -> Lie {
    let curves: usize = region.rings().map(|(_, ring)| ring.curves().len()).sum();
    if region.parts.len() != 1 || curves > MOST_CURVES {
        return Lie::Unknown;
    }
    let tolerance = 1e-3 * region.bounds().size();
    let rings: Vec<Vec<Point>> = region.rings().map(|(_, ring)| outline::flatten(ring, tolerance)).collect();
    if let Some((profile, along)) = square(&rings) {
        return Lie::Square(profile, along);
    }
    let Some(angle) = longest_edge(region) else { return Lie::Unknown };
    if angle.abs() < SAME_DIRECTION {
        return Lie::Unknown;
    }
    let back = Affine::rotation(-angle);
    let turned: Vec<Vec<Point>> =
        rings.iter().map(|ring| ring.iter().map(|p| back.point(*p)).collect()).collect();
    match square(&turned) {
        Some((profile, Along::X)) => Lie::Turned(profile, angle),
        Some((profile, Along::Y)) => Lie::Turned(profile, angle + std::f64::consts::FRAC_PI_2),
        None => Lie::Unknown,
    }
}

/// The direction of the longest straight edge, turned by quarter turns to within an eighth of a turn of x.
fn longest_edge(region: &Region) -> Option<f64> {
    let lines = region.rings().flat_map(|(_, ring)| ring.curves()).filter_map(|curve| match *curve {
        Curve::Line(line) => Some(line.end - line.start),
        _ => None,
    });
    let longest = lines.max_by(|a, b| a.length().total_cmp(&b.length()))?;
    let quarter = std::f64::consts::FRAC_PI_2;
    let angle = longest.angle();
    Some(angle - quarter * (angle / quarter).round())
}

/// The profile of an outline whose flanges run along x or y.
fn square(rings: &[Vec<Point>]) -> Option<(Profile, Along)> {
    let across: Vec<Vec<Point>> =
        rings.iter().map(|ring| ring.iter().map(|p| Point::new(p.y, p.x)).collect()).collect();
    let upright = Profiled::of(rings)?;
    let flat = Profiled::of(&across)?;
    let hollow = rings.len() > 1;
    // An angle or a hollow section looks alike from both sides; the shorter side decides.
    let shorter = if upright.width <= upright.height { Along::X } else { Along::Y };
    match (upright.profile(hollow), flat.profile(hollow)) {
        (Some(profile @ (Profile::Angle | Profile::Hollow)), Some(same)) if profile == same => {
            Some((profile, shorter))
        }
        (Some(profile @ (Profile::I | Profile::Channel | Profile::Tee)), _) => Some((profile, Along::X)),
        (_, Some(profile @ (Profile::I | Profile::Channel | Profile::Tee))) => {
            Some((profile, Along::X.other()))
        }
        _ => None,
    }
}

/// How a line meets the solid.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Met {
    /// From the bottom to the top.
    Whole,
    /// At the bottom and at the top, with a gap.
    Both,
    /// At the bottom alone.
    Low,
    /// At the top alone.
    High,
    Else,
}

/// How upright lines from left to right meet the solid.
struct Profiled {
    lines: Vec<Met>,
    width: f64,
    height: f64,
}

impl Profiled {
    fn of(rings: &[Vec<Point>]) -> Option<Profiled> {
        let points = || rings.iter().flatten();
        let range = |place: fn(&Point) -> f64| {
            points().map(place).fold((f64::MAX, f64::MIN), |(low, high), v| (low.min(v), high.max(v)))
        };
        let ((left, right), (bottom, top)) = (range(|p| p.x), range(|p| p.y));
        let (width, height) = (right - left, top - bottom);
        if !(width > 0.0 && height > 0.0) {
            return None;
        }
        let near = AT_EDGE * height;
        let met = |k: usize| {
            let x = left + width * (k as f64 + 0.5) / LINES as f64;
            let mut levels: Vec<f64> = Vec::new();
            for ring in rings {
                let ends = ring.iter().zip(ring.iter().cycle().skip(1));
                for (a, b) in ends.filter(|(a, b)| (a.x <= x) != (b.x <= x)) {
                    levels.push(a.y + (b.y - a.y) * (x - a.x) / (b.x - a.x));
                }
            }
            levels.sort_by(f64::total_cmp);
            let (is_low, is_high) = (|level: f64| level - bottom <= near, |level: f64| top - level <= near);
            match *levels.as_slice() {
                [a, b] if is_low(a) && is_high(b) => Met::Whole,
                [a, b] if is_low(a) && b - a < WEB * height => Met::Low,
                [a, b] if is_high(b) && b - a < WEB * height => Met::High,
                [a, b, c, d] if is_low(a) && is_high(d) && (b - a) + (d - c) < FLANGES * height => Met::Both,
                _ => Met::Else,
            }
        };
        Some(Profiled { lines: (0..LINES).map(met).collect(), width, height })
    }

    fn count(&self, met: Met) -> usize {
        self.lines.iter().filter(|line| **line == met).count()
    }

    /// The first and the last line that meets the solid from bottom to top, where all between them do.
    fn web(&self) -> Option<(usize, usize)> {
        let first = self.lines.iter().position(|met| *met == Met::Whole)?;
        let last = self.lines.iter().rposition(|met| *met == Met::Whole)?;
        (last + 1 - first == self.count(Met::Whole)).then_some((first, last))
    }

    /// The profile whose flanges run across these lines.
    fn profile(&self, hollow: bool) -> Option<Profile> {
        let odd = LINES / ODD;
        let whole = self.count(Met::Whole);
        if self.count(Met::Else) > odd || whole == 0 || whole as f64 > WEB * LINES as f64 {
            return None;
        }
        let flanges = [Met::Both, Met::Low, Met::High].map(|met| self.count(met));
        if hollow {
            let walls = self.lines.first() == Some(&Met::Whole) && self.lines.last() == Some(&Met::Whole);
            return (walls && flanges[0] + odd + whole >= LINES).then_some(Profile::Hollow);
        }
        let (first, last) = self.web()?;
        let in_middle = first.abs_diff(LINES - 1 - last) <= OFF_MIDDLE && first > 0;
        // One side of the web has no flange, or next to none.
        let at_side = first.min(LINES - 1 - last) <= odd / 2;
        let [both, low, high] = flanges;
        let is_one = |count: usize| count > 0 && count + whole + odd >= LINES;
        match (is_one(both), is_one(low) || is_one(high)) {
            (true, false) if in_middle => Some(Profile::I),
            (true, false) if at_side => Some(Profile::Channel),
            (false, true) if in_middle => Some(Profile::Tee),
            (false, true) if at_side => Some(Profile::Angle),
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::outline::{Origin, Ring};
    use crate::region::Part;

    /// A region of corners, turned by so many degrees.
    fn region(corners: &[(f64, f64)], degrees: f64) -> Region {
        let turn = Affine::rotation(degrees.to_radians());
        let points: Vec<Point> = corners.iter().map(|(x, y)| turn.point(Point::new(*x, *y))).collect();
        let ends = points.iter().zip(points.iter().cycle().skip(1));
        let curves = ends.map(|(a, b)| Curve::line(*a, *b)).collect();
        Region::new(vec![Part::new(Ring::new(curves, Origin::default()).unwrap(), Vec::new())])
    }

    const I: &[(f64, f64)] = &[
        (0.0, 0.0),
        (100.0, 0.0),
        (100.0, 9.0),
        (53.0, 9.0),
        (53.0, 191.0),
        (100.0, 191.0),
        (100.0, 200.0),
        (0.0, 200.0),
        (0.0, 191.0),
        (47.0, 191.0),
        (47.0, 9.0),
        (0.0, 9.0),
    ];
    const CHANNEL: &[(f64, f64)] = &[
        (0.0, 0.0),
        (75.0, 0.0),
        (75.0, 11.0),
        (9.0, 11.0),
        (9.0, 189.0),
        (75.0, 189.0),
        (75.0, 200.0),
        (0.0, 200.0),
    ];
    const TEE: &[(f64, f64)] = &[
        (45.0, 0.0),
        (55.0, 0.0),
        (55.0, 90.0),
        (100.0, 90.0),
        (100.0, 100.0),
        (0.0, 100.0),
        (0.0, 90.0),
        (45.0, 90.0),
    ];
    const ANGLE: &[(f64, f64)] =
        &[(0.0, 0.0), (65.0, 0.0), (65.0, 8.0), (8.0, 8.0), (8.0, 100.0), (0.0, 100.0)];

    #[test]
    fn flanges_and_legs_are_followed_whichever_way_a_profile_lies() {
        for (corners, profile) in
            [(I, Profile::I), (CHANNEL, Profile::Channel), (TEE, Profile::Tee), (ANGLE, Profile::Angle)]
        {
            for (degrees, along) in [(0.0, Along::X), (90.0, Along::Y), (180.0, Along::X), (-90.0, Along::Y)]
            {
                assert_eq!(lie(&region(corners, degrees)), Lie::Square(profile, along), "{degrees}");
            }
            for degrees in [20.0_f64, -35.0, 125.0] {
                let Lie::Turned(found, angle) = lie(&region(corners, degrees)) else {
                    panic!("{profile:?} turned by {degrees}: {:?}", lie(&region(corners, degrees)))
                };
                let off = (angle - degrees.to_radians()).rem_euclid(std::f64::consts::PI);
                assert!(found == profile && off.min(std::f64::consts::PI - off) < 1e-9, "{degrees}");
            }
        }
    }

    #[test]
    fn what_is_no_profile_is_not_taken_for_one() {
        let plate: &[(f64, f64)] = &[(0.0, 0.0), (80.0, 0.0), (80.0, 120.0), (0.0, 120.0)];
        let zed: &[(f64, f64)] = &[
            (0.0, 0.0),
            (10.0, 0.0),
            (10.0, 90.0),
            (60.0, 90.0),
            (60.0, 100.0),
            (0.0, 100.0),
            (0.0, 10.0),
            (-50.0, 10.0),
            (-50.0, 0.0),
        ];
        let triangle: &[(f64, f64)] = &[(0.0, 0.0), (80.0, 0.0), (20.0, 50.0)];
        for corners in [plate, zed, triangle] {
            for degrees in [0.0, 30.0] {
                assert_eq!(lie(&region(corners, degrees)), Lie::Unknown, "{corners:?}");
            }
        }
    }
}
