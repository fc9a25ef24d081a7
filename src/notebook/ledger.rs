//! The ledger: the set of all entries. Nothing is changed or removed, and joining two ledgers is set union.
//!
//! What a record says now is a function of the set alone: never of the order of arrival, never of a clock.

use std::collections::{BTreeMap, BinaryHeap, HashMap, HashSet};

use serde::{Deserialize, Serialize};

use super::entry::{Act, ById, Entry, EntryId, RecordId};
use super::merge::{self, Ancestry};
use super::record::Body;
use super::settle;

/// All entries of a book, and which of them stand unsuperseded.
#[derive(Clone, Debug, Default)]
pub struct Ledger {
    entries: Vec<Entry>,
    places: HashMap<EntryId, usize, ById>,
    records: HashMap<RecordId, Revisions>,
    devices: BTreeMap<String, BTreeMap<u64, Vec<usize>>>,
}

#[derive(Clone, Debug, Default)]
struct Revisions {
    all: Vec<usize>,
    heads: Vec<usize>,
    superseded: HashSet<EntryId, ById>,
}

/// What the heads of a record say together.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum State {
    /// No entry names it.
    Absent,
    /// It stands in the book.
    Kept {
        /// The entry that says so; where two changes of different fields were put together, one that is
        /// computed alike on every device and not itself part of the ledger (its act is [`Act::Merge`](super::Act::Merge)).
        entry: Entry,
        /// What the next entry of the record supersedes.
        heads: Vec<EntryId>,
    },
    /// It is withdrawn and stays legible.
    StruckOut {
        /// The entry that struck it out.
        entry: Entry,
        /// The last entry with content, where one is known.
        last: Option<Entry>,
        /// What the next entry of the record supersedes.
        heads: Vec<EntryId>,
    },
    /// Two people changed the same field: every version is kept until a person settles it.
    Contested {
        /// The version to be shown, the same on every device.
        shown: Entry,
        /// The other versions.
        others: Vec<Entry>,
        /// The fields that disagree, by their names in the file; `struck-out` where one version withdraws the record.
        fields: Vec<String>,
        /// What the entry that settles it supersedes.
        heads: Vec<EntryId>,
    },
}

impl State {
    /// The content to be shown; of a struck-out record the last legible one.
    pub fn body(&self) -> Option<&Body> {
        self.shown().and_then(Entry::body)
    }

    /// The entry whose content is shown.
    pub fn shown(&self) -> Option<&Entry> {
        match self {
            Self::Absent => None,
            Self::Kept { entry, .. } => Some(entry),
            Self::StruckOut { last, .. } => last.as_ref(),
            Self::Contested { shown, .. } => Some(shown),
        }
    }

    /// What the next entry of the record supersedes; empty for an absent one.
    pub fn heads(&self) -> &[EntryId] {
        match self {
            Self::Absent => &[],
            Self::Kept { heads, .. }
            | Self::StruckOut { heads, .. }
            | Self::Contested { heads, .. } => heads,
        }
    }

    /// What a correction of the content shown supersedes: of a contested record the version shown alone, so that the others stay
    /// and the doubt stays open; a person settles it, never a correction in passing.
    ///
    /// # Degenerate input
    /// Where the version shown was put together of several, or was reopened by an undo, it is what settles it.
    pub fn builds_on(&self) -> Vec<EntryId> {
        match self {
            Self::Contested { shown, heads, .. } if heads.contains(&shown.id()) => vec![shown.id()],
            other => other.heads().to_vec(),
        }
    }

    /// True when the record is withdrawn.
    pub fn is_struck_out(&self) -> bool {
        matches!(self, Self::StruckOut { .. })
    }

    /// True when a person has to settle it.
    pub fn is_contested(&self) -> bool {
        matches!(self, Self::Contested { .. })
    }
}

/// One device name with two histories: most likely a tablet whose storage was copied to another.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cloned {
    /// The device's name.
    pub device: String,
    /// The first counter that two entries share.
    pub counter: u64,
    /// How many counters are shared.
    pub shared: usize,
    /// The initials that used the name, in order of the alphabet.
    pub by: Vec<String>,
}

impl Cloned {
    /// What happened and how to go on, in one sentence without a full stop.
    pub fn words(&self) -> String {
        format!(
            "the tablet name {} has two histories from entry {} on, by {}: most likely a tablet whose storage was copied; nothing is lost, and each of the two goes on under a new name of its own once it has opened what the other wrote",
            self.device,
            self.counter,
            self.by.join(" and ")
        )
    }
}

