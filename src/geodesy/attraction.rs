//! Local attraction: fore and back bearings that are not 180° apart, and what each station turns the needle by.
//!
//! Iron, a power line or magnetite near a station turns every bearing read there by the same angle. Where the fore and back
//! bearing of a line agree, both its ends are taken to be free of it (common practice); from there the corrections are worked
//! along the lines: the right bearing at a corrected end gives the right one at the other, and so that station's correction.
//!
//! What it cannot see: two stations that turn the needle by the same angle agree with each other.
//!
//! ```text
//!      A ───────── B ───────── C          at C the needle is turned by some angle:
//!      fore 070    fore 100    back 285   B–C should read 100 and 280, so the correction
//!      back 250 ✓                         at C is 280 − 285 = −5, for all that was read there
//! ```

use std::f64::consts::SQRT_2;

use crate::orientation::Azimuth;
use crate::orientation::SET_UP_LIMIT;
use crate::orientation::angle::turn_deg;

use super::error::{Error, Kind, within};

/// A line between two stations, sighted from both ends against the same north.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sighted {
    /// The station it was sighted from, an index.
    pub from: usize,
    /// The station at its other end, an index.
    pub to: usize,
    /// As read at the first.
    pub fore: Azimuth,
    /// As read at the other, towards the first.
    pub back: Azimuth,
}

impl Sighted {
    /// By how much fore and back bearing are off 180° apart, degrees in (−180, 180]: fore + 180 less back.
    #[must_use]
    pub fn off_deg(&self) -> f64 {
        turn_deg(self.back.deg(), self.fore.deg() + 180.0)
    }
}

/// What is added to a bearing read at a station.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Correction {
    /// Added to every bearing read there, clockwise positive, degrees.
    pub deg: f64,
    /// Its standard deviation, degrees; nil at a station that is taken to be free.
    pub sd_deg: f64,
    /// How many lines away the nearest free station is.
    pub lines: usize,
}

impl Correction {
    /// The bearing as it would be without local attraction.
    #[must_use]
    pub fn apply(&self, read: Azimuth) -> Azimuth {
        Azimuth::wrapped(read.rad() + crate::orientation::angle::radians(self.deg))
    }
}

/// A line and what it shows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Found {
    /// By how much fore and back bearing were off 180° apart, degrees.
    pub off_deg: f64,
    /// Whether that is within what reading them allows, so that both ends count as free.
    pub free: bool,
    /// What is still off when both ends are corrected, degrees: a misreading, or an attraction that is not the same for both
    /// lines of a station; `None` where an end has no correction.
    pub left_deg: Option<f64>,
}

/// Which lines are free of local attraction, and the correction of every station that can be reached from one.
#[derive(Clone, Debug, PartialEq)]
pub struct Attraction {
    /// In the order of the lines given.
    pub lines: Vec<Found>,
    /// By station; `None` where no line leads to it from a free one.
    pub stations: Vec<Option<Correction>>,
}

/// Works the corrections for local attraction along the lines.
///
/// # Units
/// The standard deviation of one bearing in degrees. A line counts as free when it is off by no more than
/// [`SET_UP_LIMIT`] × √2 of it.
///
/// # Degenerate input
/// No lines, or none that is free, gives no corrections: nothing says which end is right. A station reached over two ways takes
/// the one with fewer lines, and the other shows what is left. Two lines between the same stations are both used.
///
/// # Errors
/// A line to a station that is not among them, or from a station to itself; a standard deviation below 0 or over 45.
pub fn attraction(
    stations: usize,
    lines: &[Sighted],
    bearing_sd_deg: f64,
) -> Result<Attraction, Error> {
    let sd_deg = SQRT_2
        * within(
            "standard deviation of a bearing",
            bearing_sd_deg,
            0.0,
            45.0,
            " degrees",
        )?;
    for line in lines {
        if line.from == line.to || line.from.max(line.to) >= stations {
            return Err(Kind::NoStation {
                from: line.from,
                to: line.to,
                stations,
            }
            .into());
        }
    }
    // Numbers come back from radians to 1e-10 of a degree: equal bearings are not told apart by that.
    let allowed_deg = SET_UP_LIMIT * sd_deg + 1e-9;
    let free = |line: &Sighted| line.off_deg().abs() <= allowed_deg;
    let mut corrections: Vec<Option<Correction>> = vec![None; stations];
    for line in lines.iter().filter(|line| free(line)) {
        for end in [line.from, line.to] {
            corrections[end] = Some(Correction {
                deg: 0.0,
                sd_deg: 0.0,
                lines: 0,
            });
        }
    }
    // One line further each round, so that the nearest free station decides.
    for round in 1..stations {
        let mut reached = Vec::new();
        for line in lines {
            // fore + c(from) + 180 = back + c(to)
            let off_deg = line.off_deg();
            for (known, open, step_deg) in [
                (line.from, line.to, off_deg),
                (line.to, line.from, -off_deg),
            ] {
                if let (Some(correction), None) = (corrections[known], corrections[open]) {
                    reached.push((
                        open,
                        Correction {
                            deg: turn_deg(0.0, correction.deg + step_deg),
                            sd_deg: correction.sd_deg.hypot(sd_deg),
                            lines: round,
                        },
                    ));
                }
            }
        }
        if reached.is_empty() {
            break;
        }
        for (open, correction) in reached {
            corrections[open].get_or_insert(correction);
        }
    }
    let lines = lines
        .iter()
        .map(|line| Found {
            off_deg: line.off_deg(),
            free: free(line),
            left_deg: corrections[line.from]
                .zip(corrections[line.to])
                .map(|(from, to)| turn_deg(to.deg, line.off_deg() + from.deg)),
        })
        .collect();
    Ok(Attraction {
        lines,
        stations: corrections,
    })
}
