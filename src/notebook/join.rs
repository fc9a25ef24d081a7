//! What joining one or many books to this one would do, before anything is written.
//!
//! Joining itself is [`Ledger::join`]: set union, the same whatever the order and the grouping.

use std::collections::{BTreeSet, HashMap, HashSet};

use super::beyond::{self, Beyond};
use super::clocks::{self, ClockJump};
use super::entry::{Act, Entry, EntryId, RecordId};
use super::ledger::{Cloned, Ledger, State};
use super::namesakes::{self, Namesakes};
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
    /// What it goes beyond, where it is a part.
    pub beyond: &'b [Beyond],
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
    /// Records that stand in several versions, of which it cannot be told which came last while entries between are not here.
    pub unclear: Vec<RecordId>,
    /// Records that were a doubt and are none any more, because somebody settled them elsewhere.
    pub settled: Vec<RecordId>,
    /// Device names that two histories share, where the join shows it or adds to it.
    pub clones: Vec<Cloned>,
    /// Clocks that jumped, where the join shows it.
    pub clocks: Vec<ClockJump>,
    /// Stations with one number or at one place, where the join brings it about.
    pub twins: Vec<Twins>,
    /// Readings, sightings and photos of one station with one number, where the join brings it about.
    pub namesakes: Vec<Namesakes>,
    /// New entries that take the place of one that nobody has, and that one.
    pub orphans: Vec<(EntryId, EntryId)>,
    /// What the books that are parts go beyond and the joined book has not whole, and how many entries of each it has not.
    pub standing: Vec<(Beyond, usize)>,
    /// How many stations, set-ups and readings the records of a part name that are not here.
    pub absent: usize,
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
    /// How many entries it goes beyond, where it is a part.
    pub beyond: Option<usize>,
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
    let pages = Pages::of(ledger);
    let mut planning = Planning::begin(ledger, books);
    while planning.step(ledger, &pages, usize::MAX) {}
    planning.done().0
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
            && self.namesakes.is_empty()
            && self.orphans.is_empty()
            && self.unclear.is_empty()
            && self.standing.is_empty())
    }
}

