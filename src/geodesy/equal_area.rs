//! The equal-area azimuthal projection of an ellipsoid, for areas on a sheet: the net's own projection, drawn of the Earth.
//!
//! # References
//! J. P. Snyder, 1987, Map projections: a working manual, USGS Professional Paper 1395, equations 3-11 to 3-16 and 24-2 to 24-20.

use crate::orientation::angle::{degrees, radians, turn_deg};

use super::error::{Error, LATITUDE, LONGITUDE, within};

/// How near to a pole the middle may lie, degrees: there the oblique equations lose their digits.
const MIDDLE_DEG: f64 = 89.9;

/// How far from the middle a place may lie, degrees: the place opposite is a whole circle.
const REACH_DEG: f64 = 179.9;

/// The projection about a middle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EqualArea {
    eccentricity: f64,
    /// The radius of the sphere of the same area.
    authalic_m: f64,
    /// Of the middle: sine and cosine of its authalic latitude.
    middle: (f64, f64),
    central_deg: f64,
    /// What makes the middle true to scale both ways.
    stretch: f64,
}

impl EqualArea {
    /// The projection of an ellipsoid (equatorial radius and inverse flattening) about a middle (latitude and longitude).
    ///
    /// # Units
    /// Metres and geodetic degrees.
    ///
    /// # Degenerate input
    /// An infinite inverse flattening is a sphere.
    ///
    /// # Errors
    /// A middle beyond its limits, or nearer to a pole than a tenth of a degree.
    pub fn new(radius_m: f64, inverse_flattening: f64, middle: [f64; 2]) -> Result<Self, Error> {
        let latitude_deg = within(
            "latitude of the middle",
            middle[0],
            -MIDDLE_DEG,
            MIDDLE_DEG,
            " degrees",
        )?;
        let flattening = inverse_flattening.recip();
        let squared = flattening * (2.0 - flattening);
        let eccentricity = squared.sqrt();
        let authalic_m = radius_m * (zone(eccentricity, 1.0) / 2.0).sqrt();
        let (sin, cos) = radians(latitude_deg).sin_cos();
        let middle_sin = zone(eccentricity, sin) / zone(eccentricity, 1.0);
        let middle_cos = (1.0 - middle_sin * middle_sin).max(0.0).sqrt();
        let parallel = cos / (1.0 - squared * sin * sin).sqrt();
        Ok(Self {
            eccentricity,
            authalic_m,
            middle: (middle_sin, middle_cos),
            central_deg: LONGITUDE.check(middle[1])?,
            stretch: radius_m * parallel / (authalic_m * middle_cos),
        })
    }

    /// A place east and north of the middle, metres.
    ///
    /// # Units
    /// Geodetic degrees on the projection's ellipsoid in, metres out.
    ///
    /// # Errors
    /// A coordinate beyond its limits, or a place within a tenth of a degree of the one opposite to the middle.
    pub fn forward(&self, latitude_deg: f64, longitude_deg: f64) -> Result<(f64, f64), Error> {
        let latitude = radians(LATITUDE.check(latitude_deg)?);
        let off_deg = turn_deg(self.central_deg, LONGITUDE.check(longitude_deg)?);
        let (sin_off, cos_off) = radians(off_deg).sin_cos();
        let sin = zone(self.eccentricity, latitude.sin()) / zone(self.eccentricity, 1.0);
        let cos = (1.0 - sin * sin).max(0.0).sqrt();
        let (middle_sin, middle_cos) = self.middle;
        let nearness = middle_sin * sin + middle_cos * cos * cos_off;
        within(
            "angle from the middle",
            degrees(nearness.clamp(-1.0, 1.0).acos()),
            0.0,
            REACH_DEG,
            " degrees",
        )?;
        let scale = self.authalic_m * (2.0 / (1.0 + nearness)).sqrt();
        Ok((
            scale * self.stretch * cos * sin_off,
            scale / self.stretch * (middle_cos * sin - middle_sin * cos * cos_off),
        ))
    }
}

