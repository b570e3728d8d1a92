//! What remains of a drawing once it is measured: rows, not regions.

use std::path::Path;
use std::sync::Arc;
use std::time::Duration;

#[cfg(feature = "ledger")]
use super::Apart;
use super::digest::sha256;
use super::{DrawingFile, Failure, JobSections, SourceError, unmatched};
use crate::drawing::ReadOptions;
use crate::finding::Code;
use crate::measure::{Measurement, Message, Options};
use crate::schedule::{ColumnKey, Row, Style, Value, exact_figures, piece_cells, settled_figures};

/// What is asked of every drawing.
#[derive(Clone, Debug, Default)]
#[non_exhaustive]
pub struct Task {
    /// How drawings are measured.
    pub options: Options,
    /// How they are read.
    pub reading: ReadOptions,
    /// How their rows are written.
    pub style: Style,
    /// Whether the pieces of the sections are wanted too.
    pub pieces: bool,
    /// Whether the figures of the rows are wanted with all their digits too.
    pub exact: bool,
    /// What is measured of the drawings, where that is what a job takes from them.
    pub job: Option<Arc<JobSections>>,
    /// How a drawing is measured in a process of its own that an earlier run with the ledger died of; where it is not said, it is
    /// measured like all others.
    #[cfg(feature = "ledger")]
    pub apart: Option<Apart>,
}

impl Task {
    /// The default task with what `change` sets.
    pub fn with(change: impl FnOnce(&mut Task)) -> Task {
        let mut task = Task::default();
        change(&mut task);
        task
    }
}

/// What remains of a drawing.
#[derive(Clone, Debug, Default)]
#[must_use]
#[non_exhaustive]
pub struct DrawingRows {
    /// A row for each section; of a drawing that could not be read, one that says why.
    pub rows: Vec<Row>,
    /// The cells of the pieces, where they were asked for.
    pub pieces: Vec<Vec<String>>,
    /// For each row its figures with all digits, as [`exact_figures`] gives them, where they were asked for; none of a drawing
    /// that was remembered.
    pub exact: Vec<Vec<Option<f64>>>,
    /// What failed and what gave no row.
    pub messages: Vec<Message>,
    /// The kinds of failures.
    pub failures: Vec<Failure>,
    /// Whether the drawing could be read, so that the two that follow are known.
    pub read: bool,
    /// The patterns of the options that match none of its layers.
    pub unmatched: Vec<String>,
    /// Names of its layers, the first few by name, where a pattern matches none of them.
    pub layers: Vec<String>,
    /// Whether it was remembered instead of measured.
    pub remembered: bool,
    /// What became of it since it was measured last, where there is a ledger.
    pub change: Option<Change>,
    /// What a ledger keeps beside the rows.
    pub(super) for_ledger: Option<LedgerRecord>,
}

/// What became of a drawing since it was measured last, by its bytes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[non_exhaustive]
pub enum Change {
    /// The ledger has none at its path.
    New,
    /// It has other bytes, or it is not known which it had.
    Changed,
    /// It has the same bytes.
    Unchanged,
}

/// More names don't help to see a slip of spelling.
const MOST_NAMES: usize = 13;

/// What a ledger keeps beside the rows.
#[derive(Clone, Debug, Default)]
#[cfg_attr(not(feature = "ledger"), allow(dead_code, reason = "read by ledgers alone"))]
pub(super) struct LedgerRecord {
    /// SHA-256 of the drawing file; `None` where it could not be read.
    pub sha256: Option<String>,
    /// For each row the digest of its outline and its figures in millimetres, with all digits.
    pub figures: Vec<Figures>,
}

#[derive(Clone, Debug)]
#[cfg_attr(not(feature = "ledger"), allow(dead_code, reason = "read by ledgers alone"))]
pub(super) struct Figures {
    /// Digests of the outline as it lies, and of its shape turned and mirrored in any way.
    pub outline: Option<String>,
    pub shape: Option<String>,
    pub label: Option<String>,
    pub drawing_unit: Option<String>,
    pub exact: Vec<Option<f64>>,
}

/// Every column that a schedule can have, in millimetres.
pub(super) const EVERY_COLUMN: Style = Style {
    unit: crate::drawing::LengthUnit::Millimetre,
    digits: crate::schedule::Digits::FULL,
    labels: true,
    plates: true,
    stated: true,
    field: true,
    mass_unit: crate::unit::MassUnit::Kilogram,
    choice: None,
    decimal: crate::schedule::DecimalMark::Point,
    advice: Code::advice,
};

