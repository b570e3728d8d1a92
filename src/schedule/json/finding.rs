//! Findings as objects, and back.

use serde_json::{Map, Value, json};

use crate::drawing::LengthUnit;
use crate::finding::{self, Advice, Code, Finding, Position, Severity};
use crate::geometry::Point;

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

/// The findings that a list stands for; `None` for another list.
pub(super) fn as_findings(list: &Value) -> Option<Vec<Finding>> {
    list.as_array()?.iter().map(as_finding).collect()
}

fn as_finding(object: &Value) -> Option<Finding> {
    let text = |value: &Value, key: &str| value.get(key)?.as_str().map(str::to_owned);
    let code: Code = object.get("code")?.as_str()?.parse().ok()?;
    let severity = object.get("severity")?.as_str()?;
    let severities = [Severity::Note, Severity::Warning, Severity::Failure];
    let severity = severities.into_iter().find(|known| known.word() == severity)?;
    let mut finding = Finding::of(code).weighing(severity);
    match object.get("unit")? {
        Value::Null => {}
        symbol => finding = finding.in_unit(LengthUnit::from_symbol(symbol.as_str()?)?),
    }
    for (key, kind) in code.keys() {
        if let Some(value) = object.get("values")?.get(key) {
            finding = finding.with(key, as_value(kind, value.get("value")?)?);
        }
    }
    let place = object.get("place")?;
    let number = |key: &str| place.get(key).and_then(Value::as_u64);
    finding.place.position = number("line").map(Position::Line).or(number("byte").map(Position::Byte));
    finding.place.layer = text(place, "layer");
    let handle = text(place, "handle");
    finding.place.handle = handle.and_then(|digits| u64::from_str_radix(&digits, 16).ok());
    finding.place.point = place.get("point").and_then(pair).map(|[x, y]| Point::new(x, y));
    Some(finding).filter(Finding::is_complete)
}

fn as_value(kind: &str, value: &Value) -> Option<finding::Value> {
    let text = || value.as_str().map(str::to_owned);
    Some(match kind {
        "text" => finding::Value::Text(text()?),
        "name" => finding::Value::Name(text()?),
        "layer" => finding::Value::Layer(text()?),
        "count" => finding::Value::Count(value.as_u64()?),
        "number" => finding::Value::Number(value.as_f64()?),
        "ratio" => finding::Value::Ratio(value.as_f64()?),
        "share" => finding::Value::Share(value.as_f64()?),
        "bound" => finding::Value::Bound(value.as_f64()?),
        "length" => finding::Value::Length(value.as_f64()?),
        "area" => finding::Value::Area(value.as_f64()?),
        "areas" => finding::Value::Areas(value.as_array()?.iter().map(Value::as_f64).collect::<Option<_>>()?),
        "size" => finding::Value::Size(pair(value)?),
        "point" => pair(value).map(|[x, y]| finding::Value::Point(Point::new(x, y)))?,
        "position" => finding::Value::Position(match (value.get("line"), value.get("byte")) {
            (Some(line), _) => Position::Line(line.as_u64()?),
            (None, byte) => Position::Byte(byte?.as_u64()?),
        }),
        _ => return None,
    })
}

fn pair(value: &Value) -> Option<[f64; 2]> {
    match value.as_array()?.as_slice() {
        [x, y] => Some([x.as_f64()?, y.as_f64()?]),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

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

    #[test]
    fn every_finding_comes_back_as_it_was() {
        for code in Code::ALL {
            let all = Finding::example(*code).in_unit(LengthUnit::Inch).on_layer("A \u{202e}\n");
            let list = findings(std::slice::from_ref(&all), Code::advice);
            assert_eq!(as_findings(&list), Some(vec![all]), "{code}");
        }
        let bare = findings(&[Finding::of(Code::OutlineMeetsItself)], Code::advice);
        assert_eq!(as_findings(&bare), None, "a value is missing");
        for other in [json!({}), json!([{}]), json!([{ "code": "no-such-code" }])] {
            assert_eq!(as_findings(&other), None, "{other}");
        }
    }
}
