//! Section properties of outlines drawn in CAD.

pub mod drawing;
pub mod finding;
pub mod geometry;
