//! Pictures of sections as SVG: to scale, with their sizes, centroid, axes and extreme fibres; and of sections cut into
//! strips.
//!
//! A picture is drawn from the section's own curves: lines, arcs, arcs of ellipses and polynomial spans of degree 2
//! and 3 as what they are, other spans as chords that keep within a fiftieth of a px. Its figures are those of the
//! schedule. The same measurement gives the same bytes.
//!
//! ```
//! use tracearm::drawing::Drawing;
//! use tracearm::measure::{self, Options};
//! use tracearm::schedule::Style;
//! use tracearm::sheet::picture::{self, Look, StripDirection};
//!
//! let dxf = "0\nSECTION\n2\nENTITIES\n0\nCIRCLE\n8\nPIN\n10\n70\n20\n40\n40\n15\n0\nENDSEC\n0\nEOF\n";
//! let drawing = Drawing::read(dxf.as_bytes())?;
//! let pin = &measure::drawing("pin.dxf", &drawing, &Options::default()).measurements[0];
//! let picture = picture::section(pin, &Style::default(), Look::Alone, "pin").expect("a region");
//! assert!(picture.svg.contains("centroid at x = 70 mm, y = 40 mm"));
//!
//! let cut = picture::strips(pin, &Style::default(), StripDirection::Upright, 12, Look::Page, "cut");
//! assert!(cut.expect("a region").svg.contains("12 upright strips, each 2.5 mm wide"));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod axes;
mod canvas;
mod fibres;
mod field;
mod layout;
mod numbers;
mod open;
mod path;
mod place;
mod scale;
mod strips;
mod style;
mod svg;
#[cfg(all(test, feature = "png"))]
mod tests;
mod words;

pub use field::field;
pub use open::open;
pub use style::STYLE;

use super::file_name;
use crate::finding::Severity;
use crate::geometry::Curve;
use crate::measure::{Measurement, Status};
use crate::region::Region;
use crate::schedule::{ColumnKey, Style};
pub use crate::section::StripDirection;
use canvas::Canvas;
use layout::Layout;
use path::Outlines;
use scale::{SIZES, Scale};
use strips::Strips;
use words::Words;

/// Where a picture stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Look {
    /// Within a page, whose style sheet gives the colours: [`STYLE`] belongs into it. The page has the name of the
    /// section and the [legend](Picture::legend) beside it.
    Page,
    /// By itself, with its own light style, heading, legend and caution.
    Alone,
}

/// A picture as SVG.
#[derive(Clone, Debug, PartialEq)]
pub struct Picture {
    /// The `svg` element, without an XML declaration: for a file or within HTML.
    pub svg: String,
    /// Width in CSS px.
    pub width: f64,
    /// Height in CSS px.
    pub height: f64,
    /// What each line and mark means, for a list beside the picture.
    pub legend: Vec<Sign>,
    /// Numbers, sizes or distances of pieces are left out for lack of room: they want a table beside the picture.
    pub is_short: bool,
}

/// A kind of line or a mark, and what it means.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sign {
    /// A sample as an `svg` element of 40 by 14 px, hidden from readers of words. It may refer to a pattern of its
    /// picture, so it belongs into the same page.
    pub sample: String,
    /// What it means, with its figures, as plain text: to be escaped.
    pub words: String,
}

/// At most so many strips are drawn: more could not be told apart.
pub const MOST_STRIPS: usize = 64;

/// The section as it is drawn: solid and holes, overall sizes, centroid, axes, equal-area axes and extreme fibres.
///
/// Figures are in the style's unit and digits. Sections more than 12 times as long as thick are drawn with their thin
/// direction stretched by a round factor, which the picture states. `id` prefixes every id within, so that many pictures
/// can stand in one page; what is no letter, digit, `-` or `_` in it becomes `-`.
///
/// `None` where the measurement has no region, or its size can't be drawn.
pub fn section(measurement: &Measurement, style: &Style, look: Look, id: &str) -> Option<Picture> {
    section_dated(measurement, style, look, id, "")
}

