//! The dials of a plane with a line in it, and the frame that agrees with them best.

use nalgebra::Matrix3;

use crate::orientation::dials::{Dials, reduce};
use crate::orientation::doubt::Dial;
use crate::orientation::line::Line;
use crate::orientation::noise::Noise;
use crate::orientation::plane::Plane;

/// The dials of a plane with a line in it, as numbers; `None` where one was not read.
///
/// # Units
/// Degrees.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FrameDials {
    /// The right-hand strike end.
    pub strike_deg: Option<f64>,
    /// The dip.
    pub dip_deg: Option<f64>,
    /// The dip direction, where it was read as an azimuth of its own: a sixth dial.
    pub toward_deg: Option<f64>,
    /// The trend of the line.
    pub trend_deg: Option<f64>,
    /// The plunge of the line; below zero it points up.
    pub plunge_deg: Option<f64>,
    /// The rake from the right-hand strike end.
    pub rake_deg: Option<f64>,
    /// The side was read by itself, in letters; else the right-hand rule gave it.
    pub side_read: bool,
}

impl FrameDials {
    /// The complete dials of one shot.
    ///
    /// # Degenerate input
    /// No dial of a plane or a line is complete, or one is beyond its range: none. A strike whose side is not known yet, or is
    /// contradicted by the pair: none.
    #[must_use]
    pub fn from_dials(dials: &Dials<'_>) -> Option<Self> {
        reduce(dials).frame
    }

    /// How many dials were read.
    #[must_use]
    pub fn count(&self) -> usize {
        [
            self.strike_deg,
            self.dip_deg,
            self.toward_deg,
            self.trend_deg,
            self.plunge_deg,
            self.rake_deg,
        ]
        .iter()
        .flatten()
        .count()
    }

    /// One dial, if it was read; a dial that is not of the frame: none.
    #[must_use]
    pub fn get(&self, dial: Dial) -> Option<f64> {
        match dial {
            Dial::Strike => self.strike_deg,
            Dial::Dip => self.dip_deg,
            Dial::Toward => self.toward_deg,
            Dial::Trend => self.trend_deg,
            Dial::Plunge => self.plunge_deg,
            Dial::Rake => self.rake_deg,
            _ => None,
        }
    }
}

/// What one dial read against what it should have read.
///
/// # Units
/// Degrees.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Residual {
    /// The dial.
    pub dial: Dial,
    /// As read.
    pub read_deg: f64,
    /// As the adjusted plane and line would have it.
    pub adjusted_deg: f64,
    /// Read less adjusted, the shorter way round.
    pub residual_deg: f64,
    /// Its own standard deviation, at the adjusted attitude.
    pub sd_deg: f64,
    /// How much of an error in this dial shows in its residual: 0 nothing, the other dials do not check it; 1 all of it.
    pub redundancy: f64,
}

/// The plane and the line in it that agree best with the dials.
#[derive(Clone, Debug, PartialEq)]
pub struct Adjusted {
    /// The plane.
    pub plane: Plane,
    /// The line; it lies in the plane.
    pub line: Line,
    /// The rake of the line in the plane, degrees.
    pub rake_deg: f64,
    /// Every dial that was read, in the order of the dials.
    pub residuals: Vec<Residual>,
    /// Sum of the squared residuals, each against its standard deviation.
    pub chi2: f64,
    /// Degrees of freedom: dials less three.
    pub dof: usize,
    /// Covariance of the plane's unit normal, north, east, down, rad².
    pub normal_covariance: Matrix3<f64>,
    /// Covariance of the line's unit vector, north, east, down, rad².
    pub line_covariance: Matrix3<f64>,
    /// Standard deviation of the normal on the sphere, degrees: root mean square of two tangent directions.
    pub normal_sd_deg: f64,
    /// Standard deviation of the line on the sphere, degrees: root mean square of two tangent directions.
    pub line_sd_deg: f64,
}

/// Adjusts a plane and a line in it to the dials that were read.
///
/// # Degenerate input
/// Fewer than three dials that fix the frame: none.
#[must_use]
pub fn adjust(_dials: &FrameDials, _noise: &Noise) -> Option<Adjusted> {
    None
}
