//! Books of several tablets become one: what joining would do is said before anything is written, what two people changed is
//! settled by one tap, and every version stays in the history.

use std::fs;
use std::path::{Path, PathBuf};

use hingeline::exchange::book::{self, Written};
use hingeline::notebook::{
    Act, Body, Book, Entry, Ledger, North, Position, Reading, SetUp, Shot, Stamp, Station,
};
use serde_json::{Value, json};
use thirtyfour::Key;

use crate::bench::{Profile, Server, Tablet, seat};
use crate::reaching::{Looker, axe};

pub(crate) const KO: &str = "aaaa0000-0000-4000-8000-000000000001";
pub(crate) const MT: &str = "bbbb0000-0000-4000-8000-000000000002";
pub(crate) const QV: &str = "cccc0000-0000-4000-8000-000000000003";

/// A tablet that writes by the library alone.
pub(crate) struct Desk {
    pub(crate) ledger: Ledger,
    by: &'static str,
    device: &'static str,
    hour: u32,
}

impl Desk {
    pub(crate) fn new(by: &'static str, device: &'static str, from: &Ledger) -> Self {
        Desk {
            ledger: from.clone(),
            by,
            device,
            hour: 9,
        }
    }

    pub(crate) fn write(&mut self, record: &str, body: Option<Body>) {
        let day = format!("2026-06-14T{:02}:00:00.000+01:00", self.hour);
        self.write_at(record, body, &day);
    }

    fn write_at(&mut self, record: &str, body: Option<Body>, at: &str) {
        let stamp = Stamp {
            by: self.by.to_owned(),
            device: self.device.to_owned(),
            counter: self.ledger.next_counter(self.device),
            at: at.to_owned(),
        };
        let act = match body {
            Some(_) => Act::Correct,
            None => Act::StrikeOut,
        };
        let heads = self.ledger.state(record).heads().to_vec();
        self.ledger
            .insert(Entry::new(record.into(), heads, stamp, act, None, body));
    }

    /// The book as a file of this name.
    pub(crate) fn file(&self, profile: &Profile, name: &str) -> PathBuf {
        let written = Written {
            at: "2026-06-14T20:14:00.000+01:00".to_owned(),
            by: self.by.to_owned(),
            device: self.device.to_owned(),
        };
        let path = profile.dir().join(name);
        fs::write(&path, book::write(self.ledger.iter(), &written)).unwrap();
        path
    }
}

pub(crate) fn station(number: u32, latitude: f64) -> Option<Body> {
    Some(Body::Station(Station {
        number,
        name: format!("Place {number}"),
        at: format!("2026-06-14T08:{number:02}:00.000+01:00"),
        position: Some(Position {
            latitude,
            longitude: -3.5,
            accuracy_m: Some(5.0),
            source: "device".to_owned(),
            ..Position::default()
        }),
        ..Station::default()
    }))
}

pub(crate) fn bedding(
    station: &str,
    number: u32,
    strike: &str,
    dip: &str,
    note: &str,
) -> Option<Body> {
    Some(Body::Reading(Reading {
        station: station.to_owned(),
        number,
        kind: "bedding".to_owned(),
        set_up: Some("set-up".to_owned()),
        north: North::True,
        declination: Some("-1".to_owned()),
        shots: vec![Shot {
            strike: Some(strike.to_owned()),
            dip: Some(dip.to_owned()),
            side: Some("SE".to_owned()),
            ..Shot::default()
        }],
        note: note.to_owned(),
        ..Reading::default()
    }))
}

/// A book with one station, ten beds that dip alike, and one more: 1·11.
pub(crate) fn began() -> Ledger {
    let mut desk = Desk::new("KO", KO, &Ledger::new());
    desk.write(
        "book",
        Some(Body::Book(Book {
            name: "Varrelow".to_owned(),
            ..Book::default()
        })),
    );
    desk.write(
        "set-up",
        Some(Body::SetUp(SetUp {
            name: "Transit 1".to_owned(),
            north: North::True,
            declination: Some("-1".to_owned()),
            resolution: "1".to_owned(),
            ..SetUp::default()
        })),
    );
    desk.write("s1", station(1, 54.1));
    for i in 0..10 {
        let (strike, dip) = (format!("{:03}", 62 + i), (35 + i % 6).to_string());
        desk.write(&format!("bed{i}"), bedding("s1", i + 1, &strike, &dip, ""));
    }
    desk.write("r", bedding("s1", 11, "067", "37", ""));
    desk.ledger
}

