//! What README.md says is held against what the program does: its columns, the schedule it shows, its options and its
//! commands. Its Rust example is a doc test of the library.

use crate::common;

use std::collections::BTreeMap;

use common::{file, table};
use tracearm::drawing::{Drawing, LengthUnit};
use tracearm::measure::{self, Options};
use tracearm::schedule::{self, Group, Quantity, Style};

/// The unit of a column in words, as the README gives it.
fn unit(quantity: Quantity) -> String {
    match quantity {
        Quantity::Text => "text".to_owned(),
        Quantity::Count => "count".to_owned(),
        Quantity::Length(1) => "length".to_owned(),
        Quantity::Length(2) => "length²".to_owned(),
        Quantity::Length(3) => "length³".to_owned(),
        Quantity::Length(4) => "length⁴".to_owned(),
        Quantity::Length(power) => format!("length^{power}"),
        Quantity::Degrees => "degrees".to_owned(),
        Quantity::MassPerLength => "kg/m".to_owned(),
        Quantity::Mass => "kg".to_owned(),
        Quantity::Ratio => "ratio".to_owned(),
    }
}

/// The lines of the README's table whose first line is `head`, without head and rule.
fn table_under(head: &str) -> Vec<String> {
    let text = file("README.md");
    let mut lines = text.lines().skip_while(|line| *line != head);
    assert_eq!(lines.next(), Some(head), "README.md has no table that begins {head}");
    assert!(lines.next().is_some_and(|rule| rule.starts_with("|---|")));
    lines.take_while(|line| line.starts_with('|')).map(str::to_owned).collect()
}

#[test]
fn the_columns_are_those_of_the_schedule() {
    columns_stand_under("| column | unit | definition |", Group::Common);
    columns_stand_under("| column of plates | unit | definition |", Group::Plate);
}

fn columns_stand_under(head: &str, group: Group) {
    let shown = table_under(head);
    let expected: Vec<String> = group
        .columns()
        .map(|c| format!("| `{}` | {} | {} |", c.key, unit(c.quantity), c.definition.replace('|', "\\|")))
        .collect();
    assert!(shown == expected, "README.md must have these rows:\n{}", expected.join("\n"));
    assert!(group.columns().all(|c| !c.definition.is_empty()));
}

/// Keys, units and definitions as in the dictionary of columns; where that leaves a definition to the column before, the
/// program has one of its own.
#[test]
fn the_column_dictionary_is_that_of_the_schedule() {
    let dictionary = table("shared/schedule-columns.csv");
    assert_eq!(dictionary.len(), Group::Common.columns().count());
    let mut defined = 0;
    for (row, column) in dictionary.iter().zip(Group::Common.columns()) {
        assert_eq!(row["key"], column.key.name());
        let word = match column.quantity {
            Quantity::Length(1) => "length".to_owned(),
            Quantity::Length(power) => format!("length^{power}"),
            Quantity::Degrees => "deg".to_owned(),
            Quantity::MassPerLength => "kg/m".to_owned(),
            _ => String::new(),
        };
        assert_eq!(row["unit"], word, "{}", column.key);
        if !row["definition"].is_empty() {
            assert_eq!(row["definition"], column.definition);
            defined += 1;
        }
    }
    assert!(defined == 31, "only {defined} definitions");
}

#[test]
fn the_schedule_shown_is_what_the_first_command_writes() {
    let (_, path) = commands()[0].rsplit_once(' ').map(|(a, b)| (a.to_owned(), b.to_owned())).unwrap();
    let drawing = Drawing::open(format!("{}/{path}", env!("CARGO_MANIFEST_DIR"))).unwrap();
    let measured = measure::drawing(&path, &drawing, &Options::default());
    let mut text = Vec::new();
    schedule::write_csv(&measured.measurements, Style::default(), &mut text).unwrap();
    let mut reader = csv::Reader::from_reader(text.as_slice());
    let header: Vec<String> = reader.headers().unwrap().iter().map(str::to_owned).collect();
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    let transposed: Vec<Vec<String>> = header
        .iter()
        .enumerate()
        .map(|(k, name)| {
            let cells = rows.iter().map(|row| row[k].to_owned());
            std::iter::once(format!("`{name}`")).chain(cells).collect()
        })
        .collect();
    assert_eq!(rows.len(), 3, "the drawing has three layers");
    let head = format!("| {} |", transposed[0].join(" | "));
    let shown = table_under(&head);
    assert_eq!(shown.len(), Group::Common.columns().count() - 1);
    for (line, cells) in shown.iter().zip(&transposed[1..]) {
        if cells[0] == "`strip_check`" {
            // Rounding alone, which is not the same on every machine.
            let figures =
                line.trim_matches('|').split('|').skip(1).map(|cell| cell.trim().parse::<f64>().unwrap());
            assert!(figures.into_iter().all(|figure| figure < 1e-12), "{line}");
            continue;
        }
        assert_eq!(*line, format!("| {} |", cells.join(" | ")));
    }
}

/// The first block of commands.
fn commands() -> Vec<String> {
    let text = file("README.md");
    let block = text.split("```sh\n").nth(1).expect("a block of commands");
    block.split("```").next().unwrap().lines().map(str::to_owned).collect()
}

#[test]
fn two_commands_come_first() {
    assert_eq!(commands(), ["cargo run --release -- schedule fixtures/gantry-end-plate.dxf", "cargo test"]);
}

#[test]
fn every_option_is_in_the_table() {
    let help =
        std::process::Command::new(env!("CARGO_BIN_EXE_tracearm")).args(["schedule", "-h"]).output().unwrap();
    let help = String::from_utf8(help.stdout).unwrap();
    let options: Vec<&str> = help
        .split_whitespace()
        .filter(|word| word.starts_with("--") && word.len() > 2)
        .map(|word| word.trim_end_matches(|c: char| !c.is_alphanumeric()))
        .filter(|word| !["--help", "--version"].contains(word))
        .collect();
    let rows: BTreeMap<String, String> = table_under("| option | what it does | example |")
        .into_iter()
        .filter_map(|row| {
            let option = row.split("--").nth(1)?.split(['`', ' ']).next()?;
            Some((format!("--{option}"), row.clone()))
        })
        .collect();
    assert!(options.len() >= 10, "{options:?}");
    for option in options {
        let row = rows.get(option).unwrap_or_else(|| panic!("README.md does not list {option}"));
        assert!(row.contains("`tracearm schedule "), "README.md has no example for {option}");
    }
    // The units that the table names are those that are read.
    for word in ["mm", "cm", "m", "in", "ft"] {
        assert!(rows["--units"].contains(&format!("`{word}`")) && word.parse::<LengthUnit>().is_ok());
    }
}
