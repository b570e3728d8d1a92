//! Runs with a ledger: what is remembered, what is measured again, what a stop leaves.

use std::collections::BTreeMap;
use std::fs;
use std::time::Duration;

use super::super::{Concurrency, Sources, Task, run};
use super::database::Database;
use super::*;
use crate::measure::Message;
use crate::schedule::StoredRow;

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

    fn run(&self, options: &str) -> Result<RunResult, Box<dyn std::error::Error>> {
        let ledger = Ledger::begin(&self.file("shop.ledger"), "1", options)?;
        let mut outcome = RunResult::default();
        let sources = Sources::of(vec![self.file("lib")]);
        run(sources, Task::default(), Concurrency::default(), Some(ledger.clone()), |drawings| {
            for measured in drawings {
                outcome.remembered += usize::from(measured.remembered);
                outcome.changes.extend(measured.change);
                outcome.rows.extend(measured.rows);
                outcome.messages.extend(measured.messages);
            }
            Ok(())
        })?;
        let end = ledger.finish()?;
        (outcome.vanished, outcome.damages, outcome.moved) = (end.vanished.len(), end.damages, end.moved);
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
    damages: Vec<String>,
    changes: Vec<Change>,
    moved: Vec<Moved>,
}

#[test]
fn what_was_moved_or_copied_is_not_measured_again() {
    use Change::{Changed, New, Unchanged};
    let folder = Folder::new("moved");
    for k in 0..5 {
        folder.plate(&format!("{k}.dxf"), 30.0 + f64::from(k));
    }
    assert_eq!(folder.run("mm").unwrap().changes, [New; 5]);
    // One is renamed, one goes into a folder, one is copied, one changes and one comes.
    let lib = |name: &str| folder.file("lib").join(name);
    fs::rename(lib("0.dxf"), lib("old-0.dxf")).unwrap();
    fs::create_dir(lib("a")).unwrap();
    fs::rename(lib("1.dxf"), lib("a/1.dxf")).unwrap();
    fs::copy(lib("2.dxf"), lib("again.dxf")).unwrap();
    folder.plate("3.dxf", 77.0);
    folder.plate("new.dxf", 78.0);
    let second = folder.run("mm").unwrap();
    // 2.dxf, 3.dxf, 4.dxf, a/1.dxf, again.dxf, new.dxf, old-0.dxf.
    assert_eq!(second.changes, [Unchanged, Changed, Unchanged, New, New, New, New]);
    assert_eq!((second.remembered, second.vanished), (5, 0));
    let moved: Vec<(PathBuf, PathBuf)> =
        second.moved.iter().map(|moved| (PathBuf::from(&moved.from), PathBuf::from(&moved.to))).collect();
    assert_eq!(moved, [(lib("0.dxf"), lib("old-0.dxf")), (lib("1.dxf"), lib("a/1.dxf"))]);
    // The rows are those of a run without a ledger, and stand in it like all others.
    let fresh = {
        fs::remove_file(folder.file("shop.ledger")).unwrap();
        folder.run("mm").unwrap()
    };
    assert!(second.rows == fresh.rows);
    fs::rename(lib("4.dxf"), lib("5.dxf")).unwrap();
    fs::remove_file(lib("new.dxf")).unwrap();
    let third = folder.run("mm").unwrap();
    assert_eq!((third.remembered, third.vanished, third.moved.len()), (6, 1, 1));
    // What was copied in a ledger is whole there.
    let fourth = folder.run("mm").unwrap();
    assert_eq!((fourth.remembered, fourth.damages.len(), fourth.rows == third.rows), (6, 0, true));
    // Names are swapped: both have other bytes than before, which are known.
    for (from, to) in [("2.dxf", "held"), ("3.dxf", "2.dxf"), ("held", "3.dxf")] {
        fs::rename(lib(from), lib(to)).unwrap();
    }
    let swapped = folder.run("mm").unwrap();
    assert_eq!((swapped.remembered, swapped.moved.len()), (6, 0));
    assert_eq!(swapped.changes, [Changed, Changed, Unchanged, Unchanged, Unchanged, Unchanged]);
    // With other options there is nothing to be copied.
    fs::rename(lib("5.dxf"), lib("6.dxf")).unwrap();
    let fifth = folder.run("in").unwrap();
    assert_eq!((fifth.remembered, fifth.moved.len()), (0, 1));
    // What can't be read is as it was, too.
    fs::create_dir(lib("no drawing.dxf")).unwrap();
    fs::write(lib("b.dxf"), "no drawing").unwrap();
    assert_eq!(folder.run("in").unwrap().changes.iter().filter(|change| **change == New).count(), 1);
    // Where a folder was there is a file now.
    fs::remove_dir_all(lib("a")).unwrap();
    fs::write(lib("a"), "").unwrap();
    let sixth = folder.run("in").unwrap();
    assert_eq!((sixth.vanished, sixth.changes.contains(&Changed)), (1, false));
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
    // Looked at when they had not been written for a while: from then on times alone prove it.
    std::thread::sleep(Duration::from_millis(2200));
    for _ in 0..2 {
        let third = folder.run("mm").unwrap();
        assert_eq!((third.remembered, third.rows == first.rows, third.damages.len()), (8, true, 0));
    }
    // Whoever changes what the ledger says of that gets nothing from it.
    let connection = Connection::open(folder.file("shop.ledger")).unwrap();
    connection.execute("UPDATE measurings SET looked = looked + 1 WHERE id = 3", []).unwrap();
    drop(connection);
    let fourth = folder.run("mm").unwrap();
    assert_eq!((fourth.remembered, fourth.rows == first.rows), (7, true));
    assert!(
        fourth.damages[0].contains("a drawing was damaged: it was measured once more"),
        "{:?}",
        fourth.damages
    );
    // Other options, and what they say is remembered beside the former.
    assert_eq!(folder.run("in").unwrap().remembered, 0);
    assert_eq!(folder.ask("SELECT count(*) FROM measurings"), 17);
    // One drawing changes, one goes, one comes.
    folder.plate("3.dxf", 500.0);
    fs::remove_file(folder.file("lib/5.dxf")).unwrap();
    folder.plate("9.dxf", 31.0);
    let changed = folder.run("in").unwrap();
    // What came is a copy of another.
    assert_eq!((changed.rows.len(), changed.remembered, changed.vanished), (8, 7, 1));
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
        ledger.with(|database| database.connection.pragma_update(None, "max_page_count", pages));
        let sources = Sources::of(vec![folder.file("lib")]);
        // Drawings that are handed on together are a transaction of their own.
        let ended = run(
            sources,
            Task::default(),
            Concurrency { jobs: 2, time_limit: None },
            Some(ledger.clone()),
            |_| {
                ledger.with(Database::commit);
                Ok(())
            },
        );
        // All are handed on; what could not be remembered is told at the end.
        ended.unwrap();
        match ledger.finish() {
            Ok(_) => break,
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

/// What is written of a drawing in part is no part of the ledger: its number would be given to another one's measuring.
#[test]
fn what_is_not_written_whole_is_taken_back() {
    let folder = Folder::new("half");
    folder.plate("a.dxf", 120.0);
    folder.run("layers").unwrap();
    folder.plate("b.dxf", 80.0);
    let connection = Connection::open(folder.file("shop.ledger")).unwrap();
    let refuse = "CREATE TRIGGER refused BEFORE INSERT ON sections BEGIN SELECT RAISE(FAIL, 'refused'); END";
    connection.execute_batch(refuse).unwrap();
    drop(connection);
    assert!(folder.run("layers").is_err());
    assert_eq!(folder.ask("SELECT count(*) FROM drawings"), 1, "b.dxf was written without its sections");
    assert_eq!(folder.ask("SELECT count(*) FROM measurings"), 1);
    let connection = Connection::open(folder.file("shop.ledger")).unwrap();
    connection.execute_batch("DROP TRIGGER refused").unwrap();
    drop(connection);
    folder.plate("c.dxf", 60.0);
    assert_eq!(folder.run("layers").unwrap().remembered, 1);
    assert_eq!(folder.ask("SELECT count(*) FROM current_sections"), 3);
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
    refused("a database of another program");
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
    connection.execute("UPDATE runs SET pending = ?1", [paths::text(&theirs).into_owned()]).unwrap();
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
        ("PLATE", "3813", "1")
    );
    assert_eq!(cells["mass_per_length_kg_per_m"], "");
    assert!(Ledger::is_database(&fs::read(folder.file("shop.ledger")).unwrap()));
}

/// A plate and the same turned by a right angle, or on its other side, are one shape and several outlines.
#[test]
fn the_same_plate_drawn_otherwise() {
    let folder = Folder::new("shape");
    folder.plate("a.dxf", 93.0);
    // 93 × 41 standing on its short side, on another layer.
    let drawn = fs::read_to_string(folder.file("lib/a.dxf")).unwrap();
    let (head, _) = drawn.split_once("10\n7\n").unwrap();
    let corners = [(5, 5), (46, 5), (46, 98), (5, 98)].map(|(x, y)| format!("10\n{x}\n20\n{y}\n"));
    let turned = head.replace("PLATE", "GUSSET") + &corners.concat() + "0\nENDSEC\n0\nEOF\n";
    fs::write(folder.file("lib/b.dxf"), turned).unwrap();
    folder.plate("c.dxf", 93.1);
    folder.run("mm").unwrap();
    assert_eq!(folder.ask("SELECT count(DISTINCT outline) FROM current_sections"), 3);
    assert_eq!(folder.ask("SELECT count(DISTINCT shape) FROM current_sections"), 2);
    let page = fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/libraries.md")).unwrap();
    let query = page.split(';').find(|query| query.contains("ON a.shape = b.shape")).unwrap();
    let query = query.split("-- the same plate").nth(1).unwrap().split_once('\n').unwrap().1;
    assert_eq!(folder.ask(&format!("SELECT count(*) FROM ({query})")), 1);
}

#[test]
fn the_queries_of_the_documents_can_be_asked() {
    let folder = Folder::new("queries");
    folder.plate("a.dxf", 93.0);
    folder.run("mm").unwrap();
    folder.plate("a.dxf", 94.0);
    folder.run("mm").unwrap();
    let page = fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/libraries.md")).unwrap();
    let connection = Connection::open(folder.file("shop.ledger")).unwrap();
    let block = page.split("```sql\n").nth(1).unwrap().split("```").next().unwrap();
    let mut answers = Vec::new();
    // The page's runs are 3 and 7.
    let block = block.replace("<= 3", "<= 1").replace("> 3", "> 1");
    for query in block.split_inclusive(';').filter(|query| query.contains("SELECT")) {
        let mut statement = connection.prepare(query).unwrap();
        answers.push(statement.query_map([], |_| Ok(())).unwrap().count());
    }
    assert_eq!(answers, [1, 0, 0, 0, 1, 0]);
    // Every table and view is described.
    let names: Vec<String> = connection
        .prepare("SELECT name FROM sqlite_schema WHERE type IN ('table', 'view') AND name NOT LIKE 'sqlite%'")
        .unwrap()
        .query_map([], |row| row.get(0))
        .unwrap()
        .collect::<rusqlite::Result<_>>()
        .unwrap();
    assert!(
        names.len() == 8 && names.iter().all(|name| page.contains(&format!("| `{name}` |"))),
        "{names:?}"
    );
}

/// A generator of numbers with a seed (splitmix64; Steele, Lea and Flood 2014).
fn next(seed: &mut u64) -> u64 {
    *seed = seed.wrapping_add(0x9e37_79b9_7f4a_7c15);
    let mut z = *seed;
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

/// A ledger with flipped bits, zeroed pages, an end that is missing or pages in each other's place: the schedule is always
/// what it would be without one, or there is none and a reason.
#[test]
fn a_damaged_ledger_never_lies() {
    let damages = std::env::var("LEDGER_DAMAGES").ok().and_then(|count| count.parse().ok()).unwrap_or(1000);
    let folder = Folder::new("damaged");
    for k in 0..40 {
        folder.plate(&format!("{k:02}.dxf"), 30.0 + f64::from(k));
    }
    fs::write(folder.file("lib/bad.dxf"), "nothing").unwrap();
    let path = folder.file("shop.ledger");
    let whole = folder.run("mm").unwrap();
    folder.run("mm").unwrap();
    let bytes = fs::read(&path).unwrap();
    let mut seed = 20_271_130;
    let (mut told, mut refused, mut anew, mut unharmed) = (0, 0, 0, 0);
    for k in 0..damages {
        let mut damaged = bytes.clone();
        let length = damaged.len() as u64;
        let page = |seed: &mut u64| (next(seed) % (length / 4096)) as usize * 4096;
        match k % 6 {
            0 | 1 => damaged[(next(&mut seed) % length) as usize] ^= 1 << (next(&mut seed) % 8),
            2 => {
                let at = page(&mut seed);
                damaged[at..at + 4096].fill(0);
            }
            3 => damaged.truncate((next(&mut seed) % length) as usize),
            4 => {
                let (from, to) = (page(&mut seed), page(&mut seed));
                let copied = damaged[from..from + 4096].to_vec();
                damaged[to..to + 4096].copy_from_slice(&copied);
            }
            _ => {
                let at = (next(&mut seed) % length) as usize;
                let end = (at + 300).min(damaged.len());
                damaged[at..end].iter_mut().for_each(|byte| *byte = next(&mut seed) as u8);
            }
        }
        fs::write(&path, &damaged).unwrap();
        match folder.run("mm") {
            Ok(found) => {
                assert!(found.rows == whole.rows && found.messages == whole.messages, "damage {k}");
                told += usize::from(!found.damages.is_empty());
                anew += usize::from(found.remembered < 41);
                unharmed += usize::from(found.remembered == 41);
                // What was measured anew is told, but for what is as if it had never been there.
                assert!(
                    found.damages.iter().all(|words| words.contains("shop.ledger")),
                    "{:?}",
                    found.damages
                );
            }
            Err(error) => {
                refused += 1;
                assert!(error.to_string().contains("shop.ledger"), "damage {k}: {error}");
            }
        }
        let rest = || fs::read_dir(&folder.0).unwrap().flatten().map(|entry| entry.path());
        for file in rest().filter(|path| path.to_string_lossy().contains(".ledger")) {
            fs::remove_file(file).unwrap();
        }
    }
    println!(
        "{damages} damages: {told} told, {refused} refused, {anew} measured anew, {unharmed} without effect"
    );
    assert!(told > 0 && anew >= told);
}

/// Two runs that begin together on a new ledger: one goes on.
#[test]
fn two_runs_that_begin_together() {
    for k in 0..20 {
        let folder = Folder::new(&format!("together-{k}"));
        let path = folder.file("shop.ledger");
        let ready = std::sync::Barrier::new(3);
        let begin = || {
            ready.wait();
            let begun = Ledger::begin(&path, "1", "mm");
            // Held until all have tried.
            ready.wait();
            begun.map(drop).map_err(|error| error.to_string())
        };
        let ended: Vec<Result<(), String>> = std::thread::scope(|scope| {
            let threads: Vec<_> = (0..3).map(|_| scope.spawn(begin)).collect();
            threads.into_iter().map(|thread| thread.join().unwrap()).collect()
        });
        let begun = ended.iter().filter(|ended| ended.is_ok()).count();
        assert_eq!(begun, 1, "{ended:?}");
        let is_in_use =
            |ended: &&Result<(), String>| ended.as_ref().is_err_and(|e| e.contains("is using it"));
        assert_eq!(ended.iter().filter(is_in_use).count(), 2, "{ended:?}");
    }
}
