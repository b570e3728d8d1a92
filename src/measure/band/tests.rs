use std::f64::consts::PI;

use super::*;
use crate::drawing::EdgeWidths;
use crate::finding::Value;
use crate::seed::{properties, with_seed};
use proptest::prelude::*;

/// A polyline through (x, y, bulge) with a width, or one for each edge, turned and away from the origin.
fn polyline(vertices: &[(f64, f64, f64)], widths: &[[f64; 2]], closed: bool) -> Polyline {
    let turn = Affine::rotation(0.4).then(&Affine::translation(Point::new(130.0, -70.0)));
    Polyline {
        vertices: vertices.iter().map(|(x, y, _)| turn.point(Point::new(*x, *y))).collect(),
        bulges: Some(vertices.iter().map(|(_, _, bulge)| *bulge).collect()),
        widths: Some(Box::new(match widths {
            [width] => EdgeWidths::Constant(width[0]),
            _ => EdgeWidths::PerEdge(widths.into()),
        })),
        closed,
    }
}

/// Area by rings and length of all edges, number of parts and of holes.
fn measured(polyline: &Polyline) -> (f64, f64, usize, usize) {
    let band = Band::of(polyline, &Affine::IDENTITY, Origin::default());
    assert_eq!(band.findings, []);
    let region = region::resolve(&band.rings, &[]).region.expect("a region");
    let area = region.rings().map(|(sign, ring)| sign * ring.area()).sum();
    let length = region.rings().map(|(_, ring)| ring.length()).sum();
    let holes = region.parts.iter().map(|part| part.holes.len()).sum();
    (area, length, region.parts.len(), holes)
}

fn holds(what: &str, polyline: &Polyline, area: f64, length: f64, parts: usize, holes: usize) {
    let got = measured(polyline);
    assert_eq!((got.2, got.3), (parts, holes), "{what}: {got:?}");
    assert!((got.0 / area - 1.0).abs() < 1e-12, "{what}: area {} not {area}", got.0);
    assert!((got.1 / length - 1.0).abs() < 1e-12, "{what}: length {} not {length}", got.1);
}

/// Bulge of an arc that turns by so many degrees.
fn bulge(degrees: f64) -> f64 {
    (degrees.to_radians() / 4.0).tan()
}

