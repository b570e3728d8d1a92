//! The sheet as people get it: its figures are the schedule's, whatever is drawn, and nothing in a drawing becomes markup.

use crate::common;
use crate::run;

use common::draw::{drawing, lwpolyline};
use run::{Folder, fixture, rows};

/// Text of an element's content without tags, references resolved.
fn text(markup: &str) -> String {
    let mut out = String::new();
    let mut within = false;
    for letter in markup.chars() {
        match letter {
            '<' => within = true,
            '>' => within = false,
            _ if !within => out.push(letter),
            _ => {}
        }
    }
    [("&lt;", "<"), ("&gt;", ">"), ("&quot;", "\""), ("&#39;", "'"), ("&amp;", "&")]
        .iter()
        .fold(out, |text, (from, to)| text.replace(from, to))
}

/// Figures of the results table of each section of a page, by column.
fn results(page: &str) -> Vec<Vec<(String, String)>> {
    page.split("<article ")
        .skip(1)
        .map(|article| {
            article
                .split("<tr data-column=\"")
                .skip(1)
                .map(|row| {
                    let column = row.split('"').next().unwrap().to_owned();
                    let cell = row.split("<td class=\"n\">").nth(1).unwrap().split("</td>").next().unwrap();
                    (column, text(cell).replace('−', "-"))
                })
                .collect()
        })
        .collect()
}

#[test]
fn every_figure_is_the_schedules() {
    let folder = Folder::with(&[]);
    let mut compared = 0;
    for (name, options) in [
        ("jib-bracket.dxf", vec!["--density", "7850"]),
        ("imperial.dxf", vec!["--units", "in", "--digits", "8"]),
        ("rail-clamp.dxf", vec!["--per", "part", "--thickness", "12"]),
        ("half-ellipse.dxf", vec!["--units", "cm"]),
    ] {
        let path = fixture(name);
        let schedule = folder.run(&[&["schedule", &path], &options[..]].concat());
        let sheet = folder.run(&[&["sheet", &path, "-o", "sheet.html"], &options[..]].concat());
        assert_eq!(sheet.code, schedule.code, "{name}: {}", sheet.err);
        let results = results(&folder.read("sheet.html"));
        let rows = rows(&schedule.out);
        assert_eq!(results.len(), rows.len(), "{name}");
        for (row, figures) in rows.iter().zip(results) {
            for (column, figure) in figures {
                if column == "strip_check" {
                    assert!(figure.starts_with("agree to 1") && figure.ends_with(" digits"), "{figure}");
                    continue;
                }
                let cell = row.iter().find(|(heading, _)| {
                    heading.as_str() == column
                        || heading.strip_prefix(column.as_str()).is_some_and(|unit| {
                            unit.starts_with('_') && !unit[1..].contains('_') || unit == "_kg_per_m"
                        })
                });
                assert_eq!(cell.map(|(_, cell)| cell), Some(&figure), "{name}: {column}");
                compared += 1;
            }
        }
    }
    assert!(compared > 100, "{compared} figures");
}

#[test]
fn nothing_in_a_drawing_becomes_markup() {
    let hostile = "<script>alert(1)</script>\"'&amp;";
    let square =
        |layer: &str, x: f64| lwpolyline(layer, &[[x, 0.0, 0.0], [x + 9.0, 1.0, 0.0], [x + 4.0, 7.0, 0.0]]);
    let long = "l".repeat(300);
    let entities =
        square(hostile, 0.0) + &square("مقطع", 20.0) + &square(&long, 40.0) + &square("=cmd()", 60.0);
    let folder = Folder::with(&[("<img src=x onerror=alert(1)>.dxf", &drawing(4, "", &entities))]);
    let run =
        folder.run(&["sheet", "<img src=x onerror=alert(1)>.dxf", "-o", "sheet.html", "--density", "7850"]);
    assert_eq!((run.code, run.err.as_str()), (0, ""));
    let page = folder.read("sheet.html");
    for tag in ["<script", "<img"] {
        assert!(!page.contains(tag), "{tag}");
    }
    assert!(page.contains("&lt;script&gt;") && page.contains(&long) && page.contains("مقطع"));
}

