//! A book file read and written entry by entry: the same as read and written whole, faults too.

#![cfg(not(target_arch = "wasm32"))]

use std::collections::BTreeMap;
use std::io::{BufReader, Cursor, Read};

use hingeline::exchange::book::stream::{Stream, Writer, begins_like_a_book};
use hingeline::exchange::book::{self, Error, Written};
use hingeline::notebook::{Entry, Ledger};

#[path = "../src/bin/workbench/trial/tablets/mod.rs"]
#[allow(dead_code, reason = "the camp is only a source of entries here")]
mod tablets;

use tablets::Camp;

fn written() -> Written {
    Written {
        at: "2026-06-15T20:10:00+02:00".to_owned(),
        by: "K.O.".to_owned(),
        device: "tablet-a".to_owned(),
    }
}

fn camp() -> Vec<Entry> {
    let mut camp = Camp::new(47, 3);
    camp.run(60);
    camp.gather();
    camp.tablets[0].ledger.iter().cloned().collect()
}

/// Reads through buffers so small that every value lies across several.
fn streamed(bytes: &[u8]) -> Result<Vec<Entry>, Error> {
    let mut stream = Stream::open(BufReader::with_capacity(7, bytes))?;
    let mut entries = Vec::new();
    while let Some(piece) = stream.next_piece()? {
        let from = usize::try_from(piece.from).expect("small");
        let text = &bytes[from..from + piece.length];
        assert_eq!(
            Entry::from_json(std::str::from_utf8(text).expect("text")).expect("an entry"),
            piece.entry
        );
        let line = bytes[..from].iter().filter(|&&byte| byte == b'\n').count() + 1;
        assert_eq!(piece.line, line as u64);
        entries.push(piece.entry);
    }
    assert!(stream.next_piece()?.is_none());
    Ok(entries)
}

/// The same entries, or the same fault in the same words; a stream may say that the file has to be read whole.
#[track_caller]
fn check(bytes: &[u8]) {
    let whole = book::read_bytes(bytes).map(|file| file.entries);
    if !begins_like_a_book(bytes) {
        return;
    }
    match (streamed(bytes), whole) {
        (Ok(ours), Ok(theirs)) => assert_eq!(ours, theirs),
        (Err(ours), _) if ours.is_unordered() => {}
        (Err(ours), Err(theirs)) => {
            assert_eq!(ours.is_damaged(), theirs.is_damaged(), "{ours} / {theirs}");
            assert_eq!(ours.is_newer(), theirs.is_newer(), "{ours} / {theirs}");
        }
        (ours, theirs) => panic!("{ours:?} / {theirs:?}"),
    }
}

#[test]
fn what_is_streamed_is_what_is_read_whole() {
    let entries = camp();
    let text = book::write(&entries, &written());
    check(text.as_bytes());
    assert_eq!(streamed(text.as_bytes()).unwrap().len(), entries.len());
    check(format!("\u{feff}{text}").as_bytes());
    check(book::write(&[], &written()).as_bytes());
    // Another layout, and keys in another order within the entries.
    let value: serde_json::Value = serde_json::from_str(&text).unwrap();
    let mut laid_out = String::from("{\"format\":\"hingeline-book\",\n  \"version\": 2,\n");
    for key in ["written", "count", "digest", "entries"] {
        let comma = if key == "entries" { "" } else { "," };
        let value = serde_json::to_string_pretty(&value[key]).unwrap();
        laid_out.push_str(&format!("\"{key}\" : {value}{comma}\n"));
    }
    laid_out.push('}');
    check(laid_out.as_bytes());
    assert_eq!(
        streamed(laid_out.as_bytes()).unwrap(),
        book::read(&text).unwrap().entries
    );
}

