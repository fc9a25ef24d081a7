//! The mean of a reading's shots on the sphere, and how they scatter.

use nalgebra::{Matrix3, Vector3};

use super::angle::{degrees, radians};
use super::doubt::{Doubt, DoubtKind, Severity};
use super::line::Line;
use super::noise::Noise;
use super::plane::Plane;

/// A shot farther from the mean than this many times the expected one-shot deviation is doubted.
///
/// Our assumption: two perpendicular normal errors leave 2.5 times their deviation once in 23; with the mean of three drawn
/// towards each shot, less than once in 100 (Rayleigh distribution, exp(−r²/2)).
pub const SCATTER_LIMIT: f64 = 2.5;

/// The normal deviate beyond which all shots together are doubted: once in 370, one-sided, as [`super::SET_UP_LIMIT`].
const TOGETHER: f64 = 2.78;

/// Two principal directions whose weights differ by less than this share have no mean between them.
const TIE: f64 = 1e-9;

/// Where one shot lies about the mean.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Offset {
    /// Clockwise in azimuth, degrees on the sphere.
    pub clockwise_deg: f64,
    /// Steeper, degrees on the sphere.
    pub steeper_deg: f64,
    /// The angle to the mean, degrees.
    pub distance_deg: f64,
}

/// A mean with its scatter.
#[derive(Clone, Debug, PartialEq)]
pub struct Mean<T> {
    /// The mean itself.
    pub value: T,
    /// Each shot about the mean, in the order given.
    pub shots: Vec<Offset>,
    /// Standard deviation of one shot that the set-up lets expect, degrees: root mean square of two perpendicular directions.
    pub expected_deg: f64,
    /// Standard deviation of one shot as observed, n − 1 in the divisor; none for a single shot.
    pub observed_deg: Option<f64>,
    /// Standard error of the mean, degrees: the larger of expected and observed, over √n.
    pub standard_error_deg: f64,
    /// A doubt where a shot lies beyond [`SCATTER_LIMIT`] times the expected deviation, or where none does and all together
    /// scatter more than once in 370 by chance.
    pub doubts: Vec<Doubt>,
}

/// The mean plane: principal axis of the orientation tensor of the poles.
///
/// # Degenerate input
/// No shots, or shots that have no one mean (two planes at a right angle): none. One shot: itself. All equal: that plane.
/// A mean that comes out vertical takes the strike end nearer to the first shot's, a horizontal one the first shot's strike.
///
/// # References
/// Orientation tensor and its principal axis as the mean axis: common practice in directional statistics.
#[must_use]
pub fn plane_mean(planes: &[Plane], noise: &Noise) -> Option<Mean<Plane>> {
    let axis = principal(planes.iter().map(Plane::normal))?;
    let found = Plane::from_normal(&axis)?;
    let first = planes.first()?;
    let value = if planes.len() == 1 {
        *first
    } else if found.dip().deg() == 0.0 {
        Plane::new(first.strike(), found.dip())
    } else if found.dip().deg() == 90.0 && found.along_strike().dot(&first.along_strike()) < 0.0 {
        found.other_side()
    } else {
        found
    };
    let shots = offsets(planes.iter().map(Plane::normal), &about_pole(&value));
    Some(finish(value, shots, noise.pole_sd_deg(value.dip())))
}

/// The mean line: principal axis of the orientation tensor, pointing up only if more shots point along it upwards.
///
/// # Degenerate input
/// No shots, or shots that have no one mean (two lines at a right angle): none. One shot: itself. All equal: that line.
/// A mean that comes out horizontal takes the end nearer to the first shot's, a vertical one the first shot's trend.
///
/// # References
/// Orientation tensor and its principal axis as the mean axis: common practice in directional statistics.
#[must_use]
pub fn line_mean(lines: &[Line], noise: &Noise) -> Option<Mean<Line>> {
    let axis = principal(lines.iter().map(Line::vector))?;
    let first = lines.first()?;
    let directed = lines.iter().any(|l| l.plunge().rad() < 0.0);
    let mut value = if directed {
        let sum: Vector3<f64> = lines.iter().map(Line::vector).sum();
        let along = if axis.dot(&sum) < 0.0 { -axis } else { axis };
        Line::from_vector(&along)?
    } else {
        Line::axis_from_vector(&axis)?
    };
    if lines.len() == 1 {
        value = *first;
    } else if value.plunge().deg() == 0.0 && value.vector().dot(&first.vector()) < 0.0 {
        value = Line::new(value.trend().opposite(), value.plunge());
    } else if value.plunge().deg().abs() == 90.0 {
        value = Line::new(first.trend(), value.plunge());
    }
    let shots = offsets(lines.iter().map(Line::vector), &about_line(&value));
    Some(finish(value, shots, noise.line_sd_deg(value.plunge())))
}

/// The axis with the greatest moment of all vectors.
fn principal(vectors: impl Iterator<Item = Vector3<f64>>) -> Option<Vector3<f64>> {
    let tensor = vectors.fold(Matrix3::zeros(), |sum: Matrix3<f64>, v| {
        sum + v * v.transpose()
    });
    let eigen = tensor.symmetric_eigen();
    let (greatest, weight) = eigen.eigenvalues.argmax();
    let tied = eigen
        .eigenvalues
        .iter()
        .enumerate()
        .any(|(i, w)| i != greatest && weight - w < TIE * weight);
    if tied {
        return None;
    }
    Some(eigen.eigenvectors.column(greatest).into_owned())
}

