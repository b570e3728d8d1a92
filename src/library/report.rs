//! What is to be looked at after a run: what failed and what is to be warned of, counted, and line by line.

use std::collections::{BTreeMap, HashMap};
use std::io::{self, Write};

use super::{Change, DrawingRows, Failure, Moved, RunEnd};
use crate::finding::{Advice, Code, Finding, Severity};
use crate::measure::Status;
use crate::paths;
use crate::schedule::{harmless, write_table};

crate::schedule::keys! {
    /// The columns of a report.
    ReportColumn {
        Status: "status", "failed | warning: what the finding makes of the section; new | changed | moved | vanished | unchanged: what became of the drawing since the last run with the ledger";
        Drawing: "drawing", "path of the drawing as it was given";
        Section: "section", "name of the section, or of the layer that has no row; empty where it is the drawing";
        Code: "code", "kind of finding: its name in shared/findings.csv";
        Message: "message", "what was found";
        Place: "place", "where, as far as it is known";
        WhatToDo: "what_to_do", "what to try next; empty where nothing is known";
    }
}

/// In the place of a drawing where a message is about none.
pub(super) const NO_DRAWING: &str = "tracearm";

/// How often a kind of finding came, and the first of them.
#[derive(Clone, Debug)]
struct Kind {
    count: usize,
    example: String,
}

/// Something to be looked at.
#[derive(Clone, Debug)]
struct Entry {
    is_failure: bool,
    drawing: String,
    section: String,
    finding: Finding,
}

/// What failed and what is to be warned of in the drawings of a run: each drawing counts once, by the worst that befell it.
#[derive(Clone, Debug)]
pub struct Report {
    advice: Advice,
    /// Drawings without and with warnings, and those in which something failed.
    drawings: [usize; 3],
    /// Sections by status.
    sections: [usize; 3],
    /// By what they are: failures first.
    kinds: BTreeMap<(bool, Code), Kind>,
    /// Each finding, where all are wanted.
    entries: Option<Vec<Entry>>,
    /// How many drawings are new, changed and unchanged, and how many of the last were measured once more.
    changes: [usize; 3],
    measured_again: usize,
    /// What became of each drawing, where all are wanted: what is in its row, its path as it was given.
    changed: Option<Vec<(Change, String)>>,
    /// Drawings that are no longer where they were.
    moved: Vec<Moved>,
    vanished: Vec<String>,
}

impl Report {
    /// Of no drawings yet; with each finding by itself if `all`, else with counts alone. `advice` says what to try next.
    pub fn new(all: bool, advice: Advice) -> Report {
        Report {
            advice,
            drawings: [0; 3],
            sections: [0; 3],
            kinds: BTreeMap::new(),
            entries: all.then(Vec::new),
            changes: [0; 3],
            measured_again: 0,
            changed: all.then(Vec::new),
            moved: Vec::new(),
            vanished: Vec::new(),
        }
    }

    /// Takes note of a drawing; of one that is repeated, nothing.
    pub fn take(&mut self, drawing: &DrawingRows) {
        if drawing.is_repeated() {
            return;
        }
        if let Some(change) = drawing.change {
            if let Some(count) = self.changes.get_mut(change as usize) {
                *count += 1;
            }
            self.measured_again += usize::from(change == Change::Unchanged && !drawing.remembered);
            if let (Some(changed), Some(row)) = (&mut self.changed, drawing.rows.first()) {
                changed.push((change, row.drawing().to_owned()));
            }
        }
        let mut worst = if drawing.failures.is_empty() { 0 } else { 2 };
        for row in &drawing.rows {
            let at = row.status() as usize;
            worst = worst.max(at);
            if !row.section().is_empty() {
                self.sections[at.min(2)] += 1;
            }
            let is_failure = row.status() == Status::Failed;
            let findings = row.findings();
            // What makes it fail, or what it is warned of; warnings beside a failure are looked at when that is mended.
            let least = if is_failure { Severity::Failure } else { Severity::Warning };
            for finding in findings.iter().filter(|finding| finding.severity >= least) {
                self.note(is_failure, row.drawing(), row.section(), finding);
            }
        }
        for message in drawing.messages.iter().filter(|message| !message.not_measured) {
            let of_row = |finding: &Finding| {
                drawing.rows.iter().any(|row| row.findings().iter().any(|of_row| of_row.code == finding.code))
            };
            let section = message.section.as_deref().unwrap_or_default();
            let findings = message.findings.iter();
            for finding in findings.filter(|f| f.severity >= Severity::Warning && !of_row(f)) {
                let is_failure =
                    finding.severity == Severity::Failure || drawing.failures.contains(&Failure::Layer);
                worst = worst.max(if is_failure { 2 } else { 1 });
                // A source that is no drawing has no path.
                let path =
                    Some(message.drawing.as_str()).filter(|path| *path != NO_DRAWING).unwrap_or_default();
                self.note(is_failure, path, section, finding);
            }
        }
        self.drawings[worst.min(2)] += 1;
    }

    fn note(&mut self, is_failure: bool, drawing: &str, section: &str, finding: &Finding) {
        let kind = self.kinds.entry((!is_failure, finding.code)).or_insert_with(|| {
            let of = [drawing, section].into_iter().filter(|name| !name.is_empty());
            let of: String = of.map(|name| format!("{name}: ")).collect();
            Kind { count: 0, example: format!("{of}{}", finding.words(self.advice)) }
        });
        kind.count += 1;
        if let Some(entries) = &mut self.entries {
            entries.push(Entry {
                is_failure,
                drawing: drawing.to_owned(),
                section: section.to_owned(),
                finding: finding.clone(),
            });
        }
    }

