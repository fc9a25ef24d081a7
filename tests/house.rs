//! The rules of the house that are absences: read from the source, so that nothing slips in unseen.
#![cfg(not(target_arch = "wasm32"))]

use std::fs;
use std::path::{Path, PathBuf};

/// The wings from the bottom up: each knows only those before it.
const WINGS: [&str; 6] = [
    "orientation",
    "geodesy",
    "notebook",
    "exchange",
    "store",
    "app",
];

/// Every Rust file under a folder of the package, as its path from the package and its text.
fn sources(folder: &str) -> Vec<(String, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut found = Vec::new();
    let mut open: Vec<PathBuf> = vec![root.join(folder)];
    while let Some(path) = open.pop() {
        for entry in fs::read_dir(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display())) {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                open.push(path);
            } else if path.extension().is_some_and(|e| e == "rs") {
                let inside = path.strip_prefix(root).expect("under the package");
                let name = inside.to_string_lossy().replace('\\', "/");
                found.push((name, fs::read_to_string(&path).expect("readable")));
            }
        }
    }
    assert!(!found.is_empty(), "nothing under {folder}");
    found.sort();
    found
}

/// Lines that a rule finds, as `file:line`.
fn lines_where<'a>(
    sources: impl IntoIterator<Item = &'a (String, String)>,
    rule: impl Fn(&str) -> bool,
) -> Vec<String> {
    sources
        .into_iter()
        .flat_map(|(name, text)| {
            text.lines()
                .enumerate()
                .filter(|(_, line)| rule(line))
                .map(move |(i, _)| format!("{name}:{}", i + 1))
                .collect::<Vec<_>>()
        })
        .collect()
}

/// Whether a line holds the word by itself.
fn has_word(line: &str, word: &str) -> bool {
    line.split(|c: char| !c.is_alphanumeric() && c != '_')
        .any(|w| w == word)
}

/// Whether a line reaches into a wing by its path.
fn reaches(line: &str, wing: &str) -> bool {
    ["crate::", "hingeline::"].iter().any(|root| {
        line.match_indices(root).any(|(at, _)| {
            let rest = &line[at + root.len()..];
            rest.strip_prefix(wing)
                .is_some_and(|after| !after.starts_with(|c: char| c.is_alphanumeric() || c == '_'))
        })
    })
}

#[track_caller]
fn check_none(found: &[String], rule: &str) {
    assert!(found.is_empty(), "{rule}: {}", found.join(", "));
}

#[test]
fn the_rules_find_what_they_look_for() {
    assert!(has_word("use crate::store::Ledger;", "store"));
    assert!(!has_word("a restored plane is stored", "store"));
    assert!(!has_word("an apparent dip", "app"));
    assert!(reaches("use crate::app::pages;", "app"));
    assert!(reaches("hingeline::store", "store"));
    assert!(!reaches("use crate::apparent;", "app"));
    assert!(!reaches("use crate::orientation::app;", "app"));
    let sample = [("a.rs".to_owned(), "fine\nx.to_radians()\n".to_owned())];
    assert_eq!(
        lines_where(&sample, |l| l.contains("to_radians")),
        ["a.rs:2"]
    );
}

#[test]
fn nothing_under_orientation_knows_what_a_station_is() {
    let sources = sources("src/orientation");
    for word in [
        "notebook", "store", "app", "exchange", "geodesy", "station", "Station",
    ] {
        // The first page of the wing says so itself.
        let found = lines_where(&sources, |line| {
            has_word(line, word) && !line.starts_with("//! Planes and lines")
        });
        check_none(&found, word);
    }
    let found = lines_where(&sources, |line| {
        [
            "std::time",
            "std::fs",
            "std::io",
            "std::env",
            "std::net",
            "web_sys",
            "js_sys",
        ]
        .iter()
        .any(|p| line.contains(p))
    });
    check_none(&found, "no clock, no files, no browser");
}

#[test]
fn no_wing_knows_one_above_it() {
    for (i, wing) in WINGS.iter().enumerate() {
        let sources = sources(&format!("src/{wing}"));
        for above in &WINGS[i + 1..] {
            let found = lines_where(&sources, |line| reaches(line, above));
            check_none(&found, &format!("{wing} reaches up into {above}"));
        }
    }
}

#[test]
fn the_platform_is_decided_in_few_places() {
    let allowed = |name: &str| {
        ["src/store/mod.rs", "src/app/mod.rs", "src/main.rs"].contains(&name)
            || name.starts_with("src/bin/")
    };
    let sources = sources("src");
    let elsewhere = sources.iter().filter(|(name, _)| !allowed(name));
    check_none(
        &lines_where(elsewhere, |line| line.contains("target_arch")),
        "target_arch",
    );
}

#[test]
fn one_file_converts_degrees() {
    let sources = sources("src");
    let converts = |line: &str| {
        line.contains("to_radians") || line.contains("to_degrees") || line.contains("/ 180.0 *")
    };
    let elsewhere = sources
        .iter()
        .filter(|(name, _)| name != "src/orientation/angle.rs");
    check_none(
        &lines_where(elsewhere, converts),
        "degrees and radians are converted in orientation/angle.rs",
    );
    let here = sources
        .iter()
        .filter(|(name, _)| name == "src/orientation/angle.rs");
    assert!(
        !lines_where(here, converts).is_empty(),
        "the one file has moved"
    );
}

