//! `tracearm schedule` over whole libraries: lists, threads, limits of time, ledgers, runs that are stopped.

use crate::common;
use crate::run;

use std::f64::consts::TAU;
use std::fs;
use std::process::Stdio;
use std::time::{Duration, Instant};

use common::draw::{circle, drawing, lwpolyline};
use run::{Folder, Run, fixture, rows};

/// A plate of so many millimetres by 50, off the origin.
fn plate(width: f64) -> String {
    let ring = [[7.0, 9.0, 0.0], [7.0 + width, 9.0, 0.0], [7.0 + width, 59.0, 0.0], [7.0, 59.0, 0.0]];
    drawing(4, "", &lwpolyline("PLATE", &ring))
}

/// Discs that all cross each other; the work grows faster than the square of their count.
fn discs(count: u32) -> String {
    let disc = |k: u32| {
        let angle = TAU * f64::from(k) / f64::from(count);
        let ring = circle(50.0 * angle.cos(), 47.0 * angle.sin(), 60.0 + 0.13 * f64::from(k));
        lwpolyline("DISCS", &ring)
    };
    drawing(4, "", &(0..count).map(disc).collect::<String>())
}

/// Every fixture in one of some nested folders, and a few files that are no drawings.
fn library() -> Folder {
    let folder = Folder::with(&[
        ("lib/gantry/empty.dxf", ""),
        ("lib/gantry/document.DXF", "%PDF-1.7\n"),
        ("lib/notes.txt", "cut two off"),
        ("lib/zz.dxf", "nothing of the kind\n"),
    ]);
    let mut names: Vec<String> = fs::read_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/fixtures"))
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter(|name| name.ends_with(".dxf"))
        .collect();
    names.sort();
    let places = ["lib", "lib/gantry", "lib/gantry/old lugs", "lib/hoist/a/b"];
    for (k, name) in names.iter().enumerate() {
        folder.write(&format!("{}/{name}", places[k % places.len()]), fs::read(fixture(name)).unwrap());
    }
    folder
}

/// How many drawings were unchanged, as the summary says.
fn unchanged(run: &Run) -> usize {
    let Some((before, _)) = run.err.split_once(" unchanged") else { return 0 };
    before.rsplit(' ').next().unwrap().parse().unwrap()
}

fn statuses(schedule: &str) -> Vec<(String, String)> {
    rows(schedule).into_iter().map(|row| (row["drawing"].clone(), row["status"].clone())).collect()
}

#[test]
fn the_number_of_threads_changes_nothing() {
    let folder = library();
    for format in ["csv", "jsonl", "json", "xlsx"] {
        let name = format!("out.{format}");
        let with = |jobs: &str| {
            let run = folder.run(&["schedule", "lib", "-o", &name, "--jobs", jobs]);
            assert_eq!((run.code, run.out.as_str()), (1, ""), "{}", run.err);
            (fs::read(folder.path().join(&name)).unwrap(), run.err)
        };
        let alone = with("1");
        assert!(alone.0.len() > 5000 && alone.1.lines().count() > 10, "{}", alone.1);
        for jobs in ["2", "7"] {
            let (bytes, messages) = with(jobs);
            assert!(bytes == alone.0, "{format} with {jobs} threads");
            assert_eq!(messages, alone.1, "{format} with {jobs} threads");
        }
    }
}

