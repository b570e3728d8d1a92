//! What users get wrong, as a table: what they type, the exit code, what they are told, and that every file is still what it
//! was.

use crate::run;

use std::collections::BTreeMap;
use std::path::Path;

use run::{Folder, rows};

/// Closed rectangles (x from, x to, y from, y to) on layers, in millimetres; `more` are other entities.
fn drawing(rectangles: &[(&str, [i32; 4])], more: &str) -> String {
    let mut text =
        String::from("0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n");
    for (layer, [x0, x1, y0, y1]) in rectangles {
        text += &polyline(layer, true, &[(*x0, *y0), (*x1, *y0), (*x1, *y1), (*x0, *y1)]);
    }
    text + more + "0\nENDSEC\n0\nEOF\n"
}

fn polyline(layer: &str, closed: bool, corners: &[(i32, i32)]) -> String {
    let closed = i32::from(closed);
    let head = format!("0\nLWPOLYLINE\n8\n{layer}\n90\n{}\n70\n{closed}\n", corners.len());
    head + &corners.iter().map(|(x, y)| format!("10\n{x}\n20\n{y}\n")).collect::<String>()
}

const JOB: &str = "drawing = \"g.dxf\"\n[[section]]\nname = \"g\"\nsolid = [\"WEB\"]\n";

fn folder() -> Folder {
    let girder = drawing(&[("WEB", [10, 20, 5, 95]), ("HOLES", [12, 18, 30, 40])], "");
    let folder = Folder::with(&[
        ("g.dxf", &girder),
        ("lib/a.dxf", &girder),
        ("list.txt", "g.dxf\nlib/a.dxf\n"),
        ("job.toml", JOB),
        ("table.csv", "section,area_mm2\nWEB,900\n"),
        (
            "open.dxf",
            &drawing(
                &[("WEB", [10, 20, 5, 95])],
                &polyline("LUG", false, &[(0, 0), (40, 0), (40, 30), (0, 30)]),
            ),
        ),
        ("empty.dxf", &drawing(&[], "")),
    ]);
    assert_eq!(folder.run(&["schedule", "lib", "--ledger", "shop.ledger"]).code, 0);
    #[cfg(unix)]
    {
        std::os::unix::fs::symlink("g.dxf", folder.path().join("link.csv")).expect("a link");
        std::fs::hard_link(folder.path().join("list.txt"), folder.path().join("hard.csv")).expect("a link");
    }
    folder
}

/// Every file with what it holds, in all folders.
fn files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut found = BTreeMap::new();
    for entry in std::fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            found.extend(files(&path));
        } else {
            found.insert(path.display().to_string(), std::fs::read(&path).expect("a file"));
        }
    }
    found
}

