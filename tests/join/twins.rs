//! Two stations with one number, and two that are one outcrop.

use hingeline::notebook::{Act, Body, Ledger, Pages, Reading, Station, twins, undo_of};

use crate::made::{NOON, entries, keep, shot, stamp, station};

/// Two tablets that both numbered a station 12, a kilometre apart.
fn two_twelves() -> Ledger {
    let mut ours = Ledger::new();
    let one = station(12, "2026-06-14T09:00:00+02:00", Some((47.2, 11.3, 5.0)));
    let two = station(12, "2026-06-14T08:00:00+01:00", Some((47.21, 11.3, 5.0)));
    keep(&mut ours, "a", "one", NOON, Some(Body::Station(one)));
    let mut theirs = Ledger::new();
    keep(
        &mut theirs,
        "b",
        "two",
        NOON,
        Some(Body::Station(two.clone())),
    );
    keep(
        &mut theirs,
        "b",
        "three",
        NOON,
        Some(Body::Station(station(14, NOON, None))),
    );
    let mut first = as_body_reading("two");
    first.number = 1;
    keep(&mut theirs, "b", "r", NOON, Some(Body::Reading(first)));
    ours.join(entries(&theirs));
    ours
}

fn as_body_reading(station: &str) -> Reading {
    Reading {
        station: station.to_owned(),
        number: 1,
        kind: "bedding".to_owned(),
        shots: vec![shot("062", "36")],
        ..Reading::default()
    }
}

#[test]
fn two_stations_with_one_number_are_both_kept_and_the_later_gets_the_next_free_one() {
    let mut ledger = two_twelves();
    let pages = Pages::of(&ledger);
    let found = twins::twins(&ledger, &pages);
    assert_eq!(found.len(), 1);
    // Both began in the same instant, written in two zones: the names decide, on every tablet alike.
    assert_eq!(
        (found[0].earlier.as_str(), found[0].later.as_str()),
        ("one", "two")
    );
    assert!(found[0].is_number() && found[0].close.is_none());
    assert!(
        found[0]
            .words()
            .contains("two different stations are numbered 12")
    );
    assert_eq!(
        found[0].in_full(),
        "two different stations are numbered 12: one without a name by A on 2026-06-14 and one without a name by B on 2026-06-14; the later one can have a number of its own"
    );
    let entries = twins::renumber(&ledger, &pages, &found, &stamp("a", 9));
    assert_eq!(entries.len(), 1);
    assert_eq!(*entries[0].act(), Act::Renumber);
    let renumbered = twins::renumbered(&found, &entries);
    assert_eq!(renumbered.len(), 1);
    assert_eq!(
        renumbered[0].words(),
        "station 12, one without a name by B on 2026-06-14, is station 15 now; its readings go with it"
    );
    assert!(!renumbered[0].stands(&pages));
    assert_eq!(twins::renumbered(&[], &entries), []);
    ledger.extend(entries);
    let pages = Pages::of(&ledger);
    assert!(renumbered[0].stands(&pages));
    let numbers: Vec<u32> = pages
        .stations()
        .iter()
        .map(|page| page.line().number())
        .collect();
    assert_eq!(numbers, [12, 14, 15]);
    // The reading goes with its station.
    assert_eq!(pages.station("two").expect("kept").readings().len(), 1);
    assert!(twins::twins(&ledger, &pages).is_empty());
    let undo = undo_of(&ledger, "a").expect("the new number");
    assert_eq!(undo.words, "Undo new number");
    ledger.extend(undo.entries(&stamp("a", 10)));
    let pages = Pages::of(&ledger);
    assert_eq!(twins::twins(&ledger, &pages).len(), 1);
    assert!(!renumbered[0].stands(&pages));
}

