//! Angles: azimuth, dip, plunge, rake, and bearings typed by the north they were read against.
//!
//! Radians inside, degrees at every edge. No other file of the package converts one into the other.

use std::f64::consts::{PI, TAU};
use std::fmt;
use std::marker::PhantomData;
use std::ops::RangeInclusive;

/// Radians from degrees; not a number stays so.
#[must_use]
#[allow(clippy::disallowed_methods)] // the one file that converts units
pub fn radians(deg: f64) -> f64 {
    deg.to_radians()
}

/// Degrees from radians; not a number stays so.
#[must_use]
#[allow(clippy::disallowed_methods)] // the one file that converts units
pub fn degrees(rad: f64) -> f64 {
    rad.to_degrees()
}

/// Degrees rounded to 1e-10, so that a number that was typed comes back as it was typed.
///
/// 1e-10 of a degree is a hundredth of a millimetre on the Earth's surface, and far above what a conversion to
/// radians and back can lose.
fn tidy_deg(rad: f64) -> f64 {
    let tidy = (degrees(rad) * 1e10).round() / 1e10;
    if tidy == 0.0 { 0.0 } else { tidy }
}

/// Brings any finite number of degrees into [0, 360); not a number stays so.
#[must_use]
pub fn wrap_deg(deg: f64) -> f64 {
    let wrapped = deg.rem_euclid(360.0);
    if wrapped >= 360.0 { 0.0 } else { wrapped }
}

/// The shorter way round from one azimuth to another, clockwise positive, in (−180, 180].
#[must_use]
pub fn turn_deg(from_deg: f64, to_deg: f64) -> f64 {
    let turn = wrap_deg(to_deg - from_deg);
    if turn > 180.0 { turn - 360.0 } else { turn }
}

/// What a kind of angle may be: the one definition behind its check, its message and its test generator.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bound {
    /// The word of the trade.
    pub name: &'static str,
    /// The least value, degrees.
    pub lo_deg: f64,
    /// The greatest value, degrees.
    pub hi_deg: f64,
    /// What to do about a value beyond the limit; `{}` stands for the value in three digits.
    pub way_out: &'static str,
}

impl Bound {
    /// An azimuth; 360 is the same as 0.
    pub const AZIMUTH: Self = Self {
        name: "azimuth",
        lo_deg: 0.0,
        hi_deg: 360.0,
        way_out: "count it clockwise from north, 000 to 360",
    };
    /// A dip.
    pub const DIP: Self = Self {
        name: "dip",
        lo_deg: 0.0,
        hi_deg: 90.0,
        way_out: "a dip direction of {} goes in the other field",
    };
    /// A plunge; below zero the line points up.
    pub const PLUNGE: Self = Self {
        name: "plunge",
        lo_deg: -90.0,
        hi_deg: 90.0,
        way_out: "a trend of {} goes in the other field",
    };
    /// A rake from the right-hand strike end.
    pub const RAKE: Self = Self {
        name: "rake",
        lo_deg: 0.0,
        hi_deg: 180.0,
        way_out: "count it from the right-hand strike end, 000 to 180",
    };
    /// An angle between two things.
    pub const ANGLE: Self = Self {
        name: "angle",
        lo_deg: 0.0,
        hi_deg: 180.0,
        way_out: "take the smaller angle, 000 to 180",
    };
    /// A rake of slip, from the right-hand strike end, up positive.
    pub const SLIP_RAKE: Self = Self {
        name: "rake of slip",
        lo_deg: -180.0,
        hi_deg: 180.0,
        way_out: "count it from the right-hand strike end, -180 to 180",
    };
    /// A turn about an axis.
    pub const TURN: Self = Self {
        name: "turn",
        lo_deg: -360.0,
        hi_deg: 360.0,
        way_out: "leave out the whole turns",
    };
    /// Declination, east positive.
    pub const DECLINATION: Self = Self {
        name: "declination",
        lo_deg: -180.0,
        hi_deg: 180.0,
        way_out: "east is positive, west negative",
    };
    /// Grid convergence, east positive.
    pub const CONVERGENCE: Self = Self {
        name: "grid convergence",
        lo_deg: -180.0,
        hi_deg: 180.0,
        way_out: "east is positive, west negative",
    };

    /// The same value if it is within the limits, both included.
    ///
    /// # Errors
    /// A value beyond a limit, or not a number.
    pub fn check(&'static self, value_deg: f64) -> Result<f64, Error> {
        if self.holds(value_deg) {
            Ok(value_deg)
        } else {
            Err(Error {
                bound: self,
                value_deg,
            })
        }
    }

