//! `camp doctor` as it is run: every fault of a damaged book is named with entry, record and line, and nothing is mended unasked.

use std::fs;
use std::path::{Path, PathBuf};

use hingeline::exchange::archive;
use hingeline::exchange::book::{self, Written};
use hingeline::notebook::{Act, Body, Entry, Photo, Stamp, Station, photos};
use serde_json::Value;

use crate::run::{self, Run, run_in};

fn folder(name: &str) -> PathBuf {
    run::folder(&format!("doctor-{name}"))
}

fn doctor(folder: &Path, args: &[&str]) -> Run {
    run_in(folder, "doctor", args)
}

fn stamp(counter: u64) -> Stamp {
    Stamp {
        by: "K.O.".to_owned(),
        device: "tablet-a".to_owned(),
        counter,
        at: format!("2026-06-14T09:{:02}:00+02:00", counter % 60),
    }
}

/// Twelve stations, one entry a line from line 2 on, and a correction of the first.
fn entries() -> Vec<Entry> {
    let station = |number: u32| {
        Some(Body::Station(Station {
            number,
            note: "by the beck".to_owned(),
            ..Station::default()
        }))
    };
    let mut entries: Vec<Entry> = (1..=12)
        .map(|i| {
            let record = format!("station-{i}");
            Entry::new(
                record.into(),
                [],
                stamp(u64::from(i)),
                Act::Write,
                None,
                station(i),
            )
        })
        .collect();
    let first = entries[0].id();
    let body = station(1);
    entries.push(Entry::new(
        "station-1".into(),
        [first],
        stamp(13),
        Act::Correct,
        None,
        body,
    ));
    entries
}

fn text() -> String {
    let written = Written {
        at: "2026-06-15T20:10:00+02:00".to_owned(),
        by: "K.O.".to_owned(),
        device: "tablet-a".to_owned(),
    };
    book::write(&entries(), &written)
}

#[test]
fn whole_books_are_whole() {
    let books = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/books");
    let run = doctor(
        &books,
        &["v1.json", "v1-set-ups.json", "../../../public/demo.json"],
    );
    assert_eq!((run.code, run.err.as_str()), (0, ""), "{}", run.out);
    assert_eq!(run.out.matches(": whole; ").count(), 3, "{}", run.out);
    assert!(
        run.out
            .contains("note   the clock of M.T.'s tablet went back by 27 years"),
        "{}",
        run.out
    );
    assert!(
        run.out.contains("acts of a newer version: a-newer-act"),
        "{}",
        run.out
    );
}

#[test]
fn one_fault_does_not_hide_the_next_and_what_is_sound_can_be_saved() {
    let folder = folder("faults");
    let mut lines: Vec<String> = text().lines().map(str::to_owned).collect();
    lines[3] = lines[3].replacen("by the beck", "by the book", 1);
    lines[5].truncate(70);
    lines[8] = lines[8].replacen("K.O.", "K.P.", 1);
    let damaged = lines.join("\n");
    fs::write(folder.join("damaged.json"), &damaged).expect("written");
    let run = doctor(&folder, &["damaged.json", "--save-sound", "rest.json"]);
    assert_eq!(run.code, 1, "{}", run.err);
    for wanted in [
        "on line 4, record `station-3`: it was changed after it was written",
        "line 6",
        "on line 9, record `station-8`",
        "the digest in its head does not match",
        "10 sound entries",
    ] {
        assert!(
            run.out.contains(wanted),
            "{wanted} is missing in {}",
            run.out
        );
    }
    assert!(
        run.err.contains("rest.json: 10 sound entries written"),
        "{}",
        run.err
    );
    // Nothing was changed in place, and what was saved is a whole book of exactly the sound entries.
    assert_eq!(
        fs::read_to_string(folder.join("damaged.json")).expect("there"),
        damaged
    );
    let rest =
        book::read(&fs::read_to_string(folder.join("rest.json")).expect("written")).expect("whole");
    let sound: Vec<Entry> = entries()
        .into_iter()
        .filter(|entry| ![3, 5, 8].contains(&entry.stamp().counter))
        .collect();
    assert_eq!(rest.entries, sound);
    // It is not written over.
    let run = doctor(&folder, &["damaged.json", "--save-sound", "rest.json"]);
    assert_eq!(run.code, 2);
    assert!(
        run.err.contains("rest.json is there already"),
        "{}",
        run.err
    );
}

