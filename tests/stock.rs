//! The smallest stock rectangle against closed forms, against the second opinion on straight-sided shapes, and against
//! every direction tried in turn on curved ones.

use std::f64::consts::{FRAC_PI_2, FRAC_PI_4, PI, TAU};

use geo::{Area, LineString, MinimumRotatedRect};
use tracearm::geometry::{Affine, Arc, Curve, EllipseArc, Point, Span};
use tracearm::measure::{Plate, StockRectangle};
use tracearm::outline::{Origin, Ring};
use tracearm::region::{Part, Region};
use tracearm::section::Section;

/// Sides of a rectangle, relative.
const SIDES: f64 = 1e-12;

fn at(x: f64, y: f64) -> Point {
    Point::new(x, y)
}

fn region(rings: Vec<Vec<Curve>>) -> Region {
    let part = |curves| Part::new(Ring::new(curves, Origin::default()).unwrap(), Vec::new());
    Region::new(rings.into_iter().map(part).collect())
}

/// (x, y, bulge of the edge that begins there)
fn polyline(vertices: &[(f64, f64, f64)]) -> Vec<Curve> {
    let point = |k: usize| at(vertices[k % vertices.len()].0, vertices[k % vertices.len()].1);
    (0..vertices.len()).map(|k| Curve::from_bulge(point(k), point(k + 1), vertices[k].2)).collect()
}

fn polygon(corners: &[(f64, f64)]) -> Vec<Curve> {
    polyline(&corners.iter().map(|(x, y)| (*x, *y, 0.0)).collect::<Vec<_>>())
}

/// Turned about the origin, then moved. Joints are mapped each alike, so that the ring stays closed.
fn placed(curves: &[Curve], angle: f64, to: Point) -> Vec<Curve> {
    let map = Affine::rotation(angle).then(&Affine::translation(to));
    curves.iter().map(|c| c.transformed(&map)).collect()
}

fn stock(curves: Vec<Curve>) -> StockRectangle {
    StockRectangle::around(&region(vec![curves])).unwrap()
}

fn assert_sides(stock: &StockRectangle, length: f64, width: f64) {
    assert!((stock.length / length - 1.0).abs() < SIDES, "{stock:?}, length {length}");
    assert!((stock.width / width - 1.0).abs() < SIDES, "{stock:?}, width {width}");
}

/// The difference of two directions, which are the same half a turn on.
fn turned_apart(a: f64, b: f64) -> f64 {
    let difference = (a - b).rem_euclid(PI);
    difference.min(PI - difference)
}

/// (along, across) at `angle`, from the curves' own extremes.
fn extents(region: &Region, angle: f64) -> [(f64, f64); 2] {
    let direction = Point::at_angle(angle);
    [direction, direction.quarter_turned()].map(|d| {
        let curves = region.parts.iter().flat_map(|p| p.edge.curves());
        curves
            .map(|c| c.extent(d))
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), (a, b)| (low.min(a), high.max(b)))
    })
}

fn area_at(region: &Region, angle: f64) -> f64 {
    let [along, across] = extents(region, angle);
    (along.1 - along.0) * (across.1 - across.0)
}

/// The rectangle touches the region on all sides, with its middle where it says.
fn assert_tight(region: &Region, stock: &StockRectangle) {
    let [along, across] = extents(region, stock.angle);
    let direction = Point::at_angle(stock.angle);
    let near = |a: f64, b: f64| assert!((a - b).abs() < 1e-11 * stock.length, "{stock:?}: {a} and {b}");
    near(along.1 - along.0, stock.length);
    near(across.1 - across.0, stock.width);
    near(0.5 * (along.0 + along.1), direction.dot(stock.center));
    near(0.5 * (across.0 + across.1), direction.quarter_turned().dot(stock.center));
}

