//! A book with its photos in one ZIP archive: what is written reads back byte by byte and opens in other programs; what is
//! missing or altered is named; what is hostile is refused in words.
#![cfg(not(target_arch = "wasm32"))]
#![allow(
    clippy::unwrap_used,
    reason = "the whole file is tests and what they share"
)]

use std::io::{Read, Write};
use std::process::{Command, Stdio};

use hingeline::exchange::archive::{self, Altered, Archive, Error, Filed};
use hingeline::exchange::book::{self, Written};
use hingeline::notebook::photos::{self, sha256};
use hingeline::notebook::{Act, Body, Entry, Photo, Stamp, Station};
use proptest::prelude::*;

/// What stands for a photo: the archive never looks into it.
fn picture(n: u8) -> Vec<u8> {
    let mut bytes = vec![0xff, 0xd8, 0xff, 0xe0];
    bytes.extend((0..200).map(|i: u32| i.to_le_bytes()[0].wrapping_mul(31).wrapping_add(n)));
    bytes
}

fn entry(record: &str, counter: u64, body: Option<Body>) -> Entry {
    let stamp = Stamp {
        by: "Q.V.".to_owned(),
        device: "tablet-a".to_owned(),
        counter,
        at: "2026-06-14T09:00:00+02:00".to_owned(),
    };
    Entry::new(record.into(), [], stamp, Act::Write, None, body)
}

fn photo(number: u32, bytes: &[u8]) -> Option<Body> {
    Some(Body::Photo(Photo {
        station: "station-47".to_owned(),
        number,
        sha256: sha256(bytes),
        media: "image/jpeg".to_owned(),
        width: 640,
        height: 480,
        bytes: u32::try_from(bytes.len()).unwrap(),
        at: "2026-06-14T09:05:00+02:00".to_owned(),
        ..Photo::default()
    }))
}

/// A book that names three photos.
fn book_text() -> String {
    let station = Station {
        number: 47,
        at: "2026-06-14T09:00:00+02:00".to_owned(),
        ..Station::default()
    };
    let mut entries = vec![entry("station-47", 1, Some(Body::Station(station)))];
    for n in 1..4_u8 {
        let record = format!("photo-{n}");
        entries.push(entry(
            &record,
            1 + u64::from(n),
            photo(n.into(), &picture(n)),
        ));
    }
    // A photo that is struck out stays legible, and is carried.
    entries.push(entry("photo-3", 5, None));
    book::write(
        &entries,
        &Written {
            at: "2026-06-14T20:00:00+02:00".to_owned(),
            by: "Q.V.".to_owned(),
            device: "tablet-a".to_owned(),
        },
    )
}

/// The archive of the book and of these pictures.
fn archive_of(numbers: &[u8]) -> Vec<u8> {
    let pictures: Vec<(String, Vec<u8>)> = numbers
        .iter()
        .map(|&n| (sha256(&picture(n)), picture(n)))
        .collect();
    let photos = pictures.iter().map(|(name, bytes)| (&**name, &**bytes));
    archive::write(&book_text(), photos).unwrap()
}

fn words(named: &[hingeline::notebook::photos::Named]) -> Vec<String> {
    named.iter().map(|named| named.words()).collect()
}

/// The message has our manner: no capital first, no full stop last, and a way out.
#[track_caller]
fn in_our_manner(error: &Error) {
    let message = error.to_string();
    assert!(
        message.starts_with(|c: char| c.is_lowercase() || c == '`'),
        "{message}"
    );
    assert!(!message.ends_with('.'), "{message}");
    assert!(message.contains("; "), "no way out: {message}");
}

/// Reads it held whole, and where it stands: the same comes of both.
#[track_caller]
fn read_any(bytes: &[u8]) -> Result<Archive, Error> {
    let whole = archive::read_any(bytes);
    if archive::is_zip(bytes) {
        let standing = read_where_it_stands(bytes);
        assert!(standing == whole, "{standing:?}\n{whole:?}");
    }
    whole
}

