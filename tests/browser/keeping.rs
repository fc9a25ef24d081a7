//! What was kept stays kept: flat batteries, restarts, two tabs, old databases.

use std::path::Path;

use serde_json::{Value, json};

use crate::bench::{OWN, Profile, Server, SetUp, Tablet, seat};

/// Failure 4: killed while typing. The process is killed, so the page has no last word.
#[tokio::test]
async fn killed_in_mid_entry_the_draft_its_place_and_the_book_come_back() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    tablet.begin(&server).await;
    tablet.tap_bedding("04530").await;
    tablet.kept().await;
    tablet.tap("next-reading").await;
    tablet.tap_digits("0621").await;
    tablet.dial("dip", "1").await;
    let head = tablet.words("head-state").await;
    assert!(head.starts_with("draft"), "{head}");
    tablet.draft_holds(r#""dip":"1""#).await;
    let before = tablet.ledger().await;
    tablet.lose_power();

    let tablet = Tablet::start(&profile).await;
    tablet.go(&server.at("/outcrop")).await;
    tablet.dial("strike", "062").await;
    tablet.dial("dip", "1").await;
    tablet.shows("dial-dip", "data-here", "true").await;
    tablet.see("line-1-1").await;
    assert_eq!(tablet.ledger().await, before);
    // It goes on where it stopped.
    tablet.tap_digits("8").await;
    tablet.tap_side("SE").await;
    tablet.kept().await;
    let text = tablet.readings().await.pop().unwrap().to_string();
    assert!(
        text.contains(r#""strike":"062""#) && text.contains(r#""dip":"18""#),
        "{text}"
    );
}

/// Leaving the page costs nothing that was typed: there is no question, and nothing to answer.
#[tokio::test]
async fn leaving_the_page_in_mid_entry_costs_nothing() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    tablet.begin(&server).await;
    tablet.tap("kind-line").await;
    tablet.tap_digits("24").await;
    tablet.go("about:blank").await;
    tablet.go(&server.at("/outcrop")).await;
    tablet.dial("trend", "24").await;
    tablet.shows("dial-trend", "data-here", "true").await;
}

/// Left at the very moment when it asks for what it has kept: a page must not write over what it has not read.
#[tokio::test]
async fn left_before_anything_was_read_the_draft_and_the_settings_stay() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let set_up = SetUp {
        first: "
            const get = IDBObjectStore.prototype.get;
            IDBObjectStore.prototype.get = function (...args) {
                const request = get.apply(this, args);
                if (sessionStorage.leave === 'yes') {
                    sessionStorage.leave = 'left';
                    dispatchEvent(new Event('pagehide'));
                }
                return request;
            };
        ",
        ..SetUp::default()
    };
    let tablet = Tablet::with(&profile, set_up).await;
    tablet.begin(&server).await;
    tablet.tap("kind-line").await;
    tablet.tap_digits("24").await;
    tablet.draft_holds(r#""trend":"24""#).await;
    let settings = tablet.rows(OWN, "state").await;
    tablet.run("sessionStorage.leave = 'yes'", &[]).await;
    tablet.reload().await;
    tablet
        .until_true("it was left", "return sessionStorage.leave === 'left'", &[])
        .await;
    tablet.see("key-0").await;
    tablet.reload().await;
    tablet.dial("trend", "24").await;
    tablet.shows("dial-trend", "data-here", "true").await;
    assert_eq!(tablet.rows(OWN, "state").await, settings);
}

/// Failure 5, first half: every transaction that writes is strict, whatever the person does.
#[tokio::test]
async fn every_transaction_that_writes_is_strict() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let set_up = SetUp {
        first: "
            window.transactions = [];
            const transaction = IDBDatabase.prototype.transaction;
            IDBDatabase.prototype.transaction = function (...args) {
                const made = transaction.apply(this, args);
                window.transactions.push([made.mode, made.durability]);
                return made;
            };
        ",
        ..SetUp::default()
    };
    let tablet = Tablet::with(&profile, set_up).await;
    tablet.begin(&server).await;
    tablet.tap_bedding("04595").await;
    tablet.tap("choice-0").await;
    tablet.tap("undo").await;
    tablet.tap("next-reading").await;
    tablet.tap_digits("12").await;
    tablet.place("camp").await;
    let file = tablet.back_up(&profile).await;
    tablet.tap("light-lamp").await;
    tablet.open_file(&file).await;
    // Opening a file turns to the join page.
    tablet.place("camp").await;
    tablet.tap("camp-demo").await;
    tablet.see("demo-band").await;
    tablet.tap("demo-leave").await;
    tablet.miss("demo-band").await;
    tablet.dial("strike", "12").await;

    let seen = tablet.run("return window.transactions", &[]).await;
    let seen: Vec<(String, String)> = serde_json::from_value(seen).unwrap();
    let writing: Vec<_> = seen
        .iter()
        .filter(|(mode, _)| mode == "readwrite")
        .collect();
    assert!(writing.len() > 15, "{} writing transactions", writing.len());
    assert!(
        writing.iter().all(|(_, durability)| durability == "strict"),
        "{writing:?}"
    );
}

