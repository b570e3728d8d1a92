//! The program run on job files: sections of several layers and materials, pieces, voids.

use crate::run;

use std::collections::BTreeMap;
use std::f64::consts::PI;

use run::{Folder, rows};

const DRAWING: &str = include_str!("../fixtures/crane-runway.dxf");
const JOB: &str = include_str!("../fixtures/crane-runway.toml");

fn folder() -> Folder {
    Folder::with(&[("crane-runway.dxf", DRAWING), ("crane-runway.toml", JOB)])
}

fn number(row: &BTreeMap<String, String>, heading: &str) -> f64 {
    row[heading].parse().unwrap_or_else(|_| panic!("{heading}: {:?}", row[heading]))
}

fn near(found: f64, expected: f64) {
    assert!((found - expected).abs() <= 1e-11 * expected.abs().max(1e-3), "{found} for {expected}");
}

/// Area, ∬y dA and ∬y² dA about the bottom of the girder, by hand: rectangles b × h whose bottom is at y, and discs.
fn about_bottom(parts: &[(f64, f64, f64, f64)], discs: &[(f64, f64, f64)]) -> [f64; 3] {
    let mut sums = [0.0; 3];
    let mut add = |weight: f64, area: f64, center: f64, own: f64| {
        sums[0] += weight * area;
        sums[1] += weight * area * center;
        sums[2] += weight * (own + area * center * center);
    };
    for &(weight, b, h, y) in parts {
        add(weight, b * h, y + 0.5 * h, b * h * h * h / 12.0);
    }
    for &(weight, r, y) in discs {
        add(weight, PI * r * r, y, PI * r.powi(4) / 4.0);
    }
    sums
}

/// Plates less the two holes and the half of the notch that lies over the flange.
const GIRDER: [(f64, f64, f64, f64); 4] =
    [(1.0, 240.0, 20.0, 0.0), (1.0, 12.0, 460.0, 20.0), (1.0, 300.0, 20.0, 480.0), (-1.0, 10.0, 10.0, 5.0)];
const HOLES: [(f64, f64, f64); 2] = [(-1.0, 6.0, 10.0), (-1.0, 6.0, 10.0)];

#[test]
fn a_girder_alone_and_with_its_deck() {
    let folder = folder();
    let run =
        folder.run(&["schedule", "--job", "crane-runway.toml", "--digits", "full", "--pieces", "pieces.csv"]);
    assert_eq!(run.code, 0, "{}", run.err);
    let sections = rows(&run.out);
    assert_eq!(
        sections.iter().map(|r| r["section"].as_str()).collect::<Vec<_>>(),
        ["girder", "girder with deck"]
    );

    let [area, first, second] = about_bottom(&GIRDER, &HOLES);
    near(number(&sections[0], "area_mm2"), area);
    near(number(&sections[0], "centroid_y_mm"), first / area);
    near(number(&sections[0], "second_moment_x_mm4"), second - first * first / area);
    near(number(&sections[0], "mass_per_length_kg_per_m"), area * 7850e-6);
    assert_eq!((sections[0]["parts"].as_str(), sections[0]["holes"].as_str()), ("1", "2"));
    assert!(number(&sections[0], "plastic_modulus_x_mm3") > 0.0);

    let ratio = 33_000.0 / 210_000.0;
    let mut parts = GIRDER.to_vec();
    parts.push((ratio, 1200.0, 150.0, 500.0));
    let [transformed, first, second] = about_bottom(&parts, &HOLES);
    near(number(&sections[1], "area_mm2"), transformed);
    near(number(&sections[1], "centroid_y_mm"), first / transformed);
    near(number(&sections[1], "second_moment_x_mm4"), second - first * first / transformed);
    near(number(&sections[1], "stated_second_moment_x_mm4"), second);
    near(number(&sections[1], "mass_per_length_kg_per_m"), area * 7850e-6 + 1200.0 * 150.0 * 2500e-6);
    assert_eq!(sections[1]["plastic_modulus_x_mm3"], "");
    assert!(sections[1]["findings"].contains("modular ratios"));
    assert!(number(&sections[1], "strip_check") <= 1e-8);

    let pieces = rows(&folder.read("pieces.csv"));
    let girder: Vec<_> = pieces.iter().filter(|p| p["section"] == "girder").collect();
    assert_eq!(girder.iter().filter(|p| p["kind"] == "solid").count(), 3);
    assert_eq!(girder.iter().filter(|p| p["kind"] == "void").count(), 3);
    // The notch reaches 10 × 10 past the flange.
    near(number(girder[0], "shared_area_mm2"), -100.0);
}

