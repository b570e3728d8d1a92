//! Points and vectors of the plane, boxes with sides parallel to the axes, and affine maps.

use std::cmp::Ordering;
use std::ops::{Add, AddAssign, Mul, Neg, Sub};

/// A point or a vector of the plane: x to the right, y up.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Point {
    /// Distance to the right of the origin.
    pub x: f64,
    /// Distance above the origin.
    pub y: f64,
}

impl Point {
    /// The origin.
    pub const ORIGIN: Point = Point { x: 0.0, y: 0.0 };

    /// The point (x, y).
    pub const fn new(x: f64, y: f64) -> Point {
        Point { x, y }
    }

    /// The unit vector at `angle` radians anticlockwise from +x.
    pub fn at_angle(angle: f64) -> Point {
        let (sine, cosine) = angle.sin_cos();
        Point::new(cosine, sine)
    }

    /// x₁x₂ + y₁y₂.
    pub fn dot(self, other: Point) -> f64 {
        self.x * other.x + self.y * other.y
    }

    /// x₁y₂ − y₁x₂: positive when `other` lies anticlockwise of `self`.
    pub fn cross(self, other: Point) -> f64 {
        self.x * other.y - self.y * other.x
    }

    /// Length of the vector, safe from overflow.
    #[inline]
    pub fn length(self) -> f64 {
        /// Squares between these neither overflow nor lose digits to underflow.
        const SAFE: std::ops::Range<f64> = 1e-280..1e280;
        let square = self.dot(self);
        if SAFE.contains(&square) { square.sqrt() } else { self.x.hypot(self.y) }
    }

    /// Distance to `other`.
    pub fn distance(self, other: Point) -> f64 {
        (self - other).length()
    }

    /// Anticlockwise angle from +x in (−π, π].
    pub fn angle(self) -> f64 {
        self.y.atan2(self.x)
    }

    /// The vector turned a quarter turn anticlockwise.
    pub fn quarter_turned(self) -> Point {
        Point::new(-self.y, self.x)
    }

    /// The point a fraction `t` of the way to `other`.
    pub fn towards(self, other: Point, t: f64) -> Point {
        Point::new(self.x + (other.x - self.x) * t, self.y + (other.y - self.y) * t)
    }

    /// From left to right, then upwards.
    pub(crate) fn by_place(&self, other: &Point) -> Ordering {
        self.x.total_cmp(&other.x).then(self.y.total_cmp(&other.y))
    }

    /// Neither coordinate is infinite or not a number.
    pub fn is_finite(self) -> bool {
        self.x.is_finite() && self.y.is_finite()
    }
}

impl Add for Point {
    type Output = Point;
    fn add(self, other: Point) -> Point {
        Point::new(self.x + other.x, self.y + other.y)
    }
}

impl AddAssign for Point {
    fn add_assign(&mut self, other: Point) {
        *self = *self + other;
    }
}

impl Sub for Point {
    type Output = Point;
    fn sub(self, other: Point) -> Point {
        Point::new(self.x - other.x, self.y - other.y)
    }
}

impl Mul<f64> for Point {
    type Output = Point;
    fn mul(self, factor: f64) -> Point {
        Point::new(self.x * factor, self.y * factor)
    }
}

impl Neg for Point {
    type Output = Point;
    fn neg(self) -> Point {
        Point::new(-self.x, -self.y)
    }
}

/// A box with sides parallel to the axes. An empty box has `min` above `max`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bounds {
    /// Lower left corner.
    pub min: Point,
    /// Upper right corner.
    pub max: Point,
}

impl Bounds {
    /// The box that holds nothing.
    pub const EMPTY: Bounds = Bounds {
        min: Point::new(f64::INFINITY, f64::INFINITY),
        max: Point::new(f64::NEG_INFINITY, f64::NEG_INFINITY),
    };

    /// The smallest box around all `points`.
    pub fn around(points: impl IntoIterator<Item = Point>) -> Bounds {
        points.into_iter().fold(Bounds::EMPTY, Bounds::with)
    }

