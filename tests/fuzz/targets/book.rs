//! The book file: both readers find the same, what is taken is written and read back, and joining it is set union.
//!
//! A changed byte hardly ever leaves hash and digest right. So every input is tried twice: as it is, and with every id and the
//! digest put right, as somebody would who wants to pass a forged book off.

use std::io::{BufReader, Cursor};

use hingeline::exchange::book::stream::{Stream, Writer, begins_like_a_book};
use hingeline::exchange::book::{self, BookFile, Error};
use hingeline::notebook::{Entry, Ledger, RecordId};
use serde_json::Value;
use sha2::{Digest, Sha256};

use super::in_our_manner;

pub(super) fn check(data: &[u8]) {
    check_bytes(data);
    if let Some(forged) = std::str::from_utf8(data).ok().and_then(put_right) {
        check_bytes(forged.as_bytes());
    }
}

fn check_bytes(bytes: &[u8]) {
    let whole = book::read_bytes(bytes);
    if let Err(error) = &whole {
        in_our_manner(&error.to_string());
    }
    check_streams(bytes, &whole);
    if let Ok(file) = whole {
        check_file(bytes, &file);
    }
}

/// The reader that goes entry by entry takes what the other takes, and refuses what it refuses.
fn check_streams(bytes: &[u8], whole: &Result<BookFile, Error>) {
    if !begins_like_a_book(bytes) {
        return;
    }
    for room in [7, 4096] {
        match (streamed(bytes, room), whole) {
            (Ok((entries, more)), Ok(file)) => {
                assert_eq!(entries, file.entries);
                assert_eq!(more, file.more);
            }
            (Err(ours), _) if ours.is_unordered() => {}
            (Err(ours), Err(theirs)) => {
                in_our_manner(&ours.to_string());
                assert_eq!(ours.is_newer(), theirs.is_newer(), "{ours} / {theirs}");
                assert_eq!(ours.is_damaged(), theirs.is_damaged(), "{ours} / {theirs}");
            }
            (ours, theirs) => panic!("streamed {ours:?}, whole {theirs:?}"),
        }
    }
    // One fault after the other: it comes to an end, and never calls whole what is not.
    if let Ok(mut stream) = Stream::open(bytes) {
        let mut faults = 0;
        for _ in 0..=bytes.len() {
            match stream.next_piece() {
                Ok(Some(_)) => {}
                Ok(None) => {
                    assert_eq!(faults == 0, whole.is_ok());
                    return;
                }
                Err(fault) => {
                    faults += 1;
                    if !stream.go_on(&fault) {
                        return;
                    }
                }
            }
        }
        panic!("more pieces than bytes");
    }
}

type Streamed = (Vec<Entry>, serde_json::Map<String, Value>);

fn streamed(bytes: &[u8], room: usize) -> Result<Streamed, Error> {
    let mut stream = Stream::open(BufReader::with_capacity(room, bytes))?;
    let mut entries = Vec::new();
    while let Some(piece) = stream.next_piece()? {
        entries.push(piece.entry);
    }
    Ok((entries, stream.more().clone()))
}

