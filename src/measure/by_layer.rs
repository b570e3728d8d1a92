//! A drawing measured layer by layer: what may lie in or across another layer is traced first, then one layer after the other is
//! resolved, held against the others and measured.

use std::collections::VecDeque;

use super::beside::{self, Beside, Found};
use super::drawn::Drawn;
use super::groups::{Group, Layers};
use super::islands;
use super::memory::over_memory;
use super::rows::{Resolved, Rows, Settings};
use super::{LayerWithoutOutline, MeasuredDrawing, Measurement, Options, Per, Traced, label};
use crate::drawing::{Drawing, Entity, LayerIndex};
use crate::outline::Ring;

/// How far the measuring of a drawing has come.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[non_exhaustive]
pub struct Progress {
    /// Layers that were traced before the first was measured, since they may lie in or across others.
    pub traced: usize,
    /// So many are to be.
    pub to_trace: usize,
    /// Layers that were measured.
    pub measured: usize,
    /// So many are to be; one where all are one section.
    pub to_measure: usize,
}

/// The sections of one drawing while they are measured.
pub(crate) struct ByLayer<'e> {
    settings: Settings,
    voids: Drawn<'e>,
    cut: Traced,
    outcome: MeasuredDrawing,
    groups: Vec<Group<'e>>,
    /// Of each group, what it was traced to before the first was measured.
    traced: Vec<Option<Traced>>,
    /// Groups that are measured, and those that are left out, which are still to be traced beforehand.
    waiting: VecDeque<Waiting<'e>>,
    left_out: Vec<(Group<'e>, Traced)>,
    outlines: Vec<(LayerIndex, String, Vec<Ring>)>,
    beside: Option<Beside>,
    /// Sections are looked into no further ahead than it takes to say what lies in the next one.
    looked: VecDeque<(Result<Resolved, LayerWithoutOutline>, Vec<Found>)>,
    next: usize,
    /// Parts and outlines, whose names are chosen among all of them.
    to_label: Vec<Measurement>,
    progress: Progress,
}

/// What is traced before the first group is measured.
enum Waiting<'e> {
    /// The group with this number.
    Chosen(usize),
    LeftOut(Group<'e>),
}

/// A drawing, and how it is measured.
#[derive(Clone, Copy)]
pub(crate) struct Source<'a> {
    pub name: &'a str,
    pub drawing: &'a Drawing,
    pub options: &'a Options,
}

impl Source<'_> {
    fn trace(&self, entities: &[&Entity], tolerance: f64) -> Traced {
        let Options { hatches, widths, per, .. } = *self.options;
        match over_memory(self.drawing, entities) {
            Some(finding) => Traced::failed(finding),
            None if per == Per::Outline => Traced::apart(entities, tolerance, hatches, widths),
            None => Traced::of(entities, tolerance, hatches, widths),
        }
    }
}