/// What is read is never written over, whichever option names it and whatever the name.
#[test]
fn no_output_is_an_input() {
    let refused: &[(&[&str], &str)] = &[
        (&["schedule", "g.dxf", "--pieces", "g.dxf"], "--pieces g.dxf is the drawing g.dxf"),
        (&["schedule", "g.dxf", "--pieces", "./lib/../g.dxf"], "is the drawing g.dxf"),
        (&["schedule", "g.dxf", "--pieces", "G.DXF"], "is the drawing g.dxf"),
        (&["schedule", "lib", "--pieces", "lib/a.dxf"], "is the name of a drawing"),
        (&["schedule", "g.dxf", "-o", "other.dxf"], "-o other.dxf is the name of a drawing"),
        (&["schedule", "--files-from", "list.txt", "-o", "list.txt"], "is the list of drawings list.txt"),
        (&["schedule", "--files-from", "list.txt", "--ledger", "g.dxf"], "is the name of a drawing"),
        (&["schedule", "--job", "job.toml", "-o", "job.toml"], "is the job job.toml"),
        (&["schedule", "--job", "job.toml", "--pieces", "g.dxf"], "is the drawing g.dxf"),
        (
            &["schedule", "g.dxf", "-o", "p.csv", "--pieces", "./p.csv"],
            "can't be both the schedule and the pieces",
        ),
        (
            &["schedule", "g.dxf", "-o", "p.csv", "--ledger", "P.csv"],
            "can't be both the schedule and the ledger",
        ),
        (
            &["check", "g.dxf", "--against", "table.csv", "-o", "table.csv"],
            "is the table of expected values table.csv",
        ),
        (&["check", "g.dxf", "--against", "table.csv", "-o", "g.dxf"], "is the drawing g.dxf"),
        (&["check", "--job", "job.toml", "--against", "table.csv", "-o", "job.toml"], "is the job job.toml"),
        (&["compare", "table.csv", "table.csv", "-o", "TABLE.csv"], "is the schedule table.csv"),
        (&["mark", "g.dxf", "-o", "lib/../g.dxf"], "is the drawing g.dxf"),
        (&["mark", "g.dxf", "-o", "lib/a.dxf"], "was not written by tracearm mark"),
        (&["schedule", "g.dxf", "-o", "nowhere/p.csv"], "there is no folder nowhere"),
        (&["schedule", "g.dxf", "--pieces", "nowhere/p.csv"], "there is no folder nowhere"),
        (&["sheet", "g.dxf", "-o", "nowhere/p.html"], "there is no folder nowhere"),
        #[cfg(unix)]
        (&["schedule", "g.dxf", "-o", "link.csv"], "is the drawing g.dxf"),
        #[cfg(unix)]
        (&["schedule", "lib", "-o", "link.csv"], "is the name of a drawing"),
        #[cfg(unix)]
        (&["schedule", "--files-from", "list.txt", "-o", "hard.csv"], "is the list of drawings list.txt"),
    ];
    for (arguments, words) in refused {
        let folder = folder();
        let before = files(folder.path());
        let run = folder.run(arguments);
        assert_eq!((run.code, run.out.as_str()), (2, ""), "{arguments:?}: {}", run.err);
        assert!(run.err.contains(words), "{arguments:?}: {}", run.err);
        assert_eq!(files(folder.path()), before, "{arguments:?}");
    }
}

/// A drawing that a list or a folder leads to by another name ends the run before anything is replaced.
#[cfg(unix)]
#[test]
fn a_drawing_by_another_name() {
    let folder = folder();
    folder.write("plan.txt", "lib/a.dxf\nlib/b.dxf\n");
    std::fs::hard_link(folder.path().join("g.dxf"), folder.path().join("lib/b.dxf")).expect("a link");
    std::fs::hard_link(folder.path().join("g.dxf"), folder.path().join("out.csv")).expect("a link");
    let before = files(folder.path());
    for arguments in [
        &["schedule", "lib", "-o", "out.csv"][..],
        &["schedule", "--files-from", "plan.txt", "-o", "out.csv"],
    ] {
        let run = folder.run(arguments);
        assert_eq!(run.code, 2, "{arguments:?}: {}", run.err);
        assert!(run.err.contains("-o out.csv is the drawing lib/b.dxf"), "{}", run.err);
        assert_eq!(files(folder.path()), before);
    }
    let run = folder.run_with_input(&["schedule", "--files-from", "-", "-o", "out.csv"], b"lib/b.dxf\n");
    assert_eq!(run.code, 2, "{}", run.err);
    assert_eq!(files(folder.path()), before);
}

/// A pipe is refused as an output, and nobody waits for what may come through it.
#[cfg(unix)]
#[test]
fn a_pipe_is_no_output() {
    let folder = folder();
    let pipe = folder.path().join("pipe.csv");
    let made = std::process::Command::new("mkfifo").arg(&pipe).status().expect("mkfifo");
    assert!(made.success());
    let run = folder.run(&["schedule", "g.dxf", "-o", "pipe.csv"]);
    assert!(run.code == 2 && run.err.contains("not a file that can be replaced"), "{}", run.err);
}

/// A marked drawing is replaced by another; any other drawing only where that is asked for.
#[test]
fn marked_drawings_replace_each_other() {
    let folder = folder();
    assert_eq!(folder.run(&["mark", "g.dxf", "-o", "marked.dxf"]).code, 0);
    assert_eq!(folder.run(&["mark", "lib/a.dxf", "-o", "marked.dxf"]).code, 0);
    let other = folder.read("open.dxf");
    assert_eq!((folder.run(&["mark", "g.dxf", "-o", "open.dxf"]).code, folder.read("open.dxf")), (2, other));
    assert_eq!(folder.run(&["mark", "g.dxf", "-o", "open.dxf", "--overwrite"]).code, 0);
    assert!(folder.read("open.dxf").contains("MARK-CENTROID"));
    // Not even then the drawing itself.
    assert_eq!(folder.run(&["mark", "g.dxf", "-o", "g.dxf", "--overwrite"]).code, 2);
}

