//! The evening: every tablet opens every file, and then all must know the same, to the byte, and nothing may be missing.

use std::collections::{BTreeMap, BTreeSet, HashSet};

use hingeline::exchange::archive::{self, Archive};
use hingeline::exchange::book::{self, Written};
use hingeline::notebook::beyond;
use hingeline::notebook::{
    EntryId, Ledger, Pages, RecordId, State, clocks, namesakes, photos, settle, twins,
};
use hingeline::store::{ENTRIES, PHOTOS};

use super::{Camp, Tablet};

/// What every page would show of a ledger: each record's state, merged entries with their ids.
pub(crate) fn shown(ledger: &Ledger) -> Vec<(String, State)> {
    let mut records: Vec<String> = ledger.records().map(ToString::to_string).collect();
    records.sort();
    records
        .into_iter()
        .map(|record| {
            let state = ledger.state(&record);
            (record, state)
        })
        .collect()
}

/// A tablet's book and photos as one file, without a word of who writes it.
fn bytes(tablet: &Tablet) -> Result<Vec<u8>, String> {
    let text = book::write(tablet.ledger.iter(), &Written::default());
    let named = photos::named(tablet.ledger.iter());
    let there = named.iter().filter_map(|photo| {
        let bytes = tablet.store.bytes(PHOTOS, &photo.sha256)?;
        Some((photo.sha256.as_str(), bytes))
    });
    archive::write(&text, there).map_err(|error| error.to_string())
}

/// Says what is wrong unless it is so.
fn must(holds: bool, otherwise: impl FnOnce() -> String) -> Result<(), String> {
    if holds { Ok(()) } else { Err(otherwise()) }
}

impl Camp {
    /// Every tablet opens the book of every other and whatever files lie about, in an order and in groups by lot, some twice.
    pub(crate) fn gather(&mut self) {
        let mut files = self.files.clone();
        for place in 0..self.tablets.len() {
            files.push(self.file(place, false, true));
        }
        let books: Vec<Archive> = files.iter().filter_map(|file| self.read(file)).collect();
        for place in 0..self.tablets.len() {
            let mut order: Vec<usize> = (0..books.len()).collect();
            for i in (1..order.len()).rev() {
                order.swap(i, self.random.below(i + 1));
            }
            if let Some(&twice) = order.first() {
                order.push(twice);
            }
            let group = 1 + self.random.below(order.len());
            for some in order.chunks(group) {
                let some: Vec<&Archive> = some.iter().map(|&book| &books[book]).collect();
                // Where the battery goes flat, the same files are opened again.
                while !self.join(place, &some) {}
            }
        }
    }

    /// Gathers, holds everything against everything, settles what two people changed differently on one tablet, and gathers again.
    ///
    /// # Errors
    /// The first thing that is not as it must be.
    pub(crate) fn evening(&mut self) -> Result<(), String> {
        self.gather();
        self.agrees()?;
        self.knows_what_parts_go_beyond()?;
        self.happened.entries = self.made.len();
        self.happened.photos = self.photos.len();
        let ledger = &self.tablets[0].ledger;
        self.happened.clones = ledger.clones().len();
        self.happened.jumps = clocks::jumps(ledger).len();

        let place = self.random.below(self.tablets.len());
        let contested = contested(&self.tablets[place].ledger);
        self.happened.settled = contested.len();
        let stood = self.made.len();
        for record in &contested {
            let open = |camp: &Camp| {
                camp.tablets[place]
                    .ledger
                    .state(record.as_str())
                    .is_contested()
            };
            // Where the battery goes flat it is still open afterwards, and settled again.
            for _ in 0..100 {
                if open(self) {
                    self.settle_record(place, record.as_str());
                }
            }
            must(!open(self), || format!("{record} cannot be settled"))?;
        }
        must(self.made.len() == stood + contested.len(), || {
            "a doubt took more than one entry to settle".to_owned()
        })?;
        self.gather();
        self.agrees()?;
        must(self::contested(&self.tablets[0].ledger).is_empty(), || {
            "what one tablet settled is contested on another".to_owned()
        })?;
        self.numbers()
    }

    /// One tablet gives every number that stands twice anew, and then none does on any.
    fn numbers(&mut self) -> Result<(), String> {
        let place = self.random.below(self.tablets.len());
        let twice = |ledger: &Ledger| {
            let pages = Pages::of(ledger);
            let mut twins = twins::twins(ledger, &pages);
            twins.retain(twins::Twins::is_number);
            (twins, namesakes::namesakes(ledger, &pages))
        };
        let (twins, same) = twice(&self.tablets[place].ledger);
        self.happened.namesakes = same.len();
        // Where the battery goes flat they stand twice still, and are numbered again.
        for _ in 0..100 {
            let ledger = &self.tablets[place].ledger;
            if twice(ledger) != (Vec::new(), Vec::new()) {
                let (pages, stamp) = (Pages::of(ledger), self.stamp(place));
                let entries = namesakes::renumber_all(ledger, &pages, &twins, &same, &stamp);
                self.take(place, entries, Vec::new());
            }
        }
        self.gather();
        self.agrees()?;
        let left = twice(&self.tablets[0].ledger);
        must(left == (Vec::new(), Vec::new()), || {
            format!("numbers stand twice still: {left:?}")
        })
    }