#[test]
fn lists_are_as_good_as_arguments() {
    let names = ["z.dxf", "old lugs/wide plate.dxf", "é, 2.dxf", "gone.dxf", "a.dxf"];
    let folder = Folder::with(&[]);
    for (k, name) in names.iter().enumerate().filter(|(_, name)| **name != "gone.dxf") {
        folder.write(name, plate(30.0 + k as f64));
    }
    let same = |list: &[u8], more: &[&str], drawings: &[&str]| {
        let expected = folder.run(&[&["schedule"], drawings].concat());
        assert_eq!(rows(&expected.out).len(), drawings.len(), "{}", expected.err);
        folder.write("list", list);
        let from_file = folder.run(&[&["schedule", "--files-from", "list"], more].concat());
        let from_input = folder.run_with_input(&[&["schedule", "--files-from", "-"], more].concat(), list);
        for run in [from_file, from_input] {
            assert_eq!((run.code, &run.out, &run.err), (expected.code, &expected.out, &expected.err));
        }
    };
    for end in ["\n", "\r\n", "\0"] {
        same((names.join(end) + end).as_bytes(), &[], &names);
        same(names.join(end).as_bytes(), &[], &names);
    }
    same(format!("\u{feff}{}\r\n\r\n", names.join("\r\n")).as_bytes(), &[], &names);
    // A name with an end of line in it can only stand in a list of NULs.
    folder.write("two\nlines.dxf", plate(77.0));
    same(b"two\nlines.dxf\0a.dxf\0", &[], &["two\nlines.dxf", "a.dxf"]);
    // Arguments come first.
    same(b"z.dxf\n", &["a.dxf", "gone.dxf"], &["a.dxf", "gone.dxf", "z.dxf"]);
    // Folders in a list are searched in their place.
    folder.write("shop/deep/b.dxf", plate(41.0));
    folder.write("shop/c.dxf", plate(42.0));
    same(b"z.dxf\nshop\na.dxf\n", &[], &["z.dxf", "shop/c.dxf", "shop/deep/b.dxf", "a.dxf"]);
    same(b"", &["a.dxf"], &["a.dxf"]);
}

#[test]
fn lists_that_give_nothing() {
    let folder = Folder::with(&[("bad.dxf", "nothing\n"), ("list", "bad.dxf\ngone.dxf\n")]);
    let run = folder.run(&["schedule", "--files-from", "list"]);
    let failed = |name: &str| (name.to_owned(), "failed".to_owned());
    assert_eq!((run.code, statuses(&run.out)), (2, vec![failed("bad.dxf"), failed("gone.dxf")]));
    assert!(run.err.contains("bad.dxf: ") && run.err.contains("gone.dxf: "), "{}", run.err);
    assert!(run.err.contains("every row says why") && !run.err.contains("no schedule"), "{}", run.err);
    // Into a file nothing is written.
    let run = folder.run(&["schedule", "--files-from", "list", "-o", "out.csv"]);
    assert_eq!((run.code, run.out.as_str(), folder.names().len()), (2, "", 2), "{:?}", folder.names());
    assert!(run.err.contains("no schedule was written"), "{}", run.err);
    for (list, why) in [("nowhere.txt", "No such file"), (".", "a folder")] {
        let run = folder.run(&["schedule", "--files-from", list]);
        assert_eq!((run.code, run.out.as_str()), (2, ""), "{list}");
        assert!(run.err.contains(&format!("list of drawings {list}: ")), "{}", run.err);
        assert!(run.err.contains(why) && run.err.lines().count() == 1, "{}", run.err);
    }
    let run = folder.run_with_input(&["schedule", "--files-from", "-"], b"\xff\xfeb\0a\0d\0");
    assert_eq!((run.code, run.out.as_str()), (2, ""));
    assert!(run.err.contains("UTF-16"), "{}", run.err);
}

#[test]
fn more_failures_than_are_held_back() {
    let folder = Folder::with(&[]);
    (0..1003).for_each(|k| folder.write(&format!("bad/{k:04}.dxf"), "nothing\n"));
    let run = folder.run(&["schedule", "bad", "--format", "json"]);
    assert_eq!(run.code, 2);
    let schedule: serde_json::Value = serde_json::from_str(&run.out).expect("a whole document");
    let failed = |section: &&serde_json::Value| section["status"] == "failed";
    assert_eq!(schedule["sections"].as_array().expect("sections").iter().filter(failed).count(), 1003);
    let run = folder.run(&["schedule", "bad", "-o", "out.csv"]);
    assert_eq!((run.code, run.out.as_str(), folder.names()), (2, "", vec!["bad".to_owned()]));
    assert!(run.err.contains("no schedule was written"), "{}", run.err);
}

