//! Texts in which a line is lost or doubled, so that group codes and values change places.

use super::*;
use crate::finding::Code;

/// Coordinates that are whole numbers could all be group codes; empty values put codes and values right again.
const WORST: &str = "0 SECTION|2 HEADER|9 $ACADVER|1 AC1015|9 $DWGCODEPAGE|3 ANSI_1252|9 $INSUNITS|70 4|\
    9 $MEASUREMENT|70 1|0 ENDSEC|0 SECTION|2 TABLES|0 TABLE|2 LAYER|70 2|0 LAYER|2 Plate|70 0|62 -3|6 |\
    0 LAYER|2 0|70 0|62 7|0 ENDTAB|0 ENDSEC|0 SECTION|2 BLOCKS|0 BLOCK|8 0|2 Hole|70 0|10 1|20 2|30 0|3 Hole|1 |\
    0 CIRCLE|5 E1|8 0|10 1|20 2|40 5|0 LINE|8 0|10 1|20 2|11 4|21 2|0 ENDBLK|5 E3|8 0|\
    0 BLOCK|2 Slot|10 0|20 0|0 CIRCLE|10 8|20 9|40 3|0 ENDBLK|0 ENDSEC|\
    0 SECTION|2 ENTITIES|0 INSERT|5 E4|8 Plate|2 Hole|10 10|20 20|0 LWPOLYLINE|5 E5|8 Plate|90 3|70 1|43 0|\
    10 0|20 0|10 40|20 0|10 40|20 30|42 1|8 |0 INSERT|2 Slot|8 0|10 5|20 6|66 1|0 ATTRIB|8 0|10 0|20 0|1 |0 SEQEND|8 0|\
    0 POLYLINE|5 E6|8 Plate|66 1|70 1|0 VERTEX|8 0|10 1|20 0|0 VERTEX|8 0|10 7|20 0|42 1|0 VERTEX|8 0|10 7|20 3|\
    0 SEQEND|8 0|0 TEXT|8 0|62 0|1 |0 CIRCLE|5 |8 0|10 3|20 4|40 6|0 LINE|62 0|8 LINE|10 0|20 0|11 5|21 7|\
    0 SOLID|62 0|8 LINE|10 0|20 0|11 5|21 0|12 0|22 9|0 ENDSEC|0 SECTION|2 OBJECTS|0 DICTIONARY|5 C|0 ENDSEC|0 EOF";

/// Kind, layer, whether it is hidden, and shape.
type Drawn<'a> = (EntityKind, &'a str, bool, &'a Shape);

/// What must be the same where nothing is reported.
fn figures(read: &Drawing) -> (Vec<Drawn<'_>>, Units, Vec<(&str, bool)>) {
    let entities = read
        .entities
        .iter()
        .map(|e| (e.kind, read.layer(e.layer).name.as_str(), e.hidden, &e.shape))
        .collect();
    (entities, read.units, read.layers.iter().map(|l| (l.name.as_str(), l.is_hidden())).collect())
}

/// Reads the text with each of its lines lost, doubled, emptied, or preceded by another; gives how many entities were
/// read in all. Whatever is not as drawn must be reported.
fn slips(name: &str, text: &str) -> usize {
    let lines: Vec<&str> = text.lines().collect();
    let whole = Drawing::read(text.as_bytes()).unwrap();
    let mut entities = 0;
    for line in 0..lines.len() {
        let variants: [&[&str]; 5] = [
            &[],
            &[lines[line], lines[line]],
            &["", lines[line]],
            &["7", lines[line]],
            &["LOOSE", lines[line]],
        ];
        for variant in variants {
            // Another value for an empty one is no slip.
            if lines[line].is_empty() && variant == ["LOOSE", ""] {
                continue;
            }
            let mut slipped = lines[..line].to_vec();
            slipped.extend_from_slice(variant);
            slipped.extend_from_slice(&lines[line + 1..]);
            let slipped = slipped.join("\n") + "\n";
            let place = format!("{name}, line {} as {variant:?}", line + 1);
            let read = match Drawing::read(slipped.as_bytes()) {
                Ok(read) => read,
                Err(error) => {
                    assert!(error.finding().code.advice().is_some(), "{place}: {error}");
                    continue;
                }
            };
            entities += read.entities.len();
            let messages =
                |read: &Drawing| read.findings.iter().filter(|f| f.severity == Severity::Warning).count();
            if messages(&read) <= messages(&whole) {
                assert_eq!(figures(&read), figures(&whole), "{place}: {:?}", read.findings);
            }
        }
    }
    entities
}

