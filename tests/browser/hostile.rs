//! What looks like a script is words, wherever it comes from and wherever it is shown; a file that wants to do harm is named and
//! changes nothing.

use std::fs;
use std::path::PathBuf;

use hingeline::exchange::{archive, book, book::Written};
use hingeline::notebook::{
    Accepted, Act, Body, Book, Entry, EntryId, Ledger, North, Photo, Position, Reading, SetUp,
    Shot, Sighting, Stamp, Station, photos,
};
use hingeline::orientation::DoubtKind;
use serde_json::{Map, Value, json};

use crate::bench::{Profile, Server, Tablet, seat};

/// Every way in that a text has into a page, at once: a tag, the end of an attribute, of a script, of a comment, of CDATA.
const HOSTILE: &str = "<img src=x onerror=\"window.struck=1\"><script>window.struck=1</script>\
    <svg onload=window.struck=1></svg>\"onfocus=window.struck=1 autofocus='`${1}&lt;-->]]></textarea></title></style>";

/// A picture that is none: a drawing with a script in it.
const DRAWING: &[u8] = b"<svg xmlns='http://www.w3.org/2000/svg' onload='window.top.struck=1'>\
    <script>window.top.struck=1</script></svg>";

fn hostile() -> String {
    HOSTILE.to_owned()
}

/// A book in which every text that the format leaves free is hostile, two people disagree, and two stations look like twins.
fn hostile_book() -> Ledger {
    let mut ledger = Ledger::new();
    let write = |ledger: &mut Ledger, by: &str, record: &str, act: Act, body: Option<Body>| {
        let device = format!("{by}{HOSTILE}");
        let heads: Vec<EntryId> = ledger.state(record).heads().to_vec();
        let stamp = Stamp {
            by: format!("{by}{HOSTILE}"),
            counter: ledger.next_counter(&device),
            device,
            at: "2026-06-14T09:00:00.000+01:00".to_owned(),
        };
        ledger.insert(Entry::new(
            record.into(),
            heads,
            stamp,
            act,
            Some(hostile()),
            body,
        ));
    };
    let station = |number: u32, name: &str| {
        Some(Body::Station(Station {
            number,
            name: format!("{name}{HOSTILE}"),
            at: "2026-06-14T08:00:00.000+01:00".to_owned(),
            position: Some(Position {
                latitude: 54.1 + f64::from(number) * 0.000_01,
                longitude: -3.5,
                accuracy_m: Some(5.0),
                source: hostile(),
                typed: Some(hostile()),
                ..Position::default()
            }),
            unit: hostile(),
            lithology: hostile(),
            note: hostile(),
            ..Station::default()
        }))
    };
    let reading = |number: u32, strike: &str, note: &str| {
        Some(Body::Reading(Reading {
            station: "s1".to_owned(),
            number,
            kind: hostile(),
            set_up: Some("set-up".to_owned()),
            north: North::True,
            declination: Some(hostile()),
            because: Some(hostile()),
            shots: vec![
                Shot {
                    strike: Some(strike.to_owned()),
                    dip: Some("36".to_owned()),
                    side: Some("SE".to_owned()),
                    ..Shot::default()
                },
                Shot {
                    strike: Some(hostile()),
                    dip: Some(hostile()),
                    side: Some(hostile()),
                    at: hostile(),
                    ..Shot::default()
                },
            ],
            note: format!("{note}{HOSTILE}"),
            accepted: vec![Accepted {
                doubt: DoubtKind::Scatter,
                shot: 0,
                choice: hostile(),
                sets: Vec::new(),
                by: hostile(),
                at: hostile(),
            }],
            ..Reading::default()
        }))
    };
    write(
        &mut ledger,
        "A",
        "book",
        Act::Write,
        Some(Body::Book(Book {
            name: hostile(),
            own_kinds: vec![hostile()],
            ..Book::default()
        })),
    );
    write(
        &mut ledger,
        "A",
        "set-up",
        Act::Write,
        Some(Body::SetUp(SetUp {
            name: hostile(),
            north: North::True,
            declination: Some(hostile()),
            resolution: "1".to_owned(),
            ..SetUp::default()
        })),
    );
    write(&mut ledger, "A", "s1", Act::Write, station(1, "one "));
    for number in 1..6 {
        let strike = format!("{:03}", 60 + number);
        let record = format!("r{number}");
        write(
            &mut ledger,
            "A",
            &record,
            Act::Write,
            reading(number, &strike, ""),
        );
    }
    write(
        &mut ledger,
        "A",
        "k1",
        Act::Write,
        Some(Body::Sighting(Sighting {
            station: "s1".to_owned(),
            number: 1,
            to_words: hostile(),
            bearing: Some("045".to_owned()),
            vertical: Some(hostile()),
            slope_m: Some(hostile()),
            note: hostile(),
            ..Sighting::default()
        })),
    );
    write(
        &mut ledger,
        "A",
        "p1",
        Act::Write,
        Some(Body::Photo(Photo {
            station: "s1".to_owned(),
            number: 1,
            sha256: photos::sha256(DRAWING),
            media: "image/svg+xml".to_owned(),
            width: 4,
            height: 3,
            bytes: u32::try_from(DRAWING.len()).unwrap(),
            note: hostile(),
            ..Photo::default()
        })),
    );
    let mut strange = Map::new();
    strange.insert(hostile(), json!({ "note": HOSTILE }));
    write(
        &mut ledger,
        "A",
        "strange",
        Act::Other(hostile()),
        Some(Body::Unknown(strange)),
    );
    write(&mut ledger, "A", "r5", Act::StrikeOut, None);
    let mut other = ledger.clone();
    write(
        &mut ledger,
        "A",
        "r1",
        Act::Correct,
        reading(1, "061", "ours "),
    );
    write(
        &mut other,
        "B",
        "r1",
        Act::Correct,
        reading(1, "161", "theirs "),
    );
    write(&mut ledger, "A", "s1", Act::Correct, station(1, "ours "));
    write(&mut other, "B", "s1", Act::Correct, station(1, "theirs "));
    write(&mut other, "B", "s2", Act::Write, station(2, "near "));
    write(&mut other, "B", "t1", Act::Write, station(1, "twin "));
    ledger.join(other.iter().cloned());
    ledger
}

