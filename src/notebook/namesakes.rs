//! Readings, sightings and photos of one station that have one number: found, and put right with all of them kept.

use std::collections::{BTreeSet, HashMap, HashSet};

use crate::orientation::{Doubt, DoubtKind, Severity};

use super::canonical::short;
use super::entry::{Act, Entry, RecordId, Stamp};
use super::ledger::Ledger;
use super::pages::{Line, Pages, StationPage};
use super::record::Body;
use super::twins::{self, Known, Twins, changed};

/// So many of one number are told by what a person knows them by; the rest are counted.
const MOST_TOLD: usize = 6;

/// What is taken at a station and numbered there.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Taken {
    /// A reading: `47·2`.
    Reading,
    /// A sighting: `47·S2`.
    Sighting,
    /// A photo: `47·P2`.
    Photo,
}

impl Taken {
    /// All of them, in the order of a page.
    pub const ALL: [Self; 3] = [Self::Reading, Self::Sighting, Self::Photo];

    /// The kind of record as a file names it, which is its word too.
    pub fn kind(self) -> &'static str {
        match self {
            Self::Reading => "reading",
            Self::Sighting => "sighting",
            Self::Photo => "photo",
        }
    }

    /// The name of one as the book writes it.
    pub fn name(self, station: &str, number: u32) -> String {
        match self {
            Self::Reading => format!("{station}·{number}"),
            Self::Sighting => format!("{station}·S{number}"),
            Self::Photo => format!("{station}·P{number}"),
        }
    }

    fn lines(self, page: &StationPage) -> &[Line] {
        match self {
            Self::Reading => page.readings(),
            Self::Sighting => page.sightings(),
            Self::Photo => page.photos(),
        }
    }
}

/// Several of one station that have one number.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Namesakes {
    /// What they are.
    pub taken: Taken,
    /// Their station.
    pub station: RecordId,
    /// Its number.
    pub at: u32,
    /// The number that they share.
    pub number: u32,
    /// They themselves in the order of the page, with what a person knows each by; the first keeps the number.
    pub records: Vec<(RecordId, Known)>,
}

impl Namesakes {
    /// The name that they share: `47·2`, `47·S2`, `47·P2`.
    pub fn name(&self) -> String {
        self.taken.name(&self.at.to_string(), self.number)
    }

    /// What they are, their name and how often it stands: `Reading 47·2 twice`, `Photo 47·P2 3 times`.
    pub fn heading(&self) -> String {
        let kind = match self.taken {
            Taken::Reading => "Reading",
            Taken::Sighting => "Sighting",
            Taken::Photo => "Photo",
        };
        match self.records.len() {
            2 => format!("{kind} {} twice", self.name()),
            n => format!("{kind} {} {n} times", self.name()),
        }
    }

    /// The same as the command writes it: `47.2`, `47 sighting 2`, `photo 47·P2`.
    pub fn name_in_files(&self) -> String {
        match self.taken {
            Taken::Reading => format!("{}.{}", self.at, self.number),
            Taken::Sighting => format!("{} sighting {}", self.at, self.number),
            Taken::Photo => format!("photo {}", self.name()),
        }
    }

    /// What is doubted about them, in one sentence without a full stop, for a place that names each beside it.
    pub fn words(&self) -> String {
        let keeps = match self.records.len() {
            2 => "the first keeps it, and the other can have",
            _ => "the first keeps it, and each of the others can have",
        };
        format!("{}; {keeps} the next free one", self.share())
    }

    /// The same with what a person knows each of them by.
    pub fn in_full(&self) -> String {
        let mut named: Vec<String> = self
            .records
            .iter()
            .take(MOST_TOLD)
            .map(|(_, known)| self.known_words(known))
            .collect();
        let more = self.records.len() - named.len();
        if more > 0 {
            named.push(format!("{more} more"));
        }
        format!(
            "{}: {}; each but the first can have the next free one",
            self.share(),
            named.join(", ")
        )
    }

    /// What a person knows one of them by: what it is, who took it and when.
    pub fn known_words(&self, known: &Known) -> String {
        let what = match (self.taken, known.name.as_str()) {
            (_, "") => "one".to_owned(),
            (Taken::Reading, kind) => short(kind).into_owned(),
            (_, words) => format!("`{}`", short(words)),
        };
        let time = match known.at.get(10..16) {
            Some(time) if time.starts_with('T') => format!(" at {}", &time[1..]),
            _ => String::new(),
        };
        format!("{}{time}", known.whose(what))
    }

    fn share(&self) -> String {
        let count = match self.records.len() {
            2 => "two".to_owned(),
            n => n.to_string(),
        };
        format!(
            "{count} {}s of station {} are numbered {}",
            self.taken.kind(),
            self.at,
            self.number
        )
    }