#[test]
fn a_drawing_that_takes_too_long_costs_itself() {
    // It would take most of a minute.
    let folder = Folder::with(&[("lib/m-discs.dxf", &discs(200))]);
    (0..9).for_each(|k| folder.write(&format!("lib/{k}.dxf"), plate(30.0 + f64::from(k))));
    folder.write("lib/z.dxf", plate(80.0));
    let arguments =
        ["schedule", "lib", "--time-limit", "1s", "--jobs", "2", "--summary", "--ledger", "shop.ledger"];
    for remembered in [0, 10] {
        let began = Instant::now();
        let run = folder.run(&arguments);
        assert!(began.elapsed() < Duration::from_secs(15), "{:?}", began.elapsed());
        assert_eq!((run.code, unchanged(&run)), (1, remembered), "{}", run.err);
        assert!(run.err.contains("1 over-time: "), "{}", run.err);
        let found = statuses(&run.out);
        assert_eq!(found.len(), 11);
        for (name, status) in &found {
            assert_eq!(status, if name == "lib/m-discs.dxf" { "failed" } else { "ok" }, "{name}");
        }
        let row = &rows(&run.out)[9];
        assert_eq!((row["drawing"].as_str(), row["area_mm2"].as_str()), ("lib/m-discs.dxf", ""));
        for text in [&row["findings"], &run.err] {
            assert!(text.contains("longer than 1 s") && text.contains("--time-limit"), "{text}");
        }
    }
}

#[test]
fn a_ledger_changes_no_byte() {
    let folder = library();
    let check = |options: &[&str], lib: &str| {
        let mut counts = Vec::new();
        for format in ["csv", "jsonl"] {
            let plain = folder.run(&[&["schedule", lib, "--format", format], options].concat());
            let with = [&["schedule", lib, "--format", format, "--ledger", "shop.ledger"], options].concat();
            let run = folder.run(&[&with[..], &["--summary"]].concat());
            assert!(run.out == plain.out && run.code == plain.code, "{format} {options:?}");
            let (messages, _) = run.err.rsplit_once("tracearm: ").expect("a summary");
            assert_eq!(messages, plain.err, "{format} {options:?}");
            counts.push((unchanged(&run), run.err.contains("1 vanished")));
        }
        counts
    };
    // Those that are no drawings are known by their bytes too.
    let summary = folder.run(&["schedule", "lib", "--summary", "-o", "out.csv"]).err;
    let (_, counts) = summary.rsplit_once("tracearm: ").expect("a summary");
    let all: usize = counts.split_once(" drawings").expect("a count").0.parse().unwrap();
    assert!(all > 100);
    assert_eq!(check(&[], "lib"), [(0, false), (all, false)]);
    // Named in another way, they are the same drawings.
    assert_eq!(check(&[], "./lib"), [(all, false), (all, false)]);
    assert_eq!(check(&["--units", "in", "--digits", "full"], "lib"), [(0, false), (all, false)]);
    // What is remembered is the last that was measured.
    assert_eq!(check(&[], "lib"), [(0, false), (all, false)]);
    assert_eq!(check(&["--per", "part"], "lib"), [(0, false), (all, false)]);
    folder.write("lib/zz.dxf", plate(64.0));
    assert_eq!(check(&["--per", "part"], "lib"), [(all - 1, false), (all, false)]);
    folder.write("lib/zz.dxf", plate(65.0));
    fs::remove_file(folder.path().join("lib/gantry/document.DXF")).unwrap();
    assert_eq!(check(&["--per", "part"], "lib"), [(all - 2, true), (all - 1, false)]);
}