/// Failure 5, second half: killed right after "kept", fifty times. This proves the death of the process only; that the
/// disk has it when the current fails is the browser's promise for strict durability, and is not tested here.
#[tokio::test]
async fn killed_fifty_times_right_after_kept_nothing_kept_is_lost() {
    const TIMES: usize = 50;
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    tablet.begin(&server).await;
    tablet.tap_bedding("04530").await;
    tablet.kept().await;
    let base = tablet.ledger().await.len();
    tablet.lose_power();

    for time in 0..TIMES {
        let tablet = Tablet::start(&profile).await;
        tablet.go(&server.at("/outcrop")).await;
        tablet.dial("side", "SE").await;
        // A further shot: its side is carried over, its last digit keeps it.
        tablet.tap_digits(&format!("0{:02}3", 40 + time % 10)).await;
        tablet
            .until_true("the shot is a draft", HEAD_IS, &[json!("draft")])
            .await;
        tablet.tap_digits("1").await;
        tablet.kept().await;
        tablet.lose_power();
    }

    let tablet = Tablet::start(&profile).await;
    tablet.go(&server.at("/outcrop")).await;
    tablet.dial("side", "SE").await;
    assert_eq!(tablet.ledger().await.len(), base + TIMES);
    let last = tablet.readings().await.pop().unwrap().to_string();
    assert_eq!(last.matches(r#""side":"SE""#).count(), 1 + TIMES);
}

const HEAD_IS: &str = "return document.querySelector('[data-testid=\"head-state\"]')?.innerText.trim().startsWith(arguments[0])";

/// Failure 6: two tabs edit. Both revisions exist, and each tab shows what the other kept.
#[tokio::test]
async fn two_tabs_of_one_book_stay_in_step_and_lose_nothing() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    tablet.begin(&server).await;
    tablet.tap_bedding("04530").await;
    tablet.kept().await;

    tablet.new_tab().await;
    tablet.go(&server.at("/station/1")).await;
    tablet.see("line-1-1").await;

    // What the first keeps appears in the second without a reload.
    tablet.turn_to_tab(0).await;
    tablet.tap("next-reading").await;
    tablet.tap_digits("06040").await;
    tablet.tap_side("SE").await;
    tablet.kept().await;
    tablet.turn_to_tab(1).await;
    tablet.see("line-1-2").await;

    // Both change the same reading, the second before it could know of the first.
    tablet.tap("line-1-1").await;
    tablet.dial("strike", "045").await;
    tablet.turn_to_tab(0).await;
    tablet.go(&server.at("/station/1")).await;
    tablet.tap("line-1-1").await;
    tablet.dial("strike", "045").await;
    let before = tablet.ledger().await;
    for (tab, digits) in [(0, "04631"), (1, "04732")] {
        tablet.turn_to_tab(tab).await;
        tablet.tap_digits(digits).await;
        tablet.kept().await;
    }
    let after = tablet.ledger().await;
    assert_eq!(after.len(), before.len() + 2);
    assert!(before.iter().all(|(id, text)| after.get(id) == Some(text)));
    let new: String = after
        .iter()
        .filter(|(id, _)| !before.contains_key(*id))
        .map(|(_, text)| text.as_str())
        .collect();
    assert!(
        new.contains(r#""strike":"046""#) && new.contains(r#""strike":"047""#),
        "{new}"
    );

    // No two entries of one device carry the same count.
    let mut stamps: Vec<String> = after
        .values()
        .map(|text| serde_json::from_str::<Value>(text).unwrap()["stamp"].clone())
        .map(|stamp| format!("{} {}", stamp["device"], stamp["counter"]))
        .collect();
    let count = stamps.len();
    stamps.sort();
    stamps.dedup();
    assert_eq!(stamps.len(), count);
}

/// A file of `tests/data/frozen`.
fn frozen(name: &str) -> Value {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/data/frozen")
        .join(name);
    let text = std::fs::read_to_string(&path)
        .unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    serde_json::from_str(&text).unwrap()
}

/// Failure 9: a database of every version that was ever shipped opens. The rows were written by the app of that version.
#[tokio::test]
async fn a_database_of_version_1_opens() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    let frozen: Value = frozen("store-v1.json");
    tablet.fill(&server, OWN, 1, &frozen["stores"]).await;
    tablet.go(&server.at("/outcrop")).await;
    for (dial, value) in frozen["expect"]["dials"].as_object().unwrap() {
        tablet.dial(dial, value.as_str().unwrap()).await;
    }
    tablet.go(&server.at("/station/1")).await;
    for (line, value) in frozen["expect"]["lines"].as_object().unwrap() {
        tablet
            .shows(line, "data-value", value.as_str().unwrap())
            .await;
    }
    let struck = frozen["expect"]["struck"].as_str().unwrap();
    tablet.shows(struck, "data-state", "struck").await;
    let entries: Vec<(String, String)> =
        serde_json::from_value(frozen["stores"]["entries"].clone()).unwrap();
    let ledger = tablet.ledger().await;
    for (id, text) in &entries {
        assert_eq!(ledger.get(id), Some(text));
    }
    // The draft goes on where that version left it.
    tablet.place("outcrop").await;
    tablet.tap_digits("8").await;
    tablet.tap_side("SE").await;
    tablet.kept().await;
    assert_eq!(tablet.ledger().await.len(), entries.len() + 1);
    tablet.is_quiet().await;
}

/// Failure 11: the browser has thrown the storage away.
#[tokio::test]
async fn an_empty_start_asks_whether_there_was_a_book() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    tablet.begin(&server).await;
    tablet.tap_bedding("04530").await;
    tablet.kept().await;
    tablet.wipe(&server, OWN).await;

    for path in ["/", "/outcrop", "/station/1"] {
        tablet.go(&server.at(path)).await;
        tablet.see("start-new").await;
        tablet.see("start-was").await;
        let page = tablet.run("return document.body.innerText", &[]).await;
        assert!(
            page.as_str().unwrap().contains("was there a book?"),
            "{page}"
        );
        // Nothing is written before the person has answered, not even where the page is left.
        tablet
            .run("dispatchEvent(new Event('pagehide'))", &[])
            .await;
        assert!(tablet.ledger().await.is_empty());
    }
    tablet.tap("start-was").await;
    tablet.see("open-file").await;
}

