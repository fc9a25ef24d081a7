//! The page of a day: one selection for list and map, doubts that lead to their reading, and the day on paper.

use std::fmt::Write as _;

use serde_json::{Value, json};

use crate::bench::{Profile, SIZES, Server, Tablet, seat};
use crate::bringing;

/// Opens the demo book, whose first day has stations 1 to 7, on that day's page.
async fn first_day<'a>(profile: &'a Profile, server: &Server) -> Tablet<'a> {
    let tablet = Tablet::start(profile).await;
    tablet.size(SIZES[0]).await;
    tablet.go(&server.at("/")).await;
    tablet.tap("start-demo").await;
    // The last day comes first.
    tablet.see("station-row-8").await;
    tablet.reads("day-title", "15 June").await;
    tablet.tap("day-before").await;
    tablet.reads("day-title", "14 June").await;
    tablet.see("station-row-1").await;
    tablet.miss("station-row-8").await;
    tablet.shows("day-doubts", "data-complete", "true").await;
    tablet
}

/// Taps the map where a station's number is drawn.
async fn tap_on_map(tablet: &Tablet<'_>, number: u32) {
    tablet
        .until_true(
            "the station is on the map",
            "const paper = document.querySelector('[data-testid=strip-map]');
             const label = [...paper.querySelectorAll('svg.strip-map > text')].find((t) => t.textContent === arguments[0]);
             if (!label) return false;
             // On a phone the page may have moved under its head.
             paper.scrollIntoView({ block: 'center' });
             const { left, top, width, height } = label.getBoundingClientRect();
             const event = { bubbles: true, clientX: left + width / 2, clientY: top + height / 2 };
             const touched = document.elementFromPoint(event.clientX, event.clientY);
             if (touched !== paper) return false;
             touched.dispatchEvent(new MouseEvent('click', event));
             return true;",
            &[json!(number.to_string())],
        )
        .await;
}

async fn chosen(tablet: &Tablet<'_>) -> Value {
    tablet
        .run(
            "return [...document.querySelectorAll('.station-line[data-chosen=true]')].map((row) => row.dataset.number)",
            &[],
        )
        .await
}

#[tokio::test]
async fn list_and_map_share_one_selection() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = first_day(&profile, &server).await;
    for size in SIZES {
        tablet.size(size).await;
        tablet.tap("station-row-3").await;
        tablet.shows("strip-map", "data-selected", "3").await;
        assert_eq!(chosen(&tablet).await, json!(["3"]), "{size:?}");
        tap_on_map(&tablet, 4).await;
        tablet.shows("day-station-4", "data-chosen", "true").await;
        tablet.shows("strip-map", "data-selected", "4").await;
        assert_eq!(chosen(&tablet).await, json!(["4"]), "{size:?}");
        // With the keyboard alone: the arrow keys go through the list.
        tablet
            .run(
                "document.querySelector('[data-testid=station-row-4]').focus()",
                &[],
            )
            .await;
        tablet.press_key(thirtyfour::Key::Down, false).await;
        tablet.shows("strip-map", "data-selected", "5").await;
        assert_eq!(chosen(&tablet).await, json!(["5"]), "{size:?}");
    }
    tablet.tap("open-station-5").await;
    tablet.reads("station-number", "5").await;
    tablet.is_quiet().await;
}

/// Station 10 of the demo book has no position: the page says so in words, and the list still has it.
#[tokio::test]
async fn a_station_without_a_position_is_named_and_can_be_selected() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = first_day(&profile, &server).await;
    tablet.tap("day-after").await;
    tablet.reads("not-on-map", "10 (foot of the crag)").await;
    tablet.tap("station-row-10").await;
    tablet.shows("day-station-10", "data-chosen", "true").await;
    tablet.is_quiet().await;
}