#[test]
fn bands_that_do_not_fold() {
    let straight = polyline(&[(3.0, 4.0, 0.0), (53.0, 4.0, 0.0)], &[[6.0; 2]], false);
    holds("straight", &straight, 50.0 * 6.0, 112.0, 1, 0);
    let taper = polyline(&[(3.0, 4.0, 0.0), (53.0, 4.0, 0.0)], &[[10.0, 4.0]; 2], false);
    holds("tapered", &taper, 50.0 * 7.0, 14.0 + 2.0 * 50_f64.hypot(3.0), 1, 0);
    let point = polyline(&[(3.0, 4.0, 0.0), (53.0, 4.0, 0.0)], &[[10.0, 0.0]; 2], false);
    holds("to a point", &point, 50.0 * 5.0, 10.0 + 2.0 * 50_f64.hypot(5.0), 1, 0);
    // Legs outside and inside: 40 + 30 along the outer sides, 36 + 26 along the inner ones.
    let ell = polyline(&[(0.0, 0.0, 0.0), (38.0, 0.0, 0.0), (38.0, 28.0, 0.0)], &[[4.0; 2]], false);
    holds("mitred corner", &ell, 4.0 * (38.0 + 28.0), 40.0 + 30.0 + 36.0 + 26.0 + 8.0, 1, 0);
    let quarter = polyline(&[(50.0, 0.0, bulge(90.0)), (0.0, 50.0, 0.0)], &[[8.0; 2]], false);
    let around = PI / 2.0 * (54.0 + 46.0) + 16.0;
    holds("quarter circle", &quarter, PI / 4.0 * (54_f64.powi(2) - 46_f64.powi(2)), around, 1, 0);
    let corners = [(0.0, 0.0, 0.0), (60.0, 0.0, 0.0), (60.0, 35.0, 0.0), (0.0, 35.0, 0.0)];
    let frame = polyline(&corners, &[[5.0; 2]], true);
    holds("frame", &frame, 65.0 * 40.0 - 55.0 * 30.0, 210.0 + 170.0, 1, 1);
    let donut = polyline(&[(-20.0, 0.0, 1.0), (20.0, 0.0, 1.0)], &[[12.0; 2]], true);
    holds("donut", &donut, PI * (26_f64.powi(2) - 14_f64.powi(2)), 2.0 * PI * 40.0, 1, 1);
    // A slot of straight edges and half circles that run on smoothly.
    let corners = [(0.0, 0.0, 0.0), (30.0, 0.0, 1.0), (30.0, 24.0, 0.0), (0.0, 24.0, 1.0)];
    let slot = polyline(&corners, &[[7.0; 2]], true);
    holds("slot", &slot, 7.0 * (60.0 + 24.0 * PI), 120.0 + 48.0 * PI, 1, 1);
    // A step from 4 to 10 wide on a straight line.
    // Half the width grows from 2 to 5 and shrinks again to 2 round a right corner: sides of slope 3/40 and 3/30. Of the
    // sides outside, x = 40 + 5 − 0.1y and y = −2 − 0.075x, and of those inside, mirrored in the axes of the edges.
    let tapered = polyline(
        &[(0.0, 0.0, 0.0), (40.0, 0.0, 0.0), (40.0, 30.0, 0.0)],
        &[[4.0, 10.0], [10.0, 4.0], [0.0; 2]],
        false,
    );
    let meet = |sign: f64| {
        let y = sign * (2.0 + 0.075 * (40.0 - sign * 5.0)) / (1.0 - 0.075 * 0.1);
        Point::new(40.0 - sign * (5.0 - 0.1 * y), y)
    };
    let (tip, inner) = (meet(-1.0), meet(1.0));
    let corners = [(0.0, -2.0), (tip.x, tip.y), (42.0, 30.0), (38.0, 30.0), (inner.x, inner.y), (0.0, 2.0)];
    let corners = corners.map(|(x, y)| Point::new(x, y));
    let pairs = || corners.iter().zip(corners.iter().cycle().skip(1));
    let (area, around): (f64, f64) =
        (pairs().map(|(p, q)| 0.5 * p.cross(*q)).sum(), pairs().map(|(p, q)| p.distance(*q)).sum());
    holds("tapered corner", &tapered, area, around, 1, 0);
    let step = polyline(
        &[(0.0, 0.0, 0.0), (20.0, 0.0, 0.0), (50.0, 0.0, 0.0)],
        &[[4.0; 2], [10.0; 2], [0.0; 2]],
        false,
    );
    holds("step", &step, 80.0 + 300.0, 40.0 + 60.0 + 14.0 + 6.0, 1, 0);
}

#[test]
fn a_tapered_arc_is_a_spiral_band() {
    // Half the width h grows evenly from 3 to 9 over 120° of radius 40: ½∫((40+h)² − (40−h)²) dφ = ∫80h dφ.
    let arc = polyline(
        &[(40.0, 0.0, bulge(120.0)), (40.0 * (-0.5), 40.0 * 0.75_f64.sqrt(), 0.0)],
        &[[6.0, 18.0]; 2],
        false,
    );
    let area = 80.0 * 6.0 * (2.0 * PI / 3.0);
    let got = measured(&arc);
    assert!((got.0 / area - 1.0).abs() < 1e-10, "{} {area}", got.0);
}