const PLACES: [(f64, f64, f64); 7] = [
    (0.0, 0.0, 0.0),
    (0.7, 350.0, -120.0),
    (-1.2, -80.0, 33.0),
    (FRAC_PI_2, 12.5, 900.0),
    (1.5, 7.0, 8.0),
    (-FRAC_PI_4, 210.0, 55.0),
    (3.0, -412.0, -77.0),
];

#[test]
fn a_rectangle_gets_its_own_sides_back() {
    for (length, width) in [(137.25, 41.5), (2400.0, 6.0)] {
        let bar = polygon(&[(0.0, 0.0), (length, 0.0), (length, width), (0.0, width)]);
        for (angle, x, y) in PLACES {
            let stock = stock(placed(&bar, angle, at(x, y)));
            assert_sides(&stock, length, width);
            assert!(turned_apart(stock.angle, angle) < 1e-13, "{stock:?}, turned by {angle}");
            assert!(stock.angle > -FRAC_PI_2 && stock.angle <= FRAC_PI_2);
            let middle = Affine::rotation(angle).point(at(0.5 * length, 0.5 * width)) + at(x, y);
            assert!(stock.center.distance(middle) < 1e-12 * length.max(400.0));
        }
    }
}

#[test]
fn upright_rectangles_have_upright_angles() {
    let wide = stock(polygon(&[(3.0, 5.0), (13.0, 5.0), (13.0, 9.0), (3.0, 9.0)]));
    let tall = stock(polygon(&[(3.0, 5.0), (7.0, 5.0), (7.0, 15.0), (3.0, 15.0)]));
    assert_eq!((wide.length, wide.width, wide.angle), (10.0, 4.0, 0.0));
    assert_eq!((tall.length, tall.width, tall.angle), (10.0, 4.0, FRAC_PI_2));
}

#[test]
fn a_square_stands_at_its_smaller_angle() {
    let square = polygon(&[(0.0, 0.0), (30.0, 0.0), (30.0, 30.0), (0.0, 30.0)]);
    for (turn, angle) in
        [(0.3, 0.3), (1.2, 1.2 - FRAC_PI_2), (-0.7, -0.7), (2.0, 2.0 - FRAC_PI_2), (0.0, 0.0)]
    {
        let stock = stock(placed(&square, turn, at(70.0, -15.0)));
        assert_sides(&stock, 30.0, 30.0);
        assert!((stock.angle - angle).abs() < 1e-13, "{stock:?}, turned by {turn}");
    }
}

#[test]
fn a_disc_needs_its_diameter() {
    for (x, y, radius) in [(0.0, 0.0, 1.0), (310.0, -45.0, 27.5), (-8.0, 6.5, 112.25)] {
        let stock = stock(vec![Arc::circle(at(x, y), radius).into()]);
        assert_sides(&stock, 2.0 * radius, 2.0 * radius);
        assert_eq!(stock.angle, 0.0);
        assert!(stock.center.distance(at(x, y)) < 1e-12 * 310.0);
    }
}

#[test]
fn a_shape_of_constant_width_is_given_upright() {
    // Three arcs about the opposite corners of an equilateral triangle: as wide in every direction as its side.
    let side = 60.0;
    let corner = |k: f64| Point::at_angle(TAU * k / 3.0 + 0.2) * (side / 3.0_f64.sqrt()) + at(14.0, 90.0);
    let bulge = (PI / 12.0).tan();
    let corners = [0.0, 1.0, 2.0].map(corner);
    let stock = stock(polyline(&corners.map(|p| (p.x, p.y, bulge))));
    assert_sides(&stock, side, side);
    assert_eq!(stock.angle, 0.0);
}

#[test]
fn an_obround_needs_its_length_and_its_width() {
    let obround = polyline(&[(0.0, 0.0, 0.0), (80.0, 0.0, 1.0), (80.0, 26.0, 0.0), (0.0, 26.0, 1.0)]);
    for (angle, x, y) in PLACES {
        let stock = stock(placed(&obround, angle, at(x, y)));
        assert_sides(&stock, 106.0, 26.0);
        assert!(turned_apart(stock.angle, angle) < 1e-12, "{stock:?}, turned by {angle}");
    }
}

