//! What joining one or many books to this one would do, before anything is written.
//!
//! Joining itself is [`Ledger::join`]: set union, the same whatever the order and the grouping.

use std::collections::{BTreeMap, BTreeSet, HashMap, HashSet};

use super::clocks::{self, ClockJump};
use super::entry::{Act, Entry, EntryId, RecordId};
use super::ledger::{Cloned, Ledger, State};
use super::pages::Pages;
use super::twins::{self, Twins};

/// A book that is to be joined: who wrote its file, on what and when, and every entry of it.
#[derive(Clone, Copy, Debug)]
pub struct Incoming<'b> {
    /// The initials of who wrote the file.
    pub by: &'b str,
    /// The device that wrote the file.
    pub device: &'b str,
    /// What its clock showed then.
    pub at: &'b str,
    /// Every entry.
    pub entries: &'b [Entry],
}

/// What joining would do.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Plan {
    /// One for each book, in the order given.
    pub sources: Vec<Source>,
    /// Each entry that is not here yet, once, by device, counter and id: what is written, and what [`Ledger::join`] takes.
    pub new: Vec<Entry>,
    /// How many different entries of the books are here already.
    pub same: usize,
    /// How many records the new entries are about.
    pub records: Tally,
    /// Records of which two sides changed different fields, put together by themselves now.
    pub merged: Vec<RecordId>,
    /// Records of which two sides changed the same field: each becomes a doubt that a person settles.
    pub contested: Vec<RecordId>,
    /// Records that were a doubt and are none any more, because somebody settled them elsewhere.
    pub settled: Vec<RecordId>,
    /// Device names that two histories share, where the join shows it or adds to it.
    pub clones: Vec<Cloned>,
    /// Clocks that jumped, where the join shows it.
    pub clocks: Vec<ClockJump>,
    /// Stations with one number or at one place, where the join brings it about.
    pub twins: Vec<Twins>,
    /// New entries that take the place of one that nobody has, and that one.
    pub orphans: Vec<(EntryId, EntryId)>,
}

/// One of the books.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Source {
    /// The initials of who wrote the file.
    pub by: String,
    /// The device that wrote the file.
    pub device: String,
    /// What its clock showed then.
    pub at: String,
    /// How many different entries it holds.
    pub entries: usize,
    /// How many of them are not here; another of the books may hold them too.
    pub new: usize,
    /// How many entries are here that it does not hold.
    pub lacks: usize,
    /// Everybody who wrote an entry of it, by initials.
    pub people: Vec<String>,
    /// Every device that wrote an entry of it.
    pub devices: Vec<String>,
}

/// Records by their kind.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    /// Stations.
    pub stations: Counts,
    /// Readings.
    pub readings: Counts,
    /// Sightings.
    pub sightings: Counts,
    /// Photos.
    pub photos: Counts,
    /// Set-ups.
    pub set_ups: Counts,
    /// The book's own record, and kinds that this version cannot read.
    pub others: Counts,
}

/// How many records are new, and how many were here and have new entries.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    /// Records that were not here.
    pub new: usize,
    /// Records that were here and have new entries.
    pub changed: usize,
}

impl Tally {
    /// All kinds together.
    pub fn all(&self) -> Counts {
        let kinds = [
            self.stations,
            self.readings,
            self.sightings,
            self.photos,
            self.set_ups,
            self.others,
        ];
        kinds.iter().fold(Counts::default(), |sum, kind| Counts {
            new: sum.new + kind.new,
            changed: sum.changed + kind.changed,
        })
    }

    /// Counts one record by the name of its kind in a file.
    pub fn count(&mut self, kind: &str, is_new: bool) {
        let counts = match kind {
            "station" => &mut self.stations,
            "reading" => &mut self.readings,
            "sighting" => &mut self.sightings,
            "photo" => &mut self.photos,
            "set-up" => &mut self.set_ups,
            _ => &mut self.others,
        };
        if is_new {
            counts.new += 1;
        } else {
            counts.changed += 1;
        }
    }
}

