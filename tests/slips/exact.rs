//! The figures of clean outlines of lines and arcs: a polygon through the corners, and for each arc the circular segment
//! between it and its chord. Nothing of the program is used.

use crate::common::shapes::Corner;

/// A closed outline.
pub type Ring = Vec<Corner>;

/// What the clean shape comes to, in millimetres.
#[derive(Clone, Debug)]
pub struct Figures {
    pub area: f64,
    pub centroid: [f64; 2],
    /// About the axes through the centroid that are parallel to the drawing's.
    pub second_x: f64,
    pub second_y: f64,
    pub product: f64,
    /// About the principal axes.
    pub second_1: f64,
    pub second_2: f64,
    pub perimeter: f64,
    /// Distance from the centroid to the place of the outline that is farthest from it, as found among corners and
    /// places along the arcs.
    pub reach: f64,
}

/// ∬(1, x, y, x², y², xy) dA.
type Sums = [f64; 6];

/// The circle of the edge from one corner to the next.
pub struct Circle {
    pub center: [f64; 2],
    pub radius: f64,
    /// Included angle, positive when the edge turns anticlockwise.
    pub sweep: f64,
}

/// `None` for a straight edge.
pub fn circle([x0, y0, bulge]: Corner, [x1, y1, _]: Corner) -> Option<Circle> {
    if bulge == 0.0 {
        return None;
    }
    let (dx, dy) = (x1 - x0, y1 - y0);
    let off = (1.0 - bulge * bulge) / (4.0 * bulge);
    Some(Circle {
        center: [0.5 * (x0 + x1) - off * dy, 0.5 * (y0 + y1) + off * dx],
        radius: dx.hypot(dy) * (1.0 + bulge * bulge) / (4.0 * bulge.abs()),
        sweep: 4.0 * bulge.atan(),
    })
}

/// Each edge of a ring by its two corners.
pub fn edges(ring: &[Corner]) -> impl Iterator<Item = (Corner, Corner)> {
    ring.iter().zip(ring.iter().cycle().skip(1)).map(|(a, b)| (*a, *b))
}

/// The figures of what the first ring encloses without what the others do.
pub fn figures(rings: &[Ring]) -> Figures {
    let near = moved(rings, [rings[0][0][0], rings[0][0][1]]);
    let [area, ax, ay, ..] = sums(&near);
    let local = [ax / area, ay / area];
    let about = moved(&near, local);
    let [_, _, _, second_y, second_x, product] = sums(&about);
    // Axis 1 turned into the x axis and integrated again: the smaller one of a sliver by invariants would be rounding.
    let angle = 0.5 * (-2.0 * product).atan2(second_x - second_y);
    let [_, _, _, second_2, second_1, _] = sums(&turned(&about, -angle));
    Figures {
        area,
        centroid: [near_origin(rings)[0] + local[0], near_origin(rings)[1] + local[1]],
        second_x,
        second_y,
        product,
        second_1: second_1.max(second_2),
        second_2: second_1.min(second_2),
        perimeter: perimeter(rings),
        reach: reach(&about),
    }
}

fn near_origin(rings: &[Ring]) -> [f64; 2] {
    [rings[0][0][0], rings[0][0][1]]
}

fn moved(rings: &[Ring], [x, y]: [f64; 2]) -> Vec<Ring> {
    rings.iter().map(|ring| ring.iter().map(|c| [c[0] - x, c[1] - y, c[2]]).collect()).collect()
}

fn turned(rings: &[Ring], angle: f64) -> Vec<Ring> {
    rings.iter().map(|ring| crate::common::shapes::turned(ring, angle, [0.0, 0.0])).collect()
}

fn sums(rings: &[Ring]) -> Sums {
    let mut all = [0.0; 6];
    for (k, ring) in rings.iter().enumerate() {
        let ring = ring_sums(ring);
        let sign = if (ring[0] > 0.0) == (k == 0) { 1.0 } else { -1.0 };
        all.iter_mut().zip(ring).for_each(|(all, part)| *all += sign * part);
    }
    all
}