/// How far a ledger had come at a moment, for asking later what is new.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Mark {
    /// How many entries there were.
    pub entries: usize,
    /// The highest counter of each device.
    pub counters: BTreeMap<String, u64>,
}

impl Ledger {
    /// An empty ledger.
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds an entry; false when it is there already, and then nothing changes.
    pub fn insert(&mut self, entry: Entry) -> bool {
        if self.places.contains_key(&entry.id()) {
            return false;
        }
        let place = self.entries.len();
        self.places.insert(entry.id(), place);
        let stamp = entry.stamp();
        if !stamp.device.is_empty() {
            if !self.devices.contains_key(&stamp.device) {
                self.devices.insert(stamp.device.clone(), BTreeMap::new());
            }
            if let Some(counters) = self.devices.get_mut(&stamp.device) {
                counters.entry(stamp.counter).or_default().push(place);
            }
        }
        let entries = &self.entries;
        let revisions = self.records.entry(entry.record().clone()).or_default();
        revisions.all.push(place);
        for id in entry.supersedes() {
            if revisions.superseded.insert(*id) {
                revisions.heads.retain(|&head| entries[head].id() != *id);
            }
        }
        if !revisions.superseded.contains(&entry.id()) {
            revisions.heads.push(place);
        }
        self.entries.push(entry);
        true
    }

    /// Adds all entries of another ledger, or of a file; returns those that were new.
    pub fn join(&mut self, entries: impl IntoIterator<Item = Entry>) -> Vec<Entry> {
        entries
            .into_iter()
            .filter(|entry| self.get(&entry.id()).is_none() && self.insert(entry.clone()))
            .collect()
    }

    /// How many entries there are.
    pub fn len(&self) -> usize {
        self.entries.len()
    }

    /// True when there is no entry.
    pub fn is_empty(&self) -> bool {
        self.entries.is_empty()
    }

    /// The entry of an id.
    pub fn get(&self, id: &EntryId) -> Option<&Entry> {
        self.places.get(id).map(|&place| &self.entries[place])
    }

    /// All entries, in the order they came in.
    pub fn iter(&self) -> impl ExactSizeIterator<Item = &Entry> {
        self.entries.iter()
    }

    /// All records, in no particular order.
    pub fn records(&self) -> impl ExactSizeIterator<Item = &RecordId> {
        self.records.keys()
    }

    /// The unsuperseded entries of a record, by id.
    ///
    /// # Degenerate input
    /// Empty when the record is absent. Entries that supersede each other in a circle all count as heads.
    pub fn heads(&self, record: &str) -> Vec<&Entry> {
        let Some(revisions) = self.records.get(record) else {
            return Vec::new();
        };
        let standing = if revisions.heads.is_empty() {
            &revisions.all
        } else {
            &revisions.heads
        };
        let mut heads: Vec<&Entry> = standing.iter().map(|&place| &self.entries[place]).collect();
        heads.sort_unstable_by_key(|entry| entry.id());
        heads
    }

    /// What a record says now.
    pub fn state(&self, record: &str) -> State {
        let heads = self.heads(record);
        let ids = heads.iter().map(|entry| entry.id()).collect();
        match heads.as_slice() {
            [] => State::Absent,
            [entry] if *entry.act() != Act::Undo => self.state_of((*entry).clone(), ids),
            _ => {
                let heads = settle::reopened(self, heads.into_iter().cloned().collect());
                let mut ancestry = Ancestry::new(self);
                let mut tips = merge::fold(&mut ancestry, heads).into_iter();
                match (tips.next(), tips.as_slice()) {
                    (None, _) => State::Absent,
                    (Some(entry), []) => self.state_of(entry, ids),
                    (Some(shown), others) => State::Contested {
                        fields: merge::disputed(&mut ancestry, &shown, others),
                        others: others.to_vec(),
                        shown,
                        heads: ids,
                    },
                }
            }
        }
    }

    fn state_of(&self, entry: Entry, heads: Vec<EntryId>) -> State {
        if entry.strikes_out() {
            State::StruckOut {
                last: self.last_legible(&entry),
                entry,
                heads,
            }
        } else {
            State::Kept { entry, heads }
        }
    }

