//! What can be asked of every command that measures.

use clap::Args;
use tracearm::drawing::LengthUnit;
use tracearm::measure::Length;
use tracearm::schedule::Digits;
use tracearm::unit::MassUnit;

use super::{PerArgument, ReadingArguments, density, field_tolerance, poisson, thickness};

#[derive(Args)]
pub struct MeasuringArguments {
    /// Unit of all figures: mm, cm, m, in or ft [default: mm]
    #[arg(long, value_name = "UNIT")]
    pub units: Option<LengthUnit>,

    /// Unit of masses: kg, with kg/m for masses per length, or lb, with lb/ft
    #[arg(long, value_name = "UNIT", default_value = "kg")]
    pub mass_units: MassUnit,

    /// What one section is
    #[arg(long, value_enum, default_value = "layer")]
    pub per: PerArgument,

    /// Cut the closed outlines on layers whose name matches out of every section that they lie over, even across an edge;
    /// may be repeated
    #[arg(long, value_name = "GLOB")]
    pub void_layers: Vec<String>,

    /// Name parts and outlines only by the texts on layers whose name matches; may be repeated
    #[arg(long, value_name = "GLOB")]
    pub label_layers: Vec<String>,

    /// Density for the mass per length: a number in kg/m³ (steel: 7850), or with kg/m3, g/cm3, lb/ft3 or lb/in3
    #[arg(long, value_name = "DENSITY", value_parser = density, allow_hyphen_values = true)]
    pub density: Option<f64>,

    /// Measure sections as flat plates of this thickness: a number with mm, cm, m, in or ft, such as 10mm, 3/8in or 3/8";
    /// without one, in the unit of --units
    ///
    /// Adds to the figures: thickness, mass (with --density), cut length, pierces, smallest stock rectangle in any
    /// direction and balance point.
    #[arg(long, value_name = "LENGTH", value_parser = thickness, allow_hyphen_values = true)]
    pub thickness: Option<Length>,

    /// With --per outline and --thickness: count an edge that two plates share once, in the cut length of the first plate
    #[arg(long, requires = "thickness")]
    pub common_cuts: bool,

    /// Add torsion, warping and shear constants, by elastic theory for a straight bar with the same section all along
    ///
    /// The torsion constant is given with a lower and an upper bound, the other figures with an estimate of their error.
    #[arg(long)]
    pub field: bool,

    /// With --field: how close together the bounds of the torsion constant must be, as a share of it: 1e-7 to 0.01
    #[arg(long, value_name = "SHARE", default_value = "1e-3", value_parser = field_tolerance)]
    pub field_tolerance: f64,

    /// With --field: Poisson ratio of the material for shear areas, 0 to 0.5 (steel: 0.3)
    #[arg(long, value_name = "RATIO", default_value = "0", value_parser = poisson, allow_hyphen_values = true)]
    pub poisson: f64,

    /// Significant digits of all figures, 1 to 17, or `full` for every digit
    #[arg(long, value_name = "N", default_value = "6")]
    pub digits: Digits,

    #[command(flatten)]
    pub reading: ReadingArguments,
}