fn read_where_it_stands(bytes: &[u8]) -> Result<Archive, Error> {
    let mut filed = Filed::open(bytes, bytes.len() as u64)?;
    let mut text = Vec::new();
    match filed.stored_book() {
        Some(range) => drop(filed.part(range).read_to_end(&mut text).unwrap()),
        None => text = filed.unpacked_book()?,
    }
    let book = book::read_bytes(&text).map_err(Error::of_book)?;
    let mut missing = photos::named(&book.entries);
    let mut read = Archive {
        book,
        photos: Vec::new(),
        missing: Vec::new(),
        altered: Vec::new(),
        unknown: filed.unknown().to_vec(),
    };
    for place in 0..filed.photos() {
        let photo = filed.photo(place).unwrap();
        let named = missing
            .iter()
            .position(|named| named.sha256 == photo.sha256);
        let named = named.map(|place| missing.remove(place));
        match (photo.content, named) {
            (Ok(content), Some(_)) => {
                if let Some(from) = photo.from {
                    assert!(bytes[usize::try_from(from).unwrap()..].starts_with(&content));
                }
                read.photos.push((photo.sha256, content.into()));
            }
            (Ok(_), None) => read.unknown.push(photo.path),
            (Err(why), named) => read.altered.push(Altered {
                path: photo.path,
                named,
                why,
            }),
        }
    }
    read.photos.sort_by(|a, b| a.0.cmp(&b.0));
    read.missing = missing;
    Ok(read)
}

#[test]
fn a_book_and_its_photos_return_byte_by_byte() {
    let bytes = archive_of(&[1, 2, 3]);
    let read = read_any(&bytes).unwrap();
    assert_eq!(read.book, book::read(&book_text()).unwrap());
    let mut expected: Vec<(String, Vec<u8>)> =
        (1..4).map(|n| (sha256(&picture(n)), picture(n))).collect();
    expected.sort();
    let found: Vec<(String, Vec<u8>)> = read
        .photos
        .iter()
        .map(|(name, bytes)| (name.clone(), bytes.to_vec()))
        .collect();
    assert_eq!(found, expected);
    assert!(read.missing.is_empty() && read.altered.is_empty() && read.unknown.is_empty());
    assert!(read.report().is_empty());
    // Written again it is the same file.
    let again = archive::write(
        &book::write(&read.book.entries, &read.book.written),
        (1..4_u8)
            .map(|n| sha256(&picture(n)))
            .collect::<Vec<_>>()
            .iter()
            .zip([picture(1), picture(2), picture(3)].iter())
            .map(|(name, bytes)| (&**name, &**bytes)),
    )
    .unwrap();
    assert_eq!(again, bytes);
}

#[test]
fn the_size_is_known_beforehand() {
    for numbers in [&[][..], &[1], &[1, 2, 3]] {
        let sum: usize = numbers.iter().map(|&n| picture(n).len()).sum();
        assert_eq!(
            archive::size(book_text().len() as u64, numbers.len(), sum as u64),
            archive_of(numbers).len() as u64
        );
    }
}

#[test]
fn a_book_file_by_itself_is_read_and_its_photos_are_missing() {
    let read = read_any(book_text().as_bytes()).unwrap();
    assert_eq!(words(&read.missing), ["47·P1", "47·P2", "47·P3"]);
    assert!(read.photos.is_empty());
    let error = read_any(&book_text().as_bytes()[..99]).unwrap_err();
    assert!(error.is_damaged() && error.book().is_some(), "{error}");
    assert!(read_any(b"").unwrap_err().book().unwrap().is_empty());
}

