//! `camp join` as it is run: the joined book is whole or not there, the same in any order, and nothing of a damaged file is in it.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use hingeline::exchange::archive;
use hingeline::exchange::book::{self, Written};
use hingeline::notebook::join::{Incoming, plan};
use hingeline::notebook::{
    Act, Body, Entry, Ledger, Photo, Reading, RecordId, Shot, Stamp, Station, photos,
};
use serde_json::Value;

use crate::run::{self, Run, run_in};

#[path = "../../src/bin/workbench/trial/tablets/mod.rs"]
#[allow(
    dead_code,
    reason = "here the tablets do not hear of each other by themselves"
)]
mod tablets;

use tablets::Camp;

fn folder(name: &str) -> PathBuf {
    run::folder(&format!("join-{name}"))
}

fn camp(folder: &Path, args: &[&str]) -> Run {
    run_in(folder, "join", args)
}

fn written(by: &str) -> Written {
    Written {
        at: "2026-06-15T20:10:00+02:00".to_owned(),
        by: by.to_owned(),
        device: format!("tablet of {by}"),
    }
}

/// The books of a camp by lot, each in a file.
fn books(folder: &Path, seed: u64, count: usize, steps: usize) -> Vec<Ledger> {
    let mut camp = Camp::new(seed, count);
    camp.run(steps);
    let ledgers = camp.tablets.into_iter().map(|tablet| tablet.ledger);
    let ledgers: Vec<Ledger> = ledgers.collect();
    for (i, ledger) in ledgers.iter().enumerate() {
        let text = book::write(ledger.iter(), &written(&format!("P{i}")));
        fs::write(folder.join(format!("{i}.json")), text).expect("written");
    }
    ledgers
}

fn union(ledgers: &[Ledger]) -> Ledger {
    let all = ledgers.iter().flat_map(Ledger::iter);
    all.cloned().collect()
}

fn only_these(folder: &Path, wanted: &[&str]) {
    let mut names: Vec<String> = fs::read_dir(folder)
        .expect("a folder")
        .map(|entry| {
            entry
                .expect("an entry")
                .file_name()
                .to_string_lossy()
                .into_owned()
        })
        .collect();
    names.sort();
    assert_eq!(names, wanted, "nothing else is left behind");
}

#[test]
fn the_joined_book_is_the_union_and_the_same_bytes_in_any_order() {
    for seed in 0..6 {
        let folder = folder(&format!("union-{seed}"));
        let ledgers = books(&folder, seed, 3, 80);
        let run = camp(&folder, &["0.json", "1.json", "2.json", "-o", "c.json"]);
        assert!(run.code < 2, "{}{}", run.out, run.err);
        let joined = fs::read_to_string(folder.join("c.json")).expect("written");
        let all = union(&ledgers);
        // What stands in it is what the library writes of the union.
        let file = book::read(&joined).expect("a whole book");
        assert_eq!(joined, book::write(all.iter(), &file.written));
        assert_eq!(file.written.by, "P0 + P1 + P2");
        // In another order, grouped, and twice.
        camp(
            &folder,
            &["2.json", "0.json", "1.json", "0.json", "-o", "d.json"],
        );
        camp(&folder, &["2.json", "1.json", "-o", "e.json"]);
        camp(&folder, &["e.json", "0.json", "-o", "f.json"]);
        for name in ["d.json", "f.json"] {
            let other = fs::read_to_string(folder.join(name)).expect("written");
            assert!(other == joined, "{name} differs for seed {seed}");
        }
    }
}

