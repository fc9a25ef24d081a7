//! Lines: trend and plunge, as an axis or with a direction.

use nalgebra::{Rotation3, Unit, Vector3};

use super::angle::{Angle, Azimuth, Error, Plunge, Turn};

/// Below this a component of a unit vector counts as zero: a ten-thousandth of a second of arc, well above rounding.
pub(super) const LEVEL: f64 = 1e-12;

/// The angle between two vectors of any length, [0°, 180°]; 0° when one has none.
pub(super) fn angle_between(a: &Vector3<f64>, b: &Vector3<f64>) -> Angle {
    Angle::clamped(a.cross(b).norm().atan2(a.dot(b)))
}

/// The acute angle between the axes along two vectors.
pub(super) fn axis_angle_between(a: &Vector3<f64>, b: &Vector3<f64>) -> Angle {
    Angle::clamped(a.cross(b).norm().atan2(a.dot(b).abs()))
}

/// A direction in the rock: an axis has plunge ≥ 0, a directed line may point up.
///
/// # Degenerate input
/// A vertical line keeps the trend it was given, without meaning.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Line {
    trend: Azimuth,
    plunge: Plunge,
}

impl Line {
    /// From trend and plunge.
    #[must_use]
    pub fn new(trend: Azimuth, plunge: Plunge) -> Self {
        Self { trend, plunge }
    }

    /// From trend (0 to 360) and plunge (−90 to 90) in degrees.
    ///
    /// # Errors
    /// One of the two is beyond its limit or not a number.
    pub fn from_deg(trend_deg: f64, plunge_deg: f64) -> Result<Self, Error> {
        Ok(Self::new(
            Azimuth::from_deg(trend_deg)?,
            Plunge::from_deg(plunge_deg)?,
        ))
    }

    /// The directed line along a vector (north, east, down) of any length.
    ///
    /// # Degenerate input
    /// No length, or not a number: none. Vertical: trend 000.
    #[must_use]
    pub fn from_vector(vector: &Vector3<f64>) -> Option<Self> {
        let unit = vector.try_normalize(f64::MIN_POSITIVE)?;
        if !unit.iter().all(|c| c.is_finite()) {
            return None;
        }
        let flat = unit.x.hypot(unit.y);
        let trend = if flat < LEVEL {
            0.0
        } else {
            unit.y.atan2(unit.x)
        };
        Some(Self::new(
            Azimuth::wrapped(trend),
            Plunge::clamped(unit.z.atan2(flat)),
        ))
    }

    /// The axis along a vector (north, east, down) of any length: its lower end.
    ///
    /// # Degenerate input
    /// No length, or not a number: none. Vertical: trend 000. Horizontal: the end in [000, 180).
    #[must_use]
    pub fn axis_from_vector(vector: &Vector3<f64>) -> Option<Self> {
        let line = Self::from_vector(vector)?;
        let level = line.plunge.rad().abs() < LEVEL;
        Some(if level {
            let east = line.trend.rad() < std::f64::consts::PI;
            let trend = if east {
                line.trend
            } else {
                line.trend.opposite()
            };
            Self::new(trend, Plunge::clamped(0.0))
        } else {
            line.as_axis()
        })
    }

    /// The azimuth it points to.
    #[must_use]
    pub fn trend(&self) -> Azimuth {
        self.trend
    }

    /// Its slope, down positive.
    #[must_use]
    pub fn plunge(&self) -> Plunge {
        self.plunge
    }

    /// The unit vector along it: north, east, down.
    #[must_use]
    pub fn vector(&self) -> Vector3<f64> {
        let (st, ct) = self.trend.rad().sin_cos();
        let (sp, cp) = self.plunge.rad().sin_cos();
        Vector3::new(ct * cp, st * cp, sp)
    }

    /// The same line with its direction turned round.
    #[must_use]
    pub fn reversed(&self) -> Self {
        Self::new(self.trend.opposite(), Plunge::clamped(-self.plunge.rad()))
    }

    /// Its lower end; a horizontal line keeps its trend.
    #[must_use]
    pub fn as_axis(&self) -> Self {
        if self.plunge.rad() < 0.0 {
            self.reversed()
        } else {
            *self
        }
    }

    /// The acute angle between two lines taken as axes, [0°, 90°].
    #[must_use]
    pub fn angle(&self, other: &Self) -> Angle {
        axis_angle_between(&self.vector(), &other.vector())
    }

    /// The angle between two directed lines, [0°, 180°].
    #[must_use]
    pub fn directed_angle(&self, other: &Self) -> Angle {
        angle_between(&self.vector(), &other.vector())
    }

    /// Turned about an axis, clockwise looking along the axis (down it, where it plunges).
    #[must_use]
    pub fn rotated(&self, axis: &Self, turn: Turn) -> Self {
        Self::from_vector(&(rotation(axis, turn) * self.vector())).unwrap_or(*self)
    }
}

/// The rotation about a directed line, clockwise looking along it: in north, east, down that is the right-handed one.
pub(super) fn rotation(axis: &Line, turn: Turn) -> Rotation3<f64> {
    Rotation3::from_axis_angle(&Unit::new_unchecked(axis.vector()), turn.rad())
}
