//! Options of the page: those of the command, with the same words for their values.

use std::str::FromStr;

use serde_json::{Map, Value, json};
use tracearm::drawing::{LengthUnit, ReadOptions, Space};
use tracearm::field::{DEFAULT_TOLERANCE, FieldOptions, PoissonRatio, Tolerance};
use tracearm::finding::advice_with_options;
use tracearm::measure::{self, Density, Hatches, LayerChoice, Length, Options, Patterns, Per, Widths};
use tracearm::schedule::{Digits, Style};
use tracearm::unit::MassUnit;

/// What one drawing may take of the four gigabytes that a module can have.
const MEMORY: u64 = 1_500_000_000;

/// Why something was not done.
pub struct Refusal {
    /// The option that is meant; empty where none is.
    pub option: &'static str,
    pub words: String,
}

impl Refusal {
    pub fn of(words: impl Into<String>) -> Refusal {
        Refusal { option: "", words: words.into() }
    }

    pub fn object(&self) -> Value {
        json!({ "option": self.option, "words": self.words })
    }
}

/// Options that were understood.
pub struct Measuring {
    pub options: Options,
    pub style: Style,
    pub reading: ReadOptions,
    /// As they were asked for, for the sheet.
    pub layers: Vec<String>,
    pub skip: Vec<String>,
    pub void_layers: Vec<String>,
    pub hidden: bool,
}

/// Options as they were given.
struct Given<'a>(&'a Map<String, Value>);

impl Given<'_> {
    fn text(&self, name: &str) -> &str {
        self.0.get(name).and_then(Value::as_str).map_or("", str::trim)
    }

    /// A value in one word; none where the field is empty.
    fn parsed<T: FromStr<Err: std::fmt::Display>>(&self, name: &'static str) -> Result<Option<T>, Refusal> {
        match self.text(name) {
            "" => Ok(None),
            text => text.parse().map(Some).map_err(|error| refused(name, &error)),
        }
    }

    fn flag(&self, name: &str) -> bool {
        self.0.get(name).and_then(Value::as_bool).unwrap_or(false)
    }

    fn texts(&self, name: &str) -> Vec<String> {
        let texts = self.0.get(name).and_then(Value::as_array).into_iter().flatten();
        texts.filter_map(Value::as_str).filter(|text| !text.is_empty()).map(str::to_owned).collect()
    }

    fn patterns(&self, name: &'static str) -> Result<Patterns, Refusal> {
        Patterns::new(&self.texts(name)).map_err(|error| refused(name, &error))
    }
}

fn refused(option: &'static str, why: &dyn std::fmt::Display) -> Refusal {
    Refusal { option, words: why.to_string() }
}

impl Measuring {
    /// As the page asks.
    pub fn of(given: &Map<String, Value>) -> Result<Measuring, Refusal> {
        let given = Given(given);
        let per = given.parsed::<Per>("per")?.unwrap_or_default();
        let unit = given.parsed("units")?.unwrap_or(LengthUnit::Millimetre);
        let join: Option<Length> = given.parsed("join")?;
        let thickness = given.parsed::<Length>("thickness")?.map(Length::above_zero).transpose();
        let thickness = thickness.map_err(|error| refused("thickness", &error))?;
        let (layers, skip) = (given.texts("layers"), given.texts("skip"));
        let hidden = given.flag("hidden");
        given.patterns("layers")?;
        given.patterns("skip")?;
        let choice = LayerChoice::new(&layers, &skip, hidden).map_err(|error| refused("layers", &error))?;
        let void_layers = given.patterns("void_layers")?;
        let label_layers = given.patterns("label_layers")?;
        let labels = matches!(per, Per::Part | Per::Outline);
        let hatches = given.parsed::<Hatches>("hatches")?.unwrap_or_default();
        let widths = given.parsed::<Widths>("widths")?.unwrap_or_default();
        let drawing_unit = given.parsed("drawing_units")?;
        let density = given.parsed("density")?.map(Density::kilograms);
        let field = field(&given)?;
        let options = Options::with(|o| {
            o.per = per;
            o.layers = choice;
            o.void_layers = void_layers;
            // The page has one field for each, and keeps what stands in those that do not count.
            o.label_layers = if labels { label_layers } else { Patterns::default() };
            o.hatches = hatches;
            o.widths = widths;
            o.drawing_unit = drawing_unit;
            o.join_mm = join.map_or(measure::DEFAULT_JOIN_MM, |length| length.millimetres(unit));
            o.density = density;
            o.thickness_mm = thickness.map(|length| length.millimetres(unit));
            o.common_cuts = given.flag("common_cuts") && per == Per::Outline && thickness.is_some();
            o.field = field;
        });
        let (digits, mass_unit) =
            (given.parsed::<Digits>("digits")?.unwrap_or_default(), given.parsed::<MassUnit>("mass_units")?);
        let style = Style::with(|s| {
            s.unit = unit;
            s.mass_unit = mass_unit.unwrap_or_default();
            s.digits = digits;
            s.labels = labels;
            s.plates = thickness.is_some();
            s.field = options.field.is_some();
            s.advice = advice_with_options;
        });
        let space = given.parsed::<Space>("space")?.unwrap_or_default();
        let mut reading = ReadOptions::with(|r| r.space = space);
        reading.limits.memory = MEMORY;
        Ok(Measuring {
            options,
            style,
            reading,
            layers,
            skip,
            void_layers: given.texts("void_layers"),
            hidden,
        })
    }
}

/// Torsion, warping and shear, where they are asked for, with the bounds that the command has for its options.
fn field(given: &Given) -> Result<Option<FieldOptions>, Refusal> {
    let tolerance = given.parsed("field_tolerance")?.map_or(DEFAULT_TOLERANCE, Tolerance::share);
    let poisson = given.parsed("poisson")?.map_or(0.0, PoissonRatio::number);
    Ok(given.flag("field").then(|| FieldOptions::new(tolerance, poisson)))
}
