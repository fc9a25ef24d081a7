//! The book file: what is written reads back byte by byte; what is not whole is refused in words, and nothing of it is taken.

#![cfg(not(target_arch = "wasm32"))]

use hingeline::exchange::book::{self, BookFile, Written};
use hingeline::notebook::{
    Act, Body, Entry, Ledger, Position, Reading, RecordId, Shot, Stamp, Station,
};

fn written() -> Written {
    Written {
        at: "2026-06-15T20:10:00+02:00".to_owned(),
        by: "K.O.".to_owned(),
        device: "tablet-a".to_owned(),
    }
}

fn stamp(counter: u64) -> Stamp {
    Stamp {
        by: "K.O.".to_owned(),
        device: "tablet-a".to_owned(),
        counter,
        at: format!("2026-06-14T09:{:02}:00+02:00", counter % 60),
    }
}

fn small() -> Vec<Entry> {
    let station = Entry::new(
        RecordId::from("station-1"),
        [],
        stamp(1),
        Act::Write,
        None,
        Some(Body::Station(Station {
            number: 1,
            at: "2026-06-14T09:01:00+02:00".to_owned(),
            note: "a script in a note: <script>alert(1)</script> \"quoted\" \\ 😀 \u{7f}\u{1}"
                .to_owned(),
            position: Some(Position {
                latitude: 47.123_456_789_012_34,
                longitude: -0.1,
                height_m: Some(1e21),
                source: "typed".to_owned(),
                ..Position::default()
            }),
            ..Station::default()
        })),
    );
    let reading = Entry::new(
        RecordId::from("reading-1"),
        [],
        stamp(2),
        Act::Write,
        None,
        Some(Body::Reading(Reading {
            station: "station-1".to_owned(),
            number: 1,
            kind: "bedding".to_owned(),
            shots: vec![Shot {
                strike: Some("062".to_owned()),
                dip: Some("36".to_owned()),
                side: Some("SE".to_owned()),
                ..Shot::default()
            }],
            ..Reading::default()
        })),
    );
    let struck = Entry::new(
        RecordId::from("reading-1"),
        [reading.id()],
        stamp(3),
        Act::StrikeOut,
        Some("a slumped block".to_owned()),
        None,
    );
    vec![station, reading, struck]
}

#[test]
fn every_entry_returns_byte_by_byte() {
    let entries = small();
    let text = book::write(&entries, &written());
    let file = book::read(&text).unwrap();
    assert_eq!(file.written, written());
    let before: Vec<&str> = entries.iter().map(Entry::text).collect();
    let after: Vec<&str> = file.entries.iter().map(Entry::text).collect();
    assert_eq!(before, after);
    assert_eq!(entries, file.entries);
    for (a, b) in entries.iter().zip(&file.entries) {
        assert_eq!(a.body(), b.body());
        assert_eq!(a.stamp(), b.stamp());
    }
    assert_eq!(book::write(&file.entries, &file.written), text);
}

#[test]
fn opening_twice_changes_nothing() {
    let text = book::write(&small(), &written());
    let mut ledger: Ledger = book::read(&text).unwrap().entries.into_iter().collect();
    let before = ledger.clone();
    assert!(ledger.join(book::read(&text).unwrap().entries).is_empty());
    assert_eq!(ledger, before);
    assert_eq!(book::write(ledger.iter(), &written()), text);
}

#[test]
fn cut_off_at_any_byte_is_refused() {
    let text = book::write(&small(), &written());
    let whole = text.trim_end().len();
    for end in 0..whole {
        let error = book::read_bytes(&text.as_bytes()[..end]).unwrap_err();
        assert!(
            error.is_damaged() || (end == 0 && error.is_empty()),
            "cut at {end}: {error}"
        );
    }
}

#[test]
fn no_flipped_byte_is_taken_for_other_content() {
    let text = book::write(&small(), &written());
    let sound = book::read(&text).unwrap();
    for place in 0..text.len() {
        for flip in [0x01, 0x20, 0x80, 0xff] {
            let mut bytes = text.clone().into_bytes();
            bytes[place] ^= flip;
            if let Ok(file) = book::read_bytes(&bytes) {
                assert_eq!(file, sound, "byte {place} flipped by {flip:#x}");
            }
        }
    }
}

