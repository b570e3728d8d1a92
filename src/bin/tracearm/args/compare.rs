//! What can be asked of `tracearm compare`.

use std::path::PathBuf;

use clap::{Args, ValueEnum};
use tracearm::changes::By;
use tracearm::check::Tolerance;

use super::CAUTION;

const EXIT_CODES: &str = "Exit codes:\n  0  nothing changed beyond the tolerances\n  1  something was added, is gone or \
                          changed, or could not be compared (named on stderr)\n  2  nothing was compared: wrong usage, \
                          or a schedule that could not be read";

/// How the command is typed.
const EXAMPLES: &str = "Examples:\n  tracearm compare may.csv june.csv\n  \
                        tracearm compare before.xlsx after.xlsx --within 0.5% --by section -o changes.csv";

#[derive(Args)]
#[command(after_help = format!("{EXIT_CODES}\n\n{CAUTION}\n\n{EXAMPLES}"))]
pub struct CompareArguments {
    /// The earlier schedule: a table with a column section and any other columns that schedule writes, as CSV, a workbook
    /// (.xlsx), JSON or lines of JSON, or a ledger
    ///
    /// The kind of file is recognised by its content, not by its name. In a workbook the headings are the first row of the
    /// sheet Schedule, or of the first sheet that has them.
    ///
    /// The columns may stand in any order and in any unit: area_mm2 is compared with area_in2. Columns that only one of
    /// the schedules has are named and not compared, and so is a second column of one property; findings and strip_check are
    /// never compared. A section that is missing in AFTER because its drawing or layer could not be measured there counts as
    /// not compared, not as gone.
    #[arg(value_name = "BEFORE")]
    pub before: PathBuf,

    /// The later schedule
    #[arg(value_name = "AFTER")]
    pub after: PathBuf,

    /// By how much a figure may have changed: 0.5% for all columns, area=0.1% or principal_angle=0.05 for one; may be
    /// repeated [default: 0.002%]
    ///
    /// A percentage is of the earlier figure. The default is larger than any rounding to six digits. A number
    /// without % is in the unit of the column: that of its heading in BEFORE, or its own, as in area_cm2=0.5. A
    /// tolerance for one column replaces the one for all columns; if a percentage and a number are given for one
    /// column, the larger counts. Where a figure was 0 any other is a change unless a number is stated. Texts and counts
    /// are compared exactly. Angles are those of axes: −90° and 90° are the same.
    #[arg(long, value_name = "TOLERANCE", value_parser = str::parse::<Tolerance>)]
    pub within: Vec<Tolerance>,

    /// How sections of the two schedules are matched
    ///
    /// Where several rows of a schedule have the same names, the first is compared with the first, the second with the
    /// second.
    #[arg(long, value_enum, default_value = "drawing-and-section")]
    pub by: ByArgument,

    /// Compare these columns only: names without units, patterns and groups, with commas between them, such as
    /// area,plastic,*_moment_x
    ///
    /// They are the names that schedule --columns takes. Sections are still matched by all columns.
    #[arg(long, value_name = "LIST")]
    pub columns: Option<String>,

    /// Show every value that changed, not one line for each section
    ///
    /// Without it a section has one line, with the value that changed most in per cent and how many changed.
    #[arg(long)]
    pub all: bool,

    /// Write every change to this CSV file too, with a row for each value
    ///
    /// The file is replaced only when it is complete.
    #[arg(short, long, value_name = "FILE")]
    pub output: Option<PathBuf>,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
pub enum ByArgument {
    /// The path of the drawing and the name of the section; where no path is in both schedules, folders at the
    /// beginning of the paths are left aside until some are
    DrawingAndSection,
    /// The name of the section alone, whatever its drawing
    Section,
}

impl From<ByArgument> for By {
    fn from(argument: ByArgument) -> By {
        match argument {
            ByArgument::DrawingAndSection => By::DrawingAndSection,
            ByArgument::Section => By::Section,
        }
    }
}

#[cfg(test)]
mod tests {
    use tracearm::changes::DEFAULT_WITHIN;

    #[test]
    fn the_default_is_what_the_help_says() {
        assert_eq!(format!("{}%", DEFAULT_WITHIN * 100.0), "0.002%");
    }
}
