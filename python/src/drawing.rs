//! A drawing that was read and measured.

use std::path::PathBuf;

use pyo3::exceptions::PyKeyError;
use pyo3::prelude::*;
use pyo3::pybacked::PyBackedBytes;
use tracearm::drawing::{Drawing, ReadError};
use tracearm::finding::advice_with_options;
use tracearm::library::{self, DrawingFile, Unmatched};
use tracearm::measure::{self, Length, Measurement};
use tracearm::paths;
use tracearm::schedule::{Column, ColumnKey, Quantity, Row, Style, exact_figures};
use tracearm::sheet::picture::{self, Look};

use crate::findings::Finding;
use crate::interruptible::{self, Stop};
use crate::options::Options;
use crate::{columns, errors, values};

/// A drawing that was read and measured.
#[pyclass(frozen, get_all, module = "tracearm._tracearm")]
pub struct MeasuredDrawing {
    name: String,
    version: String,
    unit: String,
    unit_source: String,
    layers: Vec<String>,
    findings: Vec<Finding>,
    messages: Vec<String>,
    sections: Vec<Py<MeasuredSection>>,
}

/// A section of it.
#[pyclass(frozen, module = "tracearm._tracearm")]
pub struct MeasuredSection {
    measurement: Measurement,
    row: Row,
    exact: Vec<Option<f64>>,
    style: Style,
}

/// What comes out of the thread that reads.
struct Outcome {
    version: String,
    unit: String,
    unit_source: String,
    findings: Vec<tracearm::finding::Finding>,
    file: DrawingFile<Measurement>,
}

/// Where a drawing is read from.
enum From {
    Path(PathBuf),
    Bytes(PyBackedBytes),
}

/// Reads and measures a drawing: a path, or bytes with the name that its rows have.
#[pyfunction]
pub fn read(
    py: Python<'_>,
    path: Option<PathBuf>,
    bytes: Option<PyBackedBytes>,
    name: Option<String>,
    options: &Options,
) -> PyResult<MeasuredDrawing> {
    let from = match (path, bytes) {
        (_, Some(bytes)) => From::Bytes(bytes),
        (Some(path), None) => From::Path(path),
        (None, None) => return Err(errors::options(py, "give a path or bytes".to_owned())),
    };
    let name = name.unwrap_or_else(|| match &from {
        From::Path(path) => paths::text(path).into_owned(),
        From::Bytes(_) => "bytes".to_owned(),
    });
    let (reading, measuring, style) = (options.reading.clone(), options.options.clone(), options.style);
    let shown = name.clone();
    let outcome = interruptible::done(py, &Stop::default(), move || -> Result<Outcome, ReadError> {
        let drawing = match &from {
            From::Path(path) => Drawing::open_with(path, &reading)?,
            From::Bytes(bytes) => Drawing::read_with(&bytes[..], &reading)?,
        };
        let unit = measure::drawing_unit(&drawing, measuring.drawing_unit);
        let (version, findings) = (drawing.version.to_string(), drawing.findings.clone());
        let mut file = DrawingFile::of_drawing(&name, drawing, &measuring, |section| section);
        let mut unmatched = Unmatched::new();
        let layers = file.layers.clone().unwrap_or_default();
        unmatched.take(&library::unmatched(&layers, &measuring), layers.iter().map(String::as_str));
        let unmatched = unmatched.findings();
        file.sections.iter_mut().for_each(|section| section.findings.extend(unmatched.iter().cloned()));
        Ok(Outcome {
            version,
            unit: unit.unit.symbol().to_owned(),
            unit_source: unit.source.word().to_owned(),
            findings: findings.into_iter().chain(unmatched).collect(),
            file,
        })
    })?;
    let Outcome { version, unit, unit_source, findings, file } =
        outcome.map_err(|error| errors::reading(py, &shown, &error))?;
    // A drawing without a section has a row without a name in a schedule; here the messages say why.
    let named = file.sections.into_iter().filter(|section| !section.section.is_empty());
    let sections = named.map(|section| Py::new(py, MeasuredSection::of(section, style)));
    Ok(MeasuredDrawing {
        name: shown,
        version,
        unit,
        unit_source,
        layers: file.layers.unwrap_or_default(),
        findings: findings.iter().map(|finding| Finding::of(finding, advice_with_options)).collect(),
        messages: file.messages.iter().map(|message| message.words(advice_with_options)).collect(),
        sections: sections.collect::<PyResult<_>>()?,
    })
}

