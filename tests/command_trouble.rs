//! `tracearm schedule` over libraries in which something is wrong: drawings that take too much memory or that the program dies
//! of, runs that are killed, drawings that come twice, are moved or change.

use crate::common;
use crate::run;

use std::fmt::Write as _;
use std::fs;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use common::draw::{drawing, lwpolyline};
use run::{Folder, Run, fixture, rows};

/// A plate of so many millimetres by 50, off the origin.
fn plate(width: f64) -> String {
    let ring = [[7.0, 9.0, 0.0], [7.0 + width, 9.0, 0.0], [7.0 + width, 59.0, 0.0], [7.0, 59.0, 0.0]];
    drawing(4, "", &lwpolyline("PLATE", &ring))
}

/// A perforated plate without its edge: so many discs of four radii.
fn discs(count: u32) -> String {
    let mut entities = String::new();
    for k in 0..count {
        let (x, y, radius) = (10 * (k % 500), 10 * (k / 500), 2.5 + 0.1 * f64::from(k % 4));
        write!(entities, "0\nCIRCLE\n8\nDISCS\n10\n{x}\n20\n{y}\n40\n{radius}\n").expect("a circle");
    }
    drawing(4, "", &entities)
}

/// Two hundred bars across two hundred others, which cross 160,000 times.
fn lattice() -> String {
    let mut entities = String::new();
    for k in 0..200 {
        let at = f64::from(k) * 10.0;
        let bar = |x: f64, y: f64, w: f64, h: f64| {
            lwpolyline("BARS", &[[x, y, 0.0], [x + w, y, 0.0], [x + w, y + h, 0.0], [x, y + h, 0.0]])
        };
        entities.push_str(&bar(at, 0.0, 4.0, 2010.0));
        entities.push_str(&bar(-5.0, at + 3.0, 2015.0, 4.0));
    }
    drawing(4, "", &entities)
}

fn statuses(schedule: &str) -> Vec<(String, String)> {
    rows(schedule).into_iter().map(|row| (row["drawing"].clone(), row["status"].clone())).collect()
}

fn plates(folder: &Folder, count: u32) {
    (0..count).for_each(|k| folder.write(&format!("lib/p{k:03}.dxf"), plate(30.0 + f64::from(k))));
}

#[test]
fn one_drawing_takes_no_more_memory_than_it_may() {
    let folder = Folder::with(&[("lib/discs.dxf", &discs(40_000)), ("lib/lattice.dxf", &lattice())]);
    plates(&folder, 3);
    let run = |limit: &str| folder.run(&["schedule", "lib", "--limit", limit, "--jobs", "2"]);
    // 40,000 circles take some 4 MB as they are read and 16 while they are measured; crossings take 60 and more.
    for (limit, discs, lattice) in [
        ("memory=3MB", "takes more than the 3 MB of memory that one drawing may take", "cross so often"),
        (
            "memory=15MB",
            "would take about 20 MB of memory, more than the 11 MB that are left",
            "cross so often",
        ),
        ("memory=30MB", "", "cross so often that they would take more memory than the 29 MB that are left"),
        ("memory=4GB", "", ""),
    ] {
        let run = run(limit);
        let failures = usize::from(!discs.is_empty()) + usize::from(!lattice.is_empty());
        assert_eq!(run.code, i32::from(failures > 0), "{limit}: {}", run.err);
        for row in rows(&run.out) {
            let expected = match row["drawing"].as_str() {
                "lib/discs.dxf" => discs,
                "lib/lattice.dxf" => lattice,
                _ => "",
            };
            assert_eq!(row["status"] == "failed", !expected.is_empty(), "{limit}: {row:?}");
            assert!(row["findings"].contains(expected), "{limit}: {row:?}");
            assert!(expected.is_empty() || row["findings"].contains("--limit memory="), "{limit}: {row:?}");
        }
        assert_eq!(rows(&run.out).len(), 5);
    }
    // What was refused for want of memory is not remembered.
    let with =
        |limit: &str| folder.run(&["schedule", "lib", "--summary", "--ledger", "l.ledger", "--limit", limit]);
    assert_eq!(with("memory=3MB").code, 1);
    let again = with("memory=4GB");
    assert!(again.code == 0 && again.err.contains("3 unchanged, 2 measured again"), "{}", again.err);
}

