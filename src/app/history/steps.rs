//! The history of a record: every entry in order, who made it, on which tablet, when, and what it changed.

use super::changes::{Changed, changes};
use crate::app::outcrop::kinds;
use crate::app::who;
use crate::app::written;
use crate::notebook::namesakes::Taken;
use crate::notebook::{
    Act, Body, Entry, EntryId, Ledger, Notation, Pages, RecordId, State, attitude,
};

/// Whether an entry is what the record says now.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stands {
    /// It is what the record says now.
    Now,
    /// Two people changed the same field: it is one of the versions, by its letter.
    Version(char),
    /// What it changed is part of what was put together below it.
    Part,
    /// A later entry took its place.
    Before,
}

/// One entry of a record's history.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Step {
    /// The entry's id.
    pub id: String,
    /// What was done: `corrected`.
    pub did: String,
    /// Who, on which tablet.
    pub author: String,
    /// When, as that tablet's clock wrote it.
    pub when: String,
    /// Why, where a person said so.
    pub why: Option<String>,
    /// What it changed.
    pub changes: Vec<Changed>,
    /// What the record then said, in one piece; empty where it has no value of its own.
    pub value: String,
    /// It withdrew the record.
    pub struck: bool,
    /// Whether it still stands.
    pub stands: Stands,
    /// It follows an entry that this book does not have.
    pub follows_missing: bool,
}

/// The whole history of a record.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct History {
    /// `47·3 bedding`, `station 47, Slab top`.
    pub title: String,
    /// Every entry, the first that was made first.
    pub steps: Vec<Step>,
    /// Two people changed the same field, and nobody has settled it.
    pub contested: bool,
    /// Where the record opens.
    pub opens: Opens,
}

/// Where a record opens.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Opens {
    /// As the open reading.
    Reading,
    /// As the open sighting.
    Sighting,
    /// On the page of its station, by number.
    Station(u32),
    /// On the page of the photo.
    Photo,
    /// On the page of the set-up.
    SetUp,
    /// In Camp.
    Camp,
}

/// The letter of a version, A for the one that is shown.
pub fn letter(index: usize) -> char {
    u8::try_from(index)
        .ok()
        .and_then(|index| b'A'.checked_add(index))
        .filter(u8::is_ascii_uppercase)
        .map_or('Z', char::from)
}

/// What a record is called on the page.
pub fn title(pages: &Pages, ledger: &Ledger, record: &str) -> (String, Opens) {
    title_of(pages, ledger.state(record).body())
}

/// What a record of this content is called, and where it opens.
pub fn title_of(pages: &Pages, body: Option<&Body>) -> (String, Opens) {
    let number = |station: &str| {
        let page = pages.station(station);
        page.map_or("?".to_owned(), |page| page.line().number().to_string())
    };
    match body {
        Some(Body::Reading(reading)) => {
            let station = number(&reading.station);
            (
                format!(
                    "{station}·{} {}",
                    reading.number,
                    kinds::words(&reading.kind)
                ),
                Opens::Reading,
            )
        }
        Some(Body::Station(station)) => {
            let name = match station.name.as_str() {
                "" => String::new(),
                name => format!(", {name}"),
            };
            (
                format!("Station {}{name}", station.number),
                Opens::Station(station.number),
            )
        }
        Some(Body::Sighting(sighting)) => {
            let station = number(&sighting.station);
            (
                format!("Sighting {station}·S{}", sighting.number),
                Opens::Sighting,
            )
        }
        Some(Body::Photo(photo)) => {
            let name = Taken::Photo.name(&number(&photo.station), photo.number);
            (format!("Photo {name}"), Opens::Photo)
        }
        Some(Body::SetUp(set_up)) => {
            let name = match set_up.name.as_str() {
                "" => "Transit",
                name => name,
            };
            (format!("Set-up {name}"), Opens::SetUp)
        }
        Some(Body::Book(_)) => ("What the book is called".to_owned(), Opens::Camp),
        Some(other) => (other.kind().replace('-', " "), Opens::Camp),
        None => ("A record that is struck out".to_owned(), Opens::Camp),
    }
}

