//! The book file: what is written reads back byte by byte; what is not whole is refused in words, and nothing of it is taken.

#![cfg(not(target_arch = "wasm32"))]

use hingeline::exchange::book::{self, Written};
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
