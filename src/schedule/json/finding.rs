//! Findings as objects.

use serde_json::{Map, Value, json};

use crate::drawing::LengthUnit;
use crate::finding::{self, Advice, Finding, Position};

/// A list of findings.
pub(super) fn findings(all: &[Finding], advice: Advice) -> Value {
    all.iter().map(|one| object(one, advice)).collect()
}

fn object(finding: &Finding, advice: Advice) -> Value {
    let place = &finding.place;
    let (line, byte) = match place.position {
        None => (None, None),
        Some(Position::Line(line)) => (Some(line), None),
        Some(Position::Byte(byte)) => (None, Some(byte)),
    };
    let values: Map<String, Value> =
        finding.values().iter().map(|(key, one)| ((*key).to_owned(), value(one))).collect();
    json!({
        "code": finding.code.name(),
        "severity": finding.severity.word(),
        "message": finding.message(),
        "hint": Some(finding.hint(advice)).filter(|hint| !hint.is_empty()),
        "unit": finding.unit().map(LengthUnit::symbol),
        "values": values,
        "place": {
            "line": line,
            "byte": byte,
            "layer": place.layer,
            "handle": place.handle.map(|handle| format!("{handle:X}")),
            "point": place.point.map(|point| [point.x, point.y]),
        },
    })
}

fn value(value: &finding::Value) -> Value {
    let plain = match value {
        finding::Value::Text(text) | finding::Value::Name(text) | finding::Value::Layer(text) => json!(text),
        finding::Value::Count(count) => json!(count),
        finding::Value::Number(number)
        | finding::Value::Ratio(number)
        | finding::Value::Share(number)
        | finding::Value::Bound(number)
        | finding::Value::Length(number)
        | finding::Value::Area(number) => json!(number),
        finding::Value::Areas(areas) => json!(areas),
        finding::Value::Size(size) => json!(size),
        finding::Value::Point(point) => json!([point.x, point.y]),
        finding::Value::Position(Position::Line(line)) => json!({ "line": line }),
        finding::Value::Position(Position::Byte(byte)) => json!({ "byte": byte }),
    };
    json!({ "kind": value.kind(), "value": plain })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::Code;
    use crate::geometry::Point;

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
