//! What a table would bring into a book, row by row, before anything is written.

use std::collections::{BTreeMap, BTreeSet, HashMap};

use super::matching::{Matching, StationsOf};
use super::returned;
use super::row::{OfStation, Parts, Said, Weight, parts};
use super::what::What;
use super::{Table, TableRow};
use crate::notebook::{Act, Body, Ledger, Line, Origin, Pages, Reading, RecordId, State, Station};

/// One thing found in a row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Finding {
    /// The line of the file where the row begins, from 1.
    pub line: u64,
    /// The column, counted from 0; `None` where it is the row as a whole.
    pub column: Option<usize>,
    /// How it weighs.
    pub weight: Weight,
    /// What it is: lower case, no full stop.
    pub words: String,
}

/// What becomes of a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// It is brought in.
    Taken,
    /// It is in the book already.
    Here,
    /// It is in the book, and a person struck it out there.
    StruckOut,
    /// It is in the book, by its record, and the table says otherwise: it stays as it is there.
    Differs,
    /// The table itself says that it was struck out.
    Withdrawn,
    /// Nothing in it can be read, and there is no station whose note could keep its words.
    Nothing,
    /// A person leaves it out.
    LeftOut,
}

/// A row, read.
#[derive(Clone, Debug, PartialEq)]
pub struct RowOutcome {
    /// The line of the file where it begins, from 1.
    pub line: u64,
    /// What becomes of it.
    pub outcome: Outcome,
    /// The number of the station it goes to.
    pub station: Option<u32>,
    /// The readings in it.
    pub readings: Vec<Reading>,
    /// What was found in it.
    pub findings: Vec<Finding>,
}

impl RowOutcome {
    /// Whether a number in it contradicts another or its limit, or something could not be read.
    pub fn is_doubted(&self) -> bool {
        self.findings
            .iter()
            .any(|found| found.weight != Weight::Note)
    }
}

/// How many of each.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    /// Rows of the table, without blank ones.
    pub rows: usize,
    /// Rows that are brought in.
    pub taken: usize,
    /// Rows that are in the book already.
    pub here: usize,
    /// Rows that are in the book and struck out there.
    pub struck_out: usize,
    /// Rows that are in the book by their record, and otherwise.
    pub differ: usize,
    /// Rows that the table itself says were struck out.
    pub withdrawn: usize,
    /// Rows in which nothing can be read.
    pub nothing: usize,
    /// Rows that a person leaves out.
    pub left_out: usize,
    /// Rows of those brought in that hold no reading: their words are in the note of a station.
    pub words: usize,
    /// Stations that are made.
    pub stations: usize,
    /// Stations of the book that a row goes to, or whose empty fields are filled.
    pub old_stations: usize,
    /// Readings that are made.
    pub readings: usize,
    /// Sightings that are made.
    pub sightings: usize,
    /// Readings and sightings of those that count from magnetic north, and with which no declination goes.
    pub without_declination: usize,
    /// Readings and sightings of those whose set-up the book does not have.
    pub without_set_up: usize,
    /// Rows brought in with a doubt.
    pub doubted: usize,
    /// Doubts in them.
    pub doubts: usize,
    /// Cells in them that could not be read, and are in a note.
    pub not_read: usize,
}

/// What a table would bring.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Brought {
    /// The name of the table's file.
    pub table: String,
    /// Row by row, as the table has them.
    pub rows: Vec<RowOutcome>,
    /// The count of it.
    pub counts: Counts,
    /// The records that are written, each with its whole content: stations before their readings.
    pub records: Vec<(RecordId, Body)>,
}

/// How the rows of one station are known.
#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
enum Key {
    Number(u32),
    Name(String),
    Place(String),
    Whole,
}

impl Key {
    fn of(station: &OfStation) -> Option<Self> {
        if let Some(number) = station.number {
            return Some(Self::Number(number));
        }
        if !station.name.is_empty() {
            return Some(Self::Name(station.name.clone()));
        }
        let place = station.position.as_ref()?;
        Some(Self::Place(format!(
            "{},{}",
            place.latitude, place.longitude
        )))
    }

