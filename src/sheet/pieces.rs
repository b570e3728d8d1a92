//! The pieces of a section, with sums that end in its own figures.

use super::figures::{grouped, length_markup};
use super::markup::escaped;
use super::math;
use crate::geometry::Point;
use crate::measure::Measurement;
use crate::schedule::{PieceRow, Style};
use crate::section::Section;

/// More pieces than this are summed, but not listed one by one.
const MOST_LISTED: usize = 60;

/// What is summed over the pieces: A, A·x, A·y, I_x, I_y, A·d_y², A·d_x².
const TERMS: usize = 7;

/// Powers of length of the terms.
const POWERS: [i32; TERMS] = [2, 3, 3, 4, 4, 4, 4];

/// One line of the table, in the sheet's unit and measured from the sheet's own corner.
struct Line {
    name: String,
    ratio: f64,
    centroid: Option<Point>,
    terms: [f64; TERMS],
}

/// The table of pieces; empty for a section without any.
///
/// `corner` is the place, in drawing units, from which x and y are measured.
pub(super) fn table(measurement: &Measurement, style: Style, corner: Point) -> String {
    let Some(section) = measurement.properties() else { return String::new() };
    let rows = PieceRow::all(measurement);
    if rows.is_empty() {
        return String::new();
    }
    let factor = measurement.unit.millimetres() / style.unit.millimetres();
    let lines: Vec<Line> = rows.iter().map(|row| line(row, section, corner, factor)).collect();
    let materials = lines.iter().any(|line| line.ratio != 1.0);
    let mut sum = [0.0; TERMS];
    for line in &lines {
        sum.iter_mut().zip(line.terms).for_each(|(sum, term)| *sum += term);
    }
    let whole = Whole::of(section, corner, factor);
    // What pieces share, and what of a void lies outside the solid, is counted once in the section.
    let shared = whole.beyond(&sum);
    let scales = scales(whole.terms[0], &lines, section, factor);
    let overlap = shared[0].abs() > OVERLAP * scales[0];
    let plain = |k: usize, value: f64| style.digits.text(value, scales[k]);
    let text = |k: usize, value: f64| grouped(&plain(k, value));
    let length = |value: f64| grouped(&style.digits.text(value, section.extent.size() * factor));
    let mut out = String::from(
        "<div class=\"wide\" tabindex=\"0\" role=\"region\" aria-label=\"Pieces\"><table class=\"figures\"><caption>Pieces</caption><thead><tr>\
         <th scope=\"col\">Piece</th>",
    );
    let unit = |power: i32| format!("<br><span class=\"unit\">{}</span>", length_markup(style.unit, power));
    if materials {
        out.push_str("<th scope=\"col\" class=\"n\">Modular ratio<br>n</th>");
    }
    let area = if materials { "n·A" } else { "A" };
    for (head, power) in [("x", 1), ("y", 1)] {
        out.push_str(&format!(
            "<th scope=\"col\" class=\"n\">{}{}</th>",
            math::inline(&math::letter(head)),
            unit(power)
        ));
    }
    let heads = [
        area.to_owned(),
        format!("{area}·x"),
        format!("{area}·y"),
        format!("own {}", math::inline(&math::sub("I", "x"))),
        format!("own {}", math::inline(&math::sub("I", "y"))),
        format!("{area}·{}", math::inline(&math::square("d", "y"))),
        format!("{area}·{}", math::inline(&math::square("d", "x"))),
    ];
    for (head, power) in heads.iter().zip(POWERS) {
        out.push_str(&format!("<th scope=\"col\" class=\"n\">{head}{}</th>", unit(power)));
    }
    out.push_str("</tr></thead><tbody>");
    let write = |out: &mut String, head: &str, ratio: Option<f64>, centroid: Option<Point>, terms: &[f64]| {
        out.push_str(&format!("<tr><th scope=\"row\">{head}</th>"));
        if materials {
            let ratio = ratio.map_or(String::new(), |ratio| style.digits.text(ratio, 0.0));
            out.push_str(&format!("<td class=\"n\">{ratio}</td>"));
        }
        let (x, y) = centroid.map_or_else(Default::default, |p| (length(p.x), length(p.y)));
        out.push_str(&format!("<td class=\"n\">{x}</td><td class=\"n\">{y}</td>"));
        for (k, term) in terms.iter().enumerate() {
            out.push_str(&format!("<td class=\"n\">{}</td>", text(k, *term)));
        }
        out.push_str("</tr>");
    };
    for line in lines.iter().take(MOST_LISTED) {
        write(&mut out, &line.name, Some(line.ratio), line.centroid, &line.terms);
    }
    if lines.len() > MOST_LISTED {
        let mut rest = [0.0; TERMS];
        for line in &lines[MOST_LISTED..] {
            rest.iter_mut().zip(line.terms).for_each(|(sum, term)| *sum += term);
        }
        let head = format!("{} more, together", lines.len() - MOST_LISTED);
        write(&mut out, &head, None, None, &rest);
    }
    out.push_str("</tbody><tfoot>");
    if overlap {
        write(&mut out, SHARED, None, None, &shared);
        sum.iter_mut().zip(shared).for_each(|(sum, term)| *sum += term);
    }
    write(&mut out, "Sum", None, None, &sum);
    out.push_str("</tfoot></table></div>");
    out.push_str(&composite_lines(&whole, &plain, &length, style));
    out
}