/// The SHA-256 of a text in hexadecimal.
fn sha256(text: &str) -> String {
    use sha2::{Digest, Sha256};
    Sha256::digest(text.as_bytes())
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect()
}

/// States the digest that belongs to the text, as someone who repairs an altered file would.
fn repaired(text: &str) -> String {
    let mut value: serde_json::Value = serde_json::from_str(text).expect("JSON");
    let fields = value.as_object_mut().expect("an object");
    fields.remove("digest");
    // Since version 2 an entry is hashed by its id alone.
    let mut hashed = fields.clone();
    if hashed["version"] != 1 {
        for entry in hashed["entries"].as_array_mut().expect("a list") {
            if let Some(id) = entry.get_mut("id") {
                *entry = id.take();
            }
        }
    }
    let digest = sha256(&serde_json_canonicalizer::to_string(&hashed).expect("canonical"));
    fields.insert("digest".to_owned(), format!("sha256:{digest}").into());
    value.to_string()
}

fn refused(text: &str) -> book::Error {
    match book::read(text) {
        Ok(_) => panic!("taken: {text}"),
        Err(error) => error,
    }
}

/// The message has our manner: no capital first, no full stop last, and a way out.
fn in_our_manner(message: &str) {
    assert!(message.starts_with(char::is_lowercase), "{message}");
    assert!(!message.ends_with('.'), "{message}");
    assert!(message.contains("; "), "no way out: {message}");
}

#[test]
fn the_digest_is_of_the_canonical_text_without_it() {
    let text = book::write(&small(), &written());
    assert_eq!(
        serde_json::from_str::<serde_json::Value>(&repaired(&text)).unwrap(),
        serde_json::from_str::<serde_json::Value>(&text).unwrap()
    );
}

#[test]
fn another_layout_is_the_same_book() {
    let text = book::write(&small(), &written());
    let value: serde_json::Value = serde_json::from_str(&text).unwrap();
    let pretty = serde_json::to_string_pretty(&value).unwrap();
    let escaped = pretty
        .replace('<', "\\u003c")
        .replace("SE", "\\u0053\\u0045");
    for other in [
        pretty.clone(),
        escaped,
        format!("\u{feff}\r\n{pretty}\r\n\r\n"),
    ] {
        let file = book::read(&other).unwrap();
        assert_eq!(file, book::read(&text).unwrap());
        assert_eq!(book::write(&file.entries, &file.written), text);
    }
}

#[test]
fn an_entry_altered_inside_a_repaired_digest_is_named() {
    let text = book::write(&small(), &written());
    for altered in [
        text.replace("\"062\"", "\"262\""),
        text.replace("a slumped block", "a sound block"),
        text.replace("\"number\":1", "\"number\":7"),
    ] {
        let error = refused(&repaired(&altered));
        assert!(error.is_altered() && error.is_damaged(), "{error}");
        assert!(error.record().is_some(), "{error}");
        let message = error.to_string();
        assert!(
            message.contains("entry ") && message.contains("record `"),
            "{message}"
        );
        in_our_manner(&message);
    }
    // Without the repair it is the entry as well that is named, not the digest.
    let error = refused(&text.replace("\"062\"", "\"262\""));
    assert_eq!(error.record().map(RecordId::as_str), Some("reading-1"));
    assert!(
        error.to_string().contains("entry 2 of 3 on line 3"),
        "{error}"
    );
}

