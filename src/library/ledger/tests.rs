//! Runs with a ledger: what is remembered, what is measured again, what a stop leaves.

use std::collections::BTreeMap;
use std::fs;

use super::super::{Concurrency, Sources, Task, run};
use super::*;
use crate::measure::Message;

/// A folder of its own, cleared away in the end.
struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Folder {
        let path = std::env::temp_dir().join(format!("tracearm-ledger-{name}-{}", std::process::id()));
        let _ = fs::remove_dir_all(&path);
        fs::create_dir_all(path.join("lib")).unwrap();
        Folder(path)
    }

    fn file(&self, name: &str) -> PathBuf {
        self.0.join(name)
    }

    /// Writes a drawing of one plate.
    fn plate(&self, name: &str, width: f64) {
        let text = format!(
            "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n0\nLWPOLYLINE\n8\nPLATE\n\
             90\n4\n70\n1\n10\n7\n20\n9\n10\n{0}\n20\n9\n10\n{0}\n20\n50\n10\n7\n20\n50\n0\nENDSEC\n0\nEOF\n",
            7.0 + width
        );
        fs::write(self.file("lib").join(name), text).unwrap();
    }

    fn run(&self, options: &str) -> Result<RunResult, super::super::RunError> {
        let ledger = Ledger::begin(&self.file("shop.ledger"), "1", options)?;
        let mut outcome = RunResult::default();
        let sources = Sources::of(vec![self.file("lib")]);
        run(sources, Task::default(), Concurrency::default(), Some(ledger.clone()), |drawings| {
            for measured in drawings {
                outcome.remembered += usize::from(measured.remembered);
                outcome.rows.extend(measured.rows);
                outcome.messages.extend(measured.messages);
            }
            Ok(())
        })?;
        outcome.vanished = ledger.finish()?;
        Ok(outcome)
    }

    /// One number from the ledger, by a statement that anybody could write.
    fn ask(&self, statement: &str) -> i64 {
        let connection = Connection::open(self.file("shop.ledger")).unwrap();
        connection.query_row(statement, [], |row| row.get(0)).unwrap()
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

#[derive(Debug, Default, PartialEq)]
struct RunResult {
    rows: Vec<crate::schedule::Row>,
    messages: Vec<Message>,
    remembered: usize,
    vanished: usize,
}

#[test]
fn what_has_not_changed_is_not_measured_again() {
    let folder = Folder::new("again");
    for k in 0..7 {
        folder.plate(&format!("{k}.dxf"), 30.0 + f64::from(k));
    }
    fs::write(folder.file("lib/broken.dxf"), "no drawing").unwrap();
    let first = folder.run("mm").unwrap();
    assert_eq!((first.rows.len(), first.remembered, first.messages.len()), (8, 0, 1));
    // Just written: times prove nothing yet, but the bytes are the same.
    let second = folder.run("mm").unwrap();
    assert_eq!(
        (second.remembered, second.rows == first.rows, second.messages == first.messages),
        (8, true, true)
    );
    // Of two times that are long ago, one says when it was looked at.
    let connection = Connection::open(folder.file("shop.ledger")).unwrap();
    connection.execute("UPDATE measurings SET looked = looked + 10000000000", []).unwrap();
    drop(connection);
    let third = folder.run("mm").unwrap();
    assert_eq!((third.remembered, third.rows == first.rows), (8, true));
    // Other options, and what they say is remembered beside the former.
    assert_eq!(folder.run("in").unwrap().remembered, 0);
    assert_eq!(folder.ask("SELECT count(*) FROM measurings"), 16);
    // One drawing changes, one goes, one comes.
    folder.plate("3.dxf", 500.0);
    fs::remove_file(folder.file("lib/5.dxf")).unwrap();
    folder.plate("9.dxf", 31.0);
    let changed = folder.run("in").unwrap();
    assert_eq!((changed.rows.len(), changed.remembered, changed.vanished), (8, 6, 1));
    assert_eq!(folder.ask("SELECT count(*) FROM current_sections WHERE area > 20000"), 1);
    assert_eq!(folder.ask("SELECT count(*) FROM drawings WHERE vanished_run IS NOT NULL"), 1);
    // It comes back.
    folder.plate("5.dxf", 35.0);
    assert_eq!(folder.run("in").unwrap().rows.len(), 9);
    assert_eq!(folder.ask("SELECT count(*) FROM drawings WHERE vanished_run IS NOT NULL"), 0);
    // The same outline under two names, 31 wide.
    assert_eq!(
        folder.ask(
            "SELECT count(*) FROM (SELECT outline FROM current_sections WHERE outline IS NOT NULL
             GROUP BY outline HAVING count(*) = 2)"
        ),
        1
    );
    assert_eq!(folder.ask("SELECT count(*) FROM current_findings WHERE severity = 'failure'"), 1);
}

