//! Findings as objects.

use std::fmt::Write as _;

use crate::drawing::LengthUnit;
use crate::finding::{self, Advice, Finding, Position};

/// A list of findings, without a blank. It is written piece by piece: a tree of values would take most of the time in which
/// a ledger takes note of a drawing.
pub(super) fn findings(all: &[Finding], advice: Advice) -> String {
    let mut out = String::from("[");
    for (k, finding) in all.iter().enumerate() {
        if k > 0 {
            out.push(',');
        }
        object(&mut out, finding, advice);
    }
    out.push(']');
    out
}

fn object(out: &mut String, finding: &Finding, advice: Advice) {
    let place = &finding.place;
    let (line, byte) = match place.position {
        None => (None, None),
        Some(Position::Line(line)) => (Some(line), None),
        Some(Position::Byte(byte)) => (None, Some(byte)),
    };
    out.push_str("{\"code\":");
    text(out, finding.code.name());
    out.push_str(",\"severity\":");
    text(out, finding.severity.word());
    out.push_str(",\"message\":");
    text(out, &finding.message());
    out.push_str(",\"hint\":");
    or_null(out, Some(finding.hint(advice)).filter(|hint| !hint.is_empty()), |out, hint| text(out, &hint));
    out.push_str(",\"unit\":");
    or_null(out, finding.unit().map(LengthUnit::symbol), text);
    out.push_str(",\"values\":{");
    for (k, (key, one)) in finding.values().iter().enumerate() {
        if k > 0 {
            out.push(',');
        }
        text(out, key);
        out.push(':');
        value(out, one);
    }
    out.push_str("},\"place\":{\"line\":");
    or_null(out, line, count);
    out.push_str(",\"byte\":");
    or_null(out, byte, count);
    out.push_str(",\"layer\":");
    or_null(out, place.layer.as_deref(), text);
    out.push_str(",\"handle\":");
    or_null(out, place.handle, |out, handle| text(out, &format!("{handle:X}")));
    out.push_str(",\"point\":");
    or_null(out, place.point, |out, point| numbers(out, &[point.x, point.y]));
    out.push_str("}}");
}

fn value(out: &mut String, value: &finding::Value) {
    out.push_str("{\"kind\":");
    text(out, value.kind());
    out.push_str(",\"value\":");
    match value {
        finding::Value::Text(one) | finding::Value::Name(one) | finding::Value::Layer(one) => text(out, one),
        finding::Value::Count(one) => count(out, *one),
        finding::Value::Number(one)
        | finding::Value::Ratio(one)
        | finding::Value::Share(one)
        | finding::Value::Bound(one)
        | finding::Value::Length(one)
        | finding::Value::Area(one) => number(out, *one),
        finding::Value::Areas(all) => numbers(out, all),
        finding::Value::Size(size) => numbers(out, size),
        finding::Value::Point(point) => numbers(out, &[point.x, point.y]),
        finding::Value::Position(Position::Line(line)) => {
            out.push_str("{\"line\":");
            count(out, *line);
            out.push('}');
        }
        finding::Value::Position(Position::Byte(byte)) => {
            out.push_str("{\"byte\":");
            count(out, *byte);
            out.push('}');
        }
    }
    out.push('}');
}

/// What is known, or null.
pub(super) fn or_null<T>(out: &mut String, known: Option<T>, write: impl FnOnce(&mut String, T)) {
    match known {
        Some(known) => write(out, known),
        None => out.push_str("null"),
    }
}

/// A text between quotes.
pub(super) fn text(out: &mut String, text: &str) {
    let is_plain = |byte: u8| byte >= b' ' && byte != b'"' && byte != b'\\';
    if text.bytes().all(is_plain) {
        out.push('"');
        out.push_str(text);
        out.push('"');
    } else {
        // Writing to a string can't fail.
        let _ = write!(out, "{}", serde_json::Value::from(text));
    }
}

fn count(out: &mut String, count: u64) {
    let _ = write!(out, "{count}");
}

/// A number with as many digits as tell it from others; JSON has none for what is not finite.
fn number(out: &mut String, number: f64) {
    let _ = write!(out, "{}", serde_json::Value::from(number));
}

fn numbers(out: &mut String, all: &[f64]) {
    out.push('[');
    for (k, one) in all.iter().enumerate() {
        if k > 0 {
            out.push(',');
        }
        number(out, *one);
    }
    out.push(']');
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::Code;
    use crate::geometry::Point;
    use serde_json::{Value, json};

    fn object(finding: &Finding, advice: Advice) -> Value {
        let list: Value = serde_json::from_str(&findings(std::slice::from_ref(finding), advice)).unwrap();
        list[0].clone()
    }

    #[test]
    fn texts_are_escaped_as_the_library_of_json_does() {
        for words in ["plain", "", "Tür \u{7f}", "\"quoted\" back\\slash", "a\nb\t\u{0}", "مقطع\u{2028}"]
        {
            let mut out = String::new();
            text(&mut out, words);
            assert_eq!(out, json!(words).to_string());
        }
        let mut out = String::new();
        numbers(&mut out, &[0.1, -2.0, 1e300, f64::NAN, f64::INFINITY]);
        assert_eq!(out, json!([0.1, -2.0, 1e300, f64::NAN, f64::INFINITY]).to_string());
        assert_eq!(findings(&[], |_| None), "[]");
        let two = [Finding::of(Code::PiecesRepeated), Finding::of(Code::NoEntities)];
        assert_eq!(
            serde_json::from_str::<Value>(&findings(&two, |_| None)).unwrap().as_array().unwrap().len(),
            2
        );
    }

    #[test]
    fn places_are_known_or_null() {
        let messages = Finding::of(Code::NoEntities).in_file(Position::Byte(7)).on_entity(Some(0x1f));
        let value = object(&messages.at(Point::new(10.5, -20.0)), |_| None);
        assert_eq!(value["place"]["byte"], 7);
        assert_eq!(value["place"]["handle"], "1F");
        assert_eq!(value["place"]["point"], json!([10.5, -20.0]));
        for key in ["line", "layer"] {
            assert_eq!(value["place"].get(key), Some(&Value::Null), "{key}");
        }
        assert_eq!(value["hint"], Value::Null);
        let nowhere = object(&Finding::of(Code::PiecesRepeated), |_| None);
        assert_eq!(nowhere["place"]["line"], Value::Null);
    }
}