/// Runs the program with no more address space than this; `None` where it is aborted.
#[cfg(target_os = "linux")]
fn within(folder: &Folder, megabytes: u32, arguments: &[&str]) -> Option<Run> {
    let kilobytes = megabytes * 1000;
    let script = format!("ulimit -v {kilobytes} && ulimit -c 0 && exec \"$0\" \"$@\"");
    let mut command = Command::new("sh");
    command.args(["-c", &script, env!("CARGO_BIN_EXE_tracearm")]).args(arguments).current_dir(folder.path());
    let output = command.output().expect("a shell");
    output.status.code().map(|_| Run::of(output))
}

#[test]
#[cfg(target_os = "linux")]
fn memory_that_the_system_does_not_give() {
    let folder = Folder::with(&[("lib/discs.dxf", &discs(250_000))]);
    plates(&folder, 40);
    // The program knows what it may take, and says so of the drawing.
    let run = within(&folder, 250, &["schedule", "lib", "--jobs", "1"]).expect("an end of its own");
    assert_eq!((run.code, rows(&run.out).len()), (1, 41), "{}", run.err);
    assert!(run.err.contains("discs.dxf") && run.err.contains("--limit memory="), "{}", run.err);
    // Told that there is more, it dies, and knows of what the next time.
    let arguments =
        ["schedule", "lib", "--jobs", "1", "--limit", "memory=9GB", "--ledger", "l.ledger", "-o", "out.csv"];
    assert!(within(&folder, 120, &arguments).is_none(), "the program had enough memory");
    for _ in 0..2 {
        let run = within(&folder, 120, &arguments).expect("an end of its own");
        assert_eq!(run.code, 1, "{}", run.err);
        assert_eq!(run.err.lines().count(), 1, "{}", run.err);
        assert!(
            run.err.contains("lib/discs.dxf: the program ended early while it measured this drawing"),
            "{}",
            run.err
        );
        let found = statuses(&folder.read("out.csv"));
        assert_eq!(found.len(), 41);
        for (name, status) in found {
            assert_eq!(status, if name == "lib/discs.dxf" { "failed" } else { "ok" }, "{name}");
        }
    }
    // Where there is enough it is measured, apart once more, and then like all others.
    let fresh = folder.run(&["schedule", "lib", "-o", "fresh.csv"]);
    assert_eq!(fresh.code, 0, "{}", fresh.err);
    for _ in 0..2 {
        assert_eq!(folder.run(&arguments).code, 0);
        assert!(folder.read("out.csv") == folder.read("fresh.csv"));
    }
    assert_eq!(
        folder
            .run(&["schedule", "lib", "--ledger", "l.ledger", "--summary", "-o", "out.csv"])
            .err
            .matches("41 unchanged")
            .count(),
        1
    );
}

/// What is told is what is there: no file may grow beyond what the schedule needs and the ledger does not.
#[test]
#[cfg(target_os = "linux")]
fn a_disk_that_is_full() {
    let folder = Folder::with(&[("out.csv", "old\n")]);
    plates(&folder, 120);
    let fresh = folder.run(&["schedule", "lib", "-o", "fresh.csv"]);
    assert_eq!(fresh.code, 0, "{}", fresh.err);
    let arguments = ["schedule", "lib", "--ledger", "l.ledger", "-o", "out.csv"];
    // In blocks of 512 bytes: room to begin a ledger, not to end it. A signal would say the same in another way.
    let script = "trap '' XFSZ && ulimit -f 560 && exec \"$0\" \"$@\"";
    let mut command = Command::new("sh");
    command.args(["-c", script, env!("CARGO_BIN_EXE_tracearm")]).args(arguments).current_dir(folder.path());
    let full = Run::of(command.output().expect("a shell"));
    assert_eq!((full.code, folder.read("out.csv") == folder.read("fresh.csv")), (1, true), "{}", full.err);
    assert!(full.err.contains("the schedule is complete, but the ledger l.ledger: "), "{}", full.err);
    // With room again the ledger is used as if nothing had been.
    for _ in 0..2 {
        let again = folder.run(&[&arguments[..], &["--summary"]].concat());
        let is_whole = folder.read("out.csv") == folder.read("fresh.csv");
        assert_eq!((again.code, is_whole), (0, true), "{}", again.err);
    }
}

