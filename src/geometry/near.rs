//! Which boxes lie near each other: a uniform grid, so that a drawing of 10⁵ pieces needs no 10¹⁰ comparisons.
//!
//! A pair that shares several cells is reported in one of them: that of the lower left corner of what both boxes share.

use super::buckets::Buckets;
use super::point::{Bounds, Point};

/// Calls `visit(i, j)` with i < j once for each pair of boxes that come within `margin` of each other, in an order
/// that depends on the boxes alone. Empty boxes meet nothing.
pub(crate) fn near_pairs(boxes: &[Bounds], margin: f64, mut visit: impl FnMut(usize, usize)) {
    near_pairs_while(boxes, margin, |i, j| {
        visit(i, j);
        true
    });
}

/// As [`near_pairs`], for as long as `visit` gives true; whether it always did.
pub(crate) fn near_pairs_while(
    boxes: &[Bounds],
    margin: f64,
    mut visit: impl FnMut(usize, usize) -> bool,
) -> bool {
    /// Below this many boxes comparing all pairs is quicker than laying out a grid.
    const FEW: usize = 24;
    if boxes.len() <= FEW {
        for j in 0..boxes.len() {
            for i in 0..j {
                if boxes[i].grown(margin).meets(&boxes[j]) && !visit(i, j) {
                    return false;
                }
            }
        }
        return true;
    }
    let grid = Grid::over(boxes, margin);
    let meet = |i: usize, j: usize| boxes[i].grown(margin).meets(&boxes[j]);
    for (k, &large) in grid.large.iter().enumerate() {
        let large = large as usize;
        for other in 0..boxes.len() {
            let (i, j) = (large.min(other), large.max(other));
            // A pair of large ones is reported with the first.
            let is_told = grid.large[..k].binary_search(&(other as u32)).is_ok();
            if i < j && !is_told && meet(i, j) && !visit(i, j) {
                return false;
            }
        }
    }
    for (row, column, members) in grid.cells() {
        for (k, &j) in members.iter().enumerate() {
            for &i in &members[..k] {
                let (a, b) = (boxes[i as usize].grown(margin), boxes[j as usize]);
                // A pair that shares several cells is reported in the cell of the lower left corner of what they share.
                let corner = Point::new(a.min.x.max(b.min.x), a.min.y.max(b.min.y));
                if a.meets(&b) && grid.cell_of(corner) == (row, column) && !visit(i as usize, j as usize) {
                    return false;
                }
            }
        }
    }
    true
}

/// Calls `visit` with pairs of points, so many that all within `apart` of each other are connected by pairs that are: points
/// at one place are told one after the other, and then as one.
pub(crate) fn near_cells(points: &[Point], apart: f64, mut visit: impl FnMut(u32, u32)) {
    let around = Bounds::around(points.iter().copied());
    // Cells in which two points lie on average, and larger than the distance; a point reaches no more than its neighbours.
    let room = 0.5 * points.len() as f64;
    let share = (around.width() / around.height()).sqrt();
    let side = |size: f64, share: f64| {
        let wanted = (room.sqrt() * share).min(0.25 * size / apart);
        if wanted >= 1.0 { wanted.min(room) as usize } else { 1 }
    };
    let (columns, rows) = (side(around.width(), share), side(around.height(), share.recip()));
    let rows = rows.min((points.len() / columns).max(1));
    let size = Point::new(around.width() / columns as f64, around.height() / rows as f64);
    let index = |distance: f64, size: f64, count: usize| {
        let k = distance / size;
        if k > 0.0 { (k as usize).min(count - 1) } else { 0 }
    };
    let column = |x: f64| index(x - around.min.x, size.x, columns);
    let row = |y: f64| index(y - around.min.y, size.y, rows);
    let cells = Buckets::new(columns * rows, |enter| {
        points.iter().zip(0..).for_each(|(p, k)| enter(row(p.y) * columns + column(p.x), k));
    });
    let at = |k: u32| points[k as usize];
    // More than the distance, so that rounding leaves out no cell.
    let reach = 1.5 * apart;
    let mut members: Vec<u32> = Vec::new();
    for cell in 0..cells.count() {
        members.clear();
        members.extend_from_slice(cells.members(cell));
        members.sort_unstable_by(|a, b| at(*a).by_place(&at(*b)));
        members.dedup_by(|next, kept| {
            let is_same = at(*next) == at(*kept);
            if is_same {
                visit(*kept, *next);
            }
            is_same
        });
        for (n, &i) in members.iter().enumerate() {
            let p = at(i);
            let beside = members[n + 1..].iter().take_while(|j| at(**j).x - p.x <= reach);
            beside.for_each(|j| visit(i, *j));
            let (left, right) = (column(p.x - reach), column(p.x + reach));
            let (low, high) = (row(p.y - reach), row(p.y + reach));
            if (left, low) == (right, high) {
                continue;
            }
            for other in (low..=high).flat_map(|row| (left..=right).map(move |column| row * columns + column))
            {
                if other > cell {
                    cells.members(other).iter().for_each(|j| visit(i, *j));
                }
            }
        }
    }
}

