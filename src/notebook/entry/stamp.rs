//! Who made an entry, and what was done with it.

use std::borrow::Cow;

use serde::{Deserialize, Serialize};

/// Who made an entry, on what and when. The counter orders a device's own entries; the clock only says what it showed.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Stamp {
    /// The person's initials.
    pub by: String,
    /// The device's name, a UUID as text; empty in an entry that every device computes for itself.
    pub device: String,
    /// Counts the device's entries from 1.
    pub counter: u64,
    /// What the clock showed, RFC 3339 with its offset.
    pub at: String,
}

/// What a person, or the book itself, did.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Act {
    /// Wrote a record for the first time.
    Write,
    /// Changed something of it.
    Correct,
    /// Withdrew it; it stays legible.
    StrikeOut,
    /// Took the strike-out back.
    PutBack,
    /// Took the device's last act back.
    Undo,
    /// Did again what was undone.
    Redo,
    /// Took one of a doubt's choices.
    Accept,
    /// Chose between two versions of the same field.
    Settle,
    /// Had its north or its set-up put right afterwards; the dials stay as read.
    Reset,
    /// Gave a station, a reading, a sighting or a photo another number, where two had one.
    Renumber,
    /// Tied a station to another that is the same outcrop, or said that it is another.
    Tie,
    /// Was brought in by a table, with all that the table brought.
    BringIn,
    /// The book itself put together two changes of different fields.
    Merge,
    /// An act of a newer version, by its name.
    #[serde(untagged)]
    Other(String),
}

impl Act {
    /// The act of a name as it stands in a file.
    pub(super) fn from_word(word: Cow<'_, str>) -> Self {
        match &*word {
            "write" => Self::Write,
            "correct" => Self::Correct,
            "strike-out" => Self::StrikeOut,
            "put-back" => Self::PutBack,
            "undo" => Self::Undo,
            "redo" => Self::Redo,
            "accept" => Self::Accept,
            "settle" => Self::Settle,
            "reset" => Self::Reset,
            "renumber" => Self::Renumber,
            "tie" => Self::Tie,
            "bring-in" => Self::BringIn,
            "merge" => Self::Merge,
            _ => Self::Other(word.into_owned()),
        }
    }
}
