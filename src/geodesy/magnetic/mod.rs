//! Declination and the rest of the main magnetic field, from the World Magnetic Model 2025.
//!
//! Our own code, after the published technique: declination is close to what the book is for, its validity, zones and
//! uncertainty have to be part of every answer, and one sum over fixed tables gives the field and its change together.
//!
//! The model knows the field of the core at long wavelengths only. Rocks, iron and power lines near the compass add what
//! no model knows; the standard deviation includes the average of the Earth's crust, not a magnetite layer underfoot.
//!
//! # References
//! NOAA NCEI and British Geological Survey, 2024, The US/UK World Magnetic Model for 2025–2030: technical report (technique,
//! error model in section 3, test values); MIL-PRF-89500B (decimal year, warning zones).

use crate::geodesy::error::{Error, Kind, LATITUDE, LONGITUDE, within};
use crate::orientation::Declination;
use crate::orientation::angle::{degrees, radians};

mod year;

pub use year::DecimalYear;

mod model;

/// The name of the model.
pub const MODEL: &str = "WMM2025";

/// The first day of the model.
pub const VALID_FROM: &str = "2025-01-01";

/// The last day of the model.
///
/// The model is valid for 2025.0–2030.0 (NOAA NCEI, product page of the model), and 2030.0 is the midnight that ends this day.
pub const VALID_UNTIL: &str = "2029-12-31";

/// The decimal year in which the model begins.
pub const VALID_FROM_YEAR: f64 = 2025.0;

/// The decimal year at which the model ends: the midnight after its last day.
pub const VALID_UNTIL_YEAR: f64 = 2030.0;

/// The lowest height above the ellipsoid that the model is made for, metres (technical report; from memory).
pub const LOWEST_M: f64 = -1_000.0;

/// The greatest height above the ellipsoid that the model is made for, metres (technical report; from memory).
pub const HIGHEST_M: f64 = 850_000.0;

/// Standard deviations of the model against a compass that is read near the ground, the same everywhere; that of the
/// declination depends on the horizontal field and is part of [`Field`].
///
/// # References
/// WMM2025 technical report, section 3 (error model).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread {
    /// The north component, nT.
    pub north_nt: f64,
    /// The east component, nT.
    pub east_nt: f64,
    /// The downward component, nT.
    pub down_nt: f64,
    /// The horizontal component, nT.
    pub horizontal_nt: f64,
    /// The whole field, nT.
    pub total_nt: f64,
    /// Inclination, degrees.
    pub inclination_deg: f64,
}

/// The standard deviations of WMM2025.
pub const SPREAD: Spread = Spread {
    north_nt: 137.0,
    east_nt: 89.0,
    down_nt: 141.0,
    horizontal_nt: 133.0,
    total_nt: 138.0,
    inclination_deg: 0.20,
};

/// The standard deviation of declination where the horizontal field is strong, degrees (error model, as above).
const DECLINATION_FLOOR_DEG: f64 = 0.26;

/// What a weak horizontal field adds to it: so many degrees × nT over the horizontal field (error model, as above).
const DECLINATION_WEAKNESS_DEG_NT: f64 = 5_417.0;

/// How far a compass can be trusted, by the strength of the horizontal field that turns it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Zone {
    /// At least 6000 nT: no warning.
    None,
    /// From 2000 nT to less than 6000 nT: a compass may be wrong by much.
    Caution,
    /// Less than 2000 nT, around a magnetic pole: a compass shows nothing.
    Blackout,
}

impl Zone {
    /// The zone of a horizontal field, nT.
    ///
    /// # Degenerate input
    /// Not a number counts as blackout.
    ///
    /// # References
    /// MIL-PRF-89500B: blackout where the horizontal field is below 2000 nT, caution from 2000 nT to below 6000 nT.
    #[must_use]
    pub fn of(horizontal_nt: f64) -> Self {
        if horizontal_nt >= 6_000.0 {
            Self::None
        } else if horizontal_nt >= 2_000.0 {
            Self::Caution
        } else {
            Self::Blackout
        }
    }

    /// The word for it: `none`, `caution`, `blackout`.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::None => "none",
            Self::Caution => "caution",
            Self::Blackout => "blackout",
        }
    }
}

/// By how much the field changes in a year.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Annual {
    /// Declination, degrees a year, east positive.
    pub declination_deg: f64,
    /// Inclination, degrees a year, down positive.
    pub inclination_deg: f64,
    /// The horizontal component, nT a year.
    pub horizontal_nt: f64,
    /// The north component, nT a year.
    pub north_nt: f64,
    /// The east component, nT a year.
    pub east_nt: f64,
    /// The downward component, nT a year.
    pub down_nt: f64,
    /// The whole field, nT a year.
    pub total_nt: f64,
}