/// The book as an archive, with who wrote it as hostile as the rest.
fn hostile_archive(profile: &Profile) -> PathBuf {
    let written = Written {
        at: hostile(),
        by: hostile(),
        device: hostile(),
    };
    let text = book::write(hostile_book().iter(), &written);
    let drawing = photos::sha256(DRAWING);
    let bytes = archive::write(&text, [(drawing.as_str(), DRAWING)]).unwrap();
    let path = profile.dir().join("hostile.zip");
    fs::write(&path, bytes).unwrap();
    path
}

/// Nothing of the book has become part of the page: no script ran, nothing waits to run, and no tag of it is there.
async fn only_words(tablet: &Tablet<'_>, page: &str) {
    let found = tablet
        .run(
            "const parts = [...document.querySelectorAll('script:not([src]), iframe, object, embed, [onerror], [onload], [onfocus], [autofocus]')];
             const pictures = [...document.querySelectorAll('img')].filter((img) => !img.src.startsWith('blob:'));
             const links = [...document.querySelectorAll('a[href]')].filter((a) => a.protocol === 'javascript:');
             return [window.struck ?? null, [...parts, ...pictures, ...links].map((part) => part.outerHTML.slice(0, 200))];",
            &[],
        )
        .await;
    assert_eq!(found, json!([null, []]), "{page}");
    assert_eq!(tablet.violations(), Vec::<String>::new(), "{page}");
}

/// The page shows the hostile words as words: in its text or in a field.
async fn shows_them(tablet: &Tablet<'_>, page: &str) {
    tablet
        .until_true(
            &format!("{page} shows the words"),
            "const fields = [...document.querySelectorAll('input, textarea')].map((field) => field.value);
             return [document.body.innerText, ...fields].some((text) => text.includes('<img src=x onerror='))",
            &[],
        )
        .await;
}