/// Boxes that reach more cells than this are kept beside the grid: a thousand frames around a million small boxes would
/// fill four gigabytes.
const MOST_CELLS: usize = 1024;

/// Boxes sorted into the cells of a uniform grid.
pub(crate) struct Grid {
    origin: Point,
    cell: Point,
    columns: usize,
    rows: usize,
    cells: Buckets,
    /// Boxes that reach very many cells, in rising order.
    large: Vec<u32>,
}

impl Grid {
    /// A grid over `boxes`, each entered into all cells that it reaches when grown by `margin`.
    pub(crate) fn over(boxes: &[Bounds], margin: f64) -> Grid {
        let filled = || boxes.iter().filter(|b| !b.is_empty());
        let all = filled().fold(Bounds::EMPTY, |all, b| all.union(*b)).grown(margin);
        let count = filled().count().max(1) as f64;
        let mean = |side: fn(&Bounds) -> f64| filled().map(side).sum::<f64>() / count + 2.0 * margin;
        // Cells about as large as the boxes, but no more cells than boxes.
        let wanted = |whole: f64, mean: f64| (whole / mean).clamp(1.0, count);
        let (mut columns, mut rows) =
            (wanted(all.width(), mean(Bounds::width)), wanted(all.height(), mean(Bounds::height)));
        if columns.is_nan() || rows.is_nan() {
            (columns, rows) = (1.0, 1.0);
        }
        let excess = (columns * rows / count).max(1.0).sqrt();
        let (columns, rows) = ((columns / excess).ceil(), (rows / excess).ceil());
        let cell = Point::new(all.width() / columns, all.height() / rows);
        let mut grid = Grid {
            origin: all.min,
            cell,
            columns: columns as usize,
            rows: rows as usize,
            cells: Buckets::new(0, |_| {}),
            large: Vec::new(),
        };
        grid.fill(boxes, margin);
        grid
    }

    /// Enters the boxes.
    fn fill(&mut self, boxes: &[Bounds], margin: f64) {
        // The rows and columns from the first to the last cell that each box reaches; none for those that are empty, or kept
        // beside the cells.
        let mut reached: Vec<[u32; 4]> = Vec::with_capacity(boxes.len());
        const NONE: [u32; 4] = [1, 0, 1, 0];
        for (b, index) in boxes.iter().zip(0..) {
            let grown = b.grown(margin);
            let (first, last) = (self.cell_of(grown.min), self.cell_of(grown.max));
            let is_large = || (last.0 - first.0 + 1) * (last.1 - first.1 + 1) > MOST_CELLS;
            reached.push(if b.is_empty() {
                NONE
            } else if is_large() {
                self.large.push(index);
                NONE
            } else {
                [first.0, last.0, first.1, last.1].map(|k| k as u32)
            });
        }
        let columns = self.columns;
        self.cells = Buckets::new(columns * self.rows, |enter| {
            for (&[first, last, left, right], index) in reached.iter().zip(0..) {
                for row in first..=last {
                    (left..=right).for_each(|column| enter(row as usize * columns + column as usize, index));
                }
            }
        });
    }

