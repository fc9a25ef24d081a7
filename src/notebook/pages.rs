//! The book as it is read: stations in order with their readings, kept up to date record by record.

use std::collections::{BTreeMap, BTreeSet, HashMap};

use super::entry::{Entry, RecordId};
use super::ledger::{Ledger, Mark};
use super::record::{Body, Book, Photo, Reading, SetUp, Sighting, Station};

/// One line of the book: a record as it is shown.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Line {
    /// Its number, then its place in the sequence of the device that began it: the order of the lines.
    order: (u32, u64, RecordId),
    entry: Entry,
    kind: Kind,
    struck_out: bool,
    contested: bool,
}

/// Where a line belongs.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Kind {
    Station,
    /// With the station it names.
    At(What, RecordId),
    SetUp,
    Book,
    Unknown,
}

impl Line {
    /// The record.
    pub fn record(&self) -> &RecordId {
        &self.order.2
    }

    /// Its number: the station's in the book, the reading's at its station; 0 for what has none.
    pub fn number(&self) -> u32 {
        self.order.0
    }

    /// The entry whose content is shown; of a struck-out record the last legible one.
    pub fn entry(&self) -> &Entry {
        &self.entry
    }

    /// The content as a reading.
    pub fn reading(&self) -> Option<&Reading> {
        match self.entry.body() {
            Some(Body::Reading(reading)) => Some(reading),
            _ => None,
        }
    }

    /// The content as a station.
    pub fn station(&self) -> Option<&Station> {
        match self.entry.body() {
            Some(Body::Station(station)) => Some(station),
            _ => None,
        }
    }

    /// The content as a sighting.
    pub fn sighting(&self) -> Option<&Sighting> {
        match self.entry.body() {
            Some(Body::Sighting(sighting)) => Some(sighting),
            _ => None,
        }
    }

    /// The content as a photo.
    pub fn photo(&self) -> Option<&Photo> {
        match self.entry.body() {
            Some(Body::Photo(photo)) => Some(photo),
            _ => None,
        }
    }

    /// The content as a set-up.
    pub fn set_up(&self) -> Option<&SetUp> {
        match self.entry.body() {
            Some(Body::SetUp(set_up)) => Some(set_up),
            _ => None,
        }
    }

    /// Withdrawn, still legible.
    pub fn is_struck_out(&self) -> bool {
        self.struck_out
    }

    /// Two people changed the same field of it.
    pub fn is_contested(&self) -> bool {
        self.contested
    }
}

/// A station, its readings, its sightings and its photos.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StationPage {
    line: Line,
    taken: Taken,
    before: usize,
}

/// What was taken at a station, each in order.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
struct Taken {
    readings: Vec<Line>,
    sightings: Vec<Line>,
    photos: Vec<Line>,
}

/// Which of them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum What {
    Reading,
    Sighting,
    Photo,
}

impl Taken {
    fn of(&self, what: What) -> &Vec<Line> {
        match what {
            What::Reading => &self.readings,
            What::Sighting => &self.sightings,
            What::Photo => &self.photos,
        }
    }

    fn of_mut(&mut self, what: What) -> &mut Vec<Line> {
        match what {
            What::Reading => &mut self.readings,
            What::Sighting => &mut self.sightings,
            What::Photo => &mut self.photos,
        }
    }

    fn is_empty(&self) -> bool {
        self.readings.is_empty() && self.sightings.is_empty() && self.photos.is_empty()
    }

    fn sort(&mut self) {
        for lines in [&mut self.readings, &mut self.sightings, &mut self.photos] {
            lines.sort_unstable_by(|a, b| a.order.cmp(&b.order));
        }
    }
}

impl StationPage {
    /// The station's own line.
    pub fn line(&self) -> &Line {
        &self.line
    }

    /// Its readings in order, struck-out ones among them.
    pub fn readings(&self) -> &[Line] {
        &self.taken.readings
    }

    /// Its sightings in order, struck-out ones among them.
    pub fn sightings(&self) -> &[Line] {
        &self.taken.sightings
    }

