//! Where the schedule and its pieces are written.

use std::io::{self, BufWriter, Stdout, Write};
use std::path::Path;

use tracearm::finding::Finding;
use tracearm::paths;
use tracearm::schedule::{Format, PieceTable, Row, Schedule, Style, Totals};

use crate::pending_file::PendingFile;

/// A schedule, and perhaps its pieces, being written.
///
/// Nothing is written to standard output before something was measured, so that where nothing can be there is nothing:
/// until then rows that failed are held back, so many at most.
pub struct Written {
    style: Style,
    format: Format,
    place: String,
    to_file: bool,
    state: State,
    pieces: Option<(String, PieceTable<PendingFile>)>,
    totals: Option<(String, PendingFile, Totals)>,
    /// A section was measured, or could have been.
    any: bool,
    /// Rows wait: it is not known yet whether a pattern for layers meets any.
    waits: bool,
    gone: bool,
}

const MOST_HELD_BACK: usize = 1000;

/// So many rows at most wait for what later drawings show of the patterns for layers.
const MOST_WAITING: usize = 20_000;

enum State {
    Waiting(Target, Vec<Row>),
    Writing(Box<Schedule<Target>>),
    Broken,
}

enum Target {
    File(PendingFile),
    Output(BufWriter<Stdout>),
}

impl Write for Target {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        match self {
            Target::File(file) => file.write(bytes),
            Target::Output(output) => output.write(bytes),
        }
    }

    fn flush(&mut self) -> io::Result<()> {
        match self {
            Target::File(file) => file.flush(),
            Target::Output(output) => output.flush(),
        }
    }
}

impl Written {
    /// Opens the files, so that what can't be written is known before anything is measured.
    pub fn open(
        style: Style,
        format: Format,
        output: Option<&Path>,
        pieces: Option<&Path>,
        totals: Option<&Path>,
    ) -> Result<Written, String> {
        let place = output.map_or("standard output".to_owned(), |path| paths::text(&path).into_owned());
        let target = match output {
            None => Target::Output(BufWriter::with_capacity(1 << 16, io::stdout())),
            Some(path) => Target::File(
                PendingFile::create(path)
                    .map_err(|error| format!("cannot write the schedule to {place}: {error}"))?,
            ),
        };
        let pieces = match pieces {
            None => None,
            Some(path) => {
                let table = PendingFile::create(path).and_then(|file| PieceTable::begin(style, file));
                let table = table.map_err(|error| no_pieces(&paths::text(path), &error))?;
                Some((paths::text(&path).into_owned(), table))
            }
        };
        let totals = match totals {
            None => None,
            Some(path) => {
                let shown = paths::text(&path).into_owned();
                let file = PendingFile::create(path).map_err(|error| no_totals(&shown, &error))?;
                Some((shown, file, Totals::of(style)))
            }
        };
        let state = State::Waiting(target, Vec::new());
        Ok(Written {
            style,
            format,
            place,
            to_file: output.is_some(),
            state,
            pieces,
            totals,
            any: false,
            waits: false,
            gone: false,
        })
    }

    /// Whether rows may come to a terminal while others are still measured.
    pub fn shows_rows_at_once(&self) -> bool {
        let held = matches!(self.format, Format::Table { .. } | Format::Workbook);
        let output = matches!(self.state, State::Waiting(Target::Output(_), _));
        output && !held && io::IsTerminal::is_terminal(&io::stdout())
    }

    /// Whether the reader of standard output has gone away, which is no error.
    pub fn reader_has_gone(&self) -> bool {
        self.gone
    }

    /// Adds the rows of a drawing, which was read or not, and the cells of its pieces.
    pub fn push(&mut self, rows: Vec<Row>, pieces: &[Vec<String>], was_read: bool) -> Result<(), String> {
        if let Some((place, table)) = &mut self.pieces {
            pieces
                .iter()
                .try_for_each(|cells| table.push(cells))
                .map_err(|error| no_pieces(place, &error))?;
        }
        for row in rows {
            self.any |= was_read || !row.section().is_empty();
            self.push_row(row).map_err(|error| self.write_error(&error))?;
        }
        Ok(())
    }

