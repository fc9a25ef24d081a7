//! The doubt of a set-up: told with its numbers, opened, explained, accepted, undone, kept as read; and shots that scatter.

use serde_json::{Value, json};
use thirtyfour::Key;

use crate::bench::{Profile, SIZES, Server, Tablet, seat};
use crate::reaching::{Looker, axe};

/// An invented fault plane with a line in it: the rake was counted from the other end, 148 for 32.
const TAPS: u32 = 13 + 2;

async fn five_dials(tablet: &Tablet<'_>) {
    tablet.tap("kind-fault---line").await;
    tablet.tap_digits("13258").await;
    tablet.tap_side("NE").await;
    tablet.tap_digits("32726148").await;
    tablet.shows("sentence", "data-doubt", "set-up").await;
}

/// The part that has the focus, by its name.
async fn focus_is_at(tablet: &Tablet<'_>, part: &str) {
    tablet
        .until_true(
            &format!("the focus is at `{part}`"),
            "return document.activeElement?.dataset.testid === arguments[0]",
            &[json!(part)],
        )
        .await;
}

/// The last revision of the reading.
async fn reading(tablet: &Tablet<'_>) -> Value {
    let mut readings = tablet.readings().await;
    readings.pop().unwrap()["body"]["reading"].clone()
}

#[tokio::test]
async fn five_dials_that_cannot_all_be_right_are_explained_accepted_and_undone() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    tablet.begin(&server).await;
    tablet.count_taps();
    five_dials(&tablet).await;
    assert_eq!(tablet.count_taps(), TAPS);
    let head = tablet.kept().await;
    assert!(head.contains("with a doubt"), "{head}");
    tablet.shows("dial-rake", "data-state", "doubt").await;

    tablet.tap("doubt-open").await;
    tablet.reads("doubt-heading", "five dials").await;
    focus_is_at(&tablet, "doubt-heading").await;
    for (dial, value) in [
        ("strike", "132"),
        ("dip", "58 NE"),
        ("trend", "327"),
        ("plunge", "26"),
        ("rake", "148"),
    ] {
        tablet.reads(&format!("doubt-row-{dial}"), value).await;
    }
    tablet.reads("doubt-words", "the dial says 148").await;
    tablet.reads("explain-0", "in 100").await;
    let words = tablet.reads("explain-0", "rake").await;
    assert!(words.contains("148") && words.contains("32"), "{words}");

    tablet.tap("explain-0").await;
    tablet.miss("doubt-page").await;
    tablet.shows("sentence", "data-doubt", "").await;
    tablet.reads("sentence", "Settled").await;
    let words = tablet.reads("sentence", "stay as they were read").await;
    assert!(words.contains("adjusted"), "{words}");
    // The dial is what stood on the instrument.
    tablet.dial("rake", "148").await;
    let head = tablet.kept().await;
    assert!(!head.contains("doubt"), "{head}");
    let kept = reading(&tablet).await;
    assert_eq!(kept["shots"][0]["rake"], "148", "{kept}");
    let accepted = &kept["accepted"][0];
    assert_eq!(accepted["doubt"], "set-up", "{kept}");
    assert_eq!(accepted["sets"], json!([["rake", "032"]]), "{kept}");
    assert_eq!(accepted["by"], "QV", "{kept}");

    assert_eq!(
        tablet.attribute("undo", "aria-label").await.as_deref(),
        Some("Undo accept")
    );
    tablet.tap("undo").await;
    tablet.shows("sentence", "data-doubt", "set-up").await;
    tablet.see("doubt-open").await;
    let head = tablet.kept().await;
    assert!(head.contains("with a doubt"), "{head}");
    let kept = reading(&tablet).await;
    assert_eq!(kept.get("accepted"), None, "{kept}");
    tablet.is_quiet().await;
}

#[tokio::test]
async fn five_dials_may_be_kept_as_read_and_the_doubt_stays_beside_them() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    tablet.begin(&server).await;
    five_dials(&tablet).await;
    tablet.tap("doubt-open").await;
    tablet.tap("doubt-keep").await;
    tablet.miss("doubt-page").await;
    tablet.shows("sentence", "data-doubt", "").await;
    tablet.reads("sentence", "Keep as read").await;
    let kept = reading(&tablet).await;
    assert_eq!(kept["accepted"][0]["sets"], json!([]), "{kept}");
    let head = tablet.kept().await;
    assert!(!head.contains("doubt"), "{head}");
    // Settled, and still to be seen beside the line of the book.
    tablet.tap("next-reading").await;
    tablet.shows("line-1-1", "data-state", "kept").await;
    tablet.see("kept-doubt-1-1").await;
    tablet.is_quiet().await;
}

