//! One file carries the book: what is backed up and opened again is the same, entry by entry.

use std::{fs, path::PathBuf};

use hingeline::exchange::book;
use serde_json::Value;

use crate::bench::{OWN, Profile, Server, Tablet, seat};

/// A book with a plane, a line and a correction, as a file.
async fn written_book(tablet: &Tablet<'_>, server: &Server, profile: &Profile) -> PathBuf {
    tablet.begin(server).await;
    tablet.tap_bedding("04530").await;
    tablet.kept().await;
    tablet.tap("kind-line").await;
    tablet.tap_digits("24012").await;
    tablet.kept().await;
    tablet.tap("line-1-1").await;
    tablet.tap("dial-dip").await;
    tablet.tap_digits("35").await;
    tablet.kept().await;
    tablet.place("camp").await;
    tablet.back_up(profile).await
}

/// Back up, wipe, open: every entry returns identical; opening it again changes nothing.
#[tokio::test]
async fn backed_up_wiped_and_opened_every_entry_is_the_same() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    let file = written_book(&tablet, &server, &profile).await;
    let before = tablet.ledger().await;
    assert!(before.len() >= 6, "{before:?}");
    tablet.wipe(&server, OWN).await;
    assert!(tablet.ledger().await.is_empty());

    tablet.go(&server.at("/")).await;
    tablet.tap("start-was").await;
    let field = tablet.open_file_unseen(&file).await;
    assert!(field, "the file is handed over");
    // The first page gives way to the book.
    tablet.see("place-traverse").await;
    assert_eq!(tablet.ledger().await, before);
    tablet.place("traverse").await;
    tablet.tap("all-days").await;
    tablet.see("line-1-1").await;
    tablet.see("line-1-2").await;

    tablet.place("camp").await;
    for _ in 0..2 {
        let (outcome, words) = tablet.open_file(&file).await;
        assert_eq!(outcome, "ok", "{words}");
        assert!(words.to_lowercase().contains("nothing changed"), "{words}");
        assert_eq!(tablet.ledger().await, before);
    }
    tablet.is_quiet().await;
}

/// A file joins what is there: both books stand, and the same file in the other order gives the same ledger.
#[tokio::test]
async fn a_file_from_another_tablet_adds_to_the_book_that_is_there() {
    let _seat = seat(false).await;
    let server = Server::start();
    let (one, other) = (Profile::new(), Profile::new());
    let (mut files, mut ledgers) = (Vec::new(), Vec::new());
    for profile in [&one, &other] {
        let tablet = Tablet::start(profile).await;
        files.push(written_book(&tablet, &server, profile).await);
        ledgers.push(tablet.ledger().await);
        tablet.close().await;
    }
    assert!(
        ledgers[0].keys().all(|id| !ledgers[1].contains_key(id)),
        "two books"
    );
    let mut joined = Vec::new();
    for (profile, file, own) in [
        (&one, &files[1], &ledgers[0]),
        (&other, &files[0], &ledgers[1]),
    ] {
        let tablet = Tablet::start(profile).await;
        tablet.go(&server.at("/camp")).await;
        tablet.kept().await;
        let (outcome, words) = tablet.open_file(file).await;
        assert_eq!(outcome, "ok", "{words}");
        let all = tablet.ledger().await;
        assert!(own.iter().all(|(id, text)| all.get(id) == Some(text)));
        joined.push(all);
    }
    assert_eq!(joined[0], joined[1]);
}