    /// All tablets know the same, to the byte, and it is what was made, no more and no less.
    fn agrees(&self) -> Result<(), String> {
        if let Some(fault) = self.faults.first() {
            return Err(fault.clone());
        }
        let Some((first, others)) = self.tablets.split_first() else {
            return Ok(());
        };
        let made: HashSet<EntryId> = self.made.iter().map(|entry| entry.id()).collect();
        for tablet in &self.tablets {
            let (name, ledger) = (&tablet.name, &tablet.ledger);
            let lost = made.iter().filter(|id| ledger.get(id).is_none()).count();
            must(lost == 0, || format!("{name} lacks {lost} entries"))?;
            must(ledger.len() == made.len(), || {
                format!(
                    "{name} has {} entries, {} were made",
                    ledger.len(),
                    made.len()
                )
            })?;
            let kept: BTreeMap<&str, &str> = tablet.store.rows(ENTRIES).collect();
            let sound = ledger
                .iter()
                .all(|entry| kept.get(entry.id().to_string().as_str()) == Some(&entry.text()));
            must(sound && kept.len() == ledger.len(), || {
                format!("the storage of {name} is not what it shows")
            })?;
            for (sha256, bytes) in &self.photos {
                must(tablet.store.bytes(PHOTOS, sha256) == Some(bytes), || {
                    format!("{name} lacks the photo {sha256}")
                })?;
            }
        }
        let (all, states) = (bytes(first)?, shown(&first.ledger));
        let pages = Pages::of(&first.ledger);
        let clones = first.ledger.clones();
        for tablet in others {
            let (name, ledger) = (&tablet.name, &tablet.ledger);
            must(bytes(tablet)? == all, || {
                format!("the file of {name} has other bytes")
            })?;
            must(shown(ledger) == states, || {
                format!("{name} shows another state of a record")
            })?;
            must(ledger.clones() == clones, || {
                format!("{name} names other clones")
            })?;
            must(
                clocks::jumps(ledger) == clocks::jumps(&first.ledger),
                || format!("{name} names other clocks"),
            )?;
            let (theirs, ours) = (
                twins::twins(ledger, &Pages::of(ledger)),
                twins::twins(&first.ledger, &pages),
            );
            must(theirs == ours, || format!("{name} names other twins"))?;
            let (theirs, ours) = (
                namesakes::namesakes(ledger, &Pages::of(ledger)),
                namesakes::namesakes(&first.ledger, &pages),
            );
            must(theirs == ours, || format!("{name} names other namesakes"))?;
        }
        // A name that two histories share is known by its count, and by nothing else.
        let mut counts = BTreeSet::new();
        let mut shared = BTreeSet::new();
        for entry in &self.made {
            let stamp = entry.stamp();
            if !counts.insert((stamp.device.as_str(), stamp.counter)) {
                shared.insert(stamp.device.as_str());
            }
        }
        let named: BTreeSet<&str> = clones.iter().map(|clone| clone.device.as_str()).collect();
        must(named == shared, || {
            format!("{shared:?} share their names, and {named:?} are named")
        })?;
        let read = archive::read_any(&all).map_err(|error| error.to_string())?;
        let again: Ledger = read.book.entries.into_iter().collect();
        must(
            again == first.ledger && read.missing.is_empty() && read.altered.is_empty(),
            || "the file that all write is read otherwise".to_owned(),
        )
    }
}

impl Camp {
    /// Whatever the order in which parts and books came, nothing that a part goes beyond is missing any more.
    fn knows_what_parts_go_beyond(&mut self) -> Result<(), String> {
        let files = self.files.clone();
        let read: Vec<Archive> = files.iter().filter_map(|file| self.read(file)).collect();
        let parts = read.iter().flat_map(|archive| &archive.book.beyond);
        let standing = beyond::standing_in(parts, &self.tablets[0].ledger);
        must(standing.is_empty(), || beyond::words(&standing))
    }
}

fn contested(ledger: &Ledger) -> Vec<RecordId> {
    let mut records: Vec<RecordId> = ledger
        .records()
        .filter(|record| ledger.state(record.as_str()).is_contested())
        .cloned()
        .collect();
    records.sort();
    records
}

impl Camp {
    /// One version by lot of a contested record is taken.
    pub(super) fn settle_record(&mut self, place: usize, record: &str) {
        let versions = settle::versions(&self.tablets[place].ledger, record);
        let chosen = self.random.below(versions.len());
        let stamp = self.stamp(place);
        let entry = versions.get(chosen).and_then(|version| {
            settle::entry(&self.tablets[place].ledger, record, &version.entry, stamp)
        });
        self.take(place, entry.into_iter().collect(), Vec::new());
    }
}
