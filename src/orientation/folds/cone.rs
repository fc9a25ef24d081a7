//! The cone that fits poles best, whether it is better than a cylinder, and how well it is known.

use std::f64::consts::{FRAC_PI_2, PI};

use nalgebra::{Matrix3, Matrix4, Vector3, Vector4};
use statrs::distribution::{ContinuousCDF, FisherSnedecor, StudentsT};

use super::{cylinder, mean_square};
use crate::orientation::angle::degrees;
use crate::orientation::line::Line;
use crate::orientation::statistics::{Ellipse, Test, as_f64, ellipse_of};

/// The cone that fits poles of a folded surface best.
#[derive(Clone, Debug, PartialEq)]
pub struct Cone {
    /// How many poles.
    pub count: usize,
    /// The cone's axis, downwards; poles having two ends, the cone has two as well.
    pub axis: Line,
    /// The mean angle between the axis and the poles, degrees, at most 90.
    pub half_angle_deg: f64,
    /// Root mean square distance of the poles from the small circle, degrees.
    pub misfit_deg: f64,
    /// Where the true axis lies 95 times in 100; `None` where the poles tell it too badly.
    pub ellipse: Option<Ellipse>,
    /// Between which the true half angle lies 95 times in 100, degrees; with the ellipse, or not at all.
    pub half_angle_95_deg: Option<(f64, f64)>,
    /// Whether the cone is better than the cylinder by more than its extra number explains; `None` where no ring is told from
    /// a patch or from two.
    pub better: Option<Test>,
}

/// Fewer poles are fitted at the ends that face the middle of the girdle alone: of few, chance makes rings across it.
const FOLDED_FROM: usize = 20;
/// Directions that are tried as axes of wide rings, and how many of the best are followed.
const TRIED: u32 = 100;
const FOLLOWED: usize = 8;
/// At most so many poles choose the axis that is followed with all.
const CHOOSING: usize = 400;

/// A ring is told where the variance of the poles along it, in its narrower direction, is so many times that across it,
const APART: f64 = 5.0;
/// and the misfit is at most this share of the half angle: above it is a patch.
const RING_SHARE: f64 = 0.35;
/// Its ellipse and interval are told from so many poles on,
const KNOWN_FROM: usize = 25;
/// with a misfit of at most this share of the half angle.
const KNOWN_SHARE: f64 = 0.3;

/// A small circle through poles at chosen ends.
struct Ring {
    ends: Vec<Vector3<f64>>,
    axis: Vector3<f64>,
    half_rad: f64,
    misfit_rad: f64,
    /// Variance along the ring in its narrower direction over that across the ring.
    apart: f64,
}

/// The best cone of poles, with the test of it against the best cylinder.
///
/// A pole has two ends. They are taken where they face the middle of the girdle, or where they face the axis: whichever band
/// round the sphere is the smaller, misfit by circumference, the latter only where no pole is near both ends.
///
/// # Degenerate input
/// Fewer than four poles, or poles that no circle is told by: `None`.
///
/// # References
/// The axis has the least variance of the poles' heights along it, over the mean square slope of these heights: Taubin, G.,
/// 1991, Estimation of planar curves, surfaces, and nonplanar space curves, IEEE Transactions on Pattern Analysis and Machine
/// Intelligence 13, 1115–1138 (from memory), here on the sphere. The F ratio of one extra number, as Gray, N. H., Geiser,
/// P. A., & Geiser, J. R., 1980, On the least-squares fit of small and great circles to spherically projected orientation
/// data, Mathematical Geology 12, 173–184 (from memory). Ellipse and interval: the covariance of these estimating equations
/// where every pole scatters alike both ways, Hotelling's and Student's limits; offered only where they hold the truth 93 to
/// 97 times in 100 (`workbench coverage`). Tried and left: least squares with its own covariance (68 to 87 in 100; the ends
/// were wrong for wide cones and scatter opened narrow ones), the sample's own fourth moments (88 to 92), bounds on the
/// ellipse's size or on a rival's misfit (they choose the samples that look better than they are).
#[must_use]
pub fn cone(poles: &[Vector3<f64>]) -> Option<Cone> {
    if poles.len() < 4 {
        return None;
    }
    let girdle = cylinder(poles)?;
    let facing = Ring::of(ends_at(poles, &girdle.eigen.vectors[0]))?;
    let ring = match Ring::round(poles).filter(|other| other.band() < facing.band()) {
        Some(round) => round,
        None => facing,
    };
    let n = as_f64(poles.len());
    let of_cylinder = n * mean_square(poles, |p| {
        p.dot(&girdle.eigen.vectors[2]).clamp(-1.0, 1.0).asin()
    });
    let of_cone = n * ring.misfit_rad.powi(2);
    // Through two limbs alone, without a hinge between them, run as many small circles as one likes.
    let is_ring = ring.misfit_rad <= RING_SHARE * ring.half_rad && ring.apart >= APART;
    let better = (n > 4.0 && of_cone > 0.0 && is_ring)
        .then(|| {
            let statistic = ((of_cylinder - of_cone) / (of_cone / (n - 3.0))).max(0.0);
            Some(Test {
                statistic,
                p: FisherSnedecor::new(1.0, n - 3.0).ok()?.sf(statistic),
                method: "F of the cone's half angle, 1 and n − 3 degrees of freedom",
                source: "Gray, Geiser & Geiser 1980",
            })
        })
        .flatten();
    let known = ring.known();
    Some(Cone {
        count: poles.len(),
        axis: Line::axis_from_vector(&ring.axis)?,
        half_angle_deg: degrees(ring.half_rad),
        misfit_deg: degrees(ring.misfit_rad),
        half_angle_95_deg: known.as_ref().map(|(_, between)| *between),
        ellipse: known.map(|(ellipse, _)| ellipse),
        better,
    })
}

