//! The page of a day: one selection for list and map, doubts that lead to their reading, and the day on paper.

use serde_json::{Value, json};

use crate::bench::{Profile, SIZES, Server, Tablet, seat};

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
                     net: seen(sheet.querySelector('svg')),
                     caption: sheet.querySelector('svg').textContent.includes('Equal-area projection, lower hemisphere'),
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
                "plates": 0, "heading": "14 June 2026", "rows": readings, "net": true, "caption": true, "doubts": doubts,
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