/// Snyder's q: the area from the equator to a latitude of this sine, in radii squared and turns of 2π.
fn zone(eccentricity: f64, sin: f64) -> f64 {
    if eccentricity < 1e-9 {
        return 2.0 * sin;
    }
    let bent = eccentricity * sin;
    (1.0 - eccentricity * eccentricity) * (sin / (1.0 - bent * bent) + bent.atanh() / eccentricity)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// WGS 84 (NIMA TR8350.2, 3rd edition 2000, table 3.1).
    const WGS_84: (f64, f64) = (6_378_137.0, 298.257_223_563);

    fn about(middle: [f64; 2]) -> EqualArea {
        EqualArea::new(WGS_84.0, WGS_84.1, middle).unwrap()
    }

    #[test]
    fn the_middle_is_the_origin_and_true_to_scale() {
        for middle in [[52.0, -3.5], [-33.0, 179.9], [0.0, 10.0]] {
            let sheet = about(middle);
            let (east, north) = sheet.forward(middle[0], middle[1]).unwrap();
            assert!(east.abs() < 1e-6 && north.abs() < 1e-6);
            // A thousandth of a degree of the meridian: its radius of curvature there (Snyder 1987, equation 4-18).
            let squared = (2.0 - 1.0 / WGS_84.1) / WGS_84.1;
            let bent = 1.0 - squared * radians(middle[0]).sin().powi(2);
            let meridian = WGS_84.0 * (1.0 - squared) / bent.powf(1.5) * radians(1e-3);
            let (east, north) = sheet.forward(middle[0] + 1e-3, middle[1]).unwrap();
            assert!(
                east.abs() < 1e-6 && (north - meridian).abs() < 2e-3,
                "{north} {meridian}"
            );
        }
    }

    /// A quadrangle of a degree has the area of the ellipsoid's zone, wherever it lies on the sheet.
    #[test]
    fn areas_hold() {
        let sheet = about([40.0, -100.0]);
        for (south, west) in [(40.0, -100.0), (10.0, -150.0), (-30.0, -60.0)] {
            let steps = 40;
            let along = |from: (f64, f64), to: (f64, f64)| {
                (0..steps).map(move |i| {
                    let share = f64::from(i) / f64::from(steps);
                    (
                        from.0 + (to.0 - from.0) * share,
                        from.1 + (to.1 - from.1) * share,
                    )
                })
            };
            let corners = [
                (south, west),
                (south, west + 1.0),
                (south + 1.0, west + 1.0),
                (south + 1.0, west),
            ];
            let rim: Vec<(f64, f64)> = (0..4)
                .flat_map(|i| along(corners[i], corners[(i + 1) % 4]))
                .map(|(latitude, longitude)| sheet.forward(latitude, longitude).unwrap())
                .collect();
            let area: f64 = (0..rim.len())
                .map(|i| {
                    let (a, b) = (rim[i], rim[(i + 1) % rim.len()]);
                    (a.0 * b.1 - b.0 * a.1) / 2.0
                })
                .sum();
            let squared = (2.0 - 1.0 / WGS_84.1) / WGS_84.1;
            let to = |latitude: f64| zone(squared.sqrt(), radians(latitude).sin());
            let want = WGS_84.0.powi(2) / 2.0 * radians(1.0) * (to(south + 1.0) - to(south));
            assert!((area / want - 1.0).abs() < 1e-5, "{area} {want}");
        }
    }

    #[test]
    fn a_sphere_is_no_exception_and_what_is_opposite_is_refused() {
        let sphere = EqualArea::new(1.0, f64::INFINITY, [0.0, 0.0]).unwrap();
        let (east, north) = sphere.forward(0.0, 90.0).unwrap();
        assert!((east - 2.0_f64.sqrt()).abs() < 1e-12 && north.abs() < 1e-12);
        let refused = sphere.forward(0.0, 180.0).unwrap_err();
        assert!(refused.is_out_of_range(), "{refused}");
        assert!(EqualArea::new(1.0, f64::INFINITY, [90.0, 0.0]).is_err());
        assert!(sphere.forward(91.0, 0.0).is_err());
    }
}