#[test]
fn files_that_are_no_ledger() {
    let folder =
        Folder::with(&[("a.dxf", &plate(33.0)), ("b.dwg", &plate(34.0)), ("c.csv", "drawing,section\n")]);
    for (name, why) in [("a.dxf", "is the drawing"), ("b.dwg", "another kind"), ("c.csv", "another kind")] {
        let before = folder.read(name);
        let run = folder.run(&["schedule", "a.dxf", "--ledger", name]);
        assert_eq!((run.code, run.out.as_str()), (2, ""), "{name}");
        assert!(run.err.contains(name) && run.err.contains(why) && run.err.contains("name a"), "{}", run.err);
        assert_eq!(folder.read(name), before);
    }
    assert_eq!(folder.names(), ["a.dxf", "b.dwg", "c.csv"]);
    let run = folder.run(&["schedule", "a.dxf", "--ledger", "shop.ledger", "--pieces", "p.csv"]);
    assert_eq!((run.code, run.out.as_str()), (2, ""));
    assert!(run.err.contains("--ledger") && run.err.contains("--pieces"), "{}", run.err);
    // The schedule must not take its place, nor that of the pieces.
    for output in ["x.csv", "./x.csv"] {
        for option in ["--ledger", "--pieces"] {
            let run = folder.run(&["schedule", "a.dxf", option, "x.csv", "-o", output]);
            assert_eq!((run.code, run.err.contains("name a")), (2, true), "{}", run.err);
        }
    }
    assert_eq!(folder.names(), ["a.dxf", "b.dwg", "c.csv"]);
    // Names that SQLite would take for something else.
    for name in [":memory:", "file:x?mode=memory"] {
        let run = folder.run(&["schedule", "a.dxf", "--ledger", name]);
        assert_eq!((run.code, folder.names().contains(&name.to_owned())), (0, true), "{}", run.err);
    }
}

#[test]
fn a_ledger_in_use() {
    let folder = Folder::with(&[("a.dxf", &plate(33.0))]);
    let with = ["schedule", "--ledger", "shop.ledger"];
    let mut command = folder.command(&[&with[..], &["--files-from", "-"]].concat());
    let piped = command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut first = piped.spawn().unwrap();
    // It has begun a run once there is something in the journal.
    let journal = folder.path().join("shop.ledger-wal");
    let began = Instant::now();
    while !fs::metadata(&journal).is_ok_and(|data| data.len() > 0) {
        assert!(began.elapsed() < Duration::from_secs(60));
        std::thread::sleep(Duration::from_millis(5));
    }
    let run = folder.run(&[&with[..], &["a.dxf", "-o", "out.csv"]].concat());
    assert_eq!((run.code, run.out.as_str()), (2, ""));
    assert!(run.err.contains("shop.ledger: another run") && run.err.contains("wait until"), "{}", run.err);
    assert!(!folder.names().iter().any(|name| name.starts_with("out")), "{:?}", folder.names());
    let mut list = first.stdin.take().unwrap();
    std::io::Write::write_all(&mut list, b"a.dxf\n").unwrap();
    drop(list);
    let run = Run::of(first.wait_with_output().unwrap());
    assert_eq!((run.code, rows(&run.out).len(), run.err.as_str()), (0, 1, ""));
    assert_eq!(folder.run(&[&with[..], &["a.dxf"]].concat()).out, run.out);
}