#[test]
fn every_line_lost_doubled_or_put_in() {
    let text = pairs(WORST);
    let whole = Drawing::read(text.as_bytes()).unwrap();
    assert_eq!((whole.entities.len(), whole.findings.len()), (8, 0), "{:?}", whole.findings);
    let read = slips("worst case", &text);
    // A slip costs one entity, seldom two, and of most of the header and the tables none.
    let best = 8 * 5 * text.lines().count();
    assert!(read as f64 > 0.8 * best as f64, "{read} of {best}");
}

#[test]
fn every_line_of_the_fixtures() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/fixtures/");
    for name in
        ["r12-polyline.dxf", "block-nested.dxf", "spline-periodic.dxf", "solid-trace.dxf", "layer-states.dxf"]
    {
        let text = std::fs::read_to_string(format!("{folder}{name}")).unwrap();
        assert!(slips(name, &text) > 0);
    }
}

fn messages(text: &str) -> (Drawing, String) {
    let read = Drawing::read(text.as_bytes()).unwrap();
    let text = warning(&read);
    (read, text)
}

#[test]
fn a_slip_is_told_with_what_it_costs() {
    let text = pairs(
        "0 SECTION|2 ENTITIES|0 CIRCLE|10 1|20 2|40 3|0 LINE|10 0|20 0|11 5|21 7|0 ARC|8 A|10 1|20 1|40 2|50 0|51 9|0 ENDSEC|0 EOF",
    );
    let (read, message) = messages(&text.replacen("11\n5\n", "11\n", 1));
    let kinds: Vec<EntityKind> = read.entities.iter().map(|e| e.kind).collect();
    assert_eq!(kinds, [EntityKind::Circle, EntityKind::Arc]);
    assert_eq!(
        message,
        "“ARC” where a group code should stand in line 23: the LINE that begins in line 13 is left out, and reading goes \
         on in line 22 (line 23): part of the drawing may be missing or wrong: copy or export the file again"
    );
    // A layer may have the name of an entity.
    let text_with_layer = text.replacen("10\n1\n20\n1\n", "62\n0\n8\nLINE\n10\n1\n20\n1\n11\n7\n21\n7\n", 1);
    let (read, _) = messages(&text_with_layer.replacen("0\n8\nLINE\n", "0\nLINE\n", 1));
    assert_eq!(read.entities.len(), 2, "{:?}", read.entities);
    // A code 0 before a group code names nothing.
    let (_, message) = messages(&text.replacen("LINE\n10\n", "LINE\n", 1));
    assert!(
        message.starts_with("“20” where the name of an entity or a section should stand in line 16"),
        "{message}"
    );
    assert!(message.contains("the LINE that begins in line 13 is left out"), "{message}");
}

#[test]
fn a_slip_in_a_vertex_costs_the_polyline() {
    let text = pairs(
        "0 SECTION|2 ENTITIES|0 POLYLINE|66 1|0 VERTEX|10 1|20 0|0 VERTEX|10 7|20 0|0 VERTEX|10 7|20 3|0 VERTEX|10 1|20 3|0 SEQEND|0 LINE|10 0|20 0|11 5|21 7|0 ENDSEC|0 EOF",
    );
    let (read, message) = messages(&text.replacen("7\n20\n0\n", "7\n20\n", 1));
    assert_eq!(only(&read).kind, EntityKind::Line);
    assert!(read.passed_over.is_empty(), "{:?}", read.passed_over);
    assert!(message.contains("the POLYLINE that begins in line 5 is left out"), "{message}");
}