/// What joining the books to a ledger would do. Nothing is changed.
///
/// # Degenerate input
/// No books, or books that hold nothing new: a plan without new entries. The ledger's own file among them adds nothing. What
/// was doubted before is not told again, unless new entries add to it.
pub fn plan(ledger: &Ledger, books: &[Incoming<'_>]) -> Plan {
    let mut new: HashMap<EntryId, &Entry> = HashMap::new();
    let mut known: HashSet<EntryId> = HashSet::new();
    let mut sources = Vec::with_capacity(books.len());
    for book in books {
        let mut own: HashSet<EntryId> = HashSet::with_capacity(book.entries.len());
        let mut of_it = 0;
        let mut people = BTreeSet::new();
        let mut devices = BTreeSet::new();
        for entry in book.entries {
            if !own.insert(entry.id()) {
                continue;
            }
            let stamp = entry.stamp();
            people.insert(stamp.by.as_str());
            devices.insert(stamp.device.as_str());
            if ledger.get(&entry.id()).is_some() {
                known.insert(entry.id());
            } else {
                of_it += 1;
                new.insert(entry.id(), entry);
            }
        }
        let named = |names: BTreeSet<&str>| {
            let names = names.into_iter().filter(|name| !name.is_empty());
            names.map(str::to_owned).collect()
        };
        sources.push(Source {
            by: book.by.to_owned(),
            device: book.device.to_owned(),
            at: book.at.to_owned(),
            entries: own.len(),
            new: of_it,
            lacks: ledger.len() - (own.len() - of_it),
            people: named(people),
            devices: named(devices),
        });
    }
    let mut new: Vec<Entry> = new.into_values().cloned().collect();
    new.sort_unstable_by(|a, b| {
        let devices = a.stamp().device.cmp(&b.stamp().device);
        devices
            .then_with(|| a.stamp().counter.cmp(&b.stamp().counter))
            .then_with(|| a.id().cmp(&b.id()))
    });
    let mut plan = Plan {
        sources,
        same: known.len(),
        new,
        ..Plan::default()
    };
    if !plan.new.is_empty() {
        plan.look(ledger);
    }
    plan
}

impl Plan {
    /// True when there is nothing to write.
    pub fn is_empty(&self) -> bool {
        self.new.is_empty()
    }

    /// True when a person has something to look at after the join.
    pub fn is_doubted(&self) -> bool {
        !(self.contested.is_empty()
            && self.clones.is_empty()
            && self.clocks.is_empty()
            && self.twins.is_empty()
            && self.orphans.is_empty())
    }

    /// Looks at what the new entries make of the ledger.
    fn look(&mut self, ledger: &Ledger) {
        let mut after = ledger.clone();
        after.extend(self.new.iter().cloned());
        let mut touched: BTreeMap<&RecordId, ()> = BTreeMap::new();
        for entry in &self.new {
            touched.insert(entry.record(), ());
            for id in entry.supersedes() {
                if after.get(id).is_none() {
                    self.orphans.push((entry.id(), *id));
                }
            }
        }
        for record in touched.keys() {
            let (before, now) = (ledger.state(record.as_str()), after.state(record.as_str()));
            let kind = now.body().map_or("", |body| body.kind());
            self.records.count(kind, before == State::Absent);
            match (&before, &now) {
                (State::Contested { .. }, State::Contested { .. }) if before != now => {
                    self.contested.push((*record).clone());
                }
                (State::Contested { .. }, State::Contested { .. }) => {}
                (_, State::Contested { .. }) => self.contested.push((*record).clone()),
                (State::Contested { .. }, _) => self.settled.push((*record).clone()),
                (_, State::Kept { entry, .. }) if *entry.act() == Act::Merge => {
                    self.merged.push((*record).clone());
                }
                _ => {}
            }
        }
        let known = ledger.clones();
        self.clones = after.clones();
        self.clones.retain(|cloned| !known.contains(cloned));
        let known = clocks::jumps(ledger);
        self.clocks = clocks::jumps(&after);
        self.clocks.retain(|jump| !known.contains(jump));
        let known = twins::twins(ledger, &Pages::of(ledger));
        self.twins = twins::twins(&after, &Pages::of(&after));
        self.twins.retain(|twins| !known.contains(twins));
    }
}
