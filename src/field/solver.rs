//! Symmetric positive systems of equations that come from triangles, solved by halving the set of triangles again and again.
//!
//! What lies within one half alone is eliminated there, in a small dense matrix; what both halves share is left to the
//! next larger set (nested dissection). An unknown that many triangles share, such as the value along the edge of a hole,
//! is eliminated in the smallest set that holds all of these.

use crate::geometry::Point;

/// An unknown that is held at 0.
pub(super) const HELD: u32 = u32::MAX;

/// Sets of no more triangles are not halved.
const SMALLEST_SET: usize = 6;

/// Triangles in the order of the sets, and the sets.
#[derive(Debug)]
pub(super) struct Dissection {
    /// The triangles, those of one set side by side.
    order: Vec<u32>,
    /// Sets, each after its two halves.
    sets: Vec<Set>,
}

#[derive(Debug)]
struct Set {
    /// Range of `order`.
    from: usize,
    to: usize,
    /// Its halves among the sets.
    halves: Option<[usize; 2]>,
}

impl Dissection {
    /// Of triangles with these centres and neighbours; [`HELD`] where there is none.
    pub fn of(centres: &[Point], neighbours: &[[u32; 3]]) -> Dissection {
        let count = centres.len();
        let mut halving = Halving { centres, neighbours, set_of: vec![0; count], sets: 0 };
        let mut dissection =
            Dissection { order: (0..count as u32).collect(), sets: Vec::with_capacity(count / 2) };
        dissection.halve(&mut halving, 0, count);
        dissection
    }

    fn halve(&mut self, halving: &mut Halving, from: usize, to: usize) -> usize {
        let halves = (to - from > SMALLEST_SET).then(|| {
            halving.order(&mut self.order[from..to]);
            let middle = from + (to - from) / 2;
            [self.halve(halving, from, middle), self.halve(halving, middle, to)]
        });
        self.sets.push(Set { from, to, halves });
        self.sets.len() - 1
    }
}

/// How sets are halved.
struct Halving<'a> {
    centres: &'a [Point],
    neighbours: &'a [[u32; 3]],
    /// The set that each triangle was of last, by a number that rises.
    set_of: Vec<u32>,
    sets: u32,
}

impl Halving<'_> {
    /// Orders a set so that few edges lie between its first and its second half: from left to right, upwards, or as a
    /// wave runs through it from one end, whichever cuts fewest.
    fn order(&mut self, set: &mut [u32]) {
        let (mut best, mut fewest) = (Vec::new(), usize::MAX);
        for way in 0..3 {
            let mut order = set.to_vec();
            match way {
                0 => order.sort_unstable_by(|a, b| {
                    self.along(*a, |p| p.x).total_cmp(&self.along(*b, |p| p.x)).then(a.cmp(b))
                }),
                1 => order.sort_unstable_by(|a, b| {
                    self.along(*a, |p| p.y).total_cmp(&self.along(*b, |p| p.y)).then(a.cmp(b))
                }),
                _ => order = self.wave(set),
            }
            let cut = self.cut(&order);
            if cut < fewest {
                (best, fewest) = (order, cut);
            }
        }
        set.copy_from_slice(&best);
    }

    fn along(&self, triangle: u32, direction: impl Fn(Point) -> f64) -> f64 {
        direction(self.centres[triangle as usize])
    }

    /// How many edges lie between the halves of an order.
    fn cut(&mut self, order: &[u32]) -> usize {
        self.sets += 1;
        let (first, second) = order.split_at(order.len() / 2);
        first.iter().for_each(|t| self.set_of[*t as usize] = self.sets);
        let crosses = |t: &&u32| **t != HELD && self.set_of[**t as usize] == self.sets;
        second.iter().map(|t| self.neighbours[*t as usize].iter().filter(crosses).count()).sum()
    }

    /// The set in the order in which a wave reaches it that begins where another one, from any triangle, ends.
    fn wave(&mut self, set: &[u32]) -> Vec<u32> {
        let mut starts = set.to_vec();
        let mut reached = Vec::with_capacity(set.len());
        for _ in 0..2 {
            self.sets += 2;
            let (waiting, done) = (self.sets - 1, self.sets);
            set.iter().for_each(|t| self.set_of[*t as usize] = waiting);
            reached.clear();
            // Bodies that do not hang together follow on each other.
            for start in &starts {
                if self.set_of[*start as usize] == done {
                    continue;
                }
                self.set_of[*start as usize] = done;
                reached.push(*start);
                let mut next = reached.len() - 1;
                while let Some(t) = reached.get(next).copied() {
                    next += 1;
                    for other in self.neighbours[t as usize] {
                        if other != HELD && self.set_of[other as usize] == waiting {
                            self.set_of[other as usize] = done;
                            reached.push(other);
                        }
                    }
                }
            }
            starts.clone_from(&reached);
            starts.reverse();
        }
        reached
    }
}

