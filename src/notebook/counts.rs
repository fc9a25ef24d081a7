//! Which north a bearing counts from, and by how much it is turned to count from true north.

use super::record::North;
use crate::orientation::{Convergence, Declination, Turn};

/// The north that a reading's plane and line count from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum CountsFrom {
    /// True north, as read.
    True,
    /// True north, turned from magnetic by this declination.
    TurnedBy(Declination),
    /// True north, turned from grid north by this convergence.
    TurnedByConvergence(Convergence),
    /// True north, put right: the card stood wrong when it was read, and azimuths are turned clockwise by so many degrees.
    PutRight(f64),
    /// Magnetic north: the declination is not known.
    Magnetic,
    /// Grid north: the convergence is not known.
    Grid,
    /// Nobody has said.
    Unknown,
}

impl CountsFrom {
    /// True when azimuths count from true north and may be compared with anybody's.
    pub fn is_true(self) -> bool {
        matches!(
            self,
            Self::True | Self::TurnedBy(_) | Self::TurnedByConvergence(_) | Self::PutRight(_)
        )
    }
}

/// What a bearing counts from, and by how much it is turned clockwise to count so; `None` where it is not turned.
///
/// - Card at zero: true = read + declination.
/// - Card turned: as read. Where the card is known to have stood wrong, true = read − what stood on it + what is right.
/// - Card set to grid north: the same, and then true = grid + convergence.
///
/// # Degenerate input
/// A declination that is not a number, or over its bound, is not known.
pub fn counts(
    north: North,
    right: Option<&str>,
    card: Option<&str>,
    convergence: Option<Convergence>,
) -> (CountsFrom, Option<Turn>) {
    let right = right.and_then(declination);
    let put_right_deg = match (right, card.and_then(declination)) {
        (Some(right), Some(card)) => right.deg() - card.deg(),
        _ => 0.0,
    };
    let turned = |deg: f64| {
        Turn::from_deg(deg % 360.0)
            .ok()
            .filter(|turn| turn.rad() != 0.0)
    };
    match (north, right, convergence) {
        (North::Unknown, ..) => (CountsFrom::Unknown, None),
        (North::Magnetic, None, _) => (CountsFrom::Magnetic, None),
        (North::Magnetic, Some(right), _) => (CountsFrom::TurnedBy(right), turned(right.deg())),
        (North::Grid, _, None) => (CountsFrom::Grid, turned(put_right_deg)),
        (North::True, ..) if put_right_deg == 0.0 => (CountsFrom::True, None),
        (North::True, ..) => (CountsFrom::PutRight(put_right_deg), turned(put_right_deg)),
        (North::Grid, _, Some(convergence)) if put_right_deg == 0.0 => (
            CountsFrom::TurnedByConvergence(convergence),
            turned(convergence.deg()),
        ),
        (North::Grid, _, Some(convergence)) => {
            let deg = put_right_deg + convergence.deg();
            (CountsFrom::PutRight(deg), turned(deg))
        }
    }
}

/// Reads a declination as typed: degrees east positive, `-3.5`, `3.5W`, `+2°`; `None` when it is none or beyond its bound.
pub fn declination(text: &str) -> Option<Declination> {
    let text = text.trim().replace(['−', '–'], "-").replace(',', ".");
    let (number, sign) = match text.char_indices().last()? {
        (end, 'W' | 'w') => (&text[..end], -1.0),
        (end, 'E' | 'e') => (&text[..end], 1.0),
        _ => (&*text, 1.0),
    };
    let number = number.trim_end().trim_end_matches(['°', 'º']).trim_end();
    let plain = |c: char| c.is_ascii_digit() || matches!(c, '.' | '+' | '-');
    if !number.chars().all(plain) {
        return None;
    }
    let deg: f64 = number.parse().ok()?;
    Declination::from_deg(sign * deg).ok()
}