#[test]
fn a_half_disc_lies_on_its_diameter() {
    let half = polyline(&[(-35.0, 0.0, 0.0), (35.0, 0.0, 1.0)]);
    for (angle, x, y) in PLACES {
        let stock = stock(placed(&half, angle, at(x, y)));
        assert_sides(&stock, 70.0, 35.0);
        assert!(turned_apart(stock.angle, angle) < 1e-12, "{stock:?}, turned by {angle}");
    }
}

#[test]
fn an_unequal_angle_lies_along_its_legs() {
    // By hand: along the legs 60 × 100 = 6000; along the line between the toes 12000·5900/10600 = 6679.2.
    let angle_section =
        polygon(&[(0.0, 0.0), (60.0, 0.0), (60.0, 10.0), (10.0, 10.0), (10.0, 100.0), (0.0, 100.0)]);
    for (angle, x, y) in PLACES {
        let curves = placed(&angle_section, angle, at(x, y));
        let toes = (at(10.0, 100.0) - at(60.0, 10.0)).angle() + angle;
        let slanted = area_at(&region(vec![curves.clone()]), toes);
        assert!((slanted - 12000.0 * 5900.0 / 10600.0).abs() < 1e-8);
        let stock = stock(curves);
        assert_sides(&stock, 100.0, 60.0);
        assert!(turned_apart(stock.angle, angle + FRAC_PI_2) < 1e-13, "{stock:?}, turned by {angle}");
    }
}

#[test]
fn a_triangle_lies_on_its_longest_side() {
    // The rectangle on a side whose altitude falls inside has twice the triangle's area: in the obtuse one the longest
    // side alone, in the acute one all three, of which the longest side counts.
    for triangle in [[(0.0, 0.0), (80.0, 0.0), (110.0, 30.0)], [(0.0, 0.0), (90.0, 0.0), (25.0, 60.0)]] {
        let corners = triangle.map(|(x, y)| at(x, y));
        let double_area = (corners[1] - corners[0]).cross(corners[2] - corners[0]);
        let sides = [0, 1, 2].map(|k| corners[(k + 1) % 3] - corners[k]);
        let longest = sides.into_iter().max_by(|a, b| a.length().total_cmp(&b.length())).unwrap();
        for (angle, x, y) in PLACES {
            let curves = placed(&polygon(&triangle), angle, at(x, y));
            let placed = region(vec![curves]);
            let stock = StockRectangle::around(&placed).unwrap();
            let least =
                sides.map(|s| area_at(&placed, s.angle() + angle)).into_iter().fold(f64::INFINITY, f64::min);
            assert!((stock.area() / least - 1.0).abs() < SIDES);
            assert_sides(&stock, longest.length(), double_area / longest.length());
            assert!(turned_apart(stock.angle, longest.angle() + angle) < 1e-12);
        }
    }
}

#[test]
fn an_ellipse_needs_its_axes() {
    for (angle, x, y) in PLACES {
        for (a, b) in [(64.0, 23.0), (64.0, 63.0), (500.0, 2.0)] {
            let (u, v) = (Point::at_angle(angle) * a, Point::at_angle(angle).quarter_turned() * b);
            let stock = stock(vec![EllipseArc::new(at(x, y), u, v, 0.4, TAU).into()]);
            assert_sides(&stock, 2.0 * a, 2.0 * b);
            assert!(turned_apart(stock.angle, angle) < 1e-7, "{stock:?}, turned by {angle}");
        }
    }
}

#[test]
fn several_parts_share_one_rectangle() {
    let bar = |y: f64| polygon(&[(0.0, y), (90.0, y), (90.0, y + 12.0), (0.0, y + 12.0)]);
    let both = region(vec![placed(&bar(0.0), 0.4, at(9.0, 2.0)), placed(&bar(40.0), 0.4, at(9.0, 2.0))]);
    let stock = StockRectangle::around(&both).unwrap();
    assert_sides(&stock, 90.0, 52.0);
    assert!(turned_apart(stock.angle, 0.4) < 1e-13);
}

