//! What two people changed alike: both versions stay, and a person takes one.

use hingeline::notebook::{Act, Body, EntryId, Ledger, North, Reading, settle, undo_of};

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

fn dips(ledger: &Ledger) -> Vec<String> {
    let shots = as_reading(ledger).shots;
    shots.into_iter().filter_map(|shot| shot.dip).collect()
}

/// Two who read one plane again, each on their own tablet: both are shots of one reading, what else either changed is kept, and
/// taking it back brings the doubt back.
#[test]
fn both_dials_are_kept_as_shots_of_one_reading_and_that_is_taken_back() {
    let (ledger, ..) = apart(
        reading(&[shot("062", "38"), shot("063", "40")], "wavy"),
        reading(&[shot("062", "39"), shot("064", "41")], ""),
    );
    let first = settle::versions(&ledger, "r")[0].stamp.device.clone();
    let entry = settle::both_entry(&ledger, "r", stamp("c", 1)).expect("both");
    assert_eq!(*entry.act(), Act::Settle);
    let mut kept = ledger.clone();
    kept.insert(entry);
    let own_first = first == "a";
    let order = if own_first {
        ["38", "39", "40", "41"]
    } else {
        ["39", "38", "41", "40"]
    };
    assert_eq!(dips(&kept), order);
    assert_eq!(as_reading(&kept).note, "wavy");
    assert!(!kept.state("r").is_contested());
    assert!(settle::both(&kept, "r").is_none());
    let undo = undo_of(&kept, "c").expect("the settlement");
    kept.extend(undo.entries(&stamp("c", 2)));
    assert!(kept.state("r").is_contested());
    // As before, and settled again in the same way.
    let again = settle::both_entry(&kept, "r", stamp("c", 3)).expect("both");
    kept.insert(again);
    let mut all = dips(&kept);
    all.sort();
    assert_eq!(all, ["38", "39", "40", "41"]);
}

/// A shot that one of them alone changed is that one's, and is not kept twice; shots that both added are kept once where they are
/// the same.
#[test]
fn a_shot_that_one_alone_changed_is_not_kept_beside_what_it_was() {
    let base = [shot("062", "36"), shot("070", "20")];
    let mut ours = Ledger::new();
    keep(&mut ours, "a", "r", NOON, Some(reading(&base, "")));
    let mut theirs = ours.clone();
    let a = [shot("062", "38"), shot("070", "20"), shot("065", "37")];
    let b = [shot("062", "39"), shot("070", "22"), shot("065", "37")];
    keep(&mut ours, "a", "r", NOON, Some(reading(&a, "")));
    keep(&mut theirs, "b", "r", NOON, Some(reading(&b, "")));
    ours.join(entries(&theirs));
    ours.extend(settle::both_entry(&ours, "r", stamp("c", 1)));
    let mut all = dips(&ours);
    all.sort();
    assert_eq!(all, ["22", "37", "38", "39"]);
}

/// Both are offered only where they are repetitions of one measurement.
#[test]
fn both_are_not_offered_where_they_are_no_shots_of_one_measurement() {
    let with = |change: fn(&mut Reading), dip: &str| {
        let Body::Reading(mut read) = reading(&[shot("062", dip)], "") else {
            panic!("a reading")
        };
        change(&mut read);
        Body::Reading(read)
    };
    let offered = |a: Body, b: Body| {
        let (ledger, ..) = apart(a, b);
        assert!(ledger.state("r").is_contested());
        settle::both(&ledger, "r").is_some()
    };
    assert!(offered(with(|_| {}, "38"), with(|_| {}, "39")));
    assert!(!offered(
        with(|_| {}, "38"),
        with(|r| r.kind = "joint".to_owned(), "39")
    ));
    assert!(!offered(
        with(|_| {}, "38"),
        with(|r| r.north = North::True, "39")
    ));
    assert!(!offered(
        with(|_| {}, "38"),
        with(|r| r.shots[0].side = None, "39")
    ));
    assert!(!offered(
        with(|r| r.note = "wavy".to_owned(), "38"),
        with(|r| r.note = "even".to_owned(), "39")
    ));
    // A strike-out on one side, and three versions.
    let (mut three, ..) = apart(with(|_| {}, "38"), with(|_| {}, "39"));
    assert!(settle::both(&three, "r").is_some());
    let third = Ledger::from_iter(
        three
            .iter()
            .filter(|entry| *entry.act() == Act::Write)
            .cloned(),
    );
    let mut other = third.clone();
    keep(&mut other, "d", "r", NOON, Some(with(|_| {}, "37")));
    three.join(entries(&other));
    assert_eq!(settle::versions(&three, "r").len(), 3);
    assert!(settle::both(&three, "r").is_none());
    let (mut out, ..) = apart(with(|_| {}, "38"), with(|_| {}, "36"));
    let mut struck = third;
    keep(&mut struck, "d", "r", NOON, None);
    out.join(entries(&struck));
    assert!(settle::both(&out, "r").is_none());
    assert!(settle::both(&out, "nobody").is_none());
}