#[test]
fn a_head_that_was_changed_or_an_entry_left_out_is_noticed() {
    let text = book::write(&small(), &written());
    let lines: Vec<&str> = text.lines().collect();
    let without_last = [lines[0], lines[1], lines[2].trim_end_matches(','), lines[4]].join("\n");
    let error = refused(&without_last);
    assert!(error.is_altered(), "{error}");
    assert!(
        error
            .to_string()
            .contains("counts `3` entries and 2 are there"),
        "{error}"
    );
    for altered in [
        without_last.replace("\"count\":3", "\"count\":2"),
        text.replace(
            "K.O.\",\"device\":\"tablet-a\"},\"count\"",
            "M.T.\",\"device\":\"tablet-a\"},\"count\"",
        ),
        text.replace("\"digest\":\"sha256:", "\"digest\":\"sha512:"),
        text.replace("\"count\":3", "\"count\":3,\"more\":1"),
    ] {
        assert_ne!(altered, text);
        let error = refused(&altered);
        assert!(error.is_altered(), "{error}");
        in_our_manner(&error.to_string());
    }
    for (key, value) in [
        ("written", "7"),
        ("count", "\"3\""),
        ("entries", "{}"),
        ("digest", "null"),
    ] {
        let mut value_of: serde_json::Value = serde_json::from_str(&text).unwrap();
        value_of[key] = serde_json::from_str(value).unwrap();
        assert!(refused(&value_of.to_string()).is_damaged(), "{key}");
        value_of.as_object_mut().unwrap().remove(key);
        let error = refused(&value_of.to_string());
        assert!(error.is_damaged(), "{error}");
        assert!(
            error.to_string().contains(&format!("`{key}` is missing")),
            "{error}"
        );
    }
}

#[test]
fn fields_of_a_newer_writer_at_the_top_are_told_and_counted_in_the_digest() {
    let text = book::write(&small(), &written());
    let more = repaired(&text.replace("\"count\":3", "\"count\":3,\"ähnlich\":{\"a\":[1,2.50]}"));
    let file = book::read(&more).unwrap();
    assert_eq!(file.more["ähnlich"]["a"][1], 2.5);
    assert_eq!(file.entries.len(), 3);
    assert!(refused(&more.replace("2.5", "2.6")).is_altered());
}

#[test]
fn a_newer_version_is_told_from_damage() {
    let text = book::write(&small(), &written());
    for newer in [
        text.replace("\"version\":2", "\"version\":3"),
        "{\"format\":\"hingeline-book\",\"version\":9,\"pages\":".to_owned(),
    ] {
        let error = refused(&newer);
        assert!(error.is_newer() && !error.is_damaged() && !error.is_foreign());
        assert!(error.to_string().contains("update the app"), "{error}");
        in_our_manner(&error.to_string());
    }
    for odd in ["0", "-1", "1.5", "2.0", "\"2\"", "null", "[]"] {
        let error = refused(&text.replace("\"version\":2", &format!("\"version\":{odd}")));
        assert!(error.is_damaged(), "{odd}: {error}");
    }
}

#[test]
fn what_is_no_book_is_named() {
    let check = |text: &str, kind: &str| {
        let error = refused(text);
        assert!(error.is_foreign() && !error.is_damaged(), "{text}: {error}");
        assert!(error.to_string().contains(kind), "{text}: {error}");
        in_our_manner(&error.to_string());
    };
    check(
        "{\"type\":\"FeatureCollection\",\"features\":[]}",
        "GeoJSON",
    );
    check("{\"format\":\"other\"}", "JSON of the format `other`");
    check("{}", "JSON without a `format`");
    check("[1,2]", "JSON that is no object");
    check("\"text\"", "JSON that is no object");
    check("<?xml version=\"1.0\"?><kml/>", "KML");
    check("<!DOCTYPE html><html></html>", "a web page");
    check("strike,dip\n062,36\n", "a table of text (CSV)");
    check("a letter", "plain text");
    check("{\"a\":", "not whole JSON");
    assert!(refused("").is_empty() && refused(" \n").is_empty());
    let bytes = |bytes: &[u8], kind: &str| {
        let error = book::read_bytes(bytes).unwrap_err();
        assert!(error.is_foreign(), "{error}");
        assert!(error.to_string().contains(kind), "{error}");
    };
    bytes(b"PK\x03\x04\x14\x00", "a ZIP archive");
    bytes(b"SQLite format 3\0\x10", "an SQLite database");
    bytes(b"\x89PNG\r\n", "a PNG picture");
    bytes(b"\xff\xfe{\0", "UTF-16");
    bytes(b"\xc3\x28", "no text");
    let sound = small();
    check(&sound[0].text_with_id(), "a single entry of a book");
}

