//! Two things of one name stay two, whatever a spreadsheet made of the name.

use hingeline::exchange::hand_over::{Format, HandOver, Made, Wanted};
use hingeline::exchange::table_import::{self, Brought, Weight, guess};
use hingeline::notebook::{Body, Form, Ledger, Pages, Reading, Station};

use crate::round_trip::made::{Writing, plane_shot, reading, station};
use crate::{into, stamp};

/// Two stations of number 1, of which the first has two readings of the name 1·2 and one of the name 1·10.
fn namesakes() -> Writing {
    let mut book = Writing::default();
    book.write("s1", Body::Station(station(1, Some((-3.7, 52.7)))));
    let mut other = station(1, Some((-3.6, 52.8)));
    other.name = "the other one".to_owned();
    book.write("s2", Body::Station(other));
    for (record, at, number, strike, dip, side) in [
        ("r1", "s1", 2, "010", "20", "E"),
        ("r2", "s1", 2, "110", "70", "S"),
        ("r3", "s1", 10, "010", "30", "E"),
        ("r4", "s1", 1, "100", "30", "S"),
        ("r5", "s2", 1, "200", "40", "W"),
    ] {
        let shots = vec![plane_shot(strike, dip, side)];
        let mut bed = reading(at, number, "bedding", Form::Plane, shots);
        bed.set_up = None;
        book.write(record, Body::Reading(bed));
    }
    book
}

fn csv(ledger: &Ledger, name: &str) -> String {
    let over = HandOver::of(&Pages::of(ledger), &Wanted::default(), Made::default());
    let files = Format::Csv.files(&over, "x").into_iter();
    files
        .into_iter()
        .find(|file| file.name == name)
        .unwrap()
        .text
}

fn take(ledger: &mut Ledger, name: &str, text: &str) -> Brought {
    let table = table_import::read(name, text.as_bytes());
    let brought = into(ledger, &table, &guess(&table));
    let entries = brought.entries(ledger, &stamp(ledger.next_counter("bench")));
    ledger.join(entries);
    brought
}

fn doubts(brought: &Brought) -> Vec<&str> {
    let found = brought.rows.iter().flat_map(|row| &row.findings);
    let doubts = found.filter(|found| found.weight == Weight::Doubt);
    doubts.map(|found| found.words.as_str()).collect()
}

/// Every station with its strikes and dips, one shot a reading.
fn standing(ledger: &Ledger) -> Vec<(u32, String, Vec<String>)> {
    let pages = Pages::of(ledger);
    let of = |reading: &Reading| {
        assert_eq!(reading.shots.len(), 1);
        let dials = reading.shots[0].texts().map(|(_, text)| text);
        format!("{} {}", reading.number, dials.collect::<Vec<_>>().join("/"))
    };
    let stations = pages.stations().iter().map(|page| {
        let readings = page.readings().iter().filter_map(|line| line.reading());
        let named: &Station = page.line().station().unwrap();
        (named.number, named.name.clone(), readings.map(of).collect())
    });
    stations.collect()
}

fn wanted() -> Vec<(u32, String, Vec<String>)> {
    let first = ["1 100/30/S", "2 010/20/E", "2 110/70/S", "10 010/30/E"];
    let mut both = vec![
        (1, "place 1".to_owned(), first.map(str::to_owned).to_vec()),
        (1, "the other one".to_owned(), vec!["1 200/40/W".to_owned()]),
    ];
    both.sort();
    both
}

fn sorted(mut all: Vec<(u32, String, Vec<String>)>) -> Vec<(u32, String, Vec<String>)> {
    for (.., readings) in &mut all {
        readings.sort_by_key(|text| {
            let (number, dials) = text.split_once(' ').unwrap();
            (number.parse::<u32>().unwrap(), dials.to_owned())
        });
    }
    all.sort();
    all
}

