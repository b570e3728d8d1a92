//! Model space and sheet layouts, the units of blocks, what is written, and where what is passed over stands.

use super::*;
use crate::finding::{Code, Position};

const SHEETS: &str = "0 BLOCK|8 0|2 *Model_Space|10 0|20 0|0 ENDBLK|\
                      0 BLOCK|8 0|2 *Paper_Space0|10 0|20 0|0 CIRCLE|8 A3|10 1|20 1|40 2|0 TEXT|8 A3|10 0|20 0|1 note|\
                      0 INSERT|8 A3|2 Frame|10 0|20 0|0 ENDBLK|";
const BOTH: &str = "0 LINE|8 Plate|10 0|20 0|11 3|21 1|0 CIRCLE|8 Sheet|67 1|10 1|20 1|40 2";

fn read_space(space: Space) -> Drawing {
    let text =
        pairs(&format!("0 SECTION|2 BLOCKS|{SHEETS}0 ENDSEC|0 SECTION|2 ENTITIES|{BOTH}|0 ENDSEC|0 EOF"));
    Drawing::read_with(text.as_bytes(), &ReadOptions { space, ..ReadOptions::default() }).unwrap()
}

fn reasons(drawing: &Drawing) -> Vec<(&str, &str, Reason, u64)> {
    let row = |p: &PassedOver| p.layer.map_or("", |l| drawing.layer(l).name.as_str()).to_owned();
    let names: Vec<String> = drawing.passed_over.iter().map(row).collect();
    assert!(names.iter().all(|name| !name.is_empty()));
    drawing
        .passed_over
        .iter()
        .map(|p| {
            let layer = p.layer.map_or("", |l| drawing.layer(l).name.as_str());
            (p.kind.as_str(), layer, p.reason, p.count)
        })
        .collect()
}

#[test]
fn one_space_is_read_and_the_other_counted() {
    let model = read_space(Space::Model);
    assert_eq!(only(&model).kind, EntityKind::Line);
    let paper = Reason::PaperSpace;
    let others = [("CIRCLE", "A3", paper, 1), ("INSERT", "A3", paper, 1), ("TEXT", "A3", paper, 1)];
    let expected = [others[0], ("CIRCLE", "Sheet", paper, 1), others[1], others[2]];
    assert_eq!(reasons(&model), expected);
    assert!(model.texts.is_empty());
    let sheet = read_space(Space::Paper);
    assert_eq!(only(&sheet).kind, EntityKind::Circle);
    assert_eq!(reasons(&sheet), [others[0], others[1], ("LINE", "Plate", Reason::ModelSpace, 1), others[2]]);
}

#[test]
fn a_block_in_another_unit_that_nothing_scales_is_told() {
    let read = |scale: &str, units: i32| {
        let text = pairs(&format!(
            "0 SECTION|2 HEADER|9 $INSUNITS|70 {units}|0 ENDSEC|0 SECTION|2 TABLES|0 TABLE|2 BLOCK_RECORD|\
             0 BLOCK_RECORD|2 HOLE|70 1|0 ENDTAB|0 ENDSEC|0 SECTION|2 BLOCKS|{HOLE}0 ENDSEC|0 SECTION|2 ENTITIES|\
             0 INSERT|8 Plate|2 Hole|10 5|20 5|{scale}0 INSERT|8 Plate|2 Hole|10 9|20 5|{scale}0 ENDSEC|0 EOF"
        ));
        Drawing::read(text.as_bytes()).unwrap()
    };
    let text = warning(&read("", 4));
    for part in
        ["block “Hole” is in inches and the drawing in millimetres", "does not scale it", "layer Plate"]
    {
        assert!(text.contains(part), "{part} in {text}");
    }
    // Scaled by 25.4, in the drawing's own unit, or in a drawing without unit there is nothing to say.
    for (scale, units) in [("41 25.4|42 25.4|43 25.4|", 4), ("", 1), ("", 0)] {
        assert!(read(scale, units).findings.is_empty(), "{scale} {units}");
    }
}

#[test]
fn what_is_written_is_kept_beside_being_counted() {
    let read = drawing(
        "0 TEXT|8 Mark|10 3|20 4|1 P%%d|0 MTEXT|8 Mark|10 1|20 2|3 {\\H2;long |1 text}|0 TEXT|8 Mark|10 x|20 4|1 P",
    );
    let texts: Vec<(&str, Point)> = read.texts.iter().map(|t| (t.content.as_str(), t.place)).collect();
    assert_eq!(texts, [("P°", Point::new(3.0, 4.0)), ("long text", Point::new(1.0, 2.0))]);
    assert_eq!(
        reasons(&read),
        [("MTEXT", "Mark", Reason::NotOutline, 1), ("TEXT", "Mark", Reason::NotOutline, 2)]
    );
}

#[test]
fn what_is_passed_over_is_listed_with_its_places_once() {
    let block =
        "0 BLOCK|8 0|2 Mark|10 0|20 0|0 POINT|5 A1|8 0|10 0|20 0|0 RAY|5 A2|8 0|0 POINT|5 A3|8 0|0 ENDBLK|";
    let insert = "0 INSERT|8 Plate|2 Mark|10 0|20 0|70 3|71 2|44 10|45 10";
    let read = with_blocks(block, &format!("{insert}|0 POINT|8 Plate|10 1|20 1"));
    let points = &read.passed_over[0];
    assert_eq!((points.kind.as_str(), points.count), ("POINT", 13));
    let places: Vec<_> = points.places.iter().map(|p| (p.position, p.handle)).collect();
    let line = Position::Line;
    assert_eq!(places, [(line(15), Some(0xA1)), (line(31), Some(0xA3)), (line(63), None)]);
}

#[test]
fn a_clipped_block_is_taken_as_a_whole_and_told_once() {
    let text = pairs(&format!(
        "0 SECTION|2 BLOCKS|{HOLE}0 ENDSEC|0 SECTION|2 ENTITIES|0 INSERT|8 Plate|2 Hole|10 5|20 5|0 ENDSEC|\
         0 SECTION|2 OBJECTS|0 DICTIONARY|5 1|0 SPATIAL_FILTER|5 2|70 2|0 SPATIAL_FILTER|5 3|70 2|0 ENDSEC|0 EOF"
    ));
    let read = Drawing::read(text.as_bytes()).unwrap();
    assert_eq!(read.entities.len(), 2);
    let clipped = only_warning(&read);
    assert!(clipped.code == Code::BlockClipped && clipped.place.position.is_some(), "{clipped:?}");
}