#[test]
fn broken_json_says_the_line_and_the_column() {
    let text = book::write(&small(), &written());
    let check = |from: &str, to: &str, why: &str| {
        let broken = text.replacen(from, to, 1);
        assert_ne!(broken, text);
        let error = refused(&broken);
        assert!(error.is_damaged(), "{error}");
        let message = error.to_string();
        assert!(
            message.contains(why) && message.contains("line "),
            "{message}"
        );
        in_our_manner(&message);
    };
    check(
        "\"strike\":\"062\"",
        "\"strike\":\"062\",\"strike\":\"063\"",
        "the key `strike` is given twice",
    );
    check(
        "\"count\":3",
        "\"count\":3,\"count\":3",
        "the key `count` is given twice",
    );
    check(
        "\"longitude\":-0.1",
        "\"longitude\":NaN",
        "`N` stands where a value belongs",
    );
    check(
        "\"longitude\":-0.1",
        "\"longitude\":1e999",
        "`1e999` is larger than any can be",
    );
    check(
        "\"longitude\":-0.1",
        "\"longitude\":-.1",
        "`.` stands where a digit belongs",
    );
    check(
        "alert(1)",
        "\\ud83d",
        "half of a surrogate pair stands alone",
    );
    check("alert(1)", "\\x41", "`x` stands where an escape belongs");
    check("alert(1)", "a\tb", "an escape for a control character");
    check(
        "\"062\"",
        "\"062\",",
        "`}` stands where a key in quotes belongs",
    );
    check("\n]}", "\n]}}", "the end belongs");
    let mut bytes = text.clone().into_bytes();
    let place = text.find("062").unwrap();
    bytes[place] = 0xff;
    let error = book::read_bytes(&bytes).unwrap_err();
    assert!(
        error.is_damaged() && error.to_string().contains("line 3, column"),
        "{error}"
    );
}

#[test]
fn nesting_without_end_is_refused_at_once() {
    let text = book::write(&small(), &written());
    for (open, close) in [("[", "]"), ("{\"a\":", "}")] {
        let deep = format!("{}1{}", open.repeat(100_000), close.repeat(100_000));
        for place in ["\"count\":3", "\"number\":1", "{\"act\""] {
            let hostile = text.replacen(
                place,
                &format!("\"deep\":{deep},{place}").replace(",{", ","),
                1,
            );
            let error = refused(&hostile);
            assert!(error.is_damaged(), "{error}");
        }
        assert!(refused(&deep).is_foreign());
    }
    // A hundred megabytes of it.
    let hostile = text.replacen(
        "\"count\":3",
        &format!("\"deep\":{}", "[".repeat(100_000_000)),
        1,
    );
    let error = refused(&hostile);
    assert!(
        error.to_string().contains("nested more than 64 deep"),
        "{error}"
    );
    assert!(refused(&"[".repeat(100_000_000)).is_foreign());
}