/// Patterns that fit no layer of any drawing: exit code 1, and the rows say so; one that fits a later drawing is none.
#[test]
fn patterns_that_fit_nothing() {
    let folder = folder();
    folder.write("lib/b.dxf", drawing(&[("WEB", [10, 20, 5, 95]), ("SLOTS", [12, 18, 50, 60])], ""));
    for (option, pattern) in [("--void-layers", "HOLE"), ("--skip", "HOLE"), ("--layers", "HOLE")] {
        let run = folder.run(&["schedule", "g.dxf", option, pattern]);
        let found = rows(&run.out);
        assert_eq!(run.code, 1, "{option}: {}", run.err);
        for row in &found {
            assert!(
                row["status"] != "ok"
                    && row["findings"].contains("no layer matches the pattern “HOLE”; perhaps HOLES"),
                "{row:?}"
            );
        }
        assert!(!found.is_empty() && run.err.contains("no layer matches “HOLE”"), "{}", run.err);
    }
    let run = folder.run(&["schedule", "lib", "--void-layers", "SLOTS"]);
    assert_eq!(run.code, 0, "{}", run.err);
    assert!(
        rows(&run.out).iter().all(|row| row["status"] != "failed" && !row["findings"].contains("pattern"))
    );
    let run = folder.run(&["schedule", "lib", "--void-layers", "NUTS"]);
    let warned = rows(&run.out).iter().filter(|row| row["findings"].contains("“NUTS”")).count();
    assert_eq!((run.code, warned), (1, rows(&run.out).len()));
    for arguments in [
        ["check", "g.dxf", "--against", "table.csv", "--skip", "NUTS"],
        ["mark", "g.dxf", "-o", "m.dxf", "--skip", "NUTS"],
        ["sheet", "g.dxf", "-o", "s.html", "--skip", "NUTS"],
    ] {
        assert_eq!(folder.run(&arguments).code, 1, "{arguments:?}");
    }
    assert!(folder.read("s.html").contains("NUTS"));
}

/// A drawing without a section, and a layer whose outline lacks its last side, have rows that say so.
#[test]
fn what_was_not_measured_has_a_row() {
    let folder = folder();
    for arguments in [&["schedule", "empty.dxf"][..], &["schedule", "g.dxf", "empty.dxf"]] {
        let run = folder.run(arguments);
        let found = rows(&run.out);
        let row = found.last().expect("a row");
        assert_eq!(
            (run.code, row["status"].as_str(), row["section"].as_str()),
            (1, "failed", ""),
            "{}",
            run.err
        );
        assert!(
            row["drawing"] == "empty.dxf"
                && row["findings"].contains("holds nothing that could be an outline")
        );
        assert_eq!((row["drawing_unit"].as_str(), row["area_mm2"].as_str()), ("mm (header)", ""));
    }
    let run = folder.run(&["schedule", "open.dxf"]);
    let found = rows(&run.out);
    assert_eq!((run.code, found.len(), found[0]["section"].as_str()), (1, 2, "LUG"), "{}", run.err);
    assert_eq!((found[0]["status"].as_str(), found[1]["status"].as_str()), ("failed", "ok"));
    assert!(
        found[0]["findings"].contains(
            "lacks its closing side: a polyline of 3 sides begins at (0, 0) and ends at (0, 30), a gap of 30 mm"
        ),
        "{}",
        found[0]["findings"]
    );
    // Round a hole it decides what that is.
    let open = polyline("LUG", false, &[(0, 0), (40, 0), (40, 30), (0, 30)]);
    let hole = "0\nCIRCLE\n8\nLUG\n10\n20\n20\n15\n40\n6\n";
    folder.write("hole.dxf", drawing(&[], &(open + hole)));
    let run = folder.run(&["schedule", "hole.dxf"]);
    let found = rows(&run.out);
    assert_eq!(
        (run.code, found[0]["status"].as_str(), found[0]["area_mm2"].as_str()),
        (1, "failed", ""),
        "{}",
        run.err
    );
    assert!(found[0]["findings"].contains("lacks its closing side"), "{}", found[0]["findings"]);
    // Two sides may be an angle, and a break line crosses itself when it is closed.
    let zigzag = [(0, 0), (10, 0), (12, 8), (14, -8), (16, 0), (30, 0)];
    for corners in [&[(0, 0), (40, 0), (40, 30)][..], &zigzag] {
        folder.write("line.dxf", drawing(&[("WEB", [10, 20, 5, 95])], &polyline("LINE", false, corners)));
        let run = folder.run(&["schedule", "line.dxf"]);
        assert_eq!((run.code, rows(&run.out).len()), (0, 1), "{}", run.err);
    }
}

