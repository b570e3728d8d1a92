//! The program as people run it: where results go, pipes, help, and what `inspect` shows.

use crate::common;
use crate::run;

use std::io::Read;
use std::process::Stdio;

use common::draw::{drawing, lwpolyline};
use run::{Folder, fixture, rows};

fn plate() -> String {
    drawing(4, "", &lwpolyline("PLATE", &[[20.0, 10.0, 0.0], [140.0, 10.0, 0.0], [20.0, 60.0, 0.0]]))
}

#[test]
fn the_schedule_goes_into_a_file() {
    let folder = Folder::with(&[("plate.dxf", &plate()), ("plates.csv", "older\n")]);
    let shown = folder.run(&["schedule", "plate.dxf"]);
    let run = folder.run(&["schedule", "-o", "plates.csv", "plate.dxf"]);
    assert_eq!((run.code, run.out.as_str(), run.err.as_str()), (0, "", ""));
    assert_eq!(folder.read("plates.csv"), shown.out);
    assert_eq!(rows(&shown.out)[0]["area_mm2"], "3000");
    assert_eq!(folder.names(), ["plate.dxf", "plates.csv"], "nothing is left over");
}

#[test]
fn what_was_written_stays_where_nothing_was_measured() {
    let folder = Folder::with(&[("bad.dxf", "no drawing\n"), ("plates.csv", "older\n")]);
    let run = folder.run(&["schedule", "-o", "plates.csv", "bad.dxf"]);
    assert_eq!(run.code, 2);
    assert_eq!(folder.read("plates.csv"), "older\n");
    assert_eq!(folder.names(), ["bad.dxf", "plates.csv"]);
    // Without an older one there is none.
    assert_eq!(folder.run(&["schedule", "-o", "new.csv", "bad.dxf"]).code, 2);
    assert_eq!(folder.names(), ["bad.dxf", "plates.csv"]);
}

#[test]
fn part_of_the_drawings_is_a_schedule_too() {
    let folder = Folder::with(&[("plate.dxf", &plate()), ("bad.dxf", "no drawing\n")]);
    assert_eq!(folder.run(&["schedule", "-o", "plates.csv", "plate.dxf", "bad.dxf"]).code, 1);
    let statuses: Vec<String> =
        rows(&folder.read("plates.csv")).iter().map(|r| r["status"].clone()).collect();
    assert_eq!(statuses, ["ok", "failed"]);
}

#[test]
fn places_that_cannot_be_written() {
    let folder = Folder::with(&[("plate.dxf", &plate()), ("folder/notes.txt", "")]);
    for place in ["nowhere/plates.csv", "folder"] {
        let run = folder.run(&["schedule", "-o", place, "plate.dxf"]);
        assert_eq!(run.code, 2, "{place}");
        assert!(run.err.contains("cannot write") && run.err.contains(place), "{}", run.err);
    }
    assert_eq!(folder.names(), ["folder", "plate.dxf"]);
}

#[test]
fn a_drawing_is_never_replaced() {
    let folder = Folder::with(&[("a.dxf", &plate()), ("b.DXF", &plate())]);
    // What a shell makes of -o *.dxf.
    for [output, input] in [["a.dxf", "b.DXF"], ["b.DXF", "a.dxf"]] {
        let run = folder.run(&["schedule", "-o", output, input]);
        assert_eq!(run.code, 2);
        assert!(run.err.contains(output) && run.err.contains(".csv"), "{}", run.err);
    }
    assert_eq!((folder.read("a.dxf"), folder.read("b.DXF")), (plate(), plate()));
}

#[cfg(unix)]
#[test]
fn links_are_followed() {
    let folder = Folder::with(&[("plate.dxf", &plate()), ("kept.csv", "older\n")]);
    std::os::unix::fs::symlink("kept.csv", folder.path().join("link.csv")).unwrap();
    assert_eq!(folder.run(&["schedule", "-o", "link.csv", "plate.dxf"]).code, 0);
    assert_eq!(rows(&folder.read("kept.csv")).len(), 1);
    assert!(folder.path().join("link.csv").symlink_metadata().unwrap().is_symlink());
}

#[test]
fn a_reader_that_goes_away_is_no_error() {
    // More than a pipe holds, so that the program is still writing when its reader leaves.
    let folder = Folder::with(&[]);
    (0..1000).for_each(|k| folder.write(&format!("plates/{k}.dxf"), plate()));
    let arguments = ["schedule", "plates"];
    let mut child = folder.command(&arguments).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    let mut head = [0; 10];
    child.stdout.take().unwrap().read_exact(&mut head).unwrap();
    assert_eq!(&head, b"drawing,se");
    let ended = child.wait_with_output().unwrap();
    assert_eq!((ended.status.code(), String::from_utf8(ended.stderr).unwrap().as_str()), (Some(0), ""));
    assert!(folder.run(&arguments).out.len() > 200_000, "too little for a pipe to fill");
}

