//! Numbers of pieces and edges, as the tables of the sheet have them.

use super::layout::Layout;
use crate::geometry::{Curve, Point};
use crate::measure::Measurement;
use crate::outline::Ring;
use crate::region::Region;
use crate::section::Enclosed;

/// More pieces than this are listed with their places alone.
const MOST_PIECES: usize = 40;

/// More edges than this are not numbered: the sheet does not list them one by one.
const MOST_EDGES: usize = 24;

/// An edge shorter than this (px) has no room for a number.
const SHORTEST: f64 = 14.0;

/// From an edge to the middle of its number (px), to the outside.
const BESIDE: f64 = 9.0;

/// Writes the numbers of pieces where there are several, else those of the edges; each only where it stands over no other
/// words.
pub(super) fn draw(layout: &mut Layout, measurement: &Measurement, region: &Region) {
    let pieces = &measurement.pieces;
    if pieces.len() > 1 {
        for (k, piece) in pieces.iter().enumerate().take(MOST_PIECES) {
            let ring = &piece.piece.ring;
            let at = layout.scale.point(Enclosed::by(ring).centroid);
            let aside =
                [Point::ORIGIN, Point::new(14.0, -10.0), Point::new(-14.0, 10.0), Point::new(0.0, 20.0)];
            let places = aside.map(|aside| at + aside);
            layout.canvas.free_text("piece-number", &places, &(k + 1).to_string());
        }
        return;
    }
    let rings: Vec<&Ring> = region.rings().map(|(_, ring)| ring).collect();
    let count: usize = rings.iter().map(|ring| ring.curves().len()).sum();
    if count > MOST_EDGES {
        return;
    }
    let mut number = 0;
    for (sign, ring) in region.rings() {
        for curve in ring.curves() {
            number += 1;
            edge(layout, curve, sign, number);
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
    let along = scale.vector(curve.tangent(0.5));
    if along.length() == 0.0 {
        return;
    }
    // In the picture y runs down, so that a quarter turn is to the other side.
    let outwards = along.quarter_turned() * (sign / along.length());
    let places = [middle + outwards * BESIDE, middle - outwards * BESIDE];
    layout.canvas.free_text("edge-number", &places, &number.to_string());
}
