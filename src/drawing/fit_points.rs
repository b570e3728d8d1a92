//! The cubic through fit points.

use super::plane::Point3;
use super::spline::{Spans, distance};

impl Spans {
    /// The cubic with continuous curvature through `points` (repeated ones are one), at parameters that grow by
    /// the chords, with the given directions at the ends, or without curvature there. A closed one ends as it
    /// begins. `None` for fewer than two points that differ.
    pub fn through(mut points: Vec<Point3>, tangents: [Option<Point3>; 2], closed: bool) -> Option<Spans> {
        points.dedup();
        if closed && points.len() > 2 && points.first() != points.last() {
            points.push(points[0]);
        }
        let n = points.len();
        if n < 2 {
            return None;
        }
        let around = closed && n > 3 && points[0] == points[n - 1];
        let chords: Vec<f64> = points.windows(2).map(|pair| distance(pair[0], pair[1])).collect();
        let slopes =
            if around { slopes_around(&points, &chords) } else { slopes(&points, &chords, tangents) };
        let mut spans = Spans { order: 4, points: Vec::with_capacity(4 * chords.len()), weights: Vec::new() };
        for (i, chord) in chords.iter().enumerate() {
            let (a, b) = (points[i], points[i + 1]);
            let third = chord / 3.0;
            spans.points.push(a);
            spans.points.push([0, 1, 2].map(|axis| a[axis] + slopes[i][axis] * third));
            spans.points.push([0, 1, 2].map(|axis| b[axis] - slopes[i + 1][axis] * third));
            spans.points.push(b);
        }
        Some(spans)
    }
}

/// Derivatives at the points of the cubic spline with free or given ends: one tridiagonal system for each axis.
fn slopes(points: &[Point3], chords: &[f64], tangents: [Option<Point3>; 2]) -> Vec<Point3> {
    let n = points.len();
    let secant = |i: usize| [0, 1, 2].map(|axis| (points[i + 1][axis] - points[i][axis]) / chords[i]);
    // Rows: below·m[i−1] + middle·m[i] + above·m[i+1] = right.
    let (mut below, mut middle, mut above, mut right) =
        (vec![0.0; n], vec![1.0; n], vec![0.0; n], vec![[0.0; 3]; n]);
    for i in 1..n - 1 {
        let (before, after) = (chords[i - 1], chords[i]);
        (below[i], middle[i], above[i]) = (after, 2.0 * (before + after), before);
        let (s0, s1) = (secant(i - 1), secant(i));
        right[i] = [0, 1, 2].map(|axis| 3.0 * (after * s0[axis] + before * s1[axis]));
    }
    for (row, tangent, chord) in [(0, tangents[0], 0), (n - 1, tangents[1], n - 2)] {
        match tangent.filter(|t| distance([0.0; 3], *t) > 0.0) {
            // A direction only: the parameter grows by length, so the derivative has length 1.
            Some(t) => right[row] = t.map(|x| x / distance([0.0; 3], t)),
            None => {
                middle[row] = 2.0;
                if row == 0 {
                    above[row] = 1.0;
                } else {
                    below[row] = 1.0;
                }
                right[row] = secant(chord).map(|x| 3.0 * x);
            }
        }
    }
    solved(&below, &middle, &above, right)
}

/// Derivatives of the closed cubic spline; the last point is the first. The cyclic system is solved by splitting off
/// its two corners (Sherman-Morrison).
fn slopes_around(points: &[Point3], chords: &[f64]) -> Vec<Point3> {
    let n = chords.len();
    let secant = |i: usize| [0, 1, 2].map(|axis| (points[i + 1][axis] - points[i][axis]) / chords[i]);
    let (mut below, mut middle, mut above, mut right) =
        (vec![0.0; n], vec![0.0; n], vec![0.0; n], vec![[0.0; 3]; n]);
    for i in 0..n {
        let last = (i + n - 1) % n;
        let (before, after) = (chords[last], chords[i]);
        (below[i], middle[i], above[i]) = (after, 2.0 * (before + after), before);
        let (s0, s1) = (secant(last), secant(i));
        right[i] = [0, 1, 2].map(|axis| 3.0 * (after * s0[axis] + before * s1[axis]));
    }
    let (corner_low, corner_high) = (below[0], above[n - 1]);
    let gamma = -middle[0];
    middle[0] -= gamma;
    middle[n - 1] -= corner_low * corner_high / gamma;
    let mut corner = vec![[0.0; 3]; n];
    corner[0] = [gamma; 3];
    corner[n - 1] = [corner_high; 3];
    let y = solved(&below, &middle, &above, right);
    let z = solved(&below, &middle, &above, corner);
    let ratio = corner_low / gamma;
    let factor = [0, 1, 2]
        .map(|axis| (y[0][axis] + ratio * y[n - 1][axis]) / (1.0 + z[0][axis] + ratio * z[n - 1][axis]));
    let mut slopes: Vec<Point3> =
        (0..n).map(|i| [0, 1, 2].map(|axis| y[i][axis] - factor[axis] * z[i][axis])).collect();
    slopes.push(slopes[0]);
    slopes
}

