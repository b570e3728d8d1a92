//! `tracearm compare`: what changed between two schedules.

use crate::common;
use crate::run;

use common::draw::{drawing, lwpolyline};
use run::{Folder, Run, rows};

fn ring(layer: &str, x: f64, y: f64, w: f64, h: f64) -> String {
    lwpolyline(layer, &[[x, y, 0.0], [x + w, y, 0.0], [x + w, y + h, 0.0], [x, y + h, 0.0]])
}

/// A lug of 40 × `tall` and a web of 30 × 60 mm.
fn frame(tall: f64) -> String {
    drawing(4, "", &(ring("LUG", 10.0, 5.0, 40.0, tall) + &ring("WEB", 100.0, 0.0, 30.0, 60.0)))
}

/// Two schedules as text, compared.
fn compare(before: &str, after: &str, more: &[&str]) -> (Folder, Run) {
    let folder = Folder::with(&[("before.csv", before), ("after.csv", after)]);
    let run = folder.run(&[&["compare", "before.csv", "after.csv"], more].concat());
    (folder, run)
}

/// The words of each line of the table.
fn words(page: &str) -> Vec<Vec<&str>> {
    page.lines().map(|line| line.split_whitespace().collect()).collect()
}

#[test]
fn a_schedule_and_itself() {
    let folder = Folder::with(&[("frame.dxf", &frame(25.0)), ("changes.csv", "older")]);
    let plate = ["--thickness", "12mm", "--density", "7850", "--per", "part"];
    let written = folder.run(&[&["schedule", "frame.dxf", "-o", "before.csv"], &plate[..]].concat());
    assert_eq!(written.code, 0, "{}", written.err);
    let run = folder.run(&["compare", "before.csv", "./before.csv", "-o", "changes.csv"]);
    assert_eq!((run.code, run.err.as_str()), (0, ""));
    assert_eq!(run.out, "0 added, 0 gone, 0 changed, 2 unchanged\n");
    // An older result does not stay.
    assert!(folder.read("changes.csv").starts_with("change,drawing,section,number,column,before,after,"));
    assert!(rows(&folder.read("changes.csv")).is_empty());
}

#[test]
fn a_drawing_that_was_changed() {
    let folder = Folder::with(&[("frame.dxf", &frame(25.0)), ("wide/frame.dxf", &frame(26.0))]);
    for (drawing, schedule, units) in [
        ("frame.dxf", "before.csv", "mm"),
        ("frame.dxf", "inches.csv", "in"),
        ("wide/frame.dxf", "after.csv", "in"),
    ] {
        let written = folder.run(&["schedule", drawing, "--units", units, "-o", schedule]);
        assert_eq!(written.code, 0, "{}", written.err);
    }
    // The same drawing in millimetres and in inches, both with six digits.
    let run = folder.run(&["compare", "before.csv", "inches.csv"]);
    assert_eq!((run.code, run.err.as_str()), (0, ""), "{}", run.out);
    // The lug is 26 tall instead of 25, and the drawing lies elsewhere.
    let run = folder.run(&["compare", "before.csv", "after.csv", "-o", "changes.csv"]);
    assert_eq!(run.code, 1);
    assert!(run.err.contains("left aside: “wide/” after"), "{}", run.err);
    assert!(
        run.out.contains("\n0 added, 0 gone, 1 changed (") && run.out.ends_with(" values), 1 unchanged\n")
    );
    let changes = rows(&folder.read("changes.csv"));
    assert!(changes.iter().all(|row| row["change"] == "changed" && row["section"] == "LUG"), "{changes:?}");
    let of = |column: &str| changes.iter().find(|row| row["column"] == column);
    let area = of("area_mm2").expect("the area changed");
    assert_eq!(
        (area["drawing"].as_str(), area["before"].as_str(), area["difference"].as_str()),
        ("wide/frame.dxf", "1000", "40")
    );
    assert_eq!(area["difference_percent"], "4");
    // 40·26³/12 = 58586.67 mm⁴ beside 40·25³/12 = 52083.33.
    let moment = of("second_moment_x_mm4").expect("the second moment changed");
    assert!((moment["after"].parse::<f64>().unwrap() - 58586.67).abs() < 0.3, "{moment:?}");
    assert!(of("x_max_mm").is_none() && of("parts").is_none(), "{changes:?}");
    // 12.5 % is what the second moments come to: 1.04³ − 1.
    let within = |text: &str| folder.run(&["compare", "before.csv", "after.csv", "--within", text]).code;
    assert_eq!((within("13%"), within("12%")), (0, 1));
}