#[test]
fn the_answer_as_json_has_one_object_a_fault() {
    let folder = folder("json");
    fs::write(
        folder.join("b.json"),
        text().replacen("by the beck", "by the book", 2),
    )
    .expect("written");
    let run = doctor(&folder, &["--format", "json", "b.json"]);
    assert_eq!(run.code, 1);
    let lines: Vec<Value> = run
        .out
        .lines()
        .map(|line| serde_json::from_str(line).expect("JSON"))
        .collect();
    let faults: Vec<&Value> = lines
        .iter()
        .filter(|line| line["fault"].is_string())
        .collect();
    // Two entries, the digest, and the correction of one of the two.
    assert_eq!(faults.len(), 4, "{}", run.out);
    assert_eq!(
        (&faults[0]["record"], &faults[0]["file"]),
        (&Value::from("station-1"), &Value::from("b.json"))
    );
    let last = lines.last().expect("the end");
    assert_eq!(
        (&last["sound"], &last["faults"], &last["entries"]),
        (&Value::from(false), &Value::from(4), &Value::from(11))
    );
}

#[test]
fn a_predecessor_that_is_gone_is_a_fault_of_a_file_that_is_otherwise_sound() {
    let folder = folder("predecessor");
    let all = entries();
    let text = book::write(&all[1..], &Written::default());
    fs::write(folder.join("part.json"), &text).expect("written");
    let run = doctor(&folder, &["part.json"]);
    assert_eq!(run.code, 1);
    // The correction of station 1 stands last: twelve entries from line 2 on.
    let wanted = format!(
        "on line 13, record `station-1`: it takes the place of {}, which is not among the sound entries",
        all[0].id()
    );
    assert!(run.out.contains(&wanted), "{}", run.out);
    assert!(
        run.out
            .contains("part.json: 1 fault; 12 sound entries of 12 records"),
        "{}",
        run.out
    );
}

#[test]
fn no_cut_and_no_flipped_byte_is_called_whole() {
    let folder = folder("cuts");
    let text = text();
    let mut names = Vec::new();
    for place in (0..text.trim_end().len()).step_by(61) {
        fs::write(
            folder.join(format!("cut-{place}.json")),
            &text.as_bytes()[..place],
        )
        .expect("written");
        let mut bytes = text.clone().into_bytes();
        bytes[place] ^= 0x01;
        // A flipped digit of the digest, of an id, of a value: all alike.
        fs::write(folder.join(format!("flipped-{place}.json")), bytes).expect("written");
        names.push(format!("cut-{place}.json"));
        names.push(format!("flipped-{place}.json"));
    }
    let args: Vec<&str> = names.iter().map(String::as_str).collect();
    let run = doctor(&folder, &args);
    assert_eq!(run.code, 2, "the shortest is no book");
    for name in names {
        let named = |text: &str| {
            text.lines()
                .any(|line| line.starts_with(&format!("{name}: ")) && !line.contains(": whole"))
        };
        assert!(named(&run.out) || named(&run.err), "{name} is called whole");
    }
}

#[test]
fn every_photo_of_an_archive_is_held_against_its_hash() {
    let folder = folder("photos");
    let pictures: [&[u8]; 3] = [b"first picture", b"second picture", b"third picture"];
    let named: Vec<Entry> = pictures
        .iter()
        .zip(1..)
        .map(|(picture, number)| {
            let photo = Photo {
                station: "station-1".to_owned(),
                number,
                sha256: photos::sha256(picture),
                media: "image/jpeg".to_owned(),
                ..Photo::default()
            };
            let record = format!("photo-{number}");
            let stamp = stamp(20 + u64::from(number));
            Entry::new(
                record.into(),
                [],
                stamp,
                Act::Write,
                None,
                Some(Body::Photo(photo)),
            )
        })
        .collect();
    let all: Vec<Entry> = entries().into_iter().chain(named).collect();
    let text = book::write(&all, &Written::default());
    let shas: Vec<String> = pictures
        .iter()
        .map(|picture| photos::sha256(picture))
        .collect();
    let write = |name: &str, carried: &[(&str, &[u8])]| {
        let bytes = archive::write(&text, carried.iter().copied()).expect("an archive");
        fs::write(folder.join(name), bytes).expect("written");
    };
    let all: Vec<(&str, &[u8])> = shas.iter().map(String::as_str).zip(pictures).collect();
    write("whole.zip", &all);
    let run = doctor(&folder, &["whole.zip"]);
    assert_eq!(run.code, 0, "{}", run.out);
    assert!(run.out.contains("3 photos"), "{}", run.out);
    write(
        "part.zip",
        &[all[0], (all[1].0, b"another picture".as_slice())],
    );
    let run = doctor(&folder, &["part.zip"]);
    assert_eq!(run.code, 1);
    assert!(
        run.out.contains("photo 1·P3 is not in the archive"),
        "{}",
        run.out
    );
    assert!(
        run.out.contains("photo 1·P2: its bytes were changed"),
        "{}",
        run.out
    );
    // By itself the book is whole; that its photos are elsewhere is told.
    fs::write(folder.join("book.json"), &text).expect("written");
    let run = doctor(&folder, &["book.json"]);
    assert_eq!(run.code, 0);
    assert!(
        run.out
            .contains("3 photos that the book names are not in this file"),
        "{}",
        run.out
    );
}

