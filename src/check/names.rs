//! Which section a row of the table belongs to.

use std::collections::{BTreeMap, BTreeSet};

use super::expected::Expected;
use super::nearest::nearest;
use crate::finding::Finding;
use crate::measure::Measurement;
use crate::schedule::harmless;

/// The sections by the name that the table gives them.
pub(super) struct Names {
    by_name: BTreeMap<String, Vec<usize>>,
}

impl Names {
    pub(super) fn of(expected: &Expected, sections: &[&Measurement]) -> Names {
        let mut by_name: BTreeMap<String, Vec<usize>> = BTreeMap::new();
        for (index, section) in sections.iter().enumerate() {
            // The layer names what the section's own column leaves open.
            for name in [&section.section, &section.layer].into_iter().take(match expected.section {
                Some(_) if expected.layer.is_none() => 1,
                _ => 2,
            }) {
                for written in written(name) {
                    let indices = by_name.entry(written).or_default();
                    if indices.last() != Some(&index) {
                        indices.push(index);
                    }
                }
            }
        }
        Names { by_name }
    }

    /// The one section that a row belongs to; an error may say which name was meant, if `seek`.
    pub(super) fn section(
        &self,
        expected: &Expected,
        cells: &[String],
        sections: &[&Measurement],
        seek: bool,
    ) -> Result<usize, Box<Finding>> {
        let cell = |at: Option<usize>| at.and_then(|at| cells.get(at)).map_or("", String::as_str);
        let (name, layer, drawing) = (cell(expected.section), cell(expected.layer), cell(expected.drawing));
        let wanted = if name.is_empty() { layer } else { name };
        if wanted.is_empty() {
            return Err(Finding::failure("the row names no section, so it was not compared")
                .hint("write the section's name into it, as tracearm schedule has it")
                .into());
        }
        let fits = |index: &usize| {
            sections.get(*index).is_some_and(|section| {
                (name.is_empty() || written(&section.section).any(|w| w == name))
                    && (layer.is_empty() || written(&section.layer).any(|w| w == layer))
                    && (drawing.is_empty() || ends_in(&section.drawing, drawing))
            })
        };
        let fitting: Vec<usize> =
            self.by_name.get(wanted).into_iter().flatten().copied().filter(|index| fits(index)).collect();
        let mut what = format!("“{}”", wanted.escape_debug());
        if !name.is_empty() && !layer.is_empty() {
            what = format!("{what} of layer “{}”", layer.escape_debug());
        }
        if !drawing.is_empty() {
            what = format!("{what} in a drawing “{}”", drawing.escape_debug());
        }
        match fitting.as_slice() {
            [one] => Ok(*one),
            [] => Err(Finding::failure(format!("there is no section {what}, so the row was not compared"))
                .hint(if seek { self.instead(wanted, sections) } else { String::new() })
                .into()),
            [first, second, ..] => {
                let drawing_of = |index: &usize| sections.get(*index).map_or("", |s| s.drawing.as_str());
                let (a, b) = (drawing_of(first), drawing_of(second));
                let places = if a == b {
                    format!("in “{}” alone", a.escape_debug())
                } else {
                    format!("in “{}” and “{}”", a.escape_debug(), b.escape_debug())
                };
                Err(Finding::failure(format!(
                    "{} sections are {what}, {places}, so the row was not compared",
                    fitting.len()
                ))
                .hint(
                    "tell them apart: a column section, and a column drawing with as much of the path as it takes",
                ).into())
            }
        }
    }

    /// What to do where no section fits.
    fn instead(&self, wanted: &str, sections: &[&Measurement]) -> String {
        /// More names don't help to see a slip of spelling.
        const SHOWN: usize = 12;
        if let Some(there) = self.by_name.get(wanted).and_then(|indices| indices.first())
            && let Some(section) = sections.get(*there)
        {
            return format!("there is one as {}", place(section));
        }
        if let Some(meant) = nearest(wanted, self.by_name.keys().map(String::as_str)) {
            return format!("the nearest is “{}”", meant.escape_debug());
        }
        let names: BTreeSet<&str> = sections.iter().map(|section| section.section.as_str()).collect();
        let shown: Vec<String> =
            names.iter().take(SHOWN).map(|name| name.escape_debug().to_string()).collect();
        let more = if names.len() > SHOWN { ", …" } else { "" };
        format!("the sections are: {}{more}", shown.join(", "))
    }
}

/// A name as a table may have it: as it is, and as a schedule writes it.
pub(super) fn written(name: &str) -> impl Iterator<Item = String> {
    let name = name.trim();
    let safe = harmless(name.to_owned());
    [name.to_owned()].into_iter().chain((safe != name).then_some(safe))
}

/// Whether a path ends in these parts, each whole: `frames/a.dxf` in `/shop/frames/a.dxf`. Both kinds of slash part.
fn ends_in(path: &str, end: &str) -> bool {
    let mut parts = path.rsplit(['/', '\\']).filter(|part| !part.is_empty() && *part != ".");
    let mut wanted = end.rsplit(['/', '\\']).filter(|part| !part.is_empty() && *part != ".").peekable();
    wanted.peek().is_some() && wanted.all(|part| parts.next() == Some(part))
}

/// A section in words.
pub(super) fn place(section: &Measurement) -> String {
    format!("section “{}” of “{}”", section.section.escape_debug(), section.drawing.escape_debug())
}

/// What to say of a section that several rows fit.
pub(super) fn twice(expected: &Expected, rows: &[usize], section: Option<&&Measurement>) -> Option<Finding> {
    /// More lines don't help to find the rows.
    const SHOWN: usize = 6;
    let lines: Vec<u64> =
        rows.iter().filter_map(|row| expected.rows.get(*row)).map(|(line, _)| *line).collect();
    let shown: Vec<String> = lines.iter().take(SHOWN).map(u64::to_string).collect();
    let more = if lines.len() > SHOWN { ", …" } else { "" };
    let finding = Finding::failure(format!(
        "{} has several rows (lines {}{more}), so none was compared",
        place(section?),
        shown.join(", ")
    ));
    Some(finding.hint("leave one of them, or tell them apart by their drawings"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ends_of_paths() {
        assert!(ends_in("/shop/lib/a.dxf", "lib/a.dxf") && ends_in("a.dxf", "./a.dxf"));
        assert!(ends_in("C:\\lib\\a.dxf", "lib/a.dxf"));
        assert!(!ends_in("/shop/lib/a.dxf", "b/a.dxf") && !ends_in("ba.dxf", "a.dxf"));
        assert!(!ends_in("a.dxf", "lib/a.dxf") && !ends_in("a.dxf", "/"));
    }
}
