//! Entering by tapping and by a hardware keyboard: what it costs, and what it leaves in the book.

use thirtyfour::Key;

use crate::bench::{Profile, Server, Tablet, seat};

#[tokio::test]
async fn a_plane_takes_its_digits_and_two_taps() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    tablet.begin(&server).await;

    tablet.count_taps();
    tablet.tap("kind-bedding").await;
    tablet.shows("dial-strike", "data-here", "true").await;
    tablet.tap_digits("045").await;
    tablet.shows("dial-dip", "data-here", "true").await;
    tablet.tap_digits("30").await;
    tablet.shows("dial-side", "data-here", "true").await;
    tablet.tap_side("SE").await;
    assert_eq!(tablet.count_taps(), 5 + 2);

    for (dial, value) in [("strike", "045"), ("dip", "30"), ("side", "SE")] {
        tablet.dial(dial, value).await;
        tablet
            .shows(&format!("dial-{dial}"), "data-state", "kept")
            .await;
    }
    tablet.kept().await;
    let readings = tablet.readings().await;
    assert_eq!(readings.len(), 1, "{readings:?}");
    let text = readings[0].to_string();
    for part in [
        r#""strike":"045""#,
        r#""dip":"30""#,
        r#""side":"SE""#,
        r#""kind":"bedding""#,
    ] {
        assert!(text.contains(part), "{part} in {text}");
    }
    tablet.is_quiet().await;
}

