//! What a hand-over wrote as CSV is read back without matching by hand.

use std::fs;
use std::path::Path;

use hingeline::exchange::book;
use hingeline::exchange::hand_over::{Format, HandOver, Made, Wanted, csv};
use hingeline::exchange::table_import::{self, What, guess};
use hingeline::notebook::{Ledger, Line, Pages, Reading, Station, attitude};

use crate::{into, stamp};

#[path = "../hand_over/made.rs"]
#[allow(dead_code, reason = "the tests of the hand-over make more of it")]
mod made;

fn tables(ledger: &Ledger) -> Vec<(String, String)> {
    let pages = Pages::of(ledger);
    let over = HandOver::of(&pages, &Wanted::default(), Made::default());
    let files = Format::Csv.files(&over, "x");
    files
        .into_iter()
        .map(|file| (file.name, file.text))
        .collect()
}

/// A book that tables are brought into one after the other.
fn back(tables: &[(String, String)], names: &[&str]) -> Ledger {
    let mut ledger = Ledger::new();
    for name in names {
        let (_, text) = tables.iter().find(|(n, _)| n == name).unwrap();
        let table = table_import::read(name, text.as_bytes());
        let matching = guess(&table);
        assert_eq!(matching.own, name.strip_suffix(".csv"), "{name}");
        let brought = into(&ledger, &table, &matching);
        assert_eq!(
            brought.counts.taken,
            table.rows.len(),
            "{name}: {:?}",
            brought.counts
        );
        assert_eq!(brought.counts.not_read, 0, "{name}");
        let entries = brought.entries(&ledger, &stamp(ledger.next_counter("bench")));
        ledger.join(entries);
    }
    ledger
}

fn station_of(line: &Line) -> Station {
    let station = line.station().unwrap().clone();
    let position = station.position.map(|mut position| {
        position.source = String::new();
        position.typed = None;
        position
    });
    Station {
        position,
        from: None,
        // A photo, an answer to a doubt and a tie to another station are no words of a table.
        accepted: Vec::new(),
        same_as: None,
        apart_from: Vec::new(),
        ..station
    }
}

fn close(a: f64, b: f64) -> bool {
    let off = (a - b).rem_euclid(360.0);
    off.min(360.0 - off) < 0.011
}

fn standing(pages: &Pages) -> Vec<(Station, Vec<Reading>)> {
    let stations = pages.stations().iter();
    let stations = stations.filter(|page| !page.line().is_struck_out());
    // What stands at a station that is not in the book goes to one that is named after the table.
    let stations = stations.filter(|page| {
        let station = page.line().station();
        station.is_some_and(|station| station.name != "shots" && station.name != "readings")
    });
    stations
        .map(|page| {
            let readings = page.readings().iter().filter(|line| !line.is_struck_out());
            let readings = readings.filter_map(|line| line.reading().cloned());
            (station_of(page.line()), readings.collect())
        })
        .collect()
}

fn demo() -> Ledger {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("public/demo.json");
    let mut ledger = Ledger::new();
    ledger.join(book::read_bytes(&fs::read(path).unwrap()).unwrap().entries);
    ledger
}

/// Stations with their shots: every dial comes back as it stood.
fn dials_come_back(ledger: &Ledger) {
    let tables = tables(ledger);
    let back = Pages::of(&back(&tables, &["stations.csv", "shots.csv"]));
    let before = standing(&Pages::of(ledger));
    let after = standing(&back);
    assert_eq!(before.len(), after.len());
    let mut compared = 0;
    for ((station, readings), (station_back, readings_back)) in before.iter().zip(&after) {
        assert_eq!(station, station_back);
        assert_eq!(
            readings.len(),
            readings_back.len(),
            "station {}",
            station.number
        );
        for (reading, back) in readings.iter().zip(readings_back) {
            assert_eq!(
                (reading.number, &reading.kind, reading.form, reading.north),
                (back.number, &back.kind, back.form, back.north)
            );
            let stands = |reading: &Reading| -> Vec<Vec<(&'static str, String)>> {
                let shots = reading.shots.iter().filter(|shot| !shot.struck_out);
                shots
                    .map(|shot| {
                        shot.texts()
                            .map(|(name, text)| (name, text.to_owned()))
                            .collect()
                    })
                    .collect()
            };
            assert_eq!(
                stands(reading),
                stands(back),
                "{}·{}",
                station.number,
                reading.number
            );
            compared += 1;
        }
    }
    assert!(compared > 0);
}