#[test]
fn many_new_numbers_are_one_act() {
    let mut ledger = Ledger::new();
    for (device, hour) in [("a", 8), ("b", 9)] {
        for number in 1..=5 {
            let at = format!("2026-06-14T{hour:02}:0{number}:00+02:00");
            let body = Body::Station(station(number, &at, None));
            keep(
                &mut ledger,
                device,
                &format!("{device}-{number}"),
                &at,
                Some(body),
            );
        }
    }
    let pages = Pages::of(&ledger);
    let found = twins::twins(&ledger, &pages);
    assert_eq!(found.len(), 5);
    ledger.extend(twins::renumber(&ledger, &pages, &found, &stamp("a", 30)));
    let numbers = |ledger: &Ledger| -> Vec<u32> {
        let pages = Pages::of(ledger);
        pages
            .stations()
            .iter()
            .map(|page| page.line().number())
            .collect()
    };
    assert_eq!(numbers(&ledger), (1..=10).collect::<Vec<_>>());
    let undo = undo_of(&ledger, "a").expect("the new numbers");
    assert_eq!(undo.words, "Undo new number, 5 records");
    ledger.extend(undo.entries(&stamp("a", 40)));
    assert_eq!(numbers(&ledger), [1, 1, 2, 2, 3, 3, 4, 4, 5, 5]);
}

/// Two tablets at one outcrop, six metres apart by fixes of 5 m.
fn one_outcrop() -> Ledger {
    let mut ledger = Ledger::new();
    // A degree of latitude is 111.2 km there (WGS 84), so 0.00005° are 5.6 m.
    let one = station(7, "2026-06-14T09:00:00+02:00", Some((47.2, 11.3, 5.0)));
    let two = station(31, "2026-06-16T09:00:00+02:00", Some((47.20005, 11.3, 5.0)));
    keep(&mut ledger, "a", "one", NOON, Some(Body::Station(one)));
    keep(&mut ledger, "b", "two", NOON, Some(Body::Station(two)));
    keep(
        &mut ledger,
        "b",
        "r",
        NOON,
        Some(Body::Reading(as_body_reading("two"))),
    );
    ledger
}

#[test]
fn two_stations_of_one_outcrop_are_tied_and_untied() {
    let mut ledger = one_outcrop();
    let found = twins::twins(&ledger, &Pages::of(&ledger));
    assert_eq!(found.len(), 1);
    let close = found[0].close.expect("near");
    assert!((close.apart_m - 5.56).abs() < 0.01, "{close:?}");
    assert!((close.within_m - 50f64.sqrt()).abs() < 1e-9, "{close:?}");
    assert!(!found[0].is_number());
    let entry = twins::tie(&ledger, &found[0], stamp("a", 5)).expect("a tie");
    assert_eq!(*entry.act(), Act::Tie);
    ledger.insert(entry);
    let pages = Pages::of(&ledger);
    assert!(twins::twins(&ledger, &pages).is_empty());
    assert_eq!(twins::outcrop(&pages, "two"), "one");
    assert_eq!(twins::outcrop(&pages, "one"), "one");
    assert_eq!((pages.stations().len(), twins::outcrops(&pages)), (2, 1));
    let undo = undo_of(&ledger, "a").expect("the tie");
    assert_eq!(undo.words, "Undo same outcrop");
    ledger.extend(undo.entries(&stamp("a", 6)));
    assert_eq!(twins::outcrops(&Pages::of(&ledger)), 2);
    // Or they are told apart, and the doubt is over.
    let entry = twins::tell_apart(&ledger, &found[0], stamp("a", 7)).expect("told apart");
    ledger.insert(entry);
    assert!(twins::twins(&ledger, &Pages::of(&ledger)).is_empty());
}

