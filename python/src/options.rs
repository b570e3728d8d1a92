//! Options: those of the command line, with underscores, and the same words for their values.

use std::path::PathBuf;
use std::str::FromStr;
use std::sync::Arc;
use std::time::Duration;

use pyo3::prelude::*;
use pyo3::types::{PyBool, PyDict, PyFloat, PyInt, PyMapping, PyString};
use tracearm::drawing::{LengthUnit, Limits, ReadOptions, Space};
use tracearm::field::{FieldOptions, PoissonRatio, Tolerance};
use tracearm::finding::{advice_with_options, nearest};
use tracearm::library::{self, JobSections, TimeLimit};
use tracearm::measure::{self, Density, Hatches, Job, LayerChoice, Length, Patterns, Per, Widths};
use tracearm::paths;
use tracearm::schedule::{ColumnChoice, ColumnChoiceError, Digits, Group, Style};
use tracearm::unit::MassUnit;

use crate::{columns, errors};

/// Those of everything that measures.
const MEASURING: [&str; 21] = [
    "units",
    "mass_units",
    "per",
    "void_layers",
    "label_layers",
    "density",
    "thickness",
    "common_cuts",
    "field",
    "field_tolerance",
    "poisson",
    "digits",
    "drawing_units",
    "layers",
    "skip",
    "space",
    "limit",
    "hatches",
    "widths",
    "hidden",
    "join",
];

/// Those of schedules alone.
const OF_SCHEDULES: [&str; 4] = ["columns", "job", "jobs", "time_limit"];

/// The most drawings measured in parallel, as on the command line.
const MOST_JOBS: u64 = 1024;

/// Options that were understood.
#[pyclass(frozen, module = "tracearm._tracearm")]
pub struct Options {
    /// How drawings are measured.
    pub options: measure::Options,
    /// How they are read.
    pub reading: ReadOptions,
    /// In which units and with which columns and digits.
    pub style: Style,
    /// The sections of a job, where one is asked for.
    pub job: Option<Arc<JobSections>>,
    /// Number of drawings measured in parallel.
    pub jobs: usize,
    /// How long a drawing may take.
    pub time_limit: Option<Duration>,
}

#[pymethods]
impl Options {
    /// Options by their names; ``schedule`` says whether those of schedules are among them, and ``drawings`` take the place of those
    /// that a job names.
    #[new]
    fn new(named: &Bound<PyDict>, schedule: bool, drawings: Vec<PathBuf>) -> PyResult<Options> {
        Given { named, schedule }.options(&drawings)
    }

    /// The columns of a schedule with these options.
    #[getter]
    fn columns(&self) -> Vec<columns::Column> {
        let written = columns::written(self.style);
        written.into_iter().map(|(_, column)| columns::Column::of(column, self.style)).collect()
    }

    /// The sections of a job come from drawings that it names itself.
    #[getter]
    fn has_drawings(&self) -> bool {
        self.job.is_some()
    }
}

/// Options as they were given.
struct Given<'a, 'py> {
    named: &'a Bound<'py, PyDict>,
    schedule: bool,
}

