//! One fault and the way its hanging wall went.

use nalgebra::Vector3;
use serde::{Deserialize, Serialize};

use crate::orientation::angle::{Bound, Error, degrees, radians, turn_deg};
use crate::orientation::{Line, Plane};

/// The sense of slip in words of the trade.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Sense {
    /// The hanging wall went down.
    Normal,
    /// The hanging wall went up.
    Reverse,
    /// The other side went left.
    Sinistral,
    /// The other side went right.
    Dextral,
}

impl Sense {
    /// All four, in the order in which they are offered.
    pub const ALL: [Self; 4] = [Self::Normal, Self::Reverse, Self::Sinistral, Self::Dextral];

    /// The sense of its word or of the word's first letter, in any case; `None` for anything else.
    #[must_use]
    pub fn read(text: &str) -> Option<Self> {
        let text = text.trim();
        Self::ALL.into_iter().find(|sense| {
            let word = sense.words();
            text.eq_ignore_ascii_case(word) || text.eq_ignore_ascii_case(&word[..1])
        })
    }

    /// The word.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Normal => "normal",
            Self::Reverse => "reverse",
            Self::Sinistral => "sinistral",
            Self::Dextral => "dextral",
        }
    }
}

/// A fault plane and the slip of its hanging wall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slip {
    plane: Plane,
    rake_deg: f64,
}

impl Slip {
    /// From the plane and the rake of the hanging wall's slip, −180° to 180°: 0 sinistral, 90 reverse, −90 normal, 180 dextral.
    ///
    /// # Errors
    /// A rake beyond ±180°, or not a number.
    ///
    /// # References
    /// Aki, K., & Richards, P. G., 2002, Quantitative seismology, 2nd ed., section 4.5: counter-clockwise from the right-hand
    /// strike, seen from the hanging wall.
    pub fn new(plane: Plane, rake_deg: f64) -> Result<Self, Error> {
        Bound::SLIP_RAKE.check(rake_deg)?;
        Ok(Self {
            plane,
            rake_deg: if rake_deg == -180.0 { 180.0 } else { rake_deg },
        })
    }

    /// From the plane, a line in it and the sense; the line is first laid into the plane along the shortest way.
    ///
    /// # Degenerate input
    /// A line at a right angle to the plane: `None`. A sense that the line cannot tell apart (normal for a level line, sinistral
    /// for one straight down the dip): `None`.
    #[must_use]
    pub fn from_line(plane: &Plane, line: &Line, sense: Sense) -> Option<Self> {
        let normal = plane.normal();
        let v = line.vector();
        let laid = (v - normal * v.dot(&normal)).try_normalize(1e-9)?;
        let (along, up) = (
            laid.dot(&plane.along_strike()),
            -laid.dot(&plane.down_dip()),
        );
        let told = match sense {
            Sense::Normal => -up,
            Sense::Reverse => up,
            Sense::Sinistral => along,
            Sense::Dextral => -along,
        };
        if told.abs() < 1e-9 {
            return None;
        }
        let (along, up) = if told < 0.0 {
            (-along, -up)
        } else {
            (along, up)
        };
        Self::new(*plane, degrees(up.atan2(along))).ok()
    }

    /// The fault plane.
    #[must_use]
    pub fn plane(&self) -> &Plane {
        &self.plane
    }

    /// The rake of the hanging wall's slip, (−180°, 180°].
    #[must_use]
    pub fn rake_deg(&self) -> f64 {
        self.rake_deg
    }

    /// The way the hanging wall went: a directed line, pointing up where it went up.
    #[must_use]
    pub fn line(&self) -> Option<Line> {
        Line::from_vector(&self.vector())
    }

    /// The way the hanging wall went, as a unit vector north, east, down.
    #[must_use]
    pub fn vector(&self) -> Vector3<f64> {
        let (sin, cos) = radians(self.rake_deg).sin_cos();
        self.plane.along_strike() * cos - self.plane.down_dip() * sin
    }

    /// From the footwall into the hanging wall: the upward normal.
    #[must_use]
    pub fn into_hanging_wall(&self) -> Vector3<f64> {
        -self.plane.normal()
    }

    /// The strongest word for the sense; at 45° the dip wins.
    #[must_use]
    pub fn sense(&self) -> Sense {
        let (sin, cos) = radians(self.rake_deg).sin_cos();
        match (sin.abs() + 1e-12 >= cos.abs(), sin > 0.0, cos > 0.0) {
            (true, true, _) => Sense::Reverse,
            (true, false, _) => Sense::Normal,
            (false, _, true) => Sense::Sinistral,
            (false, _, false) => Sense::Dextral,
        }
    }

    /// The sense in words: the stronger one, and the other where it makes up at least a quarter of it.
    #[must_use]
    pub fn sense_words(&self) -> String {
        let (sin, cos) = radians(self.rake_deg).sin_cos();
        let steep = if sin > 0.0 {
            Sense::Reverse
        } else {
            Sense::Normal
        };
        let level = if cos > 0.0 {
            Sense::Sinistral
        } else {
            Sense::Dextral
        };
        let strong = self.sense();
        let (weak, share) = if strong == steep {
            (level, cos.abs() / sin.abs())
        } else {
            (steep, sin.abs() / cos.abs())
        };
        if share < 0.25 {
            strong.words().to_owned()
        } else {
            format!("{}, also {}", strong.words(), weak.words())
        }
    }

    /// The other plane on which the same motion could have been, with its own slip.
    ///
    /// # Degenerate input
    /// A level auxiliary plane keeps a strike without meaning, as every level plane does; a vertical one may have its hanging
    /// wall on either side.
    #[must_use]
    pub fn auxiliary(&self) -> Option<Self> {
        let (normal, slip) = (self.into_hanging_wall(), self.vector());
        // Its normal is the slip, its slip the normal; both turned if that normal would point down.
        let (up, along) = if slip.z > 0.0 {
            (-slip, -normal)
        } else {
            (slip, normal)
        };
        let plane = Plane::from_normal(&-up)?;
        // A vertical plane's normal is told to either side: the rake follows the side that was told.
        let along = if plane.normal().dot(&up) > 0.0 {
            -along
        } else {
            along
        };
        let rake = (-along.dot(&plane.down_dip())).atan2(along.dot(&plane.along_strike()));
        Self::new(plane, degrees(rake)).ok()
    }

    /// The axis of shortening, 45° between the planes.
    ///
    /// # References
    /// Marrett, R., & Allmendinger, R. W., 1990, Kinematic analysis of fault-slip data, Journal of Structural Geology 12,
    /// 973–986 (from memory): the axes lie in the plane of slip and normal, at 45° to both.
    #[must_use]
    pub fn shortening(&self) -> Option<Line> {
        Line::axis_from_vector(&(self.into_hanging_wall() - self.vector()))
    }

    /// The axis of extension, 45° between the planes; see [`Slip::shortening`].
    #[must_use]
    pub fn extension(&self) -> Option<Line> {
        Line::axis_from_vector(&(self.into_hanging_wall() + self.vector()))
    }

    /// The axis at a right angle to both: where fault and auxiliary plane meet.
    #[must_use]
    pub fn neutral(&self) -> Option<Line> {
        Line::axis_from_vector(&self.into_hanging_wall().cross(&self.vector()))
    }

    /// The angle from this slip to another line of its plane, degrees, as directed lines.
    #[must_use]
    pub fn off_deg(&self, rake_deg: f64) -> f64 {
        turn_deg(self.rake_deg.rem_euclid(360.0), rake_deg.rem_euclid(360.0)).abs()
    }
}