#[test]
fn what_it_says_is_what_the_library_plans() {
    for seed in 20..26 {
        let folder = folder(&format!("plan-{seed}"));
        let ledgers = books(&folder, seed, 4, 120);
        let run = camp(
            &folder,
            &["--format", "json", "0.json", "1.json", "2.json", "3.json"],
        );
        let lines = run.json();
        assert_eq!(lines.len(), 5);
        only_these(&folder, &["0.json", "1.json", "2.json", "3.json"]);
        let files: Vec<Vec<Entry>> = ledgers
            .iter()
            .map(|l| l.iter().cloned().collect())
            .collect();
        let incoming: Vec<Incoming<'_>> = files
            .iter()
            .map(|entries| Incoming {
                beyond: &[],
                by: "",
                device: "",
                at: "",
                entries,
            })
            .collect();
        let planned = plan(&Ledger::new(), &incoming);
        let mut before = Ledger::new();
        for (i, line) in lines[..4].iter().enumerate() {
            assert_eq!(line["file"], format!("{i}.json"));
            let source = &planned.sources[i];
            assert_eq!(line["entries"], source.entries);
            let new = before.join(files[i].iter().cloned()).len();
            assert_eq!(
                (line["new"].as_u64(), line["damaged"].is_null()),
                (Some(new as u64), true)
            );
            assert_eq!(line["people"], serde_json::json!(source.people));
            assert_eq!(line["devices"], serde_json::json!(source.devices));
        }
        let found = &lines[4];
        assert!(found["joined"].is_null());
        assert_eq!(found["entries"], planned.new.len());
        assert_eq!(found["merged"], planned.merged.len());
        let contested: Vec<&str> = found["contested"]
            .as_array()
            .expect("a list")
            .iter()
            .map(|c| c["record"].as_str().expect("a name"))
            .collect();
        let expected: Vec<&str> = planned.contested.iter().map(RecordId::as_str).collect();
        assert_eq!(contested, expected, "seed {seed}");
        let clones: Vec<(&str, u64)> = found["clones"]
            .as_array()
            .expect("a list")
            .iter()
            .map(|c| {
                (
                    c["device"].as_str().expect("a name"),
                    c["shared"].as_u64().expect("a count"),
                )
            })
            .collect();
        let expected: Vec<(&str, u64)> = planned
            .clones
            .iter()
            .map(|c| (c.device.as_str(), c.shared as u64))
            .collect();
        assert_eq!(clones, expected, "seed {seed}");
        let clocks: Vec<&str> = found["clocks"]
            .as_array()
            .expect("a list")
            .iter()
            .map(|c| c["words"].as_str().expect("words"))
            .collect();
        let expected: Vec<String> = planned.clocks.iter().map(|c| c.words()).collect();
        assert_eq!(clocks, expected, "seed {seed}");
        let twins: Vec<&str> = found["twins"]
            .as_array()
            .expect("a list")
            .iter()
            .map(|t| t["words"].as_str().expect("words"))
            .collect();
        let expected: Vec<String> = planned.twins.iter().map(|t| t.in_full()).collect();
        assert_eq!(twins, expected, "seed {seed}");
        let same: Vec<&str> = found["namesakes"]
            .as_array()
            .expect("a list")
            .iter()
            .map(|same| same["words"].as_str().expect("words"))
            .collect();
        let expected: Vec<String> = planned.namesakes.iter().map(|s| s.in_full()).collect();
        assert_eq!(same, expected, "seed {seed}");
        assert_eq!(
            found["orphans"].as_array().map(Vec::len),
            Some(planned.orphans.len())
        );
        for kind in ["station", "reading", "sighting", "set-up"] {
            let counts = match kind {
                "station" => planned.records.stations,
                "reading" => planned.records.readings,
                "sighting" => planned.records.sightings,
                _ => planned.records.set_ups,
            };
            // A record that only a strike-out names is of no kind here and there.
            assert_eq!(found["records"][kind], counts.new, "{kind}, seed {seed}");
        }
        let doubted = planned.contested.len()
            + planned.clones.len()
            + planned.clocks.len()
            + planned.twins.len()
            + planned.namesakes.len()
            + planned.orphans.len();
        assert_eq!(run.code, i32::from(doubted > 0));
    }
}

#[test]
fn versions_of_one_field_are_told_with_who() {
    let folder = folder("told");
    let stamp = |device: &str, counter| Stamp {
        by: device.to_uppercase(),
        device: device.to_owned(),
        counter,
        at: "2026-06-14T09:00:00+02:00".to_owned(),
    };
    let station = Entry::new(
        "station".into(),
        [],
        stamp("a", 1),
        Act::Write,
        None,
        Some(Body::Station(Station {
            number: 47,
            ..Station::default()
        })),
    );
    let reading = |dip: &str| {
        Some(Body::Reading(Reading {
            station: "station".to_owned(),
            number: 3,
            kind: "bedding".to_owned(),
            shots: vec![Shot {
                strike: Some("062".to_owned()),
                dip: Some(dip.to_owned()),
                ..Shot::default()
            }],
            ..Reading::default()
        }))
    };
    let first = Entry::new(
        "r".into(),
        [],
        stamp("a", 2),
        Act::Write,
        None,
        reading("36"),
    );
    let ours = Entry::new(
        "r".into(),
        [first.id()],
        stamp("a", 3),
        Act::Correct,
        None,
        reading("38"),
    );
    let theirs = Entry::new(
        "r".into(),
        [first.id()],
        stamp("b", 1),
        Act::Correct,
        None,
        reading("83"),
    );
    let write = |name: &str, entries: &[&Entry]| {
        let text = book::write(entries.iter().copied(), &written("A"));
        fs::write(folder.join(name), text).expect("written");
    };
    write("a.json", &[&station, &first, &ours]);
    write("b.json", &[&station, &first, &theirs]);
    let run = camp(&folder, &["a.json", "b.json", "-o", "c.json"]);
    assert_eq!((run.code, run.err.as_str()), (1, ""));
    assert!(run.out.contains("a.json: 3 entries by A on 1 tablet, written 2026-06-15T20:10:00+02:00 by A: 3 new, 0 the same"), "{}", run.out);
    assert!(
        run.out
            .contains("b.json: 3 entries by A and B on 2 tablets"),
        "{}",
        run.out
    );
    assert!(run.out.contains("1 new, 2 the same"), "{}", run.out);
    assert!(
        run.out
            .contains("together: 4 entries: 1 station, 1 reading"),
        "{}",
        run.out
    );
    let told = run
        .out
        .lines()
        .find(|line| line.starts_with("  47.3: dip of shot 1: "))
        .expect("told");
    assert!(
        told.contains("38 by A") && told.contains("83 by B"),
        "{told}"
    );
    assert!(run.out.contains("written: c.json, "), "{}", run.out);
}

/// An entry of a tablet whose person has its name as initials.
fn entry(device: &str, counter: u64, on: &[&Entry], record: &str, body: Option<Body>) -> Entry {
    let stamp = Stamp {
        by: device.to_uppercase(),
        device: device.to_owned(),
        counter,
        at: "2026-06-14T09:05:00+02:00".to_owned(),
    };
    let act = match (&body, on) {
        (None, _) => Act::StrikeOut,
        (_, []) => Act::Write,
        _ => Act::Correct,
    };
    let on = on.iter().map(|entry| entry.id());
    Entry::new(record.into(), on, stamp, act, None, body)
}

fn station_47() -> Option<Body> {
    Some(Body::Station(Station {
        number: 47,
        ..Station::default()
    }))
}

