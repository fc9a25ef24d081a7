//! Sightings reduced: level distance, rise, and the position that was sighted, each with its standard deviation.
//!
//! The geodesic comes from a kept library after Karney (2013): on the ellipsoid it is right to nanometres, and a sighting is
//! a straight line on it. Curvature and refraction lift a point by 0.07 m at 1 km and 1.7 m at 5 km, and a distance at 1000 m
//! of height is 0.16 m a kilometre longer than on the ellipsoid (common practice); clinometer, pacing and tape are coarser,
//! so neither is applied.

use geographiclib_rs::{DirectGeodesic, Geodesic, InverseGeodesic};

use crate::orientation::angle::radians;
use crate::orientation::{Azimuth, Bearing, Bound, True};

use super::error::{Error, Kind, LATITUDE, LONGITUDE, within};

/// The longest distance that is taken for one sighting, metres.
const FARTHEST_M: f64 = 1_000_000.0;

/// A vertical angle, up positive; straight up or down a sighting has no level distance to speak of.
const VERTICAL: Bound = Bound {
    name: "vertical angle",
    lo_deg: -89.0,
    hi_deg: 89.0,
    way_out: "a sighting ends at 89; a bearing of {} goes in the other field",
};

/// A distance as it was measured.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Distance {
    /// Along the line of sight, metres.
    Slope(f64),
    /// Horizontally, as on the map, metres.
    Level(f64),
}

/// A sighting as it was measured, its bearing counted from true north already.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measured {
    /// To the point sighted.
    pub bearing: Bearing<True>,
    /// Its standard deviation with that of the north it was turned to, degrees.
    pub bearing_sd_deg: f64,
    /// Above the horizontal positive, degrees; `None` where it was not read.
    pub vertical_deg: Option<f64>,
    /// Its standard deviation, degrees.
    pub vertical_sd_deg: f64,
    /// How far it is.
    pub distance: Distance,
    /// Its standard deviation, metres; `None` where nobody gave one.
    pub distance_sd_m: Option<f64>,
}

/// A sighting reduced to the horizontal and the vertical.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reduced {
    /// Horizontally, metres.
    pub level_m: f64,
    /// Its standard deviation, metres; `None` where the distance has none.
    pub level_sd_m: Option<f64>,
    /// How much higher the point is than the eye, metres; `None` where no vertical angle was read.
    pub rise_m: Option<f64>,
    /// Its standard deviation, metres; `None` where the distance has none, or no vertical angle was read.
    pub rise_sd_m: Option<f64>,
    /// The standard deviation of the point across the line of sight, which the bearing gives it, metres.
    pub across_sd_m: f64,
}

impl Measured {
    /// Level distance and rise with their standard deviations, carried over to first order.
    ///
    /// # Units
    /// Metres.
    ///
    /// # Degenerate input
    /// A distance of nil gives nil, with its standard deviation. A distance without a standard deviation gives none: that nobody
    /// gave one does not make it nil.
    ///
    /// # Errors
    /// A slope distance without a vertical angle; a vertical angle over 89°; a distance below 0 or over 1000 km; a standard
    /// deviation below 0; or not a number.
    ///
    /// # References
    /// L = S cos v, rise = S sin v = L tan v; the variances follow by differentiation.
    pub fn reduce(&self) -> Result<Reduced, Error> {
        let sd = |name, value, hi, unit| within(name, value, 0.0, hi, unit);
        let bearing_sd = radians(sd(
            "standard deviation of a bearing",
            self.bearing_sd_deg,
            180.0,
            " degrees",
        )?);
        let vertical_sd = radians(sd(
            "standard deviation of a vertical angle",
            self.vertical_sd_deg,
            90.0,
            " degrees",
        )?);
        let distance_sd_m = match self.distance_sd_m {
            Some(given) => Some(sd(
                "standard deviation of a distance",
                given,
                FARTHEST_M,
                " m",
            )?),
            None => None,
        };
        let vertical = match self.vertical_deg {
            Some(deg) => Some(radians(VERTICAL.check(deg)?)),
            None => None,
        };
        let (level_m, level_sd_m, rise) = match (self.distance, vertical) {
            (Distance::Slope(slope_m), Some(v)) => {
                let slope_m = within("slope distance", slope_m, 0.0, FARTHEST_M, " m")?;
                let (sin, cos) = v.sin_cos();
                (
                    slope_m * cos,
                    distance_sd_m.map(|sd| (cos * sd).hypot(slope_m * sin * vertical_sd)),
                    Some((
                        slope_m * sin,
                        distance_sd_m.map(|sd| (sin * sd).hypot(slope_m * cos * vertical_sd)),
                    )),
                )
            }
            (Distance::Slope(_), None) => return Err(Kind::NoVertical.into()),
            (Distance::Level(level_m), v) => {
                let level_m = within("level distance", level_m, 0.0, FARTHEST_M, " m")?;
                let rise = v.map(|v| {
                    let (tan, cos) = (v.tan(), v.cos());
                    (
                        level_m * tan,
                        distance_sd_m
                            .map(|sd| (tan * sd).hypot(level_m * vertical_sd / (cos * cos))),
                    )
                });
                (level_m, distance_sd_m, rise)
            }
        };
        Ok(Reduced {
            level_m,
            level_sd_m,
            rise_m: rise.map(|(m, _)| m),
            rise_sd_m: rise.and_then(|(_, sd)| sd),
            across_sd_m: level_m * bearing_sd,
        })
    }
}

