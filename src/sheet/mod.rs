//! The calculation sheet: one page of HTML for the sections of a drawing, with pictures, results in words, pieces, the
//! working by strips and along the edge, what was read, and what the reader must know. It needs no network and no script.

mod appendix;
mod by_hand;
mod fields;
mod figures;
mod heading;
mod in_words;
mod letters;
mod markup;
mod math;
mod overview;
mod page;
pub mod picture;
mod pieces;
mod places;
#[cfg(feature = "png")]
mod png;
mod polygon;
mod provenance;
mod results;
mod shape;
mod working;

pub use appendix::{edges, has_unlisted_edges};
pub use heading::Heading;
pub use in_words::{Figure, Letter, about_letters, figures};
#[cfg(feature = "png")]
pub use png::{LARGEST_WIDTH, PngError, missing_font, png};
pub use provenance::{Asked, Measured};

use crate::drawing::LengthUnit;
use crate::finding::{Finding, Severity};
use crate::geometry::{Curve, Point};
use crate::measure::{MaterialBody, MeasuredSection, Measurement, Status};
use crate::outline::Ring;
use crate::schedule::Style;
use by_hand::{MOST_EDGES, Shape};
use markup::{DOCTYPE, Markup, html};
use overview::{contents, left_out, summary, unmeasured};
use picture::{Look, Picture, StripDirection};

/// Where the figures of a sheet come from.
#[derive(Clone, Debug)]
pub struct Provenance {
    /// Name of the drawing file, as it was given.
    pub name: String,
    /// SHA-256 of its bytes, in hexadecimal digits.
    pub sha256: String,
    /// Its size in bytes.
    pub bytes: u64,
    /// The version of DXF that it says it is in, in words; empty where it says none.
    pub format: String,
    /// The unit of its coordinates.
    pub unit: LengthUnit,
    /// How that unit is known, in words.
    pub unit_source: String,
    /// The layers that were measured.
    pub layers: Vec<String>,
    /// How it was measured, in words.
    pub options: String,
    /// What wrote the sheet: name and version.
    pub program: String,
    /// The date of the sheet.
    pub date: String,
    /// What was found in the drawing beside what belongs to one section.
    pub findings: Vec<Finding>,
    /// What the drawing holds and was not measured.
    pub unmeasured: Vec<Unmeasured>,
    /// What sections that were not measured draw, and where it is open.
    pub open: Vec<OpenLines>,
}

/// A layer that was not measured, and why.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unmeasured {
    /// Name of the layer.
    pub name: String,
    /// The reasons, in words.
    pub reasons: Vec<String>,
}

/// The lines of a section whose outline does not close.
#[derive(Clone, Debug)]
pub struct OpenLines {
    /// Name of the section.
    pub section: String,
    /// All that it draws, in drawing coordinates.
    pub curves: Vec<Curve>,
    /// Ends that meet nothing, each with the end nearest to it.
    pub gaps: Vec<(Point, Point)>,
}

/// Of more sections than these the working is written where it is asked for alone.
pub const MOST_IN_FULL: usize = 3;

/// What a sheet has beside the results.
#[derive(Clone, Debug, Default)]
pub struct Form {
    /// One page for each section: picture, results, findings and provenance, without the working.
    pub short: bool,
    /// Area and centroid by 4 strips and more and more, up to this number, for teaching.
    pub strips: Option<usize>,
    /// The title block.
    pub heading: Heading,
    /// Name of the file beside the sheet that has the [edges()] of pieces with too many for it.
    pub appendix: Option<String>,
    /// The page on which each section begins, where it is known: it stands in the list at the front then.
    pub pages: Vec<usize>,
}

/// The sheet for the sections of one drawing, as a page of HTML. The same input gives the same bytes.
pub fn html(source: &Provenance, measurements: &[Measurement], style: Style, form: &Form) -> String {
    let name = file_name(&source.name);
    let page = html! {
        (DOCTYPE) "\n"
        html lang="en" {
            (page::head(&format!("Section properties: {name}"), heading::running(&form.heading, source, measurements)))
            body {
                header {
                    h1 { "Section properties: " bdi { (name) } }
                    (heading::block(&form.heading, source))
                    p { (summary(source, measurements, style)) }
                }
                main {
                    @if measurements.len() > 1 { (contents(measurements, style, &form.pages)) }
                    (unmeasured(source))
                    @if measurements.len() > 1 { (front(source, measurements, style, form)) }
                    @let first = measurements.iter().position(|m| m.region().is_some());
                    @for (k, measurement) in measurements.iter().enumerate() {
                        (article(k + 1, first == Some(k), measurement, source, style, form))
                    }
                    @if measurements.len() == 1 {
                        @if !form.short { (read(source)) }
                        (left_out(measurements))
                    }
                }
                footer { p { (source.program) ", " (source.date) "." } }
            }
        }
        "\n"
    };
    markup::written(page)
}