#[test]
fn namesakes_come_back_as_two() {
    let book = namesakes();
    let mut back = Ledger::new();
    let stations = take(
        &mut back,
        "stations.csv",
        &csv(&book.ledger, "stations.csv"),
    );
    assert_eq!(
        doubts(&stations),
        [
            "station number 1 is that of two stations of the table, here and in line 2: their records tell them apart, and both are kept"
        ]
    );
    let shots = take(&mut back, "shots.csv", &csv(&book.ledger, "shots.csv"));
    let found = doubts(&shots);
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(
        found[0].contains("are two readings of the name reading 1·2"),
        "{found:?}"
    );
    assert_eq!(sorted(standing(&back)), wanted());
}

#[test]
fn a_name_survives_a_spreadsheet() {
    let text = csv(&namesakes().ledger, "shots.csv");
    for name in ["1·1,", "1·2,", "1·10,"] {
        assert!(text.contains(name), "{name} in {text}");
    }
    for line in text.lines().skip(1) {
        let name = line.split(',').next().unwrap();
        assert!(name.parse::<f64>().is_err(), "{name} is a number");
    }
}

/// A table of an older hand-over that went through a spreadsheet: 1.10 became 1.1, and no station has a record.
fn older(decimal: char) -> String {
    let heading = "reading,station,kind,shot,strike (deg),dip (deg),toward (deg),side,trend (deg),plunge (deg),rake (deg),angle (deg),\
                   sd_bearing (deg),sd_inclination (deg),form,right_hand,stood,north_read,at,struck_out,record";
    let row = |name: &str, strike: &str, dip: &str, side: &str, record: &str| {
        format!(
            "{name};1;bedding;1;{strike};{dip};{side};{side};;;;;;;plane;FALSE;;magnetic;2026-06-14T09:05:00+01:00;FALSE;{record}"
        )
    };
    let mut lines = vec![heading.replace(',', ";")];
    let point = decimal.to_string();
    for (name, strike, dip, side, record) in [
        ("1.1", "10", "30", "E", "r3"),
        ("1.1", "100", "30", "S", "r4"),
        ("1.2", "10", "20", "E", "r1"),
        ("1.2", "110", "70", "S", "r2"),
    ] {
        lines.push(row(&name.replace('.', &point), strike, dip, side, record));
    }
    lines.join("\r\n")
}

#[test]
fn an_older_table_that_a_spreadsheet_wrote_makes_no_mean_of_two() {
    let headings = csv(&Ledger::new(), "shots.csv");
    for decimal in ['.', ','] {
        let text = older(decimal);
        for heading in text.lines().next().unwrap().split(';') {
            assert!(headings.contains(heading), "{heading} is no column of ours");
        }
        let table = table_import::read("shots.csv", text.as_bytes());
        assert_eq!(guess(&table).own, Some("shots"));
        let mut back = Ledger::new();
        let brought = take(&mut back, "shots.csv", &text);
        assert_eq!(brought.counts.readings, 4);
        let found = doubts(&brought);
        assert_eq!(found.len(), 2, "{found:?}");
        assert!(
            found
                .iter()
                .all(|words| words.contains("are two readings of the name"))
        );
        let all = sorted(standing(&back));
        assert_eq!(
            all,
            [(
                1,
                String::new(),
                ["1 010/30/E", "1 100/30/S", "2 010/20/E", "2 110/70/S"]
                    .map(str::to_owned)
                    .to_vec()
            )]
        );
    }
}

