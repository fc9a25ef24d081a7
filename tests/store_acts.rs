//! Half an act: whatever row of whatever act is refused, the storage, read again, is the book before the act or the book after it.
#![cfg(not(target_arch = "wasm32"))]

use std::sync::Arc;

use hingeline::exchange::book::{self, Written};
use hingeline::exchange::{archive, table_import};
use hingeline::notebook::join::plan;
use hingeline::notebook::reset::{self, Change, Chosen};
use hingeline::notebook::{
    Accepted, Act, Body, Entry, Ledger, North, Pages, Photo, Position, Reading, SetUp, Shot,
    Sighting, Stamp, Station, photos, settle, twins, undo_of,
};
use hingeline::orientation::DoubtKind;
use hingeline::store::{Batch, DRAFTS, ENTRIES, Memory, PHOTOS, STATE, StoreError};

type Photos = Vec<(String, Arc<[u8]>)>;

/// What a person, or a file, does in one act.
struct Doing {
    name: &'static str,
    /// The book and its photos before.
    before: Ledger,
    there: Photos,
    new: Vec<Entry>,
    photos: Photos,
    /// The draft that stands after it; none where the act ends it.
    draft: Option<&'static str>,
}

fn stamp(ledger: &Ledger, device: &str) -> Stamp {
    let counter = ledger.next_counter(device);
    Stamp {
        by: device.to_uppercase(),
        device: device.to_owned(),
        counter,
        at: format!("2026-06-14T09:{:02}:00+02:00", counter % 60),
    }
}

fn write(ledger: &mut Ledger, device: &str, record: &str, act: Act, body: Option<Body>) -> Entry {
    let heads = ledger.state(record).heads().to_vec();
    let stamp = stamp(ledger, device);
    let entry = Entry::new(record.into(), heads, stamp, act, None, body);
    assert!(ledger.insert(entry.clone()));
    entry
}

fn station(number: u32, latitude: f64) -> Option<Body> {
    Some(Body::Station(Station {
        number,
        at: "2026-06-14T09:00:00+02:00".to_owned(),
        position: Some(Position {
            latitude,
            longitude: 11.3,
            accuracy_m: Some(5.0),
            source: "device".to_owned(),
            ..Position::default()
        }),
        ..Station::default()
    }))
}

fn reading(number: u32, dip: &str, shots: usize) -> Option<Body> {
    let shot = Shot {
        strike: Some("062".to_owned()),
        dip: Some(dip.to_owned()),
        side: Some("SE".to_owned()),
        ..Shot::default()
    };
    Some(Body::Reading(Reading {
        station: "s1".to_owned(),
        number,
        kind: "bedding".to_owned(),
        set_up: Some("set-up".to_owned()),
        north: North::Magnetic,
        shots: vec![shot; shots],
        ..Reading::default()
    }))
}

fn picture(n: u8) -> (String, Arc<[u8]>) {
    let bytes = [0xff, 0xd8, 0xff, n];
    (photos::sha256(&bytes), Arc::from(bytes))
}

fn photo(number: u32, n: u8) -> Option<Body> {
    Some(Body::Photo(Photo {
        station: "s1".to_owned(),
        number,
        sha256: picture(n).0,
        media: "image/jpeg".to_owned(),
        bytes: 4,
        ..Photo::default()
    }))
}

fn sighting(to: Option<&str>) -> Option<Body> {
    Some(Body::Sighting(Sighting {
        station: "s1".to_owned(),
        number: 1,
        to: to.map(str::to_owned),
        bearing: Some("041".to_owned()),
        level_m: Some("120".to_owned()),
        ..Sighting::default()
    }))
}

/// A book of two tablets, with a doubt, two stations of one number and two at one place, and a photo.
fn camp() -> Ledger {
    let mut own = Ledger::new();
    let set_up = Some(Body::SetUp(SetUp::default()));
    write(&mut own, "a", "set-up", Act::Write, set_up);
    write(&mut own, "a", "s1", Act::Write, station(1, 47.2));
    for number in 1..=6 {
        let record = format!("r{number}");
        write(&mut own, "a", &record, Act::Write, reading(number, "36", 2));
    }
    write(&mut own, "a", "p1", Act::Write, photo(1, 1));
    let mut other = own.clone();
    write(&mut own, "a", "r1", Act::Correct, reading(1, "38", 2));
    write(&mut other, "b", "r1", Act::Correct, reading(1, "83", 2));
    write(&mut own, "a", "s2", Act::Write, station(2, 47.3));
    write(&mut own, "a", "s3", Act::Write, station(3, 47.4));
    write(&mut other, "b", "t2", Act::Write, station(2, 47.5));
    write(&mut other, "b", "t3", Act::Write, station(3, 47.6));
    write(&mut other, "b", "t9", Act::Write, station(9, 47.200_01));
    own.join(other.iter().cloned());
    own
}