/// The same with a date, which stands with the drawing’s name and the status above a picture that stands alone.
pub fn section_dated(
    measurement: &Measurement,
    style: &Style,
    look: Look,
    id: &str,
    date: &str,
) -> Option<Picture> {
    /// A picture that is wider has letters below 7.5 pt where it is printed as wide as the paper allows (px).
    const WIDEST_ON_PAGE: f64 = 800.0;
    let drawn = |widest: f64| drawn(measurement, style, look, (id, date), widest);
    let picture = drawn(SIZES.widest)?;
    let excess = picture.width - WIDEST_ON_PAGE;
    if look == Look::Page && excess > 0.0 && excess < 0.5 * SIZES.widest {
        return drawn(SIZES.widest - excess);
    }
    Some(picture)
}

/// The picture with a section no wider than so many px.
fn drawn(
    measurement: &Measurement,
    style: &Style,
    look: Look,
    (id, date): (&str, &str),
    widest: f64,
) -> Option<Picture> {
    let region = measurement.region()?;
    let scale = Scale::fit_within(&region.bounds(), look, widest)?;
    let mut layout = Layout::new(scale, Words::of(measurement, style), look, id);
    layout.subtitle = subtitle(measurement, date);
    outlines(&mut layout, region, true);
    if let Some(section) = measurement.properties() {
        axes::draw(&mut layout, region, section);
        numbers::draw(&mut layout, measurement, region);
        if is_transformed(measurement) {
            layout.notes.push(
                "centroid and axes are those of the transformed section: each area times its modular ratio"
                    .to_owned(),
            );
        }
    } else {
        layout.notes.push("no figures: see the findings of this section".to_owned());
    }
    let words = described(measurement, region, &layout.words);
    let title = format!("Section {}", measurement.section);
    Some(layout.finish(&measurement.section, &title, &words))
}

/// The section cut into `count` strips of equal width, each a rectangle as high as the solid at the strip's middle, over
/// its outline. More than [`MOST_STRIPS`] are drawn as that many, which the picture states.
///
/// `None` where the measurement has no region, its size can't be drawn, or `count` is 0.
pub fn strips(
    measurement: &Measurement,
    style: &Style,
    direction: StripDirection,
    count: usize,
    look: Look,
    id: &str,
) -> Option<Picture> {
    let region = measurement.region().filter(|_| count > 0)?;
    let mut layout = started(measurement, region, style, look, id)?;
    let drawn = count.min(MOST_STRIPS);
    let strips = Strips::of(region, direction, drawn);
    let all = strips.draw(&mut layout);
    outlines(&mut layout, region, false);
    let (word, side) = match direction {
        StripDirection::Upright => ("upright", "wide"),
        StripDirection::Flat => ("flat", "high"),
    };
    let (noun, each) = if drawn == 1 { ("strip", "") } else { ("strips", "each ") };
    let mut words = format!(
        "{drawn} {word} {noun}, {each}{} {side}, as long as the solid at the strip's middle (dotted); together {}",
        layout.words.length(strips.width),
        layout.words.area(strips.area())
    );
    if let Some(area) = layout.words.column(ColumnKey::Area).filter(|_| !is_transformed(measurement)) {
        words.push_str(&format!(", the section's area is {area}"));
    }
    layout.sign(true, words.clone(), |canvas| {
        canvas.path("strip", "M8 2L32 2L32 12L8 12Z");
        canvas.path("middle", "M20 2L20 12");
    });
    if drawn < count {
        layout
            .notes
            .push(format!("drawn with {drawn} strips instead of {count}, which could not be told apart"));
    }
    if !all {
        layout.notes.push("some of the rectangles are left out: there are too many".to_owned());
    }
    let title = format!("Section {} cut into {drawn} {word} {noun}", measurement.section);
    Some(layout.finish(&measurement.section, &title, &format!("{words}.")))
}

/// Drawing, status and date.
fn subtitle(measurement: &Measurement, date: &str) -> String {
    let worst = |severity: Severity| measurement.findings.iter().find(|f| f.severity == severity);
    let (word, finding) = match measurement.status() {
        Status::Ok => ("ok, no warnings", None),
        Status::Warning => ("measured with a warning", worst(Severity::Warning)),
        Status::Failed => ("not measured", worst(Severity::Failure)),
    };
    let mut words = format!("{}; status: {word}", file_name(&measurement.drawing));
    if let Some(finding) = finding {
        words.push_str(&format!(" ({})", finding.message()));
    }
    if !date.is_empty() {
        words.push_str(&format!("; {date}"));
    }
    words
}