#[test]
fn what_is_missing_altered_or_strange_is_named_and_the_book_is_read() {
    // Photo 2 is missing, one byte of photo 3 is changed, a picture that nobody named is there, and a letter.
    let mut changed = picture(3);
    changed[100] ^= 1;
    let pictures = [
        (sha256(&picture(1)), picture(1)),
        (sha256(&picture(3)), changed),
        (sha256(&picture(9)), picture(9)),
    ];
    let mut stored = archive::Stored::new();
    let mut bytes = Vec::new();
    let mut put = |path: &str, content: &[u8]| {
        bytes.extend(stored.head(path, content).unwrap());
        bytes.extend(content);
    };
    put(archive::BOOK, book_text().as_bytes());
    for (name, content) in &pictures {
        put(&archive::photo_path(name), content);
    }
    put("letter.txt", b"a letter");
    bytes.extend(stored.end().unwrap());

    let read = read_any(&bytes).unwrap();
    assert_eq!(read.book.entries.len(), 5);
    assert_eq!(read.photos.len(), 1);
    assert_eq!(read.photos[0].0, sha256(&picture(1)));
    assert_eq!(words(&read.missing), ["47·P2"]);
    let altered: Vec<String> = read
        .altered
        .iter()
        .map(|a| a.named.as_ref().unwrap().words())
        .collect();
    assert_eq!(altered, ["47·P3"]);
    assert_eq!(
        read.unknown,
        [
            "letter.txt".to_owned(),
            archive::photo_path(&sha256(&picture(9)))
        ]
    );
    let report = read.report();
    assert_eq!(report.len(), 3, "{report:?}");
    assert_eq!(
        report[0],
        "a photo that the book names is not in the file: 47·P2"
    );
    assert!(
        report[1].contains("47·P3 (its bytes were changed)"),
        "{report:?}"
    );
    assert!(report[2].contains("2 files") && report[2].contains("letter.txt"));
}

#[test]
fn a_photo_of_another_books_name_is_never_taken_for_one_of_this() {
    // The right bytes under a wrong name are altered, and the one they are of is missing.
    let pictures = [(sha256(&picture(9)), picture(1))];
    let photos = pictures.iter().map(|(name, bytes)| (&**name, &**bytes));
    let read = read_any(&archive::write(&book_text(), photos).unwrap()).unwrap();
    assert!(read.photos.is_empty());
    assert_eq!(read.missing.len(), 3);
    assert_eq!(read.altered[0].named, None);
}

#[test]
fn cut_off_at_any_byte_it_is_refused() {
    let bytes = archive_of(&[1]);
    for end in 0..bytes.len() {
        let error = read_any(&bytes[..end]).unwrap_err();
        assert!(!error.is_refused() || end > 30, "cut at {end}: {error}");
        in_our_manner_or_empty(&error, end);
    }
}

#[track_caller]
fn in_our_manner_or_empty(error: &Error, end: usize) {
    let message = error.to_string();
    assert!(!message.ends_with('.'), "cut at {end}: {message}");
    assert!(
        message.contains("; ") || message.contains(": copy it again"),
        "cut at {end}: {message}"
    );
}

/// Whatever one byte is turned into: the sound book, or no book; and no photo but a sound one.
#[test]
fn no_flipped_byte_brings_other_content() {
    let bytes = archive_of(&[1]);
    let sound = read_any(&bytes).unwrap();
    let head_and_tail = (0..bytes.len()).filter(|place| {
        // The whole of the container, and a part of what the hashes guard anyway.
        let book = 39..39 + book_text().len() - 200;
        !book.contains(place) || place % 97 == 0
    });
    for place in head_and_tail {
        for flip in [0x01, 0x80] {
            let mut altered = bytes.clone();
            altered[place] ^= flip;
            if let Ok(read) = read_any(&altered) {
                assert_eq!(read.book, sound.book, "byte {place} by {flip:#x}");
                for (name, content) in &read.photos {
                    assert_eq!(&sha256(content), name, "byte {place} by {flip:#x}");
                }
            }
        }
    }
}

// --- Archives that no back-up wrote -------------------------------------------------------------------------------------

/// A little-endian word in an archive.
fn put16(bytes: &mut [u8], at: usize, value: u16) {
    bytes[at..at + 2].copy_from_slice(&value.to_le_bytes());
}

fn put32(bytes: &mut [u8], at: usize, value: u32) {
    bytes[at..at + 4].copy_from_slice(&value.to_le_bytes());
}

/// Where the directory begins, and where the end record does.
fn ends(bytes: &[u8]) -> (usize, usize) {
    let end = bytes.len() - 22;
    let at = u32::from_le_bytes(bytes[end + 16..end + 20].try_into().unwrap());
    (at as usize, end)
}

/// Where the n-th entry of the directory begins.
fn directory_entry(bytes: &[u8], n: usize) -> usize {
    let (mut at, _) = ends(bytes);
    for _ in 0..n {
        let name = u16::from_le_bytes(bytes[at + 28..at + 30].try_into().unwrap());
        at += 46 + usize::from(name);
    }
    at
}