#[test]
fn the_table_of_edges_is_headed_in_words() {
    let folder = Folder::with(&[]);
    let run = folder.run(&["sheet", &fixture("jib-bracket.dxf"), "-o", "sheet.html"]);
    assert_eq!((run.code, run.err.as_str()), (0, ""));
    let page = folder.read("sheet.html");
    let edges = page.split("<caption>Edges, the solid on their left</caption>").nth(1).unwrap();
    let heads = edges.split("</thead>").next().unwrap();
    assert_eq!(text(heads.split("</th>").next().unwrap()), "Edge");
}

#[test]
fn what_cannot_be_written_is_said() {
    let folder = Folder::with(&[(
        "two.dxf",
        &drawing(
            4,
            "",
            &(lwpolyline("A", &[[0.0, 0.0, 0.0], [9.0, 1.0, 0.0], [4.0, 7.0, 0.0]])
                + &lwpolyline("B", &[[20.0, 0.0, 0.0], [29.0, 1.0, 0.0], [24.0, 9.0, 0.0]])),
        ),
    )]);
    let run = folder.run(&["sheet", "two.dxf", "-o", "both.html", "--thickness", "10mm"]);
    assert_eq!(run.code, 0, "{}", run.err);
    // Half of 9 · 7 − 1 · 4, and half of 9 · 9 − 1 · 4.
    let page = folder.read("both.html");
    let (_, total) = page.split_once("<p>Total: ").expect("totals");
    assert!(total.starts_with("2 sections (2 ok): parts 2, area 68 mm²"), "{}", &total[..200]);
    std::fs::remove_file(folder.path().join("both.html")).unwrap();
    for (arguments, said) in [
        (vec!["sheet", "two.dxf", "-o", "sheet.docx"], ".html, .pdf, .svg or .png"),
        (vec!["sheet", "two.dxf", "-o", "a.svg"], "choose it with --section; its sections are: A, B"),
        (
            vec!["sheet", "two.dxf", "-o", "a.html", "--section", "C"],
            "no section “C”; its sections are: A, B",
        ),
        (vec!["sheet", "none.dxf", "-o", "a.html"], "there is no file none.dxf"),
        (vec!["mark", "two.dxf", "-o", "two.dxf"], "is the drawing two.dxf"),
        (vec!["mark", "two.dxf", "-o", "marks.csv"], "must end in .dxf"),
    ] {
        let run = folder.run(&arguments);
        assert_eq!(run.code, 2, "{arguments:?}");
        assert!(run.err.contains(said), "{arguments:?}: {}", run.err);
    }
    for arguments in [
        ["sheet", "two.dxf", "-o", "b.svg", "--section", "b"],
        ["sheet", "two.dxf", "-o", "b.png", "--section", "B"],
        ["mark", "two.dxf", "-o", "b.dxf", "--section", "B"],
    ] {
        let run = folder.run(&arguments);
        assert_eq!((run.code, run.err.as_str()), (0, ""), "{arguments:?}");
    }
    assert!(folder.read("b.svg").starts_with("<svg") && folder.read("b.dxf").contains("MARK-OUTLINE-B"));
}

#[test]
fn the_pictures_in_the_documents_are_what_the_program_draws() {
    let folder = Folder::with(&[]);
    for (picture, drawing, section) in [
        ("shared/pictures/jib-bracket.svg", "jib-bracket.dxf", "JIB BRACKET"),
        ("docs/gantry-end-plate.svg", "gantry-end-plate.dxf", "PLATE"),
    ] {
        let date = ["--date", "2026-12-01"];
        let arguments = ["sheet", &fixture(drawing), "--section", section, "-o", "picture.svg"];
        let run = folder.run(&[&arguments[..], &date].concat());
        assert_eq!((run.code, run.err.as_str()), (0, ""), "{drawing}");
        let drawn = folder.read("picture.svg");
        let (_, name) = picture.rsplit_once('/').unwrap();
        let kept = format!("{}/{name}", env!("CARGO_TARGET_TMPDIR"));
        std::fs::write(&kept, &drawn).unwrap();
        assert!(drawn == common::file(picture), "{picture} must be as {kept}");
    }
}

