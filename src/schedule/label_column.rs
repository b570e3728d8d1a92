//! The column that names parts by what is written in the drawing.

use super::columns::{Column, Quantity, Value, column};

/// The column that follows the [`COLUMNS`](super::COLUMNS) where each part has a row; empty where nothing is written in
/// the part or beside it.
pub const LABEL_COLUMN: Column = column(
    "label",
    Quantity::Text,
    "what is written inside the part, several texts separated by |; else the text that is nearest to it",
    |m| m.label.clone().map_or(Value::Empty, Value::Text),
);
