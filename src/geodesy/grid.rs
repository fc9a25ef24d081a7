//! The map grid: UTM on WGS 84, there and back, with grid convergence and scale.
//!
//! Krüger's series to the sixth order of the third flattening, our own code: the kept crate at hand gives neither convergence
//! nor scale, and convergence is what a grid bearing needs. Within a zone the series is good to nanometres.
//!
//! # References
//! C. F. F. Karney, 2011, Transverse Mercator with an accuracy of a few nanometers, Journal of Geodesy 85, 475–485,
//! equations 7–12 and 17–36. J. Hager, J. Behensky, B. Drew, 1989, DMA TM 8358.2, The universal grids (zones, false origins).

use crate::orientation::angle::{degrees, radians, turn_deg};
use crate::orientation::{Bound, Convergence};

use super::error::{Error, LATITUDE, LONGITUDE, within};

/// The equatorial radius of WGS 84, metres.
const WGS_84_RADIUS_M: f64 = 6_378_137.0;

/// The inverse of the flattening of WGS 84.
const WGS_84_INVERSE_FLATTENING: f64 = 298.257_223_563;

/// The scale of UTM on its central meridian.
const UTM_SCALE: f64 = 0.9996;

/// The easting that UTM gives its central meridian, metres.
const FALSE_EASTING_M: f64 = 500_000.0;

/// The northing that UTM gives the equator in the south, metres.
const FALSE_NORTHING_M: f64 = 10_000_000.0;

/// The latitudes that UTM covers.
const UTM_LATITUDE: Bound = Bound {
    name: "latitude",
    lo_deg: -80.0,
    hi_deg: 84.0,
    way_out: "UTM ends there; give the position in degrees",
};

/// How far from its central meridian a zone may be drawn out, degrees; a zone reaches 6° at most.
const REACH_DEG: f64 = 12.0;

/// How far from its central meridian the series still holds to a millimetre, degrees.
const SERIES_REACH_DEG: f64 = 30.0;

/// A position on the UTM grid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Utm {
    /// 1 to 60.
    pub zone: u8,
    /// Whether the northing counts from 10 000 000 m at the equator, as it does in the south.
    pub south: bool,
    /// Eastward, metres; 500 000 on the central meridian of the zone.
    pub easting_m: f64,
    /// Northward, metres.
    pub northing_m: f64,
    /// From true north to grid north, east positive.
    pub convergence: Convergence,
    /// A length on the grid over the same length on the ellipsoid.
    pub scale: f64,
}

/// The UTM zone of a position, with the exceptions of south-west Norway and Svalbard.
///
/// # Units
/// Geodetic degrees.
///
/// # Degenerate input
/// 180° is −180°, zone 1. A meridian between two zones belongs to the eastern one.
///
/// # Errors
/// A latitude that UTM does not cover (below −80, over 84), or a longitude beyond its limits.
pub fn zone(latitude_deg: f64, longitude_deg: f64) -> Result<u8, Error> {
    let latitude = UTM_LATITUDE.check(LATITUDE.check(latitude_deg)?)?;
    let east = turn_deg(0.0, LONGITUDE.check(longitude_deg)?);
    let east = if east >= 180.0 { -180.0 } else { east };
    let norway = (56.0..64.0).contains(&latitude) && (3.0..12.0).contains(&east);
    let svalbard = 72.0 <= latitude && (0.0..42.0).contains(&east);
    if norway {
        return Ok(32);
    }
    if svalbard {
        return Ok(match east {
            e if e < 9.0 => 31,
            e if e < 21.0 => 33,
            e if e < 33.0 => 35,
            _ => 37,
        });
    }
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // 1 to 60
    Ok(((east + 180.0) / 6.0) as u8 + 1)
}

/// A position on the UTM grid, in the zone it lies in.
///
/// # Units
/// Geodetic degrees on WGS 84 in, metres out.
///
/// # Degenerate input
/// On the equator it is in the north; on the central meridian convergence is 0.
///
/// # Errors
/// As [`zone`].
///
/// # Examples
/// ```
/// use hingeline::geodesy::grid::{position, utm};
/// let here = utm(60.0, 9.0)?;
/// assert_eq!((here.zone, here.south, here.easting_m), (32, false, 500_000.0));
/// let (latitude, longitude) = position(here.zone, here.south, here.easting_m, here.northing_m)?;
/// assert!((latitude - 60.0).abs() < 1e-9 && (longitude - 9.0).abs() < 1e-9);
/// # Ok::<(), hingeline::geodesy::Error>(())
/// ```
pub fn utm(latitude_deg: f64, longitude_deg: f64) -> Result<Utm, Error> {
    utm_in(
        zone(latitude_deg, longitude_deg)?,
        latitude_deg,
        longitude_deg,
    )
}

