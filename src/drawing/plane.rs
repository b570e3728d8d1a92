//! Space around the drawing plane: planes by the arbitrary-axis rule, and affine maps of space.

use crate::geometry::{Affine, Point};

/// A point or vector in space.
pub(super) type Point3 = [f64; 3];

/// The drawing plane's upward direction.
pub(super) const UP: Point3 = [0.0, 0.0, 1.0];

/// Where something rises by less than this share of its length it lies in the drawing plane: what is lost by looking
/// at it from above is half the square of this, 5e-13 of the length.
pub(super) const FLATNESS: f64 = 1e-6;

/// What keeps less than this share of its size (a line of its length, an area of its area) when seen from above is
/// seen edge-on: it was drawn upright, and the sliver that is left of it bounds nothing that was meant.
pub(super) const EDGE_ON: f64 = 1e-3;

/// Seen from above, nothing is left of it but its edge.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct OnEdge;

/// Something seen from above.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct View<T> {
    pub seen: T,
    /// It does not lie parallel to the drawing plane, so that it looks smaller than it is.
    pub tilted: bool,
}

impl<T> View<T> {
    pub fn map<U>(self, change: impl FnOnce(T) -> U) -> View<U> {
        View { seen: change(self.seen), tilted: self.tilted }
    }
}

pub(super) fn dot(a: Point3, b: Point3) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

pub(super) fn cross(a: Point3, b: Point3) -> Point3 {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

pub(super) fn sum(a: Point3, b: Point3) -> Point3 {
    [a[0] + b[0], a[1] + b[1], a[2] + b[2]]
}

pub(super) fn times(a: Point3, factor: f64) -> Point3 {
    a.map(|x| x * factor)
}

pub(super) fn difference(a: Point3, b: Point3) -> Point3 {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}

pub(super) fn length(a: Point3) -> f64 {
    a[0].hypot(a[1]).hypot(a[2])
}

pub(super) fn unit(a: Point3) -> Point3 {
    let length = length(a);
    a.map(|x| x / length)
}

/// The axes of a plane in space: an entity's own coordinates.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Axes {
    pub x: Point3,
    pub y: Point3,
    pub z: Point3,
}

impl Axes {
    pub const WORLD: Axes = Axes { x: [1.0, 0.0, 0.0], y: [0.0, 1.0, 0.0], z: UP };

    /// The axes of the plane with the given normal (extrusion direction), by the arbitrary-axis rule of DXF: x is
    /// at right angles to world z, or to world y where the normal is within 1/64 of world z. A normal without
    /// length says nothing and counts as upward.
    pub fn of_normal(normal: Point3) -> Axes {
        if normal == UP || normal == [0.0; 3] {
            return Axes::WORLD;
        }
        const NEAR: f64 = 1.0 / 64.0;
        let z = unit(normal);
        let pole = if z[0].abs() < NEAR && z[1].abs() < NEAR { [0.0, 1.0, 0.0] } else { UP };
        let x = unit(cross(pole, z));
        let y = unit(cross(z, x));
        Axes { x, y, z }
    }

    /// The point in space of a point in these coordinates.
    pub fn to_world(self, p: Point3) -> Point3 {
        sum(sum(times(self.x, p[0]), times(self.y, p[1])), times(self.z, p[2]))
    }

    /// The coordinates along these axes of a point in space.
    pub fn in_own(self, p: Point3) -> Point3 {
        [dot(self.x, p), dot(self.y, p), dot(self.z, p)]
    }
}

/// A plane parallel to an entity's own x and y: its normal and how far it stands along it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Plane {
    pub normal: Point3,
    pub elevation: f64,
}

/// An affine map of space: p ↦ x·p₀ + y·p₁ + z·p₂ + offset.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Map3 {
    pub axes: Axes,
    pub offset: Point3,
}

impl Map3 {
    pub const IDENTITY: Map3 = Map3 { axes: Axes::WORLD, offset: [0.0; 3] };

    pub fn point(&self, p: Point3) -> Point3 {
        sum(self.vector(p), self.offset)
    }

    pub fn vector(&self, v: Point3) -> Point3 {
        self.axes.to_world(v)
    }

    /// Does `self` first and `next` after it.
    pub fn then(&self, next: &Map3) -> Map3 {
        let Axes { x, y, z } = self.axes;
        let axes = Axes { x: next.vector(x), y: next.vector(y), z: next.vector(z) };
        Map3 { axes, offset: next.point(self.offset) }
    }

    /// The map from a plane's own coordinates to the drawing plane, seen from above.
    pub fn flattened(&self, plane: &Plane) -> Result<View<Affine>, OnEdge> {
        if *self == Map3::IDENTITY && plane.normal == UP {
            return Ok(View { seen: Affine::IDENTITY, tilted: false });
        }
        let own = Axes::of_normal(plane.normal);
        let (x, y) = (self.vector(own.x), self.vector(own.y));
        let tilted = [x, y].iter().any(|axis| axis[2].abs() > FLATNESS * axis[0].hypot(axis[1]));
        let area = cross(x, y);
        if tilted && area[2].abs() < EDGE_ON * length(area) {
            return Err(OnEdge);
        }
        let offset = self.point(times(own.z, plane.elevation));
        let offset = Point::new(offset[0], offset[1]);
        Ok(View { seen: Affine { xx: x[0], xy: y[0], yx: x[1], yy: y[1], offset }, tilted })
    }
}

