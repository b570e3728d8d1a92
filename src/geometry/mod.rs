//! Points, boxes, affine maps and the exact curves that bound a section.

mod bernstein;
mod curve;
mod halving;
mod meet;
pub(crate) mod near;
mod point;
pub(crate) mod quadrature;

pub use curve::{Arc, Curve, EllipseArc, Line, Span};
pub use meet::{Contact, contacts};
pub use point::{Affine, Bounds, Point};