/// A run that is killed while the drawing in front is measured remembers what stands behind it. `KILLS=200` for more.
#[test]
fn kills_behind_a_large_drawing() {
    // So large that the plates are done, and a second has gone by, long before it is.
    let folder = Folder::with(&[("lib/a.dxf", &discs(240_000))]);
    plates(&folder, 300);
    let began = Instant::now();
    let fresh = folder.run(&["schedule", "lib", "-o", "fresh.csv"]);
    assert_eq!(fresh.code, 0, "{}", fresh.err);
    // All but a little of it is the time of the drawing in front.
    let time = began.elapsed();
    let kills: u64 = common::seed::asked("KILLS").unwrap_or(6);
    let mut remembered = 0;
    for kill in 0..kills {
        let ledger = format!("{kill}.ledger");
        let arguments = ["schedule", "lib", "--jobs", "2", "-o", "out.csv", "--summary", "--ledger", &ledger];
        let mut command = folder.command(&arguments);
        let mut child = command.stdout(Stdio::null()).stderr(Stdio::null()).spawn().expect("the program");
        std::thread::sleep(time.mul_f64(0.4 + 0.05 * (kill % 9) as f64));
        child.kill().expect("a program that runs");
        child.wait().expect("its end");
        let run = folder.run(&arguments);
        assert_eq!((run.code, folder.read("out.csv") == folder.read("fresh.csv")), (0, true), "{}", run.err);
        remembered += usize::from(run.err.contains(" unchanged"));
        assert!(!folder.names().iter().any(|name| name.ends_with(".in-work")), "{:?}", folder.names());
    }
    println!("{remembered} of {kills} runs had something to remember");
    assert!(remembered > 0);
}

/// What stands beside a ledger is neither written over nor read; a process that measures a drawing apart ends with the run.
#[test]
#[cfg(target_os = "linux")]
fn what_stands_beside_a_ledger() {
    let folder = Folder::with(&[("lib/big.dxf", &discs(250_000)), ("list", "lib/p000.dxf\n")]);
    plates(&folder, 2);
    for arguments in [
        &["schedule", "lib", "--ledger", "l.ledger", "-o", "l.ledger.in-work", "--format", "csv"][..],
        &["schedule", "lib", "--ledger", "l.ledger", "--report", "l.ledger-wal"],
        &["schedule", "--files-from", "l.in-work", "--ledger", "l"],
    ] {
        folder.write("l.in-work", "lib/p000.dxf\n");
        let run = folder.run(arguments);
        assert_eq!(run.code, 2, "{arguments:?}: {}", run.err);
        assert!(run.err.contains("beside the ledger") || run.err.contains("--report"), "{}", run.err);
        assert_eq!(folder.read("l.in-work"), "lib/p000.dxf\n");
    }
    let arguments = ["schedule", "lib", "--jobs", "1", "--ledger", "l.ledger", "-o", "out.csv"];
    // Killed when it is seen that something is so.
    let killed_when = |is_so: &dyn Fn(u32) -> bool| {
        let mut child = folder.command(&arguments).stderr(Stdio::null()).spawn().expect("the program");
        while child.try_wait().expect("a state").is_none() && !is_so(child.id()) {
            std::thread::sleep(Duration::from_millis(5));
        }
        let apart = children_of(child.id());
        child.kill().expect("a program that runs");
        child.wait().expect("its end");
        apart
    };
    let in_work = || fs::read(folder.path().join("l.ledger.in-work")).unwrap_or_default();
    let is_noted = |_: u32| String::from_utf8_lossy(&in_work()).contains("big.dxf");
    assert!(killed_when(&is_noted).is_empty());
    let apart = killed_when(&|run| !children_of(run).is_empty());
    assert_eq!(apart.len(), 1, "the drawing that the run died at is measured apart");
    let gone = || apart.iter().all(|id| !fs::exists(format!("/proc/{id}/stat")).expect("an answer"));
    assert!(
        (0..100).any(|_| gone() || {
            std::thread::sleep(Duration::from_millis(50));
            false
        }),
        "it goes on"
    );
}

