//! A photo is kept with its station and its reading, comes back after a restart, and travels with the book.

use std::{fs, path::PathBuf};

use hingeline::exchange::archive;
use hingeline::exchange::book::{self, Written};
use hingeline::notebook::{Act, Body, Entry, Stamp};
use serde_json::{Value, json};

use crate::bench::{OWN, Profile, Server, SetUp, Tablet, seat};
use crate::joining::{MT, version_by};

/// A picture of 16 by 8 pixels that its camera noted to be turned by a quarter, as a file; with the note, the words `Exif`.
pub(crate) fn picture(profile: &Profile, name: &str) -> PathBuf {
    let frozen = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/tests/data/books/v1-photos.zip"
    );
    let book = archive::read_any(&fs::read(frozen).unwrap()).unwrap();
    let is_wide = |bytes: &[u8]| bytes.windows(4).any(|size| size == [0, 8, 0, 16]);
    let jpeg = book.photos.iter().map(|(_, bytes)| bytes);
    let jpeg = jpeg.clone().find(|bytes| is_wide(bytes)).unwrap();
    // Exif 2.32 (CIPA DC-008, 2019), 4.6: orientation 6, "the 0th row is the visual right-hand side".
    let note = b"Exif\0\0MM\0\x2a\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0\x06\0\0\0\0\0\0";
    let mut bytes = jpeg[..2].to_vec();
    bytes.extend([0xff, 0xe1]);
    bytes.extend((u16::try_from(note.len()).unwrap() + 2).to_be_bytes());
    bytes.extend(note);
    bytes.extend(&jpeg[2..]);
    let path = profile.dir().join(name);
    fs::write(&path, bytes).unwrap();
    path
}

impl Tablet<'_> {
    /// The photos on the disk: key, SHA-256 of the bytes as the browser works it out, count of bytes, whether it is a JPEG, and
    /// whether it still has a camera's note.
    pub(crate) async fn photos(&self) -> Vec<(String, String, u64, bool, bool)> {
        let rows = self
            .run_async(
                "const database = await new Promise((resolve, reject) => {
                     const request = indexedDB.open(args[0]);
                     request.onsuccess = () => resolve(request.result);
                     request.onerror = () => reject(request.error);
                 });
                 const store = database.transaction('photos').objectStore('photos');
                 const all = (request) => new Promise((resolve) => { request.onsuccess = () => resolve(request.result); });
                 const [keys, values] = await Promise.all([all(store.getAllKeys()), all(store.getAll())]);
                 database.close();
                 return Promise.all(keys.map(async (key, at) => {
                     const bytes = values[at];
                     const hash = new Uint8Array(await crypto.subtle.digest('SHA-256', bytes));
                     const text = String.fromCharCode(...bytes.slice(0, 4000));
                     return [key, [...hash].map((byte) => byte.toString(16).padStart(2, '0')).join(''), bytes.length,
                         bytes[0] === 0xff && bytes[1] === 0xd8, text.includes('Exif')];
                 }));",
                &[json!(OWN)],
            )
            .await;
        serde_json::from_value(rows).unwrap()
    }

    /// Waits until a picture of the page is drawn, and gives its size.
    pub(crate) async fn drawn(&self, within: &str) -> Value {
        self.until_true(
            &format!("a picture is drawn in `{within}`"),
            "const picture = document.querySelector(`[data-testid=\"${arguments[0]}\"] img`);
             return picture?.complete && picture.naturalWidth > 0 ? [picture.naturalWidth, picture.naturalHeight] : null",
            &[json!(within)],
        )
        .await
    }

    /// What the book last said of its photos, by record.
    async fn photo_bodies(&self) -> Vec<Value> {
        let mut entries: Vec<Value> = self
            .ledger()
            .await
            .values()
            .map(|text| serde_json::from_str(text).unwrap())
            .filter(|entry: &Value| entry["body"].get("photo").is_some())
            .collect();
        entries.sort_by_key(|entry| entry["stamp"]["counter"].as_u64());
        entries
    }
}