#[test]
fn entries_of_odd_forms_are_refused_or_kept_but_never_changed() {
    // Whatever stands in an entry's place with a sound id and a sound digest.
    let file = |entry: &str| {
        let value: serde_json::Value = serde_json::from_str(entry).expect("JSON");
        let text = serde_json_canonicalizer::to_string(&value).expect("canonical");
        let mut with_id = value.clone();
        if let Some(fields) = with_id.as_object_mut() {
            fields.insert("id".to_owned(), sha256(&text).into());
        }
        let head = "\"format\":\"hingeline-book\",\"version\":2,\"written\":{\"at\":\"\",\"by\":\"\",\"device\":\"\"}";
        repaired(&format!(
            "{{{head},\"count\":1,\"digest\":\"\",\"entries\":[{with_id}]}}"
        ))
    };
    let entry = |stamp: &str, body: &str, more: &str| {
        format!(
            "{{\"act\":\"write\",\"body\":{body},\"record\":\"r\",\"stamp\":{stamp},\"supersedes\":[]{more}}}"
        )
    };
    let stamp = "{\"at\":\"\",\"by\":\"\",\"counter\":1,\"device\":\"d\"}";
    for odd in [
        "7".to_owned(),
        "null".to_owned(),
        "{}".to_owned(),
        entry(stamp, "7", ""),
        entry(stamp, "[]", ""),
        entry("null", "null", ""),
        entry(
            "{\"at\":\"\",\"by\":\"\",\"counter\":-1,\"device\":\"d\"}",
            "null",
            "",
        ),
        entry(
            "{\"at\":\"\",\"by\":\"\",\"counter\":1e300,\"device\":\"d\"}",
            "null",
            "",
        ),
        entry(
            "{\"at\":\"\",\"by\":\"\",\"counter\":1.5,\"device\":\"d\"}",
            "null",
            "",
        ),
        entry(
            "{\"at\":\"\",\"by\":\"\",\"counter\":9007199254740993,\"device\":\"d\"}",
            "null",
            "",
        ),
        entry(stamp, "null", "").replace("\"supersedes\":[]", "\"supersedes\":[\"00\"]"),
        entry(stamp, "null", "").replace("\"record\":\"r\",", ""),
        entry(stamp, "null", "").replace("\"body\":null,", ""),
    ] {
        let error = refused(&file(&odd));
        assert!(error.is_damaged(), "{odd}: {error}");
    }
    for kept in [
        entry(stamp, "null", ",\"zone\":{\"new\":[1,2]},\"a\":0.1"),
        entry(stamp, "{}", ""),
        entry(stamp, "{\"sample\":{\"bag\":7}}", ""),
        entry(stamp, "{\"reading\":7}", ""),
        entry(
            stamp,
            "{\"reading\":{\"station\":\"s\",\"number\":1,\"kind\":\"k\",\"form\":\"a newer form\",\"shots\":[]}}",
            "",
        ),
        entry(stamp, "{\"station\":{},\"reading\":{}}", ""),
        entry(
            stamp,
            "{\"station\":{\"number\":3,\"at\":\"\",\"newer\":{\"x\":[null]}}}",
            "",
        )
        .replace("\"write\"", "\"a-newer-act\""),
    ] {
        let text = file(&kept);
        let read = book::read(&text).unwrap();
        let canonical = serde_json::from_str::<serde_json::Value>(&kept).unwrap();
        let canonical = serde_json_canonicalizer::to_string(&canonical).unwrap();
        assert_eq!(read.entries[0].text(), canonical);
        let again = book::read(&book::write(&read.entries, &read.written)).unwrap();
        assert_eq!(again.entries[0].text(), canonical);
        assert_eq!(
            read.entries[0].body().is_none(),
            kept.contains("\"body\":null"),
            "{kept}"
        );
    }
}

#[test]
fn fields_of_a_newer_version_survive_a_correction() {
    let entry = Entry::from_json(
        "{\"act\":\"write\",\"body\":{\"reading\":{\"station\":\"s\",\"number\":1,\"kind\":\"bedding\",\"form\":\"plane\",\"weather\":\"wet\",\"shots\":[{\"strike\":\"062\",\"temperature\":4.5}]}},\"record\":\"r\",\"stamp\":{\"at\":\"\",\"by\":\"\",\"counter\":1,\"device\":\"d\"},\"supersedes\":[]}",
    )
    .unwrap();
    let Some(Body::Reading(mut reading)) = entry.body().cloned() else {
        panic!("no reading");
    };
    reading.note = "seen".to_owned();
    let corrected = Entry::new(
        RecordId::from("r"),
        [entry.id()],
        stamp(2),
        Act::Correct,
        None,
        Some(Body::Reading(reading)),
    );
    let value: serde_json::Value = serde_json::from_str(corrected.text()).unwrap();
    let reading = &value["body"]["reading"];
    assert_eq!(reading["weather"], "wet");
    assert_eq!(reading["shots"][0]["temperature"], 4.5);
}

/// What a file of an older version holds is written as it stood there, byte by byte: all but its head.
#[track_caller]
fn written_alike(file: &BookFile, text: &str) {
    let after_the_head = |text: &str| {
        text.split_once("\"entries\":")
            .expect("entries")
            .1
            .to_owned()
    };
    let again = book::write(&file.entries, &file.written);
    assert_eq!(after_the_head(&again), after_the_head(text));
}

/// The frozen book of version 1 must open for ever. Its texts and hashes were made in another language (the note beside it).
#[test]
fn the_frozen_book_of_version_1_opens() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/books/v1.json");
    let text = std::fs::read_to_string(path).unwrap();
    let file = book::read(&text).unwrap();
    assert_eq!((file.version, file.entries.len()), (1, 14));
    written_alike(&file, &text);
    let ledger: Ledger = file.entries.into_iter().collect();
    let pages = hingeline::notebook::Pages::of(&ledger);
    assert_eq!(
        (
            pages.stations().len(),
            pages.reading_lines(),
            pages.struck_out()
        ),
        (2, 4, 1)
    );
    assert_eq!(pages.unknown().len(), 1);
    assert_eq!(pages.contested().len(), 1);
    assert!(ledger.clones().is_empty());
}