/// Points in space seen from above, one after the other; a closed chain of them has an area too.
pub(super) fn seen_from_above(points: &[Point3], closed: bool) -> Result<View<Vec<Point>>, OnEdge> {
    let span = |axis: usize| {
        let (low, high) = points
            .iter()
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), p| (low.min(p[axis]), high.max(p[axis])));
        high - low
    };
    let tilted = points.len() > 1 && span(2) > FLATNESS * span(0).hypot(span(1));
    if tilted && is_on_edge(points, closed) {
        return Err(OnEdge);
    }
    Ok(View { seen: points.iter().map(|p| Point::new(p[0], p[1])).collect(), tilted })
}

/// The chain's length or, where it is closed, its area all but vanishes from above.
fn is_on_edge(points: &[Point3], closed: bool) -> bool {
    let first = points[0];
    let (mut from_above, mut in_space, mut area) = (0.0, 0.0, [0.0; 3]);
    for pair in points.windows(2) {
        let step = difference(pair[1], pair[0]);
        from_above += step[0].hypot(step[1]);
        in_space += length(step);
        // Twice the area as a vector, whatever the chain's plane; about its first point, for the digits' sake.
        area = sum(area, cross(difference(pair[0], first), difference(pair[1], first)));
    }
    from_above < EDGE_ON * in_space || closed && area[2].abs() < EDGE_ON * length(area)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_normal_pointing_down_mirrors_x() {
        let map = Map3::IDENTITY.flattened(&Plane { normal: [0.0, 0.0, -1.0], elevation: 5.0 }).unwrap();
        assert!(!map.tilted);
        assert_eq!(map.seen.point(Point::new(3.0, 7.0)), Point::new(-3.0, 7.0));
    }

    #[test]
    fn a_tilted_plane_is_seen_from_above_and_one_on_edge_is_not() {
        // Of a plane whose normal is (2, 3, 6)/7 six sevenths of the area are seen from above. Its own point (0, 0)
        // at elevation 7 is the normal's end.
        let plane = Plane { normal: [0.2, 0.3, 0.6], elevation: 7.0 };
        let view = Map3::IDENTITY.flattened(&plane).unwrap();
        assert!(view.tilted && (view.seen.determinant() - 6.0 / 7.0).abs() < 1e-15);
        assert!(view.seen.point(Point::ORIGIN).distance(Point::new(2.0, 3.0)) < 1e-14);
        for (rise, on_edge) in [(0.0, true), (0.9e-3, true), (1.1e-3, false)] {
            let steep = Plane { normal: [0.0, 1.0, rise], elevation: 0.0 };
            assert_eq!(Map3::IDENTITY.flattened(&steep).is_err(), on_edge, "{rise}");
        }
        let plane = Plane { normal: [0.0, 1.0, 0.0], elevation: 0.0 };
        assert_eq!(Map3::IDENTITY.flattened(&plane), Err(OnEdge));
        // Laid down by a quarter turn about x it is flat again.
        let down = Axes { x: [1.0, 0.0, 0.0], y: [0.0, 0.0, 1.0], z: [0.0, -1.0, 0.0] };
        let laid = Map3 { axes: down, offset: [0.0; 3] };
        assert!(laid.flattened(&plane).is_ok_and(|view| !view.tilted));
    }

    #[test]
    fn chains_in_space() {
        let on_edge = |points: &[Point3], closed| seen_from_above(points, closed).is_err();
        let ramp = [[1.0, 2.0, 0.0], [4.0, 2.0, 3.0], [4.0, 7.0, 3.0]];
        let view = seen_from_above(&ramp, true).unwrap();
        assert!(view.tilted && view.seen[1] == Point::new(4.0, 2.0));
        // Level, but for rounding.
        assert!(!seen_from_above(&[[1.0, 2.0, 5.0], [4.0, 2.0, 5.000_000_1]], false).unwrap().tilted);
        assert!(on_edge(&[[1.0, 2.0, 0.0], [1.0, 2.0, 3.0]], false));
        // A wall: an area on edge, but as an open chain a line that rises.
        let wall = [[1.0, 2.0, 0.0], [4.0, 6.0, 0.0], [4.0, 6.0, 3.0], [1.0, 2.0, 0.0]];
        assert!(on_edge(&wall, true) && !on_edge(&wall[..3], false));
    }

    #[test]
    fn axes_are_at_right_angles_and_turn_back() {
        for normal in [[0.1, 0.2, 0.9], [0.001, -0.002, 5.0], [0.0, 0.0, -2.0], [1.0, 0.0, 0.0]] {
            let axes = Axes::of_normal(normal);
            let p = [1.0, 2.0, 3.0];
            let back = axes.in_own(axes.to_world(p));
            assert!(back.iter().zip(p).all(|(a, b)| (a - b).abs() < 1e-14), "{normal:?}");
        }
    }
}