impl Mean<Plane> {
    /// The pole of each shot, downwards as the mean's is or just over the rim beside it, in the order of [`Mean::shots`].
    #[must_use]
    pub fn poles(&self) -> Vec<Vector3<f64>> {
        about_pole(&self.value).places(&self.shots)
    }
}

impl Mean<Line> {
    /// The line of each shot, at the end that is nearer to the mean, in the order of [`Mean::shots`].
    #[must_use]
    pub fn lines(&self) -> Vec<Vector3<f64>> {
        about_line(&self.value).places(&self.shots)
    }
}

/// A direction and its tangent plane.
struct About {
    mean: Vector3<f64>,
    clockwise: Vector3<f64>,
    steeper: Vector3<f64>,
}

/// On the sphere the pole moves along the strike as the strike grows, and up the dip as the dip does.
fn about_pole(plane: &Plane) -> About {
    About {
        mean: plane.normal(),
        clockwise: plane.along_strike(),
        steeper: -plane.down_dip(),
    }
}

fn about_line(line: &Line) -> About {
    let (st, ct) = line.trend().rad().sin_cos();
    let (sp, cp) = line.plunge().rad().sin_cos();
    About {
        mean: line.vector(),
        clockwise: Vector3::new(-st, ct, 0.0),
        steeper: Vector3::new(-ct * sp, -st * sp, cp),
    }
}

impl About {
    /// What lies at these offsets: the way back from [`offsets`].
    fn places(&self, offsets: &[Offset]) -> Vec<Vector3<f64>> {
        let place = |o: &Offset| {
            let (sin, cos) = radians(o.distance_deg).sin_cos();
            let scale = if o.distance_deg > 0.0 {
                sin / o.distance_deg
            } else {
                0.0
            };
            self.mean * cos
                + (self.clockwise * o.clockwise_deg + self.steeper * o.steeper_deg) * scale
        };
        offsets.iter().map(place).collect()
    }
}

/// Each vector, taken as an axis, in the tangent plane of the mean at its true distance.
fn offsets(vectors: impl Iterator<Item = Vector3<f64>>, about: &About) -> Vec<Offset> {
    vectors
        .map(|v| {
            let v = if v.dot(&about.mean) < 0.0 { -v } else { v };
            let (x, y) = (v.dot(&about.clockwise), v.dot(&about.steeper));
            let flat = x.hypot(y);
            let distance = flat.atan2(v.dot(&about.mean));
            let scale = if flat > 0.0 { distance / flat } else { 0.0 };
            Offset {
                clockwise_deg: degrees(x * scale),
                steeper_deg: degrees(y * scale),
                distance_deg: degrees(distance),
            }
        })
        .collect()
}

fn finish<T>(value: T, shots: Vec<Offset>, expected_deg: f64) -> Mean<T> {
    // A book never holds 2³² shots of one reading; beyond that the error is only overstated.
    let count = f64::from(u32::try_from(shots.len()).unwrap_or(u32::MAX));
    let squares: f64 = shots.iter().map(|s| s.distance_deg.powi(2)).sum();
    let observed_deg = (shots.len() > 1).then(|| (squares / (2.0 * (count - 1.0))).sqrt());
    let larger = observed_deg.map_or(expected_deg, |o| o.max(expected_deg));
    let limit_deg = SCATTER_LIMIT * expected_deg;
    let farthest = shots
        .iter()
        .enumerate()
        .max_by(|a, b| a.1.distance_deg.total_cmp(&b.1.distance_deg))
        .filter(|(_, s)| s.distance_deg > limit_deg);
    let message = match (farthest, observed_deg) {
        (Some((i, s)), _) => Some(format!(
            "shot {} lies {:.1}° from the mean of {}, and {limit_deg:.1}° is expected at most",
            i + 1,
            s.distance_deg,
            shots.len()
        )),
        (None, Some(observed_deg)) => {
            let most_deg = expected_deg * together(count);
            (observed_deg > most_deg).then(|| {
                format!(
                    "the {} shots scatter by {observed_deg:.1}°, and {most_deg:.1}° is expected at most",
                    shots.len()
                )
            })
        }
        (None, None) => None,
    };
    let doubts = message.map(|message| Doubt {
        kind: DoubtKind::Scatter,
        severity: Severity::Doubt,
        dial: None,
        message,
        choices: Vec::new(),
    });
    Mean {
        value,
        shots,
        expected_deg,
        observed_deg,
        standard_error_deg: larger / count.sqrt(),
        doubts: doubts.into_iter().collect(),
    }
}

/// How many times the expected deviation the observed one of so many shots may be: the root of the quantile of chi-square
/// over its degrees of freedom, two for each shot but one.
///
/// # References
/// Wilson & Hilferty 1931, the cube root of chi-square is nearly normal (from memory).
fn together(count: f64) -> f64 {
    let spread = 2.0 / (9.0 * 2.0 * (count - 1.0));
    (1.0 - spread + TOGETHER * spread.sqrt()).powi(3).sqrt()
}
