//! What README.md and the pages in docs/ say is held against what the program does: columns, the schedules they show,
//! options, commands and their answers. Links lead to files and headings that are there. Examples in Rust are doc tests
//! of the library.

use crate::common;
use crate::run::Folder;

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use common::{file, table};
use tracearm::drawing::{Drawing, LengthUnit};
use tracearm::measure::{self, Options};
use tracearm::schedule::{self, Group, Quantity, Style};

/// The unit of a column in words, as the documents give it.
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

/// The lines of the page's table whose first line is `head`, without head and rule.
fn table_under(page: &str, head: &str) -> Vec<String> {
    let text = file(page);
    let mut lines = text.lines().skip_while(|line| *line != head);
    assert_eq!(lines.next(), Some(head), "{page} has no table that begins {head}");
    assert!(lines.next().is_some_and(|rule| rule.starts_with("|---|")));
    lines.take_while(|line| line.starts_with('|')).map(str::to_owned).collect()
}

#[test]
fn the_columns_are_those_of_the_schedule() {
    columns_stand_under("| column | unit | definition |", Group::Common);
    columns_stand_under("| column of plates | unit | definition |", Group::Plate);
    columns_stand_under("| column of fields | unit | definition |", Group::Field);
}

fn columns_stand_under(head: &str, group: Group) {
    let shown = table_under("docs/columns.md", head);
    let expected: Vec<String> = group
        .columns()
        .map(|c| format!("| `{}` | {} | {} |", c.key, unit(c.quantity), c.definition.replace('|', "\\|")))
        .collect();
    assert!(shown == expected, "docs/columns.md must have these rows:\n{}", expected.join("\n"));
    assert!(group.columns().all(|c| !c.definition.is_empty()));
}