#[test]
fn bands_that_fold() {
    // A dot: half circles of radius 5 as wide as their diameter.
    let dot = polyline(&[(-5.0, 0.0, 1.0), (5.0, 0.0, 1.0)], &[[10.0; 2]], true);
    holds("dot", &dot, PI * 100.0, 20.0 * PI, 1, 0);
    let wider = polyline(&[(-5.0, 0.0, 1.0), (5.0, 0.0, 1.0)], &[[14.0; 2]], true);
    holds("wider than its circle", &wider, PI * 144.0, 24.0 * PI, 1, 0);
    // A frame whose opening its own width fills.
    let corners = [(0.0, 0.0, 0.0), (60.0, 0.0, 0.0), (60.0, 8.0, 0.0), (0.0, 8.0, 0.0)];
    holds("filled frame", &polyline(&corners, &[[10.0; 2]], true), 70.0 * 18.0, 176.0, 1, 0);
    // There and back again.
    let back = polyline(&[(0.0, 0.0, 0.0), (60.0, 0.0, 0.0), (20.0, 0.0, 0.0)], &[[10.0; 2]], false);
    holds("there and back", &back, 600.0, 140.0, 1, 0);
    // A loop: 10 across, over its own beginning.
    let corners =
        [(0.0, 0.0, 0.0), (100.0, 0.0, 0.0), (100.0, 50.0, 0.0), (50.0, 50.0, 0.0), (50.0, -50.0, 0.0)];
    let covered = 10.0 * (100.0 + 50.0 + 50.0 + 100.0) - 100.0;
    let around = 2.0 * (100.0 + 50.0 + 50.0 + 100.0) + 20.0 - 40.0;
    holds("loop", &polyline(&corners, &[[10.0; 2]], false), covered, around, 1, 1);
    // A closed figure of eight of straight lines, which cross at (30, 20): two diagonals and two upright sides.
    let corners = [(0.0, 0.0, 0.0), (60.0, 40.0, 0.0), (60.0, 0.0, 0.0), (0.0, 40.0, 0.0)];
    let (got, eight) =
        (measured(&polyline(&corners, &[[4.0; 2]], true)), 4.0 * (80.0 + 2.0 * 60_f64.hypot(40.0)));
    // What the crossing covers twice is a rhombus: 4² over the sine of the angle between the diagonals.
    let twice = 16.0 / (2.0 * (40_f64 / 60.0).atan()).sin();
    assert!((got.0 / (eight - twice) - 1.0).abs() < 1e-12 && (got.2, got.3) == (1, 2), "{got:?} {eight}");
    // A short edge between long ones: the union of three rectangles 20 wide and two mitres.
    let corners = [(0.0, 0.0, 0.0), (50.0, 0.0, 0.0), (50.0, 5.0, 0.0), (0.0, 5.0, 0.0)];
    holds("hairpin", &polyline(&corners, &[[20.0; 2]], false), 60.0 * 25.0, 170.0, 1, 0);
}

#[test]
fn sharp_corners_are_bevelled() {
    let sharp = |degrees: f64| {
        let (sine, cosine) = degrees.to_radians().sin_cos();
        polyline(&[(50.0, 0.0, 0.0), (0.0, 0.0, 0.0), (50.0 * cosine, 50.0 * sine, 0.0)], &[[3.0; 2]], false)
    };
    // Two bands less what both cover next to the corner, and half the mitre's or bevel's kite outside it.
    for (degrees, is_bevelled) in [(29.5_f64, false), (28.5, true), (5.0, true)] {
        let half = degrees.to_radians() / 2.0;
        // Inner kite: 1.5² / tan(half); outer: the same kite, or the triangle between the ends.
        let kite = 2.25 / half.tan();
        let outside = if is_bevelled { 0.5 * 2.25 * degrees.to_radians().sin() } else { kite };
        let band = Band::of(&sharp(degrees), &Affine::IDENTITY, Origin::default());
        assert_eq!(band.bevelled.len(), usize::from(is_bevelled), "{degrees}");
        let (area, ..) = measured(&sharp(degrees));
        let wanted = 300.0 - kite + outside;
        assert!((area / wanted - 1.0).abs() < 1e-12, "{degrees}: {area} {wanted}");
    }
}

#[test]
fn a_squeezed_band_is_squeezed_as_a_whole() {
    let ell = polyline(&[(0.0, 0.0, 0.0), (38.0, 0.0, 0.0), (38.0, 28.0, 0.3)], &[[4.0; 2]], true);
    let map = Affine::scaling(-3.0, 0.5).then(&Affine::rotation(1.0));
    let sum = |rings: &[Ring]| rings.iter().map(Ring::area).collect::<Vec<f64>>();
    let drawn = sum(&Band::of(&ell, &Affine::IDENTITY, Origin::default()).rings);
    let squeezed = sum(&Band::of(&ell, &map, Origin::default()).rings);
    assert_eq!(drawn.len(), 2);
    assert!(drawn.iter().zip(&squeezed).all(|(a, b)| (b / (1.5 * a) - 1.0).abs() < 1e-13));
}