fn check_file(bytes: &[u8], file: &BookFile) {
    // Once written it stays as it is, byte by byte; only the order and repetitions of the first file are gone.
    let write = |entries| book::write_part(entries, &file.written, &file.beyond);
    let text = write(&file.entries);
    let again = book::read(&text).expect("what is written opens");
    assert_eq!(write(&again.entries), text);
    assert_eq!(again.beyond, file.beyond);
    assert_eq!(again.written, file.written);
    let kept = |entries: &[Entry]| {
        let mut kept: Vec<_> = entries
            .iter()
            .map(|entry| (entry.id(), entry.text().to_owned()))
            .collect();
        kept.sort();
        kept.dedup();
        kept
    };
    assert_eq!(kept(&again.entries), kept(&file.entries));

    let out = Cursor::new(Vec::new());
    let (count, beyond) = (again.entries.len(), &again.beyond);
    let mut writer = Writer::begin_part(out, count, &again.written, beyond).expect("memory");
    for entry in &again.entries {
        writer.entry(entry).expect("memory");
    }
    assert_eq!(
        writer.finish().expect("memory").into_inner(),
        text.as_bytes()
    );

    let mut pieces = book::pieces(file.entries.clone(), &file.written, &file.beyond);
    let mut piecewise = String::new();
    while let Some(piece) = pieces.next(1) {
        piecewise.push_str(&piece);
    }
    let (place, digest) = pieces.digest();
    piecewise.replace_range(place..place + digest.len(), &digest);
    assert_eq!(piecewise, text);

    for entry in &file.entries {
        check_entry(entry);
    }
    let ledger: Ledger = file.entries.iter().cloned().collect();
    let beside = book::read_beside(bytes, &ledger).expect("as without the ledger");
    assert_eq!(&beside, file);
    check_join(&file.entries, &ledger);
}

/// An entry means the same however it is laid out.
fn check_entry(entry: &Entry) {
    let value: Value = serde_json::from_str(entry.text()).expect("JSON");
    let spread = serde_json::to_string_pretty(&value).expect("JSON");
    let with_id = entry.text_with_id();
    for text in [entry.text(), &spread, &with_id] {
        let other = Entry::from_json(text).expect("an entry");
        assert_eq!(other.id(), entry.id());
        assert_eq!(other.text(), entry.text());
        assert_eq!(other.record(), entry.record());
        assert_eq!(other.supersedes(), entry.supersedes());
        assert_eq!(other.stamp(), entry.stamp());
        assert_eq!(other.act(), entry.act());
        assert_eq!(other.why(), entry.why());
        assert_eq!(other.strikes_out(), entry.strikes_out());
        assert_eq!(other.body(), entry.body());
    }
}

/// In whatever order they come, the book says the same.
fn check_join(entries: &[Entry], ledger: &Ledger) {
    let mut other = Ledger::new();
    other.join(entries.iter().rev().cloned());
    assert!(
        other.join(entries.iter().cloned()).is_empty(),
        "joined twice"
    );
    assert_eq!(&other, ledger);
    let records: Vec<RecordId> = ledger.records().cloned().collect();
    for record in records {
        let record = record.as_str();
        assert_eq!(ledger.state(record), other.state(record));
        let history = ledger.history(record);
        let of_it = ledger
            .iter()
            .filter(|entry| entry.record().as_str() == record);
        assert_eq!(history.len(), of_it.count(), "lost from the history");
    }
}

/// The same text with every id and the digest as they should be; `None` where it is no such text.
pub(super) fn put_right(text: &str) -> Option<String> {
    let mut text = text.to_owned();
    let count = entries(&serde_json::from_str(&text).ok()?)?.len();
    for i in 0..count.min(64) {
        let mut file: Value = serde_json::from_str(&text).ok()?;
        let entry = file.get_mut("entries")?.get_mut(i)?.as_object_mut()?;
        let stated = entry.remove("id")?;
        let stated = stated.as_str().filter(|id| id.len() == 64)?;
        let right = sha256(&Value::Object(entry.clone()))?;
        text = text.replace(stated, &right);
    }
    let mut file: Value = serde_json::from_str(&text).ok()?;
    let stated = file.as_object_mut()?.remove("digest")?;
    let stated = stated.as_str()?.strip_prefix("sha256:")?;
    (stated.len() == 64).then_some(())?;
    let right = sha256(&file)?;
    Some(text.replace(stated, &right))
}

fn entries(file: &Value) -> Option<&Vec<Value>> {
    file.get("entries")?.as_array()
}

fn sha256(value: &Value) -> Option<String> {
    let text = serde_json_canonicalizer::to_string(value).ok()?;
    let digest = Sha256::digest(text.as_bytes());
    Some(digest.iter().map(|byte| format!("{byte:02x}")).collect())
}
