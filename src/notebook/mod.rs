//! Records, the ledger of immutable entries, join, and the doubts of a book: pure, no clock, no browser.

mod record;

pub mod kinds;

mod set_up;

mod counts;

pub mod attitude;

mod entry;

mod ledger;

mod merge;

pub mod settle;

pub mod clocks;

pub mod reset;

pub mod north;

pub mod company;

pub mod sight;

mod undo;

mod pages;

pub mod beyond;

pub mod photos;

pub mod twins;

pub mod namesakes;

pub mod join;

pub mod places;

pub mod structure;

pub use structure::{Datum, Wanted};

pub mod figures;

pub mod around;

pub mod versions;

pub mod reckoning;

pub(crate) mod canonical;

pub use counts::declination;

pub use attitude::{Attitude, CountsFrom, Found, KEEP, Settled};
pub use beyond::Beyond;
pub use clocks::ClockJump;
pub use entry::{Act, Entry, EntryId, Error, RecordId, Stamp};
pub(crate) use entry::{in_digits, stated_id};
pub(crate) use merge::{instant_s, utc_text};

pub use ledger::{Cloned, Ledger, Mark, State};
pub use namesakes::Namesakes;
pub use pages::{Day, Line, Pages, Since, StationPage};
pub use record::{
    Accepted, Body, Book, Form, North, Notation, Origin, Photo, Position, Reading, SetUp, Shot,
    Sighting, Station, Tops,
};
pub use reset::Change;
pub use twins::Twins;
pub use undo::{Undo, Undone, act_words, undo_of};
