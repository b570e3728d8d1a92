//! Section properties of outlines drawn in CAD.

pub mod drawing;
pub mod finding;
pub mod geometry;
pub mod measure;
pub mod outline;
pub mod region;
pub mod schedule;
pub mod section;
