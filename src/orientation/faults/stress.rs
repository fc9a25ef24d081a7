//! The stress that would have driven many faults along their slip.

use nalgebra::{Matrix3, SMatrix, SVector, Vector3};

use super::slip::Slip;
use crate::orientation::Line;
use crate::orientation::angle::degrees;
use crate::orientation::statistics::{Eigen, Random, Tensor};

/// Three principal directions and the ratio between their stresses.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Principal {
    /// Greatest compression.
    pub sigma1: Line,
    /// Middle.
    pub sigma2: Line,
    /// Least compression.
    pub sigma3: Line,
    /// (σ₂ − σ₃)/(σ₁ − σ₃), 0 to 1.
    pub ratio: f64,
}

/// The stress that fits the slips best.
#[derive(Clone, Debug, PartialEq)]
pub struct Stress {
    /// How many faults.
    pub count: usize,
    /// The directions and the ratio.
    pub principal: Principal,
    /// For every fault, the angle between its slip and the shear that this stress puts on it, degrees, 0 to 180.
    pub misfits_deg: Vec<f64>,
    /// Their mean, degrees.
    pub mean_misfit_deg: f64,
    /// Half angle of the cone that holds each principal axis 95 times in 100 of the resamples, degrees.
    pub cones_95_deg: Option<[f64; 3]>,
    /// The ratio's own 95 in 100 of the resamples.
    pub ratio_95: Option<(f64, f64)>,
}

/// The reduced stress tensor of a set of faults, by linear least squares: every fault slipped along the shear on it, and the
/// shear is taken as equally great on all.
///
/// # Degenerate input
/// Fewer than four faults, or faults too alike to tell five numbers: `None`.
///
/// # References
/// Michael, A. J., 1984, Determination of stress from slip data: faults and folds, Journal of Geophysical Research 89,
/// 11517–11526 (from memory). A model: one stress, no interaction, slip along resolved shear.
#[must_use]
pub fn invert(faults: &[Slip]) -> Option<Stress> {
    if faults.len() < 4 {
        return None;
    }
    let tensor = solve(faults)?;
    let principal = principal(&tensor)?;
    let misfits_deg: Vec<f64> = faults.iter().map(|f| misfit_deg(&tensor, f)).collect();
    #[allow(clippy::cast_precision_loss)] // a count of faults
    let mean = misfits_deg.iter().sum::<f64>() / misfits_deg.len() as f64;
    Some(Stress {
        count: faults.len(),
        principal,
        misfits_deg,
        mean_misfit_deg: mean,
        cones_95_deg: None,
        ratio_95: None,
    })
}

/// The same with regions of confidence from so many resamples of the faults.
///
/// # Degenerate input
/// As [`invert`]. Resamples too alike to tell a stress are left out; no region where fewer than half tell one.
///
/// # References
/// Michael, A. J., 1987, Use of focal mechanisms to determine stress: a control study, Journal of Geophysical Research 92,
/// 357–368 (the bootstrap; from memory).
#[must_use]
pub fn invert_resampled(faults: &[Slip], resamples: usize, random: &mut Random) -> Option<Stress> {
    let mut stress = invert(faults)?;
    let mut off: [Vec<f64>; 3] = [const { Vec::new() }; 3];
    let mut ratios = Vec::new();
    let own = [
        stress.principal.sigma1,
        stress.principal.sigma2,
        stress.principal.sigma3,
    ];
    for _ in 0..resamples {
        let drawn: Vec<Slip> = (0..faults.len())
            .map(|_| faults[random.below(faults.len())])
            .collect();
        let Some(found) = solve(&drawn).and_then(|t| principal(&t)) else {
            continue;
        };
        for ((off, own), line) in
            off.iter_mut()
                .zip(&own)
                .zip([found.sigma1, found.sigma2, found.sigma3])
        {
            off.push(own.angle(&line).deg());
        }
        ratios.push(found.ratio);
    }
    if ratios.len() * 2 < resamples || ratios.is_empty() {
        return Some(stress);
    }
    ratios.sort_by(f64::total_cmp);
    stress.ratio_95 = Some((share(&ratios, 0.025), share(&ratios, 0.975)));
    stress.cones_95_deg = Some(off.map(|mut off| {
        off.sort_by(f64::total_cmp);
        share(&off, 0.95)
    }));
    Some(stress)
}

/// The value of a sorted list that such a share lies below.
fn share(sorted: &[f64], share: f64) -> f64 {
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss
    )]
    // clamped to the list
    let place = (share * sorted.len() as f64) as usize;
    sorted[place.min(sorted.len() - 1)]
}