fn reading_of(number: u32, kind: &str) -> Option<Body> {
    Some(Body::Reading(Reading {
        station: "station".to_owned(),
        number,
        kind: kind.to_owned(),
        ..Reading::default()
    }))
}

fn photo_of(number: u32, note: &str) -> Option<Body> {
    Some(Body::Photo(Photo {
        station: "station".to_owned(),
        number,
        note: note.to_owned(),
        ..Photo::default()
    }))
}

/// Two people add the next reading and the next photo to one book: each number stands twice, and that is said.
#[test]
fn readings_and_photos_with_one_number_are_told_and_checked() {
    let folder = folder("namesakes");
    let trunk = [
        entry("k", 1, &[], "station", station_47()),
        entry("k", 2, &[], "r1", reading_of(1, "bedding")),
    ];
    for (device, kind) in [("a", "bedding"), ("b", "joint")] {
        let reading = entry(device, 1, &[], &format!("{device}-r"), reading_of(2, kind));
        let photo = entry(device, 2, &[], &format!("{device}-p"), photo_of(1, kind));
        let struck = entry(device, 3, &[], &format!("{device}-s"), reading_of(3, kind));
        let strikes = entry(device, 4, &[&struck], &format!("{device}-s"), None);
        let own = [reading, photo, struck, strikes];
        let text = book::write(trunk.iter().chain(&own), &written(device));
        fs::write(folder.join(format!("{device}.json")), text).expect("written");
    }
    let run = camp(&folder, &["b.json", "a.json", "-o", "c.json"]);
    assert_eq!((run.code, run.err.as_str()), (1, ""), "{}", run.out);
    for line in [
        "two readings of station 47 are numbered 2: bedding by A on 2026-06-14 at 09:05, joint by B on 2026-06-14 at 09:05; each but the first can have the next free one",
        "two photos of station 47 are numbered 1: `bedding` by A on 2026-06-14 at 09:05, `joint` by B on 2026-06-14 at 09:05; each but the first can have the next free one",
    ] {
        assert!(
            run.out.lines().any(|told| told == line),
            "{line}: {}",
            run.out
        );
    }
    assert!(!run.out.contains("numbered 3"), "{}", run.out);
    let json = camp(&folder, &["--format", "json", "a.json", "b.json"]);
    let found = json.json().pop().expect("the join");
    let same = &found["namesakes"];
    assert_eq!(same.as_array().map(Vec::len), Some(2));
    assert_eq!(
        (&same[0]["name"], &same[0]["kind"], &same[0]["number"]),
        (
            &Value::from("47.2"),
            &Value::from("reading"),
            &Value::from(2)
        )
    );
    assert_eq!(same[1]["name"], "photo 47·P1");
    assert_eq!(same[0]["records"][1]["record"], "b-r");
    assert_eq!(same[0]["records"][1]["device"], "b");
    let checked = run_in(&folder, "check", &["c.json"]);
    assert_eq!(checked.code, 1, "{}", checked.out);
    for line in [
        "  doubt  number-twice: two readings of station 47 are numbered 2: bedding by A on",
        "  doubt  number-twice: two photos of station 47 are numbered 1: `bedding` by A on",
    ] {
        assert!(checked.out.contains(line), "{line}: {}", checked.out);
    }
    let lines: Vec<&str> = checked.out.lines().collect();
    assert!(
        lines.contains(&"47.2") && lines.contains(&"photo 47·P1"),
        "{lines:?}"
    );
}

/// What waits is told by its kind and its number, a photo too, and a record of which two people made different things.
#[test]
fn what_is_to_be_settled_is_told_by_its_kind_and_number() {
    let folder = folder("kinds");
    let station = entry("k", 1, &[], "station", station_47());
    let photo = entry("k", 2, &[], "p", photo_of(1, ""));
    let ours = [
        entry("a", 1, &[&photo], "p", photo_of(1, "the hinge")),
        entry("a", 2, &[], "x", reading_of(5, "bedding")),
    ];
    let theirs = [
        entry("b", 1, &[&photo], "p", None),
        entry("b", 2, &[], "x", photo_of(6, "")),
    ];
    for (name, own) in [("a", ours), ("b", theirs)] {
        let text = book::write([&station, &photo].into_iter().chain(&own), &written(name));
        fs::write(folder.join(format!("{name}.json")), text).expect("written");
    }
    let run = camp(&folder, &["a.json", "b.json", "-o", "c.json"]);
    let told: Vec<&str> = run
        .out
        .lines()
        .filter(|line| line.starts_with("  "))
        .collect();
    assert_eq!(told.len(), 2, "{}", run.out);
    assert!(told[0].starts_with("  photo 47·P1: "), "{told:?}");
    assert!(
        told[1].starts_with("  47.5: kind of record: ")
            || told[1].starts_with("  photo 47·P6: kind of record: "),
        "{told:?}"
    );
    // The check names it too.
    let checked = run_in(&folder, "check", &["c.json"]);
    let lines: Vec<&str> = checked.out.lines().collect();
    assert!(lines.contains(&"photo 47·P1"), "{lines:?}");
}