#[test]
fn runs_that_are_killed_lose_and_double_nothing() {
    let folder = Folder::with(&[("lib/bad.dxf", "nothing\n")]);
    for k in 0..300 {
        folder.write(
            &format!("lib/{}/{k:03}.dxf", k % 7),
            if k % 3 == 0 { plate(f64::from(k + 5)) } else { discs(11 + k % 5) },
        );
    }
    let began = Instant::now();
    let undisturbed = folder.run(&["schedule", "lib", "-o", "whole.csv"]);
    let mut time = began.elapsed();
    assert_eq!(undisturbed.code, 1);
    let whole = folder.read("whole.csv");
    assert_eq!(rows(&whole).len(), 301);
    let ended = folder.run(&["schedule", "lib", "-o", "out.csv", "--ledger", "whole.ledger"]);
    assert_eq!((ended.code, folder.read("out.csv") == whole), (1, true));
    let (mut unfinished, mut remembered) = (0, 0);
    for k in 1..=8 {
        let ledger = format!("killed-{k}.ledger");
        let arguments = ["schedule", "lib", "-o", "out.csv", "--summary", "--ledger", &ledger];
        // Where the machine has less to do than before, the run may have ended: an earlier moment, from the beginning.
        let stopped = (0..20).any(|_| {
            let _ = fs::remove_file(folder.path().join("out.csv"));
            let mut command = folder.command(&arguments);
            let mut child = command.stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap();
            std::thread::sleep(time * k / 9);
            child.kill().unwrap();
            if child.wait().unwrap().code().is_none() {
                return true;
            }
            time = time * 3 / 4;
            let files = folder.names().into_iter().filter(|name| name.starts_with(&ledger));
            files.for_each(|name| fs::remove_file(folder.path().join(name)).unwrap());
            false
        });
        assert!(stopped, "kill {k}: no run could be stopped");
        let parts = || folder.names().into_iter().filter(|name| name.ends_with(".part")).count();
        unfinished += parts();
        let run = folder.run(&arguments);
        assert_eq!((run.code, parts()), (1, 0), "kill {k}: {}", run.err);
        assert!(folder.read("out.csv") == whole, "kill {k}: another schedule");
        assert!(run.err.starts_with(&undisturbed.err), "kill {k}: {}", run.err);
        remembered += unchanged(&run);
        let compared = folder.run(&["compare", &ledger, "whole.ledger"]);
        assert_eq!(compared.code, 0, "kill {k}: {}{}", compared.out, compared.err);
        assert!(compared.out.contains("301 unchanged"), "kill {k}: {}", compared.out);
    }
    println!("{time:?}: {unfinished} unfinished files, {remembered} drawings remembered");
    assert!(unfinished >= 4 && remembered > 0, "{unfinished}, {remembered}");
}

#[test]
fn ledgers_are_compared() {
    let folder = library();
    let measured = |ledger: &str| folder.run(&["schedule", "lib", "-o", "out.csv", "--ledger", ledger]).code;
    assert_eq!((measured("before.ledger"), measured("same.ledger")), (1, 1));
    let run = folder.run(&["compare", "before.ledger", "same.ledger"]);
    assert_eq!((run.code, run.err.as_str()), (0, ""), "{}", run.out);
    assert!(run.out.starts_with("0 added, 0 gone, 0 changed, "), "{}", run.out);
    let run = folder.run(&["compare", "before.ledger", "out.csv", "--within", "0%"]);
    assert_eq!(run.code, 0, "{}{}", run.out, run.err);
    // With full digits a schedule shows what is rounding alone, which is 0 in a ledger; nothing else differs.
    assert_eq!(folder.run(&["schedule", "lib", "-o", "full.csv", "--digits", "full"]).code, 1);
    let run = folder.run(&["compare", "before.ledger", "full.csv", "-o", "changes.csv"]);
    assert!(run.out.contains("\n0 added, 0 gone, ") && run.code == 1, "{}{}", run.out, run.err);
    for change in rows(&folder.read("changes.csv")) {
        let after: f64 = change["after"].parse().unwrap();
        assert!(change["before"] == "0" && after.abs() < 1e-8, "{change:?}");
    }
    folder.write("lib/hoist/a/b/new.dxf", plate(71.0));
    assert_eq!(measured("before.ledger"), 1);
    folder.write("lib/hoist/a/b/new.dxf", plate(72.0));
    assert_eq!(measured("after.ledger"), 1);
    let run = folder.run(&["compare", "before.ledger", "after.ledger", "-o", "changes.csv"]);
    assert_eq!(run.code, 1, "{}", run.err);
    assert!(run.out.contains("0 added, 0 gone, 1 changed") && run.out.contains("new.dxf"), "{}", run.out);
    let changes = rows(&folder.read("changes.csv"));
    let area = changes.iter().find(|row| row["column"] == "area_mm2").expect("the area changed");
    assert_eq!(
        (area["section"].as_str(), area["before"].as_str(), area["after"].as_str()),
        ("PLATE", "3550", "3600")
    );
}

