//! The textbook way to the same declination, to hold the geodesy against: Schmidt's functions by recursion in degree and order,
//! every sine of the longitude by itself, the coefficients scaled at each call. It shares nothing with `geodesy/magnetic` but the
//! file of coefficients.

use std::sync::OnceLock;

use hingeline::orientation::angle::{degrees, radians};

/// Degree and order of the model.
const DEGREE: usize = 12;

const FILE: &str = include_str!("../../../geodesy/magnetic/wmm2025.cof");

/// g, h, and their change in a year, by degree and order.
type Coefficients = [[[f64; 4]; DEGREE + 1]; DEGREE + 1];

fn coefficients() -> &'static Coefficients {
    static READ: OnceLock<Coefficients> = OnceLock::new();
    READ.get_or_init(|| {
        let mut table = [[[0.0; 4]; DEGREE + 1]; DEGREE + 1];
        for line in FILE.lines().skip(1) {
            let numbers: Vec<f64> = line
                .split_whitespace()
                .filter_map(|word| word.parse().ok())
                .collect();
            if let [n, m, g, h, dg, dh] = numbers.as_slice()
                && let Some(at) = (0..=DEGREE)
                    .flat_map(|degree| (0..=degree).map(move |order| (degree, order)))
                    .find(|(degree, order)| [*degree as f64, *order as f64] == [*n, *m])
            {
                table[at.0][at.1] = [*g, *h, *dg, *dh];
            }
        }
        table
    })
}

/// Declination, degrees, at geodetic degrees on WGS 84 and a height in metres; away from the poles.
pub(crate) fn declination_deg(
    latitude_deg: f64,
    longitude_deg: f64,
    height_m: f64,
    year: f64,
) -> f64 {
    let table = coefficients();
    let (latitude, longitude) = (radians(latitude_deg), radians(longitude_deg));
    let flattening = 1.0 / 298.257_223_563;
    let eccentricity2 = flattening * (2.0 - flattening);
    let across = 6_378_137.0 / (1.0 - eccentricity2 * latitude.sin().powi(2)).sqrt();
    let out = (across + height_m) * latitude.cos();
    let up = (across * (1.0 - eccentricity2) + height_m) * latitude.sin();
    let radius = out.hypot(up);
    let geocentric = (up / radius).asin();
    let (x, z) = (geocentric.sin(), geocentric.cos());

    // Schmidt's functions and their slope against the latitude.
    let mut p = [[0.0; DEGREE + 1]; DEGREE + 1];
    let mut slope = [[0.0; DEGREE + 1]; DEGREE + 1];
    p[0][0] = 1.0;
    for n in 1..=DEGREE {
        for m in 0..=n {
            let (nf, mf) = (n as f64, m as f64);
            if n == m {
                let factor = if n == 1 {
                    1.0
                } else {
                    (1.0 - 1.0 / (2.0 * nf)).sqrt()
                };
                p[n][n] = factor * z * p[n - 1][n - 1];
                slope[n][n] = factor * (z * slope[n - 1][n - 1] - x * p[n - 1][n - 1]);
            } else {
                let root = (nf * nf - mf * mf).sqrt();
                let before = if n >= 2 {
                    ((nf - 1.0).powi(2) - mf * mf).max(0.0).sqrt()
                } else {
                    0.0
                };
                let (p2, slope2) = if n >= 2 {
                    (p[n - 2][m], slope[n - 2][m])
                } else {
                    (0.0, 0.0)
                };
                p[n][m] = ((2.0 * nf - 1.0) * x * p[n - 1][m] - before * p2) / root;
                slope[n][m] = ((2.0 * nf - 1.0) * (z * p[n - 1][m] + x * slope[n - 1][m])
                    - before * slope2)
                    / root;
            }
        }
    }
    let (mut north, mut east, mut down) = (0.0, 0.0, 0.0);
    for n in 1..=DEGREE {
        let reach = (6_371_200.0 / radius).powi(i32::try_from(n).unwrap_or(0) + 2);
        for m in 0..=n {
            let [g, h, dg, dh] = table[n][m];
            let (g, h) = (g + (year - 2025.0) * dg, h + (year - 2025.0) * dh);
            let (sin, cos) = (m as f64 * longitude).sin_cos();
            let along = g * cos + h * sin;
            north -= reach * along * slope[n][m];
            east += reach * m as f64 * (g * sin - h * cos) * p[n][m] / z;
            down -= reach * (n as f64 + 1.0) * along * p[n][m];
        }
    }
    let tilt = geocentric - latitude;
    let north = north * tilt.cos() - down * tilt.sin();
    degrees(east.atan2(north))
}

#[cfg(test)]
mod tests {
    use super::*;
    use hingeline::geodesy::magnetic::{DecimalYear, field};

    /// Two ways to one number, which share the coefficients alone.
    #[test]
    fn the_plain_way_comes_to_the_same_declination() {
        let when = DecimalYear::from_text("2027.5").unwrap();
        for (latitude, longitude, height) in [
            (80.0, 0.0, 0.0),
            (63.6, -19.6, 500.0),
            (-33.9, 18.4, 0.0),
            (0.0, 120.0, 100_000.0),
            (47.0, 200.0, 3000.0),
        ] {
            let ours = field(latitude, longitude, height, when).unwrap();
            let plain = declination_deg(latitude, longitude, height, 2027.5);
            assert!(
                (ours.declination.deg() - plain).abs() < 1e-6,
                "{latitude} {longitude}: {} {plain}",
                ours.declination.deg()
            );
        }
    }
}
