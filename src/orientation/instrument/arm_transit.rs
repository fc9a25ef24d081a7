//! The transit with north away from its hinge and a sighting arm.
//!
//! Two steps. First the long edge of the level case on the plane, seen along h (away from the reader):
//!
//! ```text
//!           h ⊗──────────── case, level, to the right of the edge on the rock: over the downhill side
//!             ╲ δ
//!              ╲ the plane dips right
//! ```
//!
//! The edge is the strike line and the needle gives h: the right-hand strike, where the case stood to the right of it. Then the
//! edge down the dip, the case upright, and the clinometer gives δ. Hung, the case reaches from under an overhang, over the uphill
//! side of the line: right and left change places.
//!
//! ```text
//!      lid ▭══════[ card N→ ]══════▷ arm      h runs from the lid to the arm
//! ```
//!
//! Line: the edge along the line's shadow gives h, the edge on the line gives π by the clinometer. Sighting: over lid and arm,
//! bearing h, vertical angle by the clinometer.

use super::stands::{bearing, line_along, plane_along, sight_along};
use super::{OneOf, ReadOff, Stands, Stood, Use};

/// Reduces a transit with north away from its hinge.
///
/// # Degenerate input
/// As [`super::reduce_stood`]; it has no scale for a rake or for the angle between two planes.
#[must_use]
pub fn arm_transit(read: &ReadOff, stood: &Stood) -> Stands {
    edge_and_clinometer(read, stood)
}

/// The bearing of an edge, and an inclination by gravity.
pub(super) fn edge_and_clinometer(read: &ReadOff, stood: &Stood) -> Stands {
    let mut out = Stands::default();
    let (Some(h), Some(deg)) = (bearing(read), read.clinometer_deg) else {
        return out;
    };
    match read.of {
        Use::Plane => out.plane = plane_along(h, deg, stood.dips_right()),
        Use::Line => out.line = line_along(h, deg, stood),
        Use::Sighting => out.line = sight_along(h, deg, stood),
        Use::Rake | Use::Angle => out.line = OneOf::Nothing,
    }
    out
}
