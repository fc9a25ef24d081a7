//! A person's own instrument: the scales that it has, each with its zero, its sense and its range.
//!
//! ```text
//!        number on the scale      what it stands for
//!        lo ────────── hi         zero + number, or zero − number where the numbers grow the other way
//! ```
//!
//! A clinometer that counts from the vertical has its zero at 90 and grows the other way. Converted to the scales of the trade, it
//! is held like [`mod@super::hinge_transit`].

use super::hinge_transit::hinge_transit;
use super::{OwnScale, ReadOff, Scales, Stands, Stood, Use};

/// Reduces a person's own instrument.
///
/// # Degenerate input
/// As [`super::reduce_stood`]; a number on a scale that it does not have, or beyond its range, was not read.
#[must_use]
pub fn own(read: &ReadOff, stood: &Stood, scales: &Scales) -> Stands {
    let on = |scale: Option<OwnScale>, number: Option<f64>| {
        let scale = scale?;
        number
            .filter(|deg| scale.holds(*deg))
            .map(|deg| scale.angle_deg(deg))
    };
    let inclined = match read.of {
        Use::Line | Use::Sighting => scales.own.plunge,
        Use::Plane | Use::Rake | Use::Angle => scales.own.dip,
    };
    let converted = ReadOff {
        of: read.of,
        needle_deg: on(scales.own.card, read.needle_deg),
        // A rake, or an angle between two planes, is counted as it stands.
        hinge_deg: match read.of {
            Use::Rake | Use::Angle => read.hinge_deg,
            Use::Plane | Use::Line | Use::Sighting => on(scales.own.dip, read.hinge_deg),
        },
        lid_deg: on(scales.own.plunge, read.lid_deg),
        clinometer_deg: on(inclined, read.clinometer_deg),
    };
    hinge_transit(&converted, stood, scales)
}