/// What a ledger has word for word is taken from there; one character more or less, and it is proved like any other.
#[test]
fn beside_a_ledger_the_same_is_read_and_the_same_faults_are_found() {
    let entries = camp();
    let known: Ledger = entries.iter().step_by(2).cloned().collect();
    let read = |text: &str| -> Result<Vec<Entry>, Error> {
        let mut stream = Stream::open(Cursor::new(text.as_bytes()))?;
        let mut found = Vec::new();
        while let Some(piece) = stream.next_piece_beside(Some(&known))? {
            found.push(piece.entry);
        }
        Ok(found)
    };
    let text = book::write(&entries, &written());
    assert_eq!(read(&text).unwrap(), streamed(text.as_bytes()).unwrap());
    for entry in entries.iter().take(40) {
        let at = text.find(entry.text_with_id().as_str()).unwrap();
        let counter = text[at..].find("\"counter\":").unwrap() + at + 10;
        let altered = format!("{}1{}", &text[..counter], &text[counter..]);
        assert!(read(&altered).unwrap_err().is_altered());
    }
}

#[test]
fn a_field_of_a_newer_writer_is_in_the_digest_wherever_it_sorts() {
    let text = book::write(&camp(), &written());
    for more in ["app", "zone", "\u{fb33}"] {
        let marked = text.replacen(
            "\"version\":2,",
            &format!("\"version\":2,\"{more}\":[1, 2],"),
            1,
        );
        // The digest of such a file, by the reader of whole files, which says what it should have been only by refusing.
        check(marked.as_bytes());
        assert!(streamed(marked.as_bytes()).unwrap_err().is_altered());
    }
}

#[test]
fn an_order_that_cannot_be_followed_is_told_from_damage() {
    let text = book::write(&camp(), &written());
    let value: serde_json::Value = serde_json::from_str(&text).unwrap();
    // Keys in the order of the alphabet: the digest comes before the entries, the format after them.
    let members: BTreeMap<String, serde_json::Value> =
        value.as_object().unwrap().clone().into_iter().collect();
    let sorted = serde_json::to_string(&members).unwrap();
    let at = sorted.find("\"format\"").unwrap();
    assert!(at > sorted.find("\"entries\"").unwrap());
    assert!(
        Stream::open(sorted.as_bytes())
            .err()
            .is_some_and(|error| error.is_unordered())
    );
    let late = format!("{},\"late\":1}}\n", text.trim_end().trim_end_matches('}'));
    assert!(streamed(late.as_bytes()).unwrap_err().is_unordered());
    assert!(book::read(&sorted).is_ok());
}

#[test]
fn cut_off_at_any_byte_is_refused_alike() {
    let mut camp = Camp::new(3, 2);
    camp.run(12);
    let text = book::write(camp.tablets[0].ledger.iter(), &written());
    for end in 0..text.trim_end().len() {
        check(&text.as_bytes()[..end]);
        if begins_like_a_book(&text.as_bytes()[..end]) {
            assert!(streamed(&text.as_bytes()[..end]).is_err(), "cut at {end}");
        }
    }
}

#[test]
fn no_flipped_byte_is_taken_for_other_content() {
    let mut camp = Camp::new(5, 2);
    camp.run(12);
    let text = book::write(camp.tablets[0].ledger.iter(), &written());
    for place in 0..text.len() {
        for flip in [0x01, 0x20, 0x80] {
            let mut bytes = text.clone().into_bytes();
            bytes[place] ^= flip;
            check(&bytes);
        }
    }
}

#[test]
fn a_fault_names_its_line_and_its_column_like_the_reader_of_whole_files() {
    let text = book::write(&camp(), &written());
    let say = |bytes: &[u8]| {
        let ours = streamed(bytes).unwrap_err().to_string();
        assert_eq!(ours, book::read_bytes(bytes).unwrap_err().to_string());
        ours
    };
    let third = text.lines().nth(2).unwrap();
    let broken = text.replacen(third, &third.replacen("\"stamp\":{", "\"stamp\":[", 1), 1);
    let said = say(broken.as_bytes());
    assert!(said.contains("line 3, column"), "{said}");
    let altered = text.replacen(third, &third.replacen("\"by\":\"P", "\"by\":\"Q", 1), 1);
    let said = say(altered.as_bytes());
    assert!(said.contains("on line 3, record `"), "{said}");
    let missing: Vec<&str> = text
        .lines()
        .enumerate()
        .filter(|(i, _)| *i != 2)
        .map(|(_, line)| line)
        .collect();
    say(missing.join("\n").as_bytes());
    let mut no_text = text.clone().into_bytes();
    let at = text.find("P1").unwrap();
    no_text[at] = 0xFF;
    say(&no_text);
    say(text.trim_end().trim_end_matches('}').as_bytes());
    say(format!("{text} x").as_bytes());
}

