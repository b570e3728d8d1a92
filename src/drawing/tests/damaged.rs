//! Bad values, truncated files, and files that are no drawing.

use super::*;
use crate::finding::Code;
use crate::seed::{properties, with_seed};

#[test]
fn values_that_are_no_numbers_cost_their_entity_only() {
    for (value, shown) in [
        ("10,5", "10,5"),
        ("nan", "nan"),
        ("-1.#IND", "#IND"),
        ("1e400", "1e400"),
        ("", "“”"),
        ("1.0D1", "1.0D1"),
    ] {
        let read = drawing(&format!("0 CIRCLE|10 1|20 {value}|40 2|5 7B|8 Holes|0 LINE|10 0|20 0|11 1|21 1"));
        assert_eq!(only(&read).kind, EntityKind::Line);
        assert_eq!(passed(&read), ("CIRCLE", Reason::BadValue, 1));
        let text = warning(&read);
        for part in [shown, "line 16", "line 11,", "layer Holes", "handle 7B", "group 20"] {
            assert!(text.contains(part), "{part} in {text}");
        }
    }
}

#[test]
fn values_that_make_no_sense_or_are_missing() {
    for (entity, part) in [
        ("0 CIRCLE|10 1|20 1|40 0", "a radius of 0"),
        ("0 CIRCLE|10 1|20 1|40 -0.0", "a radius of 0"),
        ("0 ARC|10 1|20 1|40 -3|50 0|51 9", "a radius of -3"),
        ("0 ARC|10 1|20 1|40 3|50 0", "no end angle"),
        ("0 LINE|10 1|20 1|11 5", "no y of the end"),
        ("0 LWPOLYLINE|90 2|10 1|20 1|10 2", "no y (group 20) for vertex 2"),
        ("0 LWPOLYLINE|90 2|10 1|10 2|20 2", "no y (group 20) for vertex 1"),
        ("0 LWPOLYLINE|90 2", "no vertices"),
        ("0 POLYLINE|66 1|0 VERTEX|10 1|0 SEQEND", "for vertex 1"),
        ("0 ELLIPSE|10 1|20 1|40 1", "no length"),
        ("0 ELLIPSE|10 1|20 1|11 1|21 0|40 0", "ratio 0"),
        ("0 SPLINE|71 3|10 1|20 1", "1 control points"),
        ("0 SPLINE|71 3", "no two points"),
        ("0 SPLINE|71 -5|10 1|20 1", "degree -5"),
        ("0 SPLINE|71 2|10 1|20 1|41 1|10 2|20 5|41 1e300|10 4|20 1|41 1", "weights from 1 to 1000"),
        ("0 SOLID|10 1|20 1|11 3|21 4", "corner 3"),
        ("0 CIRCLE|10 1|20 1|40 2|210 nan", "nan"),
        ("0 INSERT|10 1|20 1", "no name"),
        ("0 INSERT|2 A|10 1|20 1|41 0", "a scale of 0"),
    ] {
        let read = drawing(entity);
        assert!(read.entities.is_empty());
        assert_eq!(passed(&read).1, Reason::BadValue, "{entity}");
        assert!(warning(&read).contains(part), "{entity}: {}", warning(&read));
    }
}

#[test]
fn many_bad_entities_are_summed_up() {
    let read = drawing(&"0 CIRCLE|10 1|20 1|40 x|".repeat(250));
    assert_eq!(passed(&read), ("CIRCLE", Reason::BadValue, 250));
    assert_eq!(read.findings.len(), 101);
    assert!(read.findings[100].message().contains("150 more"));
}

