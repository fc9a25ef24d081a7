//! What becomes of the records that a table tells, beside the book that is open.

mod homes;

use std::collections::{BTreeMap, BTreeSet, HashMap};

use super::super::Table;
use super::super::brought::{Counts, Outcome, RowOutcome};
use super::super::matching::Matching;
use super::super::row::{Weight, weight};
use super::against::{self, Differences};
use super::bodies::Home;
use super::cells::{Cells, Columns};
use super::{Item, doubt, finding, without_origin};
use crate::exchange::table_import::row::Said;
use crate::notebook::{
    Act, Body, Ledger, North, Pages, Reading, RecordId, Sighting, State, Station, attitude,
};
use homes::{At, is_bare, renumbered};

/// What a table brings, before it is counted.
pub(super) struct Settled {
    pub(super) rows: Vec<RowOutcome>,
    pub(super) counts: Counts,
    pub(super) records: Vec<(RecordId, Body)>,
}

pub(super) fn settle(
    sheet: &'static str,
    items: Vec<Item>,
    rows: Vec<RowOutcome>,
    (table, matching, columns): (&Table, &Matching, &Columns<'_>),
    (ledger, pages): (&Ledger, &Pages),
    now: &str,
) -> Settled {
    let mut numbers: BTreeMap<u32, Vec<RecordId>> = BTreeMap::new();
    for page in pages.stations() {
        let line = page.line();
        let of = numbers.entry(line.number()).or_default();
        of.push(line.record().clone());
    }
    // A number that is given anew is none that the table has further on.
    let beyond = items.iter().filter_map(|item| item.home.number).max();
    let beyond = beyond.map_or(1, |most| most.saturating_add(1));
    let mut most: HashMap<Home, u32> = HashMap::new();
    for item in &items {
        let number = match &item.body {
            Body::Reading(reading) => reading.number,
            Body::Sighting(sighting) => sighting.number,
            _ => 0,
        };
        let of_home = most.entry(item.home.clone()).or_default();
        *of_home = number.max(*of_home);
    }
    let mut settling = Settling {
        most,
        sheet,
        table,
        matching,
        columns,
        ledger,
        pages,
        now,
        next_station: pages.next_station_number().max(beyond),
        numbers,
        told_numbers: HashMap::new(),
        told_names: HashMap::new(),
        given: HashMap::new(),
        homes: HashMap::new(),
        made: Vec::new(),
        rows,
        stations: Vec::new(),
        others: Vec::new(),
        counts: Counts::default(),
        used: BTreeSet::new(),
    };
    for mut item in items {
        match std::mem::replace(&mut item.body, Body::Unknown(serde_json::Map::new())) {
            Body::Station(station) => settling.station(&item, station),
            Body::Reading(reading) => settling.reading(&mut item, reading),
            Body::Sighting(sighting) => settling.sighting(&item, sighting),
            _ => {}
        }
    }
    settling.finish()
}

struct Settling<'s> {
    sheet: &'static str,
    table: &'s Table,
    matching: &'s Matching,
    columns: &'s Columns<'s>,
    ledger: &'s Ledger,
    pages: &'s Pages,
    now: &'s str,
    next_station: u32,
    /// Whose a number is in the book.
    numbers: BTreeMap<u32, Vec<RecordId>>,
    /// The line that first gave a number to a station of the table, and its record.
    told_numbers: HashMap<u32, (u64, RecordId)>,
    /// The same of the numbers of readings or sightings at a station.
    told_names: HashMap<(RecordId, u32), (u64, RecordId)>,
    /// The highest number that the table has at a station.
    most: HashMap<Home, u32>,
    /// The last number given anew to a reading or a sighting of a station.
    given: HashMap<RecordId, u32>,
    homes: HashMap<(Option<RecordId>, Option<u32>), At>,
    /// Stations that only their rows tell.
    made: Vec<(RecordId, Station)>,
    rows: Vec<RowOutcome>,
    stations: Vec<(RecordId, Body)>,
    others: Vec<(RecordId, Body)>,
    counts: Counts,
    /// Stations to which something goes.
    used: BTreeSet<RecordId>,
}

/// How a record stands in the book.
#[derive(PartialEq)]
enum Stands {
    Nowhere,
    Here,
    StruckOut,
}

