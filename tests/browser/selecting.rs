//! One selection and one choice of readings for the net, the list and the doubts, at every size.

use serde_json::{Value, json};

use crate::bench::{Profile, SIZES, Server, Tablet, seat};
use crate::figures::choose;
use crate::net::{pole, tap_net};

/// Where the rings of the selection are on the net, east and north of its middle, radius 1.
const RINGS: &str = "
    const ground = document.querySelector('[data-testid=\"net-ground\"]');
    const rim = ground?.querySelector('svg circle');
    if (!rim) return null;
    const [x, y, r] = ['cx', 'cy', 'r'].map((name) => Number(rim.getAttribute(name)));
    return [...ground.querySelectorAll('circle.net-here')].map((ring) =>
        [(Number(ring.getAttribute('cx')) - x) / r, (y - Number(ring.getAttribute('cy'))) / r]);";

async fn rings(tablet: &Tablet<'_>) -> Vec<(f64, f64)> {
    let found = tablet.until_true("the net is there", RINGS, &[]).await;
    serde_json::from_value(found).unwrap()
}

/// The place of the one ring, once there is one.
async fn one_ring(tablet: &Tablet<'_>) -> (f64, f64) {
    tablet
        .until("one mark is ringed", || async {
            let found = tablet.try_run(RINGS, &[]).await?;
            let found: Vec<(f64, f64)> =
                serde_json::from_value(found.clone()).map_err(|_| found.to_string())?;
            match found[..] {
                [one] => Ok(one),
                _ => Err(format!("{} rings", found.len())),
            }
        })
        .await
}

/// What stands in yellow in the list, by station or by reading, and among the doubts.
async fn here(tablet: &Tablet<'_>) -> Value {
    tablet
        .run(
            "const of = (what, name) => [...document.querySelectorAll(`${what}[data-chosen=true]`)].map(name);
             return {
                 stations: of('.station-line', (row) => row.dataset.number),
                 readings: of('.reading-line', (row) => row.dataset.reading),
                 doubts: of('.plate.doubt', (plate) => plate.dataset.testid),
             };",
            &[],
        )
        .await
}

#[track_caller]
fn near(got: (f64, f64), want: (f64, f64), what: &str) {
    // A plane read to whole degrees lies within three of them, 0.04 of the radius.
    let off = (got.0 - want.0).hypot(got.1 - want.1);
    assert!(off < 0.04, "{what}: {got:?}, not {want:?}");
}

/// The demo book at the page of its first day, with all its doubts found.
async fn first_day<'a>(profile: &'a Profile, server: &Server) -> Tablet<'a> {
    let tablet = Tablet::start(profile).await;
    tablet.size(SIZES[0]).await;
    tablet.go(&server.at("/")).await;
    tablet.tap("start-demo").await;
    tablet.see("station-row-8").await;
    to_first_day(&tablet).await;
    tablet
}

async fn to_first_day(tablet: &Tablet<'_>) {
    tablet.tap("day-before").await;
    tablet.reads("day-title", "14 June").await;
    tablet.shows("day-doubts", "data-complete", "true").await;
}

/// On a phone list and doubts stand in turn.
async fn turn_to_doubts(tablet: &Tablet<'_>, up: bool) {
    if tablet.has("doubts-plate").await {
        let now = tablet.attribute("doubts-plate", "aria-pressed").await;
        if now.as_deref() != Some(if up { "true" } else { "false" }) {
            tablet.tap("doubts-plate").await;
        }
    }
}

