//! What a hand-over wrote as CSV is read back without matching by hand, field by field.

use std::collections::{BTreeMap, BTreeSet};

use hingeline::exchange::hand_over::{Format, HandOver, Made, Wanted, csv};
use hingeline::exchange::table_import::{self, Brought, Outcome, guess};
use hingeline::notebook::{
    Accepted, Body, Form, Ledger, North, Pages, Position, Reading, RecordId, Shot, Sighting, State,
    Station, Tops, attitude,
};
use hingeline::orientation::faults::Sense;
use hingeline::orientation::instrument::{Edge, HingeEnd, Swing};
use hingeline::orientation::{Dial, DoubtKind, Stood};
use serde_json::{Map, Value};

use crate::{into, stamp};

#[path = "../hand_over/made.rs"]
#[allow(dead_code, reason = "the tests of the hand-over make more of it")]
pub(crate) mod made;

/// What a table knowingly does not carry, by record and field, and why.
const NOT_CARRIED: &[(&str, &str, &str)] = &[
    (
        "station",
        "more",
        "a field of a newer version is known to the book file alone",
    ),
    ("station", "position.more", "the same"),
    ("station", "from", "it says the row of this table instead"),
    ("reading", "more", "a field of a newer version"),
    ("reading", "shots.more", "a field of a newer version"),
    ("reading", "from", "it says the rows of this table instead"),
    (
        "reading",
        "set_up",
        "a set-up is in no table, and the import says so",
    ),
    ("sighting", "more", "a field of a newer version"),
    (
        "sighting",
        "set_up",
        "a set-up is in no table, and the import says so",
    ),
];

/// The kinds of record that are in no table: the hand-over says what of them it leaves.
const NO_TABLE: [&str; 3] = ["book", "set-up", "photo"];

fn tables_of(ledger: &Ledger, struck_out: bool) -> Vec<(String, String)> {
    let pages = Pages::of(ledger);
    let wanted = Wanted {
        struck_out,
        ..Wanted::default()
    };
    let over = HandOver::of(&pages, &wanted, Made::default());
    let files = Format::Csv.files(&over, "x");
    files
        .into_iter()
        .map(|file| (file.name, file.text))
        .collect()
}

fn tables(ledger: &Ledger) -> Vec<(String, String)> {
    tables_of(ledger, false)
}

/// What one of the tables brings into a book, by its own matching.
fn brings(ledger: &Ledger, name: &str, text: &str) -> Brought {
    let table = table_import::read(name, text.as_bytes());
    let matching = guess(&table);
    assert_eq!(matching.own, name.strip_suffix(".csv"), "{name}");
    into(ledger, &table, &matching)
}

fn write(ledger: &mut Ledger, brought: &Brought) {
    let entries = brought.entries(ledger, &stamp(ledger.next_counter("bench")));
    ledger.join(entries);
}

const ALL: [&str; 3] = ["stations.csv", "shots.csv", "sightings.csv"];

fn text_of<'t>(tables: &'t [(String, String)], name: &str) -> &'t str {
    let (_, text) = tables.iter().find(|(n, _)| n == name).unwrap();
    text
}

/// A book that tables are brought into one after the other; every row is taken but those that the table says were struck out.
fn back(tables: &[(String, String)], names: &[&str]) -> Ledger {
    let mut ledger = Ledger::new();
    for name in names {
        let brought = brings(&ledger, name, text_of(tables, name));
        let counts = brought.counts;
        assert_eq!(
            counts.taken + counts.withdrawn,
            counts.rows,
            "{name}: {counts:?}"
        );
        assert_eq!(counts.not_read, 0, "{name}: {:?}", brought.rows);
        write(&mut ledger, &brought);
    }
    ledger
}