impl Settling<'_> {
    fn stands(&self, record: &RecordId) -> Stands {
        match self.ledger.state(record.as_str()) {
            State::Absent => Stands::Nowhere,
            State::Kept { .. } | State::Contested { .. } => Stands::Here,
            // What was undone may come again; what a person struck out stays struck out.
            State::StruckOut { entry, .. } if *entry.act() == Act::Undo => Stands::Nowhere,
            State::StruckOut { .. } => Stands::StruckOut,
        }
    }

    fn line_of(&self, item: &Item) -> u64 {
        let first = item.rows.first().map_or(0, |(row, _)| *row);
        self.table.rows[first].line
    }

    fn end(&mut self, item: &Item, outcome: Outcome) {
        for (row, _) in &item.rows {
            self.rows[*row].outcome = outcome;
        }
    }

    fn say(&mut self, item: &Item, weight: Weight, words: String) {
        if let Some((row, _)) = item.rows.first() {
            let row = &mut self.rows[*row];
            let said = Said {
                column: None,
                weight,
                words,
            };
            row.findings.push(finding(row.line, said));
        }
    }

    /// Here already, or otherwise here: then it is doubted and not taken.
    fn compared(&mut self, item: &Item, differences: &Differences) {
        let Some(words) = differences.in_words() else {
            self.end(item, Outcome::Here);
            return;
        };
        let words = format!(
            "{} is in this book and differs: {words}; it stays as it is here",
            item.called
        );
        self.differs(item, &words);
    }

    fn differs(&mut self, item: &Item, words: &str) {
        self.end(item, Outcome::Differs);
        for (row, _) in &item.rows {
            let row = &mut self.rows[*row];
            row.findings.push(doubt(row.line, words.to_owned()));
        }
    }

    fn is_another(&mut self, item: &Item) {
        let words = format!(
            "the record of {} is something else in this book; it is not taken",
            item.called
        );
        self.differs(item, &words);
    }

    fn station(&mut self, item: &Item, mut station: Station) {
        match self.stands(&item.record) {
            Stands::StruckOut => self.end(item, Outcome::StruckOut),
            Stands::Nowhere => {
                self.numbered(item, &item.record, &mut station);
                if station.at.is_empty() {
                    self.now.clone_into(&mut station.at);
                }
                self.counts.stations += 1;
                self.set_number(item, Some(station.number));
                self.stations
                    .push((item.record.clone(), Body::Station(station)));
                self.end(item, Outcome::Taken);
            }
            Stands::Here => {
                let page = self.pages.station(item.record.as_str());
                let Some(here) = page.and_then(|page| page.line().station()).cloned() else {
                    self.is_another(item);
                    return;
                };
                // Only its readings told it until now: whatever it says is new.
                let of_rows = is_bare(&here);
                // Where a table brought it in it may have been given another number.
                if let Some(from) = &here.from
                    && here.number != station.number
                {
                    let table = if of_rows {
                        &self.table.name
                    } else {
                        &from.table
                    };
                    renumbered(&mut station, here.number, table);
                }
                self.set_number(item, Some(here.number));
                let as_before = without_origin(&Body::Station(here.clone()))
                    == without_origin(&Body::Station(station.clone()));
                if of_rows && !as_before {
                    self.counts.old_stations += 1;
                    self.stations
                        .push((item.record.clone(), Body::Station(station)));
                    self.end(item, Outcome::Taken);
                    return;
                }
                self.compared(item, &against::stations(&here, &station));
            }
        }
    }

    fn set_number(&mut self, item: &Item, number: Option<u32>) {
        for (row, _) in &item.rows {
            self.rows[*row].station = number;
        }
    }

    fn reading(&mut self, item: &mut Item, mut reading: Reading) {
        if self.sheet == "shots" {
            in_order(item, &mut reading);
        }
        let at = reading.shots.first().map_or("", |shot| shot.at.as_str());
        let at = self.home(item, at);
        at.record.as_str().clone_into(&mut reading.station);
        self.set_number(item, at.number);
        // An older hand-over does not tell a reading that is struck out from one whose shots are.
        let older = self.sheet == "shots" && item.home.record.is_none();
        let all_struck = older && reading.shots.iter().all(|shot| shot.struck_out);
        match self.stands(&item.record) {
            Stands::StruckOut => self.end(item, Outcome::StruckOut),
            Stands::Nowhere if all_struck => self.end(item, Outcome::Withdrawn),
            Stands::Nowhere => {
                reading.number = self.own_number(item, &at, reading.number, "reading");
                let known = |id: &String| self.pages.set_up(id).is_some();
                if reading.set_up.as_ref().is_some_and(|id| !known(id)) {
                    reading.set_up = None;
                    self.counts.without_set_up += 1;
                }
                self.used.insert(at.record);
                if self.sheet == "shots" {
                    self.doubts_of(item, &reading);
                }
                self.counts.readings += 1;
                self.others
                    .push((item.record.clone(), Body::Reading(reading)));
                self.end(item, Outcome::Taken);
            }
            Stands::Here => {
                let line = self.pages.reading(item.record.as_str());
                let Some(here) = line.and_then(|line| line.reading()).cloned() else {
                    self.is_another(item);
                    return;
                };
                if here.from.is_some() {
                    reading.number = here.number;
                }
                let differences = if self.sheet == "shots" {
                    against::readings(&here, &reading, !older)
                } else {
                    self.against_means(item, &here, &reading)
                };
                if differences.in_words().is_none() && here.station != reading.station {
                    let words = format!(
                        "{} is in this book, and at another station; it stays as it is here",
                        item.called
                    );
                    self.differs(item, &words);
                    return;
                }
                self.compared(item, &differences);
            }
        }
    }

    fn against_means(&self, item: &Item, here: &Reading, there: &Reading) -> Differences {
        let row = item.rows.first().map_or(0, |(row, _)| *row);
        let cells = Cells::of(&self.table.rows[row], self.columns);
        let means = ["strike", "dip", "trend", "plunge", "angle"];
        let means = means.map(|name| (name, cells.text(&format!("{name} (deg)"))));
        against::means(self.pages, here, there, cells.text("dials"), &means)
    }

    /// The doubts that the keypad would raise on the same dials, where no answer settles them.
    fn doubts_of(&mut self, item: &Item, reading: &Reading) {
        for found in attitude::of(reading).open {
            let Some((row, _)) = item.rows.get(found.shot).or(item.rows.first()) else {
                continue;
            };
            let row = &mut self.rows[*row];
            let said = Said {
                column: None,
                weight: weight(found.doubt.severity),
                words: found.doubt.message,
            };
            row.findings.push(finding(row.line, said));
        }
    }

    fn sighting(&mut self, item: &Item, mut sighting: Sighting) {
        let at = self.home(item, &sighting.at.clone());
        at.record.as_str().clone_into(&mut sighting.station);
        self.set_number(item, at.number);
        match self.stands(&item.record) {
            Stands::StruckOut => self.end(item, Outcome::StruckOut),
            Stands::Nowhere => {
                sighting.number = self.own_number(item, &at, sighting.number, "sighting");
                let known = |id: &String| self.pages.set_up(id).is_some();
                if sighting.set_up.as_ref().is_some_and(|id| !known(id)) {
                    sighting.set_up = None;
                    self.counts.without_set_up += 1;
                }
                self.used.insert(at.record);
                self.counts.sightings += 1;
                self.others
                    .push((item.record.clone(), Body::Sighting(sighting)));
                self.end(item, Outcome::Taken);
            }
            Stands::Here => {
                let line = self.pages.sighting(item.record.as_str());
                let Some(here) = line.and_then(|line| line.sighting()).cloned() else {
                    self.is_another(item);
                    return;
                };
                self.compared(item, &against::sightings(&here, &sighting));
            }
        }
    }

    fn finish(self) -> Settled {
        let mut counts = self.counts;
        let mut records = self.stations;
        let used = self.used;
        let made: Vec<(RecordId, Station)> = self
            .made
            .into_iter()
            .filter(|(record, _)| used.contains(record))
            .collect();
        counts.stations += made.len();
        let of_book = |record: &&RecordId| self.pages.station(record.as_str()).is_some();
        let new: BTreeSet<&RecordId> = made.iter().map(|(record, _)| record).collect();
        counts.old_stations += used
            .iter()
            .filter(|record| !new.contains(record))
            .filter(of_book)
            .count();
        records.extend(
            made.into_iter()
                .map(|(record, station)| (record, Body::Station(station))),
        );
        records.sort_by_key(|(_, body)| match body {
            Body::Station(station) => station.number,
            _ => 0,
        });
        records.extend(self.others);
        Settled {
            rows: self.rows,
            counts,
            records,
        }
    }
}

