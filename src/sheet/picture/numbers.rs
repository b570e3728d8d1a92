//! Numbers of pieces, holes and edges, as the tables of the sheet have them, with diameters, thicknesses and distances.

use super::layout::Layout;
use super::path::ring_box;
use super::place::text_width;
use super::scale::{SIZES, Scale};
use super::strips::solid_at;
use crate::geometry::{Bounds, Curve, Point};
use crate::measure::Measurement;
use crate::outline::Ring;
use crate::region::Region;
use crate::section::{Enclosed, StripDirection};
use crate::sheet::by_hand::Shape;

/// More pieces than this are listed with their places alone.
const MOST_PIECES: usize = 40;

/// More edges than this are not numbered: the sheet does not list them one by one.
const MOST_EDGES: usize = 24;

/// Thicknesses of outlines with more curves than this are not looked for.
const MOST_CURVES: usize = 400;

/// An edge shorter than this (px) has no room for a number.
const SHORTEST: f64 = 14.0;

/// From an edge to the middle of its number (px), to the outside.
const BESIDE: f64 = 9.0;

/// From a piece to words beside it (px).
const GAP: f64 = 5.0;

/// Words of pieces may stand so far (px) beyond the ends of the axes.
const LEFT: f64 = 24.0;
const RIGHT: f64 = 84.0;

/// What is thinner than this share of the section is a leg, web or flange, whose thickness is given.
const THIN: f64 = 0.25;

/// A thickness that stays the same to this share along a hundredth of the section is one.
const EVEN: f64 = 1e-6;

/// Writes the numbers of pieces where there are several, else those of the edges; each only where it stands over no other
/// words and crosses no line.
pub(super) fn draw(layout: &mut Layout, measurement: &Measurement, region: &Region) {
    let rings: Vec<&Ring> = measurement.pieces.iter().map(|piece| &piece.piece.ring).collect();
    if rings.len() > 1 {
        return pieces(layout, &rings, region);
    }
    let drawn: Vec<(f64, &Ring)> = region.rings().collect();
    let count: usize = drawn.iter().map(|(_, ring)| ring.curves().len()).sum();
    if count <= MOST_CURVES {
        thicknesses(layout, region);
    }
    if count > MOST_EDGES {
        return;
    }
    let mut number = 0;
    let ends = || drawn.iter().flat_map(|(_, ring)| ring.curves()).map(|curve| curve.start());
    layout.chains = [
        vec![distinct(ends().map(|end| end.x).collect(), &layout.scale)],
        vec![distinct(ends().map(|end| end.y).collect(), &layout.scale)],
    ];
    for (sign, ring) in &drawn {
        for curve in &ring.curves() {
            number += 1;
            edge(layout, curve, *sign, number);
        }
    }
}

/// Numbers of pieces with their sizes, and the distances between them.
fn pieces(layout: &mut Layout, rings: &[&Ring], region: &Region) {
    if rings.len() > MOST_PIECES {
        layout.is_short = true;
        return;
    }
    let scale = layout.scale;
    let shapes: Vec<Option<Shape>> = rings.iter().map(|ring| Shape::of(ring, Point::ORIGIN, 1.0)).collect();
    let boxes: Vec<Bounds> = rings.iter().map(|ring| ring_box(ring, &scale)).collect();
    for (k, (ring, shape)) in rings.iter().zip(&shapes).enumerate() {
        let length = |v: f64| layout.words.bare_length(v);
        let number = (k + 1).to_string();
        let sized = match shape {
            Some(Shape::Rectangle(_, b, h)) => Some(format!("{number}: {} × {}", length(*b), length(*h))),
            Some(Shape::Circle(_, d)) => Some(format!("{number}: Ø{}", length(*d))),
            _ => None,
        };
        let at = scale.point(Enclosed::by(ring).centroid);
        let places = |text: &str| places(at, k, &boxes, text_width(text, SIZES.letter), &scale);
        match sized {
            Some(sized) => {
                let (all, few) = (places(&sized), places(&number));
                layout.free("piece-number", all, sized, Some((number, few)));
            }
            None => layout.free("piece-number", places(&number), number.clone(), None),
        }
    }
    let extent = region.bounds();
    for (axis, low, high) in [(0, extent.min.x, extent.max.x), (1, extent.min.y, extent.max.y)] {
        let of = |p: Point| if axis == 0 { p.x } else { p.y };
        let sides = |ring: &Ring| [of(ring.bounds().min), of(ring.bounds().max)];
        let centers = || {
            shapes.iter().filter_map(|shape| match shape {
                Some(Shape::Circle(center, _)) => Some(of(*center)),
                _ => None,
            })
        };
        let plates = || {
            let others = rings.iter().zip(&shapes);
            others
                .filter(|(_, shape)| !matches!(shape, Some(Shape::Circle(..))))
                .flat_map(|(ring, _)| sides(ring))
        };
        let ends = || [low, high].into_iter();
        let choices = [
            centers().chain(plates()).chain(ends()).collect(),
            centers().chain(ends()).collect(),
            plates().chain(ends()).collect(),
        ];
        layout.chains[axis] = choices.map(|places: Vec<f64>| distinct(places, &scale)).to_vec();
    }
}

