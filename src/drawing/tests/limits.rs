//! Drawings that go over a limit.

use std::io::Read;
use std::time::{Duration, Instant};

use super::*;

fn within(source: impl Read, limits: Limits) -> Result<Drawing, ReadError> {
    Drawing::read_with(source, &ReadOptions { limits, ..ReadOptions::default() })
}

fn with(limits: Limits, blocks: &str, entities: &str) -> Result<Drawing, ReadError> {
    within(text_with_blocks(blocks, entities).as_bytes(), limits)
}

/// The error of a drawing over a limit: it names the limit, its value and the option.
fn refused(read: Result<Drawing, ReadError>, name: &str, value: u64) -> String {
    let error = read.unwrap_err();
    assert_eq!(error.kind(), ReadErrorKind::OverLimit, "{error}");
    assert!(error.to_string().contains("raise the limit on "), "{name}: {error}");
    let text = error.to_string();
    assert!(text.contains(&format!("limit of {value} ")), "{text}");
    text
}

#[test]
fn an_array_of_a_thousand_million_holes_costs_nothing() {
    let start = Instant::now();
    let array = "0 INSERT|5 2C|8 Plate|2 Hole|10 0|20 0|70 32767|71 32767|44 1|45 1";
    let text = refused(with(Limits::default(), HOLE, array), "pieces", 2_000_000);
    for part in ["block “Hole”", "layer Plate", "handle 2C", "line "] {
        assert!(text.contains(part), "{part} in {text}");
    }
    // Within a block that is not used it costs nothing, and one of nothing is nothing.
    let unused = format!("{HOLE}0 BLOCK|2 Grid|{array}|0 ENDBLK|");
    assert!(with(Limits::default(), &unused, "0 POINT").is_ok());
    refused(with(Limits::default(), &unused, "0 INSERT|2 Grid|10 0|20 0"), "pieces", 2_000_000);
    let empty = with(Limits::default(), "0 BLOCK|2 E|0 ENDBLK|", "0 INSERT|2 E|10 0|20 0|70 32767|71 32767");
    let empty = empty.unwrap();
    assert!(empty.entities.is_empty() && empty.findings.is_empty());
    assert!(start.elapsed() < Duration::from_secs(2));
}

#[test]
fn blocks_that_double_and_blocks_in_a_long_chain() {
    let double: String = (0..60)
        .map(|i| {
            format!("0 BLOCK|2 D{i}|0 INSERT|2 D{0}|10 0|20 0|0 INSERT|2 D{0}|10 0|20 0|0 ENDBLK|", i + 1)
        })
        .collect();
    let double = format!("{double}0 BLOCK|2 D60|0 CIRCLE|10 0|20 0|40 1|0 ENDBLK|");
    refused(with(Limits::default(), &double, "0 INSERT|2 D0|10 0|20 0"), "pieces", 2_000_000);
    let chain: String =
        (0..100_000).map(|i| format!("0 BLOCK|2 C{i}|0 INSERT|2 C{}|10 0|20 0|0 ENDBLK|", i + 1)).collect();
    let chain = format!("{chain}0 BLOCK|2 C100000|0 POINT|0 ENDBLK|");
    refused(with(Limits::default(), &chain, "0 INSERT|2 C0|10 0|20 0"), "nesting", 64);
    // However high it is set, the stack holds.
    let limits = Limits { nesting: u64::MAX, ..Limits::default() };
    refused(with(limits, &chain, "0 INSERT|2 C0|10 0|20 0"), "nesting", 1000);
    let limits = Limits { nesting: 1000, ..Limits::default() };
    assert_eq!(passed(&with(limits, &chain, "0 INSERT|2 C99050|10 0|20 0").unwrap()).0, "POINT");
}

#[test]
fn references_together() {
    let four = "0 INSERT|2 Hole|10 0|20 0|0 INSERT|2 Hole|10 9|20 0";
    assert_eq!(with(Limits { pieces: 4, ..Limits::default() }, HOLE, four).unwrap().entities.len(), 4);
    refused(with(Limits { pieces: 3, ..Limits::default() }, HOLE, four), "pieces", 3);
}

#[test]
fn vertices_of_one_entity() {
    let corners = "10 0|20 0|10 4|20 0|10 4|20 3|10 0|20 3";
    let vertices = "0 VERTEX|10 0|20 0|0 VERTEX|10 4|20 0|0 VERTEX|10 4|20 3|0 VERTEX|10 0|20 3|0 SEQEND";
    for entity in [format!("0 LWPOLYLINE|5 2C|{corners}"), format!("0 POLYLINE|5 2C|66 1|{vertices}")] {
        let limits = |vertices| Limits { vertices, ..Limits::default() };
        assert_eq!(with(limits(4), "", &entity).unwrap().entities.len(), 1);
        let text = refused(with(limits(3), "", &entity), "vertices", 3);
        assert!(text.contains("handle 2C") && text.contains("(line 11)"), "{text}");
    }
}

#[test]
fn layers_of_a_drawing() {
    let points: String = (0..5).map(|i| format!("0 POINT|8 Layer {i}|")).collect();
    let limits = |layers| Limits { layers, ..Limits::default() };
    assert_eq!(with(limits(5), "", &points).unwrap().layers.len(), 5);
    assert!(refused(with(limits(4), "", &points), "layers", 4).contains("line"));
    let table = pairs("0 SECTION|2 TABLES|0 LAYER|2 A|0 LAYER|2 B|0 ENDTAB|0 ENDSEC|0 EOF");
    refused(within(table.as_bytes(), limits(1)), "layers", 1);
    refused(with(limits(0), "", "0 POINT"), "layers", 0);
}

#[test]
fn lines_and_files() {
    let text = text_with_blocks("", &format!("0 TEXT|1 {}", "x".repeat(1000)));
    let limits = |line_length| Limits { line_length, ..Limits::default() };
    assert!(within(text.as_bytes(), limits(1000)).is_ok());
    let messages = refused(within(text.as_bytes(), limits(999)), "line-length", 999);
    assert!(messages.contains("line 13"), "{messages}");
    let size = text.len() as u64;
    let limits = |file_size| Limits { file_size, ..Limits::default() };
    assert!(within(text.as_bytes(), limits(size)).is_ok());
    refused(within(text.as_bytes(), limits(size - 1)), "file-size", size - 1);
    // A source without an end, and a line without one.
    let endless = std::io::repeat(b'x');
    let begin = "0\nSECTION\n2\nENTITIES\n0\nTEXT\n1\n";
    refused(Drawing::read(begin.as_bytes().chain(endless)), "line-length", 16 << 20);
    let lines = std::io::repeat(b'\n');
    let limits = Limits { file_size: 10_000_000, ..Limits::default() };
    refused(within(begin.as_bytes().chain(lines), limits), "file-size", 10_000_000);
}
