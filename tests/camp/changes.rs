//! `camp changes` as it is run: what is written is just what the other side lacks, and with what that has it is the whole book.

use std::fs;
use std::path::{Path, PathBuf};

use hingeline::exchange::{archive, book, book::Written};
use hingeline::notebook::{Act, Body, Entry, Ledger, Photo, Reading, Stamp, Station, photos};

use crate::run::{self, Run, run_in};

fn folder(name: &str) -> PathBuf {
    run::folder(&format!("changes-{name}"))
}

fn camp(folder: &Path, args: &[&str]) -> Run {
    run_in(folder, "changes", args)
}

fn written() -> Written {
    Written {
        at: "2026-06-15T20:10:00+02:00".to_owned(),
        by: "K.O.".to_owned(),
        device: "tablet-a".to_owned(),
    }
}

fn entry(counter: u64, record: &str, on: &[&Entry], body: Option<Body>) -> Entry {
    let stamp = Stamp {
        by: "K.O.".to_owned(),
        device: "tablet-a".to_owned(),
        counter,
        at: format!("2026-06-14T09:{counter:02}:00+02:00"),
    };
    let act = match (on.is_empty(), &body) {
        (_, None) => Act::StrikeOut,
        (true, _) => Act::Write,
        _ => Act::Correct,
    };
    let on = on.iter().map(|entry| entry.id());
    Entry::new(record.into(), on, stamp, act, None, body)
}

fn station(number: u32, name: &str) -> Option<Body> {
    Some(Body::Station(Station {
        number,
        name: name.to_owned(),
        ..Station::default()
    }))
}

fn picture(name: &str) -> Vec<u8> {
    [b"\xff\xd8\xff", name.as_bytes(), b"\xff\xd9"].concat()
}

fn photo(number: u32, name: &str) -> Option<Body> {
    let bytes = picture(name);
    Some(Body::Photo(Photo {
        station: "s1".to_owned(),
        number,
        sha256: photos::sha256(&bytes),
        media: "image/jpeg".to_owned(),
        width: 4,
        height: 4,
        bytes: u32::try_from(bytes.len()).expect("small"),
        ..Photo::default()
    }))
}

/// Monday's entries, and all of them on Tuesday.
fn two_evenings() -> (Vec<Entry>, Vec<Entry>) {
    let first = entry(1, "s1", &[], station(1, "ford"));
    let second = entry(2, "s2", &[], station(2, ""));
    let reading = Some(Body::Reading(Reading {
        station: "s2".to_owned(),
        number: 1,
        kind: "bedding".to_owned(),
        ..Reading::default()
    }));
    let monday = vec![first.clone(), second];
    let mut tuesday = monday.clone();
    tuesday.push(entry(3, "s1", &[&first], station(1, "lower ford")));
    tuesday.push(entry(4, "r", &[], reading));
    (monday, tuesday)
}

fn lay_down(folder: &Path, name: &str, entries: &[Entry]) {
    fs::write(folder.join(name), book::write(entries, &written())).expect("written");
}

fn there(folder: &Path, name: &str) -> Vec<u8> {
    fs::read(folder.join(name)).expect("there")
}

fn evenings(name: &str) -> PathBuf {
    let folder = folder(name);
    let (monday, tuesday) = two_evenings();
    lay_down(&folder, "monday.json", &monday);
    lay_down(&folder, "tuesday.json", &tuesday);
    folder
}

