//! The net: its marks are where their readings say, a tap reaches a reading, and what it shows goes out as a file.

use std::fs;

use serde_json::{Value, json};

use crate::bench::{Profile, SIZES, Server, Tablet, seat};
use crate::reaching::{axe, faults};

/// A pixel of the net's canvas and where it lies on the page, by the place on the net (east and north, radius 1).
///
/// The frame is found from the drawing itself: the rim is the first circle of the drawing beneath.
const PIXEL: &str = "
    const [east, north] = arguments;
    const ground = document.querySelector('[data-testid=\"net-ground\"]');
    const canvas = ground?.querySelector('canvas');
    const rim = ground?.querySelector('svg circle');
    if (!canvas || !rim || canvas.width < 50) return null;
    const [x, y, r] = ['cx', 'cy', 'r'].map((name) => Number(rim.getAttribute(name)));
    const box = ground.getBoundingClientRect();
    const [left, top] = [x + east * r, y - north * r];
    const scale = canvas.width / box.width;
    const pixel = canvas.getContext('2d').getImageData(Math.round(left * scale - 0.5), Math.round(top * scale - 0.5), 1, 1).data;
    return { cover: pixel[3], left: box.left + left, top: box.top + top };";

/// Where the pole of a plane lies on the equal-area net: √2 sin(dip/2) from the middle, opposite to the dip direction.
pub(crate) fn pole(strike_deg: f64, dip_deg: f64) -> (f64, f64) {
    let rad = |deg: f64| deg / 180.0 * std::f64::consts::PI;
    let far = std::f64::consts::SQRT_2 * rad(dip_deg / 2.0).sin();
    let trend = rad(strike_deg - 90.0);
    (far * trend.sin(), far * trend.cos())
}

async fn pixel(tablet: &Tablet<'_>, place: (f64, f64)) -> Value {
    tablet
        .until_true("the net is drawn", PIXEL, &[json!(place.0), json!(place.1)])
        .await
}

/// Waits until a place of the net is covered by a mark.
pub(crate) async fn covered(tablet: &Tablet<'_>, place: (f64, f64)) {
    let what = format!("a mark covers {place:?}");
    tablet
        .until(&what, || async {
            let found = tablet
                .try_run(PIXEL, &[json!(place.0), json!(place.1)])
                .await?;
            match found["cover"].as_u64() {
                Some(255) => Ok(()),
                _ => Err(found.to_string()),
            }
        })
        .await;
}

/// Taps a place of the net, which is brought into sight first.
pub(crate) async fn tap_net(tablet: &Tablet<'_>, place: (f64, f64)) {
    tablet
        .run(
            "document.querySelector('[data-testid=\"net-ground\"]')?.scrollIntoView({ block: 'nearest' })",
            &[],
        )
        .await;
    let at = pixel(tablet, place).await;
    let (x, y) = (at["left"].as_f64().unwrap(), at["top"].as_f64().unwrap());
    for kind in ["mousePressed", "mouseReleased"] {
        tablet
            .cdp(
                "Input.dispatchMouseEvent",
                json!({ "type": kind, "x": x, "y": y, "button": "left", "clickCount": 1 }),
            )
            .await;
    }
}

/// A book with three beds and a line.
pub(crate) async fn book(tablet: &Tablet<'_>, server: &Server) {
    tablet.begin(server).await;
    for digits in ["04530", "06060"] {
        tablet.tap_bedding(digits).await;
        tablet.kept().await;
    }
    tablet.tap("kind-bedding").await;
    tablet.tap_digits("15045").await;
    tablet.tap_side("SW").await;
    tablet.kept().await;
    tablet.tap("kind-line").await;
    tablet.tap_digits("24012").await;
    tablet.kept().await;
    net(tablet).await;
}

pub(crate) async fn net(tablet: &Tablet<'_>) {
    tablet.place("traverse").await;
    tablet.tap("net-open").await;
    tablet.see("net-ground").await;
}

#[tokio::test]
async fn a_mark_is_where_its_reading_says_and_a_tap_opens_it() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    book(&tablet, &server).await;
    tablet.reads("net-legend-bedding-pole", "3").await;
    tablet.reads("net-legend-line", "1").await;
    for size in SIZES {
        tablet.size(size).await;
        // 045/30 dips to the south-east, its pole lies north-west of the middle.
        covered(&tablet, pole(45.0, 30.0)).await;
        let bare = pixel(&tablet, (0.0, -0.5)).await;
        assert_eq!(bare["cover"], json!(0), "nothing was read there");
    }
    tap_net(&tablet, pole(45.0, 30.0)).await;
    tablet.reads("net-selected", "045/30").await;
    tablet.tap("net-open-reading").await;
    tablet.dial("strike", "045").await;
    tablet.dial("dip", "30").await;
    // The selection is there still when the person comes back, and goes where the net is empty.
    net(&tablet).await;
    tablet.reads("net-selected", "045/30").await;
    tap_net(&tablet, (0.0, -0.5)).await;
    tablet.miss("net-open-reading").await;
    tablet.is_quiet().await;
}

