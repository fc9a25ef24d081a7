//! Clean, traceable data for the map, the report and the archive: what is chosen of a book as tables, and those tables in
//! the formats that others read.
//!
//! A column is named, measured, explained and filled in one place ([`Head`]); every writer and the data dictionary go by it.

mod column;

pub use column::{Cell, Head, Kind, Point, Sheet, Unit};

mod choice;

pub use choice::{Account, Counts, Wanted, account, has_value, kinds, readings};

use choice::counted;

pub(crate) use reading::dials as dials_in_words;

mod terms;

mod record;

mod station;

mod reading;

mod shot;

mod sighting;

pub mod dictionary;

pub mod csv;

pub mod geojson;

mod instant;

pub mod kml;

pub mod gpx;

use std::collections::HashMap;

use crate::exchange::archive::photo_path;
use crate::notebook::{Ledger, Line, Notation, Pages, RecordId, SetUp, company, north};
use crate::orientation::Severity;

use column::{Located, Table};
use reading::ReadingRow;
use shot::ShotRow;
use sighting::SightingRow;
use station::StationRow;

/// Who hands over, when, and by what.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Made {
    /// What the clock showed, RFC 3339.
    pub at: String,
    /// The person's initials; empty where nobody said.
    pub by: String,
}

/// What is handed over of a book.
pub struct HandOver {
    /// What the book is called.
    pub book: String,
    /// How planes and lines are written.
    pub notation: Notation,
    /// What goes over and what stays.
    pub account: Account,
    /// What the readings that go over and give no plane, line or angle are called: `47.3`.
    pub without_value: Vec<String>,
    /// Who hands over, and when.
    pub made: Made,
    stations: Table<StationRow>,
    readings: Table<ReadingRow>,
    shots: Table<ShotRow>,
    sightings: Table<SightingRow>,
}

/// The doubts that nobody has settled, in words, by record.
type Doubts = HashMap<RecordId, Vec<String>>;

/// Doubts of north and of the company that readings keep.
fn doubts(pages: &Pages) -> Doubts {
    let mut doubts = Doubts::new();
    let mut add = |record: &RecordId, words: &str| {
        let of = doubts.entry(record.clone()).or_default();
        if !of.iter().any(|known| known == words) {
            of.push(words.to_owned());
        }
    };
    for north in north::doubts_of_book(pages) {
        if north.doubt.severity == Severity::Doubt {
            for record in &north.records {
                add(record, &north.doubt.message);
            }
        }
    }
    for (_, company) in company::of_book(pages) {
        for apart in &company.doubts {
            if let Some(record) = &apart.member.record {
                add(record, &apart.doubt.message);
            }
        }
    }
    doubts
}

impl HandOver {
    /// Works out what is wanted of a book.
    ///
    /// # Degenerate input
    /// An empty book, or a choice that nothing meets, gives tables without rows. What a newer version wrote stays, and is counted.
    pub fn of(pages: &Pages, wanted: &Wanted, made: Made) -> Self {
        Self::of_telling(pages, wanted, made, &mut |_, _| {})
    }