/// Failure 20: a view panics.
#[tokio::test]
async fn a_page_that_stops_says_how_to_go_on_and_costs_nothing() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    tablet.begin(&server).await;
    tablet.tap_bedding("04530").await;
    tablet.kept().await;
    tablet.tap("next-reading").await;
    tablet.tap_digits("06").await;
    tablet.draft_holds(r#""strike":"06""#).await;
    let before = tablet.ledger().await;

    tablet.go(&server.at("/panic")).await;
    let words = tablet.words("way-out").await;
    assert!(words.contains("safe"), "{words}");
    assert!(
        !tablet.heard().await.is_empty(),
        "the console has the reason"
    );
    assert_eq!(tablet.ledger().await, before);
    tablet
        .run(
            "document.querySelector('[data-testid=\"way-out\"] a').click()",
            &[],
        )
        .await;
    tablet.dial("strike", "06").await;
    tablet.shows("dial-strike", "data-here", "true").await;
    tablet.see("line-1-1").await;
}

/// The date stays as it was written where the tablet's time zone changes (failure 18, the browser's part).
#[tokio::test]
async fn a_changed_time_zone_leaves_what_was_written() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let mut seen: Vec<String> = Vec::new();
    for (zone, offset) in [("Pacific/Kiritimati", "+14:00"), ("Etc/GMT+11", "-11:00")] {
        let set_up = SetUp {
            time_zone: Some(zone),
            ..SetUp::default()
        };
        let tablet = Tablet::with(&profile, set_up).await;
        if seen.is_empty() {
            tablet.begin(&server).await;
            tablet.tap_bedding("04530").await;
        } else {
            tablet.go(&server.at("/outcrop")).await;
            tablet.tap("next-reading").await;
            tablet.tap_digits("06040").await;
            tablet.tap_side("SE").await;
        }
        tablet.kept().await;
        let readings = tablet.readings().await;
        let at: Vec<String> = readings
            .iter()
            .map(|reading| reading["stamp"]["at"].as_str().unwrap().to_owned())
            .collect();
        assert!(at.starts_with(&seen), "{at:?} after {seen:?}");
        assert!(at.last().unwrap().ends_with(offset), "{at:?} in {zone}");
        seen = at;
        tablet.close().await;
    }
}

