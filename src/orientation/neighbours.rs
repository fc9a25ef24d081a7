//! Is this reading like the structure around it? The structure is what the other readings of its kind say: a cluster or a girdle.

use nalgebra::{Matrix2, Vector2, Vector3};
use statrs::distribution::{ContinuousCDF, StudentsT};

use super::angle::{degrees, radians};
use super::statistics::{Eigen, Tensor, as_f64};

/// How rarely chance alone may raise a doubt about one clean reading: a tenth of what is allowed, because rock does not scatter
/// like a bell and the scatter itself is estimated.
const CHANCE: f64 = 0.001;

/// The structure is told by so many other readings at least.
pub const FEWEST: usize = 8;

/// Poles whose greatest principal value is more lie in one cluster.
const CLUSTER_FROM: f64 = 0.85;

/// Poles whose least principal value is less lie along a girdle, if they are no cluster.
const GIRDLE_TO: f64 = 0.08;

/// Readings farther off than so many robust standard deviations have no part in the scatter.
const WILD: f64 = 3.5;

/// No scatter is less than what is rounded when a dial is read: half a degree.
const ROUNDED_DEG: f64 = 0.5;

/// One in so many readings of a kind belongs to another structure than the rest: our assumption.
pub const OTHER: f64 = 20.0;

/// What the structure looks like.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shape {
    /// All readings are near to one mean.
    Cluster,
    /// The poles lie along a great circle: a fold.
    Girdle,
}

impl Shape {
    /// The shape that a tensor tells; `None` where it is neither.
    fn of(eigen: &Eigen) -> Option<Self> {
        if eigen.values[0] >= CLUSTER_FROM {
            Some(Self::Cluster)
        } else if eigen.values[2] <= GIRDLE_TO {
            Some(Self::Girdle)
        } else {
            None
        }
    }

    /// Its axis, and two directions at a right angle to it.
    fn axes(self, eigen: &Eigen) -> (Vector3<f64>, [Vector3<f64>; 2]) {
        let [first, second, third] = eigen.vectors;
        match self {
            Self::Cluster => (first, [second, third]),
            Self::Girdle => (third, [first, second]),
        }
    }

    /// How many numbers are fitted to each side of the axis.
    fn fitted(self) -> f64 {
        match self {
            Self::Cluster => 1.0,
            Self::Girdle => 2.0,
        }
    }
}

/// How the readings lie about the axis of one shape.
#[derive(Clone, Debug)]
struct Scatter {
    shape: Shape,
    axis: Vector3<f64>,
    /// Their distances from it, nearest first, radians.
    off: Vec<f64>,
    /// The sums of the squares of the first so many, from none to all.
    squares: Vec<f64>,
}

impl Scatter {
    fn of(shape: Shape, eigen: &Eigen, axes: &[Vector3<f64>]) -> Self {
        let (axis, _) = shape.axes(eigen);
        let mut off: Vec<f64> = axes.iter().map(|v| distance(shape, &axis, v)).collect();
        off.sort_by(f64::total_cmp);
        let mut sum = 0.0;
        let mut squares = vec![sum];
        squares.extend(off.iter().map(|off| {
            sum += off * off;
            sum
        }));
        Self {
            shape,
            axis,
            off,
            squares,
        }
    }

    /// How many readings are not wild, a few left out, and the sum of the squares of their distances, radians².
    fn without(&self, few: &[Vector3<f64>]) -> (usize, f64) {
        let distances = few.iter().map(|v| distance(self.shape, &self.axis, v));
        let mut few: Vec<f64> = distances.collect();
        few.sort_by(f64::total_cmp);
        let count = self.off.len().saturating_sub(few.len());
        // The middle one of the others: each that is left out before it moves it on by one.
        let mut middle = count / 2;
        for off in &few {
            if self.off.partition_point(|o| o < off) <= middle {
                middle += 1;
            }
        }
        let median = self.off.get(middle).copied().unwrap_or_default();
        // The median of |x| of a bell curve is 0.6745 σ, of the distance of two such, 1.1774 σ; numbers already fitted are made up for.
        let factor = match self.shape {
            Shape::Cluster => 1.1774,
            Shape::Girdle => 0.6745,
        };
        let n = as_f64(count);
        let fitted = self.shape.fitted();
        let robust = (median / factor * (n / (n - fitted)).sqrt()).max(radians(ROUNDED_DEG));
        // The mean square of all but those that the median calls wild: nearly all the freedom, and still hard to pull.
        let wild = WILD * robust;
        let kept = self.off.partition_point(|off| *off <= wild);
        let out = few.iter().take_while(|off| **off <= wild);
        let less: f64 = out.clone().map(|off| off * off).sum();
        let sum = self.squares.get(kept).copied().unwrap_or_default() - less;
        (kept.saturating_sub(out.count()), sum.max(0.0))
    }
}

