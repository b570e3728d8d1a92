//! Regions as polygons for other libraries. The one file that names geo.
//! The convex hull is that of geo.
//!
//! [`Region::to_geo`] is the one place where a type of another crate stands in a public signature, and on purpose:
//! whoever wants polygons wants to go on with the libraries that take them.

use geo::algorithm::ConvexHull;
use geo::{Coord, LineString, MultiPoint, MultiPolygon, Polygon};

use super::Region;
use crate::geometry::Point;
use crate::outline::{Ring, flatten};

/// No finer than this share of a ring's size: a circle has some 70,000 chords then, past any use of polygons.
const FINEST: f64 = 1e-9;

/// No coarser than this share of a ring's area over its length, so that no ring collapses: its area is then right within
/// a quarter, and a circle keeps seven sides.
const COARSEST: f64 = 0.25;

/// Rings so thin that even that is less than this share of their size have no area beside rounding.
const THINNEST: f64 = 1e-12;

impl Region {
    /// The region as polygons, in drawing units and drawing coordinates: one polygon for each part, holes as its
    /// interiors; exteriors anticlockwise, interiors clockwise, each ring closed by its first point.
    ///
    /// Straight edges are as drawn. Curves become chords whose ends lie on the curve and whose middles keep within
    /// `tolerance` (drawing units) of it: the area of each ring is at most its length times `tolerance` smaller or
    /// larger, and where a hole is nearer than `tolerance` to an edge the two may cross. A tolerance below 1e-9 of
    /// the size of a ring, or one that is no number, counts as that; one above a quarter of the ring's area over its
    /// length counts as that, so that no ring collapses.
    ///
    /// The polygons are `geo_types` 0.7, which `geo` 0.33 uses. The exact curves stay in [`Region::parts`], and
    /// properties are better taken from [`Section::of`](crate::section::Section::of), which integrates those.
    ///
    /// ```
    /// use geo::Area;
    /// use tracearm::geometry::{Arc, Curve, Point};
    /// use tracearm::outline::{Origin, Ring};
    /// use tracearm::region::resolve;
    ///
    /// let disc = Curve::Arc(Arc::circle(Point::new(70.0, -20.0), 15.0));
    /// let ring = Ring::new(vec![disc], Origin::default()).ok_or("not closed")?;
    /// let region = resolve(&[ring], &[]).region.ok_or("no region")?;
    /// let area = region.to_geo(1e-3).unsigned_area();
    /// let exact = std::f64::consts::PI * 15.0 * 15.0;
    /// assert!(area < exact && area > exact - 30.0 * std::f64::consts::PI * 1e-3);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn to_geo(&self, tolerance: f64) -> MultiPolygon<f64> {
        let polygons = self.parts.iter().map(|part| {
            let mut holes = Vec::with_capacity(part.holes.len());
            for hole in &part.holes {
                let mut points = chords(hole, tolerance);
                points.reverse();
                holes.push(line_string(&points));
            }
            // Polygon::new closes the rings.
            Polygon::new(line_string(&chords(&part.edge, tolerance)), holes)
        });
        MultiPolygon::new(polygons.collect())
    }
}

/// The ring as a polygon, anticlockwise.
fn chords(ring: &Ring, tolerance: f64) -> Vec<Point> {
    let size = ring.bounds().size();
    // max and min pass over what is no number.
    let tolerance = tolerance.max(FINEST * size).min(COARSEST * ring.area() / ring.length());
    flatten(ring, tolerance.max(THINNEST * size))
}

fn line_string(points: &[Point]) -> LineString<f64> {
    points.iter().map(|p| coordinate(*p)).collect()
}

fn coordinate(p: Point) -> Coord<f64> {
    Coord { x: p.x, y: p.y }
}

/// The corners of the smallest convex polygon around `points`, anticlockwise, none repeated and none on the straight
/// line between its neighbours. Coordinates must be finite, and so small that their products are.
pub(crate) fn convex_hull(points: &[Point]) -> Vec<Point> {
    let cloud: MultiPoint<f64> = points.iter().map(|p| geo::Point::from(coordinate(*p))).collect();
    let (hull, _) = cloud.convex_hull().into_inner();
    let mut corners: Vec<Point> = hull.into_iter().map(|c| Point::new(c.x, c.y)).collect();
    corners.dedup();
    if corners.len() > 1 && corners.first() == corners.last() {
        corners.pop();
    }
    corners
}

#[cfg(test)]
mod tests {
    use geo::{Area, Centroid};

    use super::*;
    use crate::geometry::{Arc, Curve, EllipseArc};
    use crate::outline::Origin;
    use crate::region::resolve;
    use crate::section::Section;

    fn polygon(corners: &[(f64, f64)]) -> Ring {
        let at = |k: usize| Point::new(corners[k % corners.len()].0, corners[k % corners.len()].1);
        let edges = (0..corners.len()).map(|k| Curve::line(at(k), at(k + 1))).collect();
        Ring::new(edges, Origin::default()).unwrap()
    }