/// The history of a record; `None` where the book has no such record. `own` is this tablet's name.
pub fn history(
    pages: &Pages,
    ledger: &Ledger,
    record: &str,
    notation: Notation,
    own: &str,
) -> Option<History> {
    let entries = ledger.history(record);
    if entries.is_empty() {
        return None;
    }
    let state = ledger.state(record);
    let tips: Vec<&Entry> = match &state {
        State::Absent => Vec::new(),
        State::Kept { entry, .. } | State::StruckOut { entry, .. } => vec![entry],
        State::Contested { shown, others, .. } => std::iter::once(shown).chain(others).collect(),
    };
    let heads: Vec<EntryId> = state.heads().to_vec();
    let contested = state.is_contested();
    let stands = |entry: &Entry| {
        let tip = tips.iter().position(|tip| tip.id() == entry.id());
        match tip {
            Some(index) if contested => Stands::Version(letter(index)),
            Some(_) => Stands::Now,
            None if heads.contains(&entry.id()) => Stands::Part,
            None => Stands::Before,
        }
    };
    let step = |entry: &Entry| {
        let before = ledger.before(entry);
        let legible = before.as_ref().map(|before| last_legible(ledger, before));
        Step {
            id: entry.id().to_string(),
            did: did(entry),
            author: who::author(entry.stamp(), own),
            when: who::when(&entry.stamp().at),
            why: entry.why().map(str::to_owned),
            changes: changes(pages, legible.as_ref(), entry),
            value: value(pages, entry, notation),
            struck: entry.strikes_out(),
            stands: stands(entry),
            follows_missing: entry.supersedes().iter().any(|id| ledger.get(id).is_none()),
        }
    };
    let mut steps: Vec<Step> = entries.into_iter().map(step).collect();
    // What every tablet puts together for itself is no entry of the ledger, but it is what the page shows.
    let merged = tips.iter().filter(|tip| ledger.get(&tip.id()).is_none());
    steps.extend(merged.map(|tip| Step {
        follows_missing: false,
        changes: Vec::new(),
        ..step(tip)
    }));
    let (title, opens) = title(pages, ledger, record);
    Some(History {
        title,
        steps,
        contested,
        opens,
    })
}

/// The last content before a strike-out; the entry itself where it has content.
fn last_legible(ledger: &Ledger, entry: &Entry) -> Entry {
    let mut entry = entry.clone();
    // A record is never struck out so often that this matters; a circle of damaged entries must end too.
    for _ in 0..64 {
        if !entry.strikes_out() {
            break;
        }
        match ledger.before(&entry) {
            Some(before) => entry = before,
            None => break,
        }
    }
    entry
}

/// What an entry did, in words.
fn did(entry: &Entry) -> String {
    match entry.act() {
        Act::Write => "written",
        Act::Correct => "corrected",
        Act::StrikeOut if entry.strikes_out() => "struck out",
        Act::StrikeOut => "a shot struck out",
        Act::PutBack => "put back",
        Act::Undo if entry.strikes_out() => "undone: withdrawn again",
        Act::Undo => "undone",
        Act::Redo => "done again",
        Act::Accept => "a doubt settled",
        Act::Settle if entry.strikes_out() => "settled: struck out",
        Act::Settle => "settled",
        Act::Reset => "north put right",
        Act::Renumber => "renumbered",
        Act::BringIn => "brought in",
        Act::Tie => "tied to another station, or told apart from it",
        Act::Merge => "put together by the book",
        Act::Other(name) => return name.replace(['-', '_'], " "),
    }
    .to_owned()
}

/// What the record said after an entry, in one piece.
pub fn value(pages: &Pages, entry: &Entry, notation: Notation) -> String {
    match entry.body() {
        Some(Body::Reading(reading)) => {
            written::value(reading, &attitude::in_book(pages, reading), notation)
        }
        Some(Body::Sighting(sighting)) => sighting.bearing.clone().unwrap_or_default(),
        _ => String::new(),
    }
}

/// The address of a record's history.
pub fn path(record: &RecordId) -> String {
    format!("/traverse/history/{record}")
}

#[cfg(test)]
mod tests;