/// A position on the UTM grid of a zone that may be its neighbour's, so that one sheet can be drawn out over its edge.
///
/// # Units
/// Geodetic degrees on WGS 84 in, metres out.
///
/// # Degenerate input
/// As [`utm`].
///
/// # Errors
/// As [`zone`]; no such zone; or a position over 12° from the zone's central meridian.
pub fn utm_in(zone: u8, latitude_deg: f64, longitude_deg: f64) -> Result<Utm, Error> {
    let central_deg = central_deg(zone)?;
    let latitude_deg = UTM_LATITUDE.check(LATITUDE.check(latitude_deg)?)?;
    let off_deg = turn_deg(central_deg, LONGITUDE.check(longitude_deg)?);
    within(
        "longitude from the zone's central meridian",
        off_deg,
        -REACH_DEG,
        REACH_DEG,
        " degrees, or take the zone next to it",
    )?;
    let south = latitude_deg < 0.0;
    let drawn = projection(central_deg, south).forward(latitude_deg, longitude_deg)?;
    Ok(Utm {
        zone,
        south,
        easting_m: drawn.easting_m,
        northing_m: drawn.northing_m,
        convergence: drawn.convergence,
        scale: drawn.scale,
    })
}

/// The latitude and longitude of a position on the UTM grid.
///
/// # Units
/// Metres in, geodetic degrees on WGS 84 out, longitude in (−180, 180].
///
/// # Degenerate input
/// A northing of the north that is over the equator's far side, or of the south that is across it, is beyond its limits.
///
/// # Errors
/// No such zone; an easting outside 0 to 1 000 000 m; a northing outside 0 to 9 500 000 m in the north or 1 000 000 to
/// 10 000 000 m in the south.
pub fn position(
    zone: u8,
    south: bool,
    easting_m: f64,
    northing_m: f64,
) -> Result<(f64, f64), Error> {
    let central_deg = central_deg(zone)?;
    let (lo, hi) = if south {
        (1_000_000.0, FALSE_NORTHING_M)
    } else {
        (0.0, 9_500_000.0)
    };
    within("easting", easting_m, 0.0, 1_000_000.0, " m")?;
    within("northing", northing_m, lo, hi, " m")?;
    Ok(projection(central_deg, south).inverse(easting_m, northing_m))
}

/// The longitude of a zone's central meridian, degrees.
fn central_deg(zone: u8) -> Result<f64, Error> {
    Ok(6.0 * within("zone", f64::from(zone), 1.0, 60.0, "")? - 183.0)
}

fn projection(central_deg: f64, south: bool) -> TransverseMercator {
    TransverseMercator::new(
        WGS_84_RADIUS_M,
        WGS_84_INVERSE_FLATTENING,
        [0.0, central_deg],
        UTM_SCALE,
        [FALSE_EASTING_M, if south { FALSE_NORTHING_M } else { 0.0 }],
    )
}

/// A position drawn on a grid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drawn {
    /// Eastward, metres.
    pub easting_m: f64,
    /// Northward, metres.
    pub northing_m: f64,
    /// From true north to grid north, east positive.
    pub convergence: Convergence,
    /// A length on the grid over the same length on the ellipsoid.
    pub scale: f64,
}

/// A transverse Mercator projection: what UTM and many national grids are made of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TransverseMercator {
    /// Eccentricity, and one less its square.
    eccentricity: f64,
    rest: f64,
    /// The radius of the sphere whose quarter meridian is as long as that of the ellipsoid, times the scale, metres.
    radius_m: f64,
    /// That radius over the equatorial one, times the scale.
    enlarged: f64,
    to: [f64; 6],
    from: [f64; 6],
    central_deg: f64,
    false_easting_m: f64,
    false_northing_m: f64,
}

