//! The table of the columns that a schedule of plates has after the others.

use super::columns::{Column, Quantity, Value, column, place};
use crate::measure::{Measurement, Plate};
use Quantity::{Count, Degrees, Length, Mass};

/// A number of the plate that is never rounding alone.
fn plain(m: &Measurement, value: impl Fn(&Plate) -> f64) -> Value {
    m.plate.as_ref().map_or(Value::Empty, |p| Value::Number { value: value(p), scale: 0.0 })
}

/// A coordinate of the plate.
fn place_of(m: &Measurement, value: impl Fn(&Plate) -> f64) -> Value {
    m.plate.as_ref().map_or(Value::Empty, |p| place(m, |_| value(p)))
}

/// The columns that follow the [`COLUMNS`](super::COLUMNS) where sections are plates, in their order; empty in the rows
/// of sections that could not be measured.
pub const PLATE_COLUMNS: [Column; 9] = [
    column("thickness", Length(1), "thickness of the plate, as given", |m| plain(m, |p| p.thickness)),
    column("mass", Mass, "area × thickness × density (empty without a density)", |m| {
        m.mass().map_or(Value::Empty, |value| Value::Number { value, scale: 0.0 })
    }),
    column("cut_length", Length(1), "length of all edges that are cut, holes included", |m| {
        plain(m, |p| p.cut_length)
    }),
    column("pierces", Count, "number of closed cuts: one for each outer edge and one for each hole", |m| {
        m.plate.as_ref().map_or(Value::Empty, |p| Value::Count(p.pierces))
    }),
    column(
        "stock_length",
        Length(1),
        "longer side of the rectangle of least area that holds the section, turned freely, without allowance for the cut",
        |m| plain(m, |p| p.stock.length),
    ),
    column("stock_width", Length(1), "shorter side of that rectangle", |m| plain(m, |p| p.stock.width)),
    column(
        "stock_angle",
        Degrees,
        "from +x anticlockwise to the longer side of that rectangle; in (−90, 90]; of equally small ones the upright one counts, else the one along the longest straight edge",
        |m| plain(m, |p| p.stock.angle.to_degrees()),
    ),
    column("balance_x", Length(1), "x of the point over which the plate balances: its centroid", |m| {
        place_of(m, |p| p.balance.x)
    }),
    column("balance_y", Length(1), "y of that point", |m| place_of(m, |p| p.balance.y)),
];
