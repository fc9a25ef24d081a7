//! Saves, and the first line of a long book, timed beside the browser's own means in the same run. Proves nothing.

use hingeline::notebook::{Act, Body, Book, Entry, Reading, Shot, Stamp, Station};
use serde_json::{Value, json};

use crate::bench::{OWN, Profile, Server, SetUp, Tablet, seat};

/// A thousand transactions one after the other, each of so many rows, by the means named.
const SAVES: &str = "
    const [means, rows] = args;
    const name = 'plain-' + means;
    const text = (n) => JSON.stringify({ act: 'write', body: { reading: { kind: 'bedding', number: 3, note: '', north: 'unknown',
        form: 'plane', station: '6d0c2c1e-71f5-4a10-9d8e-000000000047', tops: 'unknown',
        shots: [0, 1].map((i) => ({ at: '2026-06-14T14:52:10.120+02:00', dip: String(n % 90), side: 'SE', strike: String((n + i) % 360) })) } },
        record: '6d0c2c1e-71f5-4a10-9d8e-' + String(n).padStart(12, '0'),
        stamp: { at: '2026-06-14T14:52:10.120+02:00', by: 'QV', counter: n, device: '0b5e51aa-c4f7-4000-8000-000000000001' }, supersedes: [] });
    const stores = ['entries', 'drafts', 'state'].slice(0, rows);
    const upgrade = (database) => ['entries', 'drafts', 'state'].forEach((store) => database.createObjectStore(store));
    let save, close;
    if (means === 'idb') {
        if (!window.idb) return null;
        const database = await idb.openDB(name, 1, { upgrade });
        save = async (n) => {
            const transaction = database.transaction(stores, 'readwrite', { durability: 'strict' });
            await Promise.all([
                ...stores.map((store) => transaction.objectStore(store).put(text(n), store === 'entries' ? 'key' + n : 'open')),
                transaction.done,
            ]);
        };
        close = () => database.close();
    } else {
        const database = await new Promise((resolve, reject) => {
            const request = indexedDB.open(name, 1);
            request.onupgradeneeded = () => upgrade(request.result);
            request.onsuccess = () => resolve(request.result);
            request.onerror = () => reject(request.error);
        });
        save = (n) => new Promise((resolve, reject) => {
            const transaction = database.transaction(stores, 'readwrite', { durability: 'strict' });
            for (const store of stores) transaction.objectStore(store).put(text(n), store === 'entries' ? 'key' + n : 'open');
            transaction.oncomplete = resolve;
            transaction.onabort = () => reject(transaction.error);
        });
        close = () => database.close();
    }
    const from = performance.now();
    for (let n = 0; n < 1000; n++) await save(n);
    const took = performance.now() - from;
    close();
    indexedDB.deleteDatabase(name);
    return took;
";

/// The library's script, where the command has named it.
fn idb() -> String {
    std::env::var_os("HINGELINE_IDB").map_or(String::new(), |path| {
        std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
    })
}

