use super::*;
use crate::notebook::join::{Incoming, plan};
use crate::notebook::{Act, Reading, Stamp, Station};

const OWN: &str = "aaaa0000";

struct Desk {
    ledger: Ledger,
    by: &'static str,
    device: &'static str,
    counter: u64,
}

impl Desk {
    fn new(by: &'static str, device: &'static str, from: &Ledger) -> Self {
        Self {
            ledger: from.clone(),
            by,
            device,
            counter: 0,
        }
    }

    fn write(&mut self, record: &str, body: Body) {
        self.counter += 1;
        let stamp = Stamp {
            by: self.by.to_owned(),
            device: self.device.to_owned(),
            counter: self.counter,
            at: format!("2026-06-14T09:{:02}:00.000+01:00", self.counter),
        };
        let heads = self.ledger.state(record).heads().to_vec();
        self.ledger.insert(Entry::new(
            record.into(),
            heads,
            stamp,
            Act::Correct,
            None,
            Some(body),
        ));
    }

    fn file(&self, name: &str) -> Opened {
        Opened {
            name: name.to_owned(),
            book: Ok(Whole {
                by: self.by.to_owned(),
                device: self.device.to_owned(),
                at: "2026-06-14T20:14:00.000+01:00".to_owned(),
                entries: self.ledger.iter().cloned().collect(),
                ..Whole::default()
            }),
        }
    }
}

fn station(number: u32) -> Body {
    Body::Station(Station {
        number,
        name: format!("Place {number}"),
        ..Station::default()
    })
}

fn reading(number: u32, note: &str) -> Body {
    Body::Reading(Reading {
        station: "s1".to_owned(),
        number,
        kind: "bedding".to_owned(),
        note: note.to_owned(),
        ..Reading::default()
    })
}

fn began() -> Ledger {
    let mut own = Desk::new("KO", OWN, &Ledger::new());
    own.write("s1", station(1));
    own.write("r1", reading(1, ""));
    own.ledger
}

fn shown_of(ledger: &Ledger, files: &[Opened]) -> Shown {
    let incoming: Vec<Incoming<'_>> = files.iter().filter_map(Opened::incoming).collect();
    let beside = Beside {
        own: OWN,
        passed_over: 0,
        photos: &["here".to_owned()].into(),
    };
    let plan = plan(ledger, &incoming);
    let mut after = ledger.clone();
    after.extend(plan.new.iter().cloned());
    shown(&after, files, &plan, &beside)
}

fn about<'s>(shown: &'s Shown, about: &str) -> Option<&'s Said> {
    shown.said.iter().find(|said| said.about == about)
}

#[test]
fn what_is_new_what_is_here_and_what_both_changed_is_said_before_anything_is_written() {
    let base = began();
    let mut own = Desk::new("KO", OWN, &base);
    own.counter = 2;
    own.write("r1", reading(1, "top"));
    let mut other = Desk::new("MT", "bbbb0000", &base);
    other.write("r1", reading(1, "foot"));
    other.write("s2", station(2));
    other.write("r2", reading(2, ""));
    let shown = shown_of(&own.ledger, &[other.file("mt.json")]);
    assert_eq!(shown.new, 3);
    assert_eq!(shown.head, "1 station and 1 reading are new here");
    assert!(
        shown.detail.contains("1 reading that was here has changed")
            || shown.detail.contains("1 reading"),
        "{}",
        shown.detail
    );
    assert!(
        shown.detail.contains("2 entries are here already"),
        "{}",
        shown.detail
    );
    let contested = about(&shown, "contested").unwrap();
    assert!(contested.doubted);
    assert_eq!(contested.head, "1 changed on both");
    assert!(
        contested.words.starts_with("1·1 bedding:"),
        "{}",
        contested.words
    );
    assert_eq!(
        shown.files[0].words,
        "written by MT, tablet bbbb, on 14 June 2026, 20:14: 3 of 5 entries are new here"
    );
    assert_eq!(
        shown.files[0].of.as_deref(),
        Some("entries of KO and MT, from this tablet and tablet bbbb")
    );
    // Station 2 has something new; at station 1 both changed the same, and there is a new reading.
    assert_eq!(shown.lines[0].name, "MT");
    assert_eq!(shown.lines[0].new, [1, 2].into());
    assert_eq!(shown.lines[0].both, [1].into());
    assert_eq!(last_station(&shown.lines, Some(1)), 2);
}

