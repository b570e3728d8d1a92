//! The one table of columns, from which every output and the README's column list come.

use crate::measure::Measurement;
use crate::section::{ElasticModuli, PlasticModuli, Section};

/// What a column holds, and so which unit it has.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Quantity {
    /// Words.
    Text,
    /// A whole number.
    Count,
    /// A length to this power.
    Length(i32),
    /// An angle in degrees.
    Degrees,
    /// Mass per length, always kg/m.
    MassPerLength,
    /// Mass, always kg.
    Mass,
    /// A number without unit.
    Ratio,
}

/// A cell before it is written.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// Words.
    Text(String),
    /// A whole number.
    Count(usize),
    /// A number in the drawing's unit, with the scale of which it is a part: below a 1e-12 share of that it is rounding.
    Number {
        /// The value.
        value: f64,
        /// Its natural scale, never negative; 0 where every digit counts.
        scale: f64,
    },
    /// Not known.
    Empty,
}

/// A column of the schedule.
pub struct Column {
    /// Name without unit.
    pub key: &'static str,
    /// What it holds.
    pub quantity: Quantity,
    /// Definition.
    pub definition: &'static str,
    value: fn(&Measurement) -> Value,
}

impl Column {
    /// The column's value for a measurement.
    pub fn value(&self, measurement: &Measurement) -> Value {
        (self.value)(measurement)
    }

    /// Whether the column holds the findings, which some formats write as a list of their own.
    pub(super) fn holds_findings(&self) -> bool {
        self.key == "findings"
    }
}

const fn text(key: &'static str, definition: &'static str, value: fn(&Measurement) -> Value) -> Column {
    Column { key, quantity: Quantity::Text, definition, value }
}

pub(super) const fn column(
    key: &'static str,
    quantity: Quantity,
    definition: &'static str,
    value: fn(&Measurement) -> Value,
) -> Column {
    Column { key, quantity, definition, value }
}

/// A number of the section with the natural scale of its kind.
fn of(m: &Measurement, value: impl Fn(&Section) -> f64, scale: impl Fn(&Section) -> f64) -> Value {
    match &m.properties {
        Some(s) => Value::Number { value: value(s), scale: scale(s) },
        None => Value::Empty,
    }
}

/// A number that is never rounding alone.
pub(super) fn plain(m: &Measurement, value: impl Fn(&Section) -> f64) -> Value {
    of(m, value, |_| 0.0)
}

/// A coordinate: rounding when small against the section and its distance from the origin.
pub(super) fn place(m: &Measurement, value: impl Fn(&Section) -> f64) -> Value {
    of(m, value, |s| s.extent.size().max(s.extent.reach()))
}

fn elastic(m: &Measurement, principal: bool, modulus: impl Fn(&ElasticModuli) -> f64) -> Value {
    plain(m, |s| modulus(if principal { &s.elastic_principal } else { &s.elastic }))
}

fn plastic(m: &Measurement, principal: bool, modulus: impl Fn(&PlasticModuli) -> f64) -> Value {
    let chosen = |s: &Section| if principal { s.plastic_principal } else { s.plastic };
    match m.properties.as_ref().and_then(chosen) {
        Some(p) => Value::Number { value: modulus(&p), scale: 0.0 },
        None => Value::Empty,
    }
}

/// Where an equal-area axis lies.
fn plastic_axis(m: &Measurement, level: impl Fn(&PlasticModuli) -> f64) -> Value {
    match m.properties.as_ref().and_then(|s| s.plastic) {
        Some(p) => place(m, |_| level(&p)),
        None => Value::Empty,
    }
}

fn count(m: &Measurement, value: impl Fn(&Section) -> usize) -> Value {
    m.properties.as_ref().map_or(Value::Empty, |s| Value::Count(value(s)))
}

use Quantity::{Count, Degrees, Length, MassPerLength, Ratio};