    /// The same; `at` is told how many readings of how many are worked out.
    pub fn of_telling(
        pages: &Pages,
        wanted: &Wanted,
        made: Made,
        at: &mut dyn FnMut(u64, u64),
    ) -> Self {
        let book = pages.book().map(|(_, book)| book.clone());
        let book = book.unwrap_or_default();
        let notation = wanted.notation.unwrap_or(book.notation);
        let chosen = choice::choose(pages, wanted);
        let doubts = doubts(pages);
        let of = |line: &Line| doubts.get(line.record()).map_or(&[][..], Vec::as_slice);
        let mut taken: HashMap<&str, (usize, usize)> = HashMap::new();
        for (_, line) in &chosen.readings {
            if let Some(reading) = line.reading() {
                taken.entry(&reading.station).or_default().0 += 1;
            }
        }
        for (_, line) in &chosen.sightings {
            if let Some(sighting) = line.sighting() {
                taken.entry(&sighting.station).or_default().1 += 1;
            }
        }
        let stations = chosen.stations.iter().map(|line| {
            let (readings, sightings) = taken
                .get(line.record().as_str())
                .copied()
                .unwrap_or_default();
            let page = pages.station(line.record().as_str());
            let photos = page.into_iter().flat_map(|page| page.photos());
            StationRow {
                line: line.clone(),
                readings,
                sightings,
                photos: photos
                    .filter(|photo| !photo.is_struck_out())
                    .filter_map(|photo| Some(photo_path(&photo.photo()?.sha256)))
                    .collect(),
            }
        });
        let stations = station::table(stations.collect());
        let shots = chosen.readings.iter().flat_map(|(station, line)| {
            let reading = line.reading();
            let set_up = reading
                .and_then(|reading| pages.set_up(reading.set_up.as_deref()?)?.set_up())
                .cloned();
            let shots = reading.map_or(&[][..], |reading| &reading.shots);
            shots
                .iter()
                .enumerate()
                .filter(|(_, shot)| wanted.struck_out || !shot.struck_out)
                .map(move |(nth, _)| shot_row(line, station.as_ref(), nth, set_up.as_ref()))
                .collect::<Vec<_>>()
        });
        let shots = shot::table(shots.collect());
        let count = chosen.readings.len() as u64;
        let numbered = (0..).zip(&chosen.readings);
        let readings = numbered.filter_map(|(done, (station, line))| {
            at(done, count);
            ReadingRow::of(pages, station.clone(), line.clone(), notation, of(line))
        });
        let readings: Vec<ReadingRow> = readings.collect();
        let without_value = readings
            .iter()
            .filter(|row| row.is_without_value())
            .map(Located::name)
            .collect();
        let readings = reading::table(readings);
        let sightings = chosen.sightings.iter().filter_map(|(station, line)| {
            SightingRow::of(pages, station.clone(), line.clone(), of(line))
        });
        let sightings = sighting::table(sightings.collect());
        Self {
            book: book.name,
            notation,
            account: chosen.account,
            without_value,
            made,
            stations,
            readings,
            shots,
            sightings,
        }
    }

    /// What stays behind and what is worth knowing, one sentence without its full stop each: the account's, and which readings
    /// give no value.
    pub fn notes(&self) -> Vec<String> {
        let mut notes = self.account.notes();
        notes.extend(self.value_note());
        notes
    }

    /// Which readings give neither a plane nor a line nor an angle; at most twenty are named.
    fn value_note(&self) -> Option<String> {
        const NAMED: usize = 20;
        let names = &self.without_value;
        let (named, more) = names.split_at(names.len().min(NAMED));
        let (give, their) = match names.len() {
            0 => return None,
            1 => ("gives", "its"),
            _ => ("give", "their"),
        };
        let more = match more.len() {
            0 => String::new(),
            count => format!(" and {count} more"),
        };
        Some(format!(
            "{} {give} no plane, line or angle: {}{more}; {their} dials go over, and `camp check` says what is missing",
            counted(names.len(), "reading"),
            named.join(", ")
        ))
    }

    /// The stations.
    pub fn stations(&self) -> &dyn Sheet {
        &self.stations
    }

    /// The readings.
    pub fn readings(&self) -> &dyn Sheet {
        &self.readings
    }

    /// The dials, shot by shot.
    pub fn shots(&self) -> &dyn Sheet {
        &self.shots
    }

    /// The sightings.
    pub fn sightings(&self) -> &dyn Sheet {
        &self.sightings
    }

    /// What is on the map: stations, readings, sightings, each with its place.
    pub fn placed(&self) -> [&dyn Sheet; 3] {
        [&self.stations, &self.readings, &self.sightings]
    }

    /// Every table.
    pub fn sheets(&self) -> [&dyn Sheet; 4] {
        [&self.stations, &self.readings, &self.shots, &self.sightings]
    }
}

fn shot_row(line: &Line, station: Option<&Line>, nth: usize, set_up: Option<&SetUp>) -> ShotRow {
    ShotRow::of(line, station, nth, set_up)
}

