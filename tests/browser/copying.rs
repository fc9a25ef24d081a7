//! The copy that the book makes of itself in the browser's private file system, and the way back from it.

use serde_json::{Value, json};

use crate::bench::{OWN, Profile, Server, SetUp, Tablet, seat};
use crate::photographing::picture;

/// The private file system from outside the app: every file's name and text.
const FILES: &str = "
    const folder = await navigator.storage.getDirectory();
    const files = [];
    for await (const [name, handle] of folder.entries()) {
        // One that goes while it is looked at is not there.
        const text = await handle.getFile().then((file) => file.text()).catch(() => null);
        if (text !== null) files.push([name, text]);
    }
    return files.sort();
";

/// The rolling copies by name, with the entries each holds; those that were never whole hold none.
async fn copies(tablet: &Tablet<'_>) -> Vec<(String, usize)> {
    let files = tablet.run_async(FILES, &[]).await;
    let files: Vec<(String, String)> = serde_json::from_value(files).unwrap();
    let count = |text: &str| hingeline::exchange::book::read(text).map_or(0, |f| f.entries.len());
    let copies = files.iter().filter(|(name, _)| name.ends_with(".json"));
    copies
        .map(|(name, text)| (name.clone(), count(text)))
        .collect()
}

/// Waits until a whole copy has so many entries; gives all copies.
async fn copied(tablet: &Tablet<'_>, entries: usize) -> Vec<(String, usize)> {
    tablet
        .until(&format!("a copy has {entries} entries"), || async {
            let copies = copies(tablet).await;
            match copies.iter().any(|(_, count)| *count == entries) {
                true => Ok(copies),
                false => Err(format!("{copies:?}")),
            }
        })
        .await
}

/// The page goes out of sight, as when another app is turned to.
async fn turn_away(tablet: &Tablet<'_>) {
    tablet
        .run("dispatchEvent(new Event('pagehide'))", &[])
        .await;
}

/// A book with a reading, and a copy that has all of it.
async fn copied_book(tablet: &Tablet<'_>, server: &Server) -> usize {
    tablet.begin(server).await;
    tablet.tap_bedding("04530").await;
    copied_now(tablet).await;
    tablet.ledger().await.len()
}

/// Failure 11: the storage is gone, a copy is not. It is offered, and brings back the same bytes.
#[tokio::test]
async fn the_storage_gone_the_copy_is_offered_and_brings_back_every_entry() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    let entries = copied_book(&tablet, &server).await;
    let before = tablet.ledger().await;
    tablet.place("camp").await;
    let words = tablet.reads("rolling", "made by itself").await;
    assert!(words.contains(&format!("{entries} entries")), "{words}");
    tablet.wipe(&server, OWN).await;
    assert!(tablet.ledger().await.is_empty());

    tablet.go(&server.at("/")).await;
    let offer = tablet.words("start-copy").await;
    assert!(offer.contains(&format!("{entries} entries")), "{offer}");
    tablet.see("start-new").await;
    tablet.tap("start-copy").await;
    tablet.see("place-traverse").await;
    assert_eq!(tablet.ledger().await, before);
    tablet.place("traverse").await;
    tablet.tap("all-days").await;
    tablet.see("line-1-1").await;
    // The book that came back makes copies of its own; the copy it came from goes once there is one.
    let copies = copied(&tablet, entries).await;
    assert!(!copies.is_empty());
    tablet.is_quiet().await;
}

/// A new book never covers the copy of the one before it: Camp still offers that.
#[tokio::test]
async fn the_copy_of_a_lost_book_outlives_a_new_book_begun_in_its_place() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    let entries = copied_book(&tablet, &server).await;
    let before = tablet.ledger().await;
    let old = copies(&tablet).await;
    tablet.wipe(&server, OWN).await;

    tablet.begin(&server).await;
    for round in 0..4 {
        tablet.tap_bedding(&format!("05{round}30")).await;
        tablet.kept().await;
        let now = tablet.ledger().await.len();
        tablet
            .until("the new book is copied", || async {
                turn_away(&tablet).await;
                let copies = copies(&tablet).await;
                match copies.iter().any(|(_, count)| *count == now) {
                    true => Ok(()),
                    false => Err(format!("{copies:?}")),
                }
            })
            .await;
        tablet.tap("next-reading").await;
    }
    let all = copies(&tablet).await;
    let kept = all.iter().filter(|copy| old.contains(copy)).count();
    assert_eq!(kept, old.len(), "{old:?} among {all:?}");
    assert!(all.len() <= old.len() + 2, "{all:?}");

    tablet.place("camp").await;
    tablet.tap("open-other-copy").await;
    let words = tablet.reads("copy-report", "new and kept").await;
    assert!(words.contains(&format!("of {entries} entries")), "{words}");
    let ledger = tablet.ledger().await;
    assert!(before.iter().all(|(id, text)| ledger.get(id) == Some(text)));
    tablet.is_quiet().await;
}