#[tokio::test]
async fn a_reading_chosen_on_the_net_or_in_the_list_is_here_on_both_and_among_the_doubts() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = first_day(&profile, &server).await;
    for size in SIZES {
        tablet.size(size).await;
        turn_to_doubts(&tablet, false).await;
        // From the list: a station first, with all that was read there, then one reading of it.
        tablet.tap("station-row-5").await;
        tablet.shows("day-station-5", "data-chosen", "true").await;
        tablet.see("day-reading-5-6").await;
        assert_eq!(here(&tablet).await["readings"], json!([]), "{size:?}");
        assert_eq!(
            rings(&tablet).await.len(),
            7,
            "{size:?}: six planes and a line"
        );
        tablet.tap("reading-row-5-7").await;
        let ring = one_ring(&tablet).await;
        near(ring, pole(1.0, 78.0), "361/78 E");
        assert_eq!(
            here(&tablet).await,
            json!({ "stations": ["5"], "readings": ["5·7"], "doubts": ["doubt-5-7"] }),
            "{size:?}"
        );
        tablet.tap("station-row-1").await;
        tablet.tap("reading-row-1-7").await;
        let other = one_ring(&tablet).await;
        near(other, pole(312.0, 70.0), "132/70 NE");
        assert_eq!(
            here(&tablet).await,
            json!({ "stations": ["1"], "readings": ["1·7"], "doubts": [] }),
            "{size:?}"
        );
        // From the net: the mark of the first again.
        tap_net(&tablet, ring).await;
        tablet.shows("day-reading-5-7", "data-chosen", "true").await;
        tablet.shows("strip-map", "data-selected", "5").await;
        assert_eq!(
            here(&tablet).await,
            json!({ "stations": ["5"], "readings": ["5·7"], "doubts": ["doubt-5-7"] }),
            "{size:?}"
        );
        near(one_ring(&tablet).await, ring, "the ring stays");
        // Where the net is empty, nothing is selected; the station stays.
        tap_net(&tablet, (0.0, -0.55)).await;
        tablet
            .shows("day-reading-5-7", "data-chosen", "false")
            .await;
        assert_eq!(rings(&tablet).await, []);
    }
    // From a doubt: it leads to its reading, and that is what net and list show afterwards.
    tablet.size(SIZES[1]).await;
    tablet.tap("doubt-2-3").await;
    tablet.dial("strike", "151").await;
    tablet.place("traverse").await;
    to_first_day(&tablet).await;
    tablet.shows("day-reading-2-3", "data-chosen", "true").await;
    tablet.shows("doubt-2-3", "data-chosen", "true").await;
    // It dips nowhere that its strike allows: it has no plane yet, and no mark.
    assert_eq!(rings(&tablet).await, []);
    tablet.is_quiet().await;
}

#[tokio::test]
async fn a_mark_of_another_day_leads_to_that_day() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = first_day(&profile, &server).await;
    for size in SIZES {
        tablet.size(size).await;
        turn_to_doubts(&tablet, false).await;
        tablet.tap("station-row-5").await;
        tablet.tap("reading-row-5-7").await;
        let early = one_ring(&tablet).await;
        tablet.tap("day-after").await;
        tablet.reads("day-title", "15 June").await;
        // Turning the page leaves the selection where it is.
        near(one_ring(&tablet).await, early, "it is still ringed");
        tablet.tap("station-row-11").await;
        tablet.tap("reading-row-11-3").await;
        let late = one_ring(&tablet).await;
        near(late, pole(119.0, 8.0), "299/08 SW");
        tap_net(&tablet, early).await;
        tablet.reads("day-title", "14 June").await;
        tablet.shows("day-reading-5-7", "data-chosen", "true").await;
        tablet.shows("strip-map", "data-selected", "5").await;
        tap_net(&tablet, late).await;
        tablet.reads("day-title", "15 June").await;
        tablet
            .shows("day-reading-11-3", "data-chosen", "true")
            .await;
        tablet.tap("day-before").await;
        tablet.reads("day-title", "14 June").await;
    }
    tablet.is_quiet().await;
}

#[tokio::test]
async fn a_lasso_on_the_large_net_is_the_selection_of_the_list() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = first_day(&profile, &server).await;
    for size in SIZES {
        tablet.size(size).await;
        turn_to_doubts(&tablet, false).await;
        tablet.tap("station-row-5").await;
        tablet.tap("reading-row-5-7").await;
        let (east, north) = one_ring(&tablet).await;
        tablet.tap("net-open").await;
        tablet.see("net-ground").await;
        near(
            one_ring(&tablet).await,
            (east, north),
            "the ring on the large net",
        );
        tablet.reads("net-selected", "Open 5·7").await;
        tablet.tap("net-let-go").await;
        tablet.tap("net-lasso").await;
        tap_net(&tablet, (east - 0.04, north - 0.04)).await;
        tablet.reads("net-selected", "opposite").await;
        tap_net(&tablet, (east + 0.04, north + 0.04)).await;
        tablet.reads("net-selected", "Open 5·7").await;
        tablet.tap("net-back").await;
        // The list opens at the day of what the lasso holds.
        tablet.reads("day-title", "14 June").await;
        tablet.shows("day-reading-5-7", "data-chosen", "true").await;
        assert_eq!(here(&tablet).await["readings"], json!(["5·7"]), "{size:?}");
    }
    tablet.is_quiet().await;
}

