//! A book file read beside the book that is open, and one written piece by piece: the same as whole and alone.

#![cfg(not(target_arch = "wasm32"))]
#![allow(clippy::unwrap_used, reason = "all of this is a test")]

use hingeline::exchange::book::{self, Written};
use hingeline::notebook::{Act, Body, Entry, Ledger, RecordId, Stamp, Station};

fn written() -> Written {
    Written {
        at: "2026-06-15T20:10:00+02:00".to_owned(),
        by: "K.Ö.".to_owned(),
        device: "tablet-a".to_owned(),
    }
}

fn station(number: u32) -> Entry {
    let stamp = Stamp {
        by: "K.Ö.".to_owned(),
        device: format!("tablet-{}", number % 3),
        counter: u64::from(number),
        at: "2026-06-14T09:00:00+02:00".to_owned(),
    };
    let body = Station {
        number,
        name: format!("Ledge \"{number}\"\n"),
        at: "2026-06-14T09:00:00+02:00".to_owned(),
        ..Station::default()
    };
    let record = RecordId::from(format!("station-{number}"));
    Entry::new(
        record,
        [],
        stamp,
        Act::Write,
        None,
        Some(Body::Station(body)),
    )
}

fn stations(numbers: std::ops::Range<u32>) -> Vec<Entry> {
    numbers.map(station).collect()
}

#[test]
fn beside_any_ledger_a_file_reads_as_it_does_alone() {
    let text = book::write(&stations(0..40), &written());
    let alone = book::read(&text).unwrap();
    for known in [0..0, 0..20, 10..60, 0..40] {
        let ledger: Ledger = stations(known).into_iter().collect();
        let beside = book::read_beside(text.as_bytes(), &ledger).unwrap();
        assert_eq!(beside, alone);
        for (a, b) in beside.entries.iter().zip(&alone.entries) {
            assert_eq!(
                (a.text(), a.body(), a.stamp()),
                (b.text(), b.body(), b.stamp())
            );
        }
    }
}

#[test]
fn an_entry_that_is_known_and_was_altered_in_the_file_is_refused() {
    let known: Ledger = stations(0..40).into_iter().collect();
    let text = book::write(&stations(0..40), &written());
    let altered = text.replacen("\"number\":7", "\"number\":8", 1);
    assert_ne!(text, altered);
    let error = book::read_beside(altered.as_bytes(), &known).unwrap_err();
    assert!(error.is_altered(), "{error}");
    assert_eq!(error, book::read_bytes(altered.as_bytes()).unwrap_err());
    assert!(error.to_string().contains("station-7"), "{error}");
}

#[test]
fn cut_off_or_flipped_at_any_byte_it_is_refused_beside_the_same_book() {
    let known: Ledger = stations(0..3).into_iter().collect();
    let text = book::write(&stations(0..3), &written());
    for at in 0..text.trim_end().len() {
        let cut = &text.as_bytes()[..at];
        assert!(book::read_beside(cut, &known).is_err(), "cut at {at}");
        let mut flipped = text.clone().into_bytes();
        flipped[at] ^= 1;
        if let Ok(file) = book::read_beside(&flipped, &known) {
            // Space may become another space; nothing else may pass.
            assert_eq!(file.entries, stations(0..3), "flipped at {at}");
        }
    }
}

#[test]
fn another_layout_of_known_entries_is_the_same_book() {
    let known: Ledger = stations(0..5).into_iter().collect();
    let text = book::write(&stations(0..5), &written());
    let value: serde_json::Value = serde_json::from_str(&text).unwrap();
    let pretty = serde_json::to_string_pretty(&value).unwrap();
    let file = book::read_beside(pretty.as_bytes(), &known).unwrap();
    assert_eq!(file.entries.len(), 5);
    assert!(
        file.entries
            .iter()
            .all(|entry| known.get(&entry.id()).is_some())
    );
}

/// The file as whoever receives it piece by piece puts it together.
fn in_pieces(entries: Vec<Entry>, most: usize) -> (String, usize) {
    let mut pieces = book::pieces(entries, &written(), &[]);
    let (mut file, mut count) = (Vec::new(), 0);
    while let Some(piece) = pieces.next(most) {
        file.extend(piece.into_bytes());
        count += 1;
        let so_far = String::from_utf8(file.clone()).unwrap();
        assert!(
            book::read(&so_far).is_err(),
            "without its digest it is no book"
        );
    }
    let (place, digest) = pieces.digest();
    file[place..place + digest.len()].copy_from_slice(digest.as_bytes());
    (String::from_utf8(file).unwrap(), count)
}

