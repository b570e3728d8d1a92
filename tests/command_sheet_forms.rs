//! Sheets as papers of a project: the title block from a file, PDF, what stands beside a sheet, signs and words.

use crate::{common, run};

use common::draw::{drawing, lwpolyline};
use run::{Folder, fixture};

fn plate(layer: &str, x: f64) -> String {
    lwpolyline(layer, &[[x, 0.0, 0.0], [x + 90.0, 0.0, 0.0], [x + 40.0, 70.0, 0.0]])
}

/// A closed outline of so many straight edges.
fn ragged(edges: u32) -> String {
    let corners: Vec<[f64; 3]> = (0..edges)
        .map(|k| {
            let angle = std::f64::consts::TAU * f64::from(k) / f64::from(edges);
            let radius = 80.0 + 9.0 * (7.0 * angle).sin() + f64::from(k % 2);
            [300.0 + radius * angle.cos(), -50.0 + radius * angle.sin(), 0.0]
        })
        .collect();
    lwpolyline("RAGGED", &corners)
}

/// The text of markup without tags.
fn text(markup: &str) -> String {
    markup.split('<').filter_map(|part| part.split_once('>').map(|(_, text)| text)).collect()
}

#[test]
fn a_title_block_comes_from_a_file_and_options_go_before_it() {
    let folder = Folder::with(&[
        ("plate.dxf", &drawing(4, "", &plate("PLATE", 0.0))),
        ("title.toml", "project = \"Pier 7\"\njob-number = 4711\nrevision = \"A\"\nchecked = \"K. T.\"\n"),
        ("wrong.toml", "project = \"Pier 7\"\nrevison = \"A\"\n"),
        ("broken.toml", "project = \"Pier 7\nrevision = 2\n"),
    ]);
    let sheet = |more: &[&str]| {
        folder.run(&[&["sheet", "plate.dxf", "-o", "sheet.html", "--title-block"], more].concat())
    };
    let run = sheet(&["title.toml", "--revision", "B"]);
    assert_eq!((run.code, run.err.as_str()), (0, ""));
    let page = text(&folder.read("sheet.html"));
    for word in ["Pier 7", "4711", "K. T.", "revision B"] {
        assert!(folder.read("sheet.html").contains(word), "{word}");
    }
    assert!(!page.contains("revision A"));
    for (file, said) in [
        (
            "wrong.toml",
            "wrong.toml: a title block has no “revison”: perhaps revision is meant; its names are: project",
        ),
        ("broken.toml", "broken.toml: line 1: "),
        ("none.toml", "cannot read none.toml"),
    ] {
        let run = sheet(&[file]);
        assert_eq!(run.code, 2, "{file}");
        assert!(run.err.contains(said), "{file}: {}", run.err);
    }
    // Nothing that is read is written over.
    let run = folder.run(&["sheet", "plate.dxf", "-o", "title.html", "--title-block", "title.html"]);
    assert!(run.code == 2 && run.err.contains("the title block"), "{}", run.err);
}

#[test]
fn edges_that_are_too_many_stand_in_a_file_beside_the_sheet() {
    let folder = Folder::with(&[("ragged.dxf", &drawing(4, "", &(ragged(10_000) + &plate("PLATE", 0.0))))]);
    let run = folder.run(&["sheet", "ragged.dxf", "-o", "sheet.html", "--digits", "9"]);
    assert_eq!((run.code, run.err.as_str()), (0, ""));
    let page = text(&folder.read("sheet.html"));
    assert!(
        page.contains("Piece 1 has 10000 edges, too many for this sheet. They are listed in the file"),
        "{page}"
    );
    assert!(page.contains("sheet-edges.csv"));
    assert!(folder.read("sheet.html").len() < 400_000, "{}", folder.read("sheet.html").len());
    let table = folder.read("sheet-edges.csv");
    let mut lines = table.lines();
    assert!(lines.next().unwrap().starts_with("section,piece,edge,kind,x1_mm,y1_mm,x2_mm,y2_mm,area_mm2,"));
    let cells: Vec<Vec<&str>> = lines.map(|line| line.split(',').collect()).collect();
    assert_eq!(cells.len(), 10_000);
    let number = |row: &[&str], column: usize| row[column].parse::<f64>().unwrap();
    // Each edge begins where the one before it ends, and their areas come to that of the schedule.
    let mut area = 0.0;
    for (row, next) in cells.iter().zip(cells.iter().cycle().skip(1)) {
        assert_eq!((row[6], row[7]), (next[4], next[5]));
        let (x1, y1, x2, y2) = (number(row, 4), number(row, 5), number(row, 6), number(row, 7));
        assert!((number(row, 8) - (x1 * y2 - x2 * y1) / 2.0).abs() < 1e-9);
        area += number(row, 8);
    }
    let schedule =
        folder.run(&["schedule", "ragged.dxf", "--columns", "area", "--digits", "9", "--layers", "RAGGED"]);
    let expected: f64 = schedule.out.lines().nth(1).unwrap().parse().unwrap();
    assert!((area / expected - 1.0).abs() < 1e-8, "{area} {expected}");
    // Without such an outline, and without the working, there is no such file.
    for arguments in [&["--layers", "PLATE"][..], &["--short"]] {
        std::fs::remove_file(folder.path().join("sheet-edges.csv")).ok();
        let run = folder.run(&[&["sheet", "ragged.dxf", "-o", "sheet.html"], arguments].concat());
        assert_eq!(run.code, 0, "{}", run.err);
        assert!(!folder.path().join("sheet-edges.csv").exists(), "{arguments:?}");
    }
}

