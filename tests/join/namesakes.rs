//! Readings, sightings and photos of one station that have one number.

use std::collections::BTreeMap;

use hingeline::notebook::join::plan;
use hingeline::notebook::namesakes::{Taken, namesakes, renumber, renumber_all};
use hingeline::notebook::{
    Act, Body, Ledger, Pages, Photo, Reading, Sighting, act_words, twins, undo_of,
};

use crate::made::{NOON, entries, incoming, keep, shot, stamp, station};

fn bed(station: &str, number: u32, kind: &str) -> Option<Body> {
    Some(Body::Reading(Reading {
        station: station.to_owned(),
        number,
        kind: kind.to_owned(),
        shots: vec![shot("062", "36")],
        ..Reading::default()
    }))
}

fn photo(number: u32, note: &str) -> Option<Body> {
    Some(Body::Photo(Photo {
        station: "one".to_owned(),
        number,
        note: note.to_owned(),
        ..Photo::default()
    }))
}

fn sighting(number: u32) -> Option<Body> {
    Some(Body::Sighting(Sighting {
        station: "one".to_owned(),
        number,
        ..Sighting::default()
    }))
}

/// A book of one station, numbered 47, with one reading.
fn trunk() -> Ledger {
    let mut trunk = Ledger::new();
    let place = station(47, NOON, None);
    keep(&mut trunk, "k", "one", NOON, Some(Body::Station(place)));
    keep(&mut trunk, "k", "r1", NOON, bed("one", 1, "bedding"));
    trunk
}

/// Three tablets that share the trunk, each of which took the next reading and the first photo.
fn three() -> [Ledger; 3] {
    ["a", "b", "c"].map(|device| {
        let mut ledger = trunk();
        let kind = if device == "b" { "joint" } else { "bedding" };
        let name = |what: &str| format!("{device}-{what}");
        keep(&mut ledger, device, &name("r"), NOON, bed("one", 2, kind));
        keep(&mut ledger, device, &name("p"), NOON, photo(1, ""));
        ledger
    })
}

fn joined(ledgers: &[&Ledger]) -> Ledger {
    let mut all = Ledger::new();
    for ledger in ledgers {
        all.join(entries(ledger));
    }
    all
}

/// The number of every reading and photo, by record.
fn numbers(ledger: &Ledger) -> BTreeMap<String, u32> {
    let pages = Pages::of(ledger);
    let page = pages.station("one").expect("the station");
    let lines = page.readings().iter().chain(page.photos());
    let lines = lines.chain(page.sightings());
    lines
        .map(|line| (line.record().as_str().to_owned(), line.number()))
        .collect()
}

#[test]
fn all_are_kept_and_each_but_the_first_gets_the_next_free_number_on_every_tablet_alike() {
    let [a, b, c] = &three();
    let mut seen = Vec::new();
    for order in [[a, b, c], [c, b, a], [b, a, c], [c, a, b]] {
        let mut ledger = joined(&order);
        let pages = Pages::of(&ledger);
        let found = namesakes(&ledger, &pages);
        let named: Vec<String> = found.iter().map(|same| same.name()).collect();
        assert_eq!(named, ["47·2", "47·P1"]);
        let written = renumber(&ledger, &pages, &found, &stamp("d", 1));
        assert!(written.iter().all(|entry| *entry.act() == Act::Renumber));
        ledger.extend(written.clone());
        assert!(namesakes(&ledger, &Pages::of(&ledger)).is_empty());
        seen.push((found, written, numbers(&ledger)));
    }
    assert!(seen.windows(2).all(|pair| pair[0] == pair[1]));
    // All began at the first count of their tablets: the names of the records decide.
    let expected = [
        ("r1", 1),
        ("a-r", 2),
        ("b-r", 3),
        ("c-r", 4),
        ("a-p", 1),
        ("b-p", 2),
        ("c-p", 3),
    ];
    let expected = expected.map(|(record, number)| (record.to_owned(), number));
    assert_eq!(seen[0].2, BTreeMap::from(expected));
    // Two tablets that each do so before they hear of each other agree.
    let all = joined(&[a, b, c]);
    let of_tablet = |device: &str| {
        let mut ledger = all.clone();
        let pages = Pages::of(&ledger);
        let found = namesakes(&ledger, &pages);
        ledger.extend(renumber(&ledger.clone(), &pages, &found, &stamp(device, 9)));
        ledger
    };
    let both = joined(&[&of_tablet("a"), &of_tablet("b")]);
    assert_eq!(numbers(&both), seen[0].2);
    assert_eq!(Pages::of(&both).contested().len(), 0);
}

#[test]
fn what_they_are_is_said_with_what_and_who_and_when() {
    let [a, b, c] = &three();
    let two = joined(&[a, b]);
    let found = namesakes(&two, &Pages::of(&two));
    assert_eq!(
        found[0].in_full(),
        "two readings of station 47 are numbered 2: bedding by A on 2026-06-14 at 12:00, joint by B on 2026-06-14 at 12:00; each but the first can have the next free one"
    );
    assert_eq!(
        found[0].words(),
        "two readings of station 47 are numbered 2; the first keeps it, and the other can have the next free one"
    );
    assert_eq!(found[0].taken, Taken::Reading);
    assert_eq!(
        found
            .iter()
            .map(|same| same.name_in_files())
            .collect::<Vec<_>>(),
        ["47.2", "photo 47·P1"]
    );
    let three = joined(&[a, b, c]);
    let found = namesakes(&three, &Pages::of(&three));
    assert!(
        found[1]
            .in_full()
            .starts_with("3 photos of station 47 are numbered 1: one by A on "),
        "{}",
        found[1].in_full()
    );
}