#[test]
fn one_figure_and_its_tolerance() {
    let before = "drawing,section,area_mm2,perimeter_mm\nframe.dxf,LUG,1000,130\nframe.dxf,WEB,1800,180\n";
    let after = before.replace(",1800,", ",1818,");
    let (folder, run) = compare(before, &after, &[]);
    assert_eq!((run.code, run.err.as_str()), (1, ""));
    assert_eq!(
        words(&run.out),
        [
            &["change", "section", "column", "before", "after", "in", "%", "values"][..],
            &["changed", "WEB", "area_mm2", "1800", "1818", "1", "1"],
            &[],
            &["0", "added,", "0", "gone,", "1", "changed", "(1", "value),", "1", "unchanged"],
        ]
    );
    let run = folder.run(&["compare", "before.csv", "after.csv", "--all"]);
    assert_eq!(
        words(&run.out)[..2],
        [
            &["change", "section", "column", "before", "after", "difference", "in", "%"][..],
            &["changed", "WEB", "area_mm2", "1800", "1818", "18", "1"],
        ]
    );
    assert_eq!(folder.names(), ["after.csv", "before.csv"]);
    for (within, code) in [("1%", 0), ("0.9%", 1), ("area=20", 0), ("area=17", 1), ("perimeter=5%", 1)] {
        let run = folder.run(&["compare", "before.csv", "after.csv", "--within", within]);
        assert_eq!(run.code, code, "{within}");
    }
}

#[test]
fn columns_in_another_order_and_unit() {
    let before =
        "drawing,section,area_mm2,principal_angle_deg,status\na.dxf,LUG,1000,90,ok\na.dxf,WEB,1800,0,ok\n";
    let after = "Status,AREA_in2,section,principal_angle_deg,colour,drawing\n\
                 ok,2.79001,WEB,0,red,a.dxf\nok,1.55,LUG,-90,blue,a.dxf\n";
    let (_, run) = compare(before, after, &[]);
    assert_eq!((run.code, run.out.as_str()), (0, "0 added, 0 gone, 0 changed, 2 unchanged\n"), "{}", run.err);
    assert!(run.err.contains("after.csv: warning: there is no column “colour”"), "{}", run.err);
    assert_eq!(run.err.lines().count(), 1, "{}", run.err);
}

#[test]
fn rows_added_and_gone() {
    let before = "drawing,section,area_mm2\na.dxf,LUG,1000\na.dxf,WEB,1800\nb.dxf,LUG,7\n";
    let after = "drawing,section,area_mm2\na.dxf,WEB,1800\na.dxf,CAP,5\nb.dxf,LUG,7\nc.dxf,LUG,7\n";
    let (folder, run) = compare(before, after, &["-o", "changes.csv"]);
    assert_eq!((run.code, run.err.as_str()), (1, ""));
    let lines = words(&run.out);
    assert_eq!(
        lines[1..4],
        [["added", "a.dxf", "CAP"], ["added", "c.dxf", "LUG"], ["gone", "a.dxf", "LUG"]],
        "{}",
        run.out
    );
    assert!(run.out.ends_with("\n2 added, 1 gone, 0 changed, 2 unchanged\n"), "{}", run.out);
    let written = rows(&folder.read("changes.csv"));
    assert_eq!(written.len(), 3);
    assert!(written.iter().all(|row| row["column"].is_empty() && row["before"].is_empty()));
}

#[test]
fn empty_cells_and_words() {
    let before = "section,layer,mass_kg,status\nLUG,LUG,,ok\nWEB,WEB,4.5,ok\n";
    let after = "section,layer,mass_kg,status\nLUG,LUG,0.9,ok\nWEB,WEB,,failed\n";
    let (_, run) = compare(before, after, &["--within", "100%", "--all"]);
    assert_eq!(run.code, 1);
    let lines = words(&run.out);
    assert_eq!(lines[1], ["changed", "LUG", "mass_kg", "0.9"]);
    assert_eq!(lines[2], ["changed", "WEB", "mass_kg", "4.5"]);
    assert_eq!(lines[3], ["changed", "WEB", "status", "ok", "failed"]);
}

