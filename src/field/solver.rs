//! Symmetric positive systems of equations that come from triangles, solved by halving the set of triangles again and again.
//!
//! What lies within one half alone is eliminated there, in a small dense matrix; what both halves share is left to the
//! next larger set (nested dissection). An unknown that many triangles share, such as the value along the edge of a hole,
//! is eliminated in the smallest set that holds all of these.

use super::dissection::Dissection;

/// An unknown that is held at 0.
pub(super) const HELD: u32 = u32::MAX;

/// The order in which unknowns are eliminated: those of a set after those of its halves.
struct Elimination {
    /// For each unknown its rank, [`HELD`] where no triangle has it.
    rank_of: Vec<u32>,
    /// For each set, and behind the last, the rank of its first own unknown.
    first_of: Vec<u32>,
}

impl Elimination {
    fn of<const SIZE: usize>(
        dissection: &Dissection,
        count: usize,
        pieces: &impl Pieces<SIZE>,
    ) -> Elimination {
        let sets = &dissection.sets;
        // The set of each unknown: at first the smallest that holds its first triangle.
        const NONE: u32 = u32::MAX;
        let mut set_of = vec![NONE; count];
        for (number, set) in sets.iter().enumerate().filter(|(_, set)| !set.is_halved) {
            for (place, t) in (set.from..set.to).zip(&dissection.order[set.from..set.to]) {
                for unknown in pieces.unknowns(*t as usize).into_iter().filter(|u| *u != HELD) {
                    let known = &mut set_of[unknown as usize];
                    if *known == NONE {
                        *known = number as u32;
                    }
                    // Triangles come in order, so that it is the whole in which the next one lies.
                    while sets[*known as usize].to <= place {
                        *known = sets[*known as usize].whole as u32;
                    }
                }
            }
        }
        let mut first_of = vec![0; sets.len() + 1];
        set_of.iter().filter(|set| **set != NONE).for_each(|set| first_of[*set as usize + 1] += 1);
        for k in 0..sets.len() {
            first_of[k + 1] += first_of[k];
        }
        let mut next = first_of.clone();
        let rank = |set: u32| {
            if set == NONE {
                return HELD;
            }
            let rank = &mut next[set as usize];
            *rank += 1;
            *rank - 1
        };
        Elimination { rank_of: set_of.into_iter().map(rank).collect(), first_of }
    }
}

/// What is left of a set when its own unknowns are eliminated.
struct Front {
    /// The ranks of the unknowns that are left, in order.
    left: Vec<u32>,
    /// Lower triangle, row by row, each to its diagonal.
    matrix: Vec<f64>,
}

/// Where row `row` of a lower triangle begins.
fn row_start(row: usize) -> usize {
    row * (row + 1) / 2
}

/// Columns that are taken to the rest of a matrix together.
const BLOCK: usize = 4;

/// The eliminated unknowns of one set.
#[derive(Debug)]
struct Panel {
    /// The rank of the first of its own unknowns, and how many these are.
    first: usize,
    own: usize,
    /// The ranks of the others.
    left: Vec<u32>,
    /// The lower triangle of L for its own unknowns, with D on the diagonal, then a row of L for each of the others.
    lower: Vec<f64>,
}

