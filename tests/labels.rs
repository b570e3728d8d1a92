//! With `--per part` what is written in the drawing names the parts.

use crate::common;
use crate::run;

use common::draw::{drawing, lwpolyline};
use run::{Folder, rows};

fn rectangle(layer: &str, x: f64, y: f64, w: f64, h: f64) -> String {
    lwpolyline(layer, &[[x, y, 0.0], [x + w, y, 0.0], [x + w, y + h, 0.0], [x, y + h, 0.0]])
}

fn text(layer: &str, x: f64, y: f64, content: &str) -> String {
    format!("0\nTEXT\n8\n{layer}\n10\n{x}\n20\n{y}\n40\n5\n1\n{content}\n")
}

/// The labels of the parts of a drawing, from left to right.
fn labels(blocks: &str, entities: &str, options: &[&str]) -> Vec<String> {
    let folder = Folder::with(&[("nest.dxf", &drawing(4, blocks, entities))]);
    let run = folder.run(&[&["schedule", "--per", "part", "nest.dxf"], options].concat());
    assert_eq!(run.code, 0, "{}", run.err);
    rows(&run.out).iter().map(|row| row["label"].clone()).collect()
}

#[test]
fn inside_goes_before_beside_and_the_inner_part_before_the_outer() {
    let parts = rectangle("CUT", 0.0, 0.0, 100.0, 80.0)
        + &rectangle("CUT", 20.0, 20.0, 60.0, 40.0)
        + &rectangle("CUT", 30.0, 30.0, 25.0, 15.0)
        + &rectangle("CUT", 140.0, 0.0, 50.0, 30.0)
        + &rectangle("CUT", 900.0, 0.0, 50.0, 30.0);
    let written = text("MARK", 5.0, 5.0, "FRAME")
        + &text("MARK", 35.0, 35.0, "CORE %%c3")
        + &text("MARK", 120.0, 20.0, "BESIDE CORE")
        + &text("MARK", 140.0, 35.0, "LUG")
        + &text("MARK", 160.0, 50.0, "FARTHER")
        + &text("MARK", 500.0, 400.0, "a title far from all");
    assert_eq!(labels("", &(parts.clone() + &written), &[]), ["FRAME", "CORE Ø3", "LUG", ""]);
    // What is written on a layer that is skipped is not told.
    assert_eq!(labels("", &(parts + &written), &["--skip", "mark"]), ["", "", "", ""]);
}

#[test]
fn several_texts_are_told_in_reading_order_and_notes_are_cut() {
    let plate = rectangle("CUT", 0.0, 0.0, 100.0, 80.0);
    let two =
        text("MARK", 60.0, 60.0, "t=12") + &text("MARK", 10.0, 20.0, "S355") + &text("0", 10.0, 60.0, "P7");
    assert_eq!(labels("", &(plate.clone() + &two), &[]), ["P7 | t=12 | S355"]);
    let many: String = (0..9).map(|k| text("0", 10.0, 70.0 - 5.0 * f64::from(k), &format!("n{k}"))).collect();
    assert_eq!(labels("", &(plate + &many), &[]), ["n0 | n1 | n2 | n3 | n4 | n5 …"]);
}

#[test]
fn formatted_aligned_and_mirrored_texts() {
    let plates = rectangle("CUT", 0.0, 0.0, 100.0, 80.0)
        + &rectangle("CUT", 200.0, 0.0, 100.0, 80.0)
        + &rectangle("CUT", 400.0, 0.0, 100.0, 80.0);
    // The middle of a centred text is its second point; the first is where it begins.
    let centred = "0\nTEXT\n8\nMARK\n10\n-70\n20\n40\n11\n50\n21\n40\n72\n1\n40\n5\n1\nW1\n";
    let long = "0\nMTEXT\n8\nMARK\n10\n250\n20\n40\n40\n5\n71\n5\n3\n{\\fArial;W2\\P\n1\nPL 10}\n";
    // In a plane whose normal points down x runs the other way.
    let mirrored = "0\nTEXT\n8\nMARK\n10\n-450\n20\n40\n40\n5\n230\n-1\n1\nW3\n";
    let written = format!("{centred}{long}{mirrored}");
    assert_eq!(labels("", &(plates + &written), &[]), ["W1", "W2 PL 10", "W3"]);
}

#[test]
fn texts_and_attributes_of_blocks() {
    let block = format!(
        "0\nBLOCK\n8\n0\n2\nLUG\n70\n2\n10\n0\n20\n0\n{}{}0\nATTDEF\n8\n0\n10\n5\n20\n15\n1\ndefault\n2\nMARK\n0\nENDBLK\n8\n0\n",
        rectangle("0", 0.0, 0.0, 50.0, 30.0),
        text("0", 5.0, 5.0, "LUG"),
    );
    let insert = |x: f64, mark: &str, flags: u8| {
        format!(
            "0\nINSERT\n8\nCUT\n2\nLUG\n66\n1\n10\n{x}\n20\n0\n0\nATTRIB\n8\nMARK\n10\n{}\n20\n15\n1\n{mark}\n2\nMARK\n70\n{flags}\n0\nSEQEND\n8\nCUT\n",
            x + 5.0
        )
    };
    let entities = insert(0.0, "L1", 0) + &insert(100.0, "hidden", 1);
    assert_eq!(labels(&block, &entities, &[]), ["L1 | LUG", "LUG"]);
}

#[test]
fn a_formula_is_written_as_text_and_without_parts_there_is_no_column() {
    let entities = rectangle("CUT", 0.0, 0.0, 100.0, 80.0) + &text("MARK", 5.0, 5.0, "=1+1");
    assert_eq!(labels("", &entities, &[]), ["'=1+1"]);
    let folder = Folder::with(&[("nest.dxf", &drawing(4, "", &entities))]);
    assert!(!folder.run(&["schedule", "nest.dxf"]).out.contains("label"));
}
