//! Points, boxes, affine maps and the exact curves that bound a section.

mod bernstein;
mod curve;
mod point;
pub(crate) mod quadrature;

pub use curve::{Arc, Curve, EllipseArc, Line, Span};
pub use point::{Affine, Bounds, Point};
