//! Which way the beds young, kept apart from their attitude.

use super::line::Line;
use super::plane::Plane;

/// Upright, overturned, or nobody could tell.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Polarity {
    /// Nobody could tell.
    #[default]
    Unknown,
    /// The right way up: younger upwards.
    Upright,
    /// Overturned: younger downwards.
    Overturned,
}

impl Polarity {
    /// The polarity of its word, in any case; `None` for any other word.
    #[must_use]
    pub fn read(text: &str) -> Option<Self> {
        match text.trim() {
            t if t.eq_ignore_ascii_case("unknown") => Some(Self::Unknown),
            t if t.eq_ignore_ascii_case("upright") => Some(Self::Upright),
            t if t.eq_ignore_ascii_case("overturned") => Some(Self::Overturned),
            _ => None,
        }
    }

    /// The directed line towards the younger beds, normal to the plane.
    ///
    /// # Degenerate input
    /// Unknown: none. Vertical plane: upright beds young away from the pole's trend, that is towards strike + 90°.
    #[must_use]
    pub fn younging(self, plane: &Plane) -> Option<Line> {
        match self {
            Self::Unknown => None,
            Self::Upright => Some(plane.pole().reversed()),
            Self::Overturned => Some(plane.pole()),
        }
    }
}
