//! Undo as one more entry: what a device did last, its name, and its inverse. Derived from the ledger, so it outlives a restart.

use std::collections::HashSet;

use super::entry::{Act, Entry, EntryId, RecordId, Stamp};
use super::ledger::Ledger;
use super::record::{Body, Reading, Shot};

/// What the undo plate does if the person presses it: one entry, or several that were one act.
#[derive(Clone, Debug, PartialEq)]
pub struct Undo {
    /// What stands on the plate: "Undo strike out", "Redo shot 2", "Undo change of north, 31 records".
    pub words: String,
    /// [`Act::Undo`] or [`Act::Redo`].
    pub act: Act,
    /// The record it concerns: of several the one that was written last.
    pub record: RecordId,
    /// What the new entry supersedes.
    pub supersedes: Vec<EntryId>,
    /// The content it brings back; `None` strikes out what had just been written.
    pub body: Option<Body>,
    /// The other records of the same act, from the last back; they are undone in the same moment.
    pub also: Vec<Undone>,
}

/// One more record that an act concerned.
#[derive(Clone, Debug, PartialEq)]
pub struct Undone {
    /// The record.
    pub record: RecordId,
    /// What the new entry supersedes.
    pub supersedes: Vec<EntryId>,
    /// The content it brings back.
    pub body: Option<Body>,
}

impl Undo {
    /// The entries to be written, with counters from the stamp's on: the act's own record first. All have the same clock
    /// reading, so that they are one act again.
    pub fn entries(&self, stamp: &Stamp) -> Vec<Entry> {
        let first = (&self.record, &self.supersedes, &self.body);
        let rest = self
            .also
            .iter()
            .map(|u| (&u.record, &u.supersedes, &u.body));
        std::iter::once(first)
            .chain(rest)
            .zip(stamp.counter..)
            .map(|((record, supersedes, body), counter)| {
                Entry::new(
                    record.clone(),
                    supersedes.iter().copied(),
                    Stamp {
                        counter,
                        ..stamp.clone()
                    },
                    self.act.clone(),
                    None,
                    body.clone(),
                )
            })
            .collect()
    }
}

/// How to take back what a device did last, or to do it again when the last thing it did was to take it back.
///
/// Entries that put north right, give new numbers, or came with a table, are one act where they follow each other by their counters with the
/// same clock reading and, but for new numbers, the same reason, each of another record; and so is what took them back. Of such an act every record is taken back but
/// those that somebody has since built on, and the words count them.
///
/// # Degenerate input
/// `None` when the device has done nothing, or when somebody has since built on its last entry.
pub fn undo_of(ledger: &Ledger, device: &str) -> Option<Undo> {
    let mut latest = ledger
        .latest_of(device)
        .filter(|entry| *entry.act() != Act::Merge);
    let last = latest.next()?;
    let stands = |entry: &Entry| {
        let heads = ledger.heads(entry.record().as_str());
        heads.iter().any(|head| head.id() == entry.id())
    };
    let undone = |entry: &Entry| Undone {
        record: entry.record().clone(),
        supersedes: vec![entry.id()],
        body: ledger
            .before(entry)
            .and_then(|before| before.body().cloned()),
    };
    let mut act = vec![last];
    if let Some(began) = joint_act(ledger, last) {
        let mut records = HashSet::from([last.record()]);
        let mut counter = last.stamp().counter;
        act.extend(latest.take_while(|entry| {
            let follows = entry.stamp().counter + 1 == counter
                && entry.stamp().at == last.stamp().at
                && entry.act() == last.act()
                && joint_act(ledger, entry).is_some_and(|other| {
                    // New numbers for stations and for readings are given in one act, each with its reason.
                    let reason = *began.act() == Act::Renumber || other.why() == began.why();
                    other.act() == began.act() && reason
                })
                && records.insert(entry.record());
            counter = entry.stamp().counter;
            follows
        }));
    }
    let count = act.len();
    let standing: Vec<&Entry> = act.into_iter().filter(|entry| stands(entry)).collect();
    let (first, rest) = standing.split_first()?;
    let (verb, act) = if *last.act() == Act::Undo {
        ("Redo", Act::Redo)
    } else {
        ("Undo", Act::Undo)
    };
    let mut words = format!("{verb} {}", act_words(ledger, last));
    if standing.len() < count {
        words.push_str(&format!(", {} of {count} records", standing.len()));
    } else if count > 1 {
        words.push_str(&format!(", {count} records"));
    }
    let Undone {
        record,
        supersedes,
        body,
    } = undone(first);
    Some(Undo {
        words,
        act,
        record,
        supersedes,
        body,
        also: rest.iter().map(|entry| undone(entry)).collect(),
    })
}

/// The entry of an act over several records of which an entry is the act itself, its undo or its redo; `None` where it is none.
fn joint_act(ledger: &Ledger, entry: &Entry) -> Option<Entry> {
    let began = began(ledger, entry);
    matches!(began.act(), Act::Reset | Act::Renumber | Act::BringIn).then_some(began)
}

/// What an undo or a redo is about, however often it went to and fro; any other entry itself.
fn began(ledger: &Ledger, entry: &Entry) -> Entry {
    let mut entry = entry.clone();
    let mut seen = HashSet::new();
    while matches!(entry.act(), Act::Undo | Act::Redo) && seen.insert(entry.id()) {
        match ledger.before(&entry) {
            Some(before) => entry = before,
            None => break,
        }
    }
    entry
}

/// What an entry did, in the words of the undo plate; of an undo or a redo, what it was about.
pub fn act_words(ledger: &Ledger, entry: &Entry) -> String {
    let entry = began(ledger, entry);
    match entry.act() {
        Act::StrikeOut => "strike out".to_owned(),
        Act::PutBack => "put back".to_owned(),
        Act::Accept => "accept".to_owned(),
        Act::Settle => "settle".to_owned(),
        Act::Reset => "change of north".to_owned(),
        Act::Renumber => "new number".to_owned(),
        Act::Tie => "same outcrop".to_owned(),
        Act::BringIn => "table".to_owned(),
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
            } else if before.unit != after.unit {
                "unit"
            } else {
                "correction"
            };
            what.to_owned()
        }
        (Some(Body::SetUp(_)), Some(Body::SetUp(_))) => "set-up".to_owned(),
        (Some(Body::Photo(before)), Some(Body::Photo(after))) if before.note != after.note => {
            "note".to_owned()
        }
        (Some(_), Some(_)) => "correction".to_owned(),
        (None, Some(Body::Reading(reading))) if reading.shots.len() == 1 => "shot 1".to_owned(),
        (None, Some(Body::Station(station))) => format!("station {}", station.number),
        (None, Some(Body::Photo(photo))) => format!("photo {}", photo.number),
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
    } else if before.sense != after.sense {
        "sense of slip".to_owned()
    } else if before.note != after.note {
        "note".to_owned()
    } else {
        "correction".to_owned()
    }
}