/// A generator of the same numbers on every machine, within [0, 1).
struct Numbers(u64);

impl Numbers {
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.next()
    }

    /// A star-shaped ring of points.
    fn star(&mut self, corners: usize) -> Vec<Point> {
        let (squash, turn) = (self.between(0.3, 1.0), self.between(0.0, TAU));
        let center = at(self.between(-500.0, 500.0), self.between(-500.0, 500.0));
        let points = (0..corners).map(|k| {
            let angle = TAU * (k as f64 + self.between(-0.3, 0.3)) / corners as f64;
            let p = Point::at_angle(angle) * self.between(50.0, 100.0);
            Affine::rotation(turn).point(at(p.x, squash * p.y)) + center
        });
        points.collect()
    }
}

#[test]
fn straight_sides_agree_with_the_second_opinion() {
    let mut numbers = Numbers(0x57_0c4);
    for case in 0..400 {
        let corners = numbers.star(3 + case % 12);
        let tuples: Vec<(f64, f64)> = corners.iter().map(|p| (p.x, p.y)).collect();
        let stock = stock(polygon(&tuples));
        let rectangle = LineString::from(tuples).minimum_rotated_rect().unwrap();
        let ratio = stock.area() / rectangle.unsigned_area();
        assert!((ratio - 1.0).abs() < 1e-11, "{corners:?}: {ratio}");
    }
}

#[test]
fn no_direction_is_better_for_curves() {
    let mut numbers = Numbers(0xc0_7ed);
    let mut better_than_chords = 0;
    for case in 0..120 {
        let count = 3 + case % 7;
        let corners = numbers.star(count);
        let curves: Vec<Curve> = (0..count)
            .map(|k| {
                let (a, b) = (corners[k], corners[(k + 1) % count]);
                let bulge = numbers.between(-0.1, 0.35);
                match (case + k) % 4 {
                    0 => Curve::line(a, b),
                    1 => {
                        let outwards = -(b - a).quarter_turned() * bulge;
                        let points =
                            vec![a, a.towards(b, 0.3) + outwards, a.towards(b, 0.6) + outwards * 1.4, b];
                        Span::polynomial(points).unwrap().into()
                    }
                    2 => {
                        let outwards = -(b - a).quarter_turned() * bulge;
                        let points = vec![a, a.towards(b, 0.4) + outwards, b];
                        Span::rational(points, vec![1.0, numbers.between(0.4, 2.0), 1.3]).unwrap().into()
                    }
                    _ => Curve::from_bulge(a, b, bulge),
                }
            })
            .collect();
        let region = region(vec![curves]);
        let stock = StockRectangle::around(&region).unwrap();
        assert_tight(&region, &stock);
        const TRIED: usize = 3000;
        let tried = (0..TRIED).map(|k| area_at(&region, FRAC_PI_2 * k as f64 / TRIED as f64));
        let least = tried.fold(f64::INFINITY, f64::min);
        assert!(stock.area() <= least * (1.0 + 1e-13), "case {case}: {stock:?} against {least}");
        // So many directions come near to the best one.
        assert!(stock.area() > least * 0.99, "case {case}: {stock:?} against {least}");
        // Around it, no turn helps: it is the bottom and not beside it.
        for turn in [1e-3, 1e-5, 1e-7] {
            for angle in [stock.angle - turn, stock.angle + turn] {
                assert!(
                    area_at(&region, angle) >= stock.area() * (1.0 - 1e-13),
                    "case {case}: {stock:?} {turn}"
                );
            }
        }
        let edges = region.parts[0]
            .edge
            .curves()
            .into_iter()
            .map(|c| area_at(&region, (c.end() - c.start()).angle()));
        better_than_chords += usize::from(edges.fold(f64::INFINITY, f64::min) > stock.area() * (1.0 + 1e-6));
    }
    assert!(better_than_chords > 30, "curves decided in {better_than_chords} cases only");
}

