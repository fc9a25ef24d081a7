//! How well a set-up reads: the standard deviation of every dial, from needle, inclination, placement and rounding.
//!
//! To first order (our derivation, tested by tilting planes and lines):
//! σ²(strike) = σ_n² + σ_p²/sin² dip, σ²(dip) = σ_i² + σ_p², σ²(trend) = σ_n² + σ_p²/cos² plunge,
//! σ²(plunge) = σ_i² + σ_p², σ²(rake) = σ_i² + 2 σ_p²; rounding to a division q adds q²/12 to each dial.

use super::angle::{Bound, Dip, Error, Plunge, degrees, radians};
use super::line::Line;
use super::plane::Plane;

/// Standard deviations of a set-up.
///
/// The defaults are needle 1°, inclination 1°, placement 1.5° and whole degrees: a choice within the field tolerances of
/// common practice (needle and bearing to ½–1°, angles on a rough plane to 1–2°).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Noise {
    needle: f64,
    inclination: f64,
    placement: f64,
    resolution: f64,
}

impl Default for Noise {
    fn default() -> Self {
        Self {
            needle: radians(1.0),
            inclination: radians(1.0),
            placement: radians(1.5),
            resolution: radians(1.0),
        }
    }
}

impl Noise {
    /// From the standard deviations of needle, inclination scale and placement, and the finest division, in degrees.
    ///
    /// # Errors
    /// One of them is below 0, over 180 or not a number.
    pub fn from_deg(
        needle_deg: f64,
        inclination_deg: f64,
        placement_deg: f64,
        resolution_deg: f64,
    ) -> Result<Self, Error> {
        Ok(Self {
            needle: radians(Bound::ANGLE.check(needle_deg)?),
            inclination: radians(Bound::ANGLE.check(inclination_deg)?),
            placement: radians(Bound::ANGLE.check(placement_deg)?),
            resolution: radians(Bound::ANGLE.check(resolution_deg)?),
        })
    }

    /// The finest division, radians.
    pub(super) fn resolution_rad(&self) -> f64 {
        self.resolution
    }

    /// Variance of one read-off of the needle, with its rounding.
    pub(super) fn needle_var(&self) -> f64 {
        self.needle.powi(2) + self.resolution.powi(2) / 12.0
    }

    /// Variance of one read-off of an inclination scale, with its rounding.
    pub(super) fn inclination_var(&self) -> f64 {
        self.inclination.powi(2) + self.resolution.powi(2) / 12.0
    }

    pub(super) fn placement_var(&self) -> f64 {
        self.placement.powi(2)
    }

    /// Standard deviation of a strike, degrees.
    ///
    /// # Degenerate input
    /// Horizontal plane: infinite.
    #[must_use]
    pub fn strike_sd_deg(&self, dip: Dip) -> f64 {
        degrees((self.needle_var() + self.placement_var() / dip.rad().sin().powi(2)).sqrt())
    }

    /// Standard deviation of a dip, degrees.
    #[must_use]
    pub fn dip_sd_deg(&self) -> f64 {
        degrees((self.inclination_var() + self.placement_var()).sqrt())
    }

    /// Standard deviation of a trend, degrees.
    ///
    /// # Degenerate input
    /// Vertical line: as good as infinite.
    #[must_use]
    pub fn trend_sd_deg(&self, plunge: Plunge) -> f64 {
        degrees((self.needle_var() + self.placement_var() / plunge.rad().cos().powi(2)).sqrt())
    }

    /// Standard deviation of a plunge, degrees.
    #[must_use]
    pub fn plunge_sd_deg(&self) -> f64 {
        self.dip_sd_deg()
    }

    /// Standard deviation of a rake, degrees.
    #[must_use]
    pub fn rake_sd_deg(&self) -> f64 {
        degrees(self.rake_var().sqrt())
    }

    pub(super) fn rake_var(&self) -> f64 {
        self.inclination_var() + 2.0 * self.placement_var()
    }

