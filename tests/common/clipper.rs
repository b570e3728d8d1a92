//! What rings of lines and arcs come to by nesting depth, with every intersection from `cavalier_contours`: it shares
//! no code with the program and works by other means (slices stitched between crossings). It is used near the origin,
//! where its own accuracy is best.

use cavalier_contours::core::math::Vector2;
use cavalier_contours::polyline::{
    BooleanOp, BooleanResultPline, PlineBooleanOptions, PlineSource, PlineSourceMut, Polyline,
};

use super::shapes::Corner;

/// Positions nearer than this are one to the other library; it compares parameters and angles at 1e-8 as well.
pub const POSITION: f64 = 1e-7;

fn polyline(corners: &[Corner]) -> Polyline {
    let mut line = Polyline::new_closed();
    for [x, y, bulge] in corners {
        line.add(*x, *y, *bulge);
    }
    line
}

fn corners(line: &Polyline) -> Vec<Corner> {
    line.vertex_data.iter().map(|v| [v.x, v.y, v.bulge]).collect()
}

/// What all of `rings` share; `None` where the other library contradicts itself: what one ring shares with another and
/// what it does not share must sum to the ring. In about one of a thousand sets that touch, they don't.
fn shared(rings: &[&Polyline]) -> Option<Vec<Polyline>> {
    let options = PlineBooleanOptions { pos_equal_eps: POSITION, ..PlineBooleanOptions::new() };
    let mut left: Vec<Polyline> = vec![rings[0].clone()];
    for other in &rings[1..] {
        let mut next = Vec::new();
        for line in &left {
            let common = line.boolean_opt(*other, BooleanOp::And, &options);
            let rest = line.boolean_opt(*other, BooleanOp::Not, &options);
            let backwards = other.boolean_opt(line, BooleanOp::And, &options);
            let whole = line.area().abs();
            let holes = area(&taken(rest.neg_plines));
            let (common, backwards) = (taken(common.pos_plines), taken(backwards.pos_plines));
            let differs = |a: f64, b: f64| (a - b).abs() > SELF_AGREE * whole;
            if differs(area(&common), area(&backwards))
                || differs(area(&common) + area(&taken(rest.pos_plines)) - holes, whole)
                || !is_about(area(&common), line, other)
            {
                return None;
            }
            next.extend(common);
        }
        left = next;
    }
    Some(left)
}

/// Two rings share about this area, as points of a grid tell: where rings touch in corners of each other, the other
/// library takes all of one to lie outside the other now and then, and then its answers agree with each other.
fn is_about(shared: f64, a: &Polyline, b: &Polyline) -> bool {
    const POINTS: u32 = 32;
    /// A share of the box that so many points tell apart from nothing.
    const SURE: f64 = 0.06;
    let Some(bounds) = a.extents() else { return shared == 0.0 };
    let at = |low: f64, high: f64, k: u32| low + (high - low) * (f64::from(k) + 0.5) / f64::from(POINTS);
    let places = (0..POINTS * POINTS).map(|k| {
        let (column, row) = (k % POINTS, k / POINTS);
        Vector2::new(at(bounds.min_x, bounds.max_x, column), at(bounds.min_y, bounds.max_y, row))
    });
    let inside = places.filter(|p| a.winding_number(*p) != 0 && b.winding_number(*p) != 0).count();
    let whole = (bounds.max_x - bounds.min_x) * (bounds.max_y - bounds.min_y);
    (inside as f64 / f64::from(POINTS * POINTS) * whole - shared).abs() <= SURE * whole
}

/// The other library's answers must agree with each other this well; its positions are equal within 1e-7.
const SELF_AGREE: f64 = 1e-7;

fn taken(found: Vec<BooleanResultPline<Polyline>>) -> Vec<Polyline> {
    found.into_iter().map(|p| p.pline).filter(|p| p.vertex_count() > 1).collect()
}

fn area(lines: &[Polyline]) -> f64 {
    lines.iter().map(|l| l.area().abs()).sum()
}

/// An outline and how often it counts.
pub type Counted = (f64, Vec<Corner>);

/// The rings of which (union of depth 0) − (union of depth 1) + …, without the voids, is the sum, by inclusion and
/// exclusion. A ring lies at the depth of the longest chain of rings around it; rings drawn again are left out.
pub fn by_depth(rings: &[Vec<Corner>], voids: &[Vec<Corner>]) -> Option<Vec<Counted>> {
    /// Rings that share all but this of their area lie in each other.
    const SHARED: f64 = 1e-7;
    let mut lines: Vec<Polyline> = rings.iter().map(|c| polyline(c)).collect();
    let holds = |outer: &Polyline, inner: &Polyline| {
        let whole = inner.area().abs();
        Some((area(&shared(&[inner, outer])?) - whole).abs() <= SHARED * whole)
    };
    let mut k = 0;
    while k < lines.len() {
        let mut again = false;
        for j in 0..k {
            again |= holds(&lines[j], &lines[k])? && holds(&lines[k], &lines[j])?;
        }
        if again {
            lines.remove(k);
        } else {
            k += 1;
        }
    }
    let mut order: Vec<usize> = (0..lines.len()).collect();
    order.sort_by(|i, j| lines[*j].area().abs().total_cmp(&lines[*i].area().abs()));
    let mut depths = vec![0; lines.len()];
    for (place, &inner) in order.iter().enumerate() {
        for &outer in &order[..place] {
            if holds(&lines[outer], &lines[inner])? {
                depths[inner] = depths[inner].max(depths[outer] + 1);
            }
        }
    }
    let voids: Vec<Polyline> = voids.iter().map(|c| polyline(c)).collect();
    let mut counted = Vec::new();
    for depth in 0..=depths.iter().copied().max().unwrap_or(0) {
        let solid: Vec<&Polyline> =
            (0..lines.len()).filter(|k| depths[*k] == depth).map(|k| &lines[k]).collect();
        for some in 1_usize..1 << solid.len() {
            for cut in 0_usize..1 << voids.len() {
                let mut all: Vec<&Polyline> = chosen(some, &solid).copied().collect();
                all.extend(chosen(cut, &voids));
                let odd = depth as u32 + some.count_ones() + 1 + cut.count_ones();
                let sign = if odd.is_multiple_of(2) { 1.0 } else { -1.0 };
                counted.extend(shared(&all)?.iter().map(|l| (sign, corners(l))));
            }
        }
    }
    Some(counted)
}

fn chosen<T>(mask: usize, all: &[T]) -> impl Iterator<Item = &T> {
    all.iter().enumerate().filter(move |(k, _)| mask & (1 << k) != 0).map(|(_, item)| item)
}
