use super::*;
use crate::notebook::{Reading, Shot, Stamp, Station};

/// A tablet that writes into a ledger of its own.
struct Desk {
    ledger: Ledger,
    by: &'static str,
    device: &'static str,
    counter: u64,
}

impl Desk {
    fn new(by: &'static str, device: &'static str) -> Self {
        Self {
            ledger: Ledger::new(),
            by,
            device,
            counter: 0,
        }
    }

    fn write(&mut self, record: &str, act: Act, why: Option<&str>, body: Option<Body>) {
        self.counter += 1;
        let stamp = Stamp {
            by: self.by.to_owned(),
            device: self.device.to_owned(),
            counter: self.counter,
            at: format!("2026-06-14T09:{:02}:00.000+01:00", self.counter),
        };
        let heads = self.ledger.state(record).heads().to_vec();
        let why = why.map(str::to_owned);
        let entry = Entry::new(record.into(), heads, stamp, act, why, body);
        self.ledger.insert(entry);
    }

    fn join(&mut self, other: &Desk) {
        self.ledger.join(other.ledger.iter().cloned());
    }

    fn history(&self, record: &str) -> History {
        let pages = Pages::of(&self.ledger);
        history(
            &pages,
            &self.ledger,
            record,
            Notation::StrikeDip,
            "aaaa-own",
        )
        .unwrap()
    }
}

fn shot(strike: &str, dip: &str) -> Shot {
    Shot {
        strike: Some(strike.to_owned()),
        dip: Some(dip.to_owned()),
        side: Some("SE".to_owned()),
        ..Shot::default()
    }
}

fn reading(dip: &str, note: &str) -> Body {
    Body::Reading(Reading {
        station: "s".to_owned(),
        number: 2,
        kind: "bedding".to_owned(),
        shots: vec![shot("067", dip)],
        note: note.to_owned(),
        ..Reading::default()
    })
}

fn began() -> (Desk, Desk) {
    let mut a = Desk::new("KO", "aaaa-own");
    a.write(
        "s",
        Act::Write,
        None,
        Some(Body::Station(Station {
            number: 45,
            ..Station::default()
        })),
    );
    a.write("r", Act::Write, None, Some(reading("38", "")));
    let mut b = Desk::new("MT", "bbbb-other");
    b.join(&a);
    (a, b)
}

fn changed(step: &Step) -> Vec<String> {
    step.changes.iter().map(Changed::spoken).collect()
}

#[test]
fn every_entry_says_who_when_and_what_it_changed() {
    let (mut a, _) = began();
    a.write("r", Act::Correct, None, Some(reading("39", "top")));
    a.write("r", Act::StrikeOut, Some("a slumped block"), None);
    a.write("r", Act::PutBack, None, Some(reading("39", "top")));
    let history = a.history("r");
    assert_eq!(history.title, "45·2 bedding");
    assert_eq!(history.opens, Opens::Reading);
    let did: Vec<(&str, Stands)> = history
        .steps
        .iter()
        .map(|step| (step.did.as_str(), step.stands))
        .collect();
    assert_eq!(
        did,
        [
            ("written", Stands::Before),
            ("corrected", Stands::Before),
            ("struck out", Stands::Before),
            ("put back", Stands::Now),
        ]
    );
    assert_eq!(history.steps[0].author, "KO, this tablet");
    assert_eq!(history.steps[0].when, "14 June 2026, 09:02");
    assert_eq!(history.steps[0].value, "067/38 SE");
    assert!(changed(&history.steps[0]).contains(&"read: 067 slash 38 SE".to_owned()));
    assert_eq!(
        changed(&history.steps[1]),
        ["dip: was 38, is 39", "note: top"]
    );
    assert_eq!(history.steps[2].why.as_deref(), Some("a slumped block"));
    assert!(history.steps[2].struck && history.steps[2].changes.is_empty());
    assert_eq!(changed(&history.steps[3]), [""; 0], "nothing but put back");
}

