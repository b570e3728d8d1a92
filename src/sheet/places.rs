//! A table of coordinates for a page without the working: where the pieces of a section lie and what they are, or the corners
//! of its only one.

use super::by_hand::Shape;
use super::figures::grouped;
use super::markup::{Markup, html};
use crate::geometry::{Curve, Point};
use crate::measure::Measurement;
use crate::schedule::{PieceRow, Style};

/// More than this do not fit on the page of a section.
const MOST: usize = 60;

/// The table; empty for a section that was not measured, and for an outline of very many edges.
pub(super) fn of(measurement: &Measurement, style: Style) -> Markup {
    let Some(section) = measurement.properties() else { return Markup::default() };
    let factor = measurement.unit.millimetres() / style.unit.millimetres();
    let size = section.extent.size() * factor;
    let reach = section.extent.size().max(section.extent.reach()) * factor;
    let place = |value: f64| grouped(&style.digits.place(value * factor, reach, size));
    let at = |p: Point| html! { "(" (place(p.x)) ", " (place(p.y)) ")" };
    let length = |value: f64| grouped(&style.digits.text(value * factor, 0.0));
    let rows = PieceRow::all(measurement);
    let lines: Vec<Markup> = if let [row] = rows.as_slice() {
        let curves = row.piece().piece.ring.curves();
        if curves.len() > MOST {
            return Markup::default();
        }
        let curved = |curve: &Curve| if matches!(curve, Curve::Line(_)) { "" } else { ", curved" };
        let corner =
            |(k, curve): (usize, &Curve)| html! { (k + 1) " from " (at(curve.start())) (curved(curve)) };
        curves.iter().enumerate().map(corner).collect()
    } else {
        let piece = |row: &PieceRow| {
            let void = if row.sign() < 0.0 { ", void" } else { "" };
            let what = match Shape::of(&row.piece().piece.ring, Point::ORIGIN, 1.0) {
                Some(Shape::Rectangle(_, b, h)) => html! { (length(b)) " × " (length(h)) },
                Some(Shape::Circle(_, d)) => html! { "⌀" (length(d)) },
                Some(Shape::RightTriangle(_, b, h)) => {
                    html! { "triangle " (length(b.abs())) " × " (length(h.abs())) }
                }
                _ => html! { "outline" },
            };
            html! { (row.number()) ": " (what) (void) " at " (at(row.enclosed().centroid)) }
        };
        rows.iter().take(MOST).map(piece).collect()
    };
    let more = rows.len().saturating_sub(MOST);
    let head = if rows.len() == 1 {
        "Edges, each from its first corner (x, y)"
    } else {
        "Pieces, each with its centroid (x, y)"
    };
    html! {
        div class="places" {
            h3 { (head) }
            ul { @for line in &lines { li { (line) } } }
            @if more > 0 { p class="small" { (more) " more pieces are not listed." } }
        }
    }
}
