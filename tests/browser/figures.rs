//! The figures of the net: slip, limbs by hand, roses, filters together, files that another reader opens.

use std::fs;

use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg::{Options, Tree};
use serde_json::json;

use crate::bench::{Profile, SIZES, Server, Tablet, seat};
use crate::net::{book, covered, net, pole, tap_net};

/// A file that was handed out, whole.
async fn handed_out(tablet: &Tablet<'_>, profile: &Profile, name: &str) -> String {
    let path = profile.downloads().join(name);
    tablet
        .until(&format!("{name} is written"), || async {
            let text = fs::read_to_string(&path).map_err(|e| e.to_string())?;
            match text.trim_end().ends_with("</svg>") {
                true => Ok(text),
                false => Err("not whole yet".to_owned()),
            }
        })
        .await
}

/// The caption of a figure, from its title.
fn caption(svg: &str) -> String {
    let document = roxmltree::Document::parse(svg).unwrap();
    let title = document.descendants().find(|n| n.has_tag_name("title"));
    title.and_then(|n| n.text()).unwrap().to_owned()
}

/// The figure as a reader that knows nothing of ours draws it.
fn drawn(svg: &str) -> Pixmap {
    let tree = Tree::from_str(svg, &Options::default()).expect("the reader opens it");
    let size = tree.size().to_int_size();
    let mut picture = Pixmap::new(size.width(), size.height()).unwrap();
    resvg::render(&tree, Transform::default(), &mut picture.as_mut());
    picture
}

/// Whether the figure has ink at a place of its net, whose middle is at 320, 310 and whose radius is 260.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a pixel of the sheet
fn has_ink(picture: &Pixmap, (east, north): (f64, f64)) -> bool {
    let (x, y) = (320.0 + 260.0 * east, 310.0 - 260.0 * north);
    let pixel = picture.pixel(x.round() as u32, y.round() as u32).unwrap();
    pixel.red() < 90
}

async fn demo_net(tablet: &Tablet<'_>, server: &Server) {
    tablet.go(&server.at("/")).await;
    tablet.tap("start-demo").await;
    tablet.see("station-row-8").await;
    net(tablet).await;
    tablet.see("net-lead").await;
}

/// Chooses in a list that the browser opens itself.
pub(crate) async fn choose(tablet: &Tablet<'_>, part: &str, words: &str) {
    tablet
        .until_true(
            "it can be chosen",
            "const list = document.querySelector(`[data-testid='${arguments[0]}']`);
             const found = [...(list?.options ?? [])].find((o) => o.text === arguments[1]);
             if (!found) return false;
             list.value = found.value;
             list.dispatchEvent(new Event('change', { bubbles: true }));
             return true;",
            &[json!(part), json!(words)],
        )
        .await;
}

#[tokio::test]
async fn the_file_of_the_net_is_opened_by_another_reader_and_holds_what_the_screen_shows() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    book(&tablet, &server).await;
    covered(&tablet, pole(45.0, 30.0)).await;
    tablet.tap("net-svg").await;
    tablet.reads("net-said", "net.svg").await;
    let svg = handed_out(&tablet, &profile, "net.svg").await;
    let picture = drawn(&svg);
    for (strike, dip) in [(45.0, 30.0), (60.0, 60.0), (150.0, 45.0)] {
        assert!(has_ink(&picture, pole(strike, dip)), "{strike}/{dip}");
    }
    assert!(!has_ink(&picture, (0.0, -0.5)), "nothing was read there");
    let words = caption(&svg);
    for part in [
        "Equal-area projection, lower hemisphere; 3 planes as poles, 1 lines",
        "north",
    ] {
        assert!(words.contains(part), "{part}: {words}");
    }
    // Every row of the legend on the screen stands in the file.
    let rows = tablet
        .run(
            "return [...document.querySelectorAll('[data-testid=net-legend] li')].map((row) => row.children[1].innerText)",
            &[],
        )
        .await;
    let rows: Vec<String> = serde_json::from_value(rows).unwrap();
    assert!(rows.len() >= 2);
    for row in rows {
        assert!(svg.contains(&row), "{row} is not in the file");
    }
    tablet.is_quiet().await;
}