/// An archive of files stored under any names.
fn files(files: &[(&str, &[u8])]) -> Vec<u8> {
    let mut stored = archive::Stored::new();
    let mut bytes = Vec::new();
    for (path, content) in files {
        bytes.extend(stored.head(path, content).unwrap());
        bytes.extend(*content);
    }
    bytes.extend(stored.end().unwrap());
    bytes
}

#[track_caller]
fn refused(bytes: &[u8], because: &str) {
    let error = match read_any(bytes) {
        Ok(_) => panic!("taken, against: {because}"),
        Err(error) => error,
    };
    in_our_manner(&error);
    let message = error.to_string();
    assert!(message.contains(because), "{message}");
}

#[test]
fn names_that_lead_anywhere_are_refused() {
    let text = book_text();
    for (name, because) in [
        ("../evil", "leads out"),
        ("photos/../../evil", "leads out"),
        ("/etc/evil", "root of a disk"),
        ("C:evil", "root of a disk"),
        ("photos\\evil", "backslash"),
        ("evil\0.jpg", "control character"),
        ("evil\n", "control character"),
        ("", "is empty"),
    ] {
        refused(
            &files(&[("book.json", text.as_bytes()), (name, b"x")]),
            because,
        );
    }
}

#[test]
fn twins_and_two_books_are_refused() {
    let text = book_text();
    refused(
        &files(&[("book.json", text.as_bytes()), ("book.json", b"{}")]),
        "it holds `book.json` twice",
    );
    refused(
        &files(&[("a/book.json", text.as_bytes()), ("b/book.json", b"{}")]),
        "two books, `a/book.json` and `b/book.json`",
    );
}

#[test]
fn an_archive_without_a_book_is_foreign() {
    let error = read_any(&files(&[("xl/workbook.xml", b"<x/>"), ("b", b"")])).unwrap_err();
    assert!(error.is_foreign(), "{error}");
    in_our_manner(&error);
    assert!(
        error.to_string().contains("`xl/workbook.xml` and 1 more"),
        "{error}"
    );
    assert!(read_any(&files(&[])).unwrap_err().is_foreign());
    // One in another is not looked for.
    let inner = archive_of(&[1]);
    let error = read_any(&files(&[("book.json", &inner)])).unwrap_err();
    assert!(
        error.is_foreign() && error.to_string().contains("ZIP"),
        "{error}"
    );
}

#[test]
fn a_directory_that_lies_is_refused() {
    let sound = archive_of(&[1, 2]);
    let (_, end) = ends(&sound);
    // Fewer and more files than there are.
    for claimed in [0_u16, 2, 4, 65535] {
        let mut bytes = sound.clone();
        put16(&mut bytes, end + 10, claimed);
        refused(&bytes, &format!("claims {claimed} files"));
    }
    // Another name, another method, another size than the file's own head.
    let mut bytes = sound.clone();
    let entry = directory_entry(&sound, 1);
    bytes[entry + 46 + 10] ^= 1;
    refused(&bytes, "disagree");
    let mut bytes = sound.clone();
    put16(&mut bytes, entry + 10, 8);
    refused(&bytes, "disagree");
    let mut bytes = sound.clone();
    put32(&mut bytes, entry + 24, 5);
    refused(&bytes, "disagree");
    // A file that begins elsewhere.
    let mut bytes = sound.clone();
    put32(&mut bytes, entry + 42, 3);
    refused(&bytes, "is not where its directory says");
    let mut bytes = sound.clone();
    put32(&mut bytes, entry + 42, u32::MAX - 7);
    refused(&bytes, "is not where its directory says");
    // Something after the end.
    let mut bytes = sound.clone();
    bytes.extend(b"evil");
    refused(&bytes, "4 bytes follow its end");
}

