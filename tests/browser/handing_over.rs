//! The hand-over page: what it says goes over, the file has; what the file has, the native library would have written.

use std::{fs, path::PathBuf};

use hingeline::exchange::book;
use hingeline::exchange::hand_over::{
    self, Format, HandOver, Made, Wanted, csv, geojson, gpx, kml,
};
use hingeline::notebook::{Body, Ledger, Pages};
use serde_json::{Value, json};

use crate::bench::{Profile, Server, Tablet, seat};
use crate::joining::{Desk, KO, bedding, began, begin_with};
use crate::reaching::{Looker, axe};

/// The demo book as the app has it.
fn demo() -> Pages {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/public/demo.json");
    let file = book::read_bytes(&fs::read(path).unwrap()).unwrap();
    let mut ledger = Ledger::new();
    ledger.join(file.entries);
    Pages::of(&ledger)
}

/// The page, with the demo book open.
async fn open(tablet: &Tablet<'_>, server: &Server) {
    tablet.go(&server.at("/")).await;
    tablet.tap("start-demo").await;
    tablet.see("station-row-8").await;
    tablet.place("camp").await;
    tablet.tap("hand-over").await;
    tablet.see("hand-over-make").await;
    // However far Camp was scrolled, the page begins at its top.
    tablet
        .until_true(
            "the page begins at its top",
            "return document.querySelector('main').scrollTop === 0",
            &[],
        )
        .await;
}

/// Makes the file, and gives it once it is whole.
async fn make(tablet: &Tablet<'_>, profile: &Profile, ending: &str) -> PathBuf {
    let files = || profile.downloaded(&[ending]);
    let before = files();
    tablet.tap("hand-over-make").await;
    tablet
        .until("the hand-over is a file", || async {
            let new = files().into_iter().find(|file| !before.contains(file));
            new.ok_or_else(|| "there is no new file".to_owned())
        })
        .await
}

fn features(text: &str) -> Vec<Value> {
    let json: Value = serde_json::from_str(text).unwrap();
    json["features"].as_array().unwrap().clone()
}

/// What stands after the part that says when it was made.
fn after<'t>(text: &'t str, mark: &str) -> &'t str {
    text.split_once(mark).expect(mark).1
}

#[tokio::test]
async fn every_format_is_the_file_that_the_native_library_writes() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    let pages = demo();
    let over = HandOver::of(&pages, &Wanted::default(), Made::default());
    open(&tablet, &server).await;
    for (format, ending) in [
        (Format::GeoJson, "geojson"),
        (Format::Kml, "kml"),
        (Format::Gpx, "gpx"),
        (Format::Csv, "zip"),
    ] {
        tablet.tap(&format!("format-{}", format.name())).await;
        let holds = format.holds(&over.account).words();
        tablet.reads("hand-over-count", &holds).await;
        let file = make(&tablet, &profile, ending).await;
        tablet.reads("hand-over-report", &holds).await;
        let bytes = fs::read(&file).unwrap();
        let text = String::from_utf8_lossy(&bytes);
        match format {
            Format::GeoJson => assert_eq!(features(&text), features(&geojson::write(&over))),
            Format::Kml => assert_eq!(text, kml::write(&over)),
            Format::Gpx => {
                let end = "</metadata>";
                assert_eq!(after(&text, end), after(&gpx::write(&over), end));
            }
            Format::Csv => {
                assert!(bytes.starts_with(b"PK"));
                for sheet in over.sheets() {
                    // Stored as it is, so that it stands in the archive word for word.
                    assert!(text.contains(&*csv::write(sheet)), "{}", sheet.name());
                    assert!(text.contains(&format!("{}.csv", sheet.name())));
                }
                assert!(text.contains("data-dictionary.csv"));
            }
        }
    }
    tablet.is_quiet().await;
}

