//! The mean of directions that have a head and a tail, and how well it is known.

use nalgebra::Vector3;

use super::as_f64;
use crate::orientation::Line;
use crate::orientation::angle::{degrees, radians};

/// Fisher's figures of a sample of directions.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fisher {
    /// How many.
    pub count: usize,
    /// The mean direction.
    pub mean: Line,
    /// Length R of the sum.
    pub resultant: f64,
    /// R/n, 0 to 1.
    pub mean_resultant: f64,
    /// Concentration k = (n − 1)/(n − R); infinite when all are alike.
    pub concentration: f64,
    /// Half angle of the cone that holds the true mean 95 times in 100, degrees; `None` for a single direction, or where n is
    /// so small or the scatter so large that the cone would be more than the sphere.
    pub cone_95_deg: Option<f64>,
    /// Angular standard deviation 81°/√k, degrees.
    pub sd_deg: f64,
}

/// Fisher's mean, concentration and cone of confidence.
///
/// # Degenerate input
/// None, or directions that cancel out: `None`. One: itself, with no cone.
///
/// # References
/// Fisher, R. A., 1953, Dispersion on a sphere, Proceedings of the Royal Society A 217, 295–305: k, and
/// cos α = 1 − ((n − R)/R)((1/p)^(1/(n−1)) − 1). 81°/√k: Butler, R. F., 1992, Paleomagnetism, ch. 6.
#[must_use]
pub fn fisher(directions: &[Vector3<f64>]) -> Option<Fisher> {
    let count = directions.len();
    let n = as_f64(count);
    let sum: Vector3<f64> = directions.iter().sum();
    let resultant = sum.norm().min(n);
    if count == 0 || resultant < 1e-9 * n {
        return None;
    }
    let mean = Line::from_vector(&sum)?;
    let short = n - resultant;
    // What rounding leaves of directions that are all alike is no scatter.
    let alike = short < 1e-14 * n;
    let concentration = match (count, alike) {
        (1, _) | (_, true) => f64::INFINITY,
        _ => (n - 1.0) / short,
    };
    let cone_95_deg = (count > 1)
        .then(|| cone_deg(n, resultant, if alike { 0.0 } else { short }))
        .flatten();
    Some(Fisher {
        count,
        mean,
        resultant,
        mean_resultant: resultant / n,
        concentration,
        cone_95_deg,
        sd_deg: if concentration.is_finite() {
            81.0 / concentration.sqrt()
        } else {
            0.0
        },
    })
}

fn cone_deg(n: f64, resultant: f64, short: f64) -> Option<f64> {
    let cosine = 1.0 - short / resultant * (20.0_f64.powf(1.0 / (n - 1.0)) - 1.0);
    (cosine >= -1.0).then(|| degrees(cosine.acos()))
}

impl Fisher {
    /// The quick figure for the cone, 140°/√(k n), degrees: near the exact one for n and k that are not small.
    ///
    /// # References
    /// Butler 1992 and Tauxe 2010 give it as common practice.
    #[must_use]
    pub fn quick_cone_deg(&self) -> f64 {
        140.0 / (self.concentration * as_f64(self.count)).sqrt()
    }

    /// The concentration that makes this sample likeliest: the root of coth κ − 1/κ = R/n.
    ///
    /// # Degenerate input
    /// All alike: infinite.
    ///
    /// # References
    /// Mardia, K. V., & Jupp, P. E., 2000, Directional statistics, section 10.3.
    #[must_use]
    pub fn likeliest_concentration(&self) -> f64 {
        let r = self.mean_resultant;
        if 1.0 - r < 1e-14 {
            return f64::INFINITY;
        }
        let mut kappa = r * (3.0 - r * r) / (1.0 - r * r);
        for _ in 0..50 {
            let (value, slope) = if kappa < 1e-3 {
                (kappa / 3.0, 1.0 / 3.0)
            } else {
                let sinh = kappa.sinh();
                (
                    1.0 / kappa.tanh() - 1.0 / kappa,
                    1.0 / (kappa * kappa) - 1.0 / (sinh * sinh),
                )
            };
            let step = (value - r) / slope;
            kappa = (kappa - step).max(1e-9);
            if step.abs() < 1e-12 * kappa {
                break;
            }
        }
        kappa
    }

    /// Whether a direction lies in the cone of confidence; false where there is none.
    #[must_use]
    pub fn holds(&self, direction: &Vector3<f64>) -> bool {
        self.cone_95_deg
            .is_some_and(|cone| self.mean.vector().dot(direction) >= radians(cone).cos())
    }
}