#[test]
fn the_command_line_goes_before_the_job() {
    let folder = folder();
    let job = JOB.replace("crane-runway.dxf", "elsewhere.dxf");
    std::fs::write(folder.path().join("other.toml"), job).unwrap();
    let run = folder.run(&["schedule", "--job", "other.toml"]);
    assert_eq!(run.code, 1);
    assert!(run.err.contains("elsewhere.dxf"), "{}", run.err);
    let run = folder.run(&["schedule", "--job", "other.toml", "crane-runway.dxf", "--units", "cm"]);
    assert_eq!(run.code, 0, "{}", run.err);
    assert!(run.out.starts_with("drawing,") && run.out.contains("area_cm2"));
}

#[test]
fn a_job_that_is_wrong_says_where() {
    let folder = folder();
    for (from, to, words) in [
        ("\"steel\"\nmaterials", "\"stele\"\nmaterials", vec!["line 15", "stele", "aluminium"]),
        ("void", "hole", vec!["line 8", "hole"]),
        ("about = [0, 0]", "about = [0]", vec!["line 17"]),
    ] {
        std::fs::write(folder.path().join("wrong.toml"), JOB.replacen(from, to, 1)).unwrap();
        let run = folder.run(&["schedule", "--job", "wrong.toml"]);
        assert_eq!(run.code, 2, "{}", run.err);
        for word in words {
            assert!(run.err.contains(word), "{word}: {}", run.err);
        }
    }
    let run = folder.run(&["schedule", "--job", "missing.toml"]);
    assert!(run.code == 2 && run.err.contains("missing.toml"));
    let run = folder.run(&["schedule", "--job", "crane-runway.toml", "--layers", "A"]);
    assert_eq!(run.code, 2);
}

/// The sheet and the marks of what a job composes.
#[test]
fn sheets_and_marks_of_a_job() {
    let folder = folder();
    let run = folder.run(&["sheet", "--job", "crane-runway.toml", "--strips", "64", "-o", "sheet.html"]);
    assert_eq!((run.code, run.err.as_str()), (0, ""));
    let page = folder.read("sheet.html");
    assert!(page.contains("girder with deck") && page.contains("C30/37") && page.contains("Modular ratio"));
    // Each material is worked by strips of both kinds, and the sums of all end in the section's figures.
    assert_eq!(
        page.matches("more and more strips of equal width").count(),
        3,
        "the girder, and both materials of the girder with deck"
    );
    let (_, together) = page.split_once("All materials together").expect("the sums of both materials");
    let text: String =
        together.split('<').filter_map(|part| part.split_once('>')).map(|(_, text)| text).collect();
    let row = &rows(&folder.run(&["schedule", "--job", "crane-runway.toml"]).out)[1];
    for heading in ["area_mm2", "second_moment_x_mm4", "second_moment_y_mm4"] {
        assert!(text.contains(&row[heading]), "{heading} {}: {text}", row[heading]);
    }
    let run = folder.run(&["sheet", "--job", "crane-runway.toml", "--section", "girder", "-o", "girder.svg"]);
    assert_eq!(run.code, 0, "{}", run.err);
    let run = folder.run(&["mark", "--job", "crane-runway.toml", "-o", "marked.dxf"]);
    assert_eq!(run.code, 0, "{}", run.err);
    assert!(folder.read("marked.dxf").contains("MARK-OUTLINE-girder with deck"));
    let before = folder.read("crane-runway.dxf");
    for (arguments, words) in [
        (&["sheet", "-o", "s.html"][..], "DRAWING"),
        (&["sheet", "--job", "crane-runway.toml", "--section", "deck", "-o", "s.html"], "no section “deck”"),
        (&["mark", "--job", "crane-runway.toml", "-o", "crane-runway.dxf"], "is the drawing"),
        (&["sheet", "--job", "crane-runway.toml", "--layers", "A", "-o", "s.html"], "--layers"),
    ] {
        let run = folder.run(arguments);
        assert!(run.code == 2 && run.err.contains(words), "{arguments:?}: {}", run.err);
    }
    assert_eq!(folder.read("crane-runway.dxf"), before);
}

