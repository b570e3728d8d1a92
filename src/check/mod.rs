//! Sections held against expected values: a library of shapes against the tables that it was drawn from.
//!
//! [`Expected`] is a table with any of the schedule's columns, [`Within`] says how far a figure may be off, and
//! [`compare`] gives a [`Figure`] for each cell that something is expected of.

mod alike;
mod compare;
mod expected;
mod names;
mod page;
mod table;
mod table_error;
mod within;

pub use alike::PEOPLES_COLUMNS;
pub(crate) use alike::{
    DIFFERENCE, Lines, MOST_COLUMNS, between, by_heading, first_of, miscounted, not_compared, text_of,
    unknown, without_commas, write_cells,
};
pub use compare::{Comparison, Figure, Found, compare};
pub use expected::Expected;
pub use page::write_page;
pub use table::{CheckColumn, write_csv};
pub use table_error::TableError;
pub use within::{DEFAULT_WITHIN, Tolerance, Within};