/// The processes that this one has started.
#[cfg(target_os = "linux")]
fn children_of(id: u32) -> Vec<u32> {
    let parent = |stat: &str| stat.rsplit(')').next()?.split_whitespace().nth(1)?.parse::<u32>().ok();
    let entries = fs::read_dir("/proc").expect("processes").filter_map(Result::ok);
    let ids = entries.filter_map(|entry| entry.file_name().to_str()?.parse::<u32>().ok());
    ids.filter(|own| {
        fs::read_to_string(format!("/proc/{own}/stat")).ok().and_then(|stat| parent(&stat)) == Some(id)
    })
    .collect()
}

#[test]
fn one_line_for_a_drawing() {
    let folder = Folder::with(&[("lib/none.dxf", "nothing\n")]);
    for name in ["rail-clamp", "bad-numbers", "no-outlines"] {
        folder
            .write(&format!("lib/{name}.dxf"), fs::read(fixture(&format!("{name}.dxf"))).expect("a fixture"));
    }
    let short = folder.run(&["schedule", "lib", "-o", "out.csv"]);
    let names: Vec<&str> =
        short.err.lines().map(|line| line.split(": ").next().unwrap_or_default()).collect();
    assert_eq!(
        names,
        ["lib/bad-numbers.dxf", "lib/no-outlines.dxf", "lib/none.dxf", "lib/rail-clamp.dxf"],
        "{}",
        short.err
    );
    assert!(short.err.contains(" more: --verbose lists all)"), "{}", short.err);
    let long = folder.run(&["schedule", "lib", "-o", "out.csv", "--verbose"]);
    assert!(long.err.lines().count() > 4 && !long.err.contains("--verbose"), "{}", long.err);
    // Layers of notes and dimensions are no news of many drawings.
    let routine = "no closed outline on layer NOTES";
    let text = "0\nTEXT\n8\nNOTES\n10\n0\n20\n0\n40\n3\n1\ncut two off\n";
    let ring = [[7.0, 9.0, 0.0], [37.0, 9.0, 0.0], [37.0, 59.0, 0.0], [7.0, 59.0, 0.0]];
    folder.write("noted/a.dxf", drawing(4, "", &(lwpolyline("PLATE", &ring) + text)));
    folder.write("noted/b.dxf", plate(40.0));
    assert_eq!(folder.run(&["schedule", "noted", "-o", "out.csv"]).err, "");
    assert!(folder.run(&["schedule", "noted", "-o", "out.csv", "-v"]).err.contains(routine));
    assert!(folder.run(&["schedule", "noted/a.dxf", "-o", "out.csv"]).err.contains(routine));
    // What is said first is the worst.
    let clamp = short.err.lines().last().expect("a line");
    assert!(clamp.contains("not measured"), "{clamp}");
    // Of one drawing all is told.
    let one = folder.run(&["schedule", "lib/rail-clamp.dxf", "-o", "out.csv"]);
    assert!(one.err.lines().count() > 1, "{}", one.err);
}

