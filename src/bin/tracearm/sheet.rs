//! `tracearm sheet`: the calculation sheet of a drawing, or the picture of one section.

use std::io::Write;
use std::path::Path;

use tracearm::finding::Severity;
use tracearm::geometry::Bounds;
use tracearm::library::sha256;
use tracearm::measure::{self, Options};
use tracearm::paths;
use tracearm::schedule::Style;
use tracearm::sheet::{self, Provenance};

use super::Completion;
use super::args::SheetArguments;
use super::files::{self, Output};
use super::job::JobFile;
use super::measuring::{ChosenSections, Measuring, one_drawing};
use super::output::tell;
use super::pending_file::PendingFile;

/// What is written, by the ending of the file's name.
#[derive(Clone, Copy, PartialEq, Eq)]
enum OutputKind {
    Page,
    Svg,
    Png,
}

impl OutputKind {
    fn of(path: &Path) -> Option<OutputKind> {
        let ending = path.extension()?.to_str()?.to_ascii_lowercase();
        match ending.as_str() {
            "html" | "htm" => Some(OutputKind::Page),
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
            "{} has none of the endings .html, .svg and .png, which say what to write",
            paths::text(&output)
        )
    })?;
    let to = Output::new("-o", "the sheet", "sheet.html", output);
    let job =
        arguments.job.as_deref().map(|path| JobFile::read(path, arguments.drawing.as_slice())).transpose()?;
    let given = arguments.drawing.as_deref();
    files::refuse(&[to], &files::read(arguments.drawing.as_slice(), job.as_ref()))?;
    let measuring = Measuring::of(&arguments.measuring, job.as_ref().map(JobFile::job))?;
    let measured = one_drawing(given, job.as_ref(), arguments.section.as_deref(), &measuring)?;
    let written = match kind {
        OutputKind::Page => {
            let source = source(arguments, &measured, &measuring.options);
            sheet::html(&source, &measured.sections, measuring.style).into_bytes()
        }
        OutputKind::Svg | OutputKind::Png => picture(&measured, measuring.style, kind, arguments.width)?,
    };
    let write = || {
        let mut file = PendingFile::create(output)?;
        file.write_all(&written)?;
        file.keep()
    };
    write().map_err(|error| format!("cannot write {}: {error}", paths::text(&output)))?;
    Ok(if measured.failed { Completion::Partly } else { Completion::Done })
}

/// The picture of the one section.
fn picture(measured: &ChosenSections, style: Style, kind: OutputKind, width: u32) -> Result<Vec<u8>, String> {
    let (name, sections) = (&measured.name, &measured.sections);
    let [section] = sections.as_slice() else {
        let names: Vec<&str> = sections.iter().map(|m| m.section.as_str()).collect();
        return Err(format!(
            "{name} has {} sections, and a picture shows one: choose it by --section; there are: {}",
            sections.len(),
            names.join(", ")
        ));
    };
    let picture = sheet::picture::section(section, &style, sheet::picture::Look::Alone, "section")
        .ok_or_else(|| {
            format!("{name}: section {} was not measured, so there is no picture", section.section)
        })?;
    match kind {
        OutputKind::Png => sheet::png(&picture.svg, width).map_err(|error| error.to_string()),
        _ => Ok(picture.svg.into_bytes()),
    }
}

fn source(arguments: &SheetArguments, measured: &ChosenSections, options: &Options) -> Provenance {
    let ChosenSections { name, bytes, drawing, sections, .. } = measured;
    let known = measure::drawing_unit(drawing, options.drawing_unit);
    let extents = sections.iter().filter_map(|m| m.properties()).map(|section| section.extent);
    let assumed = known.finding(&extents.fold(Bounds::EMPTY, Bounds::union));
    let unit_source = match (&assumed, options.drawing_unit, drawing.units.insunits) {
        (_, Some(_), _) => "as stated by --drawing-units".to_owned(),
        (Some(finding), ..) => finding.message(),
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
        options: given_options(arguments),
        program: concat!("tracearm ", env!("CARGO_PKG_VERSION")).to_owned(),
        date: arguments.date.clone().unwrap_or_else(today),
        findings: general.cloned().collect(),
    }
}

/// The options as they were given, without the drawing and where the sheet goes.
fn given_options(arguments: &SheetArguments) -> String {
    let mut kept = Vec::new();
    let mut words = std::env::args_os().skip(2).map(|word| paths::text(&word).into_owned());
    while let Some(word) = words.next() {
        if word == "-o" || word == "--output" {
            words.next();
        } else if !word.starts_with("--output=")
            && !word.starts_with("-o")
            && arguments.drawing.as_ref().is_none_or(|drawing| word != paths::text(drawing))
        {
            kept.push(word);
        }
    }
    kept.join(" ")
}

/// A date as ISO 8601 has it.
pub fn date(text: &str) -> Result<String, String> {
    let date: jiff::civil::Date = text.parse().map_err(|_| {
        format!("“{}” is no date: use year, month and day, such as 2027-03-31", text.escape_debug())
    })?;
    Ok(date.to_string())
}

/// Today's date where the program runs.
fn today() -> String {
    jiff::ZonedDateTime::now().date().to_string()
}
