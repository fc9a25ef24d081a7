//! How well a principal axis of many axes is known: an ellipse on the sphere around it.

use nalgebra::{Matrix2, Vector2, Vector3};
use statrs::distribution::{ContinuousCDF, FisherSnedecor};

use super::{Random, Tensor, as_f64};
use crate::orientation::Line;
use crate::orientation::angle::degrees;

/// Which principal axis.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Which {
    /// The axis most of them lie along: the mean of a cluster.
    Cluster,
    /// The axis least of them lie along: the pole of a girdle, a fold axis for poles of bedding.
    Girdle,
}

/// An axis and the region that holds the true one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ellipse {
    /// How many axes it comes from.
    pub count: usize,
    /// The axis.
    pub axis: Line,
    /// How often such a region holds the true axis, 0 to 1.
    pub level: f64,
    /// Half the longer and half the shorter diameter, degrees.
    pub semi_deg: (f64, f64),
    /// Unit vector at a right angle to the axis, along the longer diameter.
    pub along: Vector3<f64>,
    /// The standard deviations of the axis along the two diameters, degrees.
    pub sd_deg: (f64, f64),
}

impl Ellipse {
    /// Points round the ellipse on the sphere, the first one again at the end.
    #[must_use]
    pub fn outline(&self, steps: u32) -> Vec<Vector3<f64>> {
        let middle = self.axis.vector();
        let across = middle.cross(&self.along);
        let (long, short) = (
            crate::orientation::angle::radians(self.semi_deg.0),
            crate::orientation::angle::radians(self.semi_deg.1),
        );
        (0..=steps)
            .filter(|_| steps > 0)
            .map(|i| {
                let (s, c) = (std::f64::consts::TAU * f64::from(i) / f64::from(steps)).sin_cos();
                let away = self.along * (c * long) + across * (s * short);
                let distance = away.norm();
                if distance < 1e-15 {
                    middle
                } else {
                    middle * distance.cos() + away * (distance.sin() / distance)
                }
            })
            .collect()
    }

    /// Whether an axis lies in the region.
    #[must_use]
    pub fn holds(&self, axis: &Vector3<f64>) -> bool {
        let middle = self.axis.vector();
        let v = if axis.dot(&middle) < 0.0 {
            -axis
        } else {
            *axis
        };
        let across = middle.cross(&self.along);
        let flat = Vector2::new(v.dot(&self.along), v.dot(&across));
        let sine = flat.norm();
        let scale = if sine > 0.0 {
            degrees(sine.atan2(v.dot(&middle))) / sine
        } else {
            0.0
        };
        let (x, y) = (
            flat.x * scale / self.semi_deg.0,
            flat.y * scale / self.semi_deg.1,
        );
        x * x + y * y <= 1.0
    }
}

/// The axis, its two partners, and the covariance of its place along them, radians².
pub(super) type Spread = (Vector3<f64>, [Vector3<f64>; 2], Matrix2<f64>);

/// The principal axis and how it scatters; `None` where there is no one such axis.
pub(super) fn spread(axes: &[Vector3<f64>], which: Which) -> Option<Spread> {
    let eigen = Tensor::of(axes).eigen()?;
    let (main, others) = match which {
        Which::Cluster => (0, [1, 2]),
        Which::Girdle => (2, [1, 0]),
    };
    let axis = eigen.vectors[main];
    let partners = others.map(|i| eigen.vectors[i]);
    let gaps = others.map(|i| eigen.values[main] - eigen.values[i]);
    if gaps.iter().any(|gap| gap.abs() < 1e-9) {
        return None;
    }
    let mut sum = Matrix2::zeros();
    for v in axes {
        let along = v.dot(&axis);
        let moved = Vector2::new(
            along * v.dot(&partners[0]) / gaps[0],
            along * v.dot(&partners[1]) / gaps[1],
        );
        sum += moved * moved.transpose();
    }
    let n = as_f64(axes.len());
    Some((axis, partners, sum / (n * n)))
}