/// Of the roots of the normal equations' pivots the least must be so much of the greatest for five numbers to be told.
const TOLD_FROM: f64 = 1e-6;

/// The tensor, tension positive, without its mean stress: five numbers from the shear equations of all faults.
fn solve(faults: &[Slip]) -> Option<Matrix3<f64>> {
    let mut normal = SMatrix::<f64, 5, 5>::zeros();
    let mut right = SVector::<f64, 5>::zeros();
    for fault in faults {
        let n = fault.into_hanging_wall();
        let slip = fault.vector();
        let shears: [Vector3<f64>; 5] = std::array::from_fn(|j| {
            let traction = basis(j) * n;
            traction - n * n.dot(&traction)
        });
        for i in 0..5 {
            right[i] += shears[i].dot(&slip);
            for j in 0..5 {
                normal[(i, j)] += shears[i].dot(&shears[j]);
            }
        }
    }
    let parts = normal.cholesky()?;
    let pivots = parts.l_dirty().diagonal();
    if pivots.min() < TOLD_FROM * pivots.max() {
        return None;
    }
    let found = parts.solve(&right);
    Some((0..5).fold(Matrix3::zeros(), |sum: Matrix3<f64>, j| {
        sum + basis(j) * found[j]
    }))
}

/// The five tensors without mean stress.
fn basis(j: usize) -> Matrix3<f64> {
    match j {
        0 => Matrix3::from_diagonal(&Vector3::new(1.0, 0.0, -1.0)),
        1 => Matrix3::from_diagonal(&Vector3::new(0.0, 1.0, -1.0)),
        2 => Matrix3::new(0.0, 1.0, 0.0, 1.0, 0.0, 0.0, 0.0, 0.0, 0.0),
        3 => Matrix3::new(0.0, 0.0, 1.0, 0.0, 0.0, 0.0, 1.0, 0.0, 0.0),
        _ => Matrix3::new(0.0, 0.0, 0.0, 0.0, 0.0, 1.0, 0.0, 1.0, 0.0),
    }
}

fn principal(tensor: &Matrix3<f64>) -> Option<Principal> {
    let eigen = tensor.symmetric_eigen();
    let mut order = [0, 1, 2];
    // Tension positive: the least value is the greatest compression.
    order.sort_by(|&a, &b| eigen.eigenvalues[a].total_cmp(&eigen.eigenvalues[b]));
    let [s1, s2, s3] = order.map(|i| -eigen.eigenvalues[i]);
    if s1 - s3 < 1e-12 {
        return None;
    }
    let line = |i: usize| Line::axis_from_vector(&eigen.eigenvectors.column(order[i]).into_owned());
    Some(Principal {
        sigma1: line(0)?,
        sigma2: line(1)?,
        sigma3: line(2)?,
        ratio: (s2 - s3) / (s1 - s3),
    })
}

fn misfit_deg(tensor: &Matrix3<f64>, fault: &Slip) -> f64 {
    let n = fault.into_hanging_wall();
    let traction = tensor * n;
    let shear = traction - n * n.dot(&traction);
    match shear.try_normalize(1e-12) {
        Some(shear) => degrees(shear.dot(&fault.vector()).clamp(-1.0, 1.0).acos()),
        None => 90.0,
    }
}

impl Principal {
    /// The slip that this stress would put on a plane; `None` where it puts no shear on it.
    #[must_use]
    pub fn slip_on(&self, plane: &crate::orientation::Plane) -> Option<Slip> {
        let tensor = [
            (self.sigma1, 1.0),
            (self.sigma2, self.ratio),
            (self.sigma3, 0.0),
        ]
        .into_iter()
        .fold(Matrix3::zeros(), |sum: Matrix3<f64>, (line, stress)| {
            let v = line.vector();
            sum - v * v.transpose() * stress
        });
        let n = -plane.normal();
        let traction = tensor * n;
        let shear = (traction - n * n.dot(&traction)).try_normalize(1e-9)?;
        let rake = (-shear.dot(&plane.down_dip())).atan2(shear.dot(&plane.along_strike()));
        Slip::new(*plane, degrees(rake)).ok()
    }
}

/// The mean shortening and extension of many faults, each weighing the same.
///
/// # References
/// Marrett & Allmendinger 1990, as [`Slip::shortening`]: linked Bingham means, here the tensor of the axes.
#[must_use]
pub fn mean_axes(axes: &[Line]) -> Option<Eigen> {
    let vectors: Vec<Vector3<f64>> = axes.iter().map(Line::vector).collect();
    Tensor::of(&vectors).eigen()
}