#[test]
fn nesting_without_end_is_refused_without_being_held() {
    struct Deep(u64);
    impl Read for Deep {
        fn read(&mut self, to: &mut [u8]) -> std::io::Result<usize> {
            to.fill(b'[');
            self.0 += to.len() as u64;
            assert!(self.0 < 1 << 20, "read on for ever");
            Ok(to.len())
        }
    }
    let head = "{\"format\":\"hingeline-book\",\"version\":1,\"written\":".as_bytes();
    let error = Stream::open(BufReader::new(head.chain(Deep(0))))
        .err()
        .unwrap();
    assert!(error.to_string().contains("nested more than"), "{error}");
}

#[test]
fn a_disk_that_fails_is_told_from_a_damaged_file() {
    struct Failing;
    impl Read for Failing {
        fn read(&mut self, _: &mut [u8]) -> std::io::Result<usize> {
            Err(std::io::Error::other("the card was pulled out"))
        }
    }
    let text = book::write(&camp(), &written());
    let half = &text.as_bytes()[..text.len() / 2];
    let mut stream = Stream::open(BufReader::with_capacity(64, half.chain(Failing))).unwrap();
    let error = loop {
        match stream.next_piece() {
            Ok(piece) => assert!(piece.is_some()),
            Err(error) => break error,
        }
    };
    assert!(error.is_unread() && !error.is_damaged());
    assert!(
        error.to_string().contains("the card was pulled out"),
        "{error}"
    );
}

#[test]
fn every_fault_of_a_file_is_found_one_after_the_other() {
    let text = book::write(&camp(), &written());
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    lines[3] = lines[3].replacen("\"by\":\"P", "\"by\":\"Q", 1);
    // In the middle of its id.
    let within = lines[5].find("\"id\":\"").expect("an id") + 12;
    lines[5].truncate(within);
    lines[8] = lines[8].replacen("\"by\":\"P", "\"by\":\"Q", 1);
    let text = lines.join("\n");
    let mut stream = Stream::open(text.as_bytes()).unwrap();
    let (mut sound, mut faults) = (0, Vec::new());
    loop {
        match stream.next_piece() {
            Ok(Some(_)) => sound += 1,
            Ok(None) => break,
            Err(error) => {
                faults.push(error.to_string());
                if !stream.go_on(&error) {
                    break;
                }
            }
        }
    }
    let found = |line: &str| faults.iter().any(|fault| fault.contains(line));
    assert!(
        found("line 4") && found("line 6") && found("line 9"),
        "{faults:#?}"
    );
    assert_eq!(sound, lines.len() - 2 - 3);
    assert!(
        faults
            .iter()
            .any(|fault| fault.contains("digest") || fault.contains("counts")),
        "{faults:#?}"
    );
}

#[test]
fn what_is_written_by_the_entry_is_what_is_written_whole() {
    for entries in [camp(), Vec::new()] {
        let whole = book::write(&entries, &written());
        let mut sorted = book::read(&whole).unwrap().entries;
        sorted.dedup();
        let mut writer = Writer::begin(Cursor::new(Vec::new()), sorted.len(), &written()).unwrap();
        for entry in &sorted {
            writer.entry(entry).unwrap();
        }
        let bytes = writer.finish().unwrap().into_inner();
        assert_eq!(String::from_utf8(bytes).unwrap(), whole);
    }
    let writer = Writer::begin(Cursor::new(Vec::new()), 3, &written()).unwrap();
    assert!(
        writer
            .finish()
            .unwrap_err()
            .to_string()
            .contains("3 entries were announced")
    );
}