/// Three books that grew apart from one: KO changed the dip of 1·11, MT changed it otherwise and added a station, QV wrote a
/// note to it and added another.
pub(crate) fn three(profile: &Profile) -> [PathBuf; 3] {
    let base = began();
    let mut ko = Desk::new("KO", KO, &base);
    ko.hour = 11;
    ko.write("r", bedding("s1", 11, "067", "38", ""));
    let mut mt = Desk::new("MT", MT, &base);
    mt.hour = 18;
    mt.write("r", bedding("s1", 11, "067", "83", ""));
    mt.write("s2", station(2, 54.2));
    mt.write("m", bedding("s2", 1, "070", "40", ""));
    let mut qv = Desk::new("QV", QV, &base);
    qv.hour = 15;
    qv.write("r", bedding("s1", 11, "067", "37", "top of the slab"));
    qv.write("s3", station(3, 54.3));
    [
        ko.file(profile, "ko.json"),
        mt.file(profile, "mt.json"),
        qv.file(profile, "qv.json"),
    ]
}

/// Begins with KO's book, as a tablet does that had lost it.
pub(crate) async fn begin_with(tablet: &Tablet<'_>, server: &Server, file: &Path) {
    tablet.go(&server.at("/")).await;
    tablet.tap("start-was").await;
    assert!(tablet.open_file_unseen(file).await);
    tablet.see("place-traverse").await;
    tablet.place("camp").await;
}

/// The version that a person wrote, by the name of its part.
pub(crate) async fn version_by(tablet: &Tablet<'_>, by: &str) -> String {
    let letter = tablet
        .until_true(
            &format!("a version of {by} is there"),
            "return ['a', 'b', 'c'].find((letter) =>
                 document.querySelector(`[data-testid=\"version-${letter}\"]`)?.innerText.includes(arguments[0])) ?? null",
            &[json!(by)],
        )
        .await;
    letter.as_str().unwrap().to_owned()
}

/// What the page says of the steps of a history: what was done, and whether it stands.
async fn steps(tablet: &Tablet<'_>) -> Vec<(String, String)> {
    tablet.see("history").await;
    let steps = tablet
        .run(
            "return [...document.querySelectorAll('[data-testid^=\"step-\"]')]
                 .map((step) => [step.innerText.replace(/\\s+/g, ' '), step.dataset.stands])",
            &[],
        )
        .await;
    serde_json::from_value(steps).unwrap()
}

/// A whole folder is opened by one plate: its books are planned together, and how many files were no book is said.
#[tokio::test]
async fn a_folder_gives_its_books_and_says_what_was_passed_over() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    let [ko, mt, qv] = three(&profile);
    let folder = profile.dir().join("tablets");
    fs::create_dir_all(folder.join("qv")).unwrap();
    fs::copy(&mt, folder.join("mt.json")).unwrap();
    fs::copy(&qv, folder.join("qv").join("qv.json")).unwrap();
    for name in ["notes.txt", "place.jpg"] {
        fs::write(folder.join(name), "no book").unwrap();
    }
    begin_with(&tablet, &server, &ko).await;
    tablet.open_folder(&folder).await;
    tablet
        .reads("join-head", "2 stations and 1 reading are new here")
        .await;
    tablet
        .reads(
            "join-detail",
            "2 files of the folder were passed over: no book by name",
        )
        .await;
}