/// The same entries in version 2, which is the one that is written: byte by byte.
#[test]
fn the_frozen_book_of_version_2_opens_and_is_written_alike() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/books/");
    let [one, two] = ["v1.json", "v2.json"].map(|name| {
        let text = std::fs::read_to_string(format!("{path}{name}")).unwrap();
        (book::read(&text).unwrap(), text)
    });
    assert_eq!((two.0.version, two.0.entries.len()), (2, 14));
    assert_eq!(one.0.entries, two.0.entries);
    for file in [&one.0, &two.0] {
        assert_eq!(book::write(&file.entries, &file.written), two.1);
    }
    // Neither version is taken for the other: their digests differ.
    for (text, from, to) in [(&one.1, 1, 2), (&two.1, 2, 1)] {
        let mistaken = text.replacen(
            &format!("\"version\":{from}"),
            &format!("\"version\":{to}"),
            1,
        );
        assert!(refused(&mistaken).is_altered());
    }
}

/// The frozen book of version 1 with what set-ups, sightings and bearings put right added to it, made like the other.
#[test]
fn the_frozen_book_with_set_ups_opens_and_its_bodies_are_written_alike() {
    let path = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/tests/data/books/v1-set-ups.json"
    );
    let text = std::fs::read_to_string(path).unwrap();
    let file = book::read(&text).unwrap();
    assert_eq!((file.version, file.entries.len()), (1, 14));
    written_alike(&file, &text);
    for entry in &file.entries {
        assert!(!matches!(entry.body(), Some(Body::Unknown(_))), "{entry:?}");
    }
    let ledger: Ledger = file.entries.into_iter().collect();
    let pages = hingeline::notebook::Pages::of(&ledger);
    assert_eq!(
        (
            pages.stations().len(),
            pages.reading_lines(),
            pages.set_ups().len(),
            pages.unknown().len(),
        ),
        (2, 4, 3, 0)
    );
    let sighting = pages.stations()[0].sightings()[0].sighting().unwrap();
    assert_eq!(sighting.card_declination.as_deref(), Some("8E"));
    assert_eq!(sighting.more["weather"], "wet");
    let undo = hingeline::notebook::undo_of(&ledger, "1f0e1c52-6a0e-4c3a-9b1e-2d8f6f0a7c11");
    assert_eq!(undo.unwrap().words, "Undo change of north, 2 records");
}

/// The frozen book of version 1 with photos, made like the others; its archive is read in tests/archive.rs.
#[test]
fn the_frozen_book_with_photos_opens() {
    let path = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/tests/data/books/v1-photos.json"
    );
    let text = std::fs::read_to_string(path).unwrap();
    let file = book::read(&text).unwrap();
    assert_eq!((file.version, file.entries.len()), (1, 6));
    written_alike(&file, &text);
    let ledger: Ledger = file.entries.into_iter().collect();
    let pages = hingeline::notebook::Pages::of(&ledger);
    let photo = pages
        .photo("photo-1")
        .and_then(|line| line.photo())
        .unwrap();
    assert_eq!(photo.reading.as_deref(), Some("reading-1"));
    assert_eq!(pages.unknown().len(), 0);
    let undo = |device: &str| hingeline::notebook::undo_of(&ledger, device).unwrap().words;
    assert_eq!(
        undo("5d9b1c0e-7e51-4a0e-9a55-0b7f2f3f9d01"),
        "Undo strike out"
    );
    assert_eq!(undo("c2a7e6b4-12f4-4d0f-8a8e-6b1d0c55e702"), "Undo photo 3");
}