#[test]
fn written_in_pieces_of_any_size_it_is_the_same_file() {
    for all in [0, 1, 9, 10] {
        let mut entries = stations(0..all);
        let whole = book::write(&entries, &written());
        entries.reverse();
        for most in [0, 1, 3, 9, usize::MAX] {
            let (file, count) = in_pieces(entries.clone(), most);
            assert_eq!(file, whole, "{all} entries, {most} at once");
            assert!(count >= 1, "{count}");
        }
        assert_eq!(book::read(&whole).unwrap().entries.len(), all as usize);
    }
}

#[test]
fn the_head_tells_who_and_how_many_before_the_rest_is_read() {
    let text = book::write(&stations(0..12), &written());
    assert_eq!(book::head(&text), Some((written(), 12)));
    let start: String = text.chars().take(300).collect();
    assert_eq!(book::head(&start), Some((written(), 12)));
    for short in 0..80 {
        assert_eq!(book::head(&text[..short]), None, "{short}");
    }
    assert_eq!(book::head("{}"), None);
    let of_version =
        |version: u64| text.replacen("\"version\":2", &format!("\"version\":{version}"), 1);
    assert_eq!(book::head(&of_version(1)), Some((written(), 12)));
    assert_eq!(book::head(&of_version(3)), None);
}

#[test]
fn an_entry_reads_back_from_its_text_with_or_without_its_id() {
    for entry in stations(0..4) {
        let (with, without) = (entry.text_with_id(), entry.text().to_owned());
        let again = Entry::from_json(&with).unwrap();
        assert_eq!((again.text(), again.text_with_id()), (entry.text(), with));
        let trusted = Entry::with_trusted_id(entry.id(), without).unwrap();
        assert_eq!(trusted.body(), entry.body());
        assert_eq!(trusted.text_with_id(), entry.text_with_id());
        assert_eq!(trusted.record(), entry.record());
        assert_eq!(trusted.act(), entry.act());
    }
}

/// What is kept in the store is read at a glance where it stands as this version writes it, and by the book where it does not.
#[test]
fn heads_of_odd_forms_are_read_or_refused_as_by_the_book() {
    let entry = station(1);
    let text = entry.text();
    let odd = |from: &str, to: &str| {
        assert!(text.contains(from), "{from}");
        Entry::with_trusted_id(entry.id(), text.replacen(from, to, 1))
    };
    assert_eq!(
        odd("\"act\":\"write\"", "\"act\":\"wr\\u0069te\"")
            .unwrap()
            .act(),
        &Act::Write
    );
    assert_eq!(
        odd("\"act\":\"write\"", "\"act\":\"weigh\"").unwrap().act(),
        &Act::Other("weigh".to_owned())
    );
    let spaced = odd("\"supersedes\":[]", "\"supersedes\":[ ]").unwrap();
    assert!(spaced.supersedes().is_empty());
    let why = odd("\"supersedes\":[]}", "\"supersedes\":[],\"why\":null}").unwrap();
    assert_eq!(why.why(), None);
    // A stamp with an escape, with a member of a newer version, in another order.
    let stamp = entry.stamp();
    let whole = serde_json::to_value(stamp).unwrap();
    let by = format!("\"by\":\"{}\"", stamp.by);
    let escaped = odd(&by, "\"by\":\"Q\\\"V, \\u0041\"").unwrap();
    assert_eq!(escaped.stamp().by, "Q\"V, A");
    assert_eq!(escaped.stamp().device, stamp.device);
    let newer = odd(&by, &format!("{by},\"carried\":[\",\",{{}}]")).unwrap();
    assert_eq!(newer.stamp(), stamp);
    let canonical = serde_json_canonicalizer::to_string(&whole).unwrap();
    let turned = format!(
        "{{\"device\":{},\"counter\":{},\"by\":{},\"at\":{}}}",
        whole["device"], whole["counter"], whole["by"], whole["at"]
    );
    assert_eq!(odd(&canonical, &turned).unwrap().stamp(), stamp);
    for (from, to) in [
        ("\"counter\":1", "\"counter\":1.5"),
        ("\"counter\":1", "\"counter\":[1,2]"),
        ("\"stamp\":{\"at\":\"", "\"stamp\":{\"at\":1,\"not\":\""),
        ("\"counter\":1", "\"counter\":-1"),
        ("\"counter\":1", "\"counter\":9007199254740993"),
        ("\"counter\":1", "\"counter\":\"1\""),
        ("\"record\":\"station-1\"", "\"record\":1"),
        ("\"supersedes\":[]", "\"supersedes\":[\"00\"]"),
        ("\"supersedes\":[]", "\"supersedes\":null"),
        ("\"act\":\"write\",", ""),
        ("\"body\":{", "\"bodies\":{"),
        ("\"body\":{", "\"body\":3,\"more\":{"),
        ("{\"act\"", "{\"act\":\"undo\",\"act\""),
    ] {
        assert!(odd(from, to).is_err(), "{from} → {to}");
    }
}
