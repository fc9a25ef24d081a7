//! Books that were kept apart become one: the same whatever the order and the grouping, nothing lost, nothing doubled.

#![cfg(not(target_arch = "wasm32"))]

use std::collections::BTreeSet;

use hingeline::exchange::book::{self, Written};
use hingeline::notebook::clocks::{self, How};
use hingeline::notebook::join::{Incoming, plan};
use hingeline::notebook::{
    Act, Body, Entry, EntryId, Ledger, Pages, Position, Reading, RecordId, Shot, Stamp, State,
    Station, settle, twins, undo_of,
};
use proptest::prelude::*;

#[path = "../src/bin/workbench/trial/tablets/mod.rs"]
#[allow(dead_code, reason = "the command counts more than the tests do")]
mod tablets;

use tablets::{Camp, evening::shown};

fn file(ledger: &Ledger) -> String {
    book::write(ledger.iter(), &Written::default())
}

fn entries(ledger: &Ledger) -> Vec<Entry> {
    ledger.iter().cloned().collect()
}

fn incoming(entries: &[Entry]) -> Incoming<'_> {
    Incoming {
        by: "",
        device: "",
        at: "",
        entries,
    }
}

fn union<'a>(ledgers: impl IntoIterator<Item = &'a Ledger>) -> Ledger {
    let mut all = Ledger::new();
    for ledger in ledgers {
        all.join(ledger.iter().cloned());
    }
    all
}