#[test]
fn several_rows_of_one_name() {
    let before = "drawing,section,area_mm2\na.dxf,LUG,1\na.dxf,LUG,2\na.dxf,LUG,3\n";
    let (_, run) = compare(before, before, &[]);
    assert_eq!((run.code, run.err.as_str()), (0, ""));
    let (_, run) = compare(before, "drawing,section,area_mm2\na.dxf,LUG,1\na.dxf,LUG,2.5\n", &[]);
    assert_eq!(run.code, 1);
    let lines = words(&run.out);
    assert_eq!(lines[1], ["gone", "LUG", "3"], "{}", run.out);
    assert_eq!(lines[2], ["changed", "LUG", "2", "area_mm2", "2", "2.5", "25", "1"], "{}", run.out);
    assert!(
        run.err.contains("before.csv: warning: section “LUG” of “a.dxf” appears 3 times here"),
        "{}",
        run.err
    );
}

#[test]
fn drawings_that_moved() {
    let schedule = |folder: &str, names: [&str; 2]| {
        let [first, second] = names;
        format!("drawing,section,area_mm2\n{folder}{first},LUG,1000\n{folder}{second},LUG,2000\n")
    };
    let lib = schedule("lib/", ["a.dxf", "b.dxf"]);
    // The same folder seen from elsewhere, on another system, in another order.
    for other in [
        schedule("/srv/lib/", ["a.dxf", "b.dxf"]),
        schedule("C:\\work\\lib\\", ["a.dxf", "b.dxf"]),
        "drawing,section,area_mm2\nb.dxf,LUG,2000\na.dxf,LUG,1000\n".to_owned(),
    ] {
        let (_, run) = compare(&lib, &other, &[]);
        assert_eq!(run.code, 0, "{other}{}{}", run.out, run.err);
        assert!(
            run.err.contains("before.csv and after.csv: note: no drawing has the same path"),
            "{}",
            run.err
        );
        assert_eq!(compare(&other, &lib, &[]).1.code, 0);
    }
    // One more drawing elsewhere does not part what stayed where it was, nor what moved along.
    let more = lib.clone() + "plates/c.dxf,LUG,5\n";
    let (_, run) = compare(&lib, &more, &[]);
    assert!(
        run.code == 1 && run.err.is_empty() && run.out.contains("\n1 added, 0 gone, 0 changed, 2"),
        "{}",
        run.out
    );
    let more = schedule("/srv/lib/", ["a.dxf", "b.dxf"]) + "/srv/plates/c.dxf,LUG,5\n";
    let (_, run) = compare(&lib, &more, &[]);
    assert!(run.out.contains("\n1 added, 0 gone, 0 changed, 2"), "{}{}", run.out, run.err);
    assert!(run.err.contains("left aside: “/srv/” after"), "{}", run.err);
    // Drawings with other names.
    let renamed = schedule("lib/", ["first.dxf", "second.dxf"]);
    let (folder, run) = compare(&lib, &renamed, &[]);
    assert!(run.code == 1 && run.out.ends_with("2 added, 2 gone, 0 changed, 0 unchanged\n"), "{}", run.out);
    assert!(run.err.contains("--by section"), "{}", run.err);
    let run = folder.run(&["compare", "before.csv", "after.csv", "--by", "section"]);
    assert_eq!((run.code, run.err.as_str()), (0, ""), "{}", run.out);
}

#[test]
fn names_stay_text() {
    let long = "x".repeat(300);
    let names =
        ["'=SUM(A1)", "A\u{1b}[2J\u{202e}", "\"two\nlines\"", "مقطع", "\"<b>, \"\"c\"\"\"", long.as_str()];
    let mut before = "drawing,section,layer,area_mm2\n".to_owned();
    let mut after = before.clone();
    for name in names {
        before += &format!("=a.dxf,{name},{name},1000\n");
        after += &format!("=a.dxf,{name},-{},900\n", name.trim_matches('"').replace(['"', ','], ""));
    }
    after += "=a.dxf,@new,x,1\n";
    let after = after.replace("-two\nlines", "-two lines");
    let (folder, run) = compare(&before, &after, &["--all", "-o", "changes.csv"]);
    assert_eq!((run.code, run.err.as_str()), (1, ""));
    assert!(!run.out.contains(['\u{1b}', '\u{202e}']), "{}", run.out);
    // A heading, a line for each change, an empty one and the counts.
    assert_eq!(run.out.lines().count(), 1 + 1 + 2 * names.len() + 2, "{}", run.out);
    let written = rows(&folder.read("changes.csv"));
    for row in &written {
        for cell in row.values() {
            let runs = cell.starts_with(['=', '+', '-', '@']) && cell.parse::<f64>().is_err();
            assert!(!runs, "{cell}");
        }
    }
    assert_eq!((written[0]["section"].as_str(), written[1]["section"].as_str()), ("'@new", "'=SUM(A1)"));
}

