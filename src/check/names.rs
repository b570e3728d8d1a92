//! Which section a row of the table belongs to.

use std::collections::{BTreeMap, BTreeSet, HashMap};

use super::expected::Expected;
use crate::finding::nearest;
use crate::finding::{Code, Finding, Value};
use crate::measure::Measurement;
use crate::schedule::harmless;

/// The sections by the names that the table gives them.
pub(super) struct Names {
    by_name: BTreeMap<String, Vec<usize>>,
    /// By name and layer as a row has them, empty where it leaves one open.
    by_both: HashMap<[String; 2], Vec<usize>>,
    /// The path of each section's drawing, read from its end.
    paths: Vec<String>,
    /// The groups of `by_both` that were asked for by drawings, in the order of `paths`.
    by_path: HashMap<[String; 2], Vec<usize>>,
    /// What several sections fit, so that it is not sought again for each row.
    known: HashMap<[String; 3], Fitting>,
}

/// The sections that a row fits.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
struct Fitting {
    count: usize,
    /// The first of them, and the second.
    first: [Option<usize>; 2],
}

impl Fitting {
    fn of(sections: impl Iterator<Item = usize>) -> Fitting {
        sections.fold(Fitting::default(), |found, section| {
            let first = match found.first {
                [None, _] => [Some(section), None],
                [Some(first), _] if section < first => [Some(section), Some(first)],
                [first, Some(second)] if section > second => [first, Some(second)],
                [first, _] => [first, Some(section)],
            };
            Fitting { count: found.count + 1, first }
        })
    }
}

impl Names {
    pub(super) fn of(expected: &Expected, sections: &[&Measurement]) -> Names {
        let mut names = Names {
            by_name: BTreeMap::new(),
            by_both: HashMap::new(),
            paths: Vec::new(),
            by_path: HashMap::new(),
            known: HashMap::new(),
        };
        let none = || vec![String::new()];
        for (index, section) in sections.iter().enumerate() {
            names.paths.push(expected.drawing.map_or(String::new(), |_| from_its_end(&section.drawing)));
            // The layer names what the section's own column leaves open.
            for name in [&section.section, &section.layer].into_iter().take(match expected.section {
                Some(_) if expected.layer.is_none() => 1,
                _ => 2,
            }) {
                for written in written(name) {
                    add(names.by_name.entry(written).or_default(), index);
                }
            }
            let of = |column: Option<usize>, name: &str| match column {
                Some(_) => none().into_iter().chain(written(name)).collect(),
                None => none(),
            };
            let layers = of(expected.layer, &section.layer);
            for name in of(expected.section, &section.section) {
                for layer in &layers {
                    add(names.by_both.entry([name.clone(), layer.clone()]).or_default(), index);
                }
            }
        }
        names
    }

    /// The one section that a row belongs to; an error may say which name was meant, if `seek`.
    pub(super) fn section(
        &mut self,
        expected: &Expected,
        row: usize,
        sections: &[&Measurement],
        seek: bool,
    ) -> Result<usize, Box<Finding>> {
        let cell = |at: Option<usize>| at.map_or("", |at| expected.rows.cell(row, at));
        let (name, layer, drawing) = (cell(expected.section), cell(expected.layer), cell(expected.drawing));
        let wanted = if name.is_empty() { layer } else { name };
        if wanted.is_empty() {
            return Err(Finding::of(Code::RowWithoutName).into());
        }
        let fitting = self.fitting(name, layer, drawing);
        let named = |text: &str| Some(Value::Name(text.to_owned())).filter(|_| !text.is_empty());
        let finding = |code| {
            Finding::of(code)
                .with_some("section", named(wanted))
                .with_some("layer", named(layer).filter(|_| !name.is_empty()))
                .with_some("drawing", named(drawing))
        };
        match fitting.first {
            [Some(one), None] => Ok(one),
            [None, _] if seek => Err(self.instead(finding(Code::SectionUnknown), wanted, sections).into()),
            [None, _] => Err(finding(Code::SectionUnknown).into()),
            [Some(first), Some(second)] => {
                let drawing_of = |index: usize| sections.get(index).map_or("", |s| s.drawing.as_str());
                let (a, b) = (drawing_of(first), drawing_of(second));
                Err(finding(Code::SectionAmbiguous)
                    .with("count", fitting.count)
                    .with("first", Value::Name(a.to_owned()))
                    .with_some("second", Some(Value::Name(b.to_owned())).filter(|_| a != b))
                    .into())
            }
        }
    }