#[test]
fn a_full_disk_loses_nothing_and_doubles_nothing() {
    let folder = Folder::new("full");
    for k in 0..200 {
        folder.plate(&format!("{k:03}.dxf"), 30.0 + f64::from(k));
    }
    let whole = Folder::new("whole");
    fs::remove_dir_all(whole.file("lib")).unwrap();
    fs::rename(folder.file("lib"), whole.file("lib")).unwrap();
    let undisturbed = whole.run("mm").unwrap();
    fs::rename(whole.file("lib"), folder.file("lib")).unwrap();
    // SQLite says that the disk is full where the file may have no more pages.
    let mut stops = 0;
    for pages in (12..90).step_by(2) {
        // Threads of the run before may still be at their last drawing.
        let begun = || {
            std::thread::sleep(Duration::from_millis(2));
            Ledger::begin(&folder.file("shop.ledger"), "1", "mm").ok()
        };
        let ledger = (0..1000).find_map(|_| begun()).unwrap();
        ledger.with(|database| database.connection.pragma_update(None, "max_page_count", pages)).unwrap();
        let sources = Sources::of(vec![folder.file("lib")]);
        // Drawings that are handed on together are a transaction of their own.
        let ended = run(
            sources,
            Task::default(),
            Concurrency { jobs: 2, time_limit: None },
            Some(ledger.clone()),
            |_| ledger.with(Database::commit).map_err(Into::into),
        );
        drop(ledger);
        match ended {
            Ok(()) => break,
            Err(error) => assert!(error.to_string().contains("no room left on its disk"), "{error}"),
        }
        stops += 1;
    }
    assert!(stops > 2, "{stops}");
    std::thread::sleep(Duration::from_millis(100));
    let after = folder.run("mm").unwrap();
    // The paths are others.
    let figures =
        |rows: &[crate::schedule::Row]| -> Vec<StoredRow> { rows.iter().map(StoredRow::of).collect() };
    assert_eq!(figures(&after.rows), figures(&undisturbed.rows));
    assert!(after.remembered > 10, "{}", after.remembered);
    assert_eq!(folder.ask("SELECT count(*) FROM sections"), 200);
    assert_eq!(folder.ask("SELECT count(*) FROM measurings"), 200);
}

#[test]
fn other_files_are_left_alone() {
    let folder = Folder::new("other");
    let path = folder.file("shop.ledger");
    let refused = |part: &str| {
        let error = Ledger::begin(&path, "1", "mm").err().map(|error| error.to_string()).unwrap_or_default();
        assert!(error.contains(part) && error.contains("shop.ledger"), "{error}");
    };
    fs::write(&path, "drawing,section\n".repeat(100)).unwrap();
    refused("a file of another kind");
    assert_eq!(fs::read(&path).unwrap().len(), 1600);
    fs::remove_file(&path).unwrap();
    Connection::open(&path).unwrap().execute_batch("CREATE TABLE accounts (id INTEGER)").unwrap();
    refused("another program's database");
    fs::remove_file(&path).unwrap();
    let first = Ledger::begin(&path, "1", "mm").unwrap();
    refused("another run or another program is using it");
    first.finish().unwrap();
    let connection = Connection::open(&path).unwrap();
    connection.pragma_update(None, "user_version", 99).unwrap();
    drop(connection);
    refused("another version");
    let nowhere = Ledger::begin(Path::new("/nowhere/at/all.ledger"), "1", "mm").err().unwrap().to_string();
    assert!(nowhere.contains("cannot be opened"), "{nowhere}");
}