#[test]
fn what_is_new_is_written_and_joins_to_the_whole_book_in_any_order() {
    let folder = evenings("whole");
    let run = camp(
        &folder,
        &["tuesday.json", "--beyond", "monday.json", "-o", "new.json"],
    );
    assert_eq!((run.code, run.err.as_str()), (0, ""), "{}", run.out);
    for words in [
        "tuesday.json: 2 new entries of 2 records, beyond 2 entries: 1 station, 1 reading",
        "1 of them takes the place of one that is not in the file",
        "written: new.json, ",
        "no back-up by itself",
    ] {
        assert!(run.out.contains(words), "{}", run.out);
    }
    let file = book::read_bytes(&there(&folder, "new.json")).expect("a book");
    assert_eq!((file.entries.len(), file.beyond[0].count), (2, 2));
    assert_eq!(file.written, written());
    for (out, files) in [
        ("a.json", ["monday.json", "new.json"]),
        ("b.json", ["new.json", "monday.json"]),
    ] {
        let run = run_in(&folder, "join", &[files[0], files[1], "-o", out]);
        assert_eq!((run.code, run.err.as_str()), (0, ""), "{}", run.out);
        assert!(!run.out.contains("part"), "{}", run.out);
    }
    run_in(&folder, "join", &["tuesday.json", "-o", "c.json"]);
    let whole = there(&folder, "c.json");
    assert!(there(&folder, "a.json") == whole && there(&folder, "b.json") == whole);
    // Twice is the same bytes, and what is there is not written over unasked; a file that is read never is.
    let again = ["tuesday.json", "--beyond", "monday.json", "-o"];
    let before = there(&folder, "new.json");
    for (file, force, words) in [
        ("new.json", None, "is there already"),
        ("monday.json", Some("--force"), "would be lost"),
        ("tuesday.json", Some("--force"), "would be lost"),
    ] {
        let args: Vec<&str> = again.iter().copied().chain([file]).chain(force).collect();
        let run = camp(&folder, &args);
        assert_eq!(run.code, 2);
        assert!(run.err.contains(words), "{}", run.err);
    }
    let args: Vec<&str> = again
        .iter()
        .copied()
        .chain(["new.json", "--force"])
        .collect();
    assert_eq!(camp(&folder, &args).code, 0);
    assert!(there(&folder, "new.json") == before);
}

#[test]
fn where_nothing_is_new_nothing_is_written() {
    let folder = evenings("nothing");
    let run = camp(
        &folder,
        &["monday.json", "--beyond", "tuesday.json", "-o", "new.json"],
    );
    assert_eq!((run.code, run.err.as_str()), (0, ""));
    assert!(
        run.out.contains("nothing is new beyond the 4 entries")
            && run.out.contains("nothing was written")
            && run
                .out
                .contains("the other side has 2 entries that monday.json has not"),
        "{}",
        run.out
    );
    assert!(!folder.join("new.json").exists());
    let run = camp(
        &folder,
        &[
            "tuesday.json",
            "--beyond",
            "monday.json",
            "--format",
            "json",
        ],
    );
    let answer = &run.json()[0];
    assert!(answer["changes"].is_null());
    assert_eq!(answer["entries"], 2);
    assert_eq!(answer["records"]["station"], 1);
    assert_eq!(
        (&answer["follow"], &answer["beyond"][0]["count"]),
        (&1.into(), &2.into())
    );
    // Several on the other side are one.
    let run = camp(
        &folder,
        &["tuesday.json", "--beyond", "monday.json", "tuesday.json"],
    );
    assert!(run.out.contains("nothing is new"), "{}", run.out);
}

#[test]
fn a_damaged_file_on_either_side_is_named_and_nothing_is_written() {
    let folder = evenings("damaged");
    let mut bytes = there(&folder, "monday.json");
    bytes.truncate(bytes.len() / 2);
    fs::write(folder.join("half.json"), bytes).expect("written");
    for files in [["tuesday.json", "half.json"], ["half.json", "monday.json"]] {
        let run = camp(&folder, &[files[0], "--beyond", files[1], "-o", "new.json"]);
        assert_eq!(run.code, 2);
        assert!(
            run.err.starts_with("nothing was written: half.json: ") && run.err.contains("damaged"),
            "{}",
            run.err
        );
        assert!(!folder.join("new.json").exists());
    }
}

