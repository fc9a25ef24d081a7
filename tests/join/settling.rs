//! What two people changed alike: both versions stay, and a person takes one.

use hingeline::notebook::{Act, Body, EntryId, Ledger, Reading, settle, undo_of};

use crate::made::{NOON, entries, keep, reading, shot, stamp};

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