#[tokio::test]
#[ignore = "measures: `cargo run --bin workbench -- bench store` runs it"]
async fn weigh_the_store_saving_a_thousand_times() {
    let _seat = seat(true).await;
    let (server, profile) = (Server::start(), Profile::new());
    let script = idb();
    let set_up = SetUp {
        first: &script,
        ..SetUp::default()
    };
    let tablet = Tablet::with(&profile, set_up).await;
    let mut times: Vec<(&str, Vec<f64>)> = Vec::new();
    let mut note = |what: &'static str, took: f64| {
        match times.iter_mut().find(|(known, _)| *known == what) {
            Some((_, all)) => all.push(took),
            None => times.push((what, vec![took])),
        };
    };
    tablet.begin(&server).await;
    for _ in 0..3 {
        tablet.go(&server.at("/camp/weigh")).await;
        let words = tablet.reads("store-weighed", "milliseconds for").await;
        let ours: Vec<f64> = words
            .split_whitespace()
            .map_while(|word| word.parse().ok())
            .collect();
        note("ours, an entry", ours[0]);
        note("ours, entry, draft and state", ours[1]);
        tablet.go(&server.at("/hingeline.webmanifest")).await;
        for (what, means, rows) in [
            ("raw, one row", "raw", 1),
            ("raw, three rows", "raw", 3),
            ("idb 8.0.4, one row", "idb", 1),
            ("idb 8.0.4, three rows", "idb", 3),
        ] {
            let took = tablet.run_async(SAVES, &[json!(means), json!(rows)]).await;
            if let Some(took) = took.as_f64() {
                note(what, took);
            }
        }
    }
    println!("1,000 single durable saves, each a strict transaction of its own:");
    let middle = |what: &str| {
        let found = times.iter().find(|(known, _)| *known == what)?;
        let mut all = found.1.clone();
        all.sort_by(f64::total_cmp);
        Some(all[all.len() / 2])
    };
    for (ours, rows) in [
        ("ours, an entry", "one row"),
        ("ours, entry, draft and state", "three rows"),
    ] {
        let took = middle(ours).unwrap();
        print!("  {ours:<32}{took:>8.0} ms");
        for means in ["raw", "idb 8.0.4"] {
            match middle(&format!("{means}, {rows}")) {
                Some(theirs) => print!(
                    "   {:.2} times as long as {means} IndexedDB, {theirs:.0} ms",
                    took / theirs
                ),
                None => print!("   {means} is not installed"),
            }
        }
        println!();
    }
}

/// A book of so many readings, fifty at a station, all of one tablet.
fn long_book(readings: u32) -> Value {
    let mut counter = 0;
    let mut rows: Vec<(String, String)> = Vec::new();
    let mut write = |record: String, body: Body| {
        counter += 1;
        let stamp = Stamp {
            by: "QV".into(),
            device: "00000000-0000-4000-8000-000000000001".into(),
            counter,
            at: "2026-06-14T14:52:10.120+02:00".into(),
        };
        let entry = Entry::new(
            record.as_str().into(),
            [],
            stamp,
            Act::Write,
            None,
            Some(body),
        );
        rows.push((entry.id().to_string(), entry.text().to_owned()));
    };
    write("book".into(), Body::Book(Book::default()));
    let stations = readings / 50;
    for number in 1..=stations {
        let station = format!("6d0c2c1e-71f5-4a10-9d8e-{number:012}");
        write(
            station.clone(),
            Body::Station(Station {
                number,
                name: format!("Ledge {number}"),
                at: format!(
                    "2026-{:02}-{:02}T08:00:00+02:00",
                    1 + number / 40 % 12,
                    1 + number % 28
                ),
                ..Station::default()
            }),
        );
        for place in 1..=50 {
            let n = number * 50 + place;
            let shot = |more: u32| Shot {
                strike: Some(format!("{:03}", (n * 7 + more) % 180)),
                dip: Some(format!("{:02}", 10 + (n + more) % 75)),
                side: Some("SE".into()),
                at: "2026-06-14T14:52:10.120+02:00".into(),
                ..Shot::default()
            };
            write(
                format!("0b5e51aa-c4f7-4000-8000-{n:012}"),
                Body::Reading(Reading {
                    station: station.clone(),
                    number: place,
                    kind: "bedding".into(),
                    shots: vec![shot(0), shot(1)],
                    ..Reading::default()
                }),
            );
        }
    }
    let settings =
        json!({ "device": "00000000-0000-4000-8000-000000000001", "counter": counter, "by": "QV" });
    json!({ "entries": rows, "drafts": [], "photos": [], "state": [["settings", settings.to_string()]] })
}