/// The magnetic field of one place and day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Field {
    /// From true north to magnetic north, east positive.
    pub declination: Declination,
    /// Below the horizontal, degrees; north of the magnetic equator positive.
    pub inclination_deg: f64,
    /// The horizontal component, nT: what turns a needle.
    pub horizontal_nt: f64,
    /// The component towards true north, nT.
    pub north_nt: f64,
    /// The component towards true east, nT.
    pub east_nt: f64,
    /// The component downwards, nT.
    pub down_nt: f64,
    /// The whole field, nT.
    pub total_nt: f64,
    /// By how much each of these changes in a year.
    pub annual: Annual,
    /// The standard deviation of the declination, degrees, 180 at most; beyond the model's years it is more than this, and
    /// how much more is not known.
    pub declination_sd_deg: f64,
    /// How far a compass can be trusted here.
    pub zone: Zone,
    /// Whether the date is outside the model's years, so that the figure is drawn out beyond what the model is made for.
    pub out_of_date: bool,
}

/// The magnetic field at a place on a date within the model's years.
///
/// # Units
/// Geodetic degrees on WGS 84, north and east positive, longitude either −180 to 180 or 0 to 360; height above the
/// ellipsoid in metres. A height above the sea does as well: the two differ by 110 m at most, and 1000 m of height change
/// the declination by less than its uncertainty anywhere outside the blackout zone.
///
/// # Degenerate input
/// At a geographic pole every direction is the other one: declination counts from the meridian of the longitude given, which
/// is the limit along that meridian. Where the horizontal field is nil, declination and its change are 0 and its
/// standard deviation 180.
///
/// # Errors
/// A date outside the model's years ([`Error::is_out_of_date`]; [`field_beyond`] computes it all the same), or a
/// coordinate or height beyond its limits.
///
/// # Examples
/// ```
/// use hingeline::geodesy::magnetic::{DecimalYear, Zone, field};
/// // A row of the table of test values in the technical report: 80° N 0° E, on the ellipsoid, 2027.5.
/// let there = field(80.0, 0.0, 0.0, DecimalYear::from_text("2027.5")?)?;
/// assert_eq!(format!("{:.2}", there.declination.deg()), "2.59");
/// assert_eq!(there.zone, Zone::None);
/// # Ok::<(), hingeline::geodesy::Error>(())
/// ```
pub fn field(
    latitude_deg: f64,
    longitude_deg: f64,
    height_m: f64,
    when: DecimalYear,
) -> Result<Field, Error> {
    if when.is_out_of_date() {
        return Err(Kind::OutOfDate { year: when.year() }.into());
    }
    field_beyond(latitude_deg, longitude_deg, height_m, when)
}

/// The same on any date; [`Field::out_of_date`] says when the date is outside the model's years.
///
/// # Units
/// As [`field`].
///
/// # Degenerate input
/// As [`field`]. Beyond the model's years the change of its five years is drawn out in a straight line.
///
/// # Errors
/// A coordinate or height beyond its limits.
pub fn field_beyond(
    latitude_deg: f64,
    longitude_deg: f64,
    height_m: f64,
    when: DecimalYear,
) -> Result<Field, Error> {
    let latitude = radians(LATITUDE.check(latitude_deg)?);
    let longitude = radians(LONGITUDE.check(longitude_deg)?);
    let height_m = within("height", height_m, LOWEST_M, HIGHEST_M, " m")?;
    let [base, rate] = model::sum(latitude, longitude, height_m);
    let years = when.year() - VALID_FROM_YEAR;
    let at = |i: usize| base[i] + years * rate[i];
    Ok(Field::new(
        [at(0), at(1), at(2)],
        rate,
        when.is_out_of_date(),
    ))
}

impl Field {
    /// From the components north, east and down, and their change in a year.
    fn new([x, y, z]: [f64; 3], [dx, dy, dz]: [f64; 3], out_of_date: bool) -> Self {
        let horizontal2 = x * x + y * y;
        let total2 = horizontal2 + z * z;
        let (h, f) = (horizontal2.sqrt(), total2.sqrt());
        let over = |a: f64, b: f64| if b > 0.0 { a / b } else { 0.0 };
        let dh = over(x * dx + y * dy, h);
        Self {
            declination: Declination::clamped(y.atan2(x)),
            inclination_deg: degrees(z.atan2(h)),
            horizontal_nt: h,
            north_nt: x,
            east_nt: y,
            down_nt: z,
            total_nt: f,
            annual: Annual {
                declination_deg: degrees(over(x * dy - y * dx, horizontal2)),
                inclination_deg: degrees(over(h * dz - z * dh, total2)),
                horizontal_nt: dh,
                north_nt: dx,
                east_nt: dy,
                down_nt: dz,
                total_nt: over(x * dx + y * dy + z * dz, f),
            },
            declination_sd_deg: declination_sd_deg(h),
            zone: Zone::of(h),
            out_of_date,
        }
    }
}

/// The standard deviation of the model's declination where the horizontal field is so strong, degrees.
///
/// # Units
/// nT in, degrees out.
///
/// # Degenerate input
/// 180 at most, which is what a field of nil gives.
///
/// # References
/// WMM2025 technical report, section 3: √(0.26² + (5417/H)²).
#[must_use]
pub fn declination_sd_deg(horizontal_nt: f64) -> f64 {
    let weakness_deg = DECLINATION_WEAKNESS_DEG_NT / horizontal_nt;
    (DECLINATION_FLOOR_DEG * DECLINATION_FLOOR_DEG + weakness_deg * weakness_deg)
        .sqrt()
        .min(180.0)
}
