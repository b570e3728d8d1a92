//! What can be asked on the command line. This file and those in `args/` alone name clap's derive.

mod check;
mod compare;
mod measuring;
mod page;
mod schedule;
mod sheet;
mod shell;

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};
use tracearm::drawing::{LengthUnit, Limits, Space};
use tracearm::field::{PoissonRatio, Tolerance};
use tracearm::measure::{Density, Hatches, Length, Per, Widths};
use tracearm::schedule::{CAUTION, DecimalMark};

pub use check::CheckArguments;
pub use compare::CompareArguments;
pub use measuring::MeasuringArguments;
pub use page::PageArguments;
pub use schedule::ScheduleArguments;
pub use sheet::{MarkArguments, SheetArguments};
pub use shell::{CompletionsArguments, ManArguments, ShellArgument};

const EXIT_CODES: &str = "Exit codes:\n  0  everything was measured\n  1  results were written, but something failed \
                          (named on stderr)\n  2  nothing was done: wrong usage, or nothing that could be read";

/// Where to read on.
pub const DOCUMENTS: &str =
    "To read on, see docs/README.md in the project, which lists a page for each subject.";

/// Section properties of outlines drawn in CAD: area, centroid, second moments, principal axes, elastic and plastic
/// moduli, from DXF drawings.
#[derive(Parser)]
#[command(version, after_help = format!("{EXIT_CODES}\n\n{CAUTION}\n\n{DOCUMENTS}"), max_term_width = 100)]
pub struct Arguments {
    #[command(subcommand)]
    pub command: Command,
}

#[derive(Subcommand)]
pub enum Command {
    /// Measure drawings and write a schedule, one row for each section
    Schedule(ScheduleArguments),
    /// Show what a drawing contains: units, layers, closed outlines, open ends, and what is not read
    Inspect(InspectArguments),
    /// Write a calculation sheet that can be followed by hand, or the picture of one section
    Sheet(SheetArguments),
    /// Write a drawing of what was measured, to lay over the original
    Mark(MarkArguments),
    /// Compare sections with expected values, such as a library of shapes with published tables
    Check(CheckArguments),
    /// Show what changed between two schedules: sections added, gone, and changed beyond a tolerance
    Compare(CompareArguments),
    /// Write the page: tracearm as one file for a browser, for those who have no command line
    Page(PageArguments),
    /// Write what a shell needs to complete tracearm's commands and options
    Completions(CompletionsArguments),
    /// Write the manual pages
    Man(ManArguments),
}

/// How the command is typed.
const INSPECT_EXAMPLES: &str =
    "Examples:\n  tracearm inspect plates.dxf\n  tracearm inspect plates.dxf --all --layers 'PLATE*'";

#[derive(Args)]
#[command(after_help = format!("{CAUTION}\n\n{INSPECT_EXAMPLES}"))]
pub struct InspectArguments {
    /// A DXF drawing
    #[arg(required_unless_present = "job", value_name = "DRAWING")]
    pub drawing: Option<PathBuf>,

    /// Also show the sections that this job file composes from the drawing's layers (TOML; see docs/jobs.md)
    ///
    /// Each with the pieces that it is made of, their materials and modular ratios. A drawing on the command line replaces
    /// the one that the job names.
    #[arg(long, value_name = "FILE")]
    pub job: Option<PathBuf>,

    /// Unit of all lengths: mm, cm, m, in or ft [default: the drawing's own]
    #[arg(long, value_name = "UNIT")]
    pub units: Option<LengthUnit>,

    /// List everything: long lists are not cut short, and each entity that is not read is named with its place and handle
    #[arg(long)]
    pub all: bool,

    /// Write the report as JSON, with everything in it
    #[arg(long, conflicts_with = "all")]
    pub json: bool,

    #[command(flatten)]
    pub reading: ReadingArguments,
}

#[derive(Args)]
pub struct ReadingArguments {
    /// Unit of the drawings' coordinates, whatever their headers say
    ///
    /// Without it the unit in the header ($INSUNITS) is used; a drawing without one is taken to be in millimetres, and a
    /// finding says so.
    #[arg(long, value_name = "UNIT")]
    pub drawing_units: Option<LengthUnit>,

    /// Only layers whose name matches, such as 'PLATE*'; may be repeated
    ///
    /// * stands for any characters, ? for one, [ab] for one of several. Upper and lower case are the same.
    #[arg(long, value_name = "GLOB")]
    pub layers: Vec<String>,

    /// Leave out layers whose name matches; may be repeated
    #[arg(long, value_name = "GLOB")]
    pub skip: Vec<String>,

