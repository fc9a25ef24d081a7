//! Files that were made to do harm: each is refused in words, in bounded memory, or read without harm; nothing of ours breaks off.
//!
//! What an archive may do stands in tests/archive.rs, what a text may do to a hand-over in tests/hand_over/hostile.rs.
#![cfg(not(target_arch = "wasm32"))]

use std::fs;
use std::io::{BufReader, BufWriter, Write};
use std::path::{Path, PathBuf};
use std::process::Command;

use hingeline::exchange::book::stream::Stream;
use hingeline::exchange::book::{self, Written};
use hingeline::exchange::dial_table::Table;
use hingeline::notebook::{
    Act, Body, Entry, Form, North, Position, Reading, SetUp, Shot, Sighting, Stamp, Station,
};
use serde_json::Value;
use sha2::{Digest, Sha256};

fn folder(name: &str) -> PathBuf {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(format!("hostile-{name}"));
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).expect("a folder");
    folder
}

/// What a run of `camp` with so much memory, in MiB, said, and its exit code.
#[track_caller]
fn camp(folder: &Path, most: u64, args: &[&str]) -> (String, i32) {
    let output = Command::new("sh")
        .args(["-c", "ulimit -v $0; exec \"$@\""])
        .arg((most * 1024).to_string())
        .arg(env!("CARGO_BIN_EXE_camp"))
        .args(args)
        .current_dir(folder)
        .output()
        .expect("a shell");
    let said = [output.stdout, output.stderr].concat();
    let said = String::from_utf8(said).expect("text");
    let code = output.status.code();
    let code = code.unwrap_or_else(|| panic!("{args:?} was ended, {}: {said}", output.status));
    assert!(code <= 2, "{args:?} broke off with {code}: {said}");
    (said, code)
}

fn written() -> Written {
    Written {
        at: "2026-06-15T20:10:00+02:00".to_owned(),
        by: "K.O.".to_owned(),
        device: "tablet-a".to_owned(),
    }
}

fn entry(record: &str, counter: u64, body: Body) -> Entry {
    let stamp = Stamp {
        by: "K.O.".to_owned(),
        device: "tablet-a".to_owned(),
        counter,
        at: "2026-06-14T09:00:00+02:00".to_owned(),
    };
    Entry::new(record.into(), [], stamp, Act::Write, None, Some(body))
}

fn station(position: Option<Position>) -> Body {
    Body::Station(Station {
        number: 1,
        at: "2026-06-14T09:00:00+02:00".to_owned(),
        position,
        ..Station::default()
    })
}

fn small() -> String {
    let position = Position {
        latitude: 52.7,
        longitude: -3.7,
        source: "device".to_owned(),
        ..Position::default()
    };
    book::write(&[entry("s", 1, station(Some(position)))], &written())
}