/// The unit that a drawing was read in, and how it is known.
#[test]
fn the_unit_of_the_drawing() {
    let folder = folder();
    let bare = folder.read("g.dxf").replace("9\n$INSUNITS\n70\n4\n", "");
    folder.write("bare.dxf", bare);
    for (arguments, unit) in [
        (&["schedule", "g.dxf"][..], "mm (header)"),
        (&["schedule", "g.dxf", "--units", "in"], "mm (header)"),
        (&["schedule", "g.dxf", "--drawing-units", "in"], "in (stated)"),
        (&["schedule", "bare.dxf"], "mm (assumed)"),
        (&["schedule", "--job", "job.toml"], "mm (header)"),
    ] {
        let found = rows(&folder.run(arguments).out);
        assert!(!found.is_empty() && found.iter().all(|row| row["drawing_unit"] == unit), "{arguments:?}");
    }
    let found = rows(&folder.run(&["schedule", "g.dxf", "job.toml"]).out);
    assert!(found.iter().any(|row| row["drawing"] == "job.toml" && row["drawing_unit"].is_empty()));
}

/// Places are known as finely as the section is large, however far away it lies.
#[test]
fn places_far_from_the_origin() {
    let folder = folder();
    let at = |x: &str, y: &str| format!("10\n{x}\n20\n{y}\n");
    let corners = [
        ("3512345.5", "5400123.25"),
        ("3512645.5", "5400123.25"),
        ("3512645.5", "5400143.25"),
        ("3512345.5", "5400143.25"),
    ];
    let plate = format!("0\nLWPOLYLINE\n8\nPLATE\n90\n4\n70\n1\n{}", corners.map(|(x, y)| at(x, y)).concat());
    folder.write("far.dxf", drawing(&[], &plate));
    for digits in 1..=9_u8 {
        let run = folder.run(&["schedule", "far.dxf", "--digits", &digits.to_string()]);
        let row = &rows(&run.out)[0];
        let within = 300.0 * 10_f64.powi(-i32::from(digits));
        for (heading, place) in [
            ("x_min_mm", 3_512_345.5),
            ("x_max_mm", 3_512_645.5),
            ("y_max_mm", 5_400_143.25),
            ("centroid_x_mm", 3_512_495.5),
            ("plastic_axis_y_mm", 5_400_133.25),
        ] {
            let written: f64 = row[heading].parse().expect("a number");
            assert!((written - place).abs() <= within, "{digits} {heading}: {written}");
        }
    }
    let row = &rows(&folder.run(&["schedule", "far.dxf", "--pieces", "p.csv"]).out)[0];
    assert_eq!((row["x_min_mm"].as_str(), row["area_mm2"].as_str()), ("3512345.5", "6000"));
    assert_eq!(rows(&folder.read("p.csv"))[0]["centroid_y_mm"], "5400133.25");
    assert_eq!(folder.run(&["mark", "far.dxf", "-o", "m.dxf"]).code, 0);
    assert_eq!(folder.run(&["sheet", "far.dxf", "-o", "s.html"]).code, 0);
    assert!(
        folder.read("s.html").contains("5400133.25")
            || folder.read("s.html").replace("</span>", "").contains("133.25")
    );
}