/// Failure 16, hostile: a script in every text of a book, on every page that shows it, on paper, and in what is handed out.
#[tokio::test]
async fn a_script_in_every_text_is_only_words_on_every_page() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    let file = hostile_archive(&profile);
    tablet.go(&server.at("/")).await;
    tablet.tap("start-was").await;
    tablet.open_files(&[&file]).await;
    only_words(&tablet, "the plan on the first page").await;
    tablet.tap("join-apply").await;
    tablet.see("place-traverse").await;
    only_words(&tablet, "joined").await;
    tablet.place("camp").await;
    tablet.open_files(&[&file]).await;
    only_words(&tablet, "the plan").await;

    let pages: [(&str, &str, bool); 17] = [
        ("/", "place-camp", true),
        ("/outcrop", "place-camp", true),
        ("/station/1", "line-1-1", true),
        ("/photo/p1", "photo-page", true),
        ("/traverse", "day-page", true),
        ("/traverse/all", "traverse", false),
        ("/traverse/2026-06-14", "day-page", true),
        ("/traverse/net", "net-page", true),
        ("/traverse/reckon", "place-camp", false),
        ("/traverse/history/r1", "history", true),
        ("/traverse/history/s1", "history", true),
        ("/traverse/history/strange", "history", true),
        ("/camp", "camp", true),
        ("/camp/settle", "settle-list", false),
        ("/camp/settle/r1", "settle", true),
        ("/camp/settle/s1", "settle", true),
        ("/camp/hand-over", "hand-over-make", false),
    ];
    for (path, part, told) in pages {
        tablet.go(&server.at(path)).await;
        tablet.see(part).await;
        tablet.kept().await;
        if told {
            shows_them(&tablet, path).await;
        }
        only_words(&tablet, path).await;
    }
    for path in ["", "/declination", "/set-wrongly"] {
        let path = format!("/camp/set-up/set-up{path}");
        tablet.go(&server.at(&path)).await;
        tablet.see("place-camp").await;
        tablet.kept().await;
        only_words(&tablet, &path).await;
    }

    // Each reading, and the panels over the keypad.
    tablet.go(&server.at("/station/1")).await;
    tablet.tap("line-1-2").await;
    tablet.see("key-0").await;
    only_words(&tablet, "a reading").await;
    tablet.tap("kind-more").await;
    only_words(&tablet, "all kinds").await;
    tablet.tap("kind-more").await;
    tablet.tap("words").await;
    shows_them(&tablet, "a note").await;
    only_words(&tablet, "a note").await;
    // The sighting.
    tablet.go(&server.at("/station/1")).await;
    tablet.tap("sighting-1-1").await;
    tablet.see("place-camp").await;
    only_words(&tablet, "a sighting").await;

    // On paper.
    tablet.go(&server.at("/traverse/2026-06-14")).await;
    tablet.shows("day-doubts", "data-complete", "true").await;
    tablet
        .run("dispatchEvent(new Event('beforeprint'))", &[])
        .await;
    let sheet = tablet
        .run(
            "return document.querySelector('[data-testid=\"day-sheet\"]').textContent",
            &[],
        )
        .await;
    assert!(
        sheet.as_str().unwrap().contains("<img src=x onerror="),
        "{sheet}"
    );
    only_words(&tablet, "the printed day").await;

    // The net as a file.
    tablet.go(&server.at("/traverse/net")).await;
    tablet.tap("net-svg").await;
    let text = tablet
        .until("the net is a file", || async {
            let svg = profile.downloaded(&["svg"]).pop();
            let text = svg.and_then(|file| fs::read_to_string(file).ok());
            text.filter(|text| text.trim_end().ends_with("</svg>"))
                .ok_or_else(|| "there is no whole file".to_owned())
        })
        .await;
    let document = roxmltree::Document::parse(&text).unwrap();
    for node in document.descendants().filter(|node| node.is_element()) {
        let name = node.tag_name().name();
        assert!(
            !["script", "foreignObject", "image", "img"].contains(&name),
            "{name}"
        );
        for attribute in node.attributes() {
            assert!(!attribute.name().starts_with("on"), "{attribute:?}");
        }
    }
    tablet.is_quiet().await;
}

/// The policy forbids what a hostile text would need, and the bench hears it when a page does it all the same.
#[tokio::test]
async fn the_policy_stops_an_inline_script_and_the_bench_hears_it() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    tablet.begin(&server).await;
    assert_eq!(tablet.violations(), Vec::<String>::new());
    tablet.provoke();
    for (what, script) in [
        (
            "script",
            "const script = document.createElement('script'); script.textContent = 'window.struck = 1'; document.body.append(script);",
        ),
        (
            "event handler",
            "document.body.insertAdjacentHTML('beforeend', '<img src=\"none.png\" onerror=\"window.struck = 1\">');",
        ),
        (
            "javascript: URL",
            "const a = document.createElement('a'); a.href = 'javascript:window.struck=1'; document.body.append(a); a.click();",
        ),
        (
            "style",
            "document.body.insertAdjacentHTML('beforeend', '<style>p { color: red }</style>');",
        ),
        (
            "another origin",
            "document.body.insertAdjacentHTML('beforeend', '<img src=\"http://127.0.0.1:9/none.png\">');",
        ),
        (
            "a data: picture",
            "document.body.insertAdjacentHTML('beforeend', '<img src=\"data:image/gif;base64,R0lGODlhAQABAAAAACw=\">');",
        ),
    ] {
        let before = tablet.violations().len();
        tablet.run(script, &[]).await;
        tablet
            .until(
                &format!("the browser says that it stopped: {what}"),
                || async {
                    let now = tablet.violations().len();
                    if now > before {
                        Ok(())
                    } else {
                        Err(format!("{now} so far"))
                    }
                },
            )
            .await;
    }
    let struck = tablet.run("return window.struck ?? null", &[]).await;
    assert_eq!(struck, Value::Null);
}

