//! The book in memory: the ledger, and the pages that are read from it. No browser here.

use std::cell::RefCell;
use std::collections::BTreeMap;

use crate::app::settings::BackUp;
use crate::notebook::{
    Body, Entry, EntryId, Ledger, Line, Pages, Reading, RecordId, SetUp, Station, StationPage,
    attitude,
};

/// The ledger and the readable book made from it, kept in step.
#[derive(Default)]
pub struct Shelf {
    /// Every entry.
    pub ledger: Ledger,
    /// What they say.
    pub pages: Pages,
    /// The poles worked out so far, by their readings: to work all of them out again at every shot would be felt.
    poles: RefCell<BTreeMap<RecordId, Option<(f64, f64)>>>,
}

impl Shelf {
    /// Adds an entry; nothing happens where it is there already.
    pub fn take(&mut self, entry: Entry) {
        let record = entry.record().clone();
        let of_reading = match entry.body() {
            Some(body) => matches!(body, Body::Reading(_)),
            None => self.pages.reading(record.as_str()).is_some(),
        };
        if of_reading {
            self.poles.get_mut().remove(&record);
        } else {
            // A set-up and a place say how their readings are to be read.
            self.poles.get_mut().clear();
        }
        if self.ledger.insert(entry) {
            self.pages.update(&self.ledger, &record);
        }
    }

    /// Adds many entries, as from the store or from a file.
    pub fn take_many(&mut self, entries: impl IntoIterator<Item = Entry>) {
        self.poles.get_mut().clear();
        let mut changed: Vec<RecordId> = self
            .ledger
            .join(entries)
            .iter()
            .map(|entry| entry.record().clone())
            .collect();
        changed.sort_unstable();
        changed.dedup();
        self.pages.update_all(&self.ledger, &changed);
    }

    /// The content of a record as it is shown; of a struck-out one the last legible content.
    pub fn body(&self, record: &str) -> Option<Body> {
        self.ledger.state(record).body().cloned()
    }

    /// What the next entry of a record supersedes.
    pub fn heads(&self, record: &str) -> Vec<EntryId> {
        self.ledger.state(record).heads().to_vec()
    }

    /// What a correction of a record supersedes: a doubt between two people's versions stays open.
    pub fn builds_on(&self, record: &str) -> Vec<EntryId> {
        self.ledger.state(record).builds_on()
    }

    /// The readings of a station in order, struck-out ones among them.
    pub fn readings(&self, station: &str) -> Vec<RecordId> {
        self.pages
            .station(station)
            .map(|page| page.readings().iter().map(|l| l.record().clone()).collect())
            .unwrap_or_default()
    }

    /// A reading, and whether it is struck out.
    pub fn reading(&self, record: &str) -> Option<(&Reading, bool)> {
        let line = self.pages.reading(record)?;
        Some((line.reading()?, line.is_struck_out()))
    }

    /// Why a record was struck out, where someone said so.
    pub fn why_struck(&self, record: &str) -> Option<String> {
        self.ledger
            .heads(record)
            .iter()
            .filter(|e| e.strikes_out())
            .find_map(|e| e.why().map(str::to_owned))
    }

    /// The number of the station at which a reading was made.
    pub fn station_number(&self, reading: &str) -> u32 {
        self.reading(reading)
            .and_then(|(r, _)| self.pages.station(&r.station))
            .map_or(0, |page| page.line().number())
    }

    /// The station with a number; where two have it, the first that stands.
    pub fn station_numbered(&self, number: u32) -> Option<(RecordId, Station)> {
        let mut found = self
            .pages
            .stations()
            .iter()
            .filter(|page| page.line().number() == number);
        let first = found.clone().next();
        found
            .find(|page| !page.line().is_struck_out())
            .or(first)
            .and_then(|page| Some((page.line().record().clone(), page.line().station()?.clone())))
    }

    /// The numbers of the stations before and after.
    pub fn neighbours(&self, number: u32) -> (Option<u32>, Option<u32>) {
        let numbers = self
            .pages
            .stations()
            .iter()
            .map(|page| page.line().number());
        (
            numbers.clone().filter(|&n| n < number).max(),
            numbers.filter(|&n| n > number).min(),
        )
    }

    /// The station with the highest number.
    pub fn last_station(&self) -> Option<(RecordId, Station)> {
        let page = self.pages.stations().last()?;
        Some((page.line().record().clone(), page.line().station()?.clone()))
    }

    /// The set-up in use: the one chosen, or the last that was made where none was, or where it was struck out.
    pub fn set_up(&self, chosen: Option<&str>) -> Option<(RecordId, SetUp)> {
        let lines = || self.set_ups();
        let line = lines()
            .find(|l| Some(l.record().as_str()) == chosen)
            .or_else(|| lines().last())?;
        Some((line.record().clone(), line.set_up()?.clone()))
    }

    /// The set-ups that stand, in the order they were made.
    pub fn set_ups(&self) -> impl Iterator<Item = &Line> {
        self.pages.set_ups().iter().filter(|l| !l.is_struck_out())
    }

