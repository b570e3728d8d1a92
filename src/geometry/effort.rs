//! What it may cost to find where curves meet.

/// The cost of finding contacts, so that curves which run along each other a hair apart, over and over, can't take
/// without end. One unit is a comparison of two pieces of curves, some microseconds.
#[derive(Clone, Debug)]
pub(crate) struct Effort {
    left: usize,
    is_spent: bool,
}

/// The cost of a search for the nearest point of a curve.
pub(super) const SEARCH: usize = 8;
/// The cost of polishing a crossing.
pub(super) const POLISH: usize = 5;

impl Effort {
    /// What all pairs of the curves of one outline may cost together. Ellipse arcs and spans that join their neighbours
    /// smoothly, and cross a few others, cost 100 to 200 each; of a few curves each may meet all others.
    pub(crate) fn for_curves(count: usize) -> Effort {
        const AT_ALL: usize = 150_000;
        const EACH: usize = 500;
        Effort::of(AT_ALL.saturating_add(count.saturating_mul(EACH)))
    }

    /// What a pair of curves alone may cost: that of the most crossings that two curves may have.
    pub(super) fn for_one_pair() -> Effort {
        const PAIR: usize = 1_000_000;
        Effort::of(PAIR)
    }

    pub(crate) fn of(units: usize) -> Effort {
        Effort { left: units, is_spent: false }
    }

    /// Takes what something costs. False where not that much is left; nothing more is to be begun then.
    pub(super) fn spend(&mut self, cost: usize) -> bool {
        match self.left.checked_sub(cost) {
            Some(left) if !self.is_spent => self.left = left,
            _ => self.is_spent = true,
        }
        !self.is_spent
    }

    /// Something was not sought because too little was left.
    pub(crate) fn is_spent(&self) -> bool {
        self.is_spent
    }
}
