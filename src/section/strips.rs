//! The independent check: the section cut into upright strips, and again into flat ones.
//!
//! At each station the curves' heights are solved for, sorted into pairs from below (in, out, in, out …), and the
//! strip between each pair is integrated. Nothing here uses a parameter derivative, a direction of travel or the
//! nesting of rings, which the boundary integrals rest on; agreement of the two is evidence for both.

use super::frame::Frame;
use super::integrals::Moments;
use crate::geometry::integral::panels_for;
use crate::geometry::near::Grid;
use crate::geometry::{Bounds, Curve, Point, quadrature};

/// A stretch of a curve with one height at each station.
pub(super) struct Stretch<'a> {
    curve: &'a Curve,
    /// Parameters between which x runs one way.
    from: f64,
    to: f64,
    pub left: f64,
    pub right: f64,
    lowest: f64,
    highest: f64,
    form: Form,
}

/// How the height at a station is solved for.
enum Form {
    /// y = y₀ + slope·(x − x₀).
    Straight { x: f64, y: f64, slope: f64 },
    /// A branch of the ellipse: x = cx + a·sin ψ, y = cy + b·sin ψ ± h·cos ψ.
    Round { center: Point, reach: f64, lean: f64, height: f64 },
    /// Solved along the curve.
    Free,
}

/// Area and moments about the frame's origin, by upright strips.
pub(super) fn upright(frame: &Frame) -> Moments {
    let stretches = stretches(frame);
    let tops = tops(&stretches);
    let mut sum = Moments::default();
    for (stretch, top) in stretches.iter().zip(tops) {
        sum += stretch.strips().scaled(if top { 1.0 } else { -1.0 });
    }
    sum
}

/// Area and moments about the frame's origin, by flat strips.
pub(super) fn flat(frame: &Frame) -> Moments {
    // On the page turned a quarter, flat strips stand upright: x' = −y, y' = x.
    let turned = upright(&frame.quarter_turned());
    Moments {
        area: turned.area,
        first_x: turned.first_y,
        first_y: -turned.first_x,
        xx: turned.yy,
        yy: turned.xx,
        xy: -turned.xy,
    }
}

pub(super) fn stretches(frame: &Frame) -> Vec<Stretch<'_>> {
    /// A stretch narrower than this share of the section is taken as straight: what it adds is rounding, and so would
    /// be the heights solved for on it.
    const NARROW: f64 = 1e-12;
    let right = Point::new(1.0, 0.0);
    let narrow = NARROW * frame.bounds().size();
    let mut found = Vec::new();
    for (_, curve) in frame.curves() {
        let heights: Vec<(f64, f64)> =
            curve.extremes(Point::new(0.0, 1.0)).into_iter().map(|t| (t, curve.at(t).y)).collect();
        for ends in curve.monotone_stations(right).windows(2) {
            let ((from, a), (to, b)) = (ends[0], ends[1]);
            if a.x == b.x {
                continue;
            }
            let (lowest, highest) = heights
                .iter()
                .filter(|(t, _)| from < *t && *t < to)
                .fold((a.y.min(b.y), a.y.max(b.y)), |(low, high), (_, y)| (low.min(*y), high.max(*y)));
            found.push(Stretch {
                curve,
                from,
                to,
                left: a.x.min(b.x),
                right: a.x.max(b.x),
                lowest,
                highest,
                form: if (b.x - a.x).abs() <= narrow {
                    Form::Straight { x: a.x, y: a.y, slope: (b.y - a.y) / (b.x - a.x) }
                } else {
                    Form::of(curve, from, to)
                },
            });
        }
    }
    found
}