/// Only what is new since the back-up leaves in a file of its own, which is no back-up. Who has the back-up has all of the book with
/// it, whichever of the two is opened first; who has it alone is told that it is a part, and so is whoever opens what that tablet
/// writes.
#[tokio::test]
async fn only_what_is_new_is_carried_to_who_has_the_back_up() {
    let _seat = seat(false).await;
    let server = Server::start();
    let (own, one, other) = (Profile::new(), Profile::new(), Profile::new());
    let tablet = Tablet::start(&own).await;
    let whole = written_book(&tablet, &server, &own).await;
    tablet.reads("only-here", "Everything").await;
    tablet.miss("only-new").await;
    tablet.place("outcrop").await;
    tablet.tap("kind-line").await;
    tablet.tap_digits("11030").await;
    tablet.kept().await;
    tablet.place("camp").await;
    tablet
        .reads("only-new", "1 entry since the back-up of")
        .await;
    let last = tablet.words("last-backup").await;
    let files = || own.downloaded(&["json", "zip"]);
    let before = files();
    tablet.tap("backup-new").await;
    let new = tablet
        .until("what is new is a file", || async {
            let new = files().into_iter().find(|file| !before.contains(file));
            new.ok_or_else(|| "there is no new file".to_owned())
        })
        .await;
    tablet.reads("only-new-report", "is no back-up").await;
    // What is only on this tablet is so still.
    assert_eq!(tablet.words("last-backup").await, last);
    tablet.reads("only-here", "1 station").await;
    let all = tablet.ledger().await;
    let file = book::read_bytes(&fs::read(&new).unwrap()).unwrap();
    assert_eq!((file.entries.len(), file.beyond.len()), (1, 1));
    assert_eq!(file.beyond[0].count, all.len() - 1);
    tablet.is_quiet().await;
    tablet.close().await;

    let words = format!(
        "only what is new beyond a book of {} entries",
        all.len() - 1
    );
    for (profile, first, second) in [(&one, &whole, &new), (&other, &new, &whole)] {
        let tablet = Tablet::start(profile).await;
        tablet.go(&server.at("/")).await;
        tablet.tap("start-was").await;
        tablet.give("open-file", first).await;
        tablet.see("join-apply").await;
        let is_part = first == &new;
        if is_part {
            // Before anything is written.
            tablet.reads("join-part", &words).await;
            assert!(tablet.ledger().await.is_empty());
        } else {
            tablet.miss("join-part").await;
        }
        tablet.tap("join-apply").await;
        tablet.see("place-traverse").await;
        tablet.place("camp").await;
        if is_part {
            tablet.reads("only-part", &words).await;
            let written = tablet.back_up(profile).await;
            let written = book::read_bytes(&fs::read(written).unwrap()).unwrap();
            assert_eq!(written.beyond, file.beyond);
            // It is known after a start, too.
            tablet.reload().await;
            tablet.reads("only-part", &words).await;
        } else {
            tablet.miss("only-part").await;
        }
        let (outcome, said) = tablet.open_file(second).await;
        assert_eq!(outcome, "ok", "{said}");
        assert!(!said.contains("only a part"), "{said}");
        assert_eq!(tablet.ledger().await, all);
        tablet.place("camp").await;
        tablet.see("backup").await;
        tablet.miss("only-part").await;
        tablet.is_quiet().await;
        tablet.close().await;
    }
}

/// Failure 16: a damaged, cut off, foreign, newer or hostile file changes nothing and says what is wrong.
#[tokio::test]
async fn a_file_that_is_no_whole_book_changes_nothing_and_says_why() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    let file = written_book(&tablet, &server, &profile).await;
    let sound = fs::read_to_string(&file).unwrap();
    let before = tablet.ledger().await;
    let newer = {
        let mut book: Value = serde_json::from_str(&sound).unwrap();
        book["version"] = (book["version"].as_u64().unwrap() + 1).into();
        serde_json::to_string(&book).unwrap()
    };
    let deep = format!("{}{}", "[".repeat(100_000), "]".repeat(100_000));
    let half = sound.len() / 2;
    let cases: [(&str, Vec<u8>, &[&str]); 9] = [
        ("empty.json", Vec::new(), &["empty"]),
        (
            "cut-off.json",
            sound.as_bytes()[..half].to_vec(),
            &["line", "cut", "end", "whole"],
        ),
        (
            "one-digit-changed.json",
            sound
                .replacen(r#""dip":"30""#, r#""dip":"31""#, 1)
                .into_bytes(),
            &["changed", "digest", "altered"],
        ),
        ("newer.json", newer.into_bytes(), &["newer", "version"]),
        (
            "points.geojson.json",
            br#"{"type":"FeatureCollection","features":[]}"#.to_vec(),
            &["GeoJSON"],
        ),
        (
            "picture.json",
            b"\x89PNG\r\n\x1a\n\0\0\0".to_vec(),
            &["PNG"],
        ),
        (
            "words.json",
            b"strike 045, dip 30".to_vec(),
            &["text", "table"],
        ),
        ("deep.json", deep.into_bytes(), &["book", "deep", "nest"]),
        (
            "large.json",
            vec![b' '; 30 << 20],
            &["empty", "book", "end"],
        ),
    ];
    for (name, bytes, words) in cases {
        let path = profile.dir().join(name);
        fs::write(&path, bytes).unwrap();
        let (outcome, said) = tablet.open_file(&path).await;
        assert_eq!(outcome, "refused", "{name}: {said}");
        assert!(said.contains(name), "{name}: {said}");
        assert!(said.contains("nothing changed"), "{name}: {said}");
        let lower = said.to_lowercase();
        assert!(
            words
                .iter()
                .any(|word| lower.contains(&word.to_lowercase())),
            "{name}: {said}"
        );
        assert_eq!(tablet.ledger().await, before, "{name}");
    }
    // After all of that a sound file still opens.
    let (outcome, words) = tablet.open_file(&file).await;
    assert_eq!(outcome, "ok", "{words}");
    tablet.is_quiet().await;
}