/// Many readings of a kind, from which a few can be left out at the cost of those few.
///
/// The axis and its covariance are then those of the others; the scatter is that of the others about the axis of all. So the
/// few should be few: where they are one in eighty, the two axes are nearly one.
#[derive(Clone, Debug)]
pub struct Whole {
    tensor: Tensor,
    cluster: Scatter,
    girdle: Scatter,
}

impl Whole {
    /// Of poles or lines, as axes.
    ///
    /// # Degenerate input
    /// Fewer than [`FEWEST`]: `None`.
    #[must_use]
    pub fn of(axes: &[Vector3<f64>]) -> Option<Self> {
        if axes.len() < FEWEST {
            return None;
        }
        let tensor = Tensor::of(axes);
        let eigen = tensor.eigen()?;
        Some(Self {
            tensor,
            cluster: Scatter::of(Shape::Cluster, &eigen, axes),
            girdle: Scatter::of(Shape::Girdle, &eigen, axes),
        })
    }

    /// The structure of all but a few that are among them.
    ///
    /// # Degenerate input
    /// As [`Structure::of`] of the others.
    #[must_use]
    pub fn without(&self, few: &[Vector3<f64>]) -> Option<Structure> {
        let mut tensor = self.tensor;
        for axis in few {
            tensor.remove(axis);
        }
        if tensor.count() < FEWEST {
            return None;
        }
        let eigen = tensor.eigen()?;
        let shape = Shape::of(&eigen)?;
        let scatter = match shape {
            Shape::Cluster => &self.cluster,
            Shape::Girdle => &self.girdle,
        };
        let (kept, square_sum) = scatter.without(few);
        Structure::fitted(shape, &eigen, &tensor, kept, square_sum)
    }
}

/// A structure fitted to readings, and how far from it one more may lie.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Structure {
    /// Its shape.
    pub shape: Shape,
    /// How many readings it comes from.
    pub count: usize,
    /// The mean of a cluster, or the axis of a girdle.
    pub axis: Vector3<f64>,
    /// Scatter of one reading about it, measuring and rock together, degrees: to one side for a cluster.
    pub scatter_deg: f64,
    /// How many readings the scatter rests on, less what was fitted.
    freedom: f64,
    /// Two directions at a right angle to the axis, and the covariance of the axis along them, radians².
    frame: [Vector3<f64>; 2],
    covariance: Matrix2<f64>,
}

/// How one reading stands to the structure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Standing {
    /// How far off it lies, degrees.
    pub off_deg: f64,
    /// What its own and the structure's uncertainty make of one standard deviation, degrees.
    pub sd_deg: f64,
    /// How often chance alone puts a reading as far off.
    pub chance: f64,
}

impl Standing {
    /// So far off that it is doubted.
    #[must_use]
    pub fn is_doubted(&self) -> bool {
        self.chance < CHANCE
    }

    /// Within two standard deviations.
    #[must_use]
    pub fn agrees(&self) -> bool {
        self.off_deg <= 2.0 * self.sd_deg
    }
}

impl Structure {
    /// The structure of poles or lines, as axes.
    ///
    /// # Degenerate input
    /// Fewer than [`FEWEST`], or neither a cluster nor a girdle: `None`, and nothing is doubted.
    ///
    /// # References
    /// Scatter by the mean square of all but the wild ones, wild by the median distance (Hampel 1974); the axis by the tensor's
    /// principal axis, its covariance from the scatter and the spread of the readings.
    #[must_use]
    pub fn of(axes: &[Vector3<f64>]) -> Option<Self> {
        if axes.len() < FEWEST {
            return None;
        }
        let tensor = Tensor::of(axes);
        let eigen = tensor.eigen()?;
        let shape = Shape::of(&eigen)?;
        let (kept, square_sum) = Scatter::of(shape, &eigen, axes).without(&[]);
        Self::fitted(shape, &eigen, &tensor, kept, square_sum)
    }

