//! The set-up adjusted: the plane and the line in it that best agree with all dials, and, where they do not, which slip made it so.
//!
//! Needle errors of strike and trend are taken as independent.

mod frame;

pub use frame::{Adjusted, FrameDials, Residual, adjust};

mod slips;

pub use slips::{Context, Exchanged, Priors, Slip};

mod diagnosis;

pub use diagnosis::{Decide, Diagnosis, Explanation, Tried, diagnose};

mod words;

pub use words::odds_words;
