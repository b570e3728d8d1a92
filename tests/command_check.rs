//! `tracearm check`: sections against expected values, and rolled shapes against printed tables; `tracearm completions`
//! and `tracearm man`.

use crate::common;
use crate::run;

use std::collections::BTreeMap;
use std::process::Command;

use common::draw::{drawing, loose_edges, lwpolyline};
use common::table;
use run::{Folder, Run, not_checked, rows};

fn ring(layer: &str, x: f64, y: f64, w: f64, h: f64) -> String {
    lwpolyline(layer, &[[x, y, 0.0], [x + w, y, 0.0], [x + w, y + h, 0.0], [x, y + h, 0.0]])
}

/// A lug of 40 × 25 and a web of 30 × 60 mm.
fn frame() -> String {
    drawing(4, "", &(ring("LUG", 10.0, 5.0, 40.0, 25.0) + &ring("WEB", 100.0, 0.0, 30.0, 60.0)))
}

fn check(folder: &Folder, more: &[&str]) -> Run {
    folder.run(&[&["check", "frame.dxf", "--against", "expected.csv"], more].concat())
}

fn folder(expected: &str) -> Folder {
    Folder::with(&[("frame.dxf", &frame()), ("expected.csv", expected)])
}

#[test]
fn all_within() {
    let folder =
        folder("section,area_mm2,second_moment_x_cm4,parts,source\nLUG,1001,5.21,1,by hand\nWEB,,,1,\n");
    let run = check(&folder, &[]);
    assert_eq!((run.code, run.err.as_str()), (0, ""));
    let lines: Vec<&str> = run.out.lines().collect();
    assert!(lines[0].starts_with("result  section  column"), "{}", lines[0]);
    assert_eq!(lines.len(), 7, "{}", run.out);
    assert!(lines[1..5].iter().all(|line| line.starts_with("pass ")), "{}", run.out);
    assert_eq!(lines[6], "4 of 4 figures within; 2 sections");
    assert_eq!(folder.names(), ["expected.csv", "frame.dxf"]);
}

#[test]
fn what_is_outside_comes_first() {
    let folder = folder("section,area_mm2,perimeter_mm\nWEB,1800,180\nLUG,1020,130\n");
    let run = check(&folder, &["-o", "result.csv"]);
    assert_eq!((run.code, run.err.as_str()), (1, ""));
    let second = run.out.lines().nth(1).unwrap();
    let words: Vec<&str> = second.split_whitespace().collect();
    // 1000 is 20 below 1020, which is 1.96 %; 0.5 % are 5.1.
    assert_eq!(words, ["fail", "LUG", "area_mm2", "1020", "1000", "-20", "-1.96", "5.1"], "{}", run.out);
    assert!(run.out.ends_with("\n3 of 4 figures within; 2 sections\n"), "{}", run.out);
    // The file has them in the order of the table.
    let written = rows(&folder.read("result.csv"));
    let results: Vec<(&str, &str)> =
        written.iter().map(|row| (row["section"].as_str(), row["result"].as_str())).collect();
    assert_eq!(results, [("WEB", "pass"), ("WEB", "pass"), ("LUG", "fail"), ("LUG", "pass")]);
    assert_eq!(written[2]["difference_percent"], "-1.96");
    // A tolerance of its own lets it through; one for another column does not.
    assert_eq!(check(&folder, &["--within", "area=20"]).code, 0);
    assert_eq!(check(&folder, &["--within", "area=2%"]).code, 0);
    assert_eq!(check(&folder, &["--within", "2%"]).code, 0);
    assert_eq!(check(&folder, &["--within", "perimeter=2%"]).code, 1);
    assert_eq!(check(&folder, &["--within", "2%", "--within", "area_mm2=19"]).code, 1);
}

