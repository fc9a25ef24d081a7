//! The kinds of instrument, how one stood when it was read, and what its scales then say of the rock.
//!
//! Everywhere **h** is the unit vector along the hinge (or the long edge of the case) towards the north end of the card,
//! **z** points down, and **r** = z × h points to the right of someone looking along h.
//!
//! # References
//! The geometry is our own derivation, tested by turning rigid bodies.

mod scales;

pub use scales::{OwnScale, OwnScales, ReadOff, Scales, Use};

mod stands;

pub use stands::{OneOf, Stands, reduce_stood};

mod hinge_transit;

pub use hinge_transit::hinge_transit;

mod arm_transit;

pub use arm_transit::arm_transit;

mod plate_compass;

pub use plate_compass::plate_compass;

mod compass_and_clinometer;

pub use compass_and_clinometer::compass_and_clinometer;

mod own;

pub use own::own;

mod normal;

pub use normal::{Normal, normalise};

use serde::{Deserialize, Serialize};

use super::noise::Noise;

/// A kind of instrument.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Instrument {
    /// A transit with north along its hinge and a lid that turns on two axes.
    #[default]
    HingeTransit,
    /// A transit with north away from its hinge and a sighting arm.
    ArmTransit,
    /// A plate hinged to a compass: dip direction and dip at once.
    PlateCompass,
    /// A plain compass and a clinometer.
    CompassAndClinometer,
    /// A person's own, with the scales that it has.
    Own,
}

/// How the card counts.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Card {
    /// 0 to 360.
    #[default]
    Azimuth,
    /// Four times 0 to 90, from north and from south.
    Quadrant,
}

/// Which way the numbers run round the card.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Numbers {
    /// On a card fixed to the case, read at the needle: E and W stand exchanged, because the case turns and the needle stays.
    #[default]
    CounterClockwise,
    /// On a card fixed to the needle, read at the case.
    Clockwise,
}

impl Numbers {
    /// Where a number is printed, clockwise from the card's zero, [0°, 360°).
    ///
    /// # Degenerate input
    /// Not a number stays so.
    #[must_use]
    pub fn printed_at_deg(self, number_deg: f64) -> f64 {
        super::angle::wrap_deg(match self {
            Self::CounterClockwise => -number_deg,
            Self::Clockwise => number_deg,
        })
    }
}

/// To which side of h the lid was swung; for an instrument without such a lid, to which side of the edge on the rock its case stood.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Swing {
    /// To the right of someone looking along h.
    Right,
    /// To the left.
    Left,
}

/// An edge of the index, as someone sees it who faces the scale with the base upright: for the hinge scale looking along h,
/// for the lid's scale with the card's north to the right.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Edge {
    /// The right one.
    Right,
    /// The left one.
    Left,
}

impl Edge {
    /// The one across the index.
    #[must_use]
    pub fn other(self) -> Self {
        match self {
            Self::Right => Self::Left,
            Self::Left => Self::Right,
        }
    }
}

/// An end of the hinge, or of the case's long edge, by the card.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum HingeEnd {
    /// The end at the north of the card.
    North,
    /// The end at its south.
    South,
}

/// How the instrument stood for one shot; every field may be unknown.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Stood {
    /// Which way the lid was swung.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub swing: Option<Swing>,
    /// At which edge of the index the scale was read: the hinge's scale, or the lid's where no dip and no angle was read.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub edge: Option<Edge>,
    /// It was held against the underside of an overhang, the lid above the base.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub hung: bool,
    /// Which end of the hinge, or of the card, faced down-dip or down-plunge.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub down: Option<HingeEnd>,
}

impl Stood {
    /// Nothing was noted.
    #[must_use]
    pub fn is_unknown(&self) -> bool {
        *self == Self::default()
    }

    /// Whether the plane dips to the right of h: a lid that lies on it points down the dip, one held against its underside up.
    #[must_use]
    pub fn dips_right(&self) -> Option<bool> {
        self.swing.map(|swing| (swing == Swing::Right) != self.hung)
    }

    /// The edge of the hinge scale's index that belongs to the swing.
    #[must_use]
    pub fn hinge_edge(&self) -> Option<Edge> {
        self.swing.map(|swing| match swing {
            Swing::Right => Edge::Right,
            Swing::Left => Edge::Left,
        })
    }

    /// The edge of the lid scale's index that belongs to the end that is down; hung, the scale is read at the other side of the
    /// base, at the opposite edge.
    #[must_use]
    pub fn lid_edge(&self) -> Option<Edge> {
        self.down.map(|down| {
            if (down == HingeEnd::North) == self.hung {
                Edge::Left
            } else {
                Edge::Right
            }
        })
    }
}

/// The usual standard deviations of a kind of instrument, degrees.
///
/// # References
/// Common practice: needle and bearing are good to ½–1°, with a plain hand compass to 2°, angles on a rough plane to 1–2°; the
/// choice within is ours.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread {
    /// One read-off of the needle.
    pub needle_deg: f64,
    /// One read-off of an inclination scale.
    pub inclination_deg: f64,
    /// Placing it on a rough surface.
    pub placement_deg: f64,
}

impl Instrument {
    /// All kinds, the most capable first.
    pub const ALL: [Self; 5] = [
        Self::HingeTransit,
        Self::ArmTransit,
        Self::PlateCompass,
        Self::CompassAndClinometer,
        Self::Own,
    ];

    /// Its usual standard deviations.
    #[must_use]
    pub fn spread(self) -> Spread {
        let (needle_deg, inclination_deg, placement_deg) = match self {
            // A plate lies on the rock.
            Self::HingeTransit | Self::PlateCompass | Self::Own => (1.0, 1.0, 1.5),
            // An edge lies on it, and touches less of it.
            Self::ArmTransit => (1.0, 1.0, 2.0),
            // And the card and the clinometer are coarser.
            Self::CompassAndClinometer => (2.0, 2.0, 2.0),
        };
        Spread {
            needle_deg,
            inclination_deg,
            placement_deg,
        }
    }

    /// Whether strike and dip are read in two steps, so that the instrument is placed anew for the dip.
    ///
    /// [`Noise`] needs no change for it. Off one placement the tilt of the plate has two components that are independent of each
    /// other: about the dip line it turns the strike by σ_p/sin dip, about the strike it changes the dip by σ_p. In two steps the
    /// first component comes from the first placement and the second from the second, so that the variances are the same and
    /// the two dials stay uncorrelated (tested by drawing both). What differs is the placement itself, an edge in place of a plate.
    #[must_use]
    pub fn is_two_step(self) -> bool {
        matches!(self, Self::ArmTransit | Self::CompassAndClinometer)
    }
}

/// The usual noise of a kind of instrument, read to whole degrees.
#[must_use]
pub fn default_noise(kind: Instrument) -> Noise {
    let Spread {
        needle_deg,
        inclination_deg,
        placement_deg,
    } = kind.spread();
    Noise::from_deg(needle_deg, inclination_deg, placement_deg, 1.0).unwrap_or_default()
}
