//! What to measure next: where one more reading would say most, among the attitudes that the structure has.

use std::f64::consts::PI;

use nalgebra::Vector3;

use super::angle::{degrees, radians};
use super::neighbours::{Shape, Structure};
use super::plane::Plane;

/// The reading that would help most.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Advice {
    /// The plane that would help most.
    pub best: Plane,
    /// Among its likes, the least and the greatest dip that would do nearly as well, degrees.
    pub dips_deg: (f64, f64),
    /// The azimuth they dip to, degrees.
    pub toward_deg: f64,
    /// The axis's larger standard deviation now, times 1.96: it is known to ± so much along one way, degrees.
    pub now_deg: f64,
    /// The same with that one reading more, degrees.
    pub then_deg: f64,
}

/// What the structure promises for the next outcrop.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Prediction {
    /// The plane.
    pub plane: Plane,
    /// How far off it a reading may well lie (95 in 100), degrees.
    pub within_deg: f64,
    /// The share of the readings so far that it stands for, 0 to 1.
    pub share: f64,
}

/// How far beyond the attitudes seen so far the structure may be taken to go, degrees along the girdle.
const BEYOND_DEG: f64 = 20.0;

/// The pole that would narrow the axis of a girdle most, as a plane to look for.
///
/// Every attitude from a little before the first to a little after the last seen along the girdle is tried, and the covariance
/// of the axis worked out as if it had been read with the scatter of the others.
///
/// # Degenerate input
/// A structure that is no girdle, or no poles: `None`.
#[must_use]
pub fn advice(structure: &Structure, poles: &[Vector3<f64>]) -> Option<Advice> {
    if structure.shape != Shape::Girdle || poles.is_empty() {
        return None;
    }
    let (from, to) = span(structure, poles);
    let steps = 72;
    let at = |i: i32| structure.on_girdle(from + (to - from) * f64::from(i) / f64::from(steps));
    let gains: Vec<(Vector3<f64>, f64)> = (0..=steps)
        .map(|i| {
            let v = at(i);
            (v, structure.axis_sd_with_deg(&v))
        })
        .collect();
    let (best_pole, least) = gains
        .iter()
        .filter(|(_, sd)| sd.is_finite())
        .min_by(|a, b| a.1.total_cmp(&b.1))?;
    let now = structure.axis_sd_deg().0;
    let best = Plane::from_normal(best_pole)?;
    // Its likes: at least nine tenths of the gain, dipping to the same side.
    let enough = now - 0.9 * (now - least);
    let alike: Vec<Plane> = gains
        .iter()
        .filter(|(_, sd)| *sd <= enough)
        .filter_map(|(v, _)| Plane::from_normal(v))
        .filter(|p| p.down_dip().xy().dot(&best.down_dip().xy()) > 0.0 || p.dip().deg() < 1.0)
        .collect();
    let dips = alike.iter().map(|p| p.dip().deg());
    Some(Advice {
        best,
        dips_deg: (
            dips.clone().fold(best.dip().deg(), f64::min),
            dips.fold(best.dip().deg(), f64::max),
        ),
        toward_deg: best.dip_direction().deg(),
        now_deg: 1.96 * now,
        then_deg: 1.96 * least,
    })
}

/// From where to where along the girdle the poles lie, widened a little, radians: the side of the largest gap is left out.
fn span(structure: &Structure, poles: &[Vector3<f64>]) -> (f64, f64) {
    let mut angles: Vec<f64> = poles.iter().map(|p| structure.angle_on_girdle(p)).collect();
    angles.sort_by(f64::total_cmp);
    // Axes: the girdle closes after half a turn.
    let mut widest = (angles[0] + PI - angles[angles.len() - 1], 0);
    for i in 1..angles.len() {
        let gap = angles[i] - angles[i - 1];
        if gap > widest.0 {
            widest = (gap, i);
        }
    }
    let (gap, first) = widest;
    let from = angles[first];
    let seen = PI - gap;
    let more = radians(BEYOND_DEG).min(gap / 2.0);
    (from - more, from + seen + more)
}

/// What the structure promises: the mean of a cluster, or the attitudes where a girdle's poles gather.
///
/// # Degenerate input
/// No poles: none.
#[must_use]
pub fn predictions(structure: &Structure, poles: &[Vector3<f64>]) -> Vec<Prediction> {
    let within = 1.96 * structure.scatter_deg;
    match structure.shape {
        Shape::Cluster => Plane::from_normal(&structure.axis)
            .map(|plane| Prediction {
                plane,
                // Both sides of a mean: the distance that 95 in 100 stay within.
                within_deg: structure.scatter_deg * 5.991_f64.sqrt(),
                share: 1.0,
            })
            .into_iter()
            .collect(),
        Shape::Girdle => {
            let Some(limbs) = super::folds::limbs(poles) else {
                return Vec::new();
            };
            #[allow(clippy::cast_precision_loss)] // a count of readings
            let share = |second: bool| {
                limbs.second.iter().filter(|s| **s == second).count() as f64 / poles.len() as f64
            };
            let along = |second: bool, mean: &Plane| {
                let off: Vec<f64> = poles
                    .iter()
                    .zip(&limbs.second)
                    .filter(|(_, s)| **s == second)
                    .map(|(p, _)| p.dot(&mean.normal()).abs().min(1.0).acos().powi(2))
                    .collect();
                #[allow(clippy::cast_precision_loss)] // a count of readings
                let mean_square = off.iter().sum::<f64>() / off.len().max(1) as f64;
                degrees(mean_square.sqrt())
            };
            [false, true]
                .into_iter()
                .zip(&limbs.planes)
                .map(|(second, plane)| Prediction {
                    plane: *plane,
                    within_deg: (1.96 * along(second, plane)).max(within),
                    share: share(second),
                })
                .collect()
        }
    }
}