/// Keys, units and definitions of the columns of fields as in their own dictionary.
#[test]
fn the_dictionary_of_fields_is_that_of_the_schedule() {
    let dictionary = table("shared/field-columns.csv");
    assert_eq!(dictionary.len(), Group::Field.columns().count());
    for (row, column) in dictionary.iter().zip(Group::Field.columns()) {
        let unit = match column.quantity {
            Quantity::Length(1) => "length".to_owned(),
            Quantity::Length(power) => format!("length^{power}"),
            _ => String::new(),
        };
        let expected = (column.key.name(), unit.as_str(), column.definition);
        assert_eq!((row["key"].as_str(), row["unit"].as_str(), row["definition"].as_str()), expected);
    }
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

/// What the first command writes, with a row for each column: its heading and its cells.
fn transposed_schedule() -> Vec<Vec<String>> {
    let (_, path) = commands()[0].rsplit_once(' ').map(|(a, b)| (a.to_owned(), b.to_owned())).unwrap();
    let drawing = Drawing::open(format!("{}/{path}", env!("CARGO_MANIFEST_DIR"))).unwrap();
    let measured = measure::drawing(&path, &drawing, &Options::default());
    let mut text = Vec::new();
    schedule::write_csv(&measured.measurements, Style::default(), &mut text).unwrap();
    let mut reader = csv::Reader::from_reader(text.as_slice());
    let header: Vec<String> = reader.headers().unwrap().iter().map(str::to_owned).collect();
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    assert_eq!(rows.len(), 3, "the drawing has three layers");
    header
        .iter()
        .enumerate()
        .map(|(k, name)| {
            let cells = rows.iter().map(|row| row[k].to_owned());
            std::iter::once(format!("`{name}`")).chain(cells).collect()
        })
        .collect()
}

#[test]
fn the_schedule_shown_is_what_the_first_command_writes() {
    let transposed = transposed_schedule();
    let head = format!("| {} |", transposed[0].join(" | "));
    let shown = table_under("docs/columns.md", &head);
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

#[test]
fn the_readme_shows_a_part_of_that_schedule() {
    let transposed = transposed_schedule();
    let sections = transposed.iter().find(|cells| cells[0] == "`section`").unwrap();
    let plate = sections.iter().position(|name| name == "PLATE").unwrap();
    let written: Vec<String> =
        transposed.iter().map(|cells| format!("| {} | {} |", cells[0], cells[plate])).collect();
    let shown = table_under("README.md", "| `section` | PLATE |");
    assert!(shown.len() >= 8, "{shown:?}");
    for line in shown {
        assert!(written.contains(&line), "README.md: this does not stand in the schedule: {line}");
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
    assert_eq!(commands(), ["cargo run -- schedule fixtures/gantry-end-plate.dxf", "cargo test"]);
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
    let rows: BTreeMap<String, String> =
        table_under("docs/commands.md", "| option | what it does | example |")
            .into_iter()
            .filter_map(|row| {
                let option = row.split("--").nth(1)?.split(['`', ' ']).next()?;
                Some((format!("--{option}"), row.clone()))
            })
            .collect();
    assert!(options.len() >= 10, "{options:?}");
    for option in options {
        let row = rows.get(option).unwrap_or_else(|| panic!("docs/commands.md does not list {option}"));
        assert!(row.contains("`tracearm schedule "), "docs/commands.md has no example for {option}");
    }
    // The units that the table names are those that are read.
    for word in ["mm", "cm", "m", "in", "ft"] {
        assert!(rows["--units"].contains(&format!("`{word}`")) && word.parse::<LengthUnit>().is_ok());
    }
}

/// The longest that is read at a stretch; what is more belongs into a page of docs/.
#[test]
fn the_readme_is_short() {
    let count = file("README.md").lines().count();
    assert!(
        count <= 150,
        "README.md has {count} lines, and 150 are the most: move some into a page of docs/"
    );
}

/// Each exit code with its meaning, as the help says it.
#[test]
fn exit_codes_are_those_of_the_help() {
    let help = Folder::with(&[]).run(&["-h"]).out;
    let (_, codes) = help.split_once("Exit codes:\n").expect("exit codes");
    let rows: Vec<String> = codes
        .lines()
        .take_while(|line| !line.is_empty())
        .map(|line| line.trim().split_once("  ").expect("a code and its meaning"))
        .map(|(code, meaning)| format!("| {code} | {meaning} |"))
        .collect();
    assert_eq!(rows.len(), 3);
    assert_eq!(table_under("README.md", "| code | meaning |"), rows);
}

/// Commands of README.md and the lines of their answers that it shows.
fn examples() -> Vec<(String, Vec<String>)> {
    let text = file("README.md");
    let mut examples: Vec<(String, Vec<String>)> = Vec::new();
    let mut fence = "";
    for line in text.lines() {
        match line.strip_prefix("```") {
            Some(kind) => fence = kind,
            None if fence == "sh" && line.starts_with("tracearm ") => {
                examples.push((line.to_owned(), Vec::new()));
            }
            None if fence == "text" => {
                examples.last_mut().expect("a command before its answer").1.push(line.trim_end().to_owned());
            }
            None => {}
        }
    }
    examples
}

/// Copies a file, or a folder with all that it holds.
fn copy(from: &Path, to: &Path) {
    if from.is_dir() {
        std::fs::create_dir_all(to).unwrap();
        for entry in std::fs::read_dir(from).unwrap() {
            let name = entry.unwrap().file_name();
            copy(&from.join(&name), &to.join(&name));
        }
    } else {
        std::fs::create_dir_all(to.parent().expect("a folder")).unwrap();
        std::fs::copy(from, to).unwrap();
    }
}

/// The words of a page of HTML; raised digits stay raised.
fn words_of(html: &str) -> String {
    let html = html.replace("<sup>2</sup>", "²");
    html.split('<').map(|piece| piece.split_once('>').map_or(piece, |(_, text)| text)).collect()
}

/// Every line that is shown stands in what the command prints, or in a file that it writes.
#[test]
fn examples_have_the_answers_that_are_shown() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let examples = examples();
    assert!(examples.len() >= 4, "{examples:?}");
    for (command, answer) in examples {
        let folder = Folder::with(&[]);
        let mut arguments: Vec<&str> = command.split(' ').skip(1).collect();
        for path in arguments.iter().filter(|word| root.join(word).exists()) {
            copy(&root.join(path), &folder.path().join(path));
        }
        // What a terminal shows.
        if arguments[0] == "schedule" && !arguments.contains(&"-o") {
            arguments.extend(["--format", "table"]);
        }
        let run = folder.run(&arguments);
        assert!(run.code != 2, "{command}: {}", run.err);
        let mut lines: BTreeSet<String> =
            run.out.lines().chain(run.err.lines()).map(|line| line.trim_end().to_owned()).collect();
        let mut words = String::new();
        for entry in std::fs::read_dir(folder.path()).unwrap().map(Result::unwrap) {
            match entry.path().extension().and_then(|ending| ending.to_str()) {
                Some("csv") => {
                    let text = std::fs::read_to_string(entry.path()).unwrap();
                    lines.extend(text.lines().map(str::to_owned));
                }
                Some("html") => words += &words_of(&std::fs::read_to_string(entry.path()).unwrap()),
                _ => {}
            }
        }
        assert!(answer.iter().any(|line| !line.is_empty()), "{command}: README.md shows no answer");
        for line in answer.iter().filter(|line| !line.is_empty()) {
            assert!(lines.contains(line) || words.contains(line), "{command} does not answer\n{line}");
        }
    }
}

/// The pages that are linked with each other, by their paths in the project.
fn pages() -> Vec<String> {
    let folder = std::fs::read_dir(format!("{}/docs", env!("CARGO_MANIFEST_DIR"))).expect("the folder docs");
    let mut pages: Vec<String> = folder
        .map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned())
        .filter(|name| name.ends_with(".md"))
        .map(|name| format!("docs/{name}"))
        .collect();
    pages.extend(["README.md", "DEVELOPERS.md"].map(str::to_owned));
    pages.sort();
    pages
}

/// A page without its blocks of code, in which nothing is a link or a heading.
fn prose(page: &str) -> Vec<String> {
    let mut inside = false;
    let text = file(page);
    let lines = text.lines().filter(|line| {
        let fence = line.starts_with("```");
        inside ^= fence;
        !inside && !fence
    });
    lines.map(str::to_owned).collect()
}

/// What a link to a heading of the page is called: its words in small letters, hyphens between them.
fn anchors(page: &str) -> BTreeSet<String> {
    let lines = prose(page);
    let headings = lines.iter().filter(|line| line.starts_with('#'));
    headings
        .map(|line| {
            let heading = line.trim_start_matches('#').trim().to_lowercase().replace(' ', "-");
            heading.chars().filter(|c| c.is_alphanumeric() || ['-', '_'].contains(c)).collect()
        })
        .collect()
}

/// Where the links and pictures of a page lead, but for other servers.
fn links(page: &str) -> Vec<String> {
    let text = prose(page).join("\n");
    let targets = text.split("](").skip(1).filter_map(|rest| rest.split_once(')')).map(|(target, _)| target);
    let pictures = text.split("src=\"").skip(1).filter_map(|rest| rest.split_once('"')).map(|(name, _)| name);
    targets.chain(pictures).filter(|target| !target.contains("://")).map(str::to_owned).collect()
}

#[test]
fn links_lead_somewhere() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut count = 0;
    for page in pages() {
        for link in links(&page) {
            let (path, heading) = link.split_once('#').map_or((link.as_str(), None), |(p, h)| (p, Some(h)));
            let mut target = PathBuf::from(&page);
            if !path.is_empty() {
                target.pop();
                for part in path.split('/') {
                    // A page may not count on what lies beside the project.
                    let inside = if part == ".." { target.pop() } else { true };
                    assert!(inside, "{page}: {link} leads out of the project");
                    if part != ".." {
                        target.push(part);
                    }
                }
            }
            assert!(root.join(&target).exists(), "{page}: {link} leads to nothing");
            if let Some(heading) = heading {
                let headings = anchors(&target.to_string_lossy());
                assert!(
                    headings.contains(heading),
                    "{page}: {link} leads to no heading; there are {headings:?}"
                );
            }
            count += 1;
        }
    }
    assert!(count >= 40, "only {count} links");
}

