//! What can be asked of `tracearm sheet` and `tracearm mark`.

use std::path::PathBuf;

use clap::Args;

use super::{CAUTION, EXIT_CODES, MeasuringArguments};
use crate::sheet::date;

#[derive(Args)]
#[command(after_help = format!("{EXIT_CODES}\n\n{CAUTION}"))]
pub struct SheetArguments {
    /// A DXF drawing
    #[arg(required_unless_present = "job", value_name = "DRAWING")]
    pub drawing: Option<PathBuf>,

    /// Write to this file: .html for the calculation sheet, .svg or .png for the picture of one section alone
    ///
    /// The file is replaced only when it is complete.
    #[arg(short, long, value_name = "FILE")]
    pub output: PathBuf,

    /// Take the sections that this job file composes from layers, with their materials (TOML; see the README)
    ///
    /// A drawing on the command line takes the place of the drawing that the job names.
    #[arg(long, value_name = "FILE", conflicts_with_all = ["layers", "skip", "void_layers", "per"])]
    pub job: Option<PathBuf>,

    /// Take only the section of this name
    #[arg(long, value_name = "NAME")]
    pub section: Option<String>,

    /// Date of the sheet, such as 2027-03-31 [default: today]
    #[arg(long, value_name = "DATE", value_parser = date)]
    pub date: Option<String>,

    /// Width of a .png in pixels
    #[arg(long, value_name = "PIXELS", default_value = "1600", value_parser = clap::value_parser!(u32).range(16..=10_000))]
    pub width: u32,

    #[command(flatten)]
    pub measuring: MeasuringArguments,
}

#[derive(Args)]
#[command(after_help = format!("{EXIT_CODES}\n\n{CAUTION}"))]
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

    /// Take the sections that this job file composes from layers, with their materials (TOML; see the README)
    ///
    /// A drawing on the command line takes the place of the drawing that the job names.
    #[arg(long, value_name = "FILE", conflicts_with_all = ["layers", "skip", "void_layers", "per"])]
    pub job: Option<PathBuf>,

    /// Take only the section of this name
    #[arg(long, value_name = "NAME")]
    pub section: Option<String>,

    #[command(flatten)]
    pub measuring: MeasuringArguments,
}