#[test]
fn a_damaged_file_stops_the_join_and_nothing_of_it_is_taken() {
    let folder = folder("damaged");
    let ledgers = books(&folder, 7, 3, 60);
    let text = fs::read_to_string(folder.join("1.json")).expect("written");
    let line = text.lines().nth(6).expect("an entry");
    let altered = text.replacen(line, &line.replacen("\"by\":\"P", "\"by\":\"Q", 1), 1);
    assert_ne!(altered, text);
    fs::write(folder.join("altered.json"), altered).expect("written");
    fs::write(folder.join("cut.json"), &text[..text.len() / 2]).expect("written");
    for name in ["altered.json", "cut.json"] {
        let run = camp(&folder, &["0.json", name, "2.json", "-o", "c.json"]);
        assert_eq!(run.code, 2);
        assert!(
            run.out
                .contains(&format!("{name}: nothing of it is taken: ")),
            "{}",
            run.out
        );
        assert!(run.out.contains("line "), "{}", run.out);
        assert!(run.err.contains("--leave-out-damaged"), "{}", run.err);
        assert!(!folder.join("c.json").exists());
    }
    let run = camp(
        &folder,
        &[
            "0.json",
            "altered.json",
            "cut.json",
            "2.json",
            "nowhere.json",
            "--leave-out-damaged",
            "-o",
            "c.json",
        ],
    );
    assert_eq!(run.code, 1, "{}{}", run.out, run.err);
    assert!(
        run.out
            .contains("nowhere.json: nothing of it is taken: it could not be opened"),
        "{}",
        run.out
    );
    let joined =
        book::read(&fs::read_to_string(folder.join("c.json")).expect("written")).expect("whole");
    let sound: Ledger = [&ledgers[0], &ledgers[2]]
        .into_iter()
        .flat_map(Ledger::iter)
        .cloned()
        .collect();
    let taken: Ledger = joined.entries.into_iter().collect();
    assert_eq!(taken, sound);
    only_these(
        &folder,
        &[
            "0.json",
            "1.json",
            "2.json",
            "altered.json",
            "c.json",
            "cut.json",
        ],
    );
}

#[test]
fn an_entry_of_a_damaged_file_that_another_holds_is_kept() {
    let folder = folder("damaged-first");
    let ledgers = books(&folder, 9, 2, 60);
    let all = union(&ledgers);
    let text = book::write(all.iter(), &written("P"));
    // Damaged only at its end, after all that the others hold too.
    fs::write(folder.join("cut.json"), &text[..text.len() - 20]).expect("written");
    let run = camp(
        &folder,
        &[
            "cut.json",
            "0.json",
            "1.json",
            "--leave-out-damaged",
            "-o",
            "c.json",
        ],
    );
    assert_eq!(run.code, 1);
    let joined =
        book::read(&fs::read_to_string(folder.join("c.json")).expect("written")).expect("whole");
    assert_eq!(joined.entries.into_iter().collect::<Ledger>(), all);
}

#[test]
fn what_is_there_is_not_written_over_unasked() {
    let folder = folder("there");
    books(&folder, 1, 2, 40);
    fs::write(folder.join("c.json"), "mine").expect("written");
    let run = camp(&folder, &["0.json", "1.json", "-o", "c.json"]);
    assert_eq!(run.code, 2);
    assert!(
        run.err.contains("c.json is there already") && run.err.contains("--force"),
        "{}",
        run.err
    );
    assert_eq!(
        fs::read_to_string(folder.join("c.json")).expect("there"),
        "mine"
    );
    assert!(camp(&folder, &["0.json", "1.json", "-o", "c.json", "--force"]).code < 2);
    assert!(book::read(&fs::read_to_string(folder.join("c.json")).expect("there")).is_ok());
    // Onto one of the books themselves: it is read while the new one is written beside it.
    let joined = fs::read_to_string(folder.join("c.json")).expect("there");
    assert!(camp(&folder, &["0.json", "1.json", "-o", "0.json", "--force"]).code < 2);
    assert!(fs::read_to_string(folder.join("0.json")).expect("there") == joined);
    let run = camp(&folder, &["0.json", "-o", "no/such/folder/c.json"]);
    assert_eq!(run.code, 2);
    assert!(
        run.err.contains("nothing was written") && run.err.contains("no/such/folder"),
        "{}",
        run.err
    );
    only_these(&folder, &["0.json", "1.json", "c.json"]);
}

#[test]
fn a_book_in_an_order_of_its_own_and_a_frozen_one_are_joined_too() {
    let folder = folder("orders");
    let ledgers = books(&folder, 4, 2, 40);
    let text = fs::read_to_string(folder.join("1.json")).expect("written");
    let value: Value = serde_json::from_str(&text).expect("JSON");
    let keys = ["entries", "count", "digest", "written", "version", "format"];
    let members: Vec<String> = keys
        .iter()
        .map(|key| format!("\"{key}\": {}", value[*key]))
        .collect();
    fs::write(
        folder.join("1.json"),
        format!("{{{}}}", members.join(",\n")),
    )
    .expect("written");
    let frozen = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/books/v1.json");
    fs::copy(&frozen, folder.join("frozen.json")).expect("copied");
    let run = camp(
        &folder,
        &["1.json", "frozen.json", "0.json", "-o", "c.json"],
    );
    assert!(run.code < 2, "{}{}", run.out, run.err);
    let joined =
        book::read(&fs::read_to_string(folder.join("c.json")).expect("written")).expect("whole");
    let old = book::read(&fs::read_to_string(frozen).expect("there")).expect("whole");
    let mut all = union(&ledgers);
    all.extend(old.entries);
    assert_eq!(joined.entries.into_iter().collect::<Ledger>(), all);
}