    /// The sections of this name, of this layer and in drawings whose paths end so, each where it is not empty.
    fn fitting(&mut self, name: &str, layer: &str, drawing: &str) -> Fitting {
        let both = [name.to_owned(), layer.to_owned()];
        let Some(group) = self.by_both.get(&both) else { return Fitting::default() };
        let [name, layer] = both.clone();
        let key = [name, layer, drawing.to_owned()];
        if let Some(known) = self.known.get(&key) {
            return *known;
        }
        let found = if drawing.is_empty() {
            Fitting::of(group.iter().copied())
        } else {
            let paths = &self.paths;
            let path = |index: &usize| paths.get(*index).map_or("", String::as_str);
            let sorted = self.by_path.entry(both).or_insert_with(|| {
                let mut sorted = group.clone();
                sorted.sort_by(|a, b| path(a).cmp(path(b)));
                sorted
            });
            let end = from_its_end(drawing);
            // What begins alike stands together.
            let begin = sorted.partition_point(|index| path(index) < end.as_str());
            let from = sorted.get(begin..).unwrap_or_default().iter();
            let ending = from.take_while(|index| !end.is_empty() && path(index).starts_with(&end));
            Fitting::of(ending.copied())
        };
        if found.count > 1 {
            self.known.insert(key, found);
        }
        found
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

/// Adds a section to those of a name, once.
fn add(sections: &mut Vec<usize>, index: usize) {
    if sections.last() != Some(&index) {
        sections.push(index);
    }
}

/// The parts of a path from the last to the first, each with a slash behind it, so that what two paths end in alike is what
/// they begin with here. Both kinds of slash part.
fn from_its_end(path: &str) -> String {
    let mut turned = String::with_capacity(path.len() + 1);
    for part in path.rsplit(['/', '\\']).filter(|part| !part.is_empty() && *part != ".") {
        turned.push_str(part);
        turned.push('/');
    }
    turned
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
    let lines: Vec<u64> = rows.iter().map(|row| expected.rows.line(*row)).collect();
    let shown: Vec<String> = lines.iter().take(SHOWN).map(u64::to_string).collect();
    let more = if lines.len() > SHOWN { ", …" } else { "" };
    let finding = Finding::of(Code::SectionTwice).with("lines", format!("{}{more}", shown.join(", ")));
    Some(placed(finding, section?))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Whether a path ends in these parts, each whole, told part by part.
    fn ends_in(path: &str, end: &str) -> bool {
        let mut parts = path.rsplit(['/', '\\']).filter(|part| !part.is_empty() && *part != ".");
        let mut wanted = end.rsplit(['/', '\\']).filter(|part| !part.is_empty() && *part != ".").peekable();
        wanted.peek().is_some() && wanted.all(|part| parts.next() == Some(part))
    }

    #[test]
    fn ends_of_paths() {
        assert!(ends_in("/shop/lib/a.dxf", "lib/a.dxf") && ends_in("a.dxf", "./a.dxf"));
        assert!(ends_in("C:\\lib\\a.dxf", "lib/a.dxf"));
        assert!(!ends_in("/shop/lib/a.dxf", "b/a.dxf") && !ends_in("ba.dxf", "a.dxf"));
        assert!(!ends_in("a.dxf", "lib/a.dxf") && !ends_in("a.dxf", "/"));
        assert_eq!(from_its_end("C:\\lib/./x//a.dxf"), "a.dxf/x/lib/C:/");
    }

    #[test]
    fn the_first_two() {
        let found = Fitting::of([7, 3, 9, 5, 4].into_iter());
        assert_eq!((found.count, found.first), (5, [Some(3), Some(4)]));
        assert_eq!(Fitting::of([2].into_iter()).first, [Some(2), None]);
    }

    /// Every row finds what a look at every section finds, whichever columns the table has.
    #[test]
    fn the_index_finds_what_a_look_at_all_finds() {
        let paths = ["a.dxf", "b/a.dxf", "c\\b\\a.dxf", "/c/b/a.dxf", "ba.dxf", "a.dxf/b", "./b//a.dxf", ""];
        let names = ["LUG", "-WEB", "'-WEB", " LUG ", "=A", "a b"];
        let mut measured = Vec::new();
        for (k, drawing) in paths.iter().enumerate() {
            for (l, name) in names.iter().enumerate() {
                let failed = Measurement::failed(drawing, Finding::of(Code::FileEmpty));
                let layer = names[(k + l) % names.len()].to_owned();
                measured.push(Measurement { section: (*name).to_owned(), layer, ..failed });
            }
        }
        let sections: Vec<&Measurement> = measured.iter().collect();
        let asked = ["", "LUG", "-WEB", "'-WEB", "''-WEB", "=A", "'=A", "a b", "nowhere"];
        let ends =
            ["", "a.dxf", "b/a.dxf", "b\\a.dxf", "/b/a.dxf", "c/b/a.dxf", "/", ".", "x/a.dxf", "b", "dxf"];
        let mut told = 0;
        for head in ["section,", "layer,", "drawing,section,", "drawing,section,layer,", "drawing,layer,"] {
            let table = format!("{head}area_mm2\nx{}\n", ",1".repeat(head.matches(',').count()));
            let expected = Expected::read(table.as_bytes()).expect("a table");
            let mut index = Names::of(&expected, &sections);
            for (name, layer) in asked.iter().flat_map(|name| asked.map(|layer| (*name, layer))) {
                for end in ends {
                    let (name, layer, end) = (
                        if expected.section.is_some() { name } else { "" },
                        if expected.layer.is_some() { layer } else { "" },
                        if expected.drawing.is_some() { end } else { "" },
                    );
                    if name.is_empty() && layer.is_empty() {
                        continue;
                    }
                    let fits = |section: &&Measurement| {
                        (name.is_empty() || written(&section.section).any(|w| w == name))
                            && (layer.is_empty() || written(&section.layer).any(|w| w == layer))
                            && (end.is_empty() || ends_in(&section.drawing, end))
                    };
                    let all = (0..sections.len()).filter(|k| fits(&sections[*k]));
                    let want = Fitting::of(all);
                    assert_eq!(index.fitting(name, layer, end), want, "{head} {name} {layer} {end}");
                    told += usize::from(want.count == 1) + usize::from(want.count > 1) * 2;
                }
            }
        }
        assert!(told > 500, "{told}");
    }

    /// Sections that drawings alone tell apart: with a look at each for each row this takes minutes.
    #[test]
    fn many_sections_of_one_name() {
        const MANY: usize = 20_000;
        let measured: Vec<Measurement> = (0..MANY)
            .map(|k| {
                let failed = Measurement::failed(&format!("lib/{k}/a.dxf"), Finding::of(Code::FileEmpty));
                Measurement { section: "PLATE".to_owned(), ..failed }
            })
            .collect();
        let sections: Vec<&Measurement> = measured.iter().collect();
        let rows: String = (0..MANY).map(|k| format!("{k}/a.dxf,PLATE,1\na.dxf,PLATE,1\n")).collect();
        let table = format!("drawing,section,area_mm2\n{rows}");
        let expected = Expected::read(table.as_bytes()).expect("a table");
        let mut names = Names::of(&expected, &sections);
        for k in 0..MANY {
            assert_eq!(names.section(&expected, 2 * k, &sections, false).ok(), Some(k));
            let told = names.section(&expected, 2 * k + 1, &sections, false).expect_err("any drawing");
            assert_eq!(told.code, Code::SectionAmbiguous);
        }
    }
}