impl Form {
    fn of(curve: &Curve, from: f64, to: f64) -> Form {
        let (center, u, v, middle) = match curve {
            Curve::Line(line) => {
                let along = line.end - line.start;
                return Form::Straight { x: line.start.x, y: line.start.y, slope: along.y / along.x };
            }
            Curve::Arc(c) => (
                c.center,
                Point::new(c.radius, 0.0),
                Point::new(0.0, c.radius),
                c.start_angle + c.sweep * 0.5 * (from + to),
            ),
            Curve::Ellipse(c) => (c.center, c.u, c.v, c.start_parameter + c.sweep * 0.5 * (from + to)),
            Curve::Span(_) => return Form::Free,
        };
        // x = cx + a·sin(φ + δ): turn the parameter so that x alone is a sine.
        let reach = u.x.hypot(v.x);
        if reach == 0.0 {
            return Form::Free;
        }
        let delta = u.x.atan2(v.x);
        // y = cy + u.y·cos φ + v.y·sin φ with φ = ψ − δ.
        let lean = (u.y * u.x + v.y * v.x) / reach;
        let height = u.cross(v) / reach;
        // cos ψ is positive on one branch and negative on the other.
        let branch = (middle + delta).cos().signum();
        Form::Round { center, reach, lean, height: -height * branch }
    }
}

impl Stretch<'_> {
    /// The height at station `x`.
    pub fn height(&self, x: f64) -> f64 {
        match &self.form {
            Form::Straight { x: x0, y, slope } => y + slope * (x - x0),
            Form::Round { center, reach, lean, height } => {
                let out = x - center.x;
                let cosine = ((reach - out) * (reach + out)).max(0.0).sqrt() / reach;
                center.y + lean * out / reach + height * cosine
            }
            Form::Free => {
                let t = self.curve.parameter_where(Point::new(1.0, 0.0), x, self.from, self.to);
                self.curve.at(t).y
            }
        }
    }

    /// The strips between the x axis and this stretch.
    fn strips(&self) -> Moments {
        let strip = |x: f64, width: f64| {
            let y = self.height(x);
            [
                width * y,
                width * x * y,
                width * y * y / 2.0,
                width * x * x * y,
                width * y * y * y / 3.0,
                width * x * y * y / 2.0,
            ]
        };
        /// x²y along a round stretch, times its cosine.
        const HARMONICS: u32 = 4;
        let sums = match &self.form {
            Form::Straight { .. } => quadrature::panels(|x| strip(x, 1.0), self.left, self.right, 1),
            // Stations at x = cx + a·sin ψ crowd where the curve stands upright.
            Form::Round { center, reach, .. } => {
                let angle = |x: f64| ((x - center.x) / reach).clamp(-1.0, 1.0).asin();
                let (first, last) = (angle(self.left), angle(self.right));
                let station = |sine: f64, cosine: f64| strip(center.x + reach * sine, reach * cosine);
                quadrature::turning(station, first, last, panels_for(last - first, HARMONICS))
            }
            // The same crowding towards both ends, where a span may stand upright.
            Form::Free => {
                let (middle, half) = (0.5 * (self.left + self.right), 0.5 * (self.right - self.left));
                let station = |theta: f64| {
                    let (sine, cosine) = theta.sin_cos();
                    strip(middle - half * cosine, half * sine)
                };
                quadrature::adaptive(station, 0.0, std::f64::consts::PI)
            }
        };
        let [area, first_x, first_y, xx, yy, xy] = sums;
        Moments { area, first_x, first_y, xx, yy, xy }
    }
}

/// So few stretches are counted one by one: sorting them, and a grid of their boxes, take longer.
const FEW: usize = 128;

/// For each stretch whether it is the top of a strip: an odd number of stretches lie below it at a station.
pub(super) fn tops(stretches: &[Stretch]) -> Vec<bool> {
    if stretches.len() <= FEW { tops_of_few(stretches) } else { tops_of_many(stretches) }
}

/// The station at which a stretch is judged: off the middle, where drawings with symmetry have holes that touch edges.
fn station(stretch: &Stretch) -> f64 {
    stretch.left + 0.4693 * (stretch.right - stretch.left)
}

fn tops_of_few(stretches: &[Stretch]) -> Vec<bool> {
    let top = |(index, stretch): (usize, &Stretch)| {
        let x = station(stretch);
        let y = stretch.height(x);
        let below = |other: &Stretch| {
            other.left <= x
                && x < other.right
                && (other.highest < y || (other.lowest < y && other.height(x) < y))
        };
        let others = stretches.iter().enumerate().filter(|(k, other)| *k != index && below(other));
        others.count() % 2 == 1
    };
    stretches.iter().enumerate().map(top).collect()
}