impl<'py> Given<'_, 'py> {
    fn py(&self) -> Python<'py> {
        self.named.py()
    }

    /// An error that names the option.
    fn refused(&self, name: &str, why: impl std::fmt::Display) -> PyErr {
        errors::options(self.py(), format!("{name}: {why}"))
    }

    fn options(&self, drawings: &[PathBuf]) -> PyResult<Options> {
        self.refuse_unknown()?;
        let job = self.job(drawings)?;
        let asked = job.as_deref().map(JobSections::job);
        let per = self.parsed::<Per>("per")?.unwrap_or_default();
        let unit =
            self.parsed("units")?.or(asked.and_then(|job| job.units)).unwrap_or(LengthUnit::Millimetre);
        let join: Option<Length> = self.parsed("join")?.or(asked.and_then(|job| job.join));
        let thickness = self.parsed::<Length>("thickness")?;
        let thickness = thickness.map(Length::above_zero).transpose();
        let thickness = thickness.map_err(|error| self.refused("thickness", error))?;
        // Each by itself too, so that an error names the option.
        for name in ["layers", "skip"] {
            self.patterns(name)?;
        }
        let layers = LayerChoice::new(&self.texts("layers")?, &self.texts("skip")?, self.flag("hidden")?);
        let label_layers = self.patterns("label_layers")?;
        if !label_layers.is_empty() && !per.is_labelled() {
            return Err(self.refused("label_layers", "works only with per=\"part\" or per=\"outline\""));
        }
        let common_cuts = self.flag("common_cuts")?;
        if common_cuts && (per != Per::Outline || thickness.is_none()) {
            return Err(self.refused(
                "common_cuts",
                "works only with per=\"outline\" and thickness=: otherwise plates that share an edge are one part",
            ));
        }
        let mut options = measure::Options::default();
        options.per = per;
        options.layers = layers.map_err(|error| self.refused("layers, skip", error))?;
        options.void_layers = self.patterns("void_layers")?;
        options.label_layers = label_layers;
        options.hatches = self.parsed::<Hatches>("hatches")?.unwrap_or_default();
        options.widths = self.parsed::<Widths>("widths")?.unwrap_or_default();
        options.drawing_unit = self.parsed("drawing_units")?;
        options.join_mm = join.map_or(measure::DEFAULT_JOIN_MM, |length| length.millimetres(unit));
        options.density = self.parsed("density")?.map(Density::kilograms);
        options.thickness_mm = thickness.map(|length| length.millimetres(unit));
        options.common_cuts = common_cuts;
        options.field = self.field()?;
        let mut style = Style::with(|s| {
            s.unit = unit;
            s.labels = per.is_labelled();
            s.plates = options.thickness_mm.is_some();
            s.field = options.field.is_some();
            s.stated =
                asked.is_some_and(|job| job.sections.iter().any(|s| s.about.is_some() || s.turned.is_some()));
            s.advice = advice_with_options;
        });
        style.mass_unit = self.parsed::<MassUnit>("mass_units")?.unwrap_or_default();
        style.digits = self.parsed::<Digits>("digits")?.unwrap_or_default();
        style.choice = self.columns(style)?;
        let jobs = match self.parsed::<u64>("jobs")? {
            Some(jobs @ 1..=MOST_JOBS) => jobs as usize,
            Some(_) => {
                return Err(self.refused("jobs", format_args!("use a number from 1 to {MOST_JOBS}")));
            }
            None => library::cores(),
        };
        let time_limit = self.parsed("time_limit")?.map(TimeLimit::duration);
        Ok(Options { options, reading: self.reading()?, style, job, jobs, time_limit })
    }

    /// Torsion, warping and shear constants, where they are asked for. Wrong numbers are told without that too.
    fn field(&self) -> PyResult<Option<FieldOptions>> {
        let mut field = FieldOptions::default();
        if let Some(tolerance) = self.parsed("field_tolerance")? {
            field.tolerance = Tolerance::share(tolerance);
        }
        if let Some(ratio) = self.parsed("poisson")? {
            field.poisson = PoissonRatio::number(ratio);
        }
        Ok(self.flag("field")?.then_some(field))
    }

    /// A name that is none is told with what is probably meant.
    fn refuse_unknown(&self) -> PyResult<()> {
        let known = || MEASURING.iter().chain(OF_SCHEDULES.iter().filter(|_| self.schedule)).copied();
        for name in self.named.keys() {
            let name = name.extract::<String>()?;
            if known().any(|known| known == name) {
                continue;
            }
            let why = if OF_SCHEDULES.contains(&name.as_str()) {
                "it is an option of tracearm.schedule alone".to_owned()
            } else if let Some(near) = nearest(&name, known()) {
                format!("perhaps {near} is meant")
            } else {
                format!("there are: {}", known().collect::<Vec<_>>().join(", "))
            };
            return Err(errors::unknown_option(
                self.py(),
                format!("there is no option “{name}” here: {why}"),
            ));
        }
        Ok(())
    }

    /// What was given for an option; `None` counts as nothing.
    fn given(&self, name: &str) -> PyResult<Option<Bound<'py, PyAny>>> {
        Ok(self.named.get_item(name)?.filter(|value| !value.is_none()))
    }

    /// A value as the command line would have it.
    fn text(&self, name: &str, value: &Bound<'py, PyAny>) -> PyResult<String> {
        let is_number = value.is_instance_of::<PyInt>() || value.is_instance_of::<PyFloat>();
        if value.is_instance_of::<PyString>() {
            return value.extract();
        }
        if is_number && !value.is_instance_of::<PyBool>() {
            return Ok(value.str()?.to_string());
        }
        let kind = value.get_type().name()?;
        Err(self.refused(name, format_args!("use text, as on the command line, or a number, not {kind}")))
    }

    /// A value that stands in one word.
    fn parsed<T: FromStr<Err: std::fmt::Display>>(&self, name: &str) -> PyResult<Option<T>> {
        let Some(value) = self.given(name)? else { return Ok(None) };
        let text = self.text(name, &value)?;
        text.parse().map(Some).map_err(|error| self.refused(name, error))
    }

    fn flag(&self, name: &str) -> PyResult<bool> {
        let Some(value) = self.given(name)? else { return Ok(false) };
        value.extract().map_err(|_| self.refused(name, "use True or False"))
    }

    /// Texts: one, or several in a list.
    fn texts(&self, name: &str) -> PyResult<Vec<String>> {
        let Some(value) = self.given(name)? else { return Ok(Vec::new()) };
        if value.is_instance_of::<PyString>() {
            return Ok(vec![value.extract()?]);
        }
        let several = value.try_iter().and_then(|values| {
            values
                .map(|value| value.and_then(|value| value.extract::<String>()))
                .collect::<PyResult<Vec<_>>>()
        });
        several.map_err(|_| self.refused(name, "use text, or a list of texts"))
    }

    fn patterns(&self, name: &str) -> PyResult<Patterns> {
        Patterns::new(&self.texts(name)?).map_err(|error| self.refused(name, error))
    }

    fn columns(&self, style: Style) -> PyResult<Option<ColumnChoice>> {
        if self.given("columns")?.is_none() {
            return Ok(None);
        }
        let choice = ColumnChoice::of_style(&self.texts("columns")?.join(","), style);
        choice.map(Some).map_err(|error| match error {
            ColumnChoiceError::NotInStyle(name, Group::Label) => self.refused(
                "columns",
                format_args!("“{name}” exists only with per=\"part\" or per=\"outline\""),
            ),
            ColumnChoiceError::NotInStyle(name, Group::Plate) => {
                self.refused("columns", format_args!("“{name}” exists only with thickness="))
            }
            ColumnChoiceError::NotInStyle(name, Group::Field) => {
                self.refused("columns", format_args!("“{name}” exists only with field=True"))
            }
            other => self.refused("columns", other),
        })
    }

    fn reading(&self) -> PyResult<ReadOptions> {
        let space = self.parsed::<Space>("space")?.unwrap_or_default();
        let mut reading = ReadOptions::with(|r| r.space = space);
        reading.limits.memory = library::memory_for_one();
        for (name, number) in self.limits()? {
            let set = reading.limits.set_text(&name.replace('_', "-"), number.trim());
            set.map_err(|error| self.refused("limit", error))?;
        }
        Ok(reading)
    }

    /// Limits as `"memory=4GB"`, several of these, or a dictionary of them.
    fn limits(&self) -> PyResult<Vec<(String, String)>> {
        let Some(value) = self.given("limit")? else { return Ok(Vec::new()) };
        if let Ok(named) = value.cast::<PyMapping>() {
            let pair = |item: Bound<'py, PyAny>| {
                let (name, number) = item.extract::<(String, Bound<'py, PyAny>)>()?;
                let number = self.text("limit", &number)?;
                Ok((name, number))
            };
            return named.items()?.iter().map(pair).collect();
        }
        let pair = |text: String| match text.split_once('=') {
            Some((name, number)) => Ok((name.to_owned(), number.to_owned())),
            None => {
                let names = Limits::NAMES.join(", ");
                let why = format!("use NAME=NUMBER, with one of these names: {names}");
                Err(self.refused("limit", why))
            }
        };
        self.texts("limit")?.into_iter().map(pair).collect()
    }

    /// The job file that is named; its drawings are those given, where there are any.
    fn job(&self, drawings: &[PathBuf]) -> PyResult<Option<Arc<JobSections>>> {
        let Some(value) = self.given("job")? else { return Ok(None) };
        for other in ["layers", "skip", "void_layers", "per"] {
            if self.given(other)?.is_some() {
                return Err(
                    self.refused(other, "cannot be used with job=: the job file says what is measured")
                );
            }
        }
        let path: PathBuf = value.extract().map_err(|_| self.refused("job", "name a job file"))?;
        let shown = paths::text(&path);
        let text = std::fs::read_to_string(&path)
            .map_err(|error| self.refused("job", format_args!("{shown} cannot be read: {error}")))?;
        let job = Job::read(&text).map_err(|error| self.refused("job", format_args!("{shown}: {error}")))?;
        Ok(Some(Arc::new(JobSections::of(job, &path, drawings))))
    }
}