/// A polynomial in the third flattening, from its least power.
fn series(n: f64, least: i32, terms: &[f64]) -> f64 {
    terms.iter().rev().fold(0.0, |sum, term| sum * n + term) * n.powi(least)
}

impl TransverseMercator {
    /// From the equatorial radius in metres and the inverse of the flattening (infinite for a sphere), the latitude and
    /// longitude of the origin in degrees, the scale on the central meridian, and the origin's easting and northing in metres.
    #[must_use]
    pub fn new(
        radius_m: f64,
        inverse_flattening: f64,
        [origin_deg, central_deg]: [f64; 2],
        scale: f64,
        [false_easting_m, false_northing_m]: [f64; 2],
    ) -> Self {
        let flattening = 1.0 / inverse_flattening;
        let eccentricity2 = flattening * (2.0 - flattening);
        let n = flattening / (2.0 - flattening);
        let n2 = n * n;
        let enlarged = scale * (1.0 + n2 / 4.0 + n2 * n2 / 64.0 + n2 * n2 * n2 / 256.0) / (1.0 + n);
        // Karney 2011, equations 35 and 36.
        let to = [
            series(
                n,
                1,
                &[
                    1.0 / 2.0,
                    -2.0 / 3.0,
                    5.0 / 16.0,
                    41.0 / 180.0,
                    -127.0 / 288.0,
                    7_891.0 / 37_800.0,
                ],
            ),
            series(
                n,
                2,
                &[
                    13.0 / 48.0,
                    -3.0 / 5.0,
                    557.0 / 1_440.0,
                    281.0 / 630.0,
                    -1_983_433.0 / 1_935_360.0,
                ],
            ),
            series(
                n,
                3,
                &[
                    61.0 / 240.0,
                    -103.0 / 140.0,
                    15_061.0 / 26_880.0,
                    167_603.0 / 181_440.0,
                ],
            ),
            series(
                n,
                4,
                &[
                    49_561.0 / 161_280.0,
                    -179.0 / 168.0,
                    6_601_661.0 / 7_257_600.0,
                ],
            ),
            series(n, 5, &[34_729.0 / 80_640.0, -3_418_889.0 / 1_995_840.0]),
            series(n, 6, &[212_378_941.0 / 319_334_400.0]),
        ];
        let from = [
            series(
                n,
                1,
                &[
                    1.0 / 2.0,
                    -2.0 / 3.0,
                    37.0 / 96.0,
                    -1.0 / 360.0,
                    -81.0 / 512.0,
                    96_199.0 / 604_800.0,
                ],
            ),
            series(
                n,
                2,
                &[
                    1.0 / 48.0,
                    1.0 / 15.0,
                    -437.0 / 1_440.0,
                    46.0 / 105.0,
                    -1_118_711.0 / 3_870_720.0,
                ],
            ),
            series(
                n,
                3,
                &[
                    17.0 / 480.0,
                    -37.0 / 840.0,
                    -209.0 / 4_480.0,
                    5_569.0 / 90_720.0,
                ],
            ),
            series(
                n,
                4,
                &[4_397.0 / 161_280.0, -11.0 / 504.0, -830_251.0 / 7_257_600.0],
            ),
            series(n, 5, &[4_583.0 / 161_280.0, -108_847.0 / 3_991_680.0]),
            series(n, 6, &[20_648_693.0 / 638_668_800.0]),
        ];
        let mut new = Self {
            eccentricity: eccentricity2.sqrt(),
            rest: 1.0 - eccentricity2,
            radius_m: enlarged * radius_m,
            enlarged,
            to,
            from,
            central_deg,
            false_easting_m,
            false_northing_m,
        };
        let origin = new.bend(new.conformal(radians(origin_deg).tan()).atan(), 0.0);
        new.false_northing_m -= new.radius_m * origin.xi;
        new
    }

    /// The tangent of the conformal latitude from that of the geodetic one.
    fn conformal(&self, tan: f64) -> f64 {
        let secant = 1.0_f64.hypot(tan);
        let sigma = (self.eccentricity * (self.eccentricity * tan / secant).atanh()).sinh();
        tan * 1.0_f64.hypot(sigma) - sigma * secant
    }