    /// Takes note of what the end of a run with a ledger found.
    pub fn end(&mut self, end: &RunEnd) {
        self.moved.extend(end.moved.iter().cloned());
        self.vanished.extend(end.vanished.iter().cloned());
    }

    /// What became of the drawings since they were measured last, such as `2 new, 1 moved, 40 unchanged`; empty without a
    /// ledger.
    pub fn changes(&self) -> String {
        let [new, changed, unchanged] = self.changes;
        let moved = self.moved.len();
        let counts = [
            // A drawing that has moved is new at its place.
            (new.saturating_sub(moved), "new"),
            (changed, "changed"),
            (moved, "moved"),
            (self.vanished.len(), "vanished"),
            (unchanged - self.measured_again, "unchanged"),
            (self.measured_again, "measured again"),
        ];
        let counts = counts.iter().filter(|(count, _)| *count > 0);
        counts.map(|(count, what)| format!("{count} {what}")).collect::<Vec<_>>().join(", ")
    }

    /// Drawings in which something failed.
    pub fn failed(&self) -> usize {
        self.drawings[2]
    }

    /// The counts in lines: how many drawings failed or have warnings; where there are such, sections by status, and each kind
    /// of finding with an example.
    pub fn lines(&self) -> Vec<String> {
        let [_, with_warnings, failed] = self.drawings;
        let count = |count: usize, words: &str| match count {
            0 => format!("none {words}"),
            count => format!("{count} {words}"),
        };
        let mut first = count(failed, "failed");
        if with_warnings > 0 {
            first.push_str(&format!(", {with_warnings} with warnings"));
        }
        let mut lines = vec![first];
        if self.kinds.is_empty() {
            return lines;
        }
        let statuses = [Status::Ok, Status::Warning, Status::Failed];
        let sections = statuses.iter().zip(self.sections).filter(|(_, count)| *count > 0);
        let sections: Vec<String> = sections.map(|(status, n)| format!("{n} {}", status.word())).collect();
        if !sections.is_empty() {
            lines.push(format!("  sections: {}", sections.join(", ")));
        }
        for (is_warning, heading) in [(false, "  failed:"), (true, "  warnings:")] {
            let mut kinds: Vec<(&Code, &Kind)> =
                self.kinds.iter().filter(|((w, _), _)| *w == is_warning).map(|((_, c), k)| (c, k)).collect();
            // What came most often first.
            kinds.sort_by_key(|(_, kind)| std::cmp::Reverse(kind.count));
            lines.extend((!kinds.is_empty()).then(|| heading.to_owned()));
            lines.extend(kinds.into_iter().map(|(code, kind)| {
                let such_as = if kind.count > 1 { "such as " } else { "" };
                format!("    {} {}: {such_as}{}", kind.count, code.name(), kind.example)
            }));
        }
        lines
    }

    /// The rows of drawings that became something since the last run: status, drawing, in words.
    fn change_rows(&self) -> impl Iterator<Item = (&'static str, String, String)> {
        let moved: HashMap<&str, &str> =
            self.moved.iter().map(|moved| (moved.to.as_str(), moved.from.as_str())).collect();
        let mut rows: Vec<(u8, &'static str, String, String)> = Vec::new();
        for (change, drawing) in self.changed.iter().flatten() {
            let whole = std::path::absolute(paths::of_text(drawing)).unwrap_or_default();
            rows.push(match (change, moved.get(&*paths::text(&whole))) {
                (_, Some(from)) => (2, "moved", drawing.clone(), format!("was at {from}")),
                (Change::New, _) => (0, "new", drawing.clone(), "was not measured before".to_owned()),
                (Change::Changed, _) => {
                    (1, "changed", drawing.clone(), "has changed since it was measured".to_owned())
                }
                (Change::Unchanged, _) => {
                    (4, "unchanged", drawing.clone(), "has not changed since it was measured".to_owned())
                }
            });
        }
        let vanished = self.vanished.iter();
        rows.extend(vanished.map(|path| (3, "vanished", path.clone(), "is no longer there".to_owned())));
        rows.sort_by_key(|row| row.0);
        rows.into_iter().map(|(_, status, drawing, words)| (status, drawing, words))
    }

    /// Writes each finding as a row of CSV: what failed first, then warnings, drawing by drawing; then what became of each
    /// drawing since the last run, where there is a ledger.
    ///
    /// # Errors
    /// Those of `out`.
    pub fn write_csv(&self, out: impl Write) -> io::Result<()> {
        let entries = || self.entries.iter().flatten();
        let sorted = entries().filter(|e| e.is_failure).chain(entries().filter(|e| !e.is_failure));
        let rows = sorted.map(|entry| {
            let cell = |column: &ReportColumn| match column {
                ReportColumn::Status => {
                    let status = if entry.is_failure { Status::Failed } else { Status::Warning };
                    status.word().to_owned()
                }
                ReportColumn::Drawing => entry.drawing.clone(),
                ReportColumn::Section => entry.section.clone(),
                ReportColumn::Code => entry.finding.code.name().to_owned(),
                ReportColumn::Message => entry.finding.message(),
                ReportColumn::Place => entry.finding.place.to_string(),
                ReportColumn::WhatToDo => entry.finding.hint(self.advice),
            };
            ReportColumn::ALL.iter().map(|column| harmless(cell(column))).collect()
        });
        let changes = self.change_rows().map(|(status, drawing, words)| {
            let cell = |column: &ReportColumn| match column {
                ReportColumn::Status => status.to_owned(),
                ReportColumn::Drawing => drawing.clone(),
                ReportColumn::Message => words.clone(),
                _ => String::new(),
            };
            ReportColumn::ALL.iter().map(|column| harmless(cell(column))).collect()
        });
        let rows = rows.chain(changes);
        write_table(ReportColumn::ALL.iter().map(|column| column.name().to_owned()), rows, out)
    }
}