/// The book after its own act was done, and the undo of that act as an act of its own.
fn undone(name: &'static str, before: &Ledger, act: &[Entry]) -> Doing {
    let mut after = before.clone();
    after.extend(act.iter().cloned());
    let undo = undo_of(&after, "a").expect("an act of this tablet");
    let new = undo.entries(&stamp(&after, "a"));
    doing(name, &after, new)
}

fn doing(name: &'static str, before: &Ledger, new: Vec<Entry>) -> Doing {
    assert!(!new.is_empty(), "{name}");
    Doing {
        name,
        before: before.clone(),
        there: vec![picture(1)],
        new,
        photos: Vec::new(),
        draft: None,
    }
}

/// Every act of the app that writes more than one row: its entries, and always the draft and the tablet's own row with them.
fn doings() -> Vec<Doing> {
    let camp = camp();
    let act = |record: &str, act: Act, body: Option<Body>| {
        vec![write(&mut camp.clone(), "a", record, act, body)]
    };
    let pages = Pages::of(&camp);
    let change = Change {
        declination: Some("-2".to_owned()),
        north: Some(North::True),
        why: "the card was not turned".to_owned(),
        ..Change::default()
    };
    let lines = reset::chosen(&pages, &Chosen::default());
    let put_right = reset::entries(&camp, lines, &change, &stamp(&camp, "a"));
    assert!(put_right.len() >= 5);
    let take = settle::versions(&camp, "r1")[1].entry;
    let settled = settle::entry(&camp, "r1", &take, stamp(&camp, "a"));
    let settled = settled.into_iter().collect::<Vec<_>>();
    let both = settle::both_entry(&camp, "r1", stamp(&camp, "a"));
    let both = both.into_iter().collect::<Vec<_>>();
    let found = twins::twins(&camp, &pages);
    let renumbered = twins::renumber(&camp, &pages, &found, &stamp(&camp, "a"));
    assert_eq!(renumbered.len(), 2);
    let near = found.iter().find(|twins| twins.close.is_some());
    let near = near.expect("two stations at one place");
    let tied = twins::tie(&camp, near, stamp(&camp, "a"));
    let apart = twins::tell_apart(&camp, near, stamp(&camp, "a"));
    let struck = act("r2", Act::StrikeOut, None);

    // A station that was made of a sighting: it, and the sighting that now names it.
    let mut there = camp.clone();
    let sighted = write(&mut there, "a", "g1", Act::Write, sighting(None));
    let sighted = camp.iter().cloned().chain([sighted]).collect::<Ledger>();
    let mut with_station = sighted.clone();
    let made = vec![
        write(&mut with_station, "a", "s4", Act::Write, station(4, 47.7)),
        write(
            &mut with_station,
            "a",
            "g1",
            Act::Correct,
            sighting(Some("s4")),
        ),
    ];
    let accepted = Reading {
        accepted: vec![Accepted {
            doubt: DoubtKind::SideAlongStrike,
            shot: 0,
            choice: "kept as read".to_owned(),
            sets: Vec::new(),
            by: "A".to_owned(),
            at: "2026-06-14T09:30:00+02:00".to_owned(),
        }],
        ..match reading(2, "36", 2) {
            Some(Body::Reading(reading)) => reading,
            _ => Reading::default(),
        }
    };
    let set_up = Some(Body::SetUp(SetUp {
        declination: Some("3.5".to_owned()),
        ..SetUp::default()
    }));
    let demo = include_str!("../public/demo.json");
    let demo = book::read(demo).expect("the demo book").entries;
    // What a copy brings back of a book that lost most of itself.
    let lost: Ledger = camp.iter().take(4).cloned().collect();
    let copy = camp.iter().filter(|entry| lost.get(&entry.id()).is_none());
    let copy: Vec<Entry> = copy.cloned().collect();

    // A table, with a row that is doubted and one of a station that is here.
    let table = "station,kind,strike,dip,toward\n7,bedding,045,30,135\n7,joint,massive,80,SE\n1,bedding,050,95,140\n";
    let table = table_import::read("table.csv", table.as_bytes());
    let matching = table_import::guess(&table);
    let none = std::collections::BTreeSet::new();
    let now = "2026-06-14T19:00:00+02:00";
    let brought = table_import::bring(&table, &matching, &camp, &pages, &none, now);
    let brought = brought.entries(&camp, &stamp(&camp, "a"));
    assert!(brought.len() >= 4, "{brought:?}");

    // Another's archive: part of it is here already, one of its photos too.
    let mut theirs = camp.clone();
    for number in 7..12 {
        let record = format!("q{number}");
        write(
            &mut theirs,
            "c",
            &record,
            Act::Write,
            reading(number, "40", 3),
        );
    }
    write(&mut theirs, "c", "p2", Act::Write, photo(2, 2));
    write(&mut theirs, "c", "p3", Act::Write, photo(3, 3));
    let text = book::write(theirs.iter(), &Written::default());
    let pictures = [picture(1), picture(2), picture(3)];
    let pictures = pictures
        .iter()
        .map(|(sha256, bytes)| (sha256.as_str(), &**bytes));
    let file = archive::write(&text, pictures).expect("an archive");
    let file = archive::read_any(&file).expect("the same");
    assert_eq!(file.photos.len(), 3);
    let new = plan(&camp, &[file.book.incoming()]).new;
    assert_eq!(new.len(), 7);

    vec![
        Doing {
            draft: Some("the next shot"),
            ..doing(
                "a reading is kept",
                &camp,
                act("r7", Act::Write, reading(7, "41", 1)),
            )
        },
        doing(
            "a shot is added",
            &camp,
            act("r2", Act::Correct, reading(2, "36", 3)),
        ),
        doing(
            "a doubt is accepted",
            &camp,
            act("r2", Act::Accept, Some(Body::Reading(accepted))),
        ),
        doing(
            "a set-up is changed",
            &camp,
            act("set-up", Act::Correct, set_up),
        ),
        Doing {
            draft: Some("the next sighting"),
            ..doing(
                "a sighting is kept",
                &camp,
                act("g1", Act::Write, sighting(None)),
            )
        },
        doing("a station is made of a sighting", &sighted, made),
        Doing {
            there: Vec::new(),
            ..doing("the demo book is begun", &Ledger::new(), demo)
        },
        Doing {
            there: Vec::new(),
            photos: vec![picture(1)],
            ..doing("a copy brings back what was lost", &lost, copy)
        },
        doing("a reading is struck out", &camp, struck.clone()),
        undone("a strike-out is taken back", &camp, &struck),
        Doing {
            photos: vec![picture(4)],
            ..doing(
                "a photo is taken",
                &camp,
                act("p4", Act::Write, photo(4, 4)),
            )
        },
        doing("north is put right", &camp, put_right.clone()),
        undone("north put right is taken back", &camp, &put_right),
        doing("a doubt is settled", &camp, settled.clone()),
        doing("both versions are kept", &camp, both.clone()),
        undone("both versions are doubted again", &camp, &both),
        doing("a table is brought in", &camp, brought.clone()),
        undone("a table is taken back", &camp, &brought),
        undone("a settlement is taken back", &camp, &settled),
        doing("stations get new numbers", &camp, renumbered.clone()),
        undone("new numbers are taken back", &camp, &renumbered),
        doing("two stations are tied", &camp, tied.into_iter().collect()),
        doing(
            "two stations are told apart",
            &camp,
            apart.into_iter().collect(),
        ),
        Doing {
            photos: file.photos.clone(),
            ..doing("an archive is joined", &camp, new)
        },
        Doing {
            there: Vec::new(),
            photos: file.photos,
            ..doing(
                "an archive begins a book",
                &Ledger::new(),
                file.book.entries,
            )
        },
    ]
}