#[test]
fn a_part_alone_is_known_for_one_by_every_command() {
    let folder = evenings("alone");
    camp(
        &folder,
        &["tuesday.json", "--beyond", "monday.json", "-o", "new.json"],
    );
    let words = "it holds only what is new beyond a book of 2 entries, of which 2 are not here: open that book too, in any order";
    let run = run_in(&folder, "doctor", &["new.json"]);
    assert_eq!(run.code, 0, "{}", run.out);
    assert!(
        run.out.contains("new.json: whole; 2 sound entries"),
        "{}",
        run.out
    );
    assert!(
        run.out.contains(&format!("note   this is a part: {words}"))
            && run
                .out
                .contains("1 entry of it takes the place of one that is not here"),
        "{}",
        run.out
    );
    let run = run_in(&folder, "doctor", &["--format", "json", "new.json"]);
    let answer = run.json().pop().expect("a line");
    assert_eq!(
        (&answer["sound"], &answer["beyond"][0]["missing"]),
        (&true.into(), &2.into())
    );
    for command in ["show", "check", "hand-over", "figures"] {
        let args: &[&str] = match command {
            "hand-over" => &["new.json", "--format", "geojson", "-o", "out.geojson"],
            _ => &["new.json"],
        };
        let run = run_in(&folder, command, args);
        assert!(run.err.contains(words), "{command}: {}", run.err);
    }
    // Joined by itself it loses nothing and stays a part; with the rest it is one no more.
    let run = run_in(&folder, "join", &["new.json", "-o", "part.json"]);
    assert_eq!(run.code, 1, "{}{}", run.out, run.err);
    assert!(
        run.out
            .contains(&format!("together this is a part: {words}")),
        "{}",
        run.out
    );
    let file = book::read_bytes(&there(&folder, "part.json")).expect("a book");
    assert_eq!((file.entries.len(), file.beyond.len()), (2, 1));
    let run = run_in(
        &folder,
        "join",
        &["part.json", "monday.json", "-o", "all.json"],
    );
    assert_eq!(run.code, 0, "{}{}", run.out, run.err);
    let file = book::read_bytes(&there(&folder, "all.json")).expect("a book");
    assert_eq!((file.entries.len(), file.beyond.len()), (4, 0));
    // The same without a stream: in an order of its own.
    let text = String::from_utf8(there(&folder, "new.json")).expect("text");
    let value: serde_json::Value = serde_json::from_str(&text).expect("JSON");
    let order = [
        "entries", "beyond", "count", "digest", "format", "version", "written",
    ];
    let members: Vec<String> = order
        .iter()
        .map(|key| format!("\"{key}\":{}", value[key]))
        .collect();
    fs::write(
        folder.join("turned.json"),
        format!("{{{}}}", members.join(",")),
    )
    .expect("written");
    let run = run_in(&folder, "doctor", &["turned.json"]);
    assert!(run.code == 0 && run.out.contains(words), "{}", run.out);
    let run = run_in(&folder, "join", &["turned.json", "--format", "json"]);
    assert_eq!(run.json()[1]["beyond"][0]["missing"], 2);
    // What is sound of a damaged part stays a part.
    fs::write(folder.join("half.json"), &text[..text.len() - 40]).expect("written");
    run_in(
        &folder,
        "doctor",
        &["half.json", "--save-sound", "rest.json"],
    );
    let file = book::read_bytes(&there(&folder, "rest.json")).expect("a book");
    assert_eq!(file.beyond[0].count, 2);
    // No table is brought into it.
    fs::write(folder.join("t.csv"), "strike,dip,station\n045,30,9\n").expect("written");
    let run = run_in(
        &folder,
        "import",
        &["t.csv", "--into", "new.json", "-o", "x.json"],
    );
    assert_eq!(run.code, 2, "{}", run.out);
    assert!(run.err.contains("this is a part"), "{}", run.err);
}

