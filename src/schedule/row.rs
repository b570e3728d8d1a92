//! A row of a schedule, as every format writes it.

use super::cell::{Cells, Part};
use super::{Column, ColumnKey, Quantity, Style, Value};
use crate::finding::{Finding, Severity};
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

/// Where a column of names stands: the columns of every schedule come first in every style.
pub(super) const fn place(key: ColumnKey) -> usize {
    let mut at = 0;
    while Column::ALL[at].key as usize != key as usize {
        at += 1;
    }
    at
}

impl Row {
    /// The row of a measurement.
    pub fn of(measurement: &Measurement, style: Style) -> Row {
        /// Bytes of the cells of a row without a long path or findings, about.
        const BYTES: usize = 480;
        let mut cells = Cells::with_room(Column::ALL.len(), BYTES);
        for column in style.columns() {
            let value = match column.holds_findings() {
                true => Value::Text(words(&measurement.findings, style)),
                false => column.value(measurement),
            };
            cells.push_value(value, column.quantity, measurement.unit, style);
        }
        Row { cells, findings: measurement.findings.clone(), status: measurement.status() }
    }

    /// The same row with another finding, as of what was found when others were measured: one in this style.
    pub fn with_finding(mut self, finding: Finding, style: Style) -> Row {
        self.findings.push(finding);
        if self.status == Status::Ok && self.findings.iter().any(|f| f.severity >= Severity::Warning) {
            self.status = Status::Warning;
        }
        let mut cells = Cells::with_room(Column::ALL.len(), self.cells.weight());
        for (at, column) in style.columns().enumerate() {
            match (column.key, self.cells.get(at)) {
                (ColumnKey::Status, _) => cells.push(Part::Text(self.status.word())),
                _ if column.holds_findings() => cells.push(Part::Text(&words(&self.findings, style))),
                (_, part) => cells.push(part.unwrap_or(Part::Empty)),
            }
        }
        self.cells = cells;
        self
    }

    /// The rows of measurements, in their order.
    pub fn all(measurements: &[Measurement], style: Style) -> Vec<Row> {
        measurements.iter().map(|measurement| Row::of(measurement, style)).collect()
    }

    /// The text of a cell, in the unit and with the digits of the row's style; `None` where it is empty, or where the style does
    /// not have the column. `style` is that of the row.
    pub fn cell(&self, key: ColumnKey, style: Style) -> Option<&str> {
        let at = style.columns().position(|column| column.key == key)?;
        Some(self.text(at)).filter(|text| !text.is_empty())
    }

    /// Path of the drawing as it was given.
    pub fn drawing(&self) -> &str {
        self.text(const { place(ColumnKey::Drawing) })
    }

    /// Name of the section; empty where the drawing could not be read.
    pub fn section(&self) -> &str {
        self.text(const { place(ColumnKey::Section) })
    }

    /// Name of the layer, several joined by `+`.
    pub fn layer(&self) -> &str {
        self.text(const { place(ColumnKey::Layer) })
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
        size_of::<Row>() + self.cells.weight() + self.findings.iter().map(Finding::weight).sum::<usize>()
    }
}

/// Findings in one text.
fn words(findings: &[Finding], style: Style) -> String {
    let all: Vec<String> = findings.iter().map(|finding| finding.words(style.advice)).collect();
    all.join(" | ")
}

/// A measurement's figures with all their digits, for whoever asks for more than a schedule shows.
///
/// In the units and in the order of the columns of the style; `None` for text and for what is not known.
pub fn exact_figures(measurement: &Measurement, style: Style) -> Vec<Option<f64>> {
    figures(measurement, style, |value, _| value)
}

/// The same with 0 for what is rounding alone, as in a schedule.
#[cfg(feature = "library")]
pub(crate) fn settled_figures(measurement: &Measurement, style: Style) -> Vec<Option<f64>> {
    figures(
        measurement,
        style,
        |value, scale| if super::number::is_rounding(value, scale) { 0.0 } else { value },
    )
}

fn figures(measurement: &Measurement, style: Style, settle: fn(f64, f64) -> f64) -> Vec<Option<f64>> {
    let figure = |quantity: Quantity, value: Value| match value {
        Value::Number { value, scale, .. } => {
            Some(settle(value, scale) * quantity.factor(measurement.unit, style.units()))
        }
        Value::Count(count) => Some(count as f64),
        Value::Text(_) | Value::Empty => None,
    };
    // Words would be written to be let go of.
    let figure_of = |column: &Column| match column.quantity {
        Quantity::Text => None,
        quantity => figure(quantity, column.value(measurement)),
    };
    let mut figures = Vec::with_capacity(Column::ALL.len());
    figures.extend(style.columns().map(figure_of));
    figures
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::Code;

    #[test]
    fn names_stand_where_they_are_looked_for() {
        let mut failed = Measurement::failed("a.dxf", Finding::of(Code::FileEmpty));
        failed.layer = "007".to_owned();
        let row = Row::of(&failed, Style::default());
        assert_eq!((row.drawing(), row.section(), row.layer()), ("a.dxf", "", "007"));
        assert_eq!((row.status(), row.findings().len()), (Status::Failed, 1));
        assert!(row.weight() > 500);
        let cell = |key| row.cell(key, Style::default());
        assert_eq!((cell(ColumnKey::Layer), cell(ColumnKey::Status)), (Some("007"), Some("failed")));
        assert_eq!((cell(ColumnKey::Area), cell(ColumnKey::Mass)), (None, None));
    }
}