    /// What a station's id is made of.
    fn words(&self) -> String {
        match self {
            Self::Number(number) => format!("number {number}"),
            Self::Name(name) => format!("name {name}"),
            Self::Place(place) => format!("place {place}"),
            Self::Whole => "table".to_owned(),
        }
    }

    /// As a finding names it.
    fn shown(&self) -> String {
        match self {
            Self::Number(number) => format!("station number {number}"),
            Self::Name(name) => format!("the station `{}`", super::short(name, 40)),
            Self::Place(place) => format!("the station at {place}"),
            Self::Whole => "the table".to_owned(),
        }
    }
}

/// A station while rows are put to it.
struct Stop {
    record: RecordId,
    station: Station,
    /// What the book has of it now.
    before: Option<Station>,
    next_reading: u32,
    used: BTreeSet<u32>,
}

/// What would come of a table, by a matching, beside a book; `left_out` names rows, from 0, that a person leaves.
///
/// # Degenerate input
/// A table without rows, or one in which nothing can be read, brings nothing.
pub fn bring(
    table: &Table,
    matching: &Matching,
    ledger: &Ledger,
    pages: &Pages,
    left_out: &BTreeSet<usize>,
    now: &str,
) -> Brought {
    bring_telling(
        table,
        matching,
        (ledger, pages),
        left_out,
        now,
        &mut |_, _| {},
    )
}

/// The same; `at` is told how many rows of how many are read.
pub fn bring_telling(
    table: &Table,
    matching: &Matching,
    (ledger, pages): (&Ledger, &Pages),
    left_out: &BTreeSet<usize>,
    now: &str,
    at: &mut dyn FnMut(u64, u64),
) -> Brought {
    if let Some(sheet) = matching.own {
        let (of, into) = ((table, matching), (ledger, pages));
        return returned::bring(sheet, of, into, left_out, now, at);
    }
    let count = table.rows.len() as u64;
    let numbered = (0..).zip(&table.rows);
    let read: Vec<Parts> = numbered
        .map(|(done, row)| {
            at(done, count);
            parts(table, matching, row)
        })
        .collect();
    let mut bringing = Bringing {
        table,
        matching,
        ledger,
        pages,
        stops: BTreeMap::new(),
        readings: Vec::new(),
        groups: HashMap::new(),
        brought: Brought {
            table: table.name.clone(),
            ..Brought::default()
        },
        numbered: false,
    };
    let keys = bringing.keys(&read);
    let count = |is: fn(&Key) -> bool| keys.iter().flatten().filter(|key| is(key)).count();
    let numbers = count(|key| matches!(key, Key::Number(_)));
    bringing.numbered = numbers > count(|key| matches!(key, Key::Name(_)));
    bringing.stations(&read, &keys, left_out, now);
    for (at, (parts, key)) in read.into_iter().zip(keys).enumerate() {
        bringing.row(at, parts, key, left_out.contains(&at));
    }
    bringing.finish()
}

struct Bringing<'b> {
    table: &'b Table,
    matching: &'b Matching,
    ledger: &'b Ledger,
    pages: &'b Pages,
    stops: BTreeMap<Key, Stop>,
    readings: Vec<(RecordId, Reading)>,
    /// Readings of several shots, by what tells them apart.
    groups: HashMap<(Key, String, String), Group>,
    brought: Brought,
    /// Most stations of the table are numbers.
    numbered: bool,
}

/// A reading to which rows of further shots go.
struct Group {
    /// Its place among the readings.
    at: usize,
    /// The numbers of its shots, each with the line that has it.
    shots: HashMap<u32, u64>,
}

/// How a record that the table would make stands in the book.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Stands {
    Nowhere,
    Here,
    StruckOut,
}

