//! What could not be measured in one of two schedules: its sections are not gone from it, nor new in the other.

use std::collections::{BTreeMap, BTreeSet};

use super::pair::Pairs;
use super::rows::Rows;
use crate::measure::Status;
use crate::schedule::ColumnKey;

/// Sections that could not be compared, because one of the schedules has a row that says that they were not measured.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Unread {
    /// The schedule of that row: 0 for the former one, 1 for the later one.
    pub side: usize,
    /// That row.
    pub row: usize,
    /// How many sections of the other schedule it stands for.
    pub sections: usize,
}

/// What a row without figures stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Scope<'a> {
    /// All sections of its drawing, which has no name.
    Drawing,
    /// The parts of its layer, which would have names of their own.
    Layer(&'a str),
}

/// Takes rows that are alone out of those that were added or are gone where the other schedule could not measure them, with the
/// rows that say so. `drawings` say which drawings are one.
pub(super) fn set_aside(pairs: &mut Pairs, rows: [&Rows; 2], drawings: [&[usize]; 2]) {
    let columns = rows.map(Places::of);
    for side in [1, 0] {
        let [own, other] = [side, 1 - side];
        let alone = [&pairs.gone, &pairs.added].map(Clone::clone);
        let mut by_drawing: BTreeMap<usize, Vec<(usize, Scope)>> = BTreeMap::new();
        for row in &alone[own] {
            if let Some(scope) = columns[own].scope(rows[own], *row) {
                let drawing = drawings[own].get(*row).copied().unwrap_or_default();
                by_drawing.entry(drawing).or_default().push((*row, scope));
            }
        }
        if by_drawing.is_empty() {
            continue;
        }
        let mut stands_for: BTreeMap<usize, usize> = BTreeMap::new();
        let mut untold = BTreeSet::new();
        for row in &alone[other] {
            let drawing = drawings[other].get(*row).copied().unwrap_or_default();
            let mut scopes = by_drawing.get(&drawing).into_iter().flatten();
            if let Some((unread, _)) = scopes.find(|(_, s)| columns[other].is_within(rows[other], *row, *s)) {
                *stands_for.entry(*unread).or_default() += 1;
                untold.insert(*row);
            }
        }
        let [gone, added] = [&mut pairs.gone, &mut pairs.added];
        let [of_own, of_other] = if own == 1 { [added, gone] } else { [gone, added] };
        of_own.retain(|row| !stands_for.contains_key(row));
        of_other.retain(|row| !untold.contains(row));
        pairs.not_compared[other].extend(untold);
        let told = stands_for.into_iter().map(|(row, sections)| Unread { side: own, row, sections });
        pairs.unread.extend(told);
    }
}

/// Where columns stand that say what a row is.
struct Places {
    status: Option<usize>,
    layer: Option<usize>,
}

impl Places {
    fn of(rows: &Rows) -> Places {
        let place = |key| rows.columns().iter().position(|column| column.column.key == key);
        Places { status: place(ColumnKey::Status), layer: place(ColumnKey::Layer) }
    }

    /// What a row stands for if it says that nothing was measured.
    fn scope<'a>(&self, rows: &'a Rows, row: usize) -> Option<Scope<'a>> {
        let section = rows.section(row);
        if section.is_empty() {
            return Some(Scope::Drawing);
        }
        let failed = self.status.is_some_and(|at| rows.cell(row, at) == Status::Failed.word());
        let layer = self.layer.map(|at| rows.cell(row, at));
        (failed && layer == Some(section)).then_some(Scope::Layer(section))
    }

    fn is_within(&self, rows: &Rows, row: usize, scope: Scope) -> bool {
        match scope {
            Scope::Drawing => true,
            Scope::Layer(layer) => {
                let part = rows.section(row).strip_prefix(layer).and_then(|rest| rest.strip_prefix('#'));
                part.is_some() && self.layer.is_none_or(|at| rows.cell(row, at) == layer)
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::pair::{By, pair};
    use super::*;

    /// Rows of two drawings: drawing, section, layer, status.
    fn rows(all: &[(&str, &str, &str, &str)]) -> Rows {
        let cells =
            all.iter().map(|(drawing, section, layer, status)| (*drawing, *section, [*layer, *status]));
        Rows::of(&["layer", "status"], cells)
    }

    #[test]
    fn a_drawing_that_was_not_measured() {
        let whole = rows(&[
            ("a.dxf", "LUG", "LUG", "ok"),
            ("a.dxf", "WEB", "WEB", "ok"),
            ("b.dxf", "CAP", "CAP", "ok"),
        ]);
        let partly = rows(&[("a.dxf", "", "", "failed"), ("c.dxf", "", "", "failed")]);
        for by in [By::DrawingAndSection, By::Section] {
            let pairs = pair(&whole, &partly, by);
            // The drawing that is gone is gone, and that which is new and fails is new.
            assert_eq!((pairs.gone, pairs.added), (vec![2], vec![1]), "{by:?}");
            assert_eq!(pairs.not_compared, [vec![0, 1], vec![]]);
            assert_eq!(pairs.unread, [Unread { side: 1, row: 0, sections: 2 }]);
            let pairs = pair(&partly, &whole, by);
            assert_eq!((pairs.gone, pairs.added), (vec![1], vec![2]));
            assert_eq!(pairs.not_compared, [vec![], vec![0, 1]]);
            assert_eq!(pairs.unread, [Unread { side: 0, row: 0, sections: 2 }]);
        }
        let pairs = pair(&partly, &partly, By::default());
        assert!(pairs.both.len() == 2 && pairs.unread.is_empty());
    }

    #[test]
    fn a_layer_that_was_not_measured() {
        let parts =
            rows(&[("a.dxf", "P#1", "P", "ok"), ("a.dxf", "P#2", "P", "ok"), ("a.dxf", "Q#1", "Q", "ok")]);
        let failed = rows(&[("a.dxf", "P", "P", "failed")]);
        let pairs = pair(&parts, &failed, By::default());
        assert_eq!((pairs.gone, pairs.added), (vec![2], vec![]));
        assert_eq!(pairs.not_compared, [vec![0, 1], vec![]]);
        // What was measured as a whole is no failure, and neither is a section of its own name.
        let whole = rows(&[("a.dxf", "P", "P", "ok")]);
        assert_eq!(pair(&parts, &whole, By::default()).gone, [0, 1, 2]);
        assert_eq!(pair(&whole, &failed, By::default()).both, [[0, 0]]);
    }
}
