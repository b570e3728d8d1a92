//! Sums over the rows of a schedule, by what became of them.

use std::io::{self, Write};

use super::cell::Part;
use super::csv_writer::TableWriter;
use super::{ColumnKey, Quantity, Row, Style};
use crate::measure::Status;

/// What is summed: figures of which many sections have as much as all of them together.
const SUMMED: [ColumnKey; 10] = [
    ColumnKey::Parts,
    ColumnKey::Holes,
    ColumnKey::Area,
    ColumnKey::Perimeter,
    ColumnKey::OuterPerimeter,
    ColumnKey::InnerPerimeter,
    ColumnKey::MassPerLength,
    ColumnKey::Mass,
    ColumnKey::CutLength,
    ColumnKey::Pierces,
];

const STATUSES: [Status; 3] = [Status::Ok, Status::Warning, Status::Failed];

/// Sums of rows: their number, and for each figure what it comes to; `None` where it isn't known of each row that was measured.
#[derive(Clone, Copy, Debug)]
struct Sums {
    rows: usize,
    figures: [Option<f64>; SUMMED.len()],
}

/// Totals of a schedule, by status. Figures are summed as they are written, so that whoever adds the rows arrives at them.
#[derive(Clone, Debug)]
pub struct Totals {
    style: Style,
    /// Where each figure stands in a row; `None` for one that the style does not have.
    places: [Option<usize>; SUMMED.len()],
    by_status: [Sums; STATUSES.len()],
}

impl Totals {
    /// Of no rows yet, in this style.
    pub fn of(style: Style) -> Totals {
        let places = SUMMED.map(|key| style.columns().position(|column| column.key == key));
        let none = Sums { rows: 0, figures: places.map(|place| place.map(|_| 0.0)) };
        // What was not measured has figures that nobody knows.
        let unknown = Sums { rows: 0, figures: [None; SUMMED.len()] };
        let by_status = STATUSES.map(|status| if status == Status::Failed { unknown } else { none });
        Totals { style, places, by_status }
    }

    /// Adds a row of the same style.
    pub fn add(&mut self, row: &Row) {
        let Some(sums) = STATUSES.iter().position(|status| *status == row.status) else { return };
        let sums = &mut self.by_status[sums];
        sums.rows += 1;
        for (sum, place) in sums.figures.iter_mut().zip(self.places) {
            let figure = place.and_then(|at| match row.cells.get(at) {
                Some(Part::Number(figure)) => figure.parse::<f64>().ok(),
                _ => None,
            });
            *sum = sum.zip(figure).map(|(sum, figure)| sum + figure);
        }
    }

    /// Over all rows that were measured.
    fn whole(&self) -> Sums {
        let mut whole = Sums { rows: 0, figures: self.places.map(|place| place.map(|_| 0.0)) };
        for (status, sums) in STATUSES.iter().zip(&self.by_status) {
            whole.rows += sums.rows;
            if *status == Status::Failed {
                continue;
            }
            for (sum, other) in whole.figures.iter_mut().zip(sums.figures) {
                *sum = sum.zip(other).map(|(sum, other)| sum + other);
            }
        }
        whole
    }

    /// Writes the totals as CSV: a row for each status, and one for all.
    ///
    /// # Errors
    /// Those of `out`.
    pub fn write_csv<W: Write>(&self, out: W) -> io::Result<W> {
        let mut table = TableWriter::begin(self.headings().into_iter(), self.style.decimal, out)?;
        for (word, figures) in self.lines() {
            let figure = |figure: &String| super::csv_writer::figure(figure, self.style.decimal).into_owned();
            let cells: Vec<String> =
                [word.to_owned()].into_iter().chain(figures.iter().map(figure)).collect();
            table.push(&cells)?;
        }
        table.finish()
    }

    /// The heading of the statuses, and one for each figure of the [`lines`](Totals::lines).
    pub(super) fn headings(&self) -> Vec<String> {
        let columns = SUMMED.iter().zip(self.places).filter(|(_, place)| place.is_some());
        let columns = columns.map(|(key, _)| key.column().heading(self.style.units()));
        ["status".to_owned(), "sections".to_owned()].into_iter().chain(columns).collect()
    }

    /// For each status, and for all, its word and its figures: the number of sections first; empty what is not known.
    pub(super) fn lines(&self) -> impl Iterator<Item = (&'static str, Vec<String>)> {
        let words = STATUSES.iter().map(|status| status.word()).chain(["all"]);
        words.zip(self.by_status.into_iter().chain([self.whole()])).map(|(word, sums)| {
            let figures = (0..SUMMED.len()).filter(|k| self.places[*k].is_some());
            let figures = figures.map(|k| self.figure(k, sums).unwrap_or_default());
            (word, [sums.rows.to_string()].into_iter().chain(figures).collect())
        })
    }

    fn figure(&self, of: usize, sums: Sums) -> Option<String> {
        let quantity = SUMMED[of].column().quantity;
        let figure = sums.figures[of]?;
        Some(match quantity {
            Quantity::Count => format!("{figure:.0}"),
            _ => self.style.digits.text(figure, 0.0),
        })
    }

    /// The totals in a sentence, such as `3 sections (2 ok, 1 failed): area 4000 mm², mass 12.5 kg`.
    pub(crate) fn sentence(&self) -> String {
        let whole = self.whole();
        let of_status = STATUSES.iter().zip(&self.by_status).filter(|(_, sums)| sums.rows > 0);
        let counts: Vec<String> =
            of_status.map(|(status, sums)| format!("{} {}", sums.rows, status.word())).collect();
        let is_written = |key: &ColumnKey| self.style.choice.is_none_or(|choice| choice.keys().contains(key));
        let figures = SUMMED.iter().enumerate().filter(|(_, key)| is_written(key)).filter_map(|(k, key)| {
            let figure = self.figure(k, whole).filter(|figure| figure != "0")?;
            let unit = key.column().quantity.unit_text(self.style.units()).unwrap_or_default();
            Some(format!("{} {figure} {unit}", key.name().replace('_', " ")).trim_end().to_owned())
        });
        let figures: Vec<String> = figures.collect();
        let sections = if whole.rows == 1 { "section" } else { "sections" };
        format!("{} {sections} ({}): {}", whole.rows, counts.join(", "), figures.join(", "))
    }
}
