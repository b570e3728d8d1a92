//! What can be asked of `tracearm sheet` and `tracearm mark`.

use std::path::PathBuf;

use clap::Args;

use super::{CAUTION, EXIT_CODES, MeasuringArguments};
use crate::sheet::date;

/// How the command is typed.
const SHEET_EXAMPLES: &str = "Examples:\n  tracearm sheet girder.dxf -o girder.html --project \"Pier 7\" --revision B\n  \
                              tracearm sheet plates.dxf -o plate.svg --section PLATE";

const MARK_EXAMPLES: &str = "Examples:\n  tracearm mark girder.dxf -o girder-marked.dxf\n  \
                             tracearm mark plates.dxf -o plate-marked.dxf --section PLATE";

#[derive(Args)]
#[command(after_help = format!("{EXIT_CODES}\n\n{CAUTION}\n\n{SHEET_EXAMPLES}"))]
pub struct SheetArguments {
    /// A DXF drawing
    #[arg(required_unless_present = "job", value_name = "DRAWING")]
    pub drawing: Option<PathBuf>,

    /// Write to this file: .html for the calculation sheet, .pdf for the same as PDF (Chromium must be installed), .svg or
    /// .png for the picture of one section alone
    ///
    /// The file is replaced only when it is complete.
    #[arg(short, long, value_name = "FILE")]
    pub output: PathBuf,

    /// Measure the sections that this job file composes from layers, with their materials (TOML; see docs/jobs.md)
    ///
    /// A drawing on the command line replaces the one that the job names.
    #[arg(long, value_name = "FILE", conflicts_with_all = ["layers", "skip", "void_layers", "per"])]
    pub job: Option<PathBuf>,

    /// Only the section with this name
    #[arg(long, value_name = "NAME")]
    pub section: Option<String>,

    /// Date of the sheet, such as 2027-03-31 [default: today]
    #[arg(long, value_name = "DATE", value_parser = date)]
    pub date: Option<String>,

    /// One page for each section, without the working [default for more than three sections]
    #[arg(long, conflicts_with = "full")]
    pub short: bool,

    /// The working of every section, however many there are
    #[arg(long)]
    pub full: bool,

    /// For teaching: print the working by strips too, and add area and centroid by 4 strips, by 8 and so on up to this number
    #[arg(
        long,
        value_name = "N",
        num_args = 0..=1,
        default_missing_value = "1024",
        value_parser = clap::value_parser!(u32).range(4..=65_536)
    )]
    pub strips: Option<u32>,

    /// Fill the title block from this file
    ///
    /// TOML, with lines such as project = "Pier 7"; the names are those of the six options below, which take precedence over the file.
    #[arg(long, value_name = "FILE")]
    pub title_block: Option<PathBuf>,

    /// Project, for the title block of the sheet and the head of every page
    #[arg(long, value_name = "NAME")]
    pub project: Option<String>,

    /// Number of the job, for the title block and the head of every page
    #[arg(long, value_name = "NUMBER")]
    pub job_number: Option<String>,

    /// Revision of the sheet, for the title block and the foot of every page
    #[arg(long, value_name = "REVISION")]
    pub revision: Option<String>,

    /// Name of the person who prepared the sheet
    #[arg(long, value_name = "NAME")]
    pub prepared: Option<String>,

    /// Name of the person who checked it
    #[arg(long, value_name = "NAME")]
    pub checked: Option<String>,

    /// Name of the person who approved it
    #[arg(long, value_name = "NAME")]
    pub approved: Option<String>,

    /// Width of a .png in pixels
    #[arg(long, value_name = "PIXELS", default_value = "1600", value_parser = clap::value_parser!(u32).range(16..=10_000))]
    pub width: u32,

    #[command(flatten)]
    pub measuring: MeasuringArguments,
}

#[derive(Args)]
#[command(after_help = format!("{EXIT_CODES}\n\n{CAUTION}\n\n{MARK_EXAMPLES}"))]
pub struct MarkArguments {
    /// A DXF drawing
    #[arg(required_unless_present = "job", value_name = "DRAWING")]
    pub drawing: Option<PathBuf>,

    /// Write the marked drawing to this .dxf file, which must not be the drawing itself
    ///
    /// It holds, on layers of their own whose names begin with MARK, the outlines as they were measured, centroids, principal
    /// axes and labels, in the drawing's coordinates and units: lay it over the drawing in CAD. The file is replaced only
    /// when it is complete.
    #[arg(short, long, value_name = "FILE")]
    pub output: PathBuf,

    /// Replace the file even if it is a drawing that tracearm mark did not write
    #[arg(long)]
    pub overwrite: bool,

    /// Measure the sections that this job file composes from layers, with their materials (TOML; see docs/jobs.md)
    ///
    /// A drawing on the command line replaces the one that the job names.
    #[arg(long, value_name = "FILE", conflicts_with_all = ["layers", "skip", "void_layers", "per"])]
    pub job: Option<PathBuf>,

    /// Only the section with this name
    #[arg(long, value_name = "NAME")]
    pub section: Option<String>,

    /// Date in the labels, such as 2027-03-31 [default: today]
    #[arg(long, value_name = "DATE", value_parser = date)]
    pub date: Option<String>,

    #[command(flatten)]
    pub measuring: MeasuringArguments,
}