#[test]
fn cells_that_can_not_be_compared() {
    let before = "section,area_mm2\nLUG,1000\nWEB,1800\n";
    for (after, part) in [
        ("section,area_mm2\nLUG,about 1000\nWEB,1800\n", "after.csv: “about 1000” in the column area_mm2"),
        (
            "section,area_mm2\nLUG,1000\nWEB,1800\nCAP,1,5\n",
            "after.csv: the row has 3 cells under 2 headings",
        ),
        ("section,area_mm2\nLUG,1000\nWEB,1800\n,5\n", "after.csv: the row names no section"),
    ] {
        let (_, run) = compare(before, after, &[]);
        assert_eq!((run.code, run.out.as_str()), (1, "0 added, 0 gone, 0 changed, 2 unchanged\n"), "{after}");
        assert!(run.err.starts_with(part) && run.err.contains("line "), "{}", run.err);
    }
}

#[test]
fn what_is_no_schedule() {
    let good = "section,area_mm2\nLUG,1000\n";
    for (other, part) in [
        ("", "no column section"),
        ("{\"rows\": []}\n", "no column section"),
        ("section\tarea_mm2\nLUG\t1\n", "commas"),
        ("section,area_mm2\n", "no row"),
        ("section,colour\nLUG,red\n", "no column in common"),
        ("section,mass_kg\nLUG,1\n", "no column in common"),
        ("drawing,section,area_mm2\na.dxf,LUG,1000\n", "--by section"),
    ] {
        for (before, after) in [(good, other), (other, good)] {
            let (folder, run) = compare(before, after, &["-o", "changes.csv"]);
            assert_eq!((run.code, run.out.as_str()), (2, ""), "{other}");
            assert!(run.err.contains(part) && run.err.lines().count() == 1, "{}", run.err);
            assert_eq!(folder.names(), ["after.csv", "before.csv"]);
        }
    }
}

#[test]
fn wrong_usage() {
    let good = "section,area_mm2\nLUG,1000\n";
    for (more, part) in [
        (&["-o", "./after.csv"][..], "is the schedule after.csv"),
        (&["-o", "frame.dxf"], "name of a drawing"),
        (&["-o", "changes.xlsx"], "written as CSV"),
        (&["--within", "0.5"], "0.5%"),
        (&["--by", "layer"], "drawing-and-section"),
    ] {
        let (folder, run) = compare(good, good, more);
        assert_eq!((run.code, run.out.as_str()), (2, ""), "{more:?}");
        assert!(run.err.contains(part), "{}", run.err);
        assert_eq!((folder.read("after.csv").as_str(), folder.names().len()), (good, 2));
    }
    let folder = Folder::with(&[("a.csv", good), ("frame.dxf", &frame(25.0))]);
    let run = folder.run(&["compare", "a.csv", "none.csv"]);
    assert!(run.code == 2 && run.err.contains("cannot read none.csv"), "{}", run.err);
    let run = folder.run(&["compare", "frame.dxf", "a.csv"]);
    assert!(run.code == 2 && run.err.contains("tracearm schedule -o NAME.csv frame.dxf"), "{}", run.err);
    assert_eq!(folder.run(&["compare", "a.csv"]).code, 2);
}

/// One line for each section, with what changed most; every value with --all, and in the file.
#[test]
fn a_line_for_each_section() {
    let before = "drawing,section,status,area_mm2,perimeter_mm,centroid_x_mm,second_moment_x_mm4\n\
                  a.dxf,LUG,ok,1000,130,0,50000\na.dxf,WEB,ok,1800,180,5,7\na.dxf,CAP,ok,1,2,3,4\n";
    let after =
        before.replace("ok,1000,130,0,50000", "warning,1010,131,4,56000").replace("CAP,ok", "CAP,warning");
    let (folder, run) = compare(before, &after, &["-o", "changes.csv"]);
    assert_eq!((run.code, run.err.lines().count()), (1, 1), "{}", run.err);
    let lines = words(&run.out);
    assert_eq!(
        lines[1],
        ["changed", "LUG", "second_moment_x_mm4", "50000", "56000", "12", "5"],
        "{}",
        run.out
    );
    assert_eq!(lines[2], ["changed", "CAP", "status", "ok", "warning", "1"], "{}", run.out);
    assert!(run.out.ends_with("\n0 added, 0 gone, 2 changed (6 values), 1 unchanged\n"), "{}", run.out);
    assert_eq!(rows(&folder.read("changes.csv")).len(), 6);
    let run = folder.run(&["compare", "before.csv", "after.csv", "--all"]);
    assert_eq!(run.out.lines().count(), 1 + 6 + 2, "{}", run.out);
}