impl Doing {
    /// The storage before the act.
    fn storage(&self) -> Memory {
        let mut memory = Memory::new();
        let outcome = memory.commit(&Batch {
            entries: rows(self.before.iter()),
            photos: self.there.clone(),
            drafts: vec![("open".to_owned(), Some("half a reading".to_owned()))],
            state: vec![("settings".to_owned(), Some("before".to_owned()))],
        });
        assert_eq!(outcome, Ok(()), "{}", self.name);
        memory
    }

    /// The act as the app sends it to be kept.
    fn batch(&self) -> Batch {
        Batch {
            entries: rows(&self.new),
            photos: self.photos.clone(),
            drafts: vec![("open".to_owned(), self.draft.map(str::to_owned))],
            state: vec![("settings".to_owned(), Some("after".to_owned()))],
        }
    }

    fn after(&self) -> Ledger {
        let mut after = self.before.clone();
        after.extend(self.new.iter().cloned());
        after
    }

    /// The storage, read as at a start, is the book before the act with its draft and photos, and nothing else.
    fn is_before(&self, memory: &Memory, where_: &str) {
        assert_eq!(read(memory), self.before, "{}, {where_}", self.name);
        assert_eq!(memory.get(DRAFTS, "open"), Some("half a reading"));
        assert_eq!(memory.get(STATE, "settings"), Some("before"));
        let here = |(sha256, _): &(String, Arc<[u8]>)| memory.bytes(PHOTOS, sha256).is_some();
        let before: Vec<&String> = self.there.iter().map(|(sha256, _)| sha256).collect();
        for photo in self.photos.iter().filter(|photo| here(photo)) {
            assert!(before.contains(&&photo.0), "{}, {where_}", self.name);
        }
    }

