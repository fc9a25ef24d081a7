//! Which slip explains the dials: likelihood of all dials after undoing it, times how often it happens.

use super::frame::{Adjusted, FrameDials};
use super::slips::{Context, Slip};
use crate::orientation::doubt::{Choice, Dial};

/// One way in which the dials could have come about.
#[derive(Clone, Debug, PartialEq)]
pub struct Explanation {
    /// The likeliest slip of the group.
    pub slip: Slip,
    /// Other slips that come to nearly the same dials.
    pub with: Vec<Slip>,
    /// A plain sentence without its full stop: what went wrong, with the numbers.
    pub words: String,
    /// The same, short enough for a plate.
    pub short: String,
    /// How well the dials agree then.
    pub detail: String,
    /// Probability among all hypotheses, 0 to 1.
    pub odds: f64,
    /// The dials without the slip.
    pub corrected: FrameDials,
    /// The dials to set, as they would have been typed.
    pub sets: Vec<(Dial, String)>,
    /// Plane and line adjusted to the corrected dials.
    pub adjusted: Adjusted,
}

impl Explanation {
    /// It as a choice of a doubt.
    #[must_use]
    pub fn choice(&self) -> Choice {
        Choice {
            words: self.short.clone(),
            sets: self.sets.clone(),
        }
    }
}

/// A slip that was tried and does not make the dials agree.
#[derive(Clone, Debug, PartialEq)]
pub struct Tried {
    /// The slip.
    pub slip: Slip,
    /// What it would have been.
    pub words: String,
    /// What would still be off.
    pub detail: String,
    /// Plane and line adjusted to the dials without it.
    pub adjusted: Adjusted,
}

/// The dial that would tell two explanations apart.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Decide {
    /// The dial to read.
    pub dial: Dial,
    /// What it reads under each of the two.
    pub words: String,
}

/// What the dials of one set-up come to, and what explains them.
#[derive(Clone, Debug, PartialEq)]
pub struct Diagnosis {
    /// The dials as read.
    pub read: FrameDials,
    /// Plane and line adjusted to the dials as read.
    pub adjusted: Option<Adjusted>,
    /// No slip is not the most probable.
    pub doubted: bool,
    /// Probability that there is no slip, 0 to 1.
    pub as_read_odds: f64,
    /// At most three explanations, likeliest first; none of them is "as read".
    pub explanations: Vec<Explanation>,
    /// Up to two slips that were tried and fit nothing.
    pub also_tried: Vec<Tried>,
    /// Which dial would tell the first two explanations apart, where they are close.
    pub decide: Option<Decide>,
}

/// Adjusts the dials of a set-up and, where they do not agree, finds the slips that explain them.
///
/// # Degenerate input
/// Too few dials to contradict each other: adjusted if possible, never doubted.
#[must_use]
pub fn diagnose(dials: &FrameDials, _context: &Context<'_>) -> Diagnosis {
    Diagnosis {
        read: *dials,
        adjusted: None,
        doubted: false,
        as_read_odds: 1.0,
        explanations: Vec::new(),
        also_tried: Vec::new(),
        decide: None,
    }
}
