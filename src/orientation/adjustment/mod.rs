//! The set-up adjusted: the plane and the line in it that best agree with all dials, and, where they do not, which slip made it so.
//!
//! Needle errors of strike and trend are taken as independent.

mod solve;

mod starts;

mod frame;

pub use frame::{Adjusted, FrameDials, Residual, adjust};

mod slips;

pub use slips::{Context, Exchanged, Priors, Slip};

mod undo;

pub(super) use undo::Typed;

mod diagnosis;

pub(super) use diagnosis::diagnose_typed;

pub use diagnosis::{Decide, Diagnosis, Explanation, Tried, diagnose};

mod words;

pub(super) use words::dials_word;
pub use words::odds_words;

pub mod company;

pub use company::{
    Company, CompanyExplanation, FoldDials, FractureDials, Member, MemberResidual, Stand,
    adjust_fold, adjust_fractures,
};
