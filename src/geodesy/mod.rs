//! Where north is and how far it is: declination, the map grid, sightings and compass traverses on WGS 84.
//!
//! Pure: time comes in as an argument. Positions are geodetic degrees, north and east positive; lengths are metres.

mod error;

pub use error::Error;

pub mod magnetic;

pub use magnetic::{DecimalYear, Field, Zone};

pub mod grid;

pub mod equal_area;

pub mod sighting;

pub mod traverse;

pub mod attraction;
