//! Numbers that depend on a seed alone: SplitMix64 (the generator and its constants are public knowledge).

const GAMMA: u64 = 0x9E37_79B9_7F4A_7C15;

/// A generator of its own for each drawing.
pub struct Numbers(u64);

impl Numbers {
    /// The numbers of one drawing: its seed and its own number are all that they depend on.
    pub fn new(seed: u64, drawing: u64) -> Numbers {
        // Mixed twice, so that neighbouring drawings don't run through the same numbers one step apart.
        Numbers(mixed(mixed(seed.wrapping_add(GAMMA)) ^ drawing))
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(GAMMA);
        mixed(self.0)
    }

    /// From 0 to below 1.
    pub fn share(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// From 0 to below `limit`, which is not 0.
    pub fn below(&mut self, limit: usize) -> usize {
        ((u128::from(self.next()) * limit as u128) >> 64) as usize
    }

    /// From `least` to `most`, both included.
    pub fn count(&mut self, least: usize, most: usize) -> usize {
        least + self.below(most - least + 1)
    }

    /// True in this share of cases.
    pub fn chance(&mut self, share: f64) -> bool {
        self.share() < share
    }

    /// A length as a drawing office chooses it: from `least` to `most` in whole steps.
    pub fn length(&mut self, least: f64, most: f64, step: f64) -> f64 {
        let steps = ((most - least) / step).floor() as usize;
        least + step * self.below(steps + 1) as f64
    }

    /// One of several.
    pub fn of<'a, T>(&mut self, choices: &'a [T]) -> &'a T {
        &choices[self.below(choices.len())]
    }

    /// Puts them into another order.
    pub fn shuffle<T>(&mut self, items: &mut [T]) {
        for i in (1..items.len()).rev() {
            items.swap(i, self.below(i + 1));
        }
    }
}

fn mixed(value: u64) -> u64 {
    let value = (value ^ (value >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    let value = (value ^ (value >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    value ^ (value >> 31)
}
