use super::*;
use crate::app::outcrop::open_sighting::{Measured as Way, Press};
use crate::notebook::{Act, Body, Entry, North, RecordId, Stamp, Station};

/// A book of stations with their positions, `a` first, and sightings.
fn shelf(places: &[Option<(f64, f64, Option<f64>)>], sightings: &[(&str, Sighting)]) -> Shelf {
    let mut shelf = Shelf::default();
    let mut counter = 0;
    let mut take = |record: &str, body: Body| {
        counter += 1;
        let stamp = Stamp {
            by: "QV".to_owned(),
            device: "d".to_owned(),
            counter,
            at: "2026-06-14T14:28:00.000+02:00".to_owned(),
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
    for ((place, name), number) in places.iter().zip(["a", "b", "c", "d"]).zip(1..) {
        let position = place.map(|(latitude, longitude, accuracy_m)| Position {
            latitude,
            longitude,
            accuracy_m,
            height_m: Some(400.0),
            source: "device".to_owned(),
            ..Position::default()
        });
        let station = Station {
            number,
            position,
            ..Station::default()
        };
        take(name, Body::Station(station));
    }
    for (record, sighting) in sightings {
        take(record, Body::Sighting(sighting.clone()));
    }
    shelf
}

fn sighting(to: Option<&str>) -> Sighting {
    Sighting {
        station: "a".to_owned(),
        number: 1,
        to: to.map(str::to_owned),
        bearing: Some("090".to_owned()),
        vertical: Some("30".to_owned()),
        up: true,
        slope_m: Some("200".to_owned()),
        distance_sd_m: Some("2".to_owned()),
        north: North::True,
        ..Sighting::default()
    }
}

#[test]
fn a_sighting_gives_a_new_station_its_place() {
    let shelf = shelf(&[Some((0.0, 10.0, Some(3.0)))], &[]);
    let sight = Sight::of(&sighting(None), &shelf);
    let (level, level_sd) = sight.level.unwrap();
    // Slope 200 m at 30°: level 200 cos 30 = 173.2 m, rise 100 m.
    assert!(
        (level - 173.205).abs() < 0.001 && level_sd.is_some_and(|sd| sd > 1.7),
        "{level} {level_sd:?}"
    );
    assert!((sight.rise.unwrap().0 - 100.0).abs() < 0.001);
    let offer = sight.offers.unwrap();
    assert_eq!(
        (offer.words.as_str(), offer.position.source.as_str()),
        ("New station there", "sighting")
    );
    // On the equator a degree of longitude is 111.3195 km (WGS 84, a = 6378.137 km).
    let east_m = (offer.position.longitude - 10.0) * 111_319.49;
    assert!(
        (east_m - level).abs() < 0.01 && offer.position.latitude.abs() < 1e-9,
        "{east_m}"
    );
    assert_eq!(offer.position.height_m.map(f64::round), Some(500.0));
    // Worse than the station it was sighted from, and than the distance.
    assert!(offer.position.accuracy_m.unwrap() > 3.5);
}

/// Nobody said how good the distance is: no ± stands anywhere, a nil least of all, and the new station has no accuracy.
#[test]
fn a_distance_without_a_deviation_is_said_to_have_none() {
    let unsaid = Sighting {
        distance_sd_m: None,
        ..sighting(None)
    };
    let shelf = shelf(&[Some((0.0, 10.0, Some(3.0)))], &[("s", unsaid.clone())]);
    let sight = Sight::of(&unsaid, &shelf);
    assert_eq!(
        sight.facts()[1..3],
        [
            ("level", "173.2 m, ± not said".to_owned()),
            ("rises", "100.0 m, ± not said".to_owned())
        ]
    );
    assert_eq!(sight.offers.clone().unwrap().position.accuracy_m, None);
    let line = Line::of(&shelf, "s").unwrap();
    assert_eq!(
        line.detail,
        "level 173.2 m, ± not said · rises 100.0 m, ± not said"
    );
    let mut open = OpenSighting::again("s".to_owned(), unsaid, false);
    let found = finding(&open, &sight, &shelf);
    assert_eq!(
        found.words,
        "Level 173.2 m, ± not said, rises 100.0 m, ± not said."
    );
    assert_eq!(found.detail, "Paced, ranged or taped gives its ±.");
    // Once it is said how it was measured, it has one.
    open.press(Press::By(Way::Taped));
    let sight = Sight::of(&open.entry(), &shelf);
    assert!(sight.level.unwrap().1.is_some_and(|sd| sd > 0.0));
    assert!(sight.offers.clone().unwrap().position.accuracy_m.is_some());
    assert_eq!(finding(&open, &sight, &shelf).detail, "");
}

#[test]
fn what_is_missing_is_named() {
    let here = shelf(&[Some((47.0, 9.0, None))], &[]);
    let nowhere = shelf(&[None], &[]);
    let whole = sighting(None);
    let lacks = |sighting: &Sighting, shelf: &Shelf| Sight::of(sighting, shelf).lacks;
    assert_eq!(lacks(&whole, &here), None);
    assert_eq!(
        lacks(&whole, &nowhere),
        Some("the position of this station")
    );
    let unsaid = Sighting {
        north: North::Unknown,
        ..whole.clone()
    };
    assert_eq!(lacks(&unsaid, &here), Some("its north"));
    let slope = Sighting {
        vertical: None,
        ..whole.clone()
    };
    assert_eq!(
        lacks(&slope, &here),
        Some("a vertical angle, or a level distance")
    );
    let far = Sighting {
        slope_m: None,
        ..whole.clone()
    };
    assert_eq!(lacks(&far, &here), Some("a distance"));
    // Where nobody said how good the position is, the new one's is not said either.
    assert_eq!(
        Sight::of(&whole, &here).offers.unwrap().position.accuracy_m,
        None
    );
    let steep = Sighting {
        vertical: Some("95".to_owned()),
        ..whole
    };
    let trouble = Sight::of(&steep, &here).trouble.unwrap();
    assert!(trouble.contains("95"), "{trouble}");
}

#[test]
fn a_magnetic_bearing_is_turned_by_its_declination() {
    let mut magnetic = Sighting {
        north: North::Magnetic,
        ..sighting(None)
    };
    let shelf = shelf(&[Some((47.0, 9.0, None))], &[]);
    assert_eq!(Sight::of(&magnetic, &shelf).true_deg, None);
    magnetic.declination = Some("-11.5".to_owned());
    // Common practice: true = magnetic + declination, east positive.
    assert_eq!(Sight::of(&magnetic, &shelf).true_deg, Some(78.5));
    magnetic.bearing = Some("S30E".to_owned());
    assert_eq!(Sight::of(&magnetic, &shelf).true_deg, Some(138.5));
}

#[test]
fn a_station_that_was_sighted_from_wants_a_sighting_back() {
    let at = |n: f64| Some((47.0 + n, 9.0, None));
    let to = |from: &str, to: &str| Sighting {
        station: from.to_owned(),
        ..sighting(Some(to))
    };
    let book = shelf(&[at(0.0), at(0.1), None], &[("s", to("a", "b"))]);
    assert_eq!(wanting_back(&book, "b"), ["a"]);
    assert!(wanting_back(&book, "a").is_empty());
    let words: Vec<String> = targets(&book, "b", None, 4)
        .into_iter()
        .map(|t| t.words)
        .collect();
    assert_eq!(words, ["back to 1", "3"]);
    let both = shelf(
        &[at(0.0), at(0.1)],
        &[("s", to("a", "b")), ("t", to("b", "a"))],
    );
    assert!(wanting_back(&both, "b").is_empty() && wanting_back(&both, "a").is_empty());
    // A station of the book that has a place keeps it; one that has none is offered it.
    assert_eq!(Sight::of(&to("a", "b"), &book).offers, None);
    let offer = Sight::of(&to("a", "c"), &book).offers.unwrap();
    assert_eq!(offer.words, "Place station 3 here");
}

#[test]
fn a_sighting_back_that_disagrees_is_doubted_until_it_is_settled() {
    let at = |n: f64| Some((47.0 + n, 9.0, None));
    let from = |from: &str, to: &str, bearing: &str| Sighting {
        station: from.to_owned(),
        bearing: Some(bearing.to_owned()),
        ..sighting(Some(to))
    };
    let (there, back) = (from("a", "b", "090"), from("b", "a", "280"));
    let book = shelf(
        &[at(0.0), at(0.1)],
        &[("s", there.clone()), ("t", back.clone())],
    );
    assert!(Line::of(&book, "s").unwrap().doubted && Line::of(&book, "t").unwrap().doubted);
    let open = OpenSighting::again("t".to_owned(), back.clone(), false);
    let found = finding(&open, &Sight::of(&back, &book), &book);
    assert!(found.doubt && found.words.contains("280"), "{found:?}");
    // No third station tells which end is wrong: each is half of the 10 degrees off (common practice).
    let words: Vec<&str> = found.choices.iter().map(|c| c.words.as_str()).collect();
    assert_eq!(words, ["275.0, mean of both", "keep 090 and 280"]);
    let other = against(&book, "s", &there).unwrap();
    assert_eq!(other.choices[0].words, "095.0, mean of both");
    let accepted = notebook::Accepted {
        doubt: crate::orientation::DoubtKind::ForeAgainstBack,
        shot: 0,
        choice: found.choices[0].words.clone(),
        sets: found.choices[0].sets.clone(),
        by: "QV".to_owned(),
        at: String::new(),
    };
    let mut open = open;
    open.accept(accepted);
    let after = shelf(&[at(0.0), at(0.1)], &[("s", there), ("t", open.entry())]);
    assert!(!Line::of(&after, "s").unwrap().doubted && !Line::of(&after, "t").unwrap().doubted);
    let sight = Sight::of(&open.entry(), &after);
    assert_eq!((sight.read_deg, sight.true_deg), (Some(280.0), Some(275.0)));
    // With a third station that agrees with the first, the correction is the whole of it.
    let lines = [
        ("s", from("a", "b", "090")),
        ("t", from("b", "a", "280")),
        ("u", from("a", "c", "180")),
        ("v", from("c", "a", "000")),
    ];
    let three = shelf(&[at(0.0), at(0.1), at(0.2)], &lines);
    let choices = against(&three, "t", &lines[1].1).unwrap().choices;
    assert_eq!(choices[0].words, "270.0, corrected");
    let choices = against(&three, "s", &lines[0].1).unwrap().choices;
    assert_eq!(
        choices.len(),
        1,
        "the end that is free is only kept: {choices:?}"
    );
}

#[test]
fn a_line_says_what_was_read_and_what_it_comes_to() {
    let shelf = shelf(&[Some((0.0, 10.0, Some(3.0)))], &[("s", sighting(None))]);
    let line = Line::of(&shelf, "s").unwrap();
    assert_eq!(
        (line.station, line.number, line.value.as_str()),
        (1, 1, "090° up 30°")
    );
    // By hand: σ(level) = (1.73² + 1.82²)^½, σ(rise) = (1.00² + 3.15²)^½, with 2 m and 1.04°.
    assert_eq!(line.detail, "level 173.2 ± 2.5 m · rises 100.0 ± 3.3 m");
    assert_eq!(line.state(), "kept");
}
