//! The table of traps against the fixtures and tests that it names.

use crate::common;

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use common::file;

/// The names between back ticks in a cell.
fn quoted(cell: &str) -> impl Iterator<Item = &str> {
    cell.split('`').skip(1).step_by(2)
}

#[test]
fn every_trap_has_a_fixture_and_a_test_that_are_there() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let table = file("tests/traps.md");
    let tests = tests(root);
    let (mut wrong, mut traps) = (Vec::new(), BTreeSet::new());
    for row in table.lines().skip_while(|line| *line != "|---|---|---|").skip(1) {
        let cells: Vec<&str> = row.trim_matches('|').split('|').map(str::trim).collect();
        let [trap, fixtures, held_by] = cells[..] else { panic!("not three cells: {row}") };
        if !traps.insert(trap) {
            wrong.push(format!("{trap}: twice in the table"));
        }
        for name in quoted(fixtures).filter(|name| !root.join("fixtures").join(name).is_file()) {
            wrong.push(format!("{trap}: no fixtures/{name}"));
        }
        if quoted(held_by).next().is_none() {
            wrong.push(format!("{trap}: held by no test"));
        }
        for name in quoted(held_by).filter(|name| !tests.contains(*name)) {
            wrong.push(format!("{trap}: no test {name}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(!traps.is_empty(), "tests/traps.md has no table");
}

/// The names of all tests.
fn tests(root: &Path) -> BTreeSet<String> {
    let mut paths: Vec<PathBuf> = Vec::new();
    let mut folders = vec![root.join("src"), root.join("tests")];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(&folder).expect("a folder of the project") {
            let path = entry.expect("an entry").path();
            if path.is_dir() && !path.ends_with("target") {
                folders.push(path);
            } else if path.extension().is_some_and(|ending| ending == "rs") {
                paths.push(path);
            }
        }
    }
    let mut names = BTreeSet::new();
    for path in paths {
        let text = std::fs::read_to_string(&path).expect("a source file");
        let mut lines = text.lines().map(str::trim).peekable();
        while let Some(line) = lines.next() {
            if line == "#[test]"
                && let Some(next) = lines.peek()
            {
                names.extend(next.strip_prefix("fn ").and_then(|f| f.split('(').next()).map(str::to_owned));
            }
        }
    }
    names
}
