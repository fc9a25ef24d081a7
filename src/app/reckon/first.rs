//! What is chosen first: from the readings that are selected, so that a person seldom has to choose at all.

use crate::notebook::reckoning::{Asked, Takes, What, fits};
use crate::notebook::structure::Datum;

/// Asks for something new, with what was chosen or selected in its slots where it fits.
///
/// A slot that takes one takes the first that fits and is not taken yet; the only slot for planes takes all of the first
/// one's kind; planes and lines to restore are the lines.
pub fn first(what: What, data: &[Datum], pool: &[String], before: &Asked) -> Asked {
    let mut asked = Asked {
        what,
        section: before.section.clone(),
        places_m: before.places_m.clone(),
        heights_m: before.heights_m.clone(),
        by_positions: before.by_positions,
        chosen: vec![Vec::new(); what.slots().len()],
    };
    let readings: Vec<&Datum> = pool
        .iter()
        .filter_map(|record| data.iter().find(|d| d.record == *record))
        .collect();
    let mut stations: Vec<&str> = Vec::new();
    for record in pool {
        let of_reading = readings.iter().find(|d| d.record == *record);
        let station = of_reading.map_or(record.as_str(), |d| d.station.as_str());
        let is_station = data.iter().any(|d| d.station == station);
        if is_station && !stations.contains(&station) {
            stations.push(station);
        }
    }
    let mut stations = stations.into_iter();
    let planes = what.slots().iter().filter(|s| s.takes == Takes::Planes);
    let only_planes = planes.count() == 1;
    let mut taken: Vec<&str> = Vec::new();
    for (i, slot) in what.slots().iter().enumerate() {
        let free = readings
            .iter()
            .filter(|d| fits(slot.takes, d) && !taken.contains(&d.record.as_str()));
        let found: Vec<&str> = match slot.takes {
            Takes::Station => stations.next().into_iter().collect(),
            Takes::Azimuth => Vec::new(),
            Takes::Many => free
                .filter(|d| d.plane.is_none())
                .map(|d| d.record.as_str())
                .collect(),
            Takes::Planes if only_planes => {
                let all: Vec<&&Datum> = free.collect();
                let kind = all.first().map(|d| d.kind.clone());
                let of_kind = all.iter().filter(|d| Some(&d.kind) == kind.as_ref());
                of_kind.map(|d| d.record.as_str()).collect()
            }
            Takes::Planes | Takes::Line | Takes::Either => {
                free.take(1).map(|d| d.record.as_str()).collect()
            }
        };
        taken.extend(&found);
        asked.chosen[i] = found.into_iter().map(str::to_owned).collect();
    }
    asked
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::orientation::{Line, Plane, Polarity};

    fn datum(record: &str, station: &str, kind: &str) -> Datum {
        let is_line = kind == "line";
        Datum {
            record: record.to_owned(),
            station: station.to_owned(),
            name: record.to_owned(),
            kind: kind.to_owned(),
            day: String::new(),
            by: String::new(),
            unit: String::new(),
            plane: (!is_line).then(|| Plane::from_deg(40.0, 30.0).unwrap()),
            line: is_line.then(|| Line::from_deg(40.0, 30.0).unwrap()),
            tops: Polarity::Unknown,
            is_true: true,
            doubted: false,
            sd_deg: 1.0,
            declination_deg: 0.0,
            slip: None,
        }
    }

    fn book() -> Vec<Datum> {
        vec![
            datum("b1", "s1", "bedding"),
            datum("l1", "s1", "line"),
            datum("b2", "s2", "bedding"),
            datum("j1", "s2", "joint"),
            datum("l2", "s3", "line"),
        ]
    }

    #[track_caller]
    fn check(what: What, pool: &[&str], expected: &[&[&str]]) {
        let pool: Vec<String> = pool.iter().map(|r| (*r).to_owned()).collect();
        let asked = first(what, &book(), &pool, &Asked::default());
        assert_eq!(asked.chosen, expected, "{what:?}");
    }

    #[test]
    fn what_is_selected_goes_where_it_fits() {
        let all = ["b1", "l1", "b2", "j1", "l2"];
        check(What::ApparentDip, &all, &[&[], &["b1", "b2"]]);
        check(What::TrueDip, &all, &[&["l1"], &["l2"]]);
        check(What::ThreePoints, &all, &[&["s1"], &["s2"], &["s3"]]);
        check(What::Thickness, &all, &[&["s1"], &["s2"], &["b1", "b2"]]);
        check(What::Intersection, &all, &[&["b1"], &["b2"]]);
        check(What::Angle, &all, &[&["b1"], &["l1"]]);
        check(What::Level, &all, &[&["l1", "l2"], &["b1", "b2"]]);
        check(What::TwoTilts, &all, &[&["l1", "l2"], &["b1"], &["b2"]]);
    }

    #[test]
    fn nothing_selected_chooses_nothing_and_a_station_chosen_before_stays() {
        check(What::Thickness, &[], &[&[], &[], &[]]);
        check(What::Depth, &["s2", "gone"], &[&["s2"], &[], &[]]);
    }
}