/// The poles at the ends that face a direction.
fn ends_at(poles: &[Vector3<f64>], direction: &Vector3<f64>) -> Vec<Vector3<f64>> {
    let facing = |p: &Vector3<f64>| if p.dot(direction) < 0.0 { -p } else { *p };
    poles.iter().map(facing).collect()
}

/// Half a turn's worth of directions, evenly strewn over a hemisphere along a spiral of the golden angle.
fn directions() -> impl Iterator<Item = Vector3<f64>> {
    (0..TRIED).map(|i| {
        let z = 1.0 - (f64::from(i) + 0.5) / f64::from(TRIED);
        let (sin, cos) = (f64::from(i) * PI * (3.0 - 5.0_f64.sqrt())).sin_cos();
        let out = (1.0 - z * z).sqrt();
        Vector3::new(out * cos, out * sin, z)
    })
}

fn angle(p: &Vector3<f64>, axis: &Vector3<f64>) -> f64 {
    p.dot(axis).clamp(-1.0, 1.0).acos()
}

impl Ring {
    /// The small circle through poles at these ends; `None` for poles that are all alike.
    fn of(ends: Vec<Vector3<f64>>) -> Option<Self> {
        let n = as_f64(ends.len());
        let mean = ends.iter().sum::<Vector3<f64>>() / n;
        let tensor = ends.iter().fold(Matrix3::zeros(), |sum: Matrix3<f64>, p| {
            sum + p * p.transpose()
        }) / n;
        let heights = tensor - mean * mean.transpose();
        let slopes = (Matrix3::identity() - tensor).symmetric_eigen();
        if slopes.eigenvalues.min() < 1e-12 {
            return None;
        }
        let root = Matrix3::from_diagonal(&slopes.eigenvalues.map(|v| 1.0 / v.sqrt()));
        let even = slopes.eigenvectors * root * slopes.eigenvectors.transpose();
        let shares = (even * heights * even).symmetric_eigen();
        let (least, _) = shares.eigenvalues.argmin();
        let mut sorted = shares.eigenvalues;
        sorted.as_mut_slice().sort_by(f64::total_cmp);
        let column: Vector3<f64> = shares.eigenvectors.column(least).into_owned();
        let axis = (even * column).normalize();
        let half = |axis: &Vector3<f64>| ends.iter().map(|p| angle(p, axis)).sum::<f64>() / n;
        let half_rad = half(&axis);
        // A cone opens both ways; the narrower way is told.
        let (ends, axis, half_rad) = if half_rad > FRAC_PI_2 {
            (ends, -axis, PI - half_rad)
        } else {
            (ends, axis, half_rad)
        };
        let misfit_rad = mean_square(&ends, |p| angle(p, &axis) - half_rad).sqrt();
        Some(Self {
            ends,
            axis,
            half_rad,
            misfit_rad,
            apart: sorted[1] / sorted[0].max(f64::MIN_POSITIVE),
        })
    }

    /// The circle around an axis that is sought from so many sides, all ends facing it; `None` where poles are near both ends.
    fn round(poles: &[Vector3<f64>]) -> Option<Self> {
        if poles.len() < FOLDED_FROM {
            return None;
        }
        let every = poles.len().div_ceil(CHOOSING);
        let few: Vec<Vector3<f64>> = poles.iter().step_by(every).copied().collect();
        let n = as_f64(few.len());
        let mut tried: Vec<(f64, Vector3<f64>)> = directions()
            .map(|axis| {
                let (sum, squares) = few.iter().fold((0.0, 0.0), |(sum, squares), p| {
                    let height = p.dot(&axis).abs();
                    (sum + height, squares + height * height)
                });
                let (mean, square) = (sum / n, squares / n);
                ((square - mean * mean) / (1.0 - square).max(1e-9), axis)
            })
            .collect();
        tried.sort_by(|a, b| a.0.total_cmp(&b.0));
        let found = tried.iter().take(FOLLOWED);
        let best = found
            .filter_map(|(_, axis)| Self::settled(&few, axis))
            .min_by(|a, b| a.band().total_cmp(&b.band()))?;
        if every == 1 {
            return Some(best);
        }
        Self::settled(poles, &best.axis)
    }

