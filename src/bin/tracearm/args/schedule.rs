//! What can be asked of `tracearm schedule`.

use std::path::PathBuf;
use std::time::Duration;

use clap::Args;
use tracearm::library::TimeLimit;
use tracearm::schedule::Format;

use super::{CAUTION, DecimalArgument, EXIT_CODES, MeasuringArguments};

/// How the command is typed.
const EXAMPLES: &str = "Examples:\n  tracearm schedule plates.dxf --thickness 20mm --density 7850\n  \
                        tracearm schedule drawings -o all.xlsx --report look.csv";

#[derive(Args)]
#[command(after_help = format!("{EXIT_CODES}\n\n{CAUTION}\n\n{EXAMPLES}"))]
pub struct ScheduleArguments {
    /// DXF drawings; folders are searched for .dxf files, with all folders in them
    #[arg(required_unless_present_any = ["job", "files_from"], value_name = "DRAWING")]
    pub drawings: Vec<PathBuf>,

    /// Also measure the drawings listed in this file, after the others: one path per line, or paths that end in NUL
    /// characters; - is standard input
    #[arg(long, value_name = "FILE", conflicts_with = "job")]
    pub files_from: Option<PathBuf>,

    /// Write the schedule to this file instead of standard output, in the format that its ending names: .csv, .json,
    /// .jsonl, .xlsx or .txt (a table)
    ///
    /// Another ending is refused unless --format says what to write. The file is replaced only when the schedule is
    /// complete.
    #[arg(short, long, value_name = "FILE")]
    pub output: Option<PathBuf>,

    /// Format of the schedule: csv, json, jsonl (a section on each line), xlsx or table, whatever the file's name
    /// [default: table on a terminal, else csv]
    ///
    /// Every format has the same figures with the same digits. A table of up to four sections stands upright, a column for
    /// each; of more sections each has a row, as wide as the terminal, or 80 columns elsewhere. Columns that are empty in
    /// every row are left out, and names that were cut are written in full below the table.
    #[arg(long, value_name = "NAME", value_parser = str::parse::<Format>)]
    pub format: Option<Format>,

    /// Write these columns only, in this order: names without units, patterns and groups, with commas between them, such as
    /// section,area,plastic,*_moment_x
    ///
    /// A group is named by the first words of its columns: plastic, elastic_modulus, centroid, gyration; plate and stated are
    /// those of plates and of stated axes. A column that is named twice is written once, at its first place.
    #[arg(long, value_name = "LIST")]
    pub columns: Option<String>,

    /// Decimal mark of CSV: point, with commas between cells; or comma, with semicolons between cells and a byte order mark,
    /// as spreadsheets of most of Europe want it
    #[arg(long, value_enum, value_name = "MARK", default_value = "point")]
    pub decimal: DecimalArgument,

    /// Write the totals to this CSV file: for each status and for all the number of sections, and the sums of parts, holes, areas,
    /// perimeters, masses and cuts as they stand in the rows
    #[arg(long, value_name = "FILE")]
    pub totals: Option<PathBuf>,

    /// Write the pieces to this CSV file: one row for each closed outline of each section, with what it adds
    #[arg(long, value_name = "FILE")]
    pub pieces: Option<PathBuf>,

    /// Write what needs attention to this CSV file: each failure, then each warning, drawing by drawing, with what to do about
    /// it; with --ledger also each drawing that is new, changed, moved, gone or unchanged
    #[arg(long, value_name = "FILE")]
    pub report: Option<PathBuf>,

    /// Measure the sections that this job file composes from layers, with their materials (TOML; see docs/jobs.md)
    ///
    /// A drawing on the command line replaces the one that the job names.
    #[arg(long, value_name = "FILE", conflicts_with_all = ["layers", "skip", "void_layers", "per"])]
    pub job: Option<PathBuf>,

    /// Number of drawings measured in parallel [default: the number of cores]
    ///
    /// The schedule is the same, whatever the number.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub jobs: Option<u16>,

    /// Give up a drawing that takes longer than this: a number with s, min or h; without one, in seconds
    ///
    /// Its row says so, and the others are measured as usual.
    #[arg(long, value_name = "TIME", value_parser = time)]
    pub time_limit: Option<Duration>,

    /// Remember what was measured in this file (SQLite), and measure only what has changed since, or what was not reached
    ///
    /// The file is made if it does not exist. A drawing counts as unchanged if its size and times are unchanged; otherwise
    /// its SHA-256 decides, which also recognises a drawing that was moved or copied. Drawings that are no longer there are
    /// marked. With other options or another version of the program everything is measured anew. What a run has measured
    /// stays in the ledger even if the run is stopped.
    #[arg(long, value_name = "FILE", conflicts_with = "pieces")]
    pub ledger: Option<PathBuf>,

    /// With --ledger: wait while another run uses the ledger, instead of giving up
    #[arg(long, requires = "ledger")]
    pub wait: bool,

    /// Report on standard error everything that failed or gave no row
    ///
    /// Without it each of several drawings has at most one line, and layers without a line that could belong to an outline,
    /// such as those of dimensions, are not reported.
    #[arg(short, long)]
    pub verbose: bool,

    /// Report on standard error how many drawings and sections there were, what failed and what gave a warning, by kind with
    /// an example, and how long it took, even when that is not a terminal
    #[arg(long)]
    pub summary: bool,

    /// Measure this drawing alone, for the run that started this program
    #[arg(long, value_name = "DRAWING", hide = true)]
    pub apart: Option<PathBuf>,

    #[command(flatten)]
    pub measuring: MeasuringArguments,
}

fn time(text: &str) -> Result<Duration, String> {
    text.parse::<TimeLimit>().map(TimeLimit::duration).map_err(|error| error.to_string())
}