    fn region(rings: &[Ring]) -> Region {
        resolve(rings, &[]).region.unwrap()
    }

    #[test]
    fn straight_sides_agree_with_the_second_opinion() {
        // An unequal angle, off the origin, with a triangular hole, and a turned bar beside it.
        let angle =
            polygon(&[(31.0, 7.0), (111.0, 7.0), (111.0, 27.0), (46.0, 27.0), (46.0, 150.0), (31.0, 150.0)]);
        let hole = polygon(&[(35.0, 40.0), (42.0, 60.0), (36.0, 90.0)]);
        let bar = polygon(&[(130.0, -20.0), (190.0, 13.0), (186.0, 21.0), (126.0, -12.0)]);
        let region = region(&[angle, hole, bar]);
        let polygons = region.to_geo(1.0);
        assert_eq!(polygons.0.len(), 2);
        assert_eq!(polygons.0[0].interiors().len(), 1);
        assert_eq!(polygons.0[0].exterior().0.len(), 7);
        assert_eq!(polygons.0[0].exterior().0.first(), polygons.0[0].exterior().0.last());
        let section = Section::of(&region).unwrap();
        let centroid = polygons.centroid().unwrap();
        // Signed: exteriors run anticlockwise and interiors the other way.
        assert!((polygons.signed_area() / section.area - 1.0).abs() < 1e-12);
        assert!((centroid.x() - section.centroid.x).abs() < 1e-12 * 190.0);
        assert!((centroid.y() - section.centroid.y).abs() < 1e-12 * 190.0);
    }

    #[test]
    fn curves_keep_within_the_tolerance() {
        let (center, turn) = (Point::new(-40.0, 90.0), Point::at_angle(0.5));
        let outer =
            EllipseArc::new(center, turn * 60.0, turn.quarter_turned() * 35.0, 0.0, std::f64::consts::TAU);
        let hole = Arc::circle(Point::new(-30.0, 95.0), 11.0);
        let ring = |curve: Curve| Ring::new(vec![curve], Origin::default()).unwrap();
        let region = region(&[ring(outer.into()), ring(hole.into())]);
        let section = Section::of(&region).unwrap();
        let mut previous = f64::INFINITY;
        for tolerance in [1.0, 1e-2, 1e-4] {
            let polygons = region.to_geo(tolerance);
            let off = (polygons.unsigned_area() - section.area).abs();
            assert!(
                off <= tolerance * section.perimeter && off > 0.0 && off < previous,
                "{tolerance}: {off}"
            );
            previous = off;
            let centroid = polygons.centroid().unwrap();
            let moved = Point::new(centroid.x(), centroid.y()).distance(section.centroid);
            assert!(moved <= tolerance, "{tolerance}: {moved}");
        }
    }

    #[test]
    fn no_tolerance_is_too_coarse_or_too_fine() {
        let disc = Ring::new(vec![Arc::circle(Point::new(5.0, 7.0), 2.0).into()], Origin::default()).unwrap();
        let (a, b) = (Point::new(0.0, 0.0), Point::new(100.0, 8.0));
        // A lens less than 0.02 thick.
        let thin = vec![Curve::from_bulge(a, b, 1e-4), Curve::from_bulge(b, a, 1e-4)];
        let lens = Ring::new(thin, Origin::default()).unwrap();
        for ring in [disc, lens] {
            let region = region(&[ring]);
            let exact = Section::of(&region).unwrap().area;
            for tolerance in [f64::INFINITY, 1e300, 0.0, -1.0, f64::NAN] {
                let area = region.to_geo(tolerance).unsigned_area();
                assert!(
                    area > 0.75 * exact && area <= exact * (1.0 + 1e-9),
                    "{tolerance}: {area} of {exact}"
                );
            }
        }
    }

    #[test]
    fn hulls() {
        let at = |x: f64, y: f64| Point::new(x, y);
        let hull = convex_hull(&[
            at(0.0, 0.0),
            at(4.0, 0.0),
            at(1.0, 1.0),
            at(2.0, 0.0),
            at(4.0, 3.0),
            at(0.0, 3.0),
        ]);
        assert_eq!(hull.len(), 4);
        let turn = |k: usize| (hull[(k + 1) % 4] - hull[k]).cross(hull[(k + 2) % 4] - hull[(k + 1) % 4]);
        assert!((0..4).all(|k| turn(k) > 0.0));
        assert_eq!(convex_hull(&[at(1.0, 2.0), at(1.0, 2.0), at(3.0, 4.0)]).len(), 2);
        assert_eq!(convex_hull(&[at(1.0, 2.0)]).len(), 1);
        assert!(convex_hull(&[]).is_empty());
    }
}
