//! What is kept in memory of every entry: where it stands and what it supersedes, never its text.

use std::collections::{HashMap, HashSet};

use hingeline::notebook::beyond::Place;
use hingeline::notebook::clocks::{ClockJump, Tick, Watch};
use hingeline::notebook::{Act, Cloned, Entry, EntryId, RecordId};
use serde_json::{Map, Value, json};

use crate::written::counted;

/// A name that many entries share, by its place in [`Names`].
pub(crate) type Name = u32;

/// Names, each kept once.
#[derive(Default)]
pub(crate) struct Names {
    places: HashMap<RecordId, Name>,
    names: Vec<RecordId>,
}

impl Names {
    fn place(&mut self, name: &str) -> Name {
        if let Some(place) = self.places.get(name) {
            return *place;
        }
        // More than four thousand million names do not fit into the memory of a machine that runs this.
        let place = Name::try_from(self.names.len()).unwrap_or(Name::MAX);
        let name = RecordId::from(name);
        self.places.insert(name.clone(), place);
        self.names.push(name);
        place
    }

    /// The place of a name that is there.
    pub(crate) fn find(&self, name: &str) -> Option<Name> {
        self.places.get(name).copied()
    }

    pub(crate) fn name(&self, place: Name) -> &str {
        self.names
            .get(place as usize)
            .map_or("", |name| name.as_str())
    }
}

/// The kinds of record that are counted, by their names in a file.
pub(crate) const KINDS: [&str; 6] = ["station", "reading", "sighting", "photo", "set-up", "book"];

/// Records by [`KINDS`], then of other kinds, each count under its name.
pub(crate) fn by_kind(records: &[usize; KINDS.len() + 1]) -> Map<String, Value> {
    let names = KINDS.into_iter().chain(["other"]);
    let counts = names.zip(records);
    counts
        .map(|(kind, count)| (kind.to_owned(), json!(count)))
        .collect()
}

/// Records by [`KINDS`], then of other kinds, in words.
pub(crate) fn in_words(records: &[usize; KINDS.len() + 1]) -> String {
    const MANY: [&str; KINDS.len() + 1] = [
        "stations",
        "readings",
        "sightings",
        "photos",
        "set-ups",
        "names of the book",
        "records of kinds that this version cannot read",
    ];
    let counts = records.iter().enumerate().filter(|(_, count)| **count > 0);
    let words: Vec<String> = counts
        .map(|(place, count)| {
            let one = KINDS.get(place).copied();
            counted(*count, one.unwrap_or("record of another kind"), MANY[place])
        })
        .collect();
    if words.is_empty() {
        "nothing".to_owned()
    } else {
        words.join(", ")
    }
}

/// One entry.
pub(crate) struct Slot {
    pub(crate) id: EntryId,
    pub(crate) record: Name,
    device: Name,
    by: Name,
    counter: u64,
    /// Seconds since 1970; the lowest number where the time cannot be read.
    at_s: i64,
    /// The source that holds it, and where.
    pub(crate) source: u32,
    pub(crate) from: u64,
    pub(crate) length: u32,
    /// The first of the ids it supersedes, and how many.
    supersedes: (u32, u32),
    /// Its place in [`KINDS`]; one past the last for a kind that is not known; more for a strike-out.
    kind: u8,
    undoes: bool,
}

impl Slot {
    /// It says what a photo is.
    pub(crate) fn is_of_photo(&self) -> bool {
        KINDS.get(usize::from(self.kind)) == Some(&"photo")
    }
}

const STRIKES_OUT: u8 = u8::MAX;

/// Every entry of every source, once.
#[derive(Default)]
pub(crate) struct Index {
    pub(crate) slots: Vec<Slot>,
    ids: HashMap<EntryId, u32>,
    superseded: Vec<EntryId>,
    pub(crate) names: Names,
}

/// How far an index had come before a source, so that a damaged one can be taken back whole.
pub(crate) struct Before {
    slots: usize,
    superseded: usize,
}

impl Index {
    pub(crate) fn before(&self) -> Before {
        Before {
            slots: self.slots.len(),
            superseded: self.superseded.len(),
        }
    }