#[test]
fn photos_are_joined_into_one_archive() {
    let folder = folder("photos");
    let pictures: [&[u8]; 3] = [b"one", b"two", b"three"];
    let book_with = |name: &str, by: &str, which: &[usize]| {
        let mut entries = Vec::new();
        for (i, &picture) in which.iter().enumerate() {
            let photo = Photo {
                station: "station".to_owned(),
                number: u32::try_from(i).expect("small") + 1,
                sha256: photos::sha256(pictures[picture]),
                media: "image/jpeg".to_owned(),
                bytes: u32::try_from(pictures[picture].len()).expect("small"),
                ..Photo::default()
            };
            entries.push(Entry::new(
                format!("photo-{by}-{i}").into(),
                [],
                Stamp {
                    by: by.to_owned(),
                    device: by.to_owned(),
                    counter: i as u64 + 1,
                    at: String::new(),
                },
                Act::Write,
                None,
                Some(Body::Photo(photo)),
            ));
        }
        let text = book::write(&entries, &written(by));
        let carried: Vec<(String, &[u8])> = which
            .iter()
            .map(|&p| (photos::sha256(pictures[p]), pictures[p]))
            .collect();
        let bytes = archive::write(&text, carried.iter().map(|(s, b)| (s.as_str(), *b)))
            .expect("an archive");
        fs::write(folder.join(name), bytes).expect("written");
    };
    book_with("a.zip", "A", &[0, 1]);
    book_with("b.zip", "B", &[1, 2]);
    let run = camp(&folder, &["a.zip", "b.zip", "-o", "c.json"]);
    assert_eq!(run.code, 2);
    assert!(
        run.err.contains("3 photos") && run.err.contains(".zip"),
        "{}",
        run.err
    );
    let run = camp(&folder, &["a.zip", "b.zip", "-o", "c.zip"]);
    assert_eq!((run.code, run.err.as_str()), (0, ""), "{}", run.out);
    let joined =
        archive::read_any(&fs::read(folder.join("c.zip")).expect("written")).expect("an archive");
    assert_eq!(joined.book.entries.len(), 4);
    assert_eq!(joined.photos.len(), 3);
    assert!(joined.missing.is_empty() && joined.altered.is_empty() && joined.unknown.is_empty());
    // The other way round: the same bytes.
    camp(&folder, &["b.zip", "a.zip", "-o", "d.zip"]);
    assert!(
        fs::read(folder.join("c.zip")).expect("there")
            == fs::read(folder.join("d.zip")).expect("there")
    );
    let run = camp(
        &folder,
        &["a.zip", "b.zip", "--without-photos", "-o", "e.json"],
    );
    assert_eq!(run.code, 0, "{}{}", run.out, run.err);
    assert!(book::read(&fs::read_to_string(folder.join("e.json")).expect("written")).is_ok());
    only_these(&folder, &["a.zip", "b.zip", "c.zip", "d.zip", "e.json"]);
}

/// Tablets that count from 1 each share every number: one line a number, with every station of it; and an entry whose predecessor
/// is elsewhere says whose it is.
#[test]
fn what_is_doubted_of_stations_and_entries_says_whose_they_are() {
    let folder = folder("whose");
    for by in ["a", "b", "c"] {
        let station = |number: u32, note: &str| {
            Some(Body::Station(Station {
                number,
                name: format!("beck {by}{number}"),
                at: "2026-06-14T09:00:00+02:00".to_owned(),
                note: note.to_owned(),
                ..Station::default()
            }))
        };
        let stamp = |counter| Stamp {
            by: by.to_uppercase(),
            device: format!("tablet-{by}"),
            counter,
            at: "2026-06-14T09:00:00+02:00".to_owned(),
        };
        let entries: Vec<Entry> = (1..=30)
            .map(|number| {
                let record = format!("{by}-{number}").into();
                let body = station(number, "");
                Entry::new(record, [], stamp(number.into()), Act::Write, None, body)
            })
            .collect();
        let gone = Entry::new("b-7".into(), [], stamp(99), Act::Write, None, None);
        let body = station(7, "corrected");
        let follows = Entry::new(
            "b-7".into(),
            [gone.id()],
            stamp(100),
            Act::Correct,
            None,
            body,
        );
        let mut all: Vec<&Entry> = entries.iter().collect();
        if by == "b" {
            all.retain(|entry| entry.record().as_str() != "b-7");
            all.push(&follows);
        }
        let text = book::write(all, &written(by));
        fs::write(folder.join(format!("{by}.json")), text).expect("written");
    }
    let run = camp(&folder, &["a.json", "b.json", "c.json"]);
    assert_eq!((run.code, run.err.as_str()), (1, ""), "{}", run.out);
    let numbered = run
        .out
        .lines()
        .filter(|line| line.contains(" are numbered "));
    assert_eq!(numbered.count(), 20, "{}", run.out);
    for wanted in [
        "3 stations are numbered 4: `beck a4` by A on 2026-06-14, `beck b4` by B on 2026-06-14, `beck c4` by C on 2026-06-14; each but",
        "and 10 more like these; --format json gives all",
        "1 entry takes the place of one that no file has; join the book that holds it",
        "  station 7 by B on 2026-06-14: entry ",
    ] {
        assert!(run.out.contains(wanted), "{wanted}: {}", run.out);
    }
    let run = camp(&folder, &["--format", "json", "a.json", "b.json", "c.json"]);
    let found = run.json().pop().expect("the join");
    assert_eq!(found["twins"].as_array().map(Vec::len), Some(60));
    let one = &found["twins"][0]["stations"][1];
    assert_eq!(
        (&one["name"], &one["device"]),
        (&Value::from("beck b1"), &Value::from("tablet-b"))
    );
    let orphan = &found["orphans"][0];
    assert_eq!(
        (&orphan["record"], &orphan["name"], &orphan["by"]),
        (
            &Value::from("b-7"),
            &Value::from("station 7"),
            &Value::from("B")
        )
    );
}