    /// The smallest box around this one and `point`.
    pub fn with(self, point: Point) -> Bounds {
        Bounds {
            min: Point::new(self.min.x.min(point.x), self.min.y.min(point.y)),
            max: Point::new(self.max.x.max(point.x), self.max.y.max(point.y)),
        }
    }

    /// The smallest box around both.
    pub fn union(self, other: Bounds) -> Bounds {
        Bounds {
            min: Point::new(self.min.x.min(other.min.x), self.min.y.min(other.min.y)),
            max: Point::new(self.max.x.max(other.max.x), self.max.y.max(other.max.y)),
        }
    }

    /// The box with every side moved outwards by `margin`.
    pub fn grown(self, margin: f64) -> Bounds {
        Bounds {
            min: Point::new(self.min.x - margin, self.min.y - margin),
            max: Point::new(self.max.x + margin, self.max.y + margin),
        }
    }

    /// The boxes share at least a point.
    pub fn meets(&self, other: &Bounds) -> bool {
        self.min.x <= other.max.x
            && other.min.x <= self.max.x
            && self.min.y <= other.max.y
            && other.min.y <= self.max.y
    }

    /// Whether the straight line between two points goes through the box or touches it: what is left of it between the box's
    /// sides, one pair of sides after the other.
    #[cfg(any(feature = "sheet", feature = "mark"))]
    pub(crate) fn is_crossed(&self, from: Point, to: Point) -> bool {
        let (mut first, mut last) = (0.0_f64, 1.0_f64);
        let along = to - from;
        for (start, step, low, high) in
            [(from.x, along.x, self.min.x, self.max.x), (from.y, along.y, self.min.y, self.max.y)]
        {
            if step == 0.0 {
                if start < low || start > high {
                    return false;
                }
                continue;
            }
            let (a, b) = ((low - start) / step, (high - start) / step);
            first = first.max(a.min(b));
            last = last.min(a.max(b));
        }
        first <= last
    }

    /// `other` lies within this box, edges included.
    pub fn contains(&self, other: &Bounds) -> bool {
        self.min.x <= other.min.x
            && other.max.x <= self.max.x
            && self.min.y <= other.min.y
            && other.max.y <= self.max.y
    }

    /// `point` lies within this box, edges included.
    pub fn contains_point(&self, point: Point) -> bool {
        self.min.x <= point.x && point.x <= self.max.x && self.min.y <= point.y && point.y <= self.max.y
    }

    /// The box holds nothing.
    pub fn is_empty(&self) -> bool {
        !(self.min.x <= self.max.x && self.min.y <= self.max.y)
    }

    /// Extent along x.
    pub fn width(&self) -> f64 {
        self.max.x - self.min.x
    }

    /// Extent along y.
    pub fn height(&self) -> f64 {
        self.max.y - self.min.y
    }

    /// The larger of width and height: the size of what is inside; 0 for the empty box.
    pub fn size(&self) -> f64 {
        if self.is_empty() { 0.0 } else { self.width().max(self.height()) }
    }

    /// The middle.
    pub fn center(&self) -> Point {
        self.min.towards(self.max, 0.5)
    }

    /// The largest absolute coordinate; 0 for the empty box.
    pub fn reach(&self) -> f64 {
        if self.is_empty() {
            0.0
        } else {
            self.min.x.abs().max(self.max.x.abs()).max(self.min.y.abs()).max(self.max.y.abs())
        }
    }
}

/// An affine map of the plane: p ↦ (xx·x + xy·y + x₀, yx·x + yy·y + y₀).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Affine {
    /// x of the image of (1, 0).
    pub xx: f64,
    /// x of the image of (0, 1).
    pub xy: f64,
    /// y of the image of (1, 0).
    pub yx: f64,
    /// y of the image of (0, 1).
    pub yy: f64,
    /// Image of the origin.
    pub offset: Point,
}

impl Affine {
    /// The map that leaves every point where it is.
    pub const IDENTITY: Affine = Affine { xx: 1.0, xy: 0.0, yx: 0.0, yy: 1.0, offset: Point::ORIGIN };