/// The letters that a sheet gives to figures: for each article its name, and for each figure column, value, letter of the
/// European code and of the American manual.
fn lettered(page: &str) -> Vec<(String, Vec<[String; 4]>)> {
    let articles = page.split("<article ").skip(1);
    let row = |row: &str| {
        let cells: Vec<String> = row.split("<td").skip(1).map(|cell| text(&format!("<td{cell}"))).collect();
        let column = row.split('"').next().unwrap().to_owned();
        [column, cells[0].replace('−', "-"), cells[3].clone(), cells[4].clone()]
    };
    articles
        .map(|article| {
            let name = text(article.split("<h2>").nth(1).unwrap().split("</h2>").next().unwrap());
            let rows = article.split("<tr data-column=\"").skip(1);
            (name, rows.map(|part| row(part.split("</tr>").next().unwrap())).collect())
        })
        .collect()
}

/// Printed tables say which axis is y-y: drawn upright, lying and turned, the letter stands at the printed value.
#[test]
fn letters_of_the_codes_stand_at_the_printed_values() {
    let outlines = common::file("shared/check-values/rolled_outlines.jsonl");
    let printed = common::table("shared/check-values/rolled_shapes.csv");
    let mut compared = 0;
    for degrees in [0.0_f64, 90.0, 27.0] {
        let (sine, cosine) = degrees.to_radians().sin_cos();
        let mut layers = [String::new(), String::new()];
        for line in outlines.lines() {
            let shape: serde_json::Value = serde_json::from_str(line).unwrap();
            // Hollow and round sections have no flanges that tell their axes apart, or one loop more.
            if shape["loops"].as_array().unwrap().len() != 1 {
                continue;
            }
            let corners: Vec<[f64; 3]> = serde_json::from_value(shape["loops"][0].clone()).unwrap();
            let turned =
                corners.iter().map(|[x, y, bulge]| [x * cosine - y * sine, x * sine + y * cosine, *bulge]);
            let turned: Vec<[f64; 3]> = turned.collect();
            let inches = usize::from(shape["unit"] == "in");
            layers[inches] += &lwpolyline(shape["id"].as_str().unwrap(), &turned);
        }
        for (unit, code, wanted) in [(0, 4, "cm"), (1, 1, "in")] {
            let folder = Folder::with(&[("rolled.dxf", &drawing(code, "", &layers[unit]))]);
            let run = folder.run(&["sheet", "rolled.dxf", "--full", "--units", wanted, "-o", "sheet.html"]);
            assert_eq!(run.code, 0, "{}", run.err);
            for (name, rows) in lettered(&folder.read("sheet.html")) {
                let table = printed.iter().find(|row| row["id"] == name).unwrap();
                let of = |letter: &str, place: usize| {
                    let row = rows.iter().find(|row| row[place] == letter)?;
                    Some(row[1].parse::<f64>().unwrap())
                };
                let is_angle = table["kind"].contains("L") && !table["kind"].contains("PL")
                    || table["kind"].starts_with("ISA");
                let turned_angle = degrees == 27.0 && is_angle;
                let letters = if turned_angle {
                    [("I", "u", "w", "pub_I_u"), ("I", "v", "z", "pub_I_v")]
                } else {
                    [("I", "y", "x", "pub_I_maj"), ("I", "z", "y", "pub_I_min")]
                };
                for (letter, european, american, column) in letters {
                    if degrees == 27.0 {
                        let about_x = rows.iter().find(|row| row[0] == "second_moment_x").unwrap();
                        assert_eq!(
                            [&*about_x[2], &*about_x[3]],
                            ["–", "–"],
                            "{name}: letters for axes that are none"
                        );
                    }
                    let Ok(value) = table[column].parse::<f64>() else { continue };
                    for (place, axis) in [(2, european), (3, american)] {
                        let found = of(&format!("{letter}{axis}"), place);
                        let found = found
                            .unwrap_or_else(|| panic!("{name} at {degrees}: no {letter}{axis}: {rows:?}"));
                        // Some printed values differ by some percent from the printed dimensions; other axes by far more.
                        let off = (found / value - 1.0).abs();
                        assert!(off < 0.08, "{name} at {degrees}: {letter}{axis} {found}, printed {value}");
                        compared += 1;
                    }
                }
            }
        }
    }
    assert!(compared > 250, "{compared} letters");
}