/// Failure 16, hostile: what looks like a script in a note is words and nothing else.
#[tokio::test]
async fn a_script_in_a_note_is_only_words() {
    const HOSTILE: &str =
        "<img src=x onerror=\"window.struck=1\"><script>window.struck=1</script>\"'`${1}";
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    tablet.begin(&server).await;
    tablet.go(&server.at("/station/1")).await;
    for fact in ["fact-name", "fact-unit", "fact-lithology", "station-note"] {
        tablet.tap(fact).await;
        tablet.write("word-field", HOSTILE).await;
        tablet.tap("word-keep").await;
        tablet.kept().await;
    }
    tablet.tap("measure").await;
    tablet.tap_bedding("04530").await;
    tablet.tap("words").await;
    tablet.write("reading-note", HOSTILE).await;
    tablet.tap("words-done").await;
    tablet.kept().await;
    tablet.place("camp").await;
    tablet.write("book-name", HOSTILE).await;
    tablet.run("document.activeElement.blur()", &[]).await;
    let file = tablet.back_up(&profile).await;
    let before = tablet.ledger().await;
    assert!(before.values().any(|text| text.contains("onerror")));

    tablet.wipe(&server, OWN).await;
    tablet.go(&server.at("/")).await;
    tablet.tap("start-was").await;
    tablet.open_file_unseen(&file).await;
    tablet.see("place-traverse").await;
    for path in [
        "/station/1",
        "/outcrop",
        "/traverse",
        "/traverse/all",
        "/camp",
    ] {
        tablet.go(&server.at(path)).await;
        tablet.see("place-traverse").await;
        tablet.kept().await;
        let struck = tablet
            .run("return window.struck === undefined && document.querySelector('img, main script') === null", &[])
            .await;
        assert_eq!(struck, Value::Bool(true), "{path}");
    }
    let page = tablet.run("return document.body.innerText", &[]).await;
    assert!(!page.as_str().unwrap().is_empty());
    assert_eq!(tablet.ledger().await, before);
}

/// The demo book is kept apart from the person's own, and goes with one tap.
#[tokio::test]
async fn the_demo_book_is_apart_and_goes_with_one_tap() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    tablet.begin(&server).await;
    tablet.tap_bedding("04530").await;
    tablet.kept().await;
    let own = tablet.ledger().await;
    tablet.place("camp").await;
    tablet.tap("camp-demo").await;
    tablet.see("demo-band").await;
    tablet.see("station-row-8").await;
    let demo = tablet.rows(hingeline::store::DEMO_BOOK, "entries").await;
    // About 12 stations and 80 readings, as the demo is described.
    let count = |word: &str| demo.values().filter(|text| text.contains(word)).count();
    assert!(
        count(r#""lithology""#) >= 10,
        "{} stations",
        count(r#""lithology""#)
    );
    assert!(
        count(r#""shots""#) >= 70,
        "{} readings",
        count(r#""shots""#)
    );
    assert_eq!(tablet.ledger().await, own);

    // It is still there after a restart, and the band says what it is.
    tablet.reload().await;
    tablet.see("demo-band").await;
    tablet.tap("demo-leave").await;
    tablet.miss("demo-band").await;
    tablet.kept().await;
    assert_eq!(tablet.ledger().await, own);
    assert!(
        tablet
            .rows(hingeline::store::DEMO_BOOK, "entries")
            .await
            .is_empty()
    );
    tablet.place("traverse").await;
    tablet.tap("all-days").await;
    tablet.see("line-1-1").await;
    tablet.is_quiet().await;
}
