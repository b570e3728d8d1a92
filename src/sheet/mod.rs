//! The calculation sheet: pictures of a section, its results in words, and the working.

pub(crate) mod markup;
pub mod picture;
mod png;

pub use png::{LARGEST_WIDTH, PngError, png};
