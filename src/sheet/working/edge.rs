//! The integrals along the edge.

use super::Digits;
use crate::geometry::{Curve, Point};
use crate::measure::Measurement;
use crate::schedule::Style;
use crate::section;
use crate::sheet::figures::{column_head, grouped_text};
use crate::sheet::markup::{Markup, html};
use crate::sheet::{math, wide};

/// More curves than this are summed by their kind.
const MOST_CURVES: usize = 32;

/// The integrals along the edge, curve by curve or kind by kind, with the formulas in words.
pub(in crate::sheet) fn along_the_edge(
    measurement: &Measurement,
    corner: Point,
    factor: f64,
    style: Style,
) -> Markup {
    let Some(region) = measurement.region() else { return Markup::default() };
    let digits = Digits { style, size: region.bounds().size() * factor };
    let mut rows: Vec<(String, [f64; 3])> = Vec::new();
    let mut kinds: [(usize, [f64; 3]); 4] = Default::default();
    for (sign, ring) in region.rings() {
        for curve in &ring.curves() {
            // Rings run anticlockwise, holes too; here the solid stays on the left.
            let curve = if sign < 0.0 { curve.reversed() } else { curve.clone() };
            let moments = section::curve_moments(&curve.translated(-corner));
            let terms = [
                moments.area * factor.powi(2),
                moments.first_x * factor.powi(3),
                moments.first_y * factor.powi(3),
            ];
            let kind = &mut kinds[kind(&curve)];
            kind.0 += 1;
            kind.1.iter_mut().zip(terms).for_each(|(sum, term)| *sum += term);
            if rows.len() <= MOST_CURVES {
                let hole = if sign < 0.0 { ", hole" } else { "" };
                rows.push((
                    format!("{} {}{hole}", rows.len() + 1, describe(&curve, corner, factor, &digits)),
                    terms,
                ));
            }
        }
    }
    if rows.len() > MOST_CURVES {
        rows = kinds
            .iter()
            .zip(KINDS)
            .filter(|((count, _), _)| *count > 0)
            .map(|((count, terms), (one, many))| {
                (format!("{count} {}", if *count == 1 { one } else { many }), *terms)
            })
            .collect();
    }
    let mut sums = [0.0; 3];
    for (_, terms) in &rows {
        sums.iter_mut().zip(terms).for_each(|(sum, term)| *sum += term);
    }
    let head = |sign: &Markup, power: i32| column_head(sign, style.unit, power);
    let row =
        |head: &str, terms: &[f64; 3]| html! { tr { th scope="row" { (head) } (digits.moments(terms)) } };
    html! {
        div class="formulas" { (formulas()) }
        (wide("Along the edge", &html! {
            table class="figures" {
                caption { "Along the edge" }
                thead {
                    tr {
                        th scope="col" { "Curve" }
                        (head(&integral(2, &Markup::default()), 2))
                        (head(&integral(3, &math::letter("x′")), 3))
                        (head(&integral(3, &math::letter("y′")), 3))
                    }
                }
                tbody { @for (head, terms) in &rows { (row(head, terms)) } }
                tfoot { (row("Sum: A, A·x′, A·y′", &sums)) }
            }
        }))
    }
}

/// Names of the kinds of curve, one and many.
const KINDS: [(&str, &str); 4] = [
    ("straight line", "straight lines"),
    ("arc of a circle", "arcs of circles"),
    ("arc of an ellipse", "arcs of ellipses"),
    ("spline span", "spline spans"),
];

fn kind(curve: &Curve) -> usize {
    match curve {
        Curve::Line(_) => 0,
        Curve::Arc(_) => 1,
        Curve::Ellipse(_) => 2,
        Curve::Span(_) => 3,
    }
}

fn describe(curve: &Curve, corner: Point, factor: f64, digits: &Digits) -> String {
    let point = |p: Point| digits.point((p - corner) * factor);
    let ends = format!("{} → {}", point(curve.start()), point(curve.end()));
    match curve {
        Curve::Line(_) => format!("line {ends}"),
        Curve::Arc(arc) => format!(
            "arc {ends}, centre {}, radius {}, turning {}°",
            point(arc.center),
            grouped_text(&digits.text(arc.radius * factor, 1)),
            grouped_text(&digits.style.digits.text(arc.sweep.to_degrees(), 360.0))
        ),
        Curve::Ellipse(arc) => format!(
            "ellipse {ends}, centre {}, half axes {} and {}",
            point(arc.center),
            grouped_text(&digits.text(arc.u.length() * factor, 1)),
            grouped_text(&digits.text(arc.v.length() * factor, 1))
        ),
        Curve::Span(span) => format!("spline {ends}, degree {}", span.degree()),
    }
}

/// What is integrated along the edge: a part of `what` times the sweep of the line from the corner.
fn integral(of: u32, what: &Markup) -> Markup {
    math::inline(&html! { (math::part(of)) mo { "∫" } (what) mo { "(" } (math::sweep()) mo { ")" } })
}

/// What is integrated along each kind of curve, and how.
fn formulas() -> Markup {
    let half = math::part(2);
    let triangle = math::inline(&html! { (half) mo { "(" } (math::sweep()) mo { ")" } });
    let product = html! { (math::letter("x′")) (math::letter("y′")) };
    html! {
        p {
            "Going round the edge with the solid on the left, outer edges anticlockwise and holes clockwise, the line \
             from the corner to the moving point sweeps over the area. A piece of edge sweeps over a triangle of area "
            (triangle) ", whose centroid lies at two thirds of the way from the corner to the edge; what is swept over twice, out \
             and back, cancels. So the sums of the columns are the area and its first moments, and second moments come in the \
             same way from " (integral(4, &math::square("x′", ""))) ", " (integral(4, &math::square("y′", "")))
            " and " (integral(4, &product)) "."
        }
        p {
            "Along a line from " (end("1")) " to " (end("2")) " the first is " (line(&half)) ", and the others are \
             that times " (third("x′")) " and " (third("y′")) ". Along an arc of radius "
            (math::inline(&math::letter("r"))) " that turns by " (math::inline(&math::letter("φ"))) ", the first is the \
             same plus the segment between the arc and its chord, " (segment(&half)) ". The first moments of arcs, \
             ellipses and splines are integrated on the curve itself by Gauss-Legendre quadrature, which is exact to \
             the rounding of the last digits; no curve is replaced by chords."
        }
    }
}

/// One end of a line.
fn end(k: &str) -> Markup {
    math::inline(&html! { mo { "(" } (math::sub("x′", k)) mo { "," } (math::sub("y′", k)) mo { ")" } })
}

/// What a line sweeps over.
fn line(half: &Markup) -> Markup {
    math::inline(&html! {
        (half) mo { "(" }
        (math::sub("x′", "1")) (math::sub("y′", "2")) mo { "−" } (math::sub("x′", "2")) (math::sub("y′", "1"))
        mo { ")" }
    })
}

/// A coordinate of the centroid of what a line sweeps over.
fn third(name: &str) -> Markup {
    let (one, two) = (math::sub(name, "1"), math::sub(name, "2"));
    math::inline(&html! { (math::part(3)) mo { "(" } (one) mo { "+" } (two) mo { ")" } })
}

/// The area between an arc and its chord.
fn segment(half: &Markup) -> Markup {
    math::inline(&html! {
        (half) (math::square("r", ""))
        mo { "(" } mi { "φ" } mo { "−" } mi { "sin" } mi { "φ" } mo { ")" }
    })
}