impl MeasuredSection {
    fn of(measurement: Measurement, style: Style) -> MeasuredSection {
        let row = Row::of(&measurement, style);
        let exact = exact_figures(&measurement, style);
        MeasuredSection { measurement, row, exact, style }
    }

    /// The column of this name with its place, where the style has it.
    fn column(&self, key: &str) -> PyResult<Option<(usize, &'static Column)>> {
        let known = ColumnKey::from_name(key).ok_or_else(|| PyKeyError::new_err(key.to_owned()))?;
        Ok(self.style.columns().enumerate().find(|(_, column)| column.key == known))
    }
}

/// A polygon: its outer edge and its holes, each closed by its first point.
type Polygon = (Vec<(f64, f64)>, Vec<Vec<(f64, f64)>>);

#[pymethods]
impl MeasuredSection {
    /// The value of a column by its name; `None` where it is not known.
    fn value(&self, py: Python<'_>, key: &str) -> PyResult<Option<Py<PyAny>>> {
        let Some((at, column)) = self.column(key)? else { return Ok(None) };
        let exact = self.exact.get(at).copied().flatten();
        values::cell(py, column.quantity, self.row.cell(column.key, self.style), exact)
    }

    /// The same as a schedule writes it, with its digits; `None` where it is empty.
    fn text(&self, key: &str) -> PyResult<Option<String>> {
        let column = self.column(key)?;
        Ok(column.and_then(|(_, column)| self.row.cell(column.key, self.style)).map(str::to_owned))
    }

    /// The columns that the section has.
    #[getter]
    fn columns(&self) -> Vec<columns::Column> {
        self.style.columns().map(|column| columns::Column::of(column, self.style)).collect()
    }

    #[getter]
    fn findings(&self) -> Vec<Finding> {
        let findings = self.measurement.findings.iter();
        findings.map(|finding| Finding::of(finding, advice_with_options)).collect()
    }

    /// The solid as polygons in the unit of the figures, with curves as chords within the tolerance: a length in words.
    fn polygons(&self, py: Python<'_>, tolerance: &str) -> PyResult<Vec<Polygon>> {
        let length = tolerance.parse().and_then(Length::above_zero);
        let length = length.map_err(|error| errors::options(py, format!("tolerance: {error}")))?;
        let unit = self.measurement.unit;
        let chords = length.millimetres(self.style.unit) / unit.millimetres();
        let factor = Quantity::Length(1).factor(unit, self.style.units());
        let Some(region) = self.measurement.region() else { return Ok(Vec::new()) };
        interruptible::guarded(py, || {
            let polygons = region.to_geo(chords);
            let scaled = |x: f64, y: f64| (x * factor, y * factor);
            let polygons = polygons.0.iter().map(|polygon| {
                let edge = polygon.exterior().0.iter().map(|point| scaled(point.x, point.y)).collect();
                let holes = polygon.interiors().iter();
                let holes = holes.map(|hole| hole.0.iter().map(|point| scaled(point.x, point.y)).collect());
                (edge, holes.collect())
            });
            polygons.collect()
        })
    }

    /// The picture of the section as SVG, with this date if it is not empty; `None` where there is nothing to draw.
    fn svg(&self, py: Python<'_>, date: &str) -> PyResult<Option<String>> {
        let picture = || {
            picture::section_dated(&self.measurement, &self.style, Look::Alone, "section", date)
                .map(|p| p.svg)
        };
        interruptible::guarded(py, picture)
    }
}
