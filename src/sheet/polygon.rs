//! The working by strips for sections of straight edges, as it is taught: each edge as the equation of a line, a strip
//! between two edges, its area, the limits, the integrals; by upright strips and again by flat ones.

use crate::geometry::{Curve, Point};
use crate::measure::Measurement;
use crate::section::StripDirection;

/// With more edges the working can't be followed by hand any more.
const MOST_EDGES: usize = 24;

/// Corners nearer to each other than this share of the section's size, across the strips, are one limit: they were drawn
/// as one and differ by rounding.
const SAME_LIMIT: f64 = 1e-9;

/// A straight edge, in the sheet's unit and measured from the sheet's corner.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct PolygonEdge {
    pub from: Point,
    pub to: Point,
}

impl PolygonEdge {
    /// The slope and the offset of the line as a function of what runs across the strips; `None` for an edge along them.
    pub fn line(&self, direction: StripDirection, size: f64) -> Option<(f64, f64)> {
        let (a, b) = (turned(self.from, direction), turned(self.to, direction));
        if (b.x - a.x).abs() <= SAME_LIMIT * size {
            return None;
        }
        let slope = (b.y - a.y) / (b.x - a.x);
        // Through the end that is nearer to the axis, whose rounding counts less.
        let through = if a.x.abs() < b.x.abs() { a } else { b };
        Some((slope, through.y - slope * through.x))
    }
}

/// The strips between two edges, from one limit to the next. For upright strips the position is x and the heights are y;
/// for flat strips the position is y and the heights are x, so that the lower edge is the one on the left.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Band {
    pub low: f64,
    pub high: f64,
    /// Numbers of the edges, from 0.
    pub lower: usize,
    pub upper: usize,
    /// dA = (slope·position + offset)·d(position).
    pub slope: f64,
    pub offset: f64,
    /// ∫dA.
    pub area: f64,
    /// ∫(position) dA.
    pub first: f64,
    /// ∫(height) dA, the strip's centroid being in the middle of its height.
    pub first_height: f64,
}

/// The working by hand.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Working {
    pub edges: Vec<PolygonEdge>,
    pub upright: Vec<Band>,
    pub flat: Vec<Band>,
    /// Size of the section, which tells a figure from rounding.
    pub size: f64,
}

/// On the page seen from the side, flat strips stand upright.
fn turned(point: Point, direction: StripDirection) -> Point {
    match direction {
        StripDirection::Upright => point,
        StripDirection::Flat => Point::new(point.y, point.x),
    }
}

/// `None` for a section with a curved edge or too many edges.
pub(super) fn working(measurement: &Measurement, corner: Point, factor: f64) -> Option<Working> {
    let region = measurement.region()?;
    let mut edges = Vec::new();
    for (sign, ring) in region.rings() {
        for curve in &ring.curves() {
            let Curve::Line(line) = curve else { return None };
            if edges.len() == MOST_EDGES {
                return None;
            }
            // Rings run anticlockwise, holes too; here the solid stays on the left.
            let (from, to) = if sign < 0.0 { (line.end, line.start) } else { (line.start, line.end) };
            edges.push(PolygonEdge { from: (from - corner) * factor, to: (to - corner) * factor });
        }
    }
    let size = region.bounds().size() * factor;
    let upright = bands(&edges, StripDirection::Upright, size)?;
    let flat = bands(&edges, StripDirection::Flat, size)?;
    Some(Working { edges, upright, flat, size })
}

/// `None` where edges do not come in pairs: they meet elsewhere than in corners by more than rounding.
fn bands(edges: &[PolygonEdge], direction: StripDirection, size: f64) -> Option<Vec<Band>> {
    let same = SAME_LIMIT * size;
    let mut limits: Vec<f64> =
        edges.iter().flat_map(|e| [turned(e.from, direction).x, turned(e.to, direction).x]).collect();
    limits.sort_by(f64::total_cmp);
    limits.dedup_by(|a, b| (*a - *b).abs() <= same);
    let mut bands = Vec::new();
    for limit in limits.windows(2) {
        let (low, high) = (limit[0], limit[1]);
        let middle = 0.5 * (low + high);
        let mut across: Vec<(f64, usize, (f64, f64))> = Vec::new();
        for (k, edge) in edges.iter().enumerate() {
            let (a, b) = (turned(edge.from, direction).x, turned(edge.to, direction).x);
            let Some((slope, offset)) = edge.line(direction, size) else { continue };
            if a.min(b) < middle && middle < a.max(b) {
                across.push((slope * middle + offset, k, (slope, offset)));
            }
        }
        across.sort_by(|a, b| a.0.total_cmp(&b.0));
        if across.len() % 2 == 1 {
            return None;
        }
        for pair in across.chunks_exact(2) {
            let ((_, lower, below), (_, upper, above)) = (pair[0], pair[1]);
            bands.push(band((low, high), (lower, below), (upper, above)));
        }
    }
    Some(bands)
}