/// Taken at the open reading: the picture upright and without the camera's note, its bytes under their SHA-256, the entry with
/// the reading's record; and all of it there after a restart.
#[tokio::test]
async fn a_photo_is_kept_with_its_reading_and_is_there_after_a_restart() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    let file = picture(&profile, "outcrop.jpg");
    tablet.begin(&server).await;
    tablet.tap_bedding("04530").await;
    tablet.kept().await;
    tablet.give("photo", &file).await;
    tablet.reads("undo", "Undo photo 1").await;
    tablet.kept().await;
    let photos = tablet.photos().await;
    assert_eq!(photos.len(), 1);
    let (key, hash, bytes, is_jpeg, noted) = photos[0].clone();
    assert_eq!(key, hash);
    assert!(is_jpeg && !noted);
    let bodies = tablet.photo_bodies().await;
    let body = &bodies[0]["body"]["photo"];
    assert_eq!(body["sha256"], key);
    assert_eq!(body["bytes"], bytes);
    assert_eq!([&body["width"], &body["height"]], [8, 16]);
    let reading = tablet.readings().await[0]["record"].clone();
    assert_eq!(body["reading"], reading);

    // A digit goes to the dials again: the key did not keep the focus.
    tablet.press("0").await;
    tablet.shows("dial-strike", "data-state", "draft").await;
    tablet.tap("key-back").await;
    tablet.kept().await;

    tablet.go(&server.at("/station/1")).await;
    assert_eq!(tablet.drawn("photo-1-1").await, json!([8, 16]));
    tablet.reload().await;
    tablet.drawn("photo-1-1").await;
    tablet.tap("photo-1-1").await;
    tablet.drawn("photo-page").await;
    tablet
        .until_true(
            "the facts of the photo are there",
            "return document.querySelector('[data-testid=\"photo-facts\"]').innerText.includes('with 1·1 · 8 × 16')",
            &[],
        )
        .await;
    tablet.write("photo-note", "cleavage across the bed").await;
    tablet.run("document.activeElement.blur()", &[]).await;
    tablet.reads("undo", "Undo note").await;
    tablet.write("photo-why", "blurred").await;
    tablet.tap("photo-strike").await;
    tablet.reads("photo-struck", "Struck out: blurred.").await;
    tablet.tap("photo-put-back").await;
    tablet.miss("photo-struck").await;
    tablet.tap("undo").await;
    tablet.see("photo-struck").await;
    tablet.kept().await;
    // It stays to be seen, and its bytes stay.
    tablet.tap("photo-station").await;
    tablet.shows("photo-1-1", "data-state", "struck").await;
    tablet.drawn("photo-1-1").await;
    assert_eq!(tablet.photos().await, photos);
    tablet.is_quiet().await;
}

/// Taken before the first digit: the photo belongs to the reading that is then typed, and to no other.
#[tokio::test]
async fn a_photo_taken_first_belongs_to_the_reading_that_follows() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    let file = picture(&profile, "outcrop.jpg");
    tablet.begin(&server).await;
    tablet.give("photo", &file).await;
    tablet.reads("undo", "Undo photo 1").await;
    assert_eq!(
        tablet.photo_bodies().await[0]["body"]["photo"].get("reading"),
        None
    );
    tablet.tap_bedding("04530").await;
    // What is undone next is the shot, not the photo.
    tablet.reads("undo", "Undo shot 1").await;
    tablet.kept().await;
    let reading = tablet.readings().await[0]["record"].clone();
    let bodies = tablet.photo_bodies().await;
    assert_eq!(bodies.len(), 2);
    assert_eq!(bodies[1]["body"]["photo"]["reading"], reading);
    tablet.tap("next-reading").await;
    tablet.tap_bedding("05040").await;
    tablet.kept().await;
    assert_eq!(tablet.photo_bodies().await.len(), 2);
    tablet.is_quiet().await;
}