/// Who uses Python needs nothing but what these say.
#[test]
fn installing_names_the_python_package() {
    let readme = file("README.md");
    let (_, installing) = readme.split_once("## Installing\n").expect("how it is installed");
    let (installing, _) = installing.split_once("\n## ").expect("what comes next");
    assert!(installing.contains("`pip install ./python`") && installing.contains("(docs/python.md)"));
    assert!(file("docs/python.md").contains("pip install ./python\n"));
    let package = file("python/pyproject.toml");
    assert!(package.contains("name = \"tracearm\"") && package.contains("requires-python = \">=3.9\""));
}

/// Nobody finds a page to which nothing leads.
#[test]
fn every_page_is_listed() {
    let (readme, index) = (links("README.md"), links("docs/README.md"));
    for page in pages() {
        let Some(name) = page.strip_prefix("docs/") else { continue };
        assert!(readme.contains(&page), "README.md has no link to {page}");
        assert!(
            name == "README.md" || index.iter().any(|link| link == name),
            "docs/README.md does not list {page}"
        );
    }
}

/// Blocks of Rust are compiled and run where the library names their page.
#[test]
fn examples_in_rust_are_run() {
    let library = file("src/lib.rs");
    let with_rust: Vec<String> = pages().into_iter().filter(|page| file(page).contains("```rust")).collect();
    assert!(!with_rust.is_empty());
    for page in with_rust {
        let named = format!("include_str!(\"../{page}\")");
        assert!(library.contains(&named), "the Rust in {page} is not run: src/lib.rs does not have {named}");
    }
}
