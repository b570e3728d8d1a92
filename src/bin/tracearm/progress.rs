//! How far a run has come, for whoever watches it. The one file that names indicatif.

use std::fmt::Write;
use std::io::{self, IsTerminal};
use std::path::PathBuf;
use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressState, ProgressStyle};
use tracearm::library::{DrawingRows, Report, Sources};
use tracearm::measure::Message;

use super::advice;
use super::output::tell;

/// The progress of a run: a line on standard error where that is a terminal, and what a summary says.
pub struct Progress {
    line: ProgressBar,
    began: Instant,
    drawings: u64,
    sections: usize,
    tells_everything: bool,
    report: Report,
}

/// How often the line is drawn.
const DRAWN: Duration = Duration::from_millis(200);

impl Progress {
    /// Begins a run on these paths, and on a list of unknown length too if `more`. Nothing is shown where `quiet`, or
    /// where standard error is no terminal. Each finding is kept for a report if `report_all`.
    pub fn begin(paths: &[PathBuf], more: bool, quiet: bool, report_all: bool) -> Progress {
        let line = if quiet || !io::stderr().is_terminal() {
            ProgressBar::hidden()
        } else {
            let line = ProgressBar::with_draw_target(None, ProgressDrawTarget::stderr());
            line.set_style(style("{pos} drawings, {rate}{msg}"));
            line.enable_steady_tick(DRAWN);
            if !more {
                count(paths.to_vec(), line.clone());
            }
            line
        };
        Progress {
            line,
            began: Instant::now(),
            drawings: 0,
            sections: 0,
            tells_everything: false,
            report: Report::new(report_all, advice::of),
        }
    }

    /// Each message is told if `everything`; else one line for each drawing.
    pub fn tell_everything(&mut self, everything: bool) {
        self.tells_everything = everything;
    }

    /// Takes note of drawings, and tells what there is to tell of them.
    pub fn done(&mut self, drawings: &[DrawingRows]) {
        drawings.iter().for_each(|measured| self.count(measured));
        self.line.inc(drawings.len() as u64);
        let messages: Vec<String> = match self.tells_everything {
            true => {
                drawings.iter().flat_map(|d| &d.messages).map(|message| message.words(advice::of)).collect()
            }
            false => drawings.iter().filter_map(|drawing| one_line(&drawing.messages)).collect(),
        };
        if !messages.is_empty() {
            self.line.suspend(|| tell(&messages.join("\n")));
        }
    }

    fn count(&mut self, measured: &DrawingRows) {
        if measured.is_repeated() {
            return;
        }
        self.drawings += 1;
        self.sections += measured.rows.iter().filter(|row| !row.section().is_empty()).count();
        self.report.take(measured);
        if self.report.failed() > 0 {
            self.line.set_message(format!(", {} failed", self.report.failed()));
        }
    }

    /// Whether anything failed.
    pub fn has_failures(&self) -> bool {
        self.report.failed() > 0
    }

    /// What failed and what is to be warned of, and what became of the drawings.
    pub fn report(&self) -> &Report {
        &self.report
    }

    /// The same, to add to it.
    pub fn report_mut(&mut self) -> &mut Report {
        &mut self.report
    }

    /// Takes the line away, and says what was done: always if `requested`, else where more than one drawing was watched.
    pub fn finish(self, requested: bool) {
        let watched = !self.line.is_hidden() && self.drawings > 1;
        self.line.finish_and_clear();
        if requested || watched {
            tell(&self.summary(self.began.elapsed()));
        }
    }

    fn summary(&self, time: Duration) -> String {
        let seconds = time.as_secs_f64();
        let rate = self.drawings as f64 / seconds.max(1e-9);
        let mut text = format!(
            "tracearm: {} with {} in {}, {rate:.0} drawings/s",
            counted(self.drawings, "drawing"),
            counted(self.sections as u64, "section"),
            if seconds < 100.0 { format!("{seconds:.2} s") } else { format!("{:.1} min", seconds / 60.0) },
        );
        let changes = self.report.changes();
        if !changes.is_empty() {
            text.push_str(&format!("; {changes}"));
        }
        text.push_str(&format!("; {}", self.report.lines().join("\n")));
        text
    }
}

/// What there is to tell of a drawing in one line: the worst of it, and how much more there is. What is so in most drawings
/// would hide the others.
fn one_line(messages: &[Message]) -> Option<String> {
    let messages: Vec<&Message> = messages.iter().filter(|message| !message.is_routine).collect();
    let severity = |message: &Message| message.findings.iter().map(|finding| finding.severity).max();
    // The first of those that are equally bad.
    let worst = messages.iter().rev().max_by_key(|message| (message.not_measured, severity(message)))?;
    let mut line = worst.words(advice::of);
    if messages.len() > 1 {
        line.push_str(&format!(" (and {} more: --verbose lists all)", messages.len() - 1));
    }
    Some(line)
}

fn counted(count: u64, noun: &str) -> String {
    format!("{count} {noun}{}", if count == 1 { "" } else { "s" })
}

fn style(template: &str) -> ProgressStyle {
    // Whole drawings: nobody counts ten thousandths.
    let rate = |state: &ProgressState, out: &mut dyn Write| {
        let _ = write!(out, "{:.0}/s", state.per_sec());
    };
    let style = ProgressStyle::with_template(template).unwrap_or_else(|_| ProgressStyle::default_bar());
    style.with_key("rate", rate)
}

/// Counts the drawings beside the run, which does not wait for it.
fn count(paths: Vec<PathBuf>, line: ProgressBar) {
    let counting = move || {
        let all = Sources::of(paths).count() as u64;
        line.set_length(all);
        line.set_style(style("{pos} of {len} drawings, {rate}{msg}, {eta} left"));
    };
    // Without it the line says less.
    let _ = std::thread::Builder::new().spawn(counting);
}

#[cfg(test)]
mod tests {
    use super::*;
    use tracearm::library::{Change, Failure};

    #[test]
    fn summaries_count_what_failed() {
        let mut progress = Progress::begin(&[], false, true, false);
        progress.done(&[DrawingRows::default()]);
        let mut broken = DrawingRows::default();
        broken.failures = vec![Failure::Refused, Failure::Section];
        progress.done(std::slice::from_ref(&broken));
        (broken.failures, broken.remembered) = (vec![Failure::Section], true);
        broken.change = Some(Change::Unchanged);
        progress.done(std::slice::from_ref(&broken));
        (broken.failures, broken.change) = (Vec::new(), Some(Change::New));
        progress.done(std::slice::from_ref(&broken));
        let messages = progress.summary(Duration::from_millis(2000));
        assert_eq!(
            messages,
            "tracearm: 4 drawings with 0 sections in 2.00 s, 2 drawings/s; 1 new, 1 unchanged; 2 failed"
        );
        assert!(progress.has_failures());
    }
}