/// Three books, one of them damaged besides, joined by touch; the dip that two changed is settled by one tap, undone and
/// settled again; the history has all.
#[tokio::test]
async fn books_of_three_tablets_become_one_and_a_dip_is_settled_by_one_tap() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    let [ko, mt, qv] = three(&profile);
    let broken = profile.dir().join("broken.json");
    let sound = fs::read_to_string(&mt).unwrap();
    fs::write(&broken, &sound[..sound.len() / 2]).unwrap();
    begin_with(&tablet, &server, &ko).await;
    let before = tablet.ledger().await;

    tablet.open_files(&[&mt, &qv, &broken]).await;
    tablet
        .reads("join-head", "2 stations and 1 reading are new here")
        .await;
    tablet
        .reads("join-detail", "entries are here already")
        .await;
    let contested = tablet.words("join-contested").await;
    assert!(
        contested.contains("1 changed on both") && contested.contains("1·11 bedding"),
        "{contested}"
    );
    for (file, words) in [
        (
            "join-file-1",
            ["mt.json", "written by MT, tablet bbbb", "3 of"],
        ),
        (
            "join-file-2",
            ["qv.json", "written by QV, tablet cccc", "2 of"],
        ),
        (
            "join-file-3",
            ["broken.json", "left out", "damaged at line"],
        ),
    ] {
        let said = tablet.words(file).await;
        assert!(
            words.iter().all(|word| said.contains(word)),
            "{file}: {said}"
        );
    }
    tablet.shows("join-file-3", "data-damaged", "true").await;
    // Nothing is written before the person says so; leaving the plan writes nothing either.
    assert_eq!(tablet.ledger().await, before);
    tablet.tap("join-leave").await;
    tablet.see("join-nothing").await;
    assert_eq!(tablet.ledger().await, before);

    tablet.open_files(&[&mt, &qv, &broken]).await;
    tablet.reload().await;
    // The plan is not kept over a reload, and the page says so.
    tablet.reads("join-nothing", "nothing was written").await;
    assert_eq!(tablet.ledger().await, before);

    tablet.open_files(&[&mt, &qv, &broken]).await;
    tablet.tap("join-apply").await;
    let report = tablet.reads("import-report", "none was lost").await;
    assert!(
        report.contains("5 entries are kept in one commit"),
        "{report}"
    );
    let joined = tablet.ledger().await;
    assert_eq!(joined.len(), before.len() + 5);
    assert!(before.iter().all(|(id, text)| joined.get(id) == Some(text)));

    tablet.tap("settle-1").await;
    tablet.reads("settle-title", "1·11 bedding: two dips").await;
    tablet.reads("settle-doubt", "differ by 45°").await;
    tablet
        .reads("settle-odds", "83 is 38 with its digits exchanged")
        .await;
    let (of_ko, of_mt) = (
        version_by(&tablet, "KO").await,
        version_by(&tablet, "MT").await,
    );
    tablet.reads(&format!("take-{of_ko}"), "dip 38").await;
    tablet.reads(&format!("take-{of_mt}"), "dip 83").await;
    tablet.tap("settle-leave").await;
    tablet.see("camp").await;
    assert_eq!(tablet.ledger().await, joined, "left as it is");

    tablet.tap("settle-1").await;
    tablet.tap(&format!("take-{of_ko}")).await;
    tablet.see("settled").await;
    tablet.kept().await;
    tablet.reads("undo", "undo settle").await;
    assert_eq!(tablet.ledger().await.len(), joined.len() + 1);
    // Taking it back brings the doubt back, with both versions.
    tablet.tap("undo").await;
    tablet.see("settle").await;
    let again = version_by(&tablet, "KO").await;
    tablet.reads("undo", "redo settle").await;
    tablet.tap(&format!("take-{again}")).await;
    tablet.see("settled").await;
    tablet.kept().await;

    tablet.tap("settled-history").await;
    let all = steps(&tablet).await;
    let text: Vec<&str> = all.iter().map(|(text, _)| text.as_str()).collect();
    assert!(
        text.iter()
            .any(|t| t.contains("MT, tablet bbbb") && t.contains("83")),
        "{text:?}"
    );
    assert!(
        text.iter()
            .any(|t| t.contains("KO, tablet aaaa") && t.contains("38")),
        "{text:?}"
    );
    assert!(
        text.iter().any(|t| t.contains("top of the slab")),
        "{text:?}"
    );
    let (last, stands) = all.last().unwrap();
    assert!(
        last.to_lowercase().contains("settled") && stands == "now",
        "{last} {stands}"
    );
    assert_eq!(all.iter().filter(|(_, stands)| stands == "now").count(), 1);
    // The note that nobody disputed is kept with the dip that was taken.
    tablet.tap("history-leave").await;
    tablet.dial("dip", "38").await;
    tablet.tap("words").await;
    let note = tablet
        .run(
            "return document.querySelector('[data-testid=\"reading-note\"]').value",
            &[],
        )
        .await;
    assert_eq!(note, json!("top of the slab"));
    // And its history is reached from the reading.
    tablet.tap("history-open").await;
    assert_eq!(steps(&tablet).await, all);
    tablet.is_quiet().await;
}