#[test]
fn what_is_no_book_is_named() {
    let folder = folder("foreign");
    fs::write(folder.join("a.kml"), "<?xml version=\"1.0\"?><kml/>").expect("written");
    let run = doctor(&folder, &["a.kml", "nowhere.json"]);
    assert_eq!(run.code, 2);
    assert!(
        run.err.contains("a.kml: this is not a book file but KML"),
        "{}",
        run.err
    );
    assert!(
        run.err.contains("nowhere.json: it could not be opened"),
        "{}",
        run.err
    );
    let help = doctor(&folder, &["--help"]);
    assert!(
        help.out
            .contains("camp doctor damaged.json --save-sound rest.json"),
        "{}",
        help.out
    );
}

/// A book of entries() and two photos of its first station, as an archive; with the lengths of its parts.
fn archive_with_photos() -> (Vec<Entry>, Vec<u8>) {
    let pictures: [&[u8]; 2] = [b"first picture", b"second picture"];
    let named = pictures.iter().zip(1..).map(|(picture, number)| {
        let photo = Photo {
            station: "station-1".to_owned(),
            number,
            sha256: photos::sha256(picture),
            media: "image/jpeg".to_owned(),
            ..Photo::default()
        };
        let stamp = stamp(20 + u64::from(number));
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
    let all: Vec<Entry> = entries().into_iter().chain(named).collect();
    let written = Written {
        by: "K.O.".to_owned(),
        ..Written::default()
    };
    let text = book::write(&all, &written);
    let names: Vec<String> = pictures.iter().map(|p| photos::sha256(p)).collect();
    let carried = names.iter().map(String::as_str).zip(pictures);
    let bytes = archive::write(&text, carried).expect("an archive");
    (all, bytes)
}

fn replaced(bytes: &[u8], what: &str, with: &str) -> Vec<u8> {
    assert_eq!(what.len(), with.len());
    let at = bytes
        .windows(what.len())
        .position(|window| window == what.as_bytes());
    let at = at.expect("there");
    [&bytes[..at], with.as_bytes(), &bytes[at + what.len()..]].concat()
}

#[test]
fn a_damaged_archive_hides_no_sound_entry_and_no_photo() {
    let folder = folder("damaged-archives");
    let (all, bytes) = archive_with_photos();
    let name = format!("\"record\":\"{}\"", "station-7");
    let entry = replaced(&bytes, &name, "\"record\":\"station-X\"");
    let digest = replaced(
        &bytes,
        "\"by\":\"K.O.\",\"device\":\"\"",
        "\"by\":\"K.P.\",\"device\":\"\"",
    );
    let several = replaced(
        &replaced(
            &entry,
            "\"record\":\"station-9\"",
            "\"record\":\"station-Y\"",
        ),
        "first picture",
        "other picture",
    );
    for (name, bytes, faults, sound, pictures) in [
        ("entry.zip", &entry, 2, 14, 2),
        ("digest.zip", &digest, 1, 15, 2),
        ("several.zip", &several, 4, 13, 1),
        ("cut.zip", &bytes[..bytes.len() - 10].to_vec(), 1, 15, 2),
    ] {
        fs::write(folder.join(name), bytes).expect("written");
        let run = doctor(&folder, &[name, "--format", "json"]);
        assert_eq!((run.code, run.err.as_str()), (1, ""), "{name}");
        let last = run.json().pop().expect("the end");
        let found = ["faults", "entries", "photos"].map(|key| last[key].as_u64());
        assert_eq!(
            found,
            [faults, sound, pictures].map(Some),
            "{name}: {}",
            run.out
        );
        assert!(
            !run.out.contains("an archive (ZIP) carries them"),
            "{}",
            run.out
        );
        // By itself, and with the photos that are sound.
        let run = doctor(&folder, &[name, "--save-sound", "rest.json"]);
        assert!(
            run.err.contains("along where it is named rest.zip"),
            "{}",
            run.err
        );
        let rest = fs::read(folder.join("rest.json")).expect("written");
        let rest = book::read_bytes(&rest).expect("a whole book").entries;
        assert_eq!(rest.len() as u64, sound, "{name}");
        assert!(rest.iter().all(|entry| all.contains(entry)), "{name}");
        doctor(&folder, &[name, "--save-sound", "rest.zip"]);
        let carried = fs::read(folder.join("rest.zip")).expect("written");
        let carried = archive::read_any(&carried).expect("a whole archive");
        assert_eq!(
            (carried.book.entries, carried.photos.len() as u64),
            (rest, pictures)
        );
        for rest in ["rest.json", "rest.zip"] {
            fs::remove_file(folder.join(rest)).expect("removed");
        }
    }
}

/// Whatever byte of the head is changed: every entry is found, or the file is said to be no book of ours; never an empty book.
#[test]
fn a_damaged_head_hides_no_entry() {
    let folder = folder("heads");
    // Line by line as we write it, and all on one line.
    for text in [text(), text().replace('\n', "")] {
        let head = text.find('[').expect("a head");
        let (mut found, mut refused) = (0, 0);
        for place in (0..head).step_by(5) {
            let mut bytes = text.clone().into_bytes();
            bytes[place] ^= 0x01;
            fs::write(folder.join("b.json"), bytes).expect("written");
            let run = doctor(&folder, &["b.json", "--save-sound", "rest.json"]);
            let rest = fs::read_to_string(folder.join("rest.json"));
            if run.code == 1 {
                found += 1;
                assert!(
                    run.out.contains("; 13 sound entries of 12 records"),
                    "{place}: {}",
                    run.out
                );
                let rest = book::read(&rest.expect("written")).expect("a whole book");
                assert_eq!(rest.entries, entries(), "{place}");
                fs::remove_file(folder.join("rest.json")).expect("removed");
            } else {
                refused += 1;
                assert_eq!(run.code, 2, "{place}: {}{}", run.out, run.err);
                assert!(rest.is_err() && !run.err.is_empty(), "{place}");
            }
        }
        // Only the name of the format and its version say what a file is; on one line also the word that opens the list.
        assert!(refused * 3 < found, "{refused} refused, {found} found");
    }
}

#[test]
fn nothing_sound_is_not_saved_as_an_empty_book() {
    let folder = folder("nothing-sound");
    let text = text();
    fs::write(folder.join("cut.json"), &text[..200]).expect("written");
    let run = doctor(&folder, &["cut.json", "--save-sound", "rest.json"]);
    assert_eq!(run.code, 2, "{}", run.out);
    assert!(
        run.err.contains("nothing was written: no sound entry"),
        "{}",
        run.err
    );
    assert!(!folder.join("rest.json").exists());
}

/// Whatever byte of the container is changed, the entries are found: by the directory, by the heads, or by what opens their list.
#[test]
fn no_byte_of_an_archives_frame_hides_its_book() {
    let folder = folder("frames");
    let (_, bytes) = archive_with_photos();
    let directory = bytes.windows(4).position(|four| four == b"PK\x01\x02");
    let directory = directory.expect("a directory");
    for place in (0..39)
        .step_by(2)
        .chain((directory..bytes.len()).step_by(5))
    {
        let mut bytes = bytes.clone();
        bytes[place] ^= 0x01;
        fs::write(folder.join("a.zip"), bytes).expect("written");
        let run = doctor(&folder, &["a.zip", "--save-sound", "rest.json"]);
        assert!(run.code < 2, "{place}: {}{}", run.out, run.err);
        assert!(
            run.out.contains("; 15 sound entries of 14 records"),
            "{place}: {}",
            run.out
        );
        let rest = fs::read(folder.join("rest.json")).expect("written");
        assert_eq!(
            book::read_bytes(&rest).expect("whole").entries.len(),
            15,
            "{place}"
        );
        fs::remove_file(folder.join("rest.json")).expect("removed");
    }
}

/// A book that cannot be got at in an archive, and a file that is none, are told as what they are.
#[test]
fn an_archive_without_a_legible_book_says_why() {
    let folder = folder("illegible");
    let (_, bytes) = archive_with_photos();
    let directory = bytes.windows(4).position(|four| four == b"PK\x01\x02");
    let directory = directory.expect("a directory");
    let mut locked = bytes.clone();
    locked[6] |= 1;
    locked[directory + 8] |= 1;
    let mut stored = archive::Stored::new();
    let mut text = stored.head(archive::BOOK, b"/etc/passwd").expect("small");
    text.extend(b"/etc/passwd");
    text.extend(stored.end().expect("small"));
    for (name, bytes, wanted) in [
        ("locked.zip", locked, "it is encrypted"),
        ("text.zip", text, "this is not a book file but plain text"),
    ] {
        fs::write(folder.join(name), bytes).expect("written");
        for command in ["doctor", "join"] {
            let run = run_in(&folder, command, &[name]);
            let said = format!("{}{}", run.out, run.err);
            assert_eq!(run.code, 2, "{said}");
            assert!(said.contains(wanted), "{said}");
        }
    }
}
