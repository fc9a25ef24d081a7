//! What stands on the scales, and what is known of the scales themselves.

use serde::{Deserialize, Serialize};

use crate::orientation::angle::wrap_deg;

/// What the instrument was set to measure.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Use {
    /// Strike and dip, or dip direction and dip.
    #[default]
    Plane,
    /// Trend and plunge.
    Line,
    /// The rake of a line in a plane, the hinge along the plane's normal.
    Rake,
    /// The angle between two planes, the hinge along their intersection.
    Angle,
    /// The bearing and the vertical angle of a sighting.
    Sighting,
}

/// The numbers as they stand on the scales, degrees; `None`: not read.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct ReadOff {
    /// What it was set to measure.
    pub of: Use,
    /// The bearing of h that the needle gives on the card.
    pub needle_deg: Option<f64>,
    /// The scale of the hinge, or of the plate: from the side that the lid was swung to.
    pub hinge_deg: Option<f64>,
    /// The scale of the lid's edge on its second axis.
    pub lid_deg: Option<f64>,
    /// The clinometer that hangs by gravity: 0 level, 90 upright.
    pub clinometer_deg: Option<f64>,
}

/// What is known of the scales of a set-up.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Scales {
    /// How much less the edge of the index reads that belongs to the other swing, degrees, measured once with the lid on a plane;
    /// below zero where it reads more.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub index_width_deg: Option<f64>,
    /// The scales of a person's own instrument.
    #[serde(default)]
    pub own: OwnScales,
}

/// One scale of a person's own instrument, degrees.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct OwnScale {
    /// What its zero stands for: a bearing, or an inclination below the horizontal.
    pub zero_deg: f64,
    /// Its numbers grow against the sense of the trade: counter-clockwise, or upwards.
    #[serde(default)]
    pub reversed: bool,
    /// Its least number.
    pub lo_deg: f64,
    /// Its greatest number.
    pub hi_deg: f64,
}

impl OwnScale {
    /// A card from 0 to 360, clockwise from north.
    pub const CARD: Self = Self {
        zero_deg: 0.0,
        reversed: false,
        lo_deg: 0.0,
        hi_deg: 360.0,
    };

    /// A clinometer from 0, level, to 90.
    pub const CLINOMETER: Self = Self {
        zero_deg: 0.0,
        reversed: false,
        lo_deg: 0.0,
        hi_deg: 90.0,
    };

    /// Whether it is the trade's own scale, so that nothing need be converted.
    #[must_use]
    pub fn is_plain(&self) -> bool {
        self.zero_deg == 0.0 && !self.reversed
    }

    /// Whether the number is on the scale.
    #[must_use]
    pub fn holds(&self, number_deg: f64) -> bool {
        self.lo_deg <= number_deg && number_deg <= self.hi_deg
    }

    /// What a number on it stands for, not wrapped.
    #[must_use]
    pub fn angle_deg(&self, number_deg: f64) -> f64 {
        if self.reversed {
            self.zero_deg - number_deg
        } else {
            self.zero_deg + number_deg
        }
    }

    /// What a number on a card stands for, [0°, 360°).
    #[must_use]
    pub fn bearing_deg(&self, number_deg: f64) -> f64 {
        wrap_deg(self.angle_deg(number_deg))
    }
}

/// The scales of a person's own instrument; `None`: it has none of this kind.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct OwnScales {
    /// The card.
    pub card: Option<OwnScale>,
    /// The scale that gives a dip.
    pub dip: Option<OwnScale>,
    /// The scale that gives a plunge, or a vertical angle.
    pub plunge: Option<OwnScale>,
}

impl Default for OwnScales {
    fn default() -> Self {
        Self {
            card: Some(OwnScale::CARD),
            dip: Some(OwnScale::CLINOMETER),
            plunge: Some(OwnScale::CLINOMETER),
        }
    }
}
