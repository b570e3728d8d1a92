//! Which part of a layer in one schedule is which in another: parts are numbered from left to right, so that one plate more
//! gives all that follow another name.

use std::collections::{BTreeMap, BTreeSet};

use super::rows::Rows;
use crate::schedule::ColumnKey;

/// Columns that change when a part is moved as it is.
const PLACES: [ColumnKey; 12] = [
    ColumnKey::XMin,
    ColumnKey::XMax,
    ColumnKey::YMin,
    ColumnKey::YMax,
    ColumnKey::CentroidX,
    ColumnKey::CentroidY,
    ColumnKey::PlasticAxisX,
    ColumnKey::PlasticAxisY,
    ColumnKey::BalanceX,
    ColumnKey::BalanceY,
    ColumnKey::StatedPointX,
    ColumnKey::StatedPointY,
];

/// The parts of two schedules that are the same although their numbers may differ: first those that are called alike, then
/// those of which all cells are the same, then those that are but for their places. `drawings` say which drawings are one.
pub(super) fn matched(rows: [&Rows; 2], drawings: [&[usize]; 2]) -> Vec<[usize; 2]> {
    let [before, after] = rows;
    let columns = |rows: &Rows, wanted: &dyn Fn(ColumnKey) -> bool| -> Vec<(String, usize)> {
        rows.columns()
            .iter()
            .enumerate()
            .filter(|(_, column)| wanted(column.column.key))
            .map(|(at, column)| (column.heading.clone(), at))
            .collect()
    };
    let common = |wanted: &dyn Fn(ColumnKey) -> bool| -> Vec<[usize; 2]> {
        let of_after = columns(after, wanted);
        let same = |heading: &str| of_after.iter().find(|(other, _)| other == heading).map(|(_, at)| *at);
        columns(before, wanted).into_iter().filter_map(|(heading, at)| Some([at, same(&heading)?])).collect()
    };
    let layer = common(&|key| key == ColumnKey::Layer);
    let [layer] = layer[..] else { return Vec::new() };
    let label = common(&|key| key == ColumnKey::Label);
    let figures = common(&|key| !matches!(key, ColumnKey::Label | ColumnKey::Layer));
    let at_rest =
        common(&|key| !PLACES.contains(&key) && !matches!(key, ColumnKey::Label | ColumnKey::Layer));
    let mut groups: BTreeMap<(usize, String), [Vec<usize>; 2]> = BTreeMap::new();
    for (side, rows) in rows.into_iter().enumerate() {
        for row in 0..rows.len() {
            let of_layer = rows.cell(row, layer[side]);
            let number = rows.section(row).strip_prefix(of_layer).and_then(|rest| rest.strip_prefix('#'));
            if number.is_some_and(|number| number.parse::<u32>().is_ok()) {
                let drawing = drawings[side].get(row).copied().unwrap_or_default();
                groups.entry((drawing, of_layer.to_owned())).or_default()[side].push(row);
            }
        }
    }
    let cells = |side: usize, row: usize, of: &[[usize; 2]]| -> Vec<String> {
        of.iter().map(|at| rows[side].cell(row, at[side]).to_owned()).collect()
    };
    let mut found = Vec::new();
    for mut group in groups.into_values() {
        for (of, is_name) in [(&label, true), (&figures, false), (&at_rest, false)] {
            if !of.is_empty() {
                pair_alike(&mut group, is_name, &mut found, |side, row| cells(side, row, of));
            }
        }
    }
    found
}

/// Takes the rows whose cells are the same out of a group, the first with the first; of names only those that stand once.
fn pair_alike(
    group: &mut [Vec<usize>; 2],
    is_name: bool,
    found: &mut Vec<[usize; 2]>,
    cells: impl Fn(usize, usize) -> Vec<String>,
) {
    let mut alike: BTreeMap<Vec<String>, [Vec<usize>; 2]> = BTreeMap::new();
    for (side, rows) in group.iter().enumerate() {
        for row in rows {
            alike.entry(cells(side, *row)).or_default()[side].push(*row);
        }
    }
    let mut taken: [BTreeSet<usize>; 2] = Default::default();
    for (cells, [before, after]) in alike {
        let is_told = cells.iter().any(|cell| !cell.is_empty());
        let is_one = before.len() == 1 && after.len() == 1;
        if is_told && (is_one || !is_name) {
            for (before, after) in before.into_iter().zip(after) {
                taken[0].insert(before);
                taken[1].insert(after);
                found.push([before, after]);
            }
        }
    }
    for (side, rows) in group.iter_mut().enumerate() {
        rows.retain(|row| !taken[side].contains(row));
    }
}

#[cfg(test)]
mod tests {
    use super::super::pair::{By, pair};
    use super::*;

    /// Rows of a.dxf: section, layer, label, area and place.
    fn rows(parts: &[(&str, &str, &str, &str, &str)]) -> Rows {
        let headings = ["layer", "label", "area_mm2", "x_min_mm"];
        let cells = parts
            .iter()
            .map(|(section, layer, label, area, place)| ("a.dxf", *section, [*layer, *label, *area, *place]));
        Rows::of(&headings, cells)
    }

    fn pairs(before: &Rows, after: &Rows) -> (Vec<[usize; 2]>, Vec<usize>, Vec<usize>) {
        let pairs = pair(before, after, By::DrawingAndSection);
        (pairs.both, pairs.gone, pairs.added)
    }

    #[test]
    fn one_plate_more_changes_no_other() {
        let before = rows(&[
            ("P#1", "P", "", "100", "5"),
            ("P#2", "P", "", "200", "50"),
            ("P#3", "P", "", "300", "90"),
        ]);
        let after = rows(&[
            ("P#1", "P", "", "70", "0"),
            ("P#2", "P", "", "100", "5"),
            ("P#3", "P", "", "200", "50"),
            ("P#4", "P", "", "300", "90"),
        ]);
        assert_eq!(pairs(&before, &after), (vec![[0, 1], [1, 2], [2, 3]], vec![], vec![0]));
        assert_eq!(pairs(&after, &before), (vec![[1, 0], [2, 1], [3, 2]], vec![0], vec![]));
    }

    #[test]
    fn names_go_before_figures_and_figures_before_numbers() {
        // B was made larger and moved before A; C was moved; D changed in its place.
        let before = rows(&[
            ("P#1", "P", "A", "100", "5"),
            ("P#2", "P", "B", "200", "50"),
            ("P#3", "P", "", "300", "90"),
            ("P#4", "P", "", "400", "120"),
        ]);
        let after = rows(&[
            ("P#1", "P", "B", "100", "1"),
            ("P#2", "P", "A", "100", "5"),
            ("P#3", "P", "", "300", "95"),
            ("P#4", "P", "", "450", "120"),
        ]);
        assert_eq!(pairs(&before, &after), (vec![[0, 1], [1, 0], [2, 2], [3, 3]], vec![], vec![]));
    }

    #[test]
    fn layers_that_are_called_like_parts_are_none() {
        let before = rows(&[("P#1", "P#1", "", "100", "5"), ("P#2", "P#2", "", "200", "50")]);
        let after = rows(&[("P#1", "P#1", "", "200", "50"), ("P#2", "P#2", "", "100", "5")]);
        assert_eq!(pairs(&before, &after), (vec![[0, 0], [1, 1]], vec![], vec![]));
    }
}