proptest! {
    // Ten thousand of them are the command `workbench camp-trial`.
    #![proptest_config(ProptestConfig {
        cases: 24,
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    #[test]
    fn tablets_that_heard_of_all_write_the_same_bytes(seed in any::<u64>()) {
        let mut camp = Camp::by_lot(seed);
        prop_assert_eq!(camp.evening(), Ok(()), "seed {}", seed);
    }
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 60,
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    #[test]
    fn join_is_commutative_associative_and_idempotent(seed in any::<u64>(), steps in 0..120usize) {
        let mut camp = Camp::new(seed, 3);
        camp.run(steps);
        let ledgers: Vec<&Ledger> = camp.tablets.iter().map(|tablet| &tablet.ledger).collect();
        let [a, b, c] = ledgers.as_slice() else { unreachable!("three tablets") };
        prop_assert_eq!(file(&union([*a, *b])), file(&union([*b, *a])));
        prop_assert_eq!(
            file(&union([&union([*a, *b]), *c])),
            file(&union([*a, &union([*b, *c])]))
        );
        prop_assert_eq!(file(&union([*a, *a])), file(a));
        prop_assert_eq!(shown(&union([*a, *b, *c])), shown(&union([*c, *b, *a])));
    }

    #[test]
    fn a_plan_tells_what_joining_does(seed in any::<u64>(), count in 2..6usize, steps in 0..120usize) {
        let mut camp = Camp::new(seed, count);
        camp.run(steps);
        let ledger = camp.tablets[0].ledger.clone();
        let books: Vec<Vec<Entry>> = camp.tablets.iter().map(|tablet| entries(&tablet.ledger)).collect();
        let given: Vec<Incoming<'_>> = books.iter().map(|book| incoming(book)).collect();
        let planned = plan(&ledger, &given);
        // The order of the files changes the list of sources and nothing else.
        let mut turned = given.clone();
        turned.reverse();
        let mut again = plan(&ledger, &turned);
        again.sources.reverse();
        prop_assert_eq!(&again, &planned);
        // Joined one after the other, without a plan: the same.
        let mut after = ledger.clone();
        prop_assert_eq!(after.join(planned.new.clone()).len(), planned.new.len());
        let all = union(camp.tablets.iter().map(|tablet| &tablet.ledger));
        prop_assert_eq!(file(&after), file(&all));
        prop_assert_eq!(planned.sources[0].new, 0);
        prop_assert_eq!(planned.same + planned.new.len(), all.len());
        // What it says of records is what the joined book shows.
        let contested = |ledger: &Ledger| -> BTreeSet<RecordId> {
            ledger.records().filter(|record| ledger.state(record.as_str()).is_contested()).cloned().collect()
        };
        let (before, now) = (contested(&ledger), contested(&after));
        let told: BTreeSet<RecordId> = planned.contested.iter().cloned().collect();
        prop_assert!(now.difference(&before).all(|record| told.contains(record)));
        prop_assert!(told.is_subset(&now));
        let settled: BTreeSet<RecordId> = planned.settled.iter().cloned().collect();
        let expected: BTreeSet<RecordId> = before.difference(&now).cloned().collect();
        prop_assert_eq!(settled, expected);
        let fresh = after.records().filter(|record| ledger.state(record.as_str()) == State::Absent).count();
        prop_assert_eq!(planned.records.all().new, fresh);
        // Afterwards nothing is left to do.
        prop_assert!(plan(&after, &given).is_empty());
    }

    #[test]
    fn every_doubt_can_be_settled_and_brought_back(seed in any::<u64>(), count in 2..5usize, steps in 0..120usize) {
        let mut camp = Camp::new(seed, count);
        camp.run(steps);
        camp.gather();
        let mut ledger = camp.tablets[0].ledger.clone();
        let contested: Vec<RecordId> = ledger.records().filter(|record| ledger.state(record.as_str()).is_contested()).cloned().collect();
        for record in contested {
            let record = record.as_str();
            let first = ledger.next_counter("settler");
            let before = ledger.state(record);
            let versions = settle::versions(&ledger, record);
            let differences = settle::differences(&ledger, record);
            prop_assert!(versions.len() > 1);
            let State::Contested { fields, .. } = &before else { unreachable!("contested") };
            let told: BTreeSet<&str> = differences.iter().map(|d| d.field.as_str()).collect();
            for field in fields.iter().filter(|field| *field != "shots") {
                prop_assert!(told.contains(field.as_str()), "{field} is not told");
            }
            prop_assert!(differences.iter().all(|d| d.texts.len() == versions.len()));
            for version in &versions {
                let mut settled = ledger.clone();
                let stamp = stamp("settler", first);
                let entry = settle::entry(&settled, record, &version.entry, stamp.clone()).expect("one of the versions");
                settled.insert(entry);
                let state = settled.state(record);
                prop_assert!(!state.is_contested());
                prop_assert_eq!(state.is_struck_out(), version.strikes_out);
                // Everything that was there is there still.
                prop_assert_eq!(settled.history(record).len(), ledger.history(record).len() + 1);
                let undo = undo_of(&settled, "settler").expect("the last act");
                prop_assert_eq!(undo.words.as_str(), "Undo settle");
                settled.extend(undo.entries(&self::stamp("settler", first + 1)));
                let back = settled.state(record);
                prop_assert!(back.is_contested());
                prop_assert_eq!(back.shown(), before.shown());
                prop_assert_eq!(back.heads().len(), 1);
                let redo = undo_of(&settled, "settler").expect("what was undone");
                prop_assert_eq!(redo.words.as_str(), "Redo settle");
                settled.extend(redo.entries(&self::stamp("settler", first + 2)));
                let again = settled.state(record);
                prop_assert_eq!(again.body(), state.body());
            }
            let take = versions[0].entry;
            let entry = settle::entry(&ledger, record, &take, stamp("settler", first));
            ledger.extend(entry);
        }
        prop_assert!(Pages::of(&ledger).contested().next().is_none());
    }
}

fn stamp(device: &str, counter: u64) -> Stamp {
    Stamp {
        by: device.to_uppercase(),
        device: device.to_owned(),
        counter,
        at: format!("2026-06-14T09:{:02}:00+02:00", counter % 60),
    }
}

