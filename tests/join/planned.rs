//! What a plan says before anything is written.

use hingeline::exchange::book::{self, Written};
use hingeline::notebook::join::{Planning, plan};
use hingeline::notebook::{Body, Entry, Ledger, Pages, RecordId};

use crate::algebra::tablets::Camp;
use crate::made::{NOON, entries, incoming, keep, reading, shot, station};

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

/// Step by step, in steps of any size, the plan is the one that is worked out in one go, and what it says comes after the join is
/// what joining makes.
#[test]
fn a_plan_worked_out_step_by_step_is_the_same() {
    for seed in 0..6 {
        let mut camp = Camp::new(seed, 3);
        camp.run(50);
        let [ours, theirs, others] = [0, 1, 2].map(|i| camp.tablets[i].ledger.clone());
        let (theirs, others) = (entries(&theirs), entries(&others));
        let books = [incoming(&theirs), incoming(&others)];
        let whole = plan(&ours, &books);
        let pages = Pages::of(&ours);
        for most in [0, 1, 7, usize::MAX] {
            let mut planning = Planning::begin(&ours, &books);
            let mut steps = 0;
            while planning.step(&ours, &pages, most) {
                steps += 1;
                assert!(steps < 10_000, "it has no end");
            }
            let (planned, after) = planning.done();
            assert_eq!(planned, whole, "seed {seed}, steps of {most}");
            let mut joined = ours.clone();
            joined.join(planned.new);
            assert_eq!(after, joined);
        }
    }
    // Nothing new needs no step.
    let ours = Ledger::new();
    let mut planning = Planning::begin(&ours, &[]);
    assert!(!planning.step(&ours, &Pages::of(&ours), 1));
}
