//! What a table brings as entries of the book: once, all together, and undone together.

use std::collections::BTreeSet;

use hingeline::exchange::table_import::{self, Matching, Outcome, StationsOf, What, bring, guess};
use hingeline::notebook::{Act, Body, Ledger, Pages, Stamp, undo_of};

use crate::{NOW, into, stamp};

const TABLE: &str = "Station,Kind,Strike,Dip,Side,Rock\n12,bedding,045,30,SE,slate\n12,joint,120,80,SW,\n13,bedding,050,28,SE,shale\n";

fn take(ledger: &mut Ledger, text: &str, name: &str) -> usize {
    let table = table_import::read(name, text.as_bytes());
    let brought = into(ledger, &table, &guess(&table));
    let stamp = stamp(ledger.next_counter("bench"));
    let entries = brought.entries(ledger, &stamp);
    ledger.join(entries).len()
}

fn press_undo(ledger: &mut Ledger) -> String {
    let undo = undo_of(ledger, "bench").unwrap();
    let stamp = Stamp {
        at: "2026-06-20T20:05:00+01:00".to_owned(),
        ..stamp(ledger.next_counter("bench"))
    };
    let entries = undo.entries(&stamp);
    ledger.join(entries);
    undo.words
}

fn standing(ledger: &Ledger) -> (usize, usize) {
    let pages = Pages::of(ledger);
    let stations = pages.stations().iter();
    let stations = stations.filter(|page| !page.line().is_struck_out());
    let readings = stations
        .clone()
        .flat_map(|page| page.readings())
        .filter(|line| !line.is_struck_out());
    (stations.count(), readings.count())
}

#[test]
fn a_table_is_one_act_and_is_undone_as_one() {
    let mut ledger = Ledger::new();
    assert_eq!(take(&mut ledger, TABLE, "varrelow.csv"), 5);
    assert_eq!(standing(&ledger), (2, 3));
    for entry in ledger.iter() {
        assert_eq!(*entry.act(), Act::BringIn);
        assert_eq!(entry.why(), Some("from the table varrelow.csv"));
        let from = match entry.body() {
            Some(Body::Station(station)) => station.from.clone(),
            Some(Body::Reading(reading)) => reading.from.clone(),
            _ => None,
        };
        assert_eq!(from.unwrap().table, "varrelow.csv");
    }
    assert_eq!(press_undo(&mut ledger), "Undo table, 5 records");
    assert_eq!(standing(&ledger), (0, 0));
    assert_eq!(press_undo(&mut ledger), "Redo table, 5 records");
    assert_eq!(standing(&ledger), (2, 3));
}

#[test]
fn the_same_table_twice_adds_nothing() {
    let mut ledger = Ledger::new();
    take(&mut ledger, TABLE, "varrelow.csv");
    let table = table_import::read("a-copy-of-it.csv", TABLE.as_bytes());
    let again = into(&ledger, &table, &guess(&table));
    assert!(again.records.is_empty());
    assert_eq!(again.counts.words(), "all 3 rows are here already");
    assert!(again.rows.iter().all(|row| row.outcome == Outcome::Here));
    // Matched otherwise it is still the same rows: their words do not come twice.
    let mut unmatched = guess(&table);
    for column in 1..table.headings.len() {
        unmatched.set(column, What::Kept);
    }
    let again = into(&ledger, &table, &unmatched);
    assert!(again.records.is_empty(), "{:?}", again.records);
    // What was undone may come again, and then stands as it did.
    press_undo(&mut ledger);
    assert_eq!(take(&mut ledger, TABLE, "varrelow.csv"), 5);
    assert_eq!(standing(&ledger), (2, 3));
}

#[test]
fn what_a_person_struck_out_stays_struck_out() {
    let mut ledger = Ledger::new();
    take(&mut ledger, TABLE, "varrelow.csv");
    let pages = Pages::of(&ledger);
    let page = &pages.stations()[0];
    let joint = page.readings()[1].record().clone();
    let heads = ledger.state(joint.as_str()).heads().to_vec();
    let stamp = stamp(ledger.next_counter("bench"));
    ledger.insert(hingeline::notebook::Entry::new(
        joint,
        heads,
        stamp,
        Act::StrikeOut,
        None,
        None,
    ));
    let table = table_import::read("varrelow.csv", TABLE.as_bytes());
    let again = into(&ledger, &table, &guess(&table));
    assert!(again.records.is_empty());
    assert_eq!(again.counts.struck_out, 1);
    assert_eq!(again.rows[1].outcome, Outcome::StruckOut);
}

