//! What is wrong with a place, a height, a date or a leg.

use std::fmt;

use crate::orientation;
use crate::orientation::Bound;

/// A latitude, north positive.
pub(super) const LATITUDE: Bound = Bound {
    name: "latitude",
    lo_deg: -90.0,
    hi_deg: 90.0,
    way_out: "a longitude of {} goes in the other field",
};

/// A longitude, east positive; both ways of counting are taken.
pub(super) const LONGITUDE: Bound = Bound {
    name: "longitude",
    lo_deg: -180.0,
    hi_deg: 360.0,
    way_out: "count it from Greenwich, east positive, west negative",
};

/// What the wing cannot answer, and the way out.
#[derive(Clone, Debug, PartialEq)]
pub struct Error(Kind);

#[derive(Clone, Debug, PartialEq)]
pub(super) enum Kind {
    Angle(orientation::Error),
    Range {
        name: &'static str,
        value: f64,
        lo: f64,
        hi: f64,
        unit: &'static str,
    },
    OutOfDate {
        year: f64,
    },
    Date {
        text: String,
    },
    NoVertical,
    NoLegs,
    NoStation {
        from: usize,
        to: usize,
        stations: usize,
    },
}

impl Error {
    /// Whether the date is one that the magnetic model is not made for, before or after.
    #[must_use]
    pub fn is_out_of_date(&self) -> bool {
        matches!(self.0, Kind::OutOfDate { .. })
    }

    /// Whether a number is beyond its limits, or not a number.
    #[must_use]
    pub fn is_out_of_range(&self) -> bool {
        matches!(self.0, Kind::Angle(_) | Kind::Range { .. })
    }

    /// Whether a text is no date.
    #[must_use]
    pub fn is_no_date(&self) -> bool {
        matches!(self.0, Kind::Date { .. })
    }
}

impl From<Kind> for Error {
    fn from(kind: Kind) -> Self {
        Self(kind)
    }
}

impl From<orientation::Error> for Error {
    fn from(error: orientation::Error) -> Self {
        Self(Kind::Angle(error))
    }
}

/// The number if it is within its limits, both included.
pub(super) fn within(
    name: &'static str,
    value: f64,
    lo: f64,
    hi: f64,
    unit: &'static str,
) -> Result<f64, Error> {
    if lo <= value && value <= hi {
        Ok(value)
    } else {
        Err(Error(Kind::Range {
            name,
            value,
            lo,
            hi,
            unit,
        }))
    }
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.0 {
            Kind::Angle(error) => error.fmt(f),
            Kind::Range {
                name,
                value,
                lo,
                hi,
                unit,
            } => {
                let is = if value > hi {
                    "over the upper limit"
                } else if value < lo {
                    "below the lower limit"
                } else {
                    "not a number"
                };
                write!(f, "{name} `{value}` is {is}; give {lo} to {hi}{unit}")
            }
            Kind::OutOfDate { year } => {
                let (is, from, until) = (
                    if *year < super::magnetic::VALID_FROM_YEAR {
                        "before"
                    } else {
                        "after"
                    },
                    super::magnetic::VALID_FROM,
                    super::magnetic::VALID_UNTIL,
                );
                write!(
                    f,
                    "`{year:.3}` is {is} the years of {}, which holds from {from} to {until}; \
                     take a declination from elsewhere, or ask for a figure beyond its years",
                    super::magnetic::MODEL
                )
            }
            Kind::NoVertical => f.write_str(
                "a slope distance without its vertical angle gives no level distance; read the angle, or give the level distance",
            ),
            Kind::NoLegs => f.write_str("a traverse of no length cannot be closed; give at least one leg"),
            Kind::NoStation { from, to, stations } => write!(
                f,
                "a line from station `{from}` to `{to}` is none among {stations}; it joins two of them, counted from 0"
            ),
            Kind::Date { text } => write!(
                f,
                "`{text}` is no date; write it as 2026-11-25, or as a year with a fraction, 2026.9"
            ),
        }
    }
}

impl std::error::Error for Error {}
