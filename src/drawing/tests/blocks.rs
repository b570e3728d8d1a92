//! Blocks and what refers to them.

use std::f64::consts::FRAC_PI_2;

use super::*;
use crate::finding::Code;

#[test]
fn a_block_moved_turned_and_scaled() {
    let read = with_blocks(HOLE, "0 INSERT|8 Plate|2 HOLE|10 10|20 20|41 2|42 2|50 90");
    let layer = |i: usize| read.layer(read.entities[i].layer).name.as_str();
    assert_eq!((layer(0), layer(1)), ("Plate", "Drill"));
    assert_eq!(
        read.entities[0].shape,
        Shape::Line { start: Point::new(10.0, 20.0), end: Point::new(10.0, 26.0) }
    );
    assert_eq!(read.entities[0].handle(), Some(0xE1));
    let arc = &read.entities[1].shape.curves()[0];
    near(arc.start(), 10.0, 24.0);
    near(arc.end(), 6.0, 20.0);
}

#[test]
fn a_block_mirrored_and_one_scaled_unequally() {
    let read =
        with_blocks(HOLE, "0 INSERT|2 Hole|10 10|20 20|41 -1|0 INSERT|2 Hole|10 0|20 0|41 3|42 1|50 90");
    let mirrored = &read.entities[1].shape.curves()[0];
    near(mirrored.start(), 8.0, 20.0);
    near(mirrored.end(), 10.0, 22.0);
    assert!(matches!(mirrored, Curve::Arc(arc) if (arc.sweep + FRAC_PI_2).abs() < 1e-15));
    let squeezed = &read.entities[3].shape.curves()[0];
    assert!(matches!(squeezed, Curve::Ellipse(_)));
    near(squeezed.start(), 0.0, 6.0);
    near(squeezed.end(), -2.0, 0.0);
    assert_eq!(read.entities[3].kind, EntityKind::Arc);
}

#[test]
fn a_reference_seen_from_below() {
    let read = with_blocks(HOLE, "0 INSERT|2 Hole|10 10|20 20|50 90|210 0|220 0|230 -1");
    // In its own plane the line runs from (10, 20) to (10, 23); x is mirrored.
    near(read.entities[0].shape.curves()[0].end(), -10.0, 23.0);
    near(read.entities[1].shape.curves()[0].end(), -8.0, 20.0);
}

#[test]
fn the_spacing_of_an_array_is_turned_but_not_scaled() {
    let read = with_blocks(HOLE, "0 INSERT|2 Hole|10 0|20 0|41 2|42 2|50 90|70 3|71 2|44 10|45 100");
    let starts: Vec<Point> = read.entities.iter().step_by(2).map(|e| e.shape.curves()[0].start()).collect();
    assert_eq!(starts.len(), 6);
    for (i, start) in starts.iter().enumerate() {
        let (column, row) = ((i % 3) as f64, (i / 3) as f64);
        near(*start, -100.0 * row, 10.0 * column);
    }
}

#[test]
fn nested_blocks_take_layers_and_visibility_from_outside() {
    let blocks = format!(
        "{HOLE}0 BLOCK|2 Pair|10 0|20 0|0 INSERT|8 0|2 hole|10 5|20 0|0 INSERT|8 Cold|2 hole|10 9|20 0|0 TEXT|8 0|0 ENDBLK"
    );
    let text = pairs(&format!(
        "0 SECTION|2 TABLES|0 TABLE|2 LAYER|0 LAYER|2 Cold|70 1|0 ENDTAB|0 ENDSEC|0 SECTION|2 BLOCKS|{blocks}|0 ENDSEC|\
         0 SECTION|2 ENTITIES|0 INSERT|8 Outer|2 Pair|10 100|20 0|50 90|0 ENDSEC|0 EOF"
    ));
    let read = Drawing::read(text.as_bytes()).unwrap();
    let rows: Vec<_> = read.entities.iter().map(|e| (read.layer(e.layer).name.as_str(), e.hidden)).collect();
    assert_eq!(rows, [("Outer", false), ("Drill", false), ("Cold", true), ("Drill", true)]);
    near(read.entities[0].shape.curves()[0].start(), 100.0, 5.0);
    assert_eq!(passed(&read), ("TEXT", Reason::NotOutline, 1));
    assert_eq!(read.layer(read.passed_over[0].layer.unwrap()).name, "Outer");
}

#[test]
fn blocks_that_contain_themselves_end() {
    let read = with_blocks(
        "0 BLOCK|2 A|10 0|20 0|0 LINE|10 0|20 0|11 1|21 0|0 INSERT|2 B|10 0|20 0|0 ENDBLK|\
         0 BLOCK|2 B|10 0|20 0|0 CIRCLE|10 0|20 0|40 1|0 INSERT|2 A|10 0|20 0|0 ENDBLK|",
        "0 INSERT|2 A|10 5|20 0",
    );
    assert_eq!(read.entities.len(), 2);
    assert_eq!(passed(&read), ("INSERT", Reason::WithinItself, 1));
    let within = only_warning(&read);
    assert_eq!((within.code, text_of(within, "block")), (Code::BlockWithinItself, "A"));
}

#[test]
fn what_is_wrong_in_a_block_is_told_once_and_only_if_it_is_used() {
    let bad =
        "0 BLOCK|2 Bad|10 0|20 0|0 CIRCLE|8 0|10 1|20 2|40 x|0 LWPOLYLINE|43 2|10 0|20 0|10 1|20 0|0 ENDBLK|";
    let unused = with_blocks(bad, "");
    assert!(unused.findings.is_empty() && unused.passed_over.is_empty());
    let used = with_blocks(bad, "0 INSERT|8 P|2 Bad|10 0|20 0|70 3|44 5|0 INSERT|8 P|2 Bad|10 0|20 9");
    assert_eq!(passed(&used), ("CIRCLE", Reason::BadValue, 4));
    assert!(warning(&used).contains("layer P"));
    assert_eq!(used.entities.iter().filter(|e| e.shape.wide().is_some()).count(), 4);
}