/// Everything from the same rows, sorted and on the screen as plain lines: all the values at once, and no more lines than fit.
const PLAIN_LIST: &str = "
    const from = performance.now();
    const database = await new Promise((resolve, reject) => {
        const request = indexedDB.open(args[0]);
        request.onsuccess = () => resolve(request.result);
        request.onerror = () => reject(request.error);
    });
    const rows = await new Promise((resolve, reject) => {
        const request = database.transaction('entries').objectStore('entries').getAll();
        request.onsuccess = () => resolve(request.result);
        request.onerror = () => reject(request.error);
    });
    database.close();
    const stations = new Map();
    const readings = [];
    for (const row of rows) {
        const entry = JSON.parse(row);
        if (entry.body.station) stations.set(entry.record, entry.body.station);
        if (entry.body.reading) readings.push(entry.body.reading);
    }
    readings.sort((a, b) => stations.get(a.station).number - stations.get(b.station).number || a.number - b.number);
    const list = document.createElement('div');
    for (const reading of readings.slice(0, 30)) {
        const line = document.createElement('p');
        const shot = reading.shots[0];
        line.textContent = `${stations.get(reading.station).number}.${reading.number} ${reading.kind} ${shot.strike}/${shot.dip}${shot.side}`;
        list.append(line);
    }
    document.body.replaceChildren(list);
    await new Promise(requestAnimationFrame);
    return performance.now() - from;
";

/// When the database is first opened, when the first line of a day and of the whole list stands, and when all is read.
const WATCH: &str = "
    window.seen = {};
    const note = (name) => { window.seen[name] ??= performance.now(); };
    const open = IDBFactory.prototype.open;
    IDBFactory.prototype.open = function (...args) { note('open'); return open.apply(this, args); };
    new MutationObserver(() => {
        if (document.querySelector('[data-testid=traverse] .row, [data-testid=day-page] [data-testid^=station-row]')) note('line');
        const summary = document.querySelector('[data-testid=summary]')?.innerText ?? '';
        if (/[1-9][0-9]* readings/.test(summary)) note('all');
    }).observe(document, { childList: true, subtree: true, characterData: true });
";

#[tokio::test]
#[ignore = "measures: `cargo run --bin workbench -- bench store` runs it"]
async fn weigh_the_store_and_the_first_list() {
    let _seat = seat(true).await;
    let server = Server::start();
    for readings in [10_000, 100_000] {
        let profile = Profile::new();
        let set_up = SetUp {
            first: WATCH,
            ..SetUp::default()
        };
        let tablet = Tablet::with(&profile, set_up).await;
        tablet.fill(&server, OWN, 1, &long_book(readings)).await;
        tablet.go(&server.at("/traverse/all")).await;
        tablet
            .until_true("all is read", "return window.seen.all ?? null", &[])
            .await;
        println!("a book of {readings} readings, from the call that opens the database:");
        let mut plain = Vec::new();
        let mut ours: Vec<(&str, &str, Vec<f64>)> = vec![
            ("/traverse", "line", Vec::new()),
            ("/traverse/all", "line", Vec::new()),
            ("/traverse/all", "all", Vec::new()),
        ];
        for _ in 0..5 {
            tablet.go(&server.at("/hingeline.webmanifest")).await;
            let took = tablet.run_async(PLAIN_LIST, &[json!(OWN)]).await;
            plain.push(took.as_f64().unwrap());
            for (path, part, times) in &mut ours {
                tablet.go("about:blank").await;
                tablet.go(&server.at(path)).await;
                let script = format!(
                    "return window.seen.{part} ? window.seen.{part} - window.seen.open : null"
                );
                let took = tablet.until_true(part, &script, &[]).await;
                times.push(took.as_f64().unwrap());
            }
        }
        let middle = |times: &mut Vec<f64>| {
            times.sort_by(f64::total_cmp);
            times[times.len() / 2]
        };
        let theirs = middle(&mut plain);
        println!(
            "  getAll, JSON.parse, sorted, 30 plain lines by plain JavaScript: {theirs:.0} ms"
        );
        for ((path, part, times), what) in ours.iter_mut().zip([
            "the last day's first line",
            "the first line of all",
            "the whole book read, checked and counted",
        ]) {
            let took = middle(times);
            println!(
                "  {what:<44}{took:>7.0} ms ({path}, {part}): {:.2} times as long",
                took / theirs
            );
        }
    }
}
