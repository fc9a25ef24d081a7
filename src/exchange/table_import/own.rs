//! The tables that a hand-over writes, known again by their headings: they are read back without matching by hand.

use super::what::What;
use crate::exchange::hand_over;

/// Which table of the hand-over has these headings, in whatever order, and what each column is.
pub(super) fn recognised(headings: &[String]) -> Option<(&'static str, Vec<What>)> {
    let blank = hand_over::blank();
    for sheet in blank.sheets() {
        let heads = sheet.heads();
        let whats: Option<Vec<What>> = headings
            .iter()
            .map(|heading| {
                let head = heads.iter().find(|head| head.heading() == heading.trim())?;
                Some(of(sheet.name(), head.name))
            })
            .collect();
        if let Some(whats) = whats.filter(|whats| whats.len() == heads.len()) {
            return Some((sheet.name(), whats));
        }
    }
    None
}

/// What a column of a hand-over is: what a book has itself is read, what was worked out from it is worked out anew.
fn of(sheet: &str, name: &str) -> What {
    match (sheet, name) {
        ("sightings", _) => What::Kept,
        (_, "station") => What::Station,
        (_, "station_name") => What::StationName,
        (_, "latitude") => What::Latitude,
        (_, "longitude") => What::Longitude,
        (_, "height") => What::Height,
        (_, "accuracy") => What::Accuracy,
        (_, "map_unit") => What::Unit,
        (_, "lithology") => What::Lithology,
        (_, "note") => What::Note,
        (_, "at") => What::Date,
        (_, "by") => What::Who,
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
        ("shots", "north_read") => What::North,
        ("shots" | "readings", "struck_out") => What::StruckOut,
        _ => What::LeftOut,
    }
}