/// The line of an edge: slope and offset.
type Line = (f64, f64);

fn band((low, high): (f64, f64), (lower, below): (usize, Line), (upper, above): (usize, Line)) -> Band {
    let (width, middle) = (high - low, 0.5 * (low + high));
    let heights = |position: f64| [below, above].map(|(slope, offset)| slope * position + offset);
    // Simpson's rule is exact for what is of the third degree at most.
    let integral = |f: &dyn Fn(f64) -> f64| width / 6.0 * (f(low) + 4.0 * f(middle) + f(high));
    let length = |position: f64| {
        let [below, above] = heights(position);
        above - below
    };
    let moment = |position: f64| {
        let [below, above] = heights(position);
        0.5 * (above - below) * (above + below)
    };
    Band {
        low,
        high,
        lower,
        upper,
        slope: above.0 - below.0,
        offset: above.1 - below.1,
        area: integral(&length),
        first: integral(&|position| position * length(position)),
        first_height: integral(&moment),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::Drawing;
    use crate::measure::{self, Options};

    /// A drawing of closed polylines on one layer.
    fn measured(outlines: &[&[(f64, f64)]]) -> Measurement {
        let mut dxf = "0\nSECTION\n2\nENTITIES\n".to_owned();
        for corners in outlines {
            dxf.push_str("0\nLWPOLYLINE\n8\nPLATE\n70\n1\n");
            corners.iter().for_each(|(x, y)| dxf.push_str(&format!("10\n{x}\n20\n{y}\n")));
        }
        dxf.push_str("0\nENDSEC\n0\nEOF\n");
        let drawing = Drawing::read(dxf.as_bytes()).unwrap();
        measure::drawing("plate.dxf", &drawing, &Options::default()).measurements.remove(0)
    }

    #[test]
    fn both_ways_come_to_the_sections_figures() {
        let plate = measured(&[
            &[(520.0, -40.0), (655.0, -52.5), (690.0, 31.0), (601.0, 88.0), (540.0, 61.0)],
            &[(570.0, -10.0), (570.0, 20.0), (615.0, 26.0), (610.0, -17.0)],
        ]);
        let section = plate.properties().unwrap();
        let corner = section.extent.min;
        for factor in [1.0, 0.1] {
            let working = working(&plate, corner, factor).unwrap();
            assert_eq!(working.edges.len(), 9);
            let center = (section.centroid - corner) * factor;
            let area = section.area * factor * factor;
            for (bands, along_x) in [(&working.upright, true), (&working.flat, false)] {
                assert!(bands.len() >= 8, "{bands:?}");
                let sum = |f: fn(&Band) -> f64| bands.iter().map(f).sum::<f64>();
                let (first, height) = (sum(|b| b.first), sum(|b| b.first_height));
                let (x, y) = if along_x { (first, height) } else { (height, first) };
                let found = [sum(|b| b.area) / area, x / (area * center.x), y / (area * center.y)];
                assert!(found.iter().all(|ratio| (ratio - 1.0).abs() < 1e-12), "{found:?}");
                // dA as it is written, at the middle of the band: a trapezium's area.
                for band in bands {
                    let middle = 0.5 * (band.low + band.high);
                    let by_middle = (band.slope * middle + band.offset) * (band.high - band.low);
                    assert!((by_middle - band.area).abs() < 1e-12 * area, "{band:?}");
                }
            }
        }
    }

    #[test]
    fn too_many_edges_are_not_worked_by_hand() {
        let many: Vec<(f64, f64)> =
            (0..25).map(|k| 0.25 * f64::from(k)).map(|a| (40.0 * a.cos(), 25.0 * a.sin())).collect();
        let plate = measured(&[&many]);
        assert_eq!(working(&plate, plate.properties().unwrap().extent.min, 1.0), None);
    }
}