#[test]
fn version_and_help() {
    let folder = Folder::with(&[]);
    for flag in ["--version", "-V"] {
        let run = folder.run(&[flag]);
        assert_eq!((run.code, run.out.trim()), (0, concat!("tracearm ", env!("CARGO_PKG_VERSION"))));
    }
    for arguments in [&["-h"][..], &["--help"], &["schedule", "-h"], &["schedule", "--help"]] {
        let run = folder.run(arguments);
        let text = run.out.split_whitespace().collect::<Vec<_>>().join(" ");
        assert_eq!(run.code, 0);
        for words in ["licensed engineer", "Exit codes: 0 ", " 1 results", " 2 nothing"] {
            assert!(text.contains(words), "{arguments:?} does not say {words:?}");
        }
        // Where to read on stands where one begins.
        let documents = text.contains("docs/README.md in the project");
        assert_eq!(documents, arguments.len() == 1, "{arguments:?}: {text}");
    }
    let run = folder.run(&["inspect", "--help"]);
    assert!(run.code == 0 && run.out.contains("licensed"));
}

#[test]
fn inspect_shows_units_and_layers() {
    let folder = Folder::with(&[]);
    let run = folder.run(&["inspect", &fixture("layer-states.dxf")]);
    assert_eq!(run.code, 0, "{}", run.err);
    for words in ["R2013", "millimetre", "$INSUNITS 4", "OFF (off)", "FROZEN (frozen)", "--hidden"] {
        assert!(run.out.contains(words), "{words} is not in\n{}", run.out);
    }
    let run = folder.run(&["inspect", &fixture("unitless.dxf")]);
    assert!(run.out.contains("assumed") && run.out.contains("--drawing-units"), "{}", run.out);
    let run = folder.run(&["inspect", "--drawing-units", "in", &fixture("unitless.dxf")]);
    assert!(run.out.contains("inch (as stated by --drawing-units)"), "{}", run.out);
    // Where a drawing may be in inches, the size of what is drawn on the layers chosen shows which it is.
    let run = folder.run(&["inspect", &fixture("imperial.dxf")]);
    for words in ["millimetre (assumed; see the findings)", "35 x 25 mm; if inches, 889 x 635 mm"] {
        assert!(run.out.contains(words), "{words} is not in\n{}", run.out);
    }
    let run = folder.run(&["inspect", "--json", "--layers", "RIB", &fixture("imperial.dxf")]);
    for words in ["\"drawing_unit_from\": \"assumed\"", "\"measurement\": 0", "millimetres are assumed\""] {
        assert!(run.out.contains(words), "{words} is not in\n{}", run.out);
    }
    let run = folder.run(&["inspect", "--drawing-units", "in", &fixture("imperial.dxf")]);
    assert!(run.out.contains("inch (as stated") && !run.out.contains("if inches"), "{}", run.out);
}

#[test]
fn inspect_shows_outlines_and_open_ends() {
    let folder = Folder::with(&[("plate.dxf", &plate())]);
    let run = folder.run(&["inspect", "plate.dxf"]);
    assert!(run.out.contains("LWPOLYLINE 1") && run.out.contains("area 3000 mm²"), "{}", run.out);
    // In centimetres areas are a hundredth, lengths a tenth.
    let run = folder.run(&["inspect", "--units", "cm", "plate.dxf"]);
    assert!(run.out.contains("area 30 cm²") && run.out.contains("from 2,1 to 14,6"), "{}", run.out);
    let run = folder.run(&["inspect", &fixture("rail-clamp.dxf")]);
    for words in ["nearly closed", "end 200,40:", "end 200,40.8:", "0.8 away"] {
        assert!(run.out.contains(words), "{words} is not in\n{}", run.out);
    }
    let run = folder.run(&["inspect", "--join", "0.7mm", "--layers", "*POLY*", &fixture("rail-clamp.dxf")]);
    assert!(run.out.contains("closed outlines: 1") && !run.out.contains("0.8 away"), "{}", run.out);
}

#[test]
fn inspect_shows_what_is_passed_over() {
    let folder = Folder::with(&[]);
    let run = folder.run(&["inspect", &fixture("no-outlines.dxf")]);
    assert!(run.out.contains("TEXT on layer NOTES: draws no outline"), "{}", run.out);
    let run = folder.run(&["inspect", &fixture("paper-space.dxf")]);
    assert!(run.out.contains("on a sheet layout"), "{}", run.out);
    let run = folder.run(&["inspect", &fixture("bad-numbers.dxf")]);
    assert!(
        run.out.contains("holds a value that can't be drawn") && run.out.contains("1e400"),
        "{}",
        run.out
    );
}