/// An entry on top of what the ledger says.
fn keep(ledger: &mut Ledger, device: &str, record: &str, at: &str, body: Option<Body>) -> EntryId {
    let state = ledger.state(record);
    let act = match (&state, &body) {
        (_, None) => Act::StrikeOut,
        (State::Absent, _) => Act::Write,
        _ => Act::Correct,
    };
    let stamp = Stamp {
        at: at.to_owned(),
        ..stamp(device, ledger.next_counter(device))
    };
    let entry = Entry::new(
        record.into(),
        state.heads().to_vec(),
        stamp,
        act,
        None,
        body,
    );
    let id = entry.id();
    assert!(ledger.insert(entry));
    id
}

const NOON: &str = "2026-06-14T12:00:00+02:00";

fn shot(strike: &str, dip: &str) -> Shot {
    Shot {
        strike: Some(strike.to_owned()),
        dip: Some(dip.to_owned()),
        side: Some("SE".to_owned()),
        at: NOON.to_owned(),
        ..Shot::default()
    }
}

fn reading(shots: &[Shot], note: &str) -> Body {
    Body::Reading(Reading {
        station: "station".to_owned(),
        number: 1,
        kind: "bedding".to_owned(),
        shots: shots.to_vec(),
        note: note.to_owned(),
        ..Reading::default()
    })
}

/// Two books that share one reading and then changed it apart.
fn apart(a: Body, b: Body) -> (Ledger, EntryId, EntryId) {
    let mut ours = Ledger::new();
    keep(
        &mut ours,
        "a",
        "r",
        NOON,
        Some(reading(&[shot("062", "36")], "")),
    );
    let mut theirs = ours.clone();
    let a = keep(&mut ours, "a", "r", NOON, Some(a));
    let b = keep(&mut theirs, "b", "r", NOON, Some(b));
    ours.join(entries(&theirs));
    (ours, a, b)
}

fn as_reading(ledger: &Ledger) -> Reading {
    match ledger.state("r").body() {
        Some(Body::Reading(reading)) => reading.clone(),
        other => panic!("no reading but {other:?}"),
    }
}

#[test]
fn both_versions_of_a_dial_are_put_side_by_side_and_one_act_settles_it() {
    let (ledger, a, b) = apart(
        reading(&[shot("062", "38")], "wavy"),
        reading(&[shot("062", "83")], ""),
    );
    let versions = settle::versions(&ledger, "r");
    let place = |id| {
        versions
            .iter()
            .position(|v| v.entry == id)
            .expect("a version")
    };
    assert_eq!(versions[place(a)].stamp.by, "A");
    assert_eq!(versions[place(b)].stamp.device, "b");
    let differences = settle::differences(&ledger, "r");
    assert_eq!(differences.len(), 1);
    let dip = &differences[0];
    assert_eq!((dip.field.as_str(), dip.shot), ("shots", Some(0)));
    assert_eq!(dip.words, "dip of shot 1");
    assert_eq!(dip.texts[place(a)].as_deref(), Some("38"));
    assert_eq!(dip.texts[place(b)].as_deref(), Some("83"));
    // Taking the one leaves what the other changed besides.
    let entry = settle::entry(&ledger, "r", &b, stamp("c", 1)).expect("a settlement");
    assert_eq!(*entry.act(), Act::Settle);
    let mut settled = ledger.clone();
    settled.insert(entry);
    let now = as_reading(&settled);
    assert_eq!(now.shots[0].dip.as_deref(), Some("83"));
    assert_eq!(now.note, "wavy");
    assert_eq!(settled.history("r").len(), 4);
    assert!(settle::differences(&settled, "r").is_empty());
    assert!(settle::settle(&settled, "r", &b).is_none());
    // An entry that is none of the versions settles nothing.
    assert!(settle::settle(&ledger, "r", &settled.heads("r")[0].id()).is_none());
}