/// What is said once, before several sections.
fn front(source: &Provenance, measurements: &[Measurement], style: Style, form: &Form) -> Markup {
    // Samples refer to the pattern within that picture.
    let picture = |(k, m): (usize, &Measurement)| {
        picture::section(m, &style, Look::Page, &format!("section-{}-picture", k + 1))
    };
    html! {
        @if form.short {
            @if let Some(picture) = measurements.iter().enumerate().find_map(picture) {
                h2 { "Signs in the pictures" }
                (signs(&picture))
            }
        }
        (read(source))
        (left_out(measurements))
    }
}

/// The name without folders.
fn file_name(path: &str) -> &str {
    path.rsplit(['/', '\\']).next().unwrap_or(path)
}

/// What may be wider than the page, and is moved there by itself.
fn wide(name: &str, content: &Markup) -> Markup {
    html! { div class="wide" tabindex="0" role="region" aria-label=(name) { (content) } }
}

/// The name of a section; that of the drawing where it has none.
fn plain_name(measurement: &Measurement) -> &str {
    match measurement.section.as_str() {
        "" => file_name(&measurement.drawing),
        section => section,
    }
}

/// The name of a section, with its label where it has one.
fn name(measurement: &Measurement) -> Markup {
    html! {
        bdi { (plain_name(measurement)) }
        @if let Some(label) = &measurement.label { " (" bdi { (label) } ")" }
    }
}

/// All of one section.
fn article(
    number: usize,
    has_signs: bool,
    measurement: &Measurement,
    source: &Provenance,
    style: Style,
    form: &Form,
) -> Markup {
    let id = format!("section-{number}-picture");
    html! {
        article id={ "section-" (number) } data-edges=[edge_count(measurement)] {
            h2 { (name(measurement)) }
            (status(measurement))
            @let picture = picture::section(measurement, &style, Look::Page, &id);
            @if let Some(picture) = &picture {
                (figure(picture, has_signs && !form.short))
            } @else if let Some(open) = source.open.iter().find(|open| open.section == measurement.section) {
                @if let Some(picture) = picture::open(measurement, open, &style, Look::Page, &id) {
                    (figure(&picture, false))
                }
            }
            @if measurement.properties().is_some() {
                @let figures = results::Figures::of(measurement, style);
                @if form.short {
                    (figures.short_table())
                    // What has no room in the picture.
                    @if picture.is_some_and(|picture| picture.is_short) { (places::of(measurement, style)) }
                    (fields::in_words(number, measurement, style))
                } @else {
                    (figures.table())
                    (fields::in_words(number, measurement, style))
                    (working(number, measurement, style, form))
                }
            }
            @if form.short { (read_in_short(source, measurement)) }
        }
    }
}

/// How many edges a section has; `None` for one that was not measured.
fn edge_count(measurement: &Measurement) -> Option<usize> {
    Some(measurement.region()?.rings().map(|(_, ring)| ring.curves().len()).sum())
}

/// The working of a section that was measured.
fn working(number: usize, measurement: &Measurement, style: Style, form: &Form) -> Markup {
    let Some(section) = measurement.properties() else { return Markup::default() };
    let bodies = of_one_material_each(measurement);
    // The sheet's own corner keeps figures short, wherever in the drawing the section lies.
    let corner = section.extent.min;
    html! {
        h3 { "Working" }
        (corner_line())
        (by_hand::working(measurement, style, form.appendix.as_deref()))
        // Strips know of one material.
        @if bodies.is_empty() {
            (by_strips_and_edges(&number.to_string(), measurement, corner, style, form))
        } @else {
            p {
                "The section has several materials. Each is worked out separately below; in the sums its area is \
                 multiplied by its modular ratio."
            }
            @for (k, body) in bodies.iter().enumerate() {
                h3 { "Working of " bdi { (body.section) } }
                (by_strips_and_edges(&format!("{number}-{}", k + 1), body, corner, style, form))
            }
            h3 { "All materials together" }
            (pieces::of_materials(measurement, style, corner))
        }
    }
}

/// A section of one material for each of which this one is made, named after it; none where there is one material.
fn of_one_material_each(measurement: &Measurement) -> Vec<Measurement> {
    let Ok(measured) = &measurement.result else { return Vec::new() };
    let of_material = |body: &MaterialBody| {
        let pieces = measurement.pieces.iter().filter(|piece| piece.material() == body.material);
        Measurement {
            section: body.material.clone(),
            result: Ok(MeasuredSection::new(body.properties.clone(), body.region.clone())),
            pieces: pieces.cloned().collect(),
            findings: Vec::new(),
            ..measurement.clone()
        }
    };
    measured.bodies.iter().map(of_material).collect()
}

/// As many strips are drawn.
const DRAWN_STRIPS: usize = 16;

