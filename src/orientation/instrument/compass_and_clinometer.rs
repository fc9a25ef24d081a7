//! The plain compass and clinometer.
//!
//! ```text
//!      edge of the compass along the strike:        clinometer, its edge down the dip:
//!
//!           ┌─────────┐                                     ╲────╲
//!           │  N→     │                                      ╲ |  ╲   | hangs by gravity: 0 when
//!      ═════╧═════════╧════▷ h                                ╲δ   ╲    the edge is level, 90 upright
//!       rock behind, compass in front                          ╲────╲
//! ```
//!
//! Two steps, as [`mod@super::arm_transit`]: the bearing of the edge is the strike, and the right-hand one where the compass stood to
//! the right of it (hung, to the left); the clinometer gives the dip. A line likewise: bearing of its shadow, then its plunge.

use super::arm_transit::edge_and_clinometer;
use super::{ReadOff, Stands, Stood};

/// Reduces a plain compass and clinometer.
///
/// # Degenerate input
/// As [`super::reduce_stood`]; it has no scale for a rake or for the angle between two planes.
#[must_use]
pub fn compass_and_clinometer(read: &ReadOff, stood: &Stood) -> Stands {
    edge_and_clinometer(read, stood)
}