impl Bringing<'_> {
    /// The station of every row; a row that names none goes with the one above, else with the one below.
    fn keys(&self, read: &[Parts]) -> Vec<Option<Key>> {
        let mut keys: Vec<Option<Key>> = read.iter().map(|parts| Key::of(&parts.station)).collect();
        let measures = read.iter().any(|parts| !parts.readings.is_empty());
        if keys.iter().all(Option::is_none) {
            return vec![measures.then_some(Key::Whole); keys.len()];
        }
        let first = keys.iter().flatten().next().cloned();
        let mut last = first;
        for key in &mut keys {
            match key {
                Some(key) => last = Some(key.clone()),
                None => key.clone_from(&last),
            }
        }
        keys
    }

    fn id(&self, what: &str) -> RecordId {
        RecordId::from(self.table.uuid(what))
    }

    fn stands(&self, record: &RecordId) -> Stands {
        match self.ledger.state(record.as_str()) {
            State::Absent => Stands::Nowhere,
            State::Kept { .. } | State::Contested { .. } => Stands::Here,
            // What was undone may come again; what a person struck out stays struck out.
            State::StruckOut { entry, .. } if *entry.act() == Act::Undo => Stands::Nowhere,
            State::StruckOut { .. } => Stands::StruckOut,
        }
    }

    /// Makes or finds the station of every row that is taken.
    fn stations(
        &mut self,
        read: &[Parts],
        keys: &[Option<Key>],
        left_out: &BTreeSet<usize>,
        now: &str,
    ) {
        let mut taken: BTreeSet<u32> = self
            .pages
            .stations()
            .iter()
            .map(|page| page.line().number())
            .collect();
        let mut wanted: Vec<(&Key, &Parts)> = Vec::new();
        let mut seen = BTreeSet::new();
        for (at, (key, parts)) in keys.iter().zip(read).enumerate() {
            if let Some(key) = key
                && !left_out.contains(&at)
                && seen.insert(key)
            {
                wanted.push((key, parts));
            }
        }
        // Those with a number first, so that it is theirs.
        wanted.sort_by_key(|(key, _)| !matches!(key, Key::Number(_)));
        for (key, parts) in wanted {
            let stop = self.stop(key, parts, &mut taken, now);
            self.stops.insert(key.clone(), stop);
        }
    }

    fn stop(&self, key: &Key, parts: &Parts, taken: &mut BTreeSet<u32>, now: &str) -> Stop {
        let record = self.id(&format!("station/{}", key.words()));
        let own = self.pages.station(record.as_str()).map(|page| page.line());
        let of_book = own
            .filter(|_| self.stands(&record) != Stands::Nowhere)
            .or_else(|| self.of_book(key));
        if let Some(line) = of_book
            && let Some(station) = line.station()
        {
            let record = line.record().clone();
            let next = self.pages.next_reading_number(record.as_str());
            return Stop {
                record,
                station: station.clone(),
                before: Some(station.clone()),
                next_reading: next,
                used: (1..next).collect(),
            };
        }
        let next_free = || taken.last().map_or(1, |last| last.saturating_add(1));
        let mut station = Station {
            name: parts.station.name.clone(),
            at: if parts.at.is_empty() {
                now.to_owned()
            } else {
                parts.at.clone()
            },
            ..Station::default()
        };
        match key {
            Key::Number(number) if !taken.contains(number) => station.number = *number,
            Key::Number(number) => {
                station.number = next_free();
                let called = format!("{number} in {}", self.table.name);
                if station.name.is_empty() {
                    station.name = called;
                } else {
                    add(&mut station.note, &format!("number {called}"));
                }
            }
            _ => station.number = next_free(),
        }
        if matches!(key, Key::Whole) {
            station.name = stem(&self.table.name).to_owned();
        }
        taken.insert(station.number);
        Stop {
            record,
            station,
            before: None,
            next_reading: 1,
            used: BTreeSet::new(),
        }
    }

    /// The book's own station that a row goes to.
    fn of_book(&self, key: &Key) -> Option<&Line> {
        if self.matching.stations != StationsOf::Book {
            return None;
        }
        let mut standing = self
            .pages
            .stations()
            .iter()
            .map(|page| page.line())
            .filter(|line| !line.is_struck_out());
        match key {
            Key::Number(number) => standing.find(|line| line.number() == *number),
            Key::Name(name) => {
                standing.find(|line| line.station().is_some_and(|s| s.name == *name))
            }
            Key::Place(_) | Key::Whole => None,
        }
    }

    fn row(&mut self, at: usize, mut parts: Parts, key: Option<Key>, left_out: bool) {
        let row = &self.table.rows[at];
        let measured = parts.readings.clone();
        let mut outcome = match key {
            _ if left_out => Outcome::LeftOut,
            None => Outcome::Nothing,
            Some(_) => Outcome::Taken,
        };
        let mut station = None;
        if let (Outcome::Taken, Some(key)) = (outcome, key) {
            if Key::of(&parts.station).is_none() && key != Key::Whole {
                parts.said.push(Said {
                    column: None,
                    weight: Weight::Note,
                    words: format!("no station stands here; the row goes with {}", key.shown()),
                });
            }
            if let (Key::Name(name), true, Some(column)) =
                (&key, self.numbered, self.matching.column_of(What::Station))
                && row.cell(column) == name
            {
                parts.said.push(Said {
                    column: Some(column),
                    weight: Weight::Doubt,
                    words: format!(
                        "the stations of this table are numbers, and `{}` is none: a station of that name is made",
                        super::short(name, 40)
                    ),
                });
            }
            station = self.stops.get(&key).map(|stop| stop.station.number);
            self.station_words(&key, &mut parts);
            outcome = if parts.readings.is_empty() {
                self.words_alone(&key, row, &parts)
            } else {
                self.shot_again(&key, row, &mut parts);
                self.readings(&key, row, parts.clone())
            };
        }
        let findings = parts.said.into_iter().map(|said| Finding {
            line: row.line,
            column: said.column,
            weight: said.weight,
            words: said.words,
        });
        self.brought.rows.push(RowOutcome {
            line: row.line,
            outcome,
            station,
            readings: measured,
            findings: findings.collect(),
        });
    }

    /// What the row says of its station: empty fields are filled, what differs goes into the row's own note.
    fn station_words(&mut self, key: &Key, parts: &mut Parts) {
        let Some(stop) = self.stops.get_mut(key) else {
            return;
        };
        let station = &mut stop.station;
        let mut differs = Vec::new();
        let fields = [
            (What::StationName, &mut station.name, &parts.station.name),
            (What::Unit, &mut station.unit, &parts.station.unit),
            (
                What::Lithology,
                &mut station.lithology,
                &parts.station.lithology,
            ),
        ];
        for (what, has, says) in fields {
            if has.is_empty() {
                has.clone_from(says);
            } else if !says.is_empty() && has != says {
                differs.push(format!("{}: {says}", what.words()));
            }
        }
        match (&station.position, &parts.station.position) {
            (None, Some(says)) => station.position = Some(says.clone()),
            (Some(has), Some(says)) => {
                let off =
                    (has.latitude - says.latitude).abs() + (has.longitude - says.longitude).abs();
                if off > 1e-9 {
                    differs.push(format!(
                        "place: {}",
                        says.typed.as_deref().unwrap_or_default()
                    ));
                } else {
                    for (what, has, says) in [
                        (What::Height, has.height_m, says.height_m),
                        (What::Accuracy, has.accuracy_m, says.accuracy_m),
                    ] {
                        if let Some(says) = says.filter(|_| has.is_some() && has != says) {
                            differs.push(format!("{}: {says} m", what.words()));
                        }
                    }
                }
            }
            _ => {}
        }
        for words in differs {
            parts.said.push(Said {
                column: None,
                weight: Weight::Note,
                words: format!(
                    "the station says otherwise; `{}` is in the note",
                    super::short(&words, 80)
                ),
            });
            parts.notes.push(words);
        }
    }

    /// A row without a reading: what it says goes into the note of its station.
    fn words_alone(&mut self, key: &Key, row: &TableRow, parts: &Parts) -> Outcome {
        let origin = self.origin(row, parts);
        let record = self.stops.get(key).map(|stop| stop.record.clone());
        let stands = record.map_or(Stands::Nowhere, |record| self.stands(&record));
        // Matched otherwise, the row gave a reading that is in the book: its words would come twice.
        if self.stands(&self.id(&format!("reading/{}/0", row.line))) != Stands::Nowhere {
            return Outcome::Here;
        }
        let Some(stop) = self.stops.get_mut(key) else {
            return Outcome::Nothing;
        };
        if stands == Stands::StruckOut {
            return Outcome::StruckOut;
        }
        let is_new = stop.before.is_none();
        for words in &parts.notes {
            // What the book has already does not come twice.
            if is_new || !stop.station.note.contains(words.as_str()) {
                add(&mut stop.station.note, words);
            }
        }
        match &mut stop.station.from {
            None if is_new => stop.station.from = Some(origin),
            Some(from) if is_new => {
                from.row.push('\n');
                from.row.push_str(&row.text);
            }
            _ => {}
        }
        if stop.before.as_ref() == Some(&stop.station) {
            Outcome::Here
        } else {
            Outcome::Taken
        }
    }

    fn origin(&self, row: &TableRow, parts: &Parts) -> Origin {
        Origin {
            table: self.table.name.clone(),
            line: row.line,
            row: row.text.clone(),
            by: parts.who.clone(),
            ..Origin::default()
        }
    }

    /// Where a shot of that number stands in the reading already, the row begins another reading, and both lines are doubted.
    fn shot_again(&mut self, key: &Key, row: &TableRow, parts: &mut Parts) {
        let (Some(shot), false) = (parts.shot, parts.called.is_empty()) else {
            return;
        };
        for reading in &parts.readings {
            let group = (key.clone(), parts.called.clone(), reading.kind.clone());
            let before = self.groups.get(&group).and_then(|g| g.shots.get(&shot));
            if let Some(before) = before {
                parts.said.push(Said {
                    column: self.matching.column_of(What::Shot),
                    weight: Weight::Doubt,
                    words: format!(
                        "lines {before} and {} are both shot {shot} of reading {}: they are taken for two readings",
                        row.line,
                        super::short(&parts.called, 40)
                    ),
                });
                self.groups.remove(&group);
            }
        }
    }

    fn readings(&mut self, key: &Key, row: &TableRow, mut parts: Parts) -> Outcome {
        let origin = self.origin(row, &parts);
        let number = self.number_of(key, &mut parts);
        let mut outcome = Outcome::Here;
        for (nth, mut reading) in std::mem::take(&mut parts.readings).into_iter().enumerate() {
            let record = self.id(&format!("reading/{}/{nth}", row.line));
            reading.note = parts.notes.join("; ");
            reading.from = Some(origin.clone());
            let group = (key.clone(), parts.called.clone(), reading.kind.clone());
            if let Some(shot) = parts.shot.filter(|_| !parts.called.is_empty()) {
                if let Some(group) = self.groups.get_mut(&group) {
                    group.shots.insert(shot, row.line);
                    let (first, into) = &mut self.readings[group.at];
                    into.shots.append(&mut reading.shots);
                    for words in &parts.notes {
                        if !into.note.contains(words.as_str()) {
                            add(&mut into.note, words);
                        }
                    }
                    if let Some(from) = &mut into.from {
                        from.row.push('\n');
                        from.row.push_str(&row.text);
                    }
                    let first = first.clone();
                    return match self.stands(&first) {
                        Stands::Nowhere => Outcome::Taken,
                        Stands::Here => Outcome::Here,
                        Stands::StruckOut => Outcome::StruckOut,
                    };
                }
                let begun = Group {
                    at: self.readings.len(),
                    shots: HashMap::from([(shot, row.line)]),
                };
                self.groups.insert(group, begun);
            }
            match self.stands(&record) {
                Stands::Nowhere => outcome = Outcome::Taken,
                Stands::StruckOut if outcome != Outcome::Taken => outcome = Outcome::StruckOut,
                _ => {}
            }
            let stands = self.stands(&record);
            if let Some(stop) = self.stops.get_mut(key) {
                reading.station = stop.record.as_str().to_owned();
                // A record that is in the book keeps the number it has there.
                if stands == Stands::Nowhere {
                    let wanted = number.filter(|n| nth == 0 && !stop.used.contains(n));
                    reading.number = wanted.unwrap_or(stop.next_reading);
                    stop.used.insert(reading.number);
                    stop.next_reading = stop.next_reading.max(reading.number.saturating_add(1));
                }
            }
            self.readings.push((record, reading));
        }
        outcome
    }

    /// The reading's own number, where the table calls it `47.3` at station 47; what it is called otherwise is noted.
    fn number_of(&self, key: &Key, parts: &mut Parts) -> Option<u32> {
        let column = self.matching.column_of(What::Reading)?;
        if parts.called.is_empty() {
            return None;
        }
        if let Some((station, number)) = parts.called.split_once(['.', '·', ','])
            && let (Ok(station), Ok(number)) = (station.parse::<u32>(), number.parse::<u32>())
            && *key == Key::Number(station)
            && (1..=9999).contains(&number)
        {
            return Some(number);
        }
        let words = format!("{}: {}", self.table.headings[column], parts.called);
        if !parts.notes.contains(&words) {
            parts.notes.push(words);
        }
        None
    }

    fn finish(self) -> Brought {
        let mut brought = self.brought;
        let taken = |record: &RecordId| match self.ledger.state(record.as_str()) {
            State::Absent => true,
            State::StruckOut { entry, .. } => *entry.act() == Act::Undo,
            _ => false,
        };
        let readings: Vec<(RecordId, Reading)> = self
            .readings
            .into_iter()
            .filter(|(record, _)| taken(record))
            .collect();
        let used: BTreeSet<&str> = readings.iter().map(|(_, r)| r.station.as_str()).collect();
        let mut stops: Vec<Stop> = self.stops.into_values().collect();
        stops.sort_by_key(|stop| stop.station.number);
        let mut counts = Counts {
            rows: brought.rows.len(),
            readings: readings.len(),
            ..Counts::default()
        };
        let title = self.table.title();
        let mut titled = title.is_empty();
        let mut records = Vec::with_capacity(readings.len() + stops.len());
        for mut stop in stops {
            let of_reading = used.contains(stop.record.as_str());
            match &stop.before {
                None => {
                    let first = readings
                        .iter()
                        .find(|(_, r)| r.station == stop.record.as_str());
                    let from = first.and_then(|(_, reading)| reading.from.clone());
                    if stop.station.from.is_none() {
                        // The row stands with its reading, word for word.
                        stop.station.from = from.map(|from| Origin {
                            row: String::new(),
                            ..from
                        });
                    }
                    if stop.station.from.is_none() {
                        continue;
                    }
                    if !titled {
                        add(&mut stop.station.note, &title);
                        titled = true;
                    }
                    counts.stations += 1;
                }
                Some(before) => {
                    let changed = *before != stop.station;
                    counts.old_stations += usize::from(changed || of_reading);
                    if !changed {
                        continue;
                    }
                }
            }
            records.push((stop.record, Body::Station(stop.station)));
        }
        records.extend(
            readings
                .into_iter()
                .map(|(record, reading)| (record, Body::Reading(reading))),
        );
        tally(&brought.rows, &mut counts);
        counts.without_declination = returned::without_declination(&records);
        brought.records = records;
        brought.counts = counts;
        brought
    }
}

/// Counts what becomes of the rows.
pub(super) fn tally(rows: &[RowOutcome], counts: &mut Counts) {
    for row in rows {
        match row.outcome {
            Outcome::Taken => {
                counts.taken += 1;
                counts.words += usize::from(row.readings.is_empty());
                counts.doubted += usize::from(row.is_doubted());
                let of = |weight| row.findings.iter().filter(|f| f.weight == weight).count();
                counts.doubts += of(Weight::Doubt);
                counts.not_read += of(Weight::NotRead);
            }
            Outcome::Here => counts.here += 1,
            Outcome::StruckOut => counts.struck_out += 1,
            Outcome::Differs => counts.differ += 1,
            Outcome::Withdrawn => counts.withdrawn += 1,
            Outcome::Nothing => counts.nothing += 1,
            Outcome::LeftOut => counts.left_out += 1,
        }
    }
}

/// Adds words to a note.
fn add(note: &mut String, words: &str) {
    if !note.is_empty() && !words.is_empty() {
        note.push_str("; ");
    }
    note.push_str(words);
}

/// A file's name without its ending.
fn stem(name: &str) -> &str {
    name.rsplit_once('.').map_or(name, |(stem, _)| stem)
}
