//! The tables that a hand-over writes, known again by their headings: they are read back without matching by hand.

use super::what::What;
use crate::exchange::hand_over;

/// Columns that an older hand-over does not have: a table without them is known as well.
const NEWER: &[(&str, &[&str])] = &[
    ("stations", &["same_as", "apart_from", "accepted"]),
    (
        "shots",
        &[
            "declination",
            "card_declination",
            "because",
            "polarity",
            "slip_sense",
            "note",
            "between",
            "accepted",
            "reading_struck_out",
            "by",
            "station_record",
            "set_up_record",
        ],
    ),
    ("sightings", &["to_words", "accepted"]),
];

/// Which table of the hand-over has these headings, in whatever order, and what each column is.
pub(super) fn recognised(headings: &[String]) -> Option<(&'static str, Vec<What>)> {
    let blank = hand_over::blank();
    for sheet in blank.sheets() {
        let heads = sheet.heads();
        let has = |heading: &String| headings.iter().any(|other| other.trim() == heading);
        let whats: Option<Vec<What>> = headings
            .iter()
            .map(|heading| {
                let head = heads.iter().find(|head| head.heading() == heading.trim())?;
                Some(of(sheet.name(), head.name))
            })
            .collect();
        let newer = NEWER.iter().find(|(name, _)| *name == sheet.name());
        let newer = newer.map_or(&[][..], |(_, names)| names);
        let lacking = heads.iter().filter(|head| !has(&head.heading()));
        let mut lacking = lacking.map(|head| head.name);
        if let Some(whats) = whats
            && lacking.all(|name| newer.contains(&name))
            && whats.len() <= heads.len()
        {
            return Some((sheet.name(), whats));
        }
    }
    None
}

/// What a column of a hand-over is: what a book has itself is read, what was worked out from it is worked out anew.
fn of(sheet: &str, name: &str) -> What {
    match (sheet, name) {
        (_, "station") => What::Station,
        (_, "at") => What::Date,
        (_, "by") => What::Who,
        (_, "note") => What::Note,
        (_, "north_read") if sheet != "readings" => What::North,
        ("shots" | "sightings", "declination") => What::Declination,
        (_, "struck_out") => What::StruckOut,
        (_, "record" | "station_record" | "accepted") => What::HandedOver,
        ("stations", "position_source" | "position_typed" | "same_as" | "apart_from")
        | (
            "shots",
            "form" | "stood" | "card_declination" | "because" | "between" | "reading_struck_out"
            | "set_up_record",
        )
        | ("readings", "dials" | "north_read" | "declination" | "between")
        | (
            "sightings",
            "sighting"
            | "to_station"
            | "to"
            | "to_words"
            | "bearing_read"
            | "vertical_read"
            | "vertical_side"
            | "slope_distance_read"
            | "level_distance_read"
            | "distance_sd_read"
            | "card_declination"
            | "because"
            | "to_record"
            | "set_up_record",
        ) => What::HandedOver,
        ("sightings", _) => What::LeftOut,
        (_, "station_name") => What::StationName,
        (_, "latitude") => What::Latitude,
        (_, "longitude") => What::Longitude,
        (_, "height") => What::Height,
        (_, "accuracy") => What::Accuracy,
        (_, "map_unit") => What::Unit,
        (_, "lithology") => What::Lithology,
        (_, "reading") => What::Reading,
        (_, "kind") => What::Kind,
        (_, "strike") => What::Strike,
        (_, "dip") => What::Dip,
        ("shots", "toward") => What::Toward,
        ("shots", "side") => What::Side,
        (_, "trend") => What::Trend,
        (_, "plunge") => What::Plunge,
        (_, "rake") => What::Rake,
        (_, "angle") => What::Angle,
        (_, "polarity") => What::Tops,
        (_, "slip_sense") => What::Sense,
        ("shots", "shot") => What::Shot,
        ("shots", "right_hand") => What::RightHand,
        _ => What::LeftOut,
    }
}
