//! What it may cost to find where curves meet.

use super::curve::Curve;

/// The cost of finding contacts, so that curves which run along each other a hair apart, over and over, can't take
/// without end. One unit is a comparison of two pieces of curves, some microseconds.
#[derive(Clone, Debug)]
pub(crate) struct Budget {
    left: usize,
    is_spent: bool,
}

/// The cost of a search for the nearest point of an ellipse arc or a span.
pub(super) const SEARCH: usize = 8;
/// The cost of polishing a crossing.
pub(super) const POLISH: usize = 5;

/// What the nearest point of a curve costs.
pub(super) fn search_of(curve: &Curve) -> usize {
    if curve.has_closed_forms() { 1 } else { SEARCH }
}

impl Budget {
    /// What all pairs of the curves of one outline may cost together. Ellipse arcs and spans that join their neighbours
    /// smoothly, and cross a few others, cost 100 to 200 each. Two spans that part so slowly that they touch along a
    /// thousandth of their length cost 54,000, and some such pairs may meet in one outline.
    pub(crate) fn for_curves(count: usize) -> Budget {
        const AT_ALL: usize = 320_000;
        const EACH: usize = 500;
        Budget::of(AT_ALL.saturating_add(count.saturating_mul(EACH)))
    }

    /// What a pair of curves alone may cost: that of the most crossings that two curves may have.
    pub(super) fn for_one_pair() -> Budget {
        const PAIR: usize = 1_000_000;
        Budget::of(PAIR)
    }

    pub(crate) fn of(units: usize) -> Budget {
        Budget { left: units, is_spent: false }
    }

    /// Takes what something costs. False where not that much is left; nothing more is to be begun then.
    pub(super) fn spend(&mut self, cost: usize) -> bool {
        match self.left.checked_sub(cost) {
            Some(left) if !self.is_spent => self.left = left,
            _ => self.is_spent = true,
        }
        !self.is_spent
    }

    /// Ends the search: something was not sought.
    pub(super) fn give_up(&mut self) {
        self.is_spent = true;
    }

    /// Something was not sought because too little was left.
    pub(crate) fn is_spent(&self) -> bool {
        self.is_spent
    }
}

#[cfg(test)]
mod tests {
    use super::super::meet::contacts_within;
    use super::super::{Affine, Curve, Point, Span};
    use super::*;

    #[test]
    fn a_spandrel_that_runs_out_along_its_base() {
        // y = 50 (x / 80)³ stays within 1e-9 of its size of the base for a thousandth of it.
        let at = |x: f64, y: f64| Point::new(x, y);
        let curve =
            Span::polynomial(vec![at(80.0, 50.0), at(160.0 / 3.0, 0.0), at(80.0 / 3.0, 0.0), at(0.0, 0.0)]);
        let curve = Curve::from(curve.expect("four points"));
        let base = Curve::line(at(0.0, 0.0), at(80.0, 0.0));
        let below = Affine::scaling(1.0, -1.0);
        let mirrored = curve.transformed(&below);
        for other in [&base, &base.reversed(), &mirrored, &mirrored.reversed()] {
            for (a, b) in [(&curve, other), (other, &curve)] {
                let mut budget = Budget::for_curves(3);
                let found = contacts_within(a, b, 8e-8, &mut budget);
                assert!(!budget.is_spent());
                assert!(found.iter().any(|c| c.point == at(0.0, 0.0)), "{found:?}");
            }
        }
    }
}
