//! An azimuth counted from north or south in a quadrant, as it stands on a dial: `N45E`, `s 45 w`, `N45½E`.

use super::number::{plain, typed};
use crate::orientation::angle::{Bound, wrap_deg};

/// What a text that starts like a quadrant bearing stands for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Quadrant {
    /// All of it is there: the azimuth it names, degrees.
    Whole(f64),
    /// The closing letter is still to come.
    Partial,
}

/// Reads a quadrant bearing in either case, with or without spaces.
///
/// # Degenerate input
/// Anything else, also over 90 from its end, and the strike line `E-W`: none.
pub(crate) fn quadrant(text: &str) -> Option<Quadrant> {
    let text = text.trim();
    // The keypad's own digits, at every key: nothing is allocated.
    if text.is_empty() || text.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    let upper = plain(text).to_ascii_uppercase();
    let body = upper.trim();
    let (south, body) = match body.strip_prefix('N') {
        Some(rest) => (false, rest),
        None => (true, body.strip_prefix('S')?),
    };
    let (west, number) = match (body.strip_suffix('E'), body.strip_suffix('W')) {
        (Some(number), _) => (Some(false), number),
        (_, Some(number)) => (Some(true), number),
        _ => (None, body),
    };
    let number = number.trim();
    if number.is_empty() && west.is_none() {
        return Some(Quadrant::Partial);
    }
    // A decimal point that is still waiting for its decimal.
    let whole = number.trim_end_matches(['.', ',']);
    let deg = typed(whole)?.deg;
    if number.starts_with(['-', '+']) || !Bound::DIP.holds(deg) {
        return None;
    }
    let Some(west) = west else {
        return Some(Quadrant::Partial);
    };
    Some(Quadrant::Whole(wrap_deg(match (south, west) {
        (false, false) => deg,
        (false, true) => 360.0 - deg,
        (true, false) => 180.0 - deg,
        (true, true) => 180.0 + deg,
    })))
}

/// The azimuth that stands on a dial, in digits or by its quadrant, degrees and not yet wrapped; `None` where it is neither.
pub fn azimuth_typed(text: &str) -> Option<f64> {
    match quadrant(text) {
        Some(Quadrant::Whole(deg)) => Some(deg),
        Some(Quadrant::Partial) => None,
        None => typed(text).map(|t| t.deg),
    }
}