/// What is no density, length, date or job is refused in plain words, with the line of a job.
#[test]
fn refused_in_plain_words() {
    let folder = folder();
    for (arguments, words) in [
        (&["schedule", "g.dxf", "--density", "-7850"][..], "use a number above 0, in kg/m³"),
        (&["schedule", "g.dxf", "--density", "7850kg"], "use kg/m3, g/cm3, t/m3, lb/ft3 or lb/in3"),
        (&["schedule", "g.dxf", "--thickness", "-3"], "use a length of 0 or more"),
        (&["schedule", "g.dxf", "--thickness", "3/0in"], "such as 0.05mm, 1/16in"),
        (&["sheet", "g.dxf", "-o", "s.html", "--date", "tomorrow"], "“tomorrow” is not a date"),
    ] {
        let run = folder.run(arguments);
        assert_eq!((run.code, run.out.as_str()), (2, ""), "{arguments:?}");
        assert!(run.err.contains(words), "{arguments:?}: {}", run.err);
    }
    for (from, to, words) in [
        ("[[section]]", "[section]", "line 2: write [[section]], with two brackets"),
        ("[\"WEB\"]", "\"WEB\"", "line 4: solid takes a list of layers: write solid = [\"WEB\"]"),
        ("[\"WEB\"]\n", "[\"WEB\"]\nvoid = 'HOLES'\n", "line 5: void takes a list of layers"),
        (
            "[\"WEB\"]\n",
            "[\"WEB\"]\nabout = [1, 2, 3]\n",
            "line 5: about takes the two coordinates of a point",
        ),
        ("[\"WEB\"]\n", "[\"WEB\"]\nabout = 7\n", "line 5: about takes the two coordinates of a point"),
        ("[\"WEB\"]\n", "[\"WEB\"]\ndensity = -7850\n", "above 0"),
        (
            "[\"WEB\"]\n",
            "[\"WEB\"]\n[[section]]\nname = \"g\"\nsolid = [\"WEB\"]\n",
            "line 5: there is another section “g”",
        ),
    ] {
        folder.write("wrong.toml", JOB.replacen(from, to, 1));
        let run = folder.run(&["schedule", "--job", "wrong.toml"]);
        assert_eq!((run.code, run.out.as_str()), (2, ""), "{to}");
        assert!(run.err.contains(words), "{to}: {}", run.err);
    }
    folder.write("two.toml", JOB.to_owned() + "material = \"steel\"\ndensity = 7800\n");
    let run = folder.run(&["schedule", "--job", "two.toml"]);
    assert!(
        run.code == 1 && run.err.contains("two densities are stated for WEB: 7850 and 7800 kg/m³"),
        "{}",
        run.err
    );
}

/// Imperial densities and lengths.
#[test]
fn pounds_and_inches() {
    let folder = folder();
    folder.write("pounds.toml", JOB.to_owned() + "density = \"490 lb/ft3\"\n");
    let mass = |arguments: &[&str]| -> f64 {
        rows(&folder.run(arguments).out)[0]["mass_per_length_kg_per_m"].parse().expect("a mass")
    };
    let wanted = 900e-6 * 490.0 * 16.018_463;
    for found in [
        mass(&["schedule", "g.dxf", "--layers", "WEB", "--density", "490lb/ft3"]),
        mass(&["schedule", "--job", "pounds.toml"]),
    ] {
        assert!((found / wanted - 1.0).abs() < 1e-5, "{found} {wanted}");
    }
    let run = folder.run(&["schedule", "g.dxf", "--thickness", "3/8\""]);
    assert_eq!(rows(&run.out)[0]["thickness_mm"], "9.525");
    // 1 ft = 0.3048 m and 1 lb = 0.453 592 37 kg (NIST SP 811, appendix B.8), in every format and read back.
    let pounds = ["--density", "490lb/ft3", "--thickness", "3/8in", "--units", "in", "--mass-units", "lb"];
    let run = folder.run(&[&["schedule", "g.dxf", "--layers", "WEB", "-o", "lb.csv"], &pounds[..]].concat());
    let row = &rows(&folder.read("lb.csv"))[0];
    let figure = |heading: &str| row[heading].parse::<f64>().expect("a figure");
    let square_feet = figure("area_in2") / 144.0;
    assert!((figure("mass_per_length_lb_per_ft") / (square_feet * 490.0) - 1.0).abs() < 1e-5, "{}", run.err);
    assert!((figure("mass_lb") / (square_feet * 490.0 * 0.375 / 12.0) - 1.0).abs() < 1e-5);
    assert!(!row.contains_key("mass_kg"));
    let kilograms = [&["schedule", "g.dxf", "--layers", "WEB", "-o", "kg.json"], &pounds[..4]].concat();
    folder.run(&kilograms);
    let run = folder.run(&["compare", "kg.json", "lb.csv"]);
    assert_eq!(run.code, 0, "{}{}", run.out, run.err);
    let check = ["check", "g.dxf", "--layers", "WEB", "--against", "lb.csv"];
    let run = folder.run(&[&check[..], &pounds[..4]].concat());
    assert!(run.code == 0 && run.out.contains("mass_per_length_lb_per_ft"), "{}{}", run.out, run.err);
    let run = folder.run(&["schedule", "g.dxf", "--mass-units", "stone"]);
    assert!(run.code == 2 && run.err.contains("use kg or lb"), "{}", run.err);
}