    /// The tangent of the geodetic latitude from that of the conformal one, by Newton's method.
    fn geodetic(&self, conformal: f64) -> f64 {
        let mut tan = conformal / self.rest;
        // Two rounds reach the last digit; more change nothing.
        for _ in 0..4 {
            let reached = self.conformal(tan);
            tan += (conformal - reached) / 1.0_f64.hypot(reached) * (1.0 + self.rest * tan * tan)
                / (self.rest * 1.0_f64.hypot(tan));
        }
        tan
    }

    /// From the spherical to the ellipsoidal projection, with the derivative.
    fn bend(&self, xi: f64, eta: f64) -> Bent {
        let mut bent = Bent {
            xi,
            eta,
            p: 1.0,
            q: 0.0,
        };
        for (twice_j, alpha) in (1..=6).map(|j| 2.0 * f64::from(j)).zip(self.to) {
            let (sin, cos) = (twice_j * xi).sin_cos();
            let (sinh, cosh) = ((twice_j * eta).sinh(), (twice_j * eta).cosh());
            bent.xi += alpha * sin * cosh;
            bent.eta += alpha * cos * sinh;
            bent.p += twice_j * alpha * cos * cosh;
            bent.q += twice_j * alpha * sin * sinh;
        }
        bent
    }

    /// A position on the grid.
    ///
    /// # Units
    /// Geodetic degrees on the projection's ellipsoid in, metres out.
    ///
    /// # Degenerate input
    /// At a pole convergence counts from the meridian of the longitude given.
    ///
    /// # Errors
    /// A coordinate beyond its limits, or a longitude over 30° from the central meridian, where the series ends.
    pub fn forward(&self, latitude_deg: f64, longitude_deg: f64) -> Result<Drawn, Error> {
        let latitude = radians(LATITUDE.check(latitude_deg)?);
        let off_deg = within(
            "longitude from the central meridian",
            turn_deg(self.central_deg, LONGITUDE.check(longitude_deg)?),
            -SERIES_REACH_DEG,
            SERIES_REACH_DEG,
            " degrees",
        )?;
        let (sin_off, cos_off) = radians(off_deg).sin_cos();
        let tan = latitude.tan();
        let conformal = self.conformal(tan);
        let across = conformal.hypot(cos_off);
        let bent = self.bend(conformal.atan2(cos_off), (sin_off / across).asinh());
        let sphere = (conformal * sin_off).atan2(cos_off * 1.0_f64.hypot(conformal));
        let eccentric = self.eccentricity * latitude.sin();
        let stretch = (1.0 - eccentric * eccentric).sqrt() * 1.0_f64.hypot(tan) / across;
        Ok(Drawn {
            easting_m: self.false_easting_m + self.radius_m * bent.eta,
            northing_m: self.false_northing_m + self.radius_m * bent.xi,
            convergence: Convergence::clamped(sphere + bent.q.atan2(bent.p)),
            scale: self.enlarged * stretch * bent.p.hypot(bent.q),
        })
    }

    /// The latitude and longitude of a position on the grid, degrees, longitude in (−180, 180].
    ///
    /// # Units
    /// Metres in, geodetic degrees on the projection's ellipsoid out.
    ///
    /// # Degenerate input
    /// Not a number gives not a number.
    #[must_use]
    pub fn inverse(&self, easting_m: f64, northing_m: f64) -> (f64, f64) {
        let xi = (northing_m - self.false_northing_m) / self.radius_m;
        let eta = (easting_m - self.false_easting_m) / self.radius_m;
        let (mut flat_xi, mut flat_eta) = (xi, eta);
        for (twice_j, beta) in (1..=6).map(|j| 2.0 * f64::from(j)).zip(self.from) {
            let (sin, cos) = (twice_j * xi).sin_cos();
            flat_xi -= beta * sin * (twice_j * eta).cosh();
            flat_eta -= beta * cos * (twice_j * eta).sinh();
        }
        let (sin, cos) = flat_xi.sin_cos();
        let conformal = sin / flat_eta.sinh().hypot(cos);
        let off = flat_eta.sinh().atan2(cos);
        (
            degrees(self.geodetic(conformal).atan()),
            turn_deg(0.0, self.central_deg + degrees(off)),
        )
    }
}

/// Coordinates on the unit ellipsoid's projection, with the derivative p + iq.
struct Bent {
    xi: f64,
    eta: f64,
    p: f64,
    q: f64,
}
