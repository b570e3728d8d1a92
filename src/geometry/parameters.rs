//! The one door for smallvec: lists that are short as a rule, and then need no memory of their own.

pub(super) use smallvec::SmallVec;

use super::point::Point;

/// Parameters of places along a curve, rising. Lines, arcs and ellipse arcs have no more than four places of one kind.
pub type Parameters = SmallVec<[f64; 4]>;

/// Places along a curve, with their parameters: those of [`Parameters`] and both ends.
pub(crate) type Stations = SmallVec<[(f64, Point); 6]>;