/// What is left of a set when its own unknowns are eliminated.
struct Front {
    unknowns: Vec<u32>,
    /// Lower triangle, row by row, each to its diagonal.
    matrix: Vec<f64>,
}

/// Room that is used again for each set.
#[derive(Default)]
struct Room {
    /// Rows of the set's matrix, of which the lower triangle counts.
    matrix: Vec<f64>,
    rows: Vec<f64>,
    places: Vec<u32>,
}

/// Columns that are taken to the rest of a matrix together.
const BLOCK: usize = 4;

/// The eliminated unknowns of one set: rows of L, those of its own unknowns first.
#[derive(Debug)]
struct Panel {
    unknowns: Vec<u32>,
    own: usize,
    /// `unknowns.len()` rows of `own` numbers; below the diagonal of L.
    lower: Vec<f64>,
    diagonal: Vec<f64>,
}

/// A factorised system.
#[derive(Debug)]
pub(super) struct Factors {
    panels: Vec<Panel>,
}

/// Rounding has made the matrix indefinite, or it was so.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct NotDefinite;

/// The triangles of a system: for each its unknowns and its matrix.
pub(super) trait Pieces<const SIZE: usize> {
    /// The unknowns of triangle `t`, some of which may be held or the same.
    fn unknowns(&self, t: usize) -> [u32; SIZE];
    /// Its matrix; only what is on the diagonal or left of it counts.
    fn matrix(&self, t: usize) -> &[[f64; SIZE]; SIZE];
    /// By what that is to be multiplied.
    fn scale(&self, _: usize) -> f64 {
        1.0
    }
}

impl Factors {
    /// Of the sum of all triangles' matrices, over `count` unknowns.
    pub fn of<const SIZE: usize>(
        dissection: &Dissection,
        count: usize,
        pieces: &impl Pieces<SIZE>,
    ) -> Result<Factors, NotDefinite> {
        // Where in the order each unknown occurs first and last.
        let mut first = vec![u32::MAX; count];
        let mut last = vec![0_u32; count];
        for (place, t) in dissection.order.iter().enumerate() {
            for unknown in pieces.unknowns(*t as usize).into_iter().filter(|u| *u != HELD) {
                let unknown = unknown as usize;
                first[unknown] = first[unknown].min(place as u32);
                last[unknown] = last[unknown].max(place as u32);
            }
        }
        let mut place_of = vec![u32::MAX; count];
        let mut panels = Vec::with_capacity(dissection.sets.len());
        let mut waiting: Vec<Front> = Vec::new();
        let mut room = Room::default();
        for set in &dissection.sets {
            let is_own =
                |u: &u32| first[*u as usize] as usize >= set.from && (last[*u as usize] as usize) < set.to;
            let parts = match set.halves {
                Some(_) => waiting.split_off(waiting.len().saturating_sub(2)),
                None => Vec::new(),
            };
            let mut unknowns: Vec<u32> = match set.halves {
                Some(_) => parts.iter().flat_map(|front| front.unknowns.iter().copied()).collect(),
                None => dissection.order[set.from..set.to]
                    .iter()
                    .flat_map(|t| pieces.unknowns(*t as usize))
                    .filter(|u| *u != HELD)
                    .collect(),
            };
            unknowns.sort_unstable();
            unknowns.dedup();
            let (mut sorted, left): (Vec<u32>, Vec<u32>) = unknowns.iter().partition(|u| is_own(u));
            let own = sorted.len();
            sorted.extend(left);
            for (place, unknown) in sorted.iter().enumerate() {
                place_of[*unknown as usize] = place as u32;
            }
            let size = sorted.len();
            let Room { matrix, places, .. } = &mut room;
            if matrix.len() < size * size {
                matrix.resize(size * size, 0.0);
            }
            (0..size).for_each(|row| matrix[row * size..=row * size + row].fill(0.0));
            if set.halves.is_some() {
                for front in &parts {
                    places.clear();
                    places.extend(front.unknowns.iter().map(|unknown| place_of[*unknown as usize]));
                    let mut rest = front.matrix.as_slice();
                    for (i, a) in places.iter().enumerate() {
                        let (row, others) = rest.split_at(i + 1);
                        rest = others;
                        for (b, value) in places.iter().zip(row) {
                            matrix[*a.max(b) as usize * size + *a.min(b) as usize] += value;
                        }
                    }
                }
            } else {
                let mut add = |a: u32, b: u32, value: f64| {
                    let (a, b) = (place_of[a as usize] as usize, place_of[b as usize] as usize);
                    matrix[a.max(b) * size + a.min(b)] += value;
                };
                for t in &dissection.order[set.from..set.to] {
                    let (list, piece) = (pieces.unknowns(*t as usize), pieces.matrix(*t as usize));
                    let scale = pieces.scale(*t as usize);
                    for i in (0..SIZE).filter(|i| list[*i] != HELD) {
                        add(list[i], list[i], scale * piece[i][i]);
                        for j in (0..i).filter(|j| list[*j] != HELD) {
                            // Places of one unknown meet in its diagonal twice.
                            let twice = if list[i] == list[j] { 2.0 * scale } else { scale };
                            add(list[i], list[j], twice * piece[i][j]);
                        }
                    }
                }
            }
            let diagonal = eliminate(&mut room, size, own)?;
            let matrix = &room.matrix;
            let mut lower = Vec::with_capacity(size * own);
            for row in 0..size {
                lower.extend_from_slice(&matrix[row * size..row * size + own]);
            }
            let rest = size - own;
            let mut left = Vec::with_capacity(rest * (rest + 1) / 2);
            for row in own..size {
                left.extend_from_slice(&matrix[row * size + own..=row * size + row]);
            }
            waiting.push(Front { unknowns: sorted[own..].to_vec(), matrix: left });
            panels.push(Panel { unknowns: sorted, own, lower, diagonal });
        }
        Ok(Factors { panels })
    }