    /// Read model space, where things are drawn, or the sheet layout that was on screen when the drawing was saved
    #[arg(long, value_enum, default_value = "model")]
    pub space: SpaceArgument,

    /// Raise or lower a limit above which drawings are refused; may be repeated
    ///
    /// Limits keep one drawing from taking all memory: file-size (bytes, 2 GiB), line-length (bytes, 16 MiB), layers
    /// (100000), vertices (of one entity, 5000000), pieces (that block references put into a drawing, 2000000), nesting
    /// (blocks within each other, 64; never above 1000), memory (of one drawing, estimated on the high side: bytes, or a number
    /// with KB, MB or GB; as many drawings as there are cores share half of the machine's memory).
    #[arg(long = "limit", value_name = "NAME=NUMBER", value_parser = limit)]
    pub limits: Vec<(String, u64)>,

    /// What hatches count as
    #[arg(long, value_enum, default_value = "only-where-no-other")]
    pub hatches: HatchesArgument,

    /// What polylines count as that have a width along their whole length
    #[arg(long, value_enum, default_value = "centre-line")]
    pub widths: WidthsArgument,

    /// Measure layers that are off or frozen too, and entities marked invisible
    #[arg(long)]
    pub hidden: bool,

    /// Join ends that are this near to each other: a number with mm, cm, m, in or ft; without one, in the unit of
    /// --units
    ///
    /// A gap is closed by a straight line; no drawn line is moved. Without this option: 0.01mm.
    #[arg(long, value_name = "LENGTH", value_parser = str::parse::<Length>)]
    pub join: Option<Length>,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
pub enum PerArgument {
    /// All that is drawn on a layer
    Layer,
    /// Each connected solid on a layer: layer#1, layer#2 ... from left to right
    Part,
    /// Each outer outline on a layer with its holes, touching others or not: layer#1, layer#2 ...
    Outline,
    /// All that is drawn on the chosen layers together
    Drawing,
}

impl From<PerArgument> for Per {
    fn from(argument: PerArgument) -> Per {
        match argument {
            PerArgument::Layer => Per::Layer,
            PerArgument::Part => Per::Part,
            PerArgument::Outline => Per::Outline,
            PerArgument::Drawing => Per::Drawing,
        }
    }
}

#[derive(Clone, Copy, Debug, ValueEnum)]
pub enum DecimalArgument {
    /// 1.5, with commas between cells
    Point,
    /// 1,5, with semicolons between cells
    Comma,
}

impl From<DecimalArgument> for DecimalMark {
    fn from(argument: DecimalArgument) -> DecimalMark {
        match argument {
            DecimalArgument::Point => DecimalMark::Point,
            DecimalArgument::Comma => DecimalMark::Comma,
        }
    }
}

#[derive(Clone, Copy, Debug, ValueEnum)]
pub enum SpaceArgument {
    /// Model space
    Model,
    /// The sheet layout
    Paper,
}

impl From<SpaceArgument> for Space {
    fn from(argument: SpaceArgument) -> Space {
        match argument {
            SpaceArgument::Model => Space::Model,
            SpaceArgument::Paper => Space::Paper,
        }
    }
}

#[derive(Clone, Copy, Debug, ValueEnum)]
pub enum HatchesArgument {
    /// Nothing
    Ignore,
    /// Solid, on layers that have no other closed outline
    OnlyWhereNoOther,
    /// Solid, as well as the other outlines; overlaps count once
    Use,
}

impl From<HatchesArgument> for Hatches {
    fn from(argument: HatchesArgument) -> Hatches {
        match argument {
            HatchesArgument::Ignore => Hatches::Ignore,
            HatchesArgument::OnlyWhereNoOther => Hatches::WhereNoOther,
            HatchesArgument::Use => Hatches::Use,
        }
    }
}

#[derive(Clone, Copy, Debug, ValueEnum)]
pub enum WidthsArgument {
    /// Their centre lines, as if they had no width
    CentreLine,
    /// Solid bands of that width; overlaps count once
    Solid,
}

impl From<WidthsArgument> for Widths {
    fn from(argument: WidthsArgument) -> Widths {
        match argument {
            WidthsArgument::CentreLine => Widths::CentreLine,
            WidthsArgument::Solid => Widths::Solid,
        }
    }
}

fn limit(text: &str) -> Result<(String, u64), String> {
    let names = Limits::NAMES.join(", ");
    let Some((name, number)) = text.split_once('=') else {
        return Err(format!("use NAME=NUMBER, with one of these names: {names}"));
    };
    let value = Limits::default().set_text(name, number).map_err(|error| error.to_string())?;
    Ok((name.to_owned(), value))
}

fn thickness(text: &str) -> Result<Length, String> {
    text.parse().and_then(Length::above_zero).map_err(|error| error.to_string())
}

fn field_tolerance(text: &str) -> Result<f64, String> {
    text.parse().map(Tolerance::share).map_err(|error| error.to_string())
}

fn poisson(text: &str) -> Result<f64, String> {
    text.parse().map(PoissonRatio::number).map_err(|error| error.to_string())
}

fn density(text: &str) -> Result<f64, String> {
    text.parse::<Density>().map(Density::kilograms).map_err(|error| error.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_definition_is_sound() {
        use clap::CommandFactory;
        Arguments::command().debug_assert();
    }

    /// Who takes options in the library's words takes the same ones.
    #[test]
    fn words_are_those_of_the_library() {
        fn same<A, T>()
        where
            A: ValueEnum + Into<T> + 'static,
            T: std::str::FromStr<Err = tracearm::words::UnknownWord> + PartialEq + std::fmt::Debug,
        {
            for argument in A::value_variants() {
                let word = argument.to_possible_value().expect("none is hidden").get_name().to_owned();
                assert_eq!(word.parse(), Ok(argument.clone().into()), "{word}");
            }
        }
        same::<PerArgument, Per>();
        same::<HatchesArgument, Hatches>();
        same::<WidthsArgument, Widths>();
        same::<SpaceArgument, Space>();
        same::<DecimalArgument, DecimalMark>();
    }

    #[test]
    fn every_argument_has_help() {
        use clap::CommandFactory;
        for command in Arguments::command().get_subcommands() {
            for argument in command.get_arguments() {
                assert!(argument.get_help().is_some(), "{} {}", command.get_name(), argument.get_id());
            }
        }
    }

    /// Words of a command as a shell would part them, up to where its output goes.
    fn typed(line: &str) -> Vec<String> {
        let line = line.split(" > ").next().unwrap_or(line);
        let mut words = vec![String::new()];
        let mut quoted = None;
        for letter in line.chars() {
            match letter {
                '"' | '\'' if quoted.is_none() => quoted = Some(letter),
                own if quoted == Some(own) => quoted = None,
                ' ' if quoted.is_none() => words.push(String::new()),
                other => words.last_mut().unwrap().push(other),
            }
        }
        words
    }

    #[test]
    fn every_help_ends_with_two_examples() {
        use clap::CommandFactory;
        for command in Arguments::command().get_subcommands_mut() {
            let name = command.get_name().to_owned();
            let help = command.render_long_help().to_string();
            let (_, examples) =
                help.split_once("Examples:\n").unwrap_or_else(|| panic!("{name}: no examples"));
            let lines: Vec<&str> = examples.trim_end().lines().map(str::trim).collect();
            assert_eq!(lines.len(), 2, "{name}: {lines:?}");
            for line in lines {
                assert!(line.starts_with(&format!("tracearm {name} ")), "{line}");
                assert!(Arguments::try_parse_from(typed(line)).is_ok(), "{line}");
            }
        }
    }

    #[test]
    fn fields_have_tolerances() {
        assert_eq!(field_tolerance("1e-4"), Ok(1e-4));
        assert_eq!(poisson("0.3"), Ok(0.3));
        for text in ["0", "1", "-1e-3", "nan", "1e-9", ""] {
            assert!(field_tolerance(text).is_err(), "{text}");
        }
        assert!(poisson("-0.1").is_err() && poisson("0.6").is_err() && poisson("nan").is_err());
    }

    #[test]
    fn limits_by_name() {
        assert_eq!(limit("pieces=5"), Ok(("pieces".to_owned(), 5)));
        assert_eq!(limit("memory=5"), Ok(("memory".to_owned(), 5)));
        assert_eq!(limit("memory=2GB"), Ok(("memory".to_owned(), 2_000_000_000)));
        assert_eq!(limit("file-size=30 mb"), Ok(("file-size".to_owned(), 30_000_000)));
        assert!(limit("pieces=5MB").is_err() && limit("memory=2 oz").is_err() && limit("memory=GB").is_err());
        assert!(limit("memory=99999999999999GB").is_err());
        for (text, part) in
            [("pieces", "NAME=NUMBER"), ("pieces=-5", "not a whole number"), ("colours=5", "nesting")]
        {
            assert!(limit(text).is_err_and(|message| message.contains(part)), "{text}");
        }
    }

    #[test]
    fn a_plate_has_thickness() {
        assert_eq!(thickness("10mm").map(|l| l.millimetres(LengthUnit::Inch)), Ok(10.0));
        assert!(thickness("0").is_err() && thickness("-1mm").is_err());
    }
}