#[test]
fn what_could_not_be_compared_is_told() {
    for (expected, parts) in [
        (
            "section,area_mm2\nLUG,1000\nLUGG,1000\n",
            &["expected.csv: ", "“LUGG”", "line 3", "nearest is “LUG”"][..],
        ),
        ("section,area_mm2\nLUG,1000\nLUG,1000\nWEB,1800\n", &["several rows", "2, 3"]),
        ("section,area_mm2,perimetre_mm\nLUG,1000,130\n", &["“perimetre_mm”", "nearest is perimeter_mm"]),
        ("section,area_mm2,perimeter\nLUG,1000,130\n", &["perimeter_mm, perimeter_cm"]),
        ("section,area_mm2\nLUG,1000\nWEB,about 1800\n", &["“about 1800”", "line 3"]),
        ("section,product_moment_xy_mm4,centroid_y_mm\nLUG,0,0\n", &["--within centroid_y=", "line 2"]),
    ] {
        let run = check(&folder(expected), &[]);
        assert_eq!(run.code, 1, "{expected}{}{}", run.out, run.err);
        for part in parts {
            assert!(run.err.contains(part), "{part}: {}", run.err);
        }
        assert!(run.out.contains(" figures within; ") || run.out.contains(" figure within; "), "{}", run.out);
    }
    // Where nothing is left to compare.
    for expected in [
        "section,area_mm2\nFLANGE,1\n",
        "section,area_mm2\n",
        "area_mm2\n1\n",
        "section\tarea_mm2\nLUG\t1\n",
        "",
    ] {
        let folder = folder(expected);
        let run = check(&folder, &["-o", "result.csv"]);
        assert_eq!((run.code, run.out.as_str()), (2, ""), "{expected}");
        assert!(run.err.contains("expected.csv"), "{}", run.err);
        assert_eq!(folder.names(), ["expected.csv", "frame.dxf"]);
    }
}

#[test]
fn a_section_that_failed() {
    // The lug's last edge is missing: nearly closed.
    let mut edges =
        loose_edges("LUG", &[[0.0, 0.0, 0.0], [40.0, 0.0, 0.0], [40.0, 25.0, 0.0], [0.5, 25.0, 0.0]]);
    edges.pop();
    edges.push(loose_edges("LUG", &[[0.5, 25.0, 0.0], [0.0, 1.0, 0.0]]).remove(0));
    let dxf = drawing(4, "", &(edges.concat() + &ring("WEB", 100.0, 0.0, 30.0, 60.0)));
    let folder = Folder::with(&[
        ("frame.dxf", &dxf),
        ("expected.csv", "section,area_mm2\nLUG,1000\nWEB,1800\n"),
        ("lug.csv", "section,area_mm2\nLUG,1000\n"),
    ]);
    let run = check(&folder, &[]);
    assert_eq!(run.code, 1);
    assert!(run.err.contains("section “LUG” of “frame.dxf” was not measured"), "{}", run.err);
    assert!(run.out.contains("the section was not measured"), "{}", run.out);
    assert!(run.out.ends_with("\n1 of 2 figures within; 2 sections\n"), "{}", run.out);
    // Of nothing else is anything expected.
    let run = folder.run(&["check", "frame.dxf", "--against", "lug.csv"]);
    assert_eq!((run.code, run.out.as_str()), (2, ""), "{}", run.err);
}

#[test]
fn drawings_are_told_apart_by_their_ends() {
    let wide = drawing(4, "", &ring("LUG", 10.0, 5.0, 80.0, 25.0));
    let folder = Folder::with(&[
        ("old/frame.dxf", &frame()),
        ("new/frame.dxf", &wide),
        ("expected.csv", "drawing,section,area_mm2\nold/frame.dxf,LUG,1000\nnew/frame.dxf,LUG,2000\n"),
        ("both.csv", "section,area_mm2\nLUG,1000\nWEB,1800\n"),
    ]);
    let run = folder.run(&["check", ".", "--against", "expected.csv"]);
    assert_eq!((run.code, run.err.as_str()), (0, ""));
    assert!(
        run.out.ends_with("2 of 2 figures within; 2 sections, and 1 more section without expected values\n")
    );
    assert!(run.out.contains("old/frame.dxf") && run.out.contains("new/frame.dxf"));
    let run = folder.run(&["check", "old", "new", "--against", "both.csv"]);
    assert_eq!(run.code, 1);
    assert!(run.err.contains("2 sections are “LUG”") && run.err.contains("column drawing"), "{}", run.err);
}