/// A part of what is chosen, the option, its words on the list, which of the first day's stations stay, and which doubts.
type Narrowing = (
    &'static str,
    &'static str,
    &'static str,
    &'static [u32],
    &'static [&'static str],
);

/// Kind, station, day, person and unit: each narrows the net, the list and the doubts alike, and says so on the list.
#[tokio::test]
async fn what_is_chosen_narrows_net_list_and_doubts_alike() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = first_day(&profile, &server).await;
    let all_doubts = doubts(&tablet).await;
    assert!(all_doubts.len() > 3, "{all_doubts:?}");
    let narrow: [Narrowing; 5] = [
        (
            "net-kind-joint",
            "",
            "Only joint: 5 of 46 readings",
            &[1, 3, 5, 6, 7],
            &["5-7"],
        ),
        (
            "net-station",
            "station 2",
            "Only station 2: 6 of 46 readings",
            &[2],
            &["2-3"],
        ),
        (
            "net-day",
            "15 June 2026",
            "Only 15 June 2026: 0 of 46",
            &[],
            &[],
        ),
        (
            "net-person",
            "M.T.",
            "Only read by M.T.: 20 of 46",
            &[5, 6, 7],
            &["5-7", "7-"],
        ),
        (
            "net-unit",
            "Quernel Grit",
            "Only unit Quernel Grit: 19 of 46",
            &[1, 2, 3],
            &["2-3", "3-"],
        ),
    ];
    for (part, option, words, stations, of) in narrow {
        for size in [SIZES[1], SIZES[2]] {
            tablet.size(size).await;
            turn_to_doubts(&tablet, false).await;
            let before = marks(&tablet).await;
            tablet.tap("net-open").await;
            tablet.tap("net-show").await;
            if option.is_empty() {
                tablet.tap(part).await;
            } else {
                choose(&tablet, part, option).await;
            }
            tablet.reads("net-shown", "only").await;
            tablet.tap("net-back").await;
            tablet.see("day-title").await;
            if tablet.has("day-before").await {
                tablet.tap("day-before").await;
            }
            tablet.reads("day-title", "14 June").await;
            tablet.shows("day-doubts", "data-complete", "true").await;
            tablet.reads("narrowed", words).await;
            let listed = tablet
                .run(
                    "return [...document.querySelectorAll('.station-line')].filter((r) => r.checkVisibility() && r.dataset.chosen === 'false').map((r) => Number(r.dataset.number))",
                    &[],
                )
                .await;
            let listed: Vec<u32> = serde_json::from_value(listed).unwrap();
            let chosen = here(&tablet).await["stations"][0]
                .as_str()
                .and_then(|n| n.parse().ok());
            let want: Vec<u32> = stations
                .iter()
                .copied()
                .filter(|n| Some(*n) != chosen)
                .collect();
            assert_eq!(listed, want, "{part} {size:?}");
            assert!(
                marks(&tablet).await < before,
                "{part}: the net has fewer marks"
            );
            let left = doubts(&tablet).await;
            assert!(left.len() < all_doubts.len(), "{part}: {left:?}");
            for doubt in &left {
                let about = doubt.trim_start_matches("doubt-");
                let of_station = about.split('-').next().unwrap().parse::<u32>().unwrap();
                let stays = stations.contains(&of_station);
                assert!(stays, "{part}: {doubt} of a station that is left out");
            }
            for named in of {
                let stays = left
                    .iter()
                    .any(|d| d.starts_with(&format!("doubt-{named}")));
                assert!(stays, "{part}: {named} is in {left:?}");
            }
            tablet.tap("show-all").await;
            tablet.miss("narrowed").await;
            assert_eq!(doubts(&tablet).await, all_doubts, "{part}");
            assert_eq!(marks(&tablet).await, before, "{part}");
        }
    }
    // The list of all days narrows with them.
    tablet.size(SIZES[1]).await;
    tablet.tap("net-open").await;
    tablet.tap("net-show").await;
    choose(&tablet, "net-station", "station 9").await;
    tablet.place("traverse").await;
    tablet.tap("all-days").await;
    tablet.reads("narrowed", "Only station 9: 7 readings").await;
    tablet.see("line-9-1").await;
    tablet.miss("station-row-8").await;
    tablet.tap("show-all").await;
    tablet.see("station-row-1").await;
    tablet.is_quiet().await;
}