#[test]
fn a_second_shot_is_one_change_and_the_dials_are_numbered() {
    let (mut a, _) = began();
    let mut two = reading("38", "");
    if let Body::Reading(reading) = &mut two {
        reading.shots.push(shot("068", "40"));
    }
    a.write("r", Act::Write, None, Some(two.clone()));
    if let Body::Reading(reading) = &mut two {
        reading.shots[1].dip = Some("41".to_owned());
    }
    a.write("r", Act::Correct, None, Some(two.clone()));
    if let Body::Reading(reading) = &mut two {
        reading.shots[0].struck_out = true;
    }
    a.write("r", Act::StrikeOut, None, Some(two));
    let history = a.history("r");
    assert_eq!(changed(&history.steps[1]), ["shot 2: 068 slash 40 SE"]);
    assert_eq!(changed(&history.steps[2]), ["shot 2, dip: was 40, is 41"]);
    assert_eq!(history.steps[3].did, "a shot struck out");
    assert_eq!(changed(&history.steps[3]), ["shot 1, struck out: yes"]);
}

#[test]
fn what_two_people_changed_apart_is_put_together_and_both_are_part_of_it() {
    let (mut a, mut b) = began();
    a.write("r", Act::Correct, None, Some(reading("39", "")));
    b.write("r", Act::Correct, None, Some(reading("38", "top")));
    a.join(&b);
    let history = a.history("r");
    assert!(!history.contested);
    let last = history.steps.last().unwrap();
    assert_eq!(
        (last.did.as_str(), last.stands),
        ("put together by the book", Stands::Now)
    );
    assert_eq!(last.author, "KO + MT, every tablet");
    assert_eq!(last.value, "067/39 SE");
    let parts = history
        .steps
        .iter()
        .filter(|step| step.stands == Stands::Part);
    assert_eq!(parts.count(), 2);
}

#[test]
fn versions_that_disagree_have_letters_until_one_is_taken() {
    let (mut a, mut b) = began();
    a.write("r", Act::Correct, None, Some(reading("39", "")));
    b.write("r", Act::Correct, None, Some(reading("83", "")));
    a.join(&b);
    let history = a.history("r");
    assert!(history.contested);
    let mut letters: Vec<Stands> = history.steps.iter().skip(1).map(|s| s.stands).collect();
    letters.sort_by_key(|stands| format!("{stands:?}"));
    assert_eq!(letters, [Stands::Version('A'), Stands::Version('B')]);
    a.write("r", Act::Settle, None, Some(reading("39", "")));
    let history = a.history("r");
    let last = history.steps.last().unwrap();
    assert!(!history.contested);
    assert_eq!((last.did.as_str(), last.stands), ("settled", Stands::Now));
    assert_eq!(history.steps.len(), 4);
}

#[test]
fn fields_of_a_newer_version_and_entries_without_their_forerunner_are_told() {
    let (a, _) = began();
    let first = a.ledger.history("r")[0].clone();
    let Some(Body::Reading(mut newer)) = first.body().cloned() else {
        panic!("a reading");
    };
    newer.more.insert("grain_size".to_owned(), "coarse".into());
    let entry = Entry::new(
        "r".into(),
        [first.id()],
        Stamp::default(),
        Act::Other("sift".to_owned()),
        None,
        Some(Body::Reading(newer)),
    );
    let alone: Ledger = [entry].into_iter().collect();
    let pages = Pages::of(&alone);
    let history = history(&pages, &alone, "r", Notation::StrikeDip, "").unwrap();
    assert_eq!(history.steps[0].did, "sift");
    assert!(history.steps[0].follows_missing);
    assert!(changed(&history.steps[0]).contains(&"grain size: coarse".to_owned()));
    assert_eq!(
        super::history(&pages, &alone, "x", Notation::StrikeDip, ""),
        None
    );
}