fn started<'a>(
    measurement: &'a Measurement,
    region: &Region,
    style: &'a Style,
    look: Look,
    id: &str,
) -> Option<Layout<'a>> {
    let scale = Scale::fit_as(&region.bounds(), look)?;
    Some(Layout::new(scale, Words::of(measurement, style), look, id))
}

/// Areas count several times, as moduli of several materials say.
fn is_transformed(measurement: &Measurement) -> bool {
    measurement.properties().is_some_and(|section| section.plastic.is_none())
}

/// Draws the solid, its edges and its holes.
fn outlines(layout: &mut Layout, region: &Region, filled: bool) {
    let drawn = Outlines::of(region, &layout.scale);
    let hatch = format!("{}-hatch", layout.id);
    if filled {
        layout.canvas.filled(&hatch, &format!("{}{}", drawn.edges, drawn.holes));
        layout.sign(false, "solid".to_owned(), |canvas: &mut Canvas| {
            canvas.filled(&hatch, "M4 2H36V12H4Z");
            canvas.path("edge", "M4 2H36V12H4Z");
        });
    }
    layout.canvas.path("hole", &drawn.holes);
    layout.canvas.path("edge", &drawn.edges);
    if !drawn.holes.is_empty() {
        layout.sign(false, "hole: blank, with a dashed edge".to_owned(), |canvas| {
            canvas.path("hole", "M4 2H36V12H4Z");
        });
    }
    keep_clear(layout, region);
    if drawn.coarse {
        layout.notes.push("drawn coarsely: the outlines have more pieces than a picture can show".to_owned());
    }
    if drawn.left_out > 0 {
        let what = if drawn.left_out == 1 { "outline is" } else { "outlines are" };
        layout.notes.push(format!("{} {what} too small to be drawn", drawn.left_out));
    }
}

/// Keeps words off the outlines.
fn keep_clear(layout: &mut Layout, region: &Region) {
    /// Chords of a curve.
    const CHORDS: u32 = 24;
    /// With more curves there is hardly any word that could move aside.
    const MOST_CURVES: usize = 4000;
    let scale = layout.scale;
    let count: usize = region.rings().map(|(_, ring)| ring.curves().len()).sum();
    if count > MOST_CURVES {
        return;
    }
    for curve in region.rings().flat_map(|(_, ring)| ring.curves()) {
        let chords = if matches!(*curve, Curve::Line(_)) { 1 } else { CHORDS };
        let at = |k: u32| scale.point(curve.at(f64::from(k) / f64::from(chords)));
        (0..chords).for_each(|k| layout.canvas.keep_clear([at(k), at(k + 1)]));
    }
}

/// What the picture shows, in words.
fn described(measurement: &Measurement, region: &Region, words: &Words) -> String {
    let bounds = region.bounds();
    let mut text =
        format!("{} wide and {} high", words.length(bounds.width()), words.length(bounds.height()));
    let Some(section) = measurement.properties() else { return text + "." };
    let count = |number: usize, one: &str, many: &str| match number {
        0 => format!("no {many}"),
        1 => format!("1 {one}"),
        more => format!("{more} {many}"),
    };
    text.push_str(&format!(
        ", {}, {}.",
        count(section.parts, "solid part", "solid parts"),
        count(section.holes, "hole", "holes")
    ));
    let mut sentence = |before: &str, keys: &[(&str, ColumnKey)]| {
        let figures: Option<Vec<String>> =
            keys.iter().map(|(name, key)| Some(format!("{name}{}", words.column(*key)?))).collect();
        if let Some(figures) = figures {
            text.push_str(&format!(" {before}{}.", figures.join(", ")));
        }
    };
    let area = if is_transformed(measurement) { "Transformed area " } else { "Area " };
    sentence(area, &[("", ColumnKey::Area)]);
    sentence("Centroid at ", &[("x = ", ColumnKey::CentroidX), ("y = ", ColumnKey::CentroidY)]);
    sentence("Principal axis 1 at ", &[("", ColumnKey::PrincipalAngle)]);
    sentence("Equal-area axes at ", &[("y = ", ColumnKey::PlasticAxisY), ("x = ", ColumnKey::PlasticAxisX)]);
    text
}
