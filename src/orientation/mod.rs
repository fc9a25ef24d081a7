//! Planes and lines as a compass reads them: pure, no I/O, no clock, nothing that knows what a station is.
//!
//! Frame: north, east, down. Angles are radians inside and degrees at every edge; names say which.

mod doubt;

pub use doubt::{Choice, Dial, Doubt, DoubtKind, Severity};