    /// The nearest entry with content that an entry supersedes, however far back.
    /// Of a strike-out done again it is what the strike-out withdrew the first time, whatever the undo between had shown.
    fn last_legible(&self, entry: &Entry) -> Option<Entry> {
        let mut seen = HashSet::new();
        let mut level: Vec<EntryId> = self.first_done(entry).supersedes().to_vec();
        while !level.is_empty() {
            level.sort_unstable();
            level.dedup();
            level.retain(|id| seen.insert(*id));
            let known = || level.iter().rev().filter_map(|id| self.get(id));
            if let Some(legible) = known().find(|entry| !entry.strikes_out()) {
                return Some(legible.clone());
            }
            level = known()
                .flat_map(|entry| entry.supersedes().iter().copied())
                .collect();
        }
        None
    }

    /// The act that an entry does again, however often it went to and fro; any other entry itself.
    fn first_done<'a>(&'a self, entry: &'a Entry) -> &'a Entry {
        let only = |entry: &Entry| match entry.supersedes() {
            [one] => self.get(one),
            _ => None,
        };
        let mut first = entry;
        let mut seen = HashSet::new();
        while *first.act() == Act::Redo && seen.insert(first.id()) {
            match only(first).and_then(only) {
                Some(done) => first = done,
                None => break,
            }
        }
        first
    }

    /// What an entry took the place of, put together as it was shown then; `None` at the beginning of a record.
    pub fn before(&self, entry: &Entry) -> Option<Entry> {
        let known: Vec<Entry> = entry
            .supersedes()
            .iter()
            .filter_map(|id| self.get(id).cloned())
            .collect();
        match known.as_slice() {
            [] => None,
            [one] => Some(one.clone()),
            _ => merge::fold(&mut Ancestry::new(self), known)
                .into_iter()
                .next(),
        }
    }

    /// All entries of a record: each after those it supersedes, otherwise by counter and id.
    pub fn history(&self, record: &str) -> Vec<&Entry> {
        use std::cmp::Reverse;
        let Some(revisions) = self.records.get(record) else {
            return Vec::new();
        };
        let mut waiting: HashMap<EntryId, usize> = HashMap::new();
        let mut after: HashMap<EntryId, Vec<usize>> = HashMap::new();
        let mut ready = BinaryHeap::new();
        let key = |place: usize| {
            let entry = &self.entries[place];
            Reverse((entry.stamp().counter, entry.id(), place))
        };
        for &place in &revisions.all {
            let entry = &self.entries[place];
            let mut missing = 0;
            for id in entry.supersedes() {
                if self
                    .get(id)
                    .is_some_and(|other| other.record() == entry.record())
                {
                    after.entry(*id).or_default().push(place);
                    missing += 1;
                }
            }
            if missing == 0 {
                ready.push(key(place));
            } else {
                waiting.insert(entry.id(), missing);
            }
        }
        let mut history = Vec::with_capacity(revisions.all.len());
        while let Some(Reverse((_, id, place))) = ready.pop() {
            history.push(&self.entries[place]);
            for &next in after.get(&id).map_or(&[][..], Vec::as_slice) {
                if let Some(missing) = waiting.get_mut(&self.entries[next].id()) {
                    *missing -= 1;
                    if *missing == 0 {
                        waiting.remove(&self.entries[next].id());
                        ready.push(key(next));
                    }
                }
            }
        }
        let mut circle: Vec<&Entry> = waiting.keys().filter_map(|id| self.get(id)).collect();
        circle.sort_unstable_by_key(|entry| entry.id());
        history.extend(circle);
        history
    }

    /// Whether some entry of a record takes the place of one that is not here, so that of several versions it cannot be told which
    /// came last.
    pub fn lacks_before(&self, record: &str) -> bool {
        let all = self.records.get(record).map_or(&[][..], |r| &r.all);
        let mut before = all.iter().flat_map(|&p| self.entries[p].supersedes());
        before.any(|id| !self.places.contains_key(id))
    }

    /// True when some entry names the record.
    pub fn has(&self, record: &str) -> bool {
        self.records.contains_key(record)
    }

    /// The counter for the device's next entry: one more than its highest, or 1.
    pub fn next_counter(&self, device: &str) -> u64 {
        let highest = self.devices.get(device).and_then(|d| d.last_key_value());
        highest.map_or(1, |(counter, _)| counter.saturating_add(1))
    }