/// Waits until every figure of the net says how it is reckoned.
async fn all_say_how(tablet: &Tablet<'_>, of: &str) {
    tablet
        .until_true(
            &format!("every figure of {of} says how it is reckoned"),
            "const rows = [...document.querySelectorAll('[data-testid=net-figures] li')];
             return rows.length > 0 && rows.every((row) =>
                 row.querySelector('.num').innerText && row.children[2].innerText && row.querySelector('.how')?.innerText.length > 30);",
            &[],
        )
        .await;
}

#[tokio::test]
async fn count_uncertainty_method_and_source_are_at_most_one_tap_from_a_figure() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    tablet.go(&server.at("/")).await;
    tablet.tap("start-demo").await;
    tablet.see("station-row-8").await;
    for size in SIZES {
        tablet.size(size).await;
        tablet.reads("net-lead", "fold axis, 39 poles").await;
        tablet.reads("net-within", "95 in 100").await;
        tablet.tap("net-glance-how").await;
        tablet
            .shows("net-glance-how", "aria-expanded", "true")
            .await;
        let words = tablet.reads("net-glance-method", "Woodcock 1977").await;
        assert!(
            words.ends_with("Readings: all bedding of the book."),
            "{words}"
        );
        tablet
            .until_true(
                "the method is in sight",
                "const { top, bottom } = document.querySelector('[data-testid=net-glance-method]').getBoundingClientRect();
                 return 0 <= top && bottom <= innerHeight + 1;",
                &[],
            )
            .await;
        tablet.tap("net-glance-how").await;
        tablet.miss("net-glance-method").await;
    }
    net(&tablet).await;
    for kind in [
        "bedding",
        "joint",
        "fault---line",
        "intersection-lineation",
        "all",
    ] {
        tablet.tap("net-show").await;
        tablet.tap(&format!("net-kind-{kind}")).await;
        tablet.tap("net-reckoned").await;
        all_say_how(&tablet, kind).await;
    }
    tablet.tap("net-rose").await;
    tablet.reads("net-lead", "mean strike").await;
    all_say_how(&tablet, "the rose").await;
    tablet.is_quiet().await;
}

#[tokio::test]
async fn limbs_by_hand_make_the_fold_and_are_there_after_a_reload() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    book(&tablet, &server).await;
    covered(&tablet, pole(45.0, 30.0)).await;
    tap_net(&tablet, pole(45.0, 30.0)).await;
    tablet.reads("net-selected", "045/30").await;
    tablet.tap("net-limb-1").await;
    tablet.reads("net-hands", "limb 2 none yet").await;
    tap_net(&tablet, pole(150.0, 45.0)).await;
    tablet.reads("net-selected", "150/45").await;
    tablet.tap("net-limb-2").await;
    tablet.reads("net-hands", "Limbs by hand").await;
    // Between the poles of 30 SE and 45 SW, 105° of strike apart: cos = cos 30 cos 45 + sin 30 sin 45 cos 105 (spherical
    // law of cosines), 58.6°; the interlimb angle is the rest of 180°.
    tablet.reads("net-figures", "121°, gentle").await;
    tablet.reads("net-figures", "59° the other way").await;
    tablet.see("net-legend").await;
    tablet.reads("net-legend", "limbs 1 and 2").await;
    tablet.reload().await;
    net(&tablet).await;
    tablet.reads("net-hands", "Limbs by hand").await;
    tablet.reads("net-figures", "121°, gentle").await;
    tablet.tap("net-show").await;
    tablet.tap("net-limbs").await;
    tablet.tap("net-svg").await;
    let svg = handed_out(&tablet, &profile, "net.svg").await;
    assert!(
        caption(&svg).contains("Limbs chosen by hand"),
        "{}",
        caption(&svg)
    );
    tablet.tap("net-find-limbs").await;
    tablet.miss("net-find-limbs").await;
    tablet.is_quiet().await;
}

