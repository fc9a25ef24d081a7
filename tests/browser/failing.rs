//! A save that cannot be made is loud, says why, and loses nothing.

use std::{
    fs::File,
    io::{ErrorKind, Write},
};

use serde_json::json;

use crate::bench::{OWN, Profile, Rows, Server, SetUp, Tablet, seat};

/// A page whose database can be made to fail: `window.fail` names how, `window.failAt` the row at which; `window.refused` counts.
pub(crate) const FAULTY: &str = "
    window.fail = null; window.failAt = 0; window.refused = 0; window.connections = [];
    let add;
    for (const name of ['add', 'put', 'delete']) {
        const real = IDBObjectStore.prototype[name];
        IDBObjectStore.prototype[name] = function (...args) {
            const row = this.transaction.rows = (this.transaction.rows ?? -1) + 1;
            if (window.fail === 'throw' && row === window.failAt) {
                window.refused++;
                throw new DOMException('the row was refused', 'DataError');
            }
            if (window.fail === 'request' && row === window.failAt) {
                window.refused++;
                add.call(this, 'in the way', 'test-row');
                return add.call(this, 'in the way', 'test-row');
            }
            if (window.fail === 'twin' && name === 'add') add.call(this, 'other words', args[1]);
            return real.apply(this, args);
        };
        if (name === 'add') add = real;
    }
    const transaction = IDBDatabase.prototype.transaction;
    IDBDatabase.prototype.transaction = function (...args) {
        if (window.fail === 'closed') throw new DOMException('The database connection is closing.', 'InvalidStateError');
        return transaction.apply(this, args);
    };
    new MutationObserver(() => {
        if (document.body?.innerText.includes('holds it back')) window.told ??= performance.now();
    }).observe(document, { childList: true, subtree: true });
    const open = IDBFactory.prototype.open;
    IDBFactory.prototype.open = function (...args) {
        const request = open.apply(this, args);
        window.opened = performance.now();
        request.addEventListener('success', () => window.connections.push(request.result));
        return request;
    };
";

pub(crate) async fn faulty(profile: &Profile) -> Tablet<'_> {
    let set_up = SetUp {
        first: FAULTY,
        ..SetUp::default()
    };
    Tablet::with(profile, set_up).await
}

/// Everything the database holds.
async fn everything(tablet: &Tablet<'_>) -> [Rows; 3] {
    [
        tablet.rows(OWN, "entries").await,
        tablet.rows(OWN, "drafts").await,
        tablet.rows(OWN, "state").await,
    ]
}

