//! Outlines that are not quite closed, where what others are hangs on them.

use super::Traced;
use crate::finding::{Code, Finding};
use crate::outline::{Origin, Ring};

/// The failure that comes of a nearly closed outline which goes round closed ones, or lies within one: whether those are
/// solid or holes, or whether it is a hole itself, can't be told without it.
pub(super) fn deciding(traced: &Traced, voids: &Traced) -> Option<Finding> {
    let closed: Vec<&Ring> = traced.all_rings().collect();
    let (around, within) = of(&traced.nearly_closed, &closed);
    let (around_void, within_void) = of(&voids.nearly_closed, &closed);
    let (around, within) = (around.or(around_void), within.or(within_void));
    let (code, (count, ring)) = match (around, within) {
        (Some(found), _) => (Code::OpenOutlineAround, found),
        (None, Some(found)) => (Code::OpenOutlineWithin, found),
        (None, None) => return None,
    };
    let Origin { position, handle } = ring.origin();
    let finding = Finding::of(code).with("count", count).at(ring.curves()[0].start());
    Some(finding.in_file(position).on_entity(handle))
}

/// How many rings, and which nearly closed outline.
type Found<'a> = Option<(usize, &'a Ring)>;

/// The nearly closed outline that goes round most of the closed ones, and the one that lies within most of them.
fn of<'a>(nearly: &'a [Ring], closed: &[&Ring]) -> (Found<'a>, Found<'a>) {
    let most = |count: &dyn Fn(&Ring) -> usize| {
        let counted = nearly.iter().map(|ring| (count(ring), ring)).filter(|(count, _)| *count > 0);
        counted.rev().max_by_key(|(count, _)| *count)
    };
    let around = most(&|ring| closed.iter().filter(|other| lies_in(other, ring)).count());
    let within = most(&|ring| closed.iter().filter(|other| lies_in(ring, other)).count());
    (around, within)
}

/// Most of the places looked at lie inside; what merely crosses the other has no part in what the other is.
fn lies_in(inner: &Ring, outer: &Ring) -> bool {
    /// Odd shares, so that an outline drawn with symmetry is not looked at where it touches.
    const SHARES: [f64; 3] = [0.271, 0.5, 0.683];
    let curves = inner.curves();
    outer.bounds().contains(&inner.bounds())
        && SHARES
            .iter()
            .filter(|share| {
                let curve = &curves[(**share * curves.len() as f64) as usize];
                outer.contains(curve.at(**share))
            })
            .count()
            >= 2
}
