//! Binary drawings, which must come to the same as the same drawings as text.

use super::entity::Packed;
use super::*;
use crate::finding::Value;
use crate::seed::{properties, with_seed};

#[path = "../../../tests/common/encode.rs"]
mod encode;
use encode::binary;

/// The places in a message, such as `line 12` and `byte 345`, without their numbers.
fn without_numbers(message: &str) -> String {
    let mut words: Vec<&str> = Vec::new();
    for word in message.split(' ') {
        let number = word.starts_with(|first: char| first.is_ascii_digit());
        match words.last() {
            Some(&("line" | "byte")) if number => *words.last_mut().unwrap() = "place",
            _ => words.push(word),
        }
    }
    words.join(" ")
}

/// A drawing without its places in the file.
fn placeless(mut drawing: Drawing) -> Drawing {
    for entity in &mut drawing.entities {
        entity.position = Packed::new(Position::Line(1));
    }
    drawing.form = Encoding::Text;
    for passed in &mut drawing.passed_over {
        passed.places.iter_mut().for_each(|place| place.position = Position::Line(1));
    }
    for finding in &mut drawing.findings {
        finding.place.position = None;
        let same = Finding::of(finding.code).weighing(finding.severity);
        let values = finding.values().iter().map(|(key, value)| match value {
            Value::Position(_) => (*key, Position::Line(1).into()),
            Value::Text(text) => (*key, without_numbers(text).into()),
            value => (*key, value.clone()),
        });
        let mut same = values.fold(same, |same, (key, value)| same.with(key, value));
        std::mem::swap(&mut same.place, &mut finding.place);
        *finding = same;
    }
    drawing
}

fn fixtures() -> Vec<(String, Vec<u8>)> {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/fixtures");
    let mut list: Vec<_> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "dxf"))
        .map(|path| (path.file_name().unwrap().to_string_lossy().into_owned(), std::fs::read(&path).unwrap()))
        .collect();
    list.sort();
    list
}

#[test]
fn every_fixture_reads_the_same() {
    // What a binary drawing can't hold: values that are no numbers have another text, and a text that is cut or
    // damaged is written up to there.
    let differ = ["bad-numbers.dxf", "truncated.dxf", "not-a-drawing.dxf"];
    let mut compared = 0;
    for (name, text) in fixtures() {
        // Some counts of the first do not fit the four bytes that they have in the binary form, and a number as small as
        // one of the second is damage there.
        let unfit = ["counts-that-lie.dxf", "numbers-out-of-range.dxf"].contains(&name.as_str());
        if unfit || text.starts_with(b"AutoCAD") || name.starts_with("damaged-") {
            continue;
        }
        for wide in [true, false] {
            let read = Drawing::read(&binary(&text, wide)[..]);
            if differ.contains(&name.as_str()) {
                let Ok(expected) = Drawing::read(&text[..]) else { continue };
                let (read, expected) = (placeless(read.unwrap()), placeless(expected));
                assert_eq!(read.entities, expected.entities, "{name}");
                assert_eq!(read.findings.len(), expected.findings.len(), "{name}");
                continue;
            }
            let expected = match Drawing::read(&text[..]) {
                Ok(expected) => placeless(expected),
                Err(_) => {
                    assert!(read.is_err(), "{name}, wide {wide}");
                    continue;
                }
            };
            assert_eq!(placeless(read.unwrap()), expected, "{name}, wide {wide}");
            compared += 1;
        }
    }
    assert!(compared > 100, "{compared}");
}

const PLATE: &str = "0 SECTION|2 HEADER|9 $ACADVER|1 AC1015|9 $INSUNITS|70 4|0 ENDSEC|0 SECTION|2 TABLES|\
    0 TABLE|2 LAYER|70 2|0 LAYER|2 Plate|70 0|62 -3|290 0|0 ENDTAB|0 ENDSEC|0 SECTION|2 BLOCKS|\
    0 BLOCK|2 Hole|70 0|10 1|20 2|30 0|0 CIRCLE|5 E1|8 0|10 1|20 2|40 2.5|0 ENDBLK|0 ENDSEC|\
    0 SECTION|2 ENTITIES|0 INSERT|5 E4|8 Plate|2 Hole|10 10|20 20|0 LWPOLYLINE|5 E5|8 Plate|90 3|70 1|43 0|\
    10 0|20 0|42 0.5|10 40|20 0|10 40|20 30.25|310 00FF10|1001 OTHER|1004 FF00|1071 70000|160 5|\
    0 POLYLINE|5 E6|8 Plate|66 1|70 1|0 VERTEX|10 1|20 0|0 VERTEX|10 7|20 0|0 VERTEX|10 7|20 3|0 SEQEND|\
    0 LINE|5 E7|8 Plate|10 0|20 0|11 5|21 7|0 ENDSEC|0 EOF";

#[test]
fn places_are_bytes() {
    for wide in [true, false] {
        let bytes = binary(pairs(PLATE).as_bytes(), wide);
        let read = Drawing::read(&bytes[..]).unwrap();
        assert_eq!(read.entities.len(), 4);
        let Position::Byte(byte) = read.entities[3].position() else { panic!("no byte") };
        let head = if wide { &b"\0\0LINE\0"[..] } else { b"\0LINE\0" };
        assert!(bytes[byte as usize..].starts_with(head), "{byte}");
        // A number that is none is reported at its group.
        let bad =
            binary(pairs("0 SECTION|2 ENTITIES|0 CIRCLE|10 1|20 x|40 2|0 ENDSEC|0 EOF").as_bytes(), wide);
        let text = warning(&Drawing::read(&bad[..]).unwrap());
        let place = bad.windows(8).position(|eight| eight == f64::NAN.to_le_bytes()).unwrap();
        let group = place - if wide { 2 } else { 1 };
        assert!(
            text.contains(&format!("“NaN” for group 20 is not a number in byte {group} (byte ")),
            "{text}"
        );
    }
}