    /// The structure of its tensor and of the scatter of so many readings that are not wild.
    fn fitted(
        shape: Shape,
        eigen: &Eigen,
        tensor: &Tensor,
        kept: usize,
        square_sum: f64,
    ) -> Option<Self> {
        let (axis, frame) = shape.axes(eigen);
        let sides = if shape == Shape::Cluster { 2.0 } else { 1.0 };
        let freedom = as_f64(kept) - shape.fitted();
        let square = square_sum / (sides * freedom.max(1.0));
        let scatter = square.sqrt().max(radians(ROUNDED_DEG));
        let n = as_f64(tensor.count());
        let information = match shape {
            Shape::Cluster => Matrix2::identity() * n,
            Shape::Girdle => {
                let sums = tensor.matrix() * n;
                let along = |a: usize, b: usize| frame[a].dot(&(sums * frame[b]));
                Matrix2::new(along(0, 0), along(0, 1), along(1, 0), along(1, 1))
            }
        } / scatter.powi(2);
        Some(Self {
            shape,
            count: tensor.count(),
            axis,
            scatter_deg: degrees(scatter),
            freedom: freedom.max(2.0),
            frame,
            covariance: information.try_inverse()?,
        })
    }

    /// How a reading that had no part in the fit stands to it; its own deviation is part of the scatter, and counts only where
    /// it is larger.
    #[must_use]
    pub fn standing(&self, v: &Vector3<f64>, own_sd_deg: f64) -> Standing {
        let off = distance(self.shape, &self.axis, v);
        let scatter = radians(self.scatter_deg.max(own_sd_deg));
        let of_axis = match self.shape {
            Shape::Cluster => self.covariance.trace() / 2.0,
            Shape::Girdle => {
                let u = Vector2::new(v.dot(&self.frame[0]), v.dot(&self.frame[1]));
                (u.transpose() * self.covariance * u)[0]
            }
        };
        let sd = (scatter.powi(2) + of_axis).sqrt();
        let freedom = self.freedom;
        let ratio = off / sd;
        let chance = match self.shape {
            // Student's t to both sides.
            Shape::Girdle => StudentsT::new(0.0, 1.0, freedom).map_or(1.0, |t| 2.0 * t.sf(ratio)),
            // The distance of two such: (1 + d²/ν)^(−ν/2).
            Shape::Cluster => (1.0 + ratio * ratio / freedom).powf(-freedom / 2.0),
        };
        Standing {
            off_deg: degrees(off),
            sd_deg: degrees(sd),
            chance,
        }
    }

    /// How densely readings lie where this one does, against where they lie densest: 0 to 1. One in [`OTHER`] readings is of
    /// another structure and may lie anywhere.
    ///
    /// # Degenerate input
    /// Never quite 0: nothing measured on rock is impossible.
    #[must_use]
    pub fn likeness(&self, v: &Vector3<f64>, own_sd_deg: f64) -> f64 {
        let standing = self.standing(v, own_sd_deg);
        let ratio = standing.off_deg / standing.sd_deg;
        let sd = radians(standing.sd_deg);
        let nu = self.freedom;
        // Student's t against its peak; the uniform density of axes against that peak, as for a bell of the same deviation.
        let (density, anywhere) = match self.shape {
            Shape::Girdle => (
                (1.0 + ratio * ratio / nu).powf(-f64::midpoint(nu, 1.0)),
                (2.0 * std::f64::consts::PI).sqrt() * sd,
            ),
            Shape::Cluster => ((1.0 + ratio * ratio / nu).powf(-nu / 2.0 - 1.0), sd * sd),
        };
        let other = 1.0 / OTHER;
        (1.0 - other) * density + other * anywhere.min(1.0)
    }

    /// The larger standard deviation of the axis, degrees, and its direction.
    #[must_use]
    pub fn axis_sd_deg(&self) -> (f64, Vector3<f64>) {
        let eigen = self.covariance.symmetric_eigen();
        let (place, value) = eigen.eigenvalues.argmax();
        let v = eigen.eigenvectors.column(place);
        (
            degrees(value.max(0.0).sqrt()),
            self.frame[0] * v[0] + self.frame[1] * v[1],
        )
    }

