//! Points, boxes, affine maps and the exact curves that bound a section.

mod apart;
mod arc;
mod bernstein;
pub(crate) mod buckets;
mod budget;
mod curve;
mod halving;
pub(crate) mod integral;
mod joint;
mod meet;
mod monotone;
pub(crate) mod near;
mod nearest;
mod order;
mod parameters;
mod point;
pub(crate) mod quadrature;
mod segment;
mod shared;
mod span;

pub use arc::{Arc, EllipseArc};
pub(crate) use budget::Budget;
pub use curve::{Curve, Line};
pub(crate) use joint::meet_at_joint_alone;
pub(crate) use meet::contacts_within;
pub use meet::{Contact, IncompleteContacts, contacts};
pub(crate) use order::in_order;
pub use parameters::Parameters;
pub(crate) use parameters::Stations;
pub(crate) use point::noding_tolerance;
pub use point::{Affine, Bounds, Point};
pub(crate) use segment::Segment;
pub use span::Span;