/// The latest copy is damaged: the one before it is opened.
#[tokio::test]
async fn a_damaged_copy_gives_way_to_the_one_before_it() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    let entries = copied_book(&tablet, &server).await;
    let before = tablet.ledger().await;
    tablet.wipe(&server, OWN).await;
    // A later copy of the same book, whole to look at, with one digit changed; and one that the page's end cut off.
    tablet
        .run_async(
            "const folder = await navigator.storage.getDirectory();
             const names = [];
             for await (const name of folder.keys()) if (name.endsWith('.json')) names.push(name);
             const last = names.sort().at(-1);
             const text = await (await (await folder.getFileHandle(last)).getFile()).text();
             const later = (number) => last.replace(/-\\d+\\.json$/, `-${String(number).padStart(8, '0')}.json`);
             const handle = await folder.getFileHandle(later(900), { create: true });
             const stream = await handle.createWritable();
             await stream.write(text.replace('\"dip\":\"30\"', '\"dip\":\"31\"'));
             await stream.close();
             await folder.getFileHandle(later(901), { create: true });",
            &[],
        )
        .await;
    tablet.go(&server.at("/")).await;
    let offer = tablet.words("start-copy").await;
    assert!(offer.contains(&format!("{entries} entries")), "{offer}");
    tablet.tap("start-copy").await;
    tablet.see("place-traverse").await;
    assert_eq!(tablet.ledger().await, before);
}

/// A browser without a private file system, and one that refuses it: the book works as ever, and Camp says so quietly.
#[tokio::test]
async fn without_a_private_file_system_nothing_breaks() {
    for first in [
        "Object.defineProperty(navigator, 'storage', { value: undefined });",
        "StorageManager.prototype.getDirectory = () => { throw new DOMException('The operation is insecure.', 'SecurityError'); };",
        "StorageManager.prototype.getDirectory = () => new Promise(() => {});",
        "FileSystemFileHandle.prototype.createWritable = undefined;",
    ] {
        let _seat = seat(false).await;
        let (server, profile) = (Server::start(), Profile::new());
        let set_up = SetUp {
            first,
            ..SetUp::default()
        };
        let tablet = Tablet::with(&profile, set_up).await;
        tablet.begin(&server).await;
        tablet.tap_bedding("04530").await;
        tablet.kept().await;
        turn_away(&tablet).await;
        tablet.place("camp").await;
        if !first.contains("new Promise") {
            let words = tablet.reads("rolling", "no copy").await;
            assert!(!words.contains("made by itself"), "{words}");
        }
        tablet.see("backup").await;
        assert!(!tablet.has("loud").await, "{first}");
        tablet.is_quiet().await;
    }
}

/// The number of stations that no back-up has is on every page, and goes with the back-up.
#[tokio::test]
async fn how_many_stations_are_only_here_is_always_in_sight() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    tablet.begin(&server).await;
    for (width, height) in crate::bench::SIZES {
        tablet.size((width, height)).await;
        for place in ["outcrop", "traverse", "camp"] {
            tablet.place(place).await;
            tablet.reads("since-backup", "1").await;
            let inside = tablet
                .run(
                    "const part = document.querySelector('[data-testid=since-backup]').getBoundingClientRect();
                     const undo = document.querySelector('[data-testid=undo]')?.getBoundingClientRect();
                     const camp = document.querySelector('[data-testid=place-camp]').getBoundingClientRect();
                     return part.width > 0 && part.left >= camp.right && part.right <= (undo?.left ?? innerWidth)
                         && part.bottom <= document.querySelector('.ledger').getBoundingClientRect().top",
                    &[],
                )
                .await;
            assert_eq!(inside, json!(true), "{place} at {width}");
        }
    }
    tablet.back_up(&profile).await;
    tablet.size(crate::bench::SIZES[0]).await;
    tablet.reads("since-backup", "backed up").await;
    let shown: Value = tablet
        .run(
            "return document.querySelectorAll('[data-testid=since-backup]').length",
            &[],
        )
        .await;
    assert_eq!(shown, json!(1));
}

/// Waits until the book is copied as it stands.
async fn copied_now(tablet: &Tablet<'_>) {
    tablet.kept().await;
    let entries = tablet.ledger().await.len();
    tablet
        .until("the book is copied", || async {
            // A copy that is under way is waited for; then everything that is in none is due.
            turn_away(tablet).await;
            let copies = copies(tablet).await;
            match copies.iter().any(|(_, count)| *count == entries) {
                true => Ok(()),
                false => Err(format!("{copies:?}")),
            }
        })
        .await;
}

/// The copies of photos: name and bytes, of those that are whole.
async fn photo_copies(tablet: &Tablet<'_>) -> Vec<(String, u64)> {
    let files = tablet
        .run_async(
            "const folder = await navigator.storage.getDirectory();
             const files = [];
             for await (const [name, handle] of folder.entries()) {
                 const size = await handle.getFile().then((file) => file.size).catch(() => 0);
                 if (name.endsWith('.jpg') && size > 0) files.push([name, size]);
             }
             return files.sort();",
            &[],
        )
        .await;
    serde_json::from_value(files).unwrap()
}

