//! What can be asked of `tracearm check`.

use std::path::PathBuf;

use clap::Args;
use tracearm::check::Tolerance;

use super::{CAUTION, MeasuringArguments};

const EXIT_CODES: &str = "Exit codes:\n  0  every expected figure is within its tolerance\n  1  a figure is outside, or \
                          something failed or could not be compared (named on stderr)\n  2  nothing was compared: \
                          wrong usage, or nothing that could be read, measured or compared";

/// How the command is typed.
const EXAMPLES: &str = "Examples:\n  tracearm check shapes.dxf --against tables.csv --within 0.25%\n  \
                        tracearm check girder.dxf --against expected.xlsx --within area=0.1% -o differences.csv";

#[derive(Args)]
#[command(after_help = format!("{EXIT_CODES}\n\n{CAUTION}\n\n{EXAMPLES}"))]
pub struct CheckArguments {
    /// DXF drawings; folders are searched for .dxf files, with all folders in them
    #[arg(required_unless_present = "job", value_name = "DRAWING")]
    pub drawings: Vec<PathBuf>,

    /// The expected values: a table with any of the columns that schedule writes, as CSV, a workbook (.xlsx) or JSON
    ///
    /// In a workbook the headings are the first row of the sheet Schedule, or of the first sheet that has them.
    ///
    /// A heading names its unit, and may name another than the schedule's: area_mm2, area_cm2, second_moment_x_in4.
    /// Empty cells are not compared. Texts and counts are compared exactly, numbers within the tolerance.
    ///
    /// A row is compared with the section whose name is in its column section, whose layer is in its column layer, or
    /// both; names must match letter by letter. Where the column drawing is filled in, the path of the drawing must end
    /// with it, in whole names: frames/a.dxf fits work/frames/a.dxf, and so does a.dxf. A row that fits no section or
    /// several, and a section that several rows fit, is named and not compared.
    ///
    /// The columns source and note are for people. Findings and strip_check are not compared, so that a schedule can be
    /// the table for a later one.
    #[arg(long, value_name = "FILE")]
    pub against: PathBuf,

    /// How far a figure may be off: 0.5% for all columns, area=0.1% or principal_angle=0.05 for one; may be repeated
    /// [default: 0.5%]
    ///
    /// A percentage is of the expected value. A number without % is in the unit of the column: that of its heading in
    /// the table, or its own, as in area_cm2=0.5. A tolerance for one column replaces the one for all columns; if a
    /// percentage and a number are given for one column, the larger counts. An expected 0 needs a number. Angles
    /// are those of axes: −90° and 90° are the same.
    #[arg(long, value_name = "TOLERANCE", value_parser = str::parse::<Tolerance>)]
    pub within: Vec<Tolerance>,

    /// Write every comparison to this CSV file too, in the order of the expected values
    ///
    /// The file is replaced only when it is complete.
    #[arg(short, long, value_name = "FILE")]
    pub output: Option<PathBuf>,

    /// Measure the sections that this job file composes from layers, with their materials (TOML; see docs/jobs.md)
    ///
    /// A drawing on the command line replaces the one that the job names.
    #[arg(long, value_name = "FILE", conflicts_with_all = ["layers", "skip", "void_layers", "per"])]
    pub job: Option<PathBuf>,

    #[command(flatten)]
    pub measuring: MeasuringArguments,
}