/// The hour and the day of the tablet, set wrong by so many milliseconds; read anew at every page.
const WRONG_CLOCK: &str = "
    const Right = Date;
    const off = () => Number(localStorage.getItem('off') ?? 0);
    window.Date = class extends Right {
        constructor(...args) { if (args.length) super(...args); else super(Right.now() + off()); }
        static now() { return Right.now() + off(); }
    };
";

/// Failure 18, a wrong clock: it goes back by 26 years in mid-book and comes back. No order changes, every date stays as it was
/// written, Undo takes back what was done last, and a reading that was corrected under the wrong clock is the corrected one.
#[tokio::test]
async fn a_clock_that_jumps_changes_no_order() {
    const BACK_MS: f64 = -26.0 * 365.25 * 86_400_000.0;
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let set_up = SetUp {
        first: WRONG_CLOCK,
        ..SetUp::default()
    };
    let tablet = Tablet::with(&profile, set_up).await;
    tablet.begin(&server).await;
    tablet.tap_bedding("04530").await;
    tablet.kept().await;
    let written = tablet.readings().await;
    tablet
        .run(
            "localStorage.setItem('off', arguments[0])",
            &[json!(BACK_MS)],
        )
        .await;
    tablet.reload().await;
    tablet.dial("strike", "045").await;
    tablet.tap("dial-dip").await;
    tablet.tap_digits("35").await;
    tablet.kept().await;
    tablet.tap("next-reading").await;
    tablet.tap_bedding("06040").await;
    tablet.kept().await;
    tablet.run("localStorage.removeItem('off')", &[]).await;
    tablet.reload().await;
    tablet.dial("strike", "060").await;

    // The station shows both in the order in which they were read, the first as it was corrected.
    tablet.go(&server.at("/station/1")).await;
    tablet.shows("line-1-1", "data-value", "045/35 SE").await;
    tablet.shows("line-1-2", "data-value", "060/40 SE").await;
    let all = tablet.readings().await;
    assert_eq!(all.len(), 3);
    assert_eq!(all[0], written[0], "what was written before stays");
    let year = |entry: &Value| -> u32 {
        let at = entry["stamp"]["at"].as_str().unwrap();
        at[..4].parse().unwrap()
    };
    assert!(year(&all[1]) + 25 < year(&all[0]), "{all:?}");
    // What was done last is taken back, not what bears the latest date.
    tablet.tap("undo").await;
    tablet.kept().await;
    tablet.shows("line-1-2", "data-state", "struck").await;
    tablet.shows("line-1-1", "data-value", "045/35 SE").await;
    let last = tablet.readings().await;
    assert_eq!(last.len(), 3, "the strike-out has no reading of its own");
    // The history of the first: written, then corrected, whatever the dates say.
    let record = all[0]["record"].as_str().unwrap();
    tablet
        .go(&server.at(&format!("/traverse/history/{record}")))
        .await;
    tablet.see("history").await;
    let steps = tablet
        .run(
            "return [...document.querySelectorAll('[data-testid^=\"step-\"]')].map((step) => [step.innerText, step.dataset.stands])",
            &[],
        )
        .await;
    let steps: Vec<(String, String)> = serde_json::from_value(steps).unwrap();
    assert_eq!(steps.len(), 2, "{steps:?}");
    assert!(
        steps[1].0.contains("35") && steps[1].1 == "now",
        "{steps:?}"
    );
    tablet.is_quiet().await;
}
