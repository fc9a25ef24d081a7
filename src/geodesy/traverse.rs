//! A compass traverse: what its legs add up to, by how much it does not close, and the compass rule.
//!
//! The compass rule (Bowditch's) gives each leg a share of the closure in proportion to its length: right where bearings and
//! distances err alike, which is common practice for compass and tape.

use crate::orientation::Azimuth;

use super::error::{Error, Kind, within};

/// The longest leg that is taken, metres.
const LONGEST_M: f64 = 1_000_000.0;

/// One leg: all bearings of a traverse count from the same north.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Leg {
    /// From its beginning to its end.
    pub bearing: Azimuth,
    /// Horizontally, metres.
    pub level_m: f64,
}

/// A leg as it goes north and east.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Course {
    /// Northward, metres: the latitude of the leg, in the surveyor's sense.
    pub latitude_m: f64,
    /// Eastward, metres: its departure.
    pub departure_m: f64,
}

impl Course {
    /// Its length, metres.
    #[must_use]
    pub fn length_m(&self) -> f64 {
        self.latitude_m.hypot(self.departure_m)
    }

    /// Its bearing, counted from the traverse's north; north where the course is nil.
    #[must_use]
    pub fn bearing(&self) -> Azimuth {
        Azimuth::wrapped(self.departure_m.atan2(self.latitude_m))
    }
}

/// A leg as measured and as adjusted, and where the adjusted one ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Adjusted {
    /// As measured.
    pub measured: Course,
    /// With its share of the closure taken off.
    pub course: Course,
    /// North of the origin, metres: the end of the adjusted leg.
    pub north_m: f64,
    /// East of the origin, metres: the end of the adjusted leg.
    pub east_m: f64,
}

/// A traverse with its closure distributed.
#[derive(Clone, Debug, PartialEq)]
pub struct Traverse {
    /// Leg by leg.
    pub legs: Vec<Adjusted>,
    /// The sum of the lengths, metres.
    pub length_m: f64,
    /// How much too far north the measured legs end, metres.
    pub closure_north_m: f64,
    /// How much too far east the measured legs end, metres.
    pub closure_east_m: f64,
}

impl Traverse {
    /// The distance by which the traverse does not close, metres.
    #[must_use]
    pub fn closure_m(&self) -> f64 {
        self.closure_north_m.hypot(self.closure_east_m)
    }

    /// The precision 1 in so many: the length over the closure; `None` where it closes exactly.
    #[must_use]
    pub fn one_in(&self) -> Option<f64> {
        let closure_m = self.closure_m();
        (closure_m > 0.0).then(|| self.length_m / closure_m)
    }
}

/// Adjusts a traverse from one known point to another, or back to the same one, by the compass rule.
///
/// # Units
/// Metres north and east.
///
/// # Degenerate input
/// One leg takes the whole closure. A leg of nil length gets none of it. A traverse that closes exactly is not changed.
///
/// # Errors
/// No legs, or none with a length; a leg below 0 or over 1000 km; not a number.
pub fn adjust(legs: &[Leg], start_m: [f64; 2], end_m: [f64; 2]) -> Result<Traverse, Error> {
    let mut courses = Vec::with_capacity(legs.len());
    let mut length_m = 0.0;
    let [mut north_m, mut east_m] = start_m;
    for leg in legs {
        let level_m = within("length of a leg", leg.level_m, 0.0, LONGEST_M, " m")?;
        let (sin, cos) = leg.bearing.rad().sin_cos();
        let course = Course {
            latitude_m: level_m * cos,
            departure_m: level_m * sin,
        };
        north_m += course.latitude_m;
        east_m += course.departure_m;
        length_m += level_m;
        courses.push((course, level_m));
    }
    if length_m == 0.0 {
        return Err(Kind::NoLegs.into());
    }
    let (closure_north_m, closure_east_m) = (north_m - end_m[0], east_m - end_m[1]);
    for (name, value) in [
        ("closure north", closure_north_m),
        ("closure east", closure_east_m),
    ] {
        within(name, value, f64::MIN, f64::MAX, " m")?;
    }
    let [mut north_m, mut east_m] = start_m;
    let legs = courses
        .into_iter()
        .map(|(measured, level_m)| {
            let share = level_m / length_m;
            let course = Course {
                latitude_m: measured.latitude_m - share * closure_north_m,
                departure_m: measured.departure_m - share * closure_east_m,
            };
            north_m += course.latitude_m;
            east_m += course.departure_m;
            Adjusted {
                measured,
                course,
                north_m,
                east_m,
            }
        })
        .collect();
    Ok(Traverse {
        legs,
        length_m,
        closure_north_m,
        closure_east_m,
    })
}