#[tokio::test]
async fn the_next_plane_of_the_kind_takes_its_digits_and_two_taps() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    tablet.begin(&server).await;
    tablet.tap_bedding("04530").await;
    tablet.kept().await;

    tablet.count_taps();
    tablet.tap("next-reading").await;
    tablet.tap_digits("22018").await;
    tablet.tap_side("NW").await;
    assert_eq!(tablet.count_taps(), 5 + 2);
    tablet.kept().await;
    tablet.see("line-1-1").await;
    assert_eq!(
        tablet.attribute("line-1-1", "data-state").await.as_deref(),
        Some("kept")
    );

    // Three shots of the same plane: the side is carried over.
    tablet.count_taps();
    tablet.tap_digits("2211722119").await;
    assert_eq!(tablet.count_taps(), 10);
    tablet.kept().await;
    let last = tablet.readings().await.pop().unwrap().to_string();
    assert_eq!(last.matches(r#""side":"NW""#).count(), 3, "{last}");
}

#[tokio::test]
async fn a_line_takes_its_digits_and_one_tap() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    tablet.begin(&server).await;

    tablet.count_taps();
    tablet.tap("kind-line").await;
    tablet.tap_digits("24012").await;
    assert_eq!(tablet.count_taps(), 5 + 1);
    tablet.dial("trend", "240").await;
    tablet.dial("plunge", "12").await;
    tablet.shows("dial-plunge", "data-state", "kept").await;
    tablet.kept().await;
    let readings = tablet.readings().await;
    assert_eq!(readings.len(), 1);
    let text = readings[0].to_string();
    assert!(
        text.contains(r#""trend":"240""#) && text.contains(r#""plunge":"12""#),
        "{text}"
    );
}

#[tokio::test]
async fn a_dip_over_90_is_kept_told_and_mended_with_one_tap() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    tablet.begin(&server).await;

    tablet.count_taps();
    tablet.tap_bedding("04595").await;
    assert_eq!(tablet.count_taps(), 5 + 2);
    tablet.shows("sentence", "data-doubt", "out-of-range").await;
    tablet.reads("sentence", "95").await;
    tablet.reads("sentence", "90").await;
    tablet.shows("dial-dip", "data-state", "doubt").await;
    let head = tablet.kept().await;
    assert!(head.contains("with a doubt"), "{head}");
    // The number on the instrument stays as it was read.
    let text = tablet.readings().await.pop().unwrap().to_string();
    assert!(text.contains(r#""dip":"95""#), "{text}");

    tablet.tap("choice-0").await;
    assert_eq!(tablet.count_taps(), 1);
    tablet.shows("sentence", "data-doubt", "").await;
    tablet.kept().await;
    let text = tablet.readings().await.pop().unwrap().to_string();
    assert!(
        text.contains(r#""dip":"95""#),
        "the dial stays as read: {text}"
    );
    assert!(
        text.contains("out-of-range"),
        "what was accepted is with it: {text}"
    );
    tablet.is_quiet().await;
}

#[tokio::test]
async fn a_line_off_its_plane_is_told_with_all_dials_in() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    tablet.begin(&server).await;

    // The line plunges 60 to the north-west; the plane dips 30 to the south-east.
    tablet.count_taps();
    tablet.tap("kind-fault---line").await;
    tablet.tap_digits("04530").await;
    tablet.tap_side("SE").await;
    tablet.tap_digits("31560090").await;
    assert_eq!(tablet.count_taps(), 13 + 2);
    tablet.shows("sentence", "data-doubt", "set-up").await;
    let head = tablet.kept().await;
    assert!(head.contains("with a doubt"), "{head}");
    tablet.see("doubt-open").await;
    assert_eq!(tablet.readings().await.len(), 1);
}

#[tokio::test]
async fn a_zero_left_out_is_filled_in_and_back_takes_digits_off() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    tablet.begin(&server).await;
    tablet.tap("kind-bedding").await;
    tablet.tap_digits("45").await;
    tablet.dial("strike", "045").await;
    tablet.shows("dial-dip", "data-here", "true").await;
    tablet.tap_digits("3").await;
    tablet.dial("dip", "3").await;
    tablet.tap("key-back").await;
    tablet.dial("dip", "").await;
    tablet.tap("key-next").await;
    tablet.tap("key-back").await;
    tablet.tap_digits("7").await;
    tablet.tap("key-next").await;
    tablet.dial("dip", "07").await;
    tablet.tap_side("SE").await;
    tablet.kept().await;
}

#[tokio::test]
async fn a_hardware_keyboard_does_all_of_it() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    tablet.begin(&server).await;
    // The keys go to the page, not to the plate that was tapped last.
    tablet.run("document.activeElement?.blur()", &[]).await;

    tablet.press("04530").await;
    tablet.press("s").await;
    tablet.dial("side", "SE").await;
    tablet.shows("dial-side", "data-state", "kept").await;
    tablet.kept().await;

    tablet.press("+").await;
    tablet.dial("strike", "").await;
    tablet.press("12").await;
    tablet.press_key(Key::Enter, false).await;
    tablet.dial("strike", "012").await;
    tablet.press("40").await;
    tablet.press_key(Key::Backspace, false).await;
    tablet.dial("dip", "4").await;
    tablet.press("5e").await;
    tablet.dial("dip", "45").await;
    tablet.dial("side", "E").await;
    tablet.kept().await;
    tablet
        .until("both readings are in the book", || async {
            let count = tablet.readings().await.len();
            if count == 2 {
                Ok(())
            } else {
                Err(format!("{count}"))
            }
        })
        .await;

    tablet.press_key('z', true).await;
    tablet
        .until("undo has written its entry", || async {
            let text = tablet.ledger().await.into_values().collect::<String>();
            if text.contains(r#""act":"undo""#) {
                Ok(())
            } else {
                Err("no such entry".to_owned())
            }
        })
        .await;
    tablet.is_quiet().await;
}

#[tokio::test]
async fn struck_out_stays_legible_and_undo_lasts_over_a_restart() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    tablet.begin(&server).await;
    tablet.tap_bedding("04530").await;
    tablet.kept().await;
    tablet.tap("words").await;
    tablet.write("strike-why", "misread").await;
    tablet.tap("strike-reading").await;
    tablet.kept().await;
    tablet.go(&server.at("/station/1")).await;
    tablet.shows("line-1-1", "data-state", "struck").await;
    let value = tablet.attribute("line-1-1", "data-value").await.unwrap();
    assert!(value.contains("045") && value.contains("30"), "{value}");
    tablet.close().await;

    let tablet = Tablet::start(&profile).await;
    tablet.go(&server.at("/station/1")).await;
    tablet.shows("line-1-1", "data-state", "struck").await;
    tablet.tap("undo").await;
    tablet.shows("line-1-1", "data-state", "kept").await;
    tablet.kept().await;
    tablet.reload().await;
    tablet.shows("line-1-1", "data-state", "kept").await;
}