/// One archive carries the book and its photos to an empty tablet; an altered photo is named and left out.
#[tokio::test]
async fn an_archive_brings_the_photos_and_an_altered_one_is_named() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    let file = picture(&profile, "outcrop.jpg");
    tablet.begin(&server).await;
    tablet.tap_bedding("04530").await;
    tablet.kept().await;
    tablet.give("photo", &file).await;
    tablet.reads("undo", "Undo photo 1").await;
    tablet.place("camp").await;
    tablet
        .until_true(
            "the size and the photo are said before",
            "const words = document.querySelector('[data-testid=\"backup\"]').innerText;
             return words.includes('one file, ') && words.includes('kB: ') && words.includes('1 photo')",
            &[],
        )
        .await;
    let book = tablet.back_up(&profile).await;
    assert_eq!(book.extension().unwrap(), "zip");
    let (ledger, photos) = (tablet.ledger().await, tablet.photos().await);
    let bytes = fs::read(&book).unwrap();
    let read = archive::read_any(&bytes).unwrap();
    assert_eq!((read.photos.len(), read.missing.len()), (1, 0));
    assert_eq!(read.photos[0].0, photos[0].0);
    assert_eq!(read.book.entries.len(), ledger.len());

    // An empty tablet, and an archive in which one byte of the photo is another.
    tablet.wipe(&server, OWN).await;
    let mut altered = bytes.clone();
    let jpeg = &*read.photos[0].1;
    let at = bytes.windows(jpeg.len()).position(|part| part == jpeg);
    altered[at.unwrap() + jpeg.len() / 2] ^= 1;
    let path = profile.dir().join("altered.zip");
    fs::write(&path, altered).unwrap();
    tablet.go(&server.at("/")).await;
    tablet.tap("start-was").await;
    assert!(tablet.open_file_unseen(&path).await);
    tablet.see("place-camp").await;
    assert_eq!(tablet.ledger().await, ledger);
    assert_eq!(tablet.photos().await, []);
    tablet.go(&server.at("/station/1")).await;
    tablet.see("no-picture").await;

    // Opened in Camp, what is wrong is said; the sound archive then brings the photo, though every entry is there already.
    tablet.place("camp").await;
    tablet.open_files(&[&path]).await;
    tablet
        .reads("join-photos", "1·P1 (its bytes were changed)")
        .await;
    assert!(!tablet.has("join-apply").await, "nothing sound is new");
    let (outcome, words) = tablet.open_file(&book).await;
    assert_eq!(outcome, "ok", "{words}");
    assert!(words.contains("1 photo and 0 entries are kept"), "{words}");
    assert_eq!(tablet.photos().await, photos);
    assert_eq!(tablet.ledger().await, ledger);
    let (_, words) = tablet.open_file(&book).await;
    assert!(words.to_lowercase().contains("nothing changed"), "{words}");
    tablet.go(&server.at("/station/1")).await;
    tablet.drawn("photo-1-1").await;
    tablet.is_quiet().await;
}

/// A database that has no room for photos.
const FULL: &str = "
    window.full = false;
    const put = IDBObjectStore.prototype.put;
    IDBObjectStore.prototype.put = function (...args) {
        if (window.full && this.name === 'photos') throw new DOMException('no room', 'QuotaExceededError');
        return put.apply(this, args);
    };
";

/// Where a photo does not fit, neither it nor its entry is kept, and that is said; the next reading is kept all the same, and the
/// photo can be downloaded, or tried again.
#[tokio::test]
async fn a_photo_that_does_not_fit_is_said_and_holds_no_reading_up() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let set_up = SetUp {
        first: FULL,
        ..SetUp::default()
    };
    let tablet = Tablet::with(&profile, set_up).await;
    let file = picture(&profile, "outcrop.jpg");
    tablet.begin(&server).await;
    let before = tablet.ledger().await;
    tablet.run("window.full = true", &[]).await;
    tablet.give("photo", &file).await;
    tablet.see("photo-unkept").await;
    let words = tablet
        .run(
            "return document.querySelector('[data-testid=\"photo-unkept\"]').innerText",
            &[],
        )
        .await;
    assert!(
        words
            .as_str()
            .unwrap()
            .contains("not kept: the storage is full"),
        "{words}"
    );
    assert_eq!(tablet.ledger().await, before);
    assert_eq!(tablet.photos().await, []);
    tablet.tap_bedding("04530").await;
    tablet.kept().await;
    assert_eq!(tablet.readings().await.len(), 1);

    tablet.tap("photo-save").await;
    let saved = tablet
        .until("the photo is a file", || async {
            let jpeg = profile.downloaded(&["jpg"]).pop();
            jpeg.ok_or_else(|| "there is no new file".to_owned())
        })
        .await;
    tablet.run("window.full = false", &[]).await;
    tablet.tap("photo-again").await;
    tablet.reads("undo", "Undo photo 1").await;
    tablet.miss("photo-unkept").await;
    let photos = tablet.photos().await;
    let bytes = fs::read(saved).unwrap();
    assert_eq!(photos[0].0, hingeline::notebook::photos::sha256(&bytes));
    tablet.is_quiet().await;
}