fn tops_of_many(stretches: &[Stretch]) -> Vec<bool> {
    let sorted_by = |key: &dyn Fn(&Stretch) -> f64| {
        let mut order: Vec<usize> = (0..stretches.len()).collect();
        order.sort_by(|i, j| key(&stretches[*i]).total_cmp(&key(&stretches[*j])));
        order
    };
    let (by_left, by_right) = (sorted_by(&|s| s.left), sorted_by(&|s| s.right));
    let boxes: Vec<Bounds> = stretches
        .iter()
        .map(|s| Bounds { min: Point::new(s.left, s.lowest), max: Point::new(s.right, s.highest) })
        .collect();
    let grid = Grid::over(&boxes, 0.0);
    let mut highest: Vec<f64> = stretches.iter().map(|s| s.highest).collect();
    highest.sort_by(f64::total_cmp);
    let rank = |height: f64| highest.partition_point(|h| *h < height);
    // How many of the stretches that pass the station are all below a height.
    let mut passing = Counts::new(stretches.len());
    let mut tops = vec![false; stretches.len()];
    let (mut entering, mut leaving) = (by_left.into_iter().peekable(), by_right.into_iter().peekable());
    for index in sorted_by(&station) {
        let stretch = &stretches[index];
        let x = station(stretch);
        // Half-open, so that two stretches which follow on each other at this very station count as one.
        while let Some(next) = entering.next_if(|i| stretches[*i].left <= x) {
            passing.add(rank(stretches[next].highest), 1);
        }
        while let Some(next) = leaving.next_if(|i| stretches[*i].right <= x) {
            passing.add(rank(stretches[next].highest), -1);
        }
        let y = stretch.height(x);
        let below = passing.before(rank(y)) - i64::from(stretch.highest < y);
        let beside = grid
            .around(Point::new(x, y))
            .iter()
            .map(|i| *i as usize)
            .filter(|i| *i != index)
            .map(|i| &stretches[i])
            .filter(|other| other.left <= x && x < other.right && other.lowest < y && y <= other.highest)
            .filter(|other| other.height(x) < y)
            .count();
        tops[index] = (below + beside as i64) % 2 == 1;
    }
    tops
}

/// Counts by rank, with their sums from the first rank on: a Fenwick tree.
struct Counts {
    sums: Vec<i64>,
}

impl Counts {
    fn new(ranks: usize) -> Counts {
        Counts { sums: vec![0; ranks + 1] }
    }

    fn add(&mut self, rank: usize, count: i64) {
        let mut place = rank + 1;
        while place < self.sums.len() {
            self.sums[place] += count;
            place += place & place.wrapping_neg();
        }
    }

    /// The sum of the counts of all lower ranks.
    fn before(&self, rank: usize) -> i64 {
        let (mut place, mut sum) = (rank, 0);
        while place > 0 {
            sum += self.sums[place];
            place &= place - 1;
        }
        sum
    }
}

#[cfg(test)]
mod tests {
    use super::super::frame::Loop;
    use super::*;
    use crate::geometry::Arc;

    #[test]
    fn few_and_many_are_counted_alike() {
        // Discs in rings of two discs, some over others' edges, at no even distances.
        let disc = |k: u32, radius: f64| {
            let at = Point::new(
                9.7 * f64::from(k * 7 % 10) - 31.0,
                8.3 * f64::from(k / 3) + 0.9 * f64::from(k % 4),
            );
            Loop { sign: 1.0, curves: vec![Curve::Arc(Arc::circle(at, radius))] }
        };
        let loops = (0..18).flat_map(|k| [disc(k, 5.0), disc(k, 2.25 + 0.13 * f64::from(k))]).collect();
        let frame = Frame { loops };
        for turned in [false, true] {
            let turned = if turned { Some(frame.quarter_turned()) } else { None };
            let stretches = stretches(turned.as_ref().unwrap_or(&frame));
            assert!(stretches.len() > 60 && stretches.len() <= FEW);
            let few = tops_of_few(&stretches);
            assert_eq!(few, tops_of_many(&stretches));
            assert!(few.contains(&true) && few.contains(&false));
        }
    }
}