#[test]
fn one_file_opens_transactions() {
    let sources = sources("src");
    let opens = |line: &str| {
        !line.trim_start().starts_with("//")
            && (line.contains(".transaction(") || line.contains("IdbTransactionMode"))
    };
    let mut files: Vec<&str> = sources
        .iter()
        .filter(|(_, text)| text.lines().any(opens))
        .map(|(name, _)| name.as_str())
        .collect();
    files.dedup();
    assert_eq!(files, [CONNECTION], "one file opens transactions");
    // Nothing but that file gives a row to the database either, nor opens a database.
    let elsewhere = sources.iter().filter(|(name, _)| name != CONNECTION);
    let gives = [
        "IdbTransaction",
        "IdbFactory",
        "IdbDatabase",
        "put_with_key",
        "add_with_key",
        ".indexed_db(",
    ];
    check_none(
        &lines_where(elsewhere, |line| {
            gives.iter().any(|word| line.contains(word))
        }),
        "only the connection touches the database",
    );
}

/// The only file that opens a database or a transaction.
const CONNECTION: &str = "src/store/browser/connection.rs";

/// What a source says from one place to the next after it.
fn between<'a>(text: &'a str, from: &str, to: &str) -> &'a str {
    let (_, rest) = text
        .split_once(from)
        .unwrap_or_else(|| panic!("`{from}` has moved"));
    rest.split_once(to)
        .unwrap_or_else(|| panic!("`{to}` has moved"))
        .0
}

/// The ways in which a browser's database was seen to lose a row without a word, each shut by the shape of the one file.
#[test]
fn the_traps_of_the_database_are_shut() {
    let sources = sources("src");
    let connection = sources.iter().find(|(name, _)| name == CONNECTION);
    let (_, connection) = connection.expect("the connection");
    // Anything awaited between two rows ends the transaction with those before it kept: from its opening until every row is
    // issued nothing is awaited, and every text and every byte is the browser's before.
    let write = between(connection, "pub(super) async fn write(", "\n    }\n");
    let (before, open) = write
        .split_once("self.begin(")
        .expect("it opens a transaction");
    assert!(
        before.contains("Encoded::from"),
        "rows are made ready before the transaction"
    );
    let (issuing, after) = open
        .split_once("issue(&mut writing, &rows)?")
        .expect("rows are issued");
    assert!(
        !issuing.contains(".await"),
        "awaited before the rows: {issuing}"
    );
    assert_eq!(after.matches(".await").count(), 1, "{after}");
    assert!(
        after.trim_start().starts_with(";\n        finished.await"),
        "{after}"
    );
    // An early return keeps the rows before it: where a row is refused, the transaction is aborted first.
    let issue = sources
        .iter()
        .find(|(name, _)| name == "src/store/write.rs");
    let issue = between(&issue.expect("the write path").1, "pub fn issue<", "\n}\n");
    let (refused, _) = issue.split_once("return Err").expect("a refusal is said");
    assert!(refused.contains("transaction.abort();"), "{issue}");
    // A request that succeeded is not kept yet: only the end of the transaction says so, and it says why where it was aborted.
    let finished = between(connection, "fn finished(", "\n}\n");
    for word in [
        "set_oncomplete",
        "set_onabort",
        "raw\n                .error()",
    ] {
        assert!(finished.contains(word), "{word}");
    }
    // Every transaction that writes is strict.
    let begin = between(connection, "fn begin(", "\n    }\n");
    assert!(begin.contains("IdbTransactionMode::Readwrite") && begin.contains("\"strict\""));
    assert_eq!(connection.matches(".durable_transaction(").count(), 1);
    // No step of an upgrade takes a store away, and no crate that would has come in.
    let takes =
        |line: &str| line.contains("delete_object_store") || line.contains("deleteObjectStore");
    check_none(&lines_where(&sources, takes), "a store is never taken away");
    let package = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("Cargo.toml"));
    let package = package.expect("Cargo.toml");
    assert!(
        !package
            .lines()
            .any(|line| line.starts_with("idb ") || line.starts_with("rexie "))
    );
    // An old tab that holds the database back is told of, and lets go where it is ours.
    for word in ["set_onblocked", "set_onversionchange", "Alarm::set("] {
        assert!(connection.contains(word), "{word}");
    }
}

#[test]
fn the_core_has_no_clock_no_chance_and_no_browser() {
    for wing in ["orientation", "geodesy", "notebook", "exchange"] {
        let sources = sources(&format!("src/{wing}"));
        let found = lines_where(&sources, |line| {
            !line.trim_start().starts_with("//")
                && [
                    "SystemTime",
                    "Instant::",
                    "Date::now",
                    "rand::",
                    "getrandom",
                    "RandomState",
                    "web_sys",
                    "js_sys",
                    "wasm_bindgen",
                    "leptos",
                    "idb::",
                ]
                .iter()
                .any(|word| line.contains(word))
        });
        check_none(&found, "time, ids and chance come in as arguments");
    }
}

#[test]
fn no_file_is_a_drawer_for_odds_and_ends() {
    let drawers = [
        "utils", "util", "helpers", "helper", "common", "types", "misc",
    ];
    let found: Vec<String> = sources("src")
        .into_iter()
        .map(|(name, _)| name)
        .filter(|name| name.split(['/', '.']).any(|part| drawers.contains(&part)))
        .collect();
    check_none(&found, "a file is one idea and named for it");
}