    fn push_row(&mut self, row: Row) -> io::Result<()> {
        // Rows that wait may still become warnings.
        if !matches!(self.state, State::Waiting(..)) {
            self.count(&row);
        }
        if let State::Waiting(_, held) = &mut self.state {
            held.push(row);
            let most = if self.any && self.waits { MOST_WAITING } else { MOST_HELD_BACK };
            let is_over = held.len() > most || self.any && !self.waits;
            return if is_over { self.begin() } else { Ok(()) };
        }
        match &mut self.state {
            State::Writing(schedule) => schedule.push(row),
            _ => Ok(()),
        }
    }

    /// Rows wait from now on, or no longer.
    pub fn wait(&mut self, waits: bool) {
        self.waits = waits;
    }

    /// Adds findings to the rows that are still waiting.
    pub fn warn(&mut self, findings: &[Finding]) {
        let style = self.style;
        if let (State::Waiting(_, held), false) = (&mut self.state, findings.is_empty()) {
            let with_all = |row| {
                findings.iter().cloned().fold(row, |row: Row, finding| row.with_finding(finding, style))
            };
            *held = std::mem::take(held).into_iter().map(with_all).collect();
        }
    }

    fn count(&mut self, row: &Row) {
        if let Some((.., totals)) = &mut self.totals {
            totals.add(row);
        }
    }

    /// Writes what was held back.
    fn begin(&mut self) -> io::Result<()> {
        match std::mem::replace(&mut self.state, State::Broken) {
            State::Waiting(target, held) => {
                held.iter().for_each(|row| self.count(row));
                let mut schedule = Schedule::begin(self.style, self.format, target)?;
                held.into_iter().try_for_each(|row| schedule.push(row))?;
                self.state = State::Writing(Box::new(schedule));
            }
            begun => self.state = begun,
        }
        Ok(())
    }

    /// Writes what still stands out and gives the files their names. Where no section was met there is no schedule, unless
    /// rows of failures are wanted on standard output `anyway`, or are there because they were more than can be held back.
    pub fn finish(mut self, anyway: bool) -> Result<(), String> {
        let failures = match &self.state {
            State::Waiting(_, held) => anyway && !self.to_file && !held.is_empty(),
            State::Writing(_) => true,
            State::Broken => false,
        };
        if (self.any || failures)
            && let Err(error) = self.begin().and_then(|()| self.end())
        {
            let write_error = self.write_error(&error);
            return if self.gone { Ok(()) } else { Err(write_error) };
        }
        if self.any {
            return Ok(());
        }
        Err(if failures && !self.to_file {
            "nothing was measured: every row says why".to_owned()
        } else {
            "nothing was measured, so no schedule was written".to_owned()
        })
    }

    fn end(&mut self) -> io::Result<()> {
        if let State::Writing(schedule) = std::mem::replace(&mut self.state, State::Broken) {
            match schedule.finish()? {
                Target::File(file) if self.any => file.keep()?,
                Target::File(_) => {}
                Target::Output(mut output) => output.flush()?,
            }
        }
        if let Some((_, table)) = self.pieces.take().filter(|_| self.any) {
            table.finish()?.keep()?;
        }
        match self.totals.take() {
            Some((_, file, totals)) if self.any => totals.write_csv(file)?.keep(),
            _ => Ok(()),
        }
    }

    fn write_error(&mut self, error: &io::Error) -> String {
        self.gone |= error.kind() == io::ErrorKind::BrokenPipe;
        format!("cannot write the schedule to {}: {error}", self.place)
    }
}

fn no_totals(place: &str, error: &io::Error) -> String {
    format!("cannot write the totals to {place}: {error}")
}

fn no_pieces(place: &str, error: &io::Error) -> String {
    format!("cannot write the pieces to {place}: {error}")
}