/// A reading typed up to its last tap, its draft on the disk.
async fn one_tap_before_the_end(tablet: &Tablet<'_>, digits: &str) {
    tablet.tap("kind-bedding").await;
    tablet.tap_digits(digits).await;
    tablet
        .draft_holds(&format!(r#""dip":"{}""#, &digits[3..]))
        .await;
    tablet.shows("dial-side", "data-here", "true").await;
}

/// Failure 2: half a save. Whatever row is refused, and however, the database holds all of a save or nothing of it.
#[tokio::test]
async fn whatever_row_is_refused_all_is_kept_or_nothing() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = faulty(&profile).await;
    tablet.begin(&server).await;
    // A reading, its draft, this tablet's own row: three rows.
    for fail in ["throw", "request"] {
        for at in 0..3 {
            one_tap_before_the_end(&tablet, &format!("04{at}30")).await;
            let before = everything(&tablet).await;
            tablet
                .run(
                    "[window.fail, window.failAt] = arguments",
                    &[json!(fail), json!(at)],
                )
                .await;
            tablet.tap_side("SE").await;
            tablet.reads("head-state", "not kept").await;
            tablet.see("loud").await;
            assert_eq!(everything(&tablet).await, before, "{fail} at row {at}");

            tablet.run("window.fail = null", &[]).await;
            tablet.tap("try-again").await;
            tablet.kept().await;
            tablet.miss("loud").await;
            let after = everything(&tablet).await;
            assert_eq!(after[0].len(), before[0].len() + 1, "{fail} at row {at}");
        }
    }
}

/// Failure 3: duplicate, full and closed are told apart, and after each the book goes on with nothing lost.
#[tokio::test]
async fn the_causes_are_told_apart_and_nothing_is_lost() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = faulty(&profile).await;
    tablet.begin(&server).await;
    let mut said: Vec<String> = Vec::new();
    for (cause, words) in [
        ("twin", "there with other words"),
        ("closed", "closed"),
        ("full", "full"),
    ] {
        one_tap_before_the_end(&tablet, "04530").await;
        let before = tablet.ledger().await;
        if cause == "full" {
            quota(&tablet, &server, Some(1)).await;
            type_until_not_kept(&tablet).await;
        } else {
            tablet
                .run("window.fail = arguments[0]", &[json!(cause)])
                .await;
        }
        tablet.tap_side("SE").await;
        let head = tablet.reads("head-state", "not kept").await;
        assert!(head.contains(words), "{cause}: {head}");
        let loud = tablet.words("loud").await;
        assert!(loud.contains("safe"), "{cause}: {loud}");
        said.push(loud);

        tablet.run("window.fail = null", &[]).await;
        assert_eq!(tablet.ledger().await, before, "{cause}");
        if cause == "full" {
            quota(&tablet, &server, None).await;
        }
        tablet.tap("try-again").await;
        tablet.kept().await;
        assert_eq!(tablet.ledger().await.len(), before.len() + 1, "{cause}");
    }
    said.sort();
    said.dedup();
    assert_eq!(said.len(), 3);
}

/// Types and takes back until a save fails: a browser looks at its limits only now and then, and files that were grown
/// ahead still have room.
async fn type_until_not_kept(tablet: &Tablet<'_>) {
    tablet
        .until("a save fails for want of room", || async {
            let head = tablet.words("head-state").await;
            if head.contains("not kept") {
                return Ok(());
            }
            tablet.tap("key-back").await;
            tablet.tap("key-0").await;
            Err(head)
        })
        .await;
}

/// Sets how many bytes the browser allows the app to keep, or takes that limit away.
async fn quota(tablet: &Tablet<'_>, server: &Server, bytes: Option<u64>) -> serde_json::Value {
    let origin = server.at("");
    let limit = match bytes {
        Some(bytes) => json!({ "origin": origin, "quotaSize": bytes }),
        None => json!({ "origin": origin }),
    };
    tablet.cdp("Storage.overrideQuotaForOrigin", limit).await
}

/// Failure 1, the quota: "not kept" with the reason; draft and export survive, and typing goes on.
#[tokio::test]
async fn with_the_quota_used_up_the_book_goes_on_and_the_file_has_everything() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    tablet.begin(&server).await;
    tablet.tap_bedding("04530").await;
    tablet.kept().await;
    let before = tablet.ledger().await;

    tablet.tap("next-reading").await;
    tablet.tap_digits("060").await;
    quota(&tablet, &server, Some(1)).await;
    tablet.tap_digits("40").await;
    type_until_not_kept(&tablet).await;
    tablet.tap_side("SE").await;
    not_kept_but_safe(&tablet, &profile, before.len()).await;
    assert_eq!(tablet.ledger().await, before);

    quota(&tablet, &server, None).await;
    go_on(&tablet).await;
    let after = tablet.ledger().await;
    assert_eq!(after.len(), before.len() + 1);
    assert!(before.iter().all(|(id, text)| after.get(id) == Some(text)));
}

/// With room again the next save keeps everything: one that is on its way already, or the one that is asked for.
async fn go_on(tablet: &Tablet<'_>) {
    tablet
        .until("everything is kept", || async {
            let head = tablet.words("head-state").await;
            if head.starts_with("kept") {
                return Ok(());
            }
            let ask = "document.querySelector('[data-testid=\"try-again\"]')?.click()";
            tablet.try_run(ask, &[]).await?;
            Err(head)
        })
        .await;
}