/// A book of a station with a photo, which names and carries these bytes; and a file beside it.
fn with_a_photo(name: &str, picture: &[u8], carried: &[u8], more: &[(&str, &[u8])]) -> Vec<u8> {
    let photo = Photo {
        station: "station".to_owned(),
        number: 1,
        sha256: photos::sha256(picture),
        media: "image/jpeg".to_owned(),
        ..Photo::default()
    };
    let stamp = Stamp {
        by: "A".to_owned(),
        device: name.to_owned(),
        counter: 1,
        at: String::new(),
    };
    let record = format!("photo-{name}").into();
    let entry = Entry::new(
        record,
        [],
        stamp,
        Act::Write,
        None,
        Some(Body::Photo(photo)),
    );
    let text = book::write([&entry], &written("A"));
    let photo = archive::photo_path(&photos::sha256(picture));
    let mut stored = archive::Stored::new();
    let mut bytes = Vec::new();
    let files = [(archive::BOOK, text.as_bytes()), (photo.as_str(), carried)];
    for (path, content) in files.iter().chain(more) {
        bytes.extend(stored.head(path, content).expect("small"));
        bytes.extend(*content);
    }
    bytes.extend(stored.end().expect("small"));
    bytes
}

/// A photo that was altered, or that no file brings, is something to look at; a file of which something is left out is not written over.
#[test]
fn a_photo_that_is_left_out_is_something_to_look_at() {
    let folder = folder("left-out");
    let there = |name: &str| fs::read(folder.join(name)).expect("there");
    let altered = with_a_photo("a", b"picture", b"pickure", &[]);
    let more = with_a_photo("b", b"another", b"another", &[("notes.txt", b"mine")]);
    fs::write(folder.join("altered.zip"), &altered).expect("written");
    fs::write(folder.join("more.zip"), &more).expect("written");
    for args in [
        ["altered.zip", "-o", "x.json"].as_slice(),
        &["altered.zip", "more.zip", "-o", "x.zip"],
        &[
            "altered.zip",
            "more.zip",
            "-o",
            "y.json",
            "--without-photos",
        ],
    ] {
        let run = camp(&folder, args);
        assert_eq!(
            (run.code, run.err.as_str()),
            (1, ""),
            "{args:?}: {}",
            run.out
        );
        assert!(run.out.contains("(its bytes were changed)"), "{}", run.out);
        let absent = run.out.contains(
            "1 photo that the books name came with no file as it was written: ?·P1; join",
        );
        assert_eq!(absent, !args.contains(&"--without-photos"), "{}", run.out);
    }
    for name in ["altered.zip", "more.zip"] {
        let before = there(name);
        let run = camp(&folder, &[name, "-o", name, "--force"]);
        assert_eq!(run.code, 2, "{}", run.out);
        assert!(
            run.err.contains("what is left out of it would be lost"),
            "{}",
            run.err
        );
        assert!(there(name) == before, "{name} was written over");
    }
    // The photo itself, from elsewhere: nothing is absent, and the altered one still to be looked at.
    fs::write(
        folder.join("sound.zip"),
        with_a_photo("a", b"picture", b"picture", &[]),
    )
    .expect("written");
    let run = camp(&folder, &["altered.zip", "sound.zip", "-o", "z.zip"]);
    assert_eq!(run.code, 1, "{}", run.err);
    assert!(!run.out.contains("came with no file"), "{}", run.out);
    assert_eq!(
        archive::read_any(&there("z.zip"))
            .expect("whole")
            .photos
            .len(),
        1
    );
    let last = camp(&folder, &["altered.zip", "--format", "json"])
        .json()
        .pop()
        .expect("the join");
    assert_eq!(last["absent"], serde_json::json!(["?·P1"]));
    only_these(
        &folder,
        &[
            "altered.zip",
            "more.zip",
            "sound.zip",
            "x.json",
            "x.zip",
            "y.json",
            "z.zip",
        ],
    );
}

/// What stands at the top of a book and this version does not know is not in a joined book.
#[test]
fn a_book_that_says_more_is_not_written_over() {
    let folder = folder("says-more");
    books(&folder, 3, 1, 20);
    let text = fs::read_to_string(folder.join("0.json")).expect("written");
    let value: Value = serde_json::from_str(&text).expect("JSON");
    let more = text.replacen("\"count\":", "\"later\":7,\"count\":", 1);
    fs::write(folder.join("0.json"), &more).expect("written");
    let stated = camp(&folder, &["0.json"]);
    assert!(
        stated.out.contains("digest"),
        "the digest is of all of it: {}",
        stated.out
    );
    let sound = {
        use sha2::Digest;
        let ids = value["entries"].as_array().expect("a list").iter();
        let ids: Vec<String> = ids.map(|entry| entry["id"].to_string()).collect();
        let text = format!(
            "{{\"count\":{},\"entries\":[{}],\"format\":\"hingeline-book\",\"later\":7,\"version\":2,\"written\":{}}}",
            value["count"],
            ids.join(","),
            value["written"]
        );
        let digest = sha2::Sha256::digest(text.as_bytes());
        let digits: String = digest.iter().map(|byte| format!("{byte:02x}")).collect();
        more.replace(
            value["digest"].as_str().expect("text"),
            &format!("sha256:{digits}"),
        )
    };
    fs::write(folder.join("0.json"), &sound).expect("written");
    let run = camp(&folder, &["0.json", "-o", "0.json", "--force"]);
    assert_eq!(run.code, 2, "{}", run.out);
    assert!(
        run.out.contains("`later` beside its entries is not known"),
        "{}",
        run.out
    );
    assert!(
        run.err.contains("what is left out of it would be lost"),
        "{}",
        run.err
    );
    assert_eq!(
        fs::read_to_string(folder.join("0.json")).expect("there"),
        sound
    );
}