#[tokio::test]
async fn a_doubt_of_the_day_leads_to_its_reading() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = first_day(&profile, &server).await;
    let doubts = tablet
        .run(
            "return [...document.querySelectorAll('.plate.doubt .num')].map((n) => n.innerText).filter((n) => n.includes('·'))",
            &[],
        )
        .await;
    let numbers: Vec<String> = serde_json::from_value(doubts).unwrap();
    assert!(!numbers.is_empty(), "the demo's first day has a doubt");
    let (station, reading) = numbers[0].split_once('·').unwrap();
    tablet.tap(&format!("doubt-{station}-{reading}")).await;
    tablet.see("key-0").await;
    let at = tablet
        .until_true(
            "the outcrop shows the station of the doubt",
            "return document.querySelector('.st .no')?.innerText ?? null",
            &[],
        )
        .await;
    assert_eq!(at, json!(station));
    tablet.is_quiet().await;
}

/// Shown as it would print: the table with every reading, the net and the doubts; no plate, no place, no head.
#[tokio::test]
async fn a_day_prints_its_table_its_net_and_its_doubts() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = first_day(&profile, &server).await;
    let doubts = tablet
        .run(
            "return document.querySelectorAll('.plate.doubt').length",
            &[],
        )
        .await;
    let readings = tablet
        .run(
            "return [...document.querySelectorAll('.station-line .count')].reduce((sum, c) => sum + parseInt(c.innerText), 0)",
            &[],
        )
        .await;
    for light in ["sun", "lamp"] {
        tablet
            .run(
                "document.documentElement.dataset.look = arguments[0]",
                &[json!(light)],
            )
            .await;
        tablet
            .cdp("Emulation.setEmulatedMedia", json!({ "media": "print" }))
            .await;
        tablet
            .until_true(
                "the sheet is written",
                "return document.querySelector('[data-testid=day-sheet] table') !== null",
                &[],
            )
            .await;
        let seen = tablet
            .run(
                "const seen = (part) => part.checkVisibility();
                 const sheet = document.querySelector('[data-testid=day-sheet]');
                 return {
                     plates: [...document.querySelectorAll('button, nav, header')].filter(seen).length,
                     heading: sheet.querySelector('h1').innerText,
                     rows: [...sheet.querySelectorAll('tbody tr:not(.struck) td.num')].filter(seen).length,
                     map: seen(sheet.querySelector('figure.map svg')),
                     whole: getComputedStyle(sheet.querySelector('tbody')).breakInside,
                     net: seen(sheet.querySelector('figure.net svg')),
                     caption: sheet.querySelector('figure.net svg').textContent.includes('Equal-area projection, lower hemisphere'),
                     doubts: sheet.querySelectorAll('.open-doubts li').length,
                     ink: getComputedStyle(sheet).color,
                     paper: getComputedStyle(sheet).backgroundColor,
                 };",
                &[],
            )
            .await;
        assert_eq!(
            seen,
            json!({
                "plates": 0, "heading": "14 June 2026", "rows": readings, "map": true, "whole": "avoid", "net": true, "caption": true, "doubts": doubts,
                "ink": "rgb(0, 0, 0)", "paper": "rgb(255, 255, 255)",
            }),
            "{light}"
        );
        tablet
            .cdp("Emulation.setEmulatedMedia", json!({ "media": "" }))
            .await;
        tablet.see("station-row-1").await;
    }
    tablet.is_quiet().await;
}

/// A table of fifty stations: a quarry full of them, a road, and a stream bank.
fn crowded() -> String {
    let mut table = "station,latitude,longitude,date,kind,strike,dip,side\n".to_owned();
    for i in 1_u32..=50 {
        let (east, north) = match i {
            1..=20 => (i * 37 % 101 * 3, i * 53 % 97),
            21..=35 => (300 + (i - 20) * 25, 40 + i % 2 * 6),
            _ => (700 + i * 29 % 31 * 4, i * 17 % 37 * 4),
        };
        let latitude = 46.5 + f64::from(north) / 111_200.0;
        let longitude = 8.1 + f64::from(east) / 76_600.0;
        let strike = i * 37 % 90;
        let dip = 10 + i * 7 % 75;
        writeln!(
            table,
            "{i},{latitude:.6},{longitude:.6},2026-06-14,bedding,{strike:03},{dip},S"
        )
        .unwrap();
    }
    table
}