    /// Its photos in order, struck-out ones among them.
    pub fn photos(&self) -> &[Line] {
        &self.taken.photos
    }

    /// How many readings stand on the pages before: the place of its first in the whole book.
    pub fn before(&self) -> usize {
        self.before
    }
}

/// One day of the book, by the date that the stations' own clocks wrote.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Day {
    /// `2026-06-14`; empty for stations without a legible date.
    pub date: String,
    /// Places in [`Pages::stations`].
    pub stations: Vec<usize>,
    /// Readings at those stations, without struck-out ones.
    pub readings: usize,
}

/// What is new since a mark.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Since {
    /// Entries.
    pub entries: usize,
    /// Stations that have any of them, at the station itself or at what was taken there.
    pub stations: usize,
    /// Readings that have any of them.
    pub readings: usize,
}

/// The readable book.
#[derive(Clone, Debug, Default)]
pub struct Pages {
    stations: Vec<StationPage>,
    /// What names a station that is not in the book, by that station.
    strays: BTreeMap<RecordId, Taken>,
    set_ups: Vec<Line>,
    books: Vec<Line>,
    unknown: Vec<Line>,
    places: HashMap<RecordId, Shelf>,
    contested: BTreeSet<RecordId>,
    readings: usize,
    struck_out: usize,
}

/// Where a record's line stands.
#[derive(Clone, Debug)]
enum Shelf {
    Station((u32, u64, RecordId)),
    At {
        what: What,
        station: RecordId,
        order: (u32, u64, RecordId),
    },
    SetUp,
    Book,
    Unknown,
}

impl Pages {
    /// Reads the whole ledger at once.
    pub fn of(ledger: &Ledger) -> Self {
        let mut pages = Self::default();
        let mut taken: HashMap<RecordId, Taken> = HashMap::new();
        for record in ledger.records() {
            let Some(line) = line_of(ledger, record) else {
                continue;
            };
            pages.note(&line);
            match &line.kind {
                Kind::At(what, station) => {
                    let (what, station) = (*what, station.clone());
                    pages.shelve(&line, what, station.clone());
                    taken.entry(station).or_default().of_mut(what).push(line);
                }
                Kind::Station => {
                    pages
                        .places
                        .insert(record.clone(), Shelf::Station(line.order.clone()));
                    pages.stations.push(StationPage {
                        line,
                        taken: Taken::default(),
                        before: 0,
                    });
                }
                _ => pages.put(line),
            }
        }
        pages
            .stations
            .sort_unstable_by(|a, b| a.line.order.cmp(&b.line.order));
        for page in &mut pages.stations {
            page.taken = taken.remove(page.line.record()).unwrap_or_default();
            page.taken.sort();
        }
        for (station, mut taken) in taken {
            taken.sort();
            pages.strays.insert(station, taken);
        }
        pages.count();
        pages
    }

    /// Brings one record up to date after entries of it went into the ledger.
    pub fn update(&mut self, ledger: &Ledger, record: &RecordId) {
        self.renew(ledger, record);
        self.count();
    }

