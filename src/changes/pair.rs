//! Which row of one schedule is which of another.

use std::collections::HashMap;

use super::folders::matched;
use super::parts;
use super::rows::Rows;
use super::unread::{self, Unread};

/// What tells which rows of two schedules belong together. Where several rows of a schedule have the same names, the
/// first belongs to the first, the second to the second, and so on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum By {
    /// The path of the drawing and the name of the section; of parts (`PLATE#3`) first what is written on them, then all their
    /// figures, then those that do not go by places, and their numbers last. Both kinds of slash are the same. Where no path stands in
    /// both schedules, folders that all paths of a schedule begin with are left aside: the fewest with which the most
    /// drawings are the same, so that schedules that were written from different folders can be compared.
    #[default]
    DrawingAndSection,
    /// The name of the section alone, whatever the drawing: for two copies of a library whose drawings have other names.
    Section,
}

/// A drawing, which is 0 where none is asked for, and a section.
type Key<'a> = (usize, &'a str);

/// Rows that belong together, and those that are alone, all in the order of the schedules.
pub(super) struct Pairs {
    /// A row of the former schedule, and the same of the later one.
    pub both: Vec<[usize; 2]>,
    /// Rows of the former schedule, and of the later one, that the other could not measure.
    pub not_compared: [Vec<usize>; 2],
    /// The rows that say so.
    pub unread: Vec<Unread>,
    /// Rows of the later schedule alone.
    pub added: Vec<usize>,
    /// Rows of the former schedule alone.
    pub gone: Vec<usize>,
    /// For each row of the former schedule, and of the later one, which of several with the same names it is, from 1;
    /// 0 where both schedules have one at the most.
    pub numbers: [Vec<usize>; 2],
    /// The first of several rows with the same names in the former schedule of which the later one has more or fewer,
    /// with how many there are in both.
    pub uneven: Vec<(usize, [usize; 2])>,
    /// The folders that were left aside.
    pub aside: Option<[String; 2]>,
}

/// Pairs the rows of two schedules.
pub(super) fn pair(before: &Rows, after: &Rows, by: By) -> Pairs {
    let paths = matched(&before.drawings, &after.drawings);
    let of_rows = |rows: &Rows, drawings: &[usize]| -> Vec<usize> {
        (0..rows.len()).map(|row| drawings.get(rows.drawing_number(row)).copied().unwrap_or(0)).collect()
    };
    let own = [of_rows(before, &paths.before), of_rows(after, &paths.after)];
    let none = [vec![0; before.len()], vec![0; after.len()]];
    let [of_before, of_after] = if by == By::DrawingAndSection { &own } else { &none };
    let (ordinals_before, counts_before) = numbered(before, of_before);
    let (ordinals_after, counts_after) = numbered(after, of_after);
    let later: HashMap<(Key, usize), usize> = of_after
        .iter()
        .zip(&ordinals_after)
        .enumerate()
        .map(|(row, (drawing, ordinal))| (((*drawing, after.section(row)), *ordinal), row))
        .collect();
    let counts =
        |key: &Key| [&counts_before, &counts_after].map(|counts| counts.get(key).copied().unwrap_or(0));
    let mut pairs = Pairs {
        both: Vec::new(),
        not_compared: [Vec::new(), Vec::new()],
        unread: Vec::new(),
        added: Vec::new(),
        gone: Vec::new(),
        numbers: [Vec::new(), Vec::new()],
        uneven: Vec::new(),
        aside: paths.aside.filter(|_| by == By::DrawingAndSection),
    };
    let [numbers_before, numbers_after] = &mut pairs.numbers;
    let mut found = vec![false; after.len()];
    let parts: HashMap<usize, usize> =
        parts::matched([before, after], [of_before, of_after]).into_iter().map(|[a, b]| (a, b)).collect();
    for other in parts.values() {
        if let Some(found) = found.get_mut(*other) {
            *found = true;
        }
    }
    for (row, (drawing, ordinal)) in of_before.iter().zip(&ordinals_before).enumerate() {
        let key = (*drawing, before.section(row));
        let by_name =
            || later.get(&(key, *ordinal)).copied().filter(|other| found.get(*other) == Some(&false));
        match parts.get(&row).copied().or_else(by_name) {
            Some(other) => {
                pairs.both.push([row, other]);
                if let Some(found) = found.get_mut(other) {
                    *found = true;
                }
            }
            None => pairs.gone.push(row),
        }
        let counts = counts(&key);
        numbers_before.push(if counts.iter().any(|count| *count > 1) { *ordinal } else { 0 });
        if *ordinal == 1 && counts[0] != counts[1] && counts[1] > 0 {
            pairs.uneven.push((row, counts));
        }
    }
    for (row, (drawing, ordinal)) in of_after.iter().zip(&ordinals_after).enumerate() {
        let counts = counts(&(*drawing, after.section(row)));
        numbers_after.push(if counts.iter().any(|count| *count > 1) { *ordinal } else { 0 });
    }
    pairs.added = found.iter().enumerate().filter(|(_, found)| !**found).map(|(row, _)| row).collect();
    let [own_before, own_after] = &own;
    unread::set_aside(&mut pairs, [before, after], [own_before, own_after]);
    pairs
}

