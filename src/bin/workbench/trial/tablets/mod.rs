//! A camp by lot: tablets whose people write, photograph, change, strike out, undo, settle, tie and put right, whose storage refuses
//! rows and is copied, whose batteries go flat, whose clocks jump, and which hear of each other by files that come in parts, late,
//! damaged and more than once. The same seed gives the same camp.

mod acts;

mod files;

pub(crate) mod evening;

use std::collections::BTreeMap;
use std::sync::Arc;

use hingeline::notebook::{Entry, EntryId, Ledger, Stamp, clocks};
use hingeline::orientation::statistics::Random;
use hingeline::store::{Batch, ENTRIES, Memory, StoreError};

/// One tablet: the name its entries bear, whose it is, what it knows, what its storage holds, and what its clock shows.
#[derive(Clone)]
pub(crate) struct Tablet {
    pub(crate) name: String,
    pub(crate) by: String,
    pub(crate) ledger: Ledger,
    pub(crate) store: Memory,
    clock_s: i64,
}

/// All tablets of a camp, all that was ever kept on any of them, and the files they wrote.
pub(crate) struct Camp {
    pub(crate) tablets: Vec<Tablet>,
    /// Every entry that a person made and that was kept.
    pub(crate) made: Vec<Entry>,
    /// Every photo that was kept, by SHA-256.
    photos: BTreeMap<String, Arc<[u8]>>,
    /// Files that lie about, some of them damaged.
    files: Vec<Vec<u8>>,
    /// What should never be, in words.
    faults: Vec<String>,
    pub(crate) happened: Happened,
    random: Random,
    names: u64,
}

/// What happened in a camp, counted.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Happened {
    pub(crate) entries: usize,
    pub(crate) photos: usize,
    /// Commits of which a row was refused.
    pub(crate) refused: usize,
    /// Commits under which the connection was lost once.
    pub(crate) reconnected: usize,
    /// Starts from the storage alone.
    pub(crate) restarts: usize,
    /// Files that were opened and joined.
    pub(crate) opened: usize,
    /// Files that were damaged.
    pub(crate) damaged: usize,
    /// Files that were not opened, because the damage was noticed.
    pub(crate) turned_away: usize,
    /// Names of tablets that two histories share.
    pub(crate) clones: usize,
    /// Clocks that jumped, as far as it shows.
    pub(crate) jumps: usize,
    /// Records that two people changed differently, and that one step each settled in the evening.
    pub(crate) settled: usize,
    /// Numbers that stood twice at one station in the evening.
    pub(crate) namesakes: usize,
}

impl Happened {
    /// Adds what happened in another camp.
    pub(crate) fn add(&mut self, other: &Happened) {
        self.entries += other.entries;
        self.photos += other.photos;
        self.refused += other.refused;
        self.reconnected += other.reconnected;
        self.restarts += other.restarts;
        self.opened += other.opened;
        self.damaged += other.damaged;
        self.turned_away += other.turned_away;
        self.clones += other.clones;
        self.jumps += other.jumps;
        self.settled += other.settled;
        self.namesakes += other.namesakes;
    }
}

/// The middle of June 2026, seconds since 1970.
const BEGAN_S: i64 = 1_781_424_000;

impl Camp {
    /// So many tablets, all empty.
    pub(crate) fn new(seed: u64, tablets: usize) -> Self {
        let tablet = |i: usize| Tablet {
            name: format!("tablet-{i}"),
            by: format!("P{i}"),
            ledger: Ledger::new(),
            store: Memory::new(),
            clock_s: BEGAN_S,
        };
        Self {
            tablets: (0..tablets.max(1)).map(tablet).collect(),
            made: Vec::new(),
            photos: BTreeMap::new(),
            files: Vec::new(),
            faults: Vec::new(),
            happened: Happened::default(),
            random: Random::new(seed),
            names: 0,
        }
    }

    /// A camp of one to eight tablets and up to 160 acts, all by lot.
    pub(crate) fn by_lot(seed: u64) -> Self {
        let mut lot = Random::new(!seed);
        let mut camp = Self::new(seed, 1 + lot.below(8));
        camp.run(lot.below(161));
        camp
    }

    /// So many acts, each of a tablet by lot.
    pub(crate) fn run(&mut self, steps: usize) {
        for _ in 0..steps {
            self.step();
        }
    }

    fn step(&mut self) {
        let place = self.random.below(self.tablets.len());
        self.tablets[place].clock_s += 20 + 40 * self.below(10);
        match self.random.below(100) {
            0..13 => self.write_station(place),
            13..31 => self.write_reading(place),
            31..35 => self.write_other(place),
            35..39 => self.take_photo(place),
            39..59 => self.change(place),
            59..64 => self.strike_out(place),
            64..71 => self.undo(place),
            71..77 => self.settle(place),
            77..80 => self.twins(place),
            80..82 => self.put_right(place),
            82..84 => self.jump(place),
            84..86 => self.copy(place),
            86..89 => self.lay_down_file(place),
            89..91 => self.restart(place),
            _ => self.hear(place),
        }
    }