/// The pieces of a band, each edge for itself with the corners between them, are another way to the same region.
fn in_pieces(polyline: &Polyline) -> (f64, usize, usize) {
    let mut strip = Strip::of(polyline);
    for joint in &mut strip.joints {
        joint.links = None;
    }
    // Pieces that run on from each other with the least of turns may be told to touch.
    let (region, _) = strip.united(Origin::default()).expect("a region");
    let area = region.rings().map(|(sign, ring)| sign * ring.area()).sum();
    (area, region.parts.len(), region.parts.iter().map(|part| part.holes.len()).sum())
}

/// Vertices of a rounded rectangle whose coordinates and bulges have so many decimals: edges that were tangent.
#[test]
fn edges_that_are_tangent_but_for_the_decimals_run_on() {
    let quarter = bulge(90.0);
    let corners = [
        (12.0, 0.0, 0.0),
        (88.0, 0.0, quarter),
        (100.0, 12.0, 0.0),
        (100.0, 48.0, quarter),
        (88.0, 60.0, 0.0),
        (12.0, 60.0, quarter),
        (0.0, 48.0, 0.0),
        (0.0, 12.0, quarter),
    ];
    for decimals in [2, 3, 4, 5, 6, 7, 9, 12] {
        for width in [0.3, 7.0, 19.0] {
            let mut drawn = polyline(&corners, &[[width; 2]], true);
            let scale = 10_f64.powi(decimals);
            let rounded = |x: f64| (x * scale).round() / scale;
            drawn.vertices.iter_mut().for_each(|p| *p = Point::new(rounded(p.x), rounded(p.y)));
            drawn.bulges.iter_mut().flat_map(|b| b.iter_mut()).for_each(|b| *b = rounded(*b));
            let band = Band::of(&drawn, &Affine::IDENTITY, Origin::default());
            assert_eq!((band.findings.len(), band.bevelled.len()), (0, 0));
            let edges: Vec<usize> = band.rings.iter().map(|ring| ring.curves().len()).collect();
            assert!(edges.len() == 2 && edges.iter().all(|n| (8..=24).contains(n)), "{decimals} {edges:?}");
            // A smooth closed band has the width times its length.
            let length: f64 = drawn.wide_edges().map(|(path, _)| path.length()).sum();
            let (area, ..) = measured(&drawn);
            assert!((area / (width * length) - 1.0).abs() < 10.0 / scale, "{decimals}: {area}");
            let open = Polyline { closed: false, ..drawn };
            let band = Band::of(&open, &Affine::IDENTITY, Origin::default());
            assert!(band.findings.is_empty() && band.rings.len() == 1, "{decimals}");
        }
    }
}

/// The pen stands somewhere on the edge so that it covers the point.
fn is_covered(edge: &BandEdge, point: Point) -> bool {
    let half = |t: f64| edge.half(0) + (edge.half(1) - edge.half(0)) * t;
    let Curve::Arc(arc) = &edge.path else {
        let along = edge.path.end() - edge.path.start();
        let (from, length) = (point - edge.path.start(), along.length());
        let t = from.dot(along) / (length * length);
        return (0.0..=1.0).contains(&t) && from.cross(along).abs() / length <= half(t);
    };
    let from = point - arc.center;
    // Ahead of the centre as the pen is seen from there, or behind it.
    [(from.angle(), from.length()), (from.angle() + PI, -from.length())].iter().any(|(angle, distance)| {
        let turned = ((angle - arc.start_angle) * arc.sweep.signum()).rem_euclid(2.0 * PI);
        let t = turned / arc.sweep.abs();
        t <= 1.0 && (distance - arc.radius).abs() <= half(t)
    })
}