/// Of one ring, with the sign of its direction.
fn ring_sums(ring: &[Corner]) -> Sums {
    let mut all = [0.0; 6];
    for (a, b) in edges(ring) {
        let parts = [triangle(a, b), segment(a, b)];
        for part in parts {
            all.iter_mut().zip(part).for_each(|(all, part)| *all += part);
        }
    }
    all
}

/// Between the origin and the chord (common knowledge of polygons).
fn triangle([x0, y0, _]: Corner, [x1, y1, _]: Corner) -> Sums {
    let w = x0 * y1 - x1 * y0;
    [
        w / 2.0,
        w * (x0 + x1) / 6.0,
        w * (y0 + y1) / 6.0,
        w * (x0 * x0 + x0 * x1 + x1 * x1) / 12.0,
        w * (y0 * y0 + y0 * y1 + y1 * y1) / 12.0,
        w * (x0 * y1 + 2.0 * x0 * y0 + 2.0 * x1 * y1 + x1 * y0) / 24.0,
    ]
}

/// Between chord and arc, positive where the arc turns anticlockwise: textbook formulas of the circular segment about the
/// centre of its circle, which `the_figures_agree_with_closed_forms` holds against published values.
fn segment(from: Corner, to: Corner) -> Sums {
    let Some(Circle { center: [cx, cy], radius: r, sweep }) = circle(from, to) else { return [0.0; 6] };
    let (sign, s) = (sweep.signum(), sweep.abs());
    let (sine, half) = (s.sin(), (0.5 * s).sin());
    let area = sign * r.powi(2) / 2.0 * (s - sine);
    let first = sign * r.powi(3) * 2.0 / 3.0 * half.powi(3);
    // Along the line from the centre to the middle of the arc, and across it.
    let along = sign * r.powi(4) / 8.0 * (s - sine + 2.0 * sine * half * half);
    let across = sign * r.powi(4) / 24.0 * (3.0 * s - 3.0 * sine - 2.0 * sine * half * half);
    let b = from[2];
    let middle =
        [0.5 * (from[0] + to[0] + b * (to[1] - from[1])), 0.5 * (from[1] + to[1] - b * (to[0] - from[0]))];
    let (ux, uy) = ((middle[0] - cx) / r, (middle[1] - cy) / r);
    [
        area,
        area * cx + first * ux,
        area * cy + first * uy,
        area * cx * cx + 2.0 * first * cx * ux + along * ux * ux + across * uy * uy,
        area * cy * cy + 2.0 * first * cy * uy + along * uy * uy + across * ux * ux,
        area * cx * cy + first * (cx * uy + cy * ux) + (along - across) * ux * uy,
    ]
}

/// Length of an edge.
pub fn length(from: Corner, to: Corner) -> f64 {
    match circle(from, to) {
        Some(circle) => circle.radius * circle.sweep.abs(),
        None => (to[0] - from[0]).hypot(to[1] - from[1]),
    }
}

fn perimeter(rings: &[Ring]) -> f64 {
    rings.iter().flat_map(|ring| edges(ring)).map(|(a, b)| length(a, b)).sum()
}

/// The farthest of the corners, and of eight places along each arc, from the origin.
fn reach(rings: &[Ring]) -> f64 {
    let mut reach = 0.0_f64;
    for (a, b) in rings.iter().flat_map(|ring| edges(ring)) {
        reach = reach.max(a[0].hypot(a[1]));
        if let Some(Circle { center, radius, sweep }) = circle(a, b) {
            let begin = (a[1] - center[1]).atan2(a[0] - center[0]);
            for k in 1..8 {
                let (sine, cosine) = (begin + sweep * f64::from(k) / 8.0).sin_cos();
                reach = reach.max((center[0] + radius * cosine).hypot(center[1] + radius * sine));
            }
        }
    }
    reach
}