#[test]
fn rows_left_out_may_come_later_and_find_their_station() {
    let table = table_import::read("varrelow.csv", TABLE.as_bytes());
    let matching = guess(&table);
    let mut ledger = Ledger::new();
    let but_one = BTreeSet::from([1]);
    let first = bring(
        &table,
        &matching,
        &ledger,
        &Pages::of(&ledger),
        &but_one,
        NOW,
    );
    assert_eq!(
        first.counts.words(),
        "2 of 3 rows: 2 readings at 2 new stations"
    );
    let entries = first.entries(&ledger, &stamp(1));
    ledger.join(entries);
    let rest = into(&ledger, &table, &matching);
    assert_eq!(
        rest.counts.words(),
        "1 of 3 rows: 1 reading at 1 station of this book"
    );
    let entries = rest.entries(&ledger, &stamp(ledger.next_counter("bench")));
    ledger.join(entries);
    let pages = Pages::of(&ledger);
    let numbers: Vec<u32> = pages.stations()[0]
        .readings()
        .iter()
        .map(|l| l.number())
        .collect();
    assert_eq!(numbers, [1, 2]);
}

#[test]
fn a_number_that_is_taken_is_not_given_twice() {
    let mut ledger = Ledger::new();
    take(&mut ledger, TABLE, "ours.csv");
    let theirs = "Station,Strike,Dip,Side\n12,100,40,S\n20,110,41,S\n";
    assert_eq!(take(&mut ledger, theirs, "theirs.csv"), 4);
    let pages = Pages::of(&ledger);
    let named: Vec<(u32, &str)> = pages
        .stations()
        .iter()
        .filter_map(|page| page.line().station())
        .map(|station| (station.number, station.name.as_str()))
        .collect();
    assert_eq!(
        named,
        [(12, ""), (13, ""), (14, "12 in theirs.csv"), (20, "")]
    );
}

#[test]
fn rows_go_to_the_books_own_stations_where_a_person_says_so() {
    let mut ledger = Ledger::new();
    take(&mut ledger, TABLE, "ours.csv");
    let theirs =
        "Station,Strike,Dip,Side,Lat,Long,Rock\n12,100,40,S,52.7,-3.7,sandstone\n20,110,41,S,,,\n";
    let table = table_import::read("theirs.csv", theirs.as_bytes());
    let mut matching = guess(&table);
    matching.stations = StationsOf::Book;
    let brought = into(&ledger, &table, &matching);
    assert_eq!(
        brought.counts.words(),
        "2 of 2 rows: 2 readings at 1 new station and 1 station of this book"
    );
    let entries = brought.entries(&ledger, &stamp(ledger.next_counter("bench")));
    ledger.join(entries);
    let pages = Pages::of(&ledger);
    let twelve = &pages.stations()[0];
    let station = twelve.line().station().unwrap();
    // An empty place is filled; what the book says stays, and what the table says stands with its reading.
    assert_eq!(station.position.as_ref().map(|p| p.latitude), Some(52.7));
    assert_eq!(station.lithology, "slate");
    assert_eq!(twelve.readings().len(), 3);
    let third = twelve.readings()[2].reading().unwrap();
    assert_eq!(
        (third.number, third.note.as_str()),
        (3, "lithology: sandstone")
    );
}

#[test]
fn a_matching_is_changed_column_by_column() {
    let table = table_import::read("t.csv", b"a,b,c\n045,30,SE\n");
    let mut matching = guess(&table);
    assert_eq!(into(&Ledger::new(), &table, &matching).counts.readings, 0);
    for (column, what) in [What::Strike, What::Dip, What::Side]
        .into_iter()
        .enumerate()
    {
        matching.set(column, what);
    }
    let brought = into(&Ledger::new(), &table, &matching);
    assert_eq!((brought.counts.readings, brought.counts.doubts), (1, 0));
    // Where another column takes a part, the one that had it is kept under its heading.
    matching.set(2, What::Dip);
    assert_eq!(matching.columns[1].what, What::Kept);
    matching.set(9, What::Dip);
    assert_eq!(matching.columns.len(), 3);
}

#[test]
fn a_side_that_is_missing_is_doubted_where_strikes_have_no_rule() {
    use hingeline::orientation::Convention;
    let table = table_import::read("t.csv", b"strike,dip\n045,30\n");
    let mut matching = guess(&table);
    assert!(matching.asks_pairs() && matching.asks_north() && matching.asks_kind());
    let found = |matching: &Matching| {
        into(&Ledger::new(), &table, matching).rows[0]
            .findings
            .clone()
    };
    assert_eq!(found(&matching), []);
    matching.pairs = Convention::StrikeDip;
    assert_eq!(
        found(&matching)[0].words,
        "the side is missing: strike 045, dip 30 dips to 315 or 135"
    );
}