    /// The devices that wrote entries, by name.
    pub fn devices(&self) -> impl Iterator<Item = &str> {
        self.devices.keys().map(String::as_str)
    }

    /// The device's entries from the latest back: by counter, then by id.
    pub fn latest_of(&self, device: &str) -> impl Iterator<Item = &Entry> {
        let counters = self.devices.get(device).into_iter().flatten();
        counters.rev().flat_map(|(_, places)| {
            let mut entries: Vec<&Entry> = places.iter().map(|&p| &self.entries[p]).collect();
            entries.sort_unstable_by_key(|entry| std::cmp::Reverse(entry.id()));
            entries
        })
    }

    /// The device's entries from the first on: by counter, then by id.
    pub(super) fn count_of(&self, device: &str) -> impl Iterator<Item = &Entry> {
        let counters = self.devices.get(device).into_iter().flatten();
        counters.flat_map(|(_, places)| {
            let mut entries: Vec<&Entry> = places.iter().map(|&p| &self.entries[p]).collect();
            entries.sort_unstable_by_key(|entry| entry.id());
            entries
        })
    }

    /// True when two histories share a device's name: the device then goes on under a fresh one, and so does the other.
    ///
    /// What it wrote stays as it is; the first entry under the fresh name has the counter 1.
    pub fn is_shared(&self, device: &str) -> bool {
        let mut counters = self.devices.get(device).into_iter().flatten();
        counters.any(|(_, places)| places.len() > 1)
    }

    /// Device names that two histories share, by name.
    pub fn clones(&self) -> Vec<Cloned> {
        let mut clones = Vec::new();
        for (device, counters) in &self.devices {
            let mut shared = counters.iter().filter(|(_, places)| places.len() > 1);
            let Some((&counter, places)) = shared.next() else {
                continue;
            };
            let rest: Vec<&Vec<usize>> = shared.map(|(_, places)| places).collect();
            let mut by: Vec<String> = rest
                .iter()
                .copied()
                .chain([places])
                .flatten()
                .map(|&place| self.entries[place].stamp().by.clone())
                .collect();
            by.sort_unstable();
            by.dedup();
            clones.push(Cloned {
                device: device.clone(),
                counter,
                shared: rest.len() + 1,
                by,
            });
        }
        clones
    }

    /// How far the ledger has come, to be remembered at a back-up.
    pub fn mark(&self) -> Mark {
        let highest = |counters: &BTreeMap<u64, Vec<usize>>| {
            counters.last_key_value().map_or(0, |(counter, _)| *counter)
        };
        Mark {
            entries: self.len(),
            counters: self
                .devices
                .iter()
                .map(|(device, counters)| (device.clone(), highest(counters)))
                .collect(),
        }
    }

    /// The entries beyond a mark, device by device. An entry of another device that arrived late, with a counter below the
    /// mark, is not among them; it is counted by the difference of [`Ledger::len`] and [`Mark::entries`].
    pub fn beyond<'a>(&'a self, mark: &'a Mark) -> impl Iterator<Item = &'a Entry> {
        self.devices.iter().flat_map(|(device, counters)| {
            let from = mark.counters.get(device).map_or(0, |c| c.saturating_add(1));
            counters
                .range(from..)
                .flat_map(|(_, places)| places.iter().map(|&place| &self.entries[place]))
        })
    }

    /// The lowest counter among a record's entries: where the record stands in its device's sequence.
    pub(super) fn first_counter(&self, record: &str) -> u64 {
        let places = self.records.get(record).map_or(&[][..], |r| &r.all);
        let counters = places
            .iter()
            .map(|&place| self.entries[place].stamp().counter);
        counters.min().unwrap_or(0)
    }
}

impl FromIterator<Entry> for Ledger {
    fn from_iter<I: IntoIterator<Item = Entry>>(entries: I) -> Self {
        let mut ledger = Self::new();
        ledger.extend(entries);
        ledger
    }
}

impl Extend<Entry> for Ledger {
    fn extend<I: IntoIterator<Item = Entry>>(&mut self, entries: I) {
        for entry in entries {
            self.insert(entry);
        }
    }
}

impl PartialEq for Ledger {
    /// Two ledgers are equal when they hold the same entries.
    fn eq(&self, other: &Self) -> bool {
        self.len() == other.len() && self.places.keys().all(|id| other.places.contains_key(id))
    }
}

impl Eq for Ledger {}