#[test]
fn a_damaged_file_is_named_and_the_rest_can_be_joined() {
    let base = began();
    let mut other = Desk::new("MT", "bbbb0000", &base);
    other.write("s2", station(2));
    let broken = Opened {
        name: "broken.json".to_owned(),
        book: Err("the file is empty; copy it again".to_owned()),
    };
    let shown = shown_of(&base, &[broken.clone(), other.file("mt.json")]);
    assert!(!shown.all_damaged);
    assert_eq!(shown.new, 1);
    let damaged: Vec<(&str, bool)> = shown
        .files
        .iter()
        .map(|file| (file.name.as_str(), file.damaged))
        .collect();
    assert_eq!(damaged, [("mt.json", false), ("broken.json", true)]);
    assert_eq!(shown.files[1].words, "the file is empty; copy it again");
    let shown = shown_of(&base, &[broken]);
    assert!(shown.all_damaged && shown.new == 0);
    assert_eq!(shown.head, "Nothing could be opened");
}

#[test]
fn what_is_here_already_is_nothing_new() {
    let base = began();
    let shown = shown_of(&base, &[Desk::new("KO", OWN, &base).file("own.json")]);
    assert_eq!((shown.new, shown.head.as_str()), (0, "Nothing is new"));
    assert!(shown.said.is_empty());
    assert!(
        shown.files[0]
            .words
            .ends_with("all 2 entries are here already")
    );
    assert_eq!(shown_of(&base, &[]).new, 0);
}

#[test]
fn a_cloned_tablet_and_an_entry_that_nobody_has_are_named() {
    let base = began();
    let mut one = Desk::new("KO", "cccc0000", &base);
    one.write("s3", station(3));
    let mut two = Desk::new("MT", "cccc0000", &base);
    two.write("s4", station(4));
    let mut own = base.clone();
    own.join(one.ledger.iter().cloned());
    let shown = shown_of(&own, &[two.file("two.json")]);
    let clone = about(&shown, "clone").unwrap();
    assert!(clone.doubted);
    assert_eq!(clone.head, "Two histories under one name: tablet cccc");
    assert!(
        clone
            .words
            .contains("1 number has two entries, by KO and MT"),
        "{}",
        clone.words
    );
    assert!(clone.words.contains("No entry is lost"));

    let mut later = Desk::new("MT", "dddd0000", &base);
    later.write("r1", reading(1, "one"));
    later.write("r1", reading(1, "two"));
    let last = later.ledger.latest_of("dddd0000").next().unwrap().clone();
    let mut file = later.file("part.json");
    file.book = Ok(Whole {
        entries: vec![last],
        ..Whole::default()
    });
    let orphans = shown_of(&base, &[file]);
    assert_eq!(
        about(&orphans, "orphans").unwrap().head,
        "1 entry that nobody has"
    );
}

/// A part says before anything is written that it is one, what it lacks and the way out; of a whole file none of it is said.
#[test]
fn a_part_says_what_it_lacks_before_anything_is_written() {
    let base = began();
    let mut later = Desk::new("MT", "dddd0000", &base);
    later.write("r1", reading(1, "one"));
    later.write("r2", reading(2, "two"));
    let mut file = later.file("part.json");
    file.book = Ok(Whole {
        entries: later.ledger.iter().skip(2).cloned().collect(),
        beyond: vec![Beyond::of(base.iter())],
        ..Whole::default()
    });
    let alone = shown_of(&Ledger::new(), std::slice::from_ref(&file));
    let part = about(&alone, "part").unwrap();
    assert!(part.doubted);
    assert_eq!(
        (part.head.as_str(), part.words.as_str()),
        (
            "Only a part",
            "It holds only what is new beyond a book of 2 entries, of which 2 are not here: open that book too, in any order. Until then 1 new entry follows what is not here, and 1 station, set-up or reading that they name is not here; nothing is lost by it."
        )
    );
    assert!(about(&alone, "orphans").is_none());
    assert!(
        alone.files[0].words.ends_with("; a part, beyond 2 entries"),
        "{}",
        alone.files[0].words
    );
    let whole = shown_of(&base, &[file]);
    assert!(about(&whole, "part").is_none() && about(&whole, "unclear").is_none());
    assert_eq!(whole.new, 2);
}

