//! Sightings, cards of quadrants, how the instrument stood, and the planes of an angle: entered by tapping, and what they
//! leave in the book.

use serde_json::{Value, json};

use crate::bench::{Profile, Server, Tablet, seat};

/// The last content of each record of a kind, in the order in which this tablet began them.
async fn records(tablet: &Tablet<'_>, kind: &str) -> Vec<Value> {
    let mut entries: Vec<Value> = tablet
        .ledger()
        .await
        .values()
        .map(|text| serde_json::from_str(text).unwrap())
        .collect();
    entries.sort_by_key(|entry| entry["stamp"]["counter"].as_u64());
    let mut found: Vec<(String, Value)> = Vec::new();
    for entry in entries {
        let content = &entry["body"][kind];
        if content.is_null() {
            continue;
        }
        let record = entry["record"].as_str().unwrap().to_owned();
        match found.iter_mut().find(|(known, _)| *known == record) {
            Some((_, last)) => *last = content.clone(),
            None => found.push((record, content.clone())),
        }
    }
    found.into_iter().map(|(_, content)| content).collect()
}

/// Types a position on the station's page.
async fn place(tablet: &Tablet<'_>, latitude: &str, longitude: &str) {
    tablet.tap("fact-position").await;
    for (field, text) in [("typed-latitude", latitude), ("typed-longitude", longitude)] {
        tablet.tap(field).await;
        for c in text.chars() {
            tablet.tap(&format!("place-key-{c}")).await;
        }
    }
    tablet.tap("place-keep").await;
    tablet.miss("position-editor").await;
}

/// Begins a book whose readings count from true north, at its first station, which has a position.
async fn begin_with_north(tablet: &Tablet<'_>, server: &Server) {
    tablet.begin(server).await;
    tablet.place("camp").await;
    tablet.tap("set-up-change").await;
    tablet.tap("set-up-declination").await;
    tablet.tap("north-true").await;
    tablet.tap("declination-keep").await;
    tablet.kept().await;
    tablet.go(&server.at("/station/1")).await;
    place(tablet, "47.5", "9.25").await;
    tablet.kept().await;
}

#[tokio::test]
async fn a_sighting_is_tapped_in_and_a_station_is_started_from_it() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    begin_with_north(&tablet, &server).await;

    tablet.count_taps();
    tablet.tap("new-sighting").await;
    tablet.shows("figure-bearing", "data-here", "true").await;
    tablet.tap_digits("090").await;
    assert_eq!(tablet.count_taps(), 3 + 1, "a bearing: its digits and one");
    tablet.shows("figure-bearing", "data-state", "kept").await;
    tablet.tap("side-first").await;
    tablet.tap_digits("30").await;
    assert_eq!(
        tablet.count_taps(),
        2 + 1,
        "a vertical angle: its digits and its side"
    );
    tablet.tap_digits("200").await;
    tablet.tap("key-next").await;
    tablet.tap("by-ranged").await;
    tablet.shows("figure-distance", "data-state", "kept").await;
    tablet.reads("sentence", "173").await;
    tablet.kept().await;
    let sightings = records(&tablet, "sighting").await;
    assert_eq!(sightings.len(), 1, "{sightings:?}");
    for (field, value) in [
        ("bearing", json!("090")),
        ("vertical", json!("30")),
        ("up", json!(true)),
        ("slope_m", json!("200")),
        ("distance_sd_m", json!("1.0")),
        ("north", json!("true")),
    ] {
        assert_eq!(sightings[0][field], value, "{field} of {}", sightings[0]);
    }

    tablet.tap("station-from-sighting").await;
    tablet.reads("station-number", "2").await;
    tablet.reads("fact-position", "47.5").await;
    tablet.reads("fact-position", "sighting").await;
    tablet.kept().await;
    let station = records(&tablet, "station").await.pop().unwrap();
    let position = &station["position"];
    assert_eq!(position["source"], json!("sighting"));
    // 200 m at 30° is 173.2 m level; at 47.5° north a degree of longitude is 75.3 km (WGS 84).
    let east_m = (position["longitude"].as_f64().unwrap() - 9.25) * 75_346.0;
    assert!((east_m - 173.2).abs() < 0.5, "{east_m}");
    let record = records(&tablet, "sighting").await.pop().unwrap();
    assert!(
        record["to"].is_string(),
        "the sighting names the station: {record}"
    );

    // It wants a sighting back; the one it has stands on the page of the first station.
    tablet.see("back-to-1").await;
    tablet.go(&server.at("/station/1")).await;
    tablet
        .shows("sighting-1-1", "data-value", "090° up 30°")
        .await;
    tablet.reads("sighting-1-1", "level").await;
    tablet.is_quiet().await;
}

