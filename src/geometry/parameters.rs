//! The one door for smallvec: lists that are short as a rule, and then need no memory of their own.

use std::ops::{Deref, DerefMut};

pub(super) use smallvec::SmallVec;

use super::point::Point;

/// Parameters of places along a curve, rising: a list as short as a slice of f64. Lines, arcs and ellipse arcs have no more
/// than four places of one kind.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Parameters(SmallVec<[f64; 4]>);

impl Parameters {
    pub(super) fn new() -> Parameters {
        Parameters::default()
    }

    pub(super) fn from_slice(parameters: &[f64]) -> Parameters {
        Parameters(SmallVec::from_slice(parameters))
    }

    pub(super) fn push(&mut self, parameter: f64) {
        self.0.push(parameter);
    }

    pub(super) fn dedup(&mut self) {
        self.0.dedup();
    }
}

impl Deref for Parameters {
    type Target = [f64];

    fn deref(&self) -> &[f64] {
        &self.0
    }
}

impl DerefMut for Parameters {
    fn deref_mut(&mut self) -> &mut [f64] {
        &mut self.0
    }
}

impl From<Vec<f64>> for Parameters {
    fn from(parameters: Vec<f64>) -> Parameters {
        Parameters(parameters.into())
    }
}

impl FromIterator<f64> for Parameters {
    fn from_iter<I: IntoIterator<Item = f64>>(parameters: I) -> Parameters {
        Parameters(parameters.into_iter().collect())
    }
}

impl Extend<f64> for Parameters {
    fn extend<I: IntoIterator<Item = f64>>(&mut self, parameters: I) {
        self.0.extend(parameters);
    }
}

impl IntoIterator for Parameters {
    type Item = f64;
    type IntoIter = smallvec::IntoIter<[f64; 4]>;

    fn into_iter(self) -> Self::IntoIter {
        self.0.into_iter()
    }
}

impl<'a> IntoIterator for &'a Parameters {
    type Item = &'a f64;
    type IntoIter = std::slice::Iter<'a, f64>;

    fn into_iter(self) -> Self::IntoIter {
        self.0.iter()
    }
}

/// Places along a curve, with their parameters: those of [`Parameters`] and both ends.
pub(crate) type Stations = SmallVec<[(f64, Point); 6]>;
