//! Do two samples share a mean, or are these limbs different?

use nalgebra::{Matrix2, Vector2, Vector3};
use statrs::distribution::{ContinuousCDF, FisherSnedecor};

use super::axes::{Spread, Which, spread};
use super::{Random, Test, as_f64};

/// Whether two samples of directions could have one mean (Watson's F); both are taken to scatter alike.
///
/// # Degenerate input
/// Fewer than two in either, or no scatter at all: `None`.
///
/// # References
/// Watson, G. S., 1956, as in Mardia & Jupp 2000, section 10.5: F = (N − 2)(R₁ + R₂ − R)/(N − R₁ − R₂) with 2 and 2(N − 2)
/// degrees of freedom.
#[must_use]
pub fn two_directions(one: &[Vector3<f64>], other: &[Vector3<f64>]) -> Option<Test> {
    if one.len() < 2 || other.len() < 2 {
        return None;
    }
    let sum = |s: &[Vector3<f64>]| s.iter().sum::<Vector3<f64>>();
    let (a, b) = (sum(one), sum(other));
    let n = as_f64(one.len() + other.len());
    let within = n - a.norm() - b.norm();
    if within < 1e-12 * n {
        return None;
    }
    let statistic = ((n - 2.0) * (a.norm() + b.norm() - (a + b).norm()) / within).max(0.0);
    Some(Test {
        statistic,
        p: FisherSnedecor::new(2.0, 2.0 * (n - 2.0))
            .ok()?
            .sf(statistic),
        method: "Watson's F for two means on the sphere",
        source: "Mardia & Jupp 2000, section 10.5",
    })
}

/// Whether two samples of axes could have one mean axis; each may scatter in its own way.
///
/// # Degenerate input
/// Fewer than four in either, or a sample with no one mean axis: `None`.
///
/// # References
/// The difference of the two mean axes against the sum of their own covariances (as [`super::axis_ellipse`]), held against
/// Hotelling's T² with the smaller sample's degrees of freedom, which errs on the side of "the same" (our choice, tested by
/// simulation).
#[must_use]
pub fn two_axes(one: &[Vector3<f64>], other: &[Vector3<f64>]) -> Option<Test> {
    let (statistic, least) = (distance(one, other)?, as_f64(one.len().min(other.len())));
    let f = statistic * (least - 2.0) / (2.0 * (least - 1.0));
    Some(Test {
        statistic,
        p: FisherSnedecor::new(2.0, least - 2.0).ok()?.sf(f),
        method: "difference of two mean axes against their own spread",
        source: "Hotelling's T² on the tangent plane; our choice",
    })
}

/// The same question by shuffling the readings between the samples so many times: no distribution is assumed but that both
/// scatter alike.
///
/// # Degenerate input
/// As [`two_axes`]; no shuffles: `None`.
#[must_use]
pub fn two_axes_permuted(
    one: &[Vector3<f64>],
    other: &[Vector3<f64>],
    shuffles: usize,
    random: &mut Random,
) -> Option<Test> {
    let statistic = distance(one, other)?;
    if shuffles == 0 {
        return None;
    }
    let mut all: Vec<Vector3<f64>> = one.iter().chain(other).copied().collect();
    let mut as_far = 1_usize;
    for _ in 0..shuffles {
        for i in (1..all.len()).rev() {
            all.swap(i, random.below(i + 1));
        }
        let (a, b) = all.split_at(one.len());
        if distance(a, b).is_some_and(|d| d >= statistic) {
            as_far += 1;
        }
    }
    Some(Test {
        statistic,
        p: as_f64(as_far) / as_f64(shuffles + 1),
        method: "difference of two mean axes, the readings shuffled",
        source: "permutation test; common practice",
    })
}

/// The squared distance of two mean axes against the spread of both.
fn distance(one: &[Vector3<f64>], other: &[Vector3<f64>]) -> Option<f64> {
    if one.len() < 4 || other.len() < 4 {
        return None;
    }
    let (first, second) = (spread(one, Which::Cluster)?, spread(other, Which::Cluster)?);
    let a = first.0;
    let b = if second.0.dot(&a) < 0.0 {
        -second.0
    } else {
        second.0
    };
    let between = (a + b).try_normalize(1e-9)?;
    let side = between.cross(&if between.z.abs() < 0.9 {
        Vector3::z()
    } else {
        Vector3::x()
    });
    let frame = [side.normalize(), between.cross(&side.normalize())];
    let flat = |v: &Vector3<f64>| {
        // Rolled out, so that distances from the middle are true.
        let (x, y) = (v.dot(&frame[0]), v.dot(&frame[1]));
        let sine = x.hypot(y);
        let scale = if sine > 0.0 {
            sine.atan2(v.dot(&between)) / sine
        } else {
            0.0
        };
        Vector2::new(x, y) * scale
    };
    // Both covariances along one frame, near to either's own tangent plane, as of a sample: n/(n − 1).
    let along = |(_, partners, covariance): &Spread, count: usize| {
        let turn = Matrix2::from_fn(|i, j| frame[i].dot(&partners[j]));
        let n = as_f64(count);
        turn * covariance * turn.transpose() * (n / (n - 1.0))
    };
    let off = flat(&a) - flat(&b);
    let both = along(&first, one.len()) + along(&second, other.len());
    Some((off.transpose() * both.try_inverse()? * off)[0])
}