/// The columns that are asked for, by the names of `schedule --columns`, whatever else changed.
#[test]
fn columns_that_are_chosen() {
    let before =
        "drawing,section,area_mm2,plastic_modulus_x_mm3,plastic_axis_x_mm,mass_kg\na.dxf,LUG,1000,5,6,7\n";
    let after =
        "drawing,section,area_cm2,plastic_modulus_x_mm3,plastic_axis_x_mm,pierces\na.dxf,LUG,11,5,7,1\n";
    for (columns, changed, code) in [
        ("area", &["area_mm2"][..], 1),
        ("area_in2 , section", &["area_mm2"], 1),
        ("plastic", &["plastic_axis_x_mm"], 1),
        ("*_modulus_x", &[], 0),
        ("plastic_*,area", &["area_mm2", "plastic_axis_x_mm"], 1),
    ] {
        let (folder, run) = compare(before, after, &["--columns", columns, "-o", "changes.csv"]);
        assert_eq!((run.code, run.err.as_str()), (code, ""), "{columns}");
        let written = rows(&folder.read("changes.csv"));
        let names: Vec<&str> = written.iter().map(|row| row["column"].as_str()).collect();
        assert_eq!(names, changed, "{columns}");
    }
    let (folder, run) = compare(before, after, &["--columns", "plastic_modulus_x,mass,stock*"]);
    assert_eq!(run.code, 1, "what was asked for was not compared");
    assert!(run.out.starts_with("0 added, 0 gone, 0 changed, 1 unchanged"), "{}", run.out);
    let lines: Vec<&str> = run.err.lines().collect();
    assert!(lines[0].contains("does not have these columns: mass_kg") && lines.len() == 3, "{}", run.err);
    assert!(lines[1].contains("--columns mass ") && lines[2].contains("--columns stock* "), "{}", run.err);
    for (columns, part) in
        [("aera", "perhaps area is meant"), (" , ", "at least one"), ("mass", "no column in common")]
    {
        let run = folder.run(&["compare", "before.csv", "after.csv", "--columns", columns]);
        assert!(run.code == 2 && run.err.contains(part), "{}", run.err);
    }
}

/// What could not be measured is neither gone nor new.
#[test]
fn drawings_that_could_not_be_measured() {
    let folder = Folder::with(&[("lib/a.dxf", &frame(25.0)), ("lib/b.dxf", &frame(25.0))]);
    let written = |name: &str, code: i32| {
        let run = folder.run(&["schedule", "lib", "-o", name, "--ledger", &format!("{name}.ledger")]);
        assert_eq!(run.code, code, "{}", run.err);
    };
    written("whole.csv", 0);
    folder.write("lib/a.dxf", "no drawing");
    written("broken.csv", 1);
    written("broken.xlsx", 1);
    written("broken.jsonl", 1);
    for broken in ["broken.csv", "broken.xlsx", "broken.jsonl", "broken.csv.ledger"] {
        for pair in [["whole.csv", broken], [broken, "whole.csv"]] {
            let run = folder.run(&["compare", pair[0], pair[1], "-o", "changes.csv"]);
            assert_eq!(run.code, 1, "{pair:?}");
            let end = "\n0 added, 0 gone, 0 changed, 2 unchanged, 2 not compared\n";
            assert!(run.out.ends_with(end), "{pair:?}: {}", run.out);
            let told =
                run.err.lines().find(|line| line.contains("nothing could be measured here")).unwrap_or("");
            let part = "lib/a.dxf”, so 2 sections of the other schedule could not be compared";
            assert!(told.starts_with(broken) && told.contains(part), "{pair:?}: {}", run.err);
            let changes = rows(&folder.read("changes.csv"));
            assert!(changes.len() == 2 && changes.iter().all(|row| row["change"] == "not compared"));
            assert_eq!(words(&run.out)[1], ["not", "compared", "lib/a.dxf", "LUG"]);
        }
    }
    // A drawing that is no longer there is gone.
    std::fs::remove_file(folder.path().join("lib/a.dxf")).unwrap();
    written("gone.csv", 0);
    let run = folder.run(&["compare", "whole.csv", "gone.csv"]);
    assert!(run.out.ends_with("\n0 added, 2 gone, 0 changed, 2 unchanged\n"), "{}", run.out);
}