/// Where the entry between is elsewhere nobody is asked to settle: one version may simply be the later.
#[test]
fn what_is_between_is_waited_for_and_not_put_before_a_person() {
    let base = began();
    let mut later = Desk::new("MT", "dddd0000", &base);
    later.write("r1", reading(1, "one"));
    let held = Beyond::of(later.ledger.iter());
    later.write("r1", reading(1, "two"));
    let mut file = later.file("part.json");
    file.book = Ok(Whole {
        entries: later.ledger.iter().skip(3).cloned().collect(),
        beyond: vec![held],
        ..Whole::default()
    });
    let shown = shown_of(&base, &[file]);
    assert!(about(&shown, "contested").is_none());
    let unclear = about(&shown, "unclear").unwrap();
    assert_eq!(unclear.head, "1 record stands in several versions");
    assert!(
        unclear.words.contains("nobody has to settle it before"),
        "{}",
        unclear.words
    );
}

#[test]
fn twins_are_told_with_what_can_be_done() {
    let base = began();
    let mut own = Desk::new("KO", OWN, &base);
    own.counter = 2;
    own.write("own2", station(2));
    let mut other = Desk::new("MT", "bbbb0000", &base);
    other.write("other2", station(2));
    let shown = shown_of(&own.ledger, &[other.file("mt.json")]);
    let twins = about(&shown, "twins").unwrap();
    assert_eq!(twins.head, "Two stations with one number");
    assert!(
        twins.words.contains("numbered 2") && twins.words.contains("Both are kept"),
        "{}",
        twins.words
    );
}

#[test]
fn numbers_that_stand_twice_at_a_station_are_told_in_one_piece() {
    let base = began();
    let mut own = Desk::new("KO", OWN, &base);
    own.counter = 2;
    own.write("own-r", reading(2, ""));
    let mut other = Desk::new("MT", "bbbb0000", &base);
    other.write("other-r", reading(2, ""));
    let shown = shown_of(&own.ledger, &[other.file("mt.json")]);
    let one = about(&shown, "namesakes").unwrap();
    assert_eq!(one.head, "Reading 1·2 twice");
    assert!(
        one.doubted && one.words.contains("are numbered 2: "),
        "{}",
        one.words
    );
    assert!(
        one.words.contains("by KO") && one.words.contains("by MT"),
        "{}",
        one.words
    );
    assert!(one.words.contains("All are kept"), "{}", one.words);
    for number in 3..=9 {
        own.write(&format!("own-{number}"), reading(number, ""));
        other.write(&format!("other-{number}"), reading(number, ""));
    }
    let shown = shown_of(&own.ledger, &[other.file("mt.json")]);
    let many = about(&shown, "namesakes").unwrap();
    assert_eq!(many.head, "8 numbers stand twice at their station");
    assert!(
        many.words
            .starts_with("1·2, 1·3, 1·4, 1·5, 1·6, 1·7 and 2 more are each the name of several."),
        "{}",
        many.words
    );
}

#[test]
fn photos_come_once_and_those_that_nobody_brought_are_named() {
    let base = began();
    let named = |sha256: &str, number: u32| Named {
        sha256: sha256.to_owned(),
        record: "p".into(),
        station: Some(1),
        number,
        bytes: 3,
    };
    let mut with = Desk::new("KO", OWN, &base).file("with.zip");
    let mut without = Desk::new("KO", OWN, &base).file("without.json");
    let bytes: Arc<[u8]> = Arc::from(&b"jpg"[..]);
    if let (Ok(with), Ok(without)) = (&mut with.book, &mut without.book) {
        with.photos = vec![
            ("new".to_owned(), bytes.clone()),
            ("here".to_owned(), bytes),
        ];
        without.missing = vec![named("new", 1), named("here", 2), named("gone", 3)];
        without.remarks = vec!["a photo is not as it was written".to_owned()];
    }
    let shown = shown_of(&base, &[with.clone(), without, with]);
    assert_eq!((shown.new, shown.photos), (0, 1));
    assert_eq!(shown.head, "1 photo is new here, no entry is");
    let words: Vec<&str> = shown
        .said
        .iter()
        .filter(|said| said.about == "photos")
        .map(|said| said.words.as_str())
        .collect();
    assert_eq!(words.len(), 2);
    assert!(words[0].starts_with("without.json: a photo"));
    assert!(
        words[1].contains("1·P3") && !words[1].contains("P1"),
        "{}",
        words[1]
    );
}
