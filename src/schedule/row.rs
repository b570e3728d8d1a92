//! A row of a schedule, as every format writes it.

use super::cell::{Cells, Part};
use super::{COLUMNS, Quantity, Style, Value};
use crate::finding::Finding;
use crate::measure::{Measurement, Status};

/// A row of a schedule in one [`Style`]: its cells, converted and rounded, and its findings one by one.
///
/// It is what remains of a measurement when the region and everything else of it has been let go.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// One for each column of the style.
    pub(super) cells: Cells,
    pub(super) findings: Vec<Finding>,
    pub(super) status: Status,
}

/// Where the columns of names stand in every style.
const DRAWING: usize = 0;
const SECTION: usize = 1;
const LAYER: usize = 2;

impl Row {
    /// The row of a measurement.
    pub fn of(measurement: &Measurement, style: Style) -> Row {
        /// Bytes of the cells of a row without a long path or findings, about.
        const BYTES: usize = 480;
        let mut cells = Cells::with_room(COLUMNS.len(), BYTES);
        for column in style.columns() {
            cells.push_value(column.value(measurement), column.quantity, measurement.unit, style);
        }
        Row { cells, findings: measurement.findings.clone(), status: measurement.status() }
    }

    /// The rows of measurements, in their order.
    pub fn all(measurements: &[Measurement], style: Style) -> Vec<Row> {
        measurements.iter().map(|measurement| Row::of(measurement, style)).collect()
    }

    /// Path of the drawing as it was given.
    pub fn drawing(&self) -> &str {
        self.text(DRAWING)
    }

    /// Name of the section; empty where the drawing could not be read.
    pub fn section(&self) -> &str {
        self.text(SECTION)
    }

    /// Name of the layer, several joined by `+`.
    pub fn layer(&self) -> &str {
        self.text(LAYER)
    }

    /// How far the row can be trusted.
    pub fn status(&self) -> Status {
        self.status
    }

    /// What its reader must know.
    pub fn findings(&self) -> &[Finding] {
        &self.findings
    }

    fn text(&self, column: usize) -> &str {
        match self.cells.get(column) {
            Some(Part::Text(text) | Part::Number(text)) => text,
            _ => "",
        }
    }

    /// Bytes that the row takes up in memory, about.
    pub fn weight(&self) -> usize {
        let finding = |f: &Finding| size_of::<Finding>() + f.message.len() + f.hint.len();
        size_of::<Row>() + self.cells.weight() + self.findings.iter().map(finding).sum::<usize>()
    }
}

/// A measurement's figures with all their digits, for whoever asks for more than a schedule shows.
///
/// In millimetres and their powers, in the order of the style's columns; `None` for text and for what is not known.
pub fn exact_figures(measurement: &Measurement, style: Style) -> Vec<Option<f64>> {
    let figure = |quantity: Quantity, value: Value| match value {
        Value::Number { value, .. } => {
            Some(value * quantity.factor(measurement.unit, crate::drawing::LengthUnit::Millimetre))
        }
        Value::Count(count) => Some(count as f64),
        Value::Text(_) | Value::Empty => None,
    };
    style.columns().map(|c| figure(c.quantity, c.value(measurement))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_stand_where_they_are_looked_for() {
        for (at, key) in [(DRAWING, "drawing"), (SECTION, "section"), (LAYER, "layer")] {
            assert_eq!(COLUMNS[at].key, key);
        }
        let mut failed = Measurement::failed("a.dxf", Finding::failure("no drawing"));
        failed.layer = "007".to_owned();
        let row = Row::of(&failed, Style::default());
        assert_eq!((row.drawing(), row.section(), row.layer()), ("a.dxf", "", "007"));
        assert_eq!((row.status(), row.findings().len()), (Status::Failed, 1));
        assert!(row.weight() > 500);
    }
}