#[test]
fn a_ring_of_many_edges_is_no_trouble() {
    const EDGES: usize = 100_000;
    let corners: Vec<(f64, f64)> = (0..EDGES)
        .map(|k| {
            let p = Point::at_angle(TAU * k as f64 / EDGES as f64);
            (300.0 * p.x, 120.0 * p.y + 40.0)
        })
        .collect();
    let stock = stock(placed(&polygon(&corners), 0.5, at(20.0, 30.0)));
    // The corners lie on an ellipse, its chords less than 300·(step)²/8 = 1.5e-7 within it.
    assert!(stock.length < 600.0 && stock.length > 600.0 - 4e-7, "{stock:?}");
    assert!(stock.width < 240.0 && stock.width > 240.0 - 4e-7, "{stock:?}");
    assert!(turned_apart(stock.angle, 0.5) < 1e-4);
}

#[test]
fn extremes_of_shape_and_place() {
    // A lens thinner than the chords' tolerance.
    let (a, b) = (at(10.0, 20.0), at(110.0, 60.0));
    let lens = stock(vec![Curve::from_bulge(a, b, 1e-7), Curve::from_bulge(b, a, 1e-7)]);
    let chord = a.distance(b);
    assert!((lens.length / chord - 1.0).abs() < 1e-12, "{lens:?}");
    // The rise of an arc is half its chord times its bulge. Coordinates of 100 resolve the width to 1e-14.
    assert!((lens.width - chord * 1e-7).abs() < 1e-12, "{lens:?}");
    assert!(turned_apart(lens.angle, (b - a).angle()) < 1e-9);
    // 1e6 out, 1e-10 of the coordinates is left.
    let far = polyline(&[(0.0, 0.0, 0.0), (80.0, 0.0, 1.0), (80.0, 26.0, 0.0), (0.0, 26.0, 1.0)]);
    let far = stock(placed(&far, 0.9, at(1e6, -3e5)));
    assert!((far.length - 106.0).abs() < 1e-8 && (far.width - 26.0).abs() < 1e-8, "{far:?}");
    assert!(StockRectangle::around(&Region::new(Vec::new())).is_none());
    for size in [1e-30, 1e60] {
        let tiny = stock(polygon(&[
            (0.0, 0.0),
            (3.0 * size, 4.0 * size),
            (2.2 * size, 4.6 * size),
            (-0.8 * size, 0.6 * size),
        ]));
        assert_sides(&tiny, 5.0 * size, size);
    }
}

#[test]
fn a_plate_is_its_section_times_its_thickness() {
    let mut region = region(vec![polygon(&[(5.0, 7.0), (95.0, 7.0), (95.0, 47.0), (5.0, 47.0)])]);
    let hole = Ring::new(vec![Arc::circle(at(30.0, 20.0), 6.0).into()], Origin::default()).unwrap();
    region.parts[0].holes.push(hole);
    let section = Section::of(&region).unwrap();
    let plate = Plate::of(&region, &section, 8.0).unwrap();
    let (solid, void) = (90.0 * 40.0, PI * 36.0);
    assert!((plate.volume / ((solid - void) * 8.0) - 1.0).abs() < 1e-12);
    assert!((plate.cut_length / (260.0 + 12.0 * PI) - 1.0).abs() < 1e-12);
    assert_eq!(plate.pierces, 2);
    assert_eq!((plate.stock.length, plate.stock.width, plate.stock.angle), (90.0, 40.0, 0.0));
    let balance =
        at((solid * 50.0 - void * 30.0) / (solid - void), (solid * 27.0 - void * 20.0) / (solid - void));
    assert!(plate.balance.distance(balance) < 1e-12 * 95.0);
    for thickness in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert!(Plate::of(&region, &section, thickness).is_none());
    }
}