#[test]
fn two_shots_of_one_number_are_doubted_and_never_one_reading() {
    // Of one record: the second is not taken, unless it says the same.
    let book = namesakes();
    let text = csv(&book.ledger, "shots.csv");
    let line = text.lines().find(|line| line.contains(",110,70,")).unwrap();
    let other = line.replace(",110,70,", ",111,71,");
    let twice = format!("{text}{line}\r\n{other}\r\n");
    let mut back = Ledger::new();
    take(
        &mut back,
        "stations.csv",
        &csv(&book.ledger, "stations.csv"),
    );
    let brought = take(&mut back, "shots.csv", &twice);
    assert_eq!((brought.counts.here, brought.counts.differ), (1, 1));
    let found = doubts(&brought);
    assert!(
        found.iter().any(|words| words.starts_with("lines ")
            && words.contains("are both shot 1 of reading 1·2, with other dials")),
        "{found:?}"
    );
    assert_eq!(sorted(standing(&back)), wanted());
    // Of a table from elsewhere that names no record: they are two readings.
    let text = "station,reading,shot,strike,dip,side\n1,A,1,010,20,E\n1,A,2,012,22,E\n1,A,1,110,70,S\n1,A,2,112,72,S\n";
    let mut ledger = Ledger::new();
    let brought = take(&mut ledger, "t.csv", text);
    assert_eq!(brought.counts.readings, 2);
    assert_eq!(
        doubts(&brought),
        ["lines 2 and 4 are both shot 1 of reading A: they are taken for two readings"]
    );
    let pages = Pages::of(&ledger);
    let strikes: Vec<Vec<&str>> = pages.stations()[0]
        .readings()
        .iter()
        .filter_map(|line| line.reading())
        .map(|reading| {
            reading
                .shots
                .iter()
                .filter_map(|s| s.strike.as_deref())
                .collect()
        })
        .collect();
    assert_eq!(strikes, [["010", "012"], ["110", "112"]]);
}

#[test]
fn the_hand_over_names_what_shares_a_name() {
    let over = HandOver::of(
        &Pages::of(&namesakes().ledger),
        &Wanted::default(),
        Made::default(),
    );
    assert_eq!(over.account.shared_numbers, ["1"]);
    assert_eq!(over.account.shared_names, ["1·1", "1·2"]);
    let notes = Format::Csv.notes_of(&over).join("\n");
    for words in [
        "1 number is that of several stations: 1; `record` tells them apart",
        "2 names are each that of several readings: 1·1, 1·2; `record` tells them apart",
    ] {
        assert!(notes.contains(words), "{notes}");
    }
}

#[test]
fn a_number_of_another_is_not_taken_from_it() {
    // My station 1 has a reading 1·1 of mine; theirs come beside it.
    let mut mine = Writing::default();
    mine.write("m1", Body::Station(station(1, None)));
    mine.write(
        "m2",
        Body::Reading(reading(
            "m1",
            1,
            "joint",
            Form::Plane,
            vec![plane_shot("300", "80", "N")],
        )),
    );
    let mut ledger = mine.ledger;
    let theirs = namesakes();
    take(&mut ledger, "shots.csv", &csv(&theirs.ledger, "shots.csv"));
    let pages = Pages::of(&ledger);
    let mine: Vec<u32> = pages
        .station("m1")
        .unwrap()
        .readings()
        .iter()
        .map(|l| l.number())
        .collect();
    assert_eq!(mine, [1]);
    assert_eq!(pages.station("s1").unwrap().readings().len(), 4);
    assert_eq!(pages.station("s2").unwrap().readings().len(), 1);
    let numbers: Vec<u32> = pages
        .stations()
        .iter()
        .map(|page| page.line().number())
        .collect();
    assert_eq!(numbers, [1, 2, 3]);
    // The stations' own table tells the rest of them, and nothing comes twice.
    let stations = take(
        &mut ledger,
        "stations.csv",
        &csv(&theirs.ledger, "stations.csv"),
    );
    assert_eq!(
        (stations.counts.taken, stations.counts.old_stations),
        (2, 2)
    );
    let again = take(
        &mut ledger,
        "stations.csv",
        &csv(&theirs.ledger, "stations.csv"),
    );
    assert_eq!((again.counts.here, again.counts.rows), (2, 2));
    assert_eq!(Pages::of(&ledger).stations().len(), 3);
}
