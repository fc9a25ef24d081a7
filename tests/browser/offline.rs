//! Without a network: after one visit the app starts and every page of it opens with the server stopped.

use serde_json::json;

use crate::bench::{Profile, Server, SetUp, Tablet, seat};

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

    next_build(&a, &b, "next-build");
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

/// A frame of the page in which there was nothing to read, and every page that was started, counted beyond the page's own end.
const EYE: &str = "
    const more = (key) => localStorage.setItem(key, Number(localStorage.getItem(key) ?? 0) + 1);
    more('pages');
    const look = () => {
        if (document.body && document.readyState !== 'loading' && document.body.innerText.trim() === '') more('blank');
        requestAnimationFrame(look);
    };
    requestAnimationFrame(look);
";

/// Failure 15: three updates in a row, each taken while a draft is open. The names of the files that one build knows are gone from
/// the server with the next; the page is never blank, the draft is there after each, and at the end nothing of the earlier builds
/// is left.
#[tokio::test]
async fn three_updates_in_a_row_keep_the_draft_and_are_never_blank() {
    let _seat = seat(false).await;
    let builds = Profile::new();
    let mut build = builds.dir().join("build-0");
    copy(&crate::bench::dist(), &build);
    let mut server = Server::of(&build);
    let profile = Profile::new();
    let set_up = SetUp {
        first: EYE,
        ..SetUp::default()
    };
    let tablet = Tablet::with(&profile, set_up).await;
    tablet.begin(&server).await;
    tablet.tap_bedding("04530").await;
    tablet.kept().await;
    kept_for_offline(&tablet).await;
    tablet.tap("next-reading").await;
    let before = tablet.ledger().await;
    for (round, typed) in ["0", "06", "062"].into_iter().enumerate() {
        tablet.tap_digits(&typed[typed.len() - 1..]).await;
        tablet.draft_holds(&format!(r#""strike":"{typed}""#)).await;
        let next = builds.dir().join(format!("build-{}", round + 1));
        let name = format!("build-{}", round + 1);
        next_build(&build, &next, &name);
        build = next;
        server.turn_to(&build);
        tablet
            .run_async(
                "await (await navigator.serviceWorker.getRegistration()).update()",
                &[],
            )
            .await;
        tablet.see("take-update").await;
        // The old build goes on as it was until it is asked: loaded again, with its own files gone from the server.
        tablet.reload().await;
        tablet.dial("strike", typed).await;
        tablet.see("take-update").await;
        tablet.run("window.before = true", &[]).await;
        tablet.tap("take-update").await;
        tablet
            .until_true(
                "the page was loaded anew, by the next build",
                "return window.before === undefined
                     && document.querySelector('script[data-wasm]')?.dataset.wasm.includes(arguments[0])",
                &[json!(name)],
            )
            .await;
        tablet.dial("strike", typed).await;
        assert_eq!(tablet.ledger().await, before);
        kept_for_offline(&tablet).await;
    }
    let caches = tablet.run_async("return await caches.keys()", &[]).await;
    assert_eq!(caches, json!(["hingeline-build-3"]));
    // The last build starts by itself, and the draft is kept to its end.
    server.stop();
    tablet.reload().await;
    tablet.dial("strike", "062").await;
    tablet.tap_digits("36").await;
    tablet.tap_side("SE").await;
    tablet.kept().await;
    assert_eq!(tablet.ledger().await.len(), before.len() + 1);
    let seen = tablet
        .run(
            "return [localStorage.getItem('blank'), Number(localStorage.getItem('pages'))]",
            &[],
        )
        .await;
    assert_eq!(seen[0], json!(null), "frames without a word");
    assert!(seen[1].as_u64().unwrap() >= 7, "{seen} pages were watched");
    tablet.is_quiet().await;
}

/// A build that this browser cannot run, as an older one could not: it never takes the place of one that runs, and who meets it
/// first is told why and what to do.
#[tokio::test]
async fn a_build_that_the_browser_cannot_run_never_replaces_one_that_it_can() {
    let _seat = seat(false).await;
    let builds = Profile::new();
    let (a, b) = (builds.dir().join("a"), builds.dir().join("b"));
    copy(&crate::bench::dist(), &a);
    next_build(&a, &b, "next-build");
    // A version of WebAssembly that no browser knows.
    let module = b.join("hingeline-of-next-build_bg.wasm");
    let mut bytes = std::fs::read(&module).unwrap();
    bytes[4] = 9;
    std::fs::write(&module, bytes).unwrap();
    let mut server = Server::of(&a);
    let profile = Profile::new();
    let tablet = Tablet::start(&profile).await;
    tablet.begin(&server).await;
    kept_for_offline(&tablet).await;
    tablet.tap_bedding("04530").await;
    tablet.kept().await;
    let caches = "return await caches.keys()";
    let before = tablet.run_async(caches, &[]).await;
    let ledger = tablet.ledger().await;

    server.turn_to(&b);
    let ended = tablet
        .run_async(
            "const registration = await navigator.serviceWorker.getRegistration();
             const found = new Promise((next) => registration.addEventListener(
                 'updatefound', () => next(registration.installing), { once: true }));
             registration.update().catch(() => {});
             const worker = await found;
             while (!['redundant', 'installed'].includes(worker.state)) {
                 await new Promise((next) => worker.addEventListener('statechange', next, { once: true }));
             }
             return worker.state",
            &[],
        )
        .await;
    assert_eq!(ended, json!("redundant"));
    assert_eq!(tablet.run_async(caches, &[]).await, before);
    server.stop();
    tablet.reload().await;
    tablet.see("kind-bedding").await;
    assert_eq!(tablet.ledger().await, ledger);
    tablet.close().await;

    let server = Server::of(&b);
    let profile = Profile::new();
    let tablet = Tablet::start(&profile).await;
    tablet.go(&server.at("/")).await;
    let told = tablet
        .until_true(
            "the page says why it did not open",
            "const words = document.getElementById('first-words');
             return words?.getAttribute('role') === 'alert' && words.textContent",
            &[],
        )
        .await;
    let told = told.as_str().unwrap();
    assert!(told.contains("this browser cannot run it"), "{told}");
    assert!(told.contains("still on this tablet"), "{told}");
    assert!(told.contains("up to date"), "{told}");
}

/// Makes the build that follows another: its files have other names, and its worker another version.
fn next_build(from: &std::path::Path, to: &std::path::Path, version: &str) {
    copy(from, to);
    let read = |name: &str| std::fs::read_to_string(to.join(name)).unwrap();
    let (page, worker) = (read("index.html"), read("sw.js"));
    let between = |text: &str, before: &str, after: &str| -> String {
        let rest = text.split_once(before).unwrap().1;
        rest.split_once(after).unwrap().0.to_owned()
    };
    let old = between(&worker, "const VERSION = \"", "\"");
    // The glue and the app itself, under one name.
    let glue = between(&page, "data-glue=\"", ".js\"");
    let stem = glue.rsplit('/').next().unwrap();
    let renamed = format!("hingeline-of-{version}");
    for ending in [".js", "_bg.wasm"] {
        let (there, here) = (format!("{stem}{ending}"), format!("{renamed}{ending}"));
        std::fs::rename(to.join(there), to.join(here)).unwrap();
    }
    let page = page.replace(stem, &renamed);
    let worker = worker.replace(&old, version).replace(stem, &renamed);
    std::fs::write(to.join("index.html"), page).unwrap();
    std::fs::write(to.join("sw.js"), worker).unwrap();
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