#[test]
fn files_that_overlap_are_refused() {
    // A file whose content holds another file's head and content: the way of a bomb that needs no packing.
    let inner = {
        let mut stored = archive::Stored::new();
        let mut bytes = stored.head("inner", b"twice").unwrap();
        bytes.extend(b"twice");
        bytes
    };
    let text = book_text();
    let mut bytes = files(&[
        ("book.json", text.as_bytes()),
        ("outer", &inner),
        ("inner", b"twice"),
    ]);
    let outer = 30 + 9 + text.len();
    let entry = directory_entry(&bytes, 2);
    put32(
        &mut bytes,
        entry + 42,
        u32::try_from(outer + 30 + 5).unwrap(),
    );
    refused(&bytes, "`outer` overlaps what follows it");
    // Over the directory itself.
    let mut bytes = files(&[("book.json", text.as_bytes()), ("last", b"1234")]);
    let entry = directory_entry(&bytes, 1);
    let head = ends(&bytes).0 - 4 - 30 - 4;
    for at in [head + 18, head + 22, entry + 20, entry + 24] {
        put32(&mut bytes, at, 40);
    }
    refused(&bytes, "`last` overlaps what follows it");
}

#[test]
fn what_is_encrypted_cannot_be_read_and_is_said() {
    let mut bytes = archive_of(&[1]);
    // The book.
    let entry = directory_entry(&bytes, 0);
    put16(&mut bytes, entry + 8, 1);
    put16(&mut bytes, 6, 1);
    refused(&bytes, "`book.json`: it is encrypted");
    // A photo: the book is read.
    let mut bytes = archive_of(&[1]);
    let entry = directory_entry(&bytes, 1);
    put16(&mut bytes, entry + 8, 1);
    put16(&mut bytes, 30 + 9 + book_text().len() + 6, 1);
    let read = read_any(&bytes).unwrap();
    assert_eq!(read.altered[0].why, "it is encrypted");
    assert_eq!(read.altered[0].named.as_ref().unwrap().words(), "47·P1");
}

#[test]
fn a_count_beyond_all_books_is_refused_before_it_is_believed() {
    // ZIP64: the true count of files stands in an end record of its own, and the short one refers to it.
    let sound = archive_of(&[1]);
    let zip64 = |count: u64| {
        let (at, end) = ends(&sound);
        let mut bytes = sound[..end].to_vec();
        let record = bytes.len() as u64;
        bytes.extend(b"PK\x06\x06");
        bytes.extend(44_u64.to_le_bytes());
        bytes.extend(45_u16.to_le_bytes());
        bytes.extend(45_u16.to_le_bytes());
        bytes.extend([0; 8]);
        bytes.extend(count.to_le_bytes());
        bytes.extend(count.to_le_bytes());
        bytes.extend(((end - at) as u64).to_le_bytes());
        bytes.extend((at as u64).to_le_bytes());
        bytes.extend(b"PK\x06\x07");
        bytes.extend([0; 4]);
        bytes.extend(record.to_le_bytes());
        bytes.extend(1_u32.to_le_bytes());
        let tail = bytes.len();
        bytes.extend(&sound[end..]);
        for place in [8, 10] {
            put16(&mut bytes, tail + place, u16::MAX);
        }
        bytes
    };
    assert_eq!(read_any(&zip64(2)).unwrap().photos.len(), 1);
    refused(&zip64(u64::MAX), "and 100000 are the most");
    refused(&zip64(70_000), "claims 70000 files");
}

/// An archive as a file manager packs it: deflated, with a folder's own entry.
fn deflated(files: &[(&str, &[u8], u32)]) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut directory = Vec::new();
    for (path, content, claimed) in files {
        let packed = miniz_oxide::deflate::compress_to_vec(content, 9);
        let at = u32::try_from(bytes.len()).unwrap();
        let mut both = Vec::new();
        both.extend([20, 0, 0, 0, 8, 0, 0, 0, 0x21, 0, 0, 0, 0, 0]);
        both.extend(u32::try_from(packed.len()).unwrap().to_le_bytes());
        both.extend(claimed.to_le_bytes());
        both.extend(u16::try_from(path.len()).unwrap().to_le_bytes());
        both.extend([0, 0]);
        bytes.extend(b"PK\x03\x04");
        bytes.extend(&both);
        bytes.extend(path.as_bytes());
        bytes.extend(&packed);
        directory.extend(b"PK\x01\x02\x14\x00");
        directory.extend(&both);
        directory.extend([0; 10]);
        directory.extend(at.to_le_bytes());
        directory.extend(path.as_bytes());
    }
    let (at, size) = (bytes.len(), directory.len());
    bytes.extend(directory);
    bytes.extend(b"PK\x05\x06\0\0\0\0");
    for _ in 0..2 {
        bytes.extend(u16::try_from(files.len()).unwrap().to_le_bytes());
    }
    bytes.extend(u32::try_from(size).unwrap().to_le_bytes());
    bytes.extend(u32::try_from(at).unwrap().to_le_bytes());
    bytes.extend([0, 0]);
    bytes
}