#[tokio::test]
async fn a_sighting_back_that_disagrees_is_told_and_kept_with_one_tap() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    begin_with_north(&tablet, &server).await;
    tablet.tap("new-station").await;
    tablet.reads("station-number", "2").await;
    tablet.go(&server.at("/station/1")).await;
    tablet.tap("new-sighting").await;
    tablet.tap("to-2").await;
    tablet.tap_digits("090").await;
    tablet.tap("sighting-done").await;
    tablet.see("sighting-1-1").await;

    tablet.go(&server.at("/station/2")).await;
    tablet.tap("back-to-1").await;
    tablet.shows("to-1", "aria-pressed", "true").await;
    tablet.tap_digits("280").await;
    tablet
        .shows("sentence", "data-doubt", "fore-against-back")
        .await;
    tablet.reads("sentence", "10.0° off 180").await;
    tablet.tap("choice-0").await;
    tablet.shows("sentence", "data-doubt", "").await;
    tablet.kept().await;
    let sighting = records(&tablet, "sighting").await.pop().unwrap();
    assert_eq!(
        sighting["bearing"],
        json!("280"),
        "the bearing stays as read"
    );
    assert_eq!(
        sighting["accepted"][0]["sets"],
        json!([["bearing", "275.0"]])
    );

    tablet.tap("undo").await;
    tablet
        .shows("sentence", "data-doubt", "fore-against-back")
        .await;
    tablet.tap("sighting-done").await;
    tablet.shows("sighting-2-1", "data-state", "doubt").await;
    tablet.is_quiet().await;
}

