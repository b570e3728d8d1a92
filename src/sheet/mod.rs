//! The calculation sheet: one page of HTML for the sections of a drawing, with pictures, results in words, pieces, the
//! working by strips and along the edge, what was read, and what the reader must know. It needs no network and no script.

mod figures;
pub(crate) mod markup;
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
use crate::measure::{Measurement, Status};
use crate::schedule::{CAUTION, ColumnKey, Style};
use markup::escaped;
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
    let title = format!("Section properties: {}", file_name(&source.name));
    let mut out = page::head(&title);
    out.push_str("<header>");
    out.push_str(&format!("<h1>Section properties<br><bdi>{}</bdi></h1>", escaped(file_name(&source.name))));
    out.push_str(&format!(
        "<p>{}, {}. Lengths are in {}; x runs to the right and y up, as drawn.</p>",
        match measurements.len() {
            1 => "One section".to_owned(),
            many => format!("{many} sections"),
        },
        escaped(&source.date),
        escaped(style.unit.symbol())
    ));
    out.push_str(&format!("<p class=\"caution\" role=\"note\">{}</p>", escaped(CAUTION)));
    out.push_str("</header><main>");
    if measurements.len() > 1 {
        out.push_str(&contents(measurements, style));
    }
    for (k, measurement) in measurements.iter().enumerate() {
        out.push_str(&article(k + 1, measurement, style));
    }
    out.push_str(&read(source));
    out.push_str(SIGNATURES);
    out.push_str("</main>");
    out.push_str(&format!(
        "<footer><p>{}</p><p>{}, {}</p></footer></body></html>\n",
        escaped(CAUTION),
        escaped(&source.program),
        escaped(&source.date)
    ));
    out
}

/// The name without folders.
fn file_name(path: &str) -> &str {
    path.rsplit(['/', '\\']).next().unwrap_or(path)
}

/// A list of the sections with their main figures.
fn contents(measurements: &[Measurement], style: Style) -> String {
    const FIGURES: &[(ColumnKey, &str)] = &[
        (ColumnKey::Status, "Status"),
        (ColumnKey::Area, "Area"),
        (ColumnKey::CentroidX, "<i>x</i><sub>C</sub>"),
        (ColumnKey::CentroidY, "<i>y</i><sub>C</sub>"),
        (ColumnKey::SecondMomentX, "<i>I</i><sub>x</sub>"),
        (ColumnKey::SecondMomentY, "<i>I</i><sub>y</sub>"),
    ];
    let mut out = String::from(
        "<nav aria-label=\"Sections\"><div class=\"wide\" tabindex=\"0\" role=\"region\" aria-label=\"Sections\">\
         <table class=\"figures\"><caption>Sections</caption><thead><tr><th scope=\"col\">Section</th>",
    );
    for (key, words) in FIGURES {
        let unit = figures::unit_markup(key.column().quantity, style.unit);
        let class = if unit.is_empty() { "" } else { " class=\"n\"" };
        out.push_str(&format!("<th scope=\"col\"{class}>{words}<br><span class=\"unit\">{unit}</span></th>"));
    }
    out.push_str("</tr></thead><tbody>");
    for (k, measurement) in measurements.iter().enumerate() {
        out.push_str(&format!(
            "<tr><th scope=\"row\"><a class=\"name\" href=\"#section-{}\">{}</a></th>",
            k + 1,
            name(measurement)
        ));
        for (key, _) in FIGURES {
            let text = figures::cell(key.column(), measurement, style);
            match key {
                ColumnKey::Status => out.push_str(&format!("<td>{}</td>", escaped(&text))),
                _ => out.push_str(&format!("<td class=\"n\">{}</td>", figures::grouped(&text))),
            }
        }
        out.push_str("</tr>");
    }
    out.push_str("</tbody></table></div></nav>");
    out
}

/// The name of a section, with its label where it has one.
fn name(measurement: &Measurement) -> String {
    let section = match measurement.section.as_str() {
        "" => file_name(&measurement.drawing),
        section => section,
    };
    match &measurement.label {
        Some(label) => format!("<bdi>{}</bdi> (<bdi>{}</bdi>)", escaped(section), escaped(label)),
        None => format!("<bdi>{}</bdi>", escaped(section)),
    }
}

