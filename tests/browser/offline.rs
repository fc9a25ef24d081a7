//! Without a network: after one visit the app starts and every page of it opens with the server stopped.

use serde_json::json;

use crate::bench::{Profile, Server, Tablet, seat};

/// Waits until the service worker has the whole build and the page is its own.
async fn kept_for_offline(tablet: &Tablet<'_>) {
    tablet
        .until_true(
            "the app is kept for offline",
            "return window.hingelineOffline === 'ready' && navigator.serviceWorker.controller !== null",
            &[],
        )
        .await;
}

/// Failure 14: started with the server stopped and the HTTP cache empty, deep links too, and after a restart.
#[tokio::test]
async fn with_the_server_stopped_every_page_opens() {
    let _seat = seat(false).await;
    let (mut server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    tablet.begin(&server).await;
    tablet.tap_bedding("04530").await;
    tablet.kept().await;
    kept_for_offline(&tablet).await;
    server.stop();
    tablet.cdp("Network.clearBrowserCache", json!({})).await;

    for (path, part) in [
        ("/station/1", "line-1-1"),
        ("/outcrop", "key-0"),
        ("/traverse", "station-row-1"),
        ("/traverse/all", "line-1-1"),
        ("/camp", "backup"),
        ("/", "key-0"),
    ] {
        tablet.go(&server.at(path)).await;
        tablet.see(part).await;
        tablet.reload().await;
        tablet.see(part).await;
    }
    fonts_are_there(&tablet).await;
    // The server cannot be reached: this is no answer from its memory.
    let refused = tablet
        .run_async(
            "return await fetch('/not-kept-for-offline').then(() => false, () => true)",
            &[],
        )
        .await;
    assert_eq!(refused, json!(true));
    tablet.close().await;

    let tablet = Tablet::start(&profile).await;
    tablet.cdp("Network.clearBrowserCache", json!({})).await;
    tablet.go(&server.at("/station/1")).await;
    tablet.see("line-1-1").await;
    tablet.tap("measure").await;
    tablet.tap("next-reading").await;
    tablet.tap_digits("06040").await;
    tablet.tap_side("SE").await;
    tablet.kept().await;
    assert_eq!(tablet.readings().await.len(), 2);
    // The demo book came with the app.
    tablet.place("camp").await;
    tablet.tap("camp-demo").await;
    tablet.see("demo-band").await;
    tablet.see("station-row-8").await;
}

/// The page's own letters are used, not the system's.
async fn fonts_are_there(tablet: &Tablet<'_>) {
    let loaded = tablet
        .run_async(
            "await document.fonts.ready;
             return [...document.fonts].filter((font) => font.status === 'loaded').length",
            &[],
        )
        .await;
    assert!(loaded.as_u64().unwrap() >= 2, "{loaded}");
}

/// An update is offered and not forced: the draft is there before and after it is taken.
#[tokio::test]
async fn an_update_waits_to_be_asked_and_keeps_the_draft() {
    let _seat = seat(false).await;
    let builds = Profile::new();
    let (a, b) = (builds.dir().join("a"), builds.dir().join("b"));
    copy(&crate::bench::dist(), &a);
    let mut server = Server::of(&a);
    let profile = Profile::new();
    let tablet = Tablet::start(&profile).await;
    tablet.begin(&server).await;
    kept_for_offline(&tablet).await;
    tablet.tap("kind-bedding").await;
    tablet.tap_digits("06").await;
    tablet.draft_holds(r#""strike":"06""#).await;

    // The next build differs in its worker's bytes; that is what the browser compares.
    copy(&a, &b);
    let worker = std::fs::read_to_string(b.join("sw.js")).unwrap();
    let version = worker
        .split_once("const VERSION = \"")
        .and_then(|(_, rest)| rest.split_once('"'))
        .unwrap()
        .0
        .to_owned();
    std::fs::write(b.join("sw.js"), worker.replace(&version, "next-build")).unwrap();
    server.turn_to(&b);
    tablet
        .run_async(
            "await (await navigator.serviceWorker.getRegistration()).update()",
            &[],
        )
        .await;
    tablet.see("take-update").await;
    tablet.dial("strike", "06").await;
    tablet.tap_digits("2").await;
    tablet.dial("strike", "062").await;
    tablet.run("window.before = true", &[]).await;

    tablet.tap("take-update").await;
    tablet
        .until_true(
            "the page was loaded anew",
            "return window.before === undefined",
            &[],
        )
        .await;
    tablet.dial("strike", "062").await;
    tablet.shows("dial-dip", "data-here", "true").await;
    let caches = tablet.run_async("return await caches.keys()", &[]).await;
    assert_eq!(caches, json!(["hingeline-next-build"]));
}

fn copy(from: &std::path::Path, to: &std::path::Path) {
    std::fs::create_dir_all(to).unwrap();
    for item in std::fs::read_dir(from).unwrap() {
        let item = item.unwrap();
        let target = to.join(item.file_name());
        if item.path().is_dir() {
            copy(&item.path(), &target);
        } else {
            std::fs::copy(item.path(), target).unwrap();
        }
    }
}