    /// Takes back what came since.
    pub(crate) fn take_back(&mut self, before: &Before) {
        for slot in self.slots.drain(before.slots..) {
            self.ids.remove(&slot.id);
        }
        self.superseded.truncate(before.superseded);
    }

    /// Adds an entry; false where it is there already.
    pub(crate) fn add(&mut self, entry: &Entry, source: u32, from: u64, length: usize) -> bool {
        let place = u32::try_from(self.slots.len()).unwrap_or(u32::MAX);
        if self.ids.contains_key(&entry.id()) {
            return false;
        }
        self.ids.insert(entry.id(), place);
        let stamp = entry.stamp();
        let first = u32::try_from(self.superseded.len()).unwrap_or(u32::MAX);
        self.superseded.extend_from_slice(entry.supersedes());
        let kind = KINDS.iter().position(|kind| *kind == entry.kind());
        let kind = kind.unwrap_or(KINDS.len());
        let slot = Slot {
            id: entry.id(),
            record: self.names.place(entry.record().as_str()),
            device: self.names.place(&stamp.device),
            by: self.names.place(&stamp.by),
            counter: stamp.counter,
            at_s: hingeline::notebook::clocks::instant_s(&stamp.at).unwrap_or(i64::MIN),
            source,
            from,
            length: u32::try_from(length).unwrap_or(u32::MAX),
            supersedes: (
                first,
                u32::try_from(entry.supersedes().len()).unwrap_or(u32::MAX),
            ),
            kind: if entry.strikes_out() {
                STRIKES_OUT
            } else {
                u8::try_from(kind).unwrap_or(STRIKES_OUT)
            },
            undoes: *entry.act() == Act::Undo,
        };
        self.slots.push(slot);
        true
    }

    pub(crate) fn supersedes(&self, slot: &Slot) -> &[EntryId] {
        let from = slot.supersedes.0 as usize;
        let to = from + slot.supersedes.1 as usize;
        self.superseded.get(from..to).unwrap_or_default()
    }

    pub(crate) fn get(&self, id: &EntryId) -> Option<&Slot> {
        self.ids
            .get(id)
            .and_then(|place| self.slots.get(*place as usize))
    }

    /// The places of all entries by device, counter and id: the order of a book file.
    pub(crate) fn in_order(&self) -> Vec<u32> {
        let mut order: Vec<u32> = (0..self.slots.len())
            .filter_map(|place| u32::try_from(place).ok())
            .collect();
        let slot = |place: u32| &self.slots[place as usize];
        order.sort_unstable_by(|&a, &b| {
            let (a, b) = (slot(a), slot(b));
            let devices = if a.device == b.device {
                std::cmp::Ordering::Equal
            } else {
                self.names.name(a.device).cmp(self.names.name(b.device))
            };
            devices.then_with(|| (a.counter, a.id).cmp(&(b.counter, b.id)))
        });
        order
    }

    /// The places of all entries record by record.
    pub(crate) fn by_record(&self) -> Vec<u32> {
        let mut order: Vec<u32> = (0..self.slots.len())
            .filter_map(|place| u32::try_from(place).ok())
            .collect();
        order.sort_unstable_by_key(|&place| (self.slots[place as usize].record, place));
        order
    }