#[test]
fn a_summary_counts_by_reason() {
    let folder = Folder::with(&[("lib/a.dxf", &plate(33.0)), ("lib/b.dxf", &plate(34.0))]);
    let run = folder.run(&["schedule", "lib"]);
    assert_eq!((run.code, run.err.as_str()), (0, ""));
    let run = folder.run(&["schedule", "lib", "--summary"]);
    assert!(run.err.starts_with("tracearm: 2 drawings with 2 sections in "), "{}", run.err);
    assert!(run.err.ends_with("; none failed\n") && run.err.lines().count() == 1, "{}", run.err);
    folder.write("lib/c.dxf", "%PDF-1.7\n");
    folder.write("lib/d.dxf", "");
    let fixtures = ["no-outlines.dxf", "rail-clamp.dxf", "zero-size.dxf"].map(fixture);
    let more: Vec<&str> = fixtures.iter().map(String::as_str).collect();
    let run = folder.run(&[&["schedule", "--summary", "lib", "gone.dxf"], &more[..]].concat());
    assert_eq!(run.code, 1);
    let (_, summary) = run.err.split_once("tracearm: 8 drawings with 5 sections in ").expect("a summary");
    let (_, counts) = summary.split_once("; 6 failed").expect("counts");
    println!("{counts}");
    let lines: Vec<&str> = counts.lines().skip(1).collect();
    assert_eq!(lines[..2], ["  sections: 2 ok, 1 warning, 2 failed", "  failed:"], "{counts}");
    for (count, code) in [(1, "file-is-other"), (1, "file-empty"), (1, "file-missing")] {
        assert!(
            lines.iter().any(|line| line.starts_with(&format!("    {count} {code}: "))),
            "{code}: {counts}"
        );
    }
    // The same, line by line: failures first, each with what to do.
    let report = ["schedule", "lib", "gone.dxf", "--report", "look.csv", "-o", "out.csv"];
    let run = folder.run(&[&report[..], &more[..]].concat());
    assert_eq!(run.code, 1);
    let look = rows(&folder.read("look.csv"));
    let of: Vec<(&str, &str)> = look.iter().map(|row| (&*row["status"], &*row["code"])).collect();
    assert!(of.is_sorted_by_key(|(status, _)| *status == "warning") && of.len() >= 6, "{of:?}");
    let pdf = look.iter().find(|row| row["drawing"] == "lib/c.dxf").expect("the drawing");
    assert!(pdf["message"].contains("PDF") && !pdf["what_to_do"].is_empty(), "{pdf:?}");
    // Nothing to look at is a report too; and it is never an input.
    let run = folder.run(&["schedule", "lib/a.dxf", "--report", "look.csv", "-o", "out.csv"]);
    assert_eq!((run.code, folder.read("look.csv").lines().count()), (0, 1));
    for (file, words) in
        [("lib/a.dxf", "is the drawing"), ("look.json", "after --report"), ("none/look.csv", "no folder")]
    {
        let run = folder.run(&["schedule", "lib/a.dxf", "--report", file]);
        assert!(run.code == 2 && run.err.contains(words), "{file}: {}", run.err);
    }
}

