//! Faults: slip and its axes, conjugate pairs, right dihedra, and the stress that many faults speak for.
//!
//! Every result here is a model of rock that slipped along its resolved shear: it says what such rock would do, not what this
//! rock did.

mod slip;

pub use slip::{Sense, Slip};

mod conjugate;

pub use conjugate::{Conjugate, conjugate};

mod dihedra;

pub use dihedra::{Dihedra, right_dihedra};

mod stress;

pub use stress::{Principal, Stress, invert, invert_resampled, mean_axes};
