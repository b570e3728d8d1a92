//! The program run on job files: sections of several layers and materials, pieces, voids.

#[path = "common/run.rs"]
mod run;

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
    let run = folder.run(&["sheet", "--job", "crane-runway.toml", "-o", "sheet.html"]);
    assert_eq!((run.code, run.err.as_str()), (0, ""));
    let page = folder.read("sheet.html");
    assert!(page.contains("girder with deck") && page.contains("C30/37") && page.contains("Modular ratio"));
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
