//! Which section a row of the table belongs to.

use std::collections::{BTreeMap, BTreeSet};

use super::expected::Expected;
use crate::finding::nearest;
use crate::finding::{Code, Finding, Value};
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
            return Err(Finding::of(Code::RowWithoutName).into());
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
        let named = |text: &str| Some(Value::Name(text.to_owned())).filter(|_| !text.is_empty());
        let finding = |code| {
            Finding::of(code)
                .with_some("section", named(wanted))
                .with_some("layer", named(layer).filter(|_| !name.is_empty()))
                .with_some("drawing", named(drawing))
        };
        match fitting.as_slice() {
            [one] => Ok(*one),
            [] if seek => Err(self.instead(finding(Code::SectionUnknown), wanted, sections).into()),
            [] => Err(finding(Code::SectionUnknown).into()),
            [first, second, ..] => {
                let drawing_of = |index: &usize| sections.get(*index).map_or("", |s| s.drawing.as_str());
                let (a, b) = (drawing_of(first), drawing_of(second));
                Err(finding(Code::SectionAmbiguous)
                    .with("count", fitting.len())
                    .with("first", Value::Name(a.to_owned()))
                    .with_some("second", Some(Value::Name(b.to_owned())).filter(|_| a != b))
                    .into())
            }
        }
    }

    /// The finding with what may have been meant where no section fits.
    fn instead(&self, finding: Finding, wanted: &str, sections: &[&Measurement]) -> Finding {
        /// More names don't help to see a slip of spelling.
        const SHOWN: usize = 12;
        if let Some(there) = self.by_name.get(wanted).and_then(|indices| indices.first())
            && let Some(section) = sections.get(*there)
        {
            return finding
                .with("there", Value::Name(section.section.clone()))
                .with("there_in", Value::Name(section.drawing.clone()));
        }
        if let Some(meant) = nearest(wanted, self.by_name.keys().map(String::as_str)) {
            return finding.with("nearest", Value::Name(meant.to_owned()));
        }
        let names: BTreeSet<&str> = sections.iter().map(|section| section.section.as_str()).collect();
        let shown: Vec<String> =
            names.iter().take(SHOWN).map(|name| name.escape_debug().to_string()).collect();
        let more = if names.len() > SHOWN { ", …" } else { "" };
        finding.with("sections", format!("{}{more}", shown.join(", ")))
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

/// A finding about a section.
pub(super) fn placed(finding: Finding, section: &Measurement) -> Finding {
    finding
        .with("section", Value::Name(section.section.clone()))
        .with("drawing", Value::Name(section.drawing.clone()))
}

/// What to say of a section that several rows fit.
pub(super) fn twice(expected: &Expected, rows: &[usize], section: Option<&&Measurement>) -> Option<Finding> {
    /// More lines don't help to find the rows.
    const SHOWN: usize = 6;
    let lines: Vec<u64> =
        rows.iter().filter_map(|row| expected.rows.get(*row)).map(|(line, _)| *line).collect();
    let shown: Vec<String> = lines.iter().take(SHOWN).map(u64::to_string).collect();
    let more = if lines.len() > SHOWN { ", …" } else { "" };
    let finding = Finding::of(Code::SectionTwice).with("lines", format!("{}{more}", shown.join(", ")));
    Some(placed(finding, section?))
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