/// The row that makes the sums of overlapping pieces end in the section's figures.
const SHARED: &str =
    "less what is counted twice, or is void outside the solid; its <i>I</i> about the section's axes";

/// Less than this share of the area is not said to be shared: it is the rounding of sums.
const OVERLAP: f64 = 1e-9;

fn line(row: &PieceRow, section: &Section, corner: Point, factor: f64) -> Line {
    let piece = row.piece();
    let enclosed = row.enclosed();
    let weight = piece.ratio * row.sign();
    let center = (enclosed.centroid - corner) * factor;
    let distance = (enclosed.centroid - section.centroid) * factor;
    let area = weight * enclosed.area * factor.powi(2);
    let own = [enclosed.second_moments.x, enclosed.second_moments.y].map(|i| weight * i * factor.powi(4));
    let kind = if piece.piece.solid { "solid" } else { "void" };
    let name = match piece.material.as_str() {
        "" => format!("{} {kind}", row.number()),
        material => format!("{} {kind}, <bdi class=\"name\">{}</bdi>", row.number(), escaped(material)),
    };
    Line {
        name,
        ratio: piece.ratio,
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
    length: &impl Fn(f64) -> String,
    style: Style,
) -> String {
    let (one, four) = (length_markup(style.unit, 1), length_markup(style.unit, 4));
    let [area, x, y, i_x, i_y] = whole.terms;
    let text = |k: usize, value: f64| grouped(&plain(k, value));
    let sum = |what: &str| format!("<mo>Σ</mo><mi>A</mi>{what}");
    let place = |name: &str, first: f64, k: usize| {
        let figures = math::fraction(&math::number(&plain(k, first)), &math::number(&plain(0, area)));
        let sums = math::fraction(&sum(&math::letter(name)), &sum(""));
        math::large(&format!("{}<mo>=</mo>{sums}<mo>=</mo>{figures}", math::sub(name, "C")))
    };
    let second = |name: &str, across: &str| {
        let own = math::sub("I", name);
        math::inline(&format!(
            "{own}<mo>=</mo><mo>Σ</mo><mtext>own&#160;</mtext>{own}<mo>+</mo>{}",
            sum(&math::square("d", across))
        ))
    };
    format!(
        "<p class=\"composite\">{} = <b>{}</b> {one};<br>{} = <b>{}</b> {one};<br>{} = <b>{}</b> {four};<br>\
         {} = <b>{}</b> {four}.</p>",
        place("x", x, 1),
        length(whole.center.x),
        place("y", y, 2),
        length(whole.center.y),
        second("x", "y"),
        text(3, i_x),
        second("y", "x"),
        text(4, i_y),
    )
}
