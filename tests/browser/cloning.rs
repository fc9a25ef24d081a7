//! A tablet whose whole storage was copied to another, from end to end: both go on, and their books become one.

use serde_json::Value;

use crate::bench::{Profile, Server, Tablet, seat};

/// Failure 17: the storage is copied as a set-up of many tablets does it, both write on under one name and one count. Joined, the
/// two histories are named before anything is written, and every entry of both is there; the same file once more changes nothing.
#[tokio::test]
async fn a_copied_tablet_is_named_and_neither_loses_an_entry() {
    let _seat = seat(false).await;
    let server = Server::start();
    let (one, other) = (Profile::new(), Profile::new());
    let tablet = Tablet::start(&one).await;
    tablet.begin(&server).await;
    tablet.tap_bedding("04530").await;
    tablet.kept().await;
    tablet.close().await;
    copy(one.dir(), other.dir());

    let mut ledgers = Vec::new();
    let mut files = Vec::new();
    for (profile, digits) in [(&one, "06040"), (&other, "05050")] {
        let tablet = Tablet::start(profile).await;
        tablet.go(&server.at("/outcrop")).await;
        tablet.dial("strike", "045").await;
        tablet.tap("next-reading").await;
        tablet.tap_bedding(digits).await;
        tablet.kept().await;
        tablet.place("camp").await;
        files.push(tablet.back_up(profile).await);
        ledgers.push(tablet.ledger().await);
        tablet.close().await;
    }
    let stamps = |ledger: &crate::bench::Rows| -> Vec<String> {
        let entries = ledger.values();
        let stamps =
            entries.map(|text| serde_json::from_str::<Value>(text).unwrap()["stamp"].clone());
        stamps
            .map(|stamp| format!("{} {}", stamp["device"], stamp["counter"]))
            .collect()
    };
    let (ours, theirs) = (stamps(&ledgers[0]), stamps(&ledgers[1]));
    let alike = ours.iter().filter(|stamp| theirs.contains(stamp)).count();
    let same = ledgers[0]
        .keys()
        .filter(|id| ledgers[1].contains_key(*id))
        .count();
    assert!(
        alike > same,
        "both counted on under one name: {ours:?} {theirs:?}"
    );

    let mut joined = Vec::new();
    let mut names = Vec::new();
    let shared = serde_json::from_str::<Value>(ledgers[0].values().next().unwrap()).unwrap();
    let shared = shared["stamp"]["device"].clone();
    for (profile, file) in [(&one, &files[1]), (&other, &files[0])] {
        let tablet = Tablet::start(profile).await;
        tablet.go(&server.at("/camp")).await;
        tablet.kept().await;
        let before = tablet.ledger().await;
        tablet.open_files(&[file]).await;
        let words = tablet.words("join-clone").await;
        assert!(words.contains("No entry is lost"), "{words}");
        assert_eq!(tablet.ledger().await, before, "nothing is written yet");
        tablet.tap("join-apply").await;
        tablet.reads("import-report", "none was lost").await;
        let all = tablet.ledger().await;
        for ledger in &ledgers {
            assert!(ledger.iter().all(|(id, text)| all.get(id) == Some(text)));
        }
        let (outcome, words) = tablet.open_file(file).await;
        assert_eq!(outcome, "ok", "{words}");
        assert_eq!(tablet.ledger().await, all);
        // It writes on, and what it writes is one more, under a name of its own that counts from 1.
        tablet.place("outcrop").await;
        tablet.tap("next-reading").await;
        tablet.tap_bedding("05560").await;
        tablet.kept().await;
        let written = tablet.ledger().await;
        assert_eq!(written.len(), all.len() + 1);
        let new = |ledger: &crate::bench::Rows, known: &crate::bench::Rows| -> Value {
            let mut new = ledger.iter().filter(|(id, _)| !known.contains_key(*id));
            serde_json::from_str::<Value>(new.next().unwrap().1).unwrap()["stamp"].clone()
        };
        let first = new(&written, &all);
        assert_eq!(first["counter"], 1);
        assert_ne!(first["device"], shared, "the copied name is left");
        // After a restart it is still that name, and its copies are still known for its own.
        tablet.go(&server.at("/camp")).await;
        tablet.kept().await;
        tablet.see("open-copy").await;
        assert!(!tablet.has("open-other-copy").await);
        tablet.place("outcrop").await;
        tablet.tap("next-reading").await;
        tablet.tap_bedding("06050").await;
        tablet.kept().await;
        let second = new(&tablet.ledger().await, &written);
        assert_eq!(
            (&second["device"], &second["counter"]),
            (&first["device"], &2.into())
        );
        names.push(first["device"].clone());
        tablet.is_quiet().await;
        joined.push(all);
        tablet.close().await;
    }
    assert_eq!(joined[0], joined[1]);
    assert_ne!(names[0], names[1]);
}

/// Copies a folder with all that is in it; locks of the browser that ended are left out.
fn copy(from: &std::path::Path, to: &std::path::Path) {
    std::fs::create_dir_all(to).unwrap();
    for item in std::fs::read_dir(from).unwrap() {
        let item = item.unwrap();
        let (kind, target) = (item.file_type().unwrap(), to.join(item.file_name()));
        if kind.is_dir() {
            copy(&item.path(), &target);
        } else if kind.is_file() {
            std::fs::copy(item.path(), target).unwrap();
        }
    }
}