    /// Solves for several right-hand sides at once, each unknown's side by side.
    pub fn solve<const SIDES: usize>(&self, sides: &mut [[f64; SIDES]]) {
        // A panel's own, side by side.
        let mut own: Vec<[f64; SIDES]> = Vec::new();
        for panel in self.panels.iter().filter(|panel| panel.own > 0) {
            own.clear();
            for (unknown, row) in panel.unknowns.iter().zip(panel.lower.chunks_exact(panel.own)) {
                let mut value = sides[*unknown as usize];
                for (factor, known) in row.iter().zip(&own) {
                    (0..SIDES).for_each(|k| value[k] -= factor * known[k]);
                }
                sides[*unknown as usize] = value;
                if own.len() < panel.own {
                    own.push(value);
                }
            }
        }
        for panel in self.panels.iter().rev().filter(|panel| panel.own > 0) {
            let (within, beyond) = panel.unknowns.split_at(panel.own);
            let scaled = |(unknown, diagonal): (&u32, &f64)| sides[*unknown as usize].map(|v| v / diagonal);
            own.clear();
            own.extend(within.iter().zip(&panel.diagonal).map(scaled));
            let (upper, lower) = panel.lower.split_at(panel.own * panel.own);
            for (unknown, row) in beyond.iter().zip(lower.chunks_exact(panel.own)) {
                let known = sides[*unknown as usize];
                for (value, factor) in own.iter_mut().zip(row) {
                    (0..SIDES).for_each(|k| value[k] -= factor * known[k]);
                }
            }
            for (place, row) in upper.chunks_exact(panel.own).enumerate().rev() {
                let known = own[place];
                for (value, factor) in own[..place].iter_mut().zip(row) {
                    (0..SIDES).for_each(|k| value[k] -= factor * known[k]);
                }
                sides[within[place] as usize] = known;
            }
        }
    }
}