/// Every body that stands in a book, by its record; those at a station that is struck out, or is itself, left out.
fn bodies(ledger: &Ledger) -> BTreeMap<RecordId, Body> {
    let stands = |record: &str| match ledger.state(record) {
        State::Kept { entry, .. } => entry.body().cloned(),
        State::Contested { shown, .. } => shown.body().cloned(),
        _ => None,
    };
    let records: BTreeSet<RecordId> = ledger.iter().map(|e| e.record().clone()).collect();
    let all = records.into_iter().filter_map(|record| {
        let body = stands(record.as_str())?;
        let station = match &body {
            Body::Reading(reading) => Some(&reading.station),
            Body::Sighting(sighting) => Some(&sighting.station),
            _ => None,
        };
        let withdrawn =
            station.is_some_and(|station| matches!(ledger.state(station), State::StruckOut { .. }));
        (!withdrawn).then_some((record, body))
    });
    all.filter(|(_, body)| !NO_TABLE.contains(&body.kind()))
        .collect()
}

/// The fields of a body by their paths; a field that this version does not know counts as `more`.
fn fields(body: &Body) -> BTreeMap<String, Vec<Value>> {
    fn walk(at: &str, value: &Value, out: &mut BTreeMap<String, Vec<Value>>) {
        // The rows of a table, the answers and how an instrument stood are compared whole.
        let whole = ["from", "accepted", "shots.stood"].contains(&at);
        match value {
            Value::Object(members) if !whole => {
                for (name, value) in members {
                    let name = if name.starts_with("newer") {
                        "more"
                    } else {
                        name
                    };
                    let at = if at.is_empty() {
                        name.to_owned()
                    } else {
                        format!("{at}.{name}")
                    };
                    walk(&at, value, out);
                }
            }
            Value::Array(items) if at == "shots" => {
                for item in items {
                    walk(at, item, out);
                    out.entry("shots".to_owned()).or_default().push(Value::Null);
                }
            }
            value => out.entry(at.to_owned()).or_default().push(value.clone()),
        }
    }
    let value = serde_json::to_value(body).unwrap();
    let mut out = BTreeMap::new();
    walk("", &value[body.kind()], &mut out);
    out
}

/// Compares what stands in two books, body by body and field by field; gives the fields that differ.
fn differing(
    before: &BTreeMap<RecordId, Body>,
    after: &BTreeMap<RecordId, Body>,
) -> BTreeSet<(String, String)> {
    let names = |bodies: &BTreeMap<RecordId, Body>| -> Vec<(RecordId, String)> {
        let names = bodies.iter();
        names
            .map(|(r, b)| (r.clone(), b.kind().to_owned()))
            .collect()
    };
    assert_eq!(
        names(before),
        names(after),
        "records are lost, or came twice"
    );
    let mut found = BTreeSet::new();
    for (record, body) in before {
        let (before, after) = (fields(body), fields(&after[record]));
        let paths: BTreeSet<&String> = before.keys().chain(after.keys()).collect();
        for path in paths {
            if before.get(path) != after.get(path) {
                let known = NOT_CARRIED
                    .iter()
                    .any(|(kind, field, _)| *kind == body.kind() && field == path);
                assert!(
                    known,
                    "{record}, {}, {path}: {:?} came back as {:?}",
                    body.kind(),
                    before.get(path),
                    after.get(path)
                );
                found.insert((body.kind().to_owned(), path.clone()));
            }
        }
    }
    found
}

fn without_struck_shots(bodies: BTreeMap<RecordId, Body>) -> BTreeMap<RecordId, Body> {
    let without = |mut body: Body| {
        if let Body::Reading(reading) = &mut body {
            reading.shots.retain(|shot| !shot.struck_out);
        }
        body
    };
    let all = bodies
        .into_iter()
        .map(|(record, body)| (record, without(body)));
    // Of a reading without a shot there is no row.
    all.filter(|(_, body)| !matches!(body, Body::Reading(r) if r.shots.is_empty()))
        .collect()
}

fn newer() -> Map<String, Value> {
    Map::from_iter([(
        "newer_field".to_owned(),
        Value::from("kept by the book file"),
    )])
}

