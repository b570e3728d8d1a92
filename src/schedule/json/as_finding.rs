//! Findings that were written as objects, for a ledger that keeps them so.

use serde_json::Value;

use crate::drawing::LengthUnit;
use crate::finding::{self, Code, Finding, Position, Severity};
use crate::geometry::Point;

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
    use serde_json::json;

    use super::super::finding;
    use super::*;

    fn findings(all: &[Finding], advice: crate::finding::Advice) -> Value {
        serde_json::from_str(&finding::findings(all, advice)).unwrap()
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