    /// The larger standard deviation of the axis if one more reading lay there, degrees.
    #[must_use]
    pub fn axis_sd_with_deg(&self, v: &Vector3<f64>) -> f64 {
        let scatter = radians(self.scatter_deg).powi(2);
        let u = Vector2::new(v.dot(&self.frame[0]), v.dot(&self.frame[1]));
        let more = match self.shape {
            Shape::Cluster => Matrix2::identity() / scatter,
            Shape::Girdle => u * u.transpose() / scatter,
        };
        let with = self
            .covariance
            .try_inverse()
            .and_then(|i| (i + more).try_inverse());
        with.map_or(f64::NAN, |c| {
            degrees(c.symmetric_eigen().eigenvalues.max().max(0.0).sqrt())
        })
    }

    /// A vector of the girdle by its angle from the strongest direction, radians.
    #[must_use]
    pub fn on_girdle(&self, angle: f64) -> Vector3<f64> {
        let (s, c) = angle.sin_cos();
        self.frame[0] * c + self.frame[1] * s
    }

    /// The angle of an axis along the girdle from its strongest direction, radians, −π/2 to π/2.
    #[must_use]
    pub fn angle_on_girdle(&self, v: &Vector3<f64>) -> f64 {
        let (x, y) = (v.dot(&self.frame[0]), v.dot(&self.frame[1]));
        if x < 0.0 { (-y).atan2(-x) } else { y.atan2(x) }
    }
}

/// How far an axis lies from the structure, radians.
fn distance(shape: Shape, axis: &Vector3<f64>, v: &Vector3<f64>) -> f64 {
    let cosine = v.dot(axis).abs().min(1.0);
    match shape {
        Shape::Cluster => v.cross(axis).norm().atan2(cosine),
        Shape::Girdle => cosine.asin(),
    }
}

/// The turn about the vertical that brings all readings of one place back to the structures of their kinds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CommonTurn {
    /// Degrees clockwise that the readings stand turned.
    pub turn_deg: f64,
    /// Its standard deviation, degrees.
    pub sd_deg: f64,
    /// How many readings speak for it.
    pub count: usize,
}

/// Whether everything at one place is turned by one angle: magnetic rock, or the set-up.
///
/// Each reading comes with the structure of its kind, fitted without those of this place.
///
/// # Degenerate input
/// Fewer than three readings, or readings that no turn about the vertical moves (near horizontal): `None`.
#[must_use]
pub fn common_turn(readings: &[(Vector3<f64>, Structure)]) -> Option<CommonTurn> {
    if readings.len() < 3 {
        return None;
    }
    let turned = |v: &Vector3<f64>, deg: f64| {
        let (s, c) = radians(deg).sin_cos();
        // Back by this angle: counter-clockwise seen from above.
        Vector3::new(v.x * c + v.y * s, -v.x * s + v.y * c, v.z)
    };
    let misfit = |deg: f64| -> f64 {
        readings
            .iter()
            .map(|(v, structure)| {
                let standing = structure.standing(&turned(v, deg), 0.0);
                // A reading that is wrong by itself may not pull all others.
                (standing.off_deg / standing.sd_deg).powi(2).min(25.0)
            })
            .sum()
    };
    let mut best = 0.0;
    for step in -59..=60 {
        let deg = f64::from(step) * 3.0;
        if misfit(deg) < misfit(best) {
            best = deg;
        }
    }
    for width in [1.0, 0.3, 0.1] {
        for step in -4..=4 {
            let deg = best + f64::from(step) * width;
            if misfit(deg) < misfit(best) {
                best = deg;
            }
        }
    }
    let (as_read, with) = (misfit(0.0), misfit(best));
    let curve = (misfit(best + 2.0) + misfit(best - 2.0) - 2.0 * with) / 4.0;
    if curve <= 1e-6 {
        return None;
    }
    let sd_deg = (2.0 / curve).sqrt();
    let enough = 13.8 + 2.0 * (as_f64(readings.len())).sqrt();
    // The turn must explain much, leave a fair fit, and be beyond its own uncertainty.
    let fair = with < 2.5 * as_f64(readings.len());
    (as_read - with > enough && fair && best.abs() > 4.0 * sd_deg).then_some(CommonTurn {
        turn_deg: best,
        sd_deg,
        count: readings.len(),
    })
}