#[tokio::test]
async fn what_is_chosen_goes_over_and_the_rest_is_counted() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    let pages = demo();
    open(&tablet, &server).await;
    let day = pages.days().last().unwrap().date.clone();
    let (kind, _) = hand_over::kinds(&pages).remove(0);
    let mut wanted = Wanted::default();
    tablet.tap("which-days").await;
    tablet.tap(&format!("day-{day}")).await;
    wanted.days.insert(day);
    tablet
        .tap(&format!("kind-{}", kind.replace([' ', '+'], "-")))
        .await;
    wanted.kinds.insert(kind);
    tablet.tap("struck-out-yes").await;
    wanted.struck_out = true;
    tablet.tap("north-true").await;
    wanted.true_north = true;
    let over = HandOver::of(&pages, &wanted, Made::default());
    let holds = Format::GeoJson.holds(&over.account).words();
    assert_ne!(holds, "nothing");
    tablet.reads("hand-over-count", &holds).await;
    tablet
        .reads("hand-over-account", "left out, not chosen")
        .await;
    let file = make(&tablet, &profile, "geojson").await;
    let text = fs::read_to_string(file).unwrap();
    assert_eq!(features(&text), features(&geojson::write(&over)));

    // Stations that the book does not have: nothing goes over, and no file can be made.
    tablet.tap("which-stations").await;
    for digit in ["9", "9", "9"] {
        tablet.tap(&format!("over-key-{digit}")).await;
    }
    tablet.reads("hand-over-count", "nothing").await;
    tablet
        .until_true(
            "no file can be made",
            "return document.querySelector('[data-testid=hand-over-make]').disabled",
            &[],
        )
        .await;
    for _ in 0..3 {
        tablet.tap("over-back").await;
    }
    tablet
        .until_true(
            "something goes over again",
            "return !document.querySelector('[data-testid=hand-over-make]').disabled",
            &[],
        )
        .await;
    tablet.is_quiet().await;
}

/// What goes over without a value is counted and listed as the native command names it, and opens at a touch.
#[tokio::test]
async fn readings_without_a_value_are_listed_and_open() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    let mut desk = Desk::new("KO", KO, &began());
    let lacking = |number, strike: &str, dip: &str| match bedding("s1", number, strike, dip, "") {
        Some(Body::Reading(mut reading)) => {
            reading.shots[0].dip = (!dip.is_empty()).then(|| dip.to_owned());
            Some(Body::Reading(reading))
        }
        other => other,
    };
    for number in 12..=28 {
        desk.write(&format!("l{number}"), lacking(number, "067", ""));
    }
    let pages = Pages::of(&desk.ledger);
    let over = HandOver::of(&pages, &Wanted::default(), Made::default());
    assert_eq!(over.without_value.len(), 17);
    begin_with(&tablet, &server, &desk.file(&profile, "lacking.json")).await;
    tablet.tap("hand-over").await;
    tablet
        .reads(
            "hand-over-without-count",
            "17 readings give no plane, line or angle",
        )
        .await;
    let mut looker = Looker::new(axe());
    looker.look(&tablet, "hand over, without a value").await;
    tablet.tap("hand-over-more").await;
    tablet.see("line-1-28").await;
    let listed = tablet
        .run(
            "return [...document.querySelectorAll('[data-testid=\"hand-over-without\"] .no')].map((no) => no.innerText.replace('\u{b7}', '.'))",
            &[],
        )
        .await;
    assert_eq!(listed, json!(over.without_value));
    // A format of places alone has none; nor has what is not chosen.
    tablet.tap("format-gpx").await;
    tablet.miss("hand-over-without").await;
    tablet.tap("format-csv").await;
    tablet.see("hand-over-without").await;
    tablet.tap("line-1-14").await;
    tablet.dial("strike", "067").await;
    tablet.tap("dial-dip").await;
    tablet.tap_digits("30").await;
    tablet.dial("dip", "30").await;
    tablet.kept().await;
    tablet.place("camp").await;
    tablet.tap("hand-over").await;
    tablet
        .reads(
            "hand-over-without-count",
            "16 readings give no plane, line or angle",
        )
        .await;
    looker.is_content();
    tablet.is_quiet().await;
}