/// Failure 16 through the app: archives and books that want to do harm, or hold what no book may.
#[tokio::test]
async fn hostile_files_are_named_and_change_nothing() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    tablet.begin(&server).await;
    tablet.tap_bedding("04530").await;
    tablet.kept().await;
    tablet.place("camp").await;
    let file = tablet.back_up(&profile).await;
    let sound = fs::read_to_string(&file).unwrap();
    let zip = archive::write(&sound, []).unwrap();
    let before = tablet.ledger().await;
    let renamed = |name: &[u8]| -> Vec<u8> {
        // `book.json`, wherever the archive names it, becomes another name of the same length.
        let mut bytes = zip.clone();
        for at in 0..bytes.len() - 9 {
            if &bytes[at..at + 9] == b"book.json" {
                bytes[at..at + 9].copy_from_slice(name);
            }
        }
        bytes
    };
    let with = |from: &str, to: &str| {
        assert!(sound.contains(from), "{from}");
        sound.replacen(from, to, 1).into_bytes()
    };
    let cases: [(&str, Vec<u8>); 7] = [
        ("paths.zip", renamed(b"../k.json")),
        ("root.zip", renamed(b"/ook.json")),
        ("cut.zip", zip[..zip.len() / 2].to_vec()),
        ("surrogate.json", with(r#""note":"""#, r#""note":"\ud800""#)),
        (
            "large-number.json",
            with(r#""counter":1,"#, r#""counter":1e308,"#),
        ),
        ("nan.json", with(r#""counter":1,"#, r#""counter":NaN,"#)),
        ("nul.json", with(r#""note":"""#, "\"note\":\"\0\"")),
    ];
    for (name, bytes) in cases {
        let path = profile.dir().join(name);
        fs::write(&path, bytes).unwrap();
        let (outcome, said) = tablet.open_file(&path).await;
        assert_eq!(outcome, "refused", "{name}: {said}");
        assert!(
            said.contains(name) && said.contains("nothing changed"),
            "{name}: {said}"
        );
        // More than that it was not opened: what is wrong, in words.
        assert!(said.len() > name.len() + 60, "{name}: {said}");
        assert_eq!(tablet.ledger().await, before, "{name}");
    }
    let (outcome, words) = tablet.open_file(&file).await;
    assert_eq!(outcome, "ok", "{words}");
    tablet.is_quiet().await;
}

/// A whole book whose numbers are beyond the Earth: it opens, every page is drawn, and nothing stops.
#[tokio::test]
async fn numbers_beyond_the_earth_stop_no_page() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    let mut ledger = Ledger::new();
    for (number, size) in [(1, 54.0), (2, 1e308), (3, -1e308), (4, 1e-308)] {
        let stamp = Stamp {
            by: "KO".to_owned(),
            device: "far".to_owned(),
            counter: u64::from(number),
            at: "2026-06-14T09:00:00.000+01:00".to_owned(),
        };
        let station = Station {
            number: if number == 3 { u32::MAX } else { number },
            at: "2026-06-14T09:00:00.000+01:00".to_owned(),
            position: Some(Position {
                latitude: size,
                longitude: -size,
                height_m: Some(size),
                accuracy_m: Some(size),
                source: "device".to_owned(),
                ..Position::default()
            }),
            ..Station::default()
        };
        let record = format!("s{number}");
        let body = Some(Body::Station(station));
        ledger.insert(Entry::new(
            record.as_str().into(),
            [],
            stamp,
            Act::Write,
            None,
            body,
        ));
    }
    let path = profile.dir().join("far.json");
    fs::write(&path, book::write(ledger.iter(), &Written::default())).unwrap();
    tablet.go(&server.at("/")).await;
    tablet.tap("start-was").await;
    assert!(tablet.open_file_unseen(&path).await);
    tablet.see("place-traverse").await;
    for page in [
        "/station/1",
        "/station/2",
        "/traverse",
        "/traverse/all",
        "/traverse/net",
        "/traverse/reckon",
        "/camp",
        "/camp/hand-over",
        "/traverse/history/s2",
    ] {
        tablet.go(&server.at(page)).await;
        tablet.see("place-camp").await;
        tablet.kept().await;
        assert!(!tablet.has("way-out").await, "{page}");
        assert_eq!(tablet.heard().await, Vec::<String>::new(), "{page}");
    }
    assert_eq!(tablet.ledger().await.len(), 4);
}