/// A ledger has the figures of the schedule that was written with it, digit for digit, and none that is rounding alone.
#[test]
fn a_ledger_has_the_figures_of_its_schedule() {
    let folder = Folder::with(&[]);
    let root = env!("CARGO_MANIFEST_DIR");
    for name in ["gantry-end-plate.dxf", "rail-clamp.dxf", "jib-bracket.dxf", "base-plate.dxf"] {
        folder.write(&format!("lib/{name}"), std::fs::read(format!("{root}/fixtures/{name}")).unwrap());
    }
    let measure = |more: &[&str]| {
        let run =
            folder.run(&[&["schedule", "lib", "--thickness", "12.5", "--density", "7850"], more].concat());
        assert!(run.code != 2, "{}", run.err);
    };
    measure(&["-o", "all.csv", "--ledger", "shop.ledger"]);
    for pair in [["all.csv", "shop.ledger"], ["shop.ledger", "all.csv"]] {
        let run = folder.run(&["compare", pair[0], pair[1], "--all", "--within", "0%"]);
        assert!(run.out.starts_with("0 added, 0 gone, 0 changed, "), "{pair:?}: {}", run.out);
    }
    // With full digits there is something to round.
    measure(&["-o", "full.csv", "--digits", "full"]);
    let run =
        folder.run(&["compare", "full.csv", "shop.ledger", "--all", "--within", "0%", "-o", "changes.csv"]);
    assert_eq!(run.code, 1);
    let changes = rows(&folder.read("changes.csv"));
    assert!(changes.iter().any(|row| row["before"].len() > 12 && row["after"].len() <= 9), "{changes:?}");
}

/// A property that one table has twice is compared once, and it is said.
#[test]
fn two_columns_of_one_property() {
    let one = "section,area_mm2\nLUG,1000\n";
    let two = "section,area_mm2,area_cm2\nLUG,1000,99\n";
    let (_, run) = compare(one, two, &[]);
    assert_eq!((run.code, run.out.as_str()), (1, "0 added, 0 gone, 0 changed, 1 unchanged\n"));
    let part = "after.csv: the column area_cm2 was not compared: area_mm2 holds the same property";
    assert!(run.err.starts_with(part) && run.err.lines().count() == 1, "{}", run.err);
    let (_, run) = compare(one, two, &["--columns", "section,status,area"]);
    assert!(run.code == 1 && run.err.contains("--columns status"), "{}", run.err);
    // Each of the former schedule is compared.
    let (_, run) = compare(two, one, &[]);
    assert!(
        run.code == 1 && run.err.is_empty() && run.out.contains("area_cm2      99     10"),
        "{}",
        run.out
    );
    // The very same heading twice.
    let (_, run) = compare(one, "section,area_mm2,area_mm2\nLUG,1000,99\n", &[]);
    assert_eq!((run.code, run.out.as_str()), (1, "0 added, 0 gone, 0 changed, 1 unchanged\n"));
    assert!(run.err.contains("the column area_mm2 appears twice"), "{}", run.err);
}

/// A library of a hundred thousand sections, all of which have changed, and the same in another order.
#[test]
fn many_rows() {
    const MANY: usize = 100_000;
    let schedule = |order: &mut dyn Iterator<Item = usize>, more: usize| {
        let mut text = "drawing,section,area_mm2,perimeter_mm,status\n".to_owned();
        for k in order {
            text += &format!("lib/{}.dxf,PLATE {},{},{},ok\n", k / 50, k % 50, 1000 + k + more, 130 + k);
        }
        text
    };
    let before = schedule(&mut (0..MANY), 0);
    let (_, run) = compare(&before, &schedule(&mut (0..MANY).rev(), 0), &[]);
    assert_eq!((run.code, run.out.as_str()), (0, "0 added, 0 gone, 0 changed, 100000 unchanged\n"));
    let (folder, run) = compare(&before, &schedule(&mut (0..MANY + 1), 500), &["-o", "changes.csv"]);
    assert_eq!((run.code, run.err.as_str()), (1, ""));
    assert!(run.out.ends_with("\n1 added, 0 gone, 100000 changed (100000 values), 0 unchanged\n"));
    assert_eq!(folder.read("changes.csv").lines().count(), MANY + 2);
}
