//! Findings, and which of the two schedules they are about.

use std::fmt;

use crate::finding::{Code, Finding, Position, Severity};

/// Which of two schedules.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// The former one.
    Before,
    /// The later one.
    After,
    /// Both together.
    Both,
}

impl Side {
    /// `before`, `after` or `both`.
    pub fn word(self) -> &'static str {
        match self {
            Side::Before => "before",
            Side::After => "after",
            Side::Both => "both",
        }
    }
}

/// A finding about one of the schedules, or about both.
#[derive(Clone, Debug, PartialEq)]
pub struct SideFinding {
    /// The schedule; places are in it.
    pub side: Side,
    /// What its reader must know.
    pub finding: Finding,
}

impl fmt::Display for SideFinding {
    /// `before: message (line 12): hint`
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.side.word(), self.finding)
    }
}

impl std::error::Error for SideFinding {}

/// The finding at a line, where what it is about comes from a file.
pub(super) fn in_line(finding: Finding, line: Option<u64>) -> Finding {
    finding.in_file(line.map(Position::Line))
}

/// Findings of which the first are kept and the others counted.
#[derive(Clone, Debug, Default)]
pub(super) struct Findings {
    kept: Vec<Finding>,
    more: usize,
    worst: Option<Severity>,
}

impl Findings {
    /// More don't help to see what is wrong with a schedule.
    pub const MOST: usize = 100;

    pub fn push(&mut self, finding: Finding) {
        if self.kept.len() < Findings::MOST {
            self.kept.push(finding);
        } else {
            self.more += 1;
            self.worst = self.worst.max(Some(finding.severity));
        }
    }

    /// Those that were kept, and how many more there were.
    pub fn all(&self) -> Vec<Finding> {
        let more = self.worst.map(|worst| Finding::of(Code::More).with("count", self.more).weighing(worst));
        self.kept.iter().cloned().chain(more).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_are_kept_and_the_worst_counts() {
        let mut findings = Findings::default();
        for _ in 0..Findings::MOST + 2 {
            findings.push(Finding::of(Code::PairedInOrder));
        }
        findings.push(Finding::of(Code::CellNoNumber));
        findings.push(Finding::of(Code::PairedInOrder));
        let all = findings.all();
        assert_eq!(all.len(), Findings::MOST + 1);
        let last = all.last().expect("the count");
        assert_eq!((last.severity, last.message().as_str()), (Severity::Failure, "4 more of these"));
    }
}