/// A list with comments, quotation marks and a file whose name looks like a comment.
#[test]
fn lists_with_comments_and_quotation_marks() {
    let folder = folder();
    folder.write("#1.dxf", folder.read("g.dxf"));
    folder.write(
        "list.txt",
        "# drawings of the week\n\"lib/a.dxf\" # the first\n  # none\n#1.dxf\n  g.dxf # again\n\"\"\n",
    );
    let run = folder.run(&["schedule", "--files-from", "list.txt"]);
    let mut drawings: Vec<String> = rows(&run.out).iter().map(|row| row["drawing"].clone()).collect();
    drawings.dedup();
    assert_eq!(
        (run.code, drawings),
        (0, ["lib/a.dxf", "#1.dxf", "g.dxf"].map(str::to_owned).to_vec()),
        "{}",
        run.err
    );
}

/// Densities, moduli and sizes that can hardly be meant.
#[test]
fn what_can_hardly_be_meant() {
    let folder = folder();
    let findings = |arguments: &[&str]| {
        let found = rows(&folder.run(arguments).out);
        (found[0]["status"].clone(), found[0]["findings"].clone())
    };
    let (status, words) = findings(&["schedule", "g.dxf", "--density", "7.85"]);
    assert!(status == "warning" && words.contains("7.85 g/cm³ would be 7850 kg/m³"), "{words}");
    folder.write("tall.dxf", drawing(&[("WEB", [10, 20, 5, 195])], ""));
    let (status, words) = findings(&["schedule", "tall.dxf", "--drawing-units", "m", "--density", "7850"]);
    assert!(status == "warning" && words.contains("drawn in millimetres it would be"), "{words}");
    folder.write(
        "soft.toml",
        "[materials.soft]\nmodulus = 210\n".to_owned()
            + &JOB.replace("drawing = \"g.dxf\"\n", "")
            + "material = \"soft\"\ndrawing = \"g.dxf\"\n",
    );
    let (status, words) = findings(&["schedule", "--job", "soft.toml"]);
    assert!(status == "warning" && words.contains("210 kN/mm² would be 210000 N/mm²"), "{words}");
    let (status, words) = findings(&["schedule", "g.dxf", "--layers", "WEB", "--join", "2mm"]);
    assert!(status == "warning" && words.contains("more than 1 % of the size of what is drawn"), "{words}");
    assert!(!findings(&["schedule", "g.dxf", "--layers", "WEB", "--join", "0.5mm"]).1.contains("1 %"));
}

/// `layer` lists the layers that were measured, and overlaps name theirs.
#[test]
fn layers_that_were_measured() {
    let folder = folder();
    let notes =
        "0\nTEXT\n8\nNOTES\n10\n5\n20\n5\n40\n3\n1\nweb\n0\nLINE\n8\nAXES\n10\n0\n20\n50\n11\n90\n21\n50\n";
    folder.write("two.dxf", drawing(&[("WEB", [10, 20, 5, 95]), ("FLANGE", [0, 60, 85, 105])], notes));
    let row = &rows(&folder.run(&["schedule", "two.dxf", "--per", "drawing"]).out)[0];
    assert_eq!((row["layer"].as_str(), row["area_mm2"].as_str()), ("FLANGE+WEB", "2000"));
    assert!(
        row["findings"].contains("closed outlines cross (FLANGE, WEB)")
            && row["findings"].contains("their overlap, 100 mm²,"),
        "{}",
        row["findings"]
    );
}