#[test]
fn a_schedule_holds_its_own_drawing() {
    let folder = folder("");
    let written =
        folder.run(&["schedule", "--units", "in", "--digits", "full", "-o", "before.csv", "frame.dxf"]);
    assert_eq!(written.code, 0);
    let run = folder.run(&["check", "frame.dxf", "--against", "before.csv", "--within", "1e-10%"]);
    assert_eq!(run.code, 0, "{}{}", run.out, run.err);
    assert!(run.err.contains("findings is not compared") && run.err.contains("strip_check"), "{}", run.err);
    // 42 columns without those that name the section, without findings, strip_check and the mass, which are empty or not compared.
    assert!(run.out.ends_with("\n72 of 72 figures within; 2 sections\n"), "{}", run.out);
}

#[test]
fn plates_and_parts() {
    let folder = folder("section,mass_kg,cut_length_mm,mass_per_length_kg_per_m\nLUG,0.0785,130,7.85\n");
    let run = check(&folder, &["--thickness", "10", "--density", "7850", "--layers", "LUG"]);
    assert_eq!((run.code, run.err.as_str()), (0, ""), "{}", run.out);
    let run = check(&folder, &["--thickness", "10mm"]);
    assert_eq!(run.code, 1);
    assert!(run.out.contains("empty without a density"), "{}", run.out);
    let parts = Folder::with(&[
        (
            "frame.dxf",
            &drawing(4, "", &(ring("LUG", 10.0, 5.0, 40.0, 25.0) + &ring("LUG", 100.0, 0.0, 30.0, 60.0))),
        ),
        ("expected.csv", "section,area_mm2\nLUG#1,1000\nLUG#2,1800\n"),
    ]);
    assert_eq!(check(&parts, &["--per", "part"]).code, 0);
    assert_eq!(check(&parts, &[]).code, 2);
}

#[test]
fn wrong_usage() {
    let folder = folder("section,area_mm2\nLUG,1000\n");
    for (more, part) in [
        (&["--within", "0.5"][..], "0.5%"),
        (&["--within", "aera=1%"], "perhaps area is meant"),
        (&["--within", "parts=1%"], "exactly"),
        (&["-o", "frame.dxf"], "is the drawing frame.dxf"),
        (&["-o", "./expected.csv"], "the table of expected values"),
    ] {
        let run = check(&folder, more);
        assert_eq!(run.code, 2, "{more:?}");
        assert!(run.err.contains(part), "{}", run.err);
    }
    assert_eq!(folder.run(&["check", "frame.dxf"]).code, 2);
    let run = folder.run(&["check", "frame.dxf", "--against", "none.csv"]);
    assert!(run.code == 2 && run.err.contains("cannot read none.csv"), "{}", run.err);
    assert_eq!(folder.read("frame.dxf"), frame());
}

#[test]
fn names_stay_text() {
    let layer = "=SUM(A1)\u{202e}";
    let folder = Folder::with(&[
        ("frame.dxf", &drawing(4, "", &ring(layer, 10.0, 5.0, 40.0, 25.0))),
        ("expected.csv", &format!("section,area_mm2\n{layer},1000\n=B\u{1b}[2J,1\n")),
    ]);
    let run = check(&folder, &["-o", "result.csv"]);
    assert_eq!(run.code, 1);
    assert!(
        !run.out.contains('\u{202e}') && !run.err.contains(['\u{202e}', '\u{1b}']),
        "{}{}",
        run.out,
        run.err
    );
    assert_eq!(rows(&folder.read("result.csv"))[0]["section"], format!("'{layer}"));
}