#[test]
fn reading_makes_nothing() {
    let folder = Folder::new("nothing");
    let refused = |file: &str, words: &str| {
        let error = Ledger::read(&folder.file(file), |_, _, _| panic!("nothing to read")).unwrap_err();
        assert!(error.to_string().contains(words), "{error}");
    };
    refused("missing.ledger", "cannot be opened");
    assert!(!folder.file("missing.ledger").exists());
    fs::write(folder.file("empty.ledger"), "").unwrap();
    refused("empty.ledger", "is empty");
    assert_eq!(fs::read(folder.file("empty.ledger")).unwrap(), b"");
}

#[test]
fn a_ledger_deletes_no_file_that_it_names() {
    // Ledgers of before name the unfinished output of their runs.
    let folder = Folder::new("part");
    drop(Ledger::begin(&folder.file("shop.ledger"), "1", "mm").unwrap());
    let theirs = folder.file("a.csv.1.part");
    fs::write(&theirs, "half").unwrap();
    let connection = Connection::open(folder.file("shop.ledger")).unwrap();
    connection.execute("ALTER TABLE runs ADD COLUMN pending TEXT", []).unwrap();
    connection.execute("UPDATE runs SET pending = ?1", [theirs.display().to_string()]).unwrap();
    drop(connection);
    drop(Ledger::begin(&folder.file("shop.ledger"), "1", "mm").unwrap());
    assert!(theirs.exists());
}

#[test]
fn sections_are_given_under_their_headings() {
    let folder = Folder::new("read");
    folder.plate("a.dxf", 93.0);
    folder.run("mm").unwrap();
    let mut found = Vec::new();
    Ledger::read(&folder.file("shop.ledger"), |drawing, section, cells| {
        let cells: BTreeMap<String, String> = Ledger::headings().into_iter().zip(cells.to_vec()).collect();
        found.push((drawing.ends_with("lib/a.dxf"), section.to_owned(), cells));
    })
    .unwrap();
    let [(true, section, cells)] = found.as_slice() else { panic!("{found:?}") };
    assert_eq!(
        (section.as_str(), cells["area_mm2"].as_str(), cells["parts"].as_str()),
        ("PLATE", "3813.0", "1")
    );
    assert_eq!(cells["mass_per_length_kg_per_m"], "");
    assert!(Ledger::is_database(&fs::read(folder.file("shop.ledger")).unwrap()));
}

#[test]
fn the_queries_of_the_readme_can_be_asked() {
    let folder = Folder::new("readme");
    folder.plate("a.dxf", 93.0);
    folder.run("mm").unwrap();
    folder.plate("a.dxf", 94.0);
    folder.run("mm").unwrap();
    let readme = fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/README.md")).unwrap();
    let connection = Connection::open(folder.file("shop.ledger")).unwrap();
    let block = readme.split("```sql\n").nth(1).unwrap().split("```").next().unwrap();
    let mut answers = Vec::new();
    // The README's runs are 3 and 7.
    let block = block.replace("<= 3", "<= 1").replace("> 3", "> 1");
    for query in block.split_inclusive(';').filter(|query| query.contains("SELECT")) {
        let mut statement = connection.prepare(query).unwrap();
        answers.push(statement.query_map([], |_| Ok(())).unwrap().count());
    }
    assert_eq!(answers, [1, 0, 0, 1, 0]);
    // Every table and view is described.
    let names: Vec<String> = connection
        .prepare("SELECT name FROM sqlite_schema WHERE type IN ('table', 'view') AND name NOT LIKE 'sqlite%'")
        .unwrap()
        .query_map([], |row| row.get(0))
        .unwrap()
        .collect::<rusqlite::Result<_>>()
        .unwrap();
    assert!(
        names.len() == 7 && names.iter().all(|name| readme.contains(&format!("| `{name}` |"))),
        "{names:?}"
    );
}