    /// Brings many records up to date at once; a record named twice is read twice.
    pub fn update_all<'r>(
        &mut self,
        ledger: &Ledger,
        records: impl IntoIterator<Item = &'r RecordId>,
    ) {
        for record in records {
            self.renew(ledger, record);
        }
        self.count();
    }

    fn renew(&mut self, ledger: &Ledger, record: &RecordId) {
        let taken = self.take(record);
        let line = line_of(ledger, record);
        if let Some(line) = line {
            self.note(&line);
            self.put_with(line, taken);
        } else if let Some(taken) = taken.filter(|taken| !taken.is_empty()) {
            self.strays.insert(record.clone(), taken);
        }
    }

    /// Stations by number, struck-out ones among them.
    pub fn stations(&self) -> &[StationPage] {
        &self.stations
    }

    /// The page of a station.
    pub fn station(&self, record: &str) -> Option<&StationPage> {
        self.place_of(record).map(|place| &self.stations[place])
    }

    /// The station's place in [`Pages::stations`].
    pub fn place_of(&self, record: &str) -> Option<usize> {
        match self.places.get(record)? {
            Shelf::Station(order) => self
                .stations
                .binary_search_by(|page| page.line.order.cmp(order))
                .ok(),
            _ => None,
        }
    }

    /// A reading, wherever it stands.
    pub fn reading(&self, record: &str) -> Option<&Line> {
        self.taken_at(record, What::Reading)
    }

    /// A sighting, wherever it stands.
    pub fn sighting(&self, record: &str) -> Option<&Line> {
        self.taken_at(record, What::Sighting)
    }

    /// A photo, wherever it stands.
    pub fn photo(&self, record: &str) -> Option<&Line> {
        self.taken_at(record, What::Photo)
    }

    fn taken_at(&self, record: &str, wanted: What) -> Option<&Line> {
        match self.places.get(record)? {
            Shelf::At {
                what,
                station,
                order,
            } if *what == wanted => {
                let taken = match self.place_of(station.as_str()) {
                    Some(place) => &self.stations[place].taken,
                    None => self.strays.get(station)?,
                };
                let lines = taken.of(wanted);
                let place = lines.binary_search_by(|line| line.order.cmp(order)).ok()?;
                lines.get(place)
            }
            _ => None,
        }
    }

    /// A set-up, struck-out ones among them.
    pub fn set_up(&self, record: &str) -> Option<&Line> {
        let mut lines = self.set_ups.iter();
        lines.find(|line| line.record().as_str() == record)
    }

    /// The i-th reading of the whole book, from 0, and the page it stands on.
    pub fn nth_reading(&self, i: usize) -> Option<(&StationPage, &Line)> {
        let after = self.stations.partition_point(|page| page.before <= i);
        // Pages without readings share their `before` with the next one: the last of them holds the reading.
        let page = self.stations.get(after.checked_sub(1)?)?;
        let line = page.taken.readings.get(i - page.before)?;
        Some((page, line))
    }

    /// How many readings the stations have, struck-out ones among them: one past the largest place of [`Pages::nth_reading`].
    pub fn reading_lines(&self) -> usize {
        self.stations
            .last()
            .map_or(0, |page| page.before + page.taken.readings.len())
    }

    /// How many readings stand, struck-out ones and strays' struck-out ones not counted.
    pub fn readings(&self) -> usize {
        self.readings
    }

    /// How many records are struck out.
    pub fn struck_out(&self) -> usize {
        self.struck_out
    }

    /// Readings whose station is not in the book.
    pub fn strays(&self) -> impl Iterator<Item = &Line> {
        self.strays.values().flat_map(|taken| &taken.readings)
    }

    /// Sightings whose station is not in the book.
    pub fn stray_sightings(&self) -> impl Iterator<Item = &Line> {
        self.strays.values().flat_map(|taken| &taken.sightings)
    }

    /// Every photo, struck-out ones among them, and those whose station is not in the book last.
    pub fn all_photos(&self) -> impl Iterator<Item = &Line> {
        let at_stations = self.stations.iter().flat_map(|page| &page.taken.photos);
        at_stations.chain(self.stray_photos())
    }

    /// Photos whose station is not in the book.
    pub fn stray_photos(&self) -> impl Iterator<Item = &Line> {
        self.strays.values().flat_map(|taken| &taken.photos)
    }

    /// Set-ups in the order they were made.
    pub fn set_ups(&self) -> &[Line] {
        &self.set_ups
    }

    /// The book's own record: the first that was made, where two books were joined.
    pub fn book(&self) -> Option<(&RecordId, &Book)> {
        self.books.iter().find_map(|line| match line.entry.body() {
            Some(Body::Book(book)) if !line.struck_out => Some((line.record(), book)),
            _ => None,
        })
    }

    /// Records of a kind, or with a content, that this version cannot read: kept as they are.
    pub fn unknown(&self) -> &[Line] {
        &self.unknown
    }

    /// Records that a person has to settle, by name.
    pub fn contested(&self) -> impl ExactSizeIterator<Item = &RecordId> {
        self.contested.iter()
    }

    /// The number for the next station: one more than the highest, or 1.
    pub fn next_station_number(&self) -> u32 {
        let last = self.stations.last();
        last.map_or(1, |page| page.line.number().saturating_add(1))
    }

    /// The number for the next reading at a station: one more than the highest, or 1.
    pub fn next_reading_number(&self, station: &str) -> u32 {
        self.next_number(station, What::Reading)
    }

    /// The number for the next sighting at a station: one more than the highest, or 1.
    pub fn next_sighting_number(&self, station: &str) -> u32 {
        self.next_number(station, What::Sighting)
    }

    /// The number for the next photo at a station: one more than the highest, or 1.
    pub fn next_photo_number(&self, station: &str) -> u32 {
        self.next_number(station, What::Photo)
    }

    fn next_number(&self, station: &str, what: What) -> u32 {
        let page = self.station(station);
        let last = page.and_then(|page| page.taken.of(what).last());
        last.map_or(1, |line| line.number().saturating_add(1))
    }

    /// The days of the book in order, each by the date its stations' own clocks wrote; struck-out stations are left out.
    pub fn days(&self) -> Vec<Day> {
        let mut days: BTreeMap<&str, Day> = BTreeMap::new();
        for (place, page) in self.stations.iter().enumerate() {
            if page.line.struck_out {
                continue;
            }
            let at = page.line.station().map_or("", |station| &station.at);
            let date = at.get(..10).unwrap_or("");
            let day = days.entry(date).or_insert_with(|| Day {
                date: date.to_owned(),
                stations: Vec::new(),
                readings: 0,
            });
            day.stations.push(place);
            day.readings += page
                .taken
                .readings
                .iter()
                .filter(|line| !line.struck_out)
                .count();
        }
        days.into_values().collect()
    }

    /// What is new since a mark, such as the one remembered at the last back-up.
    pub fn since(&self, ledger: &Ledger, mark: &Mark) -> Since {
        let mut stations: BTreeSet<&str> = BTreeSet::new();
        let mut readings: BTreeSet<&str> = BTreeSet::new();
        for entry in ledger.beyond(mark) {
            let record = entry.record().as_str();
            match self.places.get(record) {
                Some(Shelf::Station(_)) => {
                    stations.insert(record);
                }
                Some(Shelf::At { what, station, .. }) => {
                    stations.insert(station.as_str());
                    if *what == What::Reading {
                        readings.insert(record);
                    }
                }
                _ => {}
            }
        }
        Since {
            entries: ledger.len().saturating_sub(mark.entries),
            stations: stations.len(),
            readings: readings.len(),
        }
    }

    fn note(&mut self, line: &Line) {
        self.struck_out += usize::from(line.struck_out);
        if line.contested {
            self.contested.insert(line.record().clone());
        }
        self.readings += usize::from(counts(line));
    }

    fn shelve(&mut self, line: &Line, what: What, station: RecordId) {
        let shelf = Shelf::At {
            what,
            station,
            order: line.order.clone(),
        };
        self.places.insert(line.record().clone(), shelf);
    }

    fn put(&mut self, line: Line) {
        self.put_with(line, None);
    }

    /// Puts a line on its shelf; a station gets what was taken there, or what waited for it.
    fn put_with(&mut self, line: Line, taken: Option<Taken>) {
        let record = line.record().clone();
        match line.kind.clone() {
            Kind::Station => {
                let taken = taken
                    .or_else(|| self.strays.remove(&record))
                    .unwrap_or_default();
                self.places
                    .insert(record, Shelf::Station(line.order.clone()));
                let place = self
                    .stations
                    .partition_point(|page| page.line.order < line.order);
                let page = StationPage {
                    line,
                    taken,
                    before: 0,
                };
                self.stations.insert(place, page);
                return;
            }
            Kind::At(what, station) => {
                self.shelve(&line, what, station.clone());
                let taken = match self.place_of(station.as_str()) {
                    Some(place) => &mut self.stations[place].taken,
                    None => self.strays.entry(station).or_default(),
                };
                insert_in_order(taken.of_mut(what), line);
            }
            Kind::SetUp => {
                self.places.insert(record.clone(), Shelf::SetUp);
                insert_in_order(&mut self.set_ups, line);
            }
            Kind::Book => {
                self.places.insert(record.clone(), Shelf::Book);
                insert_in_order(&mut self.books, line);
            }
            Kind::Unknown => {
                self.places.insert(record.clone(), Shelf::Unknown);
                insert_in_order(&mut self.unknown, line);
            }
        }
        if let Some(taken) = taken.filter(|taken| !taken.is_empty()) {
            self.strays.insert(record, taken);
        }
    }

    /// Takes a record's line off its shelf; of a station, returns what was taken there.
    fn take(&mut self, record: &RecordId) -> Option<Taken> {
        self.contested.remove(record);
        let taken = match self.places.remove(record)? {
            Shelf::Station(order) => {
                let place = self
                    .stations
                    .binary_search_by(|page| page.line.order.cmp(&order))
                    .ok()?;
                let page = self.stations.remove(place);
                self.struck_out -= usize::from(page.line.struck_out);
                return Some(page.taken);
            }
            Shelf::At {
                what,
                station,
                order,
            } => {
                let taken = match self.place_of(station.as_str()) {
                    Some(place) => &mut self.stations[place].taken,
                    None => self.strays.get_mut(&station)?,
                };
                let lines = taken.of_mut(what);
                let place = lines.binary_search_by(|line| line.order.cmp(&order)).ok()?;
                let line = lines.remove(place);
                if self.strays.get(&station).is_some_and(Taken::is_empty) {
                    self.strays.remove(&station);
                }
                line
            }
            Shelf::SetUp => take_from(&mut self.set_ups, record)?,
            Shelf::Book => take_from(&mut self.books, record)?,
            Shelf::Unknown => take_from(&mut self.unknown, record)?,
        };
        self.struck_out -= usize::from(taken.struck_out);
        self.readings -= usize::from(counts(&taken));
        None
    }

    fn count(&mut self) {
        let mut before = 0;
        for page in &mut self.stations {
            page.before = before;
            before += page.taken.readings.len();
        }
    }
}