#[tokio::test]
async fn a_rose_stands_in_the_nets_place_and_goes_out_as_a_file() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    book(&tablet, &server).await;
    tablet.tap("net-rose").await;
    tablet.see("net-rose-ground").await;
    tablet.miss("net-ground").await;
    tablet.reads("net-shown", "strikes of bedding, axial").await;
    tablet.reads("net-legend-strikes", "3").await;
    let words = tablet
        .attribute("net-rose-ground", "aria-label")
        .await
        .unwrap();
    assert!(words.contains("areas as their counts"), "{words}");
    tablet.tap("net-svg").await;
    tablet.reads("net-said", "rose.svg").await;
    let svg = handed_out(&tablet, &profile, "rose.svg").await;
    assert!(caption(&svg).contains("Rose of 3 bedding strikes, axial"));
    // The petal of 045, counted at both its ends, is filled.
    let picture = drawn(&svg);
    // Half way out along 045 and 225 from the middle at 320, 310, in a rose of radius 260.
    for (x, y) in [(411, 219), (229, 401)] {
        let pixel = picture.pixel(x, y);
        assert!(pixel.is_some_and(|p| p.red() < 200), "{x} {y}");
    }
    tablet.tap("net-rose").await;
    tablet.see("net-ground").await;
    tablet.is_quiet().await;
}

#[tokio::test]
async fn a_fault_keeps_its_sense_of_slip_and_the_net_draws_it() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    tablet.begin(&server).await;
    // A line 35° down the plane from its right-hand end: trend 120 + atan(tan 35 cos 65), plunge asin(sin 35 sin 65).
    tablet.tap("kind-fault---line").await;
    tablet.tap_digits("12065").await;
    tablet.tap_side("SW").await;
    tablet.tap_digits("13631035").await;
    tablet.kept().await;
    tablet.tap("words").await;
    tablet.tap("sense-normal").await;
    tablet.shows("sense-normal", "aria-pressed", "true").await;
    tablet.tap("words-done").await;
    tablet.kept().await;
    tablet.reload().await;
    net(&tablet).await;
    tablet.reads("net-legend", "slip of the hanging wall").await;
    tablet.reads("net-figures", "shortening").await;
    tap_net(&tablet, pole(120.0, 65.0)).await;
    tablet.reads("net-selected", "slip").await;
    tablet.tap("net-svg").await;
    let svg = handed_out(&tablet, &profile, "net.svg").await;
    assert!(caption(&svg).contains("Slip of the hanging wall of 1 fault:"));
    tablet.is_quiet().await;
}

#[tokio::test]
async fn filters_work_together_and_each_is_named_in_the_caption() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    demo_net(&tablet, &server).await;
    let count = |words: String| -> usize {
        let digits: String = words.chars().take_while(char::is_ascii_digit).collect();
        digits.parse().unwrap()
    };
    tablet.tap("net-as-table").await;
    let all = count(tablet.reads("net-table", "readings on the net").await);
    tablet.tap("net-show").await;
    tablet.tap("net-kind-bedding").await;
    choose(&tablet, "net-day", "15 June 2026").await;
    choose(&tablet, "net-station", "station 9").await;
    for part in ["net-person", "net-unit"] {
        tablet.see(part).await;
    }
    tablet.tap("net-svg").await;
    let svg = handed_out(&tablet, &profile, "net.svg").await;
    let words = caption(&svg);
    assert!(
        words.contains("Chosen: bedding, station 9, 15 June 2026."),
        "{words}"
    );
    tablet.tap("net-as-table").await;
    let few = count(tablet.reads("net-table", "readings on the net").await);
    assert!(0 < few && few < all, "{few} of {all}");
    let stations = tablet
        .run(
            "return [...document.querySelectorAll('[data-testid=net-table] tbody tr')].map((r) => r.children[3].innerText + r.children[1].innerText)",
            &[],
        )
        .await;
    let stations: Vec<String> = serde_json::from_value(stations).unwrap();
    assert!(stations.iter().all(|s| s == "9bedding"), "{stations:?}");
    tablet.is_quiet().await;
}
