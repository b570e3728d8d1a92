//! What each material of a section comes to, with sums that end in its own figures.

use super::figures::{column_head, grouped, length_markup};
use super::markup::{Markup, html};
use super::{math, wide};
use crate::geometry::Point;
use crate::measure::{MaterialBody, MeasuredSection, Measurement};
use crate::schedule::Style;
use crate::section::{SecondMoments, Section};

/// More pieces than this are summed, but not listed one by one.
const MOST_LISTED: usize = 60;

/// What is summed over the pieces: A, A·x, A·y, I_x, I_y, A·d_y², A·d_x².
const TERMS: usize = 7;

/// Powers of length of the terms.
const POWERS: [i32; TERMS] = [2, 3, 3, 4, 4, 4, 4];

/// One line of the table, in the sheet's unit and measured from the sheet's own corner.
struct Line {
    name: Markup,
    ratio: f64,
    centroid: Option<Point>,
    terms: [f64; TERMS],
}

/// The table of what each material adds to a transformed section; empty for one of a single material.
pub(super) fn of_materials(measurement: &Measurement, style: Style, corner: Point) -> Markup {
    let Ok(MeasuredSection { properties: section, bodies, .. }) = &measurement.result else {
        return Markup::default();
    };
    let factor = measurement.unit.millimetres() / style.unit.millimetres();
    let line = |body: &MaterialBody| {
        let of = &body.properties;
        let name = html! { bdi class="name" { (body.material) } };
        weighted(name, body.ratio, (of.area, of.centroid, of.second_moments), section, (corner, factor))
    };
    let lines: Vec<Line> = bodies.iter().map(line).collect();
    summed(section, "Material", &lines, (corner, factor), style)
}

/// A table of lines, each of which is a `kind`, with sums that end in the section's figures; empty without lines.
fn summed(
    section: &Section,
    kind: &str,
    lines: &[Line],
    (corner, factor): (Point, f64),
    style: Style,
) -> Markup {
    if lines.is_empty() {
        return Markup::default();
    }
    let materials = lines.iter().any(|line| line.ratio != 1.0);
    let added = |lines: &[Line]| {
        let mut sum = [0.0; TERMS];
        for line in lines {
            sum.iter_mut().zip(line.terms).for_each(|(sum, term)| *sum += term);
        }
        sum
    };
    let mut sum = added(lines);
    let whole = Whole::of(section, corner, factor);
    // What pieces share, and what of a void lies outside the solid, is counted once in the section.
    let shared = whole.beyond(&sum);
    let scales = scales(whole.terms[0], lines, section, factor);
    let overlap = shared[0].abs() > OVERLAP * scales[0];
    if overlap {
        sum.iter_mut().zip(shared).for_each(|(sum, term)| *sum += term);
    }
    let plain = |k: usize, value: f64| style.digits.text(value, scales[k]);
    let length = |value: f64| grouped(&style.digits.text(value, section.extent.size() * factor));
    let row = |head: &Markup, ratio: Option<f64>, centroid: Option<Point>, terms: &[f64; TERMS]| {
        html! {
            tr {
                th scope="row" { (head) }
                @if materials {
                    td class="n" { @if let Some(ratio) = ratio { (grouped(&style.digits.text(ratio, 0.0))) } }
                }
                @for place in [centroid.map(|p| p.x), centroid.map(|p| p.y)] {
                    td class="n" { @if let Some(place) = place { (length(place)) } }
                }
                @for (k, term) in terms.iter().enumerate() { td class="n" { (grouped(&plain(k, *term))) } }
            }
        }
    };
    let (listed, more) = lines.split_at(lines.len().min(MOST_LISTED));
    html! {
        (wide(&format!("{kind}s"), &html! {
            table class="figures" {
                caption { (kind) "s" }
                (heads(kind, materials, style))
                tbody {
                    @for line in listed { (row(&line.name, Some(line.ratio), line.centroid, &line.terms)) }
                    @if !more.is_empty() {
                        (row(&html! { (more.len()) " more, together" }, None, None, &added(more)))
                    }
                }
                tfoot {
                    @if overlap { (row(&counted_twice(), None, None, &shared)) }
                    (row(&html! { "Sum" }, None, None, &sum))
                }
            }
        }))
        (composite_lines(&whole, &plain, &length, style))
    }
}