    /// What each entry is told by.
    pub(crate) fn tells(&self) -> impl Iterator<Item = Place<'_>> {
        let tell = |slot: &'_ Slot| (slot.id, slot.device, slot.counter);
        let slots = self.slots.iter().map(tell);
        slots.map(|(id, device, counter)| (id, self.names.name(device), counter))
    }

    /// How many records of each kind some entries are about, by [`KINDS`], then of other kinds.
    pub(crate) fn tally(&self, order: &[u32]) -> [usize; KINDS.len() + 1] {
        let about: HashSet<Name> = order
            .iter()
            .map(|&place| self.slots[place as usize].record)
            .collect();
        let mut counts = [0; KINDS.len() + 1];
        let by_record = self.by_record();
        let record_of = |place: &u32| self.slots[*place as usize].record;
        for record in by_record.chunk_by(|a, b| record_of(a) == record_of(b)) {
            if about.contains(&record_of(&record[0])) {
                let kind = self.kind(record);
                let place = KINDS.iter().position(|known| Some(*known) == kind);
                counts[place.unwrap_or(KINDS.len())] += 1;
            }
        }
        counts
    }

    /// How many of some entries take the place of one that is not among them.
    pub(crate) fn following(&self, order: &[u32]) -> usize {
        let among: HashSet<EntryId> = order
            .iter()
            .map(|&place| self.slots[place as usize].id)
            .collect();
        let follows = |&&place: &&u32| {
            let before = self.supersedes(&self.slots[place as usize]);
            before.iter().any(|id| !among.contains(id))
        };
        order.iter().filter(follows).count()
    }

    /// The kind of a record, of the places of its entries; `None` where every one of them strikes out.
    pub(crate) fn kind(&self, record: &[u32]) -> Option<&'static str> {
        let kinds = record.iter().map(|&place| self.slots[place as usize].kind);
        let kind = kinds.filter(|kind| *kind != STRIKES_OUT).min()?;
        Some(KINDS.get(usize::from(kind)).copied().unwrap_or(""))
    }

    /// True where what a record says cannot be told from one entry: several stand, or the one that stands takes one back.
    pub(crate) fn is_composed(&self, record: &[u32]) -> bool {
        if let [_] = record {
            return false;
        }
        let slots = || record.iter().map(|&place| &self.slots[place as usize]);
        let mut superseded: Vec<&EntryId> =
            slots().flat_map(|slot| self.supersedes(slot)).collect();
        superseded.sort_unstable();
        let mut standing = slots().filter(|slot| superseded.binary_search(&&slot.id).is_err());
        match (standing.next(), standing.next()) {
            (Some(only), None) => only.undoes,
            _ => true,
        }
    }

    fn tick(&self, slot: &Slot) -> Tick<'_> {
        Tick {
            id: slot.id,
            device: self.names.name(slot.device),
            by: self.names.name(slot.by),
            counter: slot.counter,
            at_s: Some(slot.at_s).filter(|at_s| *at_s != i64::MIN),
        }
    }

    /// Clocks that jumped; the order is that of the file.
    pub(crate) fn clocks(&self, order: &[u32]) -> Vec<ClockJump> {
        let mut watch = Watch::default();
        for &place in order {
            let slot = &self.slots[place as usize];
            if !self.names.name(slot.device).is_empty() {
                watch.next(self.tick(slot));
            }
        }
        for slot in &self.slots {
            for id in self.supersedes(slot) {
                if let Some(earlier) = self.get(id) {
                    watch.supersedes(self.tick(slot), self.tick(earlier));
                }
            }
        }
        watch.found()
    }

    /// Devices with two histories; the order is that of the file.
    pub(crate) fn clones(&self, order: &[u32]) -> Vec<Cloned> {
        let mut clones: Vec<Cloned> = Vec::new();
        let mut last = None;
        for pair in order.windows(2) {
            let [one, two] = [pair[0], pair[1]].map(|place| &self.slots[place as usize]);
            let device = self.names.name(one.device);
            let is_shared = one.device == two.device && one.counter == two.counter;
            if !is_shared || device.is_empty() {
                continue;
            }
            let by = [one, two].map(|slot| self.names.name(slot.by).to_owned());
            match clones.last_mut().filter(|cloned| cloned.device == device) {
                Some(cloned) => {
                    // Three that share one counter are two pairs and one counter.
                    cloned.shared += usize::from(last != Some(one.counter));
                    cloned.by.extend(by);
                }
                None => clones.push(Cloned {
                    device: device.to_owned(),
                    counter: one.counter,
                    shared: 1,
                    by: by.to_vec(),
                }),
            }
            last = Some(one.counter);
        }
        for cloned in &mut clones {
            cloned.by.sort_unstable();
            cloned.by.dedup();
        }
        clones
    }

    /// Entries that take the place of one that no source has, and that one.
    pub(crate) fn orphans(&self) -> Vec<(EntryId, EntryId)> {
        let mut orphans = Vec::new();
        for slot in &self.slots {
            let missing = self.supersedes(slot).iter();
            let missing = missing.filter(|id| !self.ids.contains_key(*id));
            orphans.extend(missing.map(|id| (slot.id, *id)));
        }
        orphans.sort_unstable();
        orphans
    }
}