fn answer(doubt: DoubtKind, shot: usize) -> Accepted {
    Accepted {
        doubt,
        shot,
        choice: "036, then \"dip\" 1".to_owned(),
        sets: vec![(Dial::Strike, "036".to_owned())],
        by: "K.O.".to_owned(),
        at: "2026-06-14T10:15:00+01:00".to_owned(),
    }
}

/// Records in which every field says something. No field is left to a default: one that is added has to be given a value here,
/// and then comes back or stands in [`NOT_CARRIED`].
fn full() -> made::Writing {
    let mut book = made::Writing::default();
    book.write("u", Body::SetUp(hingeline::notebook::SetUp::default()));
    let station = Station {
        number: 12,
        name: " a name, with white space ".to_owned(),
        at: "2026-06-14T09:00:00.250+01:00".to_owned(),
        position: Some(Position {
            latitude: 52.745_428_123_456_7,
            longitude: -3.708_312_000_1,
            height_m: Some(411.5),
            accuracy_m: Some(4.25),
            source: "device".to_owned(),
            typed: Some("30U 1 2".to_owned()),
            more: newer(),
        }),
        unit: "Varrelow Slate".to_owned(),
        lithology: "slate; banded".to_owned(),
        note: "=1+1\r\nsecond line, \"quoted\"".to_owned(),
        same_as: Some("s2".to_owned()),
        apart_from: vec!["s3".to_owned(), "s4".to_owned()],
        from: Some(hingeline::notebook::Origin {
            table: "another.csv".to_owned(),
            line: 3,
            row: "a;b".to_owned(),
            ..hingeline::notebook::Origin::default()
        }),
        accepted: vec![answer(DoubtKind::Ambiguous, 0)],
        more: newer(),
    };
    book.write("s1", Body::Station(station));
    book.write("s2", Body::Station(made::station(2, None)));
    let shot = |strike: &str, struck_out: bool| Shot {
        strike: Some(strike.to_owned()),
        dip: Some("30".to_owned()),
        side: Some("SE".to_owned()),
        toward: Some("135".to_owned()),
        trend: Some("131".to_owned()),
        plunge: Some("07".to_owned()),
        up: true,
        rake: Some("011".to_owned()),
        angle: Some("105".to_owned()),
        stood: Some(Stood {
            swing: Some(Swing::Right),
            edge: Some(Edge::Left),
            hung: true,
            down: Some(HingeEnd::South),
        }),
        struck_out,
        at: "2026-06-14T09:05:00.125+01:00".to_owned(),
        more: newer(),
    };
    let reading = Reading {
        station: "s1".to_owned(),
        number: 10,
        kind: "plane + line: Gash, open".to_owned(),
        form: Form::PlaneWithLine,
        right_hand: true,
        set_up: Some("u".to_owned()),
        north: North::Magnetic,
        declination: Some("2.5W".to_owned()),
        card_declination: Some("3.25".to_owned()),
        because: Some("the card was set to the year before".to_owned()),
        planes: vec!["r2".to_owned(), "r3".to_owned()],
        shots: vec![shot("045", false), shot("046", true), shot("047", false)],
        tops: Tops::Overturned,
        sense: Some(Sense::Dextral),
        note: "@home".to_owned(),
        from: None,
        accepted: vec![
            answer(DoubtKind::OffPlane, 0),
            answer(DoubtKind::NotSquare, 2),
        ],
        more: newer(),
    };
    book.write("r1", Body::Reading(reading));
    let sighting = Sighting {
        station: "s1".to_owned(),
        number: 3,
        to: Some("s2".to_owned()),
        to_words: "the cairn beside it".to_owned(),
        bearing: Some("040".to_owned()),
        vertical: Some("05".to_owned()),
        up: true,
        slope_m: Some("120".to_owned()),
        level_m: Some("119.5".to_owned()),
        distance_sd_m: Some("2".to_owned()),
        set_up: Some("u".to_owned()),
        north: North::Magnetic,
        declination: Some("-2.5".to_owned()),
        card_declination: Some("1".to_owned()),
        because: Some("iron in the hut".to_owned()),
        at: "2026-06-14T10:00:00+01:00".to_owned(),
        note: "hazy".to_owned(),
        accepted: vec![answer(DoubtKind::OutOfRange, 0)],
        more: newer(),
    };
    book.write("g1", Body::Sighting(sighting));
    book
}