/// The position that a sighting leads to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Landing {
    /// North positive.
    pub latitude_deg: f64,
    /// East positive, (−180, 180].
    pub longitude_deg: f64,
    /// The root of the sum of the variances along and across the line of sight and of the start, metres: about two of three
    /// such positions are within it; `None` where the distance has none.
    pub sd_m: Option<f64>,
    /// What the sighting was reduced to.
    pub reduced: Reduced,
}

/// The position of the point sighted, from the position and standard deviation of the place it was sighted from.
///
/// # Units
/// Geodetic degrees on WGS 84, metres.
///
/// # Degenerate input
/// From a geographic pole a bearing counts from the meridian of the longitude given.
///
/// # Errors
/// As [`Measured::reduce`]; a coordinate beyond its limits; a standard deviation of the start below 0.
pub fn landing(
    latitude_deg: f64,
    longitude_deg: f64,
    start_sd_m: f64,
    measured: &Measured,
) -> Result<Landing, Error> {
    let start_sd_m = within(
        "standard deviation of a position",
        start_sd_m,
        0.0,
        FARTHEST_M,
        " m",
    )?;
    let reduced = measured.reduce()?;
    let (latitude_deg, longitude_deg) = destination(
        latitude_deg,
        longitude_deg,
        measured.bearing,
        reduced.level_m,
    )?;
    Ok(Landing {
        latitude_deg,
        longitude_deg,
        sd_m: reduced
            .level_sd_m
            .map(|sd| start_sd_m.hypot(sd).hypot(reduced.across_sd_m)),
        reduced,
    })
}

/// The latitude and longitude at a level distance along a bearing, by the geodesic.
///
/// # Units
/// Geodetic degrees on WGS 84, longitude in (−180, 180]; metres.
///
/// # Degenerate input
/// A distance of nil ends where it began. From a geographic pole a bearing counts from the meridian of the longitude given.
///
/// # Errors
/// A coordinate beyond its limits; a distance below 0 or over 1000 km.
pub fn destination(
    latitude_deg: f64,
    longitude_deg: f64,
    bearing: Bearing<True>,
    level_m: f64,
) -> Result<(f64, f64), Error> {
    let level_m = within("level distance", level_m, 0.0, FARTHEST_M, " m")?;
    Ok(Geodesic::wgs84().direct(
        LATITUDE.check(latitude_deg)?,
        LONGITUDE.check(longitude_deg)?,
        bearing.deg(),
        level_m,
    ))
}

/// How two positions lie to each other.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Between {
    /// Along the geodesic, metres.
    pub level_m: f64,
    /// From the first towards the second; `None` where they are one place.
    pub there: Option<Bearing<True>>,
    /// From the second towards the first; `None` where they are one place.
    pub back: Option<Bearing<True>>,
}

/// Distance and bearings between two positions, by the geodesic.
///
/// # Units
/// Geodetic degrees on WGS 84, metres.
///
/// # Degenerate input
/// One place twice has no bearing. At a geographic pole a bearing counts from the meridian of the longitude given; between
/// points on opposite sides of the Earth the bearing is one of several.
///
/// # Errors
/// A coordinate beyond its limits.
pub fn between(from_deg: [f64; 2], to_deg: [f64; 2]) -> Result<Between, Error> {
    let (level_m, leaving_deg, arriving_deg, _): (f64, f64, f64, f64) = Geodesic::wgs84().inverse(
        LATITUDE.check(from_deg[0])?,
        LONGITUDE.check(from_deg[1])?,
        LATITUDE.check(to_deg[0])?,
        LONGITUDE.check(to_deg[1])?,
    );
    let bearing = |deg: f64| {
        let apart = level_m > 0.0;
        Azimuth::wrapped_deg(deg)
            .ok()
            .filter(|_| apart)
            .map(Bearing::new)
    };
    Ok(Between {
        level_m,
        there: bearing(leaving_deg),
        back: bearing(arriving_deg + 180.0),
    })
}