    fn below(&mut self, count: i64) -> i64 {
        let count = usize::try_from(count).unwrap_or(0);
        i64::try_from(self.random.below(count)).unwrap_or(0)
    }

    fn one_of(&mut self, words: &[&str]) -> String {
        words
            .get(self.random.below(words.len()))
            .copied()
            .unwrap_or_default()
            .to_owned()
    }

    fn fresh(&mut self, kind: &str) -> String {
        self.names += 1;
        format!("{kind}-{}", self.names)
    }

    fn stamp(&self, place: usize) -> Stamp {
        let tablet = &self.tablets[place];
        Stamp {
            by: tablet.by.clone(),
            device: tablet.name.clone(),
            counter: tablet.ledger.next_counter(&tablet.name),
            at: time(tablet.clock_s),
        }
    }

    /// What a person made: kept in one commit, or not made at all where the battery goes flat first.
    fn take(&mut self, place: usize, entries: Vec<Entry>, photos: Vec<(String, Arc<[u8]>)>) {
        if entries.is_empty() || !self.commit(place, &entries, &photos) {
            return;
        }
        for entry in entries {
            if self.tablets[place].ledger.insert(entry.clone()) {
                self.made.push(entry);
            }
        }
        self.photos.extend(photos);
    }

    /// Keeps entries and photos as the app does, with the draft and the tablet's own row; true when they are kept. Now and then a
    /// row is refused: then nothing may have changed, and the person tries again, or the tablet starts anew without them. Now and
    /// then the connection is lost once: then nothing may be missing.
    fn commit(&mut self, place: usize, entries: &[Entry], photos: &[(String, Arc<[u8]>)]) -> bool {
        let name = self.tablets[place].name.clone();
        let batch = Batch {
            entries: entries
                .iter()
                .map(|entry| (entry.id().to_string(), entry.text().to_owned()))
                .collect(),
            photos: photos.to_vec(),
            drafts: vec![("open".to_owned(), None)],
            state: vec![("settings".to_owned(), Some(name))],
        };
        let (lot, at) = (self.random.below(24), self.random.below(batch.rows().len()));
        let store = &mut self.tablets[place].store;
        let outcome = match lot {
            0 | 1 => {
                let before = store.clone();
                let full = |row| {
                    if row == at {
                        Err(StoreError::Full)
                    } else {
                        Ok(())
                    }
                };
                if store.commit_where(&batch, full).is_ok() || *store != before {
                    self.faults.push(format!(
                        "row {at} was refused, and the storage is not as before"
                    ));
                }
                self.happened.refused += 1;
                if lot == 0 {
                    self.restart(place);
                    return false;
                }
                self.tablets[place].store.commit(&batch)
            }
            2 => {
                let mut lost = false;
                self.happened.reconnected += 1;
                store.commit_where(&batch, |row| {
                    if row == at && !lost {
                        lost = true;
                        return Err(StoreError::Closed);
                    }
                    Ok(())
                })
            }
            _ => store.commit(&batch),
        };
        if let Err(error) = outcome {
            self.faults.push(format!("a sound commit failed: {error}"));
        }
        true
    }

    /// The tablet starts anew, with what its storage has and nothing else.
    fn restart(&mut self, place: usize) {
        self.happened.restarts += 1;
        let tablet = &mut self.tablets[place];
        let mut ledger = Ledger::new();
        for (id, text) in tablet.store.rows(ENTRIES) {
            match (id.parse::<EntryId>(), Entry::from_json(text)) {
                (Ok(id), Ok(entry)) if entry.id() == id => ledger.extend([entry]),
                _ => self.faults.push(format!("the entry {id} cannot be read")),
            }
        }
        if ledger != tablet.ledger {
            let (there, known) = (ledger.len(), tablet.ledger.len());
            self.faults.push(format!(
                "the storage of {} has {there} entries of {known}",
                tablet.name
            ));
        }
        tablet.ledger = ledger;
    }

    /// A clock is set wrong, a little or by years, either way.
    fn jump(&mut self, place: usize) {
        const SPANS_S: [i64; 4] = [3_600, 90_000, 31_600_000, 1_500_000_000];
        let span = SPANS_S[self.random.below(SPANS_S.len())];
        let tablet = &mut self.tablets[place];
        tablet.clock_s += if self.random.below(2) == 0 {
            span
        } else {
            -span
        };
    }

    /// A tablet's storage is copied to another, which goes on under the same name; or one that was copied takes a name of its own.
    fn copy(&mut self, place: usize) {
        let other = self.random.below(self.tablets.len());
        if other == place {
            self.tablets[place].name = self.fresh("renamed");
            return;
        }
        let name = self.tablets[place].name.clone();
        let bytes = self.file(place, false, true);
        while !self.open(other, &[bytes.as_slice()]) {}
        self.tablets[other].name = name;
    }
}

/// What a clock shows, in UTC; nothing where it has jumped beyond the years that can be written.
fn time(second: i64) -> String {
    clocks::utc_text(second).unwrap_or_default()
}
