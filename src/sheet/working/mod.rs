//! The working in tables: by strips between lines, by more and more strips, and along the edge.

mod converging;
mod edge;
mod lines;

pub(super) use converging::converging;
pub(super) use edge::along_the_edge;
pub(super) use lines::by_lines;

use super::figures::{grouped, grouped_text};
use super::markup::{Markup, html};
use crate::geometry::Point;
use crate::schedule::Style;

/// Digits for a table.
struct Digits {
    style: Style,
    /// Size of the section in the sheet's unit, which tells a figure from rounding.
    size: f64,
}

impl Digits {
    /// A figure that is a power of length.
    fn text(&self, value: f64, power: i32) -> String {
        self.style.digits.text(value, self.size.powi(power))
    }

    /// A point in the sheet's unit, from the sheet's corner.
    fn point(&self, point: Point) -> String {
        let place = |value: f64| grouped_text(&self.text(value, 1));
        format!("({}, {})", place(point.x), place(point.y))
    }

    /// The figure, set in groups of digits.
    fn figure(&self, value: f64, power: i32) -> Markup {
        grouped(&self.text(value, power))
    }

    /// The same as a cell.
    fn cell(&self, value: f64, power: i32) -> Markup {
        html! { td class="n" { (self.figure(value, power)) } }
    }

    /// Cells of an area and its two first moments.
    fn moments(&self, terms: &[f64; 3]) -> Markup {
        html! { @for (term, power) in terms.iter().zip([2, 3, 3]) { (self.cell(*term, power)) } }
    }
}
