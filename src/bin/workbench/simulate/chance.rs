//! The distributions the report holds its findings against.

/// How often a test that raises one false alarm in a hundred, and knows which slip to look for, would notice a contradiction of so
/// many standard deviations: the best there can be, by the lemma of Neyman and Pearson for a shift of a normal variable.
pub(super) fn best_possible(contradiction: f64) -> f64 {
    /// Of the normal distribution, once in a hundred above: 2.3263 (any table).
    const ONCE_IN_100: f64 = 2.3263;
    below_normal(contradiction - ONCE_IN_100)
}

/// How much of a normal distribution lies below, by the complementary error function: Abramowitz & Stegun (1964), 7.1.26, good to
/// 1.5e-7; the constants are from memory, and a test holds them against the table.
pub(super) fn below_normal(x: f64) -> f64 {
    let z = x.abs() / std::f64::consts::SQRT_2;
    let t = 1.0 / (1.0 + 0.327_591_1 * z);
    let series = t
        * (0.254_829_592
            + t * (-0.284_496_736
                + t * (1.421_413_741 + t * (-1.453_152_027 + t * 1.061_405_429))));
    let beyond = 0.5 * series * (-z * z).exp();
    if x < 0.0 { beyond } else { 1.0 - beyond }
}

/// How far a sample lies from a distribution, and how often chance alone puts it so far.
#[derive(Clone, Copy, Debug)]
pub(super) struct Kolmogorov {
    /// The largest distance between the two cumulative distributions.
    pub(super) d: f64,
    /// How often chance alone gives a larger one.
    pub(super) p: f64,
}

/// The test of Kolmogorov and Smirnov against chi-square with two degrees of freedom, which lies below x by 1 − exp(−x/2).
///
/// The chance of a distance is Kolmogorov's series with the correction for small samples of Stephens (1970); both from memory, held
/// against the table of critical values by a test.
pub(super) fn kolmogorov(mut sample: Vec<f64>) -> Kolmogorov {
    sample.sort_by(f64::total_cmp);
    // Exact: a simulation of 2^53 rounds is not run.
    let count = sample.len() as f64;
    let d = sample
        .iter()
        .enumerate()
        .map(|(place, &x)| {
            let expected = 1.0 - (-x / 2.0).exp();
            let (before, after) = (place as f64 / count, (place + 1) as f64 / count);
            (expected - before).max(after - expected)
        })
        .fold(0.0, f64::max);
    Kolmogorov {
        d,
        p: larger_by_chance(d, count),
    }
}

fn larger_by_chance(d: f64, count: f64) -> f64 {
    let root = count.sqrt();
    let lambda = (root + 0.12 + 0.11 / root) * d;
    if lambda < 0.2 {
        return 1.0;
    }
    let mut sum = 0.0;
    let mut sign = 2.0;
    for k in 1..=100 {
        let k = f64::from(k);
        sum += sign * (-2.0 * k * k * lambda * lambda).exp();
        sign = -sign;
    }
    sum.clamp(0.0, 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The standard normal table, as in any textbook of statistics.
    #[test]
    fn the_normal_distribution_is_the_one_of_the_tables() {
        for (x, below) in [
            (0.0, 0.5),
            (1.0, 0.841_344_7),
            (1.959_964, 0.975),
            (-1.644_854, 0.05),
            (2.326_348, 0.99),
            (3.0, 0.998_650_1),
        ] {
            assert!((below_normal(x) - below).abs() < 2e-6, "{x}");
        }
    }

    /// Critical values for large samples, common practice: 1.358/√n at 5 in 100, 1.628/√n at 1 in 100.
    #[test]
    fn the_chance_of_a_distance_is_the_one_of_the_tables() {
        let count = 1e8_f64;
        assert!((larger_by_chance(1.358 / count.sqrt(), count) - 0.05).abs() < 2e-4);
        assert!((larger_by_chance(1.628 / count.sqrt(), count) - 0.01).abs() < 1e-4);
    }

    #[test]
    fn an_even_sample_fits_and_a_stretched_one_does_not() {
        let even = |stretch: f64| {
            (0..500)
                .map(|i| -2.0 * (1.0 - (f64::from(i) + 0.5) / 500.0).ln() * stretch)
                .collect::<Vec<f64>>()
        };
        assert!(kolmogorov(even(1.0)).p > 0.99);
        assert!(kolmogorov(even(1.4)).p < 1e-4);
    }
}