#[cfg(unix)]
#[test]
fn a_drawing_that_comes_twice_is_measured_once() {
    use std::os::unix::fs::symlink;
    let folder = Folder::with(&[
        ("lib/a.dxf", &plate(30.0)),
        ("lib/copy.dxf", &plate(30.0)),
        ("lib/sub/b.dxf", &plate(40.0)),
    ]);
    symlink("a.dxf", folder.path().join("lib/link.dxf")).expect("a link");
    symlink("sub", folder.path().join("lib/zz")).expect("a link");
    folder.write("list.txt", "lib/sub/b.dxf\n./lib/a.dxf\nlib/gone.dxf\nlib/gone.dxf\n");
    let once = folder.run(&["schedule", "lib", "--summary"]);
    assert_eq!(once.code, 0, "{}", once.err);
    let names: Vec<String> = statuses(&once.out).into_iter().map(|(name, _)| name).collect();
    assert_eq!(names, ["lib/a.dxf", "lib/copy.dxf", "lib/sub/b.dxf"]);
    assert!(
        once.err.contains("lib/link.dxf: the same drawing as lib/a.dxf, which was measured once\n"),
        "{}",
        once.err
    );
    assert!(once.err.contains("lib/zz/b.dxf: the same drawing as lib/sub/b.dxf"), "{}", once.err);
    assert!(once.err.contains("tracearm: 3 drawings with 3 sections"), "{}", once.err);
    let listed = folder.run(&["schedule", "lib/link.dxf", "lib", "--files-from", "list.txt", "--summary"]);
    let names: Vec<String> = statuses(&listed.out).into_iter().map(|(name, _)| name).collect();
    // What is not there is told as often as it is named.
    assert_eq!(names, ["lib/link.dxf", "lib/copy.dxf", "lib/sub/b.dxf", "lib/gone.dxf", "lib/gone.dxf"]);
    assert_eq!(listed.err.matches("the same drawing as").count(), 5, "{}", listed.err);
    // Two names on the disk are two drawings, each of them once.
    fs::hard_link(folder.path().join("lib/a.dxf"), folder.path().join("hard.dxf")).expect("a name");
    let named = folder.run(&["schedule", "lib/a.dxf", "hard.dxf", "hard.dxf", "lib/a.dxf", "hard.dxf"]);
    let names: Vec<String> = statuses(&named.out).into_iter().map(|(name, _)| name).collect();
    assert_eq!(
        (names.join(" "), named.err.lines().count()),
        ("lib/a.dxf hard.dxf".to_owned(), 3),
        "{}",
        named.err
    );
    // What holds sections in memory knows it too.
    folder.write("expected.csv", &once.out);
    let checked = folder.run(&["check", "lib", "lib/a.dxf", "--against", "expected.csv"]);
    assert_eq!(checked.code, 0, "{}{}", checked.out, checked.err);
    assert!(checked.err.contains("lib/a.dxf: the same drawing as lib/a.dxf"), "{}", checked.err);
}

#[test]
fn what_became_of_drawings_is_named() {
    let folder = Folder::with(&[("lib/0.dxf", &plate(200.0)), ("lib/bad.dxf", "nothing\n")]);
    plates(&folder, 4);
    let run = || {
        let run = folder.run(&[
            "schedule",
            "lib",
            "--ledger",
            "l.ledger",
            "--report",
            "look.csv",
            "--summary",
            "-o",
            "out.csv",
        ]);
        assert_eq!(run.code, 1, "{}", run.err);
        let look = rows(&folder.read("look.csv"));
        let look = look
            .into_iter()
            .map(|row| (row["status"].clone(), row["drawing"].clone(), row["message"].clone()));
        (run.err, look.collect::<Vec<_>>())
    };
    let (err, look) = run();
    assert!(err.contains("; 6 new; "), "{err}");
    assert_eq!(look[0].0, "failed");
    assert!(look[1..].iter().all(|row| row.0 == "new") && look.len() == 7, "{look:?}");
    fs::rename(folder.path().join("lib/p000.dxf"), folder.path().join("lib/renamed.dxf")).expect("a file");
    fs::remove_file(folder.path().join("lib/p001.dxf")).expect("a file");
    folder.write("lib/p002.dxf", plate(77.0));
    folder.write("lib/p009.dxf", plate(78.0));
    let (err, look) = run();
    assert!(err.contains("; 1 new, 1 changed, 1 moved, 1 vanished, 3 unchanged; "), "{err}");
    let named = |name: &str| folder.path().join("lib").join(name).display().to_string();
    let text = |a: &str, b: &str, c: &str| (a.to_owned(), b.to_owned(), c.to_owned());
    let moved = format!("was at {}", named("p000.dxf"));
    assert_eq!(
        look[1..],
        [
            text("new", "lib/p009.dxf", "was not measured before"),
            text("changed", "lib/p002.dxf", "has changed since it was measured"),
            text("moved", "lib/renamed.dxf", &moved),
            text("vanished", &named("p001.dxf"), "is no longer there"),
            text("unchanged", "lib/0.dxf", "has not changed since it was measured"),
            text("unchanged", "lib/bad.dxf", "has not changed since it was measured"),
            text("unchanged", "lib/p003.dxf", "has not changed since it was measured"),
        ]
    );
}
