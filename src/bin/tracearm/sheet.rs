//! `tracearm sheet`: the calculation sheet of a drawing, or the picture of one section.

mod pdf;
mod title_block;

use std::io::Write;
use std::path::{Path, PathBuf};

use tracearm::drawing::Entity;
use tracearm::finding::Severity;
use tracearm::geometry::{Bounds, Curve, Point};
use tracearm::library::sha256;
use tracearm::measure::{self, Measurement, Options, Traced};
use tracearm::outline::OpenChain;
use tracearm::paths;
use tracearm::schedule::Style;
use tracearm::sheet::{self, Form, Heading, OpenLines, Provenance, Unmeasured};

use super::Completion;
use super::args::SheetArguments;
use super::files::{self, Output};
use super::job::JobFile;
use super::measuring::{ChosenSections, Measuring, UnmeasuredLayer, one_drawing};
use super::output::tell;
use super::pending_file::PendingFile;

/// What is written, by the ending of the file's name.
#[derive(Clone, Copy, PartialEq, Eq)]
enum OutputKind {
    Page,
    Pdf,
    Svg,
    Png,
}

impl OutputKind {
    fn of(path: &Path) -> Option<OutputKind> {
        let ending = path.extension()?.to_str()?.to_ascii_lowercase();
        match ending.as_str() {
            "html" | "htm" => Some(OutputKind::Page),
            "pdf" => Some(OutputKind::Pdf),
            "svg" => Some(OutputKind::Svg),
            "png" => Some(OutputKind::Png),
            _ => None,
        }
    }
}

/// Runs the command.
pub fn run(arguments: &SheetArguments) -> Completion {
    match sheet(arguments) {
        Ok(outcome) => outcome,
        Err(message) => {
            tell(&format!("tracearm: {message}"));
            Completion::Nothing
        }
    }
}

fn sheet(arguments: &SheetArguments) -> Result<Completion, String> {
    let output = &arguments.output;
    let kind = OutputKind::of(output).ok_or_else(|| {
        format!(
            "{} does not say what to write: end its name in .html, .pdf, .svg or .png",
            paths::text(&output)
        )
    })?;
    let to = Output::new("-o", "the sheet", "sheet.html", output);
    let job =
        arguments.job.as_deref().map(|path| JobFile::read(path, arguments.drawing.as_slice())).transpose()?;
    let given = arguments.drawing.as_deref();
    let mut inputs = files::read(arguments.drawing.as_slice(), job.as_ref());
    inputs.extend(arguments.title_block.iter().map(|path| ("the title block", path.clone())));
    // What is beside the sheet must not replace what is read either.
    let appendix = appendix_path(output);
    let beside = Output::new("-o", "the edges beside the sheet", "sheet.html", &appendix);
    files::refuse(&[to, beside], &inputs)?;
    let heading = title_block::heading(arguments)?;
    let mut measuring = Measuring::of(&arguments.measuring, job.as_ref().map(JobFile::job))?;
    if let Some(field) = &mut measuring.options.field {
        field.picture = true;
    }
    let measured = one_drawing(given, job.as_ref(), arguments.section.as_deref(), &measuring)?;
    let written = match kind {
        OutputKind::Page | OutputKind::Pdf => {
            let source = source(arguments, &measured, &measuring);
            let form = form(arguments, heading, &measured.sections, &appendix);
            let page = sheet::html(&source, &measured.sections, measuring.style, &form);
            tell_missing_font(&page);
            let edges = form.appendix.is_some().then(|| sheet::edges(&measured.sections, measuring.style));
            if let Some(edges) = edges {
                write(&appendix, edges.as_bytes())?;
            }
            match kind {
                OutputKind::Pdf => pdf::printed(&source, &measured.sections, measuring.style, form, output)?,
                _ => page.into_bytes(),
            }
        }
        OutputKind::Svg | OutputKind::Png => picture(arguments, &measured, measuring.style, kind)?,
    };
    write(output, &written)?;
    Ok(if measured.failed { Completion::Partly } else { Completion::Done })
}

fn write(path: &Path, bytes: &[u8]) -> Result<(), String> {
    let written = || {
        let mut file = PendingFile::create(path)?;
        file.write_all(bytes)?;
        file.keep()
    };
    written().map_err(|error| format!("cannot write {}: {error}", paths::text(&path)))
}

/// The file beside a sheet that takes its longest tables of edges.
fn appendix_path(output: &Path) -> PathBuf {
    let mut name = output.file_stem().unwrap_or_default().to_os_string();
    name.push("-edges.csv");
    output.with_file_name(name)
}

/// Says which font is wanted for letters that no font of this machine has.
fn tell_missing_font(text: &str) {
    if let Some(font) = sheet::missing_font(text) {
        tell(&format!(
            "tracearm: some letters of the names are in no font of this machine, and stand as boxes: install {font}"
        ));
    }
}

/// The picture of the one section.
fn picture(
    arguments: &SheetArguments,
    measured: &ChosenSections,
    style: Style,
    kind: OutputKind,
) -> Result<Vec<u8>, String> {
    let (name, sections) = (&measured.name, &measured.sections);
    let [section] = sections.as_slice() else {
        let names: Vec<&str> = sections.iter().map(|m| m.section.as_str()).collect();
        return Err(format!(
            "{name} has {} sections, and a picture shows one: choose it by --section; there are: {}",
            sections.len(),
            names.join(", ")
        ));
    };
    let date = arguments.date.clone().unwrap_or_else(today);
    let picture =
        sheet::picture::section_dated(section, &style, sheet::picture::Look::Alone, "section", &date)
            .ok_or_else(|| {
                format!("{name}: section {} was not measured, so there is no picture", section.section)
            })?;
    if kind == OutputKind::Png {
        tell_missing_font(&picture.svg);
    }
    match kind {
        OutputKind::Png => sheet::png(&picture.svg, arguments.width).map_err(|error| error.to_string()),
        _ => Ok(picture.svg.into_bytes()),
    }
}