/// Voids are pieces of the bodies that they lie over, and moments of pieces times their ratios sum to the section's.
#[test]
fn pieces_of_several_materials() {
    let folder = folder();
    let run =
        folder.run(&["schedule", "--job", "crane-runway.toml", "--digits", "full", "--pieces", "pieces.csv"]);
    let section = &rows(&run.out)[1];
    let pieces = rows(&folder.read("pieces.csv"));
    let deck: Vec<_> = pieces.iter().filter(|piece| piece["section"] == "girder with deck").collect();
    assert_eq!(deck.iter().filter(|p| p["kind"] == "void" && p["material"] == "C30/37").count(), 0);
    let sum = |key: &str| deck.iter().map(|p| number(p, "modular_ratio") * number(p, key)).sum::<f64>();
    // The notch reaches 10 × 10 past the flange.
    near(sum("area_mm2") + 100.0, number(section, "area_mm2"));
    // Below and above the neutral axis first moments are as large, the notch's part apart.
    let first: f64 = deck.iter().map(|p| number(p, "first_moment_x_mm3")).sum();
    let beyond = 100.0 * (10.0 - number(section, "centroid_y_mm"));
    assert!((first + beyond).abs() <= 1e-6, "{first} {beyond}");
    let deck_alone = deck.iter().find(|p| p["material"] == "C30/37").expect("a deck");
    let moment = 33.0 / 210.0 * 180_000.0 * (575.0 - number(section, "centroid_y_mm"));
    near(number(deck_alone, "first_moment_x_mm3"), moment);
}

/// A plate named DECK, 100 wide and so thick.
fn deck(thickness: f64) -> String {
    format!(
        "0\nSECTION\n2\nENTITIES\n0\nLWPOLYLINE\n8\nDECK\n90\n4\n70\n1\n10\n0\n20\n0\n10\n100\n20\n0\n10\n100\n20\n{thickness}\n10\n0\n20\n{thickness}\n0\nENDSEC\n0\nEOF\n"
    )
}

fn areas(csv: &str) -> Vec<(String, String)> {
    rows(csv).iter().map(|row| (row["section"].clone(), row["area_mm2"].clone())).collect()
}