    /// Whether the value is within the limits, both included; not a number is not.
    #[must_use]
    pub fn holds(&self, value_deg: f64) -> bool {
        self.lo_deg <= value_deg && value_deg <= self.hi_deg
    }

    /// All values within the limits: a property test draws from this.
    #[must_use]
    pub fn range_deg(&self) -> RangeInclusive<f64> {
        self.lo_deg..=self.hi_deg
    }
}

/// An angle that is beyond its limit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Error {
    bound: &'static Bound,
    value_deg: f64,
}

impl Error {
    /// The limit it is beyond.
    #[must_use]
    pub fn bound(&self) -> &'static Bound {
        self.bound
    }

    /// The value, degrees.
    #[must_use]
    pub fn value_deg(&self) -> f64 {
        self.value_deg
    }

    /// Whether it is over the upper limit.
    #[must_use]
    pub fn is_over(&self) -> bool {
        self.value_deg > self.bound.hi_deg
    }

    /// Whether it is under the lower limit.
    #[must_use]
    pub fn is_under(&self) -> bool {
        self.value_deg < self.bound.lo_deg
    }
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Bound {
            name,
            lo_deg,
            hi_deg,
            way_out,
        } = self.bound;
        let value = self.value_deg;
        if self.is_over() {
            let shown = way_out.replace("{}", &padded(value, 3));
            write!(f, "{name} `{value}` is over {hi_deg}; {shown}")
        } else if self.is_under() && *lo_deg == 0.0 {
            write!(
                f,
                "{name} `{value}` is below 0; write it without a sign, up to {hi_deg}"
            )
        } else if self.is_under() {
            write!(
                f,
                "{name} `{value}` is below {lo_deg}; the limits are {lo_deg} and {hi_deg}"
            )
        } else {
            write!(
                f,
                "{name} `{value}` is not a number; give degrees from {lo_deg} to {hi_deg}"
            )
        }
    }
}

impl std::error::Error for Error {}

/// The number with leading zeros to so many digits before the point, and its decimals, if any, after it, to 1e-10.
pub(crate) fn padded(value_deg: f64, digits: usize) -> String {
    let value_deg = (value_deg * 1e10).round() / 1e10;
    let magnitude = format!("{}", value_deg.abs());
    let whole = magnitude.find('.').unwrap_or(magnitude.len());
    let sign = if value_deg < 0.0 { "-" } else { "" };
    format!(
        "{sign}{}{magnitude}",
        "0".repeat(digits.saturating_sub(whole))
    )
}

/// Clockwise from north, [0°, 360°).
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Azimuth(f64);

impl Azimuth {
    /// 000.
    pub const NORTH: Self = Self(0.0);

    /// From degrees, 0 to 360; 360 counts as 0.
    ///
    /// # Errors
    /// Below 0, over 360, or not a number.
    pub fn from_deg(deg: f64) -> Result<Self, Error> {
        Ok(Self(radians(wrap_deg(Bound::AZIMUTH.check(deg)?))))
    }

    /// From any finite number of degrees, whole turns taken off.
    ///
    /// # Errors
    /// Not a finite number.
    pub fn wrapped_deg(deg: f64) -> Result<Self, Error> {
        Self::from_deg(wrap_deg(deg))
    }

    /// From radians, whole turns taken off; the caller knows that they are finite.
    pub(crate) fn wrapped(rad: f64) -> Self {
        let wrapped = rad.rem_euclid(TAU);
        Self(if wrapped >= TAU { 0.0 } else { wrapped })
    }

    /// Degrees, [0, 360), rounded to 1e-10.
    #[must_use]
    pub fn deg(self) -> f64 {
        wrap_deg(tidy_deg(self.0))
    }

    /// Radians, [0, 2π).
    #[must_use]
    pub fn rad(self) -> f64 {
        self.0
    }

    /// A quarter turn clockwise.
    #[must_use]
    pub fn right(self) -> Self {
        Self::wrapped(self.0 + PI / 2.0)
    }

    /// A quarter turn counter-clockwise.
    #[must_use]
    pub fn left(self) -> Self {
        Self::wrapped(self.0 - PI / 2.0)
    }

    /// The other way.
    #[must_use]
    pub fn opposite(self) -> Self {
        Self::wrapped(self.0 + PI)
    }

    /// Turned clockwise; a turn below zero goes counter-clockwise.
    #[must_use]
    pub fn turned(self, turn: Turn) -> Self {
        Self::wrapped(self.0 + turn.0)
    }

    /// The smaller angle to another azimuth, [0°, 180°].
    #[must_use]
    pub fn angle(self, other: Self) -> Angle {
        let apart = (self.0 - other.0).abs();
        Angle(apart.min(TAU - apart))
    }