fn source(arguments: &SheetArguments, measured: &ChosenSections, measuring: &Measuring) -> Provenance {
    let ChosenSections { name, bytes, drawing, sections, .. } = measured;
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
    let version = match (drawing.version.release(), drawing.version.code()) {
        (Some(release), Some(code)) => format!("{release} ({code})"),
        (None, Some(code)) => code.to_owned(),
        _ => "no version named".to_owned(),
    };
    let general = drawing.findings.iter().filter(|f| f.place.layer.is_none() && f.severity >= Severity::Note);
    Provenance {
        name: name.clone(),
        sha256: sha256(bytes),
        bytes: bytes.len() as u64,
        format: format!("DXF {version}, {}", drawing.form),
        unit: known.unit,
        unit_source,
        layers,
        options: how_measured(arguments, options),
        program: concat!("tracearm ", env!("CARGO_PKG_VERSION")).to_owned(),
        date: arguments.date.clone().unwrap_or_else(today),
        findings: general.cloned().collect(),
        unmeasured: measured.unmeasured.iter().map(unmeasured).collect(),
        open: sections.iter().filter_map(|section| open_lines(section, measured, options)).collect(),
    }
}

/// The form that is asked for; the short one for more than three sections where none is.
fn form(arguments: &SheetArguments, heading: Heading, sections: &[Measurement], appendix: &Path) -> Form {
    /// Of so many sections at most the working is written without being asked for.
    const FULL: usize = 3;
    let short = arguments.short || (!arguments.full && sections.len() > FULL);
    let has_long_tables = !short && sheet::has_unlisted_edges(sections);
    let name = appendix.file_name().unwrap_or_default();
    Form {
        short,
        strips: arguments.strips.map(|count| count as usize),
        heading,
        appendix: has_long_tables.then(|| paths::text(&Path::new(name)).into_owned()),
        pages: Vec::new(),
    }
}

/// A layer that was not measured, with the reasons in words.
fn unmeasured(layer: &UnmeasuredLayer) -> Unmeasured {
    let reasons = std::iter::once(layer.why.to_owned());
    let reasons = reasons.chain(layer.findings.iter().map(ToString::to_string)).collect();
    Unmeasured { name: layer.name.clone(), reasons }
}

/// What a section draws that has no region; `None` for one that has.
fn open_lines(section: &Measurement, measured: &ChosenSections, options: &Options) -> Option<OpenLines> {
    if section.region().is_some() {
        return None;
    }
    let layers = &measured.drawing.layers;
    // Several layers are joined by +, which may stand in a name too.
    let is_own = |name: &str| section.layer == name || section.layer.split('+').any(|part| part == name);
    let of_layer =
        |entity: &&Entity| layers.get(entity.layer.index()).is_some_and(|layer| is_own(&layer.name));
    let entities: Vec<&Entity> = measured.drawing.entities.iter().filter(of_layer).collect();
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
fn how_measured(arguments: &SheetArguments, options: &Options) -> String {
    let of = &arguments.measuring;
    let quoted = |names: &[String]| names.join(", ");
    let mut words = match &arguments.job {
        Some(job) => vec![format!("sections as composed by {}", paths::text(job))],
        None => vec![
            match options.per {
                measure::Per::Layer => "one section for each layer",
                measure::Per::Part => "one section for each separate solid",
                measure::Per::Outline => "one section for each outer outline",
                measure::Per::Drawing => "all layers are one section",
            }
            .to_owned(),
        ],
    };
    words.push(format!("ends within {} mm are joined", options.join_mm));
    if !of.reading.layers.is_empty() {
        words.push(format!("layers asked for: {}", quoted(&of.reading.layers)));
    }
    if !of.reading.skip.is_empty() {
        words.push(format!("layers left out on request: {}", quoted(&of.reading.skip)));
    }
    if !of.void_layers.is_empty() {
        words.push(format!("layers that are cut out: {}", quoted(&of.void_layers)));
    }
    if of.reading.hidden {
        words.push("layers that are off or frozen are measured too".to_owned());
    }
    words.extend(match options.widths {
        measure::Widths::CentreLine => None,
        measure::Widths::Solid => Some("polylines with a width are the bands that they are".to_owned()),
    });
    words.extend(match options.hatches {
        measure::Hatches::WhereNoOther => None,
        measure::Hatches::Use => Some("what hatches fill is solid too".to_owned()),
        measure::Hatches::Ignore => Some("hatches are left out".to_owned()),
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
    if let Some(section) = &arguments.section {
        words.push(format!("section asked for: {section}"));
    }
    words.join("; ")
}

/// A date as ISO 8601 has it.
pub fn date(text: &str) -> Result<String, String> {
    let date: jiff::civil::Date = text.parse().map_err(|_| {
        format!("“{}” is not a date: use year, month and day, such as 2027-03-31", text.escape_debug())
    })?;
    Ok(date.to_string())
}

/// Today's date where the program runs.
pub fn today() -> String {
    jiff::ZonedDateTime::now().date().to_string()
}