#[test]
fn with_every_file_damaged_nothing_is_written() {
    let folder = folder("all-damaged");
    books(&folder, 7, 1, 40);
    let text = fs::read_to_string(folder.join("0.json")).expect("written");
    fs::write(folder.join("0.json"), &text[..text.len() / 2]).expect("written");
    for (args, wanted) in [
        (
            ["0.json", "--leave-out-damaged"].as_slice(),
            "copy the damaged files again; none is left to be joined",
        ),
        (&["0.json", "0.json"], "copy the damaged files again\n"),
        (
            &["0.json", "gone.json"],
            "see above what is wrong with each file\n",
        ),
    ] {
        let run = camp(&folder, &[args, &["-o", "c.json"]].concat());
        assert_eq!(run.code, 2, "{args:?}: {}", run.out);
        assert!(run.err.contains(wanted), "{args:?}: {}", run.err);
    }
    only_these(&folder, &["0.json"]);
}

/// The answer comes after the book: where it cannot be given, that the book is there is said all the same.
#[cfg(target_os = "linux")]
#[test]
fn an_answer_that_cannot_be_written_does_not_deny_the_book() {
    let folder = folder("full");
    books(&folder, 5, 1, 40);
    for (output, wanted) in [
        (["-o", "c.json"].as_slice(), "c.json was written, whole, "),
        (&[], "the answer could not be written: "),
    ] {
        let full = fs::OpenOptions::new().write(true).open("/dev/full");
        let mut command = run::camp();
        command
            .args(["join", "0.json"])
            .args(output)
            .current_dir(&folder);
        let output = command
            .stdout(full.expect("a full disk"))
            .output()
            .expect("it starts");
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(2), "{said}");
        assert!(
            said.starts_with(wanted) && !said.contains("nothing was written"),
            "{said}"
        );
    }
    assert!(book::read(&fs::read_to_string(folder.join("c.json")).expect("written")).is_ok());
}

/// Only a file is written over, and through a link the file that it leads to.
#[cfg(unix)]
#[test]
fn what_is_no_file_is_not_written_over() {
    let folder = folder("no-file");
    books(&folder, 5, 1, 40);
    fs::create_dir(folder.join("monday")).expect("made");
    let made = Command::new("mkfifo").arg(folder.join("pipe")).status();
    assert!(made.expect("mkfifo").success());
    let link = |to: &str, name: &str| {
        std::os::unix::fs::symlink(to, folder.join(name)).expect("linked");
    };
    link("pipe", "to-pipe");
    link("gone.json", "to-nothing");
    link("real.json", "to-real");
    fs::write(folder.join("real.json"), "mine").expect("written");
    for (output, wanted) in [
        (
            "pipe",
            "this is no file but a device or a pipe; name a file",
        ),
        (
            "to-pipe",
            "this is no file but a device or a pipe; name a file",
        ),
        ("to-nothing", "this is a link to a file that is not there"),
        ("monday", "this is a folder; name a file in it"),
        ("-", "a book is not written to standard output; name a file"),
    ] {
        for force in [&["--force"][..], &[]] {
            let run = camp(&folder, &[&["0.json", "-o", output], force].concat());
            assert_eq!(run.code, 2, "{output}: {}", run.out);
            assert!(run.err.contains(wanted), "{output}: {}", run.err);
        }
    }
    assert_eq!(camp(&folder, &["0.json", "-o", "to-real"]).code, 2);
    let run = camp(&folder, &["0.json", "-o", "to-real", "--force"]);
    assert!(
        run.code < 2 && run.out.contains("written: to-real, "),
        "{}",
        run.out
    );
    assert!(book::read(&fs::read_to_string(folder.join("real.json")).expect("there")).is_ok());
    assert!(
        fs::symlink_metadata(folder.join("to-real"))
            .expect("there")
            .is_symlink()
    );
    only_these(
        &folder,
        &[
            "0.json",
            "monday",
            "pipe",
            "real.json",
            "to-nothing",
            "to-pipe",
            "to-real",
        ],
    );
}

/// What comes through a pipe comes once, and is joined and examined all the same.
#[cfg(unix)]
#[test]
fn a_book_through_a_pipe_is_read() {
    let folder = folder("pipes");
    books(&folder, 5, 1, 40);
    let made = Command::new("mkfifo").arg(folder.join("pipe")).status();
    assert!(made.expect("mkfifo").success());
    let zip = with_a_photo("a", b"picture", b"picture", &[]);
    fs::write(folder.join("a.zip"), zip).expect("written");
    for (from, command, args) in [
        ("0.json", "join", ["pipe", "-o", "c.json"]),
        ("a.zip", "join", ["pipe", "-o", "c.zip"]),
        ("0.json", "doctor", ["pipe", "--save-sound", "d.json"]),
    ] {
        let giver = Command::new("sh")
            .args(["-c", &format!("cat {from} > pipe")])
            .current_dir(&folder)
            .spawn();
        let run = run_in(&folder, command, &args);
        assert!(run.code < 2, "{command}: {}{}", run.out, run.err);
        assert!(giver.expect("a shell").wait().expect("it ends").success());
    }
    let text = |name: &str| fs::read_to_string(folder.join(name)).expect("written");
    let entries = book::read(&text("0.json")).expect("whole").entries;
    for name in ["c.json", "d.json"] {
        assert_eq!(
            book::read(&text(name)).expect("whole").entries,
            entries,
            "{name}"
        );
    }
}