/// Names that are no UTF-8 are told apart everywhere: in rows of every format, in the ledger, in messages and when compared.
#[cfg(target_os = "linux")]
#[test]
fn names_that_are_no_text() {
    use std::ffi::OsStr;
    use std::os::unix::ffi::OsStrExt;
    let folder = Folder::with(&[("bad.txt", "")]);
    // Of one size, written in one tick: nothing but their names tells them apart.
    let names: [(&[u8], &str, f64); 4] = [
        (b"T\xe4r.dxf", "T\\xE4r.dxf", 51.0),
        (b"T\xf6r.dxf", "T\\xF6r.dxf", 52.0),
        (b"T\xfcr.dxf", "T\\xFCr.dxf", 53.0),
        (b"T\\xFCr.dxf", "T\\x5CxFCr.dxf", 54.0),
    ];
    folder.write("lib/a.dxf", "no drawing");
    fs::write(folder.path().join("lib").join(OsStr::from_bytes(b"b\xff.dxf")), "no drawing").unwrap();
    for (bytes, _, width) in names {
        fs::write(folder.path().join("lib").join(OsStr::from_bytes(bytes)), plate(width)).unwrap();
    }
    let areas = |csv: &str| -> Vec<(String, String)> {
        let found = rows(csv).into_iter().filter(|row| row["status"] == "ok");
        found.map(|row| (row["drawing"].replacen("lib/", "", 1), row["area_mm2"].clone())).collect()
    };
    let with = ["schedule", "lib", "--ledger", "shop.ledger"];
    let run = folder.run(&with);
    let mut wanted: Vec<(String, String)> = Vec::new();
    for (_, shown, width) in names {
        wanted.push((shown.to_owned(), rows(&folder_schedule(&plate(width)))[0]["area_mm2"].clone()));
    }
    let sorted = |mut all: Vec<(String, String)>| {
        all.sort();
        all
    };
    assert_eq!(sorted(areas(&run.out)), sorted(wanted), "{}", run.err);
    assert!(run.err.contains("lib/b\\xFF.dxf: "), "{}", run.err);
    let again = folder.run(&[&with[..], &["--summary"]].concat());
    assert_eq!((again.out == run.out, unchanged(&again)), (true, 6), "{}", again.err);
    assert_eq!(folder.run(&with[..2]).out, run.out, "with a ledger or without");
    // Every format has the names, and a ledger, a CSV and lines of JSON are the same.
    for file in ["s.csv", "s.json", "s.jsonl"] {
        folder.run(&["schedule", "lib", "-o", file, "--digits", "full"]);
        assert!(folder.read(file).contains("xF6r.dxf"), "{file}");
        let run = folder.run(&["compare", "shop.ledger", file]);
        assert!(run.code == 0 || !run.out.contains("T\\"), "{file}: {}{}", run.out, run.err);
    }
    // A list names them by their bytes or as a schedule shows them.
    let mut list = b"lib/".to_vec();
    list.extend(names[0].0);
    list.extend(b"\nlib/T\\xFCr.dxf\nlib/T\\xF6r.dxf\n");
    folder.write("list.txt", list);
    let run = folder.run(&["schedule", "--files-from", "list.txt"]);
    let found: Vec<String> = areas(&run.out).into_iter().map(|(name, _)| name).collect();
    // What is there by this name goes before what it could stand for.
    assert_eq!(found, [names[0].1, names[3].1, names[1].1], "{}", run.err);
    // One is gone: that one alone is told.
    fs::remove_file(folder.path().join("lib").join(OsStr::from_bytes(names[1].0))).unwrap();
    let run = folder.run(&[&with[..], &["--summary"]].concat());
    assert!(run.err.contains("1 vanished") && unchanged(&run) == 5, "{}", run.err);
    // Unfinished files of one output are not those of another.
    let output = |bytes: &[u8]| folder.path().join(OsStr::from_bytes(bytes));
    fs::write(output(b"T\xfcr.csv.Ab12Cd34.part"), "half").unwrap();
    let mut command = folder.command(&["schedule", "lib", "-o"]);
    command.arg(output(b"T\xf6r.csv"));
    assert_eq!(command.output().unwrap().status.code(), Some(1));
    assert!(output(b"T\xf6r.csv").exists() && output(b"T\xfcr.csv.Ab12Cd34.part").exists());
}

