//! Built-up sections drawn plate by plate, against parallel-axis sums in the test's own arithmetic. The parallel-axis
//! theorem I = Σ(I₀ + A·d²) is common practice.

use crate::common;

use common::shapes::{Corner, Curves, filleted_i, quarter, rectangle, ring, turned};
use tracearm::geometry::{Affine, Point};
use tracearm::region::resolve;
use tracearm::section::Section;

/// What may differ from the sums, as a share of the natural scale.
const NEAR: f64 = 1e-12;

/// A plate: lower left corner, width and height.
type Plate = [f64; 4];

fn measured(shapes: &[Vec<Corner>]) -> Section {
    let rings: Vec<_> = shapes.iter().map(|s| ring(s, Curves::Arcs, &Affine::IDENTITY)).collect();
    let resolved = resolve(&rings, &[]);
    assert!(resolved.findings.is_empty(), "{:?}", resolved.findings);
    let section = Section::of(&resolved.region.expect("a region")).expect("a section");
    assert!(section.strip_check <= 1e-8);
    section
}

/// Area, centroid and (I_x, I_y, I_xy) about the centroid of plates that do not overlap.
fn summed(plates: &[Plate]) -> (f64, Point, [f64; 3]) {
    let area: f64 = plates.iter().map(|[_, _, w, h]| w * h).sum();
    let mean = |place: fn(&Plate) -> f64| plates.iter().map(|p| p[2] * p[3] * place(p)).sum::<f64>() / area;
    let (x, y) = (mean(|p| p[0] + 0.5 * p[2]), mean(|p| p[1] + 0.5 * p[3]));
    let moments = plates.iter().fold([0.0; 3], |[i_x, i_y, i_xy], [left, low, w, h]| {
        let (a, dx, dy) = (w * h, left + 0.5 * w - x, low + 0.5 * h - y);
        [
            i_x + w * h.powi(3) / 12.0 + a * dy * dy,
            i_y + h * w.powi(3) / 12.0 + a * dx * dx,
            i_xy + a * dx * dy,
        ]
    });
    (area, Point::new(x, y), moments)
}

fn compare(what: &str, section: &Section, plates: &[Plate]) {
    let (area, centroid, [i_x, i_y, i_xy]) = summed(plates);
    let size = section.extent.size();
    let got = section.second_moments;
    for (key, value, want, scale) in [
        ("area", section.area, area, area),
        ("centroid x", section.centroid.x, centroid.x, size),
        ("centroid y", section.centroid.y, centroid.y, size),
        ("I_x", got.x, i_x, i_x),
        ("I_y", got.y, i_y, i_y),
        ("I_xy", got.xy, i_xy, i_x),
        ("W top", section.elastic.top, i_x / (section.extent.max.y - centroid.y), section.elastic.top),
        ("W left", section.elastic.left, i_y / (centroid.x - section.extent.min.x), section.elastic.left),
    ] {
        assert!((value - want).abs() <= NEAR * scale, "{what}, {key}: {value}, must be {want}");
    }
}

fn plates(plates: &[Plate]) -> Vec<Vec<Corner>> {
    plates.iter().map(|[x, y, w, h]| rectangle(*x, *y, *w, *h)).collect()
}

/// A doubly symmetric I from three plates against (b·h³ − (b − t)·h_w³)/12 and its fellows (common practice).
#[test]
fn an_i_from_three_plates() {
    let (b, h, web, flange) = (240.0, 530.0, 11.0, 19.0);
    let (x, y) = (-1310.0, 77.0);
    let depth = h - 2.0 * flange;
    let parts =
        [[x, y, b, flange], [x + 0.5 * (b - web), y + flange, web, depth], [x, y + h - flange, b, flange]];
    let got = measured(&plates(&parts));
    let (i_x, i_y) = (
        (b * h.powi(3) - (b - web) * depth.powi(3)) / 12.0,
        (2.0 * flange * b.powi(3) + depth * web.powi(3)) / 12.0,
    );
    let area = 2.0 * b * flange + web * depth;
    // Plastic moduli: flanges about mid-depth and the web's halves.
    let w_x = b * flange * (h - flange) + web * depth * depth / 4.0;
    let w_y = 2.0 * flange * b * b / 4.0 + depth * web * web / 4.0;
    for (key, value, want) in [
        ("area", got.area, area),
        ("I_x", got.second_moments.x, i_x),
        ("I_y", got.second_moments.y, i_y),
        ("W_x", got.plastic.unwrap().about_x, w_x),
        ("W_y", got.plastic.unwrap().about_y, w_y),
        ("W elastic", got.elastic.top, i_x / (0.5 * h)),
        ("perimeter", got.perimeter, 4.0 * b + 2.0 * h - 2.0 * web),
    ] {
        assert!((value / want - 1.0).abs() <= NEAR, "{key}: {value}, must be {want}");
    }
    assert_eq!((got.parts, got.holes), (1, 0));
    // The one-piece outline, and both turned by an odd angle.
    let one = vec![filleted_free(x, y, [b, h, web, flange])];
    let whole = measured(&one);
    for angle in [0.0, 0.43, -1.9] {
        let turn = |shapes: &[Vec<Corner>]| -> Vec<Vec<Corner>> {
            shapes.iter().map(|s| turned(s, angle, [6.0, -2.0])).collect()
        };
        let (built, drawn) = (measured(&turn(&plates(&parts))), measured(&turn(&one)));
        for (a, b) in [
            (built.area, drawn.area),
            (built.principal.i_1, drawn.principal.i_1),
            (built.principal.i_2, drawn.principal.i_2),
            (built.perimeter, drawn.perimeter),
            (whole.principal.i_1, drawn.principal.i_1),
        ] {
            assert!((a / b - 1.0).abs() <= NEAR, "turned by {angle}: {a} and {b}");
        }
    }
}

