//! What the first screens of a long book are made of, so that they stand before the whole of it is read.
//!
//! Only ids are remembered, with how many entries the book then had. Entries are never removed: where there are as many, they are
//! the same ones, and what is shown of these is how it stands.

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};

use super::shelf::Shelf;
use super::traverse::day;
use crate::notebook::{EntryId, RecordId, StationPage};

/// A shorter book is read before anyone has looked.
pub const LONG: usize = 2_000;

/// The lines that the first screen of the list has, and some.
const LINES: usize = 40;

/// More entries would themselves be felt.
const MOST: usize = 1_200;

/// The entries behind the first screens of a book.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct FirstLines {
    /// How many entries the book had.
    pub entries: usize,
    /// Every entry of the records that are shown first.
    pub ids: Vec<EntryId>,
}

impl FirstLines {
    /// The entries behind the book's name and set-ups, the top of the list, the station where the person stands and the last
    /// day from its end back; `None` for a book that is not long.
    ///
    /// # Degenerate input
    /// A station is taken with all that was read there, or left out where that would be too much.
    pub fn of(shelf: &Shelf, here: Option<&str>) -> Option<Self> {
        let entries = shelf.ledger.len();
        if entries < LONG {
            return None;
        }
        let mut gathered = Gathered {
            shelf,
            seen: BTreeSet::new(),
            ids: Vec::new(),
        };
        let pages = &shelf.pages;
        let book = pages.book().map(|(record, _)| record.clone());
        let set_ups = pages.set_ups().iter().map(|line| line.record().clone());
        gathered.add(book.into_iter().chain(set_ups).collect());
        let stations = pages.stations();
        let mut lines = 0;
        for page in stations {
            if LINES <= lines || !gathered.station(page) {
                break;
            }
            lines += 1 + page.readings().len();
        }
        if let Some(page) = here.and_then(|here| pages.station(here)) {
            gathered.station(page);
        }
        if let Some(day) = day::find(pages, None) {
            let of_day = day.places.iter().rev();
            of_day
                .filter_map(|&place| stations.get(place))
                .all(|page| gathered.station(page));
        }
        Some(Self {
            entries,
            ids: gathered.ids,
        })
    }
}

struct Gathered<'s> {
    shelf: &'s Shelf,
    seen: BTreeSet<RecordId>,
    ids: Vec<EntryId>,
}

impl Gathered<'_> {
    /// Adds a station and what was taken there; false where it is too much.
    fn station(&mut self, page: &StationPage) -> bool {
        let taken = page.readings().iter();
        let taken = taken.chain(page.sightings()).chain(page.photos());
        let lines = std::iter::once(page.line()).chain(taken);
        self.add(lines.map(|line| line.record().clone()).collect())
    }

    /// Adds every entry of these records, or none where they are too many; whether they were added.
    fn add(&mut self, mut records: Vec<RecordId>) -> bool {
        records.retain(|record| !self.seen.contains(record));
        let of = |record: &RecordId| self.shelf.ledger.history(record.as_str());
        let ids: Vec<EntryId> = records.iter().flat_map(of).map(|e| e.id()).collect();
        let fits = self.ids.len() + ids.len() <= MOST;
        if fits {
            self.ids.extend(ids);
            self.seen.extend(records);
        }
        fits
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::notebook::{Act, Body, Entry, Reading, Stamp, Station};

    fn book(stations: u32, readings: u32) -> Shelf {
        let mut counter = 0;
        let mut entries = Vec::new();
        let mut write = |record: String, on: Vec<EntryId>, body: Body| {
            counter += 1;
            let stamp = Stamp {
                device: "bench".to_owned(),
                counter,
                ..Stamp::default()
            };
            let entry = Entry::new(record.into(), on, stamp, Act::Write, None, Some(body));
            let id = entry.id();
            entries.push(entry);
            id
        };
        for number in 1..=stations {
            let station = format!("s{number}");
            let at = format!("2026-06-{:02}T08:00:00Z", 1 + number / 10);
            let body = Station {
                number,
                at,
                ..Station::default()
            };
            write(station.clone(), Vec::new(), Body::Station(body));
            for number in 1..=readings {
                let reading = Reading {
                    station: station.clone(),
                    number,
                    ..Reading::default()
                };
                let record = format!("{station}r{number}");
                let first = write(record.clone(), Vec::new(), Body::Reading(reading.clone()));
                if number == 2 {
                    write(record, vec![first], Body::Reading(reading));
                }
            }
        }
        let mut shelf = Shelf::default();
        shelf.take_many(entries);
        shelf
    }

    /// What is shown of the first entries alone is what the whole book shows there.
    #[test]
    fn the_first_lines_alone_read_as_they_do_in_the_whole_book() {
        let whole = book(100, 24);
        let first = FirstLines::of(&whole, Some("s40")).unwrap();
        assert_eq!(first.entries, whole.ledger.len());
        let mut part = Shelf::default();
        part.take_many(
            first
                .ids
                .iter()
                .map(|id| whole.ledger.get(id).unwrap().clone()),
        );
        let last_day = day::find(&whole.pages, None).unwrap();
        assert_eq!(day::find(&part.pages, None).unwrap().date, last_day.date);
        assert!(part.pages.station("s1").is_some() && part.pages.station("s40").is_some());
        assert!(part.pages.station("s100").is_some());
        assert!(part.pages.station("s60").is_none());
        for page in part.pages.stations() {
            let there = whole.pages.station(page.line().record().as_str()).unwrap();
            assert_eq!(page.line(), there.line());
            assert_eq!(page.readings(), there.readings());
        }
    }

    #[test]
    fn too_much_is_left_out_station_by_station_and_a_short_book_altogether() {
        assert_eq!(FirstLines::of(&book(10, 10), None), None);
        let first = FirstLines::of(&book(4, 900), None).unwrap();
        assert_eq!(first.ids.len(), 902, "one station, a reading of it changed");
    }
}