    /// Moves every point by `vector`.
    pub fn translation(vector: Point) -> Affine {
        Affine { offset: vector, ..Affine::IDENTITY }
    }

    /// Turns about the origin by `angle` radians anticlockwise.
    pub fn rotation(angle: f64) -> Affine {
        let (sine, cosine) = angle.sin_cos();
        Affine { xx: cosine, xy: -sine, yx: sine, yy: cosine, offset: Point::ORIGIN }
    }

    /// Scales about the origin, by `x` along x and by `y` along y; a negative factor mirrors.
    pub fn scaling(x: f64, y: f64) -> Affine {
        Affine { xx: x, xy: 0.0, yx: 0.0, yy: y, offset: Point::ORIGIN }
    }

    /// The map that does `self` first and `next` after it.
    pub fn then(&self, next: &Affine) -> Affine {
        let column = |v: Point| next.vector(v);
        let (first, second) = (column(Point::new(self.xx, self.yx)), column(Point::new(self.xy, self.yy)));
        Affine { xx: first.x, yx: first.y, xy: second.x, yy: second.y, offset: next.point(self.offset) }
    }

    /// Image of a point.
    pub fn point(&self, p: Point) -> Point {
        self.vector(p) + self.offset
    }

    /// Image of a vector, which the offset does not move.
    pub fn vector(&self, v: Point) -> Point {
        Point::new(self.xx * v.x + self.xy * v.y, self.yx * v.x + self.yy * v.y)
    }

    /// Factor by which areas grow; negative when the map mirrors.
    pub fn determinant(&self) -> f64 {
        self.xx * self.yy - self.xy * self.yx
    }

    /// The factor of lengths when the map keeps shapes (circles stay circles), otherwise `None`.
    pub fn similarity(&self) -> Option<f64> {
        /// A circle squeezed by less than this share of its radius is still drawn, read and measured as
        /// a circle: well under the rounding of the transforms that drawings are written with.
        const ROUNDNESS: f64 = 1e-12;
        let (first, second) = (Point::new(self.xx, self.yx), Point::new(self.xy, self.yy));
        let scale = first.length().max(second.length());
        let round = (first.length() - second.length()).abs() <= ROUNDNESS * scale
            && first.dot(second).abs() <= ROUNDNESS * scale * scale;
        (round && scale > 0.0).then_some(first.length())
    }
}

/// Two curves nearer to each other than this share of the drawing's size touch.
const NODING: f64 = 1e-9;
/// Places computed from coordinates are off by a few units in their last place; so many are rounding.
const ROUNDING: f64 = 8.0 * f64::EPSILON;

/// Two curves nearer to each other than this touch: 1e-9 of the size of the drawing, and no less than eight units in
/// the last place of its coordinates, below which computed places are rounding.
pub(crate) fn noding_tolerance(bounds: &Bounds) -> f64 {
    (NODING * bounds.size()).max(ROUNDING * bounds.reach())
}

#[cfg(all(test, any(feature = "sheet", feature = "mark")))]
mod tests {
    use super::*;

    #[test]
    fn strokes_through_a_box() {
        let bounds = Bounds { min: Point::new(10.0, 5.0), max: Point::new(30.0, 15.0) };
        let at = Point::new;
        for (from, to, expected) in [
            (at(0.0, 10.0), at(40.0, 10.0), true),
            (at(0.0, 0.0), at(40.0, 20.0), true),
            (at(12.0, 6.0), at(13.0, 6.5), true),
            (at(0.0, 10.0), at(9.0, 10.0), false),
            (at(0.0, 10.0), at(12.0, 30.0), false),
            (at(20.0, 0.0), at(20.0, 4.0), false),
        ] {
            assert_eq!(bounds.is_crossed(from, to), expected, "{from:?} {to:?}");
            assert_eq!(bounds.is_crossed(to, from), expected, "{to:?} {from:?}");
        }
    }
}
