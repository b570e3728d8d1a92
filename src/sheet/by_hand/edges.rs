//! The sums along the edges of a piece that has no formula.

use super::hand::Hand;
use crate::geometry::{Curve, Point};
use crate::section;
use crate::sheet::figures::{column_head, grouped_text};
use crate::sheet::markup::{Markup, html};
use crate::sheet::wide;

/// Edges of a piece of more curves than this are not listed.
pub(in crate::sheet) const MOST_EDGES: usize = 32;

/// The edge of a piece, summed along its edges.
pub(super) struct Edges {
    number: usize,
    any_curved: bool,
    rows: Vec<(String, Point, [f64; 6])>,
    sums: [f64; 6],
}

/// Powers of length of what is summed along edges.
const POWERS: [i32; 6] = [2, 3, 3, 4, 4, 4];

impl Edges {
    /// `None` where there are too many.
    pub(super) fn of(
        number: usize,
        curves: &[Curve],
        corner: Point,
        factor: f64,
        hand: &Hand,
    ) -> Option<Edges> {
        if curves.len() > MOST_EDGES {
            return None;
        }
        let place = |p: Point| {
            let p = (p - corner) * factor;
            Point::new(hand.value(p.x, 1), hand.value(p.y, 1))
        };
        let row = |(k, curve): (usize, &Curve)| {
            let (a, b) = (place(curve.start()), place(curve.end()));
            let (name, terms) = match curve {
                Curve::Line(_) => {
                    let c = hand.value(a.x * b.y - b.x * a.y, 2);
                    let terms = [
                        c,
                        c * (a.x + b.x),
                        c * (a.y + b.y),
                        c * (a.y * a.y + a.y * b.y + b.y * b.y),
                        c * (a.x * a.x + a.x * b.x + b.x * b.x),
                        c * (2.0 * a.x * a.y + a.x * b.y + b.x * a.y + 2.0 * b.x * b.y),
                    ];
                    (format!("{}", k + 1), terms)
                }
                other => {
                    let moments = section::curve_moments(&other.translated(-corner));
                    let terms = [
                        2.0 * moments.area * factor.powi(2),
                        6.0 * moments.first_x * factor.powi(3),
                        6.0 * moments.first_y * factor.powi(3),
                        12.0 * moments.yy * factor.powi(4),
                        12.0 * moments.xx * factor.powi(4),
                        24.0 * moments.xy * factor.powi(4),
                    ];
                    (format!("{} {}", k + 1, kind(other, factor, hand)), terms)
                }
            };
            let mut written = terms;
            written.iter_mut().zip(POWERS).for_each(|(term, power)| *term = hand.value(*term, power));
            (name, a, written)
        };
        let rows: Vec<_> = curves.iter().enumerate().map(row).collect();
        let sums = [0, 1, 2, 3, 4, 5].map(|k| {
            hand.sum(rows.iter().map(|(_, _, terms): &(String, Point, [f64; 6])| terms[k]), POWERS[k])
        });
        let any_curved = curves.iter().any(|curve| !matches!(curve, Curve::Line(_)));
        Some(Edges { number, any_curved, rows, sums })
    }

    /// Area, centroid, and second moments about it.
    pub(super) fn result(&self, hand: &Hand) -> (f64, Point, [f64; 3]) {
        let [c, x, y, xx, yy, xy] = self.sums;
        let area = hand.value(c / 2.0, 2);
        let at = Point::new(hand.value(x / (3.0 * c), 1), hand.value(y / (3.0 * c), 1));
        // What cancels but for the digits that are written is 0.
        let less = |whole: f64, moved: f64| hand.sum([whole, -moved].into_iter(), 4);
        let own = [
            less(xx / 12.0, area * at.y * at.y),
            less(yy / 12.0, area * at.x * at.x),
            less(xy / 24.0, area * at.x * at.y),
        ];
        (area, at, own)
    }

    /// Whether an edge is no straight line.
    pub(super) fn any_curved(&self) -> bool {
        self.any_curved
    }

    pub(super) fn tables(&self, hand: &Hand) -> Markup {
        let unit = hand.style.unit;
        let head = |what: &str, power: i32| column_head(&html! { (what) }, unit, power);
        let first =
            format!("Piece {}: edges, each from its corner 1 to the corner 2 of the next row", self.number);
        let second = format!("Piece {}: second moments of its edges about the corner", self.number);
        let total = |range: std::ops::Range<usize>| {
            html! { @for k in range { (hand.cell(self.sums[k], POWERS[k])) } }
        };
        html! {
            (wide(&first, &html! {
                table class="figures edges" {
                    caption { (first) }
                    thead {
                        tr {
                            th scope="col" { "Edge" }
                            (head("x′₁", 1)) (head("y′₁", 1))
                            (head("c = x′₁·y′₂ − x′₂·y′₁", 2))
                            (head("c·(x′₁ + x′₂)", 3)) (head("c·(y′₁ + y′₂)", 3))
                        }
                    }
                    tbody {
                        @for (name, at, terms) in &self.rows {
                            tr {
                                th scope="row" { (name) }
                                (hand.cell(at.x, 1)) (hand.cell(at.y, 1))
                                @for k in 0..3 { (hand.cell(terms[k], POWERS[k])) }
                            }
                        }
                    }
                    tfoot { tr { th scope="row" { "Sum" } td {} td {} (total(0..3)) } }
                }
            }))
            (wide(&second, &html! {
                table class="figures edge-moments" {
                    caption { (second) }
                    thead {
                        tr {
                            th scope="col" { "Edge" }
                            (head("c·(y′₁² + y′₁·y′₂ + y′₂²)", 4)) (head("c·(x′₁² + x′₁·x′₂ + x′₂²)", 4))
                            (head("c·(2x′₁y′₁ + x′₁y′₂ + x′₂y′₁ + 2x′₂y′₂)", 4))
                        }
                    }
                    tbody {
                        @for (name, _, terms) in &self.rows {
                            tr { th scope="row" { (name) } @for k in 3..6 { (hand.cell(terms[k], POWERS[k])) } }
                        }
                    }
                    tfoot { tr { th scope="row" { "Sum" } (total(3..6)) } }
                }
            }))
        }
    }
}

/// What a curved edge is, beside its corners.
fn kind(curve: &Curve, factor: f64, hand: &Hand) -> String {
    match curve {
        Curve::Line(_) => String::new(),
        Curve::Arc(arc) => {
            let radius = grouped_text(&hand.text(arc.radius * factor, 1));
            format!("arc, r {radius}, {}°", grouped_text(&hand.text(arc.sweep.to_degrees(), 0)))
        }
        Curve::Ellipse(_) => "arc of an ellipse".to_owned(),
        Curve::Span(_) => "spline".to_owned(),
    }
}

/// How area, centroid and own second moments come from the sums along the edges.
pub(super) fn note(any_curved: bool) -> Markup {
    html! {
        p class="small" {
            "Area: half of the first sum. x′ and y′ of the centroid: the second and third sum over three times the first. Own \
             I" sub { "x" } ", I" sub { "y" } ": a twelfth of the sums less A·y′² and A·x′²; own I" sub { "xy" }
            ": a twenty-fourth less A·x′·y′."
            @if any_curved {
                " Rows of curved edges hold the same integrals along the curve itself, which turns anticlockwise by the angle \
                 beside its radius: 2, 6 and 6, 12, 12 and 24 times what the line from the corner sweeps over, its first moments \
                 and its second moments."
            }
        }
    }
}
