//! Polynomials in Bernstein form on [0, 1]: the arithmetic behind spline spans.
//!
//! Values, slopes and parts by de Casteljau's algorithm; products by Bernstein's formula with binomial coefficients; zeros by
//! halving until the coefficients change sign at most once (variation diminishing: no more zeros than changes), then Newton's
//! method kept within a bracket.

/// Value and slope at `t` of the polynomial with the given coefficients (at least one), by de Casteljau.
pub(super) fn value_and_slope(coefficients: impl ExactSizeIterator<Item = f64>, t: f64) -> (f64, f64) {
    /// Room for the degrees that drawings hold, without going to the heap.
    const ROOM: usize = 12;
    let count = coefficients.len();
    // The same steps for the cubics that most splines are made of, and for conics, without loops.
    if count == 3 {
        let mut b = [0.0; 3];
        b.iter_mut().zip(coefficients).for_each(|(slot, value)| *slot = value);
        let [b0, b1] = [b[0] + (b[1] - b[0]) * t, b[1] + (b[2] - b[1]) * t];
        return (b0 + (b1 - b0) * t, (b1 - b0) * 2.0);
    }
    if count == 4 {
        let mut b = [0.0; 4];
        b.iter_mut().zip(coefficients).for_each(|(slot, value)| *slot = value);
        let [b0, b1, b2] = [b[0] + (b[1] - b[0]) * t, b[1] + (b[2] - b[1]) * t, b[2] + (b[3] - b[2]) * t];
        let [b0, b1] = [b0 + (b1 - b0) * t, b1 + (b2 - b1) * t];
        return (b0 + (b1 - b0) * t, (b1 - b0) * 3.0);
    }
    let (mut small, mut large) = ([0.0; ROOM], Vec::new());
    let b: &mut [f64] = if count <= ROOM {
        small.iter_mut().zip(coefficients).for_each(|(slot, value)| *slot = value);
        &mut small[..count]
    } else {
        large.extend(coefficients);
        &mut large
    };
    if count == 1 {
        return (b[0], 0.0);
    }
    for level in (2..count).rev() {
        for i in 0..level {
            b[i] += (b[i + 1] - b[i]) * t;
        }
    }
    (b[0] + (b[1] - b[0]) * t, (b[1] - b[0]) * (count - 1) as f64)
}

fn value(coefficients: &[f64], t: f64) -> f64 {
    value_and_slope(coefficients.iter().copied(), t).0
}

/// Coefficients of the derivative.
pub(super) fn derivative(coefficients: &[f64]) -> Vec<f64> {
    if coefficients.len() < 2 {
        return vec![0.0];
    }
    let degree = (coefficients.len() - 1) as f64;
    coefficients.windows(2).map(|pair| (pair[1] - pair[0]) * degree).collect()
}

/// Coefficients of the product.
pub(super) fn product(a: &[f64], b: &[f64]) -> Vec<f64> {
    let (m, n) = (a.len() - 1, b.len() - 1);
    let (choose_m, choose_n, choose_sum) = (binomials(m), binomials(n), binomials(m + n));
    let mut result = vec![0.0; m + n + 1];
    for i in 0..=m {
        for j in 0..=n {
            result[i + j] += choose_m[i] * choose_n[j] / choose_sum[i + j] * a[i] * b[j];
        }
    }
    result
}

/// Coefficients of a − b, which must be of one degree.
pub(super) fn subtracted(a: &[f64], b: &[f64]) -> Vec<f64> {
    a.iter().zip(b).map(|(a, b)| a - b).collect()
}

/// Binomial coefficients n over 0, 1, … n.
pub(super) fn binomials(n: usize) -> Vec<f64> {
    let mut row = vec![1.0; n + 1];
    for k in 1..=n {
        row[k] = row[k - 1] * (n + 1 - k) as f64 / k as f64;
    }
    row
}

/// Coefficients of the same polynomial on [t0, t1] stretched to [0, 1].
pub(super) fn restricted(coefficients: &[f64], t0: f64, t1: f64) -> Vec<f64> {
    let mut low = split(coefficients, t1).0;
    if t0 > 0.0 {
        low = split(&low, t0 / t1).1;
    }
    low
}

/// De Casteljau: the coefficients on [0, t] and on [t, 1].
fn split(coefficients: &[f64], t: f64) -> (Vec<f64>, Vec<f64>) {
    let mut right = coefficients.to_vec();
    let mut left = Vec::with_capacity(right.len());
    for level in (0..right.len()).rev() {
        left.push(right[0]);
        for i in 0..level {
            right[i] += (right[i + 1] - right[i]) * t;
        }
    }
    (left, right)
}

/// Zeros strictly within (0, 1), rising. A polynomial that is zero all over has none.
pub(super) fn roots(coefficients: &[f64]) -> Vec<f64> {
    let mut found = roots_with_ends(coefficients);
    found.retain(|t| *t > 0.0 && *t < 1.0);
    found
}

/// Zeros within [0, 1], rising: halved until the coefficients change sign at most once, then bracketed. A double
/// zero that stays within rounding of the axis is given once.
pub(super) fn roots_with_ends(coefficients: &[f64]) -> Vec<f64> {
    let scale = coefficients.iter().fold(0.0_f64, |largest, c| largest.max(c.abs()));
    let mut found = Vec::new();
    if scale == 0.0 || !coefficients.iter().all(|c| c.is_finite()) {
        return found;
    }
    // Scaled, so that no difference of two goes beyond what numbers hold.
    let whole: Vec<f64> = coefficients.iter().map(|c| c / scale).collect();
    search(&whole, whole.clone(), (0.0, 1.0), &mut found);
    found.sort_by(f64::total_cmp);
    found.dedup_by(|a, b| (*a - *b).abs() <= NEAREST_ROOTS);
    found
}