/// A plan that is worked out step by step, for a page that goes on living meanwhile; [`plan`] takes all steps in one go.
///
/// Every step has to be given the same ledger: where an entry was added meanwhile, the plan is begun anew.
#[derive(Debug)]
pub struct Planning {
    plan: Plan,
    /// The ledger as it would be after the join.
    after: Ledger,
    /// Its pages, as far as they are worked out.
    pages: Pages,
    /// The records that new entries are about.
    records: Vec<RecordId>,
    known_twins: Vec<Twins>,
    known_namesakes: HashSet<Namesakes>,
    known_jumps: Vec<ClockJump>,
    /// What the books go beyond.
    beyond: Vec<Beyond>,
    /// Records that new entries of a part name and that are not here.
    absent: BTreeSet<String>,
    step: Step,
    /// How much of the step is done.
    at: usize,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Step {
    Adding,
    Predecessors,
    Records,
    Clones,
    ClocksBefore,
    Clocks,
    TwinsBefore,
    Pages,
    Twins,
    Standing,
    Done,
}

impl Step {
    fn next(self) -> Self {
        match self {
            Self::Adding => Self::Predecessors,
            Self::Predecessors => Self::Records,
            Self::Records => Self::Clones,
            Self::Clones => Self::ClocksBefore,
            Self::ClocksBefore => Self::Clocks,
            Self::Clocks => Self::TwinsBefore,
            Self::TwinsBefore => Self::Pages,
            Self::Pages => Self::Twins,
            Self::Twins => Self::Standing,
            Self::Standing | Self::Done => Self::Done,
        }
    }
}

impl Planning {
    /// Looks which entries of the books are new.
    pub fn begin(ledger: &Ledger, books: &[Incoming<'_>]) -> Self {
        let plan = gathered(ledger, books);
        let is_new = !plan.new.is_empty();
        let mut beyond: Vec<Beyond> = books.iter().flat_map(|book| book.beyond).cloned().collect();
        beyond.sort_unstable();
        beyond.dedup();
        Self {
            plan,
            after: ledger.clone(),
            pages: Pages::default(),
            records: Vec::new(),
            known_twins: Vec::new(),
            known_namesakes: HashSet::new(),
            known_jumps: Vec::new(),
            step: match (is_new, beyond.is_empty()) {
                (true, _) => Step::Adding,
                (false, false) => Step::Standing,
                (false, true) => Step::Done,
            },
            beyond,
            absent: BTreeSet::new(),
            at: 0,
        }
    }

    /// Goes on by about so many entries or records; false once the plan is worked out. `pages` are the ledger's.
    pub fn step(&mut self, ledger: &Ledger, pages: &Pages, most: usize) -> bool {
        let of = match self.step {
            Step::Adding | Step::Predecessors => self.plan.new.len(),
            Step::Records | Step::Pages => self.records.len(),
            _ => 1,
        };
        let (from, to) = (self.at, self.at.saturating_add(most.max(1)).min(of));
        match self.step {
            Step::Adding => self.after.extend(self.plan.new[from..to].iter().cloned()),
            Step::Predecessors => self.look_back(from, to),
            Step::Records => self.look_at_records(ledger, from, to),
            Step::Clones => {
                let known = ledger.clones();
                self.plan.clones = self.after.clones();
                self.plan.clones.retain(|cloned| !known.contains(cloned));
            }
            Step::ClocksBefore => self.known_jumps = clocks::jumps(ledger),
            Step::Clocks => {
                self.plan.clocks = clocks::jumps(&self.after);
                let known = &self.known_jumps;
                self.plan.clocks.retain(|jump| !known.contains(jump));
            }
            Step::TwinsBefore => {
                self.known_twins = twins::twins(ledger, pages);
                self.known_namesakes = namesakes::namesakes(ledger, pages).into_iter().collect();
                self.pages = pages.clone();
            }
            Step::Pages => {
                let some = &self.records[from..to];
                self.pages.update_all(&self.after, some);
            }
            Step::Twins => {
                self.plan.twins = twins::twins(&self.after, &self.pages);
                let known = &self.known_twins;
                self.plan.twins.retain(|twins| !known.contains(twins));
                self.plan.namesakes = namesakes::namesakes(&self.after, &self.pages);
                let known = &self.known_namesakes;
                self.plan.namesakes.retain(|same| !known.contains(same));
            }
            Step::Standing => {
                self.plan.standing = beyond::standing_in(&self.beyond, &self.after);
                // Of a book that is whole it is not asked.
                if !self.plan.standing.is_empty() {
                    self.plan.absent = self.absent.len();
                }
            }
            Step::Done => return false,
        }
        self.at = to;
        if to == of {
            self.at = 0;
            self.step = self.step.next();
            if self.step == Step::Records {
                self.records.sort_unstable();
                self.records.dedup();
            }
        }
        self.step != Step::Done
    }

    /// The plan, and the ledger as it would be after the join.
    pub fn done(self) -> (Plan, Ledger) {
        (self.plan, self.after)
    }

    fn look_back(&mut self, from: usize, to: usize) {
        for entry in &self.plan.new[from..to] {
            self.records.push(entry.record().clone());
            for id in entry.supersedes() {
                if self.after.get(id).is_none() {
                    self.plan.orphans.push((entry.id(), *id));
                }
            }
        }
    }

    fn look_at_records(&mut self, ledger: &Ledger, from: usize, to: usize) {
        let plan = &mut self.plan;
        for record in &self.records[from..to] {
            let (before, now) = (
                ledger.state(record.as_str()),
                self.after.state(record.as_str()),
            );
            let kind = now.body().map_or("", |body| body.kind());
            plan.records.count(kind, before == State::Absent);
            if !self.beyond.is_empty()
                && let Some(body) = now.body()
            {
                let absent = body.names().filter(|name| !self.after.has(name));
                self.absent.extend(absent.map(str::to_owned));
            }
            if now.is_contested() && self.after.lacks_before(record.as_str()) {
                if before != now {
                    plan.unclear.push(record.clone());
                }
                continue;
            }
            match (&before, &now) {
                (State::Contested { .. }, State::Contested { .. }) if before != now => {
                    plan.contested.push(record.clone());
                }
                (State::Contested { .. }, State::Contested { .. }) => {}
                (_, State::Contested { .. }) => plan.contested.push(record.clone()),
                (State::Contested { .. }, _) => plan.settled.push(record.clone()),
                (_, State::Kept { entry, .. }) if *entry.act() == Act::Merge => {
                    plan.merged.push(record.clone());
                }
                _ => {}
            }
        }
    }
}

/// The books, and their entries that are not here.
fn gathered(ledger: &Ledger, books: &[Incoming<'_>]) -> Plan {
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
            beyond: book.beyond.iter().map(|one| one.count).max(),
        });
    }
    let mut new: Vec<Entry> = new.into_values().cloned().collect();
    new.sort_unstable_by(|a, b| {
        let devices = a.stamp().device.cmp(&b.stamp().device);
        devices
            .then_with(|| a.stamp().counter.cmp(&b.stamp().counter))
            .then_with(|| a.id().cmp(&b.id()))
    });
    Plan {
        sources,
        same: known.len(),
        new,
        ..Plan::default()
    }
}
