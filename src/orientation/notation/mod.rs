//! Written notation: `045/30`, `045/30SE`, `N45E/30SE`, `30→135`, `12→240`, `12 S60W`.

mod write;

pub use write::{
    PlaneStyle, whole_line, whole_plane, write_azimuth, write_inclination, write_line, write_plane,
    write_plane_read,
};

pub(crate) use write::quadrant as write_quadrant;

mod read;

pub use read::{Convention, Read, read};

mod pieces;

mod dialled;

pub(crate) use dialled::{Dialled, Meant, dialled};

mod quadrant;

pub use quadrant::azimuth_typed;
pub(crate) use quadrant::{Quadrant, quadrant};

mod number;

pub use number::number_typed;
pub(crate) use number::typed;