/// Places in their order, those that a picture can't tell apart once.
fn distinct(mut places: Vec<f64>, scale: &Scale) -> Vec<f64> {
    const SAME: f64 = 1e-6;
    places.sort_by(f64::total_cmp);
    let size = scale.size.x.max(scale.size.y);
    places.dedup_by(|a, b| (*a - *b).abs() <= SAME * size);
    places
}

/// Where the words of a piece may stand: within it, or right beside it.
fn places(at: Point, own: usize, boxes: &[Bounds], wide: f64, scale: &Scale) -> Vec<Point> {
    let extent = boxes[own];
    let area = |bounds: &Bounds| bounds.width() * bounds.height();
    let within = extent.grown(2.0);
    let steps = [0.0, 12.0, -12.0, 24.0, -24.0, 40.0, -40.0, 64.0, -64.0, 96.0, -96.0];
    let mut places: Vec<Point> = Vec::new();
    for y in steps {
        for x in steps {
            places.push(at + Point::new(x, y));
        }
    }
    places.sort_by(|a, b| a.distance(at).total_cmp(&b.distance(at)));
    let holds = |bounds: &Bounds, p: &Point| {
        p.x >= bounds.min.x && p.x <= bounds.max.x && p.y >= bounds.min.y && p.y <= bounds.max.y
    };
    places.retain(|place| holds(&within, place));
    let (middle, away) = (extent.center(), 0.5 * wide + GAP);
    let line = 0.5 * SIZES.letter + GAP;
    let (left, right) = (extent.min.x - away, extent.max.x + away);
    for share in [0.0, 0.35, -0.35] {
        let level = middle.y + share * extent.height();
        places.extend([Point::new(right, level), Point::new(left, level)]);
        let place = middle.x + share * extent.width();
        places.extend([Point::new(place, extent.min.y - line), Point::new(place, extent.max.y + line)]);
    }
    // Words in a smaller piece would be taken for its own.
    places.retain(|place| {
        let others = boxes.iter().enumerate().filter(|(k, bounds)| *k != own && area(bounds) < area(&extent));
        !others.into_iter().any(|(_, bounds)| holds(bounds, place))
    });
    // Beside the section up to the dimensions on its left and where the names of its axes stand on its right.
    let reach = super::axes::reach(scale);
    places.retain(|p| p.x - 0.5 * wide >= reach.min.x - LEFT && p.x + 0.5 * wide <= reach.max.x + RIGHT);
    places.retain(|p| p.y - SIZES.letter >= reach.min.y - 2.0 && p.y + SIZES.letter <= reach.max.y + 2.0);
    places
}

/// The thickness of legs, webs and flanges that run along x or y, each once.
fn thicknesses(layout: &mut Layout, region: &Region) {
    let bounds = region.bounds();
    for direction in [StripDirection::Flat, StripDirection::Upright] {
        let ((low, size), (_, across)) = match direction {
            StripDirection::Flat => ((bounds.min.y, bounds.height()), (bounds.min.x, bounds.width())),
            StripDirection::Upright => ((bounds.min.x, bounds.width()), (bounds.min.y, bounds.height())),
        };
        let mut found: Vec<f64> = Vec::new();
        for share in [0.37, 0.63, 0.2, 0.8, 0.11, 0.89] {
            let at = |share: f64| solid_at(region, direction, low + share * size);
            let (here, beside) = (at(share), at(share + 0.01));
            if here.len() != beside.len() {
                continue;
            }
            for ((from, to), (other_from, other_to)) in here.into_iter().zip(beside) {
                let thick = to - from;
                let is_even = ((other_to - other_from) - thick).abs() <= EVEN * across
                    && (other_from - from).abs() <= EVEN * across;
                let is_known = found.iter().any(|known| (known - thick).abs() <= EVEN * across);
                if !is_even || is_known || thick > THIN * across {
                    continue;
                }
                let level = low + share * size;
                let point = |along: f64| match direction {
                    StripDirection::Flat => layout.scale.point(Point::new(along, level)),
                    StripDirection::Upright => layout.scale.point(Point::new(level, along)),
                };
                let (a, b) = (point(from), point(to));
                let text = layout.words.bare_length(thick);
                layout.thickness(a, b, text);
                found.push(thick);
            }
        }
    }
}

/// The number of an edge at its middle; outlines run anticlockwise, so that the outside lies on the right.
fn edge(layout: &mut Layout, curve: &Curve, sign: f64, number: usize) {
    let scale = layout.scale;
    let (start, end) = (scale.point(curve.start()), scale.point(curve.end()));
    let middle = scale.point(curve.at(0.5));
    if start.distance(middle) + middle.distance(end) < SHORTEST {
        return;
    }
    let mut places = Vec::new();
    for t in [0.5, 0.35, 0.65, 0.2, 0.8] {
        let along = scale.vector(curve.tangent(t));
        if along.length() == 0.0 {
            continue;
        }
        let at = scale.point(curve.at(t));
        // In the picture y runs down, so that a quarter turn is to the other side.
        let outwards = along.quarter_turned() * (sign / along.length());
        places.extend([at + outwards * BESIDE, at - outwards * BESIDE, at + outwards * (BESIDE + 3.0)]);
    }
    layout.free("edge-number", places, number.to_string(), None);
}