/// The shots in the order of their numbers, and the answers counted among those that came.
fn in_order(item: &mut Item, reading: &mut Reading) {
    let mut shots: Vec<((usize, usize), crate::notebook::Shot)> = item
        .rows
        .iter()
        .copied()
        .zip(std::mem::take(&mut reading.shots))
        .collect();
    shots.sort_by_key(|((_, number), _)| *number);
    let kept: Vec<usize> = shots
        .iter()
        .map(|((_, number), _)| number.saturating_sub(1))
        .collect();
    reading.accepted = against::answers_among(&reading.accepted, &kept);
    (item.rows, reading.shots) = shots.into_iter().unzip();
}

/// Readings and sightings of magnetic north with which no declination goes.
pub(in crate::exchange::table_import) fn without_declination(
    records: &[(RecordId, Body)],
) -> usize {
    let lacks = |north: North, declination: Option<&str>| {
        north == North::Magnetic && declination.and_then(attitude::declination).is_none()
    };
    let lacking = records.iter().filter(|(_, body)| match body {
        Body::Reading(reading) => {
            reading.form != crate::notebook::Form::Angle
                && lacks(reading.north, reading.declination.as_deref())
        }
        Body::Sighting(sighting) => lacks(sighting.north, sighting.declination.as_deref()),
        _ => false,
    });
    lacking.count()
}