    /// From an axis to the one whose own ends tell it.
    fn settled(poles: &[Vector3<f64>], from: &Vector3<f64>) -> Option<Self> {
        let mut ring = Self::of(ends_at(poles, from))?;
        for _ in 0..20 {
            let ends = ends_at(poles, &ring.axis);
            let same = ends == ring.ends;
            ring = Self::of(ends)?;
            if same {
                break;
            }
        }
        ring.is_clear().then_some(ring)
    }

    /// Whether the poles stay clear of the great circle at a right angle to the axis, where both ends are as near.
    fn is_clear(&self) -> bool {
        self.half_rad + 3.0 * self.misfit_rad < FRAC_PI_2
    }

    /// As much of the sphere as the band takes that holds the poles, but for a factor.
    fn band(&self) -> f64 {
        self.misfit_rad * self.half_rad.sin()
    }

    /// Ellipse and interval, where they hold what they say.
    fn known(&self) -> Option<(Ellipse, (f64, f64))> {
        let n = as_f64(self.ends.len());
        if self.ends.len() < KNOWN_FROM
            || self.apart < APART
            || self.misfit_rad > KNOWN_SHARE * self.half_rad
            || !self.is_clear()
        {
            return None;
        }
        let other = if self.axis.z.abs() < 0.9 {
            Vector3::z()
        } else {
            Vector3::x()
        };
        let one = self.axis.cross(&other).normalize();
        let ways = [one, self.axis.cross(&one)];
        let height = self.ends.iter().map(|p| p.dot(&self.axis)).sum::<f64>() / n;
        let (mut spread, mut slope) = (0.0, 0.0);
        for p in &self.ends {
            let c = p.dot(&self.axis);
            spread += (c - height).powi(2);
            slope += 1.0 - c * c;
        }
        // The variance of a pole both ways, radians².
        let scatter = spread / slope;
        // The equations' derivatives by two tilts of the axis, the height and the scatter, and their variance.
        let (mut bread, mut meat) = (Matrix4::zeros(), Matrix4::zeros());
        for p in &self.ends {
            let c = p.dot(&self.axis);
            let u = ways.map(|w| p.dot(&w));
            let pull = (1.0 + scatter) * c - height;
            for i in 0..2 {
                for j in 0..2 {
                    let own = if i == j { pull * c } else { 0.0 };
                    bread[(i, j)] += (1.0 + scatter) * u[i] * u[j] - own;
                }
                bread[(i, 2)] -= u[i];
                bread[(i, 3)] += c * u[i];
                bread[(2, i)] += u[i];
                bread[(3, i)] += 2.0 * pull * u[i];
            }
            bread[(2, 2)] -= 1.0;
            bread[(3, 2)] -= 2.0 * (c - height);
            bread[(3, 3)] -= 1.0 - c * c;
            let variance = scatter * (1.0 - c * c);
            let push = Vector4::new(u[0], u[1], 1.0, 0.0);
            meat += push * push.transpose() * variance;
            meat[(3, 3)] += 2.0 * variance * variance;
        }
        let inverse = (bread / n).try_inverse()?;
        let covariance = inverse * (meat / n) * inverse.transpose() / (n - 3.0);
        let limit = 2.0 * FisherSnedecor::new(2.0, n - 3.0).ok()?.inverse_cdf(0.95);
        let of_axis = covariance.fixed_view::<2, 2>(0, 0).into_owned();
        let ellipse = ellipse_of(self.ends.len(), &self.axis, &ways, &of_axis, limit, 0.95)?;
        // Scatter brings the mean of a pole nearer to the middle of the sphere.
        let nearer = 1.0 - scatter;
        let half = (height / nearer).clamp(-1.0, 1.0).acos();
        let sine = half.sin().max(1e-9);
        let by = Vector4::new(
            0.0,
            0.0,
            -1.0 / (nearer * sine),
            -height / (nearer * nearer * sine),
        );
        let sd = (by.transpose() * covariance * by)[0].max(0.0).sqrt();
        let often = StudentsT::new(0.0, 1.0, n - 3.0).ok()?.inverse_cdf(0.975);
        let between = |half_rad: f64| degrees(half_rad).clamp(0.0, 90.0);
        Some((
            ellipse,
            (between(half - often * sd), between(half + often * sd)),
        ))
    }
}
