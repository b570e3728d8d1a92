//! `tracearm sheet`: the calculation sheet of a drawing, or the picture of one section.

mod pdf;
mod title_block;

use std::io::Write;
use std::path::{Path, PathBuf};

use tracearm::library::sha256;
use tracearm::measure::Measurement;
use tracearm::paths;
use tracearm::schedule::Style;
use tracearm::sheet::{self, Asked, Form, Heading, Measured, Provenance};

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
            "tracearm: no font on this machine has some letters of the names, so they appear as boxes: install {font}"
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
            "{name} has {} sections, but a picture shows one: choose it with --section; its sections are: {}",
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
    let ChosenSections { name, bytes, drawing, sections, unmeasured, .. } = measured;
    let of = &arguments.measuring;
    let job = arguments.job.as_ref().map(paths::text);
    let measured = Measured {
        name,
        bytes: bytes.len() as u64,
        sha256: &sha256(bytes),
        drawing,
        options: &measuring.options,
        asked: Asked {
            job: job.as_deref(),
            layers: &of.reading.layers,
            skip: &of.reading.skip,
            void_layers: &of.void_layers,
            section: arguments.section.as_deref(),
        },
        date: &arguments.date.clone().unwrap_or_else(today),
    };
    Provenance::of(&measured, sections, unmeasured.clone())
}

/// The form that is asked for; the short one for more than three sections where none is.
fn form(arguments: &SheetArguments, heading: Heading, sections: &[Measurement], appendix: &Path) -> Form {
    let short = arguments.short || (!arguments.full && sections.len() > sheet::MOST_IN_FULL);
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