/// The principal axis of a sample and its ellipse of confidence, from the sample's own fourth moments: no distribution is assumed.
///
/// # Degenerate input
/// Fewer than four axes, or a sample with no one such axis (two equal principal values): `None`. All exactly alike, or all
/// exactly in one plane: an ellipse of size nothing.
///
/// # References
/// Asymptotic covariance of a principal axis: Prentice, M. J., 1984, A distribution-free method of interval estimation for
/// unsigned directional data, Biometrika 71, 147–154; Fisher, N. I., Lewis, T., & Embleton, B. J. J., 1987, Statistical
/// analysis of spherical data, section 6.3.1 (both from memory). The region is Hotelling's for two numbers, 2(n−1)/f F(2, f)
/// with f = n − 2, and n − 3 for the axis of a girdle; simulation gives 94 to 96 from four axes on, and 92 to 95 for a girdle from
/// five on, where chi-square is too small.
#[must_use]
pub fn axis_ellipse(axes: &[Vector3<f64>], which: Which, level: f64) -> Option<Ellipse> {
    if axes.len() < 4 {
        return None;
    }
    let n = as_f64(axes.len());
    let (axis, partners, covariance) = spread(axes, which)?;
    let freedom = match which {
        Which::Cluster => n - 2.0,
        Which::Girdle => n - 3.0,
    };
    let limit =
        FisherSnedecor::new(2.0, freedom).ok()?.inverse_cdf(level) * 2.0 * (n - 1.0) / freedom;
    let covariance = covariance * (n / (n - 1.0));
    ellipse_of(axes.len(), &axis, &partners, &covariance, limit, level)
}

/// The same ellipse by resampling the readings so many times: slow, and no large-sample formula is trusted.
///
/// # Degenerate input
/// As [`axis_ellipse`]; no resamples: `None`.
///
/// # References
/// Fisher, N. I., Hall, P., Jing, B.-Y., & Wood, A. T. A., 1996, Improved pivotal methods for constructing confidence regions
/// with directional data, Journal of the American Statistical Association 91, 1062–1070 (the pivotal bootstrap; from memory).
#[must_use]
pub fn axis_ellipse_resampled(
    axes: &[Vector3<f64>],
    which: Which,
    level: f64,
    resamples: usize,
    random: &mut Random,
) -> Option<Ellipse> {
    if axes.len() < 4 || resamples == 0 {
        return None;
    }
    let (axis, partners, covariance) = spread(axes, which)?;
    let mut drawn = axes.to_vec();
    let mut distances = Vec::with_capacity(resamples);
    for _ in 0..resamples {
        for slot in &mut drawn {
            *slot = axes[random.below(axes.len())];
        }
        let Some((other, frame, own)) = spread(&drawn, which) else {
            continue;
        };
        let Some(inverse) = own.try_inverse() else {
            continue;
        };
        // How far the sample's axis lies from the resample's, against the resample's own spread.
        let towards = if axis.dot(&other) < 0.0 { -axis } else { axis };
        let off = Vector2::new(towards.dot(&frame[0]), towards.dot(&frame[1]));
        distances.push((off.transpose() * inverse * off)[0]);
    }
    if distances.is_empty() {
        return None;
    }
    distances.sort_by(f64::total_cmp);
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // clamped to the list
    let place = ((level * as_f64(distances.len())).ceil() as usize).clamp(1, distances.len()) - 1;
    ellipse_of(
        axes.len(),
        &axis,
        &partners,
        &covariance,
        distances[place],
        level,
    )
}

/// The ellipse of a covariance of the axis's place along two partners, radians², out to a squared distance.
pub(in crate::orientation) fn ellipse_of(
    count: usize,
    axis: &Vector3<f64>,
    partners: &[Vector3<f64>; 2],
    covariance: &Matrix2<f64>,
    limit: f64,
    level: f64,
) -> Option<Ellipse> {
    let eigen = covariance.symmetric_eigen();
    let (long, short) = if eigen.eigenvalues[0] >= eigen.eigenvalues[1] {
        (0, 1)
    } else {
        (1, 0)
    };
    let sd_deg = |i: usize| degrees(eigen.eigenvalues[i].max(0.0).sqrt());
    let semi = |i: usize| (sd_deg(i) * limit.sqrt()).min(90.0);
    let direction = eigen.eigenvectors.column(long);
    Some(Ellipse {
        count,
        axis: Line::axis_from_vector(axis)?,
        level,
        semi_deg: (semi(long), semi(short)),
        along: partners[0] * direction[0] + partners[1] * direction[1],
        sd_deg: (sd_deg(long), sd_deg(short)),
    })
}