#[test]
fn what_was_not_measured_stands_on_the_sheet() {
    let folder = Folder::with(&[]);
    let sheet = |name: &str| {
        let run = folder.run(&["sheet", &fixture(name), "-o", "sheet.html"]);
        (run.code, text(&folder.read("sheet.html")), folder.read("sheet.html"))
    };
    let (code, words, _) = sheet("layer-states.dxf");
    assert_eq!(code, 0);
    assert!(words.contains("2 layers left out"), "{words}");
    for name in ["FROZEN", "OFF"] {
        assert!(words.contains(&format!("Layer {name}: it is off or frozen in the drawing")), "{name}");
    }
    let (code, words, page) = sheet("open-edge-decides.dxf");
    assert_eq!(code, 1);
    assert_eq!(page.matches("class=\"gap\"").count(), 2, "a ring around each gap");
    assert!(words.contains("gap of 0.5 mm at (15, 20)") && words.contains("gap of 0.3 mm at (185, 35)"));
    assert!(words.contains("2 not measured"), "{words}");
    // The front list says what a warning is about.
    let (_, words, _) = sheet("crossing-outlines.dxf");
    assert!(words.contains("warning"), "{words}");
}

#[test]
fn exit_codes_are_those_of_the_schedule() {
    let folder = Folder::with(&[]);
    let mut compared = 0;
    for entry in std::fs::read_dir(fixture("")).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        if !name.ends_with(".dxf") {
            continue;
        }
        let schedule = folder.run(&["schedule", &fixture(&name)]);
        let sheet = folder.run(&["sheet", &fixture(&name), "--short", "-o", "sheet.html"]);
        // A drawing without a section has a row that says so, and no sheet.
        let expected = if sheet.err.contains("tracearm: ") && sheet.code == 2 { 2 } else { schedule.code };
        assert_eq!(sheet.code, expected, "{name}: {}", sheet.err);
        compared += 1;
    }
    assert!(compared > 80, "{compared}");
}

#[test]
fn the_title_block_says_what_is_given_and_nothing_else() {
    let plate = lwpolyline("PLATE", &[[0.0, 0.0, 0.0], [90.0, 0.0, 0.0], [40.0, 70.0, 0.0]]);
    let folder = Folder::with(&[("plate.dxf", &drawing(4, "", &plate))]);
    let long = "p".repeat(500);
    for project in ["Pier 7", "</style><script>alert(1)</script>", "مشروع الجسر", "平面図", long.as_str()]
    {
        let run = folder.run(&[
            "sheet",
            "plate.dxf",
            "-o",
            "sheet.html",
            "--project",
            project,
            "--job-number",
            "4711",
            "--revision",
            "C",
            "--prepared",
            "a",
            "--checked",
            "b",
            "--approved",
            "c",
        ]);
        // A machine may have fonts, but none with these letters.
        let said = run.err.lines().filter(|line| !line.contains("no font on this machine")).count();
        assert_eq!((run.code, said), (0, 0), "{project}: {}", run.err);
        let page = folder.read("sheet.html");
        assert!(text(&page).contains(project), "{project}");
        assert!(!page.contains("<script") && page.matches("</style>").count() == 1, "{project}");
        assert!(page.contains("job 4711") && page.contains("revision C") && page.contains("counter(pages)"));
    }
    for arguments in [["--date", "yesterday"], ["--strips", "3"], ["--strips", "many"]] {
        let run = folder.run(&[&["sheet", "plate.dxf", "-o", "none.html"][..], &arguments].concat());
        assert_eq!(run.code, 2, "{arguments:?}");
        assert!(!run.err.is_empty() && !folder.path().join("none.html").exists(), "{arguments:?}");
    }
}

#[test]
fn more_and_more_strips_are_for_those_who_ask() {
    let folder = Folder::with(&[]);
    let sheet = |more: &[&str]| {
        let run = folder.run(&[&["sheet", &fixture("jib-bracket.dxf"), "-o", "sheet.html"], more].concat());
        assert_eq!(run.code, 0, "{}", run.err);
        folder.read("sheet.html")
    };
    assert!(!sheet(&[]).contains("For teaching"));
    let asked = sheet(&["--strips", "100"]);
    let table = asked.split("More and more strips: ").nth(1).unwrap();
    for count in [4, 8, 16, 32, 64, 100] {
        assert!(table.contains(&format!("<th scope=\"row\">{count}</th>")), "{count}");
    }
    assert!(!table.contains("<th scope=\"row\">128</th>"));
    // A plate has a mass; what is no rod has no mass for each length.
    let plate = sheet(&["--density", "7850", "--thickness", "10"]);
    assert!(plate.contains("mass of the plate") && !plate.contains("mass per length"));
    assert!(sheet(&["--density", "7850"]).contains("mass per length"));
}
