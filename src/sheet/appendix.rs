//! The edges of pieces that have too many to be listed on a sheet, as a table for a file beside it.

use super::by_hand::{MOST_EDGES, Shape};
use super::plain_name;
use crate::geometry::{Curve, Point};
use crate::measure::Measurement;
use crate::schedule::{Digits, PieceRow, Style};
use crate::section;

/// Whether a section has a piece whose edges are too many for a sheet.
pub fn has_unlisted_edges(measurements: &[Measurement]) -> bool {
    measurements.iter().filter(|m| m.properties().is_some()).flat_map(|m| &m.pieces).any(|piece| {
        is_unlisted(piece.piece.ring.curves().len(), || Shape::of(&piece.piece.ring, Point::ORIGIN, 1.0))
    })
}

fn is_unlisted(count: usize, shape: impl FnOnce() -> Option<Shape>) -> bool {
    count > MOST_EDGES && shape().is_none()
}

/// Those edges as CSV: from where to where, measured from the lower left corner of the section’s extent, and what each adds
/// to the area and to the first and second moments about that corner. All digits are given.
pub fn edges(measurements: &[Measurement], style: Style) -> String {
    let unit = style.unit.symbol();
    let mut out = format!(
        "section,piece,edge,kind,x1_{unit},y1_{unit},x2_{unit},y2_{unit},area_{unit}2,area_x_{unit}3,area_y_{unit}3,\
         second_moment_x_{unit}4,second_moment_y_{unit}4,product_moment_{unit}4\n"
    );
    for measurement in measurements {
        let Some(properties) = measurement.properties() else { continue };
        let factor = measurement.unit.millimetres() / style.unit.millimetres();
        let corner = properties.extent.min;
        let name = quoted(plain_name(measurement));
        for row in PieceRow::all(measurement) {
            let ring = &row.piece().piece.ring;
            if !is_unlisted(ring.curves().len(), || Shape::of(ring, corner, factor)) {
                continue;
            }
            for (k, curve) in ring.curves().iter().enumerate() {
                let moments = section::curve_moments(&curve.translated(-corner));
                let (from, to) = (curve.start() - corner, curve.end() - corner);
                let figures = [
                    (from.x, 1),
                    (from.y, 1),
                    (to.x, 1),
                    (to.y, 1),
                    (moments.area, 2),
                    (moments.first_x, 3),
                    (moments.first_y, 3),
                    (moments.yy, 4),
                    (moments.xx, 4),
                    (moments.xy, 4),
                ];
                out.push_str(&format!("{name},{},{},{}", row.number(), k + 1, kind(curve)));
                for (value, power) in figures {
                    out.push(',');
                    out.push_str(&Digits::FULL.text(value * factor.powi(power), 0.0));
                }
                out.push('\n');
            }
        }
    }
    out
}

fn kind(curve: &Curve) -> &'static str {
    match curve {
        Curve::Line(_) => "line",
        Curve::Arc(_) => "arc",
        Curve::Ellipse(_) => "ellipse",
        Curve::Span(_) => "spline",
    }
}

/// A name as a cell: between quotation marks, and harmless where a spreadsheet would run it.
fn quoted(name: &str) -> String {
    let name: String = name.chars().map(|letter| if letter.is_control() { ' ' } else { letter }).collect();
    let harmless = if name.starts_with(['=', '+', '-', '@']) { format!("'{name}") } else { name };
    format!("\"{}\"", harmless.replace('"', "\"\""))
}
