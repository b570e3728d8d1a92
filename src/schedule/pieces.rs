//! The pieces of each section: one row for each closed outline, with what it adds to the section's figures.

use std::io::{self, Write};

use super::csv_writer::{TableWriter, cell};
use super::{Quantity, Style, Value, heading};
use crate::finding::Position;
use crate::measure::{MeasuredPiece, Measurement};
use crate::section::{Enclosed, Section};

use Quantity::{Count, Length, Ratio, Text};

/// A piece of a section.
pub struct PieceRow<'a> {
    section: &'a Measurement,
    properties: &'a Section,
    piece: &'a MeasuredPiece,
    number: usize,
    enclosed: Enclosed,
    shared_area: f64,
}

impl std::fmt::Debug for PieceRow<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("PieceRow").finish_non_exhaustive()
    }
}

/// A column of the list of pieces.
pub struct PieceColumn {
    /// Name without unit.
    pub key: &'static str,
    /// What it holds.
    pub quantity: Quantity,
    /// Definition.
    pub definition: &'static str,
    value: fn(&PieceRow) -> Value,
}

impl std::fmt::Debug for PieceColumn {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_tuple("PieceColumn").field(&self.key).finish()
    }
}

impl<'a> PieceRow<'a> {
    /// The pieces of a section, from left to right; none where there are no properties.
    pub fn all(section: &'a Measurement) -> Vec<PieceRow<'a>> {
        let Some(properties) = section.properties() else { return Vec::new() };
        let mut rows: Vec<PieceRow> = section
            .pieces
            .iter()
            .enumerate()
            .map(|(k, piece)| PieceRow {
                section,
                properties,
                piece,
                number: k + 1,
                enclosed: Enclosed::by(&piece.piece.ring),
                shared_area: 0.0,
            })
            .collect();
        let sum: f64 = rows.iter().map(|row| row.piece.ratio() * row.area()).sum();
        rows.iter_mut().for_each(|row| row.shared_area = sum - properties.area);
        rows
    }

    /// The piece as it was measured.
    pub fn piece(&self) -> &'a MeasuredPiece {
        self.piece
    }

    /// Number of the piece within the section, from 1.
    pub fn number(&self) -> usize {
        self.number
    }

    /// What its outline encloses; positive also for a void.
    pub fn enclosed(&self) -> &Enclosed {
        &self.enclosed
    }

    /// 1 for solid, −1 for void: what is summed.
    pub fn sign(&self) -> f64 {
        if self.piece.piece.solid { 1.0 } else { -1.0 }
    }

    /// The area with its sign.
    fn area(&self) -> f64 {
        self.sign() * self.enclosed.area
    }

    fn distance_x(&self) -> f64 {
        self.enclosed.centroid.x - self.properties.centroid.x
    }

    fn distance_y(&self) -> f64 {
        self.enclosed.centroid.y - self.properties.centroid.y
    }

    /// The elastic modulus at a fibre of this piece, for stresses in its own material.
    fn elastic(&self, second_moment: f64, distance: f64) -> Value {
        if self.piece.piece.solid {
            Value::Number {
                value: second_moment / (self.piece.ratio() * distance),
                scale: 0.0,
                place_in: None,
            }
        } else {
            Value::Empty
        }
    }
}

fn number(value: f64) -> Value {
    Value::Number { value, scale: 0.0, place_in: None }
}

/// A number that is a difference of coordinates, or grows with one.
fn offset(row: &PieceRow, value: f64, power: i32) -> Value {
    let size = row.properties.extent.size().max(row.properties.extent.reach());
    let rest = if power > 1 { row.enclosed.area.abs() } else { 1.0 };
    let others = if power > 3 { row.properties.extent.size() } else { 1.0 };
    Value::Number { value, scale: size * rest * others, place_in: None }
}

/// A coordinate.
fn place(row: &PieceRow, value: f64) -> Value {
    let extent = &row.properties.extent;
    Value::Number { value, scale: extent.size().max(extent.reach()), place_in: Some(extent.size()) }
}

const fn column(
    key: &'static str,
    quantity: Quantity,
    definition: &'static str,
    value: fn(&PieceRow) -> Value,
) -> PieceColumn {
    PieceColumn { key, quantity, definition, value }
}