#[test]
fn truncated_files_keep_what_is_complete() {
    let whole = pairs(
        "0 SECTION|2 ENTITIES|0 LINE|10 0|20 0|11 1|21 1|0 LWPOLYLINE|5 9|10 0|20 0|10 1|20 0|10 1|20 1",
    );
    let read = Drawing::read(whole.as_bytes()).unwrap();
    assert_eq!(only(&read).kind, EntityKind::Line);
    assert!(
        warning(&read).contains("ends at line 30, inside the LWPOLYLINE that begins in line 15"),
        "{}",
        warning(&read)
    );
    let read = Drawing::read(&whole.as_bytes()[..whole.len() - 3]).unwrap();
    assert_eq!(read.entities.len(), 1);
    let read =
        Drawing::read(pairs("0 SECTION|2 ENTITIES|0 LINE|10 0|20 0|11 1|21 1|0 ENDSEC").as_bytes()).unwrap();
    assert_eq!(read.entities.len(), 1);
    assert_eq!(only_warning(&read).code, Code::FileEndsEarly);
    let read = Drawing::read(
        pairs("0 SECTION|2 ENTITIES|0 POLYLINE|66 1|0 VERTEX|10 0|20 0|0 VERTEX|10 3|20 0").as_bytes(),
    )
    .unwrap();
    assert!(read.entities.is_empty());
    assert!(warning(&read).contains("POLYLINE"));
    // Trailing rubbish after the mark of the end is nothing to speak of; in the middle it is.
    let read = Drawing::read(format!("{}rubbish\n", pairs("0 SECTION|2 ENTITIES|0 ENDSEC|0 EOF")).as_bytes())
        .unwrap();
    assert!(read.findings.is_empty());
    let read = Drawing::read("0\nSECTION\n2\nENTITIES\n0\nPOINT\n8\nA\nrubbish\n0\n".as_bytes()).unwrap();
    assert!(
        warning(&read).contains("“rubbish” where a group code should stand in line 9"),
        "{}",
        warning(&read)
    );
}

#[test]
fn every_place_to_cut_a_file() {
    let text = pairs(&format!(
        "0 SECTION|2 HEADER|9 $ACADVER|1 AC1009|0 ENDSEC|0 SECTION|2 TABLES|0 TABLE|2 LAYER|0 LAYER|2 A|70 0|0 ENDTAB|\
         0 ENDSEC|0 SECTION|2 BLOCKS|{HOLE}0 ENDSEC|0 SECTION|2 ENTITIES|0 INSERT|2 HOLE|10 0|20 0|\
         0 POLYLINE|66 1|0 VERTEX|10 0|20 0|0 VERTEX|10 3|20 0|0 SEQEND|0 ENDSEC|0 EOF"
    ));
    let whole = Drawing::read(text.as_bytes()).unwrap();
    assert_eq!((whole.entities.len(), whole.findings.len()), (3, 0));
    for end in 0..text.len() - 4 {
        match Drawing::read(&text.as_bytes()[..end]) {
            Ok(read) => assert!(!read.findings.is_empty() && read.entities.len() <= 3, "cut at {end}"),
            Err(error) => {
                assert!(error.finding().code.advice().is_some() && end < 20, "cut at {end}: {error}");
            }
        }
    }
}

#[test]
fn files_that_are_no_drawing_are_named() {
    let kind = |bytes: &[u8]| Drawing::read(bytes).unwrap_err().kind();
    assert_eq!(kind(b""), ReadErrorKind::Empty);
    assert_eq!(kind(b"\xef\xbb\xbf\n  \r\n"), ReadErrorKind::Empty);
    assert_eq!(kind(b"0\nLINE\n8\nA\n"), ReadErrorKind::NotDxf);
    assert_eq!(kind(b"AutoCAD Binary DXF\r\n\x1a\0"), ReadErrorKind::Empty);
    assert_eq!(kind(b"AutoCAD Binary DXF\r\n\0\0SECTION\0"), ReadErrorKind::Binary);
    assert_eq!(kind(b"PK\x03\x04rest"), ReadErrorKind::OtherFormat);
    assert_eq!(kind(b"0\nEOF\n"), ReadErrorKind::NotDxf);
    let error = Drawing::read(&b"Dear reader,\nthis is a letter.\n"[..]).unwrap_err();
    assert_eq!((error.kind(), error.position()), (ReadErrorKind::NotDxf, Some(Position::Line(1))));
    assert!(error.to_string().contains("Dear reader"));
    let missing = Drawing::open("no such folder/no such file.dxf").unwrap_err();
    assert_eq!(missing.kind(), ReadErrorKind::Io);
    assert!(missing.to_string().contains("no such file.dxf"));
    assert!(std::error::Error::source(&missing).is_some());
    assert_eq!(Drawing::open(".").unwrap_err().kind(), ReadErrorKind::Io);
}