/// What a job takes from its drawings is remembered like whole drawings, and stands in the order of the job.
#[test]
fn a_ledger_for_a_job() {
    let folder = Folder::with(&[("a.dxf", &deck(10.0)), ("b.dxf", &deck(20.0))]);
    let job = "drawing = \"a.dxf\"\n[[section]]\nname = \"z\"\nsolid = [\"DECK\"]\n\
               [[section]]\nname = \"m\"\ndrawing = \"b.dxf\"\nsolid = [\"DECK\"]\n\
               [[section]]\nname = \"a\"\nsolid = [\"DECK\"]\nmaterial = \"steel\"\n";
    folder.write("deck.toml", job);
    let arguments = ["schedule", "--job", "deck.toml", "--ledger", "shop.ledger", "--summary"];
    let named = |areas: [&str; 3]| -> Vec<(String, String)> {
        ["z", "m", "a"].iter().zip(areas).map(|(name, area)| ((*name).to_owned(), area.to_owned())).collect()
    };
    let first = folder.run(&arguments);
    assert_eq!((first.code, areas(&first.out)), (0, named(["1000", "2000", "1000"])), "{}", first.err);
    assert!(first.err.contains("2 drawings with 3 sections") && !first.err.contains("unchanged"));
    let again = folder.run(&arguments);
    assert!(again.err.contains("2 unchanged") && again.out == first.out, "{}", again.err);
    assert_eq!(folder.run(&arguments[..3]).out, first.out, "with a ledger or without");
    // A drawing changes: what stands in the other is not measured again.
    folder.write("b.dxf", deck(35.5));
    let changed = folder.run(&arguments);
    assert_eq!(areas(&changed.out), named(["1000", "3550", "1000"]));
    assert!(changed.err.contains("1 unchanged"), "{}", changed.err);
    // Another job of the same name is another; so is one drawing in the place of those that it names.
    folder.write("deck.toml", job.replace("material = \"steel\"", "density = 7850"));
    let other = folder.run(&arguments);
    assert!(!other.err.contains("unchanged") && rows(&other.out)[2]["mass_per_length_kg_per_m"] == "7.85");
    let one = folder.run(&[&arguments[..], &["b.dxf"]].concat());
    assert_eq!(areas(&one.out), named(["3550", "3550", "3550"]));
    assert!(!one.err.contains("unchanged"), "{}", one.err);
    // The same ledger knows whole drawings too.
    let whole = folder.run(&["schedule", "a.dxf", "--ledger", "shop.ledger"]);
    assert_eq!(areas(&whole.out), [("DECK".to_owned(), "1000".to_owned())]);
    // A drawing is gone: its sections say so, and the others stand.
    std::fs::remove_file(folder.path().join("b.dxf")).unwrap();
    let gone = folder.run(&arguments);
    assert_eq!((gone.code, areas(&gone.out)), (1, named(["1000", "", "1000"])), "{}", gone.err);
    assert!(gone.err.contains("section m: not measured") && gone.err.contains("1 vanished"), "{}", gone.err);
}

/// Sections of several drawings keep the order of the job, with their pieces, whatever the number of threads.
#[test]
fn pieces_in_the_order_of_the_job() {
    let folder = Folder::with(&[("a.dxf", &deck(10.0)), ("b.dxf", &deck(20.0))]);
    let section = |name: &str, drawing: &str| {
        format!("[[section]]\nname = \"{name}\"\ndrawing = \"{drawing}.dxf\"\nsolid = [\"DECK\"]\n")
    };
    let names = ["k", "c", "x", "b"];
    let job: String = names.iter().zip(["a", "b", "a", "b"]).map(|(name, of)| section(name, of)).collect();
    folder.write("deck.toml", job);
    for jobs in ["1", "4"] {
        let run = folder.run(&["schedule", "--job", "deck.toml", "--jobs", jobs, "--pieces", "pieces.csv"]);
        let of = |csv: &str| rows(csv).iter().map(|row| row["section"].clone()).collect::<Vec<_>>();
        assert_eq!(
            (of(&run.out), of(&folder.read("pieces.csv"))),
            (names.map(str::to_owned).to_vec(), names.map(str::to_owned).to_vec())
        );
    }
    // Two drawings on the command line: which is meant is not known.
    let run = folder.run(&["schedule", "--job", "deck.toml", "a.dxf", "b.dxf"]);
    assert_eq!((run.code, rows(&run.out).len()), (1, 4), "{}", run.err);
    assert!(rows(&run.out).iter().all(|row| row["status"] == "failed"), "{}", run.out);
}