#[tokio::test]
async fn the_doubt_opens_and_closes_by_keyboard_and_a_dial_brings_the_keypad_back() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    tablet.begin(&server).await;
    five_dials(&tablet).await;
    tablet.run("document.activeElement?.blur()", &[]).await;
    tablet.press("?").await;
    tablet.see("doubt-page").await;
    focus_is_at(&tablet, "doubt-heading").await;
    tablet.press_key(Key::Escape, false).await;
    tablet.miss("doubt-page").await;
    focus_is_at(&tablet, "doubt-open").await;

    tablet.tap("doubt-open").await;
    tablet.tap("doubt-row-rake").await;
    tablet.see("key-0").await;
    tablet.shows("dial-rake", "data-here", "true").await;
    tablet.dial("rake", "148").await;
    tablet.tap_digits("032").await;
    tablet.shows("sentence", "data-doubt", "").await;
    tablet.reads("sentence", "Nothing disagrees").await;
    let words = tablet.reads("sentence", "All five within").await;
    assert!(words.contains("adjusted"), "{words}");
    tablet.kept().await;
    tablet.is_quiet().await;
}

#[tokio::test]
async fn reading_it_again_opens_the_next_shot() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    tablet.begin(&server).await;
    five_dials(&tablet).await;
    tablet.tap("doubt-open").await;
    tablet.tap("doubt-again").await;
    tablet.miss("doubt-page").await;
    tablet.reads("sentence", "Shot 2").await;
    tablet.tap_digits("1325832726032").await;
    tablet.kept().await;
    let kept = reading(&tablet).await;
    assert_eq!(kept["shots"].as_array().map(Vec::len), Some(2), "{kept}");
    assert_eq!(kept["shots"][1]["rake"], "032", "{kept}");
    // The first one is still in doubt, and one tap strikes it out.
    tablet.reads("sentence", "Shot 1").await;
    tablet.tap("offer-strike-1").await;
    tablet.shows("sentence", "data-doubt", "").await;
    let head = tablet.kept().await;
    assert!(!head.contains("doubt"), "{head}");
    let kept = reading(&tablet).await;
    assert_eq!(kept["shots"][0]["struck_out"], true, "{kept}");
}

#[tokio::test]
async fn the_doubt_can_be_read_and_reached_at_three_sizes_in_two_lights() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    tablet.begin(&server).await;
    five_dials(&tablet).await;
    let mut looker = Looker::new(axe());
    looker.look(&tablet, "the sentence as a doubt").await;
    tablet.tap("doubt-open").await;
    tablet.see("doubt-page").await;
    for look in ["sun", "lamp"] {
        tablet
            .run(
                "document.documentElement.dataset.look = arguments[0]",
                &[json!(look)],
            )
            .await;
        looker.look(&tablet, &format!("the doubt, {look}")).await;
        for size in SIZES {
            tablet.size(size).await;
            tablet
                .until_true(
                    "what settles the doubt is on the screen",
                    "const inside = (part) => {
                         const { top, bottom, left, right } = part.getBoundingClientRect();
                         return top >= 0 && bottom <= innerHeight && left >= 0 && right <= innerWidth;
                     };
                     return ['doubt-heading', 'doubt-row-rake', 'explain-0', 'doubt-keep', 'doubt-again']
                         .every((name) => inside(document.querySelector(`[data-testid=\"${name}\"]`)))",
                    &[],
                )
                .await;
        }
    }
    looker.is_content();
    tablet.is_quiet().await;
}