#[tokio::test]
async fn a_lasso_holds_what_lies_between_two_taps() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    book(&tablet, &server).await;
    covered(&tablet, pole(45.0, 30.0)).await;
    tablet.tap("net-lasso").await;
    tap_net(&tablet, (-0.9, 0.0)).await;
    tablet.reads("net-selected", "opposite").await;
    tap_net(&tablet, (0.0, 0.95)).await;
    // 045/30 and 060/60 dip to the south-east; the line and 150/45, to the south-west, lie elsewhere.
    tablet.reads("net-selected", "2 readings").await;
    tablet.shows("net-lasso", "aria-pressed", "false").await;
    tablet.tap("net-as-table").await;
    tablet.shows("net-row-1-1", "aria-pressed", "true").await;
    tablet.shows("net-row-1-2", "aria-pressed", "true").await;
    tablet.shows("net-row-1-3", "aria-pressed", "false").await;
    tablet.shows("net-row-1-4", "aria-pressed", "false").await;
    tablet.tap("net-row-1-4").await;
    tablet.reads("net-selected", "Open 1·4").await;
}

#[tokio::test]
async fn choosing_a_kind_leaves_the_others_out_and_the_caption_says_so() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    book(&tablet, &server).await;
    tablet.tap("net-show").await;
    tablet.tap("net-kind-bedding").await;
    tablet.miss("net-legend-line").await;
    tablet.reads("net-legend-bedding-pole", "3").await;
    tablet.tap("net-upper").await;
    tablet.reads("net-shown", "upper hemisphere").await;
    // On the upper hemisphere the pole lies on the other side of the middle.
    let (east, north) = pole(45.0, 30.0);
    covered(&tablet, (-east, -north)).await;
    tablet.tap("net-svg").await;
    tablet.reads("net-said", "net.svg").await;
    let svg = tablet
        .until("the figure is written", || async {
            let file = profile.downloaded(&["svg"]).pop();
            let text = file.and_then(|file| fs::read_to_string(file).ok());
            text.ok_or_else(|| "there is no whole file".to_owned())
        })
        .await;
    let document = roxmltree::Document::parse(&svg).unwrap();
    let words: Vec<&str> = document
        .descendants()
        .filter(|n| n.has_tag_name("text"))
        .filter_map(|n| n.text())
        .collect();
    let all = words.join(" ");
    assert!(
        all.contains("upper hemisphere; 3 planes as poles, 0 lines"),
        "{all}"
    );
    assert!(all.contains("Chosen: bedding."), "{all}");
    tablet.tap("net-kind-all").await;
    tablet.reads("net-legend-line", "1").await;
    tablet.tap("net-great-circles").await;
    tablet.reads("net-legend-bedding-great-circle", "3").await;
    tablet.tap("net-png").await;
    tablet.reads("net-said", "net.png").await;
    let png = tablet
        .until("the picture is written", || async {
            let file = profile.downloaded(&["png"]).pop();
            let bytes = file.and_then(|file| fs::read(file).ok());
            bytes.ok_or_else(|| "there is no whole file".to_owned())
        })
        .await;
    // The signature and the first chunk, as PNG (Third Edition, W3C 2025), sections 5.2 and 11.2.1, has them.
    assert_eq!(png[..8], [0x89, b'P', b'N', b'G', 13, 10, 26, 10]);
    let wide = u32::from_be_bytes([png[16], png[17], png[18], png[19]]);
    assert_eq!(wide, 1280);
    tablet.is_quiet().await;
}

#[tokio::test]
async fn the_net_can_be_read_and_reached_at_three_sizes() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    let axe = axe();
    tablet.go(&server.at("/")).await;
    tablet.tap("start-demo").await;
    tablet.see("station-row-8").await;
    net(&tablet).await;
    tablet.see("net-lead").await;
    let mut found = Vec::new();
    for part in ["net-show", "net-as-table", "net-reckoned", "net-rose"] {
        tablet.tap(part).await;
        let state = match part {
            "net-rose" => "aria-pressed",
            _ => "aria-expanded",
        };
        tablet.shows(part, state, "true").await;
        for size in SIZES {
            tablet.size(size).await;
            tablet
                .until_true(
                    "the size has arrived",
                    "return innerWidth === arguments[0]",
                    &[json!(size.0)],
                )
                .await;
            for fault in faults(&tablet, &axe).await {
                found.push(format!("{part} at {}×{}: {fault}", size.0, size.1));
            }
        }
    }
    assert_eq!(found, Vec::<String>::new());
    tablet.tap("net-rose").await;
    tablet.see("net-ground").await;
    let words = tablet.attribute("net-ground", "aria-label").await.unwrap();
    assert!(words.contains("fold axis"), "{words}");
    tablet.is_quiet().await;
}

/// Measures and proves nothing: `workbench weigh` runs it.
#[tokio::test]
#[ignore = "measures: `cargo run --bin workbench -- weigh` runs it"]
async fn weigh_the_drawing_of_a_hundred_thousand_poles() {
    let _seat = seat(true).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    tablet.begin(&server).await;
    tablet.go(&server.at("/traverse/net/weigh")).await;
    let words = tablet.reads("net-weighed", "median").await;
    println!("{words}");
}