/// The frozen book of version 1 with every act that a person did when it was made, made like the others.
#[test]
fn the_frozen_book_with_every_act_opens() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/books/v1-acts.json");
    let text = std::fs::read_to_string(path).unwrap();
    let file = book::read(&text).unwrap();
    assert_eq!((file.version, file.entries.len()), (1, 20));
    written_alike(&file, &text);
    let acts: Vec<&Act> = file.entries.iter().map(Entry::act).collect();
    for act in [
        Act::Write,
        Act::Correct,
        Act::StrikeOut,
        Act::PutBack,
        Act::Undo,
        Act::Redo,
        Act::Accept,
        Act::Settle,
        Act::Reset,
        Act::Renumber,
        Act::Tie,
    ] {
        assert!(acts.contains(&&act), "{act:?}");
    }
    let ledger: Ledger = file.entries.into_iter().collect();
    let pages = hingeline::notebook::Pages::of(&ledger);
    assert_eq!((pages.contested().len(), pages.unknown().len()), (0, 0));
    let station = |record: &str| pages.station(record).unwrap().line().station().unwrap();
    assert_eq!(station("station-b").number, 15);
    assert_eq!(station("station-b").same_as.as_deref(), Some("station-12"));
    assert_eq!(station("station-13").apart_from, ["station-c"]);
    assert_eq!(station("station-13").accepted.len(), 1);
    assert_eq!(hingeline::notebook::twins::outcrops(&pages), 3);
    let undo = hingeline::notebook::undo_of(&ledger, "c2a7e6b4-12f4-4d0f-8a8e-6b1d0c55e702");
    assert_eq!(undo.unwrap().words, "Undo photo 1");
}

/// An act is the same whichever way its entry is read; one that a newer version does keeps its name.
#[test]
fn every_act_returns_as_itself() {
    // Whoever adds an act is stopped here, and adds it below.
    let known = |act: &Act| match act {
        Act::Write | Act::Correct | Act::StrikeOut | Act::PutBack | Act::Undo | Act::Redo => true,
        Act::Accept | Act::Settle | Act::Reset | Act::Renumber | Act::Tie | Act::Merge => true,
        Act::BringIn => true,
        Act::Other(_) => false,
    };
    for act in [
        Act::Write,
        Act::Correct,
        Act::StrikeOut,
        Act::PutBack,
        Act::Undo,
        Act::Redo,
        Act::Accept,
        Act::Settle,
        Act::Reset,
        Act::Renumber,
        Act::Tie,
        Act::BringIn,
        Act::Merge,
        Act::Other("polish".to_owned()),
    ] {
        assert_eq!(known(&act), act != Act::Other("polish".to_owned()));
        let entry = Entry::new("r".into(), [], stamp(1), act.clone(), None, None);
        let at_a_glance = Entry::from_json(&entry.text_with_id()).unwrap();
        let spread = entry.text_with_id().replace(",\"", ", \"");
        let by_the_book = Entry::from_json(&spread).unwrap();
        assert_eq!(at_a_glance.act(), &act);
        assert_eq!(by_the_book.act(), &act);
    }
}

/// A field that says nothing is not written: what was kept before there was such a field keeps its id when it is written anew.
#[test]
fn bodies_of_the_frozen_books_are_written_as_they_stand() {
    // One entry of the first book has a field of a newer version beside its body.
    for (name, alike) in [
        ("v1.json", 13),
        ("v2.json", 13),
        ("v1-set-ups.json", 14),
        ("v1-photos.json", 6),
        ("v1-acts.json", 20),
    ] {
        let path = format!("{}/tests/data/books/{name}", env!("CARGO_MANIFEST_DIR"));
        let file = book::read(&std::fs::read_to_string(path).unwrap()).unwrap();
        let again = file.entries.iter().filter(|entry| {
            let again = Entry::new(
                entry.record().clone(),
                entry.supersedes().iter().copied(),
                entry.stamp().clone(),
                entry.act().clone(),
                entry.why().map(str::to_owned),
                entry.body().cloned(),
            );
            again.id() == entry.id()
        });
        assert_eq!((name, again.count()), (name, alike));
    }
}

