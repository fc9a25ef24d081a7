//! `camp show` as it is run: a book is readable without the app, in its own notation, and nothing in it can drive a terminal.

use std::fs;
use std::path::{Path, PathBuf};

use hingeline::exchange::book::{self, Written};
use hingeline::notebook::{Act, Body, Entry, North, Reading, SetUp, Stamp, Station};
use serde_json::Value;

use crate::run::{self, Run, run};

fn show(args: &[&str]) -> Run {
    run("show", args)
}

#[test]
fn a_book_is_shown_in_its_notation_with_north_and_doubts() {
    let run = show(&["public/demo.json"]);
    assert_eq!((run.code, run.err.as_str()), (0, ""));
    for wanted in [
        "Varrelow, 12 stations, 79 readings",
        "14 June 2026",
        "1    beck, first bend · 52.74126, -3.70335 ±6 m (device) · Quernel Grit",
        "  1.1    bedding    070/35 S",
        "reads true north: ½° W is set on the card",
        "         shot 1  strike 070 dip 35 side S",
        "doubt: a plane striking 151 dips to the south-west or the north-east, not to the south-east",
    ] {
        assert!(run.out.contains(wanted), "{wanted} is missing");
    }
    let readings = run.out.lines().filter(|line| {
        let name = line.split_whitespace().next().unwrap_or("");
        line.starts_with("  ") && !line.starts_with("   ") && name.contains('.')
    });
    // 79 stand and one is struck out.
    assert_eq!(readings.count(), 80);
    assert!(
        !run.out.contains("09:10:57"),
        "times of entries belong to the history"
    );
}

#[test]
fn the_history_says_who_when_and_what() {
    let run = show(&["tests/data/books/v1.json", "--station", "1", "--history"]);
    assert_eq!(run.code, 1, "two versions wait for a person");
    for wanted in [
        "2026-06-14T09:03:00+01:00  K.O.  station 1",
        "2026-06-14T09:09:00+01:00  K.O.  strike out: a slumped block",
        "to be settled: note: ",
        "planar by K.O.",
        "struck out",
    ] {
        assert!(
            run.out.contains(wanted),
            "{wanted} is missing in {}",
            run.out
        );
    }
    assert!(!run.out.contains("station 2"), "{}", run.out);
    let run = show(&["tests/data/books/v1.json", "--station", "9"]);
    assert_eq!(run.code, 2);
    assert!(run.err.contains("no station is numbered 9"), "{}", run.err);
}

#[test]
fn every_record_is_one_object_as_json() {
    let run = show(&["--format", "json", "public/demo.json", "--history"]);
    let records: Vec<Value> = run
        .out
        .lines()
        .map(|line| serde_json::from_str(line).expect("JSON"))
        .collect();
    let count = |kind: &str| {
        records
            .iter()
            .filter(|record| record["kind"] == kind)
            .count()
    };
    assert_eq!(
        (count("station"), count("reading"), count("set-up")),
        (12, 80, 2)
    );
    let first = records
        .iter()
        .find(|record| record["name"] == "1.1")
        .expect("the first reading");
    assert_eq!(first["value"], "070/35 S");
    assert_eq!(
        (
            first["plane"]["strike"].as_f64(),
            first["plane"]["dip"].as_f64()
        ),
        (Some(70.0), Some(35.0))
    );
    assert_eq!(first["counts_from_true"], true);
    assert_eq!(first["body"]["reading"]["shots"][0]["strike"], "070");
    assert_eq!(first["history"][0]["act"], "write");
}

