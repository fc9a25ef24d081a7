//! Undo as one more entry: what a device did last, its name, and its inverse. Derived from the ledger, so it outlives a restart.

use std::collections::HashSet;

use super::entry::{Act, Entry, EntryId, RecordId};
use super::ledger::Ledger;
use super::record::{Body, Reading, Shot};

/// The next entry's content if the person presses the undo plate.
#[derive(Clone, Debug, PartialEq)]
pub struct Undo {
    /// What stands on the plate: "Undo strike out", "Redo shot 2".
    pub words: String,
    /// [`Act::Undo`] or [`Act::Redo`].
    pub act: Act,
    /// The record it concerns.
    pub record: RecordId,
    /// What the new entry supersedes.
    pub supersedes: Vec<EntryId>,
    /// The content it brings back; `None` strikes out what had just been written.
    pub body: Option<Body>,
}

/// How to take back what a device did last, or to do it again when the last thing it did was to take it back.
///
/// # Degenerate input
/// `None` when the device has done nothing, or when somebody has since built on its last entry.
pub fn undo_of(ledger: &Ledger, device: &str) -> Option<Undo> {
    let last = ledger
        .latest_of(device)
        .find(|entry| *entry.act() != Act::Merge)?;
    let heads = ledger.heads(last.record().as_str());
    if !heads.iter().any(|head| head.id() == last.id()) {
        return None;
    }
    let before = ledger.before(last);
    let (verb, act) = if *last.act() == Act::Undo {
        ("Redo", Act::Redo)
    } else {
        ("Undo", Act::Undo)
    };
    Some(Undo {
        words: format!("{verb} {}", act_words(ledger, last)),
        act,
        record: last.record().clone(),
        supersedes: vec![last.id()],
        body: before.and_then(|before| before.body().cloned()),
    })
}

/// What an entry did, in the words of the undo plate; of an undo or a redo, what it was about.
pub fn act_words(ledger: &Ledger, entry: &Entry) -> String {
    let mut entry = entry.clone();
    let mut seen = HashSet::new();
    while matches!(entry.act(), Act::Undo | Act::Redo) && seen.insert(entry.id()) {
        match ledger.before(&entry) {
            Some(before) => entry = before,
            None => break,
        }
    }
    match entry.act() {
        Act::StrikeOut => "strike out".to_owned(),
        Act::PutBack => "put back".to_owned(),
        Act::Accept => "accept".to_owned(),
        Act::Settle => "settle".to_owned(),
        Act::Reset => "change of north".to_owned(),
        Act::Other(name) => name.replace('-', " "),
        Act::Write | Act::Correct | Act::Undo | Act::Redo | Act::Merge => {
            let before = ledger.before(&entry);
            changed(before.as_ref().and_then(Entry::body), entry.body())
        }
    }
}

fn changed(before: Option<&Body>, after: Option<&Body>) -> String {
    match (before, after) {
        (_, None) => "strike out".to_owned(),
        (Some(Body::Reading(before)), Some(Body::Reading(after))) => changed_reading(before, after),
        (Some(Body::Station(before)), Some(Body::Station(after))) => {
            let what = if before.note != after.note {
                "note"
            } else if before.position != after.position {
                "place"
            } else if before.name != after.name || before.number != after.number {
                "name"
            } else {
                "correction"
            };
            what.to_owned()
        }
        (Some(Body::SetUp(_)), Some(Body::SetUp(_))) => "set-up".to_owned(),
        (Some(_), Some(_)) => "correction".to_owned(),
        (None, Some(Body::Reading(reading))) if reading.shots.len() == 1 => "shot 1".to_owned(),
        (None, Some(Body::Station(station))) => format!("station {}", station.number),
        (None, Some(body)) => body.kind().to_owned(),
    }
}

fn changed_reading(before: &Reading, after: &Reading) -> String {
    let struck = |(before, after): (&Shot, &Shot)| before.struck_out != after.struck_out;
    let pairs = || before.shots.iter().zip(&after.shots);
    if after.shots.len() > before.shots.len() {
        format!("shot {}", after.shots.len())
    } else if let Some(shot) = pairs().position(struck) {
        let act = if after.shots[shot].struck_out {
            "strike out"
        } else {
            "put back"
        };
        format!("{act} shot {}", shot + 1)
    } else if before.shots != after.shots {
        "correction".to_owned()
    } else if before.accepted != after.accepted {
        "accept".to_owned()
    } else if before.kind != after.kind {
        "kind".to_owned()
    } else if before.tops != after.tops {
        "tops".to_owned()
    } else if before.note != after.note {
        "note".to_owned()
    } else {
        "correction".to_owned()
    }
}