/// The head says that the storage is full, the reading still stands, and a back-up holds it.
async fn not_kept_but_safe(tablet: &Tablet<'_>, downloads: &Profile, kept: usize) {
    let head = tablet.reads("head-state", "not kept").await;
    assert!(
        head.contains("full"),
        "{head}: {}",
        tablet.words("loud").await
    );
    tablet.dial("strike", "060").await;
    tablet.dial("side", "SE").await;
    tablet.place("camp").await;
    let file = tablet.back_up(downloads).await;
    let book = hingeline::exchange::book::read_bytes(&std::fs::read(file).unwrap()).unwrap();
    assert_eq!(book.entries.len(), kept + 1);
    let all: String = book.entries.iter().map(|entry| entry.text()).collect();
    assert!(all.contains(r#""strike":"060""#), "{all}");
}

/// Failure 1, the disk: the profile lives on a disk of 150 MB, and something else fills it.
#[tokio::test]
async fn with_the_disk_full_the_book_goes_on_and_the_file_has_everything() {
    let _seat = seat(false).await;
    let profile = match Profile::on_small_disk(150) {
        Ok(profile) => profile,
        Err(why) => {
            // Straight to the screen: what a passing test prints is not shown.
            let words = format!(
                "skipped: the full disk, since none of its own may be mounted here ({why}); the quota is tried\n"
            );
            std::io::stderr().write_all(words.as_bytes()).unwrap();
            return;
        }
    };
    let (server, elsewhere) = (Server::start(), Profile::new());
    let set_up = SetUp {
        downloads: Some(&elsewhere),
        ..SetUp::default()
    };
    let tablet = Tablet::with(&profile, set_up).await;
    tablet.begin(&server).await;
    tablet.tap_bedding("04530").await;
    tablet.kept().await;
    let before = tablet.ledger().await;

    let stuff = profile.dir().join("stuff");
    let fill = || {
        let mut file = File::options()
            .create(true)
            .append(true)
            .open(&stuff)
            .unwrap();
        // 200 MB and more do not fit; the last bytes are filled one by one.
        for size in [1 << 20, 4096, 1] {
            loop {
                match file.write(&vec![7; size]) {
                    Ok(0) => break,
                    Ok(_) => {}
                    Err(error) => {
                        assert!(
                            matches!(
                                error.kind(),
                                ErrorKind::StorageFull | ErrorKind::QuotaExceeded
                            ),
                            "{error}"
                        );
                        break;
                    }
                }
            }
        }
    };
    tablet.tap("next-reading").await;
    tablet.tap_digits("06040").await;
    fill();
    type_until_not_kept(&tablet).await;
    fill();
    tablet.tap_side("SE").await;
    not_kept_but_safe(&tablet, &elsewhere, before.len()).await;

    std::fs::remove_file(&stuff).unwrap();
    go_on(&tablet).await;
    let after = tablet.ledger().await;
    assert_eq!(after.len(), before.len() + 1);
    assert!(before.iter().all(|(id, text)| after.get(id) == Some(text)));
}

/// Failure 10: the browser closed the connection while the app was not looking.
#[tokio::test]
async fn a_lost_connection_is_opened_again_and_the_save_repeated() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = faulty(&profile).await;
    tablet.begin(&server).await;
    one_tap_before_the_end(&tablet, "04530").await;
    let before = tablet.ledger().await;
    tablet
        .run(
            "window.connections.forEach((connection) => connection.close())",
            &[],
        )
        .await;
    tablet.tap_side("SE").await;
    tablet
        .until("the reading is in the database", || async {
            let count = tablet.ledger().await.len();
            if count == before.len() + 1 {
                Ok(())
            } else {
                Err(count.to_string())
            }
        })
        .await;
    tablet.kept().await;
    assert!(!tablet.has("loud").await);
}

/// Failure 7: another tab holds the database back. There are words within two seconds, and it goes on by itself.
#[tokio::test]
async fn a_database_held_back_is_told_within_two_seconds_and_goes_on_by_itself() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = faulty(&profile).await;
    tablet.begin(&server).await;
    tablet.go(&server.at("/hingeline.webmanifest")).await;
    // An old page that never lets go, and a deletion that waits for it: an opening now has to wait too.
    tablet
        .run_async(
            "const database = await new Promise((resolve) => {
                 const request = indexedDB.open(args[0]);
                 request.onsuccess = () => resolve(request.result);
             });
             window.held = database;
             indexedDB.deleteDatabase(args[0]);",
            &[json!(OWN)],
        )
        .await;
    tablet.new_tab().await;
    tablet.go(&server.at("/")).await;
    let waited = tablet
        .until_true(
            "there are words",
            "return window.told ? window.told - window.opened : null",
            &[],
        )
        .await;
    assert!(waited.as_f64().unwrap() < 2000.0, "{waited} ms");
    assert!(!tablet.has("start-new").await);
    tablet.turn_to_tab(0).await;
    tablet.run("window.held.close()", &[]).await;
    tablet.turn_to_tab(1).await;
    tablet.see("start-new").await;
}