    /// The smaller angle to the line through another azimuth and its opposite, [0°, 90°].
    #[must_use]
    pub fn angle_to_axis(self, other: Self) -> Angle {
        let apart = self.angle(other).0;
        Angle(apart.min(PI - apart))
    }
}

macro_rules! angle {
    ($(#[$doc:meta])* $name:ident, $bound:ident) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
        pub struct $name(f64);

        impl $name {
            /// From degrees, within its bound.
            ///
            /// # Errors
            /// Beyond a limit of its bound, or not a number.
            pub fn from_deg(deg: f64) -> Result<Self, Error> {
                Ok(Self(radians(Bound::$bound.check(deg)?)))
            }

            /// From radians, clamped to its bound; the caller knows that they are finite.
            #[allow(dead_code)] // not every kind of angle is computed
            pub(crate) fn clamped(rad: f64) -> Self {
                Self(rad.clamp(radians(Bound::$bound.lo_deg), radians(Bound::$bound.hi_deg)))
            }

            /// Degrees, rounded to 1e-10.
            #[must_use]
            pub fn deg(self) -> f64 {
                tidy_deg(self.0)
            }

            /// Radians.
            #[must_use]
            pub fn rad(self) -> f64 {
                self.0
            }
        }
    };
}

angle! {
    /// The steepest slope of a plane, [0°, 90°].
    Dip, DIP
}
angle! {
    /// The slope of a line, [−90°, 90°]; below zero it points up along its trend.
    Plunge, PLUNGE
}
angle! {
    /// In the plane, from the right-hand strike end, [0°, 180°], down positive.
    Rake, RAKE
}
angle! {
    /// Between two things, [0°, 180°].
    Angle, ANGLE
}
angle! {
    /// A turn, [−360°, 360°]; clockwise positive, looking along the axis it is about.
    Turn, TURN
}
angle! {
    /// From true north to magnetic north, east positive.
    Declination, DECLINATION
}
angle! {
    /// From true north to grid north, east positive.
    Convergence, CONVERGENCE
}

impl Dip {
    /// 90° less this.
    #[must_use]
    pub fn complement(self) -> Self {
        Self::clamped(PI / 2.0 - self.0)
    }
}

/// Read against magnetic north.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Magnetic;

/// Read against true north.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct True;

/// Read against grid north.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Grid;

/// An azimuth with the north it was read against in its type.
///
/// # Examples
/// ```
/// use hingeline::orientation::{Bearing, Declination, Magnetic};
/// let read = Bearing::<Magnetic>::from_deg(62.0)?;
/// let west = Declination::from_deg(-11.5)?;
/// assert_eq!(read.to_true(west).deg(), 50.5);
/// # Ok::<(), hingeline::orientation::Error>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Bearing<N>(Azimuth, PhantomData<N>);

impl<N> Bearing<N> {
    /// From an azimuth that is known to count from this north.
    #[must_use]
    pub fn new(azimuth: Azimuth) -> Self {
        Self(azimuth, PhantomData)
    }

    /// From degrees, 0 to 360.
    ///
    /// # Errors
    /// Below 0, over 360, or not a number.
    pub fn from_deg(deg: f64) -> Result<Self, Error> {
        Azimuth::from_deg(deg).map(Self::new)
    }

    /// The azimuth, counted from this north.
    #[must_use]
    pub fn azimuth(self) -> Azimuth {
        self.0
    }

    /// Degrees, [0, 360).
    #[must_use]
    pub fn deg(self) -> f64 {
        self.0.deg()
    }
}

impl Bearing<Magnetic> {
    /// The same direction from true north: read + declination (common practice).
    #[must_use]
    pub fn to_true(self, declination: Declination) -> Bearing<True> {
        Bearing::new(Azimuth::wrapped(self.0.0 + declination.0))
    }
}

impl Bearing<Grid> {
    /// The same direction from true north: read + convergence (common practice).
    #[must_use]
    pub fn to_true(self, convergence: Convergence) -> Bearing<True> {
        Bearing::new(Azimuth::wrapped(self.0.0 + convergence.0))
    }
}

impl Bearing<True> {
    /// The same direction from magnetic north.
    #[must_use]
    pub fn to_magnetic(self, declination: Declination) -> Bearing<Magnetic> {
        Bearing::new(Azimuth::wrapped(self.0.0 - declination.0))
    }

    /// The same direction from grid north.
    #[must_use]
    pub fn to_grid(self, convergence: Convergence) -> Bearing<Grid> {
        Bearing::new(Azimuth::wrapped(self.0.0 - convergence.0))
    }
}