/// Presses Tab until a part has the focus.
pub(crate) async fn tab_to(tablet: &Tablet<'_>, part: &str) {
    tablet.see(part).await;
    for _ in 0..80 {
        let there = tablet
            .run(
                "return document.activeElement?.dataset?.testid === arguments[0]",
                &[json!(part)],
            )
            .await;
        if there == Value::Bool(true) {
            return;
        }
        tablet.press_key(Key::Tab, false).await;
    }
    panic!("`{part}` is not reached with Tab");
}

/// The same with a keyboard alone, once the file is chosen.
#[tokio::test]
async fn a_book_is_joined_and_settled_with_a_keyboard_alone() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    let [ko, mt, _] = three(&profile);
    begin_with(&tablet, &server, &ko).await;
    let before = tablet.ledger().await;
    tablet.open_files(&[&mt]).await;
    tab_to(&tablet, "join-apply").await;
    assert_eq!(tablet.ledger().await, before);
    tablet.press_key(Key::Enter, false).await;
    tablet.reads("import-report", "none was lost").await;
    tab_to(&tablet, "settle-1").await;
    tablet.press_key(Key::Enter, false).await;
    let of_mt = version_by(&tablet, "MT").await;
    tab_to(&tablet, &format!("take-{of_mt}")).await;
    tablet.press_key(Key::Enter, false).await;
    tablet.see("settled").await;
    tablet.kept().await;
    tab_to(&tablet, "settled-history").await;
    tablet.press_key(Key::Enter, false).await;
    let all = steps(&tablet).await;
    assert!(all.last().unwrap().0.contains("83"), "{all:?}");
    tablet.is_quiet().await;
}

/// Failure 19: whatever the order in which three tablets are joined, the ledger is the same, the same version is shown, and
/// one step settles it.
#[tokio::test]
async fn the_order_of_the_books_does_not_matter() {
    let _seat = seat(false).await;
    let server = Server::start();
    let mut seen = Vec::new();
    for order in [[0, 1, 2], [2, 1, 0]] {
        let profile = Profile::new();
        let files = three(&profile);
        let tablet = Tablet::start(&profile).await;
        begin_with(&tablet, &server, &files[order[0]]).await;
        for place in &order[1..] {
            let (outcome, words) = tablet.open_file(&files[*place]).await;
            assert_eq!(outcome, "ok", "{words}");
        }
        // Failure 17: the same files once more, all at once, change nothing.
        let all = tablet.ledger().await;
        tablet
            .open_files(&[&files[0], &files[1], &files[2], &files[0]])
            .await;
        tablet.reads("import-report", "nothing changed").await;
        assert!(!tablet.has("join-apply").await);
        assert_eq!(tablet.ledger().await, all);
        tablet.tap("join-leave").await;
        tablet.tap("settle-1").await;
        let shown = tablet
            .words("version-a")
            .await
            .replace("this tablet", "tablet aaaa");
        tablet.is_quiet().await;
        seen.push((all, shown));
        tablet.close().await;
    }
    assert_eq!(seen[0], seen[1]);
}

