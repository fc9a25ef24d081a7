//! The line-work of the book as SVG text: pure functions, tested natively.
//!
//! Nothing here knows what a reading or a plane is: angles come in as degrees, and out comes one `<svg>` element.
//! Every drawing is hidden from a screen reader (its sentence is spoken instead), carries no inline style, and names
//! no colour: `currentColor` and the classes of `style/drawing.css`, which read the tokens, do.
//! A number that is not finite is drawn as zero, never written.

pub(super) mod pen;

mod sign;
pub use sign::{LineState, doubt_sign, state_sample};

mod icon;
pub use icon::{Icon, icon};

mod symbol;
pub use symbol::{line_symbol, symbol};

mod limb;
pub use limb::{Limb, Scale, limb};

mod side;
pub use side::side_disc;

mod net;
pub use net::{Mark, MarkForm, Net, OpenPlane, net, project};

mod spread;
pub use spread::spread;

mod residual;
pub use residual::{ResidualBar, residual_bar, residual_link, small_bars};

mod profile;
pub use profile::profile;

mod stood;
pub use stood::{StoodLook, stood_edge, stood_end, stood_lid};

mod fix;
pub use fix::fix;

mod declination;
pub use declination::{Circle, declination};

mod book_line;
pub use book_line::{book_line, start_line};

mod join_lines;
pub use join_lines::{OtherBook, join_lines};

mod upright_section;
pub use upright_section::{Shown, UprightSection, three_places, upright_section};

mod strip_map;
pub use strip_map::{Layout, MapSign, MapStation, Room, lay_out, length, strip_map};

mod lettering;
pub use lettering::Placed;

#[cfg(test)]
mod tests;