/// What stands for the declination of a set-up or a reading and is no number is said to be none, never taken for one.
#[test]
fn a_declination_that_is_no_number_is_said_to_be_none() {
    let kept = |record: &str, counter: u64, body: Body| {
        let at = "2026-06-14T09:00:00+01:00".to_owned();
        let stamp = Stamp {
            by: "Q.V.".to_owned(),
            device: "d".to_owned(),
            counter,
            at,
        };
        Entry::new(record.into(), [], stamp, Act::Write, None, Some(body))
    };
    for (north, text, wanted) in [
        (
            North::Magnetic,
            "soon",
            "reads magnetic north; where the declination should stand is `soon`, no number from -180 to 180, so it is not known",
        ),
        (
            North::True,
            "NaN",
            "reads true north; where the declination should stand is `NaN`, no number from -180 to 180, so it is not known",
        ),
        (
            North::Magnetic,
            "1e308",
            "where the declination should stand is `1e308`, no number",
        ),
        (
            North::Magnetic,
            "-181",
            "where the declination should stand is `-181`, no number",
        ),
        (
            North::Magnetic,
            "3.5W",
            "reads magnetic north; 3½° W is added",
        ),
        (North::True, "0", "reads true north: 0° is set on the card"),
    ] {
        let set_up = SetUp {
            name: "Transit".to_owned(),
            north,
            declination: Some(text.to_owned()),
            ..SetUp::default()
        };
        let station = Station {
            number: 1,
            at: "2026-06-14T09:00:00+01:00".to_owned(),
            ..Station::default()
        };
        let reading = Reading {
            station: "s".to_owned(),
            number: 1,
            kind: "bedding".to_owned(),
            north,
            declination: Some(text.to_owned()),
            ..Reading::default()
        };
        let entries = [
            kept("u", 1, Body::SetUp(set_up)),
            kept("s", 2, Body::Station(station)),
            kept("r", 3, Body::Reading(reading)),
        ];
        let text = book::write(&entries, &Written::default());
        let path = run::file("camp-show-declination.json", text);
        let run = show(&[path.to_str().expect("text")]);
        let said = run.out.lines().filter(|line| line.contains(wanted));
        assert_eq!(said.count(), 2, "{wanted} in {}", run.out);
    }
}

#[test]
fn a_note_forges_no_line() {
    let station = Station {
        number: 1,
        name: "outcrop\n  1.9    bedding".to_owned(),
        note: "planar\n  1.8    bedding    045/30 SE\r\n2    forged".to_owned(),
        at: "2026-06-14T09:00:00+01:00".to_owned(),
        ..Station::default()
    };
    let stamp = Stamp {
        by: "Q.V.".to_owned(),
        device: "d".to_owned(),
        counter: 1,
        at: "2026-06-14T09:00:00+01:00".to_owned(),
    };
    let body = Some(Body::Station(station));
    let entry = Entry::new("s".into(), [], stamp, Act::Write, None, body);
    let text = book::write(&[entry], &Written::default());
    let path = run::file("camp-show-forged.json", text);
    let run = show(&[path.to_str().expect("text")]);
    assert_eq!(run.code, 0);
    let lines: Vec<&str> = run.out.lines().collect();
    assert_eq!(lines.len(), 5, "{lines:?}");
    assert!(
        lines[3].starts_with("1    outcrop\\n  1.9    bedding ·"),
        "{lines:?}"
    );
    assert!(
        lines[4].starts_with("     planar\\n  1.8    bedding"),
        "{lines:?}"
    );
}

#[test]
fn nothing_in_a_book_drives_the_terminal() {
    let hostile = "\u{1b}[2J\u{1b}]0;title\u{7}\u{9b}31m\rover\u{8}<script>";
    let station = Station {
        number: 1,
        name: hostile.to_owned(),
        note: hostile.to_owned(),
        unit: hostile.to_owned(),
        at: hostile.to_owned(),
        ..Station::default()
    };
    let stamp = Stamp {
        by: hostile.to_owned(),
        device: hostile.to_owned(),
        counter: 1,
        at: hostile.to_owned(),
    };
    let why = Some(hostile.to_owned());
    let entry = Entry::new(
        hostile.into(),
        [],
        stamp,
        Act::Write,
        why,
        Some(Body::Station(station)),
    );
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR"));
    let path = folder.join("camp-show-hostile.json");
    fs::write(
        &path,
        book::write(
            &[entry],
            &Written {
                by: hostile.to_owned(),
                ..Written::default()
            },
        ),
    )
    .expect("written");
    let path = path.to_str().expect("text");
    let check = |output: &str| {
        let driving = output.chars().find(|c| c.is_control() && *c != '\n');
        assert_eq!(driving, None, "{output:?}");
        assert!(output.contains("<script>"), "it is shown all the same");
    };
    check(&show(&[path, "--history"]).out);
    for command in ["doctor", "join"] {
        let output = run::camp()
            .arg(command)
            .arg(path)
            .output()
            .expect("camp starts");
        check(&String::from_utf8(output.stdout).expect("text"));
    }
}

#[test]
fn what_is_no_book_is_named() {
    let run = show(&["README.md"]);
    assert_eq!((run.code, run.out.as_str()), (2, ""));
    assert!(
        run.err.contains("README.md: this is not a book file"),
        "{}",
        run.err
    );
    assert!(
        Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("README.md")
            .exists()
    );
    assert!(
        show(&["--help"])
            .out
            .contains("camp show book.json --station 47 --history")
    );
}