impl DrawingRows {
    /// Reads and measures a drawing; `keep` what a ledger wants to know.
    pub fn drawing(path: &Path, task: &Task, keep: bool) -> DrawingRows {
        let reduced = |section| Section::of(&section, task, keep);
        let file = match &task.job {
            Some(job) => DrawingFile::of_job(path, job, &task.options, &task.reading, keep, reduced),
            None => DrawingFile::measured(path, &task.options, &task.reading, keep, reduced),
        };
        DrawingRows::of(file, task, keep)
    }

    /// A drawing whose measuring took longer than it may.
    pub fn over_time(path: &Path, limit: Duration, task: &Task) -> DrawingRows {
        let reduced = |section| Section::of(&section, task, true);
        DrawingRows::of(
            DrawingFile::over_time(path, limit, task.job.as_deref(), &task.options, reduced),
            task,
            true,
        )
    }

    /// A drawing whose measuring ended the process that it was done in, in this way.
    #[cfg(feature = "ledger")]
    pub(super) fn died(path: &Path, how: &str, task: &Task) -> DrawingRows {
        let reduced = |section| Section::of(&section, task, true);
        let file = DrawingFile::died(path, how, task.job.as_deref(), &task.options, reduced);
        DrawingRows::of(file, task, true)
    }

    /// Where no drawing is to be measured, for this reason.
    pub fn without(why: &SourceError, task: &Task) -> DrawingRows {
        DrawingRows::of(DrawingFile::without_drawing(why), task, false)
    }

    /// Whether the program died of it.
    #[cfg(feature = "ledger")]
    pub(super) fn has_died(&self) -> bool {
        self.messages.iter().flat_map(|message| &message.findings).any(|f| f.code == Code::ProgramDied)
    }

    /// Whether this is a drawing that was measured before in the same run, and has its rows there.
    pub fn is_repeated(&self) -> bool {
        self.rows.is_empty() && self.failures.is_empty() && !self.messages.is_empty()
    }

    fn of(file: DrawingFile<Section>, task: &Task, keep: bool) -> DrawingRows {
        let names = file.layers.as_deref().unwrap_or_default();
        let without = if file.layers.is_some() { unmatched(names, &task.options) } else { Vec::new() };
        let mut layers = if without.is_empty() { Vec::new() } else { names.to_vec() };
        layers.sort_unstable();
        layers.dedup();
        layers.truncate(MOST_NAMES);
        let mut measured = DrawingRows {
            messages: file.messages,
            failures: file.failures,
            read: file.layers.is_some(),
            unmatched: without,
            layers,
            ..DrawingRows::default()
        };
        let mut figures = Vec::new();
        for section in file.sections {
            measured.rows.push(section.row);
            measured.pieces.extend(section.pieces);
            measured.exact.extend(section.exact);
            figures.extend(section.figures);
        }
        measured.for_ledger = keep.then_some(LedgerRecord { sha256: file.sha256, figures });
        measured
    }

    /// Bytes that it takes up in memory, about.
    pub(super) fn weight(&self) -> usize {
        let texts = |all: &[String]| all.iter().map(|text| size_of::<String>() + text.len()).sum::<usize>();
        size_of::<DrawingRows>()
            + self.rows.iter().map(Row::weight).sum::<usize>()
            + self.pieces.iter().map(|cells| texts(cells)).sum::<usize>()
            + self.exact.iter().map(|figures| size_of_val(figures.as_slice())).sum::<usize>()
            + self.messages.iter().map(Message::weight).sum::<usize>()
            + texts(&self.layers)
    }
}

/// What remains of a section.
struct Section {
    row: Row,
    pieces: Vec<Vec<String>>,
    exact: Option<Vec<Option<f64>>>,
    figures: Option<Figures>,
}

impl Section {
    fn of(measurement: &Measurement, task: &Task, keep: bool) -> Section {
        Section {
            row: Row::of(measurement, task.style),
            pieces: if task.pieces { piece_cells(measurement, task.style) } else { Vec::new() },
            exact: task.exact.then(|| exact_figures(measurement, task.style)),
            figures: keep.then(|| Figures::of(measurement)),
        }
    }
}

impl Figures {
    fn of(measurement: &Measurement) -> Figures {
        let millimetres = measurement.unit.millimetres();
        let measured = measurement.region().zip(measurement.properties());
        let written = measured.map(|(region, section)| (region.written(millimetres), section));
        let shape = written.as_ref().and_then(|(written, section)| written.shape(section.centroid));
        Figures {
            outline: written.as_ref().map(|(written, _)| sha256(&written.signature())),
            shape: shape.map(|bytes| sha256(&bytes)),
            label: measurement.label.clone(),
            drawing_unit: match ColumnKey::DrawingUnit.column().value(measurement) {
                Value::Text(unit) => Some(unit),
                _ => None,
            },
            exact: settled_figures(measurement, EVERY_COLUMN),
        }
    }
}
