//! The transit with north along its hinge and a lid that turns on two axes.
//!
//! Plane, base level, seen along h (away from the reader); the free edge of the lid goes down the dip:
//!
//! ```text
//!    left          h ⊗            right         hung: the lid above the base,
//!      ───────────────────────────── r          its free edge goes up the dip
//!                 base   ╲ δ                               ╱ lid, swung right
//!                    |    ╲                               ╱ δ
//!                    z     ╲ lid, swung right    ────────⊗──────── r
//!                           ╲                           ╱
//!                                          the plane dips left
//! ```
//!
//! The strike line is h and the hinge's scale gives δ. Swung right, the plane dips to the right and h is the right-hand strike;
//! swung left, or hung, it is the other end; swung left and hung, h again.
//!
//! Line, base level, the lid upright against the edge of the base, seen from the right with north to the right:
//!
//! ```text
//!      south ──────────●────────── h north
//!                      | ╲ π
//!                      z   ╲ edge of the lid on the line, north end down
//! ```
//!
//! The trend is h where the north end is down, else the opposite. Hung, the lid stands above the base: the edge still lies along
//! the line, but which end is down has to be noted.
//!
//! Index, facing a scale; each row of numbers counts from its own edge, so that both read 0 at level:
//!
//! ```text
//!         row of the left swing  |      |  row of the right swing
//!                         left edge ████ right edge      (w: the width of the index)
//! ```
//!
//! At the wrong edge the number is less by w; with the lid hung above the base the hinge's scale is past its zero, and the number
//! is more by w. The lid's scale is read hung at the other side of the base, at the opposite edge, and there too is less by w.
//!
//! Rake: h along the normal of the plane, the base's edge along the strike, the free edge of the lid along the line, down:
//!
//! ```text
//!     seen along h into the rock:    left end ──────⊗────── r right-hand end
//!                                                    ╲ ρ
//!                                                     ╲ lid, swung right: ρ from the right-hand end
//! ```
//!
//! Swung left it counts from the left end. With the south end of the hinge in the rock, right and left change places.
//!
//! Angle: h along the intersection, the right half of the base on one plane and the lid on the other: swung right the scale gives
//! the angle between them, swung left its supplement.
//!
//! Sighting: along the hinge, its bearing is h; the vertical angle from the lid's scale or from the clinometer.

use super::stands::{bearing, line_along, plane_along, sight_along};
use super::{Edge, HingeEnd, OneOf, ReadOff, Scales, Stands, Stood, Swing, Use};
use crate::orientation::angle::Bound;

/// Reduces a transit with north along its hinge.
///
/// # Degenerate input
/// As [`super::reduce_stood`]; where the hinge's scale was not read, the clinometer stands in for it, and for the lid's likewise.
#[must_use]
pub fn hinge_transit(read: &ReadOff, stood: &Stood, scales: &Scales) -> Stands {
    let mut out = Stands::default();
    let clinometer = || OneOf::from(read.clinometer_deg);
    let by_hinge = read.hinge_deg.map(|deg| {
        let above = stood.hung && read.of == Use::Plane;
        right_edge(deg, stood.edge, stood.hinge_edge(), above, scales)
    });
    let by_lid = || {
        read.lid_deg.map_or_else(clinometer, |deg| {
            right_edge(deg, stood.edge, stood.lid_edge(), false, scales)
        })
    };
    match read.of {
        Use::Plane => {
            if let Some(h) = bearing(read) {
                let dip = by_hinge.unwrap_or_else(clinometer);
                out.plane = spread(dip, |deg| plane_along(h, deg, stood.dips_right()));
            }
        }
        Use::Line => {
            if let Some(h) = bearing(read) {
                out.line = spread(by_lid(), |deg| line_along(h, deg, stood));
            }
        }
        Use::Sighting => {
            if let Some(h) = bearing(read) {
                out.line = spread(by_lid(), |deg| sight_along(h, deg, stood));
            }
        }
        Use::Rake => {
            let into_rock = if stood.hung {
                HingeEnd::South
            } else {
                HingeEnd::North
            };
            let down_normal = stood.down.unwrap_or(into_rock) == HingeEnd::North;
            let from_right = stood
                .swing
                .map(|swing| (swing == Swing::Right) == down_normal);
            out.rake_deg = spread(by_hinge.unwrap_or_default(), |deg| {
                supplemented(deg, from_right)
            });
        }
        Use::Angle => {
            let right = stood.swing.map(|swing| swing == Swing::Right);
            out.angle_deg = spread(by_hinge.unwrap_or_default(), |deg| supplemented(deg, right));
        }
    }
    out
}

/// What the numbers of a scale lose by being written.
const ROUNDING_DEG: f64 = 1e-9;

/// The number that the right edge of the index would have shown.
///
/// `above`: past the zero of the hinge's scale. A number up to the width has two answers, because zero may lie between the edges.
pub(super) fn right_edge(
    read_deg: f64,
    edge: Option<Edge>,
    belongs: Option<Edge>,
    above: bool,
    scales: &Scales,
) -> OneOf<f64> {
    let (Some(edge), Some(belongs), Some(width_deg)) = (edge, belongs, scales.index_width_deg)
    else {
        return OneOf::This(read_deg);
    };
    if edge == belongs {
        return OneOf::This(read_deg);
    }
    let less_deg = if above { -width_deg } else { width_deg };
    let far = read_deg + less_deg;
    let near = less_deg - read_deg;
    if far.is_nan() || far < -ROUNDING_DEG {
        OneOf::Nothing
    } else if near > -ROUNDING_DEG && near != far {
        OneOf::Either(far, near.max(0.0))
    } else {
        OneOf::This(far.max(0.0))
    }
}

/// As read from the right-hand end, or from the other.
fn supplemented(read_deg: f64, as_read: Option<bool>) -> OneOf<f64> {
    let other = 180.0 - read_deg;
    if !Bound::ANGLE.holds(read_deg) {
        return OneOf::Nothing;
    }
    match as_read {
        Some(true) => OneOf::This(read_deg),
        Some(false) => OneOf::This(other),
        None if other == read_deg => OneOf::This(read_deg),
        None => OneOf::Either(read_deg, other),
    }
}

/// Reduces one number, or both of two while each has one answer.
fn spread<T: Copy>(number: OneOf<f64>, reduce: impl Fn(f64) -> OneOf<T>) -> OneOf<T> {
    match number {
        OneOf::Nothing => OneOf::Nothing,
        OneOf::This(deg) => reduce(deg),
        // Two numbers come only of a swing or an end that was noted, so each has one answer.
        OneOf::Either(..) => number.map(|deg| reduce(deg).decided()),
    }
}
