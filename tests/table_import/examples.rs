//! Tables as people write them, each with what it comes to in `tests/data/import/expected.json`.

use std::fs;
use std::path::{Path, PathBuf};

use hingeline::exchange::table_import::{Brought, Matching, Outcome, Table, Weight};
use hingeline::notebook::{Body, Reading, Shot, Station};
use serde_json::{Value, json};

use crate::brought;

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/import")
}

/// `bedding strike 045, dip 30, side SE (right hand); note`.
fn reading(reading: &Reading) -> String {
    let shots: Vec<String> = reading.shots.iter().map(shot).collect();
    let mut text = format!("{} {}", reading.kind, shots.join(" / "));
    if reading.right_hand {
        text.push_str(" right-hand");
    }
    for (is, word) in [
        (reading.north.name() != "unknown", reading.north.name()),
        (
            !matches!(reading.tops, hingeline::notebook::Tops::Unknown),
            "tops told",
        ),
    ] {
        if is {
            text.push_str(&format!(" {word}"));
        }
    }
    if let Some(sense) = reading.sense {
        text.push_str(&format!(" {}", sense.words()));
    }
    if !reading.note.is_empty() {
        text.push_str(&format!(" [{}]", reading.note));
    }
    text
}

fn shot(shot: &Shot) -> String {
    let mut dials: Vec<String> = shot
        .texts()
        .map(|(name, text)| format!("{name} {text}"))
        .collect();
    if shot.up {
        dials.push("up".to_owned());
    }
    if !shot.at.is_empty() {
        dials.push(format!("at {}", shot.at));
    }
    dials.join(", ")
}

fn station(station: &Station) -> String {
    let mut text = format!("{} {}", station.number, station.name);
    if let Some(position) = &station.position {
        text.push_str(&format!(
            " {:.5} {:.5}",
            position.latitude, position.longitude
        ));
        if let Some(height) = position.height_m {
            text.push_str(&format!(" {height} m"));
        }
    }
    if !station.note.is_empty() {
        text.push_str(&format!(" [{}]", station.note));
    }
    text.trim_end().to_owned()
}

fn outcome(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::Taken => "taken",
        Outcome::Here => "here",
        Outcome::StruckOut => "struck out",
        Outcome::Nothing => "nothing",
        Outcome::LeftOut => "left out",
        Outcome::Differs => "differs",
        Outcome::Withdrawn => "withdrawn",
    }
}

fn comes_to(table: &Table, matching: &Matching, brought: &Brought) -> Value {
    let columns = table.headings.iter().zip(&matching.columns);
    let columns: Vec<String> = columns
        .map(|(heading, matched)| format!("{heading} = {}", matched.what.name()))
        .collect();
    let mut stations = Vec::new();
    let mut readings = Vec::new();
    for (_, body) in &brought.records {
        match body {
            Body::Station(of) => stations.push(station(of)),
            Body::Reading(of) => {
                let from = of.from.as_ref().unwrap();
                readings.push(format!("line {}: {}", from.line, reading(of)));
            }
            other => panic!("a table made a {}", other.kind()),
        }
    }
    let mut findings = Vec::new();
    let mut rows = Vec::new();
    for row in &brought.rows {
        if row.outcome != Outcome::Taken {
            rows.push(format!("line {}: {}", row.line, outcome(row.outcome)));
        }
        for found in &row.findings {
            let weight = match found.weight {
                Weight::Doubt => "doubt",
                Weight::NotRead => "not read",
                Weight::Note => "note",
            };
            findings.push(format!("line {}, {weight}: {}", found.line, found.words));
        }
    }
    json!({
        "separator": table.separator.to_string(),
        "encoding": table.encoding.name(),
        "columns": columns,
        "remarks": table.remarks,
        "words": brought.counts.words(),
        "notes": brought.counts.notes(),
        "stations": stations,
        "readings": readings,
        "findings": findings,
        "not_taken": rows,
    })
}

/// Each expectation was looked over against its table, cell by cell; the doubts are those of the keypad, which
/// `tests/orientation` holds against its own sources.
#[test]
fn every_example_comes_to_what_is_expected() {
    let text = fs::read_to_string(folder().join("expected.json")).unwrap();
    let expected: Value = serde_json::from_str(&text).unwrap();
    let expected = expected.as_object().unwrap();
    let mut seen = 0;
    let mut files: Vec<PathBuf> = fs::read_dir(folder())
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "csv"))
        .collect();
    files.sort();
    for path in files {
        let name = path.file_name().unwrap().to_str().unwrap().to_owned();
        let bytes = fs::read(&path).unwrap();
        let (table, matching, brought) = brought(&name, &bytes);
        let found = comes_to(&table, &matching, &brought);
        if std::env::var_os("HINGELINE_SHOW").is_some() {
            println!("{name:?}: {found:#},");
            continue;
        }
        let wanted = expected
            .get(&name)
            .unwrap_or_else(|| panic!("{name} has no expectation"));
        for (field, wanted) in wanted.as_object().unwrap() {
            assert_eq!(&found[field], wanted, "{name}, {field}");
        }
        seen += 1;
    }
    if std::env::var_os("HINGELINE_SHOW").is_none() {
        assert_eq!(seen, expected.len());
    }
}
