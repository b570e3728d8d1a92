//! The working in tables: by strips between lines, along the edge, and by more and more strips.

use super::figures::{grouped, length_markup};
use super::math;
use super::polygon::{Band, PolygonEdge, Working};
use crate::geometry::{Curve, Point};
use crate::measure::Measurement;
use crate::schedule::Style;
use crate::section::{self, Section, StripDirection, StripSum};

/// Digits for a table.
struct Digits {
    style: Style,
    size: f64,
}

impl Digits {
    /// A figure that is a power of length.
    fn text(&self, value: f64, power: i32) -> String {
        self.style.digits.text(value, self.size.powi(power))
    }

    fn cell(&self, value: f64, power: i32) -> String {
        format!("<td class=\"n\">{}</td>", grouped(&self.text(value, power)))
    }
}

/// Edges and strips of a section of few straight edges.
pub(super) fn by_lines(
    working: &Working,
    section: &Section,
    corner: Point,
    factor: f64,
    style: Style,
) -> String {
    let digits = Digits { style, size: working.size };
    let mut out = String::from("<h4>Edges</h4>");
    out.push_str(&edges(working, &digits));
    out.push_str("<h4>Upright strips</h4>");
    out.push_str(&strips(working, StripDirection::Upright, section, corner, factor, &digits));
    out.push_str("<h4>Flat strips</h4>");
    out.push_str(&strips(working, StripDirection::Flat, section, corner, factor, &digits));
    let sum = |bands: &[Band]| bands.iter().map(|b| b.area).sum::<f64>();
    let (upright, flat) = (sum(&working.upright), sum(&working.flat));
    let difference = ((upright - flat) / upright).abs();
    let square = length_markup(style.unit, 2);
    out.push_str(&format!(
        "<p>Both ways give the same area: {} {square} by upright strips, {} {square} by flat strips{}.</p>",
        grouped(&digits.text(upright, 2)),
        grouped(&digits.text(flat, 2)),
        if difference < ROUNDING { String::new() } else { format!(" (they differ by {difference:.0e})") }
    ));
    out
}

/// Two sums that differ by less than this share differ by rounding alone.
const ROUNDING: f64 = 1e-12;

fn edges(working: &Working, digits: &Digits) -> String {
    let unit = length_markup(digits.style.unit, 1);
    let mut out = format!(
        "<div class=\"wide\" tabindex=\"0\" role=\"region\" aria-label=\"Edges\"><table class=\"figures\">\
         <caption>Edges, the solid on their left</caption><thead><tr>\
         <th scope=\"col\">PolygonEdge</th><th scope=\"col\">from (<i>x</i>, <i>y</i>), {unit}</th>\
         <th scope=\"col\">to (<i>x</i>, <i>y</i>), {unit}</th><th scope=\"col\">height over <i>x</i></th>\
         <th scope=\"col\">place over <i>y</i></th></tr></thead><tbody>"
    );
    for (k, edge) in working.edges.iter().enumerate() {
        let point = |p: Point| format!("({}, {})", digits.text(p.x, 1), digits.text(p.y, 1));
        out.push_str(&format!(
            "<tr><th scope=\"row\">{}</th><td>{}</td><td>{}</td><td>{}</td><td>{}</td></tr>",
            k + 1,
            point(edge.from),
            point(edge.to),
            equation(edge, StripDirection::Upright, digits),
            equation(edge, StripDirection::Flat, digits),
        ));
    }
    out.push_str("</tbody></table></div>");
    out
}

/// Letters of what runs across the strips and along them.
fn letters(direction: StripDirection) -> (&'static str, &'static str) {
    match direction {
        StripDirection::Upright => ("x", "y"),
        StripDirection::Flat => ("y", "x"),
    }
}

fn equation(edge: &PolygonEdge, direction: StripDirection, digits: &Digits) -> String {
    let (across, along) = letters(direction);
    match edge.line(direction, digits.size) {
        None => "–".to_owned(),
        Some((slope, offset)) => math::inline(&format!(
            "{}<mo>=</mo>{}",
            math::letter(along),
            math::linear(&digits.text(slope, 0), across, &digits.text(offset, 1))
        )),
    }
}

