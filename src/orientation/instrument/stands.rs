//! What the scales say of the rock, kind by kind.

use super::{Instrument, ReadOff, Scales, Stood};
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

/// Reduces what stands on the scales of an instrument.
#[must_use]
pub fn reduce_stood(
    _kind: Instrument,
    _read: &ReadOff,
    _stood: &Stood,
    _scales: &Scales,
) -> Stands {
    Stands::default()
}