/// The printed values of rolled shapes, held by the program itself. The tolerances and their reasons stand in
/// shared/rolled/README.md.
#[test]
fn rolled_shapes_are_what_is_printed() {
    let root = env!("CARGO_MANIFEST_DIR");
    let held = |drawing: &str, expected: &str, within: &[&str]| {
        let drawing = format!("{root}/tests/rolled/{drawing}.dxf");
        let expected = format!("{root}/shared/rolled/{expected}.csv");
        let within = within.iter().flat_map(|text| ["--within", text]);
        let arguments = ["check", &drawing, "--against", &expected].into_iter().chain(within);
        Folder::with(&[]).run(&arguments.collect::<Vec<_>>())
    };
    for (drawing, expected, within, figures, sections) in [
        ("european", "european", &["0.25%"][..], 54, 6),
        ("american", "american", &["0.7%"], 54, 6),
        ("american", "american-free", &["1.2%", "principal_angle=0.25"], 20, 2),
    ] {
        let run = held(drawing, expected, within);
        assert_eq!((run.code, run.err.as_str()), (0, ""), "{expected}: {}", run.out);
        let end = format!("{figures} of {figures} figures within; {sections} sections");
        assert!(run.out.contains(&end), "{expected}: {}", run.out);
        // The tolerances are not wider than it takes: a fifth less, and something is outside.
        let number = |text: &str| text.trim_end_matches('%').parse::<f64>().unwrap() * 0.8;
        let narrow = format!("{}%", number(within[0]));
        let run = held(drawing, expected, &[&[narrow.as_str()], &within[1..]].concat());
        assert_eq!(run.code, 1, "{expected} within {narrow}: {}", run.out);
    }
}

/// The drawings of rolled shapes have the figures of an exact line and arc integration of the same dimensions.
#[test]
fn rolled_shapes_are_drawn_from_their_dimensions() {
    let shapes: BTreeMap<String, BTreeMap<String, String>> = table("shared/check-values/rolled_shapes.csv")
        .into_iter()
        .map(|row| (row["id"].replace("L6X4X1/2", "L6X4X.500").replace("12X8X1/2", "12X8X.500"), row))
        .collect();
    let mut compared = 0;
    for (drawing, unit) in [("european", "mm"), ("american", "in")] {
        let path = format!("{}/tests/rolled/{drawing}.dxf", env!("CARGO_MANIFEST_DIR"));
        let run = Folder::with(&[]).run(&["schedule", "--units", unit, "--digits", "full", &path]);
        assert_eq!((run.code, run.err.as_str()), (0, ""));
        for row in rows(&run.out) {
            assert_eq!(row["status"], "ok", "{}", row["findings"]);
            let exact = &shapes[&row["section"]];
            for (column, key, power) in [
                ("A", "area", "2"),
                ("P", "perimeter", ""),
                ("Ix", "second_moment_x", "4"),
                ("Iy", "second_moment_y", "4"),
                ("I2", "second_moment_2", "4"),
                ("Wx_top", "elastic_modulus_x_top", "3"),
                ("Wx_bot", "elastic_modulus_x_bottom", "3"),
                ("Wy_right", "elastic_modulus_y_right", "3"),
                ("Zx", "plastic_modulus_x", "3"),
                ("Zy", "plastic_modulus_y", "3"),
            ] {
                let want: f64 = exact[&format!("exact_{column}")].parse().unwrap();
                let got: f64 = row[&format!("{key}_{unit}{power}")].parse().unwrap();
                // The exact figures have 13 digits.
                assert!((got - want).abs() <= 1e-9 * want, "{} {key}: {got} for {want}", row["section"]);
                compared += 1;
            }
        }
    }
    assert_eq!(compared, 14 * 10);
}

#[test]
fn rolled_shapes_are_what_their_program_draws() {
    let script = format!("{}/tests/rolled/draw.py", env!("CARGO_MANIFEST_DIR"));
    match Command::new("python3").args([&script, "--check"]).output() {
        Ok(run) => assert!(run.status.success(), "{}", String::from_utf8_lossy(&run.stderr)),
        Err(error) => not_checked("python3", &error),
    }
}

