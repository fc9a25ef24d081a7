//! To which station of the book a row goes, and which number what it tells has there.

use super::{Settling, Stands};
use crate::exchange::table_import::matching::StationsOf;
use crate::exchange::table_import::returned::Item;
use crate::exchange::table_import::returned::bodies::Home;
use crate::exchange::table_import::row::Weight;
use crate::exchange::table_import::short;
use crate::notebook::{Origin, RecordId, Station};

/// The station of a row.
#[derive(Clone)]
pub(super) struct At {
    pub(super) record: RecordId,
    pub(super) number: Option<u32>,
}

impl Settling<'_> {
    /// The number of a new station: its own, or the next free one where another station of the book has it.
    pub(super) fn numbered(&mut self, item: &Item, record: &RecordId, station: &mut Station) {
        let number = station.number;
        let line = self.line_of(item);
        match self.told_numbers.get(&number) {
            Some((first, other)) if other != record && number != 0 => {
                let words = format!(
                    "station number {number} is that of two stations of the table, here and in line {first}: their records tell them apart, and both are kept"
                );
                self.say(item, Weight::Doubt, words);
            }
            Some(_) => {}
            None => {
                self.told_numbers.insert(number, (line, record.clone()));
            }
        }
        let of_book = self.numbers.get(&number);
        if number != 0 && of_book.is_none_or(|of| of.iter().all(|other| other == record)) {
            return;
        }
        let free = self.next_station;
        self.next_station = free.saturating_add(1);
        if number == 0 {
            station.number = free;
            return;
        }
        renumbered(station, free, &self.table.name);
        let words =
            format!("station number {number} is another's in this book; it is number {free} here");
        self.say(item, Weight::Doubt, words);
    }

    /// The station that a row names: by its record, else by its number.
    pub(super) fn home(&mut self, item: &Item, at: &str) -> At {
        let Home { record, number } = item.home.clone();
        let key = (record.clone(), number);
        if let Some(known) = self.homes.get(&key) {
            return known.clone();
        }
        let found = self.find_home(item, record, number, at);
        self.homes.insert(key, found.clone());
        found
    }

    fn find_home(
        &mut self,
        item: &Item,
        record: Option<RecordId>,
        number: Option<u32>,
        at: &str,
    ) -> At {
        if let Some(record) = &record {
            let page = self.pages.station(record.as_str());
            let stands = self.stands(record) != Stands::Nowhere;
            if let Some(page) = page.filter(|_| stands) {
                return At {
                    record: record.clone(),
                    number: Some(page.line().number()),
                };
            }
        }
        if (record.is_none() || self.matching.stations == StationsOf::Book)
            && let Some(number) = number
        {
            let standing = self.pages.stations().iter().map(|page| page.line());
            let of_number: Vec<RecordId> = standing
                .filter(|line| line.number() == number && !line.is_struck_out())
                .map(|line| line.record().clone())
                .collect();
            if of_number.len() > 1 {
                let words = format!(
                    "{} stations of this book have number {number}, and the table does not say which: the rows go to the first",
                    of_number.len()
                );
                self.say(item, Weight::Doubt, words);
            }
            if let Some(record) = of_number.into_iter().next() {
                return At {
                    record,
                    number: Some(number),
                };
            }
        }
        let of = match (&record, number) {
            (Some(record), None) => {
                let words = format!(
                    "the station of {} is neither in the table nor in this book; it is kept without one",
                    item.called
                );
                self.say(item, Weight::Note, words);
                return At {
                    record: record.clone(),
                    number: None,
                };
            }
            (_, Some(number)) => format!("station/number {number}"),
            (None, None) => "station/table".to_owned(),
        };
        let record = record.unwrap_or_else(|| RecordId::from(self.table.uuid(&of)));
        let page = self.pages.station(record.as_str());
        if let Some(page) = page.filter(|_| self.stands(&record) != Stands::Nowhere) {
            return At {
                number: Some(page.line().number()),
                record,
            };
        }
        let mut station = Station {
            number: number.unwrap_or_default(),
            at: if at.is_empty() { self.now } else { at }.to_owned(),
            from: Some(Origin {
                table: self.table.name.clone(),
                line: self.line_of(item),
                ..Origin::default()
            }),
            ..Station::default()
        };
        if number.is_none() {
            let name = &self.table.name;
            let stem = name
                .rsplit_once('.')
                .map_or(name.as_str(), |(stem, _)| stem);
            stem.clone_into(&mut station.name);
        }
        self.numbered(item, &record, &mut station);
        let number = Some(station.number);
        self.made.push((record.clone(), station));
        At { record, number }
    }

    /// The number of a new reading or sighting at its station: its own, or the next free one where another has it.
    pub(super) fn own_number(&mut self, item: &Item, at: &At, number: u32, what: &str) -> u32 {
        let line = self.line_of(item);
        let key = (at.record.clone(), number);
        match self.told_names.get(&key) {
            Some((first, other)) if *other != item.record && number != 0 => {
                let words = format!(
                    "lines {first} and {line} are two {what}s of the name {}: their records tell them apart, and both are kept",
                    item.called
                );
                self.say(item, Weight::Doubt, words);
            }
            Some(_) => {}
            None => {
                self.told_names.insert(key, (line, item.record.clone()));
            }
        }
        let page = self.pages.station(at.record.as_str());
        let lines = page.into_iter().flat_map(|page| match what {
            "reading" => page.readings(),
            _ => page.sightings(),
        });
        let taken = lines
            .into_iter()
            .any(|line| line.number() == number && *line.record() != item.record);
        if number != 0 && !taken {
            return number;
        }
        let next = match what {
            "reading" => self.pages.next_reading_number(at.record.as_str()),
            _ => self.pages.next_sighting_number(at.record.as_str()),
        };
        let most = self.most.get(&item.home).copied().unwrap_or_default();
        let given = self.given.entry(at.record.clone());
        let given = given.or_insert(most.max(next - 1));
        *given = given.saturating_add(1);
        let given = *given;
        if taken {
            let words = format!(
                "{} is the name of another {what} of this book; it is number {given} at its station here",
                item.called
            );
            self.say(item, Weight::Doubt, words);
        }
        given
    }
}

/// Whether a station was made by rows of readings and nothing else was ever said of it.
pub(super) fn is_bare(station: &Station) -> bool {
    let made = Station {
        number: station.number,
        name: station.name.clone(),
        at: station.at.clone(),
        from: station.from.clone(),
        ..Station::default()
    };
    let named_by_us = |from: &Origin| {
        station.name.is_empty()
            || station
                .name
                .ends_with(&format!(" in {}", short(&from.table, 60)))
    };
    let from = station.from.as_ref();
    *station == made && from.is_some_and(|from| from.row.is_empty() && named_by_us(from))
}

/// A station under another number, with the one that the table has in words.
pub(super) fn renumbered(station: &mut Station, number: u32, table: &str) {
    let called = format!("{} in {}", station.number, short(table, 60));
    station.number = number;
    if station.name.is_empty() {
        station.name = called;
    } else {
        if !station.note.is_empty() {
            station.note.push_str("; ");
        }
        station.note.push_str("number ");
        station.note.push_str(&called);
    }
}
