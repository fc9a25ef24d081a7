//! Planes and lines as a compass reads them: pure, no I/O, no clock, nothing that knows what a station is.
//!
//! Frame: north, east, down. Angles are radians inside and degrees at every edge; names say which.

pub mod angle;

pub use angle::{
    Angle, Azimuth, Bearing, Bound, Convergence, Declination, Dip, Error, Grid, Magnetic, Plunge,
    Rake, True, Turn,
};

mod line;

pub use line::Line;

mod plane;

pub use plane::Plane;

mod polarity;

pub use polarity::Polarity;

mod wind;

pub use wind::{Side, Wind, Winds, sides, wind};

pub mod notation;

pub use notation::{
    Convention, PlaneStyle, Read, whole_line, whole_plane, write_azimuth, write_inclination,
    write_line, write_plane, write_plane_read,
};

mod doubt;

pub use doubt::{Choice, Dial, Doubt, DoubtKind, Severity};

mod noise;

pub use noise::Noise;

pub mod pair;

pub use pair::{Pair, Toward};

mod slip;

pub use slip::beyond;

mod dials;

pub use dials::{Dials, Reduced, SET_UP_LIMIT, reduce, reduce_in, reduce_with, unfinished};

pub mod adjustment;

pub use adjustment::{
    Adjusted, Context, Decide, Diagnosis, Explanation, FrameDials, Priors, Residual, Slip, Tried,
    adjust, diagnose, odds_words,
};

pub mod instrument;

pub use instrument::{
    Card, Edge, HingeEnd, Instrument, Normal, Numbers, Scales, Stood, Swing, default_noise,
    normalise,
};

mod mean;

pub use mean::{Mean, Offset, SCATTER_LIMIT, line_mean, plane_mean};

mod four;

pub mod projection;

pub use projection::{Hemisphere, Projection};

pub mod density;

pub use density::Density;

pub mod contour;

pub use contour::{Contour, contours};

pub mod statistics;

pub mod folds;

pub mod sets;

pub mod faults;

pub mod section;

pub mod classes;

pub mod neighbours;

pub mod next;