/// Failure 8: a newer app has taken the database. The old page stops writing and says why.
#[tokio::test]
async fn an_old_page_stops_writing_when_a_newer_one_has_the_book() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = faulty(&profile).await;
    tablet.begin(&server).await;
    tablet.tap_bedding("04530").await;
    tablet.kept().await;
    tablet
        .run_async(
            "await new Promise((resolve, reject) => {
                 const request = indexedDB.open(args[0], 2);
                 request.onsuccess = () => { request.result.close(); resolve(); };
                 request.onerror = () => reject(request.error);
             });",
            &[json!(OWN)],
        )
        .await;
    tablet.reads("warning", "newer").await;
    let before = everything(&tablet).await;
    tablet.tap("next-reading").await;
    tablet.tap_digits("1").await;
    let head = tablet.reads("head-state", "not kept").await;
    assert!(head.contains("newer"), "{head}");
    assert_eq!(everything(&tablet).await, before);

    // An old app that starts now does not touch the newer book either.
    tablet.reload().await;
    tablet
        .until_true(
            "the page says why",
            "return document.body.innerText.includes('newer')",
            &[],
        )
        .await;
    assert_eq!(everything(&tablet).await, before);
}

/// Failure 13: a browser that allows no database. It works in memory, warns for as long as it does, and hands a file over.
#[tokio::test]
async fn without_a_database_it_works_in_memory_and_keeps_warning() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let set_up = SetUp {
        first: "
            IDBFactory.prototype.open = function () {
                throw new DOMException('The operation is insecure.', 'SecurityError');
            };
        ",
        ..SetUp::default()
    };
    let tablet = Tablet::with(&profile, set_up).await;
    tablet.go(&server.at("/")).await;
    let page = tablet
        .until_true(
            "the page says that the book did not open",
            "return document.body.innerText.includes('did not open') ? document.body.innerText : null",
            &[],
        )
        .await;
    let page = page.as_str().unwrap();
    assert!(!page.contains("holds no book"), "{page}");
    assert!(page.contains("insecure"), "the browser's reason: {page}");
    tablet.tap("start-new").await;
    tablet.write("start-initials", "QV").await;
    tablet.tap("start-go").await;
    tablet.tap("new-station").await;
    tablet.tap("measure").await;
    tablet.tap_bedding("04530").await;
    let head = tablet.reads("head-state", "in memory only").await;
    assert!(head.starts_with("not kept"), "{head}");
    tablet.see("loud").await;
    tablet.place("camp").await;
    tablet.reads("head-state", "in memory only").await;
    let file = tablet.back_up(&profile).await;
    let book = hingeline::exchange::book::read_bytes(&std::fs::read(file).unwrap()).unwrap();
    let all: String = book.entries.iter().map(|entry| entry.text()).collect();
    assert!(all.contains(r#""strike":"045""#), "{all}");
    tablet.reads("head-state", "in memory only").await;
}
