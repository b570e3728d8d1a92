//! What is to be looked at after a run: what failed and what is to be warned of, counted, and line by line.

use std::collections::BTreeMap;
use std::io::{self, Write};

use super::{DrawingRows, Failure};
use crate::finding::{Advice, Code, Finding, Severity};
use crate::measure::Status;
use crate::schedule::{harmless, write_table};

crate::schedule::keys! {
    /// The columns of a report.
    ReportColumn {
        Status: "status", "failed | warning: what the finding makes of the section";
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
}

impl Report {
    /// Of no drawings yet; with each finding by itself if `all`, else with counts alone. `advice` says what to try next.
    pub fn new(all: bool, advice: Advice) -> Report {
        let entries = all.then(Vec::new);
        Report { advice, drawings: [0; 3], sections: [0; 3], kinds: BTreeMap::new(), entries }
    }

    /// Takes note of a drawing.
    pub fn take(&mut self, drawing: &DrawingRows) {
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

    /// Writes each finding as a row of CSV: what failed first, then warnings, drawing by drawing.
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
        write_table(ReportColumn::ALL.iter().map(|column| column.name().to_owned()), rows, out)
    }
}
