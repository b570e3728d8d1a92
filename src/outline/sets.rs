//! Which of many things are one.
//!
//! Disjoint sets with path halving (Tarjan and van Leeuwen 1984); the smaller index is the root, whatever the ranks.

/// Disjoint sets that are united.
pub(crate) struct Sets {
    parent: Vec<u32>,
}

impl Sets {
    pub fn new(count: usize) -> Sets {
        Sets { parent: (0..count as u32).collect() }
    }

    /// More sets, each of one member, up to `count` in all.
    pub fn grow(&mut self, count: usize) {
        self.parent.extend(self.parent.len() as u32..count as u32);
    }

    pub fn root(&mut self, mut index: u32) -> u32 {
        while self.parent[index as usize] != index {
            let above = self.parent[self.parent[index as usize] as usize];
            self.parent[index as usize] = above;
            index = above;
        }
        index
    }

    pub fn unite(&mut self, a: u32, b: u32) {
        let (a, b) = (self.root(a), self.root(b));
        self.parent[a.max(b) as usize] = a.min(b);
    }
}
