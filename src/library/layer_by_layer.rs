//! A drawing measured layer by layer, for whoever tells meanwhile how far it has come.

use std::borrow::Cow;
use std::fmt;

use super::drawing_file::{over_memory, reason, without_sections};
use super::{DrawingFile, Failure};
use crate::drawing::Drawing;
use crate::measure::{ByLayer, Layers, Measurement, Message, Options, Progress, Source, Status};

/// A drawing that was read and is measured layer by layer, so that whoever waits can be told how far it has come. What comes of it is
/// what [`DrawingFile::of_drawing`] gives.
pub struct LayerByLayer<'a, T> {
    name: String,
    /// Without its entities.
    drawing: Drawing,
    options: Cow<'a, Options>,
    layers: ByLayer<'static>,
    draws_nothing: bool,
    kept: Kept<T>,
}

/// Sections as they are kept, and what is told of those that failed.
struct Kept<T> {
    sections: Vec<T>,
    failed: Vec<Message>,
}

impl<T> Kept<T> {
    fn take(&mut self, section: Measurement, options: &Options, keep: &impl Fn(Measurement) -> T) {
        if section.status() == Status::Failed {
            self.failed.push(Message::not_measured(&section, options));
        }
        self.sections.push(keep(section));
    }
}

impl<T> LayerByLayer<'static, T> {
    /// Begins to measure a drawing. `name` is its path as it was given.
    pub fn of(name: &str, drawing: Drawing, options: Options) -> LayerByLayer<'static, T> {
        LayerByLayer::begin(name, drawing, Cow::Owned(options))
    }
}

impl<'a, T> LayerByLayer<'a, T> {
    pub(super) fn begin(name: &str, mut drawing: Drawing, options: Cow<'a, Options>) -> LayerByLayer<'a, T> {
        let entities = std::mem::take(&mut drawing.entities);
        let draws_nothing = entities.is_empty();
        let source = Source { name, drawing: &drawing, options: &options };
        let layers = ByLayer::of(source, Layers::of_own(&drawing, entities, &options));
        let kept = Kept { sections: Vec::new(), failed: Vec::new() };
        LayerByLayer { name: name.to_owned(), drawing, options, layers, draws_nothing, kept }
    }

    /// How far it has come.
    pub fn progress(&self) -> Progress {
        self.layers.progress()
    }

    /// Traces or measures the next layer, and keeps of its sections what `keep` makes of them; false where none is left.
    pub fn go_on(&mut self, keep: &impl Fn(Measurement) -> T) -> bool {
        let LayerByLayer { name, drawing, options, layers, kept, .. } = self;
        let source = Source { name, drawing, options };
        layers.go_on(source, &mut |section| kept.take(section, options, keep))
    }

    /// What came of it.
    pub fn finish(self, keep: &impl Fn(Measurement) -> T) -> DrawingFile<T> {
        let LayerByLayer { name, drawing, options, layers, draws_nothing, mut kept } = self;
        let source = Source { name: &name, drawing: &drawing, options: &options };
        let measured_drawing = layers.finish(source, &mut |section| kept.take(section, &options, keep));
        let Kept { sections, mut failed } = kept;
        let mut file = DrawingFile {
            layers: Some(drawing.layers.iter().map(|layer| layer.name.clone()).collect()),
            sections,
            messages: Vec::new(),
            failures: failed
                .first()
                .map(|_| Failure::Section)
                .into_iter()
                .chain(over_memory(&failed))
                .collect(),
            sha256: None,
        };
        let reason = reason(draws_nothing, &measured_drawing);
        file.tell_layers(&name, &drawing, &measured_drawing, reason);
        file.messages.append(&mut failed);
        if file.sections.is_empty() {
            file.sections.push(keep(without_sections(&name, &drawing, &options, &measured_drawing, reason)));
        }
        file.failures.sort_unstable();
        file.failures.dedup();
        file
    }
}

impl<T> fmt::Debug for LayerByLayer<'_, T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("LayerByLayer")
            .field("name", &self.name)
            .field("progress", &self.progress())
            .finish_non_exhaustive()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::ReadOptions;

    /// Circles on three layers, two of them within each other.
    const CIRCLES: &str = "0\nSECTION\n2\nENTITIES\n0\nCIRCLE\n8\nPLATE\n10\n3\n20\n4\n40\n50\n0\nCIRCLE\n8\nPLUG\n10\n3\n20\n4\n40\n7\n\
                           0\nCIRCLE\n8\nAPART\n10\n900\n20\n4\n40\n11\n0\nENDSEC\n0\nEOF\n";

    #[test]
    fn progress_goes_on_to_the_end_and_changes_nothing() {
        let read =
            || Drawing::read_with(CIRCLES.as_bytes(), &ReadOptions::default()).expect("it is a drawing");
        let options = Options::default();
        let mut layers = LayerByLayer::of("circles.dxf", read(), options.clone());
        let keep = |section: Measurement| (section.section.clone(), section.properties().map(|own| own.area));
        let mut told = vec![layers.progress()];
        while layers.go_on(&keep) {
            told.push(layers.progress());
        }
        let sum = |progress: &Progress| progress.traced + progress.measured;
        assert!(told.iter().zip(1..).all(|(progress, next)| sum(progress) + 1 == next), "{told:?}");
        let last = told.last().expect("there is one");
        // The plug lies in the plate.
        assert_eq!((last.traced, last.to_trace, last.measured, last.to_measure), (2, 2, 3, 3));
        let file = layers.finish(&keep);
        let at_once = DrawingFile::of_drawing("circles.dxf", read(), &options, keep);
        assert_eq!(file.sections, at_once.sections);
        assert_eq!(file.sections.len(), 3);
        let area = |name: &str| file.sections.iter().find(|own| own.0 == name).and_then(|own| own.1);
        assert!((area("APART").expect("measured") - 121.0 * std::f64::consts::PI).abs() < 1e-9);
    }
}
