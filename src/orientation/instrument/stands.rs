//! What the scales say of the rock: the answer, the way to the kind's own function, and what the kinds share.

use super::arm_transit::arm_transit;
use super::compass_and_clinometer::compass_and_clinometer;
use super::hinge_transit::hinge_transit;
use super::own::own;
use super::plate_compass::plate_compass;
use super::{HingeEnd, Instrument, ReadOff, Scales, Stood};
use crate::orientation::angle::{Azimuth, Dip, Plunge};
use crate::orientation::line::Line;
use crate::orientation::plane::Plane;

/// One thing, or one of two where what would decide was not noted.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum OneOf<T> {
    /// What it needs was not read.
    #[default]
    Nothing,
    /// This.
    This(T),
    /// The one or the other.
    Either(T, T),
}

impl<T: Copy> OneOf<T> {
    /// The one thing, where it is decided.
    #[must_use]
    pub fn decided(&self) -> Option<T> {
        match self {
            Self::This(one) => Some(*one),
            Self::Nothing | Self::Either(..) => None,
        }
    }

    pub(super) fn map<U>(self, f: impl Fn(T) -> Option<U>) -> OneOf<U> {
        match self {
            Self::Nothing => OneOf::Nothing,
            Self::This(one) => f(one).map_or(OneOf::Nothing, OneOf::This),
            Self::Either(one, other) => match (f(one), f(other)) {
                (Some(one), Some(other)) => OneOf::Either(one, other),
                (Some(only), None) | (None, Some(only)) => OneOf::This(only),
                (None, None) => OneOf::Nothing,
            },
        }
    }
}

impl<T> From<Option<T>> for OneOf<T> {
    fn from(one: Option<T>) -> Self {
        one.map_or(Self::Nothing, Self::This)
    }
}

/// What the scales say of the rock.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Stands {
    /// The plane.
    pub plane: OneOf<Plane>,
    /// The line; of a sighting, the line of sight, its plunge below zero where it rises.
    pub line: OneOf<Line>,
    /// The rake from the right-hand strike end, degrees.
    pub rake_deg: OneOf<f64>,
    /// The angle between two planes, degrees.
    pub angle_deg: OneOf<f64>,
}

/// Reduces what stands on the scales of an instrument, against the north that its card was set to.
///
/// # Degenerate input
/// A number that was not read, or is not on its scale, leaves out what needs it. A swing, or an end, that was not noted and
/// would decide leaves two answers. A wrong edge of an index of unknown width leaves the number as it stands.
#[must_use]
pub fn reduce_stood(kind: Instrument, read: &ReadOff, stood: &Stood, scales: &Scales) -> Stands {
    match kind {
        Instrument::HingeTransit => hinge_transit(read, stood, scales),
        Instrument::ArmTransit => arm_transit(read, stood),
        Instrument::PlateCompass => plate_compass(read, stood),
        Instrument::CompassAndClinometer => compass_and_clinometer(read, stood),
        Instrument::Own => own(read, stood, scales),
    }
}

/// The bearing that the needle gives.
pub(super) fn bearing(read: &ReadOff) -> Option<Azimuth> {
    Azimuth::wrapped_deg(read.needle_deg?).ok()
}

/// The plane that strikes along h: the dip is that to the side named, and past the vertical it dips to the other.
pub(super) fn plane_along(h: Azimuth, dip_deg: f64, dips_right: Option<bool>) -> OneOf<Plane> {
    let (dip_deg, past) = if dip_deg > 90.0 {
        (180.0 - dip_deg, true)
    } else {
        (dip_deg, false)
    };
    let Ok(dip) = Dip::from_deg(dip_deg) else {
        return OneOf::Nothing;
    };
    let (right, left) = (Plane::new(h, dip), Plane::new(h.opposite(), dip));
    match dips_right {
        Some(to_right) if to_right != past => OneOf::This(right),
        Some(_) => OneOf::This(left),
        // Level or upright there is but one plane.
        None if dip_deg == 0.0 || dip_deg == 90.0 => OneOf::This(right),
        None => OneOf::Either(right, left),
    }
}

/// The line along h: the end that was down is its trend, past the vertical the other. Where that was not noted it is the north end, but hung it may be either.
pub(super) fn line_along(h: Azimuth, plunge_deg: f64, stood: &Stood) -> OneOf<Line> {
    let (h, plunge_deg) = up_to_vertical(h, plunge_deg);
    let Ok(plunge) = Plunge::from_deg(plunge_deg) else {
        return OneOf::Nothing;
    };
    let (north, south) = (Line::new(h, plunge), Line::new(h.opposite(), plunge));
    match stood.down {
        Some(HingeEnd::North) => OneOf::This(north),
        Some(HingeEnd::South) => OneOf::This(south),
        None if stood.hung && plunge_deg != 0.0 => OneOf::Either(north, south),
        None => OneOf::This(north),
    }
}

/// The line of sight along h: it sinks where the north end of the sighting edge is down, and rises where the south end is.
pub(super) fn sight_along(h: Azimuth, vertical_deg: f64, stood: &Stood) -> OneOf<Line> {
    let (h, vertical_deg) = up_to_vertical(h, vertical_deg);
    let line = |deg: f64| {
        Plunge::from_deg(deg)
            .ok()
            .map(|plunge| Line::new(h, plunge))
    };
    match stood.down {
        Some(HingeEnd::North) => line(vertical_deg).into(),
        Some(HingeEnd::South) => line(-vertical_deg).into(),
        None if vertical_deg == 0.0 => line(0.0).into(),
        None => OneOf::Either(vertical_deg, -vertical_deg).map(line),
    }
}

/// Past the vertical a slope falls the other way.
fn up_to_vertical(h: Azimuth, slope_deg: f64) -> (Azimuth, f64) {
    if slope_deg > 90.0 {
        (h.opposite(), 180.0 - slope_deg)
    } else {
        (h, slope_deg)
    }
}