#[test]
fn a_settlement_elsewhere_and_a_change_after_its_undo_are_both_kept() {
    let (ledger, a, _) = apart(
        reading(&[shot("062", "38")], ""),
        reading(&[shot("062", "83")], ""),
    );
    let mut ours = ledger.clone();
    ours.extend(settle::entry(&ours, "r", &a, stamp("c", 1)));
    let mut theirs = ours.clone();
    let mut noted = as_reading(&theirs);
    noted.note = "checked".to_owned();
    keep(&mut theirs, "b", "r", NOON, Some(Body::Reading(noted)));
    let undo = undo_of(&ours, "c").expect("the settlement");
    ours.extend(undo.entries(&stamp("c", 2)));
    ours.join(entries(&theirs));
    // The doubt is open again, and the note written meanwhile is there.
    assert!(ours.state("r").is_contested());
    let told = settle::differences(&ours, "r");
    assert_eq!(told.len(), 1, "{told:?}");
    assert_eq!(told[0].words, "dip of shot 1");
    assert_eq!(as_reading(&ours).note, "checked");
}

#[test]
fn a_strike_out_against_a_change_is_settled_either_way() {
    let mut ours = Ledger::new();
    keep(
        &mut ours,
        "a",
        "r",
        NOON,
        Some(reading(&[shot("062", "36")], "")),
    );
    let mut theirs = ours.clone();
    let out = keep(&mut ours, "a", "r", NOON, None);
    let kept = keep(
        &mut theirs,
        "b",
        "r",
        NOON,
        Some(reading(&[shot("062", "36")], "good")),
    );
    ours.join(entries(&theirs));
    let told = settle::differences(&ours, "r");
    assert_eq!(told[0].words, "struck out");
    let take = |id| {
        let mut settled = ours.clone();
        settled.extend(settle::entry(&settled, "r", &id, stamp("c", 1)));
        settled
    };
    assert!(take(out).state("r").is_struck_out());
    assert_eq!(as_reading(&take(kept)).note, "good");
    assert!(!take(kept).state("r").is_struck_out());
}

#[test]
fn a_settlement_that_was_itself_contested_is_settled_again() {
    let (ledger, a, b) = apart(
        reading(&[shot("062", "38")], ""),
        reading(&[shot("062", "83")], ""),
    );
    let mut ours = ledger.clone();
    ours.extend(settle::entry(&ledger, "r", &a, stamp("c", 1)));
    ours.extend(settle::entry(&ledger, "r", &b, stamp("d", 1)));
    assert!(ours.state("r").is_contested());
    assert_eq!(settle::versions(&ours, "r").len(), 2);
    let take = settle::versions(&ours, "r")[1].entry;
    ours.extend(settle::entry(&ours, "r", &take, stamp("c", 2)));
    assert!(!ours.state("r").is_contested());
}

fn station(number: u32, at: &str, place: Option<(f64, f64, f64)>) -> Station {
    Station {
        number,
        at: at.to_owned(),
        position: place.map(|(latitude, longitude, accuracy)| Position {
            latitude,
            longitude,
            accuracy_m: Some(accuracy),
            source: "device".to_owned(),
            ..Position::default()
        }),
        ..Station::default()
    }
}

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
    let entries = twins::renumber(&ledger, &pages, &found, &stamp("a", 9));
    assert_eq!(entries.len(), 1);
    assert_eq!(*entries[0].act(), Act::Renumber);
    ledger.extend(entries);
    let pages = Pages::of(&ledger);
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
    assert_eq!(twins::twins(&ledger, &Pages::of(&ledger)).len(), 1);
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

fn times(device: &str, times: &[&str]) -> Ledger {
    let mut ledger = Ledger::new();
    for (i, at) in times.iter().enumerate() {
        let body = Body::Station(station(u32::try_from(i).unwrap_or(0) + 1, at, None));
        keep(&mut ledger, device, &format!("{device}{i}"), at, Some(body));
    }
    ledger
}

