//! Which two planes an angle was read between: the last two of their kind at the station, unless others are chosen.

use crate::app::shelf::Shelf;
use crate::app::written::Row;
use crate::notebook::{Form, Line, Notation, Reading};

/// One plane of an angle, as its key shows it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Between {
    /// `47·2`.
    pub number: String,
    /// Kind and value.
    pub words: String,
}

/// The planes of a station that an angle may stand between, in the order of the book.
fn planes<'a>(shelf: &'a Shelf, station: &str) -> impl Iterator<Item = (&'a Line, &'a Reading)> {
    let lines = shelf.pages.station(station).map(|page| page.readings());
    lines
        .unwrap_or_default()
        .iter()
        .filter(|line| !line.is_struck_out())
        .filter_map(|line| Some((line, line.reading()?)))
        .filter(|(_, reading)| matches!(reading.form, Form::Plane | Form::PlaneWithLine))
        .filter(|(_, reading)| reading.kind != "axial plane")
}

/// The plane is of the kind that an angle asks for: limbs are beds, foliations and contacts, fractures joints, faults, veins
/// and dykes; a person's own kind may be either.
fn suits(angle: &str, plane: &str) -> bool {
    if plane.contains(':') {
        return true;
    }
    let plane = plane.split(" + ").next().unwrap_or(plane);
    match angle {
        "two fractures" => matches!(plane, "joint" | "fault" | "vein" | "dyke"),
        _ => matches!(plane, "bedding" | "foliation" | "contact"),
    }
}

/// The planes an angle stands between where nobody has chosen: the last two of the last kind that suits it, else the last
/// two that suit it.
///
/// # Degenerate input
/// Fewer than two: none, so that the angle names no plane it was not read on.
pub fn usual(shelf: &Shelf, angle: &Reading) -> Vec<String> {
    let suiting: Vec<(&Line, &Reading)> = planes(shelf, &angle.station)
        .filter(|(_, reading)| suits(&angle.kind, &reading.kind))
        .collect();
    let last = suiting.last().map(|(_, reading)| reading.kind.as_str());
    let alike: Vec<&Line> = suiting
        .iter()
        .filter(|(_, reading)| Some(reading.kind.as_str()) == last)
        .map(|(line, _)| *line)
        .collect();
    let found = if alike.len() >= 2 {
        alike
    } else {
        suiting.iter().map(|(line, _)| *line).collect()
    };
    match found.as_slice() {
        [.., a, b] => [a, b]
            .map(|line| line.record().as_str().to_owned())
            .to_vec(),
        _ => Vec::new(),
    }
}

/// The planes with one of them exchanged for the plane before it in the book; from the first round to the last.
///
/// # Degenerate input
/// Fewer than three planes at the station: there is no other to choose.
pub fn other(shelf: &Shelf, angle: &Reading, index: usize) -> Vec<String> {
    let all: Vec<String> = planes(shelf, &angle.station)
        .map(|(line, _)| line.record().as_str().to_owned())
        .collect();
    let mut chosen = angle.planes.clone();
    if chosen.len() != 2 {
        chosen = match all.as_slice() {
            [.., a, b] => vec![a.clone(), b.clone()],
            _ => return angle.planes.clone(),
        };
        return chosen;
    }
    let at = all.iter().position(|id| *id == chosen[index]);
    let mut place = at.unwrap_or(all.len());
    for _ in 0..all.len() {
        place = place.checked_sub(1).unwrap_or(all.len() - 1);
        if all[place] != chosen[1 - index] {
            chosen[index].clone_from(&all[place]);
            break;
        }
    }
    chosen
}

/// A plane of the angle as its key shows it.
pub fn shown(shelf: &Shelf, record: &str, notation: Notation) -> Option<Between> {
    let station = shelf.station_number(record);
    let row = Row::of(
        &shelf.pages,
        shelf.reading(record),
        &None,
        notation,
        station,
    )?;
    Some(Between {
        number: format!("{station}·{}", row.number),
        words: row.value,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::notebook::{Act, Body, Entry, RecordId, Shot, Stamp, Station};

    fn shelf(kinds: &[&str]) -> Shelf {
        let mut shelf = Shelf::default();
        let mut counter = 0;
        let mut take = |record: &str, body: Body| {
            counter += 1;
            let stamp = Stamp {
                counter,
                ..Stamp::default()
            };
            let record = RecordId::from(record);
            shelf.take(Entry::new(
                record,
                Vec::new(),
                stamp,
                Act::Write,
                None,
                Some(body),
            ));
        };
        let station = Station {
            number: 47,
            ..Station::default()
        };
        take("a", Body::Station(station));
        for ((kind, name), number) in kinds.iter().zip(["1", "2", "3", "4", "5"]).zip(1..) {
            let form = crate::app::outcrop::kinds::form_of(kind);
            let shot = Shot {
                strike: Some("062".to_owned()),
                dip: Some("35".to_owned()),
                side: Some("SE".to_owned()),
                ..Shot::default()
            };
            let reading = Reading {
                station: "a".to_owned(),
                number,
                kind: (*kind).to_owned(),
                form,
                shots: vec![shot],
                ..Reading::default()
            };
            take(name, Body::Reading(reading));
        }
        shelf
    }

    fn angle(kind: &str, planes: &[&str]) -> Reading {
        Reading {
            station: "a".to_owned(),
            kind: kind.to_owned(),
            form: Form::Angle,
            planes: planes.iter().map(|id| (*id).to_owned()).collect(),
            ..Reading::default()
        }
    }

    #[test]
    fn the_last_two_of_a_kind_are_meant() {
        let book = shelf(&["bedding", "joint", "bedding", "line", "joint"]);
        assert_eq!(usual(&book, &angle("two limbs", &[])), ["1", "3"]);
        assert_eq!(usual(&book, &angle("two fractures", &[])), ["2", "5"]);
        let mixed = shelf(&["bedding", "foliation + line"]);
        assert_eq!(usual(&mixed, &angle("two limbs", &[])), ["1", "2"]);
        let one = shelf(&["bedding", "cleavage", "axial plane"]);
        assert!(usual(&one, &angle("two limbs", &[])).is_empty());
        assert!(
            usual(
                &book,
                &Reading {
                    station: "z".to_owned(),
                    ..angle("two limbs", &[])
                }
            )
            .is_empty()
        );
    }

    #[test]
    fn another_plane_is_one_tap_away_and_never_the_same_twice() {
        let book = shelf(&["bedding", "joint", "bedding"]);
        let mut open = angle("two limbs", &["1", "3"]);
        open.planes = other(&book, &open, 1);
        assert_eq!(open.planes, ["1", "2"]);
        open.planes = other(&book, &open, 1);
        assert_eq!(
            open.planes,
            ["1", "3"],
            "the first is taken by the other side"
        );
        open.planes = other(&book, &open, 0);
        assert_eq!(open.planes, ["2", "3"]);
        // None chosen yet: the last two planes, whatever their kind.
        assert_eq!(other(&book, &angle("two limbs", &[]), 0), ["2", "3"]);
        assert!(other(&shelf(&["bedding"]), &angle("two limbs", &[]), 0).is_empty());
    }

    #[test]
    fn a_plane_is_shown_by_its_number() {
        let book = shelf(&["bedding"]);
        let plane = shown(&book, "1", Notation::StrikeDip).unwrap();
        assert_eq!(
            (plane.number.as_str(), plane.words.as_str()),
            ("47·1", "062/35 SE")
        );
        assert_eq!(shown(&book, "9", Notation::StrikeDip), None);
    }
}