#[test]
fn an_object_embedded_in_an_entity_and_a_brace_left_open() {
    let read = drawing(
        "0 CIRCLE|10 1|20 1|40 2|101 Embedded Object|10 99|40 -1|0 LINE|102 {OPEN|10 0|0 LINE|10 0|20 0|11 1|21 1",
    );
    let kinds: Vec<EntityKind> = read.entities.iter().map(|e| e.kind).collect();
    assert_eq!(kinds, [EntityKind::Circle, EntityKind::Line]);
    assert_eq!(read.entities[0].shape, Shape::Circle { center: Point::new(1.0, 1.0), radius: 2.0 });
    assert_eq!(passed(&read), ("LINE", Reason::BadValue, 1));
}

properties! { "DRAWING_SEED", 1975, 256;
    /// Mangled drawings are read or refused; nothing else.
    #[test]
    fn mangled_text(places in proptest::collection::vec((0_usize..2000, proptest::num::u8::ANY), 1..20)) {
        let mut bytes = pairs(&format!(
            "0 SECTION|2 BLOCKS|{HOLE}0 ENDSEC|0 SECTION|2 ENTITIES|0 INSERT|2 HOLE|10 0|20 0|70 2|71 2|44 1|45 1|\
             0 LWPOLYLINE|90 2|70 1|10 1|20 2|42 0.5|10 3|20 4|0 ELLIPSE|10 0|20 0|11 1|21 2|40 0.5|41 0|42 3|\
             0 SPLINE|71 2|40 0|40 0|40 0|40 1|40 1|40 1|10 0|20 0|10 1|20 1|10 2|20 0|0 SPLINE|11 0|21 0|11 1|21 1|\
             0 SOLID|10 0|20 0|11 1|21 0|12 0|22 1|0 ENDSEC|0 EOF"
        )).into_bytes();
        for (place, byte) in places {
            let place = place % bytes.len();
            bytes[place] = byte;
        }
        if let Ok(read) = Drawing::read(&bytes[..]) {
            for entity in &read.entities {
                let bounds = entity.shape.bounds();
                proptest::prop_assert!(bounds.min.is_finite() || entity.shape.curves().is_empty());
            }
        }
    }
}

#[test]
fn coordinates_beyond_the_range_of_drawings_cost_their_entity_only() {
    for far in [
        "0 LINE|10 1e76|20 0|11 1|21 1",
        "0 CIRCLE|10 5|20 5|40 1.1e15",
        "0 ARC|10 -1e300|20 5|40 1|50 0|51 90",
        "0 ELLIPSE|10 5|20 5|11 1e154|21 0|40 0.5",
        "0 LWPOLYLINE|90 2|10 0|20 0|42 1e154|10 7|20 0",
        "0 LWPOLYLINE|90 2|10 0|20 0|10 7|20 1e16",
        "0 SPLINE|71 1|10 0|20 0|10 1e17|20 2",
    ] {
        let read = drawing(&format!("{far}|0 LINE|8 A|10 0|20 0|11 1e15|21 1"));
        assert_eq!(only(&read).layer.index(), read.layers.len() - 1, "{far}");
        assert_eq!(passed(&read).1, Reason::BadValue, "{far}");
        assert!(warning(&read).contains("beyond 1e15"), "{far}: {}", warning(&read));
    }
}