    /// The set-ups that are struck out, still legible.
    pub fn struck_set_ups(&self) -> impl Iterator<Item = &Line> {
        self.pages.set_ups().iter().filter(|l| l.is_struck_out())
    }

    /// Where the declination is asked for: the station of this record if its place is known, else the last whose place is.
    pub fn placed_station(&self, here: Option<&str>) -> Option<Station> {
        let placed = |page: &StationPage| {
            let station = page.line().station()?;
            let stands = !page.line().is_struck_out() && station.position.is_some();
            stands.then(|| station.clone())
        };
        here.and_then(|here| placed(self.pages.station(here)?))
            .or_else(|| self.pages.stations().iter().rev().find_map(placed))
    }

    /// How many stations have something that the last back-up had not.
    pub fn stations_since(&self, back_up: Option<&BackUp>) -> usize {
        match back_up {
            Some(back_up) => self.pages.since(&self.ledger, &back_up.mark).stations,
            None => self.pages.stations().len(),
        }
    }

    /// How many entries the last back-up had not.
    pub fn entries_since(&self, back_up: Option<&BackUp>) -> usize {
        let held = back_up.map_or(0, |back_up| back_up.mark.entries);
        self.ledger.len().saturating_sub(held)
    }

    /// Trend and plunge, degrees, of the poles of the last planes that stand, at most so many.
    pub fn poles(&self, most: usize) -> Vec<(f64, f64)> {
        self.pages
            .stations()
            .iter()
            .rev()
            .flat_map(|page| page.readings().iter().rev())
            .filter(|line| !line.is_struck_out())
            .filter_map(|line| {
                let mut known = self.poles.borrow_mut();
                *known.entry(line.record().clone()).or_insert_with(|| {
                    let pole = attitude::in_book(&self.pages, line.reading()?)
                        .plane?
                        .pole();
                    Some((pole.trend().deg(), pole.plunge().deg()))
                })
            })
            .take(most)
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::notebook::{Act, Shot, Stamp};

    #[test]
    fn a_correction_of_a_contested_record_leaves_the_doubt_open() {
        let station = |name: &str| {
            Some(Body::Station(Station {
                number: 1,
                name: name.to_owned(),
                ..Station::default()
            }))
        };
        let entry = |device: &str, counter, on: Vec<EntryId>, name| {
            let stamp = Stamp {
                device: device.to_owned(),
                counter,
                ..Stamp::default()
            };
            Entry::new("s".into(), on, stamp, Act::Correct, None, station(name))
        };
        let mut shelf = Shelf::default();
        let first = entry("a", 1, Vec::new(), "Ford");
        let ours = entry("a", 2, vec![first.id()], "Lower ford");
        let theirs = entry("b", 1, vec![first.id()], "Upper ford");
        shelf.take_many(vec![first, ours, theirs]);
        assert!(shelf.ledger.state("s").is_contested());
        let on = shelf.builds_on("s");
        assert_eq!(on.len(), 1);
        shelf.take(entry("a", 3, on, "The ford below"));
        let state = shelf.ledger.state("s");
        assert!(state.is_contested());
        assert_eq!(state.heads().len(), 2);
        assert_eq!(shelf.heads("s").len(), 2, "a strike-out is of all of it");
    }

    #[test]
    fn a_pole_follows_its_reading() {
        let mut shelf = Shelf::default();
        let mut counter = 0;
        let mut write = |shelf: &mut Shelf, record: &str, act: Act, body: Option<Body>| {
            counter += 1;
            let stamp = Stamp {
                by: "QV".to_owned(),
                device: "bench".to_owned(),
                counter,
                at: "2026-06-14T09:00:00.000Z".to_owned(),
            };
            let heads = shelf.heads(record);
            shelf.take(Entry::new(record.into(), heads, stamp, act, None, body));
        };
        let station = Station {
            number: 1,
            ..Station::default()
        };
        let reading = |strike: &str| Reading {
            station: "s".to_owned(),
            number: 1,
            right_hand: true,
            shots: vec![Shot {
                strike: Some(strike.to_owned()),
                dip: Some("30".to_owned()),
                ..Shot::default()
            }],
            ..Reading::default()
        };
        write(&mut shelf, "s", Act::Write, Some(Body::Station(station)));
        write(
            &mut shelf,
            "r",
            Act::Write,
            Some(Body::Reading(reading("090"))),
        );
        // The pole of a plane trends its right-hand strike less 90°.
        let trends = |shelf: &Shelf| -> Vec<f64> {
            shelf.poles(9).iter().map(|pole| pole.0.round()).collect()
        };
        assert_eq!(trends(&shelf), [0.0]);
        assert_eq!(trends(&shelf), [0.0]);
        write(
            &mut shelf,
            "r",
            Act::Correct,
            Some(Body::Reading(reading("100"))),
        );
        assert_eq!(trends(&shelf), [10.0]);
        write(&mut shelf, "r", Act::StrikeOut, None);
        assert!(trends(&shelf).is_empty());
    }
}
