//! A book with its photos in a ZIP archive: memory stays within what the archive has and claims, and what is taken is whole.

use hingeline::exchange::archive::{self, Archive, Filed, is_zip, photo_path, read_any, write};
use hingeline::exchange::book;
use sha2::{Digest, Sha256};

use super::book::put_right;
use super::in_our_manner;

pub(super) fn check(data: &[u8]) {
    check_bytes(data);
    if let Some(forged) = put_book_right(data) {
        check_bytes(&forged);
    }
}

fn check_bytes(data: &[u8]) {
    if is_zip(data) {
        check_in_place(data);
    }
    match read_any(data) {
        Err(error) => {
            in_our_manner(&error.to_string());
            assert!(!(error.is_refused() && error.is_foreign()), "{error}");
        }
        Ok(archive) => check_archive(&archive),
    }
}

/// Read where it stands it is taken or refused as when it is held whole; found by its heads it ends no command.
fn check_in_place(data: &[u8]) {
    let whole = archive::open(data).map(|opened| opened.book().map(|book| book.len()));
    let in_place = Filed::open(data, data.len() as u64);
    match (&whole, &in_place) {
        // A stored book is read by whoever asks for it, where it stands.
        (Ok(_), Ok(filed)) if filed.stored_book().is_some() => {}
        (Ok(book), Ok(filed)) => assert_eq!(book, &filed.unpacked_book().map(|book| book.len())),
        (Err(whole), Err(in_place)) => assert_eq!(whole, in_place),
        _ => panic!("{:?} whole, {:?} in place", whole.is_ok(), in_place.is_ok()),
    }
    if let Some(mut filed) = Filed::of_heads(data, data.len() as u64) {
        for place in 0..filed.photos() {
            assert!(filed.photo(place).is_some());
        }
    }
}

fn check_archive(archive: &Archive) {
    for (sha256, bytes) in &archive.photos {
        let digest: String = Sha256::digest(bytes)
            .iter()
            .map(|b| format!("{b:02x}"))
            .collect();
        assert_eq!(&digest, sha256, "a photo that is not what its name says");
    }
    for line in archive.report() {
        assert!(line.chars().count() < 10_000, "too long: {line}");
        assert!(
            !line.chars().any(char::is_control),
            "a control character: {line:?}"
        );
    }
    let text = book::write(&archive.book.entries, &archive.book.written);
    let photos = || {
        let each = archive.photos.iter();
        each.map(|(sha256, bytes)| (sha256.as_str(), &bytes[..]))
    };
    let written = write(&text, photos()).expect("it fits");
    assert!(is_zip(&written));
    let again = read_any(&written).expect("what is written opens");
    assert_eq!(again.photos, archive.photos);
    assert!(again.altered.is_empty() && again.unknown.is_empty());
    let named: Vec<&str> = archive
        .photos
        .iter()
        .map(|(sha256, _)| sha256.as_str())
        .collect();
    assert!(
        again
            .missing
            .iter()
            .all(|photo| !named.contains(&photo.sha256.as_str()))
    );
    assert_eq!(book::write(&again.book.entries, &again.book.written), text);
    let length = hingeline::exchange::archive::size(
        text.len() as u64,
        named.len(),
        photos().map(|(_, bytes)| bytes.len() as u64).sum(),
    );
    assert_eq!(length, written.len() as u64);
    assert!(named.iter().all(|sha256| photo_path(sha256).len() == 75));
}

/// The same archive with the ids and the digest of a book file that is stored in it put right.
fn put_book_right(data: &[u8]) -> Option<Vec<u8>> {
    let find = |from: usize, what: &[u8]| {
        let rest = data.get(from..)?;
        rest.windows(what.len())
            .position(|w| w == what)
            .map(|at| from + at)
    };
    let from = find(0, b"{\"format\"")?;
    let to = find(from, b"PK").unwrap_or(data.len());
    let text = std::str::from_utf8(&data[from..to]).ok()?;
    let right = put_right(text)?;
    Some([&data[..from], right.as_bytes(), &data[to..]].concat())
}

/// What it may take: a share of what it has and of what its directory claims to unpack to. Deflate makes at most 1032 bytes of one.
pub(super) fn memory(data: &[u8]) -> usize {
    let size = |head: &[u8], at: usize| {
        u32::from_le_bytes([head[at], head[at + 1], head[at + 2], head[at + 3]])
    };
    let listed = data
        .windows(46)
        .filter(|head| head.starts_with(b"PK\x01\x02"));
    let headed = data
        .windows(30)
        .filter(|head| head.starts_with(b"PK\x03\x04"));
    let claimed: usize = listed
        .map(|head| size(head, 24))
        .chain(headed.map(|head| size(head, 22)))
        .map(|size| {
            usize::try_from(size)
                .unwrap_or(usize::MAX)
                .min(1032 * data.len())
        })
        .sum();
    (8 << 20) + 24 * (data.len() + claimed)
}
