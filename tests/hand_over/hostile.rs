//! Texts that were meant to break a reader: they come back as they were.

use hingeline::exchange::hand_over::{HandOver, Made, Wanted, csv, geojson, gpx, kml};
use hingeline::notebook::{Body, Form, Pages};
use proptest::prelude::*;
use serde_json::Value;

use crate::formats::fields;
use crate::made::{Writing, plane_shot, reading, station};

/// Texts with what breaks tables, markup and spreadsheets in them.
fn hostile() -> impl Strategy<Value = String> {
    let piece = prop_oneof![
        Just("\"".to_owned()),
        Just("\r\n".to_owned()),
        Just("\n".to_owned()),
        Just("\r".to_owned()),
        Just("\t".to_owned()),
        Just(",".to_owned()),
        Just(";".to_owned()),
        Just("'".to_owned()),
        Just("=HYPERLINK(1)".to_owned()),
        Just("+1".to_owned()),
        Just("-".to_owned()),
        Just("@A1".to_owned()),
        Just("\u{feff}".to_owned()),
        Just("🪨".to_owned()),
        Just("\u{202e}".to_owned()),
        Just("e\u{301}".to_owned()),
        Just("]]>".to_owned()),
        Just("<script>alert(1)</script>".to_owned()),
        Just("&amp;".to_owned()),
        Just(" ".to_owned()),
        Just("\\".to_owned()),
        Just("\u{2028}".to_owned()),
        Just("\u{7f}".to_owned()),
        "[a-z0-9]{0,6}",
        any::<char>()
            .prop_filter("no NUL", |c| *c != '\0')
            .prop_map(|c| c.to_string()),
    ];
    proptest::collection::vec(piece, 0..6).prop_map(|pieces| pieces.concat())
}

/// A book with a text in every field that a person writes.
fn book_of(text: &str) -> HandOver {
    let mut book = Writing::default();
    let mut place = station(1, Some((-3.7, 52.7)));
    for field in [
        &mut place.name,
        &mut place.unit,
        &mut place.lithology,
        &mut place.note,
    ] {
        text.clone_into(field);
    }
    book.write("s", Body::Station(place));
    let mut bed = reading(
        "s",
        1,
        "bedding",
        Form::Plane,
        vec![plane_shot("045", "30", "SE")],
    );
    text.clone_into(&mut bed.note);
    bed.because = Some(text.to_owned());
    book.write("r", Body::Reading(bed));
    HandOver::of(
        &Pages::of(&book.ledger),
        &Wanted::default(),
        Made::default(),
    )
}

/// What XML 1.0 can hold of a text (section 2.2); the rest is written as U+FFFD.
fn as_xml_holds(text: &str) -> String {
    let held = |c: char| {
        (c >= ' ' || matches!(c, '\t' | '\n' | '\r')) && !matches!(c, '\u{fffe}' | '\u{ffff}')
    };
    text.chars()
        .map(|c| if held(c) { c } else { '\u{fffd}' })
        .collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    #[test]
    fn a_text_survives_csv(text in hostile()) {
        let over = book_of(&text);
        let rows = fields(&csv::write(over.stations()));
        prop_assert_eq!(rows.len(), 2);
        for name in ["station_name", "map_unit", "lithology", "note"] {
            let place = rows[0].iter().position(|head| head == name).unwrap();
            let field = &rows[1][place];
            prop_assert_eq!(csv::unguarded(field), &*text);
            let runs = field.starts_with(['=', '@', '\t', '\r']);
            prop_assert!(!runs, "a spreadsheet would run {field:?}");
        }
    }

    #[test]
    fn a_text_survives_geojson(text in hostile()) {
        let json: Value = serde_json::from_str(&geojson::write(&book_of(&text))).unwrap();
        let filled = Value::from(text.clone());
        let wanted = if text.is_empty() { &Value::Null } else { &filled };
        prop_assert_eq!(&json["features"][0]["properties"]["note"], wanted);
        prop_assert_eq!(&json["features"][1]["properties"]["because"], wanted);
    }

    #[test]
    fn a_text_survives_kml_and_gpx(text in hostile()) {
        let over = book_of(&text);
        let document = kml::write(&over);
        let document = roxmltree::Document::parse(&document).unwrap();
        let note = document.descendants().find(|node| {
            node.tag_name().name() == "SimpleData" && node.attribute("name") == Some("note")
        });
        let held = as_xml_holds(&text);
        prop_assert_eq!(note.and_then(|node| node.text()).unwrap_or_default(), &held);
        let document = gpx::write(&over);
        let document = roxmltree::Document::parse(&document).unwrap();
        let cmt = document.descendants().find(|node| node.tag_name().name() == "cmt");
        prop_assert_eq!(cmt.and_then(|node| node.text()).unwrap_or_default(), &held);
    }
}

#[test]
fn numbers_that_json_has_no_word_for_are_not_written() {
    let mut book = Writing::default();
    let mut place = station(1, Some((1e-300, -0.0)));
    if let Some(position) = &mut place.position {
        (position.height_m, position.accuracy_m) = (Some(1e308), Some(5e-324));
    }
    book.write("s", Body::Station(place));
    let over = HandOver::of(
        &Pages::of(&book.ledger),
        &Wanted::default(),
        Made::default(),
    );
    let json: Value = serde_json::from_str(&geojson::write(&over)).unwrap();
    assert_eq!(json["features"][0]["properties"]["height_m"], 1e308);
    assert_eq!(json["features"][0]["properties"]["accuracy_m"], 5e-324);
    assert_eq!(json["features"][0]["geometry"]["coordinates"][0], 1e-300);
}