fn counts(line: &Line) -> bool {
    !line.struck_out && matches!(line.kind, Kind::At(What::Reading, _))
}

fn take_from(lines: &mut Vec<Line>, record: &RecordId) -> Option<Line> {
    let place = lines.iter().position(|line| line.record() == record)?;
    Some(lines.remove(place))
}

fn insert_in_order(lines: &mut Vec<Line>, line: Line) {
    let place = lines.partition_point(|other| other.order < line.order);
    lines.insert(place, line);
}

/// A record's line; `None` for an absent one, and for one that is struck out and was never legible here.
fn line_of(ledger: &Ledger, record: &RecordId) -> Option<Line> {
    let state = ledger.state(record.as_str());
    let entry = state.shown()?.clone();
    let (number, kind) = entry.glance(|body| match body {
        Some(Body::Station(station)) => (station.number, Kind::Station),
        Some(Body::Reading(reading)) => {
            let station = RecordId::from(reading.station.as_str());
            (reading.number, Kind::At(What::Reading, station))
        }
        Some(Body::Sighting(sighting)) => {
            let station = RecordId::from(sighting.station.as_str());
            (sighting.number, Kind::At(What::Sighting, station))
        }
        Some(Body::Photo(photo)) => {
            let station = RecordId::from(photo.station.as_str());
            (photo.number, Kind::At(What::Photo, station))
        }
        Some(Body::SetUp(_)) => (0, Kind::SetUp),
        Some(Body::Book(_)) => (0, Kind::Book),
        Some(Body::Unknown(_)) | None => (0, Kind::Unknown),
    });
    Some(Line {
        order: (
            number,
            ledger.first_counter(record.as_str()),
            record.clone(),
        ),
        entry,
        kind,
        struck_out: state.is_struck_out(),
        contested: state.is_contested(),
    })
}
