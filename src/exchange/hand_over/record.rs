//! The columns that the tables of records share: each is named, explained and filled once.

use crate::notebook::{Accepted, Line};

use super::column::{Cell, Column};

/// A row that is one record of the book.
pub(super) trait OfRecord {
    /// The record.
    fn line(&self) -> &Line;
    /// The station it belongs to, where it is none itself.
    fn station(&self) -> Option<&Line> {
        None
    }
    /// The doubts that nobody has settled, in words.
    fn doubts(&self) -> &[String] {
        &[]
    }
    /// The answers a person gave to doubts.
    fn accepted(&self) -> &[Accepted] {
        &[]
    }
}

impl<T: OfRecord> Column<T> {
    pub(super) const fn by() -> Self {
        Self::text("by", "The initials of who wrote what is shown.", |row| {
            Cell::text(&row.line().entry().stamp().by)
        })
    }

    pub(super) const fn doubts_open(meaning: &'static str) -> Self {
        Self::whole("doubts_open", meaning, |row| {
            Cell::count(row.doubts().len())
        })
    }

    pub(super) const fn doubts() -> Self {
        Self::text("doubts", "Those doubts, in words.", |row| {
            Cell::words(row.doubts().join("; "))
        })
    }

    pub(super) const fn doubts_settled() -> Self {
        Self::whole(
            "doubts_settled",
            "How many answers a person gave to doubts about it.",
            |row| Cell::count(row.accepted().len()),
        )
    }

    pub(super) const fn answers(meaning: &'static str) -> Self {
        Self::text("answers", meaning, |row| {
            Cell::words(answers(row.accepted()))
        })
    }

    pub(super) const fn accepted_json() -> Self {
        Self::text("accepted", ACCEPTED, |row| accepted_json(row.accepted()))
    }

    pub(super) const fn struck_out(meaning: &'static str) -> Self {
        Self::flag("struck_out", meaning, |row| {
            let of_station = row.station().is_some_and(Line::is_struck_out);
            Cell::Flag(row.line().is_struck_out() || of_station)
        })
    }

    pub(super) const fn contested() -> Self {
        Self::flag(
            "contested",
            "True: two people changed the same field and nobody has settled it yet; the version that the book shows stands here.",
            |row| Cell::Flag(row.line().is_contested()),
        )
    }

    pub(super) const fn record() -> Self {
        Self::text(
            "record",
            "The record's id, the same in every copy of the book.",
            |row| Cell::text(row.line().record().as_str()),
        )
    }

    pub(super) const fn entry() -> Self {
        Self::text(
            "entry",
            "The id of the entry whose content stands here: the SHA-256 of its canonical JSON.",
            |row| Cell::words(row.line().entry().id().to_string()),
        )
    }
}

pub(super) const ACCEPTED: &str =
    "The answers a person gave to doubts about it, whole, as JSON; a shot is counted from 0 there.";

/// What a person answered, whole; nothing where there is no answer.
pub(super) fn accepted_json(accepted: &[Accepted]) -> Cell<'static> {
    if accepted.is_empty() {
        return Cell::Nothing;
    }
    // An answer can always be written as JSON.
    Cell::words(serde_json::to_string(accepted).unwrap_or_default())
}

/// What a person answered, in words: `036, then dip 1 (by K.O.)`.
fn answers(accepted: &[Accepted]) -> String {
    let words: Vec<String> = accepted
        .iter()
        .map(|answer| {
            if answer.by.is_empty() {
                answer.choice.clone()
            } else {
                format!("{} (by {})", answer.choice, answer.by)
            }
        })
        .collect();
    words.join("; ")
}
