//! The calculation sheet, byte for byte as the command writes it of the same drawing with the same options.

use tracearm::drawing::{Drawing, Entity};
use tracearm::finding::{Code, Severity, advice_with_options};
use tracearm::geometry::{Bounds, Curve, Point};
use tracearm::library::{Unmatched, sha256, unmatched};
use tracearm::measure::{self, Hatches, MeasuredDrawing, Measurement, Options, Per, Traced, Widths};
use tracearm::outline::OpenChain;
use tracearm::sheet::{self, Form, Heading, OpenLines, Provenance, Unmeasured};

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
    /// Of so many sections at most the working is written without being asked for.
    const FULL: usize = 3;
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
    let mut unmeasured = left(measured);
    if let Some(wanted) = asked.section {
        sections.retain(|section| section.section == wanted);
        unmeasured.clear();
    }
    if sections.is_empty() {
        let finding = tracearm::finding::Finding::of(Code::NoSection);
        return Err(Refusal::of(format!("{name}: {}", finding.words(advice_with_options))));
    }
    let source = source(asked, measuring, bytes, &drawing, &sections, unmeasured);
    let short = asked.length.unwrap_or(sections.len() > FULL);
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

/// The version of the program that this is built of.
fn version() -> &'static str {
    let package = include_str!("../../../Cargo.toml");
    let line = package.lines().find_map(|line| line.strip_prefix("version = \""));
    line.and_then(|line| line.strip_suffix('"')).unwrap_or_default()
}

/// The layers that were not measured.
fn left(measured: MeasuredDrawing) -> Vec<Unmeasured> {
    let hidden = measured
        .hidden
        .into_iter()
        .map(|name| Unmeasured { name, reasons: vec!["it is off or frozen in the drawing".to_owned()] });
    let without = measured.without_outline.into_iter().map(|layer| {
        let why = match layer.open {
            0 => "nothing on it could be an outline",
            _ => "no outline on it closes",
        };
        let findings = layer.findings.iter().map(ToString::to_string);
        Unmeasured { reasons: std::iter::once(why.to_owned()).chain(findings).collect(), name: layer.name }
    });
    without.chain(hidden).collect()
}

fn source(
    asked: &Asked,
    measuring: &Measuring,
    bytes: &[u8],
    drawing: &Drawing,
    sections: &[Measurement],
    unmeasured: Vec<Unmeasured>,
) -> Provenance {
    let options = &measuring.options;
    let known = measure::drawing_unit(drawing, options.drawing_unit);
    let extents = sections.iter().filter_map(|m| m.properties()).map(|section| section.extent);
    let assumed = known.finding(&extents.fold(Bounds::EMPTY, Bounds::union));
    let unit_source = match (&assumed, options.drawing_unit, drawing.units.insunits) {
        (_, Some(_), _) => "as stated when it was measured".to_owned(),
        (Some(finding), ..) => format!("{}; confirm it before signing", finding.message()),
        (None, None, Some(code)) => format!("from the drawing’s header ($INSUNITS {code})"),
        (None, None, None) => String::new(),
    };
    let mut layers: Vec<String> = sections.iter().map(|m| m.layer.clone()).collect();
    layers.dedup();
    let version_of_drawing = match (drawing.version.release(), drawing.version.code()) {
        (Some(release), Some(code)) => format!("{release} ({code})"),
        (None, Some(code)) => code.to_owned(),
        _ => "no version named".to_owned(),
    };
    let general = drawing.findings.iter().filter(|f| f.place.layer.is_none() && f.severity >= Severity::Note);
    Provenance {
        name: asked.name.to_owned(),
        sha256: sha256(bytes),
        bytes: bytes.len() as u64,
        format: format!("DXF {version_of_drawing}, {}", drawing.form),
        unit: known.unit,
        unit_source,
        layers,
        options: how_measured(asked, measuring),
        program: format!("tracearm {}", version()),
        date: asked.date.to_owned(),
        findings: general.cloned().collect(),
        unmeasured,
        open: sections.iter().filter_map(|section| open_lines(section, drawing, options)).collect(),
    }
}

/// What a section draws that has no region; `None` for one that has.
fn open_lines(section: &Measurement, drawing: &Drawing, options: &Options) -> Option<OpenLines> {
    if section.region().is_some() {
        return None;
    }
    // Several layers are joined by +, which may stand in a name too.
    let is_own = |name: &str| section.layer == name || section.layer.split('+').any(|part| part == name);
    let of_layer =
        |entity: &&Entity| drawing.layers.get(entity.layer.index()).is_some_and(|layer| is_own(&layer.name));
    let entities: Vec<&Entity> = drawing.entities.iter().filter(of_layer).collect();
    let curves: Vec<Curve> =
        entities.iter().flat_map(|entity| measure::drawn(entity)).flat_map(|path| path.curves).collect();
    if curves.is_empty() {
        return None;
    }
    let tolerance = options.join_mm / section.unit.millimetres();
    let traced = Traced::of(&entities, tolerance, options.hatches, options.widths);
    Some(OpenLines { section: section.section.clone(), curves, gaps: gaps(&traced.open) })
}

/// Each open end with the end nearest to it, each gap once.
fn gaps(chains: &[OpenChain]) -> Vec<(Point, Point)> {
    let ends = chains
        .iter()
        .flat_map(|chain| [(chain.start, chain.nearest_to_start), (chain.end, chain.nearest_to_end)]);
    let mut gaps: Vec<(Point, Point)> = Vec::new();
    for (end, nearest) in ends {
        let Some((other, _)) = nearest else { continue };
        if !gaps.iter().any(|gap| *gap == (end, other) || *gap == (other, end)) {
            gaps.push((end, other));
        }
    }
    gaps
}

/// What decides how a drawing is measured, in words.
fn how_measured(asked: &Asked, measuring: &Measuring) -> String {
    let options = &measuring.options;
    let quoted = |names: &[String]| names.join(", ");
    let mut words = vec![
        match options.per {
            Per::Layer => "one section for each layer",
            Per::Part => "one section for each separate solid",
            Per::Outline => "one section for each outer outline",
            Per::Drawing => "all layers are one section",
        }
        .to_owned(),
        format!("ends within {} mm are joined", options.join_mm),
    ];
    if !measuring.layers.is_empty() {
        words.push(format!("layers asked for: {}", quoted(&measuring.layers)));
    }
    if !measuring.skip.is_empty() {
        words.push(format!("layers left out on request: {}", quoted(&measuring.skip)));
    }
    if !measuring.void_layers.is_empty() {
        words.push(format!("layers that are cut out: {}", quoted(&measuring.void_layers)));
    }
    if measuring.hidden {
        words.push("layers that are off or frozen are measured too".to_owned());
    }
    words.extend(match options.widths {
        Widths::CentreLine => None,
        Widths::Solid => Some("polylines with a width are the bands that they are".to_owned()),
    });
    words.extend(match options.hatches {
        Hatches::WhereNoOther => None,
        Hatches::Use => Some("what hatches fill is solid too".to_owned()),
        Hatches::Ignore => Some("hatches are left out".to_owned()),
    });
    if let Some(field) = options.field {
        words.push(format!(
            "torsion constant to {} of itself, Poisson ratio {}",
            field.tolerance, field.poisson
        ));
    }
    if let Some(density) = options.density {
        words.push(format!("density {density} kg/m³"));
    }
    if let Some(thickness) = options.thickness_mm {
        words.push(format!("plates {thickness} mm thick"));
    }
    if let Some(section) = asked.section {
        words.push(format!("section asked for: {section}"));
    }
    words.join("; ")
}
