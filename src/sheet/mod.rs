//! The calculation sheet: one page of HTML for the sections of a drawing, with pictures, results in words, pieces, the
//! working by strips and along the edge, what was read, and what the reader must know. It needs no network and no script.

mod figures;
mod letters;
mod markup;
mod math;
mod page;
pub mod picture;
mod pieces;
mod png;
mod polygon;
mod results;
mod working;

pub use png::{LARGEST_WIDTH, PngError, png};

use crate::drawing::LengthUnit;
use crate::finding::{Finding, Severity};
use crate::geometry::Point;
use crate::measure::{MaterialBody, MeasuredSection, Measurement, Status};
use crate::schedule::{CAUTION, ColumnKey, Row, Style, Totals};
use markup::{DOCTYPE, Markup, html};
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
    /// The options that differ from what is usual, as they were given.
    pub options: String,
    /// What wrote the sheet: name and version.
    pub program: String,
    /// The date of the sheet.
    pub date: String,
    /// What was found in the drawing beside what belongs to one section.
    pub findings: Vec<Finding>,
}

/// The sheet for the sections of one drawing, as a page of HTML. The same input gives the same bytes.
pub fn html(source: &Provenance, measurements: &[Measurement], style: Style) -> String {
    let name = file_name(&source.name);
    let count = match measurements.len() {
        1 => "One section".to_owned(),
        many => format!("{many} sections"),
    };
    let page = html! {
        (DOCTYPE) "\n"
        html lang="en" {
            (page::head(&format!("Section properties: {name}")))
            body {
                header {
                    h1 { "Section properties" br; bdi { (name) } }
                    p {
                        (count) ", " (source.date) ". Lengths are in " (style.unit.symbol())
                        "; x runs to the right and y up, as drawn."
                    }
                    p class="caution" role="note" { (CAUTION) }
                }
                main {
                    @if measurements.len() > 1 { (contents(measurements, style)) }
                    @for (k, measurement) in measurements.iter().enumerate() {
                        (article(k + 1, measurement, style))
                    }
                    (read(source))
                    (signatures())
                }
                footer {
                    p { (CAUTION) }
                    p { (source.program) ", " (source.date) }
                }
            }
        }
        "\n"
    };
    markup::written(page)
}

/// The name without folders.
fn file_name(path: &str) -> &str {
    path.rsplit(['/', '\\']).next().unwrap_or(path)
}

/// A list of the sections with their main figures.
fn contents(measurements: &[Measurement], style: Style) -> Markup {
    // Words, or a letter with what stands below it.
    const FIGURES: &[(ColumnKey, &str, &str)] = &[
        (ColumnKey::Status, "Status", ""),
        (ColumnKey::Area, "Area", ""),
        (ColumnKey::CentroidX, "x", "C"),
        (ColumnKey::CentroidY, "y", "C"),
        (ColumnKey::SecondMomentX, "I", "x"),
        (ColumnKey::SecondMomentY, "I", "y"),
    ];
    let head = |key: ColumnKey, words: &str, below: &str| {
        let unit = figures::unit_markup(key.column().quantity, style.units());
        html! {
            th scope="col" class=[unit.as_ref().map(|_| "n")] {
                @if below.is_empty() { (words) } @else { i { (words) } sub { (below) } }
                br;
                span class="unit" { @if let Some(unit) = &unit { (unit) } }
            }
        }
    };
    let figure = |key: ColumnKey, measurement: &Measurement| {
        let text = figures::cell(key.column(), measurement, style);
        match key {
            ColumnKey::Status => html! { td { (text) } },
            _ => html! { td class="n" { (figures::grouped(&text)) } },
        }
    };
    let mut totals = Totals::of(style);
    measurements.iter().for_each(|measurement| totals.add(&Row::of(measurement, style)));
    html! {
        nav aria-label="Sections" {
            (wide("Sections", &html! {
                table class="figures" {
                    caption { "Sections" }
                    thead {
                        tr {
                            th scope="col" { "Section" }
                            @for (key, words, below) in FIGURES { (head(*key, words, below)) }
                        }
                    }
                    tbody {
                        @for (k, measurement) in measurements.iter().enumerate() {
                            tr {
                                th scope="row" {
                                    a class="name" href={ "#section-" (k + 1) } { (name(measurement)) }
                                }
                                @for (key, ..) in FIGURES { (figure(*key, measurement)) }
                            }
                        }
                    }
                }
            }))
            p { "Total: " (totals.sentence()) "." }
        }
    }
}

/// What may be wider than the page, and is moved there by itself.
fn wide(name: &str, content: &Markup) -> Markup {
    html! { div class="wide" tabindex="0" role="region" aria-label=(name) { (content) } }
}

/// The name of a section, with its label where it has one.
fn name(measurement: &Measurement) -> Markup {
    let section = match measurement.section.as_str() {
        "" => file_name(&measurement.drawing),
        section => section,
    };
    html! {
        bdi { (section) }
        @if let Some(label) = &measurement.label { " (" bdi { (label) } ")" }
    }
}