fn sha256(text: &str) -> String {
    let digest = Sha256::digest(text.as_bytes());
    digest.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// The text with its one entry's id and its digest put right, as somebody does who forges a book. What ordinary JSON readers make
/// of the text is what is hashed.
fn forged(text: &str) -> String {
    let hash =
        |value: &Value| sha256(&serde_json_canonicalizer::to_string(value).expect("canonical"));
    let mut file: Value = serde_json::from_str(text).expect("JSON");
    let stated = file["entries"][0]
        .as_object_mut()
        .and_then(|entry| entry.remove("id"))
        .expect("an id");
    let right = hash(&file["entries"][0]);
    let text = text.replace(stated.as_str().expect("text"), &right);
    let mut file: Value = serde_json::from_str(&text).expect("JSON");
    let stated = file.as_object_mut().and_then(|file| file.remove("digest"));
    let stated = stated.expect("a digest");
    for entry in file["entries"].as_array_mut().expect("a list") {
        *entry = entry["id"].take();
    }
    let right = format!("sha256:{}", hash(&file));
    text.replace(stated.as_str().expect("text"), &right)
}

/// Both readers refuse the bytes with the same words in their reasons; a book of one line says where.
#[track_caller]
fn refused(bytes: &[u8], because: &str) {
    let whole = book::read_bytes(bytes).expect_err("refused").to_string();
    assert!(whole.contains(because), "{whole}");
    assert!(whole.chars().count() < 600, "too long: {whole}");
    let streamed = streamed(bytes).expect_err("refused").to_string();
    assert!(streamed.contains(because), "{streamed}");
    for message in [&whole, &streamed] {
        assert!(message.contains("line "), "not where: {message}");
        assert!(message.contains("; "), "no way out: {message}");
    }
}

fn streamed(bytes: &[u8]) -> Result<Vec<Entry>, book::Error> {
    let mut stream = Stream::open(BufReader::with_capacity(16, bytes))?;
    let mut entries = Vec::new();
    while let Some(piece) = stream.next_piece()? {
        entries.push(piece.entry);
    }
    Ok(entries)
}

// --- Size and depth -------------------------------------------------------------------------------------------------------

/// The file is held once by whoever reads it whole, and not at all by whoever goes entry by entry.
#[test]
fn a_hundred_megabytes_of_nesting_end_no_command() {
    let folder = folder("deep");
    let text = small();
    for (line, place) in [("line 1", "\"count\":1"), ("line 2", "\"number\":1")] {
        let (before, after) = text.split_once(place).expect("there");
        let path = folder.join("deep.json");
        let mut file = BufWriter::new(fs::File::create(&path).expect("a file"));
        let mut put = |text: &str| file.write_all(text.as_bytes()).expect("room");
        put(before);
        put("\"deep\":");
        let thousand = "{\"a\":[".repeat(1000);
        (0..17_000).for_each(|_| put(&thousand));
        put(place);
        put(after);
        drop(file);
        assert!(fs::metadata(&path).expect("there").len() > 100_000_000);
        for (most, args) in [
            (128, vec!["doctor", "deep.json"]),
            (128, vec!["join", "deep.json", "-o", "joined.json"]),
            (512, vec!["check", "deep.json"]),
            (512, vec!["show", "deep.json"]),
            (
                512,
                vec!["hand-over", "deep.json", "--format", "geojson", "-o", "out"],
            ),
        ] {
            // Those that read whole do it alike wherever the nesting stands.
            if most > 128 && line == "line 2" {
                continue;
            }
            let (said, code) = camp(&folder, most, &args);
            assert_ne!(code, 0, "{args:?}");
            assert!(!folder.join("joined.json").exists());
            assert!(!folder.join("out").exists());
            for words in ["nested more than 64 deep", &format!("{line}, column")] {
                assert!(said.contains(words), "{args:?}: {said}");
            }
        }
    }
    fs::remove_dir_all(folder).expect("cleared");
}

#[test]
fn a_hundred_megabytes_on_one_line_are_no_table() {
    let folder = folder("line");
    let mut file = BufWriter::new(fs::File::create(folder.join("line.csv")).expect("a file"));
    let mut put = |text: &str| file.write_all(text.as_bytes()).expect("room");
    put("strike,dip\n045,\"");
    let thousand = "x".repeat(1000);
    (0..100_000).for_each(|_| put(&thousand));
    drop(file);
    let (said, code) = camp(&folder, 128, &["check", "line.csv"]);
    assert_eq!(code, 2, "{said}");
    assert!(
        said.contains("line 2") && said.contains("megabyte"),
        "{said}"
    );
    fs::remove_dir_all(folder).expect("cleared");
}

/// A heading of a million columns: the answer names a few of them.
#[test]
fn a_great_many_columns_give_a_short_note() {
    let table = format!("strike,dip{}\n045,30\n", ",x".repeat(60_000));
    let table = Table::open(table.as_bytes()).expect("a heading");
    let notes = table.notes().join("; ");
    assert!(notes.chars().count() < 1000, "{} characters", notes.len());
    assert!(notes.contains("and 59995 more"), "{notes}");
}

/// A great many entries that are none, packed densely: what is no entry takes no room.
#[test]
fn a_bomb_of_empty_entries_takes_no_room() {
    let folder = folder("entries");
    let text = small();
    let (before, after) = text.split_once("\n{").expect("an entry");
    let (_, after) = after.split_once("\n]").expect("an end");
    let bomb = format!("{before}{}{{}}]{after}", "{},".repeat(2_000_000));
    fs::write(folder.join("bomb.json"), &bomb).expect("room");
    for args in [
        &["check", "bomb.json"][..],
        &["join", "bomb.json", "-o", "joined.json"],
    ] {
        let (said, code) = camp(&folder, 128, args);
        assert_ne!(code, 0);
        assert!(said.contains("entry 1 of"), "{args:?}: {said}");
    }
    fs::remove_dir_all(folder).expect("cleared");
}

/// Every one of them would have to be held against all before.
#[test]
fn a_great_many_fields_at_the_top_are_read_in_one_go() {
    let more: String = (0..60_000).map(|i| format!("\"x{i}\":0,")).collect();
    let text = small().replacen("\"count\":1", &format!("{more}\"count\":1"), 1);
    let text = forged(&text);
    assert_eq!(book::read(&text).expect("a book").more.len(), 60_000);
    assert_eq!(streamed(text.as_bytes()).expect("a book").len(), 1);
    let twice = text.replacen("\"x59999\"", "\"x0\"", 1);
    refused(twice.as_bytes(), "the key `x0` is given twice");
}

#[test]
fn a_long_text_is_kept_and_never_shown_whole_in_a_message() {
    let long = "ö".repeat(1 << 20);
    let text = small();
    let kept = forged(&text.replacen("\"note\":\"\"", &format!("\"note\":\"{long}\""), 1));
    let read = book::read(&kept).expect("a book");
    assert_eq!(streamed(kept.as_bytes()).expect("a book"), read.entries);
    assert!(book::write(&read.entries, &read.written).contains(&long));
    for (place, with) in [
        (
            "\"record\":\"s\"",
            format!("\"record\":\"{long}\",\"record\":0"),
        ),
        ("\"number\":1", format!("\"{long}\":1,\"{long}\":1")),
        (
            "\"number\":1",
            format!("\"number\":1{}", "0".repeat(1 << 20)),
        ),
        ("\"version\":2", format!("\"version\":\"{long}\"")),
        ("\"count\":1", format!("\"count\":1{}", "0".repeat(1 << 20))),
        ("\"act\":\"write\"", format!("\"act\":\"{long}\"")),
    ] {
        let broken = text.replacen(place, &with, 1);
        assert_ne!(broken, text);
        for message in [
            book::read(&broken).expect_err("refused").to_string(),
            streamed(broken.as_bytes())
                .expect_err("refused")
                .to_string(),
        ] {
            assert!(
                message.chars().count() < 600,
                "{} characters",
                message.len()
            );
        }
    }
}

// --- Texts and keys ---------------------------------------------------------------------------------------------------------

#[test]
fn half_of_a_surrogate_pair_is_refused_wherever_a_text_stands() {
    let text = small();
    let places = [
        "\"record\":\"s",
        "\"act\":\"write",
        "\"by\":\"K.O.",
        "\"device\":\"tablet-a",
        "\"source\":\"device",
        "\"note\":\"",
        "\"note",
        "\"written",
    ];
    for place in places {
        for half in [
            "\\ud800",
            "\\udc00",
            "\\uD800\\uD800",
            "\\ud800\\u0041",
            "\\ud83e ",
        ] {
            let broken = text.replacen(place, &format!("{place}{half}"), 1);
            assert_ne!(broken, text, "{place}");
            refused(broken.as_bytes(), "half of a surrogate pair stands alone");
        }
        // The same as three bytes, which are no UTF-8.
        let at = text.find(place).expect("there") + place.len();
        let mut bytes = text.clone().into_bytes();
        bytes.splice(at..at, *b"\xed\xa0\x80");
        refused(&bytes, "the bytes there are no text (UTF-8)");
    }
    // A whole pair is a text like any other.
    let whole = forged(&text.replacen("\"note\":\"", "\"note\":\"\\ud83e\\udea8", 1));
    assert!(
        book::read(&whole).expect("a book").entries[0]
            .text()
            .contains('\u{1faa8}')
    );
    assert!(streamed(whole.as_bytes()).is_ok());
}

/// Two readers that take different ones of two keys would see two books under one hash.
#[test]
fn a_key_given_twice_is_refused_even_where_hash_and_digest_are_right() {
    let text = small();
    for (place, twice) in [
        ("\"number\":1", "\"number\":2,\"number\":1"),
        ("\"number\":1", "\"numb\\u0065r\":2,\"number\":1"),
        ("\"latitude\":52.7", "\"latitude\":0,\"latitude\":52.7"),
        ("\"record\":\"s\"", "\"record\":\"t\",\"record\":\"s\""),
        (
            "\"act\":\"write\"",
            "\"act\":\"strike-out\",\"act\":\"write\"",
        ),
        ("\"version\":2", "\"version\":2,\"version\":2"),
        ("\"by\":\"K.O.\"", "\"by\":\"X.Y.\",\"by\":\"K.O.\""),
    ] {
        let twice = text.replacen(place, twice, 1);
        assert_ne!(twice, text);
        // To the reader that takes the last one it is the same book.
        let last: Value = serde_json::from_str(&twice).expect("JSON");
        assert_eq!(last, serde_json::from_str::<Value>(&text).expect("JSON"));
        refused(twice.as_bytes(), "is given twice");
    }
}

// --- Numbers ----------------------------------------------------------------------------------------------------------------

#[test]
fn what_is_no_number_is_refused_where_a_number_belongs() {
    let text = small();
    for odd in [
        "NaN",
        "nan",
        "Infinity",
        "-Infinity",
        "inf",
        "+1",
        ".5",
        "1.",
        "01",
        "0x10",
        "1e",
        "1_0",
        "1,5",
        "--1",
        "1e+",
        "½",
    ] {
        let broken = text.replacen("\"latitude\":52.7", &format!("\"latitude\":{odd}"), 1);
        refused(broken.as_bytes(), "");
    }
    for large in ["1e309", "-1e309", "1e999999999999", &"9".repeat(400)] {
        let broken = text.replacen("\"latitude\":52.7", &format!("\"latitude\":{large}"), 1);
        refused(broken.as_bytes(), "is larger than any can be");
    }
}

/// Every field of a book that holds a number or a dial, with numbers that no instrument shows: every command comes to its end, and
/// what is handed over has no place that is none.
#[test]
fn numbers_beyond_all_sense_end_no_command() {
    let numbers = [1e308, -1e308, 5e-324, -0.0, 90.000_000_1, 180.5, 1e17];
    let dials = [
        "1e308",
        "NaN",
        "inf",
        "-1e308",
        "999999999",
        "1e-400",
        "-0",
        "９９９",
        "0.0000000000001",
        "=1+1",
        "<script>",
        "\u{202e}30",
        "\u{0}",
        "",
        " ",
        "½",
    ];
    let folder = folder("numbers");
    let mut entries = Vec::new();
    let mut counter = 0;
    let mut add = |record: String, body: Body| {
        counter += 1;
        entries.push(entry(&record, counter, body));
    };
    for (i, &number) in numbers.iter().enumerate() {
        let other = numbers[(i + 1) % numbers.len()];
        let mut station = Station {
            number: u32::MAX - u32::try_from(i).expect("few"),
            at: "9999-99-99T99:99:99+99:99".to_owned(),
            ..Station::default()
        };
        station.position = Some(Position {
            latitude: number,
            longitude: other,
            height_m: Some(number),
            accuracy_m: Some(other),
            source: "device".to_owned(),
            ..Position::default()
        });
        add(format!("s{i}"), Body::Station(station));
    }
    for (i, &dial) in dials.iter().enumerate() {
        let text = || Some(dial.to_owned());
        let set_up = SetUp {
            north: North::Magnetic,
            declination: text(),
            resolution: dial.to_owned(),
            needle_sd: text(),
            inclination_sd: text(),
            placement_sd: text(),
            index_width: text(),
            ..SetUp::default()
        };
        add(format!("u{i}"), Body::SetUp(set_up));
        for (j, form) in [Form::Plane, Form::Line, Form::PlaneWithLine, Form::Angle]
            .into_iter()
            .enumerate()
        {
            let shot = Shot {
                strike: text(),
                dip: text(),
                side: text(),
                toward: text(),
                trend: text(),
                plunge: text(),
                rake: text(),
                angle: text(),
                ..Shot::default()
            };
            let reading = Reading {
                station: format!("s{}", i % numbers.len()),
                number: u32::MAX,
                kind: dial.to_owned(),
                form,
                set_up: Some(format!("u{i}")),
                north: North::Magnetic,
                declination: text(),
                card_declination: text(),
                shots: vec![shot.clone(), Shot::default(), shot],
                ..Reading::default()
            };
            add(format!("r{i}-{j}"), Body::Reading(reading));
        }
        let sighting = Sighting {
            station: format!("s{}", i % numbers.len()),
            to: Some(format!("s{}", (i + 1) % numbers.len())),
            bearing: text(),
            vertical: text(),
            slope_m: text(),
            level_m: text(),
            distance_sd_m: text(),
            set_up: Some(format!("u{i}")),
            north: North::Magnetic,
            declination: text(),
            ..Sighting::default()
        };
        add(format!("t{i}"), Body::Sighting(sighting));
    }
    let text = book::write(&entries, &written());
    fs::write(folder.join("book.json"), &text).expect("room");
    assert_eq!(
        book::read(&text).expect("a book").entries.len(),
        entries.len()
    );
    for args in [
        &["check", "book.json"][..],
        &["check", "--format", "json", "book.json"],
        &["doctor", "book.json"],
        &["show", "book.json"],
        &["show", "--format", "json", "book.json"],
        &["join", "book.json", "-o", "joined.json"],
        &["figures", "book.json"],
    ] {
        let (said, _) = camp(&folder, 1024, args);
        assert!(!said.contains("panicked"), "{args:?}: {said}");
    }
    let joined = fs::read_to_string(folder.join("joined.json")).expect("a book");
    let joined = book::read(&joined).expect("a book").entries;
    assert_eq!(book::write(&joined, &written()), text);
    for format in ["geojson", "csv", "kml", "gpx", "geopackage"] {
        let out = format!("out.{format}");
        let args = ["hand-over", "book.json", "--format", format, "-o", &out];
        let (said, code) = camp(&folder, 1024, &args);
        assert_eq!(code, 0, "{format}: {said}");
    }
    let geojson = fs::read(folder.join("out.geojson")).expect("a file");
    let geojson: Value = serde_json::from_slice(&geojson).expect("JSON");
    let features = geojson["features"].as_array().expect("features");
    assert!(features.len() >= numbers.len() + 4 * dials.len());
    for feature in features {
        if let Some(place) = feature["geometry"]["coordinates"].as_array() {
            let of = |i: usize| place[i].as_f64().expect("a number");
            assert!(of(0).abs() <= 180.0 && of(1).abs() <= 90.0, "{feature}");
        }
    }
}

#[test]
fn what_is_no_number_is_refused_in_a_table() {
    for odd in [
        "NaN",
        "nan",
        "inf",
        "Infinity",
        "-inf",
        "1e308",
        "1e3",
        "0x1F",
        "1/0",
        "٫",
        "1 000",
        "--3",
        "9999999999",
        "=45",
        "#REF!",
        "\u{202e}54",
    ] {
        let table = format!(
            "strike,dip,trend,plunge,rake,sd_bearing\n\"{odd}\",\"{odd}\",\"{odd}\",\"{odd}\",\"{odd}\",\"{odd}\"\n"
        );
        let mut table = Table::open(table.as_bytes()).expect("a heading");
        let faults = table.next().expect("a row").expect_err("no numbers");
        assert_eq!(faults.len(), 6, "{odd}: {faults:?}");
        for fault in faults {
            assert!(fault.to_string().starts_with("line 2, column "), "{fault}");
        }
        assert!(table.next().is_none());
    }
}
