//! Sets of triangles, each of two halves with few edges between them: what is to be solved is eliminated from the smallest to the
//! largest (nested dissection).

use super::solver::HELD;
use crate::geometry::Point;

/// Sets of no more triangles are not halved.
const SMALLEST_SET: usize = 6;

/// Triangles in the order of the sets, and the sets.
#[derive(Debug)]
pub(super) struct Dissection {
    /// The triangles, those of one set side by side.
    pub order: Vec<u32>,
    /// Sets, each after its two halves.
    pub sets: Vec<Set>,
}

#[derive(Debug)]
pub(super) struct Set {
    /// Range of `order`.
    pub from: usize,
    pub to: usize,
    /// It has two halves, which stand before it.
    pub is_halved: bool,
    /// The set of which it is a half; the last has none.
    pub whole: usize,
}

impl Dissection {
    /// Of triangles with these centres and neighbours; [`HELD`] where there is none.
    pub fn of(centres: &[Point], neighbours: &[[u32; 3]]) -> Dissection {
        let count = centres.len();
        let along = |direction: fn(&Point) -> f64| {
            let mut order: Vec<u32> = (0..count as u32).collect();
            let place = |t: &u32| direction(&centres[*t as usize]);
            order.sort_unstable_by(|a, b| place(a).total_cmp(&place(b)).then(a.cmp(b)));
            order
        };
        let mut halving = Halving {
            neighbours,
            ways: [along(|p| p.x), along(|p| p.y), Vec::with_capacity(count)],
            spare: Vec::with_capacity(count),
            mark_of: vec![0; count],
            marks: 0,
            sets: Vec::with_capacity(count / 2),
        };
        halving.halve(0, count);
        let [order, ..] = halving.ways;
        Dissection { order, sets: halving.sets }
    }
}

/// How sets are halved.
struct Halving<'a> {
    neighbours: &'a [[u32; 3]],
    /// The triangles of all sets from left to right, and upwards; those of the set in hand as a wave reaches them that runs through
    /// it from one end.
    ways: [Vec<u32>; 3],
    spare: Vec<u32>,
    /// The mark that each triangle was given last, by a number that rises.
    mark_of: Vec<u32>,
    marks: u32,
    sets: Vec<Set>,
}

/// The way that is no direction.
const WAVE: usize = 2;

impl Halving<'_> {
    /// Halves a set, and its halves, in that way that cuts fewest edges; gives its number.
    fn halve(&mut self, from: usize, to: usize) -> usize {
        let is_halved = to - from > SMALLEST_SET;
        let mut halves = [0; 2];
        if is_halved {
            self.run_wave(from, to);
            let mut fewest = usize::MAX;
            let mut best = 0;
            for way in 0..self.ways.len() {
                let cut = self.cut(way, from, to);
                if cut < fewest {
                    (best, fewest) = (way, cut);
                }
            }
            self.part(best, from, to);
            let middle = from + (to - from) / 2;
            halves = [self.halve(from, middle), self.halve(middle, to)];
        }
        let number = self.sets.len();
        self.sets.push(Set { from, to, is_halved, whole: number });
        if is_halved {
            halves.into_iter().for_each(|half| self.sets[half].whole = number);
        }
        number
    }

    /// Gives all triangles of the first half a new mark.
    fn mark(&mut self, way: usize, from: usize, to: usize) {
        self.marks += 1;
        let order = if way == WAVE { &self.ways[WAVE] } else { &self.ways[way][from..to] };
        order[..order.len() / 2].iter().for_each(|t| self.mark_of[*t as usize] = self.marks);
    }

    /// How many edges lie between both halves.
    fn cut(&mut self, way: usize, from: usize, to: usize) -> usize {
        self.mark(way, from, to);
        let order = if way == WAVE { &self.ways[WAVE] } else { &self.ways[way][from..to] };
        let crosses = |t: &&u32| **t != HELD && self.mark_of[**t as usize] == self.marks;
        let second = &order[order.len() / 2..];
        second.iter().map(|t| self.neighbours[*t as usize].iter().filter(crosses).count()).sum()
    }

    /// Puts the first half before the second in both directions, each in its order.
    fn part(&mut self, way: usize, from: usize, to: usize) {
        self.mark(way, from, to);
        for order in &mut self.ways[..WAVE] {
            let set = &mut order[from..to];
            self.spare.clear();
            let mut next = 0;
            for k in 0..set.len() {
                let t = set[k];
                if self.mark_of[t as usize] == self.marks {
                    set[next] = t;
                    next += 1;
                } else {
                    self.spare.push(t);
                }
            }
            set[next..].copy_from_slice(&self.spare);
        }
    }

    /// Orders a set as a wave reaches it that begins where another one, from its leftmost triangle, ends.
    fn run_wave(&mut self, from: usize, to: usize) {
        let [set, _, reached] = &mut self.ways;
        let set = &set[from..to];
        self.spare.clear();
        self.spare.extend(set);
        for _ in 0..2 {
            self.marks += 2;
            let (waiting, done) = (self.marks - 1, self.marks);
            set.iter().for_each(|t| self.mark_of[*t as usize] = waiting);
            reached.clear();
            // Bodies that do not hang together follow on each other.
            for start in &self.spare {
                if self.mark_of[*start as usize] == done {
                    continue;
                }
                self.mark_of[*start as usize] = done;
                reached.push(*start);
                let mut next = reached.len() - 1;
                while let Some(t) = reached.get(next).copied() {
                    next += 1;
                    for other in self.neighbours[t as usize] {
                        if other != HELD && self.mark_of[other as usize] == waiting {
                            self.mark_of[other as usize] = done;
                            reached.push(other);
                        }
                    }
                }
            }
            self.spare.clear();
            self.spare.extend(reached.iter().rev());
        }
    }
}
