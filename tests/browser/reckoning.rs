//! Reckoning by taps in the demo book: the figures are those of `camp reckon` on the same values.

use std::process::Command;

use hingeline::exchange::book;
use hingeline::geodesy::sighting::between;
use hingeline::notebook::{Ledger, Pages, Position};
use serde_json::Value;

use crate::bench::{Profile, SIZES, Server, Tablet, seat};
use crate::reaching::{Looker, axe};

/// What `camp reckon` says.
fn camp(args: &[&str]) -> Value {
    let out = Command::new(env!("CARGO_BIN_EXE_camp"))
        .arg("reckon")
        .args(args)
        .args(["--format", "json"])
        .output()
        .expect("the command starts");
    assert!(
        out.status.success(),
        "{args:?}: {}",
        String::from_utf8_lossy(&out.stderr)
    );
    serde_json::from_slice(&out.stdout).expect("one object")
}

/// A plane of an answer as the command takes it: right-hand strike and dip.
fn plane(answer: &Value) -> String {
    let plane = &answer["plane"];
    format!(
        "{:.9}/{:.9}",
        plane["strike"].as_f64().unwrap(),
        plane["dip"].as_f64().unwrap()
    )
}

fn line(answer: &Value) -> [f64; 2] {
    ["trend", "plunge"].map(|name| answer["line"][name].as_f64().unwrap())
}

/// The place of a station of the demo book.
fn place(number: u32) -> Position {
    let text =
        std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/public/demo.json")).unwrap();
    let mut ledger = Ledger::new();
    for entry in book::read(&text).unwrap().entries {
        ledger.insert(entry);
    }
    let pages = Pages::of(&ledger);
    let found = pages
        .stations()
        .iter()
        .find(|p| p.line().number() == number);
    found
        .unwrap()
        .line()
        .station()
        .unwrap()
        .position
        .clone()
        .unwrap()
}

/// From one station to another, metres north, east and up.
fn way(from: u32, to: u32) -> [f64; 3] {
    let (a, b) = (place(from), place(to));
    let way = between([a.latitude, a.longitude], [b.latitude, b.longitude]).unwrap();
    let (sin, cos) = way.there.unwrap().azimuth().rad().sin_cos();
    [
        way.level_m * cos,
        way.level_m * sin,
        b.height_m.unwrap() - a.height_m.unwrap(),
    ]
}

/// Opens the demo book on the page that reckons.
async fn desk<'a>(profile: &'a Profile, server: &Server) -> Tablet<'a> {
    let tablet = Tablet::start(profile).await;
    tablet.go(&server.at("/")).await;
    tablet.tap("start-demo").await;
    tablet.see("station-row-8").await;
    tablet.tap("reckon-open").await;
    tablet.see("reckon-page").await;
    tablet
}

/// Asks for something, and waits until the page does.
async fn ask(tablet: &Tablet<'_>, what: &str) {
    let plate = format!("reckon-{what}");
    tablet.tap(&plate).await;
    tablet.shows(&plate, "aria-pressed", "true").await;
}

/// Taps a line of the list, which may have to be brought into sight first.
async fn choose(tablet: &Tablet<'_>, slot: usize, part: &str) {
    let plate = format!("reckon-slot-{slot}");
    tablet.tap(&plate).await;
    tablet.shows(&plate, "aria-pressed", "true").await;
    let part = format!("reckon-{part}");
    let script = "
        const part = document.querySelector(`[data-testid=\"${arguments[0]}\"]`);
        if (part) { part.scrollIntoView({ block: 'center' }); return true; }
        const list = document.querySelector('.choices .list');
        if (!list) return false;
        list.scrollTop = list.scrollTop + 180 < list.scrollHeight - list.clientHeight + 180 ? list.scrollTop + 180 : 0;
        return false;";
    tablet
        .until_true(
            &format!("`{part}` is in the list"),
            script,
            &[part.clone().into()],
        )
        .await;
    tablet.tap(&part).await;
}

