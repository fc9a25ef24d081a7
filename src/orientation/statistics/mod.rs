//! Numbers about many directions: each with its count, its uncertainty, its method and its source.
//!
//! Vectors are of unit length, north, east, down. Angles are in degrees. Where nothing can be said (too few, all alike, no
//! mean) the answer is `None`, never a number that stands for nothing.

mod random;

pub use random::Random;

mod tensor;

pub use tensor::{Eigen, Errors, Tensor};

mod directions;

pub use directions::{Fisher, fisher};

mod axes;

pub(in crate::orientation) use axes::ellipse_of;
pub use axes::{Ellipse, Which, axis_ellipse, axis_ellipse_resampled};

mod two_means;

pub use two_means::TwoMeans;

pub mod circular;

mod uniformity;

pub use uniformity::{critical_mean_resultant, uniform_axes, uniform_directions};

mod two_samples;

pub use two_samples::{two_axes, two_axes_permuted, two_directions};

/// The answer of a test.
#[derive(Clone, Debug, PartialEq)]
pub struct Test {
    /// What was computed.
    pub statistic: f64,
    /// How often chance alone gives as much or more, 0 to 1.
    pub p: f64,
    /// The name of the test and the distribution it was held against.
    pub method: &'static str,
    /// Who described it.
    pub source: &'static str,
}

#[allow(clippy::cast_precision_loss)] // a count of readings stays far below 2⁵³
pub(in crate::orientation) fn as_f64(count: usize) -> f64 {
    count as f64
}