#[tokio::test]
async fn a_sighting_in_the_making_survives_a_reload_and_can_be_struck_out() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    tablet.begin(&server).await;
    tablet.go(&server.at("/station/1")).await;
    tablet.tap("new-sighting").await;
    tablet.tap_digits("12").await;
    tablet.draft_holds(r#"\"bearing\":\"12\""#).await;
    tablet.reload().await;
    tablet.shows("figure-bearing", "data-value", "12").await;
    tablet.tap_digits("3").await;
    tablet.shows("figure-bearing", "data-value", "123").await;
    tablet.tap("to-other").await;
    tablet.write("point-name", "High Crag").await;
    tablet.tap("targets-done").await;
    tablet.tap("side-second").await;
    tablet.tap_digits("0712").await;
    tablet.tap("key-point").await;
    tablet.tap_digits("5").await;
    tablet.draft_holds(r#"\"distance\":\"12.5\""#).await;
    // Another page, and a lost battery: the draft is offered at its station.
    tablet.lose_power();
    let tablet = Tablet::start(&profile).await;
    tablet.go(&server.at("/station/1")).await;
    tablet.tap("sighting-go-on").await;
    tablet.shows("figure-distance", "data-value", "12.5").await;
    tablet.tap("key-next").await;
    tablet.kept().await;
    let sighting = records(&tablet, "sighting").await.pop().unwrap();
    assert_eq!(
        (
            &sighting["slope_m"],
            &sighting["to_words"],
            &sighting["vertical"]
        ),
        (&json!("12.5"), &json!("High Crag"), &json!("07")),
        "{sighting}"
    );

    // A correction, then struck out with the reason, then put back by undo.
    tablet.tap("figure-bearing").await;
    tablet.tap_digits("321").await;
    tablet.shows("figure-bearing", "data-value", "321").await;
    tablet.kept().await;
    tablet.tap("sighting-words").await;
    tablet.write("strike-why", "the wrong summit").await;
    tablet.tap("strike-sighting").await;
    tablet.shows("sighting-1-1", "data-state", "struck").await;
    tablet.reads("sighting-1-1", "wrong summit").await;
    tablet.tap("undo").await;
    tablet.shows("sighting-1-1", "data-state", "kept").await;
    tablet.kept().await;
    tablet.reload().await;
    tablet
        .shows("sighting-1-1", "data-value", "321° down 07°")
        .await;
    tablet.is_quiet().await;
}

#[tokio::test]
async fn a_card_of_quadrants_is_entered_as_it_reads() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    tablet.begin(&server).await;
    tablet.place("camp").await;
    tablet.tap("set-up-change").await;
    tablet.tap("card-quadrant").await;
    tablet.kept().await;
    tablet.place("outcrop").await;

    tablet.count_taps();
    tablet.tap("kind-bedding").await;
    tablet.shows("side-first", "data-state", "waiting").await;
    tablet.tap_side("N").await;
    tablet.tap_digits("4").await;
    tablet.dial("strike", "N4").await;
    tablet.draft_holds(r#""strike":"N4""#).await;
    tablet.reload().await;
    tablet.dial("strike", "N4").await;
    tablet.tap_digits("5").await;
    tablet.tap_side("E").await;
    tablet.dial("strike", "N45E").await;
    tablet.shows("dial-dip", "data-here", "true").await;
    tablet.tap_digits("30").await;
    tablet.tap_side("SE").await;
    assert_eq!(
        tablet.count_taps(),
        4 + 2 + 2,
        "four keys of the strike, two digits, and two"
    );
    tablet.shows("dial-strike", "data-state", "kept").await;
    tablet.shows("sentence", "data-doubt", "").await;
    tablet.kept().await;
    let reading = tablet.readings().await.pop().unwrap();
    let shot = &reading["body"]["reading"]["shots"][0];
    assert_eq!(
        (&shot["strike"], &shot["dip"], &shot["side"]),
        (&json!("N45E"), &json!("30"), &json!("SE"))
    );

    tablet.tap("kind-line").await;
    tablet.tap_side("S").await;
    tablet.tap_digits("30").await;
    tablet.tap_side("W").await;
    tablet.tap_digits("12").await;
    tablet.dial("trend", "S30W").await;
    tablet.kept().await;
    tablet.see("line-1-1").await;
    let value = tablet.attribute("line-1-1", "data-value").await.unwrap();
    assert!(value.contains("045/30"), "{value}");
    tablet.is_quiet().await;
}

#[tokio::test]
async fn how_it_stood_is_kept_with_the_shot_and_carried_to_the_next() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    tablet.begin(&server).await;
    tablet.tap_bedding("06235").await;
    tablet.kept().await;
    tablet.tap("words").await;
    tablet.tap("stood").await;
    for part in ["swing-right", "edge-right", "down-north", "hung-yes"] {
        tablet.tap(part).await;
        tablet.shows(part, "aria-pressed", "true").await;
    }
    tablet.tap("hung-no").await;
    tablet.tap("stood-done").await;
    tablet.tap_digits("06336").await;
    tablet.kept().await;
    let reading = tablet.readings().await.pop().unwrap();
    let shots = reading["body"]["reading"]["shots"].as_array().unwrap();
    let stood = json!({ "swing": "right", "edge": "right", "down": "north" });
    assert_eq!(
        (shots.len(), &shots[0]["stood"], &shots[1]["stood"]),
        (2, &stood, &stood),
        "{shots:?}"
    );
    tablet.reload().await;
    tablet.tap("words").await;
    tablet.reads("stood", "lid right").await;
    tablet.is_quiet().await;
}

#[tokio::test]
async fn an_angle_names_its_planes_by_number() {
    let _seat = seat(false).await;
    let (server, profile) = (Server::start(), Profile::new());
    let tablet = Tablet::start(&profile).await;
    tablet.begin(&server).await;
    tablet.tap_bedding("06235").await;
    for digits in ["24050", "10040"] {
        tablet.tap("next-reading").await;
        tablet.tap_digits(digits).await;
        tablet.tap("side-first").await;
        tablet.kept().await;
    }
    tablet.tap("kind-more").await;
    tablet.tap("all-two-limbs").await;
    tablet.reads("side-first", "1·2").await;
    tablet.reads("side-second", "1·3").await;
    tablet.tap("side-second").await;
    tablet.reads("side-second", "1·1").await;
    tablet.tap_digits("085").await;
    tablet.kept().await;
    let readings = records(&tablet, "reading").await;
    let planes = readings[3]["planes"].as_array().unwrap();
    assert_eq!(planes.len(), 2, "{readings:?}");
    let ids: Vec<Value> = {
        let mut entries: Vec<Value> = tablet.readings().await;
        entries.retain(|e| e["body"]["reading"]["form"] == "plane");
        entries.dedup_by_key(|e| e["record"].clone());
        entries.into_iter().map(|e| e["record"].clone()).collect()
    };
    assert_eq!(planes, &[ids[1].clone(), ids[0].clone()]);
    tablet.is_quiet().await;
}