/// The numbers of the first result, unrounded.
async fn exact(tablet: &Tablet<'_>) -> Vec<f64> {
    tablet.see("reckon-value-0").await;
    let text = tablet
        .attribute("reckon-value-0", "data-exact")
        .await
        .unwrap();
    text.split(' ').map(|n| n.parse().unwrap()).collect()
}

#[track_caller]
fn agree(got: &[f64], want: &[f64], what: &str) {
    let near = |(a, b): (&f64, &f64)| (a - b).abs() < 2e-3;
    assert!(
        got.len() == want.len() && got.iter().zip(want).all(near),
        "{what}: {got:?}, camp says {want:?}"
    );
}

#[tokio::test]
async fn an_apparent_dip_is_that_of_the_command_and_its_reading_opens() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = desk(&profile, &server).await;
    ask(&tablet, "apparent-dip").await;
    tablet.reads("reckon-lacks", "type its azimuth").await;
    // Three digits, and the next tap goes to the plane.
    for digit in ["1", "2", "3"] {
        tablet.tap(&format!("reckon-key-{digit}")).await;
    }
    tablet.shows("reckon-slot-1", "aria-pressed", "true").await;
    tablet.miss("reckon-numbers").await;
    choose(&tablet, 1, "line-1-1").await;
    tablet.reads("reckon-used", "070/35 S").await;
    let want = camp(&["apparent-dip", "070/35S", "--toward", "123"]);
    agree(
        &exact(&tablet).await,
        &[want["angle"].as_f64().unwrap()],
        "apparent dip",
    );
    tablet.reads("reckon-sure-0", "95 in 100").await;
    tablet.reads("reckon-cautions", "licensed engineer").await;
    tablet.tap("reckon-how").await;
    tablet.reads("reckon-method", "5.1.2").await;
    // A second plane makes a mean; tapped again it is let go.
    choose(&tablet, 1, "line-1-2").await;
    tablet.reads("reckon-used", "mean of 2").await;
    choose(&tablet, 1, "line-1-2").await;
    tablet.until_true("one plane is left", "return !document.querySelector('[data-testid=reckon-used]').innerText.includes('mean')", &[]).await;
    // The line it came from opens, and what was asked is there when the person comes back.
    tablet.tap("reckon-used-1-1").await;
    tablet.dial("strike", "070").await;
    tablet.place("traverse").await;
    tablet.tap("reckon-open").await;
    tablet.reads("reckon-slot-0", "123").await;
    agree(
        &exact(&tablet).await,
        &[want["angle"].as_f64().unwrap()],
        "after coming back",
    );
    tablet.is_quiet().await;
}

#[tokio::test]
async fn three_stations_and_a_thickness_are_those_of_the_command() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = desk(&profile, &server).await;
    ask(&tablet, "three-points").await;
    for (slot, number) in [(0, 1), (1, 2), (2, 5)] {
        choose(&tablet, slot, &format!("station-{number}")).await;
    }
    let text = |[n, e, z]: [f64; 3]| format!("{n:.6},{e:.6},{z:.6}");
    let want = camp(&["three-point", "0,0,0", &text(way(1, 2)), &text(way(1, 5))]);
    let want = ["strike", "dip"].map(|name| want["plane"][name].as_f64().unwrap());
    agree(&exact(&tablet).await, &want, "three points");
    tablet
        .reads("reckon-used", "place ±6.0 m, height ±9.0 m")
        .await;
    // A typed ± of the heights takes the place of the assumed one.
    tablet.tap("reckon-heights").await;
    tablet.tap("reckon-key-2").await;
    tablet.reads("reckon-used", "height ±2.0 m").await;
    // A station without a position says so, and its page is one tap away.
    choose(&tablet, 2, "station-10").await;
    tablet
        .reads("reckon-lacks", "station 10 has no position")
        .await;
    tablet.tap("reckon-mend-10").await;
    tablet.see("fact-position").await;
    tablet.place("traverse").await;
    tablet.tap("reckon-open").await;
    // The stations stay for the thickness between them.
    ask(&tablet, "thickness").await;
    tablet.reads("reckon-slot-0", "1 beck").await;
    tablet.reads("reckon-slot-1", "2 stile").await;
    choose(&tablet, 2, "line-1-1").await;
    let [n, e, z] = way(1, 2);
    let deg = 180.0 / std::f64::consts::PI;
    let level = n.hypot(e);
    let traverse = format!(
        "{:.9}→{:.9}",
        -z.atan2(level) * deg,
        (e.atan2(n) * deg).rem_euclid(360.0)
    );
    let length = format!("{:.9}", level.hypot(z));
    let want = camp(&[
        "thickness",
        "070/35S",
        "--traverse",
        &traverse,
        "--length",
        &length,
    ]);
    agree(
        &exact(&tablet).await,
        &[want["thickness"].as_f64().unwrap()],
        "thickness",
    );
    tablet.reads("reckon-steps", "cos").await;
    tablet.reads("reckon-cautions", "reconnaissance").await;
    tablet.is_quiet().await;
}

