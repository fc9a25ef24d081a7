//! Compass letters on 4, 8 and 16 winds, and the two sides a strike leaves.

use super::angle::{turn_deg, wrap_deg};

/// The sixteen winds clockwise from north; every second is one of eight, every fourth one of four.
const NAMES: [&str; 16] = [
    "N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW",
    "NNW",
];

/// How many winds a direction was told on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Winds {
    /// N, E, S, W.
    Four,
    /// N, NE, E, …
    Eight,
    /// N, NNE, NE, …
    Sixteen,
}

impl Winds {
    /// Winds in a full turn.
    #[must_use]
    pub fn count(self) -> u8 {
        match self {
            Self::Four => 4,
            Self::Eight => 8,
            Self::Sixteen => 16,
        }
    }

    /// Half the sector of one wind: all that a wind can tell, degrees.
    #[must_use]
    pub fn half_sector_deg(self) -> f64 {
        180.0 / f64::from(self.count())
    }
}

/// A direction told in compass letters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Wind {
    index: usize,
    winds: Winds,
}

impl Wind {
    /// The wind nearest to an azimuth; a tie goes clockwise.
    ///
    /// # Degenerate input
    /// Not a number: north.
    #[must_use]
    pub fn nearest(azimuth_deg: f64, winds: Winds) -> Self {
        let sector = 2.0 * winds.half_sector_deg();
        let step = 16 / usize::from(winds.count());
        // A cast from a float saturates, and makes 0 of what is not a number.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let sectors = (wrap_deg(azimuth_deg + sector / 2.0) / sector) as usize;
        let index = (sectors * step) % 16;
        Self { index, winds }
    }

    /// From its letters in either case; one letter is told on four winds, two on eight, three on sixteen.
    ///
    /// # Degenerate input
    /// Anything else: none.
    #[must_use]
    pub fn read(letters: &str) -> Option<Self> {
        let index = NAMES.iter().position(|n| n.eq_ignore_ascii_case(letters))?;
        let winds = match letters.len() {
            1 => Winds::Four,
            2 => Winds::Eight,
            _ => Winds::Sixteen,
        };
        Some(Self { index, winds })
    }

    /// Its letters.
    #[must_use]
    pub fn name(self) -> &'static str {
        NAMES.get(self.index).copied().unwrap_or("N")
    }

    /// The middle of its sector, degrees.
    #[must_use]
    pub fn azimuth_deg(self) -> f64 {
        f64::from(u8::try_from(self.index).unwrap_or(0)) * 22.5
    }

    /// On how many winds it was told.
    #[must_use]
    pub fn winds(self) -> Winds {
        self.winds
    }

    /// Its name in words: `south-east`.
    #[must_use]
    pub fn words(self) -> &'static str {
        const WORDS: [&str; 16] = [
            "north",
            "north-north-east",
            "north-east",
            "east-north-east",
            "east",
            "east-south-east",
            "south-east",
            "south-south-east",
            "south",
            "south-south-west",
            "south-west",
            "west-south-west",
            "west",
            "west-north-west",
            "north-west",
            "north-north-west",
        ];
        WORDS.get(self.index).copied().unwrap_or("north")
    }
}

/// The letters of the wind nearest to an azimuth.
///
/// # Degenerate input
/// Not a number: `N`.
#[must_use]
pub fn wind(azimuth_deg: f64, winds: Winds) -> &'static str {
    Wind::nearest(azimuth_deg, winds).name()
}

/// One of the two sides a plane can dip to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Side {
    /// Its letters on eight winds.
    pub wind: &'static str,
    /// Its azimuth, degrees.
    pub toward_deg: f64,
}

/// The two sides of a strike line, the westerly first; where they read N and S, the northerly first.
///
/// # Degenerate input
/// Not a number: both sides read N, and their azimuths are not numbers.
#[must_use]
pub fn sides(strike_deg: f64) -> [Side; 2] {
    let side = |turn: f64| {
        let toward_deg = wrap_deg(strike_deg + turn);
        Side {
            wind: wind(toward_deg, Winds::Eight),
            toward_deg,
        }
    };
    let (right, left) = (side(90.0), side(-90.0));
    let right_first = match right.wind {
        "N" => true,
        "S" => false,
        _ => turn_deg(0.0, right.toward_deg) < 0.0,
    };
    if right_first {
        [right, left]
    } else {
        [left, right]
    }
}