#[test]
fn what_is_not_plainly_one_outcrop_is_left_alone() {
    let count = |change: &dyn Fn(&mut Station), device: &str| {
        let mut ledger = Ledger::new();
        let at = "2026-06-14T09:00:00+02:00";
        let one = station(7, at, Some((47.2, 11.3, 5.0)));
        let mut two = station(31, at, Some((47.20005, 11.3, 5.0)));
        change(&mut two);
        keep(&mut ledger, "a", "one", NOON, Some(Body::Station(one)));
        keep(
            &mut ledger,
            "a",
            "r0",
            NOON,
            Some(Body::Reading(as_body_reading("one"))),
        );
        keep(&mut ledger, device, "two", NOON, Some(Body::Station(two)));
        keep(
            &mut ledger,
            device,
            "r",
            NOON,
            Some(Body::Reading(as_body_reading("two"))),
        );
        twins::twins(&ledger, &Pages::of(&ledger)).len()
    };
    assert_eq!(count(&|_| {}, "b"), 1);
    // Farther than the fixes allow.
    let farther = |s: &mut Station| s.position.as_mut().unwrap().latitude += 0.0001;
    assert_eq!(count(&farther, "b"), 0);
    // Known too poorly to say.
    let poor = |s: &mut Station| s.position.as_mut().unwrap().accuracy_m = Some(80.0);
    assert_eq!(count(&poor, "b"), 0);
    let unknown = |s: &mut Station| s.position.as_mut().unwrap().accuracy_m = None;
    assert_eq!(count(&unknown, "b"), 0);
    let none = |s: &mut Station| s.position = None;
    assert_eq!(count(&none, "b"), 0);
    // One person who went on a few steps on the same day; on another day it is the outcrop again.
    assert_eq!(count(&|_| {}, "a"), 0);
    let next_day = |s: &mut Station| s.at = "2026-06-15T09:00:00+02:00".to_owned();
    assert_eq!(count(&next_day, "a"), 1);
}

#[test]
fn ties_in_a_circle_and_to_nothing_end() {
    let mut ledger = Ledger::new();
    for (record, to) in [
        ("b", "c"),
        ("c", "a"),
        ("a", "b"),
        ("d", "nobody"),
        ("e", "e"),
    ] {
        let mut body = station(1, NOON, None);
        body.same_as = Some(to.to_owned());
        keep(&mut ledger, "t", record, NOON, Some(Body::Station(body)));
    }
    let pages = Pages::of(&ledger);
    for record in ["a", "b", "c"] {
        assert_eq!(twins::outcrop(&pages, record), "a");
    }
    assert_eq!(twins::outcrop(&pages, "d"), "d");
    assert_eq!(twins::outcrop(&pages, "e"), "e");
    assert_eq!(twins::outcrop(&pages, "nobody"), "nobody");
    assert_eq!(twins::outcrops(&pages), 3);
}

/// However many stations have one number, it is told in one line, with what each is known by.
#[test]
fn stations_of_one_number_are_told_in_one_line() {
    let mut ledger = Ledger::new();
    for (device, hour, latitude) in [("a", 10, 63.0), ("b", 8, 64.0), ("c", 9, 64.0)] {
        for number in [1, 2] {
            let at = format!("2026-06-14T{hour:02}:0{number}:00+02:00");
            let position = (number == 2).then_some((latitude, -19.0, 5.0));
            let body = Station {
                name: if device == "c" {
                    String::new()
                } else {
                    format!("beck {device}")
                },
                ..station(number, &at, position)
            };
            let record = format!("{device}-{number}");
            keep(&mut ledger, device, &record, &at, Some(Body::Station(body)));
        }
    }
    let found = twins::twins(&ledger, &Pages::of(&ledger));
    assert_eq!(found.len(), 4);
    assert_eq!(
        twins::in_lines(&found),
        [
            "3 stations are numbered 1: `beck b` by B on 2026-06-14, one without a name by C on 2026-06-14, `beck a` by A on 2026-06-14; each but the first can have a number of its own",
            "3 stations are numbered 2: `beck b` by B on 2026-06-14, one without a name by C on 2026-06-14, `beck a` by A on 2026-06-14; each but the first can have a number of its own; one without a name by C on 2026-06-14 lies within 0 m of `beck b` by B on 2026-06-14: are they one outcrop?",
        ]
    );
    let near = one_outcrop();
    let found = twins::twins(&near, &Pages::of(&near));
    assert_eq!(
        twins::in_lines(&found),
        [
            "station 31 (one without a name by B on 2026-06-16) lies within 6 m of station 7 (one without a name by A on 2026-06-14) where their positions are known to 7 m; are they one outcrop?"
        ]
    );
}
