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
                    (column, text(cell))
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
        (vec!["sheet", "two.dxf", "-o", "sheet.docx"], ".html, .svg and .png"),
        (vec!["sheet", "two.dxf", "-o", "a.svg"], "choose it by --section; there are: A, B"),
        (vec!["sheet", "two.dxf", "-o", "a.html", "--section", "C"], "no section “C”; there are: A, B"),
        (vec!["sheet", "none.dxf", "-o", "a.html"], "cannot open none.dxf"),
        (vec!["mark", "two.dxf", "-o", "two.dxf"], "is the drawing two.dxf"),
        (vec!["mark", "two.dxf", "-o", "marks.csv"], "does not end in .dxf"),
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
fn the_picture_in_the_readme_is_what_the_program_draws() {
    let folder = Folder::with(&[]);
    let run = folder.run(&["sheet", &fixture("jib-bracket.dxf"), "-o", "bracket.svg"]);
    assert_eq!((run.code, run.err.as_str()), (0, ""));
    let drawn = folder.read("bracket.svg");
    let kept = concat!(env!("CARGO_TARGET_TMPDIR"), "/jib-bracket.svg");
    std::fs::write(kept, &drawn).unwrap();
    assert!(drawn == common::file("shared/pictures/jib-bracket.svg"), "it must be as {kept}");
}