    /// Row and column of the cell that holds `point`; points outside belong to the nearest cell.
    fn cell_of(&self, point: Point) -> (usize, usize) {
        let index = |distance: f64, size: f64, count: usize| {
            let k = distance / size;
            if k > 0.0 { (k as usize).min(count - 1) } else { 0 }
        };
        (
            index(point.y - self.origin.y, self.cell.y, self.rows),
            index(point.x - self.origin.x, self.cell.x, self.columns),
        )
    }

    fn cells(&self) -> impl Iterator<Item = (usize, usize, &[u32])> {
        (0..self.cells.count()).map(|k| (k / self.columns, k % self.columns, self.cells.members(k)))
    }

    fn members_of(&self, (row, column): (usize, usize)) -> &[u32] {
        self.cells.members(row * self.columns + column)
    }

    /// The boxes entered into the cell that holds `point`, in rising order.
    pub(crate) fn around(&self, point: Point) -> impl Iterator<Item = usize> + '_ {
        let (mut members, mut large) = (self.members_of(self.cell_of(point)), self.large.as_slice());
        std::iter::from_fn(move || {
            let list = match (members.first(), large.first()) {
                (Some(member), Some(other)) if other < member => &mut large,
                (None, _) => &mut large,
                _ => &mut members,
            };
            list.split_off_first().map(|index| *index as usize)
        })
    }

    /// The boxes entered into the cells that `area` reaches, each once, in rising order.
    pub(crate) fn within(&self, area: &Bounds) -> Vec<usize> {
        let mut found = Vec::new();
        self.any_within(area, |index| {
            found.push(index);
            false
        });
        found.sort_unstable();
        found.dedup();
        found
    }

    /// Whether one of the boxes entered into the cells that `area` reaches is as `wanted`; each may be asked several times.
    pub(crate) fn any_within(&self, area: &Bounds, mut wanted: impl FnMut(usize) -> bool) -> bool {
        let (first, last) = (self.cell_of(area.min), self.cell_of(area.max));
        self.large.iter().any(|index| wanted(*index as usize))
            || (first.0..=last.0).any(|row| {
                (first.1..=last.1).any(|column| {
                    self.members_of((row, column)).iter().any(|member| wanted(*member as usize))
                })
            })
    }

    /// Calls `visit` with the boxes of the cells about `point`, from its own cell outwards, for as long as those of the
    /// next cells may be nearer than the least distance that `visit` gave. A box may be told several times.
    pub(crate) fn outwards(&self, point: Point, mut visit: impl FnMut(usize) -> f64) {
        let (row, column) = self.cell_of(point);
        let side = self.cell.x.min(self.cell.y);
        let mut least = f64::INFINITY;
        for &large in &self.large {
            least = least.min(visit(large as usize));
        }
        for ring in 0..self.rows.max(self.columns) {
            // Between the point and this ring of cells lie all but one of the rings within it.
            if ring > 0 && (ring - 1) as f64 * side > least {
                break;
            }
            let rows = row.saturating_sub(ring)..=(row + ring).min(self.rows - 1);
            let columns = column.saturating_sub(ring)..=(column + ring).min(self.columns - 1);
            let mut cell = |row: usize, column: usize| {
                for &member in self.members_of((row, column)) {
                    least = least.min(visit(member as usize));
                }
            };
            for r in rows {
                if r.abs_diff(row) == ring {
                    columns.clone().for_each(|c| cell(r, c));
                    continue;
                }
                // Between the first and the last row only the two ends belong to the ring.
                for c in [column.checked_sub(ring), Some(column + ring)].into_iter().flatten() {
                    if c < self.columns {
                        cell(r, c);
                    }
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_nearest_box_and_few_others_are_visited() {
        // Rows of unequal boxes, 3,000 in all.
        let boxes: Vec<Bounds> = (0..3000)
            .map(|k| {
                let corner = Point::new(f64::from(k % 75) * 10.0 - 90.0, f64::from(k / 75) * 12.0 + 31.0);
                Bounds { min: corner, max: corner + Point::new(1.0 + f64::from(k % 7), 5.0) }
            })
            .collect();
        let grid = Grid::over(&boxes, 0.0);
        let away = |b: &Bounds, p: Point| {
            let beyond = |low: f64, x: f64, high: f64| (low - x).max(x - high).max(0.0);
            beyond(b.min.x, p.x, b.max.x).hypot(beyond(b.min.y, p.y, b.max.y))
        };
        for place in [(100.0, 200.0), (-500.0, 70.0), (333.3, 1000.0), (640.0, 28.0), (7.9, 41.2)] {
            let point = Point::new(place.0, place.1);
            let (mut visits, mut least) = (0, f64::INFINITY);
            grid.outwards(point, |k| {
                visits += 1;
                least = least.min(away(&boxes[k], point));
                least
            });
            let expected = boxes.iter().map(|b| away(b, point)).fold(f64::INFINITY, f64::min);
            assert_eq!(least, expected, "{place:?}");
            // From far away many cells may be as near as the nearest.
            assert!(expected > 20.0 || visits < 60, "{place:?}: {visits}");
        }
    }

    #[test]
    fn boxes_within_an_area() {
        let column = |k: u32| {
            let corner = Point::new(5.0, f64::from(k) * 10.0);
            Bounds { min: corner, max: corner + Point::new(3.0, 6.0) }
        };
        let mut boxes: Vec<Bounds> = (0..200).map(column).collect();
        boxes.push(Bounds { min: Point::new(0.0, 0.0), max: Point::new(20.0, 2000.0) });
        let area = Bounds { min: Point::new(6.0, 314.0), max: Point::new(7.0, 331.0) };
        let found = Grid::over(&boxes, 0.0).within(&area);
        assert!([31, 32, 33, 200].iter().all(|k| found.contains(k)), "{found:?}");
        assert!(found.len() < 12 && found.is_sorted(), "{found:?}");
        let grid = Grid::over(&boxes, 0.0);
        let meets = |k: usize| boxes[k].meets(&area);
        assert!(
            grid.any_within(&area, |k| k == 32 && meets(k))
                && !grid.any_within(&area, |k| k == 40 && meets(k))
        );
    }

    /// Small boxes in rows and columns, and frames around most of them; a thousand times as many as are compared here would
    /// not fit into memory if every frame stood in each of its cells.
    #[test]
    fn frames_around_many_boxes_are_kept_beside_the_grid() {
        let corner = |k: u32| Point::new(f64::from(k % 100) * 3.0, f64::from(k / 100) * 2.0 - 50.0);
        let small = |k: u32| Bounds { min: corner(k), max: corner(k) + Point::new(2.0, 1.5) };
        let mut boxes: Vec<Bounds> = (0..9000).map(small).collect();
        let frame = |k: u32| {
            let margin = f64::from(k) * 0.1;
            Bounds { min: Point::new(1.0 + margin, -48.0), max: Point::new(299.0, 129.0 - margin) }
        };
        (0..20).for_each(|k| boxes.insert(450 * k as usize, frame(k)));
        let grid = Grid::over(&boxes, 0.1);
        assert_eq!(grid.large.len(), 20);
        assert!(grid.cells.entries() < 6 * boxes.len(), "{}", grid.cells.entries());
        let meeting = |area: &Bounds| -> Vec<usize> {
            (0..boxes.len()).filter(|k| boxes[*k].grown(0.1).meets(area)).collect()
        };
        for area in [small(4321), frame(3), small(7)] {
            let found = grid.within(&area);
            assert!(found.is_sorted() && meeting(&area).iter().all(|k| found.binary_search(k).is_ok()));
            assert!(grid.any_within(&area, |k| k == 450));
            let around: Vec<usize> = grid.around(area.center()).collect();
            let at = Bounds::EMPTY.with(area.center());
            assert!(around.is_sorted() && meeting(&at).iter().all(|k| around.binary_search(k).is_ok()));
        }
        let (mut found, mut expected) = (Vec::new(), Vec::new());
        near_pairs(&boxes, 0.1, |i, j| found.push((i, j)));
        for j in 0..boxes.len() {
            expected.extend((0..j).filter(|i| boxes[*i].grown(0.1).meets(&boxes[j])).map(|i| (i, j)));
        }
        found.sort_unstable();
        expected.sort_unstable();
        assert!(found == expected && found.len() > 100_000, "{} {}", found.len(), expected.len());
    }

    /// What cells connect is what all pairs connect: spread out, in a heap far from the rest, and in a column.
    #[test]
    fn points_of_neighbouring_cells_are_compared() {
        let mut state = 11_u64;
        let mut random = || {
            state = state.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
            (state >> 11) as f64 / (1_u64 << 53) as f64
        };
        for (width, height, apart) in
            [(90.0, 60.0, 0.9), (1e-9, 70.0, 0.08), (90.0, 0.0, 0.05), (0.0, 0.0, 0.1)]
        {
            let mut points: Vec<Point> =
                (0..700).map(|_| Point::new(random() * width - 30.0, random() * height + 7.0)).collect();
            points
                .extend((0..90).map(|_| Point::new(500.0 + random() * apart, 9.0 + random() * 3.0 * apart)));
            points.extend_from_within(100..140);
            let heaps = |pairs: &[(u32, u32)]| {
                let mut heap: Vec<u32> = (0..points.len() as u32).collect();
                for &(i, j) in pairs {
                    if points[i as usize].distance(points[j as usize]) <= apart {
                        let (a, b) = (heap[i as usize], heap[j as usize]);
                        heap.iter_mut().filter(|h| **h == a.max(b)).for_each(|h| *h = a.min(b));
                    }
                }
                heap
            };
            let mut pairs = Vec::new();
            near_cells(&points, apart, |i, j| pairs.push((i, j)));
            assert!(pairs.len() < 80_000, "{}", pairs.len());
            let told = heaps(&pairs);
            pairs = (0..points.len() as u32).flat_map(|j| (0..j).map(move |i| (i, j))).collect();
            let all = heaps(&pairs);
            assert_eq!(told, all, "{width} {height} {apart}");
        }
        near_cells(&[], 1.0, |_, _| panic!("no points"));
        near_cells(&[Point::ORIGIN], 0.0, |_, _| panic!("one point"));
    }

    #[test]
    fn the_grid_finds_the_pairs_that_a_full_comparison_finds() {
        let mut state = 7_u64;
        let mut random = || {
            state = state.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
            (state >> 11) as f64 / (1_u64 << 53) as f64
        };
        let mut boxes: Vec<Bounds> = (0..300)
            .map(|_| {
                let corner = Point::new(random() * 1000.0 - 300.0, random() * 40.0);
                Bounds { min: corner, max: corner + Point::new(random() * 90.0, random() * 3.0) }
            })
            .collect();
        boxes.push(Bounds::EMPTY);
        boxes.push(Bounds { min: Point::new(-400.0, 1.0), max: Point::new(900.0, 1.0) });
        let mut found = Vec::new();
        near_pairs(&boxes, 0.5, |i, j| found.push((i, j)));
        let mut expected = Vec::new();
        for j in 0..boxes.len() {
            for i in 0..j {
                if boxes[i].grown(0.5).meets(&boxes[j]) {
                    expected.push((i, j));
                }
            }
        }
        found.sort_unstable();
        expected.sort_unstable();
        assert!(expected.len() > 300);
        assert_eq!(found, expected);
    }
}
