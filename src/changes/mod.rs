//! Two schedules against each other: which sections were added, which are gone, which figures changed.
//!
//! [`Rows`] are what a schedule holds, whatever it was read from; [`compare`] pairs those of two schedules [`By`] their
//! names and gives [`Changes`]: everything that differs by more than [`Within`](crate::check::Within) allows.
//!
//! ```
//! use tracearm::changes::{By, DEFAULT_WITHIN, Rows, compare};
//! use tracearm::check::Within;
//!
//! let before = Rows::read(b"section,area_mm2,parts\nLUG,1000,1\nWEB,1800,1\n").map_err(|error| error.to_string())?;
//! // 1000 mm² are 1.55 in² in six digits.
//! let after = Rows::of(&["area_in2", "parts"], [("", "LUG", ["1.55", "2"]), ("", "CAP", ["3", "1"])]);
//! let changes = compare(&before, &after, By::default(), &Within::with_default(DEFAULT_WITHIN, &[]), None)?;
//! let told: Vec<(&str, &str, &str)> = changes
//!     .iter()
//!     .map(|change| (change.kind.word(), change.section, change.value.map_or("", |value| value.column)))
//!     .collect();
//! assert_eq!(told, [("added", "CAP", ""), ("gone", "WEB", ""), ("changed", "LUG", "parts")]);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod change;
mod compare;
mod figure;
mod findings;
mod folders;
mod page;
mod pair;
mod parts;
mod rows;
mod table;
mod unread;

pub use change::{Change, ChangeKind, SectionChange, ValueChange};
pub use compare::{Changes, compare};
pub use findings::{Side, SideFinding};
pub use page::{Detail, write_page};
pub use pair::By;
pub use rows::Rows;

pub use crate::check::TableError;
pub use table::{ChangeColumn, write_csv};

/// The share of its former value that a figure may change by where nothing else is said. A figure of six digits is
/// rounded by up to 5e-6 of itself, so that one figure in two units, or a hair to both sides of where rounding turns,
/// differs by up to 1e-5 without any change; twice that is clear of it.
pub const DEFAULT_WITHIN: f64 = 2e-5;