/// Which of the rows with the same names each is, from 1, and how many there are of each.
fn numbered<'a>(rows: &'a Rows, drawings: &[usize]) -> (Vec<usize>, HashMap<Key<'a>, usize>) {
    let mut counts = HashMap::with_capacity(rows.len());
    let ordinals = drawings
        .iter()
        .enumerate()
        .map(|(row, drawing)| {
            let count = counts.entry((*drawing, rows.section(row))).or_insert(0);
            *count += 1;
            *count
        })
        .collect();
    (ordinals, counts)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rows(names: &[(&str, &str)]) -> Rows {
        Rows::of(&["area_mm2"], names.iter().map(|(drawing, section)| (drawing, section, ["1"])))
    }

    #[test]
    fn by_drawing_and_section() {
        let before = rows(&[("a.dxf", "LUG"), ("a.dxf", "WEB"), ("b.dxf", "LUG"), ("b.dxf", "")]);
        let after = rows(&[("b.dxf", "LUG"), ("a.dxf", "CAP"), ("b.dxf", ""), ("a.dxf", "LUG")]);
        let pairs = pair(&before, &after, By::DrawingAndSection);
        assert_eq!(pairs.both, [[0, 3], [2, 0], [3, 2]]);
        assert_eq!((pairs.gone, pairs.added), (vec![1], vec![1]));
        assert!(pairs.numbers.iter().flatten().all(|number| *number == 0) && pairs.uneven.is_empty());
    }

    #[test]
    fn by_section() {
        let before = rows(&[("old/ipe200.dxf", "PLATE"), ("old/ipe300.dxf", "WEB")]);
        let after = rows(&[("new/300.dxf", "WEB"), ("new/200.dxf", "PLATE")]);
        assert_eq!(pair(&before, &after, By::Section).both, [[0, 1], [1, 0]]);
        assert!(pair(&before, &after, By::DrawingAndSection).both.is_empty());
    }

    #[test]
    fn several_of_the_same_name() {
        let before = rows(&[("a.dxf", "LUG"), ("a.dxf", "WEB"), ("a.dxf", "LUG"), ("a.dxf", "LUG")]);
        let after = rows(&[("a.dxf", "WEB"), ("a.dxf", "LUG"), ("a.dxf", "LUG")]);
        let pairs = pair(&before, &after, By::DrawingAndSection);
        assert_eq!(pairs.both, [[0, 1], [1, 0], [2, 2]]);
        assert_eq!((pairs.gone, pairs.numbers), (vec![3], [vec![1, 0, 2, 3], vec![0, 1, 2]]));
        assert_eq!(pairs.uneven, [(0, [3, 2])]);
    }
}