#[test]
fn slips_in_the_header_and_in_names_of_sections() {
    let text = pairs(WORST);
    // The unit itself is lost; what comes after it is not.
    let (read, message) = messages(&text.replacen("70\n4\n9\n", "70\n9\n", 1));
    assert_eq!((read.units.insunits, read.units.measurement, read.entities.len()), (None, Some(1), 8));
    assert!(message.contains("perhaps the unit of the drawing"), "{message}");
    // A slip elsewhere in the header leaves the unit known.
    let (read, _) = messages(&text.replacen("$DWGCODEPAGE\n", "", 1));
    assert_eq!((read.units.insunits, read.entities.len()), (Some(4), 8));
    for (from, to) in [
        ("0\nSECTION\n2\nENTITIES\n", "SECTION\n2\nENTITIES\n"),
        ("0\nSECTION\n2\nENTITIES\n", "0\n2\nENTITIES\n"),
        ("0\nSECTION\n2\nENTITIES\n", "0\nSECTION\nENTITIES\n"),
        ("0\nSECTION\n2\nENTITIES\n", "0\nSECTION\n2\n2\nENTITIES\n"),
        ("0\nSECTION\n2\nENTITIES\n", "0\n0\nSECTION\n2\nENTITIES\n"),
        ("0\nSECTION\n2\nENTITIES\n", "0\nSECTION\n2\nENTITIES\nENTITIES\n"),
    ] {
        assert_eq!(messages(&text.replacen(from, to, 1)).0.entities.len(), 8, "{to:?}");
    }
    let nameless = Drawing::read(text.replacen("2\nENTITIES\n", "2\n", 1).as_bytes()).unwrap();
    assert!(nameless.findings.iter().any(|f| f.code == Code::SectionWithoutName));
}

#[test]
fn a_damaged_beginning_of_a_block_leaves_it_out() {
    let text = pairs(WORST).replacen("10\n1\n20\n2\n30\n", "10\n20\n2\n30\n", 1);
    let read = Drawing::read(text.as_bytes()).unwrap();
    assert_eq!(read.entities.len(), 6);
    let messages: Vec<String> = read.findings.iter().map(ToString::to_string).collect();
    assert!(messages[0].contains("the block that begins in line"), "{messages:?}");
    assert!(messages[1].contains("no block “Hole”"), "{messages:?}");
}

#[test]
fn many_damaged_places_are_summed_up() {
    let line = "0\nLINE\n10\n0\n20\n0\n11\n5\n21\n7\nrubbish\n";
    let text = format!("0\nSECTION\n2\nENTITIES\n{}0\nENDSEC\n0\nEOF\n", line.repeat(50));
    let read = Drawing::read(text.as_bytes()).unwrap();
    assert!(read.entities.is_empty());
    assert_eq!(read.findings.len(), 21);
    assert!(read.findings[20].message().starts_with("30 more places"), "{}", read.findings[20]);
}

#[test]
fn what_is_harmless() {
    let plain = "0 LINE|10 0|20 0|11 5|21 7";
    let section = format!("0 SECTION|2 ENTITIES|{plain}|0 ENDSEC|");
    for text in [
        pairs(&format!("{section}0 EOF")) + "rubbish\n\x00\n0\nLINE\n10\n",
        pairs(&format!("0 SECTION|2 ENTITIES|{plain}|0 EOF")),
        pairs(&format!("0 SECTION|2 NEW THINGS|0 THING|10 x|0 ENDSEC|{section}0 EOF")),
        pairs(&format!("0 SECTION|2 HEADER|9 $NEW|77 x|9 $OLD|0 ENDSEC|{section}0 EOF")),
        pairs(&format!("0 SECTION|2 ENTITIES|{plain}|0 SECTION|2 OBJECTS|0 ENDSEC|0 EOF")),
    ] {
        let read = Drawing::read(text.as_bytes()).unwrap();
        assert_eq!((read.entities.len(), read.findings.len()), (1, 0), "{text}: {:?}", read.findings);
    }
    let twice = Drawing::read(pairs(&format!("{section}{section}0 EOF")).as_bytes()).unwrap();
    assert_eq!((twice.entities.len(), twice.findings.len()), (2, 0));
    let handles = drawing(&format!("{plain}|5 2C|{plain}|5 2C|{plain}|5 |{plain}|5 no"));
    assert_eq!((handles.entities.len(), handles.findings.len()), (4, 0));
    let unended = Drawing::read(pairs(&section).as_bytes()).unwrap();
    assert_eq!(only_warning(&unended).code, Code::FileEndsEarly);
}
