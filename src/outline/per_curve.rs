//! What rings have for each of their curves.

use std::borrow::Cow;
use std::iter::FusedIterator;
use std::ops::Deref;

/// One thing for each curve of a ring, in order: a slice to look at. Where the ring is a circle, its only one is made as it is
/// asked for, so that it lives no longer than this does; to keep each, take it by iterating over this by value.
#[derive(Clone, Debug, PartialEq)]
pub struct PerCurve<'a, T>(Held<'a, T>);

#[derive(Clone, Debug, PartialEq)]
enum Held<'a, T> {
    Kept(&'a [T]),
    Made(T),
}

impl<'a, T> PerCurve<'a, T> {
    #[inline]
    pub(super) fn kept(all: &'a [T]) -> PerCurve<'a, T> {
        PerCurve(Held::Kept(all))
    }

    #[inline]
    pub(super) fn made(only: T) -> PerCurve<'a, T> {
        PerCurve(Held::Made(only))
    }
}

impl<'a, T: Clone> PerCurve<'a, T> {
    /// The one of a number, for as long as the ring lives.
    ///
    /// # Panics
    /// Where there are not so many.
    #[inline]
    pub(crate) fn take(self, number: usize) -> Cow<'a, T> {
        match self.0 {
            Held::Kept(all) => Cow::Borrowed(&all[number]),
            Held::Made(only) => Cow::Owned(std::slice::from_ref(&only)[number].clone()),
        }
    }
}

impl<T> Deref for PerCurve<'_, T> {
    type Target = [T];

    #[inline]
    fn deref(&self) -> &[T] {
        match &self.0 {
            Held::Kept(all) => all,
            Held::Made(only) => std::slice::from_ref(only),
        }
    }
}

impl<'a, T: Clone> IntoIterator for PerCurve<'a, T> {
    type Item = Cow<'a, T>;
    type IntoIter = EachCurve<'a, T>;

    fn into_iter(self) -> EachCurve<'a, T> {
        match self.0 {
            Held::Kept(all) => EachCurve { kept: all.iter(), made: None },
            Held::Made(only) => EachCurve { kept: [].iter(), made: Some(only) },
        }
    }
}

impl<'a, T> IntoIterator for &'a PerCurve<'_, T> {
    type Item = &'a T;
    type IntoIter = std::slice::Iter<'a, T>;

    fn into_iter(self) -> std::slice::Iter<'a, T> {
        self.iter()
    }
}

/// Iterates over a [`PerCurve`] by value.
#[derive(Clone, Debug)]
pub struct EachCurve<'a, T> {
    kept: std::slice::Iter<'a, T>,
    made: Option<T>,
}

impl<'a, T: Clone> Iterator for EachCurve<'a, T> {
    type Item = Cow<'a, T>;

    #[inline]
    fn next(&mut self) -> Option<Cow<'a, T>> {
        self.made.take().map(Cow::Owned).or_else(|| self.kept.next().map(Cow::Borrowed))
    }

    fn size_hint(&self) -> (usize, Option<usize>) {
        let count = self.kept.len() + usize::from(self.made.is_some());
        (count, Some(count))
    }
}

impl<T: Clone> ExactSizeIterator for EachCurve<'_, T> {}
impl<T: Clone> FusedIterator for EachCurve<'_, T> {}