/// A factorised system.
#[derive(Debug)]
pub(super) struct Factors {
    rank_of: Vec<u32>,
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
        let Elimination { rank_of, first_of } = Elimination::of(dissection, count, pieces);
        let ranks = |t: u32| {
            let rank = |unknown| if unknown == HELD { HELD } else { rank_of[unknown as usize] };
            pieces.unknowns(t as usize).map(rank)
        };
        let mut place_of = vec![0_u32; count];
        let mut panels = Vec::with_capacity(dissection.sets.len());
        let mut waiting: Vec<Front> = Vec::new();
        let (mut matrix, mut rows, mut places) = (Vec::new(), Vec::new(), Vec::new());
        for (number, set) in dissection.sets.iter().enumerate() {
            let (first, end) = (first_of[number], first_of[number + 1]);
            let own = (end - first) as usize;
            let triangles = &dissection.order[set.from..set.to];
            let halves = match set.is_halved {
                true => waiting.split_off(waiting.len().saturating_sub(2)),
                false => Vec::new(),
            };
            let mut left: Vec<u32> = match set.is_halved {
                true => halves.iter().flat_map(|front| &front.left).copied().filter(|r| *r >= end).collect(),
                false => triangles
                    .iter()
                    .flat_map(|t| ranks(*t))
                    .filter(|rank| *rank != HELD && *rank >= end)
                    .collect(),
            };
            // Of two halves both parts are in order, which this sort makes use of.
            left.sort();
            left.dedup();
            left.iter().zip(own as u32..).for_each(|(rank, place)| place_of[*rank as usize] = place);
            let place = |rank: u32| if rank < end { rank - first } else { place_of[rank as usize] } as usize;
            let size = own + left.len();
            matrix.clear();
            matrix.resize(row_start(size), 0.0);
            for front in &halves {
                places.clear();
                places.extend(front.left.iter().map(|rank| place(*rank)));
                let mut rest = front.matrix.as_slice();
                for (i, row) in places.iter().enumerate() {
                    let (values, others) = rest.split_at(i + 1);
                    rest = others;
                    let row = &mut matrix[row_start(*row)..][..=*row];
                    places.iter().zip(values).for_each(|(column, value)| row[*column] += value);
                }
            }
            for t in triangles.iter().filter(|_| !set.is_halved) {
                let (list, piece, scale) = (ranks(*t), pieces.matrix(*t as usize), pieces.scale(*t as usize));
                for (i, a) in list.iter().enumerate().filter(|(_, a)| **a != HELD) {
                    for (j, b) in list[..=i].iter().enumerate().filter(|(_, b)| **b != HELD) {
                        // Places of one unknown meet in its diagonal twice.
                        let times = if i != j && a == b { 2.0 * scale } else { scale };
                        matrix[row_start(place(*a.max(b))) + place(*a.min(b))] += times * piece[i][j];
                    }
                }
            }
            eliminate(&mut matrix, &mut rows, size, own)?;
            let mut lower = Vec::with_capacity(row_start(own) + left.len() * own);
            lower.extend_from_slice(&matrix[..row_start(own)]);
            let mut rest = Vec::with_capacity(row_start(left.len()));
            for row in own..size {
                let (of_own, others) = matrix[row_start(row)..row_start(row + 1)].split_at(own);
                lower.extend_from_slice(of_own);
                rest.extend_from_slice(others);
            }
            waiting.push(Front { left: left.clone(), matrix: rest });
            panels.push(Panel { first: first as usize, own, left, lower });
        }
        Ok(Factors { rank_of, panels })
    }

    /// Solves for several right-hand sides at once, each unknown's side by side.
    pub fn solve<const SIDES: usize>(&self, sides: &mut [[f64; SIDES]]) {
        // In the order of elimination.
        let mut values = vec![[0.0; SIDES]; sides.len()];
        let ranks = || self.rank_of.iter().enumerate().filter(|(_, rank)| **rank != HELD);
        ranks().for_each(|(unknown, rank)| values[*rank as usize] = sides[unknown]);
        for panel in self.panels.iter().filter(|panel| panel.own > 0) {
            let (within, beyond) = panel.lower.split_at(row_start(panel.own));
            let (own, others) = values[panel.first..].split_at_mut(panel.own);
            for place in 0..panel.own {
                let row = &within[row_start(place)..][..place];
                let mut value = own[place];
                for (factor, known) in row.iter().zip(&*own) {
                    (0..SIDES).for_each(|k| value[k] -= factor * known[k]);
                }
                own[place] = value;
            }
            let end = panel.first + panel.own;
            for (rank, row) in panel.left.iter().zip(beyond.chunks_exact(panel.own)) {
                let value = &mut others[*rank as usize - end];
                for (factor, known) in row.iter().zip(&*own) {
                    (0..SIDES).for_each(|k| value[k] -= factor * known[k]);
                }
            }
        }
        for panel in self.panels.iter().rev().filter(|panel| panel.own > 0) {
            let (within, beyond) = panel.lower.split_at(row_start(panel.own));
            let (own, others) = values[panel.first..].split_at_mut(panel.own);
            for (place, value) in own.iter_mut().enumerate() {
                let pivot = within[row_start(place) + place];
                *value = value.map(|v| v / pivot);
            }
            let end = panel.first + panel.own;
            for (rank, row) in panel.left.iter().zip(beyond.chunks_exact(panel.own)) {
                let known = others[*rank as usize - end];
                for (value, factor) in own.iter_mut().zip(row) {
                    (0..SIDES).for_each(|k| value[k] -= factor * known[k]);
                }
            }
            for place in (0..panel.own).rev() {
                let known = own[place];
                let row = &within[row_start(place)..][..place];
                for (value, factor) in own.iter_mut().zip(row) {
                    (0..SIDES).for_each(|k| value[k] -= factor * known[k]);
                }
            }
        }
        ranks().for_each(|(unknown, rank)| sides[unknown] = values[*rank as usize]);
    }
}

/// LDLᵀ of the first `own` columns of a lower triangle of `size` rows, with D on the diagonal; what follows becomes what is
/// left of it. `rows` is room that is used again.
fn eliminate(matrix: &mut [f64], rows: &mut Vec<f64>, size: usize, own: usize) -> Result<(), NotDefinite> {
    if rows.len() < BLOCK * size {
        rows.resize(BLOCK * size, 0.0);
    }
    for start in (0..own).step_by(BLOCK) {
        let width = BLOCK.min(own - start);
        let end = start + width;
        // The block's own rows first: each column's values, before they are divided by its pivot.
        let (mut values, mut inverse) = ([[0.0; BLOCK]; BLOCK], [1.0; BLOCK]);
        for column in 0..width {
            let mut row = [0.0; BLOCK];
            let place = &mut matrix[row_start(start + column) + start..][..=column];
            row[..=column].copy_from_slice(place);
            for k in 0..column {
                let value = row[k];
                values[column][k] = value;
                row[k] = value * inverse[k];
                for n in k + 1..=column {
                    row[n] -= row[k] * if n == column { value } else { values[n][k] };
                }
            }
            let pivot = row[column];
            if !(pivot > 0.0 && pivot.is_finite()) {
                return Err(NotDefinite);
            }
            inverse[column] = pivot.recip();
            place.copy_from_slice(&row[..=column]);
        }
        // Then all others, each by itself; their values stand side by side for what follows.
        let (r0, others) = rows.split_at_mut(size);
        let (r1, others) = others.split_at_mut(size);
        let (r2, others) = others.split_at_mut(size);
        let r3 = &mut others[..size];
        for row in end..size {
            let mut value = [0.0; BLOCK];
            let mut factors = [0.0; BLOCK];
            let place = &mut matrix[row_start(row) + start..][..width];
            value[..width].copy_from_slice(place);
            for k in 0..width {
                factors[k] = value[k] * inverse[k];
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
            let (upper, lower) = matrix.split_at_mut(row_start(row + 1));
            let upper = &mut upper[row_start(row) + start..];
            let [f0, f1, f2, f3] = padded(&upper[..width]);
            let first = &mut upper[width..];
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
    Ok(())
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
    use crate::geometry::Point;

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
