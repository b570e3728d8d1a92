//! Numbers in an order.

use std::cmp::Ordering;

/// The numbers below `count` in this order, those that are alike as they come. One sort for all who ask: as WebAssembly each
/// copy of it takes kilobytes.
pub(crate) fn in_order(count: usize, compare: &dyn Fn(usize, usize) -> Ordering) -> Vec<usize> {
    let mut order: Vec<usize> = (0..count).collect();
    order.sort_by(|i, j| compare(*i, *j));
    order
}