/// What a run that was killed left half written goes when the same book is written again; what somebody is writing stays.
#[test]
fn what_a_killed_run_left_is_cleared_away() {
    let folder = folder("killed");
    books(&folder, 5, 1, 40);
    for name in [
        ".c.json.part-4000000001",
        ".c.json.part-4000000002",
        ".c.json.part-mine",
        ".d.json.part-4000000003",
    ] {
        fs::write(folder.join(name), "half").expect("written");
    }
    let busy = fs::File::open(folder.join(".c.json.part-4000000002")).expect("there");
    busy.lock().expect("locked");
    let run = camp(&folder, &["0.json", "-o", "c.json"]);
    assert!(run.code < 2);
    assert!(
        run.err.contains(
            ".c.json.part-4000000001: left half written by an earlier run that was stopped; removed"
        ),
        "{}",
        run.err
    );
    only_these(
        &folder,
        &[
            ".c.json.part-4000000002",
            ".c.json.part-mine",
            ".d.json.part-4000000003",
            "0.json",
            "c.json",
        ],
    );
}

#[test]
fn help_teaches_with_examples() {
    let run = camp(Path::new("."), &["--help"]);
    assert_eq!(run.code, 0);
    for wanted in [
        "camp join monday/*.json -o camp.json",
        "Exit code:",
        "--leave-out-damaged",
        "\"contested\"",
    ] {
        assert!(run.out.contains(wanted), "{wanted}");
    }
}

/// The same of photos: one at a time, and the scratch file is not needed for any.
#[cfg(target_os = "linux")]
#[test]
fn a_join_and_the_doctor_hold_one_photo_at_a_time() {
    let folder = folder("memory-photos");
    // Twenty photos of 1 MB each, and no more than an eighth of it for the process's data.
    let pictures: Vec<Vec<u8>> = (0..20_u8).map(|n| vec![n; 1 << 20]).collect();
    let entries = pictures.iter().zip(1..).map(|(picture, number)| {
        let photo = Photo {
            number,
            sha256: photos::sha256(picture),
            media: "image/jpeg".to_owned(),
            ..Photo::default()
        };
        let stamp = Stamp {
            counter: u64::from(number),
            ..Stamp::default()
        };
        let record = format!("photo-{number}").into();
        Entry::new(
            record,
            [],
            stamp,
            Act::Write,
            None,
            Some(Body::Photo(photo)),
        )
    });
    let text = book::write(&entries.collect::<Vec<_>>(), &written("A"));
    let names: Vec<String> = pictures
        .iter()
        .map(|picture| photos::sha256(picture))
        .collect();
    let carried = names
        .iter()
        .map(String::as_str)
        .zip(pictures.iter().map(Vec::as_slice));
    let bytes = archive::write(&text, carried).expect("an archive");
    fs::write(folder.join("a.zip"), bytes).expect("written");
    for args in ["join a.zip -o c.zip", "doctor a.zip --save-sound d.zip"] {
        let output = Command::new("sh")
            .arg("-c")
            .arg(format!("ulimit -d 5000 && exec \"$0\" {args}"))
            .arg(env!("CARGO_BIN_EXE_camp"))
            .current_dir(&folder)
            .output()
            .expect("a shell");
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(0), "{args}: {said}");
    }
    for name in ["c.zip", "d.zip"] {
        let read = archive::read_any(&fs::read(folder.join(name)).expect("written"));
        assert_eq!(read.expect("whole").photos.len(), 20);
    }
    let _ = fs::remove_dir_all(&folder);
}

/// What a join holds in memory grows with what it must know of each entry, never with the entries' texts.
#[cfg(target_os = "linux")]
#[test]
fn a_join_holds_no_texts() {
    let folder = folder("memory");
    // Notes as long as a page, so that texts would weigh: 5 MB in each of two books.
    let page = "schist, folded about an axis that plunges gently; ".repeat(240);
    for (name, device) in [("a.json", "a"), ("b.json", "b")] {
        let entries: Vec<Entry> = (0..400_u64)
            .map(|i| {
                let number = u32::try_from(i).expect("few") + 1;
                let station = Station {
                    number: if device == "a" {
                        number
                    } else {
                        number + 10_000
                    },
                    note: page.clone(),
                    ..Station::default()
                };
                let stamp = Stamp {
                    by: "A".to_owned(),
                    device: device.to_owned(),
                    counter: i + 1,
                    at: String::new(),
                };
                Entry::new(
                    format!("{device}{i}").into(),
                    [],
                    stamp,
                    Act::Write,
                    None,
                    Some(Body::Station(station)),
                )
            })
            .collect();
        fs::write(folder.join(name), book::write(&entries, &written("A"))).expect("written");
    }
    // The kernel gives the process no more than this for its data, less than half of the texts.
    let limit_kb = 5_000;
    let output = Command::new("sh")
        .arg("-c")
        .arg(format!(
            "ulimit -d {limit_kb} && exec \"$0\" join a.json b.json -o c.json"
        ))
        .arg(env!("CARGO_BIN_EXE_camp"))
        .current_dir(&folder)
        .output()
        .expect("a shell");
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(
        output.status.code(),
        Some(0),
        "{said}{}",
        String::from_utf8_lossy(&output.stdout)
    );
    assert!(fs::metadata(folder.join("c.json")).expect("written").len() > 9_600_000);
    let _ = fs::remove_dir_all(&folder);
}