fn strips(
    working: &Working,
    direction: StripDirection,
    section: &Section,
    corner: Point,
    factor: f64,
    digits: &Digits,
) -> String {
    let (across, along) = letters(direction);
    let (bands, sides, name) = match direction {
        StripDirection::Upright => (&working.upright, ("lower", "upper"), "Upright strips"),
        StripDirection::Flat => (&working.flat, ("left", "right"), "Flat strips"),
    };
    let unit =
        |power: i32| format!("<span class=\"unit\">{}</span>", length_markup(digits.style.unit, power));
    let integral = |what: &str| {
        let what = if what.is_empty() { String::new() } else { math::letter(what) };
        math::inline(&format!("<mo>∫</mo>{what}<mi>d</mi><mi>A</mi>"))
    };
    let differential = format!("<mi>d</mi>{}", math::letter(across));
    let edge = |side: &str| format!("<msub>{}<mtext>{side}</mtext></msub>", math::letter(along));
    let (lower, upper) = (edge(sides.0), edge(sides.1));
    let mut out = format!(
        "<p>A strip at {a} is d{a} wide and reaches from the {} edge to the {} one. Its area is {}; its centroid lies \
         midway, so that its first moments are {} and {}.</p>",
        sides.0,
        sides.1,
        math::inline(&format!(
            "<mi>d</mi><mi>A</mi><mo>=</mo><mo>(</mo>{upper}<mo>−</mo>{lower}<mo>)</mo>{differential}"
        )),
        math::inline(&format!("{}<mi>d</mi><mi>A</mi>", math::letter(across))),
        math::inline(&format!(
            "<mfrac><mn>1</mn><mn>2</mn></mfrac><mo>(</mo>{upper}<mo>+</mo>{lower}<mo>)</mo><mi>d</mi><mi>A</mi>"
        )),
        a = format_args!("<i>{across}</i>"),
    );
    out.push_str(&format!(
        "<div class=\"wide\" tabindex=\"0\" role=\"region\" aria-label=\"{name}\"><table class=\"figures\"><caption>{name}</caption>\
         <thead><tr><th scope=\"col\"><i>{across}</i> from … to<br>{}</th>\
         <th scope=\"col\">from edge … to edge</th><th scope=\"col\">dA</th><th scope=\"col\" class=\"n\">{}<br>{}</th>\
         <th scope=\"col\" class=\"n\">{}<br>{}</th><th scope=\"col\" class=\"n\">{}<br>{}</th></tr></thead><tbody>",
        unit(1),
        integral(""),
        unit(2),
        integral("x"),
        unit(3),
        integral("y"),
        unit(3),
    ));
    let mut sums = [0.0; 3];
    for band in bands {
        let (x, y) = match direction {
            StripDirection::Upright => (band.first, band.first_height),
            StripDirection::Flat => (band.first_height, band.first),
        };
        sums.iter_mut().zip([band.area, x, y]).for_each(|(sum, term)| *sum += term);
        let length = math::linear(&digits.text(band.slope, 0), across, &digits.text(band.offset, 1));
        out.push_str(&format!(
            "<tr><td>{} … {}</td><td>{} … {}</td><td>{}</td>{}{}{}</tr>",
            digits.text(band.low, 1),
            digits.text(band.high, 1),
            band.lower + 1,
            band.upper + 1,
            math::inline(&format!("<mo>(</mo>{length}<mo>)</mo>{differential}")),
            digits.cell(band.area, 2),
            digits.cell(x, 3),
            digits.cell(y, 3),
        ));
    }
    out.push_str(&format!(
        "</tbody><tfoot><tr><th scope=\"row\" colspan=\"3\">Sum</th>{}{}{}</tr></tfoot></table></div>",
        digits.cell(sums[0], 2),
        digits.cell(sums[1], 3),
        digits.cell(sums[2], 3)
    ));
    out.push_str(&centroid_lines(sums, section, corner, factor, digits));
    out
}

/// From sums to the centroid, and on to the drawing's coordinates.
fn centroid_lines(sums: [f64; 3], section: &Section, corner: Point, factor: f64, digits: &Digits) -> String {
    let unit = length_markup(digits.style.unit, 1);
    let reach = section.extent.size().max(section.extent.reach()) * factor;
    let line = |name: &str, first: f64, corner: f64, centroid: f64| {
        let size = section.extent.size() * factor;
        let place = |value: f64| grouped(&digits.style.digits.place(value * factor, reach, size));
        format!(
            "{} = <b>{}</b> {unit} from the corner; in the drawing {} + {} = <b>{}</b> {unit}",
            math::large(&format!(
                "{}<mo>=</mo>{}",
                math::letter(name),
                math::fraction(
                    &math::number(&digits.text(first, 3)),
                    &math::number(&digits.text(sums[0], 2))
                )
            )),
            grouped(&digits.text(first / sums[0], 1)),
            place(corner),
            grouped(&digits.text(first / sums[0], 1)),
            place(centroid),
        )
    };
    format!(
        "<p class=\"composite\">{}.<br>{}.</p>",
        line("x", sums[1], corner.x, section.centroid.x),
        line("y", sums[2], corner.y, section.centroid.y)
    )
}