#[test]
fn a_clock_that_jumped_is_named_and_orders_nothing() {
    let check = |at: &[&str], how: How, counter: u64, until: Option<u64>, words: &str| {
        let ledger = times("a", at);
        let found = clocks::jumps(&ledger);
        assert_eq!(found.len(), 1, "{found:?}");
        assert_eq!(
            (found[0].how, found[0].counter, found[0].until),
            (how, counter, until)
        );
        assert!(found[0].words().contains(words), "{}", found[0].words());
        // The order is that of the count.
        let written: Vec<u64> = (0..at.len())
            .map(|i| ledger.history(&format!("a{i}"))[0].stamp().counter)
            .collect();
        assert_eq!(written, (1..=at.len() as u64).collect::<Vec<_>>());
    };
    check(
        &[
            "2026-06-14T09:00:00+02:00",
            "2000-01-01T00:00:00Z",
            "2000-01-01T00:05:00Z",
            "2026-06-14T10:00:00+02:00",
        ],
        How::Back,
        2,
        Some(4),
        "A's tablet went back by 26 years at its entry 2 and came back at entry 4",
    );
    check(
        &[
            "2026-06-14T09:00:00Z",
            "2038-01-19T03:14:07Z",
            "2026-06-14T09:10:00Z",
        ],
        How::Ahead,
        2,
        Some(3),
        "leapt ahead by 12 years at its entry 2",
    );
    check(
        &["2026-06-14T09:00:00Z", "2026-06-14T06:30:00Z"],
        How::Back,
        2,
        None,
        "went back by 3 hours at its entry 2",
    );
    // Another zone is the same clock; a minute back is nothing; an illegible time tells nothing.
    let fine = times(
        "a",
        &[
            "2026-06-14T09:00:00+02:00",
            "2026-06-14T08:05:00+01:00",
            "",
            "2026-06-14T07:04:00Z",
        ],
    );
    assert!(clocks::jumps(&fine).is_empty());
}

#[test]
fn a_clock_behind_another_tablets_is_named_once_for_the_pair() {
    let mut ours = times("a", &["2026-06-17T09:00:00Z", "2026-06-17T09:10:00Z"]);
    for record in ["a0", "a1"] {
        let body = ours.state(record).body().cloned();
        keep(&mut ours, "b", record, "2026-06-14T09:00:00Z", body);
    }
    let found = clocks::jumps(&ours);
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!((found[0].how, found[0].times), (How::Behind, 2));
    assert_eq!(found[0].off_s, 3 * 86_400 + 600);
    assert_eq!(
        found[0]
            .other
            .as_ref()
            .map(|(device, by)| (device.as_str(), by.as_str())),
        Some(("a", "A"))
    );
    let words = found[0].words();
    assert!(
        words.contains("B's tablet is 3 days behind that of A's tablet"),
        "{words}"
    );
    // The later entry is the one that supersedes, whatever the clocks say.
    assert_eq!(ours.heads("a0")[0].stamp().device, "b");
}

#[test]
fn a_cloned_tablet_loses_nothing_and_goes_on_under_a_new_name() {
    let mut ours = times("a", &[NOON]);
    let mut copy = ours.clone();
    for i in 1..4 {
        let body = || Some(Body::Station(station(i, NOON, None)));
        keep(&mut ours, "a", &format!("ours-{i}"), NOON, body());
        keep(&mut copy, "a", &format!("copy-{i}"), NOON, body());
    }
    let theirs = entries(&copy);
    let planned = plan(&ours, &[incoming(&theirs)]);
    assert_eq!(planned.new.len(), 3);
    assert_eq!(planned.clones.len(), 1);
    assert_eq!(
        (planned.clones[0].counter, planned.clones[0].shared),
        (2, 3)
    );
    let words = planned.clones[0].words();
    assert!(words.contains("two histories from entry 2 on"), "{words}");
    assert_eq!(ours.join(planned.new.clone()).len(), 3);
    assert_eq!(Pages::of(&ours).stations().len(), 7);
    // Opened again it is known, and adds nothing.
    let again = plan(&ours, &[incoming(&theirs)]);
    assert!(again.is_empty() && again.clones.is_empty());
    // The tablet goes on under a name of its own, and nothing it wrote is counted twice.
    assert!(ours.is_shared("a"));
    assert!(!ours.is_shared("a-2"));
    assert_eq!(ours.next_counter("a-2"), 1);
    let before = ours.clones();
    keep(
        &mut ours,
        "a-2",
        "next",
        NOON,
        Some(Body::Station(station(9, NOON, None))),
    );
    assert_eq!(ours.clones(), before);
}