#[test]
fn an_archive_that_was_packed_again_is_read() {
    let text = book_text();
    let one = picture(1);
    let path = archive::photo_path(&sha256(&one));
    let length = |bytes: &[u8]| u32::try_from(bytes.len()).unwrap();
    for folder in ["", "summer/"] {
        let names = [format!("{folder}book.json"), format!("{folder}{path}")];
        let bytes = deflated(&[
            (&names[0], text.as_bytes(), length(text.as_bytes())),
            (&names[1], &one, length(&one)),
        ]);
        let read = read_any(&bytes).unwrap();
        assert_eq!(read.photos.len(), 1, "{folder}");
        assert_eq!(&*read.photos[0].1, one);
    }
}

#[test]
fn a_bomb_is_refused_by_what_it_claims_and_by_what_it_does() {
    let bomb = vec![b' '; 50 << 20];
    let text = book_text();
    let length = u32::try_from(text.len()).unwrap();
    // It says how large it is, and that is too much.
    refused(
        &deflated(&[("book.json", &bomb, 300 << 20)]),
        "and 268435456 are the most",
    );
    // It says less than it is.
    refused(
        &deflated(&[("book.json", &bomb, 1000)]),
        "it claims 1000 bytes and unpacks to more",
    );
    // It says more than it is.
    refused(
        &deflated(&[("book.json", text.as_bytes(), length + 1)]),
        &format!("it claims {} bytes and has {length}", length + 1),
    );
    // A photo that is one: the book is read, and it is named.
    let path = archive::photo_path(&sha256(&picture(1)));
    let read = read_any(&deflated(&[
        ("book.json", text.as_bytes(), length),
        (&path, &bomb, 50 << 20),
    ]))
    .unwrap();
    assert!(
        read.altered[0].why.contains("33554432 are the most"),
        "{:?}",
        read.altered[0]
    );
}

#[test]
fn a_hundred_megabytes_of_nesting_in_an_archive_are_refused_at_once() {
    let deep = "[".repeat(100_000_000);
    refused(&files(&[("book.json", deep.as_bytes())]), "not a book file");
}

proptest! {
    /// Whatever the bytes are, the answer is words.
    #[test]
    fn any_bytes_give_an_answer(
        places in proptest::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..12),
        cut in any::<prop::sample::Index>(),
        shorten in any::<bool>(),
    ) {
        let mut bytes = files(&[("book.json", b"{}"), ("photos/x", b"y"), ("a", b"")]);
        for (place, byte) in places {
            let at = place.index(bytes.len());
            bytes[at] = byte;
        }
        if shorten {
            bytes.truncate(cut.index(bytes.len()));
        }
        if let Err(error) = read_any(&bytes) {
            prop_assert!(!error.to_string().is_empty());
        }
    }
}

// --- Others read it ------------------------------------------------------------------------------------------------------

