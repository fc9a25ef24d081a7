//! Records, the ledger of immutable entries, join, and the doubts of a book: pure, no clock, no browser.

mod record;

pub use record::{
    Accepted, Body, Book, Form, North, Notation, Position, Reading, SetUp, Shot, Station, Tops,
};
