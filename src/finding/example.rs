//! Findings with made-up values.

use super::{Code, Finding, Position, Value};
use crate::geometry::Point;

impl Finding {
    /// A finding of this kind with made-up values, as many as it can have: to see how it reads.
    pub fn example(code: Code) -> Finding {
        code.keys()
            .into_iter()
            .fold(Finding::of(code), |finding, (key, kind)| finding.with(key, value(key, kind)))
    }
}

fn value(key: &str, kind: &str) -> Value {
    match kind {
        "name" => Value::Name(key.to_uppercase()),
        "layer" => Value::Layer(key.to_uppercase()),
        "count" => Value::Count(3),
        "number" => Value::Number(2.5),
        "ratio" => Value::Ratio(1.25e-9),
        "share" => Value::Share(0.024),
        "bound" => Value::Bound(0.00125),
        "length" => Value::Length(0.125),
        "area" => Value::Area(78.5),
        "areas" => Value::Areas(vec![1200.0, 78.5]),
        "size" => Value::Size([438.0, 419.0]),
        "point" => Value::Point(Point::new(10.0, -20.5)),
        "position" => Value::Position(Position::Line(12)),
        _ => Value::Text(key.to_uppercase()),
    }
}