#[tokio::test]
async fn shots_show_how_far_they_lie_and_one_tap_strikes_one_out_at_three_sizes() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    tablet.begin(&server).await;
    for size in SIZES {
        tablet.size(size).await;
        tablet.tap("next-reading").await;
        tablet.tap_bedding("06235").await;
        tablet.tap_digits("0953606336").await;
        tablet.shows("sentence", "data-doubt", "scatter").await;
        tablet.reads("sentence", "Shot 2 lies").await;
        tablet.reads("distance-2", "°").await;
        tablet.tap("offer-strike-2").await;
        tablet.shows("sentence", "data-doubt", "").await;
        let kept = reading(&tablet).await;
        assert_eq!(kept["shots"][1]["struck_out"], true, "{kept}");
        assert_eq!(
            tablet.attribute("undo", "aria-label").await.as_deref(),
            Some("Undo strike out"),
            "at {size:?}"
        );
        // Struck through and still to be read, and one tap puts it back.
        let words = tablet.words("shot-2").await;
        assert!(words.contains("095/36"), "{words}");
        tablet.tap("strike-shot-2").await;
        tablet.shows("sentence", "data-doubt", "scatter").await;
        tablet.tap("offer-strike-2").await;
        tablet.shows("sentence", "data-doubt", "").await;
        tablet.kept().await;
    }
    let mut looker = Looker::new(axe());
    looker.look(&tablet, "shots, one struck out").await;
    looker.is_content();
    tablet.is_quiet().await;
}

/// Touches every shot of the open reading, and sees each whole in its list, under nothing, and what the count says.
async fn touch_every_shot(tablet: &Tablet<'_>, shots: usize) {
    for shot in (1..=shots).chain((1..shots).rev()) {
        tablet
            .run(
                "document.querySelector(`[data-testid=shot-${arguments[0]}]`).click()",
                &[shot.into()],
            )
            .await;
        tablet
            .until_true(
                "the touched shot is seen whole, large enough for a finger",
                "const shot = document.querySelector(`[data-testid=shot-${arguments[0]}]`);
                 const row = shot?.closest('.shot.chosen');
                 if (!row) return false;
                 const { left, top, width, height } = shot.getBoundingClientRect();
                 const list = row.parentElement.getBoundingClientRect();
                 const on = (x, y) => shot.contains(document.elementFromPoint(x, y));
                 return 48 <= width && 48 <= height && list.top - 1 <= top && top + height <= list.bottom + 1
                     && on(left + width / 2, top + 2) && on(left + width / 2, top + height - 3);",
                &[shot.into()],
            )
            .await;
        let count = tablet.words("shot-count").await;
        let said = [format!("{shots} shots"), format!("of {shots}")];
        assert!(
            said.iter().any(|said| count.ends_with(said.as_str())),
            "{count}"
        );
    }
}

/// Six shots of a plane, of a plane with its line, and under a doubt: on every glass a person sees that they are there, how
/// many, and reaches each of them.
#[tokio::test]
async fn every_shot_is_counted_and_can_be_reached_on_every_glass() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    tablet.begin(&server).await;
    tablet.size(SIZES[1]).await;
    tablet.tap_bedding("06235").await;
    tablet.tap_digits("0613606234063350603606135").await;
    tablet.kept().await;
    for size in SIZES {
        tablet.size(size).await;
        touch_every_shot(&tablet, 6).await;
    }
    // One far off: the doubt leaves room for them.
    tablet.tap_digits("12036").await;
    tablet.shows("sentence", "data-doubt", "scatter").await;
    for size in SIZES {
        tablet.size(size).await;
        touch_every_shot(&tablet, 7).await;
    }
    tablet.size(SIZES[1]).await;
    tablet.tap("next-reading").await;
    tablet.tap("kind-fault---line").await;
    tablet.tap_digits("06236").await;
    tablet.tap("side-second").await;
    tablet.tap_digits("09919035").await;
    for shot in [
        "0623510020036",
        "0623610120036",
        "0623510220036",
        "0623610020036",
    ] {
        tablet.tap_digits(shot).await;
    }
    tablet.kept().await;
    for size in SIZES {
        tablet.size(size).await;
        touch_every_shot(&tablet, 5).await;
        // Keys and sentence are all on the glass.
        let hidden = tablet
            .run(
                "return [...document.querySelectorAll('.keypad button, .sentence')].flatMap((part) => {
                     const { top, bottom } = part.getBoundingClientRect();
                     return part.checkVisibility() && (top < 0 || innerHeight + 0.5 < bottom) ? [part.className] : [];
                 })",
                &[],
            )
            .await;
        assert_eq!(hidden, serde_json::json!([]), "{size:?}");
    }
    tablet.is_quiet().await;
}
