//! The plate compass: dip direction and dip at once.
//!
//! Case level, plate on the plane, the plate's hinge along the strike and the card's north at a right angle to it:
//!
//! ```text
//!     seen along the strike, down-dip to the right:
//!
//!                    ●──────────── case, level, card N→ : the needle reads the dip direction
//!                     ╲ δ
//!                      ╲ plate on the plane                (case turned round, card ←N: its opposite)
//! ```
//!
//! The plate's scale gives the dip. The end of the card that faced down-dip decides; where it was not noted it is north, but hung
//! under an overhang it may be either. Line: the plate upright with its edge along the line, the same two numbers.

use super::stands::{bearing, line_along, sight_along};
use super::{ReadOff, Stands, Stood, Use};
use crate::orientation::angle::Dip;
use crate::orientation::plane::Plane;

/// Reduces a plate compass.
///
/// # Degenerate input
/// As [`super::reduce_stood`]; where the plate's scale was not read, the clinometer stands in for it; it has no scale for a rake
/// or for the angle between two planes.
#[must_use]
pub fn plate_compass(read: &ReadOff, stood: &Stood) -> Stands {
    let mut out = Stands::default();
    let (Some(h), Some(deg)) = (bearing(read), read.hinge_deg.or(read.clinometer_deg)) else {
        return out;
    };
    let down = line_along(h, deg, stood);
    match read.of {
        // The dip line is the line that the card's end faces.
        Use::Plane => {
            out.plane = down.map(|line| {
                Dip::from_deg(line.plunge().deg())
                    .ok()
                    .map(|dip| Plane::from_dip_direction(line.trend(), dip))
            });
        }
        Use::Line => out.line = down,
        Use::Sighting => out.line = sight_along(h, deg, stood),
        Use::Rake | Use::Angle => {}
    }
    out
}