/// The doubts of the day by their plates' names.
async fn doubts(tablet: &Tablet<'_>) -> Vec<String> {
    let found = tablet
        .run(
            "return [...document.querySelectorAll('.plate.doubt')].map((plate) => plate.dataset.testid)",
            &[],
        )
        .await;
    serde_json::from_value(found).unwrap()
}

/// How many marks the net says it has: the numbers in its sentence before what is fitted.
async fn marks(tablet: &Tablet<'_>) -> u32 {
    let words = tablet.attribute("net-ground", "aria-label").await.unwrap();
    let counted = words.split(';').next().unwrap();
    counted
        .split([' ', ':'])
        .filter_map(|word| word.parse::<u32>().ok())
        .sum()
}

/// The shots of the one selected reading lie around its mean on the net itself, and the legend counts them.
#[tokio::test]
async fn the_shots_of_the_selected_reading_lie_around_its_mean() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = first_day(&profile, &server).await;
    tablet.tap("net-open").await;
    tablet.tap("net-as-table").await;
    for size in SIZES {
        tablet.size(size).await;
        tablet.tap("net-row-3-5").await;
        tablet.reads("net-selected", "Open 3·5").await;
        let shots = tablet
            .until_true(
                "three shots are drawn",
                "const found = document.querySelectorAll('[data-testid=net-ground] circle.net-shot');
                 return found.length === 3 ? [...found].map((s) => [Number(s.getAttribute('cx')), Number(s.getAttribute('cy'))]) : null",
                &[],
            )
            .await;
        let frame = tablet
            .run(
                "const rim = document.querySelector('[data-testid=net-ground] svg circle');
                 return ['cx', 'cy', 'r'].map((name) => Number(rim.getAttribute(name)))",
                &[],
            )
            .await;
        let [x, y, r]: [f64; 3] = serde_json::from_value(frame).unwrap();
        let shots: Vec<(f64, f64)> = serde_json::from_value(shots).unwrap();
        for ((sx, sy), (strike, dip)) in
            shots.iter().zip([(61.0, 36.0), (63.0, 35.0), (88.0, 38.0)])
        {
            near(((sx - x) / r, (y - sy) / r), pole(strike, dip), "a shot");
        }
        // On a phone the rest of the legend is one tap away.
        if tablet.has("net-legend-more").await {
            tablet.tap("net-legend-more").await;
        }
        tablet.reads("net-legend-shots-of-3-5", "3").await;
        // Of one shot there is none beside its mean.
        tablet.tap("net-row-3-3").await;
        tablet.reads("net-selected", "Open 3·3").await;
        tablet.miss("net-legend-shots-of-3-5").await;
    }
    tablet.is_quiet().await;
}

/// A wash of the marks is that of the light: the canvas is drawn anew when the light is changed.
#[tokio::test]
async fn the_net_is_drawn_in_the_colours_of_the_light() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = first_day(&profile, &server).await;
    for (light, ink) in [
        ("lamp", [255, 111, 97]),
        ("overcast", [10, 20, 22]),
        ("sun", [11, 21, 24]),
    ] {
        tablet.place("camp").await;
        tablet.tap(&format!("light-{light}")).await;
        tablet.place("traverse").await;
        tablet.tap("net-open").await;
        // A bed: its disc is ink through and through.
        tablet
            .until_true(
                "the mark has the ink of the light",
                "const [east, north, ink] = arguments;
                 const ground = document.querySelector('[data-testid=\"net-ground\"]');
                 const canvas = ground?.querySelector('canvas');
                 const rim = ground?.querySelector('svg circle');
                 if (!canvas || !rim || canvas.width < 50) return null;
                 const [x, y, r] = ['cx', 'cy', 'r'].map((name) => Number(rim.getAttribute(name)));
                 const scale = canvas.width / ground.getBoundingClientRect().width;
                 const at = [(x + east * r) * scale, (y - north * r) * scale].map(Math.round);
                 const pixel = [...canvas.getContext('2d').getImageData(at[0], at[1], 1, 1).data];
                 return pixel[3] === 255 && ink.every((part, i) => Math.abs(part - pixel[i]) <= 2);",
                &[json!(pole(119.0, 8.0).0), json!(pole(119.0, 8.0).1), json!(ink)],
            )
            .await;
        let line = tablet
            .run(
                "return getComputedStyle(document.querySelector('[data-testid=net-ground] svg circle')).stroke",
                &[],
            )
            .await;
        assert_eq!(
            line,
            json!(format!("rgb({}, {}, {})", ink[0], ink[1], ink[2]))
        );
    }
    tablet.is_quiet().await;
}