#[test]
fn every_field_comes_back_or_is_knowingly_left() {
    let book = full();
    let after = back(&tables_of(&book.ledger, true), &ALL);
    let found = differing(&bodies(&book.ledger), &bodies(&after));
    let known: BTreeSet<(String, String)> = NOT_CARRIED
        .iter()
        .map(|(kind, field, _)| ((*kind).to_owned(), (*field).to_owned()))
        .collect();
    // What is said to be left is left: a reason that no longer holds is taken off the list.
    assert_eq!(found, known);
}

#[test]
fn the_order_of_the_tables_makes_no_difference() {
    let book = full();
    let tables = tables_of(&book.ledger, true);
    let one = bodies(&back(&tables, &ALL));
    let other = bodies(&back(
        &tables,
        &["sightings.csv", "shots.csv", "stations.csv"],
    ));
    assert_eq!(one, other);
}

#[test]
fn whole_books_come_back_field_by_field() {
    for ledger in [made::demo(), made::small().ledger] {
        let after = back(&tables_of(&ledger, true), &ALL);
        differing(&bodies(&ledger), &bodies(&after));
        // Without what is struck out, the shots that stand are in order and the rest is the same.
        let after = back(&tables(&ledger), &ALL);
        let before = without_struck_shots(bodies(&ledger));
        differing(&before, &bodies(&after));
    }
}

#[test]
fn what_is_struck_out_does_not_come_back_standing() {
    let book = made::small();
    let mut ledger = Ledger::new();
    let mut withdrawn = Vec::new();
    for name in ["stations.csv", "shots.csv"] {
        let tables = tables_of(&book.ledger, true);
        let brought = brings(&ledger, name, text_of(&tables, name));
        withdrawn.push(brought.counts.withdrawn);
        let notes = brought.counts.notes().join("\n");
        assert!(
            notes.contains("struck out in the table: not taken"),
            "{notes}"
        );
        write(&mut ledger, &brought);
    }
    // Station 4; the shots of 3·2, which is struck out, and of 4·1.
    assert_eq!(withdrawn, [1, 2]);
    let standing = bodies(&ledger);
    for record in ["s4", "r7", "r8"] {
        assert!(!standing.contains_key(&RecordId::from(record)), "{record}");
    }
    let Body::Reading(bedding) = &standing[&RecordId::from("r1")] else {
        panic!("r1 is a reading")
    };
    let struck: Vec<bool> = bedding.shots.iter().map(|shot| shot.struck_out).collect();
    assert_eq!(struck, [false, false, true]);
}

#[test]
fn into_the_book_it_came_from_nothing_comes_twice() {
    for ledger in [made::demo(), made::small().ledger, full().ledger] {
        for struck_out in [false, true] {
            let tables = tables_of(&ledger, struck_out);
            for name in ["stations.csv", "readings.csv", "shots.csv", "sightings.csv"] {
                let brought = brings(&ledger, name, text_of(&tables, name));
                assert!(brought.records.is_empty(), "{name}: {:?}", brought.records);
                let other: Vec<_> = brought
                    .rows
                    .iter()
                    .filter(|row| row.outcome != Outcome::Here)
                    .filter(|row| !(struck_out && row.outcome == Outcome::StruckOut))
                    .collect();
                assert!(other.is_empty(), "{name}: {other:?}");
            }
        }
    }
    // The same again of a book that tables made.
    let tables = tables(&made::small().ledger);
    let made_of_tables = back(&tables, &ALL);
    for name in ALL {
        let brought = brings(&made_of_tables, name, text_of(&tables, name));
        assert!(brought.records.is_empty(), "{name}: {:?}", brought.records);
        assert_eq!(brought.counts.here, brought.counts.rows, "{name}");
    }
}

