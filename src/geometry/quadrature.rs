//! Gauss-Legendre quadrature.
//!
//! Adaptive where it must be: a panel is halved until both halves together agree with it.

/// Positive nodes on [−1, 1] and weights of the 8-point rule, which has the negative ones too: exact for polynomials up to
/// degree 15. Abramowitz & Stegun, Handbook of Mathematical Functions, table 25.4.
const EIGHT_POINTS: [(f64, f64); 4] = [
    (0.183_434_642_495_649_8, 0.362_683_783_378_362),
    (0.525_532_409_916_329, 0.313_706_645_877_887_3),
    (0.796_666_477_413_626_7, 0.222_381_034_453_374_48),
    (0.960_289_856_497_536_2, 0.101_228_536_290_376_26),
];

/// The degree up to which one panel is exact.
pub(crate) const EXACT_DEGREE: usize = 15;

/// ∫ of N functions at once over [a, b] by one 8-point panel.
pub(crate) fn panel<const N: usize>(f: &mut impl FnMut(f64) -> [f64; N], a: f64, b: f64) -> [f64; N] {
    let (middle, half) = (0.5 * (a + b), 0.5 * (b - a));
    let mut sum = [0.0; N];
    for (node, weight) in EIGHT_POINTS {
        let (before, after) = (f(middle - half * node), f(middle + half * node));
        for i in 0..N {
            sum[i] += weight * (before[i] + after[i]);
        }
    }
    sum.map(|s| s * half)
}

/// ∫f(sin θ, cos θ) dθ of N functions at once over [a, b] by `count` equal panels of 8 points. Sines are added up from
/// those of the panels' middles and of the nodes' distances from them, which are the same in all panels.
pub(crate) fn turning<const N: usize>(
    mut f: impl FnMut(f64, f64) -> [f64; N],
    a: f64,
    b: f64,
    count: usize,
) -> [f64; N] {
    let half = 0.5 * (b - a) / count as f64;
    let nodes = EIGHT_POINTS.map(|(node, weight)| ((half * node).sin_cos(), weight));
    let mut sum = [0.0; N];
    for k in 0..count {
        let (sine, cosine) = (a + half * (2 * k + 1) as f64).sin_cos();
        for ((s, c), weight) in nodes {
            let before = f(sine * c - cosine * s, cosine * c + sine * s);
            let after = f(sine * c + cosine * s, cosine * c - sine * s);
            for i in 0..N {
                sum[i] += weight * (before[i] + after[i]);
            }
        }
    }
    sum.map(|s| s * half)
}

/// ∫ of N functions at once over [a, b] by `count` equal panels of 8 points.
pub(crate) fn panels<const N: usize>(
    mut f: impl FnMut(f64) -> [f64; N],
    a: f64,
    b: f64,
    count: usize,
) -> [f64; N] {
    let width = (b - a) / count as f64;
    let mut sum = [0.0; N];
    for k in 0..count {
        let part = panel(&mut f, a + width * k as f64, a + width * (k + 1) as f64);
        for (sum, part) in sum.iter_mut().zip(part) {
            *sum += part;
        }
    }
    sum
}

/// Two estimates that differ by less than this share of the whole agree.
const AGREEMENT: f64 = 1e-13;
/// Halvings spent on one integral. A function whose own rounding is above the agreement would take them without end;
/// a smooth one needs a few, a peak of 1e-3 of the interval about twenty, one of 1e-10 several hundred.
const MOST_HALVINGS: u32 = 1000;

/// ∫ of N functions at once over [a, b]: panels are halved until both halves together agree with the whole to
/// about 1e-13 of the integral of the absolute values.
pub(crate) fn adaptive<const N: usize>(mut f: impl FnMut(f64) -> [f64; N], a: f64, b: f64) -> [f64; N] {
    let scale = panels(|t| f(t).map(f64::abs), a, b, 2);
    adaptive_where(f, a, b, scale, |_, _, _| true)
}

/// As [`adaptive`], to about 1e-13 of `scale`, and halved until the integral over each panel, from where to where, is
/// `plausible` too: nodes may step over a peak that lies between them, and two estimates that do so agree.
pub(crate) fn adaptive_where<const N: usize>(
    mut f: impl FnMut(f64) -> [f64; N],
    a: f64,
    b: f64,
    scale: [f64; N],
    plausible: impl Fn(f64, f64, [f64; N]) -> bool,
) -> [f64; N] {
    let whole = panel(&mut f, a, b);
    let mut waiting = vec![(a, b, whole)];
    let mut halvings = 0;
    let mut sum = [0.0; N];
    while let Some((a, b, whole)) = waiting.pop() {
        let middle = 0.5 * (a + b);
        let (left, right) = (panel(&mut f, a, middle), panel(&mut f, middle, b));
        let both: [f64; N] = std::array::from_fn(|i| left[i] + right[i]);
        let agrees = (0..N).all(|i| (both[i] - whole[i]).abs() <= AGREEMENT * scale[i].abs());
        if agrees && plausible(a, b, both) || halvings >= MOST_HALVINGS {
            for i in 0..N {
                sum[i] += both[i];
            }
        } else {
            halvings += 1;
            waiting.push((middle, b, right));
            waiting.push((a, middle, left));
        }
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn eight_points_are_exact_to_degree_fifteen() {
        for degree in 0..16 {
            let integral = panels(|t: f64| [t.powi(degree)], 0.0, 1.0, 1)[0];
            let exact = 1.0 / f64::from(degree + 1);
            assert!((integral - exact).abs() < 1e-15, "degree {degree}: {integral} for {exact}");
        }
    }

    #[test]
    fn turning_panels_add_up_to_a_full_turn_and_to_a_sliver() {
        let powers = |s: f64, c: f64| [1.0, s * s * c * c, s.powi(4)];
        let [turn, both, fourth] = turning(powers, 0.3, 0.3 + std::f64::consts::TAU, 8);
        let quarter = std::f64::consts::FRAC_PI_4;
        assert!((turn / std::f64::consts::TAU - 1.0).abs() < 1e-14);
        assert!((both / quarter - 1.0).abs() < 1e-14 && (fourth / (3.0 * quarter) - 1.0).abs() < 1e-14);
        // ∫sin θ dθ from 0 to ε.
        let sliver = turning(|s, _| [s], 0.0, 1e-9, 1)[0];
        assert!((sliver / 5e-19 - 1.0).abs() < 1e-14, "{sliver}");
    }

    #[test]
    fn adaptive_panels_reach_a_peak() {
        // ∫₀¹ dx / (x² + ε²) = atan(1/ε)/ε.
        let epsilon: f64 = 1e-3;
        let integral = adaptive(|x: f64| [1.0 / (x * x + epsilon * epsilon)], 0.0, 1.0)[0];
        let exact = (1.0 / epsilon).atan() / epsilon;
        assert!((integral / exact - 1.0).abs() < 1e-12);
    }
}