#[test]
fn a_plan_says_what_is_new_the_same_and_changed_by_both() {
    let mut ours = Ledger::new();
    keep(
        &mut ours,
        "a",
        "s",
        NOON,
        Some(Body::Station(station(1, NOON, None))),
    );
    keep(
        &mut ours,
        "a",
        "r",
        NOON,
        Some(reading(&[shot("062", "36")], "")),
    );
    keep(
        &mut ours,
        "a",
        "q",
        NOON,
        Some(reading(&[shot("062", "36")], "")),
    );
    let mut theirs = ours.clone();
    keep(
        &mut ours,
        "a",
        "r",
        NOON,
        Some(reading(&[shot("062", "38")], "")),
    );
    keep(
        &mut ours,
        "a",
        "q",
        NOON,
        Some(reading(&[shot("062", "36")], "note")),
    );
    keep(
        &mut theirs,
        "b",
        "r",
        NOON,
        Some(reading(&[shot("062", "83")], "")),
    );
    keep(
        &mut theirs,
        "b",
        "q",
        NOON,
        Some(reading(&[shot("062", "37")], "")),
    );
    keep(
        &mut theirs,
        "b",
        "t",
        NOON,
        Some(Body::Station(station(2, NOON, None))),
    );
    let text = book::write(
        theirs.iter(),
        &Written {
            at: NOON.to_owned(),
            by: "B".to_owned(),
            device: "b".to_owned(),
        },
    );
    let file = book::read(&text).expect("a book");
    let planned = plan(&ours, &[file.incoming(), file.incoming()]);
    let source = &planned.sources[0];
    assert_eq!(planned.sources[1], *source);
    assert_eq!(
        (
            source.by.as_str(),
            source.device.as_str(),
            source.at.as_str()
        ),
        ("B", "b", NOON)
    );
    assert_eq!((source.entries, source.new, source.lacks), (6, 3, 2));
    assert_eq!(source.people, ["A", "B"]);
    assert_eq!(source.devices, ["a", "b"]);
    assert_eq!((planned.new.len(), planned.same), (3, 3));
    assert_eq!(
        (
            planned.records.stations.new,
            planned.records.stations.changed
        ),
        (1, 0)
    );
    assert_eq!(
        (
            planned.records.readings.new,
            planned.records.readings.changed
        ),
        (0, 2)
    );
    assert_eq!(planned.contested, [RecordId::from("r")]);
    assert_eq!(planned.merged, [RecordId::from("q")]);
    assert!(planned.orphans.is_empty() && planned.is_doubted());
    assert!(plan(&ours, &[]).is_empty());
}

#[test]
fn a_part_of_a_book_names_what_nobody_has() {
    let mut theirs = Ledger::new();
    let first = keep(
        &mut theirs,
        "b",
        "r",
        NOON,
        Some(reading(&[shot("062", "36")], "")),
    );
    let second = keep(
        &mut theirs,
        "b",
        "r",
        NOON,
        Some(reading(&[shot("062", "37")], "")),
    );
    let part: Vec<Entry> = theirs.get(&second).cloned().into_iter().collect();
    let planned = plan(&Ledger::new(), &[incoming(&part)]);
    assert_eq!(planned.orphans, [(second, first)]);
    // With the rest of it nothing is missing.
    let all = entries(&theirs);
    assert!(
        plan(&Ledger::new(), &[incoming(&part), incoming(&all)])
            .orphans
            .is_empty()
    );
}
