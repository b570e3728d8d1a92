//! Area and centroid by more and more strips.

use super::Digits;
use crate::geometry::Point;
use crate::measure::Measurement;
use crate::schedule::Style;
use crate::section::{self, StripDirection, StripSum};
use crate::sheet::figures::column_head;
use crate::sheet::markup::{Markup, html};
use crate::sheet::wide;

/// Numbers of strips, each half as wide as those before, up to `most`, which is the last.
fn counts(most: usize) -> Vec<usize> {
    let mut counts: Vec<usize> = std::iter::successors(Some(4), |count: &usize| count.checked_mul(2))
        .take_while(|c| *c < most)
        .collect();
    counts.push(most);
    counts
}

/// Area and centroid by more and more strips, beside the exact ones.
pub(in crate::sheet) fn converging(
    measurement: &Measurement,
    corner: Point,
    factor: f64,
    style: Style,
    most: usize,
) -> Markup {
    let counts = counts(most);
    let (Some(region), Some(section)) = (measurement.region(), measurement.properties()) else {
        return Markup::default();
    };
    let upright = section::strip_sums(region, StripDirection::Upright, &counts);
    let flat = section::strip_sums(region, StripDirection::Flat, &counts);
    let digits = Digits { style, size: section.extent.size() * factor };
    let cells = |area: f64, error: &str, centroid: Point| {
        let center = (centroid - corner) * factor;
        html! {
            (digits.cell(area * factor.powi(2), 2))
            td class="n" { (error) }
            (digits.cell(center.x, 1))
            (digits.cell(center.y, 1))
        }
    };
    let of = |sum: &Option<StripSum>| match sum {
        None => html! { @for _ in 0..4 { td class="n" { "–" } } },
        Some(sum) => cells(sum.area, &error(sum.area / section.area - 1.0), sum.centroid),
    };
    let exact = cells(section.area, "", section.centroid);
    wide(
        "More and more strips",
        &html! {
            table class="figures" {
                caption { "More and more strips: each strip's length is measured at its middle" }
                (heads(style))
                tbody {
                    @for ((count, upright), flat) in counts.iter().zip(&upright).zip(&flat) {
                        tr { th scope="row" { (count) } (of(upright)) (of(flat)) }
                    }
                }
                tfoot { tr { th scope="row" { "exact" } (exact) (exact) } }
            }
        },
    )
}

/// What stands above the columns.
fn heads(style: Style) -> Markup {
    let head = |name: &str, power: i32| column_head(&html! { i { (name) } }, style.unit, power);
    html! {
        thead {
            tr {
                th scope="col" rowspan="2" { "Strips" }
                @for direction in ["upright", "flat"] { th scope="colgroup" colspan="4" { (direction) } }
            }
            tr {
                @for _ in 0..2 {
                    (head("A", 2))
                    th scope="col" class="n" { "error" }
                    (head("x′", 1))
                    (head("y′", 1))
                }
            }
        }
    }
}

/// A share as a signed percentage, down to what rounding leaves.
fn error(share: f64) -> String {
    /// Smaller errors are the rounding of sums.
    const NONE: f64 = 1e-13;
    if share.abs() <= NONE {
        return "0 %".to_owned();
    }
    let percent = 100.0 * share;
    let text = match percent.abs() {
        0.0005.. => format!("{percent:+.3}"),
        0.000_000_5.. => format!("{percent:+.6}"),
        _ => format!("{percent:+.0e}"),
    };
    format!("{text} %")
}