    /// The doubt, which sets no dial.
    pub fn doubt(&self) -> Doubt {
        Doubt {
            kind: DoubtKind::NumberTwice,
            severity: Severity::Doubt,
            dial: None,
            message: self.in_full(),
            choices: Vec::new(),
        }
    }
}

/// What stands at one station under one number, in the order of the stations and of their pages.
///
/// # Degenerate input
/// What is struck out, what was taken at a struck-out station, and what names a station that is not in the book is left out.
pub fn namesakes(ledger: &Ledger, pages: &Pages) -> Vec<Namesakes> {
    let mut found = Vec::new();
    for page in pages.stations() {
        if page.line().is_struck_out() {
            continue;
        }
        for taken in Taken::ALL {
            let lines = taken.lines(page);
            let standing: Vec<&Line> = lines.iter().filter(|line| !line.is_struck_out()).collect();
            for same in standing.chunk_by(|a, b| a.number() == b.number()) {
                let [first, _, ..] = same else {
                    continue;
                };
                found.push(Namesakes {
                    taken,
                    station: page.line().record().clone(),
                    at: page.line().number(),
                    number: first.number(),
                    records: same
                        .iter()
                        .map(|line| (line.record().clone(), known(ledger, line)))
                        .collect(),
                });
            }
        }
    }
    found
}

fn known(ledger: &Ledger, line: &Line) -> Known {
    let history = ledger.history(line.record().as_str());
    let stamp = history.first().map(|entry| entry.stamp());
    let stamp = stamp.cloned().unwrap_or_default();
    let name = match line.entry().body() {
        Some(Body::Reading(reading)) => reading.kind.clone(),
        Some(Body::Sighting(sighting)) => sighting.to_words.clone(),
        Some(Body::Photo(photo)) => photo.note.clone(),
        _ => String::new(),
    };
    Known {
        name,
        by: stamp.by,
        device: stamp.device,
        at: stamp.at,
    }
}

/// The entries that give each but the first of them the next free number at its station, in the order given, counters from the
/// stamp's on and all with its clock reading: one act to undo. All are kept; what names one of them does so by its record.
///
/// A number that was ever given at the station is not free, nor is that of one that is struck out.
///
/// # Degenerate input
/// A record that is contested, or struck out by now, is left out. Above the highest number there is, the lowest that is free.
pub fn renumber(ledger: &Ledger, pages: &Pages, all: &[Namesakes], stamp: &Stamp) -> Vec<Entry> {
    let mut given: HashMap<(&RecordId, Taken), BTreeSet<u32>> = HashMap::new();
    let mut done = HashSet::new();
    let mut entries: Vec<Entry> = Vec::new();
    for same in all {
        let Some(page) = pages.station(same.station.as_str()) else {
            continue;
        };
        let given = given.entry((&same.station, same.taken)).or_insert_with(|| {
            let lines = same.taken.lines(page);
            lines.iter().map(Line::number).collect()
        });
        for (record, _) in same.records.iter().skip(1) {
            if !done.insert(record) {
                continue;
            }
            let counter = stamp.counter.saturating_add(entries.len() as u64);
            let stamp = Stamp {
                counter,
                ..stamp.clone()
            };
            let why = format!("two {}s had one number", same.taken.kind());
            let next = free(given);
            let entry = changed(ledger, record, stamp, Act::Renumber, why, |body| {
                match body {
                    Body::Reading(reading) => reading.number = next,
                    Body::Sighting(sighting) => sighting.number = next,
                    Body::Photo(photo) => photo.number = next,
                    _ => return None,
                }
                Some(())
            });
            if let Some(entry) = entry {
                entries.push(entry);
                given.insert(next);
            }
        }
    }
    entries
}

/// The entries that give every number that stands twice anew, at stations and among them: one act to undo; see
/// [`twins::renumber`] and [`renumber`].
pub fn renumber_all(
    ledger: &Ledger,
    pages: &Pages,
    stations: &[Twins],
    taken: &[Namesakes],
    stamp: &Stamp,
) -> Vec<Entry> {
    let mut entries = twins::renumber(ledger, pages, stations, stamp);
    let stamp = Stamp {
        counter: stamp.counter.saturating_add(entries.len() as u64),
        ..stamp.clone()
    };
    entries.extend(renumber(ledger, pages, taken, &stamp));
    entries
}

/// One more than the highest number; past the last there is, the lowest that is free.
fn free(given: &BTreeSet<u32>) -> u32 {
    match given.last() {
        None => 1,
        Some(last) => last.checked_add(1).unwrap_or_else(|| {
            let mut numbers = 1..u32::MAX;
            numbers
                .find(|number| !given.contains(number))
                .unwrap_or(u32::MAX)
        }),
    }
}