/// Stations with their readings: every plane and line comes back to the hundredth in which it was written.
fn attitudes_come_back(ledger: &Ledger) {
    let tables = tables(ledger);
    let pages = Pages::of(ledger);
    let back = Pages::of(&back(&tables, &["stations.csv", "readings.csv"]));
    let mut compared = 0;
    let stations = pages
        .stations()
        .iter()
        .filter(|page| !page.line().is_struck_out());
    for page in stations {
        let number = page.line().number();
        let found = back
            .stations()
            .iter()
            .find(|other| other.line().number() == number);
        let found = found.unwrap_or_else(|| panic!("station {number} did not come back"));
        for line in page.readings().iter().filter(|line| !line.is_struck_out()) {
            let reading = line.reading().unwrap();
            let same = found
                .readings()
                .iter()
                .find(|other| other.number() == line.number());
            let same =
                same.unwrap_or_else(|| panic!("{number}·{} did not come back", line.number()));
            let same = same.reading().unwrap();
            assert_eq!(
                (same.tops, same.sense, &same.note),
                (reading.tops, reading.sense, &reading.note)
            );
            let was = attitude::in_book(&pages, reading);
            let is = attitude::in_book(&back, same);
            if !was.counts_from.is_true() {
                continue;
            }
            // Dials that contradict each other come back as values that agree, and are then adjusted to each other.
            let agrees = was.open.is_empty();
            if let (Some(was), Some(is)) = (&was.plane, &is.plane)
                && agrees
                && was.dip().deg() > 1.0
                && was.dip().deg() < 89.0
            {
                assert!(
                    close(was.strike().deg(), is.strike().deg()),
                    "{number}·{}",
                    line.number()
                );
                assert!(
                    close(was.dip().deg(), is.dip().deg()),
                    "{number}·{}",
                    line.number()
                );
                compared += 1;
            }
            assert_eq!(
                was.plane.is_some(),
                is.plane.is_some(),
                "{number}·{}",
                line.number()
            );
            assert_eq!(
                was.line.is_some(),
                is.line.is_some(),
                "{number}·{}",
                line.number()
            );
        }
    }
    assert!(compared > 0);
}

#[test]
fn the_dials_of_the_demo_book_come_back() {
    dials_come_back(&demo());
}

#[test]
fn the_attitudes_of_the_demo_book_come_back() {
    attitudes_come_back(&demo());
}

#[test]
fn a_book_of_every_form_comes_back() {
    let book = made::small();
    dials_come_back(&book.ledger);
    attitudes_come_back(&book.ledger);
}

#[test]
fn what_a_spreadsheet_would_run_comes_back_as_it_was() {
    let mut book = made::Writing::default();
    let mut station = made::station(1, Some((-3.7, 52.7)));
    station.name = "=1+1".to_owned();
    station.note = "'quoted, \"and\" more\r\nlines".to_owned();
    book.write("s1", hingeline::notebook::Body::Station(station.clone()));
    let tables = tables(&book.ledger);
    let back = Pages::of(&back(&tables, &["stations.csv"]));
    let found = back.stations()[0].line().station().unwrap();
    assert_eq!((&found.name, &found.note), (&station.name, &station.note));
    assert_eq!(csv::unguarded(&csv::guarded("=1+1")), "=1+1");
}

#[test]
fn sightings_and_the_dictionary_are_known_for_what_they_are() {
    let tables = tables(&demo());
    let of = |name: &str| {
        let (_, text) = tables.iter().find(|(n, _)| n == name).unwrap();
        guess(&table_import::read(name, text.as_bytes()))
    };
    let sightings = of("sightings.csv");
    assert_eq!(sightings.own, Some("sightings"));
    assert!(sightings.columns.iter().all(|m| m.what == What::Kept));
    assert_eq!(of("data-dictionary.csv").own, None);
}