#[test]
fn a_part_of_a_part_says_all_that_it_goes_beyond() {
    let folder = evenings("nested");
    let (_, mut wednesday) = two_evenings();
    camp(
        &folder,
        &["tuesday.json", "--beyond", "monday.json", "-o", "new.json"],
    );
    wednesday.push(entry(5, "s3", &[], station(3, "")));
    let part = book::read_bytes(&there(&folder, "new.json")).expect("a book");
    let text = book::write_part(&wednesday[2..], &written(), &part.beyond);
    fs::write(folder.join("newer.json"), text).expect("written");
    let run = camp(
        &folder,
        &["newer.json", "--beyond", "new.json", "-o", "newest.json"],
    );
    assert_eq!(run.code, 0, "{}", run.err);
    let file = book::read_bytes(&there(&folder, "newest.json")).expect("a book");
    let counts: Vec<usize> = file.beyond.iter().map(|one| one.count).collect();
    assert_eq!((file.entries.len(), counts), (1, vec![2, 2]));
    let run = run_in(
        &folder,
        "join",
        &["newest.json", "new.json", "-o", "two.json"],
    );
    assert_eq!(run.code, 1);
    let run = run_in(
        &folder,
        "join",
        &["two.json", "monday.json", "-o", "all.json"],
    );
    assert_eq!(run.code, 0, "{}", run.out);
    let all: Ledger = wednesday.into_iter().collect();
    let file = book::read_bytes(&there(&folder, "all.json")).expect("a book");
    assert_eq!(file.entries.into_iter().collect::<Ledger>(), all);
}

#[test]
fn only_photos_that_the_other_side_lacks_go_along() {
    let folder = folder("photos");
    let base = vec![
        entry(1, "s1", &[], station(1, "")),
        entry(2, "p1", &[], photo(1, "one")),
    ];
    let mut all = base.clone();
    all.push(entry(3, "p2", &[], photo(2, "two")));
    // The same picture once more: its bytes are on the other side.
    all.push(entry(4, "p3", &[], photo(3, "one")));
    let pack = |name: &str, entries: &[Entry], which: &[&str]| {
        let bytes: Vec<(String, Vec<u8>)> = which
            .iter()
            .map(|name| (photos::sha256(&picture(name)), picture(name)))
            .collect();
        let there = bytes
            .iter()
            .map(|(name, bytes)| (name.as_str(), bytes.as_slice()));
        let zip = archive::write(&book::write(entries, &written()), there).expect("an archive");
        fs::write(folder.join(name), zip).expect("written");
    };
    pack("base.zip", &base, &["one"]);
    pack("all.zip", &all, &["one", "two"]);
    let run = camp(
        &folder,
        &["all.zip", "--beyond", "base.zip", "-o", "new.json"],
    );
    assert_eq!(run.code, 2);
    assert!(
        run.err.contains("1 photo") && run.err.contains(".zip"),
        "{}",
        run.err
    );
    let run = camp(
        &folder,
        &["all.zip", "--beyond", "base.zip", "-o", "new.zip"],
    );
    assert_eq!((run.code, run.err.as_str()), (0, ""), "{}", run.out);
    assert!(
        run.out.contains("1 new photo goes with them"),
        "{}",
        run.out
    );
    let read = archive::read_any(&there(&folder, "new.zip")).expect("an archive");
    assert_eq!((read.book.entries.len(), read.photos.len()), (2, 1));
    assert_eq!(read.photos[0].0, photos::sha256(&picture("two")));
    let run = run_in(
        &folder,
        "join",
        &["new.zip", "base.zip", "-o", "joined.zip"],
    );
    assert_eq!(run.code, 0, "{}{}", run.out, run.err);
    run_in(&folder, "join", &["all.zip", "-o", "same.zip"]);
    assert!(there(&folder, "joined.zip") == there(&folder, "same.zip"));
    // A photo that nobody brings is named, and without photos the entries go by themselves.
    pack("poor.zip", &all, &["one"]);
    let run = camp(
        &folder,
        &["poor.zip", "--beyond", "base.zip", "-o", "poor-new.json"],
    );
    assert_eq!(run.code, 1, "{}", run.err);
    assert!(
        run.out.contains("came with no file as written: ?\u{b7}P2"),
        "{}",
        run.out
    );
    let run = camp(
        &folder,
        &[
            "all.zip",
            "--beyond",
            "base.zip",
            "--without-photos",
            "-o",
            "bare.json",
        ],
    );
    assert_eq!(run.code, 0, "{}", run.err);
}