/// The working for a section of one material.
fn by_strips_and_edges(
    number: &str,
    measurement: &Measurement,
    corner: Point,
    style: Style,
    form: &Form,
) -> Markup {
    let Some(section) = measurement.properties() else { return Markup::default() };
    let factor = measurement.unit.millimetres() / style.unit.millimetres();
    let strips = |direction: StripDirection, word: &str| {
        let id = format!("section-{number}-{word}");
        picture::strips(measurement, &style, direction, DRAWN_STRIPS, Look::Page, &id)
    };
    let by_lines = polygon::working(measurement, corner, factor);
    html! {
        @match &by_lines {
            // On paper the working from the pieces is enough, but for those who teach.
            Some(by_lines) => {
                div class={ "teaching" @if form.strips.is_some() { " printed" } } {
                    (working::by_lines(by_lines, section, corner, factor, style))
                    @if form.strips.is_none() { p class="small" { "This part, by strips, is for teaching and is not printed." } }
                }
            }
            // Where every piece has a formula or its edges are listed, this is another way to the same figures.
            None => {
                @let is_listed = |ring: &Ring| {
                    ring.curves().len() <= MOST_EDGES || Shape::of(ring, corner, factor).is_some()
                };
                @let all_listed = measurement.pieces.iter().all(|piece| is_listed(&piece.piece.ring));
                div class={
                    @if all_listed { "teaching" } @else { "edge-working" } @if form.strips.is_some() { " printed" }
                } {
                    h4 { "Along the edge" }
                    (working::along_the_edge(measurement, corner, factor, style))
                }
            }
        }
        @if let Some(most) = form.strips {
            div class="together" {
            h4 { "For teaching: more and more strips of equal width" }
            div class="pair" {
                @for (direction, word) in [(StripDirection::Upright, "upright"), (StripDirection::Flat, "flat")] {
                    @if let Some(cut) = strips(direction, word) { (figure(&cut, false)) }
                }
            }
            }
            (working::converging(measurement, corner, factor, style, most))
        }
    }
}

/// A picture, with its signs in words where it does not have them within.
fn figure(picture: &Picture, with_signs: bool) -> Markup {
    let width = picture.width.ceil();
    html! {
        figure style={ "--width:" (width) "px" } {
            (markup::picture(picture))
            @if with_signs { figcaption { (signs(picture)) } }
        }
    }
}

/// What the lines and marks of a picture mean.
fn signs(picture: &Picture) -> Markup {
    html! { ul class="signs" { @for sign in &picture.legend { li { (markup::sample(sign)) " " (sign.words) } } } }
}

/// Where x′ and y′ are measured from.
fn corner_line() -> Markup {
    html! {
        p {
            i { "x′" } " = " i { "x" } " − " i { "x" } sub { "min" } " and " i { "y′" } " = " i { "y" } " − " i { "y" }
            sub { "min" } " are measured from the lower left corner of the section’s extent. Each value is rounded as it is \
             written, and the next one is calculated from the rounded values."
        }
    }
}

/// Status and findings of a section.
fn status(measurement: &Measurement) -> Markup {
    let words = match measurement.status() {
        Status::Ok => "Status: ok, no warnings.",
        Status::Warning => "Status: measured with a warning. Read it before you use a figure.",
        Status::Failed => "Status: not measured, for the reasons below.",
    };
    html! {
        p class={ "status " (measurement.status().word()) } { strong { (words) } }
        (findings(&measurement.findings))
    }
}

/// Findings in full; nothing where there are none.
fn findings(findings: &[Finding]) -> Markup {
    let word = |finding: &Finding| match finding.severity {
        Severity::Note => "Note",
        Severity::Warning => "Warning",
        Severity::Failure => "Failure",
    };
    html! {
        @if !findings.is_empty() {
            ul class="findings" {
                @for finding in findings {
                    li { strong { (word(finding)) ":" } " " bdi { (figures::with_minus(&finding.to_string())) } }
                }
            }
        }
    }
}

/// What was read.
fn read(source: &Provenance) -> Markup {
    let known = |text: &str| (!text.is_empty()).then(|| html! { (text) });
    let layers = html! {
        @for (k, layer) in source.layers.iter().enumerate() {
            @if k > 0 { ", " }
            bdi { (layer) }
        }
    };
    let rows = [
        ("Drawing", Some(html! { bdi { (source.name) } })),
        ("SHA-256", Some(html! { code { (source.sha256) } })),
        ("Size", Some(html! { (figures::grouped(&source.bytes.to_string())) " bytes" })),
        ("Format", known(&source.format)),
        ("Unit", Some(html! { (source.unit.name()) ": " (source.unit_source) })),
        ("Layers", (!source.layers.is_empty()).then_some(layers)),
        ("How measured", known(&source.options)),
        ("Written by", known(&source.program)),
        ("Date", known(&source.date)),
    ];
    html! {
        section class="read" {
            h2 { "What was read" }
            table {
                tbody {
                    @for (head, text) in &rows {
                        @if let Some(text) = text { tr { th scope="row" { (head) } td { (text) } } }
                    }
                }
            }
            (findings(&source.findings))
        }
    }
}

/// What was read, in a line at the foot of a section.
fn read_in_short(source: &Provenance, measurement: &Measurement) -> Markup {
    html! {
        p class="small provenance" {
            "Read from " bdi { (source.name) }
            @if !measurement.layer.is_empty() { ", layer " bdi { (measurement.layer) } }
            ", SHA-256 " code { (source.sha256) } ", " (source.format) ". Unit: " (source.unit.name()) ", "
            (source.unit_source) ". " bdi { (source.options) } ". " (source.program) ", " (source.date) "."
        }
    }
}