/// A file that is no picture makes no photo, and the words name it.
#[tokio::test]
async fn a_file_that_is_no_picture_is_named() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    tablet.begin(&server).await;
    let before = tablet.ledger().await;
    let path = profile.dir().join("letter.jpg");
    fs::write(&path, "no picture").unwrap();
    tablet.give("photo", &path).await;
    tablet.see("photo-unkept").await;
    let words = tablet
        .run(
            "return document.querySelector('[data-testid=\"photo-unkept\"]').innerText",
            &[],
        )
        .await;
    assert!(words.as_str().unwrap().contains("`letter.jpg`"), "{words}");
    tablet.tap("photo-leave").await;
    tablet.miss("photo-unkept").await;
    tablet.kept().await;
    assert_eq!(tablet.ledger().await, before);
}

/// One person strikes a photo out that another wrote a note to: it is named by its number, settled with its picture in sight, and
/// its own page says that it is in doubt and leads to its history.
#[tokio::test]
async fn a_contested_photo_is_settled_with_its_picture_in_sight() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    let file = picture(&profile, "outcrop.jpg");
    tablet.begin(&server).await;
    tablet.tap_bedding("04530").await;
    tablet.kept().await;
    tablet.give("photo", &file).await;
    tablet.reads("undo", "Undo photo 1").await;
    tablet.kept().await;
    let entries: Vec<Entry> = tablet
        .ledger()
        .await
        .values()
        .map(|text| Entry::from_json(text).unwrap())
        .collect();
    let taken = entries
        .iter()
        .find(|entry| matches!(entry.body(), Some(Body::Photo(_))))
        .unwrap();
    let Some(Body::Photo(mut photo)) = taken.body().cloned() else {
        unreachable!("a photo")
    };
    photo.note = "the hinge".to_owned();
    let stamp = Stamp {
        by: "MT".to_owned(),
        device: MT.to_owned(),
        counter: 1,
        at: "2026-06-14T19:00:00.000+01:00".to_owned(),
    };
    let noted = Entry::new(
        taken.record().clone(),
        [taken.id()],
        stamp,
        Act::Correct,
        None,
        Some(Body::Photo(photo)),
    );
    let theirs = profile.dir().join("theirs.json");
    let all = entries.iter().chain([&noted]);
    fs::write(&theirs, book::write(all, &Written::default())).unwrap();

    tablet.go(&server.at("/station/1")).await;
    tablet.tap("photo-1-1").await;
    tablet.drawn("photo-page").await;
    assert!(!tablet.has("photo-doubt").await);
    tablet.write("photo-why", "blurred").await;
    tablet.tap("photo-strike").await;
    tablet.see("photo-struck").await;
    tablet.kept().await;
    tablet.place("camp").await;
    tablet.open_files(&[&theirs]).await;
    tablet.reads("join-contested", "photo 1·P1").await;
    tablet.tap("join-apply").await;
    tablet.reads("import-report", "none was lost").await;
    tablet.tap("settle-1").await;
    tablet
        .reads("settle-title", "Photo 1·P1: struck out, and changed")
        .await;
    assert_eq!(tablet.drawn("settle").await, json!([8, 16]));

    // Its own page says so too, and leads to both.
    tablet.go(&server.at("/station/1")).await;
    tablet.tap("photo-1-1").await;
    tablet
        .reads("photo-doubt", "Photo 1·P1: struck out, and changed")
        .await;
    tablet.tap("history-open").await;
    tablet.see("history").await;
    tablet.reads("step-2", "the hinge").await;
    tablet.tap("history-leave").await;
    tablet.see("photo-page").await;
    tablet.tap("settle-open").await;
    let of_mt = version_by(&tablet, "MT").await;
    tablet.tap(&format!("take-{of_mt}")).await;
    tablet.see("settled").await;
    tablet.kept().await;
    tablet.go(&server.at("/station/1")).await;
    tablet.shows("photo-1-1", "data-state", "kept").await;
    tablet.tap("photo-1-1").await;
    tablet.drawn("photo-page").await;
    assert!(!tablet.has("photo-doubt").await);
    tablet.is_quiet().await;
}
