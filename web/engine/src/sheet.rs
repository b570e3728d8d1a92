//! The calculation sheet, byte for byte as the command writes it of the same drawing with the same options.

use tracearm::drawing::Drawing;
use tracearm::finding::{Code, Finding, advice_with_options};
use tracearm::library::{Unmatched, sha256, unmatched};
use tracearm::measure;
use tracearm::sheet::{self, Form, Heading, Measured, Provenance, Unmeasured};

use crate::options::{Measuring, Refusal};

/// What is asked of a sheet.
pub struct Asked<'a> {
    pub name: &'a str,
    pub date: &'a str,
    pub section: Option<&'a str>,
    /// In short or with the working; by the number of sections where it is not said.
    pub length: Option<bool>,
    /// Name of the file beside the sheet that has the edges of long outlines.
    pub appendix: &'a str,
}

/// A sheet, and what stands in the file beside it; nothing where it needs none.
pub struct Written {
    pub page: String,
    pub edges: Option<String>,
}

/// The sheet of a drawing.
pub fn written(asked: &Asked, measuring: &Measuring, bytes: &[u8]) -> Result<Written, Refusal> {
    let name = asked.name;
    let drawing = Drawing::read_with(bytes, &measuring.reading)
        .map_err(|error| Refusal::of(format!("{name}: {}", error.finding().words(advice_with_options))))?;
    let layers: Vec<String> = drawing.layers.iter().map(|layer| layer.name.clone()).collect();
    let without = unmatched(&layers, &measuring.options);
    let findings: Vec<_> = without
        .iter()
        .map(|pattern| Unmatched::finding(pattern, layers.iter().map(String::as_str)))
        .collect();
    let mut options = measuring.options.clone();
    if let Some(field) = &mut options.field {
        field.picture = true;
    }
    let mut measured = measure::drawing(name, &drawing, &options);
    let mut sections = std::mem::take(&mut measured.measurements);
    sections.iter_mut().for_each(|section| section.findings.extend(findings.iter().cloned()));
    let mut unmeasured = Unmeasured::of(&measured);
    if let Some(wanted) = asked.section {
        sections.retain(|section| section.section == wanted);
        unmeasured.clear();
    }
    if sections.is_empty() {
        let finding = Finding::of(Code::NoSection);
        return Err(Refusal::of(format!("{name}: {}", finding.words(advice_with_options))));
    }
    let measured = Measured {
        name,
        bytes: bytes.len() as u64,
        sha256: &sha256(bytes),
        drawing: &drawing,
        options: &options,
        asked: sheet::Asked {
            job: None,
            layers: &measuring.layers,
            skip: &measuring.skip,
            void_layers: &measuring.void_layers,
            section: asked.section,
        },
        date: asked.date,
    };
    let source = Provenance::of(&measured, &sections, unmeasured);
    let short = asked.length.unwrap_or(sections.len() > sheet::MOST_IN_FULL);
    let has_long_tables = !short && sheet::has_unlisted_edges(&sections);
    let form = Form {
        short,
        strips: None,
        heading: Heading::default(),
        appendix: has_long_tables.then(|| asked.appendix.to_owned()),
        pages: Vec::new(),
    };
    Ok(Written {
        page: sheet::html(&source, &sections, measuring.style, &form),
        edges: has_long_tables.then(|| sheet::edges(&sections, measuring.style)),
    })
}
