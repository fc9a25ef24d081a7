//! Could these directions or axes be strewn evenly over the sphere?

use nalgebra::Vector3;
use statrs::distribution::{ChiSquared, ContinuousCDF};

use super::{Tensor, Test, as_f64};

/// Up to how many directions the exact distribution is summed; beyond, its terms cancel too much and chi-square is good.
const EXACT_UP_TO: usize = 20;

/// Whether directions could be strewn evenly, against one preferred direction (Rayleigh's test on the sphere).
///
/// # Degenerate input
/// None: `None`.
///
/// # References
/// Exact density of the resultant of n random unit vectors: Rayleigh 1919; Fisher 1953, as [`super::fisher`]. Beyond 20:
/// S* = (1 − 1/2n) S + S²/10n with S = 3 n r², against chi-square of 3 degrees of freedom (Mardia & Jupp 2000, section 10.4).
#[must_use]
pub fn uniform_directions(directions: &[Vector3<f64>]) -> Option<Test> {
    if directions.is_empty() {
        return None;
    }
    let n = directions.len();
    let resultant = directions.iter().sum::<Vector3<f64>>().norm();
    let mean = resultant / as_f64(n);
    let p = if n <= EXACT_UP_TO {
        chance_beyond(n, resultant)
    } else {
        let s = 3.0 * as_f64(n) * mean * mean;
        let corrected = (1.0 - 0.5 / as_f64(n)) * s + s * s / (10.0 * as_f64(n));
        ChiSquared::new(3.0).ok()?.sf(corrected)
    };
    Some(Test {
        statistic: mean,
        p,
        method: "Rayleigh's test on the sphere, against one preferred direction",
        source: "Mardia & Jupp 2000, section 10.4",
    })
}

/// How often the sum of n random unit vectors is longer than this.
fn chance_beyond(n: usize, resultant: f64) -> f64 {
    let full = as_f64(n);
    if n == 1 || resultant <= 0.0 {
        return 1.0;
    }
    if resultant >= full {
        return 0.0;
    }
    // f(r) = r / (2ⁿ⁻¹ (n−2)!) Σ (−1)ᵏ C(n, k) (n − r − 2k)₊ⁿ⁻², integrated term by term: ∫ r (a − r)ᵐ dr from R to a is
    // (a − R)ᵐ⁺¹ (a + (m+1) R) / ((m+1)(m+2)).
    let m = full - 2.0;
    let mut factorial = 1.0;
    for i in 2..n.saturating_sub(1) {
        factorial *= as_f64(i);
    }
    let mut binomial = 1.0;
    let mut sum = 0.0;
    for k in 0..=n {
        let reach = full - 2.0 * as_f64(k);
        if reach > resultant {
            let term = (reach - resultant).powf(m + 1.0) * (reach + (m + 1.0) * resultant)
                / ((m + 1.0) * (m + 2.0));
            sum += if k % 2 == 0 { binomial } else { -binomial } * term;
        }
        binomial *= (full - as_f64(k)) / as_f64(k + 1);
    }
    (sum / (2.0_f64.powf(full - 1.0) * factorial)).clamp(0.0, 1.0)
}

/// The mean resultant that so many random directions exceed so seldom: what tables print.
///
/// # Degenerate input
/// Fewer than 2 or more than 20 directions, or a chance outside 0 to 1: `None`.
#[must_use]
pub fn critical_mean_resultant(count: usize, chance: f64) -> Option<f64> {
    if !((2..=EXACT_UP_TO).contains(&count) && 0.0 < chance && chance < 1.0) {
        return None;
    }
    let (mut low, mut high) = (0.0, as_f64(count));
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if chance_beyond(count, middle) > chance {
            low = middle;
        } else {
            high = middle;
        }
    }
    Some(low / as_f64(count))
}

/// Whether axes could be strewn evenly, against any cluster or girdle (Bingham's test).
///
/// # Degenerate input
/// None: `None`.
///
/// # References
/// Bingham, C., 1974, An antipodally symmetric distribution on the sphere, Annals of Statistics 2, 1201–1225:
/// (15/2) n (Σ S² − 1/3) against chi-square of 5 degrees of freedom.
#[must_use]
pub fn uniform_axes(axes: &[Vector3<f64>]) -> Option<Test> {
    let eigen = Tensor::of(axes).eigen()?;
    let squares: f64 = eigen.values.iter().map(|s| s * s).sum();
    let statistic = 7.5 * as_f64(axes.len()) * (squares - 1.0 / 3.0).max(0.0);
    Some(Test {
        statistic,
        p: ChiSquared::new(5.0).ok()?.sf(statistic),
        method: "Bingham's test, against any cluster or girdle",
        source: "Bingham 1974",
    })
}