/// Coefficients of a polynomial whose largest is 1 are rounding below this.
const NOISE: f64 = 4.0 * f64::EPSILON;
/// Values at a double zero may be off by several roundings of coefficients.
const TOUCH: f64 = 16.0 * NOISE;

/// Zeros nearer to each other than this share of the span are one: a double zero is known to the square root of
/// the rounding only.
const NEAREST_ROOTS: f64 = 1e-7;

fn search(whole: &[f64], part: Vec<f64>, (low, high): (f64, f64), found: &mut Vec<f64>) {
    let changes = part.windows(2).filter(|pair| pair[0] * pair[1] < 0.0).count()
        + part.windows(3).filter(|three| three[1] == 0.0 && three[0] * three[2] < 0.0).count();
    let (first, last) = (part[0], part[part.len() - 1]);
    // A stretch that is all within rounding of the axis has no zeros to be told apart.
    if part.iter().all(|c| c.abs() <= NOISE) {
        found.push(0.5 * (low + high));
        return;
    }
    if first.abs() <= NOISE {
        found.push(low);
    }
    if last.abs() <= NOISE {
        found.push(high);
    }
    if changes == 0 && part.iter().all(|c| *c >= 0.0) | part.iter().all(|c| *c <= 0.0) {
        return;
    }
    if first.abs() > NOISE && last.abs() > NOISE && first * last < 0.0 && changes == 1 {
        found.push(bracketed(whole, low, high));
        return;
    }
    if high - low <= NEAREST_ROOTS {
        // Sign changes that no halving separates: a touch within rounding.
        if value(whole, 0.5 * (low + high)).abs() <= TOUCH {
            found.push(0.5 * (low + high));
        }
        return;
    }
    let middle = 0.5 * (low + high);
    let (left, right) = split(&part, 0.5);
    search(whole, left, (low, middle), found);
    search(whole, right, (middle, high), found);
}

/// The zero between `low` and `high`, whose values differ in sign: Newton kept within a shrinking bracket.
fn bracketed(coefficients: &[f64], mut low: f64, mut high: f64) -> f64 {
    let rising = value(coefficients, high) > 0.0;
    let mut t = 0.5 * (low + high);
    for _ in 0..100 {
        let (value, slope) = value_and_slope(coefficients.iter().copied(), t);
        if value == 0.0 {
            return t;
        }
        if (value > 0.0) == rising {
            high = t;
        } else {
            low = t;
        }
        let newton = t - value / slope;
        let next = if newton > low && newton < high { newton } else { 0.5 * (low + high) };
        if (next - t).abs() <= f64::EPSILON * t.abs() || high - low <= f64::EPSILON * high {
            return next;
        }
        t = next;
    }
    t
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_lies_within_rounding_of_the_axis_is_not_searched() {
        assert!(roots(&[f64::NAN, -1.0, 1.0]).is_empty() && roots(&[1.0, f64::INFINITY, -1.0]).is_empty());
        // Beyond the first coefficient all is less than rounding of it, with as many changes of sign as there can be.
        let tiny = roots_with_ends(&[1e300, -1.0, 1.0, -1.0, 1.0]);
        assert!(!tiny.is_empty() && tiny.len() < 10, "{tiny:?}");
        // (t − 1/3)³, scaled up.
        let third: Vec<f64> = [-1.0, 2.0, -4.0, 8.0].map(|c| c * 1e40).to_vec();
        let found = roots(&third);
        // It is known to the cube root of the rounding only.
        assert!(!found.is_empty() && found.len() < 10, "{found:?}");
        assert!(found.iter().all(|t| (t - 1.0 / 3.0).abs() < 1e-4), "{found:?}");
    }

    #[test]
    fn roots_of_a_cubic_with_known_zeros() {
        // (t − 0.2)(t − 0.5)(t − 0.9) in Bernstein form by products of linear factors.
        let factor = |zero: f64| vec![-zero, 1.0 - zero];
        let cubic = product(&product(&factor(0.2), &factor(0.5)), &factor(0.9));
        let found = roots(&cubic);
        assert_eq!(found.len(), 3);
        for (found, expected) in found.iter().zip([0.2, 0.5, 0.9]) {
            assert!((found - expected).abs() < 1e-14, "{found} for {expected}");
        }
    }

    #[test]
    fn double_and_end_zeros() {
        let factor = |zero: f64| vec![-zero, 1.0 - zero];
        let double = product(&factor(0.3), &factor(0.3));
        let found = roots(&double);
        assert!(found.len() == 1 && (found[0] - 0.3).abs() < 1e-7, "{found:?}");
        assert_eq!(roots_with_ends(&factor(1.0)), vec![1.0]);
        assert_eq!(roots_with_ends(&factor(0.0)), vec![0.0]);
        assert!(roots(&[0.0, 0.0, 0.0]).is_empty());
    }

    #[test]
    fn restriction_keeps_values() {
        let cubic = [1.0, -2.0, 5.0, 0.5];
        let part = restricted(&cubic, 0.3, 0.8);
        for k in 0..=10 {
            let u = f64::from(k) / 10.0;
            assert!((value(&part, u) - value(&cubic, 0.3 + 0.5 * u)).abs() < 1e-14);
        }
    }
}
