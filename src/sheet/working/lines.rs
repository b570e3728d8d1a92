//! Edges and strips of a section of few straight edges.

use super::Digits;
use crate::geometry::Point;
use crate::schedule::Style;
use crate::section::{Section, StripDirection};
use crate::sheet::figures::{column_head, grouped, length_markup, unit_below};
use crate::sheet::markup::{Markup, html};
use crate::sheet::polygon::{Band, PolygonEdge, Working};
use crate::sheet::{math, wide};

/// The edges, and the working by upright strips and again by flat ones.
pub(in crate::sheet) fn by_lines(
    working: &Working,
    section: &Section,
    corner: Point,
    factor: f64,
    style: Style,
) -> Markup {
    let digits = Digits { style, size: working.size };
    let sum = |bands: &[Band]| bands.iter().map(|b| b.area).sum::<f64>();
    let (upright, flat) = (sum(&working.upright), sum(&working.flat));
    let difference = ((upright - flat) / upright).abs();
    let differing =
        if difference < ROUNDING { String::new() } else { format!(" (they differ by {difference:.0e})") };
    let square = length_markup(style.unit, 2);
    html! {
        h4 { "The same by strips between edges" }
        (edges(working, &digits))
        (strips(working, StripDirection::Upright, section, corner, factor, &digits))
        (strips(working, StripDirection::Flat, section, corner, factor, &digits))
        p {
            "Both ways give the same area: " (digits.figure(upright, 2)) " " (square) " by upright strips, "
            (digits.figure(flat, 2)) " " (square) " by flat strips" (differing) "."
        }
    }
}

/// Two sums that differ by less than this share differ by rounding alone.
const ROUNDING: f64 = 1e-12;

fn edges(working: &Working, digits: &Digits) -> Markup {
    let unit = length_markup(digits.style.unit, 1);
    let ends = |which: &str| {
        html! { th scope="col" { (which) " (" i { "x′" } ", " i { "y′" } "), " (unit) } }
    };
    wide(
        "Edges",
        &html! {
            table class="figures" {
                caption { "Edges, the solid on their left" }
                thead {
                    tr {
                        th scope="col" { "Edge" }
                        (ends("from"))
                        (ends("to"))
                        th scope="col" { i { "y′" } " as a function of " i { "x′" } }
                        th scope="col" { i { "x′" } " as a function of " i { "y′" } }
                    }
                }
                tbody {
                    @for (k, edge) in working.edges.iter().enumerate() {
                        tr {
                            th scope="row" { (k + 1) }
                            td { (digits.point(edge.from)) }
                            td { (digits.point(edge.to)) }
                            td { (equation(edge, StripDirection::Upright, digits)) }
                            td { (equation(edge, StripDirection::Flat, digits)) }
                        }
                    }
                }
            }
        },
    )
}

/// Letters of what runs across the strips and along them.
fn letters(direction: StripDirection) -> (&'static str, &'static str) {
    match direction {
        StripDirection::Upright => ("x′", "y′"),
        StripDirection::Flat => ("y′", "x′"),
    }
}

fn equation(edge: &PolygonEdge, direction: StripDirection, digits: &Digits) -> Markup {
    let (across, along) = letters(direction);
    match edge.line(direction, digits.size) {
        None => html! { "–" },
        Some((slope, offset)) => math::inline(&html! {
            (math::letter(along)) mo { "=" }
            (math::linear(&digits.text(slope, 0), across, &digits.text(offset, 1)))
        }),
    }
}