/// The schedule of one drawing.
#[cfg(target_os = "linux")]
fn folder_schedule(drawing: &str) -> String {
    Folder::with(&[("a.dxf", drawing)]).run(&["schedule", "a.dxf"]).out
}

/// A pipe as a drawing is refused, not waited for; what stands in the way of a ledger is said.
#[cfg(target_os = "linux")]
#[test]
fn pipes_devices_and_permissions() {
    let folder = Folder::with(&[("a.dxf", &plate(33.0))]);
    let made = std::process::Command::new("mkfifo").arg(folder.path().join("pipe.dxf")).status();
    assert!(made.is_ok_and(|status| status.success()));
    let run = folder.run(&["schedule", "pipe.dxf", "a.dxf"]);
    assert_eq!((run.code, rows(&run.out).len()), (1, 2), "{}", run.err);
    assert!(run.err.contains("pipe.dxf") && run.err.contains("it is a pipe or a device"), "{}", run.err);
    for command in ["inspect", "sheet"] {
        let run = folder.run(
            &[&[command, "pipe.dxf"], &["-o", "s.html"][..2 * usize::from(command == "sheet")]].concat(),
        );
        assert!(run.code == 2 && run.err.contains("pipe or a device"), "{command}: {}", run.err);
    }
    let run = folder.run(&["schedule", "/dev/null", "a.dxf"]);
    assert!(run.code == 1 && run.err.contains("pipe or a device"), "{}", run.err);
    for (ledger, words) in [
        ("pipe.dxf", "pipe.dxf"),
        (".", "it is a folder"),
        ("none/shop.ledger", "none"),
        ("/dev/null", "pipe or a device"),
    ] {
        let run = folder.run(&["schedule", "a.dxf", "--ledger", ledger]);
        assert!(run.code == 2 && run.out.is_empty() && run.err.contains(words), "{ledger}: {}", run.err);
    }
}

/// A run that waits for a ledger goes on when it is free.
#[test]
fn a_ledger_that_is_waited_for() {
    let folder = Folder::with(&[("a.dxf", &plate(33.0))]);
    let with = ["schedule", "--ledger", "shop.ledger"];
    let mut command = folder.command(&[&with[..], &["--files-from", "-"]].concat());
    let piped = command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut first = piped.spawn().unwrap();
    let journal = folder.path().join("shop.ledger-wal");
    let began = Instant::now();
    while !fs::metadata(&journal).is_ok_and(|data| data.len() > 0) {
        assert!(began.elapsed() < Duration::from_secs(60));
        std::thread::sleep(Duration::from_millis(5));
    }
    let mut command = folder.command(&[&with[..], &["a.dxf", "--wait"]].concat());
    let mut second = command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    // It says that it waits, however long it took to begin.
    let mut told = String::new();
    let mut words = std::io::BufReader::new(second.stderr.take().unwrap());
    std::io::BufRead::read_line(&mut words, &mut told).unwrap();
    assert!(told.contains("waiting for another run to finish with the ledger shop.ledger"), "{told}");
    let mut list = first.stdin.take().unwrap();
    std::io::Write::write_all(&mut list, b"a.dxf\n").unwrap();
    drop(list);
    let first = Run::of(first.wait_with_output().unwrap());
    let second = Run::of(second.wait_with_output().unwrap());
    assert_eq!((first.code, second.code, second.out == first.out), (0, 0, true));
    let run = folder.run(&["schedule", "a.dxf", "--wait"]);
    assert!(run.code == 2 && run.err.contains("--ledger"), "{}", run.err);
}
