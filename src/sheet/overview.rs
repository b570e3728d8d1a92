//! What a sheet says of all its sections, around them: how many there are, a list of them, what was not measured, and what a
//! reader does not find.

use super::markup::{Markup, html};
use super::{Provenance, figures, letters, name, wide};
use crate::finding::Severity;
use crate::measure::{Measurement, Status};
use crate::schedule::{CAUTION, ColumnKey, Row, Style, Totals};

/// How many sections there are, of what status, and in which unit.
pub(super) fn summary(source: &Provenance, measurements: &[Measurement], style: Style) -> String {
    let count = |status: Status| measurements.iter().filter(|m| m.status() == status).count();
    let (warned, failed) = (count(Status::Warning), count(Status::Failed));
    let sections = match measurements.len() {
        1 => "One section".to_owned(),
        many => format!("{many} sections"),
    };
    let names = measurements.iter().flat_map(|m| [Some(m.section.as_str()), m.label.as_deref()]).flatten();
    let font = names.chain([source.name.as_str()]).find_map(letters::font_for);
    let font = match font {
        Some(font) => {
            format!(" Some names need the font {font}: if you see boxes in their place, install it.")
        }
        None => String::new(),
    };
    let mut words = vec![sections];
    if warned > 0 {
        words.push(format!("{warned} with warnings"));
    }
    if failed > 0 {
        words.push(format!("{failed} not measured"));
    }
    match source.unmeasured.len() {
        0 => {}
        1 => words.push("one layer left out".to_owned()),
        more => words.push(format!("{more} layers left out")),
    }
    format!(
        "{}. All lengths in {}; x runs to the right and y up, as drawn. {CAUTION}{font}",
        words.join(", "),
        style.unit.plural()
    )
}

/// A list of the sections with their status and main figures.
pub(super) fn contents(measurements: &[Measurement], style: Style, pages: &[usize]) -> Markup {
    let masses = [ColumnKey::Mass, ColumnKey::MassPerLength];
    let mass = masses
        .into_iter()
        .find(|key| measurements.iter().any(|m| !figures::cell(key.column(), m, style).is_empty()));
    let head = |key: ColumnKey, words: &str| {
        let unit = figures::unit_markup(key.column().quantity, style.units());
        html! {
            th scope="col" class="n" { (words) " " br; span class="unit" { @if let Some(unit) = &unit { (unit) } } }
        }
    };
    let figure = |key: ColumnKey, measurement: &Measurement| {
        html! { td class="n" { (figures::grouped(&figures::cell(key.column(), measurement, style))) } }
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
                            th scope="col" class="n" { "No." }
                            th scope="col" { "Section" }
                            th scope="col" { "Status" }
                            (head(ColumnKey::Area, "Area"))
                            @if let Some(mass) = mass { (head(mass, "Mass")) }
                            @if !pages.is_empty() { th scope="col" class="n" { "Page" } }
                        }
                    }
                    tbody {
                        @for (k, measurement) in measurements.iter().enumerate() {
                            tr class=(measurement.status().word()) {
                                td class="n" { (k + 1) }
                                th scope="row" {
                                    a class="name" href={ "#section-" (k + 1) } { (name(measurement)) }
                                }
                                td { (in_short(measurement)) }
                                (figure(ColumnKey::Area, measurement))
                                @if let Some(mass) = mass { (figure(mass, measurement)) }
                                @if !pages.is_empty() {
                                    td class="n" { @if let Some(page) = pages.get(k) { (page) } }
                                }
                            }
                        }
                    }
                }
            }))
            @if measurements.iter().any(|m| m.properties().is_some()) { p { "Total: " (figures::grouped_words(&totals.sentence())) "." } }
        }
    }
}

/// The status in words, with what a warning or a failure is about.
fn in_short(measurement: &Measurement) -> Markup {
    let worst = |severity: Severity| measurement.findings.iter().find(|f| f.severity == severity);
    let (word, finding) = match measurement.status() {
        Status::Ok => ("ok", None),
        Status::Warning => ("warning", worst(Severity::Warning)),
        Status::Failed => ("not measured", worst(Severity::Failure)),
    };
    html! { strong { (word) } @if let Some(finding) = finding { ": " bdi { (figures::with_minus(&finding.message())) } } }
}

/// Layers of the drawing that were not measured, with the reasons.
pub(super) fn unmeasured(source: &Provenance) -> Markup {
    html! {
        @if !source.unmeasured.is_empty() {
            section class="unmeasured" {
                h2 { "Not measured" }
                ul class="findings" {
                    @for layer in &source.unmeasured {
                        li { strong { "Layer " bdi { (layer.name) } ":" } " " bdi { (figures::with_minus(&layer.reasons.join("; "))) } }
                    }
                }
            }
        }
    }
}

/// What a reader might look for, and does not find.
pub(super) fn left_out(measurements: &[Measurement]) -> Markup {
    let has_all = measurements.iter().all(|m| m.properties().is_none() || m.field().is_some());
    html! {
        section class="left-out" {
            p class="small" {
                strong { "What is not on this sheet:" }
                @if !has_all {
                    " torsion and warping constants, shear centre and shear areas, unless they are given above,"
                }
                " buckling, effective widths of slender parts, net areas at bolts, stresses under loads, and any resistance. \
                 This is geometry of what was drawn, not a design check."
            }
        }
    }
}
