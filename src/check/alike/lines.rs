//! Lines of cells under one another, to read.

use std::io::{self, Write};

use crate::schedule::{filled, pushed_right, shown, width};

/// Longer cells push what follows them aside rather than all others.
const WIDEST: usize = 40;

/// The columns of lines that are written one by one, each as wide as its cells.
pub(crate) struct Lines {
    columns: Vec<LineColumn>,
}

struct LineColumn {
    heading: &'static str,
    /// Figures stand on the right, words on the left.
    figures: bool,
    room: usize,
}

impl Lines {
    /// Columns with these headings; the second is whether they hold figures.
    pub fn under(headings: impl Iterator<Item = (&'static str, bool)>) -> Lines {
        let column = |(heading, figures)| LineColumn { heading, figures, room: width(heading) };
        Lines { columns: headings.map(column).collect() }
    }

    /// Makes room for cells.
    pub fn widen(&mut self, cells: &[String]) {
        for (column, cell) in self.columns.iter_mut().zip(cells) {
            column.room = column.room.max(width(&shown(cell)).min(WIDEST));
        }
    }

    /// Writes the headings as a line.
    pub fn write_headings(&self, out: &mut (impl Write + ?Sized)) -> io::Result<()> {
        let headings: Vec<String> = self.columns.iter().map(|column| column.heading.to_owned()).collect();
        self.write(&headings, out)
    }

    /// Writes cells as a line. Names of any kind stay within it.
    pub fn write(&self, cells: &[String], out: &mut (impl Write + ?Sized)) -> io::Result<()> {
        let cells = self.columns.iter().zip(cells).map(|(column, cell)| {
            let cell = shown(cell);
            if column.figures { pushed_right(&cell, column.room) } else { filled(&cell, column.room) }
        });
        writeln!(out, "{}", cells.collect::<Vec<_>>().join("  ").trim_end())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_under_one_another() {
        let mut lines =
            Lines::under([("result", false), ("section", false), ("found", true), ("", false)].into_iter());
        let rows = [["pass", "鋼板", "1.5", ""], ["fail", "PLATE 12", "", "none"]];
        let rows = rows.map(|row| row.map(str::to_owned));
        rows.iter().for_each(|row| lines.widen(row));
        let mut text = Vec::new();
        lines.write_headings(&mut text).expect("writing to memory");
        rows.iter().for_each(|row| lines.write(row, &mut text).expect("writing to memory"));
        assert_eq!(
            String::from_utf8(text).expect("text"),
            "result  section   found\npass    鋼板        1.5\nfail    PLATE 12         none\n"
        );
    }
}
