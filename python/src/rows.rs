//! A schedule of many drawings.

use std::io;
use std::path::{Path, PathBuf};

use pyo3::prelude::*;
use pyo3::types::{PyBytes, PyList};
use tracearm::finding::advice_with_options;
use tracearm::library::{self, Concurrency, JobSections, RunError, Source, Sources, Task, Unmatched};
use tracearm::measure::{Message, Status};
use tracearm::schedule::{DecimalMark, Format, Row, Schedule, Style, exact_figures};

use crate::findings::Finding;
use crate::interruptible::{self, Stop};
use crate::options::Options;
use crate::{columns, errors, values};

/// The rows of a schedule with all digits of their figures.
#[pyclass(frozen, module = "tracearm._tracearm")]
pub struct MeasuredRows {
    rows: Vec<Row>,
    /// As many as there are rows.
    exact: Vec<Vec<Option<f64>>>,
    messages: Vec<String>,
    style: Style,
}

/// Measures drawings, those in folders too, and those that a job names.
#[pyfunction]
pub fn schedule(py: Python<'_>, paths: Vec<PathBuf>, options: &Options) -> PyResult<MeasuredRows> {
    let task = Task::with(|t| {
        t.options = options.options.clone();
        t.reading = options.reading.clone();
        t.style = options.style;
        t.exact = true;
        t.job.clone_from(&options.job);
    });
    let concurrency = Concurrency::with(|c| {
        c.jobs = options.jobs;
        c.time_limit = options.time_limit;
    });
    let stop = Stop::default();
    let told = stop.clone();
    let measured = interruptible::done(py, &stop, move || run(paths, task, concurrency, &told))?;
    measured.map_err(|error| errors::of_system(py, error.to_string()))
}

fn run(
    paths: Vec<PathBuf>,
    task: Task,
    concurrency: Concurrency,
    stop: &Stop,
) -> Result<MeasuredRows, RunError> {
    let (style, options, job) = (task.style, task.options.clone(), task.job.clone());
    let sources: Box<dyn Iterator<Item = Source> + Send> = match &job {
        None => Box::new(Sources::of(paths)),
        Some(job) => {
            let drawings: Vec<Source> = job.drawings().into_iter().map(Path::to_owned).map(Ok).collect();
            Box::new(drawings.into_iter())
        }
    };
    let told = stop.clone();
    let sources = sources.take_while(move |_| !told.is_asked_for());
    let mut all = MeasuredRows { rows: Vec::new(), exact: Vec::new(), messages: Vec::new(), style };
    let mut unmatched = Unmatched::new();
    library::run(sources, task, concurrency, None, |drawings| {
        for drawing in drawings {
            if drawing.read && job.is_none() {
                unmatched.take(&drawing.unmatched, drawing.layers.iter().map(String::as_str));
            }
            all.rows.extend(drawing.rows);
            all.exact.extend(drawing.exact);
            all.messages.extend(drawing.messages.iter().map(|message| message.words(advice_with_options)));
        }
        if stop.is_asked_for() { Err(io::Error::from(io::ErrorKind::Interrupted).into()) } else { Ok(()) }
    })?;
    for finding in unmatched.findings() {
        all.messages.push(finding.words(advice_with_options));
        let rows = std::mem::take(&mut all.rows).into_iter();
        all.rows = rows.map(|row| row.with_finding(finding.clone(), style)).collect();
    }
    if let Some(job) = &job {
        all.add_without_drawing(job, &options);
    }
    Ok(all)
}

impl MeasuredRows {
    /// Adds the sections of a job that have no drawing, and puts all into its order.
    fn add_without_drawing(&mut self, job: &JobSections, options: &tracearm::measure::Options) {
        for section in job.without_drawing() {
            self.messages.push(Message::not_measured(&section, options).words(advice_with_options));
            self.exact.push(exact_figures(&section, self.style));
            self.rows.push(Row::of(&section, self.style));
        }
        let (rows, exact) = (std::mem::take(&mut self.rows), std::mem::take(&mut self.exact));
        let mut both: Vec<_> = rows.into_iter().zip(exact).collect();
        both.sort_by_key(|(row, _)| job.place(row.section()));
        (self.rows, self.exact) = both.into_iter().unzip();
    }
}

#[pymethods]
impl MeasuredRows {
    fn __len__(&self) -> usize {
        self.rows.len()
    }

    /// What the command tells on standard error.
    #[getter]
    fn messages(&self) -> Vec<String> {
        self.messages.clone()
    }

    /// The columns that are written.
    #[getter]
    fn columns(&self) -> Vec<columns::Column> {
        let written = columns::written(self.style);
        written.into_iter().map(|(_, column)| columns::Column::of(column, self.style)).collect()
    }

    /// The values of each of them, one list for each.
    fn values<'py>(&self, py: Python<'py>) -> PyResult<Vec<Bound<'py, PyList>>> {
        let lists = columns::written(self.style).into_iter().map(|(at, column)| {
            let values = self.rows.iter().zip(&self.exact).map(|(row, exact)| {
                let exact = exact.get(at).copied().flatten();
                values::cell(py, column.quantity, row.cell(column.key, self.style), exact)
            });
            PyList::new(py, values.collect::<PyResult<Vec<_>>>()?)
        });
        lists.collect()
    }

    /// The cells of a row as the schedule writes them, with its digits.
    fn texts(&self, row: usize) -> Vec<Option<&str>> {
        let Some(row) = self.rows.get(row) else { return Vec::new() };
        let written = columns::written(self.style).into_iter();
        written.map(|(_, column)| row.cell(column.key, self.style)).collect()
    }

    /// The places of the rows that were not measured.
    #[getter]
    fn failed(&self) -> Vec<usize> {
        let rows = self.rows.iter().enumerate();
        rows.filter(|(_, row)| row.status() == Status::Failed).map(|(place, _)| place).collect()
    }

    /// The findings of a row.
    fn findings(&self, row: usize) -> Vec<Finding> {
        let findings = self.rows.get(row).into_iter().flat_map(Row::findings);
        findings.map(|finding| Finding::of(finding, advice_with_options)).collect()
    }

    /// The schedule in a format, as the command writes it.
    fn written<'py>(&self, py: Python<'py>, format: &str, decimal: &str) -> PyResult<Bound<'py, PyBytes>> {
        let format: Format =
            format.parse().map_err(|error| errors::options(py, format!("format: {error}")))?;
        let decimal: DecimalMark =
            decimal.parse().map_err(|error| errors::options(py, format!("decimal: {error}")))?;
        let mut style = self.style;
        style.decimal = decimal;
        let write = || {
            let mut schedule = Schedule::begin(style, format, Vec::new())?;
            self.rows.iter().try_for_each(|row| schedule.push(row.clone()))?;
            schedule.finish()
        };
        let bytes = py.detach(|| interruptible::caught(write));
        match bytes {
            Ok(Ok(bytes)) => Ok(PyBytes::new(py, &bytes)),
            Ok(Err(error)) => Err(errors::of_system(py, error.to_string())),
            Err(fault) => Err(errors::fault(py, &fault)),
        }
    }
}