#[test]
fn fonts_of_names_are_named() {
    for (layer, font) in
        [("平面図", "Noto Sans CJK"), ("مقطع", "Noto Sans Arabic"), ("חתך", "Noto Sans Hebrew")]
    {
        let folder = Folder::with(&[("plate.dxf", &drawing(4, "", &plate(layer, 0.0)))]);
        let run = folder.run(&["sheet", "plate.dxf", "-o", "sheet.html"]);
        assert_eq!(run.code, 0, "{}", run.err);
        // A machine without that font says so too.
        assert!(run.err.is_empty() || run.err.contains(&format!("install {font}")), "{}", run.err);
        assert!(folder.read("sheet.html").contains(&format!("Some names need the font {font}")), "{layer}");
    }
    let folder = Folder::with(&[("plate.dxf", &drawing(4, "", &plate("Träger Ж", 0.0)))]);
    let run = folder.run(&["sheet", "plate.dxf", "-o", "sheet.html"]);
    assert!(run.err.is_empty() && !folder.read("sheet.html").contains("Some names need the font"));
}

/// A PDF where a Chromium is installed; else the reason and nothing written.
#[test]
fn pdf_by_a_browser_or_the_reason() {
    let sections: String = (0..5).map(|k| plate(&format!("PLATE {k}"), 200.0 * f64::from(k))).collect();
    let folder = Folder::with(&[("plates.dxf", &drawing(4, "", &sections))]);
    let run = folder.run(&["sheet", "plates.dxf", "-o", "sheet.pdf"]);
    let left: Vec<String> = std::fs::read_dir(folder.path())
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    if run.code == 2 {
        assert!(run.err.contains("Chromium") || run.err.contains("no PDF was printed"), "{}", run.err);
        assert_eq!(left, ["plates.dxf"]);
        println!("no PDF here: {}", run.err);
        return;
    }
    assert_eq!((run.code, run.err.as_str()), (0, ""));
    assert_eq!(left.len(), 2, "{left:?}");
    let pdf = std::fs::read(folder.path().join("sheet.pdf")).unwrap();
    let words = String::from_utf8_lossy(&pdf);
    let pages = words.matches("<</Type /Page\n").count();
    // The list and five sections of one page each.
    assert!(pdf.starts_with(b"%PDF-") && pages == 6, "{pages} pages");
}

/// One sign of minus and one grouping of digits, and units as a sentence has them.
#[test]
fn signs_and_units_are_the_same_everywhere() {
    let folder = Folder::with(&[]);
    let mut sheets = 0;
    for entry in std::fs::read_dir(fixture("")).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        if !name.ends_with(".dxf") {
            continue;
        }
        for units in ["mm", "in"] {
            let file = format!("{name}-{units}.html");
            let arguments =
                ["sheet", &fixture(&name), "--full", "--units", units, "--date", "2027-03-31", "-o", &file];
            if folder.run(&arguments).code == 2 {
                continue;
            }
            let page = folder.read(&file);
            let (_, page) = page.split_once("<body>").unwrap();
            sheets += 1;
            // Names and provenance are as they were given.
            let own: String = page.split("<section class=\"read\">").next().unwrap().to_owned();
            for part in own.split('<').filter_map(|part| part.split_once('>')) {
                let (tag, words) = part;
                let letters: Vec<char> = words.chars().collect();
                if tag.starts_with("bdi") || tag.starts_with("title") || tag.starts_with("code") {
                    continue;
                }
                for (k, letter) in letters.iter().enumerate() {
                    let next = letters.get(k + 1).copied().unwrap_or(' ');
                    let before = if k == 0 { ' ' } else { letters[k - 1] };
                    let is_sign = *letter == '-' && next.is_ascii_digit() && !before.is_alphanumeric();
                    assert!(!is_sign, "{name}: “{words}” has a hyphen for a minus");
                }
                let longest = words.split(|letter: char| !letter.is_ascii_digit()).map(str::len);
                let fraction = words.contains('.') || tag.starts_with("td>");
                let runs = longest.max().unwrap_or(0);
                assert!(
                    fraction || runs <= 4 || tag.starts_with("desc"),
                    "{name}: “{words}” is not in groups"
                );
            }
            let all = text(page);
            assert!(!all.contains(" in in ") && !all.contains(" in in."), "{name}");
            let all_lengths =
                if units == "in" { "All lengths in inches;" } else { "All lengths in millimetres;" };
            assert!(all.contains(all_lengths), "{name}");
            assert!(!all.contains("--"), "{name}: an option stands on the sheet");
        }
    }
    assert!(sheets > 120, "{sheets}");
}