/// The numbers of a map that are drawn over one another, and how many there are.
const NUMBERS: &str = "
    const svg = document.querySelector(arguments[0]);
    if (!svg?.checkVisibility()) return null;
    const texts = [...svg.querySelectorAll(':scope > text')].filter((t) => /^[0-9]+$/.test(t.textContent));
    const boxes = texts.map((t) => {
        const { left, right, top, bottom } = t.getBoundingClientRect();
        // The box of a text is as high as its line; its digits are not.
        const less = (bottom - top) * 0.2;
        return { left, right, top: top + less, bottom: bottom - less, is: t.textContent };
    });
    const met = [];
    boxes.forEach((a, i) => boxes.slice(0, i).forEach((b) => {
        if (a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom) met.push(`${a.is} on ${b.is}`);
    }));
    return { met, stations: texts.filter((t) => !t.classList.contains('tx-dial')).length };";

#[tokio::test]
async fn on_a_crowded_day_every_number_can_be_read_and_a_tap_asks_which() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    bringing::begin(&tablet, &server).await;
    let path = bringing::file(&profile, "crowded.csv", &crowded());
    bringing::open(&tablet, &path).await;
    tablet.tap("north-true").await;
    tablet.tap("bring-take").await;
    tablet.kept().await;
    tablet.place("traverse").await;
    tablet.see("strip-map").await;
    for size in SIZES {
        tablet.size(size).await;
        tablet.tap("station-row-5").await;
        tablet.shows("strip-map", "data-selected", "5").await;
        let seen = tablet
            .until_true(
                "the map is drawn",
                NUMBERS,
                &[json!("[data-testid=strip-map] svg")],
            )
            .await;
        assert_eq!(seen["met"], json!([]), "{size:?}");
        // On a phone the map is cropped to the selection and what is near it.
        assert!(seen["stations"].as_u64().unwrap() >= 3, "{size:?}: {seen}");
        // Between the two whose numbers are nearest to each other.
        let asked = tablet
            .until_true(
                "a tap between two asks",
                "const paper = document.querySelector('[data-testid=strip-map]');
                 paper.scrollIntoView({ block: 'center' });
                 const middles = [...paper.querySelectorAll('svg.strip-map > text:not(.tx-dial)')]
                     .filter((t) => /^[0-9]+$/.test(t.textContent)).map((t) => {
                         const { left, top, width, height } = t.getBoundingClientRect();
                         return [left + width / 2, top + height / 2, t.textContent];
                     });
                 let best = [Infinity];
                 middles.forEach((a, i) => middles.slice(0, i).forEach((b) => {
                     const apart = Math.hypot(a[0] - b[0], a[1] - b[1]);
                     if (apart < best[0]) best = [apart, (a[0] + b[0]) / 2, (a[1] + b[1]) / 2, a[2]];
                 }));
                 const [, x, y, number] = best;
                 if (document.elementFromPoint(x, y) !== paper) return null;
                 paper.dispatchEvent(new MouseEvent('click', { bubbles: true, clientX: x, clientY: y }));
                 return number;",
                &[],
            )
            .await;
        let number = asked.as_str().unwrap();
        tablet.reads("which", "Which station?").await;
        tablet.tap(&format!("which-{number}")).await;
        tablet.shows("strip-map", "data-selected", number).await;
        tablet.miss("which").await;
    }
    tablet
        .cdp("Emulation.setEmulatedMedia", json!({ "media": "print" }))
        .await;
    let printed = tablet
        .until_true(
            "the sheet's map is drawn",
            NUMBERS,
            &[json!("figure.map svg")],
        )
        .await;
    assert_eq!(printed["met"], json!([]));
    let left_out = tablet
        .run(
            "return document.querySelector('figure.map figcaption')?.innerText ?? ''",
            &[],
        )
        .await;
    let left_out = left_out.as_str().unwrap();
    assert!(
        printed["stations"] == json!(50) || left_out.contains("number"),
        "{printed} {left_out}"
    );
    tablet
        .cdp("Emulation.setEmulatedMedia", json!({ "media": "" }))
        .await;
    tablet.is_quiet().await;
}