/// All of one section.
fn article(number: usize, measurement: &Measurement, style: Style) -> String {
    let mut out = format!("<article id=\"section-{number}\"><h2>{}</h2>", name(measurement));
    out.push_str(&status(measurement));
    if let Some(section) = measurement.properties() {
        let factor = measurement.unit.millimetres() / style.unit.millimetres();
        // The sheet's own corner keeps figures short, wherever in the drawing the section lies.
        let corner = section.extent.min;
        if let Some(picture) =
            picture::section(measurement, &style, Look::Page, &format!("section-{number}-picture"))
        {
            out.push_str(&figure(&picture, true));
        }
        out.push_str(&results::table(measurement, style));
        out.push_str("<h3>Working</h3>");
        out.push_str(&corner_line(measurement, style));
        out.push_str(&pieces::table(measurement, style, corner));
        // Strips know of one material.
        if measurement.pieces.iter().all(|piece| piece.ratio == 1.0) {
            if let Some(working) = polygon::working(measurement, corner, factor) {
                out.push_str(&working::by_lines(&working, section, corner, factor, style));
            }
            out.push_str("<h4>Strips of equal width</h4><div class=\"pair\">");
            for (direction, word) in [(StripDirection::Upright, "upright"), (StripDirection::Flat, "flat")] {
                let id = format!("section-{number}-{word}");
                let cut = picture::strips(measurement, &style, direction, DRAWN_STRIPS, Look::Page, &id);
                out.extend(cut.iter().map(|cut| figure(cut, false)));
            }
            out.push_str("</div>");
            out.push_str(&working::converging(measurement, corner, factor, style));
            out.push_str("<h4>Along the edge</h4>");
            out.push_str(&working::along_the_edge(measurement, corner, factor, style));
        } else {
            out.push_str(
                "<p>The section is of several materials: its figures are those of the pieces above, each area counted as \
                 often as its modular ratio says.</p>",
            );
        }
    }
    out.push_str("</article>");
    out
}

/// As many strips are drawn.
const DRAWN_STRIPS: usize = 16;

/// A picture, with its signs in words where it does not have them within.
fn figure(picture: &Picture, signs: bool) -> String {
    let mut out = format!("<figure style=\"max-width:{}px\">{}", picture.width.ceil(), picture.svg);
    if signs {
        out.push_str("<figcaption><ul class=\"signs\">");
        for sign in &picture.legend {
            out.push_str(&format!("<li>{} {}</li>", sign.sample, escaped(&sign.words)));
        }
        out.push_str("</ul></figcaption>");
    }
    out.push_str("</figure>");
    out
}

/// Where the sheet's x and y are measured from.
fn corner_line(measurement: &Measurement, style: Style) -> String {
    let place = |key: ColumnKey| figures::grouped(&figures::cell(key.column(), measurement, style));
    let unit = style.unit.symbol();
    format!(
        "<p>Below, <i>x</i> and <i>y</i> are measured from the lower left corner of the section’s extent, which lies at \
         ({}, {}) {unit} in the drawing. Figures are rounded one by one, so that a sum may differ in its last digit.</p>",
        place(ColumnKey::XMin),
        place(ColumnKey::YMin)
    )
}

/// Status and findings of a section.
fn status(measurement: &Measurement) -> String {
    let words = match measurement.status() {
        Status::Ok => "Measured.",
        Status::Warning => "Measured, but with a warning: read what was found before using a figure.",
        Status::Failed => "Not measured.",
    };
    let mut out = format!("<p class=\"status {}\"><strong>{words}</strong></p>", measurement.status().word());
    out.push_str(&findings(&measurement.findings));
    out
}

/// Findings in full; nothing where there are none.
fn findings(findings: &[Finding]) -> String {
    if findings.is_empty() {
        return String::new();
    }
    let mut out = String::from("<ul class=\"findings\">");
    for finding in findings {
        let word = match finding.severity {
            Severity::Note => "Note",
            Severity::Warning => "Warning",
            Severity::Failure => "Failure",
        };
        let text = escaped(&finding.to_string());
        out.push_str(&format!("<li><strong>{word}:</strong> <bdi>{text}</bdi></li>"));
    }
    out.push_str("</ul>");
    out
}

/// What was read.
fn read(source: &Provenance) -> String {
    let layers: Vec<String> =
        source.layers.iter().map(|layer| format!("<bdi>{}</bdi>", escaped(layer))).collect();
    let rows = [
        ("Drawing", format!("<bdi>{}</bdi>", escaped(&source.name))),
        ("SHA-256", format!("<code>{}</code>", escaped(&source.sha256))),
        ("Size", format!("{} bytes", figures::grouped(&source.bytes.to_string()))),
        ("Format", escaped(&source.format)),
        ("Unit", format!("{}: {}", escaped(source.unit.name()), escaped(&source.unit_source))),
        ("Layers measured", layers.join(", ")),
        ("Options", escaped(&source.options)),
        ("Written by", escaped(&source.program)),
        ("Date", escaped(&source.date)),
    ];
    let mut out = String::from("<section class=\"read\"><h2>What was read</h2><table><tbody>");
    for (head, text) in rows.iter().filter(|(_, text)| !text.is_empty()) {
        out.push_str(&format!("<tr><th scope=\"row\">{head}</th><td>{text}</td></tr>"));
    }
    out.push_str("</tbody></table>");
    out.push_str(&findings(&source.findings));
    out.push_str("</section>");
    out
}

/// Room for names and dates.
const SIGNATURES: &str = "<section class=\"signatures\"><h2>Checked</h2><table><thead><tr><th scope=\"col\"></th>\
    <th scope=\"col\">Name</th><th scope=\"col\">Date</th><th scope=\"col\">Signature</th></tr></thead><tbody>\
    <tr><th scope=\"row\">Prepared by</th><td></td><td></td><td></td></tr>\
    <tr><th scope=\"row\">Checked by</th><td></td><td></td><td></td></tr></tbody></table></section>";
