//! North put right afterwards: chosen readings counted anew from their dials, which stay as typed.
//!
//! A card that was set wrongly keeps what stood on it: a reading then holds the declination that is right and, as its
//! `card_declination`, the one that stood on the card, and its bearings count as read − what stood + what is right.

use super::counts::declination;
use super::entry::{Act, Entry, Stamp};
use super::ledger::Ledger;
use super::pages::{Line, Pages};
use super::record::{Body, North, Reading, Sighting};

/// What is put right, and why; what is `None` stays as it is.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Change {
    /// The north that the bearings were really read against.
    pub north: Option<North>,
    /// The declination that is right, degrees east positive, as typed; an empty text takes it off.
    pub declination: Option<String>,
    /// What stood on the card, degrees east positive, as typed; `None`: the declination that was written down with the bearing.
    pub card: Option<String>,
    /// Record id of the set-up that was really used.
    pub set_up: Option<String>,
    /// Why: kept with each record and with its entry.
    pub why: String,
}

/// The fields of a record that say which north its bearings count from.
struct Counted<'r> {
    north: &'r mut North,
    right: &'r mut Option<String>,
    card: &'r mut Option<String>,
    set_up: &'r mut Option<String>,
    because: &'r mut Option<String>,
}

impl Change {
    fn apply(&self, to: &mut Counted<'_>) {
        let is_set = |north: North| matches!(north, North::True | North::Grid);
        let north = self.north.unwrap_or(*to.north);
        let right = match &self.declination {
            Some(text) => Some(text.trim().to_owned()).filter(|text| !text.is_empty()),
            None => to.right.clone(),
        };
        // What was written down with a bearing read on a card that was turned is what stood on that card.
        let written = || to.right.clone().filter(|_| is_set(*to.north));
        let stood = self
            .card
            .clone()
            .or_else(|| to.card.clone())
            .or_else(written);
        let value = |text: &Option<String>| text.as_deref().and_then(declination);
        let differs = match (value(&stood), value(&right)) {
            (Some(stood), Some(right)) => stood.deg() != right.deg(),
            _ => false,
        };
        *to.card = stood.filter(|_| is_set(north) && differs);
        *to.north = north;
        *to.right = right;
        if self.set_up.is_some() {
            to.set_up.clone_from(&self.set_up);
        }
        *to.because = Some(self.why.trim().to_owned()).filter(|why| !why.is_empty());
    }
}

/// The reading as the change leaves it: its dials, its shots and what was accepted stay as they are.
///
/// # Degenerate input
/// A change that alters nothing returns the reading with its reason; a card or a declination that is no number turns nothing.
pub fn reset(reading: &Reading, change: &Change) -> Reading {
    let mut after = reading.clone();
    change.apply(&mut Counted {
        north: &mut after.north,
        right: &mut after.declination,
        card: &mut after.card_declination,
        set_up: &mut after.set_up,
        because: &mut after.because,
    });
    after
}

/// The sighting as the change leaves it, like [`reset`].
pub fn reset_sighting(sighting: &Sighting, change: &Change) -> Sighting {
    let mut after = sighting.clone();
    change.apply(&mut Counted {
        north: &mut after.north,
        right: &mut after.declination,
        card: &mut after.card_declination,
        set_up: &mut after.set_up,
        because: &mut after.because,
    });
    after
}

/// Which readings and sightings are meant; what is `None` chooses all.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Chosen {
    /// Record id of the set-up they were taken with.
    pub set_up: Option<String>,
    /// The day by the station's own clock, `2026-06-14`.
    pub day: Option<String>,
    /// The number of the first station.
    pub from_station: Option<u32>,
    /// The number of the last station, itself included.
    pub to_station: Option<u32>,
}

/// The standing readings and sightings that are meant, station by station, readings first; those of struck-out stations are left out.
pub fn chosen<'p>(pages: &'p Pages, which: &Chosen) -> Vec<&'p Line> {
    let mut lines = Vec::new();
    for page in pages.stations() {
        let number = page.line().number();
        let day = || page.line().station().and_then(|s| s.at.get(..10));
        let here = !page.line().is_struck_out()
            && which.from_station.is_none_or(|from| from <= number)
            && which.to_station.is_none_or(|to| number <= to)
            && which.day.is_none() | (which.day.as_deref() == day());
        if !here {
            continue;
        }
        let taken = page.readings().iter().chain(page.sightings());
        lines.extend(taken.filter(|line| {
            let set_up = match line.entry().body() {
                Some(Body::Reading(reading)) => reading.set_up.as_deref(),
                Some(Body::Sighting(sighting)) => sighting.set_up.as_deref(),
                _ => return false,
            };
            !line.is_struck_out() && (which.set_up.is_none() || which.set_up.as_deref() == set_up)
        }));
    }
    lines
}

/// The entries that put the lines right, in their order: one a record, counters from the stamp's on, all with the same clock
/// reading and the same reason, so that they are one act to undo. A line that would stay as it is has none.
pub fn entries<'l>(
    ledger: &Ledger,
    lines: impl IntoIterator<Item = &'l Line>,
    change: &Change,
    stamp: &Stamp,
) -> Vec<Entry> {
    let mut entries = Vec::new();
    let mut counter = stamp.counter;
    for line in lines {
        let (before, after) = match line.entry().body() {
            Some(Body::Reading(reading)) => {
                let mut after = reset(reading, change);
                let because = std::mem::replace(&mut after.because, reading.because.clone());
                if after == *reading {
                    continue;
                }
                after.because = because;
                (line, Body::Reading(after))
            }
            Some(Body::Sighting(sighting)) => {
                let mut after = reset_sighting(sighting, change);
                let because = std::mem::replace(&mut after.because, sighting.because.clone());
                if after == *sighting {
                    continue;
                }
                after.because = because;
                (line, Body::Sighting(after))
            }
            _ => continue,
        };
        entries.push(Entry::new(
            before.record().clone(),
            ledger.state(before.record().as_str()).heads().to_vec(),
            Stamp {
                counter,
                ..stamp.clone()
            },
            Act::Reset,
            Some(change.why.trim().to_owned()).filter(|why| !why.is_empty()),
            Some(after),
        ));
        counter += 1;
    }
    entries
}