/// What a job composes of a drawing's layers, piece by piece, before anything is trusted.
#[test]
fn inspect_shows_what_a_job_composes() {
    let folder = folder();
    let run = folder.run(&["inspect", "--job", "crane-runway.toml"]);
    assert_eq!(run.code, 0, "{}", run.err);
    for part in ["section girder with deck: layer ", "solid of C30/37, modular ratio 0.157", "hole of steel"]
    {
        assert!(run.out.contains(part), "{part}: {}", run.out);
    }
    let run = folder.run(&["inspect", "--job", "crane-runway.toml", "crane-runway.dxf", "--json"]);
    let report: serde_json::Value = serde_json::from_str(&run.out).expect("JSON");
    let names: Vec<&str> =
        report["sections"].as_array().unwrap().iter().map(|s| s["section"].as_str().unwrap()).collect();
    assert_eq!(names, ["girder", "girder with deck"]);
    let pieces = report["sections"][1]["pieces"].as_array().unwrap();
    let area: f64 = pieces
        .iter()
        .map(|p| {
            let sign = if p["solid"] == true { 1.0 } else { -1.0 };
            sign * p["area"].as_f64().unwrap() * p["modular_ratio"].as_f64().unwrap()
        })
        .sum();
    let run = folder.run(&["schedule", "--job", "crane-runway.toml", "--digits", "full"]);
    // The notch reaches 10 × 10 past the flange.
    near(area + 100.0, number(&rows(&run.out)[1], "area_mm2"));
    // A name that no layer has.
    folder.write("wrong.toml", JOB.replace("\"DECK\"", "\"DEKC\""));
    let run = folder.run(&["inspect", "--job", "wrong.toml"]);
    assert!(run.code == 1 && run.out.contains("DEKC"), "{} {}", run.code, run.out);
    for (arguments, words) in [
        (&["inspect", "--job", "none.toml"][..], "cannot read the job"),
        (&["inspect"], "DRAWING"),
        (&["inspect", "--job", "crane-runway.toml", "none.dxf"], "none.dxf"),
    ] {
        let run = folder.run(arguments);
        assert!(run.code == 2 && run.err.contains(words), "{arguments:?}: {} {}", run.code, run.err);
    }
}

/// A layer under solid and under void: by its name in both it can't be told what is meant; a name goes before a pattern.
#[test]
fn layers_that_are_solid_and_void() {
    let plate = |layer: &str, x: i32, width: i32| {
        format!(
            "0\nLWPOLYLINE\n8\n{layer}\n90\n4\n70\n1\n10\n{x}\n20\n0\n10\n{}\n20\n0\n10\n{}\n20\n20\n10\n{x}\n20\n20\n",
            x + width,
            x + width
        )
    };
    let drawing = format!(
        "0\nSECTION\n2\nENTITIES\n{}{}0\nENDSEC\n0\nEOF\n",
        plate("CUT PLATE", 0, 100),
        plate("CUT SLOT", 40, 10)
    );
    let folder = Folder::with(&[("cut.dxf", &drawing)]);
    let run = |solid: &str, void: &str| {
        folder.write(
            "cut.toml",
            format!("drawing = \"cut.dxf\"\n[[section]]\nname = \"p\"\nsolid = [{solid}]\nvoid = [{void}]\n"),
        );
        let run = folder.run(&["schedule", "--job", "cut.toml"]);
        let row = rows(&run.out).remove(0);
        (run.code, row["area_mm2"].clone(), row["findings"].clone())
    };
    let (code, area, findings) = run("\"CUT PLATE\"", "\"CUT*\"");
    assert_eq!((code, area.as_str()), (0, "1800"), "{findings}");
    assert_eq!(run("\"CUT*\"", "\"CUT SLOT\"").1, "1800");
    let (code, area, findings) = run("\"CUT PLATE\", \"CUT SLOT\"", "\"cut slot\"");
    assert_eq!((code, area.as_str()), (1, ""));
    assert!(findings.contains("layer CUT SLOT is named both under solid and under void"), "{findings}");
    // Two names of one material are one body: nothing is transformed, and no overlap is told.
    folder.write(
        "cut.toml",
        "drawing = \"cut.dxf\"\n[[section]]\nname = \"p\"\nsolid = [\"CUT PLATE\", \"CUT SLOT\"]\n\
         materials = { \"CUT PLATE\" = \"Steel\", \"CUT SLOT\" = \"steel\" }\n",
    );
    let row = rows(&folder.run(&["schedule", "--job", "cut.toml"]).out).remove(0);
    assert!(row["area_mm2"] == "2000" && !row["findings"].contains("transformed"), "{}", row["findings"]);
}
