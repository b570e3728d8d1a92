//! Drawings that a run died of, measured by a process of their own.

use std::fmt;
use std::path::Path;
use std::sync::Arc;

use super::measured::{Figures, LedgerRecord};
use super::{DrawingRows, Failure, Task};
use crate::paths;
use crate::schedule::{
    StoredRow, messages_to_store, stored_messages, stored_row, stored_texts, texts_to_store,
};

/// What measures a drawing in a process of its own: it gives what [`DrawingRows::measured_apart`] gave there, or says in
/// words how the process ended.
#[derive(Clone)]
pub struct Apart(Arc<Measure>);

type Measure = dyn Fn(&Path) -> Result<String, String> + Send + Sync;

impl Apart {
    /// By this means.
    pub fn by(measure: impl Fn(&Path) -> Result<String, String> + Send + Sync + 'static) -> Apart {
        Apart(Arc::new(measure))
    }
}

impl fmt::Debug for Apart {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Apart")
    }
}

impl DrawingRows {
    /// Reads and measures a drawing, and gives what a run needs of it as text. This is what the process does that measures a
    /// drawing apart, with the same task.
    pub fn measured_apart(path: &Path, task: &Task) -> String {
        DrawingRows::drawing(path, task, true).to_text()
    }

    /// Measures a drawing in another process, where the task has the means; one that dies costs the drawing alone.
    pub(super) fn apart(path: &Path, task: &Task) -> DrawingRows {
        let Some(Apart(measure)) = &task.apart else { return DrawingRows::drawing(path, task, true) };
        let measured = measure(path).and_then(|text| {
            DrawingRows::of_text(&text, path).ok_or_else(|| "it gave no whole result".to_owned())
        });
        measured.unwrap_or_else(|how| DrawingRows::died(path, &how, task))
    }

    fn to_text(&self) -> String {
        let flag = |value: bool| if value { "yes" } else { "no" }.to_owned();
        let list = |texts: &[String]| texts_to_store(texts);
        let some = |text: &Option<String>| match text {
            Some(text) => format!("={text}"),
            None => String::new(),
        };
        let record = self.for_ledger.clone().unwrap_or_default();
        let mut texts = vec![
            flag(self.read),
            some(&record.sha256),
            self.failures.iter().map(|failure| failure.letter()).collect(),
            messages_to_store(&self.messages),
            list(&self.unmatched),
            list(&self.layers),
        ];
        for (row, figures) in self.rows.iter().zip(&record.figures) {
            let StoredRow { cells, findings } = StoredRow::of(row);
            let exact = figures.exact.iter().map(|figure| match figure {
                // Every bit of it.
                Some(figure) => format!("{:x}", figure.to_bits()),
                None => String::new(),
            });
            let named = [&figures.outline, &figures.shape, &figures.label, &figures.drawing_unit];
            texts.extend([cells, findings, exact.collect::<Vec<_>>().join(" ")]);
            texts.extend(named.map(some));
        }
        texts_to_store(&texts)
    }

    /// What was given as text; `None` for other text.
    fn of_text(text: &str, drawing: &Path) -> Option<DrawingRows> {
        let name = paths::text(drawing);
        let mut texts = stored_texts(text)?.into_iter();
        let some = |text: String| match text.strip_prefix('=') {
            Some(rest) => Some(Some(rest.to_owned())),
            None => text.is_empty().then_some(None),
        };
        let read = texts.next()? == "yes";
        let sha256 = some(texts.next()?)?;
        let letters = texts.next()?;
        let mut measured = DrawingRows {
            read,
            failures: Failure::ALL.into_iter().filter(|f| letters.contains(f.letter())).collect(),
            messages: stored_messages(&texts.next()?, &name)?,
            unmatched: stored_texts(&texts.next()?)?,
            layers: stored_texts(&texts.next()?)?,
            ..DrawingRows::default()
        };
        let mut record = LedgerRecord { sha256, figures: Vec::new() };
        while let Some(cells) = texts.next() {
            measured.rows.push(stored_row(&cells, &texts.next()?, &name)?);
            let exact = texts.next()?;
            let exact = exact.split(' ').map(|digits| match digits {
                "" => Some(None),
                digits => u64::from_str_radix(digits, 16).ok().map(|bits| Some(f64::from_bits(bits))),
            });
            record.figures.push(Figures {
                exact: exact.collect::<Option<Vec<_>>>()?,
                outline: some(texts.next()?)?,
                shape: some(texts.next()?)?,
                label: some(texts.next()?)?,
                drawing_unit: some(texts.next()?)?,
            });
        }
        measured.for_ledger = Some(record);
        Some(measured)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_another_process_measured_is_what_this_one_would_have() {
        let task = Task::default();
        let mut rows = 0;
        for name in [
            "rail-clamp.dxf",
            "gantry-end-plate.dxf",
            "formula-layers.dxf",
            "no-outlines.dxf",
            "not there.dxf",
        ] {
            let path = format!("{}/fixtures/{name}", env!("CARGO_MANIFEST_DIR"));
            let (path, here) = (Path::new(&path), DrawingRows::drawing(Path::new(&path), &task, true));
            let there = DrawingRows::of_text(&DrawingRows::measured_apart(path, &task), path).unwrap();
            assert_eq!(format!("{there:?}"), format!("{here:?}"), "{name}");
            rows += there.rows.len();
        }
        assert!(rows > 8, "{rows}");
        for text in ["", "[]", "[\"yes\"]", "[\"yes\",\"\",\"\",\"[]\",\"[]\",\"[]\",\"okx1:a\"]"] {
            assert!(DrawingRows::of_text(text, Path::new("a.dxf")).is_none(), "{text}");
        }
    }

    #[test]
    fn a_process_that_dies_costs_one_drawing() {
        let task = Task::with(|t| t.apart = Some(Apart::by(|_| Err("signal: 6 (SIGABRT)".to_owned()))));
        let died = DrawingRows::apart(Path::new("shop/lug.dxf"), &task);
        assert_eq!((died.rows.len(), died.failures.as_slice()), (1, [Failure::Program].as_slice()));
        let said = died.messages[0].to_string();
        assert!(said.contains("shop/lug.dxf") && said.contains("SIGABRT"), "{said}");
        let nonsense = Task::with(|t| t.apart = Some(Apart::by(|_| Ok("?".to_owned()))));
        assert_eq!(DrawingRows::apart(Path::new("shop/lug.dxf"), &nonsense).failures, [Failure::Program]);
    }
}