/// Every table without a row: what it is called and which columns it has.
pub fn blank() -> HandOver {
    HandOver::of(
        &Pages::of(&Ledger::new()),
        &Wanted::default(),
        Made::default(),
    )
}

/// One file of a hand-over.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct HandedFile {
    /// Its name.
    pub name: String,
    /// What it is, as browsers and mail call it.
    pub media_type: &'static str,
    /// What stands in it.
    pub text: String,
}

/// A format of text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Format {
    /// One file with everything that has a place.
    GeoJson,
    /// A table a file, with a data dictionary.
    Csv,
    /// One file with everything that has a place.
    Kml,
    /// The stations that have a place.
    Gpx,
}

impl Format {
    /// All of them, in the order in which they are offered.
    pub const ALL: [Self; 4] = [Self::GeoJson, Self::Csv, Self::Kml, Self::Gpx];

    /// Its name on the command line and in a page's attributes.
    pub fn name(self) -> &'static str {
        match self {
            Self::GeoJson => "geojson",
            Self::Csv => "csv",
            Self::Kml => "kml",
            Self::Gpx => "gpx",
        }
    }

    /// How it is called in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::GeoJson => "GeoJSON",
            Self::Csv => "CSV",
            Self::Kml => "KML",
            Self::Gpx => "GPX",
        }
    }

    /// How many of each its files hold, of what goes over.
    pub fn holds(self, account: &Account) -> Counts {
        let over = account.over;
        match self {
            Self::Csv => over,
            // The dials of the shots stand in words with their reading.
            Self::GeoJson | Self::Kml => Counts { shots: 0, ..over },
            Self::Gpx => Counts {
                stations: over.stations - account.without_place,
                ..Counts::default()
            },
        }
    }

    /// What stays behind and what is worth knowing, one sentence without its full stop each.
    pub fn notes(self, account: &Account) -> Vec<String> {
        // What is worth knowing of readings says nothing of a format that has none.
        let of_places = Account {
            without_true: 0,
            strays: 0,
            shared_names: Vec::new(),
            ..account.clone()
        };
        let of_all = if self == Self::Gpx {
            &of_places
        } else {
            account
        };
        let mut notes = of_all.notes();
        if self == Self::Gpx {
            let over = account.over;
            let stays = Counts {
                stations: account.without_place,
                readings: over.readings,
                shots: over.shots,
                sightings: over.sightings,
            };
            if !stays.is_empty() {
                notes.push(format!(
                    "left out, because GPX holds places alone: {}",
                    stays.words()
                ));
            }
        }
        notes
    }

    /// The same with which readings give no value, where the format holds readings.
    pub fn notes_of(self, hand_over: &HandOver) -> Vec<String> {
        let mut notes = self.notes(&hand_over.account);
        notes.extend(hand_over.value_note().filter(|_| self != Self::Gpx));
        notes
    }

    /// The files; `stem` is their common name without an ending, which the tables of CSV do not bear.
    pub fn files(self, hand_over: &HandOver, stem: &str) -> Vec<HandedFile> {
        let one = |ending: &str, media_type, text| {
            vec![HandedFile {
                name: format!("{stem}.{ending}"),
                media_type,
                text,
            }]
        };
        match self {
            Self::GeoJson => one("geojson", "application/geo+json", geojson::write(hand_over)),
            Self::Kml => one(
                "kml",
                "application/vnd.google-earth.kml+xml",
                kml::write(hand_over),
            ),
            Self::Gpx => one("gpx", "application/gpx+xml", gpx::write(hand_over)),
            Self::Csv => {
                let mut files: Vec<HandedFile> = hand_over
                    .sheets()
                    .into_iter()
                    .map(|sheet| HandedFile {
                        name: format!("{}.csv", sheet.name()),
                        media_type: "text/csv",
                        text: csv::write(sheet),
                    })
                    .collect();
                files.push(HandedFile {
                    name: "data-dictionary.csv".to_owned(),
                    media_type: "text/csv",
                    text: dictionary::write(hand_over),
                });
                files
            }
        }
    }
}
