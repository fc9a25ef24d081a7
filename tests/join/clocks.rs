//! Clocks that jumped, and a tablet that was copied: named, and nothing lost.

use hingeline::notebook::clocks::{self, How};
use hingeline::notebook::join::plan;
use hingeline::notebook::{Body, Ledger, Pages};

use crate::made::{NOON, entries, incoming, keep, station};

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
    // A tablet that lost its power begins again long ago.
    check(
        &["1970-01-01T00:04:00Z", "1970-01-01T00:09:00Z"],
        How::Early,
        1,
        None,
        "A's tablet stood at 1970-01-01 at its entry 1, before any book was written; the order",
    );
    check(
        &["2000-01-01T00:04:00Z", "2026-06-14T09:00:00Z"],
        How::Early,
        1,
        Some(2),
        "stood at 2000-01-01 at its entry 1, before any book was written and came back at entry 2",
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