/// A book with a reading and so many photos, and a copy that has all of it.
async fn copied_with_photos(tablet: &Tablet<'_>, server: &Server, files: &[std::path::PathBuf]) {
    copied_book(tablet, server).await;
    for (i, file) in files.iter().enumerate() {
        tablet.give("photo", file).await;
        tablet.reads("undo", &format!("Undo photo {}", i + 1)).await;
    }
    copied_now(tablet).await;
    tablet
        .until("every photo is copied", || async {
            let there = photo_copies(tablet).await;
            let different = tablet.photos().await.len();
            match there.len() == different {
                true => Ok(()),
                false => Err(format!("{there:?}")),
            }
        })
        .await;
}

/// Failure 11 with photos: each lies beside the copies once, under the hash of its bytes, however many copies name it; when the
/// storage is gone it comes back with its entry.
#[tokio::test]
async fn a_photo_comes_back_with_the_copy_of_its_book() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    let file = picture(&profile, "outcrop.jpg");
    copied_with_photos(&tablet, &server, &[file]).await;
    let photos = tablet.photos().await;
    let there = photo_copies(&tablet).await;
    assert_eq!(
        there,
        [(format!("hingeline-photo-{}.jpg", photos[0].0), photos[0].2)]
    );
    // Later copies name it too, and do not have it again.
    tablet.tap("next-reading").await;
    tablet.tap_bedding("05040").await;
    copied_now(&tablet).await;
    assert_eq!(photo_copies(&tablet).await, there);
    let before = tablet.ledger().await;
    tablet.place("camp").await;
    tablet.reads("rolling", "with its photo").await;
    tablet.tap("open-copy").await;
    tablet.reads("copy-report", "Nothing changed").await;
    tablet.wipe(&server, OWN).await;

    tablet.go(&server.at("/")).await;
    tablet.tap("start-copy").await;
    tablet.see("place-traverse").await;
    assert_eq!(tablet.ledger().await, before);
    assert_eq!(tablet.photos().await, photos);
    tablet.go(&server.at("/station/1")).await;
    tablet.drawn("photo-1-1").await;
    assert!(!tablet.has("warning").await);
    assert_eq!(photo_copies(&tablet).await, there);
    tablet.is_quiet().await;
}

/// A photo whose copy is gone, and one whose copy was changed, are named; the book and the sound photo come back.
#[tokio::test]
async fn a_photo_that_does_not_come_back_is_named() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    let file = picture(&profile, "outcrop.jpg");
    let screens = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/screens");
    let other = |name: &str| std::path::PathBuf::from(format!("{screens}/{name}.png"));
    let files = [file, other("station"), other("camp")];
    copied_with_photos(&tablet, &server, &files).await;
    let before = tablet.ledger().await;
    let sha256 = |number: u64| -> String {
        let bodies = before
            .values()
            .map(|text| serde_json::from_str::<Value>(text).unwrap());
        let photos = bodies.filter_map(|entry| entry["body"].get("photo").cloned());
        let mut one = photos.filter(|photo| photo["number"] == json!(number));
        one.next().unwrap()["sha256"].as_str().unwrap().to_owned()
    };
    tablet.wipe(&server, OWN).await;
    tablet
        .run_async(
            "const folder = await navigator.storage.getDirectory();
             await folder.removeEntry(`hingeline-photo-${args[0]}.jpg`);
             const handle = await folder.getFileHandle(`hingeline-photo-${args[1]}.jpg`);
             const stream = await handle.createWritable({ keepExistingData: true });
             await stream.write({ type: 'write', position: 100, data: 'other' });
             await stream.close();",
            &[json!(sha256(1)), json!(sha256(2))],
        )
        .await;
    tablet.go(&server.at("/")).await;
    tablet.tap("start-copy").await;
    tablet.see("place-traverse").await;
    let words = tablet
        .reads("warning", "1·P1, 1·P2 (its copy was changed)")
        .await;
    assert!(words.contains("A back-up may have"), "{words}");
    assert_eq!(tablet.ledger().await, before);
    let photos = tablet.photos().await;
    assert_eq!(photos.len(), 1);
    assert_eq!(photos[0].0, sha256(3));
}

/// Photos for which the private file system has no room: the book is copied all the same, and Camp says why they are not.
#[tokio::test]
async fn a_photo_without_room_beside_the_copies_holds_no_copy_up() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let set_up = SetUp {
        first: "StorageManager.prototype.estimate = async () => ({ quota: 1e6, usage: 9e5 });",
        ..SetUp::default()
    };
    let tablet = Tablet::with(&profile, set_up).await;
    let file = picture(&profile, "outcrop.jpg");
    copied_book(&tablet, &server).await;
    tablet.give("photo", &file).await;
    tablet.reads("undo", "Undo photo 1").await;
    copied_now(&tablet).await;
    tablet.place("camp").await;
    let words = tablet
        .reads("rolling", "with 0 of 1 photo (too little room")
        .await;
    assert!(words.contains("made by itself"), "{words}");
    assert_eq!(photo_copies(&tablet).await, []);
    tablet.is_quiet().await;
}