/// More curves than this are summed by their kind.
const MOST_CURVES: usize = 32;

/// The integrals along the edge, curve by curve or kind by kind, with the formulas in words.
pub(super) fn along_the_edge(measurement: &Measurement, corner: Point, factor: f64, style: Style) -> String {
    let Some(region) = measurement.region() else { return String::new() };
    let digits = Digits { style, size: region.bounds().size() * factor };
    let mut rows: Vec<(String, [f64; 3])> = Vec::new();
    let mut kinds: [(usize, [f64; 3]); 4] = Default::default();
    for (sign, ring) in region.rings() {
        for curve in ring.curves() {
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
    let unit = |power: i32| format!("<span class=\"unit\">{}</span>", length_markup(style.unit, power));
    let head = |of: u32, what: &str| {
        let what = if what.is_empty() { String::new() } else { math::letter(what) };
        math::inline(&format!("{}<mo>∫</mo>{what}<mo>(</mo>{}<mo>)</mo>", math::part(of), math::sweep()))
    };
    let mut out = edge_formulas();
    out.push_str(&format!(
        "<div class=\"wide\" tabindex=\"0\" role=\"region\" aria-label=\"Along the edge\"><table class=\"figures\">\
         <caption>Along the edge</caption><thead><tr><th scope=\"col\">Curve</th>\
         <th scope=\"col\" class=\"n\">{}<br>{}</th><th scope=\"col\" class=\"n\">{}<br>{}</th>\
         <th scope=\"col\" class=\"n\">{}<br>{}</th></tr></thead><tbody>",
        head(2, ""),
        unit(2),
        head(3, "x"),
        unit(3),
        head(3, "y"),
        unit(3)
    ));
    let row = |head: &str, terms: &[f64; 3]| {
        let cells: String =
            terms.iter().zip([2, 3, 3]).map(|(term, power)| digits.cell(*term, power)).collect();
        format!("<tr><th scope=\"row\">{head}</th>{cells}</tr>")
    };
    let mut sums = [0.0; 3];
    for (head, terms) in &rows {
        sums.iter_mut().zip(terms).for_each(|(sum, term)| *sum += term);
        out.push_str(&row(head, terms));
    }
    out.push_str(&format!("</tbody><tfoot>{}</tfoot></table></div>", row("Sum: A, A·x, A·y", &sums)));
    out
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
    let point = |p: Point| {
        let p = (p - corner) * factor;
        format!("({}, {})", digits.text(p.x, 1), digits.text(p.y, 1))
    };
    let ends = format!("{} → {}", point(curve.start()), point(curve.end()));
    match curve {
        Curve::Line(_) => format!("line {ends}"),
        Curve::Arc(arc) => format!(
            "arc {ends}, centre {}, radius {}, turning {}°",
            point(arc.center),
            digits.text(arc.radius * factor, 1),
            digits.style.digits.text(arc.sweep.to_degrees(), 360.0)
        ),
        Curve::Ellipse(arc) => format!(
            "ellipse {ends}, centre {}, half axes {} and {}",
            point(arc.center),
            digits.text(arc.u.length() * factor, 1),
            digits.text(arc.v.length() * factor, 1)
        ),
        Curve::Span(span) => format!("spline {ends}, degree {}", span.degree()),
    }
}

/// What is integrated along each kind of curve, and how.
fn edge_formulas() -> String {
    let (x, y, sweep) = (math::letter("x"), math::letter("y"), math::sweep());
    let integral = |of: u32, what: &str| {
        math::inline(&format!("{}<mo>∫</mo>{what}<mo>(</mo>{sweep}<mo>)</mo>", math::part(of)))
    };
    let end = |name: &str, k: &str| math::sub(name, k);
    let ends =
        |k: &str| math::inline(&format!("<mo>(</mo>{}<mo>,</mo>{}<mo>)</mo>", end("x", k), end("y", k)));
    let half = math::part(2);
    let triangle = math::inline(&format!("{half}<mo>(</mo>{sweep}<mo>)</mo>"));
    let line = math::inline(&format!(
        "{half}<mo>(</mo>{}{}<mo>−</mo>{}{}<mo>)</mo>",
        end("x", "1"),
        end("y", "2"),
        end("x", "2"),
        end("y", "1")
    ));
    let third = |name: &str| {
        math::inline(&format!(
            "{}<mo>(</mo>{}<mo>+</mo>{}<mo>)</mo>",
            math::part(3),
            end(name, "1"),
            end(name, "2")
        ))
    };
    let segment = math::inline(&format!(
        "{half}{}<mo>(</mo><mi>φ</mi><mo>−</mo><mi>sin</mi><mi>φ</mi><mo>)</mo>",
        math::square("r", "")
    ));
    format!(
        "<p>Going round the edge with the solid on the left, outer edges anticlockwise and holes clockwise, the line from the \
         corner to the moving point sweeps over the area. A piece of edge sweeps over a triangle of area {triangle}, whose \
         centroid lies at two thirds of the way; what is swept over outwards and back again cancels. So the sums of the \
         columns are the area and its first moments, and second moments come in the same way from {}, {} and {}.</p>\
         <p>Along a line from {} to {} the first is {line}, and the others are that times {} and {}. Along an arc of radius \
         {} that turns by {}, the first is the same plus the segment between the arc and its chord, {segment}. The first \
         moments of arcs, ellipses and splines are integrated on the curve itself by Gauss-Legendre quadrature, which is \
         exact to the rounding of the last digits; no curve is replaced by chords.</p>",
        integral(4, &math::square("x", "")),
        integral(4, &math::square("y", "")),
        integral(4, &format!("{x}{y}")),
        ends("1"),
        ends("2"),
        third("x"),
        third("y"),
        math::inline(&math::letter("r")),
        math::inline(&math::letter("φ")),
    )
}

/// Numbers of strips, each half as wide as those before.
const COUNTS: [usize; 9] = [4, 8, 16, 32, 64, 128, 256, 512, 1024];

/// Area and centroid by more and more strips, beside the exact ones.
pub(super) fn converging(measurement: &Measurement, corner: Point, factor: f64, style: Style) -> String {
    let (Some(region), Some(section)) = (measurement.region(), measurement.properties()) else {
        return String::new();
    };
    let upright = section::strip_sums(region, StripDirection::Upright, &COUNTS);
    let flat = section::strip_sums(region, StripDirection::Flat, &COUNTS);
    let digits = Digits { style, size: section.extent.size() * factor };
    let (one, two) = (length_markup(style.unit, 1), length_markup(style.unit, 2));
    let mut out = String::from(
        "<div class=\"wide\" tabindex=\"0\" role=\"region\" aria-label=\"More and more strips\"><table class=\"figures\">\
         <caption>More and more strips: each strip's length is measured at its middle</caption>\
         <thead><tr><th scope=\"col\" rowspan=\"2\">Strips</th><th scope=\"colgroup\" colspan=\"4\">upright</th>\
         <th scope=\"colgroup\" colspan=\"4\">flat</th></tr><tr>",
    );
    for _ in 0..2 {
        out.push_str(&format!(
            "<th scope=\"col\" class=\"n\"><i>A</i><br><span class=\"unit\">{two}</span></th>\
             <th scope=\"col\" class=\"n\">error</th>\
             <th scope=\"col\" class=\"n\"><i>x</i><br><span class=\"unit\">{one}</span></th>\
             <th scope=\"col\" class=\"n\"><i>y</i><br><span class=\"unit\">{one}</span></th>"
        ));
    }
    out.push_str("</tr></thead><tbody>");
    let cells = |sum: &Option<StripSum>| match sum {
        None => "<td class=\"n\">–</td>".repeat(4),
        Some(sum) => {
            let center = (sum.centroid - corner) * factor;
            format!(
                "{}<td class=\"n\">{}</td>{}{}",
                digits.cell(sum.area * factor.powi(2), 2),
                error(sum.area / section.area - 1.0),
                digits.cell(center.x, 1),
                digits.cell(center.y, 1)
            )
        }
    };
    for ((count, upright), flat) in COUNTS.iter().zip(&upright).zip(&flat) {
        out.push_str(&format!("<tr><th scope=\"row\">{count}</th>{}{}</tr>", cells(upright), cells(flat)));
    }
    let center = (section.centroid - corner) * factor;
    let exact = format!(
        "{}<td class=\"n\"></td>{}{}",
        digits.cell(section.area * factor.powi(2), 2),
        digits.cell(center.x, 1),
        digits.cell(center.y, 1)
    );
    out.push_str(&format!(
        "</tbody><tfoot><tr><th scope=\"row\">exact</th>{exact}{exact}</tr></tfoot></table></div>"
    ));
    out
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
