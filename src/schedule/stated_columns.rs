//! The table of the columns for second moments about axes that a job states.

use super::columns::{Column, Quantity, Value, column, place};
use crate::measure::{Measurement, Stated};
use Quantity::{Degrees, Length};

/// A figure about the stated axes.
fn stated(m: &Measurement, value: impl Fn(&Stated) -> f64) -> Value {
    m.stated.as_ref().map_or(Value::Empty, |s| Value::Number { value: value(s), scale: 0.0 })
}

/// A coordinate of the stated point.
fn place_of(m: &Measurement, value: impl Fn(&Stated) -> f64) -> Value {
    m.stated.as_ref().map_or(Value::Empty, |s| place(m, |_| value(s)))
}

/// The columns that follow where a section of a job states axes of its own, in their order; empty in the rows of those
/// that state none.
pub const STATED_COLUMNS: [Column; 6] = [
    column("stated_point_x", Length(1), "x of the point that the stated axes run through", |m| {
        place_of(m, |s| s.point.x)
    }),
    column("stated_point_y", Length(1), "y of that point", |m| place_of(m, |s| s.point.y)),
    column("stated_angle", Degrees, "from +x anticlockwise to the stated first axis", |m| {
        stated(m, |s| s.angle)
    }),
    column(
        "stated_second_moment_x",
        Length(4),
        "second moment about the stated first axis: ∬v² dA, v at right angles to it",
        |m| stated(m, |s| s.moments.x),
    ),
    column(
        "stated_second_moment_y",
        Length(4),
        "second moment about the stated second axis: ∬u² dA, u along the first",
        |m| stated(m, |s| s.moments.y),
    ),
    column("stated_product_moment_xy", Length(4), "∬uv dA about the stated axes", |m| {
        m.stated.as_ref().map_or(Value::Empty, |s| Value::Number {
            value: s.moments.xy,
            scale: (s.moments.x * s.moments.y).sqrt(),
        })
    }),
];