#[tokio::test]
async fn two_tilts_are_taken_off_as_by_the_command() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = desk(&profile, &server).await;
    ask(&tablet, "two-tilts").await;
    choose(&tablet, 0, "line-1-6").await;
    choose(&tablet, 1, "line-1-1").await;
    choose(&tablet, 2, "line-8-1").await;
    // 1·6 is 12→219, 1·1 is 070/35S and upright, 8·1 is 034/43NW and upright.
    let first = camp(&["restore", "12→219", "--bedding", "070/35S"]);
    let [trend, plunge] = line(&first);
    let older = camp(&["restore", "034/43NW", "--bedding", "070/35S"]);
    let want = camp(&[
        "restore",
        &format!("{plunge:.9}→{trend:.9}"),
        "--bedding",
        &plane(&older),
    ]);
    agree(&exact(&tablet).await, &line(&want), "two tilts");
    tablet
        .reads("reckon-steps", "With it the older bed turns")
        .await;
    tablet.reads("reckon-sure-0", "trend ±").await;
    tablet.is_quiet().await;
}

#[tokio::test]
async fn what_is_selected_on_the_net_is_chosen() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = desk(&profile, &server).await;
    tablet.place("traverse").await;
    tablet.tap("net-open").await;
    tablet.tap("net-as-table").await;
    tablet.tap("net-row-1-1").await;
    tablet.tap("reckon-open").await;
    ask(&tablet, "intersection").await;
    tablet.reads("reckon-slot-0", "1·1").await;
    choose(&tablet, 1, "line-2-5").await;
    let want = camp(&["intersection", "070/35S", "223/70SE"]);
    agree(&exact(&tablet).await, &line(&want), "intersection");
    // What was chosen here is selected there.
    tablet.place("traverse").await;
    tablet.tap("net-open").await;
    tablet.reads("net-selected", "2 readings").await;
}

#[tokio::test]
async fn reckoning_can_be_read_and_reached_at_three_sizes() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = desk(&profile, &server).await;
    let mut looker = Looker::new(axe());
    ask(&tablet, "apparent-dip").await;
    looker.look(&tablet, "reckoning, nothing chosen").await;
    ask(&tablet, "thickness").await;
    tablet.size(SIZES[0]).await;
    for (slot, part) in [(0, "station-1"), (1, "station-2"), (2, "line-1-1")] {
        choose(&tablet, slot, part).await;
    }
    tablet.tap("reckon-how").await;
    tablet.see("reckon-method").await;
    looker.look(&tablet, "reckoning, a thickness").await;
    tablet.tap("reckon-places").await;
    tablet.see("reckon-numbers").await;
    looker.look(&tablet, "reckoning, a number").await;
    ask(&tablet, "intersection").await;
    choose(&tablet, 1, "line-1-5").await;
    looker.look(&tablet, "reckoning, a net").await;
    ask(&tablet, "three-points").await;
    choose(&tablet, 2, "station-5").await;
    looker.look(&tablet, "reckoning, a map").await;
    looker.is_content();
}