/// All of one section.
fn article(number: usize, measurement: &Measurement, style: Style) -> Markup {
    html! {
        article id={ "section-" (number) } {
            h2 { (name(measurement)) }
            (status(measurement))
            @if let Some(section) = measurement.properties() {
                @if let Some(picture) =
                    picture::section(measurement, &style, Look::Page, &format!("section-{number}-picture"))
                {
                    (figure(&picture, true))
                }
                (results::table(measurement, style))
                h3 { "Working" }
                (corner_line(measurement, style))
                // The sheet's own corner keeps figures short, wherever in the drawing the section lies.
                (pieces::table(measurement, style, section.extent.min))
                @let bodies = of_one_material_each(measurement);
                // Strips know of one material.
                @if bodies.is_empty() {
                    (by_strips_and_edges(&number.to_string(), measurement, section.extent.min, style))
                } @else {
                    p {
                        "The section is of several materials. Each is worked out by itself below; in the sums its area counts \
                         as often as its modular ratio says."
                    }
                    @for (k, body) in bodies.iter().enumerate() {
                        h3 { "Working of " bdi { (body.section) } }
                        (by_strips_and_edges(&format!("{number}-{}", k + 1), body, section.extent.min, style))
                    }
                    h3 { "All materials together" }
                    (pieces::of_materials(measurement, style, section.extent.min))
                }
            }
        }
    }
}

/// A section of one material for each of which this one is made, named after it; none where there is one material.
fn of_one_material_each(measurement: &Measurement) -> Vec<Measurement> {
    let Ok(measured) = &measurement.result else { return Vec::new() };
    let of_material = |body: &MaterialBody| {
        let pieces = measurement.pieces.iter().filter(|piece| piece.material == body.material);
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
fn by_strips_and_edges(number: &str, measurement: &Measurement, corner: Point, style: Style) -> Markup {
    let Some(section) = measurement.properties() else { return Markup::default() };
    let factor = measurement.unit.millimetres() / style.unit.millimetres();
    let strips = |direction: StripDirection, word: &str| {
        let id = format!("section-{number}-{word}");
        picture::strips(measurement, &style, direction, DRAWN_STRIPS, Look::Page, &id)
    };
    let pair = [strips(StripDirection::Upright, "upright"), strips(StripDirection::Flat, "flat")];
    html! {
        @if let Some(working) = polygon::working(measurement, corner, factor) {
            (working::by_lines(&working, section, corner, factor, style))
        }
        h4 { "Strips of equal width" }
        div class="pair" { @for cut in pair.iter().flatten() { (figure(cut, false)) } }
        (working::converging(measurement, corner, factor, style))
        h4 { "Along the edge" }
        (working::along_the_edge(measurement, corner, factor, style))
    }
}

/// A picture, with its signs in words where it does not have them within.
fn figure(picture: &Picture, signs: bool) -> Markup {
    html! {
        figure style={ "max-width:" (picture.width.ceil()) "px" } {
            (markup::picture(picture))
            @if signs {
                figcaption {
                    ul class="signs" {
                        @for sign in &picture.legend { li { (markup::sample(sign)) " " (sign.words) } }
                    }
                }
            }
        }
    }
}

/// Where the sheet's x and y are measured from.
fn corner_line(measurement: &Measurement, style: Style) -> Markup {
    let place = |key: ColumnKey| figures::grouped(&figures::cell(key.column(), measurement, style));
    html! {
        p {
            "Below, " i { "x" } " and " i { "y" } " are measured from the lower left corner of the section’s extent, \
             which lies at (" (place(ColumnKey::XMin)) ", " (place(ColumnKey::YMin)) ") " (style.unit.symbol())
            " in the drawing. Figures are rounded one by one, so that a sum may differ in its last digit."
        }
    }
}

/// Status and findings of a section.
fn status(measurement: &Measurement) -> Markup {
    let words = match measurement.status() {
        Status::Ok => "Measured.",
        Status::Warning => "Measured, but with a warning: read what was found before using a figure.",
        Status::Failed => "Not measured.",
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
                    li { strong { (word(finding)) ":" } " " bdi { (finding.to_string()) } }
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
        ("Layers measured", (!source.layers.is_empty()).then_some(layers)),
        ("Options", known(&source.options)),
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

/// Room for names and dates.
fn signatures() -> Markup {
    html! {
        section class="signatures" {
            h2 { "Checked" }
            table {
                thead {
                    tr {
                        th scope="col" {}
                        @for head in ["Name", "Date", "Signature"] { th scope="col" { (head) } }
                    }
                }
                tbody {
                    @for head in ["Prepared by", "Checked by"] {
                        tr { th scope="row" { (head) } td {} td {} td {} }
                    }
                }
            }
        }
    }
}