/// The outline of an I without fillets.
fn filleted_free(x: f64, y: f64, [b, h, web, flange]: [f64; 4]) -> Vec<Corner> {
    // A fillet of no radius repeats its corner, which is left out.
    let mut corners = filleted_i(x, y, [b, h, web, flange, 0.0]);
    for corner in &mut corners {
        corner[2] = 0.0;
    }
    corners.dedup_by(|a, b| a[0] == b[0] && a[1] == b[1]);
    corners
}

/// Unequal flanges, the lower one doubled by a narrower plate, and web stiffeners on one side.
#[test]
fn a_plate_girder() {
    let parts = [
        [20.0, -40.0, 300.0, 25.0],
        [0.0, -15.0, 340.0, 20.0],
        [163.0, 5.0, 14.0, 1180.0],
        [50.0, 1185.0, 240.0, 16.0],
        [177.0, 700.0, 90.0, 12.0],
    ];
    let got = measured(&plates(&parts));
    compare("plate girder", &got, &parts);
    assert_eq!((got.parts, got.holes), (1, 0));
}

/// Four walls of different thickness, butted: a chamber that no plate drew.
#[test]
fn a_box_with_unequal_walls() {
    let parts = [
        [100.0, 50.0, 300.0, 22.0],
        [100.0, 72.0, 9.0, 420.0],
        [384.0, 72.0, 16.0, 420.0],
        [80.0, 492.0, 340.0, 14.0],
    ];
    let got = measured(&plates(&parts));
    compare("box", &got, &parts);
    assert_eq!((got.parts, got.holes), (1, 1));
}

/// A channel of three plates, its flanges to the right of the web (or to the left, for a negative width).
fn channel(x: f64, y: f64, [b, h, web, flange]: [f64; 4]) -> Vec<Plate> {
    let left = |from: f64, wide: f64| if wide > 0.0 { from } else { from + wide };
    let t = web.copysign(b);
    vec![
        [left(x, b), y, b.abs(), flange],
        [left(x, t), y + flange, web, h - 2.0 * flange],
        [left(x, b), y + h - flange, b.abs(), flange],
    ]
}

/// The outline of the same channel in one piece.
fn channel_outline(x: f64, y: f64, [b, h, web, flange]: [f64; 4]) -> Vec<Corner> {
    let t = web.copysign(b);
    [
        (x, y),
        (x + b, y),
        (x + b, y + flange),
        (x + t, y + flange),
        (x + t, y + h - flange),
        (x + b, y + h - flange),
        (x + b, y + h),
        (x, y + h),
    ]
    .map(|(x, y)| [x, y, 0.0])
    .to_vec()
}

/// Two channels back to back, and apart; what touches is one body, what does not is two.
#[test]
fn a_double_channel() {
    for (gap, parts) in [(0.0, 1), (16.0, 2)] {
        let (right, left) = ([85.0, 280.0, 9.5, 14.0], [-75.0, 280.0, 10.0, 15.0]);
        let outlines = [channel_outline(400.0 + gap, 30.0, right), channel_outline(400.0, 30.0, left)];
        let got = measured(&outlines);
        let sum = [channel(400.0 + gap, 30.0, right), channel(400.0, 30.0, left)].concat();
        compare("double channel", &got, &sum);
        assert_eq!((got.parts, got.holes), (parts, 0));
    }
}

/// A channel with rounded toes and a cover plate over its open side, wider than the channel: the rounded corners leave
/// a notch at each toe.
#[test]
fn a_channel_with_a_cover_plate() {
    let plain = channel(0.0, 0.0, [95.0, 310.0, 12.0, 17.0]);
    let cover = [95.0, -20.0, 10.0, 350.0];
    let got = measured(&[
        channel_outline(0.0, 0.0, [95.0, 310.0, 12.0, 17.0]),
        rectangle(95.0, -20.0, 10.0, 350.0),
    ]);
    compare("channel with cover", &got, &[plain.clone(), vec![cover]].concat());
    assert_eq!((got.parts, got.holes), (1, 1));
    // Toes rounded on the inside: what a quarter circle leaves of its square is (1 − π/4)r².
    let r = 6.0;
    let mut toes = channel_outline(0.0, 0.0, [95.0, 310.0, 12.0, 17.0]);
    toes.splice(2..3, [[95.0, 17.0 - r, quarter()], [95.0 - r, 17.0, 0.0]]);
    let rounded = measured(&[toes, rectangle(95.0, -20.0, 10.0, 350.0)]);
    let off = got.area - rounded.area - (1.0 - std::f64::consts::FRAC_PI_4) * r * r;
    assert!(off.abs() <= NEAR * got.area, "off by {off:e}");
}