/// The commands and the long options that the program's own help names.
fn options() -> Vec<(String, Vec<String>)> {
    let words = |arguments: &[&str]| -> Vec<String> {
        let run = Folder::with(&[]).run(arguments);
        assert_eq!(run.code, 0, "{}", run.err);
        run.out.lines().map(str::to_owned).collect()
    };
    let commands: Vec<String> = words(&["-h"])
        .into_iter()
        .skip_while(|line| line != "Commands:")
        .skip(1)
        .take_while(|line| !line.is_empty())
        .filter(|line| line.starts_with("  ") && !line.starts_with("   "))
        .filter_map(|line| line.split_whitespace().next().map(str::to_owned))
        .filter(|name| name != "help")
        .collect();
    commands
        .into_iter()
        .map(|command| {
            let options = words(&[&command, "-h"])
                .into_iter()
                .filter(|line| line.trim_start().starts_with('-'))
                .filter_map(|line| {
                    let long = line.split_whitespace().find(|word| word.starts_with("--"))?;
                    Some(long.trim_end_matches(',').to_owned())
                })
                .collect();
            (command, options)
        })
        .collect()
}

#[test]
fn shells_complete_every_command_and_option() {
    let options = options();
    let named = |command: &str| options.iter().find(|(name, _)| name == command).map_or(0, |(_, o)| o.len());
    assert!(named("schedule") >= 15 && named("check") >= 15 && named("man") == 2, "{options:?}");
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let folder = Folder::with(&[]);
        let run = folder.run(&["completions", shell]);
        assert_eq!((run.code, run.err.as_str()), (0, ""), "{shell}");
        for (command, options) in &options {
            assert!(run.out.contains(command.as_str()), "{shell}: {command}");
            for option in options {
                let written = if shell == "fish" { format!("-l {}", &option[2..]) } else { option.clone() };
                assert!(run.out.contains(&written), "{shell}: {command} {option}");
            }
        }
        // The same bytes every time.
        assert_eq!(folder.run(&["completions", shell]).out, run.out);
        if shell == "bash" {
            std::fs::write(folder.path().join("tracearm.bash"), &run.out).unwrap();
            match Command::new("bash").arg("-n").arg(folder.path().join("tracearm.bash")).output() {
                Ok(read) => assert!(read.status.success(), "{}", String::from_utf8_lossy(&read.stderr)),
                Err(error) => not_checked("bash", &error),
            }
        }
    }
    assert_eq!(Folder::with(&[]).run(&["completions", "abacus"]).code, 2);
}

#[test]
fn a_manual_page_for_each_command() {
    let folder = Folder::with(&[("occupied", "")]);
    let run = folder.run(&["man", "-o", "pages/man1"]);
    assert_eq!((run.code, run.out.as_str(), run.err.as_str()), (0, "", ""));
    let page = |name: &str| folder.read(&format!("pages/man1/{name}.1")).replace("\\-", "-");
    for (command, options) in options() {
        let text = page(&format!("tracearm-{command}"));
        for option in options {
            assert!(text.contains(&option), "{command}: {option}");
        }
        assert!(page("tracearm").contains(&format!("tracearm-{command}(1)")), "{command}");
    }
    for name in ["tracearm", "tracearm-schedule", "tracearm-check"] {
        let text = page(name);
        for part in [".SH \"EXIT STATUS\"", ".SH CAUTION", "licensed engineer", "nothing was"] {
            assert!(text.contains(part), "{name}: {part}");
        }
    }
    // Without a folder: the first page.
    let shown = folder.run(&["man"]);
    assert_eq!((shown.code, shown.out), (0, folder.read("pages/man1/tracearm.1")));
    let run = folder.run(&["man", "-o", "occupied"]);
    assert!(run.code == 2 && run.err.contains("occupied"), "{}", run.err);
}