/// The columns in their order. Figures of voids are negative, so that each column can be summed.
pub const PIECE_COLUMNS: &[PieceColumn] = &[
    column("drawing", Text, "path of the drawing as it was given", |r| {
        Value::Text(r.section.drawing.clone())
    }),
    column("section", Text, "name of the section", |r| Value::Text(r.section.section.clone())),
    column("piece", Count, "number of the piece within the section, from left to right", |r| {
        Value::Count(r.number)
    }),
    column("kind", Text, "solid | void", |r| {
        Value::Text(if r.piece.piece.solid { "solid" } else { "void" }.to_owned())
    }),
    column("material", Text, "material, where the section has several", |r| {
        Value::Text(r.piece.material().to_owned())
    }),
    column("modular_ratio", Ratio, "modulus of the material over that of the reference material", |r| {
        number(r.piece.ratio())
    }),
    column("line", Count, "line of the text DXF where its first entity begins", |r| {
        match r.piece.piece.ring.origin().position {
            Some(Position::Line(line)) => Value::Count(usize::try_from(line).unwrap_or(usize::MAX)),
            _ => Value::Empty,
        }
    }),
    column("byte", Count, "bytes before its first entity in the binary DXF", |r| {
        match r.piece.piece.ring.origin().position {
            Some(Position::Byte(byte)) => Value::Count(usize::try_from(byte).unwrap_or(usize::MAX)),
            _ => Value::Empty,
        }
    }),
    column("handle", Text, "handle of that entity", |r| match r.piece.piece.ring.origin().handle {
        Some(handle) => Value::Text(format!("{handle:X}")),
        None => Value::Empty,
    }),
    column("area", Length(2), "area of the piece; negative for a void", |r| number(r.area())),
    column("centroid_x", Length(1), "its own centroid, drawing coordinates", |r| {
        place(r, r.enclosed.centroid.x)
    }),
    column("centroid_y", Length(1), "its own centroid", |r| place(r, r.enclosed.centroid.y)),
    column(
        "second_moment_x",
        Length(4),
        "about the axis through its own centroid parallel to x; negative for a void, as all that follow",
        |r| number(r.sign() * r.enclosed.second_moments.x),
    ),
    column("second_moment_y", Length(4), "about the axis through its own centroid parallel to y", |r| {
        number(r.sign() * r.enclosed.second_moments.y)
    }),
    column("product_moment_xy", Length(4), "about the axes through its own centroid", |r| {
        let own = &r.enclosed.second_moments;
        Value::Number { value: r.sign() * own.xy, scale: (own.x * own.y).sqrt(), place_in: None }
    }),
    column("distance_x", Length(1), "its centroid_x − the section's", |r| offset(r, r.distance_x(), 1)),
    column("distance_y", Length(1), "its centroid_y − the section's", |r| offset(r, r.distance_y(), 1)),
    column("transfer_x", Length(4), "area × distance_y²: second_moment_x + transfer_x is its share", |r| {
        offset(r, r.area() * r.distance_y().powi(2), 4)
    }),
    column("transfer_y", Length(4), "area × distance_x²", |r| {
        offset(r, r.area() * r.distance_x().powi(2), 4)
    }),
    column("transfer_xy", Length(4), "area × distance_x × distance_y", |r| {
        offset(r, r.area() * r.distance_x() * r.distance_y(), 4)
    }),
    column(
        "first_moment_x",
        Length(3),
        "modular ratio × area × distance_y: first moment about the section's axis parallel to x, for the shear flow at its \
         joint",
        |r| offset(r, r.piece.ratio() * r.area() * r.distance_y(), 3),
    ),
    column(
        "first_moment_y",
        Length(3),
        "modular ratio × area × distance_x: about the section's axis parallel to y",
        |r| offset(r, r.piece.ratio() * r.area() * r.distance_x(), 3),
    ),
    column(
        "elastic_modulus_x_top",
        Length(3),
        "the section's second_moment_x / (modular ratio × distance from its axis up to the piece's highest fibre); \
         negative where that lies below the axis; empty for a void, as those that follow",
        |r| {
            r.elastic(
                r.properties.second_moments.x,
                r.piece.piece.ring.bounds().max.y - r.properties.centroid.y,
            )
        },
    ),
    column("elastic_modulus_x_bottom", Length(3), "down to the piece's lowest fibre", |r| {
        r.elastic(r.properties.second_moments.x, r.properties.centroid.y - r.piece.piece.ring.bounds().min.y)
    }),
    column("elastic_modulus_y_left", Length(3), "to the piece's leftmost fibre", |r| {
        r.elastic(r.properties.second_moments.y, r.properties.centroid.x - r.piece.piece.ring.bounds().min.x)
    }),
    column("elastic_modulus_y_right", Length(3), "to the piece's rightmost fibre", |r| {
        r.elastic(r.properties.second_moments.y, r.piece.piece.ring.bounds().max.x - r.properties.centroid.x)
    }),
    column(
        "shared_area",
        Length(2),
        "by how much the pieces of the section, times their modular ratios, come to more than its area, because they \
         overlap; less where a void reaches past the solid",
        |r| Value::Number { value: r.shared_area, scale: r.properties.area, place_in: None },
    ),
    column("status", Text, "status of the section: ok | warning | failed", |r| {
        Value::Text(r.section.status().word().to_owned())
    }),
];

/// The cells of a section's pieces, a row for each; none where it was not measured.
pub fn cells(section: &Measurement, style: Style) -> Vec<Vec<String>> {
    let row = |row: PieceRow| {
        PIECE_COLUMNS.iter().map(|c| cell((c.value)(&row), c.quantity, section.unit, style)).collect()
    };
    PieceRow::all(section).into_iter().map(row).collect()
}

/// A list of pieces being written as CSV.
pub struct PieceTable<W: Write>(TableWriter<W>);

impl<W: Write> PieceTable<W> {
    /// Writes the headings.
    ///
    /// # Errors
    /// Those of `out`.
    pub fn begin(style: Style, out: W) -> io::Result<PieceTable<W>> {
        let headings = PIECE_COLUMNS.iter().map(|c| heading(c.key, c.quantity, style.unit));
        TableWriter::begin(headings, style.decimal, out).map(PieceTable)
    }

    /// Writes the [`cells`] of a piece.
    ///
    /// # Errors
    /// Those of the output.
    pub fn push(&mut self, cells: &[String]) -> io::Result<()> {
        self.0.push(cells)
    }

    /// Writes what is still held back, and hands the output back.
    ///
    /// # Errors
    /// Those of the output.
    pub fn finish(self) -> io::Result<W> {
        self.0.finish()
    }
}

impl<W: Write> std::fmt::Debug for PieceTable<W> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("PieceTable").finish_non_exhaustive()
    }
}

/// Writes the pieces of all sections that were measured, as CSV.
///
/// # Errors
/// Those of `out`.
pub fn write(measurements: &[Measurement], style: Style, out: impl Write) -> io::Result<()> {
    let mut table = PieceTable::begin(style, out)?;
    for row in measurements.iter().flat_map(|section| cells(section, style)) {
        table.push(&row)?;
    }
    table.finish()?.flush()
}