/// The frozen archive must open for ever. It was made by Python's `zipfile` (the note beside it).
#[test]
fn the_frozen_archive_opens() {
    let path = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/tests/data/books/v1-photos.zip"
    );
    let bytes = std::fs::read(path).unwrap();
    let Archive {
        book,
        photos,
        missing,
        altered,
        unknown,
    } = read_any(&bytes).unwrap();
    assert_eq!((book.version, book.entries.len()), (1, 6));
    assert_eq!(photos.len(), 2);
    assert_eq!(words(&missing), ["12·P3"]);
    assert!(altered.is_empty() && unknown.is_empty());
    assert!(
        book.entries
            .iter()
            .all(|e| !matches!(e.body(), Some(Body::Unknown(_))))
    );
    let ledger: hingeline::notebook::Ledger = book.entries.into_iter().collect();
    let pages = hingeline::notebook::Pages::of(&ledger);
    let lines = pages.stations()[0].photos();
    let numbers: Vec<u32> = lines.iter().map(|line| line.number()).collect();
    assert_eq!(numbers, [1, 2, 3]);
    assert!(lines[1].is_struck_out() && !lines[0].is_struck_out());
    let first = lines[0].photo().unwrap();
    assert_eq!(first.more["weather"], "wet");
    assert_eq!(pages.next_photo_number("station-12"), 4);
}

/// A program by this name, if it is there.
fn program(name: &str) -> Option<Command> {
    let found =
        std::env::split_paths(&std::env::var_os("PATH")?).any(|folder| folder.join(name).is_file());
    found.then(|| Command::new(name))
}

#[test]
fn unzip_and_python_find_nothing_wrong_with_it() {
    let bytes = archive_of(&[1, 2, 3]);
    let folder = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("archive-others");
    std::fs::create_dir_all(&folder).unwrap();
    let path = folder.join("book.zip");
    std::fs::write(&path, &bytes).unwrap();
    if let Some(mut unzip) = program("unzip") {
        let out = unzip.arg("-t").arg(&path).output().unwrap();
        let said = String::from_utf8_lossy(&out.stdout);
        assert!(out.status.success(), "{said}");
        assert!(said.contains("No errors"), "{said}");
    }
    if let Some(mut python) = program("python3") {
        let script = "
import hashlib, json, sys, zipfile
with zipfile.ZipFile(sys.argv[1]) as z:
    assert z.testzip() is None
    names = z.namelist()
    assert all(i.compress_type == zipfile.ZIP_STORED for i in z.infolist())
    for name in names[1:]:
        assert name == 'photos/' + hashlib.sha256(z.read(name)).hexdigest() + '.jpg'
    print(names[0], len(names), json.loads(z.read(names[0]))['count'])
";
        let mut child = python
            .arg("-")
            .arg(&path)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        child
            .stdin
            .take()
            .unwrap()
            .write_all(script.as_bytes())
            .unwrap();
        let out = child.wait_with_output().unwrap();
        assert!(out.status.success());
        assert_eq!(String::from_utf8_lossy(&out.stdout).trim(), "book.json 4 5");
    }
}

/// Cut off anywhere, the files whose heads are there are found without the directory, each as far as it goes.
#[test]
fn without_its_directory_the_files_are_found_by_their_heads() {
    let bytes = archive_of(&[1, 2]);
    let text = book_text();
    let photos_of = |end: usize| {
        let mut filed = Filed::of_heads(&bytes[..end], end as u64)?;
        let mut found = String::new();
        let range = filed.stored_book().unwrap();
        filed.part(range).read_to_string(&mut found).unwrap();
        assert!(text.starts_with(&found), "cut at {end}");
        let sound = (0..filed.photos()).filter(|&place| {
            let photo = filed.photo(place).unwrap();
            photo.content.is_ok()
        });
        Some((found.len(), sound.count()))
    };
    assert_eq!(photos_of(30), None);
    let mut before = (0, 0);
    for end in 39..=bytes.len() {
        let now = photos_of(end).unwrap();
        assert!(before.0 <= now.0 && before.1 <= now.1, "cut at {end}");
        before = now;
    }
    assert_eq!(before, (text.len(), 2));
}

/// What is left of a deflated book that breaks off is unpacked as far as it goes.
#[test]
fn a_packed_book_that_breaks_off_is_unpacked_so_far() {
    let text = book_text();
    let bytes = deflated(&[(
        "book.json",
        text.as_bytes(),
        u32::try_from(text.len()).unwrap(),
    )]);
    let end = bytes.len() / 2;
    let filed = Filed::of_heads(&bytes[..end], end as u64).unwrap();
    assert!(filed.stored_book().is_none() && filed.unpacked_book().is_err());
    let rest = filed.rest_of_book();
    assert!(!rest.is_empty() && text.as_bytes().starts_with(&rest));
}