#[test]
fn a_plan_tells_them_once() {
    let [a, b, c] = &three();
    let (of_b, of_c) = (entries(b), entries(c));
    let first = plan(a, &[incoming(&of_b)]);
    assert_eq!(first.namesakes.len(), 2);
    assert!(first.is_doubted() && first.twins.is_empty());
    // What was doubted before is not told again; one more of the same is.
    let two = joined(&[a, b]);
    let mut more = b.clone();
    keep(&mut more, "b", "r9", NOON, bed("one", 9, "bedding"));
    let more = entries(&more);
    assert!(!plan(&two, &[incoming(&more)]).is_doubted());
    let again = plan(&two, &[incoming(&of_c)]);
    assert_eq!(again.namesakes[0].records.len(), 3);
    // Two books that grew apart by themselves are none.
    assert!(!plan(&trunk(), &[incoming(&of_b)]).is_doubted());
}

#[test]
fn what_is_struck_out_and_what_is_contested_is_left_alone() {
    let [a, b, _] = &three();
    let mut ledger = joined(&[a, b]);
    keep(&mut ledger, "a", "b-r", NOON, None);
    let found = namesakes(&ledger, &Pages::of(&ledger));
    assert_eq!(found.len(), 1, "the photos alone: {found:?}");
    // The number of what is struck out is not free.
    keep(&mut ledger, "a", "gone", NOON, photo(7, ""));
    keep(&mut ledger, "a", "gone", NOON, None);
    let pages = Pages::of(&ledger);
    ledger.extend(renumber(&ledger.clone(), &pages, &found, &stamp("d", 1)));
    assert_eq!(numbers(&ledger)["b-p"], 8);
    // A struck-out station has none.
    let mut struck = joined(&[a, b]);
    keep(&mut struck, "a", "one", NOON, None);
    assert!(namesakes(&struck, &Pages::of(&struck)).is_empty());

    // Changed differently by two: settled first.
    let mut one = joined(&[a, b]);
    let mut other = one.clone();
    keep(&mut one, "a", "b-r", NOON, bed("one", 2, "cleavage"));
    keep(&mut other, "b", "b-r", NOON, bed("one", 2, "vein"));
    let contested = joined(&[&one, &other]);
    let pages = Pages::of(&contested);
    let found = namesakes(&contested, &pages);
    assert_eq!(found.len(), 2);
    let written = renumber(&contested, &pages, &found, &stamp("d", 1));
    let records: Vec<&str> = written.iter().map(|e| e.record().as_str()).collect();
    assert_eq!(records, ["b-p"]);
}

#[test]
fn stations_and_what_was_taken_at_them_get_their_numbers_in_one_act() {
    let [a, b, _] = &three();
    let mut ledger = joined(&[a, b]);
    let other = station(47, "2026-06-15T09:00:00+02:00", None);
    keep(&mut ledger, "b", "two", NOON, Some(Body::Station(other)));
    keep(&mut ledger, "a", "s", NOON, sighting(1));
    keep(&mut ledger, "b", "t", NOON, sighting(1));
    let before = numbers(&ledger);
    let pages = Pages::of(&ledger);
    let (stations, taken) = (twins::twins(&ledger, &pages), namesakes(&ledger, &pages));
    assert_eq!((stations.len(), taken.len()), (1, 3));
    let written = renumber_all(&ledger, &pages, &stations, &taken, &stamp("d", 5));
    let counters: Vec<u64> = written.iter().map(|e| e.stamp().counter).collect();
    assert_eq!(counters, [5, 6, 7, 8]);
    ledger.extend(written.clone());
    assert_eq!(written[1].why(), Some("two readings had one number"));
    assert_eq!(act_words(&ledger, &written[1]), "new number");
    let pages = Pages::of(&ledger);
    assert!(twins::twins(&ledger, &pages).is_empty());
    assert!(namesakes(&ledger, &pages).is_empty());
    assert_eq!(numbers(&ledger)["t"], 2);
    let undo = undo_of(&ledger, "d").expect("the new numbers");
    assert_eq!(undo.words, "Undo new number, 4 records");
    ledger.extend(undo.entries(&stamp("d", 9)));
    assert_eq!(numbers(&ledger), before);
    let redo = undo_of(&ledger, "d").expect("what was undone");
    assert_eq!(redo.words, "Redo new number, 4 records");
}

#[test]
fn above_the_highest_number_there_is_the_lowest_that_is_free_is_given() {
    let mut ledger = trunk();
    for record in ["x", "y", "z"] {
        keep(
            &mut ledger,
            "a",
            record,
            NOON,
            bed("one", u32::MAX, "bedding"),
        );
    }
    let pages = Pages::of(&ledger);
    let found = namesakes(&ledger, &pages);
    ledger.extend(renumber(&ledger.clone(), &pages, &found, &stamp("d", 1)));
    let numbers = numbers(&ledger);
    assert_eq!((numbers["x"], numbers["y"], numbers["z"]), (u32::MAX, 2, 3));
}
