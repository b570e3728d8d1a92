//! The columns of a schedule, as Python sees them.

use pyo3::prelude::*;
use tracearm::schedule::{self, Group, Quantity, Style};

/// A column of a schedule.
#[pyclass(frozen, get_all, module = "tracearm")]
#[derive(Clone, Debug)]
pub struct Column {
    /// Its name without unit, such as ``"area"``.
    key: String,
    /// Its name with its unit, such as ``"area_mm2"``: the heading in CSV.
    heading: String,
    /// Its unit as people read it, such as ``"mm²"``; ``None`` for what has no unit.
    unit: Option<String>,
    /// What it is.
    definition: String,
    /// What it holds: ``"text"``, ``"count"`` (whole numbers) or ``"number"``.
    kind: String,
    /// Which schedules have it: ``"common"`` (all), ``"label"`` (``per="part"`` or ``"outline"``), ``"plate"`` (``thickness=``),
    /// ``"stated"`` (a job with axes of its own) or ``"field"`` (``field=True``).
    group: String,
}

impl Column {
    /// The column in the units of a style.
    pub fn of(column: &schedule::Column, style: Style) -> Column {
        let kind = match column.quantity {
            Quantity::Text => "text",
            Quantity::Count => "count",
            _ => "number",
        };
        let group = match column.group {
            Group::Common => "common",
            Group::Label => "label",
            Group::Plate => "plate",
            Group::Field => "field",
            _ => "stated",
        };
        Column {
            key: column.key.name().to_owned(),
            heading: column.heading(style.units()),
            unit: column.quantity.unit_text(style.units()),
            definition: column.definition.to_owned(),
            kind: kind.to_owned(),
            group: group.to_owned(),
        }
    }
}

#[pymethods]
impl Column {
    /// Every column that a schedule can have, in millimetres and kilograms.
    #[staticmethod]
    fn all() -> Vec<Column> {
        schedule::Column::ALL.iter().map(|column| Column::of(column, Style::default())).collect()
    }

    fn __repr__(&self) -> String {
        format!("<Column {}: {}>", self.heading, self.definition)
    }
}

/// The columns of a style that are written, each with its place among all that the style has.
pub fn written(style: Style) -> Vec<(usize, &'static schedule::Column)> {
    let all = style.columns().enumerate();
    match style.choice {
        None => all.collect(),
        Some(choice) => {
            let all: Vec<_> = all.collect();
            let of_key = |key: &_| all.iter().find(|(_, column)| column.key == *key).copied();
            choice.keys().iter().filter_map(of_key).collect()
        }
    }
}