/// Failures 17 and 18: a cloned tablet and a clock that jumped are named, and neither loses an entry; stations that look like
/// twins are renumbered or tied with one tap, and both are kept.
#[tokio::test]
async fn a_clone_a_clock_and_twins_are_named_and_put_right() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    let base = began();
    let mut own = Desk::new("KO", KO, &base);
    own.write("own2", station(2, 54.2));
    own.write("own-r", bedding("own2", 1, "070", "40", ""));
    // The tablet's storage was copied: both write on under one name, at one count.
    let mut clone = Desk::new("MT", KO, &base);
    clone.write("cloned2", station(2, 54.9));
    clone.write("cloned-r", bedding("cloned2", 1, "071", "41", ""));
    // Another's clock goes back by years in mid-book, and it stood where station 1 is.
    let mut jumped = Desk::new("QV", QV, &base);
    jumped.write("far3", station(3, 54.100_01));
    jumped.write_at(
        "q",
        bedding("far3", 1, "069", "38", ""),
        "2019-01-01T00:00:00.000+01:00",
    );
    let files = [
        own.file(&profile, "own.json"),
        clone.file(&profile, "clone.json"),
        jumped.file(&profile, "jumped.json"),
    ];
    begin_with(&tablet, &server, &files[0]).await;
    tablet.open_files(&[&files[1], &files[2]]).await;
    let cloned = tablet.words("join-clone").await;
    assert!(
        cloned.contains("tablet aaaa") && cloned.contains("No entry is lost"),
        "{cloned}"
    );
    let clock = tablet.words("join-clock").await;
    assert!(clock.contains("QV") && clock.contains("clock"), "{clock}");
    tablet.reads("join-twins", "numbered 2").await;
    let before = tablet.ledger().await;
    tablet.tap("join-apply").await;
    tablet.reads("import-report", "none was lost").await;
    let joined = tablet.ledger().await;
    assert_eq!(joined.len(), before.len() + 4);

    let number = |words: &'static str| {
        let tablet = &tablet;
        async move {
            let found = tablet
                .until_true(
                    &format!("twins say {words}"),
                    "return [1, 2, 3].find((n) =>
                         document.querySelector(`[data-testid=\"twins-${n}\"]`)?.innerText.includes(arguments[0])) ?? null",
                    &[json!(words)],
                )
                .await;
            found.as_u64().unwrap()
        }
    };
    let twice = number("Station 2 twice").await;
    tablet.tap(&format!("twins-renumber-{twice}")).await;
    tablet.kept().await;
    tablet.reads("undo", "undo new number").await;
    // Which station became which number, here and in its history; undone it is not said any more.
    const SAID: &str = "is station 4 now; its readings go with it";
    let said = tablet.reads("twins-renumbered", SAID).await;
    assert!(said.starts_with("Station 2, Place 2 by"), "{said}");
    tablet.tap("undo").await;
    tablet
        .until_true(
            "the new number is not said any more",
            "return document.querySelector('[data-testid=\"twins-renumbered\"]').innerText === ''",
            &[],
        )
        .await;
    tablet.tap("undo").await;
    tablet.reads("twins-renumbered", SAID).await;
    let near = number("Stations 1 and 3").await;
    tablet.tap(&format!("twins-tie-{near}")).await;
    tablet.miss("twins-1").await;
    tablet.kept().await;
    // The new number, undone and done again, and the tie.
    assert_eq!(tablet.ledger().await.len(), joined.len() + 4);
    // Taking the tie back asks again.
    tablet.tap("undo").await;
    tablet.see("twins-1").await;
    tablet.tap("twins-apart-1").await;
    tablet.miss("twins-1").await;
    tablet.kept().await;
    // Both stations are there, each with its reading.
    for (path, line) in [("/station/2", "line-2-1"), ("/station/4", "line-4-1")] {
        tablet.go(&server.at(path)).await;
        tablet.see(line).await;
    }
    tablet.tap("history-open").await;
    let all = steps(&tablet).await;
    assert!(
        all.iter()
            .any(|(text, _)| text.contains("Renumbered") && text.contains("number: was 2, is 4")),
        "{all:?}"
    );
    tablet.is_quiet().await;
}