/// A polyline of random corners (x, y, bulge where the edge is an arc) and widths.
fn random(corners: &[(f64, f64, f64, bool)], widths: &[(f64, f64)], alike: bool, closed: bool) -> Polyline {
    let vertices: Vec<(f64, f64, f64)> =
        corners.iter().map(|(x, y, b, arc)| (*x, *y, if *arc { *b } else { 0.0 })).collect();
    let each = widths.iter().map(|(a, b)| [*a, *b]).take(corners.len());
    let widths: Vec<[f64; 2]> = if alike { vec![[widths[0].0; 2]] } else { each.collect() };
    polyline(&vertices, &widths, closed)
}

/// Where pieces of a band all but touch, the region says by how much its area may be off; nothing else is to be reported.
fn nothing_to_tell(band: &Band, area: f64) -> bool {
    band.findings.iter().all(|finding| {
        let within = |bound: &Value| matches!(bound, Value::Area(bound) if *bound < 1e-6 * area);
        finding.code == Code::OutlinesNear && finding.value("area").is_some_and(within)
    })
}

properties! { "BANDS_SEED", 2026, 200;
    #[test]
    fn bands_hold_what_the_pen_covers(
        corners in proptest::collection::vec((0.0..100.0, 0.0..100.0, -1.6..1.6, proptest::bool::ANY), 2..6),
        widths in proptest::collection::vec((0.0..70.0, 0.0..70.0), 6),
        alike in proptest::bool::ANY,
        closed in proptest::bool::ANY,
        points in proptest::collection::vec((-60.0..160.0, -60.0..160.0), 60),
    ) {
        let drawn = random(&corners, &widths, alike, closed);
        let band = Band::of(&drawn, &Affine::IDENTITY, Origin::default());
        prop_assume!(!is_thread(&drawn));
        // What pieces that all but coincide cover may not be told apart: then there is a failure, and no figure.
        prop_assume!(band.findings.iter().all(|finding| finding.severity < Severity::Failure));
        let area = band.rings.iter().map(Ring::area).fold(0.0, f64::max);
        prop_assert!(nothing_to_tell(&band, area), "{:?}", band.findings);
        let strip = Strip::of(&drawn);
        let patches: Vec<Ring> = strip
            .joints
            .iter()
            .filter_map(|joint| Ring::new(links(&[&joint.patch[..], &joint.patch[..joint.patch.len().min(1)]].concat()), Origin::default()))
            .collect();
        let turn = Affine::rotation(0.4).then(&Affine::translation(Point::new(130.0, -70.0)));
        for (x, y) in points {
            let point = turn.point(Point::new(x, y));
            let covered = strip.edges.iter().any(|edge| is_covered(edge, point))
                || patches.iter().any(|patch| patch.contains(point));
            // Rings of a region are nested: solid, hole, solid.
            let within = band.rings.iter().filter(|ring| ring.contains(point)).count() % 2 == 1;
            prop_assert_eq!(covered, within, "{:?} {:?}", point, band.rings.len());
        }
    }

    #[test]
    fn bands_are_their_pieces(
        corners in proptest::collection::vec((0.0..100.0, 0.0..100.0, -0.6..0.6, proptest::bool::ANY), 2..7),
        widths in proptest::collection::vec((1.0..9.0, 1.0..9.0), 7),
        alike in proptest::bool::ANY,
        closed in proptest::bool::ANY,
    ) {
        let drawn = random(&corners, &widths, alike, closed && corners.len() > 2);
        let band = Band::of(&drawn, &Affine::IDENTITY, Origin::default());
        // Told apart by a hair, the two ways may differ by what the finding says.
        prop_assume!(band.findings.is_empty());
        let got = measured(&drawn);
        let pieces = in_pieces(&drawn);
        prop_assert!((got.0 / pieces.0 - 1.0).abs() < 1e-8, "{got:?} {pieces:?}");
        prop_assert_eq!((got.2, got.3), (pieces.1, pieces.2));
        let solids = Band::solids(&drawn, &Affine::IDENTITY, Origin::default());
        let bodies: Vec<&[Ring]> = solids.iter().map(std::slice::from_ref).collect();
        let region = region::resolve_bodies(&bodies, &[], &[], 0.0).region.expect("a region");
        let area: f64 = region.rings().map(|(sign, ring)| sign * ring.area()).sum();
        prop_assert!((area / got.0 - 1.0).abs() < 1e-8, "{area} {got:?}");
    }
}