impl<'e> ByLayer<'e> {
    /// Of the layers of a drawing.
    pub fn of(source: Source<'_>, layers: Layers<'e>) -> ByLayer<'e> {
        let Options { per, hatches, widths, .. } = *source.options;
        let settings = Settings::of(source.drawing, source.options);
        let tolerance = settings.tolerance;
        let Layers { chosen, left_out, voids, hidden } = layers;
        let cut = Traced::voids(&voids.entities(), tolerance, hatches, widths);
        let groups: Vec<Group> = if per == Per::Drawing {
            let drawn = chosen.iter().filter(|group| !group.drawn.is_empty());
            let layers = drawn.flat_map(|group| group.layers.iter().copied()).collect();
            let drawn = chosen.into_iter().map(|group| group.drawn).reduce(Drawn::and);
            vec![Group { name: stem(source.name), layers, drawn: drawn.unwrap_or_else(Drawn::none) }]
        } else {
            chosen
        };
        // Layers that meet others are traced before the first is measured; the rest one by one, so that they need little memory.
        let meets = if groups.len() + left_out.len() > 1 {
            let drawn: Vec<_> = groups.iter().chain(&left_out).map(|group| group.drawn.entities()).collect();
            islands::meeting(&drawn.iter().map(AsRef::as_ref).collect::<Vec<_>>(), tolerance)
        } else {
            vec![false; groups.len()]
        };
        let (meets, left_out_meets) = meets.split_at(groups.len());
        let chosen = meets.iter().enumerate().filter(|(_, meets)| **meets);
        let left_out = left_out.into_iter().zip(left_out_meets).filter(|(_, meets)| **meets);
        let waiting: VecDeque<Waiting> = chosen
            .map(|(k, _)| Waiting::Chosen(k))
            .chain(left_out.map(|(group, _)| Waiting::LeftOut(group)))
            .collect();
        let progress = Progress { to_trace: waiting.len(), to_measure: groups.len(), ..Progress::default() };
        ByLayer {
            settings,
            voids,
            cut,
            outcome: MeasuredDrawing { hidden, ..MeasuredDrawing::default() },
            traced: groups.iter().map(|_| None).collect(),
            groups,
            waiting,
            left_out: Vec::new(),
            outlines: Vec::new(),
            beside: None,
            looked: VecDeque::new(),
            next: 0,
            to_label: Vec::new(),
            progress,
        }
    }

    /// How far it has come.
    #[cfg(feature = "library")]
    pub fn progress(&self) -> Progress {
        self.progress
    }

    /// Traces or measures the next layer, and hands on what it measured, but for parts and outlines; false where none is left. The
    /// source is always the same.
    pub fn go_on(&mut self, source: Source<'_>, take: &mut dyn FnMut(Measurement)) -> bool {
        if let Some(waiting) = self.waiting.pop_front() {
            self.trace(source, waiting);
            self.progress.traced += 1;
            return true;
        }
        if self.progress.measured < self.groups.len() {
            if source.options.per.is_labelled() {
                let mut parts = std::mem::take(&mut self.to_label);
                self.measure(source, &mut |part| parts.push(part));
                self.to_label = parts;
            } else {
                self.measure(source, take);
            }
            self.progress.measured += 1;
            return true;
        }
        false
    }

    /// Hands on parts and outlines, and then what there is beside the sections.
    pub fn finish(self, source: Source<'_>, take: &mut dyn FnMut(Measurement)) -> MeasuredDrawing {
        let mut labelled = self.to_label;
        label(&mut labelled, source.drawing, source.options);
        labelled.into_iter().for_each(take);
        self.outcome
    }

    fn trace(&mut self, source: Source<'_>, waiting: Waiting<'e>) {
        let outlines = &mut self.outlines;
        let mut add = |group: &Group, traced: &Traced| {
            if let [layer] = group.layers[..] {
                let rings = beside::outlines(traced, &group.drawn.entities());
                outlines.push((layer, group.name.clone(), rings));
            }
        };
        match waiting {
            Waiting::Chosen(k) => {
                let group = &self.groups[k];
                let traced = source.trace(&group.drawn.entities(), self.settings.tolerance);
                if source.options.per != Per::Drawing {
                    add(group, &traced);
                }
                self.traced[k] = Some(traced);
            }
            Waiting::LeftOut(group) => {
                let traced = source.trace(&group.drawn.entities(), self.settings.tolerance);
                add(&group, &traced);
                self.left_out.push((group, traced));
            }
        }
    }

    fn measure(&mut self, source: Source<'_>, take: &mut dyn FnMut(Measurement)) {
        let k = self.progress.measured;
        let tolerance = self.settings.tolerance;
        let outlines = std::mem::take(&mut self.outlines);
        let beside = self.beside.get_or_insert_with(|| Beside::of(outlines, tolerance));
        let rows = Rows { source, settings: self.settings, void_entities: &self.voids, voids: &self.cut };
        let trace = |entities: &[&Entity]| source.trace(entities, tolerance);
        let per_part = source.options.per.is_labelled();
        while self.next <= k
            || self.next < self.groups.len()
                && self.looked.front().is_some_and(|(_, found)| beside.is_undecided(found))
        {
            let (group, traced) = (&mut self.groups[self.next], self.traced[self.next].take());
            let is_traced = traced.is_some();
            let resolved = rows.resolve(group, traced, &trace);
            let found = match &resolved {
                Ok(Resolved { region: Some(region), .. }) if is_traced => {
                    beside.look(region, &group.layers, per_part)
                }
                _ => Vec::new(),
            };
            self.looked.push_back((resolved, found));
            self.groups[self.next].let_go_unless(|_| false);
            self.next += 1;
        }
        let Some((resolved, found)) = self.looked.pop_front() else { return };
        // What lies in sections that are left out is no less the outline of holes.
        if beside.is_undecided(&found) {
            for (mut group, traced) in self.left_out.drain(..) {
                if let Ok(Resolved { region: Some(region), .. }) =
                    rows.resolve(&mut group, Some(traced), &trace)
                {
                    beside.look(&region, &group.layers, per_part);
                }
            }
        }
        match resolved {
            Ok(resolved) => rows.measure(&self.groups[k], resolved, beside, &found, take),
            Err(unclosed) => self.outcome.without_outline.push(unclosed),
        }
    }
}

/// The file name without folders and ending.
fn stem(path: &str) -> String {
    std::path::Path::new(path)
        .file_stem()
        .map_or_else(|| path.to_owned(), |s| s.to_string_lossy().into_owned())
}