fn strips(
    working: &Working,
    direction: StripDirection,
    section: &Section,
    corner: Point,
    factor: f64,
    digits: &Digits,
) -> Markup {
    let (across, _) = letters(direction);
    let (bands, name) = match direction {
        StripDirection::Upright => (&working.upright, "Upright strips"),
        StripDirection::Flat => (&working.flat, "Flat strips"),
    };
    // Area and first moments of a band.
    let terms = |band: &Band| match direction {
        StripDirection::Upright => [band.area, band.first, band.first_height],
        StripDirection::Flat => [band.area, band.first_height, band.first],
    };
    let area = |band: &Band| {
        let length = math::linear(&digits.text(band.slope, 0), across, &digits.text(band.offset, 1));
        math::inline(&html! { mo { "(" } (length) mo { ")" } (math::step(across)) })
    };
    let integral = |what: Option<&str>, power: i32| {
        let what = what.map(math::letter).unwrap_or_default();
        let sign = math::inline(&html! { mo { "∫" } (what) (math::step("A")) });
        column_head(&sign, digits.style.unit, power)
    };
    let mut sums = [0.0; 3];
    for band in bands {
        sums.iter_mut().zip(terms(band)).for_each(|(sum, term)| *sum += term);
    }
    html! {
        (in_words(direction))
        (wide(name, &html! {
            table class="figures" {
                caption { (name) }
                thead {
                    tr {
                        th scope="col" { i { (across) } " from … to " br; (unit_below(digits.style.unit, 1)) }
                        th scope="col" { "from edge … to edge" }
                        th scope="col" { "dA" }
                        (integral(None, 2))
                        (integral(Some("x′"), 3))
                        (integral(Some("y′"), 3))
                    }
                }
                tbody {
                    @for band in bands {
                        tr {
                            td { (digits.figure(band.low, 1)) " … " (digits.figure(band.high, 1)) }
                            td { (band.lower + 1) " … " (band.upper + 1) }
                            td { (area(band)) }
                            (digits.moments(&terms(band)))
                        }
                    }
                }
                tfoot { tr { th scope="row" colspan="3" { "Sum" } (digits.moments(&sums)) } }
            }
        }))
        (centroid_lines(sums, section, corner, factor, digits))
    }
}

/// What a strip is, and what is integrated.
fn in_words(direction: StripDirection) -> Markup {
    let (across, along) = letters(direction);
    let (lower, upper) = match direction {
        StripDirection::Upright => ("lower", "upper"),
        StripDirection::Flat => ("left", "right"),
    };
    let (low, high) = (math::sub(along, lower), math::sub(along, upper));
    let differential = math::step("A");
    let area = html! { (differential) mo { "=" } mo { "(" } (high) mo { "−" } (low) mo { ")" } (math::step(across)) };
    let moment = html! { (math::letter(across)) (differential) };
    let middle = html! { (math::part(2)) mo { "(" } (high) mo { "+" } (low) mo { ")" } (differential) };
    html! {
        p {
            "A strip at " i { (across) } " is d" i { (across) } " wide and reaches from the " (lower) " edge to the "
            (upper) " edge. Its area is " (math::inline(&area)) "; its centroid lies midway, so its first moments are "
            (math::inline(&moment)) " and " (math::inline(&middle)) "."
        }
    }
}

/// From sums to the centroid, and on to the drawing's coordinates.
fn centroid_lines(sums: [f64; 3], section: &Section, corner: Point, factor: f64, digits: &Digits) -> Markup {
    let unit = length_markup(digits.style.unit, 1);
    let size = section.extent.size() * factor;
    let reach = section.extent.size().max(section.extent.reach()) * factor;
    let place = |value: f64| grouped(&digits.style.digits.place(value * factor, reach, size));
    let [area, x, y] = sums;
    let line = |name: &str, first: f64, corner: f64, centroid: f64| {
        let sum = |value: f64, power: i32| math::number(&digits.text(value, power));
        let quotient = math::fraction(&sum(first, 3), &sum(area, 2));
        let from_corner = digits.figure(first / area, 1);
        html! {
            (math::large(&html! { (math::sub(&format!("{name}′"), "C")) mo { "=" } (quotient) })) " = "
            b { (from_corner) } " " (unit) "; " (math::inline(&math::sub(name, "C"))) " = "
            (place(corner)) " + " (from_corner) " = " b { (place(centroid)) } " " (unit)
        }
    };
    html! {
        p class="composite" {
            (line("x", x, corner.x, section.centroid.x)) "." br;
            (line("y", y, corner.y, section.centroid.y)) "."
        }
    }
}