/// Open ends and overlaps are marked on layers of their own, also where nothing was measured.
#[test]
fn marks_of_open_ends_and_overlaps() {
    let folder = folder();
    let open = polyline("WEB", false, &[(0, 0), (80, 0), (80, 50), (0, 50), (0, 1)]);
    folder.write("gap.dxf", drawing(&[], &open));
    let run = folder.run(&["mark", "gap.dxf", "-o", "m.dxf"]);
    assert_eq!(run.code, 1, "{}", run.err);
    let marked = folder.read("m.dxf");
    assert!(marked.contains("MARK-OPEN") && marked.contains("outline-not-closed: gap 1"), "{}", run.err);
    let inspected = folder.run(&["inspect", "m.dxf"]).out;
    assert!(inspected.contains("layer MARK-OPEN: CIRCLE 2"), "{inspected}");
    folder.write("lap.dxf", drawing(&[("WEB", [10, 20, 5, 95]), ("WEB", [0, 60, 85, 105])], ""));
    assert_eq!(folder.run(&["mark", "lap.dxf", "-o", "m.dxf"]).code, 0);
    let inspected = folder.run(&["inspect", "m.dxf"]).out;
    assert!(inspected.contains("layer MARK-OVERLAP: CIRCLE 1"), "{inspected}");
    assert_eq!(folder.run(&["mark", "g.dxf", "-o", "m.dxf", "--units", "cm"]).code, 0);
    assert!(folder.read("m.dxf").contains("A = 9 cm2"), "labels have the unit that is asked for");
}

/// Outlines in holes, and outlines of one layer in another's solid, are told.
#[test]
fn what_nesting_decides() {
    let folder = folder();
    let rings = [("PLATE", [0, 100, 0, 60]), ("PLATE", [20, 50, 20, 50]), ("PLATE", [30, 40, 30, 40])];
    folder.write("sink.dxf", drawing(&rings, ""));
    let row = &rows(&folder.run(&["schedule", "sink.dxf"]).out)[0];
    assert_eq!((row["status"].as_str(), row["area_mm2"].as_str()), ("ok", "5200"));
    assert!(
        row["findings"].contains("1 outline lies in a hole and counts as solid (100 mm²)"),
        "{}",
        row["findings"]
    );
    let inspected = folder.run(&["inspect", "sink.dxf"]).out;
    for words in ["solid, area 6000", "hole, area 900", "solid, area 100"] {
        assert!(inspected.contains(words), "{words}: {inspected}");
    }
    assert!(folder.run(&["inspect", "sink.dxf", "--json"]).out.contains("\"solid\": false"));
    let bars = [("CONCRETE", [0, 100, 0, 60]), ("BARS", [10, 14, 10, 14]), ("BARS", [80, 84, 10, 14])];
    folder.write("beam.dxf", drawing(&bars, ""));
    let row = &rows(&folder.run(&["schedule", "beam.dxf", "--per", "drawing"]).out)[0];
    assert!(
        row["findings"]
            .contains("2 outlines of layer BARS count as holes in the solid of other layers (32 mm²)"),
        "{}",
        row["findings"]
    );
}

/// A text in the solid of a plate goes before one in its hole, and layers of labels leave out all others.
#[test]
fn labels_of_plates() {
    let folder = folder();
    let text = |layer: &str, x: i32, words: &str| {
        format!("0\nTEXT\n8\n{layer}\n10\n{x}\n20\n30\n40\n3\n1\n{words}\n")
    };
    let texts =
        [text("NOTES", 30, "in the hole"), text("MARKS", 70, "B7"), text("NOTES", 80, "grind")].concat();
    folder.write("plate.dxf", drawing(&[("PLATE", [0, 100, 0, 60]), ("PLATE", [20, 50, 20, 50])], &texts));
    let label = |more: &[&str]| {
        rows(&folder.run(&[&["schedule", "plate.dxf", "--per", "part"], more].concat()).out)[0]["label"]
            .clone()
    };
    assert_eq!(label(&[]), "B7 | grind");
    assert_eq!(label(&["--label-layers", "MARKS"]), "B7");
    assert_eq!(label(&["--skip", "NOTES"]), "B7");
    let hole_alone = [text("NOTES", 30, "in the hole")].concat();
    folder
        .write("plate.dxf", drawing(&[("PLATE", [0, 100, 0, 60]), ("PLATE", [20, 50, 20, 50])], &hole_alone));
    assert_eq!(label(&[]), "in the hole");
    let run = folder.run(&["schedule", "plate.dxf", "--label-layers", "MARKS"]);
    assert!(run.code == 2 && run.err.contains("--per part"), "{}", run.err);
}