/// LDLᵀ of the first `own` columns of a lower triangle of `size` rows; what follows becomes what is left of it.
fn eliminate(room: &mut Room, size: usize, own: usize) -> Result<Vec<f64>, NotDefinite> {
    let Room { matrix, rows, .. } = room;
    if rows.len() < BLOCK * size {
        rows.resize(BLOCK * size, 0.0);
    }
    let mut diagonal = Vec::with_capacity(own);
    for start in (0..own).step_by(BLOCK) {
        let width = BLOCK.min(own - start);
        let end = start + width;
        // The block's own rows first: each column's values, before they are divided by its pivot.
        let (mut values, mut pivots) = ([[0.0; BLOCK]; BLOCK], [1.0; BLOCK]);
        for column in 0..width {
            let mut row = [0.0; BLOCK];
            row[..width].copy_from_slice(&matrix[(start + column) * size + start..][..width]);
            for k in 0..column {
                let value = row[k];
                values[column][k] = value;
                row[k] = value / pivots[k];
                for n in k + 1..=column {
                    row[n] -= row[k] * if n == column { value } else { values[n][k] };
                }
            }
            let pivot = row[column];
            if !(pivot > 0.0 && pivot.is_finite()) {
                return Err(NotDefinite);
            }
            pivots[column] = pivot;
            diagonal.push(pivot);
            matrix[(start + column) * size + start..][..=column].copy_from_slice(&row[..=column]);
        }
        // Then all others, each by itself; their values stand side by side for what follows.
        let (r0, others) = rows.split_at_mut(size);
        let (r1, others) = others.split_at_mut(size);
        let (r2, others) = others.split_at_mut(size);
        let r3 = &mut others[..size];
        for row in end..size {
            let mut value = [0.0; BLOCK];
            let mut factors = [0.0; BLOCK];
            let place = &mut matrix[row * size + start..][..width];
            value[..width].copy_from_slice(place);
            for k in 0..width {
                factors[k] = value[k] / pivots[k];
                for n in k + 1..width {
                    value[n] -= factors[k] * values[n][k];
                }
            }
            place.copy_from_slice(&factors[..width]);
            [r0[row], r1[row], r2[row], r3[row]] = value;
        }
        let mut row = end;
        while row < size {
            // Two rows at a time, so that values are fetched once for both.
            let span = end..=row;
            let columns =
                r0[span.clone()].iter().zip(&r1[span.clone()]).zip(&r2[span.clone()]).zip(&r3[span]);
            let (upper, lower) = matrix.split_at_mut((row + 1) * size);
            let upper = &mut upper[row * size + start..];
            let [f0, f1, f2, f3] = padded(&upper[..width]);
            let first = &mut upper[width..=width + row - end];
            if row + 1 == size {
                for (value, (((a, b), c), d)) in first.iter_mut().zip(columns) {
                    *value -= f0 * a + f1 * b + f2 * c + f3 * d;
                }
                break;
            }
            let lower = &mut lower[start..];
            let [g0, g1, g2, g3] = padded(&lower[..width]);
            let second = &mut lower[width..=width + row + 1 - end];
            let (last, second) = second.split_last_mut().ok_or(NotDefinite)?;
            for ((value, other), (((a, b), c), d)) in first.iter_mut().zip(second).zip(columns) {
                *value -= f0 * a + f1 * b + f2 * c + f3 * d;
                *other -= g0 * a + g1 * b + g2 * c + g3 * d;
            }
            let next = row + 1;
            *last -= g0 * r0[next] + g1 * r1[next] + g2 * r2[next] + g3 * r3[next];
            row += 2;
        }
    }
    Ok(diagonal)
}

/// With 0 in the place of what is missing of a block.
fn padded(factors: &[f64]) -> [f64; BLOCK] {
    let mut all = [0.0; BLOCK];
    all[..factors.len()].copy_from_slice(factors);
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A chain of springs, three unknowns to a piece, the first held, and one unknown that all pieces share.
    struct Springs(Vec<[[f64; 3]; 3]>);

    impl Pieces<3> for Springs {
        fn unknowns(&self, t: usize) -> [u32; 3] {
            let before = if t == 0 { HELD } else { t as u32 - 1 };
            [before, t as u32, self.0.len() as u32]
        }

        fn matrix(&self, t: usize) -> &[[f64; 3]; 3] {
            &self.0[t]
        }
    }

    #[test]
    fn a_solution_satisfies_its_equations() {
        let count = 57;
        let piece = |t: usize| {
            let k = 1.0 + (t % 5) as f64;
            [[k + 0.3, -k, -0.3], [-k, k + 0.1, -0.1], [-0.3, -0.1, 0.4]]
        };
        let springs = Springs((0..count).map(piece).collect());
        let centres: Vec<Point> = (0..count).map(|t| Point::new((t as f64 * 0.7).sin(), t as f64)).collect();
        let neighbour = |t: i32| u32::try_from(t).ok().filter(|t| (*t as usize) < count).unwrap_or(HELD);
        let neighbours: Vec<[u32; 3]> =
            (0..count as i32).map(|t| [neighbour(t - 1), neighbour(t + 1), HELD]).collect();
        let dissection = Dissection::of(&centres, &neighbours);
        let factors = Factors::of(&dissection, count + 1, &springs).expect("it is definite");
        let wanted: Vec<[f64; 2]> = (0..=count).map(|k| [k as f64, (k as f64).cos()]).collect();
        let mut solution = wanted.clone();
        factors.solve(&mut solution);
        let mut product = vec![[0.0; 2]; count + 1];
        for t in 0..count {
            let list = springs.unknowns(t);
            for i in (0..3).filter(|i| list[*i] != HELD) {
                for j in (0..3).filter(|j| list[*j] != HELD) {
                    for side in 0..2 {
                        product[list[i] as usize][side] +=
                            springs.0[t][i][j] * solution[list[j] as usize][side];
                    }
                }
            }
        }
        for (got, want) in product.iter().zip(&wanted) {
            assert!((got[0] - want[0]).abs() < 1e-9 && (got[1] - want[1]).abs() < 1e-9);
        }
    }

    #[test]
    fn a_matrix_that_is_not_definite_is_refused() {
        let springs = Springs(vec![[[0.0; 3]; 3]]);
        assert_eq!(
            Factors::of(&Dissection::of(&[Point::ORIGIN], &[[HELD; 3]]), 2, &springs).err(),
            Some(NotDefinite)
        );
    }
}
