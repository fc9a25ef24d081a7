//! The dials of a plane with a line in it, and the frame that agrees with them best.

use nalgebra::{Matrix3, Vector3};

use super::solve::{Fit, Frame, Obs, Weights};
use super::starts::{Effort, minima};
use crate::orientation::angle::{Azimuth, Dip, Plunge, Rake, degrees, radians, turn_deg, wrap_deg};
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
/// Strike and trend count as read apart: their needle errors are independent.
///
/// # Degenerate input
/// Fewer than three dials that fix the frame: none. Planes read flatter than 8° and lines steeper than 82° are compared by
/// their normals and themselves, so that an azimuth without meaning does no harm; their residuals are those of the azimuths
/// all the same. A rake in a plane of dip 00 says nothing and adds no degree of freedom.
#[must_use]
pub fn adjust(dials: &FrameDials, noise: &Noise) -> Option<Adjusted> {
    let weights = Weights::of(noise);
    let [best, ..] = minima(&dials.obs(), &weights, Effort::FULL);
    best.map(|fit| Adjusted::new(dials, &fit))
}

impl FrameDials {
    /// The same with one dial left unread.
    pub(super) fn without(mut self, dial: Option<Dial>) -> Self {
        match dial {
            Some(Dial::Strike) => self.strike_deg = None,
            Some(Dial::Dip) => self.dip_deg = None,
            Some(Dial::Toward) => self.toward_deg = None,
            Some(Dial::Trend) => self.trend_deg = None,
            Some(Dial::Plunge) => self.plunge_deg = None,
            Some(Dial::Rake) => self.rake_deg = None,
            _ => {}
        }
        self
    }

    /// In radians.
    pub(super) fn obs(&self) -> Obs {
        Obs {
            strike: self.strike_deg.map(radians),
            dip: self.dip_deg.map(radians),
            toward: self.toward_deg.map(radians),
            trend: self.trend_deg.map(radians),
            plunge: self.plunge_deg.map(radians),
            rake: self.rake_deg.map(radians),
        }
    }
}

impl Adjusted {
    pub(super) fn new(dials: &FrameDials, fit: &Fit) -> Self {
        let frame = &fit.frame;
        let plane = Plane::from_normal(&frame.n)
            .unwrap_or_else(|| Plane::new(Azimuth::NORTH, Dip::clamped(0.0)));
        let directed = dials.plunge_deg.is_some_and(|plunge| plunge < 0.0);
        let line = Line::from_vector(&frame.v)
            .unwrap_or_else(|| Line::new(Azimuth::NORTH, Plunge::clamped(0.0)));
        let line = if directed { line } else { line.as_axis() };
        let residuals: Vec<Residual> = fit
            .rows
            .iter()
            .filter(|row| row.read)
            .filter_map(|row| {
                let read_deg = dials.get(row.dial)?;
                let adjusted = predicted(frame, row.dial)?;
                let off = turn_deg(adjusted, read_deg);
                let off = if row.dial == Dial::Rake && off.abs() > 90.0 {
                    off - 180.0_f64.copysign(off)
                } else {
                    off
                };
                Some(Residual {
                    dial: row.dial,
                    read_deg,
                    adjusted_deg: adjusted,
                    residual_deg: off,
                    sd_deg: degrees(row.sd / row.stretch),
                    redundancy: fit.redundancy(row),
                })
            })
            .collect();
        // A rake counted from a strike that means nothing is not held against anything.
        let idle = usize::from(
            dials.dip_deg == Some(0.0)
                && dials.rake_deg.is_some()
                && (dials.strike_deg.is_some() || dials.toward_deg.is_some()),
        );
        let spread = |x: &Vector3<f64>| {
            let across = x.cross_matrix();
            across * fit.covariance * across.transpose()
        };
        let (normal_covariance, line_covariance) = (spread(&frame.n), spread(&frame.v));
        let sd_deg = |covariance: &Matrix3<f64>| degrees((covariance.trace() / 2.0).sqrt());
        Self {
            plane,
            line,
            rake_deg: plane
                .rake_of(&line)
                .map_or_else(|| degrees(frame.rake()), Rake::deg),
            dof: residuals.len().saturating_sub(3 + idle),
            residuals,
            chi2: fit.rows.chi2(),
            normal_sd_deg: sd_deg(&normal_covariance),
            line_sd_deg: sd_deg(&line_covariance),
            normal_covariance,
            line_covariance,
        }
    }

    /// The residual that is largest against its own standard deviation.
    #[must_use]
    pub fn worst(&self) -> Option<&Residual> {
        self.residuals
            .iter()
            .max_by(|a, b| a.ratio().total_cmp(&b.ratio()))
    }
}

impl Residual {
    /// How many standard deviations it is off, without its sign.
    #[must_use]
    pub fn ratio(&self) -> f64 {
        (self.residual_deg / self.sd_deg).abs()
    }
}

/// What a dial should read at a frame, degrees; past the vertical a dip goes on over 90.
pub(super) fn predicted(frame: &Frame, dial: Dial) -> Option<f64> {
    let deg = match dial {
        Dial::Strike => wrap_deg(degrees(frame.strike())),
        Dial::Dip => degrees(frame.dip()),
        Dial::Toward => wrap_deg(degrees(frame.strike()) + 90.0),
        Dial::Trend => wrap_deg(degrees(frame.trend())),
        Dial::Plunge => degrees(frame.plunge()),
        Dial::Rake => degrees(frame.rake()),
        _ => return None,
    };
    Some(deg)
}