/// The tridiagonal system, by elimination; the matrices here are diagonally dominant.
fn solved(below: &[f64], middle: &[f64], above: &[f64], mut right: Vec<Point3>) -> Vec<Point3> {
    let n = right.len();
    let mut pivots = middle.to_vec();
    for i in 1..n {
        let factor = below[i] / pivots[i - 1];
        pivots[i] -= factor * above[i - 1];
        let before = right[i - 1];
        right[i].iter_mut().zip(before).for_each(|(x, before)| *x -= factor * before);
    }
    for i in (0..n).rev() {
        let after = if i + 1 < n { right[i + 1] } else { [0.0; 3] };
        right[i].iter_mut().zip(after).for_each(|(x, after)| *x = (*x - above[i] * after) / pivots[i]);
    }
    right
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Curve, Point};

    fn flat(points: &[(f64, f64)]) -> Vec<Point3> {
        points.iter().map(|(x, y)| [*x, *y, 0.0]).collect()
    }

    fn curves(spans: &Spans) -> Vec<Curve> {
        spans.seen_from_above().unwrap().seen.curves()
    }

    #[test]
    fn fit_points_give_a_smooth_curve_through_them() {
        let points = flat(&[(0.0, 0.0), (2.0, 3.0), (2.0, 3.0), (5.0, 1.0), (9.0, 4.0)]);
        for tangents in [[None, None], [Some([0.0, 2.0, 0.0]), Some([1.0, 0.0, 0.0])]] {
            let curves = curves(&Spans::through(points.clone(), tangents, false).unwrap());
            assert_eq!(curves.len(), 3);
            assert_eq!(curves[1].start(), Point::new(2.0, 3.0));
            for pair in curves.windows(2) {
                assert!(pair[0].tangent(1.0).distance(pair[1].tangent(0.0)) < 1e-12);
                assert!((pair[0].curvature(1.0) - pair[1].curvature(0.0)).abs() < 1e-4);
            }
            match tangents[0] {
                Some(_) => assert!(curves[0].tangent(0.0).distance(Point::new(0.0, 1.0)) < 1e-14),
                None => assert!(curves[0].curvature(0.0).abs() < 1e-4),
            }
        }
    }

    #[test]
    fn closed_fit_points_close_smoothly() {
        let points = flat(&[(0.0, 0.0), (5.0, -1.0), (6.0, 4.0), (1.0, 3.0)]);
        let shape = Spans::through(points, [None, None], true).unwrap().seen_from_above().unwrap().seen;
        let curves = shape.curves();
        assert!(shape.is_closed());
        assert_eq!(curves.len(), 4);
        for (i, curve) in curves.iter().enumerate() {
            let next = &curves[(i + 1) % 4];
            assert!(curve.tangent(1.0).distance(next.tangent(0.0)) < 1e-12);
            assert!((curve.curvature(1.0) - next.curvature(0.0)).abs() < 1e-4);
        }
    }

    #[test]
    fn a_parabola_is_reproduced_where_its_ends_are_given() {
        // Nearly even chords of a flat parabola: the cubic follows it closely.
        let points: Vec<Point3> = (0..=20)
            .map(|i| {
                let x = f64::from(i) / 20.0;
                [x, 0.01 * x * x, 0.0]
            })
            .collect();
        let spans = Spans::through(points, [Some([1.0, 0.0, 0.0]), Some([1.0, 0.02, 0.0])], false).unwrap();
        for curve in curves(&spans) {
            let p = curve.at(0.5);
            assert!((p.y - 0.01 * p.x * p.x).abs() < 1e-9);
        }
    }
}