#[test]
fn what_differs_from_the_book_is_doubted_and_not_taken() {
    let book = made::small();
    let tables = tables(&book.ledger);
    for (name, from, to, words) in [
        (
            "shots.csv",
            ",047,32,SE,",
            ",047,33,SE,",
            "reading 1·1 is in this book and differs: shot 2, dip 32 here, 33 in the table; it stays as it is here",
        ),
        (
            "stations.csv",
            "place 2,",
            "the knoll,",
            "station 2 is in this book and differs: name place 2 here, the knoll in the table; it stays as it is here",
        ),
        (
            "sightings.csv",
            ",040,05,",
            ",041,05,",
            "1 sighting 1 is in this book and differs: bearing 040 here, 041 in the table; it stays as it is here",
        ),
        (
            "readings.csv",
            ",graded,",
            ",massive,",
            "reading 1·1 is in this book and differs: note graded here, massive in the table; it stays as it is here",
        ),
    ] {
        let text = text_of(&tables, name);
        assert!(text.contains(from), "{name}: {from} in {text}");
        let brought = brings(&book.ledger, name, &text.replacen(from, to, 1));
        assert!(brought.records.is_empty(), "{name}");
        assert!(brought.counts.differ > 0, "{name}");
        let found: Vec<&str> = brought
            .rows
            .iter()
            .flat_map(|row| &row.findings)
            .map(|found| found.words.as_str())
            .collect();
        assert!(found.contains(&words), "{name}: {found:?}");
        let notes = brought.counts.notes().join("\n");
        assert!(notes.contains("otherwise than this book has it"), "{notes}");
    }
}

#[test]
fn a_declination_that_is_lacking_is_told() {
    let mut book = made::Writing::default();
    book.write("s1", Body::Station(made::station(1, None)));
    let shots = vec![made::plane_shot("045", "30", "SE")];
    let mut bare = made::reading("s1", 1, "bedding", Form::Plane, shots.clone());
    (bare.declination, bare.set_up) = (None, None);
    book.write("r1", Body::Reading(bare));
    let mut with = made::reading("s1", 2, "bedding", Form::Plane, shots);
    with.set_up = None;
    book.write("r2", Body::Reading(with));
    let after = back(&tables(&book.ledger), &["stations.csv"]);
    let brought = brings(
        &after,
        "shots.csv",
        text_of(&tables(&book.ledger), "shots.csv"),
    );
    assert_eq!(brought.counts.without_declination, 1);
    let notes = brought.counts.notes().join("\n");
    let words = "1 reading or sighting from magnetic north without a declination";
    assert!(notes.contains(words), "{notes}");
    let bearings: Vec<bool> = brought
        .records
        .iter()
        .filter_map(|(_, body)| match body {
            Body::Reading(reading) => Some(attitude::of(reading).counts_from.is_true()),
            _ => None,
        })
        .collect();
    assert_eq!(bearings, [false, true]);
    // Of any other table the same.
    let table = table_import::read(
        "t.csv",
        b"station,strike (magnetic),dip,side\n1,045,30,SE\n",
    );
    let brought = into(&Ledger::new(), &table, &guess(&table));
    assert_eq!(brought.counts.without_declination, 1);
}

fn demo() -> Ledger {
    made::demo()
}

fn close(a: f64, b: f64) -> bool {
    let off = (a - b).rem_euclid(360.0);
    off.min(360.0 - off) < 0.011
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
fn the_attitudes_of_the_demo_book_come_back() {
    attitudes_come_back(&demo());
}

#[test]
fn the_attitudes_of_every_form_come_back() {
    let book = made::small();
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
fn the_dictionary_is_no_table_of_records() {
    let tables = tables(&demo());
    let dictionary = text_of(&tables, "data-dictionary.csv");
    let table = table_import::read("data-dictionary.csv", dictionary.as_bytes());
    assert_eq!(guess(&table).own, None);
}