/// A strike-out stands against a change, and notes and stations are settled like dials; the Traverse leads there too.
#[tokio::test]
async fn a_strike_out_and_a_station_are_settled_from_the_traverse() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    let base = began();
    let mut own = Desk::new("KO", KO, &base);
    own.write("r", None);
    let name = |name: &str| match station(1, 54.1) {
        Some(Body::Station(station)) => Some(Body::Station(Station {
            name: name.to_owned(),
            ..station
        })),
        other => other,
    };
    own.write("s1", name("Slab top"));
    let mut other = Desk::new("MT", MT, &base);
    other.write("r", bedding("s1", 11, "067", "39", ""));
    other.write("s1", name("Upper slab"));
    let files = [
        own.file(&profile, "own.json"),
        other.file(&profile, "other.json"),
    ];
    begin_with(&tablet, &server, &files[0]).await;
    let (outcome, words) = tablet.open_file(&files[1]).await;
    assert_eq!(outcome, "ok", "{words}");
    tablet.place("traverse").await;
    tablet.shows("day-doubts", "data-complete", "true").await;
    tablet.tap("doubt-1").await;
    tablet.reads("settle-title", "Station 1").await;
    tablet.reads("settle-title", "two names").await;
    let of_mt = version_by(&tablet, "MT").await;
    tablet
        .reads(&format!("take-{of_mt}"), "name Upper slab")
        .await;
    tablet.tap(&format!("take-{of_mt}")).await;
    tablet
        .reads("settle-title", "struck out, and changed")
        .await;
    let of_ko = version_by(&tablet, "KO").await;
    tablet.tap(&format!("take-{of_ko}")).await;
    tablet.see("settled").await;
    tablet.kept().await;
    tablet.go(&server.at("/station/1")).await;
    tablet.shows("line-1-11", "data-state", "struck").await;
    let heading = tablet
        .run("return document.querySelector('h1').innerText", &[])
        .await;
    assert_eq!(heading, json!("Upper slab"));
    tablet.tap("history-open").await;
    let all = steps(&tablet).await;
    assert!(
        all.iter().any(|(text, _)| text.contains("Slab top")),
        "{all:?}"
    );
    tablet.is_quiet().await;
}

/// Every page of a join at the three sizes and in the three lights: nothing that axe-core finds, every target large enough.
#[tokio::test]
async fn the_pages_of_a_join_can_be_read_and_reached() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    let mut looker = Looker::new(axe());
    let [ko, mt, qv] = three(&profile);
    let mut clone = Desk::new("ZZ", KO, &began());
    clone.write("s9", station(2, 54.100_01));
    let clone = clone.file(&profile, "clone.json");
    let broken = profile.dir().join("broken.json");
    fs::write(&broken, "{").unwrap();

    tablet.go(&server.at("/")).await;
    tablet.tap("start-was").await;
    tablet.open_files(&[&ko]).await;
    looker.look(&tablet, "start, a book to bring back").await;
    tablet.tap("join-apply").await;
    tablet.see("join-page").await;
    looker.look(&tablet, "join, brought back").await;
    tablet.open_files(&[&mt, &qv, &clone, &broken]).await;
    let lit = |light: &'static str| {
        let tablet = &tablet;
        async move {
            tablet
                .run(
                    "document.documentElement.dataset.look = arguments[0]",
                    &[json!(light)],
                )
                .await;
        }
    };
    for light in ["sun", "overcast", "lamp"] {
        lit(light).await;
        looker
            .look(&tablet, &format!("join, the plan, {light}"))
            .await;
    }
    lit("sun").await;
    tablet.tap("join-apply").await;
    tablet.see("import-report").await;
    looker.look(&tablet, "join, joined").await;
    tablet.place("camp").await;
    looker.look(&tablet, "camp, with what waits").await;
    tablet.go(&server.at("/camp/settle")).await;
    tablet.see("settle-1").await;
    looker.look(&tablet, "what waits to be settled").await;
    tablet.tap("settle-1").await;
    tablet.see("settle").await;
    for light in ["sun", "overcast", "lamp"] {
        lit(light).await;
        looker.look(&tablet, &format!("settle, {light}")).await;
    }
    tablet.tap("settle-history").await;
    tablet.see("history").await;
    for light in ["sun", "overcast", "lamp"] {
        lit(light).await;
        looker.look(&tablet, &format!("history, {light}")).await;
    }
    lit("sun").await;
    tablet.tap("history-leave").await;
    tablet.see("settle-open").await;
    looker.look(&tablet, "outcrop, a contested reading").await;
    tablet.tap("settle-open").await;
    tablet.tap("take-a").await;
    tablet.see("settled").await;
    looker.look(&tablet, "settled").await;
    looker.is_content();
}