    /// Standard deviations of a plane's pole on the sphere, degrees: along the strike, and down the dip.
    #[must_use]
    pub fn pole_sds_deg(&self, dip: Dip) -> [f64; 2] {
        let along = self.needle_var() * dip.rad().sin().powi(2) + self.placement_var();
        let down = self.inclination_var() + self.placement_var();
        [along, down].map(|var| degrees(var.sqrt()))
    }

    /// Standard deviation of a plane's pole on the sphere, degrees: root mean square of the two tangent directions.
    #[must_use]
    pub fn pole_sd_deg(&self, dip: Dip) -> f64 {
        let [along, down] = self.pole_sds_deg(dip);
        along.hypot(down) / std::f64::consts::SQRT_2
    }

    /// Standard deviations of a line on the sphere, degrees: across it levelly, and up and down.
    #[must_use]
    pub fn line_sds_deg(&self, plunge: Plunge) -> [f64; 2] {
        let across = self.needle_var() * plunge.rad().cos().powi(2) + self.placement_var();
        let down = self.inclination_var() + self.placement_var();
        [across, down].map(|var| degrees(var.sqrt()))
    }

    /// Standard deviation of a line on the sphere, degrees: root mean square of the two tangent directions.
    #[must_use]
    pub fn line_sd_deg(&self, plunge: Plunge) -> f64 {
        let [across, down] = self.line_sds_deg(plunge);
        across.hypot(down) / std::f64::consts::SQRT_2
    }

    /// Standard deviation of the angle between a line and the plane it was read on, degrees.
    ///
    /// Strike and trend are taken as two independent needle readings, which is the wider assumption: read without moving
    /// the instrument their needle errors cancel.
    #[must_use]
    pub fn off_plane_sd_deg(&self, plane: &Plane, line: &Line) -> f64 {
        let (sd, cd) = plane.dip().rad().sin_cos();
        let (sp, cp) = line.plunge().rad().sin_cos();
        let (sb, cb) = (plane.strike().rad() - line.trend().rad()).sin_cos();
        // Slopes of sin(off) = sin dip cos plunge sin(strike − trend) + cos dip sin plunge.
        let by_azimuth = sd * cp * cb;
        let by_dip = cd * cp * sb - sd * sp;
        let by_plunge = cd * cp - sd * sp * sb;
        let off = sd * cp * sb + cd * sp;
        let var = 2.0 * self.needle_var() * by_azimuth.powi(2)
            + self.inclination_var() * (by_dip.powi(2) + by_plunge.powi(2));
        // Placement tilts normal and line in every direction alike, so it needs no slopes.
        let scale = (1.0 - off.powi(2)).max(1e-6);
        degrees((var / scale + 2.0 * self.placement_var()).sqrt())
    }

    /// Standard deviation of the difference between a rake that was read and the one that trend and plunge give, degrees.
    ///
    /// # Degenerate input
    /// Horizontal plane: infinite, because it has no strike to count from.
    #[must_use]
    pub fn rake_difference_sd_deg(&self, plane: &Plane, line: &Line) -> f64 {
        let v = line.vector();
        let in_plane = plane.normal().cross(&v);
        let (st, ct) = line.trend().rad().sin_cos();
        let (sp, cp) = line.plunge().rad().sin_cos();
        let by_trend = (in_plane.y * ct - in_plane.x * st) * cp;
        let by_plunge = in_plane.z * cp - (in_plane.x * ct + in_plane.y * st) * sp;
        let (sd, cd) = plane.dip().rad().sin_cos();
        let strike = self.needle_var() + self.placement_var() / sd.powi(2);
        let var = self.rake_var()
            + self.needle_var() * by_trend.powi(2)
            + self.inclination_var() * by_plunge.powi(2)
            + self.placement_var()
            + strike * cd.powi(2);
        degrees(var.sqrt())
    }
}