#[test]
fn what_is_written_agrees_with_the_published_schema() {
    let root = concat!(env!("CARGO_MANIFEST_DIR"), "/");
    let read = |path: &str| -> serde_json::Value {
        let text = std::fs::read_to_string(format!("{root}{path}")).expect("the file is there");
        serde_json::from_str(&text).expect("JSON")
    };
    let schema = read("public/hingeline-book.schema.json");
    assert!(jsonschema::draft202012::meta::is_valid(&schema));
    let validator = jsonschema::draft202012::new(&schema).unwrap();
    for path in [
        "public/demo.json",
        "tests/data/books/v1.json",
        "tests/data/books/v2.json",
        "tests/data/books/v2-beyond.json",
        "tests/data/books/v1-set-ups.json",
        "tests/data/books/v1-photos.json",
        "tests/data/books/v1-acts.json",
    ] {
        let errors: Vec<String> = validator
            .iter_errors(&read(path))
            .map(|e| e.to_string())
            .collect();
        assert!(errors.is_empty(), "{path}: {errors:?}");
    }
    let written: serde_json::Value =
        serde_json::from_str(&book::write(&small(), &written())).unwrap();
    assert!(validator.is_valid(&written));
    // And it is a schema that can say no.
    let frozen = read("tests/data/books/v1-set-ups.json");
    for (pointer, wrong) in [
        ("/entries/1/body/set-up/card", "\"octant\""),
        ("/entries/2/body/set-up/own/card/zero_deg", "\"0\""),
        ("/entries/6/body/reading/shots/0/stood/swing", "\"up\""),
        ("/entries/8/body/reading/accepted/0/shot", "-1"),
        ("/entries/9/body/reading/planes", "7"),
        ("/entries/10/body/sighting/bearing", "41"),
        ("/entries/10/body/sighting/number", "\"1\""),
    ] {
        let mut altered = frozen.clone();
        *altered.pointer_mut(pointer).expect(pointer) = serde_json::from_str(wrong).unwrap();
        assert!(!validator.is_valid(&altered), "{pointer}");
    }
    let frozen = read("tests/data/books/v2-beyond.json");
    for (pointer, wrong) in [
        ("/beyond/0/count", "-1"),
        ("/beyond/0/digest", "\"00\""),
        ("/beyond/0/tablets", "{\"a\":[[1]]}"),
        ("/beyond/0", "{}"),
    ] {
        let mut altered = frozen.clone();
        *altered.pointer_mut(pointer).expect(pointer) = serde_json::from_str(wrong).unwrap();
        assert!(!validator.is_valid(&altered), "{pointer}");
    }
    let frozen = read("tests/data/books/v1-photos.json");
    for (pointer, wrong) in [
        ("/entries/2/body/photo/sha256", "\"00\""),
        ("/entries/2/body/photo/number", "\"1\""),
        ("/entries/2/body/photo/bytes", "-1"),
        ("/entries/2/body/photo/reading", "7"),
    ] {
        let mut altered = frozen.clone();
        *altered.pointer_mut(pointer).expect(pointer) = serde_json::from_str(wrong).unwrap();
        assert!(!validator.is_valid(&altered), "{pointer}");
    }
    for (pointer, wrong) in [
        ("/version", "3"),
        ("/digest", "\"sha256:00\""),
        ("/entries/0/stamp/counter", "-1"),
        ("/entries/0/body/station/number", "\"1\""),
        ("/entries/1/body/reading/shots/0/strike", "62"),
        ("/entries/1/body/reading/form", "\"sphere\""),
        ("/entries/2/supersedes/0", "\"abc\""),
        ("/entries/2/body", "7"),
    ] {
        let mut altered = written.clone();
        *altered.pointer_mut(pointer).unwrap() = serde_json::from_str(wrong).unwrap();
        assert!(!validator.is_valid(&altered), "{pointer}");
    }
}

/// Found by a camp by lot: of a damaged entry so little may be left that nothing of it stands behind the place of its id.
#[test]
fn an_entry_of_which_little_is_left_is_refused() {
    let sound = book::write(&small(), &written());
    let lines: Vec<&str> = sound.lines().collect();
    for rest in [
        r#"{"act":"write"},"#,
        r#"{"act":"write","body":null},"#,
        "{},",
    ] {
        for line in 1..lines.len() - 2 {
            let mut damaged = lines.clone();
            damaged[line] = rest;
            let error = refused(&damaged.join("\n"));
            assert!(
                error.is_damaged() || error.is_altered(),
                "{rest} on line {line}: {error}"
            );
        }
    }
}