/// The columns in their order.
pub const COLUMNS: [Column; 41] = [
    text("drawing", "path of the drawing as it was given", |m| Value::Text(m.drawing.clone())),
    text(
        "section",
        "name of the section: the layer's name; layer#1, layer#2 ... when each part is a section; the name in the job file",
        |m| Value::Text(m.section.clone()),
    ),
    text("layer", "layer (several joined by +)", |m| Value::Text(m.layer.clone())),
    text("status", "ok | warning | failed", |m| Value::Text(m.status().word().to_owned())),
    column("parts", Count, "number of separate solid parts", |m| count(m, |s| s.parts)),
    column("holes", Count, "number of holes", |m| count(m, |s| s.holes)),
    column("area", Length(2), "∬dA", |m| plain(m, |s| s.area)),
    column("perimeter", Length(1), "length of all boundary, holes included", |m| plain(m, |s| s.perimeter)),
    column("x_min", Length(1), "extent of the solid in drawing coordinates", |m| {
        place(m, |s| s.extent.min.x)
    }),
    column("x_max", Length(1), "rightmost point of the solid", |m| place(m, |s| s.extent.max.x)),
    column("y_min", Length(1), "lowest point of the solid", |m| place(m, |s| s.extent.min.y)),
    column("y_max", Length(1), "uppermost point of the solid", |m| place(m, |s| s.extent.max.y)),
    column("centroid_x", Length(1), "∬x dA / ∬dA, drawing coordinates", |m| place(m, |s| s.centroid.x)),
    column("centroid_y", Length(1), "∬y dA / ∬dA", |m| place(m, |s| s.centroid.y)),
    column("second_moment_x", Length(4), "∬(y−centroid_y)² dA", |m| plain(m, |s| s.second_moments.x)),
    column("second_moment_y", Length(4), "∬(x−centroid_x)² dA", |m| plain(m, |s| s.second_moments.y)),
    column("product_moment_xy", Length(4), "∬(x−centroid_x)(y−centroid_y) dA", |m| {
        of(
            m,
            |s| s.second_moments.xy,
            |s| {
                // Rounding of the coordinates grows with their distance from the origin.
                (s.second_moments.x * s.second_moments.y).sqrt()
                    * (s.extent.reach() / s.extent.size()).max(1.0)
            },
        )
    }),
    column("second_moment_1", Length(4), "larger principal second moment", |m| plain(m, |s| s.principal.i_1)),
    column("second_moment_2", Length(4), "smaller principal second moment", |m| {
        plain(m, |s| s.principal.i_2)
    }),
    column(
        "principal_angle",
        Degrees,
        "from +x anticlockwise to axis 1, the axis about which the second moment is second_moment_1; in (−90, 90]; 0 where both are equal within 1e-9",
        |m| {
            of(
                m,
                |s| s.principal.angle.to_degrees(),
                |s| 90.0 * (s.extent.reach() / s.extent.size()).max(1.0),
            )
        },
    ),
    column("gyration_x", Length(1), "√(second_moment_x / area)", |m| plain(m, Section::gyration_x)),
    column("gyration_y", Length(1), "√(second_moment_y / area)", |m| plain(m, Section::gyration_y)),
    column("gyration_1", Length(1), "√(second_moment_1 / area)", |m| plain(m, Section::gyration_1)),
    column("gyration_2", Length(1), "√(second_moment_2 / area)", |m| plain(m, Section::gyration_2)),
    column("elastic_modulus_x_top", Length(3), "second_moment_x / (y_max − centroid_y)", |m| {
        elastic(m, false, |e| e.top)
    }),
    column("elastic_modulus_x_bottom", Length(3), "second_moment_x / (centroid_y − y_min)", |m| {
        elastic(m, false, |e| e.bottom)
    }),
    column("elastic_modulus_y_left", Length(3), "second_moment_y / (centroid_x − x_min)", |m| {
        elastic(m, false, |e| e.left)
    }),
    column("elastic_modulus_y_right", Length(3), "second_moment_y / (x_max − centroid_x)", |m| {
        elastic(m, false, |e| e.right)
    }),
    column(
        "elastic_modulus_1_top",
        Length(3),
        "as for x, with the page turned so that axis 1 runs to the right",
        |m| elastic(m, true, |e| e.top),
    ),
    column(
        "elastic_modulus_1_bottom",
        Length(3),
        "on the turned page: second_moment_1 / distance from axis 1 to the lowest fibre",
        |m| elastic(m, true, |e| e.bottom),
    ),
    column(
        "elastic_modulus_2_left",
        Length(3),
        "on the turned page: second_moment_2 / distance from axis 2 to the leftmost fibre",
        |m| elastic(m, true, |e| e.left),
    ),
    column(
        "elastic_modulus_2_right",
        Length(3),
        "on the turned page: second_moment_2 / distance from axis 2 to the rightmost fibre",
        |m| elastic(m, true, |e| e.right),
    ),
    column(
        "plastic_modulus_x",
        Length(3),
        "first moments of both halves about the equal-area axis parallel to x",
        |m| plastic(m, false, |p| p.right),
    ),
    column("plastic_modulus_y", Length(3), "the same about the equal-area axis parallel to y", |m| {
        plastic(m, false, |p| p.upright)
    }),
    column("plastic_modulus_1", Length(3), "about the equal-area axis parallel to axis 1", |m| {
        plastic(m, true, |p| p.right)
    }),
    column("plastic_modulus_2", Length(3), "about the equal-area axis parallel to axis 2", |m| {
        plastic(m, true, |p| p.upright)
    }),
    column("plastic_axis_y", Length(1), "y of the equal-area axis parallel to x", |m| {
        plastic_axis(m, |p| p.level_y)
    }),
    column("plastic_axis_x", Length(1), "x of the equal-area axis parallel to y", |m| {
        plastic_axis(m, |p| p.level_x)
    }),
    column("mass_per_length", MassPerLength, "area × density (empty without a density)", |m| {
        m.mass_per_length().map_or(Value::Empty, |value| Value::Number { value, scale: 0.0 })
    }),
    column(
        "strip_check",
        Ratio,
        "largest relative difference between the boundary integrals and the two strip integrations (upright, flat), over area, first and second moments",
        |m| plain(m, |s| s.strip_check),
    ),
    text("findings", "what the reader must know, separated by ' | ' (empty when there is nothing)", |m| {
        let all: Vec<String> = m.findings.iter().map(ToString::to_string).collect();
        Value::Text(all.join(" | "))
    }),
];