/// What stands above the columns.
fn heads(kind: &str, materials: bool, style: Style) -> Markup {
    let area = if materials { "n·A" } else { "A" };
    let terms = [
        html! { (area) },
        html! { (area) "·x′" },
        html! { (area) "·y′" },
        html! { "own " (math::inline(&math::sub("I", "x"))) },
        html! { "own " (math::inline(&math::sub("I", "y"))) },
        html! { (area) "·" (math::inline(&math::square("d", "y"))) },
        html! { (area) "·" (math::inline(&math::square("d", "x"))) },
    ];
    let head = |what: &Markup, power: i32| column_head(what, style.unit, power);
    html! {
        thead {
            tr {
                th scope="col" { (kind) }
                @if materials { th scope="col" class="n" { "Modular ratio " br; "n" } }
                @for name in ["x", "y"] { (head(&math::inline(&math::letter(&format!("{name}′"))), 1)) }
                @for (what, power) in terms.iter().zip(POWERS) { (head(what, power)) }
            }
        }
    }
}

/// The row that makes the sums of overlapping pieces end in the section's figures.
fn counted_twice() -> Markup {
    html! {
        "less what is counted twice, or is void outside the solid; its " i { "I" } " about the section's axes"
    }
}

/// Less than this share of the area is not said to be shared: it is the rounding of sums.
const OVERLAP: f64 = 1e-9;

/// The line of what counts so many times: its area, centroid and own second moments.
fn weighted(
    name: Markup,
    weight: f64,
    (area, centroid, own): (f64, Point, SecondMoments),
    section: &Section,
    (corner, factor): (Point, f64),
) -> Line {
    let center = (centroid - corner) * factor;
    let distance = (centroid - section.centroid) * factor;
    let area = weight * area * factor.powi(2);
    let own = [own.x, own.y].map(|i| weight * i * factor.powi(4));
    Line {
        name,
        ratio: weight,
        centroid: Some(center),
        terms: [
            area,
            area * center.x,
            area * center.y,
            own[0],
            own[1],
            area * distance.y.powi(2),
            area * distance.x.powi(2),
        ],
    }
}

/// The section's own figures, which the sums over its pieces must come to.
struct Whole {
    /// A, A·x, A·y, I_x, I_y.
    terms: [f64; 5],
    center: Point,
}

impl Whole {
    fn of(section: &Section, corner: Point, factor: f64) -> Whole {
        let center = (section.centroid - corner) * factor;
        let area = section.area * factor.powi(2);
        let [x, y] = [section.second_moments.x, section.second_moments.y].map(|i| i * factor.powi(4));
        Whole { terms: [area, area * center.x, area * center.y, x, y], center }
    }

    /// What it has beyond a sum over pieces; of second moments all at once.
    fn beyond(&self, sum: &[f64; TERMS]) -> [f64; TERMS] {
        let [area, x, y, i_x, i_y] = self.terms;
        [area - sum[0], x - sum[1], y - sum[2], i_x - sum[3] - sum[5], i_y - sum[4] - sum[6], 0.0, 0.0]
    }
}

/// What each term is a part of, for telling a figure from rounding.
fn scales(area: f64, lines: &[Line], section: &Section, factor: f64) -> [f64; TERMS] {
    let size = section.extent.size() * factor;
    let most = lines.iter().map(|line| line.terms[0].abs()).fold(area, f64::max);
    POWERS.map(|power| most * size.powi(power - 2))
}

fn composite_lines(
    whole: &Whole,
    plain: &impl Fn(usize, f64) -> String,
    length: &impl Fn(f64) -> Markup,
    style: Style,
) -> Markup {
    let (one, four) = (length_markup(style.unit, 1), length_markup(style.unit, 4));
    let [area, x, y, i_x, i_y] = whole.terms;
    let sum = |what: &Markup| html! { mo { "Σ" } mi { "A" } (what) };
    let place = |name: &str, first: f64, k: usize| {
        let figures = math::fraction(&math::number(&plain(k, first)), &math::number(&plain(0, area)));
        let sums = math::fraction(&sum(&math::letter(&format!("{name}′"))), &sum(&Markup::default()));
        math::large(&html! { (math::sub(&format!("{name}′"), "C")) mo { "=" } (sums) mo { "=" } (figures) })
    };
    let second = |name: &str, across: &str| {
        let own = math::sub("I", name);
        math::inline(&html! {
            (own) mo { "=" } mo { "Σ" } mtext { "own\u{a0}" } (own) mo { "+" } (sum(&math::square("d", across)))
        })
    };
    html! {
        p class="composite" {
            (place("x", x, 1)) " = " b { (length(whole.center.x)) } " " (one) ";" br;
            (place("y", y, 2)) " = " b { (length(whole.center.y)) } " " (one) ";" br;
            (second("x", "y")) " = " b { (grouped(&plain(3, i_x))) } " " (four) ";" br;
            (second("y", "x")) " = " b { (grouped(&plain(4, i_y))) } " " (four) "."
        }
    }
}