#[test]
fn a_place_is_kept_in_six_bytes() {
    assert_eq!(size_of::<Packed>(), 6);
    assert_eq!(size_of::<Entity>(), 24 + size_of::<Shape>());
    for position in [Position::Line(1), Position::Line(7), Position::Byte(0), Position::Byte((1 << 47) - 1)] {
        assert_eq!(Packed::new(position).position(), position);
    }
    assert_eq!(Packed::new(Position::Byte(u64::MAX)).position(), Position::Byte((1 << 47) - 1));
}

#[test]
fn every_place_to_cut_a_binary_file() {
    for wide in [true, false] {
        let bytes = binary(pairs(PLATE).as_bytes(), wide);
        let whole = Drawing::read(&bytes[..]).unwrap();
        assert!(whole.findings.is_empty());
        for end in 0..bytes.len() {
            match Drawing::read(&bytes[..end]) {
                Ok(read) => {
                    let messages =
                        read.findings.iter().any(|f| f.message().contains(&format!("ends at byte {end}")));
                    assert!(messages, "cut at {end}: {:?}", read.findings);
                    assert_eq!(read.entities, whole.entities[..read.entities.len()], "cut at {end}");
                }
                Err(error) => {
                    assert!(error.finding().code.advice().is_some() && end < 40, "cut at {end}: {error}");
                }
            }
        }
    }
}

#[test]
fn first_lines_that_lost_their_carriage_return() {
    let whole = binary(pairs(PLATE).as_bytes(), true);
    let expected = placeless(Drawing::read(&whole[..]).unwrap());
    for end in ["\n", "\r", "\r\r\n"] {
        let bytes = [b"AutoCAD Binary DXF", end.as_bytes(), &whole[20..]].concat();
        assert_eq!(placeless(Drawing::read(&bytes[..]).unwrap()), expected, "{end:?}");
    }
    for damaged in
        [&b"AutoCAD Binary DXF"[..], b"AutoCAD Binary DXF\r\n\0\0SECTION\0", b"AutoCAD Binary DXF \x1a\0"]
    {
        let error = Drawing::read(damaged).unwrap_err();
        assert_eq!(error.kind(), ReadErrorKind::Binary);
        assert!(error.to_string().contains("first line is damaged"), "{error}");
    }
}

#[test]
fn the_length_of_group_codes_is_told_after_a_remark() {
    for wide in [true, false] {
        let text = format!("999\nmade by hand\n999\n\n{}", pairs(PLATE));
        assert_eq!(Drawing::read(&binary(text.as_bytes(), wide)[..]).unwrap().entities.len(), 4);
    }
}

#[test]
fn a_damaged_entity_is_left_out_and_reading_goes_on() {
    for wide in [true, false] {
        let whole = binary(pairs(PLATE).as_bytes(), wide);
        let expected = Drawing::read(&whole[..]).unwrap();
        // The group code 43 of the light polyline becomes one that no drawing has.
        let code = if wide { &b"+\0\0\0\0\0\0\0\0\0"[..] } else { b"+\0\0\0\0\0\0\0\0" };
        let place = whole.windows(code.len()).position(|bytes| bytes == code).unwrap();
        let mut damaged = whole.clone();
        damaged[place] = 200;
        let read = Drawing::read(&damaged[..]).unwrap();
        let kinds: Vec<EntityKind> = read.entities.iter().map(|e| e.kind).collect();
        assert_eq!(kinds, [EntityKind::Circle, EntityKind::Polyline, EntityKind::Line]);
        assert_eq!(read.entities[1].shape, expected.entities[2].shape);
        let text = warning(&read);
        for part in [
            format!("group code 200, which no drawing has, stands in byte {place}"),
            "LWPOLYLINE that begins in byte".to_owned(),
        ] {
            assert!(text.contains(&part), "{part} in {text}");
        }
        // A lost byte anywhere: nothing but what was drawn, or it is reported.
        let mut unseen = Vec::new();
        for lost in 22..whole.len() {
            let mut damaged = whole.clone();
            damaged.remove(lost);
            let Ok(read) = Drawing::read(&damaged[..]) else { continue };
            let same =
                read.entities.iter().all(|e| expected.entities.iter().any(|other| other.shape == e.shape));
            // A code of one byte that is lost before the whole number 1 leaves an empty text of code 1, which old
            // drawings hold too: that can't be told.
            if !wide && whole.get(lost..lost + 3) == Some(&[70, 1, 0][..]) {
                continue;
            }
            let messages = !read.findings.is_empty() || !read.passed_over.is_empty();
            let all = same && read.entities.len() == expected.entities.len();
            if !messages && !all {
                unseen
                    .push((lost, damaged[lost.saturating_sub(12)..(lost + 12).min(damaged.len())].to_vec()));
            }
        }
        assert!(unseen.is_empty(), "wide {wide}: {unseen:?}");
    }
}

properties! { "DRAWING_SEED", 1975, 256;
    /// Mangled drawings are read or refused; nothing else.
    #[test]
    fn mangled_bytes(
        places in proptest::collection::vec((22_usize..2000, proptest::num::u8::ANY), 1..20),
        wide in proptest::bool::ANY,
    ) {
        let mut bytes = binary(pairs(PLATE).as_bytes(), wide);
        for (place, byte) in places {
            let place = 22 + (place - 22) % (bytes.len() - 22);
            bytes[place] = byte;
        }
        if let Ok(read) = Drawing::read(&bytes[..]) {
            for entity in &read.entities {
                proptest::prop_assert!(entity.shape.curves().iter().all(|curve| curve.start().is_finite()));
            }
        }
    }
}
