//! Reckoned from readings of the book, never from numbers typed again: chosen records in, a result with its working out.
//!
//! [`reckon`] looks the records up; the functions below it take values and give values.

mod spread;

pub use spread::Sure;

mod given;

pub use given::{AzimuthIn, EitherIn, HEIGHT_TIMES, LineIn, PlaceIn, PlaneIn, RADIUS_68, WayIn};

mod answer;

pub use answer::{Drawing, Figure, Hand, Measured, Value, Worked, metres};

mod angles;

pub use angles::{angle, apparent_dip, intersection, plane_of_lines};

mod ground;

pub use ground::{depth, thickness, three_points};

mod tilt;

pub use tilt::{restored, restored_before};

mod asked;

pub use asked::{Asked, Slot, Takes, What};

mod chosen;

mod desk;

mod reckon;

pub use reckon::{Answer, Lack, Leads, Used, fits, reckon, sighting_between};