    /// It is the book after the act, with everything that belongs to it.
    fn is_after(&self, memory: &Memory, where_: &str) {
        assert_eq!(read(memory), self.after(), "{}, {where_}", self.name);
        assert_eq!(memory.get(DRAFTS, "open"), self.draft);
        assert_eq!(memory.get(STATE, "settings"), Some("after"));
        for (sha256, bytes) in self.there.iter().chain(&self.photos) {
            assert_eq!(
                memory.bytes(PHOTOS, sha256),
                Some(&**bytes),
                "{}",
                self.name
            );
        }
        // Every photo that the book names is there.
        for named in photos::named(read(memory).iter()) {
            assert!(
                memory.bytes(PHOTOS, &named.sha256).is_some(),
                "{}",
                self.name
            );
        }
    }
}

fn rows<'e>(entries: impl IntoIterator<Item = &'e Entry>) -> Vec<(String, String)> {
    entries
        .into_iter()
        .map(|entry| (entry.id().to_string(), entry.text().to_owned()))
        .collect()
}

/// The ledger as a start reads it from the storage.
fn read(memory: &Memory) -> Ledger {
    memory
        .rows(ENTRIES)
        .map(|(_, text)| Entry::from_json(text).expect("an entry"))
        .collect()
}

#[test]
fn whatever_row_of_an_act_is_refused_the_book_is_before_or_after_it() {
    for doing in doings() {
        let batch = doing.batch();
        for error in [StoreError::Full, StoreError::Unknown("odd".to_owned())] {
            for n in 0..batch.rows().len() {
                let mut memory = doing.storage();
                doing.is_before(&memory, "at first");
                let outcome =
                    memory.commit_where(
                        &batch,
                        |row| {
                            if row == n { Err(error.clone()) } else { Ok(()) }
                        },
                    );
                assert_eq!(outcome, Err(error.clone()), "{}, row {n}", doing.name);
                doing.is_before(&memory, &format!("row {n} refused"));
                // Tried again, all of it is kept.
                assert_eq!(memory.commit(&batch), Ok(()), "{}, row {n}", doing.name);
                doing.is_after(&memory, &format!("row {n}, again"));
            }
        }
    }
}

#[test]
fn a_connection_lost_at_any_row_of_an_act_costs_nothing() {
    for doing in doings() {
        let batch = doing.batch();
        for n in 0..batch.rows().len() {
            let mut memory = doing.storage();
            let mut lost = false;
            let outcome = memory.commit_where(&batch, |row| {
                if row == n && !lost {
                    lost = true;
                    return Err(StoreError::Closed);
                }
                Ok(())
            });
            assert_eq!(outcome, Ok(()), "{}, row {n}", doing.name);
            doing.is_after(&memory, &format!("lost at row {n}"));
        }
    }
}

#[test]
fn the_acts_write_more_than_one_row_each() {
    let doings = doings();
    assert!(doings.len() >= 25);
    for doing in doings {
        assert!(doing.batch().rows().len() > 2, "{}", doing.name);
        assert_ne!(doing.before, doing.after(), "{}", doing.name);
    }
}
