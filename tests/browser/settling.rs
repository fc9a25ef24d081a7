//! Two versions kept as shots of one reading, numbers that stand twice at their station, and a long book that is opened while the page goes on living.

use std::fs;

use hingeline::exchange::book::{self, Written};
use hingeline::notebook::Entry;
use serde_json::{Value, json};
use thirtyfour::Key;

use crate::bench::{Profile, Server, SetUp, Tablet, seat};
use crate::growing::large_book;
use crate::joining::{Desk, KO, MT, bedding, began, begin_with, tab_to, three};
use crate::reaching::{Looker, axe};

/// The last revision of the reading that two people changed.
async fn last(tablet: &Tablet<'_>) -> Value {
    let ledger = tablet.ledger().await;
    let entries = ledger
        .values()
        .map(|text| serde_json::from_str::<Value>(text).unwrap());
    let own = entries.filter(|entry| entry["record"] == "r");
    own.max_by_key(|entry| entry["stamp"]["at"].as_str().unwrap().to_owned())
        .unwrap()
}

/// Both dials as two shots of one reading, by one press of a key; what a third wrote is kept, and undone the doubt is there again.
#[tokio::test]
async fn both_dials_are_kept_as_shots_of_one_reading() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    let [ko, mt, qv] = three(&profile);
    begin_with(&tablet, &server, &ko).await;
    tablet.open_files(&[&mt, &qv]).await;
    tablet.tap("join-apply").await;
    tablet.reads("import-report", "none was lost").await;
    tablet.tap("settle-1").await;
    tablet.reads("take-both", "of 2 shots").await;
    let mut looker = Looker::new(axe());
    looker.look(&tablet, "settle, both may be kept").await;
    tab_to(&tablet, "take-both").await;
    tablet.press_key(Key::Enter, false).await;
    tablet.see("settled").await;
    tablet.kept().await;
    let settled = last(&tablet).await;
    assert_eq!(settled["act"], "settle");
    let reading = &settled["body"]["reading"];
    let dips: Vec<&str> = reading["shots"]
        .as_array()
        .unwrap()
        .iter()
        .map(|shot| shot["dip"].as_str().unwrap())
        .collect();
    assert!(dips == ["38", "83"] || dips == ["83", "38"], "{dips:?}");
    assert_eq!(reading["note"], "top of the slab");
    tablet.reads("undo", "undo settle").await;
    tablet.tap("undo").await;
    tablet.see("take-both").await;
    tablet.kept().await;
    tablet.is_quiet().await;
    looker.is_content();
}

/// Notes every word of how far the reading of a file has come, and whether anything else had its turn between two of them.
const FAR: &str = "
    window.far = []; window.turns = 0;
    setInterval(() => { window.turns += 1; }, 1);
    new MutationObserver(() => {
        const words = document.querySelector('[data-testid=join-reading]')?.innerText ?? '';
        const last = window.far.at(-1);
        if (/ of \\d+ entries/.test(words) && last?.[0] !== words) window.far.push([words, window.turns]);
    }).observe(document, { childList: true, subtree: true, characterData: true });
";

/// A book of ten thousand readings is read slice by slice: the page says how far it is, and other work has its turn between two
/// slices; the book is then whole.
#[tokio::test]
async fn a_long_book_is_read_while_the_page_lives_and_says_how_far_it_is() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let set_up = SetUp {
        first: FAR,
        ..SetUp::default()
    };
    let tablet = Tablet::with(&profile, set_up).await;
    let rows = large_book(200)["entries"].take();
    let rows: Vec<(String, String)> = serde_json::from_value(rows).unwrap();
    let entries: Vec<Entry> = rows
        .iter()
        .map(|(_, text)| Entry::from_json(text).unwrap())
        .collect();
    let path = profile.dir().join("long.json");
    fs::write(&path, book::write(&entries, &Written::default())).unwrap();
    tablet.go(&server.at("/")).await;
    tablet.tap("start-was").await;
    tablet.open_files(&[&path]).await;
    let far = tablet.run("return window.far", &[]).await;
    let far: Vec<(String, u64)> = serde_json::from_value(far).unwrap();
    assert!(far.len() >= 3, "{far:?}");
    let lived = far.windows(2).filter(|pair| pair[0].1 < pair[1].1).count();
    assert!(lived >= 2, "{far:?}");
    let all = format!("of {} entries", entries.len());
    assert!(far.iter().all(|(words, _)| words.contains(&all)), "{far:?}");
    tablet.tap("join-apply").await;
    tablet.reads("import-report", "none was lost").await;
    assert_eq!(tablet.ledger().await.len(), entries.len());
    tablet.place("traverse").await;
    tablet.tap("all-days").await;
    tablet
        .until_true(
            "the whole book is listed",
            "return document.querySelector('[data-testid=\"summary\"]')?.innerText.includes(arguments[0])",
            &[json!("10000")],
        )
        .await;
    tablet.is_quiet().await;
}

/// Two people add the next two readings to one book: each number stands twice, and that is said before the join and after it. One
/// tap gives the later one the next free number, one tap does so for all, and every reading is kept.
#[tokio::test]
async fn readings_with_one_number_are_named_and_renumbered() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    let base = began();
    let mut own = Desk::new("KO", KO, &base);
    own.write("own-r", bedding("s1", 12, "070", "40", ""));
    own.write("own-q", bedding("s1", 13, "072", "40", ""));
    let mut other = Desk::new("MT", MT, &base);
    other.write("other-r", bedding("s1", 12, "071", "41", ""));
    other.write("other-q", bedding("s1", 13, "073", "41", ""));
    let files = [
        own.file(&profile, "own.json"),
        other.file(&profile, "other.json"),
    ];
    begin_with(&tablet, &server, &files[0]).await;
    tablet.open_files(&[&files[1]]).await;
    tablet.reads("join-namesakes", "1·12 and 1·13").await;
    tablet.tap("join-apply").await;
    tablet.reads("import-report", "none was lost").await;
    let joined = tablet.ledger().await;

    tablet.reads("namesakes-1", "Reading 1·12 twice").await;
    for words in ["071", "bedding by MT", "070", "bedding by KO"] {
        tablet.reads("namesakes-1", words).await;
    }
    let mut looker = Looker::new(axe());
    looker.look(&tablet, "join, numbers that stand twice").await;
    tablet.tap("namesakes-renumber-1").await;
    tablet.kept().await;
    tablet.reads("undo", "undo new number").await;
    tablet.reads("namesakes-1", "Reading 1·13 twice").await;
    tablet.miss("namesakes-2").await;
    tablet.tap("undo").await;
    tablet.reads("namesakes-2", "Reading 1·13 twice").await;
    tablet.tap("twins-renumber-all").await;
    tablet.miss("namesakes-1").await;
    tablet.kept().await;
    tablet.reads("undo", "2 records").await;
    assert_eq!(tablet.ledger().await.len(), joined.len() + 4);

    // MT's began at the lower count: they keep their numbers, and KO's follow the highest.
    tablet.go(&server.at("/station/1")).await;
    for (line, value) in [
        ("line-1-12", "071"),
        ("line-1-13", "073"),
        ("line-1-14", "070"),
        ("line-1-15", "072"),
    ] {
        tablet.reads(line, value).await;
    }
    looker.is_content();
    tablet.is_quiet().await;
}
